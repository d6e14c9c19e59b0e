"""
Nights, calendar days and plant years.

A night is the 24 hours from noon to noon in standard time, dated by its evening. Calendar work uses
years of 365 days: the night of 29 February is folded into that of 28 February. Positions on that
folded axis run on from year to year (position = 365 x years since the first + day of the year).
"""

from __future__ import annotations

from functools import lru_cache
from typing import TypeVar

import numpy as np
from msgspec import Struct
from numpy.typing import NDArray

FloatArray = NDArray[np.float64]
IntArray = NDArray[np.int64]
BoolArray = NDArray[np.bool_]
Scalar = TypeVar("Scalar", bound=np.generic)

DAYS = 365  # of a folded year
FEWEST_HOURS = 20  # of a day whose lowest hour stands for its minimum
NIGHT_HOURS = slice(6, 22)  # 18:00 to 09:00 within noon to noon: all must be known
MONTH_STARTS = np.array([0, 31, 59, 90, 120, 151, 181, 212, 243, 273, 304, 334])


class FoldedAxis(Struct, frozen=True, kw_only=True):
    """
    Where each position of the folded axis finds its night.

    Attributes
    ----------
    first_year
        Calendar year of position 0, 1 January.
    night_of : (position)
        Index of the night of the record, -1 where the record has none.
    leap_at, leap_night : (leap day)
        Positions of 28 February in leap years, and the nights of 29 February folded into them.
    """

    first_year: int
    night_of: IntArray
    leap_at: IntArray
    leap_night: IntArray

    @property
    def years(self) -> int:
        """Number of calendar years on the axis."""
        return self.night_of.size // DAYS


def local_hour(utc_hour: int, utc_offset_hours: float) -> int:
    """
    Hours of standard time since 1970-01-01 00:00 at a UTC hour, rounded down to the full hour.

    Examples
    --------
    >>> local_hour(24, -8.0), local_hour(24, 5.5)
    (16, 29)
    """
    return int(np.floor(utc_hour + utc_offset_hours))


def hours_by_night(values: FloatArray, local_start_hour: int) -> tuple[int, FloatArray]:
    """
    Hours laid out night by night.

    Parameters
    ----------
    values : (hour)
    local_start_hour : h
        Standard-time hour of the first value, from `local_hour`.

    Returns
    -------
    first_day
        Days from 1970-01-01 to the evening of the first night.
    (night, 24)
        nan before the first and after the last value.
    """
    first_day = (local_start_hour - 12) // 24
    before = local_start_hour - 12 - first_day * 24
    nights = -(-(before + values.size) // 24)
    padded = np.full(nights * 24, np.nan)
    padded[before : before + values.size] = values
    return first_day, padded.reshape(nights, 24)


def night_minima(nights: FloatArray) -> FloatArray:
    """
    Lowest hour of each night, 18:00 to 09:00; nan where one of these hours is missing.

    Parameters
    ----------
    nights : (night, 24), °C
        Noon to noon, from `hours_by_night`.
    """
    lowest: FloatArray = nights[:, NIGHT_HOURS].min(axis=1)
    return lowest


def daily_minimum(temp_c: FloatArray, local_start_hour: int) -> tuple[int, FloatArray]:
    """
    Lowest hour of each calendar day in standard time, as published minima are dated.

    Parameters
    ----------
    temp_c : (hour), °C
    local_start_hour : h

    Returns
    -------
    first_day : d
        Days from 1970-01-01 to the first day.
    (day), °C
        nan where fewer than 20 hours are known.
    """
    first_day = local_start_hour // 24
    before = local_start_hour - first_day * 24
    days = -(-(before + temp_c.size) // 24)
    starts = np.maximum(np.arange(days) * 24 - before, 0)
    lowest: FloatArray = np.fmin.reduceat(temp_c, starts)
    known = np.diff(starts, append=temp_c.size)
    known -= np.bincount((np.flatnonzero(np.isnan(temp_c)) + before) // 24, minlength=days)
    lowest[known < FEWEST_HOURS] = np.nan
    return first_day, lowest


@lru_cache(maxsize=2)  # all spots at a record have one axis
def fold_axis(first_day: int, nights: int) -> FoldedAxis:
    """
    The folded axis that covers all calendar years touched by a run of nights.

    Parameters
    ----------
    first_day : d
        Days from 1970-01-01 to the evening of the first night.
    nights
        Number of nights in a row.
    """
    dates = (first_day + np.arange(nights)).astype("datetime64[D]")
    years = dates.astype("datetime64[Y]")
    year = years.astype(np.int64) + 1970
    day = (dates - years).astype(np.int64)
    leap = (year % 4 == 0) & ((year % 100 != 0) | (year % 400 == 0))
    day = day - (leap & (day >= 59))  # from 29 February on, so that it falls on 28 February
    position = (year - year[0]) * DAYS + day
    night_of = np.full((year[-1] - year[0] + 1) * DAYS, -1, np.int64)
    night_of[position[::-1]] = np.arange(nights)[::-1]  # the earlier night of a fold stays
    folded = np.flatnonzero(np.diff(position, prepend=-1) == 0)
    return FoldedAxis(
        first_year=int(year[0]), night_of=night_of, leap_at=position[folded], leap_night=folded
    )


def gather(axis: FoldedAxis, by_night: FloatArray) -> FloatArray:
    """
    Values by position, nan where the record has no night; 28 February keeps its own value.

    Parameters
    ----------
    by_night : (night)

    Returns
    -------
    (position)
    """
    values = by_night[axis.night_of].astype(np.float64)
    values[axis.night_of < 0] = np.nan
    return values


def fold_flags(axis: FoldedAxis, by_night: BoolArray, *, outside: bool) -> BoolArray:
    """
    Flags by position; 28 February is flagged if it or 29 February is.

    Parameters
    ----------
    by_night : (night)
    outside
        The flag of positions without a night.

    Returns
    -------
    (position)
    """
    flags = by_night[axis.night_of]
    flags[axis.leap_at] |= by_night[axis.leap_night]
    if outside:
        flags |= axis.night_of < 0
    else:
        flags &= axis.night_of >= 0
    return flags


def fold_highest(axis: FoldedAxis, by_night: FloatArray) -> FloatArray:
    """
    Values by position, 28 February holding the higher of itself and 29 February.

    Parameters
    ----------
    by_night : (night)

    Returns
    -------
    (position)
        -inf where the record has no night.
    """
    values = by_night[axis.night_of]
    values[axis.leap_at] = np.maximum(values[axis.leap_at], by_night[axis.leap_night])
    values[axis.night_of < 0] = -np.inf
    return values


def position_of(axis: FoldedAxis) -> IntArray:
    """Position of every night, shape (night); 29 February has that of 28 February."""
    held = np.flatnonzero(axis.night_of >= 0)
    position = np.empty(held.size + axis.leap_night.size, np.int64)
    position[axis.night_of[held]] = held
    position[axis.leap_night] = axis.leap_at
    return position


def turn(by_day: NDArray[Scalar], days: int) -> NDArray[Scalar]:
    """
    The ring of days turned: what stood at day 0 stands at day `days`.

    Parameters
    ----------
    by_day : (365)
    days
        Any whole number.
    """
    days %= DAYS
    return np.concatenate([by_day[DAYS - days :], by_day[: DAYS - days]])


def next_flag(flags: BoolArray) -> IntArray:
    """Position of the first flag at or after each position; far beyond the end if none."""
    far = 4 * DAYS + flags.size
    where = np.where(flags, np.arange(flags.size, dtype=np.int64), far)
    following: IntArray = np.minimum.accumulate(where[::-1])[::-1]
    return following


def smooth_circular(by_day: FloatArray, width: int) -> FloatArray:
    """
    Running mean of an odd width over days that close into a ring.

    Parameters
    ----------
    by_day : (365)
    width : d

    Returns
    -------
    (365)
    """
    half = width // 2
    ring = np.concatenate([by_day[-half:], by_day, by_day[:half]])
    total = np.cumsum(np.concatenate([[0.0], ring]))
    smooth: FloatArray = (total[width:] - total[:-width]) / width
    return smooth


def coldest_day(mean_by_day: FloatArray) -> tuple[int, float]:
    """
    Coldest day of the annual harmonic and the harmonic's amplitude.

    The harmonic is fitted by least squares over the days that have a value.

    Parameters
    ----------
    mean_by_day : (365), °C
        nan where no year has a value.

    Returns
    -------
    day
        0 to 364, 1 January is 0.
    amplitude : °C
        Half the range of the harmonic; nan with fewer than 180 days.
    """
    known = ~np.isnan(mean_by_day)
    if known.sum() < 180:
        return 0, float("nan")
    angle = 2.0 * np.pi * (np.arange(DAYS) + 0.5) / DAYS
    design = np.column_stack([np.ones(DAYS), np.cos(angle), np.sin(angle)])[known]
    _, cosine, sine = np.linalg.lstsq(design, mean_by_day[known], rcond=None)[0]
    warmest = np.arctan2(sine, cosine) / (2.0 * np.pi) * DAYS
    return int(warmest + DAYS / 2) % DAYS, float(np.hypot(cosine, sine))


def month_day(day: int) -> str:
    """
    "MM-DD" of a day of the folded year, which closes into a ring.

    Examples
    --------
    >>> month_day(0), month_day(364), month_day(59), month_day(365)
    ('01-01', '12-31', '03-01', '01-01')
    """
    day %= DAYS
    month = int(np.searchsorted(MONTH_STARTS, day, side="right"))
    return f"{month:02d}-{day - int(MONTH_STARTS[month - 1]) + 1:02d}"


def day_of_year(month_day: str) -> int:
    """
    The day of the folded year of "MM-DD", 0 is 1 January; 29 February counts as the 28th.

    Examples
    --------
    >>> day_of_year("01-01"), day_of_year("12-31"), day_of_year("02-29"), day_of_year("03-01")
    (0, 364, 58, 59)
    """
    month, day = (int(part) for part in month_day.split("-"))
    return int(MONTH_STARTS[month - 1]) + (28 if (month, day) == (2, 29) else day) - 1
