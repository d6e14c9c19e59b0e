"""
Speed of the weather side as ratios, measured side by side in one run.

Run as `python tests/bench/weather_speed.py` from the root of the repository.

Fetching asks a server on 127.0.0.1 that waits 0.25 s before each file, year by year and four at a
time. Filling gaps from neighbours, with the estimate of its error, is measured against one read of
the same arrays. Opening is a whole process. Nothing here asserts, because shared machines are
noisy.
"""

from __future__ import annotations

import statistics
import subprocess
import sys
import tempfile
import time
from datetime import UTC, datetime
from pathlib import Path
from typing import TYPE_CHECKING

import numpy as np
from msgspec.structs import replace

sys.path.insert(0, str(Path(__file__).parent.parent.parent))

from suitability.weather.blending import fill_from_neighbours
from suitability.weather.record import Origin, Record, Station
from suitability.weather.sources.meteostat import Addresses
from suitability.weather.station_years import FetchRequest, fetch_station_years
from suitability.weather.store import ImportedPlace, import_record
from tests.weather.conftest import NOW, SHORT, STATION, quick_transport
from tests.weather.server import Served, running_server, year_file, year_rows

if TYPE_CHECKING:
    from collections.abc import Callable

    from numpy.typing import NDArray

FIRST, YEARS = 2000, 24
LATENCY_S = 0.25
TEN_YEARS = 87_672  # h
THIRTY_YEARS = 262_992  # h
ROUNDS = 25
COPIES = 24  # of the arrays, so that none is still in the cache when its turn comes
# Latitude, longitude, elevation of invented stations around 50 N, 8 E, 300 m.
PLACES = ((50.1, 8.1, 120.0), (50.0, 8.4, 900.0), (49.8, 7.9, 310.0), (50.3, 8.0, 40.0))


def rounds(contenders: dict[str, Callable[[], object]], number: int) -> dict[str, float]:
    """Median seconds of each contender, all in turn in every round."""
    spent: dict[str, list[float]] = {name: [] for name in contenders}
    for _ in range(number):
        for name, run in contenders.items():
            start = time.perf_counter()
            run()
            spent[name].append(time.perf_counter() - start)
    return {name: statistics.median(seconds) for name, seconds in spent.items()}


def show(what: str, ratio: float, goal: str) -> None:
    """One line of the result."""
    print(f"{what:76s} {ratio:10.2f}   goal {goal}")


def fetch_all(hourly: str, parallel: int) -> float:
    """Seconds to fetch all years into an empty store, so many files at a time."""
    patience = replace(SHORT, parallel=parallel, silence_s=5.0, command_s=100.0)
    transport = quick_transport(patience)
    with tempfile.TemporaryDirectory() as folder:
        start = time.perf_counter()
        years = fetch_station_years(
            FetchRequest(
                folder=Path(folder),
                first_year=FIRST,
                last_year=FIRST + YEARS - 1,
                now=NOW,
                transport=lambda: transport,
                addresses=lambda: Addresses(hourly=hourly),
            ),
            STATION,
        )
        spent = time.perf_counter() - start
    assert len(years.records) == YEARS
    return spent


def measure_fetching() -> None:
    """Four at a time against year by year."""
    with running_server() as server:
        for year in range(FIRST, FIRST + YEARS):
            file = Served(body=year_file(year_rows(year)), delay_s=LATENCY_S)
            server.serve_year(STATION.identifier, year, file)
        found = [(fetch_all(server.hourly, 1), fetch_all(server.hourly, 4)) for _ in range(3)]
    one, four = (statistics.median(side) for side in zip(*found, strict=True))
    print(
        f"fetching {YEARS} years at {LATENCY_S} s latency: {one:.2f} s, four at a time {four:.2f} s"
    )
    show("fetching year by year / four at a time", one / four, "3.5 and more")


def invented(hours: int, seed: int) -> NDArray[np.float64]:
    """Invented temperatures in tenths, 6 % of them missing, (hour), °C."""
    chance = np.random.default_rng(seed)
    temp_c = np.round(
        10 - 4 * np.cos(np.arange(hours) * np.pi / 12) + chance.normal(0, 2, hours), 1
    )
    temp_c[chance.random(hours) < 0.06] = np.nan
    return temp_c


def records_of(hours: int) -> list[Record]:
    """Four invented stations as seen from the point."""
    found = []
    for number, (latitude, longitude, height_m) in enumerate(PLACES):
        temp_c = invented(hours, number)
        north_km, east_km = 111.2 * (latitude - 50.0), 71.5 * (longitude - 8.0)
        station = Station(
            identifier=str(number),
            name="Invented",
            latitude=latitude,
            longitude=longitude,
            elevation_m=height_m,
            distance_km=float(np.hypot(north_km, east_km)),
            height_difference_m=height_m - 300.0,
        )
        found.append(
            Record(
                start_hour=438_288,  # 2020-01-01
                temp_c=temp_c,
                origin=np.where(np.isnan(temp_c), Origin.MISSING, Origin.OBSERVED).astype(np.uint8),
                station=station,
            )
        )
    return found


def measure_filling() -> None:
    """Ten years filled from three neighbours, as `--neighbours` asks, against one read of them."""
    records = records_of(TEN_YEARS)
    reads = [np.array([record.temp_c for record in records]) for _ in range(COPIES)]
    turn = iter(range(10**9))
    found = rounds(
        {
            "read": lambda: np.sum(reads[next(turn) % COPIES]),
            "fill": lambda: fill_from_neighbours(records[0], records[1:]),
        },
        ROUNDS,
    )
    print(f"filling ten years from three neighbours: {1000 * found['fill']:.0f} ms")
    show("filling from 3 neighbours x 10 years / one read", found["fill"] / found["read"], "-")


def process(*arguments: str) -> Callable[[], object]:
    """A whole process that must succeed."""
    return lambda: subprocess.run(arguments, check=True, capture_output=True)


def measure_opening() -> None:
    """Thirty years from the store, as a whole process, against importing numpy."""
    temp_c = invented(THIRTY_YEARS, 1)
    record = Record(
        start_hour=227_904,
        temp_c=temp_c,
        origin=np.where(np.isnan(temp_c), Origin.MISSING, Origin.OBSERVED).astype(np.uint8),
    )
    with tempfile.TemporaryDirectory() as folder:
        place = ImportedPlace(name="bench", latitude=50.0, longitude=8.0)
        now = datetime.now(UTC)
        import_record(Path(folder), "bench", record, place=place, from_where="", now=now)
        code = (
            "from pathlib import Path; from suitability.weather.store import read_imported; "
            f"read_imported(Path({folder!r}), 'bench')"
        )
        found = rounds(
            {
                "numpy": process(sys.executable, "-c", "import numpy"),
                "open": process(sys.executable, "-c", code),
            },
            ROUNDS,
        )
    print(f"import numpy {1000 * found['numpy']:.0f} ms, opening {1000 * found['open']:.0f} ms")
    show("opening 30 years from the store / import numpy", found["open"] / found["numpy"], "1.2")


if __name__ == "__main__":
    measure_fetching()
    measure_filling()
    measure_opening()
