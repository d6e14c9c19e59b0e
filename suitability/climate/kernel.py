"""How far a past year stands for years like it; `docs/calibration.md` has the evidence."""

from __future__ import annotations

from functools import lru_cache

import numpy as np
from msgspec import Struct
from numpy.typing import NDArray

__all__ = ["FARTHEST_NEIGHBOUR_C", "PLAIN", "Kernel", "kernel_for"]

FloatArray = NDArray[np.float64]


class Kernel(Struct, frozen=True, kw_only=True):
    """
    How far a past year stands for years like it.

    Attributes
    ----------
    days : (odd number)
        Weights of shifts by so many days, centred, summing to 1; `[1]` for none.
    spread_c : K
        Standard deviation of the triangular weight over temperature; 0 for none.
    whole_year_spread_c : K
        The same for the question "all year?": no stretch is chosen to fit the years there, so
        that less is needed.
    """

    days: FloatArray
    spread_c: float
    whole_year_spread_c: float


PLAIN = Kernel(days=np.ones(1), spread_c=0.0, whole_year_spread_c=0.0)


# K, from a year to the last of those it stands for: a triangle of standard deviation s ends at
# s x sqrt(6), and no record has a wider one than that of a single year.
FARTHEST_NEIGHBOUR_C = 2.0 * 6.0**0.5


@lru_cache(maxsize=8)
def kernel_for(years: int) -> Kernel:
    """
    The calibrated kernel for so many years: the fewer, the wider.

    Shifts are Gaussian with a standard deviation of 9 days over the cube root of the number of
    years, temperatures triangular with one of 2 °C over it (0.75 °C for the whole year).
    """
    # With more years each needs to stand for less. The cube root falls more slowly than the gaps
    # between years do (1/n), so that every new year still lies within reach of more and more.
    narrowing = max(years, 1) ** (-1.0 / 3.0)
    deviation = 9.0 * narrowing
    reach = int(np.ceil(3.0 * deviation))  # what lies beyond weighs 0.3 % in all
    days = np.exp(-0.5 * (np.arange(-reach, reach + 1) / deviation) ** 2)
    return Kernel(
        days=days / days.sum(),
        spread_c=2.0 * narrowing,
        whole_year_spread_c=0.75 * narrowing,
    )
