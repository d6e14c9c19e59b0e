"""What is to be done next: the moves of every year, in order of date, for the head of a page."""

from __future__ import annotations

from typing import TYPE_CHECKING

from suitability.advice.terms import Verdict
from suitability.answers import words
from suitability.answers.sheet import Agenda, Ahead, On, Section, Text
from suitability.answers.words import DAYS

if TYPE_CHECKING:
    from collections.abc import Iterable

    from suitability.advice.terms import Season

__all__ = ["WAYS", "Case", "agenda", "ahead_section", "move_ahead", "next_sentence"]

Case = tuple[str, Verdict, "Season | None", bool]  # name, verdict, season, whether in a room

TITLE = "Next moves"
NEXT_DAYS = 2  # of which a sentence tells
AT_ONCE = 4  # moves of one day that it names
SHOWN = 8  # of which each is a line on a phone, so that the first window holds them
WAYS = {False: ("out", "in"), True: ("moved there", "taken away")}  # of a spot in a room
NO_MOVES = "No group has a date of moving."


def ahead_section(cases: Iterable[Case]) -> Section:
    """
    The next moves of a page, which its script tells from the reader's day on.

    Parameters
    ----------
    cases
        Name, verdict and season of each group at each spot, and whether that is in a room.
    """
    rows = _moves_of(cases)
    return Section(name="next-moves", title=TITLE, lead=True, blocks=(agenda(rows),), on=On.PAGE)


def next_sentence(cases: Iterable[Case], day: str) -> str:
    """
    The next moves from a day on, in a sentence for a terminal; empty where nothing moves.

    Parameters
    ----------
    cases
        As of `ahead_section`.
    day
        From which they are told, such as "11-30".
    """
    rows = _moves_of(cases)
    if not rows:
        return ""
    later = [row for row in rows if row.day >= day]
    days = list(dict.fromkeys(row.day for row in (*later, *rows)))[:NEXT_DAYS]
    told = (
        f"{words.day_month(one)}: {_some(row.text for row in rows if row.day == one)}"
        for one in days
    )
    return f"Next moves, from {words.day_month(day)} on. {'. '.join(told)}."


def _some(texts: Iterable[str]) -> str:
    """The first of several, and how many more there are."""
    told = list(texts)
    more = f" and {len(told) - AT_ONCE} more" if len(told) > AT_ONCE else ""
    return ", ".join(told[:AT_ONCE]) + more


def _moves_of(cases: Iterable[Case]) -> list[Ahead]:
    """All moves of the year, by day."""
    rows = [
        move_ahead(day, name, way)
        for name, verdict, season, indoors in cases
        if verdict is Verdict.SEASONAL and season is not None and season.days < DAYS
        for day, way in zip((season.out, season.inn), WAYS[indoors], strict=True)
    ]
    return sorted(rows, key=lambda row: row.day)


def move_ahead(day: str, name: str, way: str) -> Ahead:
    """One move: its day, who, and which way, as in `WAYS`."""
    return Ahead(day=day, when=words.day_month(day, short=True), text=f"{name.strip()} {way}")


def agenda(rows: Iterable[Ahead], *, turned: bool = False) -> Agenda | Text:
    """
    Moves in their order; a sentence where there is none.

    Parameters
    ----------
    turned
        Whether they begin with a day that the page tells.
    """
    moves = tuple(rows)
    if not moves:
        return Text(sentences=(NO_MOVES,))
    more = f"{len(moves) - SHOWN} more moves of the year"
    return Agenda(rows=moves, shown=SHOWN, more=more, turned=turned)
