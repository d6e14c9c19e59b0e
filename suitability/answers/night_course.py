"""The nights of a year at a spot beside the thresholds of a group."""

from __future__ import annotations

from functools import lru_cache
from typing import TYPE_CHECKING

from msgspec import Struct

from suitability.advice.verdicts import Verdict
from suitability.answers import words
from suitability.answers.past_years import column_of
from suitability.answers.sheet import Chart, Column, Table, build_table
from suitability.answers.words import DAYS
from suitability.units import (
    TemperatureUnit,
    fahrenheit_from_celsius,
    show_difference,
    show_temperature,
)

if TYPE_CHECKING:
    from suitability.advice.report import NightCourse
    from suitability.advice.result import Finding

__all__ = [
    "NightLevel",
    "NightLine",
    "NightsOfYear",
    "nights_chart",
    "nights_table",
    "nights_title",
]

MONTH_DAYS = (31, 28, 31, 30, 31, 30, 31, 31, 30, 31, 30, 31)


class NightLine(Struct, frozen=True, kw_only=True):
    """A line over the nights of a year: its name in a legend, 365 values; None: not observed."""

    name: str
    values: tuple[float | None, ...]


class NightLevel(Struct, frozen=True, kw_only=True):
    """
    A threshold, drawn across.

    Attributes
    ----------
    look
        `floor`, `rest`, `chill`, `wet` or `dry`.
    text
        At its end.
    """

    look: str
    value: float
    text: str


class NightsOfYear(Struct, frozen=True, kw_only=True):
    """
    What is drawn: values in the reader's unit, days from 1 January.

    Attributes
    ----------
    low, high
        Ends of the band that holds eight of ten nights; the name of `low` is that of the band.
    levels
        The highest first.
    season
        First day out and number of days, shaded; None: no shade.
    told
        What is said of one night: `{day}`, `{low}`, `{middle}`, `{high}`, `{lowest}` stand for its
        day and values.
    """

    lowest: NightLine
    low: NightLine
    middle: NightLine
    high: NightLine
    levels: tuple[NightLevel, ...]
    season: tuple[int, int] | None
    told: str
    months: tuple[str, ...]
    title_across: str
    title_up: str


class _Day(Struct, frozen=True, kw_only=True):
    """A row of the table, °C."""

    day: str
    lowest_c: float | None
    low_c: float | None
    middle_c: float | None
    high_c: float | None


def nights_title(course: NightCourse, finding: Finding, units: TemperatureUnit) -> str:
    """Days on which the usual night is below the floor, and the coldest night beside the limit."""
    usual = [value for value in course.middle_c if value is not None]
    lowest = [value for value in course.lowest_c if value is not None]
    if len(usual) < DAYS or not lowest:
        return "Nights over the year: not every day of the year was observed."
    floor = show_temperature(finding.thresholds.floor_c, units)
    below = sum(value < finding.thresholds.floor_c for value in usual)
    when = {0: "on no day of the year", DAYS: "all year"}.get(
        below, f"on {below} days of the year" if below > 1 else "on one day of the year"
    )
    coldest, limit = min(lowest), show_temperature(finding.thresholds.limit_c, units)
    apart = show_difference(abs(coldest - finding.thresholds.limit_c), units)
    side = "below" if coldest < finding.thresholds.limit_c else "above"
    gap = (
        f"{apart} {side} its dry limit of {limit}"
        if apart[:3] != "0.0"
        else f"at its dry limit of {limit}"
    )
    return (
        f"The usual night is below its floor of {floor} {when}; the coldest on record, "
        f"{show_temperature(coldest, units)}, is {gap}."
    )


def nights_chart(
    course: NightCourse, finding: Finding, name: str, title: str, units: TemperatureUnit
) -> Chart:
    """Night minima over the year with their band, the thresholds of the group, and its season."""
    lowest, low, middle, high = _lines(course, units)
    return Chart(
        name=name,
        title=title,
        spec=NightsOfYear(
            lowest=lowest,
            low=low,
            middle=middle,
            high=high,
            levels=_levels(finding, units),
            season=_season(finding),
            told=(
                f"{{day}}: usually {{middle}} {units.symbol}\neight of ten nights {{low}} to "
                "{high}\nlowest on record {lowest}"
            ),
            months=words.MONTHS,
            title_across="night of the year, standard time",
            title_up=f"night minimum, {units.symbol}",
        ),
    )


@lru_cache(maxsize=16)  # every group of a spot is drawn over the same nights
def _lines(
    course: NightCourse, units: TemperatureUnit
) -> tuple[NightLine, NightLine, NightLine, NightLine]:
    """Lowest, low, middle and high minima in the reader's unit."""

    def line(name: str, values_c: tuple[float | None, ...]) -> NightLine:
        values = tuple(None if value is None else in_unit(value, units) for value in values_c)
        return NightLine(name=name, values=values)

    return (
        line("lowest on record", course.lowest_c),
        line("eight of ten nights", course.low_c),
        line("usual night minimum", course.middle_c),
        line("", course.high_c),
    )


def in_unit(value_c: float, units: TemperatureUnit) -> float:
    """A temperature in the reader's unit, to a tenth."""
    return round(value_c if units is TemperatureUnit.C else fahrenheit_from_celsius(value_c), 1)


def _levels(finding: Finding, units: TemperatureUnit) -> tuple[NightLevel, ...]:
    """Thresholds of the group, highest first."""
    asked = finding.thresholds
    levels = [("floor", "floor", asked.floor_c)]
    if asked.rest_floor_c is not None:
        levels.append(("rest", "rest floor", asked.rest_floor_c))
    levels += [
        ("chill", "chill base", asked.chill_base_c),
        ("wet", "wet limit", asked.limit_wet_c),
        ("dry", "dry limit", asked.limit_c),
    ]
    levels.sort(key=lambda level: -level[2])
    return tuple(
        NightLevel(look=look, value=value, text=f"{word} {value:g} {units.symbol}")
        for look, word, value_c in levels
        for value in (in_unit(value_c, units),)
    )


def _season(finding: Finding) -> tuple[int, int] | None:
    """First day out, counted from 1 January, and days."""
    season = finding.season
    if finding.verdict is not Verdict.SEASONAL or season is None or season.days >= DAYS:
        return None
    return column_of(season.out, "01-01"), season.days


def nights_table(course: NightCourse, units: TemperatureUnit, title: str) -> Table:
    """
    Night minima of each day of the year.

    Parameters
    ----------
    title
        What opens it.
    """

    def number(value_c: float | None) -> str:
        if value_c is None:
            return words.UNKNOWN
        return show_temperature(value_c, units).removesuffix(f" {units.symbol}")

    days = [
        f"{day} {month[:3]}"
        for month, count in zip(words.MONTHS, MONTH_DAYS, strict=True)
        for day in range(1, count + 1)
    ]
    rows = [
        _Day(
            day=day,
            lowest_c=course.lowest_c[at],
            low_c=course.low_c[at],
            middle_c=course.middle_c[at],
            high_c=course.high_c[at],
        )
        for at, day in enumerate(days)
    ]
    columns: list[Column[_Day]] = [
        Column.field("Day", "day", str),
        Column.field("Lowest on record", "lowest_c", number, number=True),
        Column.field("One of ten below", "low_c", number, number=True),
        Column.field("Usual", "middle_c", number, number=True),
        Column.field("One of ten above", "high_c", number, number=True),
    ]
    return build_table(
        "nights",
        columns,
        rows,
        title=f"{title}, {units.symbol}, lowered as verdicts take them",
        stacked=False,
        folded=True,
    )
