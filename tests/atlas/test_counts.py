"""Counts of a grid are those of each of its cells, however space and time are cut."""

from __future__ import annotations

from pathlib import Path
from typing import TYPE_CHECKING, Any

import numpy as np
import pytest
import xarray as xr
from hypothesis import given
from hypothesis import strategies as st

from suitability.atlas.counts import count_block, count_grid, count_lazily, month_axis
from suitability.atlas.grid import open_grid
from suitability.atlas.mapping import standard_offsets
from suitability.climate.days import local_hour
from suitability.climate.exposure import monthly_exposure
from suitability.weather.sources.readings import exact_values

if TYPE_CHECKING:
    from collections.abc import Callable

    from suitability.places import Place
    from suitability.weather.record import Record

FLOORS = np.array([12.8, 5.0, 13.0, -30.0, 7.25])
DATA = Path(__file__).parent.parent / "data"


def assert_as_a_station(
    values: np.ndarray[Any, Any], start: int, offsets: np.ndarray[Any, Any], offset_c: float = 0.0
) -> None:
    """Cell by cell as `climate.exposure`, where a month was observed."""
    axis = month_axis(start, values.shape[0], offsets)
    found = count_block(values, start, 1, offsets, FLOORS, axis, offset_c=offset_c)
    for cell, offset in enumerate(offsets):
        one = monthly_exposure(
            exact_values(values[:, cell], offset_c), None, local_hour(start, offset), FLOORS
        )
        first = (one.first_year - 1970) * 12 + one.first_month - 1 - axis.first
        here = slice(first, first + one.hours_valid.size)
        np.testing.assert_array_equal(found.hours_valid[here, cell], one.hours_valid)
        np.testing.assert_array_equal(
            found.hours_below[:, here, cell], np.nan_to_num(one.hours_below)
        )
        np.testing.assert_allclose(
            found.degree_hours_below[:, here, cell],
            np.nan_to_num(one.degree_hours_below),
            atol=1e-6,
        )
        assert found.hours_valid[:, cell].sum() == one.hours_valid.sum()


@pytest.mark.parametrize("decimals", [1, 3])
@pytest.mark.parametrize("kind", [np.float32, np.float64])
@pytest.mark.parametrize("offset_c", [0.0, -273.15])
def test_counts_are_those_of_each_cell(decimals: int, kind: type, offset_c: float) -> None:
    """Tenths and others, single and double, °C and kelvin, gaps, and cells of several zones."""
    chance = np.random.default_rng(4)
    values = chance.normal(10.0, 8.0, (3000, 5)).round(decimals)
    values[chance.random(values.shape) < 0.03] = np.nan
    values[:, 4] = np.nan
    offsets = np.array([-8.0, 5.5, 0.0, -8.0, 0.0])
    assert_as_a_station((values - offset_c).astype(kind), 263_000, offsets, offset_c)


@pytest.mark.parametrize(
    ("packing", "units", "as_packed"),
    [
        ({"scale_factor": 0.1, "_FillValue": -32768}, "degC", 1),
        ({"scale_factor": np.float32(0.1), "_FillValue": -32768}, "degC", 0),  # is 0.1000000015
        ({"scale_factor": 0.1, "add_offset": 273.15, "_FillValue": -32768}, "K", 1),
        ({"scale_factor": 0.1, "add_offset": 293.15, "_FillValue": -32768}, "K", 1),
        ({"scale_factor": 0.1}, "degC", 0),  # what has no filler is 16 bits of values
        ({"scale_factor": 0.1, "_FillValue": -32768}, "K", 0),
        ({"scale_factor": 0.01, "_FillValue": -32768}, "degC", 0),
        ({"scale_factor": 0.1, "_FillValue": -999}, "degC", 0),
    ],
)
@pytest.mark.parametrize("ending", ["nc", "zarr"])
def test_packed_numbers_are_the_tenths_that_decoding_gives(  # noqa: PLR0917
    grid: Callable[..., xr.Dataset],
    tmp_path: Path,
    packing: dict[str, Any],
    units: str,
    as_packed: int,
    ending: str,
) -> None:
    """Every number of 16 bits, and the counts of them all."""
    numbers = np.arange(-32768, 32768)
    numbers[0] = packing.get("_FillValue", -32767)
    raw = grid(numbers.astype(np.int16).reshape(-1, 2, 2), units=units)
    raw["t2m"].attrs |= {
        name: np.int16(value) if name == "_FillValue" else value for name, value in packing.items()
    }
    path = tmp_path / f"a.{ending}"
    raw.to_netcdf(path) if ending == "nc" else raw.to_zarr(path, consolidated=False)
    opened = open_grid([path])
    assert bool(opened.packed) == as_packed
    whole = slice(0, opened.steps), (slice(None), slice(None))
    decoded = opened.exact_c(opened.read(*whole))
    if as_packed:
        packed, offset_c = opened.read_to_count(*whole)
        assert packed.dtype == np.int16
        tenths = (packed.astype(np.int64) + round(offset_c * 10.0)) / 10.0
        tenths[packed == -32768] = np.nan
        np.testing.assert_allclose(tenths, decoded, rtol=0, atol=1e-9)
    counted = count_grid(opened, np.zeros((2, 2)), FLOORS)
    below = [(decoded < floor).sum(axis=0) for floor in FLOORS]
    np.testing.assert_array_equal(counted.hours_below.sum(axis=1), below)
    gaps = [np.fmax(floor - decoded, 0.0).sum(axis=0) for floor in FLOORS]
    np.testing.assert_allclose(counted.degree_hours_below.sum(axis=1), gaps, rtol=1e-9)


@given(
    values=st.lists(st.integers(-300, 300), min_size=1, max_size=60),
    floor=st.integers(-300, 300),
)
def test_below_and_not_below_add_up(values: list[int], floor: int) -> None:
    """And a higher floor never has fewer hours."""
    cold = np.array(values)[:, None] / 10.0
    floors = np.array([floor, floor + 1]) / 10.0
    axis = month_axis(0, cold.size, np.zeros(1))
    found = count_block(cold, 0, 1, np.zeros(1), floors, axis)
    below, higher = found.hours_below.sum(axis=(1, 2))
    assert below == sum(value < floor for value in values) <= higher
    assert found.hours_valid.sum() == len(values)
    assert found.degree_hours_below[0].sum() == pytest.approx(
        sum(max(0, floor - value) for value in values) / 10.0
    )


def test_counts_of_a_real_record_in_a_grid_are_those_of_the_station(
    extract: Callable[[str], tuple[Record, Place]],
) -> None:
    """Nine years of a high desert, whose readings are whole degrees Fahrenheit."""
    record, place = extract("reno")
    cells = np.stack([record.temp_c, record.temp_c + 1.0], axis=1)
    offsets = np.full(2, place.utc_offset_hours)
    assert_as_a_station(cells, record.start_hour, offsets)


def test_a_real_reanalysis_is_counted_alike_in_any_pieces(tmp_path: Path) -> None:
    """ERA5 around Berlin, packed values: by pieces of time and space, and cell by cell."""
    berlin = DATA / "era5_berlin.nc"
    grid = open_grid([berlin])
    offsets = standard_offsets(grid)
    assert (offsets == 1.0).all()
    values = grid.read(slice(0, grid.steps), (slice(None), slice(None)))
    assert_as_a_station(values, grid.start_hour, offsets.ravel(), grid.offset_c)
    whole = count_grid(grid, offsets, FLOORS)
    with xr.open_dataset(berlin) as dataset:
        dataset.to_zarr(
            tmp_path / "z.zarr",
            consolidated=False,
            zarr_format=2,
            encoding={"t2m": {"chunks": (1000, 1, 2)}},
        )
    pieces = open_grid([tmp_path / "z.zarr"])
    parts = [count_grid(pieces, offsets, FLOORS, steps=steps) for steps in (1000, 3333)]
    for part in parts:
        np.testing.assert_array_equal(part.hours_below, whole.hours_below)
        np.testing.assert_array_equal(part.hours_valid, whole.hours_valid)
        np.testing.assert_allclose(part.degree_hours_below, whole.degree_hours_below)


@pytest.mark.slow
# pandas announces a change of its own that xclim 0.62 has not followed yet
@pytest.mark.filterwarnings("ignore:The 'name' property is deprecated")
def test_the_reference_library_counts_the_same_grid_alike() -> None:
    """Generic counting of xclim (month starts, strictly below) on ERA5 around Berlin, in UTC."""
    from xclim.indices.generic import count_occurrences

    berlin = DATA / "era5_berlin.nc"
    grid = open_grid([berlin])
    floors = np.array([-5.0, 0.0, 5.0, 12.8, 20.0])
    ours = count_grid(grid, np.zeros(grid.shape), floors)
    with xr.open_dataset(berlin) as dataset:
        values = exact_values(dataset["t2m"].to_numpy(), -273.15)
        celsius = dataset["t2m"].copy(data=values).assign_attrs(units="degC")
    for number, floor in enumerate(floors):
        theirs = count_occurrences(celsius, f"{floor} degC", freq="MS", op="<").to_numpy()
        np.testing.assert_array_equal(ours.hours_below[number], theirs.reshape(12, -1))


@pytest.mark.slow
def test_counts_as_a_dask_array_are_the_same() -> None:
    """Pieces of time that end within months, summed."""
    grid = open_grid([DATA / "era5_berlin.nc"])
    offsets = standard_offsets(grid)
    whole = count_grid(grid, offsets, FLOORS)
    lazily = count_lazily(grid, offsets, FLOORS, steps=1000).compute()
    layers = np.concatenate([whole.hours_below, whole.degree_hours_below, whole.hours_valid[None]])
    np.testing.assert_allclose(lazily.reshape(layers.shape), layers)
