"""Years of stations in the local store, and the manifest that knows each of them."""

from __future__ import annotations

import re
from contextlib import suppress
from datetime import datetime
from pathlib import Path

from msgspec.structs import replace

from suitability.errors import StoreError
from suitability.weather.disk import (
    find_manifests,
    hold_lock,
    read_json,
    say_damage,
    set_aside,
    write_json,
)
from suitability.weather.joining import join_years
from suitability.weather.manifest import (
    StationManifest,
    YearEntry,
    YearStatus,
    manifest_from_json,
    manifest_to_json,
)
from suitability.weather.record import Record, Station
from suitability.weather.store import KeptFile, list_imported, read_verified, write_record

STATION_ID = re.compile(r"[A-Z0-9]{1,12}")
MOST_HOURS_LOST = 48  # h that a renewed file may shortfall, since records are corrected
MOST_SHARE_LOST = 0.05  # of the observed hours, likewise


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
    NewerStoreError
        A later program wrote it.
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


def say_manifest_damage(folder: Path, identifier: str) -> str:
    """What happened to the manifest of a station, in words; empty if it reads, or never was."""
    if read_manifest(folder, identifier) is not None:
        return ""
    return say_damage(folder, station_folder(folder, identifier) / "manifest.json")


def list_stations(folder: Path) -> tuple[StationManifest, ...]:
    """Every station of the store, by identifier."""
    names = [path.parent.name for path in find_manifests(folder / "hourly")]
    manifests = (read_manifest(folder, name) for name in names if STATION_ID.fullmatch(name))
    return tuple(manifest for manifest in manifests if manifest is not None)


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
            return read_verified(folder, path, kept)
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
        damage = say_manifest_damage(folder, identifier)
        if damage:
            raise StoreError(
                f"{damage}; fetch it again with `suitability weather fetch --station {identifier}`."
            )
        names = [one.station.identifier for one in list_stations(folder)] + [*list_imported(folder)]
        raise StoreError(
            f"{identifier} is not in the weather store {folder} (there are: "
            f"{', '.join(names) or 'none'}); fetch it with `suitability weather fetch --station "
            f"{identifier}`."
        )
    years = (read_year(folder, identifier, one.year, manifest=manifest) for one in kept)
    parts = [record for record in years if record is not None]
    return manifest, join_years(parts, manifest.station)


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
                observed=_keep(place, entry.year, ".hours", observed),
                model=_keep(place, entry.year, ".model", model),
            )
        _write_manifest(folder, manifest.with_entry(new))
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
        _write_manifest(folder, manifest.with_entry(new))
    return new


def _write_manifest(folder: Path, manifest: StationManifest) -> None:
    """Put a manifest in the place of the one that was read; the lock must be held."""
    path = station_folder(folder, manifest.station.identifier) / "manifest.json"
    write_json(path, manifest_to_json(manifest, read_json(folder, path)))


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


def _keep(place: Path, year: int, ending: str, record: Record | None) -> KeptFile | None:
    """Write one file of a year, if there is something to write."""
    return None if record is None else write_record(place, f"{year}-", ending, record)


def _remove_replaced(place: Path, old: YearEntry, new: YearEntry) -> None:
    """Delete files that only the old entry named; what cannot be deleted now, pruning deletes."""
    names = {kept.name for kept in (old.observed, old.model) if kept is not None}
    names -= {kept.name for kept in (new.observed, new.model) if kept is not None}
    for name in names:
        with suppress(OSError):
            (place / name).unlink()
