"""
The occasions of a grower's calendars: of moves and weeks to watch, or of care, on dated days.

Days of the year become dates: each occasion stands at its first coming whose last day is not past.
Nothing is decided here; dates and odds are those of the moves and of the weeks.
"""

from __future__ import annotations

from collections import Counter
from collections.abc import Callable, Iterator, Mapping, Sequence
from datetime import date, timedelta
from enum import StrEnum
from functools import partial

from msgspec import Struct
from msgspec.structs import replace

from suitability.advice.card import TONIGHT_ABOVE_WET_C
from suitability.advice.growth_year import Change, GrowthYear, GrowthYearResult, Phase, PhaseRun
from suitability.advice.moves import Move, MoveDate, MovesResult
from suitability.advice.question import Question
from suitability.groups.group import Needs
from suitability.spots.plants import Plant

__all__ = [
    "HARDENING_DAYS",
    "REPEATED_YEARS",
    "Occasion",
    "OccasionKind",
    "Standing",
    "list_occasions",
    "occasions_of_moves",
    "occasions_of_year",
    "plants_of",
    "tonight_of",
]

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


class Occasion(Struct, frozen=True, kw_only=True):
    """
    One occasion of one group, or plant, at one spot.

    Attributes
    ----------
    plants
        Those of a collection that it is for; none where groups were asked about.
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
    tonight_c : °C
        At this forecast low, or less, it comes in; None where it is not known.
    """

    kind: OccasionKind
    spot: str
    group: str
    group_name: str
    plant: str
    plants: tuple[Plant, ...] = ()
    number: int = 1
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
    tonight_c: float | None = None


def tonight_of(needs: Needs) -> float:
    """The forecast low for the spot, °C, at which or below it a plant outdoors comes in."""
    return needs.limit_wet_c + TONIGHT_ABOVE_WET_C


Standing = Callable[[str, str], Sequence[Plant]]
"""Of a spot and group: the plants of a collection there."""


def plants_of(question: Question, spot: str, group: str) -> tuple[Plant, ...]:
    """
    The plants of a group that stand at a spot, in the order of the collection; none without one.

    A plant that is not placed yet may stand at any spot.
    """
    own = question.subjects.collection
    return tuple(
        plant
        for plant in (() if own is None else own.plants)
        if plant.group_key == group and plant.spot in (spot, None)
    )


def _moved(move: Move, plants: Sequence[Plant]) -> tuple[Plant, ...]:
    """Whom a row of moves is for: a plant in a state of its own has one, its group the others."""
    if not move.plant:
        return tuple(plant for plant in plants if not plant.in_own_state)
    own = [plant for plant in plants if plant.in_own_state and plant.name == move.plant]
    return tuple(own[:1])


def list_occasions(
    result: MovesResult | GrowthYearResult,
    first_day: date,
    tonight_c: Mapping[tuple[str, str], float] | None = None,
    standing: Standing | None = None,
) -> tuple[Occasion, ...]:
    """
    All occasions of moves or of care, in the order of their first days.

    A group without moving dates has no move here, and one without a calendar no phase.

    Parameters
    ----------
    first_day
        At the place. An occasion that is over by then stands a year later.
    tonight_c
        For group key and plant (empty for the group itself), `tonight_of` its needs.
    standing
        Whose plants are named; None: groups are.
    """
    found: list[Occasion] = []
    for row in result.results:
        here = () if standing is None else standing(row.spot, row.group)
        if isinstance(row, Move):
            known = (tonight_c or {}).get((row.group, row.plant or ""))
            found += _of_move(row, first_day, known, _moved(row, here))
        else:
            found += _of_year(row, first_day, tuple(here))
    return tuple(sorted(_numbered(found), key=lambda one: (one.first, one.spot, one.group)))


def _of_move(
    move: Move, first_day: date, tonight_c: float | None, plants: tuple[Plant, ...]
) -> Iterator[Occasion]:
    """Out with its hardening, in, and the weeks to watch."""
    if move.out is None or move.inn is None:
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
            spot=move.spot,
            group=move.group,
            group_name=move.group_name,
            plant=move.plant or "",
            plants=plants,
            first=first,
            days=days,
            repeats=not move.provisional and not move.plant,
            move=move,
            moved=moved,
            by_heat=move.set_by_heat(moved),
            tonight_c=tonight_c,
        )


def _of_year(year: GrowthYear, first_day: date, plants: tuple[Plant, ...]) -> Iterator[Occasion]:
    """The start of each phase."""
    for change in year.changes:
        run = next((one for one in year.runs if one.first_week == change.run_week), None)
        before = None if run is None else year.runs[year.runs.index(run) - 1]
        first, days = _next(change.day, 1, first_day)
        yield Occasion(
            kind=OccasionKind(change.phase.value),
            spot=year.spot,
            group=year.group,
            group_name=year.group_name,
            plant="",
            plants=plants,
            first=first,
            days=days,
            repeats=not (year.dates_may_shift or year.provisional),
            year=year,
            change=change,
            run=run,
            rest_ends=before is not None and before.phase is Phase.RESTING,
        )


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
        key = (one.kind, one.spot.casefold(), one.group, one.plant)
        seen[key] += 1
        yield replace(one, number=seen[key])


def occasions_of_moves(
    question: Question, result: MovesResult, first_day: date
) -> tuple[tuple[Occasion, ...], MovesResult]:
    """
    The occasions of a calendar of moves, and the moves that it tells of.

    Parameters
    ----------
    result
        Of the question.
    first_day
        Of the calendar.
    """
    standing = partial(plants_of, question)
    told = (
        move
        for move in result.results
        for here in [standing(move.spot, move.group)]
        if _moved(move, here) or (not here and not question.standing)
    )
    own = replace(result, results=tuple(told))
    judged = [*question.needs, *(needs for _, _, needs in question.plants_needs())]
    nights = {(needs.key, needs.plant): tonight_of(needs) for needs in judged}
    return list_occasions(own, first_day, nights, standing), own


def occasions_of_year(
    question: Question, result: GrowthYearResult, first_day: date
) -> tuple[tuple[Occasion, ...], GrowthYearResult]:
    """
    The occasions of a calendar of care, and the weeks that it tells of.

    Parameters
    ----------
    result
        Of the question.
    first_day
        Of the calendar.
    """
    standing = partial(plants_of, question)
    told = (
        year for year in result.results if standing(year.spot, year.group) or not question.standing
    )
    own = replace(result, results=tuple(told))
    return list_occasions(own, first_day, standing=standing), own
