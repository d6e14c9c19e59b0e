"""
The model of a plan: pots of some types in spots of limited room, step by step, solved by HiGHS.

Whole pots `x[type, spot, step]` stand where they may; `short[type, step]` have no place; `y` are
those that have come since the step before. Pots that are alike are one type, however many.

1. How few pots have no place is asked of each step by itself, for moving is no bar to it; steps in
   which the same may stand at the same spots are asked about once.
2. With no more of them than that, the plan in parts of pots proves how good any plan can be. Pots
   moved against a wish weigh so much more than discomfort and moving that neither buys the other;
   as many as whole pots need are asked for at least.
3. Where it is not whole already, the steps are taken in turn in whole pots: near the plan in
   parts, from where the pots stand, at the prices that it puts on what comes after.
4. Where the gap is wide, they are taken once more, with all that follows planned in parts anew
   after each; then the plan is bettered where it differs from the one in parts (Danna, Rothberg and
   Le Pape, 2005), and what whole pots lose in each step at the first prices is proven (Lagrangean
   relaxation: Geoffrion, 1974).
5. Where a plan was made before, the steps are taken near that one.
"""

from __future__ import annotations

from functools import partial
from typing import TYPE_CHECKING, Any, TypeVar

import numpy as np
from msgspec import Struct
from msgspec.structs import replace
from numpy.typing import NDArray

from suitability import parallel

if TYPE_CHECKING:
    from collections.abc import Callable

FloatArray = NDArray[np.float64]
IntArray = NDArray[np.int64]
BoolArray = NDArray[np.bool_]
Answer = TypeVar("Answer")

GAP = 0.01  # of the discomfort and moving, to which a plan is solved
AGAINST = 2e3  # nights that a pot moved against a wish weighs
ASTRAY = 3.0  # nights that a pot weighs which stands where the plan in parts has none, in one step
NEAR = 3.0  # nights within which one step is solved
ONE_NIGHT = 1.0  # within which it is proven what whole pots lose in one step
WHOLE = 1e-6  # from a whole number
TELLING = 4  # of so many steps one tells of the others
PART = 0.9  # of a pot: what is counted in pots is proven within it
SMALL_CELLS = 1_000  # of a problem that is solved in one piece
NODES = 200  # of a search, so that it ends, and alike on a slow computer
PIVOTS = 30_000  # of the simplex method, beyond which an interior point is the quicker way
FEW_NODES = 50  # of one that begins near its end


class Problem(Struct, frozen=True, kw_only=True):
    """
    What is to be planned.

    Attributes
    ----------
    start : (type, spot), pots
        That stand there before the first step; the others come from outside.
    pots : (type)
        How many there are.
    ring : (type)
        Types that begin where they end, wherever that is, so that the plan goes on for ever.
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
    ring: BoolArray
    allowed: BoolArray
    discomfort: FloatArray
    nights: IntArray
    size: FloatArray
    room: FloatArray
    most_moved: FloatArray
    move_nights: float

    def during(self, steps: IntArray | list[int]) -> Problem:
        """Some steps of it alone."""
        return replace(
            self,
            allowed=self.allowed[:, :, steps],
            discomfort=self.discomfort[:, :, steps],
            nights=self.nights[steps],
            most_moved=self.most_moved[steps],
        )


class _Guide(Struct, frozen=True, kw_only=True):
    """
    What the plan in parts of pots tells of the one in whole ones.

    Attributes
    ----------
    parts : (type, spot, step), pots
    prices : (type, spot, step), nights
        What it would save if one pot more had been in a cell the step before.
    saved : (type, spot, step), nights
        What a pot in a cell saves by being there when the next step begins.
    least
        What no plan weighs less than.
    basis
        From which a problem almost the same is solved at once.
    """

    parts: FloatArray
    prices: FloatArray
    saved: FloatArray
    least: float
    basis: Any


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
        By how much of itself the cost may lie above the best one; inf where it is not proven that
        no pot moved against a wish could be spared.
    """

    standing: IntArray
    short: IntArray
    short_nights: int
    short_least: int
    against_wishes: int
    cost: float
    gap: float


def solve_plan(problem: Problem, gap: float = GAP, near: IntArray | None = None) -> Solution:
    """
    The plan with the fewest nights without a place, then the least that weighs.

    Parameters
    ----------
    gap
        Of its cost, above which a plan is bettered; inf: never, which is quick.
    near : (type, spot, step)
        Where pots stand in a plan that is to be kept to where it may be; None: in none.
    """
    return _aside(partial(_solve, problem, gap, near))


def has_room(problem: Problem) -> bool:
    """Whether every pot has a place in every step."""
    return _aside(partial(_has_room, problem))


def least_change(
    problem: Problem, *, more_room: int | None = None, give_up: FloatArray | None = None
) -> IntArray | None:
    """
    The least change that leaves no pot without a place; None where this kind of change cannot.

    Parameters
    ----------
    problem
    more_room
        A spot to which room is added: the answer is how much, in pots of the largest size, (spot).
    give_up : (type)
        What giving up one pot of each type weighs: the answer is how many of each, (type).
    """
    return _aside(partial(_least_change, problem, more_room, give_up))


def _aside(work: Callable[[], Answer]) -> Answer:
    """Done in a copy of this process, which Ctrl-C ends at once: the solver would go on."""
    import highspy  # noqa: F401, PLC0415  (once, and not in each copy)

    with parallel.aside(work) as solved:
        return solved()


# Rows and columns ---------------------------------------------------------------------------------


_Cells = tuple[IntArray, IntArray, IntArray]  # type, spot, step of each that is allowed
_Rows = tuple[IntArray, IntArray, FloatArray, FloatArray, FloatArray]  # triplets, bounds


class _Program(Struct, frozen=True, kw_only=True):
    """
    The problem as columns and rows.

    Columns are, in this order: standing, arriving, short, moved against a wish by step, room added
    by spot, pots given up by type, standing astray. Rows are sparse triplets with their bounds.

    Attributes
    ----------
    at
        Where each kind of column begins, and how many there are in all.
    arrivals
        Rows of which each says of a cell how many have come.
    whole
        Columns that count pots.
    """

    problem: Problem
    cells: _Cells
    at: IntArray
    cost: FloatArray
    upper: FloatArray
    whole: BoolArray
    rows: tuple[IntArray, IntArray, FloatArray]  # row, column, value
    row_lower: FloatArray
    row_upper: FloatArray
    arrivals: slice

    def weight(self, values: FloatArray) -> float:
        """What discomfort and moving weigh."""
        return float(self.cost[: self.at[2]] @ values[: self.at[2]])


def _lay_out(
    problem: Problem,
    *,
    wished: bool,
    most_short: FloatArray | None = None,
    more_room: int | None = None,
    give_up: FloatArray | None = None,
    near: FloatArray | None = None,
) -> _Program:
    """
    All rows and columns.

    Parameters
    ----------
    wished
        Whether wishes, discomfort and moving are asked for.
    most_short : (step)
        Pots that may have no place; None: as few of them as may be are asked for.
    more_room, give_up
        As in `least_change`; None: neither.
    near : (type, spot, step)
        Pots beyond which those of a cell stand astray; None: none do.
    """
    types, spots, steps = problem.allowed.shape
    kind, spot, step = np.nonzero(problem.allowed)
    cells = (kind, spot, step)
    inf, pots = np.inf, problem.pots.astype(np.float64)
    added = np.where(np.arange(spots) == more_room, pots.sum(), 0.0)
    given = np.zeros(types) if give_up is None else pots
    limited = most_short is not None
    columns = (  # how many, what each costs, how large it may be, and whether it counts pots
        (kind.size, problem.discomfort[cells] if wished else 0.0, pots[kind], True),
        (kind.size, problem.move_nights if wished else 0.0, inf, False),
        (types * steps, 0.0 if limited else 1.0, np.repeat(pots, steps), True),
        (steps, AGAINST, inf, False),
        (spots, 1.0, added, True),
        (types, 0.0 if give_up is None else give_up, given, True),
        (0 if near is None else kind.size, ASTRAY, inf, False),
    )
    sizes = [size for size, *_ in columns]
    at = np.cumsum([0, *sizes])
    cost, upper, whole = (
        np.concatenate([np.broadcast_to(part[of], part[0]) for part in columns]) for of in (1, 2, 3)
    )
    parts = [_placed(problem, cells, at), *_rooms(problem, cells, at)]
    first = sum(part[3].size for part in parts)
    if wished:
        parts += [_arrivals(problem, cells, at), _moved(problem, cells, at)]
    if most_short is not None:
        row = np.tile(np.arange(steps), types)
        part = at[2] + np.arange(types * steps)
        parts.append((row, part, np.ones(row.size), np.full(steps, -inf), most_short))
    if near is not None:
        cell = np.arange(kind.size)
        row, part = np.tile(cell, 2), np.concatenate([at[6] + cell, cell])
        value = np.repeat([1.0, -1.0], kind.size)
        parts.append((row, part, value, -near[cells], np.full(kind.size, inf)))
    starts = np.cumsum([0, *(part[3].size for part in parts)])
    row, column, value = (
        np.concatenate(
            [part[of] + start * (of == 0) for part, start in zip(parts, starts[:-1], strict=True)]
        )
        for of in (0, 1, 2)
    )
    return _Program(
        problem=problem,
        cells=cells,
        at=at,
        cost=cost,
        upper=upper,
        whole=whole,
        rows=(row, column, value),
        row_lower=np.concatenate([part[3] for part in parts]),
        row_upper=np.concatenate([part[4] for part in parts]),
        arrivals=slice(first, first + kind.size),
    )


def _placed(problem: Problem, cells: _Cells, at: IntArray) -> _Rows:
    """In every step each pot stands somewhere, has no place, or is given up."""
    kind, _, step = cells
    types, _, steps = problem.allowed.shape
    row = np.arange(types * steps)
    rows = np.concatenate([kind * steps + step, row, row])
    columns = np.concatenate([np.arange(kind.size), at[2] + row, at[5] + row // steps])
    all_pots = np.repeat(problem.pots, steps).astype(np.float64)
    return rows, columns, np.ones(rows.size), all_pots, all_pots


def _rooms(problem: Problem, cells: _Cells, at: IntArray) -> list[_Rows]:
    """In every step what stands at a spot has room there."""
    kind, spot, step = cells
    _, spots, steps = problem.allowed.shape
    found = []
    for size, room in zip(problem.size, problem.room, strict=True):
        row, which = np.arange(spots * steps), np.repeat(np.arange(spots), steps)
        more = np.where(np.isfinite(room), -size.max(initial=0.0), 0.0)[which]
        rows = np.concatenate([spot * steps + step, row])
        columns = np.concatenate([np.arange(kind.size), at[4] + which])
        values = np.concatenate([size[kind], more])
        limits = np.repeat(room, steps)
        found.append((rows, columns, values, np.full(limits.size, -np.inf), limits))
    return found


def _arrivals(problem: Problem, cells: _Cells, at: IntArray) -> _Rows:
    """Arrivals are no fewer than what stands in a step beyond what stood there before it."""
    kind, spot, step = cells
    cell = np.arange(kind.size)
    index = np.full(problem.allowed.shape, -1)
    index[cells] = cell
    before = index[kind, spot, step - 1]  # of the first step: the last, in a ring alone
    had = (before >= 0) & ((step > 0) | problem.ring[kind])
    there = np.where((step == 0) & ~problem.ring[kind], problem.start[kind, spot], 0)
    here = ~(had & (before == cell))  # in a ring of one step nobody comes
    had &= here
    rows = np.concatenate([cell, cell[here], cell[had]])
    columns = np.concatenate([at[1] + cell, cell[here], before[had]])
    values = np.repeat([1.0, -1.0, 1.0], [cell.size, int(here.sum()), int(had.sum())])
    return rows, columns, values, -there.astype(np.float64), np.full(cell.size, np.inf)


def _moved(problem: Problem, cells: _Cells, at: IntArray) -> _Rows:
    """Pots moved in a step beyond those that wishes allow are moved against one."""
    kind, _, step = cells
    steps = np.arange(problem.most_moved.size)
    rows = np.concatenate([step, steps])
    columns = np.concatenate([at[1] + np.arange(kind.size), at[3] + steps])
    values = np.repeat([1.0, -1.0], [kind.size, steps.size])
    return rows, columns, values, np.full(steps.size, -np.inf), problem.most_moved


# Solving ------------------------------------------------------------------------------------------


def _solve(problem: Problem, gap: float, near: IntArray | None) -> Solution:
    """In parts of pots, or near a plan, step by step in whole ones, and where wide bettered."""
    packed, fewest, least_short = _packed(problem)
    program, guide = _in_parts(problem, fewest)
    least = guide.least

    def step_by_step(*, anew: bool = False, near: IntArray | None = None) -> FloatArray:
        standing = _step_by_step(program, guide, fewest, packed, anew=anew, near=near)
        return _columns(program, standing)

    def too_much(values: FloatArray) -> float:
        return float(program.cost @ values) - gap * program.weight(values) - least

    if near is None:
        values = step_by_step()
    elif _fits(problem, near, fewest):
        values = _columns(program, near)
    else:
        values = step_by_step(near=near)
    if too_much(values) > 0.0:
        anew = step_by_step(anew=True)
        values = min(values, anew, key=lambda one: float(program.cost @ one))
    if too_much(values) > 0.0:
        values, least = _bettered(program, guide, values, least)
    if too_much(values) > 0.0:
        least = max(least, guide.least + _lost_whole(problem, guide, fewest, too_much(values)))
    return _read(program, values, least, least_short)


def _in_parts(problem: Problem, fewest: FloatArray) -> tuple[_Program, _Guide]:
    """The plan in parts of pots, that moves no fewer against wishes than whole ones need."""
    program = _lay_out(problem, wished=True, most_short=fewest)
    found = _run(program)
    wishes = np.arange(*program.at[3:5])
    against = float(found.known[wishes].sum())
    if against - np.floor(against) > WHOLE:
        counted = np.zeros(program.cost.size)
        counted[wishes] = 1.0
        fewest_against = np.ceil(
            _run(replace(program, cost=counted), basis=found.basis).bound - WHOLE
        )
        row = np.full(wishes.size, program.row_lower.size)
        extra = row, wishes, np.ones(wishes.size)
        rows = tuple(np.concatenate(both) for both in zip(program.rows, extra, strict=True))
        program = replace(
            program,
            rows=rows,
            row_lower=np.append(program.row_lower, fewest_against),
            row_upper=np.append(program.row_upper, np.inf),
        )
        found = _run(program, basis=found.basis)
    return program, _guide(program, found)


def _guide(program: _Program, found: _Found) -> _Guide:
    problem, cells = program.problem, program.cells
    parts, prices = (np.zeros(problem.allowed.shape) for _ in range(2))
    parts[cells] = found.known[: cells[0].size]
    prices[cells] = found.prices[program.arrivals]
    saved = np.roll(prices, -1, axis=2)
    saved[~problem.ring, :, -1] = 0.0
    return _Guide(parts=parts, prices=prices, saved=saved, least=found.bound, basis=found.basis)


def _lost_whole(problem: Problem, guide: _Guide, fewest: FloatArray, enough: float) -> float:
    """
    What whole pots lose at least against parts of them, step by step at the prices of these.

    Not all of it where that is enough, or where some steps tell that it will not be.
    """
    lost, steps = 0.0, problem.nights.size
    weighs = problem.discomfort + guide.prices - guide.saved
    for turn, step in enumerate(sorted(range(steps), key=lambda step: step % TELLING)):
        if lost > enough or (turn == steps // TELLING and lost * 2 * TELLING < enough):
            break
        one = replace(
            problem.during([step]),
            discomfort=weighs[:, :, [step]],
            most_moved=np.array([np.inf]),
            move_nights=0.0,
        )
        program = _lay_out(one, wished=True, most_short=fewest[[step]])
        parts = _run(program)
        if np.abs(parts.known - np.round(parts.known)).max() > WHOLE:
            whole = _run(program, integer=program.whole, wide=ONE_NIGHT, nodes=1)
            lost += max(0.0, whole.bound - parts.bound)
    return lost


def _bettered(
    program: _Program, guide: _Guide, values: FloatArray, least: float
) -> tuple[FloatArray, float]:
    """
    A plan changed where it differs from the one in parts, and what no plan weighs less than.

    A small one is solved as a whole, which proves more.
    """
    cells = slice(0, program.at[1])
    step, last = program.cells[2], program.problem.nights.size - 1
    free = np.abs(values[cells] - guide.parts[program.cells]) > WHOLE
    free |= (step == 0) | (step == last)  # between them the ring is closed
    held = np.full(values.size, np.nan)
    if free.size > SMALL_CELLS:
        held[cells] = np.where(free, np.nan, values[cells])
    wide, whole = GAP * program.weight(values), bool(np.isnan(held).all())
    found = _run(
        program,
        integer=program.whole,
        wide=wide / 4.0,
        start=None if whole else values,  # the solver can misread a start in a small problem
        held=held,
        nodes=NODES if whole else FEW_NODES,
    )
    plans = [values]
    if found.values is not None:
        plans.append(_columns(program, _standing(program, found.values)))
    better = min(plans, key=lambda one: float(program.cost @ one))
    return better, max(least, found.bound) if whole else least


def _packed(problem: Problem) -> tuple[IntArray, FloatArray, FloatArray]:
    """The fewest pots without a place in each step: where all stand, how few, and their bound."""
    steps = problem.nights.size
    standing = np.zeros(problem.allowed.shape, np.int64)
    short, least = np.zeros(steps), np.zeros(steps)
    known: dict[bytes, int] = {}
    for step in range(steps):
        alike = known.setdefault(problem.allowed[:, :, step].tobytes(), step)
        if alike == step:
            program = _lay_out(problem.during([step]), wished=False)
            found = _run(program, integer=program.whole, wide=PART)
            assert found.values is not None  # everybody without a place is an answer too
            standing[:, :, step] = _standing(program, found.values)[:, :, 0]
            least[step] = max(0.0, np.ceil(found.bound - WHOLE))
        standing[:, :, step], least[step] = standing[:, :, alike], least[alike]
        short[step] = float(problem.pots.sum() - standing[:, :, step].sum())
    return standing, short, least


def _hardest(problem: Problem) -> list[int]:
    """Steps such that a place for all in each of them is one in every other too."""
    allowed = problem.allowed
    first = {allowed[:, :, step].tobytes(): step for step in reversed(range(allowed.shape[2]))}
    steps = sorted(first.values())
    return [
        step
        for step in steps
        if not any(
            other != step and (allowed[:, :, other] <= allowed[:, :, step]).all() for other in steps
        )
    ]


def _least_change(
    problem: Problem, more_room: int | None, give_up: FloatArray | None
) -> IntArray | None:
    """In the hardest steps, without wishes."""
    hardest = problem.during(_hardest(problem))
    program = _lay_out(
        hardest, most_short=np.zeros(hardest.nights.size), wished=False,
        more_room=more_room, give_up=give_up,
    )  # fmt: skip
    found = _run(program, integer=program.whole, wide=PART)
    part = slice(*program.at[5:7]) if more_room is None else slice(*program.at[4:6])
    return None if found.values is None else np.round(found.values[part]).astype(np.int64)


def _has_room(problem: Problem) -> bool:
    """Whether none is short in the hardest steps, by parts of pots first, which is quick."""
    programs = [_lay_out(problem.during([step]), wished=False) for step in _hardest(problem)]
    if any(_run(program).bound > WHOLE for program in programs):
        return False
    found = (_run(program, integer=program.whole, wide=PART).values for program in programs)
    return all(
        values is not None and program.cost @ values < PART
        for program, values in zip(programs, found, strict=True)
    )


def _step_by_step(
    program: _Program,
    guide: _Guide,
    fewest: FloatArray,
    packed: IntArray,
    *,
    anew: bool,
    near: IntArray | None,
) -> IntArray:
    """
    Whole pots in each step, from those of the step before, (type, spot, step).

    Parameters
    ----------
    anew
        Whether the steps that follow are planned anew in parts after each.
    near : (type, spot, step)
        Pots beyond which those of a cell stand astray; None: the plan in parts.
    """
    problem = program.problem
    ring, steps = problem.ring, problem.nights.size
    standing = np.zeros(problem.allowed.shape, np.int64)
    # In a ring pots come from anywhere, at what they saved by being where they came from.
    before = np.where(ring[:, None], problem.pots[:, None], problem.start)
    comes = np.where(ring[:, None], guide.prices[:, :, 0], 0.0)
    rest = _loaded(program, basis=guide.basis)
    for step in range(steps):
        one = problem.during([step])
        weighs = one.discomfort - guide.saved[:, :, [step]]
        weighs[:, :, 0] += comes if step == 0 else 0.0
        one = replace(one, start=before, ring=np.zeros_like(ring), discomfort=weighs)
        kept = np.ceil((guide.parts if near is None else near)[:, :, [step]] - WHOLE)
        small = _lay_out(one, wished=True, most_short=fewest[[step]], near=kept)
        stay = before[:, :, None]
        starts = [packed[:, :, [step]], *([stay] if _fits(one, stay, fewest[[step]]) else [])]
        values = min(
            (_columns(small, start, kept) for start in starts),
            key=lambda start: float(small.cost @ start),
        )
        found = _run(small, integer=small.whole, wide=NEAR, start=values, nodes=1)
        standing[:, :, [step]] = _standing(small, found.known)
        before = standing[:, :, step]
        if anew or (step == 0 and ring.any()):  # what follows must lead back to where it has begun
            here = np.flatnonzero(program.cells[2] == step)
            pots = standing[program.cells][here].astype(np.float64)
            rest.changeColsBounds(here.size, here.astype(np.int32), pots, pots)
            guide = _guide(program, _solved(rest))
    return standing


def _fits(problem: Problem, standing: IntArray, short: FloatArray) -> bool:
    """Whether pots may stand so in all steps, (type, spot, step)."""
    left = problem.pots[:, None] - standing.sum(axis=1)
    used = np.tensordot(problem.size, standing, 1)
    return bool(
        (problem.allowed | (standing == 0)).all()
        and (used <= problem.room[:, :, None] + WHOLE).all()
        and (left >= 0).all()
        and (left.sum(axis=0) <= short).all()
    )


def _standing(program: _Program, values: FloatArray) -> IntArray:
    """Whole pots in each cell, (type, spot, step)."""
    standing = np.zeros(program.problem.allowed.shape, np.int64)
    standing[program.cells] = np.round(values[: program.at[1]]).astype(np.int64)
    return standing


def _columns(program: _Program, standing: IntArray, near: FloatArray | None = None) -> FloatArray:
    """Values of all columns for pots that stand in given cells."""
    problem, cells = program.problem, program.cells
    first = np.where(problem.ring[:, None], standing[:, :, -1], problem.start)
    before = np.concatenate([first[:, :, None], standing[:, :, :-1]], axis=2)
    come = np.maximum(standing - before, 0)
    values = np.zeros(program.at[-1])
    at = program.at
    values[: at[1]], values[at[1] : at[2]] = standing[cells], come[cells]
    values[at[2] : at[3]] = (problem.pots[:, None] - standing.sum(axis=1)).reshape(-1)
    values[at[3] : at[4]] = np.maximum(come.sum(axis=(0, 1)) - problem.most_moved, 0.0)
    if near is not None:
        values[at[6] :] = np.maximum(standing - near, 0.0)[cells]
    return values


class _Found(Struct, frozen=True, kw_only=True):
    """
    What a solver found.

    Attributes
    ----------
    values
        Of the columns; None where there are none.
    bound
        What no values cost less than.
    prices
        Of the rows, where parts of pots were asked for.
    basis
        Where the solver ended.
    """

    values: FloatArray | None
    bound: float
    prices: FloatArray
    basis: Any

    @property
    def known(self) -> FloatArray:
        """The values, of what has some."""
        assert self.values is not None
        return self.values


def _run(
    program: _Program,
    *,
    integer: BoolArray | None = None,
    wide: float = 0.0,
    start: FloatArray | None = None,
    held: FloatArray | None = None,
    basis: Any = None,
    nodes: int = NODES,
) -> _Found:
    """
    The least cost.

    Parameters
    ----------
    integer
        Columns that must be whole; None: none.
    wide
        Gap within which these are sought.
    start
        Values to begin from.
    held
        Values that columns keep, nan for those that need not.
    basis
        Of the same columns and of rows of which these are the first, to begin from.
    nodes
        Of the search.
    """
    solver = _loaded(program, integer=integer, start=start, held=held, basis=basis)
    solver.setOptionValue("mip_rel_gap", 0.0)  # the weights would hide what discomfort differs by
    solver.setOptionValue("mip_abs_gap", max(wide, WHOLE))
    solver.setOptionValue("mip_max_nodes", nodes)
    return _solved(solver, integer=integer is not None)


def _loaded(
    program: _Program,
    *,
    integer: BoolArray | None = None,
    start: FloatArray | None = None,
    held: FloatArray | None = None,
    basis: Any = None,
) -> Any:
    """A solver with all this, as in `_run`."""
    import highspy  # noqa: PLC0415  (only for plans)

    solver = _quiet_solver()
    row, column, value = program.rows
    order = np.argsort(column, kind="stable")
    model = highspy.HighsLp()
    model.num_col_, model.num_row_ = program.cost.size, program.row_lower.size
    model.col_cost_ = program.cost
    model.col_lower_, model.col_upper_ = np.zeros(program.cost.size), program.upper
    if held is not None:
        free = np.isnan(held)
        model.col_lower_ = np.where(free, 0.0, held)
        model.col_upper_ = np.where(free, program.upper, held)
    model.row_lower_, model.row_upper_ = program.row_lower, program.row_upper
    model.a_matrix_.format_ = highspy.MatrixFormat.kColwise
    model.a_matrix_.start_ = np.searchsorted(column[order], np.arange(program.cost.size + 1))
    model.a_matrix_.index_, model.a_matrix_.value_ = row[order], value[order]
    if integer is not None:
        kinds = highspy.HighsVarType.kContinuous, highspy.HighsVarType.kInteger
        model.integrality_ = [kinds[whole] for whole in integer.tolist()]
    solver.passModel(model)
    if basis is not None:
        more = program.row_lower.size - len(basis.row_status)
        basis.row_status = [*basis.row_status, *[highspy.HighsBasisStatus.kBasic] * more]
        solver.setBasis(basis)
    if start is not None:
        known = highspy.HighsSolution()
        known.col_value = start.tolist()
        solver.setSolution(known)
    solver.setOptionValue("threads", 1)
    if integer is None:
        solver.setOptionValue("simplex_iteration_limit", PIVOTS)
    return solver


def _solved(solver: Any, *, integer: bool = False) -> _Found:
    """What it finds."""
    import highspy  # noqa: PLC0415  (only for plans)

    solver.solve()
    if solver.getModelStatus() == highspy.HighsModelStatus.kIterationLimit:
        solver.setOptionValue("solver", "ipx")
        solver.solve()
        solver.setOptionValue("solver", "choose")
    info = solver.getInfo()
    found = info.primal_solution_status == highspy.SolutionStatus.kSolutionStatusFeasible
    solution = solver.getSolution()
    return _Found(
        values=np.array(solution.col_value) if found else None,
        bound=float(info.mip_dual_bound if integer else info.objective_function_value),
        prices=np.array(solution.row_dual),
        basis=solver.getBasis(),
    )


def _quiet_solver() -> Any:
    """A solver that prints nothing; it would greet when its callbacks are made."""
    import highspy  # noqa: PLC0415  (only for plans)

    class Quiet(highspy.Highs):
        def enableCallbacks(self) -> None:  # noqa: N802  (its own name)
            self.setOptionValue("output_flag", False)
            super().enableCallbacks()  # type: ignore[no-untyped-call]

    return Quiet()  # type: ignore[no-untyped-call]


def _read(program: _Program, values: FloatArray, least: float, least_short: FloatArray) -> Solution:
    """Columns as a plan."""
    problem, at = program.problem, program.at
    standing = _standing(program, values)
    short = problem.pots[:, None] - standing.sum(axis=1)
    cost, against = program.weight(values), int(np.round(values[at[3] : at[4]].sum()))
    over = float(program.cost @ values) - least
    return Solution(
        standing=standing,
        short=short,
        short_nights=int(short.sum(axis=0) @ problem.nights),
        short_least=int(least_short @ problem.nights),
        against_wishes=against,
        cost=cost,
        gap=max(0.0, round(over / max(cost, 1.0), 9)) if over < AGAINST else np.inf,
    )
