"""Nights year by year: when they pass a temperature, and their band over the year."""

from __future__ import annotations

import numpy as np
from msgspec import Struct
from numpy.typing import NDArray

from suitability.climate.days import DAYS, gather, smooth_circular, turn
from suitability.climate.exposure import EPSILON_C, quantile_of_years
from suitability.climate.floor import SMOOTHING_DAYS, mean_of_years
from suitability.climate.observing import plant_years
from suitability.climate.states import SpotNights

FloatArray = NDArray[np.float64]
BoolArray = NDArray[np.bool_]

REACH_DAYS = 2  # on either side of a calendar day
LOW, MIDDLE, HIGH = 0.1, 0.5, 0.9


class NightBand(Struct, frozen=True, kw_only=True):
    """
    Night minima of each day of the folded year, all (365), °C; nan where none is known.

    `lowest` is of that day alone; nine of ten nights are above `low`, one of ten above `high`.
    """

    lowest: FloatArray
    low: FloatArray
    middle: FloatArray
    high: FloatArray


def night_band(minimum_c: FloatArray, unknown: BoolArray) -> NightBand:
    """
    The band of night minima.

    A night that is not wholly known counts for the lowest, by the hours it has, and not for the
    percentiles.

    Parameters
    ----------
    minimum_c : (position), °C
        Lowest hour of each night; +inf where no hour is known.
    unknown : (position)

    Examples
    --------
    >>> band = night_band(np.repeat([4.0, 8.0], 365), np.zeros(730, np.bool_))
    >>> float(band.lowest[100]), float(band.middle[100])
    (4.0, 6.0)
    """
    known = np.where(unknown | ~np.isfinite(minimum_c), np.nan, minimum_c)
    edge = np.full(REACH_DAYS, np.nan)
    around = np.lib.stride_tricks.sliding_window_view(
        np.concatenate([edge, known, edge]), 2 * REACH_DAYS + 1
    )
    pooled = around.reshape(-1, DAYS, around.shape[1]).swapaxes(1, 2).reshape(1, -1, DAYS)
    lowest = minimum_c.reshape(-1, DAYS).min(axis=0)
    low, middle, high = (quantile_of_years(pooled, level)[0] for level in (LOW, MIDDLE, HIGH))
    return NightBand(
        lowest=np.where(np.isfinite(lowest), lowest, np.nan), low=low, middle=middle, high=high
    )


IntArray = NDArray[np.int64]


class NightYears(Struct, frozen=True, kw_only=True):
    """
    Night minima year by year, from mid-summer on.

    Attributes
    ----------
    minimum_c : (year, 365), °C
        Lowest hour of each night; nan where unknown.
    coldest
        Days from mid-summer to the coldest day of the mean year; to mid-winter in a room whose days
        are all alike.
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
    winter, summer = nights.seasons
    mean_c = turn(nights.calendar.night_minimum_c, -summer)
    coldest = int(np.argmin(mean_c))
    if nights.air is not None and np.ptp(mean_c) < EPSILON_C:  # a room at one temperature
        coldest = (winter - summer) % DAYS
    return NightYears(
        minimum_c=plant_years(lowest, summer, np.nan),
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
