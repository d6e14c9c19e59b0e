"""The room of spots: spots down, weeks across, the darker the more of it is used."""

from __future__ import annotations

from typing import Any

from suitability.answers.plan_room import RoomWeeks
from suitability.output.chart_kind import Kind
from suitability.output.chart_rows import month_notes, on_page, rows_layout, share_cells


def room_figure(spec: RoomWeeks) -> dict[str, Any]:
    """The figure as plain values; a phone, which has no room for numbers, shows none."""
    weeks = len(spec.shares[0])
    heat = share_cells(spec.spots, spec.shares, spec.cells, spec.told) | {
        "meta": "short",
        "customdata": [[""] * weeks for _ in spec.spots],
        "textfont": {"size": 11},
        "ygap": 2,
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
