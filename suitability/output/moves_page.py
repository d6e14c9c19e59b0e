"""
The page of `moves --chart`: tables of all groups, and the evidence of each, drawn year by year.

All groups are on one page; with scripts a list chooses which one is drawn, without them all tables
stand below one another. The same result gives the same bytes.
"""

from __future__ import annotations

import html
from typing import TYPE_CHECKING

from suitability.output import moves_words, words
from suitability.output.evidence import BAND, HATCH, MARKS, evidence_data, frame_traces
from suitability.output.look import INK, STATES
from suitability.output.moves_page_tables import (
    dates_table,
    decades_table,
    note,
    odds_table,
    threshold_tables,
    years_table,
)
from suitability.output.page import ASSETS, render_frame
from suitability.output.year import MONTH_STARTS

if TYPE_CHECKING:
    from suitability.advice.moves_result import Move, MovesResult
    from suitability.units import TemperatureUnit

__all__ = ["evidence_key", "evidence_style", "render_moves_page"]


def render_moves_page(result: MovesResult, units: TemperatureUnit) -> str:
    """
    One self-contained page: it needs no network.

    Parameters
    ----------
    units
        In which temperatures are shown.
    """
    names = [f"group-{number}" for number in range(len(result.results))]
    drawn = [(name, move) for name, move in zip(names, result.results, strict=True) if move.by_year]
    parts = [
        ("years", "Year by year", _evidence(result, names)),
        ("dates", "When to move", dates_table(result)),
        ("odds", "How sure it is", odds_table(result)),
        ("decades", "Then and now", decades_table(result)),
    ]
    if result.thresholds:
        parts.append(("thresholds", "Dates of a temperature", threshold_tables(result, units)))
    return render_frame(
        result,
        units,
        title=f"When to move plants at {result.place.name}",
        body="\n".join([_contents(result, parts), *(_section(*part) for part in parts)]),
        data={
            "traces": frame_traces(),
            "groups": [{"id": name, **evidence_data(move)} for name, move in drawn],
            "months": list(words.MONTHS),
            "starts": list(MONTH_STARTS),
        },
        script="".join(
            (ASSETS / name).read_text(encoding="utf-8") for name in ("evidence.js", "moves.js")
        ),
        more_style=_style(),
    )


def _section(name: str, heading: str, body: str) -> str:
    return (
        f'<section aria-labelledby="{name}-heading">\n<h2 id="{name}-heading">'
        f"{html.escape(heading)}</h2>\n{body}\n</section>"
    )


def _contents(result: MovesResult, parts: list[tuple[str, str, str]]) -> str:
    """What the moves come to, and where on the page everything is."""
    links = " | ".join(
        f'<a href="#{name}-heading">{html.escape(heading)}</a>' for name, heading, _ in parts
    )
    finding = html.escape(moves_words.moves_title(result))
    rooms = [note(moves_words.in_a_room([move])) for move in result.results if move.indoors]
    return (
        f"<p><strong>{finding}</strong></p>\n{''.join(dict.fromkeys(rooms))}"
        f'<nav aria-label="Contents"><p>{links}</p></nav>'
    )


def _evidence(result: MovesResult, names: list[str]) -> str:
    """The chooser, the key, and a chart and table for each group."""
    options = "".join(
        f'<option value="{name}">{html.escape(moves_words.move_label(move, result, key=False))}'
        f" ({html.escape(words.verdict_words(move.verdict, indoors=move.indoors))})</option>"
        for name, move in zip(names, result.results, strict=True)
    )
    chooser = (
        f'<p class="chooser" hidden><label for="chosen">Group</label>'
        f'<select id="chosen">{options}</select></p>\n'
        if len(names) > 1
        else ""
    )
    groups = "\n".join(
        _group(name, move, result) for name, move in zip(names, result.results, strict=True)
    )
    return chooser + evidence_key() + groups


def evidence_key() -> str:
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
    return f'<ul class="key">{items}</ul>{note(dose)}'


def _group(name: str, move: Move, result: MovesResult) -> str:
    """Heading, chart and table of one group."""
    heading = html.escape(moves_words.evidence_title(move, result))
    if not move.by_year:
        body = "<p>No night of the record was observed: there is no year to draw.</p>"
    else:
        label = html.escape(f"Chart: {moves_words.evidence_title(move, result)}", quote=True)
        body = (
            f'<div class="chart" id="{name}-chart" role="img" aria-label="{label} '
            'The table below holds the same numbers."></div>\n' + years_table(move)
        )
    return (
        f'<section class="evidence" id="{name}" aria-labelledby="{name}-heading">\n'
        f'<h3 id="{name}-heading">{heading}</h3>\n{body}\n</section>'
    )


def _style() -> str:
    """The style of this page."""
    return (ASSETS / "moves.css").read_text(encoding="utf-8") + evidence_style()


def evidence_style() -> str:
    """The style of the evidence, its key and its table, colours from the common look."""
    text = (ASSETS / "evidence.css").read_text(encoding="utf-8")
    tokens = {letter: mark.fill for letter, mark in MARKS.items()}
    tokens |= {"INK": INK, "band": BAND, "outdoors": STATES["outdoors"].fill}
    tokens["unknown-hatch"] = HATCH
    for name, value in tokens.items():
        text = text.replace(f"@{name}@", value)
    return text
