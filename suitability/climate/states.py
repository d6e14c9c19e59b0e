"""
The three states of a night at a spot: fine, unsafe or unknown.

A night is unsafe by a hard night (minimum below the limit), by dose (degree-hours below the chill
base over the trailing 14 nights) or, for plants that heat excludes, as the fourth day in a row with
six hours above the ceiling. It is unknown if any hour from 18:00 to 09:00 is missing.

Each cause is held as a *shortfall*: how much warmer every hour of the spot would have to be for the
night to be fine, °C. A night is unsafe by cold where its shortfall is above 0; by heat
where the warmth it still stands (`heat_room_c`) is below 0. So one set of arrays answers for every
warming or cooling of the spot.
"""

from __future__ import annotations

from collections.abc import Callable
from functools import cache

import numpy as np
from msgspec import Struct
from msgspec.structs import replace
from numpy.typing import NDArray

from suitability.climate.cold import NightCold, SpotDose, cold_by_night, lay_out_dose
from suitability.climate.days import (
    DAYS,
    NIGHT_HOURS,
    FoldedAxis,
    coldest_day,
    fold_axis,
    fold_flags,
    fold_highest,
    gather,
    hours_by_night,
)
from suitability.climate.exposure import EPSILON_C
from suitability.climate.floor import (
    CalendarCold,
    calendar_cold,
    mean_night_minimum,
    mean_of_years,
)
from suitability.climate.unseen import Missed, find_missed

FloatArray = NDArray[np.float64]
BoolArray = NDArray[np.bool_]

SEASONAL_AMPLITUDE_C = 2.0  # K; below it a place has no winter to cut the year at
FAR_BELOW_C = 3.0  # K below the limit; one such night bars "all year"; reasoned
HOT_HOURS, HOT_DAYS = 6, 4  # of a day above the ceiling; days in a row
WET_MM, WET_HOURS = 1.0, 24  # rain of the past day that leaves a pot wet
MORNING = slice(12, 22)  # midnight to 9:00 of a noon-to-noon night
DAY_HOURS = [*range(6), 22, 23]  # noon to 18:00 and 10:00 to noon of a noon-to-noon night


class Thresholds(Struct, frozen=True, kw_only=True):
    """
    The numbers that make a night unsafe, and a calendar day one of growth or rest.

    Temperatures in °C; `dose_limit_c_h` in °C·h over 14 nights; `floor_hours_limit` in h a month.
    `ceiling_c` is None where heat does not exclude.
    """

    limit_c: float
    limit_wet_c: float
    chill_base_c: float
    dose_limit_c_h: float
    floor_c: float
    rest_floor_c: float | None
    floor_hours_limit: float
    ceiling_c: float | None = None

    @property
    def harmless_c(self) -> float:
        """From which no hour harms by its cold, nor adds to a dose, °C."""
        return max(self.chill_base_c, self.limit_c, self.limit_wet_c)


class OpenAir(Struct, frozen=True, kw_only=True):
    """
    What a rest in a room, and growth there, take from the open air: a room has no seasons itself.

    Attributes
    ----------
    winter, summer
        Mid-winter and mid-summer, as `cut_days` has them.
    night_minimum_c : (365), °C
        Smoothed mean night minimum; nan where no year has one.
    """

    winter: int
    summer: int
    night_minimum_c: FloatArray

    def rests_from_c(self, room_c: float) -> FloatArray:
        """
        Coolest night that is believed of a room while plants rest there, (365), °C.

        None is cooler than the nights outside usually are: it does not stay so in August because
        its heating is turned down. One that is cooler than the coolest of them is cooled, by that
        much; where there is no winter it is believed as it is.

        Parameters
        ----------
        room_c : °C
            Its coolest night of a usual year.
        """
        if self.winter == self.summer:
            return np.full(DAYS, -np.inf)
        cooled_c = np.fmax(self.night_minimum_c.min() - room_c, 0.0)
        believed_c: FloatArray = np.nan_to_num(self.night_minimum_c - cooled_c, nan=-np.inf)
        return believed_c


class SpotNights(Struct, frozen=True, kw_only=True):
    """
    Everything about the nights of one spot that does not depend on the plant.

    Attributes
    ----------
    first_day : d
        Days from 1970-01-01 to the evening of the first night.
    temp_c : (night, 24), °C
        Noon to noon, after short gaps have been filled.
    minimum_c, wet_minimum_c : (position), °C
        Lowest hour of the night, and of those of its hours in which the pot is wet; both lowered
        by the allowance for what hourly readings miss. +inf where there is no such hour.
    tolerated_base_c : dose limit -> (position), °C
        Highest chill base whose trailing dose each night tolerates.
    dry_tolerated_base_c
        The same if no pot were ever wet; worked out when it is first asked for.
    cold, dose, axis, calendar
        Cold by night, what of it injures, the folded axis, the mean year.
    unknown, day_unknown : (position)
        Nights not fully known, and noon-to-noon days with any hour missing (for heat).
    unseen, day_unseen : (position)
        The same, and those that another station filled.
    told_c : (position), °C
        Lowest of what the station's daily minimum says of a night of which the morning was lost;
        nan for all other nights.
    missed : () -> (position) each
        Nights and days that the record lost in the cold or in the heat beyond chance; worked out
        when they are first asked for.
    least_c : °C
        No hour is colder, seen or not; -inf where nothing keeps it so warm.
    hidden_c : (position), °C
        How cold a night may have been that was observed by day but not at night: the lowest hour
        known, less the greatest fall from day to night on record. +inf for all other nights.
    winter, summer
        Days of the folded year at which plant years are cut: mid-winter for outdoor seasons,
        mid-summer for the question "all year?".
    air
        Of the place, for a room; None for a spot outdoors.
    hot_run_c : (position), °C
        Temperature that six hours of each of the last four days exceed; -inf where none is known.
    known_hot_run_c : (position), °C
        The same if no hour that was missed had been hot.
    """

    first_day: int
    temp_c: FloatArray
    minimum_c: FloatArray
    wet_minimum_c: FloatArray
    tolerated_base_c: dict[float, FloatArray]
    dry_tolerated_base_c: Callable[[], dict[float, FloatArray]]
    cold: NightCold
    dose: SpotDose
    axis: FoldedAxis
    calendar: CalendarCold
    unknown: BoolArray
    day_unknown: BoolArray
    unseen: BoolArray
    day_unseen: BoolArray
    told_c: FloatArray
    missed: Callable[[], Missed]
    least_c: float
    hidden_c: FloatArray
    winter: int
    summer: int
    hot_run_c: FloatArray
    known_hot_run_c: FloatArray
    air: OpenAir | None = None

    @property
    def seasons(self) -> tuple[int, int]:
        """Mid-winter and mid-summer of the place, from which rests and growth are dated."""
        told = self if self.air is None else self.air
        return told.winter, told.summer

    @property
    def rests_from_c(self) -> FloatArray:
        """Coolest night that is believed of a spot while plants rest there, (365), °C."""
        if self.air is None:
            return np.full(DAYS, -np.inf)
        return self.air.rests_from_c(float(self.calendar.night_minimum_c.min()))


class Shortfall(Struct, frozen=True, kw_only=True):
    """
    What each night lacks for one group, all over (position), °C.

    Attributes
    ----------
    dry_c, wet_c
        Warming that would lift the night to the dry limit; to the wet limit in its wet hours.
    dose_c
        Warming that would keep the trailing dose within the tolerance.
    heat_room_c
        Warming that the day still stands before it is the fourth hot one in a row; None where
        heat does not exclude.
    far_below_c
        Warming after which no night would lie far below the limit: the greatest over the record.
    """

    dry_c: FloatArray
    wet_c: FloatArray
    dose_c: FloatArray
    heat_room_c: FloatArray | None
    far_below_c: float

    @property
    def hard_c(self) -> FloatArray:
        """Warming that would make the night not hard."""
        return np.maximum(self.dry_c, self.wet_c)


def wet_hours(prcp_mm: FloatArray | None, hours: int, *, roofed: bool) -> BoolArray:
    """
    Hours in which rain has left the pot wet: at least 1 mm in the past 24 h.

    Without rain data every hour is wet; so is one whose past day lacks a reading and had no
    millimetre in the rest: what is not known is not dry.

    Parameters
    ----------
    prcp_mm : (hour), mm, or None
    hours
        Length of the result.
    roofed
        Rain is kept out: never wet.
    """
    if roofed:
        return np.zeros(hours, np.bool_)
    if prcp_mm is None:
        return np.ones(hours, np.bool_)
    missing = np.isnan(prcp_mm)
    # Differences of running sums are the sums of the past day, the hour itself included.
    total = np.cumsum(np.where(missing, 0.0, prcp_mm))
    absent = np.cumsum(missing)
    past, gaps = total.copy(), absent.copy()
    past[WET_HOURS:] -= total[:-WET_HOURS]
    gaps[WET_HOURS:] -= absent[:-WET_HOURS]
    return (past >= WET_MM - EPSILON_C) | (gaps > 0)


def lay_out_nights(
    temp_c: FloatArray,
    wet: BoolArray,
    local_start_hour: int,
    *,
    minimum_allowance_c: float,
    highest_c: float,
    dose_limits_c_h: frozenset[float],
    seen: BoolArray | None = None,
    told_c: FloatArray | None = None,
    least_c: float = -np.inf,
) -> SpotNights:
    """
    The nights of one spot, from its hours.

    Parameters
    ----------
    temp_c : (hour), °C
        At the spot, after short gaps have been filled.
    wet : (hour)
        From `wet_hours`.
    local_start_hour : h
    minimum_allowance_c : K
        What hourly readings miss of the night minimum.
    highest_c : °C
        Highest threshold that will be asked for.
    dose_limits_c_h : °C·h
        Dose limits of the groups that will be asked for.
    seen : (hour), or None
        Hours that no other station filled; None: all.
    told_c : (hour), °C, or None
        Of missing hours of which one was the lowest of its day: the day's minimum; nan elsewhere.
    least_c : °C
        No hour is colder, missing or not.
    """
    first_day, nights = hours_by_night(temp_c, local_start_hour)
    axis = fold_axis(first_day, nights.shape[0])
    gaps = np.isnan(nights)
    own = nights if seen is None else _own(nights, seen, local_start_hour)
    unseen = gaps if seen is None else np.isnan(own)
    told, judged = _told(unseen, told_c, local_start_hour)
    # A missing hour is never the lowest: what is known of a night can make it unsafe, what is not
    # known makes it unknown at most.
    full = np.where(gaps, np.inf, nights)
    lowest = full.min(axis=1)
    cold = cold_by_night(nights, highest_c)
    _, wet_nights = hours_by_night(wet.astype(np.float64), local_start_hour)
    in_wet = wet_nights == 1.0
    lowest_wet = np.where(in_wet, full, np.inf).min(axis=1) - minimum_allowance_c
    dose = lay_out_dose(nights, in_wet, cold, highest_c)
    tolerated = _tolerated(dose, axis, dose_limits_c_h)

    @cache
    def dry_tolerated() -> dict[float, FloatArray]:
        if dose.weighs == 1.0:
            return tolerated
        return _tolerated(SpotDose(cold=cold, weighs=1.0), axis, dose_limits_c_h)

    @cache
    def missed() -> Missed:
        lost = find_missed(own)
        cold, hot = (fold_flags(axis, flags, outside=False) for flags in (lost.cold, lost.hot))
        return Missed(cold=cold, hot=hot)

    coldest, winter, summer = cut_days(daily_mean(nights, gaps), axis)
    unknown = np.asarray(gaps[:, NIGHT_HOURS].any(axis=1))
    day_unknown = np.asarray(gaps.any(axis=1))
    hot_run, known_hot_run = _hot_runs(nights)
    return SpotNights(
        first_day=first_day,
        temp_c=nights,
        # Negatives, because folding keeps the higher of 28 and 29 February: here the colder counts.
        # A daily minimum misses nothing.
        minimum_c=-fold_highest(axis, -np.minimum(lowest - minimum_allowance_c, told)),
        wet_minimum_c=-fold_highest(
            axis, -np.minimum(lowest_wet, np.where(in_wet.any(axis=1), told, np.inf))
        ),
        tolerated_base_c=tolerated,
        dry_tolerated_base_c=dry_tolerated,
        cold=cold,
        dose=dose,
        axis=axis,
        calendar=calendar_cold(cold, axis, nights, coldest),
        unknown=fold_flags(axis, unknown, outside=True),
        day_unknown=fold_flags(axis, day_unknown, outside=True),
        unseen=fold_flags(axis, np.asarray(unseen[:, NIGHT_HOURS].any(axis=1)), outside=True),
        day_unseen=fold_flags(axis, np.asarray(unseen.any(axis=1)), outside=True),
        told_c=-fold_highest(axis, -judged),
        missed=missed,
        least_c=least_c,
        hidden_c=-fold_highest(axis, -_hidden(gaps, full, judged)) - minimum_allowance_c,
        winter=winter,
        summer=summer,
        hot_run_c=fold_highest(axis, hot_run),
        known_hot_run_c=fold_highest(axis, known_hot_run),
    )


def lay_out_air(temp_c: FloatArray, local_start_hour: int) -> OpenAir:
    """
    The seasons of the open air, for rooms.

    Parameters
    ----------
    temp_c : (hour), °C
        In the open, after short gaps have been filled.
    local_start_hour : h
    """
    first_day, nights = hours_by_night(temp_c, local_start_hour)
    axis = fold_axis(first_day, nights.shape[0])
    _, winter, summer = cut_days(daily_mean(nights, np.isnan(nights)), axis)
    return OpenAir(winter=winter, summer=summer, night_minimum_c=mean_night_minimum(axis, nights))


def _own(nights: FloatArray, seen: BoolArray, local_start_hour: int) -> FloatArray:
    """Nights without the hours that another station filled, (night, 24), °C."""
    _, by_night = hours_by_night(np.where(seen, 0.0, np.nan), local_start_hour)
    own: FloatArray = nights + by_night
    return own


def _told(
    unseen: BoolArray, told_c: FloatArray | None, local_start_hour: int
) -> tuple[FloatArray, FloatArray]:
    """
    What daily minima say of nights with lost hours, both (night), °C.

    Returns
    -------
    lowest
        Of the lost hours of which it is known; +inf where none is.
    judged
        The same where it tells of the whole night, nan for others: all lost hours after midnight
        lie in days whose minimum was in a lost hour. Of the evening before, its day's minimum
        seldom tells; as a rule it is warmer than the morning (reasoned).
    """
    if told_c is None:
        nights = unseen.shape[0]
        return np.full(nights, np.inf), np.full(nights, np.nan)
    _, by_night = hours_by_night(told_c, local_start_hour)
    known = ~np.isnan(by_night)
    lowest: FloatArray = np.where(known, by_night, np.inf)[:, NIGHT_HOURS].min(axis=1)
    lost = unseen[:, MORNING]
    whole = lost.any(axis=1) & ~(lost & ~known[:, MORNING]).any(axis=1)
    return lowest, np.where(whole, lowest, np.nan)


def _tolerated(
    dose: SpotDose, axis: FoldedAxis, dose_limits_c_h: frozenset[float]
) -> dict[float, FloatArray]:
    """Highest chill base that each night tolerates, by dose limit, each (position), °C."""
    bases = dose.tolerated_bases(dose_limits_c_h)
    return {limit: -fold_highest(axis, -base) for limit, base in bases.items()}


def cut_days(mean_c: FloatArray, axis: FoldedAxis) -> tuple[int, int, int]:
    """
    The coldest day, and where plant years are cut: mid-winter and mid-summer.

    By the annual harmonic of the means of all nights, (night), °C; where there is no winter to cut
    at, the year is cut at its first day.
    """
    coldest, amplitude_c = coldest_day(mean_of_years(gather(axis, mean_c)))
    seasonal = amplitude_c >= SEASONAL_AMPLITUDE_C
    winter, summer = (coldest, (coldest + DAYS // 2) % DAYS) if seasonal else (0, 0)
    return coldest, winter, summer


def daily_mean(nights: FloatArray, gaps: BoolArray) -> FloatArray:
    """Mean of nights with at least 20 hours, shape (night)."""
    known = (~gaps).sum(axis=1)
    total = np.where(gaps, 0.0, nights).sum(axis=1)
    mean: FloatArray = np.divide(total, known, out=np.full(known.size, np.nan), where=known >= 20)
    return mean


def _hidden(gaps: BoolArray, full: FloatArray, told: FloatArray) -> FloatArray:
    """
    How cold nights may have been that only their day tells of, shape (night); +inf others.

    Where the station's daily minimum tells it, that is how cold they were.
    """
    complete = ~gaps.any(axis=1)
    by_day = full[:, DAY_HOURS].min(axis=1)
    lowest = full.min(axis=1)
    hidden = np.full(lowest.size, np.inf)
    seen_by_day = gaps[:, NIGHT_HOURS].any(axis=1) & (gaps[:, DAY_HOURS].sum(axis=1) <= 2)
    # The greatest fall on record, not a usual one: how cold a night may have been is asked. Without
    # a whole night to learn it from, nothing bounds it.
    if complete.any():
        fall = float((by_day[complete] - lowest[complete]).max())
        hidden[seen_by_day] = lowest[seen_by_day] - fall
    else:
        hidden[seen_by_day] = -np.inf
    return np.where(seen_by_day & ~np.isnan(told), told, hidden)


def hidden_nights(nights: SpotNights, limits: Thresholds, warmer_c: float = 0.0) -> BoolArray:
    """
    Nights whose hours were missed although they may have been unsafe by cold, shape (position).

    A station that closes at night hides just the cold that is asked about; an outage of whole
    days hides nothing in particular.
    """
    coldest = max(limits.limit_c, limits.limit_wet_c, limits.chill_base_c) - warmer_c
    hidden: BoolArray = nights.hidden_c < coldest - EPSILON_C
    return hidden


def lacking_warmth(nights: SpotNights, limits: Thresholds) -> Shortfall:
    """
    What each night lacks for one group.

    Parameters
    ----------
    limits
        Its dose limit is one of those that the nights were laid out for.
    """
    dry = limits.limit_c - EPSILON_C - nights.minimum_c
    wet = limits.limit_wet_c - EPSILON_C - nights.wet_minimum_c
    dose = limits.chill_base_c - EPSILON_C - nights.tolerated_base_c[limits.dose_limit_c_h]
    room = None
    if limits.ceiling_c is not None:
        room = limits.ceiling_c + EPSILON_C - nights.hot_run_c
    return Shortfall(
        dry_c=dry,
        wet_c=wet,
        dose_c=dose,
        heat_room_c=room,
        # Of any night on record, known or not whole: one such night bars all year at any odds.
        far_below_c=float(np.maximum(dry, wet).max()) - FAR_BELOW_C,
    )


def without_wet(shortfall: Shortfall, nights: SpotNights, limits: Thresholds) -> Shortfall:
    """What each night would lack with rain kept off: no hour is wet, and none weighs more."""
    dry_base_c = nights.dry_tolerated_base_c()[limits.dose_limit_c_h]
    return replace(
        shortfall,
        wet_c=np.full(shortfall.dry_c.size, -np.inf),
        dose_c=limits.chill_base_c - EPSILON_C - dry_base_c,
        far_below_c=float(shortfall.dry_c.max()) - FAR_BELOW_C,
    )


def unsafe_nights(shortfall: Shortfall) -> BoolArray:
    """Nights that are unsafe by any cause, shape (position)."""
    unsafe: BoolArray = np.maximum(shortfall.hard_c, shortfall.dose_c) > 0.0
    return unsafe if shortfall.heat_room_c is None else unsafe | (shortfall.heat_room_c < 0.0)


def _hot_runs(temp_c: FloatArray) -> tuple[FloatArray, FloatArray]:
    """
    Temperature that six hours of each of the last four days exceed, shape (night), °C.

    One day of the four that is not wholly known may have been as hot as it takes: a lost day does
    not break a hot run. With more of them only what is known counts. The second answer goes by
    what is known alone.
    """
    # Six hours lie above a temperature exactly if the sixth highest of the day does.
    sixth = 24 - HOT_HOURS
    most = np.partition(temp_c, sixth, axis=1)[:, sixth]  # sorts nan as if it were the highest
    least = most.copy()
    torn = np.flatnonzero(np.isnan(temp_c).any(axis=1))
    for days, value in ((most, np.inf), (least, -np.inf)):
        known = np.where(np.isnan(temp_c[torn]), value, temp_c[torn])
        days[torn] = np.partition(known, sixth, axis=1)[:, sixth]
    before = np.full(HOT_DAYS - 1, -np.inf)  # days before the record are not held against it
    highest, lowest = (
        np.lib.stride_tricks.sliding_window_view(np.concatenate([before, days]), HOT_DAYS)
        for days in (most, least)
    )
    # Days on which the two accounts differ are those whose missing hours could make them hotter.
    doubtful = np.count_nonzero(highest != lowest, axis=1)
    known_runs: FloatArray = lowest.min(axis=1)
    return np.where(doubtful <= 1, highest.min(axis=1), known_runs), known_runs
