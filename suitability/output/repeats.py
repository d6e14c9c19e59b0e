"""
Plain values of which parts occur again and again, written once and referred to by number.

Traces and layouts of charts are parted: what one of them shows stays with it, how it is drawn is a
part, which dozens of them share.
"""

from __future__ import annotations

from collections import Counter
from json import dumps
from typing import Any

__all__ = ["REFERENCE", "share_repeats"]

REFERENCE = "$"  # the key of an object that stands for a part
SHORTEST = 24  # characters of JSON below which a reference saves nothing
OWN = frozenset(
    (
        "annotations",
        "base",
        "customdata",
        "hovertext",
        "shapes",
        "text",
        "x",
        "xaxis",
        "y",
        "yaxis",
        "z",
    )
)  # what a trace or layout has for itself


def share_repeats(value: Any) -> tuple[Any, list[Any]]:
    """
    The value with references, and the parts that they refer to; parts may refer to other parts.

    An object that has more keys beside the reference is the part with these keys added.

    Parameters
    ----------
    value
        Plain values of JSON; no object of it has the key "$".

    Examples
    --------
    >>> share_repeats([{"font": "a long name of a font"}, {"font": "a long name of a font"}])
    ([{'$': 0}, {'$': 0}], [{'font': 'a long name of a font'}])
    """
    counts: Counter[str] = Counter()
    _count(value, counts)
    parts: list[Any] = []
    return _shared(value, counts, {}, parts), parts


def _count(part: Any, counts: Counter[str]) -> None:
    """How often each part occurs, by its JSON; what lies within a repeated one counts once."""
    if not isinstance(part, (dict, list)):
        return
    name = _name(part)
    counts[name] += 1
    if counts[name] == 1:
        own, rest = _parted(part)
        for inner in own:
            _count(inner, counts)
        if rest:
            _count(rest, counts)


def _shared(part: Any, counts: Counter[str], numbers: dict[str, int], parts: list[Any]) -> Any:
    """The part, or a reference to it where it occurs again."""
    if not isinstance(part, (dict, list)):
        return part
    name = _name(part)
    if counts[name] < 2 or len(name) < SHORTEST:
        return _opened(part, counts, numbers, parts)
    if name not in numbers:
        numbers[name] = len(parts)
        parts.append(None)
        parts[numbers[name]] = _opened(part, counts, numbers, parts)
    return {REFERENCE: numbers[name]}


def _opened(
    part: dict[str, Any] | list[Any],
    counts: Counter[str],
    numbers: dict[str, int],
    parts: list[Any],
) -> Any:
    """The part with references inside."""
    if isinstance(part, list):
        return [_shared(inner, counts, numbers, parts) for inner in part]
    _, rest = _parted(part)
    drawn = _shared(rest, counts, numbers, parts) if rest else {}
    own = part if not rest else {key: part[key] for key in part if key in OWN}
    return drawn | {key: _shared(inner, counts, numbers, parts) for key, inner in own.items()}


def _parted(part: dict[str, Any] | list[Any]) -> tuple[list[Any], dict[str, Any]]:
    """What a value has for itself, and how a trace or layout is drawn; empty for all else."""
    if isinstance(part, list):
        return part, {}
    own = {key: inner for key, inner in part.items() if key in OWN}
    if not own or len(own) == len(part):
        return list(part.values()), {}
    return list(own.values()), {key: inner for key, inner in part.items() if key not in OWN}


def _name(part: Any) -> str:
    return dumps(part, sort_keys=True, separators=(",", ":"))
