"""`--verbose` tells of each step on standard error, and leaves the answer as it is."""

from __future__ import annotations

import json
import re
from datetime import UTC, datetime
from typing import TYPE_CHECKING

import pytest

from suitability.weather.sources.transport import Answer, get, make_transport

if TYPE_CHECKING:
    from pathlib import Path

from .running import running

run = running()
ASKED = ("check", "--demo", "--group", "nobile", "--json")
STEP = re.compile(r"suitability: \d+\.\d{3} s: (.+)")


def steps(err: str) -> list[str]:
    """What is told of; every line is a step, its seconds taken off."""
    found = [STEP.fullmatch(line) for line in err.splitlines()]
    assert all(found), err
    return [re.sub(r", in \d+\.\d{3} s$", "", match[1]) for match in found if match]


def test_steps_stand_on_standard_error_alone_before_or_after_the_command(
    capsys: pytest.CaptureFixture[str],
) -> None:
    """The document is the same; a run without it is silent, before and after."""
    code, plain, err = run(capsys, *ASKED)  # has read the catalogue, which this process keeps
    assert (code, err) == (0, "")
    _, after, err = run(capsys, *ASKED, "--verbose")
    told = steps(err)
    assert told[-4:] == [
        *("Checked the quality of a record", "Working out the answer", "Writing the answer", "Done")
    ]
    code, before, err = run(capsys, "--verbose", *ASKED)
    assert (code, steps(err)) == (0, told)
    assert run(capsys, *ASKED) == (0, plain, "")
    assert json.loads(plain) == json.loads(after) == json.loads(before)


def test_it_tells_what_is_read_and_kept_and_taken_from_the_store(
    capsys: pytest.CaptureFixture[str], tmp_path: Path, monkeypatch: pytest.MonkeyPatch
) -> None:
    """An error ends the steps, and is told as ever."""
    monkeypatch.setenv("SUITABILITY_HOME", str(tmp_path / "home"))
    monkeypatch.chdir(tmp_path)
    rows = [f"2024-06-{day:02d} {hour:02d}:00,18" for day in (1, 2) for hour in range(24)]
    (tmp_path / "porch.csv").write_text("\n".join(["time,temp", *rows, ""]), "utf-8")
    _, _, err = run(capsys, "weather", "import", "porch.csv", "--at", "33.9,-118.4,30", "--verbose")
    said = [line for line in err.splitlines() if STEP.fullmatch(line)]
    assert "Read porch.csv" in steps("\n".join(said))
    (kept,) = [step for step in steps("\n".join(said)) if step.startswith("Kept ")]
    _, _, err = run(
        capsys, "check", "--record", "porch", "--group", "nobile", "--json", "--verbose"
    )
    assert kept.replace("Kept ", "Took ").replace(" in the store", " from the store") in steps(err)
    code, _, err = run(capsys, "check", "--record", "none.csv", "--at", "1,1", "--verbose")
    assert code == 1
    assert steps("\n".join(err.splitlines()[:-1]))[-1] == "Done"
    assert err.splitlines()[-1].startswith("suitability: none.csv: ")


def test_it_tells_what_was_asked_of_a_service(
    tmp_path: Path, caplog: pytest.LogCaptureFixture
) -> None:
    """The address, how it ended, and how much came; the library tells whoever listens."""
    caplog.set_level("INFO", logger="suitability")
    address = (tmp_path / "a").as_uri()
    for answer in (Answer.NOT_THERE, Answer.FOUND):
        assert get(make_transport(), address, now=datetime.now(UTC)).answer is answer
        (tmp_path / "a").write_bytes(b"12345")
    first, second = [re.sub(r"\d\.\d{3} s", "0 s", line) for line in caplog.messages]
    assert first == f"Asked {address}: not there, 0 bytes, try 1, in 0 s"
    assert second == f"Asked {address}: found, 5 bytes, try 1, in 0 s"
