"""The calendar of coverage: years down, months across, the darker the more was observed."""

from __future__ import annotations

from typing import Any

from suitability.answers.coverage import MonthsCovered
from suitability.output.chart_kind import Kind
from suitability.output.chart_rows import (
    month_notes,
    months_axis,
    on_page,
    rows_layout,
    share_cells,
)


def coverage_figure(spec: MonthsCovered) -> dict[str, Any]:
    """The figure as plain values."""
    heat = share_cells(spec.years, spec.shares, spec.cells, spec.told)
    layout = rows_layout(spec.years)
    layout["xaxis"] |= months_axis(spec.title_across)
    layout["yaxis"] |= {"showgrid": False}
    layout["annotations"] = month_notes(range(len(spec.months)), spec.months)
    on_page(layout, {})
    return {"data": [heat], "layout": layout}


KIND = Kind(name="coverage", spec=MonthsCovered, figure=coverage_figure)
