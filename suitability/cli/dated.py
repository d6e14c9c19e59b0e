"""Days that are typed, or read from the clock: of a calendar, and of the year."""

from datetime import UTC, date, datetime, timedelta

from suitability.errors import OptionError

__all__ = ["day_of_year", "read_first_day", "today_at"]

EARLIEST, LATEST = date(1900, 1, 1), date(2200, 12, 31)


def today_at(utc_offset_hours: float) -> date:
    """Today at the place, in standard time."""
    return (datetime.now(UTC) + timedelta(hours=utc_offset_hours)).date()


def read_first_day(text: str | None, ics: str | None) -> date | None:
    """
    The day that `--from` names; None if it is left to the clock.

    Raises
    ------
    OptionError
        It is no date, too far away, or there is no calendar for it.
    """
    if text is None:
        return None
    if ics is None:
        raise OptionError("--from: tells the first day of a calendar; name its file with --ics.")
    try:
        day = date.fromisoformat(text.strip())
    except ValueError:
        raise OptionError(f"--from {text}: expected a date such as 2027-03-01.") from None
    if not EARLIEST <= day <= LATEST:
        raise OptionError(f"--from {text}: expected a date from {EARLIEST} to {LATEST}.")
    return day


def day_of_year(text: str) -> int:
    """
    The day of the folded year of "MM-DD", 0 is 1 January; 29 February counts as the 28th.

    Raises
    ------
    OptionError
        It is no day of the year.
    """
    try:
        day = datetime.strptime(f"2004-{text.strip()}", "%Y-%m-%d").replace(tzinfo=UTC)
    except ValueError:
        raise OptionError(
            f"--on {text}: expected a day of the year MM-DD, such as 11-25."
        ) from None
    number = day.timetuple().tm_yday - 1
    return number - (number >= 59)
