"""
Whether a thermometer's clock agrees with the record's, told by the weather and not by the sun.

What a spot does each day (a wall that is late to warm, a porch that the sun reaches first) shifts
the daily wave by hours without any fault of the clock. So the mean day is taken off both series,
and what is left, fronts and clouds, is compared: its changes over three hours are correlated at
every lag. A spot that follows the air slowly is late too; how slowly is read from how much smaller
its changes are, and that lateness is not held against its clock.
"""

from __future__ import annotations

from collections.abc import Sequence

import numpy as np
from msgspec import Struct
from numpy.typing import NDArray

from suitability.climate.enclosure import damp

FloatArray = NDArray[np.float64]

BLOCK_DAYS = 21  # of one mean day: the sun's path changes over longer ones
CHANGE_H = 3  # over which changes are compared
FARTHEST_H = 14  # lags tried either way
DAMPINGS_H = (0.0, 1.0, 2.0, 3.0, 4.0, 6.0, 9.0, 12.0)
# From which lag on a clock is doubted, h, by the likeness of its weather to the record's, as a
# share of what so slow a spot can have: weather needs an hour or two from a station that is far.
# Next to no correct log lies beyond (docs/calibration.md).
DOUBTED_H = ((0.9, 0.75), (0.8, 0.9), (0.0, 1.75))
STEP_DOUBTED_H = ((0.85, 0.8), (0.0, 2.5))
FEWEST_H = 200  # pairs of changes from which a lag is told
FEWEST_DAYS = 7  # either side of a step of the clock
UNSURE, STEP_UNSURE = 0.3, 0.4  # correlation below which nothing is told
SLOWEST = (
    0.55  # size of the changes of a spot, as a share of those outside; slower ones hide theirs
)


class ClockLag(Struct, frozen=True, kw_only=True):
    """
    How late a log is beyond what its spot explains, h; negative if it is early.

    Attributes
    ----------
    doubted_from
        Lag from which on the clock is doubted, either way.
    """

    hours: float
    doubted_from: float

    @property
    def is_wrong(self) -> bool:
        """Whether it is more than weather and spot explain."""
        return abs(self.hours) >= self.doubted_from


class ClockStep(ClockLag, frozen=True, kw_only=True):
    """A clock that was set anew: `hours` later from a day of the log on, counted from its first."""

    day: int


def find_clock_lag(outside_c: FloatArray, log_c: FloatArray) -> ClockLag | None:
    """
    How late a log is; None where too little of the record's weather is in it, or it is too slow.

    Parameters
    ----------
    outside_c, log_c : (hour), °C
        The same hours, nan where missing; hours before and after the log help.
    """
    told = _changes(log_c)
    found = _peak(_changes(outside_c), told)
    if found is None or found[1] < UNSURE:
        return None
    lag, likeness = found
    here = ~np.isnan(log_c)
    size = _size(outside_c, log_c)
    if size < SLOWEST:
        return None
    smaller, late, best = _of_slow_spots(outside_c, here)
    allowed = float(np.interp(size, smaller[::-1], late[::-1]))
    share = likeness / float(np.interp(size, smaller[::-1], best[::-1]))
    return ClockLag(hours=lag - allowed, doubted_from=_doubted(share, DOUBTED_H))


def find_clock_step(outside_c: FloatArray, log_c: FloatArray) -> ClockStep | None:
    """
    The greatest step between what comes before a day and what comes after it, a week each at least.

    None where no day has that much on both sides, or the spot is too slow.
    """
    told = np.flatnonzero(~np.isnan(log_c))
    if not told.size or _size(outside_c, log_c) < SLOWEST:
        return None
    outside, first = _changes(outside_c), int(told[0])
    days = (int(told[-1]) + 1 - first) // 24
    found: list[ClockStep] = []
    for day in range(FEWEST_DAYS, days - FEWEST_DAYS + 1, 2):
        at = first + 24 * day
        changes = _changes(log_c, at)
        halves = [changes.copy(), changes.copy()]
        halves[0][at:], halves[1][:at] = np.nan, np.nan
        before, after = (_peak(outside, half, fewest=FEWEST_H // 2) for half in halves)
        if before is None or after is None or min(before[1], after[1]) < STEP_UNSURE:
            continue
        doubted = _doubted(min(before[1], after[1]), STEP_DOUBTED_H)
        found.append(ClockStep(hours=after[0] - before[0], day=day, doubted_from=doubted))
    return max(found, key=lambda one: abs(one.hours), default=None)


def _size(outside_c: FloatArray, log_c: FloatArray) -> float:
    """How large the changes of a log are, as a share of those outside over the same hours."""
    outside = np.where(np.isnan(log_c), np.nan, outside_c)
    mine, theirs = (changes[~np.isnan(changes)] for changes in map(_changes, (log_c, outside)))
    return float(mine.std() / theirs.std()) if min(mine.size, theirs.size) else 0.0


def _doubted(likeness: float, limits: Sequence[tuple[float, float]]) -> float:
    return next(hours for least, hours in limits if likeness >= least)


def _changes(temp_c: FloatArray, step_at: int | None = None) -> FloatArray:
    """
    Changes over three hours of what is left without the mean day of each three weeks, (hour).

    Parameters
    ----------
    step_at
        Hour at which the mean day begins anew, for the clock may have been set there.
    """
    left = temp_c.copy()
    edges = np.arange(0, temp_c.size, 24 * BLOCK_DAYS).tolist()
    if step_at is not None:
        edges = sorted({*edges, step_at})
    for start, stop in zip(edges, [*edges[1:], temp_c.size], strict=True):
        for hour in range(24):
            part = left[start + hour : stop : 24]
            known = ~np.isnan(part)
            if known.any():
                part -= part[known].mean()
    changes = np.full(temp_c.size, np.nan)
    changes[CHANGE_H:] = left[CHANGE_H:] - left[:-CHANGE_H]
    return changes


def _peak(
    outside: FloatArray, told: FloatArray, fewest: int = FEWEST_H
) -> tuple[float, float] | None:
    """The lag at which two series are most alike, h, between hours by a parabola; and how alike."""
    lags = range(-FARTHEST_H, FARTHEST_H + 1)
    likeness = np.array([_alike(outside, told, lag, fewest) for lag in lags])
    if np.isnan(likeness).any():
        return None
    top = int(likeness.argmax())
    if top in {0, likeness.size - 1}:
        return float(lags[top]), float(likeness[top])
    left, here, right = likeness[top - 1 : top + 2].tolist()
    bend = left - 2.0 * here + right
    return lags[top] + (0.5 * (left - right) / bend if bend else 0.0), here


def _alike(outside: FloatArray, told: FloatArray, lag: int, fewest: int) -> float:
    """Correlation of what was told at an hour with what was outside `lag` hours before it."""
    size = told.size
    mine = told[max(0, lag) : size + min(0, lag)]
    theirs = outside[max(0, -lag) : size - max(0, lag)]
    both = ~np.isnan(mine + theirs)
    if both.sum() < fewest:
        return np.nan
    mine, theirs = mine[both] - mine[both].mean(), theirs[both] - theirs[both].mean()
    power = float((mine**2).sum() * (theirs**2).sum())
    return float((mine * theirs).sum()) / power**0.5 if power > 0.0 else np.nan


def _of_slow_spots(
    outside_c: FloatArray, here: NDArray[np.bool_]
) -> tuple[FloatArray, FloatArray, FloatArray]:
    """For each time constant: how small changes are, how late, and how like the air outside."""
    plain = _changes(outside_c)
    size = float(np.nanstd(plain[here]))
    rows = [(1.0, 0.0, 1.0)]
    for damping in DAMPINGS_H[1:]:
        slow, _ = damp(outside_c, damping)
        told = np.where(here, _changes(slow), np.nan)
        lag, likeness = _peak(plain, told) or (rows[-1][1], rows[-1][2])
        smaller = min(float(np.nanstd(told)) / size, rows[-1][0] - 1e-6)
        rows.append((smaller, max(lag, rows[-1][1]), likeness))
    columns = np.array(rows)
    return columns[:, 0], columns[:, 1], columns[:, 2]
