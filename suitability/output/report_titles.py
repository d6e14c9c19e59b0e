"""Titles of the charts of a report: each states its finding in a sentence."""

from __future__ import annotations

from typing import TYPE_CHECKING

from suitability.advice.growth_year import Phase
from suitability.advice.verdicts import Verdict
from suitability.answers import dates, words
from suitability.output import weeks_words
from suitability.output.year import DAYS
from suitability.units import TemperatureUnit, show_difference, show_temperature

if TYPE_CHECKING:
    from suitability.advice.growth_year import GrowthYear
    from suitability.advice.moves_result import Move
    from suitability.advice.plant_year import HeatOutlook
    from suitability.advice.report import NightCourse
    from suitability.advice.result import Finding

__all__ = [
    "dates_title",
    "evidence_heading",
    "heat_title",
    "months_title",
    "nights_title",
    "weeks_heading",
]


def weeks_heading(year: GrowthYear, finding: Finding) -> str:
    """Where it stands, and when it grows and rests."""
    if not year.runs:
        return f"No calendar of its year: {weeks_words.withheld(year)}"
    out, inn = ("In this room", "Not in this room") if year.indoors else ("Outdoors", "Indoors")
    stands = {
        Verdict.ALL_YEAR: f"{out} all year",
        Verdict.SEASONAL: f"{out} {words.season(finding.season)}",
    }.get(finding.verdict, f"{inn} all year")
    parts = [stands]
    for phase, verb in ((Phase.GROWING, "grows"), (Phase.RESTING, "rests")):
        runs = [run for run in year.runs if run.phase is phase]
        if runs:
            dates = " and ".join(weeks_words.run_dates(run, short=False) for run in runs)
            parts.append(f"{verb} {dates}")
    return "; ".join(parts) + "."


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


def evidence_heading(move: Move) -> str:
    """What became of the season in past years."""
    if move.verdict is Verdict.NONE:
        return "Past years night by night: too few of them tell for a verdict."
    if move.season is None or move.verdict is Verdict.INDOOR:
        return "Past years night by night: no stretch of 70 days keeps the promise."
    kept = dates.kept(move)
    expected = dates.percent(move.chance)
    return f"{kept} past years kept the season; {expected} of new years are expected to."


def dates_title(move: Move) -> str:
    """The promised dates, and those of half of the years."""
    out, inn = move.out, move.inn
    if out is None or inn is None:
        return "No dates of moving."
    typical = [dates.typical_date(date, move, short=False) for date in (out, inn)]
    return (
        f"Out from {words.day_month(out.promised)}, in by {words.day_month(inn.promised)}; half of "
        f"the years allow {typical[0]} and {typical[1]}."
    )


def heat_title(heat: HeatOutlook, units: TemperatureUnit) -> str:
    """Hours above the ceiling."""
    ceiling = show_temperature(heat.ceiling_c, units)
    where = "on the days spent out" if heat.spent_out else "were it out all year"
    return f"Above {ceiling}: {words.hours(heat.hours_mean)} h a year {where}."
