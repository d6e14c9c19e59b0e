"""
Data tables: a result laid out in rows for CSV and workbooks, straight from its types.

Columns have the names of the JSON document, those of nested objects joined by underscores; units
are those of the fields. So a new field of a result is a new column, and a list of objects a table
of its own, without a line here. Temperatures are in °C; None is what is not known. A day of the
year without a year is two numbers, since a spreadsheet makes a wrong date of a text such as
"06-08": `season_out` becomes `season_out_month` and `season_out_day`, and a name that ends in "day"
or "date" loses that ending first: `usual_date` becomes `usual_month` and `usual_day`.
"""

from __future__ import annotations

from collections.abc import Callable, Iterator, Sequence
from enum import Enum
from functools import cache
from inspect import get_annotations
from operator import attrgetter
from typing import Annotated, Any, get_args, get_origin

from msgspec import Meta, Struct

from suitability.quantities import is_month_day, unit_of

TWELVE = 12
WHO = (  # begin the rows of what a result holds
    *("place", "spot", "group", "group_name", "plants", "caveat", "unseen_nights"),
)
BEHIND = (  # the place and record behind an answer, before its rows in a CSV file
    *("place_name", "place_latitude", "place_longitude", "place_invented"),
    *("record_period_start", "record_period_end", "record_coverage"),
    *("record_licence", "record_attribution"),
    *("habitat_name", "habitat_latitude", "habitat_longitude"),
    *("habitat_record_period_start", "habitat_record_period_end", "habitat_record_coverage"),
    *("habitat_record_licence", "habitat_record_attribution"),
)
FLAT_LIST = 2  # columns of a nested object up to which a list of it is written into one cell


class DataColumn(Struct, frozen=True, kw_only=True):
    """A column: its name, and its unit or an empty text."""

    name: str
    unit: str = ""


class DataTable(Struct, frozen=True, kw_only=True):
    """
    A table of plain values: numbers, texts, dates, whether something holds, or None.

    Attributes
    ----------
    name
        The path of the list that it holds in the JSON document, joined by blanks.
    """

    name: str
    columns: tuple[DataColumn, ...]
    rows: tuple[tuple[object, ...], ...]


class _Leaf(Struct, frozen=True):
    """One column, and how its value is found in a row's object (None where that is None)."""

    column: DataColumn
    value: Callable[[Any], object]


def data_tables(result: Struct, about: Sequence[tuple[str, str]] = ()) -> tuple[DataTable, ...]:
    """
    Every table of a result: what stands above its rows, its rows, and each list within them.

    Parameters
    ----------
    result
        The root of a document.
    about
        Labels and texts of the first table; none: it is left out.
    """
    tables = []
    if about:
        head = (DataColumn(name="what"), DataColumn(name="text"))
        tables.append(DataTable(name="about", columns=head, rows=tuple(about)))
    for name, kind in _lists(type(result)):
        rows = getattr(result, _attribute(type(result), name))
        tables += _tables_of(name, kind, [((), row) for row in rows], ())
    return tuple(one for one in tables if one.rows or one.name == "results")


def main_table(result: Struct, path: str = "results") -> DataTable:
    """
    The rows of a result as one table, with the place and record behind them in front.

    Twelve months stand side by side, `_01` to `_12`.

    Parameters
    ----------
    path
        Of the list whose objects are the rows: `results`, or one within it such as `results weeks`.
    """
    first, *within = path.split()
    kinds = dict(_lists(type(result)))
    kind = kinds[first]
    rows: list[tuple[tuple[object, ...], Any]] = [
        ((), row) for row in getattr(result, _attribute(type(result), first))
    ]
    who: tuple[DataColumn, ...] = ()
    for name in within:
        leaves = _who(kind)
        rows = [
            (tuple(leaf.value(row) for leaf in leaves), one)
            for _, row in rows
            for one in getattr(row, _attribute(type(row), name))
        ]
        who, kind = tuple(leaf.column for leaf in leaves), dict(_lists(kind))[name]
    behind = [leaf for leaf in _leaves(type(result)) if leaf.column.name in BEHIND]
    told = tuple(leaf.value(result) for leaf in behind)
    leaves = [*_leaves(kind), *_months_beside(kind), *_credit_behind(result)]
    return DataTable(
        name=path,
        columns=(*(one.column for one in behind), *who, *(leaf.column for leaf in leaves)),
        rows=tuple((*told, *whose, *(leaf.value(row) for leaf in leaves)) for whose, row in rows),
    )


def main_columns(result: type[Struct]) -> tuple[DataColumn, ...]:
    """The columns of `main_table`, whatever a result of the type holds; of one place's rows."""
    kind = dict(_lists(result))["results"]
    behind = [leaf for leaf in _leaves(result) if leaf.column.name in BEHIND]
    return tuple(leaf.column for leaf in (*behind, *_leaves(kind), *_months_beside(kind)))


def _credit_behind(result: Struct) -> list[_Leaf]:
    """Of rows that name one of several places: the credit of its weather, at their end."""
    kind = dict(_lists(type(result))).get("credits")
    if kind is None:
        return []
    credit_of = {
        place.name: credit
        for place, credit in zip(
            *(getattr(result, name) for name in ("places", "credits")), strict=True
        )
    }

    def behind(leaf: _Leaf) -> _Leaf:
        return _Leaf(leaf.column, lambda row: leaf.value(credit_of[row.place]))

    return list(map(behind, _leaves(kind)))


def _tables_of(
    name: str,
    kind: type[Struct],
    rows: Sequence[tuple[tuple[object, ...], Any]],
    who: tuple[DataColumn, ...],
) -> Iterator[DataTable]:
    """The table of a list of objects, that of their months, and those of lists within them."""
    leaves = _leaves(kind)
    yield DataTable(
        name=name,
        columns=(*who, *(leaf.column for leaf in leaves)),
        rows=tuple((*whose, *(leaf.value(row) for leaf in leaves)) for whose, row in rows),
    )
    owners = _who(kind)
    below_who = (*who, *(leaf.column for leaf in owners))
    owned = [((*whose, *(leaf.value(row) for leaf in owners)), row) for whose, row in rows]
    months = _twelves(kind)
    if months:
        yield DataTable(
            name=f"{name} months",
            columns=(*below_who, DataColumn(name="month"), *(leaf.column for leaf in months)),
            rows=tuple(
                (*whose, month + 1, *(_at(leaf.value(row), month) for leaf in months))
                for whose, row in owned
                for month in range(TWELVE)
            ),
        )
    for below, below_kind in _lists(kind):
        attribute = _attribute(kind, below)
        inner = [(whose, one) for whose, row in owned for one in getattr(row, attribute) or ()]
        yield from _tables_of(f"{name} {below}", below_kind, inner, below_who)


def _at(months: object, month: int) -> object:
    return months[month] if isinstance(months, tuple) else None


# What a type holds ------------------------------------------------------------------------------


@cache
def _fields(kind: type[Struct]) -> tuple[tuple[str, str, Any], ...]:
    """Attribute, name in the document and annotation of each field."""
    annotations: dict[str, Any] = {}
    for part in reversed(kind.__mro__):
        annotations |= get_annotations(part)
    return tuple(
        (name, told, annotations[name])
        for name, told in zip(kind.__struct_fields__, kind.__struct_encode_fields__, strict=True)
    )


def _attribute(kind: type[Struct], told: str) -> str:
    """The attribute that a name of the document stands for."""
    return next(name for name, encoded, _ in _fields(kind) if encoded == told)


def _bare(annotation: Any) -> Any:
    """A type without its metadata, and without None."""
    if get_origin(annotation) is Annotated:
        return _bare(get_args(annotation)[0])
    parts = [part for part in get_args(annotation) if part is not type(None)]
    if len(parts) == 1 and type(None) in get_args(annotation):
        return _bare(parts[0])
    return annotation


def _struct(annotation: Any) -> type[Struct] | None:
    """The type of object that an annotation means; None for anything else."""
    bare = _bare(annotation)
    return bare if isinstance(bare, type) and issubclass(bare, Struct) else None


def _is_twelve(annotation: Any) -> bool:
    """Whether it is one number for each month."""
    if get_origin(annotation) is Annotated:
        kind, *metadata = get_args(annotation)
        found = any(isinstance(one, Meta) and one.min_length == TWELVE for one in metadata)
        return found or _is_twelve(kind)
    return any(_is_twelve(part) for part in get_args(annotation) if part is not type(None))


def _item(annotation: Any) -> Any:
    """What a tuple of any length holds; None for anything else."""
    bare = _bare(annotation)
    items = get_args(bare)
    return items[0] if get_origin(bare) is tuple and items[1:] == (Ellipsis,) else None


@cache
def _leaves(kind: type[Struct]) -> tuple[_Leaf, ...]:
    """Columns of single values, those of nested objects too."""
    found: list[_Leaf] = []
    for name, told, annotation in _fields(kind):
        nested = _struct(annotation)
        if nested is not None:
            found += [_within(name, told, leaf) for leaf in _leaves(nested)]
        elif is_month_day(annotation):
            found += _month_and_day(name, told)
        elif not _is_twelve(annotation) and not _is_table(annotation):
            unit = unit_of(annotation)
            found.append(_Leaf(DataColumn(name=told, unit=unit), _plain_of(name)))
    return tuple(found)


def _month_and_day(name: str, told: str) -> list[_Leaf]:
    """The two columns of a day of the year."""
    parts = told.split("_")
    stem = parts[:-1] if parts[-1] in {"day", "date"} else parts

    def part(word: str, at: slice) -> _Leaf:
        def value(row: Any) -> object:
            month_day = getattr(row, name)
            return None if month_day is None else int(month_day[at])

        return _Leaf(DataColumn(name="_".join([*stem, word])), value)

    return [part("month", slice(2)), part("day", slice(3, None))]


@cache
def _twelves(kind: type[Struct]) -> tuple[_Leaf, ...]:
    """Columns of twelve months; an object of months and their sum gives its own name to them."""
    found: list[_Leaf] = []
    for name, told, annotation in _fields(kind):
        nested = _struct(annotation)
        if nested is not None:
            found += [
                _within(name, told.removesuffix("_months"), leaf, joined=leaf.column.name)
                for leaf in _twelves(nested)
            ]
        elif _is_twelve(annotation):
            found.append(_Leaf(DataColumn(name=told, unit=unit_of(annotation)), attrgetter(name)))
    return tuple(found)


def _within(name: str, told: str, leaf: _Leaf, joined: str = "") -> _Leaf:
    """A column of a nested object, seen from the one that holds it."""
    inner = leaf.value
    own = told if joined == "months" else f"{told}_{leaf.column.name}"

    def value(row: Any) -> object:
        held = getattr(row, name)
        return None if held is None else inner(held)

    return _Leaf(DataColumn(name=own, unit=leaf.column.unit), value)


def _months_beside(kind: type[Struct]) -> list[_Leaf]:
    """Twelve columns for each field that holds twelve months."""

    def month_of(leaf: _Leaf, month: int) -> _Leaf:
        name = f"{leaf.column.name}_{month + 1:02d}"
        column = DataColumn(name=name, unit=leaf.column.unit)
        return _Leaf(column, lambda row: _at(leaf.value(row), month))

    return [month_of(leaf, month) for leaf in _twelves(kind) for month in range(TWELVE)]


def _who(kind: type[Struct]) -> list[_Leaf]:
    """Columns that tell whose a row is; the first column of anything that is nobody's."""
    leaves = _leaves(kind)
    found = [leaf for leaf in leaves if leaf.column.name in WHO]
    return found or list(leaves[:1])


@cache
def _lists(kind: type[Struct]) -> tuple[tuple[str, type[Struct]], ...]:
    """Lists of objects, each a table of its own: name in the document, and type."""
    found = []
    for _, told, annotation in _fields(kind):
        item = _struct(_item(annotation))
        if item is not None and _is_table(annotation):
            found.append((told, item))
    return tuple(found)


def _is_table(annotation: Any) -> bool:
    """Whether it is a list of objects with too many values for one cell."""
    item = _struct(_item(annotation))
    return item is not None and len(_fields(item)) > FLAT_LIST


def _plain_of(name: str) -> Callable[[Any], object]:
    return lambda row: _plain(getattr(row, name))


def _plain(value: object) -> object:
    """A single value as spreadsheets take it; several in one cell are parted by semicolons."""
    if isinstance(value, Enum):
        return value.value
    if isinstance(value, dict):
        return "; ".join(f"{name} {_in_text(one)}" for name, one in value.items())
    if isinstance(value, tuple):
        return "; ".join(map(_in_text, value))
    return value


def _in_text(value: object) -> str:
    """One of several values of a cell; an object is its values in a row, parted by blanks."""
    if isinstance(value, Struct):
        parts = [_in_text(getattr(value, name)) for name in value.__struct_fields__]
        return " ".join(part for part in parts if part)
    if isinstance(value, tuple):
        return " ".join(map(_in_text, value))
    plain = _plain(value)
    return "" if plain is None else str(plain)
