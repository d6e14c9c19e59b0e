"""The suite of speed in tiny sizes: its contenders agree, it notices who does not, and its page."""

from __future__ import annotations

import re
import warnings
from itertools import pairwise
from pathlib import Path

import numpy as np
import pytest
from msgspec.structs import replace

from .__main__ import PAGE, measure
from .speed.contest import (
    OURS,
    PEER,
    Contender,
    DisagreementError,
    Goal,
    Setting,
    Spent,
    Work,
    ahead,
    hold,
)
from .speed.page import CONTENDERS, GOALS, Report, Surroundings, render_report
from .speed.works import works_of


def contender(name: str, values: list[float], role: str = PEER, **rest: float) -> Contender:
    """One that says how long it took."""
    return Contender(
        name,
        lambda: lambda: Spent(rest.get("seconds", 1.0), what=np.array(values)),
        lambda what: {"values": what},
        role,
        share=rest.get("share", 1.0),
    )


def work(*contenders: Contender, goals: tuple[Goal, ...] = ()) -> Work:
    return Work("W0", "A work", "", contenders, goals, rounds=2)


def test_who_does_not_agree_is_noticed(tmp_path: Path) -> None:
    """One value off by a thousandth, or one missing; a share is compared as far as it goes."""
    ours = contender("ours", [1.0, 2.0], OURS)
    for wrong in ([1.0, 2.001], [1.0]):
        with pytest.raises(DisagreementError, match="other"):
            hold(work(ours, contender("other", wrong)), Setting(folder=tmp_path))
    found = hold(work(ours, contender("other", [1.0], share=0.5)), Setting(folder=tmp_path))
    assert [row.median for row in found.rows] == [1.0, 2.0]


def test_a_package_that_is_missing_is_told(tmp_path: Path) -> None:
    """By its row, and by the goal that asks for it."""
    ours = contender("ours", [1.0], OURS)
    other = replace(contender("other", [1.0]), needs="no_such_package")
    goal = Goal("other / ours", "other", 2.0, "ours")
    found = hold(work(ours, other, goals=(goal,)), Setting(folder=tmp_path))
    page = render_report(Report(surroundings=nowhere(), outcomes=(found,)))
    assert "| other | | not installed |" in page
    assert "| A work | other / ours | at most 2 |  |  | not measured |" in page


def test_goals_are_judged_and_losses_told(tmp_path: Path) -> None:
    """Twice as quick as ours, where we should be the quicker."""
    goal = ahead("other", "other", 1.5)
    ours, other = contender("ours", [1.0], OURS), contender("other", [1.0], seconds=0.5)
    found = hold(work(ours, other, goals=(goal,)), Setting(folder=tmp_path))
    page = render_report(Report(surroundings=nowhere(), outcomes=(found,)))
    assert "| A work | other / ours | at least 1.5 | 0.5 | 0.5 | **missed** |" in page
    assert "- A work: other; ours takes 2 times as long." in page


def nowhere() -> Surroundings:
    return Surroundings(date="", machine="", versions={}, load_before=0.0)


def heads(page: str) -> set[str]:
    """Headings and heads of tables, without the numbers of sizes."""
    lines = page.splitlines()
    tables = {above for above, line in pairwise(lines) if set(line) <= set("|-")}
    return {re.sub(r"[\d,]+", "N", line) for line in lines if line.startswith("#")} | (
        {line for line in tables if line}
    )


def test_contenders_that_load_quickly_agree(tmp_path: Path) -> None:
    """One station below floors, its dates, blending and resamples, beside pandas."""
    setting = Setting(folder=tmp_path, quick=True)
    for group in ("W1", "W3", "W4"):
        for one in works_of(group, setting):
            some = tuple(
                each for each in one.contenders if not each.needs and "xarray" not in each.name
            )
            found = hold(replace(one, contenders=some), setting)
            assert all(row.seconds for row in found.rows), one.key


@pytest.mark.slow
def test_all_contenders_agree_and_the_page_is_what_the_command_writes() -> None:
    """Every group but those of whole processes and the browser, in tiny sizes."""
    with warnings.catch_warnings():
        warnings.simplefilter("ignore")  # of the libraries, about themselves
        report = measure(["W1", "W2", "W3", "W4", "files"], quick=True)
    written, made = heads(PAGE.read_text(encoding="utf-8")), heads(render_report(report))
    assert made - written == set()
    assert {CONTENDERS, GOALS} <= written
    assert len(report.outcomes) == 14
