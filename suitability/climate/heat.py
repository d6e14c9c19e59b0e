"""
Heat: hours above a group's ceiling, days in a row that are hot, and warm nights, year by year.

How long a hot run lasts matters more than its peak (Wu et al. 2017 on *Dendrobium sinense*: one day
of heat harmless, two to four reversible, eight severe). The year is cut at mid-winter, so that no
summer is torn. Days run from noon to noon, as nights do.
"""

from __future__ import annotations

from typing import TYPE_CHECKING

import numpy as np
from msgspec import Struct
from numpy.typing import NDArray

from suitability.climate.days import DAYS, MONTH_STARTS, gather
from suitability.climate.exposure import EPSILON_C
from suitability.climate.observing import plant_years
from suitability.climate.states import HOT_HOURS

if TYPE_CHECKING:
    from suitability.climate.days import FoldedAxis

__all__ = [
    "HeatYears",
    "hours_above",
    "judge_heat",
    "longest_run",
    "mean_by_month",
    "sum_by_year",
]

FloatArray = NDArray[np.float64]
BoolArray = NDArray[np.bool_]
IntArray = NDArray[np.int64]


class HeatYears(Struct, frozen=True, kw_only=True):
    """
    The heat of each plant year.

    Attributes
    ----------
    hours : (plant year), h
        Observed hours above the ceiling.
    longest_run : (plant year)
        Days in a row with at least six such hours each.
    warm_nights : (plant year), or None
        Nights whose minimum stays above the warm-night limit; None for groups without one.
    hours_by_month : (12), h
        Mean year, January first; nan where no day of the month was observed in any year.
    """

    hours: FloatArray
    longest_run: IntArray
    warm_nights: IntArray | None
    hours_by_month: FloatArray


def hours_above(temp_c: FloatArray, threshold_c: float) -> FloatArray:
    """
    Hours warmer than a threshold, shape (night); an hour at it is not warmer.

    Parameters
    ----------
    temp_c : (night, 24), °C
        nan is not warmer: read the count beside the hours known.
    threshold_c : °C
    """
    above: BoolArray = temp_c > threshold_c + EPSILON_C
    hours: FloatArray = above.sum(axis=1, dtype=np.float64)
    return hours


def longest_run(flags: BoolArray) -> IntArray:
    """
    Longest run of flagged days in each row; a run does not go on into the next row.

    Parameters
    ----------
    flags : (row, day)

    Returns
    -------
    (row)
    """
    day = np.arange(flags.shape[1], dtype=np.int64)
    last_not = np.maximum.accumulate(np.where(flags, -1, day), axis=1)
    longest: IntArray = np.where(flags, day - last_not, 0).max(axis=1, initial=0)
    return longest


def sum_by_year(axis: FoldedAxis, by_night: FloatArray, cut: int, out: BoolArray) -> FloatArray:
    """
    Sum of each plant year over the days that a plant spends out.

    Parameters
    ----------
    by_night : (night)
    cut
        Day of the folded year at which plant years begin.
    out : (365)

    Returns
    -------
    (plant year)
        Days without a night add nothing.
    """
    spent = np.where(np.tile(out, axis.years), np.nan_to_num(gather(axis, by_night)), 0.0)
    total: FloatArray = plant_years(spent, cut, 0.0).sum(axis=1)
    return total


def mean_by_month(axis: FoldedAxis, by_night: FloatArray, out: BoolArray) -> FloatArray:
    """
    Mean of each month over the days that a plant spends out, scaled to whole months.

    Parameters
    ----------
    by_night : (night)
    out : (365)

    Returns
    -------
    (12)
        nan for a month that lacks a day in every year.
    """
    table = gather(axis, by_night).reshape(-1, DAYS)
    known = ~np.isnan(table)
    count = known.sum(axis=0)
    mean = np.divide(
        np.where(known, table, 0.0).sum(axis=0),
        count,
        out=np.full(DAYS, np.nan),
        where=count > 0,
    )
    months: FloatArray = np.add.reduceat(np.where(out, mean, 0.0), MONTH_STARTS)
    return months


def judge_heat(
    axis: FoldedAxis,
    temp_c: FloatArray,
    winter: int,
    out: BoolArray,
    *,
    ceiling_c: float,
    warm_night_c: float | None,
) -> HeatYears:
    """
    The heat of each plant year on the days that a plant spends out.

    Parameters
    ----------
    axis
    temp_c : (night, 24), °C
        Noon to noon; nan where there is no observed hour.
    winter
        Day of the folded year at which plant years are cut.
    out : (365)
    ceiling_c, warm_night_c : °C
    """
    hot = hours_above(temp_c, ceiling_c)
    known = np.where(np.isnan(temp_c).all(axis=1), np.nan, hot)
    many = (hot >= HOT_HOURS).astype(np.float64)
    days = np.tile(out, axis.years) & (np.nan_to_num(gather(axis, many)) > 0.0)
    warm = None
    if warm_night_c is not None:
        lowest = np.where(np.isnan(temp_c).any(axis=1), np.nan, np.fmin.reduce(temp_c, axis=1))
        nights = (lowest > warm_night_c + EPSILON_C).astype(np.float64)
        warm = sum_by_year(axis, nights, winter, out).astype(np.int64)
    return HeatYears(
        hours=sum_by_year(axis, hot, winter, out),
        longest_run=longest_run(plant_years(days, winter, outside=False)),
        warm_nights=warm,
        hours_by_month=mean_by_month(axis, known, out),
    )
