"""
Hours and degree-hours below any floors, by month and cell: `climate.exposure` for many cells.

Cells stand beside each other in tiles that stay in the processor's cache. Where all values are
tenths of a degree, one histogram of a month and its running sums give every floor at once; other
values are compared floor by floor. Counts of parts of a month add up, so that time may be cut
anywhere. Months are those of standard time, which cells of one block need not share.
"""

from itertools import pairwise
from typing import TYPE_CHECKING, Any

import numpy as np
from msgspec import Struct
from numpy.typing import NDArray

from suitability.atlas.grid import Block, Grid, open_grid
from suitability.climate.exposure import EPSILON_C, month_starts
from suitability.weather.sources.readings import exact_values

if TYPE_CHECKING:
    import dask.array as da

__all__ = ["Counts", "MonthAxis", "count_block", "count_grid", "count_lazily", "month_axis"]

FloatArray = NDArray[np.float64]
IntArray = NDArray[np.int64]

TILE = 128  # cells; a month of them fits the cache
SINGLE_TENTHS = 5e-4  # of a tenth; what single precision makes of decimals in kelvin
DOUBLE_TENTHS = 1e-6
TIME_BYTES = 16_000_000  # of single precision, of what is read at once to be counted


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
    values: NDArray[np.floating[Any]],
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
        As the file has them; nan where there is none.
    start_hour : h
        UTC hour of the first, from 1970.
    step_hours : h
    offsets_hours : (cell), h
        Standard time of each cell ahead of UTC.
    thresholds_c : (floor), °C
    axis
        From `month_axis` of the whole grid.
    offset_c
        What makes °C of the values.

    Examples
    --------
    >>> axis = month_axis(0, 3, np.zeros(1))
    >>> cold = np.array([[14.0], [13.0], [12.9]])
    >>> found = count_block(cold, 0, 1, np.zeros(1), np.array([13.0]), axis)
    >>> found.hours_below.item(), round(found.degree_hours_below.item(), 6)
    (1, 0.1)
    """
    shape = axis.months, values.shape[1]
    found = Counts(
        axis=axis,
        hours_below=np.zeros((thresholds_c.size, *shape), np.int64),
        degree_hours_below=np.zeros((thresholds_c.size, *shape)),
        hours_valid=np.zeros(shape, np.int64),
    )
    local = np.floor(start_hour + offsets_hours).astype(np.int64)
    for start in np.unique(local):
        cells = np.flatnonzero(local == start)
        whole = cells.size == local.size
        year, month, starts = month_starts(int(start), values.shape[0] * step_hours)
        at = (year - 1970) * 12 + month - 1 - axis.first
        edges = np.clip(-(-(starts - start) // step_hours), 0, values.shape[0])
        for number, (first, last) in enumerate(pairwise(edges)):
            for left in range(0, cells.size, TILE):
                some = cells[left : left + TILE]
                beside = slice(left, left + TILE) if whole else some
                counted = _count_tile(values[first:last, beside], thresholds_c, offset_c)
                found.hours_below[:, at + number, some] = counted[0]
                found.degree_hours_below[:, at + number, some] = counted[1]
                found.hours_valid[at + number, some] = counted[2]
    return found


def _count_tile(
    values: NDArray[np.floating[Any]], thresholds_c: FloatArray, offset_c: float
) -> tuple[NDArray[Any], FloatArray, NDArray[Any]]:
    """Below, degree-hours, valid of one month and tile."""
    kind = values.dtype.type
    scaled = np.add(values, kind(offset_c), order="C")
    scaled *= kind(10.0)
    level = np.rint(scaled)
    scaled -= level
    beside = np.abs(scaled, out=scaled).max(initial=0.0)
    valid: NDArray[Any] = np.full(values.shape[1], values.shape[0])
    if np.isnan(beside):
        beside = np.fmax.reduce(scaled, axis=None, initial=0.0)
        valid = np.count_nonzero(~np.isnan(scaled), axis=0)
    if beside < (SINGLE_TENTHS if values.dtype.itemsize < 8 else DOUBLE_TENTHS):
        return *_count_tenths(level, thresholds_c), valid
    temp_c = exact_values(values, offset_c)
    below = np.stack([np.count_nonzero(temp_c < one - EPSILON_C, axis=0) for one in thresholds_c])
    gaps = [np.fmax(one - temp_c, 0.0).sum(axis=0) for one in thresholds_c]
    return below, np.stack(gaps), valid


def _count_tenths(
    level: NDArray[np.floating[Any]], thresholds_c: FloatArray
) -> tuple[IntArray, FloatArray]:
    """Below and degree-hours of whole tenths; the levels are used up."""
    levels_at = np.ceil(thresholds_c * 10.0 - EPSILON_C * 10.0)
    top = int(levels_at.max()) + 1  # one bin for all warmer hours
    np.fmin(level, top, out=level)  # also sends nan there
    bottom = int(min(levels_at.min() - 1, level.min(initial=top)))
    width = top - bottom + 1
    index = level.astype(np.int64)
    index += np.arange(level.shape[1]) * width - bottom
    table = np.bincount(index.ravel(), minlength=level.shape[1] * width)
    running = np.cumsum(table.reshape(-1, width), axis=1)  # hours at or below
    columns = levels_at.astype(np.int64) - bottom - 1
    below = running[:, columns].T
    shortfall = np.cumsum(running, axis=1, out=running)  # tenth-degree-hours below the next level
    # From its level to a threshold the hours of the level gather the rest of the way.
    beyond = thresholds_c * 10.0 - (columns + bottom) - 1.0
    return below, (shortfall[:, columns].T + below * beyond[:, None]) / 10.0


def count_grid(
    grid: Grid,
    offsets_hours: FloatArray,
    thresholds_c: FloatArray,
    *,
    steps: int | None = None,
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
    rows, columns = grid.shape
    shape = axis.months, rows, columns
    below = np.zeros((thresholds_c.size, *shape), np.int64)
    degree_hours = np.zeros((thresholds_c.size, *shape))
    valid = np.zeros(shape, np.int64)
    length = steps or _piece_steps(grid)
    for block in grid.blocks(length, TIME_BYTES):
        for first in range(0, grid.steps, length):
            here = slice(first, min(first + length, grid.steps))
            part = _count_piece(grid, here, block, offsets_hours, thresholds_c)
            before = part.axis.first - axis.first
            months = slice(before, before + part.axis.months)
            size = below[:, months, *block].shape
            below[:, months, *block] += part.hours_below.reshape(size)
            degree_hours[:, months, *block] += part.degree_hours_below.reshape(size)
            valid[months, *block] += part.hours_valid.reshape(size[1:])
    return Counts(
        axis=axis,
        hours_below=below.reshape(thresholds_c.size, axis.months, -1),
        degree_hours_below=degree_hours.reshape(thresholds_c.size, axis.months, -1),
        hours_valid=valid.reshape(axis.months, -1),
    )


def count_lazily(
    grid: Grid,
    offsets_hours: FloatArray,
    thresholds_c: FloatArray,
    *,
    steps: int | None = None,
) -> "da.Array":
    """
    The same counts as a dask array: the kernel mapped over pieces, and those summed over time.

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

    length = steps or _piece_steps(grid)
    axis = month_axis(grid.start_hour, grid.steps * grid.step_hours, offsets_hours)
    blocks = grid.blocks(length, TIME_BYTES)
    cuts = [
        sorted({(part.start, part.stop) for part in parts}) for parts in zip(*blocks, strict=True)
    ]
    times = [(at, min(at + length, grid.steps)) for at in range(0, grid.steps, length)]
    layers = 2 * thresholds_c.size + 1
    files = tuple(file.resolve() for file in grid.files)

    def piece(block_info: Any = None) -> FloatArray:
        time, _, _, rows, columns = block_info[None]["array-location"]
        block = slice(*rows), slice(*columns)
        here = slice(*times[time[0]])
        opened = open_grid(files, grid.variable)
        found = _count_piece(opened, here, block, offsets_hours, thresholds_c)
        whole = np.zeros((1, layers, axis.months, rows[1] - rows[0], columns[1] - columns[0]))
        before = found.axis.first - axis.first
        months = slice(before, before + found.axis.months)
        counted = (*found.hours_below, *found.degree_hours_below, found.hours_valid)
        whole[0, :, months] = np.stack(counted).reshape(layers, -1, *whole.shape[3:])
        return whole

    spans = [tuple(stop - start for start, stop in cut) for cut in cuts]
    pieces = da.map_blocks(
        piece,
        chunks=((1,) * len(times), (layers,), (axis.months,), *spans),
        dtype=np.float64,
        meta=np.empty((0,) * 5),
    )
    total: da.Array = pieces.sum(axis=0)
    return total


def _piece_steps(grid: Grid) -> int:
    """About a year, in whole pieces of the files."""
    year = 8784 // grid.step_hours
    return max(1, year // grid.chunks[0]) * grid.chunks[0]


def _count_piece(
    grid: Grid, steps: slice, block: Block, offsets_hours: FloatArray, thresholds_c: FloatArray
) -> Counts:
    """Counts of some steps of a block, on the months of those steps."""
    start = grid.start_hour + steps.start * grid.step_hours
    offsets = offsets_hours[block].ravel()
    return count_block(
        grid.read(steps, block),
        start,
        grid.step_hours,
        offsets,
        thresholds_c,
        month_axis(start, (steps.stop - steps.start) * grid.step_hours, offsets),
        offset_c=grid.offset_c,
    )
