"""Ends that nobody planned: Ctrl-C, a standard output that is closed, a reader that goes."""

from __future__ import annotations

import os
import shutil
import signal
import subprocess
import sys
import time
from pathlib import Path
from typing import TYPE_CHECKING

import pytest

if TYPE_CHECKING:
    from collections.abc import Callable

pytestmark = pytest.mark.slow

PROGRAM = [sys.executable, "-m", "suitability"]
STOPPED = "suitability: Stopped; nothing was half-written.\n"
CLOSED = (
    "suitability: Standard output is closed, so that the answer has no place; give it a file or"
)

# Interrupts itself as soon as a module named on the command line is looked for.
INTERRUPTED_AT = """
import os, signal, sys
module = sys.argv.pop(1)
class Interrupting:
    def find_spec(self, name, path=None, target=None):
        if name == module:
            sys.meta_path.remove(self)
            os.kill(os.getpid(), signal.SIGINT)
sys.meta_path.insert(0, Interrupting())
from suitability.__main__ import main
main()
"""


def processes() -> dict[int, tuple[str, int]]:
    """Name and parent of every process that runs, by its number."""
    found = {}
    for folder in Path("/proc").iterdir():
        try:
            stat = (folder / "stat").read_text() if folder.name.isdigit() else ""
        except OSError:  # it has just ended
            continue
        name, _, rest = stat.partition("(")[2].rpartition(")")
        state, parent = rest.split()[:2] if rest else ("Z", "0")
        if state != "Z":
            found[int(folder.name)] = (name, int(parent))
    return found


def below(ancestor: int) -> set[int]:
    """Processes that it started, or one of those did."""
    running, found = processes(), {ancestor}
    while more := {one for one, (_, parent) in running.items() if parent in found} - found:
        found |= more
    return found - {ancestor}


def browsers_of(ancestor: int) -> set[int]:
    """Browsers among them."""
    running = processes()
    return {one for one in below(ancestor) if running.get(one, ("", 0))[0].startswith("chrom")}


def wait_until(what: Callable[[], object], seconds: float) -> bool:
    """Whether it came true in time."""
    deadline = time.monotonic() + seconds
    while not (true := bool(what())) and time.monotonic() < deadline:
        time.sleep(0.01)
    return true


def with_browser(asked: list[str], folder: Path) -> subprocess.Popen[str]:
    """The program once its browser runs; asked twice, as a busy machine may start none."""
    for _ in range(2):
        program = subprocess.Popen(
            [*PROGRAM, *asked, "--demo"],
            stdout=subprocess.PIPE,
            stderr=subprocess.PIPE,
            text=True,
            start_new_session=True,
            cwd=folder,
            env=os.environ | {"TMPDIR": str(folder)},
        )
        if wait_until(lambda pid=program.pid: browsers_of(pid), 60.0):  # type: ignore[misc]
            return program
        program.kill()
        program.communicate(timeout=30.0)
        for left in folder.iterdir():
            shutil.rmtree(left) if left.is_dir() else left.unlink()
    raise AssertionError("no browser was started")


@pytest.mark.usefixtures("browser")
@pytest.mark.parametrize(
    ("asked", "number"),
    [
        (["check", "--figure", "a.png"], signal.SIGINT),
        (["check", "--figure", "a.png"], signal.SIGTERM),
        (["check", "--figure", "a.png"], signal.SIGKILL),
        (["cards", "--group", "nobile", "--pdf", "a.pdf"], signal.SIGINT),
    ],
    ids=["drawing", "drawing, ended", "drawing, killed", "printing"],
)
def test_a_browser_ends_with_the_program(
    tmp_path: Path, asked: list[str], number: signal.Signals
) -> None:
    """The signal goes to the whole group, as a terminal's does; no browser and no file is left."""
    with with_browser(asked, tmp_path) as program:
        started = below(program.pid)
        os.killpg(program.pid, number)
        out, err = program.communicate(timeout=30.0)
    assert out == ""
    if number is signal.SIGINT:
        assert (program.returncode, err) == (130, STOPPED)
        assert wait_until(lambda: list(tmp_path.iterdir()) == [], 10.0)
    else:
        assert program.returncode == -number
    assert wait_until(lambda: not started & set(processes()), 10.0)
    assert not list(tmp_path.glob("a*"))


@pytest.mark.parametrize("module", ["typer", "suitability.cli.check", "numpy"])
def test_ctrl_c_while_the_program_loads_is_one_sentence(module: str) -> None:
    """Before the door is there, while it opens, and in a command."""
    asked = [sys.executable, "-c", INTERRUPTED_AT, module, "check", "--demo", "--json"]
    done = subprocess.run(asked, capture_output=True, text=True, check=False, timeout=60.0)
    assert (done.returncode, done.stdout, done.stderr) == (130, "", STOPPED)


def test_a_background_job_that_ignores_ctrl_c_goes_on() -> None:
    """A shell without job control starts those with the signal ignored."""
    ignoring = f"import signal\nsignal.signal(signal.SIGINT, signal.SIG_IGN)\n{INTERRUPTED_AT}"
    asked = [sys.executable, "-c", ignoring, "typer", "groups"]
    done = subprocess.run(asked, capture_output=True, text=True, check=False, timeout=60.0)
    assert (done.returncode, done.stderr) == (0, "")
    assert "phalaenanthe" in done.stdout


@pytest.mark.parametrize(
    "arguments",
    [
        ["check", "--demo", "--group", "nobile"],
        ["check", "--demo", "--group", "nobile", "--json"],
        ["moves", "--demo", "--group", "nobile", "--csv", "-"],
        ["spots", "kinds", "--json"],
        ["groups"],
        ["check", "--help"],
        ["--version"],
        [],
    ],
)
def test_a_closed_standard_output_is_one_sentence(arguments: list[str]) -> None:
    """Results that have no place are not a success."""
    asked = ["/bin/sh", "-c", 'exec "$0" "$@" >&-', *PROGRAM, *arguments]
    done = subprocess.run(asked, capture_output=True, text=True, check=False, timeout=60.0)
    assert done.returncode == 1
    assert done.stderr.startswith(CLOSED)
    assert len(done.stderr.splitlines()) == 1


def test_a_command_that_writes_files_needs_no_standard_output(tmp_path: Path) -> None:
    """Nothing is said there, so that nothing is missing."""
    asked = ["/bin/sh", "-c", 'exec "$0" "$@" >&-', *PROGRAM]
    asked += ["report", "--demo", "--group", "nobile", "--out", str(tmp_path / "a.html")]
    done = subprocess.run(asked, capture_output=True, text=True, check=False, timeout=120.0)
    assert done.returncode == 0, done.stderr
    assert (tmp_path / "a.html").stat().st_size > 100_000


@pytest.mark.parametrize("closed", ["", "2>&-"])
@pytest.mark.parametrize("arguments", ["check --demo --json", "groups", "check --demo --csv -"])
def test_a_reader_that_goes_is_no_failure(arguments: str, closed: str, tmp_path: Path) -> None:
    """`| head` has what it wanted: no word, and exit code 0."""
    program = f'"{sys.executable}" -m suitability {arguments} {closed}'
    code = tmp_path / "code"
    done = subprocess.run(
        ["/bin/sh", "-c", f'{{ {program}; echo $? > "{code}"; }} | head -c 10'],
        capture_output=True,
        text=True,
        check=False,
        timeout=60.0,
    )
    assert code.read_text() == "0\n"
    assert len(done.stdout) == 10
    assert done.stderr == ""
