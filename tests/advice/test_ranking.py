"""What suits a place: good days and their parts, ranks, and what the trade knows of five places."""

from __future__ import annotations

from collections.abc import Callable

import pytest
from hypothesis import given
from hypothesis import strategies as st

from suitability.advice.ranking import FLOWERS, HEAT, rank_findings, weigh
from suitability.advice.result import CheckResult, Finding
from suitability.advice.terms import Flowers, HeatWord, Verdict
from suitability.climate.days import DAYS, day_of_year
from suitability.places import Place
from suitability.weather.record import Record
from tests.output import examples

Extract = Callable[[str], tuple[Record, Place]]
Parts = tuple[Verdict, int, int, Flowers, HeatWord, float]
PLACES = ["los_angeles", "porto_alegre", "manaus", "lansing", "guangzhou"]


def found(parts: Parts) -> Finding:
    verdict, days, at_ease, flowers, heat, warmer_c = parts
    ranking = weigh(days, at_ease, flowers, heat, warmer_c=warmer_c)
    return examples.seasonal(verdict=verdict, ranking=ranking)


@pytest.mark.parametrize(
    ("parts", "good_days"),
    [
        ((365, 365, Flowers.CAN, HeatWord.LITTLE), 365),
        ((365, 215, Flowers.CAN, HeatWord.LITTLE), 290),  # (365 + 215) / 2
        ((200, 0, Flowers.CAN, HeatWord.LITTLE), 100),  # a day out that is not at ease: half
        ((200, 200, Flowers.AFTER_COOL_ROOM, HeatWord.LITTLE), 150),
        ((200, 200, Flowers.SHYLY, HeatWord.AT_TIMES), 112),  # 112.5, to the even number
        ((200, 200, Flowers.HARDLY, HeatWord.LITTLE), 50),
        ((200, 200, Flowers.HARDLY, HeatWord.EXPECT_DAMAGE), 12),
        ((200, 200, Flowers.UNKNOWN, HeatWord.IF_DRY), 75),
        ((200, 200, Flowers.CAN, None), 100),  # without a ceiling heat is not known
        ((0, 0, Flowers.CAN, HeatWord.LITTLE), 0),
    ],
)
def test_good_days_are_half_out_and_half_at_ease_times_two_shares(
    parts: tuple[int, int, Flowers, HeatWord | None], good_days: int
) -> None:
    assert weigh(*parts, warmer_c=0.0).good_days == good_days


def test_every_word_has_its_share() -> None:
    assert set(FLOWERS) == set(Flowers)
    assert set(HEAT) == set(HeatWord)


PARTS = st.tuples(
    st.sampled_from(list(Verdict)),
    st.integers(0, DAYS),
    st.integers(0, DAYS),
    st.sampled_from(list(Flowers)),
    st.sampled_from(list(HeatWord)),
    st.floats(0.0, 20.0),
)


def not_worse(one: Parts, other: Parts) -> bool:
    """Whether a group is as good as another in every part, or better."""
    return (
        one[0].rank >= other[0].rank
        and one[1] >= other[1]
        and one[2] >= other[2]
        and FLOWERS[one[3]] >= FLOWERS[other[3]]
        and HEAT[one[4]] >= HEAT[other[4]]
        and one[5] <= other[5]
    )


@given(st.lists(PARTS, min_size=1, max_size=8), st.data())
def test_who_is_better_in_every_part_never_ranks_lower(
    some: list[Parts], data: st.DataObject
) -> None:
    """With one that is made better in every part than another; the best has rank 1."""
    verdict, days, at_ease, _, _, warmer_c = data.draw(st.sampled_from(some))
    best = max(Verdict, key=lambda one: one.rank) if data.draw(st.booleans()) else verdict
    more = data.draw(st.integers(0, 50))
    better = (best, min(DAYS, days + more), min(DAYS, at_ease + more))
    some = [*some, (*better, Flowers.CAN, HeatWord.LITTLE, warmer_c / 2)]
    ranked = [one.ranking.rank for one in rank_findings([found(parts) for parts in some])]
    assert min(ranked) == 1
    for one, rank in zip(some, ranked, strict=True):
        for other, behind in zip(some, ranked, strict=True):
            assert not not_worse(one, other) or rank <= behind


def test_equal_groups_share_a_rank_and_the_next_one_is_counted_behind_them() -> None:
    even = (Verdict.SEASONAL, 200, 100, Flowers.CAN, HeatWord.LITTLE, 1.0)
    worse = (Verdict.SEASONAL, 199, 90, Flowers.CAN, HeatWord.LITTLE, 1.0)
    warmer = (Verdict.SEASONAL, 200, 100, Flowers.CAN, HeatWord.LITTLE, 1.5)
    ranked = rank_findings([found(parts) for parts in (worse, even, warmer, even)])
    assert [one.ranking.rank for one in ranked] == [4, 1, 3, 1]


def test_the_verdict_goes_before_the_good_days() -> None:
    """A group that lives outdoors all year is not behind one that is carried."""
    lives = (Verdict.ALL_YEAR, 365, 100, Flowers.HARDLY, HeatWord.AT_TIMES, 1.0)
    carried = (Verdict.SEASONAL, 300, 300, Flowers.CAN, HeatWord.LITTLE, 0.0)
    ranked = rank_findings([found(carried), found(lives)])
    assert [one.ranking.rank for one in ranked] == [2, 1]


# On real records ----------------------------------------------------------------------------------


def ranks(result: CheckResult) -> dict[str, int]:
    return {one.group: one.ranking.rank for one in result.results}


def inside(day: int, first: str, stop: str) -> bool:
    """Whether a day of the year lies in a stretch, that of its end not included."""
    length = (day_of_year(stop) - day_of_year(first)) % DAYS or DAYS
    return (day - day_of_year(first)) % DAYS < length


@pytest.mark.parametrize("name", PLACES)
def test_days_at_ease_are_comfortable_ones_out(
    checked: Callable[[str], CheckResult], name: str
) -> None:
    """
    Of a group without a rest: those of the season that lie in the comfortable one.

    Both are told elsewhere. More may be at ease only where the year has a second comfortable
    stretch; of a group with a rest, where the days of its period are at ease too.
    """
    for finding in checked(name).results:
        ranking, season, comfort = finding.ranking, finding.season, finding.comfort_season
        assert ranking.days_at_ease <= ranking.days_out
        if season is None or finding.verdict is Verdict.INDOOR:
            assert ranking.days_out == ranking.good_days == 0
            continue
        assert ranking.days_out == (DAYS if finding.nearly_all_year else season.days)
        both = [
            day
            for day in range(DAYS)
            if (finding.nearly_all_year or inside(day, season.out, season.inn))
            and comfort is not None
            and inside(day, comfort.out, comfort.inn)
        ]
        more = ranking.days_at_ease - len(both)
        assert 0 <= more <= (200 if finding.cool_rest else 10)


# place, groups, the best and the worst rank that each of them may have of 28
TRADE = [
    ("los_angeles", ("dendrocoryne", "laelia-anceps", "nobile", "cymbidium"), 1, 4),
    ("los_angeles", ("cattleya",), 5, 10),
    ("los_angeles", ("oxyglossum", "victoriae-reginae"), 25, 28),
    ("porto_alegre", ("nobile", "dendrocoryne", "laelia-anceps"), 1, 6),
    ("porto_alegre", ("cattleya",), 1, 10),
    ("porto_alegre", ("masdevallia", "oxyglossum"), 25, 28),
    ("manaus", ("phalaenanthe", "spatulata", "vanda"), 1, 5),
    ("manaus", ("phalaenopsis", "aporum", "pedilonum"), 1, 12),
    ("manaus", ("nobile", "dendrocoryne", "cymbidium", "formosae"), 13, 28),
    ("manaus", ("masdevallia", "oxyglossum", "coelogyne-cool"), 25, 28),
    ("lansing", ("laelia-anceps", "dendrocoryne", "cymbidium"), 1, 5),
    ("lansing", ("phalaenanthe", "phalaenopsis", "vanda", "masdevallia"), 10, 28),
    ("guangzhou", ("nobile",), 1, 3),
    ("guangzhou", ("phalaenanthe", "vanda"), 4, 10),
    ("guangzhou", ("formosae", "latouria", "masdevallia"), 18, 28),
]


@pytest.mark.parametrize(("name", "groups", "best", "worst"), TRADE)
def test_the_order_is_that_of_the_trade(
    checked: Callable[[str], CheckResult],
    name: str,
    groups: tuple[str, ...],
    best: int,
    worst: int,
) -> None:
    """
    Common practice, no source: what growers of a region choose first, and what they leave.

    Rock orchids, Mexican laelias, soft-canes and cymbidiums in gardens of southern California;
    soft-canes on street trees of southern Brazil, cattleyas of its own woods; hard-canes and
    vandas in the tropics, where soft-canes grow and hardly flower; nothing outdoors all year in
    Michigan.
    """
    found = ranks(checked(name))
    assert all(best <= found[group] <= worst for group in groups), found


def test_nothing_lives_outdoors_all_year_in_michigan(
    checked: Callable[[str], CheckResult],
) -> None:
    """Common practice, no source. What stays indoors is told apart by its room, not by ranks."""
    result = checked("lansing")
    assert Verdict.ALL_YEAR not in {one.verdict for one in result.results}
    kept_in = [one for one in result.results if one.verdict is Verdict.INDOOR]
    assert len({one.ranking.rank for one in kept_in}) == 1
