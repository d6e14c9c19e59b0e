"""
Typical years (EPW and TMY3), kept apart from records.

A typical year is put together from months of different years, each chosen because it was ordinary.
It can say how many hours of an ordinary January lie below a floor. It holds no hard night but by
chance, and no winter that happened, so it must not be asked for dates, odds or verdicts; having a
type of its own, it cannot be.
"""

from __future__ import annotations

from collections.abc import Callable, Iterator
from pathlib import Path
from shlex import quote
from typing import NoReturn

import numpy as np
from msgspec import Struct
from numpy.typing import NDArray

from suitability.errors import RecordError
from suitability.weather.record import FloatArray
from suitability.weather.sources.blocks import read_whole, rows_of
from suitability.weather.sources.readings import Readings, check_readings
from suitability.weather.sources.textfile import parse_number

NOMINAL_START_HOUR = 271752  # 2001-01-01 00:00 in hours from 1970: a year of 365 days
HOURS = 8760
MONTH_STARTS = (0, 744, 1416, 2160, 2880, 3624, 4344, 5088, 5832, 6552, 7296, 8016, 8760)
LEAST_HOURS = 0.9 * HOURS
ENDINGS = (".epw", ".tmy3")  # TMY3 comes as .csv too
TMY3_COLUMNS = "Date (MM/DD/YYYY)"
EPW_FIRST = "LOCATION"
EPW_HEADER_LINES = 8
MISSING = {"temp": (99.9, -9900.0), "rhum": (999.0, -9900.0)}  # EPW, TMY3


class TypicalYear(Struct, frozen=True, kw_only=True):
    """
    Twelve ordinary months of different years, in the place's standard time.

    Attributes
    ----------
    file, name
        Of the file, and of the place in it.
    latitude, longitude : degrees
    elevation_m : m
    utc_offset_hours : h
        Of the standard time in which the hours stand.
    temp_c, rhum_pct : (hour), °C and %
        8760 hours from `NOMINAL_START_HOUR`, nan where there is none. The reading labelled with
        the end of an hour (01:00 to 24:00) stands at that hour, so 24:00 belongs to the old day.
    month_years : (12)
        The year from which each month comes.
    notes
        What reading has to tell.
    """

    file: str
    name: str
    latitude: float
    longitude: float
    elevation_m: float
    utc_offset_hours: float
    temp_c: FloatArray
    rhum_pct: FloatArray
    month_years: tuple[int, ...]
    notes: tuple[str, ...] = ()

    @property
    def start_hour(self) -> int:
        """Hours from 1970 to the first value, in a year that stands for all of them."""
        return NOMINAL_START_HOUR

    def sentences(self) -> tuple[str, ...]:
        """What was understood, in words, one line each."""
        first, last = min(self.month_years), max(self.month_years)
        return (
            (
                f"Typical year of {self.name} ({self.latitude:g}, {self.longitude:g}, "
                f"{self.elevation_m:g} m)."
            ),
            f"Months from the years {first} to {last}." if first < last else f"Year: {first}.",
            f"Times: UTC{self.utc_offset_hours:+g} h, labelled at the end of the hour.",
            "Unit of temperature: °C.",
            f"Hours with a temperature: {np.count_nonzero(~np.isnan(self.temp_c))} of {HOURS}.",
        )


class _Row(Struct, frozen=True):
    """One hour of a file: its line, month, day, label (1 to 24), year and values."""

    line: int
    year: int
    month: int
    day: int
    label: int
    temp_c: float
    rhum_pct: float


def refuse_risk(path: Path, asked: str) -> NoReturn:
    """
    Say why a typical year cannot answer a question about dates, odds or risk, and what it can.

    Raises
    ------
    RecordError
        Always; `asked` is what was wanted, such as "dates" or "a verdict".
    """
    typical = read_typical_year(path)
    command = f"suitability weather show {quote(str(path))}"
    first, last = min(typical.month_years), max(typical.month_years)
    years = f" ({first} to {last})" if first < last else ""
    raise RecordError(
        f"{typical.file}: this is a typical year: its months come from different years{years}, "
        "each chosen because it was ordinary, so it holds no hard winter and cannot give "
        f"{asked}. Use an hourly record of several years; from this file only the hours below a "
        f"floor in an ordinary month can be had: {command}"
    )


def is_typical_year(path: Path) -> bool:
    """Whether a file is EPW or TMY3, by its ending or, for CSV, by its second line."""
    name = path.name.casefold()
    if name.endswith(ENDINGS):
        return True
    if not name.endswith(".csv"):
        return False
    try:
        with path.open("rb") as file:
            return TMY3_COLUMNS.encode() in file.read(1024)
    except OSError:  # a reader will say what is wrong with it
        return False


def read_typical_year(path: Path) -> TypicalYear:
    """
    The typical year in an EPW or TMY3 file.

    Raises
    ------
    RecordError
        The file cannot be read, is neither, or its hours are not those of one year.
    """
    return read_epw(path) if path.name.casefold().endswith(".epw") else read_tmy3(path)


def read_tmy3(path: Path) -> TypicalYear:
    """
    The typical year in a TMY3 file (NREL), CSV with two header lines.

    Source of the form: Wilcox and Marion 2008, Users Manual for TMY3 Data Sets, NREL/TP-581-43156.

    Raises
    ------
    RecordError
        See `read_typical_year`.
    """
    rows = _csv_rows(path)
    (_, place), (_, names) = next(rows, (0, [])), next(rows, (0, []))
    needed = (TMY3_COLUMNS, "Time (HH:MM)", "Dry-bulb (C)", "RHum (%)")
    absent = [name for name in needed if name not in names]
    if absent or len(place) < 7:
        raise RecordError(
            f"{path.name}: this is no TMY3 file: {', '.join(absent) or 'its place'} is missing "
            "from the two header lines."
        )
    date, clock, temp, rhum = (names.index(name) for name in needed)

    def row_of(line: int, cells: list[str]) -> _Row:
        month, day, year = (int(part) for part in cells[date].split("/"))
        label = int(cells[clock].split(":")[0])
        return _row(path.name, line, (year, month, day, label), cells[temp], cells[rhum])

    header = (place[1], place[4], place[5], place[6], place[3])
    return _typical_year(path.name, header, rows, row_of)


def read_epw(path: Path) -> TypicalYear:
    """
    The typical year in an EPW file (EnergyPlus weather), eight header lines and then the hours.

    Source of the form: EnergyPlus Auxiliary Programs, "EnergyPlus Weather File (EPW) Data
    Dictionary": dry bulb, missing 99.9, in field 7; relative humidity, missing 999, in field 9.

    Raises
    ------
    RecordError
        See `read_typical_year`.
    """
    rows = _csv_rows(path)
    head = [cells for _, cells in (next(rows, (0, [])) for _ in range(EPW_HEADER_LINES))]
    place = head[0]
    if not place or place[0].strip() != EPW_FIRST or len(place) < 10:
        raise RecordError(
            f"{path.name}: this is no EPW file: its first line should begin with {EPW_FIRST} and "
            "name the place."
        )
    if head[-1][1:3] != ["1", "1"]:
        raise RecordError(
            f"{path.name}, line {EPW_HEADER_LINES}: found {','.join(head[-1][:3])!r}; expected one "
            "data period with one record an hour (DATA PERIODS,1,1)."
        )

    def row_of(line: int, cells: list[str]) -> _Row:
        year, month, day, label = (int(cell) for cell in cells[:4])
        return _row(path.name, line, (year, month, day, label), cells[6], cells[8])

    return _typical_year(path.name, (place[1], *place[6:8], place[9], place[8]), rows, row_of)


def _csv_rows(path: Path) -> Iterator[tuple[int, list[str]]]:
    """Number and cells of each line that is not blank."""
    rows, lines = rows_of(read_whole(path))
    return zip(lines.tolist(), rows, strict=True)


def _row(file: str, line: int, when: tuple[int, int, int, int], temp: str, rhum: str) -> _Row:
    """One hour, codes for missing values made nan."""
    temp_c, rhum_pct = (
        np.nan if (value := parse_number(text, name, file, line)) in MISSING[name] else value
        for name, text in (("temp", temp), ("rhum", rhum))
    )
    return _Row(line, *when, temp_c, rhum_pct)


def _typical_year(
    file: str,
    header: tuple[str, ...],
    rows: Iterator[tuple[int, list[str]]],
    row_of: Callable[[int, list[str]], _Row],
) -> TypicalYear:
    """The year of parsed rows; `header` is name, latitude, longitude, elevation and offset."""
    hours = []
    for line, cells in rows:
        try:
            hours.append(row_of(line, cells))
        except (ValueError, IndexError) as reason:
            raise RecordError(
                f"{file}, line {line}: the line is cut or no hour of a year. Get the file anew."
            ) from reason
    leap = [row for row in hours if (row.month, row.day) == (2, 29)]
    kept = [row for row in hours if (row.month, row.day) != (2, 29)]
    positions = _positions(file, kept)
    temp_c, rhum_pct = np.full(HOURS, np.nan), np.full(HOURS, np.nan)
    temp_c[positions] = [row.temp_c for row in kept]
    rhum_pct[positions] = [row.rhum_pct for row in kept]
    _check(file, kept, positions)
    years = {row.month: row.year for row in reversed(kept)}
    empty = [month for month in range(1, 13) if month not in years]
    if empty:
        raise RecordError(
            f"{file}: no hour of month {empty[0]}; a typical year has all twelve. Get the file "
            "anew."
        )
    latitude, longitude, elevation_m, offset = (
        parse_number(text, name, file, 1)
        for name, text in zip(
            ("latitude", "longitude", "elevation", "zone"), header[1:], strict=True
        )
    )
    return TypicalYear(
        file=file,
        name=header[0].strip(),
        latitude=latitude,
        longitude=longitude,
        elevation_m=elevation_m,
        utc_offset_hours=offset,
        temp_c=temp_c,
        rhum_pct=rhum_pct,
        month_years=tuple(years[month] for month in range(1, 13)),
        notes=(f"{len(leap)} hours of 29 February left out.",) if leap else (),
    )


def _positions(file: str, rows: list[_Row]) -> NDArray[np.int64]:
    """Place of each hour in the year, after refusing what is no whole year."""
    positions = np.empty(len(rows), np.int64)
    seen: dict[int, int] = {}
    for at, row in enumerate(rows):
        start, stop = MONTH_STARTS[row.month - 1 : row.month + 1] if 0 < row.month < 13 else (0, 0)
        within = (row.day - 1) * 24 + row.label - 1
        if not (1 <= row.label <= 24 and row.day >= 1 and start + within < stop):
            raise RecordError(
                f"{file}, line {row.line}: month {row.month}, day {row.day}, hour {row.label} is "
                "no hour of a year; hours are labelled 1 to 24."
            )
        position = start + within
        if position in seen:
            raise RecordError(
                f"{file}, lines {seen[position]} and {row.line}: the same hour twice "
                f"(month {row.month}, day {row.day}, hour {row.label})."
            )
        seen[position] = row.line
        positions[at] = position
    if len(seen) < LEAST_HOURS:
        raise RecordError(f"{file}: found {len(seen)} of the {HOURS} hours of a typical year.")
    return positions


def _check(file: str, rows: list[_Row], positions: NDArray[np.int64]) -> None:
    """Refuse values that cannot be true, naming the first line."""
    check_readings(
        Readings(
            file=file,
            seconds=(NOMINAL_START_HOUR + positions) * 3600,
            temp_c=np.array([row.temp_c for row in rows]),
            lines=np.array([row.line for row in rows], np.int64),
            rhum_pct=np.array([row.rhum_pct for row in rows]),
        )
    )
