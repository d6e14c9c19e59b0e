"""The chart of the place's own year: night minimum, day maximum and length of the day by weeks."""

from __future__ import annotations

from typing import Any

from suitability.answers.year_charts import Course, CourseLine
from suitability.output.chart_kind import Kind
from suitability.output.chart_layout import GROUND
from suitability.output.chart_rows import day_notes, days_axis, on_page
from suitability.output.look import LINE

COURSE_PX = 300
LOOKS = {"day": ("#8c2d19", "dash"), "night": ("#1d3f72", "solid"), "length": ("#6b6b63", "dot")}


def course_figure(spec: Course) -> dict[str, Any]:
    """The figure, its lines named for a legend."""
    axis: dict[str, Any] = {"fixedrange": True, "zeroline": False, "ticks": ""}
    return {
        "data": [
            *(_trace(line, spec, "y") for line in spec.temperatures),
            _trace(spec.length, spec, "y2"),
        ],
        "layout": {
            "template": "none",
            **GROUND,
            "height": COURSE_PX,
            "margin": {"l": 60, "r": 60, "t": 28, "b": 46},
            "dragmode": False,
            "xaxis": {**axis, "gridcolor": LINE, **days_axis(spec.title_across)},
            "yaxis": {**axis, "gridcolor": LINE, "title": {"text": spec.title_left}},
            "yaxis2": {
                **axis,
                "overlaying": "y",
                "side": "right",
                "showgrid": False,
                "tickmode": "auto",
                "title": {"text": spec.title_right},
            },
            "annotations": day_notes(spec.months),
        },
    }


def _page_figure(spec: Course) -> dict[str, Any]:
    """On a page, which has its own key."""
    figure = course_figure(spec)
    on_page(figure["layout"], {"today": 0})
    return figure


def _trace(line: CourseLine, spec: Course, axis: str) -> dict[str, Any]:
    """One line, with a gap where a week has no value."""
    colour, dash = LOOKS[line.look]
    return {
        "type": "scatter",
        "name": line.name,
        "x": list(spec.middles),
        "y": list(line.values),
        "yaxis": axis,
        "mode": "lines",
        "line": {"color": colour, "dash": dash, "width": 2},
        "hovertext": list(line.told),
        "hovertemplate": "%{hovertext}<extra></extra>",
    }


KIND = Kind(name="course", spec=Course, figure=course_figure, data=_page_figure)
