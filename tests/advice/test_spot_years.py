"""What the years of a spot were like, and how far two spots lie apart."""

from __future__ import annotations

from typing import TYPE_CHECKING

import numpy as np
import pytest
from msgspec.structs import astuple, replace

from suitability.advice.cases import growing_days
from suitability.advice.comparison import Row, compare_sites, find_difference, key_of
from suitability.advice.spot_years import (
    ByYear,
    Interval,
    Years,
    gain,
    hours_by_month,
    how_far_apart,
    years_of,
)
from suitability.advice.terms import Season
from suitability.advice.verdicts import decide
from suitability.climate.days import day_of_year, month_day
from suitability.spots.spot import ROOFED, End

from .conftest import GROUP, OPTIONS, PLACE

if TYPE_CHECKING:
    from collections.abc import Sequence

    from tests.conftest import Hourly

    from .conftest import Prepare

EVERY_MONTH = np.ones(12, np.bool_)


def by_year(*values: float, first: int = 2001) -> ByYear:
    return ByYear(first=first, values=np.array(values))


def years(days: Sequence[float], unsafe: Sequence[float], first: int = 2001) -> dict[End, Years]:
    """Years with that much of each, and no hour below the floor."""
    hours = (by_year(*np.zeros(len(days)), first=first),) * 12
    usual = Years(
        days=by_year(*days, first=first),
        unsafe=by_year(*unsafe, first=first),
        hours=hours,
        growing=EVERY_MONTH,
    )
    return {End.USUAL: usual}


def test_years_that_both_know_are_those_of_one_name() -> None:
    one, two = by_year(1.0, np.nan, 3.0, 4.0), by_year(30.0, np.nan, 50.0, first=2003)
    mine, others = one.shared(two)
    assert (mine.tolist(), others.tolist()) == ([3.0], [30.0])
    assert one.shared(by_year(1.0, first=2010))[0].size == 0
    assert one.known.tolist() == [1.0, 3.0, 4.0]


def test_shared_years_are_compared_year_by_year() -> None:
    """Differences 10, 12, 8, 10, 10: a mean of 10 with an error of sqrt(2 / 5), t of 4 is 2.132."""
    one = years([110, 132, 98, 120, 100], [0] * 5)
    two = years([100, 120, 90, 110, 90], [0] * 5)
    found = how_far_apart(one, two, lambda each: each.days)
    assert found.interval is not None
    assert (found.number, found.shared) == (5, 5)
    half = 2.132 * np.sqrt(2.0 / 5.0)
    assert astuple(found.interval) == pytest.approx((10.0, 10.0 - half, 10.0 + half), abs=0.01)


def test_other_years_ask_for_more() -> None:
    """The same values of other years: errors of each mean in quadrature, 2.25 times."""
    one, two = [110.0, 132.0, 98.0, 120.0, 100.0], [100.0, 120.0, 90.0, 110.0, 90.0]
    found = how_far_apart(
        years(one, [0] * 5), years(two, [0] * 5, first=2010), lambda each: each.days
    )
    assert found.interval is not None
    assert (found.number, found.shared) == (5, 0)
    error = np.sqrt(np.var(one, ddof=1) / 5 + np.var(two, ddof=1) / 5)
    assert found.interval.high - 10.0 == pytest.approx(2.25 * 2.132 * error, abs=0.05)
    few = how_far_apart(
        years(one[:4], [0] * 4), years(two, [0] * 5, first=2010), lambda each: each.days
    )
    assert few.interval is None


def test_what_is_sure() -> None:
    interval = Interval(difference=2.0, low=1.0, high=3.0)
    assert (gain(interval, 1.0), gain(interval, -1.0), gain(None, 1.0)) == (True, False, None)
    assert gain(replace(interval, low=0.0), 1.0) is False


@pytest.fixture(scope="module")
def row(hourly: Hourly) -> Row:
    """A group at one spot, whatever it says."""
    from suitability.advice.comparison import Site

    record = hourly(years=6, mean_c=15.0, year_c=6.0)
    site = Site(record=record, place=PLACE, spots=(ROOFED,), options=OPTIONS)
    return compare_sites([site], [GROUP], {}).results[0]


@pytest.mark.parametrize(
    ("days", "unsafe", "told"),
    [
        ([230, 231, 229, 230, 230], [50] * 5, True),
        ([230, 231, 229, 230, 230], [51, 52, 51, 50, 51], False),
        ([190, 180, 250, 205, 230], [50] * 5, False),
        ([190, 191, 189, 190, 190], [50] * 5, False),
    ],
    ids=["longer each year", "more unsafe nights", "scatter", "shorter each year"],
)
def test_better_is_told_only_if_the_years_agree(
    row: Row,
    days: list[float],
    unsafe: list[float],
    told: bool,  # noqa: FBT001
) -> None:
    """A season of 206 days promised against 205: the order alone tells nothing."""
    better, other = (
        replace(row, spot=name, season=Season(out="04-01", inn="10-24", days=length))
        for name, length in (("better", 206), ("other", 205))
    )
    of = {
        key_of(better): years(days, unsafe),
        key_of(other): years([205, 204, 206, 205, 205], [50] * 5),
    }
    found = find_difference(better, other, of)
    assert found.told_apart is told
    assert found.reason == "a season of 206 days against 205"


def test_what_a_year_by_itself_allowed(hourly: Hourly, prepare: Prepare) -> None:
    """Mild nights from April to October; one night of September 2003 at 0 °C ends its season.

    So does the first day on which the group does not grow, of every year.
    """
    record = hourly(years=6, mean_c=15.0, year_c=10.0, day_c=2.0)
    temp_c = record.temp_c.copy()
    lost = (2 * 365 + day_of_year("09-01")) * 24 + 30 - record.start_hour % 24
    temp_c[lost] = 0.0
    case, usual = prepare(replace(record, temp_c=temp_c)), prepare(record)
    season, growing = decide(usual).season, np.ones(365, np.bool_)
    hours = [np.zeros(usual.yearly_seen.size)] * 12
    with_it, without = (years_of(each, growing, season, hours).days for each in (case, usual))
    shorter = with_it.values < without.values
    assert (without.first + np.flatnonzero(shorter)).tolist() == [2003]
    assert without.known.min() > 150
    ends = day_of_year("09-01") - day_of_year(month_day(season.start if season else 0))
    assert ends <= with_it.values[shorter][0] <= ends + 45  # it began by its own spring
    growing[day_of_year("08-01") : day_of_year("12-01")] = False
    cut = years_of(usual, growing, season, hours).days
    lengths = without.known - cut.known
    assert lengths.min() > 30
    assert np.ptp(lengths) < 15


def test_hours_by_month_add_up_to_those_of_plant_years(hourly: Hourly, prepare: Prepare) -> None:
    """January has most of them, and each plant year its twelve months."""
    case = prepare(hourly(years=4, mean_c=15.0, year_c=6.0, day_c=4.0))
    by_month = np.stack(hours_by_month(case.nights)(15.0))
    assert by_month.shape[0] == 12
    assert by_month.sum(axis=1).argmax() == 0
    year = years_of(case, growing_days(case), None, list(by_month))
    known = ~np.isnan(year.unsafe.values)
    np.testing.assert_allclose(
        year.hours_in(EVERY_MONTH).values[known], by_month.sum(axis=0)[known]
    )
    assert np.nansum(year.hours_in(np.arange(12) == 6).values) < 0.1 * by_month.sum()
