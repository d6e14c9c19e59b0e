"""
Lists and results in one line; of results, as whoever looks at them in Python: what, where, years.

A `repr` that printed every field of an answer would fill screens. Nothing is computed here, and no
words are chosen: these are values of fields, in the order in which one asks for them.
"""

from datetime import datetime, timedelta
from typing import TYPE_CHECKING, Any

if TYPE_CHECKING:
    from collections.abc import Sequence

MONTHS = (
    "January", "February", "March", "April", "May", "June",
    "July", "August", "September", "October", "November", "December",
)  # fmt: skip
MOST_ROWS = 3  # that are told by name


def joined(parts: "Sequence[str]", last: str = "and") -> str:
    """
    A list in a sentence; empty for none.

    Examples
    --------
    >>> joined(["a", "b", "c"]), joined(["a", "b"], "or"), joined(["a"])
    ('a, b and c', 'a or b', 'a')
    """
    return f" {last} ".join(filter(None, (", ".join(parts[:-1]), *parts[-1:])))


def first_of(parts: "Sequence[str]", most: int) -> str:
    """
    The first of a list, and how many more there are.

    Examples
    --------
    >>> first_of(["a", "b", "c"], 2), first_of(["a", "b"], 2)
    ('a, b and 1 more', 'a, b')
    """
    more = f" and {len(parts) - most} more" if len(parts) > most else ""
    return ", ".join(parts[:most]) + more


def brief(result: Any) -> str | None:
    """
    One line for a row (a group at a spot) or a whole answer; None for anything smaller.

    Parameters
    ----------
    result
        Any result; it is taken for what the fields make of it.
    """
    row = isinstance(getattr(result, "spot", None), str) and hasattr(result, "group")
    if row:
        return f"<{type(result).__name__} {brief_row(result)}>"
    if not hasattr(result, "schema_version") or not (where := _where(result)):
        return None
    rows = _rows(result)
    if rows is None:
        spot = getattr(getattr(result, "spot", None), "name", None)
        parts = [getattr(result, "group", None), spot and f"at {spot}", _verdict(result)]
        told = " ".join(filter(None, parts))
    else:
        more = [f"{len(rows) - MOST_ROWS} more"] if len(rows) > MOST_ROWS else []
        placed = len(getattr(result, "places", ())) > 1
        named = [brief_row(row, placed=placed) for row in rows[:MOST_ROWS]]
        told = "; ".join([*named, *more]) or "nothing"
    return f"<{type(result).__name__} {where}: {told}>"


def brief_row(row: Any, *, placed: bool = True) -> str:
    """
    A group, or the plants of it, at a spot, with what is known of verdict, season and years.

    Parameters
    ----------
    row
    placed
        Whether its place is named, where it has one of its own.
    """
    who = ", ".join(row.plants) or row.group
    place = getattr(row, "place", None)
    told = f"{who} at {row.spot}" + (f", {place}" if placed and isinstance(place, str) else "")
    season = getattr(row, "season", None)
    counted = getattr(row, "years_counted", None)
    parts = [
        _verdict(row),
        f"{season.out} to {season.inn}" if season is not None and season.days < 365 else "",
        f"kept by {row.years_kept} of {counted} years" if counted else "",
    ]
    return ", ".join(filter(None, [f"{told} {parts[0]}".rstrip(), *parts[1:]]))


def _verdict(result: Any) -> str:
    return str(getattr(result, "verdict", None) or "")


def _rows(result: Any) -> tuple[Any, ...] | None:
    """What the answer has one of for each group and spot; None where it is of one alone."""
    return getattr(result, "results", getattr(result, "cards", None))


def _where(result: Any) -> str:
    """Names of its places, and years of its record in standard time where it says them."""
    places = getattr(result, "places", None) or [getattr(result, "place", None)]
    names = ", ".join(place.name for place in places if hasattr(place, "name"))
    period = getattr(getattr(result, "record", None), "period", None)
    if not names or period is None:
        return names
    return f"{names}, {years_of(period.start, period.end, places[0].utc_offset_hours)}"


def years_of(start: str, end: str, utc_offset_hours: float) -> str:
    """
    The calendar years of a period, local standard time.

    Hours of a year at its ends do not count: a record in UTC begins and ends within one.

    Parameters
    ----------
    start, end
        In UTC, as results have them.
    utc_offset_hours : h

    Examples
    --------
    >>> years_of("2013-01-01T00:00Z", "2023-01-01T00:00Z", -8.0)
    '2013 to 2022'
    """
    local, half_a_day = timedelta(hours=utc_offset_hours), timedelta(hours=12)
    first = (datetime.fromisoformat(start) + local + half_a_day).year
    last = (datetime.fromisoformat(end) + local - half_a_day).year
    return f"{first}" if first == last else f"{first} to {last}"
