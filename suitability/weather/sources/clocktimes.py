"""
Times as people and loggers write them: day and month in any order, in clock time.

A log of minutes has a million times but few days and few times of day, so each of these is parsed
once, and zones are asked once a day but for the days on which clocks change.
"""

from __future__ import annotations

import re
from collections.abc import Sequence
from contextlib import suppress
from datetime import UTC, date, datetime, time, timedelta, timezone, tzinfo
from typing import NoReturn
from zoneinfo import ZoneInfo, ZoneInfoNotFoundError

import numpy as np
from msgspec import Struct
from numpy.typing import NDArray

from suitability.errors import OptionError, RecordError
from suitability.weather.sources.readings import YEARS
from suitability.weather.sources.textfile import parse_seconds

IntArray = NDArray[np.int64]

FIRST_OF_BEFORE = 69  # POSIX, strptime %y
TELLS_YEAR = re.compile("%[YyGcx]")
PARTS = re.compile(r"([^ T,]*)[ T,]+(.*)", re.DOTALL)
DAY = re.compile(r"(\d{1,4})([./-])(\d{1,2})\2(\d{1,4})", re.ASCII)
CLOCK = re.compile(
    r"(\d{1,2}):(\d{2})(?::(\d{2}))?(?:[.,]\d+)?(?: ?([ap])\.?m\.?)?", re.IGNORECASE | re.ASCII
)
DAY_S = 86400
EPOCH_DAY = date(1970, 1, 1).toordinal()
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


class ClockTimes(Struct, frozen=True, kw_only=True):
    """
    Moments as written.

    Attributes
    ----------
    seconds : (row), s
        From 1970-01-01 00:00 by the clock; of UTC where `known`.
    known : (row)
        Written with an offset, so that no zone has to be declared.
    month_first
        Whether the month stands before the day; None where no time told.
    short
        Whether years are written with two digits.
    """

    seconds: IntArray
    known: NDArray[np.bool_]
    month_first: bool | None = None
    short: bool = False


def parse_clock_times(
    texts: Sequence[str],
    lines: IntArray,
    file: str,
    time_format: str | None,
    *,
    month_first: bool | None = None,
) -> ClockTimes:
    """
    The moments written; those written with an offset are of UTC.

    A year of two digits lies from 1969 to 2068, as POSIX has it.

    Without `time_format`, a year that comes first is followed by month and day; otherwise numbers
    above 12 tell day from month, or dots, which only days first have. If neither tells, the file
    is refused rather than guessed.

    Parameters
    ----------
    month_first
        What an earlier part of the file told of the order.

    Raises
    ------
    OptionError
        The declared format does not tell a time.
    RecordError
        A time cannot be read, its year cannot be, or day and month cannot be told apart.
    """
    if time_format is not None:
        return _by_format(texts, lines, file, time_format)
    parts = [PARTS.fullmatch(text) for text in texts]
    days = [match[1] if match else "" for match in parts]
    clocks = [match[2] if match else "" for match in parts]
    found = {day: DAY.fullmatch(day) for day in set(days)}
    month_first = _month_first([match for match in found.values() if match], file, told=month_first)
    of_day = {day: _day(match, month_first=bool(month_first)) for day, match in found.items()}
    of_clock = {clock: _second_of_day(clock) for clock in set(clocks)}
    seconds = np.zeros(len(texts), np.int64)
    known = np.zeros(len(texts), np.bool_)
    for row, (day, clock) in enumerate(zip(days, clocks, strict=True)):
        first, second = of_day[day], of_clock[clock]
        if second is not None and isinstance(first, int):
            seconds[row] = first * DAY_S + second
        elif second is not None and isinstance(first, str):
            _refuse(texts[row], file, int(lines[row]), first)
        else:  # ISO with an offset, or nothing that can be read
            utc = parse_seconds(texts[row], file, int(lines[row]))
            _check_year(int(texts[row].strip()[:4]), texts[row], file, int(lines[row]))
            seconds[row], known[row] = int(utc // 1), True
    short = any(match and len(match[1]) < 4 and len(match[4]) == 2 for match in found.values())
    return ClockTimes(seconds=seconds, known=known, month_first=month_first, short=short)


def _refuse(text: str, file: str, line: int, reason: str) -> NoReturn:
    raise RecordError(f"{file}, line {line}: the time {text!r} {reason}")


def _month_first(matches: Sequence[re.Match[str]], file: str, *, told: bool | None) -> bool | None:
    """Whether the month stands before the day, where the year comes last; None without such."""
    late = [match for match in matches if len(match[1]) <= 2]
    if not late:
        return told
    day_first = told is False or any(int(match[1]) > 12 or match[2] == "." for match in late)
    month_first = told is True or any(int(match[3]) > 12 for match in late)
    if day_first == month_first:
        found = "both orders occur" if day_first else "no day above 12 tells"
        raise RecordError(
            f"{file}: day and month cannot be told apart in {late[0][0]!r} ({found}). Declare the "
            "format of time, such as %d/%m/%Y %H:%M."
        )
    return month_first


def _day(match: re.Match[str] | None, *, month_first: bool) -> int | str | None:
    """Days from 1970-01-01 of a date; why it is none; None if it is not written as one."""
    if match is None:
        return None
    first, second, third = int(match[1]), int(match[3]), int(match[4])
    if len(match[1]) == 4:
        year, month, day = first, second, third
    else:
        day, month = (second, first) if month_first else (first, second)
        year = third + _century(third) if len(match[4]) == 2 else third
    if not YEARS[0] <= year < YEARS[1]:
        return f"is outside the years {YEARS[0]} to {YEARS[1]}. Mend the line."
    try:
        return date(year, month, day).toordinal() - EPOCH_DAY
    except ValueError as reason:
        return f"cannot be read ({reason})."


def _century(digits: int) -> int:
    """What a year of two digits is counted from: those from 69 on are of the century before."""
    return 1900 if digits >= FIRST_OF_BEFORE else 2000


def _second_of_day(text: str) -> int | None:
    """Seconds from midnight of a time of day, None if it is not written as one."""
    match = CLOCK.fullmatch(text)
    if match is None:
        return None
    hour = int(match[1])
    if match[4]:
        hour = hour % 12 + (12 if match[4].casefold() == "p" else 0)
    try:
        clock = time(hour, int(match[2]), int(match[3] or 0))
    except ValueError:
        return None
    return clock.hour * 3600 + clock.minute * 60 + clock.second


def _by_format(texts: Sequence[str], lines: IntArray, file: str, time_format: str) -> ClockTimes:
    """Times in a declared format."""
    check_time_format(time_format)
    day_format, _, clock_format = time_format.partition(" ")
    apart = _is_apart(day_format, clock_format)
    moments: dict[str, datetime] = {}

    def parse(text: str, style: str, row: int) -> datetime:
        if text not in moments:
            try:
                moments[text] = datetime.strptime(text, style)  # noqa: DTZ007
            except ValueError as reason:
                raise RecordError(
                    f"{file}, line {lines[row]}: the time {texts[row]!r} is not written as "
                    f"{time_format!r}."
                ) from reason
        return moments[text]

    seconds = np.zeros(len(texts), np.int64)
    known = np.zeros(len(texts), np.bool_)
    for row, text in enumerate(texts):
        if apart:
            day, _, clock = text.partition(" ")
            moment = parse(day, day_format, row)
            of_day = parse(clock, clock_format, row)
            second = of_day.hour * 3600 + of_day.minute * 60 + of_day.second
        else:
            moment, second = parse(text, time_format, row), 0
        _check_year(moment.year, text, file, int(lines[row]))
        known[row] = moment.tzinfo is not None
        aware = moment if known[row] else moment.replace(tzinfo=UTC)
        seconds[row] = int(aware.timestamp() // 1) + second
    return ClockTimes(seconds=seconds, known=known, short="%y" in time_format)


def _is_apart(day_format: str, clock_format: str) -> bool:
    """Whether a format tells the day before its first space and nothing but the clock after it."""
    of_day, of_clock = (set(re.findall(r"%(.)", part)) for part in (day_format, clock_format))
    return bool(of_clock) and of_clock <= set("HIMSp") and not of_day & set("HIMSpfzZcX")


def check_time_format(time_format: str) -> None:
    """
    Refuse a format that does not tell day and hour.

    Raises
    ------
    OptionError
        A time written in it does not read back as the same hour.
    """
    known = datetime(2024, 12, 31, 18, tzinfo=UTC)
    back = datetime.min  # noqa: DTZ901  (not the hour)
    if TELLS_YEAR.search(time_format.replace("%%", "")):  # Python warns of days that no year tells
        with suppress(ValueError, re.error):
            back = datetime.strptime(known.strftime(time_format), time_format)  # noqa: DTZ007
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
        _refuse(text, file, line, f"is outside the years {YEARS[0]} to {YEARS[1]}. Mend the line.")


class UtcClock:
    """
    Clock times taken to UTC, one part of a file after another.

    Where clocks go back an hour stands twice: the second time is the one that does not come after
    the row before it. The earliest row comes first.
    """

    def __init__(self, zone: tzinfo, file: str) -> None:
        self._zone, self._file = zone, file
        self._last: int | None = None
        self._repeated = [0, 0]

    def seconds(self, times: ClockTimes, lines: IntArray) -> IntArray:
        """
        Seconds from 1970-01-01 00:00 UTC of the next part, (row).

        Raises
        ------
        RecordError
            A time falls in the hour that clocks leap over: the logger does not change its clock.
        """
        offsets, changing = _offsets_of_days(times.seconds, times.known, self._zone)
        seconds = times.seconds - offsets
        for row in np.flatnonzero(changing).tolist():
            last = int(seconds[row - 1]) if row else self._last
            seconds[row] = self._of_changing(int(times.seconds[row]), int(lines[row]), last)
        self._last = int(seconds[-1])
        return seconds

    def _of_changing(self, second: int, line: int, last: int | None) -> int:
        """The second of UTC of a clock time on a day on which clocks change."""
        clock = datetime.fromtimestamp(second, UTC).replace(tzinfo=self._zone)
        shift = _clock_shift(clock)
        if shift > timedelta(0):
            raise RecordError(
                f"{self._file}, line {line}: the time {clock:%Y-%m-%d %H:%M} does not exist "
                f"in {self._zone}, where clocks went forward. If the logger never changes its "
                "clock, declare its zone as a fixed offset, such as +01:00."
            )
        if shift:
            fold = int(last is not None and int(clock.timestamp()) <= last)
            self._repeated[fold] += 1
            clock = clock.replace(fold=fold)
        return int(clock.timestamp())

    def notes(self) -> tuple[str, ...]:
        """What to note of all parts together."""
        lone = (
            "The hour that clocks repeat in autumn never stands twice: if the logger does not "
            "change its clock, declare its zone as a fixed offset."
        )
        first, second = self._repeated
        return (lone,) if first and not second else ()


def is_backwards(times: ClockTimes) -> bool:
    """Whether the newest row comes first."""
    return bool(times.seconds[0] > times.seconds[-1])


def _offsets_of_days(
    seconds: IntArray, known: NDArray[np.bool_], zone: tzinfo
) -> tuple[IntArray, NDArray[np.bool_]]:
    """What to take from each clock time, s, and which stand on days on which clocks change."""
    days, day_at = np.unique(seconds // DAY_S, return_inverse=True)
    offsets = np.zeros(days.size, np.int64)
    changing = np.zeros(days.size, np.bool_)
    for at, day in enumerate(days.tolist()):
        starts = ((day + more) * DAY_S for more in (0, 1))
        ends = [datetime.fromtimestamp(start, UTC).replace(tzinfo=zone) for start in starts]
        first, last = (end.utcoffset() for end in ends)
        assert first is not None
        offsets[at] = int(first.total_seconds())
        changing[at] = first != last or any(map(_clock_shift, ends))
    return np.where(known, 0, offsets[day_at]), ~known & changing[day_at]


def _clock_shift(early: datetime) -> timedelta:
    """What the second reading of a clock time adds to its offset: nothing but at clock changes."""
    first, second = early.utcoffset(), early.replace(fold=1).utcoffset()
    assert first is not None
    assert second is not None
    return second - first
