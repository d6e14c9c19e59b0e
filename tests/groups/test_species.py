"""The lists of genera and species: in order, with evidence, and read only when asked."""

from __future__ import annotations

import json
import subprocess
import sys
from collections import Counter

import pytest

from suitability.fields import is_key, read_table
from suitability.groups import Mark, read_catalogue
from suitability.groups.reading import OUR_FOLDER
from suitability.groups.species import Genus, Listed, count_by_mark, read_names

CATALOGUE = read_catalogue()
NAMES = read_names()
GENERA = {genus.name: genus for genus in NAMES.genera.values()}
ENTRIES: list[Genus | Listed] = [
    *GENERA.values(),
    *{id(one): one for _, one in NAMES.lists()}.values(),
]


def test_every_list_leads_to_groups_that_there_are() -> None:
    for entry in ENTRIES:
        assert {entry.group, *entry.nearest} - {None} <= set(CATALOGUE.keys), entry
        assert not (entry.group and entry.nearest), entry


def test_every_list_has_mark_and_sources() -> None:
    """What is found names a publication or report; what is not says so."""
    stands_on = {
        Mark.PRACTICE: "common-practice",
        Mark.MEMORY: "memory",
        Mark.REASONED: "reasoned",
    }
    for entry in ENTRIES:
        if entry is GENERA["dendrobium"]:  # leads nowhere by itself
            continue
        assert set(entry.sources) <= set(CATALOGUE.sources), entry
        if entry.mark is Mark.FOUND:
            assert set(entry.sources) - set(stands_on.values()), entry
        else:
            assert entry.mark is not None
            assert stands_on[entry.mark] in entry.sources, entry


def test_no_name_stands_twice() -> None:
    """Neither in two lists of a genus, nor as key or alias of a group, nor as two genera."""
    lists = read_table(OUR_FOLDER / "species.toml")["list"]
    assert isinstance(lists, list)
    names = Counter((one["genus"], name) for one in lists for name in one["names"])
    assert [name for name, count in names.items() if count > 1] == []
    aliases = {alias for group in CATALOGUE.groups for alias in group.aliases}
    assert not aliases & {name for _, name in names}
    assert all(is_key(name) for _, name in names)
    genera = read_table(OUR_FOLDER / "genera.toml")["genus"]
    assert isinstance(genera, list)
    words = Counter(word for one in genera for word in (one["name"], *one.get("short", ())))
    assert [word for word, count in words.items() if count > 1] == []
    assert not aliases & set(words) - {"ceratobium", "dockrillia", "thelychiton"}


def test_the_list_holds_the_dendrobiums_that_are_sold() -> None:
    """At least 250 species and hybrids of Dendrobium lead to a group; every name has its mark."""
    led = [name for name, one in NAMES.listed["dendrobium"].items() if one.group]
    assert len(led) >= 250
    counted = count_by_mark(NAMES, CATALOGUE.keys)
    assert sum(counted.values()) == len([1 for _, one in NAMES.lists() if one.group])
    assert set(counted) == {Mark.FOUND, Mark.PRACTICE, Mark.MEMORY}


@pytest.mark.parametrize(
    ("code", "read"),
    [
        ("ask(record, place)", False),
        ("ask(record, place, ['nobile', 'Den-Phal', 'hard cane'])", False),
        ("ask(record, place, ['D. moniliforme'])", True),
    ],
)
def test_the_lists_are_read_only_for_a_name_that_is_no_key_or_alias(
    code: str, *, read: bool
) -> None:
    """A check of all groups, or of groups by their keys, never opens them."""
    script = f"""
import builtins, io, json, pathlib
opened = []
real = io.open
def watch(file, *rest, **more):
    opened.append(str(file))
    return real(file, *rest, **more)
io.open = watch
from suitability import ask, demo_place, demo_record
record, place = demo_record(), demo_place()
{code}
print(json.dumps(any(name.endswith(("species.toml", "genera.toml")) for name in opened)))
"""
    done = subprocess.run(
        [sys.executable, "-c", script], capture_output=True, text=True, check=True
    )
    assert json.loads(done.stdout) is read
