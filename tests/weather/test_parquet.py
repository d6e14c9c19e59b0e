"""Reading Parquet tables."""

from __future__ import annotations

from datetime import date
from decimal import Decimal
from typing import TYPE_CHECKING, Any

import numpy as np
import pyarrow as pa
import pyarrow.parquet as pq
import pytest

from suitability.errors import RecordError
from suitability.units import TemperatureUnit
from suitability.weather.sources.parquet import read_parquet

if TYPE_CHECKING:
    from pathlib import Path

    from suitability.weather.sources.axis import FileRecord

HOUR_2020 = 438288
TIMES = np.array(["2020-01-01T00", "2020-01-01T01"], "datetime64[ns]")


def read(folder: Path, columns: dict[str, Any]) -> FileRecord:
    """The record of a table written with these columns."""
    path = folder / "porch.parquet"
    pq.write_table(pa.table(columns), path)
    return read_parquet(path)


@pytest.mark.parametrize("unit", ["s", "ms", "us", "ns"])
def test_timestamps_of_any_precision_are_utc(tmp_path: Path, unit: str) -> None:
    """The same hours in seconds to nanoseconds."""
    times = TIMES.astype(f"datetime64[{unit}]")
    record = read(tmp_path, {"time": times, "temp": [1.5, -2.0]}).record
    assert (record.start_hour, record.temp_c.tolist()) == (HOUR_2020, [1.5, -2.0])


def test_timestamps_with_a_zone_are_converted_and_the_zone_is_said(tmp_path: Path) -> None:
    """Arrow keeps such times in UTC beside the name of their zone."""
    times = pa.array(TIMES, pa.timestamp("ns", "America/Los_Angeles"))
    found = read(tmp_path, {"time": times, "temp": [1.0, 2.0]})
    assert found.record.start_hour == HOUR_2020
    assert found.understood.zone == "America/Los_Angeles, converted to UTC"


def test_times_as_text_are_read_like_those_of_a_csv(tmp_path: Path) -> None:
    """With an offset they are converted."""
    times = ["2020-01-01 00:00", "2019-12-31T17:00-08:00"]
    assert read(tmp_path, {"time": times, "temp": [1.0, 2.0]}).record.temp_c.tolist() == [1.0, 2.0]


def test_nulls_are_missing_and_columns_are_found_by_name(tmp_path: Path) -> None:
    """Case and order are free; unused columns are noted; decimals and integers are numbers."""
    columns = {
        "wind": [1.0, 2.0],
        "Temp": [None, 5],
        "Time": TIMES,
        "rhum": [Decimal("80.5"), None],
        "prcp": [0, 1],
    }
    found = read(tmp_path, columns)
    record = found.record
    assert np.isnan(record.temp_c).tolist() == [True, False]
    assert record.rhum_pct is not None
    assert record.prcp_mm is not None
    assert (record.rhum_pct[0], record.prcp_mm[1]) == (80.5, 1.0)
    assert record.notes == ("Columns not used: wind.",)
    assert ("temp", "Temp") in found.understood.named


def test_single_precision_keeps_its_decimals(tmp_path: Path) -> None:
    """10.7 in 32 bits is still not below 10.7."""
    record = read(tmp_path, {"time": TIMES, "temp": np.array([10.7, 12.8], np.float32)}).record
    assert record.temp_c.tolist() == [10.7, 12.8]


def test_declared_fahrenheit_is_converted(tmp_path: Path) -> None:
    """68 and 23 °F are 20 and -5 °C."""
    path = tmp_path / "porch.parquet"
    pq.write_table(pa.table({"time": TIMES, "temp": [68.0, 23.0]}), path)
    assert read_parquet(path, TemperatureUnit.F).record.temp_c.tolist() == [20.0, -5.0]


@pytest.mark.parametrize(
    ("columns", "expected"),
    [
        ({"when": TIMES, "temp": [1.0, 2.0]}, "porch.parquet: found columns when, temp; expected"),
        (
            {"time": TIMES, "temp": ["a", "b"]},
            "the column temp is of type string; expected numbers",
        ),
        ({"time": [1, 2], "temp": [1.0, 2.0]}, "the column time is of type int64; expected"),
        ({"time": [date(2020, 1, 1)], "temp": [1.0]}, "the column time is of type date32"),
        ({"time": TIMES[:0], "temp": np.empty(0)}, "porch.parquet: the table has no rows."),
        ({"time": TIMES, "temp": [5.0, 9999.0]}, "porch.parquet, row 2: temp 9999 looks like a"),
        ({"time": ["2020-01-01 00:00", "soon"], "temp": [1.0, 2.0]}, "row 2: the time 'soon'"),
        ({"time": pa.array([TIMES[0], None]), "temp": [1.0, 2.0]}, "row 2: the time is empty"),
        ({"time": TIMES[[0, 0]], "temp": [1.0, 2.0]}, "porch.parquet, rows 1 and 2: the hour"),
    ],
)
def test_the_first_bad_row_is_named(tmp_path: Path, columns: dict[str, Any], expected: str) -> None:
    """Rows are counted from 1."""
    with pytest.raises(RecordError) as caught:
        read(tmp_path, columns)
    assert expected in str(caught.value)


def test_a_cut_file_is_refused(tmp_path: Path) -> None:
    """Parquet ends with its directory; without it nothing is read."""
    path = tmp_path / "porch.parquet"
    pq.write_table(pa.table({"time": TIMES, "temp": [1.0, 2.0]}), path)
    path.write_bytes(path.read_bytes()[:-20])
    with pytest.raises(RecordError, match=r"^porch\.parquet: this is no whole Parquet file"):
        read_parquet(path)


def test_names_and_texts_that_are_no_utf_8_are_one_sentence(tmp_path: Path) -> None:
    """A byte of another encoding in a name, or among the times."""
    path = tmp_path / "porch.parquet"
    times = ["2020-01-01 00:00"]
    for good, bad in ((b"wind", b"w\xffnd"), (b"2020-01-01 00", b"2020-01-01\xff00")):
        table = pa.table({"time": times, "temp": [1.0], "wind": [1.0]})
        pq.write_table(table, path, compression="none", use_dictionary=False, store_schema=False)
        path.write_bytes(path.read_bytes().replace(good, bad))
        with pytest.raises(RecordError, match="not UTF-8"):
            read_parquet(path)


def test_a_column_that_is_there_twice_is_refused(tmp_path: Path) -> None:
    """Whichever were taken, the other might be the right one."""
    with pytest.raises(RecordError, match="the column temp is named twice"):
        read(tmp_path, {"time": TIMES, "Temp": [1.0, 2.0], "temp": [3.0, 4.0]})
