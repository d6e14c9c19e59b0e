"""What the terminal can show, and how commands speak to it."""

import os
import shutil
import sys
from collections.abc import Callable, Iterator
from contextlib import contextmanager
from typing import TYPE_CHECKING

import typer

if TYPE_CHECKING:
    import logging

    from msgspec import Struct

    from suitability.answers.sheet import Sheet

PIPED_WIDTH = 80
NARROWEST, WIDEST = 60, 200
STANDARD_ERROR = 2
TOLD_EVERY_S = 1.0  # work that takes no longer is not told of


class _Work:
    """What this process is doing, and since when; in one line of the terminal once it is told."""

    words = ""
    since_s: float | None = None
    told = False
    listener: "logging.Handler | None" = None


def terminal_width() -> int:
    """Columns by COLUMNS, else of the terminal, else 80; never fewer than 60 nor more than 200."""
    if not _is_terminal() and not os.environ.get("COLUMNS", "").isdigit():
        return PIPED_WIDTH
    columns = shutil.get_terminal_size((PIPED_WIDTH, 24)).columns
    return min(max(columns, NARROWEST), WIDEST)


def terminal_colour() -> bool:
    """Whether colour may be used; it never carries meaning alone."""
    return _is_terminal() and not os.environ.get("NO_COLOR") and os.environ.get("TERM") != "dumb"


def _is_terminal() -> bool:
    """Whether a person reads standard output; it may also have been closed."""
    return sys.stdout is not None and sys.stdout.isatty()


def print_json(result: "Struct") -> None:
    """The JSON document of a result on standard output."""
    from suitability.output.document import render_json

    done()
    typer.echo(render_json(result))


def print_sheet(sheet: "Sheet", *, details: bool) -> None:
    """A sheet on standard output, as wide as the terminal: everything of it, or the answer."""
    from suitability.output.terminal import render_terminal

    done()
    width, colour = terminal_width(), terminal_colour()
    typer.echo(render_terminal(sheet, width=width, colour=colour, details=details))


def say(*sentences: str) -> None:
    """What is to be told, on standard error."""
    done()
    for sentence in sentences:
        if sentence:
            typer.echo(f"suitability: {sentence}", err=True)


@contextmanager
def progress_bar(counted: str = "years") -> Iterator[Callable[[int, int, str], None] | None]:
    """A bar on standard error while years are fetched, or other work is done; None if unseen."""
    done()
    if not sys.stderr.isatty():
        yield None
        return
    from rich.console import Console
    from rich.progress import BarColumn, MofNCompleteColumn, Progress, TextColumn

    bar = Progress(
        BarColumn(24),
        MofNCompleteColumn(),
        TextColumn(f"{counted}  {{task.description}}"),
        console=Console(stderr=True),
        transient=True,
        auto_refresh=False,  # nothing moves between two steps, and its thread would bar forking
    )
    with bar:
        task = bar.add_task("", total=None)

        def tell(done: int, total: int, words: str) -> None:
            bar.update(task, completed=done, total=total, description=words, refresh=True)

        yield tell


def hear_steps() -> None:
    """Write on standard error, from now on, each step of the work and when it was done."""
    if _Work.listener is not None:
        return
    import logging
    import time

    from suitability.steps import LOGGER

    begun_s = time.perf_counter()

    class Steps(logging.Handler):
        def emit(self, record: logging.LogRecord) -> None:
            say(f"{time.perf_counter() - begun_s:.3f} s: {record.getMessage()}")

    logger = logging.getLogger(LOGGER)
    _Work.listener = Steps()
    logger.addHandler(_Work.listener)
    logger.setLevel(logging.INFO)


def hear_steps_no_more() -> None:
    """Say how long all took, if steps were heard; the next run in this process says nothing."""
    if _Work.listener is None:
        return
    import logging

    from suitability.steps import LOGGER, tell_step

    tell_step("Done")
    logger = logging.getLogger(LOGGER)
    logger.removeHandler(_Work.listener)
    logger.setLevel(logging.NOTSET)
    _Work.listener = None


def doing(words: str, *, step: bool = True) -> None:
    """
    Tell on standard error what is being done, with its seconds, as soon as it takes one.

    Only a terminal is told. A timer of the system interrupts the work for it: another thread would
    bar the copies of the process that share the work.

    Parameters
    ----------
    words
    step
        Whether this is a step of its own, or tells how far the last one has come.
    """
    import signal
    import time

    from suitability.steps import tell_step

    if step:
        tell_step("%s", words)
    _Work.words = words
    if _Work.since_s is not None or not _is_watched():
        return
    _Work.since_s = time.monotonic()
    signal.signal(signal.SIGALRM, _tell)
    signal.siginterrupt(signal.SIGALRM, False)
    signal.setitimer(signal.ITIMER_REAL, TOLD_EVERY_S, TOLD_EVERY_S)


def done() -> None:
    """Take that line away; what comes next may be written."""
    if _Work.since_s is None:
        return
    import signal

    signal.setitimer(signal.ITIMER_REAL, 0.0)
    _Work.since_s = None
    if _Work.told:
        _Work.told = False
        os.write(STANDARD_ERROR, b"\r\x1b[K")


def _is_watched() -> bool:
    """Whether a person sees standard error, on a terminal that can take a line away."""
    import signal
    import threading

    return (
        _Work.listener is None  # who reads each step needs no line beside them
        and os.isatty(STANDARD_ERROR)
        and os.environ.get("TERM") != "dumb"
        and hasattr(signal, "setitimer")
        and threading.current_thread() is threading.main_thread()
    )


def _tell(*_: object) -> None:
    """The line, written past Python's buffers, in the middle of which it may have come."""
    import time

    if _Work.since_s is not None:
        seconds = time.monotonic() - _Work.since_s
        _Work.told = True
        os.write(STANDARD_ERROR, f"\r\x1b[K{_Work.words}, {seconds:.0f} s".encode())
