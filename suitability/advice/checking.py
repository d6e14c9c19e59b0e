"""
Check: from a record, spots and groups to a finding for each, in one pass over the hours.

What does not depend on the plant (nights, cold by level, coverage) is worked out once a spot; all
thresholds of all groups share one pass of exposure.
"""

from __future__ import annotations

import math
from dataclasses import dataclass, replace
from datetime import UTC, date, datetime, timedelta
from typing import TYPE_CHECKING

import numpy as np
from numpy.typing import NDArray

from suitability.advice import verdicts
from suitability.advice.reasons import explain, limiting_causes
from suitability.advice.result import (
    CarriedNights,
    CheckResult,
    Finding,
    MonthOfYear,
    Normals,
    RecordSummary,
    RestFinding,
    Season,
    Settings,
    WorstFortnight,
    WorstNight,
)
from suitability.advice.verdicts import FARTHEST_C, Case, Decision, Rules, Verdict
from suitability.climate.carrying import carried_nights
from suitability.climate.chance import without_model
from suitability.climate.climatology import MonthlyNormals, monthly_normals
from suitability.climate.cold import DOSE_NIGHTS, trailing_sum
from suitability.climate.days import MONTH_STARTS, gather, local_hour, month_day, position_of
from suitability.climate.exposure import MonthlyExposure, monthly_exposure
from suitability.climate.seasons import Stretch, observe, plant_years
from suitability.climate.states import (
    SpotNights,
    Thresholds,
    lay_out_nights,
    unsafe_nights,
    wet_hours,
)
from suitability.climate.worst import highest_apart, lowest
from suitability.weather.record import (
    clip_record,
    datetime_of_hour,
    fill_short_gaps,
    hour_of_datetime,
)

if TYPE_CHECKING:
    from collections.abc import Sequence

    from suitability.groups.group import Needs
    from suitability.places import Place
    from suitability.spots.spot import Spot
    from suitability.weather.record import Record

__all__ = ["CheckOptions", "check_groups", "summarise_record"]

FloatArray = NDArray[np.float64]

WORST_LISTED = 10
MOST_CARRIED = 45  # nights a year; beyond that a plant does not "otherwise stay out"
DRAWS = 200  # resamples of years for stability; its standard error is then under 0.04


@dataclass(frozen=True, slots=True, kw_only=True)
class CheckOptions:
    """
    What is asked of a check.

    Attributes
    ----------
    rules
    minimum_allowance_c : K
        What hourly readings miss of the night minimum.
    caution, quality
        Said in the result; `needs` and the record already follow them.
    seed
        Of the resampling of years.
    first_year, last_year
        Calendar years used, standard time; None: the last 30 of the record.
    worst
        Whether the worst nights and fortnights are listed.
    """

    rules: Rules
    minimum_allowance_c: float = 0.6
    caution: str = "usual"
    quality: bool = True
    seed: int = 20
    first_year: int | None = None
    last_year: int | None = None
    worst: bool = False


def check_groups(
    record: Record,
    place: Place,
    spots: Sequence[Spot],
    groups: Sequence[Needs],
    options: CheckOptions,
) -> CheckResult:
    """
    The finding for each spot and group.

    Parameters
    ----------
    record
        After the checks of quality.
    groups
        At least one.

    Raises
    ------
    RecordError
        Nothing of the record lies in the years asked for.
    """
    used = _years_asked(record, place, options)
    local_start = local_hour(used.start_hour, place.utc_offset_hours)
    floors = sorted({floor for needs in groups for floor in _floors(needs)})
    exposure = monthly_exposure(used.temp_c, used.counted, local_start, np.array(floors))
    normals = monthly_normals(exposure, used.step_hours)
    filled = fill_short_gaps(used)
    findings: list[Finding] = []
    for spot in spots:
        wet = wet_hours(used.prcp_mm, used.temp_c.size, roofed=spot.roofed)
        nights = lay_out_nights(
            filled.temp_c,
            wet,
            local_start,
            minimum_allowance_c=options.minimum_allowance_c,
            highest_c=FARTHEST_C + max([*floors, *(needs.chill_base_c for needs in groups)]),
            dose_limits_c_h=frozenset(needs.dose_limit_c_h for needs in groups),
        )
        cases = _cases(nights, groups, options.rules)
        carried = _carried(cases)
        shared = _Shared(
            spot=spot, options=options, floors=floors, exposure=exposure, normals=normals
        )
        findings += map(_finding, groups, cases, carried, [shared] * len(groups))
    return CheckResult(
        place=place,
        record=summarise_record(used),
        settings=Settings(
            reliability=options.rules.promise,
            caution=options.caution,
            minimum_allowance_c=options.minimum_allowance_c,
            seed=options.seed,
            quality=options.quality,
        ),
        findings=tuple(findings),
    )


def _years_asked(record: Record, place: Place, options: CheckOptions) -> Record:
    """The record within the calendar years asked for."""
    offset = place.utc_offset_hours
    last = options.last_year or datetime_of_hour(local_hour(record.stop_hour - 1, offset)).year
    first = options.first_year or last - 29
    edges = (hour_of_datetime(datetime(year, 1, 1, tzinfo=UTC)) for year in (first, last + 1))
    start, stop = (math.ceil(edge - offset) for edge in edges)
    return clip_record(record, start, stop)


def _floors(needs: Needs) -> tuple[float, ...]:
    """Thresholds whose hours are counted by month."""
    return (needs.floor_c,) if needs.rest_floor_c is None else (needs.floor_c, needs.rest_floor_c)


def _cases(nights: SpotNights, groups: Sequence[Needs], rules: Rules) -> list[Case]:
    """All groups at one spot, ready to be judged."""
    by_night = observe(nights.unknown, nights.winter, nights.summer)
    by_day = observe(nights.day_unknown, nights.winter, nights.summer)
    return [
        verdicts.build_case(
            nights, thresholds_of(needs), rules, by_day if needs.heat_limited else by_night
        )
        for needs in groups
    ]


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


@dataclass(frozen=True, slots=True, kw_only=True)
class _Shared:
    """What the findings of one spot share; the counts of all floors are looked up here."""

    spot: Spot
    options: CheckOptions
    floors: list[float]
    exposure: MonthlyExposure
    normals: MonthlyNormals

    def of(self, floor_c: float) -> Normals:
        """The climatological year below one floor."""
        row = self.floors.index(floor_c)
        return Normals(
            threshold_c=floor_c,
            hours=_numbers(self.normals.mean_hours[row]),
            median_hours=_numbers(self.normals.median_hours[row]),
            bad_hours=_numbers(self.normals.bad_hours[row]),
            degree_hours=_numbers(self.normals.mean_degree_hours[row]),
            years=tuple(self.normals.years.tolist()),
        )

    def by_month(self, floor_c: float) -> tuple[MonthOfYear, ...]:
        """Raw counts below one floor."""
        row, exposure = self.floors.index(floor_c), self.exposure
        first = exposure.first_year * 12 + exposure.first_month - 1
        rows = zip(
            _numbers(exposure.hours_below[row]),
            _numbers(exposure.degree_hours_below[row]),
            exposure.hours_valid.tolist(),
            strict=True,
        )
        return tuple(
            MonthOfYear(
                year=(first + number) // 12,
                month=(first + number) % 12 + 1,
                hours_valid=int(valid),
                hours_below=hours,
                degree_hours_below=degree_hours,
            )
            for number, (hours, degree_hours, valid) in enumerate(rows)
        )


def _numbers(values: FloatArray) -> tuple[float | None, ...]:
    """Plain numbers, None for nan."""
    return tuple(None if value != value else value for value in values.tolist())  # noqa: PLR0124


def _finding(needs: Needs, case: Case, carried: CarriedNights | None, shared: _Shared) -> Finding:
    """The answer for one group at one spot."""
    spot, options = shared.spot, shared.options
    decision = verdicts.decide(case)
    verdict = decision.verdict
    judged = verdict is not Verdict.NONE
    colder = verdicts.grade(case, -1.0) if judged else verdict
    warmer = verdicts.grade(case, 1.0) if judged else verdict
    counted = decision.years_kept + decision.years_failed
    sure = decision.years_usable >= options.rules.fewest_for_sure
    return Finding(
        spot=spot.name,
        group=needs.key,
        group_name=needs.name,
        verdict=verdict,
        reason=explain(case, decision),
        provisional=judged and not sure,
        borderline=len({verdict, colder, warmer}) > 1,
        verdict_colder=colder,
        verdict_warmer=warmer,
        dry_verdict=_dry_verdict(case, spot) if judged else None,
        reliability=options.rules.promise,
        model_based=judged and _leans_on_model(decision, options.rules),
        years_usable=decision.years_usable,
        years_kept=decision.years_kept,
        years_counted=counted,
        growth=shared.of(needs.floor_c),
        rest_floor=None if needs.rest_floor_c is None else shared.of(needs.rest_floor_c),
        by_month=shared.by_month(needs.floor_c),
        season=_season(decision.season),
        safe_season=_season(decision.safe_season),
        safe_seasons=tuple(season for season in map(_season, decision.safe_seasons) if season),
        growing_days=tuple(
            int(days.sum()) for days in np.split(decision.floor_days, MONTH_STARTS[1:])
        ),
        unsafe_share=_unsafe_share(case),
        carried_nights=carried if judged else None,
        margin_c=verdicts.find_margin(case, verdict),
        headroom_c=verdicts.find_headroom(case, verdict),
        rest=RestFinding(needed=needs.rest_needed),
        limiting=limiting_causes(case, decision),
        stability=verdicts.stability(case, decision, DRAWS, options.seed) if judged else None,
        floor_c=needs.floor_c,
        rest_floor_c=needs.rest_floor_c,
        chill_base_c=needs.chill_base_c,
        dose_limit_c_h=needs.dose_limit_c_h,
        limit_c=needs.limit_c,
        limit_wet_c=needs.limit_wet_c,
        ceiling_c=needs.ceiling_c,
        low_confidence_limit=needs.low_confidence_limit,
        worst_nights=_worst_nights(case) if options.worst else (),
        worst_fortnights=_worst_fortnights(case) if options.worst else (),
    )


def _leans_on_model(decision: Decision, rules: Rules) -> bool:
    """Whether the years alone, without a model of years like them, cannot carry the promise."""
    all_kept = decision.years_failed == 0
    return not all_kept or without_model(decision.years_kept) < rules.promise


def _season(stretch: Stretch | None) -> Season | None:
    """A stretch in days of the year."""
    if stretch is None:
        return None
    return Season(out=month_day(stretch.start), inn=month_day(stretch.stop), days=stretch.nights)


def _dry_verdict(case: Case, spot: Spot) -> Verdict | None:
    """The verdict with rain kept off; None where the spot is roofed or no night was wet."""
    nights = case.nights
    if spot.roofed or bool(np.isinf(nights.wet_minimum_c).all()):
        return None
    dry = replace(nights, wet_minimum_c=np.full(nights.wet_minimum_c.size, np.inf))
    return verdicts.grade(replace(case, nights=dry))


def _unsafe_share(case: Case) -> tuple[float | None, ...]:
    """Share of each month's known nights that were unsafe."""
    unsafe = unsafe_nights(case.lack)
    known = (~case.nights.unknown | unsafe).reshape(-1, 365)
    bad = unsafe.reshape(-1, 365)
    months = zip(
        np.add.reduceat(bad.sum(axis=0), MONTH_STARTS).tolist(),
        np.add.reduceat(known.sum(axis=0), MONTH_STARTS).tolist(),
        strict=True,
    )
    return tuple(None if total == 0 else part / total for part, total in months)


def _carried(cases: Sequence[Case]) -> list[CarriedNights | None]:
    """Carried nights of all groups of a spot; None where a plant would hardly stay out at all."""
    nights = cases[0].nights
    hard, degree_hours = [], []
    for case in cases:
        cold = gather(nights.axis, nights.cold.degree_hours_below(case.limits.chill_base_c))
        hard.append(plant_years(case.lack.hard_c > 0.0, nights.summer, outside=False))
        degree_hours.append(plant_years(np.nan_to_num(cold), nights.summer, outside=0))
    limits = np.array([case.limits.dose_limit_c_h for case in cases])
    carried = carried_nights(np.stack(hard), np.stack(degree_hours), limits)
    usable = cases[0].summer_usable
    if usable.sum() < cases[0].rules.fewest_years:
        return [None] * len(cases)
    typical = np.median(carried[:, usable], axis=1)
    worst = carried.max(axis=1)
    return [
        CarriedNights(typical=math.ceil(usual), worst=int(most)) if usual <= MOST_CARRIED else None
        for usual, most in zip(typical.tolist(), worst.tolist(), strict=True)
    ]


def _worst_nights(case: Case) -> tuple[WorstNight, ...]:
    """The ten coldest nights, coldest first."""
    nights = case.nights
    reading = np.fmin.reduce(nights.temp_c, axis=1)
    below = case.lack.hard_c[position_of(nights.axis)]
    return tuple(
        WorstNight(
            evening=date(1970, 1, 1) + timedelta(days=nights.first_day + int(night)),
            minimum_c=float(reading[night]),
            below_limit_c=max(0.0, round(float(below[night]), 6)),
        )
        for night in lowest(np.where(np.isnan(reading), np.inf, reading), WORST_LISTED)
    )


def _worst_fortnights(case: Case) -> tuple[WorstFortnight, ...]:
    """The ten heaviest doses over 14 nights that do not overlap, heaviest first."""
    nights = case.nights
    dose = trailing_sum(nights.cold.degree_hours_below(case.limits.chill_base_c))
    reading = np.fmin.reduce(nights.temp_c, axis=1)
    return tuple(
        WorstFortnight(
            last_evening=date(1970, 1, 1) + timedelta(days=nights.first_day + int(night)),
            dose_c_h=round(float(dose[night]), 6),
            lowest_c=float(np.nanmin(reading[max(0, night - DOSE_NIGHTS + 1) : night + 1])),
        )
        for night in highest_apart(np.round(dose, 6), WORST_LISTED, DOSE_NIGHTS)
    )


def summarise_record(record: Record) -> RecordSummary:
    """What a report says of a record."""
    counted = int(record.counted.sum())
    possible = max(1, -(-record.temp_c.size // record.step_hours))
    return RecordSummary(
        start=f"{datetime_of_hour(record.start_hour):%Y-%m-%dT%H:%MZ}",
        stop=f"{datetime_of_hour(record.stop_hour - 1):%Y-%m-%dT%H:%MZ}",
        hours_valid=counted,
        coverage=min(1.0, counted / possible),
        step_hours=record.step_hours,
        origin=tuple(record.hours_by_origin().items()),
        source=record.source,
        licence=record.licence,
        attribution=record.attribution,
        station=record.station,
        flags=record.flags,
        notes=record.notes,
        rain_known=record.prcp_mm is not None,
    )
