"""
When plants grow, slow down, rest and wake: dates of each year from its nights and the day's length.

Days are counted from mid-summer (day 0) to the next mid-summer (365). The nights fall until the
coldest day of the mean year and rise from there on. In either stretch the day on which nights pass
a temperature is the one that parts them best: fewest nights before it that belong after it, and the
reverse. So one cold night in September is no autumn, and a warmer year is never earlier in autumn.

Where a plant neither rests nor slows in a year its dates fall together and the stretch between
them is empty; nothing is missing. All numbers are reasoned (docs/year.md gives the reasons).
"""

from __future__ import annotations

from enum import IntEnum

import numpy as np
from msgspec import Struct
from numpy.typing import NDArray

from suitability.climate.days import DAYS, turn
from suitability.climate.exposure import EPSILON_C
from suitability.climate.night_years import NightYears, part_nights
from suitability.climate.sun import ShortDays

FloatArray = NDArray[np.float64]
IntArray = NDArray[np.int64]
BoolArray = NDArray[np.bool_]

TOWARDS_BAND_C = 3.0  # above the rest band: nights fall towards it
RISEN_C = 1.0  # above the coldest mean night: nights rise again
STEP_DAYS = 28  # slowing before a rest, and waking, take at least so long
SHORTEST_RUN = 14  # days; a shorter stretch of a phase is not worth a change of care


class Phase(IntEnum):
    """What a plant does."""

    GROWING = 0
    SLOWING = 1
    RESTING = 2
    WAKING = 3


class RestBand(Struct, frozen=True, kw_only=True):
    """
    What the phases take of a rest.

    `high_c` is the warmest night that counts, `nights` how many a rest takes.
    """

    high_c: float
    nights: float


class PhaseDates(Struct, frozen=True, kw_only=True):
    """
    First days of slowing, resting, waking and growing, days after mid-summer, each (year).

    In every year slow <= rest <= wake <= grow; before `slow` and from `grow` on the plant grows.
    """

    slow: IntArray
    rest: IntArray
    wake: IntArray
    grow: IntArray

    def starts(self, phase: Phase) -> IntArray:
        """First day of a phase, (year)."""
        return (self.grow, self.slow, self.rest, self.wake)[phase]

    def happens(self, phase: Phase) -> BoolArray:
        """Years in which the phase begins and has a day, (year)."""
        if phase is Phase.GROWING:
            begins: BoolArray = (self.grow > self.slow) & (self.grow < DAYS)
            return begins
        follows = (self.slow, self.rest, self.wake, self.grow)
        some: BoolArray = follows[phase] > follows[phase - 1]
        return some


def outdoor_dates(
    years: NightYears,
    floor_c: float,
    rest: RestBand | None,
    light: ShortDays,
    met_on: FloatArray | None = None,
) -> PhaseDates:
    """
    Dates of a plant outdoors, year by year.

    Without a rest: it slows while nights are below the floor. With one:

    - rest: nights at or below the band's upper end, the day under 12 h, and either nights below
      the floor or the day under 11 h;
    - slow: nights 3 °C above the band and the day under 12 h, or nights below the floor, and in any
      case four weeks before the rest;
    - wake: the rest is met, the day half an hour longer than the shortest, and nights 1 °C above
      their lowest or the day back at 11 h; or nights above the band;
    - grow: nights at the floor again, and four weeks after waking.

    Parameters
    ----------
    floor_c : °C
    rest
        None for a group without one.
    light
        From `find_short_days`.
    met_on : (year), d, or None
        Days from mid-summer to the day on which the rest is complete; nan where it is not met.
    """
    cold, warm = years.minimum_c[:, : years.coldest], years.minimum_c[:, years.coldest :]
    below_floor = part_nights(cold, floor_c, falling=True)
    above_floor = years.coldest + part_nights(warm, floor_c, falling=False)
    if rest is None:
        return PhaseDates(slow=below_floor, rest=above_floor, wake=above_floor, grow=above_floor)
    just_above = rest.high_c + 2.0 * EPSILON_C  # a night at the band's upper end counts
    in_band = part_nights(cold, just_above, falling=True)
    towards = part_nights(cold, just_above + TOWARDS_BAND_C, falling=True)
    short = years.coldest if light.under_short is None else light.under_short
    even = light.under_even or 0
    begin = np.maximum(np.maximum(in_band, np.minimum(below_floor, short)), even)
    rests = (in_band < years.coldest) & (begin < years.coldest)
    begin = np.minimum(begin, years.coldest)
    tapers = np.maximum(towards, even)
    slow = np.minimum(np.minimum(tapers, below_floor), np.maximum(begin - STEP_DAYS, 0))
    risen = years.coldest + part_nights(warm, years.coldest_c + RISEN_C, falling=False)
    risen = np.minimum(risen, DAYS if light.over_short is None else light.over_short)
    wake = np.maximum(risen, light.longer or 0)
    if met_on is not None:
        wake = np.maximum(wake, np.where(np.isnan(met_on), 0, met_on).astype(np.int64))
    leaves = years.coldest + part_nights(warm, just_above, falling=False)
    wake = np.maximum(np.minimum(wake, leaves), begin)
    grow = np.minimum(np.maximum(above_floor, wake + STEP_DAYS), DAYS)
    return PhaseDates(
        slow=np.where(rests, slow, below_floor),
        rest=np.where(rests, begin, above_floor),
        wake=np.where(rests, wake, above_floor),
        grow=np.where(rests, grow, above_floor),
    )


def usual_dates(dates: PhaseDates) -> PhaseDates:
    """The median year of dates, shape (1); they keep their order. At least one year."""
    middle = dates.slow.size // 2
    slow, rest, wake, grow = (
        np.sort(days)[middle : middle + 1]
        for days in (dates.slow, dates.rest, dates.wake, dates.grow)
    )
    return PhaseDates(slow=slow, rest=rest, wake=wake, grow=grow)


def indoor_dates(rest: RestBand | None, light: ShortDays) -> PhaseDates:
    """
    Dates of a plant behind glass, where only the length of the day is known, shape (1).

    Without a rest it slows while days are short. With one it slows from 12 h, rests from 11 h until
    the day is half an hour longer than the shortest and the nights of its rest are over, and grows
    from 12 h; each step takes at least four weeks.
    """
    never = np.array([DAYS])
    short, over_short = light.under_short, light.over_short
    if short is None or over_short is None:
        return PhaseDates(slow=never, rest=never, wake=never, grow=never)
    if rest is None:
        back = np.array([over_short])
        return PhaseDates(slow=np.array([short]), rest=back, wake=back, grow=back)
    wake = max(light.longer or short, short + int(np.ceil(rest.nights)))
    grow = max(light.over_even or wake, wake + STEP_DAYS)
    even = short if light.under_even is None else light.under_even
    return PhaseDates(
        slow=np.array([max(min(even, short - STEP_DAYS), 0)]),
        rest=np.array([short]),
        wake=np.array([min(wake, DAYS)]),
        grow=np.array([min(grow, DAYS)]),
    )


def lay_phases(dates: PhaseDates, summer: int) -> IntArray:
    """
    The phase of each calendar day, (365).

    Parameters
    ----------
    dates
        Of one year, shape (1).
    summer
        Day of the folded year from which they are counted.
    """
    day = np.arange(DAYS)
    phases = np.full(DAYS, int(Phase.GROWING))
    for phase in (Phase.SLOWING, Phase.RESTING, Phase.WAKING, Phase.GROWING):
        phases[day >= dates.starts(phase)[0]] = int(phase)
    return turn(phases, summer)


def without_winter(night_minimum_c: FloatArray, floor_c: float) -> IntArray:
    """
    Phases of a place without a winter, (365): slowing where mean nights are below the floor.

    Parameters
    ----------
    night_minimum_c : (365), °C
        Mean of years, smoothed.
    """
    below = night_minimum_c < floor_c - EPSILON_C
    return np.where(below, int(Phase.SLOWING), int(Phase.GROWING))


def absorb_short(phases: IntArray) -> IntArray:
    """
    Phases without stretches under 14 days, each given to the one before it.

    The shortest goes first. A waking that follows growing, as when a plant that grew indoors meets
    colder nights outdoors, becomes a slowing.

    Parameters
    ----------
    phases : (365)
        Days that close into a ring.
    """
    phases = phases.copy()
    while True:
        starts = _starts(phases)
        if starts.size < 2:
            return phases
        lengths = np.diff(np.append(starts, starts[0] + DAYS))
        before = phases[starts - 1]
        again = (phases[starts] == Phase.WAKING) & (before == Phase.GROWING)
        if lengths.min() < SHORTEST_RUN:
            at = int(np.argmin(lengths))
            new = before[at]
        elif again.any():
            at = int(np.argmax(again))
            new = np.int64(Phase.SLOWING)
        else:
            return phases
        phases[np.arange(starts[at], starts[at] + lengths[at]) % DAYS] = new


def _starts(phases: IntArray) -> IntArray:
    """First days of the stretches of a ring, in order."""
    return np.flatnonzero(phases != np.roll(phases, 1))
