"""
Speed of dates and promises, beside what `speed` measures.

Run as `python -m tests.bench.dates_speed`. Intervals of dates are set against drawing the indices
of resampled years, which any bootstrap that draws must do first; the calibration of one station is
given in seconds. Nothing here asserts, because shared machines are noisy.
"""

from __future__ import annotations

import time
from pathlib import Path

import numpy as np

from suitability.climate.chance import resampled_quantile_limits
from suitability.weather.sources.files import read_file_record

from .cases import hourly_cases
from .speed import rounds, show
from .trials import delivered, leave_one_out, try_seasons

DATA = Path(__file__).parent.parent / "data"
SERIES, YEARS, DRAWS = 24, 30, 1000  # 12 temperatures, last and first date; 1000 resamples
ROUNDS = 15


def limits_of_dates() -> None:
    """90 % limits of the median and the 90 % date of 24 series of 30 years, without drawing."""
    generator = np.random.default_rng(1)
    dates = np.rint(generator.normal(110.0, 12.0, (SERIES, YEARS)))

    def ours() -> object:
        return [[resampled_quantile_limits(row, level) for level in (0.5, 0.9)] for row in dates]

    def by_ranks() -> object:
        drawn = generator.integers(0, YEARS, (SERIES, DRAWS, YEARS))
        return [
            np.quantile(np.quantile(row[index], [0.5, 0.9], axis=1), [0.05, 0.95], axis=1)
            for row, index in zip(dates, drawn, strict=True)
        ]

    found = rounds(
        {
            "draw": lambda: generator.integers(0, YEARS, (SERIES, DRAWS, YEARS), np.int64),
            "ours": ours,
            "quantile": by_ranks,
        },
        ROUNDS,
    )
    show("limits of 24 date series / drawing the indices", found["ours"] / found["draw"], "3")
    show("drawing with numpy's quantile / limits", found["quantile"] / found["ours"], "over 20")


def calibration_of_one_station() -> None:
    """Nashville, 21 years: every group, every year left out, three promises."""
    start = time.perf_counter()
    record = read_file_record(DATA / "nashville.hourly", longitude=-86.689)
    cases = hourly_cases("nashville", record, (36.119, -86.689))
    trials = [trial for asked in cases for trial in try_seasons(asked, leave_one_out(asked.usable))]
    seconds = time.perf_counter() - start
    show("calibration of one station, seconds", seconds, "10")
    shares = ", ".join(
        f"{promise:.2f}: {delivered(trials, promise)[0]:.3f}" for promise in (0.8, 0.9, 0.95)
    )
    print(f"  (delivered {shares})")


if __name__ == "__main__":
    limits_of_dates()
    calibration_of_one_station()
