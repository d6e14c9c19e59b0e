"""
The diary of a collection: what happened to its plants, as plain CSV beside the file.

`mine.toml` has `mine.diary.csv`, with a row for each damage, flowering, move and repotting. A row
that cannot be used is told with its line and left out; all others count. A move takes all pots of a
plant or some of them; those that have always stood together are a lot.
"""

import csv
import io
from collections import Counter
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
from suitability.spots.entries import parse_count, parse_day
from suitability.spots.plants import Plant

COLUMNS = ("date", "plant", "what", "words", "lowest_c", "spot", "number", "leaving")
OF_SOME = ("number", "leaving")  # columns of moves of some pots
LEFT_OUT = "The row was left out."
LONGEST_WORDS = 400
FIRST_DAY = date(1950, 1, 1)  # a note of an earlier year is a slip of the pen
POTS = Span(1, 100_000, "pots")
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
    number: Annotated[
        Annotated[int, Meta(ge=1)] | None,
        Meta(description="Pots that a move takes; null: all that stand where it begins."),
    ] = None
    leaving: Annotated[
        str | None, Meta(description="Where a move begins; null: wherever they stand.")
    ] = None

    @property
    def takes_all(self) -> bool:
        """Whether it moves every pot of its plant, wherever it stands."""
        return self.number is None and self.leaving is None


class Lot(Struct, frozen=True, kw_only=True):
    """
    Pots of a plant that have always stood together.

    Attributes
    ----------
    number
    stays
        First day and spot of each in turn; the first is as the collection's file has it.
    """

    number: int
    stays: tuple[tuple[date, str | None], ...]

    @property
    def since(self) -> date:
        """The day of its last move."""
        return self.stays[-1][0]

    @property
    def spot(self) -> str | None:
        """Where its last move has led."""
        return self.stays[-1][1]

    def stay_on(self, day: date) -> tuple[date, str | None]:
        """Since when and where it stands on the evening of a day."""
        return next(stay for stay in reversed(self.stays) if stay[0] <= day)


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
    found: list[tuple[Where, Entry]] = []
    left_out: list[str] = []
    lost_moves = False
    for line, row in _rows_of(text, path.name):
        where = Where(path.name, f"line {line}")
        try:
            if row is None:
                where.refuse("", "a quote left open", 'words in quotes ("...") on one line')
            found.append((where, _parse_row(row, where, collection)))
        except CatalogueError as reason:
            left_out.append(f"{reason} {LEFT_OUT}")
            lost_moves |= row is None or _may_move(row)
    entries = []
    lots = {plant.name: lots_of(plant, None) for plant in collection.plants}
    for where, entry in sorted(found, key=lambda one: one[1].day):
        try:
            lots[entry.plant] = _after(lots[entry.plant], entry, where)
            entries.append(entry)
        except CatalogueError as reason:
            left_out.append(f"{reason} {LEFT_OUT}")
            lost_moves = True
    return Diary(path=path, entries=tuple(entries), left_out=tuple(left_out), lost_moves=lost_moves)


def _may_move(row: Mapping[str, str]) -> bool:
    """Whether a row that is left out may have told where a plant stands."""
    return bool(row.get("spot")) or row["what"].casefold() not in STAYING


def _rows_of(text: str, file: str) -> Iterator[tuple[int, dict[str, str] | None]]:
    """
    Line and cells of each row that has any; cells beyond the columns under an empty name.

    A row is a line: a quote that is not closed takes no row after it with it, and its own row is
    None.
    """
    lines = enumerate(io.StringIO(text, newline=None), start=1)
    delimiter = _delimiter(text)
    names = _names_of(next(lines, (1, ""))[1], delimiter) if text.strip() else list(COLUMNS)
    _check_columns(names, file)
    for number, line in lines:
        if not line.strip(f"{delimiter} \n"):
            continue
        try:
            (cells,) = csv.reader([line.rstrip("\n")], delimiter=delimiter, strict=True)
        except csv.Error:
            yield number, None
            continue
        row = dict.fromkeys(names, "") | dict(zip(names, map(str.strip, cells), strict=False))
        yield number, row | ({"": "more"} if len(cells) > len(names) else {})


def _names_of(head: str, delimiter: str) -> list[str]:
    """Names of the columns in the first line, whatever their capitals."""
    cells = next(csv.reader([head.removeprefix("\ufeff").rstrip("\r\n")], delimiter=delimiter), [])
    return [name.strip().casefold() for name in cells]


def _delimiter(text: str) -> str:
    """A comma, or the semicolon or tabulator with which some spreadsheets save."""
    head = io.StringIO(text, newline=None).readline()
    return max(",;\t", key=head.count)


def _check_columns(found: Sequence[str], file: str, needed: Sequence[str] = COLUMNS[:3]) -> None:
    """Refuse a file whose first line lacks a column."""
    lacking = [name for name in needed if name not in found]
    if lacking:
        raise CatalogueError(
            f"{file}, line 1: found the columns {','.join(found)[:60]} without "
            f"{', '.join(lacking)}; right would be {','.join(COLUMNS)}."
        )


def _parse_row(cells: Mapping[str, str], where: Where, collection: Collection) -> Entry:
    """One row, checked against its collection."""
    if cells.get(""):
        where.refuse("", "more cells than columns", 'words that hold a comma in quotes ("...")')
    number = _parse_cell(cells, "number", "a whole number", where)
    entry = Entry(
        day=parse_day(cells["date"], "date", where),
        plant=cells["plant"],
        what=parse_word(cells["what"].casefold(), {one.value: one for one in What}, "what", where),
        words=parse_text(cells.get("words", ""), "words", where, LONGEST_WORDS),
        lowest_c=_parse_cell(cells, "lowest_c", "a number in °C", where),
        spot=cells.get("spot") or None,
        number=None if number is None else parse_count(number, POTS, "number", where),
        leaving=cells.get("leaving") or None,
    )
    entry = check_entry(entry, collection, where)
    if entry.number is None:
        return entry
    left = next(plant.number for plant in collection.plants if plant.name == entry.plant)
    return replace(entry, number=min(entry.number, left))  # pots that are gone moved too


def _parse_cell(cells: Mapping[str, str], field: str, right: str, where: Where) -> float | None:
    """The number in a cell; None where there is none."""
    text = cells.get(field, "")
    try:
        return float(text.replace(",", ".")) if text else None
    except ValueError:
        where.refuse(field, f'"{text}"', f"{right}, or nothing")


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
    moves = entry.what is What.MOVE
    if (entry.spot is None) == moves:
        found = "nothing" if entry.spot is None else f'"{entry.spot}"'
        where.refuse("spot", found, "the spot that a move leads to, and nothing in other rows")
    for field, cell in (("number", entry.number), ("leaving", entry.leaving)):
        if cell is not None and not moves:
            where.refuse(field, f'"{cell}"', "nothing, but in a row of a move")
    if entry.number is not None:
        parse_count(entry.number, POTS, "number", where)
    if entry.lowest_c is not None:
        if entry.what is not What.DAMAGE:
            where.refuse("lowest_c", f"{entry.lowest_c:g}", "nothing, but in a row of damage")
        parse_number(entry.lowest_c, LOWEST_C, "lowest_c", where)
    parse_text(entry.words, "words", where, LONGEST_WORDS)
    spot = _find_spot(entry.spot, "spot", collection, where)
    leaving = _find_spot(entry.leaving, "leaving", collection, where)
    if leaving is not None and leaving == spot:
        where.refuse("leaving", f'"{leaving}"', "another spot than that which the move leads to")
    return replace(entry, plant=plant, spot=spot, leaving=leaving)


def _find_spot(name: str | None, field: str, collection: Collection, where: Where) -> str | None:
    """The name of a spot as the collection writes it; None of None."""
    if name is None:
        return None
    spots = {same_name(one.name): one.name for one in collection.spots}
    if same_name(name) not in spots:
        hint = near_names(name, list(spots.values())).strip()
        where.refuse(field, f'"{name}"', f"a spot of {collection.path.name}", hint)
    return spots[same_name(name)]


def with_entries(text: str, entries: Sequence[Entry], file: str = "the diary") -> str:
    """
    The text of a diary with rows added at its end; all else stays as it was.

    Its first line gains the columns of moves of some pots when the first such row is added.

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
    cells = [_cells_of(entry) for entry in entries]
    needed = [name for name in COLUMNS if any(row[name] for row in cells)]
    if not text.strip():
        text = ",".join(name for name in COLUMNS if name in needed or name not in OF_SOME) + "\n"
    head = text.splitlines()[0]
    names = _names_of(head, delimiter)
    new = [name for name in OF_SOME if name in needed and name not in names]
    if new and "spot" in names:
        text = delimiter.join([head, *new]) + text[len(head) :]
        names += new
    _check_columns(names, file, needed)
    out = io.StringIO()
    line_end = next((end for end in ("\r\n", "\n", "\r") if text.endswith(end)), "")
    rows = csv.DictWriter(
        out, names, delimiter=delimiter, lineterminator=line_end or "\n", extrasaction="ignore"
    )
    rows.writerows(cells)
    return text + ("" if line_end else "\n") + out.getvalue()


def _cells_of(entry: Entry) -> dict[str, str]:
    """A row by its columns."""
    lowest = "" if entry.lowest_c is None else f"{entry.lowest_c:g}"
    number = "" if entry.number is None else f"{entry.number}"
    values = (
        *(f"{entry.day}", entry.plant, entry.what.value, entry.words, lowest),
        *(entry.spot or "", number, entry.leaving or ""),
    )
    return dict(zip(COLUMNS, values, strict=True))


# Where plants stand -------------------------------------------------------------------------------


def lots_of(plant: Plant, diary: Diary | None, file: str | None = None) -> tuple[Lot, ...]:
    """
    The lots of a plant, by all its moves; without a diary all its pots as its file says.

    Parameters
    ----------
    file
        Named where a move does not fit; None: the diary's.

    Raises
    ------
    CatalogueError
        A move does not fit those before it; of a diary that was read, never.
    """
    lots: tuple[Lot, ...] = (Lot(number=plant.number, stays=((date.min, plant.spot),)),)
    if diary is not None:
        for entry in diary.of(plant.name):
            where = Where(file or diary.path.name, f"move of {plant.name} on {entry.day}")
            lots = _after(lots, entry, where)
    return lots


def _after(lots: tuple[Lot, ...], entry: Entry, where: Where) -> tuple[Lot, ...]:
    """
    Lots after a row of the diary.

    Some pots that move are those that came last, but none that was moved that day already where
    others stand there: who carries three out and two in means five pots.
    """
    if entry.spot is None:
        return lots
    going, left = lots, _pots(lots)
    if not entry.takes_all:
        going = _that_may_go(lots, entry, where)
        left = entry.number or _pots(going)
    after = Counter[tuple[tuple[date, str | None], ...]]()
    for lot in sorted(lots, key=lambda lot: (lot.since < entry.day, lot.since), reverse=True):
        moved = min(left, lot.number) if lot in going else 0
        left -= moved
        after[*lot.stays, (entry.day, entry.spot)] += moved
        after[lot.stays] += lot.number - moved
    return tuple(Lot(number=number, stays=stays) for stays, number in after.items() if number)


def _that_may_go(lots: tuple[Lot, ...], entry: Entry, where: Where) -> tuple[Lot, ...]:
    """Lots of which a move of some pots takes its own; pots without a spot go first."""
    begins, wanted = entry.leaving, entry.number or 1
    if begins is not None:
        there = [lot for lot in lots if lot.spot == begins]
    else:
        there = [lot for lot in lots if lot.spot != entry.spot]
        loose = [lot for lot in there if lot.spot is None]
        there = loose if _pots(loose) >= wanted else there
    still = [lot for lot in there if lot.since < entry.day]
    going = still if _pots(still) >= wanted else there
    most = _pots(going)
    if begins is not None and not most:
        where.refuse("leaving", f'"{begins}"', "a spot at which some of its pots stand")
    if wanted > most:
        at = "elsewhere" if begins is None else f"at {begins}"
        right = f"at most {most}: no more" if most else "no move, for none"
        where.refuse("number", f"{wanted}", f"{right} of its pots stand {at}")
    spots = dict.fromkeys(lot.spot for lot in going)
    if begins is None and len(spots) > 1 and wanted < most:
        named = " or ".join(f'"{spot}"' for spot in spots if spot is not None)
        where.refuse("leaving", "nothing", f"the spot that they leave, {named}")
    return tuple(going)


def _pots(lots: Sequence[Lot]) -> int:
    return sum(lot.number for lot in lots)


def pots_by_spot(plant: Plant, diary: Diary | None, day: date) -> tuple[Plant, ...]:
    """A plant where its pots stand on the evening of a day, once for each spot."""
    at = Counter[str | None]()
    for lot in lots_of(plant, diary):
        at[lot.stay_on(day)[1]] += lot.number
    return tuple(replace(plant, spot=spot, number=number) for spot, number in at.items())


def as_on(collection: Collection, diary: Diary, day: date) -> Collection:
    """The collection with the pots of each plant where they stand on the evening of a day."""
    plants = tuple(one for plant in collection.plants for one in pots_by_spot(plant, diary, day))
    return replace(collection, plants=plants)
