"""The chart of lines, marks and bands: each differs from the others in dash or sign too."""

from __future__ import annotations

from typing import Any

from msgspec import Struct

from suitability.answers.curves import Along, Curve, Curves, Role
from suitability.output.chart_kind import Kind
from suitability.output.chart_layout import fixed_axis, plain_layout
from suitability.output.look import INK, LINE, QUIET, SERIES, STATES, band

LOG_COLOUR, MODEL_COLOUR = STATES["outdoors"].fill, "#b4541a"
STATION_COLOUR = "#6f8f8c"  # below all others, and broad
BAND = "rgba(29,92,99,0.18)"
HEIGHT_PX = 420
DASHES = ("solid", "dash", "dot", "dashdot", "longdash", "longdashdot")
SCALES: dict[Along, dict[str, Any]] = {
    Along.DATES: {"type": "date", "tickformat": "%-d %b\n%Y"},
    Along.HOURS: {"type": "linear", "dtick": 3, "range": [-0.5, 23.5]},
    Along.MONTHS: {"type": "category", "range": [-0.3, 11.3], "tickangle": 0},
}


class Pen(Struct, frozen=True, kw_only=True):
    """How a curve is drawn: a line of a width and dash, or marks of a sign, or both."""

    colour: str
    width: float = 0.0
    dash: str = "solid"
    sign: str = ""


PENS = {
    Role.STATION: Pen(colour=STATION_COLOUR, width=5.0),
    Role.THERMOMETER: Pen(colour=LOG_COLOUR, width=1.6),
    Role.FITTED: Pen(colour=MODEL_COLOUR, width=1.6, dash="dot"),
    Role.CLEAR_NIGHTS: Pen(colour=LOG_COLOUR, sign="circle"),
    Role.OTHER_NIGHTS: Pen(colour=MODEL_COLOUR, sign="square-open"),
    Role.MEDIAN: Pen(colour=LOG_COLOUR, width=2.0, sign="circle"),
}


def curves_figure(spec: Curves) -> dict[str, Any]:
    """Bands, then the curves over them; several of one role differ in colour and dash."""
    traces: list[dict[str, Any]] = []
    number = 0
    for curve in spec.curves:
        pen = PENS.get(curve.role)
        if pen is None:
            colour, dash = SERIES[number % len(SERIES)], DASHES[number % len(DASHES)]
            width = max(1.4, 3.2 - 0.6 * number)  # narrower than those before: all are seen
            pen, number = Pen(colour=colour, width=width, dash=dash), number + 1
        if curve.band is not None:
            traces += _band_traces(curve, pen)
        traces.append(_trace(curve, pen, spec))
    return {"data": traces, "layout": _layout(spec)}


def _trace(curve: Curve, pen: Pen, spec: Curves) -> dict[str, Any]:
    """One curve."""
    name = curve.name
    along = "%{x}:00" if spec.scale is Along.HOURS else "%{x}"
    value = "%{y:+.1f}" if spec.signed else "%{y:.1f}"
    trace: dict[str, Any] = {
        "type": "scatter",
        "name": name,
        "x": list(curve.x),
        "y": list(curve.y),
        "mode": "+".join(
            mode for mode, drawn in (("lines", pen.width), ("markers", pen.sign)) if drawn
        ),
        "hovertemplate": f"{along}<br>{name}: {value} {spec.unit}<extra></extra>",
    }
    if pen.width:
        trace["line"] = {"color": pen.colour, "width": pen.width, "dash": pen.dash}
    if pen.sign:
        size = 6 if pen.width else 9
        trace["marker"] = {"symbol": pen.sign, "size": size, "color": pen.colour}
    return trace


def _band_traces(curve: Curve, pen: Pen) -> list[dict[str, Any]]:
    """The two edges of a band and the ground between them; those of spots are not listed."""
    assert curve.band is not None
    of_spot = curve.role is Role.SPOT
    fill = band(pen.colour) if of_spot else BAND
    edge: dict[str, Any] = {
        "type": "scatter",
        "name": curve.band.name,
        "x": list(curve.x),
        "mode": "lines",
        "line": {"width": 0, "color": pen.colour},
        "hoverinfo": "skip",
        "showlegend": False,
    }
    named = {"fill": "tonexty", "fillcolor": fill, "showlegend": not of_spot}
    return [edge | {"y": list(curve.band.low)}, edge | named | {"y": list(curve.band.high)}]


def _layout(spec: Curves) -> dict[str, Any]:
    """Two plain axes."""
    return {
        **(plain := plain_layout()),
        "legend": plain["legend"] | {"traceorder": "normal"},  # bands would turn it round
        "height": HEIGHT_PX,
        "margin": {"l": 56, "r": 8, "t": 28, "b": 64},
        "showlegend": True,
        "xaxis": {
            **fixed_axis(),
            "title": {"text": spec.along},
            "gridcolor": LINE,
            "linecolor": QUIET,
            **SCALES[spec.scale],
        },
        "yaxis": {
            **fixed_axis(),
            "title": {"text": spec.upright},
            "type": "linear",
            "zeroline": True,
            "zerolinecolor": INK,
        },
    }


KIND = Kind(name="curves", spec=Curves, figure=curves_figure)
