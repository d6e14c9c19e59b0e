"""The file that lists many places: one line a place, each as a command would name it."""

import csv
from collections.abc import Iterator
from itertools import chain
from pathlib import Path

from msgspec import Struct

from suitability.errors import OptionError
from suitability.weather.sources.blocks import LONGEST_LINE

COLUMNS = ("name", "at", "place", "record", "utc_offset")


class Listed(Struct, frozen=True, kw_only=True):
    """
    One place of the list.

    Attributes
    ----------
    line
        Of the file, from 1; tells places of one name apart.
    name
        To be shown; else the position, town or record.
    at
        LATITUDE,LONGITUDE[,ELEVATION]; None without one.
    place
        A town.
    record
        A file, or the name of an imported record.
    """

    line: int
    name: str
    at: str | None = None
    place: str | None = None
    record: Path | None = None
    utc_offset_hours: float | None = None


def read_places(path: Path) -> Iterator[Listed]:
    """
    The places of a CSV file with a header, one after the other, so that a long list is never held.

    A record that is a file is looked for beside the list.

    Raises
    ------
    OptionError
        The file cannot be read, its header lacks what says where a place is, or a line is odd.
    """
    try:
        with path.open(encoding="utf-8-sig", newline="") as file:
            yield from _read(path, file)
    except (OSError, UnicodeDecodeError, csv.Error) as reason:
        why = reason.strerror if isinstance(reason, OSError) else reason
        raise OptionError(f"--places {path}: cannot be read as CSV in UTF-8 ({why}).") from reason


def count_places(path: Path) -> int:
    """How many there are; every line has been looked at then, so that a slip is told at once."""
    return sum(1 for _ in read_places(path))


def _read(path: Path, file: Iterator[str]) -> Iterator[Listed]:
    rows = csv.reader(line[:LONGEST_LINE] for line in file)
    head = [name.strip().casefold() for name in next(rows, [])]
    unknown = [name for name in head if name not in COLUMNS]
    if unknown or not {"at", "place", "record"} & set(head) or len(set(head)) < len(head):
        raise OptionError(
            f"--places {path}: the first line must name columns among {', '.join(COLUMNS)}, each "
            f"once and one of at, place or record with them; found {', '.join(head) or 'nothing'}."
        )
    first = next(rows, None)
    if first is None:
        raise OptionError(f"--places {path}: holds no place below its header.")
    for cells in chain((first,), rows):
        if any(cell.strip() for cell in cells):
            yield _listed(path, rows.line_num, head, cells)


def _listed(path: Path, line: int, head: list[str], cells: list[str]) -> Listed:
    """
    One line.

    Raises
    ------
    OptionError
        It has more cells than the header, says not where the place is, or its offset is no number.
    """
    told = dict(zip(head, (cell.strip() for cell in cells), strict=False))
    where = [told[name] for name in ("at", "place", "record") if told.get(name)]
    if len(cells) > len(head) or not where:
        raise OptionError(
            f"--places {path}, line {line}: expected {', '.join(head)}; a position with commas "
            'stands in quotes, as "33.9,-118.4,30".'
        )
    record = told.get("record") or None
    beside = None if record is None else path.parent / record
    try:
        offset = float(told["utc_offset"]) if told.get("utc_offset") else None
    except ValueError as reason:
        raise OptionError(
            f"--places {path}, line {line}: utc_offset {told['utc_offset']!r} is no number of "
            "hours."
        ) from reason
    return Listed(
        line=line,
        name=told.get("name") or where[0],
        at=told.get("at") or None,
        place=told.get("place") or None,
        record=beside if beside is not None and beside.exists() else record and Path(record),
        utc_offset_hours=offset,
    )
