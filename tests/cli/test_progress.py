"""The bar of long work, and the line that tells what is being done."""

from __future__ import annotations

import io
import json
import os
import re
import signal
import subprocess
import sys
import threading
from typing import TYPE_CHECKING

import pytest

from suitability.cli.terminal import progress_bar

if TYPE_CHECKING:
    from collections.abc import Callable
    from pathlib import Path

GONE = b"\r\x1b[K"  # the line taken away
LONG = ("--demo", "--spot", "open-porch", "--spot", "open-bench", "--spot", "frost-hollow")
# The command, told of often, so that quick work is too.
OFTEN = """
import sys
from suitability.cli import terminal
terminal.TOLD_EVERY_S = 0.01
from suitability.cli.main import main
main(sys.argv[1:])
"""


class Terminal(io.StringIO):
    """A standard error that is a terminal."""

    def isatty(self) -> bool:
        """Yes."""
        return True


def test_the_bar_tells_each_step_without_a_thread_of_its_own(
    monkeypatch: pytest.MonkeyPatch,
) -> None:
    """With another thread the process would not be copied, and long work take longer."""
    terminal = Terminal()
    monkeypatch.setattr(sys, "stderr", terminal)
    monkeypatch.setenv("TERM", "xterm")
    threads = threading.active_count()
    with progress_bar("steps") as tell:
        assert tell is not None
        tell(1, 3, "moves")
        assert threading.active_count() == threads
        assert "1/3" in terminal.getvalue()
        assert "moves" in terminal.getvalue()


def test_no_bar_where_nobody_sees_it(monkeypatch: pytest.MonkeyPatch) -> None:
    """Piped, nothing is written."""
    monkeypatch.setattr(sys, "stderr", io.StringIO())
    with progress_bar() as tell:
        assert tell is None


def on_a_terminal(
    *words: str, seeing: Callable[[subprocess.Popen[bytes], bytes], None] | None = None
) -> tuple[int, bytes, bytes]:
    """Exit code, standard output (a pipe) and all that a terminal was shown as standard error."""
    import pty  # none on Windows

    own, theirs = pty.openpty()
    with subprocess.Popen(
        [sys.executable, "-c", OFTEN, *words],
        stdin=subprocess.DEVNULL,
        stdout=subprocess.PIPE,
        stderr=theirs,
        env=os.environ | {"TERM": "xterm"},
    ) as command:
        os.close(theirs)
        shown = b""
        while more := _read(own):
            shown += more
            if seeing is not None:
                seeing(command, shown)
        assert command.stdout is not None
        out = command.stdout.read()
    os.close(own)
    return command.returncode, out, shown


def _read(terminal: int) -> bytes:
    """What is shown next; nothing at its end, which some systems tell as an error."""
    try:
        return os.read(terminal, 4096)
    except OSError:
        return b""


@pytest.mark.slow
def test_long_work_is_told_on_a_terminal_and_the_answer_stays_clean() -> None:
    """What is done, with its seconds; the line is gone before the answer, which has none of it."""
    code, out, shown = on_a_terminal("check", *LONG, "--group", "nobile")
    assert code == 0, shown
    assert re.search(rb"Working out the answer, \d+ s", shown)  # of a slow machine, not 0
    assert b"\x1b" not in out
    told, _, after = shown.rpartition(GONE)
    assert told.count(GONE) > 1
    assert after == b""


def test_an_error_stands_in_a_line_of_its_own(tmp_path: Path) -> None:
    """The line of the work is taken away first, however the work ends."""
    record = tmp_path / "long.csv"
    record.write_text("time,temp\n" + "2020-01-01 00:00,soon\n" * 200_000, "utf-8")
    code, out, shown = on_a_terminal("check", "--record", str(record), "--at", "1,1")
    assert (code, out) == (1, b"")
    told, _, sentence = shown.rpartition(GONE)
    assert b"Reading" in told
    assert sentence.startswith(b"suitability: long.csv, line 2: ")
    assert sentence.count(b"\n") == 1


@pytest.mark.slow
def test_work_that_is_told_of_can_be_stopped() -> None:
    """Ctrl-C takes the line away and says its sentence."""
    stopped: list[int] = []

    def stop(command: subprocess.Popen[bytes], shown: bytes) -> None:
        if b"Working out" in shown and not stopped:
            stopped.append(command.pid)
            command.send_signal(signal.SIGINT)

    code, out, shown = on_a_terminal("check", *LONG, seeing=stop)
    assert (code, out) == (130, b"")
    assert shown.endswith(GONE + b"suitability: Stopped; nothing was half-written.\r\n")


def test_nothing_is_told_where_standard_error_is_no_terminal() -> None:
    """Piped, the same command writes its answer and nothing else."""
    done = subprocess.run(
        [sys.executable, "-c", OFTEN, "check", "--demo", "--group", "nobile", "--json"],
        capture_output=True,
        check=True,
    )
    assert done.stderr == b""
    assert json.loads(done.stdout)["place"]["invented"] is True
