"""What k of n past years say about a new one, and whether years drift."""

from __future__ import annotations

import math
from functools import lru_cache

import numpy as np
from msgspec import Struct
from numpy.typing import NDArray

FloatArray = NDArray[np.float64]
IntArray = NDArray[np.int64]

BAD_YEAR = 0.9  # the 1-in-10 bad year
FEWEST_FOR_QUANTILE = 9  # years; with fewer the worst year stands for the bad one


def without_model(years: int) -> float:
    """
    Highest probability that `years` years, all of which kept a season, carry for a new one.

    Distribution-free for exchangeable years: (n-1)/(n+1), since either end of the season is an
    extreme of n values and a new value passes it with probability 1/(n+1).
    """
    return (years - 1) / (years + 1) if years > 0 else 0.0


def worth_of(promise: float) -> tuple[float, float]:
    """
    Between what a promise from three to nine years in a row is worth, in four cases of five.

    Of promises put to all other years of long records one in ten was kept by fewer years than the
    lower end, and one in ten by more than the upper: a third of the odds promised, and six times
    them (`docs/calibration.md`).

    Examples
    --------
    >>> [round(end, 3) for end in worth_of(0.9)]
    [0.75, 0.982]
    """
    low, high = promise / 3.0, 6.0 * promise
    return low / (low + 1.0 - promise), high / (high + 1.0 - promise)


def median(values: FloatArray | IntArray) -> float:
    """
    The middle of values without gaps, as `np.median` has it.

    That one first loads masked arrays, a fiftieth of a whole check, and then takes twenty times as
    long for the few values that are asked about here.

    Parameters
    ----------
    values : (any number from 1)
    """
    ordered, half = np.sort(values), values.size // 2
    middle = ordered[half] if values.size % 2 else (ordered[half - 1] + ordered[half]) / 2.0
    return float(middle) + 0.0  # never minus zero


def bad_year(by_year: FloatArray) -> float:
    """
    The 1-in-10 bad year of yearly values where more is worse: quantile type 8, or the worst.

    Parameters
    ----------
    by_year : (year)
        nan for years without a value; they do not count.
    """
    values = by_year[~np.isnan(by_year)]
    if values.size == 0:
        return math.nan
    if values.size < FEWEST_FOR_QUANTILE:
        return float(values.max())
    return float(np.quantile(values, BAD_YEAR, method="median_unbiased"))


def wilson_interval(kept: int, years: int, confidence: float = 0.95) -> tuple[float, float]:
    """
    Wilson score interval of a share.

    Examples
    --------
    >>> [round(limit, 4) for limit in wilson_interval(27, 30)]
    [0.7438, 0.9654]
    """
    if years == 0:
        return 0.0, 1.0
    from statistics import NormalDist  # noqa: PLC0415  (start-up counts, this is rare)

    z = NormalDist().inv_cdf(0.5 + confidence / 2)
    share, spread = kept / years, z * z / years
    middle = (share + spread / 2) / (1 + spread)
    half = z / (1 + spread) * math.sqrt(share * (1 - share) / years + spread / (4 * years))
    return max(0.0, middle - half), min(1.0, middle + half)


def excluded_rate(years: int, confidence: float = 0.95) -> float:
    """
    Yearly risk that 0 failures in so many years cannot exclude (one-sided, exact).

    Examples
    --------
    >>> round(excluded_rate(10), 2)
    0.26
    """
    return 1.0 - (1.0 - confidence) ** (1.0 / years) if years > 0 else 1.0


def odds_over_years(yearly: float, years: int) -> float:
    """Probability that all of several years keep what each keeps with a yearly probability."""
    return float(yearly**years)


@lru_cache(maxsize=16)
def resample_weights(years: int, draws: int, seed: int) -> FloatArray:
    """
    How often each year stands in each of many resamples of years, shape (draw, year).

    The same seed gives the same weights, whatever the versions of Python and its libraries.
    """
    from random import Random  # noqa: PLC0415  (start-up counts, not every command draws)

    # The one generator whose sequence Python promises to keep.
    draw = Random(seed).random  # noqa: S311  (nothing is secret)
    drawn = np.array([int(draw() * years) for _ in range(draws * years)], np.int64)
    cell = np.repeat(np.arange(draws) * years, years) + drawn
    weights = np.bincount(cell, minlength=draws * years).astype(np.float64).reshape(draws, years)
    weights.flags.writeable = False  # remembered, so nobody may change it
    return weights


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
