"""The greatest of any number of values in a row, from every position on."""

from __future__ import annotations

import numpy as np
from numpy.typing import NDArray

__all__ = ["Raised", "RangeHighest"]

FloatArray = NDArray[np.float64]
IntArray = NDArray[np.int64]

REMEMBERED = 4  # answers for all positions; groups that share a table ask the same one by one


class RangeHighest:
    """
    The greatest of any number of values in a row, from every position on.

    Row j holds the greatest of the 2^j values from each position on, so that any stretch is
    covered by two of them. Rows are worked out when they are first asked for.
    """

    __slots__ = ("_rows", "_told")

    def __init__(self, values: FloatArray) -> None:
        self._rows = [values]
        self._told: dict[tuple[int, int, int, int], FloatArray] = {}

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
        """
        Greatest value of so many nights, beginning `first` nights after each start.

        What is returned for a slice is shared and cannot be changed.
        """
        power = nights.bit_length() - 1
        row, last = self.row(power), first + nights - (1 << power)
        if not isinstance(starts, slice):
            return np.maximum(row[starts + first], row[starts + last])
        asked = (first, nights, starts.start, starts.stop)
        if asked not in self._told:
            if len(self._told) == REMEMBERED:
                self._told.clear()
            told = np.maximum(row[first:][starts], row[last:][starts])
            told.flags.writeable = False
            self._told[asked] = told
        return self._told[asked]


class Raised:
    """
    The greatest of several tables, each raised by a constant.

    Groups at one spot differ by their limits alone, so that they share its tables: the greatest
    shortfall of a stretch is a limit less the lowest night.
    """

    __slots__ = ("_parts",)

    def __init__(self, *parts: tuple[RangeHighest, float]) -> None:
        self._parts = parts

    def of(self, first: int, nights: int, starts: slice | IntArray) -> FloatArray:
        """Greatest value of so many nights, beginning `first` nights after each start."""
        (table, by), *others = self._parts
        highest: FloatArray = table.of(first, nights, starts) + by
        for table, by in others:
            np.maximum(highest, table.of(first, nights, starts) + by, out=highest)
        return highest

    def nowhere(self) -> Raised:
        """The same positions with nothing known: -inf."""
        return Raised(*((table, -np.inf) for table, _ in self._parts))
