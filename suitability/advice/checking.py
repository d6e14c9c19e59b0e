"""Check: from a record, spots and groups to a finding for each, in one pass over the hours.

What does not depend on the plant (nights, cold by level, coverage) is worked out once a spot; all
thresholds of all groups share one pass of exposure. Beside the findings stand the published zones
of the place, the worst nights on record, and verdicts at both ends of what is known of a spot.
"""

from __future__ import annotations

import math
from collections.abc import Sequence
from datetime import date, timedelta
from typing import Any

import numpy as np
from msgspec import Struct
from numpy.typing import NDArray

from suitability.advice import verdicts, what_if
from suitability.advice.cases import Case, Rules, carried_by_year
from suitability.advice.comfort import comfort_at
from suitability.advice.growing_days import (
    GrowthSpot,
    find_growth_days,
    has_calendar,
    lay_out_growth,
    year_lengths_h,
)
from suitability.advice.growth_runs import find_growing
from suitability.advice.mean_year import MeanYear, Normals, count_hours
from suitability.advice.preparing import (
    CheckOptions,
    LaidOut,
    LaidSpot,
    build_cases,
    lay_out_spots,
    records_at,
    settings_of,
    summarise_record,
)
from suitability.advice.ranking import rank_findings, rank_of
from suitability.advice.reasons import explain, limiting_causes
from suitability.advice.resting import (
    find_rest,
    flowers_of,
    lay_out_resting,
    line_of,
    rests_of,
    rests_there,
    survives_of,
)
from suitability.advice.result import (
    CarriedNights,
    CheckResult,
    Finding,
    MonthOfYear,
    PlaceZones,
    SpotEnds,
    Thresholds,
    WorstFortnight,
    WorstNight,
)
from suitability.advice.terms import Verdict, whose
from suitability.advice.verdicts import Decision, season_of
from suitability.climate.chance import median, without_model
from suitability.climate.cold import DOSE_NIGHTS, trailing_sum
from suitability.climate.days import (
    MONTH_STARTS,
    NIGHT_HOURS,
    fold_axis,
    fold_flags,
    fold_highest,
    hours_by_night,
    local_hour,
    position_of,
)
from suitability.climate.observing import plant_years, usable_years
from suitability.climate.rest import RestPeriod
from suitability.climate.states import cut_days, daily_mean, unsafe_nights
from suitability.climate.worst import highest_apart, lowest
from suitability.climate.zones import hardiness_zone, heat_zone, hot_days
from suitability.groups.group import Needs
from suitability.places import Place
from suitability.spots.spot import End, Spot
from suitability.weather.record import Record, fill_short_gaps

KNOWN_SHARE = 0.95  # of a calendar year's days
DAY_SHIFT_H = 12  # from days that run noon to noon to those that run midnight to midnight


def find_zones(filled: Record, place: Place, minimum_allowance_c: float) -> PlaceZones:
    """
    Hardiness by the coldest night of each winter, heat by days above 30 °C, in the open air.

    Winters are cut at the open air's own mid-summer, so that no spot asked about moves them.

    Parameters
    ----------
    filled
        From `years_asked`, its short gaps filled.
    minimum_allowance_c : K
        What hourly readings miss of the night minimum.
    """
    temp_c = filled.temp_c
    start = local_hour(filled.start_hour, place.utc_offset_hours)
    first_night, nights = hours_by_night(temp_c, start)
    axis = fold_axis(first_night, nights.shape[0])
    _, _, summer = cut_days(daily_mean(nights, np.isnan(nights)), axis)
    unknown = fold_flags(
        axis, np.asarray(np.isnan(nights[:, NIGHT_HOURS]).any(axis=1)), outside=True
    )
    usable = usable_years(plant_years(unknown, summer, outside=True))
    coldest = -fold_highest(axis, -np.fmin.reduce(nights, axis=1, initial=np.inf))
    lowest = plant_years(coldest, summer, np.inf).min(axis=1)[usable] - minimum_allowance_c
    first_day, days = hours_by_night(temp_c, start + DAY_SHIFT_H)
    hot, known = hot_days(days)
    year = (np.datetime64(first_day, "D") + np.arange(hot.size)).astype("datetime64[Y]")
    first = np.flatnonzero(np.diff(year.astype(np.int64), prepend=-1))
    hot_by_year, known_by_year = (
        np.add.reduceat(days, first, dtype=float) for days in (hot, known)
    )
    whole = known_by_year >= KNOWN_SHARE * 365
    count = hot_by_year[whole] * 365.25 / known_by_year[whole]
    mean_lowest = float(lowest.mean()) if lowest.size else None
    mean_hot = float(count.mean()) if count.size else None
    return PlaceZones(
        hardiness=None if mean_lowest is None else hardiness_zone(mean_lowest),
        lowest_c=mean_lowest,
        winters=int(lowest.size),
        heat=None if mean_hot is None else heat_zone(mean_hot),
        hot_days=mean_hot,
        years=int(count.size),
    )


LISTED = 10


def worst_nights(case: Case) -> tuple[WorstNight, ...]:
    """The ten coldest nights, coldest first."""
    nights = case.nights
    reading = np.fmin.reduce(nights.temp_c, axis=1)
    below = case.shortfall.hard_c[position_of(nights.axis)]
    return tuple(
        WorstNight(
            evening=date(1970, 1, 1) + timedelta(days=nights.first_day + int(night)),
            minimum_c=float(reading[night]),
            below_limit_c=max(0.0, round(float(below[night]), 6)),
        )
        for night in lowest(np.where(np.isnan(reading), np.inf, reading), LISTED)
    )


def worst_fortnights(case: Case) -> tuple[WorstFortnight, ...]:
    """The ten heaviest doses over 14 nights that do not overlap, heaviest first."""
    nights = case.nights
    dose = trailing_sum(nights.dose.degree_hours_below(case.limits.chill_base_c))
    reading = np.fmin.reduce(nights.temp_c, axis=1)
    return tuple(
        WorstFortnight(
            last_evening=date(1970, 1, 1) + timedelta(days=nights.first_day + int(night)),
            dose_c_h=round(float(dose[night]), 6),
            lowest_c=float(np.nanmin(reading[max(0, night - DOSE_NIGHTS + 1) : night + 1])),
        )
        for night in highest_apart(np.round(dose, 6), LISTED, DOSE_NIGHTS)
    )


def verdicts_at_ends(
    used: Record, place: Place, laid_spots: Sequence[LaidSpot], options: CheckOptions
) -> dict[str, list[SpotEnds]]:
    """
    Verdicts at the ends of each spot that has a range, of all that is asked there, by its name.

    All offsets of a spot are taken at the same end, for what makes one wrong is wrong with the
    others.

    Parameters
    ----------
    used
        From `years_asked`.
    """
    ranged = [laid for laid in laid_spots if laid.spot.has_range]
    if not ranged:
        return {}
    asked = [(laid, end) for laid in ranged for end in (End.LOW, End.HIGH)]
    laid_out = lay_out_spots(
        used,
        place,
        [laid.spot for laid, _ in asked],
        list(dict.fromkeys(needs for laid in ranged for needs in laid.needs)),
        options,
        at_spots=records_at(used, place, [(laid.spot, end) for laid, end in asked]),
        colder_c=0.0,
    )
    grades = [
        list(map(verdicts.grade, build_cases(nights, laid.needs, options.rules)))
        for (laid, _), nights in zip(asked, laid_out, strict=True)
    ]
    return {
        laid.spot.name: [
            SpotEnds(low=cold, high=warm) for cold, warm in zip(colder, warmer, strict=True)
        ]
        for laid, colder, warmer in zip(ranged, grades[::2], grades[1::2], strict=True)
    }


MOST_CARRIED = 45  # nights a year; beyond that a plant does not "otherwise stay out"
DRAWS = 200  # resamples of years for stability; its standard error is then under 0.04


def check_groups(laid_out: LaidOut) -> CheckResult:
    """The finding for each spot and group."""
    place, options, used = laid_out.place, laid_out.options, laid_out.used
    local_start = local_hour(used.start_hour, place.utc_offset_hours)
    findings: list[Finding] = []
    as_outside = (one.record for one in laid_out.spots if one.spot.is_as_outside)
    filled = next(as_outside, None) or fill_short_gaps(used)
    ends = verdicts_at_ends(used, place, laid_out.spots, options)
    everyone = [needs for laid in laid_out.spots for needs in laid.needs]
    outside: MeanYear | None = None
    length_h = year_lengths_h(place)
    for laid in laid_out.spots:
        spot = laid.spot
        if spot.is_as_outside:
            counts = outside = outside or count_hours(used, local_start, everyone)
        else:
            counts = count_hours(laid.record, local_start, laid.needs)
        shared = _Shared(
            spot=spot,
            options=options,
            normals=counts.normals,
            by_month=counts.by_month,
            ends=ends.get(spot.name, [None] * len(laid.needs)),
            growth=lay_out_growth(
                spot,
                laid.nights,
                lay_out_resting(laid.nights, used.prcp_mm, local_start, roofed=spot.roofed),
                length_h,
                None,
                rain_unknown=used.prcp_mm is None and not spot.roofed,
            ),
        )
        findings += rank_findings(
            [
                _finding(needs, laid, at, shared=shared, carried=carried, comfort=comfort)
                for at, (needs, carried, comfort) in enumerate(
                    zip(laid.needs, carried_of(laid.cases), comfort_at(laid, place), strict=True)
                )
            ]
        )
    return CheckResult(
        place=place,
        record=summarise_record(used),
        settings=settings_of(options),
        results=tuple(findings),
        zones=find_zones(filled, place, options.minimum_allowance_c),
        spots=tuple(laid.spot for laid in laid_out.spots),
    )


class _Shared(Struct, frozen=True, kw_only=True):
    """What the findings of one spot share; counts by floor, ends of the spot's range of each."""

    spot: Spot
    options: CheckOptions
    normals: dict[float, Normals]
    by_month: dict[float, tuple[MonthOfYear, ...]]
    ends: Sequence[SpotEnds | None]
    growth: GrowthSpot


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
    comfort: dict[str, Any],
) -> Finding:
    """The answer for one group at one spot."""
    options = shared.options
    near = _nearness(needs, laid, options, at)
    case, decision = laid.cases[at], laid.decisions[at]
    verdict = decision.verdict
    growth = shared.normals[needs.floor_c]
    resting = None if needs.rest_floor_c is None else shared.normals[needs.rest_floor_c]
    growth_spot = shared.growth
    rest = find_rest(needs, decision, growth_spot.resting, rain_unknown=growth_spot.rain_unknown)
    growing = None
    if has_calendar(case, decision):
        growing = find_growing(find_growth_days(needs, case, decision, growth_spot))
    flowers = flowers_of(verdict, rest, rests_of(verdict, rest, needs))
    return Finding(
        **verdict_told(laid, at, carried, growth_spot.resting),
        **comfort,
        borderline={near.colder, near.warmer} != {verdict},
        verdict_colder=near.colder,
        verdict_warmer=near.warmer,
        dry_verdict=near.dry,
        spot_ends=shared.ends[at],
        hours_below=growth.hours,
        hours_below_median=growth.median_hours,
        hours_below_bad=growth.bad_hours,
        degree_hours_below=growth.degree_hours,
        years_of_month=growth.years,
        hours_below_rest=None if resting is None else resting.hours,
        hours_below_rest_bad=None if resting is None else resting.bad_hours,
        degree_hours_below_rest=None if resting is None else resting.degree_hours,
        hours_below_comfort=None
        if needs.comfort_c is None
        else shared.normals[needs.comfort_c].hours,
        by_month=shared.by_month[needs.floor_c],
        season=season_of(decision.season_allowed),
        growing_days=tuple(
            int(days.sum()) for days in np.split(decision.floor_days, MONTH_STARTS[1:])
        ),
        unsafe_share=_unsafe_share(case),
        margin_c=near.margin_c,
        headroom_c=near.headroom_c,
        rest=rest,
        flowers=flowers,
        line=line_of(
            survives_of(case, decision),
            verdict,
            flowers,
            rest,
            indoors=shared.spot.room is not None,
        ),
        ranking=rank_of(
            needs, case, decision, growth_spot.resting, flowers=flowers, heat=comfort["heat"]
        ),
        growing_seasons=growing,
        stability=near.stability,
        worst_nights=worst_nights(case) if options.worst else (),
        worst_fortnights=worst_fortnights(case) if options.worst else (),
    )


def verdict_told(
    laid: LaidSpot, at: int, carried: CarriedNights | None, resting: RestPeriod
) -> dict[str, Any]:
    """What a finding and a move say alike of one group at its spot: who it is, and the verdict."""
    needs, case, decision = laid.needs[at], laid.cases[at], laid.decisions[at]
    rules, judged = case.rules, decision.verdict is not Verdict.NONE
    return {
        **whose(laid.spot.name, needs, decision.unseen.nights),
        "indoors": laid.spot.room is not None,
        "steady": laid.spot.is_steady,
        "rests_there": rests_there(needs, decision, resting),
        "verdict": decision.verdict,
        "reason": explain(case, decision),
        "provisional": verdicts.is_provisional(decision, rules),
        "promise_worth": verdicts.promise_worth(decision, rules),
        "promise": rules.promise,
        "model_based": judged and _leans_on_model(decision, rules),
        "years_usable": decision.years_usable,
        "years_kept": decision.years_kept,
        "years_counted": decision.years_kept + decision.years_failed,
        "survival_season": season_of(decision.survival_season),
        "survival_seasons": tuple(filter(None, map(season_of, decision.survival_seasons))),
        "carried_nights": carried if judged else None,
        "nearly_all_year": decision.nearly_all_year,
        "limiting": limiting_causes(case, decision),
        "thresholds": _thresholds(needs),
    }


def _thresholds(needs: Needs) -> Thresholds:
    """The thresholds that decide about a group."""
    return Thresholds(
        floor_c=needs.floor_c,
        rest_floor_c=needs.rest_floor_c,
        chill_base_c=needs.chill_base_c,
        dose_limit_c_h=needs.dose_limit_c_h,
        limit_c=needs.limit_c,
        limit_wet_c=needs.limit_wet_c,
        ceiling_c=needs.ceiling_c,
        heat_signs=needs.heat_signs,
        low_confidence_limit=needs.low_confidence_limit,
        comfort_c=needs.comfort_c,
    )


def _leans_on_model(decision: Decision, rules: Rules) -> bool:
    """Whether the years alone, without a model of years like them, cannot carry the promise."""
    all_kept = decision.years_failed == 0
    return not all_kept or without_model(decision.years_kept) < rules.promise


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
    return [
        _carried_in(years, case) for years, case in zip(carried_by_year(cases), cases, strict=True)
    ]


def _carried_in(by_year: NDArray[np.int64], case: Case) -> CarriedNights | None:
    """Carried nights of one group; its own usable years say what is typical, any the worst."""
    usable = case.observed.summer_usable
    if usable.sum() < case.rules.fewest_years:
        return None
    typical = median(by_year[usable])
    if typical > MOST_CARRIED:
        return None
    return CarriedNights(typical=math.ceil(typical), worst=int(by_year.max()))
