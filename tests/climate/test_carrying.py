"""Carried nights."""

from __future__ import annotations

from typing import TYPE_CHECKING

import numpy as np
import pytest
from hypothesis import given, settings
from hypothesis import strategies as st

from suitability.climate.worst import carried_nights

if TYPE_CHECKING:
    from numpy.typing import NDArray

NIGHTS = 365


def carried(hard: NDArray[np.bool_], cold: NDArray[np.float64], limit: float) -> int:
    """Of one group in one plant year."""
    return int(carried_nights(hard[None, None], cold[None, None], np.array([limit])).item())


def test_hard_nights_are_carried() -> None:
    hard = np.zeros(NIGHTS, np.bool_)
    hard[[5, 6, 200]] = True
    assert carried(hard, np.zeros(NIGHTS), 60.0) == 3


def test_nights_that_would_exceed_the_dose_are_carried_and_add_nothing() -> None:
    """25 °C·h a night for ten nights, 60 tolerated: eight are carried.

    Two nights out make 50, the third would make 75; so it is for all nights until the first two are
    14 nights old.
    """
    cold = np.zeros(NIGHTS)
    cold[100:110] = 25.0
    assert carried(np.zeros(NIGHTS, np.bool_), cold, 60.0) == 8


def test_a_dose_that_just_fits_is_not_carried() -> None:
    """30 + 30 is 60; a third would be carried."""
    cold = np.zeros(NIGHTS)
    cold[[100, 101]] = 30.0
    none = np.zeros(NIGHTS, np.bool_)
    assert carried(none, cold, 60.0) == 0
    cold[102] = 0.1
    assert carried(none, cold, 60.0) == 1


def test_the_window_has_fourteen_nights() -> None:
    """60 °C·h on night 100: a second such night is carried 13 nights later, not 14."""
    none = np.zeros(NIGHTS, np.bool_)
    for later, expected in ((13, 1), (14, 0)):
        cold = np.zeros(NIGHTS)
        cold[[100, 100 + later]] = 60.0
        assert carried(none, cold, 60.0) == expected


def test_a_hard_night_indoors_leaves_room_for_others() -> None:
    """The hard night's own cold is not taken: 50 °C·h the day after are stood outdoors."""
    cold = np.zeros(NIGHTS)
    cold[100], cold[101] = 50.0, 50.0
    hard = np.zeros(NIGHTS, np.bool_)
    assert carried(hard, cold, 60.0) == 1
    hard[100] = True
    assert carried(hard, cold, 60.0) == 1


def by_hand(hard: list[bool], cold: list[float], limit: float) -> int:
    """Night by night, as the rule says."""
    taken: list[float] = []
    count = 0
    for is_hard, tonight in zip(hard, cold, strict=True):
        indoors = is_hard or sum(taken[-13:]) + tonight > limit + 1e-6
        count += indoors
        taken.append(0.0 if indoors else tonight)
    return count


@settings(max_examples=40)
@given(st.integers(0, 2**32 - 1))
def test_many_groups_and_years_at_once(seed: int) -> None:
    generator = np.random.default_rng(seed)
    hard = generator.random((3, 2, NIGHTS)) < 0.02
    cold = np.maximum(generator.normal(-5.0, 12.0, (3, 2, NIGHTS)), 0.0).round(1)
    limits = np.array([0.0, 60.0, 200.0])
    before = hard.copy(), cold.copy(), limits.copy()
    found = carried_nights(hard, cold, limits)
    for group in range(3):
        for year in range(2):
            expected = by_hand(
                hard[group, year].tolist(), cold[group, year].tolist(), float(limits[group])
            )
            assert found[group, year] == expected
    for array, copy in zip((hard, cold, limits), before, strict=True):
        np.testing.assert_array_equal(array, copy)


@pytest.mark.parametrize("limit", [0.0, 20.0, 60.0])
def test_never_cold_never_carried(limit: float) -> None:
    assert carried(np.zeros(NIGHTS, np.bool_), np.zeros(NIGHTS), limit) == 0
