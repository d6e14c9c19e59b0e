"""
The record that the pages use as an example, and a log of an invented spot made from it.

`python tests/data/make_example.py` writes `docs/examples/los-angeles.csv.gz` from
`los_angeles.hourly`, hour for hour, as the CSV that a grower would make; and
`docs/examples/logger.csv`, what a logger would have written at a spot of known offsets.
"""

from __future__ import annotations

import gzip
from datetime import UTC, datetime, timedelta
from pathlib import Path

import numpy as np

from suitability.weather.record import datetime_of_hour, hour_of_datetime
from suitability.weather.sources.files import read_file_record

ROOT = Path(__file__).parents[2]
EXTRACT = ROOT / "tests" / "data" / "los_angeles.hourly"
EXAMPLE = ROOT / "docs" / "examples" / "los-angeles.csv.gz"
LOG = ROOT / "docs" / "examples" / "logger.csv"

NIGHT_C = 1.5  # what the invented spot adds from 20:00 to 8:00 Pacific standard time,
DAY_C = -1.0  # and from 12:00 to 16:00; along a straight line between
ODD_C = 0.6  # every day is up to so much warmer or colder besides
FIRST = datetime(2020, 1, 6, 20, tzinfo=UTC)  # noon there
DAYS = 21


def make_example() -> bytes:
    """The file, packed: `time` in UTC and `temp` in °C; an hour without a reading has no line."""
    record = read_file_record(EXTRACT, longitude=None)
    lines = [
        f"{datetime_of_hour(record.start_hour + hour):%Y-%m-%d %H:%M},{temp:.1f}\n"
        for hour, temp in enumerate(record.temp_c.tolist())
        if not np.isnan(temp)
    ]
    return gzip.compress("".join(["time,temp\n", *lines]).encode(), 9, mtime=0)


def make_log() -> str:
    """Three weeks of the record in Pacific standard time, moved by what the spot adds."""
    record = read_file_record(EXTRACT, longitude=None)
    lines = ["Date Time,Temperature\n"]
    for hour in range(24 * DAYS + 1):
        utc = FIRST + timedelta(hours=hour)
        time = utc - timedelta(hours=8)
        adds_c = np.interp(time.hour, [8, 12, 16, 20], [NIGHT_C, DAY_C, DAY_C, NIGHT_C])
        odd_c = ODD_C * np.sin(2.4 * (hour // 24))
        temp_c = record.temp_c[hour_of_datetime(utc) - record.start_hour] + adds_c + odd_c
        if not np.isnan(temp_c):
            lines.append(f"{time:%Y-%m-%d %H:%M},{temp_c:.1f}\n")
    return "".join(lines)


if __name__ == "__main__":
    EXAMPLE.write_bytes(make_example())
    LOG.write_text(make_log(), encoding="utf-8")
