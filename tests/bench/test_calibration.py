"""Promises hold on years left out: the compact form of docs/md, on records in tests."""

from __future__ import annotations

import numpy as np
import pytest

from suitability.climate.chance import without_model
from tests.climate.plain import PLAIN

from .cases import Asked
from .trials import PROMISES, delivered, leave_one_out, past_and_last, try_seasons, try_whole_years

pytestmark = pytest.mark.slow

BAR = 0.03  # delivered may lie so far under what was promised


def test_promises_are_kept_by_years_left_out(asked: list[Asked]) -> None:
    """Seasons promised at 80, 90 and 95 % are kept by about that share of unseen years."""
    trials = [trial for case in asked for trial in try_seasons(case, leave_one_out(case.usable))]
    for promise in PROMISES:
        share, _, high, number = delivered(trials, promise)
        assert number > 1000
        assert share >= promise - BAR
        assert high >= promise


def test_the_plain_best_stretch_breaks_its_promise(asked: list[Asked]) -> None:
    """Without the kernel the same years keep clearly fewer promises: the test can fail."""
    trials = [
        trial
        for case in asked
        for trial in try_seasons(
            case, leave_one_out(case.usable), kernel=lambda _years: PLAIN, promises=(0.9,)
        )
    ]
    share, _, high, _ = delivered(trials, 0.9)
    assert share < 0.9 - BAR
    assert high < 0.9


def test_the_past_keeps_its_promise_in_the_last_five_years(asked: list[Asked]) -> None:
    """What the earlier years promise, the last five keep."""
    trials = [trial for case in asked for trial in try_seasons(case, past_and_last(case.usable))]
    for promise in PROMISES:
        share, _, _, number = delivered(trials, promise)
        assert number > 300
        assert share >= promise - BAR


def test_whole_years_promised_are_kept(asked: list[Asked]) -> None:
    """What is promised all year at 90 % is kept by at least 90 % of the years left out."""
    found = [pair for case in asked for pair in try_whole_years(case)]
    kept = np.array([was_kept for chance, was_kept in found if chance >= 0.9])
    assert kept.size > 50
    assert kept.mean() >= 0.9


def test_all_years_kept_carry_n_minus_1_over_n_plus_1() -> None:
    """The distribution-free rule on exchangeable years: two free ends, n years, one new year."""
    generator = np.random.default_rng(7)
    years = 9
    ends = generator.normal(size=(20000, years + 1, 2))
    starts, stops = ends[:, :, 0], ends[:, :, 1]
    kept = (starts[:, -1] <= starts[:, :-1].max(axis=1)) & (
        stops[:, -1] >= stops[:, :-1].min(axis=1)
    )
    # Independent ends fail together now and then, so that the bound is nearly met from above.
    assert without_model(years) == pytest.approx(0.8)
    assert 0.8 <= kept.mean() <= 0.8 + 1.0 / (years + 1) ** 2 + 0.01
