"""What charts with rows down the side share: their layout, and months along the top."""

from __future__ import annotations

from typing import TYPE_CHECKING, Any

from suitability.output.chart_layout import (
    HEAD_PX,
    ROW_PX,
    fixed_axis,
    plain_layout,
    rows_axis,
)
from suitability.output.look import INK

if TYPE_CHECKING:
    from collections.abc import Sequence

__all__ = ["HEAD_PX", "PAGE_MARGIN", "ROW_PX", "month_notes", "months_axis", "rows_layout", "told"]

PAGE_MARGIN = {"t": 28, "b": 40}  # on a page, which has headings and keys of its own
SHORT = 3  # letters of a month


def told(lines: Sequence[str]) -> str:
    """Lines as the pointer over a mark tells them."""
    return "<br>".join(lines)


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
        "height": HEAD_PX * 2 + ROW_PX * len(labels),
        "margin": {"l": 8, "r": 8, "t": HEAD_PX, "b": HEAD_PX},
        "legend": {"orientation": "h", "x": 0, "y": 0, "yref": "container", "yanchor": "bottom"},
        "xaxis": fixed_axis(),
        "yaxis": rows_axis(labels),
    }


def months_axis(title: str) -> dict[str, Any]:
    """An axis with one column a month, whose names stand above the plot."""
    return {
        "range": [-0.5, 11.5],
        "tickvals": list(range(12)),
        "ticktext": [""] * 12,
        "showgrid": False,
        "title": {"text": title, "standoff": 4},
    }


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
