"""
Groups as results: with all that the catalogue says of them, and value by value.

Nothing is computed here: the numbers are those of the catalogue.
"""

from collections.abc import Iterator, Mapping
from typing import Annotated

from msgspec import Meta, Struct
from msgspec.structs import asdict

from suitability.groups.group import Caution, Confidence, Group, Light, Mark, Needs, Value
from suitability.groups.reading import Catalogue
from suitability.groups.species import Names, count_by_mark
from suitability.groups.validation import REST_VALUES, VALUES
from suitability.groups.words import Words
from suitability.quantities import SCHEMA_VERSION, Result, SchemaVersion

NEEDS_FIELDS = frozenset(Needs.__struct_fields__)


class GroupTold(Group, frozen=True, kw_only=True, rename={"light": "light_class", "used": "needs"}):
    """A group with what follows from it, and its words."""

    light: Annotated[
        Light | None, Meta(description="Class of the light it wants; null if not given.")
    ]
    used: Annotated[Needs, Meta(description="What the computation takes at this caution.")]
    words: Words
    plants: Annotated[
        tuple[str, ...], Meta(description="Species and hybrids that lead to it by name.")
    ]


class GroupList(Result, frozen=True, kw_only=True):
    """Groups with all that the catalogue says of them: `groups` and `groups show`."""

    schema_version: SchemaVersion = SCHEMA_VERSION
    caution: Annotated[Caution, Meta(description="Which ends of the ranges needs takes.")]
    groups: tuple[GroupTold, ...]
    plants_by_mark: Annotated[
        dict[Mark, int],
        Meta(description="How many species and hybrids lead to these groups, by their marks."),
    ]
    understood: Annotated[
        str, Meta(description="What the name asked for was taken for; empty for a key.")
    ] = ""
    sources: Annotated[dict[str, str], Meta(description="Citations by the ids that values name.")]


class GroupValue(Struct, frozen=True, kw_only=True):
    """One value of a group, in the unit that it names, and its evidence."""

    key: Annotated[str, Meta(description="Of the group.")]
    name: Annotated[str, Meta(description="Of the group.")]
    field: Annotated[str, Meta(description="Its key in the document; of the rest, after `rest.`.")]
    unit: str
    used: Annotated[float, Meta(description="What the computation takes at this caution.")]
    best: float
    low: float
    high: float
    mark: Mark
    confidence: Confidence
    sources: Annotated[tuple[str, ...], Meta(description="Citations in full.")]
    note: str


class GroupValues(Struct, frozen=True, kw_only=True):
    """The values of some groups, a row each: `groups --csv`."""

    values: tuple[GroupValue, ...]


def tell_groups(
    groups: tuple[Group, ...],
    words: Mapping[str, Words],
    catalogue: Catalogue,
    names: Names,
    caution: Caution = Caution.USUAL,
    *,
    understood: str = "",
) -> GroupList:
    """Groups with their numbers at one caution, their words and plants, and all sources."""
    return GroupList(
        caution=caution,
        understood=understood,
        plants_by_mark=count_by_mark(names, {group.key for group in groups}),
        groups=tuple(
            GroupTold(
                **asdict(group),
                light=group.light_class,
                used=group.needs(caution),
                words=words[group.key],
                plants=names.of_group(group.key),
            )
            for group in groups
        ),
        sources=dict(catalogue.sources),
    )


def list_values(listed: GroupList) -> GroupValues:
    """Every value of some groups, group by group, in °C; sources in full."""
    return GroupValues(
        values=tuple(
            GroupValue(
                key=group.key,
                name=group.name,
                field=field,
                unit=unit,
                used=getattr(group.used, field) if field in NEEDS_FIELDS else value.best,
                best=value.best,
                low=value.low,
                high=value.high,
                mark=value.mark,
                confidence=value.confidence,
                sources=tuple(listed.sources.get(source, source) for source in value.sources),
                note=value.note,
            )
            for group in listed.groups
            for field, unit, value in _values_of(group)
        )
    )


def _values_of(group: Group) -> Iterator[tuple[str, str, Value]]:
    """Name, unit and value of each field that holds one, those of the rest last."""
    for holder, spans, prefix in ((group, VALUES, ""), (group.rest, REST_VALUES, "rest.")):
        for field, span in spans.items():
            value = getattr(holder, field, None)
            if isinstance(value, Value):
                yield f"{prefix}{field}", span.unit, value
