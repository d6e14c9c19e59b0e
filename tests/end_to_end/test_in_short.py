"""The answer in short: few lines, in a grower's words, at real places."""

from __future__ import annotations

import re
from collections.abc import Callable
from functools import cache
from typing import Any

import pytest
from msgspec.structs import replace

from suitability.advice.check import check
from suitability.advice.growing_weeks import year
from suitability.advice.growth_year import GrowthYearResult, Phase, Where
from suitability.advice.moves import MovesResult, moves
from suitability.advice.question import ask
from suitability.advice.result import CheckResult
from suitability.advice.terms import HeatWord, Verdict, dates_help
from suitability.answers.check import check_sheet
from suitability.answers.head import HARDENING, LOOK_IN
from suitability.answers.moves import moves_sheet
from suitability.answers.sheet import Sheet
from suitability.answers.year import year_sheet
from suitability.groups import read_catalogue
from suitability.output.terminal import render_terminal
from suitability.places import Place
from suitability.units import TemperatureUnit
from suitability.weather.record import Record
from suitability.weather.sources.demo import demo_place, demo_record
from tests.conftest import open_extract

pytestmark = pytest.mark.slow

Extract = Callable[[str], tuple[Record, Place]]
C = TemperatureUnit.C
WIDTH = 80
ONE, ALL = 25, 75  # lines
JARGON = re.compile(
    r"\b(dose|floor \+\d|margin|headroom|chill base|model-based|alone|stability|resamples)\b",
    re.IGNORECASE,
)
KEYS = [group.key for group in read_catalogue().groups]
SLOW = pytest.mark.slow
PLACES = [
    "los_angeles",
    *(pytest.param(name, marks=SLOW) for name in ("porto_alegre", "lansing")),
]


def shown(sheet: Sheet) -> list[str]:
    return render_terminal(sheet, width=WIDTH, colour=False, details=False).splitlines()


@cache
def answered(name: str) -> tuple[CheckResult, MovesResult, GrowthYearResult]:
    """Check, moves and year of every group at a place."""
    question = ask(*open_extract(name), KEYS)
    return check(question), moves(question), year(question)


@pytest.mark.parametrize("name", PLACES)
def test_one_group_has_25_lines_without_a_term_of_the_trade(name: str) -> None:
    """Each group of the catalogue, in check, moves and year: dates, years, caution, credit."""
    checked, moved, grown = answered(name)
    for at, finding in enumerate(checked.results):
        profile = checked.profiles[at]
        assert profile.group == finding.group
        answers: list[tuple[Any, Any]] = [
            (replace(checked, results=(finding,), profiles=(profile,)), check_sheet),
            (replace(moved, results=moved.results[at : at + 1]), moves_sheet),
            (
                replace(grown, results=grown.results[at : at + 1]),
                lambda one, units: year_sheet(one, 48, units),
            ),
        ]
        for result, sheet in answers:
            lines = shown(sheet(result, C))
            text = " ".join(lines)
            assert len(lines) <= ONE, "\n".join(lines)
            assert max(map(len, lines)) <= WIDTH
            assert not JARGON.search(text), text
            assert "Weather: " in text
            assert "guarantees nothing" in text


@pytest.mark.slow
@pytest.mark.parametrize("name", ["los_angeles", "porto_alegre"])
def test_no_week_of_a_year_takes_more_lines(name: str) -> None:
    """
    Through the year, weeks of moving among them, which ask for hardening or a look for pests.

    Indoors, where no room was stated, full water and feed hang on its nights.
    """
    _, _, result = answered(name)
    for grown in result.results:
        for week in range(1, 53, 3):
            lines = shown(year_sheet(replace(result, results=(grown,)), week, C))
            assert len(lines) <= ONE, "\n".join(lines)
            text, now = " ".join(lines), grown.weeks[week - 1]
            assert (HARDENING in text) == (now.where is Where.MOVING_OUT)
            assert (LOOK_IN in text) == (now.where is Where.MOVING_IN)
            indoors = now.phase is Phase.GROWING and now.where is Where.INDOORS
            assert ("only where the room's nights stay above" in text) == indoors


def test_the_demo_is_as_short() -> None:
    """With the line that says it is invented."""
    result = check(ask(demo_record(), demo_place(), KEYS))
    for finding, profile in zip(result.results, result.profiles, strict=True):
        one = replace(result, results=(finding,), profiles=(profile,))
        assert len(shown(check_sheet(one, C))) <= ONE


@pytest.mark.parametrize("name", PLACES)
def test_check_and_moves_of_a_group_begin_with_the_same_sentence(name: str) -> None:
    """Verdict, dates, the room for the rest of the year, and the years that kept it."""
    checked, moved, _ = answered(name)
    for finding, move in zip(checked.results, moved.results, strict=True):
        first = check_sheet(replace(checked, results=(finding,), profiles=()), C).headline
        assert first == moves_sheet(replace(moved, results=(move,)), C).headline
        if finding.verdict in (Verdict.ALL_YEAR, Verdict.SEASONAL):
            kept = f"{finding.years_kept} of {finding.years_counted} past years"
            assert (kept in first) is dates_help(finding)


@pytest.mark.parametrize("name", PLACES)
def test_all_groups_have_75_lines_under_their_verdicts(extract: Extract, name: str) -> None:
    """Each group stands once, with a row of hours for its floor."""
    question = ask(*extract(name))
    result = check(question)
    lines = shown(check_sheet(result, C))
    assert len(lines) <= ALL
    assert not JARGON.search(" ".join(lines))
    lines = lines[lines.index("") :]  # below the headline
    for finding in result.results:
        (row,) = (line for line in lines if line.split(" ")[0] == finding.group)
        assert f"{finding.thresholds.floor_c:.1f}" in row
    for verdict in {finding.verdict for finding in result.results}:
        assert sum(line.startswith(f"{verdict}: ") for line in lines) == 1
    assert len(shown(moves_sheet(moves(question), C))) <= ALL


def test_nearly_all_year_is_said_with_its_nights_and_the_dates_of_who_cannot_watch(
    extract: Extract,
) -> None:
    """
    Callista under a roof at Los Angeles: no night of most years, two in the worst.

    Its rest is not lost to those nights, and no date of coming in contradicts it.
    """
    record, place = extract("los_angeles")
    question = ask(record, place, "callista", roof=True)
    (finding,) = check(question).results
    assert finding.nearly_all_year
    assert finding.carried_nights is not None
    assert (finding.carried_nights.typical, finding.carried_nights.worst) == (0, 2)
    assert finding.rest.met_years == finding.rest.of_years
    text = " ".join(shown(check_sheet(check(question), C)))
    assert (
        "outdoor-seasonal, nearly all year. It may stay out if carried in, or covered, on no night "
        "of most years, 2 in the worst; the forecast says which. Who cannot watch it: out from "
        "30 January, in by 8 December."
    ) in text
    stands = " ".join(shown(year_sheet(year(question), 48, C)))
    assert "outdoors all year, if carried in or covered on the few cold nights" in stands


def test_a_group_that_heat_or_its_growth_keeps_in_is_not_nearly_all_year(extract: Extract) -> None:
    """Few nights to be carried for cold are not all that stands against staying out."""
    question = ask(*extract("los_angeles"), ["masdevallia", "oxyglossum", "coelogyne-cool"])
    for finding in check(question).results:
        assert any(limiting.cause == "heat" for limiting in finding.limiting)
        assert not finding.nearly_all_year


def test_hard_canes_by_the_sea_are_told_to_be_cold(extract: Extract) -> None:
    """
    Los Angeles: out on 12 April, five weeks before they grow, comfortable in high summer alone.

    The hours below 15 and 18 °C are those of `tests/advice/test_comfort.py`, counted there
    independently.
    """
    question = ask(*extract("los_angeles"), "phalaenanthe")
    lines = shown(check_sheet(check(question), C))
    text = " ".join(lines)
    assert (
        "It survives, does not grow yet before 21 May. Truly comfortable only from 3 July to 27 "
        "September."
    ) in text
    assert [line.split()[-1] for line in lines if "°C floor" in line or "°C comfort" in line] == [
        "2078",
        "4717",
    ]
    moved = " ".join(shown(moves_sheet(moves(question), C)))
    assert "Comfortable   from 3 July to 27 September, nights of 18.0 °C or more" in moved
    every = ask(*extract("los_angeles"))
    (row,) = (
        line for line in shown(check_sheet(check(every), C)) if line.startswith("phalaenanthe ")
    )
    assert row.split()[-5:] == ["4717", "grows", "from", "21", "May"]
    (dated,) = (
        line for line in shown(moves_sheet(moves(every), C)) if line.startswith("phalaenanthe ")
    )
    assert "3 Jul to 27 Sep" in dated


def test_no_group_that_heat_harms_is_without_a_word_in_headline_and_list(extract: Extract) -> None:
    """Guangzhou: every group whose days out do it harm says so, and no hard-cane does."""
    question = ask(*extract("guangzhou"), KEYS)
    result = check(question)
    out = [one for one in result.results if one.verdict in (Verdict.ALL_YEAR, Verdict.SEASONAL)]
    harmed = {one.group for one in out if one.heat is HeatWord.EXPECT_DAMAGE}
    assert {"formosae", "cymbidium", "paphiopedilum-cool"} <= harmed
    assert not {"phalaenanthe", "spatulata"} & harmed
    lines = shown(check_sheet(replace(result, profiles=()), C))
    lines = lines[lines.index("") :]  # below the headline
    for finding in out:
        (row,) = (at for at, line in enumerate(lines) if line.split(" ")[0] == finding.group)
        wrapped = [line for line in lines[row + 1 : row + 3] if line.startswith(" ")]
        told = " ".join([lines[row], *wrapped])
        said = "expect heat" in told or "nights too" in told
        assert said is (finding.group in harmed)
        headline = check_sheet(replace(result, results=(finding,), profiles=()), C).headline
        assert ("Expect heat damage" in headline) is (finding.group in harmed)


@pytest.mark.parametrize("name", ["los_angeles", "guangzhou"])
def test_formosae_are_said_to_drop_their_leaves_in_heat(extract: Extract, name: str) -> None:
    """Common practice, no source: above 30 °C, mountain species sooner; told in few hot days too.

    Los Angeles has 28 such hours a year, Guangzhou 874; with the name of a mountain species comes
    its caveat.
    """
    question = ask(*extract(name), ["Den. infundibulum"])
    result = check(question)
    often = {"los_angeles": "Heat at times", "guangzhou": "Expect heat damage"}[name]
    told = f"{often}: leaves drop above 30 °C."
    for sheet in (check_sheet(result, C), moves_sheet(moves(question), C)):
        assert told in sheet.headline
        assert any("a mountain species, which heat harms sooner" in note for note in sheet.notes)
    (finding,) = result.results
    details = render_terminal(check_sheet(result, C), width=WIDTH, colour=False).split()
    assert "above 30.0 °C (leaves drop), " in " ".join(details)
    assert finding.caveat.startswith("a mountain species")
    every = check_sheet(check(ask(*extract(name))), C)
    at = {line.split(" ")[0]: line for line in shown(every)}
    mark = {"los_angeles": "leaves drop in heat", "guangzhou": "expect heat damage"}[name]
    assert mark in at["formosae"]


def test_a_room_too_warm_at_night_is_not_plain_all_year(extract: Extract) -> None:
    """Oxyglossum at 20 °C, with its nights counted; in the list too."""
    result = check(ask(*extract("lansing"), ["oxyglossum", "cattleya"], spots="room"))
    cool, warm = result.results
    assert cool.warm_nights is not None
    nights = f"{cool.warm_nights:.0f} nights"
    one = " ".join(
        shown(
            check_sheet(replace(result, results=(cool,), profiles=result.profiles[:1]), C),
        )
    )
    assert f"Expect heat damage: {nights} a year are too warm for it." in one
    assert f"expect heat damage: {nights} a year stay above 16 °C" in one
    assert warm.warm_nights is None
    rows = {line.split(" ")[0]: line for line in shown(check_sheet(result, C))}
    assert rows["oxyglossum"].endswith(f"{nights} too warm")
    assert "too warm" not in rows["cattleya"]
