"""
The weeks of each group: facts of the trade on real records, and the rules on invented ones.

The facts are common practice, no source; the records are described in `tests/data/README.md`.
"""

from __future__ import annotations

from datetime import date
from functools import cache
from typing import TYPE_CHECKING, Any

import numpy as np
import pytest
from msgspec.structs import replace

from suitability.advice.cases import Rules
from suitability.advice.growing_weeks import plan_growth
from suitability.advice.growth_year import (
    AirWord,
    Note,
    Phase,
    RestKind,
    SetBy,
    Where,
)
from suitability.advice.preparing import CheckOptions, lay_out
from suitability.advice.terms import Verdict
from suitability.groups import read_catalogue
from suitability.groups.words import read_words
from suitability.places import Place
from suitability.spots.kinds import read_kinds
from suitability.spots.spot import OPEN_AIR, ROOFED

if TYPE_CHECKING:
    from collections.abc import Callable

    from suitability.advice.growth_year import GrowthYear, GrowthYearResult
    from suitability.weather.record import Record
    from tests.conftest import Hourly

    OpenExtract = Callable[[str], tuple[Record, Place]]
    Years = Callable[[str], dict[str, GrowthYear]]

OPTIONS = CheckOptions(rules=Rules())
CATALOGUE = read_catalogue()
WORDS = read_words(CATALOGUE)
BY_KEY = {group.key: group for group in CATALOGUE.groups}
GROWING, SLOWING, RESTING, WAKING = Phase


def plan(record: Record, place: Place, *keys: str, **more: Any) -> GrowthYearResult:
    """The calendars of some groups, of all if none is named."""
    groups = {key: BY_KEY[key] for key in keys or BY_KEY}
    needs, spots = [one.needs() for one in groups.values()], (more.pop("spot", OPEN_AIR),)
    laid_out = lay_out(record, place, spots, needs, more.pop("options", OPTIONS))
    return plan_growth(laid_out, groups, more.pop("words", WORDS), **more)


@pytest.fixture(scope="module")
def years(extract: OpenExtract) -> Years:
    """Calendars of the whole catalogue at a place, in the open air."""

    @cache
    def look(name: str) -> dict[str, GrowthYear]:
        return {year.group: year for year in plan(*extract(name)).results}

    return look


def weeks_of(year: GrowthYear, phase: Phase) -> set[int]:
    """Weeks in which the group does this."""
    return {week.week for week in year.weeks if week.phase is phase}


# Facts of the trade on real records -------------------------------------------------------------

# record, group, phase, earliest and latest week of its start, of its last week: common practice, no
# source. Week 40 begins on 1 October, week 44 on 29 October, week 5 on 29 January, week 18 on 30
# April.
TRADE = [
    ("los_angeles", "nobile", RESTING, (43, 49), (3, 8)),  # from November to January or February
    ("los_angeles", "nobile", GROWING, (11, 18), (37, 42)),  # spring to early autumn
    ("los_angeles", "nobile", SLOWING, (38, 42), (42, 48)),  # feed tapers in early autumn
    ("los_angeles", "callista", RESTING, (42, 49), (2, 9)),
    ("los_angeles", "dendrocoryne", RESTING, (44, 51), (2, 9)),
    ("los_angeles", "cymbidium", RESTING, (44, 51), (2, 9)),
    ("porto_alegre", "nobile", RESTING, (17, 23), (29, 34)),  # the same six months later
    ("porto_alegre", "nobile", GROWING, (35, 43), (11, 16)),
    ("porto_alegre", "callista", RESTING, (17, 23), (28, 35)),
    ("nashville", "nobile", RESTING, (40, 49), (1, 7)),  # indoors, in a cool room
    ("nashville", "phalaenanthe", GROWING, (5, 22), (38, 46)),
]


@pytest.mark.parametrize(
    ("name", "group", "phase", "starts", "ends"),
    TRADE,
    ids=[f"{fact[0]}-{fact[1]}-{fact[2]}" for fact in TRADE],
)
def test_a_fact_of_the_trade(
    *,
    years: Years,
    name: str,
    group: str,
    phase: Phase,
    starts: tuple[int, int],
    ends: tuple[int, int],
) -> None:
    """Common practice, no source."""
    (run,) = [run for run in years(name)[group].runs if run.phase is phase]
    assert starts[0] <= run.first_week <= starts[1]
    assert ends[0] <= run.last_week <= ends[1]


def test_nobile_never_rests_in_manaus(years: Years) -> None:
    """Common practice, no source: no winter, so it keeps growing, and is said not to rest."""
    nobile = years("manaus")["nobile"]
    (run,) = nobile.runs
    assert (run.phase, run.weeks) == (GROWING, 52)
    assert nobile.changes == ()
    assert {Note.NO_WINTER, Note.REST_NOT_BROUGHT} <= set(nobile.notes)


def test_every_group_that_lives_outdoors_in_manaus_grows_all_year(years: Years) -> None:
    """Common practice, no source: the coldest mean night is over every floor."""
    for year in years("manaus").values():
        assert {run.phase for run in year.runs} == {GROWING}, year.group


def test_latouria_pauses_after_flowering_with_little_water_and_no_feed(years: Years) -> None:
    """Common practice, no source: in its words, for no weather dates its flowers."""
    year = years("los_angeles")["latouria"]
    assert year.rest_kind is RestKind.OPTIONAL
    assert "after flowering" in year.rest_words
    pauses = [run for run in year.runs if run.phase is SLOWING]
    assert pauses
    for pause in pauses:
        assert "little water after flowering" in pause.water
        assert "no feed" in pause.feed


def test_callista_has_almost_no_water_in_its_rest(years: Years) -> None:
    """Common practice, no source."""
    (rest,) = [run for run in years("los_angeles")["callista"].runs if run.phase is RESTING]
    assert "almost none" in rest.water
    assert rest.feed == "no feed"


@pytest.mark.parametrize("name", ["los_angeles", "porto_alegre", "nashville", "manaus"])
def test_oxyglossum_is_never_dry(years: Years, name: str) -> None:
    """Common practice, no source: damp in every run, and it has none of a rest."""
    for run in years(name)["oxyglossum"].runs:
        assert "always damp" in run.water
        assert run.phase in {GROWING, SLOWING}


def test_no_feed_is_asked_for_in_any_rest_that_must_be_dry(years: Years) -> None:
    """Common practice, no source."""
    seen = 0
    for name in ("los_angeles", "porto_alegre", "nashville"):
        for key, year in years(name).items():
            for run in year.runs:
                if run.phase is RESTING and BY_KEY[key].needs().rest_must_be_dry:
                    seen += 1
                    assert run.feed == "no feed", key
    assert seen > 10


# What holds of every calendar -------------------------------------------------------------------


def week_of(month_day: str) -> int:
    """The week that holds a day: seven days each from 1 January on, the 52nd has eight."""
    day = date.fromisoformat(f"2001-{month_day}").timetuple().tm_yday
    return min((day - 1) // 7 + 1, 52)


@pytest.mark.parametrize(
    "name", ["los_angeles", "porto_alegre", "nashville", "manaus", "falsterbo"]
)
def test_runs_stays_and_changes_tell_the_weeks(years: Years, name: str) -> None:
    """52 weeks, each in one run and one stay; a change for each run; the usual within the years."""
    assert sum(bool(year.weeks) for year in years(name).values()) >= 14
    for year in years(name).values():
        if year.verdict is Verdict.NONE:  # a station that closed at night leaves too much unknown
            assert year.reason is not None
            assert not any((year.weeks, year.runs, year.stays, year.changes))
            continue
        assert [week.week for week in year.weeks] == list(range(1, 53))
        assert sum(run.weeks for run in year.runs) == 52
        assert sum(stay.weeks for stay in year.stays) == 52
        for run in year.runs:
            for later in range(run.weeks):
                assert year.weeks[(run.first_week - 1 + later) % 52].phase is run.phase
        for stay in year.stays:
            for later in range(stay.weeks):
                assert year.weeks[(stay.first_week - 1 + later) % 52].where is stay.where
        assert len(year.changes) == (len(year.runs) if len(year.runs) > 1 else 0)
        assert {change.run_week for change in year.changes} == {
            run.first_week for run in year.runs if len(year.runs) > 1
        }
        for change in year.changes:
            assert change.week == week_of(change.day)
            assert change.run_week in {change.week, change.week % 52 + 1}
            assert change.earliest_day is None or change.earliest_week == week_of(
                change.earliest_day
            )
            assert change.latest_day is None or change.latest_week == week_of(change.latest_day)
            if change.earliest_week is None or change.latest_week is None:
                assert change.set_by in {SetBy.MOVE, SetBy.NIGHTS}
                continue
            span = (change.latest_week - change.earliest_week) % 52
            assert (change.week - change.earliest_week) % 52 <= span
            assert change.years_with <= change.of_years


def test_the_changes_of_nobile_in_los_angeles_are_spread_among_nine_years(years: Years) -> None:
    """Each is dated by the nights of every year, and dates differ between years."""
    changes = years("los_angeles")["nobile"].changes
    assert [change.phase for change in changes] == [WAKING, GROWING, SLOWING, RESTING]
    for change in changes:
        assert change.set_by is SetBy.NIGHTS
        assert (change.years_with, change.of_years) == (9, 9)
        assert change.earliest_day != change.latest_day
    assert years("los_angeles")["nobile"].provisional
    assert Note.FEW_YEARS in years("los_angeles")["nobile"].notes
    assert not years("porto_alegre")["nobile"].provisional


def test_where_it_stands_is_what_its_moves_say(years: Years) -> None:
    """Phalaenanthe in Nashville: out in May, in in September: two weeks and one of moving."""
    year = years("nashville")["phalaenanthe"]
    assert year.season is not None
    assert [(stay.where, stay.weeks) for stay in year.stays] == [
        (Where.INDOORS, 34), (Where.MOVING_OUT, 2), (Where.OUTDOORS, 15),
        (Where.MOVING_IN, 1),
    ]  # fmt: skip
    assert year.stays[1].first_day <= year.season.out <= year.stays[1].last_day
    assert year.stays[3].first_day <= year.season.inn <= year.stays[3].last_day
    indoors = [week for week in year.weeks if week.where is Where.INDOORS]
    assert {week.set_by for week in indoors} == {SetBy.DAY_LENGTH}
    assert {(week.night, week.day) for week in indoors} == {(None, None)}
    (summer,) = [week for week in year.weeks if week.week == 30]
    assert (summer.night, summer.day) == (AirWord.WARMER, AirWord.WARMER)  # over 20 and 32 °C


def test_the_place_s_own_year_is_told_by_weeks(extract: OpenExtract) -> None:
    """52 weeks, the last of eight days; warm in July, longest in June."""
    (course,) = plan(*extract("nashville"), "nobile").courses
    assert course.has_winter
    assert [week.days for week in course.weeks] == [7] * 51 + [8]
    assert (course.weeks[0].first_day, course.weeks[-1].last_day) == ("01-01", "12-31")
    nights = [week.night_c for week in course.weeks]
    assert None not in nights
    assert max(range(52), key=lambda at: nights[at] or 0.0) in range(26, 32)
    lengths = [week.day_length_h for week in course.weeks]
    assert lengths.index(max(lengths)) in {23, 24, 25}
    assert max(lengths) == pytest.approx(14.6, abs=0.15)


# Hemispheres, rooms, doubts ---------------------------------------------------------------------


@pytest.mark.parametrize("name", ["los_angeles", "nashville"])
def test_half_a_year_later_in_the_other_hemisphere(extract: OpenExtract, name: str) -> None:
    """A record shifted half a year, latitude mirrored: the calendar 26 weeks later, or by one."""
    record, place = extract(name)
    turned = replace(record, start_hour=record.start_hour + 4383)
    south = replace(place, latitude=-place.latitude)
    keys = ("nobile", "callista", "phalaenanthe", "cattleya", "cymbidium")
    north = plan(record, place, *keys).results
    for here, there in zip(north, plan(turned, south, *keys).results, strict=True):
        assert here.verdict is there.verdict
        by_week = sorted(here.runs, key=lambda run: run.first_week)
        shifted = sorted(there.runs, key=lambda run: (run.first_week - 27) % 52)
        shifted = _aligned(by_week, shifted)
        for run, other in zip(by_week, shifted, strict=True):
            assert run.phase is other.phase, here.group
            apart = (other.first_week - run.first_week - 26 + 26) % 52 - 26
            assert abs(apart) <= 1, (here.group, run, other)


def _aligned(runs: list[Any], others: list[Any]) -> list[Any]:
    """The other runs, begun with the one that matches the first: the ring may be cut elsewhere."""
    for turn in range(len(others)):
        rolled = others[turn:] + others[:turn]
        apart = (rolled[0].first_week - runs[0].first_week) % 52 - 26
        if rolled[0].phase is runs[0].phase and abs(apart) <= 1:
            return rolled
    return others


def test_a_room_in_the_band_lets_a_group_rest_indoors(extract: OpenExtract) -> None:
    """Nashville, where nobile comes in before its rest: a room at 12 °C, and one at 20 °C."""
    record, place = extract("nashville")
    (cool,) = plan(record, place, "nobile", room_c=12.0).results
    assert weeks_of(cool, RESTING)
    assert Note.REST_INDOORS in cool.notes
    assert Note.ROOM_BELOW_FLOOR in cool.notes  # 12 is under its growth floor of 13
    (warm,) = plan(record, place, "nobile", room_c=20.0).results
    assert not weeks_of(warm, RESTING)
    assert set(range(46, 53)) <= weeks_of(warm, SLOWING)  # days under 11 h, and no cool nights
    assert {Note.ROOM_TOO_WARM, Note.REST_NOT_BROUGHT} <= set(warm.notes)
    indoors = [week for week in warm.weeks if week.where is Where.INDOORS]
    assert {week.set_by for week in indoors} == {SetBy.ROOM}


@pytest.mark.parametrize("kind", ["room", "window-sill"])
def test_in_a_heated_room_short_days_slow_a_plant_down(extract: OpenExtract, kind: str) -> None:
    """
    Nobile in a spot at 20 °C has no cool nights: it slows while the day is under 11 h.

    At Los Angeles (34° N) that is from late October to mid-February, by almanacs. Near the equator
    light dates nothing, and the calendar says so.
    """
    spot = read_kinds().find(kind).spot
    (year,) = plan(*extract("los_angeles"), "nobile", spot=spot).results
    assert weeks_of(year, SLOWING) == {*range(44, 53), *range(1, 7)}
    assert weeks_of(year, GROWING) == set(range(7, 44))
    assert {week.set_by for week in year.weeks} == {SetBy.ROOM}
    assert [change.set_by for change in year.changes] == [SetBy.ROOM, SetBy.ROOM]
    (even,) = plan(*extract("manaus"), "phalaenopsis", spot=spot).results
    assert weeks_of(even, GROWING) == set(range(1, 53))
    assert Note.NO_SHORT_DAYS in even.notes


def test_a_room_below_the_floor_lets_nothing_grow_indoors(extract: OpenExtract) -> None:
    """Cattleya at 11 °C: slowing whenever it stands inside."""
    (year,) = plan(*extract("nashville"), "cattleya", room_c=11.0).results
    inside = {week.phase for week in year.weeks if week.where is Where.INDOORS}
    assert inside == {SLOWING}
    assert Note.ROOM_BELOW_FLOOR in year.notes


def test_a_room_colder_than_the_rest_is_said(extract: OpenExtract) -> None:
    """Nobile at 4.8 °C, its band begins at 5."""
    (year,) = plan(*extract("nashville"), "nobile", room_c=4.8).results
    assert Note.ROOM_TOO_COLD in year.notes


@pytest.mark.parametrize(
    ("group", "room_c", "harms"),
    [
        ("phalaenanthe", -2.0, True),
        ("phalaenanthe", 11.8, True),  # 336 h of 0.2 K are beyond its 60 °C·h
        ("phalaenanthe", 11.9, False),
        ("nobile", 4.6, True),
        ("nobile", 4.7, False),
    ],
)
def test_a_room_too_cold_to_live_in_is_said_and_nothing_milder(
    extract: OpenExtract, group: str, room_c: float, *, harms: bool
) -> None:
    """Day and night as cold for the 14 nights of a dose."""
    (year,) = plan(*extract("nashville"), group, room_c=room_c).results
    milder = {Note.ROOM_TOO_COLD, Note.ROOM_BELOW_FLOOR} & {*year.notes}
    assert (Note.ROOM_HARMS in year.notes, not milder) == (harms, harms)


def test_without_a_verdict_the_calendar_is_withheld_with_its_reason(hourly: Hourly) -> None:
    """Two years on record."""
    record = hourly(years=2, mean_c=18.0, year_c=6.0, day_c=4.0)
    place = Place(name="invented", latitude=35.0, longitude=0.0)
    (year,) = plan(record, place, "nobile").results
    assert year.verdict is Verdict.NONE
    assert year.reason is not None
    assert "3 are needed" in year.reason.text
    assert (year.weeks, year.runs, year.stays, year.changes, year.notes) == ((), (), (), (), ())


def test_an_indoor_group_goes_by_light_alone(years: Years) -> None:
    """Falsterbo at 55° N: short days from October to March, whatever the air outdoors."""
    year = years("falsterbo")["phalaenanthe"]
    assert year.verdict is Verdict.INDOOR
    assert {stay.where for stay in year.stays} == {Where.INDOORS}
    assert {change.set_by for change in year.changes} == {SetBy.DAY_LENGTH}
    assert Note.INDOORS_BY_LIGHT in year.notes
    (dark,) = [run for run in year.runs if run.phase is SLOWING]
    assert "10-01" <= dark.first_day <= "10-20"
    assert "02-20" <= dark.last_day <= "03-15"


def test_a_plant_that_slowed_outdoors_does_not_grow_again_for_a_few_weeks(
    hourly: Hourly,
) -> None:
    """
    A cool summer: nights fall below the floor of Latouria long before the days are short.

    It comes in before they are, and stays slowed down until they have been.
    """
    record = hourly(years=12, mean_c=18.0, year_c=4.5, day_c=4.0)
    place = Place(name="invented", latitude=40.0, longitude=0.0)
    (year,) = plan(record, place, "latouria", spot=ROOFED).results
    assert year.verdict is Verdict.SEASONAL
    autumn = [week.phase for week in year.weeks if 38 <= week.week <= 50]
    assert SLOWING in autumn
    first = autumn.index(SLOWING)
    assert GROWING not in autumn[first:]


def test_a_warmer_spot_never_rests_sooner(hourly: Hourly) -> None:
    """A winter 3 °C milder: nobile, out all year in both, rests later or not at all."""
    place = Place(name="invented", latitude=35.0, longitude=0.0)
    begun = []
    for mean_c in (15.0, 18.0):
        record = hourly(years=12, mean_c=mean_c, year_c=5.0, day_c=4.0)
        (year,) = plan(record, place, "nobile", spot=ROOFED).results
        assert year.verdict is Verdict.ALL_YEAR
        (rest,) = [change for change in year.changes if change.phase is RESTING]
        begun.append(rest.week)
    assert begun[0] <= begun[1]


def test_a_group_of_one_s_own_without_words_is_tended_all_the_same(hourly: Hourly) -> None:
    """What its file does not say is said not to be said."""
    from suitability.groups.words import Words

    record = hourly(years=12, mean_c=18.0, year_c=5.0, day_c=4.0)
    place = Place(name="invented", latitude=35.0, longitude=0.0)
    (year,) = plan(record, place, "nobile", spot=ROOFED, words={"nobile": Words()}).results
    assert {run.water for run in year.runs if run.phase is GROWING} == {"not said in its catalogue"}


def test_a_place_far_from_short_days_says_so(hourly: Hourly) -> None:
    """Indoors at the equator: light dates nothing, and it grows all year."""
    record = hourly(years=6, mean_c=26.0, year_c=0.5, day_c=4.0)
    place = Place(name="invented", latitude=0.0, longitude=0.0)
    (year,) = plan(record, place, "masdevallia").results
    assert year.verdict is Verdict.INDOOR
    assert {Note.NO_SHORT_DAYS, Note.NO_WINTER} <= set(year.notes)
    assert [run.phase for run in year.runs] == [GROWING]


def test_no_function_alters_its_input(hourly: Hourly) -> None:
    """The record is as it was."""
    record = hourly(years=4, mean_c=18.0, year_c=6.0, day_c=4.0)
    before = record.temp_c.copy()
    plan(record, Place(name="invented", latitude=35.0, longitude=0.0))
    assert np.array_equal(record.temp_c, before)


def test_a_plant_that_never_goes_out_needs_no_years_for_its_calendar(years: Years) -> None:
    """Los Angeles, nine years: its verdict is provisional, its dates go by light and stand."""
    year = years("los_angeles")["victoriae-reginae"]
    assert year.verdict is Verdict.INDOOR
    assert year.of_years == 9
    assert year.provisional
    assert not year.dates_may_shift
    assert Note.FEW_YEARS not in year.notes
