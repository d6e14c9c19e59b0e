"""The nights of a year at a spot with the thresholds of a group, for a report."""

from __future__ import annotations

from functools import lru_cache
from typing import TYPE_CHECKING, Any

from suitability.answers.past_years import column_of
from suitability.output.chart_past_years import BAND
from suitability.output.look import LINE, NIGHTS
from suitability.output.report_axes import (
    AXIS,
    HOVER,
    Figure,
    chart_layout,
    days_axis,
    legend_above,
    shown_value,
)
from suitability.output.year import DAYS

if TYPE_CHECKING:
    from suitability.advice.report import NightCourse
    from suitability.advice.result import Finding
    from suitability.advice.terms import Season
    from suitability.units import TemperatureUnit

__all__ = ["draw_nights", "level_lines"]

NIGHTS_PX = 330
LABEL_SHARE = 0.062  # of the height of the chart of nights that one label needs


def level_lines(
    finding: Finding, units: TemperatureUnit
) -> list[tuple[str, float, str, str, float]]:
    """Thresholds of the group: word, value shown, colour, dash and width, highest first."""
    floor, cold = NIGHTS["floor"].fill, NIGHTS["limit"].fill
    levels = [("floor", finding.thresholds.floor_c, floor, "solid", 2.2)]
    if finding.thresholds.rest_floor_c is not None:
        levels.append(("rest floor", finding.thresholds.rest_floor_c, floor, "dash", 2.0))
    levels += [
        ("chill base", finding.thresholds.chill_base_c, NIGHTS["chill"].fill, "dashdot", 2.0),
        ("wet limit", finding.thresholds.limit_wet_c, cold, "dot", 2.0),
        ("dry limit", finding.thresholds.limit_c, cold, "solid", 3.0),
    ]
    ordered = sorted(levels, key=lambda level: -level[1])
    return [
        (word, shown_value(at_c, units), colour, dash, width)
        for word, at_c, colour, dash, width in ordered
    ]


@lru_cache(maxsize=16)  # every group of a spot is drawn over the same nights
def _shown_course(
    course: NightCourse, units: TemperatureUnit
) -> tuple[list[float | None], list[float | None], list[float | None], list[float | None]]:
    """Lowest, low, middle and high minima in the reader's unit."""
    lowest, low, middle, high = (
        [None if value is None else shown_value(value, units) for value in values]
        for values in (course.lowest_c, course.low_c, course.middle_c, course.high_c)
    )
    return lowest, low, middle, high


def draw_nights(
    course: NightCourse, finding: Finding, season: Season | None, units: TemperatureUnit
) -> Figure:
    """Night minima over the year with their band, and the thresholds of the group."""
    days = list(range(DAYS))
    lowest, low, middle, high = _shown_course(course, units)
    usual = {"type": "scatter", "mode": "lines", "x": days, "hoverinfo": "skip"}
    data = [
        {**usual, "y": high, "line": {"width": 0}, "showlegend": False},
        {
            **usual,
            "y": low,
            "name": "eight of ten nights",
            "line": {"width": 0},
            "fill": "tonexty",
            "fillcolor": NIGHTS["band"].fill,
        },
        {
            **usual,
            "y": middle,
            "name": "usual night minimum",
            "line": {"color": NIGHTS["middle"].fill, "width": 2.5},
            "meta": "nights",  # the page's script puts the four courses into words
            "hoverinfo": "text",
            "hovertemplate": HOVER,
        },
        {
            **usual,
            "y": lowest,
            "name": "lowest on record",
            "line": {"color": NIGHTS["lowest"].fill, "width": 1.2, "dash": "dot"},
        },
    ]
    lines = level_lines(finding, units)
    known = [value for value in (*lowest, *high) if value is not None]
    bottom = min([*known, lines[-1][1]])
    top = max([*known, lines[0][1]])
    room = 0.04 * (top - bottom)
    shapes = [
        {
            "type": "line",
            "x0": 0,
            "x1": DAYS,
            "y0": value,
            "y1": value,
            "line": {"color": colour, "dash": dash, "width": width},
        }
        for _, value, colour, dash, width in lines
    ]
    layout = chart_layout(NIGHTS_PX, {"l": 62, "r": 132, "t": 46, "b": 34})
    layout |= {
        "showlegend": True,
        "legend": legend_above(),
        "hovermode": "x",
        "xaxis": days_axis("night of the year, standard time"),
        "yaxis": {
            **AXIS,
            "gridcolor": LINE,
            "range": [round(bottom - room, 2), round(top + room, 2)],
            "title": {"text": f"night minimum, {units.symbol}"},
        },
        "shapes": [*_season_boxes(season), *shapes],
        "annotations": _level_names(lines, (top - bottom + 2 * room) * LABEL_SHARE, units),
    }
    return {"data": data, "layout": layout}


def _season_boxes(season: Season | None) -> list[dict[str, Any]]:
    """The season outdoors as a band, in two pieces where it crosses New Year."""
    if season is None or season.days >= DAYS:
        return []
    first = column_of(season.out, "01-01")
    spans = [(first, min(first + season.days, DAYS))]
    if first + season.days > DAYS:
        spans.append((0, first + season.days - DAYS))
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


def _level_names(
    lines: list[tuple[str, float, str, str, float]], apart: float, units: TemperatureUnit
) -> list[dict[str, Any]]:
    """Names of the thresholds at the right, moved apart where they would touch."""
    notes, last = [], float("inf")
    for word, value, colour, _, _ in lines:
        last = min(value, last - apart)
        notes.append(
            {
                "x": 1,
                "xref": "paper",
                "xanchor": "left",
                "xshift": 4,
                "y": round(last, 2),
                "yanchor": "middle",
                "align": "left",
                "text": f"{word} {value:g} {units.symbol}",
                "showarrow": False,
                "font": {"size": 12, "color": colour},
            }
        )
    return notes
