"""The invented demo place teaches: every verdict, growth, rest, frost and heat are met there."""

from __future__ import annotations

from collections import Counter
from typing import TYPE_CHECKING

import pytest

import suitability
from suitability.advice.terms import Verdict

if TYPE_CHECKING:
    from suitability.advice.result import Finding

HARD_CANES = ("phalaenanthe", "spatulata")


@pytest.fixture(scope="module")
def found() -> dict[str, Finding]:
    """What a check of the whole catalogue finds at the demo place, by group."""
    question = suitability.ask(suitability.demo_record(), suitability.demo_place())
    return {one.group: one for one in suitability.check(question).results}


def test_every_verdict_is_met_by_several_groups_and_few_are_borderline(
    found: dict[str, Finding],
) -> None:
    """Most live out for a season, and the seasons differ in length."""
    verdicts = Counter(one.verdict for one in found.values())
    assert min(verdicts[one] for one in (Verdict.ALL_YEAR, Verdict.INDOOR)) >= 3
    assert verdicts[Verdict.SEASONAL] > len(found) / 2
    assert sum(one.borderline for one in found.values()) <= 4
    days = [one.season.days for one in found.values() if one.season and one.season.days < 365]
    assert min(days) < 120
    assert max(days) > 345


@pytest.mark.parametrize("key", HARD_CANES)
def test_hard_canes_grow_in_the_middle_of_their_season(found: dict[str, Finding], key: str) -> None:
    """July and August are all but free of hours below the growth floor, and of killing heat."""
    hard_cane = found[key]
    assert hard_cane.verdict == Verdict.SEASONAL
    for below in hard_cane.hours_below.months[6:8]:
        assert below is not None
        assert below < 10
    assert "heat" not in [limit.cause for limit in hard_cane.limiting]


def test_rest_is_met_outdoors_where_a_group_lives_out_all_year(found: dict[str, Finding]) -> None:
    """No group is told to stay out and not to flower; the soft-canes are among them."""
    resting = {
        one.group: (one.rest.met_years or 0) / one.rest.of_years
        for one in found.values()
        if one.verdict == Verdict.ALL_YEAR and one.rest.needed and one.rest.of_years
    }
    assert {"nobile", "dendrocoryne"} <= resting.keys()
    assert min(resting.values()) > 0.5


def test_some_groups_are_kept_in_by_heat_and_some_only_by_winter(
    found: dict[str, Finding],
) -> None:
    """Both ends of the year teach."""
    causes = {key: {limit.cause for limit in one.limiting} for key, one in found.items()}
    indoor = [key for key, one in found.items() if one.verdict == Verdict.INDOOR]
    assert indoor
    assert all("heat" in causes[key] for key in indoor)
    assert "hard-night" in causes["phalaenanthe"]
