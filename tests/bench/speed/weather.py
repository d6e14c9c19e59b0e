"""Years fetched from a server on 127.0.0.1 that waits before each file."""

from __future__ import annotations

import tempfile
import time
from functools import partial
from pathlib import Path

from msgspec.structs import replace

from .contest import OURS, Contender, Setting, Spent, Work, ahead

FIRST = 2000
LATENCY_S = 0.25


def fetch_all(years: int, parallel: int) -> Spent:
    """Seconds to fetch all years into an empty store, so many files at a time."""
    from suitability.weather.sources.meteostat import Addresses
    from suitability.weather.station_years import FetchRequest, fetch_station_years
    from tests.weather.conftest import NOW, SHORT, STATION, quick_transport
    from tests.weather.server import Served, running_server, year_file, year_rows

    patience = replace(SHORT, parallel=parallel, silence_s=5.0, command_s=100.0)
    transport = quick_transport(patience)
    with running_server() as server, tempfile.TemporaryDirectory() as folder:
        for year in range(FIRST, FIRST + years):
            file = Served(body=year_file(year_rows(year)), delay_s=LATENCY_S)
            server.serve_year(STATION.identifier, year, file)
        start = time.perf_counter()
        found = fetch_station_years(
            FetchRequest(
                folder=Path(folder),
                first_year=FIRST,
                last_year=FIRST + years - 1,
                now=NOW,
                transport=lambda: transport,
                addresses=lambda: Addresses(hourly=server.hourly),
            ),
            STATION,
        )
        spent = time.perf_counter() - start
    assert len(found.records) == years
    return Spent(spent)


def fetching(setting: Setting) -> tuple[Work, ...]:
    """Four files at a time against one after the other."""
    years = setting.of(24, 1)
    one, four = "one after the other", "four at a time"
    return (
        Work(
            "fetching",
            "Fetching years of a station",
            f"{years} years from a server of this machine that waits {LATENCY_S} s a file.",
            tuple(
                Contender(
                    name, partial(partial, fetch_all, years, parallel), role=OURS, pieces=years
                )
                for name, parallel in ((one, 1), (four, 4))
            ),
            (ahead(one, one, 3.5, four),),
            rounds=1,
            piece="year",
        ),
    )
