"""
Nights, days and rain by month of the year: what is typical, and how the years of a place differ.

A month of a year counts if 90 % of its days are known, as in the climatological year.
"""

from __future__ import annotations

import numpy as np
from msgspec import Struct
from numpy.typing import NDArray

from suitability.climate.chance import BAD_YEAR, FEWEST_FOR_QUANTILE
from suitability.climate.days import FEWEST_HOURS, hours_by_night
from suitability.climate.exposure import EPSILON_C, OBSERVED_SHARE, mean_of_known, quantile_of_years
from suitability.climate.states import WET_MM

FloatArray = NDArray[np.float64]
IntArray = NDArray[np.int64]

HALF_A_DAY = 12  # h, by which calendar days lie before noon-to-noon nights
WARM_HOURS = slice(9, 19)  # 9:00 to 18:00 within midnight to midnight: all must be known
LONGEST = 31  # days of a month
LOW, MIDDLE, HIGH = 0.1, 0.5, 0.9
QUARTER = 3  # months


class MonthBand(Struct, frozen=True, kw_only=True):
    """
    Daily values by month of the year, January first, all (12) and °C; nan where too few years tell.

    Attributes
    ----------
    low_c, typical_c, high_c
        Nine of ten values lie above `low_c`, half above `typical_c`, one of ten above `high_c`.
    years_low_c, years_high_c
        Between which eight of ten years have the median of their month; with fewer than nine years
        all of them.
    years
        How many count.
    """

    low_c: FloatArray
    typical_c: FloatArray
    high_c: FloatArray
    years_low_c: FloatArray
    years_high_c: FloatArray
    years: IntArray


class MonthRain(Struct, frozen=True, kw_only=True):
    """
    Rain by month of the year, January first, all (12); nan where too few years tell.

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
    enough = np.count_nonzero(~np.isnan(hours), axis=1) >= FEWEST_HOURS
    mean = np.where(enough, mean_of_known(hours, axis=1), np.nan)
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
    >>> band.typical_c[:2].tolist(), band.years[:3].tolist()
    ([4.0, 8.0], [1, 1, 0])
    """
    table, _, years = _by_month(by_day, first_day, fewest)
    pooled = table.reshape(1, -1, 12)
    low_c, typical_c, high_c = (quantile_of_years(pooled, at)[0] for at in (LOW, MIDDLE, HIGH))
    years_low_c, years_high_c = _spread(quantile_of_years(table, MIDDLE))
    return MonthBand(
        low_c=low_c,
        typical_c=typical_c,
        high_c=high_c,
        years_low_c=years_low_c,
        years_high_c=years_high_c,
        years=years,
    )


def rain_of_months(rain_mm: FloatArray, first_day: int, fewest: int = 1) -> MonthRain:
    """
    Rain and dry days of each month of the year; unknown days are taken as the others.

    Parameters
    ----------
    rain_mm : (day), mm
        From `day_rain`.
    first_day, fewest
        As of `band_of_months`.
    """
    table, lengths, years = _by_month(rain_mm, first_day, fewest)
    total_mm = mean_of_known(table, axis=1) * lengths
    dry = np.where(np.isnan(table), np.nan, table < WET_MM - EPSILON_C)
    years_low_mm, years_high_mm = _spread(total_mm)
    return MonthRain(
        mean_mm=mean_of_known(total_mm, axis=0),
        dry_days=mean_of_known(mean_of_known(dry, axis=1) * lengths, axis=0),
        years_low_mm=years_low_mm,
        years_high_mm=years_high_mm,
        years=years,
    )


def coolest_months(by_month: FloatArray) -> IntArray | None:
    """
    The three months in a row with the lowest mean, (3), 0 is January; None where one is unknown.

    The coldest quarter of bioclimatic variables (Busby 1991; from memory).
    """
    if np.isnan(by_month).any():
        return None
    quarters: IntArray = (np.arange(12)[:, None] + np.arange(QUARTER)) % 12
    coolest: IntArray = quarters[int(np.argmin(by_month[quarters].mean(axis=1)))]
    return coolest


def _by_month(
    by_day: FloatArray, first_day: int, fewest: int
) -> tuple[FloatArray, FloatArray, IntArray]:
    """
    Days laid out by year and month, the lengths of the months, and the years that count.

    Returns
    -------
    (year, 31, 12)
        nan throughout where fewer than 90 % of a month are known, and where too few years count.
    (year, 12), d
    (12)
    """
    dates = (first_day + np.arange(by_day.size)).astype("datetime64[D]")
    month = dates.astype("datetime64[M]")
    january, last = month[[0, -1]].astype("datetime64[Y]").astype(month.dtype)
    starts = np.arange(january, last + 13)  # of whole years, and of the January after them
    lengths = np.diff(starts.astype(dates.dtype)).astype(np.float64)
    table = np.full((lengths.size, LONGEST), np.nan)
    row, day = month - january, dates - month
    table[row.astype(np.int64), day.astype(np.int64)] = by_day
    counts = np.count_nonzero(~np.isnan(table), axis=1) >= OBSERVED_SHARE * lengths
    table[~counts] = np.nan
    years = np.count_nonzero(counts.reshape(-1, 12), axis=0)
    by_month = table.reshape(-1, 12, LONGEST).swapaxes(1, 2)
    by_month[:, :, years < fewest] = np.nan
    return by_month, lengths.reshape(-1, 12), years


def _spread(by_year: FloatArray) -> tuple[FloatArray, FloatArray]:
    """Between what eight of ten years lie, (12) each; with fewer than nine years, all of them."""
    high, low = (
        quantile_of_years(sign * by_year[None], BAD_YEAR, FEWEST_FOR_QUANTILE)[0]
        for sign in (1.0, -1.0)
    )
    return -low, high
