"""Dates on either side of New Year: their middle is at New Year, not in July."""

from __future__ import annotations

import math
from datetime import date, timedelta
from typing import TYPE_CHECKING

import numpy as np
import pytest

from suitability.advice.moves import find_threshold_dates
from suitability.advice.resting import completion
from suitability.climate.days import DAYS, coldest_day, month_day
from suitability.climate.rest import RestPeriod, RestYears

if TYPE_CHECKING:
    from numpy.typing import NDArray

# 355 360 365 3 8 12 with a period of 365: circular mean 1.335, 1 January; plain mean 183.8, 2 July.
AROUND_NEW_YEAR = np.array([355, 360, 365, 3, 8, 12])
EPOCH = date(1970, 1, 1)


def test_the_example_is_that_of_a_library() -> None:
    """1.335 by scipy's circular mean, R 0.99184; the plain mean lies half a year off."""
    from scipy.stats import circmean

    mean = float(circmean(AROUND_NEW_YEAR, high=DAYS, low=0))
    assert mean == pytest.approx(1.335, rel=0, abs=0.0005)
    angle = 2.0 * np.pi * AROUND_NEW_YEAR / DAYS
    assert math.hypot(np.cos(angle).mean(), np.sin(angle).mean()) == pytest.approx(
        0.99184, abs=5e-6
    )
    assert AROUND_NEW_YEAR.mean() == pytest.approx(183.8, abs=0.05)
    assert month_day(round(mean) - 1) == "01-01"


def winters() -> tuple[int, NDArray[np.float64]]:
    """Six winters (2001/02 on) with one day of frost each, on the days of the example."""
    first, stop = date(2001, 1, 1), date(2008, 1, 1)
    values = np.full((stop - first).days, 20.0)
    for winter, day in enumerate(AROUND_NEW_YEAR.tolist(), start=2001):
        frost = date(winter + (day < 100), 1, 1) + timedelta(days=day - 1)
        if day > 100 and winter % 4 == 0:
            frost += timedelta(days=1)  # the day after 29 February has one number more
        values[(frost - first).days] = -2.0
    return (first - EPOCH).days, values


@pytest.mark.parametrize("cut", [120, 150, 182, 250])
def test_the_middle_of_frosts_around_new_year_is_at_new_year(cut: int) -> None:
    """Six dates from 21 December to 12 January: half of them by 1 or 2 January.

    The median lies between 31 December and 3 January. The day at which seasons of cold are cut
    changes nothing as long as it lies in the summer.
    """
    half = find_threshold_dates(*winters(), cut, [0.0])[0].levels[1]
    assert half.probability == 0.5
    for found in (half.spring_if_it_happens, half.autumn_if_it_happens):
        assert found in ("01-01", "01-02")
    tenth, _, most = find_threshold_dates(*winters(), cut, [0.0])[0].levels
    assert (tenth.spring_if_it_happens, most.spring_if_it_happens) == ("01-12", "12-21")


def test_rests_complete_around_new_year_are_usually_complete_at_new_year() -> None:
    """The upper of the two middle years is 3 January, the latest 12 January."""
    begins = 278  # 6 October
    met_on = (AROUND_NEW_YEAR - 1.0 - begins) % DAYS
    years = AROUND_NEW_YEAR.size
    period = RestPeriod(
        first_day=begins,
        year=np.arange(2001, 2001 + years),
        minimum_c=np.zeros((years, 175)),
        dry=None,
        counts=np.ones(years, np.bool_),
        cool_hours=lambda _low, _high: np.zeros((years, 175)),
    )
    rests = RestYears(
        state=np.full(years, 2),
        met_on=met_on,
        nights=np.full(years, 30),
        cool_hours=np.zeros(years),
        lack=np.zeros(years, np.int64),
        counts=np.ones(years, np.bool_),
    )
    assert completion(period, rests) == ("01-03", "01-12")


@pytest.mark.parametrize("coldest", [*range(0, 13, 3), *range(352, 365, 3)])
def test_a_winter_around_new_year_has_its_middle_there(coldest: int) -> None:
    """The coldest day of a wave is found whether it lies before or after New Year."""
    wave = 15.0 - 8.0 * np.cos(2.0 * np.pi * (np.arange(DAYS) - coldest) / DAYS)
    found, amplitude = coldest_day(wave)
    apart = (found - coldest + DAYS // 2) % DAYS - DAYS // 2
    assert abs(apart) <= 1
    assert amplitude == pytest.approx(8.0)
