"""What a promise from few years is worth: the compact form of `short_records`."""

from __future__ import annotations

import pytest

from suitability.climate.chance import worth_of

from .cases import Asked
from .short_records import spread, try_few


@pytest.mark.slow
def test_what_is_told_of_a_provisional_promise(daily: list[Asked]) -> None:
    """Three, five and eight years in a row at five stations, put to the 23 to 28 others.

    With so few stations the ends of a spread are known to some hundredths.
    """
    worths = [one for one in try_few(daily, (3, 5, 8)) if one.way == "in a row"]
    for promise in (0.8, 0.9):
        some = [one for one in worths if one.promise == promise]
        assert len(some) > 200
        low, half, high = spread(some)
        told = worth_of(promise)
        assert (low, high) == pytest.approx(told, rel=0, abs=0.07)
        assert low < promise < high
        assert half == pytest.approx(promise, rel=0, abs=0.05)
