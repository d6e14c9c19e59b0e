"""The sheet of a year beside its result: every cell under its head, every sentence."""

from __future__ import annotations

from typing import TYPE_CHECKING

import pytest
from msgspec.structs import replace

from suitability.advice.growth_year import (
    AirWord,
    Change,
    CourseWeek,
    GrowthYear,
    Note,
    Phase,
    PhaseRun,
    RestKind,
    SetBy,
    Stay,
    Where,
)
from suitability.advice.result import RestFinding
from suitability.advice.terms import Flowers, Missing, RestRoom, Season, Verdict
from suitability.answers import phases
from suitability.answers.sheet import Chart, Facts, On, Section, Sheet, Table, Text
from suitability.answers.year import (
    beside_table,
    care_table,
    changes_table,
    course_table,
    next_table,
    phases_table,
    week_table,
    year_sheet,
)
from suitability.answers.year_charts import WeekStretch, course, phase_tracks, phases_key, weeks
from suitability.units import TemperatureUnit
from tests.output import examples, weeks_examples

if TYPE_CHECKING:
    from collections.abc import Sequence

C, F = TemperatureUnit.C, TemperatureUnit.F
NIGHTS = Change(
    phase=Phase.RESTING,
    set_by=SetBy.NIGHTS,
    day="10-30",
    week=44,
    run_week=45,
    earliest_day="10-16",
    latest_day="11-13",
    earliest_week=42,
    latest_week=46,
    years_with=8,
    of_years=9,
)


def cells(table: Table, at: int = 0) -> dict[str, str]:
    """One row by its heads."""
    heads = [column.title for column in table.columns]
    assert len(set(heads)) == len(heads)
    return dict(zip(heads, (cell.text for cell in table.rows[at]), strict=True))


def stretch(phase: Phase, first_week: int, weeks: int, name: str) -> PhaseRun:
    """A run of which every text is another."""
    care = {"water": f"{name} water", "feed": f"{name} feed", "look_for": f"{name} signs"}
    return weeks_examples.run(phase, first_week, weeks, care)


def distinct(**changes: object) -> GrowthYear:
    """A group in which no two fields of a table have the same value, out for a season."""
    runs = (
        stretch(Phase.RESTING, 45, 13, "rest"),
        stretch(Phase.WAKING, 6, 8, "wake"),
        stretch(Phase.GROWING, 14, 25, "grow"),
        stretch(Phase.SLOWING, 39, 6, "slow"),
    )
    stays = (
        weeks_examples.stay(Where.INDOORS, 47, 30),
        weeks_examples.stay(Where.MOVING_OUT, 25, 2),
        weeks_examples.stay(Where.OUTDOORS, 27, 19),
        weeks_examples.stay(Where.MOVING_IN, 46, 1),
    )
    made = weeks_examples.resting(
        verdict=Verdict.SEASONAL,
        of_years=9,
        season=Season(out="06-18", inn="11-18", days=153),
        survival_season=Season(out="06-11", inn="11-18", days=160),
        growing_seasons=(Season(out="06-18", inn="09-24", days=98),),
        runs=runs,
        stays=stays,
        weeks=weeks_examples.weeks_from(runs, stays),
        changes=(NIGHTS,),
        notes=(Note.NO_WINTER,),
        flowers=Flowers.HARDLY,
        rest=RestFinding(
            needed=True,
            missing=Missing.COLD,
            met_years=7,
            partly_years=1,
            of_years=9,
            usual_date="12-05",
            latest_date="01-21",
            room=RestRoom(low_c=6.0, high_c=14.0, nights=23),
        ),
    )
    return replace(made, **changes)


# Tables ------------------------------------------------------------------------------------------


def test_the_week_has_each_value_under_its_head() -> None:
    """What it does, where it stands, its water and its feed, of the week asked."""
    assert cells(week_table([distinct()], 46)) == {
        "Group": "Nobile type (soft-cane)",
        "Does": "resting",
        "Stands": "moving in",
        "Water": "rest water",
        "Feed": "rest feed",
    }
    assert cells(week_table([distinct()], 30))["Does"] == "growing"
    assert cells(week_table([distinct()], 25))["Stands"] == "moving out"


def test_a_group_has_its_key_where_there_is_little_room() -> None:
    """Its name on a page."""
    cell = week_table([distinct()], 46).rows[0][0]
    assert (cell.text, cell.short) == ("Nobile type (soft-cane)", "nobile")


def test_what_comes_next_has_each_value_under_its_head() -> None:
    """The change after the week, its usual day, its spread, what sets it, and what weakens it."""
    few = distinct(of_years=7, notes=(Note.FEW_YEARS,))
    assert cells(next_table([few], 40)) == {
        "Group": "Nobile type (soft-cane)",
        "Next": "resting",
        "Usually": "30 Oct",
        "Earliest-latest": "16 Oct-13 Nov",
        "Set by": "nights",
        "Doubts": "only 7 years",
    }
    assert cells(next_table([distinct()], 40))["Doubts"] == "none"


@pytest.mark.parametrize(
    ("set_by", "said", "spread"),
    [
        (SetBy.NIGHTS, "nights", "16 Oct-13 Nov"),
        (SetBy.DAY_LENGTH, "day length", "every year"),
        (SetBy.ROOM, "room", "every year"),
        (SetBy.MOVE, "move", "every year"),
    ],
)
def test_what_sets_a_change_is_said_alike_in_both_tables(
    set_by: SetBy, said: str, spread: str
) -> None:
    """Of what comes next, and of all changes."""
    year = distinct(changes=(replace(NIGHTS, set_by=set_by),))
    for told in (
        cells(next_table([year], 40)),
        cells(changes_table(weeks_examples.result(year))),
    ):
        assert (told["Set by"], told["Earliest-latest"]) == (said, spread)


def test_a_year_without_a_change_has_no_day() -> None:
    """Nothing comes next."""
    year = distinct(runs=(stretch(Phase.GROWING, 1, 52, "x"),), changes=())
    told = cells(next_table([year], 40))
    assert list(told.values())[1:5] == ["no change", "-", "-", "-"]


def test_the_year_has_each_phase_under_its_head() -> None:
    """First and last day of each; where it stands, on a page."""
    table = phases_table([distinct()])
    assert cells(table) == {
        "Group": "Nobile type (soft-cane)",
        "Growing": "2 Apr-23 Sep",
        "Slowing": "24 Sep-4 Nov",
        "Resting": "5 Nov-4 Feb",
        "Waking": "5 Feb-1 Apr",
        "Stands": (
            "outdoors from 18 June, indoors by 18 November; the first two weeks are for hardening"
        ),
    }
    assert [column.title for column in table.columns if column.on is On.PAGE] == ["Stands"]


def test_where_it_stands_says_when_growth_begins() -> None:
    assert phases.standing_text(distinct(grows_from="06-30")).endswith(
        "are for hardening; at first survives, does not grow yet before 30 June"
    )


def test_stretches_of_a_phase_stand_below_each_other_on_a_terminal() -> None:
    """And in a row on a page; a phase that does not come is a stroke."""
    runs = (
        stretch(Phase.GROWING, 1, 20, "a"),
        stretch(Phase.SLOWING, 21, 10, "b"),
        stretch(Phase.GROWING, 31, 22, "c"),
    )
    growing, _, resting = phases_table([distinct(runs=runs)]).rows[0][1:4]
    assert (growing.text, growing.short) == (
        "1 Jan-20 May, 30 Jul-31 Dec",
        "1 Jan-20 May\n30 Jul-31 Dec",
    )
    assert resting.text == "-"


def test_the_changes_have_each_value_under_its_head() -> None:
    """What begins, usually when, and among how many past years."""
    assert cells(changes_table(weeks_examples.result(distinct()))) == {
        "Group": "Nobile type (soft-cane)",
        "Begins": "resting",
        "Usually": "30 Oct",
        "Week": "44",
        "Earliest-latest": "16 Oct-13 Nov",
        "Years": "8 of 9",
        "Set by": "nights",
    }
    silent = replace(NIGHTS, set_by=SetBy.ROOM, years_with=0, of_years=0)
    assert cells(changes_table(weeks_examples.result(distinct(changes=(silent,)))))["Years"] == "-"


def test_the_care_has_each_text_under_its_head() -> None:
    """Of each stretch of a phase, in their order."""
    table = care_table(weeks_examples.result(distinct()))
    assert cells(table) == {
        "Group": "Nobile type (soft-cane)",
        "Does": "resting",
        "When": "5 Nov-4 Feb",
        "Water": "rest water",
        "Feed": "rest feed",
        "Look for": "rest signs",
    }
    assert [row[1].text for row in table.rows] == ["resting", "waking", "growing", "slowing"]


REST_C = (
    "cool, bright and nearly dry; usually 6 to 10 weeks; flowers: hardly, cold is missing: cool "
    "enough outdoors in 7 of 9 years, partly in 1; 23 nights in a bright room at 6 °C to 14 °C "
    "bring them; complete usually by 5 December, at the latest by 21 January"
)
REST_F = REST_C.replace("6 °C", "43 °F").replace("14 °C", "57 °F")


@pytest.mark.parametrize(("units", "rest", "cold"), [(C, REST_C, "12 °C"), (F, REST_F, "54 °F")])
def test_what_is_beside_a_calendar_has_each_text_under_its_head(
    units: TemperatureUnit, rest: str, cold: str
) -> None:
    """Air, rest, signs, what else is said, whence, and notes; in the reader's unit."""
    year = distinct(first_signs="buds blast below 12 °C", about="Likes 12 °C.", mark="reasoned")
    assert cells(beside_table(weeks_examples.result(year), units)) == {
        "Group": "Nobile type (soft-cane)",
        "Air outdoors": "days cooler than it likes 18 June to 18 November",
        "Rest": rest,
        "Signs of harm": f"buds blast below {cold}",
        "About it": f"Likes {cold}.",
        "Words from": "its catalogue (mark: reasoned)",
        "Notes": ("This place has no winter: nothing in its nights starts or ends a rest."),
    }
    withheld = cells(beside_table(weeks_examples.result(weeks_examples.unjudged()), units))
    assert withheld["Notes"] == "Only 1 usable plant year, 3 are needed."


@pytest.mark.parametrize(
    ("night", "day", "said"),
    [
        (AirWord.BELOW_REST_FLOOR, AirWord.FITTING, "nights below its rest floor"),
        (AirWord.BELOW_FLOOR, AirWord.FITTING, "nights below its growth floor"),
        (AirWord.FITTING, AirWord.COOLER, "days cooler than it likes"),
        (AirWord.FITTING, AirWord.WARMER, "days warmer than it likes (shade, air, water)"),
    ],
)
def test_the_air_of_nights_is_not_that_of_days(night: AirWord, day: AirWord, said: str) -> None:
    """In week 30 alone, 23 to 29 July."""
    year = distinct()
    weeks_of = tuple(
        replace(week, night=night, day=day)
        if week.week == 30
        else replace(week, night=AirWord.COOLER, day=AirWord.FITTING)
        for week in year.weeks
    )
    told = phases.air_text(replace(year, weeks=weeks_of), weeks_examples.result())
    assert told == f"{said} 23 July to 29 July"


WEEK = CourseWeek(
    week=30, first_day="07-23", last_day="07-29", days=7, night_c=15.0, day_c=25.0,
    day_length_h=13.75,
)  # fmt: skip


@pytest.mark.parametrize(
    ("units", "night", "day"), [(C, "15.0 °C", "25.0 °C"), (F, "59.0 °F", "77.0 °F")]
)
def test_the_course_has_each_value_under_its_head(
    units: TemperatureUnit, night: str, day: str
) -> None:
    """Nights, days, and the length of the day."""
    assert cells(course_table([WEEK], units)) == {
        "Week": "30",
        "From": "23 Jul",
        "To": "29 Jul",
        "Night minimum": night,
        "Day maximum": day,
        "Day length": "13.8 h",
    }
    assert cells(course_table([replace(WEEK, night_c=None)], units))["Night minimum"] == "?"
    assert cells(course_table([replace(WEEK, day_c=None)], units))["Day maximum"] == "?"


# Charts ------------------------------------------------------------------------------------------


def test_the_chart_has_each_phase_and_place_on_its_days() -> None:
    """A phase with water and feed, a place with its dates; New Year is crossed."""
    spec = weeks(weeks_examples.result(distinct(), weeks_examples.unjudged()))
    assert spec.rows == ("nobile", "masdevallia")
    found: dict[str, list[WeekStretch]] = {}
    for track in (*spec.phases, *spec.places):
        found.setdefault(track.look, []).extend(track.stretches)
    places = {"outdoors", "slowed", "moving", "survives", "indoors"}
    assert set(found) == {*(phase.value for phase in Phase), *places}
    (rest,) = found["resting"]
    assert (rest.row, rest.start, rest.days) == (0, 7 * 44, 7 * 13 + 1)
    assert rest.texts == ("resting 5 Nov-4 Feb", "5 Nov-4 Feb", "5 Nov", "5\nNov")
    assert rest.told == (
        "Nobile type (soft-cane): resting",
        "5 November to 4 February",
        "water: rest water",
        "feed: rest feed",
    )
    # 11 June is day 161, 18 June 168, 24 September 266, 18 November 321.
    stood = {look: [(one.start, one.days) for one in found[look]] for look in places - {"moving"}}
    assert stood == {
        "survives": [(161, 7)],
        "outdoors": [(182, 84)],
        "slowed": [(266, 55)],
        "indoors": [(0, 161), (321, 44)],
    }
    moving_in = found["moving"][-1]  # the day of carrying in is the last one
    assert (moving_in.start, moving_in.days) == (315, 7)
    assert moving_in.told == (
        "Nobile type (soft-cane)",
        "moving in: the week up to 18 November",
    )
    assert spec.unknown is not None
    (unknown,) = spec.unknown.stretches
    assert (unknown.row, unknown.days) == (1, 365)
    assert unknown.told == ("Masdevallia", "Only 1 usable plant year, 3 are needed.")


def test_a_chart_of_one_group_does_not_repeat_what_stands_beside_it() -> None:
    """Neither its name nor its care."""
    tracks = phase_tracks((distinct(),), named=False)
    told = {track.look: track.stretches[0].told for track in tracks}
    assert told["waking"] == ("waking", "5 February to 1 April")


def test_the_key_explains_what_is_drawn() -> None:
    """No calendar only where a group has none."""
    signs = [key.sign for key in phases_key((distinct(),))]
    assert signs == [
        "growing", "slowing", "resting", "waking", "strip-outdoors", "strip-slowed",
        "strip-moving", "strip-survives", "strip-indoors",
    ]  # fmt: skip
    assert "unknown" in [key.sign for key in phases_key((weeks_examples.unjudged(),))]


@pytest.mark.parametrize(("units", "night", "day"), [(C, 15.0, 25.0), (F, 59.0, 77.0)])
def test_the_course_is_drawn_line_by_line(units: TemperatureUnit, night: float, day: float) -> None:
    """Each line has its own values, name and unit."""
    own = weeks_examples.course()
    own = replace(own, weeks=(*own.weeks[:29], WEEK, *own.weeks[30:]))
    spec = course(own, units)
    warm, cold = spec.temperatures
    assert (warm.look, warm.name, warm.values[29]) == ("day", "day maximum", day)
    assert (cold.look, cold.name, cold.values[29]) == ("night", "night minimum", night)
    assert (spec.length.look, spec.length.values[29]) == ("length", 13.75)
    assert spec.middles[29] == 7 * 29 + 3.5
    assert cold.told[29] == f"week 30, night minimum: {night} {units.symbol}"
    assert spec.length.told[29] == "week 30, day length: 13.75 h"
    assert cold.values[0] is None
    assert cold.told[0] == f"week 1, night minimum: ? {units.symbol}"


# The sheet ---------------------------------------------------------------------------------------


def sections(sheet: Sheet) -> dict[str, Section]:
    """By their names, which are all different."""
    found = {section.name: section for section in sheet.sections}
    assert len(found) == len(sheet.sections)
    return found


def texts(section: Section) -> list[str]:
    return [
        sentence
        for block in section.blocks
        if isinstance(block, Text)
        for sentence in block.sentences
    ]


def test_the_sheet_tells_everything_on_some_surface() -> None:
    """Charts are a page's, groups in full a terminal's, tables both."""
    sheet = year_sheet(weeks_examples.result(), 47, C)
    found = sections(sheet)
    assert list(found) == [
        "next-moves", "all-weeks", "short", "week", "next", "year", "full-1", "full-2", "course",
        "withheld", "changes", "beside", "care", "cautions", "short-caution",
    ]  # fmt: skip
    assert [name for name, section in found.items() if section.on is On.TERMINAL] == [
        "short",
        "full-1",
        "full-2",
        "short-caution",
    ]
    assert found["week"].title == "Week 47"
    assert sheet.headline.startswith(
        "A room at 18.0 °C is too cold for phalaenanthe to live in. "
        "Week 47, 19 November to 25 November: of 3 groups at "
    )
    assert texts(found["withheld"]) == [
        "No calendar for masdevallia: Only 1 usable plant year, 3 are needed."
    ]
    assert texts(found["cautions"]) == [phases.FEEDING_CAUTION, "Not known to be toxic."]


def test_the_place_is_told_every_week_on_a_page_and_every_fourth_on_a_terminal() -> None:
    """The same columns of the same weeks."""
    section = sections(year_sheet(weeks_examples.result(), 47, C))["course"]
    told = {
        block.on: [row[0].text for row in block.rows]
        for block in (*section.blocks, *section.parts[0].blocks)
        if isinstance(block, Table)
    }
    assert section.parts[0].folded
    assert told == {
        On.TERMINAL: [str(week) for week in range(1, 53, 4)],
        On.PAGE: [str(week) for week in range(1, 53)],
    }


def test_names_of_sections_and_charts_are_never_the_same() -> None:
    """A page finds both by them."""
    porch = weeks_examples.resting(spot="porch")
    result = weeks_examples.result(
        weeks_examples.resting(),
        porch,
        courses=(weeks_examples.course(), weeks_examples.course("porch")),
    )
    sheet = year_sheet(result, 47, C)
    names = list(sections(sheet))
    names += [
        block.name
        for section in sheet.sections
        for block in section.blocks
        if isinstance(block, Chart)
    ]
    assert len(set(names)) == len(names)
    assert sections(sheet)["week-2"].title == "Week 47 at the spot porch"


def test_many_groups_are_not_told_in_full_on_a_terminal() -> None:
    """Their notes are said once; the place's own year stands on a page."""
    many = [distinct(group=f"group-{number}") for number in range(4)]
    found = sections(year_sheet(weeks_examples.result(*many, weeks_examples.resting()), 47, C))
    assert not [name for name in found if name.startswith("full")]
    assert found["course"].on is On.PAGE
    assert texts(found["notes"]) == [
        (
            "group-0, group-1, group-2 and 1 more: This place has no winter: nothing in its nights "
            "starts or ends a rest."
        )
    ]


def facts_of(year: GrowthYear, units: TemperatureUnit = C) -> dict[str, str]:
    """One group in full; what belongs to a stretch has the stretch before it."""
    (section,) = [
        section
        for section in year_sheet(weeks_examples.result(year), 47, units).sections
        if section.name == "full-1"
    ]
    (block,) = section.blocks
    assert isinstance(block, Facts)
    found, above = {}, ""
    for row in block.rows:
        above = above if row.short else row.label
        found[f"{above}, {row.label}" if row.short else row.label] = row.text
    assert len(found) == len(block.rows)
    return found


def test_a_group_in_full_has_each_text_beside_its_label() -> None:
    """Its stretches one by one."""
    told = facts_of(distinct(first_signs="spots", about="Likes it.", mark="reasoned"))
    expected = {
        "Stands": phases.standing_text(distinct()),
        "Air outdoors": "days cooler than it likes 18 June to 18 November",
        "Rest": REST_C,
        "Signs of harm": "spots",
        "About it": "Likes it.",
        "Words from": "its catalogue (mark: reasoned)",
        "Note": "This place has no winter: nothing in its nights starts or ends a rest.",
        "Resting": "5 November to 4 February",
        "Resting, begins": (
            "usually 30 October; from 16 October to 13 November in 8 of 9 years; by the nights at "
            "the spot and the day's length"
        ),
    }
    for name, phase in (("rest", "Resting"), ("wake", "Waking"), ("grow", "Growing")):
        expected |= {
            f"{phase}, water": f"{name} water",
            f"{phase}, feed": f"{name} feed",
            f"{phase}, look for": f"{name} signs",
        }
    assert {label: told[label] for label in expected} == expected


# Sentences ---------------------------------------------------------------------------------------


def test_all_year_is_said_only_where_the_verdict_is() -> None:
    """A season of all nights, in too few years to promise it, is not called all year."""
    stays = (weeks_examples.stay(Where.OUTDOORS, 1, 52),)
    sure = weeks_examples.resting(stays=stays)
    unsure = replace(sure, verdict=Verdict.SEASONAL)
    assert phases.standing_text(sure) == "outdoors all year"
    assert phases.standing_text(unsure) == (
        "outdoors: nothing on record asks it in, yet the verdict is only outdoor-seasonal"
    )
    for track in weeks(weeks_examples.result(unsure)).places:
        assert "all year" not in " ".join(track.stretches[0].told)


@pytest.mark.parametrize(
    ("kinds", "counts"),
    [
        ([Phase.RESTING], "1 rest"),
        ([Phase.SLOWING], "1 only slow down"),
        ([Phase.RESTING, Phase.SLOWING], "1 rest"),
        ([], "1 grow all year"),
    ],
)
def test_the_title_counts_who_rests(kinds: Sequence[Phase], counts: str) -> None:
    """One that rests slows down too, and is counted once."""
    runs = [stretch(Phase.GROWING, 1, 52 - 10 * len(kinds), "x")]
    runs += [stretch(kind, 53 - 10 * number, 10, "y") for number, kind in enumerate(kinds, start=1)]
    result = weeks_examples.result(distinct(runs=tuple(runs)))
    assert phases.phases_title(result) == f"Through the year: {counts}."


def test_the_course_names_its_coldest_and_warmest_nights() -> None:
    """10.2 °C in week 2, 15.2 °C in week 52; days of one length."""
    own = weeks_examples.course()
    said = phases.course_title(own, weeks_examples.result(), C)
    assert said == (
        "Nights at Testing Cove are mildest in December (15.2 °C on the mean) and coldest in "
        "January (10.2 °C); days 12.0 to 12.0 h long."
    )
    assert "(59.4 °F on the mean)" in phases.course_title(own, weeks_examples.result(), F)


@pytest.mark.parametrize("note", list(Note))
def test_every_note_has_a_sentence_of_its_own(note: Note) -> None:
    """None is said of another."""
    result = weeks_examples.result(room_c=18.0)
    years = {one: distinct(notes=(one,), floor_c=13.5, flowers=Flowers.CAN) for one in Note}
    said = {one: phases.notes(year, result, C)[0] for one, year in years.items()}
    assert len(set(said.values())) == len(Note)
    expected = {
        Note.FEW_YEARS: "Only 9 years",
        Note.NO_WINTER: "no winter",
        Note.NO_SHORT_DAYS: "hardly varies",
        Note.REST_NOT_TOLD: "not known from its name",
        Note.REST_NOT_BROUGHT: "no rest in this calendar",
        Note.REST_INDOORS: "falls indoors",
        Note.ROOM_HARMS: "too cold for it to live in",
        Note.ROOM_TOO_WARM: "18.0 °C is too warm for its rest",
        Note.ROOM_TOO_COLD: "18.0 °C is colder than the nights of its rest",
        Note.ROOM_BELOW_FLOOR: "18.0 °C is below its growth floor of 13.5 °C",
        Note.INDOORS_BY_LIGHT: "Indoors no temperature is known",
    }
    assert expected[note] in said[note]


def test_the_room_of_a_rest_is_said_once() -> None:
    """By the line of its flowers, where that says for how many nights; else by a note."""
    own = distinct(notes=(Note.REST_INDOORS,), flowers=Flowers.AFTER_COOL_ROOM)
    assert "nights in a bright" in phases.flowers_in_short(own, C)
    assert phases.notes(own, weeks_examples.result(), C) == []


def test_a_rest_says_how_much_hangs_on_it() -> None:
    """Needed, only helpful, or none."""
    told = {kind: phases.rest_text(distinct(rest_kind=kind), C) for kind in RestKind}
    assert "flowers: hardly" in told[RestKind.NEEDED]
    assert "helps, not needed" in told[RestKind.OPTIONAL]
    assert told[RestKind.NONE].startswith("none that cool nights bring")


def test_where_it_stands_is_told_by_the_days_of_its_moves() -> None:
    """Not by whole weeks, so that no date contradicts `moves`."""
    year = replace(
        weeks_examples.resting(),
        season=Season(out="10-01", inn="04-25", days=206),
        stays=(
            weeks_examples.stay(Where.OUTDOORS, 42, 15),
            weeks_examples.stay(Where.INDOORS, 17, 39),
        ),
    )
    assert phases.standing_text(year).startswith("outdoors from 1 October, indoors by 25 April")
    there = phases.standing_text(replace(year, indoors=True))
    assert there.startswith("in this room from 1 October, not in this room by 25 April")


def test_a_stay_is_told_of_its_own_days() -> None:
    """First and last one."""
    stay = Stay(
        where=Where.OUTDOORS, first_week=2, last_week=3, weeks=2, first_day="01-08",
        last_day="01-21",
    )  # fmt: skip
    assert phases.stay_text(distinct(), stay) == "outdoors 8 January to 21 January"
    assert phases.stay_text(distinct(indoors=True), stay) == "in this room 8 January to 21 January"


def test_an_invented_place_is_said_to_be_one() -> None:
    """By the sheet, for every surface."""
    assert not year_sheet(weeks_examples.result(), 1, C).invented
    result = weeks_examples.result(place=examples.place(invented=True))
    assert year_sheet(result, 1, C).invented
