"""Pages on a dark screen and on paper: every colour has its partner, and print stays light."""

from __future__ import annotations

import json
import re
from pathlib import Path
from typing import TYPE_CHECKING, Any

import pytest

from suitability.answers.check import check_sheet
from suitability.answers.moves import moves_sheet
from suitability.answers.year import year_sheet
from suitability.output.chart_curves import LOG_COLOUR, MODEL_COLOUR
from suitability.output.look import DARK, GROUND, SERIES
from suitability.output.page import render_page
from suitability.units import TemperatureUnit

from . import examples, moves_examples, weeks_examples
from .legible import contrast

if TYPE_CHECKING:
    from collections.abc import Callable, Iterator

    from selenium.webdriver import Chrome

pytestmark = pytest.mark.slow

C = TemperatureUnit.C
CLEAR = "rgba(0,0,0,0)"
WILD = str(Path(__file__).parents[1] / "data" / "guangzhou.hourly")
COMMANDS = {
    "compare": ("compare", "--demo", "--spot", "open-porch", "--spot", "frost-hollow"),
    "habitat": ("habitat", WILD, "--habitat-at", "23.1,113.3", "--demo"),
    "week": ("spots", "week", "2024-01-08", "--demo", "--spot", "open-porch"),
}
PAGES = ("check", "moves", "year", *COMMANDS)


def page_of(name: str, written: Callable[..., str]) -> str:
    """A page of examples, or of the invented place."""
    if name == "check":
        return render_page(check_sheet(examples.result(), C))
    if name == "moves":
        return render_page(moves_sheet(moves_examples.result(), C))
    if name == "year":
        return render_page(year_sheet(weeks_examples.result(), 47, C))
    return written((*COMMANDS[name], "--chart"))


def colours_of(value: Any) -> Iterator[str]:
    """Every colour in a figure but those of scales from none to much, which stay."""
    if isinstance(value, dict):
        for key, inner in value.items():
            if key != "colorscale":
                yield from colours_of(inner)
    elif isinstance(value, list):
        for inner in value:
            yield from colours_of(inner)
    elif isinstance(value, str) and re.fullmatch(r"#[0-9a-f]{3,8}|rgba?\(.*\)", value):
        yield value


@pytest.mark.parametrize("name", PAGES)
def test_every_colour_of_a_chart_has_a_dark_partner(name: str, written: Callable[..., str]) -> None:
    held = re.search(r'id="figures">([^<]*)</script>', page_of(name, written))
    assert held is not None
    found = set(colours_of(json.loads(held[1])))
    assert len(found) > 3
    assert found - {CLEAR} <= set(DARK)


@pytest.mark.parametrize("colour", [*SERIES, LOG_COLOUR, MODEL_COLOUR, "#8c2d19", "#6b6b63"])
def test_lines_are_seen_on_both_grounds(colour: str) -> None:
    """3 to 1 (WCAG 2.2, 1.4.11)."""
    assert contrast(colour, GROUND) >= 3.0
    assert contrast(DARK[colour], DARK[GROUND]) >= 3.0


LIGHTNESS = (
    "const of = (element, name) => getComputedStyle(element)[name].match(/[\\d.]+/g).slice(0, 3)"
    ".reduce((sum, part) => sum + Number(part) / 3, 0);"
    "return [of(document.body, 'backgroundColor'), of(document.body, 'color'),"
    "of(document.querySelector('.ytick text'), 'fill')]"
)


@pytest.mark.parametrize("name", PAGES)
def test_a_dark_screen_is_dark_and_paper_is_light(
    name: str, written: Callable[..., str], open_page: Callable[..., Chrome]
) -> None:
    """Ground, text and the text of charts; drawn light for paper, dark again after it."""
    from selenium.webdriver.support.ui import WebDriverWait

    page = page_of(name, written)
    browser = open_page(page, scheme="dark")
    browser.execute_script("document.querySelector('.chart').scrollIntoView()")  # drawn when near
    WebDriverWait(browser, 20).until(
        lambda driver: driver.execute_script("return document.querySelector('.ytick text')")
    )
    ground, ink, label = browser.execute_script(LIGHTNESS)
    assert ground < 50
    assert min(ink, label) > 180
    browser.execute_script("window.dispatchEvent(new Event('beforeprint'))")
    browser.execute_cdp_cmd("Emulation.setEmulatedMedia", {"media": "print"})
    ground, ink, label = browser.execute_script(LIGHTNESS)
    assert ground > 240
    assert max(ink, label) < 80
    widest = browser.execute_script(
        "return Math.max(...[...document.querySelectorAll('.main-svg')].map(s => s.clientWidth))"
    )
    assert widest == 690  # px: as wide as A4 and Letter less their margins
    features = [{"name": "prefers-color-scheme", "value": "dark"}]
    browser.execute_cdp_cmd("Emulation.setEmulatedMedia", {"media": "screen", "features": features})
    browser.execute_script("window.dispatchEvent(new Event('afterprint'))")
    WebDriverWait(browser, 20).until(
        lambda driver: driver.execute_script(LIGHTNESS)[2] > 180  # the change is told later
    )
    assert browser.get_log("browser") == []  # type: ignore[no-untyped-call]
