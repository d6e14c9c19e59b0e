"""What nobody saw: what looks better for it says so, and "all year" says on what it rests."""

from __future__ import annotations

from functools import cache
from typing import TYPE_CHECKING

import numpy as np
import pytest
from msgspec.structs import replace

from suitability.advice.cases import Rules
from suitability.advice.checking import check_groups
from suitability.advice.preparing import CheckOptions, lay_out
from suitability.advice.terms import Verdict
from suitability.advice.unseen import find_unseen
from suitability.groups import Caution, read_catalogue
from suitability.spots.spot import ROOFED, Heater, Spot
from suitability.weather.record import Origin
from tests.conftest import open_extract

if TYPE_CHECKING:
    from suitability.advice.result import Finding
    from suitability.weather.record import Record
    from tests.advice.conftest import Ask, Group, Prepare
    from tests.conftest import Hourly

pytestmark = pytest.mark.slow

LIMITED = Spot(name="house", roofed=True, heater=Heater(watts=800.0, loss_w_per_k=100.0))
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
    assert ask(record, needs).unseen_nights == 0
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
    assert found.unseen_nights == 6


@pytest.mark.parametrize(
    ("day", "limit"), [(200, 5.0), (60, -2.0)], ids=["in summer", "far above the limit"]
)
def test_lost_nights_that_cannot_matter_are_not_told(
    hourly: Hourly, prepare: Prepare, group: Group, day: int, limit: float
) -> None:
    record = without_days(winters(hourly), [year * 365 + day for year in range(12)])
    case = prepare(record, group(floor_c=5.0, limit_c=limit, chill_base_c=limit))
    assert find_unseen(case, all_year=True).resting == 0


def test_one_lost_night_in_one_year_of_eleven_leaves_the_promise(
    hourly: Hourly, prepare: Prepare, group: Group
) -> None:
    """Ten of eleven are 91 %; the others are too warm to stand for a year that fails."""
    case = prepare(
        without_days(winters(hourly), [5 * 365 + 11]),
        group(floor_c=5.0, chill_base_c=5.5, limit_c=4.5),
    )
    assert find_unseen(case, all_year=True).resting == 0


def test_a_lost_night_is_judged_by_those_beside_it(
    hourly: Hourly, prepare: Prepare, group: Group
) -> None:
    """
    Nights in winter are at 7 °C: 2 above a limit of 5, 4 above one of 3.

    What was lost does not count, nor what other years were like at that date: those of three years
    are lost beside a night of 2.9 above the limit, and of 3.1.
    """
    lost = [year * 365 + year // 4 + 10 for year in (3, 6, 9)]
    record = without_days(winters(hourly), lost)
    beside_c = float(np.nanmin(record.temp_c[(lost[0] - 1) * 24 + 12 :][:24]))
    for above_c, nights in ((2.9, 3), (3.1, 0)):
        limit_c = beside_c - above_c
        case = prepare(record, group(floor_c=5.0, chill_base_c=limit_c, limit_c=limit_c))
        assert find_unseen(case, all_year=True).resting == nights


def test_what_the_record_lost_in_its_cold_is_told_of_every_group(
    hourly: Hourly, ask: Ask, group: Group
) -> None:
    """One night of each of four Januaries, and no other: also of a group that stays indoors."""
    lost = [year * 365 + year // 4 + 12 for year in (2, 4, 6, 8)]
    record = without_days(winters(hourly), lost)
    for needs in (group(), group(floor_c=5.0, limit_c=-9.0, chill_base_c=-9.0), group(limit_c=30)):
        found = ask(record, needs)
        assert found.unseen_nights == 4
        assert ("missing-nights", (1,)) in {(one.cause, one.months) for one in found.limiting}
    assert ask(winters(hourly), group()).unseen_nights == 0


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


def test_what_another_station_filled_is_not_seen(hourly: Hourly, ask: Ask, group: Group) -> None:
    """
    Mild hours of a neighbour hide lost nights no more than gaps do.

    Four nights of January, as cold as those beside them: the answer is the same as without them,
    and marked likewise. A record made for a point is blended throughout, and nothing of it is lost.
    """
    lost = [year * 365 + year // 4 + 12 for year in (2, 4, 6, 8)]
    record = without_days(winters(hourly), lost)
    gaps = np.isnan(record.temp_c)
    filled = replace(
        record,
        temp_c=winters(hourly).temp_c,
        origin=np.where(gaps, Origin.BLENDED, record.origin).astype(np.uint8),
    )
    needs = group(floor_c=5.0, chill_base_c=6.0)
    assert ask(record, needs).unseen_nights == ask(filled, needs).unseen_nights == 4
    everywhere = replace(filled, origin=np.full_like(record.origin, Origin.BLENDED))
    assert ask(everywhere, needs).unseen_nights == 0


def test_a_stored_daily_minimum_judges_a_lost_night(
    hourly: Hourly, prepare: Prepare, group: Group
) -> None:
    """
    Three lost nights beside nights 2 °C above the limit.

    Nothing said, "all year" rests on them; a minimum above limit and chill base tells that they
    were harmless; one below the limit makes them unsafe, by as much as it is below, and nothing
    rests on them any more.
    """
    lost = [year * 365 + year // 4 + 10 for year in (3, 6, 9)]
    record = without_days(winters(hourly), lost)
    needs = group(floor_c=5.0, limit_c=5.0, chill_base_c=6.0)
    for minimum_c, resting, unsafe in ((None, 3, 0), (6.5, 0, 0), (5.5, 3, 0), (2.0, 0, 3)):
        told_c = np.where(
            np.isnan(record.temp_c), np.nan if minimum_c is None else minimum_c, np.nan
        )
        case = prepare(replace(record, lost_minimum_c=told_c), needs)
        assert find_unseen(case, all_year=True).resting == resting
        hard_c = case.shortfall.hard_c
        assert int((hard_c > 0.0).sum()) == unsafe
        assert not unsafe or hard_c.max() == pytest.approx(3.0)


@cache
def findings(name: str, lost: int) -> dict[str, Finding]:
    """All groups under a roof, at a real place that lost its coldest days."""
    record, place = open_extract(name)
    whole = record.temp_c[12 : 12 + (record.temp_c.size - 24) // 24 * 24].reshape(-1, 24)
    coldest = np.argsort(np.where(np.isnan(whole), np.inf, whole).min(axis=1), kind="stable")
    record = without_days(record, coldest[:lost].tolist())
    catalogue = read_catalogue(None)
    needs = [one.needs(Caution.USUAL) for one in catalogue.groups]
    found = check_groups(lay_out(record, place, (ROOFED,), needs, OPTIONS))
    return {finding.group: finding for finding in found.results}


@pytest.mark.parametrize("lost", [1, 3, 27, 110])
@pytest.mark.parametrize("name", ["los_angeles", "porto_alegre"])
def test_a_station_that_lost_its_coldest_nights_never_looks_better_without_a_word(
    name: str, lost: int
) -> None:
    """
    From the very coldest night to 3 % of all; roofed, so that no rain covers for the cold.

    `tests/bench/test_unseen.py` asks it of all records, in several ways.
    """
    before, after = findings(name, 0), findings(name, lost)
    better = [
        key
        for key, one in before.items()
        if after[key].verdict.rank > one.verdict.rank
        or days(after[key]) > days(one)
        or margin_c(after[key]) < margin_c(one)
    ]
    assert better
    assert min(after[key].unseen_nights for key in better) >= lost / 2  # and gaps of its own
    assert not any(one.unseen_nights for one in before.values())


def days(finding: Finding) -> int:
    return 0 if finding.season is None else finding.season.days


def margin_c(finding: Finding) -> float:
    """Infinite where no warming up to 15 K is enough, and where none is asked."""
    return np.inf if finding.margin_c is None else finding.margin_c


@pytest.mark.parametrize(
    ("house", "nights"),
    [
        (Spot(name="house", roofed=True, held_minimum_c=6.5), 0),
        (Spot(name="house", roofed=True, held_minimum_c=5.0), 4),
        (replace(LIMITED, held_minimum_c=6.5), 4),
    ],
    ids=["warm enough", "too cold", "limited"],
)
def test_no_lost_night_is_feared_where_heat_without_limit_keeps_it_warm_enough(
    hourly: Hourly, ask: Ask, group: Group, house: Spot, nights: int
) -> None:
    """Its dose and its wet limit begin at 6 °C."""
    lost = [year * 365 + year // 4 + 12 for year in (2, 4, 6, 8)]
    needs = group(floor_c=5.0, chill_base_c=6.0, limit_wet_c=6.0)
    assert ask(without_days(winters(hourly), lost), needs, spot=house).unseen_nights == nights
