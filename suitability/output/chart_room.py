"""The room of spots: spots down, weeks across, the darker the more of it is used."""

from __future__ import annotations

from typing import Any

from suitability.answers.plan import RoomWeeks
from suitability.output.chart_kind import Kind
from suitability.output.chart_rows import month_notes, on_page, rows_layout, told
from suitability.output.look import COVERAGE_SCALE

__all__ = ["KIND", "room_figure"]


def room_figure(spec: RoomWeeks) -> dict[str, Any]:
    """The figure as plain values; a phone, which has no room for numbers, shows none."""
    weeks = len(spec.shares[0])
    heat = {
        "type": "heatmap",
        "meta": "short",
        "x": list(range(weeks)),
        "y": list(spec.spots),
        "z": [list(row) for row in spec.shares],
        "text": [list(row) for row in spec.cells],
        "customdata": [[""] * weeks for _ in spec.spots],
        "texttemplate": "%{text}",
        "textfont": {"size": 11},
        "hovertext": [[told(one) for one in row] for row in spec.told],
        "hovertemplate": "%{hovertext}<extra></extra>",
        "colorscale": [list(step) for step in COVERAGE_SCALE],
        "zmin": 0,
        "zmax": 100,
        "xgap": 1,
        "ygap": 2,
        "showscale": False,
    }
    layout = rows_layout(spec.spots)
    starts = [week - 0.5 for _, week in spec.months]
    layout["xaxis"] |= {
        "range": [-0.5, weeks - 0.5],
        "tickvals": starts,
        "ticktext": [""] * len(starts),
        "title": {"text": spec.title_across, "standoff": 4, "font": {"size": 12}},
    }
    layout["yaxis"] |= {"showgrid": False}
    layout["annotations"] = month_notes(
        [week + 1.5 for _, week in spec.months], [month for month, _ in spec.months]
    )
    on_page(layout, {})
    return {"data": [heat], "layout": layout}


KIND = Kind(name="room", spec=RoomWeeks, figure=room_figure)
