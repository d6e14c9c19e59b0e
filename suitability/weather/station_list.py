"""
The list of weather stations: a database fetched, checked, and only then put in the old one's place.

An old good copy is used, with a word on its age, when no new one is to be had.
"""

from __future__ import annotations

import hashlib
import json
import sqlite3
from contextlib import closing, suppress
from datetime import timedelta
from typing import TYPE_CHECKING, Any

from msgspec import Struct, convert
from msgspec.structs import replace

from suitability.errors import PlaceError, SourceError, StoreError
from suitability.weather.disk import (
    FORM,
    NewerStoreError,
    hold_lock,
    read_json,
    set_aside,
    write_atomically,
    write_json,
)
from suitability.weather.manifest import parse_instant, show_instant
from suitability.weather.station_database import (
    FEWEST_STATIONS,
    LONGEST_QUERY_S,
    MAGIC,
    check_database,
    count_odd,
    open_database,
    stations_of_rows,
)

if TYPE_CHECKING:
    from collections.abc import Callable, Sequence
    from datetime import datetime
    from pathlib import Path

    from suitability.weather.record import Station
    from suitability.weather.sources.transport import Damage, Partial, Transport

RENEWED_AFTER = timedelta(days=7)  # it is rebuilt weekly


class StationList(Struct, frozen=True, kw_only=True):
    """
    The checked database of stations, and what is to be said of it.

    Rows that cannot be a station's are passed over; how many, is said. The database is a file, or
    its bytes where the disk could not be written. `observers` are the providers of observed hours
    that the package knew then; none where a program that did not keep them fetched the list.
    """

    database: Path | bytes
    fetched: datetime
    note: str = ""
    observers: tuple[str, ...] = ()


def ensure_stations(
    folder: Path,
    *,
    endpoints: Callable[[], Sequence[str]],
    now: datetime,
    transport: Callable[[], Transport] | None,
    must_keep: bool = False,
    fewest: Callable[[], int] = lambda: FEWEST_STATIONS,
    on_bytes: Callable[[int], None] | None = None,
) -> StationList:
    """
    The list of stations: the kept copy if it is fresh, else a new one, checked before it counts.

    One that cannot be kept is used in memory.

    Parameters
    ----------
    endpoints
        Reads the addresses to try, in order, when they are needed.
    transport
        Makes the means of asking when they are needed; None: offline, nothing is asked.
    must_keep
        A store that cannot be written is an error.
    fewest
        Reads how many stations a new list must have at least.
    on_bytes
        Told how many bytes of a new list have come.

    Raises
    ------
    SourceError
        There is no copy, and none could be fetched.
    StoreError
        The store cannot be read, or not be written although it must.
    """
    kept = _kept_stations(folder)
    if kept is not None and timedelta(0) <= now - kept.fetched < RENEWED_AFTER:
        return kept
    if transport is None:
        if kept is None:
            raise SourceError(
                "The list of weather stations is not in the store and --offline forbids fetching "
                "it; run `suitability weather fetch` once with the network up, or give a file "
                "with --record."
            )
        return _with_age(kept, now, "used offline")
    fetched, reasons = _fetch_stations(
        folder, endpoints(), transport(), now, fewest=fewest(), on_bytes=on_bytes
    )
    if fetched is not None:
        return _keep_stations(folder, *fetched, now, must_keep=must_keep)
    why = "; ".join(reasons)
    if kept is None:
        raise SourceError(
            f"The list of weather stations could not be fetched ({why}) and none is kept; check "
            "the network and run this again, or give a file with --record."
        )
    return _with_age(kept, now, f"a new one could not be fetched: {why}")


def _with_age(kept: StationList, now: datetime, why: str) -> StationList:
    """An old list of stations, with what is to be said of it."""
    age = f"{(now - kept.fetched).days} days old"
    if kept.fetched > now:
        age = f"dated {kept.fetched:%Y-%m-%d}, which is still to come by this computer's clock"
    told = f"The list of weather stations is {age} ({why})."
    return replace(kept, note=f"{told} {kept.note}".rstrip())


def _kept_stations(folder: Path) -> StationList | None:
    """The kept list, or None if there is none or one of another size than was written."""
    plain = read_json(folder, folder / "stations" / "manifest.json")
    try:
        if plain is None:
            return None
        path = folder / "stations" / str(plain["name"])
        if path.stat().st_size != plain["size"]:
            return None
        fetched = parse_instant(plain["fetched"])
        note = _say_odd(int(plain.get("odd_rows", 0)))
        observers = convert(plain.get("observers", ()), tuple[str, ...])
        return StationList(database=path, fetched=fetched, note=note, observers=observers)
    except (OSError, KeyError, TypeError, ValueError):
        return None


def _say_odd(rows: int) -> str:
    """What to say of rows that cannot be a station's."""
    told = f"{rows} rows of the list of weather stations are odd and were passed over."
    return told if rows else ""


def _fetch_stations(
    folder: Path,
    endpoints: Sequence[str],
    transport: Transport,
    now: datetime,
    *,
    fewest: int,
    on_bytes: Callable[[int], None] | None,
) -> tuple[tuple[bytes, str] | None, list[str]]:
    """A sound database and where it came from; without one, the reasons of failure."""
    from suitability.weather.sources.opening import hosts_of  # noqa: PLC0415  (needs sockets)
    from suitability.weather.sources.transport import Answer, get  # noqa: PLC0415

    reasons = []
    for address in endpoints:
        partial = _read_partial(folder, address)
        reply = get(
            transport,
            address,
            now=now,
            check=_damage_of_database,
            hosts=hosts_of(endpoints),
            partial=partial,
            on_bytes=on_bytes,
        )
        _write_partial(folder, address, partial)
        if reply.answer is Answer.FOUND:
            fault = check_database(reply.data, fewest)
            if not fault:
                return (reply.data, address), []
        else:
            fault = reply.reason or "not there (404)"
        reasons.append(f"{address}: {fault}")
    return None, reasons


def _partial_path(folder: Path) -> Path:
    """Where the part of a list is kept that came before a line broke; pruning deletes it."""
    return folder / "stations" / ".list.part"


def _read_partial(folder: Path, address: str) -> Partial:
    """What came of a list in an earlier run, or nothing."""
    from suitability.weather.sources.transport import Partial  # noqa: PLC0415  (needs sockets)

    with suppress(OSError, ValueError, KeyError, TypeError):
        head, _, data = _partial_path(folder).read_bytes().partition(b"\n")
        told = json.loads(head)
        if told["address"] == address and told["size"] == len(data):
            return Partial(data=bytearray(data), validator=str(told["validator"]))
    return Partial()


def _write_partial(folder: Path, address: str, partial: Partial) -> None:
    """Keep what came of a list for the next run; without anything to go on from, nothing."""
    path = _partial_path(folder)
    if not (partial.data and partial.validator):
        with suppress(OSError):
            path.unlink()
        return
    told = {"address": address, "validator": partial.validator, "size": len(partial.data)}
    with suppress(StoreError), hold_lock(folder):
        write_atomically(path, json.dumps(told).encode() + b"\n" + partial.data)


def _keep_stations(
    folder: Path, data: bytes, address: str, now: datetime, *, must_keep: bool
) -> StationList:
    """Put a checked database in place; in memory where the disk cannot be written."""
    odd = count_odd(data)
    try:
        path = _write_stations(folder, data, address, now, odd)
    except NewerStoreError:
        raise
    except StoreError as reason:
        if must_keep:
            raise
        told = f"The list of weather stations is not kept: {reason}"
        note = f"{_say_odd(odd)} {told}".lstrip()
        return StationList(database=data, fetched=now, note=note)
    return StationList(database=path, fetched=now, note=_say_odd(odd))


def observers_of(stations: StationList) -> tuple[str, ...]:
    """The providers of observed hours, as the list was fetched with, else as the package says."""
    if stations.observers:
        return stations.observers
    from suitability.weather.sources.register import read_register  # noqa: PLC0415  (slow)

    return tuple(name for name, one in read_register().items() if one.observes)


def _write_stations(folder: Path, data: bytes, address: str, now: datetime, odd: int) -> Path:
    """Write a database and its manifest; what is no longer used is deleted."""
    checksum = hashlib.sha256(data).hexdigest()
    path = folder / "stations" / f"stations-{checksum[:12]}.db"
    manifest = path.with_name("manifest.json")
    observers = observers_of(StationList(database=path, fetched=now))
    with hold_lock(folder):
        plain = read_json(folder, manifest)
        write_atomically(path, data)
        before = _kept_stations(folder)
        told = {"form": FORM, "name": path.name, "size": len(data), "sha256": checksum}
        told |= {"fetched": show_instant(now), "from_where": address}
        told |= {"odd_rows": odd, "observers": observers}
        write_json(manifest, (plain if isinstance(plain, dict) else {}) | told)
        in_use = {path, path if before is None else before.database}  # a reader may be opening it
        for other in path.parent.glob("stations-*.db"):
            if other not in in_use:
                with suppress(OSError):
                    other.unlink()
    return path


def _damage_of_database(data: bytes) -> Damage | None:
    """What is wrong with the bytes of a database at first sight."""
    from suitability.weather.sources.transport import Damage  # noqa: PLC0415  (needs sockets)

    if not data:
        return Damage(reason="the server sent nothing", kind="empty", again=True)
    if data[: len(MAGIC)] != MAGIC:
        reason = "the server sent something that is no database of stations"
        return Damage(reason=reason, kind="not the file", again=False)
    return None


_COLUMNS = """
    SELECT stations.id, names.name, stations.latitude, stations.longitude, stations.elevation
    FROM stations
    LEFT JOIN names ON names.station = stations.id AND names.language = 'en'
"""


def query_stations(
    folder: Path, stations: StationList, sql: str, values: Sequence[Any]
) -> list[Any]:
    """
    Rows of the database.

    Raises
    ------
    StoreError
        The kept database is damaged; it is set aside. Or it took too long.
    """
    try:
        with closing(open_database(stations.database)) as connection:
            return connection.execute(sql, values).fetchall()
    except sqlite3.Error as reason:
        if "interrupted" in str(reason) or isinstance(stations.database, bytes):
            raise StoreError(
                f"Searching the list of weather stations took over {LONGEST_QUERY_S:g} s or failed "
                f"({reason}); run this again."
            ) from reason
        told = set_aside(folder, stations.database)
        raise StoreError(f"{told} ({reason}); run this again to fetch it anew.") from reason


def find_station(folder: Path, stations: StationList, identifier: str) -> Station:
    """
    A station by its identifier, small letters or capitals.

    Raises
    ------
    PlaceError
        There is none.
    """
    wanted = identifier.strip().upper()
    rows = query_stations(folder, stations, f"{_COLUMNS} WHERE stations.id = ?", (wanted,))
    found = stations_of_rows(rows)
    if not found:
        raise PlaceError(
            f"There is no weather station {identifier!r}; list those near a place with "
            "`suitability weather stations --at LATITUDE,LONGITUDE`."
        )
    return found[0]


def stations_between(
    folder: Path, stations: StationList, south: float, north: float
) -> tuple[Station, ...]:
    """Stations between two latitudes, degrees, both included."""
    sql = f"{_COLUMNS} WHERE stations.latitude BETWEEN ? AND ?"
    return stations_of_rows(query_stations(folder, stations, sql, (south, north)))
