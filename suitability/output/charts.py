"""
Charts of a check: the year of each group, and the hours below its floor by month.

Months run along the top, groups down the side. The figures hold only what the result says; every
number in them is also in a table of the page. Texts from users and files are escaped, for plotly
reads markup in labels.
"""

from __future__ import annotations

from typing import TYPE_CHECKING, Any

from suitability.output import words
from suitability.output.look import FONT, HOURS_SCALE, INK, LINE, STATES
from suitability.output.page import render_page
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
    "lay_out",
    "lay_out_months",
    "render_chart_page",
    "write_months",
]

MONTH_HOURS = 744  # of the longest month: the dark end of the scale
ROW_PX, HEAD_PX = 34, 64


def draw_year(result: CheckResult) -> Figure:
    """
    The year of each group: indoors, moving out, outdoors, and where it would only survive.

    The fortnight from the first day out is the one of moving; `in` is the day of carrying in.
    """
    from plotly.graph_objects import Bar, Figure  # noqa: PLC0415  (heavy, only for charts)

    labels = _labels(result)
    by_state: dict[str, list[tuple[str, Piece]]] = {state: [] for state in STATES}
    for label, finding in zip(labels, result.findings, strict=True):
        for piece in year_pieces(finding):
            by_state[piece.state].append((label, piece))
    figure = Figure()
    for state, look in STATES.items():
        drawn = by_state[state]
        if not drawn:
            continue
        pattern = {
            "shape": look.hatch,
            "fgcolor": look.hatch_colour,
            "bgcolor": look.fill,
            "size": 6,
            "solidity": 0.35,
        }
        figure.add_trace(
            Bar(
                name=look.word,
                orientation="h",
                y=[label for label, _ in drawn],
                x=[piece.days for _, piece in drawn],
                base=[piece.start for _, piece in drawn],
                text=[piece.text for _, piece in drawn],
                textposition="inside",
                insidetextanchor="middle",
                insidetextfont={"color": look.text, "size": 12},
                textangle=0,
                constraintext="none",
                cliponaxis=True,
                hovertext=[piece.hover for _, piece in drawn],
                hovertemplate="%{hovertext}<extra></extra>",
                marker={
                    "color": look.fill,
                    "pattern": pattern,
                    "line": {"color": INK, "width": 0.6},
                },
            )
        )
    lay_out(figure, year_title(result), labels)
    figure.update_layout(barmode="overlay", bargap=0.28, uniformtext={"mode": "hide", "minsize": 9})
    figure.update_xaxes(
        range=[0, DAYS],
        tickvals=[*MONTH_STARTS, DAYS],
        ticktext=[""] * 13,
        title={"text": "day of the year, standard time", "standoff": 4},
    )
    write_months(figure, [start + 15 for start in MONTH_STARTS])
    return figure


def draw_hours(result: CheckResult, units: TemperatureUnit = TemperatureUnit.C) -> Figure:
    """Hours below each group's growth floor in a mean month, the bad year in the hover text."""
    from plotly.graph_objects import Figure, Heatmap  # noqa: PLC0415  (heavy, only for charts)

    findings = result.findings
    labels = _labels(result)
    figure = Figure(
        Heatmap(
            x=list(range(12)),
            y=labels,
            z=[list(finding.growth.hours) for finding in findings],
            text=[
                [_escaped_hours(value) for value in finding.growth.hours] for finding in findings
            ],
            texttemplate="%{text}",
            textfont={"size": 12},
            hovertext=[_hours_hover(finding, units) for finding in findings],
            hovertemplate="%{hovertext}<extra></extra>",
            hoverongaps=True,
            colorscale=[list(step) for step in HOURS_SCALE],
            zmin=0,
            zmax=MONTH_HOURS,
            xgap=1,
            ygap=1,
            colorbar={
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
        )
    )
    _mark_unknown(figure, findings, labels)
    lay_out(figure, hours_title(result), labels)
    lay_out_months(figure)
    return figure


def _hours_hover(finding: Finding, units: TemperatureUnit) -> list[str]:
    """What the pointer over each month tells."""
    name = words.chart_text(words.clean(finding.group_name, 80))
    floor = show_temperature(finding.floor_c, units)
    texts = []
    for month, mean, bad, years in zip(
        words.MONTHS,
        finding.growth.hours,
        finding.growth.bad_hours,
        finding.growth.years,
        strict=True,
    ):
        if mean is None:
            texts.append(f"<b>{name}</b>, {month}: not observed well enough")
            continue
        texts.append(
            f"<b>{name}</b>, {month}<br>{_escaped_hours(mean)} h below {floor} in a mean year<br>"
            f"{_escaped_hours(bad)} h in a bad year (one in ten)<br>from {years} years"
        )
    return texts


def _escaped_hours(value: float | None) -> str:
    """Hours in words; the sign of a trace ("<1") would open a tag."""
    return words.chart_text(words.hours(value))


def _labels(result: CheckResult) -> list[str]:
    """One label a finding, all different, escaped."""
    labels: list[str] = []
    for finding in result.findings:
        label = words.chart_text(words.finding_label(finding, result, longest=20)) or "unnamed"
        while label in labels:
            label += " "
        labels.append(label)
    return labels


def _mark_unknown(figure: Figure, findings: Sequence[Finding], labels: Sequence[str]) -> None:
    """Question marks where a month was not observed: the map leaves such cells empty."""
    for x, label in _unknown_cells(findings, labels):
        figure.add_annotation(x=x, y=label, text=words.UNKNOWN, showarrow=False)


def _unknown_cells(findings: Sequence[Finding], labels: Sequence[str]) -> Iterator[tuple[int, str]]:
    """Month and label of each cell without a value."""
    for finding, label in zip(findings, labels, strict=True):
        for month, value in enumerate(finding.growth.hours):
            if value is None:
                yield month, label


def lay_out_months(figure: Figure) -> None:
    """The axes of a chart with one column a month."""
    figure.update_xaxes(
        range=[-0.5, 11.5],
        tickvals=list(range(12)),
        ticktext=[""] * 12,
        showgrid=False,
        title={"text": "month, standard time", "standoff": 4},
    )
    figure.update_yaxes(showgrid=False)
    write_months(figure, list(range(12)))


def write_months(figure: Figure, places: Sequence[float]) -> None:
    """Names of the months above the plot."""
    for place, month in zip(places, words.MONTHS, strict=True):
        figure.add_annotation(
            x=place,
            y=1,
            yref="paper",
            yanchor="bottom",
            text=month[:3],
            showarrow=False,
            font={"size": 13, "color": INK},
        )


def lay_out(figure: Figure, title: str, labels: Sequence[str]) -> None:
    """What charts with rows down the side share; the first label stands on top."""
    axis: dict[str, Any] = {"fixedrange": True, "zeroline": False, "ticks": "", "gridcolor": LINE}
    figure.update_layout(
        template="none",
        title={"text": words.chart_text(title), "x": 0, "xref": "paper", "font": {"size": 16}},
        font={"family": FONT, "size": 13, "color": INK},
        paper_bgcolor="rgba(0,0,0,0)",
        plot_bgcolor="rgba(0,0,0,0)",
        height=HEAD_PX * 2 + ROW_PX * len(labels),
        margin={"l": 8, "r": 8, "t": HEAD_PX, "b": HEAD_PX},
        legend={"orientation": "h", "x": 0, "y": 0, "yref": "container", "yanchor": "bottom"},
        hoverlabel={
            "align": "left",
            "bgcolor": "#ffffff",
            "bordercolor": INK,
            "font": {"family": FONT, "size": 13, "color": INK},
        },
        dragmode=False,
    )
    figure.update_xaxes(**axis)
    figure.update_yaxes(
        **axis,
        categoryorder="array",
        categoryarray=list(labels),
        autorange="reversed",
        automargin=True,
        title={"text": ""},
        type="category",
    )


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
