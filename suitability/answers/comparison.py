"""The sheet of a comparison: which spot suits which group, in what order, and how sure that is."""

from __future__ import annotations

from typing import TYPE_CHECKING

from msgspec import Struct

from suitability.advice.verdicts import Verdict
from suitability.answers import words
from suitability.answers.check_charts import bars_key, bars_of, bars_told, distinct, season_row
from suitability.answers.head import sheet_of_places
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
from suitability.units import TemperatureUnit, show_difference

if TYPE_CHECKING:
    from collections.abc import Mapping, Sequence

    from suitability.advice.comparison import Comparison, Difference, Interval, Row, SpotOfPlace
    from suitability.answers.sheet import Block, Sheet

    Labels = Mapping[tuple[str, str], str]

__all__ = [
    "GroupHours",
    "MatrixCell",
    "SpotHours",
    "VerdictMatrix",
    "comparison_sheet",
    "difference_sentence",
    "matrix_table",
    "numbers_table",
    "spot_hours",
    "spot_labels",
    "verdict_matrix",
]

IN_FULL = 4  # groups up to which a terminal shows every number
MOST_LEADING = 30  # bars of seasons that stand first; more stand below the verdicts
BAR_GROUPS = 6  # groups whose hours are drawn; all are in the table
GROUP_COLUMN = 20  # characters
WORDED_COLUMN = 20  # characters that a column takes whose cells are in full, its gap included
NARROWEST = 80  # columns of a terminal
WIDE = 200  # columns of a terminal from which the verdicts of the numbers stand in one line
LETTERS = {"provisional": "p", "borderline": "b"}  # where there is no room for the words
TINY = {
    Verdict.ALL_YEAR: "year",
    Verdict.INDOOR: "in",
    Verdict.NONE: "none",
}  # likewise; a season is told by its days
NOT_JUDGED = "No verdict: too little of the record is known; `suitability check` says what lacks."
NAME_FEW = "Name up to four groups with --group to see numbers."
RANGE_DECIDES = "?: the range of what is known of the spot decides; measure it."
SEASON_DAYS = f"Days: {Verdict.SEASONAL}, and how long its season is"
LIGHT_WORDS = {
    "fits": "fits",
    "darker": "too dark",
    "brighter": "brighter",
    "not-said": words.UNKNOWN,
}
OUTDOORS = (Verdict.ALL_YEAR, Verdict.SEASONAL)


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
    """
    What a comparison says.

    Parameters
    ----------
    units
        In which temperatures are shown.
    """
    labels = spot_labels(found)
    asked = [("Promise", f"what {found.promise:.0%} of new years keep")]
    asked += [("Understood", words.clean(note, 400)) for note in found.understood]
    understood = tuple(Text(sentences=(words.clean(note, 400),)) for note in found.understood)
    sections = []
    if understood:  # a page tells it at its head
        sections.append(Section(name="understood", blocks=understood, on=On.TERMINAL))
    drawn = _seasons(found, labels)
    verdicts = _verdict_sections(found, labels, units)
    sections += [drawn, *verdicts] if drawn.lead else [*verdicts, drawn]
    sections += _number_sections(found, labels, units)
    marks = _mark_sentences(found, units)
    if marks:
        told = (Text(sentences=marks),)  # a page tells them beside its chart
        sections.append(Section(name="marks", blocks=told, on=On.TERMINAL))
    return sheet_of_places(
        found.places,
        found.credits,
        title="Which spot suits which group",
        headline=headline(found, labels),
        sections=sections,
        asked=asked,
    )


# Names ------------------------------------------------------------------------------------------


def spot_labels(found: Comparison) -> dict[tuple[str, str], str]:
    """By place and spot: the spot, with its place where there are several; all different."""
    labels: dict[tuple[str, str], str] = {}
    for row in found.results:
        if (row.place, row.spot) in labels:
            continue
        name = words.clean(row.spot, 24)
        label = name if len(found.places) == 1 else f"{words.clean(row.place, 24)}: {name}"
        alike = sum(other == label for other in labels.values())
        labels[row.place, row.spot] = f"{label} ({alike + 1})" if alike else label
    return labels


def _label(row: Row, labels: Labels) -> str:
    return labels[row.place, row.spot]


def _groups(found: Comparison) -> list[str]:
    return list(dict.fromkeys(row.group for row in found.results))


# Seasons ----------------------------------------------------------------------------------------


def _seasons(found: Comparison, labels: Labels) -> Section:
    """The season of each group at every spot, the spots of a group beneath each other."""
    several = len(_groups(found)) > 1
    rows = sorted(found.results, key=lambda row: _groups(found).index(row.group))
    names = distinct(
        f"{words.clean(row.group, 20)}, {_label(row, labels)}" if several else _label(row, labels)
        for row in rows
    )
    spec = bars_of(
        season_row(name, words.clean(row.group_name, 60), row.verdict, row.season)
        for name, row in zip(names, rows, strict=True)
    )
    chart = Chart(
        name="seasons",
        title=headline(found, labels),
        spec=spec,
        key=bars_key(spec),
        told=bars_told(
            [(name, row.verdict, row.season) for name, row in zip(names, rows, strict=True)]
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


def _verdict_sections(found: Comparison, labels: Labels, units: TemperatureUnit) -> list[Section]:
    """The matrix: drawn, and as a table; few groups have their numbers on a terminal instead."""
    many = len(_groups(found)) > IN_FULL
    notes = " ".join([_matrix_key(found), *_mark_sentences(found, units)])
    chart = Chart(
        name="matrix", title=headline(found, labels), spec=verdict_matrix(found), notes=(notes,)
    )
    return [
        Section(
            name="verdicts",
            title="What lives where",
            blocks=(chart, matrix_table(found), Text(sentences=(NAME_FEW,), on=On.TERMINAL)),
            on=On.ALL if many else On.PAGE,
        )
    ]


def headline(found: Comparison, labels: Labels) -> str:
    """At which spot most groups can live outdoors, and at which fewest."""
    groups = len(_groups(found))
    outdoors: dict[str, int] = {}
    for row in found.results:
        label = _label(row, labels)
        outdoors[label] = outdoors.get(label, 0) + (row.verdict in OUTDOORS)
    most = max(outdoors, key=lambda label: outdoors[label])
    fewest = min(outdoors, key=lambda label: outdoors[label])
    said = (
        f"{outdoors[most]} of {groups} groups can live outdoors at {most}, for a season or all year"
        if groups > 1
        else f"The group {'can' if outdoors[most] else 'cannot'} live outdoors at {most}"
    )
    if outdoors[most] == outdoors[fewest]:
        return f"{said}{'' if len(outdoors) == 1 else ' as at every other spot'}."
    return f"{said}; {'not' if groups == 1 else outdoors[fewest]} at {fewest}."


def _range_decides(row: Row) -> bool:
    """Whether the ends of what is known of the spot give another verdict."""
    ends = row.spot_ends
    return ends is not None and {ends.low, ends.high} != {row.verdict}


def _marks(row: Row, found: Comparison) -> list[str]:
    """What weakens a verdict, in words; what all have in common is said once, below."""
    marks = []
    if row.provisional and not all(one.provisional for one in found.results):
        marks.append("provisional")
    if row.borderline:
        marks.append("borderline")
    return marks


def _few_words(row: Row) -> str:
    """The verdict, of a season its days; a question mark where the range of the spot decides."""
    told = f"{row.days} days" if row.verdict is Verdict.SEASONAL else str(row.verdict)
    return f"{told} ?" if _range_decides(row) else told


def _letters(row: Row, found: Comparison, *, days: bool) -> str:
    """The same, and what weakens it, where there is no room for words."""
    told = TINY.get(row.verdict, f"{row.days} days" if days else str(row.days))
    marks = [LETTERS[mark] for mark in _marks(row, found)]
    return " ".join([told, *(["?"] if _range_decides(row) else []), *marks])


def _key_of_letters(found: Comparison) -> list[str]:
    """The short words and letters explained, only those in use."""
    verdicts = {row.verdict for row in found.results}
    marks = {mark for row in found.results for mark in _marks(row, found)}
    return [
        *(f"{told}: {verdict}" for verdict, told in TINY.items() if verdict in verdicts),
        *(f"{letter}: {mark}" for mark, letter in LETTERS.items() if mark in marks),
    ]


def _matrix_key(found: Comparison) -> str:
    """How the matrix is read where it is drawn; a phone shows numbers and letters alone."""
    number = f"Days, or a number alone: {Verdict.SEASONAL}, and how long its season is"
    return f"{'; '.join([number, *_key_of_letters(found)])}."


def verdict_matrix(found: Comparison) -> VerdictMatrix:
    """What the matrix draws."""
    labels = spot_labels(found)
    by_cell = {(row.group, _label(row, labels)): row for row in found.results}
    groups, spots = _groups(found), tuple(labels.values())
    return VerdictMatrix(
        spots=spots,
        groups=tuple(words.clean(group, 24) for group in groups),
        cells=tuple(
            tuple(_matrix_cell(by_cell[group, spot], found) for spot in spots) for group in groups
        ),
    )


def _matrix_cell(row: Row, found: Comparison) -> MatrixCell:
    marks = _marks(row, found)
    verdict = ", ".join([row.verdict, *marks])
    return MatrixCell(
        verdict=row.verdict,
        lines=(_few_words(row), *marks),
        short=_letters(row, found, days=False),
        told=(
            words.clean(row.group_name, 60),
            f"{words.clean(row.spot, 40)}: {verdict}",
            f"{_whole(row.unsafe_nights)} unsafe nights a year",
            f"{_whole(row.hours_below.year)} h a year below the growth floor",
        ),
    )


def matrix_table(found: Comparison) -> Table:
    """Groups down, spots across: verdict and days, and what weakens them."""
    labels = spot_labels(found)
    by_group = {group: {} for group in _groups(found)}  # type: dict[str, dict[tuple[str, str], Row]]
    for row in found.results:
        by_group[row.group][row.place, row.spot] = row
    room = GROUP_COLUMN + WORDED_COLUMN * len(labels)

    def told(key: tuple[str, str]) -> Column[dict[tuple[str, str], Row]]:
        return Column.of(
            labels[key],
            lambda rows: _worded(rows[key], found),
            wraps=True,
            long_from=room,
        )

    columns: list[Column[dict[tuple[str, str], Row]]] = [
        Column.of(
            "Group",
            lambda rows: words.clean(next(iter(rows.values())).group, 40),
            widest=GROUP_COLUMN,
        ),
        *map(told, labels),
    ]
    letters = _key_of_letters(found) if room > NARROWEST else []
    note = f"{'; '.join([SEASON_DAYS, *letters])}."
    return build_table(
        "verdicts",
        columns,
        by_group.values(),
        notes=(note,),
        dense_below=NARROWEST,
    )


def _worded(row: Row, found: Comparison) -> Cell:
    """Verdict and days, and on lines of their own what weakens them; in letters where narrow."""
    long = ",\n".join([_few_words(row), *_marks(row, found)])
    short = _letters(row, found, days=True)
    return Cell(long, short=short, mark=words.VERDICT_MARKS[row.verdict])


# Numbers ----------------------------------------------------------------------------------------


def _number_sections(found: Comparison, labels: Labels, units: TemperatureUnit) -> list[Section]:
    """
    All numbers, and the order of spots in words.

    On a page one table and one list hold them; on a terminal a few groups have theirs each.
    """
    groups = _groups(found)
    sections: list[Section] = []
    if len(groups) <= IN_FULL:
        for number, group in enumerate(groups, start=1):
            rows = [row for row in found.results if row.group == group]
            told = [one for one in found.differences if one.group == group]
            order = tuple(difference_sentence(one, labels) for one in told)
            table = numbers_table(rows, found, units, name=f"numbers-{number}", more=order)
            title = words.clean(rows[0].group_name, 60)
            sections.append(
                Section(name=f"group-{number}", title=title, blocks=(table,), on=On.TERMINAL)
            )
    drawn = f", of the first {BAR_GROUPS} groups" if len(groups) > BAR_GROUPS else ""
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
            title="All spots and groups in numbers",
            level=Level.DETAIL,
            folded=True,
            blocks=tuple(blocks),
            on=On.PAGE,
        )
    )
    if found.differences:
        several = tuple(
            f"{words.clean(one.group, 40)}: {difference_sentence(one, labels)}"
            for one in found.differences
        )
        listed = Text(sentences=several, listed=True)
        sections.append(
            Section(name="order", title="The order of spots", blocks=(listed,), on=On.PAGE)
        )
    return sections


def numbers_table(
    rows: Sequence[Row],
    found: Comparison,
    units: TemperatureUnit,
    *,
    name: str,
    more: Sequence[str] = (),
) -> Table:
    """
    One row a spot and group, with every number.

    Parameters
    ----------
    more
        Sentences below its own notes.
    """
    labels = spot_labels(found)
    symbol = units.symbol
    columns: list[Column[Row]] = [
        Column.of("Spot", lambda row: _label(row, labels), wraps=True, widest=22),
        Column.of("Group", lambda row: words.clean(row.group, 40), on=On.PAGE),
        Column.of("Verdict", lambda row: _verdict_cell(row, found), long_from=WIDE),
        Column.of(
            "Unsafe nights a year, median (worst)",
            lambda row: f"{_whole(row.unsafe_nights)} ({_whole(row.unsafe_nights_worst)})",
            short="Unsafe",
            number=True,
        ),
        Column.field(
            "Below the growth floor, h a year",
            "hours_below.year",
            _whole,
            short="Below",
            number=True,
        ),
        Column.field(
            f"Dose, worst of 14 days, {symbol}·h",
            "worst_dose_c_h",
            lambda dose: _bare(show_difference(dose, units, 0), units),
            short="Dose",
            number=True,
        ),
        Column.of("Rest, years that met it", _rest_met, short="Rest", number=True),
        Column.field(
            "Heat above the ceiling, h a year",
            "heat_hours",
            lambda hours: "-" if hours is None else _whole(hours),
            short="Heat",
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
                "-" if margin is None else f"+{_bare(show_difference(margin, units), units)}"
            ),
            short="Margin",
            number=True,
        ),
        Column.field("Light", "light", LIGHT_WORDS.__getitem__),
    ]
    note = (
        "Unsafe: nights a year, median (worst). Below: hours a year below the growth floor. "
        f"Dose: worst {symbol}·h in 14 days. Rest: years that met it (?: not known). "
        "Heat: hours a year above the ceiling. Carried: nights a year, typical (worst), were "
        "it left out; no more than unsafe ones, for a night indoors adds no cold to those "
        "after it."
    )
    if any(row.verdict is Verdict.SEASONAL for row in rows):
        note += f" {SEASON_DAYS}."
    return build_table(name, columns, rows, notes=(note, *more), dense_below=WIDE)


def _verdict_cell(row: Row, found: Comparison) -> Cell:
    """Verdict, days, and what weakens them: in a line, and in a narrow column."""
    decides = " ?" if _range_decides(row) else ""
    marks = _marks(row, found)
    days = [f"{row.days} days"] if row.verdict is Verdict.SEASONAL else []
    long = ",\n".join([", ".join([f"{row.verdict}{decides}", *days]), *marks])
    short = str(row.verdict)
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


def _whole(value: float | None) -> str:
    return words.UNKNOWN if value is None else f"{value:.0f}"


def _bare(text: str, units: TemperatureUnit) -> str:
    """A difference without its unit, which the head of its column says."""
    return text.removesuffix(f" {units.symbol}")


def hours_title(found: Comparison, labels: Labels) -> str:
    """Where a year has most and fewest hours below the growth floor, among what is drawn."""
    drawn = _groups(found)[:BAR_GROUPS]
    known = [
        (row.hours_below.year, f"{words.clean(row.group, 24)} at {_label(row, labels)}")
        for row in found.results
        if row.hours_below.year is not None and row.group in drawn
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
    by_cell = {(row.group, row.place, row.spot): row for row in found.results}
    groups = []
    for group in _groups(found)[:BAR_GROUPS]:
        hours = tuple(by_cell[group, *key].hours_below.year for key in labels)
        groups.append(
            GroupHours(
                name=words.clean(group, 24), hours=hours, texts=tuple(map(words.hours, hours))
            )
        )
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
        ("unsafe nights a year", one.unsafe_nights_difference),
        ("hours below the floor a year", one.hours_below_difference),
    ):
        if interval is not None:
            parts.append(_apart(interval, what))
    if one.told_apart is None:
        parts.append("too few years tell how sure that is")
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
    sentences = words.mark_sentences(found.results, units)
    if any(map(_range_decides, found.results)):
        sentences.append(RANGE_DECIDES)
    if any(row.verdict is Verdict.NONE for row in found.results):
        sentences.append(NOT_JUDGED)
    return tuple(sentences)
