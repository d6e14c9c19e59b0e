"""What stands in a calendar: which occasions, on which dated days, and which of them repeat."""

from __future__ import annotations

from datetime import date, timedelta
from typing import TYPE_CHECKING

import numpy as np
import pytest
from hypothesis import given
from hypothesis import strategies as st
from msgspec.structs import replace

from suitability.advice.growth_year import Phase
from suitability.advice.moves import Tonight, tonight_of
from suitability.advice.occasions import (
    HARDENING_DAYS,
    Occasion,
    OccasionKind,
    list_occasions,
)
from suitability.advice.question import ask
from suitability.climate.cold import trailing_sum
from suitability.groups import read_catalogue
from tests.output import moves_examples, weeks_examples

if TYPE_CHECKING:
    from collections.abc import Callable

    from suitability.places import Place
    from suitability.weather.record import Record

NOVEMBER = date(2026, 11, 25)


def spans(occasions: tuple[Occasion, ...]) -> dict[OccasionKind, tuple[date, date]]:
    """First and last day of each kind."""
    return {one.kind: (one.first, one.first + timedelta(days=one.days - 1)) for one in occasions}


def test_moves_become_a_hardening_a_day_in_and_two_spans_to_watch() -> None:
    """8 June to 3 October, typical 19 May and 19 November, asked on 25 November 2026."""
    found = spans(list_occasions(moves_examples.result(moves_examples.moving()), NOVEMBER))
    assert found == {
        OccasionKind.OUT: (date(2027, 6, 8), date(2027, 6, 21)),
        OccasionKind.IN: (date(2027, 10, 3), date(2027, 10, 3)),
        OccasionKind.WATCH_OUT: (date(2027, 5, 19), date(2027, 6, 8)),
        OccasionKind.WATCH_IN: (date(2027, 10, 3), date(2027, 11, 19)),
    }


@pytest.mark.parametrize(
    ("asked", "out", "watch_in"),
    [
        (date(2026, 6, 8), 2026, 2026),
        (date(2026, 6, 21), 2026, 2026),  # the last day of hardening
        (date(2026, 6, 22), 2027, 2026),
        (date(2026, 11, 19), 2027, 2026),  # the last day to watch
        (date(2026, 11, 20), 2027, 2027),
    ],
)
def test_what_is_going_on_stays_and_what_is_over_comes_next_year(
    asked: date, out: int, watch_in: int
) -> None:
    """An occasion stands until its last day has passed."""
    result = moves_examples.result(moves_examples.moving())
    found = spans(list_occasions(result, asked))
    assert found[OccasionKind.OUT][0].year == out
    assert found[OccasionKind.WATCH_IN][0].year == watch_in


def test_a_southern_season_crosses_new_year() -> None:
    """Out 1 October, in 25 April; weeks to watch from 20 December to 5 January, a day within."""
    made = moves_examples.moving()
    assert made.out is not None
    assert made.inn is not None
    out = replace(made.out, promised="10-01", typical="09-13", watch_from="12-20", watch_to="01-05")
    inn = replace(made.inn, promised="04-25", typical="05-21")
    result = moves_examples.result(replace(made, out=out, inn=inn))
    found = spans(list_occasions(result, date(2027, 1, 2)))
    assert found[OccasionKind.WATCH_OUT] == (date(2026, 12, 20), date(2027, 1, 5))
    assert found[OccasionKind.IN][0] == date(2027, 4, 25)
    assert found[OccasionKind.OUT][0] == date(2027, 10, 1)


def test_a_span_counts_29_february_where_there_is_one() -> None:
    """20 February to 5 March: 15 days in 2028, 14 in 2027; no occasion starts on 29 February."""
    made = moves_examples.moving()
    assert made.out is not None
    out = replace(made.out, watch_from="02-20", watch_to="03-05")
    result = moves_examples.result(replace(made, out=out))
    for year, days in ((2027, 14), (2028, 15)):
        one = next(
            one
            for one in list_occasions(result, date(year, 1, 1))
            if one.kind is OccasionKind.WATCH_OUT
        )
        assert (one.first.year, one.days) == (year, days)


MONTH_DAYS = st.integers(0, 364).map(lambda day: f"{date(2001, 1, 1) + timedelta(days=day):%m-%d}")


@given(MONTH_DAYS, MONTH_DAYS, st.dates(date(1900, 1, 1), date(2200, 12, 31)))
def test_the_first_coming_is_the_first_that_is_not_over(start: str, stop: str, asked: date) -> None:
    """It ends on the day asked or later, and the one a year before ended earlier."""
    made = moves_examples.moving()
    assert made.out is not None
    out = replace(made.out, watch_from=start, watch_to=stop)
    result = moves_examples.result(replace(made, out=out))
    one = next(one for one in list_occasions(result, asked) if one.kind is OccasionKind.WATCH_OUT)
    last = one.first + timedelta(days=one.days - 1)
    assert (f"{one.first:%m-%d}", f"{last:%m-%d}") == (start, stop)
    assert 1 <= one.days <= 366
    assert last >= asked > last.replace(year=last.year - 1)


def test_groups_without_dates_have_no_moves() -> None:
    """Out all year, indoors only, without a verdict: none of them moves."""
    idle = (moves_examples.staying(), moves_examples.indoor(), moves_examples.unjudged())
    assert list_occasions(moves_examples.result(*idle), NOVEMBER) == ()


def test_where_half_of_the_years_set_no_date_there_are_no_weeks_to_watch() -> None:
    """The typical date is then the first day of the row, which is no date of moving."""
    made = moves_examples.moving()
    assert made.out is not None
    first = made.by_year[0].first_day
    out = replace(made.out, typical=first, watch_from=first)
    kinds = spans(list_occasions(moves_examples.result(replace(made, out=out)), NOVEMBER))
    assert OccasionKind.WATCH_OUT not in kinds
    assert OccasionKind.WATCH_IN in kinds
    same = replace(made.out, watch_from=None, watch_to=None)
    kinds = spans(list_occasions(moves_examples.result(replace(made, out=same)), NOVEMBER))
    assert OccasionKind.WATCH_OUT not in kinds


def test_phases_begin_on_their_usual_day_and_the_end_of_the_rest_is_told() -> None:
    """A rest from week 44, waking from week 6: 30 October and 6 February."""
    result = weeks_examples.result(weeks_examples.resting())
    found = list_occasions(result, NOVEMBER)
    assert spans(found)[OccasionKind.RESTING] == (date(2027, 10, 30), date(2027, 10, 30))
    assert spans(found)[OccasionKind.WAKING][0] == date(2027, 2, 6)
    assert [one.kind for one in found if one.rest_ends] == [OccasionKind.WAKING]
    assert all(one.run is not None and one.run.phase is Phase(one.kind.value) for one in found)


def test_what_is_provisional_or_passing_is_not_repeated() -> None:
    """Fewer than ten years, or a plant in a state of its own."""
    moving = moves_examples.moving()
    for made, repeats in (
        (moving, True),
        (replace(moving, provisional=True), False),
        (replace(moving, in_state=True), False),
    ):
        found = list_occasions(moves_examples.result(made), NOVEMBER)
        assert {one.repeats for one in found} == {repeats}
    years = weeks_examples.result(weeks_examples.resting(), weeks_examples.moving())
    found = list_occasions(years, NOVEMBER)
    assert {(one.group, one.repeats) for one in found} == {
        ("nobile", True),
        ("phalaenanthe", False),
    }
    sure = replace(weeks_examples.moving(), provisional=False, notes=())
    for growth, repeats in ((sure, True), (replace(sure, provisional=True), False)):
        found = list_occasions(weeks_examples.result(growth), NOVEMBER)
        assert {one.repeats for one in found} == {repeats}


def test_equal_occasions_are_told_apart_by_a_number() -> None:
    """Two rows of one name, group and spot."""
    made = replace(moves_examples.moving(), plants=("twin",), numbers=(1,))
    found = list_occasions(moves_examples.result(made, made), NOVEMBER)
    assert sorted((one.kind, one.number) for one in found) == sorted(
        (kind, number) for kind in list(OccasionKind)[:4] for number in (1, 2)
    )


def test_the_forecast_low_is_that_of_the_group_or_plant() -> None:
    """2 °C above the wet limit, as on the cards."""
    needs = read_catalogue().find("phalaenanthe").needs()
    assert tonight_of(needs, roofed=True).low_c == needs.limit_wet_c + 2.0
    made = moves_examples.moving()
    weak = replace(made, plants=("weak",), numbers=(1,), tonight=Tonight(low_c=12.0))
    result = moves_examples.result(replace(made, tonight=Tonight(low_c=10.0)), weak)
    found = list_occasions(result, NOVEMBER)
    told = {(one.plants, one.tonight.low_c) for one in found if one.tonight is not None}
    assert told == {((), 10.0), (("weak",), 12.0)}
    assert HARDENING_DAYS == 14


def test_a_date_that_heat_sets_is_told_from_one_that_cold_sets() -> None:
    """After 3 October: heat first in two of three years that have an unsafe night."""
    made = moves_examples.moving()
    column = 241  # 3 October, counted from 4 February
    quiet = "." * 365
    hot = quiet[:column] + "?.thh" + quiet[column + 5 :]
    cold = "t" * 5 + quiet[5 : column + 3] + "dt" + quiet[column + 5 :]
    assert {len(hot), len(cold)} == {365}
    rows = [replace(made.by_year[1], nights=nights) for nights in (hot, hot, cold, quiet)]
    found = list_occasions(moves_examples.result(replace(made, by_year=tuple(rows))), NOVEMBER)
    assert {(one.kind, one.by_heat) for one in found} == {
        (OccasionKind.OUT, True),  # before 8 June only the five hot nights of one year
        (OccasionKind.WATCH_OUT, True),
        (OccasionKind.IN, True),
        (OccasionKind.WATCH_IN, True),
    }
    rows = [replace(made.by_year[1], nights=nights) for nights in (hot, cold, quiet)]
    found = list_occasions(moves_examples.result(replace(made, by_year=tuple(rows))), NOVEMBER)
    assert {one.kind for one in found if one.by_heat} == {OccasionKind.OUT, OccasionKind.WATCH_OUT}
    assert not [one for one in list_occasions(moves_examples.result(), NOVEMBER) if one.by_heat]


# Plants of a collection --------------------------------------------------------------------------


def test_an_occasion_is_of_the_plants_of_its_row() -> None:
    """By name and number; what is in a passing state has occasions of its own."""
    moving = replace(moves_examples.moving(), plants=("usual", "other"), numbers=(1, 3))
    weak = replace(moving, plants=("weak",), numbers=(1,), in_state=True)
    found = list_occasions(moves_examples.result(moving, weak), NOVEMBER)
    assert {(one.plants, one.numbers, one.repeats) for one in found} == {
        (("usual", "other"), (1, 3), True),
        (("weak",), (1,), False),
    }
    resting = replace(weeks_examples.resting(), plants=("mine",), numbers=(2,))
    care = list_occasions(weeks_examples.result(resting), NOVEMBER)
    assert {(one.plants, one.numbers) for one in care} == {(("mine",), (2,))}


@pytest.mark.parametrize("name", ["los_angeles", "nashville", "porto_alegre"])
def test_the_rule_for_tonight_brings_a_plant_in_before_its_dose_is_passed(
    extract: Callable[[str], tuple[Record, Place]], name: str
) -> None:
    """
    By the lows of a thermometer alone, at real places, dry, for every group.

    Nights on which the dose of the trailing fortnight is first passed, as the verdict counts it:
    the forecast low or the added lows of the 14 nights up to it bring nearly all of them in.
    """
    question = ask(*extract(name), [group.key for group in read_catalogue().groups], roof=True)
    (laid,) = question.lay_out().spots
    lows_c = np.fmin.reduce(laid.nights.temp_c, axis=1)
    passed = called = 0
    for needs in laid.needs:
        rule = tonight_of(needs, roofed=True)
        below_c = np.nan_to_num(np.maximum(needs.chill_base_c - lows_c, 0.0))
        dose = laid.nights.dose.degree_hours_below(needs.chill_base_c)
        over = trailing_sum(np.nan_to_num(dose)) > needs.dose_limit_c_h
        first = over & ~np.roll(over, 1) & (below_c > 0.0)
        comes_in = lows_c <= rule.low_c
        if rule.lows_short_c is not None:
            comes_in |= trailing_sum(below_c) >= rule.lows_short_c
        passed, called = passed + int(first.sum()), called + int((first & comes_in).sum())
    assert passed > 100
    assert called >= 0.99 * passed


def test_a_wet_pot_is_called_in_after_less_cold() -> None:
    """Phalaenanthe, dose 60 °C·h: three quarters of it at 8 h a degree; in the rain at 12."""
    needs = read_catalogue().find("phalaenanthe").needs()
    dry, wet = tonight_of(needs, roofed=True), tonight_of(needs, roofed=False)
    assert (dry.lows_short_c, wet.lows_short_c) == (5.625, 3.75)
    assert dry.chill_base_c == wet.chill_base_c == needs.chill_base_c
    covered = replace(needs, chill_base_c=needs.limit_wet_c + 2.0)
    assert tonight_of(covered, roofed=True).chill_base_c is None
