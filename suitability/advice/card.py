"""
A card for the potting bench: what one group at one spot needs to be told, on one page.

It is the contract of `cards --json` too. Temperatures are in °C; days of the year are "MM-DD" in
the place's standard time. What is not known is None, or an empty text.
"""

from typing import Annotated

from msgspec import Meta

from suitability.advice.moves_result import MoveDate
from suitability.advice.plant_year import PlantYear
from suitability.advice.result import (
    CarriedNights,
    RecordSummary,
    Settings,
)
from suitability.advice.terms import Season, Verdict
from suitability.places import Place
from suitability.quantities import SCHEMA_VERSION, Celsius, Count, Month, Result, SchemaVersion

__all__ = ["Card", "CardResult", "HardNights", "InGrowthAndRest", "RestWords", "Span"]


class Span(Result, frozen=True, kw_only=True):
    """From a low to a high number, in the unit of the field that holds it."""

    low: float
    high: float


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
    """The card of one group, or of one plant, at one spot."""

    roofed: bool
    indoors: Annotated[
        bool,
        Meta(
            description="The spot is in a room: nothing is carried out of it or into it for cold."
        ),
    ]
    plant: str | None
    aliases: Annotated[
        tuple[str, ...], Meta(description="Other names of the group, those of the trade first.")
    ]
    verdict: Verdict
    provisional: bool
    borderline: Annotated[
        bool, Meta(description="A spot 1 °C colder or warmer has another verdict.")
    ]
    model_based: Annotated[
        bool, Meta(description="The years alone cannot carry the promise; false without one.")
    ]
    low_confidence_limit: bool
    years_usable: Annotated[Count, Meta(description="Plant years behind the verdict.")]
    unseen_nights: Annotated[
        Count,
        Meta(
            description="Nights that nobody saw and that may have been unsafe, where "
            '"outdoor all year" rests on them; 0 otherwise.'
        ),
    ]
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
    out_any_day: Annotated[bool, Meta(description="Half of the years set no date on that side.")]
    in_any_day: bool
    carried_nights: CarriedNights | None
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
    shade_pct: Annotated[Span | None, Meta(description="Per cent, in full summer.")]
    humidity_pct: Annotated[Span | None, Meta(description="Per cent.")]
    tonight_c: Annotated[
        Celsius,
        Meta(
            description="Bring it in where the low forecast for the spot is at or below this: the "
            "wet limit and two degrees (reasoned)."
        ),
    ]


class CardResult(Result, frozen=True, kw_only=True):
    """A place, its record, what was asked, and the cards."""

    schema_version: SchemaVersion = SCHEMA_VERSION
    place: Place
    record: RecordSummary
    settings: Settings
    cards: tuple[Card, ...]
    after_cold: Annotated[str, Meta(description="Words that hold for all groups.")]
    trade: str
