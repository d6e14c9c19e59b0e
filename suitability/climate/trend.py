"""
Whether years drift: robust slope and a rank test.

Sources: Theil 1950 and Sen 1968 (slope), Mann 1945 and Kendall 1975 (test, with the correction of
its variance for ties).
"""

from __future__ import annotations

import math

import numpy as np
from msgspec import Struct
from numpy.typing import NDArray

__all__ = ["MannKendall", "mann_kendall", "theil_sen"]

FloatArray = NDArray[np.float64]


class MannKendall(Struct, frozen=True, kw_only=True):
    """Score S of the rank test, its variance, standardised score Z and two-sided p."""

    score: float
    variance: float
    z: float
    p_value: float


def theil_sen(x: FloatArray, y: FloatArray) -> float:
    """
    Median of the slopes between all pairs of points, in units of y per unit of x.

    Points without a value (nan) are left out; nan with fewer than two.

    Examples
    --------
    >>> theil_sen(np.arange(5.0), np.array([1.0, 3.0, 5.0, 7.0, 40.0]))
    2.0
    """
    known = ~(np.isnan(x) | np.isnan(y))
    x, y = x[known], y[known]
    if x.size < 2:
        return math.nan
    first, second = np.triu_indices(x.size, 1)
    run = x[second] - x[first]
    apart = run != 0
    return float(np.median((y[second] - y[first])[apart] / run[apart]))


def mann_kendall(y: FloatArray) -> MannKendall:
    """
    Rank test for a monotonic trend.

    Parameters
    ----------
    y : (year)
        In order of time; nan is left out.
    """
    y = y[~np.isnan(y)]
    n = y.size
    first, second = np.triu_indices(n, 1)
    score = float(np.sign(y[second] - y[first]).sum())
    _, ties = np.unique(y, return_counts=True)
    variance = (n * (n - 1) * (2 * n + 5) - float((ties * (ties - 1) * (2 * ties + 5)).sum())) / 18
    z = (score - math.copysign(1.0, score)) / math.sqrt(variance) if score and variance > 0 else 0.0
    return MannKendall(
        score=score, variance=variance, z=z, p_value=math.erfc(abs(z) / math.sqrt(2.0))
    )
