"""Whether the nights of a year brought what flowers hang on, when, and what they lacked."""

from __future__ import annotations

from collections.abc import Callable
from functools import cache
from typing import TypeVar

import numpy as np
from msgspec import Struct
from msgspec.structs import replace
from numpy.typing import NDArray

from suitability.climate.cold import trailing_sum
from suitability.climate.days import DAYS, gather, hours_by_night, turn
from suitability.climate.exposure import EPSILON_C
from suitability.climate.observing import plant_years, usable_years
from suitability.climate.rest_need import RestLack, RestNeed, RestState, nights_partly
from suitability.climate.states import SpotNights

FloatArray = NDArray[np.float64]
BoolArray = NDArray[np.bool_]
IntArray = NDArray[np.int64]
Scalar = TypeVar("Scalar", bound=np.generic)

DAYS_BEFORE, DAYS_AFTER = 105, 70  # mid-winter: about 1 October to late March; reasoned
AUTUMN_FROM, AUTUMN_DAYS = 11, 120  # after mid-summer: about 1 August to late November; reasoned
WEEK_NIGHTS, DRY_WEEK_MM = 7, 10.0  # rain of a week that leaves a resting pot dry is less than this
JUST_ABOVE_C = 1e-6  # °C; "at or below t" is "below t and this"


class RestPeriod(Struct, frozen=True, kw_only=True):
    """
    The period of rest at one spot, or its autumn, year by year: what all groups share.

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
    latest_start
        Column after which no stay may begin: who goes out after mid-winter has rested or has not.
    in_a_room
        Whether nobody carries a plant in from there, or out for cold.
    autumn
        Late summer and autumn; None of itself, and where the year has no winter.
    """

    first_day: int
    year: IntArray
    minimum_c: FloatArray
    dry: BoolArray | None
    counts: BoolArray
    cool_hours: Callable[[float, float], FloatArray]
    latest_start: int = DAYS
    in_a_room: bool = False
    autumn: RestPeriod | None = None


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
        Nights of the better stay that count wholly; the dry ones in a row where a drought counts.
    cool_hours : (year), h
        Cool hours of it, dry ones where the rest must be dry; 0 where none are asked for.
    lack : (year)
        Values of `RestLack`: what the better stay lacked first.
    counts : (year)
        Years observed well enough; the others say nothing.
    """

    state: IntArray
    met_on: FloatArray
    nights: IntArray
    cool_hours: FloatArray
    lack: IntArray
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
    The period of rest at one spot; nights of a room are as cool as `rests_from_c` believes.

    Parameters
    ----------
    dry : (night), or None
        From `dry_nights`; None where rain is kept off the pot or not known.
    """
    winter, summer = nights.seasons
    if winter == summer:
        return _lay_out(nights, dry, 0, DAYS)
    start = (winter - DAYS_BEFORE - summer) % DAYS
    period = _lay_out(nights, dry, start, DAYS_BEFORE + DAYS_AFTER)
    autumn = _lay_out(nights, None, AUTUMN_FROM, AUTUMN_DAYS)
    return replace(period, latest_start=DAYS_BEFORE, autumn=autumn)


def _lay_out(nights: SpotNights, dry: BoolArray | None, start: int, days: int) -> RestPeriod:
    """So many days of each year from so many days after mid-summer on."""
    _, summer = nights.seasons

    def cut(by_position: NDArray[Scalar], outside: float) -> NDArray[Scalar]:
        by_year = plant_years(by_position, summer, outside)
        return np.ascontiguousarray(by_year[:, start : start + days])

    unknown = cut(nights.unknown, True)
    lowest = gather(nights.axis, np.fmin.reduce(nights.temp_c, axis=1))
    from_c = np.tile(nights.rests_from_c, lowest.size // DAYS)

    @cache
    def cool_hours(low_c: float, high_c: float) -> FloatArray:
        up_to = nights.cold.hours_below(high_c + JUST_ABOVE_C)
        hours = gather(nights.axis, up_to - nights.cold.hours_below(low_c))
        hours[from_c > high_c + EPSILON_C] = 0.0
        return cut(np.nan_to_num(hours), 0.0)

    first = start - (DAYS - summer) % DAYS + DAYS * np.arange(unknown.shape[0])
    return RestPeriod(
        first_day=(summer + start) % DAYS,
        year=nights.axis.first_year + first // DAYS,
        minimum_c=np.where(unknown, np.nan, cut(np.maximum(lowest, from_c), np.nan)),
        dry=None if dry is None else cut(_by_position(nights, dry), False),
        counts=usable_years(unknown),
        cool_hours=cool_hours,
        in_a_room=nights.air is not None,
    )


def period_of(period: RestPeriod, need: RestNeed) -> RestPeriod:
    """The part of the year in which the nights of a need fall; all of it without a winter."""
    return period.autumn if need.in_autumn and period.autumn is not None else period


def _by_position(nights: SpotNights, by_night: BoolArray) -> BoolArray:
    """Flags by position, false where the record has no night."""
    flags: BoolArray = by_night[nights.axis.night_of] & (nights.axis.night_of >= 0)
    return flags


def judge_rest(period: RestPeriod, need: RestNeed, out: BoolArray) -> RestYears:
    """
    What each year did for the flowers of one group, by the nights that it spends out.

    Met: one stay holds the nights, and the cool hours if they are asked for. Partly: it holds two
    thirds of the nights, or all of them with those above `partly_above_c`, and the cool hours that
    meet it partly; or it holds all that is needed and lacks what only helps.

    Parameters
    ----------
    period
        From `lay_out_rest`; a need of autumn nights is judged by its autumn.
    out : (365)
        Days of the folded year whose nights the plant spends out.
    """
    period = period_of(period, need)
    rows = period.year.size
    state, met_on = np.zeros(rows, np.int64), np.full(rows, np.nan)
    nights, hours = np.zeros(rows, np.int64), np.zeros(rows)
    lack = np.full(rows, int(RestLack.LENGTH))
    days = turn(out, -period.first_day)[: period.minimum_c.shape[1]]
    for stay in _stays(days):
        if stay.start > period.latest_start:
            continue
        told = _judge_stay(period, need, stay)
        better = (told.state > state) | ((told.state == state) & (told.nights >= nights))
        lack = np.where(better, told.lack, lack)
        state = np.maximum(state, told.state)
        met_on = np.fmin(met_on, told.met_on)
        hours = np.where(told.nights > nights, told.cool_hours, hours)
        nights = np.maximum(nights, told.nights)
    return RestYears(
        state=state, met_on=met_on, nights=nights, cool_hours=hours, lack=lack, counts=period.counts
    )


def _stays(days: BoolArray) -> list[slice]:
    """Stretches of days out within the period."""
    edges = np.flatnonzero(np.diff(np.concatenate([[False], days, [False]])))
    return [slice(start, stop) for start, stop in edges.reshape(-1, 2).tolist()]


class _Tally(Struct, frozen=True, kw_only=True):
    """Of one stay: whether it met a trigger up to each night, (year, day), and the rest by year."""

    met: BoolArray
    partly: BoolArray
    nights: IntArray
    cool_hours: FloatArray


def _judge_stay(period: RestPeriod, need: RestNeed, stay: slice) -> RestYears:
    """What one stay did."""
    dry = period.dry[:, stay] if need.wants_dry and period.dry is not None else None
    cold, dry_cold = _cold(period, need, stay, None), _cold(period, need, stay, dry)
    if need.drought_nights is not None:
        needed = whole = _drought(period, need.drought_nights, stay, dry)
        if need.cold_helps:
            whole = _both(needed, dry_cold)
        lack = np.where(
            needed.met[:, -1],
            _lacks(cold, need.nights, stay, RestLack.COLD),
            _lacks(needed, need.drought_nights, stay, RestLack.DRYNESS),
        )
    else:
        whole = dry_cold
        needed = cold if need.dry_helps else dry_cold
        too_warm = _lacks(cold, need.nights, stay, RestLack.COLD)
        lack = np.where(cold.met[:, -1], int(RestLack.DRYNESS), too_warm)
    met = whole.met[:, -1]
    some = np.where(needed.met[:, -1] | whole.partly, int(RestState.PARTLY), int(RestState.NOT))
    return RestYears(
        state=np.where(met, int(RestState.MET), some),
        met_on=np.where(met, stay.start + np.argmax(whole.met, axis=1) + 1.0, np.nan),
        nights=whole.nights,
        cool_hours=whole.cool_hours,
        lack=np.where(met, int(RestLack.NOTHING), lack),
        counts=period.counts,
    )


def _lacks(tally: _Tally, nights: float, stay: slice, first: RestLack) -> IntArray:
    """Length where the stay is too short, or held most of it; else what was to be told first."""
    too_short = stay.stop - stay.start < nights
    lacks: IntArray = np.where(too_short | tally.partly, int(RestLack.LENGTH), int(first))
    return lacks


def _cold(period: RestPeriod, need: RestNeed, stay: slice, dry: BoolArray | None) -> _Tally:
    """The nights of the band in a stay, and its cool hours; the dry ones alone where given."""
    minimum_c = period.minimum_c[:, stay]
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
    hours = np.zeros(met.shape[0]) if cool is None else cool[:, -1]
    return _Tally(met=met, partly=partly[:, -1], nights=full[:, -1], cool_hours=hours)


def _drought(period: RestPeriod, nights: float, stay: slice, dry: BoolArray | None) -> _Tally:
    """The longest run of dry nights in a stay; all are dry where no rain reaches the pot."""
    day = np.arange(1, stay.stop - stay.start + 1)
    wet = np.zeros((period.year.size, day.size), np.bool_) if dry is None else ~dry
    run = day - np.maximum.accumulate(np.where(wet, day, 0), axis=1)
    longest: IntArray = np.maximum.accumulate(run, axis=1)
    return _Tally(
        met=longest >= nights,
        partly=longest[:, -1] >= nights_partly(nights),
        nights=longest[:, -1],
        cool_hours=np.zeros(period.year.size),
    )


def _both(needed: _Tally, helping: _Tally) -> _Tally:
    """What is needed with what helps; the nights are those of what is needed."""
    return _Tally(
        met=needed.met & helping.met,
        partly=needed.partly & helping.partly,
        nights=needed.nights,
        cool_hours=helping.cool_hours,
    )


def _running_hours(
    period: RestPeriod, need: RestNeed, stay: slice, dry: BoolArray | None
) -> FloatArray | None:
    """Cool hours of a stay up to each of its nights, (year, day); None where none are asked for."""
    if need.cool_hours is None or need.cool_low_c is None or need.cool_high_c is None:
        return None
    hours = period.cool_hours(need.cool_low_c, need.cool_high_c)[:, stay]
    running: FloatArray = np.cumsum(hours if dry is None else np.where(dry, hours, 0.0), axis=1)
    return running
