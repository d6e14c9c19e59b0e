"""A grower's logger: declared columns, unit and zone, and nothing guessed that changes a number."""

from __future__ import annotations

from datetime import UTC, datetime, timedelta
from pathlib import Path
from typing import TYPE_CHECKING
from zoneinfo import ZoneInfo

import numpy as np
import pytest
from hypothesis import given
from hypothesis import strategies as st

from suitability.errors import OptionError, RecordError
from suitability.units import TemperatureUnit
from suitability.weather.quality import check_quality
from suitability.weather.record import datetime_of_hour
from suitability.weather.sources.clocktimes import ClockTimes, UtcClock, parse_zone
from suitability.weather.sources.gathering import nearest_to_hours
from suitability.weather.sources.logger import read_log, read_logger
from tests.conftest import package_file

if TYPE_CHECKING:
    from suitability.weather.sources.axis import FileRecord

COLUMNS = {"time": "Date Time", "temp": "Temperature"}
HOUR_2024 = 473352  # hours from 1970 to 2024-01-01: (54 x 365 + 13 leap days) x 24


def read(
    folder: Path,
    text: str,
    *,
    columns: dict[str, str] | None = None,
    unit: TemperatureUnit = TemperatureUnit.C,
    zone: str = "UTC",
    time_format: str | None = None,
) -> FileRecord:
    """The record of a logger's file with this content."""
    path = folder / "shade house.csv"
    path.write_text(text, encoding="utf-8")
    return read_logger(
        path, columns=columns or COLUMNS, unit=unit, zone=zone, time_format=time_format
    )


def hours_of(found: FileRecord) -> list[str]:
    """The hours that have a value, UTC."""
    record = found.record
    return [
        f"{datetime_of_hour(record.start_hour + at):%m-%d %H}"
        for at in np.flatnonzero(~np.isnan(record.temp_c)).tolist()
    ]


# --- tables -----------------------------------------------------------------------------------


def test_lines_above_the_header_and_other_columns_are_passed_over(tmp_path: Path) -> None:
    """The header is the line that names all declared columns."""
    text = (
        'Title: shade house\nModel,7\n\n#,Date Time,"Temperature, C (serial 1)",Light\n'
        "1,2024-01-01 00:00,10.5,7\n2,2024-01-01 01:00,,7\n3,2024-01-01 02:00,9,7\n"
    )
    found = read(tmp_path, text)
    assert found.record.start_hour == HOUR_2024
    assert found.record.temp_c[[0, 2]].tolist() == [10.5, 9.0]
    assert found.understood.named == (("time", "Date Time"), ("temp", "Temperature, C (serial 1)"))


def test_a_byte_order_mark_is_no_part_of_the_first_name(tmp_path: Path) -> None:
    """As spreadsheets write it before UTF-8."""
    text = "Date Time,Temperature\n2024-01-01 00:00,10.5\n2024-01-01 01:00,11\n"
    found = read(tmp_path, "\ufeff" + text)
    assert found.record.temp_c.tolist() == [10.5, 11.0]
    assert found.understood.named == read(tmp_path, text).understood.named


def test_semicolons_decimal_commas_and_tabs_are_found(tmp_path: Path) -> None:
    """The separator is that of the line that names the columns."""
    rows = [("Date Time", "Temperature"), ("01.02.2024 00:00", "10,5"), ("01.02.2024 01:00", "-3")]
    for separator in (";", "\t"):
        text = "".join(separator.join(row) + "\n" for row in rows)
        assert read(tmp_path, text).record.temp_c.tolist() == [10.5, -3.0]
    quoted = 'Date Time,Temperature\n01.02.2024 00:00,"10,5"\n'
    assert read(tmp_path, quoted).record.temp_c.tolist() == [10.5]


def test_day_and_clock_may_stand_apart(tmp_path: Path) -> None:
    """Two columns make one time."""
    text = "Day,Hour,T\n2024-01-01,23:00,5\n2024-01-02,00:00,4\n"
    found = read(tmp_path, text, columns={"date": "Day", "clock": "Hour", "temp": "T"})
    assert hours_of(found) == ["01-01 23", "01-02 00"]


def test_fahrenheit_is_converted_as_declared(tmp_path: Path) -> None:
    """55.04 °F is exactly 12.8 °C; the dew point follows; humidity does not."""
    text = "Date Time,Temperature,Dew,RH\n2024-01-01 00:00,55.04,50,80\n"
    columns = COLUMNS | {"dwpt": "Dew"}
    found = read(tmp_path, text, columns=columns, unit=TemperatureUnit.F)
    assert found.record.temp_c.tolist() == [12.8]
    assert found.record.rhum_pct is not None
    assert found.record.rhum_pct.item() == pytest.approx(83.2, abs=0.2)  # 10 °C in air of 12.8 °C
    assert found.understood.unit == "°F, converted to °C"
    found = read(tmp_path, text, columns=columns | {"rhum": "RH"}, unit=TemperatureUnit.F)
    assert found.record.rhum_pct is not None
    assert found.record.rhum_pct.item() == 80.0


def test_fahrenheit_declared_as_celsius_is_noticed(tmp_path: Path) -> None:
    """The unit is believed only as far as it can be true."""
    rows = "".join(f"2024-01-{day:02d} 00:00,{60 + day}\n" for day in range(1, 31))
    with pytest.raises(RecordError, match="looks like Fahrenheit"):
        read(tmp_path, "Date Time,Temperature\n" + rows)


def test_a_real_series_keeps_every_hour_and_decimal() -> None:
    """
    Hours below 5 and 10 °C of a British series, its stamps taken as UTC: 3927 and 10751.

    eemeter 4.1 (Apache-2.0), samples/uk-tempC-sample-0.csv.gz, counted by pandas and by xclim,
    agreeing: 23508 hours from 2020-04-01 01:00, lowest -5.7867, highest 34.0580 °C. No hour of it
    is a spike or a streak.
    """
    found = read_logger(
        package_file("eemeter", "eemeter", "samples", "uk-tempC-sample-0.csv.gz"),
        columns={"time": "dt", "temp": "tempC"},
        unit=TemperatureUnit.C,
        zone="UTC",
    )
    temp_c = found.record.temp_c
    assert found.understood.hours_valid == temp_c.size == 23508
    assert np.count_nonzero(temp_c < 5 - 1e-9) == 3927
    assert np.count_nonzero(temp_c < 10 - 1e-9) == 10751
    assert (round(temp_c.min(), 4), round(temp_c.max(), 4)) == (-5.7867, 34.0580)
    checked = check_quality(found.record)
    assert [flag.name for flag in checked.flags] == ["step, kept"]


# --- how times are written ----------------------------------------------------------------------


@pytest.mark.parametrize(
    "written",
    [
        "2024-01-31 18:00",
        "2024/01/31 18:00:00",
        "2024-01-31T18:00:00.000",
        "31.01.2024 18:00",
        "31/01/2024 18:00",
        "01/31/2024 06:00:00 PM",
        "1/31/24 6:00 pm",
        "31.1.24, 18:00",
        "2024-01-31 20:00+02:00",
        "2024-01-31T18:00Z",
    ],
)
def test_days_are_found_in_any_order_that_can_be_told(tmp_path: Path, written: str) -> None:
    """Day 31 tells which number is the day; an offset is kept."""
    text = f'Date Time,Temperature\n"{written}",5\n'
    assert hours_of(read(tmp_path, text)) == ["01-31 18"]


@pytest.mark.parametrize(
    ("written", "hour"), [("12:00 AM", 0), ("12:30 AM", 0), ("1:00 AM", 1), ("12:00 PM", 12)]
)
def test_noon_and_midnight_of_the_twelve_hour_clock(
    tmp_path: Path, written: str, hour: int
) -> None:
    """12 AM is midnight, 12 PM noon."""
    text = f"Date Time,Temperature\n01/31/2024 {written},5\n"
    assert hours_of(read(tmp_path, text)) == [f"01-31 {hour:02d}"]


def test_a_day_that_could_be_a_month_is_not_guessed(tmp_path: Path) -> None:
    """02/03/2024 is 2 March or 3 February; a declared format decides."""
    text = "Date Time,Temperature\n02/03/2024 18:00,5\n"
    with pytest.raises(RecordError, match="day and month cannot be told apart"):
        read(tmp_path, text)
    assert hours_of(read(tmp_path, text, time_format="%d/%m/%Y %H:%M")) == ["03-02 18"]
    assert hours_of(read(tmp_path, text, time_format="%m/%d/%Y %H:%M")) == ["02-03 18"]


def test_both_orders_in_one_file_are_refused(tmp_path: Path) -> None:
    """One of the days would be wrong."""
    text = "Date Time,Temperature\n13/01/2024 18:00,5\n01/14/2024 18:00,5\n"
    with pytest.raises(RecordError, match="both orders occur"):
        read(tmp_path, text)


# --- zones --------------------------------------------------------------------------------------


@pytest.mark.parametrize(
    ("zone", "hour"),
    [
        ("UTC", "07-01 12"),
        ("+02:00", "07-01 10"),
        ("-8", "07-01 20"),
        ("UTC-08:00", "07-01 20"),
        ("Europe/Lisbon", "07-01 11"),
        ("America/Los_Angeles", "07-01 19"),
    ],
)
def test_the_declared_zone_is_followed_through_summer_time(
    tmp_path: Path, zone: str, hour: str
) -> None:
    """Noon on 1 July 2024; Lisbon is an hour ahead of UTC in summer, California seven behind."""
    text = "Date Time,Temperature\n2024-07-01 12:00,5\n"
    found = read(tmp_path, text, zone=zone)
    assert hours_of(found) == [hour]
    assert found.understood.zone.startswith(zone)


@pytest.mark.parametrize("backwards", [False, True])
def test_the_repeated_hour_of_autumn_is_told_by_its_order(
    tmp_path: Path,
    backwards: bool,  # noqa: FBT001  # a case
) -> None:
    """New York, 2013-11-03: 01:00 twice, at 05 and 06 UTC; also in files that run backwards."""
    rows = ["2013-11-03 00:00,3", "2013-11-03 01:00,2", "2013-11-03 01:00,1", "2013-11-03 02:00,0"]
    rows = rows[::-1] if backwards else rows
    text = "Date Time,Temperature\n" + "\n".join(rows) + "\n"
    found = read(tmp_path, text, zone="America/New_York")
    assert hours_of(found) == ["11-03 04", "11-03 05", "11-03 06", "11-03 07"]
    assert found.record.temp_c.tolist() == [3.0, 2.0, 1.0, 0.0]


def test_a_time_that_clocks_leap_over_is_refused(tmp_path: Path) -> None:
    """02:00 on 2013-03-10 does not exist in New York: this logger keeps winter time."""
    text = "Date Time,Temperature\n2013-03-10 01:00,2\n2013-03-10 02:00,2\n"
    with pytest.raises(RecordError, match="line 3: the time 2013-03-10 02:00 does not exist") as no:
        read(tmp_path, text, zone="America/New_York")
    assert "declare its zone as a fixed offset" in str(no.value)
    assert hours_of(read(tmp_path, text, zone="-05:00")) == ["03-10 06", "03-10 07"]


def test_a_repeated_hour_that_stands_once_is_doubted(tmp_path: Path) -> None:
    """Perhaps the logger never changes its clock; it is said."""
    text = "Date Time,Temperature\n2013-11-03 01:00,2\n2013-11-03 02:00,2\n"
    found = read(tmp_path, text, zone="America/New_York")
    assert found.record.notes[0].startswith("The hour that clocks repeat in autumn never stands")


@given(st.integers(0, 3 * 8766 - 60), st.sampled_from(["Europe/Stockholm", "Australia/Adelaide"]))
def test_hourly_clock_times_lead_back_to_their_hours(start: int, zone: str) -> None:
    """
    Any two days of clock times, over any change of clocks, come back as the hours they were.

    A file that begins in the second of the two repeated hours cannot be told from one that begins
    in the first, so that one row is left out.
    """
    clock = ZoneInfo(zone)
    hours = [datetime(2021, 1, 1, tzinfo=UTC) + timedelta(hours=start + at) for at in range(48)]
    walls = [hour.astimezone(clock).replace(tzinfo=None, fold=0) for hour in hours]
    local = np.array([int(wall.replace(tzinfo=UTC).timestamp()) for wall in walls])
    times = ClockTimes(seconds=local, known=np.zeros(48, np.bool_))
    seconds = UtcClock(clock, "a.csv").seconds(times, np.arange(48))
    right = np.array([int(hour.timestamp()) for hour in hours])
    first_is_second_time = hours[0].astimezone(clock).fold == 1
    assert np.array_equal(seconds[int(first_is_second_time) :], right[int(first_is_second_time) :])


@pytest.mark.parametrize("zone", ["Mars/Olympus", "+99", "", "../etc"])
def test_zones_that_are_none_are_refused(zone: str) -> None:
    """With an example of what would do."""
    with pytest.raises(OptionError, match="is no time zone; expected a name"):
        parse_zone(zone)


# --- more than one reading an hour ----------------------------------------------------------


def test_the_reading_nearest_to_each_hour_is_taken(tmp_path: Path) -> None:
    """Every 20 minutes, three minutes late: those at :03 count, the others are noted."""
    rows = [f"2024-01-01 {m // 60:02d}:{m % 60:02d},{m / 10}\n" for m in range(3, 190, 20)]
    found = read(tmp_path, "Date Time,Temperature\n" + "".join(rows))
    assert found.record.temp_c.tolist() == [0.3, 6.3, 12.3, 18.3]
    assert found.record.notes == (
        "6 readings between full hours not used.",
        "Readings up to 3 min off count as those of the full hour.",
    )


def test_an_empty_reading_gives_way_to_its_neighbour(tmp_path: Path) -> None:
    """A cell left empty at the hour does not lose the hour, if one ten minutes away has a value."""
    text = "Date Time,Temperature\n2024-01-01 00:00,\n2024-01-01 00:10,7\n2024-01-01 01:00,8\n"
    assert read(tmp_path, text).record.temp_c.tolist() == [7.0, 8.0]


def test_two_values_of_one_moment_are_still_refused(tmp_path: Path) -> None:
    """Taking the nearest does not choose between contradictions."""
    text = (
        "Date Time,Temperature\n2024-01-01 00:00,1\n2024-01-01 00:00,2\n2024-01-01 00:30,3\n"
        "2024-01-01 01:00,3\n"
    )
    with pytest.raises(RecordError, match="lines 2 and 3: the hour 2024-01-01 00:00 UTC"):
        read(tmp_path, text)


@given(st.lists(st.integers(0, 100_000), min_size=1, max_size=60, unique=True))
def test_every_hour_with_a_reading_near_it_gets_one(seconds: list[int]) -> None:
    """No hour is lost, none is given twice, and no reading moves by more than half an hour."""
    moments = np.array(seconds, np.int64)
    rows, placed, _ = nearest_to_hours(moments, np.zeros(moments.size))
    if np.all(moments % 3600 == moments[0] % 3600):
        assert np.array_equal(placed, moments)
        return
    hours = (moments + 1800) // 3600
    assert sorted(placed // 3600) == sorted(set(hours.tolist()))
    assert np.abs(placed - moments[rows]).max() <= 1800
    for hour, row in zip((placed // 3600).tolist(), rows.tolist(), strict=True):
        off = np.abs(moments[hours == hour] - hour * 3600)
        assert abs(moments[row] - hour * 3600) == off.min()


# --- what is refused ------------------------------------------------------------------------


@pytest.mark.parametrize(
    ("text", "expected"),
    [
        ("Zeit,Grad\n2024-01-01 00:00,5\n", "no line within the first 60 names all the declared"),
        ("Date Time,Temperature\n", "the file has a header but no readings."),
        ("Date Time,Temperature\nsoon,5\n", "line 2: the time 'soon' cannot be read"),
        ("Date Time,Temperature\n2024-02-30 00:00,5\n", "line 2: the time '2024-02-30 00:00'"),
        ("Date Time,Temperature\n2024-01-01 00:00,hot\n", "line 2: temp 'hot' is not a number."),
        ("Date Time,Temperature\n2024-01-01 00:00\n", "line 2: found 1 cells where the header"),
        ("Date Time,Temperature\n2024-01-01 00:00,-9999\n", "line 2: temp -9999 looks like a"),
    ],
)
def test_the_first_bad_line_is_named(tmp_path: Path, text: str, expected: str) -> None:
    """Whatever the unit declared: a filler is not converted before it is named."""
    for unit in TemperatureUnit:
        with pytest.raises(RecordError) as caught:
            read(tmp_path, text, unit=unit)
        assert expected in str(caught.value)
        assert str(caught.value).startswith("shade house.csv")


def test_a_declared_format_that_does_not_fit_is_said(tmp_path: Path) -> None:
    """With the line and the format."""
    with pytest.raises(RecordError, match="line 2: the time '2024-01-01 00:00' is not written as"):
        read(
            tmp_path,
            "Date Time,Temperature\n2024-01-01 00:00,5\n",
            time_format="%d/%m/%Y %H:%M",
        )


@pytest.mark.parametrize(
    "columns", [{"temp": "T"}, {"time": "t"}, {"date": "d", "temp": "T"}, COLUMNS | {"sun": "S"}]
)
def test_a_declaration_without_time_or_temperature_is_refused(
    tmp_path: Path, columns: dict[str, str]
) -> None:
    """It is an option that is wrong, not the file."""
    with pytest.raises(OptionError, match="expected temp and time"):
        read(tmp_path, "Date Time,Temperature\n", columns=columns)


@pytest.mark.parametrize(
    ("text", "expected"),
    [
        (f"Date Time,Temperature\n2024-01-01 00:00,1\n{'x' * 140_000},1\n", "line is no CSV"),
        ('Date Time,Temperature,Note\n2024-01-01 00:00,1,"a\n2024-01-01 01:00,2,"\n', "several"),
        ('Date Time,Temperature,Note\n2024-01-01 00:00,1,"a\n2024-01-01 01:00,2\n', "several"),
        ("\ufeff", "the file is empty"),
        ("\ufeff \n", "the file is empty"),
        ("\u00a0\n", "names all the declared columns"),
        ("Date Time,Temperature\n0001-01-01 00:00+14:00,1\n", "outside the years 1800 to 2100"),
        ("Date Time,Temperature\n0001-01-01 00:00,1\n", "outside the years 1800 to 2100"),
        ("Date Time,Temperature\n9999-12-31T23:59-14:00,1\n", "outside the years 1800 to 2100"),
        ("Date Time,Temperature\n31.12.9999 23:59,1\n", "outside the years 1800 to 2100"),
        (f"Date Time,Temperature\n{'2024' * 5}-01-01 00:00,1\n", "cannot be read"),
    ],
)
@pytest.mark.parametrize("zone", ["UTC", "Pacific/Kiritimati", "-12:00"])
def test_what_no_logger_writes_is_one_sentence(
    tmp_path: Path, text: str, expected: str, zone: str
) -> None:
    """Endless cells, open quotes that would swallow readings, nothing, the calendar's ends."""
    with pytest.raises(RecordError, match=expected):
        read(tmp_path, text, zone=zone)


@pytest.mark.parametrize(
    ("text", "style"),
    [
        ("01.01.0001 00:00 +1400", "%d.%m.%Y %H:%M %z"),
        ("31.12.9999 23:00 -1400", "%d.%m.%Y %H:%M %z"),
    ],
)
def test_declared_times_at_the_ends_of_the_calendar_are_one_sentence(
    tmp_path: Path, text: str, style: str
) -> None:
    """They cannot be turned to UTC."""
    with pytest.raises(RecordError, match=r"line 2: .* outside the years 1800 to 2100"):
        read(tmp_path, f"Date Time,Temperature\n{text},1\n", time_format=style)


@pytest.mark.parametrize(
    "style", ["", "%", "%Y%Y", "%d/%m/%Y", "%H:%M", "%d/%m/%Y %I:%M", "%q", "(%d", "%Y-%m-%d %M:%M"]
)
def test_a_format_that_tells_no_hour_is_refused_as_such(tmp_path: Path, style: str) -> None:
    """The format is at fault, not the line."""
    with pytest.raises(OptionError, match="does not tell day and hour"):
        read(tmp_path, "Date Time,Temperature\n2024-01-01 00:00,1\n", time_format=style)


@pytest.mark.parametrize(
    ("text", "style"),
    [
        ("2024 001 00", "%Y %j %H"),
        ("01/01/24 12:00:00 AM", "%d/%m/%y %I:%M:%S %p"),
        ("2024-01-01T00:00:00+0000", "%Y-%m-%dT%H:%M:%S%z"),
        ("Mon Jan  1 00:00:00 2024", "%c"),
    ],
)
def test_formats_that_tell_the_hour_are_taken(tmp_path: Path, text: str, style: str) -> None:
    """Days of the year, two-digit years, twelve-hour clocks and offsets all do."""
    found = read(tmp_path, f"Date Time,Temperature\n{text},1\n", time_format=style)
    assert found.record.start_hour == HOUR_2024


def test_years_of_two_digits_are_said_and_lie_in_the_past(tmp_path: Path) -> None:
    """98 is 1998 and not 2098; what they were read as is noted."""
    found = read(tmp_path, "Date Time,Temperature\n31.12.98 23:00,1\n01.01.99 00:00,2\n")
    assert datetime_of_hour(found.record.start_hour) == datetime(1998, 12, 31, 23, tzinfo=UTC)
    assert found.record.notes == ("Years of two digits were read as 1998 to 1999.",)
    text = "Date Time,Temperature\n31.12.68 23:00,1\n"
    assert datetime_of_hour(read(tmp_path, text).record.start_hour).year == 2068
    declared = read(tmp_path, text, time_format="%d.%m.%y %H:%M")
    assert declared.record.notes == ("Years of two digits were read as 2068 to 2068.",)
    assert read(tmp_path, "Date Time,Temperature\n2024-01-01 00:00,1\n").record.notes == ()


# --- from Python ------------------------------------------------------------------------------


def test_python_reads_the_same_record_by_words(tmp_path: Path) -> None:
    """A path as text, a unit by its letter; a unit that is none is refused with those there are."""
    text = "Date Time,Temperature\n2024-06-01 00:00,68.0\n2024-06-01 01:00,66.2\n"
    kept = read(tmp_path, text, unit=TemperatureUnit.F).record
    path = str(tmp_path / "shade house.csv")
    record = read_log(path, COLUMNS, zone="UTC", unit="f")
    assert record.start_hour == kept.start_hour
    assert record.temp_c.tolist() == kept.temp_c.tolist() == [20.0, 19.0]
    with pytest.raises(OptionError, match="unit 'kelvin': expected one of c, f"):
        read_log(path, COLUMNS, zone="UTC", unit="kelvin")
