"""
How far a forecast of night minima may be off: learned from its own past, or a stated allowance.

An allowance is one-sided: with it a forecast is too warm on one night in ten. Stated, it is that of
a normal error whose standard deviation grows with the night, 1.0 + 0.33 x night (°C). That fits
what two services publish: 86.5 % of first-night minima within 2 °C (Met Office, Accuracy
performance, 119 British sites, mean of 36 months), and a mean error of about 1.6 °C on day 3
(Stern 2008, Meteorol. Appl. 15, 65-71, doi:10.1002/met.67). Beyond night 3 it is carried on, and
reasoned. Learned, it is a bound without any assumption on the shape of errors: of n past errors
and a new one, all as likely in any order, the new one exceeds the k-th smallest with probability
1 - k/(n+1) (Wilks 1941, Ann. Math. Statist. 12, 91-96).
"""

from __future__ import annotations

import math

import numpy as np
from numpy.typing import NDArray

FloatArray = NDArray[np.float64]

KEPT = 0.9  # share of nights that are not colder than the forecast less the allowance
NORMAL_QUANTILE = 1.2816  # of that share
FEWEST_NIGHTS = 30  # from which an error is learned
PUBLISHED_NIGHTS = 3  # up to which published figures reach


def stated_deviation_c(night: int) -> float:
    """
    Standard deviation of a forecast of a night's minimum, °C; the first night is 1.

    Examples
    --------
    >>> [round(stated_deviation_c(night), 2) for night in (1, 3, 7)]
    [1.33, 1.99, 3.31]
    """
    return 1.0 + 0.33 * night


def stated_allowance_c(night: int) -> float:
    """
    What a forecast of a night's minimum is lowered by, °C, where its own error is not known.

    Examples
    --------
    >>> [round(stated_allowance_c(night), 1) for night in (1, 3, 5, 7)]
    [1.7, 2.6, 3.4, 4.2]
    """
    return NORMAL_QUANTILE * stated_deviation_c(night)


def learned_allowance_c(too_warm_c: FloatArray) -> float | None:
    """
    The same as learned from past forecasts of the same night ahead; None with under 30 nights.

    Parameters
    ----------
    too_warm_c : (night), K
        Forecast less observed minimum; nan where one is not known.

    Returns
    -------
    °C
        Never below 0: a forecast that was always too cold is not warmed.
    """
    known = np.sort(too_warm_c[~np.isnan(too_warm_c)])
    if known.size < FEWEST_NIGHTS:
        return None
    place = math.ceil(KEPT * (known.size + 1) - 1e-9)
    return max(0.0, float(known[min(place, known.size) - 1]))
