"""
Hourly records in CSV: header `time,temp[,rhum][,dwpt][,prcp]`, plain or gzip.

Lines are read in blocks, and columns taken apart at once where all cells are alike, else cell by
cell, which names the first bad line.
"""

from __future__ import annotations

from collections.abc import Callable
from pathlib import Path
from typing import NoReturn

import numpy as np
from msgspec import Struct
from numpy.typing import NDArray

from suitability.errors import RecordError
from suitability.units import TemperatureUnit
from suitability.weather.sources.axis import FileRecord, understood_record
from suitability.weather.sources.blocks import Block, read_blocks, rows_of
from suitability.weather.sources.gathering import Gathered
from suitability.weather.sources.readings import CONVERTED, Readings, celsius, columns_used
from suitability.weather.sources.textfile import (
    alike_times,
    looks_like_time,
    parse_numbers,
    parse_times,
)

KNOWN = ("time", "temp", "rhum", "dwpt", "prcp")
EXPECTED = "time,temp with optional rhum, dwpt, prcp"
DEGREES = ("temp", "dwpt")


class _Header(Struct, frozen=True, kw_only=True):
    """Column names of a file, in its order."""

    file: str
    names: tuple[str, ...]
    shown: tuple[str, ...]  # the names as written


def read_csv(
    path: Path,
    unit: TemperatureUnit = TemperatureUnit.C,
    on_share: Callable[[float], None] | None = None,
) -> FileRecord:
    """
    The hourly record in a CSV file, plain or gzip, on a regular UTC axis, and what was understood.

    The header names `time` and `temp` (°C), and may name `rhum` (%), `dwpt` (°C) and `prcp` (mm),
    in any order; other columns are ignored and noted. A time without suffix is UTC, one with an
    offset is converted. An empty cell is a missing value, and so is an hour without a line.
    Without `rhum`, humidity is computed from the dew point. Where two or more readings an hour are
    usual, those nearest to full hours are taken, or, of a minute log, means. The sun is not asked.

    Parameters
    ----------
    unit
        Of temperature and dew point in the file.
    on_share
        Told which share of the file has been read, 0 to 1.

    Raises
    ------
    RecordError
        The file cannot be read or is not of this form, or its values cannot be true; the message
        names the first bad line.
    """
    header: _Header | None = None
    gathered = Gathered()
    for block in read_blocks(path, on_share):
        below = block
        if header is None:
            header, below = _split_header(block)
        gathered.add(_readings(header, _cut_alike(header, below) or _cut(header, below), unit))
    readings = gathered.readings()
    if readings is None:
        raise RecordError(f"{path.name}: the file has a header but no readings.")
    return understood_record(readings)


def _split_header(block: Block) -> tuple[_Header, Block]:
    """The header of a file, and all that follows it in the first block."""
    line = block.line + len(block.text) - len(block.text.lstrip("\n"))
    head, _, rest = block.text.lstrip("\n").partition("\n")
    text = head[:2000]  # no header is longer
    cells = next(iter(rows_of(Block(file=block.file, line=line, text=text))[0]), [""])
    shown = tuple(cell.strip() for cell in cells)
    names = tuple(name.casefold() for name in shown)
    header = _Header(file=block.file, names=names, shown=shown)
    if "time" not in names or "temp" not in names:
        _refuse_header(header, text)
    twice = [name for name in KNOWN if names.count(name) > 1]
    if twice:
        raise RecordError(
            f"{block.file}: the column {twice[0]} is named twice; delete or rename one."
        )
    return header, Block(file=block.file, line=line + 1, text=rest)


def _refuse_header(header: _Header, text: str) -> NoReturn:
    """Say what stands where the header should, and why it does not serve."""
    shown = text if len(text) <= 80 else f"{text[:77]}..."
    shown = "".join(sign if sign.isprintable() else " " for sign in shown)
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


class _Cells(Struct, frozen=True, kw_only=True):
    """The cells of some lines by column, their times read, and the numbers of the lines."""

    seconds: NDArray[np.int64]
    columns: dict[str, list[str]]
    lines: NDArray[np.int64]


def _cut_alike(header: _Header, block: Block) -> _Cells | None:
    """The cells of lines that are all alike, cut at once; None where they are not."""
    if '"' in block.text or not block.text:
        return None
    width = len(header.names)
    cells = block.text.rstrip("\n").replace("\n", ",").split(",")
    if len(cells) % width:
        return None
    # A line with too many or too few cells shifts the next line's time into another column, so that
    # checking every time also checks every line.
    seconds = alike_times(cells[header.names.index("time") :: width])
    if seconds is None:
        return None
    columns = {
        name: cells[header.names.index(name) :: width] for name in columns_used(header.names)
    }
    lines = np.arange(seconds.size, dtype=np.int64) + block.line
    return _Cells(seconds=seconds, columns=columns, lines=lines)


def _cut(header: _Header, block: Block) -> _Cells:
    """The cells of any lines, cut by the rules of CSV."""
    rows, lines = rows_of(block, strict=True)
    wrong = next((at for at, row in enumerate(rows) if len(row) != len(header.names)), None)
    if wrong is not None:
        _refuse_width(header, int(lines[wrong]), rows[wrong])
    time_at = header.names.index("time")
    places = {name: header.names.index(name) for name in columns_used(header.names)}
    return _Cells(
        seconds=parse_times([row[time_at] for row in rows], lines, header.file),
        columns={name: [row[at] for row in rows] for name, at in places.items()},
        lines=lines,
    )


def _readings(header: _Header, cells: _Cells, unit: TemperatureUnit) -> Readings:
    """The readings of some lines, with a note on columns left out."""
    columns = {}
    for name, texts in cells.columns.items():
        values = parse_numbers(texts, name, header.file, cells.lines)
        columns[name] = celsius(values, unit) if name in DEGREES else values
    ignored = [name or "(no name)" for name in header.names if name not in KNOWN]
    notes = (f"Columns not used: {', '.join(ignored)}.",) if ignored else ()
    return Readings(
        file=header.file,
        seconds=cells.seconds,
        temp_c=columns["temp"],
        lines=cells.lines,
        rhum_pct=columns.get("rhum"),
        prcp_mm=columns.get("prcp"),
        dwpt_c=columns.get("dwpt"),
        notes=notes,
        named=tuple((name, header.shown[header.names.index(name)]) for name in ("time", *columns)),
        unit="°C" if unit is TemperatureUnit.C else CONVERTED,
        zone="UTC; a time written with an offset was converted",
    )


def _refuse_width(header: _Header, line: int, row: list[str]) -> NoReturn:
    hint = "Decimals are written with a point. " if len(row) > len(header.names) else ""
    raise RecordError(
        f"{header.file}, line {line}: found {len(row)} cells where the header names "
        f"{len(header.names)}. {hint}Mend or delete the line."
    )
