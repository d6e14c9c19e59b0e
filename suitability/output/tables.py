"""
Tables for the terminal: they read well at 80 columns, without colour and through a pipe.

Lines are plain ASCII, meaning is in words, colour only helps. Nothing is computed here beyond the
sum and the largest of twelve months.
"""

from __future__ import annotations

from typing import TYPE_CHECKING

from suitability.advice.terms import Flowers
from suitability.advice.verdicts import Verdict
from suitability.answers import words
from suitability.answers.head import head_rows
from suitability.output.details import add_details
from suitability.output.plain import (
    month_table,
    open_console,
    plain_table,
    printed_text,
)
from suitability.output.spot_words import range_sentences, spot_decides, spot_sentences
from suitability.units import TemperatureUnit, show_difference, show_temperature

if TYPE_CHECKING:
    from collections.abc import Sequence

    from rich.console import Console

    from suitability.advice.result import CheckResult, Finding
    from suitability.answers.head import Answer

__all__ = ["print_closing", "print_head", "render_check", "render_worst"]

WIDE = 118  # columns from which the verdict table holds hours and months of what limits
LONGEST_REASON = 400  # characters
DETAILED = 3  # groups up to which every one is described in full
FLOWER_SENTENCES = {  # of groups whose rest stands against flowers
    Flowers.HARDLY: "Will hardly flower here, for want of a cool rest outdoors",
    Flowers.AFTER_COOL_ROOM: "Will hardly flower unless the room of their winter is cool",
}
STYLES = {
    Verdict.ALL_YEAR: "bold green",
    Verdict.SEASONAL: "cyan",
    Verdict.INDOOR: "magenta",
    Verdict.NONE: "dim",
}


def render_check(result: CheckResult, *, units: TemperatureUnit, width: int, colour: bool) -> str:
    """
    The whole answer as text: the record, verdicts, hours below the floors, details of few groups.

    Parameters
    ----------
    units
        In which temperatures are shown.
    width : columns
    colour
        Whether escape codes for colour may be used.
    """
    console = open_console(width, colour=colour)
    print_head(console, result, units)
    spots = list(dict.fromkeys(finding.spot for finding in result.results))
    for spot in spots:
        findings = [finding for finding in result.results if finding.spot == spot]
        where = f" at the spot {words.clean(spot, 40)}" if len(spots) > 1 else ""
        _print_verdicts(console, findings, where, units, spot_sentences(result, spot, units))
        _print_hours(console, findings, where, units)
        if len(findings) <= DETAILED:
            profiles = {(one.spot, one.group, one.plant): one for one in result.profiles}
            for finding in findings:
                profile = profiles.get((spot, finding.group, finding.plant))
                add_details(console, finding, units, profile)
    print_closing(console, result)
    return printed_text(console)


def render_worst(result: CheckResult, *, units: TemperatureUnit, width: int, colour: bool) -> str:
    """
    The worst nights and fortnights of each group as text.

    Parameters are those of `render_check`.
    """
    console = open_console(width, colour=colour)
    for finding in result.results:
        _print_worst(console, finding, words.finding_label(finding, result), units)
    return printed_text(console)


def print_head(console: Console, result: Answer, units: TemperatureUnit) -> None:
    """Place and record."""
    from rich.table import Table  # noqa: PLC0415
    from rich.text import Text  # noqa: PLC0415

    if result.place.invented:
        console.print(Text(words.INVENTED, style="bold yellow"))
    grid = Table.grid(padding=(0, 2, 0, 0))
    grid.add_column(style="dim", no_wrap=True)
    grid.add_column(overflow="fold")
    for label, text in head_rows(result, units):
        grid.add_row(label, Text(text))
    console.print(grid)
    console.print()


def _print_verdicts(
    console: Console,
    findings: Sequence[Finding],
    where: str,
    units: TemperatureUnit,
    about_spot: Sequence[str],
) -> None:
    """One line a group: verdict, season, years, margin, what limits it; then about the spot."""
    from rich.text import Text  # noqa: PLC0415

    wide = console.width >= WIDE
    table = plain_table(f"Verdicts{where}", gap=2 if wide else 1)
    table.add_column("Group", no_wrap=True, overflow="ellipsis", max_width=24 if wide else 18)
    table.add_column("Verdict", no_wrap=True)
    table.add_column("Out to in", no_wrap=True)
    table.add_column("Days", justify="right", no_wrap=True)
    if wide:
        table.add_column("Most h below", justify="right", no_wrap=True)
        table.add_column("h a year", justify="right", no_wrap=True)
    table.add_column("Kept", no_wrap=True)
    table.add_column("Margin", justify="right", no_wrap=True)
    table.add_column("Limited by", overflow="fold")
    all_provisional = all(finding.provisional for finding in findings)
    for finding in findings:
        cells = [
            words.short_name(finding),
            _verdict_cell(finding, wide=wide, provisional=not all_provisional),
            _season_cell(finding),
            _days_cell(finding),
            *([_worst_month(finding), words.hours(finding.hours_below.year)] if wide else []),
            _kept_cell(finding),
            _margin_cell(finding, units),
            words.causes(finding, 2) if wide else words.short_causes(finding),
        ]
        style = STYLES[finding.verdict]
        texts = [Text(cell, style=style if at == 1 else "") for at, cell in enumerate(cells)]
        table.add_row(*texts)
    console.print(table)
    for sentence in [*_below_verdicts(findings, units, wide=wide), *about_spot]:
        console.print(Text(sentence))
    console.print()


def _verdict_cell(finding: Finding, *, wide: bool, provisional: bool) -> str:
    """The verdict, with what weakens it."""
    verdict = (words.VERDICT_WORDS if wide else words.SHORT_VERDICTS)[finding.verdict]
    marks = [verdict]
    if finding.provisional and provisional:
        marks.append("provisional")
    if finding.borderline:
        marks.append("borderline")
    if spot_decides(finding):
        marks.append("spot decides")
    return (", " if wide else "\n").join(marks)


def _season_cell(finding: Finding) -> str:
    """Dates of the season where the verdict allows one."""
    if finding.verdict is Verdict.NONE:
        return words.UNKNOWN
    return "-" if finding.verdict is Verdict.INDOOR else words.season(finding.season, short=True)


def _days_cell(finding: Finding) -> str:
    """Length of the season where the verdict allows one."""
    if finding.verdict is Verdict.NONE:
        return words.UNKNOWN
    if finding.verdict is Verdict.INDOOR or finding.season is None:
        return "0"
    return str(finding.season.days)


def _kept_cell(finding: Finding) -> str:
    """Years that kept the season, of those that speak for it."""
    if finding.verdict is Verdict.NONE:
        return words.UNKNOWN
    if finding.verdict is Verdict.INDOOR:
        return "-"  # there is no season that could be kept
    return f"{finding.years_kept} of {finding.years_counted}"


def _margin_cell(finding: Finding, units: TemperatureUnit) -> str:
    """Least warming that raises the verdict."""
    if finding.margin_c is None:
        return "-"
    return "+" + show_difference(finding.margin_c, units).removesuffix(f" {units.symbol}")


def _worst_month(finding: Finding) -> str:
    """The month with most hours below the floor."""
    known = [
        (hours, month)
        for hours, month in zip(finding.hours_below.months, words.MONTHS, strict=True)
        if hours is not None
    ]
    if not known:
        return words.UNKNOWN
    hours, month = max(known, key=lambda pair: pair[0])
    return f"{words.hours(hours)} {month[:3]}"


def _below_verdicts(
    findings: Sequence[Finding], units: TemperatureUnit, *, wide: bool
) -> list[str]:
    """Sentences that explain the table just above."""
    out_to_in = (
        "Out to in: first day out; day carried in before sunset. Kept: years that kept it, of "
        f"those that tell. Margin: warming in {units.symbol} that would raise the verdict."
    )
    sentences = [out_to_in]
    if not wide and any(finding.limiting for finding in findings):
        sentences.append(f"Limited by (most months first): {words.cause_key(findings)}.")
    sentences += words.mark_sentences(findings, units)
    for flowers, told in FLOWER_SENTENCES.items():
        named = [words.short_name(finding) for finding in findings if finding.flowers is flowers]
        if named:
            sentences.append(f"{told}: {', '.join(named)}.")
    sentences += range_sentences(findings)
    by_text: dict[str, list[str]] = {}
    for finding in findings:
        if finding.verdict is Verdict.NONE and finding.reason is not None:
            by_text.setdefault(finding.reason.text, []).append(words.short_name(finding))
    for text, groups in by_text.items():
        more = f" and {len(groups) - 2} more" if len(groups) > 2 else ""
        told = words.clean(text, LONGEST_REASON)
        sentences.append(f"No verdict for {', '.join(groups[:2])}{more}: {told}")
    return sentences


def _print_hours(
    console: Console, findings: Sequence[Finding], where: str, units: TemperatureUnit
) -> None:
    """Hours below the growth floor: months across, groups down."""
    from rich.text import Text  # noqa: PLC0415

    table = month_table(f"Hours below the growth floor in a mean month{where}", "Floor")
    for finding in findings:
        floor = show_temperature(finding.thresholds.floor_c, units, 1).removesuffix(
            f" {units.symbol}"
        )
        cells = [
            words.short_name(finding),
            floor,
            *(words.hours(hours) for hours in finding.hours_below.months),
            words.hours(finding.hours_below.year),
        ]
        table.add_row(*map(Text, cells))
    console.print(table)
    unknown = any(hours is None for finding in findings for hours in finding.hours_below.months)
    note = f" {words.UNKNOWN}: not observed well enough." if unknown else ""
    console.print(Text(f"Floor in {units.symbol}. Hours exactly at the floor do not count.{note}"))
    console.print()


def _print_worst(console: Console, finding: Finding, label: str, units: TemperatureUnit) -> None:
    """The coldest nights and the heaviest fortnights of one group."""
    from rich.text import Text  # noqa: PLC0415

    nights = plain_table(f"{label}: coldest nights on record")
    nights.add_column("Night of", no_wrap=True)
    nights.add_column("Lowest reading", justify="right")
    nights.add_column("Below the limit by", justify="right")
    for night in finding.worst_nights:
        below = show_difference(night.below_limit_c, units) if night.below_limit_c else "not below"
        lowest = show_temperature(night.minimum_c, units)
        nights.add_row(Text(words.day(night.evening)), Text(lowest), Text(below))
    fortnights = plain_table(f"{label}: heaviest cold over 14 nights")
    fortnights.add_column("14 nights up to that of", no_wrap=True)
    fortnights.add_column("Dose", justify="right")
    fortnights.add_column("Lowest reading", justify="right")
    for fortnight in finding.worst_fortnights:
        fortnights.add_row(
            Text(words.day(fortnight.last_evening)),
            Text(show_difference(fortnight.dose_c_h, units, 0) + "·h"),
            Text(show_temperature(fortnight.lowest_c, units)),
        )
    for table in (nights, fortnights):
        if table.row_count:
            console.print(table)
            console.print()
    if not nights.row_count and not fortnights.row_count:
        console.print(Text(f"{label}: no nights are listed."))
    else:
        base = show_temperature(finding.thresholds.chill_base_c, units)
        limit = show_difference(finding.thresholds.dose_limit_c_h, units, 0)
        console.print(
            Text(
                f"Below the limit: with the allowance for what hourly readings miss. Dose: degree-"
                f"hours below {base}; more than {limit}·h is unsafe."
            )
        )
        console.print()


def print_closing(console: Console, result: Answer) -> None:
    """What the answer is worth."""
    from rich.text import Text  # noqa: PLC0415

    console.print(Text(words.CAUTIONS))
    if result.place.invented:
        console.print(Text(words.INVENTED, style="bold yellow"))
