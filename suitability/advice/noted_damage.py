"""Noted damage beside the nights before it, and what it tells of a plant."""

from __future__ import annotations

from datetime import date
from typing import TYPE_CHECKING

import numpy as np
from numpy.typing import NDArray

from suitability.advice.profile import NotedDamage
from suitability.climate.cold import DOSE_NIGHTS, trailing_sum
from suitability.climate.days import position_of
from suitability.climate.states import unsafe_nights

if TYPE_CHECKING:
    from collections.abc import Sequence

    from suitability.advice.preparing import SpotCases
    from suitability.groups.group import Needs

__all__ = ["damage_noted", "lift_by_damage"]

FloatArray = NDArray[np.float64]

DAMAGE_LIFT_C = 1.0  # K, for damage that the group's thresholds do not explain; reasoned


def damage_noted(
    judged: SpotCases, needs: Needs, damage: Sequence[tuple[date, str]]
) -> tuple[NotedDamage, ...]:
    """Each noted damage (day and words) beside the 14 nights before it."""
    if not damage:
        return ()
    case, nights = judged.case(needs), judged.nights
    unsafe = unsafe_nights(case.shortfall)[position_of(nights.axis)]
    dose = trailing_sum(np.nan_to_num(nights.dose.degree_hours_below(needs.chill_base_c)))
    lowest = np.fmin.reduce(nights.temp_c, axis=1)
    noted = []
    for day, words in sorted(damage):
        before = _nights_before(day, nights.first_day, lowest)
        noted.append(
            NotedDamage(day=day, words=words, lowest_c=None, dose_c_h=None, expected=None)
            if before is None
            else NotedDamage(
                day=day,
                words=words,
                lowest_c=float(np.nanmin(lowest[before])),
                dose_c_h=round(float(dose[before].max()), 6),
                expected=bool(unsafe[before].any()),
            )
        )
    return tuple(noted)


def _nights_before(day: date, first_day: int, lowest_c: FloatArray) -> slice | None:
    """The 14 nights before a day; None where the record does not hold them."""
    evening = (day - date(1970, 1, 1)).days - first_day
    before = slice(evening - DOSE_NIGHTS, evening)
    if before.start < 0 or evening > lowest_c.size or np.isnan(lowest_c[before]).all():
        return None
    return before


def lift_by_damage(damage: Sequence[NotedDamage], *, evergreen: bool) -> float:
    """
    How much tenderer than its group noted damage shows a plant to be, K.

    One for each damage that the group's thresholds do not explain; for an evergreen plant one for
    each repeat too, since it recovers once and weakens with each repeat (common practice, no
    source). Damage outside the record tells nothing but counts as a time.
    """
    unexplained = sum(noted.expected is False for noted in damage)
    repeats = max(0, len(damage) - 1 - unexplained) if evergreen else 0
    return DAMAGE_LIFT_C * (unexplained + repeats)
