"""Cards as text, as the JSON of `cards --json`, and as one page that prints four to a sheet."""

from __future__ import annotations

import html
from pathlib import Path
from typing import TYPE_CHECKING

from suitability.answers import words
from suitability.answers.head import head_rows
from suitability.output.card_words import card_rows, card_title, cards_foot
from suitability.output.frame import render_credit, render_document, render_head
from suitability.output.plain import open_console, printed_text
from suitability.output.tables import print_head

if TYPE_CHECKING:
    from suitability.advice.card import Card, CardResult
    from suitability.units import TemperatureUnit

__all__ = ["render_cards", "render_cards_page"]

ASSETS = Path(__file__).parent / "assets"


def render_cards(result: CardResult, *, units: TemperatureUnit, width: int, colour: bool) -> str:
    """
    All cards as text.

    Parameters
    ----------
    units
        In which temperatures are shown.
    width : columns
    colour
        Whether escape codes for colour may be used.
    """
    from rich.table import Table  # noqa: PLC0415  (only where tables are drawn)
    from rich.text import Text  # noqa: PLC0415

    console = open_console(width, colour=colour)
    print_head(console, result, units)
    for card in result.cards:
        console.print(Text(card_title(card), style="bold"))
        grid = Table.grid(padding=(0, 2, 0, 0))
        grid.add_column(no_wrap=True)
        grid.add_column(overflow="fold")
        for label, text in card_rows(card, units):
            grid.add_row(Text(label), Text(text))
        console.print(grid)
        console.print()
    for sentence in cards_foot(result):
        console.print(Text(sentence))
    if result.place.invented:
        console.print(Text(words.INVENTED, style="bold yellow"))
    return printed_text(console)


def render_cards_page(result: CardResult, units: TemperatureUnit) -> str:
    """One page without scripts: a card for each spot and group, four to an A4 or Letter sheet."""
    invented = f'<p class="invented"><strong>{html.escape(words.INVENTED)}</strong></p>\n'
    invented = invented if result.place.invented else ""
    foot = "\n".join(f"<p>{html.escape(sentence)}</p>" for sentence in cards_foot(result))
    record = result.record
    return render_document(
        title=f"Cards for {result.place.name}",
        head=f"{invented}{render_head(head_rows(result, units))}",
        body='<div class="cards">\n'
        + "\n".join(_article(card, units) for card in result.cards)
        + "\n</div>",
        footer=f"{foot}\n{invented}"
        + render_credit(record.source, record.attribution, record.licence),
        more_style=(ASSETS / "cards.css").read_text(encoding="utf-8"),
    )


def _article(card: Card, units: TemperatureUnit) -> str:
    """One card."""
    return (
        f'<article class="card">\n<h2>{html.escape(card_title(card))}</h2>\n'
        f"{render_head(card_rows(card, units))}\n</article>"
    )
