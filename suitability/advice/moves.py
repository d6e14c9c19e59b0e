"""
Moves: on which dates a group goes out and comes in again, and how sure that is.

The promised dates are the ends of the season. Beside them stand the dates of a typical year: out
when the last unsafe night of spring is past in half of the years, in when half have had the first
one of autumn. The weeks between are for watching: the plant may go or stay, by the forecast.
"""

from __future__ import annotations

import math
from collections.abc import Sequence

import numpy as np
from msgspec import Struct
from msgspec.structs import replace
from numpy.typing import NDArray

from suitability.advice.cases import Case, all_year_chance
from suitability.advice.checking import carried_of, leans_on_model, season_of
from suitability.advice.moves_result import (
    Move,
    MoveDate,
    MovesResult,
)
from suitability.advice.preparing import (
    CheckOptions,
    LaidOut,
    lay_out,
    lay_out_spots,
    settings_of,
    summarise_record,
)
from suitability.advice.question import Question
from suitability.advice.reasons import explain
from suitability.advice.result import CarriedNights
from suitability.advice.season_years import (
    HALF_YEAR,
    SeasonYears,
    say_decades,
    season_between,
    season_years,
)
from suitability.advice.terms import Season
from suitability.advice.threshold_dates import find_threshold_dates
from suitability.advice.verdicts import Decision, Verdict, is_provisional
from suitability.climate import chance
from suitability.climate.days import (
    DAYS,
    daily_minimum,
    local_hour,
    month_day,
    turn,
)
from suitability.climate.past_years import Stretch, share_and_error
from suitability.groups.group import Needs
from suitability.places import Place
from suitability.spots.spot import OPEN_AIR, Spot
from suitability.weather.record import Record, fill_short_gaps

__all__ = ["moves", "plan_moves"]

FloatArray = NDArray[np.float64]
BoolArray = NDArray[np.bool_]

Z_90 = 1.645  # standard errors on either side of a 90 % interval
SURE = 0.995  # probability beyond which an end of a season needs no more caution
FARTHEST_DAYS = 64  # by which an end is moved when its interval is looked for


def moves(question: Question, *, thresholds_c: Sequence[float] = ()) -> MovesResult:
    """
    When each group goes out and comes in at each spot, and how sure that is.

    Plants of the collection in a state of their own follow the groups.

    Parameters
    ----------
    question
        From `ask`.
    thresholds_c : °C
        Temperatures whose last dates of spring and first of autumn are told too.

    Raises
    ------
    RecordError
        Nothing of the record lies in the years asked for.
    """
    record, place, options = question.record, question.place, question.options
    result = plan_moves(
        record, place, question.spots, question.needs, options, thresholds_c=thresholds_c
    )
    found = list(result.results)
    for _, spot, needs in question.plants_needs():
        found += plan_moves(record, place, (spot,), [needs], options).results
    return replace(result, results=tuple(found))


def plan_moves(
    record: Record,
    place: Place,
    spots: Sequence[Spot],
    groups: Sequence[Needs],
    options: CheckOptions,
    *,
    thresholds_c: Sequence[float] = (),
    laid_out: LaidOut | None = None,
) -> MovesResult:
    """
    The moves of each group at each spot.

    Parameters
    ----------
    record
        After the checks of quality.
    thresholds_c : °C
        Temperatures whose last spring and first autumn dates are asked for.
    laid_out
        From `lay_out` of the same, where other questions share it.

    Raises
    ------
    RecordError
        Nothing of the record lies in the years asked for.
    """
    laid_out = laid_out or lay_out(record, place, spots, groups, options)
    used = laid_out.used
    moves: list[Move] = []
    for laid in laid_out.spots:
        carried, here = carried_of(laid.cases), [laid.spot] * len(groups)
        moves += map(_move, here, groups, laid.cases, laid.decisions, carried)
    first_day, minimum_c = daily_minimum(
        fill_short_gaps(used).temp_c, local_hour(used.start_hour, place.utc_offset_hours)
    )
    cut = 0
    if thresholds_c:  # of the station in the open, whatever the spots
        outside = (laid.nights for laid in laid_out.spots if laid.spot.is_as_outside)
        nights = next(outside, None)  # a roof changes no hour
        if nights is None:
            (nights,) = lay_out_spots(used, place, (OPEN_AIR,), groups[:1], options)
        cut = nights.summer
    return MovesResult(
        place=place,
        record=summarise_record(used),
        settings=settings_of(options),
        results=tuple(moves),
        thresholds=find_threshold_dates(first_day, minimum_c, cut, thresholds_c),
    )


def _move(
    spot: Spot, needs: Needs, case: Case, decision: Decision, carried: CarriedNights | None
) -> Move:
    """The moves of one group."""
    judged = decision.verdict is not Verdict.NONE
    indoor = decision.verdict is Verdict.INDOOR
    counted = decision.years_kept + decision.years_failed
    season = decision.season if judged else None
    whole = season is not None and season.nights == DAYS  # of too few years to be all year
    dated = decision.verdict is Verdict.SEASONAL and not whole
    sure = _chance(case, decision, season)
    past = season_years(case, season, all_year=decision.verdict is Verdict.ALL_YEAR)
    low, high = chance.wilson_interval(decision.years_kept, counted)
    dates = (
        _dates(case, season, past, decision.floor_days) if dated and season else (None, None, None)
    )
    return Move(
        spot=spot.name,
        group=needs.key,
        group_name=needs.name,
        plant=needs.plant or None,
        verdict=decision.verdict,
        reason=explain(case, decision),
        provisional=is_provisional(decision, case.rules),
        promise=case.rules.promise,
        model_based=judged and leans_on_model(decision, case.rules),
        season=None if indoor else season_of(season),
        season_too_short=season_of(season) if indoor else None,
        typical_season=dates[2],
        survival_season=season_of(decision.survival_season),
        survival_seasons=tuple(filter(None, map(season_of, decision.survival_seasons))),
        out=dates[0],
        inn=dates[1],
        chance=sure,
        chance_5_years=None if sure is None else chance.odds_over_years(sure, 5),
        chance_10_years=None if sure is None else chance.odds_over_years(sure, 10),
        years_usable=decision.years_usable,
        years_kept=decision.years_kept,
        years_counted=counted,
        kept_low=low if counted else None,
        kept_high=high if counted else None,
        risk_not_excluded=chance.excluded_rate(counted)
        if counted and not decision.years_failed
        else None,
        carried_nights=carried if judged else None,
        decades=say_decades(past) if season is not None else None,
        by_year=tuple(past.told(case)),
        indoors=spot.room is not None,
    )


def _chance(case: Case, decision: Decision, season: Stretch | None) -> float | None:
    """Probability that a new year keeps the season."""
    if season is None:
        return None
    if decision.verdict is Verdict.ALL_YEAR:
        return all_year_chance(case)
    return share_and_error(case.past_years, season, case.kernel)[0]


def _dates(
    case: Case, season: Stretch, past: SeasonYears, growing: BoolArray
) -> tuple[MoveDate | None, MoveDate | None, Season | None]:
    """Out and in with their typical dates, watch weeks and intervals."""
    if not past.usable.any():
        return None, None, None
    first = HALF_YEAR - season.nights // 2
    out, inn = past.out[past.usable], past.inn[past.usable]
    grows = turn(growing, -past.cut)
    before, after = np.flatnonzero(~grows[:HALF_YEAR]), np.flatnonzero(~grows[HALF_YEAR:])
    earliest = int(before[-1]) + 1 if before.size else 0  # first day on which it grows, to the end
    latest = HALF_YEAR + int(after[0]) if after.size else DAYS
    typical_out = max(earliest, math.ceil(np.quantile(out, 0.5, method="median_unbiased")))
    typical_in = min(latest, math.floor(np.quantile(inn, 0.5, method="median_unbiased")))
    typical = season_between(past.cut, typical_out, typical_in)
    return (
        _move_date(case, past.cut, _Edge(day=first, sign=1), typical_out),
        _move_date(case, past.cut, _Edge(day=first + season.nights, sign=-1), typical_in),
        typical,
    )


class _Edge(Struct, frozen=True, kw_only=True):
    """One end of a season: its column, and the direction (1, -1) in which it becomes safer."""

    day: int
    sign: int

    def stretch(self, cut: int, safer_days: int) -> Stretch | None:
        """The nights from this end, moved by so many days, to the middle of the season."""
        day = self.day + self.sign * safer_days
        nights = (HALF_YEAR - day) * self.sign
        if not 1 <= nights <= HALF_YEAR:
            return None
        return Stretch(start=(cut + (day if self.sign > 0 else HALF_YEAR)) % DAYS, nights=nights)


def _move_date(case: Case, cut: int, edge: _Edge, typical: int) -> MoveDate:
    """One end of a season, with the interval in which it lies when the years are resampled."""
    here = edge.stretch(cut, 0)
    alone, error = (
        share_and_error(case.past_years, here, case.kernel) if here is not None else (0.0, 0.0)
    )
    bold = _shift_to(case, cut, edge, alone - Z_90 * error, bold=True)
    cautious = _shift_to(case, cut, edge, min(alone + Z_90 * error, SURE), bold=False)
    limits = sorted((edge.day - edge.sign * bold, edge.day + edge.sign * cautious))
    watch = sorted((edge.day, typical)) if edge.day != typical else None
    return MoveDate(
        promised=month_day(cut + edge.day),
        typical=month_day(cut + typical),
        watch_from=None if watch is None else month_day(cut + watch[0]),
        watch_to=None if watch is None else month_day(cut + watch[1]),
        earliest=month_day(cut + limits[0]),
        latest=month_day(cut + limits[1]),
        holds_alone=alone,
    )


def _shift_to(case: Case, cut: int, edge: _Edge, level: float, *, bold: bool) -> int:
    """
    Days by which an end may move: bolder while it keeps a level, or safer until it reaches it.

    Found by halving, since the probability rises with every day of caution; at most 64.
    """
    low, high = 0 if bold else -1, FARTHEST_DAYS  # bold: low keeps the level; safer: high does
    while high - low > 1:
        middle = (low + high) // 2
        moved = edge.stretch(cut, -middle if bold else middle)
        if moved is None:
            high = middle
            continue
        share, _ = share_and_error(case.past_years, moved, case.kernel)
        if bold == (share >= level):
            low = middle
        else:
            high = middle
    return low if bold else high if level > 0.0 else 0
