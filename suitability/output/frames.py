"""Answers for whoever works on in Python: tables as pandas frames, charts as plotly figures."""

from typing import TYPE_CHECKING, Any

from msgspec import Struct

from suitability.errors import OptionError
from suitability.units import TemperatureUnit

if TYPE_CHECKING:
    import pandas as pd
    from plotly.graph_objects import Figure

    from suitability.answers.sheet import Sheet


def to_frame(result: Struct, table: str = "results") -> "pd.DataFrame":
    """
    A table of an answer, with the columns and units (°C, h) of its CSV and workbook.

    Parameters
    ----------
    result
        What `check`, `moves`, `year`, `compare` or another question gave.
    table
        Path of the list whose entries are the rows, as sheets of the workbook are named: "results",
        or one within it such as "results by_year".

    Raises
    ------
    OptionError
        The answer has no such table.
    """
    import pandas as pd  # noqa: PLC0415  (the labelled face is not on the everyday path)

    from suitability.output.datatables import data_tables, main_table  # noqa: PLC0415

    tables = {one.name: one for one in data_tables(result)}
    if table not in tables:
        raise OptionError(
            f"{type(result).__name__} has no table {table!r}; it has {', '.join(tables)}."
        )
    found = main_table(result) if table == "results" else tables[table]
    return pd.DataFrame(found.rows, columns=[column.name for column in found.columns])


def figures(result: Struct, units: str = "c") -> "dict[str, Figure]":
    """
    The charts of an answer, those of its page and pictures, by their names.

    Parameters
    ----------
    result
        What `check`, `moves`, `year`, `compare`, `fit` or `report` gave.
    units
        "c" or "f": the degrees shown.

    Raises
    ------
    OptionError
        The answer has no charts, or the unit is none.
    """
    from plotly.graph_objects import Figure  # noqa: PLC0415  (slow to import)

    from suitability.output.figures import sheet_figures  # noqa: PLC0415

    if units not in set(TemperatureUnit):
        raise OptionError(f"units {units!r}: expected one of {', '.join(TemperatureUnit)}.")
    sheet = _sheet_of(result, TemperatureUnit(units))
    return {one.name: Figure(one.figure) for one in sheet_figures(sheet)}


def _sheet_of(result: Any, units: TemperatureUnit) -> "Sheet":
    """The answer in words, which title its charts; each kind is loaded where it is met."""
    match type(result).__name__:
        case "CheckResult":
            from suitability.answers.check import check_sheet  # noqa: PLC0415

            return check_sheet(result, units)
        case "MovesResult":
            from suitability.answers.moves import moves_sheet  # noqa: PLC0415

            return moves_sheet(result, units)
        case "GrowthYearResult":
            from suitability.answers.year import year_sheet  # noqa: PLC0415

            return year_sheet(result, 1, units)  # the week is told in words, and in no chart
        case "Comparison":
            from suitability.answers.comparison import comparison_sheet  # noqa: PLC0415

            return comparison_sheet(result, units)
        case "Calibration":
            from suitability.answers.fit import fit_sheet  # noqa: PLC0415

            return fit_sheet(result, units)
        case "ReportResult":
            from suitability.answers.report import report_sheet  # noqa: PLC0415

            return report_sheet(result, units)
    raise OptionError(f"{type(result).__name__} has no charts.")
