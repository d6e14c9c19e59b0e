"""Nights, days and rain by month of the year, worked out beside each rule."""

from __future__ import annotations

import numpy as np
import pytest

from suitability.climate.days import hours_by_night, night_minima
from suitability.climate.months import (
    band_of_months,
    coolest_months,
    day_maxima,
    day_rain,
    rain_of_months,
)

YEAR = 365  # days from 1 January 1970


def test_a_month_is_told_by_all_its_days_and_its_years_by_their_middle() -> None:
    """Two Januaries of 1 to 31 and of 11 to 41 °C; every other month only in the second year."""
    first, second = np.arange(1.0, 32.0), np.arange(11.0, 42.0)
    by_day = np.full(2 * YEAR, np.nan)
    by_day[:31], by_day[YEAR : YEAR + 31] = first, second
    band = band_of_months(by_day, 0)
    assert band.years.tolist() == [2, *[0] * 11]
    assert band.typical_c[0] == np.median([*first, *second])
    for level, told in ((0.1, band.low_c), (0.9, band.high_c)):
        both = np.concatenate([first, second])
        assert told[0] == pytest.approx(np.quantile(both, level, method="median_unbiased"))
    assert (band.years_low_c[0], band.years_high_c[0]) == (16.0, 26.0)  # the two medians


@pytest.mark.parametrize(("lost", "years"), [(3, 1), (4, 0)])
def test_a_month_of_which_more_than_a_tenth_is_lost_counts_nowhere(lost: int, years: int) -> None:
    """28 days of 31 are more than 90 %, 27 are not."""
    by_day = np.full(31, 5.0)
    by_day[:lost] = np.nan
    band = band_of_months(by_day, 0)
    assert band.years[0] == years
    assert np.isnan(band.typical_c[0]) == (not years)


def test_leap_days_are_days_of_february() -> None:
    """1972: 26 known days of 28 would be enough, of 29 they are not."""
    by_day = np.full(29, np.nan)
    by_day[:26] = 5.0
    assert band_of_months(by_day, 365 + 365 + 31).years[1] == 0


def test_nights_and_days_must_be_seen_where_they_are_coldest_and_warmest() -> None:
    """Three days of one wave; an hour lost at 03:00 and one at noon."""
    hours = np.arange(72.0)
    temp_c = 10.0 - 5.0 * np.cos((hours - 3) / 24 * 2 * np.pi)
    first_night, nights = hours_by_night(temp_c, 0)
    whole = night_minima(nights)
    assert first_night == -1
    assert whole[1:3] == pytest.approx([5.0, 5.0])
    first_day, days = day_maxima(temp_c, 0)
    assert (first_day, days.tolist()) == (0, [15.0] * 3)
    temp_c[24 + 3] = temp_c[24 + 12] = np.nan
    assert np.isnan(night_minima(hours_by_night(temp_c, 0)[1])).tolist() == [
        True,
        True,
        False,
        True,
    ]
    assert np.isnan(day_maxima(temp_c, 0)[1]).tolist() == [False, True, False]


def test_rain_is_summed_by_calendar_days_and_scaled_for_what_is_lost() -> None:
    """31 days of 24 mm but for two dry ones; two hours of one day lost, and one day wholly."""
    prcp_mm = np.ones(31 * 24)
    prcp_mm[:24] = 0.0
    prcp_mm[24:48] = 0.04  # 0.96 mm, less than 1
    prcp_mm[48:50] = np.nan
    prcp_mm[72:96] = np.nan
    first_day, by_day = day_rain(prcp_mm, 0)
    assert by_day[:3] == pytest.approx([0.0, 0.96, 24.0])
    rain = rain_of_months(by_day, first_day)
    assert rain.mean_mm[0] == pytest.approx((0.96 + 28 * 24.0) * 31 / 30)
    assert rain.dry_days[0] == pytest.approx(2 * 31 / 30)


def test_the_coolest_months_may_lie_about_new_year() -> None:
    months = np.array([1.0, 2.0, 9.0, *[10.0] * 8, 3.0])
    coolest = coolest_months(months)
    assert coolest is not None
    assert coolest.tolist() == [11, 0, 1]
    months[5] = np.nan
    assert coolest_months(months) is None
