"""What the verdict would be, were a spot warmer or colder, or another promise asked for."""

from __future__ import annotations

from typing import TYPE_CHECKING

from msgspec.structs import replace

from suitability.advice.cases import Case, all_fine, growing_days, shifted
from suitability.advice.verdicts import WHOLE_YEAR, Verdict, chance_if_fine, is_all_year
from suitability.climate import seasons

if TYPE_CHECKING:
    from collections.abc import Mapping, Sequence

    from suitability.climate.past_years import Stretch

__all__ = ["what_if"]


def what_if(
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
        answers = _what_if_step(case, step_c, promises, guesses)
        told.append(answers)
        for promise, (verdict, season) in zip(promises, answers, strict=True):
            if season is not None and verdict is Verdict.SEASONAL:
                before, lengths[promise] = lengths.get(promise), season.nights
                guesses[promise] = season.nights + (season.nights - before if before else 0)
    return _doubting(case, warmer_c, promises, told)


def _what_if_step(
    case: Case, warmer_c: float, promises: Sequence[float], guesses: Mapping[float, int]
) -> tuple[tuple[Verdict, Stretch | None], ...]:
    """What each promise gives at one warming."""
    rules, case = case.rules, shifted(case, warmer_c)
    growing = growing_days(case, warmer_c)
    whole = {
        promise
        for promise in promises
        if is_all_year(replace(case, rules=replace(rules, promise=promise)), growing, warmer_c)
    }
    partial = [promise for promise in promises if promise not in whole]
    seasons_found = seasons.find_longest_each(
        case.past_years,
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
    fine, answers, limits = all_fine(case), list(told), case.limits
    if fine is None:
        return tuple(answers)
    # Heat spares a colder spot, and a longer cool season lets the lower floor of the rest count.
    colder_is_worse = limits.ceiling_c is None and limits.rest_floor_c is None
    for step in sorted(range(len(answers)), key=lambda at: -warmer_c[at]):
        if all(verdict is not Verdict.INDOOR for verdict, _ in answers[step]):
            continue
        chance = chance_if_fine(fine, warmer_c[step])
        answers[step] = tuple(
            (Verdict.NONE, None)
            if verdict is Verdict.INDOOR and chance >= promise - 1e-9
            else (verdict, season)
            for promise, (verdict, season) in zip(promises, answers[step], strict=True)
        )
        if chance < min(promises) - 1e-9 and colder_is_worse:
            break
    return tuple(answers)
