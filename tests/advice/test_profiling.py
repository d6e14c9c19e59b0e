"""
Before buying: what fails first and when, ranges against hours, what would have to change.

Facts of the trade are common practice, no source; the records are described in
`tests/data/README.md`.
"""

from __future__ import annotations

from datetime import date
from typing import TYPE_CHECKING

import numpy as np
import pytest
from msgspec.structs import replace

from suitability.advice.checking import check_groups
from suitability.advice.plant_state import PlantState, Subject
from suitability.advice.preparing import CheckOptions, lay_out
from suitability.advice.profile import FailureCause
from suitability.advice.profiling import make_profiles, profile_needs
from suitability.advice.terms import Flowers, Survives, Verdict
from suitability.answers.profile import profile_rows
from suitability.groups import Caution, read_catalogue
from suitability.places import Place
from suitability.spots.spot import OPEN_AIR, ROOFED
from suitability.units import TemperatureUnit

from .conftest import OPTIONS, PLACE

if TYPE_CHECKING:
    from collections.abc import Callable

    from suitability.advice.profile import Profile
    from suitability.groups import Needs
    from suitability.spots.spot import Spot
    from suitability.weather.record import Record
    from tests.conftest import Hourly

    OpenExtract = Callable[[str], tuple[Record, Place]]

CATALOGUE = read_catalogue()
PHALAENANTHE = CATALOGUE.find("phalaenanthe")  # limits 5 and 8 °C, base 12 °C, dose 60 °C·h


def look(
    record: Record,
    subject: Subject | None = None,
    *,
    spot: Spot = ROOFED,
    place: Place = PLACE,
    options: CheckOptions = OPTIONS,
    label_c: tuple[float, float] | None = None,
) -> Profile:
    """The profile of one group or plant; rain kept off and no allowance unless said."""
    subject = subject or Subject(group=PHALAENANTHE)
    return make_profiles(
        lay_out(record, place, (spot,), (), options, also=profile_needs([subject])),
        spot,
        [subject],
        label_c=label_c,
    )[0]


# What fails first -----------------------------------------------------------------------------


def test_the_first_night_that_fails_by_hand(hourly: Hourly) -> None:
    """Twelve years at 18 °C, but 4 °C for an hour on 20 November and again on 5 January.

    4 °C is below the limit of 5. The first of them after mid-summer is 20 November, in eleven of
    the years that have one; in 2005 the hour comes on 1 November already.
    """
    record = hourly(None, years=12, mean_c=18.0, year_c=3.0)
    temp_c = record.temp_c.copy()
    for year in range(2001, 2013):
        for month, day in ((11, 1 if year == 2005 else 20), (1, 5)):
            at = (date(year, month, day) - date(2001, 1, 1)).days * 24 + 20
            temp_c[at] = 4.0
    failure = look(hourly(temp_c)).fails_first
    assert failure is not None
    assert failure.causes[0].cause == "hard-night"
    assert failure.usual_date == "11-20"
    assert failure.earliest_date == "11-01"
    assert failure.failing_years == failure.of_years == 13  # the first winter and the last tell too
    assert failure.spare_c is None


def test_cold_that_adds_up_is_named_before_any_night_is_hard(hourly: Hourly) -> None:
    """Winters that never go below 8 °C fail a roofed plant by dose alone."""
    failure = look(hourly(years=10, mean_c=14.0, year_c=5.0)).fails_first
    assert failure is not None
    assert [one.cause for one in failure.causes] == ["dose"]


def test_a_wet_pot_fails_first_where_rain_reaches_it(hourly: Hourly) -> None:
    """Warm winters with one hour of 7 °C in the rain each: below the wet limit of 8 only."""
    record = hourly(years=10, mean_c=20.0, year_c=3.0)
    temp_c, rain = record.temp_c.copy(), np.zeros(record.temp_c.size)
    for year in range(2001, 2011):
        at = (date(year, 12, 10) - date(2001, 1, 1)).days * 24 + 22
        temp_c[at], rain[at - 3] = 7.0, 5.0
    wet = hourly(temp_c, prcp_mm=rain)
    failure = look(wet, spot=OPEN_AIR).fails_first
    assert failure is not None
    assert [one.cause for one in failure.causes] == ["wet-cold"]
    assert failure.usual_date == "12-10"
    roofed = look(wet, spot=ROOFED)
    assert roofed.fails_first is not None
    assert roofed.fails_first.failing_years == 0
    assert look(wet, spot=OPEN_AIR).remedies is not None


def test_where_nothing_failed_it_says_what_was_left(hourly: Hourly) -> None:
    """Never below 14 °C: 3.8 °C colder the dose would be passed, long before the limit is.

    336 h at T add up to (12 - T) 336, which is 60 at 11.82: 14.0 - 11.8214 = 2.17, so 2.1 are left.
    """
    failure = look(hourly(np.full(10 * 8766, 14.0))).fails_first
    assert failure is not None
    assert failure.failing_years == 0
    assert failure.causes == ()
    assert failure.usual_date is None
    assert failure.spare_c == pytest.approx(2.1)


def test_heat_is_asked_of_the_groups_that_it_excludes(hourly: Hourly) -> None:
    """Masdevallia has a ceiling of 27 °C; the fourth hot day in a row comes on 4 July."""
    record = hourly(years=10, mean_c=15.0, year_c=3.0)
    temp_c = record.temp_c.copy()
    for year in range(2001, 2011):
        start = (date(year, 7, 1) - date(2001, 1, 1)).days * 24
        for day in range(6):
            temp_c[start + day * 24 + 12 : start + day * 24 + 20] = 29.0
    found = look(hourly(temp_c), Subject(group=CATALOGUE.find("masdevallia")))
    assert found.fails_in_heat is not None
    assert found.fails_in_heat.causes == (FailureCause(cause="heat", years=10),)
    assert found.fails_in_heat.usual_date == "07-04"
    assert look(hourly(temp_c)).fails_in_heat is None


# Ranges ---------------------------------------------------------------------------------------


def test_hours_outside_a_range_by_hand(hourly: Hourly) -> None:
    """Half of all hours at 8 °C and half at 40: 4,383 h each way of the year's 8,766.

    The label's own ends are within it: 8 to 40 leaves nothing out.
    """
    record = hourly(np.tile([8.0, 40.0], 6 * 4383))
    label, lives, grows = look(record, label_c=(10.0, 30.0)).ranges
    assert (label.kind, lives.kind, grows.kind) == ("label", "lives", "grows")
    assert label.hours_colder == pytest.approx(4383.0)
    assert label.hours_within == pytest.approx(0.0)
    assert label.hours_warmer == pytest.approx(4383.0)
    assert (lives.low_c, lives.high_c) == (5.0, 36.0)
    assert lives.hours_colder == pytest.approx(0.0)
    assert (grows.low_c, grows.high_c) == (15.0, 32.0)
    own = look(record, label_c=(8.0, 40.0)).ranges[0]
    assert own.hours_within == pytest.approx(8766.0)


def test_a_month_that_is_not_observed_leaves_the_hours_unknown(hourly: Hourly) -> None:
    for one in look(hourly(np.full(24 * 100, 15.0))).ranges:
        assert one.hours_colder is None
        assert one.hours_within is None


def test_nobile_lives_below_its_growth_floor_in_los_angeles(extract: OpenExtract) -> None:
    """Common practice, no source: over a thousand hours a year below it, and it flowers by them."""
    record, place = extract("los_angeles")
    found = look(record, Subject(group=CATALOGUE.find("nobile")), spot=OPEN_AIR, place=place)
    assert found.survives is Survives.ALL_YEAR
    assert found.flowers is Flowers.CAN
    grows = found.ranges[-1]
    assert grows.low_c == 13.0
    assert grows.hours_colder is not None
    assert grows.hours_colder > 1000.0


# What would have to change --------------------------------------------------------------------


def test_the_held_temperature_is_where_harm_ends(hourly: Hourly) -> None:
    """
    Held at `hold_c` for ten years nothing harms; held a tenth of a degree lower something does.

    Roofed: 12 - 60 / 336 = 11.82, rounded up to 11.9. Where rain reaches the pot an hour weighs
    1.5: 12 - 60 / 504 = 11.88, also 11.9.
    """
    for spot in (ROOFED, OPEN_AIR):
        remedies = look(hourly(np.full(10 * 8766, 9.0)), spot=spot).remedies
        assert remedies is not None
        assert remedies.hold_c == pytest.approx(11.9)
        assert remedies.hold_growing_c == pytest.approx(15.0)
        for held, fails in ((11.9, 0), (11.8, 10)):
            failure = look(hourly(np.full(10 * 8766, held)), spot=spot).fails_first
            assert failure is not None
            assert min(failure.failing_years, 10) == fails


def test_shelter_is_the_margin_and_what_it_gives(hourly: Hourly) -> None:
    """At its least warming the verdict rises, a tenth below it does not."""
    record = hourly(years=12, mean_c=16.0, year_c=6.0, day_c=4.0)
    found = look(record).remedies
    assert found is not None
    assert found.shelter_c is not None
    before = verdict_of(record)
    assert verdict_of(shifted(record, found.shelter_c)) is found.shelter_verdict
    assert found.shelter_verdict is not None
    assert found.shelter_verdict.rank > before.rank
    assert verdict_of(shifted(record, found.shelter_c - 0.1)) is before
    assert found.all_year_c is not None
    assert found.all_year_c >= found.shelter_c
    assert verdict_of(shifted(record, found.all_year_c)) is Verdict.ALL_YEAR


def test_a_cooler_spot_is_told_to_those_whom_heat_excludes(hourly: Hourly) -> None:
    """An even 28 °C is too hot for Masdevallia (27 °C): it needs as much less as the years ask."""
    masdevallia = CATALOGUE.find("masdevallia")
    record = hourly(np.full(10 * 8766, 28.0))
    found = look(record, Subject(group=masdevallia)).remedies
    assert found is not None
    assert found.cooling_c is not None
    assert found.cooling_c >= 1.0
    needs = masdevallia.needs()
    assert verdict_of(record, needs) is Verdict.INDOOR
    assert verdict_of(shifted(record, -found.cooling_c), needs) is found.cooling_verdict
    assert verdict_of(shifted(record, 0.1 - found.cooling_c), needs) is Verdict.INDOOR
    assert found.shelter_c is None
    other = look(record).remedies
    assert other is not None
    assert other.cooling_c is None


def test_a_roof_that_lets_the_rest_be_met_is_told(extract: OpenExtract) -> None:
    """
    At Porto Alegre winter rain spoils what nobile's rest needs dry; under a roof every year does.

    The rest with rain kept off is that of the same plants judged under a roof.
    """
    record, place = extract("porto_alegre")
    nobile = Subject(group=CATALOGUE.find("nobile"))
    wet = look(record, nobile, spot=OPEN_AIR, place=place)
    dry = look(record, nobile, spot=ROOFED, place=place)
    assert wet.remedies is not None
    assert wet.rest is not None
    assert dry.rest is not None
    roof = wet.remedies.roof_rest
    assert roof is not None
    assert (roof.rests, roof.flowers) == (dry.rests, dry.flowers)
    assert (roof.met_years, roof.partly_years) == (
        dry.rest.met_years,
        dry.rest.partly_years,
    )
    assert roof.met_years > 2 * wet.rest.met_years
    callista = look(record, Subject(group=CATALOGUE.find("callista")), spot=OPEN_AIR, place=place)
    assert callista.remedies is not None
    (kept_dry,) = check_groups(
        lay_out(record, place, (ROOFED,), [CATALOGUE.find("callista").needs()], OPTIONS)
    ).results
    assert callista.remedies.roof_season == kept_dry.season
    assert callista.remedies.roof_nearly_all_year is kept_dry.nearly_all_year is True
    told = dict(profile_rows(wet, TemperatureUnit.C))["Roof"]
    assert told == (
        f"with rain kept off: outdoor-all-year; its rest would be met in {roof.met_years} of "
        f"{roof.of_years} years instead of {wet.rest.met_years}, and nothing in it would "
        "stand against flowers"
    )


def test_a_roof_that_changes_nothing_for_the_rest_says_nothing_of_it(extract: OpenExtract) -> None:
    """Phalaenanthe has none that flowers hang on; who stays under a roof is offered none."""
    record, place = extract("porto_alegre")
    found = look(record, spot=OPEN_AIR, place=place)
    assert found.remedies is not None
    assert found.remedies.roof_verdict is not None
    assert found.remedies.roof_rest is None
    assert "rest" not in dict(profile_rows(found, TemperatureUnit.C))["Roof"]
    roofed = look(record, Subject(group=CATALOGUE.find("nobile")), spot=ROOFED, place=place)
    assert roofed.remedies is not None
    assert roofed.remedies.roof_rest is None


def verdict_of(record: Record, needs: Needs | None = None) -> Verdict:
    asked = [needs or PHALAENANTHE.needs()]
    return check_groups(lay_out(record, PLACE, (ROOFED,), asked, OPTIONS)).results[0].verdict


def shifted(record: Record, by_c: float) -> Record:
    return replace(record, temp_c=(record.temp_c + by_c).round(1))


# Caution and state ----------------------------------------------------------------------------


def test_verdicts_by_caution_are_those_of_a_check(extract: OpenExtract) -> None:
    """The same verdict and season as a check with that caution gives."""
    record, place = extract("los_angeles")
    found = look(record, spot=OPEN_AIR, place=place)
    assert [one.caution for one in found.by_caution] == ["low", "usual", "high"]
    for one in found.by_caution:
        needs = [PHALAENANTHE.needs(Caution(one.caution))]
        (finding,) = check_groups(lay_out(record, place, (OPEN_AIR,), needs, OPTIONS)).results
        assert (one.verdict, one.season) == (finding.verdict, finding.season)


def test_a_plant_in_its_first_winter_is_judged_tenderer(extract: OpenExtract) -> None:
    """Its season is that of a group with a chill base of 14 and a dry limit of 8 °C."""
    record, place = extract("los_angeles")
    young = look(
        record, Subject(group=PHALAENANTHE, state=PlantState(first_winter=True)), place=place
    )
    old = look(record, place=place)
    needs = replace(PHALAENANTHE.needs(), chill_base_c=14.0, limit_c=8.0)
    (finding,) = check_groups(lay_out(record, place, (ROOFED,), [needs], OPTIONS)).results
    assert young.by_caution[1].season == finding.season
    assert young.by_caution[1].season != old.by_caution[1].season
    assert {change.field for change in young.changes} == {"limit_c", "chill_base_c"}
    assert old.changes == ()
    assert old.first_winter is not None  # a group bought today is told beside the established one
    assert old.first_winter.season == finding.season != old.by_caution[1].season
    assert old.first_winter.verdict is finding.verdict
    assert young.first_winter is None


def test_a_first_winter_that_only_gaps_stand_against_says_so(extract: OpenExtract) -> None:
    """
    Manaus, never below 17.8 °C in twenty years: evenings that nobody read may have been cold.

    Los Angeles has nights too cold for it, whatever was not read.
    """
    spatulata = CATALOGUE.find("spatulata")
    for name, gaps in (("manaus", True), ("los_angeles", False)):
        record, place = extract(name)
        found = look(record, Subject(group=spatulata), spot=OPEN_AIR, place=place).first_winter
        assert found is not None
        assert found.verdict is Verdict.SEASONAL
        assert found.only_gaps is gaps


def test_buds_are_counted_on_the_days_out(hourly: Hourly) -> None:
    """Warm years with one night of 11 °C each July: one cold night, two jumps of more than 8 °C."""
    record = hourly(np.full(10 * 8766, 22.0))
    temp_c = record.temp_c.copy()
    for year in range(2001, 2011):
        at = (date(year, 7, 10) - date(2001, 1, 1)).days * 24 + 22
        temp_c[at] = 11.0
    found = look(hourly(temp_c), Subject(group=PHALAENANTHE, state=PlantState(in_bud=True)))
    assert found.buds is not None
    assert found.buds.cold_nights == pytest.approx(1.0)
    assert found.buds.jumps == pytest.approx(2.0)
    told = dict(profile_rows(found, TemperatureUnit.F))["Buds"]
    assert told.startswith("1 night a year out below its chill base, 2 over 14 °F")
    assert look(hourly(temp_c)).buds is None


def test_damage_that_the_group_would_have_stood_makes_a_plant_tenderer(hourly: Hourly) -> None:
    """A night of 6 °C, roofed: above the dry limit of 5, a dose of 6 °C·h. 1 °C for the first."""
    temp_c = np.full(10 * 8766, 20.0)
    at = (date(2005, 1, 10) - date(2001, 1, 1)).days * 24 + 22
    temp_c[at] = 6.0
    noted = ((date(2005, 1, 16), "leaves yellow"),)
    found = look(hourly(temp_c), Subject(group=PHALAENANTHE, damage=noted))
    (damage,) = found.damage
    assert (damage.lowest_c, damage.dose_c_h, damage.expected) == (6.0, 6.0, False)
    assert found.state.damage_c == 1.0
    assert {change.plant_c for change in found.changes} == {6.0, 9.0, 13.0}
    assert all(change.causes == ("damage",) for change in found.changes)


def test_an_evergreen_plant_recovers_once_and_weakens_with_each_repeat(hourly: Hourly) -> None:
    """Common practice, no source. Three nights of 4 °C, below the limit, each noted as damage."""
    temp_c = np.full(10 * 8766, 20.0)
    days = [date(2003, 1, 10), date(2005, 1, 10), date(2007, 1, 10)]
    for day in days:
        temp_c[(day - date(2001, 1, 1)).days * 24 + 22] = 4.0
    noted = tuple((day.replace(day=15), "leaves shed") for day in days)
    record = hourly(temp_c)
    once = look(record, Subject(group=PHALAENANTHE, damage=noted[:1], evergreen=True))
    assert once.damage[0].expected is True
    assert (once.state.damage_c, once.changes) == (0.0, ())
    thrice = look(record, Subject(group=PHALAENANTHE, damage=noted, evergreen=True))
    assert thrice.state.damage_c == 2.0
    sheds = look(record, Subject(group=PHALAENANTHE, damage=noted, evergreen=False))
    assert sheds.state.damage_c == 0.0


def test_damage_outside_the_record_is_said_to_be_unknown(hourly: Hourly) -> None:
    record = hourly(np.full(4 * 8766, 20.0))
    for day in (date(1990, 1, 1), date(2001, 1, 5), date(2031, 1, 1)):
        subject = Subject(group=PHALAENANTHE, damage=((day, "spots"),))
        (damage,) = look(record, subject).damage
        assert (damage.lowest_c, damage.expected) == (None, None)


def test_without_a_verdict_nothing_is_said_to_fail(hourly: Hourly) -> None:
    found = look(hourly(np.full(8766, 20.0)))
    assert (found.fails_first, found.fails_in_heat, found.remedies, found.by_caution) == (
        None,
        None,
        None,
        (),
    )
    assert found.survives is Survives.UNKNOWN
