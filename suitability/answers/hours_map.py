"""Hours below each group's growth floor by month: what the chart shows, and its finding."""

from __future__ import annotations

from typing import TYPE_CHECKING

from msgspec import Struct

from suitability.answers import words
from suitability.answers.sheet import Chart
from suitability.answers.year_bars import row_labels
from suitability.units import TemperatureUnit, show_temperature

if TYPE_CHECKING:
    from suitability.advice.result import CheckResult, Finding

__all__ = ["NOTE", "HoursMap", "HoursRow", "MonthCell", "hours_chart", "hours_map", "hours_title"]

MONTH_HOURS = 744  # of the longest month: the end of the scale
QUARTER_HOURS = MONTH_HOURS // 4
NOTE = (
    "Each number: hours of a mean month that are colder than the group's growth floor. The darker, "
    f"the more hours; from half of the month on, dark. {words.UNKNOWN}: not observed well enough."
)


class MonthCell(Struct, frozen=True, kw_only=True):
    """One month of one group: its hours (None: not known), as written, and lines that tell all."""

    hours: float | None
    text: str
    told: tuple[str, ...]


class HoursRow(Struct, frozen=True, kw_only=True):
    """Twelve months of one group; no two labels of a chart are the same."""

    label: str
    months: tuple[MonthCell, ...]


class HoursMap(Struct, frozen=True, kw_only=True):
    """
    What the chart draws: rows from the top, months across.

    Attributes
    ----------
    marks
        Numbers of the scale, h, and their words; the last one is its end.
    """

    rows: tuple[HoursRow, ...]
    months: tuple[str, ...]
    title_across: str
    scale_title: str
    marks: tuple[tuple[int, str], ...]


def hours_chart(result: CheckResult, units: TemperatureUnit) -> Chart:
    """Hours below the floors in a mean month, with the bad year told beside them."""
    return Chart(
        name="hours", title=hours_title(result), spec=hours_map(result, units), notes=(NOTE,)
    )


def hours_title(result: CheckResult) -> str:
    """What is found, in a sentence: the month with most hours below the floors."""
    totals = []
    for month in range(12):
        known = [one.hours_below.months[month] for one in result.results]
        values = [value for value in known if value is not None]
        if values:
            totals.append((max(values), -month))
    if not totals:
        return "Hours below the growth floor: no month was observed well enough."
    most, month = max(totals)
    if most == 0.0:
        return "No group spends an hour below its growth floor in a mean year."
    return (
        f"{words.MONTHS[-month]} has the most hours below a growth floor: up to "
        f"{words.hours(most)} h in a mean year."
    )


def hours_map(result: CheckResult, units: TemperatureUnit) -> HoursMap:
    """What is drawn."""
    return HoursMap(
        rows=tuple(
            HoursRow(label=label, months=_months(finding, units))
            for label, finding in zip(row_labels(result), result.results, strict=True)
        ),
        months=words.MONTHS,
        title_across="month, standard time",
        scale_title=f"hours a month below the floor; {MONTH_HOURS} h: all of it",
        marks=tuple((hours, f"{hours} h") for hours in range(0, MONTH_HOURS + 1, QUARTER_HOURS)),
    )


def _months(finding: Finding, units: TemperatureUnit) -> tuple[MonthCell, ...]:
    """The months of one group."""
    name = words.full_name(finding)
    floor = show_temperature(finding.thresholds.floor_c, units)
    cells = []
    for month, mean, bad, years in zip(
        words.MONTHS,
        finding.hours_below.months,
        finding.hours_below_bad,
        finding.years_of_month,
        strict=True,
    ):
        told = (
            (f"{name}, {month}: not observed well enough",)
            if mean is None
            else (
                f"{name}, {month}",
                f"{words.hours(mean)} h below {floor} in a mean year",
                f"{words.hours(bad)} h in a bad year (one in ten)",
                f"from {years} years",
            )
        )
        cells.append(MonthCell(hours=mean, text=words.hours(mean), told=told))
    return tuple(cells)
