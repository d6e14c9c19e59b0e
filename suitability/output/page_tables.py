"""Tables of a page: the numbers behind its charts, escaped, with captions and named rows."""

from __future__ import annotations

import html
from typing import TYPE_CHECKING

from suitability.advice.verdicts import Verdict
from suitability.answers import words
from suitability.units import TemperatureUnit, show_difference, show_temperature

if TYPE_CHECKING:
    from collections.abc import Iterable, Sequence

    from suitability.advice.result import CheckResult, Finding

__all__ = ["hours_table", "html_table", "verdict_table"]


def verdict_table(result: CheckResult, units: TemperatureUnit) -> str:
    """The numbers behind the chart of the year."""
    header = (
        "Group", "Verdict", "Out", "In", "Days", "Survival season", "Years kept",
        "Margin", "Headroom", "Limited by",
    )  # fmt: skip
    rows = [_verdict_row(finding, result, units) for finding in result.results]
    table = html_table("Verdicts and dates", header, rows, numbers_from=len(header), stacked=True)
    explained = (
        "In: the day of carrying in, before sunset. Survival season: free of nights that harm, as "
        "often as was asked for. Margin: warming that would raise the verdict. Headroom: how "
        "much colder a spot may be for the same verdict, if with other dates."
    )
    notes = [explained]
    if any(finding.model_based for finding in result.results):
        notes.append(f"{_which(result, 'model_based')}: the years alone cannot carry the promise.")
    if any(finding.provisional for finding in result.results):
        notes.append(f"{_which(result, 'provisional')}: fewer than ten usable years.")
    if any(finding.borderline for finding in result.results):
        degree = show_difference(1.0, units)
        notes.append(f"Borderline: a spot {degree} colder or warmer has another verdict.")
    return table + f"\n<p>{html.escape(' '.join(notes))}</p>"


def _which(result: CheckResult, mark: str) -> str:
    """A mark that all verdicts have is said once, others stand in their rows."""
    word = mark.replace("_", "-")
    return f"All verdicts are {word}" if _all_are(result, mark) else word.capitalize()


def _all_are(result: CheckResult, mark: str) -> bool:
    """Whether every finding has a mark."""
    return all(getattr(finding, mark) for finding in result.results)


def _verdict_row(finding: Finding, result: CheckResult, units: TemperatureUnit) -> list[str]:
    """One group in words."""
    marks = [words.VERDICT_WORDS[finding.verdict]]
    if finding.borderline:
        marks.append("borderline")
    marks += [
        mark.replace("_", "-")
        for mark in ("provisional", "model_based")
        if getattr(finding, mark) and not _all_are(result, mark)
    ]
    indoors = finding.verdict is Verdict.INDOOR
    season = None if indoors else finding.season
    whole = season is not None and season.days >= 365
    margin, headroom = finding.margin_c, finding.headroom_c
    limits = words.causes(finding)
    if finding.verdict is Verdict.NONE:
        limits = words.clean(finding.reason.text, 400) if finding.reason else words.UNKNOWN
    return [
        words.finding_label(finding, result, key=False),
        ", ".join(marks),
        "" if season is None else "all year" if whole else words.day_month(season.out),
        "" if season is None or whole else words.day_month(season.inn),
        "" if season is None else str(season.days),
        words.season(finding.survival_season)
        if finding.verdict is not Verdict.NONE
        else words.UNKNOWN,
        "" if indoors else f"{finding.years_kept} of {finding.years_counted}",
        "" if margin is None else show_difference(margin, units),
        "" if headroom is None else show_difference(headroom, units),
        limits,
    ]


def hours_table(result: CheckResult, units: TemperatureUnit) -> str:
    """The numbers behind the chart of hours: mean and bad year."""
    header = ("Group", "Floor", "Year", *(month[:3] for month in words.MONTHS), "Sum")
    rows = []
    for finding in result.results:
        name = words.finding_label(finding, result, key=False)
        floor = show_temperature(finding.thresholds.floor_c, units)
        mean = map(words.hours, finding.hours_below.months)
        bad = map(words.hours, finding.hours_below_bad)
        rows.append([name, floor, "mean", *mean, words.hours(finding.hours_below.year)])
        rows.append([name, floor, "bad, one in ten", *bad, ""])
    return html_table("Hours below the growth floor", header, rows, numbers_from=3)


def html_table(
    caption: str,
    header: Sequence[str],
    rows: Iterable[Sequence[str]],
    *,
    numbers_from: int,
    stacked: bool = False,
) -> str:
    """
    A table with a caption and named rows, escaped; it scrolls by itself where it is too wide.

    Parameters
    ----------
    rows
        Texts; the first of each row names it.
    numbers_from
        Column from which cells are set to the right.
    stacked
        Whether a phone shows each row as a block of its own.
    """
    head = "".join(f'<th scope="col">{html.escape(text)}</th>' for text in header)
    names = [
        f' data-column="{html.escape(text, quote=True)}"' if stacked else "" for text in header
    ]
    body = []
    for first, *others in rows:
        cells = "".join(
            f"<td{names[at]}"
            f"{' class=number' if at >= numbers_from else ''}>{html.escape(text)}</td>"
            for at, text in enumerate(others, start=1)
        )
        body.append(f'<tr><th scope="row">{html.escape(first)}</th>{cells}</tr>')
    label = html.escape(caption, quote=True)
    lines = "\n".join(body)
    kind = " class=stacked" if stacked else ""
    return (
        f'<div class="wide" role="region" tabindex="0" aria-label="{label}">\n<table{kind}>\n'
        f"<caption>{html.escape(caption)}</caption>\n<thead><tr>{head}</tr></thead>\n"
        f"<tbody>\n{lines}\n</tbody>\n</table>\n</div>"
    )
