"""A database of weather stations: opened with little trust, checked, and its rows as stations."""

from __future__ import annotations

import sqlite3
import time
from collections.abc import Iterable, Mapping
from contextlib import closing, suppress
from math import isfinite
from pathlib import Path
from typing import Any

from suitability.errors import SourceError
from suitability.weather.record import Station
from suitability.weather.year_store import STATION_ID

MAGIC = b"SQLite format 3\x00"
TABLES = {
    "stations": {"id", "latitude", "longitude", "elevation"},
    "names": {"station", "language", "name"},
    "inventory": {"station", "provider", "parameter", "start", "end"},
}
FEWEST_STATIONS = 1000  # the list had 15,787 in 2026; a list with fewer than this is a torn one
FEWEST_SETTING = "SUITABILITY_FEWEST_STATIONS"
LONGEST_QUERY_S = 30.0  # a whole list takes some tenths of a second
STEPS_BETWEEN_LOOKS = 100_000  # of the database's machine, after which the time is looked at
HEIGHTS_M = (-500.0, 9000.0)  # on land; beyond it a height is taken as unknown


def open_database(database: Path | bytes) -> sqlite3.Connection:
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


def read_fewest_stations(environment: Mapping[str, str]) -> int:
    """
    Fewest stations that a list may have, by SUITABILITY_FEWEST_STATIONS, for mirrors of a region.

    Raises
    ------
    SourceError
        It is no whole number from 1 on.
    """
    text = environment.get(FEWEST_SETTING, "").strip() or str(FEWEST_STATIONS)
    if not (text.isascii() and text.isdigit() and len(text) < 10 and int(text)):
        raise SourceError(f"{FEWEST_SETTING} is {text!r}; it must be a whole number, such as 20.")
    return int(text)


def check_database(database: Path | bytes, fewest: int = FEWEST_STATIONS) -> str:
    """What is wrong with a database of stations; empty if it is sound and has enough of them."""
    try:
        with closing(open_database(database)) as connection:
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
    if count < fewest:
        return (
            f"the database has only {count} stations, fewer than {fewest}; if it is whole, allow "
            f"it with the environment variable {FEWEST_SETTING}={count}"
        )
    return ""


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


def stations_of_rows(rows: Iterable[tuple[Any, ...]]) -> tuple[Station, ...]:
    """The stations in rows, each identifier once; rows that are none are passed over."""
    found: dict[str, Station] = {}
    for station in map(_station, rows):
        if station is not None:
            found.setdefault(station.identifier, station)
    return tuple(found.values())


def count_odd(database: bytes) -> int:
    """Rows of a sound database that cannot be a station's; 0 where counting takes too long."""
    sql = "SELECT id, NULL, latitude, longitude, elevation FROM stations"
    with suppress(sqlite3.Error), closing(open_database(database)) as connection:
        return sum(_station(row) is None for row in connection.execute(sql))
    return 0
