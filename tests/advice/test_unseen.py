"""What nobody saw: an "all year" that rests on nights not observed says so."""

from __future__ import annotations

from functools import cache
from typing import TYPE_CHECKING

import numpy as np
import pytest
from msgspec.structs import replace

from suitability.advice.cases import Rules
from suitability.advice.checking import check_groups
from suitability.advice.preparing import CheckOptions
from suitability.advice.reasons import rests_on_unseen
from suitability.advice.terms import Verdict
from suitability.groups import Caution, read_catalogue
from suitability.spots.spot import ROOFED
from tests.conftest import open_extract

if TYPE_CHECKING:
    from suitability.advice.result import Finding
    from suitability.weather.record import Record
    from tests.advice.conftest import Ask, Group, Prepare
    from tests.conftest import Hourly

OPTIONS = CheckOptions(rules=Rules(), minimum_allowance_c=0.3)


def without_days(record: Record, days: list[int]) -> Record:
    """The record with whole days, noon to noon from so many days after its start, lost."""
    temp_c, origin = record.temp_c.copy(), record.origin.copy()
    for day in days:
        hours = slice(day * 24 + 12, day * 24 + 36)
        temp_c[hours], origin[hours] = np.nan, 0
    return replace(record, temp_c=temp_c, origin=origin)


def winters(hourly: Hourly) -> Record:
    """Twelve years with winter nights at 7 °C, two above the limit, and summer nights at 19 °C."""
    return hourly(years=12, mean_c=15.0, year_c=6.0, day_c=2.0)


def test_two_lost_winter_nights_in_three_of_eleven_years_are_told(
    hourly: Hourly, ask: Ask, group: Group
) -> None:
    """Eight of eleven whole plant years are sure; a promise of 90 % asks for more."""
    record = winters(hourly)
    needs = group(floor_c=5.0, chill_base_c=6.0)
    assert ask(record, needs).verdict is Verdict.ALL_YEAR
    assert ask(record, needs).reason is None
    assert ask(record, needs).limiting == ()
    lost = [year * 365 + year // 4 + day for year in (3, 6, 9) for day in (10, 40)]
    found = ask(without_days(record, lost), needs)
    assert found.verdict is Verdict.ALL_YEAR
    assert found.reason is not None
    assert found.reason.code == "rests-on-unseen-nights"
    assert dict(found.reason.numbers) == {"nights_unseen": 6, "years_with_unseen": 3}
    assert found.reason.text == (
        "6 nights that may have been unsafe were not observed (January and February); had they "
        "been, the whole year would not be promised."
    )
    assert [(one.cause, one.months) for one in found.limiting] == [("missing-nights", (1, 2))]


@pytest.mark.parametrize(
    ("day", "limit"), [(200, 5.0), (10, -2.0)], ids=["in summer", "far above the limit"]
)
def test_lost_nights_that_cannot_matter_are_not_told(
    hourly: Hourly, prepare: Prepare, group: Group, day: int, limit: float
) -> None:
    record = without_days(winters(hourly), [year * 365 + day for year in range(12)])
    case = prepare(record, group(floor_c=5.0, limit_c=limit, chill_base_c=limit))
    assert rests_on_unseen(case) is None


def test_one_lost_night_in_one_year_of_eleven_leaves_the_promise(
    hourly: Hourly, prepare: Prepare, group: Group
) -> None:
    """Ten of eleven are 91 %; the others are too warm to stand for a year that fails."""
    case = prepare(
        without_days(winters(hourly), [5 * 365 + 11]),
        group(floor_c=5.0, chill_base_c=5.5, limit_c=4.5),
    )
    assert rests_on_unseen(case) is None


def test_lost_hot_days_count_for_a_group_that_heat_excludes(
    hourly: Hourly, ask: Ask, group: Group
) -> None:
    """Summer days reach 23 °C, a degree below the ceiling."""
    needs = group(floor_c=5.0, chill_base_c=6.0, heat_limited=True, ceiling_c=24.0)
    lost = [year * 365 + day for year in (3, 6, 9) for day in (195, 205)]
    found = ask(without_days(winters(hourly), lost), needs)
    assert found.verdict is Verdict.ALL_YEAR
    assert found.reason is not None
    assert found.reason.text.startswith("6 nights or hot days that may have been unsafe were not")


@cache
def findings(name: str, lost: int) -> dict[str, Finding]:
    """All groups under a roof, at a real place that lost its coldest days."""
    record, place = open_extract(name)
    whole = record.temp_c[12 : 12 + (record.temp_c.size - 24) // 24 * 24].reshape(-1, 24)
    coldest = np.argsort(np.where(np.isnan(whole), np.inf, whole).min(axis=1), kind="stable")
    record = without_days(record, coldest[:lost].tolist())
    catalogue = read_catalogue(None)
    needs = [one.needs(Caution.USUAL) for one in catalogue.groups]
    found = check_groups(record, place, (ROOFED,), needs, OPTIONS)
    return {finding.group: finding for finding in found.results}


@pytest.mark.parametrize("name", ["los_angeles", "porto_alegre"])
def test_a_station_that_lost_its_coldest_nights_never_says_all_year_as_if_it_knew(
    name: str,
) -> None:
    """27 nights, coverage above 98 %: what became better says on what it rests."""
    before, after = findings(name, 0), findings(name, 27)
    better = [key for key in before if after[key].verdict.rank > before[key].verdict.rank]
    for key in better:
        assert "missing-nights" in {one.cause for one in after[key].limiting}, key
    close = [key for key, one in before.items() if 0.0 <= (one.headroom_c or -1.0) < 1.0]
    told = [key for key in close if after[key].verdict is Verdict.ALL_YEAR]
    assert better or told
    assert all(after[key].reason is not None for key in told)
