"""What would protect a group: lifts, held minima, measures, energy and power cuts."""

from __future__ import annotations

from typing import TYPE_CHECKING

import numpy as np
import pytest
from msgspec.structs import replace

from suitability.advice.checking import check_groups
from suitability.advice.preparing import lay_out
from suitability.advice.protection import plan_protection
from suitability.advice.terms import Verdict
from suitability.answers.protection import protection_sheet
from suitability.output.terminal import render_terminal
from suitability.spots.heating import Loss
from suitability.spots.spot import OPEN_AIR, ROOFED, Heater, Offset, Spot
from suitability.units import TemperatureUnit

from .conftest import GROUP, OPTIONS, PLACE

if TYPE_CHECKING:
    from suitability.advice.protection import Protection
    from suitability.weather.record import Record
    from tests.conftest import Hourly

pytestmark = pytest.mark.slow


@pytest.fixture(scope="module")
def cool(hourly: Hourly) -> Record:
    """Eleven years with nights of 3 °C in winter: too cold for the group, whose limit is 5."""
    return hourly(years=11, mean_c=14.0, year_c=6.0, day_c=5.0)


def plan(record: Record, spot: Spot = ROOFED, **settings: object) -> Protection:
    return plan_protection(record, PLACE, spot, GROUP, OPTIONS, **settings)  # type: ignore[arg-type]  # numbers of the plan


def told(found: Protection) -> str:
    """The whole answer on one line."""
    text = render_terminal(protection_sheet(found, TemperatureUnit.C), width=80, colour=False)
    return " ".join(text.split())


def verdict_at(record: Record, spot: Spot) -> Verdict:
    return check_groups(lay_out(record, PLACE, [spot], [GROUP], OPTIONS)).results[0].verdict


def test_the_lift_is_the_least_that_gives_the_whole_year(cool: Record) -> None:
    """A spot lifted by it is judged "all year" by `check`; a tenth less is not."""
    lift = plan(cool).to_grow.lift_c
    assert lift is not None
    for more, wanted in ((0.0, True), (-0.1, False)):
        sure = Offset(low=lift + more, usual=lift + more, high=lift + more)
        spot = replace(ROOFED, clear_night_c=sure, other_night_c=sure, day_c=sure)
        assert (verdict_at(cool, spot) is Verdict.ALL_YEAR) is wanted


def test_the_held_minimum_is_the_least_that_gives_the_whole_year(cool: Record) -> None:
    """In half degrees, and never below what living alone takes."""
    found = plan(cool)
    held = found.to_grow.held_c
    assert held is not None
    assert found.to_live.held_c is not None
    assert found.to_live.held_c <= held
    assert verdict_at(cool, replace(ROOFED, held_minimum_c=held)) is Verdict.ALL_YEAR
    assert verdict_at(cool, replace(ROOFED, held_minimum_c=held - 0.5)) is not Verdict.ALL_YEAR


def test_energy_is_the_sum_of_what_every_hour_lacks(cool: Record) -> None:
    """Loss 10 W/K: watts for the coldest hour, 0.6 °C colder than read; kWh within those of years.

    A loss of 12 W/K on the safe side is a fifth more of everything.
    """
    loss = Loss(w_per_k=10.0, high_w_per_k=12.0)
    found = plan(cool, loss=loss, price=0.5)
    heating = found.heating
    assert heating is not None
    shortfall = np.maximum(heating.held_c - cool.temp_c, 0.0)
    assert heating.watts == pytest.approx(10.0 * (shortfall.max() + OPTIONS.minimum_allowance_c))
    assert heating.watts_high == pytest.approx(1.2 * heating.watts)
    assert heating.kwh_typical == pytest.approx(10.0 * shortfall.sum() / 1000.0 / 11.0, rel=0.05)
    assert heating.kwh_typical is not None
    assert heating.kwh_bad_year is not None
    assert heating.kwh_bad_year_high is not None
    assert heating.kwh_bad_year >= heating.kwh_typical
    assert heating.kwh_bad_year_high == pytest.approx(1.2 * heating.kwh_bad_year, abs=1e-3)
    assert heating.cost_typical == pytest.approx(heating.kwh_typical * 0.5, abs=1e-3)
    assert heating.cost_bad_year_high == pytest.approx(heating.kwh_bad_year_high * 0.5, abs=1e-3)
    assert plan(cool).heating is None  # nobody said what is lost


def test_everything_is_asked_at_the_colder_end_of_the_spot(cool: Record) -> None:
    """A spot that may be 2 °C colder needs 2 °C more warmth, and a heater for 2 °C more.

    By hand: 10 W/K for each degree between the held minimum and the coldest hour of the cold end.
    """
    some = Offset(low=-2.0, usual=0.0, high=1.0)
    ranged = replace(ROOFED, clear_night_c=some, other_night_c=some, day_c=some)
    found, plain = plan(cool, ranged, loss=Loss.whole(10.0)), plan(cool, loss=Loss.whole(10.0))
    assert found.to_live.lift_c is not None
    assert plain.to_live.lift_c is not None
    assert found.to_live.lift_c == pytest.approx(plain.to_live.lift_c + 2.0, abs=0.15)
    assert found.heating is not None
    assert plain.heating is not None
    assert found.heating.held_c == plain.heating.held_c  # what is held is held at either end
    assert found.heating.watts == pytest.approx(plain.heating.watts)
    assert found.heating.watts_high == pytest.approx(plain.heating.watts + 20.0)
    assert found.outage is not None
    assert found.outage.lowest_c == pytest.approx(float(np.nanmin(cool.temp_c)) - 2.0)


def test_nothing_is_needed_only_where_the_colder_end_needs_nothing(hourly: Hourly) -> None:
    """At 14 °C nothing harms; at 10, 48 °C·h below 12 a day are too many."""
    mild = hourly(np.full(12 * 8766, 14.0))
    some = Offset(low=-4.0, usual=0.0, high=0.0)
    spot = replace(ROOFED, clear_night_c=some, other_night_c=some, day_c=some)
    found = plan(mild, spot)
    assert (found.lives, found.lives_for_sure) == (True, False)
    assert found.to_live.held_c is not None
    assert plan(mild).lives_for_sure
    assert "At the spot's colder end it does not live" in told(found)


@pytest.mark.parametrize(("watts", "word"), [(100.0, "too weak"), (300.0, "enough")])
def test_the_heater_of_the_collection_is_held_against_what_is_needed(
    cool: Record, watts: float, word: str
) -> None:
    """Its own loss of 15 W/K is taken, and its watts judged; between the ends it is "perhaps"."""
    heater = Heater(watts=watts, loss_w_per_k=15.0)
    found = plan(cool, replace(ROOFED, heater=heater, held_minimum_c=8.0))
    assert found.heating is not None
    assert found.loss == Loss.whole(15.0)
    assert found.heating.heater == word
    between = Loss(w_per_k=15.0, high_w_per_k=30.0)
    given = replace(ROOFED, heater=replace(heater, watts=found.heating.watts), held_minimum_c=8.0)
    some = plan(cool, given, loss=between).heating
    assert some is not None
    assert some.heater == "perhaps"


def test_a_power_cut_without_lag_falls_to_the_coldest_hour_and_slower_with_one(
    cool: Record,
) -> None:
    """With 12 h of lag the spot stays warmer than with none."""
    plain, lagging = plan(cool).outage, plan(cool, replace(ROOFED, damping_hours=12.0)).outage
    assert plain is not None
    assert lagging is not None
    assert plain.lowest_c == pytest.approx(float(np.nanmin(cool.temp_c)))
    assert lagging.lowest_c > plain.lowest_c + 0.5


def test_a_power_cut_is_held_against_the_limit_in_force(cool: Record) -> None:
    """Where rain may reach the pot that is the wet limit, and the words say so."""
    for spot, limit_c, word in (
        (ROOFED, GROUP.limit_c, "dry limit"),
        (OPEN_AIR, GROUP.limit_wet_c, "wet limit"),
    ):
        found = plan(cool, spot)
        assert found.limit_c == limit_c
        assert found.outage is not None
        expected_c = max(0.0, limit_c - found.outage.lowest_c)
        assert found.outage.below_limit_c == pytest.approx(expected_c)
        assert word in told(found)


def test_measures_are_tried_and_a_roof_only_where_there_is_none(cool: Record) -> None:
    """Names say what; a spot under a roof is not offered another."""
    assert [measure.name for measure in plan(cool).measures] == ["fleece over the plants at night"]
    names = [measure.name for measure in plan(cool, OPEN_AIR).measures]
    assert names == ["a roof that keeps rain off", names[1], "fleece and a roof"]


def test_where_nothing_is_needed_nothing_is_held(hourly: Hourly) -> None:
    """A warm place: lift 0, no minimum, no heating."""
    warm = hourly(years=11, mean_c=24.0, year_c=2.0, day_c=2.0)
    found = plan(warm, loss=Loss.whole(10.0))
    assert (found.lives, found.verdict) == (True, Verdict.ALL_YEAR)
    assert (found.to_live.lift_c, found.to_live.held_c) == (0.0, None)
    assert (found.heating, found.outage) == (None, None)


def test_a_short_record_promises_nothing(hourly: Hourly) -> None:
    """Five years: no lift can make a promise for the whole year."""
    found = plan(hourly(years=5, mean_c=24.0, year_c=2.0, day_c=2.0))
    assert not found.lives
    assert (found.to_live.lift_c, found.to_live.held_c) == (None, None)


def test_a_group_that_lives_but_does_not_grow_is_told_of_both(hourly: Hourly) -> None:
    """Never below 14 °C, where nothing harms and nothing grows: with one goal open all is told."""
    found = plan(hourly(np.full(12 * 8766, 14.0)))
    assert found.lives
    assert found.verdict is not Verdict.ALL_YEAR
    assert (found.to_live.held_c, found.to_grow.held_c) == (None, 15.0)
    text = told(found)
    assert text.count("nothing is needed") == 1
    for word in ("Without electricity", "Say what the enclosure loses", "carbon monoxide"):
        assert word in text


def test_where_a_range_leaves_doubt_measures_are_still_told(hourly: Hourly) -> None:
    """At 16 °C it grows; in a spot that may take 4 °C away, perhaps not."""
    record = hourly(np.full(12 * 8766, 16.0))
    some = Offset(low=-4.0, usual=0.0, high=0.0)
    offered = []
    for spot in (ROOFED, replace(ROOFED, clear_night_c=some, other_night_c=some, day_c=some)):
        found = plan(record, spot)
        assert found.lives
        assert found.verdict is Verdict.ALL_YEAR
        offered.append("Without electricity" in told(found))
    assert offered == [False, True]


def test_enough_to_live_is_asked_at_the_colder_end(hourly: Hourly) -> None:
    """At 14 °C nothing harms; in a spot that may take 4 °C away, fleece of 1 °C is too little."""
    record = hourly(np.full(12 * 8766, 14.0))
    for low_c, lives in ((0.0, True), (-4.0, False)):
        some = Offset(low=low_c, usual=0.0, high=0.0)
        spot = replace(ROOFED, clear_night_c=some, other_night_c=some, day_c=some)
        found = plan(record, spot)
        assert found.lives  # as it usually is
        (fleece,) = found.measures
        assert fleece.lives is lives


def test_the_ends_of_a_measure_are_those_of_its_spot(hourly: Hourly) -> None:
    """At 16 °C it grows; where the spot may take 4 °C away, it does not at the colder end."""
    some = Offset(low=-4.0, usual=0.0, high=0.0)
    spot = replace(ROOFED, clear_night_c=some, other_night_c=some, day_c=some)
    (fleece,) = plan(hourly(np.full(12 * 8766, 16.0)), spot).measures
    assert fleece.verdict is fleece.spot_ends.high is Verdict.ALL_YEAR
    assert fleece.spot_ends.low is Verdict.INDOOR


def test_one_night_far_below_the_limit_forbids_what_most_years_would_allow(hourly: Hourly) -> None:
    """Half of new years are asked for, eleven of twelve are warm: one night of -10 °C bars it."""
    warm = np.full(12 * 8766, 20.0)
    cold = warm.copy()
    cold[6 * 8766 + 3 : 6 * 8766 + 5] = -10.0
    options = replace(OPTIONS, rules=replace(OPTIONS.rules, promise=0.5))
    found = [
        plan_protection(hourly(hours), PLACE, ROOFED, GROUP, options) for hours in (warm, cold)
    ]
    assert [one.lives for one in found] == [True, False]
    assert found[1].to_live.lift_c == pytest.approx(GROUP.limit_c - 3.0 + 10.0)
    (fleece,) = found[1].measures
    assert not fleece.lives
