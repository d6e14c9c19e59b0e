"""The day on which nights pass a temperature."""

from __future__ import annotations

from typing import TYPE_CHECKING

import numpy as np
import pytest
from hypothesis import given, settings
from hypothesis import strategies as st

from suitability.climate.night_years import day_course, lay_out_night_years, part_nights

if TYPE_CHECKING:
    from tests.climate.conftest import LayOut
    from tests.conftest import Hourly

NAN = float("nan")


@pytest.mark.parametrize(
    ("nights", "falling", "day"),
    [
        ([20.0, 20.0, 10.0, 10.0], True, 2),
        ([10.0, 10.0, 20.0, 20.0], False, 2),
        ([20.0, 20.0, 20.0, 20.0], True, 4),  # never colder
        ([10.0, 10.0, 10.0, 10.0], True, 0),  # colder from the start
        ([20.0, 10.0, 20.0, 20.0, 20.0, 10.0, 10.0, 10.0], True, 5),  # one cold night is no autumn
        ([15.0, 15.0, 10.0], True, 2),  # exactly at it is not colder
        ([20.0, NAN, NAN, 10.0], True, 1),  # gaps say nothing; the first of equally good days
        ([NAN, NAN, NAN, NAN], True, 0),
    ],
)
def test_the_day_that_parts_best(*, nights: list[float], falling: bool, day: int) -> None:
    """Fewest nights on the wrong side, 15 °C asked for."""
    assert part_nights(np.array([nights]), 15.0, falling=falling).tolist() == [day]


@settings(max_examples=60, deadline=None)
@given(
    st.lists(st.floats(-10.0, 30.0), min_size=1, max_size=60),
    st.floats(-5.0, 25.0),
    st.floats(0.0, 6.0),
)
def test_a_warmer_year_is_never_earlier_in_autumn_nor_later_in_spring(
    nights: list[float], threshold_c: float, warmer_c: float
) -> None:
    """Whatever the nights."""
    cold = np.array([nights])
    warm = cold + warmer_c
    autumn = [part_nights(year, threshold_c, falling=True)[0] for year in (cold, warm)]
    spring = [part_nights(year[:, ::-1], threshold_c, falling=False)[0] for year in (cold, warm)]
    assert autumn[0] <= autumn[1]
    assert spring[0] >= spring[1]


def test_years_run_from_mid_summer_to_mid_summer(hourly: Hourly, lay_out: LayOut) -> None:
    """Coldest on 15 January: half a year after mid-summer, at the mean less both waves."""
    years = lay_out_night_years(lay_out(hourly(years=4, mean_c=16.0, year_c=6.0, day_c=4.0)))
    assert years.coldest == pytest.approx(182, abs=3)
    assert years.coldest_c == pytest.approx(6.0, abs=0.2)
    whole = ~np.isnan(years.minimum_c).any(axis=1)
    assert whole.sum() == 3  # four calendar years hold three from mid-summer to mid-summer
    assert years.minimum_c.shape[1] == 365


def test_the_day_s_course_is_the_mean_highest_hour(hourly: Hourly, lay_out: LayOut) -> None:
    """Mean 16, waves of 6 and 4: 26 °C in mid-summer, 14 °C in mid-winter."""
    course = day_course(lay_out(hourly(years=3, mean_c=16.0, year_c=6.0, day_c=4.0)))
    assert course.max() == pytest.approx(26.0, abs=0.3)
    assert course.min() == pytest.approx(14.0, abs=0.3)
