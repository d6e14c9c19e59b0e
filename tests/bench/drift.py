"""
What the order of the years has to do with promises.

The same trials forwards, backwards, in blocks, shuffled, and on records whose drift is taken out.
Printed by `calibration`; the results stand in docs/calibration-figures.md.
"""

from __future__ import annotations

from collections.abc import Callable, Sequence
from dataclasses import dataclass, field, replace
from functools import partial

import numpy as np
from numpy.typing import NDArray

from suitability.climate.chance import theil_sen
from suitability.climate.days import DAYS
from suitability.climate.past_years import gather_past_years
from suitability.climate.states import Shortfall
from tests.climate.plain import own_tables

from .cases import Asked
from .trials import FEWEST, LAST_TESTED, PROMISES, Trial, delivered, past_and_last, try_seasons

BoolArray = NDArray[np.bool_]
FloatArray = NDArray[np.float64]
Split = tuple[BoolArray, BoolArray]
# What promises and what is tested, which years these are, and whether it is also asked with the
# drift taken out.
Order = tuple[str, Callable[[BoolArray], list[Split]], bool]

FIRST_ORIGIN = 10  # years that the first promise of a rolling origin is made from
LONG_RECORD = 20  # usable years from which a record is asked in blocks and by a rolling origin
RECENT = (10, 15, 20)  # years that a promise from the latest years only is made from
SHUFFLES = 20


def mirrored(splits: Callable[[BoolArray], list[Split]], usable: BoolArray) -> list[Split]:
    """The same splits of the years told backwards: as if time ran the other way."""
    return [(training[::-1], tested[::-1]) for training, tested in splits(usable[::-1])]


def later_and_first(usable: BoolArray) -> list[Split]:
    """The first five usable years tested by all later ones: `past_and_last` backwards."""
    return mirrored(past_and_last, usable)


def five_and_others(usable: BoolArray, seed: int) -> list[Split]:
    """The last five usable years of a shuffled order tested by all before them."""
    if usable.sum() < FEWEST + LAST_TESTED:
        return []
    chosen = np.random.default_rng(seed).permutation(np.flatnonzero(usable))[-LAST_TESTED:]
    tested = np.isin(np.arange(usable.size), chosen)
    return [(~tested, tested)]


def blocks_and_others(usable: BoolArray) -> list[Split]:
    """Each block of five usable years in a row, from the last one back, tested by all others."""
    if usable.sum() < LONG_RECORD:
        return []
    years, usable_years = np.arange(usable.size), np.flatnonzero(usable)
    first = usable_years.size % LAST_TESTED
    blocks = usable_years[first:].reshape(-1, LAST_TESTED)
    return [(~np.isin(years, block), np.isin(years, block)) for block in blocks]


def past_and_next(usable: BoolArray, recent: int | None = None) -> list[Split]:
    """
    Each block of five usable years after the first ten, tested by the years before it.

    Parameters
    ----------
    usable : (plant year)
    recent
        Only so many usable years before the block promise; None: all.
    """
    if usable.sum() < LONG_RECORD:
        return []
    years, usable_years = np.arange(usable.size), np.flatnonzero(usable)
    splits = []
    for place in range(FIRST_ORIGIN, usable_years.size - LAST_TESTED + 1, LAST_TESTED):
        block = usable_years[place : place + LAST_TESTED]
        since = 0 if recent is None else usable_years[max(0, place - recent)]
        splits.append(((years < block[0]) & (years >= since), np.isin(years, block)))
    return splits


def levels(asked: Asked) -> FloatArray:
    """Mean of the night minima of each usable plant year, (plant year), °C; nan for others."""
    known = ~np.isnan(asked.minimum_c)
    total = np.where(known, asked.minimum_c, 0.0).sum(axis=1)
    mean: FloatArray = total / np.maximum(known.sum(axis=1), 1)
    return np.where(asked.usable, mean, np.nan)


def without_drift(asked: Asked) -> Asked:
    """
    The case as if every year had the level of the last five usable ones.

    The Theil-Sen slope of the yearly mean of night minima says how much warmer a year has become
    by then; so much is taken off what each of its nights lacks, and off its room for heat. A whole
    plant year is moved as one, so that doses, too, are moved exactly but for the fortnight
    after its first night.
    """
    years = np.arange(asked.usable.size, dtype=np.float64)
    level_c = levels(asked)
    tested = years[asked.usable][-LAST_TESTED:].mean()
    slope = theil_sen(years, level_c)
    return warmed(asked, slope * (tested - years))


def at_one_level(asked: Asked, splits: Sequence[Split]) -> list[Trial]:
    """Trials of which the years that promise are brought to the mean level of the years tested."""
    level_c, trials = levels(asked), []
    for training, tested in splits:
        gap_c = np.nanmean(level_c[tested]) - np.nanmean(level_c[training])
        moved = warmed(asked, np.where(training, gap_c, 0.0))
        trials += try_seasons(moved, [(training, tested)])
    return trials


def with_trend(asked: Asked, splits: Sequence[Split], share: float) -> list[Trial]:
    """
    Trials that carry the trend of the years that promise on to the years tested.

    Parameters
    ----------
    asked, splits
    share
        Of the Theil-Sen slope of the years that promise; under 1 it is drawn towards none.
    """
    level_c, years = levels(asked), np.arange(asked.usable.size, dtype=np.float64)
    trials = []
    for training, tested in splits:
        slope = share * theil_sen(years, np.where(training, level_c, np.nan))
        moved = warmed(asked, np.where(training, slope * (years[tested].mean() - years), 0.0))
        trials += try_seasons(moved, [(training, tested)])
    return trials


def warmed(asked: Asked, by_year_c: FloatArray) -> Asked:
    """The case with each plant year so much warmer, (plant year), K."""
    old = asked.past_years
    before = (DAYS - old.cut) % DAYS
    size = asked.usable.size * DAYS - (DAYS if old.cut else 0)
    here = slice(before, before + size)
    warmer = np.repeat(by_year_c, DAYS)[here]
    none = np.full(size, -np.inf)
    room = old.tables.room
    shortfall = Shortfall(
        dry_c=old.tables.at_once.of(0, 1, here) - warmer,
        wet_c=none,
        dose_c=old.tables.dose.of(0, 1, here) - warmer,
        heat_room_c=None if room is None else -room.of(0, 1, here) - warmer,
        far_below_c=0.0,
    )
    tables = own_tables(shortfall, old.cut)
    return replace(
        asked, past_years=gather_past_years(tables, old.supported[here], old.seen[here], old.cut)
    )


def shuffled(usable: BoolArray) -> list[Split]:
    """Several shuffled orders, each with its last five tested by all before them."""
    return [split for seed in range(SHUFFLES) for split in five_and_others(usable, seed)]


ORDERS: tuple[Order, ...] = (
    ("past, last five", past_and_last, True),
    ("later years, first five", later_and_first, True),
    ("others, five by lot", shuffled, False),
)
LONG_ORDERS: tuple[Order, ...] = (
    *ORDERS[:2],
    ("others, each five in a row", blocks_and_others, False),
    ("past, next five", past_and_next, True),
    *(
        (f"latest {recent}, next five", partial(past_and_next, recent=recent), False)
        for recent in RECENT
    ),
    ("later years, five before", partial(mirrored, past_and_next), False),
    *(
        (
            f"next {recent}, five before",
            partial(mirrored, partial(past_and_next, recent=recent)),
            False,
        )
        for recent in RECENT
    ),
)


def say_delivered(trials: Sequence[Trial], promise: float) -> str:
    """What was delivered, with the intervals from drawing station-years and calendar years."""
    share, low, high, _ = delivered(trials, promise)
    _, lower, higher, _ = delivered(trials, promise, lambda trial: trial.year)
    return f"{share:.3f} ({low:.2f}-{high:.2f}; {lower:.2f}-{higher:.2f})"


def lowest(trials: Sequence[Trial], promise: float) -> float:
    """What the promise delivered at the station where it delivered least."""
    return min(
        delivered([trial for trial in trials if trial.station == station], promise)[0]
        for station in {trial.station for trial in trials if trial.promise == promise}
    )


TREND_TRIED = ("past, last five", "past, next five", "later years, five before")


def mean_nights(trials: Sequence[Trial], promise: float) -> float:
    """Mean length of the seasons promised so."""
    return float(np.mean([trial.nights for trial in trials if trial.promise == promise]))


@dataclass(slots=True)
class Orders:
    """Trials of all orders, gathered case by case, and how far each station drifts."""

    tables: dict[str, list[Trial]] = field(default_factory=dict)
    drifts: dict[str, tuple[float, float]] = field(default_factory=dict)

    def add(self, asked: Asked) -> None:
        """Try one case in every order."""
        usable = asked.usable
        if usable.sum() < FEWEST + LAST_TESTED:
            return
        level_c = levels(asked)
        known_c = level_c[usable]
        self.drifts[asked.station] = (
            10.0 * theil_sen(np.arange(usable.size, dtype=np.float64), level_c),
            float(known_c[-LAST_TESTED:].mean() - known_c[:-LAST_TESTED].mean()),
        )
        still = without_drift(asked)
        long = LONG_ORDERS if usable.sum() >= LONG_RECORD else ()
        for which, orders in (("", ORDERS), (f"{LONG_RECORD} years and more: ", long)):
            for name, splits, also_still in orders:
                self._keep(which + name, try_seasons(asked, splits(usable)))
                if also_still:
                    self._keep(f"{which}{name}; drift out", try_seasons(still, splits(usable)))
                    self._keep(f"{which}{name}; at one level", at_one_level(asked, splits(usable)))
                if name in TREND_TRIED:
                    for share, said in ((0.5, "half"), (1.0, "whole")):
                        self._keep(
                            f"{which}{name}; {said} trend carried on",
                            with_trend(asked, splits(usable), share),
                        )

    def _keep(self, name: str, trials: Sequence[Trial]) -> None:
        self.tables.setdefault(name, []).extend(trials)

    def report(self) -> None:
        """Print what each order delivers, and how far each station drifts, as Markdown."""
        print("\n### The order of the years\n")
        heads = " | ".join(f"{promise:.2f}" for promise in PROMISES)
        print(f"| promised from, tested on | {heads} | lowest station at 0.80 | mean nights |")
        print("|---|---|---|---|---|---|")
        for name, trials in self.tables.items():
            cells = " | ".join(say_delivered(trials, promise) for promise in PROMISES)
            nights = ", ".join(f"{mean_nights(trials, promise):.1f}" for promise in PROMISES)
            print(f"| {name} | {cells} | {lowest(trials, 0.8):.2f} | {nights} |")
        print("\n| station | K in ten years | last five above the others, K |\n|---|---|---|")
        for station, (slope, above) in sorted(self.drifts.items()):
            print(f"| {station} | {slope:+.2f} | {above:+.2f} |")
