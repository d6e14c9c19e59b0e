"""The diary beside a collection: rows read and added, odd ones told, and where plants stand."""

from __future__ import annotations

from datetime import date
from typing import TYPE_CHECKING

import pytest

from suitability.errors import CatalogueError
from suitability.spots.diary import Entry, What, as_on, diary_file, read_diary, with_entries
from suitability.spots.reading import read_collection

if TYPE_CHECKING:
    from pathlib import Path

    from suitability.spots.collection import Collection

HEAD = "date,plant,what,words,lowest_c,spot\n"
PLANTS = """
[[spot]]
name = "Sill"
kind = "window-sill"
[[spot]]
name = "porch"
kind = "open-porch"
[[plant]]
name = "old nobile"
group = "nobile"
spot = "porch"
[[plant]]
group = "den-phal"
"""


@pytest.fixture
def mine(tmp_path: Path) -> Collection:
    path = tmp_path / "mine.toml"
    path.write_text(PLANTS, "utf-8")
    return read_collection(path)


def write(mine: Collection, text: str) -> None:
    diary_file(mine.path).write_text(text, "utf-8")


def test_without_a_file_nothing_is_noted(mine: Collection) -> None:
    """An empty file says as much."""
    assert read_diary(mine).entries == ()
    write(mine, "")
    assert read_diary(mine).entries == ()


def test_what_is_added_is_read_again(mine: Collection) -> None:
    """Commas, quotes and letters of any language stay; rows come by day, names as in the file."""
    first = Entry(
        day=date(2024, 1, 9),
        plant="OLD nobile",
        what=What.DAMAGE,
        words='tips, "black" é',
        lowest_c=1.5,
    )
    later = Entry(day=date(2023, 11, 2), plant="den-phal", what=What.MOVE, spot="sill")
    write(mine, with_entries(with_entries("", [first]), [later]))
    diary = read_diary(mine)
    assert [entry.day for entry in diary.entries] == [later.day, first.day]
    assert diary.entries[0].spot == "Sill"
    assert diary.of("old nobile")[0].words == 'tips, "black" é'
    assert diary.of("old nobile")[0].lowest_c == 1.5
    assert diary.left_out == ()


def test_a_row_is_added_as_the_file_has_its_columns(mine: Collection) -> None:
    """Saved by a spreadsheet with semicolons, other columns, and no line end."""
    write(mine, "plant;date;what;spot;mine\nold nobile;2024-01-01;move;sill;x")
    text = diary_file(mine.path).read_text("utf-8")
    moved = Entry(day=date(2024, 4, 1), plant="old nobile", what=What.MOVE, spot="porch")
    write(mine, with_entries(text, [moved]))
    assert with_entries(text, [moved]).startswith(text + "\n")
    assert [entry.spot for entry in read_diary(mine).entries] == ["Sill", "porch"]


@pytest.mark.parametrize(
    ("row", "told"),
    [
        ("2024-13-01,old nobile,move,,,porch", "line 3, date"),
        ("0204-01-01,old nobile,move,,,porch", "a day from 1950-01-01 on"),
        ("2024-01-01,old nobel,repotting,,,", "Near: old nobile"),
        ("2024-01-01,old nobile,move,,,", "line 3, spot: found nothing"),
        ("2024-01-01,old nobile,move,,,porsch", "Near: porch"),
        ("2024-01-01,old nobile,flowering,,,porch", 'line 3, spot: found "porch"'),
        ("2024-01-01,old nobile,dammage,,,", "line 3, what"),
        ("2024-01-01,old nobile,damage,,cold,", "line 3, lowest_c"),
        ("2024-01-01,old nobile,damage,,34,", "34 °F is 1.1 °C"),
        ("2024-01-01,old nobile,flowering,,3,", "lowest_c"),
        ("2024-01-01,old nobile,damage,tips, black,,,", "more cells than columns"),
        (f"2024-01-01,old nobile,damage,{'x' * 401},,", "at most 400"),
        ("2024-01-01", "line 3, what: found an empty text"),
        ("2024-01-01,,repotting", 'plant: found ""'),
        ("2024-01-01,turnip,repotting,,,", "There are: old nobile; den-phal."),  # names hold commas
    ],
)
def test_an_odd_row_is_told_with_its_line_and_the_others_count(
    mine: Collection, row: str, told: str
) -> None:
    """In one sentence each."""
    write(
        mine, f"{HEAD}2024-01-01,old nobile,repotting,,,\n{row}\n2024-02-01,den-phal,move,,,sill\n"
    )
    diary = read_diary(mine)
    assert len(diary.entries) == 2
    assert len(diary.left_out) == 1
    assert diary.left_out[0].startswith("mine.diary.csv, line 3")
    assert told in diary.left_out[0]


@pytest.mark.parametrize(
    ("row", "taken"),
    [
        ("old nobel,Repotting,,,", "stays"),
        ("old nobile,damage,,99,", "stays"),
        ("old nobile,flowering,,,porch", "lost"),  # may be a move that was given another kind
        ("old nobel,Move,,,porch", "lost"),
        ("old nobile,mvoe,,,", "lost"),
        ("old nobile,,,,", "lost"),
        ("old nobile,MOVE,,,porch", "read"),
    ],
)
def test_a_row_left_out_may_have_been_a_move(mine: Collection, row: str, taken: str) -> None:
    """Unless its kind is read and is another one; capitals make none."""
    write(mine, f"{HEAD}2024-01-01,{row}\n")
    diary = read_diary(mine)
    assert (len(diary.entries), diary.lost_moves) == (taken == "read", taken == "lost")


@pytest.mark.parametrize(
    "text", ["day,plant,what\n", "\x00\x01,\n", "2024-01-01,old nobile,move,,,porch\n"]
)
def test_a_file_without_the_columns_is_refused(mine: Collection, text: str) -> None:
    """Rather than read in a way that nobody meant; nothing is added to it either."""
    write(mine, text)
    with pytest.raises(CatalogueError, match=r"mine\.diary\.csv, line 1"):
        read_diary(mine)
    row = Entry(day=date(2024, 1, 1), plant="old nobile", what=What.REPOTTING)
    with pytest.raises(CatalogueError):
        with_entries(text, [row])


def test_no_cell_is_dropped_for_want_of_a_column() -> None:
    """A move into a file without a column for its spot is refused, a repotting is not."""
    head = "date,plant,what\n"
    move = Entry(day=date(2024, 1, 1), plant="old nobile", what=What.MOVE, spot="Sill")
    with pytest.raises(CatalogueError, match="no column spot"):
        with_entries(head, [move])
    row = Entry(day=date(2024, 1, 1), plant="old nobile", what=What.REPOTTING)
    assert with_entries(head, [row]) == head + "2024-01-01,old nobile,repotting\n"


def test_bytes_that_are_no_text_are_refused(mine: Collection) -> None:
    diary_file(mine.path).write_bytes(b"\xff\xfe\x00")
    with pytest.raises(CatalogueError, match="UTF-8"):
        read_diary(mine)


def test_a_plant_stands_where_its_last_move_led(mine: Collection) -> None:
    """From the day of the move on; before the first, and without any, where the file says."""
    write(
        mine,
        HEAD
        + "2024-04-20,old nobile,move,,,porch\n2023-11-02,old nobile,move,,,Sill\n"
        + "2024-04-20,old nobile,move,rain,,sill\n2024-05-01,den-phal,move,,,porch\n",
    )
    diary = read_diary(mine)

    def spots(year: int, month: int, day: int) -> list[str | None]:
        return [plant.spot for plant in as_on(mine, diary, date(year, month, day)).plants]

    assert spots(2023, 11, 1) == ["porch", None]
    assert spots(2023, 11, 2) == ["Sill", None]
    assert spots(2024, 4, 20) == ["Sill", None]  # the later row of a day
    assert spots(2024, 5, 1) == ["Sill", "porch"]
