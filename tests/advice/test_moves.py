"""Moves: dates, years that made them, odds, and the honest answer where there is little to say."""

from __future__ import annotations

import math
from datetime import date, timedelta
from typing import TYPE_CHECKING, Any, Protocol

import numpy as np
import pytest
from hypothesis import given, settings
from hypothesis import strategies as st
from msgspec.structs import replace

from suitability.advice.cases import Rules
from suitability.advice.moves import plan_moves
from suitability.advice.preparing import CheckOptions, lay_out
from suitability.advice.terms import Season, Verdict
from suitability.climate.chance import excluded_rate, wilson_interval
from suitability.groups import Caution, read_catalogue
from suitability.places import Place
from suitability.spots.spot import OPEN_AIR, ROOFED

from .conftest import PLACE

if TYPE_CHECKING:
    from collections.abc import Callable

    from suitability.advice.moves import Move, MovesResult, YearOutdoors
    from suitability.groups.group import Needs
    from suitability.spots.spot import Spot
    from suitability.weather.record import Record
    from tests.advice.conftest import Group
    from tests.conftest import Hourly

MONTH_STARTS = (0, 31, 59, 90, 120, 151, 181, 212, 243, 273, 304, 334)
WARM = 25.0
WINTER = ("11-01", "03-31")  # nights of these evenings are hard in most records below


class Plan(Protocol):
    """What plans the moves of one group on a record."""

    def __call__(
        self,
        record: Record,
        needs: Needs | None = None,
        *,
        promise: float = 0.9,
        spot: Spot = ROOFED,
        thresholds_c: tuple[float, ...] = (),
    ) -> MovesResult:
        """The result; rain kept off and no allowance unless said."""
        ...


@pytest.fixture(scope="session")
def plan(group: Group) -> Plan:
    """Moves of one group; the one of `group()` unless another is given."""

    def find(
        record: Record,
        needs: Needs | None = None,
        *,
        promise: float = 0.9,
        spot: Spot = ROOFED,
        thresholds_c: tuple[float, ...] = (),
    ) -> MovesResult:
        options = CheckOptions(rules=Rules(promise=promise), minimum_allowance_c=0.0)
        chosen = [needs or group()]
        return plan_moves(
            lay_out(record, PLACE, (spot,), chosen, options), thresholds_c=thresholds_c
        )

    return find


def day(month_day: str) -> int:
    """Day of the folded year, 1 January is 0."""
    month, number = map(int, month_day.split("-"))
    return MONTH_STARTS[month - 1] + number - 1


def nights_record(
    hourly: Hourly,
    temp_of: Callable[[date], float],
    *,
    first: str = "2001-01-01",
    last: str = "2012-12-31",
) -> Record:
    """Every hour of a night, noon to noon, at one temperature: that of its evening's date."""
    start, stop = date.fromisoformat(first), date.fromisoformat(last)
    evenings = [start + timedelta(days=number - 1) for number in range((stop - start).days + 2)]
    hours = np.repeat([temp_of(evening) for evening in evenings], 24)
    return hourly(hours[12:-12], start=f"{first}T00")  # midnight to midnight


def in_winter(evening: date, bounds: tuple[str, str] = WINTER) -> bool:
    """Whether an evening lies in a stretch that crosses New Year."""
    here = f"{evening:%m-%d}"
    return here >= bounds[0] or here <= bounds[1]


def only(result: MovesResult) -> Move:
    (move,) = result.results
    return move


def row_of(move: Move, year: int) -> YearOutdoors:
    return next(one for one in move.by_year if one.year == year)


def letter(row: YearOutdoors, month_day: str) -> str:
    """The letter of one night of a row."""
    return row.nights[(day(month_day) - day(row.first_day)) % 365]


# What each year allowed ------------------------------------------------------------------------


def test_out_is_the_day_after_the_last_hard_night_and_in_the_evening_of_the_first(
    hourly: Hourly, plan: Plan
) -> None:
    """Hard nights from that of 1 November to that of 31 March.

    Out 1 April: that night is fine. In 1 November: carried in before that night. 214 days between.
    """
    record = nights_record(hourly, lambda evening: 0.0 if in_winter(evening) else WARM)
    move = only(plan(record))
    assert move.verdict is Verdict.SEASONAL
    for year in range(2001, 2013):
        row = row_of(move, year)
        if row.out is not None:
            assert (row.out, row.inn, row.days) == ("04-01", "11-01", 214)
        assert letter(row, "04-01") in "d."
        assert letter(row, "10-31") == "."
        assert letter(row, "11-01") == "h"
    # 24 h x 12 °C = 288 °C·h in each hard night: by dose, nights to 31 March + 13 = 13 April are
    # unsafe for a plant out for a fortnight, yet one that goes out on 1 April is never too cold
    assert [letter(row_of(move, 2005), one) for one in ("03-31", "04-13", "04-14")] == list("hd.")


def test_a_night_unsafe_by_dose_forbids_only_starts_thirteen_nights_before(
    hourly: Hourly, plan: Plan, group: Group
) -> None:
    """Two nights at 10 °C, 48 °C·h each below 12 °C, on 10 and 11 April; 60 °C·h are tolerated.

    Nights of 11 to 23 April hold both within 14 nights, and are unsafe by dose. A plant that goes
    out on 11 April has had 48 °C·h only; one that goes out on 10 April reaches its 14th night on
    the 23rd, with 96.
    """
    cold = {"04-10", "04-11"}

    def temp_of(evening: date) -> float:
        if f"{evening:%m-%d}" in cold:
            return 10.0
        return 0.0 if in_winter(evening, ("12-01", "02-10")) else WARM

    move = only(plan(nights_record(hourly, temp_of), group(floor_c=11.0)))
    row = row_of(move, 2005)
    marks = [letter(row, one) for one in ("04-10", "04-11", "04-23", "04-24")]
    assert marks == [".", "d", "d", "."]
    assert row.out == "04-11"


def test_one_night_short_of_the_dose_changes_nothing(
    hourly: Hourly, plan: Plan, group: Group
) -> None:
    """48 °C·h of 60: no mark, and out is set by the hard nights before."""

    def temp_of(evening: date) -> float:
        if f"{evening:%m-%d}" == "04-10":
            return 10.0
        return 0.0 if in_winter(evening, ("12-01", "02-10")) else WARM

    row = row_of(only(plan(nights_record(hourly, temp_of), group(floor_c=11.0))), 2005)
    assert letter(row, "04-10") == "."
    assert row.out == "02-11"


def test_causes_have_their_letters_and_the_gravest_counts(
    hourly: Hourly, plan: Plan, group: Group
) -> None:
    """Hard at 4 °C, wet at 7 °C in rain (limits 5 and 8), heat on the fourth day over 30 °C."""
    special = {"05-01": 4.0, "05-20": 7.0, "06-10": 7.0}

    def temp_of(evening: date) -> float:
        here = f"{evening:%m-%d}"
        if "07-01" <= here <= "07-04":
            return 33.0
        return special.get(here, WARM)

    record = nights_record(hourly, temp_of)
    rain = np.zeros(record.temp_c.size)
    for year in range(2001, 2013):  # 2 mm in the evening of 20 May, none on 10 June
        rain[((date(year, 5, 20) - date(2001, 1, 1)).days) * 24 + 18] = 2.0
    wet = replace(record, prcp_mm=rain)
    needs = group(ceiling_c=30.0, heat_limited=True, dose_limit_c_h=10_000.0)
    row = row_of(only(plan(wet, needs, spot=OPEN_AIR)), 2005)
    found = {one: letter(row, one) for one in ("05-01", "05-20", "06-10", "07-03", "07-04")}
    assert found == {"05-01": "h", "05-20": "w", "06-10": ".", "07-03": ".", "07-04": "t"}
    roofed = row_of(only(plan(wet, needs)), 2005)
    assert letter(roofed, "05-20") == "."


def test_the_leap_day_stands_on_28_february(hourly: Hourly, plan: Plan, group: Group) -> None:
    """A hard night on 29 February 2004 marks 28 February of that year and no other."""
    record = nights_record(hourly, lambda evening: 0.0 if evening == date(2004, 2, 29) else WARM)
    move = only(plan(record, group(dose_limit_c_h=10_000.0)))
    marked = [
        (row.year, index) for row in move.by_year for index, one in enumerate(row.nights)
        if one == "h"
    ]  # fmt: skip
    ((year, column),) = marked
    assert (column + day(move.by_year[0].first_day)) % 365 == day("02-28")
    assert year == 2004
    assert all(len(row.nights) == 365 for row in move.by_year)


def test_the_season_lies_in_the_middle_of_the_rows(hourly: Hourly, plan: Plan) -> None:
    """Rows begin 182 days before the middle of the season, whatever season it is."""
    for bounds in (("11-01", "03-31"), ("05-15", "09-20")):
        inside = bounds[0] > bounds[1]

        def temp_of(
            evening: date,
            bounds: tuple[str, str] = bounds,
            inside: bool = inside,  # noqa: FBT001
        ) -> float:
            here = f"{evening:%m-%d}"
            cold = in_winter(evening, bounds) if inside else bounds[0] <= here <= bounds[1]
            return 0.0 if cold else WARM

        move = only(plan(nights_record(hourly, temp_of)))
        assert move.season is not None
        middle = day(move.season.out) + move.season.days // 2
        assert {row.first_day for row in move.by_year} == {move.by_year[0].first_day}
        assert (day(move.by_year[0].first_day) + 182) % 365 == middle % 365


def test_a_row_is_named_for_the_year_of_its_middle(hourly: Hourly, plan: Plan) -> None:
    """Northern seasons have their calendar year, southern ones that of their February."""
    north = only(plan(nights_record(hourly, lambda one: 0.0 if in_winter(one) else WARM)))
    rows = {row.year: row for row in north.by_year}
    assert rows[2003].inn == "11-01"

    def southern(evening: date) -> float:
        return 0.0 if "05-15" <= f"{evening:%m-%d}" <= "09-20" else WARM

    south = only(plan(nights_record(hourly, southern)))
    rows = {row.year: row for row in south.by_year}
    assert rows[2003].out == "09-21"  # of 2002
    assert rows[2003].inn == "05-15"  # of 2003


# Promised and typical --------------------------------------------------------------------------


def test_equal_years_promise_what_they_all_allowed(hourly: Hourly, plan: Plan) -> None:
    """Twelve equal years: promised dates lie at or within the years' own, by the kernel's caution.

    The kernel shifts years by some days (standard deviation 8 x 11^-0.3 = 3.9), so that the season
    is shorter on both sides by a few of them.
    """
    record = nights_record(hourly, lambda one: 0.0 if in_winter(one) else WARM)
    move = only(plan(record))
    assert move.season is not None
    assert 0 <= day(move.season.out) - day("04-01") <= 45  # the floor rule looks 28 days back
    assert 0 <= day("11-01") - day(move.season.inn) <= 12
    assert move.years_kept == move.years_counted == len([r for r in move.by_year if r.kept])


def test_typical_dates_are_the_median_years(hourly: Hourly, plan: Plan, group: Group) -> None:
    """The last hard night is 1 March + 4 k, the first 20 November - 3 k, in the k-th year.

    Of the k from 0 to 10 in 2001 to 2011 the middle one is 5: out on 22 March (the day after
    21 March), in on 5 November. The winter of 2012 only ends the last row.
    """

    def temp_of(evening: date) -> float:
        k = evening.year - 2001
        of_year = evening.timetuple().tm_yday - 1
        if evening.year % 4 == 0 and of_year >= 59:
            of_year -= 1
        return 0.0 if of_year <= day("03-01") + 4 * k or of_year >= day("11-20") - 3 * k else WARM

    record = nights_record(hourly, temp_of, last="2012-02-29")
    needs = group(floor_c=0.0, chill_base_c=0.0)  # no floor, no dose
    move = only(plan(record, needs))
    usable = [row for row in move.by_year if row.out is not None]
    assert move.out is not None
    assert move.inn is not None
    outs = sorted(day(row.out or "") for row in usable)
    inns = sorted(day(row.inn or "") for row in usable)
    assert len(usable) == 11
    assert (move.out.typical, move.inn.typical) == ("03-22", "11-05")
    assert [outs[5], inns[5]] == [day("03-22"), day("11-05")]


def test_in_dates_around_new_year_have_their_middle_there(
    hourly: Hourly, plan: Plan, group: Group
) -> None:
    """Cold begins on 21, 26, 31 December, 3, 8, 12 January, and ends on 31 May.

    The median lies between 31 December and 3 January; the plain mean of the days of the year
    would be in July.
    """
    begins = [(0, 12, 21), (0, 12, 26), (0, 12, 31), (1, 1, 3), (1, 1, 8), (1, 1, 12)]

    def temp_of(evening: date) -> float:
        winter = evening.year - (evening.month < 7)
        later, month, number = begins[winter % 6]
        since = date(winter + later, month, number)
        return 0.0 if since <= evening <= date(winter + 1, 5, 31) else WARM

    record = nights_record(hourly, temp_of, last="2013-12-31")  # twelve winters, two of each
    move = only(plan(record, group(dose_limit_c_h=10_000.0, floor_c=-5.0)))
    assert move.inn is not None
    assert move.out is not None
    assert move.inn.typical == "01-01"
    assert move.out.typical == "06-01"
    assert move.inn.watch_from == move.inn.promised  # the weeks to watch cross New Year
    assert "12-01" <= move.inn.promised <= "12-21"
    assert move.inn.watch_to == "01-01"


def test_watch_weeks_lie_between_typical_and_promised(
    hourly: Hourly, plan: Plan, group: Group
) -> None:
    """In spring from the typical to the promised date, in autumn the other way round."""
    move = only(plan(weathered(hourly), group(floor_c=0.0)))
    assert move.out is not None
    assert move.inn is not None
    assert (move.out.watch_from, move.out.watch_to) == (move.out.typical, move.out.promised)
    assert (move.inn.watch_from, move.inn.watch_to) == (move.inn.promised, move.inn.typical)


def test_no_watch_weeks_where_both_coincide(hourly: Hourly, plan: Plan, group: Group) -> None:
    """A season cut by the floor alone has the same promised and typical beginning."""
    needs = group(limit_c=-20.0, limit_wet_c=-20.0, chill_base_c=-20.0, floor_c=12.0)
    record = hourly(years=12, mean_c=14.0, year_c=9.0, day_c=2.0)
    move = only(plan(record, needs))
    assert move.verdict is Verdict.SEASONAL
    assert move.out is not None
    assert move.out.promised == move.out.typical
    assert (move.out.watch_from, move.out.watch_to) == (None, None)
    # no night was ever near the limit: other years would promise the same
    assert move.out.holds_alone == 0.99  # the highest that is told
    assert move.out.earliest == move.out.latest == move.out.promised


def weathered(
    hourly: Hourly, *, years: int = 15, seed: int = 1, coldest: int = 15, mean_c: float = 16.0
) -> Record:
    """A climate of cool winters with weather in it: 3 °C about the mean, from day to day."""
    record = hourly(years=years, mean_c=mean_c, year_c=8.0, day_c=4.0, coldest=coldest)
    days = -(-record.temp_c.size // 24)
    noise = np.random.default_rng(seed).normal(0.0, 3.0, days)
    return replace(
        record, temp_c=(record.temp_c + np.repeat(noise, 24)[: record.temp_c.size]).round(1)
    )


@settings(max_examples=12, deadline=None)
@given(seed=st.integers(0, 10_000), years=st.integers(4, 14), mean_c=st.floats(12.0, 20.0))
def test_what_always_holds(
    hourly: Hourly, plan: Plan, seed: int, years: int, mean_c: float
) -> None:
    """Rows agree with the counts, intervals hold their date, odds multiply."""
    move = only(plan(weathered(hourly, years=years, seed=seed, mean_c=mean_c)))
    check_consistent(move)


def check_consistent(move: Move) -> None:
    """All numbers of a move agree with one another."""
    kept = [row.kept for row in move.by_year if row.kept is not None]
    assert (sum(kept), len(kept)) == (move.years_kept, move.years_counted)
    assert [row.year for row in move.by_year] == sorted({row.year for row in move.by_year})
    if move.season is None and move.season_too_short is None:
        assert (move.chance, move.decades) == (None, None)
    if move.chance is not None:
        assert move.chance_5_years == pytest.approx(move.chance**5, abs=3e-4)  # from four decimals
        assert move.chance_10_years == pytest.approx(move.chance**10, abs=6e-4)
    if move.decades is not None:
        assert move.decades.last_years == min(10, len(kept))
        assert move.decades.last_kept == sum(kept[-10:])
        assert move.decades.last_kept + move.decades.earlier_kept == move.years_kept
        assert move.decades.last_years + move.decades.earlier_years == move.years_counted
    if move.years_counted:
        low, high = wilson_interval(move.years_kept, move.years_counted)
        assert (move.kept_low, move.kept_high) == pytest.approx((low, high), abs=5e-5)
    failed = move.years_counted > move.years_kept
    if move.risk_not_excluded is not None:
        assert not failed
        assert move.risk_not_excluded == pytest.approx(excluded_rate(move.years_counted), abs=5e-5)
    whole = move.season is not None and move.season.days == 365
    assert (move.out is not None) == (move.verdict is Verdict.SEASONAL and not whole)
    if move.out is not None:
        check_dates(move)


def check_dates(move: Move) -> None:
    """Dates of a season in their order along the row."""
    assert move.season is not None
    assert move.out is not None
    assert move.inn is not None
    assert (move.out.promised, move.inn.promised) == (move.season.out, move.season.inn)
    first = day(move.by_year[0].first_day)
    for date_ in (move.out, move.inn):
        around = [
            (day(one) - day(date_.promised) + 182) % 365 - 182
            for one in (date_.earliest, date_.latest)
        ]
        assert around[0] <= 0 <= around[1]
        assert around[0] >= -64
        assert around[1] <= 64
        assert date_.holds_alone >= (move.chance or 0.0) - 1e-9
    for row in move.by_year:
        assert len(row.nights) == 365
        if row.out is None or row.inn is None or row.days is None:
            continue
        if row.days == 365:
            assert (row.out, row.inn) == ("01-01", "01-01")
            continue
        out, inn = (day(row.out) - first) % 365, (day(row.inn) - first) % 365 or 365
        assert inn - out == row.days
        assert set(row.nights[out:182]) <= {".", "?", "d"}
        assert set(row.nights[max(182, out) : inn]) <= {".", "?"}


def test_the_whole_catalogue_is_consistent_on_real_records(
    extract: Callable[[str], tuple[Record, Place]],
) -> None:
    """North and south, 17 and 21 years; heat-limited groups among them."""
    catalogue = read_catalogue(None)
    needs = [group.needs(Caution.USUAL) for group in catalogue.groups]
    for name in ("porto_alegre", "nashville"):
        record, place = extract(name)
        result = plan_moves(lay_out(record, place, (OPEN_AIR,), needs, CheckOptions(rules=Rules())))
        assert [move.group for move in result.results] == list(catalogue.keys)
        for move in result.results:
            check_consistent(move)


def test_a_year_that_failed_is_counted_marked_and_leaves_no_excluded_risk(
    hourly: Hourly, plan: Plan
) -> None:
    """One hard night in mid-July 2006, asked for four years in five: eleven of twelve kept."""

    def temp_of(evening: date) -> float:
        return 0.0 if in_winter(evening) or evening == date(2006, 7, 15) else WARM

    move = only(plan(nights_record(hourly, temp_of), promise=0.8))
    assert move.season is not None
    assert day(move.season.out) < day("07-15") < day(move.season.inn)
    assert [row.year for row in move.by_year if row.kept is False] == [2006]
    assert move.years_counted - move.years_kept == 1
    assert move.risk_not_excluded is None
    failed = row_of(move, 2006)
    assert letter(failed, "07-15") == "h"


def test_the_last_ten_years_stand_beside_the_earlier_ones(hourly: Hourly, plan: Plan) -> None:
    """A hard night in mid-season in 2002 fails among the earlier years, not among the last ten."""

    def temp_of(evening: date) -> float:
        return 0.0 if in_winter(evening) or evening == date(2002, 7, 15) else WARM

    move = only(plan(nights_record(hourly, temp_of, last="2015-12-31"), promise=0.8))
    decades = move.decades
    assert decades is not None
    assert (decades.last_kept, decades.last_years) == (10, 10)
    assert decades.earlier_years - decades.earlier_kept == 1
    assert decades.earlier_years == move.years_counted - 10


def test_a_season_that_grows_is_seen_as_a_trend(hourly: Hourly, plan: Plan, group: Group) -> None:
    """Hard nights end two days earlier each year: 20 days a decade, with hardly a doubt."""

    def temp_of(evening: date) -> float:
        here = evening.timetuple().tm_yday - 1
        leap = evening.year % 4 == 0 and here >= 59
        last = day("04-30") - 2 * (evening.year - 2001)
        return 0.0 if here - leap <= last or f"{evening:%m-%d}" >= "11-01" else WARM

    needs = group(floor_c=0.0, chill_base_c=0.0)
    move = only(plan(nights_record(hourly, temp_of, last="2014-12-31"), needs))
    assert move.decades is not None
    assert move.decades.days_per_decade == pytest.approx(20.0)
    assert move.decades.trend_p is not None
    assert move.decades.trend_p < 0.001


def test_south_is_north_half_a_year_later(hourly: Hourly, plan: Plan) -> None:
    """The same nights 182 days later have the same dates 182 days later."""
    shift = 182
    law = {
        number: 15.0 - 9.0 * math.cos(2 * math.pi * (number - 14) / 365) for number in range(365)
    }
    wild = np.random.default_rng(5).normal(0.0, 3.0, (16, 365))

    def of(evening: date, later: int) -> float:
        folded = evening.timetuple().tm_yday - 1
        if evening.year % 4 == 0 and folded >= 59:
            folded -= 1
        position = (evening.year - 2000) * 365 + folded - later
        year, number = divmod(position, 365)
        return round(law[number] + float(wild[year, number]), 1)

    north = only(plan(nights_record(hourly, lambda one: of(one, 0), last="2013-12-31")))
    south = only(
        plan(
            nights_record(hourly, lambda one: of(one, shift), first="2001-07-02", last="2014-07-01")
        )
    )
    assert north.verdict is south.verdict is Verdict.SEASONAL
    assert north.season is not None
    assert south.season is not None
    assert south.season.days == north.season.days
    assert (day(south.season.out) - day(north.season.out)) % 365 == shift
    assert south.chance == pytest.approx(north.chance)
    assert north.out is not None
    assert south.out is not None
    assert north.inn is not None
    assert south.inn is not None
    for one, other in ((north.out, south.out), (north.inn, south.inn)):
        for name in ("promised", "typical", "earliest", "latest"):
            assert (day(getattr(other, name)) - day(getattr(one, name))) % 365 == shift, name


def test_the_lows_of_tonight_are_counted_left_out_all_year(hourly: Hourly, plan: Plan) -> None:
    """Under a roof at or below 5 + 2 °C, in the open 8 + 2: three and four nights each January."""
    cold = {"01-10": 7.0, "01-11": 5.0, "01-12": 7.0, "01-13": 7.1}
    record = nights_record(hourly, lambda evening: cold.get(f"{evening:%m-%d}", WARM))
    assert only(plan(record)).tonight_nights == 3.0
    assert only(plan(record, spot=OPEN_AIR)).tonight_nights == 4.0


# Little to say ---------------------------------------------------------------------------------


def test_never_cold_is_all_year_without_dates(hourly: Hourly, plan: Plan) -> None:
    """Every night fine, every plant year kept, nothing to move."""
    move = only(plan(hourly(years=12, mean_c=25.0, year_c=4.0, day_c=2.0)))
    assert move.verdict is Verdict.ALL_YEAR
    assert (move.out, move.inn, move.typical_season) == (None, None, None)
    assert move.season == Season(out="01-01", inn="01-01", days=365)
    assert set("".join(row.nights for row in move.by_year)) == {".", "?"}  # ends of the record
    assert {row.kept for row in move.by_year} <= {True, None}
    assert {row.days for row in move.by_year} <= {365, None}
    check_consistent(move)
    assert move.chance == 0.99  # the highest that is told
    assert move.carried_nights is not None
    assert (move.carried_nights.typical, move.carried_nights.worst) == (0, 0)


def test_all_year_rows_hold_a_whole_winter(hourly: Hourly, plan: Plan, group: Group) -> None:
    """One hard night in January 2006: the plant year around it failed, and shows no dates.

    Rows run from mid-summer to mid-summer, as the verdict counts.
    """

    def temp_of(evening: date) -> float:
        wave = 20.0 - 4.0 * math.cos(2 * math.pi * (evening.timetuple().tm_yday - 15) / 365.25)
        return 4.0 if evening == date(2006, 1, 20) else round(wave, 1)

    needs = group(dose_limit_c_h=10_000.0)
    move = only(plan(nights_record(hourly, temp_of, last="2014-12-31"), needs, promise=0.8))
    assert move.verdict is Verdict.ALL_YEAR
    assert day("07-10") <= day(move.by_year[0].first_day) <= day("07-20")
    failed = row_of(move, 2006)
    assert (failed.kept, failed.out, failed.inn, failed.days) == (False, None, None, None)
    assert letter(failed, "01-20") == "h"
    check_consistent(move)


def test_never_fine_is_indoor_only_with_its_years(hourly: Hourly, plan: Plan) -> None:
    """No night above 4 °C: no season, no dates, every night marked, and a reason."""
    move = only(plan(hourly(years=12, mean_c=0.0, year_c=3.0, day_c=1.0)))
    assert move.verdict is Verdict.INDOOR
    assert (move.season, move.out, move.inn, move.chance) == (None, None, None, None)
    assert move.decades is None
    assert move.carried_nights is None
    assert move.reason is not None
    assert set("".join(row.nights for row in move.by_year)) == {"h", "?"}
    assert {row.days for row in move.by_year} == {0, None}
    assert {row.kept for row in move.by_year} == {None}


@pytest.mark.parametrize("years", [1, 2, 3, 5])
def test_few_years_give_an_honest_answer(hourly: Hourly, plan: Plan, years: int) -> None:
    """Under three usable plant years no verdict; then provisional, and never all year."""
    cool = only(plan(weathered(hourly, years=years)))
    mild = only(plan(hourly(years=years, mean_c=25.0, year_c=4.0, day_c=2.0)))
    for move in (cool, mild):
        assert move.verdict is not Verdict.ALL_YEAR
        assert move.reason is not None
        assert move.by_year
        check_consistent(move)
        if move.verdict is Verdict.NONE:
            assert move.years_usable < 3
            assert (move.season, move.out, move.inn, move.chance) == (None, None, None, None)
            assert {row.kept for row in move.by_year} == {None}
        else:
            assert move.provisional
            assert move.model_based
    # three calendar years from 1 January hold two whole plant years from mid-winter on
    assert mild.verdict is (Verdict.NONE if years <= 3 else Verdict.SEASONAL)
    if mild.verdict is Verdict.SEASONAL:  # all of the year, which five years cannot promise
        assert mild.season == Season(out="01-01", inn="01-01", days=365)
        assert (mild.out, mild.inn) == (None, None)
        assert mild.reason is not None
        assert mild.reason.code == "too-few-years-for-all-year"


def test_a_hole_in_the_season_silences_that_year_only(hourly: Hourly, plan: Plan) -> None:
    """Ten days missing in July 2005: that year neither keeps nor fails."""
    record = nights_record(hourly, lambda one: 0.0 if in_winter(one) else WARM)
    temp = record.temp_c.copy()
    at = (date(2005, 7, 10) - date(2001, 1, 1)).days * 24
    temp[at : at + 240] = np.nan
    whole, holed = only(plan(record)), only(plan(hourly(temp)))
    row = row_of(holed, 2005)
    assert letter(row, "07-15") == "?"
    assert (row.kept, row.out, row.inn, row.days) == (None, None, None, None)
    assert holed.years_counted == whole.years_counted - 1
    assert [one.kept for one in holed.by_year if one.year != 2005] == [
        one.kept for one in whole.by_year if one.year != 2005
    ]


def test_a_cold_night_beside_a_hole_still_fails_its_year(hourly: Hourly, plan: Plan) -> None:
    """An unsafe night counts whatever else is missing."""

    def temp_of(evening: date) -> float:
        return 0.0 if in_winter(evening) or evening == date(2005, 8, 15) else WARM

    record = nights_record(hourly, temp_of)
    temp = record.temp_c.copy()
    at = (date(2005, 7, 10) - date(2001, 1, 1)).days * 24
    temp[at : at + 240] = np.nan
    move = only(plan(hourly(temp), promise=0.8))
    assert move.season is not None
    assert row_of(move, 2005).kept is False


def test_a_record_that_starts_in_mid_winter_loses_no_season(hourly: Hourly, plan: Plan) -> None:
    """From 20 January 2001 on, the season of 2001 is as good as any."""
    record = nights_record(hourly, lambda one: 0.0 if in_winter(one) else WARM, first="2001-01-20")
    move = only(plan(record))
    row = row_of(move, 2001)
    assert row.kept is True
    assert letter(row, "04-20") == "."
    check_consistent(move)


def test_a_place_without_winter_is_cut_at_new_year(hourly: Hourly, plan: Plan) -> None:
    """An annual wave of half a degree: no mid-summer to cut at, and nothing breaks."""
    move = only(plan(hourly(years=10, mean_c=26.0, year_c=0.5, day_c=3.0)))
    assert move.verdict is Verdict.ALL_YEAR
    assert move.by_year[0].first_day == "01-01"
    assert move.years_kept == 10


# Dates of a temperature ------------------------------------------------------------------------


def test_threshold_dates_are_at_or_below_and_of_the_open_station(
    hourly: Hourly, plan: Plan
) -> None:
    """Each winter is at 5.0 °C from 1 December to 20 February, and never colder.

    Nights run noon to noon, so that mornings reach 21 February; dates are of calendar days.
    """

    def temp_of(evening: date) -> float:
        return 5.0 if in_winter(evening, ("12-01", "02-20")) else WARM

    result = plan(nights_record(hourly, temp_of), thresholds_c=(5.0, 4.9))
    at, below = result.thresholds
    assert (at.threshold_c, below.threshold_c) == (5.0, 4.9)
    assert at.seasons == at.seasons_with_event
    assert below.seasons_with_event == 0
    assert [level.probability for level in at.levels] == [0.1, 0.5, 0.9]
    for level in at.levels:
        assert level.autumn_if_it_happens == level.autumn_in_any_year == "12-01"
        assert level.spring_if_it_happens == level.spring_in_any_year == "02-21"
    for level in below.levels:
        assert level.spring_if_it_happens is level.autumn_in_any_year is None


def test_days_that_come_all_summer_leave_no_gap_between_the_dates(
    hourly: Hourly, plan: Plan
) -> None:
    """At or below 5 °C all year: eleven summers between twelve winters without a gap.

    At or below -2 °C, in winter alone, there is one every year.
    """
    result = plan(hourly(years=13, year_c=3.0, day_c=1.0, mean_c=0.0), thresholds_c=(5.0, -2.0))
    always, winters = result.thresholds
    assert (always.seasons, always.summers_without_gap) == (12, 11)
    assert winters.seasons_with_event == 12
    assert winters.summers_without_gap == 0


@pytest.mark.parametrize(("last", "summers"), [(28, 10), (29, 0)])
def test_four_weeks_between_the_dates_are_a_gap(
    hourly: Hourly, plan: Plan, last: int, summers: int
) -> None:
    """Evenings from 1 to 28 July are warm, and so 27 whole days from 2 July on: too few by one."""

    def temp_of(evening: date) -> float:
        return WARM if evening.month == 7 and evening.day <= last else 0.0

    (dates,) = plan(nights_record(hourly, temp_of), thresholds_c=(5.0,)).thresholds
    assert (dates.seasons, dates.summers_without_gap) == (11, summers)


def test_threshold_dates_do_not_hang_on_spot_allowance_or_group(
    extract: Callable[[str], tuple[Record, Place]], group: Group
) -> None:
    """They belong to the place: a roof, an allowance and another group change nothing."""
    record, place = extract("los_angeles")

    def dates(spot: Spot, allowance: float, **changes: Any) -> object:
        options = CheckOptions(rules=Rules(), minimum_allowance_c=allowance)
        return plan_moves(
            lay_out(record, place, (spot,), [group(**changes)], options), thresholds_c=(8.0,)
        ).thresholds

    assert dates(OPEN_AIR, 0.6) == dates(ROOFED, 0.0, limit_c=-3.0)


def test_spots_and_groups_come_in_their_order(hourly: Hourly, group: Group) -> None:
    """One move for each spot and group, spots first."""
    needs = [group(key="b"), group(key="a")]
    options = CheckOptions(rules=Rules())
    result = plan_moves(lay_out(hourly(years=4), PLACE, (OPEN_AIR, ROOFED), needs, options))
    assert [(move.spot, move.group) for move in result.results] == [
        ("open-air", "b"),
        ("open-air", "a"),
        ("roofed", "b"),
        ("roofed", "a"),
    ]


def test_the_same_question_has_the_same_answer(hourly: Hourly, plan: Plan) -> None:
    """Nothing is drawn by chance."""
    record = weathered(hourly)
    assert plan(record, thresholds_c=(5.0,)) == plan(record, thresholds_c=(5.0,))
