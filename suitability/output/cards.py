"""Cards as one page without scripts that prints two to a sheet."""

from __future__ import annotations

from suitability.answers.sheet import Sheet
from suitability.output.page import Layout, render_page

CARDS = Layout(template="cards.html", styles=("cards.css",))


def render_cards_page(sheet: Sheet) -> str:
    """A card for each section, four to an A4 or Letter sheet."""
    return render_page(sheet, CARDS)
