"""Names: of groups and plants, whole where there is room, and counted where there is not."""

from __future__ import annotations

from typing import TYPE_CHECKING

import pytest
from msgspec.structs import replace

from suitability.answers import words
from tests.output import examples

if TYPE_CHECKING:
    from suitability.advice.result import Finding


def of(*plants: str, numbers: tuple[int, ...] = (), **changes: object) -> Finding:
    """A row about plants."""
    row = examples.seasonal(**changes)
    return replace(row, plants=plants, numbers=numbers or (1,) * len(plants))


def test_a_group_has_its_key_or_its_name() -> None:
    row = examples.seasonal()
    assert words.short_name(row) == "phalaenanthe"
    assert words.full_name(row) == "Phalaenanthe and hybrids"


@pytest.mark.parametrize(
    ("row", "longest", "told"),
    [
        (of("white"), 60, "white"),
        (of("white", numbers=(3,)), 60, "white (3)"),
        (of("white", "red"), 60, "2 plants: white, red"),
        (of("white", "red", numbers=(3, 1)), 60, "4 plants: white (3), red"),
        (of("white", "red", "blue"), 22, "3 plants: white +2"),
        (of("white", "red", "blue"), 12, "white +2"),
        (of("a very long name indeed", "red"), 12, "a very l… +1"),
    ],
)
def test_plants_are_named_as_far_as_there_is_room(row: Finding, longest: int, told: str) -> None:
    assert words.short_name(row, longest) == words.full_name(row, longest) == told
    assert len(told) <= longest


def test_a_guess_is_starred_and_told_once() -> None:
    rows = [of("cross", caveat="hybrid of two"), of("white")]
    assert [words.who_cell(row).text for row in rows] == ["cross *", "white"]
    assert words.caveat_sentences([*rows, rows[0]]) == ["* cross: hybrid of two."]
    assert words.group_of(rows[0]) == "Phalaenanthe and hybrids (phalaenanthe); hybrid of two"
    assert words.group_of(examples.seasonal()) == ""


def test_titles_count_plants_and_not_rows() -> None:
    """A plant without a spot stands at several, and is then one of pairs."""
    assert words.counted([of("a", numbers=(3,)), of("b", spot="bench")]) == "4 plants"
    assert words.counted([of("a"), of("a", spot="bench")]) == "2 pairs of plant and spot"
    assert words.counted([examples.seasonal()]) == "1 group"
    two = [examples.seasonal(), examples.seasonal(spot="bench")]
    assert words.counted(two) == "2 pairs of group and spot"
    assert words.who([of("a")]) == "Plant"
    assert words.who(two) == "Group"
