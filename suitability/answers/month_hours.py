"""Hours of one group by month: below its floors, and above its ceiling."""

from __future__ import annotations

from typing import TYPE_CHECKING

from msgspec import Struct

from suitability.answers import words
from suitability.answers.sheet import Chart, Column, Table, build_table, month_columns
from suitability.units import TemperatureUnit, show_temperature

if TYPE_CHECKING:
    from collections.abc import Sequence

    from suitability.advice.plant_year import HeatOutlook
    from suitability.advice.result import Finding

__all__ = [
    "MonthHours",
    "MonthSeries",
    "heat_chart",
    "heat_title",
    "hours_by_month",
    "months_chart",
    "months_title",
]

ACROSS = "month, standard time"
UP = "hours a month"


class MonthSeries(Struct, frozen=True, kw_only=True):
    """
    One number a month.

    Attributes
    ----------
    look
        `mean`, `bad`, `rest` or `heat`; `rest` is drawn as a level beside the bars of the others.
    name
        In a legend.
    hours
        Twelve, January first; None where unknown.
    """

    look: str
    name: str
    hours: tuple[float | None, ...]


class MonthHours(Struct, frozen=True, kw_only=True):
    """What is drawn: series beside each other, months across."""

    series: tuple[MonthSeries, ...]
    months: tuple[str, ...]
    title_across: str
    title_up: str


class _Line(Struct, frozen=True, kw_only=True):
    """A row of the table: what is counted, and twelve cells."""

    counted: str
    cells: tuple[str, ...]


def months_title(finding: Finding, units: TemperatureUnit) -> str:
    """The month with most hours below the growth floor, in the mean and in the bad year."""
    floor = show_temperature(finding.thresholds.floor_c, units)
    known = [
        (hours, -month)
        for month, hours in enumerate(finding.hours_below.months)
        if hours is not None
    ]
    if not known:
        return f"Hours below its floor of {floor}: no month was observed well enough."
    most, month = max(known)
    if most == 0.0:
        return f"No month of a mean year has an hour below its floor of {floor}."
    bad = finding.hours_below_bad[-month]
    beside = "" if bad is None else f", {words.hours(bad)} h in a bad one"
    return (
        f"{words.MONTHS[-month]} has the most hours below its floor of {floor}: "
        f"{words.hours(most)} h in a mean year{beside}."
    )


def months_chart(finding: Finding, name: str, title: str, units: TemperatureUnit) -> Chart:
    """Hours below the floors: the mean beside the bad year, and those below the rest floor."""
    rest, rest_floor_c = finding.hours_below_rest, finding.thresholds.rest_floor_c
    floor = show_temperature(finding.thresholds.floor_c, units)
    series = [
        _series("mean", f"mean year, below {floor}", finding.hours_below.months),
        _series("bad", f"bad year (one in ten), below {floor}", finding.hours_below_bad),
    ]
    if rest is not None and rest_floor_c is not None:
        told = f"mean year, below the rest floor of {show_temperature(rest_floor_c, units)}"
        series.append(_series("rest", told, rest.months))
    return Chart(name=name, title=title, spec=_drawn(series))


def heat_title(heat: HeatOutlook, units: TemperatureUnit) -> str:
    """Hours above the ceiling."""
    ceiling = show_temperature(heat.ceiling_c, units)
    where = "on the days spent out" if heat.spent_out else "were it out all year"
    return f"Above {ceiling}: {words.hours(heat.hours_mean)} h a year {where}."


def heat_chart(heat: HeatOutlook, name: str, title: str, units: TemperatureUnit) -> Chart:
    """Hours above the ceiling."""
    told = f"mean year, above {show_temperature(heat.ceiling_c, units)}"
    return Chart(name=name, title=title, spec=_drawn([_series("heat", told, heat.hours_by_month)]))


def _drawn(series: Sequence[MonthSeries]) -> MonthHours:
    return MonthHours(series=tuple(series), months=words.MONTHS, title_across=ACROSS, title_up=UP)


def _series(look: str, name: str, hours: Sequence[float | None]) -> MonthSeries:
    shown = tuple(None if value is None else round(value, 1) for value in hours)
    return MonthSeries(look=look, name=name, hours=shown)


def hours_by_month(finding: Finding, heat: HeatOutlook | None, units: TemperatureUnit) -> Table:
    """
    The numbers of both charts, a row each, and the years behind those below the floors.

    Parameters
    ----------
    heat
        None for a group without a ceiling.
    """
    rest, rest_floor_c = finding.hours_below_rest, finding.thresholds.rest_floor_c
    floor = show_temperature(finding.thresholds.floor_c, units)
    rows = [
        (f"below {floor}, mean year", finding.hours_below.months),
        (f"below {floor}, bad year", finding.hours_below_bad),
    ]
    if rest is not None and rest_floor_c is not None:
        at = show_temperature(rest_floor_c, units)
        rows.append((f"below rest floor {at}, mean year", rest.months))
    if heat is not None and any(heat.hours_by_month):
        ceiling = show_temperature(heat.ceiling_c, units)
        where = "" if heat.spent_out else ", were it out"
        rows.append((f"above {ceiling}, mean year{where}", heat.hours_by_month))
    lines = [
        *(_Line(counted=told, cells=tuple(map(words.hours, hours))) for told, hours in rows),
        _Line(
            counted="years behind the hours below", cells=tuple(map(str, finding.years_of_month))
        ),
    ]
    columns: list[Column[_Line]] = [
        Column.field("Hours a month", "counted", str),
        *month_columns(words.MONTHS, lambda line, at: line.cells[at]),
    ]
    return build_table("hours-by-month", columns, lines, title="Hours by month", stacked=False)
