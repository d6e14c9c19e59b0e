"""`suitability cards` as a user types it."""

from __future__ import annotations

import json
from typing import TYPE_CHECKING

import pytest

from suitability.cli.main import main

from .running import refused, running

if TYPE_CHECKING:
    from pathlib import Path

pytestmark = pytest.mark.slow

PLANTS = """
[[spot]]
name = "porch"
kind = "open-porch"

[[spot]]
name = "bench"
kind = "open-bench"

[[plant]]
name = "white hard-cane"
group = "den-phal"
spot = "porch"
first_winter = true

[[plant]]
group = "nobile"
spot = "bench"
"""


run = running("cards")


def test_a_card_agrees_with_check_and_moves(capsys: pytest.CaptureFixture[str]) -> None:
    """The same verdict, season, dates and rest: a card is no second opinion."""
    code, out, err = run(capsys, "--demo", "--json")
    assert (code, err) == (0, "")
    cards = {card["group"]: card for card in json.loads(out)["cards"]}
    with pytest.raises(SystemExit):
        main(["check", "--demo", "--json"])
    checked = json.loads(capsys.readouterr().out)["results"]
    with pytest.raises(SystemExit):
        main(["moves", "--demo", "--json"])
    moved = json.loads(capsys.readouterr().out)["results"]
    assert len(cards) == len(checked) == len(moved)
    for finding, move in zip(checked, moved, strict=True):
        card = cards[finding["group"]]
        for key in ("verdict", "provisional", "years_usable", "flowers", "line"):
            assert card[key] == finding[key], key
        assert card["limit_wet_c"] == finding["thresholds"]["limit_wet_c"]
        assert (card["out"] or {}).get("promised") == (move["out"] or {}).get("promised")
        assert (card["in"] or {}).get("typical") == (move["in"] or {}).get("typical")
        if finding["rest"]["met_years"] is not None:
            assert card["rest"]["met_years"] == finding["rest"]["met_years"]


def test_a_collection_gets_the_cards_of_its_plants(
    capsys: pytest.CaptureFixture[str], tmp_path: Path
) -> None:
    """One card for plants that are judged alike, where they stand."""
    file = tmp_path / "plants.toml"
    file.write_text(PLANTS, encoding="utf-8")
    _, out, _ = run(capsys, "--demo", "--collection", str(file), "--json")
    cards = [(c["spot"], c["group"], c["plants"]) for c in json.loads(out)["cards"]]
    assert cards == [
        ("porch", "phalaenanthe", ["white hard-cane"]),
        ("bench", "nobile", ["nobile"]),
    ]


def test_the_page_is_written_and_the_text_still_shown(
    capsys: pytest.CaptureFixture[str], tmp_path: Path
) -> None:
    target = tmp_path / "cards.html"
    code, out, err = run(capsys, "--demo", "--group", "nobile", "--out", str(target))
    assert code == 0
    assert err.strip() == f"Wrote {target}"
    assert "INVENTED" in out
    assert "INVENTED" in target.read_text("utf-8")


@pytest.mark.parametrize(
    ("arguments", "code", "part"),
    [
        (["--demo", "--out", "-"], 2, "--out"),
        (["--demo", "--out", "nowhere/cards.html"], 1, "nowhere"),
        (["--demo", "--group", "begonia"], 1, "begonia"),
        (["--demo", "--promise", "1.5"], 2, "--promise"),
        ([], 2, "--demo"),
    ],
)
def test_mistakes_are_one_sentence(
    capsys: pytest.CaptureFixture[str], arguments: list[str], code: int, part: str
) -> None:
    refused(run(capsys, *arguments), code, part)


@pytest.mark.slow
@pytest.mark.usefixtures("browser")
def test_a_pdf_is_printed_where_there_is_a_browser(
    capsys: pytest.CaptureFixture[str], tmp_path: Path
) -> None:
    """One sheet for the warning and the cards, one for what they rest on and the cautions."""
    target = tmp_path / "cards.pdf"
    asked = ["--demo", "--group", "nobile", "--group", "phalaenanthe", "--pdf", str(target)]
    code, _, err = run(capsys, *asked)
    assert (code, err.strip()) == (0, f"Wrote {target}")
    printed = target.read_bytes()
    assert printed.startswith(b"%PDF")
    assert printed.count(b"/Type /Page\n") == 2
    assert list(tmp_path.iterdir()) == [target]


def test_without_a_browser_one_sentence_says_what_to_do(
    capsys: pytest.CaptureFixture[str], tmp_path: Path, monkeypatch: pytest.MonkeyPatch
) -> None:
    monkeypatch.setenv("PATH", str(tmp_path))
    refused(run(capsys, "--demo", "--pdf", str(tmp_path / "cards.pdf")), 1, "--out")


def test_a_browser_that_fails_leaves_no_file(
    capsys: pytest.CaptureFixture[str], tmp_path: Path, monkeypatch: pytest.MonkeyPatch
) -> None:
    """It leaves with an error, or prints something that is no PDF."""
    folder = tmp_path / "bin"
    folder.mkdir()
    browser = folder / "chromium"
    monkeypatch.setenv("PATH", f"{folder}:/usr/bin:/bin")
    target = tmp_path / "cards.pdf"
    asked = ["--demo", "--group", "nobile", "--pdf", str(target)]
    print_to = 'for word in "$@"; do case $word in --print-to-pdf=*) to=${word#*=};; esac; done'
    for script in ("exit 3", f"{print_to}; echo no > $to"):
        browser.write_text(f"#!/bin/sh\n{script}\n", encoding="utf-8")
        browser.chmod(0o755)
        code, _, err = run(capsys, *asked)
        assert code == 1
        assert "chromium" in err
        assert len(err.strip().splitlines()) == 1
        assert not target.exists()


@pytest.mark.parametrize("target", ["-", "same.html"])
def test_a_pdf_needs_a_file_of_its_own(capsys: pytest.CaptureFixture[str], target: str) -> None:
    code, _, err = run(capsys, "--demo", "--pdf", target, "--out", "same.html")
    assert code == 2
    assert "--pdf" in err
