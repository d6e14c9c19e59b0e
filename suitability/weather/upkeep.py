"""Care of the local store: check every file of it, and clear away what nothing needs."""

import hashlib
from collections.abc import Iterator, Sequence
from contextlib import suppress
from pathlib import Path
from typing import Annotated

from msgspec import Meta

from suitability.errors import StoreError
from suitability.quantities import SCHEMA_VERSION, Count, Result, SchemaVersion
from suitability.weather.disk import (
    explain_disk,
    hold_lock,
    read_json,
    refuse_newer,
    set_aside,
)
from suitability.weather.minima_store import minima_path, read_minima
from suitability.weather.station_database import check_database
from suitability.weather.store import KeptFile, list_imported, read_imported
from suitability.weather.year_store import (
    STATION_ID,
    list_stations,
    read_manifest,
    read_year,
    station_folder,
)

__all__ = ["Cleared", "StoreCheck", "check_store", "prune_store"]


class StoreCheck(Result, frozen=True, kw_only=True):
    """What a reading of the whole store has found: `weather check`."""

    schema_version: SchemaVersion = SCHEMA_VERSION
    files: Annotated[Count, Meta(description="Read through.")]
    faults: Annotated[tuple[str, ...], Meta(description="What is wrong, one sentence each.")]


class Cleared(Result, frozen=True, kw_only=True):
    """What was deleted: `weather prune`."""

    schema_version: SchemaVersion = SCHEMA_VERSION
    files: Annotated[Count, Meta(description="Deleted.")]
    size: Annotated[Count, Meta(description="Of all of them.", extra_json_schema={"unit": "bytes"})]


def check_store(folder: Path) -> StoreCheck:
    """
    Read every file of the store through; a damaged one is set aside and told.

    Raises
    ------
    NewerStoreError
        A later program wrote some of it.
    StoreError
        The folder cannot be read.
    """
    refuse_newer(folder)
    files = 0
    faults: list[str] = []
    for manifest in list_stations(folder):
        identifier = manifest.station.identifier
        for entry in manifest.years:
            for kept, model in ((entry.observed, False), (entry.model, True)):
                if kept is None:
                    continue
                files += 1
                try:
                    _check_long(folder, station_folder(folder, identifier) / kept.name, kept)
                    read_year(folder, identifier, entry.year, model=model, manifest=manifest)
                except StoreError as reason:
                    faults.append(str(reason))
        there, wrong = _check_minima(folder, identifier)
        files, faults = files + there, faults + wrong
    for name in list_imported(folder):
        files += 1
        try:
            read_imported(folder, name)
        except StoreError as reason:
            faults.append(str(reason))
    database, fault = _check_station_list(folder)
    if database is not None:
        files += 1
    if fault:
        faults.append(f"{database}: {fault}; it is fetched anew when next needed.")
    return StoreCheck(files=files, faults=tuple(faults))


def _check_minima(folder: Path, identifier: str) -> tuple[int, list[str]]:
    """Files of daily minima of a station, 0 or 1, and what is wrong with it; set aside if it is."""
    path = minima_path(folder, identifier)
    if not path.exists():
        return 0, []
    read_minima(folder, identifier)
    if path.exists():
        return 1, []
    return 1, [f"{path.name} of {identifier} is damaged and was set aside; it is fetched again."]


def _check_long(folder: Path, path: Path, kept: KeptFile) -> None:
    """Raise StoreError if a file does not match its long checksum; it is set aside."""
    with suppress(FileNotFoundError):
        if hashlib.sha256(path.read_bytes()).hexdigest() != kept.sha256:
            raise StoreError(f"{set_aside(folder, path)}: its checksum does not match.")


def _check_station_list(folder: Path) -> tuple[Path | None, str]:
    """The kept list of stations and what is wrong with it."""
    plain = read_json(folder, folder / "stations" / "manifest.json")
    if not isinstance(plain, dict) or "name" not in plain:
        return None, ""
    path = folder / "stations" / str(plain["name"])
    try:
        data = path.read_bytes()
    except FileNotFoundError:
        return path, "the list of stations is missing"
    except OSError as reason:
        raise explain_disk("read", path, reason) from reason
    if hashlib.sha256(data).hexdigest() != plain.get("sha256"):
        path.unlink(missing_ok=True)
        return path, "the list of stations is damaged and was deleted"
    return path, check_database(path)


def prune_store(
    folder: Path, *, stations: Sequence[str] = (), imported: Sequence[str] = ()
) -> Cleared:
    """
    Delete leftovers of stopped programs, files set aside, and what is named.

    Parameters
    ----------
    stations
        Identifiers of stations whose years are to go.
    imported
        Names of imported records that are to go.

    Raises
    ------
    NewerStoreError
        A later program wrote some of it; nothing was deleted.
    StoreError
        Something named is not in the store, or the store cannot be written.
    """
    for identifier in stations:
        if read_manifest(folder, identifier) is None:
            raise StoreError(f"Station {identifier} is not in the weather store {folder}.")
    unknown = [name for name in imported if name not in list_imported(folder)]
    if unknown:
        raise StoreError(f"No record {unknown[0]!r} in the weather store {folder}.")
    if not folder.exists():
        return Cleared(files=0, size=0)
    with hold_lock(folder):
        refuse_newer(folder)
        doomed = [folder / "imported" / name for name in imported]
        doomed += [station_folder(folder, identifier) for identifier in stations]
        paths = [path for place in doomed for path in _manifest_first(place)]
        paths += [path for path in _leftovers(folder) if path not in set(paths)]
        files = size = 0
        for path in paths:
            try:
                bytes_of = path.stat().st_size
                path.unlink()
            except FileNotFoundError:
                continue
            except OSError as reason:
                raise explain_disk("write to", path, reason) from reason
            files, size = files + 1, size + bytes_of
        for place in doomed:
            with suppress(OSError):
                place.rmdir()
    return Cleared(files=files, size=size)


def _manifest_first(place: Path) -> list[Path]:
    """Files of a folder, the manifest first: without it the others are mere leftovers."""
    return sorted(place.iterdir(), key=lambda path: path.name != "manifest.json")


def _leftovers(folder: Path) -> Iterator[Path]:
    """Files that no manifest names; the lock must be held, so that no writer is at work."""
    yield from folder.glob("damaged/*")
    yield from folder.glob("**/.*.part")
    for place in folder.glob("hourly/*"):
        if not STATION_ID.fullmatch(place.name):
            continue
        manifest = read_manifest(folder, place.name)
        named = set()
        for entry in () if manifest is None else manifest.years:
            named |= {kept.name for kept in (entry.observed, entry.model) if kept is not None}
        yield from (path for path in place.glob("*-*.*") if path.name not in named)
    plain = read_json(folder, folder / "stations" / "manifest.json")
    current = plain.get("name") if isinstance(plain, dict) else None
    yield from (path for path in folder.glob("stations/*.db") if path.name != current)
