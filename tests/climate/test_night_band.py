"""The band of night minima, worked by hand."""

from __future__ import annotations

import numpy as np
import pytest

from suitability.climate.days import DAYS
from suitability.climate.night_years import night_band


def test_percentiles_are_of_the_five_days_around_in_all_years() -> None:
    """
    Two years, day 100 of the first at 1 °C, all else at 11 °C.

    Around days 98 to 102 stand 10 values, one of them 1. Rank of 10 % by type 8: (10 + 1/3) x 0.1 +
    1/3 = 1.3667, so 1 + 0.3667 x 10 = 4.667. Around day 97 there is no such value.
    """
    minimum = np.full(2 * DAYS, 11.0)
    minimum[100] = 1.0
    band = night_band(minimum, np.zeros(2 * DAYS, np.bool_))
    assert band.low[98:103] == pytest.approx(4.6667, abs=1e-4)
    assert band.low[[97, 103]].tolist() == [11.0, 11.0]
    assert band.middle[100] == band.high[100] == 11.0


def test_the_lowest_is_of_that_day_alone() -> None:
    minimum = np.full(2 * DAYS, 11.0)
    minimum[100] = 1.0
    band = night_band(minimum, np.zeros(2 * DAYS, np.bool_))
    assert band.lowest[100] == 1.0
    assert band.lowest[[99, 101]].tolist() == [11.0, 11.0]


def test_a_night_not_wholly_known_counts_for_the_lowest_alone() -> None:
    """It was at least as cold as the hours that are known."""
    minimum = np.full(DAYS, 11.0)
    minimum[100] = 1.0
    unknown = np.zeros(DAYS, np.bool_)
    unknown[100] = True
    band = night_band(minimum, unknown)
    assert band.lowest[100] == 1.0
    assert band.low[100] == 11.0


def test_days_without_any_hour_are_not_known() -> None:
    band = night_band(np.full(DAYS, np.inf), np.ones(DAYS, np.bool_))
    for course in (band.lowest, band.low, band.middle, band.high):
        assert np.isnan(course).all()


def test_the_record_does_not_close_into_a_ring() -> None:
    """The first nights of a record have no neighbours at its end."""
    minimum = np.full(DAYS, 11.0)
    minimum[-1] = 1.0
    band = night_band(minimum, np.zeros(DAYS, np.bool_))
    assert band.low[0] == 11.0
    assert band.low[-1] < 11.0
