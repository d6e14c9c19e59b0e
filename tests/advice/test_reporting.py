"""A report is no second opinion: its parts are the commands' own, its trials are real checks."""

from __future__ import annotations

from functools import cache
from typing import TYPE_CHECKING

import pytest
from msgspec.structs import replace

from suitability.advice.cases import Rules
from suitability.advice.checking import check_groups
from suitability.advice.growing_weeks import plan_growth
from suitability.advice.moves import plan_moves
from suitability.advice.needs import judge_needs
from suitability.advice.plant_year import PlantYear
from suitability.advice.preparing import CheckOptions, LaidOut, lay_out
from suitability.advice.report import STEPS_C, Direction, ReportResult, Told, make_report
from suitability.advice.terms import Verdict
from suitability.groups import read_catalogue
from suitability.groups.words import read_general_words, read_words
from suitability.spots.spot import OPEN_AIR, ROOFED, Offset
from tests.conftest import open_extract

if TYPE_CHECKING:
    from suitability.spots.spot import Spot

CATALOGUE = read_catalogue()
WORDS = read_words(CATALOGUE)
OPTIONS = CheckOptions(rules=Rules())
KEYS = ("phalaenanthe", "nobile", "dendrocoryne", "masdevallia", "cattleya", "oxyglossum")
GROUPS = tuple(CATALOGUE.find(key) for key in KEYS)
BY_KEY = {group.key: group for group in GROUPS}
NEEDS = [group.needs() for group in GROUPS]


@cache
def reported(name: str, *spots: Spot, on: str = "03-10") -> ReportResult:
    """The report of a few groups at a real place."""
    record, place = open_extract(name)
    laid_out = lay_out(record, place, spots or (OPEN_AIR,), NEEDS, OPTIONS)
    return told(laid_out, on=on)


def told(laid_out: LaidOut, *, on: str = "03-10", tell: Told | None = None) -> ReportResult:
    """The report of what is laid out, in the words of the catalogue."""
    general = read_general_words()
    return make_report(laid_out, BY_KEY, words=WORDS, general=general, on=on, tell=tell)


@pytest.mark.slow
def test_its_parts_are_those_of_the_commands() -> None:
    """Laid out once for all of them, each answers as it does alone."""
    record, place = open_extract("nashville")
    spots = (OPEN_AIR, ROOFED)
    result = reported("nashville", *spots)

    def laid_out() -> LaidOut:
        return lay_out(record, place, spots, NEEDS, OPTIONS)

    assert result.check == check_groups(laid_out())
    assert result.moves == plan_moves(laid_out())
    assert [
        PlantYear(**{name: getattr(card, name) for name in PlantYear.__struct_fields__})
        for card in result.cards.cards
    ] == list(judge_needs(laid_out()))
    assert result.growth == plan_growth(laid_out(), BY_KEY, WORDS)


@pytest.mark.parametrize("name", ["los_angeles", "porto_alegre", "nashville"])
def test_the_trial_of_the_spot_as_it_is_is_the_verdict(name: str) -> None:
    result = reported(name)
    at = result.trials.promises.index(0.9), result.trials.warmer_c.index(0.0)
    for finding, row in zip(result.check.results, result.trials.rows, strict=True):
        trial = row[at[1]][at[0]]
        assert trial.verdict is finding.verdict
        if finding.verdict is not Verdict.INDOOR:
            assert trial.season == finding.season


@pytest.mark.parametrize("warmer_c", [-3.0, 2.0])
@pytest.mark.parametrize("name", ["los_angeles", "porto_alegre"])
def test_a_warmer_trial_is_the_check_of_a_warmer_spot(name: str, warmer_c: float) -> None:
    """The whole way over the hours of such a spot, against the shifted answer."""
    result = reported(name)
    always = Offset(low=warmer_c, usual=warmer_c, high=warmer_c)
    spot = replace(
        OPEN_AIR, name="warmer", clear_night_c=always, other_night_c=always, day_c=always
    )
    record, place = open_extract(name)
    there = check_groups(lay_out(record, place, (spot,), NEEDS, OPTIONS))
    at = STEPS_C.index(warmer_c), result.trials.promises.index(0.9)
    for finding, row in zip(there.results, result.trials.rows, strict=True):
        trial = row[at[0]][at[1]]
        assert trial.verdict is finding.verdict, finding.group
        if finding.verdict is not Verdict.INDOOR:
            assert trial.season == finding.season, finding.group


@pytest.mark.parametrize("promise", [0.8, 0.95])
def test_another_promise_is_the_check_that_asks_for_it(promise: float) -> None:
    result = reported("los_angeles")
    options = replace(OPTIONS, rules=Rules(promise=promise))
    record, place = open_extract("los_angeles")
    asked = check_groups(lay_out(record, place, (OPEN_AIR,), NEEDS, options))
    at = STEPS_C.index(0.0), result.trials.promises.index(promise)
    for finding, row in zip(asked.results, result.trials.rows, strict=True):
        trial = row[at[0]][at[1]]
        assert trial.verdict is finding.verdict
        if finding.verdict is not Verdict.INDOOR:
            assert trial.season == finding.season


def test_a_higher_promise_never_gives_a_longer_season() -> None:
    """At every warming, for every group."""
    trials = reported("los_angeles").trials
    assert trials.promises == (0.8, 0.9, 0.95)
    for row in trials.rows:
        for by_promise in row:
            days = [0 if trial.season is None else trial.season.days for trial in by_promise]
            assert days == sorted(days, reverse=True)


def test_next_moves_come_in_order_and_count_their_days() -> None:
    """From 10 March on: what is promised for 12 April is 33 days ahead."""
    result = reported("los_angeles")
    ahead = [one.in_days for one in result.next_moves]
    assert ahead == sorted(ahead)
    out = next(
        one
        for one in result.next_moves
        if one.direction is Direction.OUT and result.check.results[one.number].group == KEYS[0]
    )
    assert (out.day, out.in_days) == ("04-12", 33)
    moving = [move for move in result.moves.results if move.out is not None]
    assert len(result.next_moves) == 2 * len(moving)


@pytest.mark.slow
def test_the_weeks_of_watching_are_told() -> None:
    """Watched from 21 March, the typical date, to 12 April, the promised one, ends included."""
    told = {}
    for on in ("03-20", "03-21", "04-12", "04-13"):
        result = reported("los_angeles", on=on)
        told[on] = next(one.watching for one in result.next_moves if one.day == "04-12")
    assert told == {"03-20": False, "03-21": True, "04-12": True, "04-13": False}


def test_changes_of_phase_lie_within_twelve_weeks() -> None:
    result = reported("porto_alegre", on="04-01")
    assert result.next_changes
    assert all(0 <= change.in_days <= 84 for change in result.next_changes)
    for change in result.next_changes:
        for number in change.numbers:
            days = [one.day for one in result.growth.results[number].changes]
            assert change.day in days


def test_each_spot_has_what_is_asked_there() -> None:
    """A group at one spot, a tender plant of it at another; what comes next counts through both."""
    record, place = open_extract("los_angeles")
    own = GROUPS[0].needs()
    tender = replace(own, limit_c=9.0, chill_base_c=15.0, plants=("white one",), numbers=(1,))
    bare = lay_out(record, place, (OPEN_AIR, ROOFED), (), OPTIONS, also=[own, tender])
    stages: list[tuple[int, int, str]] = []
    result = told(
        bare.asking([(OPEN_AIR, [own]), (ROOFED, [tender])]),
        tell=lambda done, total, word: stages.append((done, total, word)),
    )
    assert [(one.spot, one.plants) for one in result.check.results] == [
        (OPEN_AIR.name, ()),
        (ROOFED.name, ("white one",)),
    ]
    assert len(result.trials.rows) == len(result.cards.cards) == 2
    assert {one.number for one in result.next_moves} == {0, 1}
    assert [done for done, _, _ in stages] == list(range(5))
    assert {total for _, total, _ in stages} == {5}


def test_a_record_too_short_is_told_everywhere() -> None:
    """No verdict, no trial, no date; the page still has its groups."""
    record, place = open_extract("los_angeles")
    few = replace(OPTIONS, first_year=2020, last_year=2021)
    laid_out = lay_out(record, place, (OPEN_AIR,), NEEDS[:2], few)
    result = told(laid_out)
    assert {finding.verdict for finding in result.check.results} == {Verdict.NONE}
    verdicts = {t.verdict for row in result.trials.rows for step in row for t in step}
    assert verdicts == {Verdict.NONE}
    assert result.next_moves == ()
