"""Blending: the method of the library where it is the same, and honest errors where it is ours."""

from __future__ import annotations

from datetime import UTC, datetime, timedelta

import numpy as np
import pytest
from hypothesis import given
from hypothesis import strategies as st
from hypothesis.extra.numpy import arrays
from msgspec.structs import replace

from suitability.errors import RecordError
from suitability.weather.blending import (
    blend_stations,
    estimate_errors,
    fill_from_neighbours,
    shift_height,
    station_weights,
    weigh_stations,
)
from suitability.weather.record import FloatArray, Origin, Record, Station, hour_of_datetime
from suitability.weather.stations import seen_from

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


def test_weights_by_hand() -> None:
    """
    Two stations 3 km off, one of them 400 m higher.

    1 / 3000² against 1 / (3000² + 4000²): 25 to 9, so 25/34 and 9/34.
    """
    weights = station_weights(np.array([3000.0, 3000.0]), np.array([0.0, 400.0]))
    np.testing.assert_allclose(weights, [25 / 34, 9 / 34])


def test_a_station_at_the_point_gets_all_the_weight() -> None:
    """No distance at all would otherwise divide by nothing."""
    np.testing.assert_array_equal(station_weights(np.array([0.0, 9.0]), np.zeros(2)), [1.0, 0.0])


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


@pytest.mark.slow
def test_blending_equals_the_library_where_the_method_is_the_same() -> None:
    """meteostat.interpolate on the same hours: equal to 0.1 °C, and its rounding kept."""
    import meteostat as ms
    import pandas as pd
    from meteostat.api.timeseries import TimeSeries
    from meteostat.enumerations import Granularity

    hours, latitude, longitude, elevation_m = 200, 50.0, 8.0, 300.0
    rng = np.random.default_rng(3)
    places = [(50.1, 8.1, 120.0), (50.0, 8.4, 900.0), (49.8, 7.9, 310.0), (50.3, 8.0, 40.0)]
    records = []
    for number, (lat, lon, height) in enumerate(places):
        temp_c = np.round(weather(hours, number), 1)
        temp_c[rng.random(hours) < 0.06] = np.nan
        made = record_of(temp_c, str(number), latitude=lat, longitude=lon, elevation_m=height)
        assert made.station is not None
        seen = seen_from(made.station, latitude, longitude, elevation_m)
        records.append(replace(made, station=seen))
    ours = blend_stations(records)

    times = pd.date_range("2020-01-01", periods=hours, freq="h")
    frames = []
    for number, record in enumerate(records):
        index = pd.MultiIndex.from_product(
            [[str(number)], times, ["isd_lite"]], names=["station", "time", "source"]
        )
        frames.append(pd.DataFrame({"temp": record.temp_c}, index=index).dropna())
    stations = pd.DataFrame(
        [(str(n), *place) for n, place in enumerate(places)],
        columns=["id", "latitude", "longitude", "elevation"],
    ).set_index("id")
    stop = (START + timedelta(hours=hours - 1)).replace(tzinfo=None)
    series = TimeSeries(
        Granularity.HOURLY,
        stations,
        pd.concat(frames),
        START.replace(tzinfo=None),
        stop,
        multi_station=True,
    )
    point = ms.Point(latitude, longitude, int(elevation_m))
    theirs = ms.interpolate(series, point).fetch()
    assert theirs is not None
    expected = theirs["temp"].reindex(times).to_numpy(dtype=float)
    np.testing.assert_allclose(ours.temp_c, expected, atol=0.1 + 1e-9)
    assert np.mean(np.isclose(ours.temp_c, expected, atol=1e-9)) > 0.99
    assert set(ours.origin.tolist()) == {int(Origin.BLENDED)}
    assert not ours.counted.any()


def test_blending_needs_distances() -> None:
    """A record without a station's distance cannot be weighed."""
    with pytest.raises(RecordError, match="distance"):
        blend_stations([record_of(np.zeros(5), distance_km=None)])
    with pytest.raises(RecordError, match="distance"):
        blend_stations([])


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
