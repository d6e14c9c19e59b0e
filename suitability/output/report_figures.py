"""
The charts of one group in a report: its year, hours, dates and heat, as plain values.

Months run along the top. A page holds these charts for every group, so they are plain values for
the plotting script, without plotly's own types; tests put them through those. Each is drawn only
where there is something to draw, and its numbers stand in a table of the page.
"""

from __future__ import annotations

from itertools import groupby
from typing import TYPE_CHECKING, Any

from suitability.advice.verdicts import Verdict
from suitability.answers import dates, words
from suitability.answers.past_years import column_of
from suitability.output.look import INK, LINE, NIGHTS, QUIET, STATES, Look
from suitability.output.report_axes import (
    AXIS,
    HOVER,
    Figure,
    chart_layout,
    days_axis,
    legend_above,
    months_axis,
)
from suitability.output.weeks_chart import STRIP_HEIGHT, STRIP_TOP, phase_traces
from suitability.output.year import DAYS, year_pieces
from suitability.units import TemperatureUnit, show_temperature

if TYPE_CHECKING:
    from collections.abc import Sequence

    from suitability.advice.growth_year import GrowthYear
    from suitability.advice.moves_result import Move, MoveDate
    from suitability.advice.plant_year import HeatOutlook
    from suitability.advice.result import Finding

__all__ = ["draw_dates", "draw_heat", "draw_months", "draw_weeks_of"]

WEEKS_PX, MONTHS_PX, DATES_PX, HEAT_PX = 104, 250, 190, 210
HOURS_HOVER = "%{customdata}: %{y:.0f} h<br>%{fullData.name}<extra></extra>"
COMING_IN_DAYS = 7  # up to the day on which it is carried in


def draw_weeks_of(year: GrowthYear, finding: Finding) -> Figure:
    """What one group does through the year, by weeks, over where it stands, by days."""
    layout = chart_layout(WEEKS_PX, {"l": 8, "r": 8, "t": 46, "b": 6})
    layout |= {
        "barmode": "overlay",
        "uniformtext": {"mode": "hide", "minsize": 9},
        "xaxis": days_axis("day of the year, standard time"),
        "yaxis": {**AXIS, "showgrid": False, "showticklabels": False, "autorange": "reversed"},
    }
    return {
        "data": [*phase_traces(("",), (year,), named=False), *_strip(finding)],
        "layout": layout,
    }


def _strip(finding: Finding) -> list[dict[str, Any]]:
    """Where the plant stands, one trace a state; the week before it is carried in lies on top."""
    bars = [(piece.state, piece.start, piece.days, piece.hover) for piece in year_pieces(finding)]
    season = finding.season
    if finding.verdict is Verdict.SEASONAL and season is not None and season.days < DAYS:
        told = f"moving in: the week up to {words.day_month(season.inn)}"
        last = column_of(season.inn, "01-01")
        days = [(last - earlier) % DAYS for earlier in reversed(range(COMING_IN_DAYS))]
        bars += [("moving", day, 1, told) for day in days]
    traces = []
    for state, some in groupby(bars, key=lambda bar: bar[0]):
        look, pieces = STATES[state], list(some)
        traces.append(
            {
                "type": "bar",
                "name": look.word,
                "orientation": "h",
                "y": [""] * len(pieces),
                "x": [days for _, _, days, _ in pieces],
                "base": [start for _, start, _, _ in pieces],
                "offset": STRIP_TOP,
                "width": STRIP_HEIGHT,
                "hovertext": [hover for *_, hover in pieces],
                "hovertemplate": HOVER,
                "marker": {
                    "color": look.fill,
                    "line": {"color": INK, "width": 0},
                    "pattern": {
                        "shape": look.hatch,
                        "fgcolor": look.hatch_colour,
                        "bgcolor": look.fill,
                        "size": 6,
                        "solidity": 0.35,
                    },
                },
            }
        )
    return traces


def draw_months(finding: Finding, units: TemperatureUnit) -> Figure:
    """Hours below the floors by month: the mean beside the bad year."""
    rest, rest_floor_c = finding.hours_below_rest, finding.thresholds.rest_floor_c
    floor = show_temperature(finding.thresholds.floor_c, units)
    data = [
        _bars(finding.hours_below.months, f"mean year, below {floor}", NIGHTS["mean"]),
        _bars(finding.hours_below_bad, f"bad year (one in ten), below {floor}", NIGHTS["bad"]),
    ]
    if rest is not None and rest_floor_c is not None:
        name = f"mean year, below the rest floor of {show_temperature(rest_floor_c, units)}"
        data.append(
            {
                "type": "scatter",
                "mode": "markers",
                "name": name,
                "x": list(range(12)),
                "y": [_whole(value) for value in rest.months],
                "marker": {
                    "symbol": "line-ew-open",
                    "size": 22,
                    "color": NIGHTS["rest"].fill,
                    "line": {"width": 3, "color": NIGHTS["rest"].fill},
                },
                "customdata": list(words.MONTHS),
                "hovertemplate": HOURS_HOVER,
            }
        )
    layout = chart_layout(MONTHS_PX, {"l": 62, "r": 8, "t": 46, "b": 34})
    layout |= {
        "barmode": "group",
        "bargap": 0.2,
        "bargroupgap": 0.05,
        "showlegend": True,
        "legend": legend_above(),
        "xaxis": months_axis(),
        "yaxis": {
            **AXIS,
            "gridcolor": LINE,
            "rangemode": "tozero",
            "title": {"text": "hours a month"},
        },
    }
    return {"data": data, "layout": layout}


def _bars(values: Sequence[float | None], name: str, look: Look) -> dict[str, Any]:
    """Twelve bars."""
    return {
        "type": "bar",
        "name": name,
        "meta": "month",
        "x": list(range(12)),
        "y": [_whole(value) for value in values],
        "customdata": list(words.MONTHS),
        "hovertemplate": HOURS_HOVER,
        "marker": {
            "color": look.fill,
            "line": {"color": INK, "width": 0.6},
            "pattern": {
                "shape": look.hatch,
                "fgcolor": look.hatch_colour,
                "bgcolor": look.fill,
                "size": 6,
                "solidity": 0.3,
            },
        },
    }


def _whole(value: float | None) -> float | None:
    return None if value is None else round(value, 1)


# Dates -------------------------------------------------------------------------------------------


def draw_dates(move: Move) -> Figure:
    """The dates of moving with what is known of them, over the dates that past years allowed."""
    first_day = move.by_year[0].first_day
    data: list[dict[str, Any]] = []
    for row, (date, side) in enumerate(((move.out, "out"), (move.inn, "in"))):
        if date is not None:
            data += _date_traces(date, side, row, move)
    layout = chart_layout(DATES_PX, {"l": 46, "r": 8, "t": 46, "b": 38})
    layout |= {
        "showlegend": True,
        "legend": legend_above(),
        "xaxis": days_axis("day of the year, standard time", column_of(first_day, "01-01")),
        "yaxis": {
            **AXIS,
            "range": [1.6, -0.6],
            "showgrid": False,
            "tickvals": [0, 1],
            "ticktext": ["out", "in"],
        },
    }
    return {"data": data, "layout": layout}


def _date_traces(date: MoveDate, side: str, row: int, move: Move) -> list[dict[str, Any]]:
    """One date: past years as ticks, weeks to watch, interval, typical and promised day."""
    first_day, first = move.by_year[0].first_day, row == 0
    told = [
        (year, at)
        for year in move.by_year
        for at in [year.out if side == "out" else year.inn]
        if at is not None and year.days is not None and year.days < DAYS
    ]

    def mark(name: str, days: list[str], symbol: str, size: int, **style: Any) -> dict[str, Any]:
        return {
            "type": "scatter",
            "mode": "markers",
            "name": name,
            "legendgroup": name,
            "showlegend": first,
            "x": [column_of(day, first_day) for day in days],
            "y": [row] * len(days),
            "cliponaxis": False,
            "marker": {"symbol": symbol, "size": size, **style},
            "text": [words.day_month(day, short=True) for day in days],
            "hovertemplate": f"{side}, {name}: %{{text}}<extra></extra>",
        }

    def line(name: str, start: str, stop: str, width: int, colour: str) -> dict[str, Any]:
        said = f"{side}, {name}: {words.day_month(start)} to {words.day_month(stop)}"
        return {
            "type": "scatter",
            "mode": "lines",
            "name": name,
            "legendgroup": name,
            "showlegend": first,
            "x": [column_of(start, first_day), column_of(stop, first_day)],
            "y": [row, row],
            "line": {"width": width, "color": colour},
            "hovertext": [said, said],
            "hovertemplate": HOVER,
        }

    traces = [
        mark("what a past year allowed", [at for _, at in told], "line-ns-open", 26, color=QUIET)
    ]
    traces[0]["customdata"] = [dates.year_label(year.year, first_day) for year, _ in told]
    traces[0]["hovertemplate"] = f"%{{customdata}} by itself: {side} %{{text}}<extra></extra>"
    unlimited = dates.typical_date(date, move) == dates.ANY_DAY
    if date.watch_from is not None and date.watch_to is not None and not unlimited:
        traces.append(
            line("watch the forecast", date.watch_from, date.watch_to, 12, STATES["moving"].fill)
        )
    traces.append(
        line(
            "90 % interval of the promised date",
            date.earliest,
            date.latest,
            5,
            STATES["outdoors"].fill,
        )
    )
    if not unlimited:
        traces.append(
            mark(
                "typical: of half of the years",
                [date.typical],
                "circle",
                12,
                color="#ffffff",
                line={"color": INK, "width": 2},
            )
        )
    traces.append(
        mark(
            "promised",
            [date.promised],
            "diamond",
            14,
            color=STATES["outdoors"].fill,
            line={"color": INK, "width": 1.5},
        )
    )
    return traces


# Heat --------------------------------------------------------------------------------------------


def draw_heat(heat: HeatOutlook, units: TemperatureUnit) -> Figure:
    """Hours above the ceiling by month."""
    name = f"mean year, above {show_temperature(heat.ceiling_c, units)}"
    layout = chart_layout(HEAT_PX, {"l": 62, "r": 8, "t": 46, "b": 10})
    layout |= {
        "xaxis": months_axis(),
        "yaxis": {
            **AXIS,
            "gridcolor": LINE,
            "rangemode": "tozero",
            "title": {"text": "hours a month"},
        },
    }
    return {"data": [_bars(heat.hours_by_month, name, NIGHTS["heat"])], "layout": layout}
