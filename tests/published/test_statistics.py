"""Quantiles and intervals against published and library values."""

from __future__ import annotations

from typing import TYPE_CHECKING

import numpy as np
import pytest

from suitability.climate.chance import (
    bad_year,
    excluded_rate,
    odds_over_years,
    theil_sen,
    wilson_interval,
    without_model,
)
from suitability.climate.dates import date_odds

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


def test_published_dates_are_quantiles_of_type_6(table: OpenTable) -> None:
    """Ranks k / (n + 1) at 10, 25, 50 and 90 % of the published sample."""
    for row in table("quantiles"):
        level = float(row["p"])
        for spring in (True, False):
            odds = date_odds(
                SAMPLE, np.ones(10, np.bool_), 1.0 - level if spring else level, spring=spring
            )
            assert odds.if_it_happens == pytest.approx(float(row["type_6"]), rel=0, abs=0.00005)


def test_weibull_exceedance_with_ties_and_gaps() -> None:
    """10 5 0 15 8 NA 0 20 are exceeded with .375 .625 .8125 .25 .5 NA .8125 .125.

    Manual of the R package preMetabolizer: rank of the ties / (n + 1), the gap left out.
    """
    values = np.array([10, 5, 0, 15, 8, np.nan, 0, 20])
    exceeded = [0.375, 0.625, 0.8125, 0.25, 0.5, np.nan, 0.8125, 0.125]
    observed = ~np.isnan(values)
    for value, probability in zip(values, exceeded, strict=True):
        if not np.isnan(value):
            odds = date_odds(values, observed, probability, spring=True)
            assert odds.if_it_happens == odds.in_any_year == pytest.approx(value)


def test_theil_sen_of_data_with_a_certified_line(table: OpenTable) -> None:
    """NIST StRD Norris: slope 1.00211681802045, standard deviation 0.000429796848199937.

    The certified slope is that of least squares, which proves the table. The median of slopes is
    another estimate of the same line from the same points, nearly as precise: it must lie within
    one standard deviation of it.
    """
    from scipy.stats import linregress

    rows = table("norris")
    x, y = (np.array([float(row[name]) for row in rows]) for name in ("x", "y"))
    fit = linregress(x, y)
    assert fit.slope == pytest.approx(1.00211681802045, rel=1e-13)
    assert fit.intercept == pytest.approx(-0.262323073774029, rel=1e-10)
    assert fit.rvalue**2 == pytest.approx(0.999993745883712, rel=1e-13)
    assert fit.stderr == pytest.approx(0.000429796848199937, rel=1e-10)
    assert theil_sen(x, y) == pytest.approx(1.00211681802045, rel=0, abs=0.00043)


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
