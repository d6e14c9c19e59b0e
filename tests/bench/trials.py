"""
Trials: promises put to years that did not make them.

The splits say which years promise and which are asked, and `try_seasons` puts the promise of the
first to the second. `delivered` counts what was kept.
"""

from __future__ import annotations

from collections.abc import Callable, Iterable, Sequence
from dataclasses import dataclass

import numpy as np
from msgspec.structs import replace
from numpy.typing import NDArray

from suitability.climate.days import DAYS
from suitability.climate.past_years import Kernel, PastYears, free_weight, kernel_for, year_weights
from suitability.climate.seasons import find_longest

from .cases import Asked

BoolArray = NDArray[np.bool_]
IntArray = NDArray[np.int64]
Split = tuple[BoolArray, BoolArray]

PROMISES = (0.8, 0.9, 0.95)
LAST_TESTED = 5
FEWEST = 3  # years that must make a promise


@dataclass(frozen=True, slots=True, kw_only=True)
class Trial:
    """One promise put to one year that did not make it; `year` is that of its mid-summer."""

    station: str
    group: str
    promise: float
    year: int
    nights: int
    kept: bool


def outcome(past_years: PastYears, start: int, nights: int) -> Split:
    """Years that kept, and that failed, a stretch as they were, both (plant year)."""
    kept, failed = year_weights(past_years, nights, 0.0, 0.0)
    column = (start - past_years.cut) % DAYS
    return np.asarray(kept[:, column] > 0.5), np.asarray(failed[:, column] > 0.5)


def try_seasons(
    asked: Asked,
    splits: Iterable[Split],
    kernel: Callable[[int], Kernel] = kernel_for,
    promises: Sequence[float] = PROMISES,
) -> list[Trial]:
    """Promise seasons from the first years of each split and test them on the second."""
    trials: list[Trial] = []
    for training, tested in splits:
        counting = replace(asked.past_years, counts=training)
        width = kernel(int((training & asked.usable).sum()))
        for promise in promises:
            season = find_longest(counting, width, promise)
            if season is None or season.nights == DAYS:  # the whole year is another question
                continue
            kept, failed = outcome(asked.past_years, season.start, season.nights)
            trials += [
                Trial(
                    station=asked.station,
                    group=asked.group,
                    promise=promise,
                    year=asked.first_year + int(year),
                    nights=season.nights,
                    kept=bool(kept[year]),
                )
                for year in np.flatnonzero(tested)
                if kept[year] or failed[year]
            ]
    return trials


def try_whole_years(asked: Asked) -> list[tuple[float, bool]]:
    """Chance of a whole year by all other years, and whether the year left out kept it."""
    shortfall = asked.whole_lack_c[asked.whole_usable]
    rows = np.flatnonzero(asked.whole_usable).astype(np.float64)
    if shortfall.size <= FEWEST:
        return []
    spread = kernel_for(shortfall.size - 1).spread_c
    free = free_weight(shortfall, None, 0.0, spread)
    found = []
    for left_out in range(rows.size):
        others = np.delete(free, left_out)
        found.append((float(others.mean()), bool(shortfall[left_out] <= 0.0)))
    return found


def leave_one_out(usable: BoolArray) -> list[Split]:
    """Each usable year tested by all other years."""
    years = np.arange(usable.size)
    if usable.sum() <= FEWEST:
        return []
    return [(years != year, years == year) for year in np.flatnonzero(usable)]


def past_and_last(usable: BoolArray) -> list[Split]:
    """The last five usable years tested by all earlier ones."""
    last = np.flatnonzero(usable)[-LAST_TESTED:]
    if usable.sum() < FEWEST + LAST_TESTED:
        return []
    years = np.arange(usable.size)
    return [(years < last[0], np.isin(years, last))]


def drawn_years(usable: BoolArray, number: int, draws: int, seed: int = 1) -> list[Split]:
    """So many usable years drawn by lot promise, all others are tested; several draws."""
    years = np.flatnonzero(usable)
    if years.size < number + LAST_TESTED:
        return []
    generator = np.random.default_rng(seed)
    chosen = (generator.choice(years, number, replace=False) for _ in range(draws))
    return [_tested_by_others(usable, some) for some in chosen]


def years_in_a_row(usable: BoolArray, number: int, draws: int) -> list[Split]:
    """So many usable years in a row promise, all others are tested; rows spread over the record."""
    years = np.flatnonzero(usable)
    if years.size < number + LAST_TESTED:
        return []
    firsts = np.unique(np.linspace(0, years.size - number, draws).round().astype(np.int64))
    rows = (years[first : first + number] for first in firsts)
    return [_tested_by_others(usable, row) for row in rows if row[-1] - row[0] == number - 1]


def _tested_by_others(usable: BoolArray, chosen: IntArray) -> Split:
    """Usable years that were not chosen, tested by those that were."""
    training = np.isin(np.arange(usable.size), chosen)
    return training, usable & ~training


def delivered(
    trials: Sequence[Trial],
    promise: float,
    drawn: Callable[[Trial], object] = lambda trial: (trial.station, trial.year),
) -> tuple[float, float, float, int]:
    """
    Share of kept promises with a 90 % interval, and how many trials there were.

    Parameters
    ----------
    trials
    promise
    drawn
        What is drawn anew as a whole for the interval: station-years unless said.
    """
    chosen = [trial for trial in trials if trial.promise == promise]
    if not chosen:
        return float("nan"), float("nan"), float("nan"), 0
    clusters: dict[object, list[bool]] = {}
    for trial in chosen:
        clusters.setdefault(drawn(trial), []).append(trial.kept)
    kept = np.array([sum(values) for values in clusters.values()], np.float64)
    size = np.array([len(values) for values in clusters.values()], np.float64)
    draws = np.random.default_rng(1).integers(0, size.size, (2000, size.size))
    shares = kept[draws].sum(axis=1) / size[draws].sum(axis=1)
    low, high = np.quantile(shares, [0.05, 0.95])
    return float(kept.sum() / size.sum()), float(low), float(high), len(chosen)
