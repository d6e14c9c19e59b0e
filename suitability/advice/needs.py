"""
What a group's year is like here: whether it survives, grows, rests and flowers.

One minimum per plant is the label's mistake: a place can hold a thousand hours below a group's
growth floor and bring it to flower by them, or keep it alive for ever without the coolness that
makes it flower. Each of the four words has its own rule, and none of them promises anything.
"""

from __future__ import annotations

from typing import TYPE_CHECKING

import numpy as np
from numpy.typing import NDArray

from suitability.advice.at_spots import with_humidity
from suitability.advice.flowering import flowers_of, line_of, rests_of, survives_of
from suitability.advice.heat_and_air import find_dry_air, find_heat, lay_out_spot_year
from suitability.advice.plant_year import PlantYear, RestOfYear, RestOutlook, RoomAnswer
from suitability.advice.plant_year import RestState as RestStateWord
from suitability.advice.preparing import lay_out
from suitability.advice.resting import completion, days_out, find_room, nights_indoors, rest_need_of
from suitability.advice.terms import Grows
from suitability.advice.verdicts import Decision, Verdict
from suitability.climate.days import month_day
from suitability.climate.rest import RestState, judge_rest, room_nights, room_state

if TYPE_CHECKING:
    from collections.abc import Sequence

    from suitability.advice.cases import Case
    from suitability.advice.heat_and_air import SpotYear
    from suitability.advice.preparing import CheckOptions, LaidOut
    from suitability.climate.rest import RestNeed, RestPeriod, RestYears
    from suitability.groups.group import Needs
    from suitability.places import Place
    from suitability.spots.spot import Spot
    from suitability.weather.record import Record

__all__ = ["judge_needs", "judge_plant_year"]

BoolArray = NDArray[np.bool_]

STATES: dict[RestState, RestStateWord] = {
    RestState.MET: "met",
    RestState.PARTLY: "partly",
    RestState.NOT: "not",
}
ROOMS_C = (8.0, 10.0, 13.0, 15.0, 18.0)  # °C, rooms asked about unless others are


def judge_needs(
    record: Record,
    place: Place,
    spots: Sequence[Spot],
    groups: Sequence[Needs],
    options: CheckOptions,
    *,
    rooms_c: Sequence[float] = ROOMS_C,
    laid_out: LaidOut | None = None,
) -> tuple[PlantYear, ...]:
    """
    The year of each group at each spot.

    Parameters
    ----------
    record
        After the checks of quality.
    groups
        At least one.
    rooms_c : °C
        Rooms in which the rest may be spent.
    laid_out
        From `lay_out` of the same, where other questions share it.

    Raises
    ------
    RecordError
        Nothing of the record lies in the years asked for.
    """
    laid_out = laid_out or lay_out(record, place, spots, groups, options)
    used = laid_out.used
    years: list[PlantYear] = []
    for laid in laid_out.spots:
        here = used if laid.spot.is_as_outside else with_humidity(used, laid.record)
        year = lay_out_spot_year(laid.spot, laid.nights, here, place)
        years += [
            judge_plant_year(needs, case, decision, year, rooms_c)
            for needs, case, decision in zip(groups, laid.cases, laid.decisions, strict=True)
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
    rest = _rest(needs, out, year, rooms_c) if judged else None
    usable = case.observed.winter_usable
    survives, grows = survives_of(case, decision), _grows(decision)
    rests = rests_of(decision.verdict, rest, needs)
    flowers = flowers_of(decision.verdict, rest, rests)
    return PlantYear(
        spot=year.spot,
        group=needs.key,
        group_name=needs.name,
        survives=survives,
        grows=grows,
        rests=rests,
        flowers=flowers,
        line=line_of(survives, decision.verdict, flowers),
        rest=rest,
        heat=find_heat(needs, usable, out, year),
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
    need = rest_need_of(needs)
    if need is None or not needs.rest_told:
        return None
    period = year.period
    years = judge_rest(period, need, out)
    state = years.state[years.counts]
    usual, latest = completion(period, years)
    indoors, whole = nights_indoors(period, out), period.minimum_c.shape[1]
    room = find_room(need)
    left_usual, left_most = _nights_left(need, years) if room is not None else (None, None)
    return RestOutlook(
        needed=needs.rest_needed,
        met_years=int((state == RestState.MET).sum()),
        partly_years=int((state == RestState.PARTLY).sum()),
        of_years=int(state.size),
        usual_date=usual,
        latest_date=latest,
        rain=year.rain,
        must_be_dry=need.must_be_dry,
        by_year=_by_year(need, period, years),
        nights_indoors=indoors,
        room=room,
        rooms=tuple(
            RoomAnswer(
                room_c=room_c,
                nights=room_nights(need, room_c),
                state=STATES[room_state(need, room_c, indoors or whole)],
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
        )
        for row in np.flatnonzero(years.counts).tolist()
    )


def _nights_left(need: RestNeed, years: RestYears) -> tuple[int | None, int | None]:
    """Nights that a fitting room must still add, in the median and the worst year."""
    if not years.counts.any():
        return None, None
    left = np.ceil(np.maximum(need.nights - years.nights[years.counts], 0.0))
    if need.cool_hours is not None:
        hours = np.maximum(need.cool_hours - years.cool_hours[years.counts], 0.0)
        left = np.maximum(left, np.ceil(hours / 24.0))
    left = np.sort(left)
    return int(left[left.size // 2]), int(left[-1])
