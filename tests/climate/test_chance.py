"""Statistics over years."""

from __future__ import annotations

import numpy as np
import pytest
from hypothesis import given
from hypothesis import strategies as st

from suitability.climate.chance import (
    bad_year,
    excluded_rate,
    median,
    odds_over_years,
    resample_weights,
    wilson_interval,
    without_model,
)


def test_what_years_alone_carry() -> None:
    """19 years that all kept carry 18/20 = 0.9; 18 do not; none carry nothing."""
    assert without_model(19) == pytest.approx(0.9)
    assert without_model(18) < 0.9
    assert without_model(1) == 0.0
    assert without_model(0) == 0.0


@given(st.lists(st.integers(-50, 50), min_size=1, max_size=20))
def test_the_median_is_that_of_the_array_library(values: list[int]) -> None:
    """Of whole numbers and of tenths."""
    for some in (np.array(values), np.array(values) / 10.0):
        assert median(some) == np.median(some)


def test_the_bad_year_of_few_years_is_the_worst() -> None:
    values = np.array([3.0, 9.0, 1.0, np.nan, 4.0])
    assert bad_year(values) == 9.0
    assert np.isnan(bad_year(np.array([np.nan, np.nan])))
    assert bad_year(np.arange(8.0)) == 7.0
    # nine values 0 to 8: position 9 x 0.9 + (0.9 + 1) / 3 = 8.7333, so 7 + 0.7333
    assert bad_year(np.arange(9.0)) == pytest.approx(7.0 + 0.7333, abs=1e-4)


@given(st.integers(1, 60), st.data())
def test_the_wilson_interval_holds_the_share(years: int, data: st.DataObject) -> None:
    kept = data.draw(st.integers(0, years))
    low, high = wilson_interval(kept, years)
    assert 0.0 <= low <= kept / years + 1e-12
    assert kept / years - 1e-12 <= high <= 1.0
    wider = wilson_interval(kept, years, 0.99)
    assert wider[0] <= low + 1e-12
    assert wider[1] >= high - 1e-12


def test_no_year_says_nothing() -> None:
    assert wilson_interval(0, 0) == (0.0, 1.0)
    assert excluded_rate(0) == 1.0


@given(st.integers(1, 100))
def test_zero_failures_are_just_as_likely_as_the_confidence_says(years: int) -> None:
    """With the excluded rate, no failure in so many years has a probability of 5 %."""
    assert (1.0 - excluded_rate(years)) ** years == pytest.approx(0.05)


def test_odds_multiply() -> None:
    assert odds_over_years(0.9, 5) == pytest.approx(0.59049)
    assert odds_over_years(0.9, 0) == 1.0


def test_resamples_hold_as_many_years_each_and_repeat_by_their_seed() -> None:
    weights = resample_weights(12, 50, 3)
    assert weights.shape == (50, 12)
    assert (weights.sum(axis=1) == 12).all()
    np.testing.assert_array_equal(weights, resample_weights(12, 50, 3))
    assert not np.array_equal(weights, resample_weights(12, 50, 4))
    assert weights[0].tolist() == [2.0, 0.0, 2.0, 1.0, 1.0, 1.0, 1.0, 2.0, 0.0, 0.0, 1.0, 1.0]
    # a year stands in a resample once on the average: standard error sqrt(0.917 / 600) = 0.039
    assert weights.mean(axis=0) == pytest.approx(np.ones(12), abs=0.55)
