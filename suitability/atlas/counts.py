"""
Hours and degree-hours below any floors, by month and cell: `climate.exposure` for many cells.

Cells stand beside each other in tiles that stay in the processor's cache. Where all values are
tenths of a degree, one histogram of a month and its sums from floor to floor give every floor at
once; other values are compared floor by floor. Files that hold tenths are counted as packed.
Counts of parts of a month add up, so that time may be cut anywhere. Months are those of standard
time, which cells of one block need not share.
"""

from collections import deque
from concurrent.futures import ThreadPoolExecutor
from functools import lru_cache
from itertools import pairwise
from pathlib import Path
from typing import TYPE_CHECKING, Any

import numpy as np
from msgspec import Struct
from msgspec.structs import replace
from numpy.typing import NDArray

from suitability import parallel
from suitability.atlas.grid import MISSING, Block, Grid, open_grid
from suitability.climate.exposure import EPSILON_C, month_starts
from suitability.weather.sources.readings import exact_values

if TYPE_CHECKING:
    import dask.array as da

FloatArray = NDArray[np.float64]
IntArray = NDArray[np.int64]

TILE = 256  # cells; a month of them fits the cache
FIRST, NO_RANK = 32_767, 65_535  # what ranks tenths of 16 bits, and the rank of `MISSING` then
SINGLE_TENTHS = 5e-4  # of a tenth; what single precision makes of decimals in kelvin
DOUBLE_TENTHS = 1e-6
THREADS = 2
TIME_BYTES = 8_000_000  # of single precision, of what is read at once to be counted


class MonthAxis(Struct, frozen=True):
    """Running months: the first, in months from 1970-01, and how many."""

    first: int
    months: int


class Counts(Struct, frozen=True, kw_only=True):
    """
    Counts of months and cells; hours are as many as there are values, whatever their step.

    Attributes
    ----------
    axis
        Months, in each cell's standard time.
    hours_below : (floor, month, cell)
        0 where nothing was observed too: read them beside `hours_valid`.
    degree_hours_below : (floor, month, cell), °C·h
    hours_valid : (month, cell)
    """

    axis: MonthAxis
    hours_below: IntArray
    degree_hours_below: FloatArray
    hours_valid: IntArray


def month_axis(start_hour: int, hours: int, offsets_hours: FloatArray) -> MonthAxis:
    """The months that some hours lie in, in any of the standard times of the cells."""
    first = int(np.floor(start_hour + np.min(offsets_hours)))
    last = int(np.floor(start_hour + np.max(offsets_hours))) + hours
    year, month, starts = month_starts(first, last - first)
    return MonthAxis((year - 1970) * 12 + month - 1, starts.size - 1)


def count_block(  # noqa: PLR0917  (a piece of a grid is all of these)
    values: NDArray[np.floating[Any]] | NDArray[np.int16],
    start_hour: int,
    step_hours: int,
    offsets_hours: FloatArray,
    thresholds_c: FloatArray,
    axis: MonthAxis,
    *,
    offset_c: float = 0.0,
) -> Counts:
    """
    Counts of a piece of a grid.

    Parameters
    ----------
    values : (step, cell)
        As the file has them; nan where there is none. Those of 16 bits are tenths of a degree,
        `MISSING` where there is none.
    start_hour : h
        UTC hour of the first, from 1970.
    step_hours : h
    offsets_hours : (cell), h
        Standard time of each cell ahead of UTC.
    thresholds_c : (floor), °C
    axis
        From `month_axis` of the whole grid.
    offset_c
        What makes °C of the values, of tenths after they are turned to degrees.

    Examples
    --------
    >>> axis = month_axis(0, 3, np.zeros(1))
    >>> cold = np.array([[14.0], [13.0], [12.9]])
    >>> found = count_block(cold, 0, 1, np.zeros(1), np.array([13.0]), axis)
    >>> found.hours_below.item(), round(found.degree_hours_below.item(), 6)
    (1, 0.1)
    """
    found = _no_counts(axis, thresholds_c.size, values.shape[1])
    packed = values.dtype == np.int16
    floors = _Floors.of(thresholds_c, round(offset_c * 10.0) if packed else 0)
    local = np.floor(start_hour + offsets_hours).astype(np.int64)
    for start in np.unique(local):
        cells = np.flatnonzero(local == start)
        whole = cells.size == local.size
        year, month, starts = month_starts(int(start), values.shape[0] * step_hours)
        at = (year - 1970) * 12 + month - 1 - axis.first
        size = -(-cells.size // -(-cells.size // TILE))  # tiles of one size
        edges = np.clip(-(-(starts - start) // step_hours), 0, values.shape[0])
        for number, (first, last) in enumerate(pairwise(edges)):
            for left in range(0, cells.size, size):
                part = slice(left, left + size)
                some = part if whole else cells[part]
                counted = _count_tile(values[first:last, some], floors, offset_c)
                found.hours_below[:, at + number, some] = counted[0]
                found.degree_hours_below[:, at + number, some] = counted[1]
                found.hours_valid[at + number, some] = counted[2]
    return found


def _no_counts(axis: MonthAxis, floors: int, cells: int) -> Counts:
    """Nothing counted yet."""
    shape = axis.months, cells
    return Counts(
        axis=axis,
        hours_below=np.zeros((floors, *shape), np.int64),
        degree_hours_below=np.zeros((floors, *shape)),
        hours_valid=np.zeros(shape, np.int64),
    )


class _Floors(Struct, frozen=True):
    """Thresholds, °C; ranks of tenths from which they are not below, each once, and whose."""

    thresholds_c: FloatArray
    shift: int
    cuts: IntArray
    which: NDArray[np.intp]

    @classmethod
    def of(cls, thresholds_c: FloatArray, shift: int) -> "_Floors":
        """For tenths to which a shift is yet to be added."""
        not_below = np.ceil((thresholds_c - EPSILON_C) * 10.0).astype(np.int64) - shift + FIRST
        cuts, which = np.unique(np.clip(not_below, 1, NO_RANK - 1), return_inverse=True)
        return cls(thresholds_c, shift, cuts, which)


def _count_tile(
    values: NDArray[Any], floors: _Floors, offset_c: float
) -> tuple[NDArray[Any], FloatArray, NDArray[Any]]:
    """Below, degree-hours, valid of one month and tile."""
    if values.dtype == np.int16:
        return _count_tenths(values, floors)
    tenths = _as_tenths(values, offset_c)
    if tenths is not None:
        return _count_tenths(tenths, floors)
    thresholds_c = floors.thresholds_c
    temp_c = exact_values(values, offset_c)
    below = np.stack([np.count_nonzero(temp_c < one - EPSILON_C, axis=0) for one in thresholds_c])
    gaps = [np.fmax(one - temp_c, 0.0).sum(axis=0) for one in thresholds_c]
    return below, np.stack(gaps), np.count_nonzero(~np.isnan(temp_c), axis=0)


def _as_tenths(values: NDArray[np.floating[Any]], offset_c: float) -> NDArray[np.int16] | None:
    """Tenths of a degree, `MISSING` where there is none; None if some value is no tenth."""
    kind = values.dtype.type
    scaled = np.multiply(values + kind(offset_c) if offset_c else values, kind(10.0), order="C")
    level = np.rint(scaled)
    scaled -= level
    most = SINGLE_TENTHS if values.dtype.itemsize < 8 else DOUBLE_TENTHS
    if (np.abs(scaled, out=scaled) > most).any():
        return None
    missing = np.isnan(level)
    if missing.any():
        np.copyto(level, kind(MISSING), where=missing)
    if level.min(initial=0.0) < MISSING or level.max(initial=0.0) > -MISSING - 1:
        return None
    return level.astype(np.int16)


def _count_tenths(
    tenths: NDArray[np.int16], floors: _Floors
) -> tuple[IntArray, FloatArray, NDArray[Any]]:
    """Below, degree-hours, valid of tenths."""
    cuts = floors.cuts
    hours, cells = tenths.shape
    # Numbered from the lowest on in the same order, so that what is missing is the warmest of all.
    rank = tenths.view(np.uint16) + np.uint16(FIRST)
    valid: NDArray[Any] = np.full(cells, hours)
    if rank.max(initial=0) == NO_RANK:
        valid -= np.add.reduce(rank == NO_RANK, axis=0, dtype=np.int16)
    top = int(cuts[-1])  # one bin for all warmer hours; a row of it is quicker than the number
    np.minimum(rank, np.full(cells, top, np.uint16), out=rank)
    bottom = min(int(cuts[0]) - 1, int(rank.min(initial=NO_RANK)))
    width = top - bottom + 1
    index = np.add(rank, (np.arange(cells) * width - bottom).astype(np.int32), dtype=np.int32)
    table = np.bincount(index.ravel(), minlength=cells * width).reshape(cells, width)
    levels = table * (np.arange(bottom, top + 1) - FIRST + floors.shift)
    edges = np.concatenate([[0], cuts - bottom])
    below, total = (
        np.cumsum(np.add.reduceat(one, edges, axis=1)[:, :-1], axis=1)[:, floors.which].T
        for one in (table, levels)
    )
    return below, (below * (floors.thresholds_c * 10.0)[:, None] - total) / 10.0, valid


def count_grid(
    grid: Grid, offsets_hours: FloatArray, thresholds_c: FloatArray, *, steps: int | None = None
) -> Counts:
    """
    Counts of a whole grid, piece by piece: in memory are one piece and the result.

    Parameters
    ----------
    offsets_hours : (row, column), h
    thresholds_c : (floor), °C
    steps
        In time, of a piece; None: about a year, in whole pieces of the files.

    Returns
    -------
    Counts
        Cells row after row.
    """
    axis = month_axis(grid.start_hour, grid.steps * grid.step_hours, offsets_hours)
    length = steps or _piece_steps(grid)
    shape = axis.months, *grid.shape
    below = np.zeros((thresholds_c.size, *shape), np.int64)
    degree_hours = np.zeros((thresholds_c.size, *shape))
    valid = np.zeros(shape, np.int64)

    def count(block: Block) -> None:
        found = _count_through(grid, length, block, offsets_hours[block], thresholds_c, axis)
        size = valid[:, *block].shape
        below[:, :, *block] = found.hours_below.reshape(-1, *size)
        degree_hours[:, :, *block] = found.degree_hours_below.reshape(-1, *size)
        valid[:, *block] = found.hours_valid.reshape(size)

    with ThreadPoolExecutor(min(THREADS, parallel.cores())) as pool:  # one reads, another counts
        deque(pool.map(count, grid.blocks(length, TIME_BYTES)), maxlen=0)
    return Counts(
        axis=axis,
        hours_below=below.reshape(thresholds_c.size, axis.months, -1),
        degree_hours_below=degree_hours.reshape(thresholds_c.size, axis.months, -1),
        hours_valid=valid.reshape(axis.months, -1),
    )


def count_lazily(
    grid: Grid, offsets_hours: FloatArray, thresholds_c: FloatArray, *, steps: int | None = None
) -> "da.Array":
    """
    The same counts as a dask array, of a block of cells each: time is gone through in it.

    Compute it with any scheduler; workers of a cluster need the same files under the same paths.

    Parameters
    ----------
    offsets_hours, thresholds_c, steps
        As of `count_grid`.

    Returns
    -------
    (layer, month, row, column)
        Hours below each floor, degree-hours below each, and valid hours last; months as of
        `month_axis`.
    """
    import dask.array as da  # noqa: PLC0415  (slow to import)

    axis = month_axis(grid.start_hour, grid.steps * grid.step_hours, offsets_hours)
    length = steps or _piece_steps(grid)
    cuts = [
        sorted({(part.start, part.stop) for part in parts})
        for parts in zip(*grid.blocks(length, TIME_BYTES), strict=True)
    ]
    layers = 2 * thresholds_c.size + 1
    files = tuple(file.resolve() for file in grid.files)

    def of_block(block_info: Any = None) -> FloatArray:
        _, _, rows, columns = block_info[None]["array-location"]
        block = slice(*rows), slice(*columns)
        opened = replace(_opened(files, grid.variable), surface=grid.surface)
        found = _count_through(opened, length, block, offsets_hours[block], thresholds_c, axis)
        counted = (found.hours_below, found.degree_hours_below, found.hours_valid[None])
        shape = layers, axis.months, rows[1] - rows[0], columns[1] - columns[0]
        whole: FloatArray = np.concatenate(counted, dtype=np.float64).reshape(shape)
        return whole

    counts: da.Array = da.map_blocks(
        of_block,
        chunks=(
            (layers,),
            (axis.months,),
            *(tuple(stop - start for start, stop in cut) for cut in cuts),
        ),
        dtype=np.float64,
        meta=np.empty((0,) * 4),
    )
    return counts


@lru_cache(maxsize=1)
def _opened(files: tuple[Path, ...], variable: str) -> Grid:
    """The grid, opened once in each process for all of its blocks."""
    return open_grid(files, variable)


def _piece_steps(grid: Grid) -> int:
    """About a year, in whole pieces of the files."""
    year = 8784 // grid.step_hours
    return max(1, year // grid.chunks[0]) * grid.chunks[0]


def _count_through(  # noqa: PLR0917  (a block of a grid is all of these)
    grid: Grid,
    length: int,
    block: Block,
    offsets_hours: FloatArray,
    thresholds_c: FloatArray,
    axis: MonthAxis,
) -> Counts:
    """Counts of all steps of a block, so many at a time, on the months of the grid."""
    offsets = offsets_hours.ravel()
    total = _no_counts(axis, thresholds_c.size, offsets.size)
    for first in range(0, grid.steps, length):
        steps = slice(first, min(first + length, grid.steps))
        start = grid.start_hour + first * grid.step_hours
        some = month_axis(start, (steps.stop - first) * grid.step_hours, offsets)
        values, offset_c = grid.read_to_count(steps, block)
        part = count_block(
            values, start, grid.step_hours, offsets, thresholds_c, some, offset_c=offset_c
        )
        months = slice(some.first - axis.first, some.first - axis.first + some.months)
        total.hours_below[:, months] += part.hours_below
        total.degree_hours_below[:, months] += part.degree_hours_below
        total.hours_valid[months] += part.hours_valid
    return total
