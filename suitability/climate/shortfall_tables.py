"""What every stretch of nights lacks, from tables that all groups at one spot share."""

from __future__ import annotations

import numpy as np
from msgspec import Struct
from msgspec.structs import replace
from numpy.typing import NDArray

from suitability.climate.cold import DOSE_NIGHTS
from suitability.climate.days import DAYS
from suitability.climate.exposure import EPSILON_C
from suitability.climate.states import SpotNights, Thresholds

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


class ShortfallTables(Struct, frozen=True, kw_only=True):
    """
    The greatest shortfall of any stretch of one group's nights, °C; positions from the cut on.

    Attributes
    ----------
    at_once
        By hard nights, unsafe whatever the day of moving out.
    dose
        By dose; it starts at the day of moving out, so that a stretch is not judged by it before
        its 14th night.
    room
        Negative of the warmth that days still stand; None where heat does not exclude.
    """

    at_once: Raised
    dose: Raised
    room: Raised | None

    def by_heat_alone(self) -> ShortfallTables:
        """The same, were it never cold."""
        return replace(self, at_once=self.at_once.nowhere(), dose=self.dose.nowhere())


class SpotTables:
    """
    The tables of one spot, made when they are first asked for.

    Parameters
    ----------
    nights
        Of the spot; their winter is the cut.
    """

    def __init__(self, nights: SpotNights) -> None:
        self._nights = nights
        self._made: dict[tuple[str, float], RangeHighest] = {}
        self._ever_wet = bool(np.isfinite(nights.wet_minimum_c).any())
        self._always_wet = bool(np.array_equal(nights.wet_minimum_c, nights.minimum_c))

    def of(self, limits: Thresholds, *, dry: bool = False) -> ShortfallTables:
        """
        Those of one group: what `lacking_warmth` says of nights, of every stretch.

        Parameters
        ----------
        dry
            Rain is kept off: no hour is wet, and none weighs more.
        """
        nights, limit_c_h = self._nights, limits.dose_limit_c_h
        # A night at its limit is not below it. With the epsilon taken off the limit its shortfall
        # is negative, and "above 0" stays the one test whatever constant is added.
        by_dry, by_wet = limits.limit_c - EPSILON_C, limits.limit_wet_c - EPSILON_C
        minimum = self._table("minimum", nights.minimum_c)
        if dry or not self._ever_wet:
            at_once = Raised((minimum, by_dry))
        elif self._always_wet:  # one table serves: both limits are held against the same nights
            at_once = Raised((minimum, max(by_dry, by_wet)))
        else:
            in_wet = self._table("wet minimum", nights.wet_minimum_c)
            at_once = Raised((minimum, by_dry), (in_wet, by_wet))
        if dry:
            dose = self._table("dry dose", nights.dry_tolerated_base_c()[limit_c_h], limit_c_h)
        else:
            dose = self._table("dose", nights.tolerated_base_c[limit_c_h], limit_c_h)
        return ShortfallTables(
            at_once=at_once,
            dose=Raised((dose, limits.chill_base_c - EPSILON_C)),
            room=self.room(limits),
        )

    def room(self, limits: Thresholds, *, known_heat: bool = False) -> Raised | None:
        """That of `ShortfallTables`; with `known_heat` no hour that was missed is taken as hot."""
        if limits.ceiling_c is None:
            return None
        name, runs = "heat", self._nights.hot_run_c
        if known_heat:
            name, runs = "known heat", self._nights.known_hot_run_c
        # The greatest of the runs less the ceiling: its negative is the least room.
        return Raised((self._table(name, -runs), -(limits.ceiling_c + EPSILON_C)))

    def _table(self, name: str, by_position: FloatArray, limit_c_h: float = 0.0) -> RangeHighest:
        """The greatest of the negatives of what positions hold."""
        asked = name, limit_c_h
        if asked not in self._made:
            self._made[asked] = RangeHighest(_laid_out(-by_position, self._nights.winter))
        return self._made[asked]


def _laid_out(by_position: FloatArray, cut: int) -> FloatArray:
    """The positions from the first plant year on, with nothing known before and after."""
    before = np.full((DAYS - cut) % DAYS, -np.inf)  # so that positions begin with a plant year
    # A stretch from the last day of the last plant year runs on for a year, and its dose for 14
    # nights more: without room for it, looking it up would read past the end.
    after = np.full(2 * DAYS + DOSE_NIGHTS, -np.inf)
    return np.concatenate([before, by_position, after])
