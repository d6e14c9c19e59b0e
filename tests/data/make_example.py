"""
The record that the pages use as an example, as the CSV that a grower would make.

`python tests/data/make_example.py` writes `docs/examples/los-angeles.csv.gz` from
`los_angeles.hourly`, hour for hour.
"""

from __future__ import annotations

import gzip
from pathlib import Path

import numpy as np

from suitability.weather.record import datetime_of_hour
from suitability.weather.sources.files import read_file_record

ROOT = Path(__file__).parents[2]
EXTRACT = ROOT / "tests" / "data" / "los_angeles.hourly"
EXAMPLE = ROOT / "docs" / "examples" / "los-angeles.csv.gz"


def make_example() -> bytes:
    """The file, packed: `time` in UTC and `temp` in °C; an hour without a reading has no line."""
    record = read_file_record(EXTRACT, longitude=None)
    lines = [
        f"{datetime_of_hour(record.start_hour + hour):%Y-%m-%d %H:%M},{temp:.1f}\n"
        for hour, temp in enumerate(record.temp_c.tolist())
        if not np.isnan(temp)
    ]
    return gzip.compress("".join(["time,temp\n", *lines]).encode(), 9, mtime=0)


if __name__ == "__main__":
    EXAMPLE.write_bytes(make_example())
