"""
Which group is meant: keys and aliases here, any other name on a label by `groups.lookup`.

A check of all groups understands no names, and one of groups by their keys reads no lists of them.
"""

from __future__ import annotations

from suitability.groups.reading import Catalogue
from suitability.groups.understood import Understood, belonging


def understand(catalogue: Catalogue, word: str) -> Understood:
    """
    The group that a grower means.

    Raises
    ------
    CatalogueError
        No group has that name, or the plant is in none; near names or groups are offered.
    """
    group = catalogue.get(word)
    if group is not None:
        return belonging(word, group)
    from suitability.groups.lookup import look_up  # noqa: PLC0415  reads the lists of names

    return look_up(catalogue, word)
