"""`check --places` as a user types it: a list of places, one file of rows, a kill in between."""

from __future__ import annotations

import csv
import json
import os
import signal
import subprocess
import sys
import time
from pathlib import Path

import pyarrow.parquet as pq
import pytest

from .running import keeps_schema, running

DATA = Path(__file__).parent.parent / "data"
KNOWN = {
    "los_angeles": "33.938,-118.389,30",
    "reno": "39.48,-119.77,1344",
    "guangzhou": "23.1,113.3,20",
}
ASKED = ("--group", "nobile", "--spot", "open-porch")


run = running("check")


@pytest.fixture
def places(tmp_path: Path) -> Path:
    """Three real records, and two places that have none."""
    path = tmp_path / "places.csv"
    lines = [f'{name},"{at}",{DATA / name}.hourly' for name, at in KNOWN.items()]
    path.write_text(
        "\n".join(["name,at,record", *lines, 'pole,"95,0",', 'lost,"1,2",lost.csv', ""]),
        encoding="utf-8",
    )
    return path


def rows_of(path: Path) -> list[dict[str, str]]:
    with path.open(encoding="utf-8-sig", newline="") as file:
        return list(csv.DictReader(file))


@pytest.mark.slow
def test_rows_are_those_of_a_check_of_each_place(
    places: Path, tmp_path: Path, capsys: pytest.CaptureFixture[str]
) -> None:
    """Column by column; a place without an answer has a row that says why."""
    code, out, _ = run(capsys, "--places", places, "--results", tmp_path / "all.csv", *ASKED)
    assert code == 0
    assert out.startswith("Of 5 places Nobile type (soft-cane) can live outdoors all year at 1, ")
    assert "2 of 5 places could not be answered." in out
    *known, pole, lost = rows_of(tmp_path / "all.csv")
    for (name, at), row in zip(KNOWN.items(), known, strict=True):
        one = tmp_path / "one.csv"
        record = DATA / f"{name}.hourly"
        run(capsys, "--record", record, "--at", at, *ASKED, "--csv", one)
        assert row == {"listed": name, **rows_of(one)[0], "failure": ""}
    assert "latitude 95 is outside" in pole["failure"]
    assert "there is no such file" in lost["failure"]
    assert {lost["verdict"], pole["verdict"]} == {""}
    assert not list(tmp_path.glob("*.unfinished"))


@pytest.mark.slow
def test_every_form_holds_the_same(
    places: Path, tmp_path: Path, capsys: pytest.CaptureFixture[str]
) -> None:
    """JSON lines and Parquet; the summary follows its schema and adds up."""
    for form in ("jsonl", "parquet"):
        target = tmp_path / f"all.{form}"
        code, out, _ = run(capsys, "--places", places, "--results", target, *ASKED, "--json")
        assert code == 0
        told = json.loads(out)
        keeps_schema(told, "check-places")
        (group,) = told["results"]
        assert told["answered"] == sum(
            group[name] for name in ("all_year", "seasonal", "indoor_only", "no_verdict")
        )
    lines = (tmp_path / "all.jsonl").read_text(encoding="utf-8").splitlines()
    assert pq.read_table(tmp_path / "all.parquet").to_pylist() == [json.loads(x) for x in lines]


def test_results_never_overwrite_the_list(places: Path, capsys: pytest.CaptureFixture[str]) -> None:
    """It stays as it is."""
    before = places.read_bytes()
    code, _, err = run(capsys, "--places", places, "--results", places, *ASKED)
    assert code == 2
    assert "is a file that is read" in err
    assert places.read_bytes() == before


@pytest.mark.slow
def test_a_kill_in_the_middle_costs_nothing(tmp_path: Path) -> None:
    """The same command goes on where it stood, and ends with the same bytes."""
    path, target = tmp_path / "many.csv", tmp_path / "all.csv"
    lines = [
        f'{name}{n},"{at}",{DATA / name}.hourly' for n in range(4) for name, at in KNOWN.items()
    ]
    path.write_text("\n".join(["name,at,record", *lines, ""]), encoding="utf-8")
    command = [sys.executable, "-m", "suitability", "check", "--places", str(path), *ASKED]
    subprocess.run([*command, "--results", tmp_path / "whole.csv"], check=True, timeout=120)

    journal = tmp_path / "all.csv.unfinished"
    killed = subprocess.Popen([*command, "--results", target], start_new_session=True)
    while not journal.exists() or journal.read_bytes().count(b"\n") < 5:
        assert killed.poll() is None
        time.sleep(0.01)
    os.killpg(killed.pid, signal.SIGKILL)
    killed.wait()
    held = journal.read_bytes()
    assert not target.exists()
    subprocess.run([*command, "--results", target], check=True, timeout=120)
    assert target.read_bytes() == (tmp_path / "whole.csv").read_bytes()
    assert held.count(b"\n") >= 5
    assert not journal.exists()


@pytest.mark.parametrize(
    ("arguments", "told"),
    [
        (["--places", "p.csv"], "--places FILE.csv and --results FILE go together"),
        (["--results", "r.csv"], "--places FILE.csv and --results FILE go together"),
        (["--places", "p.csv", "--results", "r.xlsx"], "name a file that ends in .csv, .jsonl"),
        (["--places", "none.csv", "--results", "r.csv"], "cannot be read"),
        (["--places", "p.csv", "--results", "r.csv", "--demo"], "leave out what names a single"),
        (["--places", "p.csv", "--results", "r.csv", "--csv", "x.csv"], "--csv shows one place"),
        (["--places", "p.csv", "--results", "r.csv", "--label", "10-30"], "ask about one place"),
        (["--places", "p.csv", "--results", "r.csv", "--group", "x9"], "x9"),
    ],
)
def test_what_does_not_go_together_is_one_sentence(
    arguments: list[str],
    told: str,
    tmp_path: Path,
    capsys: pytest.CaptureFixture[str],
    monkeypatch: pytest.MonkeyPatch,
) -> None:
    """Before any work, and nothing is left behind."""
    monkeypatch.chdir(tmp_path)
    code, out, err = run(capsys, *arguments)
    assert code in (1, 2)
    assert out == ""
    assert told in err
    assert len(err.splitlines()) == 1
    assert not list(tmp_path.iterdir())
