"""The project's Markdown pages, cut into headings, links and fenced blocks."""

from __future__ import annotations

import re
from dataclasses import dataclass
from functools import cache
from typing import TYPE_CHECKING

from .sources import ROOT

if TYPE_CHECKING:
    from pathlib import Path

FENCE = re.compile(r"^```(\w*)\n(.*?)^```$", re.DOTALL | re.MULTILINE)
LINK = re.compile(r"\[[^\]]*\]\(([^)\s]+)\)")


@dataclass(frozen=True, slots=True, kw_only=True)
class Block:
    """A fenced block: where it stands, its language and its text."""

    where: str
    language: str
    text: str


def page_files() -> list[Path]:
    """README, DEVELOPERS and all pages under docs."""
    return [ROOT / "README.md", ROOT / "DEVELOPERS.md", *sorted((ROOT / "docs").rglob("*.md"))]


@cache
def text_of(page: Path) -> str:
    """The text of a page."""
    return page.read_text(encoding="utf-8")


def blocks_of(page: Path) -> list[Block]:
    """Fenced blocks of a page, in order."""
    text = text_of(page)
    return [
        Block(
            where=f"{page.relative_to(ROOT)}:{text.count(chr(10), 0, found.start()) + 1}",
            language=found[1],
            text=found[2],
        )
        for found in FENCE.finditer(text)
    ]


def links_of(page: Path) -> list[str]:
    """Targets of the links of a page, those in fenced blocks and code left out."""
    prose = re.sub(r"`[^`\n]*`", "", FENCE.sub("", text_of(page)))
    return LINK.findall(prose)


def anchors_of(page: Path) -> set[str]:
    """Anchors of a page's headings, as they are made from their words."""
    prose = FENCE.sub("", text_of(page))
    headings = re.findall(r"^#+ (.+)$", prose, re.MULTILINE)
    words = [re.sub(r"[^\w\- ]", "", heading.lower()) for heading in headings]
    return {heading.strip().replace(" ", "-") for heading in words}


def section_of(page: Path, heading: str) -> str:
    """What stands under a second-level heading."""
    found = re.search(
        rf"^## {re.escape(heading)}\n(.*?)(?=^## |\Z)", text_of(page), re.DOTALL | re.MULTILINE
    )
    assert found is not None, f"{page.name} has no section {heading!r}"
    return found[1]
