"""
What lies under the cells of a grid: the height of the model's ground, and whether it is land.

Both come from files after the CF conventions, on the cells of the grid or on more of them, in any
order; temperatures are moved by the lapse rate that moves stations.
"""

from collections.abc import Mapping
from pathlib import Path
from typing import TYPE_CHECKING, Any

import numpy as np
from msgspec import Struct
from msgspec.structs import replace
from numpy.typing import NDArray

from suitability.atlas.grid import Grid, Surface, find_axis, open_dataset
from suitability.errors import RecordError
from suitability.weather.blending import AVERAGE_ONLY, LAPSE_K_PER_KM
from suitability.weather.sources.netcdf import UNREADABLE, unit_of

if TYPE_CHECKING:
    import xarray as xr

FloatArray = NDArray[np.float64]

GRAVITY_M_S2 = 9.80665  # standard gravity, by which geopotential is a height (ISO 80000-3)
HEIGHTS_M = (-500.0, 9000.0)  # of any ground
LAND_SHARE = 0.5  # from which a cell counts as land
SAME_DEGREES = 1e-3  # within which two cells are one; single precision keeps 3e-5 of 360


class _Kind(Struct, frozen=True):
    """A variable that is looked for: what it is, its CF standard names, names in use, units."""

    words: str
    standard: tuple[str, ...]
    usual: tuple[str, ...]
    factors: Mapping[str, float]
    span: tuple[float, float]


HEIGHT = _Kind(
    "a height of the ground",
    ("surface_altitude", "surface_geopotential", "geopotential", "altitude", "geopotential_height"),
    ("orog", "z", "elevation", "topo", "hgt"),
    dict.fromkeys(("m", "metre", "metres", "meter", "meters", "gpm"), 1.0)
    | dict.fromkeys(("m2 s-2", "m**2 s**-2", "m^2 s^-2", "m2/s2", "j kg-1"), 1.0 / GRAVITY_M_S2),
    HEIGHTS_M,
)
LAND = _Kind(
    "a share of land",
    ("land_binary_mask", "land_area_fraction"),
    ("lsm", "sftlf", "mask"),
    dict.fromkeys(("", "1", "(0 - 1)"), 1.0) | dict.fromkeys(("%", "percent"), 0.01),
    (0.0, 1.0),
)


def with_surface(
    grid: Grid,
    *,
    heights: Path | None = None,
    to_height: float | Path | None = None,
    mask: Path | None = None,
) -> Grid:
    """
    The grid with its temperatures moved to another height, and its sea left out.

    Parameters
    ----------
    heights
        Of the surface that the temperatures belong to: a file of metres, or of geopotential.
    to_height : m
        One height for all cells, or a file of the ground's; asked for together with `heights`.
    mask
        A file of land_binary_mask or land_area_fraction; cells below one half are left out.

    Raises
    ------
    RecordError
        A file cannot be read, holds no such variable, or none on the cells of the grid.
    """
    above, land, notes = None, None, grid.notes
    if heights is not None and to_height is not None:
        ground = _read(grid, to_height, HEIGHT) if isinstance(to_height, Path) else to_height
        above = _read(grid, heights, HEIGHT) - ground
        notes = (*notes, _say_moved(above, heights, to_height))
    if mask is not None:
        land = _read(grid, mask, LAND) >= LAND_SHARE
    return replace(grid, surface=Surface(above_m=above, land=land), notes=notes)


def moved_c(grid: Grid) -> FloatArray | None:
    """What is added to the temperatures of each cell for its height, K; None if nothing is."""
    above = grid.surface.above_m
    return None if above is None else LAPSE_K_PER_KM / 1000.0 * above


def _say_moved(above: FloatArray, heights: Path, to_height: float | Path) -> str:
    """What is to be told of moved temperatures."""
    target = f"those of {to_height.name}" if isinstance(to_height, Path) else f"{to_height:g} m"
    unknown = int(np.isnan(above).sum())
    left_out = f"; {unknown} cells without a height are left out" if unknown else ""
    return (
        f"Temperatures were moved from the heights in {heights.name} to {target} "
        f"({LAPSE_K_PER_KM:g} K/km){left_out}. {AVERAGE_ONLY}"
    )


def _read(grid: Grid, path: Path, kind: _Kind) -> FloatArray:
    """A variable of a file on the cells of the grid, (row, column), nan where there is none."""
    if not path.exists():
        raise RecordError(f"{path}: there is no such file.")
    dataset = open_dataset(path)
    variable = _find(dataset, path.name, kind)
    unit = unit_of(variable)
    if unit not in kind.factors:
        raise RecordError(
            f"{path.name}: {variable.name} has the unit {variable.attrs.get('units', 'none')!r}; "
            f"expected {kind.words} in {', '.join(filter(None, kind.factors))}."
        )
    values = _on_cells(grid, dataset, variable, path.name) * kind.factors[unit]
    low, high = kind.span
    wrong = values[(values < low - 1e-6) | (values > high + 1e-6)]
    if wrong.size:
        raise RecordError(
            f"{path.name}: {variable.name} has {wrong[0]:g}, which is not {kind.words}; expected "
            f"{low:g} to {high:g}{' m' if kind is HEIGHT else ''}."
        )
    return values


def _find(dataset: "xr.Dataset", file: str, kind: _Kind) -> "xr.DataArray":
    """The variable of a kind: by its standard name, else by a name in use."""
    every = dataset.data_vars
    found = [
        name for name, one in every.items() if one.attrs.get("standard_name") in kind.standard
    ] or [name for name in every if str(name).casefold() in kind.usual]
    if len(found) != 1:
        names = ", ".join(map(str, found or every)) or "none"
        raise RecordError(
            f"{file}: {len(found) or 'no'} variables are {kind.words} ({names}); expected one "
            f"whose standard_name is {' or '.join(kind.standard[:2])}."
        )
    return every[found[0]]


def _on_cells(grid: Grid, dataset: "xr.Dataset", variable: "xr.DataArray", file: str) -> FloatArray:
    """The values at the cells of the grid, in its order."""
    latitude, longitude = (find_axis(dataset, axis, "", file) for axis in ("latitude", "longitude"))
    dims = latitude.dims if latitude.ndim == 2 else (*latitude.dims, *longitude.dims)
    single = [dim for dim in variable.dims if dim not in dims and variable.sizes[dim] == 1]
    flat = variable.squeeze(single, drop=True)
    north, east = grid.latitude.to_numpy(), grid.longitude.to_numpy()
    if set(flat.dims) != set(dims) or len(dims) != 2 or latitude.ndim != north.ndim:
        raise RecordError(
            f"{file}: {variable.name} runs over {', '.join(map(str, variable.dims))}; expected the "
            f"rows and columns of {grid.name} alone."
        )
    try:
        values = flat.transpose(*dims).to_numpy().astype(np.float64)
    except UNREADABLE as reason:
        raise RecordError(
            f"{file}: {variable.name} cannot be read; copy the file again."
        ) from reason
    if north.ndim == 1:
        rows, columns = _nearest(latitude.to_numpy(), north), _nearest(longitude.to_numpy(), east)
        same = rows is not None and columns is not None
        if rows is not None and columns is not None:
            values = values[np.ix_(rows, columns)]
    else:
        same = values.shape == north.shape and all(
            np.nanmax(_apart(own.transpose(*dims).to_numpy(), asked), initial=0.0) < SAME_DEGREES
            for own, asked in ((latitude, north), (longitude, east))
        )
    if not same:
        raise RecordError(
            f"{file}: does not have all cells of {grid.name}; give {variable.name} on the "
            "same latitudes and longitudes."
        )
    return values


def _apart(one: NDArray[np.floating[Any]], other: NDArray[np.floating[Any]]) -> FloatArray:
    """Degrees between two positions on a circle."""
    apart: FloatArray = np.abs((one.astype(np.float64) - other + 180.0) % 360.0 - 180.0)
    return apart


def _nearest(
    own: NDArray[np.floating[Any]], asked: NDArray[np.floating[Any]]
) -> NDArray[np.intp] | None:
    """Where each position asked for stands among those of a file; None if one is not there."""
    apart = _apart(own[None, :], asked[:, None])
    at: NDArray[np.intp] = apart.argmin(axis=1)
    return at if apart.min(axis=1).max() < SAME_DEGREES else None
