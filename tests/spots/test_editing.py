"""A measured spot put into its file: notes, blanks and order stay."""

from __future__ import annotations

from datetime import date
from typing import TYPE_CHECKING

import pytest
from msgspec.structs import replace

from suitability.errors import CatalogueError
from suitability.spots.editing import with_measured_spot, with_shift
from suitability.spots.kinds import OUR_FOLDER
from suitability.spots.reading import read_collection
from suitability.spots.spot import Measured, MeasuredOffset, Offset, Spot

if TYPE_CHECKING:
    from pathlib import Path

MEASURED = Measured(
    first=date(2024, 3, 2),
    last=date(2024, 3, 24),
    clear_night=MeasuredOffset(low=1.65, usual=2.1, high=2.55, number=16, scatter_c=0.5),
    other_night=None,
    day=MeasuredOffset(low=-2.0, usual=-1.5, high=-1.0, number=23, scatter_c=0.7),
    night_error_c=0.487,
)
AGAIN = replace(MEASURED, first=date(2024, 7, 2), last=date(2024, 7, 24), day=None)
SPOT = Spot(
    name="Porch",
    clear_night_c=Offset(low=1.649, usual=2.101, high=2.549),
    other_night_c=Offset(low=9, usual=9, high=9),
    day_c=Offset(low=-2, usual=-1.5, high=-1),
    measured=(MEASURED,),
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
    assert spot.measured == (replace(MEASURED, night_error_c=0.49),)
    assert spot.damping_hours == 0.0


def test_every_log_stands_in_the_file_and_is_read_again(tmp_path: Path) -> None:
    """Two logs, in order; written twice they stand once, and the rest of the file stays."""
    text = '[[spot]]\nname = "porch"\n\n# the bench\n[[spot]]\nname = "bench"\n'
    spot = replace(SPOT, measured=(MEASURED, AGAIN))
    once = with_measured_spot(text, spot, "mine.toml")
    assert with_measured_spot(once, spot, "mine.toml") == once
    assert "# the bench" in once
    path = tmp_path / "mine.toml"
    path.write_text(once, encoding="utf-8")
    porch, bench = read_collection(path).spots
    assert porch.measured == tuple(replace(one, night_error_c=0.49) for one in spot.measured)
    assert not bench.measured


def test_a_log_of_which_only_the_nights_were_counted_is_read_too(tmp_path: Path) -> None:
    """One table with numbers of nights: the offsets of the entry are what it gave."""
    path = tmp_path / "mine.toml"
    path.write_text(
        '[[spot]]\nname = "porch"\nclear_night_c = { low = 1, usual = 2, high = 3 }\n'
        "[spot.measured]\nfirst = 2024-03-02\nlast = 2024-03-24\nclear_nights = 9\n"
        "other_nights = 0\ndays = 0\nnight_error_c = 0.5\n",
        encoding="utf-8",
    )
    (log,) = read_collection(path).find_spot("porch").measured
    assert log.clear_night is not None
    assert (log.clear_night.low, log.clear_night.usual, log.clear_night.high) == (1, 2, 3)
    assert (log.nights, log.other_night, log.day) == (9, None, None)
    again = with_measured_spot(path.read_text("utf-8"), replace(SPOT, measured=(log,)), "mine.toml")
    assert again.count("measured") == 1


@pytest.mark.parametrize(
    ("line", "words"),
    [
        ("clear_night = 2", "clear_night: found 2"),
        ("clear_night = { low = 1, usual = 2, high = 3 }", "number"),
        ("clear_night = { low = 3, usual = 2, high = 3, number = 9, scatter = 1 }", "low <= usual"),
        ("clear_nite = 3", "an unknown field"),
    ],
)
def test_a_log_that_is_wrong_is_told(tmp_path: Path, line: str, words: str) -> None:
    """Which log of which spot, and what would be right."""
    path = tmp_path / "mine.toml"
    path.write_text(
        f'[[spot]]\nname = "porch"\n[[spot.measured]]\nfirst = 2024-03-02\nlast = 2024-03-24\n'
        f"night_error_c = 0.5\n{line}\n",
        encoding="utf-8",
    )
    with pytest.raises(CatalogueError, match=r"porch.*log 1") as told:
        read_collection(path)
    assert words in str(told.value)


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


PLANTS = """# mine
[[plant]]
name = "white one"   # a note
group = "nobile"

# the second
[[plant]]
group = "den-phal"
name = "Two"
shift_c = 0.5 # from last year

[[plant.damage]]
date = 2024-01-01
words = "tips"

[[plant]]
group = "nobile"
"""


def test_a_shift_is_written_and_every_other_line_stays() -> None:
    """Where the plant had none, one line more, above what leads to the next; else its number."""
    text = with_shift(PLANTS, "WHITE  one", 0.8, "mine.toml")
    assert text == PLANTS.replace('"nobile"\n\n#', '"nobile"\nshift_c = 0.8\n\n#', 1)
    assert with_shift(PLANTS, "two", -1.25, "mine.toml") == PLANTS.replace("0.5 #", "-1.25 #")
    alone = '[[plant]]\nname = "a"\ngroup = "nobile"\n[[plant.damage]]\ndate = 2024-01-01\n'
    assert with_shift(alone, "a", 1.0, "f") == alone.replace(
        '"nobile"\n', '"nobile"\nshift_c = 1.0\n'
    )


@pytest.mark.parametrize(("text", "told"), [(PLANTS, 'write name = "nobile"'), ("[[", "not TOML")])
def test_a_plant_without_a_name_gets_no_shift(text: str, told: str) -> None:
    with pytest.raises(CatalogueError, match=told):
        with_shift(text, "nobile", 1.0, "mine.toml")
