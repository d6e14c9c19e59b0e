"""Text, document, CSV, page and pictures of a year."""

from __future__ import annotations

import csv
import html
import io
import json
import re
from pathlib import Path
from typing import Any

import jsonschema
import pytest
from msgspec.structs import replace
from plotly.graph_objects import Figure

from suitability.advice.growth_year import GrowthYearResult, Note, Phase, SetBy, Where
from suitability.answers import check_charts, phases
from suitability.answers.year import year_sheet
from suitability.answers.year_charts import course, weeks
from suitability.output.chart_course import course_figure
from suitability.output.chart_weeks import LOOKS, weeks_figure
from suitability.output.datatables import main_table
from suitability.output.document import render_json
from suitability.output.look import PHASES, STATES
from suitability.output.page import render_page
from suitability.output.tablefiles import render_csv
from suitability.output.terminal import render_terminal
from suitability.units import TemperatureUnit

from . import examples, weeks_examples
from .closed import check_closed

pytestmark = pytest.mark.slow

SCHEMA = json.loads(
    (Path(__file__).parents[2] / "docs" / "schema" / "year.json").read_text("utf-8")
)
VALIDATOR = jsonschema.Draft202012Validator(SCHEMA)
C, F = TemperatureUnit.C, TemperatureUnit.F


def document_of(result: GrowthYearResult) -> dict[str, Any]:
    """What its JSON document says."""
    found: dict[str, Any] = json.loads(render_json(result))
    return found


def shown(*years: Any, week: int = 47, units: TemperatureUnit = C, width: int = 80) -> str:
    """The tables without colour."""
    sheet = year_sheet(weeks_examples.result(*years), week, units)
    return render_terminal(sheet, width=width, colour=False)


def page_of(result: GrowthYearResult) -> str:
    """The page of week 47."""
    return render_page(year_sheet(result, 47, C))


def rows_of(result: GrowthYearResult) -> list[dict[str, str]]:
    """The rows of its CSV."""
    return list(csv.DictReader(io.StringIO(render_csv(main_table(result, "results weeks")))))


# The document -----------------------------------------------------------------------------------


def test_every_kind_of_calendar_follows_the_schema() -> None:
    """With and without a verdict, a room, a station."""
    jsonschema.Draft202012Validator.check_schema(SCHEMA)
    for changes in (
        {},
        {"room_c": None},
        {"record": examples.record(station=examples.station())},
    ):
        VALIDATOR.validate(document_of(weeks_examples.result(**changes)))


@pytest.mark.slow
def test_the_schema_refuses_missing_and_unknown_keys_everywhere() -> None:
    """Whatever object loses or gains a key, the schema sees it."""
    record = examples.record(station=examples.station())
    whole = document_of(weeks_examples.result(record=record))
    check_closed(whole, SCHEMA, free="years_usable", kinds=14)


def test_the_schema_lists_every_word_that_may_stand_there() -> None:
    """Phases, places, what sets a change, notes."""
    kinds = {"Phase": Phase, "Where": Where, "SetBy": SetBy, "Note": Note}
    for name, words in kinds.items():
        assert SCHEMA["$defs"][name]["enum"] == sorted(word.value for word in words)


def test_what_is_not_known_is_null() -> None:
    """A group without a calendar has every key; a place's week without a value too."""
    document = document_of(weeks_examples.result())
    unjudged = document["results"][2]
    assert {key for key, value in unjudged.items() if value is None} == {
        "season",
        "survival_season",
        "growing_seasons",
        "grows_from",
        "rest_weeks",
    }
    assert unjudged["runs"] == unjudged["weeks"] == unjudged["changes"] == []
    assert document["courses"][0]["weeks"][0]["night_c"] is None
    nan = weeks_examples.resting(floor_c=float("nan"))
    rendered = render_json(weeks_examples.result(nan))
    assert json.loads(rendered)["results"][0]["floor_c"] is None


def test_place_record_and_settings_are_those_of_check() -> None:
    """One description of them, whichever command is asked."""
    year = document_of(weeks_examples.result())
    check = json.loads(render_json(examples.result()))
    for key in ("place", "record", "settings"):
        assert year[key] == check[key]


@pytest.mark.parametrize("text", examples.HOSTILE)
def test_hostile_names_stay_text(text: str) -> None:
    """In the document as they were read; in tables without escape codes; in the page escaped."""
    result = weeks_examples.hostile_result(text)
    rendered = render_json(result)
    assert "\n" not in rendered
    assert rendered.isascii()
    assert json.loads(rendered)["results"][0]["runs"][0]["water"] == text
    table = render_terminal(year_sheet(result, 1, C), width=80, colour=False)
    assert not re.search(r"[\x00-\x09\x0b-\x1f\u202a-\u202e\u2066-\u2069\ud800-\udfff]", table)
    assert max(map(len, table.splitlines())) <= 80
    page = page_of(result)
    body = page.split("<script", 1)[0]
    assert "<script>alert" not in body
    assert "<img" not in body
    assert "<a href='https" not in body
    for row in rows_of(result):
        for cell in (row["group"], row["spot"], row["place_name"]):
            assert not cell.startswith(("=", "+", "-", "@", "\t", "\r"))


# Tables -----------------------------------------------------------------------------------------


def test_the_week_tells_what_to_do_and_what_comes_next() -> None:
    """Week 47: nobile rests since week 44, and wakes in week 6."""
    text = shown()
    told = " ".join(text.split())
    assert "Week 47, 19 November to 25 November: of 3 groups at Testing Cove, 1" in told
    assert re.search(r"^nobile +resting outdoors +daily in heat +weak feed", text, re.MULTILINE)
    assert re.search(r"^nobile +waking +6 Feb +23 Jan-20 Feb +nights +none$", text, re.MULTILINE)
    assert re.search(
        r"^phalaenanthe +growing +20 Feb +every year +room +only 7 years$", text, re.MULTILINE
    )
    assert re.search(
        r"^nobile +2 Apr-23 Sep +24 Sep-28 Oct +29 Oct-4 Feb +5 Feb-1 Apr$", text, re.MULTILINE
    )
    assert "No calendar for masdevallia: Only 1 usable plant year, 3 are needed." in text


def test_few_groups_are_told_in_full() -> None:
    """Every run with water, feed, signs; every change; rest; every note."""
    text = " ".join(shown().split())
    for part in (
        "usually 6 February; from 23 January to 20 February in 10 of 11",
        "cool enough outdoors in 9 of 11 years, partly in 1, if kept dry; complete",
        "complete usually by 1 Dec",
        "outdoors from 4 June, indoors by 5 October",
        "A room at 18.0 °C is too warm for its rest",
        "Only 7 years stand behind it",
        "Air outdoors days cooler than it likes 4 June to 7 October",
        "Signs of harm soft brown patches",
        "Fertiliser, sprays and slug bait stay out of reach of children and pets",
    ):
        assert part in text, part


def test_a_plant_in_a_room_stands_in_the_room() -> None:
    """Where it stands is told of the room, in the table and in full; nothing there is outdoors."""
    text = " ".join(shown(weeks_examples.moving(indoors=True), week=30).split())
    assert "in this room from 4 June, not in this room by 5 October" in text
    assert "Air there days cooler than it likes" in text
    assert "in this room" in text.split("What comes next")[0]
    assert "Air outdoors" not in text


def test_tables_fit_80_columns_and_other_widths_without_colour() -> None:
    """Plain text, no trailing blanks; three groups and more."""
    many = [weeks_examples.moving(group=f"group-{number}") for number in range(5)]
    for years in ((), many):
        for width in (60, 80, 140):
            text = shown(*years, width=width)
            assert "\x1b" not in text
            lines = text.splitlines()
            assert max(map(len, lines)) <= width
            assert not [line for line in lines if line != line.rstrip()]


def test_notes_of_many_groups_are_said_once() -> None:
    """With the groups that they belong to."""
    many = [weeks_examples.moving(group=f"group-{number}") for number in range(5)]
    text = " ".join(shown(*many).split())
    assert text.count("This place has no winter") == 1
    assert "All: This place has no winter" in text
    mixed = " ".join(shown(*many, weeks_examples.resting()).split())
    assert "group-0, group-1, group-2 and 2 more: This place has no winter" in mixed


def test_fahrenheit_for_people() -> None:
    """15 °C are 59 °F; the weeks of the place too."""
    text = shown(units=F)
    assert "59.0 °F" in text
    assert "50.9 °F" in text  # 10.5 °C, night of week 5
    assert "°C" not in text.replace("0.6 °C", "")


def test_a_year_without_a_change_says_so() -> None:
    """Growing in all 52 weeks."""
    whole = weeks_examples.run(Phase.GROWING, 1, 52)
    year = weeks_examples.resting(runs=(whole,), changes=())
    text = shown(year)
    assert re.search(r"^nobile +no change +- +- +- +none$", text, re.MULTILINE)
    assert re.search(r"^nobile +all year +- +- +-$", text, re.MULTILINE)
    assert re.search(r"^Growing +all year$", text, re.MULTILINE)


def test_a_run_is_found_across_new_year() -> None:
    """Week 2 belongs to the rest that began in week 44, week 44 too, and 43 not."""
    year = weeks_examples.resting()
    phase = {week: phases.run_of_week(year, week) for week in (2, 5, 6, 43, 44, 52)}
    assert {week: run.phase for week, run in phase.items() if run is not None} == {
        2: Phase.RESTING, 5: Phase.RESTING, 6: Phase.WAKING, 43: Phase.SLOWING,
        44: Phase.RESTING, 52: Phase.RESTING,
    }  # fmt: skip
    following = phases.next_run(year, 43)
    assert following is not None
    assert following.phase is Phase.RESTING
    assert phases.run_of_week(weeks_examples.unjudged(), 3) is None


# CSV --------------------------------------------------------------------------------------------


def test_one_row_a_group_and_week() -> None:
    """52 each; a group without a calendar has none."""
    rows = rows_of(weeks_examples.result())
    assert [row["week"] for row in rows] == [str(week) for week in range(1, 53)] * 2
    assert (rows[0]["phase"], rows[5]["phase"], rows[51]["phase"]) == (
        "resting", "waking", "resting",
    )  # fmt: skip
    assert rows[52]["where"] == "indoors"
    assert {row["group"] for row in rows} == {"nobile", "phalaenanthe"}


# The page ---------------------------------------------------------------------------------------


def test_the_chart_draws_every_week_once() -> None:
    """Phases and places of a group fill its year, 365 days each; moving in lies on top."""
    figure = Figure(weeks_figure(weeks(weeks_examples.result())))
    kinds = {phase.value for phase in Phase}
    places = set(check_charts.STATES.values())
    for label, names in (("nobile", kinds), ("phalaenanthe", kinds), ("phalaenanthe", places)):
        days: set[int] = set()
        for trace in figure.data:
            if trace.name in names:
                for row, base, length in zip(trace.y, trace.base, trace.x, strict=True):
                    if row == label:
                        span = set(range(base, base + length))
                        assert not span & days
                        days |= span
        assert days == set(range(365))
    (unknown,) = [trace for trace in figure.data if trace.name == "no calendar"]
    assert list(unknown.y) == ["masdevallia"]
    assert figure.layout.xaxis.title.text == "day of the year, standard time"


def test_phases_differ_in_hatch_or_lightness_and_are_named() -> None:
    """Meaning never hangs on colour."""
    assert len({look.hatch for look in PHASES.values()}) == len(PHASES)
    assert len({look.fill for look in PHASES.values()}) == len(PHASES)
    assert set(PHASES) == {phase.value for phase in Phase}
    assert set(LOOKS) == {*(phase.value for phase in Phase), *check_charts.STATES}


def test_phases_and_places_have_their_own_looks_and_heights() -> None:
    """Phases above, places in a strip below, drawn as check draws them; moving in as out."""
    figure = Figure(weeks_figure(weeks(weeks_examples.result())))
    looks = {phase: look.fill for phase, look in PHASES.items()}
    drawn = ("indoors", "outdoors", "slowed", "moving")
    looks |= {check_charts.STATES[name]: STATES[name].fill for name in drawn}
    looks |= {"moving in: the last week": STATES["moving"].fill}
    looks |= {"no calendar": STATES["unknown"].fill}
    assert {trace.name: trace.marker.color for trace in figure.data} == looks
    for trace in figure.data:
        top, bottom = trace.offset, trace.offset + trace.width
        assert -0.5 < top < bottom < 0.5
        if trace.name != "no calendar":
            assert (bottom < 0.18) == (trace.name in PHASES)
            assert (top > 0.18) == (trace.name not in PHASES)


def test_the_lines_of_the_course_are_those_of_its_note() -> None:
    """Solid nights, dashed days, a dotted length of the day."""
    figure = Figure(course_figure(course(weeks_examples.course(), C)))
    assert {trace.name: trace.line.dash for trace in figure.data} == {
        "night minimum": "solid", "day maximum": "dash", "day length": "dot",
    }  # fmt: skip
    assert len({trace.line.color for trace in figure.data}) == 3


def test_the_course_is_drawn_in_the_reader_s_unit() -> None:
    """Days, nights and the length of the day, gaps left open."""
    figure = Figure(course_figure(course(weeks_examples.course(), F)))
    by_name = {trace.name: trace for trace in figure.data}
    assert by_name["night minimum"].y[0] is None
    assert by_name["night minimum"].y[4] == 50.9  # 10.5 °C
    assert by_name["day length"].yaxis == "y2"
    assert figure.layout.yaxis.title.text == "temperature, °F"
    assert figure.layout.yaxis2.title.text == "day length, h"


def test_the_page_holds_the_numbers_in_tables_and_needs_no_network() -> None:
    """The same bytes twice, no address to load from, every date of a run in a table."""
    result = weeks_examples.result()
    page = page_of(result)
    assert page == page_of(result)
    head = page.split('<script type="application/json"')[0]
    assert not re.search(r'(?:src|href)="(?!#)', head)
    assert "default-src 'none'" in html.unescape(page)
    for year in result.results:
        for run in year.runs:
            assert html.escape(phases.run_dates(run)) in head
    for part in ("20 February", "Only 1 usable plant year", "10 of 11", "12.0 h", "daily in heat"):
        assert part.replace("20 February", "20 Feb") in head
    assert len(page) < 1_700_000


def test_two_spots_are_named_everywhere() -> None:
    """In titles of tables, labels and the places' own years."""
    result = weeks_examples.result(
        weeks_examples.resting(),
        weeks_examples.resting(spot="porch"),
        courses=(weeks_examples.course(), weeks_examples.course("porch")),
    )
    text = render_terminal(year_sheet(result, 47, C), width=80, colour=False)
    for part in ("Week 47 at the spot porch", "The year of the place at the spot open-air"):
        assert part in text
    page = page_of(result)
    assert "Nobile type (soft-cane), porch" in page
    assert "Nights at Testing Cove, porch are mildest in " in page


def test_no_colour_and_colour_say_the_same() -> None:
    """Escape codes only help."""
    result = weeks_examples.result()
    plain = render_terminal(year_sheet(result, 47, C), width=80, colour=False)
    coloured = render_terminal(year_sheet(result, 47, C), width=80, colour=True)
    assert re.sub(r"\x1b\[[0-9;]*m", "", coloured).split() == plain.split()
    made = replace(result, place=examples.place(invented=True))
    invented = render_terminal(year_sheet(made, 47, C), width=80, colour=False)
    assert "INVENTED" in invented
