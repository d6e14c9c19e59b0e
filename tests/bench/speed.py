"""
Speed as ratios, measured side by side in one run.

Run as `python tests/bench/speed.py [FILE.csv.gz LAT,LON]`.

Each figure is the median over rounds in which every contender runs once in turn, so that a machine
that speeds up or slows down moves both. Whole processes run once before they are timed and keep
their compiled modules in a folder of the bench, so that a checkout is timed as what pip installs
and compiles. Goals stand behind the ratios; nothing here asserts, because shared machines are
noisy. Needs the extra `bench` (polars, flox, xclim) for the peers.
"""

from __future__ import annotations

import gzip
import os
import statistics
import subprocess
import sys
import tempfile
import time
from datetime import UTC, datetime
from pathlib import Path
from typing import TYPE_CHECKING

import numpy as np
from msgspec.structs import replace

from suitability.advice.moves import find_threshold_dates
from suitability.climate.days import daily_minimum
from suitability.climate.exposure import monthly_exposure
from suitability.weather.record import fill_short_gaps
from suitability.weather.sources.files import read_file_record
from suitability.weather.store import ImportedPlace, import_record

if TYPE_CHECKING:
    from collections.abc import Callable

    from numpy.typing import NDArray

    from suitability.weather.record import Record

DATA = Path(__file__).parent.parent / "data"
ROUNDS = 7
COPIES = 48  # of the array, so that none is still in the cache when its turn comes
HOURS = 262_992  # thirty years
COMPILED = Path(tempfile.gettempdir()) / "suitability-bench-compiled"


def rounds(contenders: dict[str, Callable[[], object]], number: int = ROUNDS) -> dict[str, float]:
    """Median seconds of each contender, all in turn in every round."""
    spent: dict[str, list[float]] = {name: [] for name in contenders}
    for _ in range(number):
        for name, run in contenders.items():
            start = time.perf_counter()
            run()
            spent[name].append(time.perf_counter() - start)
    return {name: statistics.median(seconds) for name, seconds in spent.items()}


def process(*arguments: str, **environment: str) -> Callable[[], object]:
    """A whole process that must succeed."""
    everything = os.environ | {"PYTHONPYCACHEPREFIX": str(COMPILED)} | environment
    everything.pop("PYTHONDONTWRITEBYTECODE", None)

    def run() -> object:
        return subprocess.run(arguments, check=True, capture_output=True, env=everything)

    run()
    return run


def show(what: str, ratio: float, goal: str) -> None:
    """One line of the result."""
    print(f"{what:70s} {ratio:9.2f}   goal {goal}")


def write_csv(record: Record, path: Path) -> None:
    """The record as a file a user would have: `time,temp`, one row an hour, compressed."""
    times = record.start_hour + np.arange(record.temp_c.size)
    stamps = np.datetime_as_string(times.astype("datetime64[h]"), unit="m")
    rows = [
        f"{stamp.replace('T', ' ')},{temp:.1f}"
        for stamp, temp in zip(stamps.tolist(), record.temp_c.tolist(), strict=True)
        if temp == temp  # noqa: PLR0124  (not nan)
    ]
    path.write_bytes(gzip.compress("\n".join(["time,temp", *rows, ""]).encode()))


def store(record: Record, home: Path) -> None:
    """The record as `bench` in a store of its own."""
    place = ImportedPlace(name="bench", latitude=36.1, longitude=-86.7, utc_offset_hours=-6.0)
    now = datetime.now(UTC)
    import_record(home / "weather", "bench", record, place=place, from_where="", now=now)


def in_fahrenheit(temp_c: NDArray[np.float64]) -> NDArray[np.float64]:
    """Hours read in whole °F and kept as °C with six decimals, as many services hand them out."""
    return ((np.rint(temp_c * 1.8 + 32.0) - 32.0) / 1.8).round(6)


def three_records(tenths: Record) -> None:
    """A check of each kind of record that there is: in tenths, with rain, read in °F."""
    program = str(Path(sys.executable).with_name("suitability"))
    rain = read_file_record(DATA / "porto_alegre.hourly", longitude=-51.17)
    whole_f = replace(tenths, temp_c=in_fahrenheit(tenths.temp_c))
    with tempfile.TemporaryDirectory() as folder:
        contenders = {"numpy": process(sys.executable, "-c", "import numpy")}
        for name, record in (("tenths", tenths), ("with rain", rain), ("six decimals", whole_f)):
            home = Path(folder) / name
            store(record, home)
            asked = ("check", "--json", "--record", "bench")
            contenders[name] = process(program, *asked, SUITABILITY_HOME=str(home))
        found = rounds(contenders, 11)
    for name in list(contenders)[1:]:
        show(f"check --json, record {name} / import numpy", found[name] / found["numpy"], "4.5")


def whole_processes(record: Record, at: str) -> None:
    """Start-up, and from a file or the stored form to the document."""
    python, program = sys.executable, str(Path(sys.executable).with_name("suitability"))
    with tempfile.TemporaryDirectory() as folder:
        hello = Path(folder) / "hello.py"
        hello.write_text(
            "import typer\napp = typer.Typer()\n"
            "@app.command()\ndef one(x: int = 1) -> None: print(x)\n"
            "@app.command()\ndef two(x: int = 1) -> None: print(x)\napp()\n"
        )
        file, home = Path(folder) / "record.csv.gz", {"SUITABILITY_HOME": folder}
        write_csv(record, file)
        store(record, Path(folder))
        found = rounds(
            {
                "hello": process(python, str(hello), "--help"),
                "help": process(program, "--help"),
                "numpy": process(python, "-c", "import numpy"),
                "pandas": process(python, "-c", f"import pandas; pandas.read_csv({str(file)!r})"),
                "file": process(program, "check", "--json", "--record", str(file), "--at", at),
                "moves": process(program, "moves", "--json", "--record", "bench", **home),
            }
        )
    show(
        "suitability --help / a hello-world Typer program's", found["help"] / found["hello"], "1.2"
    )
    show("check --json from CSV.GZ / pandas reading it", found["file"] / found["pandas"], "2")
    show("moves --json from the store / import numpy", found["moves"] / found["numpy"], "6")


def spots(record: Record) -> None:
    """The whole catalogue at 1, 5 and 20 spots with ranges, as multiples of one spot."""
    program = str(Path(sys.executable).with_name("suitability"))
    kinds = ("open-bench", "open-porch", "closed-greenhouse", "frost-hollow")
    with tempfile.TemporaryDirectory() as folder:
        home = {"SUITABILITY_HOME": folder}
        store(record, Path(folder))
        contenders: dict[str, Callable[[], object]] = {}
        for number in (1, 5, 20):
            file = Path(folder) / f"{number}.toml"
            tables = (
                f'[[spot]]\nname = "{spot}"\nkind = "{kinds[spot % 4]}"\nday_c = {spot / 10}\n'
                for spot in range(number)
            )
            file.write_text('[place]\nrecord = "bench"\n' + "".join(tables), "utf-8")
            asked = ("compare", "--collection", str(file), "--json")
            contenders[str(number)] = process(program, *asked, **home)
        found = rounds(contenders, 3)
    print(f"compare --json, whole process: {found['1']:.2f} s at 1 spot, {found['20']:.2f} s at 20")
    show("compare --json at 5 spots / at 1", found["5"] / found["1"], "under 5")
    show("compare --json at 20 spots / at 1", found["20"] / found["1"], "under 20")


def exposure(temp_c: NDArray[np.float64]) -> None:
    """Thirty years below 12 and 100 thresholds, beside one streaming read and the peers."""
    copies = [temp_c.copy() for _ in range(COPIES)]
    turn = iter(range(10**9))

    def cold() -> NDArray[np.float64]:
        return copies[next(turn) % COPIES]

    twelve = np.round(np.linspace(2.0, 18.0, 12), 1)
    hundred = np.round(np.linspace(-2.0, 20.0, 100), 1)
    whole_f = [in_fahrenheit(copy) for copy in copies]
    contenders: dict[str, Callable[[], object]] = {
        "read": lambda: np.add.reduce(cold()),
        "12": lambda: monthly_exposure(cold(), None, 0, twelve),
        "100": lambda: monthly_exposure(cold(), None, 0, hundred),
        "12 °F": lambda: monthly_exposure(whole_f[next(turn) % COPIES], None, 0, twelve),
    }
    contenders |= peers(temp_c, twelve)
    found = rounds(contenders, 21)
    show("exposure, 12 thresholds / one streaming read", found["12"] / found["read"], "15")
    show("the same of a record in °F / one streaming read", found["12 °F"] / found["read"], "15")
    show("100 thresholds / 12 thresholds", found["100"] / found["12"], "1.3")
    for name, goal in (("polars", "5"), ("pandas", "15"), ("xarray", "15"), ("flox", "15")):
        if name in found:
            show(f"{name} / exposure, 12 thresholds", found[name] / found["12"], f"over {goal}")


def dates(temp_c: NDArray[np.float64]) -> None:
    """Last and first dates of 12 temperatures over thirty years, beside a read and xclim."""
    copies = [temp_c.copy() for _ in range(COPIES)]
    turn = iter(range(10**9))
    thresholds_c = np.arange(12.0)

    def cold() -> NDArray[np.float64]:
        return copies[next(turn) % COPIES]

    def ours() -> object:
        first_day, minimum_c = daily_minimum(cold(), 0)
        return find_threshold_dates(first_day, minimum_c, 200, thresholds_c.tolist())

    found = rounds({"read": lambda: np.add.reduce(cold()), "dates": ours}, 41)
    show("dates of 12 temperatures / one streaming read", found["dates"] / found["read"], "8")
    theirs = dates_by_xclim(temp_c, thresholds_c[:2])
    if theirs is not None:
        seconds = rounds({"two": theirs}, 1)["two"] * thresholds_c.size / 2
        show("xclim (2 of 12 temperatures, scaled) / dates", seconds / found["dates"], "over 1000")


def dates_by_xclim(
    temp_c: NDArray[np.float64], thresholds_c: NDArray[np.float64]
) -> Callable[[], object] | None:
    """The same dates by a general library of climate indices; None where it is not installed."""
    try:
        import pandas as pd
        import xarray as xr
        import xclim
    except ImportError:
        print("xclim is not installed: its row is left out")
        return None
    time_index = pd.date_range("1991-01-01", periods=temp_c.size, freq="h")
    hourly = xr.DataArray(temp_c, coords={"time": time_index}, dims="time")

    def theirs() -> object:
        daily = hourly.resample(time="D").min()
        daily.attrs["units"] = "degC"
        return [
            (
                xclim.indices.last_spring_frost(
                    daily, thresh=f"{limit} degC", op="<=", before_date="07-01", window=1
                ),
                xclim.indices.first_day_temperature_below(
                    daily, thresh=f"{limit} degC", op="<=", after_date="07-01", window=1
                ),
            )
            for limit in thresholds_c.tolist()
        ]

    return theirs


def peers(
    temp_c: NDArray[np.float64], thresholds_c: NDArray[np.float64]
) -> dict[str, Callable[[], object]]:
    """The same counts by general libraries, written as their users would."""
    import pandas as pd

    time_index = pd.date_range("1991-01-01", periods=temp_c.size, freq="h")
    keys = [time_index.year, time_index.month]
    series = pd.Series(temp_c, time_index)

    def by_pandas() -> object:
        frame = pd.DataFrame({floor: series < floor for floor in thresholds_c})
        shortfall = pd.DataFrame(
            {floor: (floor - series).clip(lower=0.0) for floor in thresholds_c}
        )
        return (
            frame.groupby(keys).sum(),
            shortfall.groupby(keys).sum(),
            series.groupby(keys).count(),
        )

    found: dict[str, Callable[[], object]] = {"pandas": by_pandas}
    try:
        import flox  # noqa: F401
        import polars as pl
        import xarray as xr
    except ImportError:
        print("polars, flox or xarray is not installed: their rows are left out")
        return found
    data = xr.DataArray(temp_c, coords={"time": time_index}, dims="time")
    floors = xr.DataArray(thresholds_c, dims="floor")
    frame = pl.DataFrame({"time": time_index.to_numpy(), "temp": temp_c})

    def by_polars() -> object:
        counts = [
            expression
            for number, floor in enumerate(thresholds_c.tolist())
            for expression in (
                (pl.col("temp") < floor).sum().alias(f"h{number}"),
                (floor - pl.col("temp")).clip(lower_bound=0.0).sum().alias(f"d{number}"),
            )
        ]
        return frame.group_by_dynamic("time", every="1mo").agg(*counts, pl.col("temp").count())

    def by_xarray(*, use_flox: bool) -> object:
        with xr.set_options(use_flox=use_flox):  # type: ignore[no-untyped-call]  # theirs has none
            shortfall = (floors - data).clip(min=0.0)
            return (
                (data < floors).resample(time="MS").sum(),
                shortfall.resample(time="MS").sum(),
                data.resample(time="MS").count(),
            )

    return found | {
        "polars": by_polars,
        "xarray": lambda: by_xarray(use_flox=False),
        "flox": lambda: by_xarray(use_flox=True),
    }


def main(file: Path, at: str) -> None:
    """Print all ratios."""
    record = read_file_record(file, longitude=float(at.split(",")[1]))
    hours = np.resize(fill_short_gaps(record).temp_c, HOURS)
    exposure(hours)
    dates(hours)
    three_records(record)
    whole_processes(record, at)
    spots(record)


if __name__ == "__main__":
    if len(sys.argv) > 2:
        main(Path(sys.argv[1]), sys.argv[2])
    else:
        main(DATA / "nashville.hourly", "36.119,-86.689,183")
