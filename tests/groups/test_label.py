"""A label's name in its parts: parents, hybrid sign, what is left out, and what cannot be read."""

from __future__ import annotations

import pytest

from suitability.errors import CatalogueError
from suitability.groups.label import read_label


@pytest.mark.parametrize(
    ("text", "words"),
    [
        ("Den.  bigibbum", "Den bigibbum"),
        ("Den.bigibbum", "Den bigibbum"),
        ("Dendrobium nobile 'Cooksonii' AM/RHS", "Dendrobium nobile"),
        ("Lc. Gold Digger ‘Orglade’s Mandarin’ FCC/AOS", "Lc Gold Digger"),
        ("Phal. Baldan's Kaleidoscope", "Phal Baldan's Kaleidoscope"),
        ("Cym. Kirby Lesh “Chantilly Lace” 4N #2", "Cym Kirby Lesh"),
        ("Dendrobium lineale (blue)", "Dendrobium lineale"),
        ("Dendrobium délicatum", "Dendrobium delicatum"),
        ("Den\u200b nobile\u00a0", "Den nobile"),  # a zero-width space, and one that cannot break
        ("'nobile'", "nobile"),
        ("Dendrobium anosmum x self", "Dendrobium anosmum"),
        ("×Ascocenda", "Ascocenda"),
    ],
)
def test_what_names_no_plant_is_left_out(text: str, words: str) -> None:
    assert read_label(text).parents == (tuple(words.split()),)


@pytest.mark.parametrize(
    ("text", "parents", "natural"),
    [
        ("kingianum x speciosum", ["kingianum", "speciosum"], True),
        ("kingianum X speciosum", ["kingianum", "speciosum"], True),
        ("kingianum×speciosum", ["kingianum", "speciosum"], True),
        ("formosum/infundibulum", ["formosum", "infundibulum"], False),
        ("(kingianum x speciosum) x tetragonum", ["kingianum", "speciosum", "tetragonum"], True),
        ("Den. (nobile x aureum)", ["Den nobile", "aureum"], True),
        ("nobile × ?", ["nobile", "?"], True),
    ],
)
def test_a_cross_is_split_into_its_parents(text: str, parents: list[str], natural: bool) -> None:  # noqa: FBT001
    label = read_label(text)
    assert [" ".join(parent) for parent in label.parents] == parents
    assert label.natural is natural
    assert label.inside == ""


def test_brackets_behind_a_name_are_kept_apart() -> None:
    label = read_label("Den. Bardo Rose (falcorostrum x kingianum)")
    assert label.parents == (("Den", "Bardo", "Rose"),)
    assert label.inside == "falcorostrum x kingianum"


@pytest.mark.parametrize(
    ("text", "why"),
    [
        ("石斛", "no Latin letters"),
        ("D\u0435ndrobium nobile", "letters of another alphabet among Latin ones"),  # Cyrillic e
        ("", "cannot be read"),
        ("!!", "cannot be read"),
        ("12", "cannot be read"),
        ("nobi\x1ble", "cannot be read"),
        ("nobile " * 20, "has 140 characters, a name at most 100"),
    ],
)
def test_what_cannot_be_read_is_said_in_one_sentence(text: str, why: str) -> None:
    with pytest.raises(CatalogueError, match=why) as refused:
        read_label(text)
    assert str(refused.value).isprintable()
    assert len(str(refused.value)) < 200
