"""
What suits a place: groups in the order in which one would choose them, before buying.

The verdict goes first, then the *good days* of a year: a day out counts half, one at ease whole,
and of their sum flowers and heat leave a share. A day out is at ease if the night minimum of the
mean year, smoothed over 31 days, is not below the comfort mark (the floor, where a group has none),
or if it lies in the period of a rest that flowers hang on. Of equal groups goes first the one whose
nights out are less above its comfort mark. All of it is reasoned and changes no verdict.
"""

from __future__ import annotations

from collections.abc import Sequence

import numpy as np
from msgspec.structs import replace
from numpy.typing import NDArray

from suitability.advice.cases import Case
from suitability.advice.resting import days_out
from suitability.advice.result import Finding, Ranking
from suitability.advice.terms import Flowers, HeatWord
from suitability.advice.verdicts import Decision
from suitability.climate.days import DAYS, turn
from suitability.climate.exposure import EPSILON_C
from suitability.climate.rest import RestPeriod
from suitability.groups.group import Needs

FloatArray = NDArray[np.float64]
# Nothing stands against it; with help, or less of it; not known; hardly.
WHOLE, LESS, UNKNOWN, HARDLY = 1.0, 0.75, 0.5, 0.25
FLOWERS = {
    Flowers.CAN: WHOLE,
    Flowers.AFTER_COOL_ROOM: LESS,
    Flowers.AFTER_DRY_REST: LESS,
    Flowers.SHYLY: LESS,
    Flowers.UNKNOWN: UNKNOWN,
    Flowers.HARDLY: HARDLY,
}
HEAT = {
    HeatWord.LITTLE: WHOLE,
    HeatWord.IF_DRY: LESS,
    HeatWord.AT_TIMES: LESS,
    HeatWord.UNKNOWN: UNKNOWN,
    HeatWord.EXPECT_DAMAGE: HARDLY,
}


def rank_of(
    needs: Needs,
    case: Case,
    decision: Decision,
    period: RestPeriod,
    *,
    flowers: Flowers,
    heat: HeatWord | None,
) -> Ranking:
    """
    The good days of one group; compared with none, it is still the first.

    Parameters
    ----------
    period
        From `lay_out_resting`.
    heat
        None for a group without a ceiling.
    """
    mark_c = needs.floor_c if needs.comfort_c is None else needs.comfort_c
    night_c: FloatArray = case.nights.calendar.night_minimum_c
    out = days_out(decision)
    at_ease = night_c >= mark_c - EPSILON_C
    if needs.rest_needed:  # cool nights of its period are wanted
        at_ease |= turn(np.arange(DAYS) < period.minimum_c.shape[1], period.first_day)
    above_c = np.maximum(night_c[out] - mark_c, 0.0)
    return weigh(
        int(out.sum()),
        int((out & at_ease).sum()),
        flowers,
        heat,
        warmer_c=float(above_c.mean()) if out.any() else 0.0,
    )


def weigh(
    days_out: int, at_ease: int, flowers: Flowers, heat: HeatWord | None, *, warmer_c: float
) -> Ranking:
    """
    Good days from their parts.

    Examples
    --------
    >>> weigh(200, 100, Flowers.SHYLY, HeatWord.LITTLE, warmer_c=0.0).good_days  # 150 x 0.75
    112
    """
    flower_share, heat_share = FLOWERS[flowers], HEAT[heat or HeatWord.UNKNOWN]
    return Ranking(
        rank=1,
        good_days=round((days_out + at_ease) / 2 * flower_share * heat_share),
        days_out=days_out,
        days_at_ease=at_ease,
        flower_share=flower_share,
        heat_share=heat_share,
        warmer_c=warmer_c,
    )


def rank_findings(findings: Sequence[Finding]) -> list[Finding]:
    """
    The findings of one spot with their ranks, in the order given; equal ones share a rank.

    One that is better in every part never has the worse rank.
    """
    keys = [_key(finding) for finding in findings]
    return [
        replace(finding, ranking=replace(finding.ranking, rank=1 + sum(one > key for one in keys)))
        for finding, key in zip(findings, keys, strict=True)
    ]


def _key(finding: Finding) -> tuple[float, ...]:
    """Greater is better."""
    ranking = finding.ranking
    return finding.verdict.rank, ranking.good_days, -ranking.warmer_c
