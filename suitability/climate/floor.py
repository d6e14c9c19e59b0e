"""
The floor rule: in which calendar days a group grows, or rests, rather than only survives.

In the cool season (the stretch around mid-winter in which the smoothed climatological night
minimum is below the growth floor, or more hours are than the group's limit) the rest floor applies,
outside it the growth floor. A calendar day passes if, on the average of years, the trailing 28 days
hold no more hours below the floor that applies than the group's limit for a month.
"""

from __future__ import annotations

from collections.abc import Callable
from functools import cache

import numpy as np
from msgspec import Struct
from numpy.typing import NDArray

from suitability.climate.cold import NightCold
from suitability.climate.days import DAYS, FoldedAxis, gather, smooth_circular, turn
from suitability.climate.exposure import mean_of_known

FloatArray = NDArray[np.float64]
BoolArray = NDArray[np.bool_]
IntArray = NDArray[np.int64]

SMOOTHING_DAYS = 31
TRAILING_DAYS = 28
MONTH_DAYS = 365.25 / 12


class CalendarCold(Struct, frozen=True, kw_only=True):
    """
    The mean year of a spot, as the floor rule needs it.

    Attributes
    ----------
    mean_hours_below
        Mean hours of each calendar day below a threshold, shape (365); remembers what it was
        asked, since many groups and many warmings of a spot ask for the same thresholds.
    known_hours_below
        The same if no hour that was missed had been cold.
    night_minimum_c : (365), °C
        Smoothed mean night minimum; nan where no year has one.
    cool_below
        `cool_season` of a floor and of hours a month, remembered likewise.
    """

    mean_hours_below: Callable[[float], FloatArray]
    known_hours_below: Callable[[float], FloatArray]
    night_minimum_c: FloatArray
    cool_below: Callable[[float, float], BoolArray]


def calendar_cold(
    cold: NightCold, axis: FoldedAxis, temp_c: FloatArray, coldest_day: int
) -> CalendarCold:
    """
    The mean year of a spot.

    Parameters
    ----------
    temp_c : (night, 24), °C
        After short gaps have been filled.
    """
    known_hours = np.count_nonzero(~np.isnan(temp_c), axis=1)
    by_position = np.where(axis.night_of >= 0, known_hours[axis.night_of], 0)
    # The record begins and ends within a night: what lies outside it is not missing from it.
    whole = known_hours == temp_c.shape[1]
    torn = np.isin(axis.night_of, [0, temp_c.shape[0] - 1]) & ~whole[axis.night_of]
    present = (by_position > 0) & ~torn
    # Hours missing from a night that has some are taken as cold, so that a station that closes at
    # night cannot look warm; so are days that no year has.
    missing = np.where(present, temp_c.shape[1] - by_position, 0).reshape(-1, DAYS).sum(axis=0)
    years = present.reshape(-1, DAYS).sum(axis=0)

    def mean_of(threshold_c: float, missed: IntArray | int, without_a_year: float) -> FloatArray:
        hours = cold.hours_below(threshold_c)[axis.night_of] * present
        total = hours.reshape(-1, DAYS).sum(axis=0) + missed
        without = np.full(DAYS, without_a_year)
        mean: FloatArray = np.divide(total, years, out=without, where=years > 0)
        return mean

    mean_hours_below = cache(lambda threshold_c: mean_of(threshold_c, missing, 24.0))
    night_minimum_c = mean_night_minimum(axis, temp_c)

    @cache
    def cool_below(floor_c: float, hours_limit: float) -> BoolArray:
        too_many = _trailing_month(mean_hours_below(floor_c)) > hours_limit
        cool = (night_minimum_c < floor_c) | _around_winter(too_many, coldest_day)
        return cool_season(cool, coldest_day)

    return CalendarCold(
        mean_hours_below=mean_hours_below,
        known_hours_below=cache(lambda threshold_c: mean_of(threshold_c, 0, 0.0)),
        night_minimum_c=night_minimum_c,
        cool_below=cool_below,
    )


def mean_night_minimum(axis: FoldedAxis, temp_c: FloatArray) -> FloatArray:
    """
    Smoothed mean minimum of the nights that have all their hours, (365), °C; nan without any.

    Parameters
    ----------
    temp_c : (night, 24), °C
    """
    whole = ~np.isnan(temp_c).any(axis=1)
    complete = np.where(whole, np.fmin.reduce(temp_c, axis=1), np.nan)
    return smooth_circular(_bridge(mean_of_years(gather(axis, complete))), SMOOTHING_DAYS)


def mean_of_years(by_position: FloatArray) -> FloatArray:
    """Mean of each calendar day over the years that have it, shape (365); nan without any."""
    return mean_of_known(by_position.reshape(-1, DAYS), axis=0)


def _bridge(by_day: FloatArray) -> FloatArray:
    """Days without any year drawn straight between their neighbours on the ring."""
    known = np.flatnonzero(~np.isnan(by_day))
    if known.size in (0, DAYS):
        return by_day
    days = np.concatenate([known - DAYS, known, known + DAYS])
    return np.interp(np.arange(DAYS), days, np.tile(by_day[known], 3))


def _around_winter(too_many: BoolArray, coldest_day: int) -> BoolArray:
    """
    Days from the first to the last month with too many cold hours within a quarter of mid-winter.

    Parameters
    ----------
    too_many : (365)
        By the trailing 28 days.

    Returns
    -------
    (365)
        No day where so it is for more than half of the year.
    """
    away = (np.arange(DAYS) - coldest_day + DAYS // 2) % DAYS - DAYS // 2
    failed = away[too_many & (np.abs(away) <= DAYS // 4)]
    if failed.size == 0 or 2 * np.count_nonzero(too_many) > DAYS:
        return np.zeros(DAYS, np.bool_)
    first, last = min(int(failed.min()) - TRAILING_DAYS + 1, 0), max(int(failed.max()), 0)
    around: BoolArray = (away >= first) & (away <= last)
    return around


def cool_season(below: BoolArray, coldest_day: int) -> BoolArray:
    """
    Days of the stretch around mid-winter that are all cool.

    Parameters
    ----------
    below : (365)
        Cool days: by their mean night minimum, or by their hours below the growth floor.

    Returns
    -------
    (365)
        No day where even the coldest day is not cool. None either where all are: what never
        grows does not rest, and the growth floor counts all year.
    """
    below = turn(below, -coldest_day)
    if below.all() or not below[0]:
        return np.zeros(DAYS, np.bool_)
    season = np.zeros(DAYS, np.bool_)
    season[: np.argmin(below)] = True
    season[DAYS - np.argmin(below[::-1]) :] = True
    return turn(season, coldest_day)


def floor_days(
    year: CalendarCold,
    floor_c: float,
    rest_floor_c: float | None,
    hours_limit: float,
    warmer_c: float = 0.0,
) -> BoolArray:
    """
    Calendar days on which the group grows or rests.

    Parameters
    ----------
    floor_c, rest_floor_c : °C
        Growth floor and rest floor; without one the growth floor holds all year.
    hours_limit : h a month
    warmer_c : K
        Constant added to every hour of the spot.

    Returns
    -------
    (365)
        Days that no year has count as cold.
    """
    # Warmer by a constant is the same as a floor that is lower by it. Rounded, because 15.0 - 0.1
    # and 14.9 differ in the last digit and would be remembered as two thresholds.
    hours = year.mean_hours_below(round(floor_c - warmer_c, 6))
    if rest_floor_c is not None:
        cool = year.cool_below(round(floor_c - warmer_c, 6), hours_limit)
        if cool.any():
            hours = np.where(cool, year.mean_hours_below(round(rest_floor_c - warmer_c, 6)), hours)
    passed: BoolArray = _trailing_month(hours) <= hours_limit + 1e-9
    return passed


def _trailing_month(hours: FloatArray) -> FloatArray:
    """Hours of the trailing 28 days, as many as a month would have, (365)."""
    # The year closes into a ring: the first days of January look back into December.
    total = np.cumsum(np.concatenate([[0.0], hours[DAYS - TRAILING_DAYS + 1 :], hours]))
    month: FloatArray = (total[TRAILING_DAYS:] - total[:-TRAILING_DAYS]) * (
        MONTH_DAYS / TRAILING_DAYS
    )
    return month
