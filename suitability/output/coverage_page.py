"""The calendar of coverage: how much of each month was really observed, on one page."""

from __future__ import annotations

from typing import TYPE_CHECKING, Any

from msgspec import Struct

from suitability.answers import words
from suitability.output.charts import months_layout
from suitability.output.embedding import ASSETS
from suitability.output.frame import render_credit, render_document, render_head, render_section
from suitability.output.look import COVERAGE_SCALE
from suitability.output.page_tables import html_table

if TYPE_CHECKING:
    from collections.abc import Sequence

    from plotly.graph_objects import Figure

__all__ = [
    "CoverageCalendar",
    "coverage_figure",
    "coverage_table",
    "coverage_title",
    "draw_coverage",
    "render_coverage_page",
]


class CoverageCalendar(Struct, frozen=True, kw_only=True):
    """
    Coverage of a record by year and month of standard time, as plain values.

    Attributes
    ----------
    name
        Of the station or the imported record.
    years
        One a row, the earliest first.
    observed, full : h, (year, month)
        Hours observed, and hours of the whole month.
    usable, complete : (year, month)
        Whether counts may use the month (90 % observed), and whether a monthly value may be formed
        by the rule of the WMO.
    head
        Labels and texts that stand above.
    source, attribution, licence
        What must be said when it is shown.
    """

    name: str
    years: Sequence[int]
    observed: Sequence[Sequence[int]]
    full: Sequence[Sequence[int]]
    usable: Sequence[Sequence[bool]]
    complete: Sequence[Sequence[bool]]
    head: Sequence[tuple[str, str]]
    source: str = ""
    attribution: str = ""
    licence: str = ""


def coverage_title(calendar: CoverageCalendar) -> str:
    """What the calendar finds, in a sentence."""
    usable, complete = sum(map(sum, calendar.usable)), sum(map(sum, calendar.complete))
    months = 12 * len(calendar.years)
    span = f"{calendar.years[0]} to {calendar.years[-1]}"
    return (
        f"{words.clean(calendar.name, 60)}, {span}: {usable} of {months} months are observed well "
        f"enough to count hours, and {complete} to form monthly values (WMO-No. 1203)."
    )


def draw_coverage(calendar: CoverageCalendar) -> Figure:
    """Years down, months across: per cent of the month's hours that were observed."""
    from plotly.graph_objects import Figure  # noqa: PLC0415  (heavy, only for charts)

    figure = coverage_figure(calendar)
    figure["data"][0]["hovertext"] = [
        [_hover(year, name, one) for name, one in zip(words.MONTHS, row, strict=True)]
        for year, row in zip(calendar.years, _months(calendar), strict=True)
    ]
    return Figure(figure)


def coverage_figure(calendar: CoverageCalendar) -> dict[str, Any]:
    """What `draw_coverage` draws, as plain values, without its hover text."""
    labels = [str(year) for year in calendar.years]
    rows = _months(calendar)
    heat = {
        "type": "heatmap",
        "x": list(range(12)),
        "y": labels,
        "z": [[round(100 * one.observed / one.full, 3) for one in row] for row in rows],
        "text": [[_cell(one) for one in row] for row in rows],
        "texttemplate": "%{text}",
        "textfont": {"size": 12},
        "hovertemplate": "%{hovertext}<extra></extra>",
        "colorscale": [list(step) for step in COVERAGE_SCALE],
        "zmin": 0,
        "zmax": 100,
        "xgap": 1,
        "ygap": 1,
        "showscale": False,
    }
    return {"data": [heat], "layout": months_layout(coverage_title(calendar), labels)}


class _Month(Struct, frozen=True, kw_only=True):
    """Hours observed and hours of the month, and the two judgements on it."""

    observed: int
    full: int
    usable: bool
    complete: bool


def _months(calendar: CoverageCalendar) -> list[list[_Month]]:
    """What is known of each month, (year, month)."""
    rows = zip(calendar.observed, calendar.full, calendar.usable, calendar.complete, strict=True)
    return [
        [
            _Month(observed=observed, full=full, usable=usable, complete=complete)
            for observed, full, usable, complete in zip(*row, strict=True)
        ]
        for row in rows
    ]


def _cell(month: _Month) -> str:
    """Whole per cent of a month, in brackets where counts cannot use it; empty without any hour."""
    if not month.observed:
        return ""
    share = 100 * month.observed / month.full
    if month.observed < month.full:
        share = min(99.0, max(1.0, share))  # 0 and 100 only where they are exact
    return f"{share:.0f}" if month.usable else f"({share:.0f})"


def _hover(year: int, name: str, month: _Month) -> str:
    """What the pointer over a month tells."""
    return (
        f"{name} {year}<br>{month.observed} of {month.full} h observed<br>"
        f"hours may {'' if month.usable else 'not '}be counted<br>"
        f"monthly value by WMO-No. 1203: {'yes' if month.complete else 'no'}"
    )


def coverage_table(calendar: CoverageCalendar) -> str:
    """The numbers behind the calendar."""
    header = (
        "Year",
        *(month[:3] for month in words.MONTHS),
        "Hours observed",
        "Months for counts",
        "Months by WMO",
    )
    rows = []
    for year, row in zip(calendar.years, _months(calendar), strict=True):
        shares = [_cell(one) or "0" for one in row]
        hours = sum(one.observed for one in row)
        usable, complete = sum(one.usable for one in row), sum(one.complete for one in row)
        rows.append([str(year), *shares, f"{hours:,}", f"{usable} of 12", f"{complete} of 12"])
    return html_table("Per cent of each month's hours observed", header, rows, numbers_from=1)


def render_coverage_page(calendar: CoverageCalendar) -> str:
    """One self-contained page with the calendar and its table; the same record, the same bytes."""
    figure = draw_coverage(calendar)
    figure.update_layout(title=None, showlegend=False, margin={"t": 28, "b": 40})
    key = (
        '<p class="key">Each number: per cent of the month\'s hours that were observed. Dark: 90 % '
        "and more, hours may be counted. Light and in brackets: too few for counts. Empty: none."
        "</p>"
    )
    data: list[dict[str, Any]] = [{"id": "coverage", "figure": figure.to_dict()}]
    return render_document(
        title=f"What was observed: {calendar.name}",
        head=render_head(calendar.head),
        body=render_section("coverage", coverage_title(calendar), key, coverage_table(calendar)),
        footer=render_credit(calendar.source, calendar.attribution, calendar.licence),
        data=data,
        script=(ASSETS / "page.js").read_text(encoding="utf-8"),
    )
