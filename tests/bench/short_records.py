"""
Short records: what a promise made from few years is worth in all other years.

Years in a row promise, as a short record holds them, or as many drawn by lot; all other years of
the station are asked. The mean tells whether promises hold, their spread what one may be worth: a
record has one promise, not the mean. The other years of a station are few too, so that the share
that kept a promise scatters about its worth; the worths are taken to be normal in the logarithm of
their odds, and their mean and deviation are the likeliest for all shares together, each station
with the same weight. Run as `python -m tests.bench.short_records HOURLY_FOLDER [DAILY_FOLDER]`; the
result stands in docs/calibration-figures.md.
"""

from __future__ import annotations

import sys
from collections import Counter
from collections.abc import Callable, Iterable, Sequence
from pathlib import Path

import numpy as np
from msgspec import Struct
from numpy.typing import NDArray

from suitability.climate.chance import worth_of

from .cases import Asked, all_cases
from .trials import PROMISES, Split, drawn_years, try_seasons, years_in_a_row

FloatArray = NDArray[np.float64]

NUMBERS = (3, 5, 8, 10, 15, 25)
ROWS = 8  # of years, or draws of them, a case
ONE_IN_TEN = 1.2816  # standard deviations below which one in ten lies
POINTS, WEIGHTS = np.polynomial.hermite_e.hermegauss(21)
WAYS: dict[str, Callable[..., list[Split]]] = {"in a row": years_in_a_row, "by lot": drawn_years}


class Worth(Struct, frozen=True, kw_only=True):
    """One promise made from few years, and which of the others were asked and how many kept it."""

    station: str
    way: str
    number: int
    promise: float
    kept: int
    asked: int
    years: frozenset[int]


def try_few(cases: Iterable[Asked], numbers: Sequence[int] = NUMBERS) -> list[Worth]:
    """Promises from few years of every case, put to all others."""
    return [
        Worth(
            station=asked.station,
            way=way,
            number=number,
            promise=promise,
            kept=sum(trial.kept for trial in trials),
            asked=len(trials),
            years=frozenset(trial.year for trial in trials),
        )
        for asked in cases
        for way, splits_of in WAYS.items()
        for number in numbers
        for split in splits_of(asked.usable, number, ROWS)
        for promise in PROMISES
        if (trials := try_seasons(asked, [split], promises=(promise,)))
    ]


def spread(worths: Sequence[Worth]) -> tuple[float, float, float]:
    """What one promise in ten is worth less than, half of them, and one in ten more than."""
    stations = Counter(worth.station for worth in worths)
    weight = np.array([1.0 / stations[worth.station] for worth in worths])
    kept = np.array([worth.kept for worth in worths], np.float64)
    failed = np.array([worth.asked for worth in worths], np.float64) - kept

    def likelihood(middle: float, deviation: float) -> float:
        share = 1.0 / (1.0 + np.exp(-(middle + deviation * POINTS)))
        each = share ** kept[:, None] * (1.0 - share) ** failed[:, None] @ WEIGHTS
        return float((weight * np.log(each)).sum())

    tried = [(m, d) for m in np.arange(0.0, 5.0, 0.05) for d in np.arange(0.0, 2.0, 0.05)]
    middle, deviation = max(tried, key=lambda pair: likelihood(*pair))
    ends = middle + deviation * ONE_IN_TEN * np.array([-1.0, 0.0, 1.0])
    low, half, high = (1.0 / (1.0 + np.exp(-ends))).tolist()
    return low, half, high


def report(worths: Sequence[Worth]) -> None:
    """Print means and spreads, as Markdown."""
    heads = " | ".join(f"{promise:.2f}: kept, spread" for promise in PROMISES)
    print(f"\n| years | station-years | {heads} | 0.90 kept by under 0.80 |")
    print("|---|---|---|---|---|---|")
    for way in WAYS:
        for number in NUMBERS:
            own = [one for one in worths if (one.way, one.number) == (way, number)]
            cells = []
            for promise in PROMISES:
                some = [one for one in own if one.promise == promise]
                share = sum(one.kept for one in some) / sum(one.asked for one in some)
                low, _, high = spread(some)
                cells.append(f"{share:.3f}, {low:.2f} to {high:.2f}")
            nines = [one for one in own if one.promise == 0.9]
            under = np.mean([one.kept < 0.8 * one.asked for one in nines])
            years = {(one.station, year) for one in own for year in one.years}
            at = f"{len(years)} at {len({one.station for one in own})}"
            print(f"| {number} {way} | {at} | {' | '.join(cells)} | {under:.2f} |")
    told = ", ".join(
        f"{low:.2f} to {high:.2f} for {promise:.2f}"
        for promise in PROMISES
        for low, high in [worth_of(promise)]
    )
    print(f"\nTold of a provisional promise: {told}.")


def main(hourly: Path, daily: Path | None) -> None:
    """Print the table."""
    report(try_few(all_cases(hourly, daily)))


if __name__ == "__main__":
    main(Path(sys.argv[1]), Path(sys.argv[2]) if len(sys.argv) > 2 else None)
