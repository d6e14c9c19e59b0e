"""
The chart of past years, night by night: years down, days across, unsafe nights marked by cause.

Causes differ in colour and in where their mark stands within the row of the year, for a single
night is too narrow to be hatched: a hard night fills it, a wet one its upper half, a dose its lower
half, heat a line in its middle. On a page nights travel packed; its script unpacks and draws them.
"""

from __future__ import annotations

import re
from itertools import groupby
from typing import Any

from msgspec import Struct

from suitability.answers.moves_charts import MarkedDay, PastYears, Stretch
from suitability.answers.words import DAYS, MONTH_STARTS
from suitability.output.chart_kind import Kind
from suitability.output.chart_layout import AXIS, CLEAR, HOVER, days_axis
from suitability.output.look import FONT, INK, STATES

ROW_PX, HEAD_PX, FOOT_PX = 17, 46, 42
LABEL_PX, CHARACTER_PX = 12, 7  # left of the rows: around a label, and for each of its characters
SHORTEST_NAMED = 14  # days of a month within the row that carry its name
BAND, HATCH = "#d9e8e6", "#98a29e"


class NightMark(Struct, frozen=True, kw_only=True):
    """
    How a cause is drawn: its fill, and the share of the row that it takes from its top, 0 to 1.

    `hatch` is a pattern of the plotting script; only the nights not observed, which come in long
    runs, have one.
    """

    style: str
    fill: str
    top: float
    bottom: float
    hatch: str = ""


MARKS = {
    "h": NightMark(style="hard", fill="#16243f", top=0.0, bottom=1.0),
    "w": NightMark(style="wet", fill="#2f74b5", top=0.0, bottom=0.5),
    "d": NightMark(style="dose", fill="#c47a17", top=0.5, bottom=1.0),
    "t": NightMark(style="heat", fill="#a3271b", top=0.34, bottom=0.66),
    "?": NightMark(style="unseen", fill="#ffffff", top=0.0, bottom=1.0, hatch="x"),
}
RUN = re.compile(r"(.)\1*", re.DOTALL)  # of the same letter
ROW = 0.86  # of the distance of two rows is filled
ENDS = {"triangle-right": 0, "triangle-left": 1}  # which end of a year's own season


def past_years_figure(spec: PastYears) -> dict[str, Any]:
    """The figure with all its nights, and a legend of what occurs."""
    traces = _traces(spec)
    for trace in traces:
        if trace["type"] == "bar":
            bars = [
                (row, start, nights)
                for row, year in enumerate(spec.years)
                for letter, start, nights in _runs(year.nights)
                if letter == trace["meta"]
            ]
            trace |= {
                "y": [row for row, _, _ in bars],
                "base": [start for _, start, _ in bars],
                "x": [nights for _, _, nights in bars],
                "showlegend": bool(bars),
            }
        else:
            end = ENDS[trace["meta"]]
            feet = [
                (row, year.span[end])
                for row, year in enumerate(spec.years)
                if year.span is not None and year.span[end] != DAYS * end  # else nothing limits it
            ]
            trace |= {
                "y": [row for row, _ in feet],
                "x": [column for _, column in feet],
                "showlegend": bool(feet),
            }
    return {"data": traces, "layout": _layout(spec) | {"showlegend": True}}


def past_years_data(spec: PastYears) -> dict[str, Any]:
    """What the page's script fills: layout, empty traces, and years with packed nights."""
    return {
        "layout": _layout(spec),
        "traces": _traces(spec),
        "first": spec.first,
        "words": {
            "months": list(spec.months),
            "starts": list(MONTH_STARTS),
            "night": spec.one_night,
            "nights": spec.nights,
        },
        "years": [
            {
                "label": year.label,
                "runs": pack_nights(year.nights),
                "span": None if year.span is None else list(year.span),
                "told": year.told,
            }
            for year in spec.years
        ],
    }


def pack_nights(nights: str) -> str:
    """
    Letters of nights as runs: how many, then the letter.

    Examples
    --------
    >>> pack_nights("..hhh?")
    '2.3h1?'
    """
    return RUN.sub(lambda run: f"{len(run[0])}{run[1]}", nights)


def _runs(nights: str) -> list[tuple[str, int, int]]:
    """Letter, first column and length of each run of nights."""
    runs, start = [], 0
    for letter, run in groupby(nights):
        length = len(list(run))
        runs.append((letter, start, length))
        start += length
    return runs


def _traces(spec: PastYears) -> list[dict[str, Any]]:
    """Empty traces: one a cause, and the ends that a year itself allowed."""
    traces: list[dict[str, Any]] = [
        {
            "type": "bar",
            "name": told,
            "meta": letter,
            "orientation": "h",
            "offset": ROW * (mark.top - 0.5),
            "width": ROW * (mark.bottom - mark.top),
            "marker": {
                "color": mark.fill,
                "line": {"width": 0},
                "pattern": {"shape": mark.hatch, "fgcolor": HATCH, "bgcolor": mark.fill, "size": 5},
            },
            "hovertemplate": HOVER,
        }
        for letter, told in spec.causes
        for mark in (MARKS[letter],)
    ]
    traces += [
        {
            "type": "scatter",
            "name": spec.own_dates[end],
            "meta": symbol,
            "mode": "markers",
            "cliponaxis": False,
            "marker": {
                "symbol": symbol,
                "size": 7,
                "color": "#ffffff",
                "line": {"color": INK, "width": 1},
            },
            "hovertemplate": HOVER,
        }
        for symbol, end in ENDS.items()
    ]
    return traces


def _layout(spec: PastYears) -> dict[str, Any]:
    """Axes, season and typical dates."""
    layout = _axes(spec)
    shapes = _season_shapes(spec.season) if spec.season else []
    shapes += [_typical_line(day) for day in spec.days if day.typical]
    notes = [_day_below(day) for day in spec.days]
    if spec.finding:
        notes.append(_finding_note(spec.finding))
    return layout | {
        name: some for name, some in (("shapes", shapes), ("annotations", notes)) if some
    }


def _finding_note(text: str) -> dict[str, Any]:
    """A sentence in the middle."""
    return {
        "x": 0.5,
        "y": 0.5,
        "xref": "paper",
        "yref": "paper",
        "showarrow": False,
        "bgcolor": "#ffffff",
        "bordercolor": INK,
        "borderpad": 6,
        "font": {"size": 14, "color": INK},
        "text": text,
    }


def _axes(spec: PastYears) -> dict[str, Any]:
    """Axes: months along the top, years down the side with what became of the season."""
    rows = len(spec.years)
    labels = [f"{year.label} {year.sign}" for year in spec.years]
    starts = [(start - spec.first) % DAYS for start in MONTH_STARTS]
    named = [
        piece
        for piece in _month_pieces(starts, spec.months)
        if piece[1] - piece[0] >= SHORTEST_NAMED
    ]
    return {
        "barmode": "overlay",
        "font": {"family": FONT, "size": 12, "color": INK},
        "paper_bgcolor": CLEAR,
        "plot_bgcolor": "#ffffff",
        "height": HEAD_PX + FOOT_PX + ROW_PX * max(rows, 3),
        # Measured here, not by the browser, which would draw everything once more for it.
        "margin": {
            "l": LABEL_PX + CHARACTER_PX * max(map(len, labels)),
            "r": 8,
            "t": HEAD_PX,
            "b": FOOT_PX,
            "autoexpand": False,
        },
        "showlegend": False,
        "hoverlabel": {"align": "left", "font": {"family": FONT, "size": 13}},
        "dragmode": False,
        "xaxis": days_axis(spec.title_across, starts, spec.months)
        | {
            "tickvals": [(start + stop) / 2 for start, stop, _ in named],
            "ticktext": [name[:3] for _, _, name in named],
        },
        "yaxis": {
            **AXIS,
            "range": [rows - 0.5, -0.5],
            "showgrid": False,
            "tickvals": list(range(rows)),
            "ticktext": labels,
            "title": {"text": ""},
        },
    }


def _month_pieces(starts: list[int], months: tuple[str, ...]) -> list[tuple[int, int, str]]:
    """First and last column of each month within the row; one month may be in two pieces."""
    order = sorted(zip(starts, months, strict=True))
    pieces = [
        (start, stop, name)
        for (start, name), stop in zip(
            order, [start for start, _ in order[1:]] + [DAYS], strict=True
        )
    ]
    if order[0][0] > 0:
        pieces.insert(0, (0, order[0][0], order[-1][1]))
    return pieces


def _season_shapes(season: Stretch) -> list[dict[str, Any]]:
    """The promised season as a band with edges; one too short is only dashed."""
    box = {
        "type": "rect", "x0": season.start, "x1": season.stop, "y0": 0, "y1": 1, "yref": "paper",
    }  # fmt: skip
    line = {
        "color": STATES["outdoors"].fill,
        "width": 2.5,
        "dash": "solid" if season.promised else "dash",
    }
    edge = {**box, "line": line, "layer": "above"}
    if not season.promised:
        return [edge]
    return [{**box, "fillcolor": BAND, "line": {"width": 0}, "layer": "below"}, edge]


def _typical_line(day: MarkedDay) -> dict[str, Any]:
    """A dotted line through all rows."""
    return {
        "type": "line",
        "x0": day.column,
        "x1": day.column,
        "y0": 0,
        "y1": 1,
        "yref": "paper",
        "layer": "above",
        "line": {"color": STATES["outdoors"].fill, "width": 2, "dash": "dot"},
    }


def _day_below(day: MarkedDay) -> dict[str, Any]:
    """A date below the plot, typical ones in the second line."""
    return {
        "x": day.column,
        "y": 0,
        "yref": "paper",
        "yanchor": "top",
        "yshift": -18 if day.typical else -3,
        "text": day.text,
        "showarrow": False,
        "font": {"size": 12, "color": INK},
    }


KIND = Kind(
    name="past-years",
    spec=PastYears,
    figure=past_years_figure,
    data=past_years_data,
    script="past-years.js",
    style="past-years.css",
    colours={
        **{mark.style: mark.fill for mark in MARKS.values()},
        "band": BAND,
        "outdoors": STATES["outdoors"].fill,
        "hatch": HATCH,
    },
)
