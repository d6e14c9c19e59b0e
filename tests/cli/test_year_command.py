"""`suitability year` as a user types it: answers, files, and one sentence for each mistake."""

from __future__ import annotations

import csv
import io
import json
from pathlib import Path

import pytest

from suitability.cli.main import main

from .running import LOS_ANGELES, keeps_schema, running

pytestmark = pytest.mark.slow

ROOT = Path(__file__).parents[2]
DATA = ROOT / "tests" / "data"


run = running("year")


def test_demo_fits_80_columns_and_says_that_it_is_invented(
    capsys: pytest.CaptureFixture[str],
) -> None:
    """The whole catalogue at the invented place, offline."""
    code, out, err = run(capsys, "--demo", "--on", "11-25")
    assert (code, err) == (0, "")
    assert "\nWeek 47\n" in out
    assert max(map(len, out.splitlines())) <= 80
    code, out, err = run(capsys, "--demo", "--on", "11-25", "--details")
    assert (code, err) == (0, "")
    assert "INVENTED" in out
    assert max(map(len, out.splitlines())) <= 80
    for part in ("Week 47", "\nWeek 47\n", "What comes next", "The year", "Fertiliser"):
        assert part in out, part


@pytest.mark.parametrize("source", [["--demo"], LOS_ANGELES], ids=["demo", "real record"])
def test_json_follows_the_schema_and_stands_alone(
    capsys: pytest.CaptureFixture[str], source: list[str]
) -> None:
    """All groups, and nothing else on standard output; no day of asking is in it."""
    code, out, err = run(capsys, *source, "--json")
    assert (code, err) == (0, "")
    document = json.loads(out)
    keeps_schema(document, "year")
    assert len(document["results"]) == 28
    assert run(capsys, *source, "--json", "--on", "02-29")[1] == out


def test_it_agrees_with_moves(capsys: pytest.CaptureFixture[str]) -> None:
    """Verdict and season are those of the other commands."""
    years = json.loads(run(capsys, *LOS_ANGELES, "--json")[1])["results"]
    with pytest.raises(SystemExit):
        main(["moves", *LOS_ANGELES, "--json"])
    moves = json.loads(capsys.readouterr().out)["results"]
    for year, move in zip(years, moves, strict=True):
        assert year["verdict"] == move["verdict"]
        if move["verdict"] in {"outdoor-seasonal", "outdoor-all-year"}:
            assert year["season"] == move["season"]
        else:
            assert year["season"] is None


def test_a_day_without_a_name_is_today(capsys: pytest.CaptureFixture[str]) -> None:
    """Some week of the 52."""
    code, out, _ = run(capsys, *LOS_ANGELES, "--group", "nobile")
    assert code == 0
    (line,) = [line for line in out.splitlines() if line.startswith("Week ")][:1]
    assert 1 <= int(line.split()[1].rstrip(",")) <= 52


@pytest.mark.parametrize(
    ("day", "week"),
    [("01-01", 1), ("02-28", 9), ("02-29", 9), ("03-01", 9), ("2024-11-25", 47), ("12-31", 52)],
)
def test_the_week_of_a_day(capsys: pytest.CaptureFixture[str], day: str, week: int) -> None:
    """29 February counts as the 28th; the last week has eight days."""
    _, out, _ = run(capsys, "--demo", "--group", "nobile", "--on", day)
    assert out.startswith(f"Week {week}, ")


@pytest.mark.parametrize("day", ["13-01", "02-30", "25-11", "tomorrow", "", "2024-11-25-1"])
def test_a_day_that_is_none_is_refused_in_one_sentence(
    capsys: pytest.CaptureFixture[str], day: str
) -> None:
    """Before any work."""
    code, out, err = run(capsys, "--demo", "--on", day)
    assert (code, out) == (2, "")
    (line,) = err.strip().splitlines()
    assert line.startswith(f"suitability: --on {day}".rstrip())
    assert "MM-DD" in line


def test_the_room_is_in_the_reader_s_unit(capsys: pytest.CaptureFixture[str]) -> None:
    """53.6 °F are 12 °C; out of range is refused."""
    options = [*LOS_ANGELES, "--group", "phalaenanthe", "--json"]
    in_f = json.loads(run(capsys, *options, "--room", "53.6", "--units", "f")[1])
    in_c = json.loads(run(capsys, *options, "--room", "12")[1])
    assert in_f == in_c
    assert in_c["room_c"] == 12.0
    code, _, err = run(capsys, *options, "--room", "60")
    assert code == 2
    assert "--room 60: expected a number from -10 to 40" in err


def test_csv_and_chart_are_written_whole(
    capsys: pytest.CaptureFixture[str], tmp_path: Path
) -> None:
    """One row a group and week; the page the same bytes twice and under 2 MB."""
    options = [*LOS_ANGELES, "--group", "phalaenanthe", "--group", "nobile"]
    _, out, _ = run(capsys, *options, "--csv", "-")
    rows = list(csv.DictReader(io.StringIO(out)))
    assert [row["group"] for row in rows] == ["phalaenanthe"] * 52 + ["nobile"] * 52
    pages = [tmp_path / name for name in ("a.html", "b.html")]
    for page in pages:
        code, _, err = run(capsys, "--demo", "--json", "--chart", str(page))
        assert code == 0
        assert f"Wrote {page}" in err
    assert pages[0].read_bytes() == pages[1].read_bytes()
    assert pages[0].stat().st_size < 2_000_000


def test_a_group_of_one_s_own(capsys: pytest.CaptureFixture[str], tmp_path: Path) -> None:
    """Its own words are used, and what it does not say is said not to be said."""
    file = tmp_path / "own.toml"
    file.write_text(
        '[[group]]\nkey = "mine"\nname = "Mine"\nfloor_c = 15.0\nlimit_c = 5.0\n'
        'chill_base_c = 12.0\ndose_limit_c_h = 60.0\nwater_growth = "as it pleases"\n',
        encoding="utf-8",
    )
    options = [*LOS_ANGELES, "--groups-file", str(file), "--group", "mine", "--on", "07-15"]
    code, out, err = run(capsys, *options)
    assert (code, err) == (0, "")
    assert "as it pleases" in out
    assert "not said in its catalogue" in " ".join(out.split())


def test_too_short_a_record_is_an_answer(capsys: pytest.CaptureFixture[str]) -> None:
    """Two years: no calendar, with the reason, and exit code 0."""
    code, out, _ = run(capsys, *LOS_ANGELES, "--years", "2014-2015", "--group", "nobile")
    assert code == 0
    assert "No calendar for nobile: " in out
    assert "1 cannot be judged" in " ".join(out.split())


def test_of_one_group_the_first_sentences_say_what_to_do(
    capsys: pytest.CaptureFixture[str],
) -> None:
    """What it does, where, its care, and what comes next: all as the document has it."""
    _, out, _ = run(capsys, "--demo", "--group", "nobile", "--on", "11-28")
    told = " ".join(out.split("\n\n", maxsplit=1)[0].split())
    _, out, _ = run(capsys, "--demo", "--group", "nobile", "--json")
    (year,) = json.loads(out)["results"]
    now = next(part for part in year["runs"] if part["phase"] == "resting")
    waking = next(part for part in year["runs"] if part["phase"] == "waking")
    assert waking["first_day"] in {change["day"] for change in year["changes"]}
    assert told == (
        "Week 48, 26 November to 2 December: Nobile type (soft-cane) at Quillowen Bay (invented) "
        f"rests, outdoors. Water: {now['water']}. Feed: {now['feed']}. It wakes from about "
        "17 February on. INVENTED demo place: none of this was ever measured."
    )
