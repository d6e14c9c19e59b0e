"""Intervals hold in other seasons, and good logs raise no alarm: the compact form of the docs."""

from __future__ import annotations

import numpy as np
import pytest

from suitability.advice.log_checks import fit_window
from suitability.climate import logs
from suitability.climate.clocks import find_clock_lag, find_clock_step

from .fits import (
    STATIONS,
    TRUE_C,
    Found,
    Pair,
    follow,
    held,
    invented,
    near_pairs,
    window_of,
    winter_from_summer,
)
from .log_faults import alarms, late, of_pairs

pytestmark = pytest.mark.slow

SHIPPED = (logs.OTHER_YEARS, logs.OTHER_SEASON)
BAR = 0.05  # 430 levels of one year, of which few are independent


@pytest.fixture(scope="module")
def levels() -> list[Found]:
    """Of logs all along a year at three airports, each taken for the spot of the others."""
    return [found for pair in near_pairs() for found in follow(pair, 42)]


@pytest.fixture(scope="module")
def good() -> list[Pair]:
    """Good logs at those airports."""
    return list(of_pairs(near_pairs()))


def test_intervals_hold_in_other_seasons_at_pairs_that_had_no_part(levels: list[Found]) -> None:
    """As fitted they hold less than seven in ten whole years; widened they hold what they say."""
    fitted, wide = held(levels, 0.0, 0.0), held(levels, *SHIPPED)
    assert fitted[-1][0] < 0.75
    assert wide[-1][0] >= 0.9
    for away in (61, 91, 122, 152, 182):
        assert wide[away][0] >= 0.9 - BAR
    assert winter_from_summer(levels, *SHIPPED) >= 0.9 - BAR


def test_intervals_hold_a_known_spot_and_missing_hours_cost_no_nights() -> None:
    """Without a lag and with one of 3 h; 5 % of all hours missing, of log and record."""
    for damping, missing in ((0.0, 0.0), (3.0, 0.0), (0.0, 0.05)):
        kept, nights = [], []
        for name in STATIONS:
            for seed in range(6):
                window, log_c = window_of(invented(name, damping, seed, missing))
                found = fit_window(window, log_c, (0.0, 0.0, 0.0)).levels
                nights.append(found.nights)
                for level, true in zip(
                    (found.clear_night, found.other_night, found.day), TRUE_C, strict=True
                ):
                    wide = logs.for_other_years(level)
                    if wide is not None:
                        kept.append(wide.low <= true <= wide.high)
        assert np.mean(kept) >= 0.88
        assert min(nights) >= 15
        assert np.mean(nights) >= 19.5


def test_good_clocks_raise_no_alarm_and_bad_ones_are_told_truly(good: list[Pair]) -> None:
    """None of 66; 3, 5 and 12 hours are found in all, to an hour."""
    windows = [window_of(pair) for pair in good]
    for hours in (0, 3, 5, -12):
        lags = [find_clock_lag(window.outside_c, late(log_c, hours)) for window, log_c in windows]
        wrong = [lag.hours for lag in lags if lag is not None and lag.is_wrong]
        if not hours:
            assert len(wrong) <= 1
        else:
            assert len(wrong) >= 0.95 * len(lags)
            assert np.quantile(np.abs(np.array(wrong) - hours), 0.9) <= 1.0
    steps = [find_clock_step(window.outside_c, log_c) for window, log_c in windows]
    assert sum(step.is_wrong for step in steps if step is not None) <= 0.05 * len(steps)


def test_drift_and_noon_sun_are_noted_where_they_are(good: list[Pair]) -> None:
    """None on good logs; sun of 5 °C on clear days nearly always, drift where it stands out."""
    some = good[::3]
    assert sum(sum(alarms(pair)) for pair in some) <= 1
    assert np.mean([alarms(pair, sun_c=5.0)[1] for pair in some]) >= 0.85
    assert np.mean([alarms(pair, drift_c=5.0)[0] for pair in some]) >= 0.5
