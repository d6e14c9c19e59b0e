"""`suitability doctor`: never a failure for being offline, and one document with `--json`."""

from __future__ import annotations

import json
from typing import TYPE_CHECKING

import pytest

from suitability.cli.main import main

from .running import keeps_schema

if TYPE_CHECKING:
    from pathlib import Path


def run(capsys: pytest.CaptureFixture[str], *options: str) -> str:
    """What a run prints; it leaves with 0."""
    with pytest.raises(SystemExit) as left:
        main(["doctor", *options])
    assert left.value.code == 0
    return capsys.readouterr().out


@pytest.fixture(autouse=True)
def _alone(tmp_path: Path, monkeypatch: pytest.MonkeyPatch) -> None:
    """A store of the test's own, a service that refuses, and a browser that is not there."""
    monkeypatch.setenv("SUITABILITY_HOME", str(tmp_path))
    monkeypatch.setenv("MS_HOURLY_ENDPOINT", "http://127.0.0.1:9/{year}/{station}.csv.gz")
    monkeypatch.setenv("BROWSER_PATH", str(tmp_path / "none"))
    for name in ("http_proxy", "HTTP_PROXY", "all_proxy", "ALL_PROXY"):
        monkeypatch.delenv(name, raising=False)


def test_a_service_that_cannot_be_reached_is_told(capsys: pytest.CaptureFixture[str]) -> None:
    assert "the server refused the connection" in run(capsys)


def test_the_document_keeps_its_schema(capsys: pytest.CaptureFixture[str], tmp_path: Path) -> None:
    document = json.loads(run(capsys, "--offline", "--json"))
    keeps_schema(document, "doctor")
    assert document["service"] == "not-asked"
    assert document["folder"] == str(tmp_path / "weather")
    assert "none does not exist" in document["no_pictures"]
