"""
What the numbers do not say: habit, rhythm, water, feed, origin, and where sources disagree.

Kept in a file of their own, because a verdict needs none of it.
"""

import re
from collections.abc import Mapping
from pathlib import Path
from types import MappingProxyType
from typing import Annotated, Any

from msgspec import Meta, Struct
from msgspec.structs import replace

from suitability.fields import (
    Where,
    check_fields,
    check_present,
    parse_flag,
    parse_list,
    parse_text,
    parse_word,
    read_table,
    shown,
)
from suitability.groups.evidence import MARKS, OWN_SOURCE
from suitability.groups.group import Mark
from suitability.groups.reading import OUR_FOLDER, Catalogue
from suitability.groups.validation import WORD_TEXTS

FILE = "words.toml"
GENERAL = "general"  # the one table of the file that is no group
ENTRY_FIELDS = frozenset(
    (*WORD_TEXTS, "evergreen", "altitude_mark", "mark", "sources", "disagreements")
)
BOTH_HALVES = re.compile(r"(\d{1,2} [A-Z][a-z]+) \((\d{1,2} [A-Z][a-z]+) in the south\)")
GENERAL_TEXTS = ("pets", "trade", "after_cold", "unlisted")
GENERAL_FIELDS = frozenset(
    (*GENERAL_TEXTS, "pets_mark", "pets_sources", "after_cold_sources", "disagreements")
)
DISAGREEMENT_FIELDS = ("point", "one_side", "other_side", "reading")


class Disagreement(Struct, frozen=True, kw_only=True):
    """Two sides on which sources stand, both to be shown."""

    point: Annotated[str, Meta(description="What it is about.")]
    one_side: str
    other_side: str
    reading: Annotated[str, Meta(description="How the program reads them.")]


class Words(Struct, frozen=True, kw_only=True):
    """A group in words; empty where the catalogue (or the user's file) says nothing."""

    evergreen: Annotated[bool | None, Meta(description="Null where it is not said.")] = None
    leaves: str = ""
    rhythm: Annotated[str, Meta(description="When it grows.")] = ""
    water_growth: str = ""
    feed_growth: str = ""
    water_rest: str = ""
    feed_rest: str = ""
    origin: Annotated[str, Meta(description="Where it grows wild.")] = ""
    altitude: str = ""
    altitude_mark: Annotated[Mark, Meta(description="Where the altitude comes from.")] = Mark.OWN
    first_signs: Annotated[str, Meta(description="Of harm by cold.")] = ""
    notes: str = ""
    pets: Annotated[str, Meta(description="What holds for pets beside the plants.")] = ""
    disagreements: Annotated[
        tuple[Disagreement, ...], Meta(description="Where sources disagree.")
    ] = ()
    mark: Annotated[Mark, Meta(description="Where the text as a whole comes from.")] = Mark.OWN
    sources: Annotated[
        tuple[str, ...], Meta(description="Of the text as a whole: ids, or citations.")
    ] = (OWN_SOURCE,)


class GeneralWords(Struct, frozen=True, kw_only=True):
    """What holds for all groups: pets, trade, after a cold night, plants that are not listed."""

    pets: str
    pets_sources: tuple[str, ...]
    trade: str
    after_cold: str
    after_cold_sources: tuple[str, ...]
    unlisted: str
    disagreements: tuple[Disagreement, ...]


def read_words(catalogue: Catalogue, *, folder: Path = OUR_FOLDER) -> Mapping[str, Words]:
    """
    The words of every group of the catalogue, by its key.

    Raises
    ------
    CatalogueError
        The file of words cannot be read, has an entry for no group, or something in it is wrong.
    """
    table = read_table(folder / FILE)
    pets = _general(table).pets
    words = {key: Words(pets=pets) for key in catalogue.keys}
    for key, entry in table.items():
        if key == GENERAL:
            continue
        where = Where(FILE, key, catalogue.sources)
        if key not in words:
            where.refuse("", "an entry that is no group", "the key of a group of our catalogue")
        words[key] = replace(_parse_words(entry, where), pets=pets)
    if catalogue.extra is not None:
        for key, own in _own_words(catalogue.extra).items():
            words[key] = replace(own, pets=pets)
    return MappingProxyType(words)


def words_at(words: Words, latitude: float) -> Words:
    """
    The words with the dates of one half of the world, where they give those of both.

    Parameters
    ----------
    latitude : degrees north
        At 0 the dates of the north stand.

    Examples
    --------
    >>> both = Words(feed_growth="the last about 1 October (1 April in the south)")
    >>> words_at(both, -30.0).feed_growth, words_at(both, 35.0).feed_growth
    ('the last about 1 April', 'the last about 1 October')
    """
    half = r"\2" if latitude < 0.0 else r"\1"
    texts = {name: BOTH_HALVES.sub(half, getattr(words, name)) for name in WORD_TEXTS}
    return replace(words, **texts)


def unsaid(text: str, before: str) -> str:
    """
    A text without those of its clauses that stand word for word in what is said before it.

    Examples
    --------
    >>> unsaid("nearly dry; a weekly sip", "cool, bright and nearly dry")
    'a weekly sip'
    """
    clause, *others = re.split(r"([,;] )", text)
    kept = ""
    for sign, part in zip(["", *others[::2]], [clause, *others[1::2]], strict=True):
        if not re.search(rf"(?<!\w){re.escape(part)}(?!\w)", before):
            kept += (sign if kept else "") + part
    return kept


def read_general_words() -> GeneralWords:
    """
    The words that hold for all groups.

    Raises
    ------
    CatalogueError
        The file of words cannot be read, or its general part is wrong.
    """
    return _general(read_table(OUR_FOLDER / FILE))


def _general(table: Mapping[str, object]) -> GeneralWords:
    where = Where(FILE, GENERAL)
    entry = table.get(GENERAL)
    if not isinstance(entry, dict):
        where.refuse("", "nothing" if entry is None else shown(entry), "a table [general]")
    check_fields(entry, GENERAL_FIELDS, where)
    check_present(entry, sorted(GENERAL_FIELDS), where)
    texts = {field: parse_text(entry[field], field, where) for field in GENERAL_TEXTS}
    return GeneralWords(
        **texts,
        pets_sources=parse_list(entry["pets_sources"], "pets_sources", where),
        after_cold_sources=parse_list(entry["after_cold_sources"], "after_cold_sources", where),
        disagreements=_parse_disagreements(entry["disagreements"], where),
    )


def _parse_words(entry: object, where: Where) -> Words:
    if not isinstance(entry, dict):
        where.refuse("", shown(entry), "a table of words")
    check_fields(entry, ENTRY_FIELDS, where)
    check_present(entry, sorted(ENTRY_FIELDS - {"disagreements"}), where)
    sources = parse_list(entry["sources"], "sources", where)
    unknown = [source for source in sources if source not in (where.known_sources or {})]
    if unknown or not sources:
        found = f'the unknown source "{unknown[0]}"' if unknown else "an empty list"
        where.refuse("sources", found, "ids of sources.toml")
    texts = {field: parse_text(entry[field], field, where) for field in WORD_TEXTS}
    return Words(
        **texts,
        evergreen=parse_flag(entry["evergreen"], "evergreen", where),
        altitude_mark=parse_word(entry["altitude_mark"], MARKS, "altitude_mark", where),
        disagreements=_parse_disagreements(entry.get("disagreements", []), where),
        mark=parse_word(entry["mark"], MARKS, "mark", where),
        sources=sources,
    )


def _parse_disagreements(raw: object, where: Where) -> tuple[Disagreement, ...]:
    if not isinstance(raw, list):
        where.refuse("disagreements", shown(raw), "[[...disagreements]] tables")
    return tuple(_parse_disagreement(item, where) for item in raw)


def _parse_disagreement(raw: object, where: Where) -> Disagreement:
    if not isinstance(raw, dict):
        where.refuse("disagreements", shown(raw), "a table")
    check_fields(raw, frozenset(DISAGREEMENT_FIELDS), where, "disagreements.")
    check_present(raw, DISAGREEMENT_FIELDS, where, "disagreements.")
    texts = {
        field: parse_text(raw[field], f"disagreements.{field}", where)
        for field in DISAGREEMENT_FIELDS
    }
    return Disagreement(**texts)


def _own_words(path: Path) -> dict[str, Words]:
    """Words of a user's groups, from a file that `read_catalogue` has already found in order."""
    entries = read_table(path).get("group", [])
    if not isinstance(entries, list):
        return {}
    return {entry["key"]: _parse_own_words(entry, Where(path.name)) for entry in entries}


def _parse_own_words(entry: Mapping[str, object], where: Where) -> Words:
    where = where.at(f'group "{entry["key"]}"')
    texts: dict[str, Any] = {
        field: parse_text(entry.get(field, ""), field, where) for field in WORD_TEXTS
    }
    evergreen = entry.get("evergreen")
    flag = None if evergreen is None else parse_flag(evergreen, "evergreen", where)
    return Words(**texts, evergreen=flag)
