"""
Plain values of which parts occur again and again, written once and referred to by number.

Traces and layouts of charts are parted: what one of them shows stays with it, how it is drawn is a
part, which dozens of them share.
"""

from __future__ import annotations

from collections import Counter
from typing import Any

from msgspec import Struct, field
from msgspec.json import encode

REFERENCE = "$"  # the key of an object that stands for a part
SHORTEST = 24  # characters of JSON below which a reference saves nothing
# What a trace or layout has for itself.
OWN = frozenset({"annotations", "base", "customdata", "hovertext", "shapes", "text"})
OWN |= {"x", "xaxis", "y", "yaxis", "z"}


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
    tally = _Tally()
    _count(value, tally)
    return _shared(value, tally), tally.parts


class _Tally(Struct):
    """Names of parts by identity, how often each occurs, and the parts written so far."""

    names: dict[int, bytes] = field(default_factory=dict)
    counts: Counter[bytes] = field(default_factory=Counter)
    numbers: dict[bytes, int] = field(default_factory=dict)
    parts: list[Any] = field(default_factory=list)

    def name(self, part: Any) -> bytes:
        """What two equal parts share; it is kept, since every part is asked for twice."""
        found = self.names.get(id(part))
        return found if found is not None else encode(part)


def _count(part: Any, tally: _Tally) -> None:
    """How often each part occurs, by its JSON; what lies within a repeated one counts once."""
    if not isinstance(part, (dict, list)):
        return
    name = tally.names[id(part)] = tally.name(part)
    tally.counts[name] += 1
    if tally.counts[name] == 1:
        own, rest = _parted(part)
        for inner in own:
            _count(inner, tally)
        if rest:  # made for the count alone: its name is not kept
            rest_name = encode(rest)
            tally.counts[rest_name] += 1
            if tally.counts[rest_name] == 1:
                for inner in rest.values():
                    _count(inner, tally)


def _shared(part: Any, tally: _Tally) -> Any:
    """The part, or a reference to it where it occurs again."""
    if not isinstance(part, (dict, list)):
        return part
    name = tally.name(part)
    if tally.counts[name] < 2 or len(name) < SHORTEST:
        return _opened(part, tally)
    if name not in tally.numbers:
        number = tally.numbers[name] = len(tally.parts)
        tally.parts.append(None)
        tally.parts[number] = _opened(part, tally)
    return {REFERENCE: tally.numbers[name]}


def _opened(part: dict[str, Any] | list[Any], tally: _Tally) -> Any:
    """The part with references inside."""
    if isinstance(part, list):
        return [_shared(inner, tally) for inner in part]
    _, rest = _parted(part)
    drawn = _shared(rest, tally) if rest else {}
    own = part if not rest else {key: part[key] for key in part if key in OWN}
    return drawn | {key: _shared(inner, tally) for key, inner in own.items()}


def _parted(part: dict[str, Any] | list[Any]) -> tuple[list[Any], dict[str, Any]]:
    """What a value has for itself, and how a trace or layout is drawn; empty for all else."""
    if isinstance(part, list):
        return part, {}
    own = {key: inner for key, inner in part.items() if key in OWN}
    if not own or len(own) == len(part):
        return list(part.values()), {}
    return list(own.values()), {key: inner for key, inner in part.items() if key not in OWN}
