"""
Protection: what would let a group stay out all year at a spot, and what holding a minimum takes.

Two goals are kept apart: to live (no unsafe night, with the promised probability) and to grow too
(the floor rule as well). For each there is a lift, a constant added to every hour, and a minimum
that a heater would have to hold, both at the colder end of what is known of the spot. Watts and
energy are a range, from the usual numbers to the safe side: the colder end, the high end of U and
of leaking air, and hours as much colder than those read as hourly readings miss.
"""

from collections.abc import Callable
from functools import cache
from typing import Annotated, Literal

import numpy as np
from msgspec import Meta, Struct
from msgspec.structs import replace
from numpy.typing import NDArray

from suitability.advice import verdicts
from suitability.advice.cases import Case
from suitability.advice.measuring import measured_notes
from suitability.advice.preparing import (
    CheckOptions,
    build_cases,
    lay_out_spots,
    records_at_spots,
    years_asked,
)
from suitability.advice.question import Question
from suitability.advice.reasons import explain
from suitability.advice.result import Credit, Reason, SpotEnds
from suitability.advice.terms import UnseenNights, Verdict
from suitability.advice.verdicts import FARTHEST_C, Standing
from suitability.climate.chance import bad_year
from suitability.climate.days import local_hour
from suitability.errors import OptionError
from suitability.groups.group import Needs
from suitability.places import Place
from suitability.quantities import (
    SCHEMA_VERSION,
    Celsius,
    Count,
    Gap,
    KilowattHours,
    MeanCelsius,
    Promise,
    Result,
    SchemaVersion,
    Watts,
)
from suitability.spots.heating import Loss, heat_demand_w, held_after_outage, kwh_by_year
from suitability.spots.spot import End, Offset, Spot
from suitability.weather.record import Record

FloatArray = NDArray[np.float64]
IntArray = NDArray[np.int64]

Cost = Annotated[
    float, Meta(ge=0, extra={"decimals": 3}, extra_json_schema={"unit": "of the price"})
]
HeaterWord = Literal["enough", "perhaps", "too weak"]
STEP_C = 0.5  # K, in which held minima are looked for
COLDEST_HELD_C, WARMEST_HELD_C = -5.0, 25.0
# K, common practice; one grower found 1 to 2 on clear nights, so that nothing is promised of it.
FLEECE_CLEAR_C = Offset(low=0.0, usual=1.5, high=3.0)
FLEECE_OTHER_C = Offset(low=0.0, usual=0.5, high=1.0)
HEATING_CAUTIONS = (
    (
        "Electric heating outdoors or in damp only on a fixed, weather-rated supply with a "
        "residual-current device, clear of drips, spray and standing water; an extension lead is "
        "not a permanent feed."
    ),
    (
        "No heater with a flame in a room or an enclosed porch; elsewhere only with a flue or "
        "large vents and a carbon monoxide alarm. Its fumes also make buds drop."
    ),
    "Keep heaters off fleece and plastic.",
    "Local codes come first: have the supply and the heater put in by a licensed electrician.",
)


class Lift(Result, frozen=True, kw_only=True):
    """What one goal takes at the colder end of the spot; null where no way reaches it."""

    lift_c: Annotated[
        Gap | None,
        Meta(description="Least constant that all hours have to be warmer by."),
    ]
    held_c: Annotated[
        Celsius | None,
        Meta(description="Least minimum that has to be held; null too where none has."),
    ]


class Measure(Result, frozen=True, kw_only=True):
    """A measure without electricity."""

    name: str
    verdict: Annotated[Verdict, Meta(description="With it, at the usual numbers of the spot.")]
    spot_ends: SpotEnds
    lives: Annotated[bool, Meta(description="It is enough to live, at the colder end too.")]


class Heating(Result, frozen=True, kw_only=True):
    """
    What holding a minimum takes; null where fewer than three whole years tell.

    Each number stands twice: with the usual numbers of spot and enclosure, and `_high`, on the safe
    side of all of them.
    """

    held_c: Annotated[Celsius, Meta(description="The minimum that is held.")]
    watts: Annotated[
        Watts,
        Meta(description="For the coldest hour on record, lowered by what hourly readings miss."),
    ]
    watts_high: Annotated[Watts, Meta(description="The same on the safe side.")]
    kwh_typical: Annotated[KilowattHours | None, Meta(description="A year, in the median.")]
    kwh_typical_high: Annotated[KilowattHours | None, Meta(description="On the safe side.")]
    kwh_bad_year: Annotated[
        KilowattHours | None, Meta(description="A year; one year in ten reaches it.")
    ]
    kwh_bad_year_high: Annotated[KilowattHours | None, Meta(description="On the safe side.")]
    years: Annotated[Count, Meta(description="Whole plant years behind it, cut at mid-summer.")]
    cost_typical: Annotated[
        Cost | None, Meta(description="A year, in the median; null without a price.")
    ]
    cost_bad_year_high: Annotated[
        Cost | None,
        Meta(description="One year in ten, on the safe side; null without a price."),
    ]
    heater: Annotated[
        HeaterWord | None,
        Meta(
            description='The heater of the collection: "enough" on the safe side, "perhaps" '
            'between the two, "too weak" for the usual numbers; null where none is named.'
        ),
    ]


class Outage(Result, frozen=True, kw_only=True):
    """A power cut that begins at the worst hour on record."""

    hours: Annotated[int, Meta(ge=1, description="That it lasts.", extra_json_schema={"unit": "h"})]
    lowest_c: Annotated[MeanCelsius, Meta(description="To which it would fall.")]
    below_limit_c: Annotated[Gap, Meta(description="How far the lowest is below limit_c.")]


class Protection(Result, frozen=True, kw_only=True):
    """What would protect one group at one spot."""

    schema_version: SchemaVersion = SCHEMA_VERSION
    place: Place
    spot: Spot
    group: Annotated[str, Meta(description="Key of the group.")]
    group_name: str
    promise: Promise
    understood: Annotated[
        tuple[str, ...],
        Meta(description="What names were taken for, and when it was measured, in sentences."),
    ] = ()
    verdict: Annotated[Verdict, Meta(description="Of the spot without its heating.")]
    lives: Annotated[bool, Meta(description="It lives out all year there, whether it grows.")]
    lives_for_sure: Annotated[bool, Meta(description="Also at the colder end of the spot.")]
    grows_for_sure: Annotated[
        bool, Meta(description='At the colder end of the spot too the verdict is "all year".')
    ]
    reason: Annotated[
        Reason | None,
        Meta(description='On what "all year" rests that nobody saw; null otherwise.'),
    ]
    unseen_nights: UnseenNights
    provisional: Annotated[
        bool, Meta(description="The verdict rests on fewer than ten usable plant years.")
    ]
    years_usable: Annotated[
        Count, Meta(description="Fewest plant years that any answer here rests on.")
    ]
    to_live: Annotated[
        Lift, Meta(description="For no unsafe night all year, with the promised probability.")
    ]
    to_grow: Annotated[Lift, Meta(description='For the verdict "all year": it grows too.')]
    measures: tuple[Measure, ...]
    loss: Annotated[
        Loss | None, Meta(description="Of the enclosure; null where nobody said anything of it.")
    ]
    heating: Annotated[
        Heating | None,
        Meta(
            description="To hold to_live.held_c; null where none has to be held, none does, or "
            "the loss of the enclosure was not said."
        ),
    ]
    heating_to_grow: Annotated[
        Heating | None, Meta(description="To hold to_grow.held_c; null likewise.")
    ]
    outage: Annotated[
        Outage | None, Meta(description="While to_live.held_c is held; null where none is.")
    ]
    limit_c: Annotated[
        Celsius,
        Meta(description="One night below it harms; the wet limit where rain may reach the pot."),
    ]
    cautions: Annotated[
        tuple[str, ...], Meta(description="Of heating, wherever a heater is spoken of.")
    ]
    credit: Credit


def protect(
    question: Question,
    *,
    loss: Loss | None = None,
    price: float | None = None,
    outage_hours: int = 6,
) -> Protection:
    """
    What would let a group stay out all year at a spot, and what heating takes.

    Parameters
    ----------
    question
        From `ask`, of one group and one spot outdoors.
    loss
        What the enclosure loses; None: the spot's own, if its heater says it.
    price
        Of a kilowatt-hour, in any currency; None: no cost is told.
    outage_hours : h
        Length of a power cut.

    Raises
    ------
    OptionError
        The question is not of one group and one spot, or the spot is a room.
    RecordError
        Nothing of the record lies in the years asked for.
    """
    if len(question.spots) != 1 or len(question.subjects.asked) != 1:
        raise OptionError("protection is for one group at one spot: ask once for each.")
    if question.spots[0].room is not None:
        raise OptionError("--spot: a room needs no protection from the weather; name one outdoors.")
    return plan_protection(
        question.record,
        question.place,
        question.spots[0],
        question.subjects.asked[0].needs()[0],
        question.options,
        loss=loss,
        price=price,
        outage_hours=outage_hours,
    )


def plan_protection(
    record: Record,
    place: Place,
    spot: Spot,
    needs: Needs,
    options: CheckOptions,
    *,
    loss: Loss | None = None,
    price: float | None = None,
    outage_hours: int = 6,
) -> Protection:
    """
    What would protect a group at a spot without a room; settings and errors as of `protect`.

    A minimum that the spot holds already is left out of what is asked.
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
    sure = stands(bare, End.LOW)
    at_coldest = case_of(bare, End.LOW)
    to_live = Lift(
        lift_c=_least_lift(at_coldest, _lives),
        held_c=_least_held(bare, lambda spot: stands(spot, End.LOW).lives),
    )
    to_grow = Lift(
        lift_c=_least_lift(at_coldest, _grows),
        held_c=_least_held(bare, lambda spot: stands(spot, End.LOW).grows),
    )
    if loss is None and spot.heater is not None:
        loss = Loss.whole(spot.heater.loss_w_per_k)
    colder, unheated = (
        records_at_spots(used, place, [bare], end)[0].temp_c for end in (End.LOW, End.USUAL)
    )
    limit_c = needs.limit_c if spot.roofed else needs.limit_wet_c  # rain may have reached the pot
    start = local_hour(used.start_hour, place.utc_offset_hours)
    years = _heating_years(start, unheated.size, case.nights.summer)

    # Cautions stand wherever a heater is spoken of, or stands there already.
    heated = any(
        one is not None
        for one in (spot.heater, spot.held_minimum_c, to_live.held_c, to_grow.held_c)
    )

    def heating(held_c: float | None) -> Heating | None:
        if held_c is None or loss is None:
            return None
        missed_c = options.minimum_allowance_c
        usual, high = (
            _demand(hours, years, held_c, w_per_k, missed_c)
            for hours, w_per_k in ((unheated, loss.w_per_k), (colder, loss.high_w_per_k))
        )
        given = None if spot.heater is None else spot.heater.watts
        return _heating(held_c, usual, high, price, given)

    return Protection(
        spot=spot,
        group=needs.key,
        group_name=needs.name,
        place=place,
        promise=options.rules.promise,
        verdict=decision.verdict,
        lives=_lives(case, 0.0),
        lives_for_sure=sure.lives,
        grows_for_sure=sure.grows,
        loss=loss,
        reason=explain(case, decision) if decision.verdict is Verdict.ALL_YEAR else None,
        unseen_nights=decision.unseen.nights,
        provisional=judged and usable < options.rules.fewest_for_sure,
        years_usable=usable,
        to_live=to_live,
        to_grow=to_grow,
        measures=tuple(_measures(bare, stands)),
        heating=heating(to_live.held_c),
        heating_to_grow=heating(to_grow.held_c),
        credit=Credit.of(record),
        outage=_outage(bare, colder, to_live.held_c, limit_c, outage_hours),
        limit_c=limit_c,
        cautions=HEATING_CAUTIONS if heated else (),
        understood=(*options.understood, *measured_notes([spot])),
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
    """Whether a whole year free of unsafe nights is promised, and no night far below the limit."""
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
    clear, other, _ = bare.offsets_c
    fleeced = replace(
        bare,
        clear_night_c=_added(clear, FLEECE_CLEAR_C),
        other_night_c=_added(other, FLEECE_OTHER_C),
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
                spot_ends=SpotEnds(low=at[End.LOW].verdict, high=at[End.HIGH].verdict),
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


class _Demand(Struct, frozen=True, kw_only=True):
    """Watts of the coldest hour; kWh of a typical and of a bad year, None with too few years."""

    watts: float
    typical_kwh: float | None
    bad_kwh: float | None
    years: int


def _demand(
    unheated_c: FloatArray, years: IntArray, held_c: float, loss: float, missed_c: float
) -> _Demand:
    """What holding a minimum takes; the coldest hour was colder than was read."""
    demand = heat_demand_w(unheated_c, held_c, loss)
    kwh = kwh_by_year(demand, years)
    kwh = kwh[~np.isnan(kwh)]
    enough = kwh.size >= 3
    return _Demand(
        watts=max(0.0, held_c + missed_c - float(np.nanmin(unheated_c))) * loss,
        typical_kwh=float(np.median(kwh)) if enough else None,
        bad_kwh=float(bad_year(kwh)) if enough else None,
        years=int(kwh.size),
    )


def _heating(
    held_c: float, usual: _Demand, high: _Demand, price: float | None, given: float | None
) -> Heating:
    """The range of demand, its cost, and the watts that the collection's heater gives."""

    def cost(kwh: float | None) -> float | None:
        return None if price is None or kwh is None else kwh * price

    heater: HeaterWord | None = None
    if given is not None:
        heater = "perhaps" if given >= usual.watts else "too weak"
        heater = "enough" if given >= high.watts else heater
    return Heating(
        held_c=held_c,
        watts=usual.watts,
        watts_high=high.watts,
        kwh_typical=usual.typical_kwh,
        kwh_typical_high=high.typical_kwh,
        kwh_bad_year=usual.bad_kwh,
        kwh_bad_year_high=high.bad_kwh,
        years=usual.years,
        cost_typical=cost(usual.typical_kwh),
        cost_bad_year_high=cost(high.bad_kwh),
        heater=heater,
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
