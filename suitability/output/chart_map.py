"""A map: cells in the colour and with the sign of their verdict or hours, the coast as a line."""

from __future__ import annotations

from collections.abc import Sequence
from itertools import pairwise
from math import ceil, cos, radians
from typing import Any

from suitability.answers.map import CellKind, GridMap
from suitability.output.chart_kind import Kind
from suitability.output.chart_layout import fixed_axis, plain_layout
from suitability.output.chart_matrix import FILLS
from suitability.output.chart_rows import told
from suitability.output.coast import coast_within

COLOURS = {  # in the order in which cells are numbered
    "verdicts": tuple(FILLS.values()),
    "hours": ("#eef1f4", "#b4c4d4", "#7f93ad", "#4a6285"),  # so light that the coast is seen
}
SIGN = "#686868"  # is seen on all grounds of the page, which the palette's partners are not
SIGNS = {  # likewise: what is drawn, and in which colour
    "verdicts": (("circle-open", SIGN), ("x-thin", SIGN), ("line-ne", SIGN), ("circle", "white")),
    "hours": (("circle-open", SIGN), ("x-thin", SIGN), ("diamond", "white"), ("square", "white")),
}
ALONE_COLOURS = {
    "verdicts": ("#777777", "#777777", "#4f9a94", COLOURS["verdicts"][3]),
    "hours": COLOURS["hours"],
}
MOST_SIGNS = 1200
HEIGHT_PX = 620
ALONE_PX = 9  # of a cell that is drawn as its sign
MARGIN = 1.0  # degrees around a map of single positions


def map_figure(spec: GridMap) -> dict[str, Any]:
    """The figure as plain values."""
    wide, high = (
        _span(degrees, regular=spec.regular) for degrees in (spec.longitudes, spec.latitudes)
    )
    xs, ys = coast_within(wide, high)
    coast = {
        "type": "scatter",
        "mode": "lines",
        "x": xs,
        "y": ys,
        "line": {"color": "black", "width": 1},
        "hoverinfo": "skip",
        "showlegend": False,
    }
    if spec.regular:
        traces = [_fills(spec), *(_signs(spec, kind) for kind in spec.kinds), coast]
    else:
        traces = [coast, *(_alone(spec, kind) for kind in spec.kinds)]
    middle = min(80.0, abs(sum(high) / 2))
    layout = {
        **plain_layout(),
        "height": HEIGHT_PX,
        "margin": {"l": 56, "r": 8, "t": 56, "b": 48},
        "showlegend": True,
        "xaxis": _axis(spec.title_across, wide),
        "yaxis": {
            **_axis(spec.title_up, high),
            "scaleanchor": "x",
            "scaleratio": round(1.0 / cos(radians(middle)), 4),
        },
    }
    return {"data": traces, "layout": layout}


def _span(degrees: Sequence[float], *, regular: bool) -> tuple[float, float]:
    """From edge to edge of the cells."""
    low, high = min(degrees), max(degrees)
    steps = [abs(after - before) for before, after in pairwise(degrees)] if regular else []
    half = max(steps) / 2 if steps else MARGIN
    return low - half, high + half


def _axis(title: str, span: tuple[float, float]) -> dict[str, Any]:
    return {
        **fixed_axis(),
        "range": list(span),
        "constrain": "domain",
        "ticksuffix": "°",
        "showgrid": False,
        "title": {"text": title, "standoff": 6, "font": {"size": 12}},
    }


def _fills(spec: GridMap) -> dict[str, Any]:
    """Cells of rows and columns in the colours of their verdicts, which tell their numbers."""
    colours = COLOURS[spec.scale]
    steps = len(colours)
    return {
        "type": "heatmap",
        "x": list(spec.longitudes),
        "y": list(spec.latitudes),
        "z": [[None if code < 0 else code for code in row] for row in spec.codes],
        "hovertext": [[told(lines) for lines in row] for row in spec.told],
        "hovertemplate": "%{hovertext}<extra></extra>",
        "hoverongaps": False,
        "xgap": 0.5,  # also spares a style that the policy of the page refuses
        "ygap": 0.5,
        "colorscale": [
            [(step + edge) / steps, fill] for step, fill in enumerate(colours) for edge in (0, 1)
        ],
        "zmin": -0.5,
        "zmax": steps - 0.5,
        "showscale": False,
        "showlegend": False,
    }


def _signs(spec: GridMap, kind: CellKind) -> dict[str, Any]:
    """The sign of a verdict on its cells, of many cells on some; and the verdict in the legend."""
    symbol, colour = SIGNS[spec.scale][kind.code]
    every = ceil((len(spec.longitudes) * len(spec.latitudes) / MOST_SIGNS) ** 0.5)
    at = [
        (east, north)
        for row, north in list(enumerate(spec.latitudes))[every // 2 :: every]
        for column, east in list(enumerate(spec.longitudes))[every // 2 :: every]
        if spec.codes[row][column] == kind.code
    ]
    return {
        "type": "scatter",
        "mode": "markers",
        "name": kind.text,
        "x": [east for east, _ in at] or [None],
        "y": [north for _, north in at] or [None],
        "hoverinfo": "skip",
        "marker": {
            "symbol": symbol,
            "size": 6,
            "color": colour,
            "line": {"color": SIGN, "width": 1},
        },
    }


def _alone(spec: GridMap, kind: CellKind) -> dict[str, Any]:
    """Cells that stand in no rows and columns, each as the sign of its verdict."""
    at = [cell for cell, code in enumerate(spec.codes[0]) if code == kind.code]
    return {
        "type": "scatter",
        "mode": "markers",
        "name": kind.text,
        "x": [spec.longitudes[cell] for cell in at],
        "y": [spec.latitudes[cell] for cell in at],
        "hovertext": [told(spec.told[0][cell]) for cell in at],
        "hovertemplate": "%{hovertext}<extra></extra>",
        "marker": {
            "symbol": ("circle-open", "x", "diamond", "square")[kind.code],
            "size": ALONE_PX,
            "color": ALONE_COLOURS[spec.scale][kind.code],
            "line": {"color": "#222222", "width": 0.5},
        },
    }


KIND = Kind(name="map", spec=GridMap, figure=map_figure)
