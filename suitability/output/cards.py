"""Cards as text, as the JSON of `cards --json`, and as one page that prints four to a sheet."""

from __future__ import annotations

import html
from pathlib import Path
from typing import TYPE_CHECKING, Any

from suitability.answers import words
from suitability.answers.head import head_rows
from suitability.output.card_words import card_rows, card_title, cards_foot
from suitability.output.document import SCHEMA_VERSION, place_values, record_values, settings_values
from suitability.output.frame import render_credit, render_document, render_head
from suitability.output.plain import open_console, printed_text
from suitability.output.profile_document import year_values
from suitability.output.tables import print_head
from suitability.output.values import NORMAL_DECIMALS, RAW_DECIMALS, finite, season_values

if TYPE_CHECKING:
    from suitability.advice.card import Card, CardResult, Span
    from suitability.advice.moves_result import MoveDate
    from suitability.units import TemperatureUnit

__all__ = ["cards_document", "render_cards", "render_cards_page"]

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


def cards_document(result: CardResult) -> dict[str, Any]:
    """The cards as plain values, temperatures in °C; docs/schema/cards.json holds them."""
    return {
        "schema_version": SCHEMA_VERSION,
        "place": place_values(result.place),
        "record": record_values(result.record),
        "settings": settings_values(result.settings),
        "cards": [_card(card) for card in result.cards],
        "after_cold": result.after_cold,
        "trade": result.trade,
    }


def _card(card: Card) -> dict[str, Any]:
    """One card as plain values."""
    carried, hard = card.carried_nights, card.hard_nights
    return {
        "spot": card.spot,
        "roofed": card.roofed,
        "group": card.group,
        "group_name": card.group_name,
        "plant": card.plant or None,
        "aliases": list(card.aliases),
        "verdict": card.verdict.value,
        "provisional": card.provisional,
        "low_confidence_limit": card.low_confidence_limit,
        "years_usable": card.years_usable,
        "unseen_nights": card.unseen_nights,
        "season": season_values(card.season),
        **_temperatures(card),
        "out": _date(card.out),
        "in": _date(card.inn),
        "carried_nights": None
        if carried is None
        else {"typical": carried.typical, "worst": carried.worst},
        "hard_nights": None
        if hard is None
        else {
            "mean": finite(hard.mean, NORMAL_DECIMALS),
            "worst": hard.worst,
            "month": hard.month,
        },
        **year_values(card.year),
        **_words(card),
    }


def _temperatures(card: Card) -> dict[str, Any]:
    """What it stands and what suits it, °C."""
    return {
        "limit_c": finite(card.limit_c, RAW_DECIMALS),
        "limit_wet_c": finite(card.limit_wet_c, RAW_DECIMALS),
        "floor_c": finite(card.floor_c, RAW_DECIMALS),
        "rest_floor_c": finite(card.rest_floor_c, RAW_DECIMALS),
        "good_nights_c": _span(card.good_nights_c),
        "ceiling_c": finite(card.ceiling_c, RAW_DECIMALS),
        "tonight_c": finite(card.tonight_c, RAW_DECIMALS),
    }


def _words(card: Card) -> dict[str, Any]:
    """What the catalogue says."""
    rest = card.rest
    return {
        "rest_words": None
        if rest is None
        else {
            "kind": rest.kind,
            "night_c": _span(rest.night_c),
            "weeks": _span(rest.weeks),
            "dry": rest.dry,
            "trigger": rest.trigger,
        },
        "water": {"growth": card.water_growth, "rest": card.water_rest},
        "feed": {"growth": card.feed_growth, "rest": card.feed_rest},
        "leaves": card.leaves,
        "rhythm": card.rhythm,
        "first_signs": card.first_signs,
        "notes": card.notes,
        "pets": card.pets,
        "light_class": card.light_class,
        "light_klx": _span(card.light_klx),
        "shade_pct": _span(card.shade_pct),
        "humidity_pct": _span(card.humidity_pct),
    }


def _span(span: Span | None) -> dict[str, Any] | None:
    return None if span is None else {"low": span.low, "high": span.high}


def _date(date: MoveDate | None) -> dict[str, Any] | None:
    if date is None:
        return None
    return {"promised": date.promised, "typical": date.typical}
