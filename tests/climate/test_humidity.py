"""Moisture of the air: what must hold at any temperature, and hours of dry air."""

from __future__ import annotations

import numpy as np
import pytest
from hypothesis import given
from hypothesis import strategies as st

from suitability.climate.humidity import (
    dry_air,
    saturation_pressure_kpa,
    vapour_deficit_kpa,
    vapour_pressure_kpa,
)
from suitability.weather.sources.axis import relative_humidity

TEMPERATURES = st.floats(-40.0, 55.0)


@given(TEMPERATURES, st.floats(0.0, 100.0))
def test_what_there_is_and_what_lacks_make_saturation(temp_c: float, rhum_pct: float) -> None:
    temp, rhum = np.array([temp_c]), np.array([rhum_pct])
    whole = vapour_pressure_kpa(temp, rhum) + vapour_deficit_kpa(temp, rhum)
    assert whole == pytest.approx(saturation_pressure_kpa(temp))


def test_saturated_air_lacks_nothing() -> None:
    temp = np.array([-5.0, 0.0, 20.0])
    assert vapour_deficit_kpa(temp, np.full(3, 100.0)) == pytest.approx(0.0, abs=1e-12)


@given(TEMPERATURES, st.floats(0.0, 30.0))
def test_humidity_from_a_dew_point_is_that_of_the_same_vapour(
    temp_c: float, depression_c: float
) -> None:
    """Files with a dew point and spots whose air is warmed speak of the same saturation."""
    temp, dew = np.array([temp_c]), np.array([temp_c - depression_c])
    share = saturation_pressure_kpa(dew) / saturation_pressure_kpa(temp)
    assert relative_humidity(temp, dew) == pytest.approx(100.0 * share)


def test_dry_air_is_warm_and_dry_and_known() -> None:
    """At 30 °C or 30 % it is not; without either reading neither."""
    temp = np.array([30.1, 30.0, 35.0, np.nan, 35.0])
    rhum = np.array([29.9, 29.0, 30.0, 10.0, np.nan])
    assert dry_air(temp, rhum).tolist() == [True, False, False, False, False]


def test_the_deficit_of_the_mean_is_not_the_mean_of_the_deficits() -> None:
    """Convex: 10 and 30 °C at 50 % lack 1.368 kPa on average, at their mean of 20 °C 1.169."""
    temp, rhum = np.array([10.0, 30.0]), np.array([50.0, 50.0])
    assert vapour_deficit_kpa(temp, rhum).mean() == pytest.approx(1.3678, abs=1e-4)
    assert vapour_deficit_kpa(np.array([20.0]), rhum[:1])[0] == pytest.approx(1.1691, abs=1e-4)
