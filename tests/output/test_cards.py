"""Cards: the document to its schema, the text for the bench, and the page in a real browser."""

from __future__ import annotations

import html
import json
import re
from pathlib import Path
from typing import TYPE_CHECKING

import jsonschema
import pytest
from msgspec.structs import replace

from suitability.advice.card import make_cards
from suitability.advice.cases import Rules
from suitability.advice.moves import Tonight
from suitability.advice.preparing import CheckOptions, lay_out
from suitability.advice.terms import Verdict
from suitability.answers.cards import card_facts, cards_sheet
from suitability.groups import read_catalogue
from suitability.groups.words import read_general_words, read_words
from suitability.output.cards import render_cards_page
from suitability.output.document import render_json
from suitability.output.terminal import render_terminal
from suitability.spots.kinds import read_kinds
from suitability.spots.spot import OPEN_AIR, ROOFED
from suitability.units import TemperatureUnit

if TYPE_CHECKING:
    from collections.abc import Callable, Sequence

    from selenium.webdriver import Chrome

    from suitability.advice.card import Card, CardResult
    from suitability.groups.group import Group
    from suitability.places import Place
    from suitability.spots.spot import Spot
    from suitability.weather.record import Record

    OpenExtract = Callable[[str], tuple[Record, Place]]

pytestmark = pytest.mark.slow

DOCS = Path(__file__).parents[2] / "docs"
SCHEMA = json.loads((DOCS / "schema" / "cards.json").read_text("utf-8"))
CATALOGUE = read_catalogue()
WORDS = read_words(CATALOGUE)
C = TemperatureUnit.C


def told_on(card: Card, units: TemperatureUnit = C) -> dict[str, str]:
    """Labels and texts of a card."""
    return {fact.label: fact.text for fact in card_facts(card, units).rows if fact.label}


def text_of(cards: CardResult, units: TemperatureUnit = C) -> str:
    """All cards as a terminal of 80 columns shows them."""
    return render_terminal(cards_sheet(cards, units), width=80, colour=False)


def page_of(cards: CardResult, units: TemperatureUnit = C) -> str:
    """All cards as a page."""
    return render_cards_page(cards_sheet(cards, units))


@pytest.fixture(scope="module")
def nashville(extract: OpenExtract) -> CardResult:
    """All groups, in the open and under a roof: a place of hard winters and hot summers."""
    return cards_at(extract("nashville"), (OPEN_AIR, ROOFED), CATALOGUE.groups)


def cards_at(
    where: tuple[Record, Place], spots: Sequence[Spot], groups: Sequence[Group]
) -> CardResult:
    """A card for each group at each spot."""
    needs = [group.needs() for group in groups]
    return make_cards(
        lay_out(*where, spots, needs, CheckOptions(rules=Rules())),
        {group.key: group for group in groups},
        words=WORDS,
        general=read_general_words(),
    )


def test_there_is_a_card_for_each_spot_and_group(nashville: CardResult) -> None:
    """In the order of spots, then groups, and each knows whose it is."""
    whose = [(card.spot, card.group) for card in nashville.cards]
    spots = ("open-air", "roofed")
    assert whose == [(spot, key) for spot in spots for key in CATALOGUE.keys]


def test_the_document_holds_to_its_schema(nashville: CardResult) -> None:
    document = json.loads(render_json(nashville))
    jsonschema.validate(document, SCHEMA)


def test_a_card_says_what_a_grower_needs_at_the_bench(nashville: CardResult) -> None:
    """
    Nobile at Nashville, in the open: horticulture's list, filled with this place's numbers.

    Its wet limit is 2 °C, so it comes in at a forecast of 4 °C. Its rest takes 21 nights.
    """
    card = next(card for card in nashville.cards if card.group == "nobile")
    told = told_on(card)
    assert told["Survives"].startswith("single nights down to about -1 °C dry, 2 °C wet")
    assert told["Grows"].startswith("with nights from 13 °C")
    assert told["Tonight"] == (
        "bring it in at a forecast low of 4 °C or less; below 5 °C if in bud, or once the "
        "degrees below that add up to 8 °C over 14 nights"
    )
    assert re.fullmatch(r"from \d+ \w+ to be on the careful side, \d+ \w+ typical", told["Out"])
    assert "years on record" in told["Here"]
    assert "most in January" in told["Hard nights"]
    assert "weeks" in told["Rest"]
    assert told["Flowers"].startswith(
        "after 21 nights in a bright, nearly dry room at 5 °C to 15 °C;"
    )
    assert "enough in 0 of 20 years" in told["Flowers"]
    assert told["Bloom"] == "usually January to April"
    assert "h a year above 36 °C" in told["Heat"]
    assert told["Water"].startswith("growing: ")
    assert "resting: no feed" in told["Feed"]
    assert "shade in full sun" in told["Light"]
    assert told["First harm"]
    assert "cats and dogs" in told["Animals"]


def test_no_card_calls_a_plant_safe(nashville: CardResult) -> None:
    """Nothing is promised to be safe, whatever the verdict."""
    text = text_of(nashville)
    assert not re.search(r"\bsafe\b", text)
    assert "guarantees nothing" in text
    assert "no ladder alone" in text
    assert "keep to the label" in text


def test_text_keeps_to_eighty_columns(nashville: CardResult) -> None:
    text = text_of(nashville)
    assert max(map(len, text.splitlines())) <= 80
    out = [card for card in nashville.cards if card.verdict is not Verdict.INDOOR]
    assert 0 < len(out) < len(nashville.cards)
    assert text.count("Tonight ") == len(out)


def test_a_roofed_card_has_the_dry_rule_too(nashville: CardResult) -> None:
    card = next(c for c in nashville.cards if (c.spot, c.group) == ("roofed", "nobile"))
    told = told_on(card)
    assert "4 °C or less (dry: 1 °C); below 5 °C if in bud" in told["Tonight"]


def test_a_card_names_no_typical_day_where_half_of_the_years_set_none(
    nashville: CardResult,
) -> None:
    """Two equal days, out and in, would read as a single day outdoors."""
    card = next(c for c in nashville.cards if (c.spot, c.group) == ("open-air", "nobile"))
    assert (card.out_any_day, card.in_any_day) == (False, False)
    told = told_on(replace(card, out_any_day=True))
    assert told["Out"].endswith("to be on the careful side, any day typical")
    assert told["In"].endswith(" typical")
    assert "any day" not in told["In"]


def test_words_of_the_catalogue_follow_the_unit(nashville: CardResult) -> None:
    """No °C is left on a card in °F."""
    text = text_of(nashville, TemperatureUnit.F)
    assert "blast below about 54 °F" in " ".join(text.split())
    assert "°C" not in text


def test_a_card_of_a_room_sends_nothing_outdoors(extract: OpenExtract) -> None:
    """It may stand there all year: no outdoors, no forecast to watch, nothing to bring in."""
    group = CATALOGUE.find("nobile")
    (card,) = cards_at(extract("nashville"), [read_kinds().find("room").spot], [group]).cards
    told = told_on(card)
    assert told["Here"] == "can stand in this room all year (outdoor-all-year)"  # of any year
    assert told["Hard nights"] == "none on record, left there all year"
    assert not {"Moves", "Out", "In", "Tonight"} & told.keys()
    assert "outdoors" not in " ".join(told_on(card).values())


def test_the_forecast_that_brings_a_plant_in_is_never_told_too_low(nashville: CardResult) -> None:
    """4.5 °C is told as 5 °C and 40.1 °F as 41 °F: the other way a plant stays out too long."""
    card = replace(nashville.cards[0], tonight=Tonight(low_c=4.5))
    for units, told in ((C, "5 °C or less"), (TemperatureUnit.F, "41 °F or less")):
        assert told_on(card, units)["Tonight"].endswith(told)


def test_a_card_without_a_verdict_says_so_and_no_dates(nashville: CardResult) -> None:
    card = replace(
        nashville.cards[0],
        verdict=Verdict.NONE,
        out=None,
        inn=None,
        season=None,
        hard_nights=None,
        years_usable=1,
    )
    told = told_on(card)
    assert told["Here"].startswith("no-verdict, by 1 usable year")
    unseen = told_on(replace(card, verdict=Verdict.ALL_YEAR, unseen_nights=3))
    assert unseen["Here"].endswith("; 3 nights nobody saw may have been worse")
    assert not {"Out", "In", "Moves", "Hard nights"} & told.keys()


def test_foreign_names_are_harmless(nashville: CardResult) -> None:
    """A plant's name comes from the grower: it is shown as text and can end no element."""
    nasty = '<script>alert(1)</script>"><img src=x onerror=alert(1)>'
    card = replace(nashville.cards[0], group_name=nasty, spot=nasty)
    page = page_of(replace(nashville, cards=(card,)))
    assert "<script" not in page
    assert "<img" not in page
    assert "&lt;script&gt;" in page


def test_the_page_has_no_scripts_and_allows_none(nashville: CardResult) -> None:
    page = page_of(nashville)
    assert "<script" not in page
    assert "script-src 'none'" in html.unescape(page)
    assert "http" not in re.sub(r'http-equiv="[^"]*"', "", page)
    assert len(page) < 300_000
    assert page == page_of(nashville)


def test_two_cards_of_nine_points_fit_a_sheet_and_none_is_torn(
    nashville: CardResult, open_page: Callable[..., Chrome]
) -> None:
    """
    In the real browser, as printed: two within the height of a Letter page.

    Type is read on a bench: 9 points and more, 12 px.
    216 x 279 mm less 10 mm on each side is 196 x 259 mm, at 96 px an inch 741 x 979 px.
    """
    page = page_of(nashville, TemperatureUnit.F)
    browser = open_page(page, width=741, height=979, media="print")
    heights = browser.execute_script(
        "return [...document.querySelectorAll('.card')].map(card => card.offsetHeight)"
    )
    smallest = browser.execute_script(
        "return Math.min(...[...document.querySelectorAll('.card *')].map("
        "one => parseFloat(getComputedStyle(one).fontSize)))"
    )
    assert browser.get_log("browser") == []  # type: ignore[no-untyped-call]
    assert len(heights) == len(nashville.cards)
    assert max(heights) <= 979 / 2 - 8
    assert smallest >= 12


def test_a_phone_does_not_scroll_sideways(
    nashville: CardResult, open_page: Callable[..., Chrome]
) -> None:
    browser = open_page(page_of(nashville), width=360, height=740)
    assert browser.execute_script("return document.documentElement.scrollWidth") <= 360
