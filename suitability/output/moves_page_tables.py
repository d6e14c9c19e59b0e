"""Tables of the page of moves: dates, chances, decades, years and temperatures, escaped."""

from __future__ import annotations

import html
from typing import TYPE_CHECKING

from suitability.advice.terms import Verdict
from suitability.output import moves_words, words
from suitability.output.evidence import MARKS
from suitability.output.page_tables import html_table
from suitability.output.threshold_words import (
    level_cells,
    threshold_notes,
    threshold_title,
    threshold_winters,
)
from suitability.output.year import DAYS

if TYPE_CHECKING:
    from suitability.advice.moves_result import Move, MovesResult, YearOutdoors
    from suitability.units import TemperatureUnit

__all__ = [
    "dates_table",
    "decades_table",
    "note",
    "odds_table",
    "threshold_tables",
    "years_table",
]


def note(*sentences: str) -> str:
    """Sentences as one paragraph."""
    return f"\n<p>{html.escape(' '.join(sentences))}</p>\n"


def dates_table(result: MovesResult) -> str:
    """Dates of all groups."""
    header = (
        "Group", "Verdict", "Out", "Out, 90% interval", "Out, typical", "In", "In, 90% interval",
        "In, typical", "Days", "Survival season",
    )  # fmt: skip
    rows = []
    for move in result.results:
        dates = [
            cell
            for date in (move.out, move.inn)
            for cell in (
                ("", "", "")
                if date is None
                else (
                    words.day_month(date.promised, short=True),
                    moves_words.interval(date),
                    moves_words.typical_date(date, move),
                )
            )
        ]
        rows.append(
            [
                moves_words.move_label(move, result, key=False),
                words.verdict_words(move.verdict, indoors=move.indoors),
                *dates,
                str(move.season.days) if move.season is not None and move.out is not None else "",
                ""
                if move.verdict is Verdict.NONE
                else words.season(move.survival_season, short=True),
            ]
        )
    return html_table(
        "Dates of all groups", header, rows, numbers_from=len(header), stacked=True
    ) + note(
        "Out: first day out, its first two weeks for hardening. In: day of carrying in, before "
        "sunset. 90% interval: of the promised date, were the years drawn anew. Typical: of half "
        "of the years; between it and the promised date go by the forecast.",
        f"{moves_words.ANY_DAY.capitalize()}: half of the years set no date on this side of the "
        "season. Survival season: free of nights that harm, whether the plant grows or not.",
    )


def odds_table(result: MovesResult) -> str:
    """How sure the dates of all groups are."""
    header = (
        "Group", "New year", "5 years", "10 years", "Kept", "95% range", "Out alone", "In alone",
        "Carried nights",
    )  # fmt: skip
    rows = [
        [moves_words.move_label(move, result, key=False), *_odds_cells(move)]
        for move in result.results
    ]
    table = html_table(
        "Chances and past years", header, rows, numbers_from=len(header), stacked=True
    )
    return table + note(
        f"New year: chance that one keeps the whole season ({result.settings.promise:.0%} "
        "asked for); 5 and 10 years: that all of them do. Kept: past years that kept it, of those "
        "that tell; 95% range: Wilson interval of their share. Alone: "
        f"{moves_words.ALONE}. Carried nights: typical/worst of a year, carried in for cold, were "
        "it out all year.",
        *dict.fromkeys(filter(None, map(moves_words.not_excluded, result.results))),
    )


def _odds_cells(move: Move) -> list[str]:
    """Chances, years and carried nights of one group; a season too short to use has no odds."""
    carried = moves_words.carried(move)
    if move.chance is None or move.verdict is Verdict.INDOOR:
        return [""] * 7 + [carried]
    return [
        moves_words.percent(move.chance),
        moves_words.percent(move.chance_5_years),
        moves_words.percent(move.chance_10_years),
        moves_words.kept(move),
        moves_words.kept_range(move),
        "" if move.out is None else moves_words.percent(move.out.holds_alone),
        "" if move.inn is None else moves_words.percent(move.inn.holds_alone),
        carried,
    ]


def decades_table(result: MovesResult) -> str:
    """The last ten years beside the earlier ones, and what weakens the promise."""
    header = ("Group", "Last ten years", "Earlier years", "Days a decade", "Trend", "Doubts")
    rows = []
    for move in result.results:
        decades = move.decades
        cells = ["", "", "", ""]
        if decades is not None and move.verdict is not Verdict.INDOOR:
            trend, p_value = moves_words.trend(decades)
            cells = [
                f"{decades.last_kept} of {decades.last_years}",
                f"{decades.earlier_kept} of {decades.earlier_years}"
                if decades.earlier_years
                else "none",
                moves_words.days_a_decade(decades),
                trend if decades.trend_p is None else f"{trend}, p {p_value}",
            ]
        name = moves_words.move_label(move, result, key=False)
        rows.append([name, *cells, moves_words.doubts(move)])
    table = html_table(
        "The last ten years and the trend", header, rows, numbers_from=len(header), stacked=True
    )
    return table + note(
        "Years that kept the season. Days a decade: drift of the length of the years' own seasons; "
        "p: how often chance alone drifts as much. Model: the years alone, without a model of "
        "years like them, cannot carry it. Provisional: fewer than ten usable years."
    )


def years_table(move: Move) -> str:
    """The numbers of the picture: each year's dates, and its nights by cause."""
    header = ("Year", "Kept", "Out", "In", "Days", "Hard", "Wet", "Dose", "Heat", "Not observed")
    head = "".join(f'<th scope="col">{text}</th>' for text in header)
    first = words.day_month(move.by_year[0].first_day)
    caption = f"Years from {first} on: dates that each allowed, unsafe nights by cause"
    body = "\n".join(_year_row(year) for year in move.by_year)
    return (
        f'<div class="wide" role="region" tabindex="0" aria-label="{caption}">\n'
        f"<table class=years>\n<caption>{caption}</caption>\n<thead><tr>{head}</tr></thead>\n"
        f"<tbody>\n{body}\n</tbody>\n</table>\n</div>"
    )


def _year_row(year: YearOutdoors) -> str:
    """One year; what it does not tell is left empty."""
    kept = {True: "yes", False: "no", None: ""}[year.kept]
    dates = ["", "", ""]
    if year.out is not None and year.inn is not None and year.days is not None:
        dates = [
            words.day_month(year.out, short=True),
            words.day_month(year.inn, short=True),
            str(year.days),
        ]
        if year.days == DAYS:
            dates = ["all year", "", str(DAYS)]
    cells = [kept, *dates, *(str(year.nights.count(letter)) for letter in MARKS)]
    label = moves_words.year_label(year.year, year.first_day)
    return f'<tr><th scope="row">{label}</th>{"".join(f"<td>{cell}</td>" for cell in cells)}</tr>'


def threshold_tables(result: MovesResult, units: TemperatureUnit) -> str:
    """Last spring and first autumn dates of the temperatures asked for."""
    header = (
        "Chance", "Last in spring, if it happens at all", "Last in spring, in any year",
        "First in autumn, if it happens at all", "First in autumn, in any year",
    )  # fmt: skip
    parts = []
    for dates in result.thresholds:
        title = threshold_title(dates, units)
        winters = threshold_winters(dates)
        if dates.seasons_with_event:
            rows = [list(level_cells(level)) for level in dates.levels]
            parts.append(
                html_table(title, header, rows, numbers_from=len(header), stacked=True)
                + note(winters)
            )
        else:
            parts.append(f"<h3>{html.escape(title)}</h3>{note(winters)}")
    return "".join(parts) + note(*threshold_notes())
