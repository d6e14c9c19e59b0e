"""
What logs of one spot say together, and of seasons in which none was kept.

What a spot adds changes from year to year and with the season, by about as much as single nights
scatter: leaves, wind and the sun's path see to both. So an interval is widened for other years, and
outside the season of the log for that too. Both parts were chosen on pairs of weather stations,
and scored on others (docs/calibration.md).
"""

from __future__ import annotations

import math
from collections.abc import Sequence

import numpy as np
from msgspec.structs import replace
from numpy.typing import NDArray

from suitability.climate.days import DAYS
from suitability.climate.fitting import Level, student_95

FloatArray = NDArray[np.float64]
IntArray = NDArray[np.int64]

OTHER_YEARS = 0.4  # of the scatter of nights: what another year adds to the error
OTHER_SEASON = 1.4  # and what the season half a year away does
SURELY = 1.5  # times the interval, beyond which logs contradict each other: 1 in 70 by chance


def for_other_years(level: Level | None) -> Level | None:
    """The level with its interval widened for years in which no log was kept."""
    if level is None:
        return None
    more = student_95(level.number - 1.0) * OTHER_YEARS * level.scatter_c
    half = math.hypot((level.high - level.low) / 2.0, more)
    return replace(level, low=level.usual - half, high=level.usual + half)


def season_error_c(number: int, scatter_c: float) -> float:
    """What half a year away from a log adds to half its interval, in quadrature, K."""
    return student_95(number - 1.0) * OTHER_SEASON * scatter_c


def widened(usual: float, end: float, error_c: float, days: FloatArray) -> FloatArray:
    """
    One end of an interval, so many days from the nearest log, (night).

    Parameters
    ----------
    usual, end : K
        In the season of the log.
    error_c
        From `season_error_c`.
    days : (night), d
        From `days_from_logs`.
    """
    more = np.hypot(end - usual, error_c * _share(days))
    found: FloatArray = usual + (more if end >= usual else -more)
    return found


def _share(days: FloatArray | float) -> FloatArray:
    """How much of what half a year does so many days do."""
    share: FloatArray = np.sin(np.pi * np.asarray(days, np.float64) / DAYS)
    return share


def days_from_logs(day: IntArray, logs: Sequence[tuple[int, int]]) -> FloatArray:
    """
    Days of the year between each night and the nearest night of any log; 0 within one.

    Parameters
    ----------
    day : (night)
        Day of the year of each, from 0.
    logs
        Day of the year of the first and of the last night; one over New Year ends before it begins.

    Examples
    --------
    >>> days_from_logs(np.array([0, 100, 360]), [(350, 10), (90, 95)]).tolist()
    [0.0, 5.0, 0.0]
    """
    away = np.full(day.shape, np.inf)
    for first, last in logs:
        length = (last - first) % DAYS
        into = (day - first) % DAYS
        outside = np.minimum(into - length, DAYS - into)
        away = np.minimum(away, np.where(into <= length, 0, outside))
    return away


def pool_levels(levels: Sequence[Level]) -> Level:
    """
    One level from those of several logs: each counts by its error, and the interval reaches them.

    Logs that lie close count together and narrow it; logs that lie apart widen it, so that what
    either found stays within.
    """
    errors = np.array([(one.high - one.low) / 2.0 for one in levels])
    of_season = [season_error_c(one.number, one.scatter_c) for one in levels]
    variance = errors**2 + np.array(of_season) ** 2 / 2.0  # of a season by chance
    weight = 1.0 / np.maximum(variance, 1e-6)
    each = np.array([one.usual for one in levels])
    usual = float((weight * each).sum() / weight.sum())
    share = weight / weight.sum()
    half = math.sqrt(float((share**2 * errors**2).sum()))
    return Level(
        usual=usual,
        low=usual - math.hypot(half, usual - float(each.min())),
        high=usual + math.hypot(half, float(each.max()) - usual),
        number=sum(one.number for one in levels),
        scatter_c=max(one.scatter_c for one in levels),
    )


def contradict(one: Level, other: Level, days: float) -> bool:
    """Whether two logs, so many days of the year apart, say what no season explains."""
    halves = [(level.high - level.low) / 2.0 for level in (one, other)]
    of_season = max(season_error_c(level.number, level.scatter_c) for level in (one, other))
    expected = math.hypot(*halves, of_season * float(_share(days)))
    return abs(one.usual - other.usual) > SURELY * expected
