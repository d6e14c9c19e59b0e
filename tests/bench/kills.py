"""
Programs killed at random points: what was stored is still there, and the next run completes.

    python -m tests.bench.kills [KILLS]

Fetching over a loopback server, importing, fitting a spot and pruning, each killed at so many
points, the same for the same number: half of them just before a chosen touch of a file or of the
network, half after a chosen time. The program is a copy of this process, so that a kill falls into
its work and not into its loading.
"""

from __future__ import annotations

import gzip
import json
import os
import random
import shutil
import signal
import subprocess
import sys
import tempfile
import time
from collections.abc import Callable, Iterator, Sequence
from contextlib import contextmanager
from dataclasses import dataclass, field
from datetime import UTC, datetime, timedelta
from hashlib import sha256
from itertools import count
from pathlib import Path
from typing import Any

import numpy as np

from suitability.errors import StoreError
from suitability.weather.minima_store import read_minima
from suitability.weather.store import list_imported, read_imported
from suitability.weather.upkeep import check_store, prune_store
from suitability.weather.year_store import list_stations, read_year
from tests.weather.server import Served, StationRow, running_server, stations_database, year_rows

KILLS = 300
LONGER = 1.1  # times what a whole run takes, within which a kill falls
TOUCHES = frozenset({"open", "os.rename", "os.remove", "os.mkdir", "os.rmdir", "socket.connect"})
YEARS = (2019, 2020, 2021, 2022, 2023)
PLACE = "50.0,8.6,112"
STATIONS = ("10637", "NEXT1")
State = dict[str, str]


@dataclass(frozen=True, slots=True, kw_only=True)
class Job:
    """A command; after it was killed, the same is run once more."""

    name: str
    asked: Callable[[Path], list[str]]


@dataclass(slots=True, kw_only=True)
class Told:
    """What the kills of a command came to; those that fell behind its end are none."""

    touches: int
    kills: int = 0
    between: int = 0
    wrong: list[str] = field(default_factory=list)


def fetching(folder: Path) -> list[str]:  # noqa: ARG001  (the shape of a command)
    """Kept years renewed, others added, daily minima and the list of stations too."""
    return ["weather", "fetch", "--station", "10637", "--years", "2019-2023", "--refresh"]


def importing(folder: Path) -> list[str]:
    """A record in the place of one of the same name."""
    return ["weather", "import", str(folder / "new.csv"), "--name", "porch", "--replace"]


def fitting(folder: Path) -> list[str]:
    """A log into a collection with notes."""
    log = ["--columns", "time=time,temp=temp", "--input-units", "c", "--zone", "UTC", "--demo"]
    where = ["--collection", str(folder / "mine.toml"), "--spot", "porch", "--write"]
    return ["spots", "fit", str(folder / "log.csv"), *log, *where]


def pruning(folder: Path) -> list[str]:
    """A station, an import and leftovers, or what is still there of them."""
    store = folder / "weather"
    asked = ["weather", "prune"]
    if any(one.station.identifier == "NEXT1" for one in list_stations(store)):
        asked += ["--station", "NEXT1"]
    return [*asked, "--import", "lawn"] if "lawn" in list_imported(store) else asked


JOBS = (
    Job(name="fetch", asked=fetching),
    Job(name="import", asked=importing),
    Job(name="fit", asked=fitting),
    Job(name="prune", asked=pruning),
)


# --- the service ---------------------------------------------------------------------------------


def serve() -> None:
    """A service with the years as they were in December, and whole, until its input closes."""
    with running_server() as server, tempfile.TemporaryDirectory() as folder:
        rows = [StationRow(identifier=one, latitude=50.0, longitude=8.6) for one in STATIONS]
        body = stations_database(Path(folder) / "a.db", rows)
        server.files["/stations.db"] = Served(body=body)
        for year in YEARS:
            for station in STATIONS:
                until = datetime(year, 12, 1, tzinfo=UTC)
                server.serve_year(station, year, year_rows(year, until=until))
                old = server.files.pop(f"/hourly/{year}/{station}.csv.gz")
                server.files[f"/old/{year}/{station}.csv.gz"] = old
                server.serve_year(station, year, year_rows(year))
            server.files[f"/daily/{year}/10637.csv.gz"] = Served(body=_daily(year))
        print(server.address, flush=True)
        sys.stdin.read()


def _daily(year: int) -> bytes:
    """Invented daily minima."""
    first = datetime(year, 1, 1, tzinfo=UTC)
    days = (first + timedelta(days=day) for day in range(365))
    rows = "".join(f"{day.year},{day.month},{day.day},2.5,ghcnd\n" for day in days)
    return gzip.compress(f"year,month,day,tmin,tmin_source\n{rows}".encode(), 1, mtime=0)


def _environment(address: str, folder: Path, years: str) -> dict[str, str]:
    """Settings by which the command finds the service and its store."""
    return {
        "SUITABILITY_HOME": str(folder),
        "MS_HOURLY_ENDPOINT": f"{address}/{years}/{{year}}/{{station}}.csv.gz",
        "MS_DAILY_ENDPOINT": f"{address}/daily/{{year}}/{{station}}.csv.gz",
        "MS_STATIONS_DB_ENDPOINTS": json.dumps([f"{address}/stations.db"]),
        "NO_PROXY": "127.0.0.1",
    }


# --- the program, and its end --------------------------------------------------------------------


def run(
    asked: Sequence[str],
    environment: dict[str, str],
    *,
    die_at: int | None = None,
    die_after_s: float | None = None,
) -> tuple[int, int]:
    """
    Exit code of a command in a copy of this process, and its touches of files and network.

    Parameters
    ----------
    die_at
        The touch just before which it kills itself.
    die_after_s
        When it is killed.
    """
    reading, writing = os.pipe()
    child = os.fork()
    if child == 0:
        os.close(reading)
        _be_the_program(asked, environment, die_at, writing)
    os.close(writing)
    if die_after_s is not None:
        time.sleep(die_after_s)
        os.kill(child, signal.SIGKILL)
    _, status = os.waitpid(child, 0)
    with os.fdopen(reading) as pipe:
        touches = pipe.read()
    return os.waitstatus_to_exitcode(status), int(touches or 0)


def _be_the_program(
    asked: Sequence[str], environment: dict[str, str], die_at: int | None, writing: int
) -> None:
    """Run a command, tell its touches, and never come back."""
    from suitability.cli.main import main

    quiet = os.open(os.devnull, os.O_RDWR)
    for stream in (0, 1, 2):
        os.dup2(quiet, stream)
    os.environ.update(environment)
    touches, home, code = 0, environment["SUITABILITY_HOME"], 1

    def note(event: str, about: tuple[Any, ...]) -> None:
        nonlocal touches
        if event not in TOUCHES or not (event.startswith("socket") or home in str(about[0])):
            return
        touches += 1
        if touches == die_at:
            os.kill(os.getpid(), signal.SIGKILL)

    sys.addaudithook(note)
    try:
        main([*asked])
    except SystemExit as left:
        code = left.code if isinstance(left.code, int) else int(left.code is not None)
    finally:
        os.write(writing, str(touches).encode())
        os._exit(code)


# --- what must hold ------------------------------------------------------------------------------


def state_of(folder: Path) -> State:
    """What is stored, by name, each as a checksum; StoreError if some of it does not read."""
    store, found = folder / "weather", {}
    for manifest in list_stations(store):
        name = manifest.station.identifier
        for entry in manifest.years:
            record = read_year(store, name, entry.year, manifest=manifest)
            assert record is not None
            found[f"{name} {entry.year}"] = sha256(record.temp_c.tobytes()).hexdigest()
        for one in read_minima(store, name):
            found[f"{name} {one.year} minima"] = sha256(repr(one.tenths).encode()).hexdigest()
    for name in list_imported(store):
        record, place = read_imported(store, name)
        found[name] = sha256(record.temp_c.tobytes() + repr(place).encode()).hexdigest()
    found["collection"] = sha256((folder / "mine.toml").read_bytes()).hexdigest()
    return found


def what_is_wrong(folder: Path, before: State, after: State) -> tuple[list[str], bool]:
    """What was lost or spoilt by a kill, and whether it fell between the old state and the new."""
    try:
        now = state_of(folder)
    except (StoreError, AssertionError) as reason:
        return [f"does not read: {reason}"], True
    names = sorted({*before, *after, *now})
    wrong = [
        f"{name} is neither as before nor as after"
        for name in names
        if now.get(name) not in {before.get(name), after.get(name)}
    ]
    return wrong + list(check_store(folder / "weather").faults), now not in (before, after)


# --- all of it -----------------------------------------------------------------------------------


def prepare(folder: Path, address: str) -> None:
    """A store with two stations, two imports, leftovers and an old list, a log and a collection."""
    folder.mkdir()
    hours = np.datetime64("2024-01-01T00:00", "m") + np.arange(24 * 40) * np.timedelta64(60, "m")
    times = [str(hour).replace("T", " ") for hour in hours]
    wave = 15 - 4 * np.cos(np.arange(24 * 40) / 24 * 2 * np.pi)
    for name, more in (("old", 0.0), ("new", 1.0), ("log", 0.5)):
        rows = (f"{time},{temp:.1f}\n" for time, temp in zip(times, wave + more, strict=True))
        (folder / f"{name}.csv").write_text("time,temp\n" + "".join(rows))
    (folder / "mine.toml").write_text('# my notes\n[[spot]]\nname = "porch"\n')
    environment = _environment(address, folder, "old")
    for asked in (
        *(["weather", "fetch", "--station", one, "--years", "2019-2021"] for one in STATIONS),
        ["weather", "import", str(folder / "old.csv"), "--name", "porch"],
        ["weather", "import", str(folder / "old.csv"), "--name", "lawn"],
    ):
        code, _ = run(asked, environment)
        assert code == 0, asked
    store = folder / "weather"
    manifest = store / "stations" / "manifest.json"
    told = json.loads(manifest.read_text()) | {"fetched": "2020-01-01T00:00:00Z"}
    manifest.write_text(json.dumps(told))
    (store / "damaged").mkdir()
    for leftover in ("damaged/a", "hourly/10637/2001-abc.hours", "imported/porch/.a.1-1.part"):
        (store / leftover).write_bytes(b"x")


def kill_all(job: Job, kills: int, base: Path, work: Path, address: str) -> Told:
    """Kill a command so many times, each on a fresh copy of the base."""
    environment = _environment(address, work, "hourly")

    def fresh() -> None:
        shutil.rmtree(work, ignore_errors=True)
        shutil.copytree(base, work)

    fresh()
    before = state_of(work)
    start = time.monotonic()
    code, touches = run(job.asked(work), environment)
    whole_s = time.monotonic() - start
    assert code == 0, job.name
    after = state_of(work)
    assert after != before, job.name
    told = Told(touches=touches)
    for number in count():
        chance = random.Random(f"{job.name} {number}")  # noqa: S311  (guards nothing)
        by_touch = number % 2 == 0
        fresh()
        code, _ = run(
            job.asked(work),
            environment,
            die_at=chance.randint(1, touches) if by_touch else None,
            die_after_s=None if by_touch else chance.uniform(0, LONGER * whole_s),
        )
        wrong, between = what_is_wrong(work, before, after)
        wrong += _does_not_complete(job, work, environment, after)
        told.kills += code == -signal.SIGKILL
        told.between += between
        told.wrong += [f"{job.name} {number}: {one}" for one in wrong]
        if told.kills == kills:
            break
    return told


def _does_not_complete(
    job: Job, work: Path, environment: dict[str, str], after: State
) -> list[str]:
    """What is wrong after the same command once more and pruning."""
    if state_of(work) != after:
        code, _ = run(job.asked(work), environment)
        if code:
            return [f"run again it ended {code}"]
    prune_store(work / "weather")
    wrong = [] if state_of(work) == after else ["run again it came to something else"]
    return wrong + [f"left behind: {path.name}" for path in (work / "weather").rglob(".*.part")]


@contextmanager
def running_service() -> Iterator[str]:
    """The address of the service, in a process of its own: a copy of threads would not run."""
    service = subprocess.Popen(
        [sys.executable, "-m", __spec__.name, "serve"],
        stdin=subprocess.PIPE,
        stdout=subprocess.PIPE,
        text=True,
    )
    assert service.stdout is not None
    try:
        yield service.stdout.readline().strip()
    finally:
        service.terminate()
        service.communicate()


def main(arguments: list[str]) -> None:
    """The service, or all kills, as Markdown."""
    if arguments == ["serve"]:
        serve()
        return
    kills = int(arguments[0]) if arguments else KILLS
    wrong: list[str] = []
    with running_service() as address, tempfile.TemporaryDirectory() as folder:
        base, work = Path(folder) / "base", Path(folder) / "work"
        prepare(base, address)
        print("| command | kills | touches of a whole run | fell in between | lost or wrong |")
        print("|---|---|---|---|---|")
        for job in JOBS:
            told = kill_all(job, -(-kills // len(JOBS)), base, work, address)
            wrong += told.wrong
            numbers = (told.kills, told.touches, told.between, len(told.wrong))
            print(f"| {job.name} | {' | '.join(map(str, numbers))} |", flush=True)
    for line in wrong:
        print(f"- {line}")
    sys.exit(1 if wrong else 0)


if __name__ == "__main__":
    main(sys.argv[1:])
