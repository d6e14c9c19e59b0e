"""Daily minima and maxima that a grower wrote down, with columns and unit declared."""

from __future__ import annotations

from collections.abc import Mapping
from pathlib import Path

import numpy as np
from msgspec import Struct
from numpy.typing import NDArray

from suitability.errors import OptionError, RecordError
from suitability.units import TemperatureUnit
from suitability.weather.record import FloatArray
from suitability.weather.sources.clocktimes import parse_clock_times
from suitability.weather.sources.logger import numbers_of, tables_of

COLUMNS = ("date", "min", "max")
NOON = " 12:00"  # so that a day can be read as a time
RANGE_C = (-60.0, 70.0)  # of an instrument in the sun


class Extremes(Struct, frozen=True, kw_only=True):
    """
    Minima and maxima by day.

    Attributes
    ----------
    first_day : d
        Days from 1970-01-01 to the first.
    min_c, max_c : (day), °C
        Lowest of the night that ends on the day's morning; highest of the day. nan where missing.
    """

    first_day: int
    min_c: FloatArray
    max_c: FloatArray


def read_extremes(
    path: Path,
    *,
    columns: Mapping[str, str],
    unit: TemperatureUnit,
    read_in_the_morning: bool,
    date_format: str | None = None,
) -> Extremes:
    """
    Minima and maxima from a CSV with one line a day.

    Parameters
    ----------
    columns
        `date`, `min` and, if there are maxima, `max`, with their names in the file.
    read_in_the_morning
        Whether the thermometer was read and set back in the morning: its maximum is then that of
        the day before. Read in the evening, both belong to the date.
    date_format
        As for `datetime.strptime`, where day and month cannot be told apart.

    Raises
    ------
    OptionError
        The columns declared are none.
    RecordError
        The file cannot be read, lacks a column, holds a day twice, or a line cannot be true.
    """
    if not {"date", "min"} <= set(columns) <= set(COLUMNS):
        raise OptionError(
            f"Columns declared for {', '.join(columns) or 'nothing'}; expected date and min, and "
            "max if there are maxima."
        )
    table, *more = tables_of(path, columns)
    if more:
        raise RecordError(f"{path.name}: has far more lines than days; give the right file.")
    written = [f"{cell}{NOON}" for cell in table.cells["date"]]
    style = None if date_format is None else f"{date_format} %H:%M"
    days = parse_clock_times(written, table.lines, path.name, style).seconds // 86400
    _check_days(days, table.lines, path.name)
    first, last = int(days.min()), int(days.max())
    found = {}
    for name in ("min", "max"):
        values = np.full(last - first + 1, np.nan)
        if name in columns:
            numbers = numbers_of(table, name, unit)
            _check_range(numbers, table.lines, path.name)
            values[days - first] = numbers
        found[name] = values
    if "max" in columns:
        _check_order(found["min"], found["max"], days - first, table.lines, path.name)
    if read_in_the_morning:
        found["max"] = np.append(found["max"][1:], np.nan)
    return Extremes(first_day=first, min_c=found["min"], max_c=found["max"])


def _check_days(days: NDArray[np.int64], lines: NDArray[np.int64], file: str) -> None:
    """Refuse a day that stands twice, and years that only a slip explains."""
    if int(days.max()) - int(days.min()) > 4000:
        raise RecordError(f"{file}: its days span more than ten years; mend the mistyped one.")
    order = np.argsort(days, kind="stable")
    twice = np.flatnonzero(np.diff(days[order]) == 0)
    if twice.size:
        line = lines[int(order[twice[0] + 1])]
        raise RecordError(f"{file}, line {line}: the day stands twice; take one of them out.")


def _check_order(
    least: FloatArray, most: FloatArray, at: NDArray[np.int64], lines: NDArray[np.int64], file: str
) -> None:
    """Refuse a minimum above the maximum that was read with it."""
    wrong = np.flatnonzero(least[at] > most[at])
    if wrong.size:
        row = int(wrong[0])
        raise RecordError(
            f"{file}, line {lines[row]}: the minimum {least[at[row]]:g} °C is above the maximum "
            f"{most[at[row]]:g} °C ({wrong.size} of {len(lines)} lines). Mend it, or exchange the "
            "two columns in --columns."
        )


def _check_range(numbers: FloatArray, lines: NDArray[np.int64], file: str) -> None:
    outside = (numbers < RANGE_C[0]) | (numbers > RANGE_C[1])
    if outside.any():
        at = int(np.flatnonzero(outside)[0])
        raise RecordError(
            f"{file}, line {lines[at]}: {numbers[at]:g} °C is outside {RANGE_C[0]:g} to "
            f"{RANGE_C[1]:g}. Mend the line, or declare the right --input-units."
        )
