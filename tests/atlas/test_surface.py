"""Temperatures moved to another height, and sea left out; wrong files are one sentence."""

from __future__ import annotations

from typing import TYPE_CHECKING, Any

import numpy as np
import pytest
import xarray as xr
from msgspec.structs import replace

from suitability.atlas.grid import open_grid
from suitability.atlas.surface import moved_c, with_surface
from suitability.errors import RecordError
from suitability.weather.filling import move_to_height
from suitability.weather.sources.readings import exact_values

if TYPE_CHECKING:
    from collections.abc import Callable
    from pathlib import Path

    from suitability.places import Place
    from suitability.weather.record import Record

    Maker = Callable[..., xr.Dataset]

VALUES = (np.arange(48 * 4).reshape(48, 2, 2) % 17).astype(np.float32)
METRES = [[1000.0, 0.0], [250.0, np.nan]]


def field(values: Any, **attributes: str) -> xr.Dataset:
    """One variable on the cells of the invented grid, which lie at 40 and 33 N, 240 and 275 E."""
    return xr.Dataset(
        {"v": (("lat", "lon"), np.array(values, float), attributes)},
        coords={
            "lat": ("lat", [40.0, 33.0], {"units": "degrees_north"}),
            "lon": ("lon", [240.0, 275.0], {"units": "degrees_east"}),
        },
    )


def heights(values: Any = METRES, units: str = "m") -> xr.Dataset:
    return field(values, standard_name="surface_altitude", units=units)


def test_heights_are_found_in_any_order_unit_and_extent(grid: Maker, tmp_path: Path) -> None:
    """Longitudes to 180, rows turned and more than the grid has, metres or geopotential."""
    grid(VALUES).to_netcdf(tmp_path / "a.nc")
    opened = open_grid([tmp_path / "a.nc"])
    plain = heights()
    turned = plain.assign_coords(lon=("lon", [-120.0, -85.0], {"units": "degrees_east"}))
    more = turned.isel(lat=[1, 0, 0]).assign_coords(
        lat=("lat", [33.0, 40.0, 50.0], {"units": "degrees_north"})
    )
    geopotential = heights(np.array(METRES) * 9.80665, "m**2 s**-2").expand_dims(time=1)
    geopotential["v"].attrs["standard_name"] = "geopotential"
    for number, file in enumerate((plain, turned, more, geopotential)):
        path = tmp_path / f"h{number}.nc"
        file.to_netcdf(path)
        moved = with_surface(opened, heights=path, to_height=500.0)
        assert moved.surface.above_m is not None
        np.testing.assert_allclose(moved.surface.above_m, np.array(METRES) - 500.0)
        added = moved_c(moved)
        assert added is not None
        np.testing.assert_allclose(added, 6.5 * (np.array(METRES) - 500.0) / 1000.0)
        assert "1 cells without a height are left out" in moved.notes[-1]
    ground = with_surface(opened, heights=tmp_path / "h0.nc", to_height=tmp_path / "h1.nc")
    assert ground.surface.above_m is not None
    np.testing.assert_allclose(ground.surface.above_m, np.where(np.isnan(METRES), np.nan, 0.0))


@pytest.mark.parametrize("units", ["degC", "K", "degF"])
def test_a_cell_is_moved_as_a_record_is(
    grid: Maker,
    tmp_path: Path,
    extract: Callable[[str], tuple[Record, Place]],
    units: str,
) -> None:
    """The values counted are those of the record of a station that stands as much higher."""
    record = extract("reno")[0]
    assert record.station is not None
    temp_c = record.temp_c[:500]
    told = {"degC": temp_c, "K": temp_c + 273.15, "degF": (temp_c * 1.8 + 32.0).round(2)}[units]
    grid(
        told.astype(np.float32)[:, None, None], latitudes=(40.0,), longitudes=(240.0,), units=units
    ).to_netcdf(tmp_path / "a.nc")
    heights().to_netcdf(tmp_path / "h.nc")
    moved = with_surface(open_grid([tmp_path / "a.nc"]), heights=tmp_path / "h.nc", to_height=321.0)
    every = slice(None), slice(None)
    values = moved.read(slice(0, moved.steps), every)
    found, offset_c = moved.to_count(values, moved.surface.of(every))
    higher = replace(record.station, height_difference_m=679.0)
    if units == "degF":  # the readings of the station are whole °F, told to six decimals in °C
        temp_c = moved.exact_c(values)[:, 0]
        np.testing.assert_allclose(temp_c, record.temp_c[:500], atol=0.006)
    alone = replace(record, temp_c=temp_c, origin=record.origin[:500], station=higher)
    alone = move_to_height(replace(alone, lost_minimum_c=None), 6.5)
    np.testing.assert_array_equal(exact_values(found, offset_c)[:, 0], alone.temp_c)


@pytest.mark.parametrize(
    ("values", "attributes"),
    [
        ([[1, 0], [1, np.nan]], {"standard_name": "land_binary_mask"}),
        ([[50.0, 49.9], [100.0, 0.0]], {"standard_name": "land_area_fraction", "units": "%"}),
    ],
)
def test_cells_that_are_mostly_sea_are_left_out(
    grid: Maker, tmp_path: Path, values: Any, attributes: dict[str, str]
) -> None:
    """From one half on a cell is land; without a value it is none."""
    grid(VALUES).to_netcdf(tmp_path / "a.nc")
    field(values, **attributes).to_netcdf(tmp_path / "m.nc")
    found = with_surface(open_grid([tmp_path / "a.nc"]), mask=tmp_path / "m.nc")
    assert found.surface.land is not None
    assert found.surface.land.tolist() == [[True, False], [True, False]]
    every = slice(None), slice(None)
    counted, _ = found.to_count(found.read(slice(0, 48), every), found.surface.of(every))
    assert np.isnan(counted).all(axis=0).tolist() == [False, True, False, True]


@pytest.mark.parametrize(
    ("file", "told"),
    [
        (heights(units="km"), r"v has the unit 'km'; expected a height of the ground in m,"),
        (heights(np.array(METRES) * 9.80665), "v has 9806.65, which is not a height of the ground"),
        (heights().rename(v="other").drop_attrs(), r"no variables are a height .* \(other\)"),
        (heights().isel(lat=[0]), r"does not have all cells of a\.nc"),
        (
            heights().assign_coords(lon=("lon", [240.5, 275.0])),
            "no variable is longitude|all cells",
        ),
        (heights().expand_dims(time=2), r"v runs over time, lat, lon; expected the rows"),
        (field(METRES, standard_name="land_binary_mask"), r"no variables are a height"),
    ],
)
def test_heights_that_are_none_of_the_grid_are_one_sentence(
    grid: Maker, tmp_path: Path, file: xr.Dataset, told: str
) -> None:
    """Unit, size, name, cells, dimensions."""
    grid(VALUES).to_netcdf(tmp_path / "a.nc")
    file.to_netcdf(tmp_path / "h.nc")
    with pytest.raises(RecordError, match=told) as refused:
        with_surface(open_grid([tmp_path / "a.nc"]), heights=tmp_path / "h.nc", to_height=0.0)
    assert str(refused.value).startswith("h.nc: ")
