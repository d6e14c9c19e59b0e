"""Where a value of the catalogue comes from: mark, confidence, sources and a note, checked."""

from __future__ import annotations

from collections.abc import Mapping
from typing import Any

from suitability.fields import Where, parse_list, parse_text, parse_word
from suitability.groups.group import Confidence, Mark

OWN_SOURCE = "own value, no source"
EVIDENCE = frozenset(("mark", "confidence", "sources", "note"))
MARKS = {mark.value: mark for mark in Mark}
CONFIDENCES = {confidence.value: confidence for confidence in Confidence}
MARKS_IN_OURS = {word: mark for word, mark in MARKS.items() if mark is not Mark.OWN}
CONFIDENCES_IN_OURS = {
    word: confidence for word, confidence in CONFIDENCES.items() if confidence is not Confidence.OWN
}


def evidence_needed(where: Where) -> tuple[str, ...]:
    """The fields of evidence that must be there: all but the note in our own catalogue."""
    return ("mark", "confidence", "sources") if where.ours else ()


def parse_evidence(raw: Mapping[str, object], field: str, where: Where) -> dict[str, Any]:
    """Mark, confidence, sources and note of one table; a user's own is "own" where not said."""
    inside = f"{field}."
    marks = MARKS_IN_OURS if where.ours else MARKS
    confidences = CONFIDENCES_IN_OURS if where.ours else CONFIDENCES
    return {
        "mark": parse_word(raw.get("mark", "own"), marks, f"{inside}mark", where),
        "sources": _parse_sources(raw.get("sources", [OWN_SOURCE]), f"{inside}sources", where),
        "confidence": parse_word(
            raw.get("confidence", "own"), confidences, f"{inside}confidence", where
        ),
        "note": parse_text(raw.get("note", ""), f"{inside}note", where),
    }


def _parse_sources(raw: object, field: str, where: Where) -> tuple[str, ...]:
    sources = parse_list(raw, field, where)
    if not sources:
        where.refuse(field, "an empty list", "at least one source")
    if where.known_sources is not None:
        for source in sources:
            if source not in where.known_sources:
                where.refuse(field, f'the unknown source "{source}"', "an id of sources.toml")
    return sources
