"""The published zones that a place lies in, by its own record."""

from __future__ import annotations

from typing import TYPE_CHECKING

import numpy as np

from suitability.advice.result import PlaceZones
from suitability.climate.days import (
    NIGHT_HOURS,
    fold_axis,
    fold_flags,
    fold_highest,
    hours_by_night,
    local_hour,
)
from suitability.climate.observing import plant_years, usable_years
from suitability.climate.zones import hardiness_zone, heat_zone, hot_days

if TYPE_CHECKING:
    from suitability.places import Place
    from suitability.weather.record import Record

__all__ = ["find_zones"]

KNOWN_SHARE = 0.95  # of a calendar year's days
DAY_SHIFT_H = 12  # from days that run noon to noon to those that run midnight to midnight


def find_zones(filled: Record, place: Place, summer: int, minimum_allowance_c: float) -> PlaceZones:
    """
    Hardiness by the coldest night of each winter, heat by days above 30 °C, in the open air.

    Parameters
    ----------
    filled
        From `years_asked`, its short gaps filled.
    summer
        Day of the folded year between two winters.
    minimum_allowance_c : K
        What hourly readings miss of the night minimum.
    """
    temp_c = filled.temp_c
    start = local_hour(filled.start_hour, place.utc_offset_hours)
    first_night, nights = hours_by_night(temp_c, start)
    axis = fold_axis(first_night, nights.shape[0])
    unknown = fold_flags(
        axis, np.asarray(np.isnan(nights[:, NIGHT_HOURS]).any(axis=1)), outside=True
    )
    usable = usable_years(plant_years(unknown, summer, outside=True))
    coldest = -fold_highest(axis, -np.fmin.reduce(nights, axis=1, initial=np.inf))
    lowest = plant_years(coldest, summer, np.inf).min(axis=1)[usable] - minimum_allowance_c
    first_day, days = hours_by_night(temp_c, start + DAY_SHIFT_H)
    hot, known = hot_days(days)
    year = (np.datetime64(first_day, "D") + np.arange(hot.size)).astype("datetime64[Y]")
    first = np.flatnonzero(np.diff(year.astype(np.int64), prepend=-1))
    hot_by_year, known_by_year = (
        np.add.reduceat(days, first, dtype=float) for days in (hot, known)
    )
    whole = known_by_year >= KNOWN_SHARE * 365
    count = hot_by_year[whole] * 365.25 / known_by_year[whole]
    mean_lowest = float(lowest.mean()) if lowest.size else None
    mean_hot = float(count.mean()) if count.size else None
    return PlaceZones(
        hardiness=None if mean_lowest is None else hardiness_zone(mean_lowest),
        lowest_c=mean_lowest,
        winters=int(lowest.size),
        heat=None if mean_hot is None else heat_zone(mean_hot),
        hot_days=mean_hot,
        years=int(count.size),
    )
