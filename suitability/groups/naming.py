"""
Which group is meant: keys, aliases, names on labels, slips of the pen, hybrids, and plants without one.

A name is read in order: genus or its abbreviation, then species or grex. A hybrid takes the needs
of its most tender parent, a plant without a label those of the most tender group that it may
belong to; what was taken is always said. A slip is taken for a name only where one group alone is
that near, and never for a name of another genus: a wrong group is a wrong answer.
"""

from __future__ import annotations

import re
from collections.abc import Iterable, Mapping, Sequence
from difflib import get_close_matches
from typing import NoReturn

from msgspec import Struct

from suitability.errors import CatalogueError
from suitability.groups.group import Group, Mark, RestNeed
from suitability.groups.label import Label, printable, read_label, words_of
from suitability.groups.reading import NEAR, Catalogue
from suitability.groups.species import Genus, Listed, Names, read_names

__all__ = ["Understood", "most_tender", "understand"]

NEAR_ENOUGH = 0.86  # likeness of a slip to the name it is taken for: two letters of fourteen
SHORTEST_SLIP = 5  # letters; in shorter words another letter is another word
LONGEST_GREX = 4  # words of a listed name
LATIN = re.compile(r"(?:um|ii|ae|ense|ale|ile|forme|color|ans|oides)$")  # of a species' epithet
ENDING = re.compile(r"(?:us|um|a|is|e|os|on)$")  # of gender, by which labels differ
HYBRID = frozenset(("hybrid", "hybrids", "hyb", "cross"))
NO_NAME = frozenset(  # what says nothing of the group
    (
        *("?", "unknown", "unlabelled", "unlabeled", "noid", "no", "id", "name", "label", "a", "my"),
        *("orchid", "orchids", "plant", "plants", "seedling", "seedlings", "sp", "spp", "species"),
        *("type", "types", "group", "mini", "miniature", "novelty", "section", "sect", "sec", "syn"),
        *("white", "pink", "yellow", "red", "purple", "orange", "green", "blue", "spotted"),
        *HYBRID,
    )
)
RANKS = frozenset(("var", "v", "f", "fma", "form", "forma", "subsp", "ssp", "cv"))
ASK_FOR_REST = (
    "Its rest is not known: read its label, or ask its seller, for its parents and their rest."
)
OTHER_WAYS = (
    'A hybrid goes by the groups of its parents, as in "nobile x bigibbum"; a plant without a '
    'label is "unknown".'
)


class Understood(Struct, frozen=True, kw_only=True):
    """
    What a word was taken for.

    `note` is a sentence to be shown; empty where the word was the group's own key. `rest_told` is
    False for a plant that may want another rest than the group that it is judged as: a hybrid of
    groups one of which flowers by a rest, and a plant without a label.
    """

    asked: str
    group: Group
    note: str = ""
    rest_told: bool = True


def understand(catalogue: Catalogue, word: str) -> Understood:
    """
    The group that a grower means.

    Raises
    ------
    CatalogueError
        No group has that name, or the plant is in none; near names or groups are offered.
    """
    group = catalogue.by_name.get(_joined(words_of(word.lower())))
    if group is not None:
        return _belonging(word, group)
    reader = _Reader(catalogue=catalogue, names=read_names(), asked=printable(word))
    return reader.read(read_label(word))


def most_tender(groups: Sequence[Group]) -> Group:
    """The group that cold harms first: highest limit, then chill base, floor, lowest dose."""
    return max(
        groups,
        key=lambda group: (
            group.limit_c.best,
            group.chill_base_c.best,
            group.floor_c.best,
            -group.dose_limit_c_h.best,
        ),
    )


class _Reader(Struct, frozen=True, kw_only=True):
    """One name asked for, with what is needed to read it."""

    catalogue: Catalogue
    names: Names
    asked: str

    def read(self, label: Label) -> Understood:
        """A plant or a cross."""
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
            if len(inside) < 2:  # noqa: PLR2004  no cross
                raise
            return self._cross(inside, genus)

    def _joined_with_genus(self, label: Label) -> tuple[tuple[str, ...], ...]:
        """The parents; "Genus x epithet" is one plant, a natural hybrid."""
        parents = label.parents
        if not label.natural or self._split_genus(parents[1])[0]:
            return parents
        genus, rest = self._split_genus(parents[0])
        if genus is None or rest:
            return parents
        is_key = genus.name in self.catalogue.by_name
        if is_key and not _listed_at(self.names.listed[genus.name], _lowered(parents[1])):
            return parents
        return ((*parents[0], *parents[1]), *parents[2:])

    def _cross(self, parents: Sequence[tuple[str, ...]], genus: Genus | None = None) -> Understood:
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
        return _told(self.asked, taken, note, rest_told=told)

    def _check_crossable(self, groups: Sequence[Group]) -> None:
        """A Dendrobium has no hybrids with other genera, so such a name means something else."""
        ours = set(self.catalogue.dendrobiums)
        foreign = self._foreign_keys()
        if any(group in ours for group in groups) and any(g.key in foreign for g in groups):
            self._refuse("a Dendrobium is not crossed with other genera; name its parents anew.")

    def _foreign_keys(self) -> set[str]:
        """Keys of the groups of other genera."""
        own = {group.key for group in self.catalogue.dendrobiums}
        return {genus.group for genus in self.names.genera.values() if genus.group} | {
            listed.group for _, listed in self.names.lists() if listed.group
        } - own

    # One plant ----------------------------------------------------------------------------------

    def _plant(self, words: tuple[str, ...], genus: Genus | None = None) -> Understood:
        """One plant; `genus` is that of the other parents, where it names none."""
        lower = _lowered(words)
        group = self.catalogue.by_name.get(_joined(lower))
        if group is not None:
            return _belonging(self.asked, group)
        own, rest = self._split_genus(words)
        elsewhere = genus is None or not _listed_at(self.names.listed[genus.name], lower)
        if own is None and (genus is None or (elsewhere and _is_listed(self.names, lower))):
            return self._without_genus(lower)
        genus = own or genus
        return self._of_genus(genus, rest, short=bool(own) and len(words[0]) == 1)

    def _split_genus(self, words: tuple[str, ...]) -> tuple[Genus | None, tuple[str, ...]]:
        """The genus that a name begins or ends with, slips mended, and the other words."""
        lower = _lowered(words)
        said = tuple(word for word in lower if word not in NO_NAME)
        for some in (lower, said):
            for count in (2, 1):
                genus = self.names.genera.get(_joined(some[:count]))
                if genus is not None and (len(some[0]) > 1 or len(some) > 1):
                    return genus, words[-len(some) :][count:] if some is lower else some[count:]
        if len(said) > 1 and len(said[-1]) > 1 and said[-1] in self.names.genera:
            return self.names.genera[said[-1]], said[:-1]
        if said and not _is_listed(self.names, said):
            full = [genus.name for genus in self.names.genera.values()]
            slip = _near(said[0], [*full, *(w for w in self.names.genera if len(w) > 6)], NEAR_ENOUGH)
            genera = {self.names.genera[one].name for one in slip}
            if len(genera) == 1:
                return self.names.genera[slip[0]], said[1:]
        return None, words

    def _of_genus(self, genus: Genus, words: tuple[str, ...], *, short: bool) -> Understood:
        """A plant of this genus, by its species, grex or section."""
        words = _before_rank(words)
        said = tuple(word for word in _lowered(words) if word not in NO_NAME)
        hybrid = not HYBRID.isdisjoint(_lowered(words))
        known = self.names.listed[genus.name]
        if not said:
            return self._bare_genus(genus)
        section = self._section(genus, _lowered(words))
        if section is not None:
            return self._hybrid_of(section, "") if hybrid else _belonging(self.asked, section)
        found = _listed_at(known, _lowered(words)) or _listed_at(known, said)
        if found is not None:
            self._check_one(genus, said)
            return self._led(f"{genus.name.capitalize()} {found[0]}", found[1], hybrid=hybrid)
        other = self.names.genera.get(said[0])
        if other is not None and other is not genus:
            return self._two_genera(genus, other)
        slip = self._slip(genus, said)
        if slip is not None:
            return slip
        if genus.group is not None and not self._unlisted_species(genus, words[0], short=short):
            return self._led(genus.name.capitalize(), genus)
        return self._refuse_unknown(genus, said)

    def _unlisted_species(self, genus: Genus, word: str, *, short: bool) -> bool:
        """Whether it is a species of which the group of its genus cannot be said."""
        if short and word[0].islower():
            return True
        return genus.listed_only and LATIN.search(word.lower()) is not None

    def _section(self, genus: Genus, words: tuple[str, ...]) -> Group | None:
        """The group of a Dendrobium that goes by the name of its section or type."""
        if genus.name != "dendrobium":
            return None
        found = (
            self.catalogue.by_name.get(_joined(some))
            for some in (words, tuple(word for word in words if word not in NO_NAME))
        )
        return next((group for group in found if group in self.catalogue.dendrobiums), None)

    def _two_genera(self, genus: Genus, other: Genus) -> Understood:
        """Two genera without a sign between them: one may be what the other's plant looks like."""
        found = self.names.listed[other.name].get(genus.name)
        if found is None:
            self._refuse(
                f"names two genera, {genus.name.capitalize()} and {other.name.capitalize()}. "
                "Give one, or a cross with an x between its parents."
            )
        return self._led(f"{other.name.capitalize()} {genus.name}", found)

    def _check_one(self, genus: Genus, words: tuple[str, ...]) -> None:
        """Refuse a name of two species whose groups differ, as of a cross without its sign."""
        known = self.names.listed[genus.name]
        groups = {known[word].group for word in words if word in known}
        if len(groups) > 1:
            self._refuse("names species of several groups. Write a cross with an x between them.")

    def _slip(self, genus: Genus, words: tuple[str, ...]) -> Understood | None:
        """A name of the same genus but for a letter or two."""
        known = self.names.listed[genus.name]
        near = _near(words[0], known, NEAR_ENOUGH) or _near(_joined(words), known, NEAR_ENOUGH)
        if not near or len({(known[one].group, known[one].nearest) for one in near}) > 1:
            return None
        return self._led(f"{genus.name.capitalize()} {near[0]}", known[near[0]], slip=True)

    def _bare_genus(self, genus: Genus) -> Understood:
        if genus.name == "dendrobium":
            return self._unlabelled(every_orchid=False)
        return self._led(genus.name.capitalize(), genus)

    def _without_genus(self, words: tuple[str, ...]) -> Understood:
        """A species or type without its genus, or a plant without any name."""
        words = _before_rank(words)
        said = tuple(word for word in words if word not in NO_NAME)
        group = self.catalogue.by_name.get(_joined(said))
        if group is not None:
            return _belonging(self.asked, group)
        if not said:
            return self._unlabelled(every_orchid=not {"orchid", "orchids"}.isdisjoint(words))
        found = {
            name: pair
            for name, known in self.names.listed.items()
            if (pair := _listed_at(known, said, gender=False))
            and not (pair[1].grex and "-" not in pair[0])
        }
        if not found:
            return self._near_word(said)
        if len({(one.group, one.nearest) for _, one in found.values()}) > 1:
            named = (
                f"{genus.capitalize()} {name} ({one.group or 'in no group'})"
                for genus, (name, one) in found.items()
            )
            self._refuse(f"several genera have that name: say {' or '.join(named)}.")
        genus, (name, one) = next(iter(found.items()))
        hybrid = not HYBRID.isdisjoint(words)
        return self._led(f"{genus.capitalize()} {name}", one, hybrid=hybrid)

    def _near_word(self, words: tuple[str, ...]) -> Understood:
        """A slip in a key, an alias or a species, if one group alone has a name so near."""
        word = _joined(words)
        groups = {name: group.key for name, group in self.catalogue.by_name.items()}
        for known in self.names.listed.values():
            for name, listed in known.items():
                if listed.group and not listed.grex:
                    groups.setdefault(name, listed.group)
        near = _near(word, groups, NEAR_ENOUGH)
        if len({groups[name] for name in near}) == 1:
            group = self.catalogue.by_name[groups[near[0]]]
            leads = "" if near[0] == group.key else f", which belongs to {group.key}"
            note = f'"{self.asked}" is no name here: taken for {near[0]}{leads}.'
            return Understood(asked=self.asked, group=group, note=note)
        near = near or _near(word, groups, NEAR)
        one_each = {groups[name]: name for name in reversed(near)}
        offer = f"Near: {', '.join(reversed(one_each.values()))}." if near else ""
        listing = offer or f"`suitability groups` lists all. {OTHER_WAYS}"
        return self._refuse(f"no group has this key or alias. {listing}")

    # Answers ------------------------------------------------------------------------------------

    def _led(
        self, plant: str, entry: Genus | Listed, *, hybrid: bool = False, slip: bool = False
    ) -> Understood:
        """Where a listed name or a genus leads."""
        if entry.group is None:
            self._refuse_listed(plant, entry)
        group = self.catalogue.by_name[entry.group]
        why = "; ".join(
            part for part in (entry.note, "from memory" if entry.mark is Mark.MEMORY else "") if part
        )
        because = f" ({why})" if why else ""
        if slip:
            note = f'"{self.asked}" is no name here: taken for {plant}, '
            note += f"which belongs to {group.key}{because}."
        else:
            note = f'"{self.asked}" belongs to the group {group.key}, {group.name}{because}.'
        if hybrid:
            return self._hybrid_of(group, note)
        return Understood(asked=self.asked, group=group, note=note)

    def _hybrid_of(self, group: Group, note: str) -> Understood:
        """A hybrid of which one parent is named: by that one, its rest only if that has hybrids."""
        note = note or _belonging(self.asked, group).note
        if any("hybrid" in name for name in (group.name, *group.aliases)):
            return Understood(asked=self.asked, group=group, note=note)
        note += " Its other parent is not named."
        return _told(self.asked, group, note, rest_told=not _flowers_by_rest(group))

    def _unlabelled(self, *, every_orchid: bool) -> Understood:
        """The most tender group that the plant may belong to."""
        plausible = self.catalogue.groups if every_orchid else self.catalogue.dendrobiums
        taken = most_tender(plausible)
        kind = "orchid" if every_orchid else "Dendrobium"
        note = (
            f'"{self.asked}" names no group: judged as {taken.key}, the most tender {kind} that it '
            "may be; one of the cool mountain groups would suffer from heat instead."
        )
        return _told(self.asked, taken, note, rest_told=False)

    def _refuse(self, why: str) -> NoReturn:
        raise CatalogueError(f'group "{self.asked}": {why}')

    def _refuse_listed(self, plant: str, entry: Genus | Listed) -> NoReturn:
        why = f": {entry.note}" if entry.note else ""
        nearest = f"; nearest in need: {', '.join(entry.nearest)}" if entry.nearest else ""
        self._refuse(f"{plant} is not in the catalogue{why}{nearest}.")

    def _refuse_unknown(self, genus: Genus, words: tuple[str, ...]) -> NoReturn:
        name = genus.name.capitalize()
        if genus.name != "dendrobium" and genus.group is None:
            self._refuse_listed(name, genus)
        near = _near(_joined(words), self.names.listed[genus.name], NEAR)
        offer = f"Near: {', '.join(near)}." if near else OTHER_WAYS
        self._refuse(f"no {name} of that name is listed. {offer}")


def _belonging(word: str, group: Group) -> Understood:
    """A key or alias, and whether it needs saying."""
    if _joined(words_of(word.lower())) == group.key:
        return Understood(asked=word, group=group)
    note = f'"{word}" belongs to the group {group.key}, {group.name}.'
    return Understood(asked=word, group=group, note=note)


def _told(asked: str, group: Group, note: str, *, rest_told: bool) -> Understood:
    """What was understood, asking for the rest where no name tells it."""
    note = note if rest_told else f"{note} {ASK_FOR_REST}"
    return Understood(asked=asked, group=group, note=note, rest_told=rest_told)


def _flowers_by_rest(group: Group) -> bool:
    return group.rest is not None and group.rest.needed is RestNeed.YES


def _joined(words: Iterable[str]) -> str:
    return "-".join(words)


def _before_rank(words: tuple[str, ...]) -> tuple[str, ...]:
    """Without a variety or form, which shares the needs of its species."""
    ranks = (at for at, word in enumerate(words) if word.lower() in RANKS)
    return words[: next(ranks, len(words))]


def _lowered(words: tuple[str, ...]) -> tuple[str, ...]:
    """In lower case, without apostrophes; "victoriae-reginae" is two words."""
    return tuple(word.lower().replace("'", "") for word in words)


def _listed_at(
    known: Mapping[str, Listed], words: tuple[str, ...], *, gender: bool = True
) -> tuple[str, Listed] | None:
    """The longest listed name that the words begin with, whatever its ending of gender."""
    for count in range(min(LONGEST_GREX, len(words)), 0, -1):
        name = _joined(words[:count])
        if name in known:
            return name, known[name]
    stem = ENDING.sub("", words[0]) if words else ""
    if gender and len(stem) >= SHORTEST_SLIP:
        alike = [name for name in known if ENDING.sub("", name) == stem]
        if len({known[name].group for name in alike}) == 1:
            return alike[0], known[alike[0]]
    return None


def _is_listed(names: Names, words: tuple[str, ...]) -> bool:
    return any(_listed_at(known, words, gender=False) for known in names.listed.values())


def _near(word: str, names: Iterable[str], likeness: float) -> list[str]:
    """Up to nine names that are like a word, nearest first, or have its letters in another order."""
    if len(word) < SHORTEST_SLIP:
        return []
    some = list(dict.fromkeys(names))
    swapped = sorted(word)
    near = get_close_matches(word, some, n=9, cutoff=likeness)
    return near or [name for name in some if sorted(name) == swapped]
