"""The sheets of `spots list`, `show` and `kinds`, and what is said of a spot elsewhere."""

from __future__ import annotations

from datetime import date

import pytest
from msgspec.structs import replace

from suitability.advice.result import SpotEnds
from suitability.advice.terms import Verdict
from suitability.answers.collection import (
    added,
    collection_sheet,
    kinds_sheet,
    kinds_table,
    plant_sentence,
    spot_facts,
    spot_sheet,
    spots_table,
)
from suitability.answers.sheet import Table
from suitability.answers.spots import range_sentences, spot_decides, spot_sentences
from suitability.output.page import render_page
from suitability.output.terminal import render_terminal
from suitability.spots.kinds import Kind
from suitability.spots.listing import CollectionPlace, KindList, SpotList
from suitability.spots.plants import Damage, Plant
from suitability.spots.spot import Heater, Measured, MeasuredOffset, Offset, Room, Spot
from suitability.units import TemperatureUnit
from tests.output import examples

C, F = TemperatureUnit.C, TemperatureUnit.F
PORCH = Spot(
    name="porch",
    kind="open-porch",
    roofed=True,
    clear_night_c=Offset(low=0.5, usual=1.5, high=2.5),
    other_night_c=Offset(low=0.5, usual=0.5, high=0.5),
    day_c=Offset(low=-3.0, usual=-1.0, high=0.0),
    damping_hours=2.0,
    held_minimum_c=8.0,
    heater=Heater(watts=500.0, loss_w_per_k=40.0),
    light="medium",
    aspect="south",
    note="facing the yard",
    measured=(
        Measured(
            first=date(2024, 3, 2),
            last=date(2024, 3, 25),
            clear_night=MeasuredOffset(low=1.0, usual=2.0, high=3.0, number=11, scatter_c=0.5),
            other_night=MeasuredOffset(low=0.0, usual=1.0, high=2.0, number=12, scatter_c=0.5),
            day=None,
            night_error_c=0.6,
        ),
    ),
)
WINDOW = Spot(
    name="window",
    room=Room(temp_c=18.0, glass_u_w_m2k=2.8, near_glass=Offset(low=0.2, usual=0.5, high=0.7)),
    roofed=True,
)
PLANT = Plant(
    name="white",
    group="den-phal",
    group_key="phalaenanthe",
    number=3,
    spot="porch",
    note="bought in May",
    first_winter=True,
    in_bud=True,
    shift_c=0.5,
    damage=(Damage(day=date(2019, 2, 12), words="leaves shed", lowest_c=1.5),),
)


def listed(*spots: Spot, plants: tuple[Plant, ...] = (PLANT,)) -> SpotList:
    home = CollectionPlace(name="garden", at="38.7,-9.1", record="garden.csv", utc_offset_hours=0.0)
    return SpotList(file="mine.toml", place=home, spots=spots or (PORCH, WINDOW), plants=plants)


def rows_of(table: Table) -> list[list[str]]:
    return [
        [column.title for column in table.columns],
        *([cell.text for cell in row] for row in table.rows),
    ]


def test_each_spot_has_its_numbers_under_their_heads_and_its_plants_below() -> None:
    """Clear nights, other nights, days, rain; a room says its temperature instead."""
    table = spots_table(listed(), C)
    assert rows_of(table) == [
        ["Spot", "Clear, calm nights", "Other nights", "Days", "Rain"],
        ["porch", "+1.5 (+0.5 to +2.5)", "+0.5", "-1 (-3 to 0)", "no"],
        ["window", "room of 18.0 °C", "", "", "no"],
    ]
    assert table.below == (("3 plants",), ())
    assert rows_of(spots_table(listed(), F))[1][1:4] == [
        "+2.7 (+0.9 to +4.5)",
        "+0.9",
        "-1.8 (-5.4 to 0)",
    ]


def test_plants_are_counted_at_their_own_spot_and_listed_if_they_have_none() -> None:
    """Numbers are summed; a single one is one plant."""
    two = replace(PLANT, number=1)
    at_window = replace(PLANT, number=1, spot="window")
    loose = replace(PLANT, name="loose one", number=7, spot=None)
    held = listed(plants=(PLANT, two, at_window, loose))
    assert spots_table(held, C).below == (("4 plants",), ("1 plant",))
    text = render_terminal(collection_sheet(held, C), width=80, colour=False)
    assert text.startswith("mine.toml: garden, 38.7,-9.1\n\nRecord: garden.csv\n")
    assert "\n  4 plants\n" in text
    assert "Not placed yet:\n- 7 x loose one" in text
    assert max(map(len, text.splitlines())) <= 80


def test_everything_of_one_spot_is_told() -> None:
    """Each label with its own text, as far as the file has it."""
    assert [(fact.label, fact.text) for fact in spot_facts(PORCH, C)] == [
        ("kind", "open-porch"),
        ("clear, calm nights", "+1.5 (+0.5 to +2.5) °C"),
        ("other nights", "+0.5 °C"),
        ("days", "-1 (-3 to 0) °C"),
        ("lag", "follows the air outside with a time constant of 2 h"),
        ("held at", "8.0 °C or more, by 500 W against a loss of 40 W/K"),
        ("measured", "23 nights, 2024-03-02 to 2024-03-25; night minima to 0.6 °C"),
        ("rain", "kept off the pots"),
        ("light", "medium"),
        ("faces", "south"),
        ("note", "facing the yard"),
    ]
    assert [(fact.label, fact.text) for fact in spot_facts(WINDOW, F)] == [
        ("kind", "its own"),
        ("room", "64.4 °F"),
        ("glass", "2.8 W/(m² K)"),
        ("from room (0) to pane (1)", "0.5 (0.2 to 0.7)"),
        ("rain", "kept off the pots"),
    ]
    bare = [fact.text for fact in spot_facts(Spot(name="bench", held_minimum_c=2.0), F)]
    assert bare == [
        *("its own", "0 °F", "0 °F", "0 °F"),
        "35.6 °F or more, by a heater as strong as it takes",
        "reaches the pots",
    ]
    text = render_terminal(spot_sheet(listed(PORCH), C), width=80, colour=False)
    assert "Plants:\n- 3 x white" in text
    alone = render_terminal(spot_sheet(listed(WINDOW, plants=()), C), width=80, colour=False)
    assert "No plants stand here." in alone


def test_a_plant_is_told_with_its_state_and_its_damage() -> None:
    """A shift is a difference, the lowest hour a temperature."""
    assert plant_sentence(PLANT, C) == (
        "3 x white (phalaenanthe), first winter here, in bud, +0.5 °C against its group; bought in "
        "May; 2019-02-12: leaves shed, at 1.5 °C"
    )
    told = plant_sentence(replace(PLANT, shift_c=-0.5), F)
    assert "-0.9 °F against its group" in told
    assert "at 34.7 °F" in told
    plain = Plant(name="a pot", group="nobile")
    assert plant_sentence(plain, C) == "1 x a pot (nobile)"


def test_a_kind_tells_name_confidence_and_note_below_its_numbers() -> None:
    """And every source once."""
    kind = Kind(
        key="open-porch",
        name="porch with open sides",
        spot=PORCH,
        mark="practice",
        confidence="low",
        sources=("a book", "a letter"),
        note="Look.",
    )
    held = KindList(kinds=(kind, replace(kind, key="other", note="", sources=("a book",))))
    table = kinds_table(held, C)
    assert rows_of(table)[1] == ["open-porch", "+1.5 (+0.5 to +2.5)", "+0.5", "-1 (-3 to 0)", "no"]
    assert table.below == (
        ("porch with open sides (confidence: low)", "Look."),
        ("porch with open sides (confidence: low)",),
    )
    for units, noted in ((C, False), (F, True)):
        text = render_terminal(kinds_sheet(held, units), width=80, colour=False)
        assert ("Notes and sources are in °C." in text) is noted
        assert text.count("- a book") == 1
    assert "porch with open sides (confidence: low)" in render_page(kinds_sheet(held, C))


@pytest.mark.parametrize(
    ("low", "usual", "high", "told"),
    [
        (0.0, 0.0, 0.0, "0"),
        (1.0, 1.0, 1.0, "+1"),
        (-2.5, -1.0, 0.0, "-1 (-2.5 to 0)"),
        (-1.0, 0.0, 2.0, "0 (-1 to +2)"),
    ],
)
def test_an_offset_with_its_sign_and_range(
    low: float, usual: float, high: float, told: str
) -> None:
    """Lowest before highest; none has no sign."""
    assert added(Offset(low=low, usual=usual, high=high), C) == told


@pytest.mark.parametrize("text", [one for one in examples.HOSTILE if one])
def test_hostile_text_of_a_file_does_no_harm(text: str) -> None:
    """Names, notes and damage."""
    spot = replace(PORCH, name=text, note=text)
    plant = replace(PLANT, name=text, note=text, spot=None)
    for sheet in (
        collection_sheet(listed(spot, plants=(plant,)), C),
        spot_sheet(listed(spot, plants=(plant,)), C),
    ):
        printed = render_terminal(sheet, width=80, colour=False)
        assert not set(printed) & set("\x00\x07\x1b\u202e\u2066\u200f\ud800")
        body = render_page(sheet).split("<body>")[1]
        assert not any(tag in body for tag in ("<script", "<img", "<b>bold"))


# Said of a spot beside a verdict ----------------------------------------------------------------


def test_what_a_spot_adds_is_said_in_the_reader_s_unit() -> None:
    """Three offsets, a lag, a held minimum, and where the numbers come from."""
    result = replace(examples.result(), spots=(PORCH, WINDOW))
    assert spot_sentences(result, "porch", C) == [
        (
            "Against the open air: +1.5 °C (+0.5 to +2.5) on clear and calm nights, +0.5 °C on "
            "other nights, -1.0 °C (-3.0 to +0.0) by day; following with a time constant of 2 h; "
            "held at 8.0 °C or more (measured on 23 nights)."
        )
    ]
    (told,) = spot_sentences(result, "porch", F)
    assert "+2.7 °F (+0.9 to +4.5) on clear" in told
    assert "held at 46.4 °F" in told
    assert spot_sentences(result, "window", F)[0].startswith("Indoors, in a room of 64.4 °F")
    assert spot_sentences(result, "elsewhere", C) == []


def test_the_ends_of_a_range_that_decides_are_told_in_order() -> None:
    """From the colder to the warmer end."""
    finding = examples.result().results[0]
    ends = SpotEnds(low=Verdict.INDOOR, high=Verdict.ALL_YEAR)
    split = replace(finding, verdict=Verdict.SEASONAL, spot_ends=ends)
    assert spot_decides(split)
    (told,) = range_sentences([split])
    assert f"{finding.group} indoor-only to outdoor-all-year. Measure it." in told
    same = SpotEnds(low=Verdict.SEASONAL, high=Verdict.SEASONAL)
    assert range_sentences([replace(split, spot_ends=same)]) == []
