"""Last spring and first autumn dates of a temperature, at the levels of published tables."""

from __future__ import annotations

import numpy as np
from numpy.typing import NDArray

from suitability.advice.moves_result import (
    ThresholdDates,
    ThresholdLevel,
)
from suitability.climate.dates import EventDates, date_odds, event_dates
from suitability.climate.days import (
    DAYS,
    fold_axis,
    fold_highest,
    month_day,
)

__all__ = ["find_threshold_dates"]

FloatArray = NDArray[np.float64]
BoolArray = NDArray[np.bool_]

LEVELS = (0.1, 0.5, 0.9)  # as published tables give them
SHORTEST_GAP = 28  # days between last and first; fewer are no warm season


def find_threshold_dates(
    first_day: int, minimum_c: FloatArray, cut: int, threshold_c: float
) -> ThresholdDates:
    """Dates of one temperature at the published levels."""
    axis = fold_axis(first_day, minimum_c.size)
    folded = -fold_highest(axis, np.where(np.isnan(minimum_c), -np.inf, -minimum_c))
    folded[np.isinf(folded)] = np.nan
    dates = event_dates(folded, cut, np.array([threshold_c]))

    def day(column: float | None) -> str | None:
        return None if column is None else month_day(cut + round(column))

    levels = []
    for level in LEVELS:
        spring = date_odds(dates.last[0], dates.observed, level, spring=True)
        autumn = date_odds(dates.first[0], dates.observed, level, spring=False)
        levels.append(
            ThresholdLevel(
                probability=level,
                spring_if_it_happens=day(spring.if_it_happens),
                spring_in_any_year=day(spring.in_any_year),
                autumn_if_it_happens=day(autumn.if_it_happens),
                autumn_in_any_year=day(autumn.in_any_year),
            )
        )
    return ThresholdDates(
        threshold_c=threshold_c,
        seasons=int(dates.observed.sum()),
        seasons_with_event=int((~np.isnan(dates.last[0])).sum()),
        summers_without_gap=_without_gap(dates),
        levels=tuple(levels),
    )


def _without_gap(dates: EventDates) -> int:
    """Summers in which the last day of spring and the first of autumn lie close together."""
    between = dates.first[0, 1:] + DAYS - dates.last[0, :-1] - 1.0  # nan where one is not known
    return int((between < SHORTEST_GAP).sum())
