"""Where questions that are not brought through a sheet yet look for charts with rows of groups."""

from __future__ import annotations

from typing import TYPE_CHECKING, Any

from suitability.answers import words
from suitability.answers.hours_map import hours_map, hours_title
from suitability.answers.year_bars import year_bars, year_title
from suitability.output import chart_hours, chart_rows, chart_year
from suitability.output.chart_rows import HEAD_PX, ROW_PX
from suitability.units import TemperatureUnit

if TYPE_CHECKING:
    from collections.abc import Sequence

    from plotly.graph_objects import Figure

    from suitability.advice.result import CheckResult

__all__ = [
    "HEAD_PX",
    "ROW_PX",
    "hours_figure",
    "lay_out",
    "months_layout",
    "write_months",
    "year_figure",
]


def year_figure(result: CheckResult) -> dict[str, Any]:
    """The year of each group."""
    figure = chart_year.year_figure(year_bars(result))
    return figure | {"layout": figure["layout"] | _title(year_title(result))}


def hours_figure(result: CheckResult) -> dict[str, Any]:
    """Hours below the floors, without the text of the pointer."""
    figure = chart_hours.hours_figure(hours_map(result, TemperatureUnit.C))
    del figure["data"][0]["hovertext"]
    return figure | {"layout": figure["layout"] | _title(hours_title(result))}


def months_layout(title: str, labels: Sequence[str]) -> dict[str, Any]:
    """The layout of rows with one column a month."""
    layout = chart_rows.rows_layout(labels) | _title(title)
    layout["xaxis"] |= chart_rows.months_axis("month, standard time")
    layout["yaxis"] |= {"showgrid": False}
    return layout | {"annotations": chart_rows.month_notes(range(12), words.MONTHS)}


def write_months(figure: Figure, places: Sequence[float]) -> None:
    """Names of the months above the plot."""
    for note in chart_rows.month_notes(places, words.MONTHS):
        figure.add_annotation(note)


def lay_out(figure: Figure, title: str, labels: Sequence[str]) -> None:
    """What charts with rows down the side share; the first label stands on top."""
    figure.update_layout(chart_rows.rows_layout(labels) | _title(title))


def _title(text: str) -> dict[str, Any]:
    return {
        "title": {"text": words.chart_text(text), "x": 0, "xref": "paper", "font": {"size": 16}}
    }
