"""
Work shared with forked copies of this process.

A copy has all that this process holds, so that only answers travel. Where the system cannot fork
safely (another system than Linux, more than one thread) or has one core only, everything is done
here, one piece after the other: the answers are the same.
"""

from __future__ import annotations

import os
import signal
import sys
import threading
from contextlib import contextmanager
from typing import TYPE_CHECKING, Any, TypeVar

if TYPE_CHECKING:
    from collections.abc import Callable, Iterator

__all__ = ["aside", "each", "workers"]

Answer = TypeVar("Answer")

_held: list[Callable[..., Any]] = []  # what copies are to do; they find it in their copy


def workers() -> int:
    """How many processes may work at once; 1 where this one must do it all."""
    if sys.platform != "linux" or threading.active_count() > 1:
        return 1
    return len(os.sched_getaffinity(0))


def each(work: Callable[[int], Answer], number: int, at_once: int | None = None) -> list[Answer]:
    """
    `[work(0), work(1), ...]` of so many pieces.

    What a piece raises is raised here. Interrupted, the copies are stopped.

    Parameters
    ----------
    work
        Must not depend on what earlier pieces changed.
    at_once
        Processes; None: as many as the system has cores.
    """
    processes = min(workers() if at_once is None else at_once, number)
    if processes < 2:
        return [work(piece) for piece in range(number)]
    from multiprocessing import get_context  # noqa: PLC0415  (one piece alone needs none of it)

    _held.append(work)
    try:
        with get_context("fork").Pool(processes, _leave_interrupts) as pool:
            return pool.map(_do, range(number), chunksize=1)
    finally:
        _held.pop()


@contextmanager
def aside(work: Callable[[], Answer], at_once: int | None = None) -> Iterator[Callable[[], Answer]]:
    """
    Begin some work in a copy; the function given waits for it and returns its answer.

    Without a copy the work is done when the answer is asked for. What it raises is raised there.
    """
    if (workers() if at_once is None else at_once) < 2:
        yield work
        return
    from multiprocessing import get_context  # noqa: PLC0415

    _held.append(lambda _: work())
    try:
        pool = get_context("fork").Pool(1, _leave_interrupts)
    finally:
        _held.pop()
    with pool:
        begun = pool.apply_async(_do, (0,))
        yield begun.get


def _leave_interrupts() -> None:
    """Ctrl-C is for the process that waits; it stops the copies."""
    signal.signal(signal.SIGINT, signal.SIG_IGN)


def _do(piece: int) -> Any:
    """One piece of what is held, in a copy."""
    return _held[-1](piece)
