"""`outlook` of a station: its forecast is fetched, kept and learned from, and never observed."""

from __future__ import annotations

import json
import re
from datetime import UTC, datetime, timedelta
from typing import TYPE_CHECKING, Any

import pytest

from suitability.cli.main import main
from suitability.weather.record import Origin
from suitability.weather.year_store import read_year
from tests.weather.server import (
    Served,
    Server,
    StationRow,
    running_server,
    stations_database,
    year_rows,
)

if TYPE_CHECKING:
    from collections.abc import Iterator
    from pathlib import Path

pytestmark = pytest.mark.slow

NEAR = StationRow(identifier="10637", latitude=50.0, longitude=8.6, elevation_m=112.0)


@pytest.fixture
def service(tmp_path: Path, monkeypatch: pytest.MonkeyPatch) -> Iterator[tuple[datetime, Server]]:
    """
    A service that observes up to this hour and forecasts 15 °C behind it; the end of that.

    A week, or up to the end of the year, with which a yearly file ends.
    """
    now = datetime.now(UTC).replace(minute=0, second=0, microsecond=0)
    end = min(now + timedelta(days=7), datetime(now.year + 1, 1, 1, tzinfo=UTC))
    hours = (end - now) // timedelta(hours=1)
    ahead = [(now + timedelta(hours=hour), 15.0, "dwd_mosmix") for hour in range(hours)]
    with running_server() as server:
        server.serve_year("10637", now.year - 1, year_rows(now.year - 1))
        server.serve_year("10637", now.year, [*year_rows(now.year, until=now), *ahead])
        database = stations_database(tmp_path / "made.db", [NEAR])
        server.files["/stations.db"] = Served(body=database)
        monkeypatch.setenv("MS_HOURLY_ENDPOINT", server.hourly)
        monkeypatch.setenv("MS_STATIONS_DB_ENDPOINTS", json.dumps([server.stations]))
        monkeypatch.setenv("SUITABILITY_HOME", str(tmp_path / "home"))
        yield end, server


def outlook_of(capsys: pytest.CaptureFixture[str]) -> dict[str, Any]:
    """The document of the place beside the station."""
    with pytest.raises(SystemExit) as left:
        main(["outlook", "--at", "50.01,8.61,120", "--group", "phalaenanthe", "--json"])
    shown = capsys.readouterr()
    assert left.value.code in (0, None), shown.err
    found: dict[str, Any] = json.loads(shown.out)
    return found


def test_a_station_brings_its_own_forecast(
    service: tuple[datetime, Server], tmp_path: Path, capsys: pytest.CaptureFixture[str]
) -> None:
    """It is kept to be learned from; the store's observed hours hold none of it."""
    until, _ = service
    found = outlook_of(capsys)
    assert found["forecast"]["age_hours"] <= 1
    assert found["forecast"]["until"] == f"{until - timedelta(hours=1):%Y-%m-%dT%H:%MZ}"
    assert "Deutscher Wetterdienst" in found["forecast"]["credit"]["attribution"]
    if until - datetime.now(UTC) > timedelta(days=3):
        assert found["plants"][0]["nights"][1]["lowest_c"] == 15.0
    store = tmp_path / "home" / "weather"
    observed = read_year(store, "10637", (until - timedelta(hours=1)).year)
    assert observed is not None
    assert set(observed.origin.tolist()) <= {Origin.OBSERVED, Origin.MISSING}
    assert len(list((store / "forecasts" / "10637").iterdir())) == 1


def test_it_is_fetched_anew_once_it_is_some_hours_old(
    service: tuple[datetime, Server], tmp_path: Path, capsys: pytest.CaptureFixture[str]
) -> None:
    """Only the running year; where that fails what is kept is used, and is as old as it is."""
    until, server = service
    outlook_of(capsys)
    server.asked.clear()
    outlook_of(capsys)
    assert server.asked == []
    path = tmp_path / "home" / "weather" / "hourly" / "10637" / "manifest.json"
    now = datetime.now(UTC)

    def age(hours: int) -> None:
        stamp = f"{now - timedelta(hours=hours):%Y-%m-%dT%H:%M:%SZ}"
        path.write_text(re.sub(r'("fetched": ?)"[^"]*"', rf'\1"{stamp}"', path.read_text("utf-8")))

    age(4)
    assert outlook_of(capsys)["forecast"]["age_hours"] <= 1
    year = (until - timedelta(hours=1)).year
    assert [asked for asked in server.asked if "hourly" in asked] == [
        f"/hourly/{year}/10637.csv.gz"
    ]
    age(5)
    server.files[f"/hourly/{year}/10637.csv.gz"] = Served(status=404)
    assert outlook_of(capsys)["forecast"]["age_hours"] in (5, 6)
