"""The worst nights and fortnights on record."""

from __future__ import annotations

import numpy as np
from numpy.typing import NDArray

__all__ = ["highest_apart", "lowest"]

FloatArray = NDArray[np.float64]
IntArray = NDArray[np.int64]


def lowest(values: FloatArray, number: int) -> IntArray:
    """
    Indices of the lowest finite values, lowest first, of equals the earlier first.

    Parameters
    ----------
    values : (night)
    number
        How many at most.
    """
    order = np.argsort(values, kind="stable")[:number]
    chosen: IntArray = order[np.isfinite(values[order])]
    return chosen


def highest_apart(values: FloatArray, number: int, apart: int) -> IntArray:
    """
    Indices of the highest values above 0 that lie at least `apart` from each other, highest first.

    Parameters
    ----------
    values : (night)
        Sums over trailing windows; overlapping windows tell the same story twice.
    number
        How many at most.
    apart
        Length of the window.
    """
    left = values.copy()
    found: list[int] = []
    while len(found) < number and left.size:
        best = int(np.argmax(left))
        if not left[best] > 0:
            break
        found.append(best)
        left[max(0, best - apart + 1) : best + apart] = 0.0
    return np.array(found, np.int64)
