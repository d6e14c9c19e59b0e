"""
Intervals of moving dates: do nine of ten draws of the years have the date within them.

The draws here are other ones than the program's, and the season of each is found by halving over
all lengths and starts, not read off a few. A harder question stands beside it: whether the date
that all other years of a long record promise lies within the interval that ten years gave. Run as
`python -m tests.bench.date_intervals HOURLY_FOLDER [DAILY_FOLDER]`; the result stands in
docs/calibration.md.
"""

from __future__ import annotations

import sys
from collections.abc import Iterable
from dataclasses import dataclass
from functools import cache
from pathlib import Path

import numpy as np
from msgspec.structs import replace
from numpy.typing import NDArray

from suitability.advice.moves import nine_of_ten
from suitability.climate.days import DAYS
from suitability.climate.past_years import Stretch, kernel_for, smooth_starts, year_weights
from suitability.climate.seasons import SHORTEST_LOOKED_FOR, find_longest

from .cases import Asked, all_cases
from .trials import drawn_years

BoolArray = NDArray[np.bool_]
FloatArray = NDArray[np.float64]
Ends = tuple[int, int]  # days by which a season begins, and ends, later than another

PROMISE = 0.9
DRAWS = 100
SHORTEST_SEASON = 70
LONG_RECORD, TEN = 25, 10
FARTHEST = 64  # days, beyond which the program tells no date
ANY_LENGTH = np.full(DAYS, DAYS)


@dataclass(frozen=True, slots=True, kw_only=True)
class Told:
    """One season: how many draws had its dates within what was told, and how many were drawn."""

    station: str
    within: Ends
    draws: int


def later(one: Stretch, other: Stretch) -> Ends:
    """Days by which one season begins and ends later than another, no more than are told."""
    start = (one.start - other.start + DAYS // 2) % DAYS - DAYS // 2
    stop = start + one.nights - other.nights
    return (max(-FARTHEST, min(start, FARTHEST)), max(-FARTHEST, min(stop, FARTHEST)))


def season_of(asked: Asked, years: BoolArray) -> Stretch | None:
    """The season that some years promise, if it is one with dates."""
    counting = replace(asked.past_years, counts=years)
    found = find_longest(counting, kernel_for(int((years & asked.usable).sum())), PROMISE)
    usual = found is not None and SHORTEST_SEASON <= found.nights < DAYS
    return found if usual else None


def intervals_of(asked: Asked, years: BoolArray, season: Stretch) -> tuple[Ends, Ends]:
    """What the program tells of both dates: between how many days later each lies."""
    usable = years & asked.usable
    counting = replace(asked.past_years, counts=years)
    kernel = kernel_for(int(usable.sum()))
    return nine_of_ten(counting, kernel, PROMISE, season, usable, longest=ANY_LENGTH, seed=20)


def drawn_ends(asked: Asked, season: Stretch, generator: np.random.Generator) -> list[Ends]:
    """Both dates of many draws, each with its season found over all lengths."""
    number = int(asked.usable.sum())
    kernel, rows = kernel_for(number), np.flatnonzero(asked.usable)

    @cache
    def by_year(nights: int) -> tuple[FloatArray, FloatArray]:
        parts = year_weights(asked.past_years, nights, 0.0, kernel.spread_c)
        kept, failed = (smooth_starts(part, kernel.days) for part in parts)
        return kept, failed

    def ends(weights: FloatArray) -> Ends:
        low, high, start = SHORTEST_LOOKED_FOR - 1, DAYS + 1, -1
        while high - low > 1:
            nights = (low + high) // 2
            kept, failed = (weights @ part for part in by_year(nights))
            share = np.divide(kept, kept + failed, out=np.zeros(DAYS), where=kept > 0.0)
            if share.max() >= PROMISE - 1e-9:
                low, start = nights, int(share.argmax())
            else:
                high = nights
        if start < 0:
            return FARTHEST, -FARTHEST
        first = (start + asked.past_years.cut) % DAYS
        return later(replace(season, start=first, nights=low), season)

    found = []
    for _ in range(DRAWS):
        weights = np.ones(asked.usable.size)
        drawn = generator.integers(0, number, number)
        weights[rows] = np.bincount(drawn, minlength=number)
        found.append(ends(weights))
    return found


def within(ends: Iterable[Ends], told: tuple[Ends, Ends]) -> Ends:
    """How many of the dates lie within the intervals told."""
    counts = [0, 0]
    for pair in ends:
        for which, (day, (least, most)) in enumerate(zip(pair, told, strict=True)):
            counts[which] += least <= day <= most
    return counts[0], counts[1]


def judge_draws(cases: Iterable[Asked]) -> list[Told]:
    """The intervals of every case put to draws of the same years."""
    generator = np.random.default_rng(3)
    found = []
    for asked in cases:
        every = np.ones(asked.usable.size, np.bool_)
        season = season_of(asked, every) if asked.usable.sum() > 2 else None
        if season is not None:
            told = intervals_of(asked, every, season)
            count = within(drawn_ends(asked, season, generator), told)
            found.append(Told(station=asked.station, within=count, draws=DRAWS))
    return found


def judge_other_years(cases: Iterable[Asked]) -> list[Told]:
    """The intervals of ten years put to the dates that all other years promise."""
    found = []
    for asked in cases:
        if asked.usable.sum() < LONG_RECORD:
            continue
        for ten, _ in drawn_years(asked.usable, TEN, draws=6):
            season, others = season_of(asked, ten), season_of(asked, asked.usable & ~ten)
            if season is not None and others is not None:
                count = within([later(others, season)], intervals_of(asked, ten, season))
                found.append(Told(station=asked.station, within=count, draws=1))
    return found


def report(found: list[Told], title: str) -> None:
    """Print which share lay within, over all and by station, as Markdown."""
    print(f"\n### {title}\n")
    print("| station | out | in | lowest of a group | seasons |\n|---|---|---|---|---|")
    stations = sorted({told.station for told in found})
    for station in ["all", *stations]:
        own = [told for told in found if station in ("all", told.station)]
        shares = np.array([told.within for told in own]) / np.array([[told.draws] for told in own])
        out, inn = shares.mean(axis=0)
        print(f"| {station} | {out:.3f} | {inn:.3f} | {shares.min():.2f} | {len(own)} |")


def main(hourly: Path, daily: Path | None) -> None:
    """Print both tables."""
    cases = list(all_cases(hourly, daily))
    report(judge_draws(cases), "Dates of the same years, drawn anew")
    report(judge_other_years(cases), "Dates of all other years, within the interval of ten")


if __name__ == "__main__":
    main(Path(sys.argv[1]), Path(sys.argv[2]) if len(sys.argv) > 2 else None)
