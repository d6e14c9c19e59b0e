"""Any CF grid is opened as what it says it is, or refused in one sentence."""

from __future__ import annotations

from typing import TYPE_CHECKING

import numpy as np
import pytest
import xarray as xr

from suitability.atlas.grid import open_grid
from suitability.errors import RecordError

if TYPE_CHECKING:
    from collections.abc import Callable
    from pathlib import Path

    Maker = Callable[..., xr.Dataset]

EVERY = slice(None), slice(None)
VALUES = (np.arange(48 * 4).reshape(48, 2, 2) % 17).astype(np.float32)


def celsius(path: Path, *more: Path) -> np.ndarray:
    """All values of the files in °C, (step, cell)."""
    grid = open_grid([path, *more])
    return grid.exact_c(grid.read(slice(0, grid.steps), EVERY))


def test_every_form_of_one_grid_reads_the_same(grid: Maker, tmp_path: Path) -> None:
    """Kelvin, °C or °F, NetCDF or Zarr of any chunks, one file or several in a folder."""
    whole = grid(VALUES)
    whole.to_netcdf(tmp_path / "c.nc")
    whole.to_zarr(tmp_path / "z.zarr", consolidated=False, encoding={"t2m": {"chunks": (7, 1, 2)}})
    folder = tmp_path / "years"
    folder.mkdir()
    whole.isel(time=slice(24, 48)).to_netcdf(folder / "a.nc")  # names tell no order
    whole.isel(time=slice(0, 24)).to_netcdf(folder / "b.nc")
    expected = VALUES.reshape(48, 4)
    for name in ("c.nc", "z.zarr", "years"):
        np.testing.assert_array_equal(celsius(tmp_path / name), expected)
    for name, values, units in (
        ("k", VALUES + 273.15, "K"),
        ("f", VALUES * 1.8 + 32.0, "degree_fahrenheit"),
        ("i", VALUES.astype(np.int16) + 300, "kelvin"),
    ):
        grid(values, units=units).to_netcdf(tmp_path / f"{name}.nc")
        above = 300 - 273.15 if name == "i" else 0.0
        np.testing.assert_allclose(celsius(tmp_path / f"{name}.nc"), expected + above, atol=1e-9)
    assert open_grid([folder]).name == "b.nc and 1 more"


def test_positions_stand_in_any_order(grid: Maker, tmp_path: Path) -> None:
    """Latitudes may fall, longitudes run to 360, and across the date line."""
    grid(VALUES, longitudes=(179.0, 181.0)).to_netcdf(tmp_path / "a.nc")
    opened = open_grid([tmp_path / "a.nc"])
    latitude, longitude = opened.positions()
    assert latitude.tolist() == [[40.0, 40.0], [33.0, 33.0]]
    assert longitude.tolist() == [[179.0, -179.0]] * 2
    assert opened.columns_east().tolist() == [179.0, 181.0]


def test_a_curvilinear_grid_has_a_position_for_each_cell(grid: Maker, tmp_path: Path) -> None:
    """Its latitudes and longitudes have two dimensions, neither of which is named after them."""
    north = np.array([[40.0, 41.0], [33.0, 34.0]])
    curved = xr.Dataset(
        {"tas": (("time", "y", "x"), VALUES, {"units": "K", "standard_name": "air_temperature"})},
        coords={
            "time": grid(VALUES)["time"],
            "lat": (("y", "x"), north, {"units": "degrees_north"}),
            "lon": (("y", "x"), north - 100.0, {"units": "degrees_east"}),
        },
    )
    curved.to_netcdf(tmp_path / "a.nc")
    opened = open_grid([tmp_path / "a.nc"])
    assert opened.positions()[0].tolist() == north.tolist()
    assert opened.positions()[1].tolist() == (north - 100.0).tolist()


def test_blocks_cover_every_cell_once(grid: Maker, tmp_path: Path) -> None:
    """Whatever the bytes that one may have."""
    grid(np.zeros((4, 5, 7)), latitudes=tuple(range(5)), longitudes=tuple(range(7))).to_netcdf(
        tmp_path / "a.nc"
    )
    opened = open_grid([tmp_path / "a.nc"])
    for most in (1, 60, 130, 400, 10_000):
        seen = np.zeros(opened.shape, int)
        for block in opened.blocks(4, most):
            seen[block] += 1
            assert seen[block].size <= max(1, most // 16)
        assert (seen == 1).all()


@pytest.mark.parametrize(
    ("change", "told"),
    [
        (lambda d: d["t2m"].attrs.pop("units"), "t2m has no units; expected"),
        (lambda d: d["t2m"].attrs.update(units="mm"), "t2m has the unit 'mm'"),
        (lambda d: d["t2m"].attrs.update(cell_methods="time: minimum"), "holds extremes"),
        (lambda d: d.update({"lat": d["lat"] * 3}), "lat lies outside -90 to 90"),
        (lambda d: d["time"].encoding.update(calendar="noleap"), "calendar noleap"),
        (lambda d: d["time"].encoding.update(calendar="360_day"), "calendar 360_day"),
    ],
)
def test_what_a_file_does_not_say_is_not_guessed(
    grid: Maker, tmp_path: Path, change: Callable[[xr.Dataset], object], told: str
) -> None:
    """A unit, kind of value, place or calendar that is none."""
    dataset = grid(VALUES)
    change(dataset)
    dataset.to_netcdf(tmp_path / "a.nc")
    with pytest.raises(RecordError, match=told):
        open_grid([tmp_path / "a.nc"])


def test_an_unknown_variable_is_told_its_candidates(grid: Maker, tmp_path: Path) -> None:
    """By their units, and one may be named."""
    dataset = grid(VALUES).rename(t2m="warmth")
    dataset["warmth"].attrs["standard_name"] = "surface_temperature"
    dataset["rain"] = dataset["warmth"].assign_attrs(units="mm")
    dataset.to_netcdf(tmp_path / "a.nc")
    with pytest.raises(RecordError, match=r"no variables are .* \(candidates: warmth\); name one"):
        open_grid([tmp_path / "a.nc"])
    assert open_grid([tmp_path / "a.nc"], "warmth").variable == "warmth"
    with pytest.raises(RecordError, match="has no variable 'warm'"):
        open_grid([tmp_path / "a.nc"], "warm")


def test_a_missing_file_in_the_middle_is_told(grid: Maker, tmp_path: Path) -> None:
    """With its hours; so are hours given twice, and steps that are none of 1, 3 and 6."""
    whole = grid(VALUES)
    for name, hours in (("a", slice(0, 10)), ("c", slice(20, 48)), ("d", slice(5, 15))):
        whole.isel(time=hours).to_netcdf(tmp_path / f"{name}.nc")
    with pytest.raises(
        RecordError, match=r"c\.nc: no values between 2001-01-01 09:00 and .* 20:00"
    ):
        open_grid([tmp_path / "a.nc", tmp_path / "c.nc"])
    with pytest.raises(RecordError, match="give each hour once"):
        open_grid([tmp_path / "a.nc", tmp_path / "d.nc"])
    whole.isel(time=slice(0, 48, 2)).to_netcdf(tmp_path / "e.nc")
    with pytest.raises(RecordError, match="2 hours apart; expected 1, 3 or 6"):
        open_grid([tmp_path / "e.nc"])


def test_a_damaged_piece_is_told_and_an_absent_one_noted(grid: Maker, tmp_path: Path) -> None:
    """A store without a piece reads as missing values, which a sea left out does too."""
    store = tmp_path / "z.zarr"
    grid(VALUES + 1).to_zarr(store, consolidated=False, encoding={"t2m": {"chunks": (12, 2, 2)}})
    pieces = sorted(path for path in (store / "t2m" / "c").rglob("*") if path.is_file())
    assert len(pieces) == 4
    pieces[1].unlink()
    assert "1 of 4 pieces of t2m are not in the store" in open_grid([store]).notes[0]
    pieces[2].write_bytes(b"no piece")
    with pytest.raises(RecordError, match=r"z\.zarr: a piece of t2m cannot be read"):
        celsius(store)
    (tmp_path / "cut.nc").write_bytes(b"\x89HDF\r\n\x1a\n and no more")
    with pytest.raises(RecordError, match="no whole NetCDF file"):
        open_grid([tmp_path / "cut.nc"])
