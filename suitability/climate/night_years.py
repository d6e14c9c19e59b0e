"""
Night minima year by year from mid-summer on, and the day on which they pass a temperature.

Of all days that day parts warmer nights from colder ones best: fewest nights before it that belong
after it, and the reverse. One cold night in September is no autumn, gaps say nothing, and a warmer
year never has the day earlier in autumn or later in spring.
"""

from __future__ import annotations

from typing import TYPE_CHECKING

import numpy as np
from msgspec import Struct
from numpy.typing import NDArray

from suitability.climate.days import DAYS, gather, smooth_circular, turn
from suitability.climate.exposure import EPSILON_C
from suitability.climate.floor import SMOOTHING_DAYS, mean_of_years
from suitability.climate.observing import plant_years

if TYPE_CHECKING:
    from suitability.climate.states import SpotNights

__all__ = ["NightYears", "day_course", "lay_out_night_years", "part_nights"]

FloatArray = NDArray[np.float64]
IntArray = NDArray[np.int64]


class NightYears(Struct, frozen=True, kw_only=True):
    """
    Night minima year by year, from mid-summer on.

    Attributes
    ----------
    minimum_c : (year, 365), °C
        Lowest hour of each night; nan where unknown.
    coldest
        Days from mid-summer to the coldest day of the mean year.
    coldest_c : °C
        Mean night minimum of that day.
    """

    minimum_c: FloatArray
    coldest: int
    coldest_c: float


def lay_out_night_years(nights: SpotNights) -> NightYears:
    """
    Night minima of a spot, year by year from mid-summer on.

    Parameters
    ----------
    nights
        Of a place with a winter.
    """
    lowest = gather(nights.axis, np.fmin.reduce(nights.temp_c, axis=1))
    lowest[nights.unknown] = np.nan
    mean_c = turn(nights.calendar.night_minimum_c, -nights.summer)
    coldest = int(np.argmin(mean_c))
    return NightYears(
        minimum_c=plant_years(lowest, nights.summer, np.nan),
        coldest=coldest,
        coldest_c=float(mean_c[coldest]),
    )


def day_course(nights: SpotNights) -> FloatArray:
    """
    Mean highest hour of each calendar day, smoothed as the night minimum is, (365), °C.

    Only days with all their hours count; nan where no year has one near.
    """
    whole = ~np.isnan(nights.temp_c).any(axis=1)
    highest = np.where(whole, np.fmax.reduce(nights.temp_c, axis=1), np.nan)
    mean = mean_of_years(gather(nights.axis, highest))
    known = ~np.isnan(mean)
    total = smooth_circular(np.where(known, mean, 0.0), SMOOTHING_DAYS)
    share = smooth_circular(known.astype(np.float64), SMOOTHING_DAYS)
    course: FloatArray = np.divide(total, share, out=np.full(DAYS, np.nan), where=share > 1e-9)
    return course


def part_nights(minimum_c: FloatArray, threshold_c: float, *, falling: bool) -> IntArray:
    """
    The day that best parts warmer nights from colder ones, in each year.

    Parameters
    ----------
    minimum_c : (year, day), °C
        Unknown nights (nan) say nothing.
    threshold_c : °C
        A night exactly at it is not colder.
    falling
        Warmer nights first.

    Returns
    -------
    (year)
        Number of the first day after the change: 0 where all nights are of the later kind, the
        number of days where none is. Of equally good days the first.
    """
    colder = minimum_c < threshold_c - EPSILON_C
    side = np.where(colder, 1, -1) * ~np.isnan(minimum_c)
    wrong = np.cumsum(side if falling else -side, axis=1)
    wrong = np.concatenate([np.zeros((wrong.shape[0], 1), wrong.dtype), wrong], axis=1)
    parted: IntArray = np.argmin(wrong, axis=1)
    return parted
