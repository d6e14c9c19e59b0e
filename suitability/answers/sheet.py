"""
A sheet: what one answer says, as a neutral value that any surface can show.

A sheet is made in the unit of its reader, for its sentences hold temperatures. Nothing stands on a
surface that is not in its sheet (or, as data, in the result itself), and no surface chooses words.
"""

from __future__ import annotations

from enum import StrEnum
from operator import attrgetter
from typing import TYPE_CHECKING, Any, Generic, TypeVar

from msgspec import Struct

from suitability.brief import MONTHS

if TYPE_CHECKING:
    from collections.abc import Callable, Iterable, Sequence

Row = TypeVar("Row")


class Level(StrEnum):
    """
    Whether a section is part of the short answer, or shown only to those who ask for more.

    A short one is left out for these: what they are shown says the same in full.
    """

    SHORT = "short"
    BRIEF = "brief"
    DETAIL = "detail"


class On(StrEnum):
    """Where something stands: on every surface, or on one kind of it alone."""

    ALL = "all"
    TERMINAL = "terminal"
    PAGE = "page"


class Mark(StrEnum):
    """What a text means beyond its words; a surface may show it by style, never by colour alone."""

    NONE = ""
    ALL_YEAR = "outdoor-all-year"
    SEASONAL = "outdoor-seasonal"
    INDOOR = "indoor-only"
    NO_VERDICT = "no-verdict"
    INVENTED = "invented"
    STRONG = "strong"


class Cell(Struct, frozen=True):
    """
    One cell of a table.

    Attributes
    ----------
    text
        May hold line ends where a surface with narrow columns should break it.
    short
        For a surface that has no room for `text`, as a terminal; empty: the same.
    """

    text: str
    short: str = ""
    mark: Mark = Mark.NONE


class TableColumn(Struct, frozen=True, kw_only=True):
    """
    The head of a column.

    Attributes
    ----------
    title
        What a page says.
    short
        For a terminal, with line ends where it is broken; empty: the same.
    number
        Numbers stand at the right edge.
    wraps
        Its cells may be broken into several lines; others stay in one.
    repeats
        A cell equal to the one above stays empty on a terminal.
    widest
        Characters at most on a terminal, longer texts are cut; 0: as wide as needed. A table that
        is not dense takes half as many again.
    from_width
        Shown on terminals that have at least so many columns.
    long_from
        Terminals that have at least so many columns show the long form of its cells; 0: none does.
    on
        Where it stands.
    """

    title: str
    short: str = ""
    number: bool = False
    wraps: bool = False
    repeats: bool = False
    widest: int = 0
    from_width: int = 0
    long_from: int = 0
    on: On = On.ALL


class Column(Struct, Generic[Row], frozen=True, kw_only=True):
    """
    The one declaration of a column: its head, and what its cells say of a row.

    Attributes
    ----------
    cell
        From a row to its cell, or its text.
    """

    head: TableColumn
    cell: Callable[[Row], Cell | str]

    @classmethod
    def of(cls, title: str, cell: Callable[[Row], Cell | str], **head: Any) -> Column[Row]:
        """A column with a title, other properties of its head by name."""
        return cls(head=TableColumn(title=title, **head), cell=cell)

    @classmethod
    def field(
        cls, title: str, path: str, told: Callable[[Any], Cell | str], **head: Any
    ) -> Column[Row]:
        """A column that tells one field of its rows, named by its path, such as `season.days`."""
        value = attrgetter(path)
        return cls.of(title, lambda row: told(value(row)), **head)


class Table(Struct, frozen=True, kw_only=True):
    """
    A table: its title says what it holds, its first column names the rows.

    Attributes
    ----------
    name
        Short, of letters and hyphens; the same in every unit and language.
    title
        Empty: that of its section says it.
    dense_below
        On terminals of fewer columns than this its columns stand one blank apart, else two.
    stacked
        A phone shows each row as a small list of its own.
    folded
        A page shows it only when it is opened.
    below
        Sentences under each row, across all its columns; empty: no row has any.
    notes
        Sentences below it: what its heads mean.
    short_key
        What the short forms of its cells mean, for a surface that shows them.
    """

    name: str
    title: str = ""
    columns: tuple[TableColumn, ...]
    rows: tuple[tuple[Cell, ...], ...]
    below: tuple[tuple[str, ...], ...] = ()
    notes: tuple[str, ...] = ()
    short_key: str = ""
    dense_below: int = 0
    stacked: bool = True
    folded: bool = False
    on: On = On.ALL


class Fact(Struct, frozen=True):
    """A label and what it is; an empty label goes on with the one above, `short` as in a cell."""

    label: str
    text: str
    short: str = ""


class Facts(Struct, frozen=True, kw_only=True):
    """Labels and texts."""

    title: str = ""
    rows: tuple[Fact, ...]
    on: On = On.ALL


class Text(Struct, frozen=True, kw_only=True):
    """Sentences: a paragraph each, or the items of a list."""

    sentences: tuple[str, ...]
    listed: bool = False
    mark: Mark = Mark.NONE
    on: On = On.ALL


class Key(Struct, frozen=True, kw_only=True):
    """What one sign of a chart means; `sign` names the style that shows it, or is the sign."""

    sign: str
    text: str


class Chart(Struct, frozen=True, kw_only=True):
    """
    A chart: what is to be drawn, not how.

    Attributes
    ----------
    name
        Short, of letters, digits and hyphens, the only one of it in a sheet.
    title
        Its finding, in a sentence; the title of its section may say the same.
    spec
        What it draws; its type tells the surface how. Texts in it are as they are to be read.
    key
        Its signs explained, for surfaces that show a key of their own.
    notes
        How it is read.
    told
        What it finds, in sentences for those who do not see it; empty: its title says it.
    """

    name: str
    title: str
    spec: Struct
    key: tuple[Key, ...] = ()
    notes: tuple[str, ...] = ()
    told: str = ""
    on: On = On.PAGE


class Legend(Struct, frozen=True, kw_only=True):
    """What the signs of several charts mean, said once for all of them; fields as of a chart."""

    title: str
    key: tuple[Key, ...] = ()
    notes: tuple[str, ...] = ()
    on: On = On.PAGE


class Ahead(Struct, frozen=True):
    """One thing to do on a day of every year: "MM-DD", the day in words, what."""

    day: str
    when: str
    text: str


class Agenda(Struct, frozen=True, kw_only=True):
    """
    Things to do, of which a page shows the next ones and folds the others.

    Attributes
    ----------
    rows
        In order; of a page that does not tell its day its script begins with the reader's.
    shown
        How many are not folded.
    more
        What opens the others.
    turned
        Whether the rows begin with a day that the page tells.
    """

    rows: tuple[Ahead, ...]
    shown: int
    more: str
    turned: bool = False
    on: On = On.PAGE


Block = Table | Facts | Text | Chart | Legend | Agenda


class Section(Struct, frozen=True, kw_only=True):
    """
    A part of a sheet.

    Attributes
    ----------
    name
        Short, of letters, digits and hyphens.
    title
        States its finding where it has one; empty: the blocks speak for themselves.
    label
        Its short name in lists of sections; empty: its title.
    lead
        Whether it stands above the list of contents of a page.
    folded
        Whether a page shows it only when it is opened; it is printed all the same.
    parts
        Sections within it.
    """

    name: str
    title: str = ""
    label: str = ""
    lead: bool = False
    folded: bool = False
    level: Level = Level.BRIEF
    blocks: tuple[Block, ...] = ()
    parts: tuple[Section, ...] = ()
    on: On = On.ALL


class Sheet(Struct, frozen=True, kw_only=True):
    """
    What one answer says.

    Attributes
    ----------
    title
        Of the page and of files.
    headline
        The answer in a sentence.
    notes
        What must be known beside it: what names were taken for, and what was left out.
    about
        Place, record and what was asked: labels and texts. A terminal that does not show them says
        the basis and the credit at its end.
    basis
        The record in a sentence.
    more
        How to ask for the details; empty: there are none.
    invented
        The warning that the place is invented; empty for a real one.
    closing
        What the answer is worth: cautions, a sentence each.
    credit
        Source, attribution and licence of the weather, as they must be said.
    """

    title: str
    headline: str
    about: Facts
    sections: tuple[Section, ...]
    notes: tuple[str, ...] = ()
    closing: tuple[str, ...] = ()
    basis: str = ""
    more: str = ""
    credit: str = ""
    invented: str = ""


def build_table(
    name: str,
    columns: Sequence[Column[Row]],
    rows: Iterable[Row],
    *,
    below: Callable[[Row], tuple[str, ...]] | None = None,
    **more: Any,
) -> Table:
    """
    A table of rows: each column is declared once, with its head and what its cells say.

    Parameters
    ----------
    below
        What stands under a row.
    more
        Other fields of `Table`.
    """
    held = list(rows)
    return Table(
        name=name,
        columns=tuple(column.head for column in columns),
        rows=tuple(tuple(_cell(column.cell(row)) for column in columns) for row in held),
        below=() if below is None else tuple(map(below, held)),
        **more,
    )


def _cell(told: Cell | str) -> Cell:
    return Cell(told) if isinstance(told, str) else told


def month_columns(cell: Callable[[Row, int], str]) -> list[Column[Row]]:
    """Twelve columns of numbers, January first; `cell` tells a row's number of a month, 0 to 11."""

    def told(at: int) -> Callable[[Row], str]:
        return lambda row: cell(row, at)

    return [Column.of(name[:3], told(at), number=True) for at, name in enumerate(MONTHS)]
