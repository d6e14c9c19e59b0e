"""
The occasions of a grower's calendar: moves, weeks to watch, starts of phases, on dated days.

Days of the year become dates: each occasion stands at its first coming whose last day is not past.
Nothing is decided here; dates and odds are those of the moves and of the weeks.
"""

from collections import Counter
from collections.abc import Iterator
from datetime import date, timedelta
from enum import StrEnum
from typing import Any

from msgspec.structs import replace

from suitability.advice.growth_year import Change, GrowthYear, GrowthYearResult, Phase, PhaseRun
from suitability.advice.moves import Move, MoveDate, MovesResult, Tonight
from suitability.advice.terms import Whose

HARDENING_DAYS = 14
REPEATED_YEARS = 5  # the farthest for which the moves state the odds before ten


class OccasionKind(StrEnum):
    """What an occasion is; the values are part of its identity in a calendar."""

    OUT = "out"
    WATCH_OUT = "watch-out"
    IN = "in"
    WATCH_IN = "watch-in"
    GROWING = "growing"
    SLOWING = "slowing"
    RESTING = "resting"
    WAKING = "waking"


class Occasion(Whose, frozen=True, kw_only=True):
    """
    One occasion of a group at a spot, or of plants of it there.

    Attributes
    ----------
    number
        Counts from 1 where a kind comes several times a year to the same.
    first, days
        First day and number of days; the last one is included.
    repeats
        Whether the same days may be said of the years after: not for a plant in a passing state,
        and not where fewer than ten years stand behind them.
    move, moved
        The moves of the group and the date of them; None for a phase.
    year, change, run
        The calendar of the group, the change, and the weeks that it begins; None for a move.
    rest_ends
        The phase before was the rest.
    by_heat
        In most years the night beyond this date that first forbids it is one of heat, not of cold.
    tonight
        When it comes in for the night; None where it is not known.
    """

    kind: OccasionKind
    number: int
    first: date
    days: int
    repeats: bool
    move: Move | None = None
    moved: MoveDate | None = None
    year: GrowthYear | None = None
    change: Change | None = None
    run: PhaseRun | None = None
    rest_ends: bool = False
    by_heat: bool = False
    tonight: Tonight | None = None


def list_occasions(result: MovesResult | GrowthYearResult, first_day: date) -> tuple[Occasion, ...]:
    """
    All occasions of moves or of care, in the order of their first days.

    A group without moving dates has no move here, and one without a calendar no phase.

    Parameters
    ----------
    first_day
        At the place. An occasion that is over by then stands a year later.
    """
    found: list[Occasion] = []
    for row in result.results:
        found += _of_move(row, first_day) if isinstance(row, Move) else _of_year(row, first_day)
    return tuple(sorted(_numbered(found), key=lambda one: (one.first, one.spot, one.group)))


def _of_move(move: Move, first_day: date) -> Iterator[Occasion]:
    """Out with its hardening, in, and the weeks to watch."""
    if move.out is None or move.inn is None or not move.has_dates:
        return
    spans: list[tuple[OccasionKind, MoveDate, tuple[str, str | int]]] = [
        (OccasionKind.OUT, move.out, (move.out.promised, HARDENING_DAYS)),
        (OccasionKind.IN, move.inn, (move.inn.promised, 1)),
    ]
    for kind, moved in ((OccasionKind.WATCH_OUT, move.out), (OccasionKind.WATCH_IN, move.inn)):
        # Where half of the years set no date on this side, watching has no beginning or end.
        unlimited = bool(move.by_year) and moved.typical == move.by_year[0].first_day
        if moved.watch_from is not None and moved.watch_to is not None and not unlimited:
            spans.append((kind, moved, (moved.watch_from, moved.watch_to)))
    for kind, moved, (start, stop) in spans:
        first, days = _next(start, stop, first_day)
        yield Occasion(
            kind=kind,
            **_whose(move),
            number=1,
            first=first,
            days=days,
            repeats=not move.provisional and not move.in_state,
            move=move,
            moved=moved,
            by_heat=move.set_by_heat(moved),
            tonight=move.tonight,
        )


def _of_year(year: GrowthYear, first_day: date) -> Iterator[Occasion]:
    """The start of each phase."""
    for change in year.changes:
        run = next((one for one in year.runs if one.first_week == change.run_week), None)
        before = None if run is None else year.runs[year.runs.index(run) - 1]
        first, days = _next(change.day, 1, first_day)
        yield Occasion(
            kind=OccasionKind(change.phase.value),
            **_whose(year),
            number=1,
            first=first,
            days=days,
            repeats=not (year.dates_may_shift or year.provisional or year.in_state),
            year=year,
            change=change,
            run=run,
            rest_ends=before is not None and before.phase is Phase.RESTING,
        )


def _whose(row: Whose) -> dict[str, Any]:
    """Whose an occasion is, as its row says it."""
    return {name: getattr(row, name) for name in Whose.__struct_fields__}


def _next(start: str, stop: str | int, first_day: date) -> tuple[date, int]:
    """The first stretch, from one "MM-DD" to another or of so many days, that is not yet over."""
    for year in range(first_day.year - 1, first_day.year + 2):
        first = _date(year, start)
        if isinstance(stop, int):
            last = first + timedelta(days=stop - 1)
        else:
            last = _date(year + (stop < start), stop)
        if last >= first_day:
            break
    return first, (last - first).days + 1


def _date(year: int, month_day: str) -> date:
    """A day of the folded year in a year; it never is 29 February, which is folded away."""
    month, number = (int(part) for part in month_day.split("-"))
    return date(year, month, number)


def _numbered(found: list[Occasion]) -> Iterator[Occasion]:
    """The same, those that share everything but their days told apart by a number."""
    seen: Counter[tuple[str, ...]] = Counter()
    for one in found:
        key = (one.kind, one.spot.casefold(), one.group, *one.plants)
        seen[key] += 1
        yield replace(one, number=seen[key])
