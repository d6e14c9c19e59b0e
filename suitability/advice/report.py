"""
The report: what its page shows of a place, its spots and groups, and none of it computes.

Days of the year are "MM-DD" in the place's standard time, temperatures °C; what is not known is
None. Everything of one group at one spot stands at the same number in `check.results`,
`moves.results`, `growth.results`, `cards.cards` and `trials`.
"""

from enum import StrEnum

from msgspec import Struct

from suitability.advice.card import CardResult
from suitability.advice.growth_year import GrowthYearResult, Phase
from suitability.advice.moves_result import MovesResult
from suitability.advice.result import CheckResult, RecordSummary, Settings
from suitability.advice.terms import Season, Verdict
from suitability.places import Place

__all__ = [
    "Direction",
    "MonthsObserved",
    "NextChange",
    "NextMove",
    "NightCourse",
    "ReportResult",
    "Trial",
    "Trials",
]


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
