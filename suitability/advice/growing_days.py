"""
What each group does on each day of the year, outdoors and in.

Outdoors a phase follows the spot's nights and the day's length, year by year; the calendar is that
of the median year. Indoors no temperature is known but that of a room that was stated, so that the
length of the day decides, as a plant behind glass meets it. Where the plant is, its moves say.
"""

from __future__ import annotations

from functools import cache
from typing import TYPE_CHECKING

import numpy as np
from msgspec import Struct
from numpy.typing import NDArray

from suitability.advice.growth_year import Note
from suitability.advice.resting import (
    MOST_YEARS,
    days_out,
    rest_need_of,
    rests_there,
    years_told,
)
from suitability.advice.terms import Verdict
from suitability.climate.cold import DOSE_NIGHTS
from suitability.climate.days import DAYS
from suitability.climate.growth_phases import (
    SHORTEST_RUN,
    Phase,
    PhaseDates,
    RestBand,
    absorb_short,
    indoor_dates,
    lay_phases,
    outdoor_dates,
    usual_dates,
    without_winter,
)
from suitability.climate.night_years import NightYears, day_course, lay_out_night_years
from suitability.climate.observing import usable_years
from suitability.climate.past_years import FEWEST_YEARS
from suitability.climate.rest import judge_rest
from suitability.climate.sun import ShortDays, almanac_day_length_h, find_short_days
from suitability.groups.group import Trigger

if TYPE_CHECKING:
    from collections.abc import Callable

    from suitability.advice.cases import Case
    from suitability.advice.verdicts import Decision
    from suitability.climate.rest import RestPeriod
    from suitability.climate.states import SpotNights
    from suitability.groups.group import Needs
    from suitability.places import Place
    from suitability.spots.spot import Spot

FloatArray = NDArray[np.float64]
IntArray = NDArray[np.int64]
BoolArray = NDArray[np.bool_]

FIRST_NOON = 271_764.0  # h from 1970 to noon of 1 January 2001, UTC


class GrowthSpot(Struct, frozen=True, kw_only=True):
    """One spot: its nights by year, its mean year, its light; days are counted from `anchor`."""

    spot: Spot
    nights: SpotNights
    resting: RestPeriod
    rain_unknown: bool
    room_c: float | None
    anchor: int
    years: NightYears | None
    light: ShortDays
    length_h: FloatArray
    day_c: FloatArray
    dates: Callable[[float, RestBand | None], PhaseDates]


class GrowthDays(Struct, frozen=True, kw_only=True):
    """
    The calendar day by day: phases, and whether the night is spent out, both (365).

    `by_year` are the outdoor dates of the years that count; None without a winter.
    """

    phases: IntArray
    out: BoolArray
    by_year: PhaseDates | None
    notes: tuple[Note, ...]


def year_lengths_h(place: Place) -> FloatArray:
    """Almanac length of each day of a common year, (365), h."""
    noon = FIRST_NOON + 24.0 * np.arange(DAYS) - place.longitude / 15.0
    latitude, longitude = np.array(place.latitude), np.array(place.longitude)
    return almanac_day_length_h(noon.astype(np.float64), latitude, longitude)


def lay_out_growth(
    spot: Spot,
    nights: SpotNights,
    resting: RestPeriod,
    length_h: FloatArray,
    room_c: float | None,
    *,
    rain_unknown: bool,
) -> GrowthSpot:
    """
    What the calendars of all groups at one spot share.

    Parameters
    ----------
    resting
        From `resting.lay_out_resting`.
    length_h : (365), h
        From `year_lengths_h`.
    room_c : °C
        None: not known.
    rain_unknown
        Rain may reach the pot, and none is on record.
    """
    mid_winter, mid_summer = nights.seasons
    winter = mid_winter != mid_summer and bool(np.isfinite(nights.calendar.night_minimum_c).all())
    anchor = mid_summer if winter else int(np.argmax(length_h))
    years = lay_out_night_years(nights) if winter else None
    light = find_short_days(length_h, anchor)

    @cache
    def dates(floor_c: float, band: RestBand | None) -> PhaseDates:
        assert years is not None
        return outdoor_dates(years, floor_c, band, light)

    return GrowthSpot(
        spot=spot,
        nights=nights,
        resting=resting,
        rain_unknown=rain_unknown,
        room_c=room_c,
        anchor=anchor,
        years=years,
        light=light,
        length_h=length_h,
        day_c=day_course(nights),
        dates=dates,
    )


def has_calendar(case: Case, decision: Decision) -> bool:
    """Whether enough is known to tell what the group does; indoors light alone decides."""
    if decision.verdict in (Verdict.NONE, Verdict.INDOOR):
        return decision.verdict is Verdict.INDOOR
    return int(case.observed.summer_usable.sum()) >= FEWEST_YEARS


def find_growth_days(
    needs: Needs, case: Case, decision: Decision, at_spot: GrowthSpot
) -> GrowthDays:
    """Phases outdoors where the plant is out, indoors where it is in."""
    out = days_out(decision)
    few = case.observed.summer_usable.sum() < case.rules.fewest_for_sure
    notes = [Note.FEW_YEARS] if few and out.any() and not at_spot.spot.is_steady else []
    outdoor, by_year = np.full(DAYS, int(Phase.GROWING)), None
    if out.any():  # the air is nothing to one that never goes out
        outdoor, by_year = _outdoors(needs, case, out, at_spot)
    if at_spot.spot.room is not None:
        outdoor = _behind_glass(outdoor, at_spot)
    indoor, said = _indoors(needs, at_spot, begun=bool((outdoor == Phase.RESTING).any()))
    notes += said if not out.all() else []
    if at_spot.years is None:
        notes.append(Note.NO_WINTER)
    if at_spot.spot.room is not None and out.all() and at_spot.light.under_short is None:
        notes.append(Note.NO_SHORT_DAYS)
    phases = absorb_short(_joined(outdoor, indoor, decision, at_spot))
    if not needs.rest_told:
        notes.append(Note.REST_NOT_TOLD)
    elif needs.rest_needed:
        resting = phases == Phase.RESTING
        if not resting.any():
            notes += [] if _rests_undated(needs, out, at_spot) else [Note.REST_NOT_BROUGHT]
        elif (resting & ~out).any() and not rests_there(needs, decision, at_spot.resting):
            notes.append(Note.REST_INDOORS)
    return GrowthDays(phases=phases, out=out, by_year=by_year, notes=tuple(notes))


def _rests_undated(needs: Needs, out: BoolArray, at_spot: GrowthSpot) -> bool:
    """
    Whether the nights of a room are its rest although nothing dates one there.

    A drought is not brought by nights: who waters makes it.
    """
    need = rest_need_of(needs)
    if need is None or needs.rest_dry_nights is not None or not at_spot.resting.in_a_room:
        return False
    years = years_told(judge_rest(at_spot.resting, need, out))
    return years["met_years"] > MOST_YEARS * years["of_years"]


def _joined(
    outdoor: IntArray, indoor: IntArray, decision: Decision, at_spot: GrowthSpot
) -> IntArray:
    """
    Outdoor phases where the plant is out, indoor ones where it is in.

    A plant that has slowed down or rests when it is carried in before the days are short does not
    begin to grow again for the few weeks until they are.
    """
    out = days_out(decision)
    phases = np.where(out, outdoor, indoor)
    short, season = at_spot.light.under_short, decision.season
    if short is None or season is None or out.all() or not out.any():
        return phases
    comes_in = (season.start + season.nights - at_spot.anchor) % DAYS
    slowed = outdoor[(season.start + season.nights - 1) % DAYS]
    if comes_in < short and slowed in {Phase.SLOWING, Phase.RESTING}:
        until = (at_spot.anchor + np.arange(comes_in, short)) % DAYS
        phases[until] = np.where(phases[until] == Phase.GROWING, Phase.SLOWING, phases[until])
    return phases


def _behind_glass(phases: IntArray, at_spot: GrowthSpot) -> IntArray:
    """Phases in a room: what its nights let grow slows down while the days are short."""
    dark = lay_phases(indoor_dates(None, at_spot.light), at_spot.anchor) == Phase.SLOWING
    return np.where(dark & (phases == Phase.GROWING), int(Phase.SLOWING), phases)


def _band(needs: Needs) -> RestBand | None:
    need = rest_need_of(needs)
    return None if need is None else RestBand(high_c=need.high_c, nights=need.nights)


def _outdoors(
    needs: Needs, case: Case, out: BoolArray, at_spot: GrowthSpot
) -> tuple[IntArray, PhaseDates | None]:
    """Phases by the spot's air, (365), and the dates of each year that counts."""
    years, usable, band = at_spot.years, case.observed.summer_usable, _band(needs)
    if years is not None and at_spot.nights.air is not None:  # cut in the summer of the place
        usable = usable_years(np.isnan(years.minimum_c))
    if years is None or not usable.any():
        return without_winter(at_spot.nights.calendar.night_minimum_c, needs.floor_c), None
    if band is not None and needs.rest_needed:
        met = _met_on(needs, out, at_spot)
        dates = outdoor_dates(years, needs.floor_c, band, at_spot.light, met)
    else:
        dates = at_spot.dates(needs.floor_c, band)
    counted = _rows(dates, usable)
    phases = lay_phases(usual_dates(counted), at_spot.anchor)
    if band is not None and not needs.rest_needed:
        spent_out = (phases == Phase.RESTING) & out
        if spent_out.sum() < SHORTEST_RUN:  # an optional rest that the moves leave no time for
            counted = _rows(at_spot.dates(needs.floor_c, None), usable)
            phases = lay_phases(usual_dates(counted), at_spot.anchor)
    return phases, counted


def _rows(dates: PhaseDates, usable: BoolArray) -> PhaseDates:
    """The years that count."""
    return PhaseDates(
        slow=dates.slow[usable],
        rest=dates.rest[usable],
        wake=dates.wake[usable],
        grow=dates.grow[usable],
    )


def _met_on(needs: Needs, out: BoolArray, at_spot: GrowthSpot) -> FloatArray:
    """Days from mid-summer to the day on which each year's rest is complete, nan if it is not."""
    need = rest_need_of(needs)
    assert need is not None
    years = judge_rest(at_spot.resting, need, out)
    first = (at_spot.resting.first_day - at_spot.anchor) % DAYS
    return years.met_on + first


def _harms(needs: Needs, room_c: float) -> bool:
    """Whether a room so cold day and night goes beyond the dose or the limit of a dry plant."""
    dose_c_h = DOSE_NIGHTS * 24.0 * (needs.chill_base_c - room_c)
    return room_c <= needs.limit_c or dose_c_h > needs.dose_limit_c_h


def _indoors(needs: Needs, at_spot: GrowthSpot, *, begun: bool) -> tuple[IntArray, list[Note]]:
    """Phases by light, and by the room where one was stated, (365); a rest begun out goes on."""
    need, room_c, notes = rest_need_of(needs), at_spot.room_c, []
    band = _band(needs)
    if room_c is None:
        band = band if needs.rest_needed or begun else None
        notes.append(Note.INDOORS_BY_LIGHT)
    elif need is not None:
        if room_c > need.high_c and needs.trigger is not Trigger.DROUGHT:
            band = None
            notes += [Note.ROOM_TOO_WARM] if needs.rest_needed else []
        elif room_c < need.low_c:
            notes.append(Note.ROOM_TOO_COLD)
    if at_spot.light.under_short is None:
        notes.append(Note.NO_SHORT_DAYS)
    phases = lay_phases(indoor_dates(band, at_spot.light), at_spot.anchor)
    if room_c is not None and room_c < needs.floor_c:
        notes.append(Note.ROOM_BELOW_FLOOR)
        if _harms(needs, room_c):
            notes = [Note.ROOM_HARMS]  # says all that is to be said of this room
        waits = Phase.SLOWING if band is None else Phase.WAKING
        phases = np.where(phases == Phase.GROWING, int(waits), phases)
    return phases, notes
