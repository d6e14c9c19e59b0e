"""Heat: hours above, hot runs, warm nights, plant years cut at mid-winter."""

from __future__ import annotations

import numpy as np
import pytest
from hypothesis import given
from hypothesis import strategies as st

from suitability.climate.days import DAYS, fold_axis
from suitability.climate.heat import SpotHeat, hours_above, longest_run, mean_by_month

ALL_DAYS = np.ones(DAYS, np.bool_)
FIRST_DAY = int((np.datetime64("2001-01-01") - np.datetime64("1970-01-01")).astype(int))


def days_of(nights: int, temp_c: float = 20.0) -> np.ndarray:
    return np.full((nights, 24), temp_c)


def test_an_hour_at_the_threshold_is_not_above_it() -> None:
    hours = np.full((1, 24), 20.0)
    hours[0, :3] = [36.0, 36.1, np.nan]
    assert hours_above(hours, 36.0).tolist() == [1.0]


def test_runs_are_counted_row_by_row() -> None:
    """A run at the end of a row does not go on into the next one."""
    flags = np.array([[0, 1, 1, 0, 1], [1, 1, 0, 0, 0], [0, 0, 0, 0, 0], [1, 1, 1, 1, 1]], bool)
    assert longest_run(flags).tolist() == [2, 2, 0, 5]
    assert longest_run(np.zeros((2, 0), np.bool_)).tolist() == [0, 0]


@given(st.lists(st.booleans(), max_size=60))
def test_the_longest_run_is_that_of_a_plain_count(flags: list[bool]) -> None:
    best = run = 0
    for flag in flags:
        run = run + 1 if flag else 0
        best = max(best, run)
    assert longest_run(np.array([flags], np.bool_)).tolist() == [best]


def test_a_summer_is_not_torn_and_six_hours_make_a_hot_day() -> None:
    """Hot days 180 to 186 of 2001, with 6 hours but for the fourth, which has 5."""
    temp_c = days_of(3 * DAYS)
    temp_c[180:187, :6] = 37.0
    temp_c[183, 0] = 30.0
    axis = fold_axis(FIRST_DAY, temp_c.shape[0])
    heat = SpotHeat(axis, temp_c, 15)
    found = heat.years(ALL_DAYS, ceiling_c=36.0)
    assert found.hours.tolist() == [0.0, 41.0, 0.0, 0.0]
    assert found.longest_run.tolist() == [0, 3, 0, 0]
    assert found.warm_nights is None
    months = heat.hours_by_month(ALL_DAYS, 36.0)
    assert months.sum() == pytest.approx(41.0 / 3.0)  # three years


def test_warm_nights_are_those_that_never_cool_to_the_limit() -> None:
    """A night exactly at the limit is not warm; one with a missing hour is not counted."""
    temp_c = days_of(2 * DAYS, 15.0)
    temp_c[100:105] = 19.0
    temp_c[101, 12] = 18.0
    temp_c[102, 12] = np.nan
    axis = fold_axis(FIRST_DAY, temp_c.shape[0])
    found = SpotHeat(axis, temp_c, 15).years(ALL_DAYS, ceiling_c=36.0, warm_night_c=18.0)
    assert found.warm_nights is not None
    assert found.warm_nights.tolist() == [0, 3, 0]


def test_only_days_spent_out_count() -> None:
    temp_c = days_of(2 * DAYS, 40.0)
    out = np.zeros(DAYS, np.bool_)
    out[100:110] = True
    axis = fold_axis(FIRST_DAY, temp_c.shape[0])
    heat = SpotHeat(axis, temp_c, 15)
    found = heat.years(out, ceiling_c=36.0, warm_night_c=18.0)
    assert found.hours.tolist() == [0.0, 240.0, 240.0]
    assert found.longest_run.tolist() == [0, 10, 10]
    assert found.warm_nights is not None
    assert found.warm_nights.tolist() == [0, 10, 10]
    assert heat.hours_by_month(out, 36.0).sum() == 240.0


def test_a_month_without_a_day_is_unknown_and_not_cool() -> None:
    axis = fold_axis(FIRST_DAY, 40)  # January, and nine days of February
    months = mean_by_month(axis, np.full(40, 2.0), ALL_DAYS)
    assert months[0] == 62.0
    assert np.isnan(months[1:]).all()
