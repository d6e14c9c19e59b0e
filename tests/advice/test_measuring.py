"""A measured spot: its logs together, its range through the year, and what is said of it."""

from __future__ import annotations

from datetime import date
from typing import TYPE_CHECKING

import numpy as np
import pytest
from msgspec.structs import replace

from suitability.advice.calibration import fit
from suitability.advice.checking import check_groups
from suitability.advice.measuring import elsewhere, end_on_days, measured_notes, pool_logs
from suitability.advice.preparing import lay_out, records_at_spots
from suitability.advice.question import ask
from suitability.errors import OptionError
from suitability.spots.spot import ROOFED, End, Measured, MeasuredOffset, Offset, Spot

from .conftest import GROUP, OPTIONS, PLACE

if TYPE_CHECKING:
    from tests.conftest import Hourly

JULY, JANUARY = (date(2024, 7, 5), date(2024, 7, 28)), (date(2025, 1, 4), date(2025, 1, 27))


def found(usual: float) -> MeasuredOffset:
    return MeasuredOffset(low=usual - 0.5, usual=usual, high=usual + 0.5, number=10, scatter_c=0.8)


def log(when: tuple[date, date], night: float, day: float | None = 1.0) -> Measured:
    return Measured(
        first=when[0],
        last=when[1],
        clear_night=found(night),
        other_night=found(night),
        day=None if day is None else found(day),
        night_error_c=0.6,
    )


def spot_of(*logs: Measured) -> Spot:
    spot = replace(ROOFED, name="porch")
    for one in logs:
        spot, _ = pool_logs(spot, one, 0.0, "log.csv")
    return spot


def test_a_second_log_counts_beside_the_first_whichever_came_first() -> None:
    """+2 in July and +1 in January: +1.5 of all, and both in the file in order of time."""
    for order in ((JULY, 2.0), (JANUARY, 1.0)), ((JANUARY, 1.0), (JULY, 2.0)):
        spot = spot_of(*(log(when, night) for when, night in order))
        assert spot.clear_night_c is not None
        assert spot.clear_night_c.usual == pytest.approx(1.5)
        assert [one.first for one in spot.measured] == [JULY[0], JANUARY[0]]


def test_a_log_of_the_same_days_takes_the_place_of_the_earlier_and_that_is_said() -> None:
    """Other dates that overlap; the very same dates are the same log again, of which nothing."""
    first = spot_of(log(JULY, 2.0))
    again, said = pool_logs(first, log(JULY, 1.0), 0.0, "log.csv")
    assert len(again.measured) == 1
    assert said == ()
    other, said = pool_logs(first, log((date(2024, 7, 20), date(2024, 8, 9)), 1.0), 0.0, "log.csv")
    assert len(other.measured) == 1
    assert said == (
        "log.csv takes the place of the log of 2024-07-05 to 2024-07-28, of the same days.",
    )


def test_logs_that_contradict_each_other_are_told_and_the_range_holds_both() -> None:
    """+2 in July, -4 in January: more than a season explains; +1 is not."""
    first = spot_of(log(JULY, 2.0))
    assert pool_logs(first, log(JANUARY, 1.0), 0.0, "log.csv")[1] == ()
    spot, said = pool_logs(first, log(JANUARY, -4.0), 0.0, "log.csv")
    assert len(said) == 2  # clear nights and others; the days agree
    assert said[0].startswith(
        "log.csv and the log of July 2024 contradict each other: clear and calm nights -4.0 "
        "against +2.0 °C"
    )
    assert spot.clear_night_c is not None
    assert spot.clear_night_c.low < -4.0
    assert spot.clear_night_c.high > 2.0


def test_what_no_log_told_stays_as_it_was() -> None:
    """Too few days: the day's offset of the spot, sure or not, is neither changed nor widened."""
    before = Offset(low=-1.0, usual=0.0, high=3.0)
    spot, _ = pool_logs(replace(ROOFED, day_c=before), log(JULY, 2.0, None), 0.0, "log.csv")
    assert spot.day_c == before
    assert elsewhere(spot).day is None
    assert end_on_days(spot, 2, End.LOW, np.arange(365)) == -1.0


def test_the_range_is_as_measured_in_the_months_of_the_log_and_wider_elsewhere() -> None:
    """1.833 x 1.4 x 0.8 = 2.05 K and 0.5 in quadrature half a year away; two logs halve the way."""
    one, two = spot_of(log(JULY, 2.0)), spot_of(log(JULY, 2.0), log(JANUARY, 2.0))
    day = np.arange(365)
    low = np.asarray(end_on_days(one, 0, End.LOW, day))
    assert low[200] == pytest.approx(1.5, abs=0.01)
    far = elsewhere(one).clear_night
    assert far is not None
    assert low.min() == pytest.approx(far.low, abs=1e-6)
    assert far.low == pytest.approx(2.0 - 2.11, abs=0.03)
    nearer = elsewhere(two).clear_night
    assert nearer is not None
    assert far.low < nearer.low < 1.5


def test_the_colder_end_of_the_spot_is_colder_where_nobody_measured(hourly: Hourly) -> None:
    """A log of July: in July half a degree under the usual numbers, in January two."""
    record = hourly(years=2, mean_c=15.0, year_c=5.0, day_c=3.0)
    spot = spot_of(log(JULY, 2.0, 2.0))
    usual, cold = (
        records_at_spots(record, PLACE, [spot], end)[0].temp_c for end in (End.USUAL, End.LOW)
    )
    apart = (usual - cold).reshape(-1, 24)
    assert apart[195:205].mean() == pytest.approx(0.5, abs=0.1)
    assert apart[10:20].mean() == pytest.approx(2.1, abs=0.1)
    sure = replace(
        spot,
        **{
            name: Offset(low=2.0, usual=2.0, high=2.0)
            for name in ("clear_night_c", "other_night_c", "day_c")
        },
    )
    (same,) = records_at_spots(record, PLACE, [sure], End.LOW)
    np.testing.assert_array_equal(same.temp_c, usual)


def test_a_summers_log_leaves_a_winter_verdict_in_doubt_and_a_winters_does_not(
    hourly: Hourly,
) -> None:
    """Nights of 14 °C and a limit of 12 beside a dose: only the log of January is sure of it."""
    record = hourly(years=12, mean_c=18.8, year_c=3.0, day_c=1.5)
    group = replace(
        GROUP, chill_base_c=13.0, limit_c=12.0, limit_wet_c=12.0, dose_limit_c_h=1e4, floor_c=10.0
    )
    ends = []
    for when in (JULY, JANUARY):
        spot = spot_of(log(when, 0.0, 0.0))
        (result,) = check_groups(lay_out(record, PLACE, [spot], [group], OPTIONS)).results
        assert result.verdict == "outdoor-all-year"
        assert result.spot_ends is not None
        ends.append(result.spot_ends.low)
    assert ends[0] != "outdoor-all-year"
    assert ends[1] == "outdoor-all-year"


def test_the_months_of_the_logs_are_named_once() -> None:
    """One clause a spot; spans over two months; of spots that nobody measured nothing."""
    over = (date(2024, 3, 20), date(2024, 4, 12))
    spots = [spot_of(log(JULY, 2.0), log(JANUARY, 1.0)), ROOFED, spot_of(log(over, 1.0))]
    assert measured_notes(spots) == (
        "porch was measured in July and January; in other months it is known less well.",
        "porch was measured in March-April; in other months it is known less well.",
    )


def test_a_log_is_of_one_spot(hourly: Hourly) -> None:
    """A question about two does not say at which of them the thermometer hung."""
    record = hourly([10.0] * 48)
    question = ask(record, PLACE, "nobile", spots=["open-porch", "open-bench"], quality=False)
    with pytest.raises(OptionError, match="A log is of one spot"):
        fit(question, record)
