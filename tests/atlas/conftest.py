"""Grids for tests: files of invented waves, or of the real records in `tests/data`."""

from __future__ import annotations

from typing import TYPE_CHECKING, Any

import numpy as np
import pytest
import xarray as xr

if TYPE_CHECKING:
    from collections.abc import Callable


def make_grid(
    values: np.ndarray[Any, Any],
    *,
    start: str = "2001-01-01",
    step_hours: int = 1,
    units: str | None = "degC",
    latitudes: tuple[float, ...] = (40.0, 33.0),
    longitudes: tuple[float, ...] = (240.0, 275.0),
) -> xr.Dataset:
    """A data set of values over (time, lat, lon)."""
    steps = np.arange(values.shape[0]) * step_hours
    attributes = {"standard_name": "air_temperature"} | ({"units": units} if units else {})
    time = np.datetime64(start, "ns") + steps.astype("timedelta64[h]")
    dataset = xr.Dataset(
        {"t2m": (("time", "lat", "lon"), values, attributes)},
        coords={
            "time": time,
            "lat": ("lat", np.array(latitudes), {"units": "degrees_north"}),
            "lon": ("lon", np.array(longitudes), {"units": "degrees_east"}),
        },
        attrs={"source": "invented"},
    )
    dataset["time"].encoding = {"dtype": "int64", "units": "hours since 1970-01-01"}
    return dataset


@pytest.fixture(scope="session")
def grid() -> Callable[..., xr.Dataset]:
    """Maker of grids; see `make_grid`."""
    return make_grid
