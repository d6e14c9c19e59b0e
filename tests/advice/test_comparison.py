"""Spots compared: their order, its reason, and whether the difference can be told."""

from __future__ import annotations

from typing import TYPE_CHECKING

import numpy as np
import pytest
from msgspec.structs import astuple, replace

from suitability import parallel
from suitability.advice.checking import check_groups
from suitability.advice.comparison import (
    Site,
    compare_sites,
    find_difference,
    key_of,
    order_of,
)
from suitability.advice.needs import judge_needs
from suitability.advice.preparing import lay_out
from suitability.advice.spot_years import ByYear, Interval, Years
from suitability.advice.terms import HeatWord, MonthlyHours, Verdict
from suitability.spots.spot import OPEN_AIR, ROOFED, End, Offset, Room, Spot
from suitability.weather.record import clip_record

from .conftest import GROUP, OPTIONS, PLACE

if TYPE_CHECKING:
    from suitability.advice.comparison import Comparison
    from suitability.weather.record import Record
    from tests.conftest import Hourly


@pytest.fixture(scope="module")
def mild(hourly: Hourly) -> Record:
    """Eleven years with a cold winter and some chance, so that years differ."""
    record = hourly(years=11, mean_c=15.0, year_c=6.0, day_c=4.0)
    chance = np.random.default_rng(7).normal(0.0, 1.5, record.temp_c.size // 24 + 1)
    temp_c = record.temp_c + np.repeat(chance, 24)[: record.temp_c.size]
    return replace(record, temp_c=temp_c.round(1))


def warmer(name: str, low: float, usual: float, high: float) -> Spot:
    offset = Offset(low=low, usual=usual, high=high)
    return replace(ROOFED, name=name, clear_night_c=offset, other_night_c=offset, day_c=offset)


def compare(record: Record, *spots: Spot, light: str | None = None) -> Comparison:
    site = Site(record=record, place=PLACE, spots=spots, options=OPTIONS)
    return compare_sites([site], [GROUP], {GROUP.key: light})


def test_rows_say_what_check_says(mild: Record) -> None:
    """Verdict, its marks, season, margin, hours, carried nights and ends are those of `check`."""
    spots = (OPEN_AIR, warmer("wall", 0.0, 1.0, 3.0))
    found = compare(mild, *spots)
    findings = check_groups(lay_out(mild, PLACE, spots, [GROUP], OPTIONS)).results
    for row, finding in zip(found.results, findings, strict=True):
        assert (row.spot, row.verdict) == (finding.spot, finding.verdict)
        assert (row.margin_c, row.spot_ends) == (finding.margin_c, finding.spot_ends)
        assert row.rest == finding.rest
        assert row.hours_below == finding.hours_below
        assert (row.season, row.carried_nights) == (finding.season, finding.carried_nights)
        assert (row.provisional, row.borderline) == (finding.provisional, finding.borderline)


def test_the_best_spot_of_a_plant_is_the_first_of_its_order(mild: Record) -> None:
    """Where the plant stands counts for nothing but the advice to move it."""
    plant = replace(GROUP, plants=("one", "other", "loose"), numbers=(1, 1, 1))
    cold, warm = warmer("cold", -2.0, -2.0, -2.0), warmer("warm", 2.0, 2.0, 2.0)
    site = Site(record=mild, place=PLACE, spots=(cold, warm), options=OPTIONS)
    spot_of = {"one": "cold", "other": "warm", "loose": None}
    found = compare_sites([site], [plant], {}, spot_of=spot_of)
    (placement,) = found.placements
    assert [spot.spot for spot in placement.best] == [order_of(found.results)[0].spot] == ["warm"]
    assert placement.against is not None
    assert placement.against.spot == "cold"
    assert placement.told_apart is True
    assert [one.well for one in placement.standing] == [False, True, None]
    assert [(row.spot, row.best, row.stand_here) for row in found.results] == [
        ("cold", False, ("one",)),
        ("warm", True, ("other",)),
    ]


def test_spots_that_cannot_be_told_apart_are_both_the_best(mild: Record) -> None:
    """A range of three degrees hides a tenth of a degree; a plant at either stands well."""
    plant = replace(GROUP, plants=("one",), numbers=(1,))
    spots = warmer("sheltered", 1.0, 2.1, 4.0), warmer("open", 1.0, 2.0, 4.0)
    site = Site(record=mild, place=PLACE, spots=spots, options=OPTIONS)
    (placement,) = compare_sites([site], [plant], {}, spot_of={"one": "open"}).placements
    assert {spot.spot for spot in placement.best} == {"sheltered", "open"}
    assert (placement.against, placement.told_apart) == (None, False)
    assert placement.standing[0].well is True


def test_rooms_are_chosen_among_themselves(mild: Record) -> None:
    """A warm room all year is no answer to where it stands best outdoors."""
    plant = replace(GROUP, plants=("out", "in"), numbers=(1, 1))
    den = Room(temp_c=20.0, glass_u_w_m2k=2.8, near_glass=Offset(low=0.0, usual=0.0, high=0.0))
    cold, warm = warmer("cold", -2.0, -2.0, -2.0), warmer("warm", 2.0, 2.0, 2.0)
    rooms = [
        Spot(name=name, roofed=True, room=replace(den, temp_c=temp_c))
        for name, temp_c in (("den", 20.0), ("cellar", 4.0))
    ]
    site = Site(record=mild, place=PLACE, spots=(*rooms, cold, warm), options=OPTIONS)
    found = compare_sites([site], [plant], {}, spot_of={"out": "warm", "in": "cellar"})
    (placement,) = found.placements
    assert [spot.spot for spot in placement.best] == ["warm"]
    assert [spot.spot for spot in placement.best_rooms] == ["den"]
    assert [one.well for one in placement.standing] == [True, False]
    assert [row.best for row in found.results] == [True, False, False, True]
    pairs = [(one.better.spot, one.other.spot) for one in found.differences]
    assert pairs == [("warm", "cold"), ("den", "cellar")]
    unfit = replace(site, spots=(rooms[1], cold, warm))
    (alone,) = compare_sites(
        [unfit], [plant], {}, spot_of={"out": "warm", "in": "cellar"}
    ).placements
    assert [one.well for one in alone.standing] == [True, False]  # no other room, but a better spot
    inside = replace(site, spots=tuple(rooms))
    (only,) = compare_sites([inside], [plant], {}, spot_of={"out": None, "in": "den"}).placements
    assert ([spot.spot for spot in only.best], only.best_rooms) == (["den"], ())


def test_a_group_has_no_placement(mild: Record) -> None:
    found = compare(mild, OPEN_AIR)
    assert (found.placements, found.results[0].best) == ((), None)


@pytest.mark.slow
def test_the_marks_of_a_verdict_are_those_of_check(hourly: Hourly) -> None:
    """Seven plant years: all provisional; by warming, some spot is borderline and some is not."""
    record = hourly(years=8, mean_c=15.0, year_c=6.0, day_c=4.0)
    spots = [warmer(f"by {step}", step, step, step) for step in range(-9, 10, 1)]
    found = compare(record, *spots)
    findings = check_groups(lay_out(record, PLACE, spots, [GROUP], OPTIONS)).results
    told = [(row.verdict, row.provisional, row.borderline) for row in found.results]
    assert told == [(one.verdict, one.provisional, one.borderline) for one in findings]
    assert [row.season for row in found.results] == [one.season for one in findings]
    assert all(row.provisional for row in found.results)
    assert {row.borderline for row in found.results} == {False, True}
    indoors = [row for row in found.results if row.verdict is Verdict.INDOOR]
    assert indoors
    assert all(row.season is None for row in indoors)


def test_spots_compared_by_copies_of_the_process_say_the_same(
    mild: Record, monkeypatch: pytest.MonkeyPatch
) -> None:
    """Three spots by two copies, and alone."""
    spots = (OPEN_AIR, ROOFED, warmer("wall", 0.0, 1.0, 3.0))
    monkeypatch.setattr(parallel, "workers", lambda: 2)
    shared = compare(mild, *spots)
    monkeypatch.setattr(parallel, "workers", lambda: 1)
    assert compare(mild, *spots) == shared


def test_the_warmer_spot_comes_first_and_a_sure_difference_is_told(mild: Record) -> None:
    """Two degrees, known exactly: fewer hours below the floor in every year."""
    found = compare(mild, ROOFED, warmer("wall", 2.0, 2.0, 2.0))
    (difference,) = found.differences
    assert (difference.better.spot, difference.other.spot) == ("wall", "roofed")
    assert difference.hours_below_difference is not None
    middle, low, high = astuple(difference.hours_below_difference)
    assert low < middle < high < 0.0
    assert difference.told_apart is True
    assert difference.years >= 9


def test_what_is_not_known_of_a_spot_widens_the_difference(mild: Record) -> None:
    """The same two degrees, but anywhere from -4 to +8: not to be told apart."""
    sure = (
        compare(mild, ROOFED, warmer("wall", 2.0, 2.0, 2.0)).differences[0].hours_below_difference
    )
    loose = compare(mild, ROOFED, warmer("wall", -4.0, 2.0, 8.0)).differences[0]
    assert sure is not None
    assert loose.hours_below_difference is not None
    assert loose.hours_below_difference.difference == pytest.approx(sure.difference)
    wide = loose.hours_below_difference
    assert wide.high - wide.low > 3.0 * (sure.high - sure.low)
    assert loose.told_apart is False


def test_a_spot_differs_from_itself_by_nothing(mild: Record) -> None:
    """Alike in all that is compared, and not told apart."""
    (difference,) = compare(mild, ROOFED, replace(ROOFED, name="twin")).differences
    assert difference.reason == "alike in all that is compared"
    assert difference.hours_below_difference == Interval(difference=0.0, low=0.0, high=0.0)
    assert difference.told_apart is False


def test_two_places_are_compared_and_other_years_are_not_paired(
    mild: Record, hourly: Hourly
) -> None:
    """The second place has a record twenty years later and is 3 °C colder: clear all the same."""
    later = hourly(years=11, start="2021-01-01T00", mean_c=12.0, year_c=6.0, day_c=4.0)
    sites = [
        Site(record=record, place=replace(PLACE, name=name), spots=(ROOFED,), options=OPTIONS)
        for record, name in ((later, "cold"), (mild, "mild"))
    ]
    found = compare_sites(sites, [GROUP], {})
    (difference,) = found.differences
    assert (difference.better.place, difference.other.place) == ("mild", "cold")
    assert difference.told_apart is True
    assert difference.years_shared == 0


def test_places_are_compared_by_the_years_that_both_know(mild: Record) -> None:
    """The coldest day of a record that lacks years is another; its plant years are the same."""
    later = clip_record(mild, mild.start_hour + 4 * 8766, mild.stop_hour)
    site = Site(record=mild, place=PLACE, spots=(ROOFED,), options=OPTIONS)
    sites = [site, replace(site, record=later, place=replace(PLACE, name="the same"))]
    found = compare_sites(sites, [GROUP], {})
    (difference,) = found.differences
    assert difference.years_shared == difference.years == 6
    for apart in (difference.season_days_difference, difference.unsafe_nights_difference):
        assert apart is not None
        assert abs(apart.difference) <= 1.0  # a year cut some days apart holds other nights
    assert difference.told_apart is not True
    first, second = (credit.period for credit in found.credits)
    assert first.start < second.start < second.end == first.end


def test_the_rest_of_a_hybrid_decides_no_order(mild: Record) -> None:
    """No name tells it, so no years are counted for it."""
    needs = replace(GROUP, rest_needed=True, rest_told=False)
    site = Site(record=mild, place=PLACE, spots=(ROOFED,), options=OPTIONS)
    (row,) = compare_sites([site], [needs], {}).results
    assert (row.rest.told, row.rest.met_years, row.rest.of_years) == (False, None, None)


def test_the_order_asks_verdict_then_days_then_rest_then_hours(mild: Record) -> None:
    """Made by hand from one row."""
    (row,) = compare(mild, ROOFED).results
    rest = replace(row.rest, needed=True, met_years=9, of_years=10)
    rows = [
        replace(row, spot="e", verdict=Verdict.INDOOR, season=None),
        replace(row, spot="d", rest=replace(rest, met_years=1)),
        replace(row, spot="c", rest=rest, hours_below=MonthlyHours(months=(None,) * 12, year=50.0)),
        replace(row, spot="b", rest=rest, hours_below=MonthlyHours(months=(None,) * 12, year=10.0)),
        replace(row, spot="a", verdict=Verdict.ALL_YEAR),
    ]
    assert [one.spot for one in order_of(rows)] == ["a", "b", "c", "d", "e"]


@pytest.mark.parametrize(
    ("spot_light", "group_light", "word"),
    [
        ("bright", "bright", "fits"),
        ("low", "medium", "darker"),
        ("very bright", "bright", "brighter"),
        (None, "bright", "not-said"),
        ("bright", None, "not-said"),
    ],
)
def test_light_of_spot_and_group(
    mild: Record, spot_light: str | None, group_light: str | None, word: str
) -> None:
    """A mismatch is told either way, and silence is not taken for a fit."""
    (row,) = compare(mild, replace(ROOFED, light=spot_light), light=group_light).results
    assert row.light == word


def test_heat_is_that_of_check(mild: Record) -> None:
    """Hours above the ceiling and what they do, on the days out and, of who has none, on all."""
    hot = replace(GROUP, ceiling_c=26.0)
    spots = tuple(warmer(f"by {step}", step, step, step) for step in (-8, 0, 3))
    site = Site(record=mild, place=PLACE, spots=spots, options=OPTIONS)
    laid_out = lay_out(mild, PLACE, spots, [hot], OPTIONS)
    rows = compare_sites([site], [hot], {}).results
    told = [(row.heat, row.heat_hours) for row in rows]
    heats = [year.heat for year in judge_needs(laid_out)]
    assert told == [(heat.word, heat.hours_mean) for heat in heats if heat is not None]
    assert [row.heat for row in rows] == [one.heat for one in check_groups(laid_out).results]
    assert {row.verdict for row in rows} == {Verdict.INDOOR, Verdict.SEASONAL}
    assert len({row.heat for row in rows}) > 1
    assert compare(mild, ROOFED).results[0].heat is None


def test_heat_tells_apart_what_cold_does_not(mild: Record) -> None:
    """Days eight degrees hotter, nights by none to three: damage tells what seasons do not."""
    plant = replace(GROUP, ceiling_c=26.0, plants=("one",), numbers=(1,))
    night = Offset(low=-3.0, usual=0.0, high=3.0)
    shady, glass = (
        replace(
            ROOFED,
            name=name,
            clear_night_c=night,
            other_night_c=night,
            day_c=Offset(low=by, usual=by, high=by),
        )
        for name, by in (("shady", 0.0), ("glass", 8.0))
    )
    twin = replace(shady, name="twin")
    spots = (glass, shady, twin)
    site = Site(record=mild, place=PLACE, spots=spots, options=OPTIONS)
    found = compare_sites([site], [plant], {}, spot_of={"one": "glass"})
    assert order_of(found.results)[0].spot == "glass"  # a warmer day counts where nothing else does
    assert [(row.spot, row.order) for row in found.results] == [
        ("glass", 3),
        ("shady", 1),
        ("twin", 2),
    ]
    (placement,) = found.placements
    assert [one.spot for one in placement.best] == ["shady", "twin"]
    assert (placement.decided_by, placement.told_apart) == ("heat", True)
    assert placement.reason == "heat: harm at times against damage to be expected"
    assert placement.standing[0].well is False
    last = found.differences[-1]
    assert (last.better.spot, last.other.spot, last.decided_by) == ("twin", "glass", "heat")
    assert last.heat_hours_difference is not None
    assert last.heat_hours_difference.high < 0.0


@pytest.mark.parametrize(
    ("mine", "others", "surely", "told"),
    [
        (HeatWord.AT_TIMES, HeatWord.EXPECT_DAMAGE, False, True),
        (HeatWord.LITTLE, HeatWord.AT_TIMES, False, True),
        (HeatWord.LITTLE, HeatWord.AT_TIMES, True, True),
        (HeatWord.EXPECT_DAMAGE, HeatWord.EXPECT_DAMAGE, True, True),
        (HeatWord.EXPECT_DAMAGE, HeatWord.EXPECT_DAMAGE, False, False),
        (HeatWord.LITTLE, HeatWord.LITTLE, True, False),
        (HeatWord.LITTLE, HeatWord.IF_DRY, True, False),
        (HeatWord.UNKNOWN, HeatWord.EXPECT_DAMAGE, True, False),
        (HeatWord.EXPECT_DAMAGE, HeatWord.AT_TIMES, True, False),
        (None, None, False, False),
    ],
)
def test_what_heat_tells_apart(
    mild: Record,
    mine: HeatWord | None,
    others: HeatWord | None,
    surely: bool,  # noqa: FBT001
    told: bool,  # noqa: FBT001
) -> None:
    """A milder class; of those that harm also fewer hours for certain; outdoors alone."""
    (row,) = compare(mild, ROOFED).results
    level = np.full(8, 100.0)
    one = Years(
        days=ByYear(first=2001, values=level),
        unsafe=ByYear(first=2001, values=level),
        hours=(ByYear(first=2001, values=level),) * 12,
        growing=np.ones(12, np.bool_),
        hot=ByYear(first=2001, values=level),
    )
    two = replace(one, hot=ByYear(first=2001, values=level + (50.0 if surely else 0.0)))
    first, second = replace(row, spot="a", heat=mine), replace(row, spot="b", heat=others)
    years = {key_of(first): {End.USUAL: one}, key_of(second): {End.USUAL: two}}
    found = find_difference(first, second, years)
    assert (found.decided_by == "heat", found.told_apart) == (told, told)
    inside, beside = (replace(each, indoors=True) for each in (first, second))
    assert find_difference(inside, beside, years).decided_by == "nothing"
    far = replace(second, place="far away")  # whose years may be others
    beyond = years | {key_of(far): {End.USUAL: two}}
    assert (find_difference(first, far, beyond).decided_by == "heat") == (told and surely)
    lower = replace(second, verdict=Verdict.INDOOR)
    assert find_difference(first, lower, years).decided_by == "verdict"


def test_heat_and_dose_are_counted_at_the_spot(mild: Record) -> None:
    """Ten degrees warmer: more hours above the ceiling, less cold."""
    hot = replace(GROUP, ceiling_c=26.0)
    site = Site(
        record=mild, place=PLACE, spots=(ROOFED, warmer("hot", 10, 10, 10)), options=OPTIONS
    )
    plain, heated = compare_sites([site], [hot], {}).results
    assert plain.heat_hours is not None
    assert heated.heat_hours is not None
    share = np.mean(mild.temp_c > 26.0)  # of eleven calendar years; the mean is of ten whole ones
    assert plain.heat_hours == pytest.approx(8766.0 * share, rel=0.05)
    assert heated.heat_hours > plain.heat_hours
    assert heated.worst_dose_c_h < plain.worst_dose_c_h
