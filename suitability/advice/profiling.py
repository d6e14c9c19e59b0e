"""Before buying: what fails first and when, the hours outside its ranges, and what would help.

It asks the same questions as a check, of few groups and in full, and of a plant in its own state,
with damage that was noted beside the nights before it.
"""

from __future__ import annotations

from collections import Counter
from collections.abc import Mapping, Sequence
from datetime import date

import numpy as np
from msgspec import Struct
from msgspec.structs import asdict, replace
from numpy.typing import NDArray

from suitability.advice import verdicts, what_if
from suitability.advice.cases import Case
from suitability.advice.flowering import bloom_at, light_of
from suitability.advice.needs import SpotYear, judge_plant_year, lay_out_spot_year
from suitability.advice.plant_state import (
    PlantState,
    StateChange,
    Subject,
    apply_state,
)
from suitability.advice.preparing import LaidOut, SpotCases, with_humidity
from suitability.advice.profile import (
    BudRisk,
    CautionVerdict,
    FailureCause,
    FirstCause,
    FirstFailure,
    FirstWinter,
    HourRange,
    NotedDamage,
    Profile,
    RangeKind,
    Remedies,
    RoofRest,
)
from suitability.advice.reasons import limiting_causes
from suitability.advice.resting import days_met, find_dry_rest, flowers_of, rests_of
from suitability.advice.terms import Verdict
from suitability.advice.verdicts import Decision, season_of
from suitability.climate.cold import DOSE_NIGHTS, WET_WEIGHT, trailing_sum
from suitability.climate.days import local_hour, month_day, position_of
from suitability.climate.exposure import EPSILON_C, HOURS_OF_YEAR, monthly_exposure, monthly_normals
from suitability.climate.heat import sum_by_year
from suitability.climate.observing import plant_years
from suitability.climate.rest import RestPeriod
from suitability.climate.states import unsafe_nights
from suitability.groups.group import Caution, Needs
from suitability.places import Place
from suitability.spots.plants import LARGEST_SHIFT_C
from suitability.spots.spot import Spot
from suitability.weather.record import Record

FloatArray = NDArray[np.float64]

DAMAGE_LIFT_C = 1.0  # K, for damage that the group's thresholds do not explain; reasoned


def damage_noted(
    judged: SpotCases, needs: Needs, damage: Sequence[tuple[date, str]]
) -> tuple[NotedDamage, ...]:
    """Each noted damage (day and words) beside the 14 nights before it."""
    if not damage:
        return ()
    case, nights = judged.case(needs), judged.nights
    unsafe = unsafe_nights(case.shortfall)[position_of(nights.axis)]
    dose = trailing_sum(np.nan_to_num(nights.dose.degree_hours_below(needs.chill_base_c)))
    lowest = np.fmin.reduce(nights.temp_c, axis=1)
    noted = []
    for day, words in sorted(damage):
        before = _nights_before(day, nights.first_day, lowest)
        noted.append(
            NotedDamage(day=day, words=words, lowest_c=None, dose_c_h=None, expected=None)
            if before is None
            else NotedDamage(
                day=day,
                words=words,
                lowest_c=float(np.nanmin(lowest[before])),
                dose_c_h=round(float(dose[before].max()), 6),
                expected=bool(unsafe[before].any()),
            )
        )
    return tuple(noted)


def _nights_before(day: date, first_day: int, lowest_c: FloatArray) -> slice | None:
    """The 14 nights before a day; None where the record does not hold them."""
    evening = (day - date(1970, 1, 1)).days - first_day
    before = slice(evening - DOSE_NIGHTS, evening)
    if before.start < 0 or evening > lowest_c.size or np.isnan(lowest_c[before]).all():
        return None
    return before


def lift_by_damage(damage: Sequence[NotedDamage], *, evergreen: bool) -> float:
    """
    How much tenderer than its group noted damage shows a plant to be, K.

    One for each damage that the group's thresholds do not explain; for an evergreen plant one for
    each repeat too, since it recovers once and weakens with each repeat (common practice, no
    source). Damage outside the record tells nothing but counts as a time.
    """
    unexplained = sum(noted.expected is False for noted in damage)
    repeats = max(0, len(damage) - 1 - unexplained) if evergreen else 0
    return DAMAGE_LIFT_C * (unexplained + repeats)


HOURS_OF_FORTNIGHT = DOSE_NIGHTS * 24.0


def find_remedies(needs: Needs, spot: Spot, judged: SpotCases, period: RestPeriod) -> Remedies:
    """
    Shelter, roof, heat, or a cooler place.

    Parameters
    ----------
    needs
        Of the plant in its state.
    judged
        The cases of the spot; these needs have a verdict there.
    period
        Of the rest at the spot.
    """
    case, verdict = judged.case(needs), judged.decision(needs).verdict
    shelter = what_if.find_margin(case, verdict)
    cooling = what_if.find_cooling(case, verdict) if needs.heat_limited else None
    roof = judged.dry_verdict(needs, spot)
    dry = None if roof is None else judged.dry_decision(needs)
    return Remedies(
        shelter_c=shelter,
        shelter_verdict=None if shelter is None else verdicts.grade(case, shelter),
        all_year_c=None
        if verdict is Verdict.ALL_YEAR
        else what_if.find_shift_to(case, Verdict.ALL_YEAR),
        cooling_c=cooling,
        cooling_verdict=None if cooling is None else verdicts.grade(case, -cooling),
        roof_verdict=roof,
        roof_season=None if dry is None else season_of(dry.season_allowed),
        roof_nearly_all_year=dry is not None and dry.nearly_all_year,
        roof_rest=None if roof is None else _roof_rest(needs, judged, period),
        hold_c=_held_c(needs, wet=not spot.roofed),
        hold_growing_c=max(_held_c(needs, wet=not spot.roofed), needs.floor_c),
    )


def _roof_rest(needs: Needs, judged: SpotCases, period: RestPeriod) -> RoofRest | None:
    """The rest with rain kept off; None where no flowers hang on one, or it cannot be judged."""
    verdict, rest = find_dry_rest(needs, judged.dry_decision(needs), period)
    if rest.met_years is None or rest.partly_years is None or not rest.of_years:
        return None
    rests = rests_of(verdict, rest, needs)
    return RoofRest(
        rests=rests,
        flowers=flowers_of(verdict, rest, rests),
        met_years=rest.met_years,
        partly_years=rest.partly_years,
        of_years=rest.of_years,
    )


def _held_c(needs: Needs, *, wet: bool) -> float:
    """Night temperature that, held for ever, keeps every night fine, rounded up to 0.1 °C."""
    weight = WET_WEIGHT if wet else 1.0
    by_dose = needs.chill_base_c - needs.dose_limit_c_h / (HOURS_OF_FORTNIGHT * weight)
    held = max(needs.limit_wet_c if wet else needs.limit_c, by_dose)
    return float(np.ceil(held * 10.0 - 1e-6) / 10.0)


BoolArray = NDArray[np.bool_]

BUD_JUMP_C = 8.0  # K between the minima of two nights; reasoned
JUST_ABOVE_C = 3.0 * EPSILON_C  # °C; "at or below t" is "below t and this"


def make_profiles(
    laid_out: LaidOut,
    spot: Spot,
    subjects: Sequence[Subject],
    *,
    label_c: tuple[float, float] | None = None,
) -> tuple[Profile, ...]:
    """
    Each group or plant at one spot.

    Parameters
    ----------
    laid_out
        From `lay_out` with `profile_needs` of the subjects.
    label_c : °C
        Lowest and highest temperature that the plant's label gives.
    """
    used, place, laid = laid_out.used, laid_out.place, laid_out.at(spot)
    here = used if laid.spot.is_as_outside else with_humidity(used, laid.record)
    year = lay_out_spot_year(laid.spot, laid.nights, here, place)
    hours = _HoursOfYear(here, place)
    profiles: list[Profile] = []
    for subject in subjects:
        spots_asked = _SpotsAsked(
            spot=laid.spot,
            judged=laid.judged,
            year=year,
            hours=hours,
            subject=subject,
            pose=_pose(subject, laid.judged),
            label_c=label_c,
        )
        profile, group = _profile(spots_asked), subject.group
        bloom, light = bloom_at(group, place.latitude), light_of(group)
        profiles.append(replace(profile, bloom=bloom, light=light))
    return tuple(profiles)


def needs_at(subject: Subject, judged: SpotCases) -> Needs:
    """
    What a group or plant needs in its state, noted damage included.

    Parameters
    ----------
    judged
        The cases of the spot where it stood when it was damaged, laid out for `profile_needs`.
    """
    return _pose(subject, judged).needs


def profile_needs(subjects: Sequence[Subject]) -> list[Needs]:
    """All needs whose thresholds profiles may ask for."""
    ends = [subject.group.needs(caution) for subject in subjects for caution in Caution]
    # No state of a plant raises the thresholds of its group farther than this one.
    tenderest = PlantState(first_winter=True, shift_c=LARGEST_SHIFT_C)
    return [*ends, *(apply_state(needs, tenderest)[0] for needs in ends)]


class _Pose(Struct, frozen=True, kw_only=True):
    """A plant in its state: what it needs, why, and what was noted of it."""

    needs: Needs
    state: PlantState
    changes: tuple[StateChange, ...]
    damage: tuple[NotedDamage, ...]


def _pose(subject: Subject, judged: SpotCases) -> _Pose:
    """A plant in its state; damage is looked up in the nights of its spot."""
    damage = damage_noted(judged, subject.group.needs(subject.caution), subject.damage)
    lift_c = lift_by_damage(damage, evergreen=subject.evergreen is not False)
    needs, changes, state = subject.needs(lift_c)
    return _Pose(needs=needs, state=state, changes=changes, damage=damage)


class _SpotsAsked(Struct, frozen=True, kw_only=True):
    """All that a profile is made from."""

    spot: Spot
    judged: SpotCases
    year: SpotYear
    hours: _HoursOfYear
    subject: Subject
    pose: _Pose
    label_c: tuple[float, float] | None


def _profile(spots_asked: _SpotsAsked) -> Profile:
    """One group or plant at one spot."""
    pose, judged_here = spots_asked.pose, spots_asked.judged
    needs = pose.needs
    case, decision = judged_here.case(needs), judged_here.decision(needs)
    judged = decision.verdict is not Verdict.NONE
    year = judge_plant_year(needs, case, decision, spots_asked.year)
    return Profile(
        **asdict(year),
        fails_first=_first_cold(case) if judged else None,
        fails_in_heat=_first_heat(case) if judged else None,
        ranges=_ranges(spots_asked),
        remedies=find_remedies(needs, spots_asked.spot, judged_here, spots_asked.year.period)
        if judged
        else None,
        by_caution=_by_caution(spots_asked) if judged else (),
        first_winter=_first_winter(spots_asked) if judged else None,
        state=pose.state,
        changes=pose.changes,
        damage=pose.damage,
        buds=_buds(case, decision) if pose.state.in_bud and judged else None,
    )


# What fails first -----------------------------------------------------------------------------


def _first_cold(case: Case) -> FirstFailure:
    """By cold, each plant year from mid-summer on."""
    shortfall = case.shortfall
    causes: dict[FirstCause, BoolArray] = {
        "hard-night": shortfall.dry_c > 0.0,
        "wet-cold": (shortfall.wet_c > 0.0) & (shortfall.dry_c <= 0.0),
        "dose": shortfall.dose_c > 0.0,
    }
    worst = np.maximum(shortfall.hard_c, shortfall.dose_c)
    return _first(causes, worst, case.nights.summer, case.observed.summer_usable)


def _first_heat(case: Case) -> FirstFailure | None:
    """By heat, each plant year from mid-winter on; None where heat does not exclude."""
    room = case.shortfall.heat_room_c
    if room is None:
        return None
    return _first({"heat": room < 0.0}, -room, case.nights.winter, case.observed.winter_usable)


def _first(
    causes: Mapping[FirstCause, BoolArray], shortfall_c: FloatArray, cut: int, usable: BoolArray
) -> FirstFailure:
    """
    The first unsafe night of each plant year, and its cause; the first listed where several meet.

    Years not observed well enough tell where they have an unsafe night all the same.
    """
    by_cause = {cause: plant_years(flags, cut, outside=False) for cause, flags in causes.items()}
    unsafe = np.logical_or.reduce(list(by_cause.values()))
    fails = unsafe.any(axis=1)
    day = np.argmax(unsafe, axis=1)
    rows = np.flatnonzero(fails)
    first = Counter(
        next(cause for cause, flags in by_cause.items() if flags[row, day[row]])
        for row in rows.tolist()
    )
    days = np.sort(day[rows])
    tells = usable | fails
    spare = None
    if tells.any() and not rows.size:
        worst = plant_years(shortfall_c, cut, outside=-np.inf).max(axis=1)[tells].max()
        spare = float(np.floor(-worst * 10.0 + 1e-6) / 10.0) if np.isfinite(worst) else None
    return FirstFailure(
        failing_years=int(rows.size),
        of_years=int(tells.sum()),
        causes=tuple(
            FailureCause(cause=cause, years=years) for cause, years in first.most_common()
        ),
        usual_date=month_day(cut + int(days[days.size // 2])) if days.size else None,
        earliest_date=month_day(cut + int(days[0])) if days.size else None,
        spare_c=spare,
    )


# Ranges against hours -------------------------------------------------------------------------


class _HoursOfYear:
    """Hours of the mean year below any temperature, remembered."""

    def __init__(self, used: Record, place: Place) -> None:
        self._used = used
        self._start = local_hour(used.start_hour, place.utc_offset_hours)
        self._known: dict[float, float | None] = {}

    def below(self, temp_c: float) -> float | None:
        """Hours below; None where a month is not observed well enough."""
        if temp_c not in self._known:
            exposure = monthly_exposure(
                self._used.temp_c, self._used.counted, self._start, np.array([temp_c])
            )
            total = float(monthly_normals(exposure, self._used.step_hours).mean_hours[0].sum())
            self._known[temp_c] = None if np.isnan(total) else total
        return self._known[temp_c]


def _ranges(spots_asked: _SpotsAsked) -> tuple[HourRange, ...]:
    """The label's range, that of life and that of growth."""
    needs, days = spots_asked.pose.needs, spots_asked.subject.group.day_growth_c
    ranges: list[tuple[RangeKind, float, float | None]] = [
        ("lives", needs.limit_c, needs.ceiling_c),
        ("grows", needs.floor_c, needs.ceiling_c if days is None else days.high),
    ]
    if spots_asked.label_c is not None:
        ranges.insert(0, ("label", *spots_asked.label_c))
    return tuple(_hour_range(spots_asked.hours, *one) for one in ranges)


def _hour_range(
    hours: _HoursOfYear, kind: RangeKind, low_c: float, high_c: float | None
) -> HourRange:
    """Hours below, within and above a range; its ends are within."""
    below = hours.below(low_c)
    up_to = HOURS_OF_YEAR if high_c is None else hours.below(high_c + JUST_ABOVE_C)
    return HourRange(
        kind=kind,
        low_c=low_c,
        high_c=high_c,
        hours_colder=below,
        hours_within=None if below is None or up_to is None else up_to - below,
        hours_warmer=HOURS_OF_YEAR - up_to if up_to is not None else None,
    )


# What would have to change --------------------------------------------------------------------


def _by_caution(spots_asked: _SpotsAsked) -> tuple[CautionVerdict, ...]:
    """Verdicts at the ends of the group's ranges, for the plant in its state."""
    found = []
    for caution in Caution:
        needs, _ = apply_state(spots_asked.subject.group.needs(caution), spots_asked.pose.state)
        decision = spots_asked.judged.decision(needs)
        found.append(
            CautionVerdict(
                caution=caution.value,
                verdict=decision.verdict,
                season=season_of(decision.season_allowed),
            )
        )
    return tuple(found)


def _first_winter(spots_asked: _SpotsAsked) -> FirstWinter | None:
    """The verdict on a plant of the group that was just bought; None of one that is known."""
    subject, state = spots_asked.subject, spots_asked.pose.state
    if subject.plants or state.first_winter:
        return None
    bought = replace(state, first_winter=True)
    needs, _ = apply_state(subject.group.needs(subject.caution), bought)
    case, decision = spots_asked.judged.case(needs), spots_asked.judged.decision(needs)
    causes = {one.cause for one in limiting_causes(case, decision)}
    return FirstWinter(
        verdict=decision.verdict,
        season=season_of(decision.season_allowed),
        only_gaps=causes == {"missing-nights"} and not unsafe_nights(case.shortfall).any(),
    )


# State of a plant -----------------------------------------------------------------------------


def _buds(case: Case, decision: Decision) -> BudRisk:
    """Cold nights and jumps on the days out; on all days where there is none."""
    nights, usable = case.nights, case.observed.winter_usable
    days = days_met(decision)
    lowest = np.fmin.reduce(nights.temp_c, axis=1)
    jump = np.abs(np.diff(lowest, prepend=np.nan)) > BUD_JUMP_C
    cold = lowest < case.limits.chill_base_c - EPSILON_C

    def a_year(flags: BoolArray) -> float | None:
        if not usable.any():
            return None
        by_year = sum_by_year(nights.axis, flags.astype(np.float64), nights.winter, days)
        return float(by_year[usable].mean())

    return BudRisk(cold_nights=a_year(cold), jumps=a_year(jump))
