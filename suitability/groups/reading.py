"""Reading the catalogue: our own files and, added to them, one of the user's."""

from __future__ import annotations

from collections.abc import Mapping
from functools import cache
from pathlib import Path
from types import MappingProxyType

from msgspec import Struct

from suitability.errors import CatalogueError
from suitability.fields import Where, parse_text, read_table
from suitability.groups.group import Group
from suitability.groups.validation import check_names_once, parse_groups

OUR_FOLDER = Path(__file__).parent / "catalogue"
OUR_FILES = ("dendrobium.toml", "other_orchids.toml")  # the genus most asked about comes first
NEAR = 0.75  # likeness of a name that is offered: a quarter of the letters may be others


class Catalogue(Struct, frozen=True, kw_only=True):
    """
    All groups that can be asked for, ours first, in the order of their files.

    `by_name` leads from every key and alias to its group; `sources` from the id of a source to
    its citation; `dendrobiums` are the groups of that genus, which an unlabelled plant may belong
    to; `extra` is the user's own file, if there is one.
    """

    groups: tuple[Group, ...]
    by_name: Mapping[str, Group]
    sources: Mapping[str, str]
    dendrobiums: tuple[Group, ...] = ()
    extra: Path | None = None

    @property
    def keys(self) -> tuple[str, ...]:
        """The keys of all groups."""
        return tuple(group.key for group in self.groups)

    def get(self, word: str) -> Group | None:
        """The group of a key or alias, however spelt in case and spaces; None: there is none."""
        return self.by_name.get(key_of(word))

    def find(self, word: str) -> Group:
        """
        The group of a key or alias, as `get` has it.

        Raises
        ------
        CatalogueError
            No group has that name; near names are offered.
        """
        group = self.get(word)
        if group is not None:
            return group
        near = self.near_names(word)
        offer = f"Near: {', '.join(near)}." if near else "`suitability groups` lists all."
        raise CatalogueError(f'group "{word}": no group has this key or alias. {offer}')

    def near_names(self, word: str) -> tuple[str, ...]:
        """Up to three keys or aliases that look like the word, nearest first, one for a group."""
        from difflib import get_close_matches  # noqa: PLC0415  needed only after a slip

        near: dict[str, str] = {}
        for name in get_close_matches(key_of(word), list(self.by_name), n=9, cutoff=NEAR):
            near.setdefault(self.by_name[name].key, name)
        return tuple(near.values())[:3]


def read_catalogue(extra: Path | None = None, *, folder: Path = OUR_FOLDER) -> Catalogue:
    """
    Our catalogue, with the groups of the user's own file added.

    Parameters
    ----------
    extra
        The user's own file; None: our groups alone.
    folder
        Where our own files lie.

    Raises
    ------
    CatalogueError
        A file cannot be read, is not TOML, or something in it is wrong; a key or alias stands
        twice.
    """
    ours = _read_ours(folder)
    if extra is None:
        return ours
    where = Where(extra.name)
    own = parse_groups(read_table(extra), where)
    check_names_once(own, where, ours.groups)
    return _of_groups((*ours.groups, *own), ours.sources, ours.dendrobiums, extra)


@cache
def _read_ours(folder: Path) -> Catalogue:
    """Our catalogue, read once: no file of it changes while the program runs."""
    sources = _read_sources(folder / "sources.toml")
    groups: tuple[Group, ...] = ()
    dendrobiums: tuple[Group, ...] = ()
    for file in OUR_FILES:
        where = Where(file, known_sources=sources)
        more = parse_groups(read_table(folder / file), where)
        check_names_once(more, where, groups)
        groups += more
        dendrobiums = dendrobiums or more
    return _of_groups(groups, MappingProxyType(sources), dendrobiums)


def _of_groups(
    groups: tuple[Group, ...],
    sources: Mapping[str, str],
    dendrobiums: tuple[Group, ...],
    extra: Path | None = None,
) -> Catalogue:
    """The catalogue of these groups, each found by its key and aliases."""
    by_name = {name: group for group in groups for name in (group.key, *group.aliases)}
    return Catalogue(
        groups=groups,
        by_name=MappingProxyType(by_name),
        sources=sources,
        dendrobiums=dendrobiums,
        extra=extra,
    )


def _read_sources(path: Path) -> dict[str, str]:
    where = Where(path.name)
    return {key: parse_text(text, key, where) for key, text in read_table(path).items()}


def key_of(word: str) -> str:
    """A word as keys are written: in lower case, hyphens for spaces, stops and dashes."""
    spaced = word.strip().lower().replace("_", " ").replace(".", " ").replace("-", " ")
    return "-".join(spaced.split())
