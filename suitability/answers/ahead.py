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

__all__ = ["WAYS", "agenda", "ahead_section", "move_ahead"]

TITLE = "Next moves"
SHOWN = 8  # of which each is a line on a phone, so that the first window holds them
WAYS = {False: ("out", "in"), True: ("moved there", "taken away")}  # of a spot in a room
NO_MOVES = "No group has a date of moving."


def ahead_section(cases: Iterable[tuple[str, Verdict, Season | None, bool]]) -> Section:
    """
    The next moves of a page, which its script tells from the reader's day on.

    Parameters
    ----------
    cases
        Name, verdict and season of each group at each spot, and whether that is in a room.
    """
    rows = [
        move_ahead(day, name, way)
        for name, verdict, season, indoors in cases
        if verdict is Verdict.SEASONAL and season is not None and season.days < DAYS
        for day, way in zip((season.out, season.inn), WAYS[indoors], strict=True)
    ]
    rows.sort(key=lambda row: row.day)
    return Section(name="next-moves", title=TITLE, lead=True, blocks=(agenda(rows),), on=On.PAGE)


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
