"""The climatological year of an exposure."""

from __future__ import annotations

from typing import TYPE_CHECKING

import numpy as np
import pytest

from suitability.climate.exposure import (
    HOURS_OF_MONTH,
    MonthlyNormals,
    monthly_exposure,
    monthly_normals,
)

if TYPE_CHECKING:
    from suitability.weather.record import Record
    from tests.conftest import Hourly


def normals_of(record: Record, *thresholds_c: float) -> MonthlyNormals:
    """The climatological year of a record whose UTC is its standard time."""
    exposure = monthly_exposure(record.temp_c, None, record.start_hour, np.array(thresholds_c))
    return monthly_normals(exposure, record.step_hours)


def test_whole_months_by_hand(hourly: Hourly) -> None:
    """2001 at 9 °C, 2002 at 11 °C: below 10 °C half of the hours, half a degree-hour each."""
    temp_c = np.full(2 * 8760, 11.0)
    temp_c[:8760] = 9.0
    found = normals_of(hourly(temp_c), 10.0)
    np.testing.assert_allclose(found.mean_hours[0], HOURS_OF_MONTH / 2)
    np.testing.assert_allclose(found.median_hours[0], HOURS_OF_MONTH / 2)
    np.testing.assert_allclose(found.bad_hours[0], HOURS_OF_MONTH)
    np.testing.assert_allclose(found.mean_degree_hours[0], HOURS_OF_MONTH / 2)
    assert found.years.tolist() == [2] * 12
    assert found.mean_hours[0, 1] == 28.25 * 12


@pytest.mark.parametrize(("missing", "counts"), [(74, True), (75, False)])
def test_a_month_counts_from_90_percent_on(hourly: Hourly, missing: int, *, counts: bool) -> None:
    """January has 744 h; 669.6 must be there: 670 are enough, 669 are not. Hours scale up."""
    temp_c = np.full(744, 5.0)
    temp_c[:missing] = np.nan
    found = normals_of(hourly(temp_c), 10.0)
    assert found.years[0] == int(counts)
    if counts:
        assert found.mean_hours[0, 0] == pytest.approx(744.0)
        assert found.mean_degree_hours[0, 0] == pytest.approx(5.0 * 744.0)
    else:
        assert np.isnan(found.mean_hours[0, 0])


def test_months_that_were_never_observed_are_not_zero(hourly: Hourly) -> None:
    found = normals_of(hourly(np.full(744, 5.0)), 10.0, 0.0)
    assert np.isnan(found.mean_hours[:, 1:]).all()
    assert np.isnan(found.bad_hours[:, 1:]).all()
    assert found.mean_hours[:, 0].tolist() == [744.0, 0.0]
    assert found.years.tolist() == [1] + [0] * 11


def test_a_station_of_every_third_hour_is_complete(hourly: Hourly) -> None:
    """A third of the hours are all there are: a month below throughout still has 744 h."""
    temp_c = np.full(744, np.nan)
    temp_c[::3] = 5.0
    assert normals_of(hourly(temp_c, step_hours=3), 10.0).mean_hours[0, 0] == pytest.approx(744.0)
    assert np.isnan(normals_of(hourly(temp_c), 10.0).mean_hours[0, 0])


def test_a_record_that_starts_in_mid_winter(hourly: Hourly) -> None:
    """From 20 January 2001: that January is no month, the next one is; December counts."""
    record = hourly(start="2001-01-20T00", years=2, mean_c=5.0)
    found = normals_of(record, 10.0)
    assert found.years.tolist() == [1, *[2] * 11]


def test_the_median_and_the_bad_year_of_ten(hourly: Hourly) -> None:
    """January with 0, 24, … 216 cold hours in ten years: median 108; 1 in 10: type 8.

    Position 10 x 0.9 + 1.9 / 3 = 9.6333: 192 + 0.6333 x 24 = 207.2.
    """
    parts = []
    for year in range(10):
        days = 366 if year % 4 == 3 else 365
        temp_c = np.full(days * 24, 20.0)
        temp_c[: 24 * year] = 5.0
        parts.append(temp_c)
    record = hourly(np.concatenate(parts))
    found = normals_of(record, 10.0)
    assert found.median_hours[0, 0] == pytest.approx(108.0)
    assert found.bad_hours[0, 0] == pytest.approx(207.2)
    assert found.mean_hours[0, 0] == pytest.approx(108.0)
