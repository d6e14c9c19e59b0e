"""The diary beside a collection: rows read and added, odd ones told, and where plants stand."""

from __future__ import annotations

from collections import Counter
from datetime import date, timedelta
from pathlib import Path
from typing import TYPE_CHECKING

import pytest
from hypothesis import given
from hypothesis import strategies as st

from suitability.errors import CatalogueError
from suitability.spots.diary import (
    Diary,
    Entry,
    What,
    as_on,
    diary_file,
    lots_of,
    pots_by_spot,
    read_diary,
    with_entries,
)
from suitability.spots.plants import Plant
from suitability.spots.reading import read_collection

if TYPE_CHECKING:
    from collections.abc import Sequence

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
    with pytest.raises(CatalogueError, match="without spot; right would be"):
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


# Pots of one plant that stand apart ---------------------------------------------------------------

DAY = date(2026, 10, 3)
FIVE = Plant(name="five", group="nobile", number=5, spot="patio")


def move(spot: str, number: int | None = None, leaving: str | None = None, day: int = 0) -> Entry:
    return Entry(
        day=DAY + timedelta(day),
        plant="five",
        what=What.MOVE,
        spot=spot,
        number=number,
        leaving=leaving,
    )


def diary_of(moves: Sequence[Entry]) -> Diary:
    return Diary(path=Path("mine.diary.csv"), entries=tuple(moves))


def at(moves: Sequence[Entry], day: int = 30, plant: Plant = FIVE) -> dict[str | None, int]:
    """How many stand where some days on."""
    found = pots_by_spot(plant, diary_of(moves), DAY + timedelta(day))
    return {one.spot: one.number for one in found}


@pytest.mark.parametrize(
    ("moves", "told"),
    [
        ([], {"patio": 5}),
        ([move("porch")], {"porch": 5}),
        ([move("porch", 2)], {"patio": 3, "porch": 2}),
        ([move("porch", 5)], {"porch": 5}),
        ([move("porch", 2), move("sill", 3)], {"porch": 2, "sill": 3}),  # each from the patio
        ([move("porch", 2), move("sill", 2)], {"porch": 2, "sill": 2, "patio": 1}),
        ([move("porch", 5), move("sill", 2)], {"porch": 3, "sill": 2}),  # all have moved: again
        ([move("porch", 2), move("sill")], {"sill": 5}),  # the last of a day
        ([move("porch", 2), move("sill", leaving="patio")], {"porch": 2, "sill": 3}),
        ([move("porch", 2), move("sill", 1, "porch", day=7)], {"porch": 1, "sill": 1, "patio": 3}),
        ([move("porch", 2), move("patio", 2, day=7)], {"patio": 5}),
        # Three come as two go on: those that have just come stay.
        (
            [move("porch", 2), move("porch", 3, day=7), move("sill", 2, "porch", day=7)],
            {"porch": 3, "sill": 2},
        ),
    ],
)
def test_some_pots_move_and_the_others_stay(
    moves: list[Entry], told: dict[str | None, int]
) -> None:
    assert at(moves) == told


def test_who_came_last_goes_first_and_who_came_that_day_stays() -> None:
    """Two came on the first day, three a week later; two go on two weeks later."""
    lots = lots_of(FIVE, diary_of([move("porch", 2), move("porch", 3, day=7)]))
    assert {(lot.since, lot.number) for lot in lots} == {(DAY, 2), (DAY + timedelta(7), 3)}
    gone = [move("porch", 2), move("porch", 3, day=7), move("sill", 2, day=14)]
    lots = lots_of(FIVE, diary_of(gone))
    assert {(lot.number, len(lot.stays)) for lot in lots} == {(2, 2), (2, 3), (1, 2)}
    (sill,) = [lot for lot in lots if lot.spot == "sill"]
    assert [spot for _, spot in sill.stays] == ["patio", "porch", "sill"]
    assert sill.stays[1][0] == DAY + timedelta(7)
    same_day = [*gone[:2], move("sill", 2, "porch", day=7)]
    (sill,) = [lot for lot in lots_of(FIVE, diary_of(same_day)) if lot.spot == "sill"]
    assert sill.stays[1][0] == DAY


def test_pots_without_a_spot_are_placed_first() -> None:
    """For no name could say that they are meant."""
    loose = Plant(name="five", group="nobile", number=5)
    moves = [move("sill", 2), move("porch", 1, day=7)]
    assert at(moves, plant=loose) == {"sill": 2, "porch": 1, None: 2}


@pytest.mark.parametrize(
    ("moves", "told"),
    [
        ([move("porch", 6)], "number: found 6; right would be at most 5"),
        ([move("patio", 1)], "no move, for none of its pots stand elsewhere"),
        ([move("porch", 1, "sill")], 'leaving: found "sill"'),
        ([move("porch", leaving="sill")], 'leaving: found "sill"'),
        ([move("porch", 2), move("sill", 3, "porch", day=7)], "at most 2: no more"),
        (
            [move("porch", 2), move("sill", 3, day=7)],
            'leaving: found nothing; right would be the spot that they leave, "porch" or "patio"',
        ),
    ],
)
def test_a_move_that_does_not_fit_is_refused(moves: list[Entry], told: str) -> None:
    with pytest.raises(CatalogueError) as refused:
        lots_of(FIVE, diary_of(moves))
    assert told in str(refused.value)


SPOTS = ("patio", "porch", "sill")


@given(
    st.lists(st.tuples(st.integers(0, 2), st.integers(1, 2), st.integers(0, 5), st.integers(0, 3)))
)
def test_pots_are_moved_as_counted(asked: list[tuple[int, int, int, int]]) -> None:
    """Against a count by spot alone, for moves that say what they leave; 0 is all there."""
    counted, day, moves = Counter({"patio": 5}), 0, []
    for begins, onward, number, later in asked:
        leaving, spot = SPOTS[begins], SPOTS[(begins + onward) % 3]
        there = counted[leaving]
        day += later + 1  # each on a day of its own: those of one day are tried above
        if not 0 < max(1, number) <= there:
            continue
        counted[leaving] -= number or there
        counted[spot] += number or there
        moves.append(move(spot, number or None, leaving, day))
    assert at(moves, day) == +counted
    assert sum(lot.number for lot in lots_of(FIVE, diary_of(moves))) == 5


def test_rows_of_some_pots_are_added_to_an_older_file(mine: Collection) -> None:
    """Its first line gains their columns; a row that does not fit may hide where plants stand."""
    path = mine.path
    path.write_text(PLANTS.replace('name = "old nobile"', 'name = "old nobile"\nnumber = 5'))
    many = read_collection(path)
    older = f"{HEAD}2024-01-01,old nobile,repotting,,,\n"
    some = Entry(
        day=date(2024, 4, 1),
        plant="old nobile",
        what=What.MOVE,
        spot="Sill",
        number=2,
        leaving="porch",
    )
    for text, head in (
        (older, f"{HEAD.strip()},number,leaving"),
        (
            older.replace(",", ";").replace("\n", "\r\n"),
            HEAD.strip().replace(",", ";") + ";number;leaving\r",
        ),
        ("", f"{HEAD.strip()},number,leaving"),
    ):
        added = with_entries(text, [some])
        assert added.split("\n")[0] == head
        write(many, added)
        diary = read_diary(many)
        assert diary.left_out == ()
        assert diary.entries[-1] == some
        nobile, _ = many.plants
        assert [one.number for one in pots_by_spot(nobile, diary, some.day)] == [2, 3]
    rows = "2024-04-01,old nobile,move,,,sill,2\n2024-04-02,old nobile,move,,,sill,4\n"
    write(many, f"{HEAD.strip()},number\n{rows}")
    diary = read_diary(many)
    assert (len(diary.entries), diary.lost_moves) == (1, True)
    assert diary.left_out[0].startswith("mine.diary.csv, line 3, number: found 4; right would be")


def test_of_pots_that_are_gone_old_moves_take_what_is_left(mine: Collection) -> None:
    """Six of eight were moved; five are left."""
    mine.path.write_text(PLANTS.replace('name = "old nobile"', 'name = "old nobile"\nnumber = 5'))
    many = read_collection(mine.path)
    write(many, f"{HEAD.strip()},number\n2024-04-01,old nobile,move,,,sill,6\n")
    diary = read_diary(many)
    assert (diary.left_out, diary.lost_moves) == ((), False)
    (nobile,) = pots_by_spot(many.plants[0], diary, date(2024, 5, 1))
    assert (nobile.spot, nobile.number) == ("Sill", 5)


@pytest.mark.parametrize("ending", ["\n", "\r\n", "\r"])
def test_a_quote_left_open_hides_no_row_after_it(mine: Collection, ending: str) -> None:
    """It is told with its line, and may have been a move; what is added after it is read."""
    rows = [
        HEAD.strip(),
        '2024-01-12,old nobile,damage,"tips,1.5,',
        "2024-02-01,den-phal,move,,,sill",
    ]
    write(mine, ending.join(rows) + ending)
    moved = Entry(day=date(2024, 4, 1), plant="old nobile", what=What.MOVE, spot="Sill")
    path = diary_file(mine.path)
    path.write_bytes(with_entries(path.read_bytes().decode(), [moved]).encode())
    diary = read_diary(mine)
    assert [entry.plant for entry in diary.entries] == ["den-phal", "old nobile"]
    assert diary.lost_moves
    (told,) = diary.left_out
    assert told.startswith("mine.diary.csv, line 2: found a quote left open")


@pytest.mark.parametrize("delimiter", [",", ";", "\t"])
def test_columns_are_found_whatever_their_capitals(mine: Collection, delimiter: str) -> None:
    """As a spreadsheet may save them; rows are added with its line ends."""
    text = "Date,Plant,WHAT,words,lowest_c,Spot\r\n2024-01-01,old nobile,move,,,sill\r\n"
    moved = Entry(day=date(2024, 4, 1), plant="old nobile", what=What.MOVE, spot="porch")
    added = with_entries(text.replace(",", delimiter), [moved])
    assert added.count("\r\n") == added.count("\n") == 3
    diary_file(mine.path).write_bytes(added.encode())
    assert [entry.spot for entry in read_diary(mine).entries] == ["Sill", "porch"]


@pytest.mark.parametrize(
    ("cells", "told"),
    [
        ("move,,,sill,two,", 'number: found "two"; right would be a whole number, or nothing'),
        ("move,,,sill,1.5,", "number"),
        ("move,,,sill,0,", "number"),
        ("move,,,sill,,pation", "leaving"),
        ("move,,,sill,,sill", "leaving"),
        ("flowering,,,,1,", "number: found"),
        ("flowering,,,,,porch", "leaving: found"),
    ],
)
def test_odd_cells_of_such_a_row_are_told(mine: Collection, cells: str, told: str) -> None:
    write(mine, f"{HEAD.strip()},number,leaving\n2024-01-01,old nobile,{cells}\n")
    (sentence,) = read_diary(mine).left_out
    assert told in sentence
