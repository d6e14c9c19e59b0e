"""Weeks in a row of one phase with their water and feed, and changes of phase."""

from __future__ import annotations

from collections.abc import Callable, Sequence
from typing import Any

import numpy as np
from msgspec import Struct
from msgspec.structs import asdict
from numpy.typing import NDArray

from suitability.advice.growing_days import GrowthDays, GrowthSpot
from suitability.advice.growth_year import (
    WEEKS,
    Change,
    Phase,
    PhaseRun,
    SetBy,
    Stay,
    Where,
    week_of_day,
)
from suitability.advice.resting import days_out
from suitability.advice.terms import Season, Verdict
from suitability.advice.verdicts import Decision, seasons_of
from suitability.climate import growth_phases
from suitability.climate.days import DAYS, month_day
from suitability.climate.growth_phases import PhaseDates, usual_dates
from suitability.groups.group import Group, RestNeed
from suitability.groups.words import Words, unsaid

UNSAID = "not said in its catalogue"


class Care(Struct, frozen=True, kw_only=True):
    """Water, feed and what to look for, in words; mostly those of the catalogue."""

    water: str
    feed: str
    look_for: str


def tend(phase: Phase, group: Group, words: Words, *, before_rest: bool) -> Care:
    """
    Water, feed and what to look for.

    Parameters
    ----------
    before_rest
        Whether a rest follows a slowing; otherwise it is a pause by cold or short days.
    """
    ways: dict[Phase, Callable[[], Care]] = {
        Phase.GROWING: lambda: _growing(words),
        Phase.SLOWING: lambda: _tapering(words) if before_rest else _pausing(group, words),
        Phase.RESTING: lambda: _resting(group, words),
        Phase.WAKING: lambda: _waking(group, words),
    }
    return ways[phase]()


def _said(text: str) -> str:
    return text or UNSAID


def _growing(words: Words) -> Care:
    return Care(
        water=_said(words.water_growth),
        feed=_said(words.feed_growth),
        look_for="new shoots and roots with green tips; a pot that dries sooner than usual",
    )


def _tapering(words: Words) -> Care:
    return Care(
        water=f"less each week; in the rest then: {_said(words.water_rest)}",
        feed=f"weaker, less each week; in the rest then: {_said(words.feed_rest)}",
        look_for="the last leaf of each shoot, shoots that fill out, roots whose tips close",
    )


def _pausing(group: Group, words: Words) -> Care:
    """A group with a rest is not kept as dry in a mere pause; the words of others are for one."""
    rests = group.rest is not None and group.rest.needed is not RestNeed.NO
    water, feed = _said(words.water_rest), _said(words.feed_rest)
    return Care(
        water=f"less than in growth; at the coolest: {water}" if rests else water,
        feed=f"little; at the coolest: {feed}" if rests else feed,
        look_for="pots that stay wet for long; soft spots; shoots that stop short",
    )


def _resting(group: Group, words: Words) -> Care:
    leaves = "leaves may yellow and fall, which is no harm"
    if words.evergreen:
        leaves = "leaves stay; if they fall it was too cold or too wet"
    dry = group.rest is not None and group.rest.must_be_dry
    shrivel = "light creases are usual, deep ones ask for a sip" if dry else "no deep creases"
    return Care(
        water=_said(words.water_rest),
        feed=_said(words.feed_rest),
        look_for=f"{leaves}; {shrivel}",
    )


def _waking(group: Group, words: Words) -> Care:
    rest = group.rest
    signs = "new shoots and root tips"
    if rest is not None and rest.needed is RestNeed.YES and group.rest_told:
        signs = "swelling buds, then new shoots and root tips"
    roots = "once roots show"  # which the catalogue may say as well
    growth, feed = _said(words.water_growth), unsaid(_said(words.feed_growth), roots)
    if rest is not None and rest.must_be_dry:
        water = f"a little at a time; in full only {roots}: {unsaid(growth, roots)}"
        signs += "; full water before them does harm"
    else:
        water = f"more as shoots and roots appear, towards: {growth}"
    return Care(
        water=water,
        feed=f"none until new roots show; then: {feed}",
        look_for=signs,
    )


IntArray = NDArray[np.int64]

HARDENING_DAYS, COMING_IN_DAYS = 14, 7  # of moving out; of looking plants over before the day in
MIDDLE = 3  # a week has the phase and the place of its fourth day
PHASES = {
    growth_phases.Phase.GROWING: Phase.GROWING,
    growth_phases.Phase.SLOWING: Phase.SLOWING,
    growth_phases.Phase.RESTING: Phase.RESTING,
    growth_phases.Phase.WAKING: Phase.WAKING,
}


def days_of_week(number: int) -> slice:
    """Days of the folded year of a week, numbered from 0; the last one is longer."""
    return slice(7 * number, DAYS if number == WEEKS - 1 else 7 * number + 7)


def standing_of(decision: Decision) -> list[Where]:
    """Where the plant stands on each day; the day of carrying in is the last of moving in."""
    out = days_out(decision)
    where = [Where.OUTDOORS if day else Where.INDOORS for day in out.tolist()]
    season = decision.season
    if season is None or decision.verdict is not Verdict.SEASONAL or out.all():
        return where
    for later in range(HARDENING_DAYS):
        where[(season.start + later) % DAYS] = Where.MOVING_OUT
    for earlier in range(COMING_IN_DAYS):
        where[(season.start + season.nights - earlier) % DAYS] = Where.MOVING_IN
    return where


def _stretches(values: Sequence[object]) -> list[tuple[int, int]]:
    """First week (from 0) and number of weeks of each run of a ring, the first week's run first."""
    starts = [number for number in range(WEEKS) if values[number] != values[number - 1]]
    if not starts:
        return [(0, WEEKS)]
    if starts[0] > 0:
        starts = [starts[-1], *starts[:-1]]
    ends = [*starts[1:], starts[0]]
    return [
        (start, (end - start) % WEEKS or WEEKS) for start, end in zip(starts, ends, strict=True)
    ]


def find_runs(phases: IntArray, group: Group, words: Words) -> tuple[PhaseRun, ...]:
    """Weeks of one phase in a row, with their water and feed."""
    of_week = [PHASES[growth_phases.Phase(int(phase))] for phase in phases[MIDDLE : 7 * WEEKS : 7]]
    stretches = _stretches(of_week)
    in_turn = [of_week[start] for start, _ in stretches]
    following = [*in_turn[1:], in_turn[0]]
    begins = [_begin(phases, 7 * start + MIDDLE) for start, _ in stretches]
    ends = [day - 1 for day in (*begins[1:], begins[0])]

    return tuple(
        PhaseRun(
            phase=phase,
            **_weeks_from(start, weeks)
            | {"first_day": month_day(first % DAYS), "last_day": month_day(last % DAYS)},
            **asdict(tend(phase, group, words, before_rest=after is Phase.RESTING)),
        )
        for (start, weeks), phase, after, first, last in zip(
            stretches, in_turn, following, begins, ends, strict=True
        )
    )


def _begin(phases: IntArray, day: int) -> int:
    """The first day of the phase of a day, of the folded year; 0 of one that lasts all year."""
    changes = np.flatnonzero(phases != np.roll(phases, 1))
    return int(changes[np.searchsorted(changes, day, "right") - 1]) if changes.size else 0


def _weeks_from(start: int, weeks: int) -> dict[str, Any]:
    """First and last week and day of so many weeks in a row from one on, numbered from 0."""
    last = (start + weeks - 1) % WEEKS
    return {
        "first_week": start + 1,
        "last_week": last + 1,
        "weeks": weeks,
        "first_day": month_day(days_of_week(start).start),
        "last_day": month_day(days_of_week(last).stop - 1),
    }


def find_stays(decision: Decision) -> tuple[Stay, ...]:
    """Weeks of one place in a row."""
    where = standing_of(decision)
    of_week = [where[7 * number + MIDDLE] for number in range(WEEKS)]
    return tuple(
        Stay(where=of_week[start], **_weeks_from(start, weeks))
        for start, weeks in _stretches(of_week)
    )


def find_growing(days: GrowthDays) -> tuple[Season, ...]:
    """Stretches of the days out in weeks of growth, the first after New Year first."""
    of_week = np.repeat(days.phases[MIDDLE : 7 * WEEKS : 7], 7)
    grows = days.out & (np.append(of_week, of_week[-1]) == growth_phases.Phase.GROWING)
    return seasons_of(grows)


def find_changes(days: GrowthDays, at_spot: GrowthSpot) -> tuple[Change, ...]:
    """The first day of each phase, in the order of the calendar year."""
    phases = days.phases
    starts = np.flatnonzero(phases != np.roll(phases, 1)).tolist()
    return tuple(_change(days, day, at_spot) for day in starts)


def _change(days: GrowthDays, day: int, at_spot: GrowthSpot) -> Change:
    """One change: by the years' nights outdoors, by light indoors, or with a move."""
    of_climate = growth_phases.Phase(int(days.phases[day]))
    now, before = bool(days.out[day]), bool(days.out[day - 1])
    set_by, among = SetBy.MOVE, None
    years_with = of_years = 0
    if now and before:
        in_a_room = at_spot.spot.room is not None
        set_by = SetBy.ROOM if in_a_room else SetBy.NIGHTS
        among = (day, day) if in_a_room else None
        by_year = None if at_spot.spot.is_steady else days.by_year  # else the same every year
        found = _among_years(by_year, of_climate, (day - at_spot.anchor) % DAYS)
        if found is not None and by_year is not None:
            years_with, of_years = found.size, by_year.slow.size
            set_by = SetBy.NIGHTS
            among = (at_spot.anchor + int(found.min()), at_spot.anchor + int(found.max()))
    elif not now and not before:
        set_by = SetBy.DAY_LENGTH if at_spot.room_c is None else SetBy.ROOM
        among = (day, day)
    return Change(
        phase=PHASES[of_climate],
        set_by=set_by,
        day=month_day(day),
        week=week_of_day(day),
        run_week=_week_from(day),
        earliest_day=None if among is None else month_day(among[0]),
        latest_day=None if among is None else month_day(among[1]),
        earliest_week=None if among is None else week_of_day(among[0] % DAYS),
        latest_week=None if among is None else week_of_day(among[1] % DAYS),
        years_with=years_with,
        of_years=of_years,
    )


def _among_years(
    by_year: PhaseDates | None, phase: growth_phases.Phase, usual: int
) -> IntArray | None:
    """First days of the phase in the years that had it; None if it does not start with them."""
    if by_year is None or int(usual_dates(by_year).starts(phase)[0]) != usual:
        return None
    starts: IntArray = by_year.starts(phase)[by_year.happens(phase)]
    return starts if starts.size else None


def _week_from(day: int) -> int:
    """The first week, 1 to 52, whose fourth day is on this day or after it."""
    day %= DAYS
    week = min(day // 7, WEEKS - 1)
    return (week + (day - 7 * week > MIDDLE)) % WEEKS + 1
