"""Text files of weather: their bytes, and the times and numbers in their cells."""

from __future__ import annotations

import re
from collections.abc import Sequence
from datetime import datetime
from pathlib import Path

import numpy as np
from numpy.typing import NDArray

from suitability.errors import RecordError
from suitability.weather.record import FloatArray

USUAL_MISSING = frozenset({"", "NA", "NaN", "nan", "null"})  # the usual spellings of these
TIME_CHARS = np.array([0, 1, 2, 3, 5, 6, 8, 9, 11, 12, 14, 15])  # digits of YYYY-MM-DD HH:MM
MISSING_TEXTS = frozenset({"", "nan", "na", "n/a", "null", "none", "-"})
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
        raise unreadable(path, reason) from reason


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
        raise unreadable(path, reason) from reason


def unreadable(path: Path, reason: OSError) -> RecordError:
    """The error that tells why a file cannot be read."""
    if isinstance(reason, FileNotFoundError):
        return RecordError(f"{path}: there is no such file; check the name and folder.")
    if isinstance(reason, IsADirectoryError):
        return RecordError(f"{path}: this is a folder; name the file in it that holds the record.")
    return RecordError(f"{path}: cannot be read ({reason.strerror}).")


def is_gzip(start: bytes) -> bool:
    """Whether a file that begins so is packed."""
    return start[:2] == b"\x1f\x8b"


def check_text(start: bytes, file: str) -> None:
    """
    Refuse a file that holds nothing or no text, as its beginning shows.

    Raises
    ------
    RecordError
        It is empty, or holds what no text holds.
    """
    if not start.removeprefix(b"\xef\xbb\xbf").strip():
        raise RecordError(f"{file}: the file is empty, where lines of text were expected.")
    if len(start.translate(None, CONTROL)) < len(start):
        raise RecordError(
            f"{file}: this is not a text file. Save a spreadsheet as CSV (UTF-8) first."
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
        return _moment(text.strip())
    except ValueError as reason:
        found = f"the time {_shown(text)} cannot be read" if text.strip() else "the time is empty"
        raise RecordError(
            f"{file}, {row_word} {line}: {found}. Write UTC times as 2024-01-31 18:00, or add "
            "their offset, such as 2024-01-31 18:00-08:00."
        ) from reason


def parse_times(texts: Sequence[str], lines: NDArray[np.int64], file: str) -> NDArray[np.int64]:
    """
    Whole seconds from 1970-01-01 00:00 UTC of written times, as `parse_seconds` has them.

    Those that are all written alike are taken apart together; others one by one.
    """
    seconds = alike_times(texts)
    if seconds is not None:
        return seconds
    found = [
        parse_seconds(text, file, line) for text, line in zip(texts, lines.tolist(), strict=True)
    ]
    return np.floor(found).astype(np.int64)


def alike_times(texts: Sequence[str]) -> NDArray[np.int64] | None:
    """Seconds of times all written YYYY-MM-DD HH:MM with one and the same ending, else None."""
    width = len(texts[0]) if texts else 0
    if width < 16 or set(map(len, texts)) != {width}:
        return None
    try:
        chars = np.array(texts, f"S{width}").view(np.uint8).reshape(-1, width)
        digits = chars[:, TIME_CHARS]
        alike = (
            bool(np.all(chars[:, 16:] == chars[0, 16:]))
            and bool(np.all((digits >= ord("0")) & (digits <= ord("9"))))
            and bool(np.all(chars[:, (4, 7, 13)] == np.frombuffer(b"--:", np.uint8)))
            and bool(np.all((chars[:, 10] == ord(" ")) | (chars[:, 10] == ord("T"))))
        )
        if not alike:
            return None
        times = np.ascontiguousarray(chars[:, :16]).view("S16").ravel().astype("datetime64[s]")
        ending = _moment(texts[0]) // 1 - times[0].astype(np.int64)
    except ValueError:  # a sign that is none of ASCII, a 30 February, or an ending that is none
        return None
    return times.astype(np.int64) + int(ending)


def _moment(text: str) -> float:
    """Seconds from 1970-01-01 00:00 UTC of a written time; ValueError if it is none."""
    return datetime.fromisoformat(_plain_iso(text)).timestamp()


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


def parse_numbers(
    cells: Sequence[str], name: str, file: str, lines: NDArray[np.int64]
) -> FloatArray:
    """
    The numbers of a column, as `parse_number` has them.

    Raises
    ------
    RecordError
        One is no number; the message names file, line and column.
    """
    together = "".join(cells)
    if together.isascii() and "_" not in together:  # float() would take 1_0 for 10
        try:
            return np.fromiter(map(float, cells), np.float64, len(cells))
        except ValueError:
            pass
        try:
            return np.array([np.nan if cell in USUAL_MISSING else float(cell) for cell in cells])
        except ValueError:
            pass
    return np.array(
        [
            parse_number(cell, name, file, line)
            for cell, line in zip(cells, lines.tolist(), strict=True)
        ]
    )


def _shown(text: str) -> str:
    return repr(text if len(text) <= 40 else f"{text[:37]}...")
