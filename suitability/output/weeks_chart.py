"""
The weeks drawn: phases of each group over where it stands, and the place's own year.

Months run along the top, groups down the side; each row has its phase above and, as a strip below,
where the plant stands. Every number is also in a table of the page.
"""

from __future__ import annotations

from typing import TYPE_CHECKING, Any

from msgspec import Struct

from suitability.advice.growth_year import Where
from suitability.answers import words
from suitability.output import weeks_words
from suitability.output.charts import lay_out, write_months
from suitability.output.look import FONT, INK, LINE, PHASES, STATES, Look
from suitability.output.year import DAYS, MONTH_STARTS
from suitability.units import TemperatureUnit, fahrenheit_from_celsius

if TYPE_CHECKING:
    from collections.abc import Sequence

    from plotly.graph_objects import Figure

    from suitability.advice.growth_year import GrowthYear, GrowthYearResult, PhaseRun, SpotCourse

__all__ = [
    "STANDINGS",
    "STRIP_HEIGHT",
    "STRIP_TOP",
    "draw_course",
    "draw_weeks",
    "phase_traces",
]

LABELLED_DAYS = 42  # a stretch at least so long has its word written on it
PHASE_TOP, PHASE_HEIGHT = -0.38, 0.52  # of a row, which reaches from -0.5 to 0.5
STRIP_TOP, STRIP_HEIGHT = 0.16, 0.2
COURSE_PX = 300
NOT_KNOWN = "no calendar"
STANDINGS = {  # where a plant stands: how it is drawn
    Where.INDOORS: STATES["indoors"],
    Where.MOVING_OUT: STATES["moving"],
    Where.OUTDOORS: STATES["outdoors"],
    Where.MOVING_IN: STATES["moving"],
}


class _Bar(Struct, frozen=True, kw_only=True):
    """A stretch of one row within 1 January to 31 December."""

    row: str
    start: int
    days: int
    text: str
    hover: str


def draw_weeks(result: GrowthYearResult) -> Figure:
    """The phases of each group, and where it stands."""
    from plotly.graph_objects import Figure  # noqa: PLC0415  (heavy, only for charts)

    labels = _labels(result)
    figure = Figure(weeks_traces(labels, result.results))
    lay_out(figure, "The weeks of each group", labels)
    figure.update_layout(barmode="overlay", uniformtext={"mode": "hide", "minsize": 9})
    figure.update_xaxes(
        range=[0, DAYS],
        tickvals=[*MONTH_STARTS, DAYS],
        ticktext=[""] * 13,
        title={"text": "day of the year, standard time", "standoff": 4},
    )
    write_months(figure, [start + 15 for start in MONTH_STARTS])
    return figure


def weeks_traces(labels: Sequence[str], years: Sequence[GrowthYear]) -> list[dict[str, Any]]:
    """The bars of the weeks as plain values, one trace a phase or place that occurs."""
    rows = list(zip(labels, years, strict=True))
    traces = phase_traces(labels, years)
    for where, look in STANDINGS.items():
        bars = [
            bar
            for label, year in rows
            for stay in year.stays
            if stay.where is where
            for bar in _bars(
                label,
                stay.first_week,
                stay.weeks,
                "",
                f"{_name(year)}<br>{weeks_words.standing_words(year, where)} "
                f"{weeks_words.run_dates(stay, short=False)}",
            )
        ]
        word = weeks_words.STANDING_WORDS[where]
        traces += _trace(word, look, bars, (STRIP_TOP, STRIP_HEIGHT))
    unknown = [
        _Bar(row=label, start=0, days=DAYS, text=NOT_KNOWN, hover=_withheld(year))
        for label, year in rows
        if not year.runs
    ]
    place = (PHASE_TOP, PHASE_HEIGHT + STRIP_HEIGHT)
    return traces + _trace(NOT_KNOWN, STATES["unknown"], unknown, place)


def phase_traces(
    labels: Sequence[str], years: Sequence[GrowthYear], *, named: bool = True
) -> list[dict[str, Any]]:
    """
    The bars of the phases alone.

    Without names the pointer tells neither the group nor its water and feed, which stand beside
    the chart of one group.
    """
    traces = []
    for phase, look in PHASES.items():
        bars = [
            bar
            for label, year in zip(labels, years, strict=True)
            for run in year.runs
            if run.phase.value == phase
            for bar in _phase_bars(label, year, run, named=named)
        ]
        traces += _trace(look.word, look, bars, (PHASE_TOP, PHASE_HEIGHT))
    return traces


def _trace(
    name: str, look: Look, bars: list[_Bar], place: tuple[float, float]
) -> list[dict[str, Any]]:
    """The bars of one phase or place; nothing where there is none."""
    if not bars:
        return []
    pattern = {
        "shape": look.hatch,
        "fgcolor": look.hatch_colour,
        "bgcolor": look.fill,
        "size": 6,
        "solidity": 0.2,
    }
    return [
        {
            "type": "bar",
            "name": name,
            "orientation": "h",
            "y": [bar.row for bar in bars],
            "x": [bar.days for bar in bars],
            "base": [bar.start for bar in bars],
            "offset": place[0],
            "width": place[1],
            "text": [bar.text for bar in bars],
            "textposition": "inside",
            "insidetextanchor": "middle",
            "insidetextfont": {"color": look.text, "size": 12},
            "textangle": 0,
            "constraintext": "none",
            "cliponaxis": True,
            "hovertext": [bar.hover for bar in bars],
            "hovertemplate": "%{hovertext}<extra></extra>",
            "marker": {
                "color": look.fill,
                "pattern": pattern,
                "line": {"color": INK, "width": 0.6},
            },
        }
    ]


def _bars(label: str, first_week: int, weeks: int, text: str, hover: str) -> list[_Bar]:
    """Weeks in a row as one bar, or two where they cross New Year; the longer one has the text."""
    start = 7 * (first_week - 1)
    days = 7 * weeks + (first_week + weeks > 52)
    pieces = [(start, min(days, DAYS - start))]
    if start + days > DAYS:
        pieces.append((0, start + days - DAYS))
    longest = max(length for _, length in pieces)
    return [
        _Bar(
            row=label,
            start=at,
            days=length,
            text=text if length == longest and length >= LABELLED_DAYS else "",
            hover=hover,
        )
        for at, length in pieces
    ]


def _phase_bars(label: str, year: GrowthYear, run: PhaseRun, *, named: bool) -> list[_Bar]:
    """The bars of one run with what the pointer tells."""
    cared = (("water", run.water), ("feed", run.feed)) if named else ()
    lines = [
        f"{f'{_name(year)}: ' if named else ''}{run.phase.value}",
        f"{weeks_words.run_dates(run, short=False)}, {weeks_words.weeks_text(run)}",
        *(f"{what}: {words.chart_text(words.clean(text, 90))}" for what, text in cared),
    ]
    return _bars(label, run.first_week, run.weeks, run.phase.value, "<br>".join(lines))


def _name(year: GrowthYear) -> str:
    return words.chart_text(words.clean(year.group_name, 80))


def _withheld(year: GrowthYear) -> str:
    return f"{_name(year)}<br>{words.chart_text(weeks_words.withheld(year))}"


def _labels(result: GrowthYearResult) -> list[str]:
    """One label a group, all different, escaped."""
    labels: list[str] = []
    for year in result.results:
        label = words.chart_text(weeks_words.year_label(year, result, longest=20)) or "unnamed"
        while label in labels:
            label += " "
        labels.append(label)
    return labels


def draw_course(course: SpotCourse, units: TemperatureUnit) -> Figure:
    """Mean night minimum, day maximum and day length of each week."""
    from plotly.graph_objects import Figure, Scatter  # noqa: PLC0415  (heavy, only for charts)

    middles = [7 * (week.week - 1) + week.days / 2 for week in course.weeks]
    figure = Figure()
    rows: list[tuple[str, list[float | None], str, str, str]] = [
        (
            "day maximum",
            [_shown(week.day_c, units) for week in course.weeks],
            "#8c2d19",
            "dash",
            "y",
        ),
        (
            "night minimum",
            [_shown(week.night_c, units) for week in course.weeks],
            "#1d3f72",
            "solid",
            "y",
        ),
        (
            "day length",
            [round(week.day_length_h, 2) for week in course.weeks],
            "#6b6b63",
            "dot",
            "y2",
        ),
    ]
    for name, values, colour, dash, axis in rows:
        unit = "h" if axis == "y2" else units.symbol
        figure.add_trace(
            Scatter(
                name=name,
                x=middles,
                y=values,
                yaxis=axis,
                mode="lines",
                line={"color": colour, "dash": dash, "width": 2},
                hovertext=[
                    f"week {week.week}, {name}: {words.UNKNOWN if value is None else value:} {unit}"
                    for week, value in zip(course.weeks, values, strict=True)
                ],
                hovertemplate="%{hovertext}<extra></extra>",
            )
        )
    axis_look: dict[str, Any] = {"fixedrange": True, "zeroline": False, "ticks": ""}
    figure.update_layout(
        template="none",
        font={"family": FONT, "size": 13, "color": INK},
        paper_bgcolor="rgba(0,0,0,0)",
        plot_bgcolor="rgba(0,0,0,0)",
        height=COURSE_PX,
        margin={"l": 60, "r": 60, "t": 28, "b": 40},
        dragmode=False,
        xaxis={
            **axis_look,
            "range": [0, DAYS],
            "gridcolor": LINE,
            "tickvals": [*MONTH_STARTS, DAYS],
            "ticktext": [""] * 13,
            "title": {"text": "day of the year, standard time", "standoff": 4},
        },
        yaxis={**axis_look, "gridcolor": LINE, "title": {"text": f"temperature, {units.symbol}"}},
        yaxis2={
            **axis_look,
            "overlaying": "y",
            "side": "right",
            "showgrid": False,
            "tickmode": "auto",
            "title": {"text": "day length, h"},
        },
    )
    write_months(figure, [start + 15 for start in MONTH_STARTS])
    return figure


def _shown(value_c: float | None, units: TemperatureUnit) -> float | None:
    """A temperature in the reader's unit, to a tenth."""
    if value_c is None:
        return None
    return round(value_c if units is TemperatureUnit.C else fahrenheit_from_celsius(value_c), 1)
