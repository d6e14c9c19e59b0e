"""
What a plan asks of one plant at one spot: on which days it may stand there, and how well it does.

It may stand there on days within a survival season, or on all days where a whole year is promised:
the same seasons and promises as those of the moves. How well follows the good days of a ranking,
night by night. A plant that stands at several spots in turn is judged by all its stays together.
"""

from __future__ import annotations

from typing import TYPE_CHECKING

import numpy as np
from msgspec import Struct
from numpy.typing import NDArray

from suitability.advice.cases import Case
from suitability.advice.comparison import light_of
from suitability.advice.resting import flower_need_of, lay_out_resting
from suitability.advice.terms import Verdict
from suitability.advice.verdicts import Decision, Standing
from suitability.climate import seasons
from suitability.climate.days import DAYS, local_hour, turn
from suitability.climate.exposure import EPSILON_C
from suitability.climate.past_years import Stretch, free_weight, stretch_shortfall
from suitability.climate.rest import RestPeriod, in_band, judge_rest, period_of
from suitability.climate.rest_need import RestNeed, RestState
from suitability.groups.group import Needs
from suitability.quantities import SUREST

if TYPE_CHECKING:
    from collections.abc import Sequence

    from suitability.advice.preparing import LaidOut
    from suitability.groups import Catalogue

FloatArray = NDArray[np.float64]
BoolArray = NDArray[np.bool_]

# Of a night: what it loses of a good one. A night without growth is lost, one that is merely not at
# ease half, as in a ranking; the others reasoned.
NO_GROWTH, NOT_AT_EASE, NO_REST, TOO_DARK = 1.0, 0.5, 0.5, 0.25
UNSURE = 0.002  # where nothing else tells, the surer spot


class Stand(Struct, frozen=True, kw_only=True):
    """
    One group, or plant, at one spot.

    Attributes
    ----------
    needs, case, decision
    rest
        The period of rest at the spot.
    days : (365)
        On which it may stand there at the promise asked for.
    at_ease : (365)
        Days on which its night is not too cool for its ease.
    wanted, rests : (365)
        Days of the rest that its flowers hang on, and those of them on which its night is one.
    dark
        Whether the spot is darker than the plants want it.
    sure
        Whether it may stand there all year with the highest chance that is ever told.
    """

    needs: Needs
    case: Case
    decision: Decision
    rest: RestPeriod
    days: BoolArray
    at_ease: BoolArray
    wanted: BoolArray
    rests: BoolArray
    dark: bool
    sure: bool

    def fares(self, there: BoolArray) -> tuple[BoolArray, BoolArray, BoolArray]:
        """
        Days on which it grows or rests, is at ease or rests, and lacks the rest, (365) each.

        Part of a rest brings no flowers: nights in a row that are fewer than it takes, or that most
        years do not meet it in, are none.
        """
        rests, need = self.rests & there, _rest_need(self.needs)
        if need is not None:
            in_a_row = seasons.run_from(rests) + seasons.run_from(rests[::-1])[::-1] - 1
            rests = rests & (in_a_row >= need.nights)
        met, of = rest_of(self, rests) or (0, 0)
        rests = rests & (met * 2 > of)
        return self.decision.floor_days | rests, self.at_ease | rests, self.wanted & ~rests

    def lost_nights(self, there: BoolArray) -> FloatArray:
        """What each night loses of a good one, for who stands there on some days, (365)."""
        grows, at_ease, unrested = self.fares(there)
        lost = np.where(grows, np.where(at_ease, 0.0, NOT_AT_EASE), NO_GROWTH)
        lost = np.maximum(lost, np.where(unrested, NO_REST, 0.0))
        unsure = 0.0 if self.sure else UNSURE
        return np.asarray(lost + (TOO_DARK if self.dark else 0.0) + unsure)


def lay_out_stands(laid_out: LaidOut, catalogue: Catalogue) -> tuple[tuple[Stand, ...], ...]:
    """Everybody who is asked about at every spot but the first, the open air, [subject][spot]."""
    used, (_, *laid_spots) = laid_out.used, laid_out.spots
    start = local_hour(used.start_hour, laid_out.place.utc_offset_hours)
    by_spot = []
    for laid in laid_spots:
        rest = lay_out_resting(laid.nights, used.prcp_mm, start, roofed=laid.spot.roofed)
        lights = [catalogue.find(one.key).light_class for one in laid.needs]
        by_spot.append(
            [
                _stand(rest, *one, dark=light_of(laid.spot.light, light) == "darker")
                for one, light in zip(
                    zip(laid.needs, laid.cases, laid.decisions, strict=True), lights, strict=True
                )
            ]
        )
    return tuple(zip(*by_spot, strict=True))


def _stand(rest: RestPeriod, needs: Needs, case: Case, decision: Decision, *, dark: bool) -> Stand:
    """One of them."""
    night_c = case.nights.calendar.night_minimum_c
    resting_c = np.maximum(night_c, case.nights.rests_from_c)
    mark_c = needs.floor_c if needs.comfort_c is None else needs.comfort_c
    wanted = rests = np.zeros(DAYS, np.bool_)
    need = _rest_need(needs)
    if need is not None:
        asked = period_of(rest, need)
        wanted = turn(np.arange(DAYS) < asked.minimum_c.shape[1], asked.first_day)
        rests = wanted & in_band(resting_c, need.low_c, need.high_c)
    return Stand(
        needs=needs,
        case=case,
        decision=decision,
        rest=rest,
        days=allowed_days(case, decision, case.rules.promise),
        at_ease=night_c >= mark_c - EPSILON_C,
        wanted=wanted,
        rests=rests,
        dark=dark,
        sure=decision.lives_all_year and decision.all_year_chance >= SUREST,
    )


def _rest_need(needs: Needs) -> RestNeed | None:
    """The rest that its flowers hang on, if there is one and it can be told."""
    return flower_need_of(needs) if needs.rest_needed and needs.rest_told else None


# Hard: where it may stand -------------------------------------------------------------------------


def allowed_days(case: Case, decision: Decision, promise: float) -> BoolArray:
    """
    Days within the seasons that are kept with a probability, (365); all of them where a year is.

    None without a verdict: what the record cannot tell is not promised.
    """
    if decision.verdict is Verdict.NONE:
        return np.zeros(DAYS, np.bool_)
    if Standing(case).lives_all_year(promise):
        return np.ones(DAYS, np.bool_)
    found = decision.survival_seasons
    if promise != case.rules.promise:
        longest = seasons.find_longest(case.past_years, case.kernel, promise)
        found = seasons.find_separate(case.past_years, case.kernel, promise, longest)
    return days_of(found)


def longest_days(stand: Stand, promise: float) -> BoolArray:
    """
    Days of the longest season alone that is kept with a probability, (365).

    All of them where a year is promised.
    """
    if stand.days.all():
        return stand.days
    longest = seasons.find_longest(stand.case.past_years, stand.case.kernel, promise)
    return stand.days & days_of([] if longest is None else [longest])


def days_of(stretches: Sequence[Stretch]) -> BoolArray:
    """Days of the year within stretches of it, (365)."""
    days = np.zeros(DAYS, np.bool_)
    for stretch in stretches:
        days[np.arange(stretch.start, stretch.stop) % DAYS] = True
    return days


def chance_of_stays(stays: Sequence[tuple[Case, int, int]]) -> float:
    """
    Probability that a new year keeps all stays of one plant, as `past_years` has that of one.

    A past year counts by what the stay that lacks most lacked: years, and their neighbours shifted
    by days or run warmer or colder, are the same for all stays, since the weather is.

    Parameters
    ----------
    stays : case, first day, nights
        In the order of time; days count from 1 January of a year and may lie in the next one.
    """
    kernel = stays[0][0].kernel
    reach = kernel.days.size // 2
    shifts = np.arange(-reach, reach + 1)
    axis = stays[0][0].nights.axis
    years = max(case.past_years.counts.size for case, _, _ in stays)
    first = np.arange(-1, years)[:, None] * DAYS + shifts
    lacks, room = np.full(first.size, -np.inf), np.full(first.size, np.inf)
    hidden, silent, left_out = (np.zeros(first.size, np.bool_) for _ in range(3))
    for case, day, nights in stays:
        past = case.past_years
        gap = (case.nights.axis.first_year - axis.first_year) * DAYS
        at = (first + day - gap + (DAYS - past.cut) % DAYS).reshape(-1)
        outside = (at < 0) | (at >= past.supported.size)
        starts = np.where(outside, 0, at)
        by_cold, by_heat = stretch_shortfall(past, nights, starts)
        known = ~outside
        lacks = np.where(known, np.maximum(lacks, by_cold), lacks)
        if by_heat is not None:
            room = np.where(known, np.minimum(room, by_heat), room)
        hidden |= known & (past.seen[starts] < nights)
        silent |= outside | (past.supported[starts] < nights)
        left_out |= known & ~past.counts[starts // DAYS]
    free = free_weight(lacks, room if np.isfinite(room).any() else None, 0.0, kernel.spread_c)
    free[hidden] = 0.0
    days = np.where(left_out, 0.0, np.tile(kernel.days, first.shape[0]))
    failed = float((1.0 - free) @ days)
    kept = float(np.where(silent, 0.0, free) @ days)
    return kept / (kept + failed) if kept > 0.0 else 0.0


def rest_of(stand: Stand, days: BoolArray) -> tuple[int, int] | None:
    """
    Years that met the rest of a plant that stands there on some days, and years that tell.

    None for one whose flowers hang on no rest, or on one that nothing tells.

    Parameters
    ----------
    days : (365)
    """
    need = _rest_need(stand.needs)
    if need is None:
        return None
    years = judge_rest(stand.rest, need, days)
    return int((years.state[years.counts] == RestState.MET).sum()), int(years.counts.sum())
