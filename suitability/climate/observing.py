"""
How well a record observes the nights: which years may speak for a stretch, and which are whole.

Unknown nights never prove a year kept. A plant year runs from one cut of the folded year to the
next: mid-winter for outdoor seasons, mid-summer for the question "all year?".
"""

from __future__ import annotations

from functools import lru_cache
from typing import TypeVar

import numpy as np
from msgspec import Struct
from numpy.typing import NDArray

from suitability.climate.days import DAYS, next_flag

IntArray = NDArray[np.int64]
BoolArray = NDArray[np.bool_]
Scalar = TypeVar("Scalar", bound=np.generic)

UNKNOWN_SHARE = 0.03  # of a season's nights that may be unknown
UNKNOWN_SHARE_OF_YEAR = 0.05  # of a plant year's nights
UNKNOWN_RUN = 5  # unknown nights in a row
SHORTEST_JUDGED = 70  # nights; shorter stretches tolerate as many unknown nights as this one


def plant_years(by_position: NDArray[Scalar], cut: int, outside: float) -> NDArray[Scalar]:
    """
    Positions cut into plant years.

    Parameters
    ----------
    by_position : (position)
    cut
        Day of the folded year at which each plant year begins.
    outside
        Value before the first and after the last position.

    Returns
    -------
    (plant year, 365)
        One row more than calendar years unless the cut is 1 January.
    """
    if cut == 0:
        return by_position.reshape(-1, DAYS)
    before = np.full(DAYS - cut, outside, by_position.dtype)
    after = np.full(cut, outside, by_position.dtype)
    return np.concatenate([before, by_position, after]).reshape(-1, DAYS)


def usable_years(unknown: BoolArray) -> BoolArray:
    """
    Years, or parts of them, observed well enough: 95 % of the nights known, no unknown run over 5.

    Parameters
    ----------
    unknown : (plant year, day)

    Returns
    -------
    (plant year)
    """
    total: IntArray = np.cumsum(np.pad(unknown, ((0, 0), (1, 0))), axis=1)
    run: IntArray = (total[:, UNKNOWN_RUN + 1 :] - total[:, : -UNKNOWN_RUN - 1]).max(axis=1)
    few: BoolArray = total[:, -1] <= UNKNOWN_SHARE_OF_YEAR * unknown.shape[1]
    return few & (run <= UNKNOWN_RUN)


def support(unknown: BoolArray, *, beyond: bool = True) -> IntArray:
    """
    Nights from each start for which a year may speak, at most 365.

    A stretch is not supported from its third unknown night on while that is more than 3 % of it
    (stretches under 70 nights tolerate as many as 70 do), nor from the sixth unknown night in a
    row on.

    Parameters
    ----------
    unknown : (position)
    beyond
        Whether nights after the end of the record count as unknown.

    Returns
    -------
    (position)
    """
    return _support(np.asarray(unknown, np.bool_).tobytes(), beyond=beyond)


@lru_cache(maxsize=4)  # spots at one record mostly miss the same nights
def _support(flags: bytes, *, beyond: bool) -> IntArray:
    """`support`, of flags as they lie in memory."""
    unknown = np.frombuffer(flags, np.bool_)
    size = unknown.size
    reach = np.concatenate([unknown, np.full(DAYS + UNKNOWN_RUN + 1, beyond)])
    where = np.append(np.flatnonzero(reach), size + 4 * DAYS)
    here = np.arange(size, dtype=np.int64)
    kept = np.full(size, DAYS, np.int64)
    first = np.searchsorted(where, here)
    # The n-th unknown night after a start ends its support while n of so many nights are too many;
    # later it may be few enough again, but a season grows by nights, and each must hold. No start
    # needs more than the eleventh: that many are too many even of a whole year.
    for number in range(1, int(UNKNOWN_SHARE * DAYS) + 2):
        at = where[np.minimum(first + number - 1, where.size - 1)]
        nights = at - here + 1
        too_many = number > UNKNOWN_SHARE * np.maximum(nights, SHORTEST_JUDGED)
        kept = np.where(too_many, np.minimum(kept, nights - 1), kept)
    total: IntArray = np.cumsum(np.concatenate([[0], reach]))
    runs: BoolArray = total[UNKNOWN_RUN + 1 :] - total[: -UNKNOWN_RUN - 1] == UNKNOWN_RUN + 1
    run_start = next_flag(runs)[:size]
    reached: IntArray = np.minimum(kept, run_start + UNKNOWN_RUN - here)
    reached.flags.writeable = False
    return reached


class Observed(Struct, frozen=True, kw_only=True):
    """
    How well a record observes the nights of a spot.

    Attributes
    ----------
    supported : (position)
        From `support`.
    winter_usable, summer_usable : (plant year)
        Plant years observed well enough, cut at mid-winter and at mid-summer.
    may_hide
        Whether so many nights were missed by day-only observation that they can matter.
    """

    supported: IntArray
    winter_usable: BoolArray
    summer_usable: BoolArray
    may_hide: bool


class Hidden(Struct, frozen=True, kw_only=True):
    """
    What a station that was shut at night may hide.

    Attributes
    ----------
    nights : (position)
        Nights that may have been unsafe but were observed by day only; none where they are too few
        to matter.
    seen : (position)
        Nights from each start until they may hide something; 365 if they do not.
    summer_seen : (plant year)
        Plant years cut at mid-summer in which they hide nothing.
    """

    nights: BoolArray
    seen: IntArray
    summer_seen: BoolArray


def enough_hidden(hidden: BoolArray, summer: int) -> Hidden:
    """
    Hidden nights if there are enough to matter.

    Parameters
    ----------
    hidden : (position)
        Nights that may have been unsafe but were observed by day only.
    summer
        Day of the folded year at which plant years are cut.
    """
    return _enough_hidden(np.asarray(hidden, np.bool_).tobytes(), summer)


# Warmings that lie near each other, and groups that do, have the same hidden nights: a search for
# a margin asks for some dozens of different ones in all, but many times.
@lru_cache(maxsize=64)
def _enough_hidden(flags: bytes, summer: int) -> Hidden:
    """`enough_hidden`, of flags as they lie in memory."""
    hidden = np.frombuffer(flags, np.bool_)
    total = np.cumsum(np.concatenate([np.zeros(DAYS, np.bool_), hidden]), dtype=np.int64)
    # Two are tolerated in any stretch.
    if total[-1] > 2 and (total[DAYS:] - total[:-DAYS]).max() > 2:
        seen = support(hidden, beyond=False)
        if seen.min() < DAYS:
            summer_seen = usable_years(plant_years(hidden, summer, outside=False))
            summer_seen.flags.writeable = False
            return Hidden(nights=hidden, seen=seen, summer_seen=summer_seen)
    none, all_seen = np.zeros_like(hidden), np.full(hidden.size, DAYS, np.int64)
    every_year = np.ones(hidden.size // DAYS + (summer > 0), np.bool_)
    for shared in (none, all_seen, every_year):
        shared.flags.writeable = False
    return Hidden(nights=none, seen=all_seen, summer_seen=every_year)


def observe(unknown: BoolArray, by_day_only: BoolArray, winter: int, summer: int) -> Observed:
    """
    How well a record observes the nights.

    Parameters
    ----------
    unknown, by_day_only : (position)
        Nights not fully observed; among them those of which the day was observed.
    winter, summer
        Days of the folded year at which plant years are cut.
    """
    flags = (np.asarray(one, np.bool_).tobytes() for one in (unknown, by_day_only))
    return _observe(*flags, winter, summer)


@lru_cache(maxsize=4)  # all groups of a spot ask the same
def _observe(unknown_flags: bytes, by_day_flags: bytes, winter: int, summer: int) -> Observed:
    """`observe`, of flags as they lie in memory."""
    unknown = np.frombuffer(unknown_flags, np.bool_)
    by_winter, by_summer = (
        usable_years(plant_years(unknown, cut, outside=True)) for cut in (winter, summer)
    )
    by_winter.flags.writeable = by_summer.flags.writeable = False
    return Observed(
        supported=support(unknown),
        winter_usable=by_winter,
        summer_usable=by_summer,
        may_hide=bool(_enough_hidden(by_day_flags, summer).nights.any()),
    )
