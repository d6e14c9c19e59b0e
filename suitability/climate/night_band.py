"""
Night minima over the year: usual for each day, between which values most lie, the lowest on record.

Percentiles of a calendar day are taken over the five days around it of all years, as is usual for
daily temperatures (Zhang et al. 2005, doi:10.1175/JCLI3366.1), by quantiles of type 8.
"""

from __future__ import annotations

import numpy as np
from msgspec import Struct
from numpy.typing import NDArray

from suitability.climate.climatology import quantile_of_years
from suitability.climate.days import DAYS

__all__ = ["NightBand", "night_band"]

FloatArray = NDArray[np.float64]
BoolArray = NDArray[np.bool_]

REACH_DAYS = 2  # on either side of a calendar day
LOW, MIDDLE, HIGH = 0.1, 0.5, 0.9


class NightBand(Struct, frozen=True, kw_only=True):
    """
    Night minima of each day of the folded year, all (365), °C; nan where none is known.

    `lowest` is of that day alone; nine of ten nights are above `low`, one of ten above `high`.
    """

    lowest: FloatArray
    low: FloatArray
    middle: FloatArray
    high: FloatArray


def night_band(minimum_c: FloatArray, unknown: BoolArray) -> NightBand:
    """
    The band of night minima.

    A night that is not wholly known counts for the lowest, by the hours it has, and not for the
    percentiles.

    Parameters
    ----------
    minimum_c : (position), °C
        Lowest hour of each night; +inf where no hour is known.
    unknown : (position)

    Examples
    --------
    >>> band = night_band(np.repeat([4.0, 8.0], 365), np.zeros(730, np.bool_))
    >>> float(band.lowest[100]), float(band.middle[100])
    (4.0, 6.0)
    """
    known = np.where(unknown | ~np.isfinite(minimum_c), np.nan, minimum_c)
    edge = np.full(REACH_DAYS, np.nan)
    around = np.lib.stride_tricks.sliding_window_view(
        np.concatenate([edge, known, edge]), 2 * REACH_DAYS + 1
    )
    pooled = around.reshape(-1, DAYS, around.shape[1]).swapaxes(1, 2).reshape(1, -1, DAYS)
    lowest = minimum_c.reshape(-1, DAYS).min(axis=0)
    low, middle, high = (quantile_of_years(pooled, level)[0] for level in (LOW, MIDDLE, HIGH))
    return NightBand(
        lowest=np.where(np.isfinite(lowest), lowest, np.nan), low=low, middle=middle, high=high
    )
