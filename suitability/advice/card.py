"""
Cards: what check, moves and needs say of one group at one spot, with the words of the catalogue.

Nothing new is judged here: a card that differed from the verdict would be a second opinion.
The types are the contract of `cards --json` too.
Temperatures are in °C; days of the year are "MM-DD" in standard time; what is not known is None.
"""

from collections.abc import Mapping, Sequence
from typing import Annotated

import numpy as np
from msgspec import Meta
from msgspec.structs import asdict

from suitability.advice.cases import Case
from suitability.advice.checking import check_groups
from suitability.advice.flowering import BloomTime, bloom_at, light_of, span_of
from suitability.advice.moves import (
    Move,
    MoveDate,
    Tonight,
    TonightNights,
    plan_moves,
    tonight_of,
)
from suitability.advice.needs import judge_needs
from suitability.advice.plant_year import PlantYear
from suitability.advice.preparing import LaidOut
from suitability.advice.question import Question
from suitability.advice.result import (
    CarriedNights,
    CheckResult,
    Finding,
    RecordSummary,
    Settings,
)
from suitability.advice.terms import (
    ComfortMark,
    ComfortSeason,
    CoolRest,
    GrowsFrom,
    IfProvisional,
    NearlyAllYear,
    Season,
    Span,
    Steady,
    Verdict,
)
from suitability.climate.days import MONTH_STARTS
from suitability.climate.observing import plant_years
from suitability.groups.group import Group, Mark, Needs
from suitability.groups.words import GeneralWords, Words, read_general_words, read_words, words_at
from suitability.places import Place
from suitability.quantities import SCHEMA_VERSION, Celsius, Count, Month, Result, SchemaVersion
from suitability.spots.spot import Spot


class HardNights(Result, frozen=True, kw_only=True):
    """Nights a year below the limit, were the plant left out all year."""

    mean: Annotated[
        float,
        Meta(
            extra={"decimals": 3},
            description="Of the plant years observed well enough.",
        ),
    ]
    worst: Annotated[Count, Meta(description="Of any plant year.")]
    month: Annotated[
        Month | None, Meta(description="The one that has most of them; null where there is none.")
    ]


class RestWords(Result, frozen=True, kw_only=True):
    """What the group's rest is, as the catalogue says it."""

    kind: str
    night_c: Span | None
    weeks: Span | None
    dry: str
    trigger: str


class InGrowthAndRest(Result, frozen=True, kw_only=True):
    """Words of the catalogue for growth and for rest."""

    growth: str
    rest: str


class Card(PlantYear, frozen=True, kw_only=True):
    """The card of one group at one spot, or of plants of it there."""

    roofed: bool
    indoors: Annotated[
        bool,
        Meta(
            description="The spot is in a room: nothing is carried out of it or into it for cold."
        ),
    ]
    steady: Steady = False
    aliases: Annotated[
        tuple[str, ...], Meta(description="Other names of the group, those of the trade first.")
    ]
    verdict: Verdict
    provisional: bool
    promise_worth: IfProvisional = None
    borderline: Annotated[
        bool, Meta(description="A spot 1 °C colder or warmer has another verdict.")
    ]
    model_based: Annotated[
        bool, Meta(description="The years alone cannot carry the promise; false without one.")
    ]
    low_confidence_limit: bool
    years_usable: Annotated[Count, Meta(description="Plant years behind the verdict.")]
    season: Season | None
    limit_c: Annotated[Celsius, Meta(description="Survives single nights down to it, dry.")]
    limit_wet_c: Annotated[Celsius, Meta(description="The same in a wet pot.")]
    floor_c: Annotated[Celsius, Meta(description="Grows from it on.")]
    rest_floor_c: Annotated[Celsius | None, Meta(description="Rests down to it.")]
    good_nights_c: Annotated[Span | None, Meta(description="Nights on which it grows well, °C.")]
    ceiling_c: Annotated[Celsius | None, Meta(description="Heat harms above it.")]
    out: Annotated[
        MoveDate | None,
        Meta(description="Dates of moving; null where nothing moves."),
    ]
    inn: MoveDate | None
    grows_from: GrowsFrom = None
    comfort_c: ComfortMark = None
    comfort_season: ComfortSeason = None
    cool_rest: CoolRest = False
    out_any_day: Annotated[bool, Meta(description="Half of the years set no date on that side.")]
    in_any_day: bool
    carried_nights: CarriedNights | None
    nearly_all_year: NearlyAllYear = False
    hard_nights: Annotated[HardNights | None, Meta(description="Null without a verdict.")]
    rest_words: Annotated[RestWords | None, Meta(description="Null for a group without any.")]
    water: InGrowthAndRest
    feed: InGrowthAndRest
    leaves: str
    rhythm: str
    first_signs: Annotated[str, Meta(description="Of harm by cold.")]
    notes: str
    pets: str
    light_class: str | None
    light_klx: Annotated[Span | None, Meta(description="klx")]
    shade_pct: Annotated[Span | None, Meta(description="Per cent, under full summer sun.")]
    light_mark: Annotated[Mark | None, Meta(description="Where light_klx comes from.")] = None
    bloom: Annotated[BloomTime | None, Meta(description="Null where no source tells.")] = None
    humidity_pct: Annotated[Span | None, Meta(description="Per cent.")]
    tonight: Tonight
    tonight_nights: TonightNights = None


class CardResult(Result, frozen=True, kw_only=True):
    """A place, its record, what was asked, and the cards."""

    schema_version: SchemaVersion = SCHEMA_VERSION
    place: Place
    record: RecordSummary
    settings: Settings
    cards: tuple[Card, ...]
    after_cold: Annotated[str, Meta(description="Words that hold for all groups.")]
    trade: str


ALIASES_SHOWN = 4


def cards(question: Question) -> CardResult:
    """
    A card for each group, or plant, at each spot: what it stands, when it moves, its rest and care.

    Parameters
    ----------
    question
        From `ask`.

    Raises
    ------
    RecordError
        Nothing of the record lies in the years asked for.
    """
    return make_cards(
        question.lay_out(),
        question.groups,
        words=read_words(question.subjects.catalogue),
        general=read_general_words(),
    )


def make_cards(
    laid_out: LaidOut,
    groups: Mapping[str, Group],
    *,
    words: Mapping[str, Words],
    general: GeneralWords,
) -> CardResult:
    """A card for all that is laid out, spots in the outer order; groups and words by group key."""
    return assemble_cards(
        groups,
        words,
        general,
        laid_out=laid_out,
        checked=check_groups(laid_out),
        moves=plan_moves(laid_out).results,
        years=judge_needs(laid_out),
    )


def assemble_cards(
    groups: Mapping[str, Group],
    words: Mapping[str, Words],
    general: GeneralWords,
    *,
    laid_out: LaidOut,
    checked: CheckResult,
    moves: Sequence[Move],
    years: Sequence[PlantYear],
) -> CardResult:
    """The same from answers of all that is laid out, where they are there already."""
    latitude = laid_out.place.latitude
    asked = [
        (laid.spot, needs, case)
        for laid in laid_out.spots
        for needs, case in zip(laid.needs, laid.cases, strict=True)
    ]
    cards = (
        _card(
            spot,
            groups[needs.key],
            needs,
            words_at(words[needs.key], latitude),
            finding,
            move,
            year,
            case,
            latitude,
        )
        for (spot, needs, case), finding, move, year in zip(
            asked, checked.results, moves, years, strict=True
        )
    )
    return CardResult(
        place=laid_out.place,
        record=checked.record,
        settings=checked.settings,
        cards=tuple(cards),
        after_cold=general.after_cold,
        trade=general.trade,
    )


def _card(  # noqa: PLR0917  (each of them is another kind of answer)
    spot: Spot,
    group: Group,
    needs: Needs,
    words: Words,
    finding: Finding,
    move: Move,
    year: PlantYear,
    case: Case,
    latitude: float,
) -> Card:
    """One card."""
    judged = finding.verdict is not Verdict.NONE
    return Card(
        **asdict(year),
        roofed=spot.roofed,
        indoors=spot.room is not None,
        steady=spot.is_steady,
        aliases=tuple(alias for alias in group.aliases if alias != group.key)[:ALIASES_SHOWN],
        verdict=finding.verdict,
        provisional=finding.provisional,
        promise_worth=finding.promise_worth,
        borderline=finding.borderline,
        model_based=finding.model_based and finding.verdict in {Verdict.ALL_YEAR, Verdict.SEASONAL},
        low_confidence_limit=finding.thresholds.low_confidence_limit,
        years_usable=finding.years_usable,
        season=finding.season,
        limit_c=needs.limit_c,
        limit_wet_c=needs.limit_wet_c,
        floor_c=needs.floor_c,
        rest_floor_c=needs.rest_floor_c,
        good_nights_c=span_of(group.comfort_night_c),
        ceiling_c=needs.ceiling_c,
        out=move.out,
        inn=move.inn,
        grows_from=move.grows_from,
        comfort_c=needs.comfort_c,
        comfort_season=move.comfort_season,
        cool_rest=move.cool_rest,
        out_any_day=move.sets_no_date(move.out),
        in_any_day=move.sets_no_date(move.inn),
        carried_nights=move.carried_nights,
        nearly_all_year=move.nearly_all_year,
        hard_nights=_hard_nights(case) if judged else None,
        rest_words=_rest(group),
        water=InGrowthAndRest(growth=words.water_growth, rest=words.water_rest),
        feed=InGrowthAndRest(growth=words.feed_growth, rest=words.feed_rest),
        leaves=words.leaves,
        rhythm=words.rhythm,
        first_signs=words.first_signs,
        notes=words.notes,
        pets=words.pets,
        bloom=bloom_at(group, latitude),
        **asdict(light_of(group)),
        humidity_pct=span_of(group.humidity_pct),
        tonight=tonight_of(needs, roofed=spot.roofed),
        tonight_nights=move.tonight_nights,
    )


def _hard_nights(case: Case) -> HardNights | None:
    """Nights a year below the limit; None where no plant year is observed well enough."""
    usable = case.observed.summer_usable
    if not usable.any():
        return None
    hard = case.shortfall.hard_c > 0.0
    by_year = plant_years(hard, case.nights.summer, outside=False).sum(axis=1)
    by_month = np.add.reduceat(hard.reshape(-1, 365).sum(axis=0), MONTH_STARTS)
    return HardNights(
        mean=float(by_year[usable].mean()),
        worst=int(by_year.max()),
        month=int(np.argmax(by_month)) + 1 if by_month.any() else None,
    )


def _rest(group: Group) -> RestWords | None:
    """The rest as the catalogue says it."""
    rest = group.rest
    if rest is None:
        return None
    return RestWords(
        kind=rest.kind,
        night_c=span_of(rest.night_c),
        weeks=span_of(rest.weeks),
        dry=rest.dry,
        trigger=rest.trigger_words,
    )
