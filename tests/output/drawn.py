"""What the script of a page draws, as a test reads it."""

from __future__ import annotations

import json
from typing import Any

BEGIN, END = '<script type="application/json" id="figures">', "</script>"

__all__ = ["drawn_on"]


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
