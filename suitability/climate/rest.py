"""Whether the winter rest was met, when, and what it takes outdoors or in a room."""

from __future__ import annotations

import math
from collections.abc import Callable
from enum import IntEnum
from functools import cache
from typing import TypeVar

import numpy as np
from msgspec import Struct
from numpy.typing import NDArray

from suitability.climate.cold import trailing_sum
from suitability.climate.days import DAYS, gather, hours_by_night, turn
from suitability.climate.exposure import EPSILON_C
from suitability.climate.observing import plant_years
from suitability.climate.states import SpotNights

__all__ = [
    "JUST_ABOVE_C",
    "RestNeed",
    "RestPeriod",
    "RestState",
    "RestYears",
    "dry_nights",
    "in_band",
    "judge_rest",
    "lay_out_rest",
    "room_nights",
    "room_state",
]

PARTLY_SHARE = 2.0 / 3.0  # of the nights needed; as 336 of 504 cool hours; reasoned


class RestState(IntEnum):
    """What a year did for the rest."""

    NOT = 0
    PARTLY = 1
    MET = 2


class RestNeed(Struct, frozen=True, kw_only=True):
    """
    How much of which cold makes a rest.

    Attributes
    ----------
    low_c, high_c : °C
        Band of night minima that count, both ends included.
    partly_above_c : °C, or None
        Nights above it, yet inside the band, help to meet the rest only partly.
    nights
        Nights inside the band that one stay outdoors must hold.
    cool_low_c, cool_high_c : °C, or None
        Band of cool hours, both ends included.
    cool_hours, cool_hours_partly : h, or None
        Cool hours that meet the rest, and that meet it partly.
    must_be_dry
        Whether rain on the pot spoils the rest.
    """

    low_c: float
    high_c: float
    nights: float
    partly_above_c: float | None = None
    cool_low_c: float | None = None
    cool_high_c: float | None = None
    cool_hours: float | None = None
    cool_hours_partly: float | None = None
    must_be_dry: bool = False

    @property
    def full_high_c(self) -> float:
        """Warmest night that helps to meet the rest wholly, °C."""
        return self.high_c if self.partly_above_c is None else self.partly_above_c

    @property
    def nights_partly(self) -> float:
        """Nights that meet the rest partly, two thirds of those that meet it."""
        return float(math.ceil(self.nights * PARTLY_SHARE - 1e-9))

    @property
    def hours_partly(self) -> float:
        """Cool hours that meet the rest partly; 0 where none are asked for."""
        if self.cool_hours is None:
            return 0.0
        if self.cool_hours_partly is None:
            return self.cool_hours * PARTLY_SHARE
        return self.cool_hours_partly


def room_nights(need: RestNeed, room_c: float) -> int | None:
    """
    Nights in a room held at one temperature, dry and bright, that meet the rest; None: none do.

    Pure arithmetic: every night lies in the band or none does, and a day has 24 cool hours or none.

    Parameters
    ----------
    room_c : °C
    """
    if not need.low_c <= room_c <= need.full_high_c:
        return None
    return _room_nights(need, room_c, need.nights, need.cool_hours)


def room_state(need: RestNeed, room_c: float, nights: int) -> RestState:
    """
    What so many nights in a room held at one temperature do for the rest.

    Parameters
    ----------
    room_c : °C
    nights
    """
    whole = room_nights(need, room_c)
    if whole is not None and nights >= whole:
        return RestState.MET
    if not need.low_c <= room_c <= need.high_c:
        return RestState.NOT
    asked = need.nights if whole is None else need.nights_partly
    partly = _room_nights(need, room_c, asked, need.hours_partly)
    return RestState.NOT if partly is None or nights < partly else RestState.PARTLY


def _room_nights(
    need: RestNeed, room_c: float, nights: float, cool_hours: float | None
) -> int | None:
    """Nights in the room that hold so many nights and cool hours; None where no hour is cool."""
    if need.cool_hours is None or need.cool_low_c is None or need.cool_high_c is None:
        return math.ceil(nights)
    if not need.cool_low_c <= room_c <= need.cool_high_c:
        return None
    return max(math.ceil(nights), math.ceil((cool_hours or 0.0) / 24.0))


FloatArray = NDArray[np.float64]
BoolArray = NDArray[np.bool_]
IntArray = NDArray[np.int64]
Scalar = TypeVar("Scalar", bound=np.generic)

DAYS_BEFORE, DAYS_AFTER = 105, 70  # mid-winter: about 1 October to late March; reasoned
WEEK_NIGHTS, DRY_WEEK_MM = 7, 10.0  # rain of a week that leaves a resting pot dry is less than this
UNKNOWN_SHARE, UNKNOWN_RUN = 0.05, 5  # of the period's nights that may be unknown, and in a row
JUST_ABOVE_C = 1e-6  # °C; "at or below t" is "below t and this"


class RestPeriod(Struct, frozen=True, kw_only=True):
    """
    The period of rest at one spot, year by year: what all groups share.

    Attributes
    ----------
    first_day
        Day of the folded year in column 0.
    year : (year)
        Calendar year in which each period begins.
    minimum_c : (year, day), °C
        Lowest hour of each night; nan where unknown.
    dry : (year, day), or None
        Nights before which the week left the pot dry; None: no rain is known to reach it.
    counts : (year)
        Years observed well enough: at most 5 % of the nights unknown, and 5 in a row.
    cool_hours
        Hours of each noon-to-noon day from one temperature to another, both included,
        shape (year, day); remembers what it was asked.
    """

    first_day: int
    year: IntArray
    minimum_c: FloatArray
    dry: BoolArray | None
    counts: BoolArray
    cool_hours: Callable[[float, float], FloatArray]


class RestYears(Struct, frozen=True, kw_only=True):
    """
    What each year did for the rest of one group.

    Attributes
    ----------
    state : (year)
        Values of `RestState`.
    met_on : (year), d
        Days from the first day of the period to the one on which the rest is complete: the
        morning after the last night it took. nan where it is not met.
    nights : (year)
        Nights of the better stay that count wholly.
    cool_hours : (year), h
        Cool hours of it, dry ones where the rest must be dry; 0 where none are asked for.
    counts : (year)
        Years observed well enough; the others say nothing.
    """

    state: IntArray
    met_on: FloatArray
    nights: IntArray
    cool_hours: FloatArray
    counts: BoolArray


def in_band(minimum_c: FloatArray, low_c: float, high_c: float) -> BoolArray:
    """Whether each minimum lies from one temperature to another, both included; nan does not."""
    inside: BoolArray = (minimum_c >= low_c - EPSILON_C) & (minimum_c <= high_c + EPSILON_C)
    return inside


def dry_nights(prcp_mm: FloatArray, local_start_hour: int) -> BoolArray:
    """
    Nights up to which a week brought less than 10 mm of rain.

    A week that lacks a reading is not dry: what is not known is not dry.

    Parameters
    ----------
    prcp_mm : (hour), mm
        nan where there is no reading.
    local_start_hour : h
        Standard-time hour of the first value.

    Returns
    -------
    (night)
        Noon to noon.
    """
    _, by_night = hours_by_night(prcp_mm, local_start_hour)
    missing = np.isnan(by_night)
    rain = trailing_sum(np.where(missing, 0.0, by_night).sum(axis=1), WEEK_NIGHTS)
    gaps = trailing_sum(missing.sum(axis=1), WEEK_NIGHTS)
    dry: BoolArray = (rain < DRY_WEEK_MM - 1e-6) & (gaps < 1.0)
    return dry


def lay_out_rest(nights: SpotNights, dry: BoolArray | None) -> RestPeriod:
    """
    The period of rest at one spot.

    Parameters
    ----------
    nights
    dry : (night), or None
        From `dry_nights`; None where rain is kept off the pot or not known.
    """
    seasonal = nights.winter != nights.summer
    start = (nights.winter - DAYS_BEFORE - nights.summer) % DAYS if seasonal else 0
    period = slice(start, start + (DAYS_BEFORE + DAYS_AFTER if seasonal else DAYS))

    def cut(by_position: NDArray[Scalar], outside: float) -> NDArray[Scalar]:
        return np.ascontiguousarray(plant_years(by_position, nights.summer, outside)[:, period])

    @cache
    def cool_hours(low_c: float, high_c: float) -> FloatArray:
        up_to = nights.cold.hours_below(high_c + JUST_ABOVE_C)
        hours = gather(nights.axis, up_to - nights.cold.hours_below(low_c))
        return cut(np.nan_to_num(hours), 0.0)

    unknown = cut(nights.unknown, True)
    lowest = gather(nights.axis, np.fmin.reduce(nights.temp_c, axis=1))
    first = start - (DAYS - nights.summer) % DAYS + DAYS * np.arange(unknown.shape[0])
    return RestPeriod(
        first_day=(nights.summer + start) % DAYS,
        year=nights.axis.first_year + first // DAYS,
        minimum_c=np.where(unknown, np.nan, cut(lowest, np.nan)),
        dry=None if dry is None else cut(_by_position(nights, dry), False),
        counts=_observed(unknown),
        cool_hours=cool_hours,
    )


def _by_position(nights: SpotNights, by_night: BoolArray) -> BoolArray:
    """Flags by position, false where the record has no night."""
    flags: BoolArray = by_night[nights.axis.night_of] & (nights.axis.night_of >= 0)
    return flags


def _observed(unknown: BoolArray) -> BoolArray:
    """Years with few unknown nights, and no long run of them, (year)."""
    total: IntArray = np.cumsum(np.pad(unknown, ((0, 0), (1, 0))), axis=1)
    run: IntArray = (total[:, UNKNOWN_RUN + 1 :] - total[:, : -UNKNOWN_RUN - 1]).max(axis=1)
    few: BoolArray = (total[:, -1] <= UNKNOWN_SHARE * unknown.shape[1]) & (run <= UNKNOWN_RUN)
    return few


def judge_rest(period: RestPeriod, need: RestNeed, out: BoolArray) -> RestYears:
    """
    What each year did for the rest of one group, by the nights that it spends out.

    Met: one stay holds the nights, and the cool hours if they are asked for. Partly: it holds two
    thirds of the nights, or all of them with those above `partly_above_c`, and the cool hours that
    meet it partly.

    Parameters
    ----------
    period
    need
    out : (365)
        Days of the folded year whose nights the plant spends out.
    """
    rows = period.year.size
    state, met_on = np.zeros(rows, np.int64), np.full(rows, np.nan)
    nights, hours = np.zeros(rows, np.int64), np.zeros(rows)
    days = turn(out, -period.first_day)[: period.minimum_c.shape[1]]
    for stay in _stays(days):
        found, on, counted, cool = _judge_stay(period, need, stay)
        state = np.maximum(state, found)
        met_on = np.fmin(met_on, on)
        hours = np.where(counted > nights, cool, hours)
        nights = np.maximum(nights, counted)
    return RestYears(
        state=state, met_on=met_on, nights=nights, cool_hours=hours, counts=period.counts
    )


def _stays(days: BoolArray) -> list[slice]:
    """Stretches of days out within the period."""
    edges = np.flatnonzero(np.diff(np.concatenate([[False], days, [False]])))
    return [slice(start, stop) for start, stop in edges.reshape(-1, 2).tolist()]


def _judge_stay(
    period: RestPeriod, need: RestNeed, stay: slice
) -> tuple[IntArray, FloatArray, IntArray, FloatArray]:
    """State, day of completion, nights and cool hours of one stay, each (year)."""
    minimum_c = period.minimum_c[:, stay]
    dry = period.dry[:, stay] if need.must_be_dry and period.dry is not None else None
    inside = in_band(minimum_c, need.low_c, need.high_c)
    if dry is not None:
        inside &= dry
    band: IntArray = np.cumsum(inside, axis=1, dtype=np.int64)
    full = band
    if need.partly_above_c is not None:
        full = np.cumsum(inside & (minimum_c <= need.partly_above_c + EPSILON_C), axis=1)
    cool = _running_hours(period, need, stay, dry)
    met: BoolArray = full >= need.nights
    partly: BoolArray = (full >= need.nights_partly) | (band >= need.nights)
    if cool is not None and need.cool_hours is not None:
        met &= cool >= need.cool_hours
        partly &= cool >= need.hours_partly
    ever = met[:, -1]
    some = np.where(partly[:, -1], int(RestState.PARTLY), int(RestState.NOT))
    state: IntArray = np.where(ever, int(RestState.MET), some)
    on = np.where(ever, stay.start + np.argmax(met, axis=1) + 1.0, np.nan)
    hours = np.zeros(ever.size) if cool is None else cool[:, -1]
    return state, on, full[:, -1], hours


def _running_hours(
    period: RestPeriod, need: RestNeed, stay: slice, dry: BoolArray | None
) -> FloatArray | None:
    """Cool hours of a stay up to each of its nights, (year, day); None where none are asked for."""
    if need.cool_hours is None or need.cool_low_c is None or need.cool_high_c is None:
        return None
    hours = period.cool_hours(need.cool_low_c, need.cool_high_c)[:, stay]
    running: FloatArray = np.cumsum(hours if dry is None else np.where(dry, hours, 0.0), axis=1)
    return running
