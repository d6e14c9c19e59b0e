"""What a comparison of growing spots says: rows by place, spot and group, and differences."""

from __future__ import annotations

from typing import TYPE_CHECKING

import numpy as np
from msgspec import Struct
from numpy.typing import NDArray

if TYPE_CHECKING:
    from suitability.advice.result import (
        CarriedNights,
        Credit,
        Limiting,
        RestFinding,
        Season,
        SpotEnds,
    )
    from suitability.advice.verdicts import Verdict
    from suitability.places import Place

__all__ = ["Comparison", "Difference", "Row", "Years"]

FloatArray = NDArray[np.float64]


class Years(Struct, frozen=True, kw_only=True):
    """By plant year, cut at mid-summer: unsafe nights, hours below the floor; nan if unknown."""

    first: int
    cut: int
    unsafe: FloatArray
    hours: FloatArray


class Row(Struct, frozen=True, kw_only=True):
    """
    One group at one spot of one place.

    Attributes
    ----------
    place, spot, group, group_name
    verdict, provisional, borderline
        At the usual numbers of the spot. Provisional from fewer than ten usable years, borderline
        if the spot 1 °C colder or warmer had another verdict.
    ends
        Verdicts at both ends of the spot's range; None without one.
    season
        Of a group that the verdict lets out.
    years_usable
    unsafe_nights, unsafe_nights_worst
        A year, in the median and in the worst of the usable years; None without any.
    worst_dose_c_h
        Heaviest cold of 14 nights on record.
    hours_below
        Below the growth floor in the mean year, as `Finding.growth` has it: the sum of its months.
    monthly_hours_below
        The same for each month from January on; None for a month not observed well enough.
    heat_hours
        Above the ceiling, a year on the mean; None without a ceiling.
    rest
    carried
        Whatever the verdict; None without one.
    moves
        How often a year one plant is carried by its season: 2, or 0.
    margin_c
    light
        `fits`, `darker`, `brighter` than the group wants, or `not-said`.
    limiting
    """

    place: str
    spot: str
    group: str
    group_name: str
    verdict: Verdict
    provisional: bool
    borderline: bool
    ends: SpotEnds | None
    season: Season | None
    years_usable: int
    unsafe_nights: float | None
    unsafe_nights_worst: float | None
    worst_dose_c_h: float
    hours_below: float | None
    heat_hours: float | None
    rest: RestFinding
    carried: CarriedNights | None
    moves: int
    margin_c: float | None
    light: str
    limiting: tuple[Limiting, ...]
    monthly_hours_below: tuple[float | None, ...] = ()

    @property
    def days(self) -> int:
        """Days of the season outdoors; 0 where the verdict allows none."""
        return 0 if self.season is None else self.season.days


class Difference(Struct, frozen=True, kw_only=True):
    """
    One spot less another, for one group, with 90 % intervals; None where too few years tell.

    `told_apart` is None where neither difference could be formed.
    """

    group: str
    better: tuple[str, str]
    other: tuple[str, str]
    reason: str
    unsafe_nights: tuple[float, float, float] | None
    hours_below: tuple[float, float, float] | None
    years: int
    told_apart: bool | None


class Comparison(Struct, frozen=True, kw_only=True):
    """
    Rows by place, spot and group as asked for, and neighbours in each group's order.

    `credits` has one for each place; `understood` says in sentences what names were taken for.
    """

    places: tuple[Place, ...]
    credits: tuple[Credit, ...]
    promise: float
    rows: tuple[Row, ...]
    differences: tuple[Difference, ...]
    understood: tuple[str, ...] = ()
