"""
What large files of readings cost: memory, time, and what comes out.

    python -m tests.bench.large_files [MEGABYTES]

Each file is invented, written to a temporary folder, and read in a process of its own.
"""

from __future__ import annotations

import json
import subprocess
import sys
import tempfile
import time
from pathlib import Path

import numpy as np

from suitability.units import TemperatureUnit
from suitability.weather.sources.csvfile import read_csv
from suitability.weather.sources.logger import read_logger

from .speed.apart import peak_mb

MEGABYTES = 185  # of the CSV
THREE_YEARS = 1_578_240  # minutes
COLUMNS = {"time": "Date Time", "temp": "Temp"}
BYTES_A_LINE = 22
AT_ONCE = 200_000  # lines written at once


def write_csv(path: Path, lines: int) -> None:
    """Readings a minute apart in the CSV form."""
    _write(path, lines, "time,temp\n", lambda time, temp: f"{time[:10]} {time[11:]},{temp}\n")


def write_newest_first(path: Path, lines: int) -> None:
    """The same log with its newest row first."""
    write_log(path, lines)
    title, head, *rows = path.read_text(encoding="utf-8").splitlines(keepends=True)
    path.write_text("".join([title, head, *reversed(rows)]), encoding="utf-8")


def write_log(path: Path, lines: int) -> None:
    """Readings a minute apart as a logger writes them: days first, decimal commas."""

    def line(time: str, temp: float) -> str:
        day = f"{time[8:10]}.{time[5:7]}.{time[:4]}"
        return f"{day} {time[11:]};{str(temp).replace('.', ',')}\n"

    _write(path, lines, "Title: porch\nDate Time;Temp\n", line)


def _write(path: Path, lines: int, head: str, line: object) -> None:
    assert callable(line)
    generator = np.random.default_rng(17)
    with path.open("w", encoding="utf-8") as file:
        file.write(head)
        for first in range(0, lines, AT_ONCE):
            minute = np.arange(first, min(lines, first + AT_ONCE))
            day, year = minute / 1440 * 2 * np.pi, minute / 525_960 * 2 * np.pi
            temp = 12 - 8 * np.cos(year) - 4 * np.cos(day) + generator.normal(0, 0.2, minute.size)
            times = (np.datetime64("2008-01-01T00:00", "m") + minute).astype(str)
            pairs = zip(times.tolist(), temp.round(1).tolist(), strict=True)
            file.write("".join(line(one, value) for one, value in pairs))


WRITERS = {"csv": write_csv, "log": write_log, "newest first": write_newest_first}


def measure(kind: str, path: Path) -> dict[str, float]:
    """Read one file in this process: seconds, seconds of work, MB at most, and hours."""
    start, worked = time.perf_counter(), time.process_time()
    if kind == "csv":
        record = read_csv(path).record
    else:
        unit = TemperatureUnit.C
        record = read_logger(path, columns=COLUMNS, unit=unit, zone="UTC").record
    assert record.lowest_c is not None
    return {
        "MB of the file": path.stat().st_size / 1e6,
        "s": time.perf_counter() - start,
        "s of work": time.process_time() - worked,
        "most MB": peak_mb(),
        "hours": record.temp_c.size,
        "K missed": record.minimum_allowance_c or 0.0,
    }


def measure_apart(kind: str, lines: int) -> dict[str, float]:
    """The same in a process of its own, of a file of so many lines."""
    with tempfile.TemporaryDirectory() as folder:
        path = Path(folder) / "readings.csv"
        WRITERS[kind](path, lines)
        done = subprocess.run(
            [sys.executable, "-m", __spec__.name, kind, str(path)], check=True, capture_output=True
        )
    found: dict[str, float] = json.loads(done.stdout)
    return found


def main(arguments: list[str]) -> None:
    """Both files, as Markdown; or one in this process."""
    if len(arguments) == 2:
        print(json.dumps(measure(arguments[0], Path(arguments[1]))))
        return
    megabytes = float(arguments[0]) if arguments else MEGABYTES
    lines = int(megabytes * 1e6 / BYTES_A_LINE)
    print("| file | MB of the file | s | s of work | most MB | hours | K missed |")
    print("|---|---|---|---|---|---|---|")
    for told, kind, count in (
        ("CSV of minutes", "csv", lines),
        ("three years of a minute logger", "log", THREE_YEARS),
        ("the same, newest row first", "newest first", THREE_YEARS),
    ):
        found = measure_apart(kind, count)
        print(f"| {told} | " + " | ".join(f"{value:.6g}" for value in found.values()) + " |")


if __name__ == "__main__":
    main(sys.argv[1:])
