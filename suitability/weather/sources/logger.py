"""
A grower's own thermometer: CSV from a data logger, with its columns, unit and zone declared.

Nothing is guessed that would change a number: which column is which, the unit and the zone are
said by whoever reads the file. The separator, decimal commas and lines above the header are found.
"""

from __future__ import annotations

from contextlib import suppress
from datetime import UTC, timezone, tzinfo
from typing import TYPE_CHECKING

import numpy as np
from msgspec import Struct

from suitability.errors import OptionError, RecordError
from suitability.units import TemperatureUnit
from suitability.weather.sources.axis import FileRecord, understood_record
from suitability.weather.sources.clocktimes import (
    nearest_to_hours,
    note_short_years,
    parse_clock_times,
    parse_zone,
    utc_seconds,
)
from suitability.weather.sources.readings import CONVERTED, Readings, celsius
from suitability.weather.sources.textfile import (
    check_one_line,
    csv_rows,
    parse_number,
    read_text_bytes,
)

if TYPE_CHECKING:
    from collections.abc import Iterator, Mapping, Sequence
    from pathlib import Path

    from suitability.weather.record import FloatArray

__all__ = ["QUANTITIES", "LoggerTable", "parse_numbers", "parse_table", "read_logger"]

QUANTITIES = ("time", "date", "clock", "temp", "rhum", "dwpt", "prcp")  # what columns may be
SEPARATORS = (",", ";", "\t")
HEADER_WITHIN = 60  # lines; loggers write their settings above the header


class LoggerTable(Struct, frozen=True, kw_only=True):
    """The rows of a file below its header, cells of the declared columns only."""

    file: str
    lines: list[int]
    cells: dict[str, list[str]]
    named: tuple[tuple[str, str], ...]


def read_logger(
    path: Path,
    *,
    columns: Mapping[str, str],
    unit: TemperatureUnit,
    zone: str,
    time_format: str | None = None,
) -> FileRecord:
    """
    The hourly record of a data logger's CSV, with what was understood.

    Of readings between full hours the one nearest to each hour is taken, at most half an hour
    away, and the others are counted in a note. Where clocks go back, the repeated hour is told
    apart by its order in the file.

    Parameters
    ----------
    path
    columns
        What a column is, and its name in the file (or how that begins, if one column alone begins
        so): `temp` and `time`, or `temp`, `date` and `clock`; `rhum` (%), `dwpt`, `prcp` (mm).
    unit
        Of temperature and dew point.
    zone
        Of the times: an IANA name such as Europe/Lisbon, UTC, or a fixed offset such as -08:00
        for a logger that never changes its clock. A time with an offset of its own keeps it.
    time_format
        As for `datetime.strptime`, where day and month cannot be told apart.

    Raises
    ------
    OptionError
        The columns, unit or zone declared are none.
    RecordError
        The file cannot be read, lacks a column, or a line of it cannot be true.
    """
    _check_columns(columns)
    clock = parse_zone(zone)
    table = parse_table(read_text_bytes(path).decode("utf-8", errors="replace"), path.name, columns)
    moments = parse_clock_times(_time_texts(table), table.lines, path.name, time_format)
    seconds, notes = utc_seconds(moments, table.lines, path.name, clock)
    notes += note_short_years(_time_texts(table)[0], moments, time_format)
    numbers = {
        name: parse_numbers(table, name, unit if name in {"temp", "dwpt"} else TemperatureUnit.C)
        for name in ("temp", "rhum", "dwpt", "prcp")
        if name in columns and not (name == "dwpt" and "rhum" in columns)
    }
    kept, snapped, chosen_notes = nearest_to_hours(seconds, numbers["temp"])
    return understood_record(
        Readings(
            file=path.name,
            seconds=snapped,
            temp_c=numbers["temp"][kept],
            lines=np.array(table.lines, np.int64)[kept],
            rhum_pct=numbers["rhum"][kept] if "rhum" in numbers else None,
            prcp_mm=numbers["prcp"][kept] if "prcp" in numbers else None,
            dwpt_c=numbers["dwpt"][kept] if "dwpt" in numbers else None,
            notes=notes + chosen_notes,
            named=table.named,
            unit="°C" if unit is TemperatureUnit.C else CONVERTED,
            zone=_zone_in_words(zone, clock),
        )
    )


def _zone_in_words(written: str, clock: tzinfo) -> str:
    if clock is UTC:
        return "UTC"
    changes = "all year" if isinstance(clock, timezone) else "with its clock changes"
    return f"{written}, {changes}, taken to UTC"


def _check_columns(columns: Mapping[str, str]) -> None:
    """Refuse a declaration that names no temperature or no time, or something unknown."""
    unknown = [name for name in columns if name not in QUANTITIES]
    timed = "time" in columns or {"date", "clock"} <= set(columns)
    if unknown or "temp" not in columns or not timed:
        raise OptionError(
            f"Columns declared for {', '.join(columns) or 'nothing'}; expected temp and time, or "
            "temp, date and clock, with optional rhum, dwpt, prcp."
        )


def parse_table(text: str, file: str, columns: Mapping[str, str]) -> LoggerTable:
    """
    The declared columns of a file, found below whatever stands above the header.

    Raises
    ------
    RecordError
        No line names all of them, or the file has no readings.
    """
    for separator in SEPARATORS:
        rows = csv_rows(text, file, separator=separator)
        header = _find_header(rows, columns)
        if header:
            return _below(rows, file, header, _places(header, columns))
    shown = next((line for line in text.splitlines() if line.strip()), "")[:80]
    raise RecordError(
        f"{file}: no line within the first {HEADER_WITHIN} names all the declared columns "
        f"({', '.join(columns.values())}); the first line is {shown!r}. Declare the columns as the "
        "file writes them."
    )


def _find_header(rows: Iterator[tuple[int, list[str]]], columns: Mapping[str, str]) -> list[str]:
    """The line that names all the declared columns; none if it is not near the top."""
    with suppress(RecordError):  # cut by the wrong separator, cells may be longer than any
        for line, cells in rows:
            if _places(cells, columns):
                return cells
            if line > HEADER_WITHIN:
                break
    return []


def _places(header: Sequence[str], columns: Mapping[str, str]) -> dict[str, int]:
    """Where each declared column stands in a line; empty if one is not there."""
    cells = [cell.strip().casefold() for cell in header]
    places = {}
    for name, own in columns.items():
        wanted = own.strip().casefold()
        same = [at for at, cell in enumerate(cells) if cell == wanted]
        begins = [at for at, cell in enumerate(cells) if wanted and cell.startswith(wanted)]
        if not same and len(begins) != 1:
            return {}
        places[name] = (same or begins)[0]
    return places


def _below(
    rows: Iterator[tuple[int, list[str]]],
    file: str,
    header: Sequence[str],
    places: Mapping[str, int],
) -> LoggerTable:
    """The table below a header that has been read."""
    lines: list[int] = []
    cells: dict[str, list[str]] = {name: [] for name in places}
    needed = max(places.values()) + 1
    for line, row in rows:
        check_one_line(row, file, line)
        if len(row) < needed:
            raise RecordError(
                f"{file}, line {line}: found {len(row)} cells where the header names "
                f"{len(header)}. Mend or delete the line."
            )
        lines.append(line)
        for name, at in places.items():
            cells[name].append(row[at].strip())
    if not lines:
        raise RecordError(f"{file}: the file has a header but no readings.")
    named = tuple((name, header[at].strip()) for name, at in places.items())
    return LoggerTable(file=file, lines=lines, cells=cells, named=named)


def _time_texts(table: LoggerTable) -> list[str]:
    """The time of each row as written, day and clock joined."""
    if "time" in table.cells:
        return table.cells["time"]
    days, clocks = table.cells["date"], table.cells["clock"]
    return [f"{day} {clock}" for day, clock in zip(days, clocks, strict=True)]


def parse_numbers(table: LoggerTable, name: str, unit: TemperatureUnit) -> FloatArray:
    """
    A column in our unit, (row); sure fillers stay as written, so that they are named as such.

    Raises
    ------
    RecordError
        A cell is no number.
    """
    raw = np.array(
        [
            parse_number(_with_point(text), name, table.file, line)
            for text, line in zip(table.cells[name], table.lines, strict=True)
        ]
    )
    return celsius(raw, unit)


def _with_point(text: str) -> str:
    """A number with its decimal comma, if it has one, made a point."""
    return text.replace(",", ".") if text.count(",") == 1 and "." not in text else text
