"""
The local store: where it is, and whole records that were imported into it by name.

    FOLDER/lock                              held by a writer while it writes; readers need none
    FOLDER/hourly/STATION/manifest.json      what is known of each year of a station
    FOLDER/hourly/STATION/YEAR-CHECKSUM.hours    its observed hours, in the program's stored form
    FOLDER/hourly/STATION/YEAR-CHECKSUM.model    hours of models and forecasts, kept apart
    FOLDER/imported/NAME/manifest.json and CHECKSUM.hours
    FOLDER/stations/manifest.json and stations-CHECKSUM.db
    FOLDER/damaged/                          files that did not match their checksum

A file is written under a temporary name in its own folder, flushed to the disk and renamed; its
name carries its checksum, so that a manifest always speaks of the very file it was written for.
A program killed at any instant leaves either the old state or the new one.

Opening an imported record is the quickest thing the program does: this module loads little.
"""

from __future__ import annotations

import os
import re
import zlib
from collections.abc import Mapping
from contextlib import suppress
from datetime import datetime
from pathlib import Path
from typing import Any

from msgspec import Struct, convert
from msgspec.structs import asdict

from suitability.errors import StoreError
from suitability.steps import tell_step
from suitability.weather.disk import (
    FORM,
    NewerStoreError,
    explain_disk,
    find_manifests,
    hold_lock,
    read_json,
    say_damage,
    set_aside,
    write_atomically,
    write_json,
)
from suitability.weather.record import Record
from suitability.weather.stored import decode_record, encode_record

IMPORT_NAME = re.compile(r"[A-Za-z0-9][A-Za-z0-9_-]{0,63}")
CHECKSUM_IN_NAME = 12  # characters; the manifest holds the whole


class KeptFile(Struct, frozen=True, kw_only=True):
    """
    A file of the store: its name within its folder, size in bytes and checksums.

    The short checksum finds damage whenever the file is read; the long one stands for the check of
    the whole store, since merely loading its module would slow the reading by half.
    """

    name: str
    size: int
    crc32: int
    sha256: str


class ImportedPlace(Struct, frozen=True, kw_only=True):
    """Where an imported record was measured; what is not known is None."""

    name: str
    latitude: float | None = None
    longitude: float | None = None
    elevation_m: float | None = None
    utc_offset_hours: float | None = None


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
        from pathlib import Path  # noqa: PLC0415  (loads slowly; who gives a folder has it)

        return Path(home).expanduser() / "weather"
    from platformdirs import user_data_path  # noqa: PLC0415  (not on the path that reads)

    return user_data_path("suitability", appauthor=False) / "weather"


def write_record(place: Path, stem: str, ending: str, record: Record) -> KeptFile:
    """
    Write a record in the stored form, its checksum in its name; the lock must be held.

    Raises
    ------
    StoreError
        The disk is full or cannot be written.
    """
    from hashlib import sha256  # noqa: PLC0415  (loads slowly, and reading does not need it)

    data = encode_record(record)
    checksum = sha256(data).hexdigest()
    name = f"{stem}{checksum[:CHECKSUM_IN_NAME]}{ending}"
    write_atomically(place / name, data)
    tell_step("Kept %s in the store, %d bytes", name, len(data))
    return KeptFile(name=name, size=len(data), crc32=zlib.crc32(data), sha256=checksum)


def read_verified(folder: Path, path: Path, kept: KeptFile) -> Record:
    """
    The record in a kept file that is as it was written.

    Raises
    ------
    FileNotFoundError
        It is gone; another program may have replaced it.
    NewerStoreError
        It is as a later program wrote it, and stays.
    StoreError
        It cannot be read, or is damaged and was set aside.
    """
    try:
        data = path.read_bytes()
    except FileNotFoundError:
        raise
    except OSError as reason:
        raise explain_disk("read", path, reason) from reason
    try:
        if len(data) == kept.size and zlib.crc32(data) == kept.crc32:
            record = decode_record(data)
            tell_step("Took %s from the store, %d bytes", path.name, len(data))
            return record
        why = "its checksum does not match"
    except NewerStoreError as reason:
        raise NewerStoreError(path) from reason
    except StoreError as reason:
        why = str(reason)
    raise StoreError(f"{set_aside(folder, path)}: {why}.")


def _import_folder(folder: Path, name: str) -> Path:
    """Folder of an imported record; StoreError if the name would not do as one."""
    if not IMPORT_NAME.fullmatch(name):
        raise StoreError(
            f"{name!r} cannot be the name of a record; use letters, digits, - and _, such as "
            "back-porch."
        )
    return folder / "imported" / name


def import_record(
    folder: Path, name: str, record: Record, *, place: ImportedPlace, from_where: str, now: datetime
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
        The name will not do, a later program keeps a record of this name, or the disk is full or
        cannot be written.
    """
    target = _import_folder(folder, name)
    with hold_lock(folder):
        read_json(folder, target / "manifest.json")
        kept = write_record(target, "", ".hours", record)
        plain: dict[str, Any] = {
            "form": FORM,
            "place": asdict(place),
            "from_where": from_where,
            "imported": now.isoformat(timespec="seconds"),
            "file": asdict(kept),
        }
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
        Nothing was imported under this name, its file is damaged (it is set aside), or a later
        program wrote it.
    """
    target = _import_folder(folder, name)
    for _ in range(3):  # another program may replace it meanwhile
        found = read_imported_manifest(folder, name)
        if found is None:
            break
        kept, place = found
        with suppress(FileNotFoundError):
            return read_verified(folder, target / kept.name, kept), place
    damage = say_damage(folder, target / "manifest.json") if found is None else ""
    if damage:
        raise StoreError(f"{damage}; import the record again.")
    names = ", ".join(list_imported(folder)) or "none"
    raise StoreError(
        f"No record {name!r} in the weather store {folder} (imported: {names}); import one with "
        "`suitability weather import FILE`."
    )


def read_imported_manifest(folder: Path, name: str) -> tuple[KeptFile, ImportedPlace] | None:
    """
    The file of an imported record, and where it was measured; None if its manifest says neither.

    A damaged manifest is set aside and counts as none.
    """
    path = _import_folder(folder, name) / "manifest.json"
    plain = read_json(folder, path)
    if plain is None:
        return None
    try:
        return convert(plain["file"], KeptFile), convert(plain["place"], ImportedPlace)
    except (ValueError, KeyError, TypeError):
        set_aside(folder, path)
        return None


def list_imported(folder: Path) -> tuple[str, ...]:
    """Names of the imported records."""
    return tuple(path.parent.name for path in find_manifests(folder / "imported"))
