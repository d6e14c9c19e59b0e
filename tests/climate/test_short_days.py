"""When the day's length passes its marks."""

from __future__ import annotations

import numpy as np
import pytest

from suitability.climate.days import DAYS, turn
from suitability.climate.sun import ShortDays, find_short_days

SUMMER = 172  # 22 June


def wave(mean_h: float, half_range_h: float) -> np.ndarray[tuple[int], np.dtype[np.float64]]:
    """A day length that is longest on 22 June and shortest half a year later."""
    day = np.arange(DAYS)
    return mean_h + half_range_h * np.cos(2.0 * np.pi * (day - SUMMER) / DAYS)


def test_marks_stand_where_the_wave_passes_them() -> None:
    """
    12 + 2 cos: under 12 h a quarter of a year after mid-summer, under 11 h a third after.

    91.25 and 121.7 days, so day 92 and 122 are the first below; back at the mirrored days.
    """
    light = find_short_days(wave(12.0, 2.0), SUMMER)
    assert (light.under_even, light.under_short) == (92, 122)
    assert (light.over_short, light.over_even) == (244, 274)  # 243.3 and 273.75
    assert light.longer is not None
    # 10 + 0.5 = 12 + 2 cos: cos = -0.75, 41.4° of 360° after the shortest day: 42 days
    assert light.longer == pytest.approx(182.5 + 42.0, abs=1.0)


def test_where_the_day_hardly_varies_nothing_is_dated() -> None:
    """Near the equator the year spans less than an hour."""
    assert find_short_days(wave(12.1, 0.4), SUMMER) == ShortDays()


def test_days_that_never_get_short_have_no_such_mark() -> None:
    """At 15 degrees the shortest day is over 11 h."""
    light = find_short_days(wave(12.1, 0.9), SUMMER)
    assert light.under_short is None
    assert light.over_short is None
    assert light.under_even is not None


def test_days_from_mid_summer_are_the_same_in_both_hemispheres() -> None:
    """Half a year later, counted from a mid-summer half a year later."""
    south = turn(wave(12.0, 2.0), 182)
    assert find_short_days(south, SUMMER + 182) == find_short_days(wave(12.0, 2.0), SUMMER)
