"""The nights of a year: the usual minimum in its band, the lowest, and levels of one group."""

from __future__ import annotations

from collections.abc import Sequence
from functools import lru_cache
from typing import Any

from suitability.answers.report_charts import NightLevel, NightLine, NightsOfYear
from suitability.answers.words import DAYS, MONTH_STARTS
from suitability.output.chart_kind import Kind
from suitability.output.chart_layout import (
    AXIS,
    HOVER,
    Figure,
    chart_layout,
    days_axis,
    legend_above,
    with_legend,
)
from suitability.output.chart_past_years import BAND
from suitability.output.look import LINE, NIGHTS

HEIGHT_PX = 330
LABEL_SHARE = 0.062  # of the height that one label needs
LEVELS = {  # colour, dash and width
    "floor": (NIGHTS["floor"].fill, "solid", 2.2),
    "rest": (NIGHTS["floor"].fill, "dash", 2.0),
    "chill": (NIGHTS["chill"].fill, "dashdot", 2.0),
    "wet": (NIGHTS["limit"].fill, "dot", 2.0),
    "dry": (NIGHTS["limit"].fill, "solid", 3.0),
}


@lru_cache(maxsize=64)  # every group of a spot is drawn over the same nights
def _values(line: NightLine) -> list[float | None]:
    return list(line.values)


def nights_data(spec: NightsOfYear) -> Figure:
    """The figure; the page's script puts what is said of each night into words."""
    usual = {"type": "scatter", "mode": "lines", "x": list(range(DAYS)), "hoverinfo": "skip"}
    data = [
        {**usual, "y": _values(spec.high), "line": {"width": 0}, "showlegend": False},
        {
            **usual,
            "y": _values(spec.low),
            "name": spec.low.name,
            "line": {"width": 0},
            "fill": "tonexty",
            "fillcolor": NIGHTS["band"].fill,
        },
        {
            **usual,
            "y": _values(spec.middle),
            "name": spec.middle.name,
            "line": {"color": NIGHTS["middle"].fill, "width": 2.5},
            "meta": {"told": "<br>".join(spec.told.split("\n"))},
            "hoverinfo": "text",
            "hovertemplate": HOVER,
        },
        {
            **usual,
            "y": _values(spec.lowest),
            "name": spec.lowest.name,
            "line": {"color": NIGHTS["lowest"].fill, "width": 1.2, "dash": "dot"},
        },
    ]
    known = [value for value in (*spec.lowest.values, *spec.high.values) if value is not None]
    bottom = min([*known, spec.levels[-1].value])
    top = max([*known, spec.levels[0].value])
    room = 0.04 * (top - bottom)
    layout = chart_layout(HEIGHT_PX, {"l": 62, "r": 132, "t": 46, "b": 34})
    layout |= {
        "showlegend": True,
        "legend": legend_above(),
        "hovermode": "x",
        "xaxis": days_axis(spec.title_across, MONTH_STARTS, spec.months),
        "yaxis": {
            **AXIS,
            "gridcolor": LINE,
            "range": [round(bottom - room, 2), round(top + room, 2)],
            "title": {"text": spec.title_up},
        },
        "shapes": [*_season_boxes(spec.season), *map(_line, spec.levels)],
        "annotations": _names(spec.levels, (top - bottom + 2 * room) * LABEL_SHARE),
    }
    return {"data": data, "layout": layout}


def nights_figure(spec: NightsOfYear) -> Figure:
    """The figure as it stands alone."""
    return with_legend(nights_data(spec))


def _line(level: NightLevel) -> dict[str, Any]:
    """A level across the year."""
    colour, dash, width = LEVELS[level.look]
    return {
        "type": "line",
        "x0": 0,
        "x1": DAYS,
        "y0": level.value,
        "y1": level.value,
        "line": {"color": colour, "dash": dash, "width": width},
    }


def _season_boxes(season: tuple[int, int] | None) -> list[dict[str, Any]]:
    """The season outdoors as a band, in two pieces where it crosses New Year."""
    if season is None:
        return []
    first, days = season
    spans = [(first, min(first + days, DAYS))]
    if first + days > DAYS:
        spans.append((0, first + days - DAYS))
    return [
        {
            "type": "rect",
            "x0": start,
            "x1": stop,
            "y0": 0,
            "y1": 1,
            "yref": "paper",
            "fillcolor": BAND,
            "line": {"width": 0},
            "layer": "below",
        }
        for start, stop in spans
    ]


def _names(levels: Sequence[NightLevel], apart: float) -> list[dict[str, Any]]:
    """Names of the levels at the right, moved apart where they would touch."""
    notes, last = [], float("inf")
    for level in levels:
        last = min(level.value, last - apart)
        notes.append(
            {
                "x": 1,
                "xref": "paper",
                "xanchor": "left",
                "xshift": 4,
                "y": round(last, 2),
                "yanchor": "middle",
                "align": "left",
                "text": level.text,
                "showarrow": False,
                "font": {"size": 12, "color": LEVELS[level.look][0]},
            }
        )
    return notes


KIND = Kind(name="nights", spec=NightsOfYear, figure=nights_figure, data=nights_data)
