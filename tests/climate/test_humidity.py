"""Moisture of the air: what must hold at any temperature, and hours of dry air."""

from __future__ import annotations

import numpy as np
import pytest
from hypothesis import given
from hypothesis import strategies as st

from suitability.climate.humidity import (
    dew_point_c,
    dry_air,
    relative_humidity_pct,
    saturation_pressure_kpa,
    saturation_slope_kpa,
    vapour_deficit_kpa,
    vapour_pressure_kpa,
)

TEMPERATURES = st.floats(-40.0, 55.0)


@given(TEMPERATURES, st.floats(1.0, 100.0))
def test_dew_point_and_humidity_undo_each_other(temp_c: float, rhum_pct: float) -> None:
    temp, rhum = np.array([temp_c]), np.array([rhum_pct])
    dew = dew_point_c(temp, rhum)
    assert dew[0] <= temp_c + 1e-9
    assert relative_humidity_pct(temp, dew) == pytest.approx(rhum, rel=1e-9)


@given(TEMPERATURES)
def test_the_slope_is_that_of_the_pressure(temp_c: float) -> None:
    """Central difference over a hundredth of a degree."""
    around = saturation_pressure_kpa(np.array([temp_c - 0.005, temp_c + 0.005]))
    slope = saturation_slope_kpa(np.array([temp_c]))[0]
    assert (around[1] - around[0]) / 0.01 == pytest.approx(slope, rel=1e-6)


@given(TEMPERATURES, st.floats(0.0, 100.0))
def test_what_there_is_and_what_lacks_make_saturation(temp_c: float, rhum_pct: float) -> None:
    temp, rhum = np.array([temp_c]), np.array([rhum_pct])
    whole = vapour_pressure_kpa(temp, rhum) + vapour_deficit_kpa(temp, rhum)
    assert whole == pytest.approx(saturation_pressure_kpa(temp))


def test_saturated_air_lacks_nothing_and_its_dew_point_is_its_temperature() -> None:
    temp = np.array([-5.0, 0.0, 20.0])
    assert vapour_deficit_kpa(temp, np.full(3, 100.0)) == pytest.approx(0.0, abs=1e-12)
    assert dew_point_c(temp, np.full(3, 100.0)) == pytest.approx(temp)


def test_air_without_vapour_has_no_dew_point() -> None:
    assert np.isnan(dew_point_c(np.array([20.0, 20.0]), np.array([0.0, np.nan]))).all()


def test_dry_air_is_warm_and_dry_and_known() -> None:
    """At 30 °C or 30 % it is not; without either reading neither."""
    temp = np.array([30.1, 30.0, 35.0, np.nan, 35.0])
    rhum = np.array([29.9, 29.0, 30.0, 10.0, np.nan])
    assert dry_air(temp, rhum).tolist() == [True, False, False, False, False]
    assert dry_air(temp, rhum, warmer_than_c=20.0, drier_than_pct=31.0).tolist() == [
        True, True, True, False, False,
    ]  # fmt: skip


def test_the_deficit_of_the_mean_is_not_the_mean_of_the_deficits() -> None:
    """Convex: 10 and 30 °C at 50 % lack 1.368 kPa on average, at their mean of 20 °C 1.169."""
    temp, rhum = np.array([10.0, 30.0]), np.array([50.0, 50.0])
    assert vapour_deficit_kpa(temp, rhum).mean() == pytest.approx(1.3678, abs=1e-4)
    assert vapour_deficit_kpa(np.array([20.0]), rhum[:1])[0] == pytest.approx(1.1691, abs=1e-4)
