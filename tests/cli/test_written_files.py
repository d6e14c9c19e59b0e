"""Calendars, workbooks, tables and pictures as a user asks for them on the command line."""

from __future__ import annotations

import csv
from datetime import UTC, date, datetime, timedelta
from pathlib import Path
from typing import Any

import openpyxl
import pytest

from .running import LOS_ANGELES, running

pytestmark = pytest.mark.slow

ROOT = Path(__file__).parents[2]
DATA = ROOT / "tests" / "data"
PORTO_ALEGRE = ["--record", str(DATA / "porto_alegre.hourly"), "--at", "-30.0,-51.18,4"]
MANAUS = ["--record", str(DATA / "manaus.hourly"), "--at", "-3.04,-60.05,80"]
TWO = ["--group", "phalaenanthe", "--group", "nobile"]


run = running()


def events_of(file: Path) -> dict[str, Any]:
    """
    Events by their titles; a phase that comes twice a year has a number at its end.

    A second reader finds the same events.
    """
    import vobject
    from icalendar import Calendar

    events: dict[str, Any] = {}
    for event in Calendar.from_ical(file.read_bytes()).walk("VEVENT"):
        title = str(event["summary"])
        events[f"{title} 2" if title in events else title] = event
    theirs = vobject.readOne(file.read_bytes().decode("utf-8")).vevent_list
    assert {one.uid.value: (one.dtstart.value, hasattr(one, "rrule")) for one in theirs} == {
        str(one["uid"]): (one.decoded("dtstart"), "rrule" in one) for one in events.values()
    }
    assert len(theirs) == len(events)
    return events


def days_of(events: dict[str, Any], title: str) -> tuple[date, date]:
    """First and last day of the event whose title begins so."""
    (event,) = [event for name, event in events.items() if name.startswith(title)]
    return event.decoded("dtstart"), event.decoded("dtend") - timedelta(days=1)


def test_the_calendar_has_the_dates_of_moves_and_year(
    capsys: pytest.CaptureFixture[str], tmp_path: Path
) -> None:
    """A season in the south, across New Year: the calendar, the table and the weeks agree."""
    file, tables = tmp_path / "moves.ics", tmp_path / "tables"
    tables.mkdir()
    asked = ["--ics", str(file), "--from", "2026-11-25", "--tables", str(tables)]
    code, out, err = run(capsys, "moves", *PORTO_ALEGRE, *TWO, *asked, "--json")
    assert code == 0
    assert out.startswith("{")
    assert f"Wrote {file}" in err
    events = events_of(file)
    with (tables / "results.csv").open(encoding="utf-8-sig", newline="") as stream:
        row = next(csv.DictReader(stream))
    assert month_day(row, "season_in") < month_day(row, "season_out")
    out_day, last_of_hardening = days_of(events, "Move out and harden: Phalaenanthe")
    assert (out_day.month, out_day.day) == month_day(row, "out_promised")
    assert (last_of_hardening - out_day).days == 13
    in_day, _ = days_of(events, "Carry in before sunset: Phalaenanthe")
    assert (in_day.month, in_day.day) == month_day(row, "in_promised")
    assert date(2026, 11, 25) < in_day < out_day  # it is out by now, and comes in first
    first, last = days_of(events, "Out early only by the forecast: Phalaenanthe")
    assert (first.month, first.day) == month_day(row, "out_watch_from")
    assert (last.month, last.day) == month_day(row, "out_watch_to")

    asked = ["--ics", str(file), "--from", "2026-11-25", "--tables", str(tables)]
    code, _, _ = run(capsys, "year", *PORTO_ALEGRE, *TWO, *asked)
    events = events_of(file)
    with (tables / "results changes.csv").open(encoding="utf-8-sig", newline="") as stream:
        changes = {
            (row["group"], row["phase"]): (int(row["month"]), int(row["day"]))
            for row in csv.DictReader(stream)
        }
    rest, _ = days_of(events, "Rest begins: Nobile")
    assert (rest.month, rest.day) == changes["nobile", "resting"]
    waking, _ = days_of(events, "Rest ends. Waking: Nobile")
    assert (waking.month, waking.day) == changes["nobile", "waking"]


def month_day(row: dict[str, str], name: str) -> tuple[int, int]:
    """Month and day of a day of the year, from its two columns."""
    return int(row[f"{name}_month"]), int(row[f"{name}_day"])


def test_moves_and_care_have_calendars_of_their_own(
    capsys: pytest.CaptureFixture[str], tmp_path: Path
) -> None:
    """No event stands in both, so that both may be imported."""
    files = {}
    for command in ("moves", "year"):
        files[command] = tmp_path / f"{command}.ics"
        asked = ["--ics", str(files[command]), "--from", "2026-11-25"]
        assert run(capsys, command, *LOS_ANGELES, *TWO, *asked)[0] == 0
    moved, cared = events_of(files["moves"]), events_of(files["year"])
    assert {str(event.get("categories").to_ical(), "utf-8") for event in inner(moved)} == {
        "move",
        "watch",
    }
    assert {str(event.get("categories").to_ical(), "utf-8") for event in inner(cared)} == {
        "rest",
        "feed",
    }
    assert not {str(event["uid"]) for event in moved.values()} & {
        str(event["uid"]) for event in cared.values()
    }


def inner(events: dict[str, Any]) -> list[Any]:
    """All but the first and the last, which are about the calendar."""
    return list(events.values())[1:-1]


@pytest.mark.parametrize("years", ["2018-2021", "2015-2019"])
@pytest.mark.parametrize("command", ["moves", "year"])
def test_a_short_record_gives_twelve_months(
    capsys: pytest.CaptureFixture[str], tmp_path: Path, years: str, command: str
) -> None:
    """Four and five years, dates that heat sets among them: each event once, and a word why."""
    file = tmp_path / "short.ics"
    asked = [
        *("--group", "phalaenanthe", "--group", "masdevallia", "--group", "coelogyne-cool"),
        *("--years", years, "--ics", str(file), "--from", "2026-12-20"),
    ]
    assert run(capsys, command, *LOS_ANGELES, *asked)[0] == 0
    events = events_of(file)
    assert not [title for title, event in events.items() if "rrule" in event]
    for event in inner(events):
        assert event.decoded("dtstart") <= date(2027, 12, 20)
        assert "Not repeated: fewer than ten years of weather" in event["description"]
    about = str(next(iter(events.values()))["description"])
    assert len(events) > 2
    assert "Nothing in it repeats, it is for the next 12 months only: fewer than ten" in about
    heat = [title for title in events if title.startswith("Carry in before the heat")]
    assert bool(heat) == (command == "moves")


def test_too_short_a_record_gives_reasons(
    capsys: pytest.CaptureFixture[str], tmp_path: Path
) -> None:
    """Three calendar years are two plant years: no events, and the reason of each group."""
    file = tmp_path / "short.ics"
    asked = [*TWO, "--years", "2018-2020", "--ics", str(file)]
    for command, reason in (("moves", "No moving dates for"), ("year", "No phases for")):
        assert run(capsys, command, *LOS_ANGELES, *asked)[0] == 0
        about, _ = events_of(file).values()
        for group in ("phalaenanthe", "nobile"):
            (line,) = [
                line
                for line in str(about["description"]).splitlines()
                if line.startswith(f"{reason} {group}: ")
            ]
            assert "2 usable plant years" in line


def test_few_years_are_not_repeated_and_many_are(
    capsys: pytest.CaptureFixture[str], tmp_path: Path
) -> None:
    """Nine usable years at Los Angeles are provisional, seventeen at Porto Alegre are not."""
    for source, repeated in ((LOS_ANGELES, False), (PORTO_ALEGRE, True)):
        file, asked = tmp_path / "one.ics", ["--group", "phalaenanthe"]
        assert run(capsys, "moves", *source, *asked, "--ics", str(file))[0] == 0
        moved = [event for name, event in events_of(file).items() if "harden" in name]
        assert [("rrule" in event) for event in moved] == [repeated]


def test_where_nothing_moves_the_calendar_says_so(
    capsys: pytest.CaptureFixture[str], tmp_path: Path
) -> None:
    """Manaus: no winter, no season."""
    file = tmp_path / "manaus.ics"
    code, _, _ = run(capsys, "moves", *MANAUS, *TWO, "--ics", str(file), "--from", "2027-01-01")
    assert code == 0
    events = events_of(file)
    assert len(events) == 2
    about = str(next(iter(events.values()))["description"])
    assert "No moving dates for nobile: outdoor-all-year" in about
    code, _, _ = run(capsys, "year", *MANAUS, *TWO, "--ics", str(file), "--from", "2027-01-01")
    events = events_of(file)
    assert len(events) == 2
    about = str(next(iter(events.values()))["description"])
    assert "No phases for nobile: nothing changes through the year." in about


def test_same_files_for_the_same_question(
    capsys: pytest.CaptureFixture[str], tmp_path: Path
) -> None:
    """Byte for byte, on whatever day it is asked."""
    made = []
    for name in ("one", "two"):
        calendar, book = tmp_path / f"{name}.ics", tmp_path / f"{name}.xlsx"
        asked = ["--ics", str(calendar), "--from", "2027-03-01", "--xlsx", str(book)]
        assert run(capsys, "moves", "--demo", *TWO, *asked)[0] == 0
        made.append((calendar.read_bytes(), book.read_bytes()))
    assert made[0] == made[1]


def test_the_calendar_begins_today_unless_told(
    capsys: pytest.CaptureFixture[str], tmp_path: Path
) -> None:
    """Today at the place, in standard time; the demo place is an hour behind UTC."""
    file = tmp_path / "today.ics"
    before = (datetime.now(UTC) - timedelta(hours=1)).date()
    assert run(capsys, "moves", "--demo", *TWO, "--ics", str(file))[0] == 0
    after = (datetime.now(UTC) - timedelta(hours=1)).date()
    assert before <= days_of(events_of(file), "About")[0] <= after


def test_a_plant_of_a_collection_has_its_own_events(
    capsys: pytest.CaptureFixture[str], tmp_path: Path
) -> None:
    """Its state passes: its dates are not repeated; those of a settled plant are."""
    collection = tmp_path / "plants.toml"
    collection.write_text(
        '[[spot]]\nname = "porch, east; upper"\n'
        '[[plant]]\nname = "=cmd, old; one"\ngroup = "phalaenanthe"\n'
        'spot = "porch, east; upper"\nfirst_winter = true\n'
        '[[plant]]\nname = "settled"\ngroup = "phalaenanthe"\nspot = "porch, east; upper"\n',
        encoding="utf-8",
    )
    file = tmp_path / "plants.ics"
    asked = ["--collection", str(collection), "--ics", str(file)]
    code, _, err = run(capsys, "moves", *PORTO_ALEGRE, *asked)
    assert code == 0, err
    events = events_of(file)
    name = "=cmd, old; one (porch, east; upper)"
    own = events[f"Move out and harden: {name}"]
    assert str(own["location"]) == "porch, east; upper, Porto Alegre"
    assert "rrule" not in own
    assert "present state" in str(own["description"])
    assert "rrule" in events["Move out and harden: settled (porch, east; upper)"]


def test_a_collection_s_calendar_holds_only_what_stands_there(
    capsys: pytest.CaptureFixture[str], tmp_path: Path
) -> None:
    """A plant on the porch, one anywhere: no events of the other groups, none elsewhere."""
    collection, file = tmp_path / "plants.toml", tmp_path / "plants.ics"
    collection.write_text(
        '[[spot]]\nname = "porch"\n[[spot]]\nname = "balcony"\n'
        '[[plant]]\nname = "one"\ngroup = "phalaenanthe"\nspot = "porch"\n'
        '[[plant]]\nname = "two"\ngroup = "dendrocoryne"\n',
        encoding="utf-8",
    )
    for command in ("moves", "year"):
        asked = ["--collection", str(collection), "--ics", str(file)]
        assert run(capsys, command, *PORTO_ALEGRE, *asked)[0] == 0
        events = events_of(file)
        about = str(events.pop(next(iter(events)))["description"])
        told = {name for title in events for name in title.partition(": ")[2].split(", ")}
        loose = {"two (porch)", "two (balcony)"}  # which moves nowhere
        assert told - {"Plant moves at Porto Alegre", "Plant care at Porto Alegre"} == (
            {"one (porch)"} | (loose if command == "year" else set())
        )
        assert ("No moving dates for two, balcony" in about) == (command == "moves")
        assert "masdevallia" not in about


@pytest.mark.parametrize("command", ["check", "moves", "year"])
def test_the_workbook_and_the_tables_hold_the_same(
    capsys: pytest.CaptureFixture[str], tmp_path: Path, command: str
) -> None:
    """Every sheet is a file too, with as many rows and columns."""
    book = tmp_path / "all.xlsx"
    asked = ["--xlsx", str(book), "--tables", str(tmp_path)]
    code, _, err = run(capsys, command, *LOS_ANGELES, *TWO, *asked)
    assert code == 0
    pages = openpyxl.load_workbook(book)
    assert len(pages.sheetnames) > 2
    for page in pages:
        file = tmp_path / f"{page.title}.csv"
        assert f"Wrote {file}" in err
        with file.open(encoding="utf-8-sig", newline="") as stream:
            rows = list(csv.reader(stream, strict=True))
        assert (len(rows), len(rows[0])) == (page.max_row, page.max_column)


@pytest.mark.usefixtures("browser")
def test_pictures_are_named_after_their_charts(
    capsys: pytest.CaptureFixture[str], tmp_path: Path
) -> None:
    """Drawn by the real browser."""
    target = tmp_path / "year.svg"
    code, _, err = run(capsys, "check", "--demo", *TWO, "--figure", str(target))
    assert code == 0, err
    assert {file.name for file in tmp_path.iterdir()} == {"year-year.svg", "year-hours.svg"}
    assert b"INVENTED demo place" in (tmp_path / "year-hours.svg").read_bytes()


def test_without_a_browser_nothing_is_begun(
    capsys: pytest.CaptureFixture[str], tmp_path: Path, monkeypatch: pytest.MonkeyPatch
) -> None:
    """One sentence, exit code 1, and no file."""
    monkeypatch.setenv("BROWSER_PATH", "nowhere/chromium")
    asked = ["--figure", str(tmp_path / "x.png"), "--csv", str(tmp_path / "x.csv")]
    code, out, err = run(capsys, "check", "--demo", *asked)
    assert (code, out) == (1, "")
    (line,) = err.strip().splitlines()
    assert "nowhere/chromium does not exist; install Chromium" in line
    assert list(tmp_path.iterdir()) == []


@pytest.mark.parametrize(
    ("arguments", "code", "part"),
    [
        (["moves", "--ics", "-"], 2, "--ics -: name a file that ends in .ics"),
        (["moves", "--ics", "moves.txt"], 2, "ends in .ics"),
        (["moves", "--ics", "x.html"], 2, "--ics x.html: name a file that ends in .ics"),
        (["check", "--chart", "x.txt"], 2, "--chart x.txt: name a file that ends in .html or .htm"),
        (["year", "--csv", "x.json"], 2, "--csv x.json: name a file that ends in .csv or .txt"),
        (["check", "--xlsx", "x.csv"], 2, "--xlsx x.csv: name a file that ends in .xlsx"),
        (["compare", "--chart", "x.pdf"], 2, "ends in .html"),
        (["compare", "--csv", "x.xlsx"], 2, "ends in .csv"),
        (["cards", "--out", "x.pdf"], 2, "ends in .html or .htm; for a PDF say --pdf."),
        (["cards", "--pdf", "x.html"], 2, "ends in .pdf; for a page say --out."),
        (["report", "--out", "x.pdf"], 2, "--out x.pdf: name a file that ends in .html or .htm"),
        (["check", "--xlsx", "-"], 2, "--xlsx -: name a file that ends in .xlsx"),
        (["check", "--xlsx", "check.xls"], 2, "ends in .xlsx"),
        (["year", "--figure", "year.pdf"], 2, "ends in .png or .svg"),
        (["moves", "--ics", "gone/moves.ics"], 1, "does not exist; create it first"),
        (["check", "--xlsx", "gone/check.xlsx"], 1, "does not exist; create it first"),
        (["check", "--tables", "gone"], 1, "--tables gone: is no folder; create it first"),
        (["moves", "--from", "2027-01-01"], 2, "name its file with --ics"),
        (["moves", "--ics", "m.ics", "--from", "01-31"], 2, "expected a date YYYY-MM-DD"),
        (["moves", "--ics", "m.ics", "--from", "0000-01-31"], 2, "expected a date YYYY-MM-DD"),
        (["moves", "--ics", "m.ics", "--from", "2026-13-01"], 2, "there is no month 13"),
        (["moves", "--ics", "m.ics", "--from", "2026-00-01"], 2, "there is no month 0"),
        (["moves", "--ics", "m.ics", "--from", "2026-04-00"], 2, "has 30 days and no day 0"),
        (["year", "--ics", "m.ics", "--from", "2027-02-29"], 2, "has 28 days and no day 29"),
        (["year", "--ics", "m.ics", "--from", "0001-01-01"], 2, "from 1900-01-01"),
        (["check", "--groups-file", "own.ics.xlsx", "--xlsx", "own.ics.xlsx"], 2, "same file as"),
        (["moves", "--csv", "a", "--chart", "a"], 2, "same file as --csv a"),
        (["moves", "--csv", "a.csv", "--tables", "."], 2, "holds --csv a.csv"),
        (["moves", "--groups-file", "own.csv", "--tables", "."], 2, "holds --groups-file own.csv"),
    ],
)  # fmt: skip
def test_mistakes_are_one_sentence_and_leave_no_file(
    *,
    capsys: pytest.CaptureFixture[str],
    tmp_path: Path,
    monkeypatch: pytest.MonkeyPatch,
    arguments: list[str],
    code: int,
    part: str,
) -> None:
    """What was found and what would be right; nothing is written."""
    monkeypatch.chdir(tmp_path)
    found, out, err = run(capsys, arguments[0], "--demo", *arguments[1:])
    assert (found, out) == (code, "")
    (line,) = err.strip().splitlines()
    assert line.startswith("suitability: ")
    assert part in line
    assert list(tmp_path.iterdir()) == []
