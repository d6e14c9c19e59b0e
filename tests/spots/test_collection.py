"""The collection file: what it says, and every way in which it can be wrong."""

from __future__ import annotations

from contextlib import suppress
from datetime import date
from typing import TYPE_CHECKING

import pytest
from hypothesis import given
from hypothesis import strategies as st

from suitability.errors import CatalogueError
from suitability.spots.collection import Collection
from suitability.spots.kinds import OUR_FOLDER, read_kinds
from suitability.spots.plants import Damage, FoundGroup
from suitability.spots.reading import read_collection
from suitability.spots.spot import Heater, Offset, Room, Spot

if TYPE_CHECKING:
    from pathlib import Path

PORCH = '[[spot]]\nname = "porch"\nkind = "open-porch"\n'
PLANT = '[[plant]]\ngroup = "nobile"\nspot = "porch"\n'


def read(folder: Path, text: str) -> Collection:
    """A collection whose only groups are nobile and den-phal, an alias."""
    path = folder / "mine.toml"
    path.write_text(text, encoding="utf-8")
    known = {"nobile": "nobile", "den-phal": "phalaenanthe"}

    def find_group(word: str) -> FoundGroup:
        key = known.get(word.lower())
        return FoundGroup(key=key, refused="" if key else f'group "{word}": is none')

    return read_collection(path, find_group=find_group)


def test_a_spot_starts_from_its_kind_and_takes_its_own_numbers(tmp_path: Path) -> None:
    """What is not said stays the kind's; a number alone is sure."""
    text = PORCH + 'clear_night_c = 1.2\ndamping_hours = 2\naspect = "north-east"\nnote = "mine"\n'
    (spot,) = read(tmp_path, text).spots
    kind = read_kinds().by_key["open-porch"].spot
    assert spot.clear_night_c == Offset(low=1.2, usual=1.2, high=1.2)
    assert (spot.other_night_c, spot.day_c) == (kind.other_night_c, kind.day_c)
    assert (spot.name, spot.kind, spot.roofed) == ("porch", "open-porch", True)
    assert (spot.damping_hours, spot.aspect, spot.note) == (2.0, "north-east", "mine")
    assert spot.has_range  # of the other nights, which the entry does not say


def test_a_spot_without_a_kind_is_the_open_air_until_it_says_more(tmp_path: Path) -> None:
    """No offset, no roof, no range."""
    (spot,) = read(tmp_path, '[[spot]]\nname = "bed"\n').spots
    assert spot == Spot(name="bed")
    assert spot.is_as_outside


def test_ranges_heaters_and_rooms_are_read(tmp_path: Path) -> None:
    """Each with its two or three numbers."""
    text = (
        '[[spot]]\nname = "house"\nother_night_c = { low = 0, usual = 1, high = 2 }\n'
        "held_minimum_c = 8\nheater_watts = 500\nheat_loss_w_per_k = 40\n"
        '[[spot]]\nname = "sill"\nkind = "window-sill"\nroom_c = 18\nglazing = "single"\n'
    )
    house, sill = read(tmp_path, text).spots
    assert house.other_night_c == Offset(low=0, usual=1, high=2)
    assert (house.held_minimum_c, house.heater) == (8.0, Heater(watts=500, loss_w_per_k=40))
    assert house.has_range
    near = Offset(low=0.4, usual=0.5, high=0.65)
    assert sill.room == Room(temp_c=18, glass_u_w_m2k=5.8, near_glass=near)


def test_plants_have_group_spot_state_and_damage(tmp_path: Path) -> None:
    """The name is the group's word where none is given; spots are found whatever their capitals."""
    text = (
        PORCH
        + '[[plant]]\ngroup = "Den-Phal"\nnumber = 3\nspot = "Porch"\nfirst_winter = true\n'
        + "in_bud = true\nshift_c = -0.5\n"
        + '[[plant.damage]]\ndate = 2024-01-12\nwords = "leaves fell"\nlowest_c = 1.5\n'
        + '[[plant.damage]]\ndate = "2025-02-03"\nwords = "none"\n'
        + '[[plant]]\nname = "Mine"\ngroup = "nobile"\n'
    )
    collection = read(tmp_path, text)
    first, second = collection.plants
    assert (first.name, first.group_key, first.number) == ("Den-Phal", "phalaenanthe", 3)
    assert (first.first_winter, first.in_bud, first.shift_c) == (True, True, -0.5)
    assert first.damage == (
        Damage(day=date(2024, 1, 12), words="leaves fell", lowest_c=1.5),
        Damage(day=date(2025, 2, 3), words="none"),
    )
    assert collection.plants_at("porch") == (first,)
    assert (second.name, second.spot, second.number) == ("Mine", None, 1)


def test_the_place_may_have_a_record_beside_the_file_or_an_imported_one(tmp_path: Path) -> None:
    """With an ending it is a file in the collection's folder; bare and no file, an import."""
    home = '[place]\nname = "garden"\nat = "38.7,-9.1,77"\nutc_offset = 0\nrecord = "{}"\n'
    collection = read(tmp_path, home.format("sub/own.csv"))
    assert collection.home.record == tmp_path / "sub" / "own.csv"
    assert (collection.home.at, collection.home.utc_offset_hours) == ("38.7,-9.1,77", 0.0)
    assert str(read(tmp_path, home.format("porch")).home.record) == "porch"
    (tmp_path / "porch").touch()
    assert read(tmp_path, home.format("porch")).home.record == tmp_path / "porch"


def test_groups_are_taken_as_written_where_nobody_is_asked(tmp_path: Path) -> None:
    """The room of spots knows no catalogue."""
    path = tmp_path / "mine.toml"
    path.write_text(PORCH + '[[plant]]\ngroup = "whatever"\nspot = "porch"\n', encoding="utf-8")
    (plant,) = read_collection(path).plants
    assert (plant.group, plant.group_key) == ("whatever", None)


def test_the_example_can_be_read_as_it_is_and_with_its_notes_taken_in(tmp_path: Path) -> None:
    """Every line that the example offers is a line that the program takes."""
    from suitability.groups import read_catalogue

    text = (OUR_FOLDER / "example.toml").read_text("utf-8")
    catalogue = read_catalogue()
    lines = [
        line.removeprefix("# ") if " = " in line or line.startswith("# [[") else line
        for line in text.splitlines()
    ]
    for number, version in enumerate((text, "\n".join(lines))):
        path = tmp_path / f"{number}.toml"
        path.write_text(version, encoding="utf-8")
        found = read_collection(
            path, find_group=lambda word: FoundGroup(key=catalogue.find(word).key)
        )
        assert [spot.name for spot in found.spots] == [
            "bench",
            "porch",
            "small greenhouse",
            "kitchen window",
        ]
        assert len(found.plants) == 2
        assert [len(plant.damage) for plant in found.plants] == [0, number]


@pytest.mark.parametrize(
    ("text", "words"),
    [
        ("", "found an empty file"),
        ('[[spot]\nname="a"', r"mine\.toml, line 1: found something that is not TOML"),
        ('[[spots]]\nname = "a"\n', r"mine\.toml, spots: found an unknown entry"),
        ('[spot]\nname = "a"\n', r"spot: found \[spot\]; right would be \[\[spot\]\]"),
        ('[[place]]\nname = "a"\n', r"place: found \[\[place\]\]; right would be one \[place\]"),
        ("[[spot]]\nroofed = true\n", "spot 1, name: found nothing"),
        ('[[spot]]\nname = ""\n', "spot 1, name: found an empty text"),
        (
            '[[spot]]\nname = "Por\u200fch"\n',
            r"'Por\\u200fch', whose character 4 is the invisible RIGHT-TO-LEFT MARK \(U\+200F\);",
        ),
        ('[[spot]]\nname = "a\u202eb"\n', r"character 2 is .* OVERRIDE \(U\+202E\)"),
        ('[[spot]]\nname = "a\\tb"\n', r"character 2 is a tab \(U\+0009\)"),
        ('[[spot]]\nname = "a\\u0007b"\n', r"control character \(U\+0007\);.* Delete that char"),
        (PORCH + PORCH.replace("porch", "Porch", 1), 'spot 2, name: found "Porch", which an'),
        (PORCH.replace("open-porch", "open-prch"), r'"porch"\), kind: .*Near: open-porch'),
        (PORCH + "clear_night = 1\n", r'unknown field; right would be "clear_night_c"'),
        (PORCH + 'clear_night_c = "1"\n', "Write numbers without quotes"),
        (PORCH + "clear_night_c = 99\n", "clear_night_c: found 99; right would be a number from"),
        (PORCH + "clear_night_c = { low = 2, usual = 1, high = 3 }\n", "low <= usual <= high"),
        (PORCH + "clear_night_c = { low = 2 }\n", r"clear_night_c\.usual: found nothing"),
        (PORCH + "roofed = 1\n", "roofed: found 1; right would be true or false"),
        (PORCH + "damping_hours = -1\n", "damping_hours: found -1"),
        (PORCH + "held_minimum_c = 50\n", r"50 °F is 10\.0 °C: write °C"),
        (PORCH + "heater_watts = 500\nheat_loss_w_per_k = 9\n", "held_minimum_c beside it"),
        (PORCH + "heater_watts = 500\n", "heat_loss_w_per_k: found nothing beside heater_watts;"),
        (PORCH + "heat_loss_w_per_k = 9\n", "heater_watts: found nothing beside heat_loss_w_per_k"),
        (PORCH + "held_minimum_c = 5\nheater_watts = 0\nheat_loss_w_per_k = 9\n", "found 0;"),
        ('[[spot]]\nname = "a"\nroom_c = 18\n', "roofed: found false for a spot in a room"),
        (PORCH + "room_c = 18\nday_c = 1\n", "day_c: found 1 for a spot in a room"),
        ('[[spot]]\nname = "a"\nglazing = "double"\n', "room_c: found nothing"),
        (PORCH + "room_c = 18\nglass_u_w_m2k = -2\n", "glass_u_w_m2k: found -2"),
        (PORCH + 'room_c = 18\nglazing = "double"\nglass_u_w_m2k = 2\n', "one of the two"),
        (PORCH + 'room_c = 18\nglazing = "triple"\n', "one of single, double, low-e"),
        (PORCH + 'light = "dim"\n', "one of low, medium, bright, very bright"),
        (PORCH + 'aspect = "up"\n', "one of north, north-east"),
        ('[place]\nat = "91,0"\n', r'mine\.toml, place, at: found "91,0"; right would be'),
        ("[place]\nutc_offset = 20\n", "place, utc_offset: found 20"),
        ('[place]\nrecord = ["a.csv"]\n', "place, record: found a list of 1"),
        (PORCH + '[[plant]]\nspot = "porch"\n', "plant 1, group: found nothing"),
        (PORCH + PLANT + "shift_c = 3.5\n", "shift_c: found 3.5; right would be a number from -3"),
        (PORCH + PLANT + "number = 1.5\n", "number: found 1.5; right would be a whole number"),
        (PORCH + PLANT + "number = 0\n", "number: found 0"),
        (PORCH + PLANT + "in_bud = 1\n", "in_bud: found 1; right would be true or false"),
        (PORCH + PLANT + 'name = "A"\nin_but = true\n', r'plant 1 \("A"\), in_but: .*"in_bud"'),
        (PORCH + PLANT + "damage = 1\n", r"damage: found 1; right would be \[\[plant.damage\]\]"),
        (PORCH + PLANT + '[[plant.damage]]\nwords = "a"\n', "damage 1: date: found nothing"),
        (
            PORCH + PLANT + '[[plant.damage]]\ndate = "12.1.2024"\nwords = "a"\n',
            "damage 1: date: found the text '12.1.2024'; right would be a day such as 2024-01-12",
        ),
    ],
)
def test_what_is_wrong_is_said_in_one_sentence(tmp_path: Path, text: str, words: str) -> None:
    """File, entry, field, what was found and what would be right."""
    with pytest.raises(CatalogueError, match=words) as refused:
        read(tmp_path, text)
    assert str(refused.value).startswith("mine.toml")
    assert "\n" not in str(refused.value)


def test_a_plant_that_cannot_be_judged_is_left_out_and_told(tmp_path: Path) -> None:
    """Unknown spot, unknown group, a name that stands twice; each with its line, the rest stays."""
    named = PLANT + 'name = "{}"\n'
    collection = read(
        tmp_path,
        PORCH
        + named.format("One")  # lines 4 to 7
        + named.format("Two").replace("porch", "prch")  # 8
        + named.format("Three").replace("nobile", "nobiel")  # 12
        + named.format("one")  # 16
        + PLANT.replace("nobile", "x")  # 20
        + "number = 3\n",
    )
    assert [plant.name for plant in collection.plants] == ["One"]
    assert collection.number_left_out == 6
    assert collection.left_out == (
        (
            'mine.toml, line 8: plant "Two" stands at "prch", which is no spot of the file; it was '
            "left out. Near: porch."
        ),
        'mine.toml, line 12: plant "Three" was left out: group "nobiel": is none',
        (
            'mine.toml, line 16: plant "one" stands in line 4 already; this one was left out. '
            "Give each its own name, or one of them a number."
        ),
        'mine.toml, line 20: plant "x" was left out: group "x": is none',
    )


def test_plants_without_a_name_are_told_apart_by_a_number(tmp_path: Path) -> None:
    """A name that the grower gave is never taken for one of ours, wherever it stands."""
    text = PORCH + PLANT + PLANT + PLANT + 'name = "Nobile"\n'
    assert [one.name for one in read(tmp_path, text).plants] == ["nobile 2", "nobile 3", "Nobile"]


def test_spots_are_found_by_name_each_once(tmp_path: Path) -> None:
    """All where none is named; a slip is met with near names."""
    collection = read(tmp_path, PORCH + '[[spot]]\nname = "bench"\n')
    porch, bench = collection.spots
    assert collection.find_spots([]) == (porch, bench)
    assert collection.find_spots(["Bench", "bench"]) == (bench,)
    with pytest.raises(CatalogueError, match=r'mine\.toml: it has no spot "prch"\. Near: porch'):
        collection.find_spots(["prch"])
    with pytest.raises(CatalogueError, match="has no spots"):
        read(tmp_path, '[place]\nname = "a"\n').find_spots([])


@given(raw=st.recursive(st.integers() | st.text() | st.booleans(), st.lists, max_leaves=4))
def test_any_value_in_any_field_is_taken_or_refused_in_one_sentence(raw: object) -> None:
    """No value of a wrong kind gets past, or out as a traceback."""
    from suitability.fields import Where
    from suitability.spots.entries import POSITION_FIELDS, parse_position

    for field in POSITION_FIELDS:
        with suppress(CatalogueError):
            spot = parse_position({field: raw}, Spot(name="a"), Where("mine.toml"))
            assert isinstance(spot, Spot)
