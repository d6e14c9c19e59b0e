"""A collection's file changed with its notes, blanks and order kept."""

from __future__ import annotations

from typing import TYPE_CHECKING, Any

from suitability.errors import CatalogueError
from suitability.spots.entries import LOGGED_FIELDS

if TYPE_CHECKING:
    from suitability.spots.spot import Measured, MeasuredOffset, Offset, Spot

__all__ = ["with_measured_spot"]

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
    import tomlkit  # noqa: PLC0415  needed only where a file is changed
    from tomlkit.exceptions import TOMLKitError  # noqa: PLC0415

    measured = spot.measured
    assert measured
    try:
        document: Any = tomlkit.parse(text)
    except TOMLKitError as reason:
        raise CatalogueError(f"{file}: found something that is not TOML ({reason}).") from reason
    wanted = " ".join(spot.name.split()).casefold()
    entry = next(
        (
            one
            for one in document.get("spot", [])
            if " ".join(str(one.get("name", "")).split()).casefold() == wanted
        ),
        None,
    )
    if entry is None:
        raise CatalogueError(f'{file}: it has no spot "{spot.name}"; add a [[spot]] of that name.')
    for at, field in enumerate(OFFSETS):
        if any(log.offsets[at] for log in measured):
            entry[field] = _range(getattr(spot, field))
    if spot.damping_hours or "damping_hours" in entry:
        entry["damping_hours"] = spot.damping_hours
    logs = tomlkit.aot()
    for log in measured:
        logs.append(_log(log))
    logs[-1].add(tomlkit.nl())
    entry.pop("measured", None)
    entry["measured"] = logs
    changed: str = tomlkit.dumps(document)
    return changed


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
