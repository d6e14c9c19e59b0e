"""
A grower's own thermometer: CSV from a data logger, with its columns, unit and zone declared.

Nothing is guessed that would change a number: which column is which, the unit and the zone are
said by whoever reads the file. The separator, decimal commas and lines above the header are found.
"""

from __future__ import annotations

from collections.abc import Callable, Iterator, Mapping, Sequence
from contextlib import suppress
from datetime import UTC, datetime, timezone, tzinfo
from pathlib import Path

import numpy as np
from msgspec import Struct
from msgspec.structs import replace
from numpy.typing import NDArray

from suitability.errors import OptionError, RecordError
from suitability.units import TemperatureUnit
from suitability.weather.record import FloatArray, Record
from suitability.weather.sources.axis import FileRecord, understood_record
from suitability.weather.sources.blocks import Block, read_blocks, rows_of
from suitability.weather.sources.clocktimes import (
    ClockTimes,
    UtcClock,
    is_backwards,
    parse_clock_times,
    parse_zone,
)
from suitability.weather.sources.gathering import Gathered
from suitability.weather.sources.readings import CONVERTED, Readings, celsius, columns_used
from suitability.weather.sources.textfile import parse_numbers

QUANTITIES = ("time", "date", "clock", "temp", "rhum", "dwpt", "prcp")  # what columns may be
SEPARATORS = (",", ";", "\t")
DEGREES = ("temp", "dwpt")
HEADER_WITHIN = 60  # lines; loggers write their settings above the header


class LoggerTable(Struct, frozen=True, kw_only=True):
    """Rows of a file below its header, cells of the declared columns only."""

    file: str
    lines: NDArray[np.int64]
    cells: dict[str, list[str]]
    named: tuple[tuple[str, str], ...]

    def times(self) -> list[str]:
        """The time of each row as written, day and clock joined."""
        if "time" in self.cells:
            return self.cells["time"]
        days, clocks = self.cells["date"], self.cells["clock"]
        return [f"{day} {clock}" for day, clock in zip(days, clocks, strict=True)]


def read_logger(
    path: Path,
    *,
    columns: Mapping[str, str],
    unit: TemperatureUnit,
    zone: str,
    time_format: str | None = None,
    on_share: Callable[[float], None] | None = None,
) -> FileRecord:
    """
    The hourly record of a data logger's CSV, with what was understood.

    Of readings between full hours the one nearest to each hour is taken, at most half an hour
    away, and the others are counted in a note; those of a minute log are averaged. Where clocks go
    back, the repeated hour is told apart by its order in the file.

    Parameters
    ----------
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
    on_share
        Told which share of the file has been read, 0 to 1.

    Raises
    ------
    OptionError
        The columns, unit or zone declared are none.
    RecordError
        The file cannot be read, lacks a column, or a line of it cannot be true.
    """
    _check_columns(columns)
    clock = parse_zone(zone)
    log = _Log(UtcClock(clock, path.name), unit, time_format)
    gathered = Gathered()
    for part in log.in_order(tables_of(path, columns, on_share)):
        gathered.add(log.readings(part))
    readings = gathered.readings(nearest=True)
    assert readings is not None
    notes = (*log.notes(), *readings.notes)
    return understood_record(replace(readings, notes=notes, zone=_zone_in_words(zone, clock)))


def read_log(
    path: Path | str,
    columns: Mapping[str, str],
    *,
    zone: str,
    unit: str = "c",
    time_format: str | None = None,
) -> Record:
    """
    The hours that a data logger wrote, from its CSV with columns of whatever names.

    Parameters
    ----------
    path
        Of the file.
    columns
        What a column is, and its name in the file: {"time": "Date Time", "temp": "Temperature"}.
    zone
        Of the times: an IANA name such as Europe/Lisbon, UTC, or a fixed offset such as -08:00.
    unit
        "c" or "f": the degrees in which it wrote.
    time_format
        As for `datetime.strptime`, where day and month cannot be told apart.

    Raises
    ------
    OptionError
        The columns, unit or zone declared are none.
    RecordError
        The file cannot be read, lacks a column, or a line of it cannot be true.
    """
    if unit not in set(TemperatureUnit):
        raise OptionError(f"unit {unit!r}: expected one of {', '.join(TemperatureUnit)}.")
    return read_logger(
        Path(path), columns=columns, unit=TemperatureUnit(unit), zone=zone, time_format=time_format
    ).record


class _Part(Struct, frozen=True, kw_only=True):
    """Rows of a log as numbers, which take far less room than their text."""

    table: LoggerTable
    times: ClockTimes
    numbers: dict[str, FloatArray]

    def turned(self) -> _Part:
        """The same with the last row first."""
        table = replace(self.table, lines=self.table.lines[::-1])
        seconds, known = self.times.seconds[::-1], self.times.known[::-1]
        times = replace(self.times, seconds=seconds, known=known)
        numbers = {name: values[::-1] for name, values in self.numbers.items()}
        return _Part(table=table, times=times, numbers=numbers)


class _Log:
    """What the parts of a log have told so far of its times."""

    def __init__(self, clock: UtcClock, unit: TemperatureUnit, time_format: str | None) -> None:
        self._clock, self._unit, self._time_format = clock, unit, time_format
        self._month_first: bool | None = None
        self._short: list[int] = []

    def in_order(self, tables: Iterator[LoggerTable]) -> Iterator[_Part]:
        """The parts of a log, the earliest first, though the file may begin with the newest row."""
        parts = map(self._part, tables)
        first = next(parts)
        if is_backwards(first.times):
            yield from (part.turned() for part in reversed([first, *parts]))
        else:
            yield first
            yield from parts

    def _part(self, table: LoggerTable) -> _Part:
        """The rows of the next part of the file as numbers."""
        times = parse_clock_times(
            table.times(), table.lines, table.file, self._time_format, month_first=self._month_first
        )
        self._month_first = times.month_first
        if times.short:
            self._short += [int(times.seconds.min()), int(times.seconds.max())]
        numbers: dict[str, FloatArray] = {
            name: numbers_of(table, name, self._unit if name in DEGREES else TemperatureUnit.C)
            for name in columns_used(table.cells)
        }
        return _Part(table=replace(table, cells={}), times=times, numbers=numbers)

    def readings(self, part: _Part) -> Readings:
        """The readings of the next part in time."""
        return Readings(
            file=part.table.file,
            seconds=self._clock.seconds(part.times, part.table.lines),
            temp_c=part.numbers["temp"],
            lines=part.table.lines,
            rhum_pct=part.numbers.get("rhum"),
            prcp_mm=part.numbers.get("prcp"),
            dwpt_c=part.numbers.get("dwpt"),
            named=part.table.named,
            unit="°C" if self._unit is TemperatureUnit.C else CONVERTED,
        )

    def notes(self) -> tuple[str, ...]:
        """What to note of the times of all parts."""
        short: tuple[str, ...] = ()
        if self._short:
            years = [datetime.fromtimestamp(second, UTC).year for second in self._short]
            short = (f"Years of two digits were read as {min(years)} to {max(years)}.",)
        return (*self._clock.notes(), *short)


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


def tables_of(
    path: Path, columns: Mapping[str, str], on_share: Callable[[float], None] | None = None
) -> Iterator[LoggerTable]:
    """
    The declared columns of a file, found below whatever stands above the header, in parts.

    Raises
    ------
    RecordError
        No line names all of them, a line is cut short, or the file has no readings.
    """
    found: _Header | None = None
    empty = True
    for block in read_blocks(path, on_share):
        if found is None:
            found, below = _find_header(block, columns)
        else:
            below = block
        table = _table_of(below, found)
        if table.lines.size:
            empty = False
            yield table
    if empty:
        raise RecordError(f"{path.name}: the file has a header but no readings.")


class _Header(Struct, frozen=True, kw_only=True):
    """The line that names the columns: its cells, what divides them, and where ours stand."""

    cells: list[str]
    separator: str
    places: dict[str, int]


def _find_header(block: Block, columns: Mapping[str, str]) -> tuple[_Header, Block]:
    """The header in the first lines of a file, and what stands below it."""
    lines = block.text.split("\n", HEADER_WITHIN)
    for separator in SEPARATORS:
        for at, line in enumerate(lines[:HEADER_WITHIN]):
            cells: list[str] = []
            with suppress(RecordError):  # cut by the wrong separator, cells may be too long
                top = Block(file=block.file, line=at + 1, text=line)
                cells = next(iter(rows_of(top, separator=separator)[0]), [])
            places = _places(cells, columns)
            if places:
                rest = block.text.split("\n", at + 1)[at + 1 :]
                below = Block(file=block.file, line=at + 2, text="".join(rest))
                return _Header(cells=cells, separator=separator, places=places), below
    shown = next((line for line in lines if line.strip()), "")[:80]
    raise RecordError(
        f"{block.file}: no line within the first {HEADER_WITHIN} names all the declared columns "
        f"({', '.join(columns.values())}); the first line is {shown!r}. Declare the columns as the "
        "file writes them."
    )


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


def _table_of(block: Block, header: _Header) -> LoggerTable:
    """The table in a block of lines."""
    rows, lines = rows_of(block, separator=header.separator)
    needed = max(header.places.values()) + 1
    short = next((at for at, row in enumerate(rows) if len(row) < needed), None)
    if short is not None:
        raise RecordError(
            f"{block.file}, line {lines[short]}: found {len(rows[short])} cells where the header "
            f"names {len(header.cells)}. Mend or delete the line."
        )
    return LoggerTable(
        file=block.file,
        lines=lines,
        cells={name: [row[at].strip() for row in rows] for name, at in header.places.items()},
        named=tuple((name, header.cells[at].strip()) for name, at in header.places.items()),
    )


def numbers_of(table: LoggerTable, name: str, unit: TemperatureUnit) -> FloatArray:
    """
    A column in our unit, (row); sure fillers stay as written, so that they are named as such.

    Raises
    ------
    RecordError
        A cell is no number.
    """
    cells = [_with_point(cell) if "," in cell else cell for cell in table.cells[name]]
    return celsius(parse_numbers(cells, name, table.file, table.lines), unit)


def _with_point(text: str) -> str:
    """A number with its decimal comma, if it has one, made a point."""
    return text.replace(",", ".") if text.count(",") == 1 and "." not in text else text
