"""
Any sheet as text for a terminal: it reads well at 80 columns, without colour and through a pipe.

Lines are plain ASCII, meaning is in words, colour only helps.
"""

from __future__ import annotations

import re
from typing import TYPE_CHECKING

from suitability.answers.sheet import Facts, Level, Mark, On, Table, Text
from suitability.output.plain import open_console, plain_table, printed_text

if TYPE_CHECKING:
    from collections.abc import Sequence

    from rich.console import Console
    from rich.table import Table as RichTable
    from rich.text import Text as Styled

    from suitability.answers.sheet import Block, Cell, Section, Sheet, TableColumn

STYLES = {
    Mark.NONE: "",
    Mark.ALL_YEAR: "bold green",
    Mark.SEASONAL: "cyan",
    Mark.INDOOR: "magenta",
    Mark.NO_VERDICT: "dim",
    Mark.INVENTED: "bold yellow",
    Mark.STRONG: "bold",
}
LABEL_WIDEST = 28  # characters
HERE = (On.ALL, On.TERMINAL)
WITHIN = re.compile(r"(?<=[^\W\d]-)(?=\w)")  # where a word may be broken: behind a hyphen
LEAST_TABLE = 80  # columns that tables are made for: a number that is cut short would be another


def render_terminal(sheet: Sheet, *, width: int, colour: bool, details: bool = True) -> str:
    """
    A sheet as text.

    Parameters
    ----------
    width : columns
    colour
        Whether escape codes for colour may be used.
    details
        Whether everything is shown, or the short answer.
    """
    console = open_console(width, colour=colour)
    for sentence in filter(None, (sheet.headline, *sheet.notes)):
        _print_line(console, sentence)
    if sheet.invented:
        _print_line(console, sheet.invented, Mark.INVENTED)
    if sheet.headline or sheet.invented:
        console.print()
    for section in sheet.sections:
        _print_section(console, section, details=details)
    if details and sheet.about.on in HERE and sheet.about.rows:
        _print_facts(console, sheet.about)  # it holds the credit
    elif sheet.basis or sheet.credit:
        _print_line(console, " ".join(filter(None, (sheet.basis, sheet.credit))))
    for sentence in filter(None, (*sheet.closing, "" if details else sheet.more)):
        _print_line(console, sentence)
    if details and sheet.invented:  # far below the first
        _print_line(console, sheet.invented, Mark.INVENTED)
    return printed_text(console)


def _print_line(console: Console, text: str, mark: Mark = Mark.NONE) -> None:
    """A text in a style, without markup."""
    from rich.text import Text as Styled  # noqa: PLC0415  (only where a terminal is written)

    console.print(Styled(text, style=STYLES[mark]))


def _print_section(console: Console, section: Section, *, details: bool) -> None:
    """A section and those within it."""
    if section.on not in HERE or section.level is (Level.SHORT if details else Level.DETAIL):
        return
    if section.title:
        _print_line(console, section.title, Mark.STRONG)
    for block in section.blocks:
        if block.on in HERE:
            _print_block(console, block)
    for part in section.parts:
        _print_section(console, part, details=details)


def _print_block(console: Console, block: Block) -> None:
    """A block and an empty line; a chart is for surfaces that draw."""
    match block:
        case Table():
            _print_table(console, block)
        case Facts():
            _print_facts(console, block)
        case Text():
            _print_text(console, block)


def _print_text(console: Console, text: Text) -> None:
    from rich.table import Table as RichTable  # noqa: PLC0415
    from rich.text import Text as Styled  # noqa: PLC0415

    if not text.sentences:
        return
    if text.listed:
        grid = RichTable.grid(padding=(0, 1, 0, 0))
        grid.add_column(no_wrap=True)
        grid.add_column(overflow="fold")
        for sentence in text.sentences:
            grid.add_row("-", Styled(sentence, style=STYLES[text.mark]))
        console.print(grid)
    else:
        for sentence in text.sentences:
            _print_line(console, sentence, text.mark)
    console.print()


def _print_facts(console: Console, facts: Facts) -> None:
    """Labels in a column of their own."""
    from rich.table import Table as RichTable  # noqa: PLC0415
    from rich.text import Text as Styled  # noqa: PLC0415

    if facts.title:
        _print_line(console, facts.title, Mark.STRONG)
    grid = RichTable.grid(padding=(0, 2, 0, 0))
    grid.add_column(style="dim", no_wrap=True, overflow="ellipsis", max_width=LABEL_WIDEST)
    grid.add_column(overflow="fold")
    for fact in facts.rows:
        grid.add_row(Styled(fact.short or fact.label), Styled(fact.text))
    console.print(grid)
    console.print()


def _print_table(console: Console, table: Table) -> None:
    """Columns that this width has room for, what stands under each row, then the notes."""
    roomy = max(console.width, LEAST_TABLE)
    dense = roomy < table.dense_below
    shown = [
        (at, column)
        for at, column in enumerate(table.columns)
        if column.on in HERE and roomy >= column.from_width
    ]
    columns, rows = [column for _, column in shown], _shown_rows(table, shown, roomy)
    room = None if console.width >= LEAST_TABLE else console.width
    if table.below:
        _print_parted(console, table, columns, rows, dense=dense)
    elif room is None or _width(columns, rows, dense=dense) <= room:
        _print_rows(console, table.title, columns, rows, dense=dense)
    elif all(column.number for column in columns[1:]):
        for number, part in enumerate(_split(columns, rows, room, dense=dense)):
            if number:
                console.print()
            few = [columns[at] for at in part], [[row[at] for at in part] for row in rows]
            _print_rows(console, "" if number else table.title, *few, dense=dense)
    else:
        _print_parted(console, table, columns, rows, dense=dense)
    for note in filter(None, (table.short_key, *table.notes)):
        _print_line(console, note)
    console.print()


def _print_rows(
    console: Console,
    title: str,
    columns: Sequence[TableColumn],
    rows: Sequence[Sequence[Styled]],
    *,
    dense: bool,
) -> None:
    """A table as it stands, its cells broken where its width asks for it."""
    widths, gap = _fitted(columns, rows, console.width, dense=dense)
    printed = plain_table(title, gap=gap)
    for column, width in zip(columns, widths, strict=True):
        _add_column(printed, column, dense=dense, width=width)
    for row in rows:
        printed.add_row(*map(_broken, row, widths))
    console.print(printed)


def _fitted(
    columns: Sequence[TableColumn], rows: Sequence[Sequence[Styled]], room: int, *, dense: bool
) -> tuple[list[int], int]:
    """
    The width of each column, and the blanks between them.

    The widest give way: first heads are broken between words, then the blanks, then cells between
    words, and words within only where nothing else helps. Columns that do not wrap stay as wide.
    """
    widths, gap = _widths(columns, rows, dense=dense), 1 if dense else 2
    cells = [[row[at].plain for row in rows] for at in range(len(columns))]
    heads = [_longest_word([column.short or column.title]) for column in columns]
    lines = [max((len(line) for text in told for line in text.split("\n")), default=0)
             for told in cells]  # fmt: skip
    wraps = [at for at, column in enumerate(columns) if column.wraps]

    def narrow(least: Sequence[int]) -> int:
        """How much too wide the table stays."""
        over = sum(widths) + gap * (len(widths) - 1) - room
        while over > 0:
            wider = [at for at in wraps if widths[at] > least[at]]
            if not wider:
                break
            widths[max(wider, key=widths.__getitem__)] -= 1
            over -= 1
        return over

    if narrow(list(map(max, heads, lines))) > 0:
        gap = 1
        narrow(list(map(max, heads, map(_longest_word, cells))))
        narrow([1] * len(widths))
    return widths, gap


def _longest_word(texts: Sequence[str]) -> int:
    """Characters of the longest piece that is not to be broken."""
    pieces = (piece for text in texts for word in text.split() for piece in WITHIN.split(word))
    return max(map(len, pieces), default=0)


def _broken(cell: Styled, width: int) -> Styled:
    """A cell whose words are broken behind their hyphens where they are wider than its column."""
    from rich.text import Text as Styled  # noqa: PLC0415

    def lines(word: re.Match[str]) -> str:
        broken = [""]
        for piece in WITHIN.split(word.group()):
            if len(broken[-1]) + len(piece) > width and broken[-1]:
                broken.append("")
            broken[-1] += piece
        return "\n".join(broken)

    return Styled(re.sub(r"\S+", lines, cell.plain), style=cell.style)


def _widths(
    columns: Sequence[TableColumn], rows: Sequence[Sequence[Styled]], *, dense: bool
) -> list[int]:
    """What each column needs to show its cells unbroken, or as far as it may go."""
    widths = []
    for at, column in enumerate(columns):
        texts = [column.short or column.title, *(row[at].plain for row in rows)]
        width = max(len(line) for text in texts for line in text.split("\n"))
        widths.append(min(width, _widest(column, dense=dense) or width))
    return widths


def _width(columns: Sequence[TableColumn], rows: Sequence[Sequence[Styled]], *, dense: bool) -> int:
    """What a table needs, the blanks between its columns included."""
    gap = 1 if dense else 2
    return sum(width + gap for width in _widths(columns, rows, dense=dense)) - gap


def _split(
    columns: Sequence[TableColumn], rows: Sequence[Sequence[Styled]], room: int, *, dense: bool
) -> list[list[int]]:
    """Columns that stand side by side, the first of them in every part."""
    gap = 1 if dense else 2
    first, *others = _widths(columns, rows, dense=dense)
    each = max(1, (room - first) // (max(others) + gap))
    parts = -(-len(others) // each)
    each = -(-len(others) // parts)  # of much the same length
    return [[0, *range(at, min(at + each, len(columns)))] for at in range(1, len(columns), each)]


def _shown_rows(
    table: Table, shown: Sequence[tuple[int, TableColumn]], width: int
) -> list[list[Styled]]:
    """The cells of the columns shown; one that repeats what is above stays empty."""
    from rich.text import Text as Styled  # noqa: PLC0415

    rows = []
    above: tuple[Cell, ...] | None = None
    for row in table.rows:
        texts = []
        for at, column in shown:
            repeated = column.repeats and above is not None and above[at] == row[at]
            text = "" if repeated else _cell_text(row[at], column, width)
            texts.append(Styled(text, style=STYLES[row[at].mark]))
        rows.append(texts)
        above = row
    return rows


def _print_parted(
    console: Console,
    table: Table,
    columns: Sequence[TableColumn],
    rows: Sequence[Sequence[Styled]],
    *,
    dense: bool,
) -> None:
    """A table with sentences under its rows: rows stand alone, their columns of one width.

    On a terminal of fewer columns than tables are made for, the last cells stand there too, each
    with its head.
    """
    from rich.padding import Padding  # noqa: PLC0415
    from rich.text import Text as Styled  # noqa: PLC0415

    kept = len(columns)
    while kept > 1 and console.width < LEAST_TABLE:
        if _width(columns[:kept], rows, dense=dense) <= console.width:
            break
        kept -= 1
    widths = _widths(columns[:kept], rows, dense=dense)

    def opened(title: str) -> RichTable:
        made = plain_table(title, gap=1 if dense else 2)
        for column, width in zip(columns, widths, strict=False):
            _add_column(made, column, dense=dense, width=width)
        return made

    console.print(opened(table.title))
    for row, sentences in zip(rows, table.below or [()] * len(rows), strict=True):
        alone = opened("")
        alone.show_header = False
        alone.add_row(*map(_broken, row, widths))
        console.print(alone)
        for sentence in (*_headed(columns[kept:], row[kept:]), *sentences):
            console.print(Padding(Styled(sentence), (0, 0, 0, 2)))


def _headed(columns: Sequence[TableColumn], cells: Sequence[Styled]) -> list[str]:
    """The cells that say something, each after its head, in one line."""
    said = [
        f"{' '.join((column.short or column.title).split())}: {' '.join(cell.plain.split())}"
        for column, cell in zip(columns, cells, strict=True)
        if cell.plain.strip()
    ]
    return ["; ".join(said)] if said else []


def _widest(column: TableColumn, *, dense: bool) -> int:
    """Characters at most; 0: as many as needed."""
    return column.widest if dense else column.widest * 3 // 2


def _add_column(printed: RichTable, column: TableColumn, *, dense: bool, width: int) -> None:
    from rich.text import Text as Styled  # noqa: PLC0415

    printed.add_column(
        _broken(Styled(column.short or column.title), width),
        justify="right" if column.number else "left",
        no_wrap=not column.wraps,
        overflow="fold" if column.wraps else "ellipsis",
        width=width,
        max_width=_widest(column, dense=dense) or None,
    )


def _cell_text(cell: Cell, column: TableColumn, width: int) -> str:
    """The long form of a cell where there is room for it."""
    roomy = column.long_from and width >= column.long_from
    return cell.text if roomy else cell.short or cell.text
