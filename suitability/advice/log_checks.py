"""
What spoils a grower's log: another unit, a clock that is off, sun on the sensor; and its window.

All of it is found by comparison with the record of the place over the same hours.
"""

from __future__ import annotations

from typing import TYPE_CHECKING

import numpy as np
from msgspec import Struct
from numpy.typing import NDArray

from suitability.climate.days import hours_by_night, local_hour
from suitability.climate.enclosure import day_weight, kinds_of_nights
from suitability.climate.fitting import FitOfHours, fit_hours
from suitability.errors import RecordError
from suitability.weather.record import datetime_of_hour, fill_short_gaps

if TYPE_CHECKING:
    from suitability.places import Place
    from suitability.weather.record import Record

__all__ = ["Window", "check_unit", "find_clock_shift", "find_sun", "fit_window", "window_around"]

FloatArray = NDArray[np.float64]
IntArray = NDArray[np.int64]

SETTLING_DAYS = 10  # of the record before the log, so that damping begins settled
QUICK_DAMPINGS_H = (0.0, 2.0, 4.0, 8.0)  # h, tried when the clock is tested
CLOCK_SHIFTS_H = (-3, -2, -1, 1, 2, 3)
CLOCK_GAIN = 0.9  # of the error, below which another clock is believed
UNIT_FAR_C = 8.0  # K from the record, beyond which another unit is tried
SPIKE_C, SPIKE_SD = 4.0, 5.0  # K and robust deviations above the model: sun on the sensor
SUNNY_DAYS = 3  # with such hours, from which it is told
DEGREES_AN_HOUR = 15.0


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


def find_clock_shift(
    window: Window, log_c: FloatArray, fallback: tuple[float, float, float], log_name: str
) -> list[str]:
    """Whether the log fits much better with its clock moved by some hours."""
    as_it_is = fit_window(window, log_c, fallback, dampings_h=QUICK_DAMPINGS_H).hour_error_c
    moved = {
        shift: fit_window(
            window, _moved(log_c, shift), fallback, dampings_h=QUICK_DAMPINGS_H
        ).hour_error_c
        for shift in CLOCK_SHIFTS_H
    }
    shift = min(moved, key=lambda one: moved[one])
    if moved[shift] >= CLOCK_GAIN * as_it_is:
        return []
    late = "late" if shift < 0 else "early"
    hours = f"{abs(shift)} hour{'s' if abs(shift) > 1 else ''}"
    sentence = (
        f"The clock of {log_name} seems {hours} {late}: with its times moved by {shift:+d} h hours "
        f"miss by {moved[shift]:.1f} °C instead of {as_it_is:.1f}. If the logger kept another time "
        f"than declared, say the right --zone, or --clock-shift {shift:+d}."
    )
    return [sentence]


def _moved(log_c: FloatArray, shift: int) -> FloatArray:
    """The log with its times moved, nan where it then has none."""
    moved = np.roll(log_c, shift)
    if shift > 0:
        moved[:shift] = np.nan
    else:
        moved[shift:] = np.nan
    return moved


def find_sun(window: Window, log_c: FloatArray, fit: FitOfHours, log_name: str) -> list[str]:
    """Whether some hours of the day stand far above the fitted spot."""
    apart = log_c - fit.model_c
    day = np.resize(day_weight(window.solar_start + np.arange(24.0)), log_c.size) > 0.0
    known = ~np.isnan(apart)
    spread = 1.4826 * float(np.median(np.abs(apart[known] - np.median(apart[known]))))
    spikes = known & day & (apart > max(SPIKE_C, SPIKE_SD * spread))
    _, by_night = hours_by_night(spikes.astype(np.float64), window.local_start + 12)
    days = int((np.nan_to_num(by_night).sum(axis=1) > 0).sum())
    if days < SUNNY_DAYS:
        return []
    sentence = (
        f"The sun seems to have reached the sensor of {log_name}: on {days} days some hours stand "
        f"up to {float(apart[spikes].max()):.0f} °C above the rest. Shade it, and trust the day "
        "offset little."
    )
    return [sentence]
