"""
A calendar of moves, or of care, as RFC 5545 has it: all-day events that other programs open.

The same answer and the same first day give the same bytes: no clock is read. `DTSTAMP`, which by
3.8.7.2 tells when an event was last revised, is the first day at 00:00 UTC, and `SEQUENCE` counts
its days, so that a later calendar supersedes an earlier one. A UID (version 5, as RFC 7986 5.3
recommends a UUID) hangs on position, spot, group, plant and kind, and not on dates.
"""

from __future__ import annotations

import uuid
from datetime import UTC, date, datetime, time, timedelta
from typing import TYPE_CHECKING

if TYPE_CHECKING:
    from collections.abc import Sequence

    from icalendar import Event

    from suitability.answers.calendar import CalendarEvent, CalendarSheet

SPACE = uuid.UUID("7d3f2c1e-5b0a-4c64-9a53-2f1d8e6b7c90")  # of our UIDs; never to be changed
EPOCH = date(2000, 1, 1)  # from which SEQUENCE counts days


def render_calendar(sheet: CalendarSheet) -> bytes:
    """The file; lines end with CR LF and are folded at 75 octets (3.1)."""
    from icalendar import Calendar  # noqa: PLC0415  (only for calendars)

    calendar = Calendar()
    calendar.add("prodid", "-//suitability//calendar//EN")
    calendar.add("version", "2.0")
    calendar.add("calscale", "GREGORIAN")
    calendar.add("name", sheet.name)
    calendar.add("x-wr-calname", sheet.name)
    calendar.add("description", sheet.about)
    for event in sheet.events:
        calendar.add_component(_event(event, sheet))
    lines: bytes = calendar.to_ical()
    return lines


def _event(told: CalendarEvent, sheet: CalendarSheet) -> Event:
    """An all-day event; its end is the day after the last (3.6.1), and it blocks no time."""
    from icalendar import Event  # noqa: PLC0415

    stamp = sheet.first_day
    event = Event()
    event.add("uid", _uid((sheet.latitude, sheet.longitude), told.identity))
    event.add("dtstamp", datetime.combine(stamp, time(), UTC))
    event.add("sequence", max((stamp - EPOCH).days, 0))
    event.add("dtstart", told.first)
    event.add("dtend", told.first + timedelta(days=told.days))
    event.add("summary", told.title)
    event.add("description", "\n".join(told.lines))
    event.add("transp", "TRANSPARENT")
    if told.where:
        event.add("location", told.where)
    if told.category:
        event.add("categories", [told.category])
    if told.years > 1:
        event.add("rrule", {"freq": "yearly", "count": told.years})
    return event


def _uid(angles: Sequence[float], identity: Sequence[str]) -> str:
    """Of a place to about a kilometre and of what happens there; the same in every export."""
    position = [f"{round(angle, 2) + 0.0:.2f}" for angle in angles]
    text = "\n".join([*position, *identity])
    return str(uuid.uuid5(SPACE, text.encode("ascii", "backslashreplace").decode("ascii")))
