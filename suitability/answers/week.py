"""The sheet of a week at the station and at spots: its days as a table, every hour drawn."""

from __future__ import annotations

from datetime import datetime, timedelta
from typing import TYPE_CHECKING

from suitability.answers import words
from suitability.answers.curves import Along, Band, Curve, Curves, Role
from suitability.answers.head import sheet_of_places
from suitability.answers.sheet import Chart, Column, Level, On, Section, Table, build_table
from suitability.units import TemperatureUnit, shown_value

if TYPE_CHECKING:
    from collections.abc import Sequence

    from suitability.advice.week import SpotWeek, Week
    from suitability.answers.sheet import Sheet

    Hours = Sequence[float | None]

DAYS, DAY_HOURS = 7, 24


def week_sheet(week: Week, units: TemperatureUnit) -> Sheet:
    """What a week shows."""
    chart = Chart(
        name="week",
        title=headline(week, units),
        spec=week_curves(week, units),
        notes=("Broad line: the station. Band: the range of what is known of the spot.",),
    )
    days = f"{words.clean(week.place.name)}: lowest and highest hour of each day, {units.symbol}"
    return sheet_of_places(
        [week.place],
        [week.credit],
        title=f"A week from {words.day(week.first_day)}: station and spots",
        headline=headline(week, units),
        sections=[
            Section(name="days", title=days, blocks=(days_table(week, units),)),
            Section(
                name="hours",
                title="Hour by hour",
                level=Level.DETAIL,
                blocks=(chart, hours_table(week, units)),
                on=On.PAGE,
            ),
        ],
        asked=[("Week", f"from {words.day(week.first_day)}")],
    )


def _named(week: Week, station: str = "Station") -> list[tuple[str, Hours]]:
    """Station and spots, with their hours."""
    spots = [(words.clean(spot.name, 40), spot.temp_c) for spot in week.spots]
    return [(station, week.station_c), *spots]


def headline(week: Week, units: TemperatureUnit) -> str:
    """The lowest hour at the station and at each spot, in a sentence."""
    told = []
    for name, hours in _named(week, "the station"):
        known = [value for value in hours if value is not None]
        lowest = words.UNKNOWN
        if known:
            lowest = f"{shown_value(min(known), units):.1f} {units.symbol}"
        told.append(f"{lowest} at {name}")
    return f"Lowest hour of the week: {', '.join(told)}."


def days_table(week: Week, units: TemperatureUnit) -> Table:
    """One row a day: lowest and highest hour of station and spots."""

    def told(name: str, hours: Hours) -> Column[int]:
        return Column.of(
            name,
            lambda day: _range_of(hours[DAY_HOURS * day : DAY_HOURS * (day + 1)], units),
            wraps=True,
        )

    columns: list[Column[int]] = [
        Column.of("Day", lambda day: words.day(week.first_day + timedelta(days=day))),
        *(told(name, hours) for name, hours in _named(week)),
    ]
    return build_table("days", columns, range(DAYS))


def _range_of(hours: Hours, units: TemperatureUnit) -> str:
    known = [value for value in hours if value is not None]
    if not known:
        return words.UNKNOWN
    return f"{shown_value(min(known), units):.1f} to {shown_value(max(known), units):.1f}"


def hours_table(week: Week, units: TemperatureUnit) -> Table:
    """One row an hour, folded away until it is asked for."""
    moments = _moments(week)

    def told(name: str, hours: Hours) -> Column[int]:
        return Column.of(name, lambda hour: words.degrees(hours[hour], units), number=True)

    columns: list[Column[int]] = [
        Column.of("Hour, standard time", moments.__getitem__),
        *(told(name, hours) for name, hours in _named(week)),
    ]
    return build_table(
        "hours",
        columns,
        range(len(moments)),
        title=f"The hours as a table, {units.symbol}",
        stacked=False,
        folded=True,
    )


def _moments(week: Week) -> list[str]:
    """Every hour of standard time, as written."""
    first = datetime.fromisoformat(week.first_day.isoformat())
    hours = range(DAYS * DAY_HOURS)
    return [(first + timedelta(hours=hour)).strftime("%Y-%m-%d %H:%M") for hour in hours]


def week_curves(week: Week, units: TemperatureUnit) -> Curves:
    """Lines of spots and station; a band where a spot is known within a range."""
    moments = tuple(_moments(week))
    station = Curve(name="station", role=Role.STATION, x=moments, y=_column(week.station_c, units))
    return Curves(
        curves=(station, *(_spot_curve(spot, moments, units) for spot in week.spots)),
        upright=f"temperature, {units.symbol}",
        along="date, standard time",
        scale=Along.DATES,
        unit=units.symbol,
    )


def _spot_curve(spot: SpotWeek, moments: tuple[str, ...], units: TemperatureUnit) -> Curve:
    name = words.clean(spot.name, 40)
    band = None
    if spot.low_c:
        low, high = _column(spot.low_c, units), _column(spot.high_c, units)
        band = Band(name=f"{name}: range", low=low, high=high)
    return Curve(name=name, role=Role.SPOT, x=moments, y=_column(spot.temp_c, units), band=band)


def _column(values: Hours, units: TemperatureUnit) -> tuple[float | None, ...]:
    return tuple(None if value is None else round(shown_value(value, units), 2) for value in values)
