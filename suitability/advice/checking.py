"""
Check: from a record, spots and groups to a finding for each, in one pass over the hours.

What does not depend on the plant (nights, cold by level, coverage) is worked out once a spot; all
thresholds of all groups share one pass of exposure.
"""

from __future__ import annotations

import math
from functools import cache
from typing import TYPE_CHECKING

import numpy as np
from msgspec import Struct
from numpy.typing import NDArray

from suitability.advice import verdicts, what_if
from suitability.advice.flowering import flowers_of, line_of, rests_of, survives_of
from suitability.advice.mean_year import Normals, count_hours
from suitability.advice.preparing import (
    CheckOptions,
    LaidOut,
    lay_out,
    settings_of,
    summarise_record,
)
from suitability.advice.ranges import verdicts_at_ends
from suitability.advice.reasons import explain, limiting_causes
from suitability.advice.resting import find_rest, lay_out_resting
from suitability.advice.result import (
    CarriedNights,
    CheckResult,
    Finding,
    MonthOfYear,
    SpotEnds,
    Thresholds,
)
from suitability.advice.terms import Season
from suitability.advice.verdicts import Decision, Verdict
from suitability.advice.worst_listed import worst_fortnights, worst_nights
from suitability.advice.zones import find_zones
from suitability.climate.chance import without_model
from suitability.climate.days import MONTH_STARTS, gather, local_hour, month_day
from suitability.climate.observing import plant_years
from suitability.climate.states import (
    unsafe_nights,
)
from suitability.climate.worst import carried_nights
from suitability.weather.record import fill_short_gaps

if TYPE_CHECKING:
    from collections.abc import Sequence

    from suitability.advice.cases import Case, Rules
    from suitability.advice.mean_year import MeanYear
    from suitability.advice.preparing import LaidSpot
    from suitability.climate.past_years import Stretch
    from suitability.climate.rest import RestPeriod
    from suitability.groups.group import Needs
    from suitability.places import Place
    from suitability.spots.spot import Spot
    from suitability.weather.record import Record

__all__ = [
    "CheckOptions",
    "carried_of",
    "check_groups",
    "leans_on_model",
    "season_of",
]

FloatArray = NDArray[np.float64]

RAW_DECIMALS = 6  # of raw counts: thousands of numbers, rounded at once
MOST_CARRIED = 45  # nights a year; beyond that a plant does not "otherwise stay out"
DRAWS = 200  # resamples of years for stability; its standard error is then under 0.04


def check_groups(
    record: Record,
    place: Place,
    spots: Sequence[Spot],
    groups: Sequence[Needs],
    options: CheckOptions,
    *,
    laid_out: LaidOut | None = None,
) -> CheckResult:
    """
    The finding for each spot and group.

    Parameters
    ----------
    record
        After the checks of quality.
    groups
        At least one.
    laid_out
        From `lay_out` of the same, where other questions share it.

    Raises
    ------
    RecordError
        Nothing of the record lies in the years asked for.
    """
    laid_out = laid_out or lay_out(record, place, spots, groups, options)
    used = laid_out.used
    local_start = local_hour(used.start_hour, place.utc_offset_hours)
    findings: list[Finding] = []
    as_outside = (one.record for one in laid_out.spots if one.spot.is_as_outside)
    filled = next(as_outside, None) or fill_short_gaps(used)
    summer = laid_out.spots[0].nights.summer
    ends = verdicts_at_ends(used, place, spots, groups, options)
    outside: MeanYear | None = None
    for laid in laid_out.spots:
        spot = laid.spot
        if spot.is_as_outside:
            counts = outside = outside or count_hours(used, local_start, groups)
        else:
            counts = count_hours(laid.record, local_start, groups)
        shared = _Shared(
            spot=spot,
            options=options,
            normals=counts.normals,
            by_month=counts.by_month,
            ends=ends.get(spot.name, {}),
            resting=lay_out_resting(laid.nights, used.prcp_mm, local_start, roofed=spot.roofed),
            rain_unknown=used.prcp_mm is None and not spot.roofed,
        )
        findings += [
            _finding(needs, laid, at, shared=shared, carried=carried)
            for at, (needs, carried) in enumerate(zip(groups, carried_of(laid.cases), strict=True))
        ]
    return CheckResult(
        place=place,
        record=summarise_record(used),
        settings=settings_of(options),
        results=tuple(findings),
        zones=find_zones(filled, place, summer, options.minimum_allowance_c),
        spots=tuple(spots),
    )


class _Shared(Struct, frozen=True, kw_only=True):
    """What the findings of one spot share; counts by floor, ends of the spot's range by group."""

    spot: Spot
    options: CheckOptions
    normals: dict[float, Normals]
    by_month: dict[float, tuple[MonthOfYear, ...]]
    ends: dict[str, SpotEnds]
    resting: RestPeriod
    rain_unknown: bool


class _Nearness(Struct, frozen=True, kw_only=True):
    """How near a verdict is to another one, as `Finding` says it."""

    colder: Verdict
    warmer: Verdict
    dry: Verdict | None
    margin_c: float | None
    headroom_c: float | None
    stability: float | None


def _nearness(needs: Needs, laid: LaidSpot, options: CheckOptions, at: int) -> _Nearness:
    """That of one group; asks the most of a check."""
    case, decision = laid.cases[at], laid.decisions[at]
    verdict = decision.verdict
    judged = verdict is not Verdict.NONE
    colder, warmer = what_if.verdicts_beside(case, verdict)
    return _Nearness(
        colder=colder,
        warmer=warmer,
        dry=laid.judged.dry_verdict(needs, laid.spot) if judged else None,
        margin_c=what_if.find_margin(case, verdict),
        headroom_c=what_if.find_headroom(case, verdict),
        stability=what_if.stability(case, decision, DRAWS, options.seed) if judged else None,
    )


def _finding(
    needs: Needs,
    laid: LaidSpot,
    at: int,
    *,
    shared: _Shared,
    carried: CarriedNights | None,
) -> Finding:
    """The answer for one group at one spot."""
    spot, options = shared.spot, shared.options
    near = _nearness(needs, laid, options, at)
    case, decision = laid.cases[at], laid.decisions[at]
    verdict = decision.verdict
    judged = verdict is not Verdict.NONE
    counted = decision.years_kept + decision.years_failed
    growth = shared.normals[needs.floor_c]
    resting = None if needs.rest_floor_c is None else shared.normals[needs.rest_floor_c]
    rest = find_rest(needs, decision, shared.resting, rain_unknown=shared.rain_unknown)
    flowers = flowers_of(verdict, rest, rests_of(verdict, rest, needs))
    return Finding(
        spot=spot.name,
        group=needs.key,
        group_name=needs.name,
        plant=needs.plant or None,
        verdict=verdict,
        reason=explain(case, decision),
        provisional=verdicts.is_provisional(decision, options.rules),
        borderline={near.colder, near.warmer} != {verdict},
        verdict_colder=near.colder,
        verdict_warmer=near.warmer,
        dry_verdict=near.dry,
        spot_ends=shared.ends.get(needs.key),
        promise=options.rules.promise,
        model_based=judged and leans_on_model(decision, options.rules),
        years_usable=decision.years_usable,
        years_kept=decision.years_kept,
        years_counted=counted,
        hours_below=growth.hours,
        hours_below_median=growth.median_hours,
        hours_below_bad=growth.bad_hours,
        degree_hours_below=growth.degree_hours,
        years_of_month=growth.years,
        hours_below_rest=None if resting is None else resting.hours,
        hours_below_rest_bad=None if resting is None else resting.bad_hours,
        degree_hours_below_rest=None if resting is None else resting.degree_hours,
        by_month=shared.by_month[needs.floor_c],
        season=season_of(decision.season_allowed),
        survival_season=season_of(decision.survival_season),
        survival_seasons=tuple(
            season for season in map(season_of, decision.survival_seasons) if season
        ),
        growing_days=tuple(
            int(days.sum()) for days in np.split(decision.floor_days, MONTH_STARTS[1:])
        ),
        unsafe_share=_unsafe_share(case),
        carried_nights=carried if judged else None,
        margin_c=near.margin_c,
        headroom_c=near.headroom_c,
        rest=rest,
        flowers=flowers,
        line=line_of(survives_of(case, decision), verdict, flowers),
        limiting=limiting_causes(case, decision),
        stability=near.stability,
        thresholds=Thresholds(
            floor_c=needs.floor_c,
            rest_floor_c=needs.rest_floor_c,
            chill_base_c=needs.chill_base_c,
            dose_limit_c_h=needs.dose_limit_c_h,
            limit_c=needs.limit_c,
            limit_wet_c=needs.limit_wet_c,
            ceiling_c=needs.ceiling_c,
            low_confidence_limit=needs.low_confidence_limit,
        ),
        worst_nights=worst_nights(case) if options.worst else (),
        worst_fortnights=worst_fortnights(case) if options.worst else (),
    )


def leans_on_model(decision: Decision, rules: Rules) -> bool:
    """Whether the years alone, without a model of years like them, cannot carry the promise."""
    all_kept = decision.years_failed == 0
    return not all_kept or without_model(decision.years_kept) < rules.promise


def season_of(stretch: Stretch | None) -> Season | None:
    """A stretch in days of the year."""
    if stretch is None:
        return None
    return Season(out=month_day(stretch.start), inn=month_day(stretch.stop), days=stretch.nights)


def _unsafe_share(case: Case) -> tuple[float | None, ...]:
    """Share of each month's known nights that were unsafe."""
    unsafe = unsafe_nights(case.shortfall)
    known = (~case.nights.unknown | unsafe).reshape(-1, 365)
    bad = unsafe.reshape(-1, 365)
    months = zip(
        np.add.reduceat(bad.sum(axis=0), MONTH_STARTS).tolist(),
        np.add.reduceat(known.sum(axis=0), MONTH_STARTS).tolist(),
        strict=True,
    )
    return tuple(None if total == 0 else part / total for part, total in months)


def carried_of(cases: Sequence[Case]) -> list[CarriedNights | None]:
    """Carried nights of all groups of a spot; None where a plant would hardly stay out at all."""
    nights = cases[0].nights

    @cache
    def by_year(chill_base_c: float) -> FloatArray:
        cold = gather(nights.axis, nights.dose.degree_hours_below(chill_base_c))
        return plant_years(np.nan_to_num(cold), nights.summer, outside=0)

    hard = [
        plant_years(case.shortfall.hard_c > 0.0, nights.summer, outside=False) for case in cases
    ]
    degree_hours = [by_year(case.limits.chill_base_c) for case in cases]
    limits = np.array([case.limits.dose_limit_c_h for case in cases])
    carried = carried_nights(np.stack(hard), np.stack(degree_hours), limits)
    return [_carried_in(years, case) for years, case in zip(carried, cases, strict=True)]


def _carried_in(by_year: NDArray[np.int64], case: Case) -> CarriedNights | None:
    """Carried nights of one group; its own usable years say what is typical, any the worst."""
    usable = case.observed.summer_usable
    if usable.sum() < case.rules.fewest_years:
        return None
    typical = float(np.median(by_year[usable]))
    if typical > MOST_CARRIED:
        return None
    return CarriedNights(typical=math.ceil(typical), worst=int(by_year.max()))
