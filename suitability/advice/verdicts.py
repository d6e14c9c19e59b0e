"""
The verdict on one group at one spot: all year, seasonal, indoors only, or not to be said.

The rules are those of `docs/method.md`; this module only puts the core's answers together.
"""

from __future__ import annotations

from dataclasses import dataclass, replace
from enum import StrEnum
from typing import TYPE_CHECKING

import numpy as np
from numpy.typing import NDArray

from suitability.climate import seasons, witnesses
from suitability.climate.days import DAYS
from suitability.climate.exposure import EPSILON_C
from suitability.climate.floor import floor_days
from suitability.climate.observing import (
    Observed,
    enough_hidden,
    observe,
    plant_years,
    usable_years,
)
from suitability.climate.states import (
    Lack,
    SpotNights,
    Thresholds,
    hidden_nights,
    lacking_warmth,
    without_wet,
)
from suitability.climate.witnesses import Kernel, Stretch, Witnesses

if TYPE_CHECKING:
    from collections.abc import Mapping, Sequence

__all__ = [
    "FARTHEST_C",
    "Case",
    "Decision",
    "Rules",
    "Verdict",
    "all_year_chance",
    "all_year_chances",
    "build_case",
    "decide",
    "foresee",
    "grade",
    "grows_long_enough",
    "kept_dry",
    "reaches",
    "whole_years",
]

FloatArray = NDArray[np.float64]
BoolArray = NDArray[np.bool_]
IntArray = NDArray[np.int64]

WHOLE_YEAR = Stretch(start=0, nights=DAYS)
FARTHEST_C = 15  # K, up to which they are looked for


class Verdict(StrEnum):
    """Whether a group can live at a spot."""

    ALL_YEAR = "outdoor-all-year"
    SEASONAL = "outdoor-seasonal"
    INDOOR = "indoor-only"
    NONE = "no-verdict"

    @property
    def rank(self) -> int:
        """Higher is better for the grower; `no-verdict` is beside the scale."""
        return {"outdoor-all-year": 2, "outdoor-seasonal": 1, "indoor-only": 0}.get(self.value, -1)


@dataclass(frozen=True, slots=True, kw_only=True)
class Rules:
    """
    The numbers of the verdict.

    Attributes
    ----------
    promise
        Probability that a new year keeps what is promised.
    shortest_season : d
        Two weeks of hardening and eight weeks to use them.
    fewest_years, fewest_for_all_year, fewest_for_sure : usable plant years
        Under the first there is no verdict, under the second none is "all year", under the third
        every verdict is provisional.
    """

    promise: float = 0.9
    shortest_season: int = 70
    fewest_years: int = 3
    fewest_for_all_year: int = 8
    fewest_for_sure: int = 10


@dataclass(frozen=True, slots=True, kw_only=True)
class Case:
    """
    One group at one spot, ready to be judged for every warming or cooling of the spot.

    Attributes
    ----------
    nights, limits, rules
    lack
        What each night lacks.
    witnesses
        What past years say about every stretch.
    kernel
        How far each of them stands for years like it.
    hidden : (position)
        Nights that may have been unsafe but were not observed, if there are enough to matter.
    observed
        How well the record observes the nights that this group asks about.
    yearly_lack, yearly_room : (plant year), °C
        Greatest lack and least room of each plant year by the mid-summer cut.
    yearly_seen : (plant year)
        Plant years in which missing nights hide nothing.
    """

    nights: SpotNights
    limits: Thresholds
    rules: Rules
    lack: Lack
    witnesses: Witnesses
    kernel: Kernel
    hidden: BoolArray
    observed: Observed
    yearly_lack: FloatArray
    yearly_seen: BoolArray
    yearly_room: FloatArray | None


@dataclass(frozen=True, slots=True, kw_only=True)
class Decision:
    """
    A verdict and what it was read from.

    Attributes
    ----------
    verdict
    season, safe_season, safe_seasons
        Stretches of the folded year; None or empty where there is none.
    years_usable, years_kept, years_failed
        Of the question that the verdict answers, counted plainly.
    floor_days : (365)
        Days on which the group grows or rests.
    all_year_chance, all_year_usable
        Probability that a new plant year is free of unsafe nights, and how many spoke.
    """

    verdict: Verdict
    season: Stretch | None
    safe_season: Stretch | None
    safe_seasons: tuple[Stretch, ...]
    years_usable: int
    years_kept: int
    years_failed: int
    floor_days: BoolArray
    all_year_chance: float
    all_year_usable: int


def build_case(nights: SpotNights, limits: Thresholds, rules: Rules, observed: Observed) -> Case:
    """
    One group at one spot, ready to be judged.

    Parameters
    ----------
    observed
        Of the spot's nights; of its whole days for a group that heat excludes.
    """
    lack = lacking_warmth(nights, limits)
    hidden, seen = enough_hidden(hidden_nights(nights, limits))
    cold_c = np.maximum(lack.hard_c, lack.dose_c)
    yearly_lack = plant_years(cold_c, nights.summer, -np.inf)
    room = lack.heat_room_c
    return Case(
        nights=nights,
        limits=limits,
        rules=rules,
        lack=lack,
        witnesses=witnesses.call_witnesses(lack, observed.supported, seen, nights.winter),
        kernel=witnesses.kernel_for(int(observed.winter_usable.sum())),
        hidden=hidden,
        observed=observed,
        yearly_lack=yearly_lack.max(axis=1),
        yearly_seen=_years_seen(hidden, nights.summer),
        yearly_room=None if room is None else plant_years(room, nights.summer, np.inf).min(axis=1),
    )


def kept_dry(case: Case) -> Case:
    """The case with rain kept off the pot: no hour is wet."""
    lack = without_wet(case.lack, case.nights, case.limits)
    yearly_lack = plant_years(np.maximum(lack.dry_c, lack.dose_c), case.nights.summer, -np.inf)
    return replace(
        case,
        lack=lack,
        witnesses=witnesses.with_cold(case.witnesses, lack),
        yearly_lack=yearly_lack.max(axis=1),
    )


def _shifted(case: Case, warmer_c: float) -> Case:
    """The case with the nights that may be hidden when every hour is so much warmer."""
    if warmer_c == 0.0 or not case.observed.may_hide:
        return case
    hidden, seen = enough_hidden(hidden_nights(case.nights, case.limits, warmer_c))
    return replace(
        case,
        hidden=hidden,
        witnesses=witnesses.with_seen(case.witnesses, seen),
        yearly_seen=_years_seen(hidden, case.nights.summer),
    )


def _years_seen(hidden: BoolArray, cut: int) -> BoolArray:
    """Plant years that hidden nights do not spoil, (plant year)."""
    if not hidden.any():
        return np.ones(hidden.size // DAYS + (cut > 0), np.bool_)
    return usable_years(plant_years(hidden, cut, outside=False))


def whole_years(case: Case, warmer_c: float, spread_c: float) -> tuple[FloatArray, FloatArray]:
    """Weight with which each plant year kept, and failed, the whole year, (plant year)."""
    free = witnesses.free_weight(case.yearly_lack, case.yearly_room, warmer_c, spread_c)
    free = np.where(case.yearly_seen, free, 0.0)
    return np.where(case.observed.summer_usable, free, 0.0), 1.0 - free


def all_year_chance(case: Case, warmer_c: float = 0.0) -> float:
    """
    Probability that a new plant year stays free of unsafe nights.

    Parameters
    ----------
    warmer_c : K
        Constant added to every hour of the spot.
    """
    kept, failed = whole_years(case, warmer_c, case.kernel.whole_year_spread_c)
    total = float(kept.sum() + failed.sum())
    return float(kept.sum()) / total if total > 0 else 0.0


def all_year_chances(case: Case, warmer_c: FloatArray) -> FloatArray:
    """
    `all_year_chance` for several warmings, were no night hidden.

    Parameters
    ----------
    warmer_c : (warming), K
    """
    room = None if case.yearly_room is None else case.yearly_room[:, None]
    spread_c = case.kernel.whole_year_spread_c
    free = witnesses.free_weight(case.yearly_lack[:, None], room, warmer_c, spread_c)
    kept = free[case.observed.summer_usable].sum(axis=0)
    total = kept + (1.0 - free).sum(axis=0)
    chances: FloatArray = np.divide(kept, total, out=np.zeros(kept.size), where=total > 0.0)
    return chances


def _all_year(case: Case, growing: BoolArray, warmer_c: float = 0.0) -> bool:
    """Whether the whole year is promised, no night was fatal and the floor rule always holds."""
    if case.observed.summer_usable.sum() < case.rules.fewest_for_all_year:
        return False
    if case.lack.fatal_c > warmer_c or not growing.all():
        return False
    return all_year_chance(case, warmer_c) >= case.rules.promise - 1e-9


def grows_long_enough(case: Case, growing: BoolArray) -> BoolArray:
    """Days from which the group grows or rests for a whole shortest season, (365)."""
    longest: BoolArray = seasons.run_from(growing) >= case.rules.shortest_season
    return longest


def _seasonal(case: Case, growing: BoolArray, warmer_c: float = 0.0) -> bool:
    """Whether some stretch of the shortest season is promised and grows or rests throughout."""
    grows = grows_long_enough(case, growing)
    if not grows.any():
        return False
    share = witnesses.promised_share(
        case.witnesses, case.rules.shortest_season, case.kernel, warmer_c
    )
    return bool((share[grows] >= case.rules.promise - 1e-9).any())


def _growing(case: Case, warmer_c: float = 0.0) -> BoolArray:
    """Days on which the group grows or rests."""
    limits = case.limits
    return floor_days(
        case.nights.calendar,
        limits.floor_c,
        limits.rest_floor_c,
        limits.floor_hours_limit,
        warmer_c,
    )


def _all_fine(case: Case) -> Case | None:
    """
    The case if no night that was not observed, from the first to the last, had been unsafe.

    What is known of such nights still counts: one with an unsafe hour stays unsafe. None where
    every night was observed.
    """
    nights, limits, lack, told = case.nights, case.limits, case.lack, case.witnesses
    unknown = nights.unknown if limits.ceiling_c is None else nights.day_unknown
    outside = nights.axis.night_of < 0
    if not (unknown & ~outside).any():
        return None
    year, yearly_room = nights.calendar, case.yearly_room
    nights = replace(nights, calendar=replace(year, mean_hours_below=year.known_hours_below))
    observed = observe(outside, np.zeros_like(outside), nights.winter, nights.summer)
    if limits.ceiling_c is not None:
        room = limits.ceiling_c + EPSILON_C - nights.known_hot_run_c
        lack = replace(lack, heat_room_c=room)
        told = witnesses.call_witnesses(lack, observed.supported, observed.supported, told.cut)
        yearly_room = plant_years(room, nights.summer, np.inf).min(axis=1)
    return replace(
        case,
        nights=nights,
        lack=lack,
        witnesses=witnesses.with_support(told, observed.supported),
        kernel=witnesses.kernel_for(int(observed.winter_usable.sum())),
        hidden=np.zeros_like(outside),
        observed=observed,
        yearly_seen=np.ones_like(case.yearly_seen),
        yearly_room=yearly_room,
    )


def _chance_if_fine(fine: Case, warmer_c: float) -> float:
    """Probability of the best shortest season, or whole year, in a case of `_all_fine`."""
    growing, rules = _growing(fine, warmer_c), fine.rules
    grows = grows_long_enough(fine, growing)
    if not grows.any():
        return 0.0
    share = witnesses.promised_share(fine.witnesses, rules.shortest_season, fine.kernel, warmer_c)
    best = float(share[grows].max())
    if _all_year(replace(fine, rules=replace(rules, promise=0.0)), growing, warmer_c):
        best = max(best, all_year_chance(fine, warmer_c))
    return best


def _indoor(case: Case, warmer_c: float = 0.0) -> Verdict:
    """Indoors only; no verdict where only nights that were not observed say so."""
    fine = _all_fine(case)
    if fine is None or _chance_if_fine(fine, warmer_c) < case.rules.promise - 1e-9:
        return Verdict.INDOOR
    return Verdict.NONE


def grade(case: Case, warmer_c: float = 0.0) -> Verdict:
    """
    The verdict alone, with a constant added to every hour of the spot.

    Parameters
    ----------
    warmer_c : K
    """
    if case.observed.winter_usable.sum() < case.rules.fewest_years:
        return Verdict.NONE
    case = _shifted(case, warmer_c)
    growing = _growing(case, warmer_c)
    if _all_year(case, growing, warmer_c):
        return Verdict.ALL_YEAR
    return Verdict.SEASONAL if _seasonal(case, growing, warmer_c) else _indoor(case, warmer_c)


def reaches(case: Case, verdict: Verdict, warmer_c: float = 0.0) -> bool:
    """
    Whether the verdict is so good or better, with a constant added to every hour of the spot.

    Answers as `grade` would, without asking for a season where only the whole year matters.

    Parameters
    ----------
    verdict
        All year or seasonal.
    warmer_c : K
    """
    if case.observed.winter_usable.sum() < case.rules.fewest_years:
        return False
    if verdict is Verdict.ALL_YEAR and case.lack.fatal_c > warmer_c:
        return False
    case = _shifted(case, warmer_c)
    growing = _growing(case, warmer_c)
    if _all_year(case, growing, warmer_c):
        return True
    return verdict is Verdict.SEASONAL and _seasonal(case, growing, warmer_c)


def foresee(
    case: Case, warmer_c: Sequence[float], promises: Sequence[float]
) -> tuple[tuple[tuple[Verdict, Stretch | None], ...], ...]:
    """
    The verdict and the season alone, with constants added to every hour, for several promises.

    What `decide` says of the same spot so much warmer, without what only a full answer needs.

    Parameters
    ----------
    warmer_c : K
        Those beside one another are best asked one after another.
    promises : 0 to 1

    Returns
    -------
    By warming, then by promise; no season where the verdict gives none.
    """
    nothing: tuple[tuple[Verdict, Stretch | None], ...] = ((Verdict.NONE, None),) * len(promises)
    if case.observed.winter_usable.sum() < case.rules.fewest_years:
        return (nothing,) * len(warmer_c)
    told: list[tuple[tuple[Verdict, Stretch | None], ...]] = []
    lengths: dict[float, int] = {}
    guesses: dict[float, int] = {}
    for step_c in warmer_c:
        answers = _foresee_step(case, step_c, promises, guesses)
        told.append(answers)
        for promise, (verdict, season) in zip(promises, answers, strict=True):
            if season is not None and verdict is Verdict.SEASONAL:
                before, lengths[promise] = lengths.get(promise), season.nights
                guesses[promise] = season.nights + (season.nights - before if before else 0)
    return _doubting(case, warmer_c, promises, told)


def _foresee_step(
    case: Case, warmer_c: float, promises: Sequence[float], guesses: Mapping[float, int]
) -> tuple[tuple[Verdict, Stretch | None], ...]:
    """What each promise gives at one warming."""
    rules, case = case.rules, _shifted(case, warmer_c)
    growing = _growing(case, warmer_c)
    whole = {
        promise
        for promise in promises
        if _all_year(replace(case, rules=replace(rules, promise=promise)), growing, warmer_c)
    }
    partial = [promise for promise in promises if promise not in whole]
    seasons_found = seasons.find_longest_each(
        case.witnesses,
        case.kernel,
        partial,
        longest=seasons.run_from(growing),
        shortest=rules.shortest_season,
        warmer_c=warmer_c,
        guesses=guesses,
    )
    found = dict(zip(partial, seasons_found, strict=True))
    return tuple(
        (Verdict.ALL_YEAR, WHOLE_YEAR)
        if promise in whole
        else (Verdict.SEASONAL if found[promise] else Verdict.INDOOR, found[promise])
        for promise in promises
    )


def _doubting(
    case: Case,
    warmer_c: Sequence[float],
    promises: Sequence[float],
    told: Sequence[tuple[tuple[Verdict, Stretch | None], ...]],
) -> tuple[tuple[tuple[Verdict, Stretch | None], ...], ...]:
    """The same, with no verdict where only nights that were not observed say indoors."""
    fine, answers, limits = _all_fine(case), list(told), case.limits
    if fine is None:
        return tuple(answers)
    # Heat spares a colder spot, and a longer cool season lets the lower floor of the rest count.
    colder_is_worse = limits.ceiling_c is None and limits.rest_floor_c is None
    for step in sorted(range(len(answers)), key=lambda at: -warmer_c[at]):
        if all(verdict is not Verdict.INDOOR for verdict, _ in answers[step]):
            continue
        chance = _chance_if_fine(fine, warmer_c[step])
        answers[step] = tuple(
            (Verdict.NONE, None)
            if verdict is Verdict.INDOOR and chance >= promise - 1e-9
            else (verdict, season)
            for promise, (verdict, season) in zip(promises, answers[step], strict=True)
        )
        if chance < min(promises) - 1e-9 and colder_is_worse:
            break
    return tuple(answers)


def decide(case: Case) -> Decision:
    """The verdict with its seasons and years."""
    growing, rules = _growing(case), case.rules
    judged = bool(case.observed.winter_usable.sum() >= rules.fewest_years)
    verdict = Verdict.NONE
    season: Stretch | None = None
    safe: Stretch | None = None
    share_of = seasons.shares_of(case.witnesses, case.kernel)
    if judged and _all_year(case, growing):
        verdict = Verdict.ALL_YEAR
        season = safe = WHOLE_YEAR
    elif judged:
        season, safe = _find_seasons(case, growing, share_of)
        long_enough = season is not None and season.nights >= rules.shortest_season
        verdict = Verdict.SEASONAL if long_enough else _indoor(case)
        if verdict is Verdict.NONE:
            season = safe = None
    all_year = verdict is Verdict.ALL_YEAR
    kept, failed = _plain_years(case, season or safe, all_year=all_year)
    return Decision(
        verdict=verdict,
        season=season,
        safe_season=safe,
        safe_seasons=(safe,)
        if all_year and safe
        else seasons.find_separate(
            case.witnesses, case.kernel, rules.promise, safe, share_of=share_of
        ),
        years_usable=int(
            (case.observed.summer_usable if all_year else case.observed.winter_usable).sum()
        ),
        years_kept=kept,
        years_failed=failed,
        floor_days=growing,
        all_year_chance=all_year_chance(case),
        all_year_usable=int(case.observed.summer_usable.sum()),
    )


def _find_seasons(
    case: Case, growing: BoolArray, share_of: seasons.ShareOf
) -> tuple[Stretch | None, Stretch | None]:
    """The longest season that grows or rests throughout, and the safe season around it."""
    told, kernel, promise = case.witnesses, case.kernel, case.rules.promise
    safe = seasons.find_longest(told, kernel, promise, share_of=share_of)
    if safe is None:
        return None, None
    run = seasons.run_from(growing)
    if run[safe.start] >= safe.nights:
        return safe, safe
    season = seasons.find_longest(told, kernel, promise, run, share_of=share_of)
    if season is None:
        return None, safe
    return season, seasons.longest_around(told, kernel, promise, season, share_of=share_of)


def _plain_years(case: Case, asked: Stretch | None, *, all_year: bool) -> tuple[int, int]:
    """Past years that kept, and failed, what is promised: counted as they were."""
    if all_year:
        kept, failed = whole_years(case, 0.0, 0.0)
        return int(kept.sum()), int(failed.sum())
    if asked is None:
        return 0, 0
    kept_by_start, failed_by_start = witnesses.witness_weights(
        case.witnesses, asked.nights, 0.0, 0.0
    )
    start = (asked.start - case.witnesses.cut) % DAYS
    return int(kept_by_start[:, start].sum()), int(failed_by_start[:, start].sum())
