"""Levels of differences, their intervals, and the recovery of a known spot."""

from __future__ import annotations

from typing import TYPE_CHECKING

import numpy as np
import pytest
from scipy.stats import t as student

from suitability.climate.days import local_hour
from suitability.climate.enclosure import (
    CLEAR,
    OTHER,
    UNKNOWN,
    damp,
    kinds_of_nights,
    shift_by_night,
)
from suitability.climate.fitting import fit_extremes, fit_hours, huber_level, student_95
from suitability.weather.record import fill_short_gaps

if TYPE_CHECKING:
    from collections.abc import Callable

    from suitability.climate.fitting import FitOfHours
    from suitability.places import Place
    from suitability.weather.record import Record

    Extract = Callable[[str], tuple[Record, Place]]

TRUE_C = (2.0, 0.5, 3.0)  # of clear and calm nights, other nights, days
NO_FALLBACK = (0.0, 0.0, 0.0)


@pytest.mark.parametrize("freedom", [4, 5, 9, 20, 100])
def test_student_is_that_of_a_reference_library(freedom: int) -> None:
    """scipy.stats.t.ppf(0.95), within 0.002."""
    assert student_95(freedom) == pytest.approx(student.ppf(0.95, freedom), abs=0.002)


def test_a_level_is_little_moved_by_a_few_nights_of_another_sort() -> None:
    """Twenty nights around 1 and two at 12: the mean would be 2, the level stays near 1."""
    regular = np.tile([0.6, 0.8, 1.0, 1.2, 1.4], 4)
    level = huber_level(np.concatenate([regular, [12.0, 12.0]]))
    assert level is not None
    assert level.usual == pytest.approx(1.0, abs=0.15)
    assert level.low < 1.0 < level.high


def test_a_level_of_equal_differences_is_sure_but_for_the_thermometer() -> None:
    """No scatter, no width; a thermometer that may be off by 0.3 widens it by just that."""
    plain, wide = huber_level(np.full(6, 1.5)), huber_level(np.full(6, 1.5), 0.3)
    assert plain is not None
    assert wide is not None
    assert (plain.low, plain.usual, plain.high) == (1.5, 1.5, 1.5)
    assert [wide.low, wide.high] == pytest.approx([1.2, 1.8])


def test_fewer_than_five_differences_have_no_level() -> None:
    """None, not a number."""
    assert huber_level(np.array([1.0, 1.0, 1.0, 1.0])) is None


def test_nights_that_are_alike_in_runs_widen_the_interval() -> None:
    """The same numbers, sorted into one long swing, tell of fewer nights."""
    values = np.random.default_rng(5).normal(0.0, 1.0, 40)
    mixed, swing = huber_level(values), huber_level(np.sort(values))
    assert mixed is not None
    assert swing is not None
    assert swing.high - swing.low > 1.5 * (mixed.high - mixed.low)


@pytest.mark.parametrize(("number", "share"), [(8, 0.88), (12, 0.90), (21, 0.90)])
def test_intervals_of_90_per_cent_hold_90_per_cent(number: int, share: float) -> None:
    """3,000 draws of normal scatter; the share's own standard error is 0.006."""
    chance = np.random.default_rng(11)
    draws = [huber_level(chance.normal(0.0, 1.0, number)) for _ in range(3000)]
    held = np.mean([level.low <= 0.0 <= level.high for level in draws if level is not None])
    assert held == pytest.approx(share, abs=0.02)


def test_kinds_of_nights_are_fitted_apart_and_unknown_ones_left_out() -> None:
    """Clear nights +2, others +1, unknown ones +50; days +3; errors of nights left out are 0."""
    kinds = np.array([CLEAR, OTHER, UNKNOWN] * 8)
    outside = np.linspace(5.0, 12.0, 24)
    log = outside + np.array([2.0, 1.0, 50.0] * 8)
    levels = fit_extremes(
        outside, log, kinds, outside + 10.0, outside + 13.0, fallback_c=NO_FALLBACK
    )
    found = (levels.clear_night, levels.other_night, levels.day)
    assert [level.usual for level in found if level] == pytest.approx([2.0, 1.0, 3.0])
    assert levels.nights == 16
    assert levels.night_error_c == pytest.approx(0.0, abs=1e-9)
    assert levels.night_error_before_c == pytest.approx(np.sqrt((4 + 1) / 2))


def test_where_too_few_nights_tell_what_was_known_before_stands() -> None:
    """Three clear nights at +5: no level, and the error left is that of the number before, 1."""
    kinds = np.array([CLEAR] * 3 + [OTHER] * 12)
    outside = np.zeros(15)
    log = np.array([5.0] * 3 + [1.0] * 12)
    levels = fit_extremes(outside, log, kinds, outside, outside, fallback_c=(4.0, 0.0, 0.0))
    assert levels.clear_night is None
    assert levels.night_error_c == pytest.approx(np.sqrt(3 / 15))


def logged(
    record: Record, place: Place, damping_hours: float, seed: int, scatter_c: float
) -> FitOfHours:
    """
    The fit to three weeks of an invented thermometer at a known spot of a real record.

    Each night has its own deviation, blended from one to the next; some hours are missing.
    """
    chance = np.random.default_rng(seed)
    temp_c = fill_short_gaps(record).temp_c
    start = local_hour(record.start_hour, place.utc_offset_hours)
    solar = record.start_hour + place.longitude / 15.0
    kinds = kinds_of_nights(temp_c, start)
    clear, other, day = TRUE_C
    damped, _ = damp(temp_c, damping_hours)
    spot = shift_by_night(
        damped, kinds, start, solar, clear_night_c=clear, other_night_c=other, day_c=day
    )
    night, before, length = int(chance.integers(40, kinds.size - 60)), 10, 22
    first = 24 * (night - before) - (start - 12) % 24
    hours = slice(first, first + 24 * (before + length))
    log_c = spot[hours].copy()
    deviation = chance.normal(0.0, scatter_c, before + length + 1)
    log_c += np.interp(np.arange(log_c.size), 24 * np.arange(deviation.size) + 17, deviation)
    log_c[: 24 * before] = np.nan
    log_c[chance.integers(24 * before, log_c.size, 4)] = np.nan
    return fit_hours(
        temp_c[hours],
        log_c,
        kinds[night - before : night + length],
        start + first,
        solar + first,
        fallback_c=NO_FALLBACK,
        dampings_h=(0.0, 1.0, 2.0, 3.0, 4.0, 6.0),
    )


@pytest.mark.parametrize("damping_hours", [0.0, 3.0])
def test_a_known_spot_is_recovered_from_a_noisy_log_with_gaps(
    extract: Extract, damping_hours: float
) -> None:
    """Lansing, one night's deviation 0.3 °C: offsets within 0.5 °C, the time constant itself."""
    fit = logged(*extract("lansing"), damping_hours, seed=2, scatter_c=0.3)
    levels = (fit.levels.clear_night, fit.levels.other_night, fit.levels.day)
    assert fit.damping_hours == damping_hours
    assert [level.usual for level in levels if level] == pytest.approx(TRUE_C, abs=0.5)
    assert fit.levels.night_error_c < fit.levels.night_error_before_c


@pytest.mark.slow
def test_its_stated_error_holds_at_many_spots(extract: Extract) -> None:
    """
    Ninety per cent intervals of 40 logs hold the truth in 90 %, of 120 numbers.

    The share's own standard error is 0.027, so that 0.82 to 0.98 is what chance allows.
    """
    record, place = extract("lansing")
    held = []
    for seed in range(40):
        levels = logged(record, place, 0.0, seed=100 + seed, scatter_c=0.8).levels
        for level, true in zip(
            (levels.clear_night, levels.other_night, levels.day), TRUE_C, strict=True
        ):
            if level is not None:
                held.append(level.low <= true <= level.high)
    assert len(held) > 100
    assert 0.82 <= np.mean(held) <= 0.98
