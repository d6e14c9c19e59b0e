"""
The stated error of forecasts against what services publish of theirs.

Met Office, *Accuracy performance* (archived page): 86.5 % of minima of the first night were within
2 °C of the observed ones, at 119 British sites, as a mean of 36 months. Stern 2008, *Meteorol.
Appl.* 15, 65-71, doi:10.1002/met.67: a mean error of about 1.6 °C on day 3 (Melbourne). Both as
quoted; the pages were not opened again for this test.
"""

from __future__ import annotations

import math

import pytest
from hypothesis import given
from hypothesis import strategies as st

from suitability.climate.forecast_error import stated_allowance_c, stated_deviation_c


def test_first_nights_are_as_often_within_two_degrees() -> None:
    """By a normal error; to a point, since the deviation is a line through both figures."""
    share = math.erf(2.0 / stated_deviation_c(1) / math.sqrt(2.0))
    assert share == pytest.approx(0.865, abs=0.01)


def test_third_days_have_as_large_a_mean_error() -> None:
    """The mean absolute value of a normal error is its deviation x sqrt(2 / pi); printed to 0.1."""
    assert stated_deviation_c(3) * math.sqrt(2.0 / math.pi) == pytest.approx(1.6, abs=0.05)


@given(st.integers(1, 10))
def test_an_allowance_is_exceeded_by_one_normal_error_in_ten(night: int) -> None:
    """One-sided; the quantile stands with four decimals."""
    standard = stated_allowance_c(night) / stated_deviation_c(night)
    assert 0.5 * math.erfc(standard / math.sqrt(2.0)) == pytest.approx(0.1, abs=5e-5)
