"""
The year of growth, water and feed: what every output of `year` reads, and none of them computes.

Temperatures are in °C, day lengths in h; days of the year are "MM-DD" in the place's standard time.
A week is seven days from 1 January on; the 52nd has eight. What is not known is None.
"""

from __future__ import annotations

from enum import StrEnum
from typing import TYPE_CHECKING

from msgspec import Struct

if TYPE_CHECKING:
    from suitability.advice.result import Reason, RecordSummary, RestFinding, Settings
    from suitability.advice.terms import Season, Verdict
    from suitability.places import Place

__all__ = [
    "WEEKS",
    "AirWord",
    "Basis",
    "Care",
    "Change",
    "CourseWeek",
    "Doing",
    "GrowthWeek",
    "GrowthYear",
    "GrowthYearResult",
    "Note",
    "PhaseRun",
    "RestKind",
    "SpotCourse",
    "Standing",
    "Stay",
    "week_of_day",
]

WEEKS = 52


def week_of_day(day: int) -> int:
    """
    The week, 1 to 52, of a day of the folded year (0 is 1 January).

    Examples
    --------
    >>> week_of_day(0), week_of_day(6), week_of_day(7), week_of_day(357), week_of_day(364)
    (1, 1, 2, 52, 52)
    """
    return min(day // 7, WEEKS - 1) + 1


class Doing(StrEnum):
    """What the plants of a group do."""

    GROWING = "growing"
    SLOWING = "slowing"
    RESTING = "resting"
    WAKING = "waking"


class Standing(StrEnum):
    """Where they stand, by their moves."""

    INDOORS = "indoors"
    MOVING_OUT = "moving-out"
    OUTDOORS = "outdoors"
    MOVING_IN = "moving-in"


class Basis(StrEnum):
    """What a phase, or a change of it, is read from."""

    NIGHTS = "nights"  # outdoors: the air at the spot, and the day's length
    DAY_LENGTH = "day-length"  # indoors: nothing else is known
    ROOM = "room"  # indoors, in the room that was stated
    MOVE = "move"  # a change that comes with moving


class AirWord(StrEnum):
    """A night or day outdoors beside what the group likes in growth."""

    WARMER = "warmer"
    FITTING = "fitting"
    COOLER = "cooler"
    BELOW_FLOOR = "below-floor"
    BELOW_REST_FLOOR = "below-rest-floor"


class RestKind(StrEnum):
    """Whether the group has a rest that cool nights bring."""

    NEEDED = "needed"
    OPTIONAL = "optional"
    NONE = "none"


class Note(StrEnum):
    """What must be said beside a calendar; the outputs have the sentences."""

    FEW_YEARS = "few-years"
    NO_WINTER = "no-winter"
    NO_SHORT_DAYS = "no-short-days"
    REST_NOT_TOLD = "rest-not-told"
    REST_NOT_BROUGHT = "rest-not-brought"
    REST_INDOORS = "rest-indoors"
    ROOM_TOO_WARM = "room-too-warm"
    ROOM_TOO_COLD = "room-too-cold"
    ROOM_BELOW_FLOOR = "room-below-floor"
    INDOORS_BY_LIGHT = "indoors-by-light"


class Care(Struct, frozen=True, kw_only=True):
    """Water, feed and what to look for, in words; mostly those of the catalogue."""

    water: str
    feed: str
    look_for: str


class GrowthWeek(Struct, frozen=True, kw_only=True):
    """
    One week of a group.

    `night` and `day` compare the place's air with the group's ranges; None indoors, and where the
    group has no such range.
    """

    week: int
    doing: Doing
    standing: Standing
    basis: Basis
    night: AirWord | None
    day: AirWord | None


class PhaseRun(Struct, frozen=True, kw_only=True):
    """Weeks in a row with one phase; `last_week` before `first_week` crosses New Year."""

    doing: Doing
    first_week: int
    last_week: int
    weeks: int
    first_day: str
    last_day: str
    care: Care


class Stay(Struct, frozen=True, kw_only=True):
    """Weeks in a row in one place."""

    standing: Standing
    first_week: int
    last_week: int
    weeks: int
    first_day: str
    last_day: str


class Change(Struct, frozen=True, kw_only=True):
    """
    The start of a phase.

    Attributes
    ----------
    day, week
        Usual: of the median year. Every week here is the one that holds its day.
    run_week
        First week of the run that it begins: the first whose fourth day has the phase.
    earliest_day, latest_day, earliest_week, latest_week
        Among past years that had it; None where the change comes with a move, whose own dates and
        odds `moves` gives.
    years_with, of_years
        Years that had it, of those observed well enough; both 0 where the weather has no say.
    """

    doing: Doing
    basis: Basis
    day: str
    week: int
    run_week: int
    earliest_day: str | None
    latest_day: str | None
    earliest_week: int | None
    latest_week: int | None
    years_with: int
    of_years: int


class GrowthYear(Struct, frozen=True, kw_only=True):
    """
    The calendar of one group at one spot.

    Attributes
    ----------
    reason
        Why there is no calendar; None where there is one.
    provisional
        The verdict, from fewer than ten usable years, as a check says it.
    of_years
        Years, mid-summer to mid-summer, observed well enough.
    season
        Outdoors by its moves; None for one that stays indoors or has no verdict.
    rest_kind, rest_words, rest_weeks
        Whether it has a rest, in which words, and its usual length (shortest, longest).
    rest
        What past years did for it on the nights spent out.
    weeks, runs, stays, changes
        The calendar week by week, in runs of one phase and one place, and its changes; empty
        without one. Runs begin with the one that holds the first week.
    first_signs, about
        Of harm by cold; what else the catalogue says.
    mark
        Where the catalogue's words come from.
    indoors
        The spot is in a room: "outdoors" is there, "indoors" is elsewhere.
    """

    spot: str
    group: str
    group_name: str
    verdict: Verdict
    reason: Reason | None
    provisional: bool
    of_years: int
    season: Season | None
    floor_c: float
    rest_kind: RestKind
    rest_words: str
    rest_weeks: tuple[float, float] | None
    rest: RestFinding
    weeks: tuple[GrowthWeek, ...]
    runs: tuple[PhaseRun, ...]
    stays: tuple[Stay, ...]
    changes: tuple[Change, ...]
    notes: tuple[Note, ...]
    first_signs: str
    about: str
    mark: str
    indoors: bool = False

    @property
    def dates_may_shift(self) -> bool:
        """Whether it goes out, and fewer than ten years stand behind its dates outdoors."""
        return Note.FEW_YEARS in self.notes


class CourseWeek(Struct, frozen=True, kw_only=True):
    """The place's own year: mean night minimum, mean day maximum, mean day length of a week."""

    week: int
    first_day: str
    last_day: str
    days: int
    night_c: float | None
    day_c: float | None
    day_length_h: float


class SpotCourse(Struct, frozen=True, kw_only=True):
    """The year of one spot; without a winter where the annual wave is under 2 °C."""

    spot: str
    has_winter: bool
    weeks: tuple[CourseWeek, ...]


class GrowthYearResult(Struct, frozen=True, kw_only=True):
    """A place, its record, what was asked, the course of its year, and the calendars."""

    place: Place
    record: RecordSummary
    settings: Settings
    room_c: float | None
    courses: tuple[SpotCourse, ...]
    years: tuple[GrowthYear, ...]
    pets: str
