"""Plain values of JSON documents: numbers that are finite or null, dates, seasons."""

from __future__ import annotations

import math
from typing import TYPE_CHECKING, Any

if TYPE_CHECKING:
    from suitability.advice.terms import Season

__all__ = ["NORMAL_DECIMALS", "RAW_DECIMALS", "finite", "season_values"]

RAW_DECIMALS = 6  # of raw counts, shares and thresholds
NORMAL_DECIMALS = 3  # of climatological hours, degree-hours and differences


def finite(value: float | None, decimals: int) -> float | None:
    """A finite number, rounded, or None; never -0."""
    if value is None or not math.isfinite(value):
        return None
    return round(value, decimals) + 0.0


def season_values(season: Season | None) -> dict[str, Any] | None:
    """A season as plain values; its end is `in`."""
    if season is None:
        return None
    return {"out": season.out, "in": season.inn, "days": season.days}
