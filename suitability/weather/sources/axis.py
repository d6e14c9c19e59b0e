"""
Readings put on the regular hourly axis of a record.

Every reader of files ends here, so that all files are judged by the same rules and can say in the
same words what was understood.
"""

from __future__ import annotations

import numpy as np
from msgspec import Struct
from msgspec.structs import replace
from numpy.typing import NDArray

from suitability.errors import RecordError
from suitability.units import TemperatureUnit
from suitability.weather.joining import usual_step_hours
from suitability.weather.quality import check_season, check_solar_time
from suitability.weather.record import FloatArray, Origin, Record, datetime_of_hour
from suitability.weather.sampling import FEWEST_DAYS, miss_of_hours
from suitability.weather.sources.readings import (
    CONVERTED,
    READ_FAHRENHEIT,
    Readings,
    celsius,
    check_readings,
    shown_time,
)
from suitability.weather.sources.warmth import find_warm_month

IntArray = NDArray[np.int64]

STRAY_HOURS = 8784  # h; stations pause for years, but between many readings
STRAY_SHARE = 0.01  # of the readings; fewer, so far away, are no part of the record
NEAR_HOUR_S = 600  # readings this close to a full hour count as readings of that hour


class Understood(Struct, frozen=True, kw_only=True):
    """
    What reading took a file to say, to be looked at before its record is trusted.

    `named` pairs each quantity with the file's own name for it; `hours_valid` of the hours from
    `start_hour` to `stop_hour` (not included) have a temperature, from `lowest_c` to `highest_c`.
    """

    file: str
    named: tuple[tuple[str, str], ...]
    unit: str
    zone: str
    step_hours: int
    start_hour: int
    stop_hour: int
    hours_valid: int
    lowest_c: float | None
    highest_c: float | None

    def sentences(self) -> tuple[str, ...]:
        """The same in words, one line each."""
        first, last = datetime_of_hour(self.start_hour), datetime_of_hour(self.stop_hour - 1)
        return (
            f"Columns: {', '.join(f'{name} from {own!r}' for name, own in self.named)}.",
            f"Unit of temperature: {self.unit}.",
            f"Times: {self.zone}.",
            f"Step: {self.step_hours} h.",
            f"Period: {first:%Y-%m-%d %H:%M} to {last:%Y-%m-%d %H:%M} UTC.",
            f"Hours with a temperature: {self.hours_valid} of {self.stop_hour - self.start_hour}.",
            "Temperatures: none."
            if self.lowest_c is None
            else f"Temperatures: {self.lowest_c:.4g} to {self.highest_c:.4g} °C.",
        )


class FileRecord(Struct, frozen=True, kw_only=True):
    """A record read from a file, and what was understood."""

    record: Record
    understood: Understood


def understood_record(readings: Readings, unit: TemperatureUnit = TemperatureUnit.C) -> FileRecord:
    """
    The record that readings make, with what was understood.

    Parameters
    ----------
    unit
        In which the file has temperature and dew point, which the readings still are in.

    Raises
    ------
    RecordError
        See `record_of_readings`.
    """
    if unit is TemperatureUnit.F:
        dwpt = readings.dwpt_c
        readings = replace(
            readings,
            temp_c=celsius(readings.temp_c, unit),
            dwpt_c=None if dwpt is None else celsius(dwpt, unit),
            unit=CONVERTED,
        )
    record = record_of_readings(readings)
    return understood_as(record, readings.file, readings.named, readings.unit, readings.zone)


def judge_place(
    record: Record, file: str, *, latitude: float | None, longitude: float | None
) -> Record:
    """
    A file's record held against its place, with what is to be noted.

    Its days must be warmest when the sun says so, its summer must be that of the latitude, and no
    month warmer than the open air can be there, unless it is as steady as a heated room.

    Raises
    ------
    RecordError
        The times are not UTC, or the temperatures not °C, or it is another place.
    """
    try:
        if longitude is not None:
            check_solar_time(record, longitude)
        if latitude is not None:
            check_season(record, latitude)
    except RecordError as reason:
        raise RecordError(f"{file}: {reason}") from reason
    month = None if latitude is None else find_warm_month(record, latitude)
    if month is None:
        return record
    told = (
        f"{month.year}-{month.month:02d} has a median of {month.median_c:.1f} °C, where the open "
        f"air at latitude {latitude:g} stays below {month.bound_c:.0f} °C"
    )
    if month.could_be_kept_warm:
        note = f"{told}: taken for a record from under cover; otherwise check its unit and place."
        return replace(record, notes=(*record.notes, note))
    raise RecordError(
        f"{file}: {told}, and no room varies so or is so warm: it looks like Fahrenheit. "
        f"{READ_FAHRENHEIT}; if it is in °C, check the latitude."
    )


def understood_as(
    record: Record, file: str, named: tuple[tuple[str, str], ...], unit: str, zone: str
) -> FileRecord:
    """A record that is there already, with what was understood of its file."""
    present = record.temp_c[~np.isnan(record.temp_c)]
    understood = Understood(
        file=file,
        named=named,
        unit=unit,
        zone=zone,
        step_hours=record.step_hours,
        start_hour=record.start_hour,
        stop_hour=record.stop_hour,
        hours_valid=present.size,
        lowest_c=float(present.min()) if present.size else None,
        highest_c=float(present.max()) if present.size else None,
    )
    return FileRecord(record=record, understood=understood)


def record_of_readings(readings: Readings) -> Record:
    """
    The record that readings make: sorted, on full UTC hours, hours without one as gaps.

    Readings within ten minutes of a full hour count as that hour's, and so do readings that all
    stand at the same minute past the hour (zones of half an hour); both are noted. Readings out of
    order are sorted and counted; an hour given twice is kept once if its values agree (an empty
    cell agrees with any value). Values are not rounded.

    Raises
    ------
    RecordError
        A value cannot be true (see `docs/files.md`), a time is not near a full hour or outside
        the years 1800 to 2100, or an hour is given twice with different values.
    """
    check_readings(readings)
    hours, notes = _full_hours(readings)
    columns, lines = readings.columns(), readings.lines
    if readings.dwpt_c is not None and readings.rhum_pct is None:
        columns["rhum"] = relative_humidity(readings.temp_c, readings.dwpt_c)
        notes += ("Relative humidity computed from the dew point.",)
    _check_strays(readings, hours)
    late = int(np.count_nonzero(hours < np.maximum.accumulate(hours)))
    if late:
        order = np.argsort(hours, kind="stable")
        hours, lines = hours[order], lines[order]
        columns = {name: values[order] for name, values in columns.items()}
        notes += (f"{readings.rows(late)} stood out of order in time and were sorted.",)
    firsts = np.flatnonzero(np.diff(hours, prepend=hours[0] - 1))
    doubled = hours.size - firsts.size
    if doubled:
        columns = _merged(readings, columns, hours, lines, firsts)
        hours = hours[firsts]
        notes += (f"{readings.rows(doubled)} doubled with equal values kept once.",)
    return _on_axis(readings, hours, columns, notes)


def _check_strays(readings: Readings, hours: IntArray) -> None:
    """Refuse a few readings that stand years away from all others: a mistyped or lost clock."""
    ordered = hours if np.all(hours[:-1] <= hours[1:]) else np.sort(hours)
    cuts = np.flatnonzero(np.diff(ordered) > STRAY_HOURS) + 1
    if not cuts.size:
        return
    sizes = np.diff([0, *cuts, ordered.size])
    least = int(sizes.argmin())
    if sizes[least] >= STRAY_SHARE * ordered.size:
        return
    row = int(np.argmax(hours == ordered[[0, *cuts][least]]))
    readings.refuse(
        row,
        f"the time {shown_time(readings.seconds[row])} stands over a year away from the rest of "
        f"the file ({readings.rows(int(sizes[least]))} of {ordered.size}). Mend the times there, "
        "or delete the lines.",
    )


def _on_axis(
    readings: Readings, hours: IntArray, columns: dict[str, FloatArray], notes: tuple[str, ...]
) -> Record:
    """The record of sorted hours, each given once."""
    start = int(hours[0])
    size = int(hours[-1]) - start + 1

    def spread(name: str) -> FloatArray | None:
        values = columns.get(name)
        if values is None or (name != "temp" and np.isnan(values).all()):
            return None
        if values.size == size:
            return values
        whole = np.full(size, np.nan)
        whole[hours - start] = values
        return whole

    temp_c = spread("temp")
    assert temp_c is not None
    step = usual_step_hours(temp_c)
    lowest_c = spread("lowest")
    allowance_c = None
    if lowest_c is not None:
        missed_c, days = miss_of_hours(temp_c, lowest_c)
        if days >= FEWEST_DAYS:
            allowance_c = max(0.0, round(missed_c, 1))
            told = f"The hours miss {missed_c:.1f} °C of the day's lowest reading on the mean"
            notes += (f"{told} ({days} days).",)
    if step > 3:
        notes += (f"Readings stand {step} hours apart, too far to judge single nights.",)
    return Record(
        start_hour=start,
        temp_c=temp_c,
        origin=np.where(np.isnan(temp_c), Origin.MISSING, Origin.OBSERVED).astype(np.uint8),
        rhum_pct=spread("rhum"),
        prcp_mm=spread("prcp"),
        step_hours=step,
        source=f"file {readings.file}",
        notes=readings.notes + notes,
        lowest_c=lowest_c,
        minimum_allowance_c=allowance_c,
    )


def _full_hours(readings: Readings) -> tuple[IntArray, tuple[str, ...]]:
    """Hours from 1970 of each reading, and what to note about those that stood beside one."""
    past = readings.seconds % 3600
    off = np.minimum(past, 3600 - past)
    beside = int(np.count_nonzero(off))
    if not beside:
        return readings.seconds // 3600, ()
    if not (off.max() <= NEAR_HOUR_S or np.all(past == past[0])):
        row = int(np.argmax(off > NEAR_HOUR_S))
        readings.refuse(
            row,
            f"the time {shown_time(readings.seconds[row])} UTC is not near a full hour. "
            "Keep one reading an hour, within 10 minutes of the full hour.",
        )
    if off.max() <= NEAR_HOUR_S:
        most = -(-int(off.max()) // 60)
        words = f"{readings.rows(beside)} up to {most} min off the full hour"
        return (readings.seconds + 1800) // 3600, (f"{words} counted as readings of that hour.",)
    note = f"All readings stand {past[0] // 60} min past the hour and were set on the hour"
    return (readings.seconds + 1799) // 3600, (f"{note} nearest to them.",)


def _merged(
    readings: Readings,
    columns: dict[str, FloatArray],
    hours: IntArray,
    lines: IntArray,
    firsts: IntArray,
) -> dict[str, FloatArray]:
    """The columns with one value an hour; `firsts` are the positions where a new hour begins."""
    merged = {}
    for name, values in columns.items():
        low, high = np.fmin.reduceat(values, firsts), np.fmax.reduceat(values, firsts)
        differing = np.flatnonzero(low < high)
        if differing.size:
            first = firsts[differing[0]]
            same_hour = first + np.flatnonzero(hours[first:] == hours[first])
            one = same_hour[~np.isnan(values[same_hour])][0]
            other = same_hour[values[same_hour] != values[one]]
            other = other[~np.isnan(values[other])][0]
            raise RecordError(
                f"{readings.file}, {readings.row_word}s {lines[one]} and {lines[other]}: the hour "
                f"{shown_time(hours[first] * 3600)} UTC is given twice with different {name} "
                f"({values[one]:g} and {values[other]:g}). If the times are clock time, write "
                "each with its offset, such as 2020-11-01 01:00-05:00; otherwise delete one."
            )
        merged[name] = high
    return merged


def relative_humidity(temp_c: FloatArray, dwpt_c: FloatArray) -> FloatArray:
    """
    Relative humidity, %, of air temperature and dew point, °C, over water.

    Source: FAO Irrigation and Drainage Paper 56 (Allen et al. 1998), equations 11 and 14.

    Examples
    --------
    >>> relative_humidity(np.array([20.0]), np.array([20.0])).item()
    100.0
    """

    def pressure(celsius: FloatArray) -> FloatArray:
        return np.exp(17.27 * celsius / (celsius + 237.3))

    return 100.0 * pressure(dwpt_c) / pressure(temp_c)
