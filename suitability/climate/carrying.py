"""
Carried nights: how often a plant that otherwise stays out would have to be carried in.

A night is carried if it is hard, or if its cold would take the dose of the trailing 14 nights above
the tolerance; a carried night adds nothing to the dose.
"""

from __future__ import annotations

import numpy as np
from numpy.typing import NDArray

from suitability.climate.cold import DOSE_NIGHTS

__all__ = ["carried_nights"]

FloatArray = NDArray[np.float64]
BoolArray = NDArray[np.bool_]
IntArray = NDArray[np.int64]


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
