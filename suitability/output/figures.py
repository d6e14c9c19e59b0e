"""
The charts of each command, made ready to stand alone as pictures: title, credit, white ground.

They are the charts of the pages; what a page says in its key stands in a legend here.
"""

from __future__ import annotations

import html
import textwrap
from typing import Any

from suitability.answers.sheet import Sheet
from suitability.output.drawing import draw_figure
from suitability.output.images import NamedFigure
from suitability.output.look import QUIET
from suitability.output.page import charts_of

LINE_CHARACTERS = 120  # of a title; of the credit half as many again
LINE_PX, CREDIT_PX, TITLE_GAP_PX = 22, 16, 50
LIFT_PX = 4  # of a title by each line after its first
LEGEND_PX = 40
HEIGHT_PX = 420  # of a figure that does not say its own
SIDE_PX = 16  # left and right at least


def sheet_figures(sheet: Sheet) -> tuple[NamedFigure, ...]:
    """Every chart of a sheet, by its name, with its title and the sheet's credit."""
    return tuple(
        stand_alone(chart.name, draw_figure(chart.spec), chart.title, sheet)
        for chart in charts_of(sheet.sections)
    )


def stand_alone(name: str, figure: dict[str, Any], title: str, sheet: Sheet) -> NamedFigure:
    """
    The figure with its title, and below it the credit that its licence asks for.

    Parameters
    ----------
    name
        What goes into the name of the file.
    figure
        As plain values.
    title
        Its finding, as it was read; escaped here.
    sheet
        Whose chart it is.
    """
    credit = " ".join(filter(None, (sheet.invented, f"{sheet.credit}.")))
    titles = textwrap.wrap(title, LINE_CHARACTERS) or [""]
    credits_ = textwrap.wrap(credit, LINE_CHARACTERS * 3 // 2)
    top = len(titles) * LINE_PX + len(credits_) * CREDIT_PX + TITLE_GAP_PX
    layout = figure["layout"]
    margin = {"l": 0, "r": 0, "t": 0, "b": 0} | layout.get("margin", {})
    legend_px = LEGEND_PX if layout.get("showlegend", True) else 0
    height = (layout.get("height") or HEIGHT_PX) + max(0, top - margin["t"]) + legend_px
    layout = layout | {
        "title": {
            "text": "<br>".join(map(html.escape, titles)),
            "x": 0,
            "xref": "container",
            "y": 1,
            "yref": "container",
            "yanchor": "top",
            "pad": {"t": 12 + LIFT_PX * (len(titles) - 1), "l": 12},
            "font": {"size": 16},
            "subtitle": {
                "text": "<br>".join(map(html.escape, credits_)),
                "font": {"size": 11, "color": QUIET},
            },
        },
        "height": height,
        "margin": {
            "t": top,
            "b": margin["b"] + legend_px,
            "l": max(margin["l"], SIDE_PX),
            "r": max(margin["r"], SIDE_PX),
            "autoexpand": True,  # a legend may need several lines
        },
        "legend": layout.get("legend", {})
        | {"orientation": "h", "x": 0, "y": 0, "yref": "container", "yanchor": "bottom"},
        "paper_bgcolor": "#ffffff",
    }
    return NamedFigure(name=name, figure={**figure, "layout": layout})
