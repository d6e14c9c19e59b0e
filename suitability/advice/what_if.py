"""
How near a verdict is to another one, and what it would be, were a spot warmer or colder.

Margin, headroom and trials all ask the rule of `verdicts`; what stands here is how to find the
edge with few questions. For groups that heat does not exclude a season that is reached stays
reached with more warmth, so that there is one edge, and halving would find it. Following the start
that is best asks less: how far down that start alone holds is quick to say, and the step below is
then asked of all starts.
"""

from __future__ import annotations

from functools import cache, partial
from typing import TYPE_CHECKING

import numpy as np
from msgspec.structs import replace
from numpy.typing import NDArray

from suitability.advice.cases import (
    Case,
    all_fine,
    all_year_chances,
    growing_days,
    grows_long_enough,
    whole_years,
)
from suitability.advice.terms import Verdict
from suitability.advice.unseen import EPSILON
from suitability.advice.verdicts import (
    FARTHEST_C,
    WHOLE_YEAR,
    Decision,
    Standing,
    grade,
    reaches,
    rule,
)
from suitability.climate import chance, past_years, seasons
from suitability.climate.days import DAYS, turn

if TYPE_CHECKING:
    from collections.abc import Callable, Mapping, Sequence

    from suitability.climate.past_years import Stretch

FloatArray = NDArray[np.float64]
BoolArray = NDArray[np.bool_]
Answer = tuple[Verdict, "Stretch | None"]

STEPS_PER_DEGREE = 10
LAST = FARTHEST_C * STEPS_PER_DEGREE
BESIDE_C = 1.0  # K, colder or warmer, within which a verdict that changes is borderline
STARTS_RESAMPLED = 32  # the best starts of a season; no other can become the best by chance
MOST_FOLLOWED = 4  # starts; from then on halving is surer


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
        step = _coldest_with_season(case, LAST, 0)
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
        step = _coldest_with_season(case, 0, -LAST - 1)
    else:
        step = _coldest_all_year(case, 0, -LAST - 1)
    return -(step or 0) / STEPS_PER_DEGREE


def _next_better(verdict: Verdict) -> Verdict:
    """The verdict above one that can rise."""
    return Verdict.ALL_YEAR if verdict is Verdict.SEASONAL else Verdict.SEASONAL


def _coldest_all_year(case: Case, warmest: int, beyond: int) -> int | None:
    """As `_coldest_with_season`, of the whole year; its chance is cheap and tells most."""
    steps = np.arange(warmest, beyond, -1)
    kept = all_year_chances(case, steps / STEPS_PER_DEGREE) >= case.rules.promise - EPSILON
    lowest = warmest - (int(np.argmin(kept)) if not kept.all() else kept.size) + 1

    def holds(step: int) -> bool:
        return reaches(case, Verdict.ALL_YEAR, step / STEPS_PER_DEGREE)

    if lowest > warmest or not holds(warmest):
        return None
    return lowest if holds(lowest) else _halve(holds, warmest, lowest)


def _too_hot(case: Case) -> bool:
    """Whether heat bars season and year, were it never cold; more warmth makes it no better."""
    least_c = 1.0  # the first warming tried
    mild = replace(case, yearly_shortfall=np.full_like(case.yearly_shortfall, -np.inf))
    told = past_years.with_tables(case.past_years, case.past_years.tables.by_heat_alone())
    told = past_years.with_seen(told, np.full_like(case.observed.supported, DAYS))
    share = past_years.promised_share(told, case.rules.shortest_season, case.kernel, least_c)
    best = max(float(share.max()), float(all_year_chances(mild, np.array([least_c]))[0]))
    return best < case.rules.promise - EPSILON


def _first_step(case: Case, verdict: Verdict, sign: int, *, wanted: bool) -> float | None:
    """
    Least shift, K, as a positive number, at which a verdict is reached, or is not, as wanted.

    For groups that heat excludes: whole degrees first, then tenths by halving.
    """

    def changed(step: int) -> bool:
        return reaches(case, verdict, sign * step / STEPS_PER_DEGREE) is wanted

    whole = range(STEPS_PER_DEGREE, LAST + 1, STEPS_PER_DEGREE)
    high = next((step for step in whole if changed(step)), 0)
    return _halve(changed, high, high - STEPS_PER_DEGREE) / STEPS_PER_DEGREE if high else None


# The coldest shift with a season --------------------------------------------------------------


def _coldest_with_season(case: Case, warmest: int, beyond: int) -> int | None:
    """
    The lowest shift, in tenths of a degree, at which a season, or the whole year, is reached.

    Parameters
    ----------
    case
        Of a group without a ceiling.
    warmest, beyond
        Highest shift looked at, and the one below the lowest.

    Returns
    -------
    None if none is reached at `warmest`.
    """
    good, bad = warmest, beyond
    reached, share = _ask(case, good)
    if not reached:
        return None
    grows = cache(partial(_grows, case))
    growing = _halve(lambda step: bool(grows(step).any()), good, bad)
    last_growing, bad = grows(growing), growing - 1
    followed = 0
    while good - bad > 1:
        probe = (good + bad) // 2
        if share is not None and followed < MOST_FOLLOWED:
            followed += 1
            held = _follow(case, grows, _best_start(case, share, last_growing), good, bad)
            if case.observed.may_hide and held < good:
                probe = held  # what missing nights hide is not in it
            else:
                good, probe = held, held - 1
                if probe == bad:
                    break
        reached, share = _ask(case, probe)
        good, bad = (probe, bad) if reached else (good, probe)
    return good


def _halve(holds: Callable[[int], bool], good: int, bad: int) -> int:
    """
    The step next to `bad` at which something still holds that holds at `good`.

    Whole degrees are asked first: other groups ask the spot for the same.
    """
    while abs(good - bad) > 1:
        middle = (good + bad) // 2
        if abs(good - bad) > 2 * STEPS_PER_DEGREE:
            middle = round(middle / STEPS_PER_DEGREE) * STEPS_PER_DEGREE
        good, bad = (middle, bad) if holds(middle) else (good, middle)
    return good


def _ask(case: Case, step: int) -> tuple[bool, FloatArray | None]:
    """Whether a season, or the whole year, is reached, and the shares if by a season."""
    standing = Standing(case, step / STEPS_PER_DEGREE)
    if standing.verdict(down_to=Verdict.SEASONAL).rank < Verdict.SEASONAL.rank:
        return False, None
    by_season = standing.has_season(case.rules.promise)
    return True, standing.season_shares if by_season else None


def _grows(case: Case, step: int) -> BoolArray:
    """Starts from which the group grows or rests for the shortest season, (365)."""
    return grows_long_enough(case, growing_days(case, step / STEPS_PER_DEGREE))


def _best_start(case: Case, share: FloatArray, last_growing: BoolArray) -> int:
    """
    A start that may hold far down: of the surest, the middle one.

    Parameters
    ----------
    share : (365)
        From `season_shares`.
    last_growing : (365)
        Starts that grow longest as it gets colder; one of them, if any keeps the promise.
    """
    among = last_growing & (share >= case.rules.promise - EPSILON)
    asked = np.where(among, share, -1.0) if among.any() else share
    surest = np.flatnonzero(asked == asked.max())
    return int(surest[surest.size // 2])


def _follow(case: Case, grows: Callable[[int], BoolArray], start: int, good: int, bad: int) -> int:
    """The lowest shift above `bad` at which one start holds, as it does at `good`."""
    stretch = past_years.Stretch(start=start, nights=case.rules.shortest_season)
    share_at = past_years.share_by_warming(case.past_years, stretch, case.kernel)
    promise = case.rules.promise - EPSILON
    held = _halve(lambda step: share_at(step / STEPS_PER_DEGREE) >= promise, good, bad)
    if grows(held)[start]:
        return held
    return _halve(lambda step: bool(grows(step)[start]), good, held)


# Years resampled ------------------------------------------------------------------------------


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
        seasonal = np.asarray((good >= (rules.promise - EPSILON) * (good + bad)).any(axis=1))
    all_year: BoolArray = np.zeros(draws, np.bool_)
    if Standing(case).may_live_all_year and growing.all():
        whole_kept, whole_failed = whole_years(case, 0.0, kernel.spread_c)
        weights = chance.resample_weights(whole_kept.size, draws, seed)
        good, bad = weights @ whole_kept, weights @ whole_failed
        all_year = np.asarray(good >= (rules.promise - EPSILON) * (good + bad))
    # Resamples differ in two answers only, so that the rule is asked once for each pair of them.
    same = [
        [_of_resample(whole, some) is decision.verdict for some in (False, True)]
        for whole in (False, True)
    ]
    return float(np.mean(np.array(same)[all_year.astype(int), seasonal.astype(int)]))


def _of_resample(all_year: bool, season: bool) -> Verdict:  # noqa: FBT001  (two answers)
    """The verdict of a resample; what was not observed is not asked again."""
    return rule(
        enough_years=True, all_year=lambda: all_year, season=lambda: season, unseen=lambda: False
    )


# Trials ---------------------------------------------------------------------------------------


def what_if(
    case: Case, warmer_c: Sequence[float], promises: Sequence[float]
) -> tuple[tuple[Answer, ...], ...]:
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
    too_cold = False  # for anything even if all that was not observed had been fine
    if_fine = cache(partial(all_fine, case))
    standings = [
        Standing(case, step_c, fine=lambda: None if too_cold else if_fine()) for step_c in warmer_c
    ]
    found = _seasons_each(standings, promises)
    # Heat spares a colder spot, and a longer cool season lets the lower floor of the rest count.
    colder_is_worse = case.limits.ceiling_c is None and case.limits.rest_floor_c is None
    told: dict[int, tuple[Answer, ...]] = {}
    for at in sorted(range(len(standings)), key=lambda at: -warmer_c[at]):
        standing = standings[at]
        told[at] = tuple(
            _answer(standing, promise, season)
            for promise, season in zip(promises, found[at], strict=True)
        )
        doubted = any(verdict in (Verdict.INDOOR, Verdict.NONE) for verdict, _ in told[at])
        if doubted and standing.enough_years and colder_is_worse and not too_cold:
            too_cold = standing.best_chance_if_fine < min(promises) - EPSILON
    return tuple(told[at] for at in range(len(standings)))


def _answer(standing: Standing, promise: float, season: Stretch | None) -> Answer:
    """The verdict for one promise and the season that it gives."""
    verdict = standing.verdict(promise, season=lambda: season)
    seasonal = season if verdict is Verdict.SEASONAL else None
    return verdict, WHOLE_YEAR if verdict is Verdict.ALL_YEAR else seasonal


def _seasons_each(
    standings: Sequence[Standing], promises: Sequence[float]
) -> list[tuple[Stretch | None, ...]]:
    """The longest season at each standing for each promise; None where the whole year is kept."""
    found: list[tuple[Stretch | None, ...]] = []
    lengths: dict[float, int] = {}
    guesses: dict[float, int] = {}
    for standing in standings:
        here = _seasons_at(standing, promises, guesses)
        found.append(here)
        for promise, season in zip(promises, here, strict=True):
            if season is not None:  # the next step is likely to change it by as much again
                before, lengths[promise] = lengths.get(promise), season.nights
                guesses[promise] = season.nights + (season.nights - before if before else 0)
    return found


def _seasons_at(
    standing: Standing, promises: Sequence[float], guesses: Mapping[float, int]
) -> tuple[Stretch | None, ...]:
    """The longest season at one standing for each promise."""
    if not standing.enough_years:
        return (None,) * len(promises)
    partial_year = [promise for promise in promises if not standing.is_all_year(promise)]
    found = seasons.find_longest_each(
        standing.case.past_years,
        standing.case.kernel,
        partial_year,
        longest=seasons.run_from(standing.growing),
        shortest=standing.rules.shortest_season,
        warmer_c=standing.warmer_c,
        guesses=guesses,
    )
    by_promise = dict(zip(partial_year, found, strict=True))
    return tuple(by_promise.get(promise) for promise in promises)
