"""
What a group's year is like here: whether it survives, grows, rests and flowers; heat, dry air.

One minimum per plant is the label's mistake: a place can hold a thousand hours below a group's
growth floor and bring it to flower by them, or keep it alive for ever without the coolness that
makes it flower. Each of the four words has its own rule, and none of them promises anything.
"""

from __future__ import annotations

from collections.abc import Sequence

import numpy as np
from msgspec import Struct
from numpy.typing import NDArray

from suitability.advice.cases import Case
from suitability.advice.plant_year import (
    HARMFUL_WARM_NIGHTS,
    DryAir,
    HeatCause,
    HeatOutlook,
    PlantYear,
    RestOfYear,
    RestOutlook,
    RoomAnswer,
)
from suitability.advice.plant_year import RestState as RestStateWord
from suitability.advice.preparing import LaidOut, with_humidity
from suitability.advice.resting import (
    MISSING,
    MOST_YEARS,
    completion,
    days_out,
    days_resting,
    find_room,
    flower_need_of,
    flowers_of,
    kept_dry_by_hand,
    lay_out_resting,
    line_of,
    missing_of,
    need_in_a_room,
    nights_indoors,
    rests_of,
    survives_of,
    years_told,
)
from suitability.advice.terms import Grows, HeatWord, Rain, Verdict, whose
from suitability.advice.verdicts import Decision
from suitability.climate.chance import bad_year, median
from suitability.climate.days import DAYS, hours_by_night, local_hour, month_day
from suitability.climate.heat import HeatYears, SpotHeat, sum_by_year
from suitability.climate.humidity import dry_air, vapour_deficit_kpa
from suitability.climate.past_years import FEWEST_YEARS
from suitability.climate.rest import RestPeriod, RestYears, judge_rest, period_of
from suitability.climate.rest_need import RestLack, RestNeed, RestState, room_nights, room_state
from suitability.climate.states import SpotNights
from suitability.groups.group import Needs
from suitability.places import Place
from suitability.spots.spot import Spot
from suitability.weather.record import Record

FloatArray = NDArray[np.float64]
BoolArray = NDArray[np.bool_]

HEAT_HOURS_FEW, HEAT_HOURS_MANY = 20.0, 150.0  # h a year above the ceiling; reasoned
HARMFUL_RUN_DAYS = 4  # in a row; reasoned
HARMFUL_SHARE = 0.1  # of the years; more than this is told as a warning; reasoned
DEFICIT_KPA = 2.0  # of vapour; to compare places by, no limit of any group; reasoned
DRYING_HOURS = 20.0  # h a year of dry air above which thin-leaved groups are warned of; reasoned
DRYING_OUT = frozenset(
    (
        "latouria",
        "oxyglossum",
        "phalaenopsis",
        "paphiopedilum-warm",
        "paphiopedilum-cool",
        "masdevallia",
    )
)  # groups that dry air harms first; reasoned


class SpotYear(Struct, frozen=True, kw_only=True):
    """
    What the plant years of all groups at one spot share.

    Attributes
    ----------
    spot
        Name.
    nights
    period
        Of rest.
    rain
    heat
    temp_c : (night, 24), °C
        Observed hours only; nan elsewhere.
    rhum_pct : (night, 24), %, or None
    """

    spot: str
    nights: SpotNights
    period: RestPeriod
    rain: Rain
    heat: SpotHeat
    temp_c: FloatArray
    rhum_pct: FloatArray | None


def lay_out_spot_year(spot: Spot, nights: SpotNights, used: Record, place: Place) -> SpotYear:
    """
    What the plant years of all groups at one spot share.

    Parameters
    ----------
    nights
        Laid out from `used`.
    used
        From `years_asked`.
    """
    start = local_hour(used.start_hour, place.utc_offset_hours)
    rain = Rain.NOT_KNOWN if used.prcp_mm is None else Rain.KNOWN
    humidity, temp_c = used.rhum_pct, _observed_by_night(used, place)
    return SpotYear(
        spot=spot.name,
        nights=nights,
        period=lay_out_resting(nights, used.prcp_mm, start, roofed=spot.roofed),
        rain=Rain.KEPT_OFF if spot.roofed else rain,
        heat=SpotHeat(nights.axis, temp_c, nights.winter),
        temp_c=temp_c,
        rhum_pct=None if humidity is None else hours_by_night(humidity, start)[1],
    )


def lay_out_heat(nights: SpotNights, used: Record, place: Place) -> SpotHeat:
    """The heat of a spot by its observed hours, where no more of its year is asked for."""
    return SpotHeat(nights.axis, _observed_by_night(used, place), nights.winter)


def _observed_by_night(used: Record, place: Place) -> FloatArray:
    """Temperatures noon to noon, observed hours only and nan elsewhere, (night, 24), °C."""
    observed = np.where(used.counted, used.temp_c, np.nan)
    return hours_by_night(observed, local_hour(used.start_hour, place.utc_offset_hours))[1]


def find_heat(
    needs: Needs, usable: BoolArray, out: BoolArray, heat: SpotHeat
) -> HeatOutlook | None:
    """
    Heat on the days spent out, on all days where there is none; None for a group without a ceiling.

    Parameters
    ----------
    usable : (plant year)
        Years observed well enough, cut at mid-winter.
    out : (365)
    """
    if needs.ceiling_c is None:
        return None
    days = out if out.any() else np.ones(DAYS, np.bool_)
    years = heat.years(days, ceiling_c=needs.ceiling_c, warm_night_c=needs.warm_night_c)
    hours, runs = years.hours[usable], np.sort(years.longest_run[usable])
    warm = years.warm_nights
    some = bool(usable.any())
    word = heat_word(years, usable, hardy=needs.heat_hardy)
    return HeatOutlook(
        word=word,
        ceiling_c=needs.ceiling_c,
        signs=needs.heat_signs,
        warm_night_c=needs.warm_night_c,
        hours_mean=float(hours.mean()) if some else None,
        hours_bad=bad_year(hours) if some else None,
        hours_by_month=tuple(
            None if np.isnan(value) else value
            for value in heat.hours_by_month(days, needs.ceiling_c).tolist()
        ),
        longest_run=int(runs[-1]) if some else None,
        usual_run=int(runs[runs.size // 2]) if some else None,
        warm_nights_mean=float(warm[usable].mean()) if warm is not None and some else None,
        harmful_years=int(_harmful(years)[usable].sum()),
        cause=None if word is HeatWord.LITTLE else cause_of_harm(years, usable),
        of_years=int(hours.size),
        spent_out=bool(out.any()),
    )


def _harms(years: HeatYears) -> dict[HeatCause, BoolArray]:
    """By cause, the years whose heat does harm, (plant year)."""
    harms: dict[HeatCause, BoolArray] = {
        "hours": years.hours > HEAT_HOURS_MANY,
        "run": years.longest_run >= HARMFUL_RUN_DAYS,
    }
    if years.warm_nights is None:
        return harms
    return {"warm-nights": years.warm_nights > HARMFUL_WARM_NIGHTS, **harms}


def _harmful(years: HeatYears) -> BoolArray:
    """Years whose heat does harm, (plant year)."""
    harmful: BoolArray = np.logical_or.reduce(list(_harms(years).values()))
    return harmful


def cause_of_harm(years: HeatYears, usable: BoolArray) -> HeatCause | None:
    """What harms in most years, the first of equal ones; None where no year does harm."""
    number = {cause: np.count_nonzero(harms[usable]) for cause, harms in _harms(years).items()}
    most = max(number, key=number.__getitem__)
    return most if number[most] else None


def heat_word(years: HeatYears, usable: BoolArray, *, hardy: bool) -> HeatWord:
    """
    Damage is to be expected where most years do harm, and is told where one in ten does.

    Only dry air makes such heat harm a group that great heat does not trouble.

    Parameters
    ----------
    years
    usable : (plant year)
        Years observed well enough.
    hardy
        Whether the group is such a one.
    """
    hours, harmful = years.hours[usable], np.count_nonzero(_harmful(years)[usable])
    if hours.size < FEWEST_YEARS:
        return HeatWord.UNKNOWN
    most = harmful > MOST_YEARS * hours.size
    often = harmful > HARMFUL_SHARE * hours.size or median(hours) > HEAT_HOURS_FEW
    if not (most or often):
        return HeatWord.LITTLE
    if hardy:
        return HeatWord.IF_DRY
    return HeatWord.EXPECT_DAMAGE if most else HeatWord.AT_TIMES


def find_dry_air(needs: Needs, usable: BoolArray, out: BoolArray, year: SpotYear) -> DryAir | None:
    """
    Dry air on the days spent out; None without humidity or a usable year.

    Parameters
    ----------
    usable : (plant year)
        Years observed well enough, cut at mid-winter.
    out : (365)
    """
    if year.rhum_pct is None or not usable.any():
        return None
    days = out if out.any() else np.ones(DAYS, np.bool_)

    def by_year(flags: BoolArray) -> FloatArray:
        by_night = flags.sum(axis=1).astype(np.float64)
        return sum_by_year(year.nights.axis, by_night, year.nights.winter, days)[usable]

    hours = by_year(dry_air(year.temp_c, year.rhum_pct))
    deficit = by_year(vapour_deficit_kpa(year.temp_c, year.rhum_pct) > DEFICIT_KPA)
    return DryAir(
        hours_mean=float(hours.mean()),
        hours_bad=bad_year(hours),
        deficit_hours_mean=float(deficit.mean()),
        warned=(needs.key in DRYING_OUT or needs.heat_hardy) and float(hours.mean()) > DRYING_HOURS,
    )


STATES: dict[RestState, RestStateWord] = {
    RestState.MET: "met",
    RestState.PARTLY: "partly",
    RestState.NOT: "not",
}
ROOMS_C = (8.0, 10.0, 13.0, 15.0, 18.0)  # °C, rooms asked about unless others are


def judge_needs(laid_out: LaidOut, *, rooms_c: Sequence[float] = ROOMS_C) -> tuple[PlantYear, ...]:
    """The year of each group at each spot, its rest in rooms of some temperatures too."""
    used = laid_out.used
    years: list[PlantYear] = []
    for laid in laid_out.spots:
        here = used if laid.spot.is_as_outside else with_humidity(used, laid.record)
        year = lay_out_spot_year(laid.spot, laid.nights, here, laid_out.place)
        years += [
            judge_plant_year(needs, case, decision, year, rooms_c)
            for needs, case, decision in zip(laid.needs, laid.cases, laid.decisions, strict=True)
        ]
    return tuple(years)


def judge_plant_year(
    needs: Needs, case: Case, decision: Decision, year: SpotYear, rooms_c: Sequence[float] = ROOMS_C
) -> PlantYear:
    """
    The year of one group at one spot.

    Parameters
    ----------
    case, decision
        Of the same group at the same spot.
    rooms_c : °C
    """
    out = days_out(decision)
    judged = decision.verdict is not Verdict.NONE
    resting = days_resting(needs, decision, year.period)
    rest = _rest(needs, resting, year, rooms_c) if judged else None
    usable = case.observed.winter_usable
    survives, grows = survives_of(case, decision), _grows(decision)
    rests = rests_of(decision.verdict, rest, needs)
    flowers = flowers_of(decision.verdict, rest, rests)
    return PlantYear(
        **whose(year.spot, needs, decision.unseen.nights),
        survives=survives,
        grows=grows,
        rests=rests,
        flowers=flowers,
        line=line_of(survives, decision.verdict, flowers, rest, indoors=year.period.in_a_room),
        rest=rest,
        heat=find_heat(needs, usable, out, year.heat),
        dry_air=find_dry_air(needs, usable, out, year),
    )


# The four words -------------------------------------------------------------------------------


def _grows(decision: Decision) -> Grows:
    """All year if the floor rule never fails and the verdict is all year; else in its season."""
    words = {
        Verdict.ALL_YEAR: Grows.ALL_YEAR,
        Verdict.SEASONAL: Grows.IN_SEASON,
        Verdict.INDOOR: Grows.HARDLY,
    }
    return words.get(decision.verdict, Grows.UNKNOWN)


# Rest -----------------------------------------------------------------------------------------


def _rest(
    needs: Needs, out: BoolArray, year: SpotYear, rooms_c: Sequence[float]
) -> RestOutlook | None:
    """The rest outdoors and in a room; None for a group without one, or whose own is not told."""
    need, in_a_room = flower_need_of(needs), need_in_a_room(needs)
    if need is None or in_a_room is None or not needs.rest_told:
        return None
    years, period = judge_rest(year.period, need, out), period_of(year.period, need)
    usual, latest = completion(period, years)
    indoors, whole = nights_indoors(period, out), period.minimum_c.shape[1]
    room = find_room(in_a_room)
    left_usual, left_most = _nights_left(need, years) if room is not None else (None, None)
    return RestOutlook(
        needed=needs.rest_needed,
        trigger=needs.trigger,
        **years_told(years),
        missing=missing_of(years),
        usual_date=usual,
        latest_date=latest,
        rain=year.rain,
        must_be_dry=need.wants_dry,
        if_kept_dry=need.wants_dry
        and (year.rain is Rain.NOT_KNOWN or kept_dry_by_hand(need, period)),
        by_year=_by_year(need, period, years),
        nights_indoors=indoors,
        room=room,
        rooms=tuple(
            RoomAnswer(
                room_c=room_c,
                nights=room_nights(in_a_room, room_c),
                state=STATES[room_state(in_a_room, room_c, indoors or whole)],
            )
            for room_c in rooms_c
        ),
        left_usual=left_usual,
        left_most=left_most,
    )


def _by_year(need: RestNeed, period: RestPeriod, years: RestYears) -> tuple[RestOfYear, ...]:
    """Winters observed well enough."""
    asked = need.cool_hours is not None
    return tuple(
        RestOfYear(
            year=int(period.year[row]),
            state=STATES[RestState(int(years.state[row]))],
            met_on=None
            if np.isnan(years.met_on[row])
            else month_day(period.first_day + int(years.met_on[row])),
            nights=int(years.nights[row]),
            cool_hours=float(years.cool_hours[row]) if asked else None,
            missing=MISSING[RestLack(int(years.lack[row]))],
        )
        for row in np.flatnonzero(years.counts).tolist()
    )


def _nights_left(need: RestNeed, years: RestYears) -> tuple[int | None, int | None]:
    """Nights that a fitting room must still add, in the median and the worst year."""
    if not years.counts.any():
        return None, None
    left = np.ceil(np.maximum(need.full_nights - years.nights[years.counts], 0.0))
    if need.cool_hours is not None:
        hours = np.maximum(need.cool_hours - years.cool_hours[years.counts], 0.0)
        left = np.maximum(left, np.ceil(hours / 24.0))
    left = np.sort(left)
    return int(left[left.size // 2]), int(left[-1])
