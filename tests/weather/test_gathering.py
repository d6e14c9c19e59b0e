"""Large files in blocks, and minute logs as hours: true minima and means, however files are cut."""

from __future__ import annotations

import gzip
from datetime import UTC, datetime, timedelta
from typing import TYPE_CHECKING
from zoneinfo import ZoneInfo

import numpy as np
import pytest
from hypothesis import given
from hypothesis import strategies as st
from msgspec.structs import replace

from suitability.errors import RecordError
from suitability.units import TemperatureUnit
from suitability.weather.quality import check_quality
from suitability.weather.record import Record, clip_record, from_dataset, to_dataset
from suitability.weather.sampling import ToldBy, find_allowance, miss_of_hours
from suitability.weather.sources import blocks
from suitability.weather.sources.blocks import Block, read_blocks, rows_of
from suitability.weather.sources.csvfile import read_csv
from suitability.weather.sources.gathering import lowest_of_hours
from suitability.weather.sources.logger import read_logger
from suitability.weather.stored import decode_record, encode_record

if TYPE_CHECKING:
    from collections.abc import Callable, Iterable
    from pathlib import Path

HOUR_2024 = 473352
FIRST = datetime(2024, 1, 1, tzinfo=UTC)
BLOCK_SIZES = (40, 1000, 33_333)


def minute_rows(hours: int, *, step_min: int = 1) -> list[tuple[datetime, float]]:
    """Readings that fall by a tenth a minute to the half hour and rise again, hour by hour more."""
    return [
        (FIRST + timedelta(minutes=m), round(10 + m // 60 % 12 - (30 - abs(30 - m % 60)) / 10, 1))
        for m in range(0, hours * 60 + 1, step_min)
    ]


def csv_text(rows: Iterable[tuple[datetime, float]]) -> str:
    """The rows in the CSV form."""
    return "time,temp\n" + "".join(f"{at:%Y-%m-%d %H:%M},{temp}\n" for at, temp in rows)


def read(folder: Path, text: str) -> Record:
    """The record of a CSV file."""
    path = folder / "porch.csv"
    path.write_text(text)
    return read_csv(path).record


def same(one: Record, other: Record) -> None:
    """Two records that are alike in all."""
    assert one.start_hour == other.start_hour
    assert one.notes == other.notes
    for name in ("temp_c", "rhum_pct", "prcp_mm", "lowest_c"):
        mine, theirs = getattr(one, name), getattr(other, name)
        assert (mine is None) == (theirs is None)
        if mine is not None:
            np.testing.assert_allclose(mine, theirs, atol=2e-6)


# --- minute logs --------------------------------------------------------------------------------


def test_a_minute_log_gives_the_mean_and_the_lowest_of_each_hour(tmp_path: Path) -> None:
    """
    By hand, for 02:00, of the readings from 01:30 to 02:29.

    01:30 to 01:59 rise from 8.0 to 10.9: their mean is 9.45. 02:00 to 02:29 fall from 12.0 to 9.1:
    mean 10.55. Together 10.0; the lowest is 8.0 at 01:30.
    """
    record = read(tmp_path, csv_text(minute_rows(4)))
    assert record.start_hour == HOUR_2024
    assert record.step_hours == 1
    assert record.temp_c[2] == pytest.approx(10.0)
    assert record.lowest_c is not None
    assert record.lowest_c[2] == 8.0
    (note,) = record.notes
    assert note == (
        "A reading every 1 min: each hour is the mean of those within half an hour of it, and its "
        "lowest is kept beside it."
    )


@pytest.mark.parametrize("step_min", [1, 2, 5, 10])
def test_readings_up_to_ten_minutes_apart_are_averaged(tmp_path: Path, step_min: int) -> None:
    """The mean of a whole hour around the full hour, for any such step."""
    record = read(tmp_path, csv_text(minute_rows(6, step_min=step_min)))
    assert f"A reading every {step_min} min" in record.notes[0]
    rows = minute_rows(6, step_min=step_min)
    around = [temp for at, temp in rows if 150 <= (at - FIRST).total_seconds() / 60 < 210]
    assert record.temp_c[3] == pytest.approx(np.mean(around), abs=1e-6)
    assert record.lowest_c is not None
    assert record.lowest_c[3] == min(around)


def test_readings_every_quarter_of_an_hour_keep_the_nearest_and_the_lowest(tmp_path: Path) -> None:
    """As a logger's: one reading an hour, and beside it the lowest of the four."""
    record = read(tmp_path, csv_text(minute_rows(12, step_min=15)))
    assert record.temp_c[:3].tolist() == [10.0, 11.0, 12.0]
    assert record.lowest_c is not None
    assert record.lowest_c[:3].tolist() == [8.5, 7.0, 8.0]
    assert "36 readings between full hours not used." in record.notes


def test_two_readings_an_hour_keep_the_lowest_and_say_how_far_off_they_stand(
    tmp_path: Path,
) -> None:
    """
    At 5 (first at 3) and 35 minutes past.

    The first counts as the hour's, and the lower of both is kept.
    """
    rows = [(at + timedelta(minutes=5), temp) for at, temp in minute_rows(20, step_min=30)]
    rows[0] = (FIRST + timedelta(minutes=3), 10.0)
    record = read(tmp_path, csv_text(rows))
    assert record.temp_c[:3].tolist() == [10.0, 11.0, 12.0]
    assert record.lowest_c is not None
    assert record.lowest_c[1:3].tolist() == [7.0, 8.0]  # of 00:35 and 01:05, of 01:35 and 02:05
    assert "Readings up to 5 min off count as those of the full hour." in record.notes


@pytest.mark.parametrize(("doubled", "kept"), [(4, False), (5, True)])
def test_the_lowest_is_kept_where_half_of_the_hours_have_two_readings(
    doubled: int,
    kept: bool,  # noqa: FBT001  # a case
) -> None:
    """Of ten hours."""
    minutes = np.array([*range(0, 600, 60), *range(10, 60 * doubled, 60)])
    lowest = lowest_of_hours(minutes * 60, np.where(minutes % 60 == 0, 2.0, 1.0))
    assert (lowest is not None) is kept
    if lowest is not None:
        assert lowest[:10].tolist() == [1.0] * 5 + [2.0] * 5


def test_rain_of_one_reading_is_the_rain_of_its_hour(tmp_path: Path) -> None:
    """A gauge that writes when it tips: its other cells are empty, and so are hours without any."""
    rain = {70: "0.4", 130: "0.2", 140: "0.2"}
    lines = [
        f"{at:%Y-%m-%d %H:%M},{temp},{rain.get(minute, '')}"
        for minute, (at, temp) in enumerate(minute_rows(3))
    ]
    record = read(tmp_path, "time,temp,prcp\n" + "\n".join(lines) + "\n")
    assert record.prcp_mm is not None
    assert record.prcp_mm[1:3].tolist() == [0.4, 0.4]
    assert np.isnan(record.prcp_mm[0])


def test_one_reading_an_hour_has_no_lowest_beside_it(tmp_path: Path) -> None:
    """Nothing is known of the time between."""
    assert read(tmp_path, csv_text(minute_rows(40, step_min=60))).lowest_c is None
    assert lowest_of_hours(np.arange(9) * 3600, np.zeros(9)) is None


def test_gaps_in_a_minute_log_stay_gaps_and_empty_cells_count_nothing(tmp_path: Path) -> None:
    """Two hours without a line, and one of empty cells."""
    lines = []
    for at, temp in minute_rows(9):
        minute = (at - FIRST).total_seconds() / 60
        if not 150 <= minute < 270:
            lines.append(f"{at:%Y-%m-%d %H:%M},{'' if 390 <= minute < 450 else temp}\n")
    record = read(tmp_path, "time,temp\n" + "".join(lines))
    assert np.flatnonzero(np.isnan(record.temp_c)).tolist() == [3, 4, 7]
    assert record.lowest_c is not None
    assert np.flatnonzero(np.isnan(record.lowest_c)).tolist() == [3, 4, 7]


def test_humidity_is_averaged_and_rain_added_up(tmp_path: Path) -> None:
    """Sixty readings of 0.1 mm are 6 mm in the hour."""
    lines = [f"{at:%Y-%m-%d %H:%M},{temp},{40 + at.minute},0.1" for at, temp in minute_rows(3)]
    record = read(tmp_path, "time,temp,rhum,prcp\n" + "\n".join(lines) + "\n")
    assert record.rhum_pct is not None
    assert record.rhum_pct[1] == pytest.approx(40 + 29.5)
    assert record.prcp_mm is not None
    assert record.prcp_mm[1] == pytest.approx(6.0)
    assert "its rain their sum" in record.notes[0]


def test_what_cannot_be_true_is_named_with_its_line_in_a_minute_log(tmp_path: Path) -> None:
    """A filler, a moment given twice, and a file that holds its times twice."""
    text = csv_text(minute_rows(4))
    with pytest.raises(RecordError, match=r"line 102: temp -9999 looks like a filler"):
        read(tmp_path, text.replace("01:40,", "01:40,-9999#").replace("#9.0", ""))
    with pytest.raises(
        RecordError, match=r"lines 3 and 4: the moment 2024-01-01 00:01 UTC .*\(9\.9 and 9\.8\)"
    ):
        read(tmp_path, text.replace("00:02,", "00:01,"))
    twice = text + text.partition("\n")[2]
    with pytest.raises(RecordError, match=r"has 120 readings, more than one in 60 s"):
        read(tmp_path, twice)
    warm = csv_text((at, temp + 35) for at, temp in minute_rows(4))
    with pytest.raises(RecordError, match="looks like Fahrenheit"):
        read(tmp_path, warm)


def test_fahrenheit_is_converted_before_it_is_averaged(tmp_path: Path) -> None:
    """50 °F is 10 °C, as a mean and as the lowest."""
    path = tmp_path / "porch.csv"
    path.write_text(csv_text((at, 50.0) for at, _ in minute_rows(3)))
    found = read_csv(path, TemperatureUnit.F)
    assert found.record.temp_c.tolist() == [10.0] * 4
    assert found.record.lowest_c is not None
    assert found.record.lowest_c.tolist() == [10.0] * 4
    assert found.understood.unit == "°F, converted to °C"


def year_of_minutes() -> Record:
    """A year and a day of readings every ten minutes, the lowest of a night half an hour off."""
    at = np.arange(366 * 144 + 1)
    temp = 15 - 5 * np.cos((at / 144 - 5.5 / 24) * 2 * np.pi)
    temp = np.where(at % 144 == 30, temp - 1.0, temp).round(3)  # at 05:00, one reading 1 K lower
    times = np.datetime64("2024-01-01T00:00", "m") + at * np.timedelta64(10, "m")
    text = "time,temp\n" + "".join(
        f"{str(time).replace('T', ' ')},{value}\n" for time, value in zip(times, temp, strict=True)
    )
    return text_record(text)


def text_record(text: str) -> Record:
    """The record of a text."""
    from pathlib import Path
    from tempfile import TemporaryDirectory

    with TemporaryDirectory() as folder:
        return read(Path(folder), text)


@pytest.mark.slow
def test_a_year_of_minutes_tells_itself_what_its_hours_miss() -> None:
    """
    The allowance is that of its own lowest readings.

    By hand: the coldest hour is 05:00 or 06:00, about 10.05 on the mean; the lowest reading is that
    at 05:00 less one degree, near 10 - 1 + 0.04.
    """
    record = year_of_minutes()
    assert record.lowest_c is not None
    missed, days = miss_of_hours(record.temp_c, record.lowest_c)
    assert days >= 365
    coldest = record.temp_c[24:48].min() - record.lowest_c[24:48].min()
    assert missed == pytest.approx(coldest, abs=0.02)
    assert 0.7 < missed < 1.1
    assert record.minimum_allowance_c == round(missed, 1)
    assert find_allowance(record, None) == (round(missed, 1), ToldBy.DAILY_MINIMA)
    assert any(
        note.startswith(f"The hours miss {missed:.1f} °C of the day's") for note in record.notes
    )


def test_less_than_a_year_of_minutes_tells_nothing_yet(tmp_path: Path) -> None:
    """Winter nights are not summer nights."""
    assert read(tmp_path, csv_text(minute_rows(100))).minimum_allowance_c is None
    assert miss_of_hours(np.full(20, 1.0), np.full(20, 0.0)) == (0.0, 0)
    assert miss_of_hours(np.full(50, np.nan), np.full(50, 0.0)) == (0.0, 0)
    assert miss_of_hours(np.full(72, 1.5), np.full(72, 1.0)) == (0.5, 3)


# --- the lowest of the hour goes with the record --------------------------------------------------


def test_the_lowest_goes_through_store_data_set_clip_and_quality(tmp_path: Path) -> None:
    """Value for value; an hour that is taken out has no lowest either."""
    record = read(tmp_path, csv_text(minute_rows(30)))
    assert record.lowest_c is not None
    same(decode_record(encode_record(record)), record)
    dataset = to_dataset(record)
    assert dataset["lowest"].attrs["cell_methods"] == "time: minimum"
    back = from_dataset(dataset)
    assert back.lowest_c is not None
    np.testing.assert_array_equal(back.lowest_c, record.lowest_c)
    clipped = clip_record(record, HOUR_2024 + 3, HOUR_2024 + 7)
    assert clipped.lowest_c is not None
    np.testing.assert_array_equal(clipped.lowest_c, record.lowest_c[3:7])
    spiked = record.temp_c.copy()
    spiked[10] = 59.0
    clean = check_quality(replace(record, temp_c=spiked))
    assert clean.lowest_c is not None
    assert np.isnan(clean.temp_c[10])
    assert np.isnan(clean.lowest_c[10])
    assert not np.isnan(clean.lowest_c[9])


# --- in blocks ------------------------------------------------------------------------------------


@pytest.fixture(params=BLOCK_SIZES)
def small_blocks(request: pytest.FixtureRequest) -> int:
    """Blocks of few characters."""
    size: int = request.param
    return size


def in_blocks(path: Path, size: int, reader: Callable[[Path], Record]) -> Record:
    """What is read in blocks of a size."""
    with pytest.MonkeyPatch.context() as patch:
        patch.setattr(blocks, "BLOCK_CHARACTERS", size)
        return reader(path)


@pytest.mark.parametrize("step_min", [1, 15, 60])
@pytest.mark.parametrize("dress", [str.encode, lambda text: gzip.compress(text.encode())])
def test_a_file_in_blocks_is_the_file_as_a_whole(
    tmp_path: Path, small_blocks: int, step_min: int, dress: Callable[[str], bytes]
) -> None:
    """However its lines are cut into blocks, packed or not."""
    path = tmp_path / "porch.csv"
    path.write_bytes(dress(csv_text(minute_rows(60, step_min=step_min))))
    whole = read_csv(path).record
    if small_blocks < 100 and step_min == 1:
        small_blocks = 900  # the first block must tell how far apart readings stand
    same(in_blocks(path, small_blocks, lambda one: read_csv(one).record), whole)


@pytest.mark.parametrize("backwards", [False, True])
@pytest.mark.parametrize("zone", ["Europe/Stockholm", "Australia/Lord_Howe", "+01:00", "UTC"])
def test_a_log_in_blocks_is_the_log_as_a_whole(
    tmp_path: Path,
    small_blocks: int,
    zone: str,
    backwards: bool,  # noqa: FBT001  # a case
) -> None:
    """Across a change of clocks, the newest row first or last."""
    clock = ZoneInfo(zone) if "/" in zone else UTC
    begin = (
        datetime(2023, 10, 28, tzinfo=UTC)
        if "Europe" in zone
        else datetime(2023, 3, 31, tzinfo=UTC)
    )
    rows = []
    for quarter in range(3 * 96):
        at = (begin + timedelta(minutes=15 * quarter)).astimezone(clock)
        rows.append(f"{at:%d.%m.%Y %H:%M};{quarter % 40},{quarter % 7}\n")
    if backwards:
        rows.reverse()
    path = tmp_path / "log.csv"
    path.write_text("Porch\nDate Time;Temp\n" + "".join(rows))

    def read_it(one: Path) -> Record:
        columns = {"time": "Date Time", "temp": "Temp"}
        return read_logger(one, columns=columns, unit=TemperatureUnit.C, zone=zone).record

    whole = read_it(path)
    assert whole.temp_c.size == 73
    same(in_blocks(path, max(500, small_blocks), read_it), whole)


def test_lines_are_numbered_through_blocks(tmp_path: Path) -> None:
    """The line of a bad cell is that of the file."""
    path = tmp_path / "porch.csv"
    path.write_text(
        csv_text(minute_rows(400, step_min=60)).replace("2024-01-15 00:00,", "2024-01-15 00:00,x")
    )
    with pytest.raises(RecordError, match=r"line 338: temp 'x"):
        in_blocks(path, 500, lambda one: read_csv(one).record)


@given(st.lists(st.sampled_from(["1,2", "", " ", '"a,b",c', "x", ",,", "ä;b"]), max_size=30))
def test_blocks_hold_every_line_once(lines: list[str]) -> None:
    """Line by line and in blocks the same rows have the same numbers."""
    from pathlib import Path
    from tempfile import TemporaryDirectory

    with TemporaryDirectory() as folder:
        path = Path(folder) / "a.csv"
        path.write_text("\n".join(["head", *lines]) + "\n", encoding="utf-8")
        (one,) = read_blocks(path)
        with pytest.MonkeyPatch.context() as patch:
            patch.setattr(blocks, "BLOCK_CHARACTERS", 3)
            many = list(read_blocks(path))
    whole_rows, whole_lines = rows_of(one)
    parts = [rows_of(block) for block in many]
    assert [row for rows, _ in parts for row in rows] == whole_rows
    assert [line for _, numbers in parts for line in numbers.tolist()] == whole_lines.tolist()
    assert len(many) >= len(lines) // 3


def test_the_share_that_was_read_is_told(tmp_path: Path) -> None:
    """From the first block to the whole, in order."""
    path = tmp_path / "porch.csv"
    path.write_text(csv_text(minute_rows(20)))
    shares: list[float] = []
    with pytest.MonkeyPatch.context() as patch:
        patch.setattr(blocks, "BLOCK_CHARACTERS", 4000)
        read_csv(path, on_share=shares.append)
    assert len(shares) > 3
    assert shares == sorted(shares)
    assert shares[-1] == 1.0


def test_a_block_of_no_lines_has_none() -> None:
    """Nothing is made up."""
    rows, lines = rows_of(Block(file="a", line=7, text=""))
    assert (rows, lines.tolist()) == ([], [])
