"""Nights of invented records, laid out as a check lays them out."""

from __future__ import annotations

from typing import TYPE_CHECKING

import pytest

from suitability.climate.states import SpotNights, Thresholds, lay_out_nights, wet_hours
from suitability.weather.record import fill_short_gaps

if TYPE_CHECKING:
    from collections.abc import Callable

    from suitability.weather.record import Record

    LayOut = Callable[..., SpotNights]  # `lay_out_record`

MILD = Thresholds(
    limit_c=5.0,
    limit_wet_c=8.0,
    chill_base_c=12.0,
    dose_limit_c_h=60.0,
    floor_c=15.0,
    rest_floor_c=None,
    floor_hours_limit=200.0,
)


def lay_out_record(
    record: Record,
    *,
    allowance_c: float = 0.0,
    roofed: bool = True,
    dose_limits: tuple[float, ...] = (60.0,),
    highest_c: float = 40.0,
) -> SpotNights:
    """The nights of a record whose UTC is its standard time; no allowance, rain kept off."""
    return lay_out_nights(
        fill_short_gaps(record).temp_c,
        wet_hours(record.prcp_mm, record.temp_c.size, roofed=roofed),
        record.start_hour,
        minimum_allowance_c=allowance_c,
        highest_c=highest_c,
        dose_limits_c_h=frozenset(dose_limits),
    )


@pytest.fixture(scope="session")
def lay_out() -> LayOut:
    """Nights of an invented record."""
    return lay_out_record


@pytest.fixture(scope="session")
def mild() -> Thresholds:
    """Thresholds of an invented group: limit 5, wet 8, chill base 12, dose 60, floor 15."""
    return MILD
