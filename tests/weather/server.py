"""A weather service on 127.0.0.1 for the tests: its files, and on purpose its failures."""

from __future__ import annotations

import gzip
import io
import math
import sqlite3
import threading
import time
from contextlib import contextmanager
from dataclasses import dataclass, field
from datetime import UTC, datetime, timedelta
from functools import lru_cache
from http.server import BaseHTTPRequestHandler, ThreadingHTTPServer
from typing import TYPE_CHECKING

import numpy as np

if TYPE_CHECKING:
    from collections.abc import Iterator, Sequence
    from pathlib import Path

HOUR = timedelta(hours=1)
Row = tuple[datetime, float | None, str]  # hour, temperature, source


def year_rows(
    year: int,
    *,
    source: str = "isd_lite",
    mean_c: float = 12.0,
    step_hours: int = 1,
    until: datetime | None = None,
) -> list[Row]:
    """Invented hours of a year: a yearly and a daily wave, in tenths of a degree."""
    return list(_year_rows(year, source, mean_c, step_hours, until))


@lru_cache(maxsize=200)
def _year_rows(
    year: int, source: str, mean_c: float, step_hours: int, until: datetime | None
) -> tuple[Row, ...]:
    """The rows, made once."""
    first = datetime(year, 1, 1, tzinfo=UTC)
    hours = math.ceil(((until or datetime(year + 1, 1, 1, tzinfo=UTC)) - first) / HOUR)
    hour = np.arange(0, hours, step_hours)
    temp_c = mean_c - 8 * np.cos(2 * np.pi * hour / 8766) - 4 * np.cos(np.pi * (hour % 24) / 12)
    times = (first + HOUR * at for at in hour.tolist())
    return tuple(
        (at, temp, source) for at, temp in zip(times, temp_c.round(1).tolist(), strict=True)
    )


def csv_text(rows: Sequence[Row]) -> str:
    """Rows in the layout of a yearly file: a source behind each value, humidity and rain too."""
    text = io.StringIO()
    text.write("year,month,day,hour,temp,temp_source,rhum,rhum_source,prcp,prcp_source\n")
    for at, temp_c, source in rows:
        stamp = f"{at.year},{at.month},{at.day},{at.hour}"
        temp = "" if temp_c is None else f"{temp_c:.1f}"
        text.write(f"{stamp},{temp},{source},70,{source},0.0,{source}\n")
    return text.getvalue()


def year_file(rows: list[Row]) -> bytes:
    """The packed yearly file of these rows."""
    return _year_file(tuple(rows))


@lru_cache(maxsize=200)
def _year_file(rows: tuple[Row, ...]) -> bytes:
    """The packed file, made once."""
    return gzip.compress(csv_text(rows).encode(), compresslevel=1, mtime=0)


@dataclass(frozen=True, slots=True, kw_only=True)
class StationRow:
    """One invented station of the database."""

    identifier: str
    latitude: float
    longitude: float
    elevation_m: float | None = 100.0
    name: str = "Invented"
    start: str = "2000-01-01"
    end: str = "2030-12-31"
    provider: str = "isd_lite"


def stations_database(path: Path, rows: list[StationRow], *, padding: int = 1200) -> bytes:
    """
    A stations database of these stations, and of others at the far end of the world.

    The others make the number of stations plausible.
    """
    path.write_bytes(_stations_database(tuple(rows), padding))
    return path.read_bytes()


@lru_cache(maxsize=50)
def _stations_database(rows: tuple[StationRow, ...], padding: int) -> bytes:
    """The database, made once."""
    connection = sqlite3.connect(":memory:")
    connection.executescript(
        """
        CREATE TABLE stations (id TEXT, country TEXT, region TEXT, latitude REAL, longitude REAL,
                               elevation INTEGER, timezone TEXT);
        CREATE TABLE names (station TEXT, language TEXT, name TEXT);
        CREATE TABLE identifiers (station TEXT, key TEXT, value TEXT);
        CREATE TABLE inventory (station TEXT, provider TEXT, parameter TEXT, start TEXT, end TEXT,
                                completeness REAL);
        """
    )
    far = [
        StationRow(identifier=f"X{number:04d}", latitude=-80.0, longitude=-179 + number % 300)
        for number in range(padding)
    ]
    for row in [*rows, *far]:
        connection.execute(
            "INSERT INTO stations VALUES (?, 'XX', NULL, ?, ?, ?, 'UTC')",
            (row.identifier, row.latitude, row.longitude, row.elevation_m),
        )
        connection.execute("INSERT INTO names VALUES (?, 'en', ?)", (row.identifier, row.name))
        connection.execute(
            "INSERT INTO inventory VALUES (?, ?, 'temp', ?, ?, 99)",
            (row.identifier, row.provider, row.start, row.end),
        )
    connection.commit()
    made = connection.serialize()
    connection.close()
    return made


@dataclass(frozen=True, slots=True, kw_only=True)
class Served:
    """
    How the server answers at one path.

    `failures` answers are given with `failing_status` before the true one; `drip_s` is a wait
    after each piece of `piece` bytes, `cut` closes the connection after half of what is asked. With
    a tag the rest of a file may be asked for. `location` is where a status 302 sends on to.
    """

    body: bytes = b""
    status: int = 200
    failures: int = 0
    failing_status: int = 500
    retry_after: str = ""
    etag: str = ""
    delay_s: float = 0.0
    drip_s: float = 0.0
    piece: int = 1
    location: str = ""
    cut: bool = False
    reset: bool = False
    silent_s: float = 0.0


@dataclass(slots=True, kw_only=True)
class Server:
    """A running server: what it serves, and what it was asked."""

    address: str
    files: dict[str, Served] = field(default_factory=dict)
    asked: list[str] = field(default_factory=list)
    most_at_once: int = 0
    headers: list[dict[str, str]] = field(default_factory=list)
    everything: Served | None = None

    @property
    def hourly(self) -> str:
        """Address of the yearly files."""
        return self.address + "/hourly/{year}/{station}.csv.gz"

    @property
    def stations(self) -> str:
        """Address of the stations database."""
        return self.address + "/stations.db"

    def serve_year(self, station: str, year: int, served: Served | list[Row]) -> None:
        """Serve a yearly file: its rows, or any answer."""
        if isinstance(served, list):
            served = Served(body=year_file(served))
        self.files[f"/hourly/{year}/{station}.csv.gz"] = served


@contextmanager
def running_server() -> Iterator[Server]:
    """A server on a free port of 127.0.0.1, closed at the end."""
    counted: dict[str, int] = {}
    at_once = [0]
    lock = threading.Lock()

    class Handler(BaseHTTPRequestHandler):
        protocol_version = "HTTP/1.1"

        def log_message(self, format: str, *args: object) -> None:  # noqa: A002
            """Say nothing."""

        def do_GET(self) -> None:
            """Answer as the test wishes."""
            with lock:
                server.asked.append(self.path)
                server.headers.append(dict(self.headers.items()))
                counted[self.path] = counted.get(self.path, 0) + 1
                number = counted[self.path]
                at_once[0] += 1
                server.most_at_once = max(server.most_at_once, at_once[0])
            try:
                answer(self, server.everything or server.files.get(self.path), number)
            except (BrokenPipeError, ConnectionResetError):
                self.close_connection = True
            finally:
                with lock:
                    at_once[0] -= 1

    httpd = ThreadingHTTPServer(("127.0.0.1", 0), Handler)
    httpd.daemon_threads = True
    server = Server(address=f"http://127.0.0.1:{httpd.server_address[1]}")
    thread = threading.Thread(target=httpd.serve_forever, kwargs={"poll_interval": 0.02})
    thread.start()
    try:
        yield server
    finally:
        httpd.shutdown()
        httpd.server_close()
        thread.join()


def answer(handler: BaseHTTPRequestHandler, served: Served | None, number: int) -> None:
    """Send what is to be sent to the number-th question."""
    if served is None:
        served = Served(status=404)
    if number <= served.failures:
        served = Served(status=served.failing_status, retry_after=served.retry_after)
    time.sleep(served.delay_s)
    if served.reset:
        handler.close_connection = True
        handler.connection.setsockopt(*_RESET)
        handler.connection.close()
        return
    if served.silent_s:
        time.sleep(served.silent_s)
        handler.close_connection = True
        return
    if served.etag and handler.headers.get("If-None-Match") == served.etag:
        _send_head(handler, 304, served, 0)
        return
    body, first = served.body, 0
    asked = handler.headers.get("Range", "")
    if served.etag and asked and handler.headers.get("If-Range") == served.etag:
        first = int(asked.removeprefix("bytes=").removesuffix("-"))
        body = body[first:]
    _send_head(handler, 206 if first else served.status, served, len(body), first)
    if served.cut:
        handler.wfile.write(body[: len(body) // 2])
        handler.close_connection = True
    elif served.drip_s:
        for at in range(0, len(body), served.piece):
            handler.wfile.write(body[at : at + served.piece])
            handler.wfile.flush()
            time.sleep(served.drip_s)
    else:
        handler.wfile.write(body)


def _reset_option() -> tuple[int, int, bytes]:
    """The socket option that makes closing send a reset."""
    import socket
    import struct

    return socket.SOL_SOCKET, socket.SO_LINGER, struct.pack("ii", 1, 0)


_RESET: tuple[int, int, bytes] = _reset_option()


def _send_head(
    handler: BaseHTTPRequestHandler, status: int, served: Served, size: int, first: int = 0
) -> None:
    """Send status and headers."""
    handler.send_response(status)
    handler.send_header("Content-Length", str(size))
    if first:
        last = len(served.body) - 1
        handler.send_header("Content-Range", f"bytes {first}-{last}/{len(served.body)}")
    if served.location:
        handler.send_header("Location", served.location)
    if served.etag:
        handler.send_header("ETag", served.etag)
    if served.retry_after:
        handler.send_header("Retry-After", served.retry_after)
    handler.end_headers()
