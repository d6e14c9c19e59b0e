"""The charts of a report as pictures: those of the page, ready to stand alone."""

from __future__ import annotations

from typing import TYPE_CHECKING

from suitability.answers import words
from suitability.answers.past_years import past_years
from suitability.output.coverage_page import coverage_title, draw_coverage
from suitability.output.drawing import draw_figure
from suitability.output.figures import check_figures, name_figure
from suitability.output.report_groups import Chart, render_group
from suitability.output.report_page import report_coverage

if TYPE_CHECKING:
    from plotly.graph_objects import Figure

    from suitability.advice.report import ReportResult
    from suitability.output.images import NamedFigure
    from suitability.units import TemperatureUnit

__all__ = ["report_figures"]

KINDS = {"weeks": "weeks", "months": "hours", "nights": "nights", "dates": "dates"}
KINDS |= {"years": "past-years", "heat": "heat"}


def report_figures(result: ReportResult, units: TemperatureUnit) -> tuple[NamedFigure, ...]:
    """
    Every chart of the page.

    The year and the hours of all groups, how well the record was observed, then those of each
    group, numbered in the order of the page: `1-weeks`, `1-hours`, `1-nights`, `1-dates`,
    `1-past-years`, `1-heat`, as far as there is something to draw.
    """
    calendar = report_coverage(result)
    figures = [
        *check_figures(result.check, units),
        name_figure("coverage", draw_coverage(calendar), coverage_title(calendar), result),
    ]
    for number, finding in enumerate(result.check.results, start=1):
        charts: list[Chart] = []
        render_group(number - 1, result, units, charts)
        label = words.finding_label(finding, result.check, key=False)
        for chart in charts:
            kind = KINDS[chart.identifier.split("-")[-1]]
            title = f"{label}: {chart.title}"
            figures.append(name_figure(f"{number}-{kind}", _drawn(chart), title, result))
    return tuple(figures)


def _drawn(chart: Chart) -> Figure:
    """The figure of one chart, its parts named in a legend."""
    from plotly.graph_objects import Figure  # noqa: PLC0415  (heavy, only for charts)

    if chart.season_years is not None:
        return Figure(draw_figure(past_years(chart.season_years)))
    figure = Figure(chart.figure)
    figure.update_layout(showlegend=True)
    named: set[str] = set()
    for trace in figure.data:
        if trace.name in named:
            trace.showlegend = False
        named.add(trace.name)
    return figure
