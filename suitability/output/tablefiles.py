"""
Data tables as CSV, and as sheets of one workbook (Office Open XML).

No text is taken for a formula: CSV puts an apostrophe before what would be, a workbook writes text
as text. A date is a date, in CSV as ISO 8601 has it. What is not known is an empty cell. The same
tables give the same bytes.
"""

from __future__ import annotations

import csv
import io
import math
from datetime import date, datetime
from typing import TYPE_CHECKING

from suitability.answers.words import clean

if TYPE_CHECKING:
    from collections.abc import Sequence

    from xlsxwriter import Workbook
    from xlsxwriter.format import Format

    from suitability.answers.sheet import Sheet
    from suitability.output.datatables import DataTable

LONGEST_CELL = 32_000  # characters; spreadsheets take 32,767
LONGEST_NAME = 31  # characters of a sheet's name
FORMULA_STARTS = ("=", "+", "-", "@", "\t", "\r", "＝", "＋", "－", "＠")  # noqa: RUF001  (full width)
MADE = datetime(2000, 1, 1)  # noqa: DTZ001  (the format has no zone; no clock is read)
EARLIEST_YEAR = 1900  # of a date in a workbook; an earlier one is written as text
NARROWEST, WIDEST = 8, 60  # characters of a column
MEASURED_ROWS = 200  # rows that decide how wide a column is


def about_rows(sheet: Sheet) -> tuple[tuple[str, str], ...]:
    """The first table of a workbook: whose weather it is, what was asked, what it is worth."""
    rows = [(fact.label, fact.text) for fact in sheet.about.rows]
    invented = [("Invented", sheet.invented)] if sheet.invented else []
    notes = [("Note", note) for note in sheet.notes]
    return (*invented, *notes, *rows, *(("Cautions", sentence) for sentence in sheet.closing))


def render_csv(table: DataTable) -> str:
    """A table as comma-separated text with a header line, lines ended by a line feed."""
    file = io.StringIO()
    writer = csv.writer(file, lineterminator="\n")
    writer.writerow(column.name for column in table.columns)
    writer.writerows([plain_cell(value) for value in row] for row in table.rows)
    return file.getvalue()


def render_csv_file(table: DataTable) -> bytes:
    """The same as a file: its byte order mark tells spreadsheets that it is UTF-8."""
    return render_csv(table).encode("utf-8-sig", errors="replace")


def file_name(table: DataTable) -> str:
    """The name of a table's CSV file, and of its sheet: no longer than a workbook takes."""
    return table.name.replace("_", " ")[:LONGEST_NAME]


def plain_cell(value: object) -> object:
    """A value as spreadsheets take it."""
    if value is None:
        return ""
    if isinstance(value, bool):
        return "true" if value else "false"
    return _harmless(value) if isinstance(value, str) else value


def _harmless(text: str) -> str:
    """
    A text that no spreadsheet takes for a formula, on one line.

    Blanks before a formula do not hide it: what is left when they are cut is looked at too.

    Examples
    --------
    >>> _harmless("=1+1"), _harmless(" =1+1"), _harmless("nobile")
    ("'=1+1", "'=1+1", 'nobile')
    """
    cleaned = clean(text, LONGEST_CELL)
    runs = text.startswith(FORMULA_STARTS) or cleaned.startswith(FORMULA_STARTS)
    return "'" + cleaned if runs else cleaned


def render_workbook(tables: Sequence[DataTable]) -> bytes:
    """The workbook; the header of each sheet stays in sight, its columns are as wide as needed."""
    from xlsxwriter import Workbook  # noqa: PLC0415  (only for workbooks)

    file = io.BytesIO()
    workbook = Workbook(
        file,
        {
            "in_memory": True,
            "strings_to_formulas": False,
            "strings_to_urls": False,
            "strings_to_numbers": False,
        },
    )
    workbook.set_properties({"created": MADE, "author": "", "comments": ""})
    head = workbook.add_format({"bold": True, "text_wrap": True, "valign": "top", "bottom": 1})
    marked = workbook.add_format({"quote_prefix": True})  # stays text when its cell is edited
    day = workbook.add_format({"num_format": "yyyy-mm-dd"})
    for table in tables:
        _write(workbook, table, head, marked, day)
    workbook.close()
    return file.getvalue()


def _write(workbook: Workbook, table: DataTable, head: Format, marked: Format, day: Format) -> None:
    """One sheet."""
    page = workbook.add_worksheet(file_name(table))
    page.freeze_panes(1, 0)
    page.set_landscape()
    page.repeat_rows(0)
    for at, column in enumerate(table.columns):
        title = f"{column.name} ({column.unit})" if column.unit else column.name
        page.write_string(0, at, title, head)
        texts = [len(str(row[at])) for row in table.rows[:MEASURED_ROWS] if row[at] is not None]
        page.set_column(at, at, min(max([NARROWEST, len(column.name) + 1, *texts]), WIDEST))
    for number, row in enumerate(table.rows, start=1):
        for at, value in enumerate(row):
            if isinstance(value, bool):
                page.write_boolean(number, at, value)
            elif isinstance(value, (int, float)):
                if math.isfinite(value):
                    page.write_number(number, at, value)
            elif isinstance(value, date) and value.year >= EARLIEST_YEAR:
                page.write_datetime(number, at, value, day)
            elif value is not None:
                text = clean(str(value), LONGEST_CELL)
                runs = text.startswith(FORMULA_STARTS)
                page.write_string(number, at, text, marked if runs else None)
    if table.rows:
        page.autofilter(0, 0, len(table.rows), len(table.columns) - 1)
