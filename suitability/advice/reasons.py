"""Why a verdict is what it is, and what limits the group when."""

from __future__ import annotations

from collections.abc import Callable

import numpy as np
from numpy.typing import NDArray

from suitability.advice.cases import Case
from suitability.advice.result import Cause, Limiting, Reason
from suitability.advice.terms import Verdict
from suitability.advice.unseen import Unseen
from suitability.advice.verdicts import Decision
from suitability.brief import MONTHS, joined
from suitability.climate.days import DAYS, MONTH_STARTS, month_day
from suitability.climate.observing import (
    UNKNOWN_RUN,
    UNKNOWN_SHARE_OF_YEAR,
    plant_years,
    usable_years,
)
from suitability.climate.states import FAR_BELOW_C
from suitability.quantities import SUREST

BoolArray = NDArray[np.bool_]

RESTS_ON_UNSEEN = "rests-on-unseen-nights"
CAUSE_WORDS = {
    "hard-night": "nights below its limit",
    "wet-cold": "cold nights while the pot is wet",
    "dose": "cold that adds up over a fortnight",
    "heat": "days above its ceiling",
    "floor": "too many hours below its floor",
    "missing-nights": "nights that were not observed",
}


def limiting_causes(case: Case, decision: Decision) -> tuple[Limiting, ...]:
    """
    What limits the group, and in which months.

    A cause counts in a month if more years than the promise allows had at least one such night in
    it; the floor counts where it fails on more than half of the month's days; nights that were not
    observed wherever they may make the answer look better than it is.
    """
    if decision.verdict is Verdict.NONE:
        return ()
    allowed = 1.0 - case.rules.promise
    known = ~case.nights.unknown.reshape(-1, DAYS)
    years = np.maximum(np.add.reduceat(known, MONTH_STARTS, axis=1).any(axis=1).sum(), 1)

    def months_of(flags: BoolArray) -> tuple[int, ...]:
        if not flags.any():
            return ()
        monthly = np.add.reduceat(flags.reshape(-1, DAYS), MONTH_STARTS, axis=1) > 0
        share = monthly.sum(axis=0) / years
        return tuple(int(month) + 1 for month in np.flatnonzero(share > allowed + 1e-9))

    causes = _causes(case, decision, months_of)
    seen = any(months for cause, months in causes.items() if cause != "missing-nights")
    if not seen and decision.verdict is not Verdict.ALL_YEAR:
        hidden, allowed = causes["missing-nights"], 0.0
        # Rare in each month, but together too often: tell all of them.
        causes = _causes(case, decision, months_of)
        causes["missing-nights"] = hidden or causes["missing-nights"]
    causes["missing-nights"] = tuple(sorted({*causes["missing-nights"], *decision.unseen.months}))
    return tuple(Limiting(cause=cause, months=months) for cause, months in causes.items() if months)


def _causes(
    case: Case, decision: Decision, months_of: Callable[[BoolArray], tuple[int, ...]]
) -> dict[Cause, tuple[int, ...]]:
    """Months of each cause."""
    shortfall = case.shortfall
    causes: dict[Cause, tuple[int, ...]] = {
        "hard-night": months_of(shortfall.dry_c > 0.0),
        "wet-cold": months_of((shortfall.wet_c > 0.0) & (shortfall.dry_c <= 0.0)),
        "dose": months_of(shortfall.dose_c > 0.0),
        "heat": () if shortfall.heat_room_c is None else months_of(shortfall.heat_room_c < 0.0),
    }
    all_year = decision.verdict is Verdict.ALL_YEAR
    causes["missing-nights"] = () if all_year else months_of(case.hidden)
    failing = np.add.reduceat(~decision.floor_days, MONTH_STARTS)
    lengths = np.diff(np.append(MONTH_STARTS, DAYS))
    causes["floor"] = tuple(int(month) + 1 for month in np.flatnonzero(failing * 2 > lengths))
    return causes


def explain(case: Case, decision: Decision) -> Reason | None:
    """The reason of a verdict; none for "outdoor all year", unless it rests on what nobody saw."""
    if decision.verdict is Verdict.ALL_YEAR:
        return _unseen(case, decision.unseen)
    if decision.verdict is Verdict.NONE:
        enough = case.observed.winter_usable.sum() >= case.rules.fewest_years
        return _unknown_nights(case) if enough else _too_little(case)
    if decision.verdict is Verdict.INDOOR:
        return _too_short(case, decision)
    return _not_all_year(case, decision)


def _how_few(case: Case, usable: int, needed: int) -> str:
    """How far the record is from enough years, as the beginning of a sentence."""
    outside = case.nights.axis.night_of < 0
    whole = int(usable_years(plant_years(outside, case.nights.winter, outside=True)).sum())
    if whole == 0:
        return (
            f"The record holds not one whole plant year and {needed} are needed, so give one of "
            f"{needed + 1} calendar years or more"
        )
    if usable == 0:
        one = "The one plant year" if whole == 1 else f"None of the {whole} plant years"
        denied = "was not" if whole == 1 else "was"
        return f"{one} of the record {denied} observed well enough, {needed} are needed"
    return f"Only {usable} usable plant year{'' if usable == 1 else 's'}, {needed} are needed"


def _too_little(case: Case) -> Reason:
    """Why there is no verdict."""
    usable, needed = int(case.observed.winter_usable.sum()), case.rules.fewest_years
    nights = int((case.nights.axis.night_of >= 0).sum())  # from the first to the last on record
    known = int((~case.nights.unknown).sum())
    begins = month_day(case.nights.winter)
    return Reason(
        code="too-few-years",
        text=(
            f"{_how_few(case, usable, needed)}: {known} of {nights} nights of the record are "
            "known. Plant years begin on "
            f"{int(begins[3:])} {MONTHS[int(begins[:2]) - 1]} here; a usable one has at least "
            f"{1.0 - UNKNOWN_SHARE_OF_YEAR:.0%} of its nights known and no more than {UNKNOWN_RUN} "
            "unknown in a row."
        ),
        numbers={
            "years_usable": usable,
            "years_needed": needed,
            "nights_known": known,
            "nights": nights,
        },
    )


def _unknown_nights(case: Case) -> Reason:
    """Why nothing is said where only nights that were not observed keep a group indoors."""
    by_day = case.limits.ceiling_c is not None  # heat asks for whole days
    unknown = case.nights.day_unknown if by_day else case.nights.unknown
    on_record = case.nights.axis.night_of >= 0  # from the first to the last
    missed, nights = int((unknown & on_record).sum()), int(on_record.sum())
    what = "days and nights" if by_day else "nights"
    return Reason(
        code="unknown-nights",
        text=(
            f"It hangs on what was not observed: {missed} of {nights} {what} of the record lack "
            "hours. Had all of them been fine, there would be a season outdoors; as they may not "
            "have been, none is promised. A fuller record, or years without such gaps, can tell."
        ),
        numbers={"nights_unknown": missed, "nights": nights},
    )


def _unseen(case: Case, unseen: Unseen) -> Reason | None:
    """What "all year" rests on that was not observed."""
    if not unseen.resting:
        return None
    one, months = unseen.resting == 1, [MONTHS[month - 1] for month in unseen.resting_months]
    what = "night" if case.limits.ceiling_c is None else "night or hot day"
    return Reason(
        code=RESTS_ON_UNSEEN,
        text=(
            f"{unseen.resting} {what if one else what.replace(' or', 's or') + 's'} that may have "
            f"been unsafe {'was' if one else 'were'} not observed ({joined(months)}); had "
            f"{'it' if one else 'they'} been, the whole year would not be promised."
        ),
        numbers={"nights_unseen": unseen.resting, "years_with_unseen": unseen.resting_years},
    )


def _too_short(case: Case, decision: Decision) -> Reason:
    """Why the group must stay indoors."""
    days = decision.season.nights if decision.season else 0
    needed = case.rules.shortest_season
    causes = _main_causes(case, decision)
    return Reason(
        code="season-too-short",
        text=(
            f"The longest outdoor season that {case.rules.promise:.0%} of years keep has "
            f"{days} days, {needed} are needed{causes}."
        ),
        numbers={"season_days": days, "days_needed": needed},
    )


def _not_all_year(case: Case, decision: Decision) -> Reason:
    """Why the group cannot stay outdoors all year."""
    share, usable = decision.all_year_chance, decision.all_year_usable
    far_below = int((case.shortfall.hard_c > FAR_BELOW_C).sum())
    growing = int(decision.floor_days.sum())
    numbers = {
        "all_year_chance": round(min(share, SUREST), 4),
        "years_usable": usable,
        "nights_far_below": far_below,
        "growing_days": growing,
    }
    if usable < case.rules.fewest_for_all_year:
        needed = case.rules.fewest_for_all_year
        code = "too-few-years-for-all-year"
        text = f"{usable} usable plant years cannot carry the verdict all year, {needed} can."
    elif far_below:
        code, text = "far-below-limit", _far_below(case, far_below)
    elif share < case.rules.promise:
        code = "unsafe-nights"
        text = (
            f"A new year stays free of unsafe nights with {share:.0%}, judged by {usable} plant "
            f"years; {case.rules.promise:.0%} is asked for{_main_causes(case, decision)}."
        )
    else:
        code, text = (
            "floor",
            (f"It would survive all year, but grows or rests on {growing} of 365 days only."),
        )
    return Reason(code=code, text=text, numbers=numbers)


def _far_below(case: Case, nights: int) -> str:
    """What nights far below the limit mean: likely harm, or a risk that high caution refuses."""
    told = f"{nights} night{'' if nights == 1 else 's'} on record"
    if case.rules.cautious:
        return (
            f"{told} {'is' if nights == 1 else 'are'} too cold for the cautious end of its range: "
            "a question of caution more than of likely harm."
        )
    harm = "would likely have done lasting harm outdoors (leaf loss, dieback)"
    return f"{told}, far below its limit, {harm}."


def _main_causes(case: Case, decision: Decision) -> str:
    """The causes in words, most months first."""
    causes = sorted(limiting_causes(case, decision), key=lambda cause: -len(cause.months))
    words = [CAUSE_WORDS[cause.cause] for cause in causes[:3]]
    if not words:
        return ""
    return f" ({joined(words)})"
