"""A week at the station and at spots: a table of its days, and a page with every hour drawn."""

from __future__ import annotations

import html
import textwrap
from datetime import datetime, timedelta
from typing import TYPE_CHECKING, Any

from suitability.answers import words
from suitability.output.embedding import ASSETS
from suitability.output.fit_page import lay_out_plain
from suitability.output.frame import render_credit, render_document, render_head, render_section
from suitability.output.look import INK, SERIES, band
from suitability.output.page_tables import html_table
from suitability.units import TemperatureUnit, fahrenheit_from_celsius

if TYPE_CHECKING:
    from collections.abc import Sequence

    from plotly.graph_objects import Figure

    from suitability.advice.week import Week

__all__ = ["draw_week", "render_week", "render_week_page"]

WIDTH = 80
DASHES = ("solid", "dash", "dot", "dashdot", "longdash", "longdashdot")


def render_week(week: Week, units: TemperatureUnit) -> str:
    """Lowest and highest of each day, station and spots, as text."""
    lines = [
        *([words.INVENTED] if week.place.invented else []),
        f"{words.clean(week.place.name)}: lowest and highest hour of each day, {units.symbol}",
        "",
    ]
    heads = ["day", "station", *(words.clean(spot.name, 14) for spot in week.spots)]
    lines.append("".join(f"{head:<16}" for head in heads).rstrip())
    lines += ["".join(f"{cell:<16}" for cell in row).rstrip() for row in _days(week, units)]
    lines += ["", *textwrap.wrap(f"Weather: {words.credit_text(week.credit)}", WIDTH)]
    return "\n".join(lines)


def _days(week: Week, units: TemperatureUnit) -> list[list[str]]:
    rows = []
    for day in range(7):
        part = slice(24 * day, 24 * day + 24)
        cells = [(week.first_day + timedelta(days=day)).isoformat()]
        for hours in (week.station_c, *(spot.temp_c for spot in week.spots)):
            known = [value for value in hours[part] if value is not None]
            cells.append(
                f"{_shown(min(known), units):.1f} to {_shown(max(known), units):.1f}"
                if known
                else words.UNKNOWN
            )
        rows.append(cells)
    return rows


def _shown(value_c: float, units: TemperatureUnit) -> float:
    return value_c if units is TemperatureUnit.C else float(fahrenheit_from_celsius(value_c))


def _column(values: Sequence[float | None], units: TemperatureUnit) -> list[float | None]:
    return [None if value is None else round(_shown(value, units), 2) for value in values]


def _moments(week: Week) -> list[str]:
    first = datetime(week.first_day.year, week.first_day.month, week.first_day.day)  # noqa: DTZ001  (standard time, as written)
    return [(first + timedelta(hours=hour)).strftime("%Y-%m-%d %H:%M") for hour in range(168)]


def draw_week(week: Week, units: TemperatureUnit) -> Figure:
    """Lines of station and spots; a band where a spot is known within a range."""
    from plotly.graph_objects import Figure, Scatter  # noqa: PLC0415  (heavy, only for charts)

    moments = _moments(week)
    figure = Figure()
    for number, spot in enumerate(week.spots):
        colour = SERIES[number % len(SERIES)]
        name = words.chart_text(words.clean(spot.name, 40))
        if spot.low_c:
            for values, fill in ((spot.low_c, None), (spot.high_c, "tonexty")):
                figure.add_trace(
                    Scatter(
                        name=f"{name}: range",
                        x=moments,
                        y=_column(values, units),
                        mode="lines",
                        line={"width": 0, "color": colour},
                        fill=fill,
                        fillcolor=band(colour),
                        hoverinfo="skip",
                        showlegend=False,
                    )
                )
        figure.add_trace(
            Scatter(
                name=name,
                x=moments,
                y=_column(spot.temp_c, units),
                mode="lines",
                line={"color": colour, "width": 2, "dash": DASHES[number % len(DASHES)]},
                hovertemplate=f"%{{x}}<br>{name}: %{{y:.1f}} {units.symbol}<extra></extra>",
            )
        )
    figure.add_trace(
        Scatter(
            name="station",
            x=moments,
            y=_column(week.station_c, units),
            mode="lines",
            line={"color": INK, "width": 1.2},
            hovertemplate=f"%{{x}}<br>station: %{{y:.1f}} {units.symbol}<extra></extra>",
        )
    )
    lay_out_plain(figure, f"temperature, {units.symbol}", "date, standard time", dates=True)
    return figure


def week_title(week: Week, units: TemperatureUnit) -> str:
    """The lowest hour at the station and at each spot, in a sentence."""
    told = []
    places = [("the station", week.station_c)]
    places += [(words.clean(spot.name, 40), spot.temp_c) for spot in week.spots]
    for name, hours in places:
        known = [value for value in hours if value is not None]
        lowest = f"{_shown(min(known), units):.1f} {units.symbol}" if known else words.UNKNOWN
        told.append(f"{lowest} at {name}")
    return f"Lowest hour of the week: {', '.join(told)}."


def render_week_page(week: Week, units: TemperatureUnit) -> str:
    """One self-contained page; the same week, the same bytes."""
    head = [("Place", words.clean(week.place.name)), ("Week", f"from {week.first_day}")]
    if week.place.invented:
        head.insert(0, ("Invented", words.INVENTED))
    names = ["Station", *(words.clean(spot.name, 40) for spot in week.spots)]
    days = html_table(
        f"Lowest and highest hour of each day, {units.symbol}",
        ("Day", *names),
        _days(week, units),
        numbers_from=9,
    )
    columns = [week.station_c, *(spot.temp_c for spot in week.spots)]
    hours = [
        [moment, *(words.UNKNOWN if v is None else f"{_shown(v, units):.1f}" for v in values)]
        for moment, *values in zip(_moments(week), *columns, strict=True)
    ]
    every = html_table(f"Hours, {units.symbol}", ("Hour", *names), hours, numbers_from=1)
    data: list[dict[str, Any]] = [{"id": "week", "figure": draw_week(week, units).to_dict()}]
    key = '<p class="key">Band: the range of what is known of the spot.</p>'
    table = f"{days}<details><summary>The hours as a table</summary>{every}</details>"
    credit = render_credit(week.credit.source, week.credit.attribution, week.credit.licence)
    return render_document(
        title=f"A week from {week.first_day}: station and spots",
        head=render_head(head),
        body=render_section("week", week_title(week, units), key, table),
        footer=f"<p>{html.escape(words.CAUTIONS)}</p>{credit}",
        data=data,
        script=(ASSETS / "page.js").read_text(encoding="utf-8"),
    )
