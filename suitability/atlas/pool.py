"""Pieces of work handed to several processes, their answers in order; only a few are held."""

from __future__ import annotations

import gc
import os
import signal
import sys
import threading
from collections import deque
from collections.abc import Callable, Iterable, Iterator
from concurrent.futures import Future, ProcessPoolExecutor
from multiprocessing import get_context
from typing import Any, TypeVar

from suitability import parallel

Task = TypeVar("Task")
Answer = TypeVar("Answer")

STANDARD_ERROR = 2
AHEAD = 2  # pieces a process that wait for it; more would only be held


def in_order(
    tasks: Iterable[Task], make: Callable[[], Callable[[Task], Answer]], processes: int
) -> Iterator[Answer]:
    """
    The answer to each task, in the order of the tasks whatever the number of processes.

    Parameters
    ----------
    make
        Called once in each process: gives what leads from a task to its answer. A module's function
        or a `partial` of one, which can be sent to a process.

    Raises
    ------
    BrokenProcessPool
        A process was ended from outside.
    """
    if processes < 2:
        work = make()
        gc.freeze()  # what was there before need not be looked through after every piece
        try:
            yield from map(work, tasks)
        finally:
            gc.unfreeze()
        return
    forks = sys.platform == "linux" and threading.active_count() == 1
    context = get_context("fork" if forks else "spawn")
    pool = ProcessPoolExecutor(
        processes, mp_context=context, initializer=_Process.begin, initargs=(make,)
    )
    waiting: deque[Future[Answer]] = deque()
    try:
        for task in tasks:
            waiting.append(pool.submit(_Process.answer, task))
            if len(waiting) > processes * AHEAD:
                yield waiting.popleft().result()
        while waiting:
            yield waiting.popleft().result()
    finally:
        pool.shutdown(cancel_futures=True)


class _Process:
    """One of several: it shares no work, and leaves Ctrl-C and words to the one that waits."""

    work: Callable[[Any], Any]

    @classmethod
    def begin(cls, make: Callable[[], Callable[[Any], Any]]) -> None:
        signal.signal(signal.SIGINT, signal.SIG_IGN)
        parallel.work_alone()
        os.dup2(os.open(os.devnull, os.O_WRONLY), STANDARD_ERROR)
        cls.work = staticmethod(make())
        gc.freeze()

    @classmethod
    def answer(cls, task: Any) -> Any:
        return cls.work(task)
