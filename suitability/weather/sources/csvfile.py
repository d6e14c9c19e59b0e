"""
Hourly records in CSV: header `time,temp[,rhum][,dwpt][,prcp]`, plain or gzip.

Two ways through a file give the same record. The quick one takes apart files whose lines are all
alike; whatever it does not understand goes line by line, which also names the first bad line.
Neither needs pandas, whose import alone takes longer than both.
"""

from __future__ import annotations

from typing import TYPE_CHECKING, NoReturn

import numpy as np
from msgspec import Struct

from suitability.errors import RecordError
from suitability.units import TemperatureUnit
from suitability.weather.sources.axis import FileRecord, understood_record
from suitability.weather.sources.readings import Readings
from suitability.weather.sources.textfile import (
    check_one_line,
    csv_rows,
    looks_like_time,
    parse_number,
    parse_seconds,
    read_text_bytes,
)

if TYPE_CHECKING:
    from pathlib import Path

    from numpy.typing import NDArray

    from suitability.weather.record import FloatArray

__all__ = ["read_csv"]

KNOWN = ("time", "temp", "rhum", "dwpt", "prcp")
EXPECTED = "time,temp with optional rhum, dwpt, prcp"
MISSING_BYTES = frozenset({b"", b"NA", b"NaN", b"nan", b"null"})  # the usual spellings of these
UTC_TAILS = frozenset({b"", b"Z", b":00", b":00Z", b"+00:00", b":00+00:00"})
TIME_CHARS = np.array([0, 1, 2, 3, 5, 6, 8, 9, 11, 12, 14, 15])  # digits of YYYY-MM-DD HH:MM


class _Header(Struct, frozen=True, kw_only=True):
    """Column names of a file, in its order, and the line that holds them."""

    file: str
    names: tuple[str, ...]
    shown: tuple[str, ...]  # the names as written
    line: int

    def at(self, name: str) -> int | None:
        return self.names.index(name) if name in self.names else None

    def used(self) -> tuple[str, ...]:
        """Columns of numbers to read; the dew point only where there is no humidity."""
        return tuple(
            name
            for name in ("temp", "rhum", "dwpt", "prcp")
            if name in self.names and not (name == "dwpt" and "rhum" in self.names)
        )


def read_csv(path: Path, unit: TemperatureUnit = TemperatureUnit.C) -> FileRecord:
    """
    The hourly record in a CSV file, plain or gzip, on a regular UTC axis, and what was understood.

    The header names `time` and `temp` (°C), and may name `rhum` (%), `dwpt` (°C) and `prcp` (mm),
    in any order; other columns are ignored and noted. A time without suffix is UTC, one with an
    offset is converted. An empty cell is a missing value, and so is an hour without a line.
    Without `rhum`, humidity is computed from the dew point. The sun is not asked.

    Parameters
    ----------
    path
    unit
        Of temperature and dew point in the file.

    Raises
    ------
    RecordError
        The file cannot be read or is not of this form, or its values cannot be true; the message
        names the first bad line.
    """
    data = read_text_bytes(path)
    header, body = _split_header(data, path.name)
    readings = _read_quickly(header, body) or _read_line_by_line(header, data)
    return understood_record(readings, unit)


def _split_header(data: bytes, file: str) -> tuple[_Header, bytes]:
    """The header and all that follows it."""
    skipped = len(data) - len(data.lstrip(b"\n"))
    head, _, body = data[skipped:].partition(b"\n")
    text = head[:2000].decode("utf-8", errors="replace")  # no header is longer
    _, cells = next(csv_rows(text, file), (0, [""]))
    shown = tuple(cell.strip() for cell in cells)
    names = tuple(name.casefold() for name in shown)
    header = _Header(file=file, names=names, shown=shown, line=skipped + 1)
    if "time" not in names or "temp" not in names:
        _refuse_header(header, text)
    twice = [name for name in KNOWN if names.count(name) > 1]
    if twice:
        raise RecordError(f"{file}: the column {twice[0]} is named twice; delete or rename one.")
    if not body.strip():
        raise RecordError(f"{file}: the file has a header but no readings.")
    return header, body


def _refuse_header(header: _Header, text: str) -> NoReturn:
    """Say what stands where the header should, and why it does not serve."""
    shown = text if len(text) <= 80 else f"{text[:77]}..."
    declared = (
        "declare them with --record-columns time=COLUMN,temp=COLUMN, in `weather import` and "
        "`spots fit` with --columns"
    )
    remedy = f"Rename the columns, or {declared}"
    if looks_like_time(text.strip('"')):
        remedy = "The header is missing: add the line of column names at the top"
    elif len(header.names) == 1 and (";" in text or "\t" in text):
        sign = "semicolons" if ";" in text else "tabs"
        remedy = f"The cells are separated by {sign}: save with commas and points, or {declared}"
    raise RecordError(f"{header.file}: found columns `{shown}`, expected {EXPECTED}. {remedy}.")


# --- the quick way: every line alike ---------------------------------------------------------


def _read_quickly(header: _Header, body: bytes) -> Readings | None:
    """Readings of a file whose lines are all alike; None where they are not."""
    if b'"' in body or b"_" in body:  # quoted cells; and float() would take 1_0 for 10
        return None
    cells = body.rstrip(b"\n").replace(b"\n", b",").split(b",")
    width = len(header.names)
    if len(cells) % width:
        return None
    # A line with too many or too few cells shifts the next line's time into another column,
    # so checking every time also checks every line.
    seconds = _quick_seconds(cells[header.at("time") :: width])
    if seconds is None:
        return None
    columns = {}
    for name in header.used():
        values = _quick_numbers(cells[header.at(name) :: width])
        if values is None:
            return None
        columns[name] = values
    lines = np.arange(seconds.size, dtype=np.int64) + header.line + 1
    return _readings(header, seconds, columns, lines)


def _quick_seconds(cells: list[bytes]) -> NDArray[np.int64] | None:
    """Seconds from 1970 of times all written YYYY-MM-DD HH:MM, or with the same UTC ending."""
    if len(set(map(len, cells))) != 1 or len(cells[0]) < 16 or cells[0][16:] not in UTC_TAILS:
        return None
    chars = np.array(cells).view(np.uint8).reshape(len(cells), -1)
    digits = chars[:, TIME_CHARS]
    signs = chars[:, (4, 7, 13)] == np.frombuffer(b"--:", np.uint8)
    between = (chars[:, 10] == ord(" ")) | (chars[:, 10] == ord("T"))
    alike = chars[:, 16:] == chars[0, 16:]
    if digits.min() < ord("0") or digits.max() > ord("9"):
        return None
    if not (signs.all() and between.all() and alike.all()):
        return None
    try:
        times = np.ascontiguousarray(chars[:, :16]).view("S16").ravel().astype("datetime64[s]")
    except ValueError:  # a 30 February
        return None
    return times.astype(np.int64)


def _quick_numbers(cells: list[bytes]) -> FloatArray | None:
    """Numbers of a column, nan for empty cells; None if something else is among them."""
    try:
        return np.fromiter(map(float, cells), np.float64, len(cells))
    except ValueError:
        pass
    try:
        return np.array([np.nan if cell in MISSING_BYTES else float(cell) for cell in cells])
    except ValueError:
        return None


# --- line by line ----------------------------------------------------------------------------


def _read_line_by_line(header: _Header, data: bytes) -> Readings:
    """
    Readings of any file of the form, however it writes its cells.

    Raises
    ------
    RecordError
        A line has too many or too few cells, a time or number that is none.
    """
    rows = csv_rows(data.decode("utf-8", errors="replace"), header.file, strict=True)
    used = header.used()
    places = [header.names.index(name) for name in used]
    time_at = header.names.index("time")
    seconds: list[float] = []
    lines: list[int] = []
    table: list[list[float]] = []
    for line, row in rows:
        if line <= header.line:
            continue
        check_one_line(row, header.file, line)
        if len(row) != len(header.names):
            _refuse_width(header, line, row)
        seconds.append(parse_seconds(row[time_at], header.file, line))
        table.append(
            [
                parse_number(row[at], name, header.file, line)
                for at, name in zip(places, used, strict=True)
            ]
        )
        lines.append(line)
    if not lines:
        raise RecordError(f"{header.file}: the file has a header but no readings.")
    numbers = np.array(table, np.float64)
    columns = {name: numbers[:, at].copy() for at, name in enumerate(used)}
    whole = np.floor(np.array(seconds)).astype(np.int64)
    return _readings(header, whole, columns, np.array(lines, np.int64))


def _refuse_width(header: _Header, line: int, row: list[str]) -> NoReturn:
    hint = "Decimals are written with a point. " if len(row) > len(header.names) else ""
    raise RecordError(
        f"{header.file}, line {line}: found {len(row)} cells where the header names "
        f"{len(header.names)}. {hint}Mend or delete the line."
    )


# --- common to both --------------------------------------------------------------------------


def _readings(
    header: _Header,
    seconds: NDArray[np.int64],
    columns: dict[str, FloatArray],
    lines: NDArray[np.int64],
) -> Readings:
    """The readings of parsed columns, with a note on those left out."""
    ignored = [name or "(no name)" for name in header.names if name not in KNOWN]
    notes = (f"Columns not used: {', '.join(ignored)}.",) if ignored else ()
    return Readings(
        file=header.file,
        seconds=seconds,
        temp_c=columns["temp"],
        lines=lines,
        rhum_pct=columns.get("rhum"),
        prcp_mm=columns.get("prcp"),
        dwpt_c=columns.get("dwpt"),
        notes=notes,
        named=tuple(
            (name, header.shown[header.names.index(name)]) for name in ("time", *header.used())
        ),
        zone="UTC; a time written with an offset was converted",
    )
