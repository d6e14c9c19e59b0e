"""Daily minima: fetched with the hours, matched to the right day, and never a reason to fail."""

from __future__ import annotations

import gzip
import json
import os
import subprocess
import sys
from datetime import UTC, datetime, timedelta
from functools import cache
from pathlib import Path
from typing import TYPE_CHECKING, Any

import numpy as np
import pytest
from hypothesis import given, settings
from hypothesis import strategies as st
from msgspec.structs import replace
from typer.testing import CliRunner

from suitability.cli.weather import weather_app
from suitability.errors import SourceError
from suitability.weather import minima_store
from suitability.weather.fetching import record_for_place
from suitability.weather.minima import DailyMinima, compare_minima, lost_minima, say_miss
from suitability.weather.minima_store import minima_path, read_minima
from suitability.weather.record import Origin, Record, from_dataset, to_dataset
from suitability.weather.sampling import ToldBy, find_allowance
from suitability.weather.sources.daily import parse_minima
from suitability.weather.sources.meteostat import Addresses, read_addresses
from suitability.weather.stored import MAGIC, decode_record, encode_record
from suitability.weather.upkeep import check_store

from .conftest import NOW, quick_transport
from .server import Served, Server, StationRow, stations_database, year_rows

if TYPE_CHECKING:
    from collections.abc import Sequence

    from suitability.weather.manifest import YearStatus

pytestmark = pytest.mark.slow

DATA = Path(__file__).parent.parent / "data"
YEARS = (2020, 2021, 2022)
MISS_C = 0.7


def daily_file(rows: Sequence[tuple[str, str, str]]) -> bytes:
    """A packed daily file of date, minimum and source."""
    lines = ["year,month,day,temp,temp_source,tmin,tmin_source,tmax,tmax_source"]
    for date, minimum, source in rows:
        year, month, day = (int(part) for part in date.split("-"))
        lines.append(f"{year},{month},{day},9.9,{source},{minimum},{source},15.0,{source}")
    return gzip.compress(("\n".join(lines) + "\n").encode(), mtime=0)


@cache
def daily_rows(year: int) -> tuple[tuple[str, str, str], ...]:
    """Minima of the invented year by UTC days, a bit below the lowest hourly reading."""
    lowest: dict[str, float] = {}
    for at, temp, _ in year_rows(year):
        date = f"{at:%Y-%m-%d}"
        lowest[date] = min(lowest.get(date, 99.0), temp or 0.0)
    return tuple((date, f"{temp - MISS_C:.1f}", "ghcnd") for date, temp in lowest.items())


@pytest.fixture
def service(server: Server, tmp_path: Path) -> Server:
    """A station with three good years of hours and of daily minima."""
    row = StationRow(identifier="10637", latitude=50.0, longitude=8.6, elevation_m=112)
    server.files["/stations.db"] = Served(body=stations_database(tmp_path / "made.db", [row]))
    for year in YEARS:
        server.serve_year("10637", year, year_rows(year))
        server.files[f"/daily/{year}/10637.csv.gz"] = Served(body=daily_file(daily_rows(year)))
    return server


def ask(server: Server, folder: Path, **changes: Any) -> Record:
    """The record of a place beside the station."""
    values: dict[str, Any] = {
        "first_year": YEARS[0],
        "last_year": YEARS[-1],
        "folder": folder,
        "now": NOW,
        "transport": quick_transport(),
        "addresses": Addresses(
            hourly=server.hourly,
            stations=(server.stations,),
            daily=server.address + "/daily/{year}/{station}.csv.gz",
        ),
    }
    return record_for_place(50.0, 8.63, 112.0, **(values | changes))


# --- fetched, kept, and never in the way --------------------------------------------------------


def test_minima_come_with_the_hours_and_tell_what_readings_miss(
    service: Server, tmp_path: Path
) -> None:
    """The allowance is the served miss; the sentence says days, bounds and the day used."""
    record = ask(service, tmp_path / "store")
    assert record.minimum_allowance_c == MISS_C
    (note,) = [note for note in record.notes if "Hourly readings miss" in note]
    assert "miss 0.7 °C" in note
    assert "0.7 to 0.7 °C (1096 days compared; NOAA GHCN-Daily: day from 00:00 UTC" in note
    assert "NOAA GHCN-Daily" in record.attribution
    service.asked.clear()
    again = ask(service, tmp_path / "store")
    offline = ask(service, tmp_path / "store", offline=True)
    assert service.asked == []
    assert again.notes == record.notes
    assert offline.minimum_allowance_c == MISS_C


@pytest.mark.parametrize(
    "answer",
    [
        Served(status=404),
        Served(status=403),
        Served(status=500),
        Served(reset=True),
        Served(body=b""),
        Served(body=b"<html>no</html>"),
        Served(body=daily_file(daily_rows(2020))[:200]),
        Served(body=daily_file([("1999-01-01", "1.0", "ghcnd")])),
        Served(body=gzip.compress(b"a,b\n1,2\n")),
        Served(body=gzip.compress(b"year,month,day,tmin,tmin_source\n2020,13,1,1.0,ghcnd\n")),
        Served(body=gzip.compress(b"year,month,day,prcp,prcp_source\n")),
    ],
)
def test_without_good_daily_files_the_record_is_the_same(
    service: Server, tmp_path: Path, answer: Served
) -> None:
    """Whatever the daily files are, hours and notes stand; healthy again, the minima come."""
    good = {path: served for path, served in service.files.items() if "/daily/" in path}
    plain = ask(service, tmp_path / "plain", addresses=hourly_only(service))
    for path in good:
        service.files[path] = answer
    record = ask(service, tmp_path / "store")
    np.testing.assert_array_equal(record.temp_c, plain.temp_c)
    assert record.notes == plain.notes
    assert record.minimum_allowance_c is None
    service.files |= good
    later = ask(service, tmp_path / "store", now=NOW + timedelta(days=200))
    assert later.minimum_allowance_c == MISS_C


def hourly_only(server: Server) -> Addresses:
    """Addresses without daily files."""
    return Addresses(hourly=server.hourly, stations=(server.stations,))


def statuses(folder: Path) -> list[YearStatus]:
    """How each year of daily minima ended."""
    return [one.status for one in read_minima(folder, "10637")]


def test_an_absence_needs_another_daily_file_and_a_failure_waits_a_day(
    service: Server, tmp_path: Path
) -> None:
    """404 everywhere is a failure; with the control file there it is an absence, for 30 days."""
    folder = tmp_path / "store"
    for year in YEARS:
        del service.files[f"/daily/{year}/10637.csv.gz"]
    ask(service, folder)
    assert statuses(folder) == ["failed"] * 3
    service.asked.clear()
    ask(service, folder, now=NOW + timedelta(hours=20))
    assert [path for path in service.asked if "/daily/" in path] == []
    service.files["/daily/2021/10637.csv.gz"] = Served(body=daily_file(daily_rows(2021)))
    ask(service, folder, now=NOW + timedelta(days=2))
    assert statuses(folder) == ["absent-confirmed", "complete", "absent-confirmed"]
    service.asked.clear()
    ask(service, folder, now=NOW + timedelta(days=20))
    assert [path for path in service.asked if "/daily/" in path] == []


def test_a_failure_never_replaces_kept_minima(service: Server, tmp_path: Path) -> None:
    """Half a year later the service fails: the kept minima stand."""
    folder = tmp_path / "store"
    ask(service, folder)
    for year in YEARS:
        service.files[f"/daily/{year}/10637.csv.gz"] = Served(status=403)
    record = ask(service, folder, now=NOW + timedelta(days=190))
    assert record.minimum_allowance_c == MISS_C


def test_damaged_minima_are_set_aside_and_fetched_again(service: Server, tmp_path: Path) -> None:
    """One digit changed on the disk is noticed; the check of the store says so."""
    folder = tmp_path / "store"
    ask(service, folder)
    path = minima_path(folder, "10637")
    whole = path.read_text()
    path.write_text(whole.replace("-", "-9", 5))
    check = check_store(folder)
    assert any("minima.json of 10637" in fault for fault in check.faults)
    assert not path.exists()
    assert ask(service, folder).minimum_allowance_c == MISS_C
    path.write_text(path.read_text().replace('"ghcnd":[', '"ghcnd":[9', 1))
    assert ask(service, folder, offline=True).minimum_allowance_c is None
    assert ask(service, folder).minimum_allowance_c == MISS_C
    assert check_store(folder).faults == ()


def test_a_service_that_is_down_is_soon_left_alone(service: Server, tmp_path: Path) -> None:
    """Of twenty daily files that fail only the first few are asked for."""
    for year in range(2003, 2023):
        service.serve_year("10637", year, year_rows(year))
        service.files[f"/daily/{year}/10637.csv.gz"] = Served(status=403)
    ask(service, tmp_path / "store", first_year=2003)
    daily = [path for path in service.asked if "/daily/" in path]
    assert len(daily) <= 4 + quick_transport().patience.parallel


def test_redirected_hours_alone_ask_for_no_daily_file() -> None:
    """A mirror of the hourly files need not have daily ones; each can be named."""
    hourly = "http://127.0.0.1/h/{year}/{station}"
    assert read_addresses({"MS_HOURLY_ENDPOINT": hourly}).daily == ""
    both = {"MS_HOURLY_ENDPOINT": hourly, "MS_DAILY_ENDPOINT": hourly}
    assert read_addresses(both).daily == hourly
    assert read_addresses({}).daily.startswith("https://data.meteostat.net/daily/")
    with pytest.raises(SourceError, match="MS_DAILY_ENDPOINT"):
        read_addresses({"MS_DAILY_ENDPOINT": "http://127.0.0.1/"})


CHECK = """
import json, sys
from suitability.cli.main import main
try:
    main(["check", "--at", "50.0,8.63,112", "--years", "2020-2022", "--offline", "--json"])
except SystemExit as left:
    assert not left.code, left.code
print()
print(json.dumps(sorted({"meteostat", "pandas", "requests"} & set(sys.modules))))
"""


def check_offline(home: Path) -> tuple[Any, list[str]]:
    """What a check from the store says of its record, and which heavy packages it loaded."""
    done = subprocess.run(
        [sys.executable, "-W", "error", "-c", CHECK],
        env={**os.environ, "SUITABILITY_HOME": str(home)},
        capture_output=True,
        text=True,
        check=False,
        timeout=120,
    )
    assert done.returncode == 0, done.stderr
    document, _, loaded = done.stdout.rstrip().rpartition("\n")
    return json.loads(document)["record"], json.loads(loaded)


def forget_providers(folder: Path) -> None:
    """Leave the daily minima as a program kept them that did not keep who gave them."""
    before = [replace(one, providers=()) for one in read_minima(folder, "10637")]
    minima_path(folder, "10637").unlink()
    minima_store._write(folder, "10637", before)


def test_minima_of_an_earlier_program_learn_who_gave_them(service: Server, tmp_path: Path) -> None:
    """When they are due, although the server says that they have not changed."""
    for year in YEARS:
        path = f"/daily/{year}/10637.csv.gz"
        service.files[path] = Served(body=service.files[path].body, etag='"v1"')
    ask(service, tmp_path)
    forget_providers(tmp_path)
    ask(service, tmp_path, now=NOW + timedelta(days=200))
    found = {one.name for year in read_minima(tmp_path, "10637") for one in year.providers}
    assert found == {"NOAA GHCN-Daily"}
    assert [len(year.providers) for year in read_minima(tmp_path, "10637")] == [1, 1, 1]


def test_a_check_from_the_store_does_without_the_package(service: Server, tmp_path: Path) -> None:
    """
    What the package knows is stored; where an earlier program did not store it, it is asked.

    The answer is the same.
    """
    folder = tmp_path / "weather"
    fetched = ask(service, folder)
    record, loaded = check_offline(tmp_path)
    assert loaded == []
    assert (record["attribution"], record["licence"]) == (fetched.attribution, fetched.licence)
    assert "CC0 1.0 Universal (NOAA GHCN-Daily)" in record["licence"]
    path = folder / "stations" / "manifest.json"
    plain = json.loads(path.read_text())
    assert "isd_lite" in plain["observers"]
    assert "dwd_mosmix" not in plain.pop("observers")
    path.write_text(json.dumps(plain))
    forget_providers(folder)
    again, loaded = check_offline(tmp_path)
    assert "meteostat" in loaded
    assert again == record


# --- read ---------------------------------------------------------------------------------------


def test_only_observed_minima_are_read() -> None:
    """A minimum made from hours, a forecast, a blank source and impossible values are left out."""
    rows = [
        ("2021-01-01", "1.5", "ghcnd"),
        ("2021-01-02", "2.5", "isd_lite"),
        ("2021-01-03", "2.5", "dwd_mosmix"),
        ("2021-01-04", "2.5", ""),
        ("2021-01-05", "", ""),
        ("2021-01-06", "-99.9", "ghcnd"),
        ("2021-01-07", "-3.5", "dwd_daily"),
        ("2021-01-08", "4.0", "ghcnd"),
        ("2021-01-08", "4.0", "ghcnd"),
        ("2021-01-09", "4.0", "ghcnd"),
        ("2021-01-09", "5.0", "ghcnd"),
    ]
    found = parse_minima(daily_file(rows), 2021)
    assert found.keys() == {"ghcnd", "dwd_daily"}
    there = {day: value for day, value in enumerate(found["ghcnd"]) if value is not None}
    assert there == {0: 15, 7: 40}
    assert found["dwd_daily"][6] == -35
    assert len(found["ghcnd"]) == 365


# --- compared -----------------------------------------------------------------------------------


def fine_weather(days: int = 800, seed: int = 3) -> tuple[np.ndarray[Any, Any], int]:
    """Invented temperatures every 5 minutes, from 2020-01-01 00:00 UTC, and readings an hour."""
    chance = np.random.default_rng(seed)
    hours = np.arange(days * 288) / 12
    level = np.repeat(np.cumsum(chance.normal(0, 1.2, days)) * 0.6, 288)
    level = np.convolve(level, np.ones(144) / 144, mode="same")
    wobble = np.convolve(chance.normal(0, 1.0, hours.size), np.ones(6) / 6, mode="same")
    return level - 5 * np.cos(2 * np.pi * (hours - 5.0) / 24) + wobble, 12


def hourly_of(fine: np.ndarray[Any, Any], step_hours: int = 1) -> Record:
    """The record of those readings that stand on the hour."""
    temp_c = fine[::12].round(1)
    temp_c[np.arange(temp_c.size) % step_hours != 0] = np.nan
    missing = np.isnan(temp_c)
    return Record(
        start_hour=int(datetime(2020, 1, 1, tzinfo=UTC).timestamp()) // 3600,
        temp_c=temp_c,
        origin=np.where(missing, Origin.MISSING, Origin.OBSERVED).astype(np.uint8),
        step_hours=step_hours,
    )


def minima_of(fine: np.ndarray[Any, Any], start: int) -> DailyMinima:
    """True minima of days that begin at an hour (UTC) of their date, or of its eve."""
    first_day = int(np.datetime64("2020-01-01").astype(int))
    days = fine.size // 288
    minimum_c = np.full(days, np.nan)
    for day in range(1, days - 1):
        at = day * 288 + start * 12
        minimum_c[day] = fine[at : at + 288].min().round(1)
    return DailyMinima(first_day=first_day, minimum_c=minimum_c)


@pytest.mark.parametrize("start", [-17, -6, 0, 6, 8, 12])
def test_the_day_of_the_source_is_found(start: int) -> None:
    """Whenever the source's day begins, the miss is that of the true day."""
    fine, _ = fine_weather()
    miss = compare_minima(hourly_of(fine), {"ghcnd": minima_of(fine, start)})
    assert miss is not None
    assert miss.days == 798
    # Coldest at 05:00: cuts on the same side of it give the same minima; one is named.
    assert (dict(miss.starts)["ghcnd"] < 5) is (start < 5)
    lowest = [fine[d * 288 + start * 12 :][:288:12].min() for d in range(1, 799)]
    truth = np.array(lowest).round(1) - minima_of(fine, start).minimum_c[1:799]
    assert miss.mean_c == pytest.approx(float(truth.mean()), abs=0.03)
    assert miss.allowance_c == round(miss.mean_c, 1)
    assert miss.low_c >= 0.0


def test_three_hourly_readings_miss_more() -> None:
    """The allowance belongs to the record's own step."""
    fine, _ = fine_weather()
    hourly = compare_minima(hourly_of(fine), {"ghcnd": minima_of(fine, 0)})
    seldom = compare_minima(hourly_of(fine, 3), {"ghcnd": minima_of(fine, 0)})
    assert hourly is not None
    assert seldom is not None
    assert seldom.mean_c > hourly.mean_c + 0.1


def test_days_that_do_not_match_are_not_used() -> None:
    """Minima of another year's weather, or in °F: no allowance, and that is told."""
    fine, _ = fine_weather()
    other, _ = fine_weather(seed=4)
    record, true = hourly_of(fine), minima_of(fine, 0)
    for wrong in (
        minima_of(other, 0),
        replace(true, minimum_c=true.minimum_c * 1.8 + 32),
        replace(true, minimum_c=np.roll(true.minimum_c, 3)),
    ):
        miss = compare_minima(record, {"ghcnd": wrong})
        assert miss is not None
        assert (miss.days, miss.allowance_c, miss.unmatched) == (0, None, ("ghcnd",))
        assert "not used" in say_miss(miss)
    both = compare_minima(record, {"dwd_daily": true, "ghcnd": minima_of(other, 0)})
    assert both is not None
    assert both.days == 798
    assert "ghcnd agrees by no day" in say_miss(both)


def test_less_than_a_year_of_days_makes_no_allowance() -> None:
    """364 days are compared and told, and the usual 0.6 stays."""
    fine, _ = fine_weather()
    daily = minima_of(fine, 0)
    for days, made in ((364, False), (365, True)):
        short = replace(daily, minimum_c=daily.minimum_c[: days + 1])
        miss = compare_minima(hourly_of(fine), {"ghcnd": short})
        assert miss is not None
        assert miss.days == days
        assert (miss.allowance_c is not None) is made
    few = replace(daily, minimum_c=daily.minimum_c[:30])
    assert compare_minima(hourly_of(fine), {"ghcnd": few}) is None


def test_days_with_a_missing_reading_are_not_compared() -> None:
    """Hours that are missing or blended could hide the minimum."""
    fine, _ = fine_weather()
    record = hourly_of(fine)
    temp_c, origin = record.temp_c.copy(), record.origin.copy()
    temp_c[24 * 100 + 5] = np.nan
    origin[24 * 100 + 5] = Origin.MISSING
    origin[24 * 200 + 5] = Origin.BLENDED
    holed = replace(record, temp_c=temp_c, origin=origin)
    miss = compare_minima(holed, {"ghcnd": minima_of(fine, 0)})
    assert miss is not None
    assert miss.days == 796


@settings(max_examples=25, deadline=None)
@given(st.floats(0.0, 2.0).map(lambda value: round(value, 1)))
def test_lower_minima_never_make_a_smaller_allowance(lower_c: float) -> None:
    """A constant taken off the daily minima is added to the miss, and the day stays the same."""
    fine, _ = fine_weather(days=420)
    daily = minima_of(fine, 0)
    plain = compare_minima(hourly_of(fine), {"ghcnd": daily})
    below = replace(daily, minimum_c=daily.minimum_c - lower_c)
    lowered = compare_minima(hourly_of(fine), {"ghcnd": below})
    assert plain is not None
    assert lowered is not None
    assert lowered.mean_c == pytest.approx(plain.mean_c + lower_c, abs=1e-9)
    assert lowered.starts == plain.starts


def test_minima_tell_of_lost_hours_that_no_other_hour_reached() -> None:
    """A lost dawn takes the minimum of its day; a lost evening nothing, since the dawn was read."""
    fine, _ = fine_weather()
    record, minima = hourly_of(fine), {"ghcnd": minima_of(fine, 0)}
    temp_c = record.temp_c.copy()
    dawn, evening = slice(24 * 200, 24 * 200 + 10), slice(24 * 300 + 20, 24 * 300 + 24)
    temp_c[dawn] = temp_c[evening] = np.nan
    torn = replace(record, temp_c=temp_c)
    miss = compare_minima(torn, minima)
    assert miss is not None
    told_c = lost_minima(torn, minima, miss)
    assert told_c is not None
    day = np.flatnonzero(~np.isnan(told_c))
    assert day[np.isin(day // 24, (200, 300))].tolist() == list(range(24 * 200, 24 * 200 + 10))
    assert set(told_c[dawn].tolist()) == {float(minima["ghcnd"].minimum_c[200])}


def test_real_readings_hold_a_known_miss() -> None:
    """Hours of Lansing, of which every third counts as a reading: the miss is found exactly."""
    full = decode_record((DATA / "lansing.hourly").read_bytes())
    first_day = full.start_hour // 24 + 1
    begin = first_day * 24 - full.start_hour
    days = (full.temp_c.size - begin) // 24
    hours = full.temp_c[begin : begin + days * 24].reshape(days, 24)
    whole = ~np.isnan(hours).any(axis=1)
    true = np.where(whole, np.where(np.isnan(hours), 99.0, hours).min(axis=1), np.nan)
    kept = np.where((np.arange(full.temp_c.size) + full.start_hour) % 3 == 0, full.temp_c, np.nan)
    origin = np.where(np.isnan(kept), Origin.MISSING, Origin.OBSERVED).astype(np.uint8)
    record = replace(full, temp_c=kept, origin=origin, step_hours=3)
    miss = compare_minima(record, {"ghcnd": DailyMinima(first_day=first_day, minimum_c=true)})
    assert miss is not None
    expected = hours[whole][:, ::3].min(axis=1) - true[whole]
    assert dict(miss.starts) == {"ghcnd": 0}
    assert miss.days == expected.size
    assert miss.mean_c == pytest.approx(float(expected.mean()), abs=1e-9)
    assert miss.mean_c > 0.2


# --- carried along and shown ---------------------------------------------------------------------


def test_the_allowance_travels_with_the_record() -> None:
    """Stored form, labelled data set, and older stored files, which have none."""
    record = replace(hourly_of(fine_weather(days=40)[0]), minimum_allowance_c=0.9)
    data = encode_record(record)
    assert decode_record(data).minimum_allowance_c == 0.9
    assert from_dataset(to_dataset(record)).minimum_allowance_c == 0.9
    length = int.from_bytes(data[8:12], "big")
    header = json.loads(data[12 : 12 + length])
    del header["minimum_allowance_c"]
    text = json.dumps(header).encode()
    older = MAGIC + len(text).to_bytes(4, "big") + text + data[12 + length :]
    assert decode_record(older).minimum_allowance_c is None
    np.testing.assert_array_equal(decode_record(older).temp_c, record.temp_c)


def test_the_allowance_used_is_the_asked_one_else_the_records_else_the_usual() -> None:
    """0 may be asked for; with few days the usual 0.6 K."""
    record = hourly_of(fine_weather(days=40)[0])
    own = replace(record, minimum_allowance_c=0.9)
    assert find_allowance(record, None) == (0.6, ToldBy.USUAL)
    assert find_allowance(own, None) == (0.9, ToldBy.DAILY_MINIMA)
    assert find_allowance(own, 0.0) == (0.0, ToldBy.ASKED)
    none = replace(record, minimum_allowance_c=0.0)
    assert find_allowance(none, None) == (0.0, ToldBy.DAILY_MINIMA)


def test_fetch_and_show_tell_the_miss_of_the_station(
    service: Server, tmp_path: Path, monkeypatch: pytest.MonkeyPatch
) -> None:
    """In words, and in numbers with --json."""
    monkeypatch.setenv("SUITABILITY_HOME", str(tmp_path))
    monkeypatch.setenv("MS_HOURLY_ENDPOINT", service.hourly)
    monkeypatch.setenv("MS_DAILY_ENDPOINT", service.address + "/daily/{year}/{station}.csv.gz")
    monkeypatch.setenv("MS_STATIONS_DB_ENDPOINTS", json.dumps([service.stations]))
    command = ["fetch", "--at", "50.0,8.63", "--years", "2020-2022"]
    done = CliRunner().invoke(weather_app, command)
    assert done.exit_code == 0, done.output
    assert "Hourly readings miss 0.7 °C" in done.stderr
    assert (
        "Hourly readings miss 0.7 °C" in CliRunner().invoke(weather_app, ["show", "10637"]).stdout
    )
    shown = json.loads(CliRunner().invoke(weather_app, ["show", "10637", "--json"]).stdout)
    assert shown["daily_minima"] == {
        "days_compared": 1096,
        "mean_c": 0.7,
        "percentile_5_c": 0.7,
        "percentile_95_c": 0.7,
        "minimum_allowance_c": 0.7,
        "day_begins_utc": {"ghcnd": 0},
        "unmatched": [],
    }
