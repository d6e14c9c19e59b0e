"""
Names of genera, species and hybrids, and the groups that they lead to.

Read only when a name is asked for that is no key or alias of a group: no check of all groups
needs them.
"""

from __future__ import annotations

from collections import Counter
from collections.abc import Iterator
from functools import cache

from msgspec import Struct, convert

from suitability.fields import read_table
from suitability.groups.group import Mark
from suitability.groups.reading import OUR_FOLDER

__all__ = ["Genus", "Listed", "Names", "count_by_mark", "read_names"]


class Listed(Struct, frozen=True, kw_only=True, forbid_unknown_fields=True):
    """
    Names of one genus that lead to one group, or to none.

    `group` None: they are refused, and `nearest` are the groups that come near in need. `also` are
    genera under which they were known, or are sold. `grex` says that they are names of hybrids,
    which need their genus.
    """

    genus: str
    also: tuple[str, ...] = ()
    names: tuple[str, ...]
    mark: Mark
    sources: tuple[str, ...]
    group: str | None = None
    nearest: tuple[str, ...] = ()
    note: str = ""
    grex: bool = False


class Genus(Struct, frozen=True, kw_only=True, forbid_unknown_fields=True):
    """
    A genus, its abbreviations, and the group of whatever is not listed apart.

    `group` None: such plants are refused, and `nearest` are the groups that come near in need.
    `listed_only` says that of its species only listed ones, and all hybrids, lead to the group.
    """

    name: str
    short: tuple[str, ...] = ()
    mark: Mark | None = None
    sources: tuple[str, ...] = ()
    group: str | None = None
    nearest: tuple[str, ...] = ()
    note: str = ""
    listed_only: bool = False


class Names(Struct, frozen=True, kw_only=True):
    """
    All of them.

    `genera` leads from each name and abbreviation to its genus; `listed` from a genus to its
    names, and from each to the list it stands in.
    """

    genera: dict[str, Genus]
    listed: dict[str, dict[str, Listed]]

    def lists(self) -> Iterator[tuple[str, Listed]]:
        """Every listed name with its list, once."""
        for genus, names in self.listed.items():
            yield from ((name, one) for name, one in names.items() if one.genus == genus)


@cache
def read_names() -> Names:
    """Our lists of genera and species, read once."""
    genera = convert(read_table(OUR_FOLDER / "genera.toml")["genus"], list[Genus])
    lists = convert(read_table(OUR_FOLDER / "species.toml")["list"], list[Listed])
    listed: dict[str, dict[str, Listed]] = {genus.name: {} for genus in genera}
    for one in lists:
        for genus in (one.genus, *one.also):
            listed[genus].update(dict.fromkeys(one.names, one))
    words = {word: genus for genus in genera for word in (genus.name, *genus.short)}
    return Names(genera=words, listed=listed)


def count_by_mark(names: Names) -> dict[Mark, int]:
    """How many listed names there are of each mark."""
    counted = Counter(listed.mark for _, listed in names.lists())
    return {mark: counted[mark] for mark in Mark if counted[mark]}
