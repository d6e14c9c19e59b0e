"""The worst nights and fortnights of one group at one spot, with their dates."""

from __future__ import annotations

from datetime import date, timedelta
from typing import TYPE_CHECKING

import numpy as np

from suitability.advice.result import WorstFortnight, WorstNight
from suitability.climate.cold import DOSE_NIGHTS, trailing_sum
from suitability.climate.days import position_of
from suitability.climate.worst import highest_apart, lowest

if TYPE_CHECKING:
    from suitability.advice.cases import Case

__all__ = ["worst_fortnights", "worst_nights"]

LISTED = 10


def worst_nights(case: Case) -> tuple[WorstNight, ...]:
    """The ten coldest nights, coldest first."""
    nights = case.nights
    reading = np.fmin.reduce(nights.temp_c, axis=1)
    below = case.shortfall.hard_c[position_of(nights.axis)]
    return tuple(
        WorstNight(
            evening=date(1970, 1, 1) + timedelta(days=nights.first_day + int(night)),
            minimum_c=float(reading[night]),
            below_limit_c=max(0.0, round(float(below[night]), 6)),
        )
        for night in lowest(np.where(np.isnan(reading), np.inf, reading), LISTED)
    )


def worst_fortnights(case: Case) -> tuple[WorstFortnight, ...]:
    """The ten heaviest doses over 14 nights that do not overlap, heaviest first."""
    nights = case.nights
    dose = trailing_sum(nights.dose.degree_hours_below(case.limits.chill_base_c))
    reading = np.fmin.reduce(nights.temp_c, axis=1)
    return tuple(
        WorstFortnight(
            last_evening=date(1970, 1, 1) + timedelta(days=nights.first_day + int(night)),
            dose_c_h=round(float(dose[night]), 6),
            lowest_c=float(np.nanmin(reading[max(0, night - DOSE_NIGHTS + 1) : night + 1])),
        )
        for night in highest_apart(np.round(dose, 6), LISTED, DOSE_NIGHTS)
    )
