"""What charts share: letters, ground, axes that stay as they are, keys; as plain values."""

from __future__ import annotations

from collections.abc import Sequence
from typing import Any

from suitability.answers.words import DAYS
from suitability.output.look import FONT, INK, LINE

Figure = dict[str, Any]

CLEAR = "rgba(0,0,0,0)"
AXIS: dict[str, Any] = {
    "fixedrange": True,
    "zeroline": False,
    "ticks": "",
    "ticklabeloverflow": "allow",  # the browser need not measure each label: they have their room
}
HOVER = "%{hovertext}<extra></extra>"
MID_MONTH = 15  # days from the first of a month to the place of its name
ROW_PX, HEAD_PX = 34, 64  # of a row, and of what stands above them
MANY_ROWS, LOW_ROW_PX, TWO_LINES_PX = 12, 17, 28  # rows of which each is low; with a long name
LETTERS: dict[str, Any] = {"family": FONT, "size": 13, "color": INK}
GROUND: Figure = {"font": LETTERS, "paper_bgcolor": CLEAR, "plot_bgcolor": CLEAR}
HOVER_LABEL = {"align": "left", "bgcolor": "#ffffff", "bordercolor": INK, "font": LETTERS}


def plain_layout() -> Figure:
    """Letters, ground and hovering words; a legend stands above the plot."""
    return {
        "template": "none",
        **GROUND,
        "legend": {"orientation": "h", "x": 0, "y": 1, "yref": "paper", "yanchor": "bottom"},
        "hoverlabel": HOVER_LABEL,
        "dragmode": False,
    }


def chart_layout(height: int, margin: dict[str, int]) -> Figure:
    """Letters, ground and size of a chart of one group."""
    return {
        **GROUND,
        "height": height,
        "margin": margin | {"autoexpand": False},  # else everything is drawn once more for it
        "showlegend": False,
        "dragmode": False,
        "hoverlabel": HOVER_LABEL,
    }


def fixed_axis() -> dict[str, Any]:
    """An axis that nobody drags."""
    return {"fixedrange": True, "zeroline": False, "ticks": "", "gridcolor": LINE}


def row_px(labels: Sequence[str]) -> int:
    """How high a row is: many are low, so that a window holds them all."""
    if len(labels) <= MANY_ROWS:
        return ROW_PX
    return TWO_LINES_PX if any(", " in label for label in labels) else LOW_ROW_PX


def rows_axis(labels: Sequence[str]) -> dict[str, Any]:
    """The upright axis of rows, the first on top."""
    return {
        **fixed_axis(),
        "categoryorder": "array",
        "categoryarray": list(labels),
        "autorange": "reversed",
        "automargin": True,
        "title": {"text": ""},
        "type": "category",
    }


def legend_above() -> dict[str, Any]:
    """A key below the chart that does nothing when it is clicked."""
    return {
        "orientation": "h",
        "x": 0,
        "y": 0,
        "yref": "container",
        "yanchor": "bottom",
        "itemclick": False,
        "itemdoubleclick": False,
        "font": {"size": 12},
    }


def with_legend(figure: Figure) -> Figure:
    """The figure as it stands alone: each name once in a legend."""
    named: set[str] = set()
    data = []
    for trace in figure["data"]:
        name = trace.get("name", "")
        data.append(trace | {"showlegend": False} if not name or name in named else trace)
        named.add(name)
    return {"data": data, "layout": figure["layout"] | {"showlegend": True}}


def days_axis(title: str, starts: Sequence[int], months: Sequence[str]) -> dict[str, Any]:
    """
    A year of days, the names of the months along the top.

    Parameters
    ----------
    starts
        The columns on which months begin, January first.
    """
    return {
        **AXIS,
        "side": "top",
        "range": [0, DAYS],
        "showgrid": False,
        "minor": {"tickvals": sorted(starts), "showgrid": True, "gridcolor": LINE, "ticks": ""},
        "tickvals": [(start + MID_MONTH) % DAYS for start in starts],
        "ticktext": [month[:3] for month in months],
        "tickangle": 0,
        "title": {"text": title, "standoff": 4, "font": {"size": 12}},
    }


def months_axis(title: str, months: Sequence[str]) -> dict[str, Any]:
    """One column a month, their names along the top."""
    return {
        **AXIS,
        "side": "top",
        "range": [-0.5, 11.5],
        "showgrid": False,
        "tickvals": list(range(len(months))),
        "ticktext": [month[:3] for month in months],
        "tickangle": 0,
        "title": {"text": title, "standoff": 4, "font": {"size": 12}},
    }


def pattern(fill: str, hatch: str, hatch_colour: str, solidity: float = 0.3) -> dict[str, Any]:
    """A fill with its hatch."""
    return {
        "shape": hatch,
        "fgcolor": hatch_colour,
        "bgcolor": fill,
        "size": 6,
        "solidity": solidity,
    }
