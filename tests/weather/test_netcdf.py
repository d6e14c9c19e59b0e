"""Reading NetCDF after the CF conventions."""

from __future__ import annotations

from typing import TYPE_CHECKING, Any

import numpy as np
import pytest
import xarray as xr

from suitability.errors import RecordError
from suitability.weather.record import Origin, Record, to_dataset
from suitability.weather.sources.netcdf import read_netcdf

if TYPE_CHECKING:
    from pathlib import Path

    from suitability.weather.sources.axis import FileRecord

HOUR_2020 = 438288
TIMES = np.array(["2020-01-01T00", "2020-01-01T01", "2020-01-01T02"], "datetime64[ns]")


def variable(values: Any, units: str | None, standard_name: str = "air_temperature") -> Any:
    """A variable over time."""
    attributes = {"standard_name": standard_name}
    return ("time", np.array(values), attributes | ({"units": units} if units else {}))


def read(folder: Path, variables: dict[str, Any], **encoding: Any) -> FileRecord:
    """The record of a data set written with these variables."""
    path = folder / "porch.nc"
    dataset = xr.Dataset(variables, coords={"time": TIMES})
    dataset.to_netcdf(path, engine="netcdf4", encoding=encoding)
    return read_netcdf(path)


@pytest.mark.parametrize("units", ["K", "kelvin", "degC", "degrees_Celsius", "degF"])
def test_declared_units_are_followed(tmp_path: Path, units: str) -> None:
    """The same 10.7 °C in kelvin, °C and °F; missing stays missing."""
    celsius = np.array([10.7, np.nan, -3.0])
    written = {"K": celsius + 273.15, "k": celsius + 273.15, "d": celsius}[units[0]]
    if units == "degF":
        written = celsius * 1.8 + 32
    record = read(tmp_path, {"t2m": variable(written, units)}).record
    assert record.start_hour == HOUR_2020
    assert record.temp_c[[0, 2]].tolist() == [10.7, -3.0]
    assert np.isnan(record.temp_c[1])


def test_single_precision_kelvin_keeps_its_decimals(tmp_path: Path) -> None:
    """283.85 K in 32 bits is 10.7 °C, not a hair less."""
    values = np.array([283.85, 273.15, 263.05], np.float32)
    record = read(tmp_path, {"air": variable(values, "K")}).record
    assert record.temp_c.tolist() == [10.7, 0.0, -10.1]


def test_packed_values_are_unpacked(tmp_path: Path) -> None:
    """Integers with a scale, as reanalyses are shipped."""
    packing = {"dtype": "int16", "scale_factor": 0.1, "add_offset": 280.0, "_FillValue": -32768}
    values = variable([283.1, np.nan, 279.9], "K")
    record = read(tmp_path, {"air": values}, air=packing).record
    assert record.temp_c[[0, 2]] == pytest.approx([9.95, 6.75], abs=1e-4)
    assert record.origin.tolist() == [Origin.OBSERVED, Origin.MISSING, Origin.OBSERVED]


def test_quantities_are_found_by_standard_name_and_brought_to_our_units(tmp_path: Path) -> None:
    """Humidity as a fraction, rain in metres."""
    found = read(
        tmp_path,
        {
            "obs_a": variable([10.0, 11.0, 12.0], "degC"),
            "obs_b": variable([0.5, 0.6, 0.7], "1", "relative_humidity"),
            "obs_c": variable([0.001, 0, 0], "m", "lwe_thickness_of_precipitation_amount"),
        },
    )
    assert found.record.rhum_pct is not None
    assert found.record.prcp_mm is not None
    assert found.record.rhum_pct.tolist() == [50.0, 60.0, 70.0]
    assert found.record.prcp_mm.tolist() == [1.0, 0.0, 0.0]
    assert found.understood.named == (
        ("time", "time"),
        ("temp", "obs_a"),
        ("rhum", "obs_b"),
        ("prcp", "obs_c"),
    )


def test_a_rate_of_rain_is_left_out_and_noted(tmp_path: Path) -> None:
    """Kg m-2 s-1 is no amount of an hour."""
    record = read(
        tmp_path,
        {
            "temp": variable([10.0, 11.0, 12.0], "degC"),
            "pr": variable([0.1, 0, 0], "kg m-2 s-1", "precipitation_amount"),
        },
    ).record
    assert record.prcp_mm is None
    assert record.notes == ("pr not used: its unit 'kg m-2 s-1' is not one of an amount.",)


def test_means_of_the_hour_are_told_from_readings(tmp_path: Path) -> None:
    """What `cell_methods` says is passed on."""
    values = ("time", [1.0, 2.0, 3.0], {"units": "degC", "cell_methods": "time: mean"})
    assert read(tmp_path, {"temp": values}).record.notes == (
        "temp holds means of the hour; the coldest readings lie below them.",
    )


def test_lengths_of_one_do_not_matter(tmp_path: Path) -> None:
    """One place on a grid of one point."""
    values = (("time", "lat", "lon"), np.array([1.0, 2.0, 3.0]).reshape(3, 1, 1), {"units": "degC"})
    assert read(tmp_path, {"temp": values}).record.temp_c.tolist() == [1.0, 2.0, 3.0]


def test_what_this_program_wrote_keeps_its_origins(tmp_path: Path) -> None:
    """A filled hour does not come back as an observed one."""
    record = Record(
        start_hour=HOUR_2020,
        temp_c=np.array([1.0, 2.0, np.nan]),
        origin=np.array([Origin.OBSERVED, Origin.FILLED, Origin.MISSING], np.uint8),
        licence="CC BY 4.0",
    )
    path = tmp_path / "own.nc"
    to_dataset(record).to_netcdf(path, engine="netcdf4")
    again = read_netcdf(path).record
    assert again.origin.tolist() == record.origin.tolist()
    assert again.licence == "CC BY 4.0"
    assert np.array_equal(again.temp_c, record.temp_c, equal_nan=True)


GRID = (("time", "lat"), np.ones((3, 4)), {"units": "degC", "standard_name": "air_temperature"})


@pytest.mark.parametrize(
    ("variables", "expected"),
    [
        (
            {"wind": variable([1.0, 2, 3], "m s-1", "wind_speed")},
            "no variable has the standard_name",
        ),
        ({"t2m": variable([1.0, 2, 3], None)}, "t2m has the unit None; expected degC, K or degF."),
        ({"t2m": variable([1.0, 2, 3], "m")}, "t2m has the unit 'm'; expected degC, K or degF."),
        ({"t2m": GRID}, "t2m covers 4 lat; expected one place."),
        (
            {"a": variable([1.0, 2, 3], "K"), "b": variable([1.0, 2, 3], "K")},
            "several variables are air_temperature: a, b. Keep one, or name it temp.",
        ),
        ({"t": variable([10.0, 99999, 3], "degC")}, "porch.nc, time step 2: temp 99999 looks like"),
        ({"t": variable([283.0, 284, 285], "degC")}, "time step 1: temp 283 looks like kelvin."),
        (
            {"temp": ("time", [1.0, 2, 3], {"units": "degC", "cell_methods": "time: minimum"})},
            "temp holds extremes (time: minimum)",
        ),
        ({"temp": (("station",), [1.0], {"units": "degC"})}, "temp does not run over a coordinate"),
    ],
)
def test_what_cannot_be_understood_is_refused(
    tmp_path: Path, variables: dict[str, Any], expected: str
) -> None:
    """The message names the file and the variable."""
    with pytest.raises(RecordError) as caught:
        read(tmp_path, variables)
    assert expected in str(caught.value)
    assert str(caught.value).startswith("porch.nc")


def test_a_calendar_of_models_is_refused(tmp_path: Path) -> None:
    """A year of 360 days has no real nights."""
    path = tmp_path / "model.nc"
    attributes = {"units": "days since 2020-01-01", "calendar": "360_day"}
    xr.Dataset(
        {"temp": ("time", [1.0, 2.0], {"units": "degC"})},
        coords={"time": ("time", [58.0, 59.0], attributes)},
    ).to_netcdf(path, engine="netcdf4")
    with pytest.raises(RecordError, match="the times use the calendar 360_day"):
        read_netcdf(path)


def test_a_cut_file_is_refused(tmp_path: Path) -> None:
    """A download that broke off."""
    path = tmp_path / "porch.nc"
    read(tmp_path, {"temp": variable([1.0, 2.0, 3.0], "degC")})
    path.write_bytes(path.read_bytes()[:600])
    with pytest.raises(RecordError, match=r"^porch\.nc: this is no whole NetCDF file"):
        read_netcdf(path)


@pytest.mark.parametrize("moment", [1e12, 1e300, 2e7])
def test_times_that_no_calendar_has_are_refused(tmp_path: Path, moment: float) -> None:
    """Beyond what numbers of time hold, or only beyond the years of weather: one sentence."""
    path = tmp_path / "porch.nc"
    attributes = {"units": "days since 2020-01-01", "calendar": "standard"}
    xr.Dataset(
        {"temp": ("time", [1.0, 2.0], {"units": "degC"})},
        coords={"time": ("time", [58.0, moment], attributes)},
    ).to_netcdf(path, engine="netcdf4")
    with pytest.raises(RecordError, match=r"^porch\.nc") as caught:
        read_netcdf(path)
    assert "\n" not in str(caught.value)
