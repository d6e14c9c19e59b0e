"""A map is the check of each of its cells, on one process, on several, or on a cluster."""

from __future__ import annotations

import json
import os
import signal
import subprocess
import sys
import threading
import time
from datetime import date
from functools import cache
from pathlib import Path
from typing import TYPE_CHECKING, Any

import numpy as np
import pytest
import xarray as xr
from msgspec.structs import replace

from suitability.advice.check import check
from suitability.advice.question import ask_about, choose_subjects
from suitability.atlas.grid import open_grid
from suitability.atlas.labelled import summarise_map, to_cf
from suitability.atlas.mapping import CODES, Asked, map_grid
from suitability.atlas.surface import with_surface
from suitability.errors import OptionError, OutputError, RecordError
from suitability.output.gridfiles import write_grid
from suitability.places import place_at
from suitability.spots.spot import Measured, Spot
from suitability.weather.record import clip_record

if TYPE_CHECKING:
    from collections.abc import Callable

    from suitability.atlas.grid import Grid
    from suitability.atlas.mapping import CellMap
    from suitability.places import Place
    from suitability.weather.record import Record

    Extract = Callable[[str], tuple[Record, Place]]

PLACES = ("los_angeles", "lansing", "reno", "dallas")
LOG = Measured(
    first=date(2020, 1, 1),
    last=date(2020, 2, 1),
    clear_night=None,
    other_night=None,
    day=None,
    night_error_c=0.5,
)
LATITUDES, LONGITUDES = (40.0, 33.0), (240.0, 275.0)


@cache
def asked(group: str = "nobile", spot: str | None = None) -> Asked:
    spots = () if spot is None else (spot,)
    return Asked(subjects=replace(choose_subjects((group,), spots), in_full=False))


def real_grid(extract: Extract, path: Path, make: Callable[..., xr.Dataset]) -> list[Record]:
    """Four real records as the cells of a grid in single precision and kelvin, and the records."""
    records = [extract(name)[0] for name in PLACES]
    start = max(record.start_hour for record in records)
    stop = min(record.stop_hour for record in records)
    records = [clip_record(record, start, stop) for record in records]
    values = np.stack([record.temp_c for record in records], axis=1).reshape(-1, 2, 2)
    first = str(np.datetime64(start, "h"))
    make((values + 273.15).astype(np.float32), start=first, units="K").to_netcdf(path)
    return records


def waves(years: int = 3, step_hours: int = 1) -> np.ndarray[Any, Any]:
    """Four cells of warm to cold waves of the year and the day, one of them without a value."""
    hour = np.arange(0, 8766 * years, step_hours)[:, None]
    mean = np.array([24.0, 16.0, 6.0, np.nan])
    year, day = np.cos(hour / 8766 * 2 * np.pi), np.cos((hour - 5) / 24 * 2 * np.pi)
    return (mean - 8.0 * year - 4.0 * day).round(1).reshape(-1, 2, 2)


def assert_same(one: CellMap, other: CellMap) -> None:
    for held, beside in ((one.cells, other.cells), (one.counts, other.counts)):
        for name, values in held.items():
            np.testing.assert_array_equal(values, beside[name], err_msg=name)


@pytest.mark.slow
@pytest.mark.parametrize(
    ("spot", "years"),
    [
        (None, (None, None)),
        ("open-porch", (2014, 2019)),
        ("closed-greenhouse", (None, None)),
        ("window-sill", (None, None)),
    ],
)
def test_each_cell_is_the_check_of_its_record(
    extract: Extract,
    grid: Callable[..., xr.Dataset],
    tmp_path: Path,
    spot: str | None,
    years: tuple[int | None, int | None],
) -> None:
    """Verdict, season, margin, hours below in the mean month and in every month of every year."""
    records = real_grid(extract, tmp_path / "a.nc", grid)
    question = replace(asked(spot=spot), years=years)
    found = map_grid(open_grid([tmp_path / "a.nc"]), question)
    verdicts = set()
    for number, record in enumerate(records):
        at = divmod(number, 2)
        place = place_at(LATITUDES[at[0]], LONGITUDES[at[1]] - 360.0, None, year=2021)
        plain = replace(record, minimum_allowance_c=None, rhum_pct=None, prcp_mm=None)
        plain = replace(plain, lost_minimum_c=None)
        asking = ask_about(question.subjects, plain, place, quality=False, years=years)
        one = check(asking).results[0]
        cell = {name: values[at] for name, values in found.cells.items()}
        verdicts.add(one.verdict)
        assert CODES[int(cell["verdict"])] == one.verdict
        assert cell["season_days"] == (one.season.days if one.season else None)
        assert cell["years_usable"] == one.years_usable
        for name in ("margin_c", "headroom_c"):
            np.testing.assert_equal(cell[name], np.nan if (v := getattr(one, name)) is None else v)
        for month in range(12):
            assert cell[f"hours_below_{month + 1}"] == one.hours_below.months[month]
        for month_of_year in one.by_month:
            month = (month_of_year.year - 1970) * 12 + month_of_year.month - 1 - found.axis.first
            assert found.counts["hours_valid"][month, *at] == month_of_year.hours_valid
            below = found.counts["hours_below_floor"][month, *at]
            assert below == (month_of_year.hours_below or 0)
        if spot is not None:
            valid = sum(month_of_year.hours_valid for month_of_year in one.by_month)
            assert found.counts["hours_valid"][:, *at].sum() == valid
    assert spot is not None or len(verdicts) > 1


@pytest.mark.parametrize(
    ("kind", "step_hours", "told"),
    [
        (Spot(name="mine", measured=(LOG,)), 1, '"mine": was measured at one place'),
        ("open-porch", 6, '"open-porch": values 6 h apart do not tell what it adds'),
    ],
)
def test_a_spot_that_a_grid_cannot_tell_of_is_refused(
    grid: Callable[..., xr.Dataset],
    tmp_path: Path,
    kind: Spot | str,
    step_hours: int,
    told: str,
) -> None:
    """Offsets measured elsewhere, or nights that are not known."""
    grid(waves(1)[::step_hours], step_hours=step_hours).to_netcdf(tmp_path / "a.nc")
    question = Asked(subjects=choose_subjects(("nobile",), (kind,)))
    with pytest.raises(OptionError, match=told):
        map_grid(open_grid([tmp_path / "a.nc"]), question, processes=1)


@pytest.mark.slow
def test_the_answers_do_not_depend_on_who_worked(
    grid: Callable[..., xr.Dataset], tmp_path: Path
) -> None:
    """One process or two, one block or several; a cell without values has none in the map."""
    grid(waves()).to_netcdf(tmp_path / "a.nc")
    opened = open_grid([tmp_path / "a.nc"])
    told: list[tuple[int, int]] = []
    alone = map_grid(opened, asked(), processes=1, tell=lambda *done: told.append(done))
    assert told[-1] == (len(told), len(told))
    assert_same(alone, map_grid(opened, asked(), processes=2))
    ended = threading.Event()
    beside = threading.Thread(target=ended.wait)  # beside it processes begin anew, sent their work
    beside.start()
    try:
        assert_same(alone, map_grid(opened, asked(), processes=2))
    finally:
        ended.set()
        beside.join()
    result = summarise_map(alone)
    assert result.without_values == 1
    assert result.all_year + result.seasonal + result.indoor_only + result.no_verdict == 3
    assert np.isnan(alone.cells["verdict"][1, 1])


def test_values_three_and_six_hours_apart(grid: Callable[..., xr.Dataset], tmp_path: Path) -> None:
    """Of three hours there are verdicts; of six only hours, and each value counts for its step."""
    whole = waves()
    grid(whole[::3], step_hours=3).to_netcdf(tmp_path / "three.nc")
    grid(whole[::6], step_hours=6).to_netcdf(tmp_path / "six.nc")
    three, six = (
        map_grid(open_grid([tmp_path / name]), asked(), processes=1)
        for name in ("three.nc", "six.nc")
    )
    assert summarise_map(three).no_verdict == 0
    assert summarise_map(six).no_verdict == 3
    for found, step in ((three, 3), (six, 6)):
        below = (whole[::step] < 13.0).sum(axis=0) * step
        np.testing.assert_array_equal(found.counts["hours_below_floor"].sum(axis=0), below)
        np.testing.assert_array_equal(
            found.counts["hours_valid"].sum(axis=0),
            (~np.isnan(whole[::step])).sum(axis=0) * step,
        )


def test_a_filler_that_nobody_declared_is_refused(
    grid: Callable[..., xr.Dataset], tmp_path: Path
) -> None:
    """It would count as the coldest of nights."""
    values = np.full((48, 2, 2), 20.0)
    values[3, 1, 1] = -999.0
    grid(values).to_netcdf(tmp_path / "a.nc")
    with pytest.raises(RecordError, match="t2m has -999 degC, which is no air temperature"):
        map_grid(open_grid([tmp_path / "a.nc"]), asked(), processes=1)


@pytest.mark.parametrize("ending", [pytest.param("nc", marks=pytest.mark.slow), "zarr"])
def test_the_file_of_a_map_passes_a_checker_of_cf_and_reads_back(
    grid: Callable[..., xr.Dataset], tmp_path: Path, ending: str
) -> None:
    """The checker is that of IOOS, strict, for CF 1.11; of NetCDF alone."""
    values = waves(1)
    values[:, 1, 1] = 20.0  # of a sea
    grid(values, longitudes=(359.0, 1.0)).to_netcdf(tmp_path / "a.nc")
    under = xr.Dataset(
        {
            "orog": (("lat", "lon"), [[100.0, 0.0], [700.0, 0.0]], {"units": "m"}),
            "lsm": (("lat", "lon"), [[1, 1], [1, 0]], {"standard_name": "land_binary_mask"}),
        },
        coords={"lat": [40.0, 33.0], "lon": [-1.0, 1.0]},
    )
    under.to_netcdf(tmp_path / "u.nc")
    file = tmp_path / "u.nc"
    opened = open_grid([tmp_path / "a.nc"])
    opened = with_surface(opened, heights=file, to_height=500.0, mask=file)
    found = map_grid(opened, asked(spot="open-porch"), processes=1)
    result = summarise_map(found)
    assert (result.sea, result.without_values, result.moved_c) == (1, 0, (-3.25, 1.3))
    target = tmp_path / f"map.{ending}"
    write_grid(target, to_cf(found, made_by="a test"))
    more: dict[str, Any] = {"engine": "zarr", "consolidated": False} if ending == "zarr" else {}
    with xr.open_dataset(target, decode_timedelta=False, **more) as read:
        np.testing.assert_array_equal(
            read["verdict"], np.nan_to_num(found.cells["verdict"], nan=-2)
        )
        assert read["verdict"].attrs["flag_meanings"].split()[2:] == list(CODES)
        np.testing.assert_array_equal(read["hours_below_floor"], found.counts["hours_below_floor"])
        assert read["lon"].to_numpy().tolist() == [-1.0, 1.0]
        np.testing.assert_allclose(read["moved_c"], [[-2.6, -3.25], [1.3, -3.25]], rtol=1e-6)
        assert "from the heights in u.nc to 500 m (6.5 K/km)" in read.attrs["comment"]
    assert sorted(path.name for path in tmp_path.iterdir()) == ["a.nc", target.name, "u.nc"]
    if ending == "nc":
        checker = str(Path(sys.executable).with_name("cchecker.py"))
        command = [sys.executable, checker, "-t", "cf:1.11", "-c", "strict", str(target)]
        told = subprocess.run(command, capture_output=True, text=True, check=False)
        assert told.returncode == 0, told.stdout + told.stderr


@pytest.mark.slow
def test_a_scheduler_that_is_dead_is_one_sentence(
    grid: Callable[..., xr.Dataset], tmp_path: Path
) -> None:
    """Within a few seconds."""
    grid(waves(1)).to_netcdf(tmp_path / "a.nc")
    with pytest.raises(OutputError, match="no dask scheduler answers there"):
        map_grid(open_grid([tmp_path / "a.nc"]), asked(), scheduler="tcp://127.0.0.1:9")


def once_working(address: str, act: Callable[[], object]) -> threading.Thread:
    """Do something as soon as workers of a cluster hold work."""
    from distributed import Client

    def watch() -> None:
        with Client(address, timeout=30, set_as_default=False) as client:
            while not any(client.processing().values()):
                time.sleep(0.05)
        act()

    thread = threading.Thread(target=watch)
    thread.start()
    return thread


@pytest.fixture
def large(grid: Callable[..., xr.Dataset], tmp_path: Path) -> Grid:
    """Work for some seconds: 64 cells of four years."""
    values = np.repeat(np.repeat(waves(4), 4, axis=1), 4, axis=2)
    rows = tuple(np.linspace(30.0, 45.0, 8))
    grid(values, latitudes=rows, longitudes=tuple(np.arange(8.0))).to_netcdf(tmp_path / "a.nc")
    return open_grid([tmp_path / "a.nc"])


@pytest.mark.slow
def test_a_worker_of_a_cluster_that_is_killed_changes_nothing(large: Grid) -> None:
    """Real processes; what the killed one held is done anew."""
    from distributed import LocalCluster

    here = map_grid(large, asked(), processes=1)
    with LocalCluster(
        n_workers=2, threads_per_worker=1, processes=True, dashboard_address=None, host="127.0.0.1"
    ) as cluster:
        victim = next(iter(cluster.workers.values())).process.pid
        killing = once_working(cluster.scheduler_address, lambda: os.kill(victim, signal.SIGKILL))
        there = map_grid(large, asked(), scheduler=cluster.scheduler_address)
        killing.join()
    assert_same(here, there)


@pytest.mark.slow
def test_a_scheduler_that_is_lost_in_the_middle_is_one_sentence(
    large: Grid, tmp_path: Path
) -> None:
    """Its worker holds work already."""
    folder, told = tmp_path / "work", tmp_path / "scheduler.json"
    folder.mkdir()

    def begin(part: str, *more: str) -> subprocess.Popen[bytes]:
        known = ["--scheduler-file", str(told), "--no-dashboard", "--host", "127.0.0.1"]
        return subprocess.Popen(
            [sys.executable, "-m", f"distributed.cli.dask_{part}", *known, *more],
            stdout=subprocess.DEVNULL,
            stderr=subprocess.DEVNULL,
        )

    with (
        begin("scheduler", "--port", "0") as scheduler,
        begin("worker", "--local-directory", str(folder), "--death-timeout", "5") as worker,
    ):
        try:
            from distributed import Client

            while not told.exists():
                time.sleep(0.1)
            address = json.loads(told.read_text(encoding="utf-8"))["address"]
            with Client(address, timeout=30, set_as_default=False) as client:
                client.wait_for_workers(1, timeout=30)
            killing = once_working(address, scheduler.kill)
            with pytest.raises(OutputError, match="the scheduler was lost"):
                map_grid(large, asked(), scheduler=address)
            killing.join()
        finally:
            scheduler.kill()
            worker.kill()
