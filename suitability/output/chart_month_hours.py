"""Hours by month of one group: bars beside each other, a level for its rest."""

from __future__ import annotations

from collections.abc import Sequence
from typing import Any

from suitability.answers.report_charts import MonthHours, MonthSeries
from suitability.output.chart_kind import Kind
from suitability.output.chart_layout import (
    AXIS,
    Figure,
    chart_layout,
    legend_above,
    months_axis,
    pattern,
    with_legend,
)
from suitability.output.look import INK, LINE, NIGHTS

ONE_PX, SEVERAL_PX = 210, 250  # height for one series, and for several with their key
LEVEL = "rest"
HOVER = "%{customdata}: %{y:.0f} h<br>%{fullData.name}<extra></extra>"


def month_hours_data(spec: MonthHours) -> Figure:
    """The figure on a page; a single series is named by its title."""
    several = len(spec.series) > 1
    layout = chart_layout(
        SEVERAL_PX if several else ONE_PX, {"l": 62, "r": 8, "t": 46, "b": 34 if several else 10}
    )
    layout |= {
        "xaxis": months_axis(spec.title_across, spec.months),
        "yaxis": {
            **AXIS,
            "gridcolor": LINE,
            "rangemode": "tozero",
            "title": {"text": spec.title_up},
        },
    }
    if several:
        layout |= {
            "barmode": "group",
            "bargap": 0.2,
            "bargroupgap": 0.05,
            "showlegend": True,
            "legend": legend_above(),
        }
    return {"data": [_trace(series, spec.months) for series in spec.series], "layout": layout}


def month_hours_figure(spec: MonthHours) -> Figure:
    """The figure as it stands alone."""
    return with_legend(month_hours_data(spec))


def _trace(series: MonthSeries, months: Sequence[str]) -> dict[str, Any]:
    """Twelve bars, or twelve levels."""
    look = NIGHTS[series.look]
    trace: dict[str, Any] = {
        "name": series.name,
        "x": list(range(len(months))),
        "y": list(series.hours),
        "customdata": list(months),
        "hovertemplate": HOVER,
    }
    if series.look == LEVEL:
        return trace | {
            "type": "scatter",
            "mode": "markers",
            "marker": {
                "symbol": "line-ew-open",
                "size": 22,
                "color": look.fill,
                "line": {"width": 3, "color": look.fill},
            },
        }
    return trace | {
        "type": "bar",
        "meta": "month",
        "marker": {
            "color": look.fill,
            "line": {"color": INK, "width": 0.6},
            "pattern": pattern(look.fill, look.hatch, look.hatch_colour),
        },
    }


KIND = Kind(name="month-hours", spec=MonthHours, figure=month_hours_figure, data=month_hours_data)
