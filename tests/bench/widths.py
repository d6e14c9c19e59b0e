"""
Widths: how far a past year stands for years like it, chosen on some stations, scored on others.

Of seasons a pair of widths, days and kelvin over the cube root of the number of years, is scored by
how far what it delivers lies from what was promised; of whole years one width by the Brier score of
the stated chance. Both are chosen for each station on all other stations, and scored on it. Run as
`python -m tests.bench.widths HOURLY_FOLDER [DAILY_FOLDER]` (some minutes); the result stands in
docs/calibration-figures.md.
"""

from __future__ import annotations

import sys
from collections import Counter
from collections.abc import Callable, Iterable, Mapping, Sequence
from functools import partial
from itertools import pairwise
from pathlib import Path

import numpy as np
from numpy.typing import NDArray

from suitability.climate.past_years import Kernel, free_weight, kernel_for

from .cases import Asked, all_cases
from .trials import PROMISES, Split, Trial, delivered, drawn_years, leave_one_out, try_seasons

BoolArray = NDArray[np.bool_]
FloatArray = NDArray[np.float64]
Pair = tuple[float, float]

ONE_KIND: tuple[Pair, ...] = ((0.0, 0.0), (14.0, 0.0), (0.0, 3.0))  # none, days, kelvin alone
PAIRS: tuple[Pair, ...] = (
    (6.0, 2.0), (7.0, 2.5), (8.0, 2.0), (9.0, 1.5), (9.0, 2.0), (9.0, 2.5), (10.0, 2.0),
    (12.0, 2.0),
)  # fmt: skip
WIDTHS = (0.0, 0.5, 0.75, 1.0, 1.5, 2.0, 2.5, 3.0, 4.0)  # K, of whole years
TRAINING = (8, 10, 15, 20)  # years drawn that state the chance of a whole year
DRAWS = 40
FEWEST_TESTED = 5
LIMITS_AROUND = np.arange(-12.0, 12.5, 0.5)  # K around the median year's coldest night


def kernel_of(pair: Pair, years: int) -> Kernel:
    """`kernel_for` with other widths."""
    narrowing = max(years, 1) ** (-1.0 / 3.0)
    deviation = pair[0] * narrowing
    reach = int(np.ceil(3.0 * deviation))
    shift = np.arange(-reach, reach + 1)
    days = np.exp(-0.5 * (shift / deviation) ** 2) if deviation else np.ones(1)
    return Kernel(days=days / days.sum(), spread_c=pair[1] * narrowing)


# Seasons ----------------------------------------------------------------------------------------

TRIED: dict[str, Callable[[BoolArray], list[Split]]] = {
    "all others": leave_one_out,
    "three": partial(drawn_years, number=3, draws=4),
    "ten": partial(drawn_years, number=10, draws=4),
}


def try_pairs(cases: Iterable[Asked]) -> dict[Pair, dict[str, list[Trial]]]:
    """Trials of every pair of widths, by the years that promise."""
    trials: dict[Pair, dict[str, list[Trial]]] = {
        pair: {name: [] for name in TRIED} for pair in (*ONE_KIND, *PAIRS)
    }
    for asked in cases:
        for name, splits_of in TRIED.items():
            splits = splits_of(asked.usable)
            for pair, found in trials.items():
                found[name] += try_seasons(asked, splits, kernel=partial(kernel_of, pair))
    return trials


def off(trials: Mapping[str, Sequence[Trial]]) -> float:
    """How far what is delivered lies from the promise, on the mean of promises and years."""
    return float(
        np.mean(
            [
                abs(delivered(some, promise)[0] - promise)
                for some in trials.values()
                for promise in PROMISES
            ]
        )
    )


def chosen_elsewhere(trials: Mapping[Pair, Mapping[str, Sequence[Trial]]]) -> dict[str, Pair]:
    """The pair that is least off on all other stations, by station."""
    stations = {trial.station for some in trials[PAIRS[0]].values() for trial in some}

    def elsewhere(station: str, pair: Pair) -> float:
        return off(
            {
                name: [trial for trial in some if trial.station != station]
                for name, some in trials[pair].items()
            }
        )

    return {station: min(PAIRS, key=partial(elsewhere, station)) for station in sorted(stations)}


def report_pairs(trials: Mapping[Pair, Mapping[str, Sequence[Trial]]]) -> None:
    """Print what each pair delivers, and what pairs chosen elsewhere do, as Markdown."""
    print("\n### Widths of seasons\n")
    heads = " | ".join(f"{name}: 0.80, 0.90, 0.95" for name in TRIED)
    print(f"| days, K | {heads} | station-years |\n|---|{'---|' * len(TRIED)}---|")
    rows: dict[str, Mapping[str, Sequence[Trial]]] = {
        f"{pair[0]:g}, {pair[1]:g}": found for pair, found in trials.items()
    }
    chosen = chosen_elsewhere(trials)
    rows["chosen elsewhere"] = {
        name: [
            trial for station, pair in chosen.items() for trial in trials[pair][name]
            if trial.station == station
        ]
        for name in TRIED
    }  # fmt: skip
    for name, found in rows.items():
        cells = " | ".join(
            ", ".join(f"{delivered(some, promise)[0]:.3f}" for promise in PROMISES)
            for some in found.values()
        )
        years = {(one.station, one.year) for some in found.values() for one in some}
        print(f"| {name} | {cells} | {len(years)} |")
    often = ", ".join(
        f"{pair[0]:g} and {pair[1]:g} at {number}"
        for pair, number in Counter(chosen.values()).most_common()
    )
    print(f"\nChosen elsewhere: {often} stations.")


# Whole years ------------------------------------------------------------------------------------


def lacks_of(asked: Asked) -> list[FloatArray]:
    """
    What each usable plant year lacks, °C, one array a question.

    A station of daily minima is asked for limits in steps of half a degree, once for all.
    """
    lack_c = asked.whole_lack_c[asked.whole_usable]
    if asked.group.startswith("night"):
        once = asked.group == "night 10 °C" and lack_c.size > 0
        return [lack_c - np.median(lack_c) + by for by in LIMITS_AROUND] if once else []
    return [lack_c]


class Stated:
    """Chances stated by width, years that kept and that were asked, of one station's years."""

    def __init__(self, years: int) -> None:
        self.years = years
        self.chance: list[FloatArray] = []
        self.kept: list[int] = []
        self.tested: list[int] = []

    def add(self, lack_c: FloatArray, number: int, generator: np.random.Generator) -> None:
        """Draw years that state the chance, and ask all others."""
        for _ in range(DRAWS):
            order = generator.permutation(lack_c.size)
            stating, asked = lack_c[order[:number]], lack_c[order[number:]]
            narrowing = number ** (-1.0 / 3.0)
            self.chance.append(
                np.array([free_weight(stating, None, 0.0, w * narrowing).mean() for w in WIDTHS])
            )
            self.kept.append(int((asked <= 0.0).sum()))
            self.tested.append(asked.size)

    def brier(self) -> FloatArray:
        """Mean square of the chance less what happened, (width)."""
        chance, kept = np.array(self.chance), np.array(self.kept)[:, None]
        failed = np.array(self.tested)[:, None] - kept
        summed = (kept * (1.0 - chance) ** 2 + failed * chance**2).sum(axis=0)
        score: FloatArray = summed / np.sum(self.tested)
        return score


def state_whole_years(cases: Iterable[Asked]) -> dict[int, dict[str, Stated]]:
    """By the number of years that state a chance, and by station."""
    generator = np.random.default_rng(1)
    stated: dict[int, dict[str, Stated]] = {number: {} for number in TRAINING}
    for asked in cases:
        for lack_c in lacks_of(asked):
            for number in TRAINING:
                if lack_c.size >= number + FEWEST_TESTED:
                    here = stated[number].setdefault(asked.station, Stated(lack_c.size))
                    here.add(lack_c, number, generator)
    return stated


def report_scores(stated: Mapping[int, Mapping[str, Stated]]) -> None:
    """Print Brier scores by width, and that of widths chosen on other stations, as Markdown."""
    print("\n### Widths of whole years: Brier score, mean of stations\n")
    heads = " | ".join(f"{width:g} K" for width in WIDTHS)
    print(f"| years | station-years | {heads} | chosen elsewhere |")
    print(f"|---|---|{'---|' * len(WIDTHS)}---|")
    for number, stations in stated.items():
        score = np.array([here.brier() for here in stations.values()])
        best = [int(np.delete(score, at, axis=0).mean(axis=0).argmin()) for at in range(len(score))]
        elsewhere = float(np.mean([score[at, width] for at, width in enumerate(best)]))
        widths = ", ".join(f"{WIDTHS[width]:g}" for width in sorted(set(best)))
        cells = " | ".join(f"{one:.4f}" for one in score.mean(axis=0))
        years = sum(here.years for here in stations.values())
        at = f"{years} at {len(score)}"
        print(f"| {number} | {at} | {cells} | {elsewhere:.4f} ({widths} K) |")


def report_stated(stated: Mapping[int, Mapping[str, Stated]], width: float) -> None:
    """Print which share of years kept what was stated, by one width, as Markdown."""
    print(f"\n### Whole years: stated by a width of {width:g} K, and kept\n")
    edges = (0.8, 0.9, 0.95, 0.98, 0.995, 0.99999, 1.1)
    heads = " | ".join(
        "1" if high > 1.0 else f"{low:g} to {min(high, 1.0):.3g}" for low, high in pairwise(edges)
    )
    print(f"| years | {heads} |\n|---|{'---|' * (len(edges) - 1)}")
    for number, stations in stated.items():
        chance = np.concatenate([here.chance for here in stations.values()])[:, WIDTHS.index(width)]
        kept = np.concatenate([here.kept for here in stations.values()])
        tested = np.concatenate([here.tested for here in stations.values()])
        cells = []
        for low, high in pairwise(edges):
            here = (chance >= low) & (chance < high)
            share = kept[here].sum() / max(tested[here].sum(), 1)
            cells.append(f"{share:.3f} of {tested[here].sum()}" if here.any() else "-")
        print(f"| {number} | {' | '.join(cells)} |")


def main(hourly: Path, daily: Path | None) -> None:
    """Print all tables."""
    cases = list(all_cases(hourly, daily))
    stated = state_whole_years(cases)
    report_scores(stated)
    for width in (0.75, kernel_for(1).spread_c):
        report_stated(stated, width)
    report_pairs(try_pairs(cases))


if __name__ == "__main__":
    main(Path(sys.argv[1]), Path(sys.argv[2]) if len(sys.argv) > 2 else None)
