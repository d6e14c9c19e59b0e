"""
What a ready kind and a grower's own spot both say of a position, checked field by field.

A number may stand alone, and then it is sure; or as low, usual and high.
"""

from __future__ import annotations

from contextlib import suppress
from datetime import date, datetime
from typing import TYPE_CHECKING, Any, TypeVar

from msgspec.structs import replace

from suitability.fields import (
    Span,
    check_fields,
    check_present,
    parse_flag,
    parse_number,
    parse_word,
    shown,
)
from suitability.spots.spot import (
    ASPECTS,
    LIGHT_CLASSES,
    NO_OFFSET,
    Aspect,
    Heater,
    Light,
    Measured,
    MeasuredOffset,
    Offset,
    Room,
    Spot,
)

if TYPE_CHECKING:
    from collections.abc import Mapping, Sequence

    from suitability.fields import Where

Said = TypeVar("Said", bound=str)
NIGHT = Span(-15.0, 25.0, "°C")
DAY = Span(-15.0, 40.0, "°C")
OFFSETS = {"clear_night_c": NIGHT, "other_night_c": NIGHT, "day_c": DAY}
GLAZINGS = {"single": 5.8, "double": 2.8, "low-e": 1.2}  # W/(m² K): panes of 5, 13, 17 °C at 20/0
ROOM_FIELDS = ("room_c", "glazing", "glass_u_w_m2k", "near_glass")
HEATER_FIELDS = ("heater_watts", "heat_loss_w_per_k")
POSITION_FIELDS = frozenset(
    (
        *("roofed", *OFFSETS, "damping_hours", "held_minimum_c", "light", "aspect"),
        *(*ROOM_FIELDS, *HEATER_FIELDS),
    )
)
LOG_FIELDS = ("first", "last", "night_error_c")
LOGGED_FIELDS = ("clear_night", "other_night", "day")
COUNTED_FIELDS = ("clear_nights", "other_nights", "days")
NIGHTS = Span(0, 100_000, "nights")
SHARE = Span(0.0, 1.0, "(0: air of the room, 1: the pane)")
WORDS_OF_LIGHT: dict[str, Light] = {word: word for word in LIGHT_CLASSES}
WORDS_OF_ASPECT: dict[str, Aspect] = {word: word for word in ASPECTS}


def parse_position(entry: Mapping[str, Any], start: Spot, where: Where) -> Spot:
    """
    A spot, from where it starts and what an entry says of it.

    Parameters
    ----------
    entry
        Its fields in `POSITION_FIELDS` are read, others left alone.
    start
        What holds where the entry says nothing: a ready kind, or the open air.

    Raises
    ------
    CatalogueError
        A value is none, out of range, or two contradict each other.
    """
    clear, other, day = start.offsets_c
    spot = replace(
        start,
        roofed=parse_flag(entry.get("roofed", start.roofed), "roofed", where),
        damping_hours=parse_number(
            entry.get("damping_hours", start.damping_hours),
            Span(0.0, 240.0, "h"),
            "damping_hours",
            where,
        ),
        held_minimum_c=_optional(
            entry,
            "held_minimum_c",
            Span(-5.0, 30.0, "°C", celsius=True),
            start.held_minimum_c,
            where,
        ),
        heater=_parse_heater(entry, start.heater, where),
        room=_parse_room(entry, start.room, where),
        light=_word(entry, "light", WORDS_OF_LIGHT, start.light, where),
        aspect=_word(entry, "aspect", WORDS_OF_ASPECT, start.aspect, where),
        clear_night_c=_offset(entry, "clear_night_c", clear, where),
        other_night_c=_offset(entry, "other_night_c", other, where),
        day_c=_offset(entry, "day_c", day, where),
    )
    _check_together(entry, spot, where)
    return spot


def parse_offset(raw: object, span: Span, field: str, where: Where) -> Offset:
    """
    A number with its range, from a number alone or from low, usual and high.

    Raises
    ------
    CatalogueError
        It is neither, or not in order.
    """
    if not isinstance(raw, dict):
        number = parse_number(raw, span, field, where)
        return Offset(low=number, usual=number, high=number)
    check_fields(raw, frozenset(("low", "usual", "high")), where, f"{field}.")
    check_present(raw, ("low", "usual", "high"), where, f"{field}.")
    low, usual, high = (
        parse_number(raw[part], span, f"{field}.{part}", where) for part in ("low", "usual", "high")
    )
    if not low <= usual <= high:
        where.refuse(field, f"low {low:g}, usual {usual:g}, high {high:g}", "low <= usual <= high")
    return Offset(low=low, usual=usual, high=high)


def parse_measured(raw: object, offsets: Sequence[Offset], where: Where) -> tuple[Measured, ...]:
    """
    The logs of a spot, as `spots fit --write` leaves them: [[spot.measured]] tables.

    One [spot.measured] table that only counts nights is a log that gave the offsets of the entry.

    Parameters
    ----------
    offsets
        Of the entry: clear and calm nights, other nights, days.

    Raises
    ------
    CatalogueError
        A value is none or missing.
    """
    logs = raw if isinstance(raw, list) else [raw]
    return tuple(
        _parse_log(log, offsets, where.at(f"{where.entry}, log {number}"))
        for number, log in enumerate(logs, 1)
    )


def _parse_log(raw: object, offsets: Sequence[Offset], where: Where) -> Measured:
    if not isinstance(raw, dict):
        where.refuse("measured", shown(raw), "a [[spot.measured]] table")
    counted = any(field in raw for field in COUNTED_FIELDS)
    known = (*LOG_FIELDS, *COUNTED_FIELDS) if counted else (*LOG_FIELDS, *LOGGED_FIELDS)
    check_fields(raw, frozenset(known), where, "measured.")
    check_present(raw, known if counted else LOG_FIELDS, where, "measured.")
    if counted:
        found = [
            _of_count(int(parse_number(raw[field], NIGHTS, f"measured.{field}", where)), offset)
            for field, offset in zip(COUNTED_FIELDS, offsets, strict=True)
        ]
    else:
        found = [_parse_logged(raw.get(field), field, where) for field in LOGGED_FIELDS]
    clear, other, day = found
    return Measured(
        first=parse_day(raw["first"], "measured.first", where),
        last=parse_day(raw["last"], "measured.last", where),
        clear_night=clear,
        other_night=other,
        day=day,
        night_error_c=parse_number(
            raw["night_error_c"], Span(0.0, 30.0, "°C"), "measured.night_error_c", where
        ),
    )


def _parse_logged(raw: object, field: str, where: Where) -> MeasuredOffset | None:
    """What one log gave for one kind of night, or for days."""
    if raw is None:
        return None
    name = f"measured.{field}"
    if not isinstance(raw, dict):
        where.refuse(name, shown(raw), "low, usual, high, number and scatter")
    check_present(raw, ("number", "scatter"), where, f"{name}.")
    ends = {part: value for part, value in raw.items() if part not in {"number", "scatter"}}
    offset = parse_offset(ends, DAY, name, where)
    return MeasuredOffset(
        low=offset.low,
        usual=offset.usual,
        high=offset.high,
        number=int(parse_number(raw["number"], NIGHTS, f"{name}.number", where)),
        scatter_c=parse_number(raw["scatter"], Span(0.0, 30.0, "°C"), f"{name}.scatter", where),
    )


def _of_count(number: int, offset: Offset) -> MeasuredOffset | None:
    """What a log gave of which only the number of nights is known: the offset of the entry."""
    if not number:
        return None
    half = (offset.high - offset.low) / 2.0
    return MeasuredOffset(
        low=offset.low,
        usual=offset.usual,
        high=offset.high,
        number=number,
        scatter_c=half * number**0.5 / 1.8,  # Student's 95 % point for about ten nights
    )


def parse_count(raw: object, span: Span, field: str, where: Where) -> int:
    """
    A whole number within a span.

    Raises
    ------
    CatalogueError
        It is none.
    """
    number = parse_number(raw, span, field, where)
    if number != int(number):
        where.refuse(field, shown(raw), "a whole number")
    return int(number)


def parse_day(raw: object, field: str, where: Where) -> date:
    """
    A day, as TOML writes it or as text.

    Raises
    ------
    CatalogueError
        It is none.
    """
    if isinstance(raw, date) and not isinstance(raw, datetime):
        return raw
    if isinstance(raw, str):
        with suppress(ValueError):
            return date.fromisoformat(raw)
    return where.refuse(field, shown(raw), "a day such as 2024-01-12")


def _offset(entry: Mapping[str, Any], field: str, start: Offset, where: Where) -> Offset:
    return parse_offset(entry[field], OFFSETS[field], field, where) if field in entry else start


def _optional(
    entry: Mapping[str, Any], field: str, span: Span, start: float | None, where: Where
) -> float | None:
    return parse_number(entry[field], span, field, where) if field in entry else start


def _word(
    entry: Mapping[str, Any],
    field: str,
    words: Mapping[str, Said],
    start: Said | None,
    where: Where,
) -> Said | None:
    return parse_word(entry[field], words, field, where) if field in entry else start


def _parse_heater(entry: Mapping[str, Any], start: Heater | None, where: Where) -> Heater | None:
    """A heater of limited power; both of its numbers or neither."""
    given = [field for field in HEATER_FIELDS if field in entry]
    if not given:
        return start
    for field in HEATER_FIELDS:
        if field not in entry:
            where.refuse(field, f"nothing beside {given[0]}", "both of these fields, or neither")
    return Heater(
        watts=parse_number(entry["heater_watts"], Span(1.0, 50_000.0, "W"), "heater_watts", where),
        loss_w_per_k=parse_number(
            entry["heat_loss_w_per_k"], Span(0.1, 5000.0, "W/K"), "heat_loss_w_per_k", where
        ),
    )


def _parse_room(entry: Mapping[str, Any], start: Room | None, where: Where) -> Room | None:
    """The room of a spot indoors."""
    given = [field for field in ROOM_FIELDS if field in entry]
    if not given:
        return start
    if start is None:
        check_present(entry, ("room_c",), where)
    if "glazing" in entry and "glass_u_w_m2k" in entry:
        where.refuse("glass_u_w_m2k", "it beside glazing", "one of the two")
    kept = start or Room(temp_c=20.0, glass_u_w_m2k=GLAZINGS["double"], near_glass=NO_OFFSET)
    glass = kept.glass_u_w_m2k
    if "glazing" in entry:
        glass = parse_word(entry["glazing"], GLAZINGS, "glazing", where)
    elif "glass_u_w_m2k" in entry:
        span = Span(0.3, 7.0, "W/(m² K)")
        glass = parse_number(entry["glass_u_w_m2k"], span, "glass_u_w_m2k", where)
    near = kept.near_glass
    if "near_glass" in entry:
        near = parse_offset(entry["near_glass"], SHARE, "near_glass", where)
    span = Span(0.0, 35.0, "°C", celsius=True)
    temp_c = parse_number(entry.get("room_c", kept.temp_c), span, "room_c", where)
    return Room(temp_c=temp_c, glass_u_w_m2k=glass, near_glass=near)


def _check_together(entry: Mapping[str, Any], spot: Spot, where: Where) -> None:
    """Refuse what contradicts itself."""
    if spot.room is not None:
        outdoors = (*OFFSETS, "damping_hours", "held_minimum_c", *HEATER_FIELDS)
        wrong = next((field for field in outdoors if field in entry), None)
        if wrong is not None:
            where.refuse(
                wrong, f"{shown(entry[wrong])} for a spot in a room", "room_c, glazing, near_glass"
            )
        if not spot.roofed:
            where.refuse("roofed", "false for a spot in a room", "true, or an outdoor spot")
    if spot.heater is not None and spot.held_minimum_c is None:
        where.refuse("heater_watts", "a heater", "held_minimum_c beside it: what it shall hold")
