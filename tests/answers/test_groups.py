"""The sheets of `groups`: every number under its head, every word beside its label."""

from __future__ import annotations

import pytest
from msgspec.structs import replace

from suitability.answers.groups import (
    LABELS,
    group_facts,
    group_sheet,
    groups_sheet,
    groups_table,
    values_table,
)
from suitability.answers.sheet import Facts, Sheet, Table
from suitability.groups import Catalogue, Caution, Group
from suitability.groups.group import (
    Bloom,
    BroughtBy,
    Confidence,
    Mark,
    Rest,
    RestNeed,
    Trigger,
    Value,
    Weight,
)
from suitability.groups.listing import GroupList, list_values, tell_groups
from suitability.groups.species import Listed, Names
from suitability.groups.validation import REST_VALUES, VALUES
from suitability.groups.words import Disagreement, Words
from suitability.output.datatables import main_table
from suitability.output.page import render_page
from suitability.output.tablefiles import render_csv
from suitability.output.terminal import render_terminal
from suitability.units import TemperatureUnit
from tests.output import examples

NO_NAMES = Names(genera={}, listed={})
C, F = TemperatureUnit.C, TemperatureUnit.F


def value(best: float, confidence: Confidence = Confidence.HIGH, note: str = "") -> Value:
    """From one below to two above, of two sources."""
    return Value(
        best=best,
        low=best - 1.0,
        high=best + 2.0,
        mark=Mark.FOUND,
        sources=("book", "letter"),
        confidence=confidence,
        note=note,
    )


REST = Rest(
    needed=RestNeed.OPTIONAL,
    kind="cool near 10 °C",
    night_c=value(9.0),
    partly_above_c=value(10.5),
    weeks=value(7.0),
    nights=value(44.0),
    cool_hours=value(350.0),
    cool_band_c=value(6.5),
    day_below_c=value(23.0),
    dry_nights=value(31.0),
    autumn_night_c=value(13.5),
    autumn_nights=value(22.0),
    dry="nearly dry",
    triggers=(
        BroughtBy(
            what=Trigger.COLD,
            weight=Weight.HELPS,
            mark=Mark.MEMORY,
            confidence=Confidence.LOW,
            sources=("diary",),
            note="a little",
        ),
    ),
    trigger_words="cool nights",
    dry_tolerates_c=value(-0.5),
)
GROUP = Group(
    key="mine",
    name="My orchids",
    aliases=("other", "third"),
    floor_c=value(14.0),
    rest_floor_c=value(12.0),
    floor_hours_limit=150.0,
    chill_base_c=value(8.0),
    dose_limit_c_h=value(60.0),
    limit_c=value(2.0, Confidence.LOW),
    limit_wet_c=value(4.0, Confidence.MEDIUM, "in a pot"),
    ceiling_c=value(37.0),
    warm_night_c=value(25.0),
    heat_limited=True,
    comfort_c=value(16.0),
    comfort_night_c=value(17.0),
    day_growth_c=value(27.0),
    light_klx=value(33.0),
    shade_pct=value(55.0),
    humidity_pct=value(65.0),
    rest=REST,
)
WORDS = Words(
    leaves="evergreen",
    rhythm="in spring",
    water_growth="daily",
    feed_growth="weekly",
    water_rest="rarely above 15 °C",
    feed_rest="none",
    origin="hills",
    altitude="1000 m",
    first_signs="spots",
    notes="look",
    pets="keep away",
    disagreements=(
        Disagreement(point="cold", one_side="hardy", other_side="tender", reading="tender"),
    ),
)


def listed(
    *groups: Group,
    words: Words = WORDS,
    caution: Caution = Caution.USUAL,
    sources: bool = True,
    names: Names = NO_NAMES,
    understood: str = "",
) -> GroupList:
    """Some groups as a run lists them."""
    held = groups or (GROUP,)
    catalogue = Catalogue(groups=held, by_name={}, sources={"book": "A book"} if sources else {})
    of_each = {group.key: words for group in held}
    return tell_groups(held, of_each, catalogue, names, caution, understood=understood)


def rows_of(table: Table) -> list[list[str]]:
    """Heads, then the text of each cell."""
    return [
        [column.title for column in table.columns],
        *([cell.text for cell in row] for row in table.rows),
    ]


def facts_of(sheet: Sheet) -> list[tuple[str, str]]:
    """All labels and texts of a sheet."""
    return [
        (fact.label, fact.text)
        for section in sheet.sections
        for block in section.blocks
        if isinstance(block, Facts)
        for fact in block.rows
    ]


def test_each_number_of_a_group_stands_under_its_head_with_its_marks() -> None:
    """Low confidence is marked at its own limit, heat at the ceiling."""
    table = groups_table(listed(), C)
    assert rows_of(table) == [
        ["Key", "Name", "Floor, °C", "Limit, °C", "Wet, °C", "Ceiling, °C", "Rest, °C"],
        ["mine", "My orchids", "14", "2?", "4", "37!", "(8-11)"],
    ]
    assert [column.short for column in table.columns] == [
        *("key", "name", "floor", "limit", "wet", "ceiling", "rest"),
    ]
    other = replace(
        GROUP,
        limit_c=value(2.0),
        limit_wet_c=value(4.0, Confidence.LOW),
        heat_limited=False,
        rest=replace(REST, needed=RestNeed.YES),
    )
    assert rows_of(groups_table(listed(other), F)) == [
        ["Key", "Name", "Floor, °F", "Limit, °F", "Wet, °F", "Ceiling, °F", "Rest, °F"],
        ["mine", "My orchids", "57.2", "35.6", "39.2?", "98.6", "46-52"],
    ]
    bare = replace(GROUP, ceiling_c=None, heat_limited=False, rest=None)
    assert rows_of(groups_table(listed(bare), C))[1][5:] == ["-", "no"]
    none = replace(GROUP, rest=Rest(needed=RestNeed.NO, night_c=value(9.0)))
    assert rows_of(groups_table(listed(none), C))[1][6] == "no"


def test_caution_moves_what_is_listed_and_is_named() -> None:
    """The careful end of each range."""
    text = render_terminal(groups_sheet(listed(caution=Caution.HIGH), C), width=80, colour=False)
    row = next(line for line in text.splitlines() if line.startswith("mine"))
    assert row.split() == ["mine", "My", "orchids", "16", "4?", "6", "36!", "(8-11)"]
    assert "Degrees °C, caution high." in text
    assert max(map(len, text.splitlines())) <= 80


def test_each_value_has_its_four_numbers_and_its_evidence() -> None:
    """Used, best, low and high are four numbers at high caution where the used one has moved."""
    rows = list_values(listed(caution=Caution.HIGH)).values
    numbers = {"A book": 1, "letter": 2}
    one = replace(next(row for row in rows if row.field == "limit_wet_c"), used=5.0)
    table = values_table([one], numbers, C)
    assert rows_of(table) == [
        ["Value", "Used", "Best", "Low", "High", "Mark", "Confidence"],
        ["limit, wet", "5", "4", "3", "6", "found", "medium"],
    ]
    assert table.below == (("°C [1][2] in a pot",),)
    warm = values_table([one], numbers, F)
    assert rows_of(warm)[1][1:5] == ["41", "39.2", "37.4", "42.8"]
    assert warm.below == (("°F [1][2] in a pot",),)


def test_every_value_of_the_catalogue_is_told_under_its_own_label() -> None:
    """None is left out, none is named twice, and only temperatures and doses change unit."""
    rows = list_values(listed()).values
    fields = [*VALUES, *(f"rest.{name}" for name in REST_VALUES)]
    assert [row.field for row in rows] == fields
    assert set(LABELS) == set(fields)
    assert len(set(LABELS.values())) == len(LABELS)
    used = {
        cells[0]: cells[1] for cells in rows_of(values_table(rows, {"A book": 1, "letter": 2}, F))
    }
    assert used["floor (growth)"] == "57.2"
    assert used["rest floor"] == "53.6"
    assert used["chill base"] == "46.4"
    assert used["dose in 14 days"] == "108"
    assert used["limit, dry"] == "35.6"
    assert used["limit, wet"] == "39.2"
    assert used["ceiling"] == "98.6"
    assert used["warm-night limit"] == "77"
    assert used["good nights"] == "62.6"
    assert used["good days"] == "80.6"
    assert used["light"] == "33"
    assert used["shade"] == "55"
    assert used["humidity"] == "65"
    assert used["rest: nights"] == "48.2"
    assert used["rest: partly over"] == "50.9"
    assert used["rest: weeks"] == "7"
    assert used["rest: nights/year"] == "44"
    assert used["rest: cool hours"] == "350"
    assert used["rest: cool hour"] == "43.7"
    assert used["rest: days below"] == "73.4"
    assert used["dry nights in a row"] == "31"
    assert used["autumn nights"] == "56.3"
    assert used["so many of them"] == "22"
    assert used["rest: stands dry"] == "31.1"


def test_what_brings_its_flowers_and_when_has_its_evidence() -> None:
    """Weight, mark, confidence, the number of the source, and the note; months of the north."""
    bloom = Bloom(
        first_month=11,
        last_month=2,
        told_of="one of it",
        mark=Mark.FOUND,
        confidence=Confidence.HIGH,
        sources=("diary",),
    )
    told = listed()
    sheet = group_sheet(replace(told, groups=(replace(told.groups[0], bloom=bloom),)), C)
    (facts,) = next(part for part in sheet.sections if part.name == "flowers").blocks
    assert isinstance(facts, Facts)
    assert [(fact.label, fact.text) for fact in facts.rows] == [
        ("flowers by cold", "helps; memory, low [3] a little"),
        ("bloom, in the north", "November to February (one of it); found, high [3]"),
    ]


def test_facts_and_words_stand_beside_their_labels() -> None:
    """Temperatures within sentences turn with the unit."""
    assert facts_of(group_sheet(listed(), F)) == [
        ("also", "other, third"),
        ("growing month", "at most 150 hours a month below the floor that applies"),
        ("heat", "above 98.6 °F it excludes the group"),
        ("light class", "bright"),
        ("rest", "optional; cool near 50 °F"),
        ("rest, water", "nearly dry"),
        ("rest brings flowers", "cool nights"),
        ("flowers by cold", "helps; memory, low [3] a little"),
        ("leaves", "evergreen"),
        ("growth", "in spring"),
        ("water in growth", "daily"),
        ("feed in growth", "weekly"),
        ("water in rest", "rarely above 59 °F"),
        ("feed in rest", "none"),
        ("origin", "hills"),
        ("altitude", "1000 m"),
        ("first signs of harm", "spots"),
        ("notes", "look"),
        ("pets", "keep away"),
        ("[1]", "A book"),
        ("[2]", "letter"),
        ("[3]", "diary"),
    ]
    text = render_terminal(group_sheet(listed(), C), width=80, colour=False)
    assert "sources disagree, cold: hardy - but tender. Read here as: tender" in text


def test_a_group_of_few_values_says_what_it_lacks() -> None:
    """Without a rest floor the growth floor counts; without words there are no labels."""
    bare = replace(
        GROUP, aliases=(), rest_floor_c=None, ceiling_c=None, heat_limited=False, rest=None,
        light_klx=None,
    )  # fmt: skip
    assert [(fact.label, fact.text) for fact in group_facts(listed(bare).groups[0], C)] == [
        ("growing month", "at most 150 hours a month below the floor that applies"),
        ("rest floor", "none, the growth floor counts all year"),
    ]
    mild = replace(GROUP, heat_limited=False)
    assert ("heat", "above 37 °C it harms, but does not exclude the group") in facts_of(
        group_sheet(listed(mild), C)
    )
    told = facts_of(group_sheet(listed(bare, words=Words()), C))
    assert [label for label, _ in told] == ["growing month", "rest floor", "[1]", "[2]"]


def test_rows_of_the_csv_hold_each_field_in_its_column() -> None:
    """In °C, sources in full; a note cannot become a formula."""
    held = list_values(listed(caution=Caution.HIGH))
    one = replace(
        next(row for row in held.values if row.field == "limit_wet_c"), used=5.0, note="=1+1"
    )
    text = render_csv(main_table(replace(held, values=(one,)), "values"))
    assert text.splitlines() == [
        "key,name,field,unit,used,best,low,high,mark,confidence,sources,note",
        "mine,My orchids,limit_wet_c,°C,5.0,4.0,3.0,6.0,found,medium,A book; letter,'=1+1",
    ]
    by_field = {row.field: row for row in held.values}
    assert (by_field["limit_c"].used, by_field["limit_c"].best) == (4.0, 2.0)
    assert (by_field["rest.night_c"].used, by_field["rest.night_c"].best) == (9.0, 9.0)
    assert by_field["rest.cool_hours"].unit == "h"


@pytest.mark.parametrize("text", [one for one in examples.HOSTILE if one])
def test_hostile_text_of_an_own_file_does_no_harm(text: str) -> None:
    """Names, notes, citations and words."""
    hostile = replace(
        GROUP,
        name=text,
        aliases=(text,),
        limit_c=replace(GROUP.limit_c, sources=(text,), note=text),
        rest=replace(REST, kind=text),
    )
    held = listed(hostile, words=replace(WORDS, notes=text))
    for sheet in (groups_sheet(held, C), group_sheet(held, C)):
        printed = render_terminal(sheet, width=80, colour=False)
        assert not set(printed) & set("\x00\x07\x1b\u202e\u2066\u200f\ud800")
        body = render_page(sheet).split("<body>")[1]
        assert not any(tag in body for tag in ("<script", "<img", "<b>bold"))


def test_the_plants_of_a_group_stand_with_their_marks_behind_its_other_names() -> None:
    """Each genus once, hybrids as labels have them, and how many names there are of each mark."""
    found = Listed(
        genus="dendrobium", names=("one", "two"), mark=Mark.FOUND, sources=("book",), group="mine"
    )
    sold = replace(found, names=("first-love",), mark=Mark.PRACTICE, grex=True)
    other = replace(found, genus="laelia", names=("three",), mark=Mark.MEMORY)
    away = replace(found, names=("four",), group="other")
    dendrobiums = {name: one for one in (found, sold, away) for name in one.names}
    names = Names(genera={}, listed={"dendrobium": dendrobiums, "laelia": {"three": other}})
    told = facts_of(group_sheet(listed(names=names, understood="taken"), C))
    assert ("understood", "taken") in told
    plants = "4 (2 found, 1 practice, 1 memory): Dendrobium one, two, First Love; Laelia three"
    assert ("plants", plants) in told
    notes = groups_table(listed(names=names), C).notes
    assert notes[-1] == (
        "Names of plants that lead to them, by mark: 4 (2 found, 1 practice, 1 memory)."
    )
