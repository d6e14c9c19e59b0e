"""
Names of genera, species and hybrids, and the groups that they lead to.

Read only when a name is asked for that is no key or alias of a group: no check of all groups
needs them. A name is looked for in its own genus alone, by its words, whatever its ending of
gender, and but for a slip of the pen.
"""

from __future__ import annotations

import re
from collections import Counter
from collections.abc import Collection, Iterable, Iterator, Sequence
from functools import cache

from msgspec import Struct, convert

from suitability.fields import read_table
from suitability.groups.group import Mark
from suitability.groups.reading import OUR_FOLDER

SLIP = 0.85  # likeness of a slip to the name it is taken for: one letter of seven
SLIPPED = 2  # letters that a name may be longer or shorter than what was meant
SHORTEST_SLIP = 5  # letters; in shorter words another letter is another word
LONGEST_GREX = 4  # words of a listed name
ENDING = re.compile(r"(?:us|um|a|is|e|os|on)$")  # of gender, by which labels differ
LATIN = re.compile(r"(?:um|ii|ae|ense|ale|ile|forme|color|ans|oides)$")  # of a species' epithet
SHORT_ALONE = ("den", "cym", "onc")  # abbreviations of three letters that are no other word


class Listed(Struct, frozen=True, kw_only=True, forbid_unknown_fields=True):
    """
    Names of one genus that lead to one group, or to none.

    `group` None: they are refused, and `nearest` are the groups that come near in need. `also` are
    genera under which they were known, or are sold. `grex` says that they are names of hybrids,
    which need their genus. `caveat` is how they differ from their group, where no source gives a
    number; every answer says it.
    """

    genus: str
    also: tuple[str, ...] = ()
    names: tuple[str, ...]
    mark: Mark
    sources: tuple[str, ...]
    group: str | None = None
    nearest: tuple[str, ...] = ()
    note: str = ""
    caveat: str = ""
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

    def holds(self, words: Sequence[str], short: str) -> bool:
        """
        Whether its group is that of a name that is not listed.

        Parameters
        ----------
        words
            As they were written.
        short
            How the genus was written; one letter may mean another genus, if a species follows.
        """
        first = words[0]
        species = LATIN.search(first.lower()) is not None
        if len(short) == 1:
            feminine = len(words) == 1 and first.lower().endswith(("a", "is"))
            species = species or feminine or first[0].islower()
        elif not self.listed_only:
            species = False
        return self.group is not None and not species

    def is_meant_by(self, word: str) -> bool:
        """Whether one of its words means it without a name behind: "pot" and "cat" do not."""
        return len(word) > 3 or word in (self.name, *SHORT_ALONE)


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

    def of_group(self, key: str) -> tuple[str, ...]:
        """Names that lead to a group as labels have them: "Dendrobium nobile", "… Comet King"."""
        return tuple(
            f"{one.genus.capitalize()} {name.replace('-', ' ').title() if one.grex else name}"
            for name, one in self.lists()
            if one.group == key
        )

    def find(
        self, genus: str, words: Sequence[str], *, gender: bool = True
    ) -> tuple[str, Listed] | None:
        """
        The longest listed name of a genus that some words begin with.

        Parameters
        ----------
        gender
            Whether another ending of gender is the same name.
        """
        known = self.listed[genus]
        for count in range(min(LONGEST_GREX, len(words)), 0, -1):
            name = "-".join(words[:count])
            if name in known:
                return name, known[name]
        genitive = _other_genitive(words[0]) if words else ""
        if genitive in known:
            return genitive, known[genitive]
        stem = ENDING.sub("", words[0]) if words else ""
        if gender and len(stem) >= SHORTEST_SLIP:
            alike = [name for name in known if ENDING.sub("", name) == stem]
            if len({known[name].group for name in alike}) == 1:
                return alike[0], known[alike[0]]
        return None

    def find_anywhere(self, words: Sequence[str]) -> dict[str, tuple[str, Listed]]:
        """What some words name without a genus, by the genera that have the name."""
        found = ((genus, self.find(genus, words, gender=False)) for genus in self.listed)
        return {
            genus: pair
            for genus, pair in found
            if pair is not None and not (pair[1].grex and "-" not in pair[0])
        }

    def find_slip(self, genus: str, words: Sequence[str]) -> tuple[str, Listed] | None:
        """The one name of a genus that the first word, or all of them, are a slip of."""
        known = self.listed[genus]
        near = near_words(words[0], known, SLIP) or near_words("-".join(words), known, SLIP)
        if len({(known[one].group, known[one].nearest) for one in near}) != 1:
            return None
        return near[0], known[near[0]]

    def find_genus_slip(self, word: str) -> Genus | None:
        """The genus, of all that are known, whose name a word is most likely a slip of."""
        near = near_words(word, [name for name in self.genera if len(name) > SHORTEST_SLIP], SLIP)
        return self.genera[near[0]] if near else None


def _other_genitive(word: str) -> str:
    """A name with -ii for -i, or -i for -ii, as labels write either; empty for any other."""
    if word.endswith("ii"):
        return word[:-1]
    return f"{word}i" if word.endswith("i") else ""


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


def count_by_mark(names: Names, groups: Collection[str]) -> dict[Mark, int]:
    """How many names lead to some groups, given by their keys, of each mark."""
    counted = Counter(listed.mark for _, listed in names.lists() if listed.group in groups)
    return {mark: counted[mark] for mark in Mark if counted[mark]}


def near_words(
    word: str, names: Iterable[str], likeness: float, *, first: bool = True
) -> list[str]:
    """
    Names like a word and of its length, nearest first; or its letters swapped.

    Parameters
    ----------
    first
        Whether the first letter must be the same.
    """
    if len(word) < SHORTEST_SLIP:
        return []
    some = [
        name
        for name in names
        if abs(len(name) - len(word)) <= SLIPPED and (not first or name[0] == word[0])
    ]
    from difflib import get_close_matches  # noqa: PLC0415  needed only after a slip

    letters = sorted(word)
    near = get_close_matches(word, some, n=9, cutoff=likeness)
    return near or [name for name in some if sorted(name) == letters]
