"""The year of one group: phases by weeks, over where it stands by days."""

from __future__ import annotations

from typing import TYPE_CHECKING, Any

from suitability.answers.report_charts import GroupWeeks
from suitability.answers.words import DAYS, MONTH_STARTS
from suitability.output.axes import (
    AXIS,
    HOVER,
    Figure,
    chart_layout,
    days_axis,
    pattern,
    with_legend,
)
from suitability.output.chart_kind import Kind
from suitability.output.chart_rows import told
from suitability.output.chart_weeks import KIND as WEEKS
from suitability.output.chart_weeks import STRIP_HEIGHT, STRIP_TOP, phase_traces
from suitability.output.look import INK, STATES

if TYPE_CHECKING:
    from suitability.answers.year_charts import WeekTrack

__all__ = ["KIND", "group_weeks_data"]

HEIGHT_PX = 104
ROW = ""  # the only row needs no label


def group_weeks_data(spec: GroupWeeks) -> Figure:
    """The figure on a page, which has a key of its own."""
    layout = chart_layout(HEIGHT_PX, {"l": 8, "r": 8, "t": 46, "b": 6})
    layout |= {
        "barmode": "overlay",
        "uniformtext": {"mode": "hide", "minsize": 9},
        "xaxis": days_axis(spec.title_across, MONTH_STARTS, spec.months),
        "yaxis": {**AXIS, "showgrid": False, "showticklabels": False, "autorange": "reversed"},
    }
    return {
        "data": [*phase_traces(spec.phases, (ROW,)), *map(_strip, spec.standing)],
        "layout": layout,
    }


def group_weeks_figure(spec: GroupWeeks) -> Figure:
    """The figure as it stands alone."""
    return with_legend(group_weeks_data(spec))


def _strip(track: WeekTrack) -> dict[str, Any]:
    """The days at one place, below the phases."""
    look = STATES[track.look]
    pieces = [
        (start, days, told(stretch.told))
        for stretch in track.stretches
        for start, days in (
            (stretch.start, min(stretch.days, DAYS - stretch.start)),
            (0, stretch.start + stretch.days - DAYS),
        )
        if days > 0
    ]
    return {
        "type": "bar",
        "name": track.name,
        "orientation": "h",
        "y": [ROW] * len(pieces),
        "x": [days for _, days, _ in pieces],
        "base": [start for start, _, _ in pieces],
        "offset": STRIP_TOP,
        "width": STRIP_HEIGHT,
        "hovertext": [said for _, _, said in pieces],
        "hovertemplate": HOVER,
        "marker": {
            "color": look.fill,
            "line": {"color": INK, "width": 0},
            "pattern": pattern(look.fill, look.hatch, look.hatch_colour, 0.35),
        },
    }


KIND = Kind(
    name="group-weeks",
    spec=GroupWeeks,
    figure=group_weeks_figure,
    data=group_weeks_data,
    style=WEEKS.style,
    colours=WEEKS.colours,
)
