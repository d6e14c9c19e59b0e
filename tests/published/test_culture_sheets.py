"""
The triggers of flowers, and their months, against published culture sheets and trials.

`culture_sheets.csv` names each source, what it says, and what the catalogue is held to by it.
"""

from __future__ import annotations

import csv
from pathlib import Path

import pytest

from suitability.advice.resting import flower_need_of
from suitability.climate.rest_need import room_nights
from suitability.groups import read_catalogue

CATALOGUE = read_catalogue()
LINES = Path(__file__).with_name("culture_sheets.csv").read_text(encoding="utf-8").splitlines()
SHEETS = list(csv.DictReader(line for line in LINES if not line.startswith("#")))


def of(ask: str) -> list[object]:
    """The rows that ask one thing."""
    return [
        pytest.param(row, id=f"{row['group']}-{row['value']}-{row['source'][:20]}")
        for row in SHEETS
        if row["ask"] == ask
    ]


def test_every_row_asks_something() -> None:
    assert {row["ask"] for row in SHEETS} == {"night", "nights", "dry", "month"}
    assert all(row["source"] and row["says"] for row in SHEETS)


@pytest.mark.parametrize("row", of("night"))
def test_a_night_that_a_sheet_names_counts(row: dict[str, str]) -> None:
    """Both ends of our band are in it; a room of that temperature brings flowers, or does not."""
    need = flower_need_of(CATALOGUE.find(row["group"]).needs())
    assert need is not None
    temp_c, counts = float(row["value"]), row["counts"] == "yes"
    assert (need.low_c <= temp_c <= need.full_high_c) is counts
    assert (room_nights(need, temp_c) is not None) is counts


@pytest.mark.parametrize("row", of("nights"))
def test_no_more_nights_are_asked_for_than_a_sheet_names(row: dict[str, str]) -> None:
    need = flower_need_of(CATALOGUE.find(row["group"]).needs())
    assert need is not None
    assert 14 <= need.full_nights <= float(row["value"])


@pytest.mark.parametrize("row", of("dry"))
def test_dryness_weighs_as_a_sheet_has_it(row: dict[str, str]) -> None:
    """Needed: without a drought no flowers. Helps: without it fewer. No: rain does not matter."""
    need = flower_need_of(CATALOGUE.find(row["group"]).needs())
    weight = "no"
    if need is not None and need.wants_dry:
        weight = "helps" if need.dry_helps else "needed"
    assert weight == row["value"]


@pytest.mark.parametrize("row", of("month"))
def test_it_blooms_in_a_month_that_a_source_names(row: dict[str, str]) -> None:
    bloom = CATALOGUE.find(row["group"]).bloom
    assert bloom is not None
    first, last = bloom.months_at(float(row["latitude"]))
    months = {(first - 1 + step) % 12 + 1 for step in range((last - first) % 12 + 1)}
    assert int(row["value"]) in months


def test_every_source_of_the_months_is_held_to() -> None:
    """A group with months has a row here, or names the reports that it goes by."""
    held = {row["group"] for row in SHEETS if row["ask"] == "month"}
    told = {group.key for group in CATALOGUE.groups if group.bloom is not None}
    assert told - held == {
        *("victoriae-reginae", "pedilonum", "oxyglossum", "rhizobium", "zygopetalum"),
    }
