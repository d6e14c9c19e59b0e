"""
The local store: verified years of stations and whole imported records, as files of this program.

    FOLDER/lock                              held by a writer while it writes; readers need none
    FOLDER/hourly/STATION/manifest.json      what is known of each year
    FOLDER/hourly/STATION/YEAR-CHECKSUM.hours    observed hours, in the program's stored form
    FOLDER/hourly/STATION/YEAR-CHECKSUM.model    hours of models and forecasts, kept apart
    FOLDER/imported/NAME/manifest.json and CHECKSUM.hours
    FOLDER/damaged/                          files that did not match their checksum

A file is written under a temporary name in its own folder, flushed to the disk and renamed; its
name carries its checksum, so that a manifest always speaks of the very file it was written for.
A program killed at any instant leaves either the old state or the new one.
"""

from __future__ import annotations

import hashlib
import os
import re
from contextlib import suppress
from dataclasses import asdict, replace
from pathlib import Path
from typing import TYPE_CHECKING

from suitability.errors import StoreError
from suitability.weather.disk import (
    explain_disk,
    hold_lock,
    read_json,
    set_aside,
    write_atomically,
    write_json,
)
from suitability.weather.joining import join_years
from suitability.weather.manifest import (
    ImportedPlace,
    KeptFile,
    StationManifest,
    YearEntry,
    YearStatus,
    manifest_from_json,
    manifest_to_json,
    show_instant,
)
from suitability.weather.sources.providers import OBSERVERS
from suitability.weather.stored import decode_record, encode_record

if TYPE_CHECKING:
    from collections.abc import Mapping
    from datetime import datetime

    from suitability.weather.record import Record, Station

__all__ = [
    "confirm_year",
    "default_store_folder",
    "import_record",
    "keep_year",
    "list_imported",
    "list_stations",
    "read_imported",
    "read_kept_station",
    "read_manifest",
    "read_year",
    "station_folder",
]

STATION_ID = re.compile(r"[A-Z0-9]{1,12}")
IMPORT_NAME = re.compile(r"[A-Za-z0-9][A-Za-z0-9_-]{0,63}")
MOST_HOURS_LOST = 48  # h that a renewed file may lack, since records are corrected
MOST_SHARE_LOST = 0.05  # of the observed hours, likewise
CHECKSUM_IN_NAME = 12  # characters; the manifest holds the whole


def default_store_folder(environment: Mapping[str, str] | None = None) -> Path:
    """
    Folder of the store: `SUITABILITY_HOME`/weather, else in the platform's data folder.

    Parameters
    ----------
    environment
        None: that of the program, `os.environ`.
    """
    home = (os.environ if environment is None else environment).get("SUITABILITY_HOME", "").strip()
    if home:
        return Path(home).expanduser() / "weather"
    from platformdirs import user_data_path  # noqa: PLC0415  (not on the path that reads)

    return user_data_path("suitability", appauthor=False) / "weather"


def station_folder(folder: Path, identifier: str) -> Path:
    """
    Folder of a station.

    Raises
    ------
    StoreError
        The identifier is none of a station, which also keeps paths out of it.
    """
    if not STATION_ID.fullmatch(identifier):
        raise StoreError(
            f"{identifier!r} is not a station identifier; expected capital letters and digits, "
            "such as 10637."
        )
    return folder / "hourly" / identifier


def read_manifest(folder: Path, identifier: str) -> StationManifest | None:
    """
    What the store knows of a station, or None.

    A damaged manifest is set aside and counts as none.

    Raises
    ------
    StoreError
        The folder cannot be read.
    """
    path = station_folder(folder, identifier) / "manifest.json"
    plain = read_json(folder, path)
    if plain is None:
        return None
    try:
        return manifest_from_json(plain)
    except (ValueError, KeyError, TypeError, AttributeError):
        set_aside(folder, path)
        return None


def list_stations(folder: Path) -> tuple[StationManifest, ...]:
    """Every station of the store, by identifier."""
    names = sorted(path.parent.name for path in (folder / "hourly").glob("*/manifest.json"))
    manifests = (read_manifest(folder, name) for name in names if STATION_ID.fullmatch(name))
    return tuple(manifest for manifest in manifests if manifest is not None)


def _read_verified(folder: Path, path: Path, kept: KeptFile) -> Record:
    """The record in a kept file whose size and checksum match the manifest."""
    try:
        data = path.read_bytes()
    except FileNotFoundError:
        raise
    except OSError as reason:
        raise explain_disk("read", path, reason) from reason
    try:
        if hashlib.sha256(data).hexdigest() == kept.sha256:
            return decode_record(data)
        why = "its checksum does not match"
    except StoreError as reason:
        why = str(reason)
    raise StoreError(f"{set_aside(folder, path)}: {why}.")


def read_year(
    folder: Path,
    identifier: str,
    year: int,
    *,
    model: bool = False,
    manifest: StationManifest | None = None,
) -> Record | None:
    """
    Observed hours of a kept year (or its model hours), or None where nothing is kept.

    Another program may renew the year while this reads; then the new file is read.

    Parameters
    ----------
    manifest
        Of the station, if it was read just now.

    Raises
    ------
    StoreError
        The file is damaged (it is set aside) or missing.
    """
    for number in range(3):
        if manifest is None or number:
            manifest = read_manifest(folder, identifier)
        entry = None if manifest is None else manifest.entry(year)
        kept = None if entry is None else (entry.model if model else entry.observed)
        if kept is None:
            return None
        path = station_folder(folder, identifier) / kept.name
        with suppress(FileNotFoundError):
            return _read_verified(folder, path, kept)
    raise StoreError(f"{path}: the file that the manifest names is missing.")


def read_kept_station(folder: Path, identifier: str) -> tuple[StationManifest, Record]:
    """
    What the store knows of a station, and all its kept years as one record.

    Raises
    ------
    StoreError
        The station is not in the store, or a file is damaged (it is set aside).
    """
    manifest = read_manifest(folder, identifier)
    kept = [] if manifest is None else [entry for entry in manifest.years if entry.is_kept]
    if manifest is None or not kept:
        names = [one.station.identifier for one in list_stations(folder)] + [*list_imported(folder)]
        raise StoreError(
            f"{identifier} is not in the weather store {folder} (there are: "
            f"{', '.join(names) or 'none'}); fetch it with `suitability weather fetch --station "
            f"{identifier}`."
        )
    years = (read_year(folder, identifier, one.year, manifest=manifest) for one in kept)
    sources = {name for entry in kept for name, _ in entry.counts.sources}
    parts = [record for record in years if record is not None]
    return manifest, join_years(parts, manifest.station, sources & OBSERVERS)


def keep_year(
    folder: Path,
    station: Station,
    entry: YearEntry,
    observed: Record | None = None,
    model: Record | None = None,
) -> YearEntry:
    """
    Write a year and what is known of it; what is kept already is not made worse.

    A failure never replaces a kept year: it is noted beside it. The entry as it now stands is
    returned.

    Parameters
    ----------
    entry
        Without its files, which are added here.
    observed, model
        The hours to keep.

    Raises
    ------
    StoreError
        The disk is full or cannot be written, or another program holds the lock.
    """
    place = station_folder(folder, station.identifier)
    with hold_lock(folder):
        manifest = read_manifest(folder, station.identifier)
        years = () if manifest is None else manifest.years
        manifest = StationManifest(station=station, years=years)
        old = manifest.entry(entry.year)
        why_not = "" if old is None else _why_old_stands(place, old, entry)
        if old is not None and why_not:
            new = replace(old, failure=why_not, failed_at=entry.fetched)
        else:
            new = replace(
                entry,
                observed=_keep_file(place, entry.year, observed, "hours"),
                model=_keep_file(place, entry.year, model, "model"),
            )
        write_json(place / "manifest.json", manifest_to_json(manifest.with_entry(new)))
        if old is not None:
            _remove_replaced(place, old, new)
    return new


def confirm_year(folder: Path, identifier: str, year: int, fetched: datetime) -> YearEntry | None:
    """
    Note that the server said at this time that a kept year has not changed.

    Raises
    ------
    StoreError
        The disk is full or cannot be written, or another program holds the lock.
    """
    with hold_lock(folder):
        manifest = read_manifest(folder, identifier)
        old = None if manifest is None else manifest.entry(year)
        if manifest is None or old is None:
            return None
        new = replace(old, fetched=fetched, failure="", failed_at=None)
        path = station_folder(folder, identifier) / "manifest.json"
        write_json(path, manifest_to_json(manifest.with_entry(new)))
    return new


def _why_old_stands(place: Path, old: YearEntry, new: YearEntry) -> str:
    """Why a kept year is better than a new answer about it; empty if it is not."""
    if old.observed is None or not (place / old.observed.name).exists():
        return ""
    if new.status is YearStatus.FAILED:
        return new.reason or "failed"
    if new.status is YearStatus.ABSENT:
        return "the service no longer has this year"
    lost = old.counts.observed - new.counts.observed
    if lost > max(MOST_HOURS_LOST, MOST_SHARE_LOST * old.counts.observed):
        return (
            f"a newer file holds only {new.counts.observed} observed hours instead of "
            f"{old.counts.observed}"
        )
    return ""


def _keep_file(place: Path, year: int, record: Record | None, ending: str) -> KeptFile | None:
    """Write one file of a year unless it is there already."""
    if record is None:
        return None
    data = encode_record(record)
    checksum = hashlib.sha256(data).hexdigest()
    name = f"{year}-{checksum[:CHECKSUM_IN_NAME]}.{ending}"
    write_atomically(place / name, data)
    return KeptFile(name=name, size=len(data), sha256=checksum)


def _remove_replaced(place: Path, old: YearEntry, new: YearEntry) -> None:
    """Delete files that only the old entry named; what cannot be deleted now, pruning deletes."""
    names = {kept.name for kept in (old.observed, old.model) if kept is not None}
    names -= {kept.name for kept in (new.observed, new.model) if kept is not None}
    for name in names:
        with suppress(OSError):
            (place / name).unlink()


def _import_folder(folder: Path, name: str) -> Path:
    """Folder of an imported record; StoreError if the name would not do as one."""
    if not IMPORT_NAME.fullmatch(name):
        raise StoreError(
            f"{name!r} cannot be the name of a record; use letters, digits, - and _, such as "
            "back-porch."
        )
    return folder / "imported" / name


def import_record(
    folder: Path,
    name: str,
    record: Record,
    *,
    place: ImportedPlace,
    from_where: str,
    now: datetime,
) -> Path:
    """
    Keep a whole record under a name, so that it opens quickly; replaces one of the same name.

    Parameters
    ----------
    from_where
        Path or address it was read from, for the reader's information.

    Raises
    ------
    StoreError
        The name will not do, or the disk is full or cannot be written.
    """
    target = _import_folder(folder, name)
    data = encode_record(record)
    checksum = hashlib.sha256(data).hexdigest()
    kept = KeptFile(name=f"{checksum[:CHECKSUM_IN_NAME]}.hours", size=len(data), sha256=checksum)
    plain = {
        "form": 1,
        "place": asdict(place),
        "from_where": from_where,
        "imported": show_instant(now),
        "file": asdict(kept),
    }
    with hold_lock(folder):
        write_atomically(target / kept.name, data)
        write_json(target / "manifest.json", plain)
        for other in target.glob("*.hours"):
            if other.name != kept.name:
                with suppress(OSError):
                    other.unlink()
    return target / kept.name


def read_imported(folder: Path, name: str) -> tuple[Record, ImportedPlace]:
    """
    An imported record and where it was measured.

    Raises
    ------
    StoreError
        Nothing was imported under this name, or its file is damaged (it is set aside).
    """
    target = _import_folder(folder, name)
    for _ in range(3):
        plain = read_json(folder, target / "manifest.json")
        if plain is None:
            break
        try:
            kept, place = KeptFile(**plain["file"]), ImportedPlace(**plain["place"])
        except (KeyError, TypeError) as reason:
            told = set_aside(folder, target / "manifest.json")
            raise StoreError(f"{told}; import the record again.") from reason
        with suppress(FileNotFoundError):
            return _read_verified(folder, target / kept.name, kept), place
    names = ", ".join(list_imported(folder)) or "none"
    raise StoreError(
        f"No record {name!r} in the weather store {folder} (imported: {names}); import one with "
        "`suitability weather import FILE`."
    )


def list_imported(folder: Path) -> tuple[str, ...]:
    """Names of the imported records."""
    return tuple(sorted(path.parent.name for path in (folder / "imported").glob("*/manifest.json")))
