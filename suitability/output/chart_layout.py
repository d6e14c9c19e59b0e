"""What the layouts of charts share: letters, ground, axes that stay as they are."""

from __future__ import annotations

from collections.abc import Sequence
from typing import Any

from suitability.output.look import FONT, INK, LINE

ROW_PX, HEAD_PX = 34, 64  # of a row, and of what stands above them
MANY_ROWS, LOW_ROW_PX, TWO_LINES_PX = 12, 17, 28  # rows of which each is low; with a long name


def plain_layout() -> dict[str, Any]:
    """Letters, ground and hovering words; a legend stands above the plot."""
    return {
        "template": "none",
        "font": {"family": FONT, "size": 13, "color": INK},
        "paper_bgcolor": "rgba(0,0,0,0)",
        "plot_bgcolor": "rgba(0,0,0,0)",
        "legend": {"orientation": "h", "x": 0, "y": 1, "yref": "paper", "yanchor": "bottom"},
        "hoverlabel": {
            "align": "left",
            "bgcolor": "#ffffff",
            "bordercolor": INK,
            "font": {"family": FONT, "size": 13, "color": INK},
        },
        "dragmode": False,
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
