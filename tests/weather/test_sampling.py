"""What readings miss of a day's minimum, told by themselves."""

from __future__ import annotations

from typing import TYPE_CHECKING

import numpy as np
import pytest
from hypothesis import given
from hypothesis import strategies as st
from msgspec.structs import replace

from suitability.weather.record import Origin
from suitability.weather.sampling import ToldBy, expected_miss, find_allowance, loss_of_thinning
from tests.conftest import make_hourly

if TYPE_CHECKING:
    from numpy.typing import NDArray

DAYS = 400


def restless(seed: int, scale_c: float) -> NDArray[np.float64]:
    """Days of a sine with noise on every reading, (hour), °C."""
    hours = np.arange(DAYS * 24)
    noise = np.random.default_rng(seed).normal(0.0, scale_c, hours.size)
    curve: NDArray[np.float64] = 15.0 - 5.0 * np.cos((hours - 4) / 24 * 2 * np.pi) + noise
    return curve


def test_a_loss_counted_by_hand() -> None:
    """Minimum 2 at an even place, the least of the odd places 4: the mean loss is 1."""
    day = np.full(24, 20.0)
    day[[0, 12]] = 21.0, 2.0
    day[13] = 4.0
    assert loss_of_thinning(np.tile(day, DAYS), 1) == (1.0, DAYS)


def test_readings_every_three_hours_are_thinned_to_six() -> None:
    """Only every third hour is there; stray readings between them change nothing."""
    day = np.full(24, np.nan)
    day[::3] = [20.0, 12.0, 6.0, 9.0, 15.0, 18.0, 17.0, 16.0]
    series = np.tile(day, DAYS)
    stray = series.copy()
    stray[1 : 24 * 30 : 24] = 40.0
    assert loss_of_thinning(series, 3) == (1.5, DAYS)
    assert loss_of_thinning(stray, 3) == (1.5, DAYS)


@given(seed=st.integers(0, 1000), hour=st.integers(0, 23), shift=st.floats(-30.0, 30.0))
def test_neither_the_clock_nor_the_level_matters(seed: int, hour: int, shift: float) -> None:
    """The day is cut where it is warmest, whatever hour that is."""
    days = restless(seed, 0.5)[:96]
    series = np.concatenate([days] * (DAYS // 4))
    later = np.concatenate([series[hour:], series[:hour]])
    loss, _ = loss_of_thinning(series, 1)
    moved, _ = loss_of_thinning(later + shift, 1)
    assert moved == pytest.approx(loss, abs=0.03)


@given(scale=st.floats(0.1, 3.0), seed=st.integers(0, 100))
def test_restless_nights_hide_more(scale: float, seed: int) -> None:
    """More noise, more missed; never less than nothing."""
    calm, _ = loss_of_thinning(restless(seed, scale), 1)
    wild, _ = loss_of_thinning(restless(seed, 3 * scale), 1)
    assert 0.0 <= calm < wild


def test_a_season_without_days_weighs_as_much_as_the_others() -> None:
    """Half of the winters' days shortfall: the mean over the twelfths stays what it was."""
    hours = np.arange(4 * 365 * 24)
    winter = np.cos(hours / 8766 * 2 * np.pi) > 0.5
    calm, wild = np.full(24, 20.0), np.full(24, 20.0)
    calm[[0, 12]], wild[[0, 12]] = (21.0, 18.0), (21.0, 2.0)
    series: NDArray[np.float64] = np.where(
        winter, np.tile(wild, hours.size // 24), np.tile(calm, hours.size // 24)
    )
    fewer: NDArray[np.float64] = np.where(winter & (hours // 24 % 2 == 0), np.nan, series)
    whole, days = loss_of_thinning(series, 1)
    part, fewer_days = loss_of_thinning(fewer, 1)
    assert fewer_days < days - 200
    assert part == pytest.approx(whole, rel=0.05)


def test_too_few_days_or_a_strange_step_tell_nothing() -> None:
    """Then the usual figure is taken."""
    short = make_hourly(restless(1, 1.0)[: 364 * 24])
    assert expected_miss(short) is None
    assert find_allowance(short, None) == (0.6, ToldBy.USUAL)
    assert loss_of_thinning(np.full(0, np.nan), 1) == (0.0, 0)
    assert loss_of_thinning(np.full(9000, np.nan), 1) == (0.0, 0)
    assert loss_of_thinning(np.zeros(9000), 5) == (0.0, 0)


def test_filled_hours_do_not_count() -> None:
    """A filled hour is a straight line and hides what it misses."""
    record = make_hourly(restless(1, 1.0))
    origin = record.origin.copy()
    origin[::24] = Origin.FILLED
    assert expected_miss(record) is not None
    assert expected_miss(replace(record, origin=origin)) is None


def test_a_smooth_series_still_gets_an_allowance() -> None:
    """A model's hours hide what they miss: never below 0.2."""
    assert expected_miss(make_hourly(restless(1, 0.0))) == 0.2
