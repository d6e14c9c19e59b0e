"""One cell of a grid is the record that it was made from, or is refused in one sentence."""

from __future__ import annotations

from typing import TYPE_CHECKING

import numpy as np
import pytest
from msgspec.structs import replace

from suitability.advice.habitat import compare_habitat
from suitability.advice.question import ask
from suitability.atlas.cells import read_cell
from suitability.atlas.grid import is_grid
from suitability.errors import RecordError
from suitability.weather.record import datetime_of_hour

if TYPE_CHECKING:
    from collections.abc import Callable
    from pathlib import Path

    import xarray as xr

    from suitability.places import Place
    from suitability.weather.record import Record

    Maker = Callable[..., xr.Dataset]


def test_a_cell_made_of_a_station_s_hours_gives_what_the_station_gives(
    grid: Maker, extract: Callable[[str], tuple[Record, Place]], tmp_path: Path
) -> None:
    """Guangzhou in the second of three columns; nights, days, words and groups are the same."""
    record, place = extract("guangzhou")
    values = np.full((record.temp_c.size, 1, 3), 20.0)
    values[:, 0, 1] = record.temp_c
    path = tmp_path / "grid.nc"
    start = f"{datetime_of_hour(record.start_hour):%Y-%m-%dT%H}"
    east = (place.longitude - 1.0, place.longitude, place.longitude + 1.0)
    whole = grid(values, start=start, latitudes=(place.latitude,), longitudes=east)
    whole.to_netcdf(path)
    assert is_grid(path)
    cell, where = read_cell([path], place.latitude + 0.3, place.longitude - 0.4)
    assert (where.latitude, where.longitude) == pytest.approx((place.latitude, place.longitude))
    question = ask(*extract("los_angeles"), "nobile")
    told = [
        compare_habitat(question, replace(one, station=None), replace(where, name="there"))
        for one in (record, cell)
    ]
    assert told[0].results == told[1].results
    assert cell.attribution == "invented"


@pytest.mark.parametrize(
    ("position", "change", "told"),
    [
        ((10.0, -90.0), {}, "lies outside the grid; the nearest cell, at 33,-85"),
        ((40.0, -120.0), {"step_hours": 6}, "6 hours apart, too far to tell nights"),
        ((33.0, -85.0), {}, "has no values; it may be sea"),
    ],
)
def test_a_cell_that_cannot_tell_is_refused(
    grid: Maker,
    tmp_path: Path,
    position: tuple[float, float],
    change: dict[str, int],
    told: str,
) -> None:
    values = np.full((48, 2, 2), 15.0)
    values[:, 1, 1] = np.nan
    grid(values, **change).to_netcdf(tmp_path / "grid.nc")
    with pytest.raises(RecordError, match=told):
        read_cell([tmp_path / "grid.nc"], *position)


def test_one_place_in_a_file_is_no_grid(grid: Maker, tmp_path: Path) -> None:
    """Axes of length 1 count for nothing; a folder is a grid."""
    one = grid(np.full((48, 1, 1), 15.0), latitudes=(40.0,), longitudes=(240.0,))
    one.to_netcdf(tmp_path / "one.nc")
    assert not is_grid(tmp_path / "one.nc")
    assert not is_grid(tmp_path / "absent.nc")
    assert is_grid(tmp_path)
