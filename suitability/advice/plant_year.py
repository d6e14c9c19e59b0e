"""
The plant year: what every output reads of a group's survival, growth, rest, flowers, heat and air.

Temperatures are in °C; days of the year are "MM-DD" in the place's standard time. What is not known
is None.
"""

from __future__ import annotations

from typing import TYPE_CHECKING

from msgspec import Struct

if TYPE_CHECKING:
    from suitability.advice.terms import Flowers, Grows, HeatWord, Rain, RestRoom, Rests, Survives

__all__ = [
    "DryAir",
    "HeatOutlook",
    "PlantYear",
    "RestOfYear",
    "RestOutlook",
    "RoomAnswer",
]


class RestOfYear(Struct, frozen=True, kw_only=True):
    """
    The rest of one past winter.

    `year` is the calendar year in which it began; `state` "met", "partly" or "not"; `met_on` the
    day ("MM-DD") on which it was complete; `nights` and `cool_hours` (None where they are not
    asked for) what counted.
    """

    year: int
    state: str
    met_on: str | None
    nights: int
    cool_hours: float | None


class RoomAnswer(Struct, frozen=True, kw_only=True):
    """
    What a bright, dry room held at one temperature does for the rest.

    `nights` that it takes there, None where it never meets it; `state` ("met", "partly" or "not")
    after the nights of the period that the plant spends indoors by its moves, after all of them
    for one that stays out and would have to be carried in.
    """

    room_c: float
    nights: int | None
    state: str


class RestOutlook(Struct, frozen=True, kw_only=True):
    """
    The rest outdoors, and in a room.

    Attributes
    ----------
    needed
        Flowers hang on it; where they do not, it only helps.
    met_years, partly_years, of_years
        Of the years observed well enough.
    usual_date, latest_date
        "MM-DD" on which it is complete, in the median and the latest year of those that met it:
        the earliest day on which the plant may come in.
    rain
        What is known of it; with `not-known` the years hold for a pot that is kept dry.
    must_be_dry
    by_year
        Winters observed well enough, in order of time.
    nights_indoors
        Nights of the period that the plant spends indoors by its moves.
    room
        Temperatures at which a room meets it, and in how many nights.
    rooms
        What each room asked about does.
    left_usual, left_most
        Nights that such a room must still add to those spent out, in the median and the worst
        year; None without such a room.
    """

    needed: bool
    met_years: int
    partly_years: int
    of_years: int
    usual_date: str | None
    latest_date: str | None
    rain: Rain
    must_be_dry: bool
    by_year: tuple[RestOfYear, ...]
    nights_indoors: int
    room: RestRoom | None
    rooms: tuple[RoomAnswer, ...]
    left_usual: int | None
    left_most: int | None


class HeatOutlook(Struct, frozen=True, kw_only=True):
    """
    Heat on the days that the plant spends out; on all days where it spends none.

    Attributes
    ----------
    word
    ceiling_c, warm_night_c
    hours_mean, hours_bad : h a year
        Above the ceiling, in the mean and in the bad year; None without a usable year.
    hours_by_month : twelve, h
        Mean; None where unknown.
    longest_run, usual_run
        Days in a row with at least six such hours, in the worst and the median year.
    warm_nights_mean
        Nights a year above the warm-night limit; None for a group without one.
    harmful_years, of_years
        Years with more than 150 hours, four hot days in a row, or more than 14 warm nights.
    spent_out
        False where the plant spends no day out, and the heat is what it would meet.
    """

    word: HeatWord
    ceiling_c: float
    warm_night_c: float | None
    hours_mean: float | None
    hours_bad: float | None
    hours_by_month: tuple[float | None, ...]
    longest_run: int | None
    usual_run: int | None
    warm_nights_mean: float | None
    harmful_years: int
    of_years: int
    spent_out: bool


class DryAir(Struct, frozen=True, kw_only=True):
    """
    Dry air on the days that the plant spends out (on all days where it spends none), h a year.

    `hours_mean` and `hours_bad` are warmer than 30 °C and drier than 30 %; `deficit_hours_mean`
    those with a vapour deficit over 2 kPa. `warned` tells whether the group dries out in it.
    """

    hours_mean: float
    hours_bad: float
    deficit_hours_mean: float
    warned: bool


class PlantYear(Struct, frozen=True, kw_only=True):
    """
    What the year of one group at one spot is like.

    `line` puts the words together; `rest` is None for a group without one, where no name tells it,
    and without a verdict, `heat` for a group without a ceiling, `dry_air` where humidity is not on
    record. None of these changes a verdict.
    """

    spot: str
    group: str
    group_name: str
    survives: Survives
    grows: Grows
    rests: Rests
    flowers: Flowers
    line: str
    rest: RestOutlook | None
    heat: HeatOutlook | None
    dry_air: DryAir | None
