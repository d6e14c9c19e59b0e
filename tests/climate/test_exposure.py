"""Hours and degree-hours below thresholds, month by month."""

from __future__ import annotations

import itertools
from datetime import UTC, datetime

import numpy as np
import pytest
from hypothesis import given
from hypothesis import strategies as st
from hypothesis.extra.numpy import arrays
from numpy.typing import NDArray

from suitability.climate.exposure import (
    MonthlyExposure,
    _count_sorted,
    _count_steps,
    _count_tenths,
    is_tenths,
    month_starts,
    monthly_exposure,
)

FloatArray = NDArray[np.float64]

EVE = int(datetime(2003, 12, 31, 22, tzinfo=UTC).timestamp() // 3600)  # two hours before the year
TENTHS = st.integers(-300, 400).map(lambda tenth: tenth / 10.0)
HOURS = st.integers(1, 3000).flatmap(
    lambda size: arrays(np.float64, size, elements=st.one_of(TENTHS, st.just(np.nan)), fill=TENTHS)
)


def total(exposure: MonthlyExposure, row: int = 0) -> tuple[float, float, float]:
    """Hours below, degree-hours, valid hours of the whole record."""
    return (
        float(np.nansum(exposure.hours_below[row])),
        float(np.nansum(exposure.degree_hours_below[row])),
        float(exposure.hours_valid.sum()),
    )


def test_hours_over_a_new_year_by_hand() -> None:
    """22:00 and 23:00 of 2003, then three hours of 2004, one of them missing.

    Below 10: 9.9 and 8.0 in December (0.1 + 2.0 °C·h), 9.5 in January (0.5); 10.0 stands at it.
    """
    found = monthly_exposure(np.array([9.9, 8.0, 10.0, np.nan, 9.5]), None, EVE, np.array([10.0]))
    assert (found.first_year, found.first_month) == (2003, 12)
    assert found.hours_below.tolist() == [[2, 1]]
    np.testing.assert_allclose(found.degree_hours_below, [[2.1, 0.5]], atol=1e-9)
    assert found.hours_valid.tolist() == [2, 2]
    assert found.hours_in_month.tolist() == [744, 744]


def test_hours_that_do_not_count_are_neither_below_nor_valid() -> None:
    counted = np.array([True, False, True])
    found = monthly_exposure(np.array([1.0, 2.0, 30.0]), counted, EVE, np.array([10.0]))
    assert total(found) == (1, 9.0, 2)


def test_a_month_without_a_valid_hour_is_not_observed() -> None:
    """Not a number, never 0: the hours of December are there, those of January are not."""
    found = monthly_exposure(np.array([20.0, 20.0, np.nan]), None, EVE, np.array([10.0]))
    assert found.hours_below[0, 0] == 0
    assert np.isnan(found.hours_below[0, 1])
    assert np.isnan(found.degree_hours_below[0, 1])
    assert found.hours_valid.tolist() == [2, 0]


@pytest.mark.parametrize("value", [12.8, 15.6, 0.1, 0.3, 10.0, -0.7])
def test_an_hour_at_the_threshold_is_not_below(value: float) -> None:
    """Whatever binary noise the tenth or the threshold carries."""
    noisy = value * 3.0 / 3.0 + 1e-12
    for threshold in (value, noisy, (value - 32.0) + 32.0):
        found = monthly_exposure(np.array([value, noisy]), None, 0, np.array([threshold]))
        assert total(found)[0] == 0


def test_all_hours_missing() -> None:
    found = monthly_exposure(np.full(50, np.nan), None, EVE, np.array([10.0, 20.0]))
    assert np.isnan(found.hours_below).all()
    assert found.hours_valid.tolist() == [0, 0]


def test_thresholds_beyond_everything_and_out_of_order() -> None:
    """All hours of -5, 0 and 5 are below 60, none below -80, whatever the order of the asking."""
    found = monthly_exposure(np.array([-5.0, 0.0, 5.0]), None, 0, np.array([60.0, -80.0, 0.0]))
    assert found.hours_below[:, 0].tolist() == [3, 0, 1]
    np.testing.assert_allclose(found.degree_hours_below[:, 0], [180.0, 0.0, 5.0], atol=1e-9)


def test_a_threshold_between_tenths_gathers_all_of_the_way_to_it() -> None:
    """
    By hand, tenths of a degree below 12.78 (55 °F) and below -0.55 °C.

    12.7 lacks 0.08 and 10.0 lacks 2.78, while 12.8 is not below: 2.86 °C·h, and 13.38 and 13.78
    of the two below zero, -0.6 and -1.0, of which below -0.55: 0.05 and 0.45.
    """
    temps = np.array([12.7, 12.8, 10.0, -0.6, -1.0, 30.0])
    found = monthly_exposure(temps, None, 0, np.array([12.78, -0.55]))
    assert found.hours_below[:, 0].tolist() == [4, 2]
    np.testing.assert_allclose(
        found.degree_hours_below[:, 0], [0.08 + 2.78 + 13.38 + 13.78, 0.5], atol=1e-9
    )


def test_29_february_has_a_month_of_696_hours() -> None:
    start = int(datetime(2004, 2, 1, tzinfo=UTC).timestamp() // 3600)
    found = monthly_exposure(np.full(696 + 1, 5.0), None, start, np.array([10.0]))
    assert found.hours_below.tolist() == [[696, 1]]
    assert found.hours_in_month.tolist() == [696, 744]


def test_months_begin_on_their_first() -> None:
    """A record of one hour at the end of July has the month of July, and only it."""
    start = int(datetime(2010, 7, 31, 23, tzinfo=UTC).timestamp() // 3600)
    year, month, starts = month_starts(start, 1)
    assert (year, month, starts.size) == (2010, 7, 2)
    assert starts[1] == start + 1


def test_tenths_are_told_from_other_decimals() -> None:
    assert is_tenths(np.array([0.1, 12.8, np.nan, -0.3]))
    assert not is_tenths(np.array([0.1, 12.85]))


@given(HOURS, st.integers(-50_000, 500_000), st.lists(TENTHS, min_size=1, max_size=6))
def test_both_ways_of_counting_agree(
    temp_c: FloatArray, start: int, thresholds: list[float]
) -> None:
    """The histogram of tenths and the sorting of each month give the same on tenths."""
    _, _, starts = month_starts(start, temp_c.size)
    edges = np.clip(starts - start, 0, temp_c.size)
    asked = np.array(thresholds)
    fast = _count_tenths(temp_c, None, edges, asked)
    assert fast is not None
    for one, other in zip(fast, _count_sorted(temp_c, None, edges, asked), strict=True):
        np.testing.assert_allclose(one, other, rtol=0, atol=1e-6)


@pytest.mark.parametrize("scale", [1.0, 1 / 1.8, 0.37])
def test_months_of_many_years_are_counted_each_by_itself(scale: float) -> None:
    """Nine years in tenths, in steps of whole °F and in other decimals, month by month by hand."""
    chance = np.random.default_rng(5)
    temps = np.round(chance.normal(120.0, 80.0, 9 * 8766)) / 10.0 * scale
    temps[::31] = np.nan
    year, month, starts = month_starts(EVE, temps.size)
    assert (year, month, starts.size) == (2003, 12, 110)
    found = monthly_exposure(temps, None, EVE, np.array([10.0, -2.0]))
    edges = np.clip(starts - EVE, 0, temps.size).tolist()
    for at, (first, stop) in enumerate(itertools.pairwise(edges)):
        values = temps[first:stop]
        for row, threshold in enumerate((10.0, -2.0)):
            below = values[values < threshold]
            assert found.hours_below[row, at] == below.size
            degree_hours = (threshold - below).sum()
            assert found.degree_hours_below[row, at] == pytest.approx(degree_hours, abs=1e-6)
        assert found.hours_valid[at] == np.count_nonzero(~np.isnan(values))


@given(
    HOURS,
    st.sampled_from([(1.8, 6), (1.8, 3), (1.8, None), (18.0, 6), (18.0, None)]),
    st.integers(-50_000, 500_000),
    st.sampled_from([1.0, 0.7]),
    st.lists(st.floats(-30.0, 40.0), min_size=1, max_size=6),
)
def test_hours_in_fahrenheit_are_counted_as_exactly(
    temp_c: FloatArray,
    kept: tuple[float, int | None],
    start: int,
    share: float,
    thresholds: list[float],
) -> None:
    """
    The histogram of °F, whole or in tenths, against the sorting of each month.

    Also at thresholds that are values of the record, and where hours do not count.
    """
    per_degree, decimals = kept
    celsius = np.rint(temp_c * per_degree) / per_degree
    celsius = celsius if decimals is None else celsius.round(decimals)
    counted = np.random.default_rng(1).random(celsius.size) < share if share < 1.0 else None
    own = celsius[~np.isnan(celsius)][:4]
    asked = np.array([*thresholds, *own, *(own + 2e-9), -90.0, 90.0])
    _, _, starts = month_starts(start, celsius.size)
    edges = np.clip(starts - start, 0, celsius.size)
    fast = _count_steps(celsius, counted, edges, asked, per_degree)
    assert (fast is None) == np.isnan(celsius).all()
    if fast is None:
        return
    plain = _count_sorted(celsius, counted, edges, asked)
    np.testing.assert_array_equal(fast[0], plain[0])
    np.testing.assert_allclose(fast[1], plain[1], rtol=0, atol=1e-6)
    np.testing.assert_array_equal(fast[2], plain[2])


def test_values_that_share_a_degree_are_not_taken_for_one() -> None:
    """Beside one another in a month, or 48 months apart: then each hour counts as it is."""
    near = np.array([12.777778, 12.777777])
    apart = np.full(60 * 744, 12.777778)
    apart[-1] = 12.777777
    for temp_c in (near, apart):
        found = monthly_exposure(temp_c, None, 0, np.array([12.777778]))
        assert total(found)[0] == 1


@given(HOURS, st.floats(-20.0, 30.0), st.floats(0.0, 15.0))
def test_a_higher_floor_never_has_fewer_hours(
    temp_c: FloatArray, floor: float, higher: float
) -> None:
    found = monthly_exposure(temp_c, None, EVE, np.array([floor, floor + higher]))
    low, high = total(found, 0), total(found, 1)
    assert low[0] <= high[0]
    assert low[1] <= high[1] + 1e-9


@given(HOURS, st.floats(-20.0, 30.0), st.floats(0.0, 15.0))
def test_a_warmer_spot_never_has_more_hours(
    temp_c: FloatArray, floor: float, warmer: float
) -> None:
    asked = np.array([floor])
    here = total(monthly_exposure(temp_c, None, EVE, asked))
    there = total(monthly_exposure(temp_c + warmer, None, EVE, asked))
    assert there[0] <= here[0]
    assert there[1] <= here[1] + 1e-6


@given(HOURS, st.data())
def test_a_record_cut_in_two_adds_up(temp_c: FloatArray, data: st.DataObject) -> None:
    cut = data.draw(st.integers(0, temp_c.size))
    asked = np.array([8.0, 15.0])
    whole = monthly_exposure(temp_c, None, EVE, asked)
    parts = [
        monthly_exposure(part, None, start, asked)
        for part, start in ((temp_c[:cut], EVE), (temp_c[cut:], EVE + cut))
        if part.size
    ]
    for row in range(2):
        added = np.sum([total(part, row) for part in parts], axis=0)
        np.testing.assert_allclose(added, total(whole, row), rtol=0, atol=1e-6)


@given(HOURS, st.floats(-20.0, 30.0))
def test_below_and_not_below_are_all_valid_hours(temp_c: FloatArray, floor: float) -> None:
    below, _, valid = total(monthly_exposure(temp_c, None, EVE, np.array([floor])))
    known = temp_c[~np.isnan(temp_c)]
    assert valid == known.size
    assert below == np.count_nonzero(known < floor - 1e-9)
    assert valid - below == np.count_nonzero(known >= floor - 1e-9)


@given(HOURS, st.integers(-80, 80).map(lambda tenth: tenth / 10.0))
def test_lower_thresholds_are_a_warmer_spot(temp_c: FloatArray, warmer: float) -> None:
    """Offset identity: thresholds - d on the record = thresholds on the record + d."""
    asked = np.array([5.0, 12.8])
    lowered = monthly_exposure(temp_c, None, EVE, asked - warmer)
    warmed = monthly_exposure(temp_c + warmer, None, EVE, asked)
    np.testing.assert_array_equal(lowered.hours_below, warmed.hours_below)
    np.testing.assert_allclose(
        lowered.degree_hours_below, warmed.degree_hours_below, rtol=0, atol=1e-6
    )


@given(HOURS)
def test_what_is_given_is_left_alone(temp_c: FloatArray) -> None:
    asked, counted = np.array([10.0, 3.05]), temp_c < 15.0
    before = temp_c.copy(), asked.copy(), counted.copy()
    monthly_exposure(temp_c, counted, EVE, asked)
    for array, copy in zip((temp_c, asked, counted), before, strict=True):
        np.testing.assert_array_equal(array, copy)
