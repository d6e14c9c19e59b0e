"""
Statistics over years: what k of n past years say about a new one.

Sources: Hyndman & Fan 1996 (quantile types), Wilson 1927 (score interval), Clopper & Pearson 1934
(exact limits).
"""

from __future__ import annotations

import math
from functools import lru_cache

import numpy as np
from numpy.typing import NDArray

__all__ = [
    "BAD_YEAR",
    "FEWEST_FOR_QUANTILE",
    "bad_year",
    "excluded_rate",
    "odds_over_years",
    "resample_weights",
    "resampled_quantile_limits",
    "share_of_years",
    "wilson_interval",
    "without_model",
]

FloatArray = NDArray[np.float64]
IntArray = NDArray[np.int64]

BAD_YEAR = 0.9  # the 1-in-10 bad year
FEWEST_FOR_QUANTILE = 9  # years; with fewer the worst year stands for the bad one


def share_of_years(kept: IntArray, failed: IntArray, fewest: int) -> FloatArray:
    """
    Share of the years that speak which kept something: the plain stretch of past years.

    Parameters
    ----------
    kept, failed
        Numbers of years, same shape.
    fewest
        Years that must speak; with fewer the share is 0, for nothing can be promised.
    """
    counted = kept + failed
    return np.where(counted >= fewest, kept / np.maximum(counted, 1), 0.0)


def without_model(years: int) -> float:
    """
    Highest probability that `years` years, all of which kept a season, carry for a new one.

    Distribution-free for exchangeable years: (n-1)/(n+1), since either end of the season is an
    extreme of n values and a new value passes it with probability 1/(n+1).
    """
    return (years - 1) / (years + 1) if years > 0 else 0.0


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


def resampled_quantile_limits(
    values: FloatArray, quantile: float, confidence: float = 0.9
) -> tuple[float, float]:
    """
    Limits of a quantile when the years are resampled, from its exact law: nothing is drawn.

    The k-th smallest of n values drawn from n with replacement is at most the j-th smallest of the
    originals with the probability that a binomial of n and j/n reaches k (Efron 1982).

    Parameters
    ----------
    values : (year)
        At least one; without nan.
    quantile : 0 to 1
        The quantile is the value of rank ceil(n x quantile).
    confidence
        Probability between the limits.
    """
    ordered, n = np.sort(values), values.size
    rank = min(n, max(1, math.ceil(n * quantile - 1e-9)))
    law = [
        sum(math.comb(n, k) * (j / n) ** k * (1 - j / n) ** (n - k) for k in range(rank, n + 1))
        for j in range(1, n + 1)
    ]
    tail = (1.0 - confidence) / 2.0
    low = next(j for j, reached in enumerate(law) if reached >= tail - 1e-12)
    high = next(j for j, reached in enumerate(law) if reached >= 1.0 - tail - 1e-12)
    return float(ordered[low]), float(ordered[high])


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
