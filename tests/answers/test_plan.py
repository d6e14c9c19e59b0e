"""What is said of a plan: of a real place, a collection that is invented."""

from __future__ import annotations

import re
from datetime import date
from pathlib import Path

import pytest
from msgspec.structs import replace

from suitability.advice.plan_result import (
    Carry,
    Homeless,
    MovingDay,
    PlanChange,
    PlanResult,
    Pressing,
    Wish,
)
from suitability.advice.planning import plan
from suitability.advice.plant_state import PlantState
from suitability.advice.question import Question, ask, groups_named
from suitability.answers.head import HARDENING, LIFTING, LOOK_IN
from suitability.answers.plan import carry_sheet, plan_calendar, plan_sheet
from suitability.answers.sheet import Facts
from suitability.groups import Caution
from suitability.output.page import render_page
from suitability.output.terminal import render_terminal
from suitability.units import TemperatureUnit
from tests.conftest import open_extract

PAGE = Path(__file__).parents[2] / "docs" / "plan.md"
EXAMPLE = re.findall(r"```toml\n(.*?)```", PAGE.read_text("utf-8"), re.DOTALL)[0]
C = TemperatureUnit.C
FIRST = date(2027, 2, 10)
ONE = 25  # lines


@pytest.fixture(scope="module")
def question(tmp_path_factory: pytest.TempPathFactory) -> Question:
    """The collection of the page."""
    file = tmp_path_factory.mktemp("mine") / "garden.toml"
    file.write_text(EXAMPLE, encoding="utf-8")
    return ask(*open_extract("los_angeles"), collection=file)


@pytest.fixture(scope="module")
def garden(question: Question) -> PlanResult:
    """Its plan."""
    return plan(question, FIRST)


@pytest.fixture(scope="module")
def asked(question: Question) -> PlanResult:
    """The same, asked about one plant, and one more of a group."""
    more = groups_named(question.subjects.catalogue, ["nobile"], Caution.USUAL, PlantState())
    return plan(question, FIRST, explain="antelopes", buy=more[0][0])


def shown(result: PlanResult, *, details: bool = False) -> str:
    """What a terminal says, in one line."""
    text = render_terminal(plan_sheet(result, C), width=80, colour=False, details=details)
    return " ".join(text.split())


def test_what_is_not_proven_is_said_without_a_limit_of_time(garden: PlanResult) -> None:
    """The search ends after so many steps, on every computer; nothing is told of it in short."""
    unproven = replace(garden, gap=None)
    wishes = "Of 21 pots moved 3 go against your wishes; {} would do."
    assert wishes.format("no fewer") in shown(garden)
    assert wishes.format("perhaps fewer") in shown(unproven)
    told = shown(unproven, details=True)
    assert "is not proven: the search ends after a fixed number of steps." in told
    assert "in time" not in told
    assert "proven" not in shown(unproven)
    assert "it is proven" in shown(garden, details=True)


def test_one_plant_is_answered_on_one_screen(garden: PlanResult, asked: PlanResult) -> None:
    """The answer, then the plan as it is in a sentence; who asks for more is told all of it."""
    for result in (replace(asked, bought=None), replace(asked, explained=None)):
        short = shown(result)
        assert "As it is, all 21 plants have a place all year: 6 moving days, 21 pots" in short
        for told in ("Wednesday 10 February", "Wet pots are heavy", "Without a place"):
            assert told not in short
        text = render_terminal(plan_sheet(result, C), width=80, colour=False, details=False)
        assert len(text.splitlines()) <= ONE
        details = shown(result, details=True)
        assert "Wednesday 10 February" in details
        assert "Wet pots are heavy" in details
    assert short.startswith("One more of Nobile type (soft-cane) would fit: ")
    assert "As it is" not in shown(garden)
    page = render_page(plan_sheet(asked, C))
    assert (
        page.index("As it is")
        < page.index('id="room"')
        < page.index("Why not elsewhere: antelopes")
    )


def test_what_would_help_is_a_detail_of_one_plant_s_answer(asked: PlanResult) -> None:
    """With the caution on heat, which stands where warmth is offered."""
    pots = Homeless(
        plant="nobiles", way=1, number=2, first=asked.first, last=asked.first, anywhere=True
    )
    warmer = PlanChange(kind="warmth", spot="porch", warmer_c=2.0)
    lacking = replace(asked, homeless=(pots,), changes=(warmer,))
    helped = ("every spot that would do is full", "porch: 2 °C warmer", "no flame in a room")
    for told in helped:
        assert told not in shown(lacking)
        assert told in shown(lacking, details=True)
        assert told in shown(replace(lacking, explained=None, bought=None))
    assert "no flame" not in shown(replace(asked, explained=None, bought=None))


@pytest.mark.parametrize(
    ("ways", "told"),
    [
        ([], ()),
        ([("sill", "porch")], (HARDENING, LIFTING)),
        ([("patio", "porch")], (HARDENING, LIFTING)),
        ([("porch", "sill")], (LOOK_IN, LIFTING)),
        ([(None, "sill")], (LOOK_IN, LIFTING)),
        ([("porch", None)], (LIFTING,)),
        ([("porch", "sill"), ("sill", "porch")], (HARDENING, LOOK_IN, LIFTING)),
    ],
)
def test_cautions_are_those_of_the_moves(
    garden: PlanResult, ways: list[tuple[str | None, str | None]], told: tuple[str, ...]
) -> None:
    """Hardening for who goes out, a look for pests for who comes in, lifting for any pot."""
    moves = tuple(
        Carry(plant="nobiles", number=1, from_spot=one, to_spot=other) for one, other in ways
    )
    days = (MovingDay(day=garden.first, pots=1, moves=moves),) if moves else ()
    moved = replace(garden, days=days)
    carried = " ".join(carry_sheet(moved, C).closing)
    for caution in (HARDENING, LOOK_IN, LIFTING):
        assert (caution in told) == (caution in shown(moved)) == (caution in carried)


@pytest.mark.parametrize(
    ("against", "pressing", "told"),
    [
        (("day",), ("nights",), "not one of your moving days: nights where they are will not wait"),
        (("day",), ("room",), "not one of your moving days: room where they are will not wait"),
        (("away",), ("nights", "room"), "while you are away: nights and room where they are will"),
        (("day",), (), "not one of your moving days)"),
        (("number",), (), "more pots than you wish to carry on a day"),
    ],
)
def test_a_broken_wish_says_what_does_not_wait(
    garden: PlanResult,
    against: tuple[Wish, ...],
    pressing: tuple[Pressing, ...],
    told: str,
) -> None:
    """On the terminal, on the carry list and in the calendar."""
    day = replace(garden.days[0], against=against, pressing=pressing)
    moved = replace(garden, days=(day,))
    assert f"({told}" in shown(moved)
    told = told.rstrip(")")
    (card,) = carry_sheet(moved, C).sections
    (facts,) = card.blocks
    assert isinstance(facts, Facts)
    assert facts.rows[-1].label == "Mind"
    assert facts.rows[-1].text.startswith(told)
    (event,) = plan_calendar(moved).events
    assert any(line.startswith(f"Against your wishes: {told}") for line in event.lines)


def test_plants_left_out_are_counted_in_the_headline(garden: PlanResult) -> None:
    """So that "all" is not read as all of the file."""
    pots = Homeless(
        plant="nobiles", way=1, number=2, first=FIRST, last=date(2027, 2, 12), anywhere=True
    )
    one = replace(garden, pots=1, days=(), left_out=1)
    short = replace(garden, homeless=(pots,), left_out=3)
    whole, alone, lacking = (plan_sheet(result, C).headline for result in (garden, one, short))
    assert whole.startswith("All 21 plants have a place all year: 6 moving days, 21 pots")
    assert alone == (
        "The plant that could be planned has a place all year: nothing is moved; 1 could not."
    )
    assert lacking == (
        "2 of 21 plants have no place for a time: nobiles (2 of 6) from 10 February to "
        "12 February; 3 more could not be planned."
    )
