"""Which spots a command works at: a collection's, a ready kind, or the open air."""

from dataclasses import replace
from pathlib import Path
from typing import TYPE_CHECKING

from suitability.errors import OptionError

if TYPE_CHECKING:
    from collections.abc import Sequence

    from suitability.advice.profiling import Subject
    from suitability.cli.sources import Request
    from suitability.groups import Catalogue, Caution, Group
    from suitability.spots.collection import Collection
    from suitability.spots.spot import Spot

__all__ = ["at_home", "choose_spots", "open_collection", "plants_in_state"]


def at_home(request: "Request", collection: "Collection") -> "Request":
    """
    What is asked of the record, with the collection's place and record where none was typed.

    A place that was typed is another one: then neither place nor record of the file is taken.
    Options that choose or mend the record of a weather station leave the file's record out.
    """
    from suitability.cli.sources import is_imported

    if request.demo or request.at or request.place:
        return request
    home = collection.home
    wants_station = request.station or request.neighbours or request.lapse_k_per_km is not None
    records = request.records
    if not records and home.record is not None and not wants_station:
        records = (home.record,)
    offset = request.utc_offset_hours
    knows_where = home.at is None and bool(records) and is_imported(records[0])
    return replace(
        request,
        place=None if knows_where else home.name,
        shown=home.name if knows_where else None,
        at=() if home.at is None else (home.at,),
        records=records,
        utc_offset_hours=home.utc_offset_hours if offset is None else offset,
    )


def open_collection(path: Path, catalogue: "Catalogue") -> "Collection":
    """The collection in a file, its plants led to their groups."""
    from suitability.errors import CatalogueError
    from suitability.groups.naming import understand
    from suitability.spots.collection import read_collection

    def find_group(word: str) -> tuple[str | None, tuple[str, ...]]:
        try:
            return understand(catalogue, word).group.key, ()
        except CatalogueError:
            return None, catalogue.near_names(word)

    return read_collection(path, find_group=find_group)


def plants_in_state(
    collection: "Collection | None",
    catalogue: "Catalogue",
    groups: "Sequence[Group]",
    spots: "Sequence[Spot]",
    caution: "Caution",
) -> "list[tuple[Subject, Spot]]":
    """
    The plants whose state moves their limits, each with its spot; one without a spot at all asked.

    Parameters
    ----------
    groups, spots
        Those that are asked about.
    """
    if collection is None:
        return []
    from suitability.advice.plant_state import PlantState
    from suitability.advice.profiling import Subject
    from suitability.groups.words import read_words

    asked = {group.key: group for group in groups}
    by_name = {spot.name: spot for spot in spots}
    told = [
        plant
        for plant in collection.plants
        if plant.first_winter or plant.in_bud or plant.shift_c or plant.damage
    ]
    words = read_words(catalogue) if any(plant.damage for plant in told) else {}
    found = []
    for plant in told:
        if plant.group_key not in asked:
            continue
        state = PlantState(
            first_winter=plant.first_winter, in_bud=plant.in_bud, shift_c=plant.shift_c
        )
        subject = Subject(
            group=asked[plant.group_key],
            caution=caution,
            state=state,
            damage=tuple((damage.day, damage.words) for damage in plant.damage),
            evergreen=words[plant.group_key].evergreen if plant.damage else None,
            name=plant.name,
        )
        own = by_name.get(plant.spot or "")
        here = spots if plant.spot is None else [] if own is None else [own]
        found += [(subject, spot) for spot in here]
    return found


def choose_spots(
    collection: "Collection | None", names: "Sequence[str]", *, roof: bool
) -> "tuple[Spot, ...]":
    """
    The spots asked for.

    Those of the collection that are named, or all; without a collection the ready kinds that are
    named, or the open air.

    Raises
    ------
    OptionError
        --roof stands beside spots, which say for themselves whether rain is kept off.
    CatalogueError
        A name is none.
    """
    from suitability.spots.spot import OPEN_AIR, ROOFED

    if roof and (collection is not None or names):
        raise OptionError(
            "--roof is for the open air alone: a spot of a collection or a ready kind says for "
            "itself whether rain is kept off (roofed = true)."
        )
    if collection is not None:
        return collection.find_spots(names)
    if names:
        from suitability.spots.kinds import read_kinds

        kinds = read_kinds()
        return tuple(kinds.find(name).spot for name in dict.fromkeys(names))
    return (ROOFED if roof else OPEN_AIR,)
