"""The winter rest: nights in band, cool hours, dryness, stays, unknown nights, rooms."""

from __future__ import annotations

from typing import TYPE_CHECKING

import numpy as np
import pytest
from hypothesis import HealthCheck, given, settings
from hypothesis import strategies as st
from msgspec.structs import replace

from suitability.climate.days import DAYS, month_day
from suitability.climate.rest import dry_nights, in_band, judge_rest, lay_out_rest, period_of
from suitability.climate.rest_need import RestLack, RestNeed, RestState, room_nights, room_state

if TYPE_CHECKING:
    from suitability.climate.rest import RestPeriod
    from suitability.weather.record import Record
    from tests.climate.conftest import LayOut
    from tests.conftest import Hourly

NOT, PARTLY, MET = (int(state) for state in (RestState.NOT, RestState.PARTLY, RestState.MET))
NEED = RestNeed(low_c=5.0, high_c=15.0, nights=21.0)
HOURS = replace(NEED, cool_low_c=2.0, cool_high_c=15.0, cool_hours=504.0, cool_hours_partly=336.0)
ALL_DAYS = np.ones(DAYS, np.bool_)
NO_DAYS = np.zeros(DAYS, np.bool_)


def with_cold(record: Record, nights: int, temp_c: float, first: str = "2001-12-01") -> Record:
    """The record with so many days of one temperature, from noon of a day on."""
    start = int((np.datetime64(first) - np.datetime64("1970-01-01")).astype(int)) * 24 + 12
    hours = record.temp_c.copy()
    hours[start - record.start_hour : start - record.start_hour + nights * 24] = temp_c
    return replace(record, temp_c=hours)


@pytest.fixture
def mild(hourly: Hourly) -> Record:
    """Three years without any night in the band."""
    return hourly(start="2001-01-01T12", years=3, mean_c=28.0, year_c=5.0)


def period_of_record(lay_out: LayOut, record: Record) -> RestPeriod:
    return lay_out_rest(lay_out(record), None)


def state_of_winter(period: RestPeriod, need: RestNeed, out: np.ndarray = ALL_DAYS) -> int:
    """State of the winter that begins in 2001."""
    years = judge_rest(period, need, out)
    row = int(np.flatnonzero(period.year == 2001)[0])
    assert years.counts[row]
    return int(years.state[row])


def test_the_period_runs_from_fifteen_weeks_before_mid_winter_to_ten_after(
    lay_out: LayOut, mild: Record
) -> None:
    nights = lay_out(mild)
    period = lay_out_rest(nights, None)
    assert period.minimum_c.shape[1] == 175
    assert period.first_day == (nights.winter - 105) % DAYS
    assert month_day(period.first_day)[:2] in ("09", "10")
    assert period.year.tolist() == [2000, 2001, 2002, 2003]
    assert period.counts.tolist() == [False, True, True, False]


def test_twenty_one_nights_are_enough_and_twenty_are_partly(lay_out: LayOut, mild: Record) -> None:
    """Two thirds of 21 are 14; 13 are not enough for partly."""
    states = {
        nights: state_of_winter(period_of_record(lay_out, with_cold(mild, nights, 10.0)), NEED)
        for nights in (13, 14, 20, 21)
    }
    assert states == {13: NOT, 14: PARTLY, 20: PARTLY, 21: MET}


@pytest.mark.parametrize(("temp_c", "expected"), [(4.9, NOT), (5.0, MET), (15.0, MET), (15.1, NOT)])
def test_both_ends_of_the_band_count(
    lay_out: LayOut, mild: Record, temp_c: float, expected: int
) -> None:
    assert state_of_winter(period_of_record(lay_out, with_cold(mild, 30, temp_c)), NEED) == expected
    assert in_band(np.array([temp_c, np.nan]), 5.0, 15.0).tolist() == [expected == MET, False]


def test_it_is_complete_on_the_morning_after_the_last_night(lay_out: LayOut, mild: Record) -> None:
    """21 nights from 1 December on end on the morning of 22 December."""
    period = period_of_record(lay_out, with_cold(mild, 30, 10.0))
    years = judge_rest(period, NEED, ALL_DAYS)
    row = int(np.flatnonzero(period.year == 2001)[0])
    assert month_day(period.first_day + int(years.met_on[row])) == "12-22"
    assert years.nights[row] == 30
    assert np.isnan(years.met_on[row + 1])


def test_cool_hours_are_needed_beside_the_nights(lay_out: LayOut, mild: Record) -> None:
    """With warm days a night has 10 cool hours: 504 take 51 nights, 336 partly take 34."""
    temp_c = with_cold(mild, 60, 10.0).temp_c.copy()
    clock = (mild.start_hour + np.arange(temp_c.size)) % 24
    temp_c[(temp_c == 10.0) & (clock >= 8) & (clock < 22)] = 20.0
    lengths = {}
    for nights in (33, 34, 50, 51):
        warm = with_cold(mild, nights, 10.0).temp_c.copy()
        inside = (temp_c == 20.0) & (warm == 10.0)
        warm[inside] = 20.0
        period = period_of_record(lay_out, replace(mild, temp_c=warm))
        lengths[nights] = state_of_winter(period, HOURS)
        assert state_of_winter(period, NEED) == MET
    assert lengths == {33: NOT, 34: PARTLY, 50: PARTLY, 51: MET}


def test_nights_only_just_cool_enough_meet_it_partly(lay_out: LayOut, mild: Record) -> None:
    """30 nights of 14 °C, where those above 13 °C count as partly; 20 of them are too few."""
    need = replace(NEED, low_c=8.0, partly_above_c=13.0)
    assert state_of_winter(period_of_record(lay_out, with_cold(mild, 21, 14.0)), need) == PARTLY
    assert state_of_winter(period_of_record(lay_out, with_cold(mild, 30, 14.0)), need) == PARTLY
    assert state_of_winter(period_of_record(lay_out, with_cold(mild, 30, 13.0)), need) == MET
    assert state_of_winter(period_of_record(lay_out, with_cold(mild, 20, 14.0)), need) == NOT


def test_only_nights_spent_out_count_and_only_those_of_one_stay(
    lay_out: LayOut, mild: Record
) -> None:
    """30 cold nights from 1 December on; a plant that is in from 11 to 20 December has 10 + 10."""
    period = period_of_record(lay_out, with_cold(mild, 30, 10.0))
    assert state_of_winter(period, NEED, NO_DAYS) == NOT
    out = ALL_DAYS.copy()
    out[DAYS - 21 : DAYS - 11] = False  # 11 to 20 December
    assert state_of_winter(period, NEED, out) == NOT
    out[DAYS - 16 : DAYS - 11] = True  # in until 15 December only: 15 nights in one stay
    assert state_of_winter(period, NEED, out) == PARTLY


@pytest.mark.parametrize(
    ("stays", "state", "met_on"),
    [
        ((25, 12), MET, "12-22"),  # the 21st night is that of 21 December
        ((12, 25), MET, "01-06"),  # in for 3 nights after 12: the 36th, that of 5 January
        ((25, 23), MET, "12-22"),  # two that meet it: the earlier tells the day
        ((15, 12), PARTLY, None),
        ((12, 15), PARTLY, None),
        ((12, 13), NOT, None),  # together 25
    ],
)
def test_of_two_stays_the_better_tells(
    lay_out: LayOut, mild: Record, stays: tuple[int, int], state: int, met_on: str | None
) -> None:
    """
    Nights, cool hours, state and day are those of one stay; nothing of two is added up.

    A night of 10 °C with its day has 24 cool hours, so that 504 of them are 21 nights.
    """
    first, second = stays
    nights = first + 3 + second
    period = period_of_record(lay_out, with_cold(mild, nights, 10.0))
    out = NO_DAYS.copy()
    days = np.arange(nights)
    out[(DAYS - 31 + days[(days < first) | (days >= first + 3)]) % DAYS] = True
    need = replace(HOURS, cool_hours_partly=14 * 24.0)
    years = judge_rest(period, need, out)
    row = int(np.flatnonzero(period.year == 2001)[0])
    assert years.state[row] == state
    assert years.nights[row] == max(first, second)
    assert years.cool_hours[row] == 24 * max(first, second)
    assert years.lack[row] == (RestLack.NOTHING if state == MET else RestLack.LENGTH)
    day = years.met_on[row]
    assert (None if np.isnan(day) else month_day(period.first_day + int(day))) == met_on


def test_cool_nights_of_summer_are_no_rest(lay_out: LayOut, mild: Record) -> None:
    period = period_of_record(lay_out, with_cold(mild, 30, 10.0, first="2001-07-20"))
    assert state_of_winter(period, NEED) == NOT
    assert not (period.minimum_c < 15.0).any()


def test_a_place_without_winter_rests_at_any_time_of_the_year(
    lay_out: LayOut, hourly: Hourly
) -> None:
    record = with_cold(hourly(years=3, mean_c=26.0, day_c=3.0), 30, 10.0, first="2002-07-20")
    nights = lay_out(record)
    assert nights.winter == nights.summer == 0
    period = lay_out_rest(nights, None)
    assert period.minimum_c.shape[1] == DAYS
    years = judge_rest(period, NEED, ALL_DAYS)
    assert years.state[years.counts].tolist() == [NOT, MET, NOT]


def test_the_southern_winter_is_mid_year(lay_out: LayOut, hourly: Hourly) -> None:
    record = hourly(years=3, mean_c=28.0, year_c=5.0, coldest=197)
    period = period_of_record(lay_out, with_cold(record, 30, 10.0, first="2002-06-10"))
    years = judge_rest(period, NEED, ALL_DAYS)
    assert [int(years.state[row]) for row in np.flatnonzero(period.year == 2002)] == [MET]
    row = int(np.flatnonzero(period.year == 2002)[0])
    assert month_day(period.first_day + int(years.met_on[row])) == "07-01"


# Rain -----------------------------------------------------------------------------------------


def test_a_week_with_ten_millimetres_is_wet() -> None:
    """The night of the rain and the six after it; 9.9 mm are still dry."""
    rain = np.zeros(20 * 24)
    rain[5 * 24 + 3] = 10.0
    assert (~dry_nights(rain, 12)).nonzero()[0].tolist() == [5, 6, 7, 8, 9, 10, 11]
    rain[5 * 24 + 3] = 9.9
    assert dry_nights(rain, 12).all()


def test_a_week_that_lacks_a_reading_is_not_dry() -> None:
    rain = np.zeros(20 * 24)
    rain[8 * 24] = np.nan
    assert (~dry_nights(rain, 12)).nonzero()[0].tolist() == [8, 9, 10, 11, 12, 13, 14]


def test_rain_spoils_the_rest_only_where_it_must_be_dry(lay_out: LayOut, mild: Record) -> None:
    nights = lay_out(with_cold(mild, 30, 10.0))
    rain = np.zeros(mild.temp_c.size)
    rain[:: 24 * 5] = 12.0  # every fifth day
    period = lay_out_rest(nights, dry_nights(rain, mild.start_hour))
    assert state_of_winter(period, NEED) == MET
    assert state_of_winter(period, replace(NEED, must_be_dry=True)) == NOT
    assert state_of_winter(lay_out_rest(nights, None), replace(NEED, must_be_dry=True)) == MET


def every_fifth_day(record: Record) -> np.ndarray:
    """12 mm every fifth day: no week is dry."""
    rain = np.zeros(record.temp_c.size)
    rain[:: 24 * 5] = 12.0
    return rain


def test_a_wet_cold_winter_meets_partly_what_dryness_only_helps(
    lay_out: LayOut, mild: Record
) -> None:
    """30 nights of 10 °C: in rain partly, dry wholly; 20 of them, in rain, are not enough."""
    need = replace(NEED, dry_helps=True)
    for nights, in_rain, dry in ((30, PARTLY, MET), (20, NOT, PARTLY), (13, NOT, NOT)):
        record = with_cold(mild, nights, 10.0)
        laid, wet = lay_out(record), dry_nights(every_fifth_day(record), record.start_hour)
        assert state_of_winter(lay_out_rest(laid, wet), need) == in_rain
        assert state_of_winter(lay_out_rest(laid, None), need) == dry


def test_the_last_night_of_a_stay_counts(lay_out: LayOut, mild: Record) -> None:
    """30 wet nights of 10 °C, of which the plant is out on exactly 21, or on 20."""
    record = with_cold(mild, 30, 10.0)
    laid, wet = lay_out(record), dry_nights(every_fifth_day(record), record.start_hour)
    need = replace(NEED, dry_helps=True)
    for nights, state in ((21, PARTLY), (20, NOT)):
        out = NO_DAYS.copy()
        out[DAYS - 31 : DAYS - 31 + nights] = True
        assert state_of_winter(lay_out_rest(laid, wet), need, out) == state


# What is missing, and other triggers --------------------------------------------------------------


def lack_of_winter(period: RestPeriod, need: RestNeed, out: np.ndarray = ALL_DAYS) -> RestLack:
    """What the winter that begins in 2001 lacked."""
    years = judge_rest(period, need, out)
    return RestLack(int(years.lack[np.flatnonzero(period_of(period, need).year == 2001)[0]]))


def test_what_is_missing_is_cold_dryness_or_length(lay_out: LayOut, mild: Record) -> None:
    """13 of 21 nights are too warm a winter, 14 too short a one; a stay of 10 days is too short."""
    need = replace(NEED, dry_helps=True)
    for nights, lack in ((0, "COLD"), (13, "COLD"), (14, "LENGTH"), (21, "NOTHING")):
        period = period_of_record(lay_out, with_cold(mild, nights, 10.0))
        assert lack_of_winter(period, need).name == lack, nights
    cold = with_cold(mild, 60, 10.0)
    wet = lay_out_rest(lay_out(cold), dry_nights(every_fifth_day(cold), cold.start_hour))
    assert lack_of_winter(wet, need) is RestLack.DRYNESS
    assert lack_of_winter(wet, replace(NEED, must_be_dry=True)) is RestLack.DRYNESS
    assert lack_of_winter(wet, NEED) is RestLack.NOTHING
    short = NO_DAYS.copy()
    short[340:350] = True
    assert lack_of_winter(wet, need, short) is RestLack.LENGTH
    assert lack_of_winter(wet, need, NO_DAYS) is RestLack.LENGTH


DROUGHT = RestNeed(low_c=12.0, high_c=16.0, nights=30.0, drought_nights=30.0)


@pytest.mark.parametrize(
    ("dry", "state", "lack"),
    [(30, MET, "NOTHING"), (29, PARTLY, "LENGTH"), (20, PARTLY, "LENGTH"), (19, NOT, "DRYNESS")],
)
def test_a_drought_brings_flowers_in_always_warm_nights(
    lay_out: LayOut, mild: Record, dry: int, state: int, lack: str
) -> None:
    """So many dry nights in a row from 1 December on; 20 of 30 are two thirds."""
    nights = lay_out(mild)
    flags = np.zeros(nights.axis.night_of.max() + 1, np.bool_)
    first = 334 + 365 - 365  # nights of the record begin on 1 January 2001
    flags[first : first + dry] = True
    flags[first + dry + 5 : first + dry + 15] = True  # a second spell, after rain, is another one
    period = lay_out_rest(nights, flags)
    assert state_of_winter(period, DROUGHT) == state
    assert lack_of_winter(period, DROUGHT).name == lack
    row = int(np.flatnonzero(period.year == 2001)[0])
    assert judge_rest(period, DROUGHT, ALL_DAYS).nights[row] == dry


def test_a_drought_is_that_of_the_nights_spent_out(lay_out: LayOut, mild: Record) -> None:
    """Dry all the time: a stay of 30 nights meets it, one of 29 partly, whenever it begins."""
    dry = period_of_record(lay_out, mild)
    for first in (DAYS - 60, DAYS - 35):
        for nights, state in ((30, MET), (29, PARTLY)):
            out = NO_DAYS.copy()
            out[first : first + nights] = True
            assert state_of_winter(dry, DROUGHT, out) == state


def test_a_roof_lets_who_waters_make_the_drought(lay_out: LayOut, mild: Record) -> None:
    assert state_of_winter(period_of_record(lay_out, mild), DROUGHT) == MET


def test_coolness_that_only_helps_a_drought_lessens_flowers(lay_out: LayOut, mild: Record) -> None:
    """Dry and never cool: partly, for want of cold; 30 nights of 14 °C as well: wholly."""
    need = replace(DROUGHT, cold_helps=True)
    warm = period_of_record(lay_out, mild)
    assert (state_of_winter(warm, need), lack_of_winter(warm, need).name) == (PARTLY, "COLD")
    assert state_of_winter(period_of_record(lay_out, with_cold(mild, 30, 14.0)), need) == MET


AUTUMN = RestNeed(low_c=10.0, high_c=16.0, nights=21.0, in_autumn=True)


@pytest.mark.parametrize(
    ("first", "state"),
    [("2001-06-20", NOT), ("2001-08-10", MET), ("2001-10-15", MET), ("2001-12-10", NOT)],
)
def test_autumn_nights_are_those_of_late_summer_and_autumn(
    lay_out: LayOut, mild: Record, first: str, state: int
) -> None:
    """Mid-summer is in mid-July: from eleven days later on for 120 days, to late November."""
    period = period_of_record(lay_out, with_cold(mild, 25, 12.0, first=first))
    assert period.autumn is not None
    assert period.autumn.minimum_c.shape[1] == 120
    assert month_day(period.autumn.first_day)[:2] in ("07", "08")
    years = judge_rest(period, AUTUMN, ALL_DAYS)
    row = int(np.flatnonzero(period_of(period, AUTUMN).year == 2001)[0])
    assert int(years.state[row]) == state
    of_winter = MET if first > "2001-10-01" else NOT
    assert state_of_winter(period, replace(AUTUMN, in_autumn=False)) == of_winter


def test_who_goes_out_after_mid_winter_has_had_no_rest(lay_out: LayOut, mild: Record) -> None:
    """60 cold nights from 20 January on, mid-winter on 22 January: not of who goes out after it."""
    period = period_of_record(lay_out, with_cold(mild, 60, 10.0, first="2002-01-20"))
    assert state_of_winter(period, NEED) == MET
    late = ALL_DAYS.copy()
    late[:22] = late[200:] = False  # in until 22 January
    assert state_of_winter(period, NEED, late) == NOT
    late[21] = True
    assert state_of_winter(period, NEED, late) == MET


# Unknown nights ---------------------------------------------------------------------------------


def lose(record: Record, first: str, nights: int) -> Record:
    return with_cold(record, nights, np.nan, first=first)


def test_a_winter_with_too_many_unknown_nights_does_not_count(
    lay_out: LayOut, mild: Record
) -> None:
    """5 in a row are tolerated and 6 are not; of 175 nights 8 may be unknown."""
    cold = with_cold(mild, 60, 10.0)
    for lost, counts in ((5, True), (6, False)):
        period = period_of_record(lay_out, lose(cold, "2001-12-10", lost))
        assert period.counts[period.year == 2001].tolist() == [counts]
    some = lose(lose(cold, "2001-12-10", 4), "2002-01-10", 4)
    assert period_of_record(lay_out, some).counts.tolist() == [False, True, True, False]
    more = lose(some, "2002-02-10", 1)
    assert period_of_record(lay_out, more).counts.tolist() == [False, False, True, False]


def test_an_unknown_night_never_helps(lay_out: LayOut, mild: Record) -> None:
    """21 cold nights, one of them lost, are 20."""
    period = period_of_record(lay_out, lose(with_cold(mild, 21, 10.0), "2001-12-10", 1))
    assert state_of_winter(period, NEED) == PARTLY


@settings(max_examples=25, deadline=None, suppress_health_check=list(HealthCheck))
@given(seed=st.integers(0, 2**32 - 1), nights=st.integers(1, 60))
def test_lost_nights_never_improve_a_winter(
    lay_out: LayOut, hourly: Hourly, seed: int, nights: int
) -> None:
    """
    Of the winters that still count none has a better state, more nights or an earlier day.

    Nights are lost from noon to noon; mid-winter may move by a day with them, and is held here.
    """
    random = np.random.default_rng(seed)
    record = hourly(start="2001-01-01T12", years=4, mean_c=17.0, year_c=7.0, day_c=4.0)
    temp_c = np.round(record.temp_c + random.normal(0.0, 2.0, record.temp_c.size), 1)
    lost = temp_c.copy().reshape(-1, 24)
    lost[random.choice(lost.shape[0], nights, replace=False)] = np.nan
    whole = lay_out(replace(record, temp_c=temp_c))
    holed = lay_out(replace(record, temp_c=lost.reshape(-1)))
    holed = replace(holed, winter=whole.winter, summer=whole.summer)
    before = judge_rest(lay_out_rest(whole, None), HOURS, ALL_DAYS)
    after = judge_rest(lay_out_rest(holed, None), HOURS, ALL_DAYS)
    assert (before.state == MET).any()
    assert (after.state <= before.state)[after.counts].all()
    assert (after.nights <= before.nights)[after.counts].all()
    both = after.counts & ~np.isnan(after.met_on)
    assert (after.met_on >= before.met_on)[both].all()


@settings(max_examples=25, deadline=None, suppress_health_check=list(HealthCheck))
@given(seed=st.integers(0, 2**32 - 1), start=st.integers(0, 364), days=st.integers(0, 364))
def test_more_days_out_never_harm_the_rest(
    lay_out: LayOut, hourly: Hourly, seed: int, start: int, days: int
) -> None:
    """A longer stay holds every night of a shorter one within it."""
    random = np.random.default_rng(seed)
    record = hourly(years=3, mean_c=16.0, year_c=6.0, day_c=4.0)
    noisy = np.round(record.temp_c + random.normal(0.0, 1.5, record.temp_c.size), 1)
    period = period_of_record(lay_out, replace(record, temp_c=noisy))
    out = np.zeros(DAYS, np.bool_)
    out[(start + np.arange(days)) % DAYS] = True
    some, every = judge_rest(period, HOURS, out), judge_rest(period, HOURS, ALL_DAYS)
    assert (some.state <= every.state).all()
    assert (some.nights <= every.nights).all()


def test_records_in_tenths_and_with_more_decimals_agree(lay_out: LayOut, hourly: Hourly) -> None:
    """The table of tenths and the plain count give the same cool hours and years."""
    record = hourly(years=3, mean_c=15.0, year_c=6.0, day_c=4.0)
    finer = record.temp_c.copy()
    finer[0] += 0.037
    one = judge_rest(period_of_record(lay_out, record), HOURS, ALL_DAYS)
    other = judge_rest(period_of_record(lay_out, replace(record, temp_c=finer)), HOURS, ALL_DAYS)
    assert one.state.tolist() == other.state.tolist()
    assert one.cool_hours.tolist() == other.cool_hours.tolist()
    assert one.cool_hours.max() > 0


# Rooms ----------------------------------------------------------------------------------------


def test_a_room_in_the_band_takes_the_nights_or_the_hours_whichever_are_more() -> None:
    assert room_nights(NEED, 10.0) == 21
    assert room_nights(replace(HOURS, cool_hours=672.0), 10.0) == 28
    assert room_nights(NEED, 15.1) is None
    assert room_nights(NEED, 4.9) is None
    assert room_nights(replace(HOURS, low_c=0.0), 1.0) is None  # in the band, but no cool hour


@pytest.mark.parametrize(
    ("room_c", "nights", "expected"),
    [(10.0, 21, MET), (10.0, 20, PARTLY), (10.0, 14, PARTLY), (10.0, 13, NOT), (18.0, 300, NOT)],
)
def test_what_a_room_does_in_so_many_nights(room_c: float, nights: int, expected: int) -> None:
    assert int(room_state(HOURS, room_c, nights)) == expected


def test_a_room_only_just_cool_enough_meets_it_partly() -> None:
    need = replace(NEED, low_c=8.0, nights=40.0, partly_above_c=13.0)
    assert room_nights(need, 14.0) is None
    assert room_state(need, 14.0, 40) is RestState.PARTLY
    assert room_state(need, 14.0, 39) is RestState.NOT
    assert room_state(need, 13.0, 40) is RestState.MET


def test_a_constant_room_and_a_constant_winter_agree(lay_out: LayOut, mild: Record) -> None:
    """The same temperature for as many nights, out or in, does the same."""
    for temp_c in (4.0, 8.0, 15.0, 16.0):
        for nights in (13, 14, 20, 21, 30):
            period = period_of_record(lay_out, with_cold(mild, nights, temp_c))
            assert state_of_winter(period, HOURS) == int(room_state(HOURS, temp_c, nights))


def test_a_drought_is_had_in_any_room_and_its_coolness_only_in_a_cool_one() -> None:
    cool = replace(DROUGHT, cold_helps=True, nights=40.0)
    assert (room_nights(DROUGHT, 25.0), room_nights(DROUGHT, 3.0)) == (30, 30)
    assert (room_nights(cool, 14.0), room_nights(cool, 20.0)) == (40, None)
    assert [int(room_state(DROUGHT, 25.0, nights)) for nights in (30, 20, 19)] == [MET, PARTLY, NOT]
    assert [int(room_state(cool, 20.0, nights)) for nights in (300, 29)] == [PARTLY, NOT]
    assert [int(room_state(cool, 14.0, nights)) for nights in (40, 27, 26)] == [MET, PARTLY, NOT]
