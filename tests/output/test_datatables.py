"""Data tables: every number of a result in its own column, as CSV and as one workbook."""

from __future__ import annotations

import csv
import io
import json
import re
import zipfile
from datetime import date, datetime
from typing import TYPE_CHECKING, Any

import openpyxl
import pytest
from hypothesis import given, settings
from hypothesis import strategies as st
from msgspec.structs import replace

from suitability.advice.terms import MonthlyHours
from suitability.answers.moves import moves_sheet
from suitability.output.datatables import DataColumn, DataTable, data_tables, main_table
from suitability.output.document import render_json
from suitability.output.tablefiles import (
    about_rows,
    file_name,
    render_csv,
    render_csv_file,
    render_workbook,
)
from suitability.units import TemperatureUnit

from . import examples, moves_examples, weeks_examples

if TYPE_CHECKING:
    from msgspec import Struct

pytestmark = pytest.mark.slow

RESULTS: dict[str, Struct] = {
    "check": examples.result(),
    "moves": moves_examples.result(),
    "year": weeks_examples.result(),
}
MAIN = {"check": "results", "moves": "results", "year": "results weeks"}  # of --csv
ABOUT = about_rows(moves_sheet(moves_examples.result(), TemperatureUnit.C))


def read(tables: tuple[DataTable, ...]) -> Any:
    """The workbook as a second library reads it."""
    return openpyxl.load_workbook(io.BytesIO(render_workbook(tables)))


def cells(page: Any) -> list[list[Any]]:
    return [[cell.value for cell in row] for row in page.iter_rows()]


def named(tables: tuple[DataTable, ...]) -> dict[str, list[dict[str, object]]]:
    """Rows by the name of their table, cells by the name of their column."""
    return {
        table.name: [
            dict(zip((one.name for one in table.columns), row, strict=True)) for row in table.rows
        ]
        for table in tables
    }


def rows_of(text: str) -> list[dict[str, str]]:
    return list(csv.DictReader(io.StringIO(text), strict=True))


def flat(value: object, name: str = "") -> dict[str, object]:
    """Single values of a document's object by their path, joined as columns are."""
    if not isinstance(value, dict):
        return {name: value}
    found: dict[str, object] = {}
    for key, inner in value.items():
        found |= flat(inner, f"{name}_{key}" if name else key)
    return found


@pytest.mark.parametrize("command", RESULTS)
def test_a_column_holds_what_its_key_holds_in_the_document(command: str) -> None:
    """One name and one value in JSON, CSV and workbook; so no two columns can be exchanged."""
    result = RESULTS[command]
    document = json.loads(render_json(result))["results"]
    rows = named(data_tables(result))["results"]
    assert len(rows) == len(document)
    compared = 0
    for row, one in zip(rows, document, strict=True):
        told = flat({key: value for key, value in one.items() if key != "reason"})
        for name, value in row.items():
            if name in told and not isinstance(told[name], list):
                assert value == told[name], name
                compared += 1
        for name, value in told.items():
            if isinstance(value, str) and re.fullmatch(r"\d\d-\d\d", value):
                month, day = month_and_day(name)
                assert (row[month], row[day]) == tuple(map(int, value.split("-"))), name
                assert name not in row
    assert compared > 10 * len(rows)


def month_and_day(name: str) -> tuple[str, str]:
    """The two columns of a key that holds a day of the year."""
    stem = re.sub("(^|_)(day|date)$", "", name)
    return f"{stem}_month".lstrip("_"), f"{stem}_day".lstrip("_")


@pytest.mark.parametrize(
    ("key", "columns"),
    [
        ("season_out", ("season_out_month", "season_out_day")),
        ("rest_usual_date", ("rest_usual_month", "rest_usual_day")),
        ("day", ("month", "day")),
    ],
)
def test_a_day_of_the_year_is_two_numbers_named_by_one_rule(
    key: str, columns: tuple[str, str]
) -> None:
    """Examples of the rule; nowhere is a month-day a text, and no column is there twice."""
    assert month_and_day(key) == columns
    every = [table for result in RESULTS.values() for table in data_tables(result)]
    wide = [main_table(RESULTS[name], path) for name, path in MAIN.items()]
    assert any(set(columns) <= {one.name for one in table.columns} for table in every)
    for table in (*every, *wide):
        names = [one.name for one in table.columns]
        assert len(set(names)) == len(names), table.name
        for cell in (cell for row in table.rows for cell in row):
            assert not re.fullmatch(r"\d?\d-\d?\d", str(cell)), (table.name, cell)
        assert not any("MM-DD" in one.unit for one in table.columns)


def test_two_numbers_make_the_day_again() -> None:
    """Of past years of moves, in a workbook that a second library reads, and in CSV."""
    years = moves_examples.result().results[0].by_year
    tables = {table.name: table for table in data_tables(RESULTS["moves"])}
    table = tables["results by_year"]
    head, *rows = cells(read((table,))["results by year"])
    read_back = rows_of(render_csv(table))
    for year, row, line in zip(years, rows, read_back, strict=False):
        found = dict(zip((str(name).partition(" (")[0] for name in head), row, strict=True))
        for key, told in (("out", year.out), ("in", year.inn), ("first", year.first_day)):
            month, day = found[f"{key}_month"], found[f"{key}_day"]
            if told is None:
                assert (month, day) == (None, None)
                assert (line[f"{key}_month"], line[f"{key}_day"]) == ("", "")
            else:
                assert isinstance(month, int)
                assert told == f"{month:02d}-{day:02d}"
                assert (line[f"{key}_month"], line[f"{key}_day"]) == (str(month), str(day))


def test_months_are_rows_of_their_own_and_columns_of_a_csv() -> None:
    """Twelve of each result, every field with other numbers."""
    finding = examples.seasonal(
        hours_below=MonthlyHours.of(tuple(range(100, 112))),
        hours_below_median=tuple(range(200, 212)),
        hours_below_bad=tuple(range(300, 312)),
        degree_hours_below=tuple(range(400, 412)),
        years_of_month=tuple(range(12)),
        hours_below_rest=MonthlyHours.of(tuple(range(500, 512))),
        hours_below_rest_bad=tuple(range(600, 612)),
        degree_hours_below_rest=tuple(range(700, 712)),
        growing_days=tuple(range(12, 24)),
        unsafe_share=tuple(month / 100 for month in range(12)),
    )
    starts = {
        "hours_below": 100, "hours_below_median": 200, "hours_below_bad": 300,
        "degree_hours_below": 400, "years_of_month": 0, "hours_below_rest": 500,
        "hours_below_rest_bad": 600, "degree_hours_below_rest": 700, "growing_days": 12,
    }  # fmt: skip
    months = named(data_tables(examples.result(finding)))["results months"]
    assert len(months) == 12
    wide = rows_of(render_csv(main_table(examples.result(finding))))[0]
    for at, row in enumerate(months):
        assert row["month"] == at + 1
        for name, start in starts.items():
            assert row[name] == start + at, name
            assert float(wide[f"{name}_{at + 1:02d}"]) == start + at
        assert row["unsafe_share"] == at / 100
    assert float(wide["hours_below_year"]) == sum(range(100, 112))


def test_lists_are_tables_that_say_whose_their_rows_are() -> None:
    """Raw months, worst nights and past years, with spot and group in front."""
    check = named(data_tables(RESULTS["check"]))
    told = examples.result().results
    assert len(check["results by_month"]) == sum(len(one.by_month) for one in told)
    assert len(check["results worst_nights"]) == sum(len(one.worst_nights) for one in told) > 0
    first = check["results worst_nights"][0]
    assert first["group"] == told[0].group
    assert (first["evening"], first["minimum_c"]) == (date(2017, 1, 8), 2.5)
    moves = named(data_tables(RESULTS["moves"]))
    years = moves_examples.result().results[0].by_year
    assert moves["results by_year"][1]["nights"] == years[1].nights
    told_in = moves["results by_year"][1]
    assert f"{told_in['in_month']:02d}-{told_in['in_day']:02d}" == years[1].inn
    levels = sum(len(one.levels) for one in moves_examples.result().thresholds)
    assert len(moves["thresholds levels"]) == levels
    year = named(data_tables(RESULTS["year"]))
    assert len(year["courses weeks"]) == 52
    assert len(year["results runs"]) == sum(
        len(one.runs) for one in weeks_examples.result().results
    )


def test_rows_of_a_csv_begin_with_place_and_record() -> None:
    """Whichever list its rows are."""
    for result, path in ((RESULTS["check"], "results"), (RESULTS["year"], "results weeks")):
        row = rows_of(render_csv(main_table(result, path)))[0]
        assert row["place_name"] == "Testing Cove"
        assert row["record_period_start"] == "2013-01-01T00:00Z"
        assert row["record_licence"] == "CC0"
        assert row["group"]


def test_a_short_list_stands_in_one_cell() -> None:
    """What limits a group, and when."""
    row = rows_of(render_csv(main_table(examples.result(examples.seasonal()))))[0]
    assert row["limiting"] == "wet-cold 1 2 3 11 12; floor 1 2 3 4 5 10 11 12"


def test_unknown_is_an_empty_cell() -> None:
    """What is not known is empty, not 0."""
    row = rows_of(render_csv(main_table(examples.result(examples.no_verdict()))))[0]
    for name in (
        "season_out_month",
        "season_out_day",
        "margin_c",
        "hours_below_01",
        "hours_below_rest_12",
        "stability",
    ):
        assert row[name] == "", name
    assert row["rest_needed"] == "false"


def test_no_finding_keeps_the_header() -> None:
    """Nothing asked, nothing shown, no crash; every column is still named."""
    text = render_csv(main_table(replace(examples.result(), results=())))
    assert text.startswith("place_name,")
    assert text.count("\n") == 1


@pytest.mark.parametrize("command", RESULTS)
def test_every_cell_comes_back(command: str) -> None:
    """Headers with units, values as they are, unknown as an empty cell."""
    tables = data_tables(RESULTS[command], ABOUT)
    book = read(tables)
    assert book.sheetnames == [file_name(table) for table in tables]
    assert book.sheetnames[0] == "about"
    for table in tables:
        head, *rows = cells(book[file_name(table)])
        assert [name.partition(" (")[0] for name in head] == [one.name for one in table.columns]
        assert rows == [list(map(as_read, row)) for row in table.rows], table.name
        assert book[file_name(table)].freeze_panes == "A2"


def as_read(value: object) -> object:
    """A cell as openpyxl gives it: dates at midnight."""
    return datetime(value.year, value.month, value.day) if isinstance(value, date) else value  # noqa: DTZ001


def test_dates_are_dates() -> None:
    """Where the year is known: a date cell with a date's format; in CSV as ISO 8601 has it."""
    tables = {table.name: table for table in data_tables(RESULTS["check"])}
    table = tables["results worst_nights"]
    page = read((table,))["results worst nights"]
    at = [one.name for one in table.columns].index("evening")
    for row, line in zip(table.rows, rows_of(render_csv(table)), strict=True):
        cell = page.cell(row=table.rows.index(row) + 2, column=at + 1)
        assert cell.is_date
        assert cell.number_format == "yyyy-mm-dd"
        assert cell.value.date() == row[at]
        assert line["evening"] == str(row[at])
        assert date.fromisoformat(line["evening"]) == row[at]
    old = DataTable(name="old", columns=(DataColumn(name="day"),), rows=((date(1899, 12, 31),),))
    assert cells(read((old,))["old"])[1] == ["1899-12-31"]


@pytest.mark.parametrize("command", RESULTS)
def test_a_sheet_can_be_read_as_it_opens(command: str) -> None:
    """Numbers are numbers, the header stays, columns are as wide as their names, not wider."""
    tables = data_tables(RESULTS[command], ABOUT)
    book = read(tables)
    for table in tables:
        page = book[file_name(table)]
        assert page.freeze_panes == "A2"
        widths = {
            at: group.width
            for group in page.column_dimensions.values()
            for at in range(group.min, group.max + 1)
        }
        for at, column in enumerate(table.columns, start=1):
            assert min(len(column.name), 60) < widths[at] < 61, column.name
            for row in page.iter_rows(min_row=2, min_col=at, max_col=at):
                if column.unit and row[0].value is not None:
                    assert row[0].data_type == "n", column.name
                shown = len(str(row[0].value)) if row[0].data_type == "s" else 0
                assert min(shown, 60) <= widths[at], column.name


def test_a_csv_file_says_that_it_is_utf_8() -> None:
    """By its byte order mark; what comes after is the text of standard output."""
    columns = (DataColumn(name="name"),)
    table = DataTable(name="any", columns=columns, rows=(("Curaçao 蘭",),))
    data = render_csv_file(table)
    assert data[:3] == b"\xef\xbb\xbf"
    assert data[3:].decode("utf-8") == render_csv(table) == "name\nCuraçao 蘭\n"


def test_units_stand_in_the_headers() -> None:
    """Where a name does not say it, and where it does."""
    book = read(data_tables(RESULTS["check"]))
    head = cells(book["results months"])[0]
    assert "hours_below (h)" in head
    assert "degree_hours_below (°C·h)" in head
    assert "thresholds_floor_c (°C)" in cells(book["results"])[0]
    assert "margin_c (K)" in cells(book["results"])[0]


def test_licence_and_credit_stand_on_the_first_sheet() -> None:
    """With what was asked and the caution."""
    about = dict(cells(read(data_tables(RESULTS["moves"], ABOUT))["about"]))
    assert about["Licence"] == "CC0"
    assert about["Attribution"] == "Nobody"
    assert any("guarantees nothing" in str(text) for text in about.values())


def test_same_bytes_and_no_clock() -> None:
    """Neither in the properties nor in the archive around them."""
    tables = data_tables(RESULTS["check"], ABOUT)
    data = render_workbook(tables)
    assert data == render_workbook(tables)
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


@pytest.mark.parametrize("text", examples.HOSTILE)
def test_hostile_text_is_text(text: str) -> None:
    """No formula, no link, nothing that reorders, and the workbook opens."""
    for result in (
        examples.hostile_result(text),
        moves_examples.hostile_result(text),
        weeks_examples.hostile_result(text),
    ):
        tables = data_tables(result, ((text, text),))
        data = render_workbook(tables)
        assert formulas_of(data) == []
        for page in openpyxl.load_workbook(io.BytesIO(data)):
            for row in page.iter_rows():
                for cell in row:
                    assert cell.data_type != "f"
                    if isinstance(cell.value, str):
                        assert not set(cell.value) & set("\u202e\u2066\u2069\u200f\x1b\x00\n\r")
        for table in tables:
            rows = list(csv.reader(io.StringIO(render_csv(table)), strict=True))
            assert {len(row) for row in rows} == {len(table.columns)}
            for cell in (cell for row in rows[1:] for cell in row):
                try:
                    float(cell)
                except ValueError:
                    assert not cell.startswith(("=", "+", "-", "@", "\t", "\r")), cell[:40]


@settings(max_examples=40)
@given(st.text(max_size=200), st.floats(allow_nan=True, allow_infinity=True))
def test_any_text_and_any_number(text: str, number: float) -> None:
    """Texts stay texts, finite numbers stay numbers, others are empty."""
    columns = tuple(DataColumn(name=name) for name in ("text", "number", "empty", "flag"))
    table = DataTable(name="any", columns=columns, rows=((text, number, None, False),))
    data = render_workbook((table,))
    assert formulas_of(data) == []
    (found,) = cells(openpyxl.load_workbook(io.BytesIO(data))["any"])[1:]
    assert found[0] is None or isinstance(found[0], str)
    if abs(number) < 1e300:
        assert found[1] == pytest.approx(number, rel=1e-14)
    assert found[2:] == [None, False]


@given(st.text())
def test_any_text_is_one_harmless_cell(text: str) -> None:
    """Whatever the text, blanks in front of it too, no spreadsheet takes it for a formula."""
    table = DataTable(name="any", columns=(DataColumn(name="text"),), rows=((text,), (f" {text}",)))
    head, *rows = csv.reader(io.StringIO(render_csv(table)), strict=True)
    assert head == ["text"]
    for cell in (row[0] if row else "" for row in rows):
        assert not cell.startswith(("=", "+", "-", "@", "\t", "\r", "\n"))
        assert "\n" not in cell


@pytest.mark.parametrize(
    ("text", "cell"), [("=1+1", "'=1+1"), (" =1+1", "'=1+1"), ("Nobile (soft-cane)",) * 2]
)
def test_what_begins_as_a_formula_is_held_by_an_apostrophe(text: str, cell: str) -> None:
    """Blanks in front do not hide it; ordinary names stay as they are."""
    table = DataTable(name="any", columns=(DataColumn(name="text"),), rows=((text,),))
    assert render_csv(table) == f"text\n{cell}\n"
