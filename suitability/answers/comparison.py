"""The sheet of a comparison: which spot suits which group, in what order, and how sure that is."""

from __future__ import annotations

from typing import TYPE_CHECKING

from msgspec import Struct
from msgspec.structs import replace

from suitability.advice.spot_years import FEWEST_SHARED
from suitability.advice.terms import Verdict
from suitability.answers import words
from suitability.answers.best_spot import (
    case_of,
    cases_of,
    headline,
    if_moved,
    label_of,
    placed_rows,
    season_there,
    spot_labels,
)
from suitability.answers.check_charts import bars_key, bars_of, bars_told, season_row
from suitability.answers.head import sheet_of_places, years_of
from suitability.answers.sheet import (
    Cell,
    Chart,
    Column,
    Level,
    On,
    Section,
    Table,
    Text,
    build_table,
)
from suitability.answers.spots import spot_decides
from suitability.units import TemperatureUnit, bare, show_difference

if TYPE_CHECKING:
    from collections.abc import Iterator, Sequence

    from suitability.advice.comparison import (
        Comparison,
        Difference,
        Placement,
        Row,
        SpotOfPlace,
    )
    from suitability.advice.spot_years import Interval
    from suitability.answers.best_spot import Labels
    from suitability.answers.sheet import Block, Sheet

    Placed = tuple[Placement, list[Row]]

IN_FULL = 4  # groups up to which a terminal shows every number
MOST_LEADING = 30  # bars of seasons that stand first; more stand below the verdicts
BAR_GROUPS = 6  # groups whose hours are drawn; all are in the table
GROUP_COLUMN = 20  # characters
WORDED_COLUMN = 20  # characters that a column takes whose cells are in full, its gap included
ROOM_COLUMN = 34  # likewise of a spot in a room
WORDED_SPOTS = 4  # beside which there is room for words below 100 columns
NARROWEST = 80  # columns of a terminal
WIDE = 200  # columns of a terminal from which the verdicts of the numbers stand in one line
NEARLY = "nearly all year"
LETTERS = {
    "provisional": "p",
    "borderline": "b",
    NEARLY: "n",
}  # where there is no room for the words
TINY = {
    Verdict.ALL_YEAR: "year",
    Verdict.INDOOR: "in",
    Verdict.NONE: "none",
}  # likewise; a season is told by its days
TINY_IN_A_ROOM = TINY | {Verdict.ALL_YEAR: "stays", Verdict.INDOOR: "no"}
NOT_JUDGED = "No verdict: too little of the record is known; `suitability check` says what lacks."
TOO_FEW = "too few years tell how sure that is"
NAME_FEW = "Name up to four groups with --group to see numbers, or ask for all with --details."
NEARLY_NOTE = "Nearly all year: it may stay out if carried in, or covered, on a few nights a year."
RANGE_DECIDES = "?: the range of what is known of the spot decides; measure it."
BEST_NOTE = (
    "Dates: outdoor-seasonal, out to in. Best: the first in the order of verdict, season, unsafe "
    "nights, rest, hours below the floor and, where these tell none apart, heat; rooms apart. Tie: "
    "no difference can be told from the best."
)
WORDED_BELOW = 104  # columns of a terminal below which columns stand closer
SEASON_DAYS = f"Days: {Verdict.SEASONAL}, and how long its season is"
CHOSEN_BY = ("Verdict", "Comfort", "Unsafe", "Below", "Rest", "Heat", "Light")
BESIDE = ("Dose", "Carried", "Margin")
ROOMS = f"In a room {words.READ_IN_A_ROOM}"
LIGHT_WORDS = {
    "fits": "fits",
    "darker": "too dark",
    "brighter": "brighter",
    "not-said": words.UNKNOWN,
}


class MatrixCell(Struct, frozen=True, kw_only=True):
    """
    One group at one spot.

    Attributes
    ----------
    lines
        The verdict in words, and what weakens it.
    short
        The same where there is no room for words.
    told
        All that the pointer over it tells, line by line.
    """

    verdict: Verdict
    lines: tuple[str, ...]
    short: str
    told: tuple[str, ...]


class VerdictMatrix(Struct, frozen=True, kw_only=True):
    """Groups down, spots across: `cells` by group and spot."""

    spots: tuple[str, ...]
    groups: tuple[str, ...]
    cells: tuple[tuple[MatrixCell, ...], ...]


class GroupHours(Struct, frozen=True, kw_only=True):
    """Hours a year of one group at every spot, None where unknown, and as they are written."""

    name: str
    hours: tuple[float | None, ...]
    texts: tuple[str, ...]


class SpotHours(Struct, frozen=True, kw_only=True):
    """Hours a year by spot, of a few groups; `across` names them, `unit` is that of one bar."""

    spots: tuple[str, ...]
    groups: tuple[GroupHours, ...]
    across: str
    unit: str


def comparison_sheet(found: Comparison, units: TemperatureUnit) -> Sheet:
    """What a comparison says."""
    labels = spot_labels(found)
    asked = [("Promise", f"what {found.promise:.0%} of new years keep")]
    asked += [("Rooms", ROOMS)] if any(row.indoors for row in found.results) else []
    asked += [("Understood", words.clean(note, 400)) for note in found.understood]
    understood = tuple(Text(sentences=(words.clean(note, 400),)) for note in found.understood)
    sections = []
    if understood:  # a page tells it at its head
        sections.append(Section(name="understood", blocks=understood, on=On.TERMINAL))
    drawn = _seasons(found, labels)
    verdicts = _verdict_sections(found, units)
    sections += [drawn, *verdicts] if drawn.lead else [*verdicts, drawn]
    sections += _number_sections(found, labels, units)
    marks = _mark_sentences(found, units)
    if marks:
        told = (Text(sentences=marks),)  # a page tells them beside its chart
        sections.append(Section(name="marks", blocks=told, on=On.TERMINAL))
    return sheet_of_places(
        found.places,
        found.credits,
        title=f"Which spot suits which {words.who(found.results).lower()}",
        headline=headline(found),
        sections=sections,
        asked=asked,
        notes=(*found.notes, *_years_notes(found)),
        years=_years(found),
    )


def _years(found: Comparison) -> list[str]:
    """Of which years the weather of each place is."""
    return [
        years_of(credit.period, place)
        for credit, place in zip(found.credits, found.places, strict=True)
    ]


def _years_notes(found: Comparison) -> list[str]:
    """Which places have records of other years, so that what differs may be the years."""
    years = dict(zip((place.name for place in found.places), _years(found), strict=True))
    pairs = dict.fromkeys(
        (one.better.place, one.other.place)
        for one in found.differences
        if one.better.place != one.other.place and one.years_shared < FEWEST_SHARED
    )
    told = {
        " and ".join(sorted(f"{words.clean(name, 40)} ({years[name]})" for name in pair))
        for pair in pairs
    }
    return [
        f"{both}: their records hold other years. What differs may be the years and not the "
        "places, so that it must be more than twice as clear before it is said."
        for both in sorted(told)
    ]


# Seasons ----------------------------------------------------------------------------------------


def _seasons(found: Comparison, labels: Labels) -> Section:
    """The season of each group at every spot, the spots of a group beneath each other."""
    cases = cases_of(found)
    rows = [row for alike in cases.values() for row in alike]
    names = words.distinct(
        f"{words.short_name(row, 20)}, {label_of(row, labels)}"
        if len(cases) > 1
        else label_of(row, labels)
        for row in rows
    )
    spec = bars_of(
        (
            season_row(name, words.full_name(row), row.verdict, row.season, indoors=row.indoors)
            for name, row in zip(names, rows, strict=True)
        ),
        (row.indoors for row in rows),
    )
    chart = Chart(
        name="seasons",
        title=headline(found),
        spec=spec,
        key=bars_key(spec),
        told=bars_told(
            (name, row.verdict, row.season, row.indoors)
            for name, row in zip(names, rows, strict=True)
        ),
    )
    return Section(
        name="through-the-year",
        title="Through the year",
        lead=len(rows) <= MOST_LEADING,
        blocks=(chart,),
        on=On.PAGE,
    )


# Verdicts ---------------------------------------------------------------------------------------


def _verdict_sections(found: Comparison, units: TemperatureUnit) -> list[Section]:
    """The matrix: drawn, and as a table; few groups have their numbers on a terminal instead."""
    many = len(cases_of(found)) > IN_FULL or bool(found.placements)
    notes = " ".join([_matrix_key(found), *_mark_sentences(found, units)])
    chart = Chart(name="matrix", title=headline(found), spec=verdict_matrix(found), notes=(notes,))
    blocks: list[Block] = [chart, matrix_table(found)]
    if not found.placements:
        blocks.append(Text(sentences=(NAME_FEW,), on=On.TERMINAL))
    sections = [
        Section(
            name="verdicts",
            title="What lives where",
            blocks=tuple(blocks),
            on=On.ALL if many else On.PAGE,
        )
    ]
    if found.placements:
        table = placements_table(found)
        sections.insert(0, Section(name="spots", title="The best spot", blocks=(table,)))
    return sections


def placements_table(found: Comparison) -> Table:
    """One row a plant, or plants judged alike: where it stands, its best spot, and why."""
    labels = spot_labels(found)
    placed = placed_rows(found)

    def told_best(one: Placed) -> str:
        return _best(*one, labels)

    columns: list[Column[Placed]] = [
        words.who_column(placed, lambda one: one[1][0]),
        Column.of("Stands", lambda one: _stands(one[0]), wraps=True, widest=16),
        Column.of("Best spot", told_best, wraps=True, widest=18),
        Column.of("Why", lambda one: _why(*one, labels), wraps=True),
    ]
    return build_table(
        "placements",
        columns,
        placed,
        notes=tuple(words.caveat_sentences(found.results)),
        dense_below=WORDED_BELOW,
    )


def _stands(one: Placement) -> str:
    """Where the plants stand; each by name where they stand apart."""
    spots = {standing.spot for standing in one.standing}
    told = [(one.plant, words.clean(one.spot or "not placed", 24)) for one in one.standing]
    if len(spots) == 1:
        return told[0][1]
    return "; ".join(f"{words.clean(plant, 40)}: {spot}" for plant, spot in told)


def _best(one: Placement, rows: Sequence[Row], labels: Labels) -> str:
    """The best spot; several where no difference can be told."""
    indoors = " or ".join(label_of(best, labels) for best in one.best_rooms)
    told = _best_outdoors(one, rows, labels)
    return f"{told}; indoors {indoors}" if indoors else told


def _best_outdoors(one: Placement, rows: Sequence[Row], labels: Labels) -> str:
    """The same without the rooms that stand beside spots outdoors."""
    named = [label_of(best, labels) for best in one.best]
    moves = ""
    move = [standing.spot for standing in one.standing if standing.well is False]
    if move:
        moves = f": move it{if_moved(one, rows, *move)}{season_there(one, rows)}"
    if len(named) > 1:
        return f"{' or '.join(named)}{moves}"
    return f"{named[0]}{moves}" if named else "none"


def _why(one: Placement, rows: Sequence[Row], labels: Labels) -> str:
    """What the best hangs on, whether that can be told, and what speaks against it."""
    reason = words.clean(one.reason, 200)
    parts = [reason if one.against is None else f"{reason} at {label_of(one.against, labels)}"]
    if one.told_apart is None and one.best and len(rows) > 1:
        parts.append(TOO_FEW)
    elif one.told_apart is False:
        parts.append("no difference can be told with what is known of the spots")
    by_spot = {(row.place, row.spot): row for row in rows}
    for best in one.best[:1]:
        row = by_spot[best.place, best.spot]
        if one.against is not None:
            parts[1:1] = _also_apart(row, by_spot[one.against.place, one.against.spot], reason)
        if row.never_rests:
            parts.append("hardly flowers there")
        if row.light == "darker":
            parts.append("too dark for it there")
    parts += [
        f"hardly flowers if it stays in {label_of(room, labels)}"
        for room in one.best_rooms
        if by_spot[room.place, room.spot].never_rests
    ]
    return "; ".join(parts)


def _also_apart(row: Row, other: Row, reason: str) -> list[str]:
    """What else the best spot has more or less of than another one."""
    parts = []
    for key, what, mine, others in (
        ("unsafe", "unsafe nights", row.unsafe_nights, other.unsafe_nights),
        ("floor", "hours below the floor", row.hours_below.year, other.hours_below.year),
    ):
        if mine is not None and others is not None and key not in reason:
            apart = round(mine) - round(others)
            if apart:
                parts.append(f"{abs(apart)} {'fewer' if apart < 0 else 'more'} {what} a year")
    if row.comfort_c is not None and not row.rest.needed:  # else cooler nights bring its rest
        apart = _comfortable_days(row) - _comfortable_days(other)
        if apart:
            parts.append(f"{abs(apart)} {'more' if apart > 0 else 'fewer'} comfortable days a year")
    if _rest_share(row) < _rest_share(other):
        parts.append(f"but its rest is met in {_rest_met(row)} years against {_rest_met(other)}")
    return parts


def _rest_share(row: Row) -> float:
    """Share of years that met a rest on which flowers hang; 1 where that is not asked."""
    rest = row.rest
    return (rest.met_years or 0) / rest.of_years if rest.needed and rest.of_years else 1.0


def _marks(row: Row, found: Comparison) -> list[str]:
    """What weakens a verdict, in words; what all have in common is said once, below."""
    marks = []
    if row.provisional and not all(one.provisional for one in found.results):
        marks.append("provisional")
    if row.borderline:
        marks.append("borderline")
    if row.nearly_all_year:
        marks.append(NEARLY)
    return marks


def _verdict(row: Row) -> Cell:
    return words.verdict_cell(row.verdict, indoors=row.indoors)


def _few_words(row: Row) -> Cell:
    """The verdict, of a season its days; a question mark where the range of the spot decides."""
    told = _verdict(row)
    if row.verdict is Verdict.SEASONAL:
        told = Cell(f"{row.days} days", short=f"{row.days} days")
    decides = " ?" if spot_decides(row) else ""
    return Cell(f"{told.text}{decides}", short=f"{told.short}{decides}")


def _letters(row: Row, found: Comparison, *, days: bool) -> str:
    """The same, and what weakens it, where there is no room for words."""
    tiny = TINY_IN_A_ROOM if row.indoors else TINY
    told = tiny.get(row.verdict, f"{row.days} days" if days else str(row.days))
    marks = [LETTERS[mark] for mark in _marks(row, found)]
    return " ".join([told, *(["?"] if spot_decides(row) else []), *marks])


def _key_of_letters(found: Comparison) -> list[str]:
    """The short words and letters explained, only those in use."""
    told = {
        (TINY_IN_A_ROOM if row.indoors else TINY).get(row.verdict): _verdict(row).text
        for row in found.results
    }
    return [
        *(f"{short}: {' '.join(told[short].split())}" for short in told if short),
        *_letters_told(found),
    ]


def _letters_told(found: Comparison) -> list[str]:
    """The letters that stand for words, explained, only those in use."""
    marks = {mark for row in found.results for mark in _marks(row, found)}
    return [f"{letter}: {mark}" for mark, letter in LETTERS.items() if mark in marks]


def _matrix_key(found: Comparison) -> str:
    """How the matrix is read where it is drawn; a phone shows numbers and letters alone."""
    number = f"Days, or a number alone: {Verdict.SEASONAL}, and how long its season is"
    return f"{'; '.join([number, *_key_of_letters(found)])}."


def verdict_matrix(found: Comparison) -> VerdictMatrix:
    """What the matrix draws."""
    labels = spot_labels(found)
    cases, spots = cases_of(found), tuple(labels.values())
    by_cell = {(case_of(row), label_of(row, labels)): row for row in found.results}
    return VerdictMatrix(
        spots=spots,
        groups=words.distinct(words.short_name(rows[0], 24) for rows in cases.values()),
        cells=tuple(
            tuple(_matrix_cell(by_cell[case, spot], found) for spot in spots) for case in cases
        ),
    )


def _matrix_cell(row: Row, found: Comparison) -> MatrixCell:
    marks = _marks(row, found)
    verdict = ", ".join([words.verdict_words(row.verdict, indoors=row.indoors), *marks])
    first = [" ".join(_few_words(row).short.split()), *([NEARLY] if row.nearly_all_year else [])]
    return MatrixCell(
        verdict=row.verdict,
        lines=(", ".join(first), *(mark for mark in marks if mark not in first)),
        short=_letters(row, found, days=False),
        told=(
            words.full_name(row),
            f"{words.clean(row.spot, 40)}: {verdict}",
            f"{words.number(row.unsafe_nights)} unsafe nights a year",
            f"{words.number(row.hours_below.year)} h a year below the growth floor",
            *([] if row.comfort_c is None else [f"{_comfortable(row)} comfortable days a year"]),
        ),
    )


def matrix_table(found: Comparison) -> Table:
    """Groups down, spots across: verdict and days, and what weakens them."""
    labels = spot_labels(found)
    by_case = [{(row.place, row.spot): row for row in rows} for rows in cases_of(found).values()]
    room = GROUP_COLUMN + sum(
        ROOM_COLUMN if row.indoors else WORDED_COLUMN for row in by_case[0].values()
    )
    only_rooms = all(row.indoors for row in found.results)
    ties = {(case_of(one), only_rooms) for one in found.placements if len(one.best) > 1}
    ties |= {(case_of(one), True) for one in found.placements if len(one.best_rooms) > 1}

    def told(key: tuple[str, str]) -> Column[dict[tuple[str, str], Row]]:
        def cell(rows: dict[tuple[str, str], Row]) -> Cell:
            row = rows[key]
            if found.placements:
                tie = (case_of(row), row.indoors) in ties
                return _placed_cell(row, found, tie=tie, letters=letters)
            return _worded(row, found)

        return Column.of(labels[key], cell, wraps=True, long_from=room)

    letters = len(labels) > WORDED_SPOTS
    columns: list[Column[dict[tuple[str, str], Row]]] = [
        words.who_column(
            by_case, lambda rows: next(iter(rows.values())), key=True, widest=GROUP_COLUMN
        ),
        *map(told, labels),
    ]
    key = _key_of_letters(found) if room > NARROWEST else []
    note = f"{'; '.join([SEASON_DAYS, *key])}."
    if found.placements:
        key = [f"{'; '.join(_letters_told(found))}."] if letters and _letters_told(found) else []
        note = " ".join((BEST_NOTE, *key, *words.growth_note(found.results)))
    return build_table("verdicts", columns, by_case, notes=(note,), dense_below=NARROWEST)


def _placed_cell(row: Row, found: Comparison, *, tie: bool, letters: bool) -> Cell:
    """
    Verdict or dates of the season, what weakens it, and whether it is the best spot.

    Parameters
    ----------
    letters
        Whether letters stand for what weakens it where columns are narrow.
    """
    told = _verdict(row)
    if row.verdict is Verdict.SEASONAL:
        dates = words.season_of(row, short=True)
        told = Cell(dates, short=dates)
    decides = " ?" if spot_decides(row) else ""
    weak, marks = _marks(row, found), []
    if row.grows_from is not None:
        marks.append(words.growth_mark(row))
    if row.best:
        marks.append("tie" if tie else "best")
    short = [" ".join([f"{told.short}{decides}", *map(LETTERS.__getitem__, weak)])]
    if not letters:
        short = [f"{told.short}{decides}", *weak]
    return Cell(
        ",\n".join([f"{told.text}{decides}", *weak, *marks]),
        short="\n".join([*short, *marks]),
        mark=words.VERDICT_MARKS[row.verdict],
    )


def _worded(row: Row, found: Comparison) -> Cell:
    """Verdict and days, and on lines of their own what weakens them; in letters where narrow."""
    long = ",\n".join([_few_words(row).text, *_marks(row, found)])
    short = _letters(row, found, days=True)
    return Cell(long, short=short, mark=words.VERDICT_MARKS[row.verdict])


# Numbers ----------------------------------------------------------------------------------------


def _number_sections(found: Comparison, labels: Labels, units: TemperatureUnit) -> list[Section]:
    """
    All numbers, and the order of spots in words.

    On a page one table and one list hold them; on a terminal a few groups have theirs each, and
    many share two tables, in the details.
    """
    cases = cases_of(found)
    sections: list[Section] = []
    if len(cases) <= IN_FULL:
        sections += _on_terminal(found, labels, units)
    else:
        sections.append(_of_many(found, units))
    what = words.who(found.results).lower()
    drawn = f", of the first {BAR_GROUPS} {what}s" if len(cases) > BAR_GROUPS else ""
    hours = Chart(
        name="hours",
        title=hours_title(found, labels),
        spec=spot_hours(found),
        notes=(f"Hours of a mean year{drawn}; the table below has all.",),
    )
    every = numbers_table(found.results, found, units, name="numbers")
    blocks: list[Block] = [hours, every]
    sections.append(
        Section(
            name="numbers",
            title=f"All spots and {what}s in numbers",
            level=Level.DETAIL,
            folded=True,
            blocks=tuple(blocks),
            on=On.PAGE,
        )
    )
    if found.differences:
        several = tuple(
            f"{words.short_name(cases[case_of(one)][0], 40)}: {difference_sentence(one, labels)}"
            for one in found.differences
        )
        listed = Text(sentences=several, listed=True)
        sections.append(
            Section(name="order", title="The order of spots", blocks=(listed,), on=On.PAGE)
        )
    return sections


def _on_terminal(found: Comparison, labels: Labels, units: TemperatureUnit) -> Iterator[Section]:
    """The numbers of each of a few groups, with the heads explained once, and the others."""
    for number, (case, rows) in enumerate(cases_of(found).items(), start=1):
        told = [one for one in found.differences if case_of(one) == case]
        order = tuple(difference_sentence(one, labels) for one in told)
        brief = numbers_table(rows, found, units, name=f"numbers-{number}", only=CHOSEN_BY)
        others = numbers_table(rows, found, units, name=f"more-{number}", only=BESIDE)
        name = words.full_name(rows[0])
        if number > 1:
            brief, others = replace(brief, notes=()), replace(others, notes=())
        yield Section(
            name=f"group-{number}",
            title=name,
            level=Level.DETAIL if found.placements else Level.BRIEF,
            blocks=(replace(brief, notes=(*brief.notes, *order)),),
            on=On.TERMINAL,
        )
        yield Section(
            name=f"more-{number}",
            title=f"{name}: further numbers",
            level=Level.DETAIL,
            blocks=(others,),
            on=On.TERMINAL,
        )


def _of_many(found: Comparison, units: TemperatureUnit) -> Section:
    """The numbers of many groups, whose verdicts stand above, the spots of each together."""
    rows = [row for alike in cases_of(found).values() for row in alike]
    return Section(
        name="numbers-of-all",
        title=f"All spots and {words.who(found.results).lower()}s in numbers",
        level=Level.DETAIL,
        blocks=tuple(
            numbers_table(rows, found, units, name=f"{name}-of-all", only=only, whose=On.ALL)
            for name, only in (("numbers", CHOSEN_BY[1:]), ("more", BESIDE))
        ),
        on=On.TERMINAL,
    )


def numbers_table(
    rows: Sequence[Row],
    found: Comparison,
    units: TemperatureUnit,
    *,
    name: str,
    only: Sequence[str] = (),
    whose: On = On.PAGE,
) -> Table:
    """
    One row a spot and group, with every number, explained below.

    Parameters
    ----------
    only
        Short heads of the numbers that it has; none: all.
    whose
        Where the groups are named.
    """
    labels = spot_labels(found)
    columns: list[Column[Row]] = [
        Column.of("Spot", lambda row: label_of(row, labels), wraps=True, widest=22),
        words.who_column(rows, key=True, on=whose),
        *(
            column
            for column in _number_columns(found, units)
            if not only or (column.head.short or column.head.title) in only
        ),
    ]
    notes = {
        "Comfort": "days a year with mean nights from its comfort mark on",
        "Unsafe": "nights a year below its limit or of too much cold (or heat) added up, were it "
        "left out all year, median (worst)",
        "Below": "hours a year below the growth floor",
        "Rest": "years that met it (?: not known)",
        "Heat": "hours a year above the ceiling on the days out",
        "Dose": f"worst {units.symbol}·h in 14 days",
        "Carried": "nights a year, typical (worst), were it left out; no more than unsafe ones, "
        "for a night indoors adds no cold to those after it",
        "Margin": "the least warming that would raise the verdict",
    }
    told = [f"{head}: {meaning}." for head, meaning in notes.items() if not only or head in only]
    if any(row.verdict is Verdict.SEASONAL for row in found.results) and (
        not only or "Verdict" in only
    ):
        told.append(f"{SEASON_DAYS}.")
    return build_table(name, columns, rows, notes=(" ".join(told),), dense_below=WIDE)


def _number_columns(found: Comparison, units: TemperatureUnit) -> list[Column[Row]]:
    """Every number of a row."""
    symbol = units.symbol
    return [
        Column.of("Verdict", lambda row: _verdict_cell(row, found), long_from=WIDE),
        Column.of("Comfortable days a year", _comfortable, short="Comfort", number=True),
        Column.of(
            "Unsafe nights a year, median (worst)",
            lambda row: (
                f"{words.number(row.unsafe_nights)} ({words.number(row.unsafe_nights_worst)})"
            ),
            short="Unsafe",
            number=True,
        ),
        Column.field(
            "Below the growth floor, h a year",
            "hours_below.year",
            words.number,
            short="Below",
            number=True,
        ),
        Column.of("Rest, years that met it", _rest_met, short="Rest", number=True),
        Column.field(
            "Heat above the ceiling, h a year",
            "heat_hours",
            lambda hours: "-" if hours is None else words.number(hours),
            short="Heat",
            number=True,
        ),
        Column.field("Light", "light", LIGHT_WORDS.__getitem__),
        Column.field(
            f"Dose, worst of 14 days, {symbol}·h",
            "worst_dose_c_h",
            lambda dose: bare(show_difference(dose, units, 0), units),
            short="Dose",
            number=True,
        ),
        Column.field(
            "Carried nights a year, typical (worst)",
            "carried_nights",
            lambda nights: "-" if nights is None else f"{nights.typical} ({nights.worst})",
            short="Carried",
            number=True,
        ),
        Column.field(
            f"Margin, {symbol}",
            "margin_c",
            lambda margin: (
                "-" if margin is None else f"+{bare(show_difference(margin, units), units)}"
            ),
            short="Margin",
            number=True,
        ),
    ]


def _comfortable(row: Row) -> str:
    """Days of a mean year whose nights are comfortable; none where no mark is known."""
    if row.comfort_c is None or row.verdict is Verdict.NONE:
        return "-"
    return str(_comfortable_days(row))


def _comfortable_days(row: Row) -> int:
    """Days of a mean year whose nights are comfortable."""
    return 0 if row.comfort_season is None else row.comfort_season.days


def _verdict_cell(row: Row, found: Comparison) -> Cell:
    """Verdict, days, and what weakens them: in a line, and in a narrow column."""
    decides = " ?" if spot_decides(row) else ""
    marks, told = _marks(row, found), _verdict(row)
    days = [f"{row.days} days"] if row.verdict is Verdict.SEASONAL else []
    long = ",\n".join([", ".join([f"{told.text}{decides}", *days]), *marks])
    short = told.short
    if row.verdict is Verdict.SEASONAL:
        short = days[0]
    elif row.verdict is Verdict.ALL_YEAR or decides:
        short = short.replace("-", "-\n", 1)
    narrow = "\n".join([f"{short}{decides}", *marks])
    return Cell(long, short=narrow, mark=words.VERDICT_MARKS[row.verdict])


def _rest_met(row: Row) -> str:
    """Years that met the rest, of those that tell."""
    if row.rest.of_years:
        return f"{row.rest.met_years}/{row.rest.of_years}"
    return "-" if row.rest.needed is False else words.UNKNOWN


def hours_title(found: Comparison, labels: Labels) -> str:
    """Where a year has most and fewest hours below the growth floor, among what is drawn."""
    drawn = list(cases_of(found))[:BAR_GROUPS]
    known = [
        (row.hours_below.year, f"{words.short_name(row, 24)} at {label_of(row, labels)}")
        for row in found.results
        if row.hours_below.year is not None and case_of(row) in drawn
    ]
    if not known:
        return "Hours below the growth floor: no year was observed well enough."
    (fewest, least_at), (most, most_at) = min(known), max(known)
    return (
        f"Most hours below a growth floor: {words.hours(most)} h a year, {most_at}; "
        f"fewest: {words.hours(fewest)} h, {least_at}."
    )


def spot_hours(found: Comparison) -> SpotHours:
    """What the bars draw: the first groups asked for."""
    labels = spot_labels(found)
    groups = []
    for rows in list(cases_of(found).values())[:BAR_GROUPS]:
        by_spot = {(row.place, row.spot): row.hours_below.year for row in rows}
        hours = tuple(by_spot[key] for key in labels)
        name = words.short_name(rows[0], 24)
        groups.append(GroupHours(name=name, hours=hours, texts=tuple(map(words.hours, hours))))
    return SpotHours(
        spots=tuple(labels.values()),
        groups=tuple(groups),
        across="hours a year below the growth floor",
        unit="h a year",
    )


# The order of spots -----------------------------------------------------------------------------


def difference_sentence(one: Difference, labels: Labels) -> str:
    """Which of two spots comes first, why, and whether that can be told."""

    def label(end: SpotOfPlace) -> str:
        return labels[end.place, end.spot]

    parts = [f"{label(one.better)} before {label(one.other)}: {words.clean(one.reason, 200)}"]
    for what, interval in (
        ("days of season a year", one.season_days_difference),
        ("unsafe nights a year", one.unsafe_nights_difference),
        ("hours below the floor in months of growth", one.hours_below_difference),
        ("hours above the ceiling", one.heat_hours_difference),
    ):
        if interval is not None and (one.decided_by == "heat" or "above" not in what):
            parts.append(_apart(interval, what))
    if one.better.place != one.other.place and one.years_shared >= FEWEST_SHARED:
        parts[-1] += f", in the {one.years_shared} years that both know"
    if one.told_apart is None:
        parts.append(TOO_FEW)
    elif not one.told_apart:
        parts.append("not to be told apart with what is known of them")
    return "; ".join(parts) + "."


def _apart(interval: Interval, what: str) -> str:
    """A difference with the interval in which it lies."""
    more, least, most = map(_signed, (interval.difference, interval.low, interval.high))
    if {more, least, most} == {"0"}:
        return f"as many {what}"
    return f"{more} {what} ({least} to {most})"


def _signed(value: float) -> str:
    """A difference in whole numbers; none has no sign."""
    whole = round(value)
    return f"{whole:+d}" if whole else "0"


def _mark_sentences(found: Comparison, units: TemperatureUnit) -> tuple[str, ...]:
    """What the marks mean, as far as they stand anywhere."""
    unseen = words.unseen_note(found.results)
    sentences = [*([unseen] if unseen else []), *words.mark_sentences(found.results, units)]
    if not found.placements:  # else they stand below the first table
        sentences += words.caveat_sentences(found.results)
    if any(row.nearly_all_year for row in found.results):
        sentences.append(NEARLY_NOTE)
    if any(map(spot_decides, found.results)):
        sentences.append(RANGE_DECIDES)
    if any(row.verdict is Verdict.NONE for row in found.results):
        sentences.append(NOT_JUDGED)
    return tuple(sentences)
