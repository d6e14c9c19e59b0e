"""
Temperature and height.

The standard atmosphere (International Civil Aviation Organization): 6.5 K for each kilometre from
15 °C at sea level, as psychrolib `GetStandardAtmTemperature` gives it. Published gradients differ
by season and hour (Rolland 2003, Journal of Climate 16, 1032), so that the rate can be set.
"""

from __future__ import annotations

import numpy as np
import psychrolib  # type: ignore[import-untyped]
import pytest

from suitability.weather.blending import shift_height

pytestmark = pytest.mark.slow


@pytest.mark.parametrize(
    ("height_m", "temp_c"), [(500, 11.75), (1000, 8.5), (1500, 5.25), (2000, 2.0), (3000, -4.5)]
)
def test_the_standard_atmosphere(height_m: float, temp_c: float) -> None:
    """A place so much higher than sea level; the reference library says the same."""
    found = shift_height(np.array([15.0]), -height_m)
    assert found[0] == pytest.approx(temp_c, abs=0.01)
    psychrolib.SetUnitSystem(psychrolib.SI)
    assert psychrolib.GetStandardAtmTemperature(height_m) == pytest.approx(temp_c, abs=0.01)


@pytest.mark.parametrize(
    ("station_m", "place_m", "shift_c"), [(650.0, 150.0, 3.25), (20.0, 420.0, -2.6)]
)
def test_a_lower_place_is_warmer_and_a_higher_one_colder(
    station_m: float, place_m: float, shift_c: float
) -> None:
    """By hand: 500 m x 6.5 K/km = 3.25 K; -400 m x 6.5 K/km = -2.6 K."""
    moved = shift_height(np.array([10.0, np.nan]), station_m - place_m)
    assert moved[0] == pytest.approx(10.0 + shift_c)
    assert np.isnan(moved[1])


@pytest.mark.parametrize(("rate", "shift_c"), [(9.8, 4.9), (4.0, 2.0), (-3.0, -1.5)])
def test_the_rate_can_be_set_and_turned_round(rate: float, shift_c: float) -> None:
    """Dry air, saturated air, and an inversion of a clear calm night: 500 m lower."""
    assert shift_height(np.array([0.0]), 500.0, rate)[0] == pytest.approx(shift_c)
