"""`suitability check --at`: a station chosen, fetched, kept and answered from, as users do it."""

from __future__ import annotations

import gzip
import json
import subprocess
import sys
from typing import TYPE_CHECKING, Any

import pytest

from tests.cli.running import running

from .server import Served, Server, StationRow, stations_database, year_rows

if TYPE_CHECKING:
    from collections.abc import Callable, Sequence
    from pathlib import Path

    Check = Callable[..., subprocess.CompletedProcess[str]]

pytestmark = pytest.mark.slow

YEARS = range(2012, 2023)
STATION = StationRow(
    identifier="10637", latitude=50.0, longitude=8.6, elevation_m=112, name="Nearby"
)
ASKED = ["--at", "50.0,8.63,112", "--years", "2012-2022", "--group", "nobile", "--json"]


@pytest.fixture
def healthy(server: Server, tmp_path: Path) -> Server:
    """A service with eleven good years of one station."""
    server.files["/stations.db"] = Served(body=stations_database(tmp_path / "s.db", [STATION]))
    for year in YEARS:
        server.serve_year("10637", year, year_rows(year, mean_c=16.0))
    return server


@pytest.fixture
def check(monkeypatch: pytest.MonkeyPatch, capsys: pytest.CaptureFixture[str]) -> Check:
    """Runner of the command with a store and a service; `through` what, if in its own process."""

    def run(
        home: Path,
        address: str,
        *more: str,
        asked: Sequence[str] = ("check", *ASKED),
        through: Sequence[str] | None = None,
    ) -> subprocess.CompletedProcess[str]:
        monkeypatch.setenv("SUITABILITY_HOME", str(home))
        monkeypatch.setenv("MS_HOURLY_ENDPOINT", f"{address}/hourly/{{year}}/{{station}}.csv.gz")
        monkeypatch.setenv("MS_STATIONS_DB_ENDPOINTS", json.dumps([f"{address}/stations.db"]))
        monkeypatch.setenv("NO_PROXY", "127.0.0.1")
        if through is None:
            return subprocess.CompletedProcess(asked, *running(*asked, *more)(capsys))
        return subprocess.run(
            [*through, sys.executable, "-m", "suitability", *asked, *more],
            capture_output=True,
            text=True,
            check=False,
        )

    return run


def answer(done: subprocess.CompletedProcess[str]) -> dict[str, Any]:
    """The document of a command that succeeded."""
    assert done.returncode == 0, done.stderr
    document: dict[str, Any] = json.loads(done.stdout)
    return document


def test_a_station_is_fetched_once_and_then_serves_offline(
    check: Check, healthy: Server, tmp_path: Path
) -> None:
    """In processes of their own: station, distance, licence; the same without a network."""
    document = answer(check(tmp_path, healthy.address, through=()))
    station = document["record"]["station"]
    assert station["identifier"] == "10637"
    assert 0 < station["distance_km"] < 5
    assert "Meteostat" in document["record"]["attribution"]
    (result,) = document["results"]
    assert result["verdict"] == "outdoor-seasonal"
    assert result["nearly_all_year"] is True
    healthy.asked.clear()
    later = answer(check(tmp_path, healthy.address, "--offline", through=()))
    assert healthy.asked == []
    assert later["results"] == document["results"]


def test_a_network_down_before_anything_is_stored_is_one_sentence(
    check: Check, tmp_path: Path
) -> None:
    """Nothing stored, nothing reachable: what is wrong and what to do, and no answer."""
    done = check(tmp_path, "http://127.0.0.1:9")
    assert done.returncode == 1
    assert done.stdout == ""
    assert len(done.stderr.strip().splitlines()) == 1, done.stderr
    assert "Traceback" not in done.stderr


def test_a_failed_year_is_never_taken_for_absence(
    check: Check, healthy: Server, tmp_path: Path
) -> None:
    """A year that fails in the middle stops the answer; healthy again, the record is whole."""
    good = healthy.files["/hourly/2017/10637.csv.gz"]
    healthy.files["/hourly/2017/10637.csv.gz"] = Served(status=403)
    done = check(tmp_path, healthy.address)
    assert done.returncode == 1
    assert done.stdout == ""
    assert "2017" in done.stderr
    assert "--allow-missing" in done.stderr
    without = answer(check(tmp_path, healthy.address, "--allow-missing"))
    healthy.files["/hourly/2017/10637.csv.gz"] = good
    whole = answer(check(tmp_path, healthy.address))
    missing = whole["record"]["hours_valid"] - without["record"]["hours_valid"]
    assert missing == 8760
    assert whole["results"][0]["years_usable"] > without["results"][0]["years_usable"]


def test_a_disk_that_takes_nothing_is_noted_and_the_answer_is_the_same(
    check: Check, healthy: Server, tmp_path: Path
) -> None:
    """The system lets no file grow, as a full disk does: `check` goes on in memory."""
    done = check(tmp_path, healthy.address, through=("sh", "-c", 'ulimit -f 0; exec "$@"', "sh"))
    document = answer(done)
    notes = " ".join(document["record"]["notes"])
    assert "The list of weather stations is not kept" in notes
    assert "What was fetched is not kept" in notes
    assert [one.name for one in tmp_path.rglob("*") if one.is_file() and one.stat().st_size] == [
        "s.db"
    ]
    assert answer(check(tmp_path, healthy.address))["results"] == document["results"]


def test_a_poor_year_is_named_beside_the_answer_and_in_it(
    check: Check, healthy: Server, tmp_path: Path
) -> None:
    """An empty file for one year: standard error and the notes name it, and say what asks again."""
    healthy.serve_year("10637", 2017, [])
    done = check(tmp_path, healthy.address)
    notes = answer(done)["record"]["notes"]
    (told,) = [note for note in notes if note.startswith("2017: far fewer hours")]
    assert "--years 2017 --refresh" in told
    assert done.stderr == f"suitability: {told}\n"


def test_the_stations_own_daily_minima_set_the_allowance(
    check: Check, healthy: Server, tmp_path: Path, monkeypatch: pytest.MonkeyPatch
) -> None:
    """Minima 1.1 °C below the readings: nights are taken so much lower, unless asked otherwise."""
    for year in YEARS:
        lowest: dict[str, float] = {}
        for at, temp, _ in year_rows(year, mean_c=16.0):
            key = f"{at.year},{at.month},{at.day}"
            lowest[key] = min(lowest.get(key, 99.0), temp or 0.0)
        rows = "".join(f"{key},{low - 1.1:.1f},ghcnd\n" for key, low in lowest.items())
        body = gzip.compress(f"year,month,day,tmin,tmin_source\n{rows}".encode(), 1)
        healthy.files[f"/daily/{year}/10637.csv.gz"] = Served(body=body)
    without = answer(check(tmp_path / "a", healthy.address))
    assert without["settings"]["minimum_allowance_c"] == 0.2
    assert without["settings"]["minimum_allowance_from"] == "readings"
    monkeypatch.setenv("MS_DAILY_ENDPOINT", healthy.address + "/daily/{year}/{station}.csv.gz")
    measured = answer(check(tmp_path / "b", healthy.address))
    assert measured["settings"]["minimum_allowance_c"] == 1.1
    assert measured["settings"]["minimum_allowance_from"] == "daily-minima"
    asked = answer(check(tmp_path / "b", healthy.address, "--minimum-allowance", "0.3"))
    assert asked["settings"]["minimum_allowance_c"] == 0.3
    assert asked["settings"]["minimum_allowance_from"] == "asked"
    assert measured["results"][0]["hours_below"] == asked["results"][0]["hours_below"]


def test_neighbours_fill_nights_and_are_never_counted(
    check: Check, healthy: Server, tmp_path: Path
) -> None:
    """A winter missing at the station makes no usable year; filled, it does; hours below stay."""
    database = tmp_path / "two.db"
    next_to_it = StationRow(identifier="10635", latitude=50.1, longitude=8.6, elevation_m=120)
    healthy.files["/stations.db"] = Served(body=stations_database(database, [STATION, next_to_it]))
    rows = [row for row in year_rows(2017, mean_c=16.0) if row[0].month not in {4, 5}]
    healthy.serve_year("10637", 2017, rows)
    for year in YEARS:
        healthy.serve_year("10635", year, year_rows(year, mean_c=15.0))
    without = answer(check(tmp_path, healthy.address))
    filled = answer(check(tmp_path, healthy.address, "--neighbours", "1"))
    assert filled["record"]["origin"]["blended"] == 61 * 24
    assert filled["record"]["hours_valid"] == without["record"]["hours_valid"]
    assert filled["results"][0]["years_usable"] > without["results"][0]["years_usable"]
    assert filled["results"][0]["hours_below"] == without["results"][0]["hours_below"]


def test_places_compared_have_each_their_station(
    check: Check, healthy: Server, tmp_path: Path
) -> None:
    """In order; the other of the two stations fills the gap of each."""
    database = tmp_path / "two.db"
    next_to_it = StationRow(
        identifier="10635", latitude=50.1, longitude=8.6, elevation_m=120, name="Farther"
    )
    healthy.files["/stations.db"] = Served(body=stations_database(database, [STATION, next_to_it]))
    for year in YEARS:
        healthy.serve_year("10635", year, year_rows(year, mean_c=9.0))
    places = ("--at", "50.0,8.63,112", "--at", "50.01,8.63,112", "--years", "2012-2022")
    asked = ("compare", *places, "--group", "nobile", "--json")
    stations = ("--station", "10635", "--station", "10637", "--neighbours", "1")
    found = answer(check(tmp_path, healthy.address, *stations, asked=asked))
    colder, warmer = found["results"]
    assert colder["hours_below"]["year"] > warmer["hours_below"]["year"]
    alone = answer(check(tmp_path, healthy.address))
    assert warmer["hours_below"] == alone["results"][0]["hours_below"]


@pytest.mark.parametrize(
    ("more", "says"),
    [
        (["--neighbours", "5"], "expected a number from 0 to 4"),
        (["--lapse-rate", "65"], "expected a number from -10 to 15"),
        (["--lapse-rate", "6.5", "--at", "50.0,8.63"], "one --at"),
    ],
)
def test_options_of_blending_out_of_range_are_one_sentence(
    check: Check, tmp_path: Path, more: list[str], says: str
) -> None:
    """Exit code 2 before anything is asked."""
    done = check(tmp_path, "http://127.0.0.1:9", *more)
    assert (done.returncode, done.stdout) == (2, "")
    assert says in done.stderr
