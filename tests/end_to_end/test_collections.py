"""
A collection is asked every question, and each of them says the same of each plant.

The collections are invented; the weather is that of real records.
"""

from __future__ import annotations

import json
import re
from collections import Counter
from datetime import date
from functools import cache
from html import unescape
from typing import TYPE_CHECKING, Any

import pytest
from hypothesis import given, settings
from hypothesis import strategies as st
from msgspec import Struct

import suitability
from suitability.advice.occasions import OccasionKind, list_occasions
from suitability.advice.terms import Verdict, dates_help
from suitability.answers.calendar import calendar_sheet
from suitability.answers.cards import cards_sheet
from suitability.answers.check import check_sheet
from suitability.answers.comparison import comparison_sheet
from suitability.answers.moves import moves_sheet
from suitability.answers.report import report_sheet
from suitability.answers.trials import trial_control
from suitability.answers.year import year_sheet
from suitability.output.calendar import render_calendar
from suitability.output.document import render_json
from suitability.output.report import render_report
from suitability.output.terminal import render_terminal
from suitability.units import TemperatureUnit
from tests.conftest import open_extract

if TYPE_CHECKING:
    from collections.abc import Iterable
    from pathlib import Path

    from suitability.advice.card import Card
    from suitability.advice.comparison import Row
    from suitability.advice.moves import Move
    from suitability.advice.occasions import Occasion
    from suitability.advice.result import Finding
    from suitability.advice.terms import Season, Whose

SPOTS = ("open-bench", "open-porch", "frost-hollow", "closed-greenhouse", "window-sill")
GROUPS = (
    *("nobile", "den-phal", "kingianum", "aggregatum", "phalaenopsis", "masdevallia"),
    *("nobile x aggregatum", "den-phal x kingianum", "unknown", "unknown orchid"),
)
DAY = date(2026, 3, 10)
C = TemperatureUnit.C
WIDE = 240  # columns, in which no name of these collections is cut


class Plant(Struct, frozen=True, kw_only=True):
    """One invented [[plant]]; `damaged` in a cold week of the record."""

    group: str
    spot: str | None
    number: int
    first_winter: bool
    in_bud: bool
    shift_c: float
    damaged: bool


PLANTS = st.builds(
    Plant,
    group=st.sampled_from(GROUPS),
    spot=st.sampled_from((*SPOTS, None)),
    number=st.integers(1, 3),
    first_winter=st.booleans(),
    in_bud=st.booleans(),
    shift_c=st.sampled_from((0.0, 0.0, 1.5, -2.0)),
    damaged=st.sampled_from((False, False, False, True)),
)


def written(plants: list[Plant]) -> str:
    """The file; every plant has a name of its own."""
    parts = [f'[[spot]]\nname = "{spot}"\nkind = "{spot}"\n' for spot in SPOTS]
    for at, plant in enumerate(plants):
        parts.append(
            f'[[plant]]\nname = "plant {at}"\ngroup = "{plant.group}"\nnumber = {plant.number}\n'
            f"first_winter = {str(plant.first_winter).lower()}\n"
            f"in_bud = {str(plant.in_bud).lower()}\nshift_c = {plant.shift_c}\n"
        )
        if plant.spot is not None:
            parts.append(f'spot = "{plant.spot}"\n')
        if plant.damaged:
            parts.append('[[plant.damage]]\ndate = 2015-01-05\nwords = "leaves shed"\n')
    return "".join(parts)


@cache
def weather(name: str) -> Any:
    """A real record and its place."""
    return open_extract(name)


def dates(season: Season | None) -> tuple[str, str] | None:
    """Out and in of a season."""
    return None if season is None else (season.out, season.inn)


def told(rows: Iterable[Whose]) -> dict[tuple[str, str], tuple[Any, ...]]:
    """Verdict and dates of each plant at each spot; each has one row."""
    found: list[tuple[tuple[str, str], tuple[Any, ...]]] = [
        ((plant, row.spot), (row.verdict, dates(row.season), row.caveat))  # type: ignore[attr-defined]  # every row has a verdict
        for row in rows
        for plant in row.plants
    ]
    assert max(Counter(key for key, _ in found).values()) == 1
    return dict(found)


def documented(rows: list[dict[str, Any]]) -> dict[tuple[str, str], tuple[Any, ...]]:
    """The same of the rows of a JSON document."""
    return {
        (plant, row["spot"]): (
            Verdict(row["verdict"]),
            None if row["season"] is None else (row["season"]["out"], row["season"]["in"]),
            row["caveat"],
        )
        for row in rows
        for plant in row["plants"]
    }


def agree(file: Path, name: str, plants: list[Plant]) -> None:
    """Ask everything, and hold the answers against each other."""
    file.write_text(written(plants), encoding="utf-8")
    question = suitability.ask(*weather(name), collection=file)
    check = suitability.check(question)
    answers = told(check.results)
    spots = {f"plant {at}": plant.spot for at, plant in enumerate(plants)}
    assert set(answers) == {
        (plant, spot) for plant, own in spots.items() for spot in SPOTS if own in (None, spot)
    }
    moves, growth, cards = (
        suitability.moves(question),
        suitability.year(question),
        suitability.cards(question),
    )
    report, compared = suitability.report(question, on="03-10"), suitability.compare([question])
    for rows in (moves.results, growth.results, cards.cards, report.check.results):
        assert told(rows) == answers
    for rows in (report.moves.results, report.growth.results, report.cards.cards):
        assert told(rows) == answers
    everywhere = told(compared.results)
    assert {key: everywhere[key] for key in answers} == answers
    assert len(everywhere) == len(plants) * len(SPOTS)
    cosy = comfortable(check.results)
    for rows in (moves.results, cards.cards):
        assert comfortable(rows) == cosy
    placed = comfortable(compared.results)
    assert {key: placed[key] for key in cosy} == cosy
    for result, rows_of in ((check, "results"), (moves, "results"), (cards, "cards")):
        assert documented(json.loads(render_json(result))[rows_of]) == answers

    occasions = list_occasions(moves, DAY)
    assert dated(occasions) == promised(moves.results) == promised(cards.cards)
    calendar = calendar_sheet(occasions, moves, first_day=DAY, units=C)
    assert render_calendar(calendar)
    for row in check.results:  # no flowers are promised where nothing tells the rest
        assert row.rest.told or row.flowers.value == "unknown"
    sheets = (
        check_sheet(check, C),
        moves_sheet(moves, C),
        year_sheet(growth, 10, C),
        cards_sheet(cards, C),
        comparison_sheet(compared, C),
    )
    shown = [render_terminal(sheet, width=WIDE, colour=False, details=True) for sheet in sheets]
    page = render_report(report_sheet(report, C), trial_control(report, C))
    markup = re.compile(r"<(script|style)\b.*?</\1>|<[^>]*>", re.DOTALL)
    for text in (" ".join(one.split()) for one in (*shown, unescape(markup.sub(" ", page)))):
        said = [*spots, *(row.caveat for row in check.results)]
        assert [words for words in said if words not in text] == []
        stated = any(row.in_state for row in check.results)
        assert ("its own state" in text or "state of its own" in text) is stated


def comfortable(
    rows: Iterable[Finding | Move | Card | Row],
) -> dict[tuple[str, str], tuple[Season | None, str | None]]:
    """When the nights of each plant are comfortable, and from when it grows."""
    return {
        (plant, row.spot): (row.comfort_season, row.grows_from)
        for row in rows
        for plant in row.plants
    }


def promised(rows: Iterable[Move | Card]) -> dict[tuple[str, str, OccasionKind], str]:
    """The dates out and in of each plant that these spare much."""
    return {
        (plant, row.spot, kind): moved.promised
        for row in rows
        for plant in row.plants
        for kind, moved in ((OccasionKind.OUT, row.out), (OccasionKind.IN, row.inn))
        if moved is not None and dates_help(row)
    }


def dated(occasions: Iterable[Occasion]) -> dict[tuple[str, str, OccasionKind], str]:
    """The same of a calendar."""
    return {
        (plant, one.spot, one.kind): f"{one.first:%m-%d}"
        for one in occasions
        for plant in one.plants
        if one.kind in {OccasionKind.OUT, OccasionKind.IN}
    }


def plant(group: str, spot: str | None = "open-porch", **changes: Any) -> Plant:
    """An invented plant in no state of its own."""
    usual = {"number": 1, "first_winter": False, "in_bud": False, "shift_c": 0.0, "damaged": False}
    return Plant(group=group, spot=spot, **(usual | changes))


@pytest.mark.slow
def test_all_questions_agree_about_each_plant(tmp_path: Path) -> None:
    """Twins share a row; a hybrid, one without a label, one in a state, one without a spot."""
    plants = [
        plant("den-phal", number=3),
        plant("den-phal"),
        plant("den-phal", first_winter=True),
        plant("nobile x aggregatum", "open-bench"),
        plant("unknown"),
        plant("nobile", None, damaged=True),
    ]
    agree(tmp_path / "own.toml", "los_angeles", plants)
    question = suitability.ask(*weather("los_angeles"), collection=tmp_path / "own.toml")
    rows = suitability.check(question).results
    (twins,) = [row for row in rows if "plant 0" in row.plants]
    assert (twins.plants, twins.numbers) == (("plant 0", "plant 1"), (3, 1))


@pytest.mark.slow
@settings(max_examples=4, deadline=None)
@given(plants=st.lists(PLANTS, min_size=1, max_size=6), name=st.sampled_from(["lansing", "dallas"]))
def test_all_questions_agree_about_any_collection(
    tmp_path_factory: pytest.TempPathFactory, plants: list[Plant], name: str
) -> None:
    """Several spots, groups, states, hybrids, numbers."""
    agree(tmp_path_factory.mktemp("own") / "own.toml", name, plants)
