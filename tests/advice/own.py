"""A collection and a group of one's own, as tests of the coming nights and of diaries ask about."""

from __future__ import annotations

from typing import TYPE_CHECKING

from suitability.advice.question import ask
from suitability.groups import read_catalogue
from suitability.places import Place

if TYPE_CHECKING:
    from pathlib import Path

    from suitability.advice.question import Question
    from suitability.weather.record import Record

__all__ = ["OWN", "SPOTS", "ask_own"]

# Harmed by a night below 5 °C (wet 7), or by 60 °C·h below 12 °C in 14 nights.
OWN = """[[group]]
key = "mine"
name = "mine"
floor_c = 15
limit_c = 5
limit_wet_c = 7
chill_base_c = 12
dose_limit_c_h = 60
"""
SPOTS = """[[spot]]
name = "bench"
roofed = true
[[spot]]
name = "room"
kind = "room"
"""


def ask_own(path: Path, record: Record, *, group: str = "") -> Question:
    """All plants of a collection, nothing taken off a minimum; `group`: goes on behind `OWN`."""
    own = path.with_name("own.toml")
    own.write_text(OWN + group, "utf-8")
    return ask(
        record,
        Place(name="here", latitude=40.0, longitude=0.0),
        collection=path,
        catalogue=read_catalogue(own),
        minimum_allowance_c=0.0,
        quality=False,
    )
