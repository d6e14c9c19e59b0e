"""Words that do not belong into the project's files, and one word for one thing."""

from __future__ import annotations

import re
from typing import TYPE_CHECKING

import pytest

from .pages import page_files, text_of
from .sources import ROOT, module_files

if TYPE_CHECKING:
    from pathlib import Path

ROOMS = ("suitability", "tests", "docs", "notebooks", ".ci")
BINARY = {".bin", ".gz", ".xz", ".hourly", ".png", ".parquet", ".nc", ".pyc"}
FOREIGN = {"plotly"}  # shipped as it is, under its own licence


def text_files() -> list[Path]:
    """Files of the project that hold text of ours."""
    files = [file for room in ROOMS for file in (ROOT / room).rglob("*") if file.is_file()]
    files += [file for file in ROOT.iterdir() if file.suffix in {".md", ".toml"}]
    return [
        file
        for file in files
        if "__pycache__" not in file.parts
        and file.suffix not in BINARY
        and not (file.suffix == ".js" and file.stem.split("-")[0] in FOREIGN)
    ]


UNWANTED = {
    "a folder of somebody's computer": r"(?<![\w.~)}])/(?:home|root|work|opt|mnt|Users)/\w",
    "a package registry's host": r"\b(?:pypi\.org|pythonhosted\.org|anaconda\.org)\b",
    "a password or key": r"BEGIN [A-Z ]*PRIVATE KEY|\bghp_\w{20}|\bAKIA[A-Z0-9]{12}",
    "work left over": r"\b(?:TO" r"DO|FIX" r"ME|X" r"XX)\b",
    "a mark of a conflict": r"^(?:<{7}|>{7}) ",
}


def test_files_are_found() -> None:
    """Otherwise the next test would hold of nothing."""
    assert len(text_files()) > len(module_files())


@pytest.mark.parametrize("what", UNWANTED)
def test_no_file_holds(what: str) -> None:
    """Nothing of the computer on which the project was made, and nothing unfinished."""
    pattern = re.compile(UNWANTED[what], re.MULTILINE)
    found = [
        f"{file.relative_to(ROOT)}: {match[0]}"
        for file in text_files()
        for match in pattern.finditer(file.read_text(encoding="utf-8"))
    ]
    assert found == []


REFUSED = {  # word in a page or an answer: what the glossary calls it
    r"\bcut-?off (?:temperature|date)": "floor, limit or chill base",
    r"\bthreshold temperature": "floor, limit or chill base",
    r"\bbase temperature": "chill base (a base temperature belongs to degree-days)",
    r"\bmicro-?climates?\b": "spot",
    r"\bsafe (?:season|to|for|outdoors)\b": "outdoor season",
    r"\b(?:perfectly|completely|always) safe\b": "nothing is",
    r"\bcold hours\b": "hours below the floor",
    r"\bdays? of frost\b": "hard nights",
}
EXPLAINS_ITSELF = {"DEVELOPERS.md", "glossary.md"}  # pages that name refused words to refuse them


@pytest.mark.parametrize("page", page_files(), ids=lambda page: str(page.name))
def test_pages_use_the_words_of_the_glossary(page: Path) -> None:
    """One thing has one word, and nothing is called safe."""
    text = "" if page.name in EXPLAINS_ITSELF else text_of(page)
    text = re.sub(r"`[^`]*`", "", text)  # names in code are fixed elsewhere
    found = [
        f"{match[0]}: say {right}"
        for word, right in REFUSED.items()
        for match in re.finditer(word, text, re.IGNORECASE)
    ]
    assert found == []


def test_answers_never_call_anything_safe(capsys: pytest.CaptureFixture[str]) -> None:
    """Neither the tables of a check nor any help does."""
    from suitability.cli.main import main

    for arguments in (["check", "--demo", "--group", "nobile", "--worst"], ["check", "--help"]):
        with pytest.raises(SystemExit):
            main(arguments)
        text = capsys.readouterr().out
        assert len(text) > 500
        assert not re.search(r"\bsafe(?:ly|st|r)?\b", text, re.IGNORECASE)


def test_pages_have_one_sentence_to_a_line() -> None:
    """So that a change shows what changed; tables, lists of words and code are left out."""
    found = []
    for page in page_files():
        prose = re.sub(r"^```.*?^```$", "", text_of(page), flags=re.DOTALL | re.MULTILINE)
        found += [
            f"{page.name}: {line[:60]}"
            for line in prose.splitlines()
            if not line.startswith(("|", "-", " ", "#", ">", "1", "2"))
            and re.search(r"[a-z)`][.?!] [A-Z]", re.sub(r"\(.*?\)|`.*?`", "", line))
        ]
    assert found == []
