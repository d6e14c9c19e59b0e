"""
The charts of one group in a report: its year, hours, nights, dates and heat, as plain values.

Months run along the top. A page holds these charts for every group, so they are plain values for
the plotting script, without plotly's own types; tests put them through those. Each is drawn only
where there is something to draw, and its numbers stand in a table of the page.
"""

from __future__ import annotations

from functools import lru_cache
from itertools import groupby
from typing import TYPE_CHECKING, Any

from suitability.advice.verdicts import Verdict
from suitability.output import moves_words, words
from suitability.output.evidence import BAND, column_of
from suitability.output.look import FONT, INK, LINE, NIGHTS, QUIET, STATES, Look
from suitability.output.weeks_chart import STRIP_HEIGHT, STRIP_TOP, phase_traces
from suitability.output.year import DAYS, MONTH_STARTS, year_pieces
from suitability.units import TemperatureUnit, fahrenheit_from_celsius, show_temperature

if TYPE_CHECKING:
    from collections.abc import Sequence

    from suitability.advice.growth_year import GrowthYear
    from suitability.advice.moves_result import Move, MoveDate
    from suitability.advice.plant_year import HeatOutlook
    from suitability.advice.report import NightCourse
    from suitability.advice.result import Finding, Season

__all__ = ["draw_dates", "draw_heat", "draw_months", "draw_nights", "draw_weeks_of", "level_lines"]

Figure = dict[str, Any]

CLEAR = "rgba(0,0,0,0)"
WEEKS_PX, MONTHS_PX, NIGHTS_PX, DATES_PX, HEAT_PX = 104, 250, 330, 190, 210
AXIS: dict[str, Any] = {
    "fixedrange": True,
    "zeroline": False,
    "ticks": "",
    "ticklabeloverflow": "allow",  # the browser need not measure each label: they have their room
}
HOVER = "%{hovertext}<extra></extra>"
HOURS_HOVER = "<b>%{customdata}</b>: %{y:.0f} h<br>%{fullData.name}<extra></extra>"
COMING_IN_DAYS = 7  # up to the day on which it is carried in
LABEL_SHARE = 0.062  # of the height of the chart of nights that one label needs


def draw_weeks_of(year: GrowthYear, finding: Finding) -> Figure:
    """What one group does through the year, by weeks, over where it stands, by days."""
    layout = _layout(WEEKS_PX, {"l": 8, "r": 8, "t": 46, "b": 6})
    layout |= {
        "barmode": "overlay",
        "uniformtext": {"mode": "hide", "minsize": 9},
        "xaxis": _days_axis("day of the year, standard time"),
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
    growth, rest = finding.growth, finding.rest_floor
    floor = show_temperature(finding.floor_c, units)
    data = [
        _bars(growth.hours, f"mean year, below {floor}", NIGHTS["mean"]),
        _bars(growth.bad_hours, f"bad year (one in ten), below {floor}", NIGHTS["bad"]),
    ]
    if rest is not None:
        name = f"mean year, below the rest floor of {show_temperature(rest.threshold_c, units)}"
        data.append(
            {
                "type": "scatter",
                "mode": "markers",
                "name": name,
                "x": list(range(12)),
                "y": [_whole(value) for value in rest.hours],
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
    layout = _layout(MONTHS_PX, {"l": 62, "r": 8, "t": 46, "b": 34})
    layout |= {
        "barmode": "group",
        "bargap": 0.2,
        "bargroupgap": 0.05,
        "showlegend": True,
        "legend": _legend(),
        "xaxis": _months_axis(),
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


# Nights ------------------------------------------------------------------------------------------


def level_lines(
    finding: Finding, units: TemperatureUnit
) -> list[tuple[str, float, str, str, float]]:
    """Thresholds of the group: word, value shown, colour, dash and width, highest first."""
    floor, cold = NIGHTS["floor"].fill, NIGHTS["limit"].fill
    levels = [("floor", finding.floor_c, floor, "solid", 2.2)]
    if finding.rest_floor_c is not None:
        levels.append(("rest floor", finding.rest_floor_c, floor, "dash", 2.0))
    levels += [
        ("chill base", finding.chill_base_c, NIGHTS["chill"].fill, "dashdot", 2.0),
        ("wet limit", finding.limit_wet_c, cold, "dot", 2.0),
        ("dry limit", finding.limit_c, cold, "solid", 3.0),
    ]
    ordered = sorted(levels, key=lambda level: -level[1])
    return [
        (word, _shown(at_c, units), colour, dash, width)
        for word, at_c, colour, dash, width in ordered
    ]


@lru_cache(maxsize=16)  # every group of a spot is drawn over the same nights
def _shown_course(
    course: NightCourse, units: TemperatureUnit
) -> tuple[list[float | None], list[float | None], list[float | None], list[float | None]]:
    """Lowest, low, middle and high minima in the reader's unit."""
    lowest, low, middle, high = (
        [None if value is None else _shown(value, units) for value in values]
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
    layout = _layout(NIGHTS_PX, {"l": 62, "r": 132, "t": 46, "b": 34})
    layout |= {
        "showlegend": True,
        "legend": _legend(),
        "hovermode": "x",
        "xaxis": _days_axis("night of the year, standard time"),
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


# Dates -------------------------------------------------------------------------------------------


def draw_dates(move: Move) -> Figure:
    """The dates of moving with what is known of them, over the dates that past years allowed."""
    first_day = move.by_year[0].first_day
    data: list[dict[str, Any]] = []
    for row, (date, side) in enumerate(((move.out, "out"), (move.inn, "in"))):
        if date is not None:
            data += _date_traces(date, side, row, move)
    layout = _layout(DATES_PX, {"l": 46, "r": 8, "t": 46, "b": 38})
    layout |= {
        "showlegend": True,
        "legend": _legend(),
        "xaxis": _days_axis("day of the year, standard time", column_of(first_day, "01-01")),
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
            "hovertemplate": f"<b>{side}</b>, {name}: %{{text}}<extra></extra>",
        }

    def line(name: str, start: str, stop: str, width: int, colour: str) -> dict[str, Any]:
        said = f"<b>{side}</b>, {name}: {words.day_month(start)} to {words.day_month(stop)}"
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
    traces[0]["customdata"] = [moves_words.year_label(year.year, first_day) for year, _ in told]
    traces[0]["hovertemplate"] = (
        f"<b>%{{customdata}}</b> by itself: {side} %{{text}}<extra></extra>"
    )
    unlimited = moves_words.typical_date(date, move) == moves_words.ANY_DAY
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
    layout = _layout(HEAT_PX, {"l": 62, "r": 8, "t": 46, "b": 10})
    layout |= {
        "xaxis": _months_axis(),
        "yaxis": {
            **AXIS,
            "gridcolor": LINE,
            "rangemode": "tozero",
            "title": {"text": "hours a month"},
        },
    }
    return {"data": [_bars(heat.hours_by_month, name, NIGHTS["heat"])], "layout": layout}


# What they share ---------------------------------------------------------------------------------


def _layout(height: int, margin: dict[str, int]) -> Figure:
    """Type, ground and size."""
    return {
        "font": {"family": FONT, "size": 13, "color": INK},
        "paper_bgcolor": CLEAR,
        "plot_bgcolor": CLEAR,
        "height": height,
        "margin": margin | {"autoexpand": False},  # else everything is drawn once more for it
        "showlegend": False,
        "dragmode": False,
        "hoverlabel": {
            "align": "left",
            "bgcolor": "#ffffff",
            "bordercolor": INK,
            "font": {"family": FONT, "size": 13, "color": INK},
        },
    }


def _legend() -> dict[str, Any]:
    """A key below the chart that does nothing when it is clicked."""
    return {
        "orientation": "h",
        "x": 0,
        "y": 0,
        "yref": "container",
        "yanchor": "bottom",
        "itemclick": False,
        "itemdoubleclick": False,
        "font": {"size": 12},
    }


def _days_axis(title: str, first: int = 0) -> dict[str, Any]:
    """Days from one of the year on, the names of the months along the top."""
    starts = [(start - first) % DAYS for start in MONTH_STARTS]
    return {
        **AXIS,
        "side": "top",
        "range": [0, DAYS],
        "showgrid": False,
        "minor": {"tickvals": sorted(starts), "showgrid": True, "gridcolor": LINE, "ticks": ""},
        "tickvals": [(start + 15) % DAYS for start in starts],
        "ticktext": [month[:3] for month in words.MONTHS],
        "tickangle": 0,
        "title": {"text": title, "standoff": 4, "font": {"size": 12}},
    }


def _months_axis() -> dict[str, Any]:
    """One column a month, their names along the top."""
    return {
        **AXIS,
        "side": "top",
        "range": [-0.5, 11.5],
        "showgrid": False,
        "tickvals": list(range(12)),
        "ticktext": [month[:3] for month in words.MONTHS],
        "tickangle": 0,
        "title": {"text": "month, standard time", "standoff": 4, "font": {"size": 12}},
    }


def _shown(value_c: float, units: TemperatureUnit) -> float:
    """A temperature in the reader's unit, to a tenth."""
    return round(value_c if units is TemperatureUnit.C else fahrenheit_from_celsius(value_c), 1)
