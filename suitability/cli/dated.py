"""Days that are typed, or read from the clock: of a calendar, and of the year."""

import re
from calendar import monthrange
from datetime import UTC, date, datetime, timedelta

from suitability.errors import OptionError

MONTHS = 12
LEAP_YEAR = 2004  # has every day that a year can have
EARLIEST, LATEST = date(1900, 1, 1), date(2200, 12, 31)


def today_at(utc_offset_hours: float) -> date:
    """Today at the place, in standard time."""
    return (datetime.now(UTC) + timedelta(hours=utc_offset_hours)).date()


def read_calendar_start(text: str | None, ics: str | None) -> date | None:
    """
    The first day of a calendar: as `read_first_day`.

    Raises
    ------
    OptionError
        It is no date, too far away, or there is no calendar for it.
    """
    if text is not None and ics is None:
        raise OptionError("--from: tells the first day of a calendar; name its file with --ics.")
    return read_first_day(text)


def read_first_day(text: str | None) -> date | None:
    """
    The day that `--from` names; None if it is left to the clock.

    Raises
    ------
    OptionError
        It is no date, or too far away.
    """
    if text is None:
        return None
    day = read_day("--from", text)
    if not EARLIEST <= day <= LATEST:
        raise OptionError(f"--from {text}: expected a date from {EARLIEST} to {LATEST}.")
    return day


def day_of_year(text: str) -> int:
    """
    The day of the folded year of "MM-DD", 0 is 1 January; 29 February counts as the 28th.

    A year before it is left aside.

    Raises
    ------
    OptionError
        It is no day of the year.

    Examples
    --------
    >>> day_of_year("11-25"), day_of_year("2027-11-25")
    (328, 328)
    """
    form = re.fullmatch(r"\s*(?:\d{4}-)?(\d\d)-(\d\d)\s*", text)
    if form is None:
        raise OptionError(f"--on {text}: expected a day of the year MM-DD, such as 11-25.")
    day = _day(f"--on {text}", "MM-DD", LEAP_YEAR, *map(int, form.groups()))
    number = day.timetuple().tm_yday - 1
    return number - (number >= 59)


def read_day(option: str, text: str) -> date:
    """
    The day of the calendar that is written "YYYY-MM-DD".

    Raises
    ------
    OptionError
        It is none; the sentence says whether its form, its month or its day is wrong.
    """
    form = re.fullmatch(r"\s*(?!0000)(\d{4})-(\d\d)-(\d\d)\s*", text)
    if form is None:
        raise OptionError(f"{option} {text}: expected a date YYYY-MM-DD, such as 2027-03-01.")
    return _day(f"{option} {text}", "YYYY-MM-DD", *map(int, form.groups()))


def _day(said: str, form: str, year: int, month: int, day: int) -> date:
    """A day that exists, of an option with its value."""
    if not 1 <= month <= MONTHS:
        raise OptionError(f"{said}: there is no month {month} (it is written {form}).")
    last = monthrange(year, month)[1]
    if not 1 <= day <= last:
        raise OptionError(
            f"{said}: that month has {last} days and no day {day} (it is written {form})."
        )
    return date(year, month, day)
