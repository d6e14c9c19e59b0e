"""A user's own file: its short and long form, and every way in which it can be wrong."""

from __future__ import annotations

import shutil
from typing import TYPE_CHECKING

import pytest
from hypothesis import given
from hypothesis import strategies as st

from suitability.errors import CatalogueError
from suitability.fields import Where
from suitability.groups import Caution, Confidence, Group, Mark, read_catalogue
from suitability.groups.evidence import OWN_SOURCE
from suitability.groups.reading import OUR_FOLDER
from suitability.groups.validation import parse_groups
from suitability.groups.words import read_words

if TYPE_CHECKING:
    from pathlib import Path

SHORT = {
    "key": "my-orchids",
    "name": "My orchids",
    "floor_c": 15.0,
    "limit_c": 5.0,
    "chill_base_c": 12.0,
    "dose_limit_c_h": 60.0,
}
REST = {"needed": "yes", "night_c": {"best": 10, "low": 8, "high": 13}, "weeks": 8}


def parse(**changes: object) -> Group:
    """One group in short form with some fields changed; None takes a field away."""
    entry = {field: raw for field, raw in {**SHORT, **changes}.items() if raw is not None}
    return parse_groups({"group": [entry]}, Where("own.toml"))[0]


def own_file(folder: Path, text: str) -> Path:
    path = folder / "own.toml"
    path.write_text(text, encoding="utf-8")
    return path


def short_text(key: str = "my-orchids", extra: str = "") -> str:
    return (
        f'[[group]]\nkey = "{key}"\nname = "My orchids"\nfloor_c = 15.0\nlimit_c = 5.0\n'
        f"chill_base_c = 12.0\ndose_limit_c_h = 60.0\n{extra}"
    )


def test_short_form_is_marked_as_own() -> None:
    """A plain number has no range, mark own, and says that it has no source."""
    floor = parse().floor_c
    assert (floor.low, floor.best, floor.high) == (15, 15, 15)
    assert (floor.mark, floor.confidence, floor.sources) == (
        Mark.OWN,
        Confidence.OWN,
        (OWN_SOURCE,),
    )


def test_wet_limit_is_three_degrees_up_and_marked_reasoned() -> None:
    """`limit_wet_c` absent: `limit_c` + 3 °C at every end of the range."""
    wet = parse(limit_c={"best": 5, "low": 3, "high": 8}).limit_wet_c
    assert (wet.low, wet.best, wet.high, wet.mark) == (6, 8, 11, Mark.REASONED)


def test_shade_is_reckoned_from_light_unless_it_is_given() -> None:
    """21 to 52.5 klx of 105 leave 50 to 80 % to be kept off; a value of one's own stands."""
    shade = parse(light_klx={"best": 42, "low": 21, "high": 52.5}).shade_pct
    assert shade is not None
    assert (shade.low, shade.best, shade.high, shade.mark) == (50, 60, 80, Mark.REASONED)
    own = parse(light_klx=42, shade_pct=35).shade_pct
    assert own is not None
    assert (own.best, own.mark) == (35, Mark.OWN)
    assert parse().shade_pct is None


def test_without_a_rest_floor_the_growth_floor_counts_all_year() -> None:
    """Absent optional values stay absent; a month may hold 200 hours below the floor."""
    needs = parse().needs()
    assert (needs.rest_floor_c, needs.ceiling_c, needs.rest_needed) == (None, None, False)
    assert needs.floor_hours_limit == 200


def test_floor_hours_limit_may_be_given() -> None:
    """A group may set its own."""
    assert parse(floor_hours_limit=120).needs().floor_hours_limit == 120


def test_long_form_keeps_range_and_evidence() -> None:
    """A table with range, mark, confidence, sources and note is taken as it is."""
    limit = parse(
        limit_c={
            "best": 5,
            "low": 3,
            "high": 8,
            "mark": "found",
            "confidence": "low",
            "sources": ["My society's sheet"],
            "note": "dry",
        }
    ).limit_c
    assert (limit.low, limit.high, limit.mark, limit.confidence) == (
        3,
        8,
        Mark.FOUND,
        Confidence.LOW,
    )
    assert (limit.sources, limit.note) == (("My society's sheet",), "dry")


def test_own_rest_is_read() -> None:
    """A needed rest with a band of nights and a length."""
    needs = parse(rest=REST).needs()
    assert (needs.rest_needed, needs.rest_low_c, needs.rest_high_c) == (True, 8, 13)
    assert needs.rest_nights == 40


def test_own_groups_are_added_to_ours(tmp_path: Path) -> None:
    """Ours first, then the user's, found by key; words may be given too."""
    path = own_file(tmp_path, short_text(extra='water_rest = "a little"\nevergreen = true\n'))
    catalogue = read_catalogue(path)
    assert catalogue.keys == (*read_catalogue().keys, "my-orchids")
    assert catalogue.find("My orchids").floor_c.best == 15
    words = read_words(catalogue)["my-orchids"]
    assert (words.water_rest, words.evergreen, words.leaves) == ("a little", True, "")


temps = st.floats(min_value=-15, max_value=30, allow_nan=False)


@given(
    cold=st.lists(temps, min_size=3, max_size=3).map(sorted),
    dose=st.floats(min_value=1, max_value=5000),
    hours=st.floats(min_value=0, max_value=744),
)
def test_any_well_formed_short_entry_round_trips(
    cold: list[float], dose: float, hours: float
) -> None:
    """Numbers come out of the flat needs exactly as they went in, whatever the caution."""
    limit, chill, floor = cold
    group = parse(
        limit_c=limit,
        chill_base_c=chill,
        floor_c=floor,
        dose_limit_c_h=dose,
        floor_hours_limit=hours,
    )
    for caution in Caution:
        needs = group.needs(caution)
        assert (needs.limit_c, needs.chill_base_c, needs.floor_c) == (limit, chill, floor)
        assert (needs.dose_limit_c_h, needs.floor_hours_limit) == (dose, hours)
        assert needs.limit_wet_c == limit + 3


RANGE = {"best": 5, "low": 6, "high": 8}
BROKEN = {
    "unknown field": ({"flor_c": 15}, "flor_c", "an unknown field", '"floor_c"'),
    "missing field": ({"limit_c": None}, "limit_c", "nothing", "must be there"),
    "missing name": ({"name": None}, "name", "nothing", "must be there"),
    "text for a number": ({"limit_c": "5"}, "limit_c", "the text '5'", "without quotes"),
    "flag for a number": ({"limit_c": True}, "limit_c", "found true", "a number from -15 to 30 °C"),
    "list for a number": ({"limit_c": [5]}, "limit_c", "a list of 1", "a number from"),
    "not a number": ({"limit_c": float("nan")}, "limit_c", "nan", "a number from"),
    "infinite": ({"dose_limit_c_h": float("inf")}, "dose_limit_c_h", "inf", "a number from 1"),
    "fahrenheit": ({"limit_c": 41}, "limit_c", "found 41", "41 °F is 5.0 °C"),
    "fahrenheit inside a range": (
        {"floor_c": {"best": 59}},
        "floor_c.best",
        "found 59",
        "59 °F is 15.0 °C",
    ),
    "range out of order": ({"limit_c": RANGE}, "limit_c", "low 6, best 5, high 8", "low <= best"),
    "range without best": (
        {"limit_c": {"low": 3, "high": 8}},
        "limit_c.best",
        "nothing",
        "must be there",
    ),
    "unknown field of a value": (
        {"limit_c": {"best": 5, "lo": 3}},
        "limit_c.lo",
        "an unknown field",
        '"low"',
    ),
    "unknown mark": (
        {"limit_c": {"best": 5, "mark": "heard"}},
        "limit_c.mark",
        "the text 'heard'",
        "found, practice, memory, reasoned, own",
    ),
    "unknown confidence": (
        {"limit_c": {"best": 5, "confidence": "sure"}},
        "limit_c.confidence",
        "the text 'sure'",
        "high, medium, low, own",
    ),
    "sources not a list": (
        {"limit_c": {"best": 5, "sources": "a book"}},
        "limit_c.sources",
        "the text 'a book'",
        "a list of texts",
    ),
    "no source in the list": (
        {"limit_c": {"best": 5, "sources": []}},
        "limit_c.sources",
        "an empty list",
        "at least one source",
    ),
    "limit above the floor": ({"limit_c": 16}, "limit_c", "16", "at most 15"),
    "limit above the floor at one end": (
        {"limit_c": {"best": 5, "high": 16}},
        "limit_c",
        "16 as high value",
        "at most 15, the high value of floor_c",
    ),
    "wet limit below the dry one": ({"limit_wet_c": 4}, "limit_wet_c", "4", "at least 5"),
    "wet limit above the floor": ({"limit_wet_c": 16}, "limit_wet_c", "16", "at most 15"),
    "chill base above the floor": ({"chill_base_c": 16}, "chill_base_c", "16", "at most 15"),
    "rest floor above the floor": ({"rest_floor_c": 16}, "rest_floor_c", "16", "at most 15"),
    "rest floor below the limit": ({"rest_floor_c": 4}, "rest_floor_c", "4", "at least 5"),
    "ceiling below the floor": ({"ceiling_c": 12}, "ceiling_c", "12", "at least 15"),
    "warm night above the ceiling": (
        {"ceiling_c": 25, "warm_night_c": 26},
        "warm_night_c",
        "26",
        "at most 25",
    ),
    "comfort mark below the floor": ({"comfort_c": 14}, "comfort_c", "14", "at least 15"),
    "good nights below the floor": (
        {"comfort_night_c": 14},
        "comfort_night_c",
        "14",
        "at least 15",
    ),
    "warm night below the floor": ({"warm_night_c": 12}, "warm_night_c", "12", "at least 15"),
    "heat-limited without a ceiling": (
        {"heat_limited": True},
        "ceiling_c",
        "nothing",
        "because heat_limited is true",
    ),
    "text for a flag": ({"heat_limited": "yes"}, "heat_limited", "the text 'yes'", "true or false"),
    "rest needed without a band": (
        {"rest": {"needed": "yes", "weeks": 8}},
        "rest.night_c",
        "nothing",
        "the band of nights",
    ),
    "rest needed with a band of no width": (
        {"rest": {"needed": "yes", "night_c": 10, "weeks": 8}},
        "rest.night_c",
        "low and high both 10",
        "low below high",
    ),
    "rest needed without a length": (
        {"rest": {"needed": "yes", "night_c": REST["night_c"]}},
        "rest.weeks",
        "nothing",
        "weeks or nights",
    ),
    "cool hours without their band": (
        {"rest": {**REST, "cool_hours": 504}},
        "rest.cool_band_c",
        "nothing",
        "together",
    ),
    "partly outside the band": (
        {"rest": {**REST, "partly_above_c": 14}},
        "rest.partly_above_c",
        "14",
        "inside the band",
    ),
    "rest without need": ({"rest": {"weeks": 8}}, "rest.needed", "nothing", "must be there"),
    "unknown need": (
        {"rest": {"needed": "maybe"}},
        "rest.needed",
        "the text 'maybe'",
        "yes, optional, no",
    ),
    "rest not a table": ({"rest": True}, "rest", "found true", "[group.rest]"),
    "unknown field of the rest": (
        {"rest": {**REST, "week": 8}},
        "rest.week",
        "an unknown field",
        '"weeks"',
    ),
    "empty name": ({"name": " "}, "name", "the text ' '", "a name"),
    "name of two lines": ({"name": "a\nb"}, "name", "the text", "one line"),
    "alias that is no key": ({"aliases": ["My Own"]}, "aliases", "'My Own'", "hyphens"),
    "aliases not a list": ({"aliases": "own"}, "aliases", "the text 'own'", "a list of texts"),
    "too many hours": ({"floor_hours_limit": 800}, "floor_hours_limit", "800", "744 h a month"),
    "number for a word": ({"water_rest": 3}, "water_rest", "found 3", "a text"),
}


@pytest.mark.parametrize(("changes", "field", "found", "right"), BROKEN.values(), ids=BROKEN.keys())
def test_broken_entry_names_file_entry_field_found_and_right(
    changes: dict[str, object], field: str, found: str, right: str
) -> None:
    """One sentence: which file, which group, which field, what was found, what would be right."""
    with pytest.raises(CatalogueError) as caught:
        parse(**changes)
    message = str(caught.value)
    assert message.startswith(f'own.toml, group "my-orchids", {field}: found ')
    assert found in message
    assert right in message
    assert "\n" not in message


@pytest.mark.parametrize("key", ["My Orchids", "", "a--b", "-a", "ä", 3])
def test_bad_key_is_refused_by_the_number_of_its_entry(key: object) -> None:
    """Without a usable key the entry is named by its number."""
    with pytest.raises(CatalogueError, match=r"own\.toml, group 1, key: found .*my-orchids"):
        parse(key=key)


@pytest.mark.parametrize(
    ("text", "message"),
    [
        ("", "found an empty file"),
        ("# nothing here\n", "found no group"),
        ("[group]\nkey = 'a'\n", "with two brackets"),
        ("[[group]]\nkey = \n", "line 2: found something that is not TOML"),
        ("title = 1\n[[group]]\nkey = 'a'\n", "title: found an unknown entry"),
        ("group = [1]\n", "group 1: found 1; right would be a"),
        ("group = 3\n", "at least one"),
    ],
)
def test_broken_file_is_refused_by_name(tmp_path: Path, text: str, message: str) -> None:
    """A file that holds no groups says so, with the line where it is not TOML."""
    with pytest.raises(CatalogueError, match=r"own\.toml") as caught:
        read_catalogue(own_file(tmp_path, text))
    assert message in str(caught.value)


def test_missing_file_is_refused(tmp_path: Path) -> None:
    """A name that leads nowhere."""
    with pytest.raises(CatalogueError, match=r"absent\.toml: no such file"):
        read_catalogue(tmp_path / "absent.toml")


def test_folder_in_place_of_a_file_is_refused(tmp_path: Path) -> None:
    """A folder cannot be read as a catalogue."""
    with pytest.raises(CatalogueError, match="cannot be read"):
        read_catalogue(tmp_path)


def test_file_that_is_not_text_is_refused(tmp_path: Path) -> None:
    """Bytes of another encoding are named as such."""
    path = tmp_path / "own.toml"
    path.write_bytes(b'[[group]]\nname = "\xff\xfe"\n')
    with pytest.raises(CatalogueError, match=r"own\.toml: found bytes that are not UTF-8"):
        read_catalogue(path)


def test_byte_order_mark_is_no_mistake(tmp_path: Path) -> None:
    """Some editors begin UTF-8 with a mark; the file is read all the same."""
    path = tmp_path / "own.toml"
    path.write_bytes(b"\xef\xbb\xbf" + short_text().encode())
    assert read_catalogue(path).find("my-orchids").name == "My orchids"


@pytest.mark.parametrize(
    ("text", "found"),
    [
        (short_text() + short_text(), '"my-orchids" of this file'),
        (short_text("nobile"), '"nobile" of our catalogue'),
        (short_text("soft-cane"), '"nobile" of our catalogue'),
        (short_text(extra='aliases = ["vanda"]\n'), '"vanda" of our catalogue'),
        (short_text(extra='aliases = ["my-orchids"]\n'), '"my-orchids" of this file'),
    ],
    ids=["twice", "our key", "our alias", "alias is our key", "alias is its own key"],
)
def test_a_name_used_twice_is_an_error(tmp_path: Path, text: str, found: str) -> None:
    """The same key or alias may lead to one group only, in this file and ours."""
    with pytest.raises(CatalogueError, match=r"own\.toml, group \d .*already leads to") as caught:
        read_catalogue(own_file(tmp_path, text))
    assert found in str(caught.value)


def broken_copy(folder: Path, file: str, old: str, new: str) -> Path:
    copy = folder / "catalogue"
    shutil.copytree(OUR_FOLDER, copy)
    text = (copy / file).read_text(encoding="utf-8")
    assert old in text
    (copy / file).write_text(text.replace(old, new, 1), encoding="utf-8")
    return copy


@pytest.mark.parametrize(
    ("old", "new", "message"),
    [
        ('sources = ["memory"]', "sources = []", "at least one source"),
        (', sources = ["memory"]', "", "sources: found nothing"),
        ('sources = ["memory"]', 'sources = ["hearsay"]', 'the unknown source "hearsay"'),
        ('mark = "memory"', 'mark = "own"', "found, practice, memory, reasoned."),
        ('confidence = "low"', 'confidence = "own"', "high, medium, low."),
        (
            "floor_c = { best = 15, low = 13, high = 18",
            "floor_c = { best = 15, low = 13",
            "floor_c.high: found nothing",
        ),
        ("heat_limited = false\n", "", "heat_limited: found nothing"),
        ('key = "spatulata"', 'key = "phalaenanthe"', "already leads to"),
        ("night_c = { best = 11.5, low = 5, high = 15", "old_night = { best = 10", "old_night"),
    ],
)
def test_our_own_catalogue_is_held_to_full_evidence(
    tmp_path: Path, old: str, new: str, message: str
) -> None:
    """Range, mark, confidence and a listed source everywhere, or the file is refused by name."""
    folder = broken_copy(tmp_path, "dendrobium.toml", old, new)
    with pytest.raises(CatalogueError, match=r"^dendrobium\.toml, group ") as caught:
        read_catalogue(folder=folder)
    assert message in str(caught.value)


def test_plain_number_is_refused_in_our_own_catalogue(tmp_path: Path) -> None:
    """The short form is for users; ours must say where a number comes from."""
    copy = broken_copy(tmp_path, "dendrobium.toml", "floor_c = {", "floor_c = 15\n#")
    with pytest.raises(CatalogueError, match=r'"phalaenanthe", floor_c: found 15; .*our own'):
        read_catalogue(folder=copy)


@pytest.mark.parametrize(
    ("old", "new", "message"),
    [
        ("[nobile]", "[nobody]", "nobody: found an entry that is no group"),
        ("evergreen = true", "evergreen = 1", "evergreen: found 1; right would be true or false"),
        ("[general]", "[generally]", "general, after_cold: found nothing"),
        ("one_side", "first_side", "disagreements.first_side: found an unknown field"),
        ('sources = ["memory"]', 'sources = ["hearsay"]', 'the unknown source "hearsay"'),
    ],
)
def test_broken_words_are_refused(tmp_path: Path, old: str, new: str, message: str) -> None:
    """The file of words is checked when it is read."""
    folder = broken_copy(tmp_path, "words.toml", old, new)
    with pytest.raises(CatalogueError, match=r"^words\.toml, ") as caught:
        read_words(read_catalogue(), folder=folder)
    assert message in str(caught.value)
