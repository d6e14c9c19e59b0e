"""Readings as they stand in a file, before anything is believed or moved."""

from __future__ import annotations

from typing import TYPE_CHECKING, NoReturn

import numpy as np
from msgspec import Struct
from numpy.typing import NDArray

from suitability.errors import RecordError

if TYPE_CHECKING:
    from suitability.weather.record import FloatArray

__all__ = ["Readings", "exact_values", "shown_time"]

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
    row_word: str = "line"
    notes: tuple[str, ...] = ()
    named: tuple[tuple[str, str], ...] = ()
    unit: str = "°C"
    zone: str = "UTC"

    def columns(self) -> dict[str, FloatArray]:
        """The columns that are there, by the names that files give them."""
        named = {"temp": self.temp_c, "rhum": self.rhum_pct, "prcp": self.prcp_mm}
        return {name: values for name, values in named.items() if values is not None}

    def rows(self, count: int) -> str:
        """So many rows, in words."""
        return f"{count} {self.row_word}{'' if count == 1 else 's'}"

    def refuse(self, row: int, found: str) -> NoReturn:
        """Raise the error that names one reading's place in the file."""
        raise RecordError(f"{self.file}, {self.row_word} {self.lines[row]}: {found}")


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
