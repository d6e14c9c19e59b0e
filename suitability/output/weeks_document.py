"""
The JSON document of `year --json`, as docs/year.md explains and docs/schema/year.json holds it.

Every key is always there; what is not known is null, never NaN and never 0. Temperatures are in °C,
days of the year "MM-DD" in the place's standard time.
"""

from __future__ import annotations

from typing import TYPE_CHECKING, Any

from suitability.output.document import place_values, reason_values, record_values, settings_values
from suitability.output.values import NORMAL_DECIMALS, RAW_DECIMALS, finite, season_values

if TYPE_CHECKING:
    from suitability.advice.growth_year import (
        Change,
        CourseWeek,
        GrowthWeek,
        GrowthYear,
        GrowthYearResult,
        PhaseRun,
        Stay,
    )
    from suitability.advice.result import RestFinding

__all__ = ["YEAR_SCHEMA_VERSION", "year_document"]

YEAR_SCHEMA_VERSION = 1


def year_document(result: GrowthYearResult) -> dict[str, Any]:
    """The calendars as plain values, keys in the order of docs/year.md."""
    return {
        "schema_version": YEAR_SCHEMA_VERSION,
        "place": place_values(result.place),
        "record": record_values(result.record),
        "settings": settings_values(result.settings),
        "room_c": finite(result.room_c, RAW_DECIMALS),
        "courses": [
            {
                "spot": course.spot,
                "has_winter": course.has_winter,
                "weeks": [_course_week(week) for week in course.weeks],
            }
            for course in result.courses
        ],
        "results": [_year(year) for year in result.years],
        "pets": result.pets,
    }


def _course_week(week: CourseWeek) -> dict[str, Any]:
    return {
        "week": week.week,
        "first_day": week.first_day,
        "last_day": week.last_day,
        "days": week.days,
        "night_c": finite(week.night_c, NORMAL_DECIMALS),
        "day_c": finite(week.day_c, NORMAL_DECIMALS),
        "day_length_h": finite(week.day_length_h, NORMAL_DECIMALS),
    }


def _year(year: GrowthYear) -> dict[str, Any]:
    return {
        "spot": year.spot,
        "group": year.group,
        "group_name": year.group_name,
        "verdict": year.verdict.value,
        "reason": None if year.reason is None else reason_values(year.reason),
        "provisional": year.provisional,
        "of_years": year.of_years,
        "season": season_values(year.season),
        "floor_c": finite(year.floor_c, RAW_DECIMALS),
        "rest_kind": year.rest_kind.value,
        "rest_words": year.rest_words,
        "rest_weeks": None if year.rest_weeks is None else list(year.rest_weeks),
        "rest": _rest(year.rest),
        "runs": [_run(run) for run in year.runs],
        "stays": [_stay(stay) for stay in year.stays],
        "changes": [_change(change) for change in year.changes],
        "weeks": [_week(week) for week in year.weeks],
        "notes": [note.value for note in year.notes],
        "first_signs": year.first_signs,
        "about": year.about,
        "mark": year.mark,
    }


def _rest(rest: RestFinding) -> dict[str, Any]:
    room = rest.room
    return {
        "needed": rest.needed if rest.told else None,
        "met_years": rest.met_years,
        "partly_years": rest.partly_years,
        "of_years": rest.of_years,
        "usual_date": rest.usual_date,
        "latest_date": rest.latest_date,
        "if_kept_dry": rest.if_kept_dry,
        "room": None
        if room is None
        else {
            "low_c": finite(room.low_c, RAW_DECIMALS),
            "high_c": finite(room.high_c, RAW_DECIMALS),
            "nights": room.nights,
        },
    }


def _run(run: PhaseRun) -> dict[str, Any]:
    return {
        "phase": run.doing.value,
        "first_week": run.first_week,
        "last_week": run.last_week,
        "weeks": run.weeks,
        "first_day": run.first_day,
        "last_day": run.last_day,
        "water": run.care.water,
        "feed": run.care.feed,
        "look_for": run.care.look_for,
    }


def _stay(stay: Stay) -> dict[str, Any]:
    return {
        "where": stay.standing.value,
        "first_week": stay.first_week,
        "last_week": stay.last_week,
        "weeks": stay.weeks,
        "first_day": stay.first_day,
        "last_day": stay.last_day,
    }


def _change(change: Change) -> dict[str, Any]:
    return {
        "phase": change.doing.value,
        "set_by": change.basis.value,
        "day": change.day,
        "week": change.week,
        "earliest_day": change.earliest_day,
        "latest_day": change.latest_day,
        "earliest_week": change.earliest_week,
        "latest_week": change.latest_week,
        "years_with": change.years_with,
        "of_years": change.of_years,
    }


def _week(week: GrowthWeek) -> dict[str, Any]:
    return {
        "week": week.week,
        "phase": week.doing.value,
        "where": week.standing.value,
        "set_by": week.basis.value,
        "night": None if week.night is None else week.night.value,
        "day": None if week.day is None else week.day.value,
    }
