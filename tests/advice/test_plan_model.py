"""The model of a plan against every plan that there is, on problems so small that all are tried."""

from __future__ import annotations

from itertools import product

import numpy as np
import pytest
from hypothesis import given, settings
from hypothesis import strategies as st
from msgspec.structs import replace

from suitability.advice import plan_model
from suitability.advice.plan_model import Problem, Solution, has_room, least_change, solve_plan

pytestmark = pytest.mark.slow

STEPS, SPOTS = 3, 2
NONE = SPOTS  # the index of "no place"


@st.composite
def problems(draw: st.DrawFn) -> Problem:
    """Up to three single pots, two spots, three steps."""
    pots = draw(st.integers(1, 3))
    cells = (pots, SPOTS, STEPS)
    number = int(np.prod(cells))
    allowed = draw(st.lists(st.booleans(), min_size=number, max_size=number))
    lost = draw(st.lists(st.integers(0, 7), min_size=number, max_size=number))
    start = draw(st.lists(st.sampled_from([None, 0, 1]), min_size=pots, max_size=pots))
    wide = draw(st.lists(st.sampled_from([1.0, 2.0]), min_size=pots, max_size=pots))
    room = draw(st.lists(st.sampled_from([1.0, 2.0, 3.0]), min_size=SPOTS, max_size=SPOTS))
    most = draw(st.lists(st.sampled_from([0.0, 1.0, np.inf]), min_size=STEPS, max_size=STEPS))
    return Problem(
        pots=np.ones(pots, np.int64),
        start=np.array([[one == spot for spot in range(SPOTS)] for one in start], np.int64),
        ring=np.array([one is None for one in start]),
        allowed=np.array(allowed).reshape(cells),
        discomfort=np.array(lost, np.float64).reshape(cells),
        nights=np.full(STEPS, 7),
        size=np.array([wide]),
        room=np.array([room]),
        most_moved=np.array(most),
        move_nights=5.0,
    )


def worth(problem: Problem, ways: tuple[tuple[int, ...], ...]) -> tuple[int, float, float] | None:
    """Nights without a place, pots moved against a wish, cost; None if room or a night forbids."""
    short, cost = 0, 0.0
    moved = np.zeros(STEPS)
    for step in range(STEPS):
        used = np.zeros(SPOTS)
        for pot, way in enumerate(ways):
            spot = way[step]
            if spot == NONE:
                short += 7
                continue
            if not problem.allowed[pot, spot, step]:
                return None
            used[spot] += problem.size[0, pot]
            cost += problem.discomfort[pot, spot, step]
            known = step > 0 or problem.ring[pot]
            before = way[step - 1] if known else int(problem.start[pot].argmax())
            moved[step] += spot != before
        if (used > problem.room[0]).any():
            return None
    against = np.maximum(moved - problem.most_moved, 0.0).sum()
    return short, float(against), cost + 5.0 * float(moved.sum())


def is_best(problem: Problem, solved: Solution) -> None:
    """Nothing, if no plan has fewer nights without a place, moves against wishes, or less cost."""
    each = list(product(range(SPOTS + 1), repeat=STEPS))
    every = (worth(problem, ways) for ways in product(each, repeat=problem.pots.size))
    best = min(one for one in every if one is not None)
    assert (solved.short_nights, solved.against_wishes) == best[:2]
    assert best[2] - 1e-6 <= solved.cost <= best[2] * 1.01 + 1e-6
    ways = tuple(
        tuple(
            int(solved.standing[pot, :, step].argmax()) if not solved.short[pot, step] else NONE
            for step in range(STEPS)
        )
        for pot in range(problem.pots.size)
    )
    found = worth(problem, ways)
    assert found is not None
    assert found == pytest.approx((*best[:2], solved.cost))


@settings(max_examples=25, deadline=None)
@given(problems())
def test_no_plan_is_better(problem: Problem) -> None:
    """Least nights without a place, then fewest moves against wishes, then the least cost."""
    is_best(problem, solve_plan(problem))


@settings(max_examples=25, deadline=None)
@given(problems())
def test_a_plan_kept_near_another_is_as_good(problem: Problem) -> None:
    """One that was made where pots may stand anywhere and no move weighs breaks all rules."""
    anywhere = replace(problem, allowed=np.ones_like(problem.allowed), move_nights=0.0)
    is_best(problem, solve_plan(problem, near=solve_plan(anywhere).standing))


def test_little_is_changed_where_one_pot_may_no_longer_stand() -> None:
    """Of two spots that are alike either would do: all others stand as they stood."""
    cells = (4, 2, 6)
    problem = Problem(
        pots=np.full(4, 2),
        start=np.tile([1, 1], (4, 1)),
        ring=np.zeros(4, np.bool_),
        allowed=np.ones(cells, np.bool_),
        discomfort=np.zeros(cells),
        nights=np.full(6, 7),
        size=np.ones((1, 4)),
        room=np.array([[5.0, 5.0]]),
        most_moved=np.full(6, np.inf),
        move_nights=0.0,
    )
    near = np.ones(cells, np.int64)
    near[:3, :, 3:] = [[[0], [2]], [[2], [0]], [[1], [1]]]
    allowed = problem.allowed.copy()
    allowed[3, 0, 4] = False
    solved = solve_plan(replace(problem, allowed=allowed), np.inf, near)
    assert solved.short_nights == 0
    assert (solved.standing[3, :, 4] == [0, 2]).all()
    assert (solved.standing[:3] == near[:3]).all()


def test_a_long_run_of_the_simplex_method_is_ended_otherwise(
    monkeypatch: pytest.MonkeyPatch,
) -> None:
    """Whoever solves it, the least in parts of pots is the same."""
    problem = replace(two_spots(room=1.5), size=np.array([[0.7]]))
    usual = solve_plan(problem)
    monkeypatch.setattr(plan_model, "PIVOTS", 0)
    assert solve_plan(problem).cost == usual.cost


def two_spots(*, room: float, pots: int = 3) -> Problem:
    """Pots that may stand in a warm room of limited size at all times, outdoors in step 1 alone."""
    allowed = np.array([[[True, True, True], [False, True, False]]])
    return Problem(
        pots=np.array([pots]),
        start=np.array([[pots, 0]]),
        ring=np.array([False]),
        allowed=allowed,
        discomfort=np.array([[[7.0, 7.0, 7.0], [0.0, 0.0, 0.0]]]),
        nights=np.full(3, 7),
        size=np.ones((1, 1)),
        room=np.array([[room, np.inf]]),
        most_moved=np.full(3, np.inf),
        move_nights=3.0,
    )


def test_moving_is_worth_it_only_beyond_its_own_cost() -> None:
    """Out and in cost 6 a pot and gain 7; a dearer move gains nothing."""
    assert solve_plan(two_spots(room=3.0)).cost == 3 * (7 + 7 + 6)
    dearer = replace(two_spots(room=3.0), move_nights=4.0)
    assert solve_plan(dearer).cost == 3 * 21


def test_the_least_change_is_found_by_planning_anew() -> None:
    """With room for one of three pots: two have no place in two steps, two more would do."""
    problem = two_spots(room=1.0)
    assert solve_plan(problem).short_nights == 2 * 2 * 7
    more = least_change(problem, more_room=0)
    fewer = least_change(problem, give_up=np.ones(1))
    assert more is not None
    assert fewer is not None
    assert (more.tolist(), fewer.tolist()) == ([2, 0], [2])
    nowhere = replace(problem, allowed=np.zeros_like(problem.allowed))
    assert least_change(nowhere, more_room=0) is None
    assert [has_room(one) for one in (two_spots(room=3.0), problem, nowhere)] == [
        True,
        False,
        False,
    ]


@settings(max_examples=15, deadline=None)
@given(st.lists(st.integers(0, 9), min_size=16, max_size=16))
def test_a_plain_assignment_is_whole_without_being_asked(lost: list[int]) -> None:
    """Room for one pot each: the rows are totally unimodular, so the relaxed plan proves itself."""
    cost = np.array(lost, np.float64).reshape(4, 4)
    problem = Problem(
        pots=np.ones(4, np.int64),
        start=np.zeros((4, 4), np.int64),
        ring=np.ones(4, np.bool_),
        allowed=np.ones((4, 4, 2), np.bool_),
        discomfort=np.repeat(cost[:, :, None], 2, axis=2),
        nights=np.full(2, 7),
        size=np.ones((1, 4)),
        room=np.ones((1, 4)),
        most_moved=np.full(2, np.inf),
        move_nights=100.0,
    )
    solved = solve_plan(problem)
    from scipy.optimize import linear_sum_assignment

    rows, columns = linear_sum_assignment(cost)
    assert solved.gap == 0.0
    assert solved.cost == pytest.approx(2.0 * cost[rows, columns].sum())


def test_the_solver_prints_nothing(capfd: pytest.CaptureFixture[str]) -> None:
    """Its name on standard output would spoil a document."""
    solve_plan(two_spots(room=3.0))
    assert capfd.readouterr() == ("", "")


def test_who_has_no_spot_yet_does_not_drive_out_who_has_one() -> None:
    """
    Where one pot stands in parts, nobody is carried on the first day, on which no move is wished.

    Two spots with room for eight: three pots stand at each, six come from nowhere, and one that is
    twice as wide would be better off where there is room for half of it.
    """
    cells = (5, 2, 4)
    discomfort = np.zeros(cells)
    discomfort[4, 1] = 50.0
    problem = Problem(
        pots=np.array([3, 3, 3, 3, 1]),
        start=np.array([[3, 0], [0, 0], [0, 3], [0, 0], [0, 1]]),
        ring=np.array([False, True, False, True, False]),
        allowed=np.ones(cells, np.bool_),
        discomfort=discomfort,
        nights=np.full(4, 7),
        size=np.array([[1.0, 1.0, 1.0, 1.0, 2.0]]),
        room=np.array([[7.0, 8.0]]),
        most_moved=np.array([0.0, np.inf, np.inf, np.inf]),
        move_nights=5.0,
    )
    for gap in (np.inf, 0.01):
        solved = solve_plan(problem, gap)
        assert (solved.short_nights, solved.against_wishes) == (0, 0)
    assert solved.cost == 50.0 + 2 * 5.0  # one place is made for it as soon as that may be
