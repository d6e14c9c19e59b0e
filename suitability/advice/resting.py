"""The rest of a group by its own days out, and whether it stands against flowers."""

from __future__ import annotations

import numpy as np
from msgspec.structs import replace
from numpy.typing import NDArray

from suitability.advice.cases import Case
from suitability.advice.plant_year import RestOutlook
from suitability.advice.result import RestFinding
from suitability.advice.terms import Flowers, RestRoom, Rests, Survives
from suitability.advice.verdicts import Decision, Verdict
from suitability.climate.days import DAYS, month_day, turn
from suitability.climate.rest import (
    RestNeed,
    RestPeriod,
    RestState,
    RestYears,
    dry_nights,
    judge_rest,
    lay_out_rest,
    room_nights,
)
from suitability.climate.states import SpotNights
from suitability.groups.group import Needs

__all__ = [
    "MOST_YEARS",
    "completion",
    "days_met",
    "days_out",
    "find_dry_rest",
    "find_rest",
    "find_room",
    "flowers_of",
    "lay_out_resting",
    "line_of",
    "nights_indoors",
    "rest_need_of",
    "rests_of",
    "survives_of",
]

MOST_YEARS = 0.5  # more than this share of years is "most"; reasoned


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
        return Rests.NOT_NEEDED
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
        Rests.MET: Flowers.CAN,
        Rests.NOT_TOLD: Flowers.UNKNOWN,
        Rests.UNKNOWN: Flowers.UNKNOWN,
    }
    if rests in plain:
        return plain[rests]
    comes_in = verdict is not Verdict.ALL_YEAR
    room = None if rest is None else rest.room
    if comes_in and rest is not None and room is not None:
        indoors = rest.nights_indoors
        if indoors is not None and indoors >= room.nights:
            return Flowers.AFTER_COOL_ROOM
    return Flowers.SHYLY if rests is Rests.PARTLY else Flowers.HARDLY


def line_of(survives: Survives, verdict: Verdict, flowers: Flowers) -> str:
    """Life and flowers in one line."""
    lives = {
        Verdict.ALL_YEAR: "lives here",
        Verdict.SEASONAL: "lives here for a season",
        Verdict.INDOOR: "survives outdoors, does not grow"
        if survives is Survives.ALL_YEAR
        else "lives indoors only",
    }
    flowering = {
        Flowers.CAN: "nothing in its rest stands against flowers",
        Flowers.SHYLY: "will flower shyly",
        Flowers.AFTER_COOL_ROOM: "will hardly flower without a cool room in winter",
        Flowers.HARDLY: "will hardly flower",
        Flowers.UNKNOWN: "whether it flowers cannot be said",
    }
    if verdict is Verdict.NONE:
        return "cannot be said: too little of the record is known"
    return f"{lives[verdict]}, {flowering[flowers]}"


FloatArray = NDArray[np.float64]
BoolArray = NDArray[np.bool_]


def rest_need_of(needs: Needs) -> RestNeed | None:
    """How much cold a group's rest takes; None for one without a band or a number of nights."""
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
        must_be_dry=needs.rest_must_be_dry,
    )


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
    need = rest_need_of(needs)
    if not needs.rest_told:
        return RestFinding(needed=None)
    if not needs.rest_needed or need is None or decision.verdict is Verdict.NONE:
        return RestFinding(needed=needs.rest_needed)
    out = days_out(decision)
    years = judge_rest(period, need, out)
    state = years.state[years.counts]
    usual, latest = completion(period, years)
    return RestFinding(
        needed=True,
        met_years=int((state == RestState.MET).sum()),
        partly_years=int((state == RestState.PARTLY).sum()),
        of_years=int(state.size),
        usual_date=usual,
        latest_date=latest,
        if_kept_dry=need.must_be_dry and rain_unknown,
        nights_indoors=nights_indoors(period, out),
        room=find_room(need),
    )


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
    """The room that meets a rest whatever the weather; None if no one temperature does."""
    low_c, high_c = need.low_c, need.full_high_c
    if need.cool_hours is not None and need.cool_low_c is not None and need.cool_high_c is not None:
        low_c, high_c = max(low_c, need.cool_low_c), min(high_c, need.cool_high_c)
    nights = room_nights(need, low_c)
    if nights is None or low_c > high_c:
        return None
    return RestRoom(low_c=low_c, high_c=high_c, nights=nights)


def completion(period: RestPeriod, years: RestYears) -> tuple[str | None, str | None]:
    """The day of the year on which the rest is complete, in the median and the latest year."""
    days = np.sort(years.met_on[years.counts & ~np.isnan(years.met_on)])
    if days.size == 0:
        return None, None
    middle, last = int(days[days.size // 2]), int(days[-1])
    return month_day(period.first_day + middle), month_day(period.first_day + last)


def nights_indoors(period: RestPeriod, out: BoolArray) -> int:
    """Nights of the period that the plant spends indoors."""
    return int((~turn(out, -period.first_day)[: period.minimum_c.shape[1]]).sum())
