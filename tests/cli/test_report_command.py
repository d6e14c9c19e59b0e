"""`suitability report` as a user types it."""

from __future__ import annotations

import os
import re
import stat
import subprocess
import sys
from typing import TYPE_CHECKING

import pytest

from suitability.cli import report

from .running import refused, running
from .test_cards_command import PLANTS

if TYPE_CHECKING:
    from pathlib import Path

pytestmark = pytest.mark.slow

FEW = ("--demo", "--group", "phalaenanthe", "--group", "nobile", "--on", "03-10")


run = running("report")


def test_a_file_gets_the_page(capsys: pytest.CaptureFixture[str], tmp_path: Path) -> None:
    """Nothing on standard output; the same question gives the same bytes."""
    for name in ("one.html", "two.html"):
        file = tmp_path / name
        assert run(capsys, *FEW, "--out", str(file)) == (0, "", f"Wrote {file}\n")
    page = (tmp_path / "one.html").read_bytes()
    assert page == (tmp_path / "two.html").read_bytes()
    text = page.decode("utf-8")
    assert "Next moves, from 10 March on" in text
    assert text.count('<section class="group whole"') == 2
    assert "INVENTED" in text


def test_without_a_name_it_is_report_html(
    capsys: pytest.CaptureFixture[str], tmp_path: Path, monkeypatch: pytest.MonkeyPatch
) -> None:
    monkeypatch.chdir(tmp_path)
    code, _, err = run(capsys, *FEW)
    assert (code, err) == (0, "Wrote report.html\n")
    assert (tmp_path / "report.html").stat().st_size > 700_000


def test_a_page_of_many_megabytes_says_how_to_make_it_smaller(
    capsys: pytest.CaptureFixture[str], tmp_path: Path, monkeypatch: pytest.MonkeyPatch
) -> None:
    """One sentence, and the page is written all the same."""
    monkeypatch.setattr(report, "MUCH_MB", 0.5)
    file = tmp_path / "page.html"
    code, _, err = run(capsys, *FEW, "--out", str(file))
    assert code == 0
    assert re.search(r"\nsuitability: the page has 0\.[78] MB.*fewer spots with --spot or", err)
    assert file.is_file()


def test_pictures_without_a_browser_are_one_sentence(
    capsys: pytest.CaptureFixture[str], tmp_path: Path, monkeypatch: pytest.MonkeyPatch
) -> None:
    """Said before the work begins: no page is written either."""
    monkeypatch.setenv("BROWSER_PATH", "nowhere/chromium")
    file, picture = tmp_path / "page.html", tmp_path / "picture.png"
    code, _, err = run(capsys, *FEW, "--out", str(file), "--figure", str(picture))
    assert code == 1
    assert err.count("\n") == 1
    assert "nowhere/chromium does not exist" in err
    assert list(tmp_path.iterdir()) == []
    code, _, err = run(capsys, *FEW, "--out", str(file), "--figure", "picture.gif")
    assert (code, err.count("\n")) == (2, 1)
    assert "ends in .png or .svg" in err


def test_without_a_day_it_begins_today(capsys: pytest.CaptureFixture[str], tmp_path: Path) -> None:
    file = tmp_path / "page.html"
    assert run(capsys, *FEW[:-2], "--out", str(file))[0] == 0
    assert re.search(r"Next moves, from \d+ [A-Z][a-z]+ on", file.read_text("utf-8"))


@pytest.mark.parametrize(
    ("arguments", "code", "said"),
    [
        (("--out", "page.pdf"), 2, "--out page.pdf: name a file that ends in .html or .htm"),
        (("--out", "."), 1, ".: is a folder; give the name of a file in it."),
        (("--out", "-"), 2, "a page is no text; name a file"),
        (("--on", "13-40"), 2, "--on 13-40: there is no month 13"),
        (("--on", "11-31"), 2, "--on 11-31: that month has 30 days and no day 31"),
        (("--on", "1.11."), 2, "--on 1.11.: expected a day of the year MM-DD"),
        (("--out", "nowhere/page.html"), 1, "nowhere does not exist; create it first"),
        (("--out", "page.html", "--promise", "1.5"), 2, "--promise"),
        (("--out", "page.html", "--group", "zzz"), 1, "zzz"),
    ],
)
def test_what_cannot_be_done_is_said_in_one_sentence(  # noqa: PLR0917  (what is typed and told)
    capsys: pytest.CaptureFixture[str],
    tmp_path: Path,
    monkeypatch: pytest.MonkeyPatch,
    arguments: tuple[str, ...],
    code: int,
    said: str,
) -> None:
    """Before the work, and nothing is written."""
    monkeypatch.chdir(tmp_path)
    refused(run(capsys, "--demo", *arguments), code, said)
    assert list(tmp_path.iterdir()) == []


def test_a_collection_tells_of_its_plants_at_its_spots(
    capsys: pytest.CaptureFixture[str], tmp_path: Path
) -> None:
    """Each plant where it stands, in its own state, and no other group."""
    collection, file = tmp_path / "plants.toml", tmp_path / "page.html"
    collection.write_text(PLANTS, encoding="utf-8")
    asked = ("--demo", "--collection", str(collection), "--on", "03-10", "--out", str(file))
    assert run(capsys, *asked)[0] == 0
    page = file.read_text("utf-8")
    assert page.count('<section class="group') == 2
    assert "The spots compared" in page
    assert "white hard-cane" in page
    assert "Latouria" not in page


def test_open_hands_the_page_to_the_browser(tmp_path: Path) -> None:
    """The browser that the system names, here one that writes down what it was given."""
    told, browser = tmp_path / "told", tmp_path / "browser"
    browser.write_text(f'#!/bin/sh\necho "$1" > "{told}"\n', encoding="utf-8")
    browser.chmod(browser.stat().st_mode | stat.S_IXUSR)
    file = tmp_path / "page.html"
    done = subprocess.run(
        [sys.executable, "-m", "suitability", "report", *FEW, "--out", str(file), "--open"],
        env={**os.environ, "BROWSER": str(browser)},
        capture_output=True,
        text=True,
        check=False,
        timeout=60,
    )
    assert (done.returncode, done.stderr) == (0, f"Wrote {file}\n")
    assert told.read_text("utf-8").strip() == file.resolve().as_uri()
