"""
The verdict on one group at one spot: all year, seasonal, indoors only, or not to be said.

The rules are those of `docs/method.md`. `rule` is the one place where they stand: whoever wants a
verdict, of a spot as it is or warmer, for one promise or several, in full or alone, asks it.
"""

from __future__ import annotations

from functools import cache, cached_property, partial
from typing import TYPE_CHECKING

import numpy as np
from msgspec import Struct
from numpy.typing import NDArray

from suitability.advice.cases import (
    Case,
    Rules,
    all_fine,
    all_year_chance,
    carried_by_year,
    growing_days,
    grows_long_enough,
    shifted,
    whole_years,
)
from suitability.advice.terms import PromiseWorth, Season, Verdict
from suitability.advice.unseen import EPSILON, Unseen, find_unseen
from suitability.climate import past_years, seasons
from suitability.climate.chance import median, worth_of
from suitability.climate.days import DAYS, month_day
from suitability.climate.observing import plant_years
from suitability.climate.past_years import Stretch
from suitability.quantities import SUREST

if TYPE_CHECKING:
    from collections.abc import Callable

BoolArray = NDArray[np.bool_]
FloatArray = NDArray[np.float64]

WHOLE_YEAR = Stretch(start=0, nights=DAYS)
FARTHEST_C = 15  # K, up to which they are looked for
FEW_CARRIED = 3  # nights in the median year that a grower carries a plant in for; reasoned


def season_of(stretch: Stretch | None) -> Season | None:
    """A stretch in days of the year."""
    if stretch is None:
        return None
    return Season(out=month_day(stretch.start), inn=month_day(stretch.stop), days=stretch.nights)


def seasons_of(days: BoolArray) -> tuple[Season, ...]:
    """Runs of days of the year, (365), the first after New Year first."""
    starts = np.flatnonzero(days & ~np.roll(days, 1)).tolist()
    found = [(start, int(np.argmin(np.roll(days, -start)))) for start in starts]
    return tuple(
        Season(out=month_day(start), inn=month_day(start + nights), days=nights)
        for start, nights in ([(0, DAYS)] if days.all() else found)
    )


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
    lives_all_year
        Whether such a year is promised, whether it grows or not.
    unseen
        What nobody saw that may make all this look better than it is.
    nearly_all_year
        Whether it may stay out all year if carried in on the few nights that ask for it.
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
    lives_all_year: bool
    unseen: Unseen
    nearly_all_year: bool

    @property
    def season_allowed(self) -> Stretch | None:
        """The season of a group that may go out; None for one whose season is too short to use."""
        return self.season if self.verdict in (Verdict.SEASONAL, Verdict.ALL_YEAR) else None


def is_provisional(decision: Decision, rules: Rules) -> bool:
    """Whether a verdict was given, but from fewer years than would make it sure."""
    return decision.verdict is not Verdict.NONE and decision.years_usable < rules.fewest_for_sure


def promise_worth(decision: Decision, rules: Rules) -> PromiseWorth | None:
    """What a promise from few years may be worth; None where they are many or promise nothing."""
    promised = decision.verdict in (Verdict.SEASONAL, Verdict.ALL_YEAR)
    if not promised or not is_provisional(decision, rules):
        return None
    low, high = worth_of(rules.promise)
    return PromiseWorth(promised=rules.promise, low=low, high=min(high, SUREST))


def rule(
    *,
    enough_years: bool,
    all_year: Callable[[], bool],
    season: Callable[[], bool],
    unseen: Callable[[], bool],
    down_to: Verdict = Verdict.INDOOR,
) -> Verdict:
    """
    The rule of the verdict: each question is asked only if those before it were answered no.

    Parameters
    ----------
    enough_years
        Whether the record can tell anything.
    all_year
        Whether the whole year is promised.
    season
        Whether a season long enough to use is promised.
    unseen
        Whether one or the other would be, had the nights that were not observed been fine.
    down_to
        Verdicts below this one are not told apart: "indoor only" then stands for all of them.
    """
    if not enough_years:
        return Verdict.NONE
    if all_year():
        return Verdict.ALL_YEAR
    if down_to is Verdict.ALL_YEAR:
        return Verdict.INDOOR
    if season():
        return Verdict.SEASONAL
    if down_to is Verdict.SEASONAL:
        return Verdict.INDOOR
    return Verdict.NONE if unseen() else Verdict.INDOOR


class Standing:
    """
    A case with a constant added to every hour of the spot, and what the rule asks of it.

    Every answer is worked out when it is first asked for, and kept: several promises, and a search
    that goes on from an answer, share it.

    Parameters
    ----------
    case
    warmer_c : K
    fine
        Gives the case as if all nights that were not observed had been fine, where several
        standings share it; see `all_fine`.
    """

    def __init__(
        self, case: Case, warmer_c: float = 0.0, *, fine: Callable[[], Case | None] | None = None
    ) -> None:
        self.rules, self.warmer_c = case.rules, warmer_c
        self._unshifted = case
        self._fine = fine or partial(all_fine, case)

    @cached_property
    def case(self) -> Case:
        """The case with the nights that may be hidden at this warming."""
        return shifted(self._unshifted, self.warmer_c)

    @cached_property
    def growing(self) -> BoolArray:
        """Days on which the group grows or rests, (365)."""
        return growing_days(self._unshifted, self.warmer_c)

    @cached_property
    def all_year_chance(self) -> float:
        """Probability that a new plant year stays free of unsafe nights."""
        return all_year_chance(self.case, self.warmer_c)

    @cached_property
    def season_shares(self) -> FloatArray | None:
        """
        Probability of the shortest season from each day, (365); -1 where growth would fail in it.

        None where no such day is.
        """
        case = self.case
        grows = grows_long_enough(case, self.growing)
        if not grows.any():
            return None
        share = past_years.promised_share(
            case.past_years, self.rules.shortest_season, case.kernel, self.warmer_c
        )
        return np.where(grows, share, -1.0)

    @property
    def enough_years(self) -> bool:
        """Whether the record can tell anything."""
        usable = self._unshifted.observed.winter_usable
        return bool(usable.sum() >= self.rules.fewest_years)

    @property
    def may_live_all_year(self) -> bool:
        """Whether enough years speak of the whole year, and no night lay far below its limit."""
        case = self._unshifted  # neither answer hangs on hidden nights
        enough = case.observed.summer_usable.sum() >= self.rules.fewest_for_all_year
        return bool(enough) and case.shortfall.far_below_c <= self.warmer_c

    def lives_all_year(self, promise: float) -> bool:
        """Whether a whole year free of unsafe nights is promised, whether it grows or not."""
        return self.may_live_all_year and self.all_year_chance >= promise - EPSILON

    def is_all_year(self, promise: float) -> bool:
        """Whether a whole year is promised and the floor rule holds on all of its days."""
        # In this order, since the chance takes longest.
        grows = self.may_live_all_year and bool(self.growing.all())
        return grows and self.lives_all_year(promise)

    def has_season(self, promise: float) -> bool:
        """Whether some stretch of the shortest season is promised and grows or rests throughout."""
        share = self.season_shares
        return share is not None and bool(share.max() >= promise - EPSILON)

    @cached_property
    def best_chance(self) -> float:
        """Highest promise that a season or the whole year would keep."""
        share = self.season_shares
        if share is None:
            return 0.0
        best = float(share.max())
        if self.may_live_all_year and self.growing.all():
            best = max(best, self.all_year_chance)
        return best

    @cached_property
    def best_chance_if_fine(self) -> float:
        """The same, had the nights that were not observed been fine; 0 where all were observed."""
        fine = self._fine()
        return 0.0 if fine is None else Standing(fine, self.warmer_c).best_chance

    def verdict(
        self,
        promise: float | None = None,
        *,
        down_to: Verdict = Verdict.INDOOR,
        season: Callable[[], Stretch | None] | None = None,
    ) -> Verdict:
        """
        The verdict by `rule`.

        Parameters
        ----------
        promise : 0 to 1
            None: that of the rules.
        down_to
            Verdicts below it are not told apart.
        season
            Finds the longest season, where it is wanted anyway.
        """
        asked = self.rules.promise if promise is None else promise

        def has_season() -> bool:
            if season is None:
                return self.has_season(asked)
            found = season()
            return found is not None and found.nights >= self.rules.shortest_season

        return rule(
            enough_years=self.enough_years,
            all_year=lambda: self.is_all_year(asked),
            season=has_season,
            unseen=lambda: 0.0 < self.best_chance_if_fine >= asked - EPSILON,
            down_to=down_to,
        )


def grade(case: Case, warmer_c: float = 0.0) -> Verdict:
    """
    The verdict alone, with a constant added to every hour of the spot.

    Parameters
    ----------
    warmer_c : K
    """
    return Standing(case, warmer_c).verdict()


def reaches(case: Case, verdict: Verdict, warmer_c: float = 0.0) -> bool:
    """
    Whether the verdict is so good or better, with a constant added to every hour of the spot.

    Parameters
    ----------
    verdict
        All year or seasonal.
    warmer_c : K
    """
    return Standing(case, warmer_c).verdict(down_to=verdict).rank >= verdict.rank


def decide(case: Case) -> Decision:
    """The verdict with its seasons and years."""
    standing, rules = Standing(case), case.rules
    share_of = seasons.shares_of(case.past_years, case.kernel)

    @cache
    def found() -> tuple[Stretch | None, Stretch | None]:
        return _find_seasons(case, standing.growing, share_of)

    verdict = standing.verdict(season=lambda: found()[0])
    all_year = verdict is Verdict.ALL_YEAR
    season: Stretch | None = WHOLE_YEAR
    safe: Stretch | None = WHOLE_YEAR
    if not all_year:
        season, safe = (None, None) if verdict is Verdict.NONE else found()
    kept, failed = _plain_years(case, season or safe, all_year=all_year)
    by_year = case.observed.summer_usable if all_year else case.observed.winter_usable
    return Decision(
        verdict=verdict,
        season=season,
        survival_season=safe,
        survival_seasons=(WHOLE_YEAR,)
        if all_year
        else seasons.find_separate(
            case.past_years, case.kernel, rules.promise, safe, share_of=share_of
        ),
        years_usable=int(by_year.sum()),
        years_kept=kept,
        years_failed=failed,
        floor_days=standing.growing,
        all_year_chance=standing.all_year_chance,
        all_year_usable=int(case.observed.summer_usable.sum()),
        lives_all_year=standing.lives_all_year(rules.promise),
        unseen=find_unseen(case, all_year=all_year),
        nearly_all_year=(
            verdict is Verdict.SEASONAL
            and season != WHOLE_YEAR
            and _is_nearly(case, standing.growing)
        ),
    )


def _is_nearly(case: Case, growing: BoolArray) -> bool:
    """Whether all that keeps a group from staying out all year is a few cold nights a year."""
    usable = case.observed.summer_usable
    room = case.shortfall.heat_room_c
    if not growing.all() or usable.sum() < case.rules.fewest_years:
        return False
    if room is not None and (room < 0.0).any():
        return False
    hard = plant_years(case.shortfall.hard_c > 0.0, case.nights.summer, outside=False)
    if median(hard.sum(axis=1)[usable]) > FEW_CARRIED:  # to be carried are at least as many
        return False
    return median(carried_by_year([case])[0][usable]) <= FEW_CARRIED


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
