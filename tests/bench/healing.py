"""
Every fault of a weather service, and whether a healthy one cures it, the next day at the latest.

    python -m tests.bench.healing

A loopback service answers in one wrong way, for one year, the running one, all, or the list of
stations, at the first use and where good years are kept. Meanwhile an answer may be refused or
short, but holds no wrong hour; a day later the service is healthy and the record must be whole.
"""

from __future__ import annotations

import gzip
import sys
import tempfile
from collections.abc import Callable, Container, Iterator
from dataclasses import dataclass, field
from datetime import UTC, datetime, timedelta
from functools import cache
from pathlib import Path

import numpy as np

from suitability.errors import SuitabilityError
from suitability.weather.fetching import record_for_place
from suitability.weather.record import Record, hour_of_datetime
from suitability.weather.sources.meteostat import Addresses
from tests.weather.conftest import NOW, quick_transport
from tests.weather.server import (
    Row,
    Served,
    Server,
    StationRow,
    csv_text,
    running_server,
    stations_database,
    year_rows,
)

DAY = timedelta(days=1)
YEARS = tuple(range(2020, NOW.year + 1))
RENEWED = timedelta(days=200)  # after which every year is asked for again
STATION = StationRow(identifier="10637", latitude=50.0, longitude=8.6, elevation_m=112)
STATUSES = (400, 401, 403, 404, 408, 410, 418, 425, 429, 451, 500, 501, 502, 503, 504, 507)
LIST = "the list"
AT_A_TIME = {
    "one year": (2022,),
    "the last whole year": (NOW.year - 1,),
    "the running year": (NOW.year,),
    "every year": YEARS,
}


def rows_of(year: int, now: datetime) -> list[Row]:
    """What a healthy service has of a year: a reading every three hours, up to now."""
    stop = min(now, datetime(year + 1, 1, 1, tzinfo=UTC))
    return year_rows(year, step_hours=3, until=stop)


def packed(text: str | bytes) -> bytes:
    """A file as the service gives it."""
    return gzip.compress(text.encode() if isinstance(text, str) else text, 1, mtime=0)


def lines_of(change: Callable[[list[str]], list[str]]) -> Callable[[list[Row]], Served]:
    """The file of some rows, its cells changed line by line."""

    def served(rows: list[Row]) -> Served:
        head, *lines = csv_text(rows).splitlines()
        changed = [",".join(change(line.split(","))) for line in lines]
        return Served(body=packed("\n".join([head, *changed])))

    return served


def warmer(change: Callable[[float], float]) -> Callable[[list[Row]], Served]:
    """The file of some rows, with other temperatures."""

    def cells(row: list[str]) -> list[str]:
        return [*row[:4], f"{change(float(row[4])):.1f}", *row[5:]]

    return lines_of(cells)


def some(keep: Callable[[int, int], bool]) -> Callable[[list[Row]], Served]:
    """The file of some of the rows, by number and how many there are."""
    return lambda rows: Served(
        body=packed(csv_text([one for at, one in enumerate(rows) if keep(at, len(rows))]))
    )


def from_source(name: str) -> Callable[[list[Row]], Served]:
    """The file of some rows, all from another source."""
    return lambda rows: Served(body=packed(csv_text([(at, temp, name) for at, temp, _ in rows])))


@cache
def _zeros() -> bytes:
    """A small file that unpacks to a large one."""
    return packed(bytes(200_000_000))


def torn(data: bytes) -> bytes:
    """Bytes of which the middle is another."""
    middle = len(data) // 2
    return data[:middle] + bytes([data[middle] ^ 255]) + data[middle + 1 :]


# How any file may come, of its good bytes.
TRANSPORT: dict[str, Callable[[bytes], Served]] = {
    **{f"status {code}": lambda _, code=code: Served(status=code) for code in STATUSES},  # type: ignore[misc]
    "busy": lambda _: Served(status=503, retry_after="3600"),
    "sends on elsewhere": lambda _: Served(status=302, location="http://elsewhere.example/a"),
    "sends on to a file": lambda _: Served(status=302, location="file:///etc/hostname"),
    "reset": lambda _: Served(reset=True),
    "silent": lambda _: Served(silent_s=0.6),
    "drips": lambda body: Served(body=body, drip_s=0.03),
    "cut": lambda body: Served(body=body, cut=True),
    "half as if whole": lambda body: Served(body=body[: len(body) // 2]),
    "one byte wrong": lambda body: Served(body=torn(body)),
    "empty": lambda _: Served(body=b""),
    "a web page": lambda _: Served(body=b"<html>please log in</html>" * 50),
}
# What the file of a year may hold, of its good rows.
CONTENT: dict[str, Callable[[list[Row]], Served]] = {
    "not packed": lambda rows: Served(body=csv_text(rows).encode()),
    "packed nothing": lambda _: Served(body=packed("")),
    "200 MB of zeros": lambda _: Served(body=_zeros()),
    "no rows": lambda _: Served(body=packed(csv_text([]))),
    "no header": lambda rows: Served(body=packed(csv_text(rows).partition("\n")[2])),
    "other columns": lambda rows: Served(body=packed(csv_text(rows).replace(",temp,", ",t,"))),
    "another year": lines_of(lambda row: [str(int(row[0]) - 1), *row[1:]]),
    "month 13": lines_of(lambda row: [row[0], "13", *row[2:]]),
    "words for numbers": lines_of(lambda row: [*row[:4], "warm", *row[5:]]),
    "no temperatures": lines_of(lambda row: [*row[:4], "", *row[5:]]),
    "None": lines_of(lambda row: [*row[:4], "None", *row[5:]]),
    "fillers": lines_of(lambda row: [*row[:4], "-9999", *row[5:]]),
    "halved": some(lambda at, rows: at < rows // 2),
    "thin": some(lambda at, _: at % 4 == 0),
    "of a model": from_source("dwd_mosmix"),
    "of an unknown source": from_source("brand_new"),
    "of no source": from_source(""),
    "in °F": warmer(lambda temp: temp * 1.8 + 32),
    "in kelvin": warmer(lambda temp: temp + 273.15),
    "in tenths": warmer(lambda temp: temp * 10),
    "of another place": warmer(lambda temp: temp + 15),
    "each hour twice, otherwise": lambda rows: Served(
        body=packed(
            csv_text([two for at, t, by in rows for two in ((at, t, by), (at, (t or 0) + 3, by))])
        )
    ),
    "far too many rows": lambda rows: Served(body=packed(csv_text(rows * 15))),
}


@dataclass(slots=True, kw_only=True)
class Told:
    """What came of a fault, in all places and scopes."""

    cases: int = 0
    refused: int = 0
    cured: int = 0
    wrong: list[str] = field(default_factory=list)


def set_healthy(server: Server, now: datetime, database: bytes) -> None:
    """All good files as they are at a time."""
    server.files.clear()
    server.files["/stations.db"] = Served(body=database)
    for year in YEARS:
        server.serve_year("10637", year, Served(body=_good_file(year, now)))


@cache
def _good_file(year: int, now: datetime) -> bytes:
    """A yearly file as it is at a time."""
    return packed(csv_text(rows_of(year, now)))


def ask(server: Server, folder: Path, now: datetime) -> Record:
    """The record of the place, as `check` gets it."""
    return record_for_place(
        50.0,
        8.63,
        112.0,
        first_year=YEARS[0],
        last_year=YEARS[-1],
        folder=folder,
        now=now,
        quality=False,
        transport=quick_transport(),
        addresses=Addresses(hourly=server.hourly, stations=(server.stations,)),
    )


@cache
def truth(now: datetime) -> dict[int, float | None]:
    """The temperature of each hour that a healthy service has."""
    rows = (row for year in YEARS for row in rows_of(year, now))
    return {hour_of_datetime(at): temp for at, temp, _ in rows}


def given(record: Record) -> dict[int, float]:
    """The temperature of each hour that a record has."""
    there = np.flatnonzero(~np.isnan(record.temp_c))
    return dict(
        zip((there + record.start_hour).tolist(), record.temp_c[there].tolist(), strict=True)
    )


def cases(
    database: bytes, few: bytes, contents: Container[str] = CONTENT
) -> Iterator[tuple[str, str, dict[str, Served]]]:
    """Each fault and where it is: what is served in place of good files, by path."""
    for name, come in TRANSPORT.items():
        yield name, LIST, {"/stations.db": come(database)}
    yield "few stations", LIST, {"/stations.db": Served(body=few)}
    for where, years in AT_A_TIME.items():
        for name, come in TRANSPORT.items():
            yield (name, where, {_path(year): come(_good_file(year, NOW)) for year in years})
        for name, hold in CONTENT.items():
            if name in contents:
                yield name, where, {_path(year): hold(rows_of(year, NOW)) for year in years}


def _path(year: int) -> str:
    return f"/hourly/{year}/10637.csv.gz"


def try_one(
    server: Server, folder: Path, database: bytes, faulty: dict[str, Served], *, kept: bool
) -> tuple[bool, list[str]]:
    """Whether a fault was refused in a sentence, and what is wrong with how it went."""
    wrong: list[str] = []
    if kept:
        set_healthy(server, NOW - RENEWED, database)
        ask(server, folder, NOW - RENEWED)
    set_healthy(server, NOW, database)
    server.files |= faulty
    refused = False
    try:
        found, true = given(ask(server, folder, NOW)), truth(NOW)
        if any(true.get(hour) != temp for hour, temp in found.items()):
            wrong.append("an hour of the answer is wrong")
    except SuitabilityError as reason:
        refused = True
        if len(str(reason).splitlines()) != 1:
            wrong.append(f"no one sentence: {reason}")
    set_healthy(server, NOW + DAY, database)
    if given(ask(server, folder, NOW + DAY)) != truth(NOW + DAY):
        wrong.append("not cured the next day")
    return refused, wrong


def run() -> dict[str, Told]:
    """What came of all faults, by name."""
    told: dict[str, Told] = {}
    with running_server() as server, tempfile.TemporaryDirectory() as work:
        folder = Path(work)
        database = stations_database(folder / "a.db", [STATION])
        few = stations_database(folder / "b.db", [STATION], padding=3)
        for number, (name, where, faulty) in enumerate(cases(database, few)):
            for kept in (False, True):
                one = told.setdefault(name, Told())
                store = folder / f"{number} {kept}"
                refused, wrong = try_one(server, store, database, faulty, kept=kept)
                one.cases += 1
                one.refused += refused
                one.cured += not wrong
                first = "good years kept" if kept else "first use"
                one.wrong += [f"{name}, {where}, {first}: {what}" for what in wrong]
    return told


def main() -> None:
    """All faults, as Markdown."""
    told = run()
    print("| fault | cases | refused in a sentence meanwhile | cured the next day, no hour wrong |")
    print("|---|---|---|---|")
    for name, one in told.items():
        print(f"| {name} | {one.cases} | {one.refused} | {one.cured} |")
    numbers = [(one.cases, one.refused, one.cured) for one in told.values()]
    print(
        "| **all** | "
        + " | ".join(str(sum(column)) for column in zip(*numbers, strict=True))
        + " |"
    )
    wrong = [line for one in told.values() for line in one.wrong]
    for line in wrong:
        print(f"- {line}")
    sys.exit(1 if wrong else 0)


if __name__ == "__main__":
    main()
