"""
The weeks for the terminal: what this week asks, what comes next, the year; readable at 80 columns.

Lines are plain ASCII, meaning is in words, colour only helps. Nothing is computed here.
"""

from __future__ import annotations

from typing import TYPE_CHECKING

from suitability.advice.growth_year import Phase
from suitability.answers import words
from suitability.output import weeks_words
from suitability.output.plain import open_console, plain_table, printed_text
from suitability.output.tables import print_closing, print_head
from suitability.units import show_temperature, temperatures_in

if TYPE_CHECKING:
    from collections.abc import Sequence

    from rich.console import Console
    from rich.table import Table

    from suitability.advice.growth_year import GrowthYear, GrowthYearResult, SpotCourse
    from suitability.units import TemperatureUnit

__all__ = ["render_weeks"]

WIDE = 104  # columns from which the gaps between columns are wider
DETAILED = 3  # groups up to which every one is described in full
NONE = "-"
COURSE_EVERY = 4  # weeks between the lines of the place's own year


def render_weeks(
    result: GrowthYearResult, week: int, *, units: TemperatureUnit, width: int, colour: bool
) -> str:
    """
    The whole answer as text: the record, the week, what comes next, the year, groups in full.

    Parameters
    ----------
    week
        1 to 52, the one that is told about.
    units
        In which temperatures are shown.
    width : columns
    colour
        Whether escape codes for colour may be used.
    """
    console = open_console(width, colour=colour)
    print_head(console, result, units)
    _say(console, weeks_words.weeks_title(result, week))
    spots = list(dict.fromkeys(year.spot for year in result.results))
    for spot, course in zip(spots, result.courses, strict=True):
        years = [year for year in result.results if year.spot == spot]
        dated = [year for year in years if year.runs]
        where = f" at the spot {words.clean(spot, 40)}" if len(spots) > 1 else ""
        if dated:
            _print_week(console, dated, week, where)
            _print_next(console, dated, week, where)
            _print_year(console, dated, where)
        if len(years) <= DETAILED:
            for year in dated:
                _print_details(console, year, result, units)
            _print_course(console, course, units, where)
        else:
            _print_notes(console, dated, result, units)
        _print_withheld(console, [year for year in years if not year.runs], where)
    _say(console, weeks_words.FEEDING_CAUTION, words.clean(result.pets, 400))
    print_closing(console, result)
    return printed_text(console)


def _say(console: Console, *sentences: str) -> None:
    """Sentences, each on lines of its own, and an empty line."""
    from rich.text import Text  # noqa: PLC0415  (only where tables are drawn)

    for sentence in filter(None, sentences):
        console.print(Text(sentence))
    console.print()


def _table(console: Console, title: str, columns: Sequence[str]) -> Table:
    """An empty table: the group, then columns of text in one line."""
    wide = console.width >= WIDE
    table = plain_table(title, gap=2 if wide else 1)
    table.add_column("Group", no_wrap=True, overflow="ellipsis", max_width=28 if wide else 18)
    for name in columns:
        table.add_column(name, no_wrap=True)
    return table


def _add(table: Table, year: GrowthYear, *cells: str) -> None:
    from rich.text import Text  # noqa: PLC0415

    table.add_row(Text(words.clean(year.group, 60)), *map(Text, cells))


def _print_week(console: Console, years: Sequence[GrowthYear], week: int, where: str) -> None:
    """What each group does this week, where it stands, its water and feed."""
    table = _table(console, f"This week{where}", ("Does", "Stands"))
    table.add_column("Water", overflow="fold", ratio=5)
    table.add_column("Feed", overflow="fold", ratio=4)
    for year in years:
        run = weeks_words.run_of_week(year, week)
        if run is None:
            continue
        where = weeks_words.standing_words(year, year.weeks[week - 1].where)
        care = (run.water, run.feed)
        _add(table, year, run.phase.value, where, *(words.clean(text, 200) for text in care))
    console.print(table)
    console.print()


def _print_next(console: Console, years: Sequence[GrowthYear], week: int, where: str) -> None:
    """The next change of each group, and how far past years spread it."""
    columns = ("Next", "Usually", "Earliest-latest", "Set by", "Doubts")
    table = _table(console, f"What comes next{where}", columns)
    for year in years:
        run = weeks_words.next_run(year, week)
        change = None if run is None else weeks_words.change_of(year, run)
        if run is None or change is None:
            _add(table, year, "no change", NONE, NONE, NONE, weeks_words.doubts(year))
            continue
        _add(
            table,
            year,
            run.phase.value,
            words.day_month(change.day, short=True),
            weeks_words.spread(change),
            weeks_words.SHORT_BASIS[change.set_by],
            weeks_words.doubts(year),
        )
    console.print(table)
    _say(
        console,
        "Usually: the median year. Earliest-latest: of past years. Set by nights: of the spot, "
        "with the day's length; by day length or room: indoors, the same every year; by a move: "
        "when it goes out or comes in, which `suitability moves` dates.",
    )


def _print_year(console: Console, years: Sequence[GrowthYear], where: str) -> None:
    """The weeks of each phase."""
    table = _table(console, f"The year{where}", [phase.value.capitalize() for phase in Phase])
    for year in years:
        cells = [
            "\n".join(weeks_words.run_dates(run) for run in year.runs if run.phase is phase)
            for phase in Phase
        ]
        _add(table, year, *(cell or NONE for cell in cells))
    console.print(table)
    _say(
        console,
        "Whole weeks of seven days from 1 January on; the 52nd has eight. First and last day.",
    )


def _print_notes(
    console: Console,
    years: Sequence[GrowthYear],
    result: GrowthYearResult,
    units: TemperatureUnit,
) -> None:
    """What must be said beside the calendars, each sentence once with its groups."""
    said: dict[str, list[str]] = {}
    for year in years:
        for sentence in weeks_words.notes(year, result, units):
            said.setdefault(sentence, []).append(words.clean(year.group, 60))
    for sentence, groups in said.items():
        all_of_them = len(groups) == len(years)
        more = f" and {len(groups) - 3} more" if len(groups) > 3 else ""
        whom = "All" if all_of_them else f"{', '.join(groups[:3])}{more}"
        _say(console, f"{whom}: {sentence}")


def _print_withheld(console: Console, years: Sequence[GrowthYear], where: str) -> None:
    """Groups without a calendar, each reason once."""
    reasons: dict[str, list[str]] = {}
    for year in years:
        reasons.setdefault(weeks_words.withheld(year), []).append(words.clean(year.group, 60))
    for reason, groups in reasons.items():
        more = f" and {len(groups) - 3} more" if len(groups) > 3 else ""
        _say(console, f"No calendar{where} for {', '.join(groups[:3])}{more}: {reason}")


def _print_details(
    console: Console, year: GrowthYear, result: GrowthYearResult, units: TemperatureUnit
) -> None:
    """One group in full."""
    from rich.table import Table  # noqa: PLC0415
    from rich.text import Text  # noqa: PLC0415

    console.print(Text(weeks_words.year_label(year, result, key=False), style="bold"))
    grid = Table.grid(padding=(0, 2, 0, 0))
    grid.add_column(no_wrap=True)
    grid.add_column(overflow="fold")
    for label, text in _detail_rows(year, result, units):
        grid.add_row(Text(label), Text(text))
    console.print(grid)
    console.print()


def _detail_rows(
    year: GrowthYear, result: GrowthYearResult, units: TemperatureUnit
) -> list[tuple[str, str]]:
    """Labels and sentences about one group."""
    rows = [("Stands", weeks_words.standing_text(year))]
    for run in year.runs:
        when = f"{weeks_words.run_dates(run, short=False)} ({weeks_words.weeks_text(run)})"
        change = weeks_words.change_of(year, run) if len(year.runs) > 1 else None
        rows += [
            (run.phase.value.capitalize(), when),
            *([("  begins", weeks_words.change_text(change))] if change is not None else []),
            ("  water", words.clean(run.water, 300)),
            ("  feed", words.clean(run.feed, 300)),
            ("  look for", words.clean(run.look_for, 300)),
        ]
    if year.season is not None:
        where = "Air there" if year.indoors else "Air outdoors"
        rows.append((where, weeks_words.air_text(year, result)))
    rows.append(("Rest", weeks_words.rest_text(year, units)))
    rows.append(
        ("Signs of harm", words.clean(temperatures_in(year.first_signs, units), 300) or "not said")
    )
    if year.about:
        rows.append(("About it", words.clean(temperatures_in(year.about, units), 400)))
    rows.append(("Words from", f"its catalogue (mark: {words.clean(year.mark, 20)})"))
    rows += [("Note", sentence) for sentence in weeks_words.notes(year, result, units)]
    return rows


def _print_course(console: Console, course: SpotCourse, units: TemperatureUnit, where: str) -> None:
    """The place's own year, every fourth week."""
    from rich.text import Text  # noqa: PLC0415

    table = plain_table(f"The year of the place{where}")
    for name in ("Week", "From"):
        table.add_column(name, no_wrap=True, justify="right" if name == "Week" else "left")
    for name in ("Night minimum", "Day maximum", "Day length"):
        table.add_column(name, no_wrap=True, justify="right")
    for week in course.weeks[::COURSE_EVERY]:
        temperatures = [
            words.UNKNOWN if value is None else show_temperature(value, units)
            for value in (week.night_c, week.day_c)
        ]
        first = words.day_month(week.first_day, short=True)
        cells = (str(week.week), first, *temperatures, f"{week.day_length_h:.1f} h")
        table.add_row(*map(Text, cells))
    console.print(table)
    _say(console, "Means of the years, nights and days smoothed over 31 days.")
