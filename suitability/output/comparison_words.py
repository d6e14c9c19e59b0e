"""A comparison of spots as text, CSV, and the JSON document of docs/schema/compare.json."""

from __future__ import annotations

from typing import TYPE_CHECKING

from suitability.advice.verdicts import Verdict
from suitability.answers import words
from suitability.answers.sheet import Fact, Facts, Sheet
from suitability.output.plain import open_console, plain_table, printed_text
from suitability.units import TemperatureUnit, show_difference

if TYPE_CHECKING:
    from collections.abc import Sequence

    from rich.console import Console

    from suitability.advice.compared import Comparison, Difference, Row, SpotOfPlace

__all__ = [
    "comparison_about",
    "difference_sentence",
    "letters_key",
    "marks_of",
    "render_comparison",
    "short_cell",
    "spot_label",
]

SCHEMA_VERSION = 1
NESTED = {  # of a result, flat in tables
    "spot_ends": ("low", "high"),
    "season": ("out", "in", "days"),
    "rest": (
        *("needed", "met_years", "partly_years", "of_years", "usual_date", "latest_date"),
        *("if_kept_dry", "nights_indoors", "room"),
    ),
    "rest_room": ("low_c", "high_c", "nights"),
    "hours_below": ("year", "months"),
    "carried_nights": ("typical", "worst"),
}
MARK_LETTERS = {"provisional": "p", "borderline": "b"}  # where there is no room for the words
GROUP_COLUMN = 20
WORDED_COLUMN = 13  # characters that a column with such a word takes, its gap included
NOT_JUDGED = "No verdict: too little of the record is known; `suitability check` says what lacks."
IN_FULL = 4  # groups up to which every number is shown
LIGHT_WORDS = {
    "fits": "fits",
    "darker": "too dark",
    "brighter": "brighter",
    "not-said": words.UNKNOWN,
}


def spot_label(row: Row, found: Comparison) -> str:
    """A spot, with its place where there are several."""
    name = words.clean(row.spot, 24)
    return name if len(found.places) == 1 else f"{words.clean(row.place, 24)}: {name}"


def short_cell(row: Row) -> str:
    """Verdict and days in few words."""
    verdict = words.SHORT_VERDICTS[row.verdict]
    if row.verdict.value == "outdoor-seasonal":
        verdict = f"{row.days} days"
    ends = row.spot_ends
    return (
        f"{verdict} ?" if ends is not None and {ends.low, ends.high} != {row.verdict} else verdict
    )


def marks_of(row: Row, found: Comparison) -> list[str]:
    """What weakens a verdict, in words; what all have in common is said once, below."""
    marks = []
    if row.provisional and not all(one.provisional for one in found.results):
        marks.append("provisional")
    if row.borderline:
        marks.append("borderline")
    return marks


def _worded_cell(row: Row, found: Comparison) -> str:
    """Verdict and days, and on lines of their own what weakens them."""
    return "\n".join([short_cell(row), *marks_of(row, found)])


def _lettered_cell(row: Row, found: Comparison) -> str:
    """The same in a narrow column."""
    return " ".join([short_cell(row), *(MARK_LETTERS[mark] for mark in marks_of(row, found))])


def letters_key(found: Comparison) -> list[str]:
    """The letters that stand for marks, where any does."""
    used = {mark for row in found.results for mark in marks_of(row, found)}
    return [f"{letter}: {mark}" for mark, letter in MARK_LETTERS.items() if mark in used]


def render_comparison(
    found: Comparison, *, units: TemperatureUnit, width: int, colour: bool
) -> str:
    """
    The whole answer as text: few groups in full, many as a matrix of verdicts.

    Parameters
    ----------
    width : columns
    colour
        Whether escape codes for colour may be used.
    """
    from rich.text import Text  # noqa: PLC0415  only where tables are drawn

    console = open_console(width, colour=colour)
    if any(place.invented for place in found.places):
        console.print(Text(words.INVENTED, style="bold yellow"))
        console.print()
    for note in found.understood:
        console.print(Text(words.clean(note, 400)))
        console.print()
    groups = list(dict.fromkeys(row.group for row in found.results))
    if len(groups) <= IN_FULL:
        for group in groups:
            _print_group(console, found, group, units)
    else:
        _print_matrix(console, found, groups)
    for sentence in words.mark_sentences(found.results, units):
        console.print(Text(sentence))
    if any("?" in short_cell(row) for row in found.results):
        console.print(Text("?: the range of what is known of the spot decides; measure it."))
    if any(row.verdict is Verdict.NONE for row in found.results):
        console.print(Text(NOT_JUDGED))
    for sentence in credit_sentences(found):
        console.print(Text(sentence))
    console.print(Text(words.CAUTIONS))
    return printed_text(console)


def credit_sentences(found: Comparison) -> list[str]:
    """Source, attribution and licence of the weather, each said once."""
    sentences = []
    for place, credit in zip(found.places, found.credits, strict=True):
        told = words.credit_text(credit)
        where = f" at {words.clean(place.name, 60)}" if len(found.places) > 1 else ""
        if told:
            sentences.append(f"Weather{where}: {told}")
    return sentences


def _print_group(console: Console, found: Comparison, group: str, units: TemperatureUnit) -> None:
    """All spots for one group, with every number; then their order in words."""
    from rich.text import Text  # noqa: PLC0415  only where tables are drawn

    rows = [row for row in found.results if row.group == group]
    table = plain_table(words.clean(rows[0].group_name, 60), gap=1)
    table.add_column("Spot", overflow="fold", max_width=22)
    for name in ("Verdict", "Unsafe", "Below", "Dose", "Rest", "Heat", "Carried", "Margin"):
        table.add_column(name, no_wrap=True, justify="left" if name == "Verdict" else "right")
    table.add_column("Light", no_wrap=True)
    for row in rows:
        table.add_row(*map(Text, _cells(row, found, units)))
    console.print(table)
    console.print(
        Text(
            f"Unsafe: nights a year, median (worst). Below: hours a year below the growth floor. "
            f"Dose: worst {units.symbol}·h in 14 days. Rest: years that met it (?: not known). "
            "Heat: hours a year above the ceiling. Carried: nights a year, typical (worst), were "
            "it left out; no more than unsafe ones, for a night indoors adds no cold to those "
            "after it."
        )
    )
    told = [one for one in found.differences if one.group == group]
    for difference in told:
        console.print(Text(difference_sentence(difference, found)))
    console.print()


def _cells(row: Row, found: Comparison, units: TemperatureUnit) -> list[str]:
    rest = row.rest
    met = "-" if rest.needed is False else words.UNKNOWN
    if rest.of_years:
        met = f"{rest.met_years}/{rest.of_years}"
    dose = show_difference(row.worst_dose_c_h, units, 0).removesuffix(f" {units.symbol}")
    margin = "-"
    if row.margin_c is not None:
        margin = "+" + show_difference(row.margin_c, units).removesuffix(f" {units.symbol}")
    carried = row.carried_nights
    return [
        spot_label(row, found),
        _worded_cell(row, found),
        f"{_whole(row.unsafe_nights)} ({_whole(row.unsafe_nights_worst)})",
        _whole(row.hours_below.year),
        dose,
        met,
        "-" if row.heat_hours is None else _whole(row.heat_hours),
        "-" if carried is None else f"{carried.typical} ({carried.worst})",
        margin,
        LIGHT_WORDS[row.light],
    ]


def _whole(value: float | None) -> str:
    return words.UNKNOWN if value is None else f"{value:.0f}"


def _print_matrix(console: Console, found: Comparison, groups: Sequence[str]) -> None:
    """Groups down, spots across: verdict and days."""
    from rich.text import Text  # noqa: PLC0415  only where tables are drawn

    first = [row for row in found.results if row.group == groups[0]]
    table = plain_table("What lives where", gap=2)
    table.add_column("Group", no_wrap=True, overflow="ellipsis", max_width=GROUP_COLUMN)
    worded = GROUP_COLUMN + WORDED_COLUMN * len(first) <= console.width
    cell = _worded_cell if worded else _lettered_cell
    for row in first:
        table.add_column(spot_label(row, found), overflow="fold")
    for group in groups:
        cells = [cell(row, found) for row in found.results if row.group == group]
        table.add_row(*map(Text, [words.clean(group, 40), *cells]))
    console.print(table)
    letters = [] if worded else letters_key(found)
    key = "; ".join(["Days: of the season outdoors", *letters])
    console.print(Text(f"{key}. Name up to four groups with --group to see numbers."))
    console.print()


def difference_sentence(one: Difference, found: Comparison) -> str:
    """Which of two spots comes first, why, and whether that can be told."""
    several = len(found.places) > 1

    def label(one: SpotOfPlace) -> str:
        place, spot = (words.clean(part, 24) for part in (one.place, one.spot))
        return f"{place}: {spot}" if several else spot

    parts = [f"{label(one.better)} before {label(one.other)}: {one.reason}"]
    for words_of, found_difference in (
        ("unsafe nights a year", one.unsafe_nights_difference),
        ("hours below the floor a year", one.hours_below_difference),
    ):
        if found_difference is not None:
            more, least, most = shown = [
                _signed(getattr(found_difference, part)) for part in ("difference", "low", "high")
            ]
            if {*shown} == {"0"}:
                parts.append(f"as many {words_of}")
            else:
                parts.append(f"{more} {words_of} ({least} to {most})")
    if one.told_apart is None:
        parts.append("too few years tell how sure that is")
    elif not one.told_apart:
        parts.append("not to be told apart with what is known of them")
    return "; ".join(parts) + "."


def _signed(value: float) -> str:
    """A difference in whole numbers; none has no sign."""
    whole = round(value)
    return f"{whole:+d}" if whole else "0"


def comparison_about(found: Comparison) -> Sheet:
    """What stands on the first sheet of a workbook."""
    invented = any(place.invented for place in found.places)
    return Sheet(
        title="",
        headline="",
        about=Facts(rows=(Fact("Promise", f"what {found.promise:.0%} of new years keep"),)),
        sections=(),
        closing=(words.CAUTIONS,),
        invented=words.INVENTED if invented else "",
    )
