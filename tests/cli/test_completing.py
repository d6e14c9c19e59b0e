"""Shells complete commands, options, groups, spots, choices and what is stored."""

from __future__ import annotations

import os
import subprocess
import sys
from pathlib import Path

import pytest

from .running import running

run = running()
IN_BASH = """
source <(suitability --show-completion bash)
complete -p suitability
for line in "$@"; do
    read -ra COMP_WORDS <<< "$line"
    [[ "$line" == *" " ]] && COMP_WORDS+=("")
    COMP_CWORD=$((${#COMP_WORDS[@]} - 1))
    _suitability_completion suitability
    echo "${COMPREPLY[*]}"
done
"""


def offered(
    capsys: pytest.CaptureFixture[str], monkeypatch: pytest.MonkeyPatch, line: str
) -> list[str]:
    """What the shell bash is offered at the end of a line."""
    words = line.split(" ")
    monkeypatch.setenv("_SUITABILITY_COMPLETE", "complete_bash")
    monkeypatch.setenv("COMP_WORDS", "\n".join(words))
    monkeypatch.setenv("COMP_CWORD", str(len(words) - 1))
    return run(capsys)[1].split()


@pytest.mark.parametrize(
    ("line", "found"),
    [
        ("suitability com", ["compare"]),
        ("suitability --ver", ["--version", "--verbose"]),
        ("suitability check --pro", ["--promise"]),
        ("suitability --verbose check --pro", ["--promise"]),
        ("suitability spots f", ["fit"]),
        ("suitability check --group nob", ["nobile"]),
        ("suitability groups show vict", ["victoriae-reginae"]),
        ("suitability moves --spot fros", ["frost-hollow"]),
        ("suitability moves --caution ", ["low", "usual", "high"]),
        ("suitability check --record po", ["porch"]),
        ("suitability weather show ", ["KEUG0", "porch"]),
        ("suitability weather prune --station K", ["KEUG0"]),
        ("suitability weather prune --import ", ["porch"]),
        ("suitability check --at 3", []),
    ],
)
def test_what_is_offered(
    line: str,
    found: list[str],
    capsys: pytest.CaptureFixture[str],
    monkeypatch: pytest.MonkeyPatch,
    tmp_path: Path,
) -> None:
    """At the end of a line; what is stored is told by its names alone."""
    monkeypatch.setenv("SUITABILITY_HOME", str(tmp_path))
    for name in ("hourly/KEUG0", "imported/porch"):
        (tmp_path / "weather" / name).mkdir(parents=True)
        (tmp_path / "weather" / name / "manifest.json").touch()
    assert offered(capsys, monkeypatch, line) == found


def test_a_real_bash_completes() -> None:
    """By the script that the program shows; it falls back to files where nothing is offered."""
    folder = str(Path(sys.executable).parent)
    environment = {**os.environ, "PATH": os.pathsep.join([folder, os.environ["PATH"]])}
    lines = ["suitability mov", "suitability check --group phalaeno", "suitability check --units "]
    done = subprocess.run(
        ["bash", "--norc", "-c", IN_BASH, "bash", *lines],
        capture_output=True,
        text=True,
        check=True,
        env=environment,
    )
    assert done.stderr == ""
    assert done.stdout.splitlines() == [
        "complete -o default -F _suitability_completion suitability",
        *("moves", "phalaenopsis", "c f"),
    ]


@pytest.mark.parametrize(
    ("shell", "begin"),
    [("zsh", "#compdef suitability"), ("fish", "complete --command suitability")],
)
def test_other_shells_have_their_script(
    shell: str, begin: str, capsys: pytest.CaptureFixture[str]
) -> None:
    """Nothing is written anywhere: it is put in place by hand."""
    code, out, err = run(capsys, "--show-completion", shell)
    assert (code, err) == (0, "")
    assert out.strip().startswith(begin)
    assert f"_SUITABILITY_COMPLETE=complete_{shell}" in out


def test_a_shell_that_is_not_known_is_told(capsys: pytest.CaptureFixture[str]) -> None:
    code, out, err = run(capsys, "--show-completion", "tcsh")
    assert (code, out) == (2, "")
    assert "bash or zsh or fish" in err
