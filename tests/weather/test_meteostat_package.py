"""
What is taken from the meteostat package, and its own fetching held against ours.

The package runs in a process of its own, since it reads its settings when it is loaded.
"""

from __future__ import annotations

import dataclasses
import gzip
import json
import os
import sqlite3
import subprocess
import sys
from contextlib import closing
from datetime import UTC, datetime
from typing import TYPE_CHECKING, Any

import numpy as np
import pytest

from suitability.errors import SourceError
from suitability.weather.manifest import YearStatus
from suitability.weather.record import datetime_of_hour
from suitability.weather.sources.daily import parse_minima
from suitability.weather.sources.meteostat import Addresses, fetch_years, read_addresses
from suitability.weather.sources.register import flag_possible, load_package, read_register
from suitability.weather.sources.yearly import parse_year
from suitability.weather.station_list import StationList
from suitability.weather.stations import find_candidates

from .conftest import NOW, STATION
from .server import Served, Server, StationRow, running_server, stations_database, year_file
from .server import year_rows as whole_year

if TYPE_CHECKING:
    from collections.abc import Iterator
    from pathlib import Path

    from suitability.weather.record import Record
    from suitability.weather.sources.transport import Transport

    from .server import Row

ASK_THE_PACKAGE = """
import json, logging, sys
logging.disable()
from datetime import datetime
from meteostat import Point, Station, hourly, stations
years = {}
for year in range(2018, 2023):
    span = datetime(year, 1, 1), datetime(year, 12, 31, 23)
    found = hourly(Station(id="10637"), *span).fetch(sources=True)
    if found is not None:
        found = found[["temp", "temp_source"]].dropna()
        found = [[str(at), *row] for at, row in zip(found.index, found.values.tolist())]
    years[year] = found
near = stations.nearby(Point(50.0, 8.6, 112), radius=100_000)
print(json.dumps({"years": years, "near": near["distance"].to_dict()}))
"""
ROWS = [
    StationRow(identifier="10637", latitude=50.0, longitude=8.62),
    StationRow(identifier="HIGH1", latitude=50.1, longitude=8.5, elevation_m=1200),
    StationRow(identifier="MID01", latitude=50.3, longitude=8.6, elevation_m=112),
    StationRow(identifier="EDGE1", latitude=50.8, longitude=8.6),
    StationRow(identifier="FAR01", latitude=51.0, longitude=8.6),
]


def year_rows(year: int) -> list[Row]:
    """Two months of hours, some of them absent, of three sources, one of them a model."""
    kinds = ("isd_lite", "isd_lite", "metar", "dwd_mosmix")
    rows = whole_year(year, until=datetime(year, 3, 1, tzinfo=UTC))
    return [
        (at, temp, kinds[number % 4]) for number, (at, temp, _) in enumerate(rows) if number % 50
    ]


@pytest.fixture(scope="module")
def service(tmp_path_factory: pytest.TempPathFactory) -> Iterator[tuple[Server, Path]]:
    """Two good years, one that is not there, one refused and one cut; and a list of stations."""
    folder = tmp_path_factory.mktemp("service")
    rows = [*ROWS, StationRow(identifier="DE001", latitude=50.0, longitude=8.7)]
    stations_database(folder / "stations.db", rows)
    with closing(sqlite3.connect(folder / "stations.db")) as database:
        database.execute("UPDATE names SET language = 'de' WHERE station = 'DE001'")
        database.commit()
    with running_server() as server:
        server.files["/stations.db"] = Served(body=(folder / "stations.db").read_bytes())
        for year in (2018, 2022):
            server.serve_year("10637", year, year_rows(year))
        server.serve_year("10637", 2020, Served(status=500))
        server.serve_year("10637", 2021, Served(body=year_file(year_rows(2021))[:-2000]))
        yield server, folder


@pytest.fixture(scope="module")
def theirs(service: tuple[Server, Path]) -> dict[str, Any]:
    """What the package makes of the service."""
    server, folder = service
    done = subprocess.run(
        [sys.executable, "-W", "error", "-c", ASK_THE_PACKAGE],
        env={
            **os.environ,
            "no_proxy": "127.0.0.1",
            "MS_HOURLY_ENDPOINT": server.hourly,
            "MS_STATIONS_DB_ENDPOINTS": json.dumps([server.stations]),
            "MS_STATIONS_DB_FILE": str(folder / "theirs.db"),
            "MS_CACHE_DIRECTORY": str(folder / "cache"),
            "MS_CACHE_ENABLE": "false",
            "MS_NETWORK_MAX_RETRIES": "0",
        },
        capture_output=True,
        text=True,
        check=False,
        timeout=120,
    )
    assert done.returncode == 0, done.stderr
    found: dict[str, Any] = json.loads(done.stdout.splitlines()[-1])
    return found


def hours_of(record: Record) -> dict[str, float]:
    """Temperatures by hour, as text."""
    return {
        f"{datetime_of_hour(record.start_hour + at):%Y-%m-%d %H:%M:%S}": float(record.temp_c[at])
        for at in np.flatnonzero(~np.isnan(record.temp_c)).tolist()
    }


@pytest.mark.slow
def test_package_and_program_read_the_same_hours_and_sources(
    service: tuple[Server, Path], theirs: dict[str, Any], transport: Transport
) -> None:
    """The package gives hours of models among the observed; together ours are the same."""
    outcomes = ask(service[0], transport)
    for year in (2018, 2022):
        outcome, rows = outcomes[year], theirs["years"][str(year)]
        assert outcome.observed is not None
        assert outcome.model is not None
        observed, model = hours_of(outcome.observed), hours_of(outcome.model)
        assert observed == {at: temp for at, temp, source in rows if source != "dwd_mosmix"}
        assert model == {at: temp for at, temp, source in rows if source == "dwd_mosmix"}
        sources = [source for _, _, source in rows]
        assert dict(outcome.entry.counts.sources) == {one: sources.count(one) for one in sources}


def test_the_package_says_nothing_for_what_the_program_tells_apart(
    service: tuple[Server, Path], theirs: dict[str, Any], transport: Transport
) -> None:
    """A year that is not there, a server that fails and a file that breaks off are all None."""
    assert [theirs["years"][str(year)] for year in (2019, 2020, 2021)] == [None] * 3
    outcomes = ask(service[0], transport)
    told = {year: (outcomes[year].entry.status, outcomes[year].entry.reason) for year in outcomes}
    assert told[2019] == (YearStatus.ABSENT, "the service has no file of this year (404)")
    assert told[2020][0] is YearStatus.FAILED
    assert told[2020][1].startswith("the server answered 500 Internal Server Error")
    assert told[2021][0] is YearStatus.FAILED
    assert told[2021][1].startswith("the packed file breaks off")


def ask(server: Server, transport: Transport) -> dict[int, Any]:
    """Our outcomes by year."""
    addresses = Addresses(hourly=server.hourly)
    years = range(2018, 2023)
    found = fetch_years(STATION, years, addresses=addresses, transport=transport, now=NOW)
    return {outcome.entry.year: outcome for outcome in found}


def test_the_package_finds_the_same_stations_but_those_without_an_english_name(
    service: tuple[Server, Path], theirs: dict[str, Any]
) -> None:
    """Distances agree to its 0.1 m and our 1 m; it orders by them alone, we weigh height too."""
    folder = service[1]
    ours = find_candidates(
        folder,
        StationList(database=folder / "stations.db", fetched=NOW),
        50.0,
        8.6,
        112.0,
        first_year=2018,
        last_year=2022,
        radius_km=100.0,
    )
    distances = {one.station.identifier: one.station.distance_km for one in ours}
    assert distances.keys() - theirs["near"].keys() == {"DE001"}
    del distances["DE001"]
    in_km = {identifier: metres / 1000 for identifier, metres in theirs["near"].items()}
    assert distances == pytest.approx(in_km, abs=1e-3)
    assert list(theirs["near"]) == ["10637", "HIGH1", "MID01", "EDGE1"]
    assert list(distances) == ["10637", "MID01", "EDGE1", "HIGH1"]


def test_addresses_are_those_of_the_package_and_its_variables_redirect_them() -> None:
    """A release with other addresses carries over; so does the name of each variable."""
    config = load_package().api.config.Config
    usual = read_addresses({})
    assert usual.hourly == config.hourly_endpoint
    assert usual.daily == config.daily_endpoint
    assert list(usual.stations) == config.stations_db_endpoints
    name = config("MS").get_env_name
    redirected = read_addresses(
        {
            name("hourly_endpoint"): "http://127.0.0.1:1/{year}/{station}",
            name("daily_endpoint"): "http://127.0.0.1:2/{year}/{station}",
            name("stations_db_endpoints"): '["http://127.0.0.1:1/s.db"]',
        }
    )
    assert redirected == Addresses(
        hourly="http://127.0.0.1:1/{year}/{station}",
        daily="http://127.0.0.1:2/{year}/{station}",
        stations=("http://127.0.0.1:1/s.db",),
    )


@pytest.mark.slow
def test_a_malformed_setting_is_said_once() -> None:
    """What the package would log of it on standard error is kept quiet."""
    code = (
        "import os\nfrom suitability.errors import SourceError\n"
        "from suitability.weather.sources.meteostat import read_addresses\n"
        "try:\n    read_addresses(os.environ)\nexcept SourceError as said:\n    print(said)"
    )
    done = subprocess.run(
        [sys.executable, "-c", code],
        env={**os.environ, "MS_STATIONS_DB_ENDPOINTS": "["},
        capture_output=True,
        text=True,
        check=True,
        timeout=60,
    )
    assert done.stderr == ""
    assert done.stdout.startswith("MS_STATIONS_DB_ENDPOINTS is '['; it must be a JSON list")
    assert done.stdout.count("\n") == 1


def test_the_register_tells_who_observes() -> None:
    """The sources that records of today are made of stand in it; forecasts observe nothing."""
    hourly, daily = read_register(), read_register(daily=True)
    observing = {name for name, one in hourly.items() if one.observes}
    assert observing >= {"isd_lite", "metar", "dwd_hourly", "dwd_poi", "eccc_hourly", "gsa_hourly"}
    assert {"dwd_mosmix", "metno_forecast"} <= hourly.keys() - observing
    assert {name for name, one in daily.items() if one.observes} >= {"dwd_daily", "ghcnd"}
    assert "hourly" not in hourly  # the service itself is no source
    assert not hourly.keys() & daily.keys()


@pytest.fixture
def later_release(monkeypatch: pytest.MonkeyPatch) -> Iterator[None]:
    """A register with a record and an analysis more, hourly and daily."""
    package = load_package()
    service, grade = package.core.providers.provider_service, package.enumerations.Grade
    (old,) = (one for one in service.providers if str(one.id) == "metar")
    added = [
        dataclasses.replace(
            old, id=f"{span}_{kind.name}", name=kind.name, grade=kind, granularity=span
        )
        for kind in (grade.RECORD, grade.ANALYSIS)
        for span in (package.Granularity.HOURLY, package.Granularity.DAILY)
    ]
    monkeypatch.setattr(service, "_providers", [*service.providers, *added])
    read_register.cache_clear()
    yield
    read_register.cache_clear()


@pytest.mark.usefixtures("later_release")
def test_a_provider_that_a_release_adds_is_known_at_once() -> None:
    """A record is observed and credited; an analysis is none, nor is a minimum made of it."""
    names = ("hourly_ANALYSIS", "hourly_RECORD")
    rows = [(at, temp, names[at.day % 2]) for at, temp, _ in year_rows(2021)]
    result = parse_year(year_file(rows), 2021, STATION, NOW)
    assert result.counts.observed == sum(at.day % 2 for at, _, _ in rows)
    assert result.counts.unknown == 0
    assert result.observed.attribution == "Meteostat (https://meteostat.net); RECORD"
    assert result.observed.licence == "CC BY 4.0 (Meteostat); no licence named (RECORD)"
    lines = ("year,month,day,tmin,tmin_source", "2021,1,1,1.5,daily_RECORD")
    text = "\n".join([*lines, "2021,1,2,2.5,daily_ANALYSIS", ""])
    minima = parse_minima(gzip.compress(text.encode()), 2021)
    assert minima == {"daily_RECORD": (15, *[None] * 364)}


def test_credits_name_the_aggregator_and_every_provider_of_a_year() -> None:
    """Meteostat always, NOAA by its name although it asks for none, METAR as without licence."""
    names = ("metar", "isd_lite", "dwd_hourly", "brand_new")
    rows = [(at, temp, names[at.hour % 4]) for at, temp, _ in year_rows(2021)]
    observed = parse_year(year_file(rows), 2021, STATION, NOW).observed
    assert observed.attribution == (
        "Meteostat (https://meteostat.net); Deutscher Wetterdienst (DWD Hourly); "
        "NOAA ISD Lite; METAR"
    )
    assert observed.licence == (
        "CC BY 4.0 (Meteostat); CC BY 4.0 (DWD Hourly); CC0 1.0 Universal (NOAA ISD Lite); "
        "no licence named (METAR)"
    )


@pytest.mark.parametrize(
    ("name", "good", "bad"),
    [
        ("temp", (-90.0, 0.0, 60.0), (-90.1, -99.9, 60.1, 999.9)),
        ("tmin", (-90.0, 60.0), (-99.9, 60.1)),
        ("rhum", (0.0, 100.0), (-1.0, 101.0)),
        ("prcp", (0.0, 300.0), (-0.1, 999.9)),
    ],
)
def test_impossible_values_are_told(
    name: str, good: tuple[float, ...], bad: tuple[float, ...]
) -> None:
    """The package's bounds, and for temperatures the world's records, which are narrower."""
    flags = flag_possible(np.array([*good, *bad, np.nan]), name, daily=name == "tmin")
    assert flags.tolist() == [True] * len(good) + [False] * (len(bad) + 1)


def test_a_release_with_another_unit_is_refused(monkeypatch: pytest.MonkeyPatch) -> None:
    """Kelvin taken for °C would be a summer everywhere."""
    package = load_package()
    parameter = package.core.parameters.parameter_service.get_parameter(
        "temp", package.Granularity.HOURLY
    )
    monkeypatch.setattr(parameter, "unit", package.enumerations.Unit.KELVIN)
    with pytest.raises(SourceError, match=r"has temp in K, where this program reads °C"):
        parse_year(year_file(year_rows(2021)), 2021, STATION, NOW)
