"""
The plants of a collection: group, number, spot, state, and what cold has done to them.

A plant's group is a word of the grower's. Who reads the file says which group it leads to: this
room knows no catalogue.
"""

from collections.abc import Callable
from datetime import date
from typing import Annotated, Any

from msgspec import Meta, Struct

from suitability.fields import (
    Span,
    Where,
    check_fields,
    check_present,
    parse_flag,
    parse_number,
    parse_text,
    shown,
)
from suitability.quantities import Celsius, Difference, Result
from suitability.spots.entries import parse_count, parse_day

LARGEST_SHIFT_C = 3.0  # K; a plant that differs more from its group belongs to another
LONGEST_NAME = 80
PLANT_FIELDS = frozenset(
    (
        *("name", "group", "number", "spot", "pot_cm", "note"),
        *("first_winter", "in_bud", "shift_c", "damage"),
    )
)
DAMAGE_FIELDS = frozenset(("date", "words", "lowest_c"))


class FoundGroup(Struct, frozen=True, kw_only=True):
    """What a word leads to: the key of a group with what is not sure of it, or why to none."""

    key: str | None = None
    refused: str = ""
    caveat: str = ""
    rest_told: bool = True


GroupFinder = Callable[[str], FoundGroup]
"""From a word of the file to the group that it leads to."""


class Damage(Result, frozen=True, kw_only=True, rename={"day": "date"}):
    """Harm that was seen."""

    day: Annotated[date, Meta(description="On which it was seen.")]
    words: Annotated[str, Meta(description="What was seen.")]
    lowest_c: Annotated[
        Celsius | None, Meta(description="Of that night, where the grower knows it.")
    ] = None


class Plant(Result, frozen=True, kw_only=True):
    """Plants of one group at one spot."""

    name: Annotated[
        str, Meta(description="What the grower calls it; else the group's word of the file.")
    ]
    group: Annotated[str, Meta(description="The word of the file.")]
    group_key: Annotated[
        str | None,
        Meta(description="Key of the group it leads to; null if it leads to none."),
    ] = None
    caveat: Annotated[
        str, Meta(description="Why that group is only a guess; empty where it is sure.")
    ] = ""
    rest_told: Annotated[
        bool, Meta(description="False where no name tells its rest, as of some hybrids.")
    ] = True
    number: Annotated[int, Meta(ge=1, description="How many there are.")] = 1
    spot: Annotated[str | None, Meta(description="Null: not placed yet.")] = None
    pot_cm: Annotated[
        Annotated[float, Meta(gt=0)] | None,
        Meta(
            description="Width of the square that each takes on a bench; null where not said.",
            extra_json_schema={"unit": "cm"},
        ),
    ] = None
    note: Annotated[str, Meta(description="The grower's own.")] = ""
    first_winter: Annotated[
        bool, Meta(description="Its first winter here, which makes it more tender.")
    ] = False
    in_bud: Annotated[bool, Meta(description="In bud, which makes it more tender.")] = False
    shift_c: Annotated[
        Difference,
        Meta(
            ge=-LARGEST_SHIFT_C,
            le=LARGEST_SHIFT_C,
            description="How much tenderer (above 0) than its group it is taken to be.",
        ),
    ] = 0.0
    damage: Annotated[
        tuple[Damage, ...], Meta(description="What cold has done to it, as the file lists it.")
    ] = ()


def parse_plant(
    entry: object,
    number: int,
    outer: Where,
    *,
    find_group: GroupFinder | None,
) -> tuple[Plant, FoundGroup]:
    """
    One [[plant]] of a collection, its spot as it is written, and what its group's word leads to.

    Parameters
    ----------
    number
        Which of the file it is, from 1.
    find_group
        None: groups are not looked up.

    Raises
    ------
    CatalogueError
        The first thing that is wrong.
    """
    where = outer.at(f"plant {number}")
    if not isinstance(entry, dict):
        where.refuse("", shown(entry), "a [[plant]] table")
    name = parse_text(entry.get("name", ""), "name", where, LONGEST_NAME).strip()
    if name:
        where = outer.at(f'plant {number} ("{name}")')
    check_fields(entry, PLANT_FIELDS, where)
    check_present(entry, ("group",), where)
    group = parse_text(entry["group"], "group", where, LONGEST_NAME).strip()
    if not group:
        where.refuse("group", "an empty text", "the key, an alias or the section of a group")
    found = FoundGroup() if find_group is None else find_group(group)
    plant = Plant(
        name=name,
        group=group,
        group_key=found.key,
        caveat=found.caveat,
        rest_told=found.rest_told,
        number=parse_count(entry.get("number", 1), Span(1, 100_000, "plants"), "number", where),
        spot=parse_text(entry["spot"], "spot", where) if "spot" in entry else None,
        pot_cm=parse_number(entry["pot_cm"], Span(1.0, 200.0, "cm"), "pot_cm", where)
        if "pot_cm" in entry
        else None,
        note=parse_text(entry.get("note", ""), "note", where),
        first_winter=parse_flag(entry.get("first_winter", False), "first_winter", where),
        in_bud=parse_flag(entry.get("in_bud", False), "in_bud", where),
        shift_c=parse_number(
            entry.get("shift_c", 0.0),
            Span(-LARGEST_SHIFT_C, LARGEST_SHIFT_C, "°C"),
            "shift_c",
            where,
        ),
        damage=_parse_damages(entry.get("damage", []), where),
    )
    return plant, found


def _parse_damages(raw: object, where: Where) -> tuple[Damage, ...]:
    if not isinstance(raw, list):
        where.refuse("damage", shown(raw), "[[plant.damage]] tables")
    return tuple(_parse_damage(entry, number, where) for number, entry in enumerate(raw, 1))


def _parse_damage(entry: Any, number: int, where: Where) -> Damage:
    inside = f"damage {number}: "
    if not isinstance(entry, dict):
        where.refuse(inside.rstrip(": "), shown(entry), "a [[plant.damage]] table")
    check_fields(entry, DAMAGE_FIELDS, where, inside)
    check_present(entry, ("date", "words"), where, inside)
    lowest = entry.get("lowest_c")
    span = Span(-40.0, 30.0, "°C", celsius=True)
    return Damage(
        day=parse_day(entry["date"], f"{inside}date", where),
        words=parse_text(entry["words"], f"{inside}words", where),
        lowest_c=None if lowest is None else parse_number(lowest, span, f"{inside}lowest_c", where),
    )
