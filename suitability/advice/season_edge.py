"""
The coldest shift at which a season is still reached, for groups that heat does not exclude.

For them a season that is reached stays reached with more warmth, so that there is one edge, and
halving would find it. Following the start that is best asks less: how far down that start alone
holds is quick to say, and the step below is then asked of all starts.
"""

from __future__ import annotations

from functools import cache, partial
from typing import TYPE_CHECKING

import numpy as np
from numpy.typing import NDArray

from suitability.advice.cases import growing_days, grows_long_enough, shifted
from suitability.advice.verdicts import is_all_year, season_shares
from suitability.climate import past_years

if TYPE_CHECKING:
    from collections.abc import Callable

    from suitability.advice.cases import Case

__all__ = ["STEPS_PER_DEGREE", "coldest_with_season", "halve"]

FloatArray = NDArray[np.float64]
BoolArray = NDArray[np.bool_]

STEPS_PER_DEGREE = 10
MOST_FOLLOWED = 4  # starts; from then on halving is surer


def coldest_with_season(case: Case, warmest: int, beyond: int) -> int | None:
    """
    The lowest shift, in tenths of a degree, at which a season, or the whole year, is reached.

    Parameters
    ----------
    case
        Of a group without a ceiling.
    warmest, beyond
        Highest shift looked at, and the one below the lowest.

    Returns
    -------
    None if none is reached at `warmest`.
    """
    good, bad = warmest, beyond
    reached, share = _ask(case, good)
    if not reached:
        return None
    grows = cache(partial(_grows, case))
    growing = halve(lambda step: bool(grows(step).any()), good, bad)
    last_growing, bad = grows(growing), growing - 1
    followed = 0
    while good - bad > 1:
        probe = (good + bad) // 2
        if share is not None and followed < MOST_FOLLOWED:
            followed += 1
            held = _follow(case, grows, _best_start(case, share, last_growing), good, bad)
            if case.observed.may_hide and held < good:
                probe = held  # what missing nights hide is not in it
            else:
                good, probe = held, held - 1
                if probe == bad:
                    break
        reached, share = _ask(case, probe)
        good, bad = (probe, bad) if reached else (good, probe)
    return good


def halve(holds: Callable[[int], bool], good: int, bad: int) -> int:
    """
    The step next to `bad` at which something still holds that holds at `good`.

    Whole degrees are asked first: other groups ask the spot for the same.
    """
    while abs(good - bad) > 1:
        middle = (good + bad) // 2
        if abs(good - bad) > 2 * STEPS_PER_DEGREE:
            middle = round(middle / STEPS_PER_DEGREE) * STEPS_PER_DEGREE
        good, bad = (middle, bad) if holds(middle) else (good, middle)
    return good


def _ask(case: Case, step: int) -> tuple[bool, FloatArray | None]:
    """Whether a season, or the whole year, is reached, and the shares if by a season."""
    warmer_c = step / STEPS_PER_DEGREE
    if case.observed.winter_usable.sum() < case.rules.fewest_years:
        return False, None
    case = shifted(case, warmer_c)
    growing = growing_days(case, warmer_c)
    share = season_shares(case, growing, warmer_c)
    if share is not None and share.max() >= case.rules.promise - 1e-9:
        return True, share
    return is_all_year(case, growing, warmer_c), None


def _grows(case: Case, step: int) -> BoolArray:
    """Starts from which the group grows or rests for the shortest season, (365)."""
    return grows_long_enough(case, growing_days(case, step / STEPS_PER_DEGREE))


def _best_start(case: Case, share: FloatArray, last_growing: BoolArray) -> int:
    """
    A start that may hold far down: of the surest, the middle one.

    Parameters
    ----------
    share : (365)
        From `season_shares`.
    last_growing : (365)
        Starts that grow longest as it gets colder; one of them, if any keeps the promise.
    """
    among = last_growing & (share >= case.rules.promise - 1e-9)
    asked = np.where(among, share, -1.0) if among.any() else share
    surest = np.flatnonzero(asked == asked.max())
    return int(surest[surest.size // 2])


def _follow(case: Case, grows: Callable[[int], BoolArray], start: int, good: int, bad: int) -> int:
    """The lowest shift above `bad` at which one start holds, as it does at `good`."""
    stretch = past_years.Stretch(start=start, nights=case.rules.shortest_season)
    share_at = past_years.share_by_warming(case.past_years, stretch, case.kernel)
    promise = case.rules.promise - 1e-9
    held = halve(lambda step: share_at(step / STEPS_PER_DEGREE) >= promise, good, bad)
    if grows(held)[start]:
        return held
    return halve(lambda step: bool(grows(step)[start]), good, held)
