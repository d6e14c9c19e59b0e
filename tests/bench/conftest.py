"""The records inside the repository on which the compact benchmarks run."""

from __future__ import annotations

from pathlib import Path

import pytest

from suitability.weather.sources.files import read_file_record

from .cases import Asked, hourly_cases

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
