"""The records inside the repository on which the compact benchmarks run."""

from __future__ import annotations

import csv
import gzip
from datetime import date
from pathlib import Path

import numpy as np
import pytest

from suitability.weather.sources.files import read_file_record

from .cases import Asked, daily_cases, hourly_cases

DATA = Path(__file__).parent.parent / "data"
STATIONS = {
    "los_angeles": (33.938, -118.389),
    "porto_alegre": (-30.05, -51.17),
    "nashville": (36.119, -86.689),
    "dallas": (32.898, -97.019),
    "reno": (39.484, -119.771),
    "st_louis": (38.753, -90.374),
}


@pytest.fixture(scope="session")
def asked() -> list[Asked]:
    """Every distinct group of the catalogue at six stations."""
    return [
        case
        for name, position in STATIONS.items()
        for case in hourly_cases(
            name, read_file_record(DATA / f"{name}.hourly", longitude=position[1]), position
        )
    ]


@pytest.fixture(scope="session")
def daily() -> list[Asked]:
    """Night limits from 4 to 18 °C at five stations of daily minima, 1980 to 2011."""
    path = DATA / "daily_tmin" / "tmin_1980_2011.csv.gz"
    with gzip.open(path, "rt", encoding="ascii") as lines:
        rows = list(csv.DictReader(lines))
    first_day = (date.fromisoformat(rows[0]["date"]) - date(1970, 1, 1)).days
    return [
        case
        for name in list(rows[0])[1:]
        for case in daily_cases(
            name,
            first_day,
            np.array([float(row[name]) / 10 if row[name] else np.nan for row in rows]),
        )
    ]


def pytest_itemcollected(item: pytest.Item) -> None:
    """What is measured rather than asserted takes long, but for speed in tiny sizes."""
    if Path(__file__).parent in item.path.parents and item.path.name != "test_speed.py":
        item.add_marker("slow")
