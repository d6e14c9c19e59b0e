"""The list of stations, fetched safely, and the choice among them."""

from __future__ import annotations

import sqlite3
import time
from contextlib import closing
from datetime import timedelta
from typing import TYPE_CHECKING

import pytest
from hypothesis import given
from hypothesis import strategies as st

from suitability.errors import PlaceError, SourceError, StoreError
from suitability.weather import station_database, station_list
from suitability.weather.record import Station
from suitability.weather.station_database import check_database, read_fewest_stations
from suitability.weather.station_list import ensure_stations, find_station
from suitability.weather.stations import (
    Candidate,
    choose_station,
    distance_km,
    find_candidates,
    none_near,
    seen_from,
)
from suitability.weather.upkeep import check_store

from .conftest import NOW, quick_transport
from .server import Served, StationRow, stations_database

if TYPE_CHECKING:
    from collections.abc import Mapping
    from datetime import datetime
    from pathlib import Path

    from suitability.weather.station_list import StationList

    from .server import Server

ROWS = [
    StationRow(identifier="10637", latitude=50.0, longitude=8.6, elevation_m=112),
    StationRow(identifier="HIGH1", latitude=50.1, longitude=8.5, elevation_m=800),
    StationRow(identifier="NODAT", latitude=50.0, longitude=8.55, provider="dwd_mosmix"),
    StationRow(identifier="ZERO0", latitude=50.0, longitude=8.4, elevation_m=0),
    StationRow(
        identifier="OLD01", latitude=50.0, longitude=8.62, start="1950-01-01", end="1999-12-31"
    ),
    StationRow(identifier="FAR01", latitude=52.0, longitude=8.6),
]


def ensure(
    folder: Path,
    server: Server,
    now: datetime = NOW,
    *,
    offline: bool = False,
    environment: Mapping[str, str] | None = None,
) -> StationList:
    """The list as a command would get it."""
    return ensure_stations(
        folder,
        endpoints=lambda: (server.stations,),
        now=now,
        transport=None if offline else quick_transport,
        fewest=lambda: read_fewest_stations(environment or {}),
    )


def path_of(stations: StationList) -> Path:
    """Where the list is kept."""
    assert not isinstance(stations.database, bytes)
    return stations.database


@pytest.fixture
def database(tmp_path: Path) -> bytes:
    """A good database."""
    return stations_database(tmp_path / "made.db", ROWS)


@pytest.fixture
def folder(tmp_path: Path) -> Path:
    """An empty store."""
    return tmp_path / "store"


def test_a_good_list_is_kept_and_not_asked_for_again(
    folder: Path, server: Server, database: bytes
) -> None:
    """Within a week the kept list serves; after it a new one is fetched."""
    server.files["/stations.db"] = Served(body=database)
    first = ensure(folder, server)
    assert path_of(first).read_bytes() == database
    assert ensure(folder, server, NOW + timedelta(days=6)).fetched == NOW
    assert len(server.asked) == 1
    later = NOW + timedelta(days=8)
    assert ensure(folder, server, later).fetched == later
    assert len(server.asked) == 2


def broken(database: bytes, tmp_path: Path, how: str) -> bytes:
    """A database broken in one way."""
    if how == "cut":
        return database[: len(database) // 2]
    if how == "torn inside":
        middle = len(database) // 2
        return database[:middle] + bytes(len(database) - middle)
    path = tmp_path / "other.db"
    if how == "few stations":
        return stations_database(path, ROWS, padding=3)
    path.write_bytes(database)
    connection = sqlite3.connect(path)
    connection.execute("DROP TABLE inventory")
    connection.commit()
    connection.close()
    return path.read_bytes()


@pytest.mark.parametrize(
    "fault",
    [
        ("cut", "damaged"),
        ("torn inside", "damaged"),
        ("few stations", "has only 9 stations"),
        ("no inventory", "has no inventory"),
        ("web page", "no database of stations"),
        ("empty", "sent nothing"),
        ("500", "answered 500"),
        ("404", "not there"),
    ],
)
def test_a_broken_list_never_replaces_a_good_one(
    folder: Path, server: Server, database: bytes, tmp_path: Path, fault: tuple[str, str]
) -> None:
    """First: one sentence. Afterwards: the old list is used and its age told; then it heals."""
    how, reason = fault
    bodies = {"web page": b"<html>hotel</html>" * 50, "empty": b""}
    if how in {"500", "404"}:
        server.files["/stations.db"] = Served(status=int(how))
    else:
        body = bodies[how] if how in bodies else broken(database, tmp_path, how)
        server.files["/stations.db"] = Served(body=body)
    bad = server.files["/stations.db"]
    with pytest.raises(SourceError, match=reason):
        ensure(folder, server)
    server.files["/stations.db"] = Served(body=database)
    good = ensure(folder, server)
    assert good.note == ""
    server.files["/stations.db"] = bad
    later = NOW + timedelta(days=30)
    old = ensure(folder, server, later)
    assert path_of(old).read_bytes() == database
    assert "30 days old" in old.note
    assert reason in old.note
    server.files["/stations.db"] = Served(body=database)
    assert ensure(folder, server, later).note == ""
    assert check_store(folder).faults == ()


def test_a_list_of_few_stations_is_allowed_by_a_setting(
    folder: Path, server: Server, tmp_path: Path
) -> None:
    """The refusal names the setting with the number that would do; so allowed, the list is kept."""
    few = stations_database(tmp_path / "few.db", ROWS, padding=3)
    server.files["/stations.db"] = Served(body=few)
    setting = "SUITABILITY_FEWEST_STATIONS"
    with pytest.raises(SourceError, match=f"only 9 stations, fewer than 1000; .*{setting}=9"):
        ensure(folder, server)
    with pytest.raises(SourceError, match="only 9 stations, fewer than 10;"):
        ensure(folder, server, environment={setting: "10"})
    kept = ensure(folder, server, environment={setting: "9"})
    assert find_station(folder, kept, "HIGH1").elevation_m == 800
    assert check_store(folder).faults == ()


@pytest.mark.parametrize("text", ["0", "-1", "few", "1e3", "1.5", "9" * 30, "١"])
def test_a_setting_that_is_no_number_of_stations_is_one_sentence(text: str) -> None:
    """It says what was found."""
    with pytest.raises(SourceError, match=f"SUITABILITY_FEWEST_STATIONS is {text!r}"):
        read_fewest_stations({"SUITABILITY_FEWEST_STATIONS": text})
    assert read_fewest_stations({}) == read_fewest_stations({"SUITABILITY_FEWEST_STATIONS": ""})


def test_a_second_address_is_tried(folder: Path, server: Server, database: bytes) -> None:
    """A mirror serves where the first address fails."""
    server.files["/mirror.db"] = Served(body=database)
    kept = ensure_stations(
        folder,
        endpoints=lambda: (server.stations, server.address + "/mirror.db"),
        now=NOW,
        transport=quick_transport,
    )
    assert path_of(kept).read_bytes() == database


def test_offline_without_a_list_is_one_sentence_and_with_an_old_one_works(
    folder: Path, server: Server, database: bytes
) -> None:
    """Offline opens no socket: the old list serves, and its age is told."""
    with pytest.raises(SourceError, match="--offline forbids fetching"):
        ensure(folder, server, offline=True)
    server.files["/stations.db"] = Served(body=database)
    ensure(folder, server)
    asked = len(server.asked)
    old = ensure(folder, server, NOW + timedelta(days=400), offline=True)
    assert "400 days old (used offline)" in old.note
    assert len(server.asked) == asked


def test_a_list_damaged_on_the_disk_is_set_aside_and_fetched_anew(
    folder: Path, server: Server, database: bytes
) -> None:
    """Damage of the same size shows when the list is read; a cut is seen at once."""
    server.files["/stations.db"] = Served(body=database)
    kept = ensure(folder, server)
    path_of(kept).write_bytes(bytes(len(database)))
    with pytest.raises(StoreError, match="set aside"):
        find_station(folder, ensure(folder, server), "10637")
    assert find_station(folder, ensure(folder, server), "10637").identifier == "10637"
    path_of(ensure(folder, server)).write_bytes(database[:100])
    assert find_station(folder, ensure(folder, server), "10637").identifier == "10637"


def test_a_station_is_found_by_its_identifier_alone(
    folder: Path, server: Server, database: bytes
) -> None:
    """Small letters serve; signs with a meaning in queries match nothing."""
    server.files["/stations.db"] = Served(body=database)
    stations = ensure(folder, server)
    assert find_station(folder, stations, "high1").elevation_m == 800
    assert find_station(folder, stations, "zero0").elevation_m is None
    for identifier in ("%", "_____", "' OR 1=1 --", "nowhere"):
        with pytest.raises(PlaceError, match="no weather station"):
            find_station(folder, stations, identifier)


def near(folder: Path, stations: StationList, radius_km: float = 100.0) -> tuple[Candidate, ...]:
    """Candidates for a place at 112 m beside station 10637."""
    return find_candidates(
        folder, stations, 50.0, 8.63, 112.0, first_year=2000, last_year=2025, radius_km=radius_km
    )


def test_candidates_come_by_distance_height_and_listed_years(
    folder: Path, server: Server, database: bytes
) -> None:
    """
    Weighed distances, by hand.

    10637: 2.1 km. ZERO0: 16.4 km, and 30 for its unknown height. OLD01: 0.7 km, and 60 for years
    it does not list. NODAT: 5.7 km, 12 m lower (3.6), and 60, since it lists a forecast only.
    HIGH1: 14.5 km and 688 m x 0.3 = 206.4. FAR01 is beyond the radius.
    """
    server.files["/stations.db"] = Served(body=database)
    found = near(folder, ensure(folder, server))
    assert [one.station.identifier for one in found] == [
        "10637",
        "ZERO0",
        "OLD01",
        "NODAT",
        "HIGH1",
    ]
    assert [round(one.penalty_km, 0) for one in found] == [2, 46, 64, 69, 221]
    assert found[2].inventory_years == (1950, 1999)
    assert found[3].inventory_years is None
    assert found[4].station.height_difference_m == 688


def test_no_station_near_names_the_nearest(folder: Path, server: Server, database: bytes) -> None:
    """The message says how far the next one is and how to take it."""
    server.files["/stations.db"] = Served(body=database)
    stations = ensure(folder, server)
    assert near(folder, stations, radius_km=1.0) != ()
    assert near(folder, stations, radius_km=0.1) == ()
    error = none_near(folder, stations, 53.0, 8.6, 50.0)
    assert "the nearest is FAR01 (Invented), 111 km away" in str(error)
    assert "--station FAR01" in str(error)


def test_stations_across_the_date_line_are_near(
    tmp_path: Path, folder: Path, server: Server
) -> None:
    """A place at 179.9° E has a neighbour at 179.9° W, 22 km away at the equator."""
    rows = [StationRow(identifier="FIJI1", latitude=0.0, longitude=-179.9)]
    server.files["/stations.db"] = Served(body=stations_database(tmp_path / "d.db", rows))
    found = find_candidates(
        folder,
        ensure(folder, server),
        0.0,
        179.9,
        None,
        first_year=2000,
        last_year=2020,
        radius_km=50,
    )
    assert [round(one.station.distance_km or 0, 1) for one in found] == [22.2]


def test_a_list_that_broke_off_goes_on_in_the_next_run(
    folder: Path, server: Server, tmp_path: Path
) -> None:
    """On a bad line the list comes in parts; the kept part is asked for no more, and then goes."""
    database = stations_database(tmp_path / "large.db", ROWS, padding=5000)
    server.files["/stations.db"] = Served(body=database, cut=True, etag='"v1"')
    with pytest.raises(SourceError, match="bytes came"):
        ensure(folder, server)
    (part,) = folder.rglob("*.part")
    kept = len(part.read_bytes().partition(b"\n")[2])
    assert 0.5 * len(database) < kept < len(database)
    server.headers.clear()
    server.files["/stations.db"] = Served(body=database, etag='"v1"')
    assert path_of(ensure(folder, server)).read_bytes() == database
    assert server.headers[0]["Range"] == f"bytes={kept}-"
    assert not list(folder.rglob("*.part"))


@pytest.mark.parametrize("torn", [b"", b"{", b"{}\n", b'{"address": "x"}\nabc', b"\xff\n"])
def test_a_torn_part_of_a_list_is_none(
    folder: Path, server: Server, database: bytes, torn: bytes
) -> None:
    """What does not say what it is, or of another address, is not gone on from."""
    (folder / "stations").mkdir(parents=True)
    (folder / "stations" / ".list.part").write_bytes(torn)
    server.files["/stations.db"] = Served(body=database, etag='"v1"')
    assert path_of(ensure(folder, server)).read_bytes() == database
    assert "Range" not in server.headers[0]


def changed(database: bytes, tmp_path: Path, *statements: str) -> bytes:
    """The database after some statements."""
    path = tmp_path / "changed.db"
    path.write_bytes(database)
    with closing(sqlite3.connect(path)) as connection:
        for statement in statements:
            connection.execute(statement)
        connection.commit()
    return path.read_bytes()


ODD = (
    "UPDATE stations SET latitude = 'north' WHERE id = 'OLD01'",
    "UPDATE stations SET longitude = NULL WHERE id = 'NODAT'",
    "UPDATE stations SET id = '../../x' WHERE id = 'ZERO0'",
    "UPDATE stations SET elevation = 'high' WHERE id = 'HIGH1'",
    "UPDATE names SET name = CAST(x'fffe' AS TEXT) WHERE station = 'HIGH1'",
    "INSERT INTO names VALUES ('HIGH1', 'en', 'Doubled')",
    "UPDATE inventory SET start = 'long ago' WHERE station = 'HIGH1'",
    "INSERT INTO stations VALUES (NULL, 'XX', NULL, 50.0, 8.6, 100, 'UTC')",
    "INSERT INTO stations VALUES ('POLE1', 'XX', NULL, 90.5, 8.6, 100, 'UTC')",
    "INSERT INTO stations VALUES ('ENDS1', 'XX', NULL, 50.0, 9e999, 100, 'UTC')",
    "INSERT INTO stations VALUES (x'00ff', 'XX', NULL, 50.0, 8.6, 100, 'UTC')",
)


def test_odd_rows_of_the_list_are_passed_over_counted_and_told(
    folder: Path, server: Server, database: bytes, tmp_path: Path
) -> None:
    """One bad row stops no answer: what cannot be a station is left out, what is odd is unknown."""
    body = changed(database, tmp_path, *ODD)
    server.files["/stations.db"] = Served(body=body)
    stations = ensure(folder, server)
    assert stations.note == "7 rows of the list of weather stations are odd and were passed over."
    found = near(folder, stations)
    assert [one.station.identifier for one in found] == ["10637", "HIGH1"]
    assert found[1].station.elevation_m is None
    assert found[1].inventory_years is None
    for identifier in ("OLD01", "../../x"):
        with pytest.raises(PlaceError):
            find_station(folder, stations, identifier)
    old = ensure(folder, server, NOW + timedelta(days=9), offline=True)
    assert "9 days old" in old.note
    assert "7 rows" in old.note


def test_a_list_of_odd_rows_alone_is_one_sentence(
    folder: Path, server: Server, database: bytes, tmp_path: Path
) -> None:
    """There is then no nearest station to name."""
    server.files["/stations.db"] = Served(
        body=changed(database, tmp_path, "UPDATE stations SET latitude = 'north'")
    )
    stations = ensure(folder, server)
    assert "none that can be used" in str(none_near(folder, stations, 50.0, 8.6, 10.0))


VIEW = "CREATE VIEW names AS SELECT id AS station, 'en' AS language, 'x' AS name FROM stations"
TRIGGER = "CREATE TRIGGER t AFTER INSERT ON stations BEGIN DELETE FROM names; END"
VIRTUAL = "CREATE VIRTUAL TABLE extra USING fts5(a)"


@pytest.mark.parametrize("fault", ["a view (names)", "a trigger (t)", "a virtual table (extra)"])
def test_a_list_that_could_do_more_than_hold_rows_is_refused(
    folder: Path, server: Server, database: bytes, fault: str
) -> None:
    """Tables and their indexes are all that a list of stations needs."""
    statements = {"view": ("DROP TABLE names", VIEW), "trigger": (TRIGGER,), "virtual": (VIRTUAL,)}
    body = changed(database, folder.parent, *statements[fault.split()[1]])
    server.files["/stations.db"] = Served(body=body)
    with pytest.raises(SourceError) as caught:
        ensure(folder, server)
    assert f"holds {fault}" in str(caught.value)


def test_a_search_without_end_is_stopped_and_the_list_kept(
    folder: Path, server: Server, database: bytes, monkeypatch: pytest.MonkeyPatch
) -> None:
    """Time is limited; a slow search is no damage."""
    server.files["/stations.db"] = Served(body=database)
    stations = ensure(folder, server)
    monkeypatch.setattr(station_database, "LONGEST_QUERY_S", 0.05)
    endless = (
        "WITH RECURSIVE n(i) AS (SELECT 1 UNION ALL SELECT i + 1 FROM n) SELECT count(*) FROM n"
    )
    begin = time.monotonic()
    with pytest.raises(StoreError, match="took over"):
        station_list.query_stations(folder, stations, endless, ())
    assert time.monotonic() - begin < 5.0
    assert path_of(stations).exists()


def candidate(identifier: str, away_km: float, above_m: float | None = 0.0) -> Candidate:
    """A candidate that lists all years."""
    station = Station(
        identifier=identifier,
        name=identifier,
        latitude=0.0,
        longitude=0.0,
        elevation_m=None,
        distance_km=away_km,
        height_difference_m=above_m,
    )
    return Candidate(station=station, inventory_years=(1900, 2100), listed_share=1.0)


def test_observed_hours_decide_over_the_inventory() -> None:
    """A near station with few observed hours stands behind a farther one with all."""
    table = choose_station(
        (candidate("NEAR", 5), candidate("NEXT", 20)), {"NEAR": 0.3, "NEXT": 0.98}
    )
    assert [(one.station.identifier, one.chosen) for one in table] == [
        ("NEXT", True),
        ("NEAR", False),
    ]
    assert table[1].reason == "fewer observed hours"


def test_what_was_not_fetched_is_never_chosen() -> None:
    """Only stations with an observed hour can be taken."""
    both = (candidate("A", 5), candidate("B", 20))
    assert not any(one.chosen for one in choose_station(both, {}))
    assert not any(one.chosen for one in choose_station(both, {"A": 0.0}))
    table = choose_station(both, {"B": 0.9})
    assert [one.station.identifier for one in table if one.chosen] == ["B"]


def test_the_reason_is_what_weighs_most() -> None:
    """A mountain station is passed over for its height, a far one for its distance."""
    three = (candidate("A", 5), candidate("HIGH", 6, 900), candidate("FAR", 60))
    table = choose_station(three, {"A": 1.0, "HIGH": 1.0, "FAR": 1.0})
    reasons = {one.station.identifier: one.reason for one in table}
    assert reasons == {
        "A": "least weighed distance",
        "HIGH": "more unlike in height",
        "FAR": "farther away",
    }


@given(st.floats(-90, 90), st.floats(-180, 180), st.floats(-90, 90), st.floats(-180, 180))
def test_distance_is_symmetric_and_at_most_half_the_round(
    latitude: float, longitude: float, other_latitude: float, other_longitude: float
) -> None:
    """There and back are the same, zero to itself, and nothing is farther than the antipode."""
    there = distance_km(latitude, longitude, other_latitude, other_longitude)
    back = distance_km(other_latitude, other_longitude, latitude, longitude)
    assert there == pytest.approx(back, abs=1e-6)
    assert 0 <= there <= 20015.1
    assert distance_km(latitude, longitude, latitude, longitude) == 0


def test_height_is_counted_from_the_place_up() -> None:
    """A station above the place has a positive difference; an unknown height stays unknown."""
    station = Station(identifier="A", name="A", latitude=0, longitude=0, elevation_m=300)
    assert seen_from(station, 0, 0, 100).height_difference_m == 200
    assert seen_from(station, 0, 0, None).height_difference_m is None


def test_a_sound_database_has_no_fault(tmp_path: Path, database: bytes) -> None:
    """The check passes what it should, and names a file that is none."""
    path = tmp_path / "good.db"
    path.write_bytes(database)
    assert check_database(path) == ""
    path.write_bytes(b"SQLite format 3\x00" + bytes(100))
    assert check_database(path) != ""
