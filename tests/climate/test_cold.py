"""Cold by night, and the chill base that each night tolerates."""

from __future__ import annotations

import numpy as np
import pytest
from hypothesis import given, settings
from hypothesis import strategies as st
from numpy.typing import NDArray

from suitability.climate.cold import (
    DOSE_NIGHTS,
    MOST_VALUES,
    ColdTable,
    FewValues,
    NightHours,
    cold_by_night,
    lay_out_dose,
    trailing_sum,
)

FloatArray = NDArray[np.float64]
HIGHEST = 25.0


@st.composite
def nights_of_tenths(draw: st.DrawFn) -> FloatArray:
    """Up to 40 nights in tenths, some hours missing."""
    generator = np.random.default_rng(draw(st.integers(0, 2**32 - 1)))
    nights = draw(st.integers(1, 40))
    mean = generator.normal(draw(st.floats(0.0, 20.0)), 4.0, (nights, 1))
    hours = (mean + generator.normal(0.0, 3.0, (nights, 24))).round(1)
    hours[generator.random((nights, 24)) < draw(st.sampled_from([0.0, 0.05, 0.9]))] = np.nan
    return hours


def dose_at(temp_c: FloatArray, night: int, base_c: float) -> float:
    """The dose of a night at a chill base, hour by hour."""
    window = temp_c[max(0, night - DOSE_NIGHTS + 1) : night + 1]
    return sum(base_c - hour for hour in window.ravel().tolist() if hour < base_c)


def test_the_trailing_sum_is_shorter_at_the_beginning() -> None:
    assert trailing_sum(np.array([1.0, 2.0, 4.0, 8.0]), 2).tolist() == [1, 3, 6, 12]
    assert trailing_sum(np.ones(20))[[0, 12, 13, 19]].tolist() == [1, 13, 14, 14]


def test_one_night_by_hand() -> None:
    """24 h at 9.5 °C: 24 h and 12 °C·h below 10; none below 9.5, where the hours stand.

    A dose of 12 °C·h is reached at a base of 10.0, one of 60 at 12.0.
    """
    for cold in (
        cold_by_night(np.full((1, 24), 9.5), HIGHEST),
        NightHours(temp_c=np.full((1, 24), 9.5), highest_c=HIGHEST),
    ):
        assert cold.hours_below(10.0).tolist() == [24]
        assert cold.hours_below(9.5).tolist() == [0]
        assert cold.degree_hours_below(10.0) == pytest.approx([12.0])
        bases = cold.tolerated_bases(frozenset((12.0, 60.0)))
        assert bases[12.0] == pytest.approx([10.0])
        assert bases[60.0] == pytest.approx([12.0])


def test_the_dose_reaches_back_fourteen_nights() -> None:
    """One hour of 2 °C below 12 each night: 14 nights make 28, never more.

    A limit of 28 is within, one of 27.9 is passed from the 14th night on.
    """
    temp_c = np.full((20, 24), 20.0)
    temp_c[:, 15] = 10.0
    bases = cold_by_night(temp_c, HIGHEST).tolerated_bases(frozenset((28.0, 27.9)))
    assert (bases[28.0] >= 12.0 - 1e-9).all()
    over = bases[27.9] < 12.0 - 1e-9
    assert np.flatnonzero(over).tolist() == list(range(13, 20))


def test_tenths_and_few_values_are_tabled_and_many_are_not() -> None:
    many = np.linspace(0.0, 20.0, 24 * (MOST_VALUES // 24 + 1)).reshape(-1, 24)
    assert isinstance(cold_by_night(np.full((2, 24), 9.5), HIGHEST), ColdTable)
    assert isinstance(cold_by_night(np.full((2, 24), 9.55), HIGHEST), FewValues)
    assert isinstance(cold_by_night(many, HIGHEST), NightHours)
    assert isinstance(cold_by_night(np.full((2, 24), HIGHEST + 0.05), HIGHEST), NightHours)


def in_fahrenheit(temp_c: FloatArray, decimals: int | None) -> FloatArray:
    """The same hours read in whole °F and turned to °C, kept to so many decimals."""
    celsius = (np.rint(temp_c * 1.8 + 32.0) - 32.0) / 1.8
    return celsius if decimals is None else celsius.round(decimals)


@given(
    nights_of_tenths(),
    st.sampled_from([6, 4, None]),
    st.sampled_from([0.0, 0.4, 1.0]),
    st.lists(st.floats(-15.0, HIGHEST), min_size=1, max_size=5),
    st.sampled_from([0.0, 1.0, 12.5, 60.0, 300.0]),
)
def test_nights_in_fahrenheit_are_tabled_as_exactly(
    tenths: FloatArray, decimals: int | None, wet: float, thresholds: list[float], limit: float
) -> None:
    """The table against the hours themselves, also at thresholds that are values of the record."""
    temp_c = in_fahrenheit(tenths, decimals)
    temp_c[0, :2] = 9.123456, -3.654321  # as a filled gap has them
    soaked = np.random.default_rng(1).random(temp_c.shape) < wet
    weight = soaked + np.int16(2)
    tabled = cold_by_night(temp_c, HIGHEST, weight)
    plain = NightHours(temp_c=temp_c, highest_c=HIGHEST, weight=weight)
    assert isinstance(tabled, FewValues)
    own = temp_c[~np.isnan(temp_c) & (temp_c < HIGHEST)][:5].tolist()
    for threshold in (*thresholds, *own, *(value + 2e-9 for value in own), HIGHEST):
        np.testing.assert_array_equal(tabled.hours_below(threshold), plain.hours_below(threshold))
    np.testing.assert_array_equal(tabled.degree_hours_below(12.0), plain.degree_hours_below(12.0))
    limits = frozenset((limit, limit + 7.5))
    bases, asked = tabled.tolerated_bases(limits), plain.tolerated_bases(limits)
    for one in limits:
        np.testing.assert_allclose(bases[one], asked[one], rtol=0, atol=2e-9)


def test_nights_without_a_value_have_no_cold() -> None:
    cold = cold_by_night(np.full((3, 24), np.nan), HIGHEST)
    assert cold.hours_below(10.0).tolist() == [0, 0, 0]
    assert cold.degree_hours_below(10.0).tolist() == [0, 0, 0]
    assert np.isinf(cold.tolerated_bases(frozenset((60.0,)))[60.0]).all()


def test_a_threshold_above_the_table_is_refused() -> None:
    cold = cold_by_night(np.full((2, 24), 9.5), HIGHEST)
    with pytest.raises(ValueError, match="above the table"):
        cold.hours_below(HIGHEST + 1.0)


@given(nights_of_tenths(), st.lists(st.floats(-15.0, HIGHEST), min_size=1, max_size=5))
def test_table_and_hours_count_the_same(temp_c: FloatArray, thresholds: list[float]) -> None:
    """Also at thresholds between tenths, and far below the coldest hour."""
    tabled = cold_by_night(temp_c, HIGHEST)
    asked = NightHours(temp_c=temp_c, highest_c=HIGHEST)
    for threshold in (*thresholds, *np.round(thresholds, 1)):
        np.testing.assert_array_equal(tabled.hours_below(threshold), asked.hours_below(threshold))
        np.testing.assert_allclose(
            tabled.degree_hours_below(threshold),
            asked.degree_hours_below(threshold),
            rtol=0,
            atol=1e-6,
        )


@settings(max_examples=60)
@given(
    nights_of_tenths(),
    st.sampled_from([0.0, 1.0, 12.5, 60.0, 300.0]),
    st.sampled_from([0.0, 0.03]),
)
def test_the_tolerated_base_is_the_highest(
    temp_c: FloatArray, limit: float, off_tenths: float
) -> None:
    """Against the dose added up hour by hour, for both forms of nights, tenths or not.

    At the base it is within the limit, 0.001 °C above it is beyond.
    """
    hours = temp_c + off_tenths
    for cold in (cold_by_night(hours, HIGHEST), NightHours(temp_c=hours, highest_c=HIGHEST)):
        bases = cold.tolerated_bases(frozenset((limit,)))[limit]
        for night, base in enumerate(bases.tolist()):
            if base >= HIGHEST:
                assert dose_at(hours, night, HIGHEST) <= limit + 1e-6
            else:
                assert dose_at(hours, night, base) <= limit + 1e-6
                assert dose_at(hours, night, base + 0.001) > limit


@given(nights_of_tenths())
def test_nights_are_left_alone(temp_c: FloatArray) -> None:
    before = temp_c.copy()
    cold = cold_by_night(temp_c, HIGHEST)
    cold.tolerated_bases(frozenset((60.0,)))
    cold.degree_hours_below(12.0)
    np.testing.assert_array_equal(temp_c, before)


# The dose in wet pots ---------------------------------------------------------------------------


def weighted_dose_at(
    temp_c: FloatArray, wet: NDArray[np.bool_], night: int, base_c: float
) -> float:
    """The dose of a night at a chill base, hour by hour, wet hours half as much again."""
    first = max(0, night - DOSE_NIGHTS + 1)
    hours = zip(
        temp_c[first : night + 1].ravel().tolist(),
        wet[first : night + 1].ravel().tolist(),
        strict=True,
    )
    return sum(
        (1.5 if soaked else 1.0) * (base_c - hour) for hour, soaked in hours if hour < base_c
    )


def test_a_wet_hour_weighs_half_as_much_again() -> None:
    """24 h at 9.5 °C, six of them wet: 0.5 x (18 + 6 x 1.5) = 13.5 °C·h below 10."""
    wet = np.zeros((1, 24), np.bool_)
    wet[0, :6] = True
    temp_c = np.full((1, 24), 9.5)
    for cold in (
        cold_by_night(temp_c, HIGHEST),
        NightHours(temp_c=temp_c, highest_c=HIGHEST),
    ):
        dose = lay_out_dose(temp_c, wet, cold, HIGHEST)
        assert dose.degree_hours_below(10.0) == pytest.approx([13.5])
        assert dose.tolerated_bases(frozenset((13.5,)))[13.5] == pytest.approx([10.0])
        dry = lay_out_dose(temp_c, np.zeros_like(wet), cold, HIGHEST)
        assert dry.degree_hours_below(10.0) == pytest.approx([12.0])
        soaked = lay_out_dose(temp_c, np.ones_like(wet), cold, HIGHEST)
        assert soaked.degree_hours_below(10.0) == pytest.approx([18.0])
        assert soaked.tolerated_bases(frozenset((18.0,)))[18.0] == pytest.approx([10.0])


@given(
    temp_c=nights_of_tenths(),
    share=st.sampled_from([0.0, 0.3, 1.0]),
    more=st.sampled_from([0.0, 0.03]),
    limit=st.sampled_from([20.0, 60.0, 120.0]),
)
def test_the_tolerated_base_is_where_the_weighted_dose_meets_the_limit(
    temp_c: FloatArray, share: float, more: float, limit: float
) -> None:
    """In tenths and with more decimals: at the base the dose is the limit, just above beyond it."""
    temp_c = temp_c + more
    wet = np.random.default_rng(1).random(temp_c.shape) < share
    dose = lay_out_dose(temp_c, wet, cold_by_night(temp_c, HIGHEST), HIGHEST)
    bases = dose.tolerated_bases(frozenset((limit,)))[limit]
    for night, base in enumerate(bases.tolist()):
        if np.isinf(base):
            assert weighted_dose_at(temp_c, wet, night, HIGHEST) <= limit + 1e-6
        else:
            assert weighted_dose_at(temp_c, wet, night, base) == pytest.approx(limit, abs=1e-6)


def test_hours_outside_the_record_are_neither_wet_nor_dry() -> None:
    """A pot that is wet in every hour on record needs no second table of cold."""
    temp_c = np.full((2, 24), 9.5)
    temp_c[0, :5] = np.nan
    cold = cold_by_night(temp_c, HIGHEST)
    wet = ~np.isnan(temp_c)
    assert lay_out_dose(temp_c, wet, cold, HIGHEST).cold is cold
    assert lay_out_dose(temp_c, np.isnan(temp_c), cold, HIGHEST).weighs == 1.0
