"""From a record and groups to cases ready to be judged: what every question about a place shares.

What does not depend on the plant (the record at each spot, nights, cold by level, coverage) is
worked out once a spot, and each case is decided once.
"""

from __future__ import annotations

import math
from collections.abc import Iterable, Sequence
from datetime import UTC, datetime

import numpy as np
from msgspec import Struct
from msgspec.structs import replace
from numpy.typing import NDArray

from suitability.advice import verdicts
from suitability.advice.cases import Case, Rules, build_case, kept_dry
from suitability.advice.measuring import end_on_days
from suitability.advice.result import Period, RecordSummary, Settings
from suitability.advice.terms import Verdict
from suitability.advice.verdicts import FARTHEST_C, Decision
from suitability.climate.days import DAYS, fold_axis, local_hour, position_of
from suitability.climate.enclosure import (
    damp,
    hold_minimum,
    kinds_of_nights,
    near_window,
    shift_by_night,
)
from suitability.climate.humidity import humidity_when_warmed
from suitability.climate.observing import observe
from suitability.climate.past_years import FARTHEST_NEIGHBOUR_C
from suitability.climate.shortfall_tables import SpotTables
from suitability.climate.states import (
    SpotNights,
    Thresholds,
    lay_out_air,
    lay_out_nights,
    wet_hours,
)
from suitability.groups.group import Needs
from suitability.places import Place
from suitability.spots.spot import End, Spot
from suitability.weather.record import (
    Origin,
    OriginHours,
    Record,
    clip_record,
    datetime_of_hour,
    fill_short_gaps,
    hour_of_datetime,
)

FloatArray = NDArray[np.float64]
IntArray = NDArray[np.int64]

DEGREES_AN_HOUR = 15.0  # of longitude, by which mean solar time runs ahead
DECIMALS = 1  # of hours at a spot


def records_at_spots(
    used: Record, place: Place, spots: Sequence[Spot], end: End = End.USUAL
) -> list[Record]:
    """
    The record at each spot, its short gaps filled.

    Humidity is left out where the temperature is changed; `with_humidity` brings it back.

    Parameters
    ----------
    used
        From `years_asked`.
    end
        Which end of the spots' ranges is taken.
    """
    return records_at(used, place, [(spot, end) for spot in spots])


def records_at_ends(used: Record, place: Place, spot: Spot) -> dict[End, Record]:
    """The record at one spot, at each end of its range; see `records_at_spots`."""
    return dict(zip(End, records_at(used, place, [(spot, end) for end in End]), strict=True))


def records_at(
    used: Record,
    place: Place,
    asked: Sequence[tuple[Spot, End]],
    *,
    weather: Record | None = None,
) -> list[Record]:
    """
    The record at each spot and end asked for; what they share is worked out once.

    Parameters
    ----------
    weather
        Of the same hours, which tells the nights that are clear; None: the record.
    """
    filled = fill_short_gaps(used)
    sky = filled if weather is None else fill_short_gaps(weather)
    start = local_hour(used.start_hour, place.utc_offset_hours)
    solar = used.start_hour + place.longitude / DEGREES_AN_HOUR
    blended = any(_is_shifted(spot) for spot, _ in asked)
    kinds = kinds_of_nights(sky.temp_c, start) if blended else np.empty(0, np.int64)

    def at(spot: Spot, end: End) -> Record:
        if spot.is_as_outside:
            return filled
        temp_c = _hours_at(spot, end, filled.temp_c, kinds=kinds, start=start, solar=solar)
        told_c = filled.lost_minimum_c
        if told_c is not None:  # of single hours: a lag would only make them warmer
            bare = replace(spot, damping_hours=0.0)
            told_c = _hours_at(bare, end, told_c, kinds=kinds, start=start, solar=solar)
        return replace(filled, temp_c=temp_c, rhum_pct=None, lost_minimum_c=told_c)

    return [at(spot, end) for spot, end in asked]


def with_humidity(used: Record, at_spot: Record) -> Record:
    """
    The record at a spot with the relative humidity that the outside air has at its temperature.

    The air holds the same vapour; where it would hold more than it can, it is saturated.

    Parameters
    ----------
    used
        What `at_spot` was made from.
    """
    if used.rhum_pct is None or at_spot.rhum_pct is not None:
        return at_spot
    humidity = humidity_when_warmed(used.temp_c, used.rhum_pct, at_spot.temp_c)
    return replace(at_spot, rhum_pct=humidity)


def _is_shifted(spot: Spot) -> bool:
    """Whether offsets are added."""
    return spot.room is None and any(offset.low or offset.high for offset in spot.offsets_c)


def _hours_at(
    spot: Spot, end: End, outside_c: FloatArray, *, kinds: IntArray, start: int, solar: float
) -> FloatArray:
    """Temperature at a spot, (hour), °C: damped, then shifted, then held."""
    room = spot.room
    if room is not None:
        # Colder near the pane: the low end of the spot is the high end of that share.
        share = room.near_glass.at({End.LOW: End.HIGH, End.HIGH: End.LOW}.get(end, end))
        return near_window(outside_c, room.temp_c, room.glass_u_w_m2k, share).round(DECIMALS)
    temp_c, settled = damp(outside_c, spot.damping_hours)
    temp_c[~settled] = np.nan
    if _is_shifted(spot):
        clear, other, day = _offsets_at(spot, end, start, kinds.size)
        temp_c = shift_by_night(
            temp_c, kinds, start, solar, clear_night_c=clear, other_night_c=other, day_c=day
        )
    if spot.held_minimum_c is not None:
        heater = spot.heater
        lift_c = np.inf if heater is None else heater.watts / heater.loss_w_per_k
        temp_c = hold_minimum(temp_c, spot.held_minimum_c, lift_c)
    return temp_c.round(DECIMALS)


def _offsets_at(
    spot: Spot, end: End, start: int, nights: int
) -> tuple[float | FloatArray, float | FloatArray, float | FloatArray]:
    """
    Offsets at one end: one number, or by night where a log tells less of other seasons, K.

    Parameters
    ----------
    start
        Standard-time hour of the record's first.
    nights
        Of the record.
    """
    day: IntArray | None = None
    if spot.measured and end is not End.USUAL:
        day = position_of(fold_axis((start - 12) // 24, nights)) % DAYS
    clear, other, day_c = (
        offset.at(end) if day is None else end_on_days(spot, kind, end, day)
        for kind, offset in enumerate(spot.offsets_c)
    )
    return clear, other, day_c


class CheckOptions(Struct, frozen=True, kw_only=True):
    """
    What is asked of a record.

    Attributes
    ----------
    rules
    minimum_allowance_c : K
        What hourly readings miss of the night minimum.
    minimum_allowance_from
        What tells so (`weather.sampling.ToldBy`); said in the result.
    caution, quality
        Said in the result; `needs` and the record already follow them.
    seed
        Of the resampling of years.
    first_year, last_year
        Calendar years used, standard time; None: the last 30 of the record.
    worst
        Whether the worst nights and fortnights are listed.
    understood, notes
        What names were taken for, and what of a collection is left out, in sentences; said in the
        result.
    """

    rules: Rules
    minimum_allowance_c: float = 0.6
    minimum_allowance_from: str = "usual"
    caution: str = "usual"
    quality: bool = True
    seed: int = 20
    first_year: int | None = None
    last_year: int | None = None
    worst: bool = False
    understood: tuple[str, ...] = ()
    notes: tuple[str, ...] = ()


def years_asked(record: Record, place: Place, options: CheckOptions) -> Record:
    """
    The record within the calendar years asked for, standard time.

    Raises
    ------
    RecordError
        Nothing of the record lies in them.
    """
    offset = place.utc_offset_hours
    last = options.last_year or datetime_of_hour(local_hour(record.stop_hour - 1, offset)).year
    first = options.first_year or last - 29
    edges = (hour_of_datetime(datetime(year, 1, 1, tzinfo=UTC)) for year in (first, last + 1))
    start, stop = (math.ceil(edge - offset) for edge in edges)
    used = clip_record(record, start, stop)
    left_out = int(record.counted.sum()) - int(used.counted.sum())
    if left_out and options.first_year is None:
        note = f"{left_out:,} hours before {first} are not used; other years can be asked for."
        used = replace(used, notes=(*used.notes, note))
    return used


def lay_out_spots(
    used: Record,
    place: Place,
    spots: Sequence[Spot],
    groups: Sequence[Needs],
    options: CheckOptions,
    *,
    at_spots: Sequence[Record] | None = None,
    colder_c: float = FARTHEST_C,
) -> list[SpotNights]:
    """
    The nights of each spot; those of a room know the seasons of the open air.

    Parameters
    ----------
    used
        From `years_asked`.
    groups
        Their thresholds are those that will be asked for.
    at_spots
        From `records_at_spots`; None: at the usual end of the spots' ranges.
    colder_c : K, 0 to 15
        Greatest cooling of the spots that will be asked for; the less, the quicker.
    """
    records = records_at_spots(used, place, spots) if at_spots is None else at_spots
    spread_c = max(colder_c, FARTHEST_NEIGHBOUR_C)  # nights warmer than that are free for certain
    highest = max(max(needs.floor_c + colder_c, needs.chill_base_c + spread_c) for needs in groups)
    coolest_hours = (needs.rest_cool_high_c for needs in groups)
    highest = max(highest, *(cool_c + 0.1 for cool_c in coolest_hours if cool_c is not None), 0.0)
    blended = used.origin == Origin.BLENDED
    # A record made for a point from stations around it is blended throughout, and all that is seen.
    seen = ~blended if blended.any() and used.counted.any() else None
    start = local_hour(used.start_hour, place.utc_offset_hours)
    rooms = any(spot.room is not None for spot in spots)
    air = lay_out_air(fill_short_gaps(used).temp_c, start) if rooms else None
    laid_out = [
        lay_out_nights(
            at_spot.temp_c,
            wet_hours(used.prcp_mm, used.temp_c.size, roofed=spot.roofed),
            start,
            minimum_allowance_c=options.minimum_allowance_c,
            highest_c=highest,
            dose_limits_c_h=frozenset(needs.dose_limit_c_h for needs in groups),
            seen=seen,
            told_c=at_spot.lost_minimum_c,
            least_c=spot.least_c,
        )
        for spot, at_spot in zip(spots, records, strict=True)
    ]
    return [
        nights if spot.room is None else replace(nights, air=air)
        for spot, nights in zip(spots, laid_out, strict=True)
    ]


_Asked = tuple[Thresholds, bool]


class SpotCases:
    """
    The cases of one spot with their verdicts, each worked out when it is first asked for, and once.

    Groups, plants in their state and ends of a group's ranges that come to the same numbers are one
    case. So a profile repeats nothing that the check before it has decided.

    Parameters
    ----------
    nights
        Of the spot.
    rules
    """

    def __init__(self, nights: SpotNights, rules: Rules) -> None:
        self.nights, self.rules = nights, rules
        hidden = np.isfinite(nights.hidden_c) | (nights.hidden_c < 0.0)
        self._by_night = observe(nights.unknown, hidden, nights.winter, nights.summer)
        self._by_day = observe(nights.day_unknown, hidden, nights.winter, nights.summer)
        self._tables = SpotTables(nights)
        # Tables rather than cached methods, which would hold this object in a ring: the nights of
        # many spots would then wait in memory for the collector.
        self._cases: dict[_Asked, Case] = {}
        self._dry: dict[_Asked, Case] = {}
        self._decisions: dict[_Asked, Decision] = {}
        self._dry_decisions: dict[_Asked, Decision] = {}
        self._dry_verdicts: dict[_Asked, Verdict] = {}

    def case(self, needs: Needs) -> Case:
        """A group or plant, ready to be judged."""
        asked = limits, heat_limited = _asked_of(needs)
        if asked not in self._cases:
            observed = self._by_day if heat_limited else self._by_night
            self._cases[asked] = build_case(self.nights, self._tables, limits, self.rules, observed)
        return self._cases[asked]

    def decision(self, needs: Needs) -> Decision:
        """Its verdict with seasons and years."""
        asked = _asked_of(needs)
        if asked not in self._decisions:
            self._decisions[asked] = verdicts.decide(self.case(needs))
        return self._decisions[asked]

    def dry_decision(self, needs: Needs) -> Decision:
        """The same with rain kept off; what is all year anyway is not asked again."""
        asked, decision = _asked_of(needs), self.decision(needs)
        if decision.verdict is Verdict.ALL_YEAR:
            return decision
        if asked not in self._dry_decisions:
            self._dry_decisions[asked] = verdicts.decide(self._dry_case(needs))
        return self._dry_decisions[asked]

    def dry_verdict(self, needs: Needs, spot: Spot) -> Verdict | None:
        """The verdict with rain kept off; None where the spot is roofed or no night was wet."""
        if spot.roofed or bool(np.isinf(self.nights.wet_minimum_c).all()):
            return None
        asked = _asked_of(needs)
        if asked not in self._dry_verdicts:
            self._dry_verdicts[asked] = self._grade_dry(needs)
        return self._dry_verdicts[asked]

    def _dry_case(self, needs: Needs) -> Case:
        """The case with rain kept off."""
        asked = _asked_of(needs)
        if asked not in self._dry:
            self._dry[asked] = kept_dry(self.case(needs))
        return self._dry[asked]

    def _grade_dry(self, needs: Needs) -> Verdict:
        """Dry nights lack no more, so that no verdict is worse: only better ones are asked for."""
        verdict = self.decision(needs).verdict
        if verdict is Verdict.ALL_YEAR:
            return verdict
        if verdict is Verdict.SEASONAL:
            better = verdicts.reaches(self._dry_case(needs), Verdict.ALL_YEAR)
            return Verdict.ALL_YEAR if better else verdict
        return verdicts.grade(self._dry_case(needs))


def _asked_of(needs: Needs) -> _Asked:
    """What makes a case at a spot."""
    return thresholds_of(needs), needs.heat_limited


class LaidSpot(Struct, frozen=True, kw_only=True):
    """
    One spot ready for every question.

    Attributes
    ----------
    spot
    record
        At the spot, from `records_at_spots`.
    nights
    judged
        Answers for whatever group or plant is asked about.
    needs
        What is asked there: groups, or plants of them.
    cases, decisions
        Of each, in their order.
    """

    spot: Spot
    record: Record
    nights: SpotNights
    judged: SpotCases
    needs: tuple[Needs, ...]
    cases: tuple[Case, ...]
    decisions: tuple[Decision, ...]


class LaidOut(Struct, frozen=True, kw_only=True):
    """What all questions of a run share: what was asked, the hours used, and each spot."""

    place: Place
    options: CheckOptions
    used: Record
    spots: tuple[LaidSpot, ...]

    def at(self, spot: Spot) -> LaidSpot:
        """One of its spots."""
        return next(laid for laid in self.spots if laid.spot == spot)

    def asking(self, asked: Iterable[tuple[Spot, Sequence[Needs]]]) -> LaidOut:
        """Some of its spots and what is asked at each; what is decided is not decided again."""
        chosen = (_with_needs(self.at(spot), needs) for spot, needs in asked)
        return replace(self, spots=tuple(chosen))


def _with_needs(laid: LaidSpot, needs: Sequence[Needs]) -> LaidSpot:
    """The spot with the cases of what is asked there."""
    return replace(
        laid,
        needs=tuple(needs),
        cases=tuple(map(laid.judged.case, needs)),
        decisions=tuple(map(laid.judged.decision, needs)),
    )


def lay_out(
    record: Record,
    place: Place,
    spots: Sequence[Spot],
    groups: Sequence[Needs],
    options: CheckOptions,
    *,
    also: Sequence[Needs] = (),
) -> LaidOut:
    """
    Everything laid out once, so that several questions can be asked of it.

    Parameters
    ----------
    record
        After the checks of quality.
    groups, also
        At least one of either; those of `also` may be asked about later (`LaidOut.asking`).

    Raises
    ------
    RecordError
        Nothing of the record lies in the years asked for.
    """
    used = years_asked(record, place, options)
    at_spots = records_at_spots(used, place, spots)
    laid_out = lay_out_spots(used, place, spots, [*groups, *also], options, at_spots=at_spots)
    parts = []
    for spot, at_spot, nights in zip(spots, at_spots, laid_out, strict=True):
        judged = SpotCases(nights, options.rules)
        bare = LaidSpot(
            spot=spot,
            record=at_spot,
            nights=nights,
            judged=judged,
            needs=(),
            cases=(),
            decisions=(),
        )
        parts.append(_with_needs(bare, groups))
    return LaidOut(place=place, options=options, used=used, spots=tuple(parts))


def build_cases(nights: SpotNights, groups: Sequence[Needs], rules: Rules) -> list[Case]:
    """All groups at one spot, ready to be judged."""
    return list(map(SpotCases(nights, rules).case, groups))


def thresholds_of(needs: Needs) -> Thresholds:
    """The numbers that the core takes of a group; heat counts only where it excludes."""
    return Thresholds(
        limit_c=needs.limit_c,
        limit_wet_c=needs.limit_wet_c,
        chill_base_c=needs.chill_base_c,
        dose_limit_c_h=needs.dose_limit_c_h,
        floor_c=needs.floor_c,
        rest_floor_c=needs.rest_floor_c,
        floor_hours_limit=needs.floor_hours_limit,
        ceiling_c=needs.ceiling_c if needs.heat_limited else None,
    )


def settings_of(options: CheckOptions) -> Settings:
    """What was asked for, as a result says it."""
    return Settings(
        promise=options.rules.promise,
        caution=options.caution,
        minimum_allowance_c=options.minimum_allowance_c,
        minimum_allowance_from=options.minimum_allowance_from,
        seed=options.seed,
        quality=options.quality,
        understood=options.understood,
        notes=options.notes,
    )


def summarise_record(record: Record) -> RecordSummary:
    """What a report says of a record."""
    counted = int(record.counted.sum())
    possible = max(1, -(-record.temp_c.size // record.step_hours))
    return RecordSummary(
        period=Period.of(record),
        hours_valid=counted,
        coverage=min(1.0, counted / possible),
        step_hours=record.step_hours,
        origin=OriginHours(**record.hours_by_origin()),
        source=record.source,
        licence=record.licence,
        attribution=record.attribution,
        station=record.station,
        flags=record.flags,
        notes=record.notes,
        rain_known=record.prcp_mm is not None,
    )
