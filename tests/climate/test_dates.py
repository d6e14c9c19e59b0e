"""Last spring and first autumn dates of a temperature, and their odds."""

from __future__ import annotations

from statistics import NormalDist

import numpy as np
import pytest
from hypothesis import given
from hypothesis import strategies as st
from hypothesis.extra import numpy as arrays

from suitability.climate.dates import date_odds, event_dates
from suitability.climate.days import DAYS
from suitability.climate.observing import plant_years

WARM = 20.0


def minima(cold: dict[int, float], years: int = 3) -> np.ndarray:
    """Years of 20 °C with some days by position as given."""
    values = np.full(years * DAYS, WARM)
    for position, temp_c in cold.items():
        values[position] = temp_c
    return values


def test_first_and_last_day_within_one_season() -> None:
    """Cut at day 180: cold on days 300 and 365 + 40 are columns 120 and 365 + 40 - 180 = 225."""
    found = event_dates(minima({300: -1.0, 350: -5.0, 365 + 40: 0.0}), 180, np.array([0.0]))
    assert found.observed.tolist() == [False, True, True, False]  # half seasons at both ends
    assert found.first[0, 1] == 120
    assert found.last[0, 1] == 225
    assert np.isnan(found.first[0, 2])  # never cold in the last season


def test_at_the_threshold_counts_and_just_above_does_not() -> None:
    """Published dates are of minima at or below."""
    series = minima({300: 0.0, 310: 0.1})
    found = event_dates(series, 180, np.array([-0.1, 0.0, 0.1]))
    assert np.isnan(found.last[0, 1])
    assert (found.first[1, 1], found.last[1, 1]) == (120, 120)
    assert (found.first[2, 1], found.last[2, 1]) == (120, 130)


def test_one_cold_day_is_first_and_last() -> None:
    """Of a season with a single event both dates are the same."""
    found = event_dates(minima({365: -3.0}), 180, np.array([0.0]))
    assert found.first[0, 1] == found.last[0, 1] == 185


@pytest.mark.parametrize(("missing", "observed"), [(0, True), (10, True), (11, False)])
def test_ten_days_may_be_missing(missing: int, *, observed: bool) -> None:
    """A season with more than ten days without a value says nothing."""
    series = minima({300: -1.0})
    series[200 : 200 + missing] = np.nan
    found = event_dates(series, 180, np.array([0.0]))
    assert found.observed[1] == observed
    assert np.isnan(found.first[0, 1]) != observed


def test_seasons_may_be_calendar_years() -> None:
    """A cut at 1 January gives as many seasons as years."""
    found = event_dates(minima({10: -1.0, 365 + 364: -1.0}), 0, np.array([0.0]))
    assert found.observed.tolist() == [True] * 3
    assert found.first[0, :2].tolist() == [10, 364]


@given(
    arrays.arrays(np.int8, 3 * DAYS, elements=st.integers(-20, 40)),
    st.integers(0, 364),
    st.lists(st.integers(-25, 45), min_size=1, max_size=4),
)
def test_dates_equal_a_search_day_by_day(
    minimum: np.ndarray, cut: int, thresholds: list[int]
) -> None:
    """The running minimum finds what looking at each day finds."""
    series = minimum.astype(np.float64)
    found = event_dates(series, cut, np.array(thresholds, np.float64))
    for season, row in enumerate(plant_years(series, cut, np.nan)):
        for number, threshold in enumerate(thresholds):
            days = [day for day, value in enumerate(row.tolist()) if value <= threshold]
            whole = np.isnan(row).sum() <= 10
            expected = (days[0], days[-1]) if days and whole else (np.nan, np.nan)
            got = (found.first[number, season], found.last[number, season])
            np.testing.assert_array_equal(got, expected)


@given(arrays.arrays(np.int8, 2 * DAYS, elements=st.integers(-20, 40)), st.integers(-20, 40))
def test_a_higher_threshold_is_met_no_later_and_no_less_long(
    minimum: np.ndarray, threshold: int
) -> None:
    """First dates only come earlier, last dates only later, as the threshold rises."""
    series = minimum.astype(np.float64)
    found = event_dates(series, 180, np.array([threshold, threshold + 1.0]))
    happened = ~np.isnan(found.first[0])
    assert (found.first[1][happened] <= found.first[0][happened]).all()
    assert (found.last[1][happened] >= found.last[0][happened]).all()


def test_the_record_is_not_changed() -> None:
    """Gaps are put aside in a copy."""
    series = minima({300: -1.0})
    series[5] = np.nan
    before = series.copy()
    event_dates(series, 180, np.array([0.0]))
    np.testing.assert_array_equal(series, before)


# Odds ------------------------------------------------------------------------------------------

EIGHT = np.array([105, 98, 90, 83, 81, 77, 70, 63, np.nan, np.nan])


def test_the_empirical_mixture() -> None:
    """Eight dates and two years without: 10 % is 104.3, 50 % (81 + 77) / 2 = 79, 90 % none.

    Ranks m / 11 with the empty years ranked earliest: numpy's quantile of method "weibull".
    """
    every = np.ones(10, np.bool_)
    found = [date_odds(EIGHT, every, level, spring=True).in_any_year for level in (0.1, 0.5, 0.9)]
    assert found == [pytest.approx(104.3), pytest.approx(79.0), None]


def test_if_it_happens_leaves_empty_years_out() -> None:
    """Ranks k / 9 of the eight dates: 50 % lies between the fourth and the fifth, (81 + 83) / 2."""
    every = np.ones(10, np.bool_)
    assert date_odds(EIGHT, every, 0.5, spring=True).if_it_happens == pytest.approx(82.0)
    assert date_odds(EIGHT, every, 0.5, spring=False).if_it_happens == pytest.approx(82.0)


def test_autumn_mirrors_spring() -> None:
    """The odds of a first date are those of a last one with the calendar turned round."""
    every = np.ones(10, np.bool_)
    for level in (0.1, 0.3, 0.5, 0.7):
        spring = date_odds(EIGHT, every, level, spring=True)
        autumn = date_odds(364 - EIGHT, every, level, spring=False)
        for one, other in (
            (spring.if_it_happens, autumn.if_it_happens),
            (spring.in_any_year, autumn.in_any_year),
        ):
            assert (one is None) == (other is None)
            if one is not None and other is not None:
                assert one + other == pytest.approx(364)


def test_both_agree_where_every_year_has_the_event() -> None:
    """Without empty years there is nothing to mix."""
    dates = np.array([88, 93, 95, 99, 101, 102, 105, 110, 115, 120], np.float64)
    # type 6 of this sample, Hyndman & Fan: 10 % 88.5, 50 % 101.5, 90 % 119.5
    for level, expected in ((0.9, 88.5), (0.5, 101.5), (0.1, 119.5)):
        odds = date_odds(dates, np.ones(10, np.bool_), level, spring=True)
        assert odds.if_it_happens == odds.in_any_year == pytest.approx(expected)


def test_no_event_and_no_season_give_no_date() -> None:
    """Nothing is made up from nothing."""
    for dates, observed in (
        (np.full(5, np.nan), np.ones(5, np.bool_)),
        (np.full(5, 100.0), np.zeros(5, np.bool_)),
        (np.array([]), np.array([], np.bool_)),
    ):
        odds = date_odds(dates, observed, 0.5, spring=True)
        assert (odds.if_it_happens, odds.in_any_year) == (None, None)


def test_seasons_not_observed_do_not_count_as_empty() -> None:
    """A season of which nothing is known is neither with nor without the event."""
    observed = np.array([True] * 8 + [False] * 2)
    odds = date_odds(EIGHT, observed, 0.5, spring=True)
    assert odds.in_any_year == odds.if_it_happens


@pytest.mark.parametrize(
    ("share", "expected"),
    [
        (1.0, (125.38, 110.00, 94.62)),
        (0.8, (123.80, 106.18, None)),
        (0.5, (120.10, None, None)),
        (0.05, (None, None, None)),
    ],
)
def test_the_mixture_of_normal_dates(share: float, expected: tuple[float | None, ...]) -> None:
    """Dates normal(110, 12) in a share p of years: the quantile at P/p, none if P >= p.

    Thom 1959; values by the normal distribution. With 2000 years the steps between them and the
    interpolation cost less than 0.1 day.
    """
    years = 2000
    happened = round(share * years)
    law = NormalDist(110, 12)
    dates = np.full(years, np.nan)
    dates[:happened] = [law.inv_cdf(k / (happened + 1)) for k in range(1, happened + 1)]
    for level, date in zip((0.1, 0.5, 0.9), expected, strict=True):
        found = date_odds(dates, np.ones(years, np.bool_), level, spring=True).in_any_year
        assert found == (None if date is None else pytest.approx(date, rel=0, abs=0.1))


@given(
    st.lists(st.one_of(st.integers(0, 364), st.none()), min_size=1, max_size=40),
    st.floats(0.02, 0.98),
)
def test_any_year_is_never_later_in_spring_than_if_it_happens(
    dates: list[int | None], level: float
) -> None:
    """Years without the event pull spring dates back, as numpy's ranks with them at the end do."""
    values = np.array([np.nan if date is None else date for date in dates], np.float64)
    odds = date_odds(values, np.ones(len(dates), np.bool_), level, spring=True)
    if odds.in_any_year is not None:
        assert odds.if_it_happens is not None
        assert odds.in_any_year <= odds.if_it_happens + 1e-9
        far_back = np.where(np.isnan(values), -1e9, values)
        by_numpy = float(np.quantile(far_back, 1 - level, method="weibull"))
        assert odds.in_any_year == pytest.approx(by_numpy)
