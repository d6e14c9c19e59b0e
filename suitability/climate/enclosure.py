"""
From the open air to a growing spot: offsets by kind of night, damping, held minimum, window.

Whether a night was clear and calm is read from the record itself: its fall from the warmest to the
coldest hour, against the median fall of the season. Cloud and wind keep it small. Offsets are
blended along the solar clock, so that none begins with a step. Damping is the first-order response
of an enclosure to the air around it.
"""

from __future__ import annotations

import numpy as np
from numpy.typing import NDArray

from suitability.climate.days import DAYS, fold_axis, hours_by_night, position_of

FloatArray = NDArray[np.float64]
IntArray = NDArray[np.int64]
BoolArray = NDArray[np.bool_]

CLEAR, OTHER, UNKNOWN = 1, 0, -1  # kinds of night: clear and calm, other, not known
SEASON_DAYS = 61  # around a day of the year, whose median fall is usual then
MEDIAN_EVERY = 10  # d; between them the median is a straight line
NIGHT_FROM, NIGHT_UNTIL = 20.0, 8.0  # solar hours in which the night's offset holds in full
DAY_FROM, DAY_UNTIL = 12.0, 16.0  # and the day's
SETTLED_AFTER = 3.0  # time constants, after which 95 % of what was not observed is forgotten
FILM_M2K_W = 0.13  # m² K/W, still air at the inner face of a window; ISO 6946, from memory


def kinds_of_nights(temp_c: FloatArray, local_start_hour: int) -> IntArray:
    """
    Whether each night was clear and calm, by its own fall of temperature.

    A night is clear and calm if its warmest and coldest hour, noon to noon, are further apart than
    the median of nights within 30 days of its day of the year, all years together. A night with
    any hour missing is not known: its fall may have been greater.

    Parameters
    ----------
    temp_c : (hour), °C
        After short gaps have been filled.
    local_start_hour : h
        Standard-time hour of the first value.

    Returns
    -------
    (night)
        `CLEAR`, `OTHER` or `UNKNOWN`.
    """
    first_day, nights = hours_by_night(temp_c, local_start_hour)
    fall: FloatArray = nights.max(axis=1) - nights.min(axis=1)  # nan where an hour is missing
    usual = _usual_fall(fall, position_of(fold_axis(first_day, fall.size)) % DAYS)
    kinds = np.where(fall > usual, CLEAR, OTHER)
    kinds[np.isnan(fall)] = UNKNOWN
    return kinds.astype(np.int64)


def _usual_fall(fall_c: FloatArray, day: IntArray) -> FloatArray:
    """Median fall of the season, shape (night), °C."""
    known = ~np.isnan(fall_c)
    order = np.argsort(day[known], kind="stable")
    days, falls = day[known][order], fall_c[known][order]
    days = np.concatenate([days - DAYS, days, days + DAYS])
    falls = np.concatenate([falls, falls, falls])
    centres = np.arange(0, DAYS, MEDIAN_EVERY)
    half = SEASON_DAYS // 2
    starts = np.searchsorted(days, centres - half, side="left")
    stops = np.searchsorted(days, centres + half, side="right")
    held = stops > starts
    medians = [
        np.median(falls[start:stop]) for start, stop in zip(starts[held], stops[held], strict=True)
    ]
    if not medians:
        return np.full(fall_c.size, np.nan)
    usual: FloatArray = np.interp(day, centres[held], np.array(medians), period=DAYS)
    return usual


def day_weight(solar_hour: FloatArray) -> FloatArray:
    """
    How far the day's offset has taken the night's place, 0 to 1.

    0 from 20:00 to 8:00 and 1 from 12:00 to 16:00 mean solar time, along half a cosine between.

    Examples
    --------
    >>> day_weight(np.array([3.0, 8.0, 10.0, 12.0, 16.0, 18.0, 20.0])).round(6).tolist()
    [0.0, 0.0, 0.5, 1.0, 1.0, 0.5, 0.0]
    """
    hour = solar_hour % 24.0
    rising = np.clip((hour - NIGHT_UNTIL) / (DAY_FROM - NIGHT_UNTIL), 0.0, 1.0)
    falling = np.clip((NIGHT_FROM - hour) / (NIGHT_FROM - DAY_UNTIL), 0.0, 1.0)
    weight: FloatArray = 0.5 - 0.5 * np.cos(np.pi * np.minimum(rising, falling))
    return weight


def shift_by_night(
    temp_c: FloatArray,
    kinds: IntArray,
    local_start_hour: int,
    solar_start_hour: float,
    *,
    clear_night_c: float | FloatArray,
    other_night_c: float | FloatArray,
    day_c: float | FloatArray,
) -> FloatArray:
    """
    Temperature with the offset of its night or day added to every hour.

    Nights of unknown kind take the colder of the two: what is not observed is no help. One kind
    follows on another at noon, where only the day's offset counts.

    Parameters
    ----------
    temp_c : (hour), °C
    kinds : (night)
        From `kinds_of_nights`, of the same hours.
    local_start_hour : h
    solar_start_hour : h
        Mean solar time of the first value; only its hour of the day counts.
    clear_night_c, other_night_c, day_c : K
        One number, or one for each night.

    Returns
    -------
    (hour), °C
    """
    of_other = np.where(kinds == OTHER, other_night_c, np.minimum(clear_night_c, other_night_c))
    by_night = np.where(kinds == CLEAR, clear_night_c, of_other)
    into = (local_start_hour - 12) % 24
    weight = np.roll(day_weight(solar_start_hour + np.arange(24.0)), into)  # from noon on
    night = by_night[:, None]
    day = np.broadcast_to(day_c, kinds.shape)[:, None]
    added = (night + weight * (day - night)).reshape(-1)
    shifted: FloatArray = temp_c + added[into : into + temp_c.size]
    return shifted


def damp(temp_c: FloatArray, damping_hours: float) -> tuple[FloatArray, BoolArray]:
    """
    First-order response to the air outside: T[k] = a T[k-1] + (1 - a) To[k], a = exp(-1/tau).

    It begins anew at the first hour after a gap, as if it had been that warm for long; for three
    time constants the result leans on that and is marked as not settled.

    Worked out by doubling: after n passes each hour holds the response to the last 2^n hours. All
    terms have one sign and shrink, so that nothing is lost to rounding.

    Parameters
    ----------
    temp_c : (hour), °C
        nan where missing.
    damping_hours : h
        Time constant tau; 0 gives back the air outside.

    Returns
    -------
    (hour), °C
        nan where the air outside is missing.
    (hour)
        Whether the result is settled.
    """
    missing = np.isnan(temp_c)
    if damping_hours <= 0.0:
        return temp_c.copy(), ~missing
    keep = float(np.exp(-1.0 / damping_hours))
    begins = ~missing & np.concatenate([[True], missing[:-1]])
    response = np.where(begins, temp_c, (1.0 - keep) * temp_c)
    response[missing] = 0.0
    carried = np.where(begins | missing, 0.0, keep)
    step = 1
    while step < temp_c.size and carried.max() > 1e-18:
        response[step:] += carried[step:] * response[:-step]
        carried[step:] *= carried[:-step]
        carried[:step] = 0.0
        step *= 2
    response[missing] = np.nan
    hour = np.arange(temp_c.size)
    since = hour - np.maximum.accumulate(np.where(begins, hour, 0))
    return response, ~missing & (since >= SETTLED_AFTER * damping_hours)


def hold_minimum(temp_c: FloatArray, held_c: float, lift_c: float = np.inf) -> FloatArray:
    """
    Temperature under a thermostat that lets nothing fall below a setting.

    Parameters
    ----------
    temp_c : any shape, °C
    held_c : °C
    lift_c : K
        Most that the heater lifts: its power over the loss for each degree, W / (W/K).

    Examples
    --------
    >>> hold_minimum(np.array([12.0, 5.0, -9.0]), 10.0, 12.5).tolist()
    [12.0, 10.0, 3.5]
    """
    held: FloatArray = np.maximum(temp_c, np.minimum(held_c, temp_c + lift_c))
    return held


def window_pane(outside_c: FloatArray, room_c: float, glass_u_w_m2k: float) -> FloatArray:
    """
    Inner face of a window pane, °C: the room's air, less what the still film at the glass takes.

    Parameters
    ----------
    outside_c : any shape, °C
    room_c : °C
    glass_u_w_m2k : W/(m² K)

    Examples
    --------
    >>> [round(window_pane(np.array([0.0]), 20.0, u).item(), 1) for u in (5.8, 2.8, 1.2)]
    [4.9, 12.7, 16.9]
    """
    pane: FloatArray = room_c - glass_u_w_m2k * FILM_M2K_W * (room_c - outside_c)
    return pane


def near_window(
    outside_c: FloatArray, room_c: float, glass_u_w_m2k: float, near_glass: float
) -> FloatArray:
    """
    Air between a room and its window pane, °C; the room is held at one temperature all year.

    Parameters
    ----------
    outside_c : any shape, °C
    room_c, glass_u_w_m2k
        As for `window_pane`.
    near_glass
        0 at the room's air, 1 at the pane.
    """
    if not near_glass:  # whatever the weather, and where it is not known
        return np.full_like(outside_c, room_c)
    pane = window_pane(outside_c, room_c, glass_u_w_m2k)
    between: FloatArray = room_c + near_glass * (pane - room_c)
    return between
