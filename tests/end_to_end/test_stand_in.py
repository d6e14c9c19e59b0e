"""
The group that stands in for a plant without a label is a safe one at real places.

The most tender plausible group is chosen (`docs/decisions.md`); this holds the choice against the
season of every other group whose season heat does not end. The records are described in
`tests/data/README.md`.
"""

from __future__ import annotations

from typing import TYPE_CHECKING

import pytest

import suitability
from suitability.advice.cases import Rules
from suitability.advice.checking import check_groups
from suitability.advice.preparing import CheckOptions, lay_out
from suitability.advice.terms import Flowers, Verdict
from suitability.groups import read_catalogue
from suitability.groups.lookup import STAND_IN
from suitability.spots.spot import OPEN_AIR, ROOFED
from tests.conftest import open_extract

if TYPE_CHECKING:
    from suitability.advice.result import Finding

CATALOGUE = read_catalogue()
GROUPS = [group for group in CATALOGUE.groups if not group.heat_limited]
DENDROBIUMS = {group.key for group in CATALOGUE.dendrobiums}
PLACES = (
    *("los_angeles", "dallas", "lansing", "denver", "reno", "nashville", "st_louis"),
    *("porto_alegre", "falsterbo", "guangzhou", "manaus"),
)


def days_out(finding: Finding) -> int:
    """Days a year outdoors."""
    if finding.verdict is Verdict.ALL_YEAR:
        return 365
    return 0 if finding.season is None else finding.season.days


@pytest.mark.slow
@pytest.mark.parametrize("name", PLACES)
def test_no_group_has_a_much_shorter_season(name: str) -> None:
    """Three days among Dendrobium; two weeks of mottled Paphiopedilum among all orchids."""
    needs = [group.needs() for group in GROUPS]
    options = CheckOptions(rules=Rules())
    result = check_groups(lay_out(*open_extract(name), (OPEN_AIR, ROOFED), needs, options))
    for spot in (OPEN_AIR.name, ROOFED.name):
        days = {f.group: days_out(f) for f in result.results if f.spot == spot}
        for key in DENDROBIUMS & set(days):
            assert days[STAND_IN] <= days[key] + 3, key
        shorter = {key for key in days if days[key] < days[STAND_IN] - 3}
        assert shorter <= {"paphiopedilum-warm"}
        assert all(days[STAND_IN] - days[key] <= 14 for key in shorter)


def test_it_promises_no_flowers_and_says_what_it_is() -> None:
    """At Guangzhou, where many a Dendrobium flowers: common practice, no source."""
    question = suitability.ask(
        *open_extract("guangzhou"), groups=["unknown", "unknown orchid", "nobile"]
    )
    *unlabelled, nobile = suitability.check(question).results
    assert nobile.flowers is not Flowers.UNKNOWN
    for finding in unlabelled:
        assert finding.flowers is Flowers.UNKNOWN
        assert "stand-in for a plant without a label" in finding.caveat
        assert "promises no flowers" in finding.caveat
