"""What is to be done next: the moves of every year, in order of date, for the head of a page."""

from __future__ import annotations

from typing import TYPE_CHECKING

from suitability.advice.terms import Verdict, dates_help
from suitability.answers import words
from suitability.answers.sheet import Agenda, Ahead, On, Section, Text
from suitability.answers.words import DAYS
from suitability.brief import first_of

if TYPE_CHECKING:
    from collections.abc import Iterable, Iterator

    from suitability.advice.growth_year import GrowthYear
    from suitability.advice.moves import Move
    from suitability.advice.result import Finding
    from suitability.advice.terms import Season

Case = tuple[str, Verdict, "Season | None", bool]  # name, verdict, season, whether in a room

TITLE = "Next moves"
NEXT_DAYS = 2  # of which a sentence tells
AT_ONCE = 4  # moves of one day that it names
INSIDE = 8  # names of those inside by now
SHOWN = 8  # of which each is a line on a phone, so that the first window holds them
WAYS = {False: ("out", "in"), True: ("moved there", "taken away")}  # of a spot in a room
NO_MOVES = "No group has a date of moving."


def case_of(name: str, one: Finding | Move | GrowthYear) -> Case:
    """Whose moves are told; of one that no dates help, none are."""
    return name, one.verdict, one.season if dates_help(one) else None, one.indoors


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
    Who belongs inside by a day and the next moves from it on, for a terminal; empty without moves.

    Parameters
    ----------
    cases
        As of `ahead_section`.
    day
        From which they are told, such as "11-30".
    """
    told = list(cases)
    rows = _moves_of(told)
    if not rows:
        return ""
    inside = [
        name for name, season, indoors in _moving(told) if not indoors and _is_over(season, day)
    ]
    by_now = f"Inside by now: {first_of(inside, INSIDE)}. " if inside else ""
    later = [row for row in rows if row.day >= day]
    days = list(dict.fromkeys(row.day for row in (*later, *rows)))[:NEXT_DAYS]
    moves = (
        f"{words.day_month(one)}: {first_of([row.text for row in rows if row.day == one], AT_ONCE)}"
        for one in days
    )
    return f"{by_now}Next moves, from {words.day_month(day)} on. {'. '.join(moves)}."


def _moves_of(cases: Iterable[Case]) -> list[Ahead]:
    """All moves of the year, by day."""
    rows = [
        move_ahead(day, name, way)
        for name, season, indoors in _moving(cases)
        for day, way in zip((season.out, season.inn), WAYS[indoors], strict=True)
    ]
    return sorted(rows, key=lambda row: row.day)


def _moving(cases: Iterable[Case]) -> Iterator[tuple[str, Season, bool]]:
    """Name, season and whether in a room, of those that move."""
    for name, verdict, season, indoors in cases:
        if verdict is Verdict.SEASONAL and season is not None and season.days < DAYS:
            yield name, season, indoors


def _is_over(season: Season, day: str) -> bool:
    """Whether a day lies outside a season, whose last day is the one before it is carried in."""
    if season.out <= season.inn:
        return not season.out <= day < season.inn
    return season.inn <= day < season.out


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
