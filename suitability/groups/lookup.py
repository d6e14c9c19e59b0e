"""
A name that is no key or alias, read in order: genus or its abbreviation, then species or grex.

A hybrid takes the needs of its most tender parent, a plant without a label those of a stand-in, the
most tender that is commonly sold; what was taken is always said. A slip is taken for a name only
where one group alone is that near, and never for another genus: a wrong group is a wrong answer.
"""

from __future__ import annotations

from collections.abc import Iterable, Sequence
from typing import NoReturn

from msgspec import Struct

from suitability.errors import CatalogueError
from suitability.groups.group import Group, Mark, RestNeed
from suitability.groups.label import Label, printable, read_label, words_of
from suitability.groups.reading import NEAR, Catalogue
from suitability.groups.species import SLIP, Genus, Listed, Names, near_words, read_names
from suitability.groups.understood import Understood, belonging, most_tender, taken_for

NEAR_SPECIES = 0.8  # likeness of a species that is offered where no genus is given
HYBRID = frozenset(("hybrid", "hybrids", "hyb", "hybride", "hibrido", "cross"))
RANKS = frozenset(("var", "v", "f", "fma", "form", "forma", "subsp", "ssp", "cv"))
DESCRIBED = frozenset(  # what describes a plant, or begins the name of a hybrid
    (
        *("mini", "miniature", "novelty", "spotted"),
        *("white", "pink", "yellow", "red", "purple", "orange", "green", "blue"),
    )
)
NOT_KNOWN = frozenset(  # what says that nobody knows
    (
        *("?", "unknown", "unlabelled", "unlabeled", "noid", "no", "unnamed"),
        *("seedling", "seedlings", *HYBRID),
    )
)
NO_NAME = frozenset(  # what says nothing of the group
    (
        *("id", "label", "name", "a", "my", "variegated"),
        *("orchid", "orchids", "plant", "plants", "sp", "spp", "species"),
        *("type", "types", "group", "section", "syn"),
        *DESCRIBED,
        *NOT_KNOWN,
    )
)
OTHER_WAYS = (
    'A hybrid goes by the groups of its parents, as in "nobile x bigibbum"; a plant without a '
    'label is "unknown".'
)
STAND_IN = "spatulata"  # for a plant without a label: docs/decisions.md says why
Words = tuple[str, ...]


def look_up(catalogue: Catalogue, word: str) -> Understood:
    """
    The group of a plant by the name on its label.

    Raises
    ------
    CatalogueError
        The name cannot be read, or leads to no group; near names or groups are offered.
    """
    reader = _Reader(catalogue=catalogue, names=read_names(), asked=printable(word))
    return reader.read(read_label(word))


class _Reader(Struct, frozen=True, kw_only=True):
    """One name asked for, with what is needed to read it."""

    catalogue: Catalogue
    names: Names
    asked: str

    def read(self, label: Label) -> Understood:
        """A plant or a cross; brackets count where the name before them leads nowhere."""
        parents = self._joined_with_genus(label)
        if len(parents) != 1:
            return self._cross(parents)
        plant = parents[0]
        inside = read_label(label.inside).parents if label.inside else ()
        genus, rest = self._split_genus(plant)
        if len(inside) == 1 and NO_NAME.issuperset(_lowered(rest)):
            plant += inside[0]
        try:
            return self._plant(plant)
        except CatalogueError:
            if len(inside) <= 1:
                raise
            return self._cross(inside, genus)

    def _joined_with_genus(self, label: Label) -> tuple[Words, ...]:
        """The parents; "Genus x epithet" is one plant, a natural hybrid."""
        parents = label.parents
        if not label.natural or self._split_genus(parents[1])[0]:
            return parents
        genus, rest = self._split_genus(parents[0])
        if genus is None or rest:
            return parents
        is_key = genus.name in self.catalogue.by_name
        if is_key and not self.names.find(genus.name, _lowered(parents[1])):
            return parents
        return ((*parents[0], *parents[1]), *parents[2:])

    # A cross ------------------------------------------------------------------------------------

    def _cross(self, parents: Sequence[Words], genus: Genus | None = None) -> Understood:
        """The most tender parent; the others may tire in heat, or ask for a rest, before it."""
        if not parents:
            self._refuse('names nothing; type a name, as in "Dendrobium nobile".')
        genera = (self._split_genus(parent) for parent in parents)
        genus = genus or next((one for one, rest in genera if one and rest), None)
        understood = [self._plant(parent, genus) for parent in parents]
        groups = [parent.group for parent in understood]
        self._check_crossable(groups)
        taken = most_tender(groups)
        others = dict.fromkeys(group.key for group in groups if group.key != taken.key)
        note = f'"{self.asked}" is judged as {taken.key}, its most tender parent.'
        if others:
            note += (
                f" How much of {' and '.join(others)} is in it, in heat and in rest, no name tells."
            )
        told = all(parent.rest_told for parent in understood)
        told = told and not (others and any(map(_flowers_by_rest, groups)))
        caveat = ""
        if others or not told:
            tender = "tenderer" if len(groups) == 2 else "most tender"
            caveat = f"hybrid {self.asked}: judged by its {tender} parent, {taken.key}"
        return taken_for(self.asked, taken, note, caveat, rest_told=told)

    def _check_crossable(self, groups: Sequence[Group]) -> None:
        """A Dendrobium has no hybrids with other genera, so such a name means something else."""
        keys = {group.key for group in groups}
        own = {group.key for group in self.catalogue.dendrobiums}
        foreign = {genus.group for genus in self.names.genera.values()}
        foreign |= {listed.group for _, listed in self.names.lists()}
        if keys & own and keys & (foreign - own):
            self._refuse("a Dendrobium is not crossed with other genera; name its parents anew.")

    # One plant ----------------------------------------------------------------------------------

    def _plant(self, words: Words, other: Genus | None = None) -> Understood:
        """One plant; `other` is the genus of the other parents, for one that names none."""
        lower = _lowered(words)
        if other is not None and self.names.find(other.name, lower):
            return self._of_genus(other, words)
        group = self.catalogue.by_name.get(_joined(lower))
        if group is not None:
            return belonging(self.asked, group)
        own, rest = self._split_genus(words)
        if own is not None:
            return self._of_genus(own, rest, short=words[0])
        if other is None or self.names.find_anywhere(lower):
            return self._without_genus(lower)
        return self._of_genus(other, words)

    def _split_genus(self, words: Words) -> tuple[Genus | None, Words]:
        """The genus that a name begins or ends with, slips mended, and the other words."""
        named = tuple(word for word in words if word.lower() not in NO_NAME)
        for some in (words, named):
            for count in (2, 1):
                first, rest = _joined(_lowered(some[:count])), some[count:]
                genus = self.names.genera.get(first)
                if genus and (genus.is_meant_by(first) or not NO_NAME.issuperset(_lowered(rest))):
                    return genus, rest
        last = _joined(_lowered(named[-1:]))
        said = _lowered(named)
        listed = self.names.find_anywhere(_lowered(words)) or self.names.find_anywhere(said)
        if not named or listed or _joined(said) in self.catalogue.by_name:
            return None, words
        slip = self.names.find_genus_slip(said[0])
        if slip is not None:
            return slip, named[1:]
        if last in self.names.genera and self.names.genera[last].is_meant_by(last):
            return self.names.genera[last], named[:-1]
        return None, words

    def _of_genus(self, genus: Genus, words: Words, short: str = "") -> Understood:
        """A plant of this genus, by its section, species or grex, or by the genus alone."""
        lower = _before_rank(_lowered(words))
        said = tuple(word for word in lower if word not in NO_NAME)
        hybrid = not HYBRID.isdisjoint(lower)
        if not said:
            return self._genus_alone(genus)
        section = self._section(genus, (lower, said))
        if section is not None:
            return self._section_told(section, hybrid=hybrid)
        found = self.names.find(genus.name, lower)
        if found is None:
            found = self.names.find(genus.name, said)
            if found is not None and found[1].grex and lower[0] in DESCRIBED:
                said, found = lower, None  # "Mini Snowflake" is another hybrid than Snowflake
        if found is not None:
            self._check_one(genus, said)
            return self._led(f"{genus.name.capitalize()} {found[0]}", found[1], hybrid=hybrid)
        return self._unlisted(genus, said, holds=genus.holds(words, short))

    def _unlisted(self, genus: Genus, words: Words, *, holds: bool) -> Understood:
        """A name that is not listed: another genus, a slip, or whatever else the genus holds."""
        other = self.names.genera.get(words[0])
        if other is not None and other is not genus:
            return self._two_genera(genus, other)
        slip = self.names.find_slip(genus.name, words)
        if slip is not None:
            return self._led(f"{genus.name.capitalize()} {slip[0]}", slip[1], slip=True)
        if holds:
            self._check_apart(genus, words)
            return self._led(self._shown(genus), genus, by_genus=True)
        return self._refuse_unknown(genus, words)

    def _check_apart(self, genus: Genus, words: Words) -> None:
        """Refuse a species that may be a slip of one whose needs are not those of its genus."""
        known = self.names.listed[genus.name]
        apart = [name for name, one in known.items() if one.group != genus.group]
        near = near_words(words[0], apart, NEAR_SPECIES, first=False) if len(words) == 1 else []
        if near:
            name = f"{genus.name.capitalize()} {near[0]}"
            self._refuse(f"is no name here. {name}, which is near, is not judged as its genus is.")

    def _section(self, genus: Genus, several: Iterable[Words]) -> Group | None:
        """The group of a Dendrobium that goes by the name of its section or type."""
        if genus.name != "dendrobium":
            return None
        found = (self.catalogue.by_name.get(_joined(words)) for words in several)
        return next((group for group in found if group in self.catalogue.dendrobiums), None)

    def _section_told(self, group: Group, *, hybrid: bool) -> Understood:
        told = belonging(self.asked, group)
        return self._hybrid_of(group, told.note) if hybrid else told

    def _two_genera(self, genus: Genus, other: Genus) -> Understood:
        """Two genera without a sign between them: one may be what the other's plant looks like."""
        if genus.group is None and not self.names.listed[genus.name]:
            return self._led(self._shown(genus), genus)  # in no group, whatever its name
        found = self.names.listed[other.name].get(genus.name)
        if found is None:
            self._refuse(
                f"names two genera, {genus.name.capitalize()} and {other.name.capitalize()}. "
                "Give one, or a cross with an x between its parents."
            )
        return self._led(f"{other.name.capitalize()} {genus.name}", found)

    def _check_one(self, genus: Genus, words: Words) -> None:
        """Refuse a name of two species whose groups differ, as of a cross without its sign."""
        known = self.names.listed[genus.name]
        groups = {known[word].group for word in words if word in known}
        if len(groups) > 1:
            self._refuse("names species of several groups. Write a cross with an x between them.")

    def _genus_alone(self, genus: Genus) -> Understood:
        if genus.name == "dendrobium":
            return self._unlabelled(every_orchid=False)
        return self._led(self._shown(genus), genus)

    def _without_genus(self, words: Words) -> Understood:
        """A species or type without its genus, or a plant without any name."""
        words = _before_rank(words)
        said = tuple(word for word in words if word not in NO_NAME)
        if not said and NOT_KNOWN.isdisjoint(words):
            self._refuse_general()
        if not said:
            return self._unlabelled(every_orchid=not {"orchid", "orchids"}.isdisjoint(words))
        hybrid = not HYBRID.isdisjoint(words)
        group = self.catalogue.by_name.get(_joined(said))
        if group is not None:
            return self._section_told(group, hybrid=hybrid)
        found = self.names.find_anywhere(words) or self.names.find_anywhere(said)
        if not found:
            return self._near_word(_joined(said))
        if len({(one.group, one.nearest) for _, one in found.values()}) > 1:
            named = (
                f"{genus.capitalize()} {name} ({one.group or 'in no group'})"
                for genus, (name, one) in found.items()
            )
            self._refuse(f"several genera have that name: say {' or '.join(named)}.")
        genus, (name, one) = next(iter(found.items()))
        return self._led(f"{genus.capitalize()} {name}", one, hybrid=hybrid)

    def _near_word(self, word: str) -> Understood:
        """A slip in a key, an alias or a species, if one group alone has a name so near."""
        groups = {name: group.key for name, group in self.catalogue.by_name.items()}
        for name, listed in self.names.lists():
            if listed.group and not listed.grex:
                groups.setdefault(name, listed.group)
        near = near_words(word, groups, SLIP)
        if len({groups[name] for name in near}) == 1:
            group = self.catalogue.by_name[groups[near[0]]]
            leads = "" if near[0] == group.key else f", which belongs to {group.key}"
            note = f'"{self.asked}" is no name here: taken for {near[0]}{leads}.'
            return taken_for(self.asked, group, note, self._slip_told(near[0]))
        offer = [*near, *self.catalogue.near_names(word), *near_words(word, groups, NEAR_SPECIES)]
        each = {groups[name]: name for name in reversed(offer)}
        near = [name for name in dict.fromkeys(offer) if each[groups[name]] == name]
        listing = (
            f"Near: {', '.join(near[:3])}."
            if near
            else f"`suitability groups` lists all. {OTHER_WAYS}"
        )
        return self._refuse(f"no group has this key or alias. {listing}")

    # Answers ------------------------------------------------------------------------------------

    def _led(
        self,
        plant: str,
        entry: Genus | Listed,
        *,
        hybrid: bool = False,
        slip: bool = False,
        by_genus: bool = False,
    ) -> Understood:
        """Where a listed name or a genus leads; `by_genus` a name that only its genus tells."""
        if entry.group is None:
            several = isinstance(entry, Genus) and self.names.listed[entry.name]
            kind = "alone names no group" if several else "is not in the catalogue"
            self._refuse_listed(f"{plant} {kind}", entry)
        group = self.catalogue.by_name[entry.group]
        memory = entry.mark is Mark.MEMORY and "memory" not in entry.note
        caveat = entry.caveat if isinstance(entry, Listed) else ""
        why = "; ".join(filter(None, (entry.note, caveat, "from memory" if memory else "")))
        because = f" ({why})" if why else ""
        if slip:
            note = f'"{self.asked}" is no name here: taken for {plant}, '
            note += f"which belongs to {group.key}{because}."
            told = "; ".join(filter(None, (self._slip_told(plant), caveat)))
            return taken_for(self.asked, group, note, told)
        belongs = "belongs, by its genus alone," if by_genus else "belongs"
        note = f'"{self.asked}" {belongs} to the group {group.key}, {group.name}{because}.'
        if hybrid:
            return self._hybrid_of(group, note)
        return Understood(asked=self.asked, group=group, note=note, caveat=caveat)

    def _slip_told(self, name: str) -> str:
        return f'no group is called "{self.asked}": taken for {name}'

    def _hybrid_of(self, group: Group, note: str) -> Understood:
        """A hybrid of which one parent is named: by that one, its rest only if that has hybrids."""
        if any("hybrid" in name for name in (group.name, *group.aliases)):
            return Understood(asked=self.asked, group=group, note=note)
        note += " Its other parent is not named."
        caveat = f"hybrid {self.asked}: judged by {group.key}, the one parent that it names"
        return taken_for(self.asked, group, note, caveat, rest_told=not _flowers_by_rest(group))

    def _unlabelled(self, *, every_orchid: bool) -> Understood:
        """The stand-in for a plant without a label, which promises no flowers."""
        taken = self.catalogue.by_name[STAND_IN]
        kind = "orchid" if every_orchid else "Dendrobium"
        told = f"the most tender {kind} that is commonly sold"
        note = (
            f'"{self.asked}" names no group: {taken.key} stands in for it, {told}. No flowers are '
            "promised, and one of the cool mountain groups would suffer from heat instead."
        )
        caveat = f"a stand-in for a plant without a label: {taken.key}, {told}; promises no flowers"
        return taken_for(self.asked, taken, note, caveat, rest_told=False)

    def _shown(self, genus: Genus) -> str:
        """The genus as it was asked for, slips included, unless abbreviated."""
        first = words_of(self.asked.lower())[0]
        full = len(first) > 4 and near_words(first, (genus.name, *genus.short), SLIP)
        return (first if full else genus.name).capitalize()

    def _refuse(self, why: str) -> NoReturn:
        raise CatalogueError(f'group "{self.asked}": {why}')

    def _refuse_general(self) -> NoReturn:
        """A word for any orchid, by somebody who may well know more."""
        own = {group.key for group in self.catalogue.dendrobiums}
        others = ", ".join(key for key in self.catalogue.keys if key not in own)
        dendrobiums = ", ".join(group.key for group in self.catalogue.dendrobiums)
        self._refuse(
            f"may be of any group; say which, or the name on its label: {others}, or of the "
            f'Dendrobiums {dendrobiums}. A plant without a label is "unknown".'
        )

    def _refuse_listed(self, plant: str, entry: Genus | Listed) -> NoReturn:
        """A plant that is in no group."""
        why = f": {entry.note}" if entry.note else ""
        nearest = f"; nearest in need: {', '.join(entry.nearest)}" if entry.nearest else ""
        self._refuse(f"{plant}{why}{nearest}.")

    def _refuse_unknown(self, genus: Genus, words: Words) -> NoReturn:
        """A name of the genus that stands in no list."""
        name = self._shown(genus)
        known = self.names.listed[genus.name]
        if not known:
            self._refuse_listed(f"{name} is not in the catalogue", genus)
        if genus.nearest:
            self._refuse_listed(f"no {name} of that name is listed", genus)
        near = near_words(_joined(words), (one for one in known if known[one].group), NEAR)
        offer = f"Near: {', '.join(near[:3])}." if near else OTHER_WAYS
        self._refuse(f"no {name} of that name is listed. {offer}")


def _flowers_by_rest(group: Group) -> bool:
    return group.rest is not None and group.rest.needed is RestNeed.YES


def _joined(words: Iterable[str]) -> str:
    return "-".join(words)


def _before_rank(words: Words) -> Words:
    """Without a variety or form, which shares the needs of its species."""
    ranks = (at for at, word in enumerate(words) if word in RANKS)
    return words[: next(ranks, len(words))]


def _lowered(words: Words) -> Words:
    """In lower case, without apostrophes, "sect." in full."""
    lower = (word.lower().replace("'", "") for word in words)
    return tuple("section" if word in ("sect", "sec") else word for word in lower)
