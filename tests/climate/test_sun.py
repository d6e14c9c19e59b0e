"""Sun and day length: symmetry, poles, shapes, and the two definitions beside each other."""

from __future__ import annotations

import numpy as np
import pytest
from hypothesis import given
from hypothesis import strategies as st

from suitability.climate.sun import (
    almanac_day_length_h,
    day_length_h,
    solar_declination,
    sun_rise_set_utc,
    sun_zenith_deg,
    sunset_angle,
)

DAYS = np.arange(1.0, 366.0)


def noon(date: str) -> float:
    """Noon UTC of a date, h since 1970-01-01."""
    days = (np.datetime64(date) - np.datetime64("1970-01-01")).astype(int)
    return float(days * 24 + 12)


@given(st.floats(-66.0, 66.0))
def test_north_and_south_share_the_day(latitude: float) -> None:
    north = day_length_h(DAYS, np.array([latitude]))
    south = day_length_h(DAYS, np.array([-latitude]))
    assert north + south == pytest.approx(24.0)


def test_many_days_and_latitudes_at_once() -> None:
    latitudes = np.array([[60.0], [0.0], [-30.0]])
    lengths = day_length_h(DAYS, latitudes)
    assert lengths.shape == (3, 365)
    assert lengths[1] == pytest.approx(12.0)
    assert lengths[0].argmax() in range(168, 176)
    assert lengths[2].argmin() in range(168, 176)
    assert sunset_angle(DAYS, latitudes) * 24.0 / np.pi == pytest.approx(lengths)


def test_beyond_the_polar_circle_days_are_whole_or_none() -> None:
    june, december = np.array([172.0]), np.array([355.0])
    assert day_length_h(june, np.array([75.0])) == pytest.approx(24.0)
    assert day_length_h(december, np.array([75.0])) == pytest.approx(0.0)
    far, place = np.array([75.0]), np.array([10.0])
    summer, winter = np.array([noon("2013-06-21")]), np.array([noon("2013-12-21")])
    assert almanac_day_length_h(summer, far, place).tolist() == [24.0]
    assert almanac_day_length_h(winter, far, place).tolist() == [0.0]
    assert np.isnan(sun_rise_set_utc(winter, far, place)[0]).all()


def test_the_sun_is_overhead_at_most_at_the_tropics() -> None:
    assert np.degrees(np.abs(solar_declination(DAYS)).max()) == pytest.approx(23.43, abs=0.02)


@given(st.floats(-60.0, 60.0), st.floats(-180.0, 180.0), st.integers(0, 364))
def test_the_upper_limb_stands_on_the_horizon_at_sunrise_and_sunset(
    latitude: float, longitude: float, day: int
) -> None:
    """The zenith is 90° 50' at both, and the sun is higher at the moment between them."""
    middle = np.array([noon("2013-01-01") + 24.0 * day - longitude / 15.0])
    place, east = np.array([latitude]), np.array([longitude])
    rise, down = sun_rise_set_utc(middle, place, east)
    limb = 90.0 + 50.0 / 60.0
    assert sun_zenith_deg(rise, place, east) == pytest.approx(limb, abs=0.01)
    assert sun_zenith_deg(down, place, east) == pytest.approx(limb, abs=0.01)
    assert 0.0 < (down - rise)[0] < 24.0
    assert sun_zenith_deg((rise + down) / 2.0, place, east)[0] < limb


@given(st.integers(0, 364))
def test_the_almanac_day_is_some_minutes_longer(day: int) -> None:
    """
    At 40° N refraction and half the disc add 9 to 11 minutes.

    The declination of FAO-56 is up to 1° from the almanac's around the equinoxes, and 1° there is
    7 minutes of day.
    """
    hour = np.array([noon("2013-01-01") + 24.0 * day])
    almanac = almanac_day_length_h(hour, np.array([40.0]), np.array([0.0]))[0]
    plain = day_length_h(np.array([day + 1.0]), np.array([40.0]))[0]
    assert 2.0 < (almanac - plain) * 60.0 < 18.0
