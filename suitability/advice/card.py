"""
A card for the potting bench: what one group at one spot needs to be told, on one page.

Temperatures are in °C; days of the year are "MM-DD" in the place's standard time. What is not known
is None, or an empty text.
"""

from __future__ import annotations

from typing import TYPE_CHECKING

from msgspec import Struct

if TYPE_CHECKING:
    from suitability.advice.moves_result import MoveDate
    from suitability.advice.plant_year import PlantYear
    from suitability.advice.result import CarriedNights, RecordSummary, Season, Settings
    from suitability.advice.verdicts import Verdict
    from suitability.places import Place

__all__ = ["Card", "CardResult", "HardNights", "RestWords", "Span"]


class Span(Struct, frozen=True, kw_only=True):
    """From a low to a high number, in the unit of the field that holds it."""

    low: float
    high: float


class HardNights(Struct, frozen=True, kw_only=True):
    """
    Nights a year below the limit, were the plant left out all year.

    Attributes
    ----------
    mean, worst
        Of the plant years observed well enough, the worst of any.
    month
        The one that has most of them (1 to 12); None where there is none.
    """

    mean: float
    worst: int
    month: int | None


class RestWords(Struct, frozen=True, kw_only=True):
    """What the group's rest is, as the catalogue says it."""

    kind: str
    night_c: Span | None
    weeks: Span | None
    dry: str
    trigger: str


class Card(Struct, frozen=True, kw_only=True):
    """
    The card of one group, or of one plant, at one spot.

    Attributes
    ----------
    aliases
        Other names of the group, those of the trade first.
    years_usable
        Plant years behind the verdict.
    unseen_nights
        Nights that nobody saw and that may have been unsafe, where "all year" rests on them; 0.
    limit_c, limit_wet_c, floor_c, rest_floor_c, ceiling_c
        Survives down to, dry and wet; grows from; rests down to; heat harms above.
    good_nights_c
        Nights on which it grows well.
    indoors
        The spot is in a room: nothing is carried out of it or into it for cold.
    out, inn
        Dates of moving, promised and typical; None where nothing moves.
    out_any_day, in_any_day
        Whether half of the years set no date on that side.
    hard_nights
        None without a verdict.
    year
        Rest, heat and dry air.
    rest
        None for a group without any.
    water_growth, feed_growth, water_rest, feed_rest, leaves, rhythm, first_signs, notes, pets
        Words of the catalogue.
    light_class, light_klx, shade_pct, humidity_pct
    tonight_c
        Bring it in where the low forecast for the spot is at or below this: the wet limit and two
        degrees (reasoned).
    """

    spot: str
    roofed: bool
    indoors: bool
    group: str
    group_name: str
    plant: str
    aliases: tuple[str, ...]
    verdict: Verdict
    provisional: bool
    low_confidence_limit: bool
    years_usable: int
    unseen_nights: int
    line: str
    season: Season | None
    limit_c: float
    limit_wet_c: float
    floor_c: float
    rest_floor_c: float | None
    good_nights_c: Span | None
    ceiling_c: float | None
    out: MoveDate | None
    inn: MoveDate | None
    out_any_day: bool
    in_any_day: bool
    carried_nights: CarriedNights | None
    hard_nights: HardNights | None
    year: PlantYear
    rest: RestWords | None
    water_growth: str
    feed_growth: str
    water_rest: str
    feed_rest: str
    leaves: str
    rhythm: str
    first_signs: str
    notes: str
    pets: str
    light_class: str | None
    light_klx: Span | None
    shade_pct: Span | None
    humidity_pct: Span | None
    tonight_c: float


class CardResult(Struct, frozen=True, kw_only=True):
    """
    A place, its record, what was asked, and the cards.

    `after_cold` and `trade` are words that hold for all groups.
    """

    place: Place
    record: RecordSummary
    settings: Settings
    cards: tuple[Card, ...]
    after_cold: str
    trade: str
