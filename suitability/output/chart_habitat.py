"""Two years beside each other: nights in their bands, days dotted, rain as bars below."""

from __future__ import annotations

from typing import TYPE_CHECKING, Any

from suitability.answers.habitat import YearBeside
from suitability.output.axes import (
    AXIS,
    HOVER,
    Figure,
    chart_layout,
    legend_above,
    months_axis,
    pattern,
    with_legend,
)
from suitability.output.chart_kind import Kind
from suitability.output.look import INK, LINE, SERIES, band

if TYPE_CHECKING:
    from collections.abc import Iterator

    from suitability.answers.habitat import YearLine

__all__ = ["KIND", "habitat_data"]

HEIGHT_PX, RAIN_PX = 400, 150
LEGEND_PX = 46
BELOW = 0.36  # of the height, in which rain is drawn
LOOKS = (  # here, there: colour, dash and sign of nights, hatch of rain
    (SERIES[0], "solid", "circle", ""),
    (SERIES[1], "dash", "square", "/"),
)
MARKS = (("nights warmer here", "triangle-up"), ("nights colder here", "triangle-down"))


def habitat_data(spec: YearBeside) -> Figure:
    """The figure; bands lie below all lines."""
    sides = list(zip(spec.lines, LOOKS, strict=True))
    rain = any(line.rain for line in spec.lines)
    edges = [edge for line in spec.lines for edge in (line.low, line.high, line.day)]
    known = [value for edge in edges for value in edge if value is not None]
    low, high = min(known, default=0.0), max(known, default=1.0)
    room = 0.08 * (high - low)
    layout = chart_layout(HEIGHT_PX + RAIN_PX * rain, {"l": 58, "r": 8, "t": 62, "b": LEGEND_PX})
    across = months_axis(spec.title_across, spec.months)
    across["ticktext"] = [month.rstrip(")").replace(" (", "<br>") for month in spec.months]
    layout |= {
        "showlegend": True,
        "legend": legend_above(),
        "hovermode": "closest",
        "barmode": "group",
        "bargap": 0.25,
        "xaxis": across | {"anchor": "y"},
        "yaxis": {
            **AXIS,
            "gridcolor": LINE,
            "domain": [BELOW * rain, 1.0],
            "range": [round(low - room, 2), round(high + room / 2, 2)],
            "title": {"text": spec.title_up},
        },
    }
    if rain:
        layout["yaxis2"] = {
            **AXIS,
            "gridcolor": LINE,
            "domain": [0.0, BELOW - 0.08],
            "rangemode": "tozero",
            "title": {"text": spec.title_rain},
        }
    data = [
        *(trace for line, look in sides for trace in _band(line, look[0])),
        *(trace for line, look in reversed(sides) for trace in _lines(line, look, spec)),
        *_marks(spec, round(low - room / 2, 2)),
        *(_rain(line, look, spec) for line, look in sides if line.rain),
    ]
    return {"data": data, "layout": layout}


def habitat_figure(spec: YearBeside) -> Figure:
    """The figure as it stands alone."""
    return with_legend(habitat_data(spec))


Look = tuple[str, str, str, str]


def _band(line: YearLine, colour: str) -> Iterator[dict[str, Any]]:
    """The ground between the edges that hold eight of ten nights."""
    edge: dict[str, Any] = {
        "type": "scatter",
        "mode": "lines",
        "x": list(range(12)),
        "line": {"width": 0, "color": colour},
        "hoverinfo": "skip",
        "showlegend": False,
    }
    yield edge | {"y": list(line.low)}
    yield edge | {"y": list(line.high), "fill": "tonexty", "fillcolor": band(colour)}


def _lines(line: YearLine, look: Look, spec: YearBeside) -> Iterator[dict[str, Any]]:
    """Typical nights with their signs, typical days dotted."""
    colour, dash, sign, _ = look
    for what, values, pen, mark in (
        ("days", line.day, {"width": 1.4, "dash": "dot"}, f"{sign}-open"),
        ("nights", line.night, {"width": 2.6, "dash": dash}, sign),
    ):
        yield {
            "type": "scatter",
            "name": line.name,
            "showlegend": what == "nights",
            "mode": "lines+markers",
            "x": list(range(12)),
            "y": list(values),
            "line": {"color": colour, **pen},
            "marker": {"symbol": mark, "size": 7 if mark == sign else 5, "color": colour},
            "hovertext": [
                f"{month}, {what} {line.name}: {value} {spec.unit}<br>{told}"
                for month, value, told in zip(spec.months, values, spec.told, strict=True)
            ],
            "hovertemplate": HOVER,
        }


def _marks(spec: YearBeside, height: float) -> Iterator[dict[str, Any]]:
    """A triangle for each month whose nights differ."""
    for months, (name, sign) in zip((spec.warmer, spec.colder), MARKS, strict=True):
        if months:
            yield {
                "type": "scatter",
                "name": name,
                "showlegend": False,
                "mode": "markers",
                "x": list(months),
                "y": [height] * len(months),
                "marker": {"symbol": sign, "size": 10, "color": INK},
                "hovertext": [f"{spec.months[month]}: {spec.told[month]}" for month in months],
                "hovertemplate": HOVER,
            }


def _rain(line: YearLine, look: Look, spec: YearBeside) -> dict[str, Any]:
    """Twelve bars."""
    colour, _, _, hatch = look
    return {
        "type": "bar",
        "name": f"rain {line.name}",
        "showlegend": False,
        "x": list(range(12)),
        "y": list(line.rain),
        "yaxis": "y2",
        "customdata": list(spec.months),
        "hovertemplate": "%{customdata}: %{y:.0f} mm<br>%{fullData.name}<extra></extra>",
        "marker": {
            "color": colour,
            "line": {"color": INK, "width": 0.6},
            "pattern": pattern(colour, hatch, "#ffffff", 0.3),
        },
    }


KIND = Kind(name="habitat", spec=YearBeside, figure=habitat_figure, data=habitat_data)
