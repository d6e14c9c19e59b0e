"""What a grower sees first, on a wide window and on a phone: answer, next moves, the year."""

from __future__ import annotations

import base64
import json
import re
from importlib.resources import files
from io import BytesIO
from itertools import pairwise
from typing import TYPE_CHECKING, Any

import pytest
from pypdf import PdfReader

from suitability.answers.check import check_sheet
from suitability.answers.moves import moves_sheet
from suitability.output.embedding import asset, page_style
from suitability.output.page import render_page
from suitability.units import TemperatureUnit

from . import examples, moves_examples

if TYPE_CHECKING:
    from collections.abc import Callable

    from selenium.webdriver import Chrome

pytestmark = pytest.mark.slow

C = TemperatureUnit.C
DEMO = {
    "check": ("check", "--demo", "--chart"),
    "check-one": ("check", "--demo", "--group", "phalaenanthe", "--chart"),
    "moves": ("moves", "--demo", "--chart"),
    "year": ("year", "--demo", "--chart"),
    "compare": ("compare", "--demo", "--spot", "open-porch", "--spot", "frost-hollow", "--chart"),
    "week": ("spots", "week", "2024-01-08", "--demo", "--spot", "open-porch", "--chart"),
    "report": ("report", "--demo", "--on", "03-10", "--out"),
    "cards": ("cards", "--demo", "--group", "nobile", "--group", "phalaenanthe", "--out"),
}
LEADING = ("check", "check-one", "moves", "year", "report")  # begin with next moves and the year
FEW = ("--group", "nobile", "--group", "phalaenanthe", "--group", "spatulata")
WIDE, PHONE, WINDOW = 1280, 380, 800  # px
OPENED = "[...document.querySelectorAll('details')].slice(0, 4).forEach(one => { one.open = true })"
AXE = (files("axe_playwright_python") / "axe.min.js").read_text(encoding="utf-8")


@pytest.fixture
def page_of(written: Callable[..., str]) -> Callable[..., str]:
    """A page of the demo place, as the command writes it."""
    return lambda name, more=(): written(DEMO[name], more)


def shown(open_page: Callable[..., Chrome], page: str, width: int, **how: Any) -> Chrome:
    """The page at a width, its first charts drawn."""
    from selenium.webdriver.support.ui import WebDriverWait

    browser = open_page(page, width=width, height=WINDOW, **how)
    if 'class="chart' in page:
        browser.execute_script("document.querySelector('.chart').scrollIntoView()")
        WebDriverWait(browser, 20).until(
            lambda driver: driver.execute_script("return document.querySelector('.main-svg')")
        )
        browser.execute_script("scrollTo(0, 0)")
    return browser


TOP = "return document.querySelector(arguments[0]).getBoundingClientRect().{}"


def edge(browser: Chrome, of: str, side: str) -> float:
    """Where an element begins or ends, px from the top of the page."""
    found: float = browser.execute_script(TOP.format(side), of)
    return found


YEAR = """
const chart = document.querySelector('.leading .chart'), size = chart._fullLayout._size;
const at = chart.layout.annotations.findIndex(one => one.name === 'today');
const top = chart.getBoundingClientRect().top + size.t;
const today = chart.querySelector('.annotation[data-index="' + at + '"]').getBoundingClientRect();
return [today.top, today.bottom, top, top + size.h];
"""


@pytest.mark.parametrize("name", LEADING)
def test_the_first_window_holds_answer_moves_and_the_year(
    name: str, page_of: Callable[..., str], open_page: Callable[..., Chrome]
) -> None:
    """
    At 1280 px the year of all 28 groups with its last row; on a phone its first rows.

    The word "today" stands above it at both widths. The demo's pages have a warning beside.
    """
    browser = shown(open_page, page_of(name), WIDE)
    assert edge(browser, "#next-moves li:last-child, #next-moves p", "bottom") < 0.3 * WINDOW
    above, below, top, bottom = browser.execute_script(YEAR)
    assert above < below <= top < bottom
    warning = edge(browser, ".invented", "bottom") - edge(browser, "h1", "bottom")
    assert bottom - (warning if name == "year" else 0) < WINDOW  # its rows have words
    browser = shown(open_page, page_of(name), PHONE)
    part = 0.45 if name == "check-one" else 0.3  # its headline has all that a grower asks first
    assert edge(browser, ".headline", "bottom") < part * WINDOW
    assert edge(browser, "#next-moves li:last-child, #next-moves p", "bottom") < 0.6 * WINDOW
    _, below, top, _ = browser.execute_script(YEAR)
    assert below <= top < 0.9 * WINDOW
    is_no_endless_page(browser)
    if name == "year":
        phases_carry_their_first_day(browser)


def phases_carry_their_first_day(browser: Chrome) -> None:
    """All stretches of four weeks and more; their dates, or at least the day they begin."""
    texts, days, told = browser.execute_script(
        "const bars = document.getElementById('weeks').data.filter("
        "one => one.customdata && one.customdata.some(texts => texts.length));"
        "return [bars.flatMap(one => one.text), bars.flatMap(one => one.x),"
        "bars.flatMap(one => one.customdata)]"
    )
    long = [text for text, span, own in zip(texts, days, told, strict=True) if own and span >= 28]
    assert len(long) > 60
    assert all(long)


def is_no_endless_page(browser: Chrome) -> None:
    """Folded, under 25,000 px on a phone, and nothing reaches beyond its width."""
    assert browser.execute_script("return document.documentElement.scrollHeight") < 25_000
    assert browser.execute_script("return document.documentElement.scrollWidth") <= PHONE


MINE = """
[[spot]]
name = "porch"
kind = "open-porch"
[[spot]]
name = "spare room"
kind = "room"
"""
PLANT = '[[plant]]\nname = "{}"\ngroup = "{}"\nspot = "{}"\n'
PLANTS = (
    *(("white hard-cane", "den-phal", "porch"), ("a nobile", "nobile", "porch")),
    *(("grandma's kingianum", "kingianum", "porch"), ("a cross", "nobile x aggregatum", "porch")),
    *(("moth orchid", "phalaenopsis", "spare room"), ("mystery", "unknown", "porch")),
)


@pytest.mark.parametrize("name", ["check", "moves", "year", "report"])
def test_the_first_window_of_a_phone_holds_my_plants(
    name: str,
    tmp_path_factory: pytest.TempPathFactory,
    page_of: Callable[..., str],
    open_page: Callable[..., Chrome],
) -> None:
    """Of six plants headline, their moves, and the year from its first row, with "today"."""
    file = tmp_path_factory.mktemp("mine") / "mine.toml"
    file.write_text(MINE + "".join(PLANT.format(*plant) for plant in PLANTS), "utf-8")
    browser = shown(open_page, page_of(name, ("--collection", str(file))), PHONE)
    assert edge(browser, "#next-moves li:last-child", "bottom") < 0.6 * WINDOW
    _, below, top, bottom = browser.execute_script(YEAR)
    assert below <= top < 0.8 * WINDOW
    assert bottom < (1.1 if name == "year" else 1.0) * WINDOW  # its rows have two lines


@pytest.mark.parametrize("name", DEMO)
def test_no_page_is_two_megabytes(name: str, page_of: Callable[..., str]) -> None:
    assert len(page_of(name).encode()) < 2_000_000


@pytest.fixture
def at_time(chromium: Chrome) -> Any:
    """Set the reader's clock, and take it back."""
    made = []

    def at(iso: str) -> None:
        script = (
            f"const fixed = new Date('{iso}').getTime(); const real = Date;"
            "window.Date = class extends real { constructor(...given) {"
            "if (given.length) { super(...given); } else { super(fixed); } } };"
        )
        made.append(
            chromium.execute_cdp_cmd("Page.addScriptToEvaluateOnNewDocument", {"source": script})
        )

    yield at
    for one in made:
        chromium.execute_cdp_cmd("Page.removeScriptToEvaluateOnNewDocument", one)


@pytest.mark.parametrize(
    ("clock", "column"),
    [
        ("2027-01-01T00:30:00", 0.5),
        ("2027-06-01T23:30:00", 151.5),  # 1 June is day 151, and still the reader's day at night
        ("2028-02-29T12:00:00", 58.5),  # as the 28th
        ("2028-12-31T23:59:00", 364.5),
    ],
)
def test_a_line_stands_on_the_reader_s_own_day(
    clock: str, column: float, at_time: Callable[[str], None], open_page: Callable[..., Chrome]
) -> None:
    """And not on paper: a sheet on the wall does not know what day it is."""
    at_time(clock)
    page = render_page(check_sheet(examples.result(), C))
    browser = shown(open_page, page, WIDE)
    drawn = browser.execute_script(
        "const layout = document.getElementById('year').layout;"
        "return [layout.shapes.filter(one => one.name === 'today').map(one => one.x0),"
        "layout.annotations.filter(one => one.name === 'today').map(one => one.text)]"
    )
    assert drawn == [[column], ["today"]]
    count = (
        "return (document.getElementById('year').layout.shapes || [])"
        ".filter(one => one.name === 'today').length"
    )
    assert browser.execute_script(count) == 1
    browser.execute_script("window.dispatchEvent(new Event('beforeprint'))")
    assert browser.execute_script(count) == 0
    browser.execute_script("window.dispatchEvent(new Event('afterprint'))")


def test_next_moves_begin_with_the_reader_s_day(
    at_time: Callable[[str], None],
    page_of: Callable[..., str],
    open_page: Callable[..., Chrome],
) -> None:
    """Eight, of 42 in all; what is past comes again after New Year, behind the fold."""
    at_time("2027-07-11T08:00:00")
    browser = shown(open_page, page_of("check"), WIDE)
    days = "return [...document.querySelectorAll('#next-moves li')].map(one => one.dataset.day)"
    found = browser.execute_script(days)
    first = browser.execute_script(days.replace("#next-moves li", "#next-moves > .ahead li"))
    assert first == found[:8]
    assert found == sorted(found, key=lambda day: (day < "07-11", day))
    assert browser.execute_script("return document.querySelector('#next-moves details').open") is (
        False
    )


BOXES = """
const chart = document.querySelector(arguments[0]);
const left = chart.getBoundingClientRect().left + chart._fullLayout._size.l;
return [...chart.querySelectorAll('.annotation')].map(function (one) {
  const box = one.getBoundingClientRect();
  return [one.textContent.trim(), box.left, box.right, box.top, box.bottom,
    left, left + chart._fullLayout._size.w];
});
"""


@pytest.mark.parametrize("name", ["check", "moves", "compare"])
def test_every_bar_has_its_dates_at_every_width(
    name: str, page_of: Callable[..., str], open_page: Callable[..., Chrome]
) -> None:
    """Written on it or beside it, within the plot, no two over each other; no endless page."""
    from selenium.webdriver.support.ui import WebDriverWait

    chart = {"check": "#year"}.get(name, "#seasons")
    browser = shown(open_page, page_of(name), WIDE)
    browser.execute_script("document.querySelector(arguments[0]).scrollIntoView()", chart)
    for width in (WIDE, 700, PHONE):
        browser.execute_cdp_cmd(
            "Emulation.setDeviceMetricsOverride",
            {"width": width, "height": WINDOW, "deviceScaleFactor": 1, "mobile": width == PHONE},
        )
        WebDriverWait(browser, 20).until(
            lambda driver: driver.execute_script(
                "const chart = document.querySelector(arguments[0]);"
                "return chart.layout && chart.layout.width === chart.clientWidth "
                "&& document.documentElement.clientWidth <= arguments[1]",
                *(chart, width),  # noqa: B023  (waits here)
            )
        )
        dates_stand_within(browser, chart)
    is_no_endless_page(browser)


def dates_stand_within(browser: Chrome, chart: str) -> None:
    """The dates of every bar of a chart."""
    rows = browser.execute_script(
        "return document.querySelector(arguments[0]).layout.meta.dates", chart
    )
    boxes = browser.execute_script(BOXES, chart)
    dated = [box for box in boxes if any(box[0] in row["texts"] for row in rows)]
    assert len(dated) == len(rows)
    for _, left, right, _, _, first, last in dated:
        assert first - 12 <= left < right <= last + 12
    ordered = sorted(dated, key=lambda box: box[3])
    for above, below in pairwise(ordered):
        assert above[4] <= below[3] + 3  # px that boxes of letters overlap more than letters do


def test_folds_open_for_paper_and_close_again(open_page: Callable[..., Chrome]) -> None:
    page = render_page(moves_sheet(moves_examples.result(), C))
    browser = shown(open_page, page, WIDE)
    opened = "return [...document.querySelectorAll('details.fold')].filter(one => one.open).length"
    assert browser.execute_script(opened) == 0
    browser.execute_script("window.dispatchEvent(new Event('beforeprint'))")
    assert browser.execute_script(opened) == 4
    drawn = "return document.querySelectorAll('#years .main-svg').length"
    assert browser.execute_script(drawn)
    browser.execute_script("window.dispatchEvent(new Event('afterprint'))")
    assert browser.execute_script(opened) == 0
    assert browser.get_log("browser") == []  # type: ignore[no-untyped-call]


COLOURS = {"type": "rule", "values": ["color-contrast", "link-in-text-block"]}
RULES = ["wcag2a", "wcag2aa", "wcag21a", "wcag21aa", "wcag22aa", "best-practice"]
WITHOUT_COLOURS = {rule: {"enabled": False} for rule in COLOURS["values"]}
LEAN = {"resultTypes": ["violations"], "selectors": False}  # how what passes is told, not whether


def holds_the_rules(browser: Chrome, options: dict[str, Any], passes: int) -> None:
    """No violation among the rules of axe-core that are asked for, of which so many pass."""
    passed, violations = browser.execute_async_script(
        "const done = arguments[arguments.length - 1];"
        "axe.run(arguments[0]).then(result => done([result.passes.length, "
        "result.violations.map(one => [one.id, one.nodes.map(node => node.html)])]))",
        LEAN | options,
    )
    assert passed >= passes
    assert violations == [], json.dumps(violations)[:2000]


@pytest.mark.parametrize(
    ("name", "width"),
    [*((name, WIDE) for name in DEMO), *((name, PHONE) for name in ("check", "moves", "year"))],
)
def test_rules_of_accessibility_hold_on_every_page(
    name: str, width: int, page_of: Callable[..., str], open_page: Callable[..., Chrome]
) -> None:
    """
    The rules of axe-core for WCAG 2.2, A and AA, folded and with its first folds open.

    What is open holds all that is seen while it is folded, so that its colours are asked once; a
    dark screen changes nothing but colours (see the style of pages). On a phone it is asked once,
    open and light: folds and colours are those of the wide window.
    """
    more = FEW if name in {"check", "moves", "year", "compare", "report"} else ()
    browser = shown(open_page, page_of(name, more), width)
    browser.execute_script(AXE)
    if width == WIDE:
        holds_the_rules(browser, {"runOnly": RULES, "rules": WITHOUT_COLOURS}, 16)
    browser.execute_script(OPENED)
    holds_the_rules(browser, {"runOnly": RULES}, 16)
    if width == PHONE:
        return
    features = [{"name": "prefers-color-scheme", "value": "dark"}]
    browser.execute_cdp_cmd("Emulation.setEmulatedMedia", {"media": "screen", "features": features})
    assert browser.execute_script("return matchMedia('(prefers-color-scheme: dark)').matches")
    holds_the_rules(browser, {"runOnly": COLOURS}, 1)


def test_a_dark_screen_changes_nothing_but_colours() -> None:
    """So that other rules need not be asked there again."""
    dark = page_style("".join(map(asset, ("sheet.css", "report.css", "cards.css")))).split(
        "@media screen and (prefers-color-scheme: dark) {"
    )
    assert len(dark) == 2
    rules = re.findall(r"([^{}]+)\{([^{}]*)\}", dark[1])
    assert [selector.strip() for selector, _ in rules if ".swatch" not in selector] == [":root"]
    (root,) = (body for selector, body in rules if selector.strip() == ":root")
    said = dict(part.split(":") for part in root.replace(" ", "").split(";") if part)
    assert said.pop("color-scheme") == "dark"
    assert all(re.fullmatch("--[a-z]+", name) for name in said)
    assert all(re.fullmatch("#[0-9a-f]{6}", colour) for colour in said.values())


# On paper -----------------------------------------------------------------------------------------


@pytest.mark.parametrize("name", ["check", "year"])
def test_the_first_sheet_is_the_answer(
    name: str, page_of: Callable[..., str], open_page: Callable[..., Chrome]
) -> None:
    """
    Headline, next moves, and the year of all groups with its names, months and dates.

    Hatches are lines, not pictures, which took six and twenty-three megabytes. A report on paper is
    read in `test_report_page`.
    """
    browser = open_page(page_of(name), media="")
    asked = {"printBackground": True, "preferCSSPageSize": True}
    data = base64.b64decode(browser.execute_cdp_cmd("Page.printToPDF", asked)["data"])
    first = PdfReader(BytesIO(data)).pages[0].extract_text()
    headline = {"year": "of 28 groups"}.get(name, "Of 28 groups")
    for said in (headline, "Next moves", "phalaenanthe", "laelia-anceps", "Jan", "Dec", "nobile"):
        assert said in first, said
    assert "today" not in first
    assert len(data) < 3_000_000
