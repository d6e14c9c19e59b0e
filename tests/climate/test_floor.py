"""The floor rule: days on which a group grows or rests."""

from __future__ import annotations

from itertools import pairwise
from typing import TYPE_CHECKING

import numpy as np
import pytest
from msgspec.structs import replace
from numpy.typing import NDArray

from suitability.climate.days import DAYS
from suitability.climate.floor import cool_season, floor_days
from tests.conftest import open_extract

if TYPE_CHECKING:
    from tests.climate.conftest import LayOut
    from tests.conftest import Hourly

BoolArray = NDArray[np.bool_]
MONTH = 365.25 / 12  # days, as hours a month are counted


NOON = "2001-01-01T12"  # so that the record begins with a whole night


def dipping(hours_a_night: int) -> NDArray[np.float64]:
    """730 nights from noon, at 10 °C for so many hours after midnight, at 20 °C otherwise."""
    hour = (np.arange(730 * 24) + 12) % 24
    return np.where(hour < hours_a_night, 10.0, 20.0)


@pytest.mark.parametrize(
    ("hours_a_night", "grows"), [(0, True), (6, True), (7, False), (24, False)]
)
def test_two_hundred_hours_a_month(
    hourly: Hourly, lay_out: LayOut, hours_a_night: int, *, grows: bool
) -> None:
    """6 h a night are 6 x 30.4375 = 182.6 h a month, 7 h are 213.1: the limit is 200."""
    nights = lay_out(hourly(dipping(hours_a_night), start=NOON))
    assert floor_days(nights.calendar, 15.0, None, 200.0).tolist() == [grows] * DAYS


def test_exactly_the_limit_passes(hourly: Hourly, lay_out: LayOut) -> None:
    """10 h a night are 304.375 h a month."""
    calendar = lay_out(hourly(dipping(10), start=NOON)).calendar
    assert floor_days(calendar, 15.0, None, 10 * MONTH).all()
    assert not floor_days(calendar, 15.0, None, 10 * MONTH - 0.001).any()


def test_hours_at_the_floor_are_not_below_it(hourly: Hourly, lay_out: LayOut) -> None:
    calendar = lay_out(hourly(dipping(24), start=NOON)).calendar
    assert floor_days(calendar, 10.0, None, 0.0).all()
    assert not floor_days(calendar, 10.1, None, 0.0).any()


def test_the_trailing_28_days_decide(hourly: Hourly, lay_out: LayOut) -> None:
    """Ten cold days in July: a day fails while the 28 days up to it hold more than 7 of them.

    8 x 24 h x 30.4375 / 28 = 208.7 h a month, 7 days make 182.6. Cold are the nights of 1 to 10
    July (days 181 to 190): the 8th is day 188, and the 28 days of day 210 begin on day 183, those
    of day 211 on day 184, which leaves 7.
    """
    temp_c = np.full(730 * 24, 20.0)
    for year in (0, 365):
        first = (year + 181) * 24
        temp_c[first : first + 240] = 10.0
    calendar = lay_out(hourly(temp_c, start=NOON)).calendar
    failing = ~floor_days(calendar, 15.0, None, 200.0)
    assert np.flatnonzero(failing).tolist() == list(range(188, 211))


def test_the_mean_year_decides_not_the_worst(hourly: Hourly, lay_out: LayOut) -> None:
    """13 h a night below in one year, none in the other: on the average 6.5 h, which passes."""
    temp_c = dipping(13)
    temp_c[: 365 * 24] = 20.0
    calendar = lay_out(hourly(temp_c, start=NOON)).calendar
    assert floor_days(calendar, 15.0, None, 200.0).all()


def test_the_cool_season_is_the_stretch_around_mid_winter() -> None:
    """Below the floor from day 340 to 40 and, apart from it, for a cold week in May."""
    minimum = np.full(DAYS, 18.0)
    minimum[340:] = minimum[:41] = 10.0
    minimum[130:137] = 10.0
    season = cool_season(minimum < 15.0, 10)
    assert np.flatnonzero(season).tolist() == [*range(41), *range(340, DAYS)]
    assert cool_season(minimum < 15.0, 355).tolist() == season.tolist()


def test_a_cool_season_of_the_southern_winter() -> None:
    minimum = np.full(DAYS, 18.0)
    minimum[150:250] = 10.0
    assert np.flatnonzero(cool_season(minimum < 15.0, 197)).tolist() == list(range(150, 250))


def test_no_cool_season_where_it_is_never_cool_or_never_warm() -> None:
    """A mid-winter at the floor is not below it; a year wholly below has no growth to rest from."""
    assert not cool_season(np.zeros(DAYS, np.bool_), 10).any()
    beside = np.full(DAYS, 15.0)
    beside[5:10] = beside[11:20] = 10.0  # cold on either side of mid-winter, not on it
    assert not cool_season(beside < 15.0, 10).any()
    assert not cool_season(np.ones(DAYS, np.bool_), 10).any()


def test_in_the_cool_season_the_rest_floor_counts(hourly: Hourly, lay_out: LayOut) -> None:
    """A winter at 12 °C fails a growth floor of 15, and passes where the plant rests down to 10.

    Summer 20 °C, winter 12 °C (wave of 4 °C around 16, hardly any daily range).
    """
    calendar = lay_out(hourly(years=3, mean_c=16.0, year_c=4.0)).calendar
    without = floor_days(calendar, 15.0, None, 200.0)
    assert not without[:45].any()
    assert without[180:240].all()
    assert floor_days(calendar, 15.0, 10.0, 200.0).all()
    with_high_rest = floor_days(calendar, 15.0, 14.0, 200.0)
    assert not with_high_rest[14]
    assert with_high_rest.sum() > without.sum()


@pytest.mark.parametrize("rest_floor_c", [10.0, 12.0])
def test_near_a_pane_no_winter_fails_that_passes_where_it_is_colder(
    lay_out: LayOut, rest_floor_c: float
) -> None:
    """
    Real winters of Lansing behind a pane, from near the glass into the room of 20 °C.

    Nights are long and alike there: more than 200 hours a month lie below 15 °C while their mean
    minimum is above it.
    """
    record, _ = open_extract("lansing")
    passed = []
    for share in np.arange(0.26, 0.1, -0.01):
        inside_c = (20.0 - share * (20.0 - record.temp_c)).round(1)
        local = replace(record, temp_c=inside_c, start_hour=record.start_hour - 5)
        calendar = lay_out(local).calendar
        passed.append(bool(floor_days(calendar, 15.0, rest_floor_c, 200.0).all()))
    assert passed == sorted(passed)
    assert passed[-1]


def test_a_rest_floor_never_shortens_the_year(hourly: Hourly, lay_out: LayOut) -> None:
    calendar = lay_out(hourly(years=2, mean_c=14.0, year_c=8.0, day_c=5.0)).calendar
    without = floor_days(calendar, 15.0, None, 200.0)
    for rest_floor in (0.0, 5.0, 10.0, 15.0):
        resting = floor_days(calendar, 15.0, rest_floor, 200.0)
        assert (resting | ~without).all()


@pytest.mark.parametrize("warmer", [-3.0, -0.7, 0.0, 1.3, 5.0])
@pytest.mark.parametrize("rest_floor", [None, 9.0])
def test_a_warmer_spot_is_a_warmed_record(
    hourly: Hourly, lay_out: LayOut, warmer: float, rest_floor: float | None
) -> None:
    """Offset identity of the rule, growth floor and rest floor."""
    record = hourly(years=2, mean_c=15.0, year_c=7.0, day_c=4.0)
    shifted = hourly((record.temp_c + warmer).round(1))
    here = floor_days(lay_out(record).calendar, 15.0, rest_floor, 200.0, warmer)
    there = floor_days(lay_out(shifted).calendar, 15.0, rest_floor, 200.0)
    assert here.tolist() == there.tolist()


def test_a_higher_floor_never_has_more_days(hourly: Hourly, lay_out: LayOut) -> None:
    calendar = lay_out(hourly(years=2, mean_c=15.0, year_c=7.0, day_c=4.0)).calendar
    days = [floor_days(calendar, floor, None, 200.0) for floor in np.arange(0.0, 25.0, 0.5)]
    for lower, higher in pairwise(days):
        assert (lower | ~higher).all()
    assert days[0].all()
    assert not days[-1].any()


def test_a_station_that_closes_at_night_does_not_look_warm(hourly: Hourly, lay_out: LayOut) -> None:
    """Without the hours 00 to 06, which hold all its cold, no day passes that did not before."""
    record = hourly(years=2, mean_c=15.0, year_c=6.0, day_c=5.0)
    hour = np.arange(record.temp_c.size) % 24
    closed = hourly(np.where(hour < 7, np.nan, record.temp_c))
    before = floor_days(lay_out(record).calendar, 15.0, None, 200.0)
    after = floor_days(lay_out(closed).calendar, 15.0, None, 200.0)
    assert before.any()
    assert (before | ~after).all()


def test_days_that_no_year_has_are_not_days_of_growth(hourly: Hourly, lay_out: LayOut) -> None:
    """100 days of 25 °C say nothing of the other 265: a week on, too many days are not known."""
    days = floor_days(lay_out(hourly(np.full(2400, 25.0))).calendar, 15.0, None, 200.0)
    assert not days[107:].any()
