"""
Cold by night: hours below any threshold for every night, and the chill base each night tolerates.

The dose is the sum of degree-hours below a group's chill base over the trailing 14 nights. For one
night it grows with the base, so that for each dose limit there is a highest base at which the dose
is still tolerated (`tolerated_base`). A night is unsafe by dose exactly if the group's chill base
lies above it: one array per dose limit answers for every group, and for every warming of the spot.
"""

from __future__ import annotations

from typing import Protocol

import numpy as np
from numpy.typing import NDArray

from suitability.climate.exposure import EPSILON_C, is_tenths
from suitability.frozen import frozen

__all__ = [
    "DOSE_NIGHTS",
    "ColdTable",
    "NightCold",
    "NightHours",
    "cold_by_night",
    "trailing_sum",
]

FloatArray = NDArray[np.float64]
IntArray = NDArray[np.int64]
DOSE_NIGHTS = 14


class NightCold(Protocol):
    """What can be asked of the nights of one spot."""

    def hours_below(self, threshold_c: float) -> FloatArray:
        """Hours below a threshold, shape (night)."""
        ...

    def degree_hours_below(self, threshold_c: float) -> FloatArray:
        """Degree-hours below a threshold, shape (night), °C·h."""
        ...

    def tolerated_bases(self, dose_limits_c_h: frozenset[float]) -> dict[float, FloatArray]:
        """
        Highest chill base at which the trailing dose stays within each limit, (night), °C.

        +inf where even the highest threshold that can be asked for is tolerated.
        """
        ...


def trailing_sum(by_night: NDArray[np.generic], nights: int = DOSE_NIGHTS) -> FloatArray:
    """
    Sum of each night and the ones before it, shorter at the beginning.

    Parameters
    ----------
    by_night : (night)
    nights
        Length of the window.
    """
    total: FloatArray = np.cumsum(by_night, dtype=np.float64)
    trailing = total.copy()
    trailing[nights:] -= total[:-nights]
    return trailing


@frozen
class NightHours:
    """
    Nights of a record with more decimals: counted at each question.

    Attributes
    ----------
    temp_c : (night, 24), °C
    highest_c : °C
        Highest threshold that will be asked for.
    """

    temp_c: FloatArray
    highest_c: float

    def hours_below(self, threshold_c: float) -> FloatArray:
        """Hours below a threshold, shape (night)."""
        below: FloatArray = (self.temp_c < threshold_c - EPSILON_C).sum(axis=1).astype(np.float64)
        return below

    def degree_hours_below(self, threshold_c: float) -> FloatArray:
        """Degree-hours below a threshold, shape (night), °C·h."""
        lack: FloatArray = np.fmax(threshold_c - self.temp_c, 0.0).sum(axis=1)
        return lack

    def tolerated_bases(self, dose_limits_c_h: frozenset[float]) -> dict[float, FloatArray]:
        """
        Highest chill base at which the trailing dose stays within each limit, (night), °C.

        Newton's method from above: the dose is convex and piecewise linear in the base, so that
        it ends at the exact value after finitely many steps.
        """
        return {limit: self._tolerated_base(limit) for limit in dose_limits_c_h}

    def _tolerated_base(self, dose_limit_c_h: float) -> FloatArray:
        """Highest chill base within one limit, shape (night), °C."""
        nights = self.temp_c.shape[0]
        hours = np.concatenate([np.full((DOSE_NIGHTS - 1, 24), np.nan), self.temp_c]).reshape(-1)
        windows = np.lib.stride_tricks.sliding_window_view(hours, DOSE_NIGHTS * 24)[::24]
        base = np.full(nights, self.highest_c)
        open_nights = np.arange(nights)
        while open_nights.size:
            lack = base[open_nights, None] - windows[open_nights]
            cold = lack > 0.0
            beyond = np.where(cold, lack, 0.0).sum(axis=1) - dose_limit_c_h
            over = beyond > 1e-9
            open_nights, number = open_nights[over], cold.sum(axis=1)[over]
            base[open_nights] -= beyond[over] / number
        base[base >= self.highest_c] = np.inf
        return base


@frozen
class ColdTable:
    """
    Nights of a record in tenths: every level is already counted.

    Attributes
    ----------
    bottom
        Tenths of a degree of level 0; level i is `bottom + i` tenths.
    hours : (level, night)
        Hours at or below each level.
    """

    bottom: int
    hours: NDArray[np.int16]

    def _level(self, threshold_c: float) -> tuple[int, float]:
        """Highest level that is below the threshold, and the tenths from it to the threshold."""
        tenths = threshold_c * 10.0
        level = int(np.ceil(tenths - EPSILON_C * 10.0)) - 1 - self.bottom
        if level >= self.hours.shape[0]:
            raise ValueError(f"threshold {threshold_c} °C lies above the table")
        return level, tenths - (level + self.bottom)

    def hours_below(self, threshold_c: float) -> FloatArray:
        """Hours below a threshold, shape (night)."""
        level, _ = self._level(threshold_c)
        if level < 0:
            return np.zeros(self.hours.shape[1])
        below: FloatArray = self.hours[level].astype(np.float64)
        return below

    def degree_hours_below(self, threshold_c: float) -> FloatArray:
        """Degree-hours below a threshold, shape (night), °C·h."""
        level, beyond = self._level(threshold_c)
        if level < 0:
            return np.zeros(self.hours.shape[1])
        lack: FloatArray = self.hours[level] * (beyond / 10.0)
        lack += self.hours[:level].sum(axis=0, dtype=np.int32) / 10.0
        return lack

    def tolerated_bases(self, dose_limits_c_h: frozenset[float]) -> dict[float, FloatArray]:
        """
        Highest chill base at which the trailing dose stays within each limit, (night), °C.

        Walks up the levels: between two tenths the dose is a straight line, so that the crossing
        is exact.
        """
        nights = self.hours.shape[1]
        limits = {limit: round(limit * 10.0, 6) for limit in dose_limits_c_h}  # tenth-degree-hours
        bases = {limit: np.full(nights, np.inf) for limit in limits}
        beyond = {limit: np.zeros(nights, np.bool_) for limit in limits}
        dose, window = np.zeros(nights, np.int32), np.zeros(nights, np.int16)
        for level in range(self.hours.shape[0]):
            _trailing_hours(self.hours[level], window)
            dose += window  # at the next level, in tenth-degree-hours
            for limit, tenths in limits.items():
                after = dose > int(tenths)  # doses are whole: comparing so is exact, and quick
                crossing = np.flatnonzero(after != beyond[limit])
                if crossing.size:
                    hours = window[crossing]
                    part = (tenths - (dose[crossing] - hours)) / hours
                    bases[limit][crossing] = (self.bottom + level + part) / 10.0
                    beyond[limit] = after
        return bases


def _trailing_hours(hours: NDArray[np.int16], out: NDArray[np.int16]) -> None:
    """Sum over 14 nights, as 8 + 4 + 2 of them: quicker than a running sum."""
    two = hours.copy()
    two[1:] += hours[:-1]
    four = two.copy()
    four[2:] += two[:-2]
    out[:] = four
    out[4:] += four[:-4]
    out[8:] += four[:-8]
    out[12:] += two[:-12]


def cold_by_night(temp_c: FloatArray, highest_c: float) -> NightCold:
    """
    The cold of every night, ready to be asked for any threshold up to `highest_c`.

    Parameters
    ----------
    temp_c : (night, 24), °C
        nan where there is no value: such hours are neither cold nor warm here.
    highest_c : °C
        Highest threshold that will be asked for.
    """
    if not is_tenths(temp_c) or np.isnan(temp_c).all():
        return NightHours(temp_c=temp_c, highest_c=highest_c)
    bottom = int(np.rint(np.nanmin(temp_c) * 10.0))
    top = max(int(np.ceil(highest_c * 10.0)) + 1, bottom + 1)
    levels, nights = top - bottom + 1, temp_c.shape[0]
    level = np.fmin(np.rint(temp_c * 10.0), top + 1) - bottom  # nan and warm hours: a last row
    index = level.astype(np.int64) * nights + np.arange(nights)[:, None]
    hours = np.zeros((levels + 1, nights), np.int16)
    np.add.at(hours.reshape(-1), index.reshape(-1), np.int16(1))
    for row in range(1, levels):  # row by row: far quicker than one accumulate down the columns
        np.add(hours[row - 1], hours[row], out=hours[row])
    return ColdTable(bottom=bottom, hours=hours[:levels])
