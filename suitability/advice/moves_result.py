"""
The result of planning moves: what its tables, pages and files show, and none of them computes.

Days of the year are "MM-DD" in standard time; what is not known is None.
"""

from __future__ import annotations

from typing import TYPE_CHECKING

import numpy as np
from msgspec import Struct
from numpy.typing import NDArray

if TYPE_CHECKING:
    from suitability.advice.result import (
        CarriedNights,
        Reason,
        RecordSummary,
        Season,
        Settings,
    )
    from suitability.advice.verdicts import Verdict
    from suitability.places import Place

__all__ = [
    "Decades",
    "Move",
    "MoveDate",
    "MovesResult",
    "ThresholdDates",
    "ThresholdLevel",
    "YearOutdoors",
]

FloatArray = NDArray[np.float64]
BoolArray = NDArray[np.bool_]


class MoveDate(Struct, frozen=True, kw_only=True):
    """
    One date of moving, "MM-DD".

    Attributes
    ----------
    promised, typical
        Of the promised season, and of half of the years.
    watch_from, watch_to
        The days between them, in the order of the year; None where they coincide.
    earliest, latest
        90 % interval of the promised date when the years are resampled.
    holds_alone
        Probability that a new year keeps this date alone, without the other.
    """

    promised: str
    typical: str
    watch_from: str | None
    watch_to: str | None
    earliest: str
    latest: str
    holds_alone: float


class YearOutdoors(Struct, frozen=True, kw_only=True):
    """
    One past year: from when until when it would have been fine outdoors.

    `year` is that of the middle of the season (of mid-winter where the whole year is promised).
    Without an unsafe night the year is whole: 01-01, 01-01, 365. `kept` is None for a year that
    does not tell, and where there is no season to keep.

    `nights` has one letter for each night from `first_day` ("MM-DD") on: `.` fine, `h` hard, `w`
    hard only because the pot was wet, `d` dose, `t` heat, `?` unknown.
    """

    year: int
    out: str | None
    inn: str | None
    days: int | None
    kept: bool | None
    first_day: str
    nights: str


class Decades(Struct, frozen=True, kw_only=True):
    """The last ten years beside the earlier ones, and the trend of the season's length."""

    last_years: int
    last_kept: int
    earlier_years: int
    earlier_kept: int
    days_per_decade: float | None
    trend_p: float | None


class Move(Struct, frozen=True, kw_only=True):
    """
    The moves of one group at one spot.

    Attributes
    ----------
    plant
        Name of the plant that is judged in its own state; empty for a group.
    season, out, inn
        None where the verdict gives no dates: outdoors all year, or too short a season.
    chance
        Probability that a new year keeps the whole season, by the calibrated method.
    chance_5_years, chance_10_years
        That all of so many years keep it.
    years_kept, years_counted, kept_low, kept_high
        Past years, and the 95 % Wilson interval of their share.
    risk_not_excluded
        Yearly risk that so many years without a failure cannot exclude (95 %); None if some failed.
    indoors
        The spot is in a room: "out" is there, "in" is away, and nothing is carried out for warmth.
    """

    spot: str
    group: str
    group_name: str
    plant: str
    verdict: Verdict
    reason: Reason | None
    provisional: bool
    model_based: bool
    season: Season | None
    typical_season: Season | None
    survival_season: Season | None
    survival_seasons: tuple[Season, ...]
    out: MoveDate | None
    inn: MoveDate | None
    chance: float | None
    chance_5_years: float | None
    chance_10_years: float | None
    years_usable: int
    years_kept: int
    years_counted: int
    kept_low: float | None
    kept_high: float | None
    risk_not_excluded: float | None
    carried_nights: CarriedNights | None
    decades: Decades | None
    by_year: tuple[YearOutdoors, ...]
    indoors: bool = False

    def sets_no_date(self, date: MoveDate | None) -> bool:
        """Whether half of the years have no unsafe night on this side of the season."""
        return date is not None and bool(self.by_year) and date.typical == self.by_year[0].first_day


class ThresholdLevel(Struct, frozen=True, kw_only=True):
    """
    Dates of one probability, "MM-DD"; None where there is none.

    `probability` is that of a day at or below the temperature on or after the date in spring, on
    or before it in autumn.
    """

    probability: float
    spring_if_it_happens: str | None
    spring_in_any_year: str | None
    autumn_if_it_happens: str | None
    autumn_in_any_year: str | None


class ThresholdDates(Struct, frozen=True, kw_only=True):
    """
    Last spring and first autumn dates of one temperature, at or below, at the open station.

    `summers_without_gap` counts those in which less than four weeks lay between the last day of
    spring and the first of autumn, so that the two dates do not hold a warm season between them.
    """

    threshold_c: float
    seasons: int
    seasons_with_event: int
    summers_without_gap: int
    levels: tuple[ThresholdLevel, ...]


class MovesResult(Struct, frozen=True, kw_only=True):
    """A place, its record, what was asked, the moves, and dates of temperatures asked for."""

    place: Place
    record: RecordSummary
    settings: Settings
    moves: tuple[Move, ...]
    thresholds: tuple[ThresholdDates, ...]
