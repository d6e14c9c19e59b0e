"""`suitability diary` as a user types it, at a real record."""

from __future__ import annotations

import json
from pathlib import Path

import pytest

from .running import keeps_schema, running

DATA = Path(__file__).parents[1] / "data"
COLLECTION = f"""
[place]
at = "33.938,-118.389,30"
record = "{DATA / "los_angeles.hourly"}"
[[spot]]
name = "patio"
roofed = true
[[spot]]
name = "sill"
kind = "room"
[[plant]]
name = "white"   # a seedling
group = "phalaenanthe"
spot = "sill"
[[plant]]
name = "old one"
group = "nobile"
spot = "patio"
"""


@pytest.fixture
def file(tmp_path: Path) -> Path:
    path = tmp_path / "mine.toml"
    path.write_text(COLLECTION, "utf-8")
    return path


run = running("diary")


def document(text: str, name: str) -> dict[str, object]:
    """A document that keeps its schema."""
    found: dict[str, object] = json.loads(text)
    keeps_schema(found, name)
    return found


def test_notes_are_added_told_and_held_against_the_record(
    file: Path, capsys: pytest.CaptureFixture[str]
) -> None:
    """Out in May, harmed in June 2014 (a mild one): what is proposed is written only if asked."""
    at = ("--collection", file)
    code, _, told = run(
        capsys, "add", "move", "WHITE", "old one", *at, "--to", "Patio", "--date", "2014-05-01"
    )
    assert (code, "move to patio: white, old one" in told) == (0, True)
    words = ("--words", 'spots, "black"', "--lowest", "44.6", "--units", "f")
    assert run(capsys, "add", "damage", "white", *at, "--date", "2014-06-10", *words)[0] == 0
    rows = file.with_name("mine.diary.csv").read_text("utf-8").splitlines()
    assert rows[1:] == [
        "2014-05-01,white,move,,,patio",
        "2014-05-01,old one,move,,,patio",
        '2014-06-10,white,damage,"spots, ""black""",7,',
    ]
    code, out, _ = run(capsys, "now", *at, "--on", "2014-07-01", "--json")
    assert code == 0
    assert [one["spot"] for one in document(out, "diary-now")["plants"]] == ["patio"] * 2  # type: ignore[attr-defined]
    code, out, _ = run(capsys, "review", *at, "--json")
    white = document(out, "diary-review")["plants"][0]  # type: ignore[index]
    assert white["damage"][0]["sign"] == "tenderer"
    # Dry, its limit is 5 °C: a night of 7 °C is explained by a little more than 2 °C.
    assert white["proposed_c"] == 2.1
    assert file.read_text("utf-8") == COLLECTION
    code, out, told = run(capsys, "review", *at, "--apply")
    assert (code, "white +2.1 °C" in told) == (0, True)
    assert out.startswith("Notes speak for another shift: white 2.1 °C tenderer than its group.")
    changed = file.read_text("utf-8")
    assert changed == COLLECTION.replace('"sill"\n[[plant', '"sill"\nshift_c = 2.1\n[[plant')


def test_some_pots_of_a_plant_are_moved(file: Path, capsys: pytest.CaptureFixture[str]) -> None:
    """Where they stand apart is told, and so is a move that another of its day supersedes."""
    file.write_text(COLLECTION.replace('"old one"', '"old one"\nnumber = 5'), "utf-8")
    at = ("--collection", file, "--date", "2014-10-04")
    code, _, told = run(capsys, "add", "move", "old one", *at, "--to", "sill", "--number", "2")
    assert code == 0
    assert "old one on the evening of 2014-10-04: 2 at sill, 3 at patio." in told
    row = file.with_name("mine.diary.csv").read_text("utf-8").splitlines()
    assert row == [
        "date,plant,what,words,lowest_c,spot,number",
        "2014-10-04,old one,move,,,sill,2",
    ]
    onward = ("--to", "patio", "--leaving", "sill", "--number", "1")
    assert run(capsys, "add", "move", "old one", *at[:2], "--date", "2014-10-05", *onward)[0] == 0
    code, _, told = run(capsys, "add", "move", "old one", *at, "--to", "sill", "--number", "4")
    assert code == 1
    assert "move of old one on 2014-10-04, number: found 4; right would be at most 3" in told
    early = ("--to", "sill", "--number", "5", "--date", "2014-10-03")
    code, _, told = run(capsys, "add", "move", "old one", *at[:2], *early)
    assert code == 1
    assert "with this move a later one of the diary would no longer fit" in told
    code, _, told = run(capsys, "add", "move", "old one", *at, "--to", "sill")
    assert code == 0
    assert "old one: this takes the place of its other move of 2014-10-04." in told
    code, out, _ = run(capsys, "now", *at[:2], "--on", "2014-10-06")
    assert code == 0
    assert out.startswith("On 6 October 2014: 5 at sill, 1 at patio.")


@pytest.mark.parametrize(
    ("arguments", "code", "told"),
    [
        (("damage", "old oen"), 1, "Near: old one"),
        (("move", "old one", "white"), 1, "spot: found nothing"),
        (("move", "old one", "--to", "pation"), 1, "Near: patio"),
        (("repotting", "old one", "--to", "patio"), 1, 'found "patio"'),
        (("pruning", "old one"), 2, "expected damage or flowering or move or repotting"),
        (("damage", "old one", "--date", "2014-02-30"), 2, "no day 30"),
        (("damage", "old one", "--date", "2200-01-01"), 2, "lies ahead"),
        (("Damage", "old one", "--date", "1850-01-01"), 1, "date: found 1850-01-01; right would"),
        (("damage", "old one", "--lowest", "99"), 2, "--lowest 99"),
        (("damage", "white", "old one", "old"), 1, 'found "old"'),
        (("flowering", "old one", "--words", "a\nb"), 1, "a line break"),
        (("move", "old one", "white", "--to", "sill", "--number", "1"), 2, "name each by itself"),
        (("move", "old one", "--to", "sill", "--number", "2"), 1, "at most 1: no more of its pots"),
        (("move", "old one", "--to", "sill", "--leaving", "sill"), 1, "another spot"),
        (("move", "old one", "--to", "sill", "--number", "0"), 1, "number: found 0"),
        (("move", "old one", "--to", "sill", "--number", "-3"), 1, "number: found -3"),
        (("damage", "old one", "--number", "1"), 1, 'number: found "1"'),
    ],
)
def test_a_slip_is_told_and_nothing_is_noted(
    file: Path, capsys: pytest.CaptureFixture[str], arguments: tuple[str, ...], code: int, told: str
) -> None:
    """In one line; all or none of the plants named."""
    found = run(capsys, "add", *arguments, "--collection", file)
    assert (found[0], found[1]) == (code, "")
    assert told in found[2]
    assert len(found[2].splitlines()) == 1
    assert not file.with_name("mine.diary.csv").exists()


def test_a_row_that_cannot_be_used_is_told_and_left_alone(
    file: Path, capsys: pytest.CaptureFixture[str]
) -> None:
    """By `now`, with its line; adding goes on after it."""
    diary = file.with_name("mine.diary.csv")
    text = "date,plant,what,words,lowest_c,spot\n2014-01-01,gone,repotting,,,\n"
    diary.write_text(text, "utf-8")
    assert run(capsys, "add", "repotting", "white", "--collection", file)[0] == 0
    assert diary.read_text("utf-8").startswith(text)
    code, out, _ = run(capsys, "now", "--collection", file)
    assert code == 0
    assert 'mine.diary.csv, line 2, plant: found "gone"' in " ".join(out.split())
