"""The findings for spreadsheets."""

from __future__ import annotations

import csv
import io
import re

import pytest
from hypothesis import given
from hypothesis import strategies as st
from msgspec.structs import replace
from suitability.output.csvfile import neutral_cell, render_csv

from . import examples


def rows_of(text: str) -> list[dict[str, str]]:
    return list(csv.DictReader(io.StringIO(text), strict=True))


def test_one_row_a_finding_with_units_in_names() -> None:
    """Every finding is a row; temperatures name their unit."""
    rows = rows_of(render_csv(examples.result()))
    assert [row["group"] for row in rows] == [
        "nobile",
        "phalaenanthe",
        "paphiopedilum-warm",
        "masdevallia",
    ]
    assert rows[1]["verdict"] == "outdoor-seasonal"
    assert rows[1]["season_out"] == "06-01"
    assert rows[1]["season_in"] == "10-08"
    assert rows[1]["survival_season_days"] == "153"
    assert rows[1]["floor_c"] == "15.0"
    assert rows[1]["hours_below_01"] == "400.04"
    assert rows[1]["limiting"] == "wet-cold 1 2 3 11 12; floor 1 2 3 4 5 10 11 12"


def test_unknown_is_an_empty_cell() -> None:
    """What is not known is empty, not 0."""
    row = rows_of(render_csv(examples.result(examples.no_verdict())))[0]
    for name in ("season_out", "margin_c", "hours_below_01", "hours_below_rest_12", "stability"):
        assert row[name] == "", name
    assert row["rest_needed"] == "false"


def test_no_finding_gives_an_empty_table() -> None:
    """Nothing asked, nothing shown, no crash."""
    assert render_csv(replace(examples.result(), results=())).strip() == ""


def test_never_says_safe() -> None:
    """No column promises safety."""
    assert not re.search("(?<!un)safe", render_csv(examples.result()))


@pytest.mark.parametrize("text", examples.HOSTILE)
def test_hostile_text_starts_no_formula_and_breaks_no_row(text: str) -> None:
    """Every cell is a number, empty, or a text that no spreadsheet runs."""
    table = render_csv(examples.hostile_result(text))
    rows = list(csv.reader(io.StringIO(table), strict=True))
    assert len(rows) == 3
    assert {len(row) for row in rows} == {len(rows[0])}
    for row in rows[1:]:
        for cell in row:
            try:
                float(cell)
            except ValueError:
                assert not cell.startswith(("=", "+", "-", "@", "\t", "\r")), cell[:40]
    assert "\x1b" not in table
    assert "\u202e" not in table
    table.encode("utf-8")


@given(st.text())
def test_neutral_cell_is_one_line_and_no_formula(text: str) -> None:
    """Whatever the text, the cell is harmless; doing it twice changes nothing more."""
    cell = neutral_cell(text)
    assert not cell.startswith(("=", "+", "-", "@", "\t", "\r", "\n"))
    assert "\n" not in cell
    assert neutral_cell(cell) == cell


def test_ordinary_text_stays() -> None:
    """Names with signs inside, letters of other scripts and quotes are kept."""
    for text in ("Nobile type (soft-cane)", "Ærø, a=b", "蘭", 'say "hello"'):
        assert neutral_cell(text) == text
