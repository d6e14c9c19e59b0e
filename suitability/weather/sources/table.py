"""A comma-separated table in bytes, cut into columns without a Python loop over its rows."""

from __future__ import annotations

import numpy as np
from msgspec import Struct
from numpy.typing import NDArray

from suitability.errors import SourceError

COMMA, NEWLINE = 44, 10
EMPTY = (b"", b"None", b"null", b"NULL", b"NA")  # float() takes nan in any case
MOST_COLUMNS = 200  # the widest file of the service has some 30
WIDEST_FIELD = 32  # characters; a number has a dozen


class Table(Struct, frozen=True, kw_only=True):
    """
    A table whose fields are known by their places in the text.

    Attributes
    ----------
    header
        Names of the columns, in order.
    text : (byte)
        All rows without the header, as uint8.
    starts, stops : (row, column)
        Where each field begins and ends in the text.
    """

    header: tuple[str, ...]
    text: NDArray[np.uint8]
    starts: NDArray[np.int64]
    stops: NDArray[np.int64]


def cut_table(data: bytes, *, most_rows: int) -> Table:
    """
    The table in the bytes of a file whose first line names the columns.

    Raises
    ------
    SourceError
        There is no header, a row has another number of fields than it, or there are more columns
        or rows than such a table can have.
    """
    data = data.removeprefix(b"\xef\xbb\xbf")
    if b"\r" in data:
        data = data.replace(b"\r\n", b"\n")
    if b'"' in data:
        data = data.replace(b'"', b"")
    first, _, rest = data.strip(b"\n").partition(b"\n")
    header = tuple(name.strip() for name in first.decode("utf-8", "replace").split(","))
    if not 2 <= len(header) <= MOST_COLUMNS or len(set(header)) != len(header):
        raise SourceError("its first line does not name columns divided by commas")
    if rest.count(b"\n") > most_rows:
        raise SourceError(f"it has more than the {most_rows} rows that a year can have")
    text = np.frombuffer(rest + b"\n" if rest else b"", np.uint8)
    stops = np.flatnonzero((text == COMMA) | (text == NEWLINE))
    columns = len(header)
    newlines = np.flatnonzero(text == NEWLINE)
    at_newline = np.searchsorted(stops, newlines)
    uneven = np.flatnonzero(at_newline != np.arange(1, newlines.size + 1) * columns - 1)
    if uneven.size:
        raise SourceError(f"its row {uneven[0] + 1} does not have {columns} fields")
    starts = np.empty_like(stops)
    starts[1:] = stops[:-1] + 1
    starts[:1] = 0
    shape = (newlines.size, columns)
    return Table(header=header, text=text, starts=starts.reshape(shape), stops=stops.reshape(shape))


def words_of(table: Table, column: str) -> NDArray[np.bytes_]:
    """
    A column as bytes, (row); SourceError if a field is too wide to be one of these tables.

    A column that the table does not have is empty in every row.
    """
    if column not in table.header:
        return np.zeros(table.starts.shape[0], "S1")
    at = table.header.index(column)
    start, stop = table.starts[:, at], table.stops[:, at]
    width = int((stop - start).max(initial=1))
    if width > WIDEST_FIELD:
        raise SourceError(f"a field of its column {column} has {width} characters")
    places = start[:, None] + np.arange(width)
    inside = places < stop[:, None]
    characters = np.where(inside, table.text[np.minimum(places, table.text.size - 1)], 0)
    return np.ascontiguousarray(characters.astype(np.uint8)).view(f"S{width}")[:, 0]


def floats_of(table: Table, column: str) -> NDArray[np.float64]:
    """A column as numbers, (row), nan where it is empty or says so; SourceError at other words."""
    words = words_of(table, column)
    filled = np.where(np.isin(words, EMPTY), b"nan", words)
    try:
        return filled.astype(np.float64)
    except ValueError as reason:
        raise _no_number(filled, column) from reason


def integers_of(table: Table, column: str) -> NDArray[np.int64]:
    """A column as whole numbers, (row); SourceError at anything else."""
    words = words_of(table, column)
    try:
        return words.astype(np.int64)
    except (ValueError, OverflowError) as reason:
        raise _no_number(words, column) from reason


def month_starts(year: int) -> NDArray[np.int64]:
    """Days from 1970-01-01 to the first of each month, the next January included, (13)."""
    months = np.arange(f"{year}-01", f"{year + 1}-02", dtype="datetime64[M]")
    return months.astype("datetime64[D]").astype(np.int64)


def days_of_rows(table: Table, year: int, *hour: str) -> NDArray[np.int64]:
    """
    Day of the year of each row, from 0, by its columns year, month and day, (row).

    Raises
    ------
    SourceError
        One of them is lacking, or a row is of another year or has no such day (or hour, if named).
    """
    names = ("year", "month", "day", *hour)
    absent = [name for name in names if name not in table.header]
    if absent:
        raise SourceError(f"its header lacks {', '.join(absent)}")
    years, *written = (integers_of(table, name) for name in names)
    other = np.flatnonzero(years != year)
    if other.size:
        raise SourceError(f"its row {other[0] + 1} is of {years[other[0]]} instead of {year}")
    months, days, *hours = written
    starts, at = month_starts(year), np.clip(months, 1, 12) - 1
    wrong = (months != at + 1) | (days < 1) | (days > np.diff(starts)[at])
    for each in hours:
        wrong |= (each < 0) | (each > 23)
    if wrong.any():
        row = int(wrong.argmax())
        told = (f"{name} {one[row]}" for name, one in zip(names[1:], written, strict=True))
        raise SourceError(f"its row {row + 1} has {', '.join(told)}")
    result: NDArray[np.int64] = starts[at] - starts[0] + days - 1
    return result


def _no_number(words: NDArray[np.bytes_], column: str) -> SourceError:
    """The error that names the first field that is no number."""
    for row, word in enumerate(words.tolist()):
        try:
            float(word)
        except ValueError:
            shown = word.decode("utf-8", "replace")
            return SourceError(f"its row {row + 1} has {column} {shown!r}, which is no number")
    return SourceError(f"its column {column} holds something that is no whole number of use")
