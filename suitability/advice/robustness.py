"""How near a verdict is to another one: margin, headroom, and resampled years."""

from __future__ import annotations

from typing import TYPE_CHECKING

import numpy as np
from numpy.typing import NDArray

from suitability.advice.cases import Case, all_year_chances, grows_long_enough, whole_years
from suitability.advice.verdicts import FARTHEST_C, Decision, Verdict, reaches
from suitability.climate import chance, witnesses
from suitability.climate.days import turn

if TYPE_CHECKING:
    from collections.abc import Callable

__all__ = ["find_cooling", "find_headroom", "find_margin", "find_shift_to", "stability"]

BoolArray = NDArray[np.bool_]

STEPS_PER_DEGREE = 10  # margin and headroom are found to 0.1 °C
STARTS_RESAMPLED = 32  # the best starts of a season; no other can become the best by chance


def find_margin(case: Case, verdict: Verdict) -> float | None:
    """
    Least warming, °C, that would raise the verdict; None if there is none up to 15.

    Looked for in tenths of a degree, by halving; groups that heat excludes may fall again with
    more warmth, so for them whole degrees are tried first.
    """
    if verdict in (Verdict.NONE, Verdict.ALL_YEAR):
        return None
    return find_shift_to(case, _next_better(verdict))


def find_shift_to(case: Case, verdict: Verdict) -> float | None:
    """Least warming, °C, that gives a verdict or a better one; None if there is none up to 15."""
    hint = _hint(case, verdict, 1)
    return _first_step(case, lambda shift_c: reaches(case, verdict, shift_c), 1, hint)


def find_cooling(case: Case, verdict: Verdict) -> float | None:
    """Least cooling, °C, that would raise the verdict; None if there is none up to 15."""
    if verdict in (Verdict.NONE, Verdict.ALL_YEAR):
        return None
    better = _next_better(verdict)
    return _first_step(case, lambda shift_c: reaches(case, better, shift_c), -1)


def find_headroom(case: Case, verdict: Verdict) -> float | None:
    """Most cooling, °C, that the verdict stands, up to 15; None where it cannot fall."""
    if verdict in (Verdict.NONE, Verdict.INDOOR):
        return None
    hint = _hint(case, verdict, -1)
    falls = _first_step(case, lambda shift_c: not reaches(case, verdict, shift_c), -1, hint)
    return float(FARTHEST_C) if falls is None else round(falls - 1 / STEPS_PER_DEGREE, 1)


def _next_better(verdict: Verdict) -> Verdict:
    """The verdict above one that can rise."""
    return Verdict.ALL_YEAR if verdict is Verdict.SEASONAL else Verdict.SEASONAL


def _hint(case: Case, verdict: Verdict, sign: int) -> int | None:
    """
    A step near which a verdict begins, or ends, to be reached; None if none is in reach.

    It is that of the whole year, or of the start that is best as it is, without the floor rule and
    hidden nights, and cheap to find.
    """
    promise = case.rules.promise - 1e-9
    steps = np.arange(1, FARTHEST_C * STEPS_PER_DEGREE + 1)
    if verdict is Verdict.ALL_YEAR:
        kept = all_year_chances(case, sign * steps / STEPS_PER_DEGREE) >= promise
        changed = np.flatnonzero(kept == (sign > 0))
        return int(steps[changed[0]]) if changed.size else None
    nights = case.rules.shortest_season
    share = witnesses.promised_share(case.witnesses, nights, case.kernel)
    best = witnesses.Stretch(start=int(np.argmax(share)), nights=nights)
    share_at = witnesses.share_by_warming(case.witnesses, best, case.kernel)
    low, high = 0, int(steps[-1]) + 1
    while high - low > 1:
        middle = (low + high) // 2
        kept_there = share_at(sign * middle / STEPS_PER_DEGREE) >= promise
        low, high = (low, middle) if kept_there == (sign > 0) else (middle, high)
    return high if high <= steps[-1] else None


def _first_step(
    case: Case, changed: Callable[[float], bool], sign: int, hint: int | None = None
) -> float | None:
    """
    Least shift in tenths, K, that changes the verdict, as a positive number.

    A hint changes how soon it is found.
    """

    def at(step: int) -> bool:
        return changed(sign * step / STEPS_PER_DEGREE)

    last = FARTHEST_C * STEPS_PER_DEGREE
    if case.limits.ceiling_c is None:
        low, high = 0, last
        if hint is not None and at(hint):
            low, high = (0, hint - 1) if hint > 1 and at(hint - 1) else (hint - 1, hint)
        elif not at(last):
            return None
        elif hint is not None:
            low = hint
    else:
        whole = range(STEPS_PER_DEGREE, last + 1, STEPS_PER_DEGREE)
        high = next((step for step in whole if at(step)), 0)
        if not high:
            return None
        low = high - STEPS_PER_DEGREE
    while high - low > 1:
        middle = (low + high) // 2
        low, high = (low, middle) if at(middle) else (middle, high)
    return high / STEPS_PER_DEGREE


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
        kept, failed = witnesses.witness_weights(
            case.witnesses, rules.shortest_season, 0.0, kernel.spread_c
        )
        kept, failed = (witnesses.smooth_starts(part, kernel.days) for part in (kept, failed))
        share = kept.sum(axis=0) / np.maximum((kept + failed).sum(axis=0), 1e-9)
        share[~turn(grows, -case.witnesses.cut)] = -1.0
        starts = np.argsort(-share, kind="stable")[:STARTS_RESAMPLED]
        kept, failed = kept[:, starts], failed[:, starts]
        weights = chance.resample_weights(kept.shape[0], draws, seed)
        good, bad = weights @ kept, weights @ failed
        seasonal = np.asarray((good >= (rules.promise - 1e-9) * (good + bad)).any(axis=1))
    all_year: BoolArray = np.zeros(draws, np.bool_)
    possible = case.observed.summer_usable.sum() >= rules.fewest_for_all_year
    if possible and growing.all() and case.lack.fatal_c <= 0.0:
        whole_kept, whole_failed = whole_years(case, 0.0, kernel.whole_year_spread_c)
        weights = chance.resample_weights(whole_kept.size, draws, seed)
        good, bad = weights @ whole_kept, weights @ whole_failed
        all_year = np.asarray(good >= (rules.promise - 1e-9) * (good + bad))
    rank = np.where(all_year, 2, np.where(seasonal, 1, 0))
    return float(np.mean(rank == decision.verdict.rank))
