"""
The invented demo place and its invented record: nothing in it was ever measured.

The record was made by `tests/data/make_demo.py`, which says how; a test makes it anew.
"""

from __future__ import annotations

from pathlib import Path

from suitability.places import Place
from suitability.weather.record import Record
from suitability.weather.stored import decode_record

DEMO_FILE = Path(__file__).parent / "data" / "demo.hourly"
OFFSET_HOURS = -1  # of the invented place's standard time


def demo_place() -> Place:
    """The invented place; it lies in the open sea, so that no town can be taken for it."""
    return Place(
        name="Quillowen Bay (invented)",
        latitude=35.0,
        longitude=-22.0,
        elevation_m=15.0,
        zone=None,
        utc_offset_hours=float(OFFSET_HOURS),
        invented=True,
    )


def demo_record() -> Record:
    """The invented record, as shipped."""
    return decode_record(DEMO_FILE.read_bytes())
