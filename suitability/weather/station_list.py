"""
The list of weather stations: a database fetched, checked, and only then put in the old one's place.

An old good copy is used, with a word on its age, when no new one is to be had.
"""

from __future__ import annotations

import hashlib
import sqlite3
import time
from contextlib import closing, suppress
from datetime import timedelta
from math import isfinite
from typing import TYPE_CHECKING, Any

from msgspec import Struct
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
from suitability.weather.record import Station
from suitability.weather.year_store import STATION_ID

if TYPE_CHECKING:
    from collections.abc import Callable, Iterable, Sequence
    from datetime import datetime
    from pathlib import Path

    from suitability.weather.sources.transport import Damage, Transport

__all__ = [
    "StationList",
    "check_database",
    "ensure_stations",
    "find_station",
    "query_stations",
    "stations_between",
]

MAGIC = b"SQLite format 3\x00"
TABLES = {
    "stations": {"id", "latitude", "longitude", "elevation"},
    "names": {"station", "language", "name"},
    "inventory": {"station", "provider", "parameter", "start", "end"},
}
FEWEST_STATIONS = 1000  # the list had 15,787 in 2026; a list with fewer than this is a torn one
RENEWED_AFTER = timedelta(days=7)  # it is rebuilt weekly
LONGEST_QUERY_S = 30.0  # a whole list takes some tenths of a second
STEPS_BETWEEN_LOOKS = 100_000  # of the database's machine, after which the time is looked at
HEIGHTS_M = (-500.0, 9000.0)  # on land; beyond it a height is taken as unknown


class StationList(Struct, frozen=True, kw_only=True):
    """
    The checked database of stations, and what is to be said of it.

    Rows that cannot be a station's are passed over; how many, is said. The database is a file, or
    its bytes where the disk could not be written.
    """

    database: Path | bytes
    fetched: datetime
    note: str = ""


def ensure_stations(
    folder: Path,
    *,
    endpoints: Callable[[], Sequence[str]],
    now: datetime,
    transport: Callable[[], Transport] | None,
    must_keep: bool = False,
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
    fresh, reasons = _renew_stations(folder, endpoints(), transport(), now, must_keep=must_keep)
    if fresh is not None:
        return fresh
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
        return StationList(database=path, fetched=fetched, note=note)
    except (OSError, KeyError, TypeError, ValueError):
        return None


def _say_odd(rows: int) -> str:
    """What to say of rows that cannot be a station's."""
    told = f"{rows} rows of the list of weather stations are odd and were passed over."
    return told if rows else ""


def _renew_stations(
    folder: Path,
    endpoints: Sequence[str],
    transport: Transport,
    now: datetime,
    *,
    must_keep: bool,
) -> tuple[StationList | None, list[str]]:
    """Fetch, check and keep the database; without one, the reasons of failure."""
    from suitability.weather.sources.transport import Answer, get  # noqa: PLC0415  (needs sockets)

    reasons = []
    for address in endpoints:
        reply = get(transport, address, now=now, check=_damage_of_database)
        if reply.answer is Answer.FOUND:
            fault = check_database(reply.data)
            if not fault:
                return _keep_stations(folder, reply.data, address, now, must_keep=must_keep), []
        else:
            fault = reply.reason or "not there (404)"
        reasons.append(f"{address}: {fault}")
    return None, reasons


def _keep_stations(
    folder: Path, data: bytes, address: str, now: datetime, *, must_keep: bool
) -> StationList:
    """Put a checked database in place; in memory where the disk cannot be written."""
    odd = _count_odd(data)
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


def _write_stations(folder: Path, data: bytes, address: str, now: datetime, odd: int) -> Path:
    """Write a database and its manifest; what is no longer used is deleted."""
    checksum = hashlib.sha256(data).hexdigest()
    path = folder / "stations" / f"stations-{checksum[:12]}.db"
    manifest = path.with_name("manifest.json")
    with hold_lock(folder):
        plain = read_json(folder, manifest)
        write_atomically(path, data)
        before = _kept_stations(folder)
        told = {"form": FORM, "name": path.name, "size": len(data), "sha256": checksum}
        told |= {"fetched": show_instant(now), "from_where": address}
        told["odd_rows"] = odd
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


def _open(database: Path | bytes) -> sqlite3.Connection:
    """Open a database for reading only, with little trust and a limit of time."""
    if isinstance(database, bytes):
        connection = sqlite3.connect(":memory:")
        connection.deserialize(database)
    else:
        address = f"{database.resolve().as_uri()}?mode=ro&immutable=1"
        connection = sqlite3.connect(address, uri=True)
    connection.execute("PRAGMA query_only = ON")
    connection.text_factory = lambda text: text.decode("utf-8", "replace")
    connection.execute("PRAGMA trusted_schema = OFF")
    deadline = time.monotonic() + LONGEST_QUERY_S
    connection.set_progress_handler(lambda: time.monotonic() > deadline, STEPS_BETWEEN_LOOKS)
    return connection


def check_database(database: Path | bytes) -> str:
    """What is wrong with a database of stations; empty if it is sound and plausible."""
    try:
        with closing(_open(database)) as connection:
            for (verdict,) in connection.execute("PRAGMA quick_check(1)"):
                if verdict != "ok":
                    return f"the database is damaged ({' '.join(str(verdict).split())})"
            for kind, name, sql in connection.execute("SELECT type, name, sql FROM sqlite_master"):
                virtual = str(sql).upper().startswith("CREATE VIRTUAL")
                if kind not in {"table", "index"} or virtual:
                    return f"the database holds a {'virtual table' if virtual else kind} ({name})"
            for table, columns in TABLES.items():
                rows = connection.execute("SELECT name FROM pragma_table_info(?)", (table,))
                lacking = columns - {name for (name,) in rows}
                if lacking:
                    return f"the database has no {table}.{min(lacking)}"
            (count,) = connection.execute("SELECT count(*) FROM stations").fetchone()
    except sqlite3.Error as reason:
        return f"the database is damaged ({reason})"
    if count < FEWEST_STATIONS:
        return f"the database has only {count} stations"
    return ""


_COLUMNS = """
    SELECT stations.id, names.name, stations.latitude, stations.longitude, stations.elevation
    FROM stations
    LEFT JOIN names ON names.station = stations.id AND names.language = 'en'
"""


def _station(row: tuple[Any, ...]) -> Station | None:
    """
    The station in a row, None if it cannot be one.

    An elevation of exactly 0 m stands for unknown in this list, and so does one that is none.
    """
    identifier, name, latitude, longitude, height_m = row
    if not STATION_ID.fullmatch(str(identifier)):
        return None
    if not (_is_within(latitude, -90, 90) and _is_within(longitude, -180, 180)):
        return None
    return Station(
        identifier=str(identifier),
        name=str(name or identifier),
        latitude=float(latitude),
        longitude=float(longitude),
        elevation_m=float(height_m) if height_m and _is_within(height_m, *HEIGHTS_M) else None,
    )


def _is_within(value: Any, least: float, most: float) -> bool:
    """Whether a cell is a number between two others."""
    return isinstance(value, (int, float)) and isfinite(value) and least <= value <= most


def _stations(rows: Iterable[tuple[Any, ...]]) -> tuple[Station, ...]:
    """The stations in rows, each identifier once; rows that are none are passed over."""
    found: dict[str, Station] = {}
    for station in map(_station, rows):
        if station is not None:
            found.setdefault(station.identifier, station)
    return tuple(found.values())


def _count_odd(database: bytes) -> int:
    """Rows of a sound database that cannot be a station's; 0 where counting takes too long."""
    sql = "SELECT id, NULL, latitude, longitude, elevation FROM stations"
    with suppress(sqlite3.Error), closing(_open(database)) as connection:
        return sum(_station(row) is None for row in connection.execute(sql))
    return 0


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
        with closing(_open(stations.database)) as connection:
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
    found = _stations(rows)
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
    return _stations(query_stations(folder, stations, sql, (south, north)))
