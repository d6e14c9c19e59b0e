"""
Every table of check, moves, year and compare for spreadsheets, as docs/spreadsheets.md lists them.

They hold what the JSON documents hold, laid out in rows; days are "MM-DD", temperatures °C.
"""

from __future__ import annotations

from typing import TYPE_CHECKING, Any

from suitability.answers import words
from suitability.answers.head import head_rows
from suitability.output.comparison_words import comparison_document, row_columns
from suitability.output.csvfile import MONTHLY, check_row, record_columns
from suitability.output.document import check_document
from suitability.output.moves_csv import move_row
from suitability.output.moves_document import moves_document
from suitability.output.weeks_csv import week_rows
from suitability.output.weeks_document import year_document
from suitability.output.workbook import Sheet
from suitability.units import TemperatureUnit

if TYPE_CHECKING:
    from collections.abc import Iterable, Mapping, Sequence

    from suitability.advice.compared import Comparison
    from suitability.advice.growth_year import GrowthYearResult
    from suitability.advice.moves_result import MovesResult
    from suitability.advice.result import CheckResult
    from suitability.answers.head import Answer

__all__ = ["check_sheets", "compare_sheets", "moves_sheets", "year_sheets"]

WHO = ("spot", "group", "group_name", "plant")
MONTH = (
    "hours_below", "hours_below_median", "hours_below_bad", "degree_hours_below", "years_of_month",
    "hours_below_rest", "degree_hours_below_rest", "growing_days", "unsafe_share",
)  # fmt: skip
RAW = ("year", "month", "hours_valid", "hours_below", "degree_hours_below")
NIGHT = ("evening", "minimum_c", "below_limit_c")
FORTNIGHT = ("last_evening", "dose_c_h", "lowest_c")
PAST = ("year", "out", "in", "days", "kept", "first_day", "nights")
THRESHOLD = ("threshold_c", "seasons", "seasons_with_event", "summers_without_gap")
LEVEL = (
    "probability", "spring_if_it_happens", "spring_in_any_year", "autumn_if_it_happens",
    "autumn_in_any_year",
)  # fmt: skip
COURSE = ("week", "first_day", "last_day", "days", "night_c", "day_c", "day_length_h")
CHANGE = (
    "phase", "set_by", "day", "week", "earliest_day", "latest_day", "earliest_week", "latest_week",
    "years_with", "of_years",
)  # fmt: skip
DIFFERENCE = ("difference", "low", "high")
RUN = (
    "phase", "first_week", "last_week", "weeks", "first_day", "last_day", "water", "feed",
    "look_for",
)  # fmt: skip


def check_sheets(result: CheckResult) -> tuple[Sheet, ...]:
    """Verdicts, the mean year by months, raw months, causes, and the worst if asked for."""
    document = check_document(result)
    findings = document["results"]
    head = record_columns(document)
    monthly = {f"{of}_{month:02d}" for of in MONTHLY for month in range(1, 13)}
    verdicts = [
        {
            key: value
            for key, value in check_row(document, one).items()
            if key not in {*head, *monthly}
        }
        for one in findings
    ]
    months = [
        {
            **_who(one),
            "month": month,
            **{name: None if one[name] is None else one[name][month - 1] for name in MONTH},
        }
        for one in findings
        for month in range(1, 13)
    ]
    causes = [
        {**_who(one), "cause": limiting["cause"], "month": month}
        for one in findings
        for limiting in one["limiting"]
        for month in limiting["months"] or [None]
    ]
    sheets = [
        _about(result),
        _sheet("verdicts", verdicts, WHO),
        _sheet("months", months, (*WHO, "month", *MONTH)),
        _sheet("months of years", _nested(findings, "by_month", RAW), (*WHO, *RAW)),
        _sheet("causes", causes, (*WHO, "cause", "month")),
    ]
    for name, key, columns in (
        ("worst nights", "worst_nights", NIGHT),
        ("worst fortnights", "worst_fortnights", FORTNIGHT),
    ):
        rows = _nested(findings, key, columns)
        if rows:
            sheets.append(_sheet(name, rows, (*WHO, *columns)))
    return tuple(sheets)


def moves_sheets(result: MovesResult) -> tuple[Sheet, ...]:
    """Dates with their odds, past years, and dates of a temperature if asked for."""
    document = moves_document(result)
    head = record_columns(document)
    dates = [
        {key: value for key, value in move_row(document, one).items() if key not in head}
        for one in document["results"]
    ]
    sheets = [
        _about(result),
        _sheet("dates", dates, WHO),
        _sheet("past years", _nested(document["results"], "by_year", PAST), (*WHO, *PAST)),
    ]
    thresholds = [
        {**_some(one, THRESHOLD), **_some(level, LEVEL)}
        for one in document["thresholds"]
        for level in one["levels"]
    ]
    if thresholds:
        sheets.append(_sheet("temperatures", thresholds, (*THRESHOLD, *LEVEL)))
    return tuple(sheets)


def year_sheets(result: GrowthYearResult) -> tuple[Sheet, ...]:
    """The weeks of each group, its phases and their changes, and the place's own year."""
    document = year_document(result)
    courses = {course["spot"]: course["weeks"] for course in document["courses"]}
    weeks = [row for year in document["results"] for row in week_rows(year, courses[year["spot"]])]
    own = [
        {"spot": course["spot"], **_some(week, COURSE)}
        for course in document["courses"]
        for week in course["weeks"]
    ]
    who = WHO[:3]  # a calendar is of a group, never of a single plant
    return (
        _about(result),
        _sheet("weeks", weeks, who),
        _sheet("phases", _nested(document["results"], "runs", RUN, who), (*who, *RUN)),
        _sheet("changes", _nested(document["results"], "changes", CHANGE, who), (*who, *CHANGE)),
        _sheet("place", own, ("spot", *COURSE)),
    )


def compare_sheets(found: Comparison) -> tuple[Sheet, ...]:
    """Spots and groups, the differences of neighbours, and whose weather it is."""
    document = comparison_document(found)
    places = [
        {**place, **credit}
        for place, credit in zip(document["places"], document["credits"], strict=True)
    ]
    spots = [row_columns(row) for row in document["results"]]
    differences = [_difference_row(one) for one in document["differences"]]
    about = [{"what": "Promise", "text": f"what {found.promise:.0%} of new years keep"}]
    about.append({"what": "Cautions", "text": words.CAUTIONS})
    if any(place.invented for place in found.places):
        about.insert(0, {"what": "Invented", "text": words.INVENTED})
    who = ("place", "spot", "group")
    return (
        Sheet(name="about", columns=("what", "text"), rows=tuple(about)),
        _sheet("places", places, ("name",)),
        _sheet("spots", spots, who),
        _sheet("differences", differences, ("group", "reason")),
    )


def _difference_row(one: dict[str, Any]) -> dict[str, object]:
    """The difference of two spots, flat."""
    row: dict[str, object] = {"group": one["group"]}
    for name in ("better", "other"):
        row |= {f"{name}_{key}": one[name][key] for key in ("place", "spot")}
    row["reason"] = one["reason"]
    for name in ("unsafe_nights", "hours_below"):
        values = one[name]
        row |= {f"{name}_{key}": None if values is None else values[key] for key in DIFFERENCE}
    return {**row, "years": one["years"], "told_apart": one["told_apart"]}


def _about(result: Answer) -> Sheet:
    """Place, record, station, licence and credit, what was asked, and what it cannot say."""
    rows = [("Invented", words.INVENTED)] if result.place.invented else []
    rows += [*head_rows(result, TemperatureUnit.C), ("Cautions", words.CAUTIONS)]
    return Sheet(
        name="about",
        columns=("what", "text"),
        rows=tuple({"what": label, "text": text} for label, text in rows),
    )


def _sheet(name: str, rows: Sequence[Mapping[str, object]], columns: Sequence[str]) -> Sheet:
    """A table with the columns of its rows; those given stand in for them where it has none."""
    return Sheet(name=name, columns=tuple(rows[0]) if rows else tuple(columns), rows=tuple(rows))


def _nested(
    results: Iterable[dict[str, Any]],
    key: str,
    columns: Sequence[str],
    who: Sequence[str] = WHO,
) -> list[dict[str, object]]:
    """The rows of a list within each result, each beginning with whose it is."""
    return [{**_some(one, who), **_some(row, columns)} for one in results for row in one[key]]


def _who(one: dict[str, Any]) -> dict[str, object]:
    return _some(one, WHO)


def _some(values: dict[str, Any], names: Sequence[str]) -> dict[str, object]:
    return {name: values[name] for name in names}
