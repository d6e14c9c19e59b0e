"""From the open air to a spot: kinds of nights, blended offsets, damping, held minimum, window."""

from __future__ import annotations

import numpy as np
import pytest
from hypothesis import given
from hypothesis import strategies as st
from numpy.typing import NDArray
from scipy.signal import lfilter

from suitability.climate.enclosure import (
    CLEAR,
    OTHER,
    UNKNOWN,
    damp,
    day_weight,
    hold_minimum,
    kinds_of_nights,
    near_window,
    shift_by_night,
    window_pane,
)

FloatArray = NDArray[np.float64]


def days_with_range(ranges_k: list[float], mean_c: float = 15.0) -> FloatArray:
    """Hours from noon of day 0: one wave a night, warmest at noon, coldest at midnight."""
    hour = np.arange(24 * len(ranges_k))
    wave = np.cos(2.0 * np.pi * hour / 24.0)
    temp_c: FloatArray = mean_c + np.repeat(np.array(ranges_k), 24) / 2.0 * wave
    return temp_c


def test_a_night_is_clear_if_its_fall_is_above_the_median_of_the_season() -> None:
    """Falls of 4 and 12 °C in turn, median 8: every second night is clear and calm."""
    kinds = kinds_of_nights(days_with_range([4.0, 12.0] * 20), 12)
    assert kinds.tolist() == [OTHER, CLEAR] * 20


def test_the_median_follows_the_season() -> None:
    """Falls of 2 to 4 in one half of the year and 8 to 10 in the other: each half has its own."""
    falls = np.array([2.0, 3.0, 4.0, 3.0] * 45 + [8.0, 9.0, 10.0, 9.0] * 46)
    middle = kinds_of_nights(days_with_range(list(falls) * 3), 12).reshape(3, -1)[1]
    away_from_the_change = np.r_[40:140, 222:322]
    falls, middle = falls[away_from_the_change], middle[away_from_the_change]
    assert set(middle[np.isin(falls, [2.0, 8.0])].tolist()) == {OTHER}
    assert set(middle[np.isin(falls, [4.0, 10.0])].tolist()) == {CLEAR}


def test_a_night_with_a_missing_hour_is_of_no_known_kind() -> None:
    """So are the torn nights at both ends."""
    temp_c = days_with_range([4.0, 12.0] * 20)[5:-5]
    temp_c[24 * 3] = np.nan
    kinds = kinds_of_nights(temp_c, 17)
    assert np.flatnonzero(kinds == UNKNOWN).tolist() == [0, 3, 39]


def test_a_record_of_nothing_but_gaps_has_no_kinds() -> None:
    """Nothing is divided by nothing."""
    assert set(kinds_of_nights(np.full(100, np.nan), 0).tolist()) == {UNKNOWN}


def test_night_and_day_offsets_hold_in_full_at_night_and_by_day() -> None:
    """-3 at 3:00 and +2 at 14:00 of a clear night; +1 at 3:00 of another one."""
    kinds = np.array([UNKNOWN, CLEAR, OTHER])
    offset = shift_by_night(
        np.zeros(60), kinds, 0, 0.0, clear_night_c=-3.0, other_night_c=1.0, day_c=2.0
    )
    assert [offset[hour] for hour in (3, 14, 27, 38, 51)] == [-3.0, 2.0, -3.0, 2.0, 1.0]
    # hour 3 lies in the torn first night, of unknown kind: the colder of both


def test_no_offset_begins_with_a_step() -> None:
    """From -6 to +20 and on to +4 no hour differs by more than a half cosine over 4 h allows."""
    kinds = np.array([CLEAR, OTHER] * 10)
    offset = shift_by_night(
        np.zeros(20 * 24), kinds, 12, 12.4, clear_night_c=-6.0, other_night_c=4.0, day_c=20.0
    )
    steepest = 26.0 * np.pi / 2.0 / 4.0
    assert np.abs(np.diff(offset)).max() <= steepest


def test_the_sun_and_not_the_clock_says_when_it_is_day() -> None:
    """Six hours of longitude shift the day's offset by six hours."""
    settings = {"clear_night_c": 0.0, "other_night_c": 0.0, "day_c": 1.0}
    here = shift_by_night(np.zeros(96), np.zeros(5, np.int64), 0, 0.0, **settings)
    there = shift_by_night(np.zeros(96), np.zeros(5, np.int64), 0, 6.0, **settings)
    assert there[:-6].tolist() == here[6:].tolist()


@given(
    offset_c=st.floats(-10, 10),
    start=st.integers(0, 1000),
    solar=st.floats(0, 24),
    temp_c=st.lists(st.floats(-30, 40), min_size=1, max_size=80),
)
def test_one_offset_for_all_hours_only_adds(
    offset_c: float, start: int, solar: float, temp_c: list[float]
) -> None:
    """Nights and days alike: the identity of a constant offset, exactly."""
    outside = np.array(temp_c)
    kinds = kinds_of_nights(outside, start)
    shifted = shift_by_night(
        outside, kinds, start, solar, clear_night_c=offset_c, other_night_c=offset_c, day_c=offset_c
    )
    assert shifted.tolist() == (outside + offset_c).tolist()


@given(weight_of=st.floats(-100, 100))
def test_weight_lies_between_0_and_1(weight_of: float) -> None:
    """Whatever the hour."""
    assert 0.0 <= day_weight(np.array([weight_of])).item() <= 1.0


@pytest.mark.parametrize("damping_hours", [0.2, 1.0, 6.0, 48.0, 240.0])
def test_damping_is_the_recursion_of_a_reference_library(damping_hours: float) -> None:
    """scipy.signal.lfilter, begun at the first value of each stretch; 20,000 hours with gaps."""
    chance = np.random.default_rng(3)
    outside = chance.normal(10.0, 6.0, 20_000)
    outside[chance.integers(0, outside.size, 60)] = np.nan
    outside[5_000:5_400] = np.nan
    found, settled = damp(outside, damping_hours)
    keep = np.exp(-1.0 / damping_hours)
    missing = np.isnan(outside)
    edges = np.flatnonzero(np.diff(~missing, prepend=False, append=False))
    for start, stop in zip(edges[::2], edges[1::2], strict=True):
        part = outside[start:stop]
        wanted, _ = lfilter([1.0 - keep], [1.0, -keep], part, zi=[keep * part[0]])
        np.testing.assert_allclose(found[start:stop], wanted, rtol=0, atol=1e-11)
        unsettled = min(stop - start, int(np.ceil(3.0 * damping_hours)))
        assert settled[start:stop].tolist() == [False] * unsettled + [True] * (
            stop - start - unsettled
        )
    assert np.isnan(found[missing]).all()
    assert not settled[missing].any()


def test_without_damping_the_air_outside_comes_back_as_a_copy() -> None:
    """No function alters its input, nor hands it out to be altered."""
    outside = np.array([1.0, np.nan, 3.0])
    found, settled = damp(outside, 0.0)
    np.testing.assert_array_equal(found, outside)
    assert not np.shares_memory(found, outside)
    assert settled.tolist() == [True, False, True]


@given(
    temp_c=st.lists(st.floats(-30, 40), min_size=2, max_size=60),
    damping_hours=st.floats(0.1, 100),
)
def test_damped_air_stays_within_what_it_followed(
    temp_c: list[float], damping_hours: float
) -> None:
    """Never colder than the coldest hour outside, never warmer than the warmest."""
    outside = np.array(temp_c)
    found, _ = damp(outside, damping_hours)
    assert found.min() >= outside.min() - 1e-9
    assert found.max() <= outside.max() + 1e-9


def test_a_limited_heater_lifts_by_its_power_over_the_loss() -> None:
    """150 W against 12 W/K lift by 12.5 °C and no more; without a limit nothing falls below."""
    outside = np.array([11.0, 3.0, -5.0, np.nan])
    np.testing.assert_array_equal(hold_minimum(outside, 10.0, 150 / 12), [11.0, 10.0, 7.5, np.nan])
    np.testing.assert_array_equal(hold_minimum(outside, 10.0), [11.0, 10.0, 10.0, np.nan])


def test_the_pane_of_a_window_and_the_air_before_it() -> None:
    """
    Room 20, outside 0: about 5, 13 and 17 °C for single, old double and low-emission glass.

    Film resistance 0.13 m² K/W and U of 5.8, 2.8 and 1.2 W/(m² K): 20 - 20 x 0.13 U.
    """
    outside = np.array([0.0])
    panes = [window_pane(outside, 20.0, u).item() for u in (5.8, 2.8, 1.2)]
    np.testing.assert_allclose(panes, [5, 13, 17], atol=0.5)
    between = [near_window(outside, 20.0, 2.8, share).item() for share in (0.0, 0.5, 1.0)]
    np.testing.assert_allclose(between, [20.0, (20.0 + panes[1]) / 2, panes[1]])


def test_away_from_the_pane_no_missing_hour_matters() -> None:
    missing = np.array([np.nan])
    assert near_window(missing, 20.0, 2.8, 0.0).tolist() == [20.0]
    assert np.isnan(near_window(missing, 20.0, 2.8, 0.5)).all()
