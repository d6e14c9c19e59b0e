"""Results told in one line: what, where, verdict, years, and never all of their fields."""

from __future__ import annotations

from typing import Any

import pytest

import suitability
from suitability.brief import brief, brief_row


class Row:
    """A row of an answer, with the fields that are told."""

    plants: tuple[str, ...] = ()
    spot, group, verdict = "porch", "nobile", "outdoor-seasonal"
    years_kept, years_counted = 9, 10
    season: Any = None


class Season:
    """A stretch of the year."""

    out, inn, days = "04-12", "11-03", 205


class Named:
    """A place."""

    name = "here"


class Answer:
    """An answer with rows."""

    results: tuple[Row, ...] = (Row(),) * 5
    schema_version, place = 2, Named()


def test_a_row_tells_group_spot_verdict_season_and_years() -> None:
    """Plants by their own names; a whole year without dates; years only where they are counted."""
    row = Row()
    assert brief_row(row) == "nobile at porch outdoor-seasonal, kept by 9 of 10 years"
    row.season = Season()
    assert brief(row) == (
        "<Row nobile at porch outdoor-seasonal, 04-12 to 11-03, kept by 9 of 10 years>"
    )
    row.season.days = 365
    row.plants, row.years_counted = ("white", "big one"), 0
    assert brief_row(row) == "white, big one at porch outdoor-seasonal"


def test_an_answer_tells_three_rows_and_the_number_of_the_others() -> None:
    """An answer without rows says so; what is neither answer nor row is left to its fields."""
    answer = Answer()
    told = "nobile at porch outdoor-seasonal, kept by 9 of 10 years"
    assert brief(answer) == f"<Answer here: {'; '.join([told] * 3)}; 2 more>"
    answer.results = ()
    assert brief(answer) == "<Answer here: nothing>"
    assert brief(Season()) is None
    assert repr(suitability.demo_place()).startswith("Place(name='Quillowen Bay (invented)'")


@pytest.mark.slow
def test_every_public_answer_is_one_line() -> None:
    """Of the demo: short, with its place and its verdict; so are question, record and spot."""
    record, place = suitability.demo_record(), suitability.demo_place()
    question = suitability.ask(record, place, "phalaenanthe", spots="open-porch")
    answers = [
        suitability.check(question),
        suitability.moves(question),
        suitability.year(question),
        suitability.cards(question),
        suitability.compare([question]),
        suitability.protect(question),
        suitability.report(question, on="03-01"),
    ]
    for answer in answers:
        line = repr(answer)
        assert line.startswith(f"<{type(answer).__name__} ")
        assert "\n" not in line
        assert len(line) < 250
        assert "Quillowen Bay (invented)" in line
        assert "phalaenanthe at open-porch outdoor-seasonal" in line
    assert repr(question) == (
        "<Question Quillowen Bay (invented): phalaenanthe at open-porch, promise 0.9>"
    )
    assert repr(question.spots[0]) == (
        "<Spot open-porch: +1.0/+0.5/-1.0 K on clear nights/other nights/days, roofed>"
    )
