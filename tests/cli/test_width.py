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


def test_a_narrow_answer_keeps_its_sentences_in_and_its_numbers_whole(
    monkeypatch: pytest.MonkeyPatch, capsys: pytest.CaptureFixture[str]
) -> None:
    """The demo place at 60 columns: the same rows of hours as at 80."""

    def answer(columns: str) -> list[str]:
        monkeypatch.setenv("COLUMNS", columns)
        with pytest.raises(SystemExit):
            main(["check", "--demo", "--group", "phalaenanthe"])
        return capsys.readouterr().out.splitlines()

    narrow, usual = answer("60"), answer("80")
    hours = [line for line in usual if "°C floor" in line]
    assert hours
    assert set(hours) <= set(narrow)
    assert all(len(line) <= 60 for line in narrow[:8])
