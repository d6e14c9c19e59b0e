"""
Published zones of a place: plant hardiness by the coldest night of winters, heat by its hot days.

They tell a reader of labels and catalogues what kind of place it is; no verdict hangs on them. One
number for all plants is just what this program does without.
"""

from __future__ import annotations

import math
from bisect import bisect_left

import numpy as np
from numpy.typing import NDArray

from suitability.climate.exposure import EPSILON_C

FloatArray = NDArray[np.float64]
BoolArray = NDArray[np.bool_]

HOT_DAY_C = 30.0  # 86 °F
LAST_HALF_ZONE = 25  # 13b
HEAT_ZONE_DAYS = (7, 14, 30, 45, 60, 90, 120, 150, 180, 210)  # most days of zones 2 to 11


def hardiness_zone(mean_lowest_c: float) -> str:
    """
    Half zone of plant hardiness.

    Half zones of 5 °F from -60 °F on, lower end included (United States Department of Agriculture,
    map of 2023): from the mean of each winter's lowest temperature, not from the record low.

    Parameters
    ----------
    mean_lowest_c : °C

    Examples
    --------
    >>> hardiness_zone(-12.3), hardiness_zone(1.7), hardiness_zone(4.5)
    ('7b', '10b', '11a')
    """
    lowest_f = round(mean_lowest_c * 1.8 + 32.0, 6)
    half = min(max(math.floor((lowest_f + 60.0) / 5.0), 0), LAST_HALF_ZONE)
    return f"{half // 2 + 1}{'ab'[half % 2]}"


def heat_zone(days_above_30: float) -> int:
    """
    Heat zone, 1 to 12, by the mean yearly number of days above 30 °C.

    American Horticultural Society 1997: under 1 day zone 1, 1 to 7 zone 2, over 210 zone 12.

    Examples
    --------
    >>> [heat_zone(days) for days in (0.5, 1, 7, 7.5, 36, 211)]
    [1, 2, 2, 3, 5, 12]
    """
    return 1 if days_above_30 < 1.0 else 2 + bisect_left(HEAT_ZONE_DAYS, days_above_30)


def hot_days(temp_c: FloatArray) -> tuple[BoolArray, BoolArray]:
    """
    Days with an hour above 30 °C, and days that are known, each (day).

    Parameters
    ----------
    temp_c : (day, 24), °C
        A day with at most four hours missing is known.
    """
    known = (~np.isnan(temp_c)).sum(axis=1) >= 20
    hot: BoolArray = np.asarray((temp_c > HOT_DAY_C + EPSILON_C).any(axis=1))
    return hot & known, np.asarray(known)
