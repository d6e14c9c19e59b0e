"""The page about groups: its examples load, and it knows every field."""

from __future__ import annotations

import re
from calendar import month_name
from pathlib import Path

import pytest

from suitability.groups import Mark, read_catalogue
from suitability.groups.evidence import MARKS
from suitability.groups.group import Weight
from suitability.groups.validation import GROUP_FIELDS, REST_FIELDS

PAGE = Path(__file__).parents[2] / "docs" / "groups.md"
TEXT = PAGE.read_text(encoding="utf-8")
EXAMPLES = re.findall(r"```toml\n(.*?)```", TEXT, re.DOTALL)


@pytest.mark.parametrize("example", EXAMPLES)
def test_examples_load_beside_our_catalogue(tmp_path: Path, example: str) -> None:
    """What the page shows can be pasted into a file."""
    path = tmp_path / "own.toml"
    path.write_text(example, encoding="utf-8")
    assert len(read_catalogue(path).groups) == len(read_catalogue().groups) + 1


def test_shortest_form_means_what_the_page_says(tmp_path: Path) -> None:
    """The wet limit is 3 °C above the dry one and marked reasoned; the rest has no floor."""
    path = tmp_path / "own.toml"
    path.write_text(EXAMPLES[0], encoding="utf-8")
    group = read_catalogue(path).find("my-orchids")
    assert (group.limit_wet_c.best, group.limit_wet_c.mark) == (8, Mark.REASONED)
    assert group.rest_floor_c is None


@pytest.mark.parametrize(
    "field", sorted((GROUP_FIELDS - {"key", "name", "aliases", "rest"}) | REST_FIELDS | set(MARKS))
)
def test_page_explains_every_field(field: str) -> None:
    """A field that can be written is explained."""
    assert f"`{field}`" in TEXT


def test_page_has_the_comfort_mark_of_every_group() -> None:
    """Its table is the catalogue: the mark, the field that holds it, and where that comes from."""
    rows = re.findall(
        r"^\| `([a-z-]+)` \| ([\d.]+) \| `(comfort\w+)`, (\w+) \|", TEXT, re.MULTILINE
    )
    assert [(key, float(mark), field, word) for key, mark, field, word in rows] == [
        (group.key, mark.best, "comfort_c" if group.comfort_c else "comfort_night_c", mark.mark)
        for group in read_catalogue().groups
        for mark in [group.comfort_mark]
        if mark is not None
    ]


def test_page_counts_the_groups() -> None:
    """The number on the page is the number of groups."""
    assert f"{len(read_catalogue().groups)} groups" in TEXT


def test_page_has_what_brings_the_flowers_of_every_group() -> None:
    """Its table is the catalogue: triggers with weight and mark, months, light with its mark."""
    rows = re.findall(
        r"^\| `([a-z-]+)` \| ([^|]+) \| ([^|]+) \| ([\d.]+ to [\d.]+ \(\w+\)) \|$",
        TEXT,
        re.MULTILINE,
    )
    expected = []
    for group in read_catalogue().groups:
        assert group.rest is not None
        assert group.light_klx is not None
        triggers = ", ".join(
            f"{one.what} {'needed' if one.weight is Weight.NEEDED else 'helps'} ({one.mark})"
            for one in group.rest.triggers
        )
        bloom, light = group.bloom, group.light_klx
        months = "-"
        if bloom is not None:
            first, last = (month_name[month] for month in (bloom.first_month, bloom.last_month))
            months = f"{first} to {last}" + (f" ({bloom.told_of})" if bloom.told_of else "")
        wanted = f"{light.low:g} to {light.high:g} ({light.mark})"
        expected.append((group.key, triggers or "-", months, wanted))
    assert rows == expected
