"""The dates of moving one group: promised, typical, to be watched, over what past years allowed."""

from __future__ import annotations

from collections.abc import Sequence
from typing import Any

from suitability.answers.moves_charts import DateRow, MovingDates, ToldDay, ToldSpan
from suitability.output.chart_kind import Kind
from suitability.output.chart_layout import (
    AXIS,
    HOVER,
    Figure,
    chart_layout,
    days_axis,
    legend_above,
    with_legend,
)
from suitability.output.look import INK, QUIET, STATES

HEIGHT_PX = 190
PROMISED, WATCHED = STATES["outdoors"].fill, STATES["moving"].fill


def moving_dates_figure(spec: MovingDates) -> Figure:
    """The figure, a legend below it."""
    rows = len(spec.rows)
    layout = chart_layout(HEIGHT_PX, {"l": 46, "r": 8, "t": 46, "b": 38})
    layout |= {
        "legend": legend_above(),
        "xaxis": days_axis(spec.title_across, spec.starts, spec.months),
        "yaxis": {
            **AXIS,
            "range": [rows - 0.4, -0.6],
            "showgrid": False,
            "tickvals": list(range(rows)),
            "ticktext": [row.label for row in spec.rows],
        },
    }
    traces = [trace for at, row in enumerate(spec.rows) for trace in _traces(row, at, spec)]
    return with_legend({"data": traces, "layout": layout})


def _traces(row: DateRow, at: int, spec: MovingDates) -> list[dict[str, Any]]:
    """One date, what matters most on top."""
    traces = [_marks(spec.past, row.past, at, {"symbol": "line-ns-open", "size": 26}, QUIET)]
    if row.watch is not None:
        traces.append(_span(spec.watch, row.watch, at, 12, WATCHED))
    traces.append(_span(spec.interval, row.interval, at, 5, PROMISED))
    if row.typical is not None:
        circle = {"symbol": "circle", "size": 12, "line": {"color": INK, "width": 2}}
        traces.append(_marks(spec.typical, [row.typical], at, circle, "#ffffff"))
    diamond = {"symbol": "diamond", "size": 14, "line": {"color": INK, "width": 1.5}}
    traces.append(_marks(spec.promised, [row.promised], at, diamond, PROMISED))
    return traces


def _marks(
    name: str, days: Sequence[ToldDay], at: int, marker: dict[str, Any], colour: str
) -> dict[str, Any]:
    """Days as marks in a row."""
    return {
        "type": "scatter",
        "mode": "markers",
        "name": name,
        "legendgroup": name,
        "x": [day.column for day in days],
        "y": [at] * len(days),
        "cliponaxis": False,
        "marker": {**marker, "color": colour},
        "hovertext": [day.told for day in days],
        "hovertemplate": HOVER,
    }


def _span(name: str, span: ToldSpan, at: int, width: int, colour: str) -> dict[str, Any]:
    """Days as a line in a row."""
    return {
        "type": "scatter",
        "mode": "lines",
        "name": name,
        "legendgroup": name,
        "x": [span.start, span.stop],
        "y": [at, at],
        "line": {"width": width, "color": colour},
        "hovertext": [span.told] * 2,
        "hovertemplate": HOVER,
    }


KIND = Kind(name="moving-dates", spec=MovingDates, figure=moving_dates_figure)
