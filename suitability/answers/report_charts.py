"""Charts of one group in the report: its weeks, its hours by month, its nights."""

from __future__ import annotations

from functools import lru_cache
from typing import TYPE_CHECKING

from msgspec import Struct

from suitability.advice.growth_year import GrowthYear, Phase
from suitability.advice.terms import Verdict
from suitability.answers import phases, words
from suitability.answers.moves_charts import column_of
from suitability.answers.sheet import Chart, Column, Table, build_table, month_columns
from suitability.answers.words import DAYS
from suitability.answers.year import care_columns
from suitability.answers.year_charts import ACROSS, WeekTrack, phase_tracks, standing_tracks
from suitability.brief import MONTHS
from suitability.units import (
    TemperatureUnit,
    fahrenheit_from_celsius,
    show_difference,
    show_temperature,
)

if TYPE_CHECKING:
    from collections.abc import Sequence

    from suitability.advice.plant_year import HeatOutlook
    from suitability.advice.report import NightCourse
    from suitability.advice.result import Finding


class GroupWeeks(Struct, frozen=True, kw_only=True):
    """What is drawn: phases by weeks, and where the plant stands by days, each in one row."""

    phases: tuple[WeekTrack, ...]
    standing: tuple[WeekTrack, ...]
    months: tuple[str, ...]
    title_across: str


def weeks_heading(year: GrowthYear, finding: Finding) -> str:
    """Where it stands, and when it grows and rests."""
    if not year.runs:
        return f"No calendar of its year: {phases.withheld(year)}"
    parts = [_stands(year, finding)]
    for phase, verb in ((Phase.GROWING, "grows"), (Phase.RESTING, "rests")):
        runs = [run for run in year.runs if run.phase is phase]
        if runs:
            told = " and ".join(phases.run_dates(run, short=False) for run in runs)
            parts.append(f"{verb} {told}")
    return "; ".join(parts) + "."


def _stands(year: GrowthYear, finding: Finding) -> str:
    """Where it stands through the year, by its verdict."""
    out, inn = ("In this room", "Not in this room") if year.indoors else ("Outdoors", "Indoors")
    if finding.verdict is Verdict.ALL_YEAR:
        return f"{out} all year"
    if finding.verdict is not Verdict.SEASONAL:
        return f"{inn} all year"
    if finding.season is not None and finding.season.days >= DAYS:
        return f"{out}: {words.nothing_asks_in(finding.verdict)}"
    return f"{out} {words.season(finding.season)}"


def group_weeks_chart(year: GrowthYear, name: str, title: str) -> Chart:
    """The chart of one group that has a calendar."""
    return Chart(
        name=name,
        title=title,
        spec=GroupWeeks(
            phases=phase_tracks((year,), named=False),
            standing=standing_tracks((year,)),
            months=MONTHS,
            title_across=ACROSS,
        ),
    )


def care_table(year: GrowthYear) -> Table:
    """Water and feed of each phase, a row each."""
    return build_table("care", care_columns(), year.runs, title="Water and feed")


OF_MONTHS = "month, standard time"
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
        f"{MONTHS[-month]} has the most hours below its floor of {floor}: "
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
    return MonthHours(series=tuple(series), months=MONTHS, title_across=OF_MONTHS, title_up=UP)


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
        *month_columns(lambda line, at: line.cells[at]),
    ]
    return build_table("hours-by-month", columns, lines, title="Hours by month", stacked=False)


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
            months=MONTHS,
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
        for month, count in zip(MONTHS, MONTH_DAYS, strict=True)
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
