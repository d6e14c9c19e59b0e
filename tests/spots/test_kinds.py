"""Ready kinds of spot: their numbers typed a second time, and what their file may not say."""

from __future__ import annotations

import shutil
from typing import TYPE_CHECKING

import pytest

from suitability.errors import CatalogueError
from suitability.spots.kinds import OUR_FOLDER, read_kinds
from suitability.spots.spot import End, Offset

if TYPE_CHECKING:
    from pathlib import Path

# Typed from the notes on published differences and the abstracts of sources.toml: low, usual, high
# of clear and calm nights, of other nights and of days; whether rain is kept out; confidence.
TYPED_TWICE = {
    "open-bench": ((-3, -1, 0), (-1, 0, 0), (0, 0, 0), False, "medium"),
    "frost-hollow": ((-6, -3, -1), (-1, 0, 0), (0, 0, 0), False, "medium"),
    "under-evergreen": ((0, 0.5, 2), (0, 0, 0.5), (-3, -2, 0), False, "low"),
    "open-porch": ((0, 1, 2.5), (0, 0.5, 1), (-2, -1, 0), True, "low"),
    "warm-wall": ((0, 1, 2.5), (0, 0.5, 1), (0, 3, 6), True, "low"),
    "upper-balcony": ((0, 1, 3), (0, 0.5, 1.5), (0, 2, 5), True, "low"),
    "exposed-balcony": ((-2, 0, 1), (-1, 0, 0.5), (0, 2, 4), False, "low"),
    "fleeced-porch": ((0, 2.5, 5.5), (0, 1, 2), (-2, -1, 0), True, "low"),
    "closed-greenhouse": ((0, 1.5, 3), (0, 1, 2), (4, 10, 20), True, "medium"),
}


def parts(offset: Offset) -> tuple[float, float, float]:
    return offset.low, offset.usual, offset.high


@pytest.mark.parametrize("key", TYPED_TWICE)
def test_outdoor_kinds_have_the_numbers_typed_a_second_time(key: str) -> None:
    """A slip in the file does not pass unseen."""
    kind = read_kinds().by_key[key]
    spot = kind.spot
    found = (
        parts(spot.offsets_c[0]),
        parts(spot.offsets_c[1]),
        parts(spot.offsets_c[2]),
        spot.roofed,
        kind.confidence,
    )
    assert found == TYPED_TWICE[key]
    assert spot.room is None


@pytest.mark.parametrize("key", TYPED_TWICE)
def test_every_kind_has_a_range_on_all_nights_that_promises_no_gain(key: str) -> None:
    """No source says that any of these spots is warmer on every night: the colder end is 0 or less.

    Only a source whose own number it is makes a kind "found".
    """
    kind = read_kinds().by_key[key]
    for offset in kind.spot.offsets_c[:2]:
        assert not offset.is_sure
        assert offset.low <= 0
    assert kind.mark != "found"
    gains = [offset.high for offset in kind.spot.offsets_c[:2]]
    assert gains[1] <= max(gains[0], 0.5)  # what is worth much under a clear sky is worth less else


def test_kinds_are_those_outdoors_and_two_indoors() -> None:
    """None stands in the file that is not typed twice or a room."""
    rooms = {key for key, kind in read_kinds().by_key.items() if kind.spot.room}
    assert rooms == {"window-sill", "room"}
    assert set(read_kinds().by_key) == {*TYPED_TWICE, *rooms}
    assert all(kind.spot.roofed for kind in read_kinds().by_key.values() if kind.spot.room)


def test_a_spot_of_a_kind_is_named_by_its_key_and_knows_its_range() -> None:
    """Low is the colder end."""
    spot = read_kinds().find("Open Porch").spot
    assert (spot.name, spot.kind, spot.has_range) == ("open-porch", "open-porch", True)
    assert [spot.offsets_c[0].at(end) for end in End] == [0, 1, 2.5]


def test_an_unknown_kind_is_met_with_near_ones() -> None:
    """A slip costs one look."""
    with pytest.raises(CatalogueError, match=r'"open-prch".*Near: open-porch'):
        read_kinds().find("open-prch")


@pytest.mark.parametrize(
    ("old", "new", "words"),
    [
        ('key = "room"', 'key = "open-bench"', r'kinds\.toml, key: found "open-bench" twice'),
        ('key = "room"', 'key = "A room"', "lower-case letters"),
        ('sources = ["reasoned"]', 'sources = ["hearsay"]', 'the unknown source "hearsay"'),
        ("near_glass = 0\n", "near_glass = 2\n", "near_glass: found 2; right would be a number"),
        ('light = "low"', 'light = "dim"', "one of low, medium, bright, very bright"),
        ("near_glass = 0\n", "near_glas = 0\n", 'near_glas: found an unknown field.*"near_glass"'),
    ],
)
def test_their_file_is_checked(tmp_path: Path, old: str, new: str, words: str) -> None:
    """Field, what was found and what would be right."""
    for name in ("kinds.toml", "sources.toml"):
        shutil.copy(OUR_FOLDER / name, tmp_path / name)
    file = tmp_path / "kinds.toml"
    text = file.read_text("utf-8")
    assert old in text
    file.write_text(text.replace(old, new), encoding="utf-8")
    with pytest.raises(CatalogueError, match=words):
        read_kinds(tmp_path)
