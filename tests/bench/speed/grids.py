"""Many points: hours below floors by month, in memory and from a store on the disk."""

from __future__ import annotations

from collections.abc import Callable
from functools import cache, partial
from pathlib import Path
from typing import Any

import numpy as np
from numpy.typing import NDArray

from suitability.atlas.counts import Counts, count_block, count_grid, count_lazily, month_axis
from suitability.atlas.grid import open_grid

from . import peers
from .contest import LIMIT, NEAREST, OURS, Contender, Found, Goal, Run, Setting, Work, ahead
from .one_station import TWELVE, station_c
from .peers import PIECES, START_HOUR, found_of, time_axis

Values = NDArray[np.float32]

YEARS_10 = 87_672  # h
FEW = 2  # of the twelve floors, for those that count floor by floor
ROUGH = 0.05  # °C·h in a month, which sums in single precision lose


@cache
def grid_c(hours: int, points: int) -> Values:
    """
    Real hours of one station, shifted in time and by tenths from point to point, (hour, point).

    In single precision and in tenths of a degree, with the gaps of the record.
    """
    whole = station_c(hours + 24 * points)
    found = np.empty((hours, points), np.float32)
    for point in range(points):
        one = whole[24 * point : 24 * point + hours]
        found[:, point] = np.round(one + (point % 50 - 25) / 10, 1)
    return found


def _kept(setting: Setting, hours: int, points: int) -> Values:
    """The grid from the folder, in which it is made once for all processes."""
    file = setting.folder / f"{hours}-{points}.npy"
    if not file.exists():
        np.save(file, grid_c(hours, points))
    found: Values = np.load(file)
    return found


def _of_counts(found: Counts) -> Found:
    return found_of((found.hours_below, found.degree_hours_below, found.hours_valid))


def _counting(values: Values, floors_c: NDArray[np.float64] = TWELVE) -> Run:
    nowhere = np.zeros(values.shape[1])
    axis = month_axis(START_HOUR, values.shape[0], nowhere)
    return lambda: count_block(values, START_HOUR, 1, nowhere, floors_c, axis)


# In memory -------------------------------------------------------------------------------------

READS: tuple[tuple[str, Callable[[Values], object]], ...] = (
    ("bits joined (or)", lambda held: np.bitwise_or.reduce(held.reshape(-1).view(np.int32))),
    ("np.max", np.max),
    ("np.sum", np.sum),
)


def in_memory(setting: Setting) -> tuple[Work, ...]:
    """W2: points x ten years x 12 floors, from an array."""
    hours, points = setting.of(YEARS_10, 3000), setting.of(1000, 7)

    def held(make: Callable[[Values], Run]) -> Callable[[], Run]:
        return lambda: make(_kept(setting, hours, points))

    def read(run: Callable[[Values], object]) -> Callable[[], Run]:
        return held(lambda values: lambda: run(values))

    def no_step(values: Values) -> Run:
        return _counting(values + np.float32(0.0137))

    def peer(name: str, make: Any, needs: str = "", floors: int = TWELVE.size) -> Contender:
        return Contender(
            name,
            held(lambda values: make(values, TWELVE[:floors])),
            peers.polars_of if make is peers.by_polars else found_of,
            needs=needs,
            rounds=1,
            share=(2 * floors + 1) / (2 * TWELVE.size + 1),  # valid hours are counted once
            within=ROUGH,
        )

    flox, plain = (partial(peers.by_xarray_floors, use_flox=use) for use in (True, False))
    return (
        Work(
            "W2-memory",
            "W2 A grid in memory",
            f"{points:,} points of ten years, single precision, 12 floors; real hours of Nashville "
            f"moved in time and by tenths. Who counts floor by floor does {FEW} of the floors.",
            (
                *(Contender(f"one read: {name}", read(run), role=LIMIT) for name, run in READS),
                Contender("ours", held(_counting), _of_counts, OURS),
                Contender("ours, values of no fixed step", held(no_step), role=OURS, rounds=2),
                peer("duckdb, histogram of tenths + numpy", peers.by_duckdb_histogram, "duckdb"),
                peer("polars, group_by on a long table", peers.by_polars, "polars"),
                peer("xarray, resample, without flox", plain, floors=FEW),
                peer("xarray, resample, flox", flox, "flox", FEW),
                peer("xclim, floor by floor", peers.by_xclim, "xclim", FEW),
                peer("xarray + dask + flox, one computation", peers.by_dask, "dask flox"),
                peer("pandas, wide frame, floor by floor", peers.by_pandas_floors, floors=FEW),
            ),
            (
                Goal("ours / one read", "ours", 35.0),
                ahead("the nearest other", NEAREST, 15.0),
                Goal("memory of ours beyond the result, MB", "ours", 20.0, measure="MB"),
            ),
            rounds=5,
            apart=True,
        ),
    )


# On the disk -----------------------------------------------------------------------------------


def _store(setting: Setting, hours: int, points: int, kind: str) -> Path:
    """A Zarr store of the grid, single precision or tenths in 16 bits."""
    import xarray as xr
    from zarr.codecs import BloscCodec

    path = setting.folder / f"{hours}-{points}-{kind}.zarr"
    if not path.exists():
        values = _kept(setting, hours, points)
        packed: dict[str, Any] = {
            "chunks": (PIECES["time"], 1, min(PIECES["point"], points)),
            "compressors": BloscCodec(cname="zstd", clevel=3, shuffle="shuffle"),
        }
        if kind == "i2":
            packed |= {"dtype": "int16", "scale_factor": 0.1, "_FillValue": -32768}
        about = {"standard_name": "air_temperature", "units": "degC"}
        longitude = np.linspace(-90.0, -80.0, points)
        dataset = xr.Dataset(
            {"t2m": (("time", "lat", "lon"), values[:, None, :], about)},
            coords={
                "time": time_axis(hours).to_numpy(),
                "lat": ("lat", [36.0], {"units": "degrees_north"}),
                "lon": ("lon", longitude, {"units": "degrees_east"}),
            },
        )
        dataset["time"].encoding = {"dtype": "int64", "units": "hours since 1970-01-01"}
        dataset.to_zarr(path, encoding={"t2m": packed}, consolidated=False)
    return path


def _read_by_pieces(path: Path) -> None:
    """Every piece read and decompressed, and dropped."""
    import zarr

    array: Any = zarr.open_group(path, mode="r")["t2m"]
    for first in range(0, array.shape[0], PIECES["time"]):
        for left in range(0, array.shape[2], PIECES["point"]):
            array[first : first + PIECES["time"], :, left : left + PIECES["point"]]


def _count_store(path: Path) -> Counts:
    grid = open_grid([path])
    return count_grid(grid, np.zeros(grid.shape), TWELVE)


def _count_lazily(path: Path) -> Any:
    grid = open_grid([path])
    return count_lazily(grid, np.zeros(grid.shape), TWELVE).compute(scheduler="threads")


def _by_xarray(path: Path) -> object:
    return peers.together(peers.xarray_tables(_opened(path), TWELVE))


def _by_xclim(path: Path) -> object:
    return peers.together(peers.xclim_tables(_opened(path), TWELVE))


def _opened(path: Path) -> Any:
    import xarray as xr

    return xr.open_zarr(path, consolidated=False)["t2m"][:, 0]


def on_disk(setting: Setting) -> tuple[Work, ...]:
    """W2: the same from a store, read and decompressed."""
    hours, points = setting.of(YEARS_10, 3000), setting.of(1000, 7)

    def stored(run: Callable[[Path], Any], kind: str = "f4", years: int = 1) -> Callable[[], Run]:
        return lambda: partial(run, _store(setting, hours // years, points, kind))

    def ours(kind: str = "f4", years: int = 1) -> tuple[Contender, ...]:
        reading = stored(_read_by_pieces, kind, years)
        return (
            Contender("reading and decompressing alone", reading, role=LIMIT),
            Contender("ours", stored(_count_store, kind, years), _of_counts, OURS),
        )

    def lazily(kind: str = "f4") -> Contender:
        def result(layers: Any) -> Found:
            return peers.stacked_of(layers.reshape(*layers.shape[:2], -1))

        return Contender(dask, stored(_count_lazily, kind), result, OURS, needs="dask")

    def peer(name: str, run: Callable[[Path], object], needs: str) -> Contender:
        return Contender(name, stored(run), found_of, needs=needs, rounds=1, within=ROUGH)

    dask, flox = "ours through dask", "xarray + dask + flox, one computation"
    size = f"{PIECES['time']} hours x {PIECES['point']} points a piece"
    reading = Goal("ours / reading and decompressing", "ours", 3.0)
    beyond = Goal("memory of ours beyond the result, MB", "ours", 100.0, measure="MB")
    return (
        Work(
            "W2-disk",
            "W2 A grid on the disk",
            f"The same grid as a Zarr store of single precision ({size}, blosc zstd), the disk's "
            "cache warm.",
            (
                *ours(),
                lazily(),
                peer(flox, _by_xarray, "dask flox"),
                peer("xclim + dask, one computation", _by_xclim, "dask xclim"),
            ),
            (
                reading,
                ahead("xarray + dask + flox", flox, 8.0),
                Goal("through dask / ours", dask, 5.0, "ours"),
                beyond,
                Goal("memory through dask, beyond the result, MB", dask, 500.0, measure="MB"),
            ),
            rounds=3,
            apart=True,
        ),
        Work(
            "W2-tenths",
            "W2 The same stored as tenths in 16 bits",
            "A quarter of the bytes, decoded by their scale factor.",
            (*ours("i2"), lazily("i2")),
            (reading, beyond),
            rounds=3,
            apart=True,
        ),
        Work(
            "W2-years",
            "W2 A fifth of the years",
            "The store of single precision with two years instead of ten: memory beyond the result "
            "should be the same.",
            ours(years=5),
            (beyond,),
            rounds=3,
            apart=True,
        ),
    )


def growth(setting: Setting) -> tuple[Work, ...]:
    """Ours with more points and more floors, from an array."""
    hours, usual = setting.of(YEARS_10, 3000), setting.of(300, 3)

    def counting(points: int, floors: int) -> Run:
        return _counting(grid_c(hours, points), np.linspace(-2.0, 20.0, floors).round(1))

    sizes = [
        *((f"{points:,} points", points, 12) for points in (usual // 3, usual, 3 * usual)),
        *((f"{floors} floors", usual, floors) for floors in (1, 12, 50, 100)),
    ]
    return (
        Work(
            "W2-growth",
            "Growth with points and floors, a grid in memory",
            f"Of ours, {hours:,} hours; points with 12 floors, floors with {usual} points.",
            tuple(
                Contender(name, partial(counting, *size), role=OURS, pieces=size[0] * hours)
                for name, *size in sizes
            ),
            rounds=setting.of(3, 1),
            piece="value",
        ),
    )
