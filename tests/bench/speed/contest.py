"""
Contenders side by side: that they agree first, then what each costs.

In a round every contender runs once in turn, so that a machine that speeds up or slows down moves
all. Where memory counts, each has a process of its own (`apart`), in which the limits are timed
beside it: there costs are compared as multiples of them.
"""

from __future__ import annotations

import statistics
import time
from collections.abc import Callable, Mapping, Sequence
from importlib.util import find_spec
from pathlib import Path
from shutil import which
from typing import Any

import numpy as np
from msgspec import Struct
from numpy.typing import NDArray

Found = Mapping[str, NDArray[Any]]
Run = Callable[[], Any]

LIMIT, OURS, PEER = "limit", "ours", "peer"
NEAREST = "the nearest other"  # instead of names in a goal


class DisagreementError(AssertionError):
    """Two contenders do not come to the same results, so that their times say nothing."""


class Setting(Struct, frozen=True):
    """How large the works are, and a folder for what several processes read."""

    folder: Path
    quick: bool = False

    def of(self, usual: int, quick: int) -> int:
        """One of two sizes."""
        return quick if self.quick else usual


class Spent(Struct, frozen=True):
    """What a run says that it took, where the clock of this process does not tell."""

    seconds: float
    peak_mb: float | None = None
    what: Any = None


class Contender(Struct, frozen=True):
    """
    One way to do a work.

    Attributes
    ----------
    prepare
        Untimed, data as users of this way hold them: gives what is timed.
    result
        What came out, as it is compared: integers exactly, others to `within`; None: not compared.
    needs
        Packages and programs, with blanks between, without which it is "not installed".
    rounds
        Fewer than the work's, of a slow one.
    share
        Of the work that it does: seconds are scaled up, and the first part of results compared.
    pieces, piece
        What its time is divided by, where that is told.
    """

    name: str
    prepare: Callable[[], Run]
    result: Callable[[Any], Found] | None = None
    role: str = PEER
    needs: str = ""
    rounds: int | None = None
    share: float = 1.0
    within: float = 1e-6
    pieces: float | None = None

    def missing(self) -> list[str]:
        """Packages and programs that are not installed."""
        return [one for one in self.needs.split() if find_spec(one) is None and which(one) is None]


class Goal(Struct, frozen=True):
    """
    What a ratio should be.

    Attributes
    ----------
    over, under
        Names of contenders; of several the least counts. Empty below: the limit. `NEAREST`: all
        that are not ours.
    measure
        "cost": multiples of the limit; "seconds" and "MB" by themselves, MB beyond the result.
    """

    says: str
    over: str | tuple[str, ...]
    bound: float
    under: str = ""
    at_least: bool = False
    measure: str = "cost"
    factor: float = 1.0


def ahead(says: str, over: str | tuple[str, ...], bound: float, under: str = "ours") -> Goal:
    """That others take so many times as long as ours."""
    return Goal(f"{says} / {under}", over, bound, under, at_least=True)


class Work(Struct, frozen=True):
    """What is done, on what, and by whom."""

    key: str
    title: str
    data: str
    contenders: tuple[Contender, ...]
    goals: tuple[Goal, ...] = ()
    rounds: int = 7
    apart: bool = False
    piece: str = ""


class Row(Struct, frozen=True, kw_only=True):
    """
    What one contender took, seconds scaled to the whole work.

    Attributes
    ----------
    limit_s
        The quickest limit beside it, medians; None without one.
    """

    name: str
    role: str
    seconds: tuple[float, ...] = ()
    limit_s: float | None = None
    extra_mb: float | None = None
    result_mb: float = 0.0
    missing: tuple[str, ...] = ()
    share: float = 1.0
    pieces: float | None = None

    @property
    def median(self) -> float:
        """Seconds."""
        return statistics.median(self.seconds)

    def cost(self, *, least: bool = False) -> float:
        """Multiples of the limit, or seconds without one."""
        return (min(self.seconds) if least else self.median) / (self.limit_s or 1.0)


class Judged(Struct, frozen=True, kw_only=True):
    """A goal and what was measured: of medians, and of the least times; None: nothing was."""

    says: str
    bound: float
    at_least: bool
    measured: float | None = None
    of_least: float | None = None

    @property
    def met(self) -> bool | None:
        """Of the medians."""
        if self.measured is None:
            return None
        return self.measured >= self.bound if self.at_least else self.measured <= self.bound


class Outcome(Struct, frozen=True, kw_only=True):
    """What came of a work."""

    key: str
    title: str
    data: str
    rows: tuple[Row, ...]
    goals: tuple[Judged, ...]
    piece: str = ""


def timed(run: Run) -> tuple[float, float | None, Any]:
    """
    Seconds, MB where the run tells them, and what came out.

    Seconds are those of the clock, or those that the processors worked where they are fewer: then
    the run had to wait for other work on the machine.
    """
    start, worked = time.perf_counter(), time.process_time()
    found = run()
    worked, seconds = time.process_time() - worked, time.perf_counter() - start
    if isinstance(found, Spent):
        return found.seconds, found.peak_mb, found.what
    return min(seconds, worked), None, found


def check_agreement(name: str, theirs: Found, ours: Found, contender: Contender) -> None:
    """
    Results of one beside those of the first.

    Raises
    ------
    DisagreementError
    """
    for key, expected in ours.items():
        found = theirs[key]
        whole = expected[: len(found)] if contender.share < 1.0 else expected
        if found.shape != whole.shape:
            raise DisagreementError(f"{name}: {key} has shape {found.shape}, not {whole.shape}")
        within = 0.0 if np.issubdtype(whole.dtype, np.integer) else contender.within
        off = ~np.isclose(found, whole, rtol=0.0, atol=within, equal_nan=True)
        if off.any():
            raise DisagreementError(f"{name}: {int(off.sum())} of {off.size} {key} differ")


def hold(work: Work, setting: Setting) -> Outcome:
    """Agreement, then times of all contenders of a work."""
    if work.apart and not setting.quick:
        from .apart import race_apart

        rows = race_apart(work, setting)
    else:
        rows = race(work)
    return Outcome(
        key=work.key,
        title=work.title,
        data=work.data,
        rows=rows,
        goals=tuple(judge(goal, rows) for goal in work.goals),
        piece=work.piece,
    )


def race(work: Work) -> tuple[Row, ...]:
    """All in this process, in turn in every round; a single round is the first run."""
    runs: dict[str, Run] = {}
    spent: dict[str, list[float]] = {one.name: [] for one in work.contenders}
    peaks: dict[str, float | None] = {}
    ours: Found | None = None
    for one in work.contenders:
        if one.missing():
            continue
        runs[one.name] = one.prepare()
        seconds, peaks[one.name], what = timed(runs[one.name])
        if (one.rounds or work.rounds) == 1:
            spent[one.name].append(seconds / one.share)
        if one.result is not None:
            found = one.result(what)
            ours = ours or found
            check_agreement(one.name, found, ours, one)
    for number in range(work.rounds):
        for one in work.contenders:
            rounds = one.rounds or work.rounds
            if one.name in runs and rounds > 1 and number < rounds:
                seconds, peaks[one.name], _ = timed(runs[one.name])
                spent[one.name].append(seconds / one.share)
    limits = [
        statistics.median(spent[one.name])
        for one in work.contenders
        if one.role == LIMIT and spent[one.name]
    ]
    limit_s = min(limits, default=None)
    return tuple(
        row_of(one, tuple(spent[one.name]), limit_s, peaks.get(one.name)) for one in work.contenders
    )


def row_of(
    one: Contender,
    seconds: tuple[float, ...],
    limit_s: float | None,
    extra_mb: float | None,
    result_mb: float = 0.0,
) -> Row:
    """The row of a contender."""
    return Row(
        name=one.name,
        role=one.role,
        seconds=seconds,
        limit_s=limit_s,
        extra_mb=extra_mb,
        result_mb=result_mb,
        missing=tuple(one.missing()),
        share=one.share,
        pieces=one.pieces,
    )


def judge(goal: Goal, rows: Sequence[Row]) -> Judged:
    """What was measured of a goal."""
    there = {row.name: row for row in rows if row.seconds}
    names = (goal.over,) if isinstance(goal.over, str) else goal.over
    if goal.over == NEAREST:
        names = tuple(name for name, row in there.items() if row.role == PEER)
    over = [there[name] for name in names if name in there]
    if goal.measure == "MB":
        over = [row for row in over if row.extra_mb is not None]
    under = there.get(goal.under)

    def value(row: Row, *, least: bool) -> float:
        if goal.measure == "MB":
            return (row.extra_mb or 0.0) - row.result_mb
        if goal.measure == "seconds":
            return min(row.seconds) if least else row.median
        return row.cost(least=least)

    found: list[float | None] = [
        min(value(row, least=least) for row in over)
        * goal.factor
        / (value(under, least=least) if under else 1.0)
        if over and (under or not goal.under)
        else None
        for least in (False, True)
    ]
    return Judged(
        says=goal.says,
        bound=goal.bound,
        at_least=goal.at_least,
        measured=found[0],
        of_least=None if goal.measure == "MB" else found[1],
    )
