"""Text files of weather: their bytes, and the times and numbers in their cells."""

from __future__ import annotations

import csv
import gzip
import io
import re
import zlib
from datetime import datetime
from typing import TYPE_CHECKING

import numpy as np

from suitability.errors import RecordError

if TYPE_CHECKING:
    from collections.abc import Iterator, Sequence
    from pathlib import Path

__all__ = [
    "check_one_line",
    "check_readable",
    "csv_rows",
    "looks_like_time",
    "parse_number",
    "parse_seconds",
    "read_bytes",
    "read_text_bytes",
]

MISSING_TEXTS = frozenset({"", "nan", "na", "n/a", "null", "none", "-"})
MOST_BYTES = 300_000_000  # unpacked; a century of hours takes about 25 MB
CONTROL = bytes(set(range(32)) - {9, 10, 12, 13, 27})  # no text holds these
TIME = re.compile(
    r"(\d{4}-\d{2}-\d{2})[T ](\d{2}:\d{2}(?::\d{2}(?:\.\d{1,6})?)?)"
    r" ?(Z|UTC|GMT|[+-]\d{2}(?::?\d{2})?)?",
    re.IGNORECASE | re.ASCII,
)
NUMBER = re.compile(
    r"[+-]?(\d+\.?\d*|\.\d+)(e[+-]?\d+)?|[+-]?inf(inity)?", re.IGNORECASE | re.ASCII
)


def read_bytes(path: Path) -> bytes:
    """
    The bytes of any file.

    Raises
    ------
    RecordError
        There is no such file, or it cannot be read.
    """
    try:
        return path.read_bytes()
    except OSError as reason:
        raise _unreadable(path, reason) from reason


def check_readable(path: Path) -> None:
    """
    Check that a library will be able to open a file.

    Raises
    ------
    RecordError
        There is no such file, or it cannot be read.
    """
    try:
        with path.open("rb"):
            return
    except OSError as reason:
        raise _unreadable(path, reason) from reason


def _unreadable(path: Path, reason: OSError) -> RecordError:
    if isinstance(reason, FileNotFoundError):
        return RecordError(f"{path}: there is no such file; check the name and folder.")
    if isinstance(reason, IsADirectoryError):
        return RecordError(f"{path}: this is a folder; name the file in it that holds the record.")
    return RecordError(f"{path}: cannot be read ({reason.strerror}).")


def read_text_bytes(path: Path) -> bytes:
    """
    The bytes of a text file, unpacked if gzip, with plain line ends and no byte order mark.

    Raises
    ------
    RecordError
        There is no such file, it cannot be read, is empty, cut, too large, or no text.
    """
    name = path.name
    data = read_bytes(path)
    if data[:2] == b"\x1f\x8b":
        data = _unpacked(data, name)
    data = data.removeprefix(b"\xef\xbb\xbf")
    if not data.strip():
        raise RecordError(f"{name}: the file is empty, where lines of text were expected.")
    if len(data[:4096].translate(None, CONTROL)) < len(data[:4096]) or b"\0" in data:
        raise RecordError(
            f"{name}: this is not a text file. Save a spreadsheet as CSV (UTF-8) first."
        )
    return data.replace(b"\r\n", b"\n").replace(b"\r", b"\n") if b"\r" in data else data


def _unpacked(data: bytes, name: str) -> bytes:
    """The content of gzip bytes."""
    try:
        with gzip.GzipFile(fileobj=io.BytesIO(data)) as packed:
            content = packed.read(MOST_BYTES + 1)
    except (OSError, EOFError, zlib.error) as reason:
        raise RecordError(
            f"{name}: the gzip file is cut short or damaged; copy or download it again."
        ) from reason
    if len(content) > MOST_BYTES:
        raise RecordError(
            f"{name}: unpacks to more than {MOST_BYTES // 1_000_000} MB, which no hourly record "
            "needs; give one place's record."
        )
    return content


def csv_rows(
    text: str, file: str, *, separator: str = ",", strict: bool = False
) -> Iterator[tuple[int, list[str]]]:
    """
    Number and cells of each line of a CSV that is not blank.

    Raises
    ------
    RecordError
        A cell is longer than any line, or, if `strict`, a quotation mark is out of place.
    """
    rows = csv.reader(io.StringIO(text, newline=""), delimiter=separator, strict=strict)
    try:
        for cells in rows:
            if any(cell.strip() for cell in cells):
                yield rows.line_num, cells
    except csv.Error as reason:
        raise RecordError(
            f"{file}, line {rows.line_num}: the line is no CSV ({reason}). "
            "Look for a quotation mark that is never closed."
        ) from reason


def check_one_line(cells: Sequence[str], file: str, line: int) -> None:
    """
    Refuse a row that runs over several lines: it would swallow the readings in them.

    Raises
    ------
    RecordError
        A cell of it holds the end of a line.
    """
    if any("\n" in cell for cell in cells):
        raise RecordError(
            f"{file}, line {line}: a cell runs over several lines. "
            "Look for a quotation mark that is never closed."
        )


def looks_like_time(text: str) -> bool:
    """Whether a text begins with a day and hour."""
    return TIME.match(text) is not None


def parse_seconds(text: str, file: str, line: int, row_word: str = "line") -> float:
    """
    Seconds from 1970-01-01 00:00 UTC of a written time; without suffix it is UTC.

    Raises
    ------
    RecordError
        It is no ISO 8601 day and hour; the message names file and line.
    """
    try:
        return datetime.fromisoformat(_plain_iso(text.strip())).timestamp()
    except ValueError as reason:
        found = f"the time {_shown(text)} cannot be read" if text.strip() else "the time is empty"
        raise RecordError(
            f"{file}, {row_word} {line}: {found}. Write UTC times as 2024-01-31 18:00, or add "
            "their offset, such as 2024-01-31 18:00-08:00."
        ) from reason


def _plain_iso(text: str) -> str:
    """A time with its offset, as `datetime.fromisoformat` takes it; without suffix it is UTC."""
    match = TIME.fullmatch(text)
    if match is None:
        raise ValueError(text)
    day, clock, zone = match.groups()
    utc = zone is None or zone.upper() in {"Z", "UTC", "GMT"}
    return f"{day}T{clock}{'+00:00' if utc else zone}"


def parse_number(text: str, name: str, file: str, line: int) -> float:
    """
    The number in a cell, nan where it is empty or says so.

    Raises
    ------
    RecordError
        It is no number; the message names file, line and column.
    """
    text = text.strip()
    if NUMBER.fullmatch(text):
        return float(text)
    if text.casefold() in MISSING_TEXTS:
        return np.nan
    comma = " Write decimals with a point." if NUMBER.fullmatch(text.replace(",", ".")) else ""
    raise RecordError(
        f"{file}, line {line}: {name} {_shown(text)} is not a number.{comma} "
        "Mend the line, or leave the cell empty to count it as missing."
    )


def _shown(text: str) -> str:
    return repr(text if len(text) <= 40 else f"{text[:37]}...")
