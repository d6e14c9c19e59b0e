"""
Cold by night: hours below any threshold for every night, and the chill base each night tolerates.

The dose is the sum of degree-hours below a group's chill base over the trailing 14 nights; hours in
a wet pot count half as much again. For one night it grows with the base, so that for each dose
limit there is a highest base at which the dose is still tolerated (`tolerated_base`). A night is
unsafe by dose exactly if the group's chill base lies above it: one array per dose limit answers for
every group, and for every warming of the spot.
"""

from __future__ import annotations

from typing import TypeVar

import numpy as np
from msgspec import Struct
from numpy.typing import NDArray

from suitability.climate.exposure import EPSILON_C, is_tenths

FloatArray = NDArray[np.float64]
IntArray = NDArray[np.int64]
BoolArray = NDArray[np.bool_]
Number = TypeVar("Number", bound=np.generic)
DOSE_NIGHTS = 14
WET_WEIGHT = 1.5  # of an hour in a wet pot; reasoned
DOSE_EPSILON_C_H = 1e-9  # °C·h; a dose this close to a limit stands at it
MOST_VALUES = 1000  # of a table; about as many as there are tenths of a degree over a year
YEAR = 366  # nights
LEVELS_AT_ONCE = 16  # so many rows of nights stay in the cache; under 128


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


class NightHours(Struct, frozen=True, kw_only=True):
    """
    Nights of a record with more decimals: counted at each question.

    Attributes
    ----------
    temp_c : (night, 24), °C
    highest_c : °C
        Highest threshold that will be asked for.
    weight : (night, 24), or None
        How often each hour counts; None: once.
    """

    temp_c: FloatArray
    highest_c: float
    weight: NDArray[np.int16] | None = None

    def hours_below(self, threshold_c: float) -> FloatArray:
        """Hours below a threshold, shape (night)."""
        below = self.temp_c < threshold_c - EPSILON_C
        count: FloatArray = np.where(below, self._counts(), 0.0).sum(axis=1)
        return count

    def degree_hours_below(self, threshold_c: float) -> FloatArray:
        """Degree-hours below a threshold, shape (night), °C·h."""
        shortfall = np.fmax(threshold_c - self.temp_c, 0.0)
        total: FloatArray = (shortfall * self._counts()).sum(axis=1)
        return total

    def _counts(self) -> FloatArray:
        """How often each hour counts, (night, 24)."""
        return np.ones(self.temp_c.shape) if self.weight is None else self.weight.astype(np.float64)

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
        windows = _fortnights(self.temp_c, np.nan)
        weights = None if self.weight is None else _fortnights(self.weight, 0)
        base = np.full(nights, self.highest_c)
        open_nights = np.arange(nights)
        while open_nights.size:
            shortfall = base[open_nights, None] - windows[open_nights]
            cold = (shortfall > 0.0).astype(np.int16)
            if weights is not None:
                cold *= weights[open_nights]
            beyond = np.where(cold, shortfall * cold, 0.0).sum(axis=1) - dose_limit_c_h
            over = beyond > DOSE_EPSILON_C_H
            open_nights, number = open_nights[over], cold.sum(axis=1)[over]
            base[open_nights] -= beyond[over] / number
        base[base >= self.highest_c] = np.inf
        return base


def _fortnights(by_hour: NDArray[Number], before: float) -> NDArray[Number]:
    """The hours of each night and of the 13 before it, shape (night, 336)."""
    start = np.full((DOSE_NIGHTS - 1, 24), before, by_hour.dtype)
    hours = np.concatenate([start, by_hour]).reshape(-1)
    return np.lib.stride_tricks.sliding_window_view(hours, DOSE_NIGHTS * 24)[::24]


class FewValues(Struct, frozen=True, kw_only=True):
    """
    Nights of a record with more decimals but few different values, as whole °F turned to °C have.

    Attributes
    ----------
    plain
        The same nights, counted at each question; quicker for degree-hours than many uneven steps.
    values_c : (level), °C
        The values below `plain.highest_c` as given, rising.
    hours : (level, night)
        Hours at or below each value, each as often as it counts.
    """

    plain: NightHours
    values_c: FloatArray
    hours: NDArray[np.int16]

    def hours_below(self, threshold_c: float) -> FloatArray:
        """Hours below a threshold, shape (night)."""
        if threshold_c > self.plain.highest_c:
            return self.plain.hours_below(threshold_c)
        level = int(np.searchsorted(self.values_c, threshold_c - EPSILON_C)) - 1
        if level < 0:
            return np.zeros(self.hours.shape[1])
        below: FloatArray = self.hours[level].astype(np.float64)
        return below

    def degree_hours_below(self, threshold_c: float) -> FloatArray:
        """Degree-hours below a threshold, shape (night), °C·h."""
        return self.plain.degree_hours_below(threshold_c)

    def tolerated_bases(self, dose_limits_c_h: frozenset[float]) -> dict[float, FloatArray]:
        """
        Highest chill base at which the trailing dose stays within each limit, (night), °C.

        Walks up the values as `ColdTable` walks up the tenths, for all limits in one go: between
        two values the dose is a straight line, so that the crossing is exact.
        """
        levels, nights = self.hours.shape
        bases = {limit: np.full(nights, np.inf) for limit in dose_limits_c_h}
        most = max(dose_limits_c_h, default=0.0) + DOSE_EPSILON_C_H
        gaps_c = np.diff(self.values_c, append=self.plain.highest_c)
        dose = np.zeros(nights)
        for first in range(0, levels, LEVELS_AT_ONCE):
            window = _trailing_hours(self.hours[first : first + LEVELS_AT_ONCE])
            here = np.flatnonzero((window[-1] > 0) & (dose <= most))
            if not here.size:
                continue
            window = window.take(here, axis=1)
            after = window * gaps_c[first : first + LEVELS_AT_ONCE, None]
            after[0] += dose[here]
            for row in range(1, after.shape[0]):
                after[row] += after[row - 1]  # dose at the next value
            for limit, base in bases.items():
                level = (after <= limit + DOSE_EPSILON_C_H).view(np.int8).sum(axis=0, dtype=np.int8)
                within = dose[here] <= limit + DOSE_EPSILON_C_H
                column = np.flatnonzero(within & (level < window.shape[0]))
                level = level[column].astype(np.int64)
                at = first + level
                # From the dose at the next value back down to the limit.
                back = (after[level, column] - limit) / window[level, column]
                base[here[column]] = self.values_c[at] + gaps_c[at] - back
            dose[here] = after[-1]
        return bases


class ColdTable(Struct, frozen=True, kw_only=True):
    """
    Nights of a record in tenths: every level is already counted.

    Attributes
    ----------
    bottom
        Tenths of a degree of level 0; level i is `bottom + i` tenths.
    hours : (level, night)
        Hours at or below each level, each as often as it counts.
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
        shortfall: FloatArray = self.hours[level] * (beyond / 10.0)
        # No row holds more than the last, so that what 16 bits hold is known; they add up faster.
        small = level * int(self.hours[level].max()) < 2**15
        shortfall += self.hours[:level].sum(axis=0, dtype=np.int16 if small else np.int32) / 10.0
        return shortfall

    def tolerated_bases(self, dose_limits_c_h: frozenset[float]) -> dict[float, FloatArray]:
        """
        Highest chill base at which the trailing dose stays within each limit, (night), °C.

        Walks up the levels, some at a time, with the nights that have cold by then and are not yet
        beyond every limit: between two tenths the dose is a straight line, so that the crossing is
        exact.
        """
        levels, nights = self.hours.shape
        limits = {limit: round(limit * 10.0, 6) for limit in dose_limits_c_h}  # tenth-degree-hours
        bases = {limit: np.full(nights, np.inf) for limit in limits}
        most = int(max(limits.values(), default=0.0))
        dose = np.zeros(nights, np.int32)
        for first in range(0, levels, LEVELS_AT_ONCE):
            window = _trailing_hours(self.hours[first : first + LEVELS_AT_ONCE])
            here = np.flatnonzero((window[-1] > 0) & (dose <= most))
            if not here.size:
                continue
            window = window.take(here, axis=1)
            after = window.astype(np.int32)
            after[0] += dose[here]
            for row in range(1, after.shape[0]):  # quicker than one sum down the columns
                after[row] += after[row - 1]  # dose at the next level, in tenth-degree-hours
            for limit, tenths in limits.items():
                # Doses are whole: comparing so is exact, and quick.
                level = (after <= int(tenths)).view(np.int8).sum(axis=0, dtype=np.int8)
                within = dose[here] <= int(tenths)
                column = np.flatnonzero(within & (level < window.shape[0]))
                level = level[column].astype(np.int64)
                hours = window[level, column]
                part = (tenths - (after[level, column] - hours)) / hours
                bases[limit][here[column]] = (self.bottom + first + level + part) / 10.0
            dose[here] = after[-1]
        return bases


def _trailing_hours(hours: NDArray[np.int16]) -> NDArray[np.int16]:
    """Sum over 14 nights, the last axis, as 8 + 4 + 2 of them: quicker than a running sum."""
    two = hours.copy()
    two[:, 1:] += hours[:, :-1]
    four = two.copy()
    four[:, 2:] += two[:, :-2]
    total = four.copy()
    total[:, 4:] += four[:, :-4]
    total[:, 8:] += four[:, :-8]
    total[:, 12:] += two[:, :-12]
    return total


NightCold = NightHours | FewValues | ColdTable  # which answer the same three questions


class SpotDose(Struct, frozen=True, kw_only=True):
    """
    Cold that injures, by night: as `cold` counts it, each count weighing so many hours.

    Attributes
    ----------
    weighs : h
        What one counted hour weighs.
    """

    cold: NightCold
    weighs: float

    def degree_hours_below(self, threshold_c: float) -> FloatArray:
        """Dose of each night below a chill base, shape (night), °C·h."""
        return self.cold.degree_hours_below(threshold_c) * self.weighs

    def tolerated_bases(self, dose_limits_c_h: frozenset[float]) -> dict[float, FloatArray]:
        """Highest chill base at which the trailing dose stays within each limit, (night), °C."""
        counted = {limit: limit / self.weighs for limit in dose_limits_c_h}
        bases = self.cold.tolerated_bases(frozenset(counted.values()))
        return {limit: bases[count] for limit, count in counted.items()}


def lay_out_dose(temp_c: FloatArray, wet: BoolArray, cold: NightCold, highest_c: float) -> SpotDose:
    """
    The dose of every night: an hour in a wet pot weighs 1.5, any other 1 (reasoned).

    Parameters
    ----------
    temp_c, wet : (night, 24), °C
    cold
        From `cold_by_night`, of the same hours.
    highest_c : °C
        Highest threshold that will be asked for.
    """
    known = ~np.isnan(temp_c)
    if not (wet & known).any():
        return SpotDose(cold=cold, weighs=1.0)
    if (wet | ~known).all():
        return SpotDose(cold=cold, weighs=WET_WEIGHT)
    halves = wet + np.int16(2)  # counted in half hours, so that whole numbers stay exact
    return SpotDose(cold=cold_by_night(temp_c, highest_c, halves), weighs=0.5)


def cold_by_night(
    temp_c: FloatArray, highest_c: float, weight: NDArray[np.int16] | None = None
) -> NightCold:
    """
    The cold of every night, ready to be asked for any threshold up to `highest_c`.

    Parameters
    ----------
    temp_c : (night, 24), °C
        nan where there is no value: such hours are neither cold nor warm here.
    highest_c : °C
        Highest threshold that will be asked for.
    weight : (night, 24), or None
        How often each hour counts; None: once.
    """
    if not is_tenths(temp_c) or np.isnan(temp_c).all():
        plain = NightHours(temp_c=temp_c, highest_c=highest_c, weight=weight)
        return _few_values(plain) or plain
    bottom = int(np.rint(np.nanmin(temp_c) * 10.0))
    top = max(int(np.ceil(highest_c * 10.0)) + 1, bottom + 1)
    levels = top - bottom + 1
    level = np.fmin(np.rint(temp_c * 10.0), top + 1) - bottom  # nan and warm hours: a last row
    return ColdTable(bottom=bottom, hours=_hours_up_to(level.astype(np.int64), levels, weight))


def _few_values(plain: NightHours) -> FewValues | None:
    """The nights as a table of their values; None where these are too many."""
    temp_c = plain.temp_c
    # Every year has most of the values that there are: one tells whether a table is worth a try.
    if np.unique(temp_c[:YEAR]).size > MOST_VALUES:
        return None
    values_c = np.unique(temp_c[temp_c < plain.highest_c])
    if not 0 < values_c.size <= MOST_VALUES:
        return None
    level = np.searchsorted(values_c, temp_c)  # nan and warm hours: a last row
    hours = _hours_up_to(level, values_c.size, plain.weight)
    return FewValues(plain=plain, values_c=values_c, hours=hours)


def _hours_up_to(
    level: IntArray, levels: int, weight: NDArray[np.int16] | None
) -> NDArray[np.int16]:
    """Hours at or below each level, (level, night); hours of level `levels` are left out."""
    nights = level.shape[0]
    index = level * nights + np.arange(nights)[:, None]
    hours = np.zeros((levels + 1, nights), np.int16)
    count = np.int16(1) if weight is None else weight.reshape(-1)
    np.add.at(hours.reshape(-1), index.reshape(-1), count)
    for row in range(1, levels):  # row by row: far quicker than one accumulate down the columns
        np.add(hours[row - 1], hours[row], out=hours[row])
    return hours[:levels]
