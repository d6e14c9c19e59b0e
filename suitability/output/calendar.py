"""
The calendar of moves and phases as RFC 5545 has it: all-day events that other programs open.

The same answer and the same first day give the same bytes: no clock is read. `DTSTAMP`, which by
3.8.7.2 tells when an event was last revised, is the first day at 00:00 UTC, and `SEQUENCE` counts
its days, so that a later calendar supersedes an earlier one. A UID (version 5, as RFC 7986 5.3
recommends a UUID) hangs on position, spot, group, plant and kind, and not on dates.
"""

from __future__ import annotations

import uuid
from datetime import UTC, date, datetime, time, timedelta
from typing import TYPE_CHECKING

from suitability.advice.occasions import REPEATED_YEARS, OccasionKind
from suitability.answers import words
from suitability.output.calendar_words import (
    about_lines,
    occasion_lines,
    occasion_title,
    renewal_lines,
)

if TYPE_CHECKING:
    from collections.abc import Sequence

    from icalendar import Event

    from suitability.advice.growth_year import GrowthYearResult
    from suitability.advice.moves_result import MovesResult
    from suitability.advice.occasions import Occasion
    from suitability.places import Place
    from suitability.units import TemperatureUnit

__all__ = ["render_calendar"]

SPACE = uuid.UUID("7d3f2c1e-5b0a-4c64-9a53-2f1d8e6b7c90")  # of our UIDs; never to be changed
EPOCH = date(2000, 1, 1)  # from which SEQUENCE counts days
CATEGORIES = {
    OccasionKind.OUT: "move",
    OccasionKind.WATCH_OUT: "watch",
    OccasionKind.IN: "move",
    OccasionKind.WATCH_IN: "watch",
    OccasionKind.RESTING: "rest",
}


def render_calendar(
    occasions: Sequence[Occasion],
    moves: MovesResult | None,
    growth: GrowthYearResult | None,
    *,
    first_day: date,
    units: TemperatureUnit,
) -> bytes:
    """
    One calendar with an event for each occasion, one that says what is behind it, and a reminder.

    Lines end with CR LF and are folded at 75 octets (3.1).

    Parameters
    ----------
    occasions
        As `list_occasions` gives them for the same results and day.
    moves, growth
        At least one; where both are given they are of the same place and record.
    first_day
        The day the calendar begins, at the place.
    """
    from icalendar import Calendar  # noqa: PLC0415  (only for calendars)

    result = moves if moves is not None else growth
    assert result is not None
    place = result.place
    name = f"Plants at {words.clean(place.name, 80)}"
    calendar = Calendar()
    calendar.add("prodid", "-//suitability//calendar of moves//EN")
    calendar.add("version", "2.0")
    calendar.add("calscale", "GREGORIAN")
    calendar.add("name", name)
    calendar.add("x-wr-calname", name)
    about = about_lines(moves, growth, units)
    calendar.add("description", about[0])
    calendar.add_component(
        _event(place, ("about",), (first_day, 1), (f"About: {name}", about), first_day)
    )
    spots = len({one.spot for one in occasions})
    for one in occasions:
        identity = (one.spot.casefold(), one.group, one.plant, one.kind.value, str(one.number))
        event = _event(
            place,
            identity,
            (one.first, one.days),
            (
                occasion_title(one, spots=spots),
                occasion_lines(one, result.settings.promise, units),
            ),
            first_day,
        )
        spot, where = words.clean(one.spot, 60), words.clean(place.name, 80)
        event.add("location", f"{spot}, {where}" if spot else where)
        event.add("categories", [CATEGORIES.get(one.kind, "feed")])
        if one.repeats:
            event.add("rrule", {"freq": "yearly", "count": REPEATED_YEARS})
        calendar.add_component(event)
    title = f"Make the calendar anew: {name}"
    again = first_day + timedelta(days=365)
    calendar.add_component(
        _event(place, ("renewal",), (again, 1), (title, renewal_lines()), first_day)
    )
    lines: bytes = calendar.to_ical()
    return lines


def _event(
    place: Place,
    identity: Sequence[str],
    span: tuple[date, int],
    texts: tuple[str, Sequence[str]],
    stamp: date,
) -> Event:
    """
    An all-day event; its end is the day after the last (3.6.1), and it blocks no time.

    Parameters
    ----------
    span
        First day and number of days.
    texts
        Title, and the lines of the description.
    """
    from icalendar import Event  # noqa: PLC0415

    event = Event()
    event.add("uid", _uid(place, identity))
    event.add("dtstamp", datetime.combine(stamp, time(), UTC))
    event.add("sequence", max((stamp - EPOCH).days, 0))
    event.add("dtstart", span[0])
    event.add("dtend", span[0] + timedelta(days=span[1]))
    event.add("summary", texts[0])
    event.add("description", "\n".join(texts[1]))
    event.add("transp", "TRANSPARENT")
    return event


def _uid(place: Place, identity: Sequence[str]) -> str:
    """Of a place to about a kilometre and of what happens there; the same in every export."""
    position = [f"{round(angle, 2) + 0.0:.2f}" for angle in (place.latitude, place.longitude)]
    text = "\n".join([*position, *identity])
    return str(uuid.uuid5(SPACE, text.encode("ascii", "backslashreplace").decode("ascii")))
