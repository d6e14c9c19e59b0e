"""Writing results: whole or not at all."""

from __future__ import annotations

import os
import signal
import stat
import sys
from pathlib import Path

import pytest

from suitability.errors import OutputError
from suitability.output.writing import check_target, write_bytes, write_text


def names_in(folder: Path) -> list[str]:
    return sorted(path.name for path in folder.iterdir())


def test_text_is_written_as_it_is(tmp_path: Path) -> None:
    """UTF-8, line ends unchanged, nothing left beside it."""
    write_text(tmp_path / "a.csv", "Å\nb\r\n")
    assert (tmp_path / "a.csv").read_bytes() == "Å\nb\r\n".encode()
    assert names_in(tmp_path) == ["a.csv"]


def test_text_that_cannot_be_encoded_is_still_written(tmp_path: Path) -> None:
    """A lone surrogate becomes a question mark, not a crash."""
    write_text(str(tmp_path / "a.txt"), "a\ud800b")
    assert (tmp_path / "a.txt").read_text("utf-8") == "a?b"


def test_hyphen_is_standard_output(capsys: pytest.CaptureFixture[str]) -> None:
    """A hyphen prints and makes no file."""
    check_target("-")
    check_target(None)
    write_text("-", "a,b\n")
    assert capsys.readouterr().out == "a,b\n"
    assert not Path("-").exists()


def test_older_file_is_replaced_and_keeps_its_mode(tmp_path: Path) -> None:
    """A renewed file has the permissions of the old one."""
    target = tmp_path / "a.html"
    target.write_text("old")
    target.chmod(0o640)
    write_text(target, "new")
    assert target.read_text() == "new"
    assert stat.S_IMODE(target.stat().st_mode) == 0o640


def test_link_stays_a_link(tmp_path: Path) -> None:
    """Writing through a link renews the file behind it."""
    (tmp_path / "real").mkdir()
    target = tmp_path / "real" / "a.html"
    target.write_text("old")
    link = tmp_path / "link.html"
    link.symlink_to(target)
    write_text(link, "new")
    assert link.is_symlink()
    assert target.read_text() == "new"


@pytest.mark.parametrize(
    ("name", "said"),
    [
        ("nowhere/a.csv", "does not exist"),
        ("", "is a folder"),
        ("file/a.csv", "is a file, not a folder"),
    ],
)
def test_impossible_targets_are_told_beforehand(tmp_path: Path, name: str, said: str) -> None:
    """One sentence that names the target and says what to do; nothing is made."""
    (tmp_path / "file").write_text("x")
    target = f"{tmp_path}/{name}" if name else str(tmp_path)
    for write_it in (False, True):
        with pytest.raises(OutputError) as caught:
            write_text(target, "x") if write_it else check_target(target)
        assert said in str(caught.value)
        assert target in str(caught.value)
        assert "\n" not in str(caught.value)
    assert names_in(tmp_path) == ["file"]


def test_zero_byte_in_a_name_is_told() -> None:
    """No traceback for a name that no system takes."""
    with pytest.raises(OutputError, match="no name of a file"):
        check_target("a\x00b.csv")


def test_overlong_name_is_told_and_leaves_nothing(tmp_path: Path) -> None:
    """The system's refusal becomes a sentence; the folder stays as it was."""
    with pytest.raises(OutputError, match="cannot be written"):
        write_text(tmp_path / ("x" * 300), "x")
    assert names_in(tmp_path) == []


def test_failed_write_leaves_the_older_file(
    tmp_path: Path, monkeypatch: pytest.MonkeyPatch
) -> None:
    """A disk that fails at the last step leaves what stood there, and no half file."""
    target = tmp_path / "a.csv"
    target.write_text("old")

    def fail(_: int) -> None:
        raise OSError(28, "No space left on device")

    monkeypatch.setattr(os, "fsync", fail)
    with pytest.raises(OutputError, match="No space left on device"):
        write_text(target, "new")
    assert target.read_text() == "old"
    assert names_in(tmp_path) == ["a.csv"]


@pytest.mark.parametrize("write_it", [True, False])
def test_protected_file_and_folder_are_refused(
    tmp_path: Path, monkeypatch: pytest.MonkeyPatch, *, write_it: bool
) -> None:
    """Where the system denies writing, one sentence says so (asked, for tests may be root)."""
    target = tmp_path / "a.csv"
    target.write_text("old")
    denied = target if write_it else tmp_path
    real = os.access
    monkeypatch.setattr(os, "access", lambda path, mode: Path(path) != denied and real(path, mode))
    with pytest.raises(OutputError, match="write-protected" if write_it else "choose another"):
        write_text(target, "new")
    assert target.read_text() == "old"


if sys.platform != "win32":

    def test_pipe_is_written_straight(tmp_path: Path) -> None:
        """A named pipe is not replaced by a file."""
        pipe = tmp_path / "pipe"
        os.mkfifo(pipe)
        reader = os.open(pipe, os.O_RDONLY | os.O_NONBLOCK)
        try:
            write_bytes(pipe, b"abc")
            assert os.read(reader, 10) == b"abc"
        finally:
            os.close(reader)
        assert stat.S_ISFIFO(pipe.stat().st_mode)


def test_ctrl_c_while_a_file_is_written_leaves_nothing_half_written(tmp_path: Path) -> None:
    """The name that it is written under is a pipe: opening it waits, until the interrupt comes."""
    target = tmp_path / "a.csv"
    target.write_text("old")
    os.mkfifo(tmp_path / f".suitability-{os.getpid()}-a.csv.part")
    usual = signal.signal(signal.SIGALRM, signal.default_int_handler)
    signal.setitimer(signal.ITIMER_REAL, 0.2)
    try:
        with pytest.raises(KeyboardInterrupt):
            write_text(target, "new")
    finally:
        signal.setitimer(signal.ITIMER_REAL, 0.0)
        signal.signal(signal.SIGALRM, usual)
    assert names_in(tmp_path) == ["a.csv"]
    assert target.read_text() == "old"
