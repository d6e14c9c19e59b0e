"""How wide answers are: by COLUMNS, else as the terminal, else 80; tables keep their numbers."""

from __future__ import annotations

import fcntl
import os
import pty
import struct
import subprocess
import sys
import termios

import pytest

from suitability.cli.main import main
from suitability.cli.terminal import terminal_width

WIDEST = "from suitability.cli.terminal import terminal_width; print(terminal_width())"


@pytest.mark.parametrize(
    ("columns", "width"),
    [("60", 60), ("120", 120), ("200", 200), ("10", 60), ("900", 200), ("", 80), ("wide", 80)],
)
def test_in_a_pipe_columns_decides(
    columns: str, width: int, monkeypatch: pytest.MonkeyPatch
) -> None:
    """What is no number, or nothing, leaves the usual 80."""
    monkeypatch.setenv("COLUMNS", columns)
    assert terminal_width() == width


@pytest.mark.parametrize(("columns", "width"), [(None, 132), ("70", 70)])
def test_on_a_terminal_its_own_width_counts_but_for_columns(
    columns: str | None, width: int
) -> None:
    """A real terminal of 132 columns."""
    ours, theirs = pty.openpty()
    fcntl.ioctl(theirs, termios.TIOCSWINSZ, struct.pack("HHHH", 40, 132, 0, 0))
    environment = {**os.environ, **({} if columns is None else {"COLUMNS": columns})}
    subprocess.run([sys.executable, "-c", WIDEST], stdout=theirs, env=environment, check=True)
    os.close(theirs)
    assert int(os.read(ours, 100)) == width
    os.close(ours)


@pytest.mark.parametrize("asked", [["--group", "phalaenanthe"], []])
def test_a_narrow_answer_keeps_within_its_lines_and_says_the_same(
    asked: list[str], monkeypatch: pytest.MonkeyPatch, capsys: pytest.CaptureFixture[str]
) -> None:
    """The demo place at 60 columns: no number is lost that stands there at 80."""

    def answer(columns: str) -> list[str]:
        monkeypatch.setenv("COLUMNS", columns)
        with pytest.raises(SystemExit):
            main(["check", "--demo", *asked])
        return capsys.readouterr().out.splitlines()

    def numbers(lines: list[str]) -> set[str]:
        return {
            word.strip(".,;()%") for line in lines for word in line.split() if word[0].isdigit()
        }

    narrow, usual = answer("60"), answer("80")
    assert max(map(len, narrow)) <= 60
    assert max(map(len, usual)) > 60
    assert len(numbers(usual)) > 30
    assert numbers(narrow) == numbers(usual)
