"""
Gaps of a station filled from its neighbours, and temperatures moved to another height.

What is blended is no observation: its hours have the origin `blended` and are never counted. How
far it is off is told by hiding real hours and filling them, nights apart.
"""

from __future__ import annotations

from collections.abc import Sequence

import numpy as np
from msgspec import Struct
from msgspec.structs import replace
from numpy.typing import NDArray

from suitability.weather.record import FloatArray, Origin, Record
from suitability.weather.sources.providers import join_credits

LAPSE_K_PER_KM = 6.5  # K/km, of the international standard atmosphere (ISO 2533)
AVERAGE_ONLY = (
    "That is right on the average of day and night only: on clear calm nights cold air drains, and "
    "minima of valleys may be several °C lower than this."
)
BLOCK_HOURS = 3  # biases differ by hour of the day; a block of 3 h fits three-hourly stations
BLOCKS = 24 // BLOCK_HOURS
FEWEST_COMMON = 30  # h in common for a bias of a month and block of its own
FEWEST_FOR_USE = 24 * 30  # h in common for a neighbour to be used at all
LEAST_SPREAD_C = 0.1  # °C; a neighbour that always agreed would otherwise weigh without bound
HIDDEN_SHARE = 0.1  # of the days with readings are hidden to estimate errors
HIDDEN_RUN_DAYS = 3  # in runs as long as gaps that matter
NIGHT_HOURS = (18, 9)  # standard time, as for nights of the method


def weigh_stations(temp_c: FloatArray, weights: FloatArray) -> FloatArray:
    """
    Weighted mean of stations hour by hour, over those that have a value, °C, (hour).

    Parameters
    ----------
    temp_c : (station, hour), °C
        nan where there is none.
    weights : (station)

    Returns
    -------
    nan where no station has a value

    Examples
    --------
    >>> weigh_stations(np.array([[1.0, np.nan], [3.0, 3.0]]), np.array([0.75, 0.25])).tolist()
    [1.5, 3.0]
    """
    mean: FloatArray = (weights / weights.sum()) @ temp_c  # nan as soon as one station is missing
    some = np.flatnonzero(np.isnan(mean))
    part = temp_c.take(some, axis=1)
    there = ~np.isnan(part)
    with np.errstate(invalid="ignore"):
        mean[some] = (weights @ np.where(there, part, 0.0)) / (weights @ there)
    return mean


def shift_height(
    temp_c: FloatArray,
    height_difference_m: float | FloatArray,
    lapse_k_per_km: float = LAPSE_K_PER_KM,
) -> FloatArray:
    """
    Temperature at a point, from that of a station which stands higher by the difference, °C.

    A fixed lapse rate is right on the average of day and night only: on clear calm nights cold air
    drains and valleys are often colder than slopes, so minima may be off by several kelvin.

    Parameters
    ----------
    temp_c : (..., hour), °C
    height_difference_m : m
        Station above the point; one number, or of each of the last axis.
    """
    return temp_c + lapse_k_per_km / 1000.0 * height_difference_m


class BlendError(Struct, frozen=True, kw_only=True):
    """
    How far filled values were from hidden real ones.

    Attributes
    ----------
    hours : h
        Hours that were hidden and filled.
    bias_c : °C
        Mean of filled minus real.
    rmse_c : °C
        Root of the mean square.
    """

    hours: int
    bias_c: float
    rmse_c: float


class FillErrors(Struct, frozen=True, kw_only=True):
    """Errors of filling: all hours, night hours, and the lowest value of each night."""

    all_hours: BlendError | None
    night_hours: BlendError | None
    night_minima: BlendError | None


def fill_from_neighbours(
    record: Record, neighbours: Sequence[Record], *, utc_offset_hours: float = 0.0, seed: int = 0
) -> tuple[Record, FillErrors]:
    """
    The record with gaps filled from other stations, and how far such filling is off.

    Each neighbour is brought to the record's level by its mean difference on common hours (by month
    and three-hour block of the day, else by month, else over all), then weighed by the inverse
    square of what still differs. Only gaps are touched; filled hours are `blended`.

    Parameters
    ----------
    utc_offset_hours : h
        Of standard time, which tells nights.
    seed
        Of the choice of hidden days.

    Returns
    -------
    record
        The same where no neighbour has enough hours in common.
    errors
        From hidden days, not from the filled gaps themselves.
    """
    start, stop = record.start_hour, record.stop_hour
    target = record.counted_between(start, stop)
    others = np.array([other.counted_between(start, stop) for other in neighbours])
    cell = _cells(start, target.size, utc_offset_hours)
    filled = _estimate(target, others, cell)
    errors = estimate_errors(target, others, start, utc_offset_hours=utc_offset_hours, seed=seed)
    gap = np.isnan(record.temp_c) & ~np.isnan(filled)
    if not gap.any():
        return record, errors
    temp_c, origin = record.temp_c.copy(), record.origin.copy()
    temp_c[gap] = np.round(filled[gap], 1)
    origin[gap] = Origin.BLENDED
    credits_of = [record, *neighbours]
    return (
        replace(
            record,
            temp_c=temp_c,
            origin=origin,
            licence=join_credits(one.licence for one in credits_of),
            attribution=join_credits(one.attribution for one in credits_of),
            notes=(*record.notes, _say_filled(int(gap.sum()), neighbours, errors)),
        ),
        errors,
    )


def _say_filled(hours: int, neighbours: Sequence[Record], errors: FillErrors) -> str:
    """What is to be told of filled gaps, and how far such filling was off where it was tested."""
    names = ", ".join(one.station.identifier for one in neighbours if one.station is not None)
    note = f"{hours} missing hours were blended from {names or 'other records'}"
    kinds = {"hours": errors.all_hours, "night hours": errors.night_hours}
    tested = [
        f"{name} by {error.rmse_c:.1f} °C" for name, error in kinds.items() if error is not None
    ]
    if errors.night_minima is not None:
        minima = errors.night_minima
        tested.append(f"night minima by {minima.rmse_c:.1f} °C ({minima.bias_c:+.1f} on the mean)")
    if tested:
        note += (
            "; real ones that were hidden and filled likewise were off (root mean square): "
            f"{', '.join(tested)}"
        )
    return f"{note}. They serve nights and doses and are never counted as hours below a floor."


def _cells(start: int, size: int, utc_offset_hours: float) -> NDArray[np.int64]:
    """Number of month and block of the day of each hour, standard time, 0 to 95, (hour)."""
    hours = np.arange(size) + start + round(utc_offset_hours)
    month = hours.astype("datetime64[h]").astype("datetime64[M]").astype(np.int64) % 12
    return month * BLOCKS + hours % 24 // BLOCK_HOURS


def _estimate(target: FloatArray, others: FloatArray, cell: NDArray[np.int64]) -> FloatArray:
    """What the neighbours say of the target, °C, (hour); nan where none can."""
    levelled, weights = [], []
    for other in others:
        difference = target - other
        common = ~np.isnan(difference)
        if common.sum() < FEWEST_FOR_USE:
            continue
        bias = _bias(difference[common], cell[common])[cell]
        left_over = difference[common] - bias[common]
        levelled.append(other + bias)
        weights.append(1.0 / max(LEAST_SPREAD_C, float(np.sqrt(np.mean(left_over**2)))) ** 2)
    if not levelled:
        return np.full(target.size, np.nan)
    return weigh_stations(np.array(levelled), np.array(weights))


def _bias(difference: FloatArray, cell: NDArray[np.int64]) -> FloatArray:
    """Mean difference of each cell, °C, (cell); of its month or of all where a cell has too few."""
    shape = (12, BLOCKS)
    hours = np.bincount(cell, minlength=12 * BLOCKS).reshape(shape)
    total = np.bincount(cell, weights=difference, minlength=12 * BLOCKS).reshape(shape)
    overall = total.sum() / hours.sum()
    month_hours, month_total = hours.sum(axis=1), total.sum(axis=1)
    enough = month_hours >= FEWEST_COMMON
    monthly = np.where(enough, month_total / np.maximum(1, month_hours), overall)
    own = np.where(hours >= FEWEST_COMMON, total / np.maximum(1, hours), monthly[:, None])
    result: FloatArray = own.ravel()
    return result


def estimate_errors(
    target: FloatArray,
    others: FloatArray,
    start: int,
    *,
    utc_offset_hours: float = 0.0,
    seed: int = 0,
) -> FillErrors:
    """
    Errors of filling, by hiding a tenth of the days in runs of three and filling them anew.

    Hidden hours take no part in the levels and weights by which they are filled.

    Parameters
    ----------
    target : (hour), °C
    others : (neighbour, hour), °C
    start : h
        Hours from 1970-01-01 00:00 UTC to the first.
    """
    size = target.size
    day = (np.arange(size) + start + round(utc_offset_hours)) // 24
    run = (day - day[0]) // HIDDEN_RUN_DAYS if size else day
    runs = int(run[-1]) + 1 if size else 0
    chosen = np.random.default_rng(seed).random(runs) < HIDDEN_SHARE
    hidden = chosen[run] & ~np.isnan(target) if size else np.zeros(0, bool)
    cell = _cells(start, size, utc_offset_hours)
    filled = _estimate(np.where(hidden, np.nan, target), others, cell)
    known = hidden & ~np.isnan(filled)
    error = filled - target
    hour = (np.arange(size) + start + round(utc_offset_hours)) % 24
    night = known & ((hour >= NIGHT_HOURS[0]) | (hour <= NIGHT_HOURS[1]))
    return FillErrors(
        all_hours=_summary(error[known]),
        night_hours=_summary(error[night]),
        night_minima=_summary(_minimum_errors(target, filled, night, day, hour)),
    )


def _minimum_errors(
    target: FloatArray,
    filled: FloatArray,
    night: NDArray[np.bool_],
    day: NDArray[np.int64],
    hour: NDArray[np.int64],
) -> FloatArray:
    """Filled minus real minimum of each night that was hidden and filled as a whole, °C."""
    evening = np.where(hour >= 12, day, day - 1)  # a night is dated by its evening
    evening = evening[night]
    if evening.size == 0:
        return np.zeros(0)
    first = np.flatnonzero(np.diff(evening, prepend=evening[0] - 1))
    whole = np.diff(first, append=evening.size) >= 16  # 18 to 09, both included
    lowest = np.minimum.reduceat(filled[night], first) - np.minimum.reduceat(target[night], first)
    result: FloatArray = lowest[whole]
    return result


def _summary(error: FloatArray) -> BlendError | None:
    """Summary of errors; None where there are none."""
    if error.size == 0:
        return None
    return BlendError(
        hours=int(error.size), bias_c=float(error.mean()), rmse_c=float(np.sqrt(np.mean(error**2)))
    )
