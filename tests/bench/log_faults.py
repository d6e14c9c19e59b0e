"""
Whether faults of a log are found, and good logs left alone.

Good logs are those of `fits`: an airport taken for the thermometer at another of the same city, a
point of a reanalysis for its neighbour, and invented logs of known spots. A fault is put into each:
a clock that is off or is set anew on a day, a thermometer that drifts, sun on it at noon. The
tables are in docs/calibration-figures.md. Run from the root of the repository:

    python -m tests.bench.log_faults REANALYSIS_FILE
"""

from __future__ import annotations

import sys
from collections.abc import Iterable, Iterator
from dataclasses import replace
from pathlib import Path

import numpy as np
from numpy.typing import NDArray

from suitability.advice.log_checks import Window, find_drift, find_noon_sun, find_sun, fit_window
from suitability.climate.clocks import ClockStep, find_clock_lag, find_clock_step
from suitability.climate.enclosure import CLEAR, day_weight
from suitability.weather.record import fill_short_gaps

from .fits import NIGHTS, Pair, grid_pairs, invented, near_pairs, record_of, window_of

FloatArray = NDArray[np.float64]

LATE_H = (0, 1, 2, 3, 5, 8, 12, -1, -2, -3, -6, -12)
STEPS_H = (0, 1, 2, 3, 6)
EVERY = 28  # d, from one log of a pair to the next
STATIONS = ("lansing", "los_angeles", "guangzhou")


def of_pairs(pairs: Iterable[Pair]) -> Iterator[Pair]:
    """Logs of three weeks all along pairs of stations, longer ones behind them."""
    for pair in pairs:
        whole = fill_short_gaps(pair.log).temp_c
        for first in range(24 * 20, whole.size - 24 * (NIGHTS + 20), 24 * EVERY):
            log_c = np.full(whole.size, np.nan)
            log_c[first : first + 24 * NIGHTS] = whole[first : first + 24 * NIGHTS]
            log = record_of(pair.log.start_hour, log_c, pair.name)
            yield replace(pair, log=log)


def of_spots(damping_hours: float) -> list[Pair]:
    """Invented logs of a known spot."""
    return [invented(name, damping_hours, seed) for seed in range(20) for name in STATIONS]


def late(log_c: FloatArray, hours: int, from_hour: int = 0) -> FloatArray:
    """A log whose clock is so many hours late, from one of its hours on."""
    moved = np.full(log_c.size, np.nan)
    told = np.flatnonzero(~np.isnan(log_c))
    at = told + np.where(told - told[0] >= from_hour, hours, 0)
    inside = (at >= 0) & (at < log_c.size)
    moved[at[inside]] = log_c[told[inside]]
    return moved


def print_clocks(sets: dict[str, list[Pair]]) -> None:
    """
    Alarms for clocks that are so many hours late, 0 a good clock, and estimates nine times in ten.

    First of clocks that are off all the time, how far off the hours; then of clocks set anew after
    ten days, how far off the day.
    """
    for late_h, from_hour in ((LATE_H, 0), (STEPS_H, 240)):
        print(f"| logs | number | {' | '.join(f'{hours:+d} h' for hours in late_h)} |")
        print(f"|---|---|{'---|' * len(late_h)}")
        for name, pairs in sets.items():
            windows = [window_of(pair) for pair in pairs]
            cells = [_clock_cell(windows, hours, from_hour) for hours in late_h]
            print(f"| {name} | {len(pairs)} | {' | '.join(cells)} |")
        print()


def _clock_cell(windows: list[tuple[Window, FloatArray]], hours: int, from_hour: int) -> str:
    """Share of alarms, and how far off they are."""
    find = find_clock_step if from_hour else find_clock_lag
    found = [find(window.outside_c, late(log_c, hours, from_hour)) for window, log_c in windows]
    wrong = [one for one in found if one is not None and one.is_wrong]
    text = f"{len(wrong) / len(found):.2f}"
    if not (hours and wrong):
        return text
    if from_hour:
        days = [abs(one.day - from_hour // 24) for one in wrong if isinstance(one, ClockStep)]
        return f"{text} ({np.quantile(days, 0.9):.0f} d)"
    return f"{text} ({np.quantile([abs(one.hours - hours) for one in wrong], 0.9):.1f})"


def alarms(pair: Pair, drift_c: float = 0.0, sun_c: float = 0.0) -> tuple[bool, bool]:
    """Whether drift and sun are told of a log into which they were put, K."""
    window, log_c = window_of(pair)
    told = np.flatnonzero(~np.isnan(log_c))
    hours = np.arange(log_c.size)
    noon = day_weight((window.solar_start + hours).astype(np.float64)) == 1.0
    clear = window.kinds[((window.local_start - 12) % 24 + hours) // 24] == CLEAR
    logged = log_c + drift_c * np.interp(hours, [told[0], told[-1]], [-0.5, 0.5])
    logged += sun_c * (noon & clear)
    fit = fit_window(window, logged, (0.0, 0.0, 0.0), dampings_h=(0.0, 3.0))
    sun = find_sun(window, logged, fit, "log") or find_noon_sun(window, logged, fit, "log")
    return bool(find_drift(window, logged, fit, "log")), bool(sun)


def print_others(sets: dict[str, list[Pair]]) -> None:
    """Alarms of drift and sun: on good logs, and with the fault in them."""
    heads = "good: drift | good: sun | drift of 2 °C | of 3 °C | sun on clear days, 5 °C | 8 °C"
    print(f"| logs | number | {heads} |\n|---|---|---|---|---|---|---|---|")
    for name, pairs in sets.items():
        columns = [
            *zip(*(alarms(pair) for pair in pairs), strict=True),
            *([alarms(pair, drift_c=drift)[0] for pair in pairs] for drift in (2.0, 3.0)),
            *([alarms(pair, sun_c=sun)[1] for pair in pairs] for sun in (5.0, 8.0)),
        ]
        cells = " | ".join(f"{np.mean(column):.2f}" for column in columns)
        print(f"| {name} | {len(pairs)} | {cells} |")
    print()


def main() -> None:
    sets = {
        "airports of one city": list(of_pairs(near_pairs())),
        "points of a reanalysis": list(of_pairs(grid_pairs(Path(sys.argv[1])))),
        "invented, no lag": of_spots(0.0),
        "invented, 3 h": of_spots(3.0),
        "invented, 6 h": of_spots(6.0),
        "invented, 9 h": of_spots(9.0),
    }
    print_clocks(sets)
    print_others(sets)


if __name__ == "__main__":
    main()
