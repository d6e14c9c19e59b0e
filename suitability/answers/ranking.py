"""The words of what suits a place: groups best first, who would be happiest there, and why."""

from __future__ import annotations

from typing import TYPE_CHECKING

from suitability.advice.terms import Flowers, HeatWord, Verdict
from suitability.answers import flowers, words
from suitability.brief import joined

if TYPE_CHECKING:
    from collections.abc import Sequence

    from suitability.advice.result import CheckResult, Finding

ORDER_NOTE = "Best first: by days out, their comfort, flowers and heat."
GOOD_DAYS_NOTE = (
    "Best first by verdict and good days: half of the days out and half of those with comfortable "
    "nights or a rest that is wanted, less what flowers and heat take."
)
NEXT = 2  # groups that are named behind the first
MOST = 3  # that are named as the first together
HEAT = {
    HeatWord.LITTLE: "little heat",
    HeatWord.AT_TIMES: "too hot at times",
    **words.HEAT_MINDED,
}


def is_ranked(findings: Sequence[Finding]) -> bool:
    """Whether they are several groups; plants of a collection stand as their owner has them."""
    return len(findings) > 1 and not any(finding.plants for finding in findings)


def best_first(findings: Sequence[Finding]) -> list[Finding]:
    """Groups by rank, spot by spot."""
    if not is_ranked(findings):
        return list(findings)
    spots = list(dict.fromkeys(finding.spot for finding in findings))
    return sorted(findings, key=lambda one: (spots.index(one.spot), one.ranking.rank))


def happiest(result: CheckResult) -> str:
    """
    Who would be happiest at a place, why, and who comes next, as the end of a sentence.

    Empty where no group may go out, of plants, and of several spots.
    """
    findings = best_first(result.results)
    if not is_ranked(findings) or len({one.spot for one in findings}) > 1:
        return ""
    out = [one for one in findings if one.ranking.days_out]
    if not out:
        return ""
    first = [one for one in out if one.ranking.rank == out[0].ranking.rank][:MOST]
    behind = [one for one in out[len(first) :] if not _is_spoilt(one)][:NEXT]
    indoors = any(spot.room is not None for spot in result.spots)
    told = f"{_named(first)} would be happiest: {_why(first[0], indoors=indoors)}"
    return f"{told}; then {_named(behind)}" if behind else told


def _is_spoilt(finding: Finding) -> bool:
    """Whether it lives there without being happy."""
    return finding.flowers is Flowers.HARDLY or finding.heat is HeatWord.EXPECT_DAMAGE


def _named(findings: Sequence[Finding]) -> str:
    return joined([words.short_name(one) for one in findings])


def _why(finding: Finding, *, indoors: bool) -> str:
    """How long it is out and at ease, and what flowers and heat say, in few words."""
    weeks = round(finding.ranking.days_at_ease / 7)
    heat = HEAT.get(finding.heat or HeatWord.UNKNOWN, "")
    ease = f"at ease for {weeks} weeks"
    parts = [_stay(finding, indoors=indoors), ease, _flowers(finding), heat]
    return ", ".join(part for part in parts if part)


def _flowers(finding: Finding) -> str:
    """What its rest says of flowers."""
    if finding.flowers is Flowers.CAN:
        return "its rest met" if finding.cool_rest else "needs no cool rest"
    mark = flowers.flowers_mark(finding)
    after = {
        Flowers.AFTER_COOL_ROOM: f"flowers after a {mark}",
        Flowers.AFTER_DRY_REST: "flowers if kept dry in its winter indoors",
    }
    how, _, why = mark.partition(": ")
    return after.get(finding.flowers, f"{how} ({why})" if why else how)


def _stay(finding: Finding, *, indoors: bool) -> str:
    """When it is out."""
    where, season = "there" if indoors else "out", finding.season
    if finding.verdict is Verdict.ALL_YEAR or season is None or season.days >= words.DAYS:
        return f"{where} all year"
    if finding.nearly_all_year:
        return f"{where} all year but for a few nights"
    return f"{where} from {words.season(season)}"
