"""What charts with rows down the side share: their layout, and months along the top."""

from __future__ import annotations

from collections.abc import Sequence
from typing import Any

from suitability.answers.words import DAYS, MONTH_STARTS
from suitability.output.chart_layout import HEAD_PX, fixed_axis, plain_layout, row_px, rows_axis
from suitability.output.look import COVERAGE_SCALE, INK

PAGE_MARGIN = {"t": 28, "b": 46}  # on a page
DAYS_MARGIN = {"t": 38, "b": 26}  # likewise of days: the word "today" stands above the months
TODAY_PX = 16  # how far above the plot
SHORT = 3  # letters of a month
MID_MONTH = 15  # days from the first of a month to the place of its name


def told(lines: Sequence[str]) -> str:
    """Lines as the pointer over a mark tells them."""
    return "<br>".join(lines)


def share_cells(
    labels: Sequence[str],
    shares: Sequence[Sequence[float | None]],
    cells: Sequence[Sequence[str]],
    hover: Sequence[Sequence[Sequence[str]]],
) -> dict[str, Any]:
    """Rows of numbered cells, the darker the nearer their share is to 100 %."""
    return {
        "type": "heatmap",
        "x": list(range(len(shares[0]))),
        "y": list(labels),
        "z": [list(row) for row in shares],
        "text": [list(row) for row in cells],
        "texttemplate": "%{text}",
        "textfont": {"size": 12},
        "hovertext": [[told(one) for one in row] for row in hover],
        "hovertemplate": "%{hovertext}<extra></extra>",
        "colorscale": [list(step) for step in COVERAGE_SCALE],
        "zmin": 0,
        "zmax": 100,
        "xgap": 1,
        "ygap": 1,
        "showscale": False,
    }


def rows_layout(labels: Sequence[str]) -> dict[str, Any]:
    """
    The layout of rows, the first on top.

    Parameters
    ----------
    labels
        Of the rows, all different.
    """
    return {
        **plain_layout(),
        "height": HEAD_PX * 2 + row_px(labels) * len(labels),
        "margin": {"l": 8, "r": 8, "t": HEAD_PX, "b": HEAD_PX},
        "legend": {"orientation": "h", "x": 0, "y": 0, "yref": "container", "yanchor": "bottom"},
        "xaxis": fixed_axis(),
        "yaxis": rows_axis(labels),
    }


def on_page(layout: dict[str, Any], meta: dict[str, Any]) -> None:
    """
    Change the layout of rows for a page, which has headings and keys of its own.

    Parameters
    ----------
    meta
        What the page's script does with it: `today`, the day of the first column; `dates`, what
        stands on bars or beside them; `phone`, the height of a row on one.
    """
    margin, new = layout["margin"], PAGE_MARGIN
    if "today" in meta:
        new, meta = DAYS_MARGIN, meta | {"above": TODAY_PX}
    layout["height"] += sum(new.values()) - margin["t"] - margin["b"]
    layout |= {"showlegend": False, "margin": margin | new, "meta": meta}


def months_axis(title: str) -> dict[str, Any]:
    """An axis with one column a month, whose names stand above the plot."""
    return {
        "range": [-0.5, 11.5],
        "tickvals": list(range(12)),
        "ticktext": [""] * 12,
        "showgrid": False,
        "title": {"text": title, "standoff": 4, "font": {"size": 12}},
    }


def days_axis(title: str) -> dict[str, Any]:
    """An axis of the days of a year, the names of whose months stand above the plot."""
    return {
        "range": [0, DAYS],
        "tickvals": [*MONTH_STARTS, DAYS],
        "ticktext": [""] * (len(MONTH_STARTS) + 1),
        "title": {"text": title, "standoff": 4, "font": {"size": 12}},
    }


def day_notes(months: Sequence[str]) -> list[dict[str, Any]]:
    """Names of the months above a plot of days."""
    return month_notes([start + MID_MONTH for start in MONTH_STARTS], months)


def month_notes(places: Sequence[float], months: Sequence[str]) -> list[dict[str, Any]]:
    """Names of the months above the plot."""
    return [
        {
            "x": place,
            "y": 1,
            "yref": "paper",
            "yanchor": "bottom",
            "text": month[:SHORT],
            "showarrow": False,
            "font": {"size": 13, "color": INK},
        }
        for place, month in zip(places, months, strict=True)
    ]
