"""A record at a spot: what is added, what is left alone, and what the range does to verdicts."""

from __future__ import annotations

from typing import TYPE_CHECKING

import numpy as np
import pytest
from hypothesis import given, settings
from hypothesis import strategies as st

from suitability.advice.checking import check_groups
from suitability.advice.preparing import lay_out, records_at_spots, with_humidity
from suitability.climate.days import daily_minimum
from suitability.spots.kinds import read_kinds
from suitability.spots.spot import OPEN_AIR, ROOFED, End, Heater, Offset, Room, Spot
from suitability.weather.record import Origin
from suitability.weather.sources.axis import relative_humidity

from .conftest import GROUP, OPTIONS, PLACE

if TYPE_CHECKING:
    from collections.abc import Callable

    from suitability.places import Place
    from suitability.weather.record import Record
    from tests.conftest import Hourly

    Extract = Callable[[str], tuple[Record, Place]]


def sure(number: float) -> Offset:
    return Offset(low=number, usual=number, high=number)


def at(record: Record, spot: Spot, end: End = End.USUAL) -> Record:
    return records_at_spots(record, PLACE, [spot], end)[0]


def test_the_open_air_and_a_roof_leave_the_record_alone(hourly: Hourly) -> None:
    """The very same arrays: not a bit of a result can change."""
    record = hourly(years=1, day_c=5.0)
    for spot in (OPEN_AIR, ROOFED, Spot(name="bed", light="bright", note="mine")):
        assert at(record, spot) is record


def test_minima_and_maxima_are_shifted_by_their_offsets(extract: Extract) -> None:
    """
    A real year: night minima fall by 2 where clear and calm and by 0.5 elsewhere, maxima rise.

    Minima of whole nights that fall between 20:00 and 8:00 solar time are shifted exactly, to the
    tenth in which hours at a spot are kept.
    """
    record, place = extract("lansing")
    spot = Spot(name="a", clear_night_c=sure(-2), other_night_c=sure(-0.5), day_c=sure(3))
    (found,) = records_at_spots(record, place, [spot])
    start = record.start_hour + round(place.utc_offset_hours)
    _, outside = daily_minimum(record.temp_c, start)
    _, inside = daily_minimum(found.temp_c, start)
    change = (inside - outside)[~np.isnan(outside)]
    assert np.isin(change.round(1), [-2.0, -0.5]).mean() > 0.9
    assert 0.3 < (change.round(1) == -2.0).mean() < 0.7
    _, outside = daily_minimum(-record.temp_c, start)
    _, inside = daily_minimum(-found.temp_c, start)
    assert np.nanmedian(outside - inside).round(1) == 3.0


def test_hours_stay_as_observed_as_they_were(hourly: Hourly) -> None:
    """A filled hour is filled at the spot too, and is not counted; a gap stays a gap."""
    temp_c = np.full(240, 10.0)
    temp_c[50], temp_c[100:110] = np.nan, np.nan
    found = at(hourly(temp_c), Spot(name="a", day_c=sure(1), clear_night_c=sure(1)))
    assert found.origin[50] == Origin.FILLED
    assert not found.counted[[50, *range(100, 110)]].any()
    assert np.isnan(found.temp_c[100:110]).all()


def test_hours_that_lean_on_what_was_not_observed_are_unknown(hourly: Hourly) -> None:
    """Damped by 2 h: six hours after the start and after each gap."""
    temp_c = np.full(240, 10.0)
    temp_c[100:110] = np.nan
    found = at(hourly(temp_c), Spot(name="a", damping_hours=2.0))
    assert np.flatnonzero(np.isnan(found.temp_c)).tolist() == [*range(6), *range(100, 116)]


def test_what_is_held_is_held_after_the_offsets(hourly: Hourly) -> None:
    """0 outside, 2 colder, held at 3 by a heater that lifts by 4: 2 °C."""
    spot = Spot(
        name="a",
        clear_night_c=sure(-2),
        other_night_c=sure(-2),
        day_c=sure(-2),
        held_minimum_c=3.0,
        heater=Heater(watts=400, loss_w_per_k=100),
    )
    assert set(at(hourly(np.zeros(48)), spot).temp_c.tolist()) == {2.0}


def test_a_sill_is_colder_at_its_low_end(hourly: Hourly) -> None:
    """Room 20, outside 0, U 2.8: pane 12.72; halfway 16.4, at 0.65 of the way 15.3, at 0.4 17.1."""
    near = Offset(low=0.4, usual=0.5, high=0.65)
    sill = Spot(name="a", roofed=True, room=Room(temp_c=20, glass_u_w_m2k=2.8, near_glass=near))
    found = [at(hourly(np.zeros(24)), sill, end).temp_c[0] for end in End]
    assert found == [15.3, 16.4, 17.1]


def test_humidity_follows_the_temperature(hourly: Hourly) -> None:
    """The dew point stays: 80 % at 10 °C is what air of that dew point has at 20 °C."""
    from msgspec.structs import replace

    record = replace(hourly(np.full(24, 10.0)), rhum_pct=np.full(24, 80.0))
    spot = Spot(name="a", clear_night_c=sure(10), other_night_c=sure(10), day_c=sure(10))
    found = with_humidity(record, at(record, spot))
    assert found.rhum_pct is not None
    dew_point_c = np.array([6.71])  # of 10 °C and 80 %, psychrometric tables, to 0.1
    wanted = relative_humidity(np.array([20.0]), dew_point_c)
    np.testing.assert_allclose(found.rhum_pct, wanted.item(), atol=0.5)


@settings(max_examples=20, deadline=None)
@given(warmer=st.integers(0, 50), colder=st.integers(0, 50))
def test_a_warmer_spot_never_has_more_hours_below(hourly: Hourly, warmer: int, colder: int) -> None:
    """Whatever its offsets in tenths."""
    record = hourly(years=1, year_c=8.0, day_c=5.0)

    def hours_of(tenths: int) -> int:
        offset = sure(tenths / 10.0)
        spot = Spot(name="a", clear_night_c=offset, other_night_c=offset, day_c=sure(0.0))
        return int((at(record, spot).temp_c < 13.0).sum())

    assert hours_of(warmer) <= hours_of(0) <= hours_of(-colder)


def test_a_constant_offset_is_a_constant_added_to_the_record(hourly: Hourly) -> None:
    """Counts, verdict, seasons and all: only names of spot and record differ."""
    from msgspec.structs import replace

    record = hourly(years=11, mean_c=13.0, year_c=7.0, day_c=5.0)
    spot = Spot(name="a", clear_night_c=sure(2), other_night_c=sure(2), day_c=sure(2))
    warmed = replace(record, temp_c=(record.temp_c + 2.0).round(1))
    (shifted,) = check_groups(lay_out(record, PLACE, [spot], [GROUP], OPTIONS)).results
    (plain,) = check_groups(lay_out(warmed, PLACE, [Spot(name="a")], [GROUP], OPTIONS)).results
    assert shifted == plain


def test_the_verdict_is_also_told_at_both_ends_of_the_range(hourly: Hourly) -> None:
    """A spot that may add from -8 to +8: indoors at one end, all year at the other.

    A spot whose numbers are sure has no ends.
    """
    record = hourly(years=11, mean_c=17.0, year_c=4.0, day_c=4.0)
    wide = Offset(low=-8.0, usual=0.0, high=8.0)
    spots = [
        Spot(name="wide", clear_night_c=wide, other_night_c=wide, day_c=wide),
        Spot(name="sure", clear_night_c=sure(1)),
    ]
    first, second = check_groups(lay_out(record, PLACE, spots, [GROUP], OPTIONS)).results
    assert first.spot_ends is not None
    assert (first.spot_ends.low.value, first.spot_ends.high.value) == (
        "indoor-only",
        "outdoor-all-year",
    )
    assert second.spot_ends is None


@pytest.mark.parametrize("key", ["frost-hollow", "open-porch", "closed-greenhouse", "room"])
def test_ready_kinds_order_as_a_grower_would(extract: Extract, key: str) -> None:
    """Los Angeles: a hollow is colder at night than the open, porch and glasshouse warmer."""
    record, place = extract("los_angeles")
    spots = [OPEN_AIR, read_kinds().by_key[key].spot]
    open_air, there = check_groups(lay_out(record, place, spots, [GROUP], OPTIONS)).results
    coldest = [
        sum(hours or 0.0 for hours in found.degree_hours_below) for found in (open_air, there)
    ]
    assert (coldest[1] > coldest[0]) is (key == "frost-hollow")
