"""How near a verdict is to another one: margin, headroom, and resampled years."""

from __future__ import annotations

import numpy as np
from msgspec.structs import replace
from numpy.typing import NDArray

from suitability.advice.cases import Case, all_year_chances, grows_long_enough, whole_years
from suitability.advice.season_edge import STEPS_PER_DEGREE, coldest_with_season, halve
from suitability.advice.verdicts import FARTHEST_C, Decision, Verdict, grade, reaches
from suitability.climate import chance, past_years
from suitability.climate.days import DAYS, turn

__all__ = [
    "BESIDE_C",
    "find_cooling",
    "find_headroom",
    "find_margin",
    "find_shift_to",
    "stability",
    "verdicts_beside",
]

BoolArray = NDArray[np.bool_]

LAST = FARTHEST_C * STEPS_PER_DEGREE
BESIDE_C = 1.0  # K, colder or warmer, within which a verdict that changes is borderline
STARTS_RESAMPLED = 32  # the best starts of a season; no other can become the best by chance


def verdicts_beside(case: Case, verdict: Verdict) -> tuple[Verdict, Verdict]:
    """Those of a spot 1 °C colder and 1 °C warmer; borderline if either is another one."""
    if verdict is Verdict.NONE:
        return verdict, verdict
    return grade(case, -BESIDE_C), grade(case, BESIDE_C)


def find_margin(case: Case, verdict: Verdict) -> float | None:
    """
    Least warming, °C, that would raise the verdict; None if there is none up to 15.

    Looked for in tenths of a degree; groups that heat excludes may fall again with more warmth, so
    for them whole degrees are tried first.
    """
    if verdict in (Verdict.NONE, Verdict.ALL_YEAR):
        return None
    return find_shift_to(case, _next_better(verdict))


def find_shift_to(case: Case, verdict: Verdict) -> float | None:
    """Least warming, °C, that gives a verdict or a better one; None if there is none up to 15."""
    if case.limits.ceiling_c is not None:
        if verdict is Verdict.SEASONAL and _too_hot(case):
            return None
        return _first_step(case, verdict, 1, wanted=True)
    if verdict is Verdict.SEASONAL:
        step = coldest_with_season(case, LAST, 0)
    else:
        step = _coldest_all_year(case, LAST, 0)
    return None if step is None else step / STEPS_PER_DEGREE


def find_cooling(case: Case, verdict: Verdict) -> float | None:
    """Least cooling, °C, that would raise the verdict; None if there is none up to 15."""
    if verdict in (Verdict.NONE, Verdict.ALL_YEAR):
        return None
    return _first_step(case, _next_better(verdict), -1, wanted=True)


def find_headroom(case: Case, verdict: Verdict) -> float | None:
    """Most cooling, °C, that the verdict stands, up to 15; None where it cannot fall."""
    if verdict in (Verdict.NONE, Verdict.INDOOR):
        return None
    if case.limits.ceiling_c is not None:
        falls = _first_step(case, verdict, -1, wanted=False)
        return float(FARTHEST_C) if falls is None else round(falls - 1 / STEPS_PER_DEGREE, 1)
    if verdict is Verdict.SEASONAL:
        step = coldest_with_season(case, 0, -LAST - 1)
    else:
        step = _coldest_all_year(case, 0, -LAST - 1)
    return -(step or 0) / STEPS_PER_DEGREE


def _next_better(verdict: Verdict) -> Verdict:
    """The verdict above one that can rise."""
    return Verdict.ALL_YEAR if verdict is Verdict.SEASONAL else Verdict.SEASONAL


def _coldest_all_year(case: Case, warmest: int, beyond: int) -> int | None:
    """As `coldest_with_season`, of the whole year; its chance is cheap and tells most."""
    steps = np.arange(warmest, beyond, -1)
    kept = all_year_chances(case, steps / STEPS_PER_DEGREE) >= case.rules.promise - 1e-9
    lowest = warmest - (int(np.argmin(kept)) if not kept.all() else kept.size) + 1

    def holds(step: int) -> bool:
        return reaches(case, Verdict.ALL_YEAR, step / STEPS_PER_DEGREE)

    if lowest > warmest or not holds(warmest):
        return None
    return lowest if holds(lowest) else halve(holds, warmest, lowest)


def _too_hot(case: Case) -> bool:
    """Whether heat bars season and year, were it never cold; more warmth makes it no better."""
    least_c = 1.0  # the first warming tried
    mild = replace(case, yearly_shortfall=np.full_like(case.yearly_shortfall, -np.inf))
    told = past_years.with_tables(case.past_years, case.past_years.tables.by_heat_alone())
    told = past_years.with_seen(told, np.full_like(case.observed.supported, DAYS))
    share = past_years.promised_share(told, case.rules.shortest_season, case.kernel, least_c)
    best = max(float(share.max()), float(all_year_chances(mild, np.array([least_c]))[0]))
    return best < case.rules.promise - 1e-9


def _first_step(case: Case, verdict: Verdict, sign: int, *, wanted: bool) -> float | None:
    """
    Least shift, K, as a positive number, at which a verdict is reached, or is not, as wanted.

    For groups that heat excludes: whole degrees first, then tenths by halving.
    """

    def changed(step: int) -> bool:
        return reaches(case, verdict, sign * step / STEPS_PER_DEGREE) is wanted

    whole = range(STEPS_PER_DEGREE, LAST + 1, STEPS_PER_DEGREE)
    high = next((step for step in whole if changed(step)), 0)
    return halve(changed, high, high - STEPS_PER_DEGREE) / STEPS_PER_DEGREE if high else None


def stability(case: Case, decision: Decision, draws: int, seed: int) -> float:
    """
    Share of resamples of the years that give the same verdict.

    Parameters
    ----------
    draws
        Number of resamples.
    seed
        Of the resampling; the same seed gives the same share.
    """
    rules, growing, kernel = case.rules, decision.floor_days, case.kernel
    seasonal: BoolArray = np.zeros(draws, np.bool_)
    grows = grows_long_enough(case, growing)
    if grows.any():
        kept, failed = past_years.year_weights(
            case.past_years, rules.shortest_season, 0.0, kernel.spread_c
        )
        kept, failed = (past_years.smooth_starts(part, kernel.days) for part in (kept, failed))
        share = kept.sum(axis=0) / np.maximum((kept + failed).sum(axis=0), 1e-9)
        share[~turn(grows, -case.past_years.cut)] = -1.0
        starts = np.argsort(-share, kind="stable")[:STARTS_RESAMPLED]
        kept, failed = kept[:, starts], failed[:, starts]
        weights = chance.resample_weights(kept.shape[0], draws, seed)
        good, bad = weights @ kept, weights @ failed
        seasonal = np.asarray((good >= (rules.promise - 1e-9) * (good + bad)).any(axis=1))
    all_year: BoolArray = np.zeros(draws, np.bool_)
    possible = case.observed.summer_usable.sum() >= rules.fewest_for_all_year
    if possible and growing.all() and case.shortfall.fatal_c <= 0.0:
        whole_kept, whole_failed = whole_years(case, 0.0, kernel.whole_year_spread_c)
        weights = chance.resample_weights(whole_kept.size, draws, seed)
        good, bad = weights @ whole_kept, weights @ whole_failed
        all_year = np.asarray(good >= (rules.promise - 1e-9) * (good + bad))
    rank = np.where(all_year, 2, np.where(seasonal, 1, 0))
    return float(np.mean(rank == decision.verdict.rank))
