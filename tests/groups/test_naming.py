"""Which group is meant by what a grower types."""

from __future__ import annotations

import csv
from pathlib import Path

import pytest

from suitability.errors import CatalogueError
from suitability.groups import read_catalogue
from suitability.groups.naming import most_tender, understand

CATALOGUE = read_catalogue()


@pytest.mark.parametrize(
    ("word", "key"),
    [
        ("nobile", "nobile"),
        ("den phal", "phalaenanthe"),
        ("Hard-Cane", "phalaenanthe"),
        ("superbum", "anosmum"),
        ("aggregatum", "callista"),
        ("Densiflora", "callista"),
        ("Ceratobium", "spatulata"),
        ("Nigrohirsutae", "formosae"),
        ("Dockrillia", "rhizobium"),
        ("hercoglossum", "stachyobium"),
        ("phal", "phalaenopsis"),
    ],
)
def test_names_and_aliases_of_the_trade(word: str, key: str) -> None:
    """Synonyms as growers use them: common practice, no source."""
    found = understand(CATALOGUE, word)
    assert found.group.key == key
    assert bool(found.note) == (word != key)
    assert found.asked == word


def test_dendrobium_phalaenopsis_is_no_moth_orchid() -> None:
    for word in ("Dendrobium phalaenopsis", "D. phalaenopsis", "den-phalaenopsis"):
        assert understand(CATALOGUE, word).group.key == "phalaenanthe"
    assert understand(CATALOGUE, "phalaenopsis").group.key == "phalaenopsis"


@pytest.mark.parametrize(
    ("word", "key"),
    [("phalaenanthae", "phalaenanthe"), ("calista", "callista"), ("kingianium", "dendrocoryne")],
)
def test_a_slip_is_taken_for_the_one_name_near_it_and_said(word: str, key: str) -> None:
    found = understand(CATALOGUE, word)
    assert found.group.key == key
    assert "taken for" in found.note


def test_a_word_that_is_near_to_nothing_is_refused() -> None:
    with pytest.raises(CatalogueError, match="no group has this key"):
        understand(CATALOGUE, "begonia")


def test_a_genus_with_two_groups_is_refused_and_both_are_offered() -> None:
    """A wrong group would be a wrong answer."""
    with pytest.raises(CatalogueError, match="paphiopedilum") as refused:
        understand(CATALOGUE, "paphiopedilum")
    assert "cool" in str(refused.value)
    assert "warm" in str(refused.value)


@pytest.mark.parametrize(
    ("word", "key"),
    [
        ("nobile x phalaenanthe", "phalaenanthe"),
        ("kingianum × speciosum", "dendrocoryne"),
        ("formosum/infundibulum", "formosae"),
        ("nobile × ?", "latouria"),
    ],
)
def test_a_hybrid_is_as_tender_as_its_most_tender_parent(word: str, key: str) -> None:
    found = understand(CATALOGUE, word)
    assert found.group.key == key
    assert "most tender parent" in found.note


@pytest.mark.parametrize(
    ("word", "told"),
    [
        ("phalaenanthe", True),
        ("phalaenanthe x nobile", False),  # the one rests for its flowers, the other does not
        ("phalaenanthe x spatulata", True),  # neither does
        ("kingianum × speciosum", True),  # both are of one group
        ("nobile × ?", False),
        ("unknown", False),
        ("orchid", False),
    ],
)
def test_the_rest_of_a_hybrid_is_told_only_where_its_parents_agree(
    word: str, *, told: bool
) -> None:
    """What it is not known from its name is said, with what to do."""
    found = understand(CATALOGUE, word)
    assert found.rest_told is told
    assert ("read its label" in found.note) is not told


def test_a_plant_without_a_label_is_judged_as_the_most_tender_that_it_may_be() -> None:
    """No Dendrobium of the catalogue has a higher limit, and none as high a higher base."""
    found = understand(CATALOGUE, "unlabelled hybrid")
    assert found.group == most_tender(CATALOGUE.dendrobiums)
    assert "most tender Dendrobium" in found.note
    for group in CATALOGUE.dendrobiums:
        assert group.limit_c.best <= found.group.limit_c.best
    assert len(CATALOGUE.dendrobiums) == 17
    assert understand(CATALOGUE, "orchid").group == most_tender(CATALOGUE.groups)


def typed_twice() -> list[tuple[str, str]]:
    """Species and their groups, as they were typed a second time."""
    file = Path(__file__).with_name("species_typed_twice.csv")
    lines = [line for line in file.read_text("utf-8").splitlines() if not line.startswith("#")]
    return [(row["species"], row["group"]) for row in csv.DictReader(lines)]


def test_every_species_leads_to_its_own_group() -> None:
    """None was lost from the catalogue, and none stands in another section's group."""
    found = {
        species: understand(CATALOGUE, f"Dendrobium {species}").group.key
        for species, _ in typed_twice()
    }
    assert found == dict(typed_twice())
    groups = {group for _, group in typed_twice()}
    assert groups == {one.key for one in CATALOGUE.groups if one.key in groups}
    assert len(groups) == 17
