"""The model of a plan on published assignment problems, of which the least cost is printed."""

from __future__ import annotations

import numpy as np
import pytest

from suitability.advice.plan_model import Problem, solve_plan

STEPS = 2  # alike, so that nothing need be moved


def assign(cost: np.ndarray, size: np.ndarray, room: np.ndarray) -> Problem:
    """
    Jobs as pots and agents as spots.

    Parameters
    ----------
    cost, size : (agent, job)
    room : (agent)
    """
    agents, jobs = cost.shape
    limits = np.full((agents, agents), np.inf)
    np.fill_diagonal(limits, room)  # a kind of room for each agent, wanting at no other
    return Problem(
        pots=np.ones(jobs, np.int64),
        start=np.zeros((jobs, agents), np.int64),
        ring=np.ones(jobs, np.bool_),
        allowed=np.ones((jobs, agents, STEPS), np.bool_),
        discomfort=np.repeat(cost.T[:, :, None] / STEPS, STEPS, axis=2),
        nights=np.full(STEPS, 7),
        size=size.astype(np.float64),
        room=limits,
        most_moved=np.full(STEPS, np.inf),
        move_nights=100.0,
    )


def test_the_assignment_that_scipy_prints() -> None:
    """
    Each worker has room for one job, so that the relaxed plan is whole by itself.

    SciPy reference, `scipy.optimize.linear_sum_assignment`, Examples: columns 1, 0, 2, cost 5.
    """
    cost = np.array([[4, 1, 3], [2, 0, 5], [3, 2, 2]])
    solved = solve_plan(assign(cost, np.ones((3, 3)), np.ones(3)))
    assert solved.cost == pytest.approx(5.0)
    assert solved.gap == 0.0
    assert solved.standing[:, :, 0].argmax(axis=0).tolist() == [1, 0, 2]


COST = """
17 21 22 18 24 15 20 18 19 18 16 22 24 24 16
23 16 21 16 17 16 19 25 18 21 17 15 25 17 24
16 20 16 25 24 16 17 19 19 18 20 16 17 21 24
19 19 22 22 20 16 19 17 21 19 25 23 25 25 25
18 19 15 15 21 25 16 16 23 15 22 17 19 22 24
"""
SIZE = """
 8 15 14 23  8 16  8 25  9 17 25 15 10  8 24
15  7 23 22 11 11 12 10 17 16  7 16 10 18 22
21 20  6 22 24 10 24  9 21 14 11 14 11 19 16
20 11  8 14  9  5  6 19 19  7  6  6 13  9 18
 8 13 13 13 10 20 25 16 16 17 10 10  5 12 23
"""


@pytest.mark.parametrize(("sign", "best"), [(-1.0, 336.0), (1.0, 261.0)], ids=["most", "least"])
def test_the_generalised_assignment_of_the_library_of_problems(sign: float, best: float) -> None:
    """
    Jobs take more or less of each agent's room; a plan is solved to 1 %, which is the tolerance.

    OR-Library (J. E. Beasley), generalised assignment, file gap1, problem c515-1: 336 at most, as
    its page prints; 261 at least, as the example "gap" of GLPK with the same numbers says.
    """
    cost, size = (np.array([row.split() for row in text.split("\n")[1:-1]], np.float64)
                  for text in (COST, SIZE))  # fmt: skip
    room = np.array([36.0, 34.0, 38.0, 27.0, 33.0])
    shift = 0.0 if sign > 0 else 30.0  # of each job, so that no cost is below 0
    solved = solve_plan(assign(sign * cost + shift, size, room))
    assert solved.short_nights == 0
    assert solved.gap <= 0.01
    assert abs(solved.cost - shift * cost.shape[1]) == pytest.approx(best, abs=0.01 * solved.cost)
    taken = solved.standing[:, :, 0]
    assert (np.einsum("ja,aj->a", taken, size) <= room).all()
