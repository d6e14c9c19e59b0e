"""
Readings gathered block by block; those of minute logs become hours as they come.

A log that reads every few minutes is a better record than one reading an hour: the mean of each
hour tells its temperature, and the lowest reading its true minimum. Both are kept.
"""

from __future__ import annotations

import numpy as np
from msgspec import Struct
from msgspec.structs import replace
from numpy.typing import NDArray

from suitability.errors import RecordError
from suitability.weather.record import FloatArray
from suitability.weather.sources.readings import Readings, check_readings, shown_time

MINUTES_S = 600  # readings no farther apart than this make a minute log
FEWEST_READINGS, ENOUGH_READINGS = 24, 10_000  # that tell how far apart they stand
HALF_HOUR_S = 1800
OFTEN = 1.5  # times the readings an hour can have: the file gives times twice


class _Hours(Struct, frozen=True, kw_only=True):
    """Sums of some hours, one row each; `columns` has sum and count by name."""

    hours: NDArray[np.int64]
    lines: NDArray[np.int64]
    lowest_c: FloatArray
    columns: dict[str, tuple[FloatArray, NDArray[np.int64]]]


class Gathered:
    """
    The readings of a file so far.

    Minute logs are known by their first block: readings at most ten minutes apart. The reading of
    an hour is then the mean of those within half an hour of it, its rain their sum.
    """

    def __init__(self) -> None:
        self._parts: list[Readings] = []
        self._hours: list[_Hours] = []
        self._step_s: int | None = None

    def add(self, readings: Readings) -> None:
        """
        Add a block; those of a minute log are judged and summed at once.

        Raises
        ------
        RecordError
            A value cannot be true, or a moment of a minute log is given twice.
        """
        if not readings.seconds.size:
            return
        if not self._parts:
            self._step_s = _step_of(readings.seconds)
        if self._step_s is None:
            self._parts.append(readings)
            return
        check_readings(readings, whole=False)
        self._parts = [readings]  # for its words
        self._hours.append(_sum_hours(readings))

    def readings(self, *, nearest: bool = False) -> Readings | None:
        """
        All that was gathered, or None where there was nothing.

        Parameters
        ----------
        nearest
            Of readings between full hours those nearest to them are taken, however far apart they
            stand; else only where two or more an hour are usual.
        """
        if not self._parts:
            return None
        if self._step_s is not None:
            return self._of_hours(self._parts[-1], self._step_s)
        whole = self._whole()
        often = _step_of(whole.seconds, HALF_HOUR_S) is not None
        return _on_hours(whole) if nearest or often else whole

    def _whole(self) -> Readings:
        """All blocks as one."""
        first = self._parts[0]
        if len(self._parts) == 1:
            return first
        return replace(
            first,
            seconds=np.concatenate([part.seconds for part in self._parts]),
            temp_c=np.concatenate([part.temp_c for part in self._parts]),
            lines=np.concatenate([part.lines for part in self._parts]),
            rhum_pct=_joined([part.rhum_pct for part in self._parts]),
            prcp_mm=_joined([part.prcp_mm for part in self._parts]),
            dwpt_c=_joined([part.dwpt_c for part in self._parts]),
        )

    def _of_hours(self, first: Readings, step_s: int) -> Readings:
        """The hours of a minute log as readings."""
        hours = _merge(self._hours)
        most = OFTEN * 3600 / step_s
        counts = hours.columns["temp"][1]
        if counts.max() > most:
            at = int(counts.argmax())
            hour = shown_time(hours.hours[at] * 3600)
            raise RecordError(
                f"{first.file}, {first.row_word} {hours.lines[at]}: the hour {hour} UTC has "
                f"{counts[at]} readings, more than one in {step_s} s. Sort the file by time and "
                "keep each reading once."
            )

        def mean(name: str) -> FloatArray | None:
            if name not in hours.columns:
                return None
            total, number = hours.columns[name]
            means: FloatArray = np.round(total / np.maximum(number, 1), 6)
            return np.where(number > 0, means, np.nan)

        temp_c = mean("temp")
        assert temp_c is not None
        rain = hours.columns.get("prcp")
        note = (
            f"A reading every {_in_words(step_s)}: each hour is the mean of those within half an "
            f"hour of it{', its rain their sum' if rain else ''}, and its lowest is kept beside it."
        )
        return replace(
            first,
            seconds=hours.hours * 3600,
            temp_c=temp_c,
            lines=hours.lines,
            rhum_pct=mean("rhum"),
            prcp_mm=None if rain is None else np.where(rain[1] > 0, rain[0].round(6), np.nan),
            dwpt_c=mean("dwpt"),
            lowest_c=hours.lowest_c,
            notes=(*first.notes, note),
        )


def _joined(columns: list[FloatArray | None]) -> FloatArray | None:
    """One column of all blocks; each has it, or none."""
    given = [column for column in columns if column is not None]
    return np.concatenate(given) if given else None


def _in_words(step_s: int) -> str:
    return f"{step_s // 60} min" if step_s % 60 == 0 else f"{step_s} s"


def _step_of(seconds: NDArray[np.int64], most_s: int = MINUTES_S) -> int | None:
    """The usual distance of readings, s, if it is not larger than so much; else None."""
    if seconds.size < FEWEST_READINGS:
        return None
    steps = np.diff(np.unique(seconds[:ENOUGH_READINGS]))
    usual = int(np.median(steps)) if steps.size else most_s + 1
    return max(1, usual) if usual <= most_s else None


def _sum_hours(readings: Readings) -> _Hours:
    """The sums of a block by hour."""
    seconds, lines = readings.seconds, readings.lines
    columns = {**readings.columns(), "dwpt": readings.dwpt_c}
    given = {name: values for name, values in columns.items() if values is not None}
    if np.any(seconds[:-1] > seconds[1:]):
        order = np.argsort(seconds, kind="stable")
        seconds, lines = seconds[order], lines[order]
        given = {name: values[order] for name, values in given.items()}
    temp_c = given["temp"]
    _check_twins(readings, seconds, lines, temp_c)
    hours = (seconds + HALF_HOUR_S) // 3600
    firsts = np.flatnonzero(np.diff(hours, prepend=hours[0] - 1))
    sums = {}
    for name, values in given.items():
        known = ~np.isnan(values)
        total = np.add.reduceat(np.where(known, values, 0.0), firsts)
        sums[name] = total, np.add.reduceat(known.astype(np.int64), firsts)
    return _Hours(
        hours=hours[firsts],
        lines=lines[firsts],
        lowest_c=np.fmin.reduceat(temp_c, firsts),
        columns=sums,
    )


def _check_twins(
    readings: Readings, seconds: NDArray[np.int64], lines: NDArray[np.int64], temp_c: FloatArray
) -> None:
    """Refuse a moment of a sorted block that is given twice with different values."""
    with np.errstate(invalid="ignore"):
        wrong = (seconds[1:] == seconds[:-1]) & (np.abs(temp_c[1:] - temp_c[:-1]) > 0)
    if wrong.any():
        at = int(wrong.argmax())
        one, other = sorted((int(lines[at]), int(lines[at + 1])))
        raise RecordError(
            f"{readings.file}, {readings.row_word}s {one} and {other}: the moment "
            f"{shown_time(seconds[at])} UTC is given twice with different temp "
            f"({temp_c[at]:g} and {temp_c[at + 1]:g}); delete one."
        )


def _merge(parts: list[_Hours]) -> _Hours:
    """The hours of all blocks, each once; blocks share the hour at which they meet."""
    hours = np.concatenate([part.hours for part in parts])
    order = np.argsort(hours, kind="stable")
    hours = hours[order]
    firsts = np.flatnonzero(np.diff(hours, prepend=hours[0] - 1))
    columns = {}
    for name in parts[0].columns:
        total = np.concatenate([part.columns[name][0] for part in parts])[order]
        number = np.concatenate([part.columns[name][1] for part in parts])[order]
        columns[name] = np.add.reduceat(total, firsts), np.add.reduceat(number, firsts)
    return _Hours(
        hours=hours[firsts],
        lines=np.concatenate([part.lines for part in parts])[order][firsts],
        lowest_c=np.fmin.reduceat(np.concatenate([part.lowest_c for part in parts])[order], firsts),
        columns=columns,
    )


def _on_hours(readings: Readings) -> Readings:
    """The readings nearest to full hours, with the lowest of each hour where it has several."""
    rows, seconds, notes = nearest_to_hours(readings.seconds, readings.temp_c)
    lowest_c = lowest_of_hours(readings.seconds, readings.temp_c)

    def kept(values: FloatArray | None) -> FloatArray | None:
        return None if values is None else values[rows]

    return replace(
        readings,
        seconds=seconds,
        temp_c=readings.temp_c[rows],
        lines=readings.lines[rows],
        rhum_pct=kept(readings.rhum_pct),
        prcp_mm=kept(readings.prcp_mm),
        dwpt_c=kept(readings.dwpt_c),
        lowest_c=kept(lowest_c),
        notes=readings.notes + notes,
    )


def nearest_to_hours(
    seconds: NDArray[np.int64], temp_c: FloatArray
) -> tuple[NDArray[np.int64], NDArray[np.int64], tuple[str, ...]]:
    """
    Which readings to take as those of full hours, at most half an hour away.

    Returns
    -------
    rows : (hour)
        Positions of the readings taken. Readings of the same second are all taken, so that
        differing ones are still seen.
    seconds : (hour), s
        Their times, on the full hour; as they were where all stand at the same minute.
    notes
    """
    past = seconds % 3600
    if np.all(past == past[0]):
        return np.arange(seconds.size), seconds, ()
    hours = (seconds + HALF_HOUR_S) // 3600
    off = np.abs(seconds - hours * 3600)
    order = np.lexsort((off, np.isnan(temp_c), hours))
    starts = np.flatnonzero(np.diff(hours[order], prepend=hours[order[0]] - 1))
    firsts = order[starts]
    best = np.empty(seconds.size, np.int64)
    best[order] = seconds[firsts].repeat(np.diff([*starts, order.size]))
    rows = np.flatnonzero(best == seconds)
    unused = seconds.size - rows.size
    notes: tuple[str, ...] = (f"{unused} readings between full hours not used.",) if unused else ()
    furthest = int(off[rows].max())
    if furthest:
        notes += (f"Readings up to {-(-furthest // 60)} min off count as those of the full hour.",)
    return rows, hours[rows] * 3600, notes


def lowest_of_hours(seconds: NDArray[np.int64], temp_c: FloatArray) -> FloatArray | None:
    """
    The lowest of the readings within half an hour of the hour of each, (reading), °C.

    None where fewer than half of the hours have a second reading.
    """
    hours = (seconds + HALF_HOUR_S) // 3600
    order = np.argsort(hours, kind="stable")
    firsts = np.flatnonzero(np.diff(hours[order], prepend=hours[order[0]] - 1))
    numbers = np.diff(firsts, append=seconds.size)
    if 2 * np.count_nonzero(numbers > 1) < firsts.size:
        return None
    lowest = np.empty(seconds.size)
    lowest[order] = np.fmin.reduceat(temp_c[order], firsts).repeat(numbers)
    return lowest
