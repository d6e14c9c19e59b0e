"""Readings before anything is moved: what a reader gives, and whether it can be true."""

from __future__ import annotations

from collections.abc import Container
from datetime import UTC, datetime
from typing import NoReturn

import numpy as np
from msgspec import Struct
from numpy.typing import NDArray

from suitability.errors import RecordError
from suitability.units import TemperatureUnit, celsius_from_fahrenheit
from suitability.weather.record import FloatArray
from suitability.weather.sources.warmth import WARMEST_MEDIAN_C

IntArray = NDArray[np.int64]


class Readings(Struct, frozen=True, kw_only=True):
    """
    Readings in the order of their file.

    Attributes
    ----------
    file
        Its name, for messages.
    seconds : (reading), s
        From 1970-01-01 00:00 UTC.
    temp_c : (reading), °C
        nan where the cell is empty.
    lines : (reading)
        Where each stands in the file, counted from 1.
    rhum_pct : (reading), %, or None
    prcp_mm : (reading), mm, or None
    dwpt_c : (reading), °C, or None
        Dew point, where there is no humidity.
    lowest_c : (reading), °C, or None
        Lowest of the readings within half an hour, where there were several.
    row_word
        What the file's own rows are called in messages.
    notes
        What reading has to tell so far.
    named
        Quantity, and what the file calls it, for each column read.
    unit, zone
        Unit of temperature and zone of the times in the file, in words.
    """

    file: str
    seconds: IntArray
    temp_c: FloatArray
    lines: IntArray
    rhum_pct: FloatArray | None = None
    prcp_mm: FloatArray | None = None
    dwpt_c: FloatArray | None = None
    lowest_c: FloatArray | None = None
    row_word: str = "line"
    notes: tuple[str, ...] = ()
    named: tuple[tuple[str, str], ...] = ()
    unit: str = "°C"
    zone: str = "UTC"

    def columns(self) -> dict[str, FloatArray]:
        """The columns that are there, by the names that files give them."""
        named = {
            "temp": self.temp_c,
            "rhum": self.rhum_pct,
            "prcp": self.prcp_mm,
            "lowest": self.lowest_c,
        }
        return {name: values for name, values in named.items() if values is not None}

    def rows(self, count: int) -> str:
        """So many rows, in words."""
        return f"{count} {self.row_word}{'' if count == 1 else 's'}"

    def refuse(self, row: int, found: str) -> NoReturn:
        """Raise the error that names one reading's place in the file."""
        raise RecordError(f"{self.file}, {self.row_word} {self.lines[row]}: {found}")


def columns_used(there: Container[str]) -> list[str]:
    """Columns of numbers to read, of those there; the dew point only where there is no humidity."""
    names = [name for name in ("temp", "rhum", "dwpt", "prcp") if name in there]
    return [name for name in names if name != "dwpt" or "rhum" not in names]


def celsius(values: FloatArray, unit: TemperatureUnit) -> FloatArray:
    """Temperatures in °C; sure fillers stay as written, so that they are named as such."""
    if unit is TemperatureUnit.C:
        return values
    return np.where(np.abs(values) > SURE_FILLER, values, celsius_from_fahrenheit(values))


def exact_values(values: NDArray[np.generic], offset: float = 0.0) -> FloatArray:
    """
    Values as float64 that mean the decimals their author wrote, with an offset added.

    Single precision turns 10.7 into 10.69999981, which would count as colder than 10.7; so such
    values are kept to 4 decimals, and others that had to be converted to 6.

    Examples
    --------
    >>> exact_values(np.array([283.85], np.float32), -273.15).item()
    10.7
    """
    if values.dtype.kind == "f" and values.dtype.itemsize < 8:
        return (values.astype(np.float64) + offset).round(4)
    whole = values.astype(np.float64)
    return (whole + offset).round(6) if offset else whole


def shown_time(seconds: float) -> str:
    """
    A moment as files write it, without its zone.

    Examples
    --------
    >>> shown_time(3600)
    '1970-01-01 01:00'
    """
    return str(np.datetime64(int(seconds), "s")).replace("T", " ")[:16]


RANGE_C = (-60.0, 60.0)  # beyond any air temperature ever measured where plants are grown
RANGE_RHUM_PCT = (0.0, 105.0)  # sensors in fog read a little above 100
RANGE_PRCP_MM = (0.0, 500.0)  # the wettest hours on record brought about 400 mm
MOST_OF_ONE = 1.05  # humidity as a fraction of 1, fog included
FEWEST_JUDGED = 24  # readings; fewer say nothing of a unit
KELVIN_MEDIANS = (200.0, 340.0)
FAHRENHEIT_SHARE = 0.01  # of the values, and three at least, above 60: more than stray errors
HIGHEST_FAHRENHEIT = 140.0  # 60 °C
FILLERS = (99.9, 99.99, 99.0, 999.0, 999.9, 999.99, 9999.0, 9999.9, 99999.0, 32767.0, 32768.0)
CONVERTED = "°F, converted to °C"  # a unit of readings, in words
READ_FAHRENHEIT = (  # which option tells the degrees of which file
    "Read it with --record-unit f, a forecast with --forecast-unit f, and in `weather import` and "
    "`spots fit` with --input-units f"
)
SURE_FILLER = 990.0  # fillers from here on are neither °F nor kelvin
YEARS = (1800, 2100)


def check_readings(readings: Readings, *, whole: bool = True) -> None:
    """
    Refuse readings that cannot be true, naming the first.

    Of a part of a file single values are judged, and not what only the whole can tell.

    Temperatures outside ±60 °C are told apart into kelvin, fillers, Fahrenheit and single wrong
    values; humidity, rain and dew point have bounds of their own.

    Raises
    ------
    RecordError
        A value or time cannot be true.
    """
    _check_years(readings)
    _check_temperatures(readings, whole=whole)
    _check_others(readings, whole=whole)


def _check_years(readings: Readings) -> None:
    """Refuse times that only a slip of the pen can explain."""
    bounds = [int(datetime(year, 1, 1, tzinfo=UTC).timestamp()) for year in YEARS]
    outside = (readings.seconds < bounds[0]) | (readings.seconds >= bounds[1])
    if outside.any():
        row = int(outside.argmax())
        readings.refuse(
            row,
            f"the time {shown_time(readings.seconds[row])} is outside the years "
            f"{YEARS[0]} to {YEARS[1]}. Mend the {readings.row_word}.",
        )


def _check_temperatures(readings: Readings, *, whole: bool) -> None:
    """Refuse values that are no air temperature in °C."""
    temp_c = readings.temp_c
    outside = np.abs(temp_c) > RANGE_C[1]  # nan is not outside
    if outside.any() or (whole and (temp_c > WARMEST_MEDIAN_C).any()):
        _check_unit(readings, outside)
    if outside.any():
        row = int(outside.argmax())
        unit = (
            " If the file is in °F, declare that."
            if RANGE_C[1] < temp_c[row] <= HIGHEST_FAHRENHEIT
            else ""
        )
        readings.refuse(
            row,
            f"temp {temp_c[row]:.6g} °C is outside {RANGE_C[0]:g} to {RANGE_C[1]:g} °C. "
            f"Mend the {readings.row_word}, or leave the cell empty to count that hour as missing."
            f"{unit}",
        )


def _check_others(readings: Readings, *, whole: bool) -> None:
    """Refuse impossible humidity, rain and dew points."""
    bounds = (("rhum", "%", RANGE_RHUM_PCT), ("prcp", "mm", RANGE_PRCP_MM))
    for name, unit, (least, most) in bounds:
        values = readings.columns().get(name)
        if values is None or not ((values < least) | (values > most)).any():
            continue
        row = int(((values < least) | (values > most)).argmax())
        readings.refuse(
            row,
            f"{name} {values[row]:.6g} {unit} is outside {least:g} to {most:g} {unit}. "
            f"Mend the {readings.row_word}, or leave the cell empty.",
        )
    if whole:
        _check_fraction(readings)
    dwpt_c, temp_c = readings.dwpt_c, readings.temp_c
    if dwpt_c is None:
        return
    wrong = (np.abs(dwpt_c) > 100.0) | (dwpt_c > temp_c + 0.5)
    if wrong.any():
        row = int(wrong.argmax())
        readings.refuse(
            row,
            f"dwpt {dwpt_c[row]:.6g} °C cannot be with temp {temp_c[row]:.6g} °C. "
            f"Mend the {readings.row_word}, or leave the cell empty.",
        )


def _check_fraction(readings: Readings) -> None:
    """Refuse humidity that is a fraction of 1: air is never so dry all the time."""
    if readings.rhum_pct is None:
        return
    given = readings.rhum_pct[~np.isnan(readings.rhum_pct)]
    if given.size >= FEWEST_JUDGED and 0.0 < given.max() <= MOST_OF_ONE:
        row = int(np.nanargmax(readings.rhum_pct))
        readings.refuse(
            row,
            f"rhum {readings.rhum_pct[row]:.6g} is the highest of the file, which looks like a "
            "fraction of 1. Multiply the column by 100, so that rhum is in %.",
        )


def _check_unit(readings: Readings, outside: NDArray[np.bool_]) -> None:
    """Tell kelvin, fillers and Fahrenheit from a single wrong value, in this order."""
    temp = readings.temp_c
    filler = np.isin(np.abs(temp), FILLERS) & outside
    sure = filler & (np.abs(temp) > SURE_FILLER)
    real = temp[np.abs(temp) <= SURE_FILLER]  # beyond it no unit reaches; nan is not within
    median = float(np.median(real)) if real.size else np.nan
    if KELVIN_MEDIANS[0] < median < KELVIN_MEDIANS[1]:
        row = int((temp > KELVIN_MEDIANS[0]).argmax())
        readings.refuse(
            row, f"temp {temp[row]:.6g} looks like kelvin. Subtract 273.15, so that temp is in °C."
        )
    if sure.any():
        _refuse_filler(readings, int(sure.argmax()))
    above = (real > RANGE_C[1]) & (real <= HIGHEST_FAHRENHEIT)
    warm = np.count_nonzero(above & ~np.isin(real, FILLERS))
    if median > WARMEST_MEDIAN_C or warm >= max(3, FAHRENHEIT_SHARE * real.size):
        row = int((temp > min(RANGE_C[1], float(real.max()) - 1e-9)).argmax())
        readings.refuse(
            row,
            f"temp {temp[row]:.6g}, with a median of {median:.4g} in the whole file, looks like "
            f"Fahrenheit. {READ_FAHRENHEIT}.",
        )
    if filler.any():
        _refuse_filler(readings, int(filler.argmax()))


def _refuse_filler(readings: Readings, row: int) -> NoReturn:
    readings.refuse(
        row,
        f'temp {readings.temp_c[row]:g} looks like a filler for "no reading". '
        "Leave such cells empty, so that the hour counts as missing.",
    )
