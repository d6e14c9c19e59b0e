"""The program as tests of commands run it: in this process."""

from __future__ import annotations

from typing import TYPE_CHECKING

import pytest

from suitability.cli.main import main

if TYPE_CHECKING:
    from collections.abc import Callable

__all__ = ["running"]


def running(*command: str) -> Callable[..., tuple[int, str, str]]:
    """A runner of one command: exit code, standard output and standard error of its arguments."""

    def run(capsys: pytest.CaptureFixture[str], *arguments: object) -> tuple[int, str, str]:
        with pytest.raises(SystemExit) as left:
            main([*command, *map(str, arguments)])
        shown = capsys.readouterr()
        code = left.value.code
        return (code if isinstance(code, int) else 1), shown.out, shown.err

    return run
