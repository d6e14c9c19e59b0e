"""Whether years drift: Theil-Sen and Mann-Kendall."""

from __future__ import annotations

import math
from itertools import combinations
from statistics import median

import numpy as np
import pytest
from hypothesis import given
from hypothesis import strategies as st

from suitability.climate.chance import mann_kendall, theil_sen

# "MannKendallByHand", course notes of the College of the Holy Cross: S 54, variance 332.667,
# Z 2.9058, two-sided p 0.00366. Theil-Sen by scipy 1.17 `theilslopes`: slope 0.56667.
BY_HAND = np.array(
    [12.9, 14.8, 13.2, 15.7, 13.8, 15.6, 12.9, 11.0, 17.3, 15.9, 19.0, 18.3, 20.1, 21.7]
)
VALUES = st.lists(st.integers(-50, 50).map(float), min_size=0, max_size=25)


def test_mann_kendall_by_hand() -> None:
    """A published example, one tie among fourteen values."""
    found = mann_kendall(BY_HAND)
    assert found.score == 54
    assert found.variance == pytest.approx(332.667, rel=0, abs=0.0005)
    assert found.z == pytest.approx(2.9058, rel=0, abs=0.00005)
    assert found.p_value == pytest.approx(0.00366, rel=0, abs=0.000005)


def test_theil_sen_of_the_example() -> None:
    """0.56667 a step, by a library."""
    assert theil_sen(np.arange(14.0), BY_HAND) == pytest.approx(0.56667, rel=0, abs=0.000005)


def test_score_and_slope_equal_those_of_scipy() -> None:
    """Kendall's tau-b has the same score, Theil-Sen the same slope."""
    from scipy.stats import kendalltau, theilslopes

    draws = np.random.default_rng(7)
    for _ in range(20):
        y = draws.integers(0, 30, 25).astype(np.float64)
        x = np.sort(draws.choice(100, 25, replace=False)).astype(np.float64)
        assert theil_sen(x, y) == pytest.approx(theilslopes(y, x)[0])
        ties = sum(math.comb(int(count), 2) for count in np.unique(y, return_counts=True)[1])
        pairs = math.comb(25, 2)
        tau = mann_kendall(y).score / math.sqrt(pairs * (pairs - ties))
        assert tau == pytest.approx(kendalltau(x, y).statistic)


@given(VALUES)
def test_score_and_variance_by_their_definition(values: list[float]) -> None:
    """Signs of all pairs; the variance by the textbook formula with ties."""
    found = mann_kendall(np.array(values))
    score = sum((b > a) - (b < a) for a, b in combinations(values, 2))
    n = len(values)
    ties = [values.count(value) for value in set(values)]
    variance = (n * (n - 1) * (2 * n + 5) - sum(t * (t - 1) * (2 * t + 5) for t in ties)) / 18
    assert found.score == score
    assert found.variance == pytest.approx(variance)
    assert 0.0 <= found.p_value <= 1.0
    if score == 0 or variance == 0:
        assert found.p_value == 1.0


@given(VALUES)
def test_time_run_backwards_only_turns_the_sign(values: list[float]) -> None:
    """A trend up becomes one down, equally sure."""
    there, back = mann_kendall(np.array(values)), mann_kendall(np.array(values[::-1]))
    assert back.score == -there.score
    assert back.p_value == there.p_value


@given(st.lists(st.tuples(st.integers(0, 40), st.integers(-50, 50)), min_size=2, max_size=20))
def test_theil_sen_is_the_median_of_all_slopes(points: list[tuple[int, int]]) -> None:
    """Pairs at the same time have none."""
    slopes = [(d - b) / (c - a) for (a, b), (c, d) in combinations(sorted(points), 2) if c != a]
    x, y = (np.array(values, np.float64) for values in zip(*sorted(points), strict=True))
    if slopes:
        assert theil_sen(x, y) == pytest.approx(median(slopes))


def test_one_wild_year_does_not_move_the_slope() -> None:
    """Two days a year, whatever the last year does."""
    x, y = np.arange(20.0), 2.0 * np.arange(20.0)
    y[-1] = 1000.0
    assert theil_sen(x, y) == 2.0


def test_years_without_a_value_are_left_out() -> None:
    """As if they were not there."""
    x, y = np.arange(14.0), BY_HAND.copy()
    gap = np.insert(y, 5, np.nan)
    assert mann_kendall(gap) == mann_kendall(y)
    assert theil_sen(np.insert(x, 5, 4.5), gap) == theil_sen(x, y)


@pytest.mark.parametrize("values", [[], [3.0], [math.nan, 3.0]])
def test_too_little_for_a_slope_or_a_test(values: list[float]) -> None:
    """No slope, and a test that finds nothing."""
    y = np.array(values)
    assert math.isnan(theil_sen(np.arange(float(y.size)), y))
    assert mann_kendall(y).p_value == 1.0
