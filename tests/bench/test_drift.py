"""The order of the years: what trials forwards, backwards and in blocks find in a known drift."""

from __future__ import annotations

from collections.abc import Iterable

import numpy as np
import pytest

from suitability.climate.past_years import FloatArray

from .cases import Asked, daily_cases
from .drift import (
    at_one_level,
    blocks_and_others,
    five_and_others,
    later_and_first,
    levels,
    past_and_next,
    warmed,
    with_trend,
    without_drift,
)
from .trials import delivered, past_and_last, try_seasons

pytestmark = pytest.mark.slow

YEARS, STATIONS = 40, 6


def station(seed: int, drift_c: float) -> list[Asked]:
    """Forty years of daily minima with a winter, weather that lasts some days, and a drift."""
    generator = np.random.default_rng(seed)
    day = np.arange(YEARS * 365 + 10)
    weather = generator.normal(0.0, 1.0, day.size + 5)
    weather = sum(weather[lag : lag + day.size] for lag in range(5)) / np.sqrt(5.0)
    wave = 12.0 - 9.0 * np.cos(2.0 * np.pi * (day - 15) / 365.25)
    minimum_c = wave + 3.0 * weather + drift_c * (day / 3652.5 - YEARS / 20.0)
    return daily_cases(f"invented {seed}", 0, minimum_c.round(1))[2:6]


@pytest.fixture(scope="module")
def warming() -> list[Asked]:
    """Six places that warm by half a degree in ten years."""
    return [case for seed in range(STATIONS) for case in station(seed, 0.5)]


def kept(cases: Iterable[Asked], splits_of: object) -> float:
    """Share of promises of 80 % kept."""
    assert callable(splits_of)
    trials = [
        trial
        for case in cases
        for trial in try_seasons(case, splits_of(case.usable), promises=(0.8,))
    ]
    return delivered(trials, 0.8)[0]


def test_a_warming_keeps_more_forwards_and_less_backwards(warming: list[Asked]) -> None:
    """Half a degree in ten years; over all blocks of five the promise holds all the same.

    24 cases at six places; the last five years of each are 30 independent years, so that a share
    near 0.8 has a standard error of about 0.06.
    """
    forwards, backwards = kept(warming, past_and_last), kept(warming, later_and_first)
    blocks = kept(warming, blocks_and_others)
    assert forwards > blocks > backwards
    assert forwards - backwards > 0.2
    assert blocks == pytest.approx(0.8, rel=0, abs=0.06)


def test_without_the_drift_both_directions_agree(warming: list[Asked]) -> None:
    """Taken out by its Theil-Sen slope or by station_years both sides to one level."""
    still = [without_drift(case) for case in warming]
    forwards, backwards = kept(still, past_and_last), kept(still, later_and_first)
    assert forwards - backwards == pytest.approx(0.0, abs=0.1)
    level = [
        trial
        for case in warming
        for trial in at_one_level(case, past_and_last(case.usable))
        if trial.promise == 0.8
    ]
    assert delivered(level, 0.8)[0] == pytest.approx(0.8, rel=0, abs=0.12)


def test_a_trend_carried_on_meets_a_warming_that_goes_on(warming: list[Asked]) -> None:
    """Where the warming is a straight line, its own slope takes most of the excess away."""
    excess = kept(warming, past_and_last) - 0.8
    trials = [
        trial
        for case in warming
        for trial in with_trend(case, past_and_last(case.usable), 1.0)
        if trial.promise == 0.8
    ]
    assert excess > 0.08
    assert abs(delivered(trials, 0.8)[0] - 0.8) < excess
    none = with_trend(warming[0], past_and_last(warming[0].usable), 0.0)
    assert none == try_seasons(warming[0], past_and_last(warming[0].usable))


def lacks(case: Asked, nights: int) -> FloatArray:
    """What stretches of a length lack at once, from every position."""
    return case.past_years.tables.at_once.of(0, nights, slice(0, case.past_years.supported.size))


def test_warming_a_case_is_warming_its_record() -> None:
    """Nights moved by two degrees lack two degrees less; by none, nothing changes."""
    case, warm = station(1, 0.0)[2], station(1, 0.0)[0]  # limits 12 and 8 °C: four degrees apart
    moved = warmed(case, np.full(case.usable.size, 4.0))
    for power in range(9):
        one, other = (lacks(case, 2**power) for case in (moved, warm))
        np.testing.assert_allclose(one, other, atol=1e-9)
    same = warmed(case, np.zeros(case.usable.size))
    np.testing.assert_array_equal(lacks(same, 256), lacks(case, 256))
    np.testing.assert_array_equal(same.past_years.supported, case.past_years.supported)


def test_levels_are_yearly_means() -> None:
    case = station(2, 0.5)[0]
    level_c = levels(case)
    assert np.isnan(level_c).sum() == (~case.usable).sum()
    year = int(np.flatnonzero(case.usable)[3])
    assert level_c[year] == pytest.approx(case.minimum_c[year].mean())


def test_which_years_promise_and_which_are_tested() -> None:
    """Twenty-three usable years of twenty-five; tested years never promise."""
    usable = np.ones(25, np.bool_)
    usable[[0, 24]] = False
    for splits in (
        past_and_last(usable), later_and_first(usable), blocks_and_others(usable),
        past_and_next(usable), past_and_next(usable, 10), five_and_others(usable, 1),
    ):  # fmt: skip
        assert splits
        for training, tested in splits:
            assert not (training & tested).any()
            assert tested.sum() == 5
            assert usable[tested].all()
    ((training, tested),) = later_and_first(usable)
    assert np.flatnonzero(tested).tolist() == [1, 2, 3, 4, 5]
    assert training[6:].all()
    blocks = [np.flatnonzero(tested).tolist() for _, tested in blocks_and_others(usable)]
    assert blocks[0] == [4, 5, 6, 7, 8]
    assert blocks[-1] == [19, 20, 21, 22, 23]
    first, second = past_and_next(usable)
    assert np.flatnonzero(first[1]).tolist() == [11, 12, 13, 14, 15]
    assert np.flatnonzero(second[0]).tolist() == list(range(16))
    latest = past_and_next(usable, 10)[1][0]
    assert np.flatnonzero(latest & usable).tolist() == list(range(6, 16))
