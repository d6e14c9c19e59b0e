"""Years of a station put together on one axis; years without a file are gaps."""

from __future__ import annotations

from typing import TYPE_CHECKING

import numpy as np

from suitability.errors import RecordError
from suitability.weather.record import FloatArray, Record
from suitability.weather.sources.providers import say_credits

if TYPE_CHECKING:
    from collections.abc import Iterable, Sequence

    from suitability.weather.record import Station

__all__ = ["join_years", "usual_step_hours"]

LARGEST_STEP_HOURS = 24


def join_years(
    parts: Sequence[Record],
    station: Station,
    sources: Iterable[str],
    *,
    notes: tuple[str, ...] = (),
) -> Record:
    """
    One record of several that do not overlap; hours between them are gaps.

    Parameters
    ----------
    parts
        In order of time, one at least.
    sources
        Identifiers of the providers, for licence and attribution.

    Raises
    ------
    RecordError
        There is no part, or two overlap.
    """
    if not parts:
        raise RecordError("There is no year to make a record of.")
    start, stop = parts[0].start_hour, parts[-1].stop_hour
    temp_c = np.full(stop - start, np.nan)
    origin = np.zeros(stop - start, np.uint8)
    reached = start
    for part in parts:
        if part.start_hour < reached:
            raise RecordError("Two years of the record overlap.")
        reached = part.stop_hour
        temp_c[part.start_hour - start : reached - start] = part.temp_c
        origin[part.start_hour - start : reached - start] = part.origin
    licence, attribution = say_credits(sources)
    return Record(
        start_hour=start,
        temp_c=temp_c,
        origin=origin,
        rhum_pct=_join_column([part.rhum_pct for part in parts], parts),
        prcp_mm=_join_column([part.prcp_mm for part in parts], parts),
        step_hours=usual_step_hours(temp_c),
        source=f"Meteostat, station {station.identifier}",
        licence=licence,
        attribution=attribution,
        station=station,
        notes=notes,
    )


def _join_column(
    columns: Sequence[FloatArray | None], parts: Sequence[Record]
) -> FloatArray | None:
    """One column of all parts, (hour); None if no part has it."""
    if all(column is None for column in columns):
        return None
    start, stop = parts[0].start_hour, parts[-1].stop_hour
    joined = np.full(stop - start, np.nan)
    for column, part in zip(columns, parts, strict=True):
        if column is not None:
            joined[part.start_hour - start : part.stop_hour - start] = column
    return joined


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
