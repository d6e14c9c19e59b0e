"""The program as a test runs it: in this process, its exit code and all that it says."""

from __future__ import annotations

from typing import Protocol

import pytest

from suitability.cli.main import main


class Run(Protocol):
    """What runs the program."""

    def __call__(self, *arguments: object) -> tuple[int, str, str]:
        """Exit code, standard output and standard error."""
        ...


@pytest.fixture
def run(capsys: pytest.CaptureFixture[str]) -> Run:
    """Runner of the program."""

    def begin(*arguments: object) -> tuple[int, str, str]:
        with pytest.raises(SystemExit) as left:
            main([str(word) for word in arguments])
        shown = capsys.readouterr()
        return int(left.value.code or 0), shown.out, shown.err

    return begin
