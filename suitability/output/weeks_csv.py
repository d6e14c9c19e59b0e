"""
The weeks for spreadsheets: one row a spot, group and week; docs/year.md lists the columns.

A group without a calendar has one row with its reason. An empty cell is what is not known;
temperatures are in °C.
"""

from __future__ import annotations

from typing import TYPE_CHECKING, Any

from msgspec import to_builtins

from suitability.output.csvfile import record_columns, rows_as_csv

if TYPE_CHECKING:
    from collections.abc import Iterator

    from suitability.advice.growth_year import GrowthYearResult

__all__ = ["render_weeks_csv", "week_rows"]

GROUP = ("spot", "group", "group_name", "verdict", "provisional", "of_years")
COURSE = ("week", "first_day", "last_day", "days", "night_c", "day_c", "day_length_h")
WEEK = ("phase", "where", "set_by", "night", "day")
CARE = ("water", "feed", "look_for")


def render_weeks_csv(result: GrowthYearResult) -> str:
    """
    The calendars as comma-separated text with a header line, lines ended by a line feed.

    Texts that a spreadsheet would take for a formula get an apostrophe in front.
    """
    document = to_builtins(result)
    courses = {course["spot"]: course["weeks"] for course in document["courses"]}
    head = record_columns(document)
    return rows_as_csv(
        [
            {**head, **row}
            for year in document["results"]
            for row in week_rows(year, courses[year["spot"]])
        ]
    )


def week_rows(year: dict[str, Any], course: list[dict[str, Any]]) -> Iterator[dict[str, object]]:
    """The weeks of one group of the document of year, flat."""
    reason = year["reason"] or {}
    named: dict[str, object] = {name: year[name] for name in GROUP}
    said: dict[str, object] = {"reason_code": reason.get("code"), "reason": reason.get("text")}
    if not year["weeks"]:
        empty: dict[str, object] = dict.fromkeys((*COURSE, *WEEK, *CARE))
        yield {**named, **empty, **said}
        return
    care = {
        (run["first_week"] + later - 1) % len(course) + 1: {name: run[name] for name in CARE}
        for run in year["runs"]
        for later in range(run["weeks"])
    }
    for week, place in zip(year["weeks"], course, strict=True):
        yield {
            **named,
            **{name: place[name] for name in COURSE},
            **{name: week[name] for name in WEEK},
            **care[week["week"]],
            **said,
        }
