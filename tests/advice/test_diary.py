"""A diary held against nights whose answers are worked out beside them."""

from __future__ import annotations

from datetime import date, timedelta
from typing import TYPE_CHECKING

import numpy as np
import pytest
from msgspec.structs import replace

from suitability.advice.diary import Sign, review_diary, tell_now
from suitability.answers.diary import now_sheet, review_sheet
from suitability.answers.sheet import Level, Table, Text
from suitability.errors import CatalogueError
from suitability.spots.diary import Entry, What, diary_file, read_diary, with_entries
from suitability.spots.reading import read_collection
from suitability.units import TemperatureUnit

from .own import SPOTS, ask_own

if TYPE_CHECKING:
    from pathlib import Path

    from suitability.advice.diary import DiaryReview, PlantReview
    from tests.conftest import Hourly

COLLECTION = f"""{SPOTS}[[plant]]
name = "white"
group = "mine"
spot = "bench"
"""
NIGHT = date(2001, 1, 20)


def review(
    hourly: Hourly,
    folder: Path,
    cold: dict[date, tuple[float, int]],
    notes: list[Entry],
    more: str = "",
) -> DiaryReview:
    """
    The review of a year at 18 °C with some colder nights.

    `cold` has the temperature of so many hours from midnight on after an evening.
    """
    temp_c = np.full(366 * 24, 18.0)
    for evening, (value, hours) in cold.items():
        start = ((evening - date(2001, 1, 1)).days + 1) * 24
        temp_c[start : start + hours] = value
    path = folder / "mine.toml"
    path.write_text(COLLECTION + more, "utf-8")
    diary_file(path).write_text(with_entries("", notes), "utf-8")
    question = ask_own(path, hourly(temp_c))
    assert question.subjects.collection is not None
    return review_diary(question, read_diary(question.subjects.collection))


def damage(day: date, lowest_c: float | None = None) -> Entry:
    return Entry(day=day, plant="white", what=What.DAMAGE, lowest_c=lowest_c)


def move(day: date, spot: str) -> Entry:
    return Entry(day=day, plant="white", what=What.MOVE, spot=spot)


LAST = Entry(day=date(2001, 12, 1), plant="white", what=What.FLOWERING)


@pytest.mark.parametrize(
    ("night", "noted", "told"),
    [
        ((4.0, 6), None, (1.0, Sign.EXPECTED, None)),
        ((6.5, 6), None, (-1.5, Sign.TENDERER, 1.6)),  # at 1.5 it would stand at its limit
        ((6.5, 6), 4.0, (1.0, Sign.EXPECTED, None)),  # the grower's own thermometer knows better
        ((2.0, 6), 7.0, (0.0, Sign.TENDERER, 0.1)),  # 6 h x 10 K are 60 °C·h: at the dose limit
        ((7.0, 12), None, (0.0, Sign.TENDERER, 0.1)),  # so are 12 h x 5 K
        ((7.0, 24), None, (2.5, Sign.EXPECTED, None)),  # 120 °C·h; 60 of them below 9.5 °C
        ((10.0, 6), None, (-5.0, Sign.OTHER, None)),
    ],
)
def test_damage_says_how_much_tenderer_a_plant_is(
    hourly: Hourly,
    tmp_path: Path,
    night: tuple[float, int],
    noted: float | None,
    told: tuple[float, Sign, float | None],
) -> None:
    """By what the deepest of the 14 nights before it lacked of harming it."""
    found = review(hourly, tmp_path, {NIGHT: night}, [damage(NIGHT + timedelta(days=9), noted)])
    (one,) = found.plants[0].damage
    assert one.lowest_c == night[0]
    assert (one.beyond_c, one.sign, found.plants[0].proposed_c) == told


def test_what_is_applied_is_not_proposed_again(hourly: Hourly, tmp_path: Path) -> None:
    """The same night is then one beyond what harms it."""
    found = review(
        hourly,
        tmp_path,
        {NIGHT: (6.5, 6)},
        [damage(NIGHT + timedelta(days=1))],
        more="shift_c = 1.6",
    )
    assert found.plants[0].damage[0].sign is Sign.EXPECTED
    assert found.plants[0].proposed_c is None


@pytest.mark.parametrize(
    ("days_before", "sign"), [(0, Sign.OTHER), (-1, Sign.EXPECTED)], ids=["that day", "the next"]
)
def test_a_plant_is_judged_where_it_stood(
    hourly: Hourly, tmp_path: Path, days_before: int, sign: Sign
) -> None:
    """Carried in on the day of the night it is in the room, on the day after it was not."""
    notes = [move(NIGHT - timedelta(days=days_before), "room"), damage(NIGHT + timedelta(days=5))]
    found = review(hourly, tmp_path, {NIGHT: (4.0, 6)}, notes)
    assert found.plants[0].damage[0].sign is sign


@pytest.mark.parametrize(
    ("more", "sign"), [("", Sign.TENDERER), ('[[spot]]\nname = "rain"\n', Sign.EXPECTED)]
)
def test_a_low_that_was_noted_is_held_against_the_limit_of_the_pot(
    hourly: Hourly, tmp_path: Path, more: str, sign: Sign
) -> None:
    """6 °C harm a wet pot (7 °C) and no dry one (5 °C); without rain on record it may be wet."""
    notes = [damage(NIGHT + timedelta(days=2), 6.0)]
    if more:
        notes.insert(0, move(NIGHT - timedelta(days=5), "rain"))
    found = review(hourly, tmp_path, {NIGHT: (9.0, 6)}, notes, more)
    assert found.plants[0].damage[0].sign is sign


def test_damage_before_the_record_says_nothing(hourly: Hourly, tmp_path: Path) -> None:
    """Nor does one of which too few nights are known."""
    found = review(hourly, tmp_path, {}, [damage(date(2001, 1, 9)), damage(date(2002, 2, 1))])
    assert [one.sign for one in found.plants[0].damage] == [Sign.UNKNOWN] * 2
    assert found.plants[0].damage[0].lowest_c is None


def test_where_nobody_says_that_a_plant_stood_the_record_is_not_blamed(
    hourly: Hourly, tmp_path: Path
) -> None:
    """Placed ten days before its damage, four nights are not known; at eleven, three."""
    for days, sign in ((10, Sign.NOT_PLACED), (11, Sign.EXPECTED)):
        notes = [
            Entry(day=NIGHT, plant="loose", what=What.DAMAGE),
            Entry(day=NIGHT - timedelta(days=days), plant="loose", what=What.MOVE, spot="bench"),
        ]
        more = '[[plant]]\nname = "loose"\ngroup = "mine"\n'
        found = review(hourly, tmp_path, {NIGHT - timedelta(days=2): (4.0, 6)}, notes, more)
        assert found.plants[0].damage[0].sign is sign
        (told,) = texts(found, "damage")
        assert ("it is not said where it stood" in told) is (sign is Sign.NOT_PLACED)
        headline = review_sheet(found, TemperatureUnit.C).headline
        assert ("what harmed loose cannot be told" in headline) is (sign is Sign.NOT_PLACED)


def texts(found: DiaryReview, name: str) -> list[str]:
    """What a section that is shown in short says."""
    sheet = review_sheet(found, TemperatureUnit.C)
    shown = [one for one in sheet.sections if one.name == name and one.level is Level.BRIEF]
    blocks = [block for section in shown for block in section.blocks]
    return [told for block in blocks if isinstance(block, Text) for told in block.sentences]


def test_in_short_too_damage_has_its_verdict(hourly: Hourly, tmp_path: Path) -> None:
    """5 °C short of what harms it: no shift is proposed, and cold is hardly the cause."""
    found = review(hourly, tmp_path, {NIGHT: (10.0, 6)}, [damage(NIGHT + timedelta(days=9))])
    (told,) = texts(found, "damage")
    assert told.startswith("white: damage of 29 January 2001")
    assert told.endswith("5.0 °C short of what harms it, so cold is hardly the cause.")


def spells(
    hourly: Hourly,
    tmp_path: Path,
    beyond: list[float],
    notes: list[Entry],
    more: str = "",
) -> PlantReview:
    """A review of cold spells 40 days apart, from 20 January on, each beyond 5 °C by so much."""
    cold = {NIGHT + timedelta(days=40 * at): (5.0 - by, 2) for at, by in enumerate(beyond)}
    watched = Entry(day=date(2001, 1, 15), plant="white", what=What.REPOTTING)
    return review(hourly, tmp_path, cold, [watched, *notes], more).plants[0]


@pytest.mark.parametrize(
    ("beyond", "notes", "proposed"),
    [
        ([1.0, 3.0, 2.0], [LAST], -0.5),  # half of what the third went beyond
        ([1.0, 2.0], [LAST], None),  # too few
        ([4.0, 5.0, 6.0], [LAST], -1.5),  # never more at once
        ([1.0, 2.0, 3.0], [], None),  # nothing was noted any more
        ([1.0, 2.0, 3.0], [LAST, damage(NIGHT + timedelta(days=81))], None),
        ([2.0, 2.0, 2.0, 0.4], [LAST, damage(NIGHT + timedelta(days=134))], -0.4),
    ],
)
def test_cold_without_damage_says_how_much_hardier(
    hourly: Hourly, tmp_path: Path, beyond: list[float], notes: list[Entry], proposed: float | None
) -> None:
    """Cautiously; damage that is explained stays explained."""
    found = spells(hourly, tmp_path, beyond, notes)
    assert [spell.beyond_c for spell in found.spells] == pytest.approx(beyond if notes else [])
    assert found.proposed_c == proposed


def test_a_spell_ends_with_the_last_night_that_adds_to_its_dose(
    hourly: Hourly, tmp_path: Path
) -> None:
    """12 h of 7 °C to noon are 60 °C·h, at the limit; 12 more on the next evening go beyond."""
    watched = Entry(day=NIGHT - timedelta(days=5), plant="white", what=What.REPOTTING)
    (spell,) = review(hourly, tmp_path, {NIGHT: (7.0, 24)}, [watched, LAST]).plants[0].spells
    assert (spell.first, spell.last) == (NIGHT + timedelta(days=1),) * 2


def test_of_a_long_spell_the_nights_count_whose_damage_would_show(
    hourly: Hourly, tmp_path: Path
) -> None:
    """30 nights of 4 °C and a last note on the day after them: 16 are 14 nights past."""
    cold = {NIGHT + timedelta(days=day): (4.0, 2) for day in range(30)}
    notes = [
        Entry(day=NIGHT + timedelta(days=day), plant="white", what=What.REPOTTING)
        for day in (-5, 30)
    ]
    told = review(hourly, tmp_path, cold, notes).plants[0].spells
    assert [(spell.nights, spell.counts) for spell in told] == [(16, True), (14, False)]


@pytest.mark.parametrize(("days", "noted"), [(-15, False), (-14, True), (14, True), (15, False)])
def test_damage_near_a_spell_is_of_it(
    hourly: Hourly, tmp_path: Path, days: int, *, noted: bool
) -> None:
    """Whoever has noted damage the week before does not note the same leaves again."""
    notes = [
        Entry(day=date(2001, 1, 2), plant="white", what=What.REPOTTING),
        damage(NIGHT + timedelta(days=days)),
        LAST,
    ]
    (spell,) = review(hourly, tmp_path, {NIGHT: (4.0, 2)}, notes).plants[0].spells
    assert spell.damage is noted


def test_hardier_too_is_not_proposed_again(hourly: Hourly, tmp_path: Path) -> None:
    """The spells that are left went less far beyond what it is taken to stand now."""
    found = spells(hourly, tmp_path, [1.0, 3.0, 2.0], [LAST], more="shift_c = -0.5")
    assert [spell.beyond_c for spell in found.spells] == pytest.approx([0.5, 2.5, 1.5])
    assert found.proposed_c is None


def test_a_diary_without_a_row_is_refused(hourly: Hourly, tmp_path: Path) -> None:
    with pytest.raises(CatalogueError, match="nothing is noted yet"):
        review(hourly, tmp_path, {}, [])


def test_now_tells_the_last_notes_and_the_next(tmp_path: Path) -> None:
    """What lies ahead is told, and does not count yet."""
    path = tmp_path / "mine.toml"
    path.write_text(COLLECTION, "utf-8")
    days = [date(2001, 3, 1), date(2001, 10, 9)]
    notes = [move(days[1], "room"), move(days[0], "bench"), damage(days[0])]
    diary_file(path).write_text(with_entries("", notes), "utf-8")
    own = read_collection(path)
    before, after = (tell_now(own, read_diary(own), day).plants[0] for day in (days[0], days[1]))
    assert (before.spot, before.since, before.damage) == ("bench", days[0], days[0])
    assert before.next is not None
    assert before.next.day == days[1]
    assert (after.spot, after.since, after.next) == ("room", days[1], None)


def test_now_counts_pots(tmp_path: Path) -> None:
    """Six of one name and one of another."""
    path = tmp_path / "mine.toml"
    more = '[[plant]]\nname = "six"\ngroup = "mine"\nnumber = 6\nspot = "bench"\n'
    path.write_text(COLLECTION + more, "utf-8")
    own = read_collection(path)
    sheet = now_sheet(tell_now(own, read_diary(own), NIGHT))
    assert sheet.headline == "On 20 January 2001: 7 at bench."
    (table,) = sheet.sections[0].blocks
    assert isinstance(table, Table)
    assert [str(row[0].text) for row in table.rows] == ["white", "six (6)"]


def test_now_tells_pots_that_stand_apart(tmp_path: Path) -> None:
    """A row for each spot, with its own move; what is next only where it concerns them."""
    path = tmp_path / "mine.toml"
    path.write_text(COLLECTION.replace("group", "number = 5\ngroup"), "utf-8")
    first, later = date(2001, 3, 1), date(2001, 3, 9)
    notes = [
        Entry(day=first, plant="white", what=What.MOVE, spot="room", number=2),
        Entry(day=later, plant="white", what=What.MOVE, spot="bench", number=1, leaving="room"),
    ]
    diary_file(path).write_text(with_entries("", notes), "utf-8")
    own = read_collection(path)
    now = tell_now(own, read_diary(own), first)
    told = [(one.spot, one.number, one.since, one.next is not None) for one in now.plants]
    assert told == [("room", 2, first, True), ("bench", 3, None, False)]
    sheet = now_sheet(now)
    assert sheet.headline == "On 1 March 2001: 3 at bench, 2 at room."
    (table,) = sheet.sections[0].blocks
    assert isinstance(table, Table)
    assert str(table.rows[0][3].text) == "9 March 2001: move 1 from room to bench"
    after = tell_now(own, read_diary(own), later)
    assert [(one.spot, one.number, one.since) for one in after.plants] == [
        ("bench", 4, later),
        ("room", 1, first),
    ]


def test_of_pots_that_stand_apart_those_count_that_were_harmed_most(
    hourly: Hourly, tmp_path: Path
) -> None:
    """Two of five in the room: as if all had stood at the bench, and not as if in the room."""
    cold = {NIGHT: (6.5, 6)}
    in_room = [move(date(2001, 1, 10), "room"), damage(date(2001, 1, 25)), LAST]
    some = [replace(in_room[0], number=2), *in_room[1:]]
    all_out, apart, all_in = (
        review(hourly, tmp_path, cold, notes, "number = 5\n").plants[0]
        for notes in (in_room[1:], some, in_room)
    )
    assert apart.damage == all_out.damage != all_in.damage
    assert apart.proposed_c == all_out.proposed_c == 1.6
    assert all_in.proposed_c is None


def test_notes_later_than_the_record_say_nothing(hourly: Hourly, tmp_path: Path) -> None:
    """Neither of damage, nor of cold that was stood."""
    notes = [
        damage(date(2009, 1, 25)),
        Entry(day=date(2009, 2, 1), plant="white", what=What.REPOTTING),
    ]
    found = review(hourly, tmp_path, {NIGHT: (1.0, 6)}, notes)
    (plant,) = found.plants
    assert (plant.nights_known, plant.proposed_c, plant.spells) == (0, None, ())
    assert plant.damage[0].sign is Sign.UNKNOWN
    assert review_sheet(found, TemperatureUnit.C).headline == (
        "Nothing can be told of these plants: the record has no night at a known spot of theirs."
    )
