"""Every form of file that is read: good small ones, and what reads them, with all that follows."""

from __future__ import annotations

import gzip
import json
import random
import sqlite3
from collections.abc import Callable
from contextlib import closing, suppress
from dataclasses import dataclass
from datetime import UTC, datetime
from functools import cache
from pathlib import Path
from shutil import copytree, rmtree
from tempfile import TemporaryDirectory, mkdtemp
from typing import Any

import numpy as np

from suitability.errors import SourceError
from suitability.units import TemperatureUnit
from suitability.weather.coverage import count_coverage
from suitability.weather.manifest import YearCounts, YearEntry, YearStatus, say_entries
from suitability.weather.minima import DailyYear
from suitability.weather.minima_store import _write, read_minima, series_of
from suitability.weather.quality import check_quality
from suitability.weather.record import Origin, Record, Station, to_dataset
from suitability.weather.sources.axis import FileRecord
from suitability.weather.sources.daily import parse_minima
from suitability.weather.sources.extremes import read_extremes
from suitability.weather.sources.files import read_file
from suitability.weather.sources.logger import read_logger
from suitability.weather.sources.typical import read_typical_year
from suitability.weather.sources.yearly import damage_of_gzip, parse_year
from suitability.weather.station_database import check_database
from suitability.weather.station_list import StationList, find_station
from suitability.weather.stations import find_candidates, none_near
from suitability.weather.store import ImportedPlace, import_record, read_imported
from suitability.weather.stored import encode_record
from suitability.weather.upkeep import check_store, prune_store
from suitability.weather.year_store import keep_year, list_stations, read_kept_station
from tests.weather.server import StationRow, csv_text, stations_database, year_rows

NOW = datetime(2026, 11, 24, 12, 0, tzinfo=UTC)
STATION = Station(
    identifier="10637", name="Invented", latitude=50.0, longitude=8.6, elevation_m=112.0
)
HOURS = 60  # of the small files
Shake = Callable[[bytes, random.Random], bytes]


@dataclass(frozen=True, slots=True, kw_only=True)
class Form:
    """
    A form of file.

    `read` takes bytes and a folder to work in, and raises what it must. `shake`, where the bytes
    have an order of their own, changes the content instead of the bytes.
    """

    name: str
    good: tuple[bytes, ...]
    read: Callable[[bytes, Path], None]
    packed: bool = False
    shake: Shake | None = None


FORMS: dict[str, Form] = {}


def add(name: str, *good: bytes, **more: Any) -> Callable[[Callable[[bytes, Path], None]], None]:
    """Let a function be the reader of a form."""

    def keep(read: Callable[[bytes, Path], None]) -> None:
        FORMS[name] = Form(name=name, good=good, read=read, **more)

    return keep


def written(data: bytes, folder: Path, name: str) -> Path:
    """A file of these bytes."""
    path = folder / name
    path.write_bytes(data)
    return path


def follow(found: FileRecord) -> None:
    """What a command does with any record that was read."""
    found.understood.sentences()
    record = check_quality(found.record)
    count_coverage(record)
    encode_record(record)


# --- text ----------------------------------------------------------------------------------------


def temps(hours: int = HOURS) -> list[str]:
    """Invented temperatures, °C."""
    hour = np.arange(hours)
    return [f"{temp:.1f}" for temp in 14 - 4 * np.cos(hour / 24 * 2 * np.pi) + hour % 7 * 0.1]


def times(style: str = "%Y-%m-%d %H:%M") -> list[str]:
    """Full hours of January 2024 in a style."""
    return [
        datetime(2024, 1, 1 + at // 24, at % 24, tzinfo=UTC).strftime(style) for at in range(HOURS)
    ]


PLAIN = "time,temp\n" + "".join(
    f"{time},{temp}\n" for time, temp in zip(times(), temps(), strict=True)
)
RICH = "wind,time,temp,dwpt,prcp\n" + "".join(
    f'1,"{time}",{temp},3.5,0.2\n'
    for time, temp in zip(times("%Y-%m-%dT%H:%M:%S+01:00"), temps(), strict=True)
)
HUMID = "time,temp,rhum\n" + "".join(
    f"{time},{temp},{'' if at % 5 else 80}\n"
    for at, (time, temp) in enumerate(zip(times("%Y-%m-%dT%H:%MZ"), temps(), strict=True))
)
CSV = tuple(text.encode() for text in (PLAIN, RICH, HUMID))


@add("CSV", *CSV)
def _csv(data: bytes, folder: Path) -> None:
    follow(read_file(written(data, folder, "a.csv"), longitude=8.6))


@add("CSV in °F", *CSV)
def _csv_f(data: bytes, folder: Path) -> None:
    follow(read_file(written(data, folder, "a.csv"), longitude=8.6, unit=TemperatureUnit.F))


@add("CSV, gzip", *(gzip.compress(one, mtime=0) for one in CSV), packed=True)
def _csv_gz(data: bytes, folder: Path) -> None:
    follow(read_file(written(data, folder, "a.csv.gz"), longitude=None))


LOGS = (
    "Title: porch\n"
    "Date Time;Temp\n"
    + "".join(
        f"{time};{temp.replace('.', ',')}\n"
        for time, temp in zip(times("%d.%m.%Y %H:%M"), temps(), strict=True)
    ),
    "Date Time,Temp,RH\n"
    + "".join(
        f'"{time}",{temp},55\n'
        for time, temp in zip(times("%m/%d/%y %I:%M:%S %p"), temps(), strict=True)
    ).replace("01/01", "01/13"),
    "Date Time\tTemp\n"
    + "".join(
        f"{time}\t{temp}\n" for time, temp in zip(times("%Y-%m-%d %H:20"), temps(), strict=True)
    ),
)


@add("logger", *(text.encode() for text in LOGS))
def _logger(data: bytes, folder: Path) -> None:
    path = written(data, folder, "log.csv")
    columns = {"time": "Date Time", "temp": "Temp"}
    unit = TemperatureUnit.F if len(data) % 2 else TemperatureUnit.C
    zone = ("Europe/Lisbon", "UTC", "-08:00", "Australia/Lord_Howe")[len(data) % 4]
    follow(read_logger(path, columns=columns, unit=unit, zone=zone))


@add("logger, declared format", LOGS[1].encode())
def _logger_format(data: bytes, folder: Path) -> None:
    path = written(data, folder, "log.csv")
    columns = {"time": "Date Time", "temp": "Temp", "rhum": "RH"}
    style = "%m/%d/%y %I:%M:%S %p"
    unit = TemperatureUnit.C
    follow(read_logger(path, columns=columns, unit=unit, zone="+01:00", time_format=style))


@add(
    "daily extremes",
    b"day,low,high\n"
    + b"".join(f"2024-01-{day:02d},{day / 2},{day + 5}\n".encode() for day in range(1, 29)),
)
def _extremes(data: bytes, folder: Path) -> None:
    read_extremes(
        written(data, folder, "days.csv"),
        columns={"date": "day", "min": "low", "max": "high"},
        unit=TemperatureUnit.C,
        read_in_the_morning=bool(len(data) % 2),
    )


def typical(hours: int = 8760) -> list[datetime]:
    """The hours of a year without a leap day."""
    return [datetime.fromtimestamp(978307200 + 3600 * at, UTC) for at in range(hours)]


EPW = (
    "LOCATION,Town,NC,USA,TMY3,723170,36.1,-79.95,-5.0,273\n"
    + "COMMENT\n" * 6
    + ("DATA PERIODS,1,1,Data,Sunday, 1/ 1,12/31\n")
    + "".join(
        f"1990,{at.month},{at.day},{at.hour + 1},60,A,{10 + at.hour % 9}.0,0.0,70,100000\n"
        for at in typical()
    )
)
TMY3 = (
    '723170,"TOWN",NC,-5.0,36.1,-79.95,273\n'
    "Date (MM/DD/YYYY),Time (HH:MM),Dry-bulb (C),RHum (%)\n"
    + "".join(
        f"{at.month:02d}/{at.day:02d}/1990,{at.hour + 1:02d}:00,{10 + at.hour % 9}.0,70\n"
        for at in typical()
    )
)


def missing_month(data: bytes, chance: random.Random) -> bytes:
    """A typical year without some of its lines in a row."""
    lines = data.split(b"\n")
    first = chance.randrange(8, 8000)
    return b"\n".join(lines[:first] + lines[first + chance.randrange(1, 900) :])


@add("EPW", EPW.encode(), shake=missing_month)
def _epw(data: bytes, folder: Path) -> None:
    read_typical_year(written(data, folder, "a.epw")).sentences()


@add("TMY3", TMY3.encode(), shake=missing_month)
def _tmy3(data: bytes, folder: Path) -> None:
    read_typical_year(written(data, folder, "a.tmy3")).sentences()


# --- tables in binary --------------------------------------------------------------------------


def small_record(hours: int = HOURS, year_hours: int = 473352) -> Record:
    """A record of invented hours from 2024 on."""
    values = np.array(temps(hours), np.float64)
    return Record(
        start_hour=year_hours,
        temp_c=values,
        origin=np.full(hours, Origin.OBSERVED, np.uint8),
        rhum_pct=np.full(hours, 70.0),
        station=STATION,
    )


@cache
def parquet_files() -> tuple[bytes, ...]:
    """Three tables: timestamps, texts, and single precision."""
    import io

    import pyarrow as pa
    import pyarrow.parquet as pq

    moments = np.datetime64("2024-01-01", "ns") + np.arange(HOURS) * np.timedelta64(1, "h")
    values = np.array(temps(), np.float64)
    tables = (
        {"time": moments, "temp": values, "rhum": np.full(HOURS, 70)},
        {"time": times(), "temp": values.astype(np.float32), "wind": values},
        {"time": pa.array(moments, pa.timestamp("ns", "Europe/Lisbon")), "temp": values},
    )
    found = []
    for columns in tables:
        file = io.BytesIO()
        pq.write_table(pa.table(columns), file, compression="none")
        found.append(file.getvalue())
    return tuple(found)


@add("Parquet", *parquet_files())
def _parquet(data: bytes, folder: Path) -> None:
    follow(read_file(written(data, folder, "a.parquet"), longitude=8.6))


@cache
def netcdf_files() -> tuple[bytes, ...]:
    """One of our own, and one in kelvin with a dimension of length one."""
    import xarray as xr

    record = small_record()
    moments = np.datetime64("2024-01-01", "ns") + np.arange(HOURS) * np.timedelta64(1, "h")
    kelvin = (record.temp_c + 273.15).astype(np.float32)[:, None]
    attributes = {"standard_name": "air_temperature", "units": "K"}
    other = xr.Dataset(
        {"t2m": (("time", "place"), kelvin, attributes)}, coords={"time": moments, "place": [1.0]}
    )
    found = []
    with TemporaryDirectory() as folder:
        for dataset in (to_dataset(record), other):
            path = Path(folder) / "a.nc"
            dataset.to_netcdf(path, engine="netcdf4")
            found.append(path.read_bytes())
    return tuple(found)


@add("NetCDF", *netcdf_files())
def _netcdf(data: bytes, folder: Path) -> None:
    follow(read_file(written(data, folder, "a.nc"), longitude=8.6))


@add("stored record", encode_record(small_record()))
def _stored(data: bytes, folder: Path) -> None:
    follow(read_file(written(data, folder, "a.hourly"), longitude=8.6))


# --- what comes from the service, and what the store keeps ---------------------------------------


YEARLY = csv_text(year_rows(2024)[:HOURS]).encode()
DAILY = b"year,month,day,tmin,tmin_source\n" + b"".join(
    f"2024,1,{day},{day / 10},ghcnd\n".encode() for day in range(1, 32)
)


@add("yearly file of the service", gzip.compress(YEARLY, mtime=0), packed=True)
def _yearly(data: bytes, folder: Path) -> None:  # noqa: ARG001  (nothing is written)
    damage = damage_of_gzip(data)
    if damage is not None:
        raise SourceError(damage.reason)
    found = parse_year(data, 2024, STATION, NOW)
    check_quality(found.observed)
    encode_record(found.observed)


@add("daily file of the service", gzip.compress(DAILY, mtime=0), packed=True)
def _daily(data: bytes, folder: Path) -> None:  # noqa: ARG001  (nothing is written)
    tenths = parse_minima(data, 2024)
    year = DailyYear(year=2024, status=YearStatus.COMPLETE, fetched=NOW, tenths=tenths)
    series_of((year,))


@cache
def database() -> bytes:
    """A list of stations."""
    with TemporaryDirectory() as folder:
        rows = [
            StationRow(identifier="10637", latitude=50.0, longitude=8.6),
            StationRow(identifier="NEXT1", latitude=50.1, longitude=8.5, elevation_m=800),
        ]
        return stations_database(Path(folder) / "a.db", rows, padding=1000)


CELLS: tuple[Any, ...] = (
    *(None, "", "x", b"\xff\xfe", -1, 0, 2**62, 1e308, -1e308, "50.0", "nan", "١٢", "../../etc"),
    *(float("inf"), "10637", "a b", "0000-00-00", "9999999", b"", 91.0, -181.0, "é" * 300),
)
COLUMNS = {
    "stations": ("id", "latitude", "longitude", "elevation"),
    "names": ("station", "language", "name"),
    "inventory": ("station", "provider", "parameter", "start", "end"),
}


def other_cells(data: bytes, chance: random.Random) -> bytes:
    """A list of stations in which some cells hold something else, or tables are something else."""
    with TemporaryDirectory() as folder:
        path = Path(folder) / "a.db"
        path.write_bytes(data)
        with closing(sqlite3.connect(path)) as connection:
            for _ in range(chance.choice((1, 2, 5))):
                table = chance.choice(tuple(COLUMNS))
                column = chance.choice(COLUMNS[table])
                most = chance.choice((1, 2, 5000))
                where = f"rowid <= {most}"
                sql = f"UPDATE {table} SET {column} = ? WHERE {where}"  # noqa: S608
                with suppress(OverflowError):
                    connection.execute(sql, (chance.choice(CELLS),))
            if chance.random() < 0.2:
                column = chance.choice(COLUMNS["stations"])
                connection.execute(f"ALTER TABLE stations RENAME COLUMN {column} TO other")
            connection.commit()
        return path.read_bytes()


@add("list of stations", database(), shake=other_cells)
def _stations(data: bytes, folder: Path) -> None:
    path = written(data, folder, "stations.db")
    fault = check_database(path)
    if fault:
        raise SourceError(fault)
    stations = StationList(database=path, fetched=NOW)
    find_candidates(
        folder, stations, 50.0, 8.63, 112.0, first_year=2000, last_year=2025, radius_km=100.0
    )
    find_station(folder, stations, "10637")
    str(none_near(folder, stations, 0.0, 0.0, 1.0))


@cache
def store() -> Path:
    """A store with two years, daily minima and an imported record."""
    folder = Path(mkdtemp())
    for year, hours in ((2023, 464592), (2024, 473352)):
        counts = YearCounts(expected=HOURS, observed=HOURS, sources=(("isd_lite", HOURS),))
        entry = YearEntry(year=year, status=YearStatus.COMPLETE, fetched=NOW, counts=counts)
        keep_year(folder, STATION, entry, small_record(year_hours=hours))
    minima = DailyYear(
        year=2024, status=YearStatus.COMPLETE, fetched=NOW, tenths={"ghcnd": (5, None)}
    )
    _write(folder, "10637", (minima,))
    place = ImportedPlace(name="Porch", latitude=50.0, longitude=8.6)
    import_record(folder, "porch", small_record(), place=place, from_where="a.csv", now=NOW)
    return folder


def kept_bytes(pattern: str) -> bytes:
    """The bytes of a file of the store."""
    return next(store().glob(pattern)).read_bytes()


def other_values(data: bytes, chance: random.Random) -> bytes:
    """A JSON document in which one value is something else, or gone."""
    plain = json.loads(data)
    at: Any = plain
    while isinstance(at, (dict, list)) and at:
        keys = list(at) if isinstance(at, dict) else list(range(len(at)))
        key = chance.choice(keys)
        if chance.random() < 0.3 or not isinstance(at[key], (dict, list)) or not at[key]:
            if chance.random() < 0.2:
                del at[key]
            else:
                at[key] = chance.choice(
                    (None, -1, 2**70, "", "x", [], {}, [1], {"a": 1}, 1e308, True)
                )
            break
        at = at[key]
    return json.dumps(plain).encode()


def in_store(data: bytes, folder: Path, pattern: str) -> Path:
    """A copy of the store in which one file has these bytes."""
    copy = folder / "store"
    rmtree(copy, ignore_errors=True)
    copytree(store(), copy)
    next(copy.glob(pattern)).write_bytes(data)
    return copy


MANIFEST, MINIMA = "hourly/10637/manifest.json", "hourly/10637/minima.json"
IMPORTED, YEAR_FILE = "imported/porch/manifest.json", "hourly/10637/2024-*.hours"


def use_store(folder: Path) -> None:
    """What the commands do with a store."""
    for one in list_stations(folder):
        say_entries(one.years)
        read_kept_station(folder, one.station.identifier)
    series_of(read_minima(folder, "10637"))
    read_imported(folder, "porch")
    check_store(folder)
    prune_store(folder)


@add("manifest of a station", kept_bytes(MANIFEST), shake=other_values)
def _manifest(data: bytes, folder: Path) -> None:
    use_store(in_store(data, folder, MANIFEST))


@add("daily minima of the store", kept_bytes(MINIMA), shake=other_values)
def _minima(data: bytes, folder: Path) -> None:
    use_store(in_store(data, folder, MINIMA))


@add("manifest of an import", kept_bytes(IMPORTED), shake=other_values)
def _imported(data: bytes, folder: Path) -> None:
    use_store(in_store(data, folder, IMPORTED))


@add("year of the store", kept_bytes(YEAR_FILE))
def _year(data: bytes, folder: Path) -> None:
    use_store(in_store(data, folder, YEAR_FILE))
