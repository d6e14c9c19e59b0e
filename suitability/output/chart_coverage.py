"""The calendar of coverage: years down, months across, the darker the more was observed."""

from __future__ import annotations

from typing import Any

from suitability.answers.coverage import MonthsCovered
from suitability.output.chart_kind import Kind
from suitability.output.chart_rows import month_notes, months_axis, on_page, rows_layout, told
from suitability.output.look import COVERAGE_SCALE

__all__ = ["KIND", "coverage_figure"]


def coverage_figure(spec: MonthsCovered) -> dict[str, Any]:
    """The figure as plain values."""
    heat = {
        "type": "heatmap",
        "x": list(range(12)),
        "y": list(spec.years),
        "z": [list(row) for row in spec.shares],
        "text": [list(row) for row in spec.cells],
        "texttemplate": "%{text}",
        "textfont": {"size": 12},
        "hovertext": [[told(one) for one in row] for row in spec.told],
        "hovertemplate": "%{hovertext}<extra></extra>",
        "colorscale": [list(step) for step in COVERAGE_SCALE],
        "zmin": 0,
        "zmax": 100,
        "xgap": 1,
        "ygap": 1,
        "showscale": False,
    }
    layout = rows_layout(spec.years)
    layout["xaxis"] |= months_axis(spec.title_across)
    layout["yaxis"] |= {"showgrid": False}
    layout["annotations"] = month_notes(range(len(spec.months)), spec.months)
    on_page(layout, {})
    return {"data": [heat], "layout": layout}


KIND = Kind(name="coverage", spec=MonthsCovered, figure=coverage_figure)
