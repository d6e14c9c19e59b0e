"""
Many places worked through in parallel, with a journal: what is done stays done.

Each place is one line of the journal, written whole before the next is begun. After a kill the
whole lines stand, and the same command goes on behind them; a line cut short is done anew. Places
come out in the order of their list, whatever the number of processes, and only a few are held.
"""

from __future__ import annotations

import gc
import os
from collections.abc import Callable, Iterator
from concurrent.futures.process import BrokenProcessPool
from functools import partial
from itertools import islice
from pathlib import Path

import msgspec
from msgspec import Struct

from suitability import parallel
from suitability.atlas.listing import Listed
from suitability.atlas.pool import in_order
from suitability.errors import OutputError, SuitabilityError

Work = Callable[["Listed"], tuple[tuple[object, ...], ...]]


class Done(Struct, frozen=True, kw_only=True):
    """
    What came of one place.

    Attributes
    ----------
    line, name
        Of the list.
    rows
        What was found, a row for each spot and group.
    failure
        Why nothing was; empty where something was.
    """

    line: int
    name: str
    rows: tuple[tuple[str | bool | int | float | None, ...], ...] = ()
    failure: str = ""


class _Head(Struct, frozen=True):
    """The first line of a journal: which question it holds the answers of."""

    question: str


def journal_of(results: Path) -> Path:
    """Where the journal of some results stands while they are worked out."""
    return results.with_name(f"{results.name}.unfinished")


def read_journal(path: Path) -> Iterator[Done]:
    """Whole lines of a journal, in their order."""
    decode = msgspec.json.Decoder(Done).decode
    with path.open("rb") as file:
        next(file, None)
        yield from (decode(line) for line in file if line.endswith(b"\n"))


def work_through(
    places: Iterator[Listed],
    make: Callable[[], Work],
    journal: Path,
    *,
    question: str,
    processes: int | None = None,
    tell: Callable[[int, str], None] = lambda _number, _name: None,
) -> None:
    """
    Answer for each place that the journal does not yet hold, and write each to it.

    Parameters
    ----------
    make
        Called once in each process: gives what leads from a place to its rows. A module's function
        or a `partial` of one, which can be sent to a process.
    question
        Tells this work from any other; a journal of another question is refused.
    processes
        None: as many as there are cores.
    tell
        Called with the number of places done and the name of the last.

    Raises
    ------
    OutputError
        The journal is of another question or cannot be written, or a process was ended from
        outside.
    """
    try:
        _resume(journal, question)
        done = sum(1 for _ in read_journal(journal))
        encode = msgspec.json.Encoder(order=None).encode
        with journal.open("ab") as file:
            left = islice(places, done, None)
            for one in in_order(left, partial(_careful, make), processes or parallel.workers()):
                file.write(encode(one) + b"\n")
                file.flush()
                done += 1
                tell(done, one.name)
            os.fsync(file.fileno())
    except BrokenProcessPool as reason:
        raise OutputError(
            "A process of this work was ended from outside, as by a lack of memory; the same "
            f"command goes on with what {journal} holds."
        ) from reason
    except OSError as reason:
        raise OutputError(f"{journal}: cannot be written ({reason.strerror}).") from reason


def _resume(journal: Path, question: str) -> None:
    """Begin a journal, or cut the unfinished line off one of the same question."""
    head = msgspec.json.encode(_Head(question)) + b"\n"
    if not journal.exists() or not journal.stat().st_size:
        journal.write_bytes(head)
        return
    with journal.open("rb+") as file:
        if file.readline() != head:
            raise OutputError(
                f"{journal}: holds the beginning of other work (other places, groups, options or "
                "release); name other --results, or delete it."
            )
        whole = file.tell()
        for line in file:
            whole += len(line) if line.endswith(b"\n") else 0
        file.truncate(whole)


def _careful(make: Callable[[], Work]) -> Callable[[Listed], Done]:
    """The work, failures told."""
    return partial(_answer, make())


def _answer(work: Work, place: Listed) -> Done:
    """One place; what a user can mend is its failure, our own mistakes keep their traceback."""
    try:
        rows = work(place)
    except SuitabilityError as reason:
        return Done(line=place.line, name=place.name, failure=str(reason))
    finally:
        gc.collect()  # the program rarely does, and circles would keep the arrays of every place
    return Done(line=place.line, name=place.name, rows=rows)  # type: ignore[arg-type]
