"""What logs of one spot say together, and how an interval widens away from them."""

from __future__ import annotations

import numpy as np
import pytest
from hypothesis import given
from hypothesis import strategies as st

from suitability.climate.fitting import Level, huber_level
from suitability.climate.logs import (
    OTHER_SEASON,
    OTHER_YEARS,
    contradict,
    days_from_logs,
    for_other_years,
    pool_levels,
    season_error_c,
    widened,
)

T_9 = 1.833  # Student's 95 % point for 9 degrees of freedom, of any table


def level(usual: float, half: float = 0.5, scatter_c: float = 0.8) -> Level:
    return Level(usual=usual, low=usual - half, high=usual + half, number=10, scatter_c=scatter_c)


def test_an_interval_is_widened_for_other_years_by_the_scatter_of_nights() -> None:
    """Half 0.5 and 1.833 x 0.4 x 0.8 = 0.587 in quadrature: 0.771; no scatter, no more width."""
    wide = for_other_years(level(1.0))
    assert wide is not None
    assert OTHER_YEARS == 0.4
    assert [wide.low, wide.high] == pytest.approx([1.0 - 0.771, 1.0 + 0.771], abs=0.002)
    assert for_other_years(level(1.0, scatter_c=0.0)) == level(1.0, scatter_c=0.0)
    assert for_other_years(None) is None


def test_half_a_year_away_it_is_widest_and_in_the_logs_season_as_it_was() -> None:
    """1.833 x 1.4 x 0.8 = 2.053 half a year away: with 0.5 in quadrature 2.113."""
    error = season_error_c(10, 0.8)
    assert OTHER_SEASON == 1.4
    assert error == pytest.approx(T_9 * 1.4 * 0.8, abs=0.005)
    days = np.array([0.0, 91.25, 182.5])
    low, high = (widened(1.0, end, error, days) for end in (0.5, 1.5))
    assert low == pytest.approx([0.5, 1.0 - 1.536, 1.0 - 2.113], abs=0.01)
    assert low + high == pytest.approx(np.full(3, 2.0))


def test_days_from_logs_run_round_the_year() -> None:
    """From 31 January to the log of 20 December to 5 January: 26 days; the nearer log counts."""
    day = np.array([0, 30, 200, 353])
    assert days_from_logs(day, [(353, 4)]).tolist() == [0.0, 26.0, 153.0, 0.0]
    assert days_from_logs(day, [(353, 4), (190, 210)]).tolist() == [0.0, 26.0, 0.0, 0.0]


def test_two_logs_that_agree_narrow_and_two_that_do_not_reach_both() -> None:
    """Twice +1: half 0.5 / sqrt(2). +1 and -3: both within."""
    same = pool_levels([level(1.0), level(1.0)])
    assert same.usual == pytest.approx(1.0)
    assert same.number == 20
    assert same.high - same.usual == pytest.approx(0.5 / np.sqrt(2.0))
    apart = pool_levels([level(1.0), level(-3.0)])
    assert apart.usual == pytest.approx(-1.0)
    assert apart.low < -3.0
    assert apart.high > 1.0


def test_the_surer_log_counts_more() -> None:
    """A log with a tenth of the error and of the scatter draws the level to itself."""
    both = pool_levels([level(1.0, half=0.1, scatter_c=0.1), level(-3.0)])
    assert both.usual > 0.9


@given(
    st.lists(st.floats(-5.0, 5.0), min_size=1, max_size=5),
    st.floats(0.05, 2.0),
    st.floats(0.0, 3.0),
)
def test_what_any_log_found_stays_within(each: list[float], half: float, scatter: float) -> None:
    """And the order of the logs is nothing."""
    levels = [level(usual, half, scatter) for usual in each]
    both = pool_levels(levels)
    assert all(both.low <= one.usual <= both.high for one in levels)
    again = pool_levels(levels[::-1])
    assert again.usual == pytest.approx(both.usual, abs=1e-9)


def test_logs_contradict_each_other_only_beyond_what_a_season_explains() -> None:
    """3 °C apart: a contradiction in one season, none half a year apart; 8 °C is one there too."""
    assert contradict(level(1.0), level(-2.0), 0.0)
    assert not contradict(level(1.0), level(-2.0), 182.0)
    assert contradict(level(1.0), level(-7.0), 182.0)


def test_readings_so_coarse_that_most_are_equal_still_scatter() -> None:
    """Whole degrees: seven times 0 and three times 1; the median deviation is 0, the spread not."""
    found = huber_level(np.array([0.0] * 7 + [1.0] * 3))
    assert found is not None
    assert found.scatter_c > 0.4
    assert found.low < 0.3 < found.high
