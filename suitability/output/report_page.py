"""
The page of `report`: everything about a place, its spots and groups, in the order of questions.

What lives here, what moves next, what if the spot were warmer, then a section for each group with
its charts and the numbers behind them. One file without a network; the same result gives the same
bytes.
"""

from __future__ import annotations

import html
import re
from typing import TYPE_CHECKING, Any

from suitability.answers import words
from suitability.answers.head import HEATING
from suitability.answers.past_years import past_years, past_years_chart
from suitability.output.card_words import cards_foot
from suitability.output.chart_past_years import KIND as PAST_YEARS
from suitability.output.charts import hours_figure, year_figure
from suitability.output.coverage_page import (
    CoverageCalendar,
    coverage_figure,
    coverage_table,
    coverage_title,
)
from suitability.output.drawing import page_data
from suitability.output.embedding import ASSETS
from suitability.output.frame import hours_key, render_frame, render_section, year_key
from suitability.output.page import kind_style, render_key
from suitability.output.page_tables import verdict_table
from suitability.output.repeats import share_repeats
from suitability.output.report_groups import PRINTED_WHOLE, Chart, render_group
from suitability.output.report_tables import (
    changes_table,
    moves_table,
    nights_table,
    note,
    spots_table,
    trial_summary,
    trials_data,
    trials_table,
)
from suitability.output.spot_words import range_sentences, spot_sentences
from suitability.output.titles import hours_title, year_title
from suitability.output.weeks_page import phases_key, phases_style
from suitability.output.year import MONTH_STARTS

if TYPE_CHECKING:
    from suitability.advice.report import ReportResult
    from suitability.units import TemperatureUnit

__all__ = ["render_report_page", "report_coverage"]

SCRIPTS = ("past-years.js", "report.js")
METHOD = (
    "A night harms a group if it is below its limit, if cold has added up over a fortnight, or, "
    "for groups that heat excludes, at the end of four hot days. A promise is calibrated: it is to "
    "be kept by that share of years that had no part in making it. Hours below the growth floor do "
    "not harm; they decide whether a plant grows or only survives. Nights with missing hours never "
    "prove a year kept."
)
WHERE = (
    "The rules in full, with sources, are in docs/method.md of the program; whether promises hold "
    "in docs/calibration.md; rest, heat and dry air in docs/needs.md; what a spot adds in "
    "docs/spots.md; the words in docs/glossary.md."
)


def render_report_page(result: ReportResult, units: TemperatureUnit) -> str:
    """
    One self-contained page: it needs no network.

    Parameters
    ----------
    units
        In which temperatures are shown.
    """
    charts: list[Chart] = []
    groups = [
        render_group(number, result, units, charts) for number in range(len(result.check.results))
    ]
    parts = [
        ("verdicts", "What lives here", _verdicts(result, units, charts)),
        ("next", f"What moves next, from {words.day_month(result.on)} on", _next(result)),
        ("try", "If the spot were warmer or colder, or more were promised", _trial(result, units)),
        ("spots", "The spots compared", _spots(result, units)),
    ]
    parts = [part for part in parts if part[2]]
    parts.append(("keys", "How the charts of the groups are drawn", _keys(result)))
    after = [
        ("nights", "Nights of the year in numbers", _nights(result, units)),
        ("record", "How well the record was observed", _coverage(result, charts)),
        ("method", "The method in short", note(METHOD) + note(WHERE)),
        ("cautions", "Cautions", _cautions(result)),
    ]
    figures, repeated = share_repeats([_chart_data(one) for one in charts])
    body = _slim(
        "\n".join(
            [
                _contents(result, parts, after),
                *(_section(*part) for part in parts),
                *groups,
                *(_section(*part) for part in after),
            ]
        )
    )
    return render_frame(
        result,
        units,
        title=f"What lives at {result.place.name}, and when it moves",
        body=body,
        data={
            "charts": figures,
            "parts": repeated,
            "months": list(words.MONTHS),
            "short": [month[:3] for month in words.MONTHS],
            "starts": list(MONTH_STARTS),
            "trials": trials_data(result, units),
        },
        script="".join((ASSETS / name).read_text(encoding="utf-8") for name in SCRIPTS),
        more_style=_style(),
        skip_to=("verdicts-heading", "Skip to what lives here"),
        packed=True,
    )


def _chart_data(chart: Chart) -> dict[str, Any]:
    """What the page's script draws; past years travel packed."""
    if chart.season_years is not None:
        return {"id": chart.identifier, "group": page_data(past_years(chart.season_years))}
    return {"id": chart.identifier, "figure": chart.figure}


def _slim(body: str) -> str:
    """
    The same page without the ends of cells and rows, which HTML lets one leave out.

    Its tables are no landmarks: there are too many of them to go by.
    """
    return re.sub(r"</(?:td|th|tr)>", "", body).replace('role="region"', 'role="group"')


def _section(name: str, heading: str, body: str) -> str:
    return (
        f'<section id="{name}" aria-labelledby="{name}-heading">\n<h2 id="{name}-heading">'
        f"{html.escape(heading)}</h2>\n{body}\n</section>"
    )


def _contents(
    result: ReportResult, parts: list[tuple[str, str, str]], after: list[tuple[str, str, str]]
) -> str:
    """What the page finds, and where everything is."""
    finding = html.escape(year_title(result.check))
    links = "".join(
        f'<li><a href="#{name}">{html.escape(heading)}</a></li>'
        for name, heading, _ in [*parts, *after]
    )
    named = "".join(
        f'<li><a href="#g{number}">'
        f"{html.escape(words.finding_label(one, result.check, key=False))}</a>: "
        f"{html.escape(words.SHORT_VERDICTS[one.verdict])}</li>"
        for number, one in enumerate(result.check.results)
    )
    return (
        f'<p class="lead"><strong>{finding}</strong></p>\n'
        f'<nav aria-label="Contents">\n<ul class="parts">{links}</ul>\n'
        f'<ul class="groups">{named}</ul>\n</nav>'
        f'<p class="screen">{html.escape(_printing(result))}</p>'
    )


def _printing(result: ReportResult) -> str:
    """How the page is printed."""
    if len(result.check.results) <= PRINTED_WHOLE:
        return "Printed, the page holds every chart; of folded tables those that are open."
    return (
        "Printed, the page is short: the tables of all groups, and of each its year, water and "
        "feed, hours by month, and what its other charts find. The button at the end of a group "
        "prints that group alone, with all its charts and the tables that are open."
    )


def _verdicts(result: ReportResult, units: TemperatureUnit, charts: list[Chart]) -> str:
    """The charts of all groups with their numbers."""
    check = result.check
    year, hours = year_figure(check), hours_figure(check)
    hours["data"][0] |= {
        "showscale": False,
        "customdata": [list(words.MONTHS)] * len(check.results),
        "hovertemplate": "%{y}, %{customdata}<br>%{text} h below its floor in a mean year"
        "<extra></extra>",
    }
    for name, title, figure in (
        ("year", year_title(check), year),
        ("hours", hours_title(check), hours),
    ):
        charts.append(Chart(identifier=name, title=title, figure=_untitled(figure)))
    told = "The number of each month stands in its cell, the bad year in the section of each group."
    return render_section(
        "year", year_title(check), year_key(check), verdict_table(check, units), level=3
    ) + render_section("hours", hours_title(check), hours_key(), note(told), level=3)


def _untitled(figure: dict[str, Any]) -> dict[str, Any]:
    """A figure whose title and key the page has, and which needs no template."""
    left_out = {"template", "title", "legend"}
    layout = {key: value for key, value in figure["layout"].items() if key not in left_out}
    margin = {"l": 8, "r": 8, "t": 28, "b": 40}
    return {"data": figure["data"], "layout": layout | {"showlegend": False, "margin": margin}}


def _keys(result: ReportResult) -> str:
    """What the fills, hatches and marks of every group's charts mean."""
    told = (
        "Charts are pictures of the tables beside them; point at them for the numbers in words. "
        "Months run along the top, in standard time."
    )
    nights = (
        "The thick line is the usual minimum of each night, the shade around it holds eight of ten "
        "nights, the dotted line is the lowest on record. The level lines are the group's "
        "own: floor, rest floor, chill base, and the limits wet and dry. The upright shade is its "
        "season outdoors."
    )
    return (
        f'<p id="keys-told">{html.escape(told)}</p>\n<h3>The year of a group</h3>\n'
        f'{phases_key(result.growth.results)}\n<div class="keys"><h3>Nights</h3>{note(nights)}'
        f"<h3>Past years, night by night</h3>\n{_past_years_key(result)}"
        f"{note('On paper, nights that were not observed are grey instead of hatched.')}</div>"
    )


def _past_years_key(result: ReportResult) -> str:
    """What the marks of past years mean."""
    drawn = next((move for move in result.moves.results if move.by_year), None)
    return "" if drawn is None else render_key(past_years_chart(drawn, "key", ""))


def _next(result: ReportResult) -> str:
    """Dates ahead, in order."""
    return (
        moves_table(result)
        + note(
            f"Promised: with both dates, {result.settings.promise:.0%} of new years keep the "
            "season. Between the promised and the typical date, that of half of the years, the "
            "forecast decides."
        )
        + f'<div class="changes">{changes_table(result)}</div>'
    )


def _trial(result: ReportResult, units: TemperatureUnit) -> str:
    """The control, what it finds, and the table that it changes."""
    trials = result.trials
    step, at = trials.warmer_c.index(0.0), trials.promises.index(result.settings.promise)
    radios = "".join(
        f'<label><input type="radio" name="promise" value="{number}"'
        f"{' checked' if number == at else ''}>{share:.0%}</label>"
        for number, share in enumerate(trials.promises)
    )
    last = len(trials.warmer_c) - 1
    return f"""{
        note(
            "Every hour of the spot so much warmer or colder, as under a wall or in a hollow; "
            "worked out beforehand by the same rules. ▸ marks what would be other than now."
        )
    }<div class="trial" hidden>
<div class="slide"><label for="warmer">Spot</label>
<input type="range" id="warmer" min="0" max="{last}" step="1" value="{step}">
<output id="warmer-told" for="warmer">{html.escape(trials_step(result, units))}</output>
<button type="button" id="try-back">As it is</button></div>
<fieldset><legend>Kept by</legend>{radios}<span>of new years</span></fieldset>
</div>
<p class="told" id="try-told" role="status" aria-live="polite">{
        html.escape(trial_summary(trials, step, at, units))
    }</p>
{trials_table(result)}"""


def trials_step(result: ReportResult, units: TemperatureUnit) -> str:
    """The spot as it is, in words."""
    data = trials_data(result, units)
    return str(data["steps"][data["asked"][0]])


def _spots(result: ReportResult, units: TemperatureUnit) -> str:
    """What each spot adds, and the groups side by side."""
    table = spots_table(result)
    told = [
        f"{words.clean(spot.name, 60)}: {sentence}"
        for spot in result.check.spots
        for sentence in spot_sentences(result.check, spot.name, units)
    ]
    told += range_sentences(result.check.results)
    return (table + "".join(note(sentence) for sentence in told)) if table or told else ""


def _coverage(result: ReportResult, charts: list[Chart]) -> str:
    """The calendar of coverage."""
    calendar = report_coverage(result)
    figure = coverage_figure(calendar)
    figure["data"][0] |= {
        "customdata": [list(words.MONTHS)] * len(calendar.years),
        "hovertemplate": "%{customdata} %{y}<br>%{z:.0f} per cent of its hours observed"
        "<extra></extra>",
    }
    title = coverage_title(calendar)
    charts.append(Chart(identifier="coverage", title=title, figure=_untitled(figure)))
    return render_section(
        "coverage",
        title,
        '<p class="key">Per cent of each month\'s hours that were observed; in brackets where '
        "that is too few to count hours.</p>",
        f"<details><summary>The numbers</summary>\n{coverage_table(calendar)}\n</details>",
        level=3,
    )


def report_coverage(result: ReportResult) -> CoverageCalendar:
    """Which hours were observed, as the calendar of coverage takes it."""
    months = result.coverage
    return CoverageCalendar(
        name=result.place.name,
        years=[months.first_year + row for row in range(len(months.observed))],
        observed=months.observed,
        full=months.full,
        usable=months.usable,
        complete=months.complete,
        head=(),
    )


def _nights(result: ReportResult, units: TemperatureUnit) -> str:
    """The numbers behind the charts of nights, one table a spot."""
    several = len(result.courses) > 1
    return "\n".join(
        "<details><summary>Night minima"
        + (f", {html.escape(words.clean(course.spot, 60))}" if several else "")
        + f"</summary>\n{nights_table(course, units)}\n</details>"
        for course in result.courses
    ) + note(
        "Percentiles of a day are taken over the five days around it in all years. Minima are "
        "lowered by what hourly readings miss, as verdicts take them."
    )


def _cautions(result: ReportResult) -> str:
    """What a verdict cannot know, and the usual warnings."""
    return "".join(note(sentence) for sentence in [*cards_foot(result.cards), HEATING])


def _style() -> str:
    """The style of this page, with the keys of all its charts."""
    return (
        (ASSETS / "report.css").read_text(encoding="utf-8")
        + kind_style(PAST_YEARS)
        + phases_style()
    )
