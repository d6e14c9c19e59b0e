"""Plans keep their promise in years left out: the compact form of docs/plan.md."""

from __future__ import annotations

from datetime import date

import numpy as np
import pytest
from msgspec.structs import replace

from suitability.advice import planning
from suitability.advice.plan_model import solve_plan

from .plans import FIRST_DAY, GROUPS, house_of, replay

pytestmark = pytest.mark.slow

PROMISE, BAR = 0.9, 0.03  # kept may lie so far under what was promised, as seasons may


def test_plans_are_kept_by_years_left_out() -> None:
    """Whether a pot has one season outdoors or several in turn; the latter are told as promised."""
    found = list(replay("porto_alegre"))
    in_turn = [one for one in found if one.seasons > 1]
    assert len(found) > 100
    assert len(in_turn) > 20
    assert np.mean([one.kept for one in found]) >= PROMISE - BAR
    assert np.mean([one.kept for one in in_turn]) >= PROMISE - BAR
    assert min(one.chance for one in in_turn) >= PROMISE - 1e-9


def test_seasons_in_turn_that_are_not_judged_together_promise_less() -> None:
    """Each of them keeps the promise, and both together do not: the test above can fail."""
    found = [one for one in replay("porto_alegre", together=False) if one.seasons > 1]
    assert min(one.chance for one in found) < PROMISE - 0.05


def test_ways_of_pots_stand_as_the_plan_has_them() -> None:
    """Each in its step, whatever the days on which they are carried."""
    house = house_of("reno")
    solved = solve_plan(house.problem(), np.inf)
    assert (planning._with_ways(house, solved).standing() == solved.standing).all()


def test_weeks_without_a_place_are_no_part_of_a_stay() -> None:
    """A stay that begins the plan and one that ends before it does are not joined into one."""
    house, group = house_of("reno"), GROUPS.index("cymbidium")
    wall = [spot.name for spot in house.spots].index("wall")
    gone = planning.NOWHERE
    summer = (wall, date(2027, 5, 15)), (gone, date(2027, 9, 15))
    begun = ((wall, FIRST_DAY), (gone, date(2027, 1, 9)), *summer)
    alone = ((gone, FIRST_DAY), *summer)

    def chance(way: tuple[tuple[int, date], ...]) -> float:
        told, _ = planning._chance(house, replace(house.pots[group], way=way))
        assert told is not None
        return told

    joined = ((wall, FIRST_DAY), (gone, date(2027, 1, 9)), (wall, date(2027, 5, 15)))
    assert chance(joined) < chance(begun) <= chance(alone)
