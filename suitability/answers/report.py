"""The sheet of a report: everything about a place, its spots and groups, in order of questions."""

from __future__ import annotations

from typing import TYPE_CHECKING

from msgspec.structs import replace

from suitability.advice.report import Direction
from suitability.advice.terms import Verdict
from suitability.answers import dates, words
from suitability.answers.ahead import WAYS, agenda, move_ahead
from suitability.answers.cards import card_cautions
from suitability.answers.check import verdicts_table
from suitability.answers.check_charts import hours_chart, row_labels, year_chart, year_title
from suitability.answers.coverage import coverage_blocks, coverage_title, observed_years
from suitability.answers.head import HEATING, make_sheet
from suitability.answers.moves_charts import past_years_chart
from suitability.answers.ranking import best_first
from suitability.answers.report_charts import nights_table
from suitability.answers.report_group import group_section
from suitability.answers.sheet import (
    Cell,
    Column,
    Legend,
    Level,
    Section,
    Table,
    Text,
    build_table,
)
from suitability.answers.spots import range_sentences, spot_sentences
from suitability.answers.trials import trials_table
from suitability.answers.year_charts import phases_key

if TYPE_CHECKING:
    from collections.abc import Callable, Iterable, Sequence

    from suitability.advice.moves import MoveDate
    from suitability.advice.report import NextChange, NextMove, ReportResult
    from suitability.advice.result import CheckResult, Finding
    from suitability.answers.sheet import Block, Sheet
    from suitability.units import TemperatureUnit

    Compared = tuple[str, dict[str, tuple[Finding, bool]]]  # a group, and it at each spot

DOING = {
    "growing": "begins to grow: water and feed as in growth",
    "slowing": "slows down: less water, end of feed",
    "resting": "begins its rest: rest water, no feed",
    "waking": "wakes: water with the new roots, then feed",
}
TRIED = (
    "Every hour of the spot so much warmer or colder, as under a wall or in a hollow; worked out "
    "beforehand by the same rules. ▸ marks what would be other than now."
)
HOURS_NOTE = (
    "The number of each month stands in its cell, the bad year in the section of each group."
)
HOW_DRAWN = (
    "Charts are pictures of the tables beside them; point at them for the numbers in words. "
    "Months run along the top, in standard time."
)
NIGHTS_DRAWN = (
    "The thick line is the usual minimum of each night, the shade around it holds eight of ten "
    "nights, the dotted line is the lowest on record. The level lines are the group's own: floor, "
    "rest floor, chill base, and the limits wet and dry. The upright shade is its season outdoors."
)
ON_PAPER = "On paper, nights that were not observed are grey instead of hatched."
PERCENTILES = (
    "Percentiles of a day are taken over the five days around it in all years. Minima are lowered "
    "by what hourly readings miss, as verdicts take them."
)
METHOD = (
    "A night harms a group if it is below its limit, if cold has added up over a fortnight, or, "
    "for groups that heat excludes, at the end of four hot days. A promise is calibrated: it is to "
    "be kept by that share of years that had no part in making it. Hours below the growth floor do "
    "not harm; they decide whether a plant grows or only survives. Nights with missing hours never "
    "prove a year kept."
)
WHERE = (
    "The rules in full, with sources, are in docs/method.md and docs/promise.md of the program; "
    "whether promises hold in docs/calibration.md; rest, heat and dry air in docs/rest.md; what a "
    "spot adds in docs/spots.md; the words in docs/glossary.md."
)


def report_sheet(result: ReportResult, units: TemperatureUnit) -> Sheet:
    """What a report says; its groups are the parts of the section `groups`."""
    one = words.who(result.check.results)
    groups = tuple(group_section(at, result, units) for at in range(len(result.check.results)))
    sections = [
        _next_moves(result),
        Section(
            name="years-drawn",
            title="What lives here",
            lead=True,
            blocks=(year_chart(result.check, units),),
        ),
        _verdicts(result, units),
        _next(result),
        _hours(result.check, units),
        Section(
            name="try",
            title="If the spot were warmer or colder, or more were promised",
            blocks=(Text(sentences=(TRIED,)), trials_table(result)),
        ),
        _spots(result, units),
        _keys(result),
        Section(name="groups", title=f"{one} by {one.lower()}", parts=groups),
        _nights(result, units),
        _coverage(result),
        Section(
            name="method", title="The method in short", blocks=(Text(sentences=(METHOD, WHERE)),)
        ),
        Section(
            name="cautions",
            title="Cautions",
            blocks=(Text(sentences=(*card_cautions(result.cards), HEATING)),),
        ),
    ]
    return make_sheet(
        result,
        units,
        title=f"What lives at {result.place.name}, and when it moves",
        headline=year_title(result.check, units),
        judged=result.check.results,
        sections=[section for section in sections if section.blocks or section.parts],
    )


def _names(result: ReportResult) -> list[str]:
    """Name of each group, plant or spot of the report."""
    check = result.check
    return [words.finding_label(finding, check, key=False) for finding in check.results]


# All groups --------------------------------------------------------------------------------------


def _hours(check: CheckResult, units: TemperatureUnit) -> Section:
    """Hours below the floor of all groups, drawn."""
    hours = hours_chart(check, units)
    return Section(
        name="hours-drawn",
        title=hours.title,
        label="Hours below the floor",
        blocks=(hours, Text(sentences=(HOURS_NOTE,))),
    )


def _verdicts(result: ReportResult, units: TemperatureUnit) -> Section:
    """Verdicts and dates of all groups, a table a spot."""
    check = result.check
    tables = []
    spots = list(dict.fromkeys(finding.spot for finding in check.results))
    for number, spot in enumerate(spots, start=1):
        here = best_first([finding for finding in check.results if finding.spot == spot])
        table = verdicts_table(here, units, name=f"verdicts-{number}")
        where = f"At the spot {words.clean(spot, 40)}" if len(spots) > 1 else ""
        tables.append(replace(table, title=where))
    return Section(name="verdicts", title="Verdicts and dates", blocks=tuple(tables))


# What comes next ---------------------------------------------------------------------------------


def _next_moves(result: ReportResult) -> Section:
    """The next moves alone, before everything else."""
    labels = row_labels(result.check)
    rows = [
        move_ahead(
            one.day,
            labels[one.number],
            WAYS[result.moves.results[one.number].indoors][one.direction is Direction.IN],
        )
        for one in result.next_moves
        if _date_of(one, result) is not None
    ]
    return Section(
        name="next-moves",
        title=f"Next moves, from {words.day_month(result.on)} on",
        lead=True,
        blocks=(agenda(rows, turned=True),),
    )


def _next(result: ReportResult) -> Section:
    """Dates ahead, in order, with the weeks to watch."""
    moves = [one for one in result.next_moves if _date_of(one, result) is not None]
    names, one = _names(result), words.who(result.check.results).lower()
    watched = [
        f"{names[one.number]} ({'to go out' if one.direction is Direction.OUT else 'to come in'})"
        for one in moves
        if one.watching
    ]
    blocks: list[Block] = []
    if watched:
        told = f"To be watched now, by the forecast: {'; '.join(watched)}."
        blocks.append(Text(sentences=(told,)))
    none = Text(sentences=(f"No {one} has a date of moving.",))
    blocks.append(moves_table(result, moves) if moves else none)
    promised = (
        f"Promised: with both dates, {result.settings.promise:.0%} of new years keep the season. "
        "Between the promised and the typical date, that of half of the years, the forecast "
        "decides."
    )
    blocks.append(Text(sentences=(promised,)))
    changes: Block = Text(sentences=("No change of water or feed within the next twelve weeks.",))
    if result.next_changes:
        changes = changes_table(result)
    return Section(
        name="next",
        title=f"When to watch, and what changes, from {words.day_month(result.on)} on",
        label="When to watch",
        blocks=tuple(blocks),
        parts=(Section(name="changes", blocks=(changes,)),),
    )


def _date_of(one: NextMove, result: ReportResult) -> MoveDate | None:
    """The date that comes next; None where it has none."""
    move = result.moves.results[one.number]
    return move.out if one.direction is Direction.OUT else move.inn


def moves_table(result: ReportResult, moves: Sequence[NextMove]) -> Table:
    """Dates of going out and coming in, in the order given."""
    names = _names(result)

    def watch(one: NextMove) -> str:
        date = _date_of(one, result)
        told = "none" if date is None else dates.watch(date, result.moves.results[one.number])
        return f"now: {told}" if one.watching else told

    def what(one: NextMove) -> str:
        if result.moves.results[one.number].indoors:
            return "move there" if one.direction is Direction.OUT else "take away"
        if one.direction is Direction.OUT:
            not_yet = words.no_growth_yet(result.moves.results[one.number])
            return "; ".join(filter(None, ("move out, harden two weeks", not_yet)))
        return f"carry in {dates.carry_in(result.moves.results[one.number])}"

    columns: list[Column[NextMove]] = [
        Column.of(words.who(result.check.results), lambda one: names[one.number]),
        Column.of("What", what),
        Column.field("Promised", "day", words.day_month),
        Column.field("In days", "in_days", lambda days: str(days) if days else "today"),
        Column.of("Watch the forecast", watch),
    ]
    return build_table(
        "next-moves", columns, moves, title="All moves, in order of date", folded=True
    )


def changes_table(result: ReportResult) -> Table:
    """Phases that begin within the next weeks."""
    names = _names(result)
    columns: list[Column[NextChange]] = [
        Column.field("Usually on", "day", words.day_month),
        Column.field("In days", "in_days", str),
        Column.field("What", "phase", lambda phase: DOING[phase.value], wraps=True),
        Column.field(
            f"{words.who(result.check.results)}s",
            "numbers",
            lambda numbers: "; ".join(names[number] for number in numbers),
            wraps=True,
        ),
    ]
    return build_table(
        "next-changes",
        columns,
        result.next_changes,
        title="Next changes of water and feed, twelve weeks ahead",
    )


# Spots side by side ------------------------------------------------------------------------------


def _spots(result: ReportResult, units: TemperatureUnit) -> Section:
    """What each spot adds, and the groups side by side."""
    told = [
        f"{words.clean(spot.name, 60)}: {sentence}"
        for spot in result.check.spots
        for sentence in spot_sentences(result.check, spot.name, units)
    ]
    told += range_sentences(result.check.results)
    blocks: list[Block] = []
    if any(len(found) > 1 for found in _at_spots(result).values()):
        blocks.append(spots_table(result))
    if told:
        blocks.append(Text(sentences=tuple(told)))
    return Section(name="spots", title="The spots compared", blocks=tuple(blocks))


def spots_table(result: ReportResult) -> Table:
    """What each group can do at each spot."""
    spots = list(dict.fromkeys(finding.spot for finding in result.check.results))

    def at(spot: str) -> Callable[[Compared], Cell | str]:
        return lambda row: _at_spot(*row[1][spot]) if spot in row[1] else ""

    columns: list[Column[Compared]] = [
        Column.of(words.who(result.check.results), lambda row: row[0]),
        *(Column.of(words.clean(spot, 60), at(spot), wraps=True) for spot in spots),
    ]
    rows: Iterable[Compared] = [
        (words.full_name(next(iter(found.values()))[0]), found)
        for found in _at_spots(result).values()
    ]
    return build_table(
        "spots", columns, rows, title=f"{words.who(result.check.results)}s at each spot"
    )


def _at_spots(result: ReportResult) -> dict[tuple[str, ...], dict[str, tuple[Finding, bool]]]:
    """Each group, or plants judged alike, by its spots, with whether the spot is in a room."""
    found: dict[tuple[str, ...], dict[str, tuple[Finding, bool]]] = {}
    for finding, move in zip(result.check.results, result.moves.results, strict=True):
        at_spots = found.setdefault((finding.group_name, *finding.plants), {})
        at_spots[finding.spot] = (finding, move.indoors)
    return found


def _at_spot(finding: Finding, indoors: bool) -> Cell:  # noqa: FBT001  (a pair, unpacked)
    """Verdict and dates in one cell."""
    text = words.verdict_words(finding.verdict, indoors=indoors)
    if finding.verdict is Verdict.SEASONAL and finding.season is not None:
        text += f", {words.season_of(finding, short=True)} ({finding.season.days} days)"
    return Cell(text, mark=words.VERDICT_MARKS[finding.verdict])


# How charts are drawn, and the numbers behind them -----------------------------------------------


def _keys(result: ReportResult) -> Section:
    """What the fills, hatches and marks of every group's charts mean."""
    detailed: list[Block] = [Legend(title="Nights", notes=(NIGHTS_DRAWN,))]
    drawn = next((move for move in result.moves.results if move.by_year), None)
    if drawn is not None:
        chart = past_years_chart(drawn, "key", "")
        detailed.append(
            Legend(
                title="Past years, night by night", key=chart.key, notes=(*chart.notes, ON_PAPER)
            )
        )
    return Section(
        name="keys",
        title="How the charts of the groups are drawn",
        blocks=(Text(sentences=(HOW_DRAWN,)),),
        parts=(
            Section(
                name="keys-years",
                blocks=(
                    Legend(title="The year of a group", key=phases_key(result.growth.results)),
                ),
            ),
            Section(name="keys-nights", level=Level.DETAIL, blocks=tuple(detailed)),
        ),
    )


def _nights(result: ReportResult, units: TemperatureUnit) -> Section:
    """The numbers behind the charts of nights, one table a spot."""
    several = len(result.courses) > 1
    tables = [
        nights_table(
            course,
            units,
            "Night minima of each day" + (f", {words.clean(course.spot, 60)}" if several else ""),
        )
        for course in result.courses
    ]
    return Section(
        name="nights",
        title="Nights of the year in numbers",
        blocks=(*tables, Text(sentences=(PERCENTILES,))),
    )


def _coverage(result: ReportResult) -> Section:
    """The calendar of coverage."""
    years = observed_years(result.coverage)
    title = coverage_title(result.place.name, years)
    return Section(
        name="record",
        title="How well the record was observed",
        parts=(
            Section(
                name="observed", title=title, blocks=coverage_blocks(title, years, folded=True)
            ),
        ),
    )
