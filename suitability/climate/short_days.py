"""When the day's length passes the marks by which plants slow down, rest and wake."""

from __future__ import annotations

import numpy as np
from msgspec import Struct
from numpy.typing import NDArray

from suitability.climate.days import turn

__all__ = ["ShortDays", "find_short_days"]

FloatArray = NDArray[np.float64]

SHORT_DAY_H, EVEN_DAY_H = 11.0, 12.0  # a day under the first is short; reasoned
LENGTHENED_H = 0.5  # by which the day must have grown since the shortest one; reasoned
RANGE_H = 1.0  # of day length over the year; under it light dates nothing; reasoned


class ShortDays(Struct, frozen=True, kw_only=True):
    """
    Days after mid-summer on which the length of the day passes a mark; None where it never does.

    `under_even` and `under_short`: below 12 and 11 h; `longer`: half an hour above the shortest;
    `over_short` and `over_even`: 11 and 12 h again.
    """

    under_even: int | None = None
    under_short: int | None = None
    longer: int | None = None
    over_short: int | None = None
    over_even: int | None = None


def find_short_days(day_length_h: FloatArray, summer: int) -> ShortDays:
    """
    When the day's length passes its marks; nothing where it varies by less than an hour.

    Parameters
    ----------
    day_length_h : (365), h
    summer
        Day of the folded year from which days are counted.
    """
    length = turn(day_length_h, -summer)
    if length.max() - length.min() < RANGE_H:
        return ShortDays()
    shortest = int(np.argmin(length))
    before, after = length[:shortest], length[shortest:]

    def under(hours: float) -> int | None:
        return int(np.argmax(before < hours)) if (before < hours).any() else None

    def over(hours: float) -> int | None:
        if length[shortest] >= hours or not (after >= hours).any():
            return None
        return shortest + int(np.argmax(after >= hours))

    return ShortDays(
        under_even=under(EVEN_DAY_H),
        under_short=under(SHORT_DAY_H),
        longer=over(float(length[shortest]) + LENGTHENED_H),
        over_short=over(SHORT_DAY_H),
        over_even=over(EVEN_DAY_H),
    )
