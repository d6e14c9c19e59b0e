"""
Whether a group survives, grows, rests and flowers: words from numbers, and facts on real records.

The facts of the trade are common practice, no source; the records are described in
`tests/data/README.md`.
"""

from __future__ import annotations

from functools import cache
from typing import TYPE_CHECKING, Any

import numpy as np
import pytest
from msgspec.structs import replace

from suitability.advice import verdicts
from suitability.advice.cases import Rules
from suitability.advice.checking import check_groups
from suitability.advice.needs import judge_needs
from suitability.advice.preparing import CheckOptions, build_cases, lay_out, lay_out_spots
from suitability.advice.resting import days_out, find_room, need_in_a_room
from suitability.advice.terms import (
    Flowers,
    Grows,
    HeatWord,
    Missing,
    Rain,
    Rests,
    Survives,
    Verdict,
)
from suitability.groups import read_catalogue
from suitability.spots.spot import OPEN_AIR, ROOFED
from suitability.weather.sampling import ToldBy, find_allowance

if TYPE_CHECKING:
    from collections.abc import Callable

    from suitability.advice.plant_year import PlantYear
    from suitability.groups.group import Needs
    from suitability.places import Place
    from suitability.weather.record import Record
    from tests.advice.conftest import Group
    from tests.conftest import Hourly

    OpenExtract = Callable[[str], tuple[Record, Place]]
    Years = Callable[[str], dict[tuple[str, str], PlantYear]]

OPTIONS = CheckOptions(rules=Rules())
CATALOGUE = [group.needs() for group in read_catalogue().groups]
RESTING: dict[str, Any] = {
    "rest_needed": True,
    "rest_low_c": 5.0,
    "rest_high_c": 15.0,
    "rest_nights": 21.0,
}
COOL: dict[str, Any] = {
    "limit_c": -5.0,
    "limit_wet_c": -5.0,
    "chill_base_c": 0.0,
    "floor_c": 8.0,
}  # a plant that stands the invented winters


@pytest.fixture(scope="module")
def years(extract: OpenExtract) -> Years:
    """Plant years of the whole catalogue at a place, open and roofed, by spot and group."""

    @cache
    def look(name: str) -> dict[tuple[str, str], PlantYear]:
        found = judge_needs(lay_out(*extract(name), (OPEN_AIR, ROOFED), CATALOGUE, OPTIONS))
        return {(year.spot, year.group): year for year in found}

    return look


@pytest.fixture
def judge() -> Callable[..., PlantYear]:
    """Plant year of one group on an invented record."""

    def find(record: Record, needs: Needs, **more: Any) -> PlantYear:
        from tests.advice.conftest import PLACE

        spot = more.pop("spot", ROOFED)
        return judge_needs(lay_out(record, PLACE, (spot,), [needs], OPTIONS), **more)[0]

    return find


# Facts of the trade on real records -------------------------------------------------------------


def test_nobile_rests_in_nearly_every_year_in_los_angeles(years: Years) -> None:
    """Common practice, no source: cool dry winters, out all year."""
    for spot in ("open-air", "roofed"):
        year = years("los_angeles")[spot, "nobile"]
        assert year.rest is not None
        assert year.rest.of_years == 9
        assert year.rest.met_years >= 8
        assert (year.survives, year.grows) == (Survives.ALL_YEAR, Grows.ALL_YEAR)
        assert (year.rests, year.flowers) == (Rests.MET, Flowers.CAN)
        assert year.rest.usual_date is not None
        assert "11-15" < year.rest.usual_date < "12-31"
    assert years("los_angeles")["open-air", "nobile"].rest is not None
    open_air = years("los_angeles")["open-air", "nobile"].rest
    assert open_air is not None
    assert open_air.rain is Rain.NOT_KNOWN


def test_callista_under_a_roof_in_los_angeles(years: Years, extract: OpenExtract) -> None:
    """
    Common practice, no source: dry, at least 7 of 9 years free; rest at least partly met.

    With the allowance that the record's own readings tell (0.3 °C), as `check` takes it.
    """
    callista = [needs for needs in CATALOGUE if needs.key == "callista"]
    record, place = extract("los_angeles")
    allowance_c, told_by = find_allowance(record, None)
    assert told_by is ToldBy.READINGS
    options = replace(OPTIONS, minimum_allowance_c=allowance_c)
    (nights,) = lay_out_spots(record, place, (ROOFED,), callista, options)
    (case,) = build_cases(nights, callista, options.rules)
    usable = case.observed.summer_usable
    assert usable.sum() == 9
    assert (case.yearly_shortfall[usable] <= 0.0).sum() >= 7
    rest = years("los_angeles")["roofed", "callista"].rest
    assert rest is not None
    assert rest.of_years == 9
    assert rest.met_years + rest.partly_years > 4.5


def test_nobile_must_come_in_before_its_rest_in_nashville(years: Years) -> None:
    """Common practice, no source; the room says how its rest is had: 21 nights at 5 to 15 °C."""
    for spot in ("open-air", "roofed"):
        year = years("nashville")[spot, "nobile"]
        assert year.rest is not None
        assert year.rest.met_years * 2 < year.rest.of_years
        assert year.flowers is Flowers.AFTER_COOL_ROOM
        assert year.line.endswith("will hardly flower without a cool room in winter")
        assert year.rest.room is not None
        assert (year.rest.room.low_c, year.rest.room.high_c) == (5.0, 15.0)
        assert year.rest.room.nights == 21
        rooms = {answer.room_c: answer.state for answer in year.rest.rooms}
        assert rooms == {8.0: "met", 10.0: "met", 13.0: "met", 15.0: "met", 18.0: "not"}
        assert year.rest.left_usual is not None
        assert year.rest.left_most is not None
        assert 7 < year.rest.left_usual <= year.rest.left_most <= 21


@pytest.mark.parametrize("group", ["nobile", "cymbidium"])
@pytest.mark.parametrize("spot", ["open-air", "roofed"])
def test_nobile_and_cymbidium_live_in_manaus_and_hardly_flower(
    years: Years, spot: str, group: str
) -> None:
    """Common practice, no source: no cool night at all."""
    year = years("manaus")[spot, group]
    assert year.survives is Survives.ALL_YEAR
    assert year.rest is not None
    assert year.rest.of_years >= 8
    assert (year.rest.met_years, year.rest.partly_years) == (0, 0)
    assert year.rest.usual_date is None
    assert year.line == "lives here, will hardly flower: cold is missing"


def test_rain_keeps_nobile_from_resting_in_porto_alegre(years: Years) -> None:
    """Common practice, no source: the winters are cool enough, and wet; a roof mends it."""
    roofed, open_air = (
        years("porto_alegre")[spot, "nobile"].rest for spot in ("roofed", "open-air")
    )
    assert roofed is not None
    assert open_air is not None
    assert (roofed.rain, open_air.rain) == (Rain.KEPT_OFF, Rain.KNOWN)
    assert roofed.met_years == roofed.of_years
    assert open_air.met_years < open_air.of_years / 2


def test_nobile_flowers_every_year_in_porto_alegre_and_shyly_in_the_open(years: Years) -> None:
    """
    Common practice, no source: it flowers yearly outdoors in southern Brazil, in gardens and trees.

    Every winter on record is cool enough; the rain on a pot makes it shy, and never hardly.
    """
    roofed, open_air = (years("porto_alegre")[spot, "nobile"] for spot in ("roofed", "open-air"))
    assert open_air.rest is not None
    assert (open_air.rests, open_air.flowers) == (Rests.PARTLY, Flowers.SHYLY)
    assert open_air.rest.met_years + open_air.rest.partly_years == open_air.rest.of_years == 17
    assert open_air.rest.missing is Missing.DRYNESS
    assert {row.missing for row in open_air.rest.by_year if row.state == "partly"} == {"dryness"}
    assert open_air.line == "lives here for a season, will flower shyly: dryness is missing"
    assert (roofed.rests, roofed.flowers) == (Rests.MET, Flowers.CAN)
    assert roofed.rest is not None
    assert roofed.rest.missing is None


def test_cymbidium_has_its_autumn_nights_before_it_comes_in_at_lansing(
    years: Years, extract: OpenExtract
) -> None:
    """
    Common practice, no source: it needs nights of 10 to 16 °C in late summer and autumn.

    The record has 20 to 32 of them a year from 1 August to 6 October, when it comes in as `check`
    says; that its winter is spent indoors takes no flowers.
    """
    record, place = extract("lansing")
    options = replace(OPTIONS, minimum_allowance_c=find_allowance(record, None)[0])
    cymbidium = [needs for needs in CATALOGUE if needs.key == "cymbidium"]
    (year,) = judge_needs(lay_out(record, place, (OPEN_AIR,), cymbidium, options))
    assert year.survives is Survives.IN_SEASON
    assert year.rest is not None
    nights = [row.nights for row in year.rest.by_year]
    assert (len(nights), min(nights), max(nights)) == (10, 20, 32)
    assert year.flowers is Flowers.CAN
    assert years("manaus")["open-air", "cymbidium"].rest is not None
    assert years("manaus")["open-air", "cymbidium"].flowers is Flowers.HARDLY
    assert years("los_angeles")["open-air", "cymbidium"].flowers is Flowers.CAN


def test_anosmum_flowers_in_always_warm_places_after_dry_weeks(years: Years) -> None:
    """Common practice, no source: under a roof by who waters it; in the rain of Manaus shyly."""
    roofed, open_air = (years("manaus")[spot, "anosmum"] for spot in ("roofed", "open-air"))
    assert roofed.flowers is Flowers.CAN
    assert roofed.rest is not None
    assert roofed.rest.if_kept_dry
    assert open_air.rest is not None
    assert open_air.rest.missing is Missing.DRYNESS
    assert open_air.flowers is Flowers.SHYLY
    coming_in = years("los_angeles")["open-air", "anosmum"]
    assert coming_in.flowers is Flowers.AFTER_DRY_REST
    assert coming_in.line.endswith("will hardly flower unless kept dry in its winter indoors")


def test_latouria_hangs_on_no_cold_and_rests_after_its_flowers(years: Years) -> None:
    """Common practice, no source: nothing is counted against it, anywhere."""
    for name in ("los_angeles", "manaus", "porto_alegre"):
        year = years(name)["open-air", "latouria"]
        assert (year.rests, year.flowers, year.rest) == (Rests.AFTER_BLOOM, Flowers.CAN, None)


def test_days_that_start_flowers_are_said_not_to_be_counted(years: Years) -> None:
    """Phalaenopsis spikes on days below 26 °C: nothing in its nights stands for or against it."""
    year = years("los_angeles")["open-air", "phalaenopsis"]
    assert (year.rests, year.flowers, year.rest) == (Rests.COOL_DAYS, Flowers.CAN, None)


def test_nights_of_13_to_15_degrees_count_for_callista(years: Years) -> None:
    """Common practice, no source: 15 °C is usually cool enough; under a roof at Los Angeles."""
    year = years("los_angeles")["roofed", "callista"]
    assert year.rest is not None
    assert (year.rest.met_years, year.rest.of_years) == (9, 9)


def test_formosae_are_warned_of_heat_in_dallas(years: Years) -> None:
    """Common practice, no source: under 30 °C; they keep their verdict all the same."""
    heat = years("dallas")["open-air", "formosae"].heat
    assert heat is not None
    assert heat.word is HeatWord.EXPECT_DAMAGE
    assert heat.spent_out
    assert heat.harmful_years == heat.of_years == 9
    assert years("dallas")["open-air", "formosae"].survives is Survives.IN_SEASON
    laelia = years("dallas")["open-air", "laelia-anceps"].heat
    assert laelia is not None
    assert laelia.word is HeatWord.LITTLE


@pytest.mark.slow
def test_a_check_counts_the_same_years(years: Years, extract: OpenExtract) -> None:
    """The finding of a check and the plant year are one rule."""
    for name in ("los_angeles", "nashville", "porto_alegre"):
        result = check_groups(lay_out(*extract(name), (OPEN_AIR, ROOFED), CATALOGUE, OPTIONS))
        for finding in result.results:
            rest = years(name)[finding.spot, finding.group].rest
            if not finding.rest.needed:
                assert finding.rest.met_years is None
                continue
            assert rest is not None
            assert finding.rest.met_years == rest.met_years
            assert finding.rest.partly_years == rest.partly_years
            assert finding.rest.of_years == rest.of_years
            assert finding.rest.latest_date == rest.latest_date
            assert finding.rest.room == rest.room


# Rules on invented records ----------------------------------------------------------------------


def test_a_mild_winter_that_stays_above_the_band_lives_and_hardly_flowers(
    hourly: Hourly, group: Group, judge: Callable[..., PlantYear]
) -> None:
    """Nights never below 16 °C: all year out, no rest."""
    year = judge(hourly(years=12, mean_c=22.0, year_c=4.0, day_c=2.0), group(**RESTING))
    assert year.line == "lives here, will hardly flower: cold is missing"
    assert (year.survives, year.rests) == (Survives.ALL_YEAR, Rests.HARDLY)
    assert year.rest is not None
    assert year.rest.nights_indoors == 0
    # A plant that stays out could be carried in for the whole period.
    assert {answer.room_c: answer.state for answer in year.rest.rooms}[13.0] == "met"


def test_a_cool_winter_that_the_plant_stands_is_its_rest(
    hourly: Hourly, group: Group, judge: Callable[..., PlantYear]
) -> None:
    record = hourly(years=12, mean_c=17.0, year_c=6.0, day_c=2.0)
    year = judge(record, group(**RESTING, **COOL))
    assert year.rest is not None
    assert year.rest.met_years == year.rest.of_years == 11
    assert year.flowers is Flowers.CAN
    assert all(row.state == "met" and row.nights >= 21 for row in year.rest.by_year)
    assert all(row.cool_hours is None for row in year.rest.by_year)
    assert (year.rest.left_usual, year.rest.left_most) == (0, 0)


def test_the_same_winter_spent_indoors_is_none(
    hourly: Hourly, group: Group, judge: Callable[..., PlantYear]
) -> None:
    """A tender plant goes out for the summer: the cool nights are not its own."""
    record = hourly(years=12, mean_c=17.0, year_c=6.0, day_c=2.0)
    year = judge(record, group(**RESTING, limit_c=14.0, limit_wet_c=14.0))
    assert year.survives is Survives.IN_SEASON
    assert year.rest is not None
    assert year.rest.met_years == 0
    assert year.rest.nights_indoors > 100
    assert year.flowers is Flowers.AFTER_COOL_ROOM


def test_who_never_goes_out_rests_in_a_room(
    hourly: Hourly, group: Group, judge: Callable[..., PlantYear]
) -> None:
    record = hourly(years=12, mean_c=5.0, year_c=8.0, day_c=4.0)
    year = judge(record, group(**RESTING))
    assert year.survives is Survives.INDOORS
    assert year.line == "lives indoors only, will hardly flower without a cool room in winter"
    assert year.rest is not None
    assert (year.rest.met_years, year.rest.nights_indoors) == (0, 175)


def test_too_short_a_record_says_nothing(
    hourly: Hourly, group: Group, judge: Callable[..., PlantYear]
) -> None:
    year = judge(hourly(years=2, mean_c=22.0), group(**RESTING, ceiling_c=30.0))
    unknown = (Survives.UNKNOWN, Grows.UNKNOWN, Rests.UNKNOWN, Flowers.UNKNOWN)
    assert (year.survives, year.grows, year.rests, year.flowers) == unknown
    assert year.line.startswith("cannot be said")
    assert year.rest is None


def test_it_survives_all_year_where_only_the_floor_rule_fails(
    hourly: Hourly, group: Group, judge: Callable[..., PlantYear]
) -> None:
    """Nights of 16 to 18 °C below a floor of 25: alive, and not growing."""
    record = hourly(years=12, mean_c=18.0, year_c=1.0, day_c=1.0)
    year = judge(record, group(floor_c=25.0))
    assert (year.survives, year.grows) == (Survives.ALL_YEAR, Grows.HARDLY)
    assert year.line.startswith("survives outdoors, does not grow")
    assert year.rests is Rests.NOT_NEEDED


def test_days_out_follow_the_verdict(hourly: Hourly, group: Group) -> None:
    from tests.advice.conftest import PLACE

    record = hourly(years=12, mean_c=17.0, year_c=6.0, day_c=2.0)
    needs = group(limit_c=14.0, limit_wet_c=14.0)
    (nights,) = lay_out_spots(record, PLACE, (ROOFED,), [needs], OPTIONS)
    (case,) = build_cases(nights, [needs], Rules())
    decision = verdicts.decide(case)
    assert decision.verdict is Verdict.SEASONAL
    assert decision.season is not None
    out = days_out(decision)
    assert out.sum() == decision.season.nights
    assert out[decision.season.start]
    assert not out[decision.season.stop % 365]
    assert not out[decision.season.start - 1]
    assert days_out(replace(decision, verdict=Verdict.ALL_YEAR)).all()
    assert not days_out(replace(decision, verdict=Verdict.INDOOR)).any()
    assert not days_out(replace(decision, verdict=Verdict.NONE)).any()


@pytest.mark.parametrize(
    ("ceiling_c", "word"),
    [(27.0, HeatWord.EXPECT_DAMAGE), (28.7, HeatWord.AT_TIMES), (30.0, HeatWord.LITTLE)],
)
def test_heat_in_words(
    hourly: Hourly,
    group: Group,
    judge: Callable[..., PlantYear],
    ceiling_c: float,
    word: HeatWord,
) -> None:
    """Highest 29 °C at mid-summer: nothing above 30, some hours above 28.7, runs above 27."""
    record = hourly(years=12, mean_c=22.0, year_c=4.0, day_c=3.0)
    heat = judge(record, group(ceiling_c=ceiling_c)).heat
    assert heat is not None
    assert heat.word is word
    assert heat.hours_mean is not None
    assert (heat.hours_mean == 0.0) == (word is HeatWord.LITTLE)
    assert judge(record, group()).heat is None


@pytest.mark.parametrize(("years", "word"), [(3, HeatWord.UNKNOWN), (4, HeatWord.LITTLE)])
def test_two_usable_years_say_nothing_of_heat(
    hourly: Hourly, group: Group, judge: Callable[..., PlantYear], years: int, word: HeatWord
) -> None:
    """Three calendar years hold two plant years; their hours are told, but no word."""
    record = hourly(years=years, mean_c=22.0, year_c=4.0, day_c=3.0)
    heat = judge(record, group(ceiling_c=30.0)).heat
    assert heat is not None
    assert heat.of_years == years - 1
    assert heat.word is word
    assert heat.hours_mean == 0.0


def test_dry_air_is_told_and_only_thin_leaved_groups_are_warned(
    hourly: Hourly, group: Group, judge: Callable[..., PlantYear]
) -> None:
    """Every hour above 30 °C has 20 %; where humidity is not on record there is no answer."""
    record = hourly(years=12, mean_c=26.0, year_c=4.0, day_c=3.0)
    dry = replace(record, rhum_pct=np.where(record.temp_c > 30.0, 20.0, 60.0))
    assert judge(record, group()).dry_air is None
    told = judge(dry, group()).dry_air
    assert told is not None
    hours = int((record.temp_c > 30.0).sum()) / 12
    assert told.hours_mean == pytest.approx(hours, rel=0.02)
    assert told.deficit_hours_mean >= told.hours_mean
    assert not told.warned
    masdevallia = judge(dry, group(key="masdevallia")).dry_air
    assert masdevallia is not None
    assert masdevallia.warned
    hardy = judge(dry, group(heat_hardy=True)).dry_air  # dry air is what makes heat harm it
    assert hardy is not None
    assert hardy.warned


def test_a_group_with_a_cool_band_of_its_own_is_asked_without_a_limit(
    hourly: Hourly, group: Group, judge: Callable[..., PlantYear]
) -> None:
    """A band of cool hours far above every floor, as a user's own group may have it."""
    needs = group(
        **RESTING,
        **COOL,
        rest_cool_low_c=2.0,
        rest_cool_high_c=45.0,
        rest_cool_hours=504.0,
        rest_cool_hours_partly=336.0,
    )
    year = judge(hourly(years=12, mean_c=17.0, year_c=6.0, day_c=2.0), needs)
    assert year.rest is not None
    assert year.rest.met_years == 11
    assert year.rest.by_year[0].cool_hours == 175 * 24


def test_the_room_is_that_of_band_and_cool_hours_together() -> None:
    """
    Nobile: 5 to 15 °C; cymbidium in autumn 10 to 16; anosmum dry, in any room.

    Single nights of 5 °C count for callista, and a room at 5 °C is over its dose in 40 hours: it
    needs 8 °C while it rests, and pendulous 9.
    """
    rooms = {}
    for needs in CATALOGUE:
        need = need_in_a_room(needs)
        room = None if need is None else find_room(need)
        rooms[needs.key] = None if room is None else (room.low_c, room.high_c, room.nights)
    assert rooms["nobile"] == (5.0, 15.0, 21)
    assert rooms["callista"] == (8.0, 15.0, 40)
    assert rooms["cymbidium"] == (10.0, 16.0, 21)
    assert rooms["anosmum"] == (None, None, 30)
    assert rooms["pendulous"] == (9.0, 14.0, 40)
    assert rooms["spatulata"] is None
    for needs in CATALOGUE:
        low_c, floor_c = (rooms[needs.key] or (None,))[0], needs.rest_floor_c
        if low_c is not None and floor_c is not None:
            assert low_c >= floor_c
    assert {needs.key for needs in CATALOGUE if needs.rest_needed} <= {
        key for key, room in rooms.items() if room is not None
    }
