"""The sheet of many places: at how many each group can live, and which could not be answered."""

from __future__ import annotations

from typing import TYPE_CHECKING

from suitability.answers import words
from suitability.answers.sheet import Column, Facts, Section, Sheet, Table, Text, build_table

if TYPE_CHECKING:
    from suitability.atlas.tally import FailedPlace, GroupTally, PlacesResult

FAILED_SHOWN = 20  # every one stands in the file of rows


def places_sheet(result: PlacesResult) -> Sheet:
    """How many places, how many without an answer, and the verdicts of each group."""
    several = len({row.spot for row in result.results}) > 1
    columns: list[Column[GroupTally]] = [
        *([Column.field("Spot", "spot", words.clean, repeats=True)] if several else []),
        Column.field("Group", "group_name", words.clean),
        Column.field("Outdoor-all-year", "all_year", str, short="Outdoor-\nall-year", number=True),
        Column.field("Outdoor-seasonal", "seasonal", str, short="Outdoor-\nseasonal", number=True),
        Column.field("Indoor-only", "indoor_only", str, short="Indoor-\nonly", number=True),
        Column.field("No verdict", "no_verdict", str, short="No\nverdict", number=True),
    ]
    sections = [
        Section(
            name="verdicts",
            title="At how many places each verdict holds",
            blocks=(build_table("verdicts", columns, result.results),),
        )
    ]
    if result.failed:
        sections.append(_failed(result.failed))
    return Sheet(
        title="Many places",
        headline=_headline(result),
        about=Facts(rows=()),
        sections=tuple(sections),
    )


def _headline(result: PlacesResult) -> str:
    """The one group's answer, or how many places were answered for how many groups."""
    total, without = result.places, result.places - result.answered
    failed = f" {without} of {total} places could not be answered." if without else ""
    rows = f"Every place is told in {words.clean(result.results_file)}."
    if len(result.results) == 1:
        one = result.results[0]
        counts = (
            (one.all_year, "can live outdoors all year at {}"),
            (one.seasonal, "can live outdoors for a season at {}"),
            (one.indoor_only, "belongs indoors at {}"),
            (one.no_verdict, "has too short a record for a verdict at {}"),
        )
        told = [text.format(number) for number, text in counts if number]
        answer = f"Of {total} places {words.clean(one.group_name)} {', '.join(told)}."
    else:
        groups = len({row.group for row in result.results})
        answer = f"{groups} groups were judged at {result.answered} of {total} places."
    unseen = max((row.with_unseen for row in result.results), default=0)
    where = "1 place" if unseen == 1 else f"{unseen} places"
    marked = (
        f" At {where} nights nobody saw may have been worse: column unseen_nights."
        if unseen
        else ""
    )
    return f"{answer}{failed}{marked} {rows}"


def _failed(failed: tuple[FailedPlace, ...]) -> Section:
    """Which places, and why; the first of many."""
    columns: list[Column[FailedPlace]] = [
        Column.field("Line", "line", str, number=True),
        Column.field("Place", "name", words.clean, widest=30),
        Column.field("Why", "reason", words.clean, wraps=True),
    ]
    table: Table = build_table("failed", columns, failed[:FAILED_SHOWN])
    more = len(failed) - FAILED_SHOWN
    rest = (Text(sentences=(f"{more} more stand in the file of rows.",)),) if more > 0 else ()
    return Section(name="failed", title="Without an answer", blocks=(table, *rest))
