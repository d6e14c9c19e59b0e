"""
The collection file: a grower's place, spots and plants in TOML, read and checked.

Every refusal names the file, the entry, the field, what was found and what would be right.
"""

from __future__ import annotations

import re
from collections.abc import Container, Sequence
from itertools import count
from pathlib import Path
from typing import Any

from msgspec.structs import replace

from suitability.errors import CatalogueError, OptionError
from suitability.fields import (
    Span,
    Where,
    check_fields,
    check_present,
    parse_number,
    parse_text,
    parse_word,
    read_table,
    shown,
)
from suitability.places import parse_at
from suitability.spots.collection import (
    WEEKDAYS,
    Away,
    Collection,
    Home,
    Moving,
    near_names,
    same_name,
)
from suitability.spots.entries import (
    POSITION_FIELDS,
    parse_count,
    parse_day,
    parse_measured,
    parse_position,
)
from suitability.spots.kinds import Kinds, read_kinds
from suitability.spots.plants import LONGEST_NAME, FoundGroup, GroupFinder, Plant, parse_plant
from suitability.spots.spot import Spot

PARTS = frozenset(("place", "moving", "spot", "plant"))
PLACE_FIELDS = frozenset(("name", "at", "record", "utc_offset"))
PLANT_HEAD = re.compile(r"\s*\[\[\s*([\"']?)plant\1\s*\]\]")
SPOT_FIELDS = frozenset(
    (*POSITION_FIELDS, "name", "kind", "places", "area_cm2", "note", "measured")
)
WEEKDAY_OF = {word: number for number, word in enumerate(WEEKDAYS)}
MOVING_FIELDS = frozenset(("days", "away", "most_a_day"))


def read_collection(path: Path, *, find_group: GroupFinder | None = None) -> Collection:
    """
    The collection in a file.

    A plant whose spot or group is none, or whose name stands twice, is left out and told.

    Parameters
    ----------
    path
    find_group
        From a plant's word to its group; None: plants' groups are taken as they are written.

    Raises
    ------
    CatalogueError
        The file cannot be read, or the first thing in it that is wrong.
    """
    table = read_table(path)
    where = Where(path.name)
    unknown = sorted(table.keys() - PARTS)
    if unknown:
        where.refuse(
            unknown[0],
            "an unknown entry",
            "[place], [moving], [[spot]] and [[plant]] tables and no others",
        )
    home = _parse_home(table.get("place", {}), path, where.at("place"))
    spots = _parse_spots(_tables(table, "spot", where), where, read_kinds())
    entries = _tables(table, "plant", where)
    parsed = [
        parse_plant(entry, at, where, find_group=find_group) for at, entry in enumerate(entries, 1)
    ]
    lines = _plant_lines(path, len(entries))
    plants, left_out = _sort_out(parsed, spots, lines, path.name, known=find_group is not None)
    return Collection(
        path=path,
        home=home,
        spots=spots,
        plants=plants,
        left_out=left_out,
        number_left_out=sum(one.number for one, _ in parsed) - sum(one.number for one in plants),
        moving=_parse_moving(table.get("moving", {}), where.at("moving")),
    )


def _sort_out(
    parsed: Sequence[tuple[Plant, FoundGroup]],
    spots: Sequence[Spot],
    lines: Sequence[str],
    file: str,
    *,
    known: bool,
) -> tuple[tuple[Plant, ...], tuple[str, ...]]:
    """
    Plants that can be judged, and a sentence for each that is left out.

    Parameters
    ----------
    lines
        Where in the file each plant stands.
    known
        Whether groups were looked up.
    """
    spot_names = {same_name(spot.name): spot.name for spot in spots}
    given = {same_name(plant.name) for plant, _ in parsed if plant.name}
    kept: dict[str, Plant] = {}
    line_of: dict[str, str] = {}
    left_out: list[str] = []
    for (plant, found), line in zip(parsed, lines, strict=True):
        told = f'{file}, {line}: plant "{plant.name or plant.group}"'
        if plant.spot is not None and same_name(plant.spot) not in spot_names:
            hint = near_names(plant.spot, list(spot_names.values()))
            left_out.append(
                f'{told} stands at "{plant.spot}", which is no spot of the file; it was left '
                f"out.{hint}"
            )
        elif known and found.key is None:
            left_out.append(f"{told} was left out: {found.refused}")
        elif plant.name and same_name(plant.name) in line_of:
            left_out.append(
                f"{told} stands in {line_of[same_name(plant.name)]} already; this one was left "
                "out. Give each its own name, or one of them a number."
            )
        else:
            name = plant.name or _own_name(plant.group, given | kept.keys())
            spot = None if plant.spot is None else spot_names[same_name(plant.spot)]
            kept[same_name(name)] = replace(plant, name=name, spot=spot)
            if plant.name:
                line_of[same_name(name)] = line
    return tuple(kept.values()), tuple(left_out)


def _own_name(group: str, taken: Container[str]) -> str:
    """The name of a plant that has none: its group, numbered from the second on."""
    names = (group if number == 1 else f"{group} {number}" for number in count(1))
    return next(name for name in names if same_name(name) not in taken)


def _plant_lines(path: Path, number: int) -> list[str]:
    """The line of each [[plant]]; which one it is where plants are written in another way."""
    text = path.read_text("utf-8-sig").split("\n")
    found = [f"line {at}" for at, line in enumerate(text, 1) if PLANT_HEAD.match(line)]
    return found if len(found) == number else [f"plant {at}" for at in range(1, number + 1)]


def _tables(table: dict[str, Any], part: str, where: Where) -> list[Any]:
    entries = table.get(part, [])
    if not isinstance(entries, list):
        found = f"[{part}]" if isinstance(entries, dict) else shown(entries)
        where.refuse(part, found, f"[[{part}]], with two brackets on each side")
    return entries


def _parse_home(entry: object, path: Path, where: Where) -> Home:
    if not isinstance(entry, dict):
        found = "[[place]]" if isinstance(entry, list) else shown(entry)
        where.refuse("", found, "one [place] table")
    check_fields(entry, PLACE_FIELDS, where)
    at = _parse_position_text(entry["at"], where) if "at" in entry else None
    offset = entry.get("utc_offset")
    return Home(
        name=_parse_line(entry["name"], "name", where) if "name" in entry else None,
        at=at,
        record=_parse_record(entry["record"], path, where) if "record" in entry else None,
        utc_offset_hours=None
        if offset is None
        else parse_number(offset, Span(-12.0, 14.0, "h"), "utc_offset", where),
    )


def _parse_moving(entry: object, where: Where) -> Moving:
    if not isinstance(entry, dict):
        where.refuse("", shown(entry), "one [moving] table")
    check_fields(entry, MOVING_FIELDS, where)
    days, away, most = Moving().days, entry.get("away", []), entry.get("most_a_day")
    if "days" in entry:
        if not isinstance(entry["days"], list) or not entry["days"]:
            where.refuse("days", shown(entry["days"]), 'a list such as ["saturday", "sunday"]')
        days = tuple(sorted({parse_word(one, WEEKDAY_OF, "days", where) for one in entry["days"]}))
    if not isinstance(away, list):
        where.refuse(
            "away", shown(away), "a list such as [{ first = 2026-12-20, last = 2027-01-03 }]"
        )
    return Moving(
        days=days,
        away=tuple(_parse_away(one, where) for one in away),
        most_a_day=None
        if most is None
        else parse_count(most, Span(1, 10_000, "pots"), "most_a_day", where),
    )


def _parse_away(entry: object, where: Where) -> Away:
    if not isinstance(entry, dict):
        where.refuse("away", shown(entry), "{ first = DAY, last = DAY }")
    check_fields(entry, frozenset(("first", "last")), where, "away.")
    check_present(entry, ("first", "last"), where, "away.")
    first, last = (parse_day(entry[end], f"away.{end}", where) for end in ("first", "last"))
    if last < first:
        where.refuse("away", f"first {first}, last {last}", "a last day that does not come before")
    return Away(first=first, last=last)


def _parse_line(raw: object, field: str, where: Where) -> str:
    text = parse_text(raw, field, where, LONGEST_NAME).strip()
    if not text:
        where.refuse(field, shown(raw), "a text that is not empty")
    return text


def _parse_position_text(raw: object, where: Where) -> str:
    """The text of a position, tried."""
    text = _parse_line(raw, "at", where)
    try:
        parse_at(text)
    except OptionError as reason:
        right = '"LATITUDE,LONGITUDE" or "LATITUDE,LONGITUDE,HEIGHT", in degrees and metres'
        where_in_file = ", ".join(part for part in (where.file, where.entry, "at") if part)
        raise CatalogueError(
            f'{where_in_file}: found "{text}"; right would be {right}.'
        ) from reason
    return text


def _parse_record(raw: object, path: Path, where: Where) -> Path:
    """A file beside the collection's; a bare name that is no file there is an imported record."""
    own = Path(_parse_line(raw, "record", where)).expanduser()
    beside = path.parent / own
    bare = not own.suffix and own.name == str(own)
    return own if bare and not beside.exists() else beside


def _parse_spots(entries: Sequence[object], where: Where, kinds: Kinds) -> tuple[Spot, ...]:
    spots: dict[str, Spot] = {}
    for number, entry in enumerate(entries, 1):
        spot = _parse_spot(entry, number, where, kinds)
        if same_name(spot.name) in spots:
            where.at(f"spot {number}").refuse(
                "name", f'"{spot.name}", which an earlier spot has', "a name used once"
            )
        spots[same_name(spot.name)] = spot
    return tuple(spots.values())


def _parse_spot(entry: object, number: int, outer: Where, kinds: Kinds) -> Spot:
    where = outer.at(f"spot {number}")
    if not isinstance(entry, dict):
        where.refuse("", shown(entry), "a [[spot]] table")
    if "name" in entry:
        name = _parse_line(entry["name"], "name", where)
        where = outer.at(f'spot {number} ("{name}")')
    check_fields(entry, SPOT_FIELDS, where)
    check_present(entry, ("name",), where)
    start = Spot(name=name)
    if "kind" in entry:
        word = parse_text(entry["kind"], "kind", where)
        if word not in kinds.by_key:
            where.refuse("kind", shown(word), "a ready kind of spot", kinds.near(word))
        start = kinds.by_key[word].spot
    spot = parse_position(entry, start, where)
    measured = entry.get("measured", [])
    return replace(
        spot,
        name=name,
        places=parse_count(entry["places"], Span(0, 100_000, "pots"), "places", where)
        if "places" in entry
        else None,
        area_cm2=parse_number(entry["area_cm2"], Span(1.0, 1e8, "cm²"), "area_cm2", where)
        if "area_cm2" in entry
        else None,
        note=parse_text(entry.get("note", ""), "note", where),
        measured=parse_measured(measured, spot.offsets_c, where),
    )
