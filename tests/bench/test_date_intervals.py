"""Nine of ten draws of the years have a date within its interval: the compact form."""

from __future__ import annotations

import numpy as np
import pytest

from .cases import Asked
from .date_intervals import judge_draws


@pytest.mark.slow
def test_nine_of_ten_draws_have_the_date_within_its_interval(asked: list[Asked]) -> None:
    """Every fourth group at six stations with 9 to 20 years; 100 draws each, others than told.

    Of 100 draws of one season 90 have a standard error of 3; on the mean of seasons it is under 1.
    """
    found = judge_draws(asked[::4])
    assert len(found) > 20
    shares = np.array([one.within for one in found]) / found[0].draws
    assert shares.mean(axis=0) == pytest.approx([0.925, 0.925], rel=0, abs=0.035)
    assert np.quantile(shares, 0.1) >= 0.82
