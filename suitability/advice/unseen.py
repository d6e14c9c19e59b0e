"""
Nights that nobody saw: which of them may have been unsafe, and whether "all year" rests on them.

A few unknown nights of a year are forgiven, since most fall on nights like any other. But a station
that loses just its coldest nights looks milder than its place; what it cannot know is said.
"""

from __future__ import annotations

import numpy as np
from msgspec import Struct
from numpy.typing import NDArray

from suitability.advice.cases import Case, whole_years
from suitability.climate.days import DAYS, MONTH_STARTS, turn
from suitability.climate.observing import plant_years

__all__ = ["Unseen", "rests_on_unseen"]

FloatArray = NDArray[np.float64]
BoolArray = NDArray[np.bool_]

NEAR_C = 3.0  # K by which nights of one date may differ from the worst one seen; reasoned
DAYS_AROUND = 15  # of a date, over all years


class Unseen(Struct, frozen=True, kw_only=True):
    """Nights that may have been unsafe and were not observed, their months, and years with such."""

    nights: int
    months: tuple[int, ...]
    years: int


def rests_on_unseen(case: Case) -> Unseen | None:
    """
    What nobody saw, where the whole year would not be promised had it been unsafe; else None.

    A night may have been unsafe if it was not observed and, within 15 days of its date, the worst
    night seen in any year came within 3 K of being so; for heat so of days. Asked of "all year"
    alone: a season is as long as it can be promised, so that any such night would shorten it.
    """
    cut, flags = case.nights.summer, _may_have_been_unsafe(case)
    kept, failed = whole_years(case, 0.0, case.kernel.whole_year_spread_c)
    by_year = plant_years(flags, cut, outside=False) & (kept > 0.0)[:, None]
    doubtful, total = by_year.any(axis=1), float((kept + failed).sum())
    if not doubtful.any() or kept[~doubtful].sum() / total >= case.rules.promise - 1e-9:
        return None
    by_month = np.add.reduceat(turn(by_year.sum(axis=0), cut), MONTH_STARTS)
    return Unseen(
        nights=int(by_year.sum()),
        months=tuple(int(month) + 1 for month in np.flatnonzero(by_month)),
        years=int(doubtful.sum()),
    )


def _may_have_been_unsafe(case: Case) -> BoolArray:
    """Unknown nights between the first and the last on record, near unsafe ones, (position)."""
    nights, shortfall = case.nights, case.shortfall
    last = nights.temp_c.shape[0] - 1  # which a record ends within, as it begins within the first
    on_record = (nights.axis.night_of > 0) & (nights.axis.night_of < last)
    flags: BoolArray = (
        nights.unknown & on_record & _near(np.maximum(shortfall.hard_c, shortfall.dose_c))
    )
    if shortfall.heat_room_c is not None:
        flags |= nights.day_unknown & on_record & _near(-shortfall.heat_room_c)
    return flags


def _near(shortfall_c: FloatArray) -> BoolArray:
    """Positions on dates around which some year came near to an unsafe night, (position)."""
    worst = shortfall_c.reshape(-1, DAYS).max(axis=0)
    ring = np.concatenate([worst[-DAYS_AROUND:], worst, worst[:DAYS_AROUND]])
    around = np.lib.stride_tricks.sliding_window_view(ring, 2 * DAYS_AROUND + 1).max(axis=1)
    near: BoolArray = np.tile(around > -NEAR_C, shortfall_c.size // DAYS)
    return near
