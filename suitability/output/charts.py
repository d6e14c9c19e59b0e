"""
Charts of a check: the year of each group, and the hours below its floor by month.

Months run along the top, groups down the side. The figures hold only what the result says; every
number in them is also in a table of the page. Texts from users and files are escaped, for plotly
reads markup in labels.
"""

from __future__ import annotations

from typing import TYPE_CHECKING, Any

from suitability.answers import words
from suitability.output.frame import render_page
from suitability.output.look import FONT, HOURS_SCALE, INK, LINE, STATES
from suitability.output.titles import hours_title, year_title
from suitability.output.year import DAYS, MONTH_STARTS, Piece, year_pieces
from suitability.units import TemperatureUnit, show_temperature

if TYPE_CHECKING:
    from collections.abc import Iterator, Sequence

    from plotly.graph_objects import Figure

    from suitability.advice.result import CheckResult, Finding

__all__ = [
    "draw_hours",
    "draw_year",
    "hours_figure",
    "lay_out",
    "lay_out_months",
    "month_notes",
    "months_layout",
    "render_chart_page",
    "rows_layout",
    "write_months",
    "year_figure",
]

MONTH_HOURS = 744  # of the longest month: the dark end of the scale
ROW_PX, HEAD_PX = 34, 64


def draw_year(result: CheckResult) -> Figure:
    """
    The year of each group: indoors, moving out, outdoors, and where it would only survive.

    The fortnight from the first day out is the one of moving; `in` is the day of carrying in.
    """
    from plotly.graph_objects import Figure  # noqa: PLC0415  (heavy, only for charts)

    return Figure(year_figure(result))


def year_figure(result: CheckResult) -> dict[str, Any]:
    """What `draw_year` draws, as plain values: plotly's own types are slow to make."""
    labels = _labels(result)
    by_state: dict[str, list[tuple[str, Piece]]] = {state: [] for state in STATES}
    for label, finding in zip(labels, result.results, strict=True):
        for piece in year_pieces(finding):
            by_state[piece.state].append((label, piece))
    data = [_state_bars(state, drawn) for state, drawn in by_state.items() if drawn]
    layout = rows_layout(year_title(result), labels)
    layout |= {
        "barmode": "overlay",
        "bargap": 0.28,
        "uniformtext": {"mode": "hide", "minsize": 9},
        "annotations": month_notes([start + 15 for start in MONTH_STARTS]),
    }
    layout["xaxis"] |= {
        "range": [0, DAYS],
        "tickvals": [*MONTH_STARTS, DAYS],
        "ticktext": [""] * 13,
        "title": {"text": "day of the year, standard time", "standoff": 4},
    }
    return {"data": data, "layout": layout}


def _state_bars(state: str, drawn: Sequence[tuple[str, Piece]]) -> dict[str, Any]:
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
        "name": look.word,
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
        "hovertext": [piece.hover for _, piece in drawn],
        "hovertemplate": "%{hovertext}<extra></extra>",
        "marker": {"color": look.fill, "pattern": pattern, "line": {"color": INK, "width": 0.6}},
    }


def draw_hours(result: CheckResult, units: TemperatureUnit = TemperatureUnit.C) -> Figure:
    """Hours below each group's growth floor in a mean month, the bad year in the hover text."""
    from plotly.graph_objects import Figure  # noqa: PLC0415  (heavy, only for charts)

    figure = hours_figure(result)
    figure["data"][0]["hovertext"] = [_hours_hover(one, units) for one in result.results]
    return Figure(figure)


def hours_figure(result: CheckResult) -> dict[str, Any]:
    """What `draw_hours` draws, as plain values, without its hover text."""
    findings = result.results
    labels = _labels(result)
    heat = {
        "type": "heatmap",
        "x": list(range(12)),
        "y": labels,
        "z": [list(finding.hours_below.months) for finding in findings],
        "text": [
            [_escaped_hours(value) for value in finding.hours_below.months] for finding in findings
        ],
        "texttemplate": "%{text}",
        "textfont": {"size": 12},
        "hovertemplate": "%{hovertext}<extra></extra>",
        "hoverongaps": True,
        "colorscale": [list(step) for step in HOURS_SCALE],
        "zmin": 0,
        "zmax": MONTH_HOURS,
        "xgap": 1,
        "ygap": 1,
        "colorbar": {
            "title": {"text": "hours a month below the floor", "side": "top"},
            "orientation": "h",
            "y": 0,
            "yref": "container",
            "yanchor": "bottom",
            "thickness": 10,
            "len": 1.0,
            "tickvals": [0, 186, 372, 558, 744],
            "ticktext": ["0 h", "186 h", "372 h", "558 h", "744 h, all of it"],
        },
    }
    layout = months_layout(hours_title(result), labels)
    layout["annotations"] = [
        {"x": x, "y": label, "text": words.UNKNOWN, "showarrow": False}
        for x, label in _unknown_cells(findings, labels)
    ] + layout["annotations"]
    return {"data": [heat], "layout": layout}


def _hours_hover(finding: Finding, units: TemperatureUnit) -> list[str]:
    """What the pointer over each month tells."""
    name = words.chart_text(words.clean(finding.group_name, 80))
    floor = show_temperature(finding.thresholds.floor_c, units)
    texts = []
    for month, mean, bad, years in zip(
        words.MONTHS,
        finding.hours_below.months,
        finding.hours_below_bad,
        finding.years_of_month,
        strict=True,
    ):
        if mean is None:
            texts.append(f"{name}, {month}: not observed well enough")
            continue
        texts.append(
            f"{name}, {month}<br>{_escaped_hours(mean)} h below {floor} in a mean year<br>"
            f"{_escaped_hours(bad)} h in a bad year (one in ten)<br>from {years} years"
        )
    return texts


def _escaped_hours(value: float | None) -> str:
    """Hours in words; the sign of a trace ("<1") would open a tag."""
    return words.chart_text(words.hours(value))


def _labels(result: CheckResult) -> list[str]:
    """One label a finding, all different, escaped."""
    labels: list[str] = []
    for finding in result.results:
        label = words.chart_text(words.finding_label(finding, result, longest=20)) or "unnamed"
        while label in labels:
            label += " "
        labels.append(label)
    return labels


def _unknown_cells(findings: Sequence[Finding], labels: Sequence[str]) -> Iterator[tuple[int, str]]:
    """Month and label of each cell without a value."""
    for finding, label in zip(findings, labels, strict=True):
        for month, value in enumerate(finding.hours_below.months):
            if value is None:
                yield month, label


def lay_out_months(figure: Figure) -> None:
    """The axes of a chart with one column a month."""
    figure.update_layout(xaxis=_MONTHS_AXIS, yaxis={"showgrid": False})
    write_months(figure, list(range(12)))


_MONTHS_AXIS: dict[str, Any] = {
    "range": [-0.5, 11.5],
    "tickvals": list(range(12)),
    "ticktext": [""] * 12,
    "showgrid": False,
    "title": {"text": "month, standard time", "standoff": 4},
}


def months_layout(title: str, labels: Sequence[str]) -> dict[str, Any]:
    """The layout of rows with one column a month, as plain values."""
    layout = rows_layout(title, labels)
    layout["xaxis"] |= _MONTHS_AXIS
    layout["yaxis"] |= {"showgrid": False}
    return layout | {"annotations": month_notes(range(12))}


def write_months(figure: Figure, places: Sequence[float]) -> None:
    """Names of the months above the plot."""
    for note in month_notes(places):
        figure.add_annotation(note)


def month_notes(places: Sequence[float]) -> list[dict[str, Any]]:
    """Names of the months above the plot, as plain values."""
    return [
        {
            "x": place,
            "y": 1,
            "yref": "paper",
            "yanchor": "bottom",
            "text": month[:3],
            "showarrow": False,
            "font": {"size": 13, "color": INK},
        }
        for place, month in zip(places, words.MONTHS, strict=True)
    ]


def lay_out(figure: Figure, title: str, labels: Sequence[str]) -> None:
    """What charts with rows down the side share; the first label stands on top."""
    figure.update_layout(rows_layout(title, labels))


def rows_layout(title: str, labels: Sequence[str]) -> dict[str, Any]:
    """The layout of rows down the side, as plain values."""
    axis: dict[str, Any] = {"fixedrange": True, "zeroline": False, "ticks": "", "gridcolor": LINE}
    return {
        "template": "none",
        "title": {"text": words.chart_text(title), "x": 0, "xref": "paper", "font": {"size": 16}},
        "font": {"family": FONT, "size": 13, "color": INK},
        "paper_bgcolor": "rgba(0,0,0,0)",
        "plot_bgcolor": "rgba(0,0,0,0)",
        "height": HEAD_PX * 2 + ROW_PX * len(labels),
        "margin": {"l": 8, "r": 8, "t": HEAD_PX, "b": HEAD_PX},
        "legend": {"orientation": "h", "x": 0, "y": 0, "yref": "container", "yanchor": "bottom"},
        "hoverlabel": {
            "align": "left",
            "bgcolor": "#ffffff",
            "bordercolor": INK,
            "font": {"family": FONT, "size": 13, "color": INK},
        },
        "dragmode": False,
        "xaxis": dict(axis),
        "yaxis": {
            **axis,
            "categoryorder": "array",
            "categoryarray": list(labels),
            "autorange": "reversed",
            "automargin": True,
            "title": {"text": ""},
            "type": "category",
        },
    }


def render_chart_page(result: CheckResult, units: TemperatureUnit) -> str:
    """
    One self-contained page with both charts and tables of the same numbers.

    It needs no network, and the same result gives the same bytes.
    """
    figures = []
    for identifier, title, figure in (
        ("year", year_title(result), draw_year(result)),
        ("hours", hours_title(result), draw_hours(result, units)),
    ):  # the page has its own headings and keys, which wrap on a phone
        figure.update_layout(title=None, showlegend=False, margin={"t": 28, "b": 40})
        figure.update_traces(showscale=False, selector={"type": "heatmap"})
        figures.append((identifier, title, figure.to_dict()))
    return render_page(result, figures, units)
