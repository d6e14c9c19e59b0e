"""One cell of a grid as the record of a place of its own."""

from collections.abc import Sequence
from pathlib import Path

import numpy as np
from numpy.typing import NDArray

from suitability.atlas.grid import FloatArray, Grid, Surface, open_grid
from suitability.errors import RecordError
from suitability.places import Place, place_at
from suitability.weather.record import Origin, Record, datetime_of_hour
from suitability.weather.sources.readings import RANGE_C, exact_values

LONGEST_STEP = 3  # h, at which nights can still be told
DEGREE_KM = 111.2  # of a great circle


def read_cell(
    paths: Sequence[Path],
    latitude: float,
    longitude: float,
    *,
    variable: str | None = None,
    name: str | None = None,
) -> tuple[Record, Place]:
    """
    The record of the cell that a position lies in, and the cell as a place.

    Parameters
    ----------
    paths, variable
        As of `open_grid`.
    latitude, longitude : degrees
    name
        Of the place; None: the cell's own position.

    Raises
    ------
    RecordError
        The files are no grid that can be trusted, their values stand too far apart to tell nights,
        the position lies outside, or its cell has no values.
    """
    grid = open_grid(paths, variable)
    if grid.step_hours > LONGEST_STEP:
        raise RecordError(
            f"{grid.name}: values stand {grid.step_hours} hours apart, too far to tell nights; "
            f"expected 1 or {LONGEST_STEP}."
        )
    row, column = find_cell(grid, latitude, longitude)
    cell = slice(row, row + 1), slice(column, column + 1)
    values, offset_c = grid.to_count(grid.read(slice(0, grid.steps), cell), Surface())
    check_range(grid, values, offset_c)
    if np.isnan(values).all():
        raise RecordError(
            f"{grid.name}: the cell at {latitude:g},{longitude:g} has no values; it may be sea, "
            "so name a position farther inland."
        )
    north, east = (float(axis[row, column]) for axis in grid.positions())
    place = place_at(
        north,
        east,
        None,
        year=datetime_of_hour(grid.start_hour + grid.steps * grid.step_hours - 1).year,
        name=name or f"cell {north:g},{east:g}",
    )
    return cell_record(grid, exact_values(values.ravel(), offset_c)), place


def find_cell(grid: Grid, latitude: float, longitude: float) -> tuple[int, int]:
    """
    Row and column of the cell that a position lies in: the nearest one.

    Raises
    ------
    RecordError
        It lies farther from the nearest cell's middle than that cell's corners do.
    """
    north, east = grid.positions()
    away = _apart_km(north, east, latitude, longitude)
    row, column = (int(at) for at in np.unravel_index(np.nanargmin(away), away.shape))
    middle = float(north[row, column]), float(east[row, column])
    neighbours = [
        (row + down, column + right)
        for down, right in ((1, 0), (-1, 0), (0, 1), (0, -1))
        if 0 <= row + down < grid.shape[0] and 0 <= column + right < grid.shape[1]
    ]
    steps = [float(_apart_km(north[at], east[at], *middle)) for at in neighbours] or [DEGREE_KM]
    corner = float(np.hypot(steps[0], steps[-1])) / 2.0
    if away[row, column] > 1.01 * corner:
        raise RecordError(
            f"{grid.name}: {latitude:g},{longitude:g} lies outside the grid; the nearest cell, at "
            f"{middle[0]:g},{middle[1]:g}, is {away[row, column]:.0f} km away."
        )
    return row, column


def _apart_km(
    north: NDArray[np.float64], east: NDArray[np.float64], latitude: float, longitude: float
) -> NDArray[np.float64]:
    """Distance of each position, on a sphere and near enough to it to be flat, km."""
    across = (east - longitude + 180.0) % 360.0 - 180.0
    apart: NDArray[np.float64] = DEGREE_KM * np.hypot(
        north - latitude, across * np.cos(np.radians(latitude))
    )
    return apart


def cell_record(grid: Grid, temp_c: NDArray[np.float64]) -> Record:
    """
    The record of one cell; nothing is taken out of it, for a cell has no sensor.

    Parameters
    ----------
    temp_c : (step)
    """
    hourly_c = np.full((temp_c.size - 1) * grid.step_hours + 1, np.nan)
    hourly_c[:: grid.step_hours] = temp_c
    return Record(
        start_hour=grid.start_hour,
        temp_c=hourly_c,
        origin=np.where(np.isnan(hourly_c), Origin.MISSING, Origin.OBSERVED).astype(np.uint8),
        step_hours=grid.step_hours,
        source=grid.name,
        attribution=grid.credit,
        notes=grid.notes,
        checked=True,
    )


def check_range(grid: Grid, values: FloatArray, offset_c: float) -> None:
    """
    Refuse what is no air temperature, as a filler that the file does not declare.

    Parameters
    ----------
    values, offset_c
        As `Grid.to_count` gives them.

    Raises
    ------
    RecordError
        A value is none.
    """
    for find in (np.fmin, np.fmax):
        value = float(find.reduce(values, axis=None))
        if not np.isnan(value) and not RANGE_C[0] - 30 <= value + offset_c <= RANGE_C[1]:
            as_read = offset_c == grid.offset_c and not grid.fahrenheit
            unit = grid.parts[0].attrs["units"] if as_read else "degC"
            raise RecordError(
                f"{grid.name}: {grid.variable} has {value:g} {unit}, which is no air temperature; "
                "declare fillers as _FillValue, and the right units."
            )
