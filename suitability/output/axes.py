"""What the charts of one group share: type, ground and size, axes and keys, as plain values."""

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


def chart_layout(height: int, margin: dict[str, int]) -> Figure:
    """Type, ground and size."""
    return {
        "font": {"family": FONT, "size": 13, "color": INK},
        "paper_bgcolor": CLEAR,
        "plot_bgcolor": CLEAR,
        "height": height,
        "margin": margin | {"autoexpand": False},  # else everything is drawn once more for it
        "showlegend": False,
        "dragmode": False,
        "hoverlabel": {
            "align": "left",
            "bgcolor": "#ffffff",
            "bordercolor": INK,
            "font": {"family": FONT, "size": 13, "color": INK},
        },
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


def pattern(fill: str, hatch: str, hatch_colour: str) -> dict[str, Any]:
    """A fill with its hatch."""
    return {
        "shape": hatch,
        "fgcolor": hatch_colour,
        "bgcolor": fill,
        "size": 6,
        "solidity": 0.3,
    }
