"""What is said of a plan: of a real place, a collection that is invented."""

from __future__ import annotations

import re
from datetime import date
from pathlib import Path

import pytest
from msgspec.structs import replace

from suitability.advice.plan_result import PlanResult
from suitability.advice.planning import plan
from suitability.advice.question import ask
from suitability.answers.plan import plan_sheet
from suitability.output.terminal import render_terminal
from suitability.units import TemperatureUnit
from tests.conftest import open_extract

PAGE = Path(__file__).parents[2] / "docs" / "plan.md"
EXAMPLE = re.findall(r"```toml\n(.*?)```", PAGE.read_text("utf-8"), re.DOTALL)[0]
C = TemperatureUnit.C


@pytest.fixture(scope="module")
def garden(tmp_path_factory: pytest.TempPathFactory) -> PlanResult:
    """The plan of the collection of the page."""
    file = tmp_path_factory.mktemp("mine") / "garden.toml"
    file.write_text(EXAMPLE, encoding="utf-8")
    return plan(ask(*open_extract("los_angeles"), collection=file), date(2027, 2, 10))


def shown(result: PlanResult, *, details: bool = False) -> str:
    """What a terminal says, in one line."""
    text = render_terminal(plan_sheet(result, C), width=80, colour=False, details=details)
    return " ".join(text.split())


def test_what_is_not_proven_is_said_without_a_limit_of_time(garden: PlanResult) -> None:
    """The search ends after so many steps, on every computer; nothing is told of it in short."""
    unproven = replace(garden, gap=None)
    told = shown(unproven, details=True)
    assert "is not proven: the search ends after a fixed number of steps." in told
    assert "in time" not in told
    assert "proven" not in shown(unproven)
    assert "it is proven" in shown(garden, details=True)
