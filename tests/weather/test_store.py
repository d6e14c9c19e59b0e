"""The local store: whole or not at all, verified, shared, and honest about the disk."""

from __future__ import annotations

import errno
import json
import os
import signal
import subprocess
import sys
import textwrap
import threading
import time
import zlib
from datetime import UTC, datetime, timedelta
from hashlib import sha256
from pathlib import Path
from typing import TYPE_CHECKING, Any

import numpy as np
import pytest
from hypothesis import given, settings
from hypothesis import strategies as st
from msgspec import to_builtins
from msgspec.structs import replace

from suitability.errors import StoreError
from suitability.weather import disk, minima_store
from suitability.weather.manifest import (
    StationManifest,
    YearCounts,
    YearEntry,
    YearStatus,
    manifest_from_json,
    manifest_to_json,
)
from suitability.weather.minima import DailyYear
from suitability.weather.record import Origin, Record, Station, hour_of_datetime
from suitability.weather.station_list import ensure_stations
from suitability.weather.store import (
    ImportedPlace,
    default_store_folder,
    import_record,
    list_imported,
    read_imported,
)
from suitability.weather.stored import MAGIC, decode_record, encode_record
from suitability.weather.upkeep import check_store, prune_store
from suitability.weather.year_store import (
    confirm_year,
    keep_year,
    list_stations,
    read_kept_station,
    read_manifest,
    read_year,
)

from .conftest import NOW, STATION

if TYPE_CHECKING:
    from collections.abc import Callable

MINIMA_2020: dict[str, Any] = {
    "year": 2020,
    "status": YearStatus.COMPLETE,
    "fetched": NOW,
    "tenths": {},
}
PLACE = ImportedPlace(name="Porch", latitude=50.0, longitude=8.0, elevation_m=100.0)


def small_record(year: int = 2020, temp_c: float = 10.0, hours: int = 48) -> Record:
    """Some hours of one temperature."""
    return Record(
        start_hour=hour_of_datetime(datetime(year, 1, 1, tzinfo=UTC)),
        temp_c=np.full(hours, temp_c),
        origin=np.full(hours, Origin.OBSERVED, np.uint8),
        station=STATION,
    )


def entry_of(
    year: int = 2020, status: YearStatus = YearStatus.COMPLETE, observed: int = 48
) -> YearEntry:
    """An entry with the counts of `small_record`."""
    counts = YearCounts(expected=8784, observed=observed, sources=(("isd_lite", observed),))
    return YearEntry(year=year, status=status, fetched=NOW, address="http://a/", counts=counts)


def keep(folder: Path, year: int = 2020, temp_c: float = 10.0) -> YearEntry:
    """Keep a small year."""
    return keep_year(folder, STATION, entry_of(year), small_record(year, temp_c))


def kept_file(folder: Path, year: int = 2020) -> Path:
    """The file of a kept year."""
    (path,) = (folder / "hourly" / "10637").glob(f"{year}-*.hours")
    return path


def test_a_kept_year_reads_back_value_for_value(tmp_path: Path) -> None:
    """Temperatures, gaps, origins and station come back as they were given."""
    record = small_record()
    record.temp_c[3] = np.nan
    record.origin[3] = Origin.MISSING
    model = replace(small_record(), origin=np.full(48, Origin.MODEL, np.uint8))
    entry = keep_year(tmp_path, STATION, entry_of(), record, model)
    back, model_back = (read_year(tmp_path, "10637", 2020, model=which) for which in (False, True))
    assert back is not None
    np.testing.assert_array_equal(back.temp_c, record.temp_c)
    np.testing.assert_array_equal(back.origin, record.origin)
    assert back.station == STATION
    assert model_back is not None
    assert set(model_back.origin.tolist()) == {int(Origin.MODEL)}
    manifest = read_manifest(tmp_path, "10637")
    assert manifest == StationManifest(station=STATION, years=(entry,))


def test_nothing_kept_is_none_not_an_error(tmp_path: Path) -> None:
    """An empty or absent folder simply holds nothing."""
    assert read_manifest(tmp_path / "none", "10637") is None
    assert read_year(tmp_path / "none", "10637", 2020) is None
    assert list_stations(tmp_path / "none") == ()
    assert list_imported(tmp_path / "none") == ()
    assert check_store(tmp_path / "none").files == 0


@given(
    status=st.sampled_from(YearStatus),
    hours=st.integers(0, 8784),
    medians=st.lists(st.none() | st.floats(-50, 50), min_size=12, max_size=12),
    name=st.text(max_size=20),
)
@settings(max_examples=40, deadline=None)
def test_a_manifest_survives_json(
    status: YearStatus, hours: int, medians: list[float | None], name: str
) -> None:
    """Whatever an entry holds, reading gives what was written."""
    entry = replace(
        entry_of(status=status, observed=hours),
        month_medians_c=tuple(medians),
        reason=name,
        failed_at=NOW,
    )
    manifest = StationManifest(station=replace(STATION, name=name), years=(entry,))
    assert manifest_from_json(json.loads(json.dumps(manifest_to_json(manifest)))) == manifest


def test_a_failure_never_replaces_a_kept_year(tmp_path: Path) -> None:
    """The old file stands, with the failure noted beside it, until a good answer comes."""
    keep(tmp_path)
    later = NOW + timedelta(days=1)
    failed = replace(entry_of(status=YearStatus.FAILED), fetched=later, reason="the server sulks")
    entry = keep_year(tmp_path, STATION, failed)
    assert (entry.status, entry.fetched) == (YearStatus.COMPLETE, NOW)
    assert (entry.failure, entry.failed_at) == ("the server sulks", later)
    assert read_year(tmp_path, "10637", 2020) is not None
    confirmed = confirm_year(tmp_path, "10637", 2020, later)
    assert confirmed is not None
    assert (confirmed.failure, confirmed.failed_at, confirmed.fetched) == ("", None, later)


def test_an_absence_never_replaces_a_kept_year(tmp_path: Path) -> None:
    """A file that vanished from the server is still ours."""
    keep(tmp_path)
    entry = keep_year(tmp_path, STATION, entry_of(status=YearStatus.ABSENT, observed=0))
    assert entry.is_kept
    assert entry.failure == "the service no longer has this year"


def test_a_file_with_clearly_fewer_hours_does_not_replace_a_fuller_one(tmp_path: Path) -> None:
    """Half a year served by mistake leaves the whole one in place; a small correction passes."""
    full = keep_year(tmp_path, STATION, entry_of(observed=8000), small_record())
    half = keep_year(tmp_path, STATION, entry_of(observed=4000), small_record(temp_c=1.0))
    assert half.observed == full.observed
    assert half.failure == "a newer file holds only 4000 observed hours instead of 8000"
    corrected = keep_year(tmp_path, STATION, entry_of(observed=7990), small_record(temp_c=2.0))
    assert corrected.observed != full.observed
    back = read_year(tmp_path, "10637", 2020)
    assert back is not None
    assert back.temp_c[0] == 2.0


def test_a_replaced_file_is_deleted(tmp_path: Path) -> None:
    """One file a year stays: the one that the manifest names."""
    keep(tmp_path, temp_c=1.0)
    keep(tmp_path, temp_c=2.0)
    back = read_year(tmp_path, "10637", 2020)
    assert back is not None
    assert back.temp_c[0] == 2.0
    assert kept_file(tmp_path).exists()


def test_a_damaged_file_is_set_aside_and_told(tmp_path: Path) -> None:
    """One flipped bit is found on reading; the file moves to `damaged`, and a new one heals it."""
    keep(tmp_path)
    path = kept_file(tmp_path)
    data = bytearray(path.read_bytes())
    data[len(data) // 2] ^= 1
    path.write_bytes(data)
    with pytest.raises(StoreError, match=r"damaged and was set aside.*checksum"):
        read_year(tmp_path, "10637", 2020)
    assert not path.exists()
    assert [one.name for one in (tmp_path / "damaged").iterdir()] == [f"10637-{path.name}"]
    with pytest.raises(StoreError, match="missing"):
        read_year(tmp_path, "10637", 2020)
    keep(tmp_path)
    assert read_year(tmp_path, "10637", 2020) is not None


def test_damage_in_the_header_alone_is_found(tmp_path: Path) -> None:
    """A changed start would shift every hour; the checksum of the whole file tells it."""
    keep(tmp_path)
    path = kept_file(tmp_path)
    data = path.read_bytes()
    assert data.count(b'"start_hour": 438288') == 1
    path.write_bytes(data.replace(b'"start_hour": 438288', b'"start_hour": 438289'))
    with pytest.raises(StoreError, match="checksum does not match"):
        read_year(tmp_path, "10637", 2020)


@pytest.mark.parametrize("text", ["", "{", "[]", '{"form": "x"}', '{"form": 1, "station": 3}'])
def test_a_damaged_manifest_is_set_aside_and_counts_as_none(tmp_path: Path, text: str) -> None:
    """Whatever stands in a manifest, reading it does not fail, and keeping starts afresh."""
    keep(tmp_path)
    (tmp_path / "hourly" / "10637" / "manifest.json").write_text(text)
    assert read_manifest(tmp_path, "10637") is None
    assert list((tmp_path / "damaged").iterdir())
    keep(tmp_path)
    assert read_year(tmp_path, "10637", 2020) is not None


BROKEN = ["", "{", "[]", '{"form": 1, "station": 3}']


@pytest.mark.parametrize("text", BROKEN)
def test_a_damaged_manifest_is_called_damaged_until_it_is_replaced(
    tmp_path: Path, text: str
) -> None:
    """By whatever wants the station, and by the check; keeping it anew heals."""
    keep(tmp_path)
    (tmp_path / "hourly" / "10637" / "manifest.json").write_text(text)
    told = "manifest.json of 10637 is damaged and was set aside in "
    for _ in range(2):
        with pytest.raises(StoreError, match=f"^{told}.*weather fetch --station 10637"):
            read_kept_station(tmp_path, "10637")
        found = check_store(tmp_path)
        assert [fault.startswith(told) for fault in found.faults] == [True]
    keep(tmp_path)
    assert check_store(tmp_path).faults == ()
    assert read_kept_station(tmp_path, "10637")[1].temp_c.size == 48


@pytest.mark.parametrize("text", BROKEN)
def test_a_damaged_manifest_of_an_import_is_called_damaged(tmp_path: Path, text: str) -> None:
    """Also the second time; importing again heals."""
    import_record(tmp_path, "porch", small_record(), place=PLACE, from_where="a.csv", now=NOW)
    (tmp_path / "imported" / "porch" / "manifest.json").write_text(text)
    for _ in range(2):
        with pytest.raises(StoreError, match=r"^manifest.json of porch is damaged.*import the"):
            read_imported(tmp_path, "porch")
        assert len(check_store(tmp_path).faults) == 1
    import_record(tmp_path, "porch", small_record(), place=PLACE, from_where="a.csv", now=NOW)
    assert check_store(tmp_path).faults == ()


def test_a_damaged_manifest_on_a_disk_that_takes_nothing_is_told(
    tmp_path: Path, monkeypatch: pytest.MonkeyPatch
) -> None:
    """It cannot be set aside, so it stands and is told each time."""
    keep(tmp_path)
    (tmp_path / "hourly" / "10637" / "manifest.json").write_text("{")

    def refuse(self: Path, target: Path) -> None:
        raise OSError(errno.EROFS, f"{self} to {target}")

    monkeypatch.setattr(Path, "replace", refuse)
    told = "manifest.json of 10637 is damaged and was not used"
    assert check_store(tmp_path).faults == (f"{told}.",)
    with pytest.raises(StoreError, match=told):
        read_kept_station(tmp_path, "10637")


@pytest.mark.parametrize("text", BROKEN)
def test_pruning_deletes_nothing_of_what_is_found_damaged_just_then(
    tmp_path: Path, text: str
) -> None:
    """Years and imports without a manifest would all be leftovers; once told, they go."""
    keep(tmp_path)
    import_record(tmp_path, "porch", small_record(), place=PLACE, from_where="a.csv", now=NOW)
    for manifest in tmp_path.glob("*/*/manifest.json"):
        manifest.write_text(text)
    with pytest.raises(StoreError, match=r"manifest.json of .* is damaged.*Nothing was deleted\.$"):
        prune_store(tmp_path)
    assert len(list(tmp_path.glob("*/*/*.hours"))) == 2
    assert prune_store(tmp_path).files == 4
    assert [one.name for one in tmp_path.rglob("*") if one.is_file()] == ["lock"]


def full_store(folder: Path) -> None:
    """A store with a year, its daily minima, an imported record and a list of stations."""
    keep(folder)
    import_record(folder, "porch", small_record(), place=PLACE, from_where="a.csv", now=NOW)
    minima_store._write(folder, "10637", (DailyYear(**MINIMA_2020),))
    (folder / "stations").mkdir()
    (folder / "stations" / "stations-1.db").write_bytes(b"list")
    told = {"form": 1, "name": "stations-1.db", "size": 4, "fetched": "2026-11-24T12:00:00Z"}
    disk.write_json(folder / "stations" / "manifest.json", told)


def edit(path: Path, **changes: object) -> None:
    """A JSON file with some of its fields changed."""
    path.write_text(json.dumps(json.loads(path.read_text()) | changes))


STATION_MANIFEST, MINIMA = "hourly/10637/manifest.json", "hourly/10637/minima.json"
IMPORTED, LIST = "imported/porch/manifest.json", "stations/manifest.json"


@pytest.mark.parametrize("which", [STATION_MANIFEST, MINIMA, IMPORTED, LIST])
def test_what_a_later_program_wrote_is_refused_in_a_sentence_and_left_untouched(
    tmp_path: Path, which: str
) -> None:
    """Whatever asks for it, reading or writing, refuses; not a byte of the store changes."""
    full_store(tmp_path)
    edit(tmp_path / which, form=2)
    before = {path: path.read_bytes() for path in tmp_path.rglob("*") if path.is_file()}
    minima = DailyYear(year=2021, status=YearStatus.COMPLETE, fetched=NOW, tenths={})
    asked: dict[str, list[Callable[[], object]]] = {
        STATION_MANIFEST: [
            lambda: list_stations(tmp_path),
            lambda: read_manifest(tmp_path, "10637"),
            lambda: keep(tmp_path, 2021),
            lambda: prune_store(tmp_path, stations=("10637",)),
        ],
        MINIMA: [
            lambda: minima_store.read_minima(tmp_path, "10637"),
            lambda: minima_store._write(tmp_path, "10637", (minima,)),
        ],
        IMPORTED: [
            lambda: read_imported(tmp_path, "porch"),
            lambda: import_record(
                tmp_path, "porch", small_record(), place=PLACE, from_where="", now=NOW
            ),
            lambda: prune_store(tmp_path, imported=("porch",)),
        ],
        LIST: [
            lambda: ensure_stations(tmp_path, endpoints=tuple, now=NOW, transport=None),
        ],
    }
    for ask in (lambda: check_store(tmp_path), lambda: prune_store(tmp_path), *asked[which]):
        with pytest.raises(StoreError, match=r"newer version of this program.*left as it is"):
            ask()
    assert {path: path.read_bytes() for path in tmp_path.rglob("*") if path.is_file()} == before


def test_a_stored_record_of_a_later_form_is_no_damage(tmp_path: Path) -> None:
    """Its checksum is right, so it stays; what the checksum does not match is set aside."""
    keep(tmp_path)
    path = kept_file(tmp_path)
    data = path.read_bytes().replace(b"SUITHR01", b"SUITHR02")
    path.write_bytes(data)
    with pytest.raises(StoreError, match="set aside"):
        read_year(tmp_path, "10637", 2020)
    path.write_bytes(data)
    manifest = tmp_path / STATION_MANIFEST
    plain = json.loads(manifest.read_text())
    plain["years"][0]["observed"]["crc32"] = zlib.crc32(data)
    plain["years"][0]["observed"]["sha256"] = sha256(data).hexdigest()
    manifest.write_text(json.dumps(plain))
    with pytest.raises(disk.NewerStoreError, match="newer version"):
        read_year(tmp_path, "10637", 2020)
    (fault,) = check_store(tmp_path).faults
    assert "newer version" in fault
    assert path.read_bytes() == data


def test_fields_that_a_later_program_added_are_passed_over_and_kept(tmp_path: Path) -> None:
    """An older program keeps a year beside them; only what told of a replaced file goes with it."""
    full_store(tmp_path)
    keep(tmp_path, 2021)
    manifest = tmp_path / STATION_MANIFEST
    plain = json.loads(manifest.read_text())
    plain["added"] = plain["station"]["added"] = "x"
    for year in plain["years"]:
        year["added"] = year["counts"]["added"] = year["observed"]["added"] = "x"
    manifest.write_text(json.dumps(plain))
    keep(tmp_path, 2021, temp_c=11.0)
    back = json.loads(manifest.read_text())
    assert (back["added"], back["station"]["added"]) == ("x", "x")
    assert back["years"][0] == plain["years"][0]
    assert back["years"][1]["added"] == "x"
    assert back["years"][1]["observed"].keys() == {"name", "size", "crc32", "sha256"}
    (minima,) = json.loads((tmp_path / MINIMA).read_text())["years"]
    years = [minima | {"added": "x"}]
    edit(tmp_path / MINIMA, years=years, crc32=minima_store._checksum(years), added="x")
    late = DailyYear(year=2021, status=YearStatus.COMPLETE, fetched=NOW, tenths={"ghcnd": (5,)})
    minima_store._write(tmp_path, "10637", (late,))
    assert minima_store.read_minima(tmp_path, "10637")[1] == late
    kept = json.loads((tmp_path / MINIMA).read_text())
    assert (kept["added"], kept["years"][0]["added"]) == ("x", "x")
    porch = json.loads((tmp_path / IMPORTED).read_text())
    edit(
        tmp_path / IMPORTED, place=porch["place"] | {"added": 1}, file=porch["file"] | {"added": 1}
    )
    assert read_imported(tmp_path, "porch")[1] == PLACE


def test_columns_that_a_later_program_added_to_a_record_are_passed_over() -> None:
    """The header tells how long each column is, so that an unknown one costs nothing."""
    data = encode_record(small_record())
    size = int.from_bytes(data[8:12], "big")
    header, body = json.loads(data[12 : 12 + size]), data[12 + size :] + b"wind"
    header["columns"].append({"name": "wspd_kmh", "kind": "new", "bytes": 4})
    header["added"] = header["station"]["added"] = 1
    header["crc32"] = zlib.crc32(body)
    text = json.dumps(header).encode()
    back = decode_record(MAGIC + len(text).to_bytes(4, "big") + text + body)
    np.testing.assert_array_equal(back.temp_c, small_record().temp_c)
    assert back.station == STATION


def test_a_strange_folder_among_the_stations_stops_nothing(tmp_path: Path) -> None:
    """Something that is no station's folder is none of ours: it is neither read nor deleted."""
    keep(tmp_path)
    strange = tmp_path / "hourly" / "my backup"
    strange.mkdir()
    (strange / "2020-1.hours").write_bytes(b"x")
    assert prune_store(tmp_path).files == 0
    assert [one.station.identifier for one in list_stations(tmp_path)] == ["10637"]


def test_the_check_finds_each_damaged_file_once(tmp_path: Path) -> None:
    """Every file is read; what is wrong is named, and a second check knows it is gone."""
    for year in (2019, 2020, 2021):
        keep(tmp_path, year)
    import_record(tmp_path, "porch", small_record(), place=PLACE, from_where="a.csv", now=NOW)
    assert check_store(tmp_path) == type(check_store(tmp_path))(files=4, faults=())
    kept_file(tmp_path, 2020).write_bytes(b"SUITHR01 nonsense")
    found = check_store(tmp_path)
    assert found.files == 4
    assert len(found.faults) == 1
    assert "2020-" in found.faults[0]


def test_pruning_deletes_leftovers_and_nothing_else(tmp_path: Path) -> None:
    """Unfinished, unnamed and damaged files go; what the manifests name stays."""
    keep(tmp_path)
    import_record(tmp_path, "porch", small_record(), place=PLACE, from_where="a.csv", now=NOW)
    place = tmp_path / "hourly" / "10637"
    (place / ".2020.hours.1-1.part").write_bytes(b"x")
    (place / "2011-abc.hours").write_bytes(b"x")
    (tmp_path / "damaged").mkdir()
    (tmp_path / "damaged" / "x").write_bytes(b"x")
    for orphan in (
        "imported/porch/abc.hours",
        "imported/lost/abc.hours",
        "hourly/NONE/minima.json",
    ):
        (tmp_path / orphan).parent.mkdir(exist_ok=True)
        (tmp_path / orphan).write_bytes(b"x")
    (tmp_path / "imported" / "porch" / "notes.txt").write_bytes(b"somebody's own")
    minima_store._write(tmp_path, "10637", (DailyYear(**MINIMA_2020),))
    gone = prune_store(tmp_path)
    assert (gone.files, gone.size) == (6, 6)
    assert not (tmp_path / "imported" / "lost").exists()
    assert not (tmp_path / "hourly" / "NONE").exists()
    assert (tmp_path / "imported" / "porch" / "notes.txt").exists()
    (tmp_path / "imported" / "porch" / "notes.txt").unlink()
    assert len(minima_store.read_minima(tmp_path, "10637")) == 1
    assert read_year(tmp_path, "10637", 2020) is not None
    assert read_imported(tmp_path, "porch")[1] == PLACE
    prune_store(tmp_path, stations=("10637",), imported=("porch",))
    assert list_stations(tmp_path) == ()
    assert list_imported(tmp_path) == ()
    with pytest.raises(StoreError, match="10637 is not in the weather store"):
        prune_store(tmp_path, stations=("10637",))


def test_an_imported_record_opens_by_name(tmp_path: Path) -> None:
    """What was imported comes back with its place; importing again replaces it."""
    for temp_c in (1.0, 2.0):
        record = small_record(temp_c=temp_c)
        import_record(tmp_path, "porch", record, place=PLACE, from_where="a.csv", now=NOW)
    record, place = read_imported(tmp_path, "porch")
    assert (record.temp_c[0], place) == (2.0, PLACE)
    with pytest.raises(StoreError, match=r"No record 'patio'.*imported: porch"):
        read_imported(tmp_path, "patio")


@pytest.mark.parametrize("name", ["", "../x", "a/b", ".hidden", "x" * 65, "a b"])
def test_names_that_could_leave_the_folder_are_refused(tmp_path: Path, name: str) -> None:
    """Neither a station nor a record can be named like a path."""
    with pytest.raises(StoreError):
        import_record(tmp_path, name, small_record(), place=PLACE, from_where="", now=NOW)
    with pytest.raises(StoreError):
        read_manifest(tmp_path, name)


def test_years_join_to_one_record_with_credits(tmp_path: Path) -> None:
    """Years of the store make one axis, each source credited once; hours between are gaps."""
    for year, temp_c, name in ((2019, 1.0, "NOAA ISD Lite"), (2021, 3.0, "METAR")):
        record = replace(small_record(year, temp_c), attribution=f"Meteostat; {name}", licence=name)
        keep_year(tmp_path, STATION, entry_of(year), record)
    _, record = read_kept_station(tmp_path, "10637")
    assert record.temp_c.size == (365 + 366) * 24 + 48
    assert (record.temp_c[0], record.temp_c[-1]) == (1.0, 3.0)
    assert int(np.isnan(record.temp_c).sum()) == (365 + 366) * 24 - 48
    assert record.attribution == "Meteostat; NOAA ISD Lite; METAR"
    assert record.licence == "NOAA ISD Lite; METAR"


def test_a_folder_that_cannot_be_written_is_one_sentence(tmp_path: Path) -> None:
    """A file in the place of the folder stands for any disk that refuses."""
    blocked = tmp_path / "file"
    blocked.write_text("")
    with pytest.raises(StoreError, match=r"cannot write to the weather store \(.*\); free"):
        keep(blocked / "store")


def test_a_full_disk_is_one_sentence_and_leaves_the_old_state(
    tmp_path: Path, monkeypatch: pytest.MonkeyPatch
) -> None:
    """When the disk refuses to flush, nothing changes and no part of a file is left."""
    keep(tmp_path, temp_c=1.0)
    before = sorted(path.name for path in tmp_path.rglob("*"))

    def refuse(handle: int) -> None:
        raise OSError(28, f"No space left on device (handle {handle})")

    monkeypatch.setattr(os, "fsync", refuse)
    with pytest.raises(StoreError, match="No space left on device"):
        keep(tmp_path, temp_c=2.0)
    monkeypatch.undo()
    assert sorted(path.name for path in tmp_path.rglob("*")) == before
    back = read_year(tmp_path, "10637", 2020)
    assert back is not None
    assert back.temp_c[0] == 1.0


def test_a_lock_that_is_soon_given_back_is_waited_for(tmp_path: Path) -> None:
    """Another writer holds it for a twentieth of a second."""
    held, begin = threading.Event(), time.monotonic()

    def write() -> None:
        with disk.hold_lock(tmp_path):
            held.set()
            time.sleep(0.05)

    other = threading.Thread(target=write)
    other.start()
    assert held.wait(5.0)
    with disk.hold_lock(tmp_path, patience_s=5.0):
        assert time.monotonic() - begin >= 0.05
    other.join()


def test_counts_that_nobody_gave_are_none() -> None:
    """A year that failed or is absent has no hours of any kind."""
    assert set(to_builtins(YearCounts()).values()) == {0, ()}


def test_a_lock_that_is_held_too_long_is_one_sentence(tmp_path: Path) -> None:
    """A writer waits for another one, and says so when it gives up."""
    with (
        disk.hold_lock(tmp_path),
        pytest.raises(StoreError, match="another program has been writing"),
        disk.hold_lock(tmp_path, patience_s=0.05),
    ):
        pass
    with disk.hold_lock(tmp_path, patience_s=0.05):
        pass


def test_the_folder_is_that_of_the_variable_or_the_platform() -> None:
    """SUITABILITY_HOME decides; without it, the platform's data folder."""
    assert default_store_folder({"SUITABILITY_HOME": "/srv/x"}) == Path("/srv/x/weather")
    ordinary = default_store_folder({})
    assert ordinary.is_absolute()
    assert ordinary.parts[-2:] == ("suitability", "weather")


WRITER = """
    import sys
    from datetime import UTC, datetime
    from pathlib import Path
    import numpy as np
    from suitability.weather.manifest import YearCounts, YearEntry, YearStatus
    from suitability.weather.record import Origin, Record, Station
    from suitability.weather.year_store import keep_year

    folder, first, rounds = Path(sys.argv[1]), int(sys.argv[2]), int(sys.argv[3])
    station = Station(identifier="10637", name="Invented", latitude=50.0, longitude=8.6,
                      elevation_m=112.0)
    print("ready", flush=True)
    for number in range(rounds):
        year = first + number % 3
        temp = np.full(8760, float(number))
        origin = np.full(8760, Origin.OBSERVED, np.uint8)
        counts = YearCounts(expected=8760, observed=8760)
        entry = YearEntry(year=year, status=YearStatus.COMPLETE, counts=counts,
                          fetched=datetime(2026, 1, 1, tzinfo=UTC))
        keep_year(folder, station, entry, Record(start_hour=0, temp_c=temp, origin=origin))
"""


def start_writer(folder: Path, first: int, rounds: int) -> subprocess.Popen[str]:
    """A process that keeps years as fast as it can."""
    writer = subprocess.Popen(
        [sys.executable, "-c", textwrap.dedent(WRITER), str(folder), str(first), str(rounds)],
        stdout=subprocess.PIPE,
        text=True,
    )
    assert writer.stdout is not None
    assert writer.stdout.readline() == "ready\n"
    return writer


def check_consistent(folder: Path) -> int:
    """Every kept year reads back as one that some writer wrote; how many there are."""
    manifest = read_manifest(folder, "10637")
    if manifest is None:
        return 0
    for entry in manifest.years:
        record = read_year(folder, "10637", entry.year)
        assert record is not None
        assert len(set(record.temp_c.tolist())) == 1
        assert int(record.temp_c[0]) % 3 == entry.year % 3
    assert not (folder / "damaged").exists()
    return len(manifest.years)


@pytest.mark.slow
def test_a_writer_killed_at_any_instant_leaves_a_store_that_reads(tmp_path: Path) -> None:
    """Kill the writer again and again at other instants: every kept year still reads."""
    for delay_s in (0.0, 0.003, 0.01, 0.017, 0.031):
        writer = start_writer(tmp_path, 2001, 100000)
        time.sleep(delay_s)
        os.kill(writer.pid, signal.SIGKILL)
        writer.communicate()
        check_consistent(tmp_path)
    keep_year(tmp_path, STATION, entry_of(2001), small_record(2001, temp_c=0.0))
    assert check_consistent(tmp_path) >= 1
    prune_store(tmp_path)
    assert check_store(tmp_path).faults == ()
    assert not list(tmp_path.rglob("*.part"))


def test_two_writers_and_a_reader_share_a_store(tmp_path: Path) -> None:
    """Two processes write the same station while a third reads; nothing is lost or torn."""
    writers = [start_writer(tmp_path, first, 12) for first in (2001, 2004)]
    while any(writer.poll() is None for writer in writers):
        check_consistent(tmp_path)
    for writer in writers:
        writer.communicate()
        assert writer.returncode == 0
    assert check_consistent(tmp_path) == 6


def test_reading_the_store_loads_neither_tables_nor_network() -> None:
    """Opening a stored record needs numpy and the standard library, without sockets."""
    code = """
        import sys
        import suitability.weather.station_years, suitability.weather.store
        heavy = {"pandas", "xarray", "requests", "meteostat", "scipy", "ssl", "http.client",
                 "urllib.request", "rich", "platformdirs", "concurrent.futures"}
        print(sorted(heavy & set(sys.modules)))
    """
    done = subprocess.run(
        [sys.executable, "-c", textwrap.dedent(code)], capture_output=True, text=True, check=True
    )
    assert done.stdout.strip() == "[]"


def test_a_read_only_folder_still_reads(tmp_path: Path) -> None:
    """Readers need neither lock nor leave to write; where a file cannot be moved, it is told."""
    keep(tmp_path, 2020)
    keep(tmp_path, 2021)
    kept_file(tmp_path, 2021).write_bytes(b"torn")
    (tmp_path / "lock").unlink()
    (tmp_path / "damaged").write_text("a file where the folder should be")
    assert read_year(tmp_path, "10637", 2020) is not None
    with pytest.raises(StoreError, match="is damaged and was not used"):
        read_year(tmp_path, "10637", 2021)
    assert not (tmp_path / "lock").exists()


def test_the_station_of_a_manifest_has_no_distance() -> None:
    """How far a station is belongs to a question, not to the store."""
    far = Station(
        identifier="1", name="x", latitude=0, longitude=0, elevation_m=None, distance_km=9
    )
    back = manifest_from_json(manifest_to_json(StationManifest(station=far)))
    assert back.station.distance_km is None
