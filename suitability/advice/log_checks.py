"""
What spoils a grower's log: another unit, a clock that is off, sun on the sensor; and its window.

All of it is found by comparison with the record of the place over the same hours.
"""

from __future__ import annotations

from typing import TYPE_CHECKING

import numpy as np
from msgspec import Struct
from numpy.typing import NDArray

from suitability.advice.preparing import DEGREES_AN_HOUR
from suitability.climate.clocks import find_clock_lag, find_clock_step
from suitability.climate.days import hours_by_night, local_hour
from suitability.climate.enclosure import CLEAR, OTHER, day_weight, kinds_of_nights
from suitability.climate.fitting import FEWEST_OF_A_KIND, FitOfHours, fit_hours
from suitability.errors import RecordError
from suitability.weather.record import datetime_of_hour, fill_short_gaps

if TYPE_CHECKING:
    from suitability.places import Place
    from suitability.weather.record import Record

FloatArray = NDArray[np.float64]
IntArray = NDArray[np.int64]

SETTLING_DAYS = 10  # of the record before the log, so that damping begins settled
MOST_SHIFT_H = 12
UNIT_FAR_C = 8.0  # K from the record, beyond which another unit is tried
SPIKE_C, SPIKE_SD = 4.0, 5.0  # K and robust deviations above the model: sun on the sensor
SUNNY_DAYS = 3  # with such hours, from which it is told
SUNNY_C, SURE_SUN = 2.5, 3.0  # K, and standard errors, by which clear days stand above dull ones
FEWEST_DRIFT_DAYS, FEWEST_HOURS = 14, 18  # of the log, and of a day that tells
LEAST_DRIFT_C, SURE_DRIFT = 1.5, 4.0  # K, and standard errors


class Window(Struct, frozen=True, kw_only=True):
    """The record around a log, cut at noon: hours outside, kinds of nights, and clocks."""

    first: int
    outside_c: FloatArray
    kinds: IntArray
    local_start: int
    solar_start: float


def window_around(record: Record, place: Place, start: int, stop: int, log_name: str) -> Window:
    """The part of the record that a log is compared with."""
    if stop <= record.start_hour or start >= record.stop_hour:
        raise RecordError(
            f"{log_name}: it runs from {datetime_of_hour(start):%Y-%m-%d} to "
            f"{datetime_of_hour(stop - 1):%Y-%m-%d}, and the record from "
            f"{datetime_of_hour(record.start_hour):%Y-%m-%d} to "
            f"{datetime_of_hour(record.stop_hour - 1):%Y-%m-%d}: they share no hour. Take a record "
            "that holds these days."
        )
    filled = fill_short_gaps(record)
    local = local_hour(record.start_hour, place.utc_offset_hours)
    kinds = kinds_of_nights(filled.temp_c, local)
    before = (local - 12) % 24  # hours of the first, torn, night that the record lacks
    first_night = max(0, (start - record.start_hour + before) // 24 - SETTLING_DAYS)
    last_night = min(kinds.size, (stop - record.start_hour + before) // 24 + 1)
    first = max(0, first_night * 24 - before)
    last = min(filled.temp_c.size, last_night * 24 - before)
    return Window(
        first=record.start_hour + first,
        outside_c=filled.temp_c[first:last],
        kinds=kinds[first_night:last_night],
        local_start=local + first,
        solar_start=record.start_hour + first + place.longitude / DEGREES_AN_HOUR,
    )


def fit_window(
    window: Window,
    log_c: FloatArray,
    fallback: tuple[float, float, float],
    sensor_error_c: float = 0.0,
    dampings_h: tuple[float, ...] | None = None,
) -> FitOfHours:
    """
    The fit of a log over its window.

    Parameters
    ----------
    log_c : (hour), °C
        Of the window's hours.
    fallback, sensor_error_c, dampings_h
        As for `fit_hours`.
    """
    tried = {} if dampings_h is None else {"dampings_h": dampings_h}
    return fit_hours(
        window.outside_c,
        log_c,
        window.kinds,
        window.local_start,
        window.solar_start,
        fallback_c=fallback,
        sensor_error_c=sensor_error_c,
        **tried,
    )


def check_unit(
    apart_c: FloatArray, log_c: FloatArray, outside_c: FloatArray, log_name: str
) -> None:
    """Refuse a log that fits the record far better in the other unit."""
    known = ~np.isnan(apart_c)
    if not known.any():
        return
    log, outside = log_c[known], outside_c[known]
    as_declared = float(np.median(np.abs(log - outside)))
    if as_declared < UNIT_FAR_C:
        return
    others = {
        "°F though °C was declared": (log - 32.0) / 1.8,
        "°C though °F was declared": log * 1.8 + 32.0,
    }
    for words, values in others.items():
        converted = float(np.median(np.abs(values - outside)))
        if converted < as_declared / 2.0:
            raise RecordError(
                f"{log_name}: its values lie {as_declared:.1f} °C from the record, and "
                f"{converted:.1f} °C if they are in {words}. Declare the other unit with "
                "--input-units."
            )


def find_clock(window: Window, log_c: FloatArray, log_name: str) -> str:
    """Whether the clock was off, or set anew while the log was kept, told by the weather."""
    step = find_clock_step(window.outside_c, log_c)
    if step is not None and step.is_wrong:
        start = int(np.flatnonzero(~np.isnan(log_c))[0])
        day = datetime_of_hour(window.first + start + 24 * step.day)
        return (
            f"The clock of {log_name} seems to have been set {_hours(step.hours)} about "
            f"{day:%Y-%m-%d}: keep one time throughout, or fit the two parts by themselves."
        )
    lag = find_clock_lag(window.outside_c, log_c)
    if lag is None or not lag.is_wrong:
        return ""
    about = "about " if lag.doubted_from > 1.0 else ""
    shift = max(-MOST_SHIFT_H, min(MOST_SHIFT_H, -round(lag.hours)))
    return (
        f"The clock of {log_name} seems {about}{_hours(lag.hours)}: its weather comes so much "
        f"{'later' if lag.hours > 0 else 'earlier'} than the record's. If the logger kept another "
        f"time than declared, say the right --zone, or --clock-shift {shift:+d}."
    )


def _hours(late: float) -> str:
    """An error of a clock in whole hours."""
    number = max(1, round(abs(late)))
    return f"{number} hour{'' if number == 1 else 's'} {'late' if late > 0 else 'early'}"


def find_drift(window: Window, log_c: FloatArray, fit: FitOfHours, log_name: str) -> str:
    """Whether what the spot adds changed steadily from the first day of the log to the last."""
    _, by_day = hours_by_night(log_c - fit.model_c, window.local_start)
    told = (~np.isnan(by_day)).sum(axis=1) >= FEWEST_HOURS
    if told.sum() < FEWEST_DRIFT_DAYS:
        return ""
    day = np.flatnonzero(told).astype(np.float64)
    left = np.nanmean(by_day[told], axis=1)
    slope, middle = np.polyfit(day, left, 1)
    change = float(slope * (day[-1] - day[0]))
    if abs(change) < LEAST_DRIFT_C:  # days that differ by nothing have no correlation either
        return ""
    rest = left - (slope * day + middle)
    alike = min(max(float(np.corrcoef(rest[1:], rest[:-1])[0, 1]), 0.0), 0.8)
    spread = float(rest.std(ddof=2)) * ((1.0 + alike) / (1.0 - alike)) ** 0.5
    error = spread / float(np.sqrt(((day - day.mean()) ** 2).sum())) * float(day[-1] - day[0])
    if abs(change) < SURE_DRIFT * error:
        return ""
    return (
        f"What the spot adds changed by {change:+.1f} °C from the first to the last day of "
        f"{log_name}: a season may do that, and so do a thermometer that drifts, a weak battery or "
        "something that was moved. The offsets are its middle."
    )


def find_noon_sun(window: Window, log_c: FloatArray, fit: FitOfHours, log_name: str) -> str:
    """Whether the early afternoon stands far higher on clear days than on dull ones."""
    if fit.levels.day is None:
        return ""
    _, outside = hours_by_night(window.outside_c, window.local_start)
    _, log = hours_by_night(log_c, window.local_start)
    solar = (window.solar_start - window.local_start + 12.0) % 24.0  # of each night's first hour
    noon = day_weight(solar + np.arange(24.0)) == 1.0
    above = log[:, noon].max(axis=1) - outside[:, noon].max(axis=1)
    clear, dull = (above[(window.kinds == kind) & ~np.isnan(above)] for kind in (CLEAR, OTHER))
    if min(clear.size, dull.size) < FEWEST_OF_A_KIND:
        return ""
    more = float(np.median(clear) - np.median(dull))
    spread = float(np.hypot(clear.std() / clear.size**0.5, dull.std() / dull.size**0.5))
    if more < SUNNY_C or more < SURE_SUN * spread:
        return ""
    return (
        f"Early afternoons stand {float(np.median(clear)):+.1f} °C from the station on clear days "
        f"and {float(np.median(dull)):+.1f} on dull ones: the sun reaches {log_name}'s "
        "thermometer, or the spot. If only the thermometer, shade it; the day offset is too high "
        "until then."
    )


def find_sun(window: Window, log_c: FloatArray, fit: FitOfHours, log_name: str) -> str:
    """Whether some hours of the day stand far above the fitted spot."""
    apart = log_c - fit.model_c
    day = np.resize(day_weight(window.solar_start + np.arange(24.0)), log_c.size) > 0.0
    known = ~np.isnan(apart)
    spread = 1.4826 * float(np.median(np.abs(apart[known] - np.median(apart[known]))))
    spikes = known & day & (apart > max(SPIKE_C, SPIKE_SD * spread))
    _, by_night = hours_by_night(spikes.astype(np.float64), window.local_start + 12)
    days = int((np.nan_to_num(by_night).sum(axis=1) > 0).sum())
    if days < SUNNY_DAYS:
        return ""
    return (
        f"The sun seems to have reached the sensor of {log_name}: on {days} days some hours stand "
        f"up to {float(apart[spikes].max()):.0f} °C above the rest. Shade it, and trust the day "
        "offset little."
    )
