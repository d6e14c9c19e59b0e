"""Tables as one workbook and as CSV: read back by a second library, never a formula."""

from __future__ import annotations

import csv
import io
import zipfile
from typing import TYPE_CHECKING, Any

import openpyxl
import pytest
from hypothesis import given, settings
from hypothesis import strategies as st
from msgspec import to_builtins
from suitability.output.moves_document import moves_document
from suitability.output.sheets import check_sheets, moves_sheets, year_sheets
from suitability.output.workbook import Sheet, render_workbook, sheet_as_csv

from suitability.output.document import check_document

from . import examples, moves_examples, weeks_examples

if TYPE_CHECKING:
    from collections.abc import Mapping


def read(sheets: tuple[Sheet, ...]) -> Any:
    """The workbook as the second library reads it."""
    return openpyxl.load_workbook(io.BytesIO(render_workbook(sheets)))


def cells(page: Any) -> list[list[Any]]:
    return [[cell.value for cell in row] for row in page.iter_rows()]


def everything() -> dict[str, tuple[Sheet, ...]]:
    return {
        "check": check_sheets(examples.result()),
        "moves": moves_sheets(moves_examples.result()),
        "year": year_sheets(weeks_examples.result()),
    }


@pytest.mark.parametrize("command", ["check", "moves", "year"])
def test_every_cell_comes_back(command: str) -> None:
    """Headers with units, values as they are, unknown as an empty cell."""
    sheets = everything()[command]
    book = read(sheets)
    assert book.sheetnames == [sheet.name for sheet in sheets]
    assert book.sheetnames[0] == "about"
    for sheet in sheets:
        head, *rows = cells(book[sheet.name])
        assert [name.partition(" (")[0] for name in head] == list(sheet.columns)
        assert rows == [[row[name] for name in sheet.columns] for row in sheet.rows], sheet.name
        assert book[sheet.name].freeze_panes == "A2"


def test_the_tables_hold_what_the_documents_hold() -> None:
    """Each list of the JSON documents has its rows, and each number its place."""
    check = {sheet.name: sheet.rows for sheet in everything()["check"]}
    document = check_document(examples.result())["results"]
    assert [row["verdict"] for row in check["verdicts"]] == [one["verdict"] for one in document]
    assert len(check["months"]) == 12 * len(document)
    for number, one in enumerate(document):
        months = check["months"][12 * number : 12 * number + 12]
        assert [row["hours_below_bad"] for row in months] == one["hours_below_bad"]
        assert [row["growing_days"] for row in months] == one["growing_days"]
    assert len(check["months of years"]) == sum(len(one["by_month"]) for one in document)
    assert len(check["worst nights"]) == sum(len(one["worst_nights"]) for one in document) > 0

    moves = {sheet.name: sheet.rows for sheet in everything()["moves"]}
    told = moves_document(moves_examples.result())
    assert len(moves["past years"]) == sum(len(one["by_year"]) for one in told["results"])
    assert moves["past years"][1]["nights"] == told["results"][0]["by_year"][1]["nights"]
    assert len(moves["temperatures"]) == sum(len(one["levels"]) for one in told["thresholds"])

    year = {sheet.name: sheet.rows for sheet in everything()["year"]}
    calendars = to_builtins(weeks_examples.result())["results"]
    assert len(year["phases"]) == sum(len(one["runs"]) for one in calendars)
    assert len(year["changes"]) == sum(len(one["changes"]) for one in calendars)
    assert len(year["place"]) == 52


def test_units_stand_in_the_headers() -> None:
    """Where a name does not say it, and where it does."""
    head = cells(read(everything()["check"])["months"])[0]
    assert "hours_below (h)" in head
    assert "degree_hours_below (°C·h)" in head
    assert "floor_c (°C)" in cells(read(everything()["check"])["verdicts"])[0]


def test_licence_and_credit_stand_on_the_first_sheet() -> None:
    """With what was asked and the caution."""
    for sheets in everything().values():
        about = dict(cells(read(sheets)["about"]))
        assert about["Licence"] == "CC0"
        assert about["Attribution"] == "Nobody"
        assert "guarantees nothing" in about["Cautions"]


def test_same_bytes_and_no_clock() -> None:
    """Neither in the properties nor in the archive around them."""
    sheets = everything()["check"]
    data = render_workbook(sheets)
    assert data == render_workbook(sheets)
    with zipfile.ZipFile(io.BytesIO(data)) as archive:
        assert {item.date_time[:3] for item in archive.infolist()} == {(1980, 1, 1)}
        assert b"2000-01-01T00:00:00Z" in archive.read("docProps/core.xml")


def formulas_of(data: bytes) -> list[str]:
    """Parts of the workbook that hold a formula or lead outside."""
    with zipfile.ZipFile(io.BytesIO(data)) as archive:
        return [
            name
            for name in archive.namelist()
            if name.startswith("xl/worksheets/")
            and (b"<f>" in archive.read(name) or b"hyperlink" in archive.read(name))
        ]


def hostile_sheets(text: str) -> tuple[Sheet, ...]:
    return (
        *check_sheets(examples.hostile_result(text)),
        *(sheet for sheet in moves_sheets(moves_examples.hostile_result(text))[1:]),
        *(sheet for sheet in year_sheets(weeks_examples.hostile_result(text))[1:]),
    )


@pytest.mark.parametrize("text", examples.HOSTILE)
def test_hostile_text_is_text(text: str) -> None:
    """No formula, no link, nothing that reorders, and the workbook opens."""
    sheets = hostile_sheets(text)
    data = render_workbook(sheets)
    assert formulas_of(data) == []
    for page in openpyxl.load_workbook(io.BytesIO(data)):
        for row in page.iter_rows():
            for cell in row:
                assert cell.data_type != "f"
                if isinstance(cell.value, str):
                    assert not set(cell.value) & set("\u202e\u2066\u2069\u200f\x1b\x00\n\r")
    for sheet in sheets:
        rows = list(csv.reader(io.StringIO(sheet_as_csv(sheet)), strict=True))
        assert {len(row) for row in rows} == {len(sheet.columns)}
        assert not [cell for row in rows for cell in row if cell.startswith(("=", "@", "+"))]


@settings(max_examples=40)
@given(st.text(max_size=200), st.floats(allow_nan=True, allow_infinity=True))
def test_any_text_and_any_number(text: str, number: float) -> None:
    """Texts stay texts, finite numbers stay numbers, others are empty."""
    row: Mapping[str, object] = {"text": text, "number": number, "empty": None, "flag": False}
    sheet = Sheet(name="any", columns=tuple(row), rows=(row,))
    data = render_workbook((sheet,))
    assert formulas_of(data) == []
    (found,) = cells(openpyxl.load_workbook(io.BytesIO(data))["any"])[1:]
    assert found[0] is None or isinstance(found[0], str)
    if abs(number) < 1e300:
        assert found[1] == pytest.approx(number, rel=1e-14)
    assert found[2:] == [None, False]


def test_an_empty_table_keeps_its_header() -> None:
    """As a sheet and as CSV."""
    sheet = Sheet(name="none", columns=("group", "floor_c"), rows=())
    assert sheet_as_csv(sheet) == "group,floor_c\n"
    assert cells(read((sheet,))["none"]) == [["group", "floor_c (°C)"]]
