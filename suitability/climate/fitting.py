"""
What a spot adds to the open air, from a thermometer that hung there: robust, with its error.

Night minima by kind of night, day maxima and all other hours are judged apart: a mean over all
hours misjudges the nights. Levels are Huber's estimate of location (Huber 1964, Annals of
Mathematical Statistics 35:73), so that a few nights of another sort do little; their 90 % intervals
widen where successive nights are alike (lag-1 correlation). Errors are those of nights left out.
"""

from __future__ import annotations

import math
from collections.abc import Callable

import numpy as np
from msgspec import Struct
from msgspec.structs import replace
from numpy.typing import NDArray

from suitability.climate.chance import median
from suitability.climate.days import hours_by_night
from suitability.climate.enclosure import CLEAR, OTHER, damp, day_weight, shift_by_night

FloatArray = NDArray[np.float64]
IntArray = NDArray[np.int64]
BoolArray = NDArray[np.bool_]

FEWEST_OF_A_KIND = 5  # nights from which one kind's offset is taken; reasoned
HUBER_K = 1.345  # robust standard deviations: 95 % efficient for normal errors
MAD_TO_SD = 1.4826
PARTS = 5  # stretches of nights, each left out in turn
DAMPINGS_H = (0.0, 1.0, 2.0, 3.0, 4.0, 6.0, 9.0, 12.0, 18.0, 24.0)
NEARLY_AS_GOOD = 1.05  # of the least error; such time constants cannot be told apart
CLEARLY_BETTER = 0.95  # of the error without damping; a time constant must earn its place


class Level(Struct, frozen=True, kw_only=True):
    """
    An offset with its 90 % interval, K, the number behind it and the scatter of one night or day.

    `scatter_c` is a robust standard deviation.
    """

    usual: float
    low: float
    high: float
    number: int
    scatter_c: float


class Levels(Struct, frozen=True, kw_only=True):
    """
    What was found; None where too few nights or days tell.

    `..._error_c` are root mean square errors of nights and days that were left out: of the fit,
    and of taking the station as it is.
    """

    clear_night: Level | None
    other_night: Level | None
    day: Level | None
    nights: int
    night_error_c: float
    night_error_before_c: float
    day_error_c: float | None


class FitOfHours(Struct, frozen=True, kw_only=True):
    """
    A fit to an hourly log.

    Attributes
    ----------
    levels, damping_hours
    model_c : (hour), °C
        The spot as fitted, from the hours outside.
    hour_error_c : K
        Root mean square error of hours in nights left out.
    """

    levels: Levels
    damping_hours: float
    model_c: FloatArray
    hour_error_c: float


def student_95(freedom: float) -> float:
    """
    95 % point of Student's t: Cornish-Fisher expansion (Abramowitz and Stegun 26.7.5).

    Within 0.002 from 5 degrees of freedom on.

    Examples
    --------
    >>> round(student_95(20.0), 3)
    1.725
    """
    z = 1.6448536269514722
    terms = (
        (z**3 + z) / 4.0,
        (5.0 * z**5 + 16.0 * z**3 + 3.0 * z) / 96.0,
        (3.0 * z**7 + 19.0 * z**5 + 17.0 * z**3 - 15.0 * z) / 384.0,
        (79.0 * z**9 + 776.0 * z**7 + 1482.0 * z**5 - 1920.0 * z**3 - 945.0 * z) / 92160.0,
    )
    return z + sum(term / freedom**power for power, term in enumerate(terms, 1))


def huber_level(differences_c: FloatArray, sensor_error_c: float = 0.0) -> Level | None:
    """
    The level of differences in order of time; None with fewer than five.

    Parameters
    ----------
    differences_c : (night), K
        Without gaps.
    sensor_error_c : K
        Half width of the thermometer's own 90 % interval, added in quadrature.
    """
    number = differences_c.size
    if number < FEWEST_OF_A_KIND:
        return None
    level, scale = _huber_location(differences_c)
    error = 0.0
    if scale > 0.0:
        pull = np.clip((differences_c - level) / scale, -HUBER_K, HUBER_K)
        inside_share = max(float((np.abs(pull) < HUBER_K).mean()), 0.1)
        variance = scale**2 * float((pull**2).sum()) / (number - 1) / inside_share**2
        alike = _lag_one(pull - pull.mean())
        error = math.sqrt(variance / number * (1.0 + alike) / (1.0 - alike))
    half = math.hypot(student_95(number - 1.0) * error, sensor_error_c)
    return Level(usual=level, low=level - half, high=level + half, number=number, scatter_c=scale)


def _huber_location(differences_c: FloatArray) -> tuple[float, float]:
    """Level and scale of differences; a fit asks for thousands of them, without their errors."""
    number = differences_c.size
    level = median(differences_c)
    scale = MAD_TO_SD * median(np.abs(differences_c - level))
    scale = scale or float(differences_c.std())  # of readings so coarse that most are the same
    if scale > 0.0:
        for _ in range(30):
            away = differences_c - level
            pull = np.minimum(np.maximum(away / scale, -HUBER_K), HUBER_K)
            inside = int(np.count_nonzero(np.abs(away) < HUBER_K * scale)) / number
            step = scale * float(np.add.reduce(pull) / number) / max(inside, 0.1)
            level += step
            if abs(step) < 1e-9:
                break
    return level, scale


def _usual(differences_c: FloatArray, fallback_c: float) -> float:
    """Their level, or the fallback where they are too few."""
    few = differences_c.size < FEWEST_OF_A_KIND
    return fallback_c if few else _huber_location(differences_c)[0]


def _lag_one(centred: FloatArray) -> float:
    """Correlation of successive values, 0 to 0.8: negative ones are not believed."""
    power = float((centred**2).sum())
    if power == 0.0:
        return 0.0
    return min(max(float((centred[1:] * centred[:-1]).sum()) / power, 0.0), 0.8)


def fit_extremes(
    outside_min_c: FloatArray,
    log_min_c: FloatArray,
    kinds: IntArray,
    outside_max_c: FloatArray,
    log_max_c: FloatArray,
    *,
    fallback_c: tuple[float, float, float],
    sensor_error_c: float = 0.0,
) -> Levels:
    """
    Offsets from minima and maxima.

    Parameters
    ----------
    outside_min_c, log_min_c, kinds : (night)
        nan where either is missing; nights of unknown kind tell nothing of an offset.
    outside_max_c, log_max_c : (day)
    fallback_c : K
        Offsets of clear and calm nights, other nights and days that stand where too few tell.
    sensor_error_c : K

    Returns
    -------
    Levels
    """
    told = ~np.isnan(log_min_c - outside_min_c) & np.isin(kinds, (CLEAR, OTHER))
    difference, kind = (log_min_c - outside_min_c)[told], kinds[told]
    by_day = (log_max_c - outside_max_c)[~np.isnan(log_max_c - outside_max_c)]
    clear, other = (huber_level(difference[kind == one], sensor_error_c) for one in (CLEAR, OTHER))

    def night_misses(kept: BoolArray, left: BoolArray) -> FloatArray:
        miss = difference[left].copy()
        for one, stands_c in ((CLEAR, fallback_c[0]), (OTHER, fallback_c[1])):
            miss[kind[left] == one] -= _usual(difference[kept & (kind == one)], stands_c)
        return miss

    def day_misses(kept: BoolArray, left: BoolArray) -> FloatArray:
        return by_day[left] - _usual(by_day[kept], fallback_c[2])

    return Levels(
        clear_night=clear,
        other_night=other,
        day=huber_level(by_day, sensor_error_c),
        nights=int(told.sum()),
        night_error_c=_left_out_error(difference.size, night_misses),
        night_error_before_c=_rms(difference),
        day_error_c=None if not by_day.size else _left_out_error(by_day.size, day_misses),
    )


def _left_out_error(number: int, misses: Callable[[BoolArray, BoolArray], FloatArray]) -> float:
    """Root mean square miss of nights in five stretches, each left out in turn."""
    part = np.arange(number) * PARTS // max(number, 1)
    found = [misses(part != one, part == one) for one in range(PARTS) if (part == one).any()]
    return _rms(np.concatenate(found)) if found else math.nan


def _rms(values: FloatArray) -> float:
    return float(np.sqrt(np.mean(values**2))) if values.size else math.nan


def fit_hours(
    outside_c: FloatArray,
    log_c: FloatArray,
    kinds: IntArray,
    local_start_hour: int,
    solar_start_hour: float,
    *,
    fallback_c: tuple[float, float, float],
    sensor_error_c: float = 0.0,
    dampings_h: tuple[float, ...] = DAMPINGS_H,
) -> FitOfHours:
    """
    Offsets and time constant from an hourly log.

    Of the time constants the one with the least error of hours in nights left out is taken, and
    none at all unless that is a twentieth better. Minima are compared over the hours in which the
    night's offset holds in full, maxima over those of the day's.

    Parameters
    ----------
    outside_c, log_c : (hour), °C
        The same hours; nan where missing. Hours outside from before the log begins let the
        damping settle.
    kinds : (night)
        Of these hours, noon to noon.
    local_start_hour : h
    solar_start_hour : h
    fallback_c, sensor_error_c
        As for `fit_extremes`.
    dampings_h : h
        Time constants tried; the first stands for none.
    """
    tries = [
        _fit_with(
            damping,
            outside_c,
            log_c,
            kinds,
            local_start_hour,
            solar_start_hour,
            fallback_c,
            sensor_error_c,
        )
        for damping in dampings_h
    ]
    plain = tries[0]
    best = min(tries, key=lambda one: one.hour_error_c)
    if best.hour_error_c >= CLEARLY_BETTER * plain.hour_error_c:
        return plain
    near = [one.levels for one in tries if one.hour_error_c <= NEARLY_AS_GOOD * best.hour_error_c]
    return replace(best, levels=_widened(best.levels, near))


def _widened(levels: Levels, others: list[Levels]) -> Levels:
    """Intervals that also hold what other time constants, nearly as good, would have given."""

    def widened(name: str) -> Level | None:
        level: Level | None = getattr(levels, name)
        if level is None:
            return None
        rivals = [one for other in others if (one := getattr(other, name)) is not None]
        apart = max(abs(one.usual - level.usual) for one in rivals)
        half = math.hypot(level.usual - level.low, apart)
        return replace(level, low=level.usual - half, high=level.usual + half)

    return replace(
        levels,
        clear_night=widened("clear_night"),
        other_night=widened("other_night"),
        day=widened("day"),
    )


def _fit_with(  # noqa: PLR0917  one try of the search above
    damping_hours: float,
    outside_c: FloatArray,
    log_c: FloatArray,
    kinds: IntArray,
    start: int,
    solar: float,
    fallback_c: tuple[float, float, float],
    sensor_error_c: float,
) -> FitOfHours:
    """The fit at one time constant."""
    damped, settled = damp(outside_c, damping_hours)
    damped[~settled] = np.nan
    weight = np.resize(day_weight(solar + np.arange(24.0)), outside_c.size)
    outside_min, log_min = (-_highest(-one, weight == 0.0, start) for one in (damped, log_c))
    outside_max, log_max = (_highest(one, weight == 1.0, start + 12) for one in (damped, log_c))

    def fit(left_out: BoolArray) -> Levels:
        kept = np.where(left_out, -2, kinds)  # a kind that is neither
        days = np.resize(left_out, outside_max.size)
        return fit_extremes(
            outside_min,
            log_min,
            kept,
            outside_max,
            np.where(days, np.nan, log_max),
            fallback_c=fallback_c,
            sensor_error_c=sensor_error_c,
        )

    def model(levels: Levels) -> FloatArray:
        clear, other, day = (
            stands_c if level is None else level.usual
            for level, stands_c in zip(
                (levels.clear_night, levels.other_night, levels.day), fallback_c, strict=True
            )
        )
        return shift_by_night(
            damped, kinds, start, solar, clear_night_c=clear, other_night_c=other, day_c=day
        )

    levels = fit(np.zeros(kinds.size, np.bool_))
    _, logged = hours_by_night(log_c, start)
    told = np.flatnonzero((~np.isnan(logged)).any(axis=1))
    misses = []
    for part in np.array_split(told, PARTS):
        left_out = np.zeros(kinds.size, np.bool_)
        left_out[part] = True
        _, there = hours_by_night(log_c - model(fit(left_out)), start)
        misses.append(there[part].ravel())
    miss = np.concatenate(misses)
    return FitOfHours(
        levels=levels,
        damping_hours=damping_hours,
        model_c=model(levels),
        hour_error_c=_rms(miss[~np.isnan(miss)]),
    )


def _highest(values: FloatArray, asked: BoolArray, start: int) -> FloatArray:
    """Highest of the hours asked for in each 24 h from noon; nan where one of them is missing."""
    _, rows = hours_by_night(values, start)
    _, wanted = hours_by_night(asked.astype(np.float64), start)
    here = wanted == 1.0
    whole = here.sum(axis=1) == here.sum(axis=1).max()
    highest: FloatArray = np.where(here, rows, -np.inf).max(axis=1)  # nan stays nan
    highest[~whole] = np.nan
    return highest
