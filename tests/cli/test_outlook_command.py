"""`suitability outlook` as a user, or a scheduler, types it, at a real record."""

from __future__ import annotations

import json
import re
from datetime import UTC, datetime, timedelta
from pathlib import Path

import numpy as np
import pytest
from icalendar import Calendar

from .running import keeps_schema, running

DATA = Path(__file__).parents[1] / "data"
COLLECTION = f"""
[place]
name = "balcony"
at = "33.938,-118.389,30"
record = "{DATA / "los_angeles.hourly"}"
[[spot]]
name = "patio"
roofed = true
[[spot]]
name = "indoors"
kind = "room"
[[plant]]
name = "white"
group = "phalaenanthe"
number = 3
spot = "indoors"
[[plant]]
name = "old one"
group = "nobile"
spot = "patio"
"""
NOW = "2014-12-30T14"  # standard time, eight hours behind UTC


@pytest.fixture
def file(tmp_path: Path, monkeypatch: pytest.MonkeyPatch) -> Path:
    monkeypatch.setenv("SUITABILITY_HOME", str(tmp_path / "home"))
    path = tmp_path / "mine.toml"
    path.write_text(COLLECTION, "utf-8")
    return path


def forecast(file: Path, low_c: float, *, days: int = 4, first: int = 30) -> Path:
    """Days of 16 °C with nights of a low from 22 to 7 o'clock, local standard time."""
    path = file.with_name("week.csv")
    start = datetime(2014, 12, first, 22, tzinfo=UTC)
    hours = np.arange(24 * days)
    local = (hours + 14) % 24
    temp_c = np.where((local >= 22) | (local < 7), low_c, 16.0)
    rows = [
        f"{start + timedelta(hours=int(hour)):%Y-%m-%dT%H:%M},{value:.1f}"
        for hour, value in zip(hours, temp_c, strict=True)
    ]
    path.write_text("\n".join(["time,temp", *rows]), "utf-8")
    return path


run = running("outlook")


@pytest.mark.parametrize(
    ("low_c", "code", "told"),
    [
        (12.0, 0, "Nothing must move tonight, and no night of the forecast asks for it."),
        (-3.0, 3, "Tonight move old one (patio)."),
        (None, 4, "Whether anything must move tonight cannot be told: there is no forecast."),
    ],
)
def test_a_scheduler_can_ring(
    file: Path, capsys: pytest.CaptureFixture[str], low_c: float | None, code: int, told: str
) -> None:
    """By the exit code alone, which is 0 where it is not asked for; the answer stands first."""
    given = () if low_c is None else ("--forecast", forecast(file, low_c))
    asked = ("--collection", file, "--on", NOW, *given)
    assert run(capsys, *asked, "--alert-exit")[0] == code
    quiet, out, err = run(capsys, *asked)
    assert (quiet, err) == (0, "")
    assert out.splitlines()[0] == told


def test_a_stale_forecast_rings_and_says_so(file: Path, capsys: pytest.CaptureFixture[str]) -> None:
    """Begun 27 hours before; a partial one too."""
    stale = forecast(file, 12.0, first=29)
    asked = ("--collection", file, "--alert-exit", "--forecast")
    code, out, _ = run(capsys, *asked, stale, "--on", "2014-12-30T17")
    assert code == 4
    assert "27 hours old" in " ".join(out.split())
    _, out, _ = run(capsys, *asked, stale, "--on", "2015-01-02T14")
    assert "The forecast is 4 days old, and the weather may have turned" in " ".join(out.split())
    code, out, _ = run(capsys, *asked, forecast(file, 12.0, days=1), "--on", NOW)
    assert code == 4
    assert "does not hold every hour" in " ".join(out.split())


@pytest.mark.parametrize(
    ("plant", "why"),
    [
        ('group = "nobile"\nspot = "loft"', "not every plant of the file can be read"),
        ('group = "nobile"', "it is not said where every plant stands"),
    ],
)
def test_a_plant_that_was_not_judged_is_the_reason_and_the_others_are_told(
    file: Path, capsys: pytest.CaptureFixture[str], plant: str, why: str
) -> None:
    """Rather than that hours are missing, of which none is."""
    file.write_text(f'{COLLECTION}[[plant]]\nname = "odd"\n{plant}\n', "utf-8")
    given = ("--collection", file, "--forecast", forecast(file, 12.0), "--on", NOW)
    code, out, _ = run(capsys, *given, "--alert-exit")
    told = " ".join(out.split())
    assert code == 4
    assert told.startswith(
        f"Whether anything must move tonight cannot be told: {why}; for the others nothing must "
        "move."
    )
    assert "odd" in told


def test_a_forecast_that_begins_days_ahead_is_said_to(
    file: Path, capsys: pytest.CaptureFixture[str]
) -> None:
    """It is not "of today"."""
    given = ("--collection", file, "--forecast", forecast(file, 12.0, first=30), "--alert-exit")
    code, out, _ = run(capsys, *given, "--on", "2014-12-27T14")
    told = " ".join(out.split())
    assert code == 4
    assert told.startswith(
        "Whether anything must move tonight cannot be told: the forecast begins only on 30 "
        "December 2014 22:00 UTC."
    )
    assert "only from 30 December 2014 22:00 UTC on, up to" in told
    assert "27 December 2014 22:00 UTC, up to" not in told


def test_document_message_and_calendar_say_the_same(
    file: Path, capsys: pytest.CaptureFixture[str]
) -> None:
    """Move the old one tonight, and to where; the document keeps its schema."""
    message, ics = file.with_name("m.txt"), file.with_name("m.ics")
    code, out, err = run(
        capsys,
        *("--collection", file, "--forecast", forecast(file, -3.0), "--on", NOW),
        *("--json", "--message", message, "--ics", ics, "--alert-exit"),
    )
    assert (code, err.count("Wrote")) == (3, 2)
    document = json.loads(out)
    keeps_schema(document, "outlook")
    assert (document["alert"], document["tonight"]) == ("move", "2014-12-30")
    assert document["plants"][0]["plants"] == ["old one"]
    assert document["plants"][0]["would_do"] == ["indoors"]
    assert document["plants"][1]["act"] == "nothing"
    assert message.read_text("utf-8").startswith("Tonight move old one (patio).\n")
    (event,) = Calendar.from_ical(ics.read_bytes()).walk("VEVENT")
    assert event["SUMMARY"] == "Move old one (patio)"
    assert b"DTSTART;VALUE=DATE:20141230\r\n" in ics.read_bytes()


def test_a_spot_where_nothing_stands_tonight_is_told(
    file: Path, capsys: pytest.CaptureFixture[str]
) -> None:
    """Rather than that nothing must move."""
    rows = "date,plant,what,words,lowest_c,spot\n2014-12-29,old one,move,,,indoors\n"
    file.with_name("mine.diary.csv").write_text(rows, "utf-8")
    given = ("--collection", file, "--forecast", forecast(file, -3.0), "--on", NOW)
    code, out, err = run(capsys, *given, "--spot", "patio", "--alert-exit")
    assert (code, out) == (1, "")
    assert 'stands at "patio" tonight' in err


def test_every_unit_and_detail(file: Path, capsys: pytest.CaptureFixture[str]) -> None:
    """-3 °C is 26.6 °F; with --details each night at each spot."""
    given = ("--collection", file, "--forecast", forecast(file, -3.0), "--on", NOW)
    code, out, _ = run(capsys, *given, "--units", "f", "--details")
    assert code == 0
    assert "26.6 °F" in out
    assert "Night by night" in out
    assert "°C" not in out.split("Forecast:")[0]


def test_a_rest_that_is_met_is_told_as_met(file: Path, capsys: pytest.CaptureFixture[str]) -> None:
    """By its nights and hours beside what is needed; one under way as so many of so many."""
    path = forecast(file, 12.0)
    given = ("--collection", file, "--forecast", path)
    told = " ".join(run(capsys, *given, "--on", NOW)[1].split())
    assert re.search(r"rest met \(\d+ nights, 21 needed; 5\d\d cool hours, 504 needed\)", told)
    told = " ".join(run(capsys, *given, "--on", "2014-12-12T14")[1].split())
    assert re.search(r"rest \d+ of 21 nights and [1-4]?\d?\d of 504 cool hours", told)


def test_what_a_name_was_taken_for_is_told(file: Path, capsys: pytest.CaptureFixture[str]) -> None:
    """A slip of a letter, and a hybrid whose group is a guess."""
    given = ("--collection", file, "--forecast", forecast(file, 12.0), "--on", NOW)
    code, out, _ = run(capsys, *given, "--group", "nobil", "--group", "nobile x bigibbum")
    told = " ".join(out.split())
    assert code == 0
    assert '"nobil"' in told
    assert "* " in told


def test_the_diary_moves_a_plant(file: Path, capsys: pytest.CaptureFixture[str]) -> None:
    """Carried in the day before: nothing must move."""
    rows = "date,plant,what,words,lowest_c,spot\n2014-12-29,old one,move,,,indoors\n"
    file.with_name("mine.diary.csv").write_text(rows + "2014-12-29,gone,damage,,,\n", "utf-8")
    given = ("--collection", file, "--forecast", forecast(file, -3.0), "--on", NOW)
    code, out, _ = run(capsys, *given, "--alert-exit")
    assert code == 0
    assert out.startswith("Nothing must move tonight")
    assert 'line 3, plant: found "gone"' in " ".join(out.split())


@pytest.mark.parametrize("row", ["white,move,,,pation", "whit,move,,,patio", "white,moev,,,patio"])
def test_a_row_that_may_have_moved_a_plant_rings(
    file: Path, capsys: pytest.CaptureFixture[str], row: str
) -> None:
    """A misspelt spot, plant or kind: the white one may stand out in the cold."""
    diary = file.with_name("mine.diary.csv")
    diary.write_text(f"date,plant,what,words,lowest_c,spot\n2014-12-29,{row}\n", "utf-8")
    given = ("--collection", file, "--on", NOW, "--alert-exit", "--forecast")
    code, out, _ = run(capsys, *given, forecast(file, 12.0))
    told = " ".join(out.split())
    assert code == 4
    assert told.startswith("Whether anything must move tonight cannot be told: a row of the diary")
    assert "for the others nothing must move." in told
    code, out, _ = run(capsys, *given, forecast(file, -3.0))
    told = " ".join(out.split())
    assert code == 3
    assert told.startswith("Tonight move old one (patio); not every plant could be judged: a row")


def test_a_forecast_in_fahrenheit_is_refused_with_its_own_option(
    file: Path, capsys: pytest.CaptureFixture[str]
) -> None:
    """Nights of 52 °F (11 °C) and days of 70: with the option it is read."""
    path = forecast(file, 52.0)
    path.write_text(path.read_text("utf-8").replace(",16.0", ",70.0"), "utf-8")
    given = ("--collection", file, "--forecast", path, "--on", NOW)
    code, out, err = run(capsys, *given)
    assert (code, out) == (1, "")
    assert "a forecast with --forecast-unit f" in err
    assert run(capsys, *given, "--forecast-unit", "f")[0] == 0


@pytest.mark.parametrize(
    ("arguments", "code", "told"),
    [
        (("--on", "yesterday"), 2, "--on"),
        (("--on", "2014-12-30T25"), 2, "--on 2014-12-30T25"),
        (("--on", "1950-01-01"), 1, "The record has no hours"),
        (("--on", NOW, "--forecast", "none.csv"), 1, "none.csv"),
        (("--on", NOW, "--forecast-unit", "f"), 2, "--forecast-unit"),
        (("--on", NOW, "--spot", "pation"), 1, "Near: patio"),
        (("--on", NOW, "--group", "turnip"), 1, "turnip"),
        (("--on", NOW, "--message", "nowhere/m.txt"), 1, "nowhere"),
    ],
)
def test_a_slip_is_told_in_one_line(
    file: Path, capsys: pytest.CaptureFixture[str], arguments: tuple[str, ...], code: int, told: str
) -> None:
    found = run(capsys, "--collection", file, *arguments)
    assert (found[0], found[1]) == (code, "")
    assert told in found[2]
    assert len(found[2].splitlines()) == 1
