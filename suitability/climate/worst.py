"""The worst nights and fortnights, and nights on which a plant would be carried in."""

from __future__ import annotations

import numpy as np
from numpy.typing import NDArray

from suitability.climate.cold import DOSE_NIGHTS

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


BoolArray = NDArray[np.bool_]


def carried_nights(
    hard: BoolArray, degree_hours: FloatArray, dose_limit_c_h: FloatArray
) -> IntArray:
    """
    Nights to carry in each plant year, decided night by night as a grower would.

    Parameters
    ----------
    hard : (group, plant year, 365)
    degree_hours : (group, plant year, 365), °C·h
        Below the chill base; the dose starts afresh with each plant year, which is cut at
        mid-summer.
    dose_limit_c_h : (group), °C·h

    Returns
    -------
    (group, plant year)
    """
    limit = dose_limit_c_h[:, None] + 1e-6
    recent = np.zeros((DOSE_NIGHTS, *hard.shape[:2]))
    dose = np.zeros(hard.shape[:2])
    carried = np.zeros(hard.shape[:2], np.int64)
    by_night = np.ascontiguousarray(np.moveaxis(degree_hours, 2, 0))
    hard_by_night = np.ascontiguousarray(np.moveaxis(hard, 2, 0))
    for night in range(hard.shape[2]):
        oldest = recent[night % DOSE_NIGHTS]
        dose -= oldest
        tonight = by_night[night]
        indoors = hard_by_night[night] | (dose + tonight > limit)
        carried += indoors
        oldest[:] = np.where(indoors, 0.0, tonight)
        dose += oldest
    return carried
