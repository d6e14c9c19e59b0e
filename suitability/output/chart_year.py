"""The chart of the year: groups down, days across, each state with its fill and hatch."""

from __future__ import annotations

from typing import TYPE_CHECKING, Any

from suitability.answers.check_charts import YearBars
from suitability.answers.words import DAYS, MONTH_STARTS
from suitability.output.chart_kind import Kind
from suitability.output.chart_rows import PAGE_MARGIN, month_notes, rows_layout, told
from suitability.output.look import INK, STATES

if TYPE_CHECKING:
    from collections.abc import Sequence

    from suitability.answers.check_charts import Piece

__all__ = ["KIND", "year_figure"]

MID_MONTH = 15  # days from the first of a month to the place of its name


def year_figure(spec: YearBars) -> dict[str, Any]:
    """The figure, a legend of its states below it."""
    labels = [row.label for row in spec.rows]
    by_state: dict[str, list[tuple[str, Piece]]] = {state: [] for state, _ in spec.states}
    for label, row in zip(labels, spec.rows, strict=True):
        for piece in row.pieces:
            by_state[piece.state].append((label, piece))
    layout = rows_layout(labels) | {
        "barmode": "overlay",
        "bargap": 0.28,
        "uniformtext": {"mode": "hide", "minsize": 9},
        "annotations": month_notes([start + MID_MONTH for start in MONTH_STARTS], spec.months),
    }
    layout["xaxis"] |= {
        "range": [0, DAYS],
        "tickvals": [*MONTH_STARTS, DAYS],
        "ticktext": [""] * (len(MONTH_STARTS) + 1),
        "title": {"text": spec.title_across, "standoff": 4},
    }
    data = [_bars(state, text, by_state[state]) for state, text in spec.states if by_state[state]]
    return {"data": data, "layout": layout}


def _page_figure(spec: YearBars) -> dict[str, Any]:
    """The figure on a page, which has a key of its own."""
    figure = year_figure(spec)
    layout = figure["layout"]
    layout |= {"showlegend": False, "margin": layout["margin"] | PAGE_MARGIN}
    return figure


def _bars(state: str, name: str, drawn: Sequence[tuple[str, Piece]]) -> dict[str, Any]:
    """The pieces of one state."""
    look = STATES[state]
    pattern = {
        "shape": look.hatch,
        "fgcolor": look.hatch_colour,
        "bgcolor": look.fill,
        "size": 6,
        "solidity": 0.35,
    }
    return {
        "type": "bar",
        "name": name,
        "orientation": "h",
        "y": [label for label, _ in drawn],
        "x": [piece.days for _, piece in drawn],
        "base": [piece.start for _, piece in drawn],
        "text": [piece.text for _, piece in drawn],
        "textposition": "inside",
        "insidetextanchor": "middle",
        "insidetextfont": {"color": look.text, "size": 12},
        "textangle": 0,
        "constraintext": "none",
        "cliponaxis": True,
        "hovertext": [told(piece.told) for _, piece in drawn],
        "hovertemplate": "%{hovertext}<extra></extra>",
        "marker": {"color": look.fill, "pattern": pattern, "line": {"color": INK, "width": 0.6}},
    }


KIND = Kind(name="year-bars", spec=YearBars, figure=year_figure, data=_page_figure)
