"""
Calibration: do promises hold on years that were not used to make them.

Each usable year of each record is left out in turn, a season is promised from the others, and the
year left out either keeps it or does not. `past` instead promises from all but the last five years
and tests those five. The same is asked of whole years. Further tables ask what the order of the
years has to do with it (`drift`). Run as
`python -m tests.bench.calibration HOURLY_FOLDER [DAILY_FOLDER]`, each folder with a `stations.csv`
(columns file, lat, lon); the results stand in docs/calibration-figures.md.
"""

from __future__ import annotations

import sys
from collections.abc import Sequence
from itertools import pairwise
from pathlib import Path

import numpy as np

from tests.climate.plain import PLAIN

from .cases import all_cases
from .drift import Orders
from .trials import (
    PROMISES,
    Trial,
    delivered,
    leave_one_out,
    past_and_last,
    try_seasons,
    try_whole_years,
)


def report(trials: Sequence[Trial], title: str) -> None:
    """Print what was delivered, over all and by station, as Markdown."""
    print(f"\n### {title}\n")
    print("| promise | delivered | 90 % interval | median nights | trials |\n|---|---|---|---|---|")
    for promise in PROMISES:
        share, low, high, number = delivered(trials, promise)
        nights = [trial.nights for trial in trials if trial.promise == promise]
        middle = np.median(nights) if nights else float("nan")
        print(
            f"| {promise:.2f} | {share:.3f} | {low:.3f} to {high:.3f} | {middle:.0f} | {number} |"
        )
    print("\n| station | 0.80 | 0.90 | 0.95 | years | trials |\n|---|---|---|---|---|---|")
    for station in sorted({trial.station for trial in trials}):
        own = [trial for trial in trials if trial.station == station]
        shares = " | ".join(f"{delivered(own, promise)[0]:.3f}" for promise in PROMISES)
        years = len({trial.year for trial in own})
        print(f"| {station} | {shares} | {years} | {len(own)} |")


def report_whole_years(found: Sequence[tuple[float, bool]]) -> None:
    """Print the promise of the chance of whole years, as Markdown."""
    chance = np.array([predicted for predicted, _ in found])
    kept = np.array([was_kept for _, was_kept in found], np.float64)
    print("\n### Whole years: predicted and kept, one year left out\n")
    print("| predicted | mean | kept | trials |\n|---|---|---|---|")
    edges = [0.0, 0.2, 0.5, 0.8, 0.85, 0.9, 0.95, 1.0001]
    for low, high in pairwise(edges):
        here = (chance >= low) & (chance < high)
        if here.any():
            print(
                f"| {low:.2f} to {min(high, 1.0):.2f} | {chance[here].mean():.3f} "
                f"| {kept[here].mean():.3f} | {int(here.sum())} |"
            )
    promised = chance >= 0.9
    print(f"\nPromised at 0.90 and more: kept by {kept[promised].mean():.3f} of {promised.sum()}.")


def main(hourly: Path, daily: Path | None) -> None:
    """Print all tables."""
    alone: list[Trial] = []
    plain: list[Trial] = []
    past: list[Trial] = []
    whole: list[tuple[float, bool]] = []
    orders = Orders()
    for asked in all_cases(hourly, daily):
        alone += try_seasons(asked, leave_one_out(asked.usable))
        plain += try_seasons(asked, leave_one_out(asked.usable), kernel=lambda _years: PLAIN)
        past += try_seasons(asked, past_and_last(asked.usable))
        whole += try_whole_years(asked)
        orders.add(asked)
    report(alone, "One year left out")
    report(past, "Promised from the past, tested on the last five years")
    report(plain, "For comparison: the plain best stretch of past years, one year left out")
    report_whole_years(whole)
    orders.report()


if __name__ == "__main__":
    main(Path(sys.argv[1]), Path(sys.argv[2]) if len(sys.argv) > 2 else None)
