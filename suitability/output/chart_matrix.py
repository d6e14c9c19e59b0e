"""The matrix of verdicts: groups down, spots across, darker the better, each cell in words."""

from __future__ import annotations

from typing import Any

from suitability.advice.terms import Verdict
from suitability.answers.comparison import VerdictMatrix
from suitability.output.chart_kind import Kind
from suitability.output.chart_layout import HEAD_PX, fixed_axis, plain_layout, rows_axis
from suitability.output.chart_rows import told
from suitability.output.look import STATES

FILLS = {  # from worst to best
    Verdict.NONE: "#f4f2ec",
    Verdict.INDOOR: STATES["indoors"].fill,
    Verdict.SEASONAL: "#a9c9c6",
    Verdict.ALL_YEAR: STATES["outdoors"].fill,
}
RANKS = {verdict: rank for rank, verdict in enumerate(FILLS)}
CELL_PX = 26
MARK_PX = 15  # of each further line of a cell
WORDED_COLUMNS = 6  # spots beside each other whose cells have room for words


def matrix_figure(spec: VerdictMatrix) -> dict[str, Any]:
    """One map of colours with its words; a phone shows the short ones, which travel beside."""
    short = [[cell.short for cell in row] for row in spec.cells]
    worded = len(spec.spots) <= WORDED_COLUMNS
    lines = max(len(cell.lines) for row in spec.cells for cell in row) if worded else 1
    steps = len(FILLS)
    heat = {
        "type": "heatmap",
        "meta": "short",  # a phone shows what is in customdata
        "x": list(spec.spots),
        "y": list(spec.groups),
        "z": [[RANKS[cell.verdict] for cell in row] for row in spec.cells],
        "text": [[told(cell.lines) for cell in row] for row in spec.cells] if worded else short,
        "customdata": short,
        "texttemplate": "%{text}",
        "textfont": {"size": 12},
        "hovertext": [[told(cell.told) for cell in row] for row in spec.cells],
        "hovertemplate": "%{hovertext}<extra></extra>",
        "colorscale": [
            [(step + edge) / steps, fill]
            for step, fill in enumerate(FILLS.values())
            for edge in (0, 1)
        ],
        "zmin": -0.5,
        "zmax": steps - 0.5,
        "xgap": 2,
        "ygap": 2,
        "showscale": False,
    }
    layout = {
        **plain_layout(),
        "height": HEAD_PX + 60 + (CELL_PX + MARK_PX * (lines - 1)) * len(spec.groups),
        "margin": {"l": 8, "r": 8, "t": 40, "b": 24},
        "showlegend": False,
        "xaxis": {
            **fixed_axis(),
            "side": "top",
            "type": "category",
            "title": {"text": ""},
            "automargin": True,
            "showgrid": False,
        },
        "yaxis": {**rows_axis(heat["y"]), "showgrid": False},  # type: ignore[arg-type]  # of texts
    }
    return {"data": [heat], "layout": layout}


KIND = Kind(name="verdict-matrix", spec=VerdictMatrix, figure=matrix_figure)
