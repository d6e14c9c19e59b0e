"""The first-order response of an enclosure, and a heater's limits, against numbers from outside."""

from __future__ import annotations

from typing import TYPE_CHECKING

import numpy as np
import pytest

from suitability.climate.enclosure import damp, hold_minimum

if TYPE_CHECKING:
    from collections.abc import Callable

    from numpy.typing import NDArray

    Series = Callable[[str], tuple[int, NDArray[np.float64]]]

# Response to a daily wave, of the hourly recursion T[k] = a T[k-1] + (1 - a) To[k]; its form and
# the limit 1 / sqrt(1 + (w tau)^2) in Nagle, Saff and Snider, Fundamentals of Differential
# Equations, section 3.3 (from memory). Gain to 5 decimals, lag in hours to 3.
WAVES = [
    (1, 0.97003, 0.560),
    (2, 0.88841, 1.384),
    (3, 0.78868, 2.071),
    (6, 0.53856, 3.348),
    (12, 0.30418, 4.330),
    (24, 0.15763, 4.901),
    (48, 0.07955, 5.198),
]


@pytest.mark.parametrize(("damping_hours", "gain", "lag_h"), WAVES)
def test_a_daily_wave_is_damped_and_delayed(damping_hours: int, gain: float, lag_h: float) -> None:
    """Fitted to the last of 60 days, when the start is forgotten; the mean is unchanged."""
    turn = 2.0 * np.pi / 24.0
    hour = np.arange(24 * 60)
    found, _ = damp(10.0 + np.cos(turn * hour), float(damping_hours))
    day = hour[-24:]
    part = 2.0 / 24.0 * (found[-24:] * np.exp(-1j * turn * day)).sum()
    assert abs(part) == pytest.approx(gain, abs=5e-6)
    assert -np.angle(part) / turn == pytest.approx(lag_h, abs=5e-4)
    assert found[-24:].mean() == pytest.approx(10.0, abs=1e-9)


@pytest.mark.parametrize(
    ("hours", "share"), [(1, 0.15352), (3, 0.39347), (6, 0.63212), (12, 0.86466)]
)
def test_a_step_is_followed_exponentially(hours: int, share: float) -> None:
    """1 - exp(-t / tau), tau 6 h, to 5 decimals: analytic."""
    found, _ = damp(np.array([0.0] + [1.0] * 20), 6.0)
    assert found[hours] == pytest.approx(share, abs=5e-6)


@pytest.mark.parametrize(
    ("damping_hours", "lowest_c", "below_5", "below_10"),
    [(3.0, -4.83940, 3796, 10693), (6.0, -4.19375, 3688, 10651)],
)
def test_a_real_series_is_damped_as_two_libraries_do(
    series: Series, damping_hours: float, lowest_c: float, below_5: int, below_10: int
) -> None:
    """
    Lowest temperature to 5 decimals, counts exact, over 23,508 hours of the sample of eemeter.

    Computed with pandas ewm(alpha=1-a, adjust=False) and, the same, with scipy.signal.lfilter.
    """
    _, temp_c = series("uk")
    found, _ = damp(temp_c, damping_hours)
    assert found.size == 23_508
    assert found.min() == pytest.approx(lowest_c, abs=5e-6)
    assert [int((found < at).sum()) for at in (5, 10)] == [below_5, below_10]


@pytest.mark.parametrize(
    ("watts", "not_held", "lowest_c"), [(150.0, 463, 6.7133), (100.0, 2683, 2.5466)]
)
def test_a_limited_heater_fails_on_so_many_hours(
    series: Series, watts: float, not_held: int, lowest_c: float
) -> None:
    """Loss 12 W/K, 12 °C held over the sample of eemeter: counts exact, lowest to 4 decimals."""
    _, temp_c = series("uk")
    inside = hold_minimum(temp_c, 12.0, watts / 12.0)
    assert int((inside < 12.0 - 1e-9).sum()) == not_held
    assert inside.min() == pytest.approx(lowest_c, abs=5e-5)
