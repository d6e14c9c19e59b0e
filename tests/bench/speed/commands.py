"""Whole processes: start-up, from the store to an answer, many places, plans and large files."""

from __future__ import annotations

import os
import subprocess
import sys
import tempfile
from datetime import UTC, datetime
from functools import partial
from pathlib import Path

import numpy as np
from msgspec import json
from msgspec.structs import replace

from suitability.weather.record import Record, datetime_of_hour
from suitability.weather.sources.files import read_file_record
from suitability.weather.store import ImportedPlace, import_record
from tests.bench.large_files import THREE_YEARS, measure_apart

from .contest import LIMIT, OURS, PEER, Contender, Goal, Run, Setting, Spent, Work
from .one_station import DATA, HOURS, TWELVE, in_fahrenheit
from .peers import START

ROOT = Path(__file__).parents[3]
COMPILED = Path(tempfile.gettempdir()) / "suitability-bench-compiled"
PYTHON, PROGRAM = sys.executable, (sys.executable, "-m", "suitability")
STATIONS = {
    "los_angeles": "33.938,-118.389,30",
    "porto_alegre": "-29.99,-51.17,41",
    "nashville": "36.12,-86.68,180",
    "lansing": "42.78,-84.58,256",
    "reno": "39.48,-119.77,1344",
    "dallas": "32.9,-97.0,180",
}
KINDS = ("open-bench", "open-porch", "closed-greenhouse", "frost-hollow")
# Started anew, so that neither the time nor the memory of the one that measures is counted.
LAUNCHER = """
import json, resource, subprocess, sys, time
start = time.perf_counter()
done = subprocess.run(sys.argv[1:], stdout=subprocess.DEVNULL, stderr=subprocess.PIPE)
seconds = time.perf_counter() - start
if done.returncode:
    sys.exit(done.stderr.decode()[-2000:])
used = resource.getrusage(resource.RUSAGE_CHILDREN)
print(json.dumps([min(seconds, used.ru_utime + used.ru_stime), used.ru_maxrss / 1024]))
"""


def process(*arguments: str, **environment: str) -> Run:
    """
    A whole process that must succeed: its seconds, and MB of the largest process in it.

    Compiled modules are kept in a folder of the bench, so that a checkout is timed as what pip
    installs and compiles.
    """
    everything = os.environ | {"PYTHONPYCACHEPREFIX": str(COMPILED), "PYTHONPATH": str(ROOT)}
    everything.pop("PYTHONDONTWRITEBYTECODE", None)
    everything |= environment

    def run() -> Spent:
        command = [PYTHON, "-c", LAUNCHER, *arguments]
        done = subprocess.run(command, check=False, capture_output=True, env=everything)
        if done.returncode:
            raise RuntimeError(f"{' '.join(arguments)}: {done.stderr.decode()}")
        seconds, peak_mb = json.decode(done.stdout)
        return Spent(seconds, peak_mb)

    return run


def asked(name: str, *arguments: str, home: Path | None = None) -> Contender:
    """The program with some words behind its name."""
    where = {} if home is None else {"SUITABILITY_HOME": str(home)}
    return Contender(name, lambda: process(*PROGRAM, *arguments, **where), role=OURS)


def bare(name: str, *arguments: str, role: str = PEER) -> Contender:
    """Another program of Python."""
    return Contender(name, lambda: process(PYTHON, *arguments), role=role)


def thirty_years(name: str = "nashville") -> Record:
    """A real record, over and over."""
    record = read_file_record(DATA / f"{name}.hourly", longitude=_position(name)[1])
    rain = record.prcp_mm
    years = record.temp_c.size // 8766 * 8766 // 24 * 24  # whole ones, so that seasons fit
    return replace(
        record,
        temp_c=np.resize(record.temp_c[:years], HOURS),
        origin=np.resize(record.origin[:years], HOURS),
        prcp_mm=None if rain is None else np.resize(rain[:years], HOURS),
        rhum_pct=None,
        lowest_c=None,
        lost_minimum_c=None,
    )


def _position(name: str) -> tuple[float, float]:
    latitude, longitude, _ = STATIONS[name].split(",")
    return float(latitude), float(longitude)


def keep(record: Record, folder: Path, name: str, station: str = "nashville") -> None:
    """The record in a store, under a name."""
    latitude, longitude = _position(station)
    place = ImportedPlace(
        name=name,
        latitude=latitude,
        longitude=longitude,
        utc_offset_hours=float(round(longitude / 15)),
    )
    now = datetime.now(UTC)
    import_record(folder / "weather", name, record, place=place, from_where="", now=now)


def start(setting: Setting) -> tuple[Work, ...]:
    """W5: from nothing to help, and from the store or a file to the document."""
    home = setting.folder / "home"
    home.mkdir(exist_ok=True)
    nashville = thirty_years()
    records = {
        "tenths": (nashville, "nashville"),
        "rain": (thirty_years("porto_alegre"), "porto_alegre"),
        "fahrenheit": (replace(nashville, temp_c=in_fahrenheit(nashville.temp_c)), "nashville"),
    }
    for name, (record, station) in records.items():
        keep(record, home, name, station)
    hello = setting.folder / "hello.py"
    hello.write_text(HELLO)
    told = {"tenths": "tenths", "rain": "tenths with rain", "fahrenheit": "°F to six decimals"}
    checks = {name: f"check --json, {words}" for name, words in told.items()}
    reading = f"import pandas; pandas.read_csv({str(_csv(setting))!r})"
    typer, opening = "hello-world of typer, --help", "the record opened alone"
    opened = (
        "from pathlib import Path; from suitability.weather.store import read_imported; "
        f"read_imported(Path({str(home / 'weather')!r}), 'tenths')"
    )
    csv = ("--record", str(_csv(setting)), "--at", STATIONS["nashville"])
    return (
        Work(
            "W5-help",
            "W5 Help",
            "Whole processes, compiled modules warm.",
            (
                bare("python -c pass", "-c", "pass", role=LIMIT),
                bare(typer, str(hello), "--help"),
                asked("suitability --help", "--help"),
                asked("suitability check --help", "check", "--help"),
            ),
            (
                Goal("--help / python -c pass", "suitability --help", 7.0),
                Goal("--help / hello-world of typer", "suitability --help", 1.2, typer),
            ),
            setting.of(15, 1),
        ),
        Work(
            "W5-check",
            "W5 From the store to an answer",
            "Thirty years of Nashville (with rain: Porto Alegre), the whole catalogue, as JSON. "
            "The others do less: hours below 12 floors by month, and one chart.",
            (
                bare("python -c 'import numpy'", "-c", "import numpy", role=LIMIT),
                *(
                    asked(words, "check", "--json", "--record", name, home=home)
                    for name, words in checks.items()
                ),
                bare(opening, "-c", opened, role=OURS),
                asked("moves --json", "moves", "--json", "--record", "tenths", home=home),
                Contender(
                    "pandas from Parquet, groupby, plotly page",
                    lambda: _by_pandas(setting, nashville),
                    needs="pyarrow",
                ),
                Contender(
                    "xarray from NetCDF, resample, plotly page",
                    lambda: _by_xarray(setting, nashville),
                    needs="netCDF4",
                    rounds=3,
                ),
            ),
            (
                *(Goal(f"{words} / import numpy", words, 4.0) for words in checks.values()),
                Goal("moves --json / import numpy", "moves --json", 6.0),
                Goal("the record opened / import numpy", opening, 1.2),
            ),
            setting.of(9, 1),
        ),
        Work(
            "W5-file",
            "W5 From a file of a user to an answer",
            "The hours of Nashville as CSV, compressed; the other only reads it.",
            (
                bare("pandas reading it", "-c", reading),
                asked("check --json", "check", "--json", *csv),
            ),
            (
                Goal(
                    "check --json / pandas reading the file",
                    "check --json",
                    2.0,
                    "pandas reading it",
                ),
            ),
            setting.of(5, 1),
        ),
    )


HELLO = """import typer
app = typer.Typer()
@app.command()
def one(x: int = 1) -> None: print(x)
@app.command()
def two(x: int = 1) -> None: print(x)
app()
"""
DRAWN = """
import plotly.graph_objects as go
figure = go.Figure(go.Heatmap(z=below.to_numpy()))
figure.write_html(sys.argv[1] + ".html", include_plotlyjs=True)
"""
PANDAS = f"""
import sys
import pandas as pd
series = pd.read_parquet(sys.argv[1])["temp"]
keys = [series.index.year, series.index.month]
floors = {TWELVE.tolist()}
below = pd.DataFrame({{f: series < f for f in floors}}).groupby(keys).sum()
short = pd.DataFrame({{f: (f - series).clip(lower=0) for f in floors}}).groupby(keys).sum()
{DRAWN}"""
XARRAY = f"""
import sys
import xarray as xr
temp = xr.open_dataset(sys.argv[1])["temp"].load()
floors = {TWELVE.tolist()}
below = xr.concat([(temp < f).resample(time="MS").sum() for f in floors], "floor")
short = [(f - temp).clip(min=0).resample(time="MS").sum() for f in floors]
{DRAWN}"""


def _by_pandas(setting: Setting, record: Record) -> Run:
    import pandas as pd

    file = setting.folder / "hours.parquet"
    index = pd.date_range(START, periods=record.temp_c.size, freq="h")
    pd.DataFrame({"temp": record.temp_c}, index).to_parquet(file)
    return process(PYTHON, "-c", PANDAS, str(file))


def _by_xarray(setting: Setting, record: Record) -> Run:
    import pandas as pd
    import xarray as xr

    file = setting.folder / "hours.nc"
    axis = {"time": pd.date_range(START, periods=record.temp_c.size, freq="h")}
    xr.Dataset({"temp": ("time", record.temp_c)}, axis).to_netcdf(file)
    return process(PYTHON, "-c", XARRAY, str(file))


def _csv(setting: Setting) -> Path:
    """The record as a file a user would have: `time,temp`, one row an hour, compressed."""
    import gzip

    file = setting.folder / "record.csv.gz"
    if not file.exists():
        record = read_file_record(DATA / "nashville.hourly", longitude=-86.7)
        rows = [
            f"{datetime_of_hour(record.start_hour + at):%Y-%m-%d %H:%M},{temp:.1f}"
            for at, temp in enumerate(record.temp_c.tolist())
            if temp == temp  # noqa: PLR0124  (not nan)
        ]
        file.write_bytes(gzip.compress("\n".join(["time,temp", *rows, ""]).encode(), 6))
    return file


# Many places -----------------------------------------------------------------------------------


def places(setting: Setting) -> tuple[Work, ...]:
    """Lists of places that grow, and stations of thirty years from the store."""
    lengths = setting.of(6, 1), setting.of(24, 2), setting.of(96, 3)
    stations = setting.of(32, 2)
    home = setting.folder / "many"
    home.mkdir(exist_ok=True)

    def listing(number: int) -> Run:
        known = list(STATIONS.items())
        rows = [
            f'{known[at % 6][0]} {at},"{known[at % 6][1]}",{DATA / known[at % 6][0]}.hourly'
            for at in range(number)
        ]
        return _check(home, f"list-{number}", rows)

    def stored() -> Run:
        names = list(STATIONS)
        rows = []
        for at in range(stations):
            station = names[at % 6]
            record = thirty_years(station)
            warmer = np.round(record.temp_c + (at // 6) / 10, 1)
            keep(replace(record, temp_c=warmer), home, f"station-{at}", station)
            rows.append(f'{station} {at},"{STATIONS[station]}",station-{at}')
        return _check(home, "stations", rows)

    longest, shortest = (f"{number} places" for number in (lengths[-1], lengths[0]))
    clones = f"{stations} stations"
    return (
        Work(
            "places-list",
            "Lists of places",
            "`check --places` of six real records of 10 to 21 years over and over, whole "
            "catalogue, all cores. MB: of the largest process.",
            tuple(
                Contender(f"{number} places", partial(listing, number), role=OURS, pieces=number)
                for number in lengths
            ),
            (Goal("memory, longest list / shortest", longest, 1.1, shortest, measure="MB"),),
            rounds=1,
            piece="place",
        ),
        Work(
            "places-stations",
            "Stations of thirty years from the store",
            f"{stations} clones of six real records, repeated to thirty years and a tenth warmer "
            "from round to round, whole catalogue, all cores.",
            (Contender(clones, stored, role=OURS, pieces=stations),),
            (
                Goal(
                    "1,000 stations in minutes, reckoned from these in proportion",
                    clones,
                    10.0,
                    measure="seconds",
                    factor=1000 / stations / 60,
                ),
            ),
            rounds=1,
            piece="station",
        ),
    )


def _check(home: Path, name: str, rows: list[str]) -> Run:
    """A list written down, and the program that works through it anew each time."""
    file, results = home / f"{name}.csv", home / f"{name}-results.csv"
    file.write_text("\n".join(["name,at,record", *rows, ""]), "utf-8")
    once = process(
        *PROGRAM,
        *("check", "--places", str(file), "--results", str(results)),
        SUITABILITY_HOME=str(home),
    )

    def run() -> Spent:
        results.unlink(missing_ok=True)
        found: Spent = once()
        return found

    return run


# Collections -----------------------------------------------------------------------------------


def collections(setting: Setting) -> tuple[Work, ...]:
    """Spots compared, and a collection of two hundred plants planned and watched."""
    home = setting.folder / "collections"
    home.mkdir(exist_ok=True)
    keep(thirty_years(), home, "bench")
    numbers = (1, 5, 20)
    pots = setting.of(200, 6)

    def spots(number: int) -> Contender:
        file = home / f"{number}.toml"
        tables = (
            f'[[spot]]\nname = "{at}"\nkind = "{KINDS[at % 4]}"\nday_c = {at / 10}\n'
            for at in range(number)
        )
        file.write_text('[place]\nrecord = "bench"\n' + "".join(tables), "utf-8")
        return asked(
            f"compare --json, {number} spots",
            *("compare", "--collection", str(file), "--json"),
            home=home,
        )

    own = home / "own.toml"
    own.write_text(_collection(pots), "utf-8")
    record = read_file_record(DATA / "nashville.hourly", longitude=-86.7)
    end = datetime_of_hour(record.start_hour + HOURS)
    week = home / "week.csv"
    hours = (datetime_of_hour(record.start_hour + HOURS - 24 + at) for at in range(24 * 7))
    week.write_text(
        "time,temp\n" + "".join(f"{hour:%Y-%m-%dT%H:%M},8.0\n" for hour in hours), "utf-8"
    )
    named = ("--collection", str(own), "--json")
    ahead_of_it = ("--forecast", str(week), "--on", f"{end:%Y-%m-%dT%H}")
    one = "compare --json, 1 spots"
    return (
        Work(
            "collections-spots",
            "Spots of a collection",
            "Thirty years of Nashville, the whole catalogue at every spot.",
            tuple(spots(number) for number in numbers),
            tuple(
                Goal(f"{n} spots / 1 spot", f"compare --json, {n} spots", float(n), one)
                for n in numbers[1:]
            ),
            rounds=1,
        ),
        Work(
            "collections-plants",
            f"A collection of {pots} plants",
            "Twelve groups at eight spots with room for a third of them each, thirty years of "
            "Nashville.",
            (
                asked("plan --json", "plan", *named, home=home),
                asked("outlook --json", "outlook", *named, *ahead_of_it, home=home),
            ),
            rounds=1,
        ),
    )


GROUPS = (
    *("phalaenanthe", "spatulata", "nobile", "pendulous", "callista", "formosae"),
    *("dendrocoryne", "latouria", "cattleya", "oncidium", "cymbidium", "laelia-anceps"),
)


def _collection(pots: int) -> str:
    """An invented collection: eight spots, pots of twelve groups in turn."""
    spots = "".join(
        f'[[spot]]\nname = "spot {at}"\nkind = "{kind}"\nplaces = {max(2, pots // 3)}\n'
        for at, kind in enumerate((*KINDS, "open-bench", "open-porch", "room", "window-sill"))
    )
    plants = "".join(
        f'[[plant]]\nname = "pot {at}"\ngroup = "{GROUPS[at % 12]}"\nspot = "spot 6"\n'
        for at in range(pots)
    )
    return f'[place]\nrecord = "bench"\n{spots}{plants}'


# Large files -----------------------------------------------------------------------------------


def large_files(setting: Setting) -> tuple[Work, ...]:
    """Logs of minutes, read in a process of their own."""
    small = setting.of(180_000, 3000)

    def reading(kind: str, lines: int) -> Spent:
        found = measure_apart(kind, lines)
        return Spent(found["s"], found["most MB"])

    sizes = (("csv", small), ("csv", 10 * small), ("log", setting.of(THREE_YEARS, small)))
    long = f"csv, {10 * small:,} lines"
    return (
        Work(
            "files",
            "Large files of readings",
            "Invented readings a minute apart; seconds of reading, memory of the process.",
            tuple(
                Contender(
                    f"{kind}, {lines:,} lines",
                    partial(partial, reading, kind, lines),
                    role=OURS,
                    pieces=lines,
                )
                for kind, lines in sizes
            ),
            (Goal("MB of the process that reads the long CSV", long, 280.0, measure="MB"),),
            rounds=1,
            piece="line",
        ),
    )
