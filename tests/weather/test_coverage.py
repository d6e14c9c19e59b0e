"""Coverage by year, month and origin, and the WMO's rule for monthly values."""

from __future__ import annotations

from datetime import UTC, datetime

import numpy as np
import pytest
from hypothesis import given
from hypothesis import strategies as st

from suitability.answers.weather import months_table
from suitability.weather.coverage import count_coverage, longest_run, months_complete
from suitability.weather.listing import tell_coverage
from suitability.weather.record import Origin, Record, hour_of_datetime

JANUARY = np.array([0, 31])
TWO_MONTHS = np.array([0, 31, 59])


def record_of(hours: int, start: datetime, missing: slice | None = None) -> Record:
    """An observed record of one temperature with a stretch missing."""
    temp_c = np.full(hours, 10.0)
    if missing is not None:
        temp_c[missing] = np.nan
    origin = np.where(np.isnan(temp_c), Origin.MISSING, Origin.OBSERVED).astype(np.uint8)
    return Record(start_hour=hour_of_datetime(start), temp_c=temp_c, origin=origin)


@pytest.mark.parametrize(
    ("missing_days", "complete"),
    [
        (range(0, 30, 3), True),  # 10 scattered
        ([*range(0, 30, 3), 30], False),  # 11
        (range(10, 14), True),  # 4 in a row
        (range(10, 15), False),  # 5 in a row
    ],
)
def test_the_rule_of_wmo_1203(missing_days: list[int], complete: bool) -> None:  # noqa: FBT001
    """
    A January is missing with 11 missing days, or with 5 in a row.

    Source: WMO-No. 1203 (2017), Guidelines on the Calculation of Climate Normals, as stated in the
    documentation of xclim's `MissingWMO`.
    """
    there = np.ones(31, bool)
    there[list(missing_days)] = False
    assert months_complete(there, JANUARY).tolist() == [complete]


def test_a_gap_over_the_end_of_a_month_counts_in_each_for_its_own_days() -> None:
    """29 January to 2 February: three days of January, two of February; both are complete."""
    there = np.ones(59, bool)
    there[28:33] = False
    assert months_complete(there, TWO_MONTHS).tolist() == [True, True]


@given(st.lists(st.booleans(), max_size=40))
def test_the_longest_run_is_that_of_the_text(flags: list[bool]) -> None:
    """Written as text, the longest run is the longest piece between zeros."""
    text = "".join("1" if flag else "0" for flag in flags)
    assert longest_run(np.array(flags, bool)) == max(map(len, text.split("0")))


def test_a_whole_leap_year_is_all_there() -> None:
    """8784 hours, 696 of them in February."""
    coverage = count_coverage(record_of(8784, datetime(2020, 1, 1, tzinfo=UTC)))
    assert coverage.years == range(2020, 2021)
    assert coverage.observed.sum() == 8784
    assert coverage.observed[0, 1] == 696
    assert coverage.wmo_complete.all()
    assert coverage.counts_usable.all()


def test_months_are_those_of_standard_time() -> None:
    """Eight hours behind UTC, the first eight hours of a record belong to the December before."""
    coverage = count_coverage(record_of(8784, datetime(2020, 1, 1, tzinfo=UTC)), -8.0)
    assert coverage.years == range(2019, 2021)
    assert coverage.observed[0].tolist() == [0] * 11 + [8]
    assert coverage.observed[1, 11] == 744 - 8
    assert not coverage.wmo_complete[0, 11]


def test_nine_tenths_of_a_month_suffice_for_counts() -> None:
    """Of 744 hours 670 are 90 %: 74 missing pass, 75 do not."""
    start = datetime(2021, 1, 1, tzinfo=UTC)
    for missing, usable in ((74, True), (75, False)):
        coverage = count_coverage(record_of(744, start, slice(0, missing)))
        assert coverage.counts_usable[0, 0] == usable


def test_a_day_is_there_with_three_quarters_of_its_readings() -> None:
    """Of a day's 24 readings 18 suffice, of a three-hourly station's 8 six do."""
    start = datetime(2021, 1, 1, tzinfo=UTC)
    for per_day, complete in ((18, True), (17, False)):
        hours = np.arange(744)
        temp_c = np.where(hours % 24 < per_day, 10.0, np.nan)
        origin = np.where(np.isnan(temp_c), 0, 1).astype(np.uint8)
        record = Record(start_hour=hour_of_datetime(start), temp_c=temp_c, origin=origin)
        assert count_coverage(record).wmo_complete[0, 0] == complete
    three = np.where(np.arange(744) % 3 == 0, 1, 0).astype(np.uint8)
    temp_c = np.where(three, 10.0, np.nan)
    record = Record(start_hour=hour_of_datetime(start), temp_c=temp_c, origin=three, step_hours=3)
    coverage = count_coverage(record)
    assert coverage.wmo_complete[0, 0]
    assert not coverage.counts_usable[0, 0]


def test_every_hour_has_exactly_one_origin() -> None:
    """The hours of all origins add up to the hours of the record."""
    origin = np.arange(5000) % len(Origin)
    record = Record(start_hour=0, temp_c=np.zeros(5000), origin=origin.astype(np.uint8))
    coverage = count_coverage(record, 5.5)
    assert sum(int(hours.sum()) for hours in coverage.by_origin.values()) == 5000
    assert coverage.expected.sum() == 5000
    assert (coverage.expected <= coverage.full).all()


def test_the_calendar_of_coverage_reads_without_colour() -> None:
    """A sign a month: all, most, half, less, none."""
    start = datetime(2021, 1, 1, tzinfo=UTC)
    record = record_of(8760, start, slice(31 * 24 + 300, 9999))
    rows = tell_coverage(count_coverage(record))
    table = months_table(rows)
    assert [column.title for column in table.columns][:2] == ["Year", "JFMAMJJASOND"]
    (cells,) = ([cell.text for cell in row] for row in table.rows)
    assert cells[:2] == ["2021", "#.          "]
    assert cells[-1] == " 1 of 12"
    assert "none" in table.notes[-1]
    assert rows[0].hours_by_origin.observed == 744
    assert rows[2].hours_by_origin.missing == 744
