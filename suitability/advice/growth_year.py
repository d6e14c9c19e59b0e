"""
The year of growth, water and feed: what every output of `year` reads, and none of them computes.

Temperatures are in °C, day lengths in h; days of the year are "MM-DD" in the place's standard time.
A week is seven days from 1 January on; the 52nd has eight. What is not known is None.
"""

from enum import StrEnum
from typing import Annotated

from msgspec import Meta

from suitability.advice.result import (
    Reason,
    RecordSummary,
    RestFinding,
    Settings,
)
from suitability.advice.terms import Flowers, GrowsFrom, NearlyAllYear, Season, Verdict, Whose
from suitability.groups.group import Mark
from suitability.places import Place
from suitability.quantities import (
    SCHEMA_VERSION,
    Celsius,
    Count,
    Hours,
    MeanCelsius,
    MonthDay,
    Result,
    SchemaVersion,
)

WEEKS = 52
Week = Annotated[int, Meta(ge=1, le=WEEKS, description="1 begins on 1 January.")]


def week_of_day(day: int) -> int:
    """
    The week, 1 to 52, of a day of the folded year (0 is 1 January).

    Examples
    --------
    >>> week_of_day(0), week_of_day(6), week_of_day(7), week_of_day(357), week_of_day(364)
    (1, 1, 2, 52, 52)
    """
    return min(day // 7, WEEKS - 1) + 1


class Phase(StrEnum):
    """What the plants of a group do."""

    GROWING = "growing"
    SLOWING = "slowing"
    RESTING = "resting"
    WAKING = "waking"


class Where(StrEnum):
    """Where they stand, by their moves."""

    INDOORS = "indoors"
    MOVING_OUT = "moving-out"
    OUTDOORS = "outdoors"
    MOVING_IN = "moving-in"


class SetBy(StrEnum):
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
    ROOM_HARMS = "room-harms"
    INDOORS_BY_LIGHT = "indoors-by-light"


class GrowthWeek(Result, frozen=True, kw_only=True):
    """One week of a group."""

    week: Week
    phase: Annotated[Phase, Meta(description="What the plants do.")]
    where: Annotated[Where, Meta(description="Where they stand, by their moves.")]
    set_by: Annotated[SetBy, Meta(description="What the phase is read from.")]
    night: Annotated[
        AirWord | None,
        Meta(
            description="Night at the spot beside the group's ranges; null indoors, and where the "
            "group has no such range."
        ),
    ]
    day: Annotated[
        AirWord | None,
        Meta(description="Day at the spot beside the group's ranges; null likewise."),
    ]


class _Stretch(Result, frozen=True, kw_only=True):
    """Weeks in a row; `last_week` before `first_week` crosses New Year."""

    first_week: Week
    last_week: Annotated[Week, Meta(description="Before first_week, it lies beyond New Year.")]
    weeks: Annotated[int, Meta(ge=1, le=WEEKS, description="How many.")]
    first_day: Annotated[MonthDay, Meta(description="Of the first week; of a phase: its own.")]
    last_day: Annotated[MonthDay, Meta(description="Of the last week; of a phase: its own.")]


class PhaseRun(_Stretch, frozen=True, kw_only=True):
    """Weeks in a row with one phase, with water, feed and what to look for in words."""

    phase: Annotated[Phase, Meta(description="What the plants do.")]
    water: Annotated[str, Meta(description="How to water, mostly the catalogue's words.")]
    feed: Annotated[str, Meta(description="How to feed, mostly the catalogue's words.")]
    look_for: Annotated[str, Meta(description="Signs of the phase at the plant.")]


class Stay(_Stretch, frozen=True, kw_only=True):
    """Weeks in a row in one place."""

    where: Annotated[Where, Meta(description="Where the plants stand.")]


class Change(Result, frozen=True, kw_only=True):
    """The start of a phase; a week beside a day is the one that holds it."""

    phase: Annotated[Phase, Meta(description="That begins.")]
    set_by: Annotated[SetBy, Meta(description="What the change is read from.")]
    day: Annotated[MonthDay, Meta(description="Usual day, of the median year.")]
    week: Week
    run_week: Annotated[
        Week,
        Meta(description="First week of the run it begins: the first whose fourth day has it."),
    ]
    earliest_day: Annotated[
        MonthDay | None,
        Meta(
            description="Among past years that had it; null where it comes with a move, whose own "
            "dates and odds moves gives."
        ),
    ]
    latest_day: Annotated[
        MonthDay | None, Meta(description="Among past years that had it; null likewise.")
    ]
    earliest_week: Annotated[Week | None, Meta(description="That holds earliest_day.")]
    latest_week: Annotated[Week | None, Meta(description="That holds latest_day.")]
    years_with: Annotated[
        Count, Meta(description="Years that had it; 0 where the weather has no say.")
    ]
    of_years: Annotated[
        Count, Meta(description="Years observed well enough; 0 where the weather has no say.")
    ]


class GrowthYear(Whose, frozen=True, kw_only=True):
    """The calendar of one group at one spot, or of plants of it there."""

    verdict: Verdict
    reason: Annotated[
        Reason | None,
        Meta(description="Why there is no calendar; null where there is one."),
    ]
    provisional: Annotated[
        bool, Meta(description="The verdict rests on fewer than ten usable years.")
    ]
    of_years: Annotated[
        Count, Meta(description="Years, mid-summer to mid-summer, observed well enough.")
    ]
    season: Annotated[
        Season | None,
        Meta(
            description="Outdoors by its moves; null for one that stays indoors or has no verdict."
        ),
    ]
    grows_from: GrowsFrom = None
    nearly_all_year: NearlyAllYear = False
    floor_c: Annotated[
        Celsius, Meta(description="Growth floor: coldest night in which it keeps growing.")
    ]
    rest_kind: Annotated[
        RestKind, Meta(description="Whether it has a rest that cool nights bring.")
    ]
    rest_words: Annotated[str, Meta(description="The rest in words.")]
    rest_weeks: Annotated[
        tuple[float, float] | None,
        Meta(
            description="Usual length of the rest, shortest and longest.",
            extra_json_schema={"unit": "weeks"},
        ),
    ]
    flowers: Annotated[Flowers, Meta(description="Whether what starts its flowers comes.")]
    rest: Annotated[
        RestFinding, Meta(description="What past years did for the rest on the nights spent out.")
    ]
    runs: Annotated[
        tuple[PhaseRun, ...],
        Meta(
            description="The calendar in weeks of one phase, the run that holds the first week "
            "first; empty without a calendar."
        ),
    ]
    stays: Annotated[
        tuple[Stay, ...],
        Meta(description="The calendar in weeks of one place; empty without a calendar."),
    ]
    changes: Annotated[
        tuple[Change, ...], Meta(description="Starts of phases, by the day of the year.")
    ]
    weeks: Annotated[
        tuple[GrowthWeek, ...],
        Meta(max_length=WEEKS, description="The calendar week by week, 52 of them or none."),
    ]
    notes: Annotated[tuple[Note, ...], Meta(description="What must be said beside it.")]
    first_signs: Annotated[str, Meta(description="First signs of harm by cold.")]
    about: Annotated[str, Meta(description="What else the catalogue says.")]
    mark: Annotated[
        str,
        Meta(
            description="Where the catalogue's words come from.",
            extra_json_schema={"enum": [mark.value for mark in Mark]},
        ),
    ]
    survival_season: Annotated[
        Season | None,
        Meta(description="Free of nights that harm, whether it grows or not; as in check."),
    ] = None
    growing_seasons: Annotated[
        tuple[Season, ...] | None,
        Meta(
            description="Days out in weeks of growth, as in check; on its other days out it is "
            "slowed down, rests or wakes. Null without a calendar."
        ),
    ] = None
    indoors: Annotated[
        bool,
        Meta(description='The spot is in a room: "outdoors" is there, "indoors" is elsewhere.'),
    ] = False

    @property
    def dates_may_shift(self) -> bool:
        """Whether it goes out, and fewer than ten years stand behind its dates outdoors."""
        return Note.FEW_YEARS in self.notes


class CourseWeek(Result, frozen=True, kw_only=True):
    """One week of the year of a spot."""

    week: Week
    first_day: Annotated[MonthDay, Meta(description="Of the week.")]
    last_day: Annotated[MonthDay, Meta(description="Of the week.")]
    days: Annotated[int, Meta(ge=7, le=8, description="Seven; the last week has eight.")]
    night_c: Annotated[
        MeanCelsius | None, Meta(description="Mean night minimum; null where not observed.")
    ]
    day_c: Annotated[
        MeanCelsius | None, Meta(description="Mean day maximum; null where not observed.")
    ]
    day_length_h: Annotated[Hours, Meta(ge=0, le=24, description="Mean length of the days.")]


class SpotCourse(Result, frozen=True, kw_only=True):
    """The year of one spot."""

    spot: Annotated[str, Meta(description="Name of the growing spot.")]
    has_winter: Annotated[
        bool,
        Meta(
            description="False where the annual wave of temperature is under 2 °C; of a room, that "
            "of the open air."
        ),
    ]
    weeks: Annotated[tuple[CourseWeek, ...], Meta(min_length=WEEKS, max_length=WEEKS)]


class GrowthYearResult(Result, frozen=True, kw_only=True):
    """
    The year of growth, water and feed: a place, its record, what was asked, and the calendars.

    A week is seven days from 1 January on; the 52nd has eight.
    """

    schema_version: SchemaVersion = SCHEMA_VERSION
    place: Place
    record: RecordSummary
    settings: Settings
    room_c: Annotated[
        Celsius | None,
        Meta(description="Of the room that plants indoors stand in; null where not stated."),
    ]
    courses: Annotated[tuple[SpotCourse, ...], Meta(description="The year of each spot.")]
    results: Annotated[
        tuple[GrowthYear, ...], Meta(description="A calendar for each spot and group.")
    ]
    pets: Annotated[str, Meta(description="What holds for pets beside the plants.")]
