"""
What hourly readings miss of a day's minimum, told by the readings themselves.

A record thinned to every second reading loses a part of each day's minimum, and the loss can be
measured. Twice that loss is what the readings as they are lose, or a little more: so measured
against the true minima of two airports, one high and dry, one on a coast (see
`tests/published/test_sampling.py`). A random walk loses 2.4 times as much (its loss goes with the
square root of the step; Asmussen, Glynn & Pitman 1995, from memory), a smooth curve a third (with
the square of the step); air lies between.
"""

from __future__ import annotations

from enum import StrEnum

import numpy as np

from suitability.weather.record import FloatArray, Record

FEWEST_DAYS = 365  # with all readings; fewer are not a year
FACTOR = 2.0  # on the loss of thinning; measured 1.7 and 2.0, see docs/calibration.md
LEAST_C = 0.2  # K; smooth series (models, interpolation) hide what they miss
USUAL_C = 0.6  # K; where nothing tells
DAY = 24


class ToldBy(StrEnum):
    """What an allowance rests on."""

    ASKED = "asked"
    DAILY_MINIMA = "daily-minima"
    READINGS = "readings"
    USUAL = "usual"


def find_allowance(record: Record, asked_c: float | None) -> tuple[float, ToldBy]:
    """
    What hourly readings miss of night minima, K, and what tells it.

    As asked, else by the station's own daily minima, else by its readings, else the usual 0.6.
    """
    if asked_c is not None:
        return asked_c, ToldBy.ASKED
    if record.minimum_allowance_c is not None:
        return record.minimum_allowance_c, ToldBy.DAILY_MINIMA
    expected_c = expected_miss(record)
    return (USUAL_C, ToldBy.USUAL) if expected_c is None else (expected_c, ToldBy.READINGS)


def expected_miss(record: Record) -> float | None:
    """
    By how much the lowest reading of a day lies above the day's true minimum on the mean.

    Returns
    -------
    K, rounded to 0.1, not below 0.2; None where fewer than 365 days have all their readings.
    """
    observed = np.where(record.counted, record.temp_c, np.nan)
    loss, days = loss_of_thinning(observed, max(1, record.step_hours))
    if days < FEWEST_DAYS:
        return None
    return max(LEAST_C, round(FACTOR * loss, 1))


def miss_of_hours(temp_c: FloatArray, lowest_c: FloatArray) -> tuple[float, int]:
    """
    By how much the lowest hour of a day lies above the day's lowest reading, K, and the days.

    Parameters
    ----------
    temp_c, lowest_c : (hour), °C
        Temperature of the hour, and the lowest reading in it. Days have all hours, and begin at the
        hour that is warmest on the mean.
    """
    whole = temp_c[: temp_c.size // DAY * DAY].reshape(-1, DAY)
    if not whole.size or np.isnan(whole).all():
        return 0.0, 0
    known = ~np.isnan(whole)
    means = np.where(known, whole, 0.0).sum(axis=0) / np.maximum(known.sum(axis=0), 1)
    warmest = int(np.argmax(np.where(known.any(axis=0), means, -np.inf)))
    days = (temp_c.size - warmest) // DAY
    part = slice(warmest, warmest + days * DAY)
    hours, lowest = temp_c[part].reshape(-1, DAY), lowest_c[part].reshape(-1, DAY)
    complete = ~np.isnan(hours).any(axis=1)
    if not complete.any():
        return 0.0, 0
    missed = hours[complete].min(axis=1) - lowest[complete].min(axis=1)
    return float(missed.mean()), int(missed.size)


def loss_of_thinning(temp_c: FloatArray, step_hours: int) -> tuple[float, int]:
    """
    By how much a day's lowest reading rises if every second reading is dropped.

    A day begins at the hour that is warmest on the mean, so that no minimum lies at its edge. The
    mean is taken over days within each twelfth of the year and then over the twelfths, so that a
    season that lacks days weighs as much as the others.

    Parameters
    ----------
    temp_c : (hour), °C
        nan where there is no reading.
    step_hours : h
        Distance of two readings; 24 must be a multiple of twice the step.

    Returns
    -------
    tuple
        The loss, K (0 without days), and the number of days with all readings.
    """
    if DAY % (2 * step_hours):
        return 0.0, 0
    whole = temp_c[: temp_c.size // DAY * DAY].reshape(-1, DAY)
    known = ~np.isnan(whole)
    number = known.sum(axis=0)
    usual = (number > 0) & (2 * number >= number.max())  # not an hour of a few stray readings
    if not usual.any():
        return 0.0, 0
    means = np.where(known, whole, 0.0).sum(axis=0) / np.maximum(number, 1)
    warmest = int(np.argmax(np.where(usual, means, -np.inf)))
    shifted = temp_c[warmest:]
    readings = shifted[: shifted.size // DAY * DAY].reshape(-1, DAY)[:, ::step_hours]
    complete = ~np.isnan(readings).any(axis=1)
    days = np.flatnonzero(complete)
    if not days.size:
        return 0.0, 0
    readings = readings[days]
    lowest = readings.min(axis=1)
    thinned = (readings[:, ::2].min(axis=1) + readings[:, 1::2].min(axis=1)) / 2
    twelfths = (days % 365.25 // (365.25 / 12)).astype(np.intp)
    counts = np.bincount(twelfths, minlength=12)
    sums = np.bincount(twelfths, thinned - lowest, minlength=12)
    return float((sums[counts > 0] / counts[counts > 0]).mean()), int(days.size)
