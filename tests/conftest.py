"""Weather for tests: invented hours from `hourly(...)`, and the extracts of real records."""

from __future__ import annotations

import gc
import json
import os
import shutil
import sys
from datetime import UTC, datetime
from functools import cache
from importlib.util import find_spec
from pathlib import Path
from typing import TYPE_CHECKING, Any

import numpy as np
import pytest
from hypothesis import settings
from msgspec import to_builtins
from msgspec.json import encode

from suitability.output import document
from suitability.places import Place, place_at
from suitability.weather.quality import check_quality
from suitability.weather.record import Origin, Record, datetime_of_hour, hour_of_datetime
from suitability.weather.sources.files import read_file_record

if TYPE_CHECKING:
    from collections.abc import Callable, Iterator

    from numpy.typing import ArrayLike

    Hourly = Callable[..., Record]  # `make_hourly`

DATA = Path(__file__).parent / "data"
SKIPPED: list[str] = []
LEFT_OUT = "not slow"
SLOW_FILE = "\npytestmark = pytest.mark.slow\n"

# How long an example takes says what else the machine does, not whether the program is right.
settings.register_profile("whole", deadline=None)
settings.register_profile("quick", deadline=None, max_examples=50)

os.environ.pop("COLUMNS", None)  # answers are as wide in tests as in any pipe

# What was compiled is kept: each worker reads all tests, and they start the program many times.
os.environ.pop("PYTHONDONTWRITEBYTECODE", None)
sys.dont_write_bytecode = False
gc.set_threshold(100_000)  # as the program itself has it


def pytest_configure(config: pytest.Config) -> None:
    """Of properties, half as many examples are tried where slow tests are left out."""
    settings.load_profile("quick" if config.option.markexpr == LEFT_OUT else "whole")


def pytest_ignore_collect(collection_path: Path, config: pytest.Config) -> bool | None:
    """Of the files that are slow as a whole nothing is loaded where slow tests are left out."""
    quick = config.option.markexpr == LEFT_OUT and collection_path.suffix == ".py"
    if quick and SLOW_FILE in collection_path.read_text("utf-8"):
        return True
    return None


def pytest_collection_modifyitems(items: list[pytest.Item]) -> None:
    """A test that opens a browser is slow, whichever file it stands in."""
    for item in items:
        if "chromium" in getattr(item, "fixturenames", ()):
            item.add_marker(pytest.mark.slow)


def pytest_runtest_logreport(report: pytest.TestReport) -> None:
    """Remember what was skipped, in the process that also ends the run."""
    if report.skipped and not hasattr(report, "wasxfail"):
        SKIPPED.append(report.nodeid)


def pytest_sessionfinish(session: pytest.Session) -> None:
    """Where no test may be skipped, one that is fails the run."""
    if SKIPPED and os.environ.get("SUITABILITY_NO_SKIPS"):
        session.exitstatus = pytest.ExitCode.TESTS_FAILED


@pytest.fixture(scope="session")
def browser() -> None:
    """
    The one reason for which a test is skipped: no Chromium, which does not come with the program.

    Whoever has none can still run all other tests by the line of the README; `.ci/run` installs
    one, and there a skip is a failure.
    """
    if shutil.which("chromium") is None or shutil.which("chromedriver") is None:
        pytest.skip("no chromium with chromium-driver on this machine")


@pytest.fixture(autouse=True, scope="session")
def _no_document_holds_what_is_no_number() -> Iterator[None]:
    """Every document that a test renders is also written by a strict writer.

    The quick one writes null for what is not finite, so that a number that nobody looked at would
    be hidden.
    """

    def strictly(values: Any) -> bytes:
        json.dumps(to_builtins(values), allow_nan=False)
        return encode(values)

    with pytest.MonkeyPatch.context() as patch:
        patch.setattr(document, "encode", strictly)
        yield


def package_file(package: str, *parts: str) -> Path:
    """A file inside an installed package, which is not imported: some warn when they are."""
    spec = find_spec(package)
    assert spec is not None
    assert spec.submodule_search_locations is not None
    return Path(spec.submodule_search_locations[0]).joinpath(*parts)


def make_hourly(
    temp_c: ArrayLike | None = None,
    *,
    start: str = "2001-01-01T00",
    years: int = 1,
    mean_c: float = 18.0,
    year_c: float = 0.0,
    day_c: float = 0.0,
    coldest: int = 15,
    prcp_mm: ArrayLike | None = None,
    step_hours: int = 1,
) -> Record:
    """
    A record of the hours given (nan is a gap), or of two waves: one of the year, one of the day.

    The waves are `mean_c - year_c cos(year) - day_c cos(day)` in tenths of a degree: the year is
    coldest on the `coldest` day of January's count (15: 15 January, 197: 16 July), the day at
    05:00. `years` run from `start` to the same day of the year so many years later.
    """
    first = datetime.fromisoformat(start).replace(tzinfo=UTC)
    if temp_c is None:
        hours = hour_of_datetime(first.replace(year=first.year + years)) - hour_of_datetime(first)
        hour = np.arange(hours) + hour_of_datetime(first)
        year_turn = 2.0 * np.pi * (hour / 24.0 - (coldest - 1)) / 365.2425
        day_turn = 2.0 * np.pi * (hour % 24 - 5) / 24.0
        temp_c = (mean_c - year_c * np.cos(year_turn) - day_c * np.cos(day_turn)).round(1)
    values = np.array(temp_c, np.float64)
    return Record(
        start_hour=hour_of_datetime(first),
        temp_c=values,
        origin=np.where(np.isnan(values), Origin.MISSING, Origin.OBSERVED).astype(np.uint8),
        prcp_mm=None if prcp_mm is None else np.array(prcp_mm, np.float64),
        step_hours=step_hours,
        source="invented",
    )


@pytest.fixture(scope="session")
def hourly() -> Hourly:
    """Maker of invented records."""
    return make_hourly


@cache
def open_extract(name: str) -> tuple[Record, Place]:
    """A real record after the checks of quality, and its place."""
    record = read_file_record(DATA / f"{name}.hourly", longitude=None)
    station = record.station
    assert station is not None
    place = place_at(
        station.latitude,
        station.longitude,
        station.elevation_m,
        year=datetime_of_hour(record.stop_hour - 1).year,
        name=name,
    )
    return check_quality(record), place


@pytest.fixture(scope="session")
def extract() -> Callable[[str], tuple[Record, Place]]:
    """Opener of the real records in `tests/data`."""
    return open_extract
