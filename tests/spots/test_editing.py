"""A measured spot put into its file: notes, blanks and order stay."""

from __future__ import annotations

from datetime import date
from typing import TYPE_CHECKING

import pytest
from msgspec.structs import replace

from suitability.errors import CatalogueError
from suitability.spots.editing import with_measured_spot
from suitability.spots.kinds import OUR_FOLDER
from suitability.spots.reading import read_collection
from suitability.spots.spot import Measured, Offset, Spot

if TYPE_CHECKING:
    from pathlib import Path

MEASURED = Measured(
    first=date(2024, 3, 2),
    last=date(2024, 3, 24),
    clear_nights=16,
    other_nights=0,
    days=23,
    night_error_c=0.487,
)
SPOT = Spot(
    name="Porch",
    clear_night_c=Offset(low=1.649, usual=2.101, high=2.549),
    other_night_c=Offset(low=9, usual=9, high=9),
    day_c=Offset(low=-2, usual=-1.5, high=-1),
    measured=MEASURED,
)


def test_every_line_of_the_example_stays_and_the_numbers_are_added(tmp_path: Path) -> None:
    """What was not measured keeps the number it had; written twice it stands once."""
    text = (OUR_FOLDER / "example.toml").read_text("utf-8")
    once = with_measured_spot(text, SPOT, "mine.toml")
    assert with_measured_spot(once, SPOT, "mine.toml") == once
    changed = iter(once.splitlines())
    assert all(any(line == other for other in changed) for line in text.splitlines())
    path = tmp_path / "mine.toml"
    path.write_text(once, encoding="utf-8")
    spot = read_collection(path).find_spot("porch")
    assert spot.clear_night_c == Offset(low=1.65, usual=2.1, high=2.55)
    assert spot.other_night_c == Offset(low=0.0, usual=0.5, high=1.0)
    assert spot.measured == replace(MEASURED, night_error_c=0.49)
    assert spot.damping_hours == 0.0


def test_a_time_constant_is_written_where_there_is_one() -> None:
    """And renewed where the file has one."""
    spot = replace(SPOT, damping_hours=3.0)
    text = '[[spot]]\nname = "porch"  # mine\n'
    once = with_measured_spot(text, spot, "mine.toml")
    assert "damping_hours = 3.0" in once
    assert "# mine" in once
    again = with_measured_spot(once, replace(spot, damping_hours=0.0), "mine.toml")
    assert "damping_hours = 0.0" in again


def test_a_spot_that_is_not_there_is_told() -> None:
    """With the file's name; so is a text that is no TOML."""
    with pytest.raises(CatalogueError, match=r'mine\.toml: it has no spot "Porch"'):
        with_measured_spot('[[spot]]\nname = "bench"\n', SPOT, "mine.toml")
    with pytest.raises(CatalogueError, match=r"mine\.toml: found something that is not TOML"):
        with_measured_spot("[[spot]", SPOT, "mine.toml")
