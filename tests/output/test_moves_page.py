"""The picture of the evidence and its page."""

from __future__ import annotations

import json
import re
from typing import TYPE_CHECKING, Any

import pytest
from hypothesis import given
from hypothesis import strategies as st
from msgspec.structs import replace
from plotly.graph_objects import Figure

from suitability.answers import words
from suitability.answers.moves import moves_sheet
from suitability.answers.moves_charts import CAUSES, column_of, past_years
from suitability.brief import MONTHS
from suitability.output.chart_past_years import (
    MARKS,
    pack_nights,
    past_years_data,
    past_years_figure,
)
from suitability.output.page import render_page
from suitability.units import TemperatureUnit

from . import examples, moves_examples
from .drawn import PLACE_OF_PLOTLY, PLOTLY, Page, hash_of, opened

if TYPE_CHECKING:
    from collections.abc import Callable

    from selenium.webdriver import Chrome

    from suitability.advice.moves import Move

pytestmark = pytest.mark.slow

C, F = TemperatureUnit.C, TemperatureUnit.F


def page_of(*moves: Move, units: TemperatureUnit = C, **changes: Any) -> Page:
    return Page(render_page(moves_sheet(moves_examples.result(*moves, **changes), units)))


def charts_of(page: Page) -> list[dict[str, Any]]:
    """What the page's script draws, one for each chart of past years."""
    charts: list[dict[str, Any]] = opened(page.data["charts"], page.data["parts"])
    assert {chart["kind"] for chart in charts} <= {"past-years", "year-bars"}
    return [chart["data"] for chart in charts if chart["kind"] == "past-years"]


def drawn(move: Move) -> Any:
    """The whole figure in plotly's own types, which refuse what is no figure."""
    return Figure(past_years_figure(past_years(move)))


def unpacked(runs: str) -> str:
    return "".join(int(count) * letter for count, letter in re.findall(r"(\d+)(\D)", runs))


# The figure ------------------------------------------------------------------------------------


@given(st.text(alphabet=".hwdt?", min_size=0, max_size=365))
def test_packed_nights_are_the_nights(nights: str) -> None:
    """Packing loses nothing, and no run is split."""
    packed = pack_nights(nights)
    assert unpacked(packed) == nights
    assert not re.search(r"(\D)\d+\1", packed)


def test_page_holds_every_night_of_every_year() -> None:
    """What the script draws is what the result says, labelled with year and outcome."""
    page = page_of()
    for chart, move in zip(charts_of(page), moves_examples.result().results, strict=True):
        assert [unpacked(year["runs"]) for year in chart["years"]] == [
            year.nights for year in move.by_year
        ]
        signs = {True: "✓", False: "✗", None: "?"}
        assert chart["layout"]["yaxis"]["ticktext"] == [
            f"{year['label']} {signs[lived.kept]}"
            for year, lived in zip(chart["years"], move.by_year, strict=True)
        ]


def test_causes_differ_in_colour_and_in_place_within_the_row() -> None:
    """No two marks have the same fill, nor the same shape: colour never carries meaning alone."""
    traces = drawn(moves_examples.moving()).data
    bars = {trace.meta: trace for trace in traces if trace.type == "bar"}
    assert set(bars) == set(MARKS) == set(CAUSES)
    shapes = {(bar.offset, bar.width, bar.marker.pattern.shape) for bar in bars.values()}
    assert len(shapes) == len(bars)
    assert len({bar.marker.color for bar in bars.values()}) == len(bars)
    assert [bar.name for bar in bars.values()] == [told for told, _ in CAUSES.values()]


def test_season_lies_in_the_middle_with_its_dates() -> None:
    """Rows from 4 February: 8 June is column 124, 3 October 241; typical lines at 104 and 288."""
    figure = drawn(moves_examples.moving())
    shapes = [(shape.type, shape.x0, shape.x1, shape.line.dash) for shape in figure.layout.shapes]
    assert shapes == [
        ("rect", 124, 241, None),
        ("rect", 124, 241, "solid"),
        ("line", 104, 104, "dot"),
        ("line", 288, 288, "dot"),
    ]
    texts = {note.text: note.x for note in figure.layout.annotations}
    assert texts == {
        "out 8 Jun": 124,
        "in 3 Oct": 241,
        "typical 19 May": 104,
        "typical 19 Nov": 288,
    }
    assert abs((124 + 241) / 2 - 182) <= 1


def test_a_season_too_short_is_dashed_and_not_filled() -> None:
    """It is shown, and not as one that is promised."""
    figure = drawn(moves_examples.indoor())
    assert [shape.line.dash for shape in figure.layout.shapes] == ["dash"]
    assert figure.layout.shapes[0].fillcolor is None


def test_months_run_along_the_top_from_the_first_day_of_the_rows() -> None:
    """Rows begin in February: February comes first, January last."""
    figure = drawn(moves_examples.moving())
    assert figure.layout.xaxis.side == "top"
    named = list(figure.layout.xaxis.ticktext)
    assert named == [month[:3] for month in (*MONTHS[1:], MONTHS[0])]
    assert list(figure.layout.xaxis.tickvals) == sorted(figure.layout.xaxis.tickvals)
    assert "standard time" in figure.layout.xaxis.title.text


def test_years_run_down_with_what_became_of_the_season() -> None:
    """A tick, a cross, and a question mark; the oldest year on top."""
    figure = drawn(moves_examples.moving())
    assert list(figure.layout.yaxis.ticktext) == ["2012 ?", "2013 ✓", "2014 ✗", "2015 ?"]
    top, bottom = figure.layout.yaxis.range[1], figure.layout.yaxis.range[0]
    assert top < bottom


def test_rows_with_winter_inside_carry_both_years() -> None:
    """From 16 July on the row of 2013 is the winter of 2012/13."""
    labels = drawn(moves_examples.staying()).layout.yaxis.ticktext
    assert labels[1] == "2012/13 ✓"


def test_a_chart_without_marks_says_that_none_was_needed() -> None:
    """A place never cold has no empty chart."""
    staying = moves_examples.staying()
    known = sum(365 - year.nights.count("?") for year in staying.by_year)
    texts = [note.text for note in drawn(staying).layout.annotations]
    assert known > 1000
    assert texts == [f"No unsafe night among the {known:,} known"]
    moving = [note.text for note in drawn(moves_examples.moving()).layout.annotations]
    assert not [text for text in moving if "No unsafe" in text]


@pytest.mark.parametrize(
    ("nights", "text"),
    [
        ("." * 40 + "?" * 325, "No unsafe night among the 40 known"),
        ("." + "?" * 364, "The only night known is not unsafe"),
    ],
)
def test_a_chart_of_few_nights_does_not_speak_of_years(nights: str, text: str) -> None:
    """One day on record is not a year without an unsafe night."""
    staying = moves_examples.staying()
    short = replace(staying, by_year=(replace(staying.by_year[0], nights=nights),))
    assert [note.text for note in drawn(short).layout.annotations] == [text]


def test_a_group_that_cannot_be_judged_has_no_word_on_its_survival_season() -> None:
    """Not "none": it is not known."""
    unjudged = moves_examples.unjudged()
    page = page_of(unjudged, thresholds=())
    assert "no-verdict. Only 1 usable plant year" in page.text
    assert "none" not in page.text.split("Masdevallia", 1)[1].split("What this rests on")[0]


def test_a_group_never_fine_is_drawn_full_and_says_so() -> None:
    """Every night marked, no band, and the heading gives the reason."""
    never = moves_examples.indoor(
        season=None,
        season_too_short=None,
        by_year=moves_examples.years(nights="h" * 365, kept=None, days=0, out="08-05", inn="08-05"),
    )
    page = page_of(never)
    (chart,) = charts_of(page)
    assert "shapes" not in chart["layout"]
    assert unpacked(chart["years"][0]["runs"]) == "h" * 365
    assert {tuple(row[2:5]) for row in page.rows if re.fullmatch(r"\d{4}(/\d\d)?", row[0])} == {
        ("-", "-", "0")
    }
    assert "The longest outdoor season that 90% of years keep has 52 days" in page.text


def test_no_year_at_all_is_a_sentence_instead_of_a_chart() -> None:
    """A record without a known night."""
    page = page_of(moves_examples.unjudged(by_year=()))
    assert "there is no year to draw" in page.text
    assert page.scripts == []
    assert not [attrs for _, attrs in page.elements if attrs.get("role") == "img"]


def test_the_year_s_own_dates_are_columns() -> None:
    """24 May is 109 days after 4 February, and 181 days later it is 21 November."""
    years = past_years_data(past_years(moves_examples.moving()))["years"]
    assert [year["span"] for year in years] == [None, [109, 290], [162, 290], None]
    assert years[1]["told"] == ("by itself from 24 May to 21 November, 181 days; kept the season")
    assert years[0]["told"] == "does not tell of the season"
    whole = past_years_data(past_years(moves_examples.staying()))["years"]
    assert whole[0]["told"] == "no unsafe night at all; kept the season"
    assert whole[0]["span"] == [0, 365]
    assert column_of("02-04", "02-04") == 0


def test_what_all_groups_share_stands_once() -> None:
    """Traces and words are the same for each, and the page holds them as one part."""
    page = page_of()
    traces = [chart["traces"] for chart in charts_of(page)]
    assert len(traces) == 4
    assert all(one == traces[0] for one in traces)
    text = json.dumps(page.data, ensure_ascii=False)
    assert text.count("hard night: below the limit") == 1
    assert text.count('"September"') == 1


# The page --------------------------------------------------------------------------------------


def test_page_is_the_same_twice() -> None:
    """The same result gives the same bytes."""
    first, again = (render_page(moves_sheet(moves_examples.result(), C)) for _ in range(2))
    assert first == again


def test_page_of_a_whole_catalogue_and_thirty_years_is_small() -> None:
    """Under 2 MB with busy nights: more than 60 changes a year, 30 years, 28 groups."""
    busy = ("hhwdd." * 61)[:365].replace("wdd", "ddd")[:180] + "." * 185
    row = moves_examples.years()[1]
    rows = tuple(replace(row, year=1990 + number, nights=busy) for number in range(30))
    many = [moves_examples.moving(group=f"group-{number}", by_year=rows) for number in range(28)]
    text = render_page(moves_sheet(moves_examples.result(*many), C))
    assert len(text.encode("utf-8")) < 2_000_000


def test_page_needs_no_network_and_its_policy_allows_only_its_own() -> None:
    """Scripts and style by their hashes; links lead within the page."""
    page = page_of()
    _, plotly, own = page.scripts
    assert page.policy["script-src"].split() == [hash_of(PLOTLY), hash_of(own)]
    assert page.policy["style-src"].split() == [hash_of(page.styles[0]), hash_of("")]
    assert "unsafe" not in str(page.policy)
    assert plotly == PLACE_OF_PLOTLY
    assert not set(page.tags()) & {"link", "img", "iframe", "object", "embed", "form"}
    assert not [attrs for _, attrs in page.elements if "src" in attrs]
    links = [attrs["href"] or "" for _, attrs in page.elements if "href" in attrs]
    names = {attrs["id"] for _, attrs in page.elements if "id" in attrs}
    assert links
    assert all(link.startswith("#") and link[1:] in names for link in links)
    assert not re.search(r"@\w+@|url\(|@import", page.styles[0])


def test_several_groups_are_folded_and_one_is_not() -> None:
    """Native folds, usable by keyboard and without a script, closed."""
    folds = [
        attrs
        for tag, attrs in page_of().elements
        if tag == "details" and attrs.get("class") == "fold"
    ]
    assert [one["id"] for one in folds] == ["group-1", "group-2", "group-3", "group-4"]
    assert not [one for one in folds if "open" in one]
    assert "details" not in page_of(moves_examples.moving()).tags()


def test_charts_are_described_and_tables_have_captions() -> None:
    """A screen reader hears the finding and finds the numbers."""
    page = page_of()
    charts = [attrs for _, attrs in page.elements if attrs.get("role") == "img"]
    assert len(charts) == 5
    assert charts[0]["aria-label"] == (
        "phalaenanthe out from 8 June to 3 October; nobile can stay out all year; spatulata "
        "indoors all year; masdevallia without a verdict. The table below holds the same numbers."
    )
    assert charts[1]["aria-label"] == (
        "Phalaenanthe and hybrids: outdoor-seasonal. Out from 8 June, in by 3 October "
        "(117 days); for the rest of the year it needs a room that stays above 15 °C at night. 10 "
        "of 11 past years kept these dates. The table below holds the same numbers."
    )
    assert page.tags().count("table") == page.tags().count("caption")
    assert all(attrs.get("scope") in {"col", "row"} for tag, attrs in page.elements if tag == "th")
    assert "noscript" in page.tags()


def test_table_of_years_counts_the_nights_of_the_picture() -> None:
    """Year, kept, out, in, days, then hard, wet, dose, heat and not observed nights."""
    page = page_of(moves_examples.moving())
    rows = {row[0]: row[1:] for row in page.rows if re.fullmatch(r"\d{4}", row[0])}
    # GOOD: 20 + 15 hard, 10 wet, 90 + 60 dose; BAD has one more hard and one more wet night
    assert rows["2013"] == ["yes", "24 May", "21 Nov", "181", "35", "10", "150", "0", "0"]
    assert rows["2014"] == ["no", "16 Jul", "21 Nov", "128", "36", "11", "150", "0", "0"]
    assert rows["2012"] == ["?", "?", "?", "?", "9", "0", "0", "0", "356"]


def test_tables_say_dates_and_odds() -> None:
    """Every number of the terminal is on the page."""
    page = page_of()
    rows = [row for row in page.rows if row[0] == "Phalaenanthe and hybrids"]
    out, inn, odds, decades = rows
    assert out[1:] == ["out", "8 Jun", "4 Jun to 20 Jun", "19 May", "19 May to 8 Jun", "94%"]
    assert inn[1:] == ["in", "3 Oct", "29 Sep to 5 Oct", "19 Nov", "3 Oct to 19 Nov", "96%"]
    assert odds[1:] == [
        "117", "90%", "61%", "37%", "10 of 11", "62-98%", "-", "13/45", "-", "",
        "20 May to 20 Oct",
    ]  # fmt: skip
    assert decades[1:] == ["9 of 10", "1 of 1", "+23", "none clear", "0.72", "model"]


def test_a_group_in_no_table_is_told_beside_its_years() -> None:
    """Odds and decades of one that stays out; none of a season that is too short to use."""
    staying = page_of(moves_examples.staying(), thresholds=()).text
    assert "Promise 90% asked for; 99% of new years are expected to keep it" in staying
    assert "Then and now kept by 9 of 10 last years, and by 1 of 1 before" in staying
    assert "Doubts model" in staying
    short = page_of(moves_examples.indoor(), thresholds=()).text
    assert "Survival season 20 May to 20 October: free of nights that harm" in short
    assert "asked for; " not in short
    assert "of new ones" not in short


def test_thresholds_are_on_the_page_in_the_reader_s_unit() -> None:
    """Both conventions, and a sentence where there is no date."""
    page = page_of(units=F)
    assert ["10%", "12 Mar", "11 Mar", "12 Dec", "13 Dec"] in page.rows
    assert "Days of 41.0 °F or colder, at the station" in page.text
    assert "None of 11 winters had such a day" in page.text
    assert "°C" not in page.text
    assert "at the station" not in page_of(thresholds=()).text


def test_page_says_record_licence_and_cautions_and_calls_nothing_safe() -> None:
    """As the page of check does."""
    page = page_of(record=examples.record(station=examples.station()))
    for part in ("Testing Point", "CC0", "Nobody", words.CAUTIONS):
        assert part in page.text, part
    assert not re.search(r"\bsafe", page.text, re.IGNORECASE)
    assert page_of(place=examples.place(invented=True)).text.count(words.INVENTED) == 2


@pytest.mark.parametrize("text", examples.HOSTILE)
def test_hostile_text_adds_no_element_and_nothing_to_scripts(text: str) -> None:
    """Whatever names say, the page has the elements and scripts that a plain name gives."""
    plain = Page(render_page(moves_sheet(moves_examples.hostile_result("plain"), C)))
    page = Page(render_page(moves_sheet(moves_examples.hostile_result(text), C)))
    ours = [(tag, sorted(attrs)) for tag, attrs in page.elements]
    assert ours == [(tag, sorted(attrs)) for tag, attrs in plain.elements]
    assert page.scripts[1:] == plain.scripts[1:]
    assert "<" not in page.scripts[0]
    labels = json.dumps([chart["data"] for chart in page.data["charts"]])
    assert not re.search(r"<(?!br>|extra>|/extra>)", labels)
    assert not set(page.text) & set("\x00\x07\x1b\u202e\u2066\u200f\ud800")


# In the real browser -----------------------------------------------------------------------------

NIGHTS_DRAWN = "return document.querySelectorAll('#{} .bars .point').length"


def shown(page: str, open_page: Callable[..., Chrome], **how: Any) -> Chrome:
    """The page with its years in the window, once their chart is drawn."""
    from selenium.webdriver.support.ui import WebDriverWait

    browser = open_page(page, **how)
    browser.execute_script(
        "const first = document.querySelector('#years details'); if (first) { first.open = true; }"
        "document.getElementById('years').scrollIntoView()"
    )
    WebDriverWait(browser, 20).until(
        lambda driver: driver.execute_script(NIGHTS_DRAWN.format("past-years-1"))
    )
    return browser


def test_years_are_drawn_when_they_are_unfolded(open_page: Callable[..., Chrome]) -> None:
    """By hand, or by a link to them; what is folded is not drawn."""
    from selenium.webdriver.support.ui import WebDriverWait

    browser = shown(render_page(moves_sheet(moves_examples.result(), C)), open_page)
    opened = "return [...document.querySelectorAll('#years details')].map(part => part.open)"
    assert browser.execute_script(opened) == [True, False, False, False]
    assert not browser.execute_script(NIGHTS_DRAWN.format("past-years-3"))
    browser.execute_script("location.hash = '#group-3'")
    WebDriverWait(browser, 20).until(
        lambda driver: driver.execute_script(NIGHTS_DRAWN.format("past-years-3"))
    )
    assert browser.execute_script(opened) == [True, False, True, False]
    assert browser.get_log("browser") == []  # type: ignore[no-untyped-call]


def test_the_pointer_is_told_the_nights_in_words(open_page: Callable[..., Chrome]) -> None:
    """Year, nights, cause, and what the year itself allowed."""
    browser = shown(render_page(moves_sheet(moves_examples.result(), C)), open_page)
    hovers = browser.execute_script(
        "return document.getElementById('past-years-1').data[0].hovertext"
    )
    assert hovers[1] == (  # GOOD begins with twenty hard nights, from 4 February on
        "2013, nights of 4 February to 23 February (20)<br>hard night: below the limit<br>"
        "by itself from 24 May to 21 November, 181 days; kept the season"
    )
    assert "2014, night of 14 July<br>hard night: below the limit<br>" in "\n".join(hovers)


def test_a_phone_does_not_scroll_sideways(open_page: Callable[..., Chrome]) -> None:
    """Tables are stacked or scroll by themselves, months are letters."""
    page = render_page(moves_sheet(moves_examples.result(), C))
    browser = shown(page, open_page, width=360, height=700)
    assert browser.execute_script("return document.documentElement.scrollWidth") <= 360
    months = browser.execute_script(
        "return document.getElementById('past-years-1').layout.xaxis.ticktext"
    )
    assert set(map(len, months)) == {1}
