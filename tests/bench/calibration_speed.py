"""
Seconds that the calibration of one station takes, beside what `speed` measures.

Run as `python -m tests.bench.calibration_speed`. Nothing here asserts, because shared machines are
noisy.
"""

from __future__ import annotations

import time
from pathlib import Path

from suitability.weather.sources.files import read_file_record

from .cases import hourly_cases
from .speed import show
from .trials import delivered, leave_one_out, try_seasons

DATA = Path(__file__).parent.parent / "data"


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
    calibration_of_one_station()
