"""Times as people and loggers write them: day and month in any order, in clock time."""

from __future__ import annotations

import re
from datetime import UTC, datetime, timedelta, timezone, tzinfo
from typing import TYPE_CHECKING
from zoneinfo import ZoneInfo, ZoneInfoNotFoundError

import numpy as np
from numpy.typing import NDArray

from suitability.errors import OptionError, RecordError
from suitability.weather.sources.readings import YEARS
from suitability.weather.sources.textfile import parse_seconds

if TYPE_CHECKING:
    from collections.abc import Sequence

    from suitability.weather.record import FloatArray

__all__ = ["nearest_to_hours", "note_short_years", "parse_clock_times", "parse_zone", "utc_seconds"]

IntArray = NDArray[np.int64]

HALF_HOUR_S = 1800
FIRST_OF_BEFORE = 69  # POSIX, strptime %y
WRITTEN = re.compile(
    r"(\d{1,4})([./-])(\d{1,2})\2(\d{1,4})[ T,]+(\d{1,2}):(\d{2})(?::(\d{2}))?(?:[.,]\d+)?"
    r"(?: ?([ap])\.?m\.?)?",
    re.IGNORECASE | re.ASCII,
)
OFFSET_AT_END = re.compile(r"\d(?:Z| ?UTC| ?GMT| ?[+-]\d{2}:?\d{2})$", re.IGNORECASE | re.ASCII)
FIXED_ZONE = re.compile(r"(?:UTC|GMT)?([+-])(\d{1,2})(?::?(\d{2}))?", re.IGNORECASE | re.ASCII)


def parse_zone(text: str) -> tzinfo:
    """
    The zone of a name, or of a fixed offset such as -08:00.

    Raises
    ------
    OptionError
        It is neither.
    """
    fixed = FIXED_ZONE.fullmatch(text.strip())
    if fixed:
        sign = -1 if fixed[1] == "-" else 1
        offset = sign * timedelta(hours=int(fixed[2]), minutes=int(fixed[3] or 0))
        if abs(offset) < timedelta(hours=15):
            return timezone(offset)
    try:
        return UTC if text.strip().upper() in {"UTC", "GMT", "Z"} else ZoneInfo(text.strip())
    except (ZoneInfoNotFoundError, ValueError, OSError) as reason:
        raise OptionError(
            f"{text!r} is no time zone; expected a name such as Europe/Lisbon, UTC, or a fixed "
            "offset such as -08:00."
        ) from reason


def parse_clock_times(
    texts: Sequence[str], lines: Sequence[int], file: str, time_format: str | None
) -> list[datetime]:
    """
    The moments written, without zone; those written with an offset are aware, in UTC.

    A year of two digits lies from 1969 to 2068, as POSIX has it.

    Without `time_format`, a year that comes first is followed by month and day; otherwise numbers
    above 12 tell day from month, or dots, which only days first have. If neither tells, the file
    is refused rather than guessed.

    Raises
    ------
    OptionError
        The declared format does not tell a time.
    RecordError
        A time cannot be read, its year cannot be, or day and month cannot be told apart.
    """
    if time_format is not None:
        check_time_format(time_format)
        return [
            _by_format(text, time_format, file, line)
            for text, line in zip(texts, lines, strict=True)
        ]
    found = [None if OFFSET_AT_END.search(text) else WRITTEN.fullmatch(text) for text in texts]
    month_first = _month_first([match for match in found if match], file)
    moments = []
    for text, match, line in zip(texts, found, lines, strict=True):
        if match is None:  # ISO with an offset, or nothing that can be read
            seconds = parse_seconds(text, file, line)
            _check_year(int(text.strip()[:4]), text, file, line)
            moments.append(datetime.fromtimestamp(seconds, UTC))
        else:
            moments.append(_moment(match, file, line, month_first=month_first))
    return moments


def _by_format(text: str, time_format: str, file: str, line: int) -> datetime:
    """A time in a declared format."""
    try:
        moment = datetime.strptime(text, time_format)  # noqa: DTZ007  (its zone is declared)
    except ValueError as reason:
        raise RecordError(
            f"{file}, line {line}: the time {text!r} is not written as {time_format!r}."
        ) from reason
    _check_year(moment.year, text, file, line)
    return moment if moment.tzinfo is None else moment.astimezone(UTC)


def check_time_format(time_format: str) -> None:
    """
    Refuse a format that does not tell day and hour.

    Raises
    ------
    OptionError
        A time written in it does not read back as the same hour.
    """
    known = datetime(2024, 12, 31, 18, tzinfo=UTC)
    try:
        back = datetime.strptime(known.strftime(time_format), time_format)  # noqa: DTZ007
    except (ValueError, re.error):
        back = datetime.min  # noqa: DTZ901  (not the hour)
    if back.replace(tzinfo=UTC) != known:
        raise OptionError(
            f"The format of time {time_format!r} does not tell day and hour; expected such as "
            "%d/%m/%Y %H:%M, with %m for the month's number and %M for minutes."
        )


def _check_year(year: int, text: str, file: str, line: int) -> None:
    """Refuse a year that only a slip of the pen can explain, before anything is reckoned with it.

    Raises
    ------
    RecordError
        It lies outside `YEARS`.
    """
    if not YEARS[0] <= year < YEARS[1]:
        raise RecordError(
            f"{file}, line {line}: the time {text!r} is outside the years {YEARS[0]} to "
            f"{YEARS[1]}. Mend the line."
        )


def _month_first(matches: Sequence[re.Match[str]], file: str) -> bool:
    """Whether the month stands before the day, where the year comes last."""
    late = [match for match in matches if len(match[1]) <= 2]
    day_first = any(int(match[1]) > 12 or match[2] == "." for match in late)
    month_first = any(int(match[3]) > 12 for match in late)
    if late and day_first == month_first:
        found = "both orders occur" if day_first else "no day above 12 tells"
        raise RecordError(
            f"{file}: day and month cannot be told apart in {late[0][0]!r} ({found}). Declare the "
            "format of time, such as %d/%m/%Y %H:%M."
        )
    return month_first


def _moment(match: re.Match[str], file: str, line: int, *, month_first: bool) -> datetime:
    """The moment of a time whose order is known."""
    first, second, third = int(match[1]), int(match[3]), int(match[4])
    if len(match[1]) == 4:
        year, month, day = first, second, third
    else:
        day, month = (second, first) if month_first else (first, second)
        year = third + _century(third) if len(match[4]) == 2 else third
    _check_year(year, match[0], file, line)
    hour = int(match[5])
    if match[8]:
        hour = hour % 12 + (12 if match[8].casefold() == "p" else 0)
    try:
        return datetime(year, month, day, hour, int(match[6]), int(match[7] or 0))  # noqa: DTZ001  (clock time)
    except ValueError as reason:
        raise RecordError(
            f"{file}, line {line}: the time {match[0]!r} cannot be read ({reason})."
        ) from reason


def _century(digits: int) -> int:
    """What a year of two digits is counted from: those from 69 on are of the century before."""
    return 1900 if digits >= FIRST_OF_BEFORE else 2000


def note_short_years(
    first: str, moments: Sequence[datetime], time_format: str | None
) -> tuple[str, ...]:
    """What to note where years are written with two digits, as the first time of a file tells."""
    match = WRITTEN.fullmatch(first)
    short = match is not None and len(match[1]) < 4 and len(match[4]) == 2
    if not (short if time_format is None else "%y" in time_format):
        return ()
    years = [moment.year for moment in moments]
    return (f"Years of two digits were read as {min(years)} to {max(years)}.",)


def utc_seconds(
    moments: Sequence[datetime], lines: Sequence[int], file: str, zone: tzinfo
) -> tuple[IntArray, tuple[str, ...]]:
    """
    Seconds from 1970-01-01 00:00 UTC of clock times, and what to note.

    Where clocks go back an hour stands twice: the second time is the one that does not come after
    the row before it. Files with the newest row first are read from their end.

    Raises
    ------
    RecordError
        A time falls in the hour that clocks leap over, so the logger does not change its clock.
    """
    backwards = len(moments) > 1 and _plain(moments[0]) > _plain(moments[-1])
    order = range(len(moments) - 1, -1, -1) if backwards else range(len(moments))
    seconds = np.empty(len(moments), np.int64)
    before = datetime.min.replace(tzinfo=UTC)
    repeated = {0: 0, 1: 0}
    for row in order:
        early = moments[row]
        if early.tzinfo is None:
            early = early.replace(tzinfo=zone)
            shift = _clock_shift(early)
            if shift > timedelta(0):
                raise RecordError(
                    f"{file}, line {lines[row]}: the time {early:%Y-%m-%d %H:%M} does not exist "
                    f"in {zone}, where clocks went forward. If the logger never changes its "
                    "clock, declare its zone as a fixed offset, such as +01:00."
                )
            if shift:
                fold = int(early.astimezone(UTC) <= before)
                repeated[fold] += 1
                early = early.replace(fold=fold)
        before = early.astimezone(UTC)
        seconds[row] = int(before.timestamp())
    lone = (
        "The hour that clocks repeat in autumn never stands twice: if the logger does not change "
        "its clock, declare its zone as a fixed offset."
    )
    return seconds, (lone,) if repeated[0] and not repeated[1] else ()


def _clock_shift(early: datetime) -> timedelta:
    """What the second reading of a clock time adds to its offset: nothing but at clock changes."""
    first, second = early.utcoffset(), early.replace(fold=1).utcoffset()
    assert first is not None
    assert second is not None
    return second - first


def _plain(moment: datetime) -> datetime:
    return moment.replace(tzinfo=None)


def nearest_to_hours(
    seconds: IntArray, temp_c: FloatArray
) -> tuple[IntArray, IntArray, tuple[str, ...]]:
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
