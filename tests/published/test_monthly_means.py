"""Published monthly means against the raw rows of a finding, and the month that is no month."""

from __future__ import annotations

from typing import TYPE_CHECKING

import numpy as np
import pytest
from msgspec.structs import replace

from suitability.advice.cases import Rules
from suitability.advice.checking import check_groups
from suitability.advice.preparing import CheckOptions, lay_out
from suitability.groups import read_catalogue
from suitability.places import Place
from suitability.spots.spot import OPEN_AIR
from suitability.weather.record import Origin, Record

if TYPE_CHECKING:
    from collections.abc import Callable

    from suitability.advice.result import Finding
    from tests.published.conftest import Series

MONTHS = ("jan", "feb", "mar", "apr", "may", "jun", "jul", "aug", "sep", "oct", "nov", "dec")


@pytest.fixture(scope="module")
def finding(series: Callable[[str], Series]) -> Finding:
    """The finding on the uk series of a group whose growth floor is 10 °C."""
    start, temp_c = series("uk")
    record = Record(
        start_hour=start,
        temp_c=temp_c,
        origin=np.full(temp_c.size, Origin.OBSERVED, np.uint8),
    )
    place = Place(name="uk", latitude=52.0, longitude=-1.0)
    needs = replace(read_catalogue().find("cymbidium").needs(), floor_c=10.0)
    result = check_groups(lay_out(record, place, (OPEN_AIR,), [needs], CheckOptions(rules=Rules())))
    return result.results[0]


def test_means_of_the_raw_rows(
    finding: Finding, table: Callable[[str], list[dict[str, str]]]
) -> None:
    """Means over the years of the raw counts; December 2022 has 133 of 744 hours: no month."""
    published = table("mean_of_years")[0]
    for number, name in enumerate(MONTHS, 1):
        rows = [row for row in finding.by_month if row.month == number and row.hours_valid > 650]
        counts = [row.hours_below for row in rows if row.hours_below is not None]
        assert np.mean(counts) == pytest.approx(float(published[name]), rel=0, abs=0.0005)
        assert finding.years_of_month[number - 1] == len(rows)


def test_the_climatology_scales_to_whole_months(
    finding: Finding, table: Callable[[str], list[dict[str, str]]]
) -> None:
    """Whole months stand; April 2020 counts 427 x 720/719, and February has 28.25 days."""
    published = table("mean_of_years")[0]
    expected = [float(published[name]) for name in MONTHS]
    expected[1] *= 28.25 / 28.0  # no leap year among 2021 and 2022
    expected[3] += 427.0 * (720.0 / 719.0 - 1.0) / 3.0
    assert finding.hours_below.months == pytest.approx(expected, rel=0, abs=0.0006)
