"""
The page of `moves --chart`: tables of all groups, and the evidence of each, drawn year by year.

All groups are on one page; with scripts a list chooses which one is drawn, without them all tables
stand below one another. The same result gives the same bytes.
"""

from __future__ import annotations

import html
from typing import TYPE_CHECKING

from suitability.output import moves_words, words
from suitability.output.evidence import BAND, MARKS, evidence_data
from suitability.output.look import INK, STATES
from suitability.output.moves_tables import level_cells, threshold_notes, threshold_title
from suitability.output.page import ASSETS, render_frame
from suitability.output.page_tables import html_table
from suitability.output.year import DAYS, MONTH_STARTS

if TYPE_CHECKING:
    from suitability.advice.moves import Move, MovesResult, YearOutdoors
    from suitability.units import TemperatureUnit

__all__ = ["render_moves_page"]


def render_moves_page(result: MovesResult, units: TemperatureUnit) -> str:
    """
    One self-contained page: it needs no network.

    Parameters
    ----------
    units
        In which temperatures are shown.
    """
    names = [f"group-{number}" for number in range(len(result.moves))]
    drawn = [
        {"id": name, **evidence_data(move)}
        for name, move in zip(names, result.moves, strict=True)
        if move.by_year
    ]
    sections = [
        _section("dates", moves_words.moves_title(result), _dates(result) + _odds(result)),
        _section("years", "Year by year", _evidence(result, names)),
    ]
    if result.thresholds:
        sections.append(
            _section("thresholds", "Dates of a temperature", _thresholds(result, units))
        )
    return render_frame(
        result,
        units,
        title=f"When to move plants at {result.place.name}",
        body="\n".join(sections),
        data={"groups": drawn, "months": list(words.MONTHS), "starts": list(MONTH_STARTS)},
        script=(ASSETS / "moves.js").read_text(encoding="utf-8"),
        more_style=_style(),
    )


def _section(name: str, heading: str, body: str) -> str:
    return (
        f'<section aria-labelledby="{name}-heading">\n<h2 id="{name}-heading">'
        f"{html.escape(heading)}</h2>\n{body}\n</section>"
    )


def _note(*sentences: str) -> str:
    return f"\n<p>{html.escape(' '.join(sentences))}</p>\n"


def _dates(result: MovesResult) -> str:
    """Dates of all groups."""
    header = (
        "Group", "Verdict", "Out", "Out, 90% interval", "Out, typical", "In", "In, 90% interval",
        "In, typical", "Days", "Outdoor season",
    )  # fmt: skip
    rows = []
    for move in result.moves:
        dates = [
            cell
            for date in (move.out, move.inn)
            for cell in (
                ("", "", "")
                if date is None
                else (
                    words.day_month(date.promised),
                    moves_words.interval(date),
                    moves_words.typical_date(date, move, short=False),
                )
            )
        ]
        rows.append(
            [
                moves_words.move_label(move, result, key=False),
                words.VERDICT_WORDS[move.verdict],
                *dates,
                str(move.season.days) if move.season is not None and move.out is not None else "",
                words.season(move.safe_season, short=True),
            ]
        )
    return html_table("When to move", header, rows, numbers_from=len(header), stacked=True) + _note(
        "Out: first day out, its first two weeks for hardening. In: day of carrying in, before "
        "sunset. 90% interval: of the promised date, were the years drawn anew. Typical: of half "
        "of the years; between it and the promised date go by the forecast.",
        f"{moves_words.ANY_DAY.capitalize()}: half of the years set no date on this side of the "
        "season. Outdoor season: free of nights that harm, whether the plant grows or not.",
    )


def _odds(result: MovesResult) -> str:
    """How sure the dates of all groups are."""
    header = (
        "Group", "New year", "5 years", "10 years", "Kept", "95% range", "Out alone", "In alone",
        "Carried nights", "Last ten years", "Earlier years", "Days a decade", "Trend", "Doubts",
    )  # fmt: skip
    rows = [
        [moves_words.move_label(move, result, key=False), *_odds_cells(move)]
        for move in result.moves
    ]
    return html_table(
        "How sure it is", header, rows, numbers_from=len(header), stacked=True
    ) + _note(
        f"New year: chance that one keeps the whole season ({result.settings.reliability:.0%} "
        "asked for); 5 and 10 years: that all of them do. 95% range: Wilson interval of the share "
        f"of years. Alone: {moves_words.ALONE}. Carried nights: typical/worst of a year, carried "
        "in for cold, were it out all year. Days a decade: drift of the length of the years' own "
        "seasons; p: how often chance alone drifts as much. Model: the years alone, without a "
        "model of years like them, cannot carry it. Provisional: fewer than ten usable years.",
        *dict.fromkeys(filter(None, map(moves_words.not_excluded, result.moves))),
    )


def _odds_cells(move: Move) -> list[str]:
    """Chances, years, carried nights, trend and doubts of one group."""
    if move.chance is None:
        return [""] * 7 + [moves_words.carried(move), "", "", "", "", ""]
    decades = move.decades
    drift = ["", "", "", ""]
    if decades is not None:
        trend, p_value = moves_words.trend(decades)
        drift = [
            f"{decades.last_kept} of {decades.last_years}",
            f"{decades.earlier_kept} of {decades.earlier_years}" if decades.earlier_years else "",
            moves_words.days_a_decade(decades),
            trend if decades.trend_p is None else f"{trend}, p {p_value}",
        ]
    return [
        moves_words.percent(move.chance),
        moves_words.percent(move.chance_5_years),
        moves_words.percent(move.chance_10_years),
        moves_words.kept(move),
        moves_words.kept_range(move),
        "" if move.out is None else moves_words.percent(move.out.holds_alone),
        "" if move.inn is None else moves_words.percent(move.inn.holds_alone),
        moves_words.carried(move),
        *drift,
        moves_words.doubts(move),
    ]


def _evidence(result: MovesResult, names: list[str]) -> str:
    """The chooser, the key, and a chart and table for each group."""
    options = "".join(
        f'<option value="{name}">{html.escape(moves_words.move_label(move, result, key=False))}'
        f" ({html.escape(words.VERDICT_WORDS[move.verdict])})</option>"
        for name, move in zip(names, result.moves, strict=True)
    )
    chooser = (
        f'<p class="chooser" hidden><label for="chosen">Group</label>'
        f'<select id="chosen">{options}</select></p>\n'
        if len(names) > 1
        else ""
    )
    groups = "\n".join(
        _group(name, move, result) for name, move in zip(names, result.moves, strict=True)
    )
    return chooser + _key() + groups


def _key() -> str:
    """What each mark means."""
    marks = [
        (f'<span class="swatch {mark.style}"></span>', moves_words.CAUSES[letter])
        for letter, mark in MARKS.items()
    ]
    marks += [
        ('<span class="swatch season"></span>', "promised season; dashed: too short to use"),
        ('<span class="swatch half"></span>', "typical date, of half of the years"),
        ('<span class="swatch own">▷ ◁</span>', "out and in that the year itself allowed"),
        ('<span class="swatch own">✓ ✗ ?</span>', "kept the season, did not, does not tell"),
    ]
    items = "".join(f"<li>{sign}{html.escape(text)}</li>" for sign, text in marks)
    dose = (
        "A night is marked by its gravest cause. A dose counts only from the 14th night outdoors, "
        "so that its marks may reach into the first 13 nights of a season that was kept."
    )
    return f'<ul class="key">{items}</ul>{_note(dose)}'


def _group(name: str, move: Move, result: MovesResult) -> str:
    """Heading, chart and table of one group."""
    heading = html.escape(moves_words.evidence_title(move, result))
    if not move.by_year:
        body = "<p>No night of the record was observed: there is no year to draw.</p>"
    else:
        label = html.escape(f"Chart: {moves_words.evidence_title(move, result)}", quote=True)
        body = (
            f'<div class="chart" id="{name}-chart" role="img" aria-label="{label} '
            'The table below holds the same numbers."></div>\n' + _years(move)
        )
    return (
        f'<section class="evidence" id="{name}" aria-labelledby="{name}-heading">\n'
        f'<h3 id="{name}-heading">{heading}</h3>\n{body}\n</section>'
    )


def _years(move: Move) -> str:
    """The numbers of the picture: each year's dates, and its nights by cause."""
    header = ("Year", "Kept", "Out", "In", "Days", "Hard", "Wet", "Dose", "Heat", "Not observed")
    head = "".join(f'<th scope="col">{text}</th>' for text in header)
    first = words.day_month(move.by_year[0].first_day)
    caption = f"What each year allowed, and its unsafe nights by cause; rows begin on {first}"
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


def _thresholds(result: MovesResult, units: TemperatureUnit) -> str:
    """Last spring and first autumn dates of the temperatures asked for."""
    header = (
        "Chance", "Last in spring, if it happens at all", "Last in spring, in any year",
        "First in autumn, if it happens at all", "First in autumn, in any year",
    )  # fmt: skip
    parts = []
    for dates in result.thresholds:
        title = threshold_title(dates, units)
        winters = moves_words.threshold_winters(dates)
        if dates.seasons_with_event:
            rows = [list(level_cells(level)) for level in dates.levels]
            parts.append(
                html_table(title, header, rows, numbers_from=len(header), stacked=True)
                + _note(winters)
            )
        else:
            parts.append(f"<h3>{html.escape(title)}</h3>{_note(winters)}")
    return "".join(parts) + _note(*threshold_notes())


def _style() -> str:
    """The style of this page, colours from the common look."""
    text = (ASSETS / "moves.css").read_text(encoding="utf-8")
    tokens = {letter: mark.fill for letter, mark in MARKS.items()}
    tokens |= {"INK": INK, "band": BAND, "outdoors": STATES["outdoors"].fill}
    tokens["unknown-hatch"] = STATES["unknown"].hatch_colour
    for name, value in tokens.items():
        text = text.replace(f"@{name}@", value)
    return text
