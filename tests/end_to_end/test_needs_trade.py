"""
What the trade knows of growth, rest and flowers, on real records, as a check says it.

Every row is common practice, no source: what growers of a region see. The records are described in
`tests/data/README.md`.
"""

from __future__ import annotations

from functools import cache
from typing import TYPE_CHECKING, Any

import numpy as np
import pytest
from msgspec.structs import replace

from suitability.advice.cases import Rules
from suitability.advice.plant_state import Subject
from suitability.advice.preparing import CheckOptions, lay_out
from suitability.advice.profiling import make_profiles, profile_needs
from suitability.advice.terms import Verdict
from suitability.answers.profile import profile_rows
from suitability.groups import Caution, read_catalogue
from suitability.spots.spot import OPEN_AIR, ROOFED
from suitability.units import TemperatureUnit
from suitability.weather.sampling import find_allowance

if TYPE_CHECKING:
    from collections.abc import Callable

    from suitability.advice.profile import Profile
    from suitability.places import Place
    from suitability.weather.record import Record
    from tests.conftest import Hourly

    Look = Callable[[str, str, bool, Caution], Profile]

CATALOGUE = read_catalogue()
OPTIONS = CheckOptions(rules=Rules())

# record, group, roofed, question, expected word or range
TABLE: list[tuple[str, str, bool, str, Any]] = [
    ("los_angeles", "nobile", False, "survives", "all-year"),
    ("los_angeles", "nobile", False, "flowers", "can"),
    ("los_angeles", "nobile", False, "rest met, share of years", (0.85, 1.0)),
    ("los_angeles", "nobile", False, "hours below the floor", (1000, 2500)),
    ("los_angeles", "phalaenanthe", False, "survives", "in-season"),
    ("los_angeles", "phalaenanthe", True, "fails first by", "dose"),
    ("los_angeles", "phalaenanthe", False, "fails first on", ("10-15", "12-15")),
    ("los_angeles", "callista", True, "years free of unsafe nights, share", (7 / 9, 1.0)),
    ("los_angeles", "callista", True, "rest at least partly, share of years", (0.51, 1.0)),
    ("los_angeles", "phalaenanthe", False, "heat", "little"),
    ("nashville", "nobile", False, "flowers", "after-cool-room"),
    ("nashville", "nobile", False, "rest met, share of years", (0.0, 0.5)),
    ("manaus", "nobile", False, "survives", "all-year"),
    ("manaus", "nobile", False, "flowers", "hardly"),
    ("manaus", "nobile", False, "rest met, share of years", (0.0, 0.0)),
    ("manaus", "cymbidium", False, "flowers", "hardly"),
    ("dallas", "formosae", False, "heat", "expect-damage"),
    ("dallas", "phalaenanthe", False, "survives", "in-season"),
    ("lansing", "phalaenanthe", False, "survives", "indoors-only"),
    ("porto_alegre", "nobile", True, "survives", "all-year"),
    ("porto_alegre", "nobile", False, "flowers", "shyly"),
    ("porto_alegre", "nobile", True, "flowers", "can"),
    ("lansing", "cymbidium", False, "flowers", "can"),
    ("manaus", "anosmum", True, "flowers", "can"),
    ("los_angeles", "latouria", False, "flowers", "can"),
]


@pytest.fixture(scope="module")
def look(extract: Callable[[str], tuple[Record, Place]]) -> Look:
    """Profile of a group at a place, worked out once."""

    @cache
    def find(name: str, group: str, roofed: bool, caution: Caution) -> Profile:  # noqa: FBT001
        subject = Subject(group=CATALOGUE.find(group), caution=caution)
        spot = ROOFED if roofed else OPEN_AIR
        record, place = extract(name)
        options = replace(OPTIONS, minimum_allowance_c=find_allowance(record, None)[0])
        return make_profiles(
            lay_out(record, place, (spot,), (), options, also=profile_needs([subject])),
            spot,
            [subject],
        )[0]

    return find


def answer(profile: Profile, question: str) -> Any:
    """What the profile says."""
    year, cold = profile, profile.fails_first
    assert cold is not None
    if question == "hours below the floor":
        return profile.ranges[-1].hours_colder
    if question == "heat":
        assert year.heat is not None
        return year.heat.word.value
    if question.startswith("fails first"):
        return cold.usual_date if question.endswith("on") else cold.causes[0].cause
    if question.startswith("years free"):
        return 1.0 - cold.failing_years / cold.of_years
    if question.startswith("rest"):
        assert year.rest is not None
        met = year.rest.met_years + ("partly" in question) * year.rest.partly_years
        return met / year.rest.of_years
    return getattr(year, question).value


@pytest.mark.parametrize(
    ("name", "group", "roofed", "question", "expected"),
    TABLE,
    ids=[f"{row[0]}-{row[1]}-{row[3].replace(' ', '-')}" for row in TABLE],
)
def test_a_fact_of_the_trade(
    *, look: Look, name: str, group: str, roofed: bool, question: str, expected: Any
) -> None:
    """Common practice, no source."""
    found = answer(look(name, group, roofed, Caution.USUAL), question)
    if isinstance(expected, tuple):
        assert expected[0] <= found <= expected[1]
    else:
        assert found == expected


def test_with_high_caution_the_season_of_hard_canes_is_shorter(look: Look) -> None:
    """Nights under 18 °C count as cold: the season lies inside May to early November."""
    for roofed in (False, True):
        low, usual, high = look("los_angeles", "phalaenanthe", roofed, Caution.USUAL).by_caution
        assert low.season is not None
        assert usual.season is not None
        assert usual.season.days < low.season.days
        assert high.season is None or high.season.days < usual.season.days
        assert high.season is None or "05-01" <= high.season.out < high.season.inn <= "11-10"
    assert high.verdict is Verdict.SEASONAL  # roofed


def test_rain_makes_some_years_of_nobile_worse_in_porto_alegre(look: Look) -> None:
    """Unroofed more years fail than roofed, because of cold nights in a wet pot."""
    wet, dry = (
        look("porto_alegre", "nobile", roofed, Caution.USUAL).fails_first
        for roofed in (False, True)
    )
    assert wet is not None
    assert dry is not None
    assert wet.failing_years > dry.failing_years
    assert {one.cause for one in wet.causes} & {"wet-cold", "dose"}


def test_a_plant_that_never_meets_its_floor_does_not_rest_all_year(hourly: Hourly) -> None:
    """
    An even 14 °C is above the rest floor of hard-canes (13 °C) and below their growth floor (15).

    Three to four weeks of it are a rest; a whole year of it is no life. Common practice, no source.
    """
    from suitability.places import Place

    record = hourly(np.full(12 * 8766, 14.0))
    place = Place(name="invented", latitude=35.0, longitude=0.0)
    subject = Subject(group=CATALOGUE.find("phalaenanthe"))
    found = make_profiles(
        lay_out(record, place, (ROOFED,), (), OPTIONS, also=profile_needs([subject])),
        ROOFED,
        [subject],
    )[0]
    assert found.by_caution[1].verdict is Verdict.INDOOR
    assert found.survives.value == "all-year"
    assert found.grows.value == "hardly"


def test_the_short_line_names_the_heat_that_the_verdict_does_not_count(look: Look) -> None:
    """Latouria lives in Manaus, 800 hours a year above its ceiling."""
    rows = dict(profile_rows(look("manaus", "latouria", False, Caution.USUAL), TemperatureUnit.C))
    assert rows["In short"].endswith("; expect heat damage")
    assert rows["Heat"].startswith("expect heat damage")
    rows = dict(
        profile_rows(look("los_angeles", "nobile", False, Caution.USUAL), TemperatureUnit.C)
    )
    assert "heat" not in rows["In short"]


def test_a_rest_seldom_met_has_no_usual_date(look: Look) -> None:
    """Nobile in the rain of Porto Alegre; Callista under a roof at Los Angeles has one."""
    rows = dict(
        profile_rows(look("porto_alegre", "nobile", False, Caution.USUAL), TemperatureUnit.C)
    )
    assert "where met, complete by" in rows["Rests"]
    assert "usual year, " not in rows["Rests"].partition("still wanting")[0].partition("latest")[0]
    callista = look("los_angeles", "callista", True, Caution.USUAL)
    told = dict(profile_rows(callista, TemperatureUnit.C))["Rests"]
    assert told.startswith("yes, in most years: cool and dry enough outdoors in 9 of 9 years; ")
    assert "complete by 15 December in a usual year" in told
