"""The bar of long work."""

from __future__ import annotations

import io
import sys
import threading
from typing import TYPE_CHECKING

from suitability.cli.terminal import progress_bar

if TYPE_CHECKING:
    import pytest


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
