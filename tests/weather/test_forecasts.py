"""Forecasts read, kept as they were given, and never among observed hours."""

from __future__ import annotations

from datetime import UTC, datetime, timedelta
from typing import TYPE_CHECKING

import numpy as np
import pytest
from msgspec.structs import replace

from suitability.errors import RecordError
from suitability.units import TemperatureUnit
from suitability.weather import forecasts
from suitability.weather.forecasts import (
    Forecast,
    keep_forecast,
    read_forecast_file,
    read_kept_forecasts,
    read_station_forecast,
)
from suitability.weather.manifest import StationManifest, YearCounts, YearEntry, YearStatus
from suitability.weather.record import Origin, Station, hour_of_datetime
from suitability.weather.year_store import keep_year, read_year

if TYPE_CHECKING:
    from pathlib import Path

    from tests.conftest import Hourly

ISSUED = datetime(2024, 1, 8, 12, tzinfo=UTC)
STATION = Station(identifier="TEST1", name="Test", latitude=50.0, longitude=0.0, elevation_m=10.0)


def write(path: Path, hours: int, step: int = 1, head: str = "time,temp,prcp") -> Path:
    rows = [
        f"{ISSUED + timedelta(hours=hour):%Y-%m-%dT%H:%M},{5 + hour % 24 / 10},0.2"
        for hour in range(0, hours, step)
    ]
    path.write_text("\n".join([head, *rows]), "utf-8")
    return path


def read(path: Path, unit: TemperatureUnit | None = None) -> Forecast:
    return read_forecast_file(path, latitude=50.0, longitude=0.0, unit=unit)


def test_a_file_is_a_forecast_from_its_first_hour_on(tmp_path: Path) -> None:
    """Three-hourly ones too; every hour with a value is a forecast's and none observed."""
    found = read(write(tmp_path / "f.csv", 72, 3))
    assert found.issued == hour_of_datetime(ISSUED)
    assert found.hours.temp_c.size == 70
    assert set(found.hours.origin.tolist()) == {Origin.FORECAST, Origin.MISSING}
    assert found.hours.prcp_mm is not None
    assert not found.hours.counted.any()


def test_fahrenheit_is_read_when_it_is_said(tmp_path: Path) -> None:
    path = tmp_path / "f.csv"
    path.write_text("time,temp\n2024-01-08T12:00,50\n2024-01-08T13:00,41\n", "utf-8")
    assert read(path, TemperatureUnit.F).hours.temp_c.tolist() == [10.0, 5.0]


@pytest.mark.parametrize(
    ("text", "told"),
    [
        ("time;temp\n", "semicolons"),
        ("time,temp\n2024-01-08T12:00,five\n", "line 2"),
        ("time,temp\n2024-01-08T12:00,999\n", "line 2"),
        ("", "empty"),
    ],
)
def test_a_file_that_cannot_be_used_is_told(tmp_path: Path, text: str, told: str) -> None:
    path = tmp_path / "f.csv"
    path.write_text(text, "utf-8")
    with pytest.raises(RecordError, match=told):
        read(path)


def test_a_year_of_hours_is_no_forecast(tmp_path: Path) -> None:
    with pytest.raises(RecordError, match="at most 16 days"):
        read(write(tmp_path / "f.csv", 24 * 20))


def test_forecasts_are_kept_once_an_hour_and_the_oldest_give_way(
    tmp_path: Path, monkeypatch: pytest.MonkeyPatch
) -> None:
    """They come back as they were, oldest first; a damaged one is passed over."""
    monkeypatch.setattr(forecasts, "MOST_KEPT", 3)
    found = read(write(tmp_path / "f.csv", 48))
    for days in (0, 2, 1, 1, 3):
        hours = replace(found.hours, start_hour=found.issued + 24 * days)
        keep_forecast(tmp_path, "there", Forecast(issued=hours.start_hour, hours=hours))
    kept = read_kept_forecasts(tmp_path, "there", 0, found.issued + 72)
    assert [(one.issued - found.issued) // 24 for one in kept] == [1, 2]
    np.testing.assert_array_equal(kept[0].hours.temp_c, found.hours.temp_c)
    (tmp_path / "forecasts" / "there" / "2024-01-09T12.forecast").write_bytes(b"torn")
    (tmp_path / "forecasts" / "there" / "notes.forecast").write_bytes(b"")
    kept = read_kept_forecasts(tmp_path, "there", 0, found.issued + 72)
    assert [(one.issued - found.issued) // 24 for one in kept] == [2]
    assert read_kept_forecasts(tmp_path, "elsewhere", 0, found.issued) == []


def keep(folder: Path, hourly: Hourly, *, ahead: int, changed: str = "") -> None:
    """A year observed up to its fetching, with so many hours of a model beside it and ahead."""
    year = hourly(np.full(8784, 3.0), start="2024-01-01T00")
    now = hour_of_datetime(ISSUED) - year.start_hour
    origin = np.zeros(8784, np.uint8)
    origin[now - 72 : now + 1] = Origin.MODEL
    origin[now + 1 : now + 1 + ahead] = Origin.FORECAST
    model = replace(year, temp_c=np.where(origin > 0, 4.0, np.nan), origin=origin)
    observed = replace(
        year, temp_c=year.temp_c[: now + 1], origin=year.origin[: now + 1], station=STATION
    )
    counts = YearCounts(expected=now + 1, observed=now + 1, model=73, forecast=ahead)
    entry = YearEntry(
        year=2024,
        status=YearStatus.PARTIAL,
        fetched=ISSUED,
        address="here",
        counts=counts,
        last_modified=changed,
    )
    keep_year(folder, STATION, entry, observed, model)


def test_a_station_has_the_forecast_of_its_running_year(tmp_path: Path, hourly: Hourly) -> None:
    """As old as its fetching; two days of the model before that are taken along, and no more."""
    keep(tmp_path, hourly, ahead=100)
    found = read_station_forecast(tmp_path, "TEST1", ISSUED + timedelta(hours=3))
    assert found is not None
    assert found.issued == hour_of_datetime(ISSUED)
    assert (found.hours.start_hour, found.hours.stop_hour) == (
        found.issued - 48,
        found.issued + 101,
    )
    assert set(found.hours.origin.tolist()) == {Origin.FORECAST}
    observed = read_year(tmp_path, "TEST1", 2024)
    assert observed is not None
    assert set(observed.origin.tolist()) == {Origin.OBSERVED}
    assert observed.stop_hour == found.issued + 1


@pytest.mark.parametrize(
    ("changed", "hours"),
    [("Mon, 08 Jan 2024 03:10:00 GMT", 9), ("Tue, 09 Jan 2024 03:10:00 GMT", 0), ("lately", 0)],
)
def test_a_file_that_the_service_no_longer_changes_grows_old(
    tmp_path: Path, hourly: Hourly, changed: str, hours: int
) -> None:
    """However often it is fetched; a clock that is ahead, or no date, makes it no younger."""
    keep(tmp_path, hourly, ahead=100, changed=changed)
    found = read_station_forecast(tmp_path, "TEST1", ISSUED)
    assert found is not None
    assert hour_of_datetime(ISSUED) - found.issued == hours


def test_model_hours_of_the_past_alone_are_no_forecast(tmp_path: Path, hourly: Hourly) -> None:
    keep(tmp_path, hourly, ahead=0)
    assert read_station_forecast(tmp_path, "TEST1", ISSUED) is None
    assert read_station_forecast(tmp_path, "NONE1", ISSUED) is None


@pytest.mark.parametrize(
    ("now", "fetched", "due"),
    [
        ("2026-12-28T15", {2026: "2026-12-28T13"}, []),
        ("2026-12-28T15", {2026: "2026-12-28T09", 2025: "2026-03-01T00"}, [2026]),
        ("2027-01-01T15", {2026: "2026-12-31T15"}, [2026, 2027]),
        ("2027-01-02T15", {2026: "2027-01-01T15", 2027: "2027-01-01T15"}, [2026, 2027]),
        ("2027-01-05T15", {2026: "2027-01-04T15", 2027: "2027-01-04T15"}, [2027]),
        ("2027-01-05T15", {2024: "2025-06-01T00"}, []),
    ],
)
def test_a_new_year_is_fetched_with_the_end_of_the_last(
    now: str, fetched: dict[int, str], due: list[int]
) -> None:
    """Else there would be no forecast from 1 January on; history alone asks for nothing."""

    def moment(text: str) -> datetime:
        return datetime.fromisoformat(f"{text}:00").replace(tzinfo=UTC)

    counts = YearCounts(expected=0, observed=0, model=0, forecast=0)
    years = tuple(
        YearEntry(
            year=year,
            status=YearStatus.PARTIAL,
            fetched=moment(text),
            address="here",
            counts=counts,
        )
        for year, text in sorted(fetched.items())
    )
    manifest = StationManifest(station=STATION, years=years)
    assert forecasts._years_due(manifest, moment(now)) == due
