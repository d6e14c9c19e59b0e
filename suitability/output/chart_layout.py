"""What the layouts of charts share: letters, ground, axes that stay as they are."""

from __future__ import annotations

from typing import TYPE_CHECKING, Any

from suitability.output.look import FONT, INK, LINE

if TYPE_CHECKING:
    from collections.abc import Sequence

__all__ = ["HEAD_PX", "ROW_PX", "fixed_axis", "plain_layout", "rows_axis"]

ROW_PX, HEAD_PX = 34, 64  # of a row, and of what stands above them


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
