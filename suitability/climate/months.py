"""
Nights, days and rain by month of the year: what is typical, and how the years of a place differ.

A month of a year counts if 90 % of its days are known, as in the climatological year.
"""

from __future__ import annotations

from typing import TYPE_CHECKING

import numpy as np
from msgspec import Struct
from numpy.typing import NDArray

from suitability.climate.chance import BAD_YEAR, FEWEST_FOR_QUANTILE
from suitability.climate.days import FEWEST_HOURS, hours_by_night
from suitability.climate.exposure import EPSILON_C, OBSERVED_SHARE, quantile_of_years
from suitability.climate.states import WET_MM

if TYPE_CHECKING:
    from collections.abc import Sequence

__all__ = [
    "MonthBand",
    "MonthRain",
    "band_of_months",
    "coolest_months",
    "day_maxima",
    "day_rain",
    "rain_of_months",
]

FloatArray = NDArray[np.float64]
IntArray = NDArray[np.int64]

HALF_A_DAY = 12  # h, by which calendar days lie before noon-to-noon nights
WARM_HOURS = slice(9, 19)  # 9:00 to 18:00 within midnight to midnight: all must be known
LONGEST = 31  # days of a month
LOW, MIDDLE, HIGH = 0.1, 0.5, 0.9
QUARTER = 3  # months


class MonthBand(Struct, frozen=True, kw_only=True):
    """
    Daily values by month of the year, January first, all (12) and °C; nan where none counts.

    Attributes
    ----------
    low, middle, high
        Nine of ten values lie above `low`, half above `middle`, one of ten above `high`.
    years_low, years_high
        Between which eight of ten years have the median of their month; with fewer than nine years
        all of them.
    years
        How many count.
    """

    low: FloatArray
    middle: FloatArray
    high: FloatArray
    years_low: FloatArray
    years_high: FloatArray
    years: IntArray


class MonthRain(Struct, frozen=True, kw_only=True):
    """
    Rain by month of the year, January first, all (12); nan where no month counts.

    Attributes
    ----------
    mean_mm
        Of a month, as published normals have it.
    dry_days
        Days of it with less than 1 mm, on the mean.
    years_low_mm, years_high_mm, years
        As of `MonthBand`, of the sums of months.
    """

    mean_mm: FloatArray
    dry_days: FloatArray
    years_low_mm: FloatArray
    years_high_mm: FloatArray
    years: IntArray


def day_maxima(temp_c: FloatArray, local_start_hour: int) -> tuple[int, FloatArray]:
    """
    Highest hour of each calendar day; nan where an hour from 9:00 to 18:00 is missing.

    Parameters
    ----------
    temp_c : (hour), °C
        After short gaps have been filled.
    local_start_hour : h

    Returns
    -------
    first_day
        Days from 1970-01-01 to the first.
    (day), °C
    """
    first_day, hours = hours_by_night(temp_c, local_start_hour + HALF_A_DAY)
    known = ~np.isnan(hours[:, WARM_HOURS]).any(axis=1)
    return first_day, np.where(known, np.fmax.reduce(hours, axis=1), np.nan)


def day_rain(prcp_mm: FloatArray, local_start_hour: int) -> tuple[int, FloatArray]:
    """
    Rain of each calendar day, mm, missing hours as the others; nan with fewer than 20 hours.

    Parameters
    ----------
    prcp_mm : (hour), mm
        nan where there is no reading.
    """
    first_day, hours = hours_by_night(prcp_mm, local_start_hour + HALF_A_DAY)
    known = np.count_nonzero(~np.isnan(hours), axis=1)
    enough = known >= FEWEST_HOURS
    mean = np.divide(np.nansum(hours, axis=1), known, out=np.full(known.size, np.nan), where=enough)
    return first_day, mean * hours.shape[1]


def band_of_months(by_day: FloatArray, first_day: int, fewest: int = 1) -> MonthBand:
    """
    What is typical of each month of the year.

    Parameters
    ----------
    by_day : (day), °C
        One value a night or day in a row, nan where unknown.
    first_day : d
        Days from 1970-01-01 to the first.
    fewest
        Years below which a month is nan.

    Examples
    --------
    >>> band = band_of_months(np.repeat([4.0, 8.0], [31, 28]), first_day=0)
    >>> band.middle[:2].tolist(), band.years[:3].tolist()
    ([4.0, 8.0], [1, 1, 0])
    """
    table, _ = _by_month(by_day, first_day)
    pooled = table.swapaxes(1, 2).reshape(1, -1, 12)
    low, middle, high = (quantile_of_years(pooled, level)[0] for level in (LOW, MIDDLE, HIGH))
    by_year = quantile_of_years(table.swapaxes(1, 2), MIDDLE)
    years = np.count_nonzero(~np.isnan(by_year), axis=0)
    numbers = (low, middle, high, *_spread(by_year))
    low, middle, high, years_low, years_high = _where_told(numbers, years, fewest)
    return MonthBand(
        low=low,
        middle=middle,
        high=high,
        years_low=years_low,
        years_high=years_high,
        years=years,
    )


def rain_of_months(rain_mm: FloatArray, first_day: int, fewest: int = 1) -> MonthRain:
    """
    Rain and dry days of each month of the year; unknown days are taken as the others.

    Parameters
    ----------
    rain_mm : (day), mm
        From `day_rain`.
    first_day : d
    fewest
        Years below which a month is nan.
    """
    table, lengths = _by_month(rain_mm, first_day)
    total = _mean(table, axis=2) * lengths
    dry = np.where(np.isnan(table), np.nan, table < WET_MM - EPSILON_C)
    years = np.count_nonzero(~np.isnan(total), axis=0)
    means = (_mean(total, axis=0), _mean(_mean(dry, axis=2) * lengths, axis=0))
    mean, dry_days, low, high = _where_told((*means, *_spread(total)), years, fewest)
    return MonthRain(
        mean_mm=mean, dry_days=dry_days, years_low_mm=low, years_high_mm=high, years=years
    )


def coolest_months(by_month: FloatArray) -> IntArray | None:
    """
    The three months in a row with the lowest mean, (3), 0 is January; None where one is unknown.

    The coldest quarter of bioclimatic variables (Busby 1991; from memory).
    """
    if np.isnan(by_month).any():
        return None
    ring = np.arange(12)[:, None] + np.arange(QUARTER)
    quarters: IntArray = ring % 12
    coolest: IntArray = quarters[int(np.argmin(by_month[quarters].mean(axis=1)))]
    return coolest


def _by_month(by_day: FloatArray, first_day: int) -> tuple[FloatArray, FloatArray]:
    """
    Days laid out by year and month, and the lengths of the months.

    Returns
    -------
    (year, 12, 31)
        nan throughout where fewer than 90 % of a month are known.
    (year, 12), d
    """
    dates = (first_day + np.arange(by_day.size)).astype("datetime64[D]")
    month = dates.astype("datetime64[M]")
    day = (dates - month).astype(np.int64)
    first_year = month[0].astype("datetime64[Y]")
    years = int((month[-1].astype("datetime64[Y]") - first_year).astype(np.int64)) + 1
    row = (month - first_year.astype("datetime64[M]")).astype(np.int64)
    table = np.full((years * 12, LONGEST), np.nan)
    table[row, day] = by_day
    starts = (first_year.astype("datetime64[M]") + np.arange(years * 12 + 1)).astype(
        "datetime64[D]"
    )
    lengths = np.diff(starts).astype(np.float64)
    known = np.count_nonzero(~np.isnan(table), axis=1)
    table[known < OBSERVED_SHARE * lengths] = np.nan
    return table.reshape(years, 12, LONGEST), lengths.reshape(years, 12)


def _where_told(
    numbers: Sequence[FloatArray], years: IntArray, fewest: int
) -> tuple[FloatArray, ...]:
    """The same, nan where too few years tell."""
    return tuple(np.where(years >= fewest, one, np.nan) for one in numbers)


def _mean(values: FloatArray, axis: int) -> FloatArray:
    """Mean of what is known along an axis; nan where nothing is."""
    known = np.count_nonzero(~np.isnan(values), axis=axis)
    total = np.nansum(values, axis=axis)
    mean: FloatArray = np.divide(total, known, out=np.full(total.shape, np.nan), where=known > 0)
    return mean


def _spread(by_year: FloatArray) -> tuple[FloatArray, FloatArray]:
    """Between what eight of ten years lie, (12) each; with fewer than nine years, all of them."""
    high, low = (
        quantile_of_years(sign * by_year[None], BAD_YEAR, FEWEST_FOR_QUANTILE)[0]
        for sign in (1.0, -1.0)
    )
    return -low, high
