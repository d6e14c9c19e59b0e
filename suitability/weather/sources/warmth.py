"""
How warm a month can be in the open air at a latitude: the bound that tells °F read as °C.

Where nothing exceeds 60, single values tell nothing: a cool winter in °F, or a cool room, passes
for a hot place. The months tell, since January at 43° N stays far below 30 °C whatever the year.
"""

from __future__ import annotations

import numpy as np
from msgspec import Struct
from numpy.typing import NDArray

from suitability.weather.record import FloatArray, Record

FEWEST_OF_MONTH = 100  # readings for a median of the month
WARMEST_MEDIAN_C = 40.0  # of any file that is not told by months; the hottest places have about 35
WARMEST_ROOM_C = 30.0  # median of a month that no room for people or plants exceeds
STEADY_C = 3.0  # scatter of daily means under which a place is kept warm; the open air has more
# Warmest medians of midwinter and midsummer by latitude, °C. From memory, several kelvin above the
# mildest coasts (Bermuda, Bilbao, Lofoten) and hottest deserts (Sahel, Kuwait, Turpan) known.
WINTER_LATITUDES = (0, 10, 20, 25, 30, 35, 40, 45, 50, 60, 70, 90)
WINTER_C = (40.0, 38.0, 33.0, 29.0, 26.0, 22.0, 19.0, 16.5, 15.0, 11.0, 7.0, 0.0)
SUMMER_LATITUDES = (0, 15, 38, 45, 50, 60, 70, 90)
SUMMER_C = (40.0, 44.0, 44.0, 40.0, 36.0, 32.0, 27.0, 15.0)


class WarmMonth(Struct, frozen=True, kw_only=True):
    """A month warmer than the open air can be: its median, the bound, and how it varies, °C."""

    year: int
    month: int
    median_c: float
    bound_c: float
    scatter_c: float

    @property
    def could_be_kept_warm(self) -> bool:
        """Whether it is as steady as a heated room, and no warmer than one."""
        return self.median_c <= WARMEST_ROOM_C and self.scatter_c < STEADY_C


def warmest_median_c(latitude: float) -> float:
    """
    Temperature that the median of a year's hours does not exceed anywhere at a latitude, °C.

    Zonal means of the year at sea level and 15 K above them; below 40 °C everywhere. A wide bound
    of our own against files in °F, with values from memory: in the far north of Norway (70° N,
    about 3 °C) medians stay several kelvin under it.

    Examples
    --------
    >>> warmest_median_c(0.0), warmest_median_c(60.0)
    (40.0, 15.0)
    """
    zonal_c = np.interp(
        abs(latitude), [0, 30, 45, 60, 75, 90], [26.0, 20.0, 10.0, 0.0, -11.0, -20.0]
    )
    return float(min(WARMEST_MEDIAN_C, zonal_c + 15.0))


def warmest_month_c(latitude: float, month: int) -> float:
    """
    Temperature that the median of a month's hours does not exceed in the open air, °C.

    A cosine from midwinter to midsummer between two wide bounds of our own; at twelve real stations
    the warmest of 2,000 months lie 6 K and more under it.

    Examples
    --------
    >>> warmest_month_c(45.0, 1), warmest_month_c(45.0, 7), warmest_month_c(-45.0, 7)
    (16.5, 40.0, 16.5)
    """
    winter_c = float(np.interp(abs(latitude), WINTER_LATITUDES, WINTER_C))
    summer_c = float(np.interp(abs(latitude), SUMMER_LATITUDES, SUMMER_C))
    turn = 2 * np.pi * (month - (7 if latitude < 0 else 1)) / 12
    return round(summer_c - (summer_c - winter_c) * (1 + float(np.cos(turn))) / 2, 6)


def find_warm_month(record: Record, latitude: float) -> WarmMonth | None:
    """
    The month (UTC) that lies farthest above what the open air can have, or None.

    One that cannot be a heated room's either goes before those that can.
    """
    known = np.flatnonzero(~np.isnan(record.temp_c))
    hours = (record.start_hour + known).astype("datetime64[h]")
    months = hours.astype("datetime64[M]").astype(np.int64)
    found = []
    for of_month in np.split(np.arange(known.size), np.flatnonzero(np.diff(months)) + 1):
        if of_month.size < FEWEST_OF_MONTH:
            continue
        at = int(months[of_month[0]])
        values = record.temp_c[known[of_month]]
        bound_c = warmest_month_c(latitude, at % 12 + 1)
        median_c = float(np.median(values))
        if median_c > bound_c:
            one = WarmMonth(
                year=1970 + at // 12,
                month=at % 12 + 1,
                median_c=median_c,
                bound_c=bound_c,
                scatter_c=_scatter_of_days(hours[of_month], values),
            )
            found.append(one)
    return max(
        found,
        key=lambda one: (not one.could_be_kept_warm, one.median_c - one.bound_c),
        default=None,
    )


def _scatter_of_days(hours: NDArray[np.datetime64], values: FloatArray) -> float:
    """Standard deviation of the daily means, K."""
    days = hours.astype("datetime64[D]").astype(np.int64)
    at = days - days[0]
    counts = np.bincount(at)
    means = np.bincount(at, values)[counts > 0] / counts[counts > 0]
    return float(means.std())
