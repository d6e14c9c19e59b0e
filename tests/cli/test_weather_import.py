"""`suitability weather import`: a logger's file declared, explained on standard error, and kept."""

from __future__ import annotations

import json
import math
from datetime import datetime, timedelta
from typing import TYPE_CHECKING

import numpy as np
import pytest

from suitability.cli import sources
from suitability.cli.importing import parse_columns
from suitability.cli.main import main
from suitability.errors import OptionError
from suitability.weather.store import list_imported, read_imported

from .running import running

if TYPE_CHECKING:
    from pathlib import Path

DECLARED = ["--columns", "time=Date Time,temp=Temperature", "--input-units", "f"]


@pytest.fixture(autouse=True)
def home(tmp_path: Path, monkeypatch: pytest.MonkeyPatch) -> Path:
    """A store of the test's own."""
    monkeypatch.setenv("SUITABILITY_HOME", str(tmp_path / "home"))
    return tmp_path / "home" / "weather"


@pytest.fixture
def log(tmp_path: Path) -> Path:
    """Two months of an invented logger: °F, local time, 20 minutes apart."""
    first = datetime(2024, 1, 1)  # noqa: DTZ001  (a logger's clock knows no zone)
    lines = ["Title: shade house", "Date Time;Temperature, °F;Humidity"]
    for reading in range(60 * 72):
        at = first + timedelta(minutes=20 * reading)
        hour = at.hour + at.minute / 60
        fahrenheit = 55 + 12 * math.cos(2 * math.pi * (hour - 14.5) / 24)
        lines.append(f"{at:%d.%m.%Y %H:%M};{fahrenheit:.1f};60")
    path = tmp_path / "shade-house.csv"
    path.write_text("\n".join(lines) + "\n", encoding="utf-8")
    return path


run = running("weather", "import")


def test_what_was_understood_is_told_before_the_record_is_kept(
    capsys: pytest.CaptureFixture[str], log: Path, home: Path
) -> None:
    """Columns, unit, zone, step and period stand on standard error; the store has the hours."""
    position = ["--at", "33.9,-118.4,30"]
    code, out, err = run(
        capsys, str(log), *DECLARED, "--zone", "-08:00", *position, "--name", "shade"
    )
    assert code == 0, err
    assert out == "shade: 2024-01-01 to 2024-03-01, 1441 hours\n"
    for sentence in (
        "Columns: time from 'Date Time', temp from 'Temperature, °F'.",
        "Unit of temperature: °F, converted to °C.",
        "Times: -08:00, all year, taken to UTC.",
        "Step: 1 h.",
        "Period: 2024-01-01 08:00 to 2024-03-01 08:00 UTC.",
        "Hours with a temperature: 1441 of 1441.",
        "2879 readings",
    ):
        assert sentence in err, err
    record, place = read_imported(home, "shade")
    assert place.utc_offset_hours == -8.0
    assert record.temp_c.size == 1441
    # 14:00 by the logger, 22:00 UTC: 55 + 12 cos(-7.5 degrees) = 66.9 °F
    assert record.temp_c[14] == pytest.approx((66.9 - 32) / 1.8, abs=1e-6)


def test_a_wrong_zone_is_refused_by_the_sun_and_nothing_is_kept(
    capsys: pytest.CaptureFixture[str], log: Path, home: Path
) -> None:
    """Pacific clock time passed as UTC puts the warmest hour into the night; both are told."""
    code, out, err = run(capsys, str(log), *DECLARED, "--zone", "UTC", "--at", "33.9,-118.4")
    assert (code, out) == (1, "")
    assert "Times: UTC." in err
    assert "shade-house.csv" in err.splitlines()[-1]
    assert list_imported(home) == ()


def test_a_name_in_use_is_kept_unless_replacing_is_asked(
    capsys: pytest.CaptureFixture[str], tmp_path: Path, home: Path
) -> None:
    """One sentence tells what is kept; what is replaced leaves nothing behind; damage is no bar."""
    for name, days in (("porch", 2), ("other", 3)):
        hours = (
            f"2024-01-{day:02d} {hour:02d}:00,{day}"
            for day in range(1, days + 1)
            for hour in range(24)
        )
        (tmp_path / f"{name}.csv").write_text("\n".join(["time,temp", *hours, ""]), "utf-8")
    first, second = str(tmp_path / "porch.csv"), str(tmp_path / "other.csv")
    assert run(capsys, first)[0] == 0
    code, out, err = run(capsys, second, "--name", "porch")
    assert (code, out) == (1, "")
    (sentence,) = err.splitlines()
    assert "porch: 2024-01-01 to 2024-01-02, 48 hours" in sentence
    assert "--replace" in sentence
    assert read_imported(home, "porch")[0].temp_c.size == 48
    code, out, err = run(capsys, second, "--name", "porch", "--replace")
    assert (code, out) == (0, "porch: 2024-01-01 to 2024-01-03, 72 hours\n"), err
    assert read_imported(home, "porch")[0].temp_c.size == 72
    (kept,) = (home / "imported" / "porch").glob("*.hours")
    kept.write_bytes(b"damaged")
    assert run(capsys, first)[0] == 0
    assert read_imported(home, "porch")[0].temp_c.size == 48


@pytest.mark.parametrize(
    ("options", "says"),
    [
        (["--columns", "time=Date Time,temp=Temperature"], "--input-units"),
        ([*DECLARED], "--zone"),
        (["--zone", "UTC"], "--columns"),
        ([*DECLARED[:2], "--input-units", "k", "--zone", "UTC"], "--input-units k"),
        (["--columns", "temp=Temperature", "--input-units", "f", "--zone", "UTC"], "time"),
        (["--columns", "heat=T", "--input-units", "f", "--zone", "UTC"], "'heat=T'"),
        ([*DECLARED, "--zone", "Mars/Olympus"], "Mars/Olympus"),
    ],
)
def test_half_a_declaration_is_one_sentence_that_says_what_is_missing(
    capsys: pytest.CaptureFixture[str], log: Path, home: Path, options: list[str], says: str
) -> None:
    """Nothing is guessed that would change a number, and nothing is kept."""
    code, out, err = run(capsys, str(log), *options)
    assert (code, out) == (2, "")
    assert len(err.strip().splitlines()) == 1, err
    assert says in err
    assert list_imported(home) == ()


def test_the_programs_own_form_is_read_in_fahrenheit_where_that_is_declared(
    capsys: pytest.CaptureFixture[str], tmp_path: Path, home: Path
) -> None:
    """No columns need declaring; undeclared it is refused, and both options are named."""
    path = tmp_path / "porch.csv"
    hours = (f"2024-07-{day:02d} {hour:02d}:00,{60 + hour}" for day in (1, 2) for hour in range(24))
    path.write_text("\n".join(["time,temp", *hours, ""]), encoding="utf-8")
    code, _, err = run(capsys, str(path))
    assert code == 1
    assert "--record-unit f" in err
    assert "--input-units f" in err
    code, _, err = run(capsys, str(path), "--input-units", "f")
    assert code == 0, err
    assert "Unit of temperature: °F, converted to °C." in err
    assert read_imported(home, "porch")[0].temp_c[8] == pytest.approx(20.0)  # 68 °F


def test_day_and_month_that_nothing_tells_apart_are_declared(
    capsys: pytest.CaptureFixture[str], tmp_path: Path, home: Path
) -> None:
    """With --time-format the same file is read."""
    path = tmp_path / "short.csv"
    path.write_text("When,T\n02/03/2024 10:00,11\n02/03/2024 11:00,12\n", encoding="utf-8")
    declared = [str(path), "--columns", "time=When,temp=T", "--input-units", "c", "--zone", "UTC"]
    code, _, err = run(capsys, *declared)
    assert code == 1, err
    code, _, err = run(capsys, *declared, "--time-format", "%d/%m/%Y %H:%M")
    assert code == 0, err
    record, _ = read_imported(home, "short")
    assert np.datetime64(record.start_hour, "h") == np.datetime64("2024-03-02T10", "h")


def test_plain_files_tell_what_was_understood_as_well(
    capsys: pytest.CaptureFixture[str], tmp_path: Path
) -> None:
    """A file in our own form needs no declaration, and is explained all the same."""
    path = tmp_path / "porch.csv"
    path.write_text("time,temp\n2024-01-01 00:00,4\n2024-01-01 01:00,5\n", encoding="utf-8")
    code, out, err = run(capsys, str(path))
    assert code == 0
    assert "Period: 2024-01-01 00:00 to 2024-01-01 01:00 UTC." in err
    assert "understood" not in out


def test_column_names_may_hold_commas_and_equal_signs() -> None:
    """A comma parts two columns only where a known name and its sign follow."""
    found = parse_columns("time=Date, time , temp=T (a=b), °C,rhum=RH")
    assert found == {"time": "Date, time", "temp": "T (a=b), °C", "rhum": "RH"}
    with pytest.raises(OptionError, match="temp is named twice"):
        parse_columns("time=A,temp=B,temp=C")


def test_a_log_in_fahrenheit_declared_as_celsius_is_refused_by_its_place(
    capsys: pytest.CaptureFixture[str], tmp_path: Path, home: Path
) -> None:
    """A cool winter, 28 to 44 °F: in °C no January at 50° N is so warm. Nothing is kept."""
    first = datetime(2024, 1, 1)  # noqa: DTZ001  (a logger's clock knows no zone)
    lines = ["time,temp"]
    for hour in range(31 * 24):
        at = first + timedelta(hours=hour)
        lines.append(f"{at:%Y-%m-%d %H:%M},{36 - 8 * math.cos(2 * math.pi * at.hour / 24):.1f}")
    path = tmp_path / "porch.csv"
    path.write_text("\n".join(lines) + "\n")
    code, _, err = run(capsys, str(path), "--at", "50,8.6,100")
    assert code == 1
    assert "looks like Fahrenheit" in err
    assert list_imported(home) == ()
    code, _, err = run(capsys, str(path), "--at", "50,8.6,100", "--input-units", "f")
    assert code == 0, err


def test_hours_that_have_not_been_are_refused(
    capsys: pytest.CaptureFixture[str], tmp_path: Path, home: Path
) -> None:
    """A mistyped year would make the record end in it."""
    path = tmp_path / "porch.csv"
    path.write_text("time,temp\n2098-12-31 23:00,1\n2099-01-01 00:00,2\n")
    code, _, err = run(capsys, str(path), "--at", "50,8.6,100")
    assert code == 1
    assert "has not been yet" in err
    assert list_imported(home) == ()


def test_a_record_imported_without_a_position_is_judged_where_it_is_used(
    capsys: pytest.CaptureFixture[str], tmp_path: Path
) -> None:
    """Its months are held against the latitude that is named later."""
    path = tmp_path / "porch.csv"
    lines = [
        f"2024-01-{1 + hour // 24:02d} {hour % 24:02d}:00,35.{hour % 10}" for hour in range(600)
    ]
    path.write_text("time,temp\n" + "\n".join(lines) + "\n")
    assert run(capsys, str(path))[0] == 0
    with pytest.raises(SystemExit) as left:
        main(["check", "--record", "porch", "--at", "50,8.6,100", "--group", "nobile"])
    assert left.value.code == 1
    assert "looks like Fahrenheit" in capsys.readouterr().err


def minute_log(folder: Path) -> Path:
    """Three weeks of invented minutes in the CSV form."""
    lines = ["time,temp"]
    first = datetime(2024, 6, 1)  # noqa: DTZ001  (UTC, without its mark)
    for minute in range(21 * 1440):
        at = first + timedelta(minutes=minute)
        temp = 15 - 5 * math.cos(2 * math.pi * (at.hour + at.minute / 60 - 3) / 24)
        lines.append(f"{at:%Y-%m-%d %H:%M},{temp:.2f}")
    path = folder / "minutes.csv"
    path.write_text("\n".join(lines) + "\n")
    return path


def test_a_minute_log_is_read_by_import_and_by_record_alike(
    capsys: pytest.CaptureFixture[str], tmp_path: Path, home: Path
) -> None:
    """Means of the hours, and the lowest beside them, kept in the store too."""
    path = minute_log(tmp_path)
    code, _, err = run(capsys, str(path), "--at", "50,8.6,100", "--name", "porch")
    assert code == 0, err
    assert "A reading every 1 min: each hour is the mean" in err
    record, _ = read_imported(home, "porch")
    assert record.lowest_c is not None
    assert np.nanmin(record.lowest_c) < np.nanmin(record.temp_c)
    documents = []
    for named in (["--record", str(path), "--at", "50,8.6,100"], ["--record", "porch"]):
        with pytest.raises(SystemExit) as left:
            main(["check", *named, "--group", "nobile", "--json"])
        assert left.value.code in (None, 0)
        documents.append(json.loads(capsys.readouterr().out))
    assert documents[0]["record"]["hours_valid"] == documents[1]["record"]["hours_valid"]
    assert documents[0]["results"] == documents[1]["results"]


def test_a_large_file_says_how_it_opens_at_once(
    capsys: pytest.CaptureFixture[str], tmp_path: Path, monkeypatch: pytest.MonkeyPatch
) -> None:
    """What `weather import` can is told where it would help, and only there."""
    path = minute_log(tmp_path)
    for most, told in ((10**9, False), (1000, True)):
        monkeypatch.setattr(sources, "LARGE_BYTES", most)
        with pytest.raises(SystemExit):
            main(["check", "--record", str(path), "--at", "50,8.6,100", "--group", "nobile"])
        assert ("`suitability weather import` reads it once" in capsys.readouterr().err) is told
