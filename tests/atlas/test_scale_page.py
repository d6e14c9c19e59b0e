"""The worked estimate of the page on many machines is right arithmetic."""

from __future__ import annotations

from datetime import date
from pathlib import Path

import pytest

from suitability.atlas.mapping import PER_CELL

PAGE = Path(__file__).parents[2] / "docs" / "scale.md"


@pytest.mark.parametrize(("first", "column"), [(1995, 2), (1940, 3)])
def test_the_estimate_follows_from_its_factors(first: int, column: int) -> None:
    """Cells, hours, values, bytes and core-hours of ERA5 to the end of 2024."""
    lines = PAGE.read_text(encoding="utf-8").splitlines()
    rows = [line.strip("| ").split(" | ") for line in lines if line.startswith("|")]
    told = {row[0]: row[column] for row in rows if len(row) == 4}
    cells = round(360 / 0.25) * round(180 / 0.25 + 1)
    hours = (date(2025, 1, 1) - date(first, 1, 1)).days * 24
    assert told["cells"] == f"{cells:,}"
    assert told["hours"] == f"{hours:,}"
    assert float(told["values"]) == pytest.approx(cells * hours, rel=2e-3)
    assert told["single precision"] == f"{cells * hours * 4 / 1e12:.2f} TB"
    counts = told["counts, 12 floors, single precision from disk"]
    assert counts == f"{cells * hours * 19.5e-9 / 3600:.1f} core-hours"
    assert told["verdicts of one group"] == f"{cells * 0.15 / 3600:.0f} core-hours"


def test_the_memory_of_a_global_result_is_right() -> None:
    """Numbers of a cell, and of its months with three marks of a group."""
    bytes_a_cell = len(PER_CELL) * 8 + (1 + 2 * 3) * 4 * 361
    said = f"{len(PER_CELL)} numbers of 8 bytes a cell, and 7 of 4 bytes a month, so"
    text = PAGE.read_text(encoding="utf-8")
    assert f"{said} {bytes_a_cell / 1000:.0f} kB a cell for 361 months" in text
    assert f"and {bytes_a_cell * 1440 * 721 / 1e9:.0f} GB for the globe" in text
