"""The sheet of a year: what a week asks of each group, what comes next, and all 52 of them."""

from __future__ import annotations

from typing import TYPE_CHECKING

from msgspec.structs import replace

from suitability.advice.growth_year import Note, Phase, RestKind
from suitability.answers import phases, words
from suitability.answers.ahead import ahead_section, case_of
from suitability.answers.head import make_sheet
from suitability.answers.sheet import (
    Cell,
    Column,
    Fact,
    Facts,
    Level,
    On,
    Section,
    Table,
    Text,
    build_table,
)
from suitability.answers.year_charts import course_chart, weeks_chart
from suitability.brief import first_of
from suitability.units import TemperatureUnit, show_temperature

if TYPE_CHECKING:
    from collections.abc import Callable, Iterable, Sequence

    from suitability.advice.growth_year import (
        Change,
        CourseWeek,
        GrowthYear,
        GrowthYearResult,
        PhaseRun,
        SpotCourse,
    )
    from suitability.answers.sheet import Block, Sheet

    OfGroup = tuple[GrowthYear, PhaseRun]
    Dated = tuple[GrowthYear, Change]
    Coming = tuple[GrowthYear, Change | None]

NAMED = 3  # groups that a sentence names before it counts the others
COURSE_EVERY = 4  # weeks between the lines of the place's own year on a terminal
SHOWN_OTHERWISE = (Note.INDOORS_BY_LIGHT, Note.REST_NOT_TOLD)  # of notes, in a short answer
FEW = 12  # groups up to which a terminal shows the water and feed of the week
WEEKS_NOTE = (
    "First and last day. A week begins on 1 January, the 8th and so on, and has the phase of its "
    "fourth day."
)
SHORT_NOTE = "Water and feed of a week: ask for one group, or for --details."
CHANGES_NOTE = (
    "Usually: the median year. Earliest-latest: of past years. Set by nights: of the spot, with "
    "the day's length; by day length or room: indoors, the same every year; by a move: when it "
    "goes out or comes in, which `suitability moves` dates."
)
YEARS_NOTE = "Years: those that had the change, of those observed well enough."
COURSE_NOTE = "Means of the years, nights and days smoothed over 31 days."


def year_sheet(result: GrowthYearResult, week: int, units: TemperatureUnit) -> Sheet:
    """
    What a year says.

    Parameters
    ----------
    week
        1 to 52, the one that is told about.
    """
    sections = [
        section
        for number in range(1, len(result.courses) + 1)
        for section in _spot_sections(result, number, week=week, units=units)
    ]
    cautions = Text(
        sentences=tuple(filter(None, (phases.FEEDING_CAUTION, words.clean(result.pets, 400))))
    )
    short = Text(sentences=(phases.SHORT_CAUTION,), on=On.TERMINAL)
    return make_sheet(
        result,
        units,
        title=f"Growth, water and feed through the year at {result.place.name}",
        headline=phases.weeks_title(result, week, units),
        judged=result.results,
        sections=[
            _next_moves(result),
            _weeks(result),
            *sections,
            *_of_all_groups(result, units),
            Section(name="cautions", level=Level.DETAIL, blocks=(cautions,)),
            Section(name="short-caution", level=Level.SHORT, blocks=(short,), on=On.TERMINAL),
        ],
    )


def _next_moves(result: GrowthYearResult) -> Section:
    """The moves of all groups, the next first."""
    return ahead_section(
        [case_of(phases.year_label(year, result, longest=20), year) for year in result.results]
    )


def _weeks(result: GrowthYearResult) -> Section:
    """The year of all groups drawn."""
    title = phases.phases_title(result)
    return Section(
        name="all-weeks",
        title=title,
        label="The year, drawn",
        level=Level.DETAIL,
        lead=True,
        blocks=(weeks_chart(result, title),),
        on=On.PAGE,
    )


# At one spot -------------------------------------------------------------------------------------


def _spot_sections(
    result: GrowthYearResult, number: int, *, week: int, units: TemperatureUnit
) -> list[Section]:
    """
    The week, what comes next, the year, few groups in full, the place, and what must be said.

    Parameters
    ----------
    number
        Of the spot, from 1.
    """
    own = result.courses[number - 1]
    years = [year for year in result.results if year.spot == own.spot]
    several = len(result.courses) > 1
    ending = f"-{number}" if several else ""
    where = words.at_spot(own.spot, result.results)
    dated = [year for year in years if year.runs]
    few = len(years) <= words.DETAILED
    brief, detail = Level.BRIEF, Level.DETAIL
    parts: list[tuple[str, str, Level, On, list[Block]]] = []
    told = " ".join(phases.moving_sentences(dated, week))
    moving: list[Block] = [Text(sentences=(told,))] if told else []
    if len(result.results) == 1 and dated:
        alone = _one_in_short(dated[0], result, week, units)
        parts.append(("short", "", Level.SHORT, On.TERMINAL, [alone]))
    elif dated:
        short = short_table(dated, week) if len(dated) > FEW else _weeks_of(dated, week, units)
        caveats = Text(sentences=tuple(words.caveat_sentences(dated)))
        parts.append(
            ("short", f"Week {week}{where}", Level.SHORT, On.TERMINAL, [short, caveats, *moving])
        )
    if dated:
        parts += [
            ("week", f"Week {week}{where}", detail, On.ALL, [week_table(dated, week), *moving]),
            ("next", f"What comes next{where}", detail, On.ALL, [next_table(dated, week)]),
            ("year", f"The year{where}", detail, On.ALL, [phases_table(dated)]),
        ]
    if few:  # a page tells it of every group, in tables
        parts += [
            (f"full-{at}", name, detail, On.TERMINAL, [_in_full(year, result, units)])
            for at, year in enumerate(dated, start=1)
            for name in [phases.year_label(year, result, key=False)]
        ]
    parts.append(
        (
            "course",
            f"The year of the place{where}",
            detail,
            On.ALL if few else On.PAGE,
            _course(result, own, f"place-{number}", units),
        )
    )
    if not few and dated:
        parts.append(("notes", "", brief, On.TERMINAL, _notes(dated, result, units)))
    withheld = [year for year in years if not year.runs]
    if withheld:
        parts.append(("withheld", "", brief, On.ALL, _withheld(withheld, where)))
    return [
        Section(
            name=name + ending,
            title=title,
            level=level,
            on=on,
            blocks=tuple(blocks),
            parts=(_course_weeks(own, f"place-weeks{ending}", units),) if name == "course" else (),
        )
        for name, title, level, on, blocks in parts
        if blocks
    ]


def week_table(years: Sequence[GrowthYear], week: int) -> Table:
    """
    What each group does in a week, where it stands, its water and feed.

    Parameters
    ----------
    years
        With a calendar.
    week
        1 to 52.
    """
    rows = [(year, run) for year in years if (run := phases.run_of_week(year, week)) is not None]
    columns: list[Column[OfGroup]] = [
        words.who_column(rows, lambda row: row[0]),
        Column.of("Does", lambda row: row[1].phase.value),
        Column.of(
            "Stands", lambda row: phases.standing_words(row[0], row[0].weeks[week - 1].where)
        ),
        Column.of("Water", lambda row: words.clean(row[1].water, 200), wraps=True),
        Column.of("Feed", lambda row: words.clean(row[1].feed, 200), wraps=True),
    ]
    notes = tuple(words.caveat_sentences(years))
    return build_table("week", columns, rows, notes=notes, dense_below=words.WIDE)


def short_table(years: Sequence[GrowthYear], week: int) -> Table:
    """
    What each of many groups does in a week, where it stands, and what comes next.

    Parameters
    ----------
    years
        With a calendar.
    week
        1 to 52.
    """

    def later(year: GrowthYear) -> str:
        run = phases.next_run(year, week)
        change = None if run is None else phases.change_of(year, run)
        return words.NONE if change is None else f"{change.phase.value} from {_usual(change)}"

    columns: list[Column[GrowthYear]] = [
        words.who_column(years),
        Column.of("Does", lambda year: _phase_now(year, week)),
        Column.of("Stands", lambda year: phases.standing_words(year, year.weeks[week - 1].where)),
        Column.of("Then usually", later),
    ]
    return build_table("short", columns, years, notes=(SHORT_NOTE,), dense_below=words.WIDE)


def _weeks_of(years: Sequence[GrowthYear], week: int, units: TemperatureUnit) -> Facts:
    """What each of few groups does in a week, its care, and what comes next."""
    rows = ((words.who_cell(year), phases.week_text(year, week, units)) for year in years)
    return Facts(rows=tuple(Fact(name.text, told, short=name.short) for name, told in rows))


def _phase_now(year: GrowthYear, week: int) -> str:
    run = phases.run_of_week(year, week)
    return words.NONE if run is None else run.phase.value


def _one_in_short(
    year: GrowthYear, result: GrowthYearResult, week: int, units: TemperatureUnit
) -> Facts:
    """The year of one group: its phases, the care of the next, its rest, and what to mind."""
    rows = [Fact("Group", words.group_of(year))] if year.plants else []
    rows.append(Fact("Stands", phases.standing_text(year, short=True)))
    rows += [Fact("Mind", told) for told in phases.moving_sentences([year], week)[:1]]
    for phase in dict.fromkeys(run.phase for run in year.runs):
        runs = [run for run in year.runs if run.phase is phase]
        when = ", ".join(phases.run_dates(run, short=len(runs) > 1) for run in runs)
        rows.append(Fact(phase.value.capitalize(), when))
    later = phases.next_run(year, week)
    if later is not None:
        where = phases.full_care_where(year, later, units)
        told = f"{later.phase.value}{where}, with water: {words.clean(later.water, 200)}"
        rows.append(Fact("Then", told))
    if year.rest_kind is not RestKind.NONE or not year.rest.told:
        rows.append(Fact("Flowers", phases.flowers_in_short(year, units)))
    beside = replace(year, notes=tuple(note for note in year.notes if note not in SHOWN_OTHERWISE))
    notes = " ".join(phases.notes(beside, result, units))
    rows += [Fact("Note", notes)] if notes else []
    return Facts(rows=tuple(rows))


def next_table(years: Sequence[GrowthYear], week: int) -> Table:
    """
    The next change of each group after a week, and how far past years spread it.

    Parameters
    ----------
    years
        With a calendar.
    week
        1 to 52.
    """
    rows: list[Coming] = []
    for year in years:
        run = phases.next_run(year, week)
        rows.append((year, None if run is None else phases.change_of(year, run)))
    columns: list[Column[Coming]] = [
        words.who_column(rows, lambda row: row[0]),
        Column.of("Next", lambda row: row[1].phase.value if row[1] else "no change"),
        Column.of("Usually", lambda row: _usual(row[1]) if row[1] else words.NONE),
        Column.of("Earliest-latest", lambda row: phases.spread(row[1]) if row[1] else words.NONE),
        Column.of(
            "Set by", lambda row: phases.SHORT_BASIS[row[1].set_by] if row[1] else words.NONE
        ),
        Column.of("Doubts", lambda row: phases.doubts(row[0])),
    ]
    return build_table("next", columns, rows, notes=(CHANGES_NOTE,), dense_below=words.WIDE)


def _usual(change: Change) -> str:
    return words.day_month(change.day, short=True)


def phases_table(years: Sequence[GrowthYear]) -> Table:
    """
    The weeks of each phase; on a page also where the plants stand.

    Parameters
    ----------
    years
        With a calendar.
    """
    columns: list[Column[GrowthYear]] = [
        words.who_column(years),
        *(Column.of(phase.value.capitalize(), _phase_cell(phase), wraps=True) for phase in Phase),
        Column.of("Stands", phases.standing_text, wraps=True, on=On.PAGE),
    ]
    return build_table("year", columns, years, notes=(WEEKS_NOTE,), dense_below=words.WIDE)


def _phase_cell(phase: Phase) -> Callable[[GrowthYear], Cell]:
    """The stretches of a phase: in a narrow column each has its own line."""

    def told(year: GrowthYear) -> Cell:
        stretches = phases.phase_dates(year, phase) or [words.NONE]
        return Cell(", ".join(stretches), short="\n".join(stretches))

    return told


def _in_full(year: GrowthYear, result: GrowthYearResult, units: TemperatureUnit) -> Facts:
    """Labels and sentences about one group with a calendar."""
    rows = [Fact("Stands", phases.standing_text(year))]
    if words.group_of(year):
        rows.insert(0, Fact("Group", words.group_of(year)))
    for run in year.runs:
        when = phases.run_dates(run, short=False)
        change = phases.change_of(year, run) if len(year.runs) > 1 else None
        told = [("begins", phases.change_text(change))] if change is not None else []
        told += [(name.lower(), cell(run)) for name, cell in _CARE]
        rows.append(Fact(run.phase.value.capitalize(), when))
        rows += [Fact(label, text, short=f"  {label}") for label, text in told]
    if year.season is not None:
        where = "Air there" if year.indoors else "Air outdoors"
        rows.append(Fact(where, phases.air_text(year, result)))
    rows.append(Fact("Rest", phases.rest_text(year, units)))
    rows.append(Fact("Signs of harm", phases.first_signs(year, units)))
    if year.about:
        rows.append(Fact("About it", phases.about(year, units)))
    rows.append(Fact("Words from", phases.words_from(year)))
    rows += [Fact("Note", sentence) for sentence in phases.notes(year, result, units)]
    return Facts(rows=tuple(rows))


def _course(
    result: GrowthYearResult, own: SpotCourse, name: str, units: TemperatureUnit
) -> list[Block]:
    """The place's own year: drawn on a page, some of its weeks on a terminal."""
    return [
        course_chart(own, name, phases.course_title(own, result, units), units),
        course_table(own.weeks[::COURSE_EVERY], units, On.TERMINAL),
    ]


def _course_weeks(own: SpotCourse, name: str, units: TemperatureUnit) -> Section:
    """Every week of the place's own year, which a page folds."""
    return Section(
        name=name,
        title="Week by week",
        folded=True,
        blocks=(course_table(own.weeks, units, On.PAGE),),
        on=On.PAGE,
    )


def course_table(weeks: Sequence[CourseWeek], units: TemperatureUnit, on: On = On.ALL) -> Table:
    """
    Nights, days and the length of the day in each week.

    Parameters
    ----------
    on
        Where it stands.
    """

    def temperature(value_c: float | None) -> str:
        return words.UNKNOWN if value_c is None else show_temperature(value_c, units)

    def day(month_day: str) -> str:
        return words.day_month(month_day, short=True)

    columns: list[Column[CourseWeek]] = [
        Column.field("Week", "week", str, number=True),
        Column.field("From", "first_day", day),
        Column.field("To", "last_day", day, on=On.PAGE),
        Column.field("Night minimum", "night_c", temperature, number=True),
        Column.field("Day maximum", "day_c", temperature, number=True),
        Column.field("Day length", "day_length_h", lambda hours: f"{hours:.1f} h", number=True),
    ]
    return build_table(
        "place",
        columns,
        weeks,
        title="Week by week" if on is On.PAGE else "",
        notes=(COURSE_NOTE,),
        stacked=False,
        folded=True,
        on=on,
    )


def _notes(
    years: Sequence[GrowthYear], result: GrowthYearResult, units: TemperatureUnit
) -> list[Block]:
    """What must be said beside the calendars, each sentence once with its groups."""
    said: dict[str, list[GrowthYear]] = {}
    for year in years:
        for sentence in phases.notes(year, result, units):
            said.setdefault(sentence, []).append(year)
    return [
        Text(sentences=(f"{'All' if len(some) == len(years) else _listed(some)}: {sentence}",))
        for sentence, some in said.items()
    ]


def _withheld(years: Sequence[GrowthYear], where: str) -> list[Block]:
    """Groups without a calendar, each reason once."""
    reasons: dict[str, list[GrowthYear]] = {}
    for year in years:
        reasons.setdefault(phases.withheld(year), []).append(year)
    return [
        Text(sentences=(f"No calendar{where} for {_listed(some)}: {reason}",))
        for reason, some in reasons.items()
    ]


def _listed(years: Sequence[GrowthYear]) -> str:
    """The first groups by their keys, and how many more there are."""
    return first_of([words.short_name(year) for year in years], NAMED)


# All groups together -----------------------------------------------------------------------------

_CARE: tuple[tuple[str, Callable[[PhaseRun], str]], ...] = (
    ("Water", lambda run: words.clean(run.water, 300)),
    ("Feed", lambda run: words.clean(run.feed, 300)),
    ("Look for", lambda run: words.clean(run.look_for, 300)),
)


def _of_all_groups(result: GrowthYearResult, units: TemperatureUnit) -> Iterable[Section]:
    """What a terminal tells of few groups only."""
    for name, title, table in (
        ("changes", "When it changes", changes_table(result)),
        ("beside", "To be said beside it", beside_table(result, units)),
        ("care", "Water, feed, and what to look for", care_table(result)),
    ):
        if table.rows:
            yield Section(
                name=name,
                title=title,
                level=Level.DETAIL,
                folded=True,
                blocks=(table,),
                on=On.PAGE,
            )


def changes_table(result: GrowthYearResult) -> Table:
    """The changes of each group among past years."""
    rows = [(year, change) for year in result.results for change in year.changes]
    columns: list[Column[Dated]] = [
        Column.of(
            words.who(result.results), lambda row: phases.year_label(row[0], result, key=False)
        ),
        Column.of("Begins", lambda row: row[1].phase.value),
        Column.of("Usually", lambda row: _usual(row[1])),
        Column.of("Week", lambda row: str(row[1].week), number=True),
        Column.of("Earliest-latest", lambda row: phases.spread(row[1])),
        Column.of("Years", lambda row: phases.years_text(row[1]) or words.NONE),
        Column.of("Set by", lambda row: phases.SHORT_BASIS[row[1].set_by]),
    ]
    return build_table("changes", columns, rows, notes=(f"{CHANGES_NOTE} {YEARS_NOTE}",))


def care_columns() -> list[Column[PhaseRun]]:
    """What each stretch of a phase asks for."""
    return [
        Column.of("Does", lambda run: run.phase.value),
        Column.of("When", phases.run_dates),
        *(Column.of(name, cell, wraps=True) for name, cell in _CARE),
    ]


def care_table(result: GrowthYearResult) -> Table:
    """Water, feed and signs of each stretch of a phase, of all groups."""
    rows = [(year, run) for year in result.results for run in year.runs]
    columns: list[Column[OfGroup]] = [
        Column.of(
            words.who(result.results), lambda row: phases.year_label(row[0], result, key=False)
        ),
        *(_of_run(column) for column in care_columns()),
    ]
    return build_table("care", columns, rows)


def _of_run(column: Column[PhaseRun]) -> Column[OfGroup]:
    """The same column, of rows that name the group too."""
    return Column(head=column.head, cell=lambda row: column.cell(row[1]))


def beside_table(result: GrowthYearResult, units: TemperatureUnit) -> Table:
    """Air, rest, signs of harm and doubts of each group."""

    def air(year: GrowthYear) -> str:
        return (
            phases.air_text(year, result) if year.season is not None and year.weeks else words.NONE
        )

    def notes(year: GrowthYear) -> str:
        return " ".join(phases.notes(year, result, units)) or phases.withheld(year) or words.NONE

    columns: list[Column[GrowthYear]] = [
        Column.of(
            words.who(result.results), lambda year: phases.year_label(year, result, key=False)
        ),
        Column.of("Air outdoors", air, wraps=True),
        Column.of("Rest", lambda year: phases.rest_text(year, units), wraps=True),
        Column.of("Signs of harm", lambda year: phases.first_signs(year, units), wraps=True),
        Column.of("About it", lambda year: phases.about(year, units) or words.NONE, wraps=True),
        Column.of("Words from", phases.words_from, wraps=True),
        Column.of("Notes", notes, wraps=True),
    ]
    return build_table("beside", columns, result.results)
