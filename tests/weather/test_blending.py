"""Blending: a mean among its stations, gaps at the level of the record, and honest errors."""

from __future__ import annotations

from datetime import UTC, datetime

import numpy as np
import pytest
from hypothesis import given
from hypothesis import strategies as st
from hypothesis.extra.numpy import arrays
from msgspec.structs import replace

from suitability.weather.blending import (
    estimate_errors,
    fill_from_neighbours,
    shift_height,
    weigh_stations,
)
from suitability.weather.record import FloatArray, Origin, Record, Station, hour_of_datetime

START = datetime(2020, 1, 1, tzinfo=UTC)


def record_of(temp_c: FloatArray, identifier: str = "A", **place: float | None) -> Record:
    """An observed record from the first hour of 2020."""
    values = {"latitude": 50.0, "longitude": 8.0, "elevation_m": 100.0, "distance_km": 1.0} | place
    station = Station(identifier=identifier, name=identifier, **values)  # type: ignore[arg-type]  # a test's own table
    return Record(
        start_hour=hour_of_datetime(START),
        temp_c=temp_c,
        origin=np.where(np.isnan(temp_c), Origin.MISSING, Origin.OBSERVED).astype(np.uint8),
        station=station,
        attribution=f"credit {identifier}",
        licence="CC BY 4.0",
    )


def weather(hours: int = 8784, seed: int = 0) -> FloatArray:
    """An invented year of weather that neighbouring stations share, °C."""
    rng = np.random.default_rng(seed)
    hour = np.arange(hours)
    slow = np.cumsum(rng.normal(0, 0.3, hours))
    slow -= np.linspace(slow[0], slow[-1], hours)
    wave = -8 * np.cos(2 * np.pi * hour / 8766) - 4 * np.cos(2 * np.pi * (hour - 2) / 24)
    result: FloatArray = 12 + wave + slow
    return result


temperatures = arrays(float, (3, 20), elements=st.floats(-40, 40) | st.just(float("nan")))


@given(temperatures)
def test_a_weighted_mean_lies_among_its_stations(temp_c: FloatArray) -> None:
    """Where a station has a value the mean is between the lowest and the highest; else nan."""
    before = temp_c.copy()
    mean = weigh_stations(temp_c, np.array([0.5, 0.3, 0.2]))
    some = ~np.isnan(temp_c).all(axis=0)
    np.testing.assert_array_equal(np.isnan(mean), ~some)
    assert (mean[some] >= np.nanmin(temp_c[:, some], axis=0) - 1e-9).all()
    assert (mean[some] <= np.nanmax(temp_c[:, some], axis=0) + 1e-9).all()
    np.testing.assert_array_equal(temp_c, before)


def test_a_higher_station_is_brought_down_warmer() -> None:
    """6.5 K per km: a station 200 m above the point gains 1.3 °C."""
    np.testing.assert_allclose(shift_height(np.array([10.0]), 200.0), [11.3])


def with_gap(temp_c: FloatArray, first: int, hours: int) -> FloatArray:
    """The temperatures with a gap."""
    holed = temp_c.copy()
    holed[first : first + hours] = np.nan
    return holed


def test_a_gap_is_filled_at_the_level_of_the_record() -> None:
    """A neighbour that is always 3 °C warmer fills the gap exactly, once its bias is taken off."""
    true_c = np.round(weather(), 1)
    record = record_of(with_gap(true_c, 4000, 100))
    filled, errors = fill_from_neighbours(record, [record_of(true_c + 3.0, "B")])
    np.testing.assert_allclose(filled.temp_c, true_c, atol=1e-9)
    assert set(filled.origin[4000:4100].tolist()) == {int(Origin.BLENDED)}
    assert filled.hours_by_origin()["observed"] == 8684
    assert int(filled.counted.sum()) == 8684
    assert "100 missing hours were blended from B" in filled.notes[-1]
    assert filled.attribution == "credit A; credit B"
    assert errors.all_hours is not None
    assert errors.all_hours.rmse_c == pytest.approx(0.0, abs=1e-9)


def test_hours_that_were_observed_are_never_touched() -> None:
    """Only gaps change, and the given record stays as it was."""
    rng = np.random.default_rng(1)
    true_c = np.round(weather(), 1)
    record = record_of(with_gap(true_c, 100, 50))
    before = record.temp_c.copy()
    noisy = true_c + rng.normal(0, 2, true_c.size)
    filled, _ = fill_from_neighbours(record, [record_of(noisy, "B")])
    seen = ~np.isnan(before)
    np.testing.assert_array_equal(filled.temp_c[seen], before[seen])
    np.testing.assert_array_equal(record.temp_c, before)


def test_the_error_of_filling_is_that_of_hidden_hours() -> None:
    """
    Noise of 1.5 °C at the neighbour comes back as an error of about 1.5 °C.

    The lowest of 16 noisy night hours is lower than the lowest true one, so minima are biased down:
    the errors of nights are told apart for that reason.
    """
    rng = np.random.default_rng(2)
    true_c = weather()
    errors = estimate_errors(true_c, np.array([true_c + rng.normal(0, 1.5, true_c.size)]), 0)
    assert errors.all_hours is not None
    assert errors.night_hours is not None
    assert errors.night_minima is not None
    assert errors.all_hours.rmse_c == pytest.approx(1.5, abs=0.15)
    assert abs(errors.all_hours.bias_c) < 0.15
    assert 200 < errors.all_hours.hours < 2000
    assert errors.night_hours.hours < errors.all_hours.hours
    assert errors.night_minima.bias_c < -0.5


def test_two_good_neighbours_are_better_than_one() -> None:
    """Independent noise averages out."""
    rng = np.random.default_rng(4)
    true_c = weather()
    others = true_c + rng.normal(0, 1.5, (2, true_c.size))
    one = estimate_errors(true_c, others[:1], 0).all_hours
    two = estimate_errors(true_c, others, 0).all_hours
    assert one is not None
    assert two is not None
    assert two.rmse_c < 0.85 * one.rmse_c


def test_a_poor_neighbour_weighs_little() -> None:
    """Weights follow what is left after the bias: noise of 6 °C hardly spoils noise of 1 °C."""
    rng = np.random.default_rng(5)
    true_c = weather()
    good, poor = true_c + rng.normal(0, 1, true_c.size), true_c + rng.normal(0, 6, true_c.size)
    alone = estimate_errors(true_c, np.array([good]), 0).all_hours
    both = estimate_errors(true_c, np.array([good, poor]), 0).all_hours
    assert alone is not None
    assert both is not None
    assert both.rmse_c < 1.05 * alone.rmse_c


def test_neighbours_without_common_hours_change_nothing() -> None:
    """Too little in common to tell the level: the gap stays a gap."""
    record = record_of(with_gap(weather(), 0, 4000))
    other = record_of(with_gap(weather(), 4100, 8784), "B")
    filled, errors = fill_from_neighbours(record, [other])
    assert filled is record
    assert errors.all_hours is None
    assert fill_from_neighbours(record, [])[0] is record


def test_model_hours_of_a_neighbour_are_not_used() -> None:
    """Only what a neighbour observed may fill a gap."""
    true_c = weather()
    record = record_of(with_gap(true_c, 100, 50))
    model = replace(record_of(true_c, "B"), origin=np.full(true_c.size, Origin.MODEL, np.uint8))
    assert fill_from_neighbours(record, [model])[0] is record
