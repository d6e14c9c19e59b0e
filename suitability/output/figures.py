"""
The charts of each command, made ready to stand alone as pictures: title, credit, white ground.

They are the charts of the pages; what a page says in its key stands in a legend here.
"""

from __future__ import annotations

import html
import textwrap
from typing import TYPE_CHECKING

from suitability.output import moves_words, weeks_words, words
from suitability.output.charts import draw_hours, draw_year
from suitability.output.evidence_figure import draw_evidence
from suitability.output.images import NamedFigure
from suitability.output.look import QUIET
from suitability.output.titles import hours_title, year_title
from suitability.output.weeks_chart import draw_course, draw_weeks

if TYPE_CHECKING:
    from plotly.graph_objects import Figure

    from suitability.advice.growth_year import GrowthYearResult
    from suitability.advice.moves_result import MovesResult
    from suitability.advice.result import CheckResult
    from suitability.output.head import Answer
    from suitability.units import TemperatureUnit

__all__ = ["check_figures", "moves_figures", "name_figure", "year_figures"]

LINE_CHARACTERS = 120  # of a title; of the credit half as many again
LINE_PX, CREDIT_PX, TITLE_GAP_PX = 22, 16, 50
LEGEND_PX = 40


def check_figures(result: CheckResult, units: TemperatureUnit) -> tuple[NamedFigure, ...]:
    """The year of each group, and hours below the floor."""
    hours = draw_hours(result, units)
    hours.update_traces(colorbar={"title": {"side": "bottom"}}, selector={"type": "heatmap"})
    return (
        name_figure("year", draw_year(result), year_title(result), result),
        name_figure("hours", hours, hours_title(result), result),
    )


def moves_figures(result: MovesResult) -> tuple[NamedFigure, ...]:
    """The past years of each group, numbered in the order of the table."""
    return tuple(
        name_figure(
            f"past-years-{number}",
            draw_evidence(move),
            moves_words.evidence_title(move, result),
            result,
        )
        for number, move in enumerate(result.results, start=1)
        if move.by_year
    )


def year_figures(result: GrowthYearResult, units: TemperatureUnit) -> tuple[NamedFigure, ...]:
    """The weeks of each group, and the place's own year at each spot."""
    figures = [name_figure("weeks", draw_weeks(result), weeks_words.phases_title(result), result)]
    for number, course in enumerate(result.courses, start=1):
        title = weeks_words.course_title(course, result, units)
        figures.append(name_figure(f"place-{number}", draw_course(course, units), title, result))
    return tuple(figures)


def name_figure(name: str, figure: Figure, title: str, result: Answer) -> NamedFigure:
    """
    The figure with its title, and below it the credit that its licence asks for.

    Parameters
    ----------
    name
        What goes into the name of the file.
    title
        Its finding, as it was read; escaped here.
    """
    record = result.record
    credit = "; ".join(
        part
        for part in (
            words.clean(text) for text in (record.source, record.attribution, record.licence)
        )
        if part
    )
    invented = f"{words.INVENTED} " if result.place.invented else ""
    titles = textwrap.wrap(title, LINE_CHARACTERS) or [""]
    credits_ = textwrap.wrap(
        f"{invented}Weather: {credit or 'source not said'}.", LINE_CHARACTERS * 3 // 2
    )
    top = len(titles) * LINE_PX + len(credits_) * CREDIT_PX + TITLE_GAP_PX
    margin = figure.layout.margin
    was_top, was_bottom = margin.t or 0, margin.b or 0
    height = (figure.layout.height or 420) + max(0, top - was_top)
    bottom = was_bottom
    if figure.layout.showlegend is not False:
        bottom, height = was_bottom + LEGEND_PX, height + LEGEND_PX
    figure.update_layout(
        title={
            "text": "<br>".join(map(html.escape, titles)),
            "x": 0,
            "xref": "container",
            "y": 1,
            "yref": "container",
            "yanchor": "top",
            "pad": {"t": 12 + LINE_PX * (len(titles) - 1), "l": 12},
            "font": {"size": 16},
            "subtitle": {
                "text": "<br>".join(map(html.escape, credits_)),
                "font": {"size": 11, "color": QUIET},
            },
        },
        height=height,
        margin={
            "t": top,
            "b": bottom,
            "l": max(margin.l or 0, 16),
            "r": max(margin.r or 0, 16),
            "autoexpand": True,  # a legend may need several lines
        },
        legend={"orientation": "h", "x": 0, "y": 0, "yref": "container", "yanchor": "bottom"},
        paper_bgcolor="#ffffff",
    )
    return NamedFigure(name=name, figure=figure)
