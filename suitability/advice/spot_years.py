"""
What the years of a group at a spot were like, and how far those of two spots lie apart.

A difference is that of the years that both records know, where they know five or more together:
weather that both had cannot pass for a difference of the spots. Else each mean has its own scatter,
made wider, since other years are often of other decades, which differ by more than years make them
(`docs/calibration.md`).
"""

import math
from collections.abc import Callable, Mapping, Sequence
from functools import cache
from typing import Annotated

import numpy as np
from msgspec import Meta, Struct
from numpy.typing import NDArray

from suitability.advice.cases import HALF_YEAR, Case, dates_by_year
from suitability.climate.days import DAYS, MONTH_STARTS, gather, turn
from suitability.climate.fitting import student_95
from suitability.climate.observing import plant_years, usable_years
from suitability.climate.past_years import Stretch
from suitability.climate.states import SpotNights, unsafe_nights
from suitability.quantities import Result
from suitability.spots.spot import End

FloatArray = NDArray[np.float64]
BoolArray = NDArray[np.bool_]
FEWEST_SHARED = 5  # years from which the scatter of a difference is told
OTHER_DECADES = 2.25  # times the scatter of years, where two records share too few of them
MONTH_DAYS = np.diff([*MONTH_STARTS, DAYS])
_THREE = Meta(extra={"decimals": 3})  # in the unit of the field that holds it


class ByYear(Struct, frozen=True, kw_only=True):
    """A value of each plant year, nan if unknown; `first` is the calendar year of its middle."""

    first: int
    values: FloatArray

    @property
    def known(self) -> FloatArray:
        """The values of years that have one."""
        return self.values[~np.isnan(self.values)]

    def shared(self, other: "ByYear") -> tuple[FloatArray, FloatArray]:
        """Values of the years that both know, year by year."""
        start = max(self.first, other.first)
        stop = min(self.first + self.values.size, other.first + other.values.size)
        one, two = (
            each.values[start - each.first : max(start, stop) - each.first]
            for each in (self, other)
        )
        both = ~np.isnan(one) & ~np.isnan(two)
        return one[both], two[both]


NO_YEARS = ByYear(first=0, values=np.empty(0))


class Years(Struct, frozen=True, kw_only=True):
    """
    What the years of one group at one spot were like.

    Attributes
    ----------
    days : d
        Season that each year by itself would have allowed: around the middle of the promised one,
        on days on which the group grows or rests.
    unsafe
        Unsafe nights of each year from mid-summer.
    hours : one of each month, h
        Below the growth floor, of each year from mid-summer.
    growing : (12)
        Months in which the growth floor counts on most days.
    hot : h
        Above the ceiling on the days out, of each year from mid-winter; none without a ceiling.
    """

    days: ByYear
    unsafe: ByYear
    hours: tuple[ByYear, ...]
    growing: BoolArray
    hot: ByYear = NO_YEARS

    def hours_in(self, months: BoolArray) -> ByYear:
        """Hours below the growth floor in some months of each year."""
        chosen = [self.hours[month].values for month in np.flatnonzero(months)]
        none = np.zeros_like(self.hours[0].values)
        return ByYear(first=self.hours[0].first, values=np.sum([none, *chosen], axis=0))


ByEnd = Mapping[End, Years]


class Interval(Result, frozen=True, kw_only=True):
    """The mean difference a year with its 90 % interval, of which both ends are told."""

    difference: Annotated[float, _THREE, Meta(description="In the mean of years.")]
    low: Annotated[float, _THREE, Meta(description="Lower end of the interval.")]
    high: Annotated[float, _THREE, Meta(description="Upper end of the interval.")]


class Apart(Struct, frozen=True):
    """A difference, the years or pairs of them behind it, and how many years both know."""

    interval: Interval | None
    number: int
    shared: int


def how_far_apart(first: ByEnd, second: ByEnd, what: Callable[[Years], ByYear]) -> Apart:
    """Mean difference a year, the first less the second, with its 90 % interval."""
    one, two = what(first[End.USUAL]), what(second[End.USUAL])
    mine, others = one.shared(two)
    shared = mine.size
    if shared >= FEWEST_SHARED:
        by_year, number = mine - others, shared
        difference = float(by_year.mean())
        half = student_95(number - 1.0) * float(by_year.std(ddof=1)) / math.sqrt(number)
    else:  # other years: each mean has its own scatter
        mine, others = one.known, two.known
        number = min(mine.size, others.size)
        if number < FEWEST_SHARED:
            return Apart(None, number, shared)
        difference = float(mine.mean() - others.mean())
        scatter = math.sqrt(mine.var(ddof=1) / mine.size + others.var(ddof=1) / others.size)
        half = OTHER_DECADES * student_95(number - 1.0) * scatter
    half = math.hypot(half, *(_half_range(years, what) for years in (first, second)))
    interval = Interval(difference=difference, low=difference - half, high=difference + half)
    return Apart(interval, number, shared)


def _half_range(by_end: ByEnd, what: Callable[[Years], ByYear]) -> float:
    """Half of how far the ends of what is known of a spot differ, a year on the mean."""
    if End.LOW not in by_end:
        return 0.0
    low, high = (what(by_end[end]).known for end in (End.LOW, End.HIGH))
    if not low.size or not high.size:
        return 0.0
    return abs(float(low.mean() - high.mean())) / 2.0


def gain(interval: Interval | None, sign: float) -> bool | None:
    """Whether the first is surely better; None where too few years tell."""
    if interval is None:
        return None
    return min(sign * interval.low, sign * interval.high) > 0.0


def hours_by_month(nights: SpotNights) -> Callable[[float], tuple[FloatArray, ...]]:
    """Hours below a floor in each month of each plant year; remembers what it was asked."""
    month = turn(np.repeat(np.arange(12), MONTH_DAYS), -nights.summer)

    @cache
    def hours(floor_c: float) -> tuple[FloatArray, ...]:
        below = np.nan_to_num(gather(nights.axis, nights.cold.hours_below(floor_c)))
        by_day = plant_years(below, nights.summer, outside=0.0)
        return tuple(by_day[:, month == number].sum(axis=1) for number in range(12))

    return hours


def years_of(
    case: Case,
    growing: BoolArray,
    season: Stretch | None,
    hours: Sequence[FloatArray],
    *,
    hot: FloatArray | None = None,
) -> Years:
    """
    What the plant years of a case were like.

    Parameters
    ----------
    growing : (365)
        Days on which the group grows or rests.
    season
        The promised one, or the longest if that is too short; None where there is none.
    hours : of each month, (plant year)
    hot : (plant year), h
        Above the ceiling; None without one.
    """
    nights, observed = case.nights, case.observed
    unsafe = plant_years(unsafe_nights(case.shortfall), nights.summer, outside=False).sum(axis=1)

    def by_year(values: FloatArray, usable: BoolArray, cut: int) -> ByYear:
        first = nights.axis.first_year + (cut - (DAYS if cut else 0) + HALF_YEAR) // DAYS
        return ByYear(first=first, values=np.where(usable, values, np.nan))

    partly = season is not None and season.nights < DAYS
    middle = season.start + season.nights // 2 if season and partly else nights.summer
    cut = (middle - HALF_YEAR) % DAYS
    cool = np.zeros(DAYS, np.bool_)
    if case.limits.rest_floor_c is not None:
        cool = nights.calendar.cool_below(case.limits.floor_c, case.limits.floor_hours_limit)
    days_cool = np.add.reduceat(cool, MONTH_STARTS)
    return Years(
        days=by_year(
            _own_seasons(case, growing, cut),
            usable_years(plant_years(nights.unknown, cut, outside=True)),
            cut,
        ),
        unsafe=by_year(unsafe, observed.summer_usable, nights.summer),
        hours=tuple(by_year(one, observed.summer_usable, nights.summer) for one in hours),
        growing=2 * days_cool <= MONTH_DAYS,
        hot=NO_YEARS if hot is None else by_year(hot, observed.winter_usable, nights.winter),
    )


def _own_seasons(case: Case, growing: BoolArray, cut: int) -> FloatArray:
    """Days of the season that each plant year by itself would have allowed, (plant year)."""
    out, inn = dates_by_year(case, cut)
    grows = turn(growing, -cut)
    before, after = np.flatnonzero(~grows[:HALF_YEAR]), np.flatnonzero(~grows[HALF_YEAR:])
    earliest = before[-1] + 1 if before.size else 0
    latest = HALF_YEAR + after[0] if after.size else DAYS
    days: FloatArray = np.maximum(np.minimum(inn, latest) - np.maximum(out, earliest), 0.0)
    return days
