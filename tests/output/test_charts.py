"""The charts of a check and its page."""

from __future__ import annotations

import hashlib
import json
import re
from functools import cache
from itertools import pairwise
from typing import TYPE_CHECKING, Any

import pytest
from hypothesis import given
from hypothesis import strategies as st
from plotly.graph_objects import Figure

from suitability.advice.terms import Season, Verdict
from suitability.answers import words
from suitability.answers.check import check_sheet
from suitability.answers.check_charts import (
    STATES,
    hours_map,
    hours_title,
    state_words,
    year_bars,
    year_pieces,
    year_title,
)
from suitability.answers.words import DAYS, MONTH_STARTS
from suitability.brief import MONTHS
from suitability.output.drawing import draw_figure
from suitability.output.embedding import ASSETS, PLOTLY_FILE
from suitability.output.figures import sheet_figures
from suitability.output.look import HOURS_SCALE, INK
from suitability.output.look import STATES as LOOKS
from suitability.output.page import render_page
from suitability.units import TemperatureUnit

from . import examples
from .drawn import PACKED, PLACE_OF_PLOTLY, PLOTLY, Page, hash_of, opened
from .legible import contrast

if TYPE_CHECKING:
    from suitability.advice.result import CheckResult

pytestmark = pytest.mark.slow

C, F = TemperatureUnit.C, TemperatureUnit.F


def rendered(result: CheckResult, units: TemperatureUnit = C) -> str:
    return render_page(check_sheet(result, units))


@cache
def plain_page() -> Page:
    return Page(rendered(examples.hostile_result("plain")))


def page_of(*findings: Any, units: TemperatureUnit = C, **changes: Any) -> Page:
    return Page(rendered(examples.result(*findings, **changes), units))


def draw_year(result: CheckResult) -> Figure:
    """As plotly itself takes it: it refuses names and values that it does not know."""
    return Figure(draw_figure(year_bars(result)))


def draw_hours(result: CheckResult, units: TemperatureUnit = C) -> Figure:
    """Likewise."""
    return Figure(draw_figure(hours_map(result, units)))


def test_pieces_fill_the_year_without_overlap() -> None:
    """Every verdict's pieces make 365 days in order."""
    for finding in examples.result().results:
        pieces = year_pieces(finding)
        assert pieces[0].start == 0
        for before, after in pairwise(pieces):
            assert before.start + before.days == after.start
        assert pieces[-1].start + pieces[-1].days == DAYS


def test_pieces_of_a_seasonal_group() -> None:
    """Survives from 20 May, moving from 1 June for 14 days, out to 7 October, survives to 19."""
    # 1 May is day 120, 1 June 151, 1 October 273.
    found = [(one.state, one.start, one.days) for one in year_pieces(examples.seasonal())]
    assert found == [
        ("indoors", 0, 139),
        ("survives", 139, 12),
        ("moving", 151, 14),
        ("outdoors", 165, 115),
        ("survives", 280, 12),
        ("indoors", 292, 73),
    ]


def test_season_across_new_year_stays_whole() -> None:
    """A southern season from 1 October to 1 May wraps: moving in October, out in January."""
    season = Season(out="10-01", inn="05-01", days=212)
    finding = examples.seasonal(season=season, survival_season=season, survival_seasons=(season,))
    found = [(one.state, one.start, one.days) for one in year_pieces(finding)]
    assert found == [
        ("outdoors", 0, 120),
        ("indoors", 120, 153),
        ("moving", 273, 14),
        ("outdoors", 287, 78),
    ]


def test_growth_beyond_the_season_is_not_drawn_outdoors() -> None:
    """One that is nearly all year out grows longer than its promised dates, which are drawn."""
    longer = Season(out="02-05", inn="12-10", days=308)
    finding = examples.seasonal(nearly_all_year=True, growing_seasons=(longer,))
    assert year_pieces(finding) == year_pieces(examples.seasonal())


def test_a_piece_in_a_room_is_not_told_as_outdoors() -> None:
    """Verdict, state and dates in words for a room; the key says both where spots are of both."""
    for piece in year_pieces(examples.seasonal(indoors=True)):
        told = " ".join(piece.told).replace("(outdoor-seasonal)", "")
        assert "out" not in told.replace("without", "")
        assert "carried" not in told
    assert state_words([True])["outdoors"] == "there"
    assert state_words([False, False]) == STATES
    assert state_words([True, False])["outdoors"] == "outdoors, or there in a room"


def test_pieces_of_the_other_verdicts() -> None:
    """All year is outdoors, indoors only never is, and what is unknown is drawn as unknown."""
    assert [one.state for one in year_pieces(examples.all_year())] == ["outdoors"]
    assert {one.state for one in year_pieces(examples.indoor())} == {"indoors", "survives"}
    assert [one.state for one in year_pieces(examples.no_verdict())] == ["unknown"]


@given(st.integers(0, 364), st.integers(1, 365), st.sampled_from(list(Verdict)))
def test_days_drawn_outdoors_are_the_days_of_the_season(
    first: int, days: int, verdict: Verdict
) -> None:
    """Whatever the season, moving and outdoors together have its days, or none."""
    month = max(number for number, start in enumerate(MONTH_STARTS) if start <= first)
    out = f"{month + 1:02d}-{first - MONTH_STARTS[month] + 1:02d}"
    season = Season(out=out, inn="01-01", days=days)
    finding = examples.seasonal(verdict=verdict, season=season, survival_season=season)
    drawn = sum(one.days for one in year_pieces(finding) if one.state in {"moving", "outdoors"})
    expected = {Verdict.SEASONAL: days, Verdict.ALL_YEAR: DAYS}.get(verdict, 0)
    assert drawn == expected
    assert sum(one.days for one in year_pieces(finding)) == DAYS


def test_year_figure_draws_the_pieces() -> None:
    """Bars of the figure are the pieces, groups in their order from the top."""
    figure = draw_year(examples.result())
    bars = {trace.name: trace for trace in figure.data}
    outdoors = bars[STATES["outdoors"]]
    assert list(outdoors.y) == ["nobile", "phalaenanthe"]
    assert list(outdoors.base) == [0, 165]
    assert list(outdoors.x) == [365, 115]
    assert list(figure.layout.yaxis.categoryarray) == [
        "nobile",
        "phalaenanthe",
        "paphiopedilum-warm",
        "masdevallia",
    ]
    assert figure.layout.yaxis.autorange == "reversed"
    assert "standard time" in figure.layout.xaxis.title.text


def test_figures_state_their_finding_and_write_months_on_top() -> None:
    """Titles are sentences; twelve months stand above the plot; a picture has title and scale."""
    result = examples.result()
    drawn = sheet_figures(check_sheet(result, C))
    assert [one.name for one in drawn] == ["year", "hours"]
    for one, title in zip(drawn, (year_title(result, C), hours_title(result)), strict=True):
        layout = Figure(one.figure).layout
        assert layout.title.text.replace("<br>", " ") == title  # a long one is broken
        above = [note.text for note in layout.annotations if note.yref == "paper"]
        assert above == [month[:3] for month in MONTHS]
    assert (
        drawn[1].figure["data"][0]["colorbar"]["title"]["text"]
        == "hours a month below the floor; 744 h: all of it"
    )
    assert year_title(result, C) == (
        "Of 4 groups at Testing Cove, nobile would be happiest: out all year, at ease "
        "for 45 weeks, needs no cool rest; then phalaenanthe."
    )
    assert hours_title(result) == (
        "January has the most hours below a growth floor: up to 400 h in a mean year."
    )


def test_title_of_one_group_names_it() -> None:
    """One group asked, one group answered."""
    assert year_title(examples.result(examples.seasonal()), C) == (
        "Phalaenanthe and hybrids at Testing Cove: outdoor-seasonal. Out from 1 June, in by 8 "
        "October (129 days); for the rest of the year it needs a room that stays above 15 °C at "
        "night. 10 of 11 past years kept these dates."
    )


def test_titles_without_cold_and_without_data() -> None:
    """No hour below, and nothing observed, are two different sentences."""
    never = examples.below((0.0,) * 12)
    assert "No group spends an hour" in hours_title(examples.result(examples.all_year(**never)))
    assert "no month was observed" in hours_title(examples.result(examples.no_verdict()))


def test_hours_figure_holds_the_hours() -> None:
    """Cells are the climatological hours, unknown ones empty with a question mark."""
    figure = draw_hours(examples.result(examples.seasonal()))
    heat = figure.data[0]
    assert list(heat.z[0]) == list(examples.HOURS)
    assert list(heat.text[0])[:6] == ["400", "350", "300", "150", "40", "&lt;1"]
    marks = [note for note in figure.layout.annotations if note.text == words.UNKNOWN]
    assert [(note.x, note.y) for note in marks] == [(11, "phalaenanthe")]


def test_hover_text_is_in_words_with_units_and_the_bad_year() -> None:
    """Hovering a month tells floor, mean, bad year and years."""
    hover = draw_hours(examples.result(examples.seasonal()), F).data[0].hovertext[0]
    # 400.04 x 1.25 = 500.05
    assert hover[0] == (
        "Phalaenanthe and hybrids, January<br>400 h below 59.0 °F in a mean year<br>"
        "500 h in a bad year (one in ten)<br>from 12 years"
    )
    assert hover[11].endswith("December: not observed well enough")


def test_several_spots_have_labels_of_their_own() -> None:
    """The same group at two spots is two rows."""
    result = examples.result(examples.seasonal(), examples.seasonal(spot="porch"))
    labels = list(draw_year(result).layout.yaxis.categoryarray)
    assert labels == ["phalaenanthe, open-air", "phalaenanthe, porch"]


def test_labels_differ_even_where_names_do_not() -> None:
    """Two findings with the same long name do not fall into one row."""
    result = examples.result(*(examples.seasonal(group="x" * 80 + str(n)) for n in range(3)))
    assert len(set(draw_year(result).layout.yaxis.categoryarray)) == 3


def test_page_is_the_same_twice() -> None:
    """The same result gives the same bytes."""
    first, again = (rendered(examples.result()) for _ in range(2))
    assert first == again


def test_page_is_small_and_needs_no_network() -> None:
    """Under 2 MB with the whole catalogue's number of groups; nothing is loaded from outside."""
    many = [examples.seasonal(group=f"group-{number:02d}") for number in range(28)]
    text = rendered(examples.result(*many))
    assert len(text.encode("utf-8")) < 2_000_000
    page = Page(text)
    assert not set(page.tags()) & {"link", "img", "iframe", "object", "embed", "form"}
    assert not [attrs for _, attrs in page.elements if "src" in attrs]
    assert not [
        attrs for _, attrs in page.elements if not str(attrs.get("href", "#")).startswith("#")
    ]
    assert "@import" not in page.styles[0]
    assert "url(" not in page.styles[0]


def test_policy_allows_the_page_s_own_scripts_and_nothing_else() -> None:
    """Hashes in the policy are those of the scripts and style in the page."""
    page = page_of()
    policy = page.policy
    data, plotly, own = page.scripts
    assert plotly == PLACE_OF_PLOTLY
    assert policy["script-src"].split() == [hash_of(PLOTLY), hash_of(own)]
    assert policy["style-src"].split() == [hash_of(page.styles[0]), hash_of("")]
    assert policy["default-src"] == "'none'"
    assert "unsafe" not in " ".join(policy.values())
    assert [chart["id"] for chart in json.loads(data)["charts"]] == ["year", "hours"]


def test_page_has_language_landmarks_and_headings() -> None:
    """A screen reader finds its way."""
    page = page_of()
    assert ("html", {"lang": "en"}) in page.elements
    assert {"header", "main", "section", "footer", "h1", "h2", "caption", "noscript"} <= set(
        page.tags()
    )
    charts = [attrs for _, attrs in page.elements if attrs.get("role") == "img"]
    assert [attrs["id"] for attrs in charts] == ["year", "hours"]
    assert all(attrs["aria-label"] for attrs in charts)
    assert all(attrs.get("scope") in {"col", "row"} for tag, attrs in page.elements if tag == "th")


def test_tables_of_the_page_equal_the_document() -> None:
    """Every number of the charts is in a table, and is the JSON's."""
    result = examples.result()
    page = Page(rendered(result))
    mean = {row[0]: row for row in page.rows if len(row) == 15}
    bad = {row[0]: row for row in page.rows if len(row) == 14}
    for finding in result.results:
        months = [words.hours(value) for value in finding.hours_below.months]
        assert mean[finding.group_name][2:14] == months
        in_bad = [words.hours(value) for value in finding.hours_below_bad]
        assert bad[finding.group_name][2:14] == in_bad
    dates = {row[0]: row for row in page.rows if len(row) == 11}
    assert dates["Phalaenanthe and hybrids"][2:4] == ["1 Jun to 8 Oct", "129"]
    assert dates["Nobile type (soft-cane)"][2:4] == ["all year", "365"]
    assert "No verdict for masdevallia: Only 0 usable plant years, 3 are needed." in page.text


def test_page_says_record_licence_and_cautions() -> None:
    """Attribution, licence, coverage and the limits of the answer are on the page."""
    page = page_of(record=examples.record(station=examples.station()))
    for part in ("Testing Point", "14 km away", "CC0", "Nobody", "99.5%", words.CAUTIONS):
        assert part in page.text, part
    assert not re.search(r"\bsafe", page.text, re.IGNORECASE)


def test_page_of_an_invented_place_says_so_twice() -> None:
    """At the head and at the foot."""
    assert page_of(place=examples.place(invented=True)).text.count(words.INVENTED) == 2
    assert words.INVENTED not in page_of().text


def test_page_in_fahrenheit_has_no_celsius() -> None:
    """One unit a page."""
    page = page_of(units=F)
    assert "°C" not in page.text + page.scripts[0]
    assert "59.0 °F" in page.text


@pytest.mark.parametrize("text", examples.HOSTILE)
def test_hostile_text_adds_no_element_and_no_attribute(text: str) -> None:
    """Whatever names say, the page has the elements that a plain name gives."""
    plain = plain_page()
    source = rendered(examples.hostile_result(text))
    page = Page(source)
    ours = [(tag, sorted(attrs)) for tag, attrs in page.elements]
    assert ours == [(tag, sorted(attrs)) for tag, attrs in plain.elements]
    assert page.scripts[1:] == plain.scripts[1:]
    assert len(source) < len(PACKED) + 100_000
    assert not set(page.text) & set("\x00\x07\x1b\u202e\u2066\u200f\ud800")


@pytest.mark.parametrize("text", examples.HOSTILE)
def test_hostile_text_is_no_markup_in_figures(text: str) -> None:
    """Plotly reads a few tags in labels: names bring none, and nothing ends the data's script."""
    page = Page(rendered(examples.hostile_result(text)))
    raw = page.scripts[0]
    assert "<" not in raw
    data = json.loads(raw)
    for chart in opened(data["charts"], data["parts"]):
        labels = list(chart["data"]["layout"]["yaxis"]["categoryarray"])
        assert not [label for label in labels if "<" in label]
        for trace in chart["data"]["data"]:
            hovers = trace["hovertext"]
            flat = [one for row in hovers for one in (row if isinstance(row, list) else [row])]
            tags = set(re.findall(r"<[^>]*>", " ".join(flat)))
            assert tags <= {"<br>"}


def test_plotting_script_is_the_one_we_say() -> None:
    """Unchanged bytes, its licence beside it, and of the major version that builds the figures."""
    from plotly.offline import get_plotlyjs_version

    notes = (ASSETS / "README.md").read_text("utf-8")
    data = PLOTLY_FILE.read_bytes()
    assert hashlib.sha256(data).hexdigest() in notes
    assert PLOTLY_FILE.name in notes
    assert (ASSETS / "LICENSE-plotly.txt").read_text("utf-8").startswith("MIT License")
    ours = PLOTLY_FILE.name.removeprefix("plotly-cartesian-").split(".")[0]
    assert ours == str(get_plotlyjs_version()).split(".")[0]
    assert b"</script" not in data.lower()
    assert b"\r" not in data


def test_text_on_every_fill_is_legible() -> None:
    """At least 4.5 to 1 (WCAG 2.2, 1.4.3), on bars and on every tone of the hours."""
    assert list(LOOKS) == list(STATES)
    for name, look in LOOKS.items():
        assert contrast(look.fill, look.text) >= 4.5, name
    for _, tone in HOURS_SCALE:
        # plotly writes white on dark cells and #444444 on light ones
        assert max(contrast(tone, "#ffffff"), contrast(tone, "#444444")) >= 4.5, tone
    assert contrast(INK, "#fbfaf6") >= 7.0


def test_states_differ_without_colour() -> None:
    """Neighbouring states differ in hatch or clearly in lightness."""
    looks = list(LOOKS.values())
    for at, one in enumerate(looks):
        for other in looks[at + 1 :]:
            assert one.hatch != other.hatch or contrast(one.fill, other.fill) > 3.0
