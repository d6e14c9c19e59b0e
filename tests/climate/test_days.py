"""Nights, calendar days and plant years."""

from __future__ import annotations

from datetime import date, timedelta

import numpy as np
import pytest
from hypothesis import given
from hypothesis import strategies as st

from suitability.climate.days import (
    DAYS,
    NIGHT_HOURS,
    coldest_day,
    fold_axis,
    fold_flags,
    fold_highest,
    gather,
    hours_by_night,
    local_hour,
    month_day,
    night_minima,
    position_of,
    smooth_circular,
    turn,
)

EPOCH = date(1970, 1, 1)


def day_number(year: int, month: int, day: int) -> int:
    return (date(year, month, day) - EPOCH).days


def folded(evening: date) -> int:
    """Day of a year of 365 days by hand: 29 February is 28 February."""
    if (evening.month, evening.day) == (2, 29):
        return 58
    return date(2001, evening.month, evening.day).timetuple().tm_yday - 1


@pytest.mark.parametrize(
    ("utc", "offset", "local"), [(0, -8.0, -8), (24, 5.5, 29), (0, -3.5, -4), (10, 0.0, 10)]
)
def test_local_hours_are_rounded_down(utc: int, offset: float, local: int) -> None:
    assert local_hour(utc, offset) == local


def test_a_record_from_midnight_begins_within_the_night_before() -> None:
    """30 hours from 1970-01-02 00:00: twelve hours before are unknown, of the night of 1 Jan."""
    first_day, nights = hours_by_night(np.arange(30.0), 24)
    assert first_day == 0  # evening of 1 January
    assert nights.shape == (2, 24)
    assert np.isnan(nights[0, :12]).all()
    assert nights[0, 12:].tolist() == list(range(12))  # 00:00 to 11:00 of 2 January
    assert nights[1, :18].tolist() == list(range(12, 30))  # from noon on
    assert np.isnan(nights[1, 18:]).all()


@pytest.mark.parametrize(("start", "first_day"), [(12, 0), (11, -1), (13, 0), (36, 1)])
def test_a_night_begins_at_noon(start: int, first_day: int) -> None:
    found, nights = hours_by_night(np.array([7.0]), start)
    assert found == first_day
    assert nights.shape == (1, 24)
    assert nights[0, (start - 12) % 24] == 7.0


def test_the_hours_that_must_be_known_are_18_to_09() -> None:
    clock = [(12 + hour) % 24 for hour in range(24)][NIGHT_HOURS]
    assert clock == [18, 19, 20, 21, 22, 23, 0, 1, 2, 3, 4, 5, 6, 7, 8, 9]


def test_29_february_is_folded_into_28_february() -> None:
    """Nights of 27 Feb to 1 March 2004; the 29th is colder, wetter and flagged."""
    axis = fold_axis(day_number(2004, 2, 27), 4)
    assert axis.first_year == 2004
    assert axis.years == 1
    assert np.flatnonzero(axis.night_of >= 0).tolist() == [57, 58, 59]
    assert axis.night_of[57:60].tolist() == [0, 1, 3]
    values = gather(axis, np.array([1.0, 2.0, 3.0, 4.0]))
    assert values[57:60].tolist() == [1.0, 2.0, 4.0]  # 28 February keeps its own
    assert np.isnan(values[60])
    flags = np.array([False, False, True, False])
    assert fold_flags(axis, flags, outside=False)[57:61].tolist() == [False, True, False, False]
    assert fold_flags(axis, flags, outside=True)[57:61].tolist() == [False, True, False, True]
    highest = fold_highest(axis, np.array([1.0, 2.0, 3.0, 4.0]))
    assert highest[57:60].tolist() == [1.0, 3.0, 4.0]
    assert highest[60] == -np.inf
    assert position_of(axis).tolist() == [57, 58, 58, 59]


@pytest.mark.parametrize("nights", [1, 2])
def test_a_record_that_starts_on_29_february(nights: int) -> None:
    axis = fold_axis(day_number(2004, 2, 29), nights)
    assert position_of(axis).tolist() == [58, 59][:nights]
    assert gather(axis, np.array([5.0, 6.0][:nights]))[58] == 5.0


@given(
    first=st.integers(day_number(1895, 1, 1), day_number(2110, 1, 1)),
    nights=st.integers(1, 1600),
)
def test_every_night_stands_on_its_calendar_day(first: int, nights: int) -> None:
    """Against dates one by one, over leap years and the years 1900, 2000 and 2100."""
    axis = fold_axis(first, nights)
    evenings = [EPOCH + timedelta(days=first + night) for night in range(nights)]
    expected = [(day.year - evenings[0].year) * DAYS + folded(day) for day in evenings]
    assert position_of(axis).tolist() == expected
    assert axis.first_year == evenings[0].year
    assert axis.night_of.size == DAYS * (evenings[-1].year - evenings[0].year + 1)


@given(st.integers(0, 2**32 - 1), st.integers(0, 80))
def test_smoothing_is_the_mean_of_the_neighbours_on_the_ring(seed: int, half: int) -> None:
    values = np.random.default_rng(seed).normal(15.0, 5.0, DAYS)
    smooth = smooth_circular(values, 2 * half + 1)
    for day in (0, 1, 180, DAYS - 1):
        around = [values[(day + step) % DAYS] for step in range(-half, half + 1)]
        assert smooth[day] == pytest.approx(np.mean(around), abs=1e-9)


@pytest.mark.parametrize("coldest", [0, 14, 100, 196, 364])
@pytest.mark.parametrize("gap", [0, 100])
def test_the_coldest_day_of_a_wave(coldest: int, gap: int) -> None:
    """Found on the day itself, also where 100 days have no value."""
    days = np.arange(DAYS)
    mean = 15.0 - 6.0 * np.cos(2.0 * np.pi * (days - coldest) / DAYS)
    mean[30 : 30 + gap] = np.nan
    day, amplitude = coldest_day(mean)
    assert min((day - coldest) % DAYS, (coldest - day) % DAYS) <= 1  # a day is a day wide
    assert amplitude == pytest.approx(6.0, abs=1e-9)


def test_no_coldest_day_of_half_a_year() -> None:
    mean = np.full(DAYS, np.nan)
    mean[:179] = 10.0
    assert np.isnan(coldest_day(mean)[1])


def test_every_day_of_the_year_has_its_name() -> None:
    names = [month_day(day) for day in range(DAYS)]
    expected = [f"{date(2001, 1, 1) + timedelta(days=day):%m-%d}" for day in range(DAYS)]
    assert names == expected
    assert month_day(DAYS + 59) == "03-01"


@given(st.integers(-1000, 1000))
def test_turning_the_ring(days: int) -> None:
    ring = np.arange(DAYS)
    assert turn(ring, days).tolist() == np.roll(ring, days).tolist()


def test_a_night_is_known_only_with_every_hour_from_18_to_9() -> None:
    """Its minimum is of those hours alone, though the afternoon was colder."""
    temp_c = np.full(72, 10.0)
    temp_c[12:18], temp_c[30] = 1.0, 4.0  # a cold afternoon before the night, 06:00 after it
    first_day, nights = hours_by_night(temp_c, 0)
    lowest = night_minima(nights)
    assert first_day == -1  # from midnight on: the night before is not whole
    np.testing.assert_equal(lowest[1:3], [4.0, 10.0])
    temp_c[40] = np.nan  # 16:00
    assert night_minima(hours_by_night(temp_c, 0)[1])[2] == 10.0
    temp_c[42] = np.nan  # 18:00
    assert np.isnan(night_minima(hours_by_night(temp_c, 0)[1])[2])
