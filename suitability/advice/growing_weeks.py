"""
The weeks of each group: what it does, where it stands, how it is watered and fed, what comes next.

What the plants do day by day is in `growing_days`; here it becomes a calendar of 52 weeks beside
the place's own year.
"""

from __future__ import annotations

from collections.abc import Mapping

import numpy as np
from msgspec import Struct
from msgspec.structs import replace
from numpy.typing import NDArray

from suitability.advice.cases import Case
from suitability.advice.comfort import first_growth
from suitability.advice.growing_days import (
    GrowthDays,
    GrowthSpot,
    find_growth_days,
    has_calendar,
    lay_out_growth,
    year_lengths_h,
)
from suitability.advice.growth_runs import (
    MIDDLE,
    PHASES,
    days_of_week,
    find_changes,
    find_growing,
    find_runs,
    find_stays,
    standing_of,
)
from suitability.advice.growth_year import (
    WEEKS,
    AirWord,
    CourseWeek,
    GrowthWeek,
    GrowthYear,
    GrowthYearResult,
    RestKind,
    SetBy,
    SpotCourse,
)
from suitability.advice.preparing import (
    LaidOut,
    settings_of,
    summarise_record,
)
from suitability.advice.question import Question
from suitability.advice.reasons import explain
from suitability.advice.resting import (
    find_rest,
    flowers_of,
    lay_out_resting,
    rest_need_of,
    rests_of,
)
from suitability.advice.result import Reason
from suitability.advice.terms import Verdict, whose
from suitability.advice.verdicts import Decision, is_provisional, season_of
from suitability.climate import growth_phases
from suitability.climate.days import local_hour, month_day
from suitability.climate.past_years import FEWEST_YEARS
from suitability.groups.group import Group, Needs, Rest, RestNeed, Trigger
from suitability.groups.words import Words, read_words, words_at

FloatArray = NDArray[np.float64]


class GroupCare(Struct, frozen=True, kw_only=True):
    """A group as it is asked for at a spot: its entry, its words there, and its needs."""

    group: Group
    words: Words
    needs: Needs


def year(question: Question, *, room_c: float | None = None) -> GrowthYearResult:
    """
    What each group, or plant, does week by week at each spot, and how it is watered and fed.

    Parameters
    ----------
    question
        From `ask`.
    room_c : °C
        Night temperature of the room in which plants stand while they are indoors; None: not known.

    Raises
    ------
    RecordError
        Nothing of the record lies in the years asked for.
    """
    words = read_words(question.subjects.catalogue)
    return plan_growth(question.lay_out(), question.groups, words, room_c=room_c)


def plan_growth(
    laid_out: LaidOut,
    groups: Mapping[str, Group],
    words: Mapping[str, Words],
    *,
    room_c: float | None = None,
) -> GrowthYearResult:
    """The calendar of each group at each spot; groups and words by key, `room_c` as of `year`."""
    place = laid_out.place
    told = {key: words_at(words[key], place.latitude) for key in groups}
    used = laid_out.used
    start = local_hour(used.start_hour, place.utc_offset_hours)
    length = year_lengths_h(place)
    courses: list[SpotCourse] = []
    years: list[GrowthYear] = []
    for laid in laid_out.spots:
        spot, nights = laid.spot, laid.nights
        resting = lay_out_resting(nights, used.prcp_mm, start, roofed=spot.roofed)
        unknown = used.prcp_mm is None and not spot.roofed
        at_spot = lay_out_growth(spot, nights, resting, length, room_c, rain_unknown=unknown)
        courses.append(_course(at_spot))
        cared = [  # none of the rest is told of a plant whose own is not known
            GroupCare(
                group=replace(groups[needs.key], rest_told=needs.rest_told),
                words=told[needs.key],
                needs=needs,
            )
            for needs in laid.needs
        ]
        years += map(_year, cared, laid.cases, laid.decisions, [at_spot] * len(cared))
    return GrowthYearResult(
        place=place,
        record=summarise_record(used),
        settings=settings_of(laid_out.options),
        room_c=room_c,
        courses=tuple(courses),
        results=tuple(years),
        pets=next(iter(told.values())).pets,
    )


# What all groups of a spot share ------------------------------------------------------------------


def _course(at_spot: GrowthSpot) -> SpotCourse:
    """The place's own year by weeks."""
    night_c = at_spot.nights.calendar.night_minimum_c
    weeks = []
    for number in range(WEEKS):
        days = days_of_week(number)
        weeks.append(
            CourseWeek(
                week=number + 1,
                first_day=month_day(days.start),
                last_day=month_day(days.stop - 1),
                days=days.stop - days.start,
                night_c=_mean(night_c[days]),
                day_c=_mean(at_spot.day_c[days]),
                day_length_h=float(at_spot.length_h[days].mean()),
            )
        )
    return SpotCourse(
        spot=at_spot.spot.name, has_winter=at_spot.years is not None, weeks=tuple(weeks)
    )


def _mean(values: FloatArray) -> float | None:
    mean = float(values.mean())
    return mean if np.isfinite(mean) else None


# One group ----------------------------------------------------------------------------------------


def _year(cared: GroupCare, case: Case, decision: Decision, at_spot: GrowthSpot) -> GrowthYear:
    """The calendar of one group."""
    needs, group, words = cared.needs, cared.group, cared.words
    usable = int(case.observed.summer_usable.sum())
    reason = _withheld(case, decision, usable)
    days = None if reason is not None else find_growth_days(needs, case, decision, at_spot)
    runs = () if days is None else find_runs(days.phases, group, words)
    rest = group.rest or Rest(needed=RestNeed.NO)
    found = find_rest(needs, decision, at_spot.resting, rain_unknown=at_spot.rain_unknown)
    return GrowthYear(
        **whose(at_spot.spot.name, needs, decision.unseen.nights),
        verdict=decision.verdict,
        reason=reason,
        provisional=is_provisional(decision, case.rules),
        of_years=usable,
        season=season_of(decision.season_allowed),
        grows_from=first_growth(at_spot.nights.calendar, needs, decision.season_allowed),
        nearly_all_year=decision.nearly_all_year,
        survival_season=season_of(decision.survival_season),
        growing_seasons=None if days is None else find_growing(days),
        floor_c=needs.floor_c,
        rest_kind=_rest_kind(needs),
        rest_words=rest.kind,
        rest_weeks=None if rest.weeks is None else (rest.weeks.low, rest.weeks.high),
        flowers=flowers_of(decision.verdict, found, rests_of(decision.verdict, found, needs)),
        rest=found,
        weeks=() if days is None else _weeks(days, needs, group, decision, at_spot),
        runs=runs,
        stays=() if days is None else find_stays(decision),
        changes=() if days is None else find_changes(days, at_spot),
        notes=() if days is None else days.notes,
        first_signs=words.first_signs,
        about=words.notes,
        mark=words.mark.value,
        indoors=at_spot.spot.room is not None,
    )


def _withheld(case: Case, decision: Decision, usable: int) -> Reason | None:
    """Why there is no calendar."""
    if decision.verdict is Verdict.NONE:
        return explain(case, decision)
    if has_calendar(case, decision):
        return None
    return Reason(
        code="too-few-years",
        text=(
            f"{_years(usable)} from mid-summer to mid-summer observed well enough, "
            f"{FEWEST_YEARS} are needed for a calendar."
        ),
        numbers={"years_usable": float(usable), "years_needed": float(FEWEST_YEARS)},
    )


def _years(usable: int) -> str:
    """So few years, as the beginning of a sentence."""
    return {0: "No year was", 1: "Only 1 year was"}.get(usable, f"Only {usable} years were")


def _rest_kind(needs: Needs) -> RestKind:
    if rest_need_of(needs) is None and needs.trigger is not Trigger.AFTER_BLOOM:
        return RestKind.NONE
    return RestKind.NEEDED if needs.rest_needed else RestKind.OPTIONAL


# Weeks, runs and changes --------------------------------------------------------------------------


def _weeks(
    days: GrowthDays, needs: Needs, group: Group, decision: Decision, at_spot: GrowthSpot
) -> tuple[GrowthWeek, ...]:
    """The calendar week by week."""
    where = standing_of(decision)
    indoors = SetBy.DAY_LENGTH if at_spot.room_c is None else SetBy.ROOM
    outdoors = SetBy.NIGHTS if at_spot.spot.room is None else SetBy.ROOM
    night_c, day_c = at_spot.nights.calendar.night_minimum_c, at_spot.day_c
    weeks = []
    for number in range(WEEKS):
        day, span = 7 * number + MIDDLE, days_of_week(number)
        out = bool(days.out[day])
        weeks.append(
            GrowthWeek(
                week=number + 1,
                phase=PHASES[growth_phases.Phase(int(days.phases[day]))],
                where=where[day],
                set_by=outdoors if out else indoors,
                night=_night_word(_mean(night_c[span]), needs, group) if out else None,
                day=_day_word(_mean(day_c[span]), group) if out else None,
            )
        )
    return tuple(weeks)


def _night_word(night_c: float | None, needs: Needs, group: Group) -> AirWord | None:
    """A mean night beside floor, rest floor and the range of comfort."""
    if night_c is None:
        return None
    if needs.rest_floor_c is not None and night_c < needs.rest_floor_c:
        return AirWord.BELOW_REST_FLOOR
    if night_c < needs.floor_c:
        return AirWord.BELOW_FLOOR
    comfort = group.comfort_night_c
    if comfort is None:
        return None
    return _beside(night_c, comfort.low, comfort.high)


def _day_word(day_c: float | None, group: Group) -> AirWord | None:
    """A mean day's maximum beside the range of days in growth."""
    likes = group.day_growth_c
    return None if day_c is None or likes is None else _beside(day_c, likes.low, likes.high)


def _beside(value_c: float, low_c: float, high_c: float) -> AirWord:
    if value_c > high_c:
        return AirWord.WARMER
    return AirWord.COOLER if value_c < low_c else AirWord.FITTING
