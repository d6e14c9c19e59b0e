"""Two halves of one station seldom pass for two places: the compact form of `told_apart`."""

from __future__ import annotations

import numpy as np
import pytest
from msgspec.structs import replace

from .cases import Asked
from .told_apart import WAYS, try_way

BAR = 0.1  # of halves that are the same place


@pytest.mark.slow
def test_halves_of_one_station_are_seldom_told_apart(
    asked: list[Asked], daily: list[Asked]
) -> None:
    """Two stations with their groups, five with limits; 16 to 31 years, eight splits of each.

    About 50 splits of stations, so that one in ten of them has a standard error of 4 points.
    """
    cases = [*asked[::3], *daily]
    for name, most in (("years of the same names", BAR + 0.06), ("other years", BAR)):
        found = try_way(cases, replace(WAYS[name], times=8))
        assert len(found) > 300
        by_station = [
            np.mean([pair.told for pair in found if pair.station == station])
            for station in {pair.station for pair in found}
        ]
        assert np.mean(by_station) <= most, name


@pytest.mark.slow
def test_a_warmer_half_is_told_and_comes_first(daily: list[Asked]) -> None:
    """Two kelvin, in years of the same names: in most splits, and hardly ever the other way."""
    found = try_way(daily, WAYS["the first half 2 K warmer, years of the same names"])
    told = [pair for pair in found if pair.told]
    assert len(told) > 0.6 * len(found)
    assert np.mean([pair.first_is_better for pair in told]) > 0.95
