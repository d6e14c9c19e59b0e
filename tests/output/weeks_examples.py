"""Calendars built by hand: one that rests outdoors, one that moves, one without a verdict."""

from __future__ import annotations

from msgspec.structs import replace

from suitability.advice.growth_year import (
    AirWord,
    Change,
    CourseWeek,
    GrowthWeek,
    GrowthYear,
    GrowthYearResult,
    Note,
    Phase,
    PhaseRun,
    RestKind,
    SetBy,
    SpotCourse,
    Stay,
    Where,
)
from suitability.advice.result import Reason, RestFinding
from suitability.advice.terms import Flowers, RestRoom, Season, Verdict
from suitability.climate.days import month_day
from suitability.groups.group import Trigger

from . import examples

CARE = {
    "water": "daily in heat",
    "feed": "weak feed at each watering",
    "look_for": "roots with green tips",
}


def days_of(first_week: int, weeks: int) -> tuple[str, str]:
    """First and last day of weeks in a row."""
    last = (first_week + weeks - 2) % 52
    return month_day(7 * (first_week - 1)), month_day(364 if last == 51 else 7 * last + 6)


def run(phase: Phase, first_week: int, weeks: int, care: dict[str, str] = CARE) -> PhaseRun:
    """Weeks of one phase."""
    first, last = days_of(first_week, weeks)
    return PhaseRun(
        phase=phase,
        first_week=first_week,
        last_week=(first_week + weeks - 2) % 52 + 1,
        weeks=weeks,
        first_day=first,
        last_day=last,
        **care,
    )


def stay(where: Where, first_week: int, weeks: int) -> Stay:
    """Weeks in one place."""
    first, last = days_of(first_week, weeks)
    return Stay(
        where=where,
        first_week=first_week,
        last_week=(first_week + weeks - 2) % 52 + 1,
        weeks=weeks,
        first_day=first,
        last_day=last,
    )


def change(phase: Phase, week: int, **changes: object) -> Change:
    """A change by the nights of ten of eleven years, two weeks either way."""
    day = 7 * (week - 1) + 1
    made = Change(
        phase=phase,
        set_by=SetBy.NIGHTS,
        day=month_day(day),
        week=week,
        run_week=week,
        earliest_day=month_day(day - 14),
        latest_day=month_day(day + 14),
        earliest_week=(week - 3) % 52 + 1,
        latest_week=(week + 1) % 52 + 1,
        years_with=10,
        of_years=11,
    )
    return replace(made, **changes)


def weeks_from(
    runs: tuple[PhaseRun, ...], stays: tuple[Stay, ...], indoors: SetBy = SetBy.DAY_LENGTH
) -> tuple[GrowthWeek, ...]:
    """The weeks that runs and stays tell."""
    made = []
    for week in range(1, 53):
        (phase,) = [one.phase for one in runs if (week - one.first_week) % 52 < one.weeks]
        (where,) = [one.where for one in stays if (week - one.first_week) % 52 < one.weeks]
        out = where is not Where.INDOORS
        made.append(
            GrowthWeek(
                week=week,
                phase=phase,
                where=where,
                set_by=SetBy.NIGHTS if out else indoors,
                night=AirWord.FITTING if out else None,
                day=AirWord.COOLER if out else None,
            )
        )
    return tuple(made)


def resting(**changes: object) -> GrowthYear:
    """A group that stays out all year and rests in its winter."""
    runs = (
        run(Phase.RESTING, 44, 14),
        run(Phase.WAKING, 6, 8),
        run(Phase.GROWING, 14, 25),
        run(Phase.SLOWING, 39, 5),
    )
    stays = (stay(Where.OUTDOORS, 1, 52),)
    made = GrowthYear(
        spot="open-air",
        group="nobile",
        group_name="Nobile type (soft-cane)",
        verdict=Verdict.ALL_YEAR,
        reason=None,
        provisional=False,
        of_years=11,
        season=Season(out="01-01", inn="01-01", days=365),
        survival_season=Season(out="01-01", inn="01-01", days=365),
        growing_seasons=(Season(out="04-02", inn="09-24", days=175),),
        floor_c=13.0,
        rest_kind=RestKind.NEEDED,
        rest_words="cool, bright and nearly dry",
        rest_weeks=(6.0, 10.0),
        flowers=Flowers.CAN,
        rest=RestFinding(
            needed=True,
            trigger=Trigger.COLD,
            met_years=9,
            partly_years=1,
            of_years=11,
            usual_date="12-01",
            latest_date="01-20",
            if_kept_dry=True,
            room=RestRoom(low_c=5.0, high_c=15.0, nights=21),
        ),
        weeks=weeks_from(runs, stays),
        runs=runs,
        stays=stays,
        changes=tuple(
            change(one.phase, one.first_week)
            for one in sorted(runs, key=lambda run: run.first_week)
        ),
        notes=(),
        first_signs="soft brown patches",
        about="Cool and bright in winter.",
        mark="found",
    )
    return replace(made, **changes)


def moving(**changes: object) -> GrowthYear:
    """A group that goes out for a season, from few years, in a room too warm for its rest."""
    runs = (run(Phase.SLOWING, 44, 16), run(Phase.GROWING, 8, 36))
    stays = (
        stay(Where.INDOORS, 41, 34),
        stay(Where.MOVING_OUT, 23, 2),
        stay(Where.OUTDOORS, 25, 15),
        stay(Where.MOVING_IN, 40, 1),
    )
    made = resting(
        group="phalaenanthe",
        group_name="Phalaenanthe and hybrids",
        verdict=Verdict.SEASONAL,
        provisional=True,
        of_years=7,
        season=Season(out="06-04", inn="10-05", days=123),
        survival_season=Season(out="06-04", inn="10-05", days=123),
        growing_seasons=(Season(out="06-04", inn="10-05", days=123),),
        floor_c=15.0,
        rest_kind=RestKind.OPTIONAL,
        rest_words="short cool and dry pause",
        rest_weeks=None,
        rest=RestFinding(needed=False),
        weeks=weeks_from(runs, stays, SetBy.ROOM),
        runs=runs,
        stays=stays,
        changes=(
            change(Phase.GROWING, 8, set_by=SetBy.ROOM, years_with=0, of_years=0),
            change(
                Phase.SLOWING,
                44,
                set_by=SetBy.MOVE,
                earliest_day=None,
                latest_day=None,
                earliest_week=None,
                latest_week=None,
                years_with=0,
                of_years=0,
            ),
        ),
        notes=tuple(Note),
        about="",
    )
    return replace(made, **changes)


def unjudged(**changes: object) -> GrowthYear:
    """A group without a verdict."""
    made = resting(
        group="masdevallia",
        group_name="Masdevallia",
        verdict=Verdict.NONE,
        reason=Reason(
            code="too-few-years",
            text="Only 1 usable plant year, 3 are needed.",
            numbers={"years_usable": 1.0},
        ),
        of_years=1,
        season=None,
        survival_season=None,
        growing_seasons=None,
        rest_kind=RestKind.NONE,
        rest_words="no strict rest",
        rest_weeks=None,
        rest=RestFinding(needed=False),
        weeks=(),
        runs=(),
        stays=(),
        changes=(),
    )
    return replace(made, **changes)


def course(spot: str = "open-air") -> SpotCourse:
    """A place of which the first week was never observed."""
    weeks = []
    for week in range(1, 53):
        first, last = days_of(week, 1)
        known = week > 1
        weeks.append(
            CourseWeek(
                week=week,
                first_day=first,
                last_day=last,
                days=8 if week == 52 else 7,
                night_c=10.0 + week / 10 if known else None,
                day_c=20.0 + week / 10 if known else None,
                day_length_h=12.0,
            )
        )
    return SpotCourse(spot=spot, has_winter=True, weeks=tuple(weeks))


def result(*years: GrowthYear, **changes: object) -> GrowthYearResult:
    """One calendar of each kind, unless others are given."""
    made = GrowthYearResult(
        place=examples.place(),
        record=examples.record(),
        settings=examples.settings(),
        room_c=18.0,
        courses=(course(),),
        results=years or (resting(), moving(), unjudged()),
        pets="Not known to be toxic.",
    )
    return replace(made, **changes)


def hostile_result(text: str) -> GrowthYearResult:
    """A result in which every text that comes from users and files is `text`."""
    named = examples.hostile_result(text)
    told = {"water": text, "feed": text, "look_for": text}
    runs = (run(Phase.RESTING, 44, 14, told), run(Phase.GROWING, 6, 38, told))
    names = {"spot": text, "group": text, "group_name": text, "first_signs": text, "about": text}
    names |= {"rest_words": text, "mark": text}
    reason = Reason(code="x", text=text, numbers={"x": 1.0})
    stays = (stay(Where.OUTDOORS, 1, 52),)
    return result(
        resting(**names, runs=runs, weeks=weeks_from(runs, stays)),
        unjudged(**names, reason=reason),
        place=named.place,
        record=named.record,
        courses=(course(text),),
        pets=text,
    )
