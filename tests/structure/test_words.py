"""Words that do not belong into the project's files, and one word for one thing."""

from __future__ import annotations

import ast
import re
from functools import cache
from typing import TYPE_CHECKING

import pytest

from .pages import page_files, section_of, text_of
from .sources import PACKAGE, ROOT, module_files, parsed

if TYPE_CHECKING:
    from collections.abc import Iterable
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


# One word for one thing --------------------------------------------------------------------------

GLOSSARY = ROOT / "docs" / "glossary.md"
TRADE = (  # forty words that a reader must know, in one form in help, answers and pages
    "place",
    "record",
    "spot",
    "spot decides",
    "held minimum",
    "collection",
    "group",
    "section",
    "floor",
    "growth floor",
    "rest floor",
    "comfort mark",
    "good days",
    "chill base",
    "dose",
    "dry limit",
    "wet limit",
    "ceiling",
    "bad year",
    "night minimum",
    "hard night",
    "unsafe night",
    "plant year",
    "season",
    "survival season",
    "promise",
    "verdict",
    "outdoor-all-year",
    "outdoor-seasonal",
    "indoor-only",
    "no-verdict",
    "provisional",
    "borderline",
    "watch weeks",
    "carried nights",
    "nearly all year",
    "margin",
    "headroom",
    "rest",
    "confidence",
)

REFUSED = {  # word in help, an answer or a page: what the glossary calls it
    r"\bcut-?off (?:temperature|date)": "floor, limit or chill base",
    r"\b(?:threshold|critical|minimum) temperatures?\b": "floor, limit, chill base, night minimum",
    r"\bbase temperature": "chill base (a base temperature belongs to degree-days)",
    r"\b(?:chill(?:ing)?|cold) (?:hours|units|sums?|doses?)\b": "hours below the floor, or dose",
    r"\bmicro-?climates?\b": "spot",
    r"\bsafe (?:season|to|for|outdoors)\b": "survival season",
    r"\b(?:perfectly|completely|always) safe\b": "nothing is",
    r"\bgrowing seasons?\b": "season, or survival season",
    r"\bdays? of frost\b": "hard nights",
    r"\b(?:fatal|lethal|dangerous|harmful) nights?\b": "unsafe nights",
    r"\bdorman(?:t|cy)\b|\brest(?:ing)? periods?\b": "rest",
    r"\b(?:preliminary|tentative) verdicts?\b": "provisional",
    r"\byear[- ]round\b": "all year",
    r"\bcomfort(?:able)? (?:limit|temperature|zone)": "comfort mark",
    r"\b(?:frost|heat) limits?\b": "limit, or ceiling",
    r"\btime series\b|\bdata ?sets?\b": "record",
    r"\bnight(?:ly|-time) (?:lows?|minim)": "night minimum",
    r"\btrust: ": "confidence",
    r"\bsafety margins?\b|\bleeway\b": "margin, or headroom",
}
EXPLAINS_ITSELF = {"DEVELOPERS.md", "glossary.md"}  # pages that name refused words to refuse them


def plain(page: Path) -> str:
    """A page without names in code, which are fixed elsewhere."""
    return re.sub(r"`[^`]*`", "", text_of(page))


@cache
def shown_texts() -> tuple[str, ...]:
    """What answers and help are made of: texts of `answers/` and `cli/`, and docstrings there."""
    texts: list[str] = []
    for name in module_files():
        room = name.split(".")[1:2]
        if room not in (["answers"], ["cli"]):
            continue
        kinds = (ast.Module,) if room == ["cli"] else (ast.Module, ast.ClassDef, ast.FunctionDef)
        hidden = {  # docstrings that nobody is shown; those of commands are their help
            id(node.body[0].value)
            for node in ast.walk(parsed(name))
            if isinstance(node, kinds) and isinstance(node.body[0], ast.Expr)
        }
        texts += [
            " ".join(node.value.split())
            for node in ast.walk(parsed(name))
            if isinstance(node, ast.Constant)
            and isinstance(node.value, str)
            and id(node) not in hidden
        ]
    return tuple(texts)


def explained() -> set[str]:
    """Words that the glossary explains; a row may explain several."""
    rows = re.findall(r"^\| ([^|]+) \| .{10,} \|$", section_of(GLOSSARY, "Words"), re.MULTILINE)
    verdicts = re.search(r"^\| verdict \| (.*) \|$", text_of(GLOSSARY), re.MULTILINE)
    assert verdicts is not None
    return {word for row in rows for word in row.split(", ")} | set(
        re.findall(r"`([a-z-]+)`", verdicts[1])
    )


def without(word: str, texts: Iterable[str]) -> bool:
    """Whether none of the texts has the word, alone or as a plural."""
    pattern = re.compile(rf"(?<![\w-]){re.escape(word)}s?(?![\w-])", re.IGNORECASE)
    return not any(pattern.search(text) for text in texts)


@pytest.mark.slow  # reads every module
def test_forty_words_are_the_same_in_glossary_pages_and_what_the_program_says() -> None:
    """Each is explained in the glossary, and used in that form by a page and by help or answers."""
    assert len(set(TRADE)) == len(TRADE) == 40
    pages = [
        text_of(page)
        for page in page_files()
        if page.stem not in {"glossary", "fields", "changes", "decisions"}
    ]
    assert [word for word in TRADE if word not in explained()] == []
    assert [word for word in TRADE if without(word, pages)] == []
    assert [word for word in TRADE if without(word, shown_texts())] == []


@pytest.mark.parametrize("page", page_files(), ids=lambda page: str(page.name))
def test_pages_use_the_words_of_the_glossary(page: Path) -> None:
    """One thing has one word, and nothing is called safe."""
    assert refused_in("" if page.name in EXPLAINS_ITSELF else plain(page)) == []


@pytest.mark.slow  # reads every module
def test_help_and_answers_use_the_words_of_the_glossary() -> None:
    """As the pages do, and so do the words of groups and spots that answers hand on."""
    assert len(shown_texts()) > 2000
    handed_on = [text_of(file) for file in sorted(PACKAGE.rglob("*.toml"))]
    assert len(handed_on) > 4
    assert refused_in("\n".join([*shown_texts(), *handed_on])) == []


def test_refused_words_are_found() -> None:
    """Otherwise the tests above would hold of nothing."""
    assert refused_in("The growing season has few chill hours.") == [
        "chill hours: say hours below the floor, or dose",
        "growing season: say season, or survival season",
    ]


def refused_in(text: str) -> list[str]:
    """What a text says by another word than the glossary."""
    return [
        f"{match[0]}: say {right}"
        for word, right in REFUSED.items()
        for match in re.finditer(word, text, re.IGNORECASE)
    ]


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
