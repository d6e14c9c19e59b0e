"""
The report: one record laid out once, asked by check, moves, needs and the year of growth.

Nothing new is judged here: a report that differed from the commands would be a second opinion.
Days of the year are "MM-DD" in standard time, temperatures °C; what is not known is None.
"""

from collections.abc import Callable, Mapping, Sequence
from enum import StrEnum

import numpy as np
from msgspec import Struct
from numpy.typing import NDArray

from suitability import parallel
from suitability.advice.card import CardResult, assemble_cards
from suitability.advice.cases import Case
from suitability.advice.checking import check_groups
from suitability.advice.growing_weeks import plan_growth
from suitability.advice.growth_year import GrowthYear, GrowthYearResult, Phase
from suitability.advice.moves import Move, MoveDate, MovesResult, plan_moves
from suitability.advice.needs import judge_needs
from suitability.advice.preparing import LaidOut, LaidSpot
from suitability.advice.question import Question
from suitability.advice.result import CheckResult, RecordSummary, Settings
from suitability.advice.terms import Season, Verdict
from suitability.advice.verdicts import season_of
from suitability.advice.what_if import what_if
from suitability.climate.days import DAYS, day_of_year
from suitability.climate.night_years import night_band
from suitability.groups.group import Group
from suitability.groups.words import GeneralWords, Words, read_general_words, read_words
from suitability.places import Place
from suitability.weather.coverage import count_coverage
from suitability.weather.record import Record


class Direction(StrEnum):
    """Which way a plant is carried."""

    OUT = "out"
    IN = "in"


class NextMove(Struct, frozen=True, kw_only=True):
    """
    The next time that one group is carried.

    Attributes
    ----------
    number
        Of the group and spot in the report.
    day, in_days
        Promised date, and how many days it is ahead, 0 to 364.
    watching
        Whether the day of the report lies in the weeks between promised and typical date, in which
        the forecast decides.
    """

    number: int
    direction: Direction
    day: str
    in_days: int
    watching: bool


class NextChange(Struct, frozen=True, kw_only=True):
    """The start of a phase ahead, with the numbers of all groups that have it on that day."""

    numbers: tuple[int, ...]
    phase: Phase
    day: str
    in_days: int


class MonthsObserved(Struct, frozen=True, kw_only=True):
    """
    How much of each month was observed, all (year, month).

    Attributes
    ----------
    first_year
        Year of the first row, standard time.
    observed, full : h
        Hours observed, and hours of the whole month.
    usable, complete
        Whether counts may use the month, and whether a monthly value may be formed.
    """

    first_year: int
    observed: tuple[tuple[int, ...], ...]
    full: tuple[tuple[int, ...], ...]
    usable: tuple[tuple[bool, ...], ...]
    complete: tuple[tuple[bool, ...], ...]


class NightCourse(Struct, frozen=True, kw_only=True):
    """
    Night minima of each day of the year at one spot, (365), °C, from 1 January on.

    They are lowered by the allowance for what hourly readings miss, as verdicts take them.
    """

    spot: str
    lowest_c: tuple[float | None, ...]
    low_c: tuple[float | None, ...]
    middle_c: tuple[float | None, ...]
    high_c: tuple[float | None, ...]


class Trial(Struct, frozen=True, kw_only=True):
    """The verdict and season of one group at one warming and promise."""

    verdict: Verdict
    season: Season | None


class Trials(Struct, frozen=True, kw_only=True):
    """
    Every verdict were the spot warmer or colder, and another share of new years promised.

    Attributes
    ----------
    warmer_c : (step), K
        Constants added to every hour of the spot.
    promises : (promise)
    rows : (group and spot), (step), (promise)
    """

    warmer_c: tuple[float, ...]
    promises: tuple[float, ...]
    rows: tuple[tuple[tuple[Trial, ...], ...], ...]


class ReportResult(Struct, frozen=True, kw_only=True):
    """
    All that a report shows; `on` is the day ("MM-DD") from which on the next moves are told.

    `courses` has one entry a spot.
    """

    on: str
    check: CheckResult
    moves: MovesResult
    growth: GrowthYearResult
    cards: CardResult
    coverage: MonthsObserved
    courses: tuple[NightCourse, ...]
    trials: Trials
    next_moves: tuple[NextMove, ...]
    next_changes: tuple[NextChange, ...]

    def __repr__(self) -> str:
        """One line: that of its verdicts."""
        return f"<ReportResult on {self.on} of {self.check!r}>"

    @property
    def place(self) -> Place:
        """The place of all parts."""
        return self.check.place

    @property
    def record(self) -> RecordSummary:
        """The record of all parts."""
        return self.check.record

    @property
    def settings(self) -> Settings:
        """What was asked of all parts."""
        return self.check.settings


Told = Callable[[int, int, str], None]

FloatArray = NDArray[np.float64]

STEPS_C = tuple(float(step) for step in range(-5, 6))  # K, tried on the page
PROMISES = (0.8, 0.9, 0.95)  # and the one that was asked for
AHEAD_DAYS = 84  # within which changes of phase are told
STAGES = ("verdicts", "moves", "rest and heat", "growth", "trials")


def report(question: Question, *, on: str, tell: Told | None = None) -> ReportResult:
    """
    Everything about a place and its groups or plants: verdicts, moves, growth, cards, what is next.

    Parameters
    ----------
    question
        From `ask`.
    on : "MM-DD"
        Day from which on the next moves are told.
    tell
        Told how many stages of how many are done, and which is next.

    Raises
    ------
    RecordError
        Nothing of the record lies in the years asked for.
    """
    if tell is not None:
        tell(0, len(STAGES), STAGES[0])
    return make_report(
        question.lay_out(),
        question.groups,
        words=read_words(question.subjects.catalogue),
        general=read_general_words(),
        on=on,
        tell=tell,
    )


def make_report(
    laid_out: LaidOut,
    groups: Mapping[str, Group],
    *,
    words: Mapping[str, Words],
    general: GeneralWords,
    on: str,
    tell: Told | None = None,
) -> ReportResult:
    """
    The report of all that is laid out.

    Parameters
    ----------
    laid_out
        From `lay_out`, with at least one group at one spot.
    groups, words
        By group key.
    on : "MM-DD"
        Day from which on the next moves are told.
    tell
        Told how many stages of how many are done, and which is next.
    """

    def say(stage: int) -> None:
        if tell is not None:
            tell(stage, len(STAGES), STAGES[stage])

    say(0)
    with parallel.aside(lambda: _trials(laid_out, laid_out.options.rules.promise)) as tried:
        check = check_groups(laid_out)
        say(1)
        moves = plan_moves(laid_out)
        say(2)
        years = judge_needs(laid_out)
        say(3)
        growth = plan_growth(laid_out, groups, words)
        say(4)
        trials = tried()
    cards = assemble_cards(
        groups,
        words,
        general,
        laid_out=laid_out,
        checked=check,
        moves=moves.results,
        years=years,
    )
    return ReportResult(
        on=on,
        check=check,
        moves=moves,
        growth=growth,
        cards=cards,
        coverage=_observed(laid_out.used, laid_out.place.utc_offset_hours),
        courses=tuple(map(_course, laid_out.spots)),
        trials=trials,
        next_moves=_next_moves(moves.results, day_of_year(on)),
        next_changes=_next_changes(growth.results, day_of_year(on)),
    )


# What the place is like --------------------------------------------------------------------------


def _course(laid: LaidSpot) -> NightCourse:
    """Night minima over the year at one spot."""
    band = night_band(laid.nights.minimum_c, laid.nights.unknown)
    return NightCourse(
        spot=laid.spot.name,
        lowest_c=_numbers(band.lowest),
        low_c=_numbers(band.low),
        middle_c=_numbers(band.middle),
        high_c=_numbers(band.high),
    )


def _observed(used: Record, utc_offset_hours: float) -> MonthsObserved:
    """Coverage by year and month."""
    coverage = count_coverage(used, utc_offset_hours)
    observed, full, usable, complete = (
        tuple(map(tuple, table.tolist()))
        for table in (
            coverage.observed,
            coverage.full,
            coverage.counts_usable,
            coverage.wmo_complete,
        )
    )
    return MonthsObserved(
        first_year=coverage.first_year,
        observed=observed,
        full=full,
        usable=usable,
        complete=complete,
    )


def _numbers(values: FloatArray) -> tuple[float | None, ...]:
    return tuple(None if np.isnan(value) else round(value, 1) for value in values.tolist())


# Trials ------------------------------------------------------------------------------------------


def _trials(laid_out: LaidOut, promise: float) -> Trials:
    """Verdicts were each spot warmer or colder, by promise."""
    promises = tuple(sorted({*PROMISES, promise}))
    return Trials(
        warmer_c=STEPS_C,
        promises=promises,
        rows=tuple(_trials_of(case, promises) for laid in laid_out.spots for case in laid.cases),
    )


def _trials_of(case: Case, promises: Sequence[float]) -> tuple[tuple[Trial, ...], ...]:
    """One group at one spot, by warming and promise."""
    return tuple(
        tuple(Trial(verdict=verdict, season=season_of(season)) for verdict, season in row)
        for row in what_if(case, STEPS_C, promises)
    )


# What comes next ---------------------------------------------------------------------------------


def _next_moves(moves: Sequence[Move], today: int) -> tuple[NextMove, ...]:
    """The next dates of going out and coming in, in the order in which they come."""
    found = [
        NextMove(
            number=number,
            direction=direction,
            day=date.promised,
            in_days=_ahead(date.promised, today),
            watching=_is_watching(date, today),
        )
        for number, move in enumerate(moves)
        for direction, date in ((Direction.OUT, move.out), (Direction.IN, move.inn))
        if date is not None and move.has_dates
    ]
    return tuple(sorted(found, key=lambda one: (one.in_days, one.direction, one.number)))


def _is_watching(date: MoveDate, today: int) -> bool:
    """Whether today lies in the weeks in which the forecast decides."""
    if date.watch_from is None or date.watch_to is None:
        return False
    first, last = day_of_year(date.watch_from), day_of_year(date.watch_to)
    return (today - first) % DAYS <= (last - first) % DAYS


def _next_changes(years: Sequence[GrowthYear], today: int) -> tuple[NextChange, ...]:
    """Phases that begin within the next weeks, those of the same day together."""
    found: dict[tuple[int, str, Phase], list[int]] = {}
    for number, year in enumerate(years):
        for change in year.changes:
            ahead = _ahead(change.day, today)
            if ahead <= AHEAD_DAYS:
                found.setdefault((ahead, change.day, change.phase), []).append(number)
    return tuple(
        NextChange(numbers=tuple(numbers), phase=phase, day=day, in_days=ahead)
        for (ahead, day, phase), numbers in sorted(found.items())
    )


def _ahead(month_day: str, today: int) -> int:
    """Days from today to the next such day, 0 to 364."""
    return (day_of_year(month_day) - today) % DAYS
