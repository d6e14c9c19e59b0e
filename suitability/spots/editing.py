"""A collection's file changed with its notes, blanks and order kept."""

from __future__ import annotations

from typing import TYPE_CHECKING, Any

from suitability.errors import CatalogueError
from suitability.spots.collection import same_name
from suitability.spots.entries import LOGGED_FIELDS

if TYPE_CHECKING:
    from suitability.spots.spot import Measured, MeasuredOffset, Offset, Spot

DECIMALS = 2  # of offsets and errors written, °C
OFFSETS = ("clear_night_c", "other_night_c", "day_c")


def with_measured_spot(text: str, spot: Spot, file: str) -> str:
    """
    The text of a collection with a spot's measured numbers in it; all else stays as it was.

    Only offsets that were measured are written; those that were not stay as they are.

    Parameters
    ----------
    text
        TOML that holds a spot of this name.
    spot
        With `measured`.
    file
        Named where something is wrong.

    Raises
    ------
    CatalogueError
        The file has no such spot.
    """
    measured = spot.measured
    assert measured
    document = _parsed(text, file)
    entry = _named(document, "spot", spot.name)
    if entry is None:
        raise CatalogueError(f'{file}: it has no spot "{spot.name}"; add a [[spot]] of that name.')
    for at, field in enumerate(OFFSETS):
        if any(log.offsets[at] for log in measured):
            entry[field] = _range(getattr(spot, field))
    if spot.damping_hours or "damping_hours" in entry:
        entry["damping_hours"] = spot.damping_hours
    import tomlkit  # noqa: PLC0415  needed only where a file is changed

    logs = tomlkit.aot()
    for log in measured:
        logs.append(_log(log))
    logs[-1].add(tomlkit.nl())
    entry.pop("measured", None)
    entry["measured"] = logs
    changed: str = tomlkit.dumps(document)
    return changed


def with_shift(text: str, plant: str, shift_c: float, file: str) -> str:
    """
    The text of a collection with a plant's shift in it; all else stays as it was.

    Parameters
    ----------
    file
        Named where something is wrong.

    Raises
    ------
    CatalogueError
        No [[plant]] of the file has this name.
    """
    import tomlkit  # noqa: PLC0415  needed only where a file is changed

    document = _parsed(text, file)
    entry = _named(document, "plant", plant)
    if entry is None:
        raise CatalogueError(
            f'{file}: no [[plant]] has the name "{plant}"; write name = "{plant}" into it first.'
        )
    body, notes = entry.value.body, []
    while body and body[-1][0] is None:  # blanks and notes that lead to the next table
        notes.append(body.pop()[1])
    entry["shift_c"] = round(shift_c, DECIMALS)
    for note in reversed(notes):
        entry.add(note)
    changed: str = tomlkit.dumps(document)
    return changed


def _parsed(text: str, file: str) -> Any:
    """TOML with its notes."""
    import tomlkit  # noqa: PLC0415  needed only where a file is changed
    from tomlkit.exceptions import TOMLKitError  # noqa: PLC0415

    try:
        return tomlkit.parse(text)
    except TOMLKitError as reason:
        raise CatalogueError(f"{file}: found something that is not TOML ({reason}).") from reason


def _named(document: Any, part: str, name: str) -> Any:
    """The first table of a part that has a name; None where none has."""
    wanted = same_name(name)
    entries = document.get(part, [])
    return next((one for one in entries if same_name(str(one.get("name", ""))) == wanted), None)


def _log(log: Measured) -> Any:
    from tomlkit import table  # noqa: PLC0415  needed only where a file is changed

    written = table()
    written["first"], written["last"] = log.first, log.last
    for field, offset in zip(LOGGED_FIELDS, log.offsets, strict=True):
        if offset is not None:
            ends = _range(offset)
            ends["number"], ends["scatter"] = offset.number, round(offset.scatter_c, DECIMALS)
            written[field] = ends
    written["night_error_c"] = round(log.night_error_c, DECIMALS)
    return written


def _range(offset: Offset | MeasuredOffset) -> Any:
    from tomlkit import inline_table  # noqa: PLC0415  needed only where a file is changed

    table = inline_table()
    for part in ("low", "usual", "high"):
        table[part] = round(getattr(offset, part), DECIMALS)
    return table
