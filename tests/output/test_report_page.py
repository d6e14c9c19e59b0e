"""The page of a report, in the real browser too: numbers, controls, paper, phone, hostile names."""

from __future__ import annotations

import base64
import json
import re
import zlib
from functools import cache
from io import BytesIO
from typing import TYPE_CHECKING, Any

import pytest
from hypothesis import given
from hypothesis import strategies as st
from msgspec.structs import replace
from plotly.graph_objects import Figure
from pypdf import PdfReader

from suitability.advice.terms import Verdict
from suitability.answers import words
from suitability.answers.dates import carry_in
from suitability.answers.ranking import best_first
from suitability.answers.report import report_sheet
from suitability.answers.report_charts import months_title, nights_title
from suitability.answers.trials import trial_control
from suitability.brief import MONTHS
from suitability.output.embedding import PLOTLY_FILE
from suitability.output.look import DARK, GROUND, INK, NIGHTS, PHASES, QUIET, STATES
from suitability.output.repeats import share_repeats
from suitability.output.report import render_report
from suitability.spots.kinds import read_kinds
from suitability.units import TemperatureUnit

from . import examples, report_examples
from .drawn import opened
from .legible import contrast

if TYPE_CHECKING:
    from collections.abc import Callable

    from selenium.webdriver import Chrome

    from suitability.advice.report import ReportResult

pytestmark = pytest.mark.slow

C, F = TemperatureUnit.C, TemperatureUnit.F
MEGABYTE = 1_000_000


def render_report_page(result: ReportResult, units: TemperatureUnit) -> str:
    """The page of a report, through its sheet."""
    return render_report(report_sheet(result, units), trial_control(result, units))


@cache
def whole() -> str:
    """The page of a real place and the whole catalogue."""
    return render_report_page(report_examples.reported("los_angeles"), C)


@cache
def small() -> str:
    """The page of three groups at two spots."""
    return render_report_page(report_examples.few(two_spots=True), C)


def packed_text(page: str, name: str) -> str:
    """What travels compressed."""
    held = re.search(rf'<script type="application/zlib" id="{name}">([^<]*)</script>', page)
    assert held is not None
    return zlib.decompress(base64.b64decode(held[1])).decode("utf-8")


def data_of(page: str) -> dict[str, Any]:
    """What the script reads, unpacked, its repeated parts put in."""
    data: dict[str, Any] = json.loads(packed_text(page, "figures"))
    return data | {"charts": opened(data["charts"], data["parts"])}


def figures_of(page: str) -> dict[str, dict[str, Any]]:
    """Figures of a page by their place; those of past years with their empty traces."""
    return {
        chart["id"]: {
            "data": chart["data"].get("data") or chart["data"]["traces"],
            "layout": chart["data"]["layout"],
        }
        for chart in data_of(page)["charts"]
    }


def rows_of(browser: Chrome, selector: str) -> list[list[str]]:
    """Texts of the cells of a table, row by row, in the real page."""
    rows: list[list[str]] = browser.execute_script(
        "return [...document.querySelectorAll(arguments[0] + ' tbody tr')].map("
        "row => [...row.cells].map(cell => cell.textContent.trim()))",
        selector,
    )
    return rows


# Content ------------------------------------------------------------------------------------------


def test_the_whole_catalogue_is_less_than_two_megabytes() -> None:
    """At one spot with room to spare, and at three spots too."""
    assert len(whole().encode()) < 1.2 * MEGABYTE
    kinds = read_kinds().by_key
    spots = tuple(kinds[key].spot for key in ("open-porch", "frost-hollow", "warm-wall"))
    page = render_report_page(report_examples.reported("los_angeles", (), spots), C)
    assert page.count('<section class="group"') == 3 * 28
    assert len(page.encode()) < 2 * MEGABYTE


def test_the_same_report_gives_the_same_bytes() -> None:
    assert render_report_page(report_examples.few(two_spots=True), C) == small()


def test_the_page_begins_with_the_answer_and_names_place_record_and_licence() -> None:
    """The answer first; what it rests on stands below it."""
    text = whole()
    assert text.index('<p class="headline">') < text.index('id="verdicts"')
    head = text[text.index('<section class="about">') :]
    for said in ("Los Angeles International Airport", "public domain", "99.7%", "NOAA National"):
        assert said in head
    order = [
        text.index(f'id="{name}"')
        for name in ("verdicts", "next", "try", "keys", "group-1", "group-28")
    ]
    assert order == sorted(order)
    assert text.index("</header>") < order[0]
    assert text.count('<section class="group"') == 28
    assert "guarantees nothing" in text
    assert "licensed electrician" in text
    assert not re.search(r"\bsafe\b", re.sub(r"<script.*?</script>", "", text, flags=re.DOTALL))


def test_every_figure_is_one_of_plotlys() -> None:
    """Plain values, put through plotly's own types: a misspelt key would be refused there."""
    figures = figures_of(small())
    kinds = {re.sub(r"-\d+$", "", name) for name in figures}
    assert kinds == {
        "year",
        "hours",
        "weeks",
        "nights",
        "dates",
        "past-years",
        "heat",
        "coverage",
    }
    for name, figure in figures.items():
        drawn = Figure(figure)
        title = drawn.layout.xaxis.title.text
        assert re.fullmatch(
            r"(day|night) of the year, standard time|month, standard time", title
        ), name


def test_axes_of_numbers_have_units() -> None:
    for name, figure in figures_of(small()).items():
        told = Figure(figure).layout.yaxis.title.text
        if name.startswith(("hours-", "heat-")):
            assert told == "hours a month"
        if name.startswith("nights-"):
            assert told == "night minimum, °C"
    nights = figures_of(render_report_page(report_examples.few(), F))["nights-1"]
    assert nights["layout"]["yaxis"]["title"]["text"] == "night minimum, °F"
    assert [note["text"] for note in nights["layout"]["annotations"]][-1] == "dry limit 41 °F"


def test_charts_hold_the_numbers_of_the_result() -> None:
    result = report_examples.few(two_spots=True)
    figures = figures_of(small())
    for number, finding in enumerate(result.check.results, start=1):
        mean, bad = figures[f"hours-{number}"]["data"][:2]
        assert mean["y"] == [
            round(hours, 1) for hours in finding.hours_below.months if hours is not None
        ]
        assert bad["y"] == [round(h, 1) for h in finding.hours_below_bad if h is not None]
        course = next(one for one in result.courses if one.spot == finding.spot)
        nights = figures[f"nights-{number}"]
        drawn = [trace["y"] for trace in nights["data"]]
        assert drawn == [
            list(c) for c in (course.high_c, course.low_c, course.middle_c, course.lowest_c)
        ]
        levels = {shape["y0"] for shape in nights["layout"]["shapes"] if shape["type"] == "line"}
        asked = {
            finding.thresholds.floor_c,
            finding.thresholds.chill_base_c,
            finding.thresholds.limit_c,
            finding.thresholds.limit_wet_c,
        }
        assert levels == asked | ({finding.thresholds.rest_floor_c} - {None})


def test_titles_state_findings_that_hold() -> None:
    """Read off the result by other means."""
    result = report_examples.few()
    finding, course = result.check.results[0], result.courses[0]
    most = max(hours for hours in finding.hours_below.months if hours is not None)
    month = MONTHS[finding.hours_below.months.index(most)]
    assert months_title(finding, C).startswith(
        f"{month} has the most hours below its floor of 15.0 °C"
    )
    below = sum(
        value is not None and value < finding.thresholds.floor_c for value in course.middle_c
    )
    coldest = min(value for value in course.lowest_c if value is not None)
    title = nights_title(course, finding, C)
    assert f"on {below} days of the year" in title
    assert (
        f"{coldest:.1f} °C, is {finding.thresholds.limit_c - coldest:.1f} °C below its dry limit"
        in title
    )


@given(
    st.recursive(
        st.none() | st.booleans() | st.integers() | st.text("ab", max_size=30),
        lambda inner: (
            st.lists(inner, max_size=4)
            | st.dictionaries(
                st.sampled_from(["x", "y", "font", "line", "shapes"]), inner, max_size=4
            )
        ),
        max_leaves=30,
    )
)
def test_shared_parts_are_put_together_again(value: Any) -> None:
    """Whatever repeats, what is read is what was written."""
    shared, parts = share_repeats([value, value, {"font": value}])
    assert opened(json.loads(json.dumps(shared)), parts) == [value, value, {"font": value}]


@pytest.mark.parametrize("ground", [GROUND, "#ffffff"])
def test_lines_and_text_are_legible_on_both_grounds(ground: str) -> None:
    """Text 4.5 to 1 and lines 3 to 1 (WCAG 2.2, 1.4.3 and 1.4.11), by day and on a dark screen."""
    by_day: dict[str, str] = {}
    for colours in (by_day, DARK):
        one = colours.get(ground, ground)
        for text in (INK, QUIET, *(NIGHTS[name].fill for name in ("floor", "chill", "limit"))):
            assert contrast(colours.get(text, text), one) >= 4.5, (text, one)
        for name in ("mean", "rest", "middle", "lowest", "heat"):
            fill = NIGHTS[name].fill
            assert contrast(colours.get(fill, fill), one) >= 3.0, name


def test_text_on_every_fill_is_legible_on_a_dark_screen() -> None:
    """White words on filled bars stay white there, dark ones turn light."""
    for name, look in (STATES | PHASES).items():
        text = look.text if look.text == "#ffffff" else DARK[look.text]
        assert contrast(text, DARK.get(look.fill, look.fill)) >= 4.5, name


def test_spots_are_compared_where_there_are_several() -> None:
    assert "The spots compared" in small()
    assert "The spots compared" not in whole()


# In the real browser ------------------------------------------------------------------------------


def wait_for_charts(browser: Chrome) -> None:
    """Until the first charts are drawn; on a phone they lie below the window."""
    from selenium.webdriver.support.ui import WebDriverWait

    browser.execute_script("document.getElementById('year').scrollIntoView()")
    WebDriverWait(browser, 20).until(
        lambda driver: driver.execute_script("return document.querySelectorAll('.main-svg').length")
    )


def quiet(browser: Chrome) -> None:
    """No error in the console, no request but the page itself."""
    assert browser.get_log("browser") == []  # type: ignore[no-untyped-call]
    asked = [
        message["params"]["request"]["url"]
        for entry in browser.get_log("performance")  # type: ignore[no-untyped-call]
        for message in [json.loads(entry["message"])["message"]]
        if message["method"] == "Network.requestWillBeSent"
    ]
    assert [url for url in asked if not url.startswith(("file:", "data:"))] == []
    assert len({url for url in asked if url.startswith("file:")}) == 1


def test_pointing_at_a_chart_says_words_and_breaks_no_rule_of_the_page(
    open_page: Callable[..., Chrome],
) -> None:
    """The page's policy allows no style within the words that the plotting script shows."""
    from selenium.webdriver.common.action_chains import ActionChains
    from selenium.webdriver.support.ui import WebDriverWait

    browser = open_page(whole())
    wait_for_charts(browser)
    bar = browser.find_element("css selector", "#year .bars .point path")
    ActionChains(browser).move_to_element(bar).perform()
    said = WebDriverWait(browser, 10).until(
        lambda driver: driver.find_elements("css selector", ".hovertext text")
    )
    assert ":" in said[0].text
    quiet(browser)


def test_charts_follow_the_width_of_the_window(open_page: Callable[..., Chrome]) -> None:
    """What is drawn is fitted to the new width, what is not yet drawn is drawn for it."""
    from selenium.webdriver.support.ui import WebDriverWait

    def fits(driver: Chrome) -> bool:
        script = """
            return [...document.querySelectorAll(".chart")]
              .filter((chart) => chart.querySelector(".main-svg"))
              .map((chart) => [chart.clientWidth, chart.clientHeight,
                               chart.querySelector(".main-svg").clientWidth,
                               chart.querySelector(".main-svg").clientHeight])"""
        boxes = driver.execute_script(script)
        assert boxes
        return all(box[:2] == box[2:] for box in boxes)

    browser = open_page(whole())
    wait_for_charts(browser)
    assert fits(browser)
    for width in (1000, 800, 420):
        browser.execute_cdp_cmd(
            "Emulation.setDeviceMetricsOverride",
            {"width": width, "height": 900, "deviceScaleFactor": 1, "mobile": False},
        )
        WebDriverWait(browser, 10).until(fits)
        assert browser.execute_script("return document.querySelector('#year').clientWidth") < width
    quiet(browser)


def test_the_page_opens_without_error_and_without_network(open_page: Callable[..., Chrome]) -> None:
    """Charts are drawn as they come near; the tables are those of check and moves."""
    result = report_examples.reported("los_angeles")
    browser = open_page(whole())
    wait_for_charts(browser)
    drawn = browser.execute_script("return document.querySelectorAll('.js-plotly-plot').length")
    assert 0 < drawn < 40
    browser.execute_script("location.hash = '#group-21'")  # a link to a folded group opens it
    from selenium.webdriver.support.ui import WebDriverWait

    WebDriverWait(browser, 20).until(
        lambda driver: driver.execute_script(
            "return document.querySelectorAll('#group-21 .main-svg').length"
        )
    )
    quiet(browser)
    checked = result.check.results
    verdicts = rows_of(browser, "#verdicts")
    assert len(verdicts) == len(checked) == 28
    for cells, found in zip(verdicts, best_first(checked), strict=True):
        assert cells[0] == found.group_name
        assert cells[1].startswith(found.verdict)
        if found.verdict is Verdict.SEASONAL:
            assert found.season is not None
            told = words.season_of(found, short=True)
            assert cells[2:4] == [told, str(found.season.days)]
            assert f"{found.years_kept} of {found.years_counted}" in cells
    hours = rows_of(browser, "#group-1 table:not(.stacked)")[0]
    assert hours[1:] == [words.hours(value) for value in checked[0].hours_below.months]
    next_moves_are_those_of_moves(browser, result)


def next_moves_are_those_of_moves(browser: Chrome, result: ReportResult) -> None:
    """Every promised date of who is moved by dates, each once, the next one first."""
    moved = result.moves.results
    dates = {
        (move.group_name, said, words.day_month(date.promised))
        for move in moved
        for date, said in (
            (move.out, "move out, harden two weeks"),
            (move.inn, f"carry in {carry_in(move)}"),
        )
        if date is not None and move.has_dates
    }
    rows = rows_of(browser, "#next > details .wide")
    told = {(row[0], row[1].partition("; survives, does not grow yet")[0], row[2]) for row in rows}
    assert told == dates
    ahead = [0 if row[3] == "today" else int(row[3]) for row in rows]
    assert ahead == sorted(ahead)
    years = rows_of(browser, "#group-1 .detail details table")
    assert [row[0] for row in years] == [str(one.year) for one in moved[0].by_year]


def trial_of(result: ReportResult, step: int, promise: int) -> list[str]:
    """Verdicts that the table of trials must show."""
    rows = result.trials.rows
    return [words.VERDICT_WORDS[row[step][promise].verdict] for row in rows]


def test_the_control_works_with_mouse_and_keyboard(open_page: Callable[..., Chrome]) -> None:
    """Each answer is the one worked out beforehand, and it is told in a sentence too."""
    from selenium.webdriver.common.by import By
    from selenium.webdriver.common.keys import Keys

    result = report_examples.reported("los_angeles")
    browser = open_page(whole())
    wait_for_charts(browser)

    def shown() -> list[str]:
        return [row[1] for row in rows_of(browser, "#try")]

    assert shown() == trial_of(result, 5, 1)
    slider = browser.find_element(By.ID, "warmer")
    assert slider.get_attribute("aria-valuetext") == "as it is"
    slider.send_keys(Keys.ARROW_RIGHT, Keys.ARROW_RIGHT)
    assert shown() == trial_of(result, 7, 1)
    assert slider.get_attribute("aria-valuetext") == "2 °C warmer"
    status = browser.find_element(By.ID, "try-told")
    assert status.get_attribute("aria-live") == "polite"
    assert status.text.startswith("Spot 2 °C warmer, kept by 90% of new years: ")
    slider.send_keys(Keys.HOME)
    assert shown() == trial_of(result, 0, 1)
    browser.find_elements(By.CSS_SELECTOR, "#try fieldset label")[2].click()
    assert shown() == trial_of(result, 0, 2)
    marked = browser.execute_script("return document.querySelectorAll('#try tr.other').length")
    other = sum(row[0][2] != row[5][1] for row in result.trials.rows)
    assert 0 < marked <= other
    browser.find_element(By.ID, "try-back").click()
    assert shown() == trial_of(result, 5, 1)
    assert browser.execute_script("return document.querySelectorAll('#try tr.other').length") == 0
    quiet(browser)


def test_the_keyboard_reaches_what_it_needs(open_page: Callable[..., Chrome]) -> None:
    """First the way past the head, then the contents."""
    from selenium.webdriver.common.action_chains import ActionChains
    from selenium.webdriver.common.keys import Keys

    browser = open_page(small())
    wait_for_charts(browser)
    ActionChains(browser).send_keys(Keys.TAB).perform()
    assert browser.switch_to.active_element.text == "Skip to what lives here"
    ActionChains(browser).send_keys(Keys.TAB).perform()
    assert browser.switch_to.active_element.text == "Verdicts and dates"


def test_a_phone_does_not_scroll_sideways(open_page: Callable[..., Chrome]) -> None:
    """At 360 px, with every table open and every chart drawn."""
    browser = open_page(small(), width=360, height=740)
    wait_for_charts(browser)
    browser.execute_script(
        "document.querySelectorAll('details').forEach(one => { one.open = true })"
    )
    for number in range(6):
        browser.execute_script(f"document.getElementById('group-{number + 1}').scrollIntoView()")
    assert browser.execute_script("return document.documentElement.scrollWidth") <= 360
    widest = browser.execute_script(
        "return Math.max(...[...document.querySelectorAll('.main-svg')].map(s => s.clientWidth))"
    )
    assert widest <= 360


def test_on_paper_no_table_is_cut(open_page: Callable[..., Chrome]) -> None:
    """A4 and Letter less 12 mm on either side, at 96 px an inch; rows are not torn."""
    browser = open_page(whole(), width=703, media="print")
    for width in (703, 725):
        browser.execute_cdp_cmd(
            "Emulation.setDeviceMetricsOverride",
            {"width": width, "height": 900, "deviceScaleFactor": 1, "mobile": False},
        )
        cut = browser.execute_script(
            "return [...document.querySelectorAll('table')].filter(table => table.offsetParent && "
            "table.getBoundingClientRect().right > document.documentElement.clientWidth + 1)"
            ".map(table => table.caption.textContent)"
        )
        assert cut == []
    torn = browser.execute_script(
        "return [...document.querySelectorAll('tr, .chart')].filter("
        "one => getComputedStyle(one).breakInside !== 'avoid').length"
    )
    assert torn == 0


def sheets_of(browser: Chrome) -> tuple[int, bytes]:
    """How many sheets the page takes on A4, and that PDF."""
    browser.execute_cdp_cmd("Emulation.setEmulatedMedia", {"media": ""})
    printed = browser.execute_cdp_cmd(
        "Page.printToPDF", {"printBackground": False, "paperWidth": 8.27, "paperHeight": 11.69}
    )
    paper = base64.b64decode(printed["data"])
    assert paper.startswith(b"%PDF-")
    return len(re.findall(rb"/Type\s*/Page\b(?!s)", paper)), paper


SHOWN = (
    "return [...document.querySelectorAll('.chart')].filter("
    "one => getComputedStyle(one).display !== 'none' && one.querySelector('.main-svg') && "
    "one.querySelector('.main-svg').clientWidth === 690).map(one => one.id)"
)


def test_printing_a_few_groups_draws_every_chart(open_page: Callable[..., Chrome]) -> None:
    """Not only those that were looked at, none wider than the page nor longer than half of it."""
    page = render_report_page(report_examples.few(), C)
    browser = open_page(page)
    wait_for_charts(browser)
    browser.execute_script("window.dispatchEvent(new Event('beforeprint'))")
    sizes = browser.execute_script(
        "return [...document.querySelectorAll('.chart')].map(one => "
        "[one.querySelector('.main-svg').clientWidth, one.querySelector('.main-svg').clientHeight])"
    )
    assert len(sizes) == len(figures_of(page))
    assert {width for width, _ in sizes} == {690}
    assert max(height for _, height in sizes) <= 540
    sheets, paper = sheets_of(browser)
    assert 3 * 2 <= sheets <= 3 * 4 + 8  # each group begins on a page of its own
    assert len(paper) < 6 * MEGABYTE


def test_the_whole_catalogue_is_printed_in_short(open_page: Callable[..., Chrome]) -> None:
    """A sheet a group and four: of each its year and tables, of the others what they find."""
    browser = open_page(whole())
    wait_for_charts(browser)
    sheets, paper = sheets_of(browser)
    assert 10 < sheets <= 28 + 4
    assert len(paper) < 12 * MEGABYTE
    first = PdfReader(BytesIO(paper)).pages[0].extract_text()  # the answer, with the year of all
    said = ("Of 28 groups", "Next moves", "phalaenanthe", "laelia-anceps", "Jan", "Dec", "nobile")
    assert [words for words in said if words not in first] == []
    assert "today" not in first
    browser.execute_script("window.dispatchEvent(new Event('beforeprint'))")
    browser.execute_cdp_cmd("Emulation.setEmulatedMedia", {"media": "print"})
    drawn = browser.execute_script(SHOWN)
    weeks = [f"weeks-{number}" for number in range(1, 29)]
    assert drawn == ["year", "hours", *weeks, "coverage"]
    text = browser.find_element("css selector", "#group-1").text
    assert "The usual night is below its floor" in text
    assert "below 15.0 °C, bad year" in text
    assert "Print this group" not in text
    names = browser.execute_script(
        "return [...document.querySelectorAll('#year .ytick text')].length"
    )
    assert names == 28  # each row has its name


def test_one_group_is_printed_alone_with_all_its_charts(open_page: Callable[..., Chrome]) -> None:
    """By the button at its end; afterwards the page is as it was."""
    browser = open_page(whole())
    wait_for_charts(browser)
    browser.execute_script(
        "window.print = () => { window.dispatchEvent(new Event('beforeprint')); };"
        "document.querySelector('#group-5 button.print').click()"
    )
    browser.execute_cdp_cmd("Emulation.setEmulatedMedia", {"media": "print"})
    kinds = ("weeks", "hours", "nights", "dates", "past-years", "heat")
    shown = browser.execute_script(SHOWN)
    assert [one for one in shown if one.endswith("-5")] == [f"{kind}-5" for kind in kinds]
    visible = browser.execute_script(
        "return [...document.querySelectorAll('main > section')].filter("
        "one => getComputedStyle(one).display !== 'none').map(one => one.id)"
    )
    assert visible == ["keys", "group-5"]
    browser.execute_script("window.dispatchEvent(new Event('afterprint'))")
    left = browser.execute_script(
        "return document.querySelectorAll('.alone, .chosen, .whole').length"
    )
    assert left == 0


# Hostile names ------------------------------------------------------------------------------------


def test_hostile_names_do_no_harm_in_the_browser(open_page: Callable[..., Chrome]) -> None:
    """Scripts, attributes, marks that reorder, 10,000 characters and formulas as names."""
    texts = [text for text in examples.HOSTILE if text != ""]
    result = report_examples.named(report_examples.reported("los_angeles"), texts)
    browser = open_page(render_report_page(result, C))
    wait_for_charts(browser)
    for number in (0, 3, 9):
        browser.execute_script(f"document.getElementById('group-{number + 1}').scrollIntoView()")
    quiet(browser)
    counts = browser.execute_script(
        "return ['img', 'iframe', 'form', 'b', 'a[href^=\"http\"]', 'script:not([type])', "
        "'[onmouseover]', '[onerror]'].map(one => document.querySelectorAll(one).length)"
    )
    assert counts == [0, 0, 0, 0, 0, 2, 0, 0]
    text = browser.execute_script("return document.body.textContent")
    assert not set(text) & set("\x00\x07\x1b\u202e\u2066\u2069\u200f")
    assert "x" * 500 not in re.sub(r"<script.*", "", text)


@pytest.mark.parametrize("text", [text for text in examples.HOSTILE if text != ""])
def test_hostile_text_is_no_markup_anywhere(text: str) -> None:
    """The page has the elements that plain names give, and labels hold no tags but ours."""
    plain = render_report_page(report_examples.named(report_examples.few(), ["plain"]), C)
    page = render_report_page(report_examples.named(report_examples.few(), [text]), C)
    tags = [re.sub(r'\s(?:aria-label|data-column)="[^"]*"', "", tag) for tag in tags_of(page)]
    assert tags == [
        re.sub(r'\s(?:aria-label|data-column)="[^"]*"', "", one) for one in tags_of(plain)
    ]
    labels = " ".join(strings_of(data_of(page)["charts"]))
    assert set(re.findall(r"<[^>]*>", labels)) <= {"<br>", "<extra>", "</extra>"}
    assert "Content-Security-Policy" in page
    assert packed_text(page, "plotting") == PLOTLY_FILE.read_text("utf-8")


def tags_of(page: str) -> list[str]:
    """Every tag of the page outside its scripts and style."""
    body = re.sub(r"<(script|style)\b.*?</\1>", "", page, flags=re.DOTALL)
    return re.findall(r"<[a-z/!][^>]*>", body)


def strings_of(value: Any) -> list[str]:
    """Every text within plain values."""
    if isinstance(value, str):
        return [value]
    if isinstance(value, dict):
        return [text for inner in value.values() for text in strings_of(inner)]
    return (
        [text for inner in value for text in strings_of(inner)] if isinstance(value, list) else []
    )


def test_an_invented_place_says_so() -> None:
    result = report_examples.few()
    place = replace(result.place, invented=True)
    page = render_report_page(replace(result, check=replace(result.check, place=place)), C)
    assert page.count(words.INVENTED) == 2
