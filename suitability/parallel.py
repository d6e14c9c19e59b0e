"""
Work shared with forked copies of this process.

A copy has all that this process holds, so that only answers travel. Where the system cannot fork
safely (another system than Linux, more than one thread) or has one core only, everything is done
here, one piece after the other: the answers are the same. What a copy could not do, because it
failed or was killed, is done here too, and so fails here if it must.
"""

from __future__ import annotations

import os
import signal
import sys
import threading
from contextlib import ExitStack, contextmanager
from functools import partial
from typing import TYPE_CHECKING, TypeVar

from suitability.errors import SuitabilityError

if TYPE_CHECKING:
    from collections.abc import Callable, Iterator
    from multiprocessing.connection import Connection

Answer = TypeVar("Answer")


class _Process:
    """Whether this process shares no work, because it is itself one of several."""

    alone = False


def work_alone() -> None:
    """From now on this process does everything itself."""
    _Process.alone = True


def workers() -> int:
    """How many processes may work at once; 1 where this one must do it all."""
    if _Process.alone or sys.platform != "linux" or threading.active_count() > 1:
        return 1
    return cores()


def cores() -> int:
    """How many cores this process may use."""
    if sys.platform != "linux":
        return os.cpu_count() or 1
    return len(os.sched_getaffinity(0))


def each(work: Callable[[int], Answer], number: int, at_once: int | None = None) -> list[Answer]:
    """
    `[work(0), work(1), ...]` of so many pieces, this process doing its share.

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

    def share(first: int) -> list[Answer]:
        return [work(piece) for piece in range(first, number, processes)]

    with ExitStack() as stack:
        others = [stack.enter_context(aside(partial(share, at), 2)) for at in range(1, processes)]
        shares = [share(0), *(other() for other in others)]
    return [shares[piece % processes][piece // processes] for piece in range(number)]


@contextmanager
def aside(work: Callable[[], Answer], at_once: int | None = None) -> Iterator[Callable[[], Answer]]:
    """
    Begin some work in a copy; the function given waits for it and returns its answer.

    Without a copy the work is done when the answer is asked for. A copy whose answer nobody waited
    for is stopped.
    """
    if (workers() if at_once is None else at_once) < 2:
        yield work
        return
    from multiprocessing import get_context  # noqa: PLC0415  (little work needs none of it)

    context = get_context("fork")
    receiving, sending = context.Pipe(duplex=False)
    copy = context.Process(target=_answer, args=(work, sending), daemon=True)
    copy.start()
    sending.close()  # so that a copy that ends without an answer is noticed

    def answer() -> Answer:
        try:
            told: Answer = receiving.recv()
        except (EOFError, OSError):  # it ended before, or while, it answered
            return work()
        return told

    try:
        yield answer
    finally:
        copy.terminate()
        copy.join()
        receiving.close()


def _answer(work: Callable[[], Answer], sending: Connection) -> None:
    """Do the work in a copy and send what it gives; nothing where it fails."""
    signal.signal(signal.SIGINT, signal.SIG_IGN)  # the process that waits stops the copies
    try:
        told = work()
    except SuitabilityError:
        return
    sending.send(told)
