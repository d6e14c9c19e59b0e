"""Work shared with forked copies: the same answers as alone, and no copy left behind."""

from __future__ import annotations

import multiprocessing
import os
import signal
import threading
from typing import TYPE_CHECKING

import pytest

from suitability import parallel
from suitability.errors import RecordError

if TYPE_CHECKING:
    from collections.abc import Callable
    from multiprocessing.connection import Connection


@pytest.mark.parametrize("at_once", [1, 2, 5])
def test_the_answers_come_in_order_whoever_gives_them(at_once: int) -> None:
    """Closures and all that this process holds are there in the copies."""
    held = [3, 1, 2]
    assert parallel.each(lambda piece: (piece, held[piece]), 3, at_once) == [(0, 3), (1, 1), (2, 2)]
    assert multiprocessing.active_children() == []


@pytest.mark.parametrize("at_once", [1, 2])
def test_what_a_piece_raises_is_raised_here(at_once: int) -> None:
    """With its own sentence."""

    def work(piece: int) -> int:
        if piece == 1:
            raise RecordError("Nothing of the record lies in the years asked for.")
        return piece

    with pytest.raises(RecordError, match="Nothing of the record"):
        parallel.each(work, 3, at_once)
    assert multiprocessing.active_children() == []


def test_copies_are_other_processes() -> None:
    """The first share is done here, the others are not."""
    here, there, again = parallel.each(lambda _: os.getpid(), 3, 2)
    assert here == again == os.getpid() != there
    assert parallel.each(lambda _: os.getpid(), 2, 1) == [os.getpid()] * 2


@pytest.mark.parametrize("at_once", [1, 2])
def test_work_aside_gives_its_answer_when_asked(at_once: int) -> None:
    """And what it raises."""
    with parallel.aside(lambda: 6 * 7, at_once) as answer:
        assert answer() == 42
    with (
        parallel.aside(lambda: 1 // (at_once * 0), at_once) as no,
        pytest.raises(ZeroDivisionError),
    ):
        no()
    assert multiprocessing.active_children() == []


def test_work_aside_that_nobody_waits_for_is_stopped() -> None:
    """An error in the meantime leaves no copy behind."""

    def meanwhile() -> None:
        with parallel.aside(threading.Event().wait, 2):
            raise RecordError("in the meantime")

    with pytest.raises(RecordError, match="in the meantime"):
        meanwhile()
    assert multiprocessing.active_children() == []


def test_with_other_threads_nothing_is_forked() -> None:
    """A lock that another thread holds would never be free in a copy."""
    go = threading.Event()
    thread = threading.Thread(target=go.wait)
    thread.start()
    assert parallel.workers() == 1
    go.set()
    thread.join()


def test_an_answer_torn_while_it_is_sent_is_worked_out_here(
    monkeypatch: pytest.MonkeyPatch,
) -> None:
    """A copy killed within its answer leaves the beginning of one."""

    def half(work: Callable[[], object], sending: Connection) -> None:
        work()
        os.write(sending.fileno(), (1000).to_bytes(4, "big") + b"half")

    monkeypatch.setattr(parallel, "_answer", half)
    with parallel.aside(lambda: 42, 2) as answer:
        assert answer() == 42


def test_what_a_copy_could_not_do_is_done_here() -> None:
    """Killed, as for shortfall of memory."""
    parent = os.getpid()

    def work(piece: int) -> int:
        if os.getpid() != parent:
            os.kill(os.getpid(), signal.SIGKILL)
        return piece

    assert parallel.each(work, 5, 2) == [0, 1, 2, 3, 4]
