"""Plans keep their promise in years left out: the compact form of docs/plan.md."""

from __future__ import annotations

import numpy as np
import pytest

from .plans import replay

pytestmark = pytest.mark.slow

PROMISE, BAR = 0.9, 0.03  # kept may lie so far under what was promised, as seasons may


def test_plans_are_kept_by_years_left_out() -> None:
    """Whether a pot has one season outdoors or several in turn; the latter are told as promised."""
    found = list(replay("porto_alegre"))
    in_turn = [one for one in found if one.seasons > 1]
    assert len(found) > 100
    assert len(in_turn) > 20
    assert np.mean([one.kept for one in found]) >= PROMISE - BAR
    assert np.mean([one.kept for one in in_turn]) >= PROMISE - BAR
    assert min(one.chance for one in in_turn) >= PROMISE - 1e-9


def test_seasons_in_turn_that_are_not_judged_together_promise_less() -> None:
    """Each of them keeps the promise, and both together do not: the test above can fail."""
    found = [one for one in replay("los_angeles", together=False) if one.seasons > 1]
    assert min(one.chance for one in found) < PROMISE - 0.05
