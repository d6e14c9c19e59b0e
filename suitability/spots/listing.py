"""Spots, ready kinds and collections as they are listed: what a file says, nothing computed."""

from collections.abc import Sequence
from typing import Annotated

from msgspec import Meta

from suitability.quantities import SCHEMA_VERSION, Result, SchemaVersion
from suitability.spots.collection import Collection
from suitability.spots.kinds import Kind
from suitability.spots.plants import Plant
from suitability.spots.spot import Spot


class CollectionPlace(Result, frozen=True, kw_only=True):
    """Where a collection is, as its file says it; null where it does not."""

    name: Annotated[str | None, Meta(description="A town, or the name to show.")]
    at: Annotated[str | None, Meta(description="LATITUDE,LONGITUDE[,ELEVATION].")]
    record: Annotated[
        str | None, Meta(description="A file beside the collection's, or an imported record.")
    ]
    utc_offset_hours: Annotated[
        float | None,
        Meta(description="Of standard time, ahead of UTC.", extra_json_schema={"unit": "h"}),
    ]


class SpotList(Result, frozen=True, kw_only=True):
    """A collection, or the part of it that is asked for: `spots list` and `spots show`."""

    schema_version: SchemaVersion = SCHEMA_VERSION
    file: Annotated[str, Meta(description="Name of the collection's file.")]
    place: CollectionPlace
    spots: tuple[Spot, ...]
    plants: tuple[Plant, ...]
    left_out: Annotated[
        tuple[str, ...],
        Meta(description="Plants of the file that are not among them, and why, in sentences."),
    ] = ()


class KindList(Result, frozen=True, kw_only=True):
    """The ready kinds of spot: `spots kinds`."""

    schema_version: SchemaVersion = SCHEMA_VERSION
    kinds: tuple[Kind, ...]


def list_collection(
    collection: Collection, spots: Sequence[Spot], plants: Sequence[Plant]
) -> SpotList:
    """A collection, or the part of it that is asked for."""
    home = collection.home
    return SpotList(
        file=collection.path.name,
        place=CollectionPlace(
            name=home.name,
            at=home.at,
            record=None if home.record is None else str(home.record),
            utc_offset_hours=home.utc_offset_hours,
        ),
        spots=tuple(spots),
        plants=tuple(plants),
        left_out=collection.left_out,
    )
