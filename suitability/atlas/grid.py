"""
A grid of hourly, 3- or 6-hourly air temperature in CF files, opened without being read.

NetCDF or Zarr, one file, several that follow each other, or a folder of them; latitudes and
longitudes of one or two dimensions, in any order and chunking. What a grid means is never guessed:
a unit, calendar or hour that is missing is refused.
"""

from collections.abc import Iterable, Iterator, Sequence
from importlib.util import find_spec
from pathlib import Path
from typing import TYPE_CHECKING, Any
from warnings import catch_warnings, simplefilter

import numpy as np
from msgspec import Struct
from numpy.typing import NDArray

from suitability.errors import RecordError
from suitability.units import celsius_from_fahrenheit
from suitability.weather.blending import shift_height
from suitability.weather.record import datetime_of_hour
from suitability.weather.sources.netcdf import (
    CELSIUS,
    FAHRENHEIT,
    KELVIN,
    MEANT_BY,
    UNREADABLE,
    ZERO_CELSIUS,
    label_notes,
    time_name,
    unit_of,
)
from suitability.weather.sources.readings import exact_values

if TYPE_CHECKING:
    import xarray as xr

IntArray = NDArray[np.int64]
FloatArray = NDArray[np.floating[Any]]
BoolArray = NDArray[np.bool_]
Block = tuple[slice, slice]

STEPS = (1, 3, 6)  # h
ENDINGS = (".nc", ".nc4", ".zarr")
ZARR_MARKS = ("zarr.json", ".zgroup", ".zmetadata")
MISSING = -32_768  # in the place of tenths
FARTHEST_C = 1000.0  # of an offset of packed tenths; any other is no packing of temperatures
BLOCK_BYTES = 64_000_000  # of single precision, of a block that is held at once
AXES = {  # standard name: units of CF, and names in use
    "latitude": (("degrees_north", "degree_north", "degrees_n", "degree_n"), ("lat", "latitude")),
    "longitude": (("degrees_east", "degree_east", "degrees_e", "degree_e"), ("lon", "longitude")),
}


class Surface(Struct, frozen=True, kw_only=True):
    """
    What lies under the cells of a grid, or of a block of them.

    Attributes
    ----------
    above_m : (row, column) or (cell), m, or None
        How far the surface that the temperatures belong to stands above the height asked for; nan
        where that is not known. None: temperatures are left as they are.
    land : as above_m, or None
        False where a cell is sea and left out.
    """

    above_m: NDArray[np.float64] | None = None
    land: BoolArray | None = None

    def of(self, block: Block) -> "Surface":
        """That of a block, its cells row after row."""
        above, land = self.above_m, self.land
        return Surface(
            above_m=None if above is None else above[block].ravel(),
            land=None if land is None else land[block].ravel(),
        )


class Grid(Struct, frozen=True, kw_only=True):
    """
    An open grid.

    Attributes
    ----------
    files
        In the order of their hours.
    variable
        Name of the temperature in them.
    parts : (step, row, column), each
        Of each file, not read yet.
    offset_c
        What makes °C of its values: -273.15 of kelvin, 0 of °C and of °F.
    fahrenheit
        Whether its values are in °F.
    start_hour : h
        Hours from 1970-01-01 00:00 UTC to the first value.
    step_hours : h
        1, 3 or 6.
    latitude, longitude
        As in the files: over rows and columns, or both over both.
    chunks : (step, row, column)
        Pieces in which the files are best read.
    credit
        What the files say of their source and licence, to be told with the map.
    notes
        What opening has to tell, one sentence each.
    surface
        From `surface.with_surface`.
    packed : (step, row, column), each
        Of each file, the numbers of 16 bits that it holds, where all are tenths of a degree; else
        empty.
    packed_offset_c
        What makes °C of them after they are turned to degrees.
    """

    files: tuple[Path, ...]
    variable: str
    parts: "tuple[xr.DataArray, ...]"
    offset_c: float
    fahrenheit: bool
    start_hour: int
    step_hours: int
    latitude: "xr.DataArray"
    longitude: "xr.DataArray"
    chunks: tuple[int, int, int]
    credit: str = ""
    notes: tuple[str, ...] = ()
    surface: Surface = Surface()
    packed: "tuple[xr.DataArray, ...]" = ()
    packed_offset_c: float = 0.0

    @property
    def steps(self) -> int:
        """Number of values in time."""
        return sum(part.shape[0] for part in self.parts)

    @property
    def shape(self) -> tuple[int, int]:
        """Rows and columns."""
        rows, columns = self.parts[0].shape[1:]
        return int(rows), int(columns)

    @property
    def name(self) -> str:
        """Of the file, or of the first of several."""
        more = len(self.files) - 1
        return self.files[0].name + (f" and {more} more" if more else "")

    def positions(self) -> tuple[NDArray[np.float64], NDArray[np.float64]]:
        """Latitude and longitude (-180 to 180) of each cell, (row, column), degrees."""
        latitude, longitude = self.latitude.to_numpy(), self.longitude.to_numpy()
        if latitude.ndim == 1:
            latitude, longitude = np.meshgrid(latitude, longitude, indexing="ij")
        east = (longitude.astype(np.float64) + 180.0) % 360.0 - 180.0
        return latitude.astype(np.float64), east

    def columns_east(self) -> NDArray[np.float64]:
        """Longitudes of the columns of a regular grid, running on across the date line."""
        east = np.unwrap(self.longitude.to_numpy().astype(np.float64), period=360.0)
        shift: float = 360.0 * round(float(east.mean()) / 360.0)
        moved: NDArray[np.float64] = east - shift
        return moved

    def read(self, steps: slice, block: Block) -> FloatArray:
        """
        Values as the file has them, (step, cell), nan where there is none.

        Raises
        ------
        RecordError
            A piece of a file is damaged.
        """
        values = self._read(self.parts, steps, block)
        return values if values.dtype.kind == "f" else values.astype(np.float64)

    def read_to_count(
        self, steps: slice, block: Block
    ) -> tuple[FloatArray | NDArray[np.int16], float]:
        """
        What is counted of some steps of a block, (step, cell), and what makes °C of it.

        Tenths of a degree with `MISSING` where the files hold such, else as of `to_count`.
        """
        surface = self.surface.of(block)
        if self.packed and surface.above_m is None and surface.land is None:
            return self._read(self.packed, steps, block), self.packed_offset_c
        return self.to_count(self.read(steps, block), surface)

    def _read(self, parts: "tuple[xr.DataArray, ...]", steps: slice, block: Block) -> NDArray[Any]:
        found, before = [], 0
        for file, part in zip(self.files, parts, strict=True):
            first, last = max(steps.start - before, 0), min(steps.stop - before, part.shape[0])
            before += part.shape[0]
            if first < last:
                try:
                    values = part[first:last, *block].to_numpy()
                except UNREADABLE as reason:
                    raise RecordError(
                        f"{file.name}: a piece of {self.variable} cannot be read; the file is "
                        "damaged, copy or fetch it again."
                    ) from reason
                found.append(values.reshape(values.shape[0], -1))
        return found[0] if len(found) == 1 else np.concatenate(found)

    def exact_c(self, values: FloatArray) -> NDArray[np.float64]:
        """Values as the file has them in °C, with the decimals that their author wrote."""
        if self.fahrenheit:
            return celsius_from_fahrenheit(exact_values(values))
        return exact_values(values, self.offset_c)

    def to_count(self, values: FloatArray, surface: Surface) -> tuple[FloatArray, float]:
        """
        What is counted of values, (step, cell), and what makes °C of it.

        Sea is left out. Values in °F, and what is moved to another height as `move_to_height`
        moves a record, are exact °C; others stay as the file has them.
        """
        if surface.land is not None:
            values = np.where(surface.land, values, values.dtype.type(np.nan))
        if surface.above_m is not None:
            return shift_height(self.exact_c(values), surface.above_m).round(6), 0.0
        return (self.exact_c(values), 0.0) if self.fahrenheit else (values, self.offset_c)

    def blocks(self, steps: int, most_bytes: int = BLOCK_BYTES) -> list[Block]:
        """Blocks of rows and columns, whole pieces of the files where so many steps allow it."""
        rows, columns = self.shape
        most = max(1, most_bytes // (4 * max(1, steps)))
        high, wide = min(self.chunks[1], rows), min(self.chunks[2], columns)
        wide = min(wide, most)
        high = min(high, max(1, most // wide))
        wide = min(columns, wide * max(1, most // (high * wide)))
        if wide == columns:
            high = min(rows, high * max(1, most // (high * wide)))
        return [
            (slice(row, min(row + high, rows)), slice(column, min(column + wide, columns)))
            for row in range(0, rows, high)
            for column in range(0, columns, wide)
        ]


def open_grid(paths: Sequence[Path], variable: str | None = None) -> Grid:
    """
    The grid in files or folders of them.

    Parameters
    ----------
    paths
        NetCDF files, Zarr stores, or folders of either; their order does not matter.
    variable
        None: the one whose standard_name is air_temperature, else one of a name in use.

    Raises
    ------
    RecordError
        A package is not installed, or the files are no grid that can be trusted.
    """
    files = [file for path in paths for file in _expanded(path)]
    parts = [_part(file, variable) for file in files]
    order = sorted(range(len(parts)), key=lambda at: int(parts[at].seconds[0]))
    parts = [parts[at] for at in order]
    files = [files[at] for at in order]
    _check_alike(parts)
    start_hour, step, notes = _hours(parts)
    first = parts[0]
    packed = tuple(part.packed for part in parts if part.packed is not None)
    whole = len(packed) == len(parts) and len({part.packed_offset_c for part in parts}) == 1
    steps = max(part.chunks[0] for part in parts)
    return Grid(
        files=tuple(files),
        variable=str(first.temp.name),
        parts=tuple(part.temp for part in parts),
        offset_c=first.offset_c,
        fahrenheit=unit_of(first.temp) in FAHRENHEIT,
        start_hour=start_hour,
        step_hours=step,
        latitude=first.latitude,
        longitude=first.longitude,
        chunks=(steps, *first.chunks[1:]),
        credit=first.credit,
        packed=packed if whole else (),
        packed_offset_c=first.packed_offset_c,
        notes=(*notes, *dict.fromkeys(note for part in parts for note in part.notes)),
    )


def is_grid(path: Path) -> bool:
    """
    Whether a path holds many positions: a folder, a Zarr store, or NetCDF with more axes than time.

    Raises
    ------
    RecordError
        It is NetCDF by its name and cannot be opened.
    """
    if path.is_dir() or path.suffix.lower() not in ENDINGS or not path.exists():
        return path.is_dir()
    with open_dataset(path) as dataset:
        shapes = [variable.shape for variable in dataset.data_vars.values()]
    # Bounds of times have two dimensions, and tell of no place.
    return any(len(shape) > 2 and sum(size > 1 for size in shape) > 1 for shape in shapes)


class _Part(Struct, frozen=True, kw_only=True):
    """What one file holds."""

    file: str
    temp: "xr.DataArray"
    offset_c: float
    seconds: IntArray
    latitude: "xr.DataArray"
    longitude: "xr.DataArray"
    chunks: tuple[int, int, int]
    credit: str
    notes: tuple[str, ...]
    packed: "xr.DataArray | None"
    packed_offset_c: float


def _expanded(path: Path) -> Iterator[Path]:
    """The file or store itself, or those of a folder."""
    if not path.exists():
        raise RecordError(f"{path}: there is no such file or folder.")
    if path.is_file() or _is_store(path):
        yield path
        return
    found = sorted(one for one in path.iterdir() if one.suffix.lower() in ENDINGS)
    if not found:
        raise RecordError(f"{path}: holds no file that ends in {', '.join(ENDINGS)}.")
    yield from found


def _is_store(path: Path) -> bool:
    return path.suffix.lower() == ".zarr" or any((path / mark).exists() for mark in ZARR_MARKS)


def open_dataset(path: Path, *, unpacked: bool = True) -> "xr.Dataset":
    """
    The data set of a file or store, nothing of its values read.

    Parameters
    ----------
    unpacked
        Else numbers are as the file holds them, neither scaled nor masked.

    Raises
    ------
    RecordError
        A package is not installed, or it is none.
    """
    store = path.is_dir()
    package = "zarr" if store else "netCDF4"
    if find_spec(package) is None:
        raise RecordError(
            f"{path.name}: reading it needs the package {package}; install suitability[atlas]."
        )
    import xarray as xr  # noqa: PLC0415  (slow to import)

    more: dict[str, Any] = {"consolidated": False} if store else {}
    try:
        with catch_warnings():  # of times that no calendar has; they are refused below
            simplefilter("ignore", xr.SerializationWarning)
            return xr.open_dataset(
                path,
                engine="zarr" if store else "netcdf4",
                mask_and_scale=unpacked,
                decode_timedelta=False,
                **more,
            )
    except UNREADABLE as reason:
        raise RecordError(
            f"{path.name}: this is no whole {'Zarr store' if store else 'NetCDF file'} after the "
            "CF conventions; copy or write it again."
        ) from reason


def _part(path: Path, variable: str | None) -> _Part:
    """One file, understood."""
    dataset = open_dataset(path)
    temp = _temperature(dataset, path.name, variable)
    time = time_name(temp, path.name)
    flat = [dim for dim in temp.dims if temp.sizes[dim] == 1 and dim != time]
    latitude, longitude = (find_axis(dataset, name, time, path.name) for name in AXES)
    dims = latitude.dims if latitude.ndim == 2 else (*latitude.dims, *longitude.dims)
    temp = temp.squeeze([dim for dim in flat if dim not in dims], drop=True)
    if set(temp.dims) != {time, *dims} or len(dims) != 2 or longitude.ndim != latitude.ndim:
        raise RecordError(
            f"{path.name}: {temp.name} runs over {', '.join(map(str, temp.dims))}; expected time, "
            "latitude and longitude alone. Select one level or member and save it as a file."
        )
    temp = temp.transpose(time, *dims)
    _check_degrees(latitude, longitude, path.name)
    preferred = temp.encoding.get("preferred_chunks") or {}
    seconds = temp[time].to_numpy().astype("datetime64[s]").astype(np.int64)
    if seconds.size == 0 or np.isnat(temp[time].to_numpy()).any():
        raise RecordError(f"{path.name}: has no time steps, or one whose time is empty.")
    packed, packed_offset_c = _packed(path, temp)
    return _Part(
        file=path.name,
        temp=temp,
        offset_c=_offset(temp, path.name),
        seconds=seconds,
        latitude=latitude.transpose(*dims) if latitude.ndim == 2 else latitude,
        longitude=longitude.transpose(*dims) if longitude.ndim == 2 else longitude,
        chunks=tuple(int(preferred.get(dim, 1)) for dim in temp.dims),  # type: ignore[arg-type]
        credit=_credit(dataset),
        notes=(*label_notes(temp, path.name), *_absent_chunks(path, temp)),
        packed=packed,
        packed_offset_c=packed_offset_c,
    )


def _packed(path: Path, temp: "xr.DataArray") -> tuple["xr.DataArray | None", float]:
    """
    The numbers of a file that packs tenths of a degree into 16 bits, and what makes °C of them.

    None where it packs otherwise: then the decoded values are the only truth.
    """
    how = temp.encoding
    fillers = [how[name] for name in ("_FillValue", "missing_value") if name in how]
    offset_c = float(how.get("add_offset", 0.0)) + _offset(temp, path.name)
    tenths = (
        how.get("dtype") == np.int16
        and fillers
        and all(np.array_equal(filler, MISSING) for filler in fillers)
        and unit_of(temp) not in FAHRENHEIT
        and abs(float(how.get("scale_factor", 1.0)) - 0.1) < 1e-9
        and abs(offset_c * 10.0 - round(offset_c * 10.0)) < 1e-6
        and abs(offset_c) < FARTHEST_C
        and "_Unsigned" not in how
    )
    if not tenths:
        return None, 0.0
    raw = open_dataset(path, unpacked=False)[temp.name]
    single = [dim for dim in raw.dims if dim not in temp.dims]
    return raw.squeeze(single, drop=True).transpose(*temp.dims), offset_c


def _temperature(dataset: "xr.Dataset", file: str, asked: str | None) -> "xr.DataArray":
    """The variable of air temperature."""
    if asked is not None and asked in dataset.data_vars:
        return dataset[asked]
    standard, usual = MEANT_BY["temp"]
    found = [
        str(name)
        for name, variable in dataset.data_vars.items()
        if variable.attrs.get("standard_name") in standard and variable.ndim > 2
    ]
    found = found or [name for name in usual if name in dataset.data_vars]
    if asked is None and len(found) == 1:
        return dataset[found[0]]
    candidates = found or [
        str(name)
        for name, variable in dataset.data_vars.items()
        if unit_of(variable) in CELSIUS | KELVIN | FAHRENHEIT
    ]
    told = f"candidates: {', '.join(candidates)}" if candidates else "none is in K, degC or degF"
    what = (
        f"has no variable {asked!r}"
        if asked is not None
        else f"{len(found) or 'no'} variables are air_temperature"
    )
    raise RecordError(f"{file}: {what} ({told}); name one with --variable.")


def _credit(dataset: "xr.Dataset") -> str:
    """Source and licence as the file's own attributes say them."""
    told = (dataset.attrs.get(name) for name in ("attribution", "source", "license"))
    return "; ".join(dict.fromkeys(str(one).strip() for one in told if one))


def _offset(temp: "xr.DataArray", file: str) -> float:
    """What makes °C of the values."""
    if unit_of(temp) in CELSIUS | FAHRENHEIT:
        return 0.0
    if unit_of(temp) in KELVIN:
        return -ZERO_CELSIUS
    stated = temp.attrs.get("units")
    found = "no units" if stated is None else f"the unit {stated!r}"
    raise RecordError(f"{file}: {temp.name} has {found}; expected units: K, degC or degF.")


def find_axis(dataset: "xr.Dataset", standard: str, time: str, file: str) -> "xr.DataArray":
    """
    Latitude or longitude: by its standard name, else its unit, else its name.

    Raises
    ------
    RecordError
        There is none.
    """
    units, names = AXES[standard]
    every = [one for one in dataset.variables if time not in dataset[one].dims]
    for fits in (
        lambda one: dataset[one].attrs.get("standard_name") == standard,
        lambda one: unit_of(dataset[one]) in units,
        lambda one: str(one).casefold() in names,
    ):
        found = [one for one in every if fits(one) and dataset[one].ndim in {1, 2}]  # type: ignore[no-untyped-call]
        if found:
            return dataset[found[0]]
    raise RecordError(
        f"{file}: no variable is {standard}; expected one with standard_name {standard} or units "
        f"{units[0]}."
    )


def _check_degrees(latitude: "xr.DataArray", longitude: "xr.DataArray", file: str) -> None:
    """Refuse degrees that are none."""
    for axis, most in ((latitude, 90.0), (longitude, 360.0)):
        values = axis.to_numpy()
        if not (np.abs(values[~np.isnan(values)]) <= most + 1e-6).all():
            raise RecordError(f"{file}: {axis.name} lies outside -{most:g} to {most:g} degrees.")


def _absent_chunks(path: Path, temp: "xr.DataArray") -> Iterable[str]:
    """Pieces that a store lacks read as missing values: that is said, since it may be damage."""
    if not path.is_dir():
        return
    import zarr  # noqa: PLC0415  (slow to import)

    array = zarr.open_array(path / str(temp.name), mode="r")
    absent = array.nchunks - array.nchunks_initialized
    if absent:
        yield (
            f"{path.name}: {absent} of {array.nchunks} pieces of {temp.name} are not in the store "
            "and count as missing; that is right for a sea left out, else copy it again."
        )


def _check_alike(parts: Sequence[_Part]) -> None:
    """Refuse files that are not of one grid."""
    first = parts[0]
    for part in parts[1:]:
        same = (
            part.temp.shape[1:] == first.temp.shape[1:]
            and part.temp.name == first.temp.name
            and part.offset_c == first.offset_c
            and (unit_of(part.temp) in FAHRENHEIT) == (unit_of(first.temp) in FAHRENHEIT)
            and np.array_equal(part.latitude, first.latitude, equal_nan=True)
            and np.array_equal(part.longitude, first.longitude, equal_nan=True)
        )
        if not same:
            raise RecordError(
                f"{part.file}: is not on the grid of {first.file} (variable, unit, latitudes and "
                "longitudes must be the same); give files of one grid."
            )


def _hours(parts: Sequence[_Part]) -> tuple[int, int, tuple[str, ...]]:
    """First hour, step in hours, and what is to be noted; files must follow without a gap."""
    seconds = np.concatenate([part.seconds for part in parts])
    beside = np.diff(seconds)
    step_s = int(np.median(beside)) if beside.size else 0
    if step_s not in {3600 * hours for hours in STEPS}:
        raise RecordError(
            f"{parts[0].file}: values stand {step_s / 3600:g} hours apart; expected 1, 3 or 6."
        )
    odd = np.flatnonzero(beside != step_s)
    if odd.size:
        at = int(odd[0])
        ends = np.cumsum([part.seconds.size for part in parts])
        file = parts[int(np.searchsorted(ends, at + 1, side="right"))].file
        first, last = (
            f"{datetime_of_hour(int(one // 3600)):%Y-%m-%d %H:%M}" for one in seconds[at : at + 2]
        )
        raise RecordError(
            f"{file}: "
            + (
                f"no values between {first} and {last}; a file or a piece is missing."
                if beside[at] > step_s
                else f"values of {last} come after those of {first}; give each hour once."
            )
        )
    past = int(seconds[0] % 3600)
    notes = (f"Values stand {past // 60} min past the hour and were set on the hour nearest.",)
    return int((seconds[0] + 1799) // 3600), step_s // 3600, notes if past else ()
