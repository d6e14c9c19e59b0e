"""
Moves for the terminal: dates, how sure they are, then and now; it reads well at 80 columns.

Lines are plain ASCII, meaning is in words, colour only helps. Nothing is computed here.
"""

from __future__ import annotations

from typing import TYPE_CHECKING

from suitability.advice.terms import Verdict
from suitability.output import moves_words, words
from suitability.output.plain import open_console, plain_table, printed_text
from suitability.output.tables import print_closing, print_head
from suitability.output.threshold_words import (
    level_cells,
    threshold_notes,
    threshold_title,
    threshold_winters,
)

if TYPE_CHECKING:
    from collections.abc import Sequence

    from rich.console import Console
    from rich.table import Table

    from suitability.advice.moves_result import Move, MovesResult, ThresholdDates
    from suitability.units import TemperatureUnit

__all__ = ["render_moves"]

WIDE = 104  # columns from which the gaps between columns are wider
DETAILED = 3  # groups up to which every one is described in full
NO_DATE = "-"


def render_moves(result: MovesResult, *, units: TemperatureUnit, width: int, colour: bool) -> str:
    """
    The whole answer as text: the record, dates, how sure they are, then and now, thresholds.

    Parameters
    ----------
    units
        In which temperatures are shown.
    width : columns
    colour
        Whether escape codes for colour may be used.
    """
    console = open_console(width, colour=colour)
    print_head(console, result, units)
    _say(console, moves_words.moves_title(result))
    spots = list(dict.fromkeys(move.spot for move in result.results))
    for spot in spots:
        moves = [move for move in result.results if move.spot == spot]
        where = f" at the spot {words.clean(spot, 40)}" if len(spots) > 1 else ""
        moving = [move for move in moves if move.out is not None and move.inn is not None]
        if moving:
            _print_dates(console, moving, where)
            _print_odds(console, moving, where, result.settings.promise)
            _print_years(console, moving, where)
        if len(moves) <= DETAILED:
            for move in moving:
                _print_details(console, move, result)
        _print_unmoved(console, [move for move in moves if move not in moving], where, result)
        if moves_words.in_a_room(moves):
            _say(console, moves_words.in_a_room(moves))
    for dates in result.thresholds:
        _print_threshold(console, dates, units)
    if result.thresholds:
        _say(console, " ".join(threshold_notes()))
    print_closing(console, result)
    return printed_text(console)


def _say(console: Console, *sentences: str) -> None:
    """Sentences, each on lines of its own, and an empty line."""
    from rich.text import Text  # noqa: PLC0415  (only where tables are drawn)

    for sentence in sentences:
        console.print(Text(sentence))
    console.print()


def _table(console: Console, title: str, columns: Sequence[tuple[str, bool]]) -> Table:
    """An empty table: the group, then columns with their names and whether they hold numbers."""
    wide = console.width >= WIDE
    table = plain_table(title, gap=2 if wide else 1)
    table.add_column("Group", no_wrap=True, overflow="ellipsis", max_width=28 if wide else 18)
    for name, number in columns:
        table.add_column(name, justify="right" if number else "left", no_wrap=True)
    return table


def _add(table: Table, move: Move | None, *cells: str) -> None:
    """A row; without a move it goes on with the group above."""
    from rich.text import Text  # noqa: PLC0415

    name = "" if move is None else moves_words.short_name(move)
    table.add_row(Text(name), *map(Text, cells))


def _print_dates(console: Console, moves: Sequence[Move], where: str) -> None:
    """Two lines a group: the dates of going out and coming in."""
    columns = (
        ("", False), ("Promised", True), ("90% interval", False), ("Typical", True),
        ("Watch weeks", False), ("Alone", True),
    )  # fmt: skip
    table = _table(console, f"When to move{where}", columns)
    for move in moves:
        for which, date in (("out", move.out), ("in", move.inn)):
            if date is not None:
                _add(
                    table,
                    move if which == "out" else None,
                    which,
                    words.day_month(date.promised, short=True),
                    moves_words.interval(date),
                    moves_words.typical_date(date, move),
                    moves_words.watch(date, move),
                    moves_words.percent(date.holds_alone),
                )
    console.print(table)
    notes = (
        "Out: first day out, its first two weeks for hardening. In: day of carrying in, before "
        "sunset. Promised: out and in together hold as often as asked for. 90% interval: of the "
        "promised date, were the years drawn anew. Typical: of half of the years. Watch weeks: "
        f"between the two, go by the forecast. Alone: {moves_words.ALONE}."
    )
    if any(
        moves_words.typical_date(date, move) == moves_words.ANY_DAY
        for move in moves
        for date in (move.out, move.inn)
        if date is not None
    ):
        notes += (
            f" {moves_words.ANY_DAY.capitalize()}: half of the years set no date on this side of "
            "the season."
        )
    _say(console, notes)


def _print_odds(console: Console, moves: Sequence[Move], where: str, promise: float) -> None:
    """One line a group: length, chances, past years, carried nights."""
    columns = (
        ("Days", True), ("New\nyear", True), ("5\nyears", True), ("10\nyears", True),
        ("Kept", False), ("95% range", True), ("Risk", True), ("Carried", True),
    )  # fmt: skip
    table = _table(console, f"How sure it is{where}", columns)
    for move in moves:
        risk = move.risk_not_excluded
        _add(
            table,
            move,
            str(0 if move.season is None else move.season.days),
            moves_words.percent(move.chance),
            moves_words.percent(move.chance_5_years),
            moves_words.percent(move.chance_10_years),
            moves_words.kept(move),
            moves_words.kept_range(move),
            NO_DATE if risk is None else f"{risk:.0%}",
            moves_words.carried(move),
        )
    console.print(table)
    _say(
        console,
        f"New year: chance that one keeps the whole season ({promise:.0%} asked for); 5 and "
        "10 years: that all of them do. Kept: past years that kept it, of those that tell; 95% "
        "range: Wilson interval of their share. Risk: what no failure in those years cannot "
        "exclude. Carried: nights a year carried in for cold, typical/worst, were it out all year.",
        *dict.fromkeys(filter(None, map(moves_words.not_excluded, moves))),
    )


def _print_years(console: Console, moves: Sequence[Move], where: str) -> None:
    """One line a group: the last ten years beside the earlier ones, the trend, the doubts."""
    columns = (
        ("Last ten", False), ("Earlier", False), ("Days a\ndecade", True), ("Trend", False),
        ("p", True), ("Doubts", False),
    )  # fmt: skip
    table = _table(console, f"Then and now{where}", columns)
    for move in moves:
        decades = move.decades
        if decades is None:
            cells = [words.UNKNOWN] * 5
        else:
            cells = [
                f"{decades.last_kept} of {decades.last_years}",
                f"{decades.earlier_kept} of {decades.earlier_years}"
                if decades.earlier_years
                else "none",
                moves_words.days_a_decade(decades),
                *moves_words.trend(decades),
            ]
        _add(table, move, *cells, moves_words.doubts(move))
    console.print(table)
    notes = (
        "Last ten, earlier: years that kept the season. Days a decade: drift of the length of the "
        "years' own seasons; p: how often chance alone drifts as much."
    )
    if any(move.model_based for move in moves):
        notes += " Model: the years alone, without a model of years like them, cannot carry it."
    if any(move.provisional for move in moves):
        notes += " Provisional: fewer than ten usable years."
    _say(console, notes)


def _print_details(console: Console, move: Move, result: MovesResult) -> None:
    """One moving group in full."""
    from rich.table import Table  # noqa: PLC0415
    from rich.text import Text  # noqa: PLC0415

    console.print(Text(moves_words.move_label(move, result, key=False), style="bold"))
    grid = Table.grid(padding=(0, 2, 0, 0))
    grid.add_column(no_wrap=True)
    grid.add_column(overflow="fold")
    for label, text in _detail_rows(move, result.settings.promise):
        grid.add_row(Text(label), Text(text))
    console.print(grid)
    console.print()


def _detail_rows(move: Move, promise: float) -> list[tuple[str, str]]:
    """Labels and sentences about one moving group."""
    rows = []
    for label, date in (("Out", move.out), ("In", move.inn)):
        if date is not None:
            text = (
                f"{words.day_month(date.promised)}; typically "
                f"{moves_words.typical_date(date, move, short=False)}; watch "
                f"{moves_words.watch(date, move, short=False)}; 90% interval "
                f"{moves_words.interval(date, short=False)}; holds alone in "
                f"{moves_words.percent(date.holds_alone)} ({moves_words.ALONE})"
            )
            rows.append((label, text))
    typical = move.typical_season
    if move.season is not None and typical is not None:
        rows.append(("Length", f"{move.season.days} days; typically {typical.days}"))
    if move.survival_season != move.season:
        outdoor = words.season(move.survival_season)
        rows.append(("Survival season", f"{outdoor}: survives, but grows only in the season"))
    told = (
        f"{promise:.0%} asked for; {moves_words.percent(move.chance)} of new years are "
        f"expected to keep it, all of 5 years with {moves_words.percent(move.chance_5_years)}, "
        f"all of 10 with {moves_words.percent(move.chance_10_years)}"
    )
    rows.append(("Promise", told))
    rows.append(
        ("Past years", f"kept by {moves_words.kept(move)} (95%: {moves_words.kept_range(move)})")
    )
    if moves_words.not_excluded(move):
        rows.append(("Not excluded", moves_words.not_excluded(move)))
    carried = move.carried_nights
    if carried is not None:
        text = (
            f"were it left out all year: typically {carried.typical} a year, {carried.worst} "
            "in the worst year"
        )
        rows.append(("Carried nights", text))
    if move.reason is not None:
        rows.append(("Not all year", words.clean(move.reason.text, 400)))
    return rows


def _print_unmoved(
    console: Console, moves: Sequence[Move], where: str, result: MovesResult
) -> None:
    """One entry a group that is not moved, with its reason; the same reason is said once."""
    from rich.table import Table  # noqa: PLC0415
    from rich.text import Text  # noqa: PLC0415

    if not moves:
        return
    grid = Table.grid(padding=(0, 2, 0, 0))
    grid.add_column(no_wrap=True, overflow="ellipsis", max_width=28)
    grid.add_column(overflow="fold")
    said = ""
    for move in moves:
        text = moves_words.not_moved(move, result.settings.promise)
        same = text == said and move.verdict is Verdict.NONE
        grid.add_row(Text(moves_words.short_name(move)), Text("the same" if same else text))
        said = text
    console.print(Text(f"Not moved{where}", style="bold"))
    console.print(grid)
    console.print()


def _print_threshold(console: Console, dates: ThresholdDates, units: TemperatureUnit) -> None:
    """Last spring and first autumn dates of one temperature."""
    from rich.text import Text  # noqa: PLC0415

    title = threshold_title(dates, units)
    if not dates.seasons_with_event:
        console.print(Text(title, style="bold"))
        _say(console, threshold_winters(dates))
        return
    table = plain_table(title)
    for name in ("Chance", "Last in spring:\nif at all", "\nin any year"):
        table.add_column(Text(name), justify="right", no_wrap=True)
    for name in ("First in autumn:\nif at all", "\nin any year"):
        table.add_column(Text(name), justify="right", no_wrap=True)
    for level in dates.levels:
        table.add_row(*map(Text, level_cells(level)))
    console.print(table)
    _say(console, threshold_winters(dates))
