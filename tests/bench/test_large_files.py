"""A large file takes no more memory than a small one, in compact form."""

from __future__ import annotations

import pytest

from .large_files import measure_apart

pytestmark = pytest.mark.slow

MOST_MB = 280  # of the whole process, libraries included; 185 MB must stay under 500


@pytest.mark.parametrize("kind", ["csv", "newest first"])
def test_five_times_the_lines_take_hardly_more_memory(kind: str) -> None:
    """From 4 to 20 MB the process grows by its blocks and the readings of a log, under 90 B a line.

    A log whose newest row stands first is the harder one.
    """
    small, large = (measure_apart(kind, lines) for lines in (180_000, 900_000))
    assert large["hours"] == pytest.approx(5 * small["hours"], rel=0.01)
    assert large["most MB"] < MOST_MB
    assert large["most MB"] - small["most MB"] < 62
