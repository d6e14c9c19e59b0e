"""The worst nights and fortnights."""

from __future__ import annotations

import numpy as np
from hypothesis import given
from hypothesis import strategies as st

from suitability.climate.worst import highest_apart, lowest


def test_the_lowest_come_first_and_of_equals_the_earlier() -> None:
    values = np.array([5.0, 1.0, 3.0, 1.0, np.inf])
    assert lowest(values, 3).tolist() == [1, 3, 2]
    assert lowest(values, 10).tolist() == [1, 3, 2, 0]  # what is not finite is not listed


def test_nothing_to_list() -> None:
    assert lowest(np.array([np.inf, np.nan]), 10).size == 0
    assert highest_apart(np.zeros(20), 10, 14).size == 0
    assert highest_apart(np.zeros(0), 10, 14).size == 0


def test_fortnights_do_not_overlap() -> None:
    """9 and 8 are two nights apart, so the second is 7 at a distance of 14."""
    values = np.zeros(40)
    values[10], values[12], values[24], values[23] = 9.0, 8.0, 7.0, 6.0
    assert highest_apart(values, 10, 14).tolist() == [10, 24]
    assert highest_apart(values, 1, 14).tolist() == [10]
    assert values[12] == 8.0  # left alone


@given(st.integers(0, 2**32 - 1), st.integers(1, 20), st.integers(1, 30))
def test_each_is_the_highest_of_what_is_left(seed: int, number: int, apart: int) -> None:
    values = np.random.default_rng(seed).integers(-3, 50, 200).astype(np.float64)
    found = highest_apart(values, number, apart)
    assert found.size <= number
    free = np.ones(200, np.bool_)
    for night in found.tolist():
        assert free[night]
        assert values[night] == values[free].max()
        free[max(0, night - apart + 1) : night + apart] = False
    if found.size < number:
        assert not (values[free] > 0.0).any()
