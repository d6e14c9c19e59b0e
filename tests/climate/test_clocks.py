"""Clocks of logs, told by the weather: real records with hours, a lag and a sunny wall put in."""

from __future__ import annotations

from typing import TYPE_CHECKING

import numpy as np
import pytest

from suitability.climate.clocks import find_clock_lag, find_clock_step
from suitability.climate.enclosure import damp
from suitability.weather.record import fill_short_gaps

if TYPE_CHECKING:
    from collections.abc import Callable

    from numpy.typing import NDArray

    from suitability.places import Place
    from suitability.weather.record import Record

    Extract = Callable[[str], tuple[Record, Place]]
    FloatArray = NDArray[np.float64]

AROUND, LOGGED = 24 * 10, 24 * 21


@pytest.fixture
def lansing(extract: Extract) -> FloatArray:
    """Forty days from 5 June 2015 on."""
    record, _ = extract("lansing")
    return fill_short_gaps(record).temp_c[24 * 1250 :][: 2 * AROUND + LOGGED]


def log_of(temp_c: FloatArray, late: int = 0, damping_hours: float = 0.0) -> FloatArray:
    """Three weeks in the middle, so many hours late, at a spot with a lag and a warm morning."""
    spot, _ = damp(temp_c, damping_hours)
    hours = np.arange(temp_c.size)
    spot = spot + 4.0 * np.clip(np.sin(2.0 * np.pi * (hours % 24 - 9) / 24.0), 0.0, None)
    spot += np.interp(
        hours, hours[::24], np.random.default_rng(8).normal(0.0, 0.5, hours.size // 24)
    )
    log_c = np.full(temp_c.size, np.nan)
    log_c[AROUND : AROUND + LOGGED] = np.roll(spot, late)[AROUND : AROUND + LOGGED].round(1)
    return log_c


@pytest.mark.parametrize("damping_hours", [0.0, 2.0])
@pytest.mark.parametrize("late", [-12, -5, -1, 0, 1, 3, 8, 12])
def test_a_clock_is_told_to_the_hour_whatever_the_spot_does_each_day(
    lansing: FloatArray, late: int, damping_hours: float
) -> None:
    """A wall that is warm in the morning, and a lag, are no fault of the clock."""
    lag = find_clock_lag(lansing, log_of(lansing, late, damping_hours))
    assert lag is not None
    assert lag.is_wrong is (late != 0)
    assert lag.hours == pytest.approx(late, abs=0.5)


def test_a_clock_set_anew_is_told_with_its_day(lansing: FloatArray) -> None:
    """From the eleventh day on 3 hours later; a good clock has no such step."""
    good, off = log_of(lansing), log_of(lansing, 3)
    assert not getattr(find_clock_step(lansing, good), "is_wrong", False)
    step = find_clock_step(lansing, np.where(np.arange(good.size) < AROUND + 240, good, off))
    assert step is not None
    assert step.is_wrong
    assert step.hours == pytest.approx(3.0, abs=0.5)
    assert step.day == pytest.approx(10, abs=3)


def test_of_other_weather_or_too_little_nothing_is_told(lansing: FloatArray) -> None:
    """The weather of another year; four days; a cellar that hardly moves."""
    other = log_of(np.roll(lansing[::-1], 100))
    assert not getattr(find_clock_lag(lansing, other), "is_wrong", False)
    short = log_of(lansing)
    short[AROUND + 96 :] = np.nan
    assert find_clock_lag(lansing, short) is None
    assert find_clock_step(lansing, short) is None
    cellar = np.where(np.isnan(log_of(lansing)), np.nan, damp(lansing, 100.0)[0])
    assert find_clock_lag(lansing, cellar) is None


def test_nothing_given_is_changed(lansing: FloatArray) -> None:
    """Neither series."""
    log_c = log_of(lansing)
    before = lansing.copy(), log_c.copy()
    find_clock_lag(lansing, log_c)
    find_clock_step(lansing, log_c)
    np.testing.assert_array_equal(before[0], lansing)
    np.testing.assert_array_equal(before[1], log_c)
