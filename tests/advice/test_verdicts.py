"""Verdicts, margin and headroom on invented weather."""

from __future__ import annotations

from typing import TYPE_CHECKING, Any

import numpy as np
import pytest
from hypothesis import given, settings
from hypothesis import strategies as st
from msgspec.structs import replace

from suitability.advice import verdicts
from suitability.advice.cases import Rules
from suitability.advice.checking import check_groups
from suitability.advice.plant_state import Subject
from suitability.advice.preparing import lay_out
from suitability.advice.profiling import make_profiles, profile_needs
from suitability.advice.terms import Verdict
from suitability.advice.verdicts import Standing, decide, grade, promise_worth, reaches, rule
from suitability.advice.what_if import find_headroom, find_margin, stability, what_if
from suitability.climate.past_years import Stretch
from suitability.groups import read_catalogue
from suitability.quantities import SUREST
from suitability.spots.spot import OPEN_AIR, ROOFED

from .conftest import OPTIONS, PLACE

if TYPE_CHECKING:
    from numpy.typing import NDArray

    from suitability.advice.cases import Case
    from suitability.advice.verdicts import Decision
    from suitability.weather.record import Record
    from tests.advice.conftest import Ask, Group, Prepare
    from tests.conftest import Hourly

ALL_YEAR, SEASONAL, INDOOR, NONE = (
    Verdict.ALL_YEAR, Verdict.SEASONAL, Verdict.INDOOR, Verdict.NONE
)  # fmt: skip


def weathered(hourly: Hourly, *, years: int = 12, seed: int = 1, coldest: int = 15) -> Record:
    """A climate of cool winters with weather in it: spells of some days, 3 °C about the mean."""
    record = hourly(years=years, mean_c=16.0, year_c=8.0, day_c=4.0, coldest=coldest)
    days = -(-record.temp_c.size // 24)
    noise = np.random.default_rng(seed).normal(0.0, 3.0, days + 4)
    spells = np.convolve(noise, np.ones(3) / np.sqrt(3.0), "valid")[:days]
    return replace(
        record, temp_c=(record.temp_c + np.repeat(spells, 24)[: record.temp_c.size]).round(1)
    )


def years_of(decision: Decision) -> tuple[int, int, int, int]:
    """Years of the verdict: usable, kept, failed; and those that can tell of all year."""
    kept, failed = decision.years_kept, decision.years_failed
    return decision.years_usable, kept, failed, decision.all_year_usable


def test_the_order_of_verdicts() -> None:
    assert [one.rank for one in (ALL_YEAR, SEASONAL, INDOOR, NONE)] == [2, 1, 0, -1]


def test_always_safe_is_all_year(hourly: Hourly, prepare: Prepare) -> None:
    """20 °C and more every hour of twelve years: eleven whole plant years, all kept."""
    decision = decide(prepare(hourly(years=12, mean_c=25.0, year_c=3.0, day_c=2.0)))
    assert decision.verdict is ALL_YEAR
    assert decision.season == decision.survival_season == Stretch(start=0, nights=365)
    assert decision.survival_seasons == (Stretch(start=0, nights=365),)
    assert years_of(decision) == (11, 11, 0, 11)
    assert decision.all_year_chance == 1.0


def test_never_safe_is_indoor_only(hourly: Hourly, prepare: Prepare) -> None:
    """Never above 4 °C, a degree below the limit."""
    case = prepare(hourly(years=12, mean_c=0.0, year_c=3.0, day_c=1.0))
    decision = decide(case)
    assert decision.verdict is INDOOR
    assert decision.season is None
    assert decision.survival_seasons == ()
    assert years_of(decision)[1:3] == (0, 0)
    assert find_headroom(case, INDOOR) is None


def test_a_mild_summer_is_seasonal(hourly: Hourly, prepare: Prepare) -> None:
    """Winters at 5 °C, summers at 25 °C: a season around mid-July, which the floor cuts."""
    decision = decide(prepare(hourly(years=12, mean_c=15.0, year_c=10.0, day_c=3.0)))
    assert decision.verdict is SEASONAL
    assert decision.season is not None
    assert decision.survival_season is not None
    middle = decision.season.start + decision.season.nights / 2
    # the coldest day is day 14 and the warmest 182 days later; the trailing 28 days of the floor
    # rule delay the beginning, not the end
    assert 196 <= middle <= 196 + 28
    assert decision.survival_season.start <= decision.season.start
    assert decision.survival_season.nights >= decision.season.nights
    assert years_of(decision) == (11, 12, 0, 11)  # of twelve summers eleven have both winters


def test_without_warming_nothing_is_warmer(hourly: Hourly, prepare: Prepare, group: Group) -> None:
    """18 °C all the time under a floor of 18.5: all year only where a degree is added."""
    case = prepare(hourly(years=12, mean_c=18.0), group(floor_c=18.5))
    assert grade(case) is INDOOR
    assert not reaches(case, ALL_YEAR)
    assert reaches(case, ALL_YEAR, 1.0)


@pytest.mark.parametrize(("nights", "nearly"), [(1, True), (3, True), (4, False)])
def test_nearly_all_year_is_carried_in_on_three_nights_at_most(
    hourly: Hourly,
    prepare: Prepare,
    nights: int,
    nearly: bool,  # noqa: FBT001  # a case
) -> None:
    """Each January so many days stand half a degree below the limit, all others far above it."""
    record = hourly(years=12, mean_c=25.0, year_c=3.0, day_c=2.0)
    hours = np.datetime64(record.start_hour, "h") + np.arange(record.temp_c.size)
    noons = hours - np.timedelta64(12, "h")
    day = (noons - noons.astype("datetime64[Y]")).astype("timedelta64[D]").astype(int)
    cold = np.where((day >= 9) & (day < 9 + nights), 4.5, record.temp_c)
    decision = decide(prepare(replace(record, temp_c=cold)))
    assert decision.verdict is SEASONAL
    assert decision.nearly_all_year is nearly


def test_years_are_told_of_the_safe_stretch_where_nothing_grows_in_it(
    hourly: Hourly, prepare: Prepare, group: Group
) -> None:
    """Mild summers under a floor of 40 °C: indoors, yet each summer would have been survived."""
    case = prepare(hourly(years=12, mean_c=15.0, year_c=10.0, day_c=3.0), group(floor_c=40.0))
    decision = decide(case)
    assert decision.verdict is INDOOR
    assert decision.season is None
    assert decision.survival_season is not None
    assert (decision.years_kept, decision.years_failed) == (12, 0)


def test_what_a_promise_from_few_years_is_worth_is_told_where_one_is_given(
    hourly: Hourly, prepare: Prepare
) -> None:
    """Of six years; not of twenty-four, nor for who stays indoors or gets no verdict."""
    warm: dict[str, Any] = {"mean_c": 15.0, "year_c": 10.0, "day_c": 3.0}
    told = {}
    for name, record in (
        ("few", hourly(years=6, **warm)),
        ("many", hourly(years=24, **warm)),
        ("indoors", hourly(years=6, mean_c=0.0)),
        ("none", hourly(years=3, **warm)),
    ):
        case = prepare(record)
        told[name] = promise_worth(decide(case), case.rules)
    few = told.pop("few")
    assert few is not None
    assert few.low < few.promised < few.high <= SUREST
    assert set(told.values()) == {None}
    sure = replace(case.rules, promise=SUREST)
    worth = promise_worth(decide(prepare(hourly(years=6, **warm))), sure)
    assert worth is not None
    assert worth.high == SUREST


def test_the_years_of_all_year_are_plant_years_cut_at_mid_summer(
    hourly: Hourly, prepare: Prepare
) -> None:
    """
    From mid-winter on 24 years hold 24 from one to the next, but 23 from one summer to the next.

    One winter night half a degree below the limit fails one of them.
    """
    record = hourly(start="2001-01-13T12", years=24, mean_c=25.0, year_c=3.0, day_c=2.0)
    temp_c = record.temp_c.copy()
    night = 5 * 8766 + 24 * 7
    temp_c[night : night + 24] = 4.5
    decision = decide(prepare(replace(record, temp_c=temp_c)))
    assert decision.verdict is ALL_YEAR
    assert years_of(decision) == (23, 22, 1, 23)
    later = hourly(start="2001-07-20T12", years=24, mean_c=25.0, year_c=3.0, day_c=2.0)
    assert years_of(decide(prepare(later))) == (24, 24, 0, 24)


def test_six_months_shift_turns_north_into_south(hourly: Hourly, prepare: Prepare) -> None:
    """The same hours half a year later: the same verdict, length and counts, other dates.

    182 days after 1 January is 2 July. The calendar of leap days falls elsewhere: a day of slack.
    """
    north = weathered(hourly)
    south = replace(north, start_hour=north.start_hour + 182 * 24)
    here, there = (decide(prepare(record)) for record in (north, south))
    assert here.verdict is there.verdict is SEASONAL
    assert here.season is not None
    assert there.season is not None
    assert abs(here.season.nights - there.season.nights) <= 1
    assert abs((there.season.start - here.season.start) % 365 - 182) <= 1
    assert abs(here.years_kept - there.years_kept) <= 1
    assert here.years_usable == there.years_usable
    for needs_more in (find_margin, find_headroom):
        one, other = (needs_more(prepare(record), SEASONAL) for record in (north, south))
        assert one == pytest.approx(other, abs=0.1)


@pytest.mark.parametrize("later", [-28, 28, 56])
def test_the_names_of_the_years_play_no_part(hourly: Hourly, prepare: Prepare, later: int) -> None:
    """The same hours 28 years earlier or later, when the leap days fall alike: the same answer."""
    record = weathered(hourly, years=12)
    moved = replace(record, start_hour=record.start_hour + later // 4 * (4 * 365 + 1) * 24)
    for offset in (-6.0, 0.0, 6.0):
        here, there = (
            decide(prepare(replace(one, temp_c=(one.temp_c + offset).round(1))))
            for one in (record, moved)
        )
        assert here.verdict is there.verdict
        assert here.season == there.season
        assert here.survival_seasons == there.survival_seasons
        assert here.all_year_chance == there.all_year_chance
        assert (here.years_kept, here.years_failed) == (there.years_kept, there.years_failed)


@pytest.mark.parametrize(
    ("years", "verdict"), [(3, NONE), (4, SEASONAL), (8, SEASONAL), (9, ALL_YEAR), (12, ALL_YEAR)]
)
def test_how_many_years_carry_what(
    hourly: Hourly, prepare: Prepare, years: int, verdict: Verdict
) -> None:
    """Three plant years are needed for a verdict, eight for all year.

    Always safe; cut at mid-summer n calendar years hold n - 1 whole plant years.
    """
    record = hourly(years=years, mean_c=25.0, year_c=3.0, day_c=2.0)
    assert decide(prepare(record)).verdict is verdict
    assert grade(prepare(record)) is verdict


def test_near_the_equator_calendar_years_are_plant_years(hourly: Hourly, prepare: Prepare) -> None:
    """Eight of them are usable, but for the morning of the first and the evening of the last."""
    start = "2000-12-31T12"
    record = hourly(start=start, years=8, mean_c=25.0, year_c=1.0, day_c=2.0)
    longer = replace(
        record,
        temp_c=np.concatenate([record.temp_c, record.temp_c[:24]]),
        origin=np.concatenate([record.origin, record.origin[:24]]),
    )
    decision = decide(prepare(longer))
    assert decision.verdict is ALL_YEAR
    assert decision.years_usable == 8


def test_a_record_that_starts_in_mid_winter(hourly: Hourly, prepare: Prepare) -> None:
    """Cut at mid-winter, it has one plant year more than one from mid-summer."""
    winter = hourly(start="2001-01-13T12", years=4, mean_c=25.0, year_c=3.0)
    summer = hourly(start="2001-07-15T12", years=4, mean_c=25.0, year_c=3.0)
    assert decide(prepare(winter)).years_usable == 4
    assert decide(prepare(summer)).years_usable == 3


@pytest.mark.parametrize(("floor", "verdict"), [(18.0, ALL_YEAR), (18.1, INDOOR)])
def test_hours_at_the_floor_are_hours_of_growth(
    hourly: Hourly, prepare: Prepare, group: Group, floor: float, verdict: Verdict
) -> None:
    """A place that stands at 18 °C for twelve years."""
    record = hourly(years=12, mean_c=18.0)
    assert grade(prepare(record, group(floor_c=floor))) is verdict


def test_a_night_far_below_the_limit_bars_all_year_and_nothing_else(
    hourly: Hourly, prepare: Prepare
) -> None:
    """3.5 °C below the limit in one night of twelve years bars it; 3.0 °C does not yet.

    One year in eleven is within a promise of 80 %.
    """
    mild = hourly(years=12, mean_c=20.0, year_c=1.0)
    evening = int(5.5 * 8766) // 24 * 24 + 18
    for lowest, verdict in ((1.5, SEASONAL), (2.0, ALL_YEAR)):
        temp_c = mild.temp_c.copy()
        temp_c[evening + 8 : evening + 10] = lowest
        rules = Rules(promise=0.8)
        decision = decide(prepare(replace(mild, temp_c=temp_c), rules=rules))
        assert decision.verdict is verdict
        if verdict is ALL_YEAR:
            assert decision.years_failed == 1


@pytest.mark.parametrize("rest_floor", [None, 6.0])
@pytest.mark.parametrize(
    ("mean", "year", "day"),
    [(16.0, 8.0, 4.0), (20.0, 5.0, 3.0), (12.0, 8.0, 3.0), (14.0, 4.0, 2.0)],
)
def test_margin_and_headroom_against_every_tenth(
    *,
    hourly: Hourly,
    prepare: Prepare,
    group: Group,
    mean: float,
    year: float,
    day: float,
    rest_floor: float | None,
) -> None:
    """Halving against trying every tenth of a degree up to 15."""
    record = hourly(years=10, mean_c=mean, year_c=year, day_c=day)
    case = prepare(record, group(rest_floor_c=rest_floor))
    verdict = grade(case)
    better = [step for step in range(1, 151) if grade(case, step / 10).rank > verdict.rank]
    worse = [step for step in range(1, 151) if grade(case, -step / 10).rank < verdict.rank]
    if verdict is ALL_YEAR:
        assert find_margin(case, verdict) is None
    else:
        assert find_margin(case, verdict) == (better[0] / 10 if better else None)
    if verdict is INDOOR:
        assert find_headroom(case, verdict) is None
    else:
        expected = 15.0 if not worse else (worse[0] - 1) / 10
        assert find_headroom(case, verdict) == pytest.approx(expected)


@pytest.mark.parametrize("seed", [1, 2])
@pytest.mark.parametrize("rest_floor", [None, 8.0])
def test_the_margin_holds_on_a_warmed_record(
    hourly: Hourly, prepare: Prepare, group: Group, seed: int, rest_floor: float | None
) -> None:
    """Every hour warmer by the margin: the verdict is better; by a tenth less: it is not.

    So for the headroom: cooled by it the verdict stands, by a tenth more it falls.
    """
    record = weathered(hourly, seed=seed)
    needs = group(rest_floor_c=rest_floor)
    case = prepare(record, needs)
    verdict = grade(case)
    assert verdict is SEASONAL

    def shifted(by: float) -> Verdict:
        return grade(prepare(replace(record, temp_c=(record.temp_c + by).round(1)), needs))

    margin, headroom = find_margin(case, verdict), find_headroom(case, verdict)
    assert margin is not None
    assert headroom is not None
    assert shifted(margin) is ALL_YEAR
    assert shifted(margin - 0.1) is SEASONAL
    assert shifted(-headroom) is SEASONAL
    assert shifted(-headroom - 0.1) is INDOOR


@pytest.mark.slow
@pytest.mark.parametrize("seed", [1, 2, 3])
@pytest.mark.parametrize("shut", [False, True])
@pytest.mark.parametrize(("floor", "rest_floor"), [(15.0, 8.0), (12.0, None), (6.0, 4.0)])
def test_margin_and_headroom_where_starts_differ(
    *,
    hourly: Hourly,
    prepare: Prepare,
    group: Group,
    seed: int,
    shut: bool,
    floor: float,
    rest_floor: float | None,
) -> None:
    """Every tenth again, with weather, and at a station that was shut in the nights of two Mays."""
    record = weathered(hourly, seed=seed)
    if shut:
        temp_c = record.temp_c.copy()
        for year in (3, 7):
            may = slice(year * 8766 + 120 * 24, year * 8766 + 150 * 24)
            temp_c[may].reshape(-1, 24)[:, :7] = np.nan
        record = replace(record, temp_c=temp_c)
    case = prepare(record, group(floor_c=floor, rest_floor_c=rest_floor))
    for warmer_c in (0.0, -6.0):
        colder = replace(record, temp_c=(record.temp_c + warmer_c).round(1))
        case = prepare(colder, group(floor_c=floor, rest_floor_c=rest_floor))
        verdict = grade(case)
        better = [step for step in range(1, 151) if reaches(case, SEASONAL, step / 10)]
        kept = [step for step in range(151) if reaches(case, SEASONAL, -step / 10)]
        if verdict is SEASONAL:
            assert find_headroom(case, verdict) == max(kept) / 10
        elif verdict is INDOOR:
            assert find_margin(case, verdict) == (min(better) / 10 if better else None)


@pytest.mark.parametrize("ceiling", [18.0, 24.0, 27.0, 33.0])
@pytest.mark.parametrize("seed", [1, 2])
def test_the_margin_under_a_ceiling_is_in_the_first_whole_degree_that_helps(
    hourly: Hourly, prepare: Prepare, group: Group, ceiling: float, seed: int
) -> None:
    """What heat bars from the start is told without trying; the answer is the same."""
    record = weathered(hourly, seed=seed)
    colder = replace(record, temp_c=(record.temp_c - 7.0).round(1))
    case = prepare(colder, group(floor_c=8.0, heat_limited=True, ceiling_c=ceiling))
    assert grade(case) is INDOOR
    whole = [degree for degree in range(1, 16) if reaches(case, SEASONAL, float(degree))]
    margin = find_margin(case, INDOOR)
    assert (margin is None) == (not whole)
    if whole:
        assert margin is not None
        assert whole[0] - 1 < margin <= whole[0]
        assert reaches(case, SEASONAL, margin)
        assert not reaches(case, SEASONAL, margin - 0.1)


def test_cold_that_a_shut_station_hides_is_not_taken_for_heat(
    hourly: Hourly, prepare: Prepare, group: Group
) -> None:
    """Shut in the nights of four of twelve years, which may be cold until it is 11 °C warmer.

    By then summers are too hot, and winters are the season.
    """
    record = hourly(years=12, mean_c=6.0, year_c=8.0, day_c=2.0)
    temp_c = record.temp_c.copy()
    temp_c[8760 : 5 * 8760].reshape(-1, 24)[:, :7] = np.nan
    needs = group(
        floor_c=3.0, limit_c=5.0, limit_wet_c=5.0, chill_base_c=5.5, heat_limited=True,
        ceiling_c=16.0,
    )  # fmt: skip
    case = prepare(replace(record, temp_c=temp_c), needs)
    assert case.observed.may_hide
    assert grade(case) is INDOOR
    whole = [degree for degree in range(1, 16) if reaches(case, SEASONAL, float(degree))]
    margin = find_margin(case, INDOOR)
    assert whole
    assert margin is not None
    assert whole[0] - 1 < margin <= whole[0]


def test_a_group_that_heat_excludes_may_have_no_margin(
    hourly: Hourly, prepare: Prepare, group: Group
) -> None:
    """Too cold and, warmer, too hot: no warming helps.

    Where the ceiling is far away, the margin is that of a group that heat does not exclude.
    """
    record = hourly(years=10, mean_c=15.0, year_c=8.0, day_c=5.0)
    tight = prepare(record, group(heat_limited=True, ceiling_c=18.0))
    assert grade(tight) is INDOOR
    assert find_margin(tight, INDOOR) is None
    wide = prepare(record, group(heat_limited=True, ceiling_c=45.0))
    cold = prepare(record)
    assert find_margin(wide, grade(wide)) == find_margin(cold, grade(cold))


def test_heat_takes_the_summer(hourly: Hourly, prepare: Prepare, group: Group) -> None:
    """One season, which crosses New Year and leaves mid-July (day 196) out.

    Winters at 18 °C, summers at 30 °C against a ceiling of 28; without regard to heat, all year.
    """
    record = hourly(years=10, mean_c=24.0, year_c=6.0, day_c=2.0)
    decision = decide(prepare(record, group(heat_limited=True, ceiling_c=28.0)))
    assert decision.verdict is SEASONAL
    assert decision.survival_season is not None
    assert decision.survival_season.stop > 365
    assert (196 - decision.survival_season.start) % 365 >= decision.survival_season.nights
    assert decide(prepare(record, group(ceiling_c=28.0))).verdict is ALL_YEAR


def test_heat_is_judged_by_whole_days(hourly: Hourly, prepare: Prepare, group: Group) -> None:
    """Afternoons of all but two years are missing: enough for cold, too little for heat."""
    record = hourly(years=10, mean_c=24.0, year_c=3.0, day_c=2.0)
    hour = np.arange(record.temp_c.size)
    lost = (hour > 2 * 8766) & (hour % 24 >= 13) & (hour % 24 < 17)
    lossy = replace(record, temp_c=np.where(lost, np.nan, record.temp_c))
    assert decide(prepare(lossy)).verdict is ALL_YEAR
    assert decide(prepare(lossy, group(heat_limited=True, ceiling_c=40.0))).verdict is NONE


def test_cold_and_heat_split_the_year(hourly: Hourly, prepare: Prepare, group: Group) -> None:
    """Winters at 6 °C, summers at 30 °C against a ceiling of 24: a spring and an autumn season."""
    record = hourly(years=10, mean_c=18.0, year_c=12.0, day_c=2.0)
    needs = group(heat_limited=True, ceiling_c=24.0, floor_c=12.0)
    decision = decide(prepare(record, needs))
    assert len(decision.survival_seasons) == 2
    spring, autumn = sorted(decision.survival_seasons, key=lambda season: season.start)
    assert 60 < spring.start < spring.stop < 196 < autumn.start < autumn.stop < 340


@settings(max_examples=15, deadline=None)
@given(
    st.integers(0, 2**32 - 1),
    st.integers(0, 80).map(lambda tenth: tenth / 10.0),
    st.integers(-60, 60).map(lambda tenth: tenth / 10.0),
)
def test_a_warmer_spot_never_has_a_worse_verdict(
    hourly: Hourly, prepare: Prepare, seed: int, warmer: float, offset: float
) -> None:
    """Where heat does not exclude; of the verdict, the season and the chance of the whole year."""
    record = weathered(hourly, years=9, seed=seed)
    here = decide(prepare(replace(record, temp_c=(record.temp_c + offset).round(1))))
    there = decide(prepare(replace(record, temp_c=(record.temp_c + offset + warmer).round(1))))
    assert there.verdict.rank >= here.verdict.rank
    assert there.all_year_chance >= here.all_year_chance - 1e-9
    before, after = here.survival_season, there.survival_season
    assert (after.nights if after else 0) >= (before.nights if before else 0)


@settings(max_examples=10, deadline=None)
@given(st.integers(0, 2**32 - 1), st.sampled_from([0.6, 0.8, 0.95, 0.99]))
def test_a_higher_promise_is_never_easier_to_keep(
    hourly: Hourly, prepare: Prepare, seed: int, promise: float
) -> None:
    record = weathered(hourly, years=9, seed=seed)
    usual = decide(prepare(record, rules=Rules(promise=0.6)))
    strict = decide(prepare(record, rules=Rules(promise=promise)))
    assert strict.verdict.rank <= usual.verdict.rank
    before, after = usual.survival_season, strict.survival_season
    assert (after.nights if after else 0) <= (before.nights if before else 0)


@pytest.mark.slow
@settings(max_examples=15, deadline=None)
@given(st.integers(0, 2**32 - 1), st.integers(-100, 100).map(lambda tenth: tenth / 10.0))
def test_the_quick_grade_is_the_decision(
    hourly: Hourly, prepare: Prepare, group: Group, seed: int, offset: float
) -> None:
    record = weathered(hourly, years=9, seed=seed)
    for changes in ({}, {"rest_floor_c": 9.0}, {"heat_limited": True, "ceiling_c": 27.0}):
        moved = replace(record, temp_c=(record.temp_c + offset).round(1))
        case = prepare(moved, group(**changes))
        assert grade(case) is decide(case).verdict


def without_hours(record: Record, lost: NDArray[np.bool_]) -> Record:
    """The record without some of its hours."""
    return replace(record, temp_c=np.where(lost, np.nan, record.temp_c))


def test_nights_not_seen_do_not_keep_a_group_indoors(
    hourly: Hourly, prepare: Prepare, ask: Ask
) -> None:
    """A season in every year, but after the ninth of twelve the station closed at night.

    Nine usable years; three of twelve may have had unsafe nights all summer, which no promise of
    90 % stands. Had they been fine, the season would be there: so nothing is said.
    """
    record = weathered(hourly)
    record = replace(record, temp_c=(record.temp_c - 1.5).round(1))
    hour = np.arange(record.temp_c.size)
    closed = (hour > 9 * 8766) & ((hour % 24 < 9) | (hour % 24 >= 18))
    lossy = without_hours(record, closed)
    assert decide(prepare(record)).verdict is SEASONAL
    decision = decide(prepare(lossy))
    assert decision.verdict is grade(prepare(lossy)) is NONE
    assert decision.season is decision.survival_season is None
    assert decision.survival_seasons == ()
    ((told, _),) = what_if(prepare(lossy), (0.0,), (0.9, 0.6))
    assert told == (NONE, None)
    reason = ask(lossy).reason
    assert reason is not None
    assert reason.code == "unknown-nights"
    assert dict(reason.numbers)["nights_unknown"] == pytest.approx(3 * 365, abs=3)


@pytest.mark.parametrize("changes", [{}, {"rest_floor_c": 9.0}, {"ceiling_c": 34.0}])
def test_trials_say_of_lost_nights_what_a_full_answer_says(
    hourly: Hourly, prepare: Prepare, group: Group, changes: dict[str, float]
) -> None:
    """Warmer and colder, with a rest and with a ceiling: each as `grade` gives it."""
    record = weathered(hourly)
    hour = np.arange(record.temp_c.size)
    closed = (hour > 9 * 8766) & ((hour % 24 < 9) | (hour % 24 >= 18))
    case = prepare(
        without_hours(record, closed), group(heat_limited="ceiling_c" in changes, **changes)
    )
    steps = [float(step) for step in range(-6, 4)]
    told = [verdict for ((verdict, _),) in what_if(case, steps, (0.9,))]
    assert told == [grade(case, step) for step in steps]
    assert {INDOOR, NONE} <= set(told)


def test_cold_that_was_seen_keeps_a_group_indoors(hourly: Hourly, prepare: Prepare) -> None:
    """The same station under a climate whose summers are too cold on the nights that were seen."""
    record = hourly(years=12, mean_c=5.0, year_c=10.0, day_c=3.0)
    hour = np.arange(record.temp_c.size)
    closed = (hour > 9 * 8766) & ((hour % 24 < 9) | (hour % 24 >= 18))
    assert decide(prepare(without_hours(record, closed))).verdict is INDOOR


@pytest.mark.slow
@settings(max_examples=25, deadline=None)
@given(
    st.integers(0, 2**32 - 1),
    st.tuples(st.sampled_from([1, 6, 24]), st.integers(1, 8)),
    st.integers(-60, 20).map(lambda tenth: tenth / 10.0),
)
def test_scattered_losses_turn_no_season_into_indoors(
    hourly: Hourly, prepare: Prepare, seed: int, loss: tuple[int, int], offset: float
) -> None:
    """Hours, quarters of days or whole days lost at random: a season, or no verdict."""
    record = weathered(hourly, years=9, seed=seed % 5)
    record = replace(record, temp_c=(record.temp_c + offset).round(1))
    size, (block, percent) = record.temp_c.size, loss
    lost = np.random.default_rng(seed).random(size // block + 1) < percent / 100.0
    lossy = prepare(without_hours(record, np.repeat(lost, block)[:size]))
    before, after = decide(prepare(record)).verdict, decide(lossy).verdict
    assert after is grade(lossy)
    if before is SEASONAL:
        assert after in (SEASONAL, NONE)


def test_stability(hourly: Hourly, prepare: Prepare) -> None:
    """Years that are all alike give the same verdict whichever are drawn.

    The same seed gives the same share, and a season at the brink stands less firmly.
    """
    alike = prepare(hourly(years=12, mean_c=25.0, year_c=3.0, day_c=2.0))
    assert stability(alike, decide(alike), 200, 1) == 1.0
    case = prepare(weathered(hourly))
    decision = decide(case)
    assert stability(case, decision, 200, 5) == stability(case, decision, 200, 5)
    assert 0.0 <= stability(case, decision, 200, 5) <= 1.0
    margin = find_margin(case, decision.verdict)
    assert margin is not None
    brink_record = weathered(hourly)
    brink = prepare(replace(brink_record, temp_c=(brink_record.temp_c + margin).round(1)))
    assert stability(brink, decide(brink), 200, 5) < 1.0


def test_findings_hold_the_decision(hourly: Hourly, ask: Ask, prepare: Prepare) -> None:
    """The finding says what was decided: dates in words, counts, margin."""
    record = weathered(hourly)
    case = prepare(record)
    decision = decide(case)
    finding = ask(record)
    assert finding.verdict is decision.verdict
    assert finding.season is not None
    assert decision.season is not None
    assert finding.season.days == decision.season.nights
    assert finding.margin_c == find_margin(case, decision.verdict)
    assert finding.headroom_c == find_headroom(case, decision.verdict)
    assert finding.years_usable == decision.years_usable
    assert sum(finding.growing_days) == decision.floor_days.sum()


# The rule, asked by all -----------------------------------------------------------------------


@given(enough=st.booleans(), all_year=st.booleans(), season=st.booleans(), unseen=st.booleans())
def test_the_rule_asks_no_more_than_it_must(
    *, enough: bool, all_year: bool, season: bool, unseen: bool
) -> None:
    """The first question answered yes gives the verdict; those after it are not asked."""
    asked: list[str] = []

    def answer(name: str, *, yes: bool) -> bool:
        asked.append(name)
        return yes

    def verdict(down_to: Verdict = INDOOR) -> Verdict:
        asked.clear()
        return rule(
            enough_years=enough,
            all_year=lambda: answer("all year", yes=all_year),
            season=lambda: answer("season", yes=season),
            unseen=lambda: answer("unseen", yes=unseen),
            down_to=down_to,
        )

    full = verdict()
    expected = NONE if not enough else ALL_YEAR if all_year else SEASONAL if season else None
    assert full is (expected or (NONE if unseen else INDOOR))
    assert asked == ["all year", "season", "unseen"][: {ALL_YEAR: 1, SEASONAL: 2}.get(full, 3)] * (
        enough
    )
    for better in (ALL_YEAR, SEASONAL):
        assert (verdict(better).rank >= better.rank) == (full.rank >= better.rank)
        assert "unseen" not in asked


@settings(max_examples=15)
@given(st.integers(0, 2**32 - 1), st.integers(-60, 60).map(lambda tenth: tenth / 10.0))
def test_all_who_ask_hear_the_same(
    hourly: Hourly, prepare: Prepare, group: Group, seed: int, warmer: float
) -> None:
    """In full, alone, down to a verdict, in trials and for other promises: one rule."""
    case = prepare(weathered(hourly, years=9, seed=seed), group(rest_floor_c=9.0))
    promises = (0.5, 0.8, 0.9)
    ((*told,),) = what_if(case, (warmer,), promises)
    for promise, (verdict, season) in zip(promises, told, strict=True):
        asked = replace(case, rules=replace(case.rules, promise=promise))
        assert grade(asked, warmer) is verdict is Standing(case, warmer).verdict(promise)
        assert reaches(asked, ALL_YEAR, warmer) == (verdict is ALL_YEAR)
        assert reaches(asked, SEASONAL, warmer) == (verdict in (ALL_YEAR, SEASONAL))
        if warmer == 0.0:
            assert (decide(asked).verdict, decide(asked).season_allowed) == (verdict, season)


def test_what_comes_to_the_same_numbers_is_one_case(
    hourly: Hourly, group: Group, monkeypatch: pytest.MonkeyPatch
) -> None:
    """Two groups of one's numbers, and the same asked again: one decision; another floor: two."""
    decided: list[object] = []

    def counted(case: Case) -> Decision:
        decided.append(case)
        return decide(case)

    monkeypatch.setattr(verdicts, "decide", counted)
    one = group()
    groups = [one, replace(one, key="namesake")]
    laid_out = lay_out(weathered(hourly), PLACE, (ROOFED,), groups, OPTIONS)
    again = laid_out.asking([(ROOFED, [one])])
    assert again.spots[0].decisions[0] is laid_out.spots[0].decisions[1]
    assert len(decided) == 1
    laid_out.asking([(ROOFED, [group(floor_c=one.floor_c + 1.0)])])
    assert len(decided) == 2


def test_a_plant_asked_by_name_is_decided_once_an_end(
    hourly: Hourly, monkeypatch: pytest.MonkeyPatch
) -> None:
    """Check and profile: low, usual and high end of the ranges, kept dry, and a first winter."""
    decided: list[Case] = []

    def counted(case: Case) -> Decision:
        decided.append(case)
        return decide(case)

    monkeypatch.setattr(verdicts, "decide", counted)
    subject = Subject(group=read_catalogue().find("nobile"))
    needs, record = subject.group.needs(subject.caution), weathered(hourly)
    laid_out = lay_out(record, PLACE, (OPEN_AIR,), [needs], OPTIONS, also=profile_needs([subject]))
    check_groups(laid_out)
    shared = make_profiles(laid_out, OPEN_AIR, [subject])
    assert len(decided) <= 5
    assert len({(case.limits, bool(np.isinf(case.shortfall.wet_c).all())) for case in decided}) == (
        len(decided)
    )
    assert shared == make_profiles(
        lay_out(record, PLACE, (OPEN_AIR,), (), OPTIONS, also=profile_needs([subject])),
        OPEN_AIR,
        [subject],
    )
