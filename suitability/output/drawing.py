"""
Every kind of chart that a sheet may ask for, and how charts are drawn; a new kind is added here.

The plotting script reads markup in labels. So every text of a specification is made harmless here,
before its kind sees it: none can forget.
"""

from __future__ import annotations

from enum import Enum
from importlib import import_module
from typing import Any

from msgspec import Struct
from msgspec.structs import asdict

from suitability.answers import words
from suitability.output.chart_kind import Kind

_NAMES = (
    *("course", "coverage", "curves", "group_weeks", "hours", "map", "matrix", "month_hours"),
    *("moving_dates", "nights", "past_years", "room", "spot_hours", "weeks", "year"),
)
_KINDS: list[Kind] = [import_module(f"{__package__}.chart_{name}").KIND for name in _NAMES]
KINDS: dict[type[Struct], Kind] = {kind.spec: kind for kind in _KINDS}


def kind_of(spec: Struct) -> Kind:
    """How a specification is drawn."""
    return KINDS[type(spec)]


def draw_figure(spec: Struct) -> dict[str, Any]:
    """The whole figure as plain values, its traces named for a legend."""
    return kind_of(spec).figure(_harmless(spec))


def page_data(spec: Struct) -> dict[str, Any]:
    """What the page holds of a chart: what the script of its kind fills, or the figure itself."""
    kind = kind_of(spec)
    return (kind.data or kind.figure)(_harmless(spec))


def _harmless(value: Any) -> Any:
    """The same value, its texts without markup; words of ours stay what they are."""
    if isinstance(value, str) and not isinstance(value, Enum):
        return words.chart_text(value)
    if isinstance(value, tuple):
        return tuple(map(_harmless, value))
    if isinstance(value, Struct):
        return type(value)(**{name: _harmless(held) for name, held in asdict(value).items()})
    return value
