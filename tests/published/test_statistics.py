"""Quantiles and intervals against published and library values."""

from __future__ import annotations

from typing import TYPE_CHECKING

import numpy as np
import pytest

from suitability.climate.chance import (
    bad_year,
    excluded_rate,
    odds_over_years,
    wilson_interval,
    without_model,
)

if TYPE_CHECKING:
    from collections.abc import Callable

    OpenTable = Callable[[str], list[dict[str, str]]]

SAMPLE = np.array([88, 93, 95, 99, 101, 102, 105, 110, 115, 120], np.float64)


def test_the_bad_year_is_a_quantile_of_type_8(table: OpenTable) -> None:
    """118.1667 of the published sample at 90 %: neither 119.5 (type 6) nor 115.5 (type 7)."""
    row = next(row for row in table("quantiles") if float(row["p"]) == 0.9)
    assert bad_year(SAMPLE) == pytest.approx(float(row["type_8"]), rel=0, abs=0.00005)
    shuffled = np.random.default_rng(1).permutation(SAMPLE)
    assert bad_year(shuffled) == bad_year(SAMPLE)


def test_the_wilson_interval(table: OpenTable) -> None:
    """Seven published pairs, to 0.0001."""
    for row in table("intervals"):
        low, high = wilson_interval(int(row["k"]), int(row["n"]))
        assert low == pytest.approx(float(row["wilson_low"]), rel=0, abs=0.0001), row
        assert high == pytest.approx(float(row["wilson_high"]), rel=0, abs=0.0001), row


def test_zero_failures_exclude_what_the_exact_limit_says(table: OpenTable) -> None:
    """The upper end of the two-sided 95 % exact interval of 0 of n is one-sided 97.5 %."""
    for row in table("intervals"):
        if row["k"] == "0":
            limit = excluded_rate(int(row["n"]), confidence=0.975)
            assert limit == pytest.approx(float(row["exact_high"]), rel=0, abs=0.0001), row


def test_odds_over_years_are_the_published_return_probabilities() -> None:
    """At least once in n years, 1 - (1 - 1/T)^n: T 10, n 10: 0.6513; T 20, n 5: 0.2262.

    Source: formula in the manual of NCL's `extval_return_prob`.
    """
    for period, years, at_least_once in ((10, 10, 0.6513), (20, 5, 0.2262), (100, 30, 0.2603)):
        kept = odds_over_years(1 - 1 / period, years)
        assert 1 - kept == pytest.approx(at_least_once, rel=0, abs=0.00005)


@pytest.mark.parametrize("years", [1, 2, 9, 19, 30])
def test_what_years_alone_carry(years: int) -> None:
    """(n-1)/(n+1), by simulation of the worst case: ends that move together.

    A new year keeps what all n years kept unless it is the lowest or the highest of all n + 1.
    """
    draws = np.random.default_rng(years).random((40_000, years + 1))
    past, new = draws[:, :-1], draws[:, -1]
    kept = (new <= past.max(axis=1)) & (new >= past.min(axis=1))
    # standard error at most sqrt(0.25 / 40000) = 0.0025; four of them
    assert kept.mean() == pytest.approx(without_model(years), rel=0, abs=0.01)
