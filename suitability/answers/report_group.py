"""One group, or plant, at one spot in a report: its card, its charts, the numbers behind them."""

from __future__ import annotations

from typing import TYPE_CHECKING

from msgspec import Struct
from msgspec.structs import replace

from suitability.advice.terms import Verdict
from suitability.answers import dates, flowers, phases, words
from suitability.answers.cards import card_facts
from suitability.answers.moves import own_dates_table
from suitability.answers.moves_charts import (
    dates_title,
    moving_dates_chart,
    past_years_chart,
    years_table,
)
from suitability.answers.profile import dry_air_sentence, heat_sentence
from suitability.answers.report_charts import (
    care_table,
    group_weeks_chart,
    heat_chart,
    heat_title,
    hours_by_month,
    months_chart,
    months_title,
    nights_chart,
    nights_title,
    weeks_heading,
)
from suitability.answers.sheet import Column, Level, Section, Table, Text, build_table

if TYPE_CHECKING:
    from suitability.advice.card import Card
    from suitability.advice.growth_year import GrowthYear, GrowthYearResult
    from suitability.advice.moves import Move
    from suitability.advice.plant_year import RestOfYear, RestOutlook
    from suitability.advice.report import NightCourse, ReportResult
    from suitability.advice.result import Finding
    from suitability.answers.sheet import Block
    from suitability.units import TemperatureUnit

LEAST_HEAT_H = 0.5  # a year, below which there is nothing to draw
LEFT_OUT = frozenset(("", "Animals", "Heat", "Water", "Feed"))  # told in the cautions, or below
REST_STATES = {"met": "met", "partly": "partly", "not": "not met"}


class _Subject(Struct, frozen=True, kw_only=True):
    """
    All that a report knows of one group at one spot.

    Attributes
    ----------
    number
        In the order of the report, from 1 on.
    label
        Its name, with its spot where there are several.
    """

    number: int
    label: str
    finding: Finding
    move: Move
    year: GrowthYear
    card: Card
    course: NightCourse


def group_section(at: int, result: ReportResult, units: TemperatureUnit) -> Section:
    """
    What is said of one group at one spot.

    Parameters
    ----------
    at
        Its place in the report, from 0 on.
    """
    finding = result.check.results[at]
    subject = _Subject(
        number=at + 1,
        label=words.finding_label(finding, result.check, key=False),
        finding=finding,
        move=result.moves.results[at],
        year=result.growth.results[at],
        card=result.cards.cards[at],
        course=next(one for one in result.courses if one.spot == finding.spot),
    )
    facts = card_facts(subject.card, units)
    kept = tuple(fact for fact in facts.rows if fact.label not in LEFT_OUT)
    parts = [
        _weeks(subject, result.growth, units),
        _months(subject, units),
        _nights(subject, units),
        _moving(subject),
        _past_years(subject),
        _heat(subject, units),
        _rest(subject.card),
    ]
    verdict = words.verdict_words(finding.verdict, indoors=subject.move.indoors)
    return Section(
        name=f"group-{subject.number}",
        title=f"{subject.label}: {verdict}",
        folded=len(result.check.results) > 1,
        blocks=(Text(sentences=(_lead(finding),)), replace(facts, rows=kept)),
        parts=tuple(part for part in parts if part is not None),
    )


def _lead(finding: Finding) -> str:
    """Life and flowers in one line, why, and what the promise rests on."""
    parts = [finding.line] if finding.verdict is not Verdict.NONE else []
    if finding.reason is not None:
        parts.append(words.why(finding))
    if finding.verdict in {Verdict.SEASONAL, Verdict.ALL_YEAR} and not finding.steady:
        parts.append(words.promise(finding))
    parts = [part[:1].upper() + part[1:] for part in parts]
    return " ".join(part if part.endswith(".") else f"{part}." for part in parts)


def _charted(subject: _Subject, name: str, title: str, *blocks: Block, level: Level) -> Section:
    """A chart and what stands beside it, below its finding."""
    return Section(
        name=f"{name}-of-{subject.number}", title=title, level=level, blocks=tuple(blocks)
    )


def _titled(subject: _Subject, title: str) -> str:
    """The finding of a chart where it stands alone."""
    return f"{subject.label}: {title}"


def _weeks(subject: _Subject, growth: GrowthYearResult, units: TemperatureUnit) -> Section:
    """What it does through the year, water and feed."""
    year, finding = subject.year, subject.finding
    title = weeks_heading(year, finding)
    blocks: list[Block] = []
    if year.runs:
        name = f"weeks-{subject.number}"
        blocks = [
            group_weeks_chart(year, name, _titled(subject, title)),
            care_table(year),
            Text(sentences=(" ".join(phases.notes(year, growth, units)),)),
        ]
    return _charted(subject, "weeks", title, *blocks, level=Level.BRIEF)


def _months(subject: _Subject, units: TemperatureUnit) -> Section:
    """Hours below the floors."""
    finding = subject.finding
    title = months_title(finding, units)
    return _charted(
        subject,
        "hours",
        title,
        months_chart(finding, f"hours-{subject.number}", _titled(subject, title), units),
        hours_by_month(finding, subject.card.heat, units),
        level=Level.BRIEF,
    )


def _nights(subject: _Subject, units: TemperatureUnit) -> Section:
    """Night minima and thresholds; their numbers stand once for all groups of a spot."""
    finding, course = subject.finding, subject.course
    title = nights_title(course, finding, units)
    name = f"nights-{subject.number}"
    drawn = nights_chart(course, finding, name, _titled(subject, title), units)
    return _charted(subject, "nights", title, drawn, level=Level.DETAIL)


def _moving(subject: _Subject) -> Section | None:
    """Dates of moving."""
    move = subject.move
    if move.out is None or move.inn is None or not move.by_year:
        return None
    title = dates_title(move)
    return _charted(
        subject,
        "dates",
        title,
        moving_dates_chart(move, f"dates-{subject.number}", _titled(subject, title)),
        own_dates_table(move),
        level=Level.DETAIL,
    )


def _past_years(subject: _Subject) -> Section | None:
    """Past years, night by night."""
    move = subject.move
    if not move.by_year:
        return None
    title = _evidence(move)
    name = f"past-years-{subject.number}"
    return _charted(
        subject,
        "years",
        title,
        past_years_chart(move, name, _titled(subject, title)),
        replace(years_table(move, f"years-{subject.number}"), folded=True),
        level=Level.DETAIL,
    )


def _evidence(move: Move) -> str:
    """What became of the season in past years."""
    if move.verdict is Verdict.NONE:
        return "Past years night by night: too few of them tell for a verdict."
    if move.season is None or move.verdict is Verdict.INDOOR:
        return "Past years night by night: no stretch of 70 days keeps the promise."
    if move.steady:
        return "Past years night by night: no weather changes the nights of this room."
    expected = dates.percent(move.chance)
    return (
        f"{dates.kept(move)} past years kept the season; {expected} of new years are expected to."
    )


def _heat(subject: _Subject, units: TemperatureUnit) -> Section | None:
    """Heat and dry air; the numbers stand in the table of hours by month."""
    heat, dry_air = subject.card.heat, subject.card.dry_air
    told = [] if heat is None else [f"Heat: {heat_sentence(heat, units)}."]
    if dry_air is not None:
        told.append(f"Dry air: {dry_air_sentence(dry_air, units)}.")
    if heat is not None and any(heat.hours_by_month):
        told.append("Months are means of all that were observed, the year of usable years alone.")
    if not told:
        return None
    title = "Heat and dry air"
    blocks: list[Block] = [Text(sentences=(" ".join(told),))]
    if heat is not None and heat.hours_mean is not None and heat.hours_mean >= LEAST_HEAT_H:
        title = heat_title(heat, units)
        name = f"heat-{subject.number}"
        blocks.insert(0, heat_chart(heat, name, _titled(subject, title), units))
    return _charted(subject, "heat", title, *blocks, level=Level.BRIEF)


def _rest(card: Card) -> Section | None:
    """What its flowers hang on, or what helps them, year by year."""
    rest = card.rest
    if rest is None or not rest.by_year or not (rest.needed or rest.trigger):
        return None
    counts = flowers.enough(rest, indoors=card.indoors)
    title = f"What flowers hang on: {counts}."
    if not rest.needed:
        title = f"A rest that only helps: {counts}."
    return Section(name="rest", title=title, level=Level.BRIEF, blocks=(rest_table(rest),))


def rest_table(rest: RestOutlook) -> Table:
    """What each past year brought of it."""
    columns: list[Column[RestOfYear]] = [
        Column.field("From", "year", str),
        Column.field("Rest", "state", REST_STATES.__getitem__),
        Column.field(
            "Met on",
            "met_on",
            lambda day: "" if day is None else words.day_month(day, short=True),
        ),
        Column.field("Nights that count", "nights", str, number=True),
        Column.field("Missing", "missing", lambda missing: missing or ""),
    ]
    return build_table(
        "rest",
        columns,
        rest.by_year,
        title="What brings flowers, year by year",
        stacked=False,
        folded=True,
    )
