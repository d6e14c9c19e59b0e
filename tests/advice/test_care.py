"""Water, feed and signs of each phase, from the catalogue's words."""

from __future__ import annotations

import pytest

from suitability.advice.growth_runs import tend
from suitability.advice.growth_year import Phase
from suitability.groups import read_catalogue
from suitability.groups.words import Words, read_words

CATALOGUE = read_catalogue()
WORDS = read_words(CATALOGUE)


@pytest.mark.parametrize("key", CATALOGUE.keys)
@pytest.mark.parametrize("phase", list(Phase))
def test_every_group_is_told_something_in_every_phase(key: str, phase: Phase) -> None:
    """No empty text, and nothing that the catalogue does not say."""
    for before_rest in (True, False):
        told = tend(phase, CATALOGUE.find(key), WORDS[key], before_rest=before_rest)
        for text in (told.water, told.feed, told.look_for):
            assert text.strip()
            assert "not said" not in text


def test_growth_and_rest_are_the_catalogue_s_own_words() -> None:
    """Nothing is added to them."""
    group, words = CATALOGUE.find("nobile"), WORDS["nobile"]
    growing = tend(Phase.GROWING, group, words, before_rest=False)
    resting = tend(Phase.RESTING, group, words, before_rest=False)
    assert (growing.water, growing.feed) == (words.water_growth, words.feed_growth)
    assert (resting.water, resting.feed) == (words.water_rest, words.feed_rest)


def test_leaves_that_fall_in_a_rest_alarm_only_where_they_should_stay() -> None:
    """Nobile is semi-deciduous, Callista keeps its leaves."""
    signs = {
        key: tend(Phase.RESTING, CATALOGUE.find(key), WORDS[key], before_rest=False).look_for
        for key in ("nobile", "callista")
    }
    assert "no harm" in signs["nobile"]
    assert "leaves stay" in signs["callista"]


def test_a_pause_is_not_a_rest() -> None:
    """Groups with a rest get less, not as little; others what the catalogue says for the cool."""
    latouria, vanda = (
        tend(Phase.SLOWING, CATALOGUE.find(key), WORDS[key], before_rest=False)
        for key in ("latouria", "vanda")
    )
    assert latouria.water.startswith("less than in growth; at the coolest: little water")
    assert vanda.water == WORDS["vanda"].water_rest


def test_a_taper_leads_to_the_rest() -> None:
    """Water and feed become less, and end where the rest begins."""
    told = tend(Phase.SLOWING, CATALOGUE.find("nobile"), WORDS["nobile"], before_rest=True)
    assert told.water.startswith("less each week")
    assert WORDS["nobile"].water_rest in told.water
    assert told.feed.endswith("no feed")


def test_full_water_waits_for_roots_after_a_dry_rest() -> None:
    """Nobile rests dry, Cymbidium does not."""
    dry, moist = (
        tend(Phase.WAKING, CATALOGUE.find(key), WORDS[key], before_rest=False)
        for key in ("nobile", "cymbidium")
    )
    assert "only once roots show" in dry.water
    assert "does harm" in dry.look_for
    assert "only" not in moist.water


def test_what_a_file_leaves_out_is_said_to_be_left_out() -> None:
    """A group of one's own without words."""
    told = tend(Phase.GROWING, CATALOGUE.find("nobile"), Words(), before_rest=False)
    assert told.water == told.feed == "not said in its catalogue"
