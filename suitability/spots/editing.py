"""A collection's file changed with its notes, blanks and order kept."""

from __future__ import annotations

from typing import TYPE_CHECKING, Any

from suitability.errors import CatalogueError

if TYPE_CHECKING:
    from suitability.spots.spot import Offset, Spot

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
    assert measured is not None
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
    told = (measured.clear_nights, measured.other_nights, measured.days)
    for field, number in zip(OFFSETS, told, strict=True):
        if number:
            entry[field] = _range(getattr(spot, field))
    if spot.damping_hours or "damping_hours" in entry:
        entry["damping_hours"] = spot.damping_hours
    table = tomlkit.table()
    table["first"], table["last"] = measured.first, measured.last
    table["clear_nights"] = measured.clear_nights
    table["other_nights"] = measured.other_nights
    table["days"] = measured.days
    table["night_error_c"] = round(measured.night_error_c, DECIMALS)
    table.add(tomlkit.nl())
    entry["measured"] = table
    changed: str = tomlkit.dumps(document)
    return changed


def _range(offset: Offset) -> Any:
    from tomlkit import inline_table  # noqa: PLC0415  needed only where a file is changed

    table = inline_table()
    for part in ("low", "usual", "high"):
        table[part] = round(getattr(offset, part), DECIMALS)
    return table
