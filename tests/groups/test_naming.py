"""Which group is meant by what a grower types."""

from __future__ import annotations

import csv
from pathlib import Path

import pytest
from msgspec.structs import replace

from suitability.errors import CatalogueError
from suitability.groups import read_catalogue
from suitability.groups.naming import understand
from suitability.groups.species import read_names

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
    """What is hardly like it is not offered, but the other ways to say what a plant is."""
    for word in ("begonia", "victoria", "Black Cat", "foo bar"):
        with pytest.raises(CatalogueError, match="no group has this key") as refused:
            understand(CATALOGUE, word)
        assert "Near" not in str(refused.value)
        assert '"nobile x bigibbum"' in str(refused.value)
        assert 'a plant without a label is "unknown"' in str(refused.value)
    for word in ("nobile x bigibbum", "unknown"):
        assert understand(CATALOGUE, word).group in CATALOGUE.groups


def test_near_names_alone_are_offered_where_there_are_some() -> None:
    with pytest.raises(CatalogueError, match=r"Near: moniliforme\.$"):
        understand(CATALOGUE, "Den. moniliferum")


@pytest.mark.parametrize(
    "word",
    [
        "Dendrobium sinuatum",  # Aporum; two letters from signatum
        "Dendrobium lamellatum",  # Pedilonum; trilamellatum is an antelope
        "Dendrobium imbricatum",  # fimbriatum has other needs
        "Dendrochilum cobbianum",  # not a Dendrobium
        "Dockrillia convoluta",  # Dendrobium convolutum is a Latouria
        "V. planifolia",  # Vanilla, not Vanda
        "C. cristata",  # Coelogyne, not Cattleya
        "C. Cristata",
        "E. mariae",  # Epidendrum or Encyclia
        "Encyclia mariae",  # grows cool
        "Paraphalaenopsis laycockii",  # no Phalaenopsis
        "pot plant",
    ],
)
def test_no_name_is_taken_for_one_of_another_plant(word: str) -> None:
    """From memory; a wrong group is a wrong answer."""
    with pytest.raises(CatalogueError):
        understand(CATALOGUE, word)


def test_a_genus_with_two_groups_is_refused_and_both_are_offered() -> None:
    """A wrong group would be a wrong answer."""
    with pytest.raises(CatalogueError, match="paphiopedilum") as refused:
        understand(CATALOGUE, "paphiopedilum")
    assert "cool" in str(refused.value)
    assert "warm" in str(refused.value)


@pytest.mark.parametrize(
    ("word", "why"),
    [
        ("Lycaste skinneri", "Lycaste is not in the catalogue; nearest in need: zygopetalum."),
        ("Anguloa clowesii", "Anguloa is not in the catalogue; nearest in need: zygopetalum."),
        ("Odm. crispum", "Odontoglossum is not in the catalogue: it grows cool and heat harms it"),
        ("Cattleya coccinea", "cool-growing Sophronitis type, which heat harms; nearest in need"),
        ("Milt. Lyceana", "no Miltonia of that name is listed"),
        ("Dendrobium crumenatum", "its section is in no group; nearest in need: aporum."),
        ("sect. Dendrobium", "three groups; nearest in need: nobile, pendulous, anosmum."),
        ("Bulbophyllum lobbii", "Bulbophyllum is not in the catalogue."),
        ("bellatulum", "say Dendrobium bellatulum (formosae) or Paphiopedilum bellatulum"),
        ("Oncidium Cattleya", "names two genera, Oncidium and Cattleya."),
        ("Dendrobium nobile bigibbum", "Write a cross with an x between them."),
        ("nobile x phal", "a Dendrobium is not crossed with other genera"),
        ("x", "names nothing"),
    ],
)
def test_a_plant_that_is_in_no_group_is_refused_by_name(word: str, why: str) -> None:
    with pytest.raises(CatalogueError) as refused:
        understand(CATALOGUE, word)
    assert str(refused.value).startswith(f'group "{word}": ')
    assert why in str(refused.value)


@pytest.mark.parametrize(
    ("short", "genus"),
    [
        *(("Den", "dendrobium"), ("Phal", "phalaenopsis"), ("Catt", "cattleya"), ("C", "cattleya")),
        *(("Cym", "cymbidium"), ("Onc", "oncidium"), ("Paph", "paphiopedilum"), ("V", "vanda")),
        *(("Blc", "cattleya"), ("Rlc", "cattleya"), ("Bc", "cattleya"), ("Epi", "epidendrum")),
        *(("Enc", "encyclia"), ("Milt", "miltonia"), ("Odm", "odontoglossum"), ("L", "laelia")),
    ],
)
def test_abbreviations_of_the_trade(short: str, genus: str) -> None:
    """Common practice, no source."""
    assert read_names().genera[short.lower()].name == genus


@pytest.mark.parametrize(
    ("section", "key"),
    [
        *(("Latourea", "latouria"), ("Latouria", "latouria"), ("Ceratobium", "spatulata")),
        *(("Spatulata", "spatulata"), ("Nigrohirsutae", "formosae"), ("Formosae", "formosae")),
        *(("Callista", "callista"), ("Densiflora", "callista"), ("Dendrocoryne", "dendrocoryne")),
        *(("Thelychiton", "dendrocoryne"), ("Rhizobium", "rhizobium"), ("Aporum", "aporum")),
        *(("Breviflores", "stachyobium"), ("Holochrysa", "pendulous"), ("Pedilonum", "pedilonum")),
    ],
)
def test_old_and_new_names_of_sections(section: str, key: str) -> None:
    """From memory; with and without the genus."""
    for word in (section, f"Dendrobium sect. {section}", f"section {section}"):
        assert understand(CATALOGUE, word).group.key == key


def test_a_natural_hybrid_is_no_cross() -> None:
    """A hybrid sign between a genus and one epithet; between two names it is a cross."""
    for word in ("Dendrobium x delicatum", "Den. × delicatum", "x delicatum"):
        found = understand(CATALOGUE, word)
        assert found.group.key == "dendrocoryne"
        assert "parent" not in found.note
    assert "most tender parent" in understand(CATALOGUE, "Den. delicatum x nobile").note


def test_the_genus_of_one_parent_is_that_of_the_others() -> None:
    """Dendrobium phalaenopsis beside a Dendrobium, the moth orchid beside one of its own."""
    for word in ("Den. nobile x phalaenopsis", "Den. aphyllum x primulinum"):
        assert understand(CATALOGUE, word).group in CATALOGUE.dendrobiums
    assert understand(CATALOGUE, "Phal. equestris x amabilis").group.key == "phalaenopsis"


def test_the_parents_in_brackets_count_where_the_name_is_not_listed() -> None:
    found = understand(CATALOGUE, "Den. Nobody's Darling (nobile x bigibbum)")
    assert found.group.key == "phalaenanthe"
    listed = understand(CATALOGUE, "Den. Bardo Rose (falcorostrum x kingianum)")
    assert "parent" not in listed.note


def test_a_hybrid_of_which_one_parent_is_named_goes_by_that_one() -> None:
    """Its rest is told only where the group is one of hybrids anyway, or needs none."""
    for word, told in (
        ("nobile hybrid", True),
        ("kingianum hybrid", False),
        ("latouria hyb.", True),
    ):
        assert understand(CATALOGUE, word).rest_told is told
    assert "other parent is not named" in understand(CATALOGUE, "Den. kingianum hybrid").note


def test_a_name_from_memory_says_so() -> None:
    """The mark of a listed name that is not found stands in its note."""
    assert "from memory" in understand(CATALOGUE, "Den. moniliforme").note
    assert "memory" not in understand(CATALOGUE, "Den. formosum").note


@pytest.mark.parametrize(
    ("word", "key"),
    [
        ("nobile x phalaenanthe", "phalaenanthe"),
        ("kingianum × speciosum", "dendrocoryne"),
        ("formosum/infundibulum", "formosae"),
        ("nobile × ?", "spatulata"),
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
        ("unknown orchid", False),
    ],
)
def test_the_rest_of_a_hybrid_is_told_only_where_its_parents_agree(
    word: str, *, told: bool
) -> None:
    """What it is not known from its name is said, with what to do."""
    found = understand(CATALOGUE, word)
    assert found.rest_told is told
    assert ("read its label" in found.note) is not told


def test_a_stand_in_for_a_plant_without_a_label_asks_for_no_less_than_others() -> None:
    """
    No group has a higher floor, chill base or wet limit, or a lower dose; dry limits by 1 °C.

    The three Dendrobium groups with a dry limit 1 °C higher (from memory) are seldom sold without
    a label. How long each is out at real places is compared in `tests/end_to_end`.
    """
    found = understand(CATALOGUE, "unlabelled hybrid")
    assert found.group.key == "spatulata"
    assert "stands in for it, the most tender Dendrobium that is commonly sold" in found.note
    assert "No flowers are promised" in found.note
    assert len(CATALOGUE.dendrobiums) == 17
    for group in CATALOGUE.groups:
        assert group.floor_c.best <= found.group.floor_c.best
        assert group.chill_base_c.best <= found.group.chill_base_c.best
        assert group.limit_wet_c.best <= found.group.limit_wet_c.best
        assert group.limit_c.best <= found.group.limit_c.best + 1.0
        assert group.dose_limit_c_h.best >= found.group.dose_limit_c_h.best
    assert understand(CATALOGUE, "unknown orchid").group == found.group


@pytest.mark.parametrize("word", ["orchid", "My orchids", "plant", "purple orchid", "species"])
def test_a_word_for_any_orchid_is_asked_back(word: str) -> None:
    """With every group that it may be of; who does not know more can say so."""
    with pytest.raises(CatalogueError) as refused:
        understand(CATALOGUE, word)
    told = str(refused.value)
    assert told.startswith(f'group "{word}": may be of any group; say which')
    assert all(f" {key}," in told or f" {key}. " in told for key in CATALOGUE.keys)
    assert told.endswith('A plant without a label is "unknown".')


def test_what_is_only_guessed_promises_neither_flowers_nor_that_heat_is_stood() -> None:
    """Great heat does not trouble Spatulata; of a plant without a label that is not known."""
    group = understand(CATALOGUE, "spatulata").group
    assert group.needs().heat_hardy
    guessed = replace(group, rest_told=False).needs()
    assert (guessed.heat_hardy, guessed.rest_told) == (False, False)


def typed_twice() -> list[tuple[str, str]]:
    """Species and their groups, as they were typed a second time."""
    file = Path(__file__).with_name("species_typed_twice.csv")
    lines = [line for line in file.read_text("utf-8").splitlines() if not line.startswith("#")]
    return [(row["species"], row["group"]) for row in csv.DictReader(lines)]


@pytest.mark.parametrize(
    ("word", "caveat"),
    [
        ("nobile", ""),
        ("den-phal", ""),
        (
            "nobile x aggregatum",
            "hybrid nobile x aggregatum: judged by its tenderer parent, callista",
        ),
        ("nobile x soft-cane", ""),  # both lead to one group
        (
            "unknown",
            (
                "a stand-in for a plant without a label: spatulata, the most tender Dendrobium "
                "that is commonly sold; promises no flowers"
            ),
        ),
    ],
)
def test_a_guess_has_a_caveat_in_few_words(word: str, caveat: str) -> None:
    told = f"{caveat}; its rest is not known" if caveat else ""
    assert understand(CATALOGUE, word).caveat == told


@pytest.mark.parametrize(
    ("file", "count", "share"),
    [
        ("names_as_typed.csv", 324, 0.99),
        ("names_at_shows.csv", 386, 0.90),
        ("names_typed_anew.csv", 298, 0.98),
    ],
)
def test_no_name_that_growers_type_leads_to_a_wrong_group(
    file: str, count: int, share: float
) -> None:
    """None is wrong, and the share that is right, or rightly refused, is as was measured."""
    lines = Path(__file__).with_name(file).read_text("utf-8").splitlines()
    names = [line.split("|") for line in lines if not line.startswith("#")][1:]
    wrong, right = [], 0
    for name, group in names:
        try:
            found = understand(CATALOGUE, name).group.key
        except CatalogueError:
            found = "-"
        right += found == group
        if found not in (group, "-"):
            wrong.append((name, group, found))
    assert wrong == []
    assert len(names) == count
    assert right >= share * count


@pytest.mark.parametrize(
    ("word", "key"),
    [
        ("Den. Snowflake", "nobile"),
        ("Den. Mini Snowflake", "latouria"),  # aberrans x johnsoniae
        ("Den. Pink Snowflake", None),  # perhaps another hybrid still
        ("Den. Snowflake pink", "nobile"),
        ("white nobile", "nobile"),  # of a species a colour is no part of the name
    ],
)
def test_a_hybrid_whose_name_begins_otherwise_is_another_one(word: str, key: str | None) -> None:
    if key is None:
        with pytest.raises(CatalogueError, match="no Dendrobium of that name is listed"):
            understand(CATALOGUE, word)
    else:
        assert understand(CATALOGUE, word).group.key == key


@pytest.mark.parametrize(
    ("word", "said"),
    [
        ("Phalaenopsis lowi", "Phalaenopsis lowii is not in the catalogue"),
        ("Cattleya cerlua", "Cattleya cernua, which is near, is not judged as its genus is"),
        ("Vanda alcata", "Vanda falcata, which is near"),
        ("Miltoniopsis phalaenopsis", "Miltoniopsis is not in the catalogue: it grows cool"),
        ("Vuylstekeara Cambria", "it grows cool and heat harms it"),
    ],
)
def test_what_may_be_a_plant_of_other_needs_is_not_judged_by_its_genus(
    word: str, said: str
) -> None:
    with pytest.raises(CatalogueError, match=said):
        understand(CATALOGUE, word)


def test_a_name_that_only_its_genus_tells_says_so() -> None:
    assert "belongs, by its genus alone, to" in understand(CATALOGUE, "Cattleya Foobarara").note
    assert "alone" not in understand(CATALOGUE, "Cattleya labiata").note


def test_a_cross_without_its_other_parent_is_a_hybrid() -> None:
    found = understand(CATALOGUE, "Den. kingianum x")
    assert found.group.key == "dendrocoryne"
    assert "Its other parent is not named." in found.note
    assert not found.rest_told


@pytest.mark.parametrize(
    ("word", "key"),
    [
        ("Vappodes bigibba", "phalaenanthe"),
        ("Vappodes phalaenopsis", "phalaenanthe"),
        ("Durabaculum undulatum", "spatulata"),
        ("Aporum anceps", "aporum"),
        ("Oxystophyllum atropurpureum", "oxystophyllum"),
        ("Tropilis aemula", "dendrocoryne"),
        ("Coelandria smillieae", "pedilonum"),
    ],
)
def test_genera_that_some_make_of_sections_lead_to_them(word: str, key: str) -> None:
    assert understand(CATALOGUE, word).group.key == key


def test_a_species_that_differs_from_its_group_carries_its_caveat() -> None:
    """Mountain species of Formosae, by altitudes and culture that are published."""
    for word in ("Den. infundibulum", "christyanum", "Dendrobium infundibulm"):
        found = understand(CATALOGUE, word)
        assert found.group.key == "formosae"
        assert "a mountain species, which heat harms sooner" in found.caveat
        assert "a mountain species" in found.note
    assert understand(CATALOGUE, "Den. cruentum").caveat == ""


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
