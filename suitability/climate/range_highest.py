"""The greatest of any number of values in a row, from every position on."""

from __future__ import annotations

import numpy as np
from numpy.typing import NDArray

__all__ = ["RangeHighest"]

FloatArray = NDArray[np.float64]
IntArray = NDArray[np.int64]


class RangeHighest:
    """
    The greatest of any number of values in a row, from every position on.

    Row j holds the greatest of the 2^j values from each position on, so that any stretch is
    covered by two of them. Rows are worked out when they are first asked for.
    """

    __slots__ = ("_rows",)

    def __init__(self, values: FloatArray) -> None:
        self._rows = [values]

    def row(self, power: int) -> FloatArray:
        """Greatest of 2^power values; at the end, of as many as there are."""
        while len(self._rows) <= power:
            last, step = self._rows[-1], 1 << (len(self._rows) - 1)
            wider = np.empty_like(last)
            np.maximum(last[:-step], last[step:], out=wider[:-step])
            wider[-step:] = last[-step:]
            self._rows.append(wider)
        return self._rows[power]

    def of(self, first: int, nights: int, starts: slice | IntArray) -> FloatArray:
        """Greatest value of so many nights, beginning `first` nights after each start."""
        power = nights.bit_length() - 1
        row, last = self.row(power), first + nights - (1 << power)
        return np.maximum(row[first:][starts], row[last:][starts])
