"""Care of the local store: check every file of it, and clear away what nothing needs."""

import hashlib
from collections.abc import Iterator, Mapping, Sequence
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
    say_damage,
    set_aside,
)
from suitability.weather.manifest import StationManifest
from suitability.weather.minima_store import minima_path, read_minima
from suitability.weather.station_database import check_database
from suitability.weather.store import (
    IMPORT_NAME,
    KeptFile,
    list_imported,
    read_imported,
    read_imported_manifest,
)
from suitability.weather.year_store import (
    STATION_ID,
    list_stations,
    read_manifest,
    read_year,
    station_folder,
)

KINDS = ("hourly/{}", "imported/{}", "{}")  # what has a manifest; the last is the list of stations


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
    needed = _read_manifests(folder)
    files = 0
    faults = [*find_damaged(folder)]
    for place in (one for one, names in needed.items() if not names):
        unmoved = place / "manifest.json"  # where the disk cannot be written
        faults += [f"{say_damage(folder, unmoved)}."] if unmoved.exists() else []
    for manifest in list_stations(folder):
        for check in (_check_years, _check_minima):
            there, wrong = check(folder, manifest)
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


def find_damaged(folder: Path) -> tuple[str, ...]:
    """Manifests that were damaged and have not been replaced since, in words, one sentence each."""
    told = []
    for aside in sorted(folder.glob("damaged/*-manifest.json")):
        name = aside.name.removesuffix("-manifest.json")
        places = [folder / kind.format(name) / "manifest.json" for kind in KINDS]
        if not any(place.exists() for place in places):
            told.append(
                f"{say_damage(folder, places[0])}: what it named counts as never stored; fetch or "
                "import it again, then clear up with `suitability weather prune`."
            )
    return tuple(told)


def _read_manifests(folder: Path) -> dict[Path, set[str]]:
    """
    The files that each station and imported record needs, by its folder; without manifest none.

    Damaged manifests are set aside.

    Raises
    ------
    NewerStoreError
        A later program wrote some of it.
    """
    refuse_newer(folder)
    named: dict[Path, set[str]] = {}
    for place in folder.glob("hourly/*"):
        if STATION_ID.fullmatch(place.name):
            manifest = read_manifest(folder, place.name)
            years = () if manifest is None else manifest.years
            kept = [one for entry in years for one in (entry.observed, entry.model) if one]
            named[place] = {one.name for one in kept}
            named[place] |= set() if manifest is None else {"minima.json"}
    for place in folder.glob("imported/*"):
        if IMPORT_NAME.fullmatch(place.name):
            found = read_imported_manifest(folder, place.name)
            named[place] = set() if found is None else {found[0].name}
    return named


def _check_years(folder: Path, manifest: StationManifest) -> tuple[int, list[str]]:
    """Files of the years of a station, and what is wrong with them; set aside if they are."""
    identifier = manifest.station.identifier
    files, faults = 0, []
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
    return files, faults


def _check_minima(folder: Path, manifest: StationManifest) -> tuple[int, list[str]]:
    """Files of daily minima of a station, 0 or 1, and what is wrong with it; set aside if it is."""
    identifier = manifest.station.identifier
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
    return path, check_database(path, fewest=1)  # how few may be was judged when it came


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
        Something named is not in the store, the store cannot be written, or a manifest was found
        damaged just now: nothing was deleted, so that whoever is told can still look.
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
        before = find_damaged(folder)
        needed = _read_manifests(folder)
        new = [told for told in find_damaged(folder) if told not in before]
        if new:
            raise StoreError(f"{new[0]} Nothing was deleted.")
        doomed = [folder / "imported" / name for name in imported]
        doomed += [station_folder(folder, identifier) for identifier in stations]
        paths = [path for place in doomed for path in _manifest_first(place)]
        paths += [path for path in _leftovers(folder, needed) if path not in set(paths)]
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
        for place in {*doomed, *needed}:
            with suppress(OSError):  # what still holds something stays
                place.rmdir()
    return Cleared(files=files, size=size)


def _manifest_first(place: Path) -> list[Path]:
    """Files of a folder, the manifest first: without it the others are mere leftovers."""
    return sorted(place.iterdir(), key=lambda path: path.name != "manifest.json")


def _leftovers(folder: Path, needed: Mapping[Path, set[str]]) -> Iterator[Path]:
    """Files that nothing needs; the lock must be held, so that no writer is at work."""
    yield from folder.glob("damaged/*")
    yield from folder.glob("**/.*.part")
    for place, names in needed.items():
        for ours in ("*.hours", "*.model", "minima.json"):
            yield from (path for path in place.glob(ours) if path.name not in names)
    plain = read_json(folder, folder / "stations" / "manifest.json")
    current = plain.get("name") if isinstance(plain, dict) else None
    yield from (path for path in folder.glob("stations/*.db") if path.name != current)
