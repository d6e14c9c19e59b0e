"""The tables of a report: numbers behind its charts, what comes next, spots compared, trials."""

from __future__ import annotations

import html
from typing import TYPE_CHECKING, Any

from suitability.advice.report import Direction
from suitability.advice.verdicts import Verdict
from suitability.answers import dates, words
from suitability.output import weeks_words
from suitability.output.page_tables import html_table
from suitability.output.year import DAYS
from suitability.units import TemperatureUnit, show_difference, show_temperature

if TYPE_CHECKING:
    from suitability.advice.growth_year import GrowthYear
    from suitability.advice.moves_result import Move
    from suitability.advice.plant_year import HeatOutlook, RestOutlook
    from suitability.advice.report import NightCourse, ReportResult, Trial, Trials
    from suitability.advice.result import Finding

__all__ = [
    "changes_table",
    "dates_table",
    "months_table",
    "moves_table",
    "nights_table",
    "note",
    "rest_table",
    "spots_table",
    "step_words",
    "trial_summary",
    "trials_data",
    "trials_table",
    "weeks_table",
]

DOING = {
    "growing": "begins to grow: water and feed as in growth",
    "slowing": "slows down: less water, end of feed",
    "resting": "begins its rest: rest water, no feed",
    "waking": "wakes: water with the new roots, then feed",
}


def note(*sentences: str) -> str:
    """Sentences as one paragraph, escaped."""
    return f"\n<p>{html.escape(' '.join(sentences))}</p>\n"


def _names(result: ReportResult) -> list[str]:
    """Name of each group, plant or spot of the report."""
    check = result.check
    return [words.finding_label(finding, check, key=False) for finding in check.results]


# What comes next ---------------------------------------------------------------------------------


def moves_table(result: ReportResult) -> str:
    """Dates of going out and coming in, the next one first."""
    header = ("Group", "What", "Promised", "In days", "Watch the forecast")
    names = _names(result)
    rows = []
    for one in result.next_moves:
        move = result.moves.results[one.number]
        out = one.direction is Direction.OUT
        date = move.out if out else move.inn
        if date is None:
            continue
        watch = dates.watch(date, move)
        rows.append(
            [
                names[one.number],
                "move out, harden two weeks" if out else "carry in before sunset",
                words.day_month(one.day),
                "today" if one.in_days == 0 else str(one.in_days),
                f"now: {watch}" if one.watching else watch,
            ]
        )
    if not rows:
        return note("No group has a date of moving.")
    watched = [
        f"{names[one.number]} ({'to go out' if one.direction is Direction.OUT else 'to come in'})"
        for one in result.next_moves
        if one.watching
    ]
    now = note(f"To be watched now, by the forecast: {'; '.join(watched)}.") if watched else ""
    return now + html_table(
        "Next moves, in order of date", header, rows, numbers_from=len(header), stacked=True
    )


def changes_table(result: ReportResult) -> str:
    """Phases that begin within the next weeks."""
    names = _names(result)
    rows = [
        [
            words.day_month(one.day),
            str(one.in_days),
            DOING[one.phase.value],
            "; ".join(names[number] for number in one.numbers),
        ]
        for one in result.next_changes
    ]
    if not rows:
        return note("No change of water or feed within the next twelve weeks.")
    return html_table(
        "Next changes of water and feed, twelve weeks ahead",
        ("Usually on", "In days", "What", "Groups"),
        rows,
        numbers_from=4,
        stacked=True,
    )


# One group ---------------------------------------------------------------------------------------


def months_table(finding: Finding, heat: HeatOutlook | None, units: TemperatureUnit) -> str:
    """Hours below the floors and above the ceiling by month."""
    rest, rest_floor_c = finding.hours_below_rest, finding.thresholds.rest_floor_c
    floor = show_temperature(finding.thresholds.floor_c, units)
    header = ("Hours a month", *(month[:3] for month in words.MONTHS))
    rows = [
        [f"below {floor}, mean year", *map(words.hours, finding.hours_below.months)],
        [f"below {floor}, bad year", *map(words.hours, finding.hours_below_bad)],
    ]
    if rest is not None and rest_floor_c is not None:
        at = show_temperature(rest_floor_c, units)
        rows.append([f"below rest floor {at}, mean year", *map(words.hours, rest.months)])
    if heat is not None and any(heat.hours_by_month):
        ceiling = show_temperature(heat.ceiling_c, units)
        where = "" if heat.spent_out else ", were it out"
        rows.append([f"above {ceiling}, mean year{where}", *map(words.hours, heat.hours_by_month)])
    rows.append(["years behind the hours below", *map(str, finding.years_of_month)])
    return _plain_table("Hours by month", header, rows)


def weeks_table(year: GrowthYear) -> str:
    """Water and feed of each phase."""
    header = ("Does", "When", "Water", "Feed", "Look for")
    rows = [
        [
            run.phase.value,
            weeks_words.run_dates(run),
            *(words.clean(text, 300) for text in (run.water, run.feed, run.look_for)),
        ]
        for run in year.runs
    ]
    return html_table("Water and feed", header, rows, numbers_from=len(header), stacked=True)


def dates_table(move: Move) -> str:
    """Dates of moving."""
    header = ("Move", "Promised", "90% interval", "Typical", "Watch weeks", "Odds alone")
    rows = [
        [
            side,
            words.day_month(date.promised, short=True),
            dates.interval(date),
            dates.typical_date(date, move),
            dates.watch(date, move),
            dates.percent(date.holds_alone),
        ]
        for side, date in (("out", move.out), ("in", move.inn))
        if date is not None
    ]
    return _plain_table("Dates of moving", header, rows)


def rest_table(rest: RestOutlook) -> str:
    """The rest of each past winter."""
    header = ("Winter from", "Rest", "Met on", "Nights that count")
    rows = [
        [
            str(year.year),
            {"met": "met", "partly": "partly", "not": "not met"}[year.state],
            "" if year.met_on is None else words.day_month(year.met_on, short=True),
            str(year.nights),
        ]
        for year in rest.by_year
    ]
    return _plain_table("The rest, winter by winter", header, rows)


def nights_table(course: NightCourse, units: TemperatureUnit) -> str:
    """Night minima of each day of the year."""
    header = ("Day", "Lowest on record", "One of ten below", "Usual", "One of ten above")
    days = [
        f"{day} {month[:3]}"
        for month, count in zip(
            words.MONTHS, (31, 28, 31, 30, 31, 30, 31, 31, 30, 31, 30, 31), strict=True
        )
        for day in range(1, count + 1)
    ]
    columns = (course.lowest_c, course.low_c, course.middle_c, course.high_c)
    rows = [
        [
            day,
            *(
                words.UNKNOWN
                if values[at] is None
                else show_temperature(values[at] or 0.0, units).removesuffix(f" {units.symbol}")
                for values in columns
            ),
        ]
        for at, day in enumerate(days)
    ]
    caption = f"Night minima of each day, {units.symbol}, lowered as verdicts take them"
    return _plain_table(caption, header, rows)


def _plain_table(caption: str, header: tuple[str, ...], rows: list[list[str]]) -> str:
    """A table of numbers without the words that stacked tables need, for pages that hold many."""
    head = "".join(f'<th scope="col">{html.escape(text)}</th>' for text in header)
    body = "\n".join(
        f'<tr><th scope="row">{html.escape(first)}</th>'
        + "".join(f"<td>{html.escape(text)}</td>" for text in others)
        + "</tr>"
        for first, *others in rows
    )
    label = html.escape(caption, quote=True)
    return (
        f'<div class="wide" role="region" tabindex="0" aria-label="{label}">\n<table class="plain">'
        f"\n<caption>{html.escape(caption)}</caption>\n<thead><tr>{head}</tr></thead>\n"
        f"<tbody>\n{body}\n</tbody>\n</table>\n</div>"
    )


# Spots side by side ------------------------------------------------------------------------------


def spots_table(result: ReportResult) -> str:
    """What each group can do at each spot; empty where there is one spot only."""
    findings = result.check.results
    spots = list(dict.fromkeys(finding.spot for finding in findings))
    if len(spots) < 2:
        return ""
    by_group: dict[tuple[str, str | None], dict[str, Finding]] = {}
    for finding in findings:
        by_group.setdefault((finding.group_name, finding.plant), {})[finding.spot] = finding
    rows = [
        [
            words.clean(plant or name, 60),
            *(_at_spot(found[spot]) if spot in found else "" for spot in spots),
        ]
        for (name, plant), found in by_group.items()
    ]
    header = ("Group", *(words.clean(spot, 60) for spot in spots))
    return html_table("Groups at each spot", header, rows, numbers_from=len(header), stacked=True)


def _at_spot(finding: Finding) -> str:
    """Verdict, dates and rest in one cell."""
    text = words.VERDICT_WORDS[finding.verdict]
    if finding.verdict is Verdict.SEASONAL and finding.season is not None:
        text += f", {words.season(finding.season, short=True)} ({finding.season.days} days)"
    return text


# Trials ------------------------------------------------------------------------------------------


def step_words(warmer_c: float, units: TemperatureUnit) -> str:
    """How much warmer or colder, in words."""
    if warmer_c == 0.0:
        return "as it is"
    shown = show_difference(abs(warmer_c), units, 0 if units is TemperatureUnit.C else 1)
    return f"{shown} {'warmer' if warmer_c > 0 else 'colder'}"


def _trial_cells(trial: Trial, usual: Trial) -> tuple[str, str, str, str, str]:
    """Verdict, dates, days, and what is other than now."""
    season = trial.season
    dated = trial.verdict is Verdict.SEASONAL and season is not None and season.days < DAYS
    days = 0 if season is None else season.days
    before = 0 if usual.season is None else usual.season.days
    change = "same"
    if trial.verdict is not usual.verdict:
        change = f"now {words.VERDICT_WORDS[usual.verdict]}"
    elif days != before:
        change = f"{days - before:+d} days"
    return (
        words.VERDICT_WORDS[trial.verdict],
        words.day_month(season.out) if dated and season else "",
        words.day_month(season.inn) if dated and season else "",
        str(days) if days else "",
        change,
    )


def trials_table(result: ReportResult) -> str:
    """The verdicts as they are; the page's script swaps their cells."""
    trials, promise = result.trials, result.settings.promise
    header = ("Group", "Verdict", "Out", "In", "Days", "Against now")
    step, at = trials.warmer_c.index(0.0), trials.promises.index(promise)
    rows = [
        [name, *_trial_cells(row[step][at], row[step][at])]
        for name, row in zip(_names(result), trials.rows, strict=True)
    ]
    return html_table(
        "Verdicts at the spot tried", header, rows, numbers_from=len(header), stacked=True
    )


def trials_data(result: ReportResult, units: TemperatureUnit) -> dict[str, Any]:
    """
    What the script swaps: cells of a row (parted by |) once each, and which each group has when.

    `summaries` are by warming, then by promise.
    """
    trials, promise = result.trials, result.settings.promise
    step, at = trials.warmer_c.index(0.0), trials.promises.index(promise)
    texts: dict[str, int] = {}
    rows = [
        [
            [
                texts.setdefault("|".join(_trial_cells(trial, row[step][at])), len(texts))
                for trial in by_promise
            ]
            for by_promise in row
        ]
        for row in trials.rows
    ]
    return {
        "texts": list(texts),
        "rows": rows,
        "steps": [step_words(warmer, units) for warmer in trials.warmer_c],
        "asked": [step, at],
        "summaries": [
            [trial_summary(trials, warmer, share, units) for share in range(len(trials.promises))]
            for warmer in range(len(trials.warmer_c))
        ],
    }


def trial_summary(trials: Trials, step: int, at: int, units: TemperatureUnit) -> str:
    """What a trial finds, in a sentence."""
    counts = dict.fromkeys(Verdict, 0)
    for row in trials.rows:
        counts[row[step][at].verdict] += 1
    phrases = {
        Verdict.ALL_YEAR: "outdoors all year",
        Verdict.SEASONAL: "for a season",
        Verdict.INDOOR: "indoors only",
        Verdict.NONE: "without a verdict",
    }
    parts = [f"{counts[verdict]} {text}" for verdict, text in phrases.items() if counts[verdict]]
    where = step_words(trials.warmer_c[step], units)
    spot = "Spot as it is" if trials.warmer_c[step] == 0.0 else f"Spot {where}"
    return f"{spot}, kept by {trials.promises[at]:.0%} of new years: {', '.join(parts)}."
