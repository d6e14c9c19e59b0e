"""Titles of charts: each states its finding in words."""

from __future__ import annotations

from typing import TYPE_CHECKING

from suitability.advice.verdicts import Verdict
from suitability.answers import words

if TYPE_CHECKING:
    from suitability.advice.result import CheckResult

__all__ = ["hours_title", "year_title"]


def year_title(result: CheckResult) -> str:
    """What the chart of the year finds, in a sentence."""
    place = words.clean(result.place.name, 80)
    if len(result.results) == 1:
        finding = result.results[0]
        name, verdict = words.clean(finding.group_name, 80), words.VERDICT_WORDS[finding.verdict]
        seasonal = finding.verdict is Verdict.SEASONAL
        when = f", {words.season(finding.season)}" if seasonal else ""
        return f"{name} at {place}: {verdict}{when}."
    counts = dict.fromkeys(Verdict, 0)
    for finding in result.results:
        counts[finding.verdict] += 1
    phrases = {
        Verdict.ALL_YEAR: "can stay outdoors all year",
        Verdict.SEASONAL: "for a season",
        Verdict.INDOOR: "must stay indoors",
        Verdict.NONE: "cannot be judged",
    }
    parts = [
        f"{counts[verdict]} {words_}" for verdict, words_ in phrases.items() if counts[verdict]
    ]
    cases = words.counted(
        [one.spot for one in result.results], plants=any(one.plant for one in result.results)
    )
    return f"Of {cases} at {place}: {', '.join(parts)}."


def hours_title(result: CheckResult) -> str:
    """What the chart of hours finds, in a sentence: the month with most hours below the floors."""
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
