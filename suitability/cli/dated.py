"""The calendar that `moves` and `year` write: its first day, read from the clock unless given."""

from datetime import UTC, date, datetime, timedelta
from typing import TYPE_CHECKING

from suitability.errors import OptionError

if TYPE_CHECKING:
    from collections.abc import Callable

    from suitability.advice.growth_year import GrowthYearResult
    from suitability.cli.asking import Asked

__all__ = ["plan_phases", "read_first_day", "stand_here", "today_at"]

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


def plan_phases(asked: "Asked", room_c: float | None = None) -> "GrowthYearResult":
    """The weeks of growth and rest of the groups asked for."""
    from suitability.advice.growing_weeks import GroupCare, plan_growth
    from suitability.groups.words import read_words

    words = read_words(asked.catalogue)
    cared = [
        GroupCare(needs=needs, group=asked.catalogue.find(needs.key), words=words[needs.key])
        for needs in asked.needs
    ]
    return plan_growth(asked.record, asked.place, asked.spots, cared, asked.options, room_c=room_c)


def stand_here(asked: "Asked") -> "Callable[[str, str], bool]":
    """
    Whether a calendar is to hold a group, by spot and key.

    With a collection that has plants, and no groups named, only groups that stand at the spot.
    """
    plants = () if asked.collection is None or asked.by_name else asked.collection.plants
    named = {(plant.spot, plant.group_key) for plant in plants}
    standing = {
        (spot.name, needs.key)
        for spot in asked.spots
        for needs in asked.needs
        if {(spot.name, needs.key), (None, needs.key)} & named
    }
    return lambda spot, group: not standing or (spot, group) in standing
