"""Last spring and first autumn dates of a temperature, at the levels of published tables."""

from __future__ import annotations

from typing import TYPE_CHECKING

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

if TYPE_CHECKING:
    from collections.abc import Sequence

__all__ = ["find_threshold_dates"]

FloatArray = NDArray[np.float64]

LEVELS = (0.1, 0.5, 0.9)  # as published tables give them
SHORTEST_GAP = 28  # days between last and first; fewer are no warm season


def find_threshold_dates(
    first_day: int, minimum_c: FloatArray, cut: int, thresholds_c: Sequence[float]
) -> tuple[ThresholdDates, ...]:
    """
    Dates of each temperature at the published levels.

    Parameters
    ----------
    first_day : d
        Of the minima, since 1970-01-01.
    minimum_c : (day), °C
    cut
        Day of the folded year that parts autumn from spring.
    thresholds_c : °C
    """
    if not thresholds_c:
        return ()
    axis = fold_axis(first_day, minimum_c.size)
    folded = -fold_highest(axis, np.where(np.isnan(minimum_c), -np.inf, -minimum_c))
    folded[np.isinf(folded)] = np.nan
    dates = event_dates(folded, cut, np.array(thresholds_c))
    return tuple(_dates_of(dates, cut, row, at) for row, at in enumerate(thresholds_c))


def _dates_of(dates: EventDates, cut: int, row: int, threshold_c: float) -> ThresholdDates:
    """Those of one temperature."""

    def day(column: float | None) -> str | None:
        return None if column is None else month_day(cut + round(column))

    levels = []
    for level in LEVELS:
        spring = date_odds(dates.last[row], dates.observed, level, spring=True)
        autumn = date_odds(dates.first[row], dates.observed, level, spring=False)
        levels.append(
            ThresholdLevel(
                probability=level,
                spring_if_it_happens=day(spring.if_it_happens),
                spring_in_any_year=day(spring.in_any_year),
                autumn_if_it_happens=day(autumn.if_it_happens),
                autumn_in_any_year=day(autumn.in_any_year),
            )
        )
    # nan where one of the two is not known
    between = dates.first[row, 1:] + DAYS - dates.last[row, :-1] - 1.0
    return ThresholdDates(
        threshold_c=threshold_c,
        seasons=int(dates.observed.sum()),
        seasons_with_event=int((~np.isnan(dates.last[row])).sum()),
        summers_without_gap=int((between < SHORTEST_GAP).sum()),
        levels=tuple(levels),
    )
