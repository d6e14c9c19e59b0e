"""
Protection: what would let a group stay out all year at a spot, and what holding a minimum takes.

Two goals are kept apart: to live (no unsafe night, with the promised probability) and to grow too
(the floor rule as well). For each there is a lift, a constant added to every hour, and a minimum
that a heater would have to hold.
"""

from __future__ import annotations

from functools import cache
from typing import TYPE_CHECKING

import numpy as np
from msgspec import Struct
from msgspec.structs import replace
from numpy.typing import NDArray

from suitability.advice import verdicts
from suitability.advice.at_spots import records_at_spots
from suitability.advice.preparing import build_cases, lay_out_spots, years_asked
from suitability.advice.reasons import explain
from suitability.advice.result import Credit, Reason
from suitability.advice.verdicts import FARTHEST_C, Standing, Verdict
from suitability.climate.chance import bad_year
from suitability.climate.days import local_hour
from suitability.spots.heating import heat_demand_w, held_after_outage, kwh_by_year
from suitability.spots.spot import End, Offset, Spot

if TYPE_CHECKING:
    from collections.abc import Callable

    from suitability.advice.cases import Case
    from suitability.advice.preparing import CheckOptions
    from suitability.groups.group import Needs
    from suitability.places import Place
    from suitability.weather.record import Record

__all__ = ["Heating", "Lift", "Measure", "Outage", "Protection", "plan_protection"]

FloatArray = NDArray[np.float64]
IntArray = NDArray[np.int64]

STEP_C = 0.5  # K, in which held minima are looked for
COLDEST_HELD_C, WARMEST_HELD_C = -5.0, 25.0
FLEECE_CLEAR_C = Offset(low=1.0, usual=2.0, high=3.0)  # K, common practice, no source
FLEECE_OTHER_C = Offset(low=1.0, usual=1.0, high=1.0)  # K, common practice, no source


class Lift(Struct, frozen=True, kw_only=True):
    """What one goal takes, °C: a constant added to all hours, and a held minimum; None: no way."""

    lift_c: float | None
    held_c: float | None


class Measure(Struct, frozen=True, kw_only=True):
    """A measure without electricity, with the verdict at the usual, colder and warmer end."""

    name: str
    verdict: Verdict
    low: Verdict
    high: Verdict
    lives: bool


class Heating(Struct, frozen=True, kw_only=True):
    """
    What holding a minimum takes.

    Attributes
    ----------
    held_c : °C
    loss_w_per_k
    watts : W
        For the coldest hour on record.
    watts_bad_year : W
        For the coldest hour of a year as one in ten is.
    kwh_typical, kwh_bad_year : kWh a year
        Median, and what one year in ten reaches; None with fewer than three whole years.
    years
        Whole plant years behind them, cut at mid-summer.
    cost_typical, cost_bad_year
        None without a price.
    """

    held_c: float
    loss_w_per_k: float
    watts: float
    watts_bad_year: float | None
    kwh_typical: float | None
    kwh_bad_year: float | None
    years: int
    cost_typical: float | None
    cost_bad_year: float | None


class Outage(Struct, frozen=True, kw_only=True):
    """A power cut of so many hours that begins at the worst hour on record."""

    hours: int
    lowest_c: float
    below_limit_c: float


class Protection(Struct, frozen=True, kw_only=True):
    """
    What would protect one group at one spot.

    `reason` says on what "all year" rests that nobody saw, and is None otherwise;
    `provisional` tells of a verdict from fewer than ten usable plant years, of which `years_usable`
    are the fewest that any answer rests on. `heating` and `outage` are for the minimum that lets
    the group live; None where nothing has to be held, none does, or the loss of the enclosure was
    not said.
    """

    spot: Spot
    group: str
    group_name: str
    place: Place
    promise: float
    verdict: Verdict
    lives: bool
    reason: Reason | None
    provisional: bool
    years_usable: int
    to_live: Lift
    to_grow: Lift
    measures: tuple[Measure, ...]
    heating: Heating | None
    heating_to_grow: Heating | None
    outage: Outage | None
    limit_c: float
    credit: Credit
    understood: tuple[str, ...] = ()


def plan_protection(
    record: Record,
    place: Place,
    spot: Spot,
    needs: Needs,
    options: CheckOptions,
    *,
    loss_w_per_k: float | None = None,
    price: float | None = None,
    outage_hours: int = 6,
) -> Protection:
    """
    What would protect a group at a spot outdoors.

    Parameters
    ----------
    record
        After the checks of quality.
    spot
        Without a room; a minimum that it holds already is left out of what is asked.
    loss_w_per_k
        What the enclosure loses; None: the spot's own, if its heater says it.
    price
        Of a kilowatt-hour.
    outage_hours : h

    Raises
    ------
    RecordError
        Nothing of the record lies in the years asked for.
    """
    used = years_asked(record, place, options)
    bare = replace(spot, held_minimum_c=None, heater=None)

    def case_of(changed: Spot, end: End = End.USUAL) -> Case:
        at_spots = records_at_spots(used, place, [changed], end)
        (nights,) = lay_out_spots(used, place, [changed], [needs], options, at_spots=at_spots)
        return build_cases(nights, [needs], options.rules)[0]

    case = case_of(bare)

    @cache
    def stands(changed: Spot, end: End = End.USUAL) -> _Stands:
        as_it_is = changed == bare and end is End.USUAL
        tried = Standing(case if as_it_is else case_of(changed, end))
        return _Stands(verdict=tried.verdict(), lives=tried.lives_all_year(options.rules.promise))

    decision = verdicts.decide(case)
    judged = decision.verdict is not Verdict.NONE
    usable = decision.all_year_usable  # of which both goals are told
    if judged:
        usable = min(usable, decision.years_usable)
    to_live = Lift(
        lift_c=_least_lift(case, _lives), held_c=_least_held(bare, lambda spot: stands(spot).lives)
    )
    to_grow = Lift(
        lift_c=_least_lift(case, _grows), held_c=_least_held(bare, lambda spot: stands(spot).grows)
    )
    loss = loss_w_per_k
    if loss is None and spot.heater is not None:
        loss = spot.heater.loss_w_per_k
    (unheated,) = records_at_spots(used, place, [bare])
    limit_c = needs.limit_c if spot.roofed else needs.limit_wet_c  # rain may have reached the pot
    start = local_hour(used.start_hour, place.utc_offset_hours)
    years = _heating_years(start, unheated.temp_c.size, case.nights.summer)

    def heating(held_c: float | None) -> Heating | None:
        if held_c is None or loss is None:
            return None
        return _heating(unheated.temp_c, years, held_c, loss, price)

    return Protection(
        spot=spot,
        group=needs.key,
        group_name=needs.name,
        place=place,
        promise=options.rules.promise,
        verdict=decision.verdict,
        lives=_lives(case, 0.0),
        reason=explain(case, decision) if decision.verdict is Verdict.ALL_YEAR else None,
        provisional=judged and usable < options.rules.fewest_for_sure,
        years_usable=usable,
        to_live=to_live,
        to_grow=to_grow,
        measures=tuple(_measures(bare, stands)),
        heating=heating(to_live.held_c),
        heating_to_grow=heating(to_grow.held_c),
        credit=Credit.of(record),
        outage=_outage(bare, unheated.temp_c, to_live.held_c, limit_c, outage_hours),
        limit_c=limit_c,
        understood=options.understood,
    )


class _Stands(Struct, frozen=True, kw_only=True):
    """How a group stands at a spot: the verdict, and whether it lives all year, growing or not."""

    verdict: Verdict
    lives: bool

    @property
    def grows(self) -> bool:
        """Whether the verdict is "all year"."""
        return self.verdict is Verdict.ALL_YEAR


def _lives(case: Case, warmer_c: float = 0.0) -> bool:
    """Whether a whole year free of unsafe nights is promised and no night was fatal."""
    return Standing(case, warmer_c).lives_all_year(case.rules.promise)


def _grows(case: Case, warmer_c: float = 0.0) -> bool:
    """Whether the verdict is "all year"."""
    return verdicts.reaches(case, Verdict.ALL_YEAR, warmer_c)


def _least_lift(case: Case, reached: Callable[[Case, float], bool]) -> float | None:
    """Least constant in tenths, up to 15 °C, that reaches a goal; with more, heat may end it."""
    halves = np.arange(0.0, FARTHEST_C + STEP_C, STEP_C)
    first: float | None = next((half for half in halves.tolist() if reached(case, half)), None)
    if first is None or first == 0.0:
        return first
    tenths = [round(first - STEP_C + tenth / 10.0, 1) for tenth in range(1, 5)]
    return next((lift for lift in tenths if reached(case, lift)), first)


def _least_held(bare: Spot, reached: Callable[[Spot], bool]) -> float | None:
    """Least held minimum in half degrees that reaches a goal; None where none does."""

    def at(step: int) -> bool:
        held = COLDEST_HELD_C + step * STEP_C
        return reached(replace(bare, held_minimum_c=held))

    if reached(bare):
        return None  # nothing has to be held
    low, high = 0, round((WARMEST_HELD_C - COLDEST_HELD_C) / STEP_C)
    if not at(high):
        return None
    while high - low > 1:
        middle = (low + high) // 2
        low, high = (low, middle) if at(middle) else (middle, high)
    return COLDEST_HELD_C + high * STEP_C


def _measures(bare: Spot, stands: Callable[[Spot, End], _Stands]) -> list[Measure]:
    """Measures without electricity, each by itself, then together."""
    fleeced = replace(
        bare,
        clear_night_c=_added(bare.clear_night_c, FLEECE_CLEAR_C),
        other_night_c=_added(bare.other_night_c, FLEECE_OTHER_C),
    )
    tried: list[tuple[str, Spot]] = [("fleece over the plants at night", fleeced)]
    if not bare.roofed:
        tried.insert(0, ("a roof that keeps rain off", replace(bare, roofed=True)))
        tried.append(("fleece and a roof", replace(fleeced, roofed=True)))
    found = []
    for name, spot in tried:
        at = {end: stands(spot, end) for end in End}
        found.append(
            Measure(
                name=name,
                verdict=at[End.USUAL].verdict,
                low=at[End.LOW].verdict,
                high=at[End.HIGH].verdict,
                lives=at[End.LOW].lives,
            )
        )
    return found


def _added(first: Offset, second: Offset) -> Offset:
    return Offset(
        low=first.low + second.low,
        usual=first.usual + second.usual,
        high=first.high + second.high,
    )


def _heating_years(local_start: int, hours: int, cut_day: int) -> IntArray:
    """Running number of each hour's year, cut at a day of the year, (hour)."""
    time = (local_start + np.arange(hours)).astype("datetime64[h]")
    year = time.astype("datetime64[Y]")
    day = (time.astype("datetime64[D]") - year.astype("datetime64[D]")).astype(np.int64)
    number = year.astype(np.int64) - (day < cut_day)
    running: IntArray = number - number.min()
    return running


def _heating(
    unheated_c: FloatArray, years: IntArray, held_c: float, loss: float, price: float | None
) -> Heating:
    demand = heat_demand_w(unheated_c, held_c, loss)
    kwh = kwh_by_year(demand, years)
    kwh = kwh[~np.isnan(kwh)]
    peaks = np.zeros(int(years.max()) + 1)
    np.maximum.at(peaks, years, np.nan_to_num(demand))
    enough = kwh.size >= 3
    typical = float(np.median(kwh)) if enough else None
    bad = float(bad_year(kwh)) if enough else None

    def cost(energy: float | None) -> float | None:
        return None if price is None or energy is None else energy * price

    return Heating(
        held_c=held_c,
        loss_w_per_k=loss,
        watts=float(np.nanmax(demand)),
        watts_bad_year=float(bad_year(peaks)) if enough else None,
        kwh_typical=typical,
        kwh_bad_year=bad,
        years=int(kwh.size),
        cost_typical=cost(typical),
        cost_bad_year=cost(bad),
    )


def _outage(
    bare: Spot, unheated_c: FloatArray, held_c: float | None, limit_c: float, hours: int
) -> Outage | None:
    """The worst power cut on record; None where nothing is held or nothing is known."""
    if held_c is None or hours < 1:
        return None
    fallen = held_after_outage(unheated_c, held_c, hours, bare.damping_hours)
    if np.isnan(fallen).all():
        return None
    lowest = float(np.nanmin(fallen))
    return Outage(hours=hours, lowest_c=lowest, below_limit_c=max(0.0, limit_c - lowest))
