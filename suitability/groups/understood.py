"""What a name was taken for, and who is the most tender of several groups."""

from __future__ import annotations

from collections.abc import Sequence

from msgspec import Struct

from suitability.groups.group import Group
from suitability.groups.reading import key_of

ASK_FOR_REST = (
    "Its rest is not known: read its label, or ask its seller, for its parents and their rest."
)
REST_NOT_KNOWN = "its rest is not known"


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


def belonging(word: str, group: Group) -> Understood:
    """A key or alias, and whether it needs saying."""
    if key_of(word) == group.key:
        return Understood(asked=word, group=group)
    note = f'"{word}" belongs to the group {group.key}, {group.name}.'
    return Understood(asked=word, group=group, note=note)


def taken_for(
    asked: str, group: Group, note: str, caveat: str, *, rest_told: bool = True
) -> Understood:
    """What was understood, asking for the rest where no name tells it."""
    if not rest_told:
        note, caveat = f"{note} {ASK_FOR_REST}", f"{caveat}; {REST_NOT_KNOWN}"
    return Understood(asked=asked, group=group, note=note, caveat=caveat, rest_told=rest_told)
