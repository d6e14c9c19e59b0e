"""Bars of hours a year by spot, a group beside the other; hatch and lightness differ too."""

from __future__ import annotations

from typing import Any

from suitability.answers.comparison import SpotHours
from suitability.output.chart_kind import Kind
from suitability.output.chart_layout import (
    HEAD_PX,
    ROW_PX,
    fixed_axis,
    pattern,
    plain_layout,
    rows_axis,
)
from suitability.output.look import INK, LINE, STATES

HATCHES = ("", "/", "x", ".", "\\", "-")
FILLS = (STATES["outdoors"].fill, "#b4541a", "#6f8f8c", "#d9b44a", "#45616d", "#a9c9c6")
BAR_PX = 20


def spot_hours_figure(spec: SpotHours) -> dict[str, Any]:
    """A trace a group; a bar of unknown length has none, and says so."""
    labels = list(spec.spots)
    traces = []
    for number, bars in enumerate(spec.groups):
        fill = FILLS[number % len(FILLS)]
        name = bars.name
        traces.append(
            {
                "type": "bar",
                "name": name,
                "orientation": "h",
                "y": labels,
                "x": [0.0 if hours is None else round(hours, 1) for hours in bars.hours],
                "text": list(bars.texts),
                "textposition": "outside",
                "textfont": {"size": 12},
                "cliponaxis": False,
                "marker": {
                    "color": fill,
                    "line": {"color": INK, "width": 0.6},
                    "pattern": pattern(fill, HATCHES[number % len(HATCHES)], "#ffffff"),
                },
                "hovertemplate": f"%{{y}}, {name}: %{{text}} {spec.unit}<extra></extra>",
            }
        )
    layout = {
        **plain_layout(),
        "barmode": "group",
        "showlegend": True,
        "height": HEAD_PX * 2 + max(ROW_PX, BAR_PX * len(spec.groups)) * len(labels),
        "margin": {"l": 8, "r": 48, "t": 28, "b": 72},
        "xaxis": {
            **fixed_axis(),
            "title": {"text": spec.across},
            "gridcolor": LINE,
            "linecolor": INK,
        },
        "yaxis": rows_axis(labels),
    }
    return {"data": traces, "layout": layout}


KIND = Kind(name="spot-hours", spec=SpotHours, figure=spot_hours_figure)
