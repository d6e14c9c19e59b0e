"""°F read as °C where nothing exceeds 60: told by latitude, month, and how the days vary."""

from __future__ import annotations

from functools import cache
from pathlib import Path
from typing import TYPE_CHECKING

import numpy as np
import pytest
from msgspec.structs import replace

from suitability.errors import RecordError
from suitability.units import TemperatureUnit
from suitability.weather.record import Record
from suitability.weather.sources.axis import judge_place, understood_record
from suitability.weather.sources.files import read_file, read_file_record
from suitability.weather.sources.readings import Readings
from suitability.weather.sources.warmth import find_warm_month, warmest_month_c

if TYPE_CHECKING:
    from numpy.typing import NDArray

DATA = Path(__file__).parents[1] / "data"
NAMES = sorted(path.stem for path in DATA.glob("*.hourly"))


@cache
def extract(name: str) -> tuple[Record, float, float]:
    """A real record, its latitude and longitude."""
    record = read_file_record(DATA / f"{name}.hourly", longitude=None)
    assert record.station is not None
    return record, record.station.latitude, record.station.longitude


def months_of(record: Record) -> NDArray[np.int64]:
    """Months from 1970-01 of each hour."""
    hours = (record.start_hour + np.arange(record.temp_c.size)).astype("datetime64[h]")
    return hours.astype("datetime64[M]").astype(np.int64)


def given(record: Record, hours: NDArray[np.bool_], temp: NDArray[np.float64]) -> Readings:
    """Some hours of a record as a file would give them."""
    at = np.flatnonzero(hours & ~np.isnan(temp))
    return Readings(
        file="porch.csv", seconds=(record.start_hour + at) * 3600, temp_c=temp[at], lines=at + 2
    )


def is_refused(readings: Readings, latitude: float) -> bool:
    """Whether such a file is refused as °C."""
    try:
        record = understood_record(readings).record
        judge_place(record, "porch.csv", latitude=latitude, longitude=None)
    except RecordError:
        return True
    return False


@pytest.mark.parametrize("name", NAMES)
def test_real_records_pass_without_a_word(name: str) -> None:
    """From the equator to 55° N, in deserts and on coasts."""
    record, latitude, longitude = extract(name)
    judged = judge_place(record, name, latitude=latitude, longitude=longitude)
    assert judged.notes == record.notes


# Of 1,600 single months in °F these pass: 12 to 18 °F would be a mild winter in °C.
COLD_ENOUGH = {"lansing": ["2014-01", "2014-02", "2015-02", "2021-02"]}


@pytest.mark.parametrize("name", NAMES)
def test_single_months_in_fahrenheit_are_refused(name: str) -> None:
    """Each month alone as a log in °F, whatever the season."""
    record, latitude, _ = extract(name)
    fahrenheit, months = record.temp_c * 1.8 + 32, months_of(record)
    passed = []
    for month in np.unique(months).tolist():
        readings = given(record, months == month, fahrenheit)
        if readings.temp_c.size >= 100 and not is_refused(readings, latitude):
            passed.append(str(np.datetime64(month, "M")))
    assert passed == COLD_ENOUGH.get(name, [])


@pytest.mark.parametrize("name", NAMES)
def test_whole_cool_seasons_in_fahrenheit_are_refused(name: str) -> None:
    """The coldest six months of each year, of which often nothing exceeds 60 °F."""
    record, latitude, _ = extract(name)
    fahrenheit, months = record.temp_c * 1.8 + 32, months_of(record)
    season = (months + (3 if latitude > 0 else 9)) // 12
    cool = (months + (3 if latitude > 0 else 9)) % 12 < 6
    for year in np.unique(season).tolist():
        readings = given(record, cool & (season == year), fahrenheit)
        if readings.temp_c.size >= 1000:
            assert is_refused(readings, latitude), year


def steady(hourly: object, mean_c: float, day_c: float = 1.0) -> Record:
    """A year of a place that is kept at a temperature."""
    assert callable(hourly)
    record = hourly(mean_c=mean_c, day_c=day_c)
    assert isinstance(record, Record)
    return record


def test_a_cool_room_in_fahrenheit_is_refused(hourly: object) -> None:
    """38 to 40 °F (3.5 to 4.5 °C) all year: in °C warmer than any room in January."""
    with pytest.raises(RecordError, match=r"2001-01 has a median of 39\.0 °C.*latitude 50 stays"):
        judge_place(steady(hourly, 39.0), "cellar", latitude=50.0, longitude=None)
    assert is_refused(given(steady(hourly, 0), np.full(8760, True), np.full(8760, 41.5)), 0.0)


def test_a_heated_room_is_noted_and_not_refused(hourly: object) -> None:
    """20 °C in January at 60° N is a room; what it was taken for is said once."""
    record = judge_place(steady(hourly, 20.0), "room", latitude=60.0, longitude=None)
    (note,) = record.notes
    assert note.startswith("2001-01 has a median of 20.0 °C, where the open air at latitude 60")
    assert "from under cover" in note
    assert judge_place(steady(hourly, 20.0), "room", latitude=10.0, longitude=None).notes == ()


def test_a_room_that_varies_like_the_open_air_is_none(hourly: object) -> None:
    """Days that differ by 10 K around 20 in a northern winter are the open air, in °F."""
    record = steady(hourly, 20.0)
    waves = 5.0 * np.sin(np.arange(8760) / 24 * 2 * np.pi / 10)
    varied = replace(record, temp_c=record.temp_c + waves)
    with pytest.raises(RecordError, match="looks like Fahrenheit"):
        judge_place(varied, "log", latitude=60.0, longitude=None)


def test_without_a_latitude_nothing_is_judged(hourly: object) -> None:
    """The bound is one of place."""
    assert judge_place(steady(hourly, 39.0), "x", latitude=None, longitude=None).notes == ()


def test_the_bound_follows_the_seasons_of_both_hemispheres() -> None:
    """July in the south is January in the north; midsummer never below midwinter; poles coldest."""
    for latitude in range(0, 91, 5):
        north = [warmest_month_c(latitude, month) for month in range(1, 13)]
        south = [warmest_month_c(-latitude or -1e-9, month) for month in range(1, 13)]
        assert south == pytest.approx(north[6:] + north[:6])
        assert min(north) == north[0]
        assert max(north) == north[6]
    winters = [warmest_month_c(latitude, 1) for latitude in range(0, 91, 5)]
    assert winters == sorted(winters, reverse=True)


def test_the_worst_month_is_named(hourly: object) -> None:
    """Of several, the one farthest above what can be."""
    found = find_warm_month(steady(hourly, 25.0), 60.0)
    assert found is not None
    assert (found.year, found.month, found.median_c) == (2001, 1, 25.0)
    assert found.bound_c == pytest.approx(11.0)
    few = steady(hourly, 25.0)
    sparse = np.where(np.arange(8760) % 9, np.nan, 25.0)
    assert find_warm_month(replace(few, temp_c=sparse), 60.0) is None


def test_a_file_is_held_against_its_place(tmp_path: Path) -> None:
    """Read with its latitude it is refused; in the unit that it has, it passes."""
    record, latitude, longitude = extract("lansing")
    first = 24 * (366 + 334)  # 2013-12-01, two years after the record's first hour
    winter = slice(first, first + 24 * 90)
    hours = (record.start_hour + np.arange(record.temp_c.size)).astype("datetime64[h]")[winter]
    path = tmp_path / "winter.csv"
    rows = zip(hours, record.temp_c[winter] * 1.8 + 32, strict=True)
    lines = [f"{at}:00,{'' if np.isnan(value) else round(value, 1)}\n" for at, value in rows]
    path.write_text("time,temp\n" + "".join(lines))
    with pytest.raises(RecordError, match=r"winter\.csv: .*looks like Fahrenheit"):
        read_file(path, latitude=latitude, longitude=longitude)
    unit = TemperatureUnit.F
    assert read_file(path, latitude=latitude, longitude=longitude, unit=unit).record.temp_c.size
