"""
The climatological year of an exposure: mean, median and bad year of each calendar month.

A month of a year counts if at least 90 % of the readings that its step allows are there; its hours
are then scaled to the whole month (below / valid x hours of the month, February 28.25 days).
"""

from __future__ import annotations

from typing import TYPE_CHECKING

import numpy as np
from msgspec import Struct
from numpy.typing import NDArray

from suitability.climate.chance import BAD_YEAR, FEWEST_FOR_QUANTILE

if TYPE_CHECKING:
    from suitability.climate.exposure import MonthlyExposure

__all__ = ["HOURS_OF_MONTH", "MonthlyNormals", "monthly_normals"]

FloatArray = NDArray[np.float64]
IntArray = NDArray[np.int64]

OBSERVED_SHARE = 0.9
HOURS_OF_MONTH = np.array([31, 28.25, 31, 30, 31, 30, 31, 31, 30, 31, 30, 31]) * 24.0


class MonthlyNormals(Struct, frozen=True, kw_only=True):
    """
    Hours and degree-hours below each threshold in a whole month of the year, January first.

    All of shape (threshold, 12); nan where no year has the month.

    Attributes
    ----------
    mean_hours, median_hours, bad_hours : h
        The bad one is exceeded in one year of ten (quantile type 8; the worst of fewer than 9).
    mean_degree_hours : °C·h
    years : (12)
        Years behind each month.
    """

    mean_hours: FloatArray
    median_hours: FloatArray
    bad_hours: FloatArray
    mean_degree_hours: FloatArray
    years: IntArray


def monthly_normals(exposure: MonthlyExposure, step_hours: int) -> MonthlyNormals:
    """
    The climatological year of an exposure.

    Parameters
    ----------
    exposure
    step_hours : h
        Usual distance of two readings; a record that reports every third hour is complete with a
        third of the hours.
    """
    scale = np.divide(
        1.0,
        exposure.hours_valid,
        out=np.full(exposure.hours_valid.size, np.nan),
        where=exposure.hours_valid * step_hours >= OBSERVED_SHARE * exposure.hours_in_month,
    )
    hours = _by_year(exposure.hours_below * scale, exposure.first_month) * HOURS_OF_MONTH
    degree_hours = _by_year(exposure.degree_hours_below * scale, exposure.first_month)
    known = ~np.isnan(hours)
    years = known.sum(axis=1)
    return MonthlyNormals(
        mean_hours=_mean(hours),
        median_hours=quantile_of_years(hours, 0.5),
        bad_hours=quantile_of_years(hours, BAD_YEAR, fewest=FEWEST_FOR_QUANTILE),
        mean_degree_hours=_mean(degree_hours * HOURS_OF_MONTH),
        years=years[0] if years.size else np.zeros(12, np.int64),
    )


def _by_year(by_month: FloatArray, first_month: int) -> FloatArray:
    """Running months as (threshold, year, 12), nan outside the record."""
    before = first_month - 1
    years = -(-(before + by_month.shape[1]) // 12)
    table = np.full((by_month.shape[0], years * 12), np.nan)
    table[:, before : before + by_month.shape[1]] = by_month
    return table.reshape(-1, years, 12)


def _mean(by_year: FloatArray) -> FloatArray:
    """Mean over the years that have each month."""
    known = ~np.isnan(by_year)
    count = known.sum(axis=1)
    total = np.where(known, by_year, 0.0).sum(axis=1)
    mean: FloatArray = np.divide(total, count, out=np.full(total.shape, np.nan), where=count > 0)
    return mean


def quantile_of_years(by_year: FloatArray, level: float, fewest: int = 1) -> FloatArray:
    """
    Quantile of type 8 over the years that have each month; with fewer than `fewest`, the greatest.

    Hyndman & Fan 1996: the value of rank (n + 1/3) level + 1/3, between order statistics on a
    straight line. All months at once, which `chance.bad_year` gives one by one.

    Parameters
    ----------
    by_year : (threshold, year, month)
        Or days of the year instead of months; nan where there is none.
    level : 0 to 1
    fewest

    Returns
    -------
    (threshold, month)
    """
    ordered = np.sort(by_year, axis=1)  # nan last
    count = np.count_nonzero(~np.isnan(by_year), axis=1)
    rank = np.where(count >= fewest, (count + 1.0 / 3.0) * level + 1.0 / 3.0, count)
    rank = np.clip(rank, 1.0, np.maximum(count, 1))
    below = np.floor(rank).astype(np.int64)
    above = np.minimum(below + 1, np.maximum(count, 1))
    low, high = (
        np.take_along_axis(ordered, at[:, None, :] - 1, axis=1)[:, 0, :] for at in (below, above)
    )
    quantile: FloatArray = low + (high - low) * (rank - below)
    return quantile
