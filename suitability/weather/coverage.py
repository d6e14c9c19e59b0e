"""
How much of a record was really observed: by year, month and origin, and by the WMO's rule.

Months are those of standard time. A count of hours needs more than a mean does, so two judgements
stand side by side: the WMO's rule for monthly values, and a stricter one for counts.
"""

from __future__ import annotations

from collections.abc import Mapping
from itertools import pairwise

import numpy as np
from msgspec import Struct
from numpy.typing import NDArray

from suitability.weather.record import COUNTED, Origin, Record

MOST_MISSING_DAYS = 10  # WMO-No. 1203: a month with 11 missing days or more is missing,
MOST_MISSING_RUN = 4  # and so is one with 5 or more in a row
LEAST_OF_DAY = 0.75  # of a day's usual readings: the day is there; common practice, no source
LEAST_FOR_COUNTS = 0.9  # of a month's hours: counts of the month may be used


class Coverage(Struct, frozen=True, kw_only=True):
    """
    Coverage of a record by year and month, (year, month).

    Attributes
    ----------
    first_year
        Year of the first row, standard time.
    expected : h
        Hours of each month that lie within the record.
    full : h
        Hours of each whole month.
    by_origin : h
        Hours of each origin.
    wmo_complete
        Whether a monthly value may be formed (WMO-No. 1203); False where the record holds only a
        part of the month.
    counts_usable
        Whether at least 90 % of the whole month's hours were observed.
    """

    first_year: int
    expected: NDArray[np.int64]
    full: NDArray[np.int64]
    by_origin: Mapping[Origin, NDArray[np.int64]]
    wmo_complete: NDArray[np.bool_]
    counts_usable: NDArray[np.bool_]

    @property
    def observed(self) -> NDArray[np.int64]:
        """Hours that counts may use, (year, month)."""
        return _observed(self.by_origin)

    @property
    def years(self) -> range:
        """The years of the rows."""
        return range(self.first_year, self.first_year + self.expected.shape[0])


def count_coverage(record: Record, utc_offset_hours: float = 0.0) -> Coverage:
    """
    Hours of each origin by year and month of standard time, and which months are complete.

    A day is there if three quarters of the readings that are usual for the record (24, or 8 where a
    station reports every three hours) were observed.

    Parameters
    ----------
    utc_offset_hours : h
        Of standard time; rounded to full hours.
    """
    start = record.start_hour + round(utc_offset_hours)
    stop = start + record.temp_c.size
    first_month = _month_of_hour(start)
    first_year, last_year = 1970 + first_month // 12, 1970 + _month_of_hour(stop - 1) // 12
    edges = _month_edges(first_year, last_year)
    shape = (last_year - first_year + 1, 12)
    inside = np.clip(edges, start, stop) - start
    by_origin = {}
    for origin in Origin:
        running = np.concatenate([[0], np.cumsum(record.origin == origin)])
        by_origin[origin] = np.diff(running[inside]).reshape(shape)
    full = np.diff(edges).reshape(shape)
    observed = _observed(by_origin)
    return Coverage(
        first_year=first_year,
        expected=np.diff(inside).reshape(shape),
        full=full,
        by_origin=by_origin,
        wmo_complete=months_complete(_days_there(record, start, edges), edges // 24).reshape(shape),
        counts_usable=observed >= LEAST_FOR_COUNTS * full,
    )


def _observed(by_origin: Mapping[Origin, NDArray[np.int64]]) -> NDArray[np.int64]:
    """Hours of the origins that counts may use, (year, month)."""
    total = np.zeros_like(by_origin[Origin.OBSERVED])
    for origin in COUNTED:
        total = total + by_origin[origin]
    return total


def _month_of_hour(hour: int) -> int:
    """Months from January 1970 to the month of an hour."""
    month = np.datetime64(hour, "h").astype("datetime64[M]")
    return int(month.astype(np.int64))


def _month_edges(first_year: int, last_year: int) -> NDArray[np.int64]:
    """Hours from 1970 to the first hour of each month, the one after the last included."""
    months = np.arange(f"{first_year}-01", f"{last_year + 1}-02", dtype="datetime64[M]")
    return months.astype("datetime64[h]").astype(np.int64)


def _days_there(record: Record, start: int, edges: NDArray[np.int64]) -> NDArray[np.bool_]:
    """Whether each day from the first edge to the last has enough observed readings, (day)."""
    hours = np.zeros(edges[-1] - edges[0], np.int64)
    begin = start - int(edges[0])
    hours[begin : begin + record.temp_c.size] = record.counted
    usual = 24 // max(1, record.step_hours)
    there: NDArray[np.bool_] = hours.reshape(-1, 24).sum(axis=1) >= LEAST_OF_DAY * usual
    return there


def months_complete(there: NDArray[np.bool_], first_days: NDArray[np.int64]) -> NDArray[np.bool_]:
    """
    Whether each month has a valid monthly value by WMO-No. 1203 (2017).

    A month is missing if 11 or more of its days are, or 5 or more in a row; days of neighbouring
    months do not lengthen a run.

    Parameters
    ----------
    there : (day)
        Whether each day is there, from the first day of the first month.
    first_days : (month + 1)
        Running number of the first day of each month, and of the day after the last.
    """
    places = first_days - first_days[0]
    complete = []
    for begin, end in pairwise(places.tolist()):
        missing = ~there[begin:end]
        few = int(missing.sum()) <= MOST_MISSING_DAYS
        complete.append(few and longest_run(missing) <= MOST_MISSING_RUN)
    return np.array(complete, bool)


def longest_run(flags: NDArray[np.bool_]) -> int:
    """
    Length of the longest run of true flags.

    Examples
    --------
    >>> longest_run(np.array([True, True, False, True]))
    2
    """
    edges = np.flatnonzero(np.diff(flags, prepend=False, append=False))
    return int((edges[1::2] - edges[::2]).max(initial=0))
