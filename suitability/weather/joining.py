"""Years of a station put together on one axis; years without a file are gaps."""

from __future__ import annotations

from collections import Counter
from collections.abc import Sequence
from itertools import pairwise
from typing import Any

import numpy as np
from numpy.typing import NDArray

from suitability.errors import RecordError
from suitability.weather.record import FloatArray, Origin, Record, Station
from suitability.weather.sources.providers import join_credits

LARGEST_STEP_HOURS = 24


def join_years(parts: Sequence[Record], station: Station, notes: tuple[str, ...] = ()) -> Record:
    """
    One record of several that do not overlap, with the credits of all; hours between are gaps.

    Parameters
    ----------
    parts
        In order of time, one at least.

    Raises
    ------
    RecordError
        There is no part, or two overlap.
    """
    if not parts:
        raise RecordError("There is no year to make a record of.")
    if any(late.start_hour < early.stop_hour for early, late in pairwise(parts)):
        raise RecordError("Two years of the record overlap.")
    gaps = [late.start_hour - early.stop_hour for early, late in pairwise(parts)] + [0]
    hours_with_step = Counter[int]()
    for part in parts:
        hours_with_step[part.step_hours] += part.temp_c.size
    return Record(
        start_hour=parts[0].start_hour,
        temp_c=_join([part.temp_c for part in parts], gaps, np.nan),
        origin=_join([part.origin for part in parts], gaps, Origin.MISSING),
        rhum_pct=_join_column([part.rhum_pct for part in parts], parts, gaps),
        prcp_mm=_join_column([part.prcp_mm for part in parts], parts, gaps),
        step_hours=hours_with_step.most_common(1)[0][0],
        source=f"Meteostat, station {station.identifier}",
        licence=join_credits(part.licence for part in parts),
        attribution=join_credits(part.attribution for part in parts),
        station=station,
        notes=notes,
    )


def _join(arrays: Sequence[NDArray[Any]], gaps: Sequence[int], filler: float) -> NDArray[Any]:
    """Arrays one after another, each followed by its gap of fillers."""
    pieces = []
    for array, gap in zip(arrays, gaps, strict=True):
        pieces.append(array)
        if gap:
            pieces.append(np.full(gap, filler, array.dtype))
    return np.concatenate(pieces)


def _join_column(
    columns: Sequence[FloatArray | None], parts: Sequence[Record], gaps: Sequence[int]
) -> FloatArray | None:
    """One column of all parts, (hour); None if no part has it."""
    if all(column is None for column in columns):
        return None
    arrays = [
        np.full(part.temp_c.size, np.nan) if column is None else column
        for column, part in zip(columns, parts, strict=True)
    ]
    return _join(arrays, gaps, np.nan)


def usual_step_hours(temp_c: FloatArray) -> int:
    """
    Usual distance of two readings, h: the most frequent one, from 1 to 24; 1 without readings.

    Examples
    --------
    >>> usual_step_hours(np.array([1.0, np.nan, np.nan, 2.0, np.nan, np.nan, 3.0, 4.0]))
    3
    """
    steps = np.diff(np.flatnonzero(~np.isnan(temp_c)))
    if steps.size == 0:
        return 1
    counts = np.bincount(np.minimum(steps, LARGEST_STEP_HOURS))
    return int(np.argmax(counts))
