"""
The page of `year --chart`: the weeks of all groups and the place's own year, drawn and in tables.

It needs no network, and the same result gives the same bytes.
"""

from __future__ import annotations

import html
from typing import TYPE_CHECKING

from suitability.advice.growth_year import Phase
from suitability.answers import words
from suitability.output import weeks_words
from suitability.output.embedding import ASSETS
from suitability.output.frame import render_frame, render_section
from suitability.output.look import PHASES
from suitability.output.page_tables import html_table
from suitability.output.weeks_chart import draw_course, draw_weeks
from suitability.units import show_temperature, temperatures_in

if TYPE_CHECKING:
    from collections.abc import Sequence

    from suitability.advice.growth_year import Change, GrowthYear, GrowthYearResult, SpotCourse
    from suitability.units import TemperatureUnit

__all__ = ["phases_key", "phases_style", "render_weeks_page"]

PLACES = ("indoors", "moving", "outdoors")


def render_weeks_page(result: GrowthYearResult, units: TemperatureUnit) -> str:
    """
    One self-contained page.

    Parameters
    ----------
    units
        In which temperatures are shown.
    """
    weeks = draw_weeks(result)
    weeks.update_layout(title=None, showlegend=False, margin={"t": 28, "b": 40})
    data = [{"id": "weeks", "figure": weeks.to_dict()}]
    heading = weeks_words.phases_title(result)
    parts = [
        render_section("weeks", heading, phases_key(result.results), _year_table(result)),
        _section("changes", "When it changes", _changes_table(result)),
        _section("care", "Water, feed, and what to look for", _care_table(result)),
    ]
    for number, course in enumerate(result.courses):
        name = f"course-{number}"
        figure = draw_course(course, units)
        figure.update_layout(showlegend=False)
        data.append({"id": name, "figure": figure.to_dict()})
        title = weeks_words.course_title(course, result, units)
        parts.append(render_section(name, title, _course_key(), _course_table(course, units)))
    parts.append(_section("notes", "To be said beside it", _notes(result, units)))
    return render_frame(
        result,
        units,
        title=f"Growth, water and feed through the year at {result.place.name}",
        body="\n".join(parts),
        data=data,
        script=(ASSETS / "page.js").read_text(encoding="utf-8"),
        more_style=phases_style(),
    )


def _section(name: str, heading: str, body: str) -> str:
    return (
        f'<section aria-labelledby="{name}-heading">\n<h2 id="{name}-heading">'
        f"{html.escape(heading)}</h2>\n{body}\n</section>"
    )


def _paragraph(*sentences: str) -> str:
    return f"\n<p>{html.escape(' '.join(sentences))}</p>\n"


def phases_key(years: Sequence[GrowthYear]) -> str:
    """What each fill and hatch means."""
    items = [(phase.value, PHASES[phase.value].word) for phase in Phase]
    if any(not year.runs for year in years):
        items.append(("unknown", "no calendar: too little is known"))
    strip = [(f"strip {place}", _PLACE_WORDS[place]) for place in PLACES]
    listed = "".join(
        f'<li><span class="swatch {style}"></span>{html.escape(word)}</li>'
        for style, word in [*items, *strip]
    )
    return f'<ul class="key">{listed}</ul>'


_PLACE_WORDS = {
    "indoors": "strip below: indoors",
    "moving": "strip below: moving out or in",
    "outdoors": "strip below: outdoors",
}


def _course_key() -> str:
    return (
        '<p class="key">Solid: mean night minimum. Dashed: mean day maximum. Dotted, right scale: '
        "length of the day.</p>"
    )


def _label(year: GrowthYear, result: GrowthYearResult) -> str:
    return weeks_words.year_label(year, result, key=False)


def _year_table(result: GrowthYearResult) -> str:
    """Weeks of each phase and where the plant stands."""
    header = ("Group", *(phase.value.capitalize() for phase in Phase), "Stands", "Doubts")
    rows = []
    for year in result.results:
        cells = [
            ", ".join(weeks_words.run_dates(run) for run in year.runs if run.phase is phase)
            for phase in Phase
        ]
        stands = weeks_words.standing_text(year) or weeks_words.withheld(year)
        rows.append([_label(year, result), *cells, stands, weeks_words.doubts(year)])
    return html_table(
        "Weeks of each phase", header, rows, numbers_from=len(header), stacked=True
    ) + _paragraph(
        "Whole weeks of seven days from 1 January on; the 52nd has eight. A week has the phase and "
        "the place of its fourth day."
    )


def _changes_table(result: GrowthYearResult) -> str:
    """The changes of each group among past years."""
    header = ("Group", "Begins", "Usually", "Week", "Earliest to latest", "Years", "Set")
    rows = [
        [_label(year, result), *_change_cells(change)]
        for year in result.results
        for change in year.changes
    ]
    return html_table(
        "Changes among past years", header, rows, numbers_from=len(header), stacked=True
    ) + _paragraph(
        "Usually: the median year. Years: those that had the change, of those observed well "
        "enough. Indoors the day's length sets it, the same every year; a move has its own odds."
    )


def _change_cells(change: Change) -> list[str]:
    years = f"{change.years_with} of {change.of_years}" if change.of_years else ""
    return [
        change.phase.value,
        words.day_month(change.day, short=True),
        str(change.week),
        weeks_words.spread(change),
        years,
        weeks_words.BASIS_WORDS[change.set_by],
    ]


def _care_table(result: GrowthYearResult) -> str:
    """Water, feed and signs of each run."""
    header = ("Group", "Does", "When", "Water", "Feed", "Look for")
    rows = [
        [
            _label(year, result),
            run.phase.value,
            weeks_words.run_dates(run),
            *(words.clean(text, 300) for text in (run.water, run.feed)),
            words.clean(run.look_for, 300),
        ]
        for year in result.results
        for run in year.runs
    ]
    pets = words.clean(result.pets, 400)
    table = html_table("Water and feed", header, rows, numbers_from=len(header), stacked=True)
    return table + _paragraph(weeks_words.FEEDING_CAUTION, pets)


def _course_table(course: SpotCourse, units: TemperatureUnit) -> str:
    """The numbers behind the chart of the place."""
    header = ("Week", "From", "To", "Night minimum", "Day maximum", "Day length")
    rows = [
        [
            str(week.week),
            words.day_month(week.first_day, short=True),
            words.day_month(week.last_day, short=True),
            *(
                words.UNKNOWN if value is None else show_temperature(value, units)
                for value in (week.night_c, week.day_c)
            ),
            f"{week.day_length_h:.1f} h",
        ]
        for week in course.weeks
    ]
    return html_table("The year of the place, by weeks", header, rows, numbers_from=3) + _paragraph(
        "Means of the years, nights and days smoothed over 31 days."
    )


def _notes(result: GrowthYearResult, units: TemperatureUnit) -> str:
    """Rest, signs of harm and doubts of each group."""
    header = ("Group", "Air outdoors", "Rest", "Signs of harm", "Notes")
    rows = [
        [
            _label(year, result),
            weeks_words.air_text(year, result) if year.season is not None and year.weeks else "",
            weeks_words.rest_text(year, units),
            words.clean(temperatures_in(year.first_signs, units), 300),
            " ".join(weeks_words.notes(year, result, units)) or weeks_words.withheld(year),
        ]
        for year in result.results
    ]
    return html_table("Beside the calendar", header, rows, numbers_from=len(header), stacked=True)


def phases_style() -> str:
    """Swatches of the phases and of the strip."""
    rules = [
        f".swatch.{name} {{ background: {_ground(look.fill, look.hatch, look.hatch_colour)}; }}"
        for name, look in PHASES.items()
    ]
    rules.append(".swatch.strip { height: 0.5rem; }")
    return "\n" + "\n".join(rules) + "\n"


def _ground(fill: str, hatch: str, line: str) -> str:
    """A hatch as style has it."""
    slant = {"/": "-45deg", "\\": "45deg"}.get(hatch)
    if slant is not None:
        return f"repeating-linear-gradient({slant}, {fill} 0 4px, {line} 4px 5px)"
    if hatch == ".":
        return f"radial-gradient({line} 1px, {fill} 1.5px) 0 0 / 5px 5px"
    return fill
