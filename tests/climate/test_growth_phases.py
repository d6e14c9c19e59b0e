"""When plants grow, slow down, rest and wake: each rule on nights that can be counted by hand."""

from __future__ import annotations

from typing import TYPE_CHECKING

import numpy as np
import pytest
from hypothesis import given, settings
from hypothesis import strategies as st
from msgspec.structs import replace

from suitability.climate.days import DAYS
from suitability.climate.growth_phases import (
    Phase,
    PhaseDates,
    RestBand,
    absorb_short,
    indoor_dates,
    lay_phases,
    outdoor_dates,
    usual_dates,
    without_winter,
)
from suitability.climate.night_years import NightYears
from suitability.climate.sun import ShortDays

if TYPE_CHECKING:
    from numpy.typing import NDArray

LIGHT = ShortDays(under_even=90, under_short=120, longer=220, over_short=245, over_even=275)
COLDEST = 180
GROWING, SLOWING, RESTING, WAKING = Phase


def straight(warmest_c: float, coldest_c: float, rows: int = 1) -> NightYears:
    """Nights that fall in a straight line to day 180 and rise in another to the end."""
    fall = np.linspace(warmest_c, coldest_c, COLDEST, endpoint=False)
    rise = np.linspace(coldest_c, warmest_c, DAYS - COLDEST)
    nights = np.tile(np.concatenate([fall, rise]), (rows, 1))
    return NightYears(minimum_c=nights, coldest=COLDEST, coldest_c=coldest_c)


def dates(found: PhaseDates) -> tuple[int, int, int, int]:
    """Slow, rest, wake and grow of the first year."""
    return tuple(int(days[0]) for days in (found.slow, found.rest, found.wake, found.grow))  # type: ignore[return-value]  # four


def test_without_a_rest_it_slows_while_nights_are_below_the_floor() -> None:
    """24 to 6 °C in 180 days, 0.1 a day: below 15 from day 91, back at 15 on day 180 + 92."""
    found = outdoor_dates(straight(24.0, 6.0), 15.0, None, LIGHT)
    slow, rest, wake, grow = dates(found)
    assert slow == 91
    assert rest == wake == grow == 272
    assert found.happens(SLOWING).tolist() == [True]
    assert found.happens(RESTING).tolist() == [False]


def test_a_rest_begins_with_nights_in_the_band_and_short_days() -> None:
    """
    Band up to 13 °C, floor 11: in the band after day 110, days short from 120, so 120.

    It slows four weeks before, at day 92: later than the even day (90) and 16 °C (80) ask. It wakes
    when the day is longer (220), for nights rose by 1 °C by day 190; and grows at 11 °C, day 231,
    but not before four weeks of waking: 248.
    """
    found = outdoor_dates(straight(24.0, 6.0), 11.0, RestBand(high_c=13.0, nights=21.0), LIGHT)
    assert dates(found) == (90, 120, 220, 248)


def test_a_rest_needs_cool_nights_even_when_days_are_short() -> None:
    """Band up to 8 °C: day 161 is the first at it or below."""
    found = outdoor_dates(straight(24.0, 6.0), 11.0, RestBand(high_c=8.0, nights=21.0), LIGHT)
    slow, rest, _, _ = dates(found)
    assert rest == 160  # 24 - 0.1 x 160 = 8.0: a night at the band's end counts
    assert slow == 130  # 11.0 °C, 3 above the band


def test_nights_below_the_floor_begin_it_before_days_are_short() -> None:
    """Floor 14 (day 101), band up to 15 (day 90), even day 90: the rest begins on day 101."""
    found = outdoor_dates(straight(24.0, 6.0), 14.0, RestBand(high_c=15.0, nights=21.0), LIGHT)
    assert dates(found)[1] == 101


def test_a_cool_summer_is_no_rest() -> None:
    """Never above the band: it begins with the short days all the same, and growth stands still."""
    found = outdoor_dates(straight(12.0, 6.0), 11.0, RestBand(high_c=15.0, nights=21.0), LIGHT)
    slow, rest, _, _ = dates(found)
    assert slow == 31  # 12 - 31 / 30 < 11
    assert rest == 90  # below the floor, and not before the even day


def test_waking_waits_for_a_rest_that_is_not_met_yet() -> None:
    """Met on day 235 of one year, not at all in the other, which the season wakes."""
    rest = RestBand(high_c=13.0, nights=21.0)
    found = outdoor_dates(straight(24.0, 6.0, 2), 11.0, rest, LIGHT, np.array([235.0, np.nan]))
    assert found.wake.tolist() == [235, 220]


def test_nights_above_the_band_end_a_rest_whatever_the_light() -> None:
    """13 °C is passed on day 180 + 72, long before a rest met on day 300."""
    rest = RestBand(high_c=13.0, nights=21.0)
    found = outdoor_dates(straight(24.0, 6.0), 11.0, rest, LIGHT, np.array([300.0]))
    assert found.wake[0] == pytest.approx(180 + 72, abs=1)


def test_a_winter_that_never_reaches_the_band_brings_no_rest() -> None:
    """24 to 16 °C, band up to 15: it grows all year, and nothing happens."""
    found = outdoor_dates(straight(24.0, 16.0), 13.0, RestBand(high_c=15.0, nights=21.0), LIGHT)
    for phase in Phase:
        assert found.happens(phase).tolist() == [False]
    assert set(lay_phases(found, 200).tolist()) == {int(GROWING)}


def test_a_place_that_is_always_below_the_floor_never_grows() -> None:
    """10 to 2 °C, floor 15."""
    found = outdoor_dates(straight(10.0, 2.0), 15.0, None, LIGHT)
    assert set(lay_phases(found, 0).tolist()) == {int(SLOWING)}


def test_without_light_marks_the_nights_alone_decide() -> None:
    """Near the equator with a winter: from 11 °C down, back when nights rose by 1 °C."""
    found = outdoor_dates(
        straight(24.0, 6.0), 11.0, RestBand(high_c=13.0, nights=21.0), ShortDays()
    )
    _, rest, wake, _ = dates(found)
    assert rest == 131
    assert wake == pytest.approx(180 + 11, abs=1)


@settings(max_examples=60, deadline=None)
@given(
    st.floats(5.0, 30.0),
    st.floats(-5.0, 25.0),
    st.floats(4.0, 18.0),
    st.one_of(st.none(), st.floats(4.0, 18.0)),
    st.integers(0, 2**32 - 1),
)
def test_dates_are_in_order_in_every_year(
    warmest_c: float, coldest_c: float, floor_c: float, band_c: float | None, seed: int
) -> None:
    """Whatever the weather: slow, rest, wake, grow, within the year; so are the usual ones."""
    years = straight(warmest_c, min(coldest_c, warmest_c), 5)
    noise = np.random.default_rng(seed).normal(0.0, 4.0, years.minimum_c.shape)
    years = replace(years, minimum_c=years.minimum_c + noise)
    rest = None if band_c is None else RestBand(high_c=band_c, nights=21.0)
    found = outdoor_dates(years, floor_c, rest, LIGHT)
    for one in (found, usual_dates(found)):
        in_order = np.stack([one.slow, one.rest, one.wake, one.grow])
        assert (np.diff(in_order, axis=0) >= 0).all()
        assert in_order.min() >= 0
        assert in_order.max() <= DAYS


@settings(max_examples=60, deadline=None)
@given(st.floats(5.0, 30.0), st.floats(-5.0, 25.0), st.floats(0.0, 8.0), st.integers(0, 2**32 - 1))
def test_a_warmer_spot_never_grows_for_fewer_days_without_a_rest(
    warmest_c: float, coldest_c: float, warmer_c: float, seed: int
) -> None:
    """Each year, and the usual one."""
    years = straight(warmest_c, min(coldest_c, warmest_c), 5)
    noise = np.random.default_rng(seed).normal(0.0, 4.0, years.minimum_c.shape)
    cold, warm = (
        outdoor_dates(replace(years, minimum_c=years.minimum_c + noise + more), 13.0, None, LIGHT)
        for more in (0.0, warmer_c)
    )
    assert ((warm.grow - warm.slow) <= (cold.grow - cold.slow)).all()
    days = [int((lay_phases(usual_dates(one), 200) == GROWING).sum()) for one in (cold, warm)]
    assert days[0] <= days[1]


def test_indoors_light_alone_decides() -> None:
    """With a rest of 21 nights all marks of the light; without one only the short days."""
    resting = indoor_dates(RestBand(high_c=15.0, nights=21.0), LIGHT)
    assert dates(resting) == (90, 120, 220, 275)
    assert dates(indoor_dates(None, LIGHT)) == (120, 245, 245, 245)


def test_a_long_rest_indoors_outlasts_the_short_days() -> None:
    """120 nights from day 120: day 240; growing at the even day, four weeks on at the earliest."""
    long = indoor_dates(RestBand(high_c=15.0, nights=120.0), LIGHT)
    assert dates(long)[2:] == (240, 275)
    longer = indoor_dates(RestBand(high_c=15.0, nights=140.0), LIGHT)
    assert dates(longer)[2:] == (260, 288)


def test_indoors_near_the_equator_nothing_changes() -> None:
    """No short days, no dates."""
    for rest in (None, RestBand(high_c=15.0, nights=21.0)):
        found = lay_phases(indoor_dates(rest, ShortDays()), 100)
        assert set(found.tolist()) == {int(GROWING)}


def test_phases_are_laid_on_the_calendar_from_mid_summer() -> None:
    """Mid-summer on day 200: slowing from day 290, resting 320, waking 55 and growing 83."""
    laid = lay_phases(
        PhaseDates(
            slow=np.array([90]), rest=np.array([120]), wake=np.array([220]), grow=np.array([248])
        ),
        200,
    )
    assert [int(laid[day]) for day in (289, 290, 319, 320, 54, 55, 82, 83)] == [
        GROWING, SLOWING, SLOWING, RESTING, RESTING, WAKING, WAKING, GROWING,
    ]  # fmt: skip


def test_the_usual_year_is_the_median() -> None:
    """Of 10, 30 and 20 the date is 20."""
    same = np.array([300, 300, 300])
    usual = usual_dates(PhaseDates(slow=np.array([10, 30, 20]), rest=same, wake=same, grow=same))
    assert dates(usual) == (20, 300, 300, 300)


def test_without_a_winter_mean_nights_decide() -> None:
    """A night at the floor is one of growth."""
    nights = np.full(DAYS, 15.0)
    nights[100:140] = 14.9
    found = without_winter(nights, 15.0)
    assert (found == SLOWING).sum() == 40


def ring(*runs: tuple[Phase, int]) -> NDArray[np.int64]:
    """Phases of a year from runs; the last one fills it."""
    laid = np.concatenate([np.full(days, int(phase)) for phase, days in runs])
    return np.concatenate([laid, np.full(DAYS - laid.size, laid[-1])])


def test_a_short_stretch_is_given_to_the_one_before_it() -> None:
    """Thirteen days are absorbed, fourteen are not; across New Year too."""
    short = ring((GROWING, 100), (SLOWING, 13), (RESTING, 252))
    assert (absorb_short(short) == ring((GROWING, 113), (RESTING, 252))).all()
    enough = ring((GROWING, 100), (SLOWING, 14), (RESTING, 251))
    assert (absorb_short(enough) == enough).all()
    around = np.roll(short, -105)
    assert (absorb_short(around) == np.roll(ring((GROWING, 113), (RESTING, 252)), -105)).all()


def test_a_waking_after_growing_is_a_slowing() -> None:
    """It grew indoors, and meets colder nights outdoors."""
    moved = ring((GROWING, 60), (WAKING, 40), (GROWING, 100), (RESTING, 165))
    expected = ring((GROWING, 60), (SLOWING, 40), (GROWING, 100), (RESTING, 165))
    assert (absorb_short(moved) == expected).all()
    assert (moved[60:100] == WAKING).all()  # what came in is not altered


def test_a_year_of_one_phase_stays() -> None:
    """Nothing to absorb."""
    whole = np.full(DAYS, int(GROWING))
    assert (absorb_short(whole) == whole).all()
