"""
The diary of a collection: what happened to its plants, as plain CSV beside the file.

`mine.toml` has `mine.diary.csv`, with a row for each damage, flowering, move and repotting. A row
that cannot be used is told with its line and left out; all others count.
"""

import csv
import io
from collections.abc import Iterator, Mapping, Sequence
from datetime import date
from enum import StrEnum
from pathlib import Path
from typing import Annotated

from msgspec import Meta, Struct
from msgspec.structs import replace

from suitability.errors import CatalogueError
from suitability.fields import Span, Where, parse_number, parse_text, parse_word
from suitability.quantities import Celsius, Result
from suitability.spots.collection import Collection, near_names, same_name
from suitability.spots.entries import parse_day

COLUMNS = ("date", "plant", "what", "words", "lowest_c", "spot")
LONGEST_WORDS = 400
FIRST_DAY = date(1950, 1, 1)  # a note of an earlier year is a slip of the pen
LOWEST_C = Span(-40.0, 30.0, "°C", celsius=True)


class What(StrEnum):
    """What a row of the diary tells of."""

    DAMAGE = "damage"
    FLOWERING = "flowering"
    MOVE = "move"
    REPOTTING = "repotting"


STAYING = frozenset(What) - {What.MOVE}  # rows that say nothing of where a plant stands


class Entry(Result, frozen=True, kw_only=True, rename={"day": "date"}):
    """One row of a diary."""

    day: Annotated[date, Meta(description="On which it was seen or done, or is to be done.")]
    plant: Annotated[str, Meta(description="Name of the plant in the collection.")]
    what: What
    words: Annotated[str, Meta(description="The grower's own.")] = ""
    lowest_c: Annotated[
        Celsius | None, Meta(description="Of the night that did damage, where it is known.")
    ] = None
    spot: Annotated[str | None, Meta(description="Where a move leads; else null.")] = None


class Diary(Struct, frozen=True, kw_only=True):
    """
    The rows of a diary.

    Attributes
    ----------
    path
        May not be there: then nothing was noted yet.
    entries
        By day; those of one day in the order of the file.
    left_out
        A sentence for each row that cannot be used.
    lost_moves
        Whether one of these may have told where a plant stands.
    """

    path: Path
    entries: tuple[Entry, ...] = ()
    left_out: tuple[str, ...] = ()
    lost_moves: bool = False

    def of(self, plant: str) -> tuple[Entry, ...]:
        """The rows of one plant."""
        return tuple(entry for entry in self.entries if entry.plant == plant)


def diary_file(collection: Path) -> Path:
    """
    Where the diary of a collection's file stands.

    Examples
    --------
    >>> diary_file(Path("mine.toml")).name
    'mine.diary.csv'
    """
    return collection.with_name(f"{collection.stem}.diary.csv")


def read_diary(collection: Collection) -> Diary:
    """
    The diary beside a collection's file; without a row where there is none.

    Raises
    ------
    CatalogueError
        The file cannot be read, or its first line does not name the columns.
    """
    path = diary_file(collection.path)
    try:
        text = path.read_bytes().decode("utf-8-sig")
    except FileNotFoundError:
        return Diary(path=path)
    except OSError as reason:
        raise CatalogueError(f"{path}: cannot be read ({reason.strerror}).") from reason
    except UnicodeDecodeError as reason:
        raise CatalogueError(
            f"{path.name}: found bytes that are not UTF-8; save it as CSV in UTF-8."
        ) from reason
    found: list[Entry] = []
    left_out: list[str] = []
    lost_moves = False
    for line, row in _rows_of(text, path.name):
        try:
            found.append(_parse_row(row, Where(path.name, f"line {line}"), collection))
        except CatalogueError as reason:
            left_out.append(f"{reason} The row was left out.")
            lost_moves |= bool(row.get("spot")) or row["what"].casefold() not in STAYING
    found.sort(key=lambda entry: entry.day)
    return Diary(path=path, entries=tuple(found), left_out=tuple(left_out), lost_moves=lost_moves)


def _rows_of(text: str, file: str) -> Iterator[tuple[int, dict[str, str]]]:
    """Line and cells of each row that has any; cells beyond the columns under an empty name."""
    rows = csv.DictReader(io.StringIO(text), delimiter=_delimiter(text), restkey="", restval="")
    try:
        names = [name.strip() for name in rows.fieldnames or COLUMNS]
        _check_columns(names, file)
        rows.fieldnames = names
        for row in rows:
            if any(row.values()):
                yield rows.line_num, {name: str(cell).strip() for name, cell in row.items()}
    except csv.Error as reason:
        raise CatalogueError(f"{file}: found something that is not CSV ({reason}).") from reason


def _delimiter(text: str) -> str:
    """A comma, or the semicolon with which some spreadsheets save."""
    head = text.partition("\n")[0]
    return ";" if head.count(";") > head.count(",") else ","


def _check_columns(found: Sequence[str], file: str, needed: Sequence[str] = COLUMNS[:3]) -> None:
    """Refuse a file whose first line lacks a column."""
    lacking = [name for name in needed if name not in found]
    if lacking:
        raise CatalogueError(
            f"{file}, line 1: found no column {', '.join(lacking)}; right would be "
            f"{','.join(COLUMNS)}."
        )


def _parse_row(cells: Mapping[str, str], where: Where, collection: Collection) -> Entry:
    """One row, checked against its collection."""
    if cells.get(""):
        where.refuse("", "more cells than columns", 'words that hold a comma in quotes ("...")')
    lowest, temp_c = cells.get("lowest_c", ""), None
    if lowest:
        try:
            temp_c = float(lowest.replace(",", "."))
        except ValueError:
            where.refuse("lowest_c", f'"{lowest}"', "a number in °C, or nothing")
    entry = Entry(
        day=parse_day(cells["date"], "date", where),
        plant=cells["plant"],
        what=parse_word(cells["what"].casefold(), {one.value: one for one in What}, "what", where),
        words=parse_text(cells.get("words", ""), "words", where, LONGEST_WORDS),
        lowest_c=temp_c,
        spot=cells.get("spot") or None,
    )
    return check_entry(entry, collection, where)


def check_entry(entry: Entry, collection: Collection, where: Where) -> Entry:
    """
    The row with plant and spot as the collection writes them.

    Raises
    ------
    CatalogueError
        The collection has no such plant or spot (near names are offered), or a cell does not
        belong to what the row tells of, or its day is long gone.
    """
    if entry.day < FIRST_DAY:
        where.refuse("date", f"{entry.day}", f"a day from {FIRST_DAY} on")
    names = [plant.name for plant in collection.plants]
    asked = same_name(entry.plant)
    plant = next((name for name in names if same_name(name) == asked), None)
    if plant is None:
        right = f"a plant of {collection.path.name}"
        where.refuse("plant", f'"{entry.plant}"', right, near_names(entry.plant, names).strip())
    if (entry.spot is None) == (entry.what is What.MOVE):
        found = "nothing" if entry.spot is None else f'"{entry.spot}"'
        where.refuse("spot", found, "the spot that a move leads to, and nothing in other rows")
    if entry.lowest_c is not None:
        if entry.what is not What.DAMAGE:
            where.refuse("lowest_c", f"{entry.lowest_c:g}", "nothing, but in a row of damage")
        parse_number(entry.lowest_c, LOWEST_C, "lowest_c", where)
    parse_text(entry.words, "words", where, LONGEST_WORDS)
    spot = None
    if entry.spot is not None:
        spots = {same_name(one.name): one.name for one in collection.spots}
        spot = spots.get(same_name(entry.spot))
        if spot is None:
            right = f"a spot of {collection.path.name}"
            hint = near_names(entry.spot, list(spots.values())).strip()
            where.refuse("spot", f'"{entry.spot}"', right, hint)
    return replace(entry, plant=plant, spot=spot)


def with_entries(text: str, entries: Sequence[Entry], file: str = "the diary") -> str:
    """
    The text of a diary with rows added at its end; all else stays as it was.

    Parameters
    ----------
    text
        Empty where there is no file yet.
    file
        Named where something is wrong.

    Raises
    ------
    CatalogueError
        Its first line does not name the columns that the rows need.
    """
    delimiter = _delimiter(text)
    names: Sequence[str] = COLUMNS
    if text.strip():
        names = next(
            csv.reader([text.removeprefix("\ufeff").partition("\n")[0]], delimiter=delimiter)
        )
        names = [name.strip() for name in names]
    else:
        text = ",".join(COLUMNS) + "\n"
    out = io.StringIO()
    rows = csv.DictWriter(
        out, names, delimiter=delimiter, lineterminator="\n", extrasaction="ignore"
    )
    for entry in entries:
        lowest = "" if entry.lowest_c is None else f"{entry.lowest_c:g}"
        values = (f"{entry.day}", entry.plant, entry.what, entry.words, lowest, entry.spot or "")
        cells = dict(zip(COLUMNS, values, strict=True))
        _check_columns(names, file, [name for name, cell in cells.items() if cell])
        rows.writerow(cells)
    return text + ("" if text.endswith("\n") else "\n") + out.getvalue()


def spot_on(plant: str, first: str | None, diary: Diary, day: date) -> str | None:
    """
    Where a plant stands on the evening of a day: where its last move up to that day has led.

    Parameters
    ----------
    first
        Its spot in the collection's file, where it stands without a move; may be None.
    """
    moves = (entry for entry in diary.entries if entry.plant == plant and entry.spot is not None)
    return next((move.spot for move in reversed([*moves]) if move.day <= day), first)


def as_on(collection: Collection, diary: Diary, day: date) -> Collection:
    """The collection with each plant where it stands on the evening of a day."""
    plants = tuple(
        replace(plant, spot=spot_on(plant.name, plant.spot, diary, day))
        for plant in collection.plants
    )
    return replace(collection, plants=plants)
