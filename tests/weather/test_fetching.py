"""A place's record from beginning to end: choice, store, service, and what is told."""

from __future__ import annotations

import json
import re
import subprocess
import sys
import textwrap
from dataclasses import dataclass, field, replace
from datetime import timedelta
from pathlib import Path
from typing import TYPE_CHECKING, Any

import jsonschema
import numpy as np
import pytest
from msgspec import structs
from typer.testing import CliRunner

from suitability.cli.terminal import progress_bar
from suitability.cli.weather import weather_app
from suitability.errors import PlaceError, SourceError, StoreError
from suitability.weather.fetching import record_for_place
from suitability.weather.manifest import YearEntry, YearStatus, is_due, say_years
from suitability.weather.sources.meteostat import Addresses
from suitability.weather.year_store import read_manifest, read_year

from .conftest import NOW, quick_transport
from .server import (
    Served,
    Server,
    StationRow,
    running_server,
    stations_database,
    year_file,
    year_rows,
)

if TYPE_CHECKING:
    from suitability.weather.record import Record

pytestmark = pytest.mark.slow

YEARS = (2018, 2019, 2020, 2021, 2022)
ROWS = [
    StationRow(identifier="10637", latitude=50.0, longitude=8.6, elevation_m=112, name="Near"),
    StationRow(identifier="10635", latitude=50.2, longitude=8.6, elevation_m=150, name="Next"),
]


@dataclass(kw_only=True)
class Setting:
    """A service, a store, and a question about a place beside station 10637."""

    server: Server
    folder: Path
    told: list[tuple[int, int, str]] = field(default_factory=list)

    def ask(self, **changes: Any) -> Record:
        """The record of the place."""
        values: dict[str, Any] = {
            "first_year": YEARS[0],
            "last_year": YEARS[-1],
            "folder": self.folder,
            "now": NOW,
            "transport": quick_transport(),
            "addresses": Addresses(hourly=self.server.hourly, stations=(self.server.stations,)),
            "progress": lambda done, total, words: self.told.append((done, total, words)),
        }
        return record_for_place(50.0, 8.63, 112.0, **(values | changes))

    def serve(self, station: str = "10637", years: tuple[int, ...] = YEARS, **how: Any) -> None:
        """Serve good years of a station."""
        for year in years:
            self.server.serve_year(station, year, year_rows(year, **how))


@pytest.fixture
def setting(server: Server, tmp_path: Path) -> Setting:
    """A healthy service with five years of one station."""
    database = stations_database(tmp_path / "made.db", ROWS)
    server.files["/stations.db"] = Served(body=database)
    healthy = Setting(server=server, folder=tmp_path / "store")
    healthy.serve()
    return healthy


def expected() -> list[float | None]:
    """Temperatures of the five years as served."""
    return [temp for year in YEARS for _, temp, _ in year_rows(year)]


def test_a_first_use_fetches_and_a_second_reads_the_store(setting: Setting) -> None:
    """The second time the same record comes without a single question."""
    record = setting.ask()
    np.testing.assert_array_equal(record.temp_c, expected())
    assert record.station is not None
    assert record.station.identifier == "10637"
    assert record.station.distance_km == pytest.approx(2.144, abs=0.01)
    assert record.source == "Meteostat, station 10637"
    assert "NOAA ISD Lite" in record.attribution
    assert record.notes == (
        "Station 10637 (Near), 2 km away, 0 m higher, 100 % of the hours observed.",
    )
    assert setting.told[0] == (0, 5, "fetching the list of stations")
    assert setting.told[1][2].startswith("fetching the list of stations, 0.")  # MB so far
    assert (0, 5, "10637: 0 kept") in setting.told
    assert setting.told[-1][:2] == (5, 5)
    asked = len(setting.server.asked)
    again = setting.ask()
    np.testing.assert_array_equal(again.temp_c, record.temp_c)
    assert again.notes == record.notes
    assert len(setting.server.asked) == asked
    assert setting.told[-1] == (5, 5, "10637: 5 kept")


def test_only_missing_years_are_fetched(setting: Setting) -> None:
    """A longer question asks only for what the store lacks."""
    setting.ask(first_year=2020)
    setting.server.asked.clear()
    np.testing.assert_array_equal(setting.ask().temp_c, expected())
    assert sorted(setting.server.asked) == [f"/hourly/{year}/10637.csv.gz" for year in (2018, 2019)]


def test_offline_before_anything_was_stored_is_one_sentence(setting: Setting) -> None:
    """What is missing, why, and what to do; no socket is opened."""
    with pytest.raises(SourceError, match=r"--offline forbids fetching.*--record") as caught:
        setting.ask(offline=True)
    assert "\n" not in str(caught.value)
    assert setting.server.asked == []


def test_a_damaged_manifest_is_told_offline_and_cured_by_fetching(setting: Setting) -> None:
    """Offline the error names it; online its years come anew, and the record says so."""
    setting.ask()
    (setting.folder / "hourly" / "10637" / "manifest.json").write_text("{")
    for _ in range(2):
        with pytest.raises(SourceError, match=r"manifest\.json of 10637 is damaged and was set as"):
            setting.ask(offline=True)
    record = setting.ask()
    np.testing.assert_array_equal(record.temp_c, expected())
    assert "its years count as never fetched" in " ".join(record.notes)
    assert "damaged" not in " ".join(setting.ask(offline=True).notes)


def test_offline_afterwards_works_and_tells_the_age(setting: Setting) -> None:
    """The stored years serve; what is not in the store is listed."""
    setting.ask()
    setting.server.asked.clear()
    record = setting.ask(offline=True, now=NOW + timedelta(days=100), first_year=2016)
    np.testing.assert_array_equal(record.temp_c, expected())
    assert setting.server.asked == []
    notes = " ".join(record.notes)
    assert "Offline: the record is as fetched on 2026-11-24." in notes
    assert "Not in the store: 2016-2017." in notes
    assert "The list of weather stations is 100 days old (used offline)." in notes


def test_a_network_that_is_down_is_told_and_heals(setting: Setting) -> None:
    """Down before: one sentence. Down after: the store serves with a note. Up again: renewed."""
    dead = Addresses(
        hourly="http://127.0.0.1:9/{year}/{station}", stations=("http://127.0.0.1:9/",)
    )
    with pytest.raises(SourceError, match="refused the connection") as caught:
        setting.ask(addresses=dead)
    assert "\n" not in str(caught.value)
    setting.ask()
    later = NOW + timedelta(days=200)
    record = setting.ask(addresses=dead, now=later, transport=quick_transport())
    np.testing.assert_array_equal(record.temp_c, expected())
    notes = " ".join(record.notes)
    kept = [note for note in record.notes if note.startswith("Kept as fetched on 2026-11-24: ")]
    named: set[int] = set()  # once four failed the fifth may not be asked for: another reason
    for note in kept:
        for first, last in re.findall(r"(\d{4})(?:-(\d{4}))?", note.split(": ")[1].split(" (")[0]):
            named |= set(range(int(first), int(last or first) + 1))
    assert named == set(YEARS)
    assert "refused the connection" in notes
    healed = setting.ask(now=later, transport=quick_transport())
    assert healed.notes == setting.ask(offline=True, now=later).notes[:1]
    manifest = read_manifest(setting.folder, "10637")
    assert manifest is not None
    assert {entry.fetched for entry in manifest.years} == {later}


def test_a_failed_year_is_an_error_until_it_heals(setting: Setting) -> None:
    """The good years are kept meanwhile, so that only the failed one is asked for again."""
    setting.server.serve_year("10637", 2020, Served(status=500))
    with pytest.raises(SourceError, match=r"\(2020: the server answered 500.*--allow-missing"):
        setting.ask()
    record = setting.ask(allow_missing=True)
    assert int(np.isnan(record.temp_c).sum()) == 8784
    assert "Left out, since they could not be fetched: 2020" in " ".join(record.notes)
    setting.serve(years=(2020,))
    setting.server.asked.clear()
    np.testing.assert_array_equal(setting.ask().temp_c, expected())
    assert setting.server.asked == ["/hourly/2020/10637.csv.gz"]


def test_absent_years_are_told_and_shorten_the_record(setting: Setting) -> None:
    """A station that began later is no error; the years before are named."""
    record = setting.ask(first_year=2010)
    np.testing.assert_array_equal(record.temp_c, expected())
    assert "The service has no hours of 2010-2017." in record.notes


def test_a_damaged_year_is_set_aside_and_fetched_again(setting: Setting) -> None:
    """Damage heals at the next use and is told; offline it is a gap that is told."""
    setting.ask()
    (path,) = (setting.folder / "hourly" / "10637").glob("2020-*.hours")
    path.write_bytes(b"torn")
    offline = setting.ask(offline=True)
    assert int(np.isnan(offline.temp_c).sum()) == 8784
    assert "damaged and was set aside" in " ".join(offline.notes)
    assert "Not in the store: 2020." in offline.notes
    np.testing.assert_array_equal(setting.ask().temp_c, expected())
    np.testing.assert_array_equal(setting.ask(offline=True).temp_c, expected())


def test_model_hours_never_enter_the_record_but_are_kept_apart(setting: Setting) -> None:
    """A year in which every third hour is observed is one third observed."""
    rows = [
        (at, temp, source if at.hour % 3 == 0 else "dwd_mosmix")
        for at, temp, source in year_rows(2021)
    ]
    setting.server.serve_year("10637", 2021, rows)
    record = setting.ask(first_year=2021, last_year=2021, station="10637")
    assert record.step_hours == 3
    assert int((~np.isnan(record.temp_c)).sum()) == 2920
    assert "5840 hours of weather models were left out." in record.notes
    assert "MOSMIX" not in record.attribution
    model = read_year(setting.folder, "10637", 2021, model=True)
    assert model is not None
    assert int((~np.isnan(model.temp_c)).sum()) == 5840
    assert "MOSMIX" in model.attribution


def test_a_station_with_few_observed_hours_gives_way_to_the_next(setting: Setting) -> None:
    """The nearest station holds forecasts only: the next one is taken, and the reason told."""
    setting.serve(source="metno_forecast")
    setting.serve(station="10635", mean_c=11.0)
    record = setting.ask()
    assert record.station is not None
    assert record.station.identifier == "10635"
    assert "10637 (Near) passed over: no observed hour in these years" in record.notes[0]
    assert setting.ask(offline=True).station == record.station


def test_gaps_are_filled_from_the_next_station_when_asked(setting: Setting) -> None:
    """A month without readings comes from the neighbour, at the level of the record, as blended."""
    rows = [row for row in year_rows(2020) if row[0].month != 5]
    setting.server.serve_year("10637", 2020, rows)
    setting.serve(station="10635", mean_c=14.0)
    plain = setting.ask()
    assert int(np.isnan(plain.temp_c).sum()) == 744
    filled = setting.ask(neighbours=1)
    np.testing.assert_allclose(np.asarray(filled.temp_c), np.array(expected(), float), atol=0.11)
    assert filled.hours_by_origin()["blended"] == 744
    assert int(filled.counted.sum()) == int(plain.counted.sum())
    assert "744 missing hours were blended from 10635" in " ".join(filled.notes)


def test_the_error_of_filling_is_told_for_hours_nights_and_minima(setting: Setting) -> None:
    """A neighbour 1 °C off in a wave that its level cannot follow: the told errors are those."""
    setting.server.serve_year("10637", 2020, [r for r in year_rows(2020) if r[0].month != 5])
    setting.serve(station="10635", mean_c=14.0)
    for year in YEARS:
        rows = year_rows(year, mean_c=14.0)
        waved = [
            (at, None if temp is None else round(temp + (1 if at.day % 2 else -1), 1), source)
            for at, temp, source in rows
        ]
        setting.server.serve_year("10635", year, waved)
    note = setting.ask(neighbours=1, quality=True).notes[-1]
    assert "night hours by 1.0 °C" in note
    assert "hours by 1.0 °C" in note
    assert "night minima by" in note
    assert "never counted" in note


def test_a_station_named_by_hand_is_filled_from_those_near_the_place(setting: Setting) -> None:
    """Its own hours stay as they are; the station itself is no neighbour of its own."""
    setting.server.serve_year("10637", 2020, [r for r in year_rows(2020) if r[0].month != 5])
    setting.serve(station="10635")
    filled = setting.ask(station="10637", neighbours=1)
    assert filled.hours_by_origin()["blended"] == 744
    assert "from 10635" in filled.notes[-1]


def test_fetch_brings_neighbours_and_tells_how_far_filling_is_off(
    setting: Setting, monkeypatch: pytest.MonkeyPatch
) -> None:
    """`weather fetch --neighbours 1` keeps both stations; the document lists the neighbour."""
    setting.server.serve_year("10637", 2020, [r for r in year_rows(2020) if r[0].month != 5])
    setting.serve(station="10635", mean_c=14.0)
    monkeypatch.setenv("SUITABILITY_HOME", str(setting.folder.parent))
    monkeypatch.setenv("MS_HOURLY_ENDPOINT", setting.server.hourly)
    monkeypatch.setenv("MS_STATIONS_DB_ENDPOINTS", json.dumps([setting.server.stations]))
    command = ["fetch", "--at", "50.0,8.63,112", "--years", "2018-2022", "--neighbours", "1"]
    done = CliRunner().invoke(weather_app, [*command, "--json"])
    assert done.exit_code == 0, done.output
    document = read_document("weather-fetch", done.stdout)
    assert document["station"]["identifier"] == "10637"
    assert [one["identifier"] for one in document["neighbours"]] == ["10635"]
    assert [year["status"] for year in document["neighbours"][0]["years"]] == ["complete"] * 5
    assert "744 missing hours were blended from 10635" in done.stderr
    assert "night minima by 0.0 °C" in done.stderr
    by_hand = ["fetch", "--station", "10637", "--years", "2018-2022", "--neighbours", "1"]
    shown = CliRunner().invoke(weather_app, by_hand).stdout
    assert "neighbour 10635 Next" in shown


def test_a_neighbour_that_fails_is_told_and_the_record_stands(setting: Setting) -> None:
    """Failing neighbours never fail the station; offline, kept ones fill."""
    setting.server.serve_year("10637", 2020, [r for r in year_rows(2020) if r[0].month != 5])
    for year in YEARS:
        setting.server.serve_year("10635", year, Served(status=403))
    record = setting.ask(neighbours=2)
    assert record.hours_by_origin()["blended"] == 0
    assert "Only 0 of 2 neighbours have observed hours" in record.notes[-1]
    setting.serve(station="10635")
    setting.ask(neighbours=1)
    setting.server.asked.clear()
    offline = setting.ask(neighbours=1, offline=True)
    assert setting.server.asked == []
    assert offline.hours_by_origin()["blended"] == 744


def test_impossible_hours_of_a_neighbour_fill_nothing(setting: Setting) -> None:
    """A spike of 40 °C in the neighbour is taken out before it can become a filled hour."""
    setting.server.serve_year("10637", 2020, [r for r in year_rows(2020) if r[0].month != 5])
    setting.serve(station="10635")
    rows = year_rows(2020)
    at = next(number for number, row in enumerate(rows) if (row[0].month, row[0].day) == (5, 15))
    rows[at] = (rows[at][0], (rows[at][1] or 0.0) + 40.0, rows[at][2])
    setting.server.serve_year("10635", 2020, rows)
    careful = setting.ask(neighbours=1, quality=True)
    assert careful.hours_by_origin()["blended"] == 743
    careless = setting.ask(neighbours=1, quality=False)
    assert careless.hours_by_origin()["blended"] == 744
    assert np.nanmax(careless.temp_c) > np.nanmax(careful.temp_c) + 20


def test_the_height_of_the_place_moves_the_record_only_when_asked(setting: Setting) -> None:
    """6.5 K/km over 200 m is 1.3 °C, by hand; else a note tells the difference."""
    setting.server.files["/stations.db"] = Served(
        body=stations_database(
            setting.folder.parent / "high.db", [replace(ROWS[0], elevation_m=312)]
        )
    )
    plain = setting.ask()
    np.testing.assert_array_equal(plain.temp_c, expected())
    assert "the place lies 200 m lower than the station" in plain.notes[-1]
    moved = setting.ask(lapse_k_per_km=6.5)
    np.testing.assert_allclose(moved.temp_c, np.array(expected(), float) + 1.3, atol=1e-9)
    assert int(moved.counted.sum()) == int(plain.counted.sum())
    assert "moved by +1.3 °C" in moved.notes[-1]
    assert "minima of valleys" in moved.notes[-1]


def test_a_station_of_unknown_height_is_left_as_measured(setting: Setting) -> None:
    """The list says 0 m, which is taken as unknown: nothing is moved, and that is told."""
    setting.server.files["/stations.db"] = Served(
        body=stations_database(setting.folder.parent / "flat.db", [replace(ROWS[0], elevation_m=0)])
    )
    record = setting.ask(lapse_k_per_km=6.5)
    np.testing.assert_array_equal(record.temp_c, expected())
    assert "height of the station is not known" in record.notes[-1]


def test_a_forecast_only_neighbourhood_is_one_sentence(setting: Setting) -> None:
    """No observed hour anywhere near: which stations were tried, and what to do."""
    setting.serve(source="metno_forecast")
    setting.serve(station="10635", source="metno_forecast")
    with pytest.raises(SourceError, match=r"No observed hour of 2018-2022.*10637.*10635"):
        setting.ask()


def test_no_station_within_the_radius_names_the_nearest(setting: Setting) -> None:
    """The nearest one is named with its distance."""
    with pytest.raises(PlaceError, match=r"within 1 km of 50,8.63; the nearest is 10637"):
        setting.ask(radius_km=1.0)


def test_a_store_that_cannot_be_written_goes_on_in_memory_with_a_note(setting: Setting) -> None:
    """The record is right all the same, and the sentence says that nothing was kept."""
    setting.ask(first_year=2022)
    (setting.folder / "lock").unlink()
    (setting.folder / "lock").mkdir()
    record = setting.ask()
    np.testing.assert_array_equal(record.temp_c, expected())
    told = [note for note in record.notes if note.startswith("What was fetched is not kept")]
    assert len(told) == 1
    assert "cannot write to the weather store" in told[0]


def test_with_nothing_stored_and_no_disk_the_work_goes_on_in_memory(setting: Setting) -> None:
    """A file in the place of the store's folder: list and hours come, and both are told."""
    setting.folder.write_text("")
    record = setting.ask(neighbours=1)
    np.testing.assert_array_equal(record.temp_c, expected())
    notes = " ".join(record.notes)
    assert "The list of weather stations is not kept: " in notes
    assert "What was fetched is not kept: " in notes
    assert notes.count("cannot write to the weather store") == 2
    assert setting.folder.read_text() == ""
    with pytest.raises(SourceError, match="--offline forbids fetching"):
        setting.ask(offline=True)


def test_the_running_year_is_asked_again_after_a_day(setting: Setting) -> None:
    """Within a day the kept partial year serves; after it, the new hours come."""
    for hours, days in ((0, 0), (12, 0.5), (36, 1.5)):
        now = NOW + timedelta(hours=hours)
        setting.server.serve_year("10637", 2026, year_rows(2026, until=now))
        record = setting.ask(first_year=2026, last_year=2026, now=now, station="10637")
        fetched = NOW if days < 1 else now
        last = np.flatnonzero(~np.isnan(record.temp_c))[-1] + record.start_hour
        assert last == int(fetched.timestamp()) // 3600 - 1


AHEAD = NOW + timedelta(days=900)


def test_a_year_fetched_with_the_clock_ahead_comes_right_again(setting: Setting) -> None:
    """It seemed over then: with the clock right it runs again, whatever tag its file has."""
    question: dict[str, Any] = {"first_year": 2026, "last_year": 2026, "station": "10637"}
    served = Served(body=year_file(year_rows(2026, until=NOW)), etag='"v1"')
    setting.server.serve_year("10637", 2026, served)
    setting.ask(now=AHEAD, **question)
    kept = read_manifest(setting.folder, "10637")
    assert kept is not None
    assert (kept.years[0].status, kept.years[0].over) == (YearStatus.COMPLETE, True)
    record = setting.ask(**question)
    kept = read_manifest(setting.folder, "10637")
    assert kept is not None
    assert (kept.years[0].status, kept.years[0].over) == (YearStatus.PARTIAL, False)
    assert kept.years[0].fetched == NOW
    assert kept.years[0].counts.expected == int(NOW.timestamp()) // 3600 - record.start_hour + 1
    told = (
        f"Years of the store are dated {AHEAD:%Y-%m-%d}, but this computer's clock says "
        f"{NOW:%Y-%m-%d}: it was wrong then or is now."
    )
    assert told in record.notes
    assert not [note for note in setting.ask(**question).notes if "clock" in note]


def test_hours_to_come_that_a_wrong_clock_kept_enter_no_record(setting: Setting) -> None:
    """Offline, where nothing can be mended, the record still ends now."""
    setting.server.serve_year("10637", 2026, year_rows(2026))
    question: dict[str, Any] = {"first_year": 2026, "last_year": 2026, "station": "10637"}
    setting.ask(now=AHEAD, **question)
    record = setting.ask(offline=True, **question)
    assert record.stop_hour == int(NOW.timestamp()) // 3600 + 1
    notes = " ".join(record.notes)
    assert "The list of weather stations is dated 2029-05-12, which is still to come" in notes


def test_a_clock_that_is_behind_loses_nothing(setting: Setting) -> None:
    """Years that seem to run are asked for, and the kept ones, which hold more, stand."""
    setting.ask()
    behind = NOW.replace(year=2021, month=3)
    setting.ask(now=behind, last_year=2021, allow_missing=True)
    np.testing.assert_array_equal(setting.ask().temp_c, expected())


def test_an_absence_of_a_running_year_is_asked_again_once_it_is_over() -> None:
    """In December the service had nothing; in January that says little."""
    running = structs.replace(entry(2025, YearStatus.ABSENT, 2), over=False)
    assert is_due(running, NOW)
    assert not is_due(entry(2025, YearStatus.ABSENT, 2), NOW)


def test_entries_of_programs_that_did_not_tell_are_read_by_their_time(setting: Setting) -> None:
    """A year fetched in the next one was over; one fetched in it was not."""
    setting.ask(first_year=2022)
    path = setting.folder / "hourly" / "10637" / "manifest.json"
    plain = json.loads(path.read_text())
    (year,) = plain["years"]
    del year["over"]
    for fetched, over in (("2023-01-01T00:00:00Z", True), ("2022-12-31T23:59:59Z", False)):
        year["fetched"] = fetched
        path.write_text(json.dumps(plain))
        kept = read_manifest(setting.folder, "10637")
        assert kept is not None
        assert kept.years[0].over is over


def entry(year: int, status: YearStatus, age_days: float) -> YearEntry:
    """An entry of some age."""
    return YearEntry(year=year, status=status, fetched=NOW - timedelta(days=age_days))


@pytest.mark.parametrize(
    ("kept", "due"),
    [
        (None, True),
        (entry(2020, YearStatus.FAILED, 0), True),
        (entry(2020, YearStatus.COMPLETE, 181), False),
        (entry(2020, YearStatus.COMPLETE, 182), True),
        (entry(2025, YearStatus.COMPLETE, 6), False),
        (entry(2025, YearStatus.COMPLETE, 7), True),
        (entry(2026, YearStatus.PARTIAL, 0.9), False),
        (entry(2026, YearStatus.PARTIAL, 1), True),
        (entry(2025, YearStatus.PARTIAL, 1), True),
        (entry(2020, YearStatus.ABSENT, 29), False),
        (entry(2020, YearStatus.ABSENT, 30), True),
        (entry(2026, YearStatus.ABSENT, 1), True),
        (structs.replace(entry(2020, YearStatus.COMPLETE, 1), failed_at=NOW), True),
        (structs.replace(entry(2020, YearStatus.COMPLETE, 1), over=False), True),
        (entry(2020, YearStatus.COMPLETE, -1), True),
        (entry(2026, YearStatus.PARTIAL, -0.1), True),
    ],
)
def test_when_a_year_is_asked_for_again(kept: YearEntry | None, due: bool) -> None:  # noqa: FBT001
    """Failures always; the running year daily, the last weekly, older ones half-yearly."""
    assert is_due(kept, NOW) is due


def test_years_in_words() -> None:
    """Runs are shortened, single years stay."""
    assert say_years([2003, 2001, 2002, 2005]) == "2001-2003, 2005"


FETCHER = """
    import sys
    from datetime import UTC, datetime
    from pathlib import Path
    from suitability.weather.fetching import record_for_place
    from suitability.weather.sources.meteostat import Addresses

    base, folder = sys.argv[1], Path(sys.argv[2])
    addresses = Addresses(hourly=base + "/hourly/{year}/{station}.csv.gz",
                          stations=(base + "/stations.db",))
    record = record_for_place(50.0, 8.63, 112.0, first_year=2018, last_year=2022, folder=folder,
                              now=datetime(2026, 11, 24, 12, tzinfo=UTC), addresses=addresses)
    print(repr(float(record.temp_c.sum())))
"""


def test_two_processes_fetch_the_same_station_at_once(
    setting: Setting, monkeypatch: pytest.MonkeyPatch
) -> None:
    """Both end with the full, right record, and the store is sound."""
    monkeypatch.setenv("no_proxy", "127.0.0.1")
    code = textwrap.dedent(FETCHER)
    command = [sys.executable, "-c", code, setting.server.address, str(setting.folder)]
    both = [subprocess.Popen(command, stdout=subprocess.PIPE, text=True) for _ in range(2)]
    sums = [float(process.communicate()[0]) for process in both]
    assert sums == [pytest.approx(sum(temp or 0.0 for temp in expected()))] * 2
    setting.server.asked.clear()
    np.testing.assert_array_equal(setting.ask().temp_c, expected())
    assert setting.server.asked == []


@pytest.fixture
def command(setting: Setting, monkeypatch: pytest.MonkeyPatch) -> CliRunner:
    """The command line, with its store and the service redirected by the environment."""
    monkeypatch.setenv("SUITABILITY_HOME", str(setting.folder))
    monkeypatch.setenv("MS_HOURLY_ENDPOINT", setting.server.hourly)
    monkeypatch.setenv("MS_STATIONS_DB_ENDPOINTS", json.dumps([setting.server.stations]))
    monkeypatch.setenv("no_proxy", "127.0.0.1")
    return CliRunner()


def read_document(name: str, text: str) -> dict[str, Any]:
    """A JSON document, held to its schema."""
    schema = Path(__file__).parents[2] / "docs" / "schema" / f"{name}.json"
    document: dict[str, Any] = json.loads(text)
    jsonschema.validate(document, json.loads(schema.read_text("utf-8")))
    return document


AT = ["--at", "50.0,8.63,112", "--years", "2018-2022"]


def test_the_commands_from_fetch_to_prune(setting: Setting, command: CliRunner) -> None:
    """Fetch, list, show, check, stations and prune work on one store."""
    assert "Nothing is stored yet" in command.invoke(weather_app, ["list"]).stdout
    fetched = command.invoke(weather_app, ["fetch", *AT], catch_exceptions=False)
    assert fetched.exit_code == 0
    assert fetched.stdout.count("complete") == 5
    assert "Station 10637 (Near)" in fetched.stderr
    listed = command.invoke(weather_app, ["list", "--json"], catch_exceptions=False)
    document = read_document("weather-list", listed.stdout)
    assert [year["hours_observed"] for year in document["stations"][0]["years"]] == [
        8760,
        8760,
        8784,
        8760,
        8760,
    ]
    shown = command.invoke(weather_app, ["show", "10637"], catch_exceptions=False)
    assert "############" in shown.stdout
    assert "Credit: Meteostat (https://meteostat.net); NOAA ISD Lite" in shown.stdout
    plain = command.invoke(weather_app, ["show", "10637", "--json"], catch_exceptions=False)
    shown_document = read_document("weather-show", plain.stdout)
    assert len(shown_document["coverage"]) == 12 * 6  # local time reaches into 2023
    near = command.invoke(weather_app, ["stations", *AT, "--offline"], catch_exceptions=False)
    assert near.stdout.splitlines()[2].startswith("*  10637")
    near = command.invoke(weather_app, ["stations", *AT, "--offline", "--json"])
    best = read_document("weather-stations", near.stdout)["stations"][0]
    assert (best["identifier"], best["chosen"]) == ("10637", True)
    assert command.invoke(weather_app, ["check"]).exit_code == 0
    (path,) = (setting.folder / "weather" / "hourly" / "10637").glob("2020-*.hours")
    path.write_bytes(b"torn")
    broken = command.invoke(weather_app, ["check"])
    assert broken.exit_code == 1
    assert "damaged and was set aside" in " ".join(broken.stdout.split())
    again = command.invoke(weather_app, ["check", "--json"])
    assert read_document("weather-check", again.stdout)["files"] > 0
    pruned = command.invoke(weather_app, ["prune", "--json"], catch_exceptions=False)
    assert read_document("weather-prune", pruned.stdout)["files"] == 1
    (path.parent / "manifest.json").write_text("{")
    command.invoke(weather_app, ["list"])
    listed = command.invoke(weather_app, ["list"], catch_exceptions=False)
    assert "suitability: manifest.json of 10637 is damaged and was set aside" in listed.stderr
    command.invoke(weather_app, ["fetch", *AT], catch_exceptions=False)
    assert command.invoke(weather_app, ["list"]).stderr == ""
    pruned = command.invoke(weather_app, ["prune", "--station", "10637"], catch_exceptions=False)
    assert "files deleted" in pruned.stdout
    assert "Nothing is stored yet" in command.invoke(weather_app, ["list"]).stdout


def test_a_file_once_imported_is_listed_and_shown(
    command: CliRunner, setting: Setting, tmp_path: Path
) -> None:
    """Importing reads the file, and the store has it by its name."""
    file = tmp_path / "porch.csv"
    rows = year_rows(2021)
    lines = [f"{at:%Y-%m-%d %H:%M},{temp}" for at, temp, _ in rows]
    file.write_text("\n".join(["time,temp", *lines]) + "\n")
    done = command.invoke(
        weather_app, ["import", str(file), "--at", "50,8.6,100"], catch_exceptions=False
    )
    assert done.stdout == "porch: 2021-01-01 to 2021-12-31, 8760 hours\n"
    assert "Imported: porch" in command.invoke(weather_app, ["list"]).stdout
    # In the standard time of the position, UTC+1, the first hour of 2021 is missing.
    assert "2021  +###########" in command.invoke(weather_app, ["show", "porch"]).stdout
    assert setting.server.asked == []


def test_fetch_with_a_store_that_cannot_be_written_is_one_sentence(
    command: CliRunner, setting: Setting
) -> None:
    """Fetching is for keeping: without a disk it stops."""
    (setting.folder).write_text("")
    result = command.invoke(weather_app, ["fetch", *AT])
    assert isinstance(result.exception, StoreError)
    assert "cannot write to the weather store" in str(result.exception)


def test_stations_are_listed_where_nothing_can_be_kept(
    command: CliRunner, setting: Setting
) -> None:
    """Listing is for looking: it says that the list is not kept, and shows it."""
    setting.folder.write_text("")
    done = command.invoke(weather_app, ["stations", *AT], catch_exceptions=False)
    assert done.exit_code == 0
    assert "10637" in done.stdout
    assert "The list of weather stations is not kept" in done.stderr


def test_no_bar_is_drawn_where_nobody_sees_it() -> None:
    """Standard error that is no terminal gets no bar."""
    with progress_bar() as tell:
        assert tell is None


def test_the_server_of_these_tests_listens_to_this_computer_alone() -> None:
    """Nothing in these tests reaches beyond 127.0.0.1."""
    with running_server() as server:
        assert server.address.startswith("http://127.0.0.1:")
