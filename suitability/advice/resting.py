"""What the flowers of a group hang on, by its own days out, and what of it is missing."""

from __future__ import annotations

import numpy as np
from msgspec.structs import replace
from numpy.typing import NDArray

from suitability.advice.cases import Case
from suitability.advice.plant_year import RestOutlook
from suitability.advice.result import RestFinding
from suitability.advice.terms import Flowers, Missing, RestRoom, Rests, Survives, Verdict
from suitability.advice.verdicts import Decision
from suitability.climate.days import DAYS, month_day, turn
from suitability.climate.rest import (
    RestPeriod,
    RestYears,
    dry_nights,
    judge_rest,
    lay_out_rest,
    period_of,
)
from suitability.climate.rest_need import RestLack, RestNeed, RestState, room_nights
from suitability.climate.states import SpotNights
from suitability.groups.group import Needs, Trigger

MOST_YEARS = 0.5  # more than this share of years is "most"; reasoned
NOT_BY_NIGHTS: dict[Trigger | None, Rests] = {  # what no night brings
    Trigger.AFTER_BLOOM: Rests.AFTER_BLOOM,
    Trigger.COOL_DAYS: Rests.COOL_DAYS,
}
MISSING: dict[RestLack, Missing | None] = {
    RestLack.NOTHING: None,
    RestLack.COLD: Missing.COLD,
    RestLack.DRYNESS: Missing.DRYNESS,
    RestLack.LENGTH: Missing.LENGTH,
}


def survives_of(case: Case, decision: Decision) -> Survives:
    """By unsafe nights alone, whether the group grows or not."""
    if decision.verdict is Verdict.NONE:
        return Survives.UNKNOWN
    if decision.lives_all_year:
        return Survives.ALL_YEAR
    safe = decision.survival_season
    long_enough = safe is not None and safe.nights >= case.rules.shortest_season
    return Survives.IN_SEASON if long_enough else Survives.INDOORS


def rests_of(verdict: Verdict, rest: RestFinding | RestOutlook | None, needs: Needs) -> Rests:
    """What more than half of the years did; nothing where no name tells what rest is wanted."""
    if not needs.rest_told:
        return Rests.NOT_TOLD
    if not needs.rest_needed:
        return NOT_BY_NIGHTS.get(needs.trigger, Rests.NOT_NEEDED)
    if verdict is Verdict.NONE or rest is None or rest.met_years is None or not rest.of_years:
        return Rests.UNKNOWN
    if rest.met_years > MOST_YEARS * rest.of_years:
        return Rests.MET
    some = rest.met_years + (rest.partly_years or 0)
    return Rests.PARTLY if some > MOST_YEARS * rest.of_years else Rests.HARDLY


def flowers_of(verdict: Verdict, rest: RestFinding | RestOutlook | None, rests: Rests) -> Flowers:
    """Who comes in for the winter can be given in a room what the nights out do not bring."""
    plain = {
        Rests.NOT_NEEDED: Flowers.CAN,
        **dict.fromkeys(NOT_BY_NIGHTS.values(), Flowers.CAN),
        Rests.MET: Flowers.CAN,
        Rests.NOT_TOLD: Flowers.UNKNOWN,
        Rests.UNKNOWN: Flowers.UNKNOWN,
    }
    if rests in plain:
        return plain[rests]
    if rests is Rests.PARTLY:
        return Flowers.SHYLY
    room, indoors = (None, None) if rest is None else (rest.room, rest.nights_indoors)
    comes_in = verdict is not Verdict.ALL_YEAR and rest is not None
    if comes_in and room is not None and indoors is not None and indoors >= room.nights:
        dry = rest is not None and rest.trigger is Trigger.DROUGHT
        return Flowers.AFTER_DRY_REST if dry else Flowers.AFTER_COOL_ROOM
    return Flowers.HARDLY


def line_of(
    survives: Survives,
    verdict: Verdict,
    flowers: Flowers,
    rest: RestFinding | RestOutlook | None,
    *,
    indoors: bool,
) -> str:
    """Life and flowers in one line, with what is missing; `indoors` where the spot is in a room."""
    lives = {
        Verdict.ALL_YEAR: "lives here",
        Verdict.SEASONAL: "lives here for a season",
        Verdict.INDOOR: f"survives {'here' if indoors else 'outdoors'}, does not grow"
        if survives is Survives.ALL_YEAR
        else "does not live here"
        if indoors
        else "lives indoors only",
    }
    lack = {
        Missing.COLD: ": cold is missing",
        Missing.DRYNESS: ": dryness is missing",
        Missing.LENGTH: ": too few such nights",
    }
    missing, trigger = (None, None) if rest is None else (rest.missing, rest.trigger)
    why = "" if missing is None else lack[missing]
    season = "autumn" if trigger is Trigger.AUTUMN_NIGHTS else "winter"
    flowering = {
        Flowers.CAN: "nothing in its rest stands against flowers",
        Flowers.SHYLY: f"will flower shyly{why}",
        Flowers.AFTER_COOL_ROOM: f"will hardly flower without a cool room in {season}",
        Flowers.AFTER_DRY_REST: "will hardly flower unless kept dry in its winter indoors",
        Flowers.HARDLY: f"will hardly flower{why}",
        Flowers.UNKNOWN: "whether it flowers cannot be said",
    }
    if verdict is Verdict.NONE:
        return "cannot be said: too little of the record is known"
    return f"{lives[verdict]}, {flowering[flowers]}"


FloatArray = NDArray[np.float64]
BoolArray = NDArray[np.bool_]


def rest_need_of(needs: Needs) -> RestNeed | None:
    """
    The cold of a group's winter rest; None for one without a band or a number of nights.

    What of it, and of drought or autumn nights, its flowers hang on, `flower_need_of` says.
    """
    if needs.rest_low_c is None or needs.rest_high_c is None or needs.rest_nights is None:
        return None
    return RestNeed(
        low_c=needs.rest_low_c,
        high_c=needs.rest_high_c,
        nights=needs.rest_nights,
        partly_above_c=needs.rest_partly_above_c,
        cool_low_c=needs.rest_cool_low_c,
        cool_high_c=needs.rest_cool_high_c,
        cool_hours=needs.rest_cool_hours,
        cool_hours_partly=needs.rest_cool_hours_partly,
    )


def flower_need_of(needs: Needs) -> RestNeed | None:
    """What the flowers of a group hang on, or what helps; None where no nights can be counted."""
    autumn = needs.autumn_low_c, needs.autumn_high_c, needs.autumn_nights
    if needs.trigger is Trigger.AUTUMN_NIGHTS and None not in autumn:
        low_c, high_c, nights = (float(number or 0.0) for number in autumn)
        return RestNeed(low_c=low_c, high_c=high_c, nights=nights, in_autumn=True)
    winter = rest_need_of(needs)
    if winter is None and needs.rest_dry_nights is not None:  # a drought alone
        winter = RestNeed(low_c=-np.inf, high_c=np.inf, nights=needs.rest_dry_nights)
    if winter is None or needs.trigger is Trigger.AFTER_BLOOM:
        return None
    if needs.rest_dry_nights is not None:
        return replace(
            winter, drought_nights=needs.rest_dry_nights, cold_helps=needs.rest_cold_helps
        )
    helps = needs.rest_needed and needs.rest_dry_helps
    return replace(winter, must_be_dry=needs.rest_must_be_dry and not helps, dry_helps=helps)


def need_in_a_room(needs: Needs) -> RestNeed | None:
    """
    The same in a room, which is no colder than the one that the plant needs while it rests.

    Single nights outdoors may be colder and count; a room held there would add up to a dose.
    """
    need = flower_need_of(needs)
    if need is None or needs.rest_floor_c is None:
        return need
    return replace(need, low_c=max(need.low_c, needs.rest_floor_c))


def days_out(decision: Decision) -> BoolArray:
    """
    Days of the folded year whose nights a plant spends out by its own moves, (365).

    All of them for one that is carried in on a few nights only: these are too few to count.
    """
    days = np.zeros(DAYS, np.bool_)
    if decision.verdict is Verdict.ALL_YEAR or decision.nearly_all_year:
        return ~days
    if decision.verdict is Verdict.SEASONAL and decision.season is not None:
        days[: decision.season.nights] = True
        return turn(days, decision.season.start)
    return days


def rests_there(needs: Needs, decision: Decision, period: RestPeriod) -> bool:
    """
    Whether one that may not stand in a room all year may stand there while it rests.

    It lives there all year, and most years meet its rest.
    """
    need = need_in_a_room(needs) if needs.rest_needed and needs.rest_told else None
    away = decision.verdict is Verdict.INDOOR and decision.lives_all_year
    if need is None or not away or not period.in_a_room:
        return False
    years = years_told(judge_rest(period, need, np.ones(DAYS, np.bool_)))
    return years["met_years"] > MOST_YEARS * years["of_years"]


def days_resting(needs: Needs, decision: Decision, period: RestPeriod) -> BoolArray:
    """Days whose nights count for a rest, (365): those spent out, all where it rests in a room."""
    out = days_out(decision)
    return ~out if rests_there(needs, decision, period) else out


def days_met(decision: Decision) -> BoolArray:
    """The days spent out, or all days of a plant that spends none: what heat and air it meets."""
    days = days_out(decision)
    return days if days.any() else ~days


def lay_out_resting(
    nights: SpotNights, prcp_mm: FloatArray | None, local_start_hour: int, *, roofed: bool
) -> RestPeriod:
    """
    The period of rest at one spot, with the rain that reaches its pots.

    Parameters
    ----------
    nights
    prcp_mm : (hour), mm, or None
        Of the record that the nights were laid out from.
    local_start_hour : h
    roofed
        Rain is kept off.
    """
    dry = None if roofed or prcp_mm is None else dry_nights(prcp_mm, local_start_hour)
    return lay_out_rest(nights, dry)


def years_told(years: RestYears) -> dict[str, int]:
    """Years that met a rest, that met it partly, and of how many, as results name them."""
    state = years.state[years.counts]
    return {
        "met_years": int((state == RestState.MET).sum()),
        "partly_years": int((state == RestState.PARTLY).sum()),
        "of_years": int(state.size),
    }


def find_rest(
    needs: Needs, decision: Decision, period: RestPeriod, *, rain_unknown: bool
) -> RestFinding:
    """
    What the years did for the rest of one group at one spot.

    Parameters
    ----------
    period
        From `lay_out_resting`.
    rain_unknown
        Rain may reach the pot, and none is on record.

    Returns
    -------
    RestFinding
        Without counts for a group whose flowers do not hang on a rest, for a plant whose rest no
        name tells, and without a verdict.
    """
    need, in_a_room, trigger = flower_need_of(needs), need_in_a_room(needs), needs.trigger
    if not needs.rest_told:
        return RestFinding(needed=None)
    judged = decision.verdict is not Verdict.NONE
    if not needs.rest_needed or need is None or in_a_room is None or not judged:
        return RestFinding(needed=needs.rest_needed, trigger=trigger)
    out = days_resting(needs, decision, period)
    years, asked = judge_rest(period, need, out), period_of(period, need)
    usual, latest = completion(asked, years)
    return RestFinding(
        needed=True,
        trigger=trigger,
        **years_told(years),
        missing=missing_of(years),
        usual_date=usual,
        latest_date=latest,
        must_be_dry=need.wants_dry,
        if_kept_dry=need.wants_dry and (rain_unknown or kept_dry_by_hand(need, period)),
        nights_indoors=nights_indoors(asked, out),
        room=find_room(in_a_room),
    )


def missing_of(years: RestYears) -> Missing | None:
    """What most of the years that did not meet it lacked first; None where all met it."""
    lack = np.bincount(years.lack[years.counts], minlength=len(RestLack))
    lack[RestLack.NOTHING] = 0
    return MISSING[RestLack(int(np.argmax(lack)))] if lack.any() else None


def kept_dry_by_hand(need: RestNeed, period: RestPeriod) -> bool:
    """Whether a drought brings the flowers where no rain reaches the pot: who waters makes it."""
    return need.drought_nights is not None and period.dry is None


def find_dry_rest(needs: Needs, dry: Decision, period: RestPeriod) -> tuple[Verdict, RestFinding]:
    """
    The verdict with rain kept off, and what the years would have done for the rest then.

    Parameters
    ----------
    dry
        Of the same group with rain kept off.
    period
        From `lay_out_resting`.
    """
    return dry.verdict, find_rest(needs, dry, replace(period, dry=None), rain_unknown=False)


def find_room(need: RestNeed) -> RestRoom | None:
    """
    The room that brings flowers whatever the weather; None if no one temperature does.

    Parameters
    ----------
    need
        From `need_in_a_room`.
    """
    if need.drought_nights is not None and not need.cold_helps:
        return RestRoom(low_c=None, high_c=None, nights=int(np.ceil(need.drought_nights)))
    low_c, high_c = need.low_c, need.full_high_c
    if need.cool_hours is not None and need.cool_low_c is not None and need.cool_high_c is not None:
        low_c, high_c = max(low_c, need.cool_low_c), min(high_c, need.cool_high_c)
    nights = room_nights(need, low_c)
    if nights is None or low_c > high_c:
        return None
    return RestRoom(low_c=low_c, high_c=high_c, nights=nights)


def completion(period: RestPeriod, years: RestYears) -> tuple[str | None, str | None]:
    """
    The day of the year on which the rest is complete, in the median and the latest year.

    None in a room without a winter: the days of its year have no first.
    """
    if period.in_a_room and period.minimum_c.shape[1] == DAYS:
        return None, None
    days = np.sort(years.met_on[years.counts & ~np.isnan(years.met_on)])
    if days.size == 0:
        return None, None
    middle, last = int(days[days.size // 2]), int(days[-1])
    return month_day(period.first_day + middle), month_day(period.first_day + last)


def nights_indoors(period: RestPeriod, out: BoolArray) -> int:
    """Nights of the period that the plant spends indoors."""
    return int((~turn(out, -period.first_day)[: period.minimum_c.shape[1]]).sum())
