"""
Nights that nobody saw: whether a record lost them in the cold, or in the heat, and not by chance.

What a lost night was like only its surroundings tell: the half days and the nights on either side.
Losses by chance fall into cold surroundings as often as nights do. A station that stops in the
frost, as batteries and power lines do, loses just the nights that are asked about, and then looks
milder than its place, whatever is made of the nights that are left. So gaps are counted among the
coldest surroundings, and told where chance would hardly have put so many so far down.
"""

from __future__ import annotations

import numpy as np
from msgspec import Struct
from numpy.typing import NDArray

from suitability.climate.days import DAYS, NIGHT_HOURS

FloatArray = NDArray[np.float64]
BoolArray = NDArray[np.bool_]

AFTERNOON = slice(6)  # noon to 18:00 within noon to noon
LONGEST_GAP = 7  # nights; what surrounds a longer one tells nothing of its middle; reasoned
COLD = 0.25  # share of nights, the coldest by surroundings, among which gaps are counted
BY_CHANCE = {0.5: 0.05, 0.0: 0.001}  # by share of hours lost: how many records are told wrongly
IN_SEASON = 0.4  # of these for what is cold for its time of the year alone; reasoned
YEAR, AROUND = 365.25, 15  # days; what is usual at a date is the mean of so many on either side
MORNING_HOURS = slice(12, 24)  # midnight to noon within noon to noon
EVENING_HOURS = slice(12)  # noon to midnight


class Missed(Struct, frozen=True, kw_only=True):
    """Nights lost in the cold and days in the heat, in order; none if chance may lose so."""

    cold: BoolArray
    hot: BoolArray


def find_missed(temp_c: FloatArray) -> Missed:
    """
    Nights that a record lost in the cold, and days that it lost in the heat, beyond chance.

    A night is lost if half of its hours from 18:00 to 09:00 are missing, a day if half of its
    afternoon is. The hours beside a shorter gap say rather well what it hides, so that it takes
    more to be told of those: one chance in a thousand instead of one in twenty.

    Parameters
    ----------
    temp_c : (night, 24), °C
        Noon to noon, after short gaps have been filled.
    """
    by_hour = np.ascontiguousarray(temp_c.T)  # (24, night): sums over hours are quicker so
    gaps = np.isnan(by_hour)
    return Missed(
        cold=_missed_cold(by_hour, gaps, NIGHT_HOURS, in_season=True),
        hot=_missed_cold(-by_hour, gaps, AFTERNOON),  # the heat is the cold of the other sign
    )


def _missed_cold(
    temp_c: FloatArray, gaps: BoolArray, hours: slice, *, in_season: bool = False
) -> BoolArray:
    """
    Nights that lack such hours, lost in the cold beyond chance, (night).

    Asked too, if wanted, is the cold for the time of the year: that of spring and autumn bounds
    seasons, and is mild beside a winter's.
    """
    missing = gaps[hours].mean(axis=0)
    missing[[0, -1]] = 0.0  # within which a record begins and ends
    flags: BoolArray = np.zeros(missing.size, np.bool_)
    if not missing.any():
        return flags
    around_c = _surroundings(temp_c, gaps, hours)
    for share, chance in BY_CHANCE.items():
        lost = (missing > 0.0) & (missing >= share)
        flags |= _beyond_chance(lost, around_c, chance)
        if in_season:
            flags |= _beyond_chance(lost, around_c - _usual(around_c), IN_SEASON * chance)
    return flags


def _usual(around_c: FloatArray) -> FloatArray:
    """What is usual at the time of the year of each night, the mean of all years, (night), °C."""
    known = ~np.isnan(around_c)
    day = np.mod(np.arange(around_c.size), YEAR).astype(np.int64)
    sums = np.array(
        [
            np.bincount(day, values, minlength=DAYS + 1)
            for values in (np.where(known, around_c, 0.0), known.astype(np.float64))
        ]
    )
    ring = np.concatenate([sums[:, -AROUND:], sums, sums[:, :AROUND]], axis=1)
    total, number = np.lib.stride_tricks.sliding_window_view(ring, 2 * AROUND + 1, 1).sum(axis=2)
    mean: FloatArray = np.divide(total, number, out=np.full(number.size, np.nan), where=number > 0)
    return mean[day]


def _surroundings(temp_c: FloatArray, gaps: BoolArray, hours: slice) -> FloatArray:
    """
    How cold it was around each night, whatever the night itself was, (night), °C.

    The mean of four: of the half day before its noon and that after the next, and of the lowest of
    such hours of the nights before and after; of those that are known, the nearest.
    """
    lowest = temp_c[hours].min(axis=0)  # nan unless all of them are known
    morning, evening = (
        _half_day(temp_c[half], gaps[half]) for half in (MORNING_HOURS, EVENING_HOURS)
    )
    before = (_known_before(one) for one in (morning, lowest))
    after = (_known_before(one[::-1])[::-1] for one in (evening, lowest))
    around: FloatArray = np.mean([*before, *after], axis=0)
    return around


def _half_day(temp_c: FloatArray, gaps: BoolArray) -> FloatArray:
    """Mean of twelve hours of which half are known, (night), °C; nan for others."""
    known = gaps.shape[0] - gaps.sum(axis=0)
    total = np.where(gaps, 0.0, temp_c).sum(axis=0)
    half = known * 2 >= gaps.shape[0]
    mean: FloatArray = np.divide(total, known, out=np.full(known.size, np.nan), where=half)
    return mean


def _known_before(values: FloatArray) -> FloatArray:
    """The last known value before each, itself left out; nan where there is none."""
    at = np.where(np.isnan(values), 0, np.arange(values.size))
    last: FloatArray = values[np.maximum.accumulate(at)]
    return np.concatenate([[np.nan], last[:-1]])


def _beyond_chance(lost: BoolArray, around_c: FloatArray, chance: float) -> BoolArray:
    """
    Lost nights in the coldest surroundings, if chance would hardly put so many so far down.

    Of m gaps lost by chance, j lie within the coldest share u of all nights with a probability of
    at most C(m, j) u^j. That is asked of the coldest gap, of the two coldest and so on, each time
    with the m-th part of the chance allowed, so that more records are not told of nights that
    chance alone has lost. The most gaps of which it is true are taken.
    """
    edges = np.flatnonzero(np.diff(np.concatenate([[False], lost, [False]]).astype(np.int8)))
    first, stop = edges[::2], edges[1::2]
    judged = (stop - first <= LONGEST_GAP) & ~np.isnan(around_c[first])
    first, stop = first[judged], stop[judged]
    seen = np.sort(around_c[~lost & ~np.isnan(around_c)])
    # An equal night counts as colder: where a heater holds the minimum, no night is extreme.
    share = (np.searchsorted(seen, around_c[first], side="right") + 1) / (seen.size + 1)
    order = np.argsort(share, kind="stable")
    order = order[share[order] <= COLD]
    number = np.arange(1, order.size + 1)
    ways = np.cumsum(np.log((first.size + 1 - number) / number))  # ln C(m, j)
    seldom = ways + number * np.log(share[order]) <= np.log(chance / max(first.size, 1))
    flags = np.zeros_like(lost)
    for at in order[: int(number[seldom].max(initial=0))].tolist():
        flags[first[at] : stop[at]] = True
    return flags
