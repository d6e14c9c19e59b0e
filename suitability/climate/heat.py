"""
Heat: hours above a group's ceiling, days in a row that are hot, and warm nights, year by year.

How long a hot run lasts matters more than its peak (Wu et al. 2017 on *Dendrobium sinense*: one day
of heat harmless, two to four reversible, eight severe). The year is cut at mid-winter, so that no
summer is torn. Days run from noon to noon, as nights do.
"""

from __future__ import annotations

from functools import cache

import numpy as np
from msgspec import Struct
from numpy.typing import NDArray

from suitability.climate.days import MONTH_STARTS, FoldedAxis, gather, turn
from suitability.climate.exposure import EPSILON_C
from suitability.climate.floor import mean_of_years
from suitability.climate.observing import plant_years
from suitability.climate.states import HOT_HOURS

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
    """

    hours: FloatArray
    longest_run: IntArray
    warm_nights: IntArray | None


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
    if not flags.any():  # as at most places: nothing to be counted
        return np.zeros(flags.shape[0], np.int64)
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
    mean = mean_of_years(gather(axis, by_night))
    months: FloatArray = np.add.reduceat(np.where(out, mean, 0.0), MONTH_STARTS)
    return months


class SpotHeat:
    """
    The heat of one spot, worked out once for each temperature that its groups ask about.

    Parameters
    ----------
    temp_c : (night, 24), °C
        Noon to noon; nan where there is no observed hour.
    winter
        Day of the folded year at which plant years are cut.
    """

    def __init__(self, axis: FoldedAxis, temp_c: FloatArray, winter: int) -> None:
        self._axis, self._temp_c, self._winter = axis, temp_c, winter
        self._highest_c = np.fmax.reduce(temp_c, axis=1)
        self._coldest_c = temp_c.min(axis=1)  # nan where an hour is missing
        self._hot = cache(self._hot_hours)
        self._warm = cache(self._warm_nights)

    def years(
        self, out: BoolArray, *, ceiling_c: float, warm_night_c: float | None = None
    ) -> HeatYears:
        """
        The heat of each plant year on the days that a plant spends out.

        Parameters
        ----------
        out : (365)
        ceiling_c, warm_night_c : °C
        """
        spent = turn(out, -self._winter)
        hot = self._hot(ceiling_c)[1] * spent
        warm = None if warm_night_c is None else self._warm(warm_night_c) & spent
        return HeatYears(
            hours=hot.sum(axis=1),
            longest_run=longest_run(hot >= HOT_HOURS),
            warm_nights=None if warm is None else warm.sum(axis=1),
        )

    def hours_by_month(self, out: BoolArray, ceiling_c: float) -> FloatArray:
        """Hours above the ceiling in the mean year, as `mean_by_month` has them, (12), h."""
        known = np.where(np.isnan(self._highest_c), np.nan, self._hot(ceiling_c)[0])
        return mean_by_month(self._axis, known, out)

    def _hot_hours(self, ceiling_c: float) -> tuple[FloatArray, FloatArray]:
        """Hours above a ceiling, (night), and the same by plant year, 0 where none is known."""
        hours = np.zeros(self._highest_c.size)
        hot = self._highest_c > ceiling_c  # few days have any: the others need no count
        hours[hot] = hours_above(self._temp_c[hot], ceiling_c)
        return hours, plant_years(np.nan_to_num(gather(self._axis, hours)), self._winter, 0.0)

    def _warm_nights(self, warm_night_c: float) -> BoolArray:
        """Nights without a missing hour that stay above a temperature, (plant year, 365)."""
        warm = gather(self._axis, self._coldest_c > warm_night_c + EPSILON_C) > 0.0
        return plant_years(warm, self._winter, outside=False)
