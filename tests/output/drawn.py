"""A page as a browser would read it, and what its script draws."""

from __future__ import annotations

import base64
import hashlib
import json
from html.parser import HTMLParser
from typing import Any

from suitability.output.embedding import PLOTLY_FILE, pack

BEGIN, END = '<script type="application/json" id="figures">', "</script>"

__all__ = ["PACKED", "PLACE_OF_PLOTLY", "PLOTLY", "Page", "drawn_on", "hash_of", "opened"]

PLOTLY = PLOTLY_FILE.read_text("utf-8")
PACKED = pack(PLOTLY)
PLACE_OF_PLOTLY = "the plotting script"


class Page(HTMLParser):
    """Elements, text and tables of a page, as a browser would read them."""

    def __init__(self, text: str) -> None:
        super().__init__(convert_charrefs=True)
        self.elements: list[tuple[str, dict[str, str | None]]] = []
        self.scripts: list[str] = []
        self.styles: list[str] = []
        self.words: list[str] = []
        self.rows: list[list[str]] = []
        self._inside: list[str] = []
        self.feed(text.replace(PACKED, PLACE_OF_PLOTLY))  # much less to parse
        self.close()

    def handle_starttag(self, tag: str, attrs: list[tuple[str, str | None]]) -> None:
        """Note an element and what it opens."""
        self.elements.append((tag, dict(attrs)))
        if tag in {"script", "style", "th", "td", "title"}:
            self._inside.append(tag)
        if tag == "tr":
            self.rows.append([])
        if tag in {"th", "td"}:
            self.rows[-1].append("")
        if tag == "script":
            self.scripts.append("")
        if tag == "style":
            self.styles.append("")

    def handle_endtag(self, tag: str) -> None:
        """Leave an element."""
        if self._inside and self._inside[-1] == tag:
            self._inside.pop()

    def handle_data(self, data: str) -> None:
        """Sort text by the element around it."""
        within = self._inside[-1] if self._inside else ""
        if within == "script":
            self.scripts[-1] += data
        elif within == "style":
            self.styles[-1] += data
        else:
            self.words.append(data)
            if within in {"th", "td"}:
                self.rows[-1][-1] += data

    @property
    def text(self) -> str:
        """All text outside scripts and styles, on one line."""
        return " ".join(" ".join(self.words).split())

    @property
    def data(self) -> dict[str, Any]:
        """What the page's script draws."""
        found: dict[str, Any] = json.loads(self.scripts[0])
        return found

    @property
    def policy(self) -> dict[str, str]:
        """What the page allows itself, by its kind."""
        content = next(
            attrs["content"] or ""
            for tag, attrs in self.elements
            if tag == "meta" and attrs.get("http-equiv") == "Content-Security-Policy"
        )
        return dict(part.strip().split(" ", 1) for part in content.split(";"))

    def tags(self) -> list[str]:
        """Names of all elements."""
        return [tag for tag, _ in self.elements]


def hash_of(text: str) -> str:
    """As a policy names a script or a style."""
    return f"'sha256-{base64.b64encode(hashlib.sha256(text.encode()).digest()).decode()}'"


def drawn_on(page: str) -> dict[str, Any]:
    """By name: the data of every chart of a page, with its repeated parts put in."""
    held = json.loads(page.split(BEGIN, 1)[1].split(END, 1)[0])
    return {chart["id"]: opened(chart["data"], held["parts"]) for chart in held["charts"]}


def opened(value: Any, parts: list[Any]) -> Any:
    """Plain values with their repeated parts put in, as the page's script does."""
    if isinstance(value, list):
        return [opened(inner, parts) for inner in value]
    if not isinstance(value, dict):
        return value
    held = opened(parts[value["$"]], parts) if "$" in value else {}
    if isinstance(held, list):
        return held
    return {**held, **{key: opened(inner, parts) for key, inner in value.items() if key != "$"}}
