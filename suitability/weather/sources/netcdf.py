"""Hourly records in NetCDF after the CF conventions: one place, air temperature over time."""

from __future__ import annotations

from importlib.util import find_spec
from typing import TYPE_CHECKING
from warnings import catch_warnings, simplefilter

import numpy as np

from suitability.errors import RecordError
from suitability.units import celsius_from_fahrenheit
from suitability.weather.record import from_dataset
from suitability.weather.sources.axis import FileRecord, understood_as, understood_record
from suitability.weather.sources.readings import CONVERTED, Readings, exact_values
from suitability.weather.sources.textfile import check_readable

if TYPE_CHECKING:
    from pathlib import Path

    import xarray as xr
    from numpy.typing import NDArray

    from suitability.weather.record import FloatArray, Record

MEANT_BY = {  # ours: CF standard names, and names in use where there is none
    "temp": (("air_temperature",), ("temp", "t2m", "tas", "air")),
    "rhum": (("relative_humidity",), ("rhum", "hurs")),
    "dwpt": (("dew_point_temperature",), ("dwpt", "d2m")),
    "prcp": (
        (
            "thickness_of_rainfall_amount",
            "precipitation_amount",
            "lwe_thickness_of_precipitation_amount",
            "rainfall_amount",
        ),
        ("prcp",),
    ),
}


def _spelled(symbol: str, *names: str) -> frozenset[str]:
    """A unit of temperature as UDUNITS and authors of files write it, in small letters."""
    marked = (f"{degree}{symbol}" for degree in ("deg", "deg_", "degree", "degree_", "°"))
    named = (f"{degree}{name}" for degree in ("", "degree_", "degrees_") for name in names)
    return frozenset((symbol, *marked, *named))


CELSIUS = _spelled("c", "celsius")
KELVIN = _spelled("k", "kelvin", "kelvins")
FAHRENHEIT = _spelled("f", "fahrenheit")
FACTORS = {  # to % and to mm
    "rhum": {"%": 1.0, "percent": 1.0, "1": 100.0},
    "prcp": {"mm": 1.0, "kg m-2": 1.0, "kg/m2": 1.0, "kg m**-2": 1.0, "cm": 10.0, "m": 1000.0},
}
ZERO_CELSIUS = 273.15  # K, exact (SI)
# What the libraries below raise at files that are damaged.
UNREADABLE = (OSError, RuntimeError, ValueError, OverflowError)


def read_netcdf(path: Path) -> FileRecord:
    """
    The hourly record in a NetCDF file of one place, with what was understood.

    Variables are found by their CF standard name (air_temperature, relative_humidity,
    dew_point_temperature, an amount of rain), else by a name in use (`temp`, `t2m`, `tas`). Units
    are those that the file declares; kelvin and °F are converted. Times are UTC, as CF has them.
    What `to_dataset` wrote comes back with its origins.

    Raises
    ------
    RecordError
        The package netCDF4 is not installed, the file cannot be read, holds no or several air
        temperatures or more than one place, or its units or calendar are not known.
    """
    with _open(path) as dataset:
        if "temp" in dataset and "origin" in dataset:
            named = tuple((name, name) for name in ("time", *MEANT_BY) if name in dataset.variables)
            return understood_as(_own_record(dataset, path.name), path.name, named, "°C", "UTC")
        try:
            return _record(dataset, path.name)
        except UNREADABLE as reason:  # data are read late, and a cut file shows late
            raise _damaged(path) from reason


def _own_record(dataset: xr.Dataset, file: str) -> Record:
    """The record of a data set that this program wrote."""
    try:
        return from_dataset(dataset.load())
    except RecordError as reason:
        raise RecordError(f"{file}: {reason}") from reason


def _record(dataset: xr.Dataset, file: str) -> FileRecord:
    """The record of an open data set."""
    own = {name: _find(dataset, name, file) for name in MEANT_BY}
    temp = own.pop("temp")
    if temp is None:
        raise RecordError(
            f"{file}: no variable has the standard_name air_temperature; found "
            f"{', '.join(map(str, dataset.data_vars)) or 'none'}. Name the variable temp."
        )
    seconds = _seconds(temp, file)
    celsius, unit = _celsius(temp, file)
    columns: dict[str, FloatArray] = {"temp": celsius}
    notes = label_notes(temp, file)
    for name, variable in own.items():
        if variable is None or (name == "dwpt" and "rhum" in columns):
            continue
        values = _amounts(variable, name, file)
        if values is None:
            stated = variable.attrs.get("units", "none")
            notes += (f"{variable.name} not used: its unit {stated!r} is not one of an amount.",)
        else:
            columns[name] = values
    names = {name: str(variable.name) for name, variable in own.items() if variable is not None}
    named = (("time", time_name(temp, file)), ("temp", str(temp.name)))
    return understood_record(
        Readings(
            file=file,
            seconds=seconds,
            temp_c=celsius,
            lines=np.arange(1, seconds.size + 1),
            rhum_pct=columns.get("rhum"),
            prcp_mm=columns.get("prcp"),
            dwpt_c=columns.get("dwpt"),
            row_word="time step",
            notes=notes,
            named=named + tuple((name, names[name]) for name in columns if name != "temp"),
            unit=unit,
        )
    )


def _open(path: Path) -> xr.Dataset:
    """The data set, its values not read yet."""
    if find_spec("netCDF4") is None:
        raise RecordError(
            f"{path.name}: reading NetCDF needs the package netCDF4; install it with "
            "pip install netCDF4, or save the record as CSV."
        )
    check_readable(path)
    import xarray as xr  # noqa: PLC0415  (slow to import)

    try:
        with catch_warnings():  # of times that no calendar has; they are refused below
            simplefilter("ignore", xr.SerializationWarning)
            return xr.open_dataset(path, engine="netcdf4")
    except UNREADABLE as reason:
        raise _damaged(path) from reason


def _damaged(path: Path) -> RecordError:
    return RecordError(
        f"{path.name}: this is no whole NetCDF file after the CF conventions; copy or write it "
        "again."
    )


def _find(dataset: xr.Dataset, name: str, file: str) -> xr.DataArray | None:
    """The variable that holds a quantity, over time alone."""
    standard, usual = MEANT_BY[name]
    found = [
        variable
        for variable in dataset.data_vars.values()
        if variable.attrs.get("standard_name") in standard
    ]
    found = found or [dataset[own] for own in usual if own in dataset.data_vars]
    exact = [variable for variable in found if variable.name == name]
    if len(exact or found) > 1:
        raise RecordError(
            f"{file}: several variables are {standard[0]}: "
            f"{', '.join(str(variable.name) for variable in found)}. Keep one, or name it {name}."
        )
    return _one_place((exact or found)[0], file) if found else None


def _one_place(variable: xr.DataArray, file: str) -> xr.DataArray:
    """The variable without dimensions of length 1."""
    time = time_name(variable, file)
    others = {str(dim): size for dim, size in variable.sizes.items() if dim != time and size > 1}
    if others:
        shape = " x ".join(f"{size} {dim}" for dim, size in others.items())
        raise RecordError(
            f"{file}: {variable.name} covers {shape}; expected one place. Select one and save it "
            "as a file of its own."
        )
    return variable.squeeze([dim for dim in variable.dims if dim != time], drop=True)


def time_name(variable: xr.DataArray, file: str) -> str:
    """The dimension that is time."""
    for dim in variable.dims:
        coordinate = variable.coords.get(dim)
        if coordinate is not None and coordinate.dtype.kind == "M":
            return str(dim)
        if coordinate is not None and coordinate.dtype.kind == "O":
            raise RecordError(
                f"{file}: the times use the calendar "
                f"{coordinate.encoding.get('calendar', 'of a model')}; expected real dates "
                "(standard or gregorian)."
            )
    raise RecordError(f"{file}: {variable.name} does not run over a coordinate of times.")


def _seconds(variable: xr.DataArray, file: str) -> NDArray[np.int64]:
    """Seconds from 1970-01-01 00:00 UTC."""
    times = variable[time_name(variable, file)].to_numpy()
    empty = np.isnat(times)
    if empty.any():
        raise RecordError(f"{file}, time step {int(empty.argmax()) + 1}: the time is empty.")
    if times.size == 0:
        raise RecordError(f"{file}: the file has no time steps.")
    return np.asarray(times.astype("datetime64[s]").astype(np.int64))


def unit_of(variable: xr.DataArray) -> str:
    """The unit that a variable says, in small letters."""
    return str(variable.attrs.get("units", "")).strip().casefold()


def _celsius(variable: xr.DataArray, file: str) -> tuple[FloatArray, str]:
    """Values in °C, and the file's unit in words."""
    unit, values = unit_of(variable), variable.to_numpy()
    if unit in CELSIUS:
        return exact_values(values), "°C"
    if unit in KELVIN:
        return exact_values(values, -ZERO_CELSIUS), "kelvin, converted to °C"
    if unit in FAHRENHEIT:
        return celsius_from_fahrenheit(exact_values(values)), CONVERTED
    raise RecordError(
        f"{file}: {variable.name} has the unit {variable.attrs.get('units')!r}; expected degC, K "
        "or degF."
    )


def _amounts(variable: xr.DataArray, name: str, file: str) -> FloatArray | None:
    """Humidity in %, rain in mm or dew point in °C; None if the unit is another."""
    if name == "dwpt":
        return _celsius(variable, file)[0]
    factor = FACTORS[name].get(str(variable.attrs.get("units", "")).strip())
    if factor is None:
        return None
    values = exact_values(variable.to_numpy())
    return values if factor == 1.0 else (values * factor).round(6)


def label_notes(variable: xr.DataArray, file: str) -> tuple[str, ...]:
    """What the file says an hour's value is: a reading, or a mean of the hour."""
    methods = str(variable.attrs.get("cell_methods", ""))
    if "time: minimum" in methods or "time: maximum" in methods:
        raise RecordError(
            f"{file}: {variable.name} holds extremes ({methods}); expected readings or means of "
            "the hour."
        )
    if "time: mean" in methods:
        return (f"{variable.name} holds means of the hour; the coldest readings lie below them.",)
    return ()
