"""
Which group is meant: keys, aliases, slips of the pen, hybrids, and plants without a label.

A hybrid takes the needs of its most tender parent, a plant without a label those of the most tender
group that it may belong to; what was taken is always said. A slip is taken for a name only where
one group alone is that near: a wrong group is a wrong answer.
"""

from __future__ import annotations

import re
from collections.abc import Sequence

from msgspec import Struct

from suitability.errors import CatalogueError
from suitability.groups.group import Group, RestNeed
from suitability.groups.reading import Catalogue

__all__ = ["Understood", "most_tender", "understand"]

NEAR_ENOUGH = 0.86  # likeness of a slip to the name it is taken for: two letters of fourteen
UNLABELLED = frozenset(
    (
        *("?", "unknown", "unlabelled", "unlabeled", "no-label", "hybrid", "unknown-hybrid"),
        *("unlabelled-hybrid", "unlabeled-hybrid", "dendrobium", "dendrobiums"),
        *("unknown-dendrobium", "unlabelled-dendrobium", "unlabeled-dendrobium"),
        *("dendrobium-hybrid", "dendrobium-unknown"),
    )
)
ANY_ORCHID = frozenset(("orchid", "orchids", "unknown-orchid", "unlabelled-orchid"))
ASK_FOR_REST = (
    "Its rest is not known: read its label, or ask its seller, for its parents and their rest."
)
OTHER_WAYS = (
    'A hybrid goes by the groups of its parents, as in "nobile x bigibbum"; a plant without a '
    'label is "unknown".'
)
REST_NOT_KNOWN = "its rest is not known"
CROSS = re.compile(r"\s+[xX]\s+|\s*[×/+]\s*")  # noqa: RUF001  the multiplication sign of hybrids


class Understood(Struct, frozen=True, kw_only=True):
    """
    What a word was taken for.

    `note` is a sentence to be shown; empty where the word was the group's own key. `caveat` is the
    same in a few words, where the group is only a guess at what the plant is. `rest_told` is
    False for a plant that may want another rest than the group that it is judged as: a hybrid of
    groups one of which flowers by a rest, and a plant without a label.
    """

    asked: str
    group: Group
    note: str = ""
    caveat: str = ""
    rest_told: bool = True


def understand(catalogue: Catalogue, word: str) -> Understood:
    """
    The group that a grower means.

    Raises
    ------
    CatalogueError
        No group has that name; near names are offered, or other ways to say what it is.
    """
    parents = [part for part in CROSS.split(word.strip()) if part]
    if len(parents) > 1:
        return _hybrid(catalogue, word, parents)
    name = "-".join(word.lower().replace("_", " ").replace(".", " ").replace("-", " ").split())
    if name in UNLABELLED or name in ANY_ORCHID:
        return _unlabelled(catalogue, word, every_orchid=name in ANY_ORCHID)
    try:
        group = catalogue.find(word)
    except CatalogueError as refused:
        near = catalogue.near_names(word, cutoff=NEAR_ENOUGH)
        if len(near) != 1:
            if catalogue.near_names(word):
                raise
            raise CatalogueError(f"{refused} {OTHER_WAYS}") from refused
        group = catalogue.by_name[near[0]]
        leads = "" if near[0] == group.key else f", which belongs to {group.key}"
        note = f'"{word}" is no name here: taken for {near[0]}{leads}.'
        caveat = f'no group is called "{word}": taken for {near[0]}'
        return Understood(asked=word, group=group, note=note, caveat=caveat)
    note = "" if name == group.key else f'"{word}" belongs to the group {group.key}, {group.name}.'
    return Understood(asked=word, group=group, note=note)


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


def _hybrid(catalogue: Catalogue, word: str, parents: Sequence[str]) -> Understood:
    """The most tender parent; the others may tire in heat, or ask for a rest, before it."""
    understood = [understand(catalogue, parent) for parent in parents]
    groups = [parent.group for parent in understood]
    taken = most_tender(groups)
    others = dict.fromkeys(group.key for group in groups if group.key != taken.key)
    note = f'"{word}" is judged as {taken.key}, its most tender parent.'
    if others:
        note += f" How much of {' and '.join(others)} is in it, in heat and in rest, no name tells."
    told = all(parent.rest_told for parent in understood)
    told = told and not (others and any(map(_flowers_by_rest, groups)))
    if not told:
        note += f" {ASK_FOR_REST}"
    caveat = ""
    if others or not told:
        tender = "tenderer" if len(groups) == 2 else "most tender"
        caveat = f"hybrid {word.strip()}: judged by its {tender} parent, {taken.key}"
        caveat += "" if told else f"; {REST_NOT_KNOWN}"
    return Understood(asked=word, group=taken, note=note, caveat=caveat, rest_told=told)


def _flowers_by_rest(group: Group) -> bool:
    return group.rest is not None and group.rest.needed is RestNeed.YES


def _unlabelled(catalogue: Catalogue, word: str, *, every_orchid: bool) -> Understood:
    """The most tender group that the plant may belong to."""
    plausible = catalogue.groups if every_orchid else catalogue.dendrobiums
    taken = most_tender(plausible)
    kind = "orchid" if every_orchid else "Dendrobium"
    note = (
        f'"{word}" names no group: judged as {taken.key}, the most tender {kind} that it may be; '
        f"one of the cool mountain groups would suffer from heat instead. {ASK_FOR_REST}"
    )
    caveat = (
        f"no group is told: judged as {taken.key}, the most tender {kind} that it may be; "
        f"{REST_NOT_KNOWN}"
    )
    return Understood(asked=word, group=taken, note=note, caveat=caveat, rest_told=False)
