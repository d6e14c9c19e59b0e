"""
Tables as sheets of one workbook (Office Open XML), and the same tables as CSV.

A text is written as text whatever it begins with, so that none is run as a formula; what is not
known is an empty cell. The same tables give the same bytes: the moment of making is a fixed one.
"""

from __future__ import annotations

import io
import math
from datetime import datetime
from typing import TYPE_CHECKING

from msgspec import Struct

from suitability.answers import words
from suitability.output.csvfile import FORMULA_STARTS, LONGEST_CELL, rows_as_csv

if TYPE_CHECKING:
    from collections.abc import Mapping, Sequence

    from xlsxwriter import Workbook
    from xlsxwriter.format import Format

__all__ = ["Sheet", "render_workbook", "sheet_as_csv", "unit_of"]

MADE = datetime(2000, 1, 1)  # noqa: DTZ001  (the format has no zone; no clock is read)
NARROWEST, WIDEST = 8, 60  # characters of a column
MEASURED_ROWS = 200  # rows that decide how wide a column is
UNITS = (  # how a name ends, the longest first: the unit that stands in its header
    ("dose_limit_c_h", "°C·h"),
    ("dose_c_h", "°C·h"),
    ("_per_decade", "days"),
    ("_length_h", "h"),
    ("_c", "°C"),
)
WHOLE_UNITS = {  # names that say a quantity without its unit
    "latitude": "degrees",
    "longitude": "degrees",
    "elevation_m": "m",
    "hours_valid": "h",
    "hours_below": "h",
    "hours_below_median": "h",
    "hours_below_bad": "h",
    "hours_below_rest": "h",
    "degree_hours_below": "°C·h",
    "degree_hours_below_rest": "°C·h",
    "growing_days": "days",
    "unsafe_share": "0 to 1",
    "coverage": "0 to 1",
    "promise": "0 to 1",
    "stability": "0 to 1",
    "chance": "0 to 1",
    "chance_5_years": "0 to 1",
    "chance_10_years": "0 to 1",
    "kept_low": "0 to 1",
    "kept_high": "0 to 1",
    "risk_not_excluded": "0 to 1",
    "probability": "0 to 1",
    "out_holds_alone": "0 to 1",
    "in_holds_alone": "0 to 1",
    "season_days": "days",
    "typical_days": "days",
    "survival_season_days": "days",
    "carried_nights_typical": "nights a year",
    "carried_nights_worst": "nights a year",
}


class Sheet(Struct, frozen=True, kw_only=True):
    """
    One table: a name (31 characters at most, letters, hyphens and blanks), and its rows.

    All rows have the keys of `columns`, in that order; there may be none.
    """

    name: str
    columns: tuple[str, ...]
    rows: tuple[Mapping[str, object], ...]


def unit_of(column: str) -> str:
    """
    The unit of a column, or an empty text.

    Examples
    --------
    >>> unit_of("floor_c"), unit_of("dose_limit_c_h"), unit_of("hours_below"), unit_of("group")
    ('°C', '°C·h', 'h', '')
    """
    if column in WHOLE_UNITS:
        return WHOLE_UNITS[column]
    return next((unit for ending, unit in UNITS if column.endswith(ending)), "")


def sheet_as_csv(sheet: Sheet) -> str:
    """A table as CSV; its header line stands even if there is no row."""
    if not sheet.rows:
        return ",".join(sheet.columns) + "\n"
    return rows_as_csv([{name: row[name] for name in sheet.columns} for row in sheet.rows])


def render_workbook(sheets: Sequence[Sheet]) -> bytes:
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
    for sheet in sheets:
        _write(workbook, sheet, head, marked)
    workbook.close()
    return file.getvalue()


def _write(workbook: Workbook, sheet: Sheet, head: Format, marked: Format) -> None:
    """One sheet."""
    page = workbook.add_worksheet(sheet.name)
    page.freeze_panes(1, 0)
    page.set_landscape()
    page.repeat_rows(0)
    for column, name in enumerate(sheet.columns):
        unit = unit_of(name)
        page.write_string(0, column, f"{name} ({unit})" if unit else name, head)
        texts = [len(str(row[name])) for row in sheet.rows[:MEASURED_ROWS] if row[name] is not None]
        width = min(max([NARROWEST, len(name) + 1, *texts]), WIDEST)
        page.set_column(column, column, width)
    for number, row in enumerate(sheet.rows, start=1):
        for column, name in enumerate(sheet.columns):
            value = row[name]
            if isinstance(value, bool):
                page.write_boolean(number, column, value)
            elif isinstance(value, (int, float)):
                if math.isfinite(value):
                    page.write_number(number, column, value)
            elif value is not None:
                text = words.clean(str(value), LONGEST_CELL)
                runs = text.startswith(FORMULA_STARTS)
                page.write_string(number, column, text, marked if runs else None)
    if sheet.rows:
        page.autofilter(0, 0, len(sheet.rows), len(sheet.columns) - 1)
