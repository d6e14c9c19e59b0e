"""
The model of a plan: pots of some types in spots of limited room, step by step, solved by HiGHS.

Whole pots `x[type, spot, step]` stand where they may; `short[type, step]` have no place; `y` are
those that have come since the step before. Room and hard rules hold in every step. Least comes what
weighs most: nights without a place before pots moved against a wish, and these before discomfort
and moving; the weights lie so far apart that no part buys another.

It is solved as *relax, fix, solve*: the relaxed plan proves how good any plan can be; types that
came out whole stay as they are, and the others are solved in whole pots. While the gap is too wide
more types are let go.
"""

from __future__ import annotations

import time
from functools import partial
from typing import Any

import numpy as np
from msgspec import Struct
from msgspec.structs import replace
from numpy.typing import NDArray

from suitability import parallel

__all__ = ["FREE", "GAP", "Problem", "Solution", "solve_plan"]

FloatArray = NDArray[np.float64]
IntArray = NDArray[np.int64]
BoolArray = NDArray[np.bool_]

FREE = -1  # where a type stands that has no spot yet: it may begin anywhere
RELAXING_S = 60.0  # at most for the relaxed plan, without which there is none
GAP = 0.01  # of the discomfort and moving, to which a plan is solved
SHORT, AGAINST = 2e4, 2e3  # what a night without a place, and a pot moved against a wish, weigh
WHOLE = 1e-6  # from a whole number
MORE_TYPES = 10  # let go at a time while the gap is too wide


class Problem(Struct, frozen=True, kw_only=True):
    """
    What is to be planned.

    Attributes
    ----------
    pots : (type)
        How many there are.
    start : (type)
        The spot on which they stand before the first step, `FREE` without one; these end where
        they began, so that the plan goes on for ever.
    allowed : (type, spot, step)
        Hard: whether they may stand there.
    discomfort : (type, spot, step), nights
        Of one pot.
    nights : (step)
    size : (kind of room, type)
        What one pot takes of each kind of room.
    room : (kind of room, spot)
        How much there is; inf where it is not limited.
    most_moved : (step)
        Pots that may be moved without breaking a wish; 0 where none should be.
    move_nights : nights
        What moving one pot weighs.
    """

    pots: IntArray
    start: IntArray
    allowed: BoolArray
    discomfort: FloatArray
    nights: IntArray
    size: FloatArray
    room: FloatArray
    most_moved: FloatArray
    move_nights: float


class Solution(Struct, frozen=True, kw_only=True):
    """
    A plan.

    Attributes
    ----------
    standing : (type, spot, step), pots
    short : (type, step), pots
        Without a place.
    short_nights
        Pots times nights without a place.
    short_least
        What no plan has fewer of.
    against_wishes
        Pots moved against a wish.
    cost : nights
        Discomfort and moving.
    gap
        By how much of itself the cost may lie above the best one; over 1 where it is not proven
        that no night without a place, or move against a wish, could be spared.
    more_room : (spot)
        Added to the first kind of room of each spot, where that was asked for.
    given_up : (type), pots
        Taken out of the plan, where that was asked for.
    """

    standing: IntArray
    short: IntArray
    short_nights: int
    short_least: int
    against_wishes: int
    cost: float
    gap: float
    more_room: IntArray
    given_up: IntArray


class _Program(Struct, frozen=True, kw_only=True):
    """
    The problem as columns and rows.

    Columns are, in this order: standing, arriving, short, moved against a wish by step, room added
    by spot, pots given up by type. Rows are sparse triplets with their bounds.
    """

    problem: Problem
    cells: tuple[IntArray, IntArray, IntArray]  # type, spot, step of each allowed cell
    upper: FloatArray
    rows: tuple[IntArray, IntArray, FloatArray]  # row, column, value
    row_lower: FloatArray
    row_upper: FloatArray

    @property
    def at(self) -> IntArray:
        """Where each of the six kinds of column begins, and how many there are in all."""
        types, spots, steps = self.problem.allowed.shape
        cells = self.cells[0].size
        return np.cumsum([0, cells, cells, types * steps, steps, spots, types])

    def cost(self, *, standing: Any = 0, arriving: Any = 0, short: Any = 0, against: Any = 0,
             room: Any = 0, given_up: Any = 0) -> FloatArray:  # fmt: skip
        """What each column costs."""
        parts = standing, arriving, short, against, room, given_up
        sizes = np.diff(self.at)
        return np.concatenate(
            [
                np.broadcast_to(np.float64(part), size)
                for part, size in zip(parts, sizes, strict=True)
            ]
        )


def solve_plan(
    problem: Problem,
    *,
    wished: bool = True,
    more_room: int | None = None,
    give_up: FloatArray | None = None,
    seconds: float = 12.0,
) -> Solution:
    """
    The best plan, or the least change that leaves none without a place.

    Parameters
    ----------
    problem
    wished
        Whether wishes, discomfort and moving are asked for too, or the shortage alone.
    more_room
        A spot to which the least room is added that gives every pot a place.
    give_up : (type), or None
        What giving up one pot of each type weighs, where the fewest are given up that leave every
        other one a place.
    seconds
        After which the best plan so far is taken; then the gap may stay wide.
    """
    program = _lay_out(problem, wished=wished, more_room=more_room, give_up=give_up is not None)
    kinds, spots, steps = program.cells
    weights = program.cost(
        short=SHORT * np.tile(problem.nights, problem.pots.size),
        against=AGAINST if wished else 0.0,
        room=1.0,
        given_up=0.0 if give_up is None else give_up,
        standing=problem.discomfort[kinds, spots, steps] if wished else 0.0,
        arriving=problem.move_nights if wished else 0.0,
    )
    import highspy  # noqa: F401, PLC0415  (once, and not in each copy)

    # In a copy of this process, which Ctrl-C ends at once: the solver would first come to its end.
    with parallel.aside(partial(_solve, program, weights, seconds, wished=wished)) as solved:
        return _read(program, weights, *solved())


# Rows and columns ---------------------------------------------------------------------------------


def _lay_out(problem: Problem, *, wished: bool, more_room: int | None, give_up: bool) -> _Program:
    """All rows: every pot somewhere, room, and where wishes are asked for arrivals, pots moved."""
    types, spots, steps = problem.allowed.shape
    kind, spot, step = np.nonzero(problem.allowed)
    inf, pots = np.inf, problem.pots.astype(np.float64)
    added, given = np.zeros(spots), pots if give_up else np.zeros(types)
    if more_room is not None:
        added[more_room] = pots.sum()
    upper = [pots[kind], np.full(kind.size, inf), np.repeat(pots, steps), np.full(steps, inf)]
    bare = _Program(
        problem=problem,
        cells=(kind, spot, step),
        upper=np.concatenate([*upper, added, given]),
        rows=(np.empty(0, np.int64), np.empty(0, np.int64), np.empty(0)),
        row_lower=np.empty(0),
        row_upper=np.empty(0),
    )
    parts = [_placed(bare), *_rooms(bare)]
    if wished:
        parts += [_arrivals(bare), _moved(bare)]
    starts = np.cumsum([0, *(lower.size for _, _, _, lower, _ in parts)])
    rows = [part[0] + start for part, start in zip(parts, starts[:-1], strict=True)]
    return replace(
        bare,
        rows=(
            np.concatenate(rows),
            np.concatenate([part[1] for part in parts]),
            np.concatenate([part[2] for part in parts]),
        ),
        row_lower=np.concatenate([part[3] for part in parts]),
        row_upper=np.concatenate([part[4] for part in parts]),
    )


_Rows = tuple[IntArray, IntArray, FloatArray, FloatArray, FloatArray]


def _placed(program: _Program) -> _Rows:
    """In every step each pot stands somewhere, has no place, or is given up."""
    problem, (kind, _, step) = program.problem, program.cells
    types, _, steps = problem.allowed.shape
    row = np.arange(types * steps)
    at = program.at
    rows = np.concatenate([kind * steps + step, row, row])
    columns = np.concatenate([np.arange(kind.size), at[2] + row, at[5] + row // steps])
    all_pots = np.repeat(problem.pots, steps).astype(np.float64)
    return rows, columns, np.ones(rows.size), all_pots, all_pots


def _rooms(program: _Program) -> list[_Rows]:
    """In every step what stands at a spot has room there."""
    problem, (kind, spot, step) = program.problem, program.cells
    _, spots, steps = problem.allowed.shape
    found = []
    for size, room in zip(problem.size, problem.room, strict=True):
        row, which = np.arange(spots * steps), np.repeat(np.arange(spots), steps)
        more = np.where(np.isfinite(room), -1.0, 0.0)[which]
        rows = np.concatenate([spot * steps + step, row])
        columns = np.concatenate([np.arange(kind.size), program.at[4] + which])
        values = np.concatenate([size[kind], more * size.max(initial=0.0)])
        limits = np.repeat(room, steps)
        found.append((rows, columns, values, np.full(limits.size, -np.inf), limits))
    return found


def _arrivals(program: _Program) -> _Rows:
    """
    Arrivals are no fewer than what stands in a step beyond what stood there in the one before.

    Before the first step stands what stands now; without a spot now, what the last one has.
    """
    problem, (kind, spot, step) = program.problem, program.cells
    steps = problem.allowed.shape[2]
    cell = np.arange(kind.size)
    index = np.full(problem.allowed.shape, -1)
    index[kind, spot, step] = cell
    before = index[kind, spot, (step - 1) % steps]
    known = problem.start[kind] != FREE
    before = np.where((step == 0) & known, -1, before)
    here = (step == 0) & (problem.start[kind] == spot)
    had = before >= 0
    rows = np.concatenate([cell, cell, cell[had]])
    columns = np.concatenate([program.at[1] + cell, cell, before[had]])
    values = np.repeat([1.0, -1.0, 1.0], [cell.size, cell.size, int(had.sum())])
    lower = np.where(here, -problem.pots[kind].astype(np.float64), 0.0)
    return rows, columns, values, lower, np.full(cell.size, np.inf)


def _moved(program: _Program) -> _Rows:
    """Pots moved in a step beyond those that wishes allow are moved against one."""
    problem, (kind, _, step) = program.problem, program.cells
    limited = np.flatnonzero(np.isfinite(problem.most_moved))
    number = np.full(problem.most_moved.size, -1)
    number[limited] = np.arange(limited.size)
    counted = number[step] >= 0
    rows = np.concatenate([number[step[counted]], np.arange(limited.size)])
    columns = np.concatenate(
        [program.at[1] + np.arange(kind.size)[counted], program.at[3] + limited]
    )
    values = np.repeat([1.0, -1.0], [int(counted.sum()), limited.size])
    most = problem.most_moved[limited]
    return rows, columns, values, np.full(limited.size, -np.inf), most


# Solving ------------------------------------------------------------------------------------------


def _solve(
    program: _Program, weights: FloatArray, seconds: float, *, wished: bool
) -> tuple[FloatArray, FloatArray, float]:
    """
    Values of all columns at nearly the least weight in whole pots, in parts of pots, and a bound.

    The bound is what no plan weighs less than. Where the shortage alone is asked for and even parts
    of pots fall short, that is the answer.
    """
    until = time.monotonic() + seconds
    bounds = np.zeros(weights.size), program.upper
    relaxed, least = _run(program, weights, bounds, until=time.monotonic() + RELAXING_S)
    assert relaxed is not None  # everybody without a place is a plan too
    whole = _is_whole(program, relaxed)
    if whole.all():
        return np.round(relaxed), relaxed, least
    if not wished and relaxed[program.at[2] : program.at[3]].sum() > WHOLE:
        return relaxed, relaxed, least
    best: FloatArray | None = None
    wide = GAP * _wished(program, weights, relaxed) if wished else 3.6  # 4 x 0.9: a pot is 1
    while True:
        bounds, integer = _fixed(program, relaxed, whole)
        found, bound = _run(program, weights, bounds, until=until, integer=integer, wide=wide / 4.0)
        if found is not None and (best is None or weights @ found < weights @ best):
            best = np.round(found, 6)
        if not whole.any():  # nothing was held, so that what is proven holds of every plan
            least = max(least, bound)
        near = best is not None and float(weights @ best) - least <= wide
        if near or not whole.any() or time.monotonic() > until:
            break
        whole = _let_go(program, relaxed, whole)
    if best is None:  # in no time: everybody is without a place
        best = _nobody(program)
    return best, relaxed, least


def _nobody(program: _Program) -> FloatArray:
    """The plan in which no pot has a place."""
    values = np.zeros(program.upper.size)
    short = slice(program.at[2], program.at[3])
    values[short] = program.upper[short]
    return values


def _wished(program: _Program, weights: FloatArray, values: FloatArray) -> float:
    """What discomfort and moving weigh."""
    last = program.at[2]
    return float(weights[:last] @ values[:last])


def _is_whole(program: _Program, values: FloatArray) -> BoolArray:
    """Types of which every number is whole, (type)."""
    at, steps = program.at, program.problem.nights.size
    away = np.abs(values - np.round(values)) > WHOLE
    whole = np.ones(program.problem.pots.size, np.bool_)
    whole[program.cells[0][away[: at[1]]]] = False
    whole[np.flatnonzero(away[at[2] : at[3]]) // steps] = False
    return whole & ~away[at[5] :]


def _fixed(
    program: _Program, values: FloatArray, whole: BoolArray
) -> tuple[tuple[FloatArray, FloatArray], BoolArray]:
    """Bounds that hold the whole types, and which columns must be whole numbers."""
    at, steps = program.at, program.problem.nights.size
    kind_of = np.full(values.size, -1)
    kind_of[: at[1]] = program.cells[0]
    kind_of[at[2] : at[3]] = np.repeat(np.arange(whole.size), steps)
    kind_of[at[5] :] = np.arange(whole.size)
    typed = kind_of >= 0
    held = typed & whole[kind_of]
    lower, upper = np.zeros(values.size), program.upper.copy()
    lower[held] = upper[held] = np.round(values[held])
    integer = typed & ~held
    integer[at[4] : at[5]] = True
    return (lower, upper), integer


def _let_go(program: _Program, values: FloatArray, whole: BoolArray) -> BoolArray:
    """A few types fewer that are held: those that stand where fractions stand, the most first."""
    kind, spot, step = program.cells
    standing = values[: kind.size]
    split = np.zeros(program.problem.allowed.shape[1:], np.bool_)
    part = np.abs(standing - np.round(standing)) > WHOLE
    split[spot[part], step[part]] = True
    beside = np.bincount(kind, weights=standing * split[spot, step], minlength=whole.size)
    order = np.argsort(np.where(whole, -beside, np.inf), kind="stable")
    fewer = whole.copy()
    fewer[order[: max(MORE_TYPES, whole.size // 4)]] = False
    return fewer


def _run(
    program: _Program,
    weights: FloatArray,
    bounds: tuple[FloatArray, FloatArray],
    *,
    until: float,
    integer: BoolArray | None = None,
    wide: float = 0.0,
) -> tuple[FloatArray | None, float]:
    """
    Values of the columns, None where none were found in time, and what no values are below.

    Parameters
    ----------
    until
        On the monotonic clock, s.
    integer
        Columns that must be whole; None: none.
    wide
        Gap within which these are sought.
    """
    import highspy  # noqa: PLC0415  (only for plans)

    solver = _quiet_solver()
    row, column, value = program.rows
    order = np.argsort(column, kind="stable")
    model = highspy.HighsLp()
    model.num_col_, model.num_row_ = weights.size, program.row_lower.size
    model.col_cost_, (model.col_lower_, model.col_upper_) = weights, bounds
    model.row_lower_, model.row_upper_ = program.row_lower, program.row_upper
    model.a_matrix_.format_ = highspy.MatrixFormat.kColwise
    model.a_matrix_.start_ = np.searchsorted(column[order], np.arange(weights.size + 1))
    model.a_matrix_.index_, model.a_matrix_.value_ = row[order], value[order]
    if integer is not None:
        kinds = highspy.HighsVarType.kContinuous, highspy.HighsVarType.kInteger
        model.integrality_ = [kinds[whole] for whole in integer.tolist()]
    solver.passModel(model)
    solver.setOptionValue("threads", 1)
    solver.setOptionValue("mip_rel_gap", 0.0)  # the weights would hide what discomfort differs by
    solver.setOptionValue("mip_abs_gap", max(wide, WHOLE))
    solver.setOptionValue("time_limit", max(1.0, until - time.monotonic()))
    solver.solve()
    info = solver.getInfo()
    if info.primal_solution_status != highspy.SolutionStatus.kSolutionStatusFeasible:
        return None, -np.inf
    least = info.objective_function_value if integer is None else info.mip_dual_bound
    return np.array(solver.getSolution().col_value), float(least)


def _quiet_solver() -> Any:
    """A solver that prints nothing; it would greet when its callbacks are made."""
    import highspy  # noqa: PLC0415  (only for plans)

    class Quiet(highspy.Highs):
        def enableCallbacks(self) -> None:  # noqa: N802  (its own name)
            self.setOptionValue("output_flag", False)
            super().enableCallbacks()  # type: ignore[no-untyped-call]

    return Quiet()  # type: ignore[no-untyped-call]


def _read(
    program: _Program, weights: FloatArray, values: FloatArray, relaxed: FloatArray, least: float
) -> Solution:
    """Columns as a plan."""
    problem, at = program.problem, program.at
    whole = np.round(values).astype(np.int64)
    standing = np.zeros(problem.allowed.shape, np.int64)
    standing[program.cells] = whole[: at[1]]
    short = whole[at[2] : at[3]].reshape(problem.pots.size, -1)
    cost = _wished(program, weights, values)
    nights = np.tile(problem.nights, problem.pots.size)
    part = slice(at[2], at[3])
    gap = (float(weights @ values) - least) / max(cost, 1.0)
    return Solution(
        standing=standing,
        short=short,
        short_nights=_up(float(values[part] @ nights)),
        short_least=_up(float(relaxed[part] @ nights)),
        against_wishes=int(whole[at[3] : at[4]].sum()),
        cost=cost,
        gap=max(0.0, round(gap, 9)),
        more_room=whole[at[4] : at[5]],
        given_up=whole[at[5] :],
    )


def _up(number: float) -> int:
    """The next whole number, unless it is one but for rounding."""
    return int(np.ceil(number - 1e-4))
