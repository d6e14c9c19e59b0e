"""Which spot suits which group, what that rests on, and whether neighbours can be told apart."""

import math
from collections.abc import Callable, Mapping, Sequence
from functools import cache
from itertools import pairwise
from typing import Annotated, Literal

import numpy as np
from msgspec import Meta, Struct
from msgspec.structs import asdict, replace

from suitability import parallel
from suitability.advice import verdicts, what_if
from suitability.advice.cases import Case, growing_days
from suitability.advice.checking import carried_of
from suitability.advice.comfort import comfortable_nights, first_growth
from suitability.advice.mean_year import count_hours
from suitability.advice.needs import find_heat, lay_out_heat
from suitability.advice.plant_state import Subject
from suitability.advice.plant_year import HeatOutlook
from suitability.advice.preparing import (
    CheckOptions,
    SpotCases,
    lay_out,
    lay_out_spots,
    records_at_ends,
    records_at_spots,
    years_asked,
)
from suitability.advice.question import Question
from suitability.advice.reasons import limiting_causes
from suitability.advice.resting import days_met, days_out, find_rest, lay_out_resting
from suitability.advice.result import (
    CarriedNights,
    Credit,
    Limiting,
    Period,
    RestFinding,
    SpotEnds,
)
from suitability.advice.spot_years import (
    ByEnd,
    FloatArray,
    Interval,
    Years,
    gain,
    hours_by_month,
    how_far_apart,
    years_of,
)
from suitability.advice.terms import (
    ComfortMark,
    ComfortSeason,
    GrowsFrom,
    HeatOut,
    HeatWord,
    IfProvisional,
    InARoom,
    MonthlyHours,
    NearlyAllYear,
    Season,
    Verdict,
    Whose,
    whose,
)
from suitability.advice.verdicts import Decision, season_of
from suitability.climate.cold import trailing_sum
from suitability.climate.days import local_hour
from suitability.climate.heat import SpotHeat
from suitability.climate.states import SpotNights
from suitability.groups.group import Needs
from suitability.places import Place
from suitability.quantities import (
    SCHEMA_VERSION,
    Count,
    DegreeHours,
    Gap,
    Hours,
    NightsAYear,
    Promise,
    Result,
    SchemaVersion,
)
from suitability.spots.spot import LIGHT_CLASSES, End, Spot
from suitability.weather.record import Record

LightWord = Literal["fits", "darker", "brighter", "not-said"]
DecidedBy = Literal["verdict", "season", "unsafe-nights", "rest", "hours-below", "heat", "nothing"]
HARM = {HeatWord.LITTLE: 0, HeatWord.IF_DRY: 0, HeatWord.AT_TIMES: 1, HeatWord.EXPECT_DAMAGE: 2}


class Row(Whose, frozen=True, kw_only=True):
    """One group at one spot of one place, or plants of it, wherever they stand."""

    place: Annotated[str, Meta(description="Name of the place.")]
    indoors: InARoom = False
    verdict: Annotated[Verdict, Meta(description="At the usual numbers of the spot.")]
    provisional: Annotated[
        bool, Meta(description="The verdict rests on fewer than ten usable years.")
    ]
    promise_worth: IfProvisional = None
    borderline: Annotated[
        bool, Meta(description="The spot 1 °C colder or warmer has another verdict.")
    ]
    spot_ends: Annotated[SpotEnds | None, Meta(description="Null for a spot without a range.")]
    season: Annotated[
        Season | None,
        Meta(description="Outdoors; null where the verdict lets it out for none."),
    ]
    nearly_all_year: NearlyAllYear = False
    grows_from: GrowsFrom = None
    comfort_c: ComfortMark = None
    comfort_season: ComfortSeason = None
    years_usable: Annotated[Count, Meta(description="Plant years observed well enough.")]
    unsafe_nights: Annotated[
        NightsAYear | None,
        Meta(
            description="A year, in the median of the usable years; null without any.",
        ),
    ]
    unsafe_nights_worst: Annotated[
        NightsAYear | None,
        Meta(
            description="In the worst of the usable years; null without any.",
        ),
    ]
    worst_dose_c_h: Annotated[
        DegreeHours, Meta(ge=0, description="Heaviest cold of 14 nights on record.")
    ]
    hours_below: Annotated[MonthlyHours, Meta(description="Hours below the growth floor.")]
    heat_hours: Annotated[
        Annotated[Hours, Meta(ge=0)] | None,
        Meta(
            description="Above the ceiling on the days out (on all days of who spends none), a "
            "year on the mean, as `check` has it; null without a ceiling.",
        ),
    ]
    heat: HeatOut = None
    rest: RestFinding
    carried_nights: Annotated[
        CarriedNights | None, Meta(description="Whatever the verdict; null without one.")
    ]
    moves: Annotated[
        int,
        Meta(ge=0, le=2, description="How often a year one plant is carried by its season."),
    ]
    margin_c: Annotated[
        Gap | None,
        Meta(description="Least warming that would raise the verdict."),
    ]
    light: Annotated[
        LightWord,
        Meta(description="The spot's beside what the group wants."),
    ]
    limiting: tuple[Limiting, ...]
    best: Annotated[
        bool | None,
        Meta(
            description="Whether the spot is the best for these plants, or one that cannot be told "
            "apart from it, outdoors or among the rooms; null for a group."
        ),
    ] = None
    stand_here: Annotated[
        tuple[str, ...], Meta(description="Names of those of the plants that stand there.")
    ] = ()
    order: Annotated[
        int,
        Meta(ge=1, description="In its group's order, 1 the best; rooms are ordered apart."),
    ] = 1

    @property
    def days(self) -> int:
        """Days of the season outdoors; 0 where the verdict allows none."""
        return 0 if self.season is None else self.season.days

    @property
    def never_rests(self) -> bool:
        """Whether it may stay all year where no winter on record is a rest its flowers hang on."""
        rest = self.rest
        wanted = self.verdict is Verdict.ALL_YEAR and bool(rest.needed and rest.of_years)
        return wanted and not (rest.met_years or rest.partly_years)


class SpotOfPlace(Result, frozen=True, kw_only=True):
    """A spot by its name and that of its place."""

    place: str
    spot: str


class Difference(Result, frozen=True, kw_only=True):
    """The better of two neighbours in a group's order, less the other."""

    group: Annotated[str, Meta(description="Key of the group.")]
    plants: Annotated[
        tuple[str, ...], Meta(description="Names of the plants; empty for a group.")
    ] = ()
    better: SpotOfPlace
    other: SpotOfPlace
    decided_by: Annotated[
        DecidedBy,
        Meta(description="In what they differ, the first of the order; nothing: alike in all."),
    ]
    reason: Annotated[str, Meta(description="What the order hangs on, in words.")]
    season_days_difference: Annotated[
        Interval | None,
        Meta(
            description="Of the season that each year by itself allowed; null where too few years "
            "tell.",
            extra_json_schema={"unit": "days a year"},
        ),
    ]
    unsafe_nights_difference: Annotated[
        Interval | None,
        Meta(
            description="Null where too few years tell.",
            extra_json_schema={"unit": "nights a year"},
        ),
    ]
    hours_below_difference: Annotated[
        Interval | None,
        Meta(
            description="Below the growth floor, in months that at neither spot lie in the cool "
            "season in which a lower floor counts; null where too few years tell.",
            extra_json_schema={"unit": "h a year"},
        ),
    ]
    heat_hours_difference: Annotated[
        Interval | None,
        Meta(
            description="Above the ceiling on the days out; null where too few years tell, and "
            "without a ceiling.",
            extra_json_schema={"unit": "h a year"},
        ),
    ] = None
    years: Annotated[Count, Meta(description="Years, or pairs of them, behind it.")]
    years_shared: Annotated[
        Count,
        Meta(
            description="Years that both records know: with five or more only these are compared, "
            "with fewer what differs may be the years, and more is asked."
        ),
    ]
    told_apart: Annotated[
        bool | None,
        Meta(
            description="Whether the interval of what the order hangs on leaves out zero as the "
            "order says, and no other one the other way; null where too few years tell. True "
            "where none of cold does, and heat harms the group less at the better one, outdoors."
        ),
    ]


class Standing(Result, frozen=True, kw_only=True):
    """Where one plant stands, and whether it stands well there."""

    plant: str
    number: Count
    spot: Annotated[str | None, Meta(description="Null: not placed yet.")]
    well: Annotated[
        bool | None,
        Meta(
            description="Whether no other spot can be told to be better; null without a spot that "
            "is compared, and where several places are."
        ),
    ]


class Placement(Result, frozen=True, kw_only=True):
    """Which spot is the best for plants that are judged alike, and where they stand."""

    group: Annotated[str, Meta(description="Key of the group.")]
    group_name: str
    plants: tuple[str, ...]
    numbers: tuple[int, ...]
    caveat: str
    best: Annotated[
        tuple[SpotOfPlace, ...],
        Meta(
            description="Of the spots outdoors (of the rooms, where there is no other spot) the "
            "first of its order, and those of the same verdict that cannot be told apart from it; "
            "empty where it can live at none."
        ),
    ]
    best_rooms: Annotated[
        tuple[SpotOfPlace, ...],
        Meta(description="The same of the rooms, beside spots outdoors; else empty."),
    ] = ()
    against: Annotated[
        SpotOfPlace | None,
        Meta(description="With which the best is compared: where it stands, or the next one."),
    ]
    decided_by: Annotated[
        DecidedBy | None,
        Meta(description="In what it differs from that; null where there is none."),
    ]
    reason: Annotated[str, Meta(description="What the best hangs on, in words.")]
    told_apart: Annotated[
        bool | None,
        Meta(description="Whether the best can be told from that; null if not known, or of none."),
    ]
    standing: Annotated[tuple[Standing, ...], Meta(description="Of each plant, in that order.")]


class Weather(Credit, frozen=True, kw_only=True):
    """Whose the weather of a place is, and of which years."""

    period: Period


class Comparison(Result, frozen=True, kw_only=True):
    """Spots of one place or several side by side: rows as asked for, and neighbours in order."""

    schema_version: SchemaVersion = SCHEMA_VERSION
    promise: Promise
    understood: Annotated[
        tuple[str, ...], Meta(description="What names were taken for, in sentences.")
    ] = ()
    notes: Annotated[
        tuple[str, ...], Meta(description="What of the collection was left out, in sentences.")
    ] = ()
    places: tuple[Place, ...]
    credits: Annotated[tuple[Weather, ...], Meta(description="One for each place.")]
    results: Annotated[tuple[Row, ...], Meta(description="By place, spot and group as asked for.")]
    differences: Annotated[
        tuple[Difference, ...], Meta(description="Of neighbours in each group's order.")
    ]
    placements: Annotated[
        tuple[Placement, ...],
        Meta(description="Which spot for which plants of the collection; empty without plants."),
    ] = ()


Key = tuple[str, str, str, tuple[str, ...]]


def key_of(row: Row) -> Key:
    """What a row is known by: place, spot, group and plants."""
    return row.place, row.spot, row.group, row.plants


def order_of(rows: Sequence[Row]) -> list[Row]:
    """The rows of one group by all but heat, the best spot first; equal ones as they stood."""

    def key(row: Row) -> tuple[float, float, float, float, float]:
        unsafe = math.inf if row.unsafe_nights is None else row.unsafe_nights
        hours = math.inf if row.hours_below.year is None else row.hours_below.year
        return -row.verdict.rank, -row.days, unsafe, -_rest_share(row), hours

    return sorted(rows, key=key)


def best_first(rows: Sequence[Row]) -> list[Row]:
    """The rows of one group, outdoors or of rooms, by their order."""
    return sorted(rows, key=lambda row: row.order)


def _put_in_order(rows: Sequence[Row], years: Mapping[Key, ByEnd]) -> list[Row]:
    """
    The same rows with their order: as `order_of` has them, and then by heat.

    Of the first that is left and those that cold cannot tell from it, the next is the first than
    which heat harms none of the others less.
    """
    left = order_of(rows)
    if not any(_harm(row) and not row.indoors for row in rows):
        return [replace(row, order=at) for at, row in enumerate(left, start=1)]

    @cache
    def difference(better: Row, other: Row) -> Difference:
        return find_difference(better, other, years)

    def are_tied(first: Row, other: Row) -> bool:
        told = difference(first, other)
        sure = told.told_apart is True and told.decided_by != "heat"
        return first.verdict is other.verdict and not sure

    def milder(row: Row, other: Row) -> bool:
        return difference(row, other).decided_by == "heat"

    ordered: list[Row] = []
    while left:
        tied = [left[0], *(row for row in left[1:] if are_tied(left[0], row))]
        mildest = (row for row in tied if not any(milder(other, row) for other in tied))
        following = next(mildest, left[0])
        left.remove(following)
        ordered.append(replace(following, order=len(ordered) + 1))
    return ordered


def apart(rows: Sequence[Row]) -> tuple[list[Row], list[Row]]:
    """The rows of spots outdoors, and those of rooms: neither is compared with the other."""
    return [row for row in rows if not row.indoors], [row for row in rows if row.indoors]


def _rest_share(row: Row) -> float:
    """Share of years that met a rest on which flowers hang; 1 where none is needed."""
    rest = row.rest
    if not rest.needed or not rest.of_years:
        return 1.0 if rest.needed is False else 0.0
    return (rest.met_years or 0) / rest.of_years


def find_difference(better: Row, other: Row, years: Mapping[Key, ByEnd]) -> Difference:
    """
    How far the better of two rows is from the other, and whether that can be told.

    It can if what the order hangs on differs from year to year as the order says, and nothing else
    that is compared differs the other way; or if that tells neither to be the better, and heat
    harms the group less at this one, outdoors.
    """
    first, second = years[key_of(better)], years[key_of(other)]
    growing = first[End.USUAL].growing & second[End.USUAL].growing
    days = how_far_apart(first, second, lambda one: one.days)
    unsafe = how_far_apart(first, second, lambda one: one.unsafe)
    hours = how_far_apart(first, second, lambda one: one.hours_in(growing))
    hot = how_far_apart(first, second, lambda one: one.hot).interval
    decided_by, reason = _reason(better, other)

    def told_by_cold(sign: float) -> bool | None:
        told = {
            "verdict": gain(days.interval, sign),
            "season": gain(days.interval, sign),
            "unsafe-nights": gain(unsafe.interval, -sign),
            "hours-below": gain(hours.interval, -sign),
        }.get(decided_by, False)
        return told and _agree(days.interval, unsafe.interval, sign)

    told = told_by_cold(1.0)
    if (
        better.verdict is other.verdict
        and not better.indoors  # of a room the heat of summer is hardly known
        and not (told or told_by_cold(-1.0))
        and _is_milder(better, other, hot)
    ):
        decided_by, reason, told = "heat", _less_heat(better, other), True
    return Difference(
        group=better.group,
        plants=better.plants,
        better=_place_of(better),
        other=_place_of(other),
        decided_by=decided_by,
        reason=reason,
        season_days_difference=days.interval,
        unsafe_nights_difference=unsafe.interval,
        hours_below_difference=hours.interval,
        heat_hours_difference=hot,
        years=unsafe.number,
        years_shared=unsafe.shared,
        told_apart=told,
    )


def _agree(days: Interval | None, unsafe: Interval | None, sign: float) -> bool:
    """Whether no mean of years speaks against the better: fewer days, or more unsafe nights."""
    fewer = days is not None and sign * days.difference < 0.0
    return not fewer and (unsafe is None or sign * unsafe.difference <= 0.0)


def _is_milder(row: Row, other: Row, hours: Interval | None) -> bool:
    """
    Whether heat harms a group less at the first.

    By its class, at one place; of one class that harms, and of two places, whose years may be
    others, the hours above the ceiling must surely be fewer too.
    """
    mine, others = _harm(row), _harm(other)
    if mine is None or others is None or mine > others or others == 0:
        return False
    return (mine < others and row.place == other.place) or gain(hours, -1.0) is True


def _harm(row: Row) -> int | None:
    """How much heat harms, from 0 to 2; None where that is not known."""
    return HARM.get(row.heat or HeatWord.UNKNOWN)


def harms_more(row: Row, other: Row | None) -> bool:
    """Whether heat is of a worse class for a group at the first of two spots."""
    mine, others = _harm(row), None if other is None else _harm(other)
    return mine is not None and others is not None and mine > others


def _less_heat(better: Row, other: Row) -> str:
    """How much less heat harms, in words."""
    if better.heat is other.heat:
        return (
            f"{_number(better.heat_hours)} hours a year above its ceiling against "
            f"{_number(other.heat_hours)}"
        )
    meant = {HeatWord.AT_TIMES: "harm at times", HeatWord.EXPECT_DAMAGE: "damage to be expected"}
    mine, others = (
        meant.get(one.heat or HeatWord.LITTLE, "little to fear") for one in (better, other)
    )
    return f"heat: {mine} against {others}"


def _reason(better: Row, other: Row) -> tuple[DecidedBy, str]:
    """What the order by cold hangs on, and in words."""
    if better.verdict is not other.verdict:
        return "verdict", f"{_verdict(better)} against {_verdict(other)}"
    if better.days != other.days:
        return "season", f"a season of {better.days} days against {other.days}"
    if better.unsafe_nights != other.unsafe_nights:
        return "unsafe-nights", (
            f"{_number(better.unsafe_nights)} unsafe nights a year against "
            f"{_number(other.unsafe_nights)}"
        )
    if _rest_share(better) != _rest_share(other):
        return "rest", f"its rest is met in {_rest(better)} years against {_rest(other)}"
    if better.hours_below.year != other.hours_below.year:
        return "hours-below", (
            f"{_number(better.hours_below.year)} hours a year below the floor against "
            f"{_number(other.hours_below.year)}"
        )
    return "nothing", "alike in all that is compared"


def _verdict(row: Row) -> str:
    """The verdict; of a spot in a room with what it means there."""
    meant = {
        Verdict.ALL_YEAR: "all year in the room",
        Verdict.SEASONAL: "for a season in the room",
        Verdict.INDOOR: "not in the room",
    }
    told = meant.get(row.verdict) if row.indoors else None
    return f"{told} ({row.verdict})" if told else str(row.verdict)


def _rest(row: Row) -> str:
    return f"{row.rest.met_years or 0} of {row.rest.of_years or 0}"


def _number(value: float | None) -> str:
    return "unknown" if value is None else f"{value:.0f}"


# Where plants stand, and where better ----------------------------------------------------------


def _place_of(row: Row) -> SpotOfPlace:
    return SpotOfPlace(place=row.place, spot=row.spot)


class _Choice(Struct, frozen=True, kw_only=True):
    """
    Spots of one kind in the order of plants that are judged alike.

    Attributes
    ----------
    ordered
    differences
        Of the first from each other one.
    best
        The first, and those of its verdict that cannot be told apart; empty: none is fit.
    worse
        The others; empty where none is fit.
    fits
        Names of spots where a plant stands well.
    """

    ordered: list[Row]
    differences: dict[Key, Difference]
    best: list[Row]
    worse: list[Row]
    fits: set[str]


def _choose(rows: Sequence[Row], years: Mapping[Key, ByEnd]) -> _Choice:
    """What plants judged alike choose among, outdoors or of rooms."""
    ordered = best_first(rows)
    first = ordered[0]
    differences = {key_of(row): find_difference(first, row, years) for row in ordered[1:]}
    lives = first.verdict in {Verdict.ALL_YEAR, Verdict.SEASONAL}
    alike = [
        row
        for row in ordered[1:]
        if row.verdict is first.verdict and differences[key_of(row)].told_apart is not True
    ]
    best = [first, *alike] if lives else []
    fits = {
        row.spot
        for row in ordered
        if row in best or not best or differences[key_of(row)].told_apart is not True
    }
    if first.never_rests:  # who stays all year where no winter is its rest gives up its flowers
        fits |= {row.spot for row in ordered if row.verdict is Verdict.SEASONAL}
    return _Choice(
        ordered=ordered,
        differences=differences,
        best=best,
        worse=[row for row in ordered[1:] if row not in alike] if lives else [],
        fits=fits,
    )


def find_placement(
    rows: Sequence[Row],
    years: Mapping[Key, ByEnd],
    spot_of: Mapping[str, str | None],
) -> Placement:
    """
    Which spot is the best for plants that are judged alike, what it hangs on, where they stand.

    The best are those of one verdict that cannot be told apart; a plant stands well wherever no
    other spot can be told to be better. Rooms are chosen among themselves: indoors is no answer to
    the question where it stands best outdoors. In a room that is not fit it stands well only where
    no spot outdoors is fit either.

    Parameters
    ----------
    rows
        Of the same plants at every spot.
    spot_of
        From a plant to where it stands.
    """
    outdoors, rooms = apart(rows)
    main = _choose(outdoors or rooms, years)
    inside = _choose(rooms, years) if outdoors and rooms else None
    first, best = main.ordered[0], main.best
    stand = {spot_of[plant] for plant in first.plants}
    worse = main.worse
    against = next((row for row in worse if row.spot in stand), worse[0] if worse else None)
    told = against or (best[1] if len(best) > 1 else None)
    difference = None if told is None else main.differences[key_of(told)]
    everywhere = f"{_verdict(first)} at every spot{' outdoors' if inside else ''}"
    compared, several = {row.spot for row in rows}, len({row.place for row in rows}) > 1
    fits = main.fits
    if inside is not None and (inside.best or not main.best):
        fits = fits | inside.fits

    def well(spot: str | None) -> bool | None:
        return None if several or spot not in compared else spot in fits

    return Placement(
        group=first.group,
        group_name=first.group_name,
        plants=first.plants,
        numbers=first.numbers,
        caveat=first.caveat,
        best=tuple(map(_place_of, best)),
        best_rooms=tuple(map(_place_of, inside.best if inside else ())),
        against=None if against is None else _place_of(against),
        decided_by=None if difference is None else difference.decided_by,
        reason=everywhere if difference is None else difference.reason,
        told_apart=None if difference is None else difference.told_apart,
        standing=tuple(
            Standing(plant=plant, number=number, spot=spot_of[plant], well=well(spot_of[plant]))
            for plant, number in zip(first.plants, first.numbers, strict=True)
        ),
    )


def _placed(row: Row, placement: Placement) -> Row:
    """The row, and what the placement of its plants says of its spot."""
    here = (one.plant for one in placement.standing if one.spot == row.spot)
    best = _place_of(row) in (*placement.best, *placement.best_rooms)
    return replace(row, best=best, stand_here=tuple(here))


class Site(Struct, frozen=True, kw_only=True):
    """
    A place with its record, the spots asked about there, and what is asked of the record.

    `needs` has those of each spot where they differ from spot to spot: noted damage is explained
    by the nights of the spot where it was done.
    """

    record: Record
    place: Place
    spots: tuple[Spot, ...]
    options: CheckOptions
    needs: tuple[tuple[Needs, ...], ...] = ()


def compare(questions: Sequence[Question]) -> Comparison:
    """
    Which spot, at one place or several, suits which group or plant, and whether that can be told.

    Plants of a collection are judged at every spot that is asked about, wherever they stand.

    Parameters
    ----------
    questions
        One a place, from `ask`, of the same groups; places of one name are numbered.

    Raises
    ------
    RecordError
        Nothing of a record lies in the years asked for.
    """
    sites: list[Site] = []
    names: set[str] = set()
    for one in questions:
        name, number = one.place.name, 2
        while name in names:
            name, number = f"{one.place.name} ({number})", number + 1
        names.add(name)
        sites.append(
            Site(
                record=one.record,
                place=replace(one.place, name=name),
                spots=one.spots,
                options=one.options,
                needs=needs_by_spot(one),
            )
        )
    subjects = questions[0].subjects
    light = {group.key: group.light_class for group in subjects.catalogue.groups}
    plants = [plant for subject in subjects.asked for plant in subject.plants]
    return compare_sites(
        sites,
        [subject.needs()[0] for subject in subjects.asked],
        light,
        spot_of={plant.name: plant.spot for plant in plants},
    )


def needs_by_spot(question: Question) -> tuple[tuple[Needs, ...], ...]:
    """What is needed at each spot; empty where no damage makes a difference between them."""
    subjects, own = question.subjects, question.subjects.collection
    damaged = [subject for subject in subjects.asked if subject.damage]
    if not damaged:
        return ()
    from suitability.advice.profiling import needs_at, profile_needs  # noqa: PLC0415  (slow)

    by_name = {spot.name: spot for spot in (*(own.spots if own else ()), *question.spots)}
    stood = [by_name[plant.spot] for one in damaged for plant in one.plants if plant.spot]
    spots = tuple(dict.fromkeys((*question.spots, *stood)))
    laid_out = lay_out(
        question.record, question.place, spots, (), question.options, also=profile_needs(damaged)
    )

    def needs(subject: Subject, spot: Spot) -> Needs:
        if not subject.damage:
            return subject.needs()[0]
        at = next((by_name[plant.spot] for plant in subject.plants if plant.spot), spot)
        return needs_at(subject, laid_out.at(at).judged)

    return tuple(tuple(needs(one, spot) for one in subjects.asked) for spot in question.spots)


def compare_sites(
    sites: Sequence[Site],
    groups: Sequence[Needs],
    light_classes: Mapping[str, str | None],
    *,
    spot_of: Mapping[str, str | None] | None = None,
) -> Comparison:
    """
    All groups, or plants, at all spots of all places.

    Parameters
    ----------
    sites
        At least one; records after the checks of quality.
    groups
    light_classes
        Group key to the light it wants.
    spot_of
        From each plant to where it stands; None: no plants are asked about.

    Raises
    ------
    RecordError
        Nothing of a record lies in the years asked for.
    """
    used = [years_asked(site.record, site.place, site.options) for site in sites]
    asked = [(number, at) for number, site in enumerate(sites) for at in range(len(site.spots))]

    def compare(piece: int) -> tuple[list[Row], list[ByEnd]]:
        number, at = asked[piece]
        site = sites[number]
        here = site.needs[at] if site.needs else groups
        return _compare_spot(site, used[number], site.spots[at], here, light_classes)

    rows: list[Row] = []
    years: dict[Key, ByEnd] = {}
    for found, told in parallel.each(compare, len(asked)):
        rows += found
        years |= zip(map(key_of, found), told, strict=True)
    differences, placements = [], []
    for at in range(len(groups)):  # of each spot there are as many rows
        of_group = rows[at :: len(groups)]
        order: dict[Key, int] = {}
        for kind in apart(of_group):
            ordered = _put_in_order(kind, years)
            order |= {key_of(row): row.order for row in ordered}
            for better, other in pairwise(ordered):
                differences.append(find_difference(better, other, years))
        of_group = [replace(row, order=order[key_of(row)]) for row in of_group]
        rows[at :: len(groups)] = of_group
        if spot_of:
            placement = find_placement(of_group, years, spot_of)
            placements.append(placement)
            rows[at :: len(groups)] = [_placed(row, placement) for row in of_group]
    return Comparison(
        places=tuple(site.place for site in sites),
        credits=tuple(
            Weather(**asdict(Credit.of(record)), period=Period.of(record)) for record in used
        ),
        promise=sites[0].options.rules.promise,
        results=tuple(rows),
        differences=tuple(differences),
        placements=tuple(placements),
        understood=sites[0].options.understood,
        notes=sites[0].options.notes,
    )


def _compare_spot(
    site: Site,
    used: Record,
    spot: Spot,
    groups: Sequence[Needs],
    light_classes: Mapping[str, str | None],
) -> tuple[list[Row], list[ByEnd]]:
    """All groups at one spot, and the years of each; alone, for its nights fill memory."""
    start = local_hour(used.start_hour, site.place.utc_offset_hours)
    at_ends = records_at_ends(used, site.place, spot) if spot.has_range else {}
    usual = at_ends.get(End.USUAL) or records_at_spots(used, site.place, [spot])[0]
    judged = _judged(site, used, spot, groups, usual, colder_c=what_if.BESIDE_C)
    grades: dict[End, list[Verdict]] = {}
    told: dict[End, list[Years]] = {}
    for end in (End.LOW, End.HIGH) if spot.has_range else ():
        at_end = _judged(site, used, spot, groups, at_ends[end], colder_c=0.0)
        cases = list(map(at_end.case, groups))
        grades[end] = [verdicts.grade(case) for case in cases]
        hours = hours_by_month(cases[0].nights)
        heat = lay_out_heat(cases[0].nights, at_ends[end], site.place)
        told[end] = [
            years_of(
                case,
                growing_days(case),
                judged.decision(needs).season,
                hours(needs.floor_c),
                hot=_hot(needs, judged.decision(needs), heat),
            )
            for case, needs in zip(cases, groups, strict=True)
        ]
    cases = list(map(judged.case, groups))
    mean_year = count_hours(used if spot.is_as_outside else usual, start, groups)
    hours = hours_by_month(cases[0].nights)
    worst_dose = _worst_doses(cases[0].nights)
    heat = lay_out_heat(cases[0].nights, usual, site.place)
    period = lay_out_resting(cases[0].nights, used.prcp_mm, start, roofed=spot.roofed)
    rows: list[Row] = []
    years: list[ByEnd] = []
    for at, (needs, case, carried) in enumerate(zip(groups, cases, carried_of(cases), strict=True)):
        here = {end: by_group[at] for end, by_group in told.items()}
        decision = judged.decision(needs)
        here[End.USUAL] = years_of(
            case,
            decision.floor_days,
            decision.season,
            hours(needs.floor_c),
            hot=_hot(needs, decision, heat),
        )
        years.append(here)
        rain_unknown = used.prcp_mm is None and not spot.roofed
        rows.append(
            _row(
                needs,
                case,
                decision,
                here[End.USUAL],
                place=site.place.name,
                spot=spot,
                ends=SpotEnds(low=grades[End.LOW][at], high=grades[End.HIGH][at])
                if grades
                else None,
                carried=carried,
                rest=find_rest(needs, decision, period, rain_unknown=rain_unknown),
                hours_below=mean_year.normals[needs.floor_c].hours,
                worst_dose_c_h=worst_dose(needs.chill_base_c),
                heat=find_heat(needs, case.observed.winter_usable, days_out(decision), heat),
                light=light_of(spot.light, light_classes.get(needs.key)),
            )
        )
    return rows, years


def _judged(
    site: Site,
    used: Record,
    spot: Spot,
    groups: Sequence[Needs],
    at_spot: Record,
    *,
    colder_c: float,
) -> SpotCases:
    """All groups at one end of a spot, ready to be judged as it is, warmer, and so much colder."""
    (nights,) = lay_out_spots(
        used, site.place, [spot], groups, site.options, at_spots=[at_spot], colder_c=colder_c
    )
    return SpotCases(nights, site.options.rules)


def _row(
    needs: Needs,
    case: Case,
    decision: Decision,
    years: Years,
    *,
    place: str,
    spot: Spot,
    ends: SpotEnds | None,
    carried: CarriedNights | None,
    rest: RestFinding,
    hours_below: MonthlyHours,
    worst_dose_c_h: float,
    heat: HeatOutlook | None,
    light: LightWord,
) -> Row:
    verdict = decision.verdict
    known = years.unsafe.known
    return Row(
        place=place,
        **whose(spot.name, needs, decision.unseen.nights),
        indoors=spot.room is not None,
        verdict=verdict,
        provisional=verdicts.is_provisional(decision, case.rules),
        promise_worth=verdicts.promise_worth(decision, case.rules),
        borderline={*what_if.verdicts_beside(case, verdict)} != {verdict},
        spot_ends=ends,
        season=season_of(decision.season_allowed),
        nearly_all_year=decision.nearly_all_year,
        grows_from=first_growth(case.nights.calendar, needs, decision.season_allowed),
        comfort_c=needs.comfort_c,
        comfort_season=season_of(comfortable_nights(case.nights.calendar, needs.comfort_c)),
        years_usable=decision.years_usable,
        unsafe_nights=float(np.median(known)) if known.size else None,
        unsafe_nights_worst=float(known.max()) if known.size else None,
        worst_dose_c_h=worst_dose_c_h,
        hours_below=hours_below,
        heat_hours=None if heat is None else heat.hours_mean,
        heat=None if heat is None else heat.word,
        rest=rest,
        carried_nights=None if verdict is Verdict.NONE else carried,
        moves=2 if verdict is Verdict.SEASONAL else 0,
        margin_c=what_if.find_margin(case, verdict),
        light=light,
        limiting=limiting_causes(case, decision),
    )


def _worst_doses(nights: SpotNights) -> Callable[[float], float]:
    """Heaviest cold of 14 nights on record below a chill base; remembers what it was asked."""

    @cache
    def worst_dose(chill_base_c: float) -> float:
        return float(trailing_sum(nights.dose.degree_hours_below(chill_base_c)).max())

    return worst_dose


def _hot(needs: Needs, decision: Decision, heat: SpotHeat) -> FloatArray | None:
    """Hours above the ceiling on the days out, (plant year); None without a ceiling."""
    if needs.ceiling_c is None:
        return None
    return heat.years(days_met(decision), ceiling_c=needs.ceiling_c).hours


def light_of(spot_light: str | None, group_light: str | None) -> LightWord:
    """
    How the light of a spot suits a group.

    Examples
    --------
    >>> light_of("low", "bright"), light_of("bright", "bright"), light_of(None, "bright")
    ('darker', 'fits', 'not-said')
    """
    if spot_light is None or group_light is None:
        return "not-said"
    words: tuple[str, ...] = LIGHT_CLASSES
    apart = words.index(spot_light) - words.index(group_light)
    return "fits" if apart == 0 else "brighter" if apart > 0 else "darker"
