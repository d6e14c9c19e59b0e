"""One group, or plant, at one spot in a report: its card, its charts, the numbers behind them."""

from __future__ import annotations

import html
from enum import Enum
from typing import TYPE_CHECKING, Any

from msgspec import Struct

from suitability.advice.verdicts import Verdict
from suitability.answers import words
from suitability.answers.past_years import years_table
from suitability.output import weeks_words
from suitability.output.card_words import card_rows
from suitability.output.frame import render_head
from suitability.output.page import render_table
from suitability.output.profile_words import dry_air_sentence, heat_sentence
from suitability.output.report_figures import draw_dates, draw_heat, draw_months, draw_weeks_of
from suitability.output.report_nights import draw_nights
from suitability.output.report_tables import (
    dates_table,
    months_table,
    note,
    rest_table,
    weeks_table,
)
from suitability.output.report_titles import (
    dates_title,
    evidence_heading,
    heat_title,
    months_title,
    nights_title,
    weeks_heading,
)

if TYPE_CHECKING:
    from collections.abc import Callable

    from suitability.advice.growth_year import GrowthYear, GrowthYearResult
    from suitability.advice.moves_result import Move
    from suitability.advice.plant_year import PlantYear
    from suitability.advice.report import NightCourse, ReportResult
    from suitability.advice.result import Finding
    from suitability.units import TemperatureUnit

    AddChart = Callable[..., str]

__all__ = ["PRINTED_WHOLE", "Chart", "render_group"]

LEAST_HEAT_H = 0.5  # a year, below which there is nothing to draw
PRINTED_WHOLE = 3  # sections up to which every chart stands on paper; more are printed in short
LEFT_OUT = frozenset(("", "Animals", "Heat", "Water", "Feed"))  # told in the cautions, or below


class Printed(Enum):
    """What of a chart stands on paper where the groups are many."""

    ALL = "all"
    TABLE = "its title and table"
    TITLE = "its title"


class Chart(Struct, frozen=True, kw_only=True):
    """
    A chart of the page: its place, the sentence that it finds, and what is drawn.

    That is either a figure as plain values, or the past years of a move.
    """

    identifier: str
    title: str
    figure: dict[str, Any] | None = None
    season_years: Move | None = None


def render_group(
    number: int, result: ReportResult, units: TemperatureUnit, charts: list[Chart]
) -> str:
    """
    The section of one group; its charts are added to those of the page.

    Parameters
    ----------
    number
        Of the group and spot in the report.
    """
    finding, move = result.check.results[number], result.moves.results[number]
    year, card = result.growth.results[number], result.cards.cards[number]
    course = next(one for one in result.courses if one.spot == finding.spot)

    def chart(
        name: str, title: str, table: str, printed: Printed = Printed.TITLE, **drawn: Any
    ) -> str:
        """Title, place and table of one chart."""
        identifier = f"g{number}-{name}"
        charts.append(Chart(identifier=identifier, title=title, **drawn))
        return _chart(identifier, title, table, printed)

    name = words.finding_label(finding, result.check, key=False)
    body = [
        f'<p class="lead">{html.escape(_lead(finding))}</p>',
        render_head([row for row in card_rows(card, units) if row[0] not in LEFT_OUT]),
        _weeks(year, finding, result.growth, units, chart),
        chart(
            "months",
            months_title(finding, units),
            months_table(finding, card.heat, units),
            Printed.TABLE,
            figure=draw_months(finding, units),
        ),
        _nights(course, finding, units, chart),
        _dates(move, chart),
        _evidence(move, chart),
        _heat(card, units, chart),
        _rest(card),
    ]
    whole = " whole" if len(result.check.results) <= PRINTED_WHOLE else ""
    return (
        f'<section class="group{whole}" id="g{number}" aria-labelledby="g{number}-heading">\n'
        f'<h2 id="g{number}-heading">{html.escape(name)}: '
        f"{html.escape(words.verdict_words(finding.verdict, indoors=move.indoors))}</h2>\n"
        + "\n".join(filter(None, body))
        + '\n<p class="back"><a href="#verdicts">Back to all groups</a> <button type="button" '
        'class="print" hidden>Print this group alone, with all charts</button></p>\n</section>'
    )


def _lead(finding: Finding) -> str:
    """Life and flowers in one line, why, and what the promise rests on."""
    parts = [finding.line] if finding.verdict is not Verdict.NONE else []
    if finding.reason is not None:
        parts.append(words.clean(finding.reason.text, 400))
    if finding.verdict in (Verdict.SEASONAL, Verdict.ALL_YEAR):
        parts.append(words.promise(finding))
    parts = [part[:1].upper() + part[1:] for part in parts]
    return " ".join(part if part.endswith(".") else f"{part}." for part in parts)


def _chart(identifier: str, title: str, table: str, printed: Printed) -> str:
    detail = "" if printed is Printed.ALL else " detail"
    if table and printed is Printed.TITLE:
        table = f'<div class="detail">{table}</div>'
    return (
        f'<h3 id="{identifier}-title">{html.escape(title)}</h3>\n<div class="chart{detail}" '
        f'id="{identifier}" role="img" aria-labelledby="{identifier}-title" '
        f'aria-describedby="keys-told"></div>\n{table}'
    )


def _folded(summary: str, table: str) -> str:
    """A long table, to be opened."""
    return f"<details><summary>{html.escape(summary)}</summary>\n{table}\n</details>"


def _weeks(
    year: GrowthYear,
    finding: Finding,
    growth: GrowthYearResult,
    units: TemperatureUnit,
    chart: AddChart,
) -> str:
    """What it does through the year, water and feed."""
    if not year.runs:
        return f"<h3>{html.escape(weeks_heading(year, finding))}</h3>"
    return chart(
        "weeks",
        weeks_heading(year, finding),
        weeks_table(year) + note(*weeks_words.notes(year, growth, units)),
        Printed.ALL,
        figure=draw_weeks_of(year, finding),
    )


def _nights(course: NightCourse, finding: Finding, units: TemperatureUnit, chart: AddChart) -> str:
    """Night minima and thresholds."""
    season = finding.season if finding.verdict is Verdict.SEASONAL else None
    return chart(
        "nights",
        nights_title(course, finding, units),
        '<p class="key"><a href="#nights">The nights in numbers</a></p>',
        figure=draw_nights(course, finding, season, units),
    )


def _dates(move: Move, chart: AddChart) -> str:
    """Dates of moving."""
    if move.out is None or move.inn is None or not move.by_year:
        return ""
    return chart("dates", dates_title(move), dates_table(move), figure=draw_dates(move))


def _evidence(move: Move, chart: AddChart) -> str:
    """Past years, night by night."""
    if not move.by_year:
        return ""
    return chart(
        "years",
        evidence_heading(move),
        _folded("The years in numbers", render_table(years_table(move, "years"))),
        season_years=move,
    )


def _heat(year: PlantYear, units: TemperatureUnit, chart: AddChart) -> str:
    """Heat and dry air; the numbers stand in the table of hours by month."""
    parts = []
    heat = year.heat
    told = [] if heat is None else [f"Heat: {heat_sentence(heat, units)}."]
    if year.dry_air is not None:
        told.append(f"Dry air: {dry_air_sentence(year.dry_air, units)}.")
    if heat is not None and any(heat.hours_by_month):
        told.append("Months are means of all that were observed, the year of usable years alone.")
    if heat is not None and heat.hours_mean is not None and heat.hours_mean >= LEAST_HEAT_H:
        parts.append(
            chart(
                "heat",
                heat_title(heat, units),
                "",
                figure=draw_heat(heat, units),
            )
        )
    elif told:
        parts.append("<h3>Heat and dry air</h3>")
    return "".join(parts) + note(*told) if told else ""


def _rest(year: PlantYear) -> str:
    """Its rest, winter by winter."""
    rest = year.rest
    if rest is None or not rest.by_year:
        return ""
    met, partly, of_years = rest.met_years, rest.partly_years, rest.of_years
    weight = "flowers hang on it" if rest.needed else "helps, flowers do not hang on it"
    title = (
        f"Rest ({weight}): met in {met}, partly in {partly} of {of_years} winters on the nights "
        "spent out."
    )
    return f"<h3>{html.escape(title)}</h3>\n" + _folded("Winter by winter", rest_table(rest))
