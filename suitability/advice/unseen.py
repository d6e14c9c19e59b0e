"""What nobody saw: nights not observed that may make an answer look better than it is."""

from __future__ import annotations

from typing import TYPE_CHECKING

import numpy as np
from msgspec import Struct
from numpy.typing import NDArray

from suitability.advice.cases import whole_years
from suitability.climate.days import DAYS, MONTH_STARTS
from suitability.climate.observing import plant_years

if TYPE_CHECKING:
    from suitability.advice.cases import Case

BoolArray = NDArray[np.bool_]
FloatArray = NDArray[np.float64]

NEAR_C = 3.0  # K by which a night may be colder than those beside it; reasoned
EPSILON = 1e-9  # a probability so close to a promise keeps it


class Unseen(Struct, frozen=True, kw_only=True):
    """
    Nights not observed that may make an answer look better than it is.

    Attributes
    ----------
    nights, months
        All of them, and the months in which they lie, 1 to 12.
    resting, resting_months, resting_years
        Those that may have been unsafe and but for which the whole year would not be promised; in
        so many plant years.
    """

    nights: int
    months: tuple[int, ...]
    resting: int
    resting_months: tuple[int, ...]
    resting_years: int


def find_unseen(case: Case, *, all_year: bool) -> Unseen:
    """
    What the record lost in the cold or in the heat, and what "all year" rests on beside it.

    Parameters
    ----------
    all_year
        Whether that is the verdict; else no night is asked for by itself, since a season is as long
        as it can be promised, and any unsafe night would shorten it.
    """
    missed = case.nights.missed()
    lost = missed.hot if _is_never_too_cold(case) else missed.cold | missed.hot
    rests = _rests_on(case) if all_year else np.zeros_like(lost)
    lost = lost | rests
    return Unseen(
        nights=int(lost.sum()),
        months=_months(lost),
        resting=int(rests.sum()),
        resting_months=_months(rests),
        resting_years=int(plant_years(rests, case.nights.summer, outside=False).any(axis=1).sum()),
    )


def _months(flags: BoolArray) -> tuple[int, ...]:
    """Months, 1 to 12, with a flag in any year."""
    by_month = np.add.reduceat(flags.reshape(-1, DAYS).any(axis=0), MONTH_STARTS)
    return tuple(int(month) + 1 for month in np.flatnonzero(by_month))


def _rests_on(case: Case) -> BoolArray:
    """
    Nights that may have been unsafe, if the whole year would not be promised had they been.

    The promise is asked once more without the years that have such nights, (position).
    """
    cut, flags = case.nights.summer, _may_have_been_unsafe(case)
    kept, failed = whole_years(case, 0.0, case.kernel.spread_c)
    by_year = plant_years(flags, cut, outside=False) & (kept > 0.0)[:, None]
    sure, total = kept[~by_year.any(axis=1)].sum(), float((kept + failed).sum())
    if sure >= (case.rules.promise - EPSILON) * total:
        by_year[:] = False
    doubtful: BoolArray = by_year.reshape(-1)[-cut % DAYS :][: flags.size]
    return doubtful


def _is_never_too_cold(case: Case) -> bool:
    """Whether heat without limit keeps the spot above all cold that harms, seen or not."""
    return case.nights.least_c >= case.limits.harmless_c


def _may_have_been_unsafe(case: Case) -> BoolArray:
    """
    Nights between the first and the last on record that may have been unsafe, (position).

    They were not observed, and came within 3 K of it by the hours that they have, or by the nearest
    observed night on either side; for heat so of days. Hours that another station filled are no
    observation. A night of which the station's daily minimum tells that no hour was too cold is
    none of them.
    """
    nights, shortfall = case.nights, case.shortfall
    last = nights.temp_c.shape[0] - 1  # which a record ends within, as it begins within the first
    on_record = (nights.axis.night_of > 0) & (nights.axis.night_of < last)
    warm = nights.told_c >= case.limits.chill_base_c
    harmless = _is_never_too_cold(case) | (warm & (shortfall.hard_c <= 0.0))
    near = ~harmless & _near(np.maximum(shortfall.hard_c, shortfall.dose_c), nights.unseen)
    if shortfall.heat_room_c is not None:
        near |= _near(-shortfall.heat_room_c, nights.day_unseen)
    flags: BoolArray = near & on_record
    return flags


def _near(shortfall_c: FloatArray, unseen: BoolArray) -> BoolArray:
    """Unseen positions that came near to being unsafe, or whose nearest seen ones did."""
    here = np.arange(unseen.size)
    before = np.maximum.accumulate(np.where(unseen, 0, here))
    after = np.minimum.accumulate(np.where(unseen, unseen.size - 1, here)[::-1])[::-1]
    around = np.maximum(shortfall_c, np.maximum(shortfall_c[before], shortfall_c[after]))
    near: BoolArray = unseen & (around > -NEAR_C)
    return near
