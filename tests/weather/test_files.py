"""Choosing a reader by the file's name, and saying what was understood."""

from __future__ import annotations

import re
import sys
from pathlib import Path

import numpy as np
import pytest
from msgspec.structs import replace

from suitability.errors import RecordError
from suitability.units import TemperatureUnit
from suitability.weather.record import FlagCount, Origin, Record, Station
from suitability.weather.sources.axis import understood_record
from suitability.weather.sources.files import READERS, read_file, read_file_record
from suitability.weather.sources.readings import Readings, exact_values
from suitability.weather.stored import encode_record

TEXT = "Time,TEMP\n2020-01-01 00:00,10.5\n2020-01-01 01:00,\n2020-01-01 02:00,-3\n"


def stored() -> Record:
    """A record with everything a stored one may have."""
    return Record(
        start_hour=438288,
        temp_c=np.array([1.0, np.nan, 3.5]),
        origin=np.array([Origin.OBSERVED, Origin.MISSING, Origin.FILLED], np.uint8),
        source="somewhere",
        station=Station(identifier="1", name="One", latitude=1.0, longitude=2.0, elevation_m=None),
        flags=(FlagCount(name="spike", hours=1, removed=True),),
    )


@pytest.mark.parametrize("name", ["a.csv", "A.CSV", "a.b.csv"])
def test_the_ending_chooses_the_reader_whatever_its_case(tmp_path: Path, name: str) -> None:
    """A file is taken for what its name says."""
    path = tmp_path / name
    path.write_text(TEXT)
    assert read_file_record(path, longitude=None).temp_c[0] == 10.5


def test_a_stored_record_comes_back_whole(tmp_path: Path) -> None:
    """Origins, flags and station survive: a filled hour is never read as an observed one."""
    path = tmp_path / "a.hourly"
    path.write_bytes(encode_record(stored()))
    record = read_file_record(path, longitude=None)
    assert record.origin.tolist() == [Origin.OBSERVED, Origin.MISSING, Origin.FILLED]
    assert (record.flags, record.station) == (stored().flags, stored().station)


def test_a_file_that_says_its_unit_is_not_told_another(tmp_path: Path) -> None:
    """Degrees declared beside it are refused, not passed over."""
    path = tmp_path / "a.hourly"
    path.write_bytes(encode_record(stored()))
    with pytest.raises(RecordError, match="says its degrees itself"):
        read_file_record(path, longitude=None, unit=TemperatureUnit.F)


@pytest.mark.parametrize("cut", [0, 5, 40, -1])
def test_a_cut_stored_record_is_refused(tmp_path: Path, cut: int) -> None:
    """Half a file is no file."""
    path = tmp_path / "a.hourly"
    path.write_bytes(encode_record(stored())[:cut])
    with pytest.raises(RecordError, match=r"^a\.hourly: .*; make the file anew\.$"):
        read_file_record(path, longitude=None)


def test_a_folder_without_an_ending_is_no_file_either(tmp_path: Path) -> None:
    """Its ending is not what is wrong with it."""
    for path, told in ((tmp_path, tmp_path.name), (Path(), ".")):
        with pytest.raises(
            RecordError, match=f"^{re.escape(told)}: is a folder; name the one file"
        ):
            read_file(path, longitude=None)


def test_an_unknown_ending_lists_the_known_ones(tmp_path: Path) -> None:
    """The message says what would be read."""
    with pytest.raises(RecordError) as caught:
        read_file_record(tmp_path / "notes.txt", longitude=None)
    assert all(ending in str(caught.value) for ending in (*READERS, ".epw", ".tmy3"))


@pytest.mark.parametrize("ending", READERS)
def test_every_reader_says_that_a_file_is_missing(tmp_path: Path, ending: str) -> None:
    """One sentence, no traceback of a library."""
    with pytest.raises(RecordError, match="there is no such file"):
        read_file_record(tmp_path / f"none{ending}", longitude=None)


@pytest.mark.parametrize("ending", READERS)
def test_every_reader_says_that_a_folder_is_no_file(tmp_path: Path, ending: str) -> None:
    """The remedy differs from that for a missing file."""
    folder = tmp_path / f"folder{ending}"
    folder.mkdir()
    with pytest.raises(RecordError, match="this is a folder"):
        read_file_record(folder, longitude=None)


@pytest.mark.parametrize("ending", READERS)
def test_a_name_that_no_disk_takes_is_refused_plainly(tmp_path: Path, ending: str) -> None:
    """What the system says stands in the sentence."""
    with pytest.raises(RecordError, match="cannot be read"):
        read_file_record(tmp_path / ("a" * 300 + ending), longitude=None)


@pytest.mark.parametrize(("ending", "package"), [(".parquet", "pyarrow"), (".nc", "netCDF4")])
def test_a_reader_without_its_package_says_how_to_get_it(
    tmp_path: Path, monkeypatch: pytest.MonkeyPatch, ending: str, package: str
) -> None:
    """These packages are large and need not be there."""
    monkeypatch.setitem(sys.modules, package, None)
    with pytest.raises(RecordError, match=f"pip install {package}, or save"):
        read_file_record(tmp_path / f"a{ending}", longitude=None)


@pytest.mark.parametrize("ending", READERS)
def test_every_reader_refuses_what_is_not_its_own(tmp_path: Path, ending: str) -> None:
    """A web page under a good name is refused by name."""
    path = tmp_path / f"page{ending}"
    path.write_text("<!DOCTYPE html>\n<html>not found</html>\n")
    with pytest.raises(RecordError, match=r"^page\."):
        read_file_record(path, longitude=None)


@pytest.mark.parametrize("ending", READERS)
def test_every_reader_refuses_an_empty_file(tmp_path: Path, ending: str) -> None:
    """Nothing was recorded is not the same as nothing was cold."""
    path = tmp_path / f"empty{ending}"
    path.write_bytes(b"")
    with pytest.raises(RecordError, match=r"^empty\."):
        read_file_record(path, longitude=None)


def test_what_was_understood_is_said_in_words(tmp_path: Path) -> None:
    """Columns, unit, zone, step, period, and the span of values, before the record is trusted."""
    path = tmp_path / "porch.csv"
    path.write_text(TEXT)
    assert read_file(path, longitude=None).understood.sentences() == (
        "Columns: time from 'Time', temp from 'TEMP'.",
        "Unit of temperature: °C.",
        "Times: UTC; a time written with an offset was converted.",
        "Step: 2 h.",
        "Period: 2020-01-01 00:00 to 2020-01-01 02:00 UTC.",
        "Hours with a temperature: 2 of 3.",
        "Temperatures: -3 to 10.5 °C.",
    )


def test_a_record_without_temperatures_is_understood_too() -> None:
    """No value is said as such."""
    readings = Readings(
        file="a", seconds=np.array([0]), temp_c=np.array([np.nan]), lines=np.array([1])
    )
    understood = understood_record(readings).understood
    assert understood.sentences()[-2:] == (
        "Hours with a temperature: 0 of 1.",
        "Temperatures: none.",
    )


def test_local_times_in_a_stored_file_are_refused(tmp_path: Path) -> None:
    """The sun is asked whatever the form of the file."""
    hours = np.arange(60 * 24)
    temps = (15 + 5 * np.cos(2 * np.pi * hours / 24)).round(1)  # warmest at 00 UTC
    record = replace(stored(), temp_c=temps, origin=np.full(temps.size, Origin.OBSERVED, np.uint8))
    path = tmp_path / "a.hourly"
    path.write_bytes(encode_record(record))
    with pytest.raises(RecordError, match=r"^a\.hourly: days are warmest at 00:00 UTC"):
        read_file_record(path, longitude=0.0)
    assert read_file_record(path, longitude=180.0).temp_c.size == temps.size


@pytest.mark.parametrize("written", [10.7, 12.8, -0.1, 283.85])
def test_single_precision_means_the_decimals_that_were_written(written: float) -> None:
    """10.7 stored in 32 bits is 10.69999981, which would count as colder than 10.7."""
    assert exact_values(np.array([written], np.float32)).item() == written
    assert exact_values(np.array([written])).item() == written
