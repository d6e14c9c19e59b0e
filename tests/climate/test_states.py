"""States of a night: fine, unsafe (hard, wet, dose, heat), unknown."""

from __future__ import annotations

from typing import TYPE_CHECKING

import numpy as np
import pytest
from hypothesis import given, settings
from hypothesis import strategies as st
from msgspec.structs import replace

from suitability.climate.states import (
    Thresholds,
    hidden_nights,
    lacking_warmth,
    unsafe_nights,
    wet_hours,
)

if TYPE_CHECKING:
    from tests.climate.conftest import LayOut
    from tests.conftest import Hourly

NOON = "2001-06-01T12"  # so that each 24 hours are one night
JUNE = 151  # day of the folded year of 1 June


def at_night(nights: int, clock: dict[int, float], otherwise: float = 20.0) -> list[float]:
    """So many nights from noon, with values at some hours of the clock."""
    return [clock.get((12 + hour) % 24, otherwise) for hour in range(24)] * nights


@pytest.mark.parametrize(("lowest", "unsafe"), [(5.1, False), (5.0, False), (4.9, True)])
def test_a_night_at_the_limit_is_not_below_it(
    hourly: Hourly, lay_out: LayOut, mild: Thresholds, lowest: float, *, unsafe: bool
) -> None:
    nights = lay_out(hourly(at_night(1, {4: lowest}), start=NOON))
    shortfall = lacking_warmth(nights, mild)
    assert unsafe_nights(shortfall)[JUNE] == unsafe
    assert shortfall.hard_c[JUNE] == pytest.approx(5.0 - lowest, abs=1e-6)


def test_the_allowance_lowers_minima(hourly: Hourly, lay_out: LayOut, mild: Thresholds) -> None:
    """A reading of 5.5 may hide 4.9: with an allowance of 0.6 the night is below the limit of 5."""
    record = hourly(at_night(1, {4: 5.5}), start=NOON)
    assert not unsafe_nights(lacking_warmth(lay_out(record), mild))[JUNE]
    assert unsafe_nights(lacking_warmth(lay_out(record, allowance_c=0.6), mild))[JUNE]
    exact = hourly(at_night(1, {4: 5.6}), start=NOON)
    assert not unsafe_nights(lacking_warmth(lay_out(exact, allowance_c=0.6), mild))[JUNE]


def test_the_allowance_leaves_the_dose_alone(
    hourly: Hourly, lay_out: LayOut, mild: Thresholds
) -> None:
    record = hourly(at_night(14, {4: 8.0, 5: 8.0}), start=NOON)  # 8 °C·h below 12 a night
    one, other = (lacking_warmth(lay_out(record, allowance_c=a), mild) for a in (0.0, 5.0))
    np.testing.assert_array_equal(one.dose_c, other.dose_c)


def test_the_wet_limit_counts_in_wet_hours_only(
    hourly: Hourly, lay_out: LayOut, mild: Thresholds
) -> None:
    """6 °C at 04:00 is above the dry limit (5), below the wet one (8).

    Rain of 1 mm at noon leaves the pot wet until 11:00 of the next day, so the first night is
    wet and the second is not; under a roof neither is.
    """
    rain = np.zeros(48)
    rain[0] = 1.0
    record = hourly(at_night(2, {4: 6.0}), start=NOON, prcp_mm=rain)
    open_air = lacking_warmth(lay_out(record, roofed=False), mild)
    assert unsafe_nights(open_air)[JUNE : JUNE + 2].tolist() == [True, False]
    assert open_air.wet_c[JUNE] == pytest.approx(2.0, abs=1e-6)
    assert not unsafe_nights(lacking_warmth(lay_out(record), mild)).any()


def test_without_rain_data_every_night_is_wet(
    hourly: Hourly, lay_out: LayOut, mild: Thresholds
) -> None:
    record = hourly(at_night(2, {4: 6.0}), start=NOON)
    shortfall = lacking_warmth(lay_out(record, roofed=False), mild)
    assert unsafe_nights(shortfall)[JUNE : JUNE + 2].all()


def test_wet_hours_by_hand() -> None:
    """0.6 + 0.4 mm within 24 hours are 1 mm: wet from the second until the first is a day old."""
    rain = np.zeros(60)
    rain[3], rain[13] = 0.6, 0.4
    assert np.flatnonzero(wet_hours(rain, 60, roofed=False)).tolist() == list(range(13, 27))
    assert not wet_hours(rain, 60, roofed=True).any()
    assert wet_hours(None, 60, roofed=False).all()


def test_rain_that_was_not_read_is_not_dry() -> None:
    """One hour without a reading may have brought it: wet for the day after it."""
    rain = np.zeros(60)
    rain[10] = np.nan
    assert np.flatnonzero(wet_hours(rain, 60, roofed=False)).tolist() == list(range(10, 34))


def test_the_dose_by_hand(hourly: Hourly, lay_out: LayOut, mild: Thresholds) -> None:
    """5 hours at 11 °C a night: 5 °C·h below 12, 60 after twelve nights, 65 after thirteen.

    60 is tolerated, so the 13th night (13 June) is the first unsafe one, and so are all after it,
    for 14 nights hold 70. A base lower by 65 - 60 = 5 °C·h over 65 hours would do: 1/13 °C.
    """
    clock = dict.fromkeys((2, 3, 4, 5, 6), 11.0)
    shortfall = lacking_warmth(lay_out(hourly(at_night(20, clock), start=NOON)), mild)
    unsafe = unsafe_nights(shortfall)
    assert np.flatnonzero(unsafe).tolist() == list(range(JUNE + 12, JUNE + 20))
    assert shortfall.dose_c[JUNE + 12] == pytest.approx(1.0 / 13.0, abs=1e-6)


@pytest.mark.parametrize(("hot_hours", "days", "first"), [(6, 5, 3), (5, 9, None), (6, 3, None)])
def test_heat_counts_from_the_fourth_day_in_a_row(
    *,
    hourly: Hourly,
    lay_out: LayOut,
    mild: Thresholds,
    hot_hours: int,
    days: int,
    first: int | None,
) -> None:
    """Six hours above 30 °C for four days; hours at 30 °C do not count."""
    clock = dict.fromkeys(range(12, 12 + hot_hours), 30.1)
    clock[18] = 30.0
    hot = replace(mild, ceiling_c=30.0)
    nights = lay_out(hourly(at_night(days, clock), start=NOON))
    unsafe = unsafe_nights(lacking_warmth(nights, hot))
    expected = [] if first is None else list(range(JUNE + first, JUNE + days))
    assert np.flatnonzero(unsafe).tolist() == expected
    assert not unsafe_nights(lacking_warmth(nights, mild)).any()  # no ceiling, no heat


def test_a_cool_day_breaks_a_hot_run(hourly: Hourly, lay_out: LayOut, mild: Thresholds) -> None:
    hot_day, cool_day = at_night(1, dict.fromkeys(range(12, 18), 35.0)), at_night(1, {})
    record = hourly([*hot_day * 3, *cool_day, *hot_day * 3], start=NOON)
    shortfall = lacking_warmth(lay_out(record), replace(mild, ceiling_c=30.0))
    assert not unsafe_nights(shortfall).any()


def test_a_lost_day_does_not_break_a_hot_run(
    hourly: Hourly, lay_out: LayOut, mild: Thresholds
) -> None:
    """Hot, hot, lost, hot: the lost day is not taken for a cool one, or losing days would help."""
    hot_day = at_night(1, dict.fromkeys(range(12, 18), 35.0))
    record = hourly([*hot_day * 2, *[np.nan] * 24, *hot_day], start=NOON)
    shortfall = lacking_warmth(lay_out(record), replace(mild, ceiling_c=30.0))
    assert unsafe_nights(shortfall)[JUNE + 3]


def test_the_room_for_heat(hourly: Hourly, lay_out: LayOut, mild: Thresholds) -> None:
    """Four days with six hours at 33.0 °C stand 2 °C more below a ceiling of 35, not 2.1."""
    record = hourly(at_night(4, dict.fromkeys(range(12, 18), 33.0)), start=NOON)
    shortfall = lacking_warmth(lay_out(record), replace(mild, ceiling_c=35.0))
    assert shortfall.heat_room_c is not None
    assert shortfall.heat_room_c[JUNE + 3] == pytest.approx(2.0, abs=1e-6)


@pytest.mark.parametrize("clock", range(24))
def test_a_night_is_unknown_if_an_hour_from_18_to_09_is_missing(
    hourly: Hourly, lay_out: LayOut, clock: int
) -> None:
    """Three hours around the clock hour are missing, so that they are not filled."""
    values = np.array(at_night(3, {}))
    gap = 24 + (clock - 12) % 24
    values[gap - 1 : gap + 2] = np.nan
    nights = lay_out(hourly(values, start=NOON))
    missing = {(clock + step) % 24 for step in (-1, 0, 1)}
    of_a_night = {*range(18, 24), *range(10)}
    unknown = nights.unknown[JUNE : JUNE + 3]
    assert unknown.any() == bool(missing & of_a_night)
    assert nights.day_unknown[JUNE : JUNE + 3].any()


def test_gaps_of_two_hours_are_filled_for_nights(hourly: Hourly, lay_out: LayOut) -> None:
    values = np.array(at_night(3, {}))
    values[36:38] = np.nan
    nights = lay_out(hourly(values, start=NOON))
    assert not nights.unknown[JUNE : JUNE + 3].any()


def test_nights_outside_the_record_are_unknown(hourly: Hourly, lay_out: LayOut) -> None:
    nights = lay_out(hourly(at_night(3, {}), start=NOON))
    assert np.flatnonzero(~nights.unknown).tolist() == [JUNE, JUNE + 1, JUNE + 2]


def test_a_missing_hour_does_not_hide_the_cold_beside_it(
    hourly: Hourly, lay_out: LayOut, mild: Thresholds
) -> None:
    """An unknown night is unsafe all the same if one of its hours is below the limit."""
    values = np.array(at_night(1, {5: 3.0}))
    values[8:14] = np.nan  # 20:00 to 02:00
    nights = lay_out(hourly(values, start=NOON))
    assert nights.unknown[JUNE]
    assert unsafe_nights(lacking_warmth(nights, mild))[JUNE]


def test_29_february_makes_28_february_unsafe(
    hourly: Hourly, lay_out: LayOut, mild: Thresholds
) -> None:
    """A hard night on the 29th alone."""
    values = [*at_night(2, {}), *at_night(1, {4: 2.0}), *at_night(2, {})]
    nights = lay_out(hourly(values, start="2004-02-27T12"))
    unsafe = unsafe_nights(lacking_warmth(nights, mild))
    assert np.flatnonzero(unsafe).tolist() == [58]


def test_nights_seen_by_day_only_may_have_been_cold(
    hourly: Hourly, lay_out: LayOut, mild: Thresholds
) -> None:
    """A night without its hours may have fallen as far as the steepest night on record.

    Days at 20 °C fall to 10 °C at most: it may have held 18 - 10 = 8, which is below the chill base
    of 12. A night that is missing with its day hides nothing.
    """
    fall = at_night(1, {4: 10.0})
    by_day = np.array(at_night(1, {}, otherwise=18.0))
    by_day[6:22] = np.nan
    absent = np.full(24, np.nan)
    nights = lay_out(hourly([*fall, *by_day, *fall, *absent, *fall], start=NOON))
    hidden = hidden_nights(nights, mild)
    assert np.flatnonzero(hidden).tolist() == [JUNE + 1]
    assert nights.hidden_c[JUNE + 1] == pytest.approx(8.0)
    warm = replace(mild, limit_c=1.0, limit_wet_c=2.0, chill_base_c=8.0)
    assert not hidden_nights(nights, warm).any()


def test_how_far_the_worst_night_lies_beyond_far_below_the_limit(
    hourly: Hourly, lay_out: LayOut, mild: Thresholds
) -> None:
    """One night at 1.5 °C, 3.5 below the limit of 5: 0.5 beyond the three that bar all year."""
    values = [*at_night(2, {4: 6.0}), *at_night(1, {4: 1.5})]
    shortfall = lacking_warmth(lay_out(hourly(values, start=NOON)), mild)
    assert shortfall.far_below_c == pytest.approx(0.5, abs=1e-6)


def test_plant_years_are_cut_at_mid_winter_and_mid_summer(hourly: Hourly, lay_out: LayOut) -> None:
    """Coldest on 15 January in the north, on 16 July in the south.

    To a day or two, because the record is in tenths.
    """
    north = lay_out(hourly(years=4, mean_c=15.0, year_c=8.0, coldest=15))
    south = lay_out(hourly(years=4, mean_c=15.0, year_c=8.0, coldest=197))
    assert abs(north.winter - 14) <= 2
    assert north.summer == (north.winter + 182) % 365
    assert abs(south.winter - 196) <= 2


def test_near_the_equator_years_are_cut_at_new_year(hourly: Hourly, lay_out: LayOut) -> None:
    """An annual wave of 1.9 °C has no winter, one of 2.1 °C has."""
    assert lay_out(hourly(years=3, year_c=1.9, coldest=197)).winter == 0
    assert lay_out(hourly(years=3, year_c=1.9, coldest=197)).summer == 0
    assert lay_out(hourly(years=3, year_c=2.1, coldest=197)).winter > 150


@settings(max_examples=40)
@given(
    seed=st.integers(0, 2**32 - 1),
    warmer=st.integers(-60, 60).map(lambda tenth: tenth / 10.0),
    ceiling=st.sampled_from([None, 22.0]),
)
def test_a_warmer_spot_is_a_warmed_record(
    *,
    hourly: Hourly,
    lay_out: LayOut,
    mild: Thresholds,
    seed: int,
    warmer: float,
    ceiling: float | None,
) -> None:
    """What nights lack here, less the warming, is what they lack there, cold and heat."""
    limits = replace(mild, ceiling_c=ceiling)
    generator = np.random.default_rng(seed)
    temp_c = (14.0 + generator.normal(0.0, 4.0, 40 * 24)).round(1)
    here = lacking_warmth(lay_out(hourly(temp_c, start=NOON), roofed=False), limits)
    there = lacking_warmth(
        lay_out(hourly((temp_c + warmer).round(1), start=NOON), roofed=False), limits
    )
    np.testing.assert_allclose(here.hard_c - warmer, there.hard_c, atol=1e-6)
    np.testing.assert_allclose(here.dose_c - warmer, there.dose_c, atol=1e-6)
    assert here.far_below_c - warmer == pytest.approx(there.far_below_c, abs=1e-6)
    if ceiling is not None:
        assert here.heat_room_c is not None
        assert there.heat_room_c is not None
        np.testing.assert_allclose(here.heat_room_c - warmer, there.heat_room_c, atol=1e-6)


def test_the_record_is_left_alone(hourly: Hourly, lay_out: LayOut, mild: Thresholds) -> None:
    record = hourly(years=1, day_c=5.0, prcp_mm=np.full(8760, 0.1))
    before = record.temp_c.copy()
    nights = lay_out(record, roofed=False)
    copies = {name: getattr(nights, name).copy() for name in ("minimum_c", "unknown", "temp_c")}
    hidden_nights(nights, mild)
    unsafe_nights(lacking_warmth(nights, replace(mild, ceiling_c=30.0)))
    np.testing.assert_array_equal(record.temp_c, before)
    for name, copy in copies.items():
        np.testing.assert_array_equal(getattr(nights, name), copy)
