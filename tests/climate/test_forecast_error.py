"""What a forecast is lowered by: stated, learned, and from which nights."""

from __future__ import annotations

from itertools import pairwise

import numpy as np
import pytest

from suitability.climate.forecast_error import (
    learned_allowance_c,
    stated_allowance_c,
)


@pytest.mark.parametrize(("nights", "place"), [(30, 28), (39, 36), (99, 90)])
def test_of_many_errors_that_is_learned_which_one_in_ten_exceed(nights: int, place: int) -> None:
    """Of 30 the 28th smallest: 0.9 x 31 is 27.9; order and unknown nights play no part."""
    errors = np.arange(1.0, nights + 1.0)
    mixed = np.append(np.random.default_rng(1).permutation(errors), np.nan)
    assert learned_allowance_c(mixed) == place


def test_too_few_nights_teach_nothing() -> None:
    assert learned_allowance_c(np.append(np.ones(29), np.nan)) is None


def test_a_forecast_that_was_always_too_cold_is_not_warmed() -> None:
    assert learned_allowance_c(np.full(40, -2.0)) == 0.0


def test_errors_like_the_learned_ones_exceed_what_was_learned_in_one_night_of_ten() -> None:
    """Of a heavy-tailed shape: 400 new against 400 old, 200 times, within four standard errors."""
    errors = np.random.default_rng(20).standard_t(3, (200, 800))
    learned = np.array([learned_allowance_c(row[:400]) for row in errors], np.float64)
    exceeded = (errors[:, 400:] > learned[:, None]).mean()
    assert abs(exceeded - 0.1) < 4.0 * np.sqrt(2.0 * 0.09 / (200 * 400))


def test_what_is_stated_grows_with_the_night() -> None:
    told = [stated_allowance_c(night) for night in range(1, 11)]
    assert all(later > earlier for earlier, later in pairwise(told))
