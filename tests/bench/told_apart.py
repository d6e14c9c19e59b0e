"""
Telling places apart: how often two halves of one station's years pass for two places.

The years of a record are split into halves at random, and each half is taken for a place with a
record of its own: the order of the two is chance, so that what is told apart is a false alarm. The
halves have years of the same names, as places with records of the same years have; or each keeps
the names of its own, as records of other years do. Records of other decades, an early and a late
half, drift too; and a half that is made warmer shows what is told of a true difference. Run as
`python -m tests.bench.told_apart HOURLY_FOLDER [DAILY_FOLDER]`; the result stands in
docs/calibration-figures.md.
"""

from __future__ import annotations

import dataclasses
import sys
from collections.abc import Callable, Iterable, Sequence
from pathlib import Path

import numpy as np
from msgspec import Struct
from msgspec.structs import replace
from numpy.typing import NDArray

from suitability.advice.comparison import Row, find_difference, key_of, order_of
from suitability.advice.result import RestFinding
from suitability.advice.spot_years import ByYear, Years
from suitability.advice.terms import MonthlyHours, Verdict
from suitability.advice.verdicts import season_of
from suitability.climate.cold import DOSE_NIGHTS
from suitability.climate.days import DAYS
from suitability.climate.past_years import Stretch, free_weight, kernel_for
from suitability.climate.seasons import find_longest
from suitability.spots.spot import End

from .cases import Asked, all_cases
from .drift import warmed

BoolArray = NDArray[np.bool_]
FloatArray = NDArray[np.float64]

PROMISE = 0.9
FEWEST = 16  # usable years that are split
SPLITS = 6  # at random, of each case
NULL_SPLITS = 25  # where nothing differs
SHORTEST_SEASON, FEWEST_FOR_ALL_YEAR = 70, 8
HALF_YEAR = 182
EVERY_MONTH = np.ones(12, np.bool_)
NO_HOURS = MonthlyHours(months=(0.0,) * 12, year=0.0)


class Half(Struct, frozen=True):
    """Some years of a station taken for a place: its row in a comparison, and its years."""

    row: Row
    years: Years


class Pair(Struct, frozen=True, kw_only=True):
    """Two halves: of which station, how often told apart, and whether the first came first."""

    station: str
    told: bool
    first_is_better: bool


def by_year(asked: Asked, season: Stretch | None) -> tuple[FloatArray, FloatArray]:
    """Season that each plant year by itself allowed around the middle of one, unsafe nights."""
    tables, cut = asked.past_years.tables, asked.past_years.cut
    size = asked.usable.size * DAYS
    every = slice(0, size)
    closed = tables.at_once.of(0, 1, every) > 0.0
    if tables.room is not None:
        closed |= tables.room.of(0, 1, every) > 0.0
    dose = tables.dose.of(0, 1, every) > 0.0
    middle = (season.start + season.nights // 2 - cut) % DAYS if season else HALF_YEAR
    at = np.arange(asked.usable.size)[:, None] * DAYS + middle + np.arange(-HALF_YEAR, HALF_YEAR)
    inside = (at >= 0) & (at < size)
    at = np.where(inside, at, 0)
    shut, dosed = closed[at] & inside, dose[at] & inside
    column = np.arange(at.shape[1])
    spring = column < HALF_YEAR
    out = np.where(shut & spring, column + 1, 0).max(axis=1)
    out = np.maximum(out, np.where(dosed & spring, column - DOSE_NIGHTS + 2, 0).max(axis=1))
    inn = np.where((shut | dosed) & ~spring, column, at.shape[1]).min(axis=1)
    days = inn - np.minimum(out, HALF_YEAR)
    return days * 1.0, (closed | dose).reshape(-1, DAYS).sum(axis=1) * 1.0


def half_of(asked: Asked, years: BoolArray, name: str, *, renamed: bool) -> Half:
    """
    Some years of a station as a place.

    Parameters
    ----------
    renamed
        Its years have names in a row from one on, as those of any other half have.
    """
    counting = replace(asked.past_years, counts=years)
    season = find_longest(counting, kernel_for(int(years.sum())), PROMISE)
    whole = asked.whole_usable & years
    spread_c = kernel_for(int(years.sum())).spread_c
    chance = free_weight(asked.whole_lack_c[whole], None, 0.0, spread_c)
    all_year = whole.sum() >= FEWEST_FOR_ALL_YEAR and chance.mean() >= PROMISE
    usual = season is not None and season.nights >= SHORTEST_SEASON
    days, unsafe = by_year(asked, season if season and season.nights < DAYS else None)
    row = Row(
        place=name, spot="open-air", group="any", group_name="Any", plants=(), numbers=(),
        caveat="", in_state=False,
        verdict=(Verdict.ALL_YEAR if all_year else Verdict.SEASONAL if usual else Verdict.INDOOR),
        provisional=False, borderline=False, spot_ends=None,
        season=season_of(season) if usual else None,
        years_usable=int(years.sum()),
        unsafe_nights=float(np.median(unsafe[years])), unsafe_nights_worst=0.0,
        worst_dose_c_h=0.0, hours_below=NO_HOURS, heat_hours=None,
        rest=RestFinding(needed=False), carried_nights=None, moves=0, margin_c=None,
        light="fits", limiting=(),
    )  # fmt: skip

    def values(every: FloatArray) -> ByYear:
        if renamed:
            return ByYear(first=1, values=every[years])
        return ByYear(first=asked.first_year, values=np.where(years, every, np.nan))

    hours = (values(np.zeros_like(days)),) * 12
    own = Years(days=values(days), unsafe=values(unsafe), hours=hours, growing=EVERY_MONTH)
    return Half(row, own)


def put_side_by_side(one: Half, two: Half, station: str) -> Pair:
    """Whether the comparison tells two halves apart."""
    better, other = order_of([one.row, two.row])
    years = {key_of(half.row): {End.USUAL: half.years} for half in (one, two)}
    told = find_difference(better, other, years).told_apart is True
    return Pair(station=station, told=told, first_is_better=better is one.row)


def at_random(usable: BoolArray, generator: np.random.Generator) -> tuple[BoolArray, BoolArray]:
    """The usable years in two halves by lot."""
    chosen = generator.permutation(np.flatnonzero(usable))[: int(usable.sum()) // 2]
    first = np.isin(np.arange(usable.size), chosen)
    return first, usable & ~first


def early_and_late(usable: BoolArray, _: np.random.Generator) -> tuple[BoolArray, BoolArray]:
    """The first and the second half of the usable years."""
    first = np.cumsum(usable) <= int(usable.sum()) // 2
    return usable & first, usable & ~first


class Way(Struct, frozen=True, kw_only=True):
    """How years are split, whether the halves have years of the same names, and a warming."""

    split: Callable[[BoolArray, np.random.Generator], tuple[BoolArray, BoolArray]]
    renamed: bool
    times: int = SPLITS
    warmer_c: float = 0.0


WAYS = {
    "years of the same names": Way(split=at_random, renamed=True, times=NULL_SPLITS),
    "other years": Way(split=at_random, renamed=False, times=NULL_SPLITS),
    "an early and a late half": Way(split=early_and_late, renamed=False, times=1),
    **{
        f"the first half {warmer_c:g} K warmer, {name}": Way(
            split=at_random, renamed=renamed, warmer_c=warmer_c
        )
        for warmer_c in (1.0, 2.0)
        for name, renamed in (("years of the same names", True), ("other years", False))
    },
}


def try_way(cases: Iterable[Asked], way: Way) -> list[Pair]:
    """Every case of enough years, split and put side by side."""
    generator = np.random.default_rng(5)
    found = []
    for asked in cases:
        if asked.usable.sum() < FEWEST:
            continue
        warm = by_so_much(asked, way.warmer_c) if way.warmer_c else asked
        for _ in range(way.times):
            first, second = way.split(asked.usable, generator)
            one = half_of(warm, first, "first", renamed=way.renamed)
            two = half_of(asked, second, "second", renamed=way.renamed)
            found.append(put_side_by_side(one, two, asked.station))
    return found


def by_so_much(asked: Asked, warmer_c: float) -> Asked:
    """The case with every night so much warmer."""
    warm = warmed(asked, np.full(asked.usable.size, warmer_c))
    return dataclasses.replace(warm, whole_lack_c=asked.whole_lack_c - warmer_c)


def report(found: Sequence[Pair], name: str) -> None:
    """Print how many pairs are told apart, over all and by station."""
    stations = sorted({pair.station for pair in found})
    shares = [np.mean([pair.told for pair in found if pair.station == one]) for one in stations]
    first = [pair.first_is_better for pair in found if pair.told]
    print(
        f"| {name} | {np.mean([pair.told for pair in found]):.3f} | {np.mean(shares):.3f} "
        f"| {max(shares):.2f} | {np.mean(first) if first else 0.0:.2f} | {len(found)} |"
    )


def main(hourly: Path, daily: Path | None) -> None:
    """Print the table."""
    cases = [case for case in all_cases(hourly, daily) if case.usable.sum() >= FEWEST]
    years = {case.station: int(case.usable.sum()) for case in cases}
    print(f"{sum(years.values())} years at {len(years)} stations.")
    print("\n| halves | told apart | mean of stations | most | of them the first better | pairs |")
    print("|---|---|---|---|---|---|")
    for name, way in WAYS.items():
        report(try_way(cases, way), name)


if __name__ == "__main__":
    main(Path(sys.argv[1]), Path(sys.argv[2]) if len(sys.argv) > 2 else None)
