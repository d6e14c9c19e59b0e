"""The weeks of each group: what it does day by day, read from past years, put into weeks."""

from __future__ import annotations

from collections.abc import Callable, Sequence
from functools import cache

import numpy as np
from msgspec import Struct
from msgspec.structs import replace
from numpy.typing import NDArray

from suitability.advice.cases import Case
from suitability.advice.checking import season_of
from suitability.advice.growth_runs import (
    MIDDLE,
    PHASES,
    days_of_week,
    find_changes,
    find_runs,
    find_stays,
    standing_of,
)
from suitability.advice.growth_year import (
    WEEKS,
    AirWord,
    CourseWeek,
    GrowthWeek,
    GrowthYear,
    GrowthYearResult,
    Note,
    RestKind,
    SetBy,
    SpotCourse,
)
from suitability.advice.preparing import (
    CheckOptions,
    LaidOut,
    lay_out,
    settings_of,
    summarise_record,
)
from suitability.advice.question import Question
from suitability.advice.reasons import explain
from suitability.advice.resting import days_out, find_rest, lay_out_resting, rest_need_of
from suitability.advice.result import Reason
from suitability.advice.verdicts import Decision, Verdict, is_provisional
from suitability.climate import growth_phases
from suitability.climate.days import DAYS, local_hour, month_day
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
from suitability.climate.rest import RestPeriod, judge_rest
from suitability.climate.states import SpotNights
from suitability.climate.sun import ShortDays, almanac_day_length_h, find_short_days
from suitability.groups.group import Group, Needs, Rest, RestNeed
from suitability.groups.words import Words, read_words, words_at
from suitability.places import Place
from suitability.spots.spot import Spot
from suitability.weather.record import Record

__all__ = [
    "GroupCare",
    "GrowthDays",
    "GrowthSpot",
    "find_growth_days",
    "lay_out_growth",
    "plan_growth",
    "year",
    "year_lengths_h",
]

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
    winter = nights.winter != nights.summer and bool(
        np.isfinite(nights.calendar.night_minimum_c).all()
    )
    anchor = nights.summer if winter else int(np.argmax(length_h))
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


def find_growth_days(
    needs: Needs, case: Case, decision: Decision, at_spot: GrowthSpot
) -> GrowthDays:
    """Phases outdoors where the plant is out, indoors where it is in."""
    out = days_out(decision)
    few = out.any() and case.observed.summer_usable.sum() < case.rules.fewest_for_sure
    notes = [Note.FEW_YEARS] if few else []
    outdoor, by_year = np.full(DAYS, int(Phase.GROWING)), None
    if out.any():  # the air is nothing to one that never goes out
        outdoor, by_year = _outdoors(needs, case, out, at_spot)
    indoor, said = _indoors(needs, at_spot, begun=bool((outdoor == Phase.RESTING).any()))
    notes += said if not out.all() else []
    if at_spot.years is None:
        notes.append(Note.NO_WINTER)
    phases = absorb_short(_joined(outdoor, indoor, decision, at_spot))
    if not needs.rest_told:
        notes.append(Note.REST_NOT_TOLD)
    elif needs.rest_needed:
        resting = phases == Phase.RESTING
        if not resting.any():
            notes.append(Note.REST_NOT_BROUGHT)
        elif (resting & ~out).any():
            notes.append(Note.REST_INDOORS)
    return GrowthDays(phases=phases, out=out, by_year=by_year, notes=tuple(notes))


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


def _band(needs: Needs) -> RestBand | None:
    need = rest_need_of(needs)
    return None if need is None else RestBand(high_c=need.high_c, nights=need.nights)


def _outdoors(
    needs: Needs, case: Case, out: BoolArray, at_spot: GrowthSpot
) -> tuple[IntArray, PhaseDates | None]:
    """Phases by the spot's air, (365), and the dates of each year that counts."""
    years = at_spot.years
    if years is None:
        return without_winter(at_spot.nights.calendar.night_minimum_c, needs.floor_c), None
    usable, band = case.observed.summer_usable, _band(needs)
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


def _indoors(needs: Needs, at_spot: GrowthSpot, *, begun: bool) -> tuple[IntArray, list[Note]]:
    """Phases by light, and by the room where one was stated, (365); a rest begun out goes on."""
    need, room_c, notes = rest_need_of(needs), at_spot.room_c, []
    band = _band(needs)
    if room_c is None:
        band = band if needs.rest_needed or begun else None
        notes.append(Note.INDOORS_BY_LIGHT)
    elif need is not None:
        if room_c > need.high_c:
            band = None
            notes += [Note.ROOM_TOO_WARM] if needs.rest_needed else []
        elif room_c < need.low_c:
            notes.append(Note.ROOM_TOO_COLD)
    if at_spot.light.under_short is None:
        notes.append(Note.NO_SHORT_DAYS)
    phases = lay_phases(indoor_dates(band, at_spot.light), at_spot.anchor)
    if room_c is not None and room_c < needs.floor_c:
        notes.append(Note.ROOM_BELOW_FLOOR)
        waits = Phase.SLOWING if band is None else Phase.WAKING
        phases = np.where(phases == Phase.GROWING, int(waits), phases)
    return phases, notes


FEWEST_YEARS = 3  # mid-summer to mid-summer, for a calendar


class GroupCare(Struct, frozen=True, kw_only=True):
    """A group as `year` takes it: its numbers at one caution, its entry, and its words."""

    needs: Needs
    group: Group
    words: Words


def year(question: Question, *, room_c: float | None = None) -> GrowthYearResult:
    """
    What each group does week by week at each spot, and how it is watered and fed.

    Parameters
    ----------
    question
        From `ask`.
    room_c : °C
        Night temperature of the room in which plants stand while they are indoors; None: not known.

    Raises
    ------
    RecordError
        Nothing of the record lies in the years asked for.
    """
    words = read_words(question.subjects.catalogue)
    cared = [
        GroupCare(needs=needs, group=group, words=words[group.key])
        for group, needs in zip(question.groups, question.needs, strict=True)
    ]
    return plan_growth(
        question.record, question.place, question.spots, cared, question.options, room_c=room_c
    )


def plan_growth(
    record: Record,
    place: Place,
    spots: Sequence[Spot],
    groups: Sequence[GroupCare],
    options: CheckOptions,
    *,
    room_c: float | None = None,
    laid_out: LaidOut | None = None,
) -> GrowthYearResult:
    """
    The calendar of each group at each spot.

    Parameters
    ----------
    record
        After the checks of quality.
    groups
        At least one.
    room_c : °C
        Night temperature of the room in which plants stand while they are indoors; None: not known.
    laid_out
        From `lay_out` of the same, where other questions share it.

    Raises
    ------
    RecordError
        Nothing of the record lies in the years asked for.
    """
    groups = [replace(one, words=words_at(one.words, place.latitude)) for one in groups]
    needs = [group.needs for group in groups]
    laid_out = laid_out or lay_out(record, place, spots, needs, options)
    used = laid_out.used
    start = local_hour(used.start_hour, place.utc_offset_hours)
    length = year_lengths_h(place)
    courses: list[SpotCourse] = []
    years: list[GrowthYear] = []
    for laid in laid_out.spots:
        spot, nights = laid.spot, laid.nights
        resting = lay_out_resting(nights, used.prcp_mm, start, roofed=spot.roofed)
        unknown = used.prcp_mm is None and not spot.roofed
        at_spot = lay_out_growth(spot, nights, resting, length, room_c, rain_unknown=unknown)
        courses.append(_course(at_spot))
        years += map(_year, groups, laid.cases, laid.decisions, [at_spot] * len(groups))
    return GrowthYearResult(
        place=place,
        record=summarise_record(used),
        settings=settings_of(options),
        room_c=room_c,
        courses=tuple(courses),
        results=tuple(years),
        pets=groups[0].words.pets,
    )


# What all groups of a spot share ------------------------------------------------------------------


def _course(at_spot: GrowthSpot) -> SpotCourse:
    """The place's own year by weeks."""
    night_c = at_spot.nights.calendar.night_minimum_c
    weeks = []
    for number in range(WEEKS):
        days = days_of_week(number)
        weeks.append(
            CourseWeek(
                week=number + 1,
                first_day=month_day(days.start),
                last_day=month_day(days.stop - 1),
                days=days.stop - days.start,
                night_c=_mean(night_c[days]),
                day_c=_mean(at_spot.day_c[days]),
                day_length_h=float(at_spot.length_h[days].mean()),
            )
        )
    return SpotCourse(
        spot=at_spot.spot.name, has_winter=at_spot.years is not None, weeks=tuple(weeks)
    )


def _mean(values: FloatArray) -> float | None:
    mean = float(values.mean())
    return mean if np.isfinite(mean) else None


# One group ----------------------------------------------------------------------------------------


def _year(cared: GroupCare, case: Case, decision: Decision, at_spot: GrowthSpot) -> GrowthYear:
    """The calendar of one group."""
    needs, group, words = cared.needs, cared.group, cared.words
    usable = int(case.observed.summer_usable.sum())
    reason = _withheld(case, decision, usable)
    days = None if reason is not None else find_growth_days(needs, case, decision, at_spot)
    runs = () if days is None else find_runs(days.phases, group, words)
    rest = group.rest or Rest(needed=RestNeed.NO)
    return GrowthYear(
        spot=at_spot.spot.name,
        group=needs.key,
        group_name=needs.name,
        verdict=decision.verdict,
        reason=reason,
        provisional=is_provisional(decision, case.rules),
        of_years=usable,
        season=season_of(decision.season_allowed),
        floor_c=needs.floor_c,
        rest_kind=_rest_kind(needs),
        rest_words=rest.kind,
        rest_weeks=None if rest.weeks is None else (rest.weeks.low, rest.weeks.high),
        rest=find_rest(needs, decision, at_spot.resting, rain_unknown=at_spot.rain_unknown),
        weeks=() if days is None else _weeks(days, needs, group, decision, at_spot),
        runs=runs,
        stays=() if days is None else find_stays(decision),
        changes=() if days is None else find_changes(days, at_spot),
        notes=() if days is None else days.notes,
        first_signs=words.first_signs,
        about=words.notes,
        mark=words.mark.value,
        indoors=at_spot.spot.room is not None,
    )


def _withheld(case: Case, decision: Decision, usable: int) -> Reason | None:
    """Why there is no calendar."""
    if decision.verdict is Verdict.NONE:
        return explain(case, decision)
    if usable >= FEWEST_YEARS or decision.verdict is Verdict.INDOOR:  # indoors light decides
        return None
    return Reason(
        code="too-few-years",
        text=(
            f"{_years(usable)} from mid-summer to mid-summer observed well enough, "
            f"{FEWEST_YEARS} are needed for a calendar."
        ),
        numbers={"years_usable": float(usable), "years_needed": float(FEWEST_YEARS)},
    )


def _years(usable: int) -> str:
    """So few years, as the beginning of a sentence."""
    return {0: "No year was", 1: "Only 1 year was"}.get(usable, f"Only {usable} years were")


def _rest_kind(needs: Needs) -> RestKind:
    if rest_need_of(needs) is None:
        return RestKind.NONE
    return RestKind.NEEDED if needs.rest_needed else RestKind.OPTIONAL


# Weeks, runs and changes --------------------------------------------------------------------------


def _weeks(
    days: GrowthDays, needs: Needs, group: Group, decision: Decision, at_spot: GrowthSpot
) -> tuple[GrowthWeek, ...]:
    """The calendar week by week."""
    where = standing_of(decision)
    indoors = SetBy.DAY_LENGTH if at_spot.room_c is None else SetBy.ROOM
    night_c, day_c = at_spot.nights.calendar.night_minimum_c, at_spot.day_c
    weeks = []
    for number in range(WEEKS):
        day, span = 7 * number + MIDDLE, days_of_week(number)
        out = bool(days.out[day])
        weeks.append(
            GrowthWeek(
                week=number + 1,
                phase=PHASES[growth_phases.Phase(int(days.phases[day]))],
                where=where[day],
                set_by=SetBy.NIGHTS if out else indoors,
                night=_night_word(_mean(night_c[span]), needs, group) if out else None,
                day=_day_word(_mean(day_c[span]), group) if out else None,
            )
        )
    return tuple(weeks)


def _night_word(night_c: float | None, needs: Needs, group: Group) -> AirWord | None:
    """A mean night beside floor, rest floor and the range of comfort."""
    if night_c is None:
        return None
    if needs.rest_floor_c is not None and night_c < needs.rest_floor_c:
        return AirWord.BELOW_REST_FLOOR
    if night_c < needs.floor_c:
        return AirWord.BELOW_FLOOR
    comfort = group.comfort_night_c
    if comfort is None:
        return None
    return _beside(night_c, comfort.low, comfort.high)


def _day_word(day_c: float | None, group: Group) -> AirWord | None:
    """A mean day's maximum beside the range of days in growth."""
    likes = group.day_growth_c
    return None if day_c is None or likes is None else _beside(day_c, likes.low, likes.high)


def _beside(value_c: float, low_c: float, high_c: float) -> AirWord:
    if value_c > high_c:
        return AirWord.WARMER
    return AirWord.COOLER if value_c < low_c else AirWord.FITTING
