"""
Every kind of chart that a sheet may ask for, and how charts are drawn; a new kind is added here.

The plotting script reads markup in labels. So every text of a specification is made harmless here,
before its kind sees it: none can forget.
"""

from __future__ import annotations

from enum import Enum
from typing import Any

from msgspec import Struct
from msgspec.structs import asdict

from suitability.answers import words
from suitability.output import (
    chart_course,
    chart_coverage,
    chart_curves,
    chart_group_weeks,
    chart_hours,
    chart_map,
    chart_matrix,
    chart_month_hours,
    chart_moving_dates,
    chart_nights,
    chart_past_years,
    chart_room,
    chart_spot_hours,
    chart_weeks,
    chart_year,
)
from suitability.output.chart_kind import Kind

_MODULES = (
    chart_course,
    chart_coverage,
    chart_curves,
    chart_group_weeks,
    chart_hours,
    chart_map,
    chart_matrix,
    chart_month_hours,
    chart_moving_dates,
    chart_nights,
    chart_past_years,
    chart_room,
    chart_spot_hours,
    chart_weeks,
    chart_year,
)
KINDS: dict[type[Struct], Kind] = {module.KIND.spec: module.KIND for module in _MODULES}


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
