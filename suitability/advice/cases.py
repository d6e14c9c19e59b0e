"""
A case: one group at one spot, ready to be asked about for every warming of the spot.

What a past year, the growth floor and nights not observed say of it; the verdict is in `verdicts`.
"""

from __future__ import annotations

from functools import cache
from typing import TYPE_CHECKING

import numpy as np
from msgspec import Struct
from msgspec.structs import replace
from numpy.typing import NDArray

from suitability.climate import past_years, seasons
from suitability.climate.cold import DOSE_NIGHTS
from suitability.climate.days import DAYS, gather
from suitability.climate.exposure import EPSILON_C
from suitability.climate.floor import floor_days
from suitability.climate.observing import (
    Observed,
    enough_hidden,
    observe,
    plant_years,
)
from suitability.climate.past_years import kernel_for
from suitability.climate.states import (
    Shortfall,
    SpotNights,
    Thresholds,
    hidden_nights,
    lacking_warmth,
    without_wet,
)
from suitability.climate.worst import carried_nights

if TYPE_CHECKING:
    from collections.abc import Sequence

    from suitability.climate.past_years import Kernel, PastYears
    from suitability.climate.shortfall_tables import SpotTables

FloatArray = NDArray[np.float64]
IntArray = NDArray[np.int64]
BoolArray = NDArray[np.bool_]
HALF_YEAR = 182  # column of the middle of a row


class Rules(Struct, frozen=True, kw_only=True):
    """
    The numbers of the verdict.

    Attributes
    ----------
    promise
        Probability that a new year keeps what is promised.
    shortest_season : d
        Two weeks of hardening and eight weeks to use them.
    fewest_years, fewest_for_all_year, fewest_for_sure : usable plant years
        Under the first there is no verdict, under the second none is "all year", under the third
        every verdict is provisional.
    cautious
        Limits are at the end of their ranges that protects the plant; changes words alone.
    """

    promise: float = 0.9
    shortest_season: int = 70
    fewest_years: int = 3
    fewest_for_all_year: int = 8
    fewest_for_sure: int = 10
    cautious: bool = False


class Case(Struct, frozen=True, kw_only=True):
    """
    One group at one spot, ready to be judged for every warming or cooling of the spot.

    Attributes
    ----------
    nights, limits, rules
    shortfall
        What each night lacks.
    tables
        What all groups at the spot share.
    past_years
        What past years say about every stretch.
    kernel
        How far each of them stands for years like it.
    hidden : (position)
        Nights that may have been unsafe but were not observed, if there are enough to matter.
    observed
        How well the record observes the nights that this group asks about.
    yearly_shortfall, yearly_room : (plant year), °C
        Greatest shortfall and least room of each plant year by the mid-summer cut.
    yearly_seen : (plant year)
        Plant years in which missing nights hide nothing.
    """

    nights: SpotNights
    limits: Thresholds
    rules: Rules
    shortfall: Shortfall
    tables: SpotTables
    past_years: PastYears
    kernel: Kernel
    hidden: BoolArray
    observed: Observed
    yearly_shortfall: FloatArray
    yearly_seen: BoolArray
    yearly_room: FloatArray | None


def build_case(
    nights: SpotNights, tables: SpotTables, limits: Thresholds, rules: Rules, observed: Observed
) -> Case:
    """
    One group at one spot, ready to be judged.

    Parameters
    ----------
    tables
        Of the same nights.
    observed
        Of the spot's nights; of its whole days for a group that heat excludes.
    """
    shortfall = lacking_warmth(nights, limits)
    hidden = enough_hidden(hidden_nights(nights, limits), nights.summer)
    cold_c = np.maximum(shortfall.hard_c, shortfall.dose_c)
    yearly_shortfall = plant_years(cold_c, nights.summer, -np.inf)
    room = shortfall.heat_room_c
    return Case(
        nights=nights,
        limits=limits,
        rules=rules,
        shortfall=shortfall,
        tables=tables,
        past_years=past_years.gather_past_years(
            tables.of(limits), observed.supported, hidden.seen, nights.winter
        ),
        kernel=kernel_for(int(observed.winter_usable.sum())),
        hidden=hidden.nights,
        observed=observed,
        yearly_shortfall=yearly_shortfall.max(axis=1),
        yearly_seen=hidden.summer_seen,
        yearly_room=None if room is None else plant_years(room, nights.summer, np.inf).min(axis=1),
    )


def kept_dry(case: Case) -> Case:
    """The case with rain kept off the pot: no hour is wet."""
    shortfall = without_wet(case.shortfall, case.nights, case.limits)
    yearly_shortfall = plant_years(
        np.maximum(shortfall.dry_c, shortfall.dose_c), case.nights.summer, -np.inf
    )
    return replace(
        case,
        shortfall=shortfall,
        past_years=past_years.with_tables(case.past_years, case.tables.of(case.limits, dry=True)),
        yearly_shortfall=yearly_shortfall.max(axis=1),
    )


def shifted(case: Case, warmer_c: float) -> Case:
    """The case with the nights that may be hidden when every hour is so much warmer."""
    if warmer_c == 0.0 or not case.observed.may_hide:
        return case
    nights = case.nights
    hidden = enough_hidden(hidden_nights(nights, case.limits, warmer_c), nights.summer)
    return replace(
        case,
        hidden=hidden.nights,
        past_years=past_years.with_seen(case.past_years, hidden.seen),
        yearly_seen=hidden.summer_seen,
    )


def whole_years(case: Case, warmer_c: float, spread_c: float) -> tuple[FloatArray, FloatArray]:
    """Weight with which each plant year kept, and failed, the whole year, (plant year)."""
    free = past_years.free_weight(case.yearly_shortfall, case.yearly_room, warmer_c, spread_c)
    free = np.where(case.yearly_seen, free, 0.0)
    return np.where(case.observed.summer_usable, free, 0.0), 1.0 - free


def all_year_chance(case: Case, warmer_c: float = 0.0) -> float:
    """
    Probability that a new plant year stays free of unsafe nights.

    Parameters
    ----------
    warmer_c : K
        Constant added to every hour of the spot.
    """
    kept, failed = whole_years(case, warmer_c, case.kernel.spread_c)
    total = float(kept.sum() + failed.sum())
    return float(kept.sum()) / total if total > 0 else 0.0


def all_year_chances(case: Case, warmer_c: FloatArray) -> FloatArray:
    """
    `all_year_chance` for several warmings, were no night hidden.

    Parameters
    ----------
    warmer_c : (warming), K
    """
    room = None if case.yearly_room is None else case.yearly_room[:, None]
    spread_c = case.kernel.spread_c
    free = past_years.free_weight(case.yearly_shortfall[:, None], room, warmer_c, spread_c)
    kept = free[case.observed.summer_usable].sum(axis=0)
    total = kept + (1.0 - free).sum(axis=0)
    chances: FloatArray = np.divide(kept, total, out=np.zeros(kept.size), where=total > 0.0)
    return chances


def growing_days(case: Case, warmer_c: float = 0.0) -> BoolArray:
    """Days on which the group grows or rests."""
    limits = case.limits
    return floor_days(
        case.nights.calendar,
        limits.floor_c,
        limits.rest_floor_c,
        limits.floor_hours_limit,
        warmer_c,
    )


def grows_long_enough(case: Case, growing: BoolArray) -> BoolArray:
    """Days from which the group grows or rests for a whole shortest season, (365)."""
    longest: BoolArray = seasons.run_from(growing) >= case.rules.shortest_season
    return longest


def all_fine(case: Case) -> Case | None:
    """
    The case if no night that was not observed, from the first to the last, had been unsafe.

    What is known of such nights still counts: one with an unsafe hour stays unsafe. None where
    every night was observed.
    """
    nights, limits, shortfall, told = case.nights, case.limits, case.shortfall, case.past_years
    unknown = nights.unknown if limits.ceiling_c is None else nights.day_unknown
    outside = nights.axis.night_of < 0
    if not (unknown & ~outside).any():
        return None
    year, yearly_room = nights.calendar, case.yearly_room
    nights = replace(nights, calendar=replace(year, mean_hours_below=year.known_hours_below))
    observed = observe(outside, np.zeros_like(outside), nights.winter, nights.summer)
    if limits.ceiling_c is not None:
        room = limits.ceiling_c + EPSILON_C - nights.known_hot_run_c
        shortfall = replace(shortfall, heat_room_c=room)
        known = case.tables.room(limits, known_heat=True)
        told = past_years.with_tables(told, replace(told.tables, room=known))
        yearly_room = plant_years(room, nights.summer, np.inf).min(axis=1)
    return replace(
        case,
        nights=nights,
        shortfall=shortfall,
        past_years=past_years.with_support(told, observed.supported),
        kernel=kernel_for(int(observed.winter_usable.sum())),
        hidden=np.zeros_like(outside),
        observed=observed,
        yearly_seen=np.ones_like(case.yearly_seen),
        yearly_room=yearly_room,
    )


def dates_by_year(case: Case, cut: int) -> tuple[IntArray, IntArray]:
    """
    From when until when each plant year by itself was fine around its middle, both (plant year).

    Parameters
    ----------
    cut
        Day of the folded year at which rows begin; column 182 is their middle.

    Returns
    -------
    out, inn
        Columns of the first day that is fine until the middle, and of the first unsafe night after.
    """
    shortfall = case.shortfall
    unsafe = shortfall.hard_c > 0.0
    if shortfall.heat_room_c is not None:
        unsafe = unsafe | (shortfall.heat_room_c < 0.0)
    at_once = plant_years(unsafe, cut, outside=False)
    dose = plant_years(shortfall.dose_c > 0.0, cut, outside=False)
    column = np.arange(DAYS)
    spring = column < HALF_YEAR
    last = np.where(at_once & spring, column + 1, 0).max(axis=1)
    # The dose starts at the day of moving out: a night unsafe by it forbids only earlier starts.
    last_dose = np.where(dose & spring, column - DOSE_NIGHTS + 2, 0).max(axis=1)
    out = np.minimum(np.maximum(last, last_dose), HALF_YEAR)
    inn = np.where((at_once | dose) & ~spring, column, DAYS).min(axis=1)
    return out, inn


def carried_by_year(cases: Sequence[Case]) -> NDArray[np.int64]:
    """
    Nights to carry in were a plant left out all year, decided night by night.

    Parameters
    ----------
    cases
        Of one spot.

    Returns
    -------
    (case, plant year), by the mid-summer cut
    """
    nights = cases[0].nights

    @cache
    def by_year(chill_base_c: float) -> FloatArray:
        cold = gather(nights.axis, nights.dose.degree_hours_below(chill_base_c))
        return plant_years(np.nan_to_num(cold), nights.summer, outside=0)

    hard = [
        plant_years(case.shortfall.hard_c > 0.0, nights.summer, outside=False) for case in cases
    ]
    degree_hours = [by_year(case.limits.chill_base_c) for case in cases]
    limits = np.array([case.limits.dose_limit_c_h for case in cases])
    return carried_nights(np.stack(hard), np.stack(degree_hours), limits)
