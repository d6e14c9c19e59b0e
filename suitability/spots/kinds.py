"""Ready kinds of spot, with the offsets that stand for them until the grower has measured."""

from collections.abc import Mapping
from functools import cache
from pathlib import Path
from types import MappingProxyType
from typing import Annotated, Literal, get_args

from msgspec import Meta, Struct

from suitability.errors import CatalogueError
from suitability.fields import (
    Where,
    check_fields,
    check_present,
    is_key,
    parse_list,
    parse_text,
    parse_word,
    read_table,
    shown,
)
from suitability.quantities import Result
from suitability.spots.entries import POSITION_FIELDS, parse_position
from suitability.spots.spot import Spot

OUR_FOLDER = Path(__file__).parent
NEEDED = ("key", "name", "roofed", "light", "confidence", "mark", "sources")
KIND_FIELDS = frozenset((*NEEDED, *POSITION_FIELDS, "also", "note"))
Mark = Literal["found", "practice", "memory", "reasoned"]
Confidence = Literal["high", "medium", "low"]
MARKS: dict[str, Mark] = {word: word for word in get_args(Mark)}
CONFIDENCES: dict[str, Confidence] = {word: word for word in get_args(Confidence)}


class Kind(Result, frozen=True, kw_only=True):
    """A ready kind of spot."""

    key: str
    name: str
    spot: Annotated[Spot, Meta(description="A spot of this kind, named by its key.")]
    mark: Annotated[
        Mark,
        Meta(description="Where its numbers come from."),
    ]
    confidence: Annotated[Confidence, Meta(description="How far they can be leaned on.")]
    sources: Annotated[tuple[str, ...], Meta(description="Citations.")]
    also: Annotated[
        tuple[str, ...],
        Meta(description="What growers call such spots; several kinds may share a word."),
    ] = ()
    note: str = ""


class Kinds(Struct, frozen=True, kw_only=True):
    """All ready kinds in the order of their file."""

    by_key: Mapping[str, Kind]

    def find(self, key: str) -> Kind:
        """
        The kind of a key.

        Raises
        ------
        CatalogueError
            There is none; near keys are offered.
        """
        kind = self.by_key.get("-".join(key.strip().lower().replace("-", " ").split()))
        if kind is None:
            raise CatalogueError(
                f'kind of spot "{key}": there is none of this name. {self.near(key)}'
            )
        return kind

    def near(self, key: str) -> str:
        """A sentence that offers the kinds that are called so, or keys like this one, or all."""
        from difflib import get_close_matches  # noqa: PLC0415  needed only after a slip

        word = key.strip().lower()
        called = [f"{one.key} ({one.name})" for one in self.by_key.values() if word in one.also]
        near = called or get_close_matches(word, list(self.by_key), n=3)
        return f"{'Near' if near else 'There are'}: {', '.join(near or self.by_key)}."


def read_kinds(folder: Path = OUR_FOLDER) -> Kinds:
    """
    The ready kinds.

    Raises
    ------
    CatalogueError
        Something in their file is wrong.
    """
    return _read_once(folder)


@cache
def _read_once(folder: Path) -> Kinds:
    """The ready kinds: their file does not change while the program runs."""
    names = Where("sources.toml")
    citations = {
        key: parse_text(text, key, names)
        for key, text in read_table(folder / "sources.toml").items()
    }
    where = Where("kinds.toml", known_sources=citations)
    table = read_table(folder / "kinds.toml")
    entries = table.get("kind")
    if set(table) != {"kind"} or not isinstance(entries, list):
        where.refuse("", ", ".join(sorted(table)), "[[kind]] tables and nothing beside them")
    kinds: dict[str, Kind] = {}
    for number, entry in enumerate(entries, 1):
        kind = _parse_kind(entry, where.at(f"kind {number}"), citations)
        if kind.key in kinds:
            where.refuse("key", f'"{kind.key}" twice', "a key used once")
        kinds[kind.key] = kind
    return Kinds(by_key=MappingProxyType(kinds))


def _parse_kind(entry: object, where: Where, citations: Mapping[str, str]) -> Kind:
    if not isinstance(entry, dict):
        where.refuse("", shown(entry), "a [[kind]] table")
    check_fields(entry, KIND_FIELDS, where)
    check_present(entry, NEEDED, where)
    key = parse_text(entry["key"], "key", where)
    if not is_key(key):
        where.refuse("key", shown(key), "lower-case letters, digits and single hyphens")
    sources = parse_list(entry["sources"], "sources", where)
    for source in sources:
        if source not in citations:
            where.refuse("sources", f'the unknown source "{source}"', "an id of sources.toml")
    return Kind(
        key=key,
        name=parse_text(entry["name"], "name", where),
        spot=parse_position(entry, Spot(name=key, kind=key), where),
        mark=parse_word(entry["mark"], MARKS, "mark", where),
        confidence=parse_word(entry["confidence"], CONFIDENCES, "confidence", where),
        sources=tuple(citations[source] for source in sources),
        also=parse_list(entry["also"], "also", where) if "also" in entry else (),
        note=parse_text(entry.get("note", ""), "note", where),
    )
