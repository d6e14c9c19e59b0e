"""How well a record was observed: the calendar of its months, as a sheet and within a report."""

from __future__ import annotations

from typing import TYPE_CHECKING

from msgspec import Struct

from suitability.answers import words
from suitability.answers.head import weather_credit
from suitability.answers.sheet import (
    Chart,
    Column,
    Fact,
    Facts,
    Section,
    Sheet,
    Table,
    build_table,
    month_columns,
)
from suitability.brief import MONTHS
from suitability.weather.minima import say_miss
from suitability.weather.record import datetime_of_hour

if TYPE_CHECKING:
    from suitability.advice.report import MonthsObserved
    from suitability.weather.coverage import Coverage
    from suitability.weather.minima import MinimumMiss
    from suitability.weather.record import Record

KEY = (
    "Each number: per cent of the month's hours that were observed. Dark: 90 % and more, hours may "
    "be counted. Light and in brackets: too few for counts. Empty: none."
)


class ObservedMonth(Struct, frozen=True, kw_only=True):
    """
    What is known of one month.

    Attributes
    ----------
    observed, full : h
        Hours observed, and hours of the whole month.
    usable, complete
        Whether counts may use it (90 % observed), and whether a monthly value may be formed by the
        rule of the WMO.
    """

    observed: int
    full: int
    usable: bool
    complete: bool


class ObservedYear(Struct, frozen=True, kw_only=True):
    """The twelve months of one year of standard time."""

    year: int
    months: tuple[ObservedMonth, ...]


class MonthsCovered(Struct, frozen=True, kw_only=True):
    """
    What the calendar draws: years down, months across.

    Attributes
    ----------
    years
        A label each, the earliest first.
    shares : %, (year, month)
        Of the month's hours that were observed.
    cells, told : (year, month)
        What stands in a cell, and what is said of it in full, in lines.
    """

    years: tuple[str, ...]
    months: tuple[str, ...]
    shares: tuple[tuple[float, ...], ...]
    cells: tuple[tuple[str, ...], ...]
    told: tuple[tuple[tuple[str, ...], ...], ...]
    title_across: str


def observed_years(months: MonthsObserved) -> tuple[ObservedYear, ...]:
    """The calendar of a report."""
    rows = zip(months.observed, months.full, months.usable, months.complete, strict=True)
    return tuple(
        ObservedYear(
            year=months.first_year + at,
            months=tuple(
                ObservedMonth(observed=observed, full=full, usable=usable, complete=complete)
                for observed, full, usable, complete in zip(*row, strict=True)
            ),
        )
        for at, row in enumerate(rows)
    )


def years_of_coverage(coverage: Coverage) -> tuple[ObservedYear, ...]:
    """The calendar of a stored record."""
    rows = zip(
        coverage.years,
        coverage.observed.tolist(),
        coverage.full.tolist(),
        coverage.counts_usable.tolist(),
        coverage.wmo_complete.tolist(),
        strict=True,
    )
    return tuple(
        ObservedYear(
            year=year,
            months=tuple(
                ObservedMonth(observed=observed, full=full, usable=usable, complete=complete)
                for observed, full, usable, complete in zip(*row, strict=True)
            ),
        )
        for year, *row in rows
    )


def coverage_sheet(
    title: str,
    record: Record,
    coverage: Coverage,
    miss: MinimumMiss | None,
    *,
    offset_hours: float,
) -> Sheet:
    """
    What is said of a stored record.

    Parameters
    ----------
    title
        Name of the station or of the imported record.
    miss
        How its hourly readings compare with daily minima; None where they were not compared.
    offset_hours
        Of standard time from UTC.
    """
    years = years_of_coverage(coverage)
    found = coverage_title(title, years)
    return Sheet(
        title=words.clean(f"What was observed: {title}", 120),
        headline="",
        about=_about(record, miss, offset_hours),
        sections=(Section(name="observed", title=found, blocks=coverage_blocks(found, years)),),
        credit=weather_credit(record),
    )


def _about(record: Record, miss: MinimumMiss | None, offset_hours: float) -> Facts:
    """The record, its months and its licence."""
    first, last = datetime_of_hour(record.start_hour), datetime_of_hour(record.stop_hour - 1)
    origins = ", ".join(
        f"{count:,} {name}" for name, count in record.hours_by_origin().items() if count
    )
    step = f"a reading every {record.step_hours} h" if record.step_hours > 1 else "hourly"
    return Facts(
        rows=(
            Fact("Record", f"{first:%Y-%m-%d %H:%M} to {last:%Y-%m-%d %H:%M} UTC, {step}"),
            Fact("Hours", origins),
            Fact("Months", f"of standard time, UTC{offset_hours:+g} h"),
            Fact("Minima", "not compared with daily minima" if miss is None else say_miss(miss)),
            Fact("Source", words.clean(record.source) or "not said"),
            Fact("Licence", words.clean(record.licence) or "not said"),
        )
    )


def coverage_title(name: str, years: tuple[ObservedYear, ...]) -> str:
    """What the calendar finds, in a sentence."""
    months = [month for year in years for month in year.months]
    usable = sum(month.usable for month in months)
    complete = sum(month.complete for month in months)
    return (
        f"{words.clean(name, 60)}, {years[0].year} to {years[-1].year}: {usable} of {len(months)} "
        f"months are observed well enough to count hours, and {complete} to form monthly values "
        "(WMO-No. 1203)."
    )


def coverage_blocks(
    title: str, years: tuple[ObservedYear, ...], *, folded: bool = False
) -> tuple[Chart, Table]:
    """
    The calendar and its numbers.

    Parameters
    ----------
    title
        Its finding.
    folded
        Whether a page shows the numbers only when they are opened.
    """
    chart = Chart(name="coverage", title=title, spec=months_covered(years), notes=(KEY,))
    return chart, coverage_table(years, folded=folded)


def months_covered(years: tuple[ObservedYear, ...]) -> MonthsCovered:
    """What the calendar draws."""
    return MonthsCovered(
        years=tuple(str(year.year) for year in years),
        months=MONTHS,
        shares=tuple(
            tuple(round(100 * one.observed / one.full, 3) for one in year.months) for year in years
        ),
        cells=tuple(tuple(map(_share, year.months)) for year in years),
        told=tuple(
            tuple(
                _told(year.year, name, one) for name, one in zip(MONTHS, year.months, strict=True)
            )
            for year in years
        ),
        title_across="month, standard time",
    )


def _share(month: ObservedMonth) -> str:
    """Whole per cent of a month, in brackets where counts cannot use it; empty without any hour."""
    if not month.observed:
        return ""
    share = 100 * month.observed / month.full
    if month.observed < month.full:
        share = min(99.0, max(1.0, share))  # 0 and 100 only where they are exact
    return f"{share:.0f}" if month.usable else f"({share:.0f})"


def _told(year: int, name: str, month: ObservedMonth) -> tuple[str, ...]:
    """What the pointer over a month tells."""
    return (
        f"{name} {year}",
        f"{month.observed} of {month.full} h observed",
        f"hours may {'' if month.usable else 'not '}be counted",
        f"monthly value by WMO-No. 1203: {'yes' if month.complete else 'no'}",
    )


def coverage_table(years: tuple[ObservedYear, ...], *, folded: bool = False) -> Table:
    """The numbers behind the calendar, a row each year."""
    columns: list[Column[ObservedYear]] = [
        Column.field("Year", "year", str),
        *month_columns(lambda year, at: _share(year.months[at]) or "0"),
        Column.of(
            "Hours observed",
            lambda year: f"{sum(one.observed for one in year.months):,}",
            number=True,
        ),
        Column.of(
            "Months for counts",
            lambda year: f"{sum(one.usable for one in year.months)} of 12",
            number=True,
        ),
        Column.of(
            "Months by WMO",
            lambda year: f"{sum(one.complete for one in year.months)} of 12",
            number=True,
        ),
    ]
    return build_table(
        "coverage",
        columns,
        years,
        title="Per cent of each month's hours observed",
        stacked=False,
        folded=folded,
    )
