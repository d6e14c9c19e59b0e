"""`suitability moves` as a user types it: answers, files, and one sentence for each mistake."""

from __future__ import annotations

import csv
import io
import json
from pathlib import Path

import pytest

from suitability.cli.main import main

from .running import LOS_ANGELES, keeps_schema, refused, running

pytestmark = pytest.mark.slow

ROOT = Path(__file__).parents[2]
DATA = ROOT / "tests" / "data"


run = running("moves")


def test_demo_fits_80_columns_and_says_that_it_is_invented(
    capsys: pytest.CaptureFixture[str],
) -> None:
    """The whole catalogue at the invented place, offline."""
    code, out, err = run(capsys, "--demo", "--threshold", "5")
    assert (code, err) == (0, "")
    assert "INVENTED" in out
    assert max(map(len, out.splitlines())) <= 80
    assert "5.0 °C or colder" in out
    code, out, err = run(capsys, "--demo", "--threshold", "5", "--details")
    assert (code, err) == (0, "")
    assert "INVENTED" in out
    assert max(map(len, out.splitlines())) <= 80
    for part in ("When to move", "How sure it is", "Then and now", "Not moved", "5.0 °C or colder"):
        assert part in out, part


@pytest.mark.parametrize("source", [["--demo"], LOS_ANGELES], ids=["demo", "real record"])
def test_json_follows_the_schema_and_stands_alone(
    capsys: pytest.CaptureFixture[str], source: list[str]
) -> None:
    """All groups, and nothing else on standard output."""
    code, out, err = run(capsys, *source, "--json", "--threshold", "2", "--threshold", "-1.5")
    assert (code, err) == (0, "")
    document = json.loads(out)
    keeps_schema(document, "moves")
    assert len(document["results"]) == 28
    assert [dates["threshold_c"] for dates in document["thresholds"]] == [2.0, -1.5]


def test_the_season_is_that_of_check(capsys: pytest.CaptureFixture[str]) -> None:
    """Two commands, one answer: verdict, season, outdoor season and counted years agree."""
    options = [*LOS_ANGELES, "--json"]
    moves = json.loads(run(capsys, *options)[1])["results"]
    with pytest.raises(SystemExit):
        main(["check", *options])
    findings = json.loads(capsys.readouterr().out)["results"]
    for move, finding in zip(moves, findings, strict=True):
        for key in (
            "group", "verdict", "reason", "season", "survival_season", "survival_seasons",
            "years_kept", "years_counted", "years_usable", "model_based", "provisional",
            "carried_nights",
        ):  # fmt: skip
            assert move[key] == finding[key], (move["group"], key)


def test_threshold_is_in_the_reader_s_unit(capsys: pytest.CaptureFixture[str]) -> None:
    """32 °F are 0 °C, and the table says it in °F."""
    options = [*LOS_ANGELES, "--group", "nobile"]
    _, out, _ = run(capsys, *options, "--units", "f", "--threshold", "46.4", "--json")
    in_f = json.loads(out)["thresholds"]
    _, out, _ = run(capsys, *options, "--threshold", "8", "--json")
    assert in_f == json.loads(out)["thresholds"]
    assert in_f[0]["threshold_c"] == 8.0
    _, out, _ = run(capsys, *options, "--units", "f", "--threshold", "46.4")
    assert "Days of 46.4 °F or colder" in out


def test_a_higher_promise_is_never_longer(capsys: pytest.CaptureFixture[str]) -> None:
    """80, 90 and 95 %."""
    days = []
    for promise in ("0.8", "0.9", "0.95"):
        _, out, _ = run(
            capsys, *LOS_ANGELES, "--group", "phalaenanthe", "--promise", promise, "--json"
        )
        season = json.loads(out)["results"][0]["season"]
        days.append(season["days"] if season else 0)
    assert days == sorted(days, reverse=True)
    assert days[0] > days[-1]


def test_csv_goes_to_standard_output_or_a_file(
    capsys: pytest.CaptureFixture[str], tmp_path: Path
) -> None:
    """The same table either way; a file begins with a byte order mark, for spreadsheets."""
    options = [*LOS_ANGELES, "--group", "phalaenanthe", "--group", "nobile"]
    _, out, _ = run(capsys, *options, "--csv", "-")
    rows = list(csv.DictReader(io.StringIO(out)))
    assert [row["group"] for row in rows] == ["phalaenanthe", "nobile"]
    file = tmp_path / "moves.csv"
    _, text, err = run(capsys, *options, "--csv", str(file))
    assert file.read_text("utf-8") == "\ufeff" + out
    assert "\ufeff" not in out
    assert "Half out" in text
    assert str(file) in err


def test_chart_is_the_same_bytes_twice(capsys: pytest.CaptureFixture[str], tmp_path: Path) -> None:
    """A whole page, written whole, under 2 MB for the whole catalogue."""
    files = [tmp_path / name for name in ("a.html", "b.html")]
    for file in files:
        code, _, err = run(capsys, "--demo", "--chart", str(file))
        assert code == 0
        assert f"Wrote {file}" in err
    first, second = (file.read_bytes() for file in files)
    assert first == second
    assert len(first) < 2_000_000
    assert sorted(tmp_path.iterdir()) == files


def hours_csv(
    path: Path, first: str, days: int, *, gap: tuple[int, int] = (0, 0), mean_c: float = 15.0
) -> Path:
    """An hourly file at Greenwich: warm days, winters near 3 °C; days of the gap are left out."""
    from datetime import datetime, timedelta
    from math import cos, pi

    start = datetime.fromisoformat(first)
    lines = ["time,temp"]
    for hour in range(days * 24):
        moment = start + timedelta(hours=hour)
        if gap[0] <= hour // 24 < gap[1]:
            continue
        of_year = moment.timetuple().tm_yday
        temp = (
            mean_c
            - 9 * cos(2 * pi * (of_year - 15) / 365.25)
            + 4 * cos(pi * (moment.hour - 14) / 12)
        )
        lines.append(f"{moment:%Y-%m-%d %H:%M},{temp:.1f}")
    path.write_text("\n".join(lines) + "\n", encoding="utf-8")
    return path


@pytest.mark.parametrize(("years", "judged"), [(1, False), (2, False), (5, True)])
def test_short_records_get_an_honest_answer(
    capsys: pytest.CaptureFixture[str],
    tmp_path: Path,
    years: int,
    judged: bool,  # noqa: FBT001
) -> None:
    """Tables, document and chart of records that start in mid-winter, with exit code 0."""
    file = hours_csv(tmp_path / "short.csv", "2015-01-12", 365 * years)
    page = tmp_path / "page.html"
    options = ["--record", str(file), "--at", "51.5,0", "--group", "phalaenanthe"]
    code, out, _ = run(capsys, *options, "--chart", str(page))
    assert code == 0
    assert ("no-verdict" in out) is not judged
    assert ("provisional" in out.lower()) is judged
    if not judged:
        assert "3 are needed" in " ".join(out.split())
    assert "Years from " in page.read_text("utf-8")
    code, out, _ = run(capsys, *options, "--json")
    assert code == 0
    keeps_schema(json.loads(out), "moves")


@pytest.mark.parametrize(
    ("days", "mean_c", "verdict", "reason", "mark"),
    [
        (1, 30.0, "no-verdict", "0 of 2 nights", "No night of the record was observed"),
        (2, 30.0, "no-verdict", "1 of 3 nights", "The only night known is not unsafe"),
        (
            365 * 3,
            30.0,
            "no-verdict",
            "Only 2 usable plant years",
            "No unsafe night among the 1,09",
        ),
        (365 * 12, 30.0, "outdoor-all-year", None, "No unsafe night among the 4,3"),
        (365 * 12, -10.0, "indoor-only", "has 0 days, 70 are needed", "Years from "),
    ],
    ids=["one day", "two days", "three years never cold", "never cold", "never fit"],
)
def test_extreme_records_get_a_reason_and_a_chart(  # noqa: PLR0917
    capsys: pytest.CaptureFixture[str],
    tmp_path: Path,
    days: int,
    mean_c: float,
    verdict: str,
    reason: str | None,
    mark: str,
) -> None:
    """An honest answer with its reason in `check` and `moves`, and no empty picture."""
    file = hours_csv(tmp_path / "extreme.csv", "2008-01-01", days, mean_c=mean_c)
    page = tmp_path / "page.html"
    options = ["--record", str(file), "--at", "10,0", "--group", "cattleya"]
    code, out, _ = run(capsys, *options, "--threshold", "0", "--chart", str(page))
    assert code == 0
    assert mark in page.read_text("utf-8")
    code, out, _ = run(capsys, *options, "--json", "--threshold", "0")
    move = json.loads(out)["results"][0]
    with pytest.raises(SystemExit) as left:
        main(["check", *options, "--json"])
    assert left.value.code in (None, 0)
    finding = json.loads(capsys.readouterr().out)["results"][0]
    for found in (move, finding):
        assert found["verdict"] == verdict
        assert (found["reason"] is None) == (reason is None)
        assert reason is None or reason in found["reason"]["text"]


def test_a_hole_in_the_season_is_not_told_as_kept(
    capsys: pytest.CaptureFixture[str], tmp_path: Path
) -> None:
    """Ten days of July 2017 are missing: that year does not tell."""
    file = hours_csv(tmp_path / "holes.csv", "2014-12-01", 365 * 6, gap=(953, 963))
    _, out, _ = run(
        capsys, "--record", str(file), "--at", "51.5,0", "--group", "phalaenanthe", "--json"
    )
    rows = {row["year"]: row for row in json.loads(out)["results"][0]["by_year"]}
    assert rows[2017]["kept"] is None
    assert rows[2017]["nights"].count("?") >= 10
    assert rows[2016]["kept"] is True


@pytest.mark.parametrize(
    ("arguments", "code", "part"),
    [
        (["--demo", "--threshold", "100"], 2, "--threshold 100: expected a number from -60 to 60"),
        (["--demo", "--threshold", "-80"], 2, "--threshold -80"),
        (["--demo", "--units", "f", "--threshold", "150"], 2, "from -76 to 140"),
        (["--demo", "--threshold", "nan"], 2, "--threshold nan"),
        (["--demo", "--threshold", "cold"], 2, "--threshold"),
        (["--demo", "--promise", "0.3"], 2, "--promise 0.3"),
        (["--demo", "--units", "k"], 2, "--units k"),
        (["--demo", "--json", "--csv", "-"], 2, "both want standard output"),
        (["--demo", "--years", "2020-2010"], 2, "--years 2020-2010"),
        (["--record", "x.csv"], 2, "--at"),
        ([], 2, "--demo"),
        (["--demo", "--group", "Den. moniliferum"], 1, "moniliforme"),
        (["--demo", "--chart", "/nowhere/at/all/x.html"], 1, "does not exist"),
        (["--demo", "--years", "1950-1960"], 1, "1950"),
    ],
)  # fmt: skip
def test_mistakes_are_one_sentence(
    capsys: pytest.CaptureFixture[str], arguments: list[str], code: int, part: str
) -> None:
    """What was found and what would be right, with the right exit code and nothing on stdout."""
    refused(run(capsys, *arguments), code, part)
