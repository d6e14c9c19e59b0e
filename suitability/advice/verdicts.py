"""
The verdict on one group at one spot: all year, seasonal, indoors only, or not to be said.

The rules are those of `docs/method.md`; this module only puts the core's answers together.
"""

from __future__ import annotations

import numpy as np
from msgspec import Struct
from msgspec.structs import replace
from numpy.typing import NDArray

from suitability.advice.cases import (
    Case,
    Rules,
    all_fine,
    all_year_chance,
    growing_days,
    grows_long_enough,
    shifted,
    whole_years,
)
from suitability.advice.terms import Verdict
from suitability.climate import past_years, seasons
from suitability.climate.days import DAYS
from suitability.climate.past_years import Stretch

__all__ = [
    "FARTHEST_C",
    "WHOLE_YEAR",
    "Decision",
    "Verdict",
    "chance_if_fine",
    "decide",
    "grade",
    "is_all_year",
    "is_provisional",
    "reaches",
    "season_shares",
]

BoolArray = NDArray[np.bool_]
FloatArray = NDArray[np.float64]

WHOLE_YEAR = Stretch(start=0, nights=DAYS)
FARTHEST_C = 15  # K, up to which they are looked for


class Decision(Struct, frozen=True, kw_only=True):
    """
    A verdict and what it was read from.

    Attributes
    ----------
    verdict
    season, survival_season, survival_seasons
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
    survival_season: Stretch | None
    survival_seasons: tuple[Stretch, ...]
    years_usable: int
    years_kept: int
    years_failed: int
    floor_days: BoolArray
    all_year_chance: float
    all_year_usable: int

    @property
    def season_allowed(self) -> Stretch | None:
        """The season of a group that may go out; None for one whose season is too short to use."""
        return self.season if self.verdict in (Verdict.SEASONAL, Verdict.ALL_YEAR) else None


def is_provisional(decision: Decision, rules: Rules) -> bool:
    """Whether a verdict was given, but from fewer years than would make it sure."""
    return decision.verdict is not Verdict.NONE and decision.years_usable < rules.fewest_for_sure


def is_all_year(case: Case, growing: BoolArray, warmer_c: float = 0.0) -> bool:
    """Whether the whole year is promised, no night was fatal and the floor rule always holds."""
    if case.observed.summer_usable.sum() < case.rules.fewest_for_all_year:
        return False
    if case.shortfall.fatal_c > warmer_c or not growing.all():
        return False
    return all_year_chance(case, warmer_c) >= case.rules.promise - 1e-9


def season_shares(case: Case, growing: BoolArray, warmer_c: float = 0.0) -> FloatArray | None:
    """
    Probability of the shortest season from each day, (365); -1 where it does not grow throughout.

    None where no such day is.
    """
    grows = grows_long_enough(case, growing)
    if not grows.any():
        return None
    share = past_years.promised_share(
        case.past_years, case.rules.shortest_season, case.kernel, warmer_c
    )
    return np.where(grows, share, -1.0)


def _seasonal(case: Case, growing: BoolArray, warmer_c: float = 0.0) -> bool:
    """Whether some stretch of the shortest season is promised and grows or rests throughout."""
    share = season_shares(case, growing, warmer_c)
    return share is not None and bool(share.max() >= case.rules.promise - 1e-9)


def chance_if_fine(fine: Case, warmer_c: float) -> float:
    """Probability of the best shortest season, or whole year, in a case of `_all_fine`."""
    growing, rules = growing_days(fine, warmer_c), fine.rules
    share = season_shares(fine, growing, warmer_c)
    if share is None:
        return 0.0
    best = float(share.max())
    if is_all_year(replace(fine, rules=replace(rules, promise=0.0)), growing, warmer_c):
        best = max(best, all_year_chance(fine, warmer_c))
    return best


def _indoor(case: Case, warmer_c: float = 0.0) -> Verdict:
    """Indoors only; no verdict where only nights that were not observed say so."""
    fine = all_fine(case)
    if fine is None or chance_if_fine(fine, warmer_c) < case.rules.promise - 1e-9:
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
    case = shifted(case, warmer_c)
    growing = growing_days(case, warmer_c)
    if is_all_year(case, growing, warmer_c):
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
    if verdict is Verdict.ALL_YEAR and case.shortfall.fatal_c > warmer_c:
        return False
    case = shifted(case, warmer_c)
    growing = growing_days(case, warmer_c)
    if is_all_year(case, growing, warmer_c):
        return True
    return verdict is Verdict.SEASONAL and _seasonal(case, growing, warmer_c)


def decide(case: Case) -> Decision:
    """The verdict with its seasons and years."""
    growing, rules = growing_days(case), case.rules
    judged = bool(case.observed.winter_usable.sum() >= rules.fewest_years)
    verdict = Verdict.NONE
    season: Stretch | None = None
    safe: Stretch | None = None
    share_of = seasons.shares_of(case.past_years, case.kernel)
    if judged and is_all_year(case, growing):
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
        survival_season=safe,
        survival_seasons=(safe,)
        if all_year and safe
        else seasons.find_separate(
            case.past_years, case.kernel, rules.promise, safe, share_of=share_of
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
    told, kernel, promise = case.past_years, case.kernel, case.rules.promise
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
    kept_by_start, failed_by_start = past_years.year_weights(
        case.past_years, asked.nights, 0.0, 0.0
    )
    start = (asked.start - case.past_years.cut) % DAYS
    return int(kept_by_start[:, start].sum()), int(failed_by_start[:, start].sum())
