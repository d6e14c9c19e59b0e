"""A grower's own place, spots and plants, as values; `reading` takes them from their file."""

from __future__ import annotations

from collections.abc import Sequence
from datetime import date
from pathlib import Path

from msgspec import Struct

from suitability.errors import CatalogueError
from suitability.spots.plants import Plant
from suitability.spots.spot import Spot

WEEKDAYS = ("monday", "tuesday", "wednesday", "thursday", "friday", "saturday", "sunday")
OFFERED = 8  # names, where none is near


class Home(Struct, frozen=True, kw_only=True):
    """
    Where a collection is, as its file says it.

    Attributes
    ----------
    name
        A town to be looked up; beside `at`, or a record imported with its position, only the name
        to show.
    at
        "LAT,LON[,ELEV]".
    record
        A file beside the collection's, or the name of an imported record.
    utc_offset_hours : h
    """

    name: str | None = None
    at: str | None = None
    record: Path | None = None
    utc_offset_hours: float | None = None


class Away(Struct, frozen=True, kw_only=True):
    """Days on which nobody is there to carry pots, the last included."""

    first: date
    last: date


class Moving(Struct, frozen=True, kw_only=True):
    """
    What a grower wishes of moving.

    Attributes
    ----------
    days
        Days of the week on which pots are carried, 0 is Monday.
    away
    most_a_day
        Pots that are carried on one day at most; None: as many as it takes.
    """

    days: tuple[int, ...] = (5,)
    away: tuple[Away, ...] = ()
    most_a_day: int | None = None


class Collection(Struct, frozen=True, kw_only=True):
    """
    A grower's place, spots and plants, each in the order of the file.

    `left_out` says in sentences which plants of the file are not among them, and why;
    `number_left_out` how many these are.
    """

    path: Path
    home: Home
    spots: tuple[Spot, ...]
    plants: tuple[Plant, ...]
    left_out: tuple[str, ...] = ()
    number_left_out: int = 0
    moving: Moving = Moving()

    @property
    def has_plants(self) -> bool:
        """Whether its file lists any, right or wrong."""
        return bool(self.plants or self.left_out)

    def find_spots(self, names: Sequence[str]) -> tuple[Spot, ...]:
        """
        The spots of these names, each once; all of them where none is named.

        Raises
        ------
        CatalogueError
            A name is not in the file (near names are offered), or the file has no spots.
        """
        if not self.spots:
            raise CatalogueError(f"{self.path.name}: it has no spots; add a [[spot]] table.")
        chosen = {name: self.find_spot(name) for name in dict.fromkeys(names)}
        return tuple(dict.fromkeys(chosen.values())) or self.spots

    def find_spot(self, name: str) -> Spot:
        """
        The spot of a name, whatever its capitals.

        Raises
        ------
        CatalogueError
            There is none; near names are offered.
        """
        by_name = {same_name(spot.name): spot for spot in self.spots}
        spot = by_name.get(same_name(name))
        if spot is None:
            hint = near_names(name, [spot.name for spot in self.spots])
            raise CatalogueError(f'{self.path.name}: it has no spot "{name}".{hint}')
        return spot

    def plants_at(self, spot: str) -> tuple[Plant, ...]:
        """The plants that stand at a spot."""
        return tuple(plant for plant in self.plants if plant.spot == spot)


def same_name(name: str) -> str:
    """A name as names are compared: without capitals and needless blanks."""
    return " ".join(name.split()).casefold()


def near_names(word: str, names: Sequence[str]) -> str:
    """A sentence that offers names like a word, or some of all; empty where there are none."""
    from difflib import get_close_matches  # noqa: PLC0415  needed only after a slip

    near = get_close_matches(same_name(word), [same_name(name) for name in names], n=3)
    offered = [name for name in names if same_name(name) in near]
    if offered:
        return f" Near: {'; '.join(offered)}."
    more = f" and {len(names) - OFFERED} more" if len(names) > OFFERED else ""
    return f" There are: {'; '.join(names[:OFFERED])}{more}." if names else ""
