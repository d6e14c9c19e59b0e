"""
Spots, ready kinds and collections as text and as plain data, for the command line.

Nothing is computed here: the numbers are those of the file, in the unit asked for.
"""

from __future__ import annotations

import textwrap
from typing import TYPE_CHECKING, Any

from suitability.spots.spot import NO_OFFSET, Measured, Offset, Spot
from suitability.units import TemperatureUnit, show_difference, show_temperature

if TYPE_CHECKING:
    from collections.abc import Iterable, Sequence

    from suitability.spots.collection import Collection
    from suitability.spots.kinds import Kinds
    from suitability.spots.plants import Plant

__all__ = [
    "describe_collection",
    "describe_kinds",
    "render_collection",
    "render_kinds",
    "render_spot",
]

SCHEMA_VERSION = 1
WIDTH = 80  # columns
OFFSET_WORDS = ("clear, calm nights", "other nights", "days")


def describe_collection(
    collection: Collection, spots: Sequence[Spot], plants: Sequence[Plant]
) -> dict[str, Any]:
    """A collection, or the part of it that is asked for, as docs/schema/spots.json holds it."""
    home = collection.home
    return {
        "schema_version": SCHEMA_VERSION,
        "file": collection.path.name,
        "place": {
            "name": home.name,
            "at": home.at,
            "record": None if home.record is None else str(home.record),
            "utc_offset_hours": home.utc_offset_hours,
        },
        "spots": [_spot(spot) for spot in spots],
        "plants": [_plant(plant) for plant in plants],
    }


def describe_kinds(kinds: Kinds) -> dict[str, Any]:
    """The ready kinds, as docs/schema/kinds.json holds them."""
    return {
        "schema_version": SCHEMA_VERSION,
        "kinds": [
            {
                "key": kind.key,
                "name": kind.name,
                **_position(kind.spot),
                "mark": kind.mark,
                "confidence": kind.confidence,
                "sources": [kinds.citations[source] for source in kind.sources],
                "note": kind.note,
            }
            for kind in kinds.by_key.values()
        ],
    }


def _spot(spot: Spot) -> dict[str, Any]:
    return {
        "name": spot.name,
        "kind": spot.kind or None,
        **_position(spot),
        "note": spot.note,
        "measured": None if spot.measured is None else _measured(spot.measured),
    }


def _measured(measured: Measured) -> dict[str, Any]:
    return {
        "first": measured.first.isoformat(),
        "last": measured.last.isoformat(),
        "clear_nights": measured.clear_nights,
        "other_nights": measured.other_nights,
        "days": measured.days,
        "night_error_c": measured.night_error_c,
    }


def _position(spot: Spot) -> dict[str, Any]:
    room, heater = spot.room, spot.heater
    outdoors = room is None
    return {
        "roofed": spot.roofed,
        "clear_night_c": _range(spot.clear_night_c) if outdoors else None,
        "other_night_c": _range(spot.other_night_c) if outdoors else None,
        "day_c": _range(spot.day_c) if outdoors else None,
        "damping_hours": spot.damping_hours,
        "held_minimum_c": spot.held_minimum_c,
        "heater": None
        if heater is None
        else {"watts": heater.watts, "loss_w_per_k": heater.loss_w_per_k},
        "room": None
        if room is None
        else {
            "temp_c": room.temp_c,
            "glass_u_w_m2k": room.glass_u_w_m2k,
            "near_glass": _range(room.near_glass),
        },
        "light": spot.light,
        "aspect": spot.aspect,
    }


def _range(offset: Offset) -> dict[str, float]:
    return {"low": offset.low, "usual": offset.usual, "high": offset.high}


def _plant(plant: Plant) -> dict[str, Any]:
    return {
        "name": plant.name,
        "group": plant.group,
        "group_key": plant.group_key,
        "number": plant.number,
        "spot": plant.spot,
        "note": plant.note,
        "first_winter": plant.first_winter,
        "in_bud": plant.in_bud,
        "shift_c": plant.shift_c,
        "damage": [
            {"date": damage.day.isoformat(), "words": damage.words, "lowest_c": damage.lowest_c}
            for damage in plant.damage
        ],
    }


def render_kinds(kinds: Kinds, unit: TemperatureUnit) -> str:
    """A table of the ready kinds, 80 columns, with what its signs mean below it."""
    lines = [
        f"Ready kinds of spot: what is added to a level open station nearby, {unit.symbol}",
        _heading("kind"),
    ]
    for kind in kinds.by_key.values():
        lines.append(f"{kind.key:<18}{_cells(kind.spot, unit)}{_rain(kind.spot)}")
        lines.append(f"  {kind.name} (trust: {kind.confidence})")
        lines += textwrap.wrap(kind.note, WIDTH, initial_indent="  ", subsequent_indent="  ")
    sources = dict.fromkeys(source for kind in kinds.by_key.values() for source in kind.sources)
    if unit is not TemperatureUnit.C:
        lines += ["", "Notes and sources are in °C."]
    lines += ["", "In brackets: the range. Trust: how far the numbers can be leaned on. Sources:"]
    for source in sources:
        lines += textwrap.wrap(
            kinds.citations[source], WIDTH, initial_indent="- ", subsequent_indent="  "
        )
    lines += textwrap.wrap(
        "Measure with a thermometer in the spot for three weeks, at pot height, shaded, and put "
        "your own numbers in their place.",
        WIDTH,
    )
    return "\n".join(lines)


def render_collection(collection: Collection, unit: TemperatureUnit) -> str:
    """The spots of a collection, one line each, and the plants on them."""
    home = collection.home
    where = ", ".join(text for text in (home.name, home.at) if text) or "no place given"
    lines = [f"{collection.path.name}: {where}"]
    if home.record is not None:
        lines.append(f"Record: {home.record}")
    lines += [
        "",
        _heading("spot"),
    ]
    for spot in collection.spots:
        number = sum(plant.number for plant in collection.plants_at(spot.name))
        lines.append(f"{spot.name[:17]:<18}{_cells(spot, unit)}{_rain(spot)}")
        if number:
            lines.append(f"  {number} {'plant' if number == 1 else 'plants'}")
    lines += ["", f"What is added to the open air, {unit.symbol}; in brackets the range."]
    loose = [plant for plant in collection.plants if plant.spot is None]
    if loose:
        lines += ["", "Not placed yet:", *_plant_lines(loose, unit)]
    return "\n".join(lines)


def render_spot(spot: Spot, plants: Sequence[Plant], unit: TemperatureUnit) -> str:
    """Everything that a collection says of one spot."""
    lines = [spot.name, f"kind: {spot.kind or 'its own'}", *_temperature_lines(spot, unit)]
    if spot.measured is not None:
        nights = spot.measured.clear_nights + spot.measured.other_nights
        lines.append(
            f"measured: {nights} nights, {spot.measured.first} to {spot.measured.last}; night "
            f"minima to {show_difference(spot.measured.night_error_c, unit)}"
        )
    lines.append(f"rain: {'kept off the pots' if spot.roofed else 'reaches the pots'}")
    if spot.light:
        lines.append(f"light: {spot.light}")
    if spot.aspect:
        lines.append(f"faces: {spot.aspect}")
    if spot.note:
        lines += textwrap.wrap(f"note: {spot.note}", WIDTH)
    lines += (
        ["", "Plants:", *_plant_lines(plants, unit)] if plants else ["", "No plants stand here."]
    )
    return "\n".join(lines)


def _temperature_lines(spot: Spot, unit: TemperatureUnit) -> list[str]:
    """What its temperature is."""
    if spot.room is not None:
        room = spot.room
        return [
            f"room: {show_temperature(room.temp_c, unit)}",
            f"glass: {room.glass_u_w_m2k:g} W/(m² K)",
            f"from the room (0) to the pane (1): {_plain_range(room.near_glass)}",
        ]
    lines = [
        f"{words}: {_signed(offset, unit)} {unit.symbol}"
        for words, offset in zip(OFFSET_WORDS, spot.offsets_c, strict=True)
    ]
    if spot.damping_hours:
        lines.append(f"follows the air outside with a time constant of {spot.damping_hours:g} h")
    if spot.held_minimum_c is not None:
        heater = spot.heater
        power = (
            ", by a heater as strong as it takes"
            if heater is None
            else f", by {heater.watts:g} W against a loss of {heater.loss_w_per_k:g} W/K"
        )
        lines.append(f"held at {show_temperature(spot.held_minimum_c, unit)} or more{power}")
    return lines


def _heading(first: str) -> str:
    """Heads of the columns that `_cells` and `_rain` fill."""
    return f"{first:<18}{'clear, calm nights':<21}{'other nights':<13}{'days':<21}rain"


def _cells(spot: Spot, unit: TemperatureUnit) -> str:
    """Three columns of a table: nights, other nights, days."""
    if spot.room is not None:
        return f"{'room of ' + show_temperature(spot.room.temp_c, unit):<55}"
    clear, other, day = (_signed(offset, unit) for offset in spot.offsets_c)
    return f"{clear:<21}{other:<13}{day:<21}"


def _rain(spot: Spot) -> str:
    return "no" if spot.roofed else "yes"


def _signed(offset: Offset, unit: TemperatureUnit) -> str:
    """An offset with its sign and range, without the unit."""
    if offset == NO_OFFSET:
        return "0"

    def number(value_c: float) -> str:
        shown = show_difference(abs(value_c), unit).removesuffix(f" {unit.symbol}")
        shown = shown.removesuffix(".0")
        return "0" if value_c == 0 else f"{'+' if value_c > 0 else '-'}{shown}"

    if offset.is_sure:
        return number(offset.usual)
    return f"{number(offset.usual)} ({number(offset.low)} to {number(offset.high)})"


def _plain_range(offset: Offset) -> str:
    if offset.is_sure:
        return f"{offset.usual:g}"
    return f"{offset.usual:g} ({offset.low:g} to {offset.high:g})"


def _plant_lines(plants: Iterable[Plant], unit: TemperatureUnit) -> list[str]:
    """One line a plant, with its state; then what cold has done to it."""
    lines = []
    for plant in plants:
        state = [
            *(["first winter here"] if plant.first_winter else []),
            *(["in bud"] if plant.in_bud else []),
            *([f"{_shown_shift(plant.shift_c, unit)} against its group"] if plant.shift_c else []),
        ]
        key = plant.group_key or plant.group
        words = ", ".join([f"{plant.number} x {plant.name} ({key})", *state])
        lines += textwrap.wrap(words, WIDTH, initial_indent="  ", subsequent_indent="    ")
        if plant.note:
            lines += textwrap.wrap(
                plant.note, WIDTH, initial_indent="    ", subsequent_indent="    "
            )
        for damage in plant.damage:
            lowest = (
                "" if damage.lowest_c is None else f", at {show_temperature(damage.lowest_c, unit)}"
            )
            lines.append(f"    {damage.day:%Y-%m-%d}: {damage.words}{lowest}")
    return lines


def _shown_shift(shift_c: float, unit: TemperatureUnit) -> str:
    """A difference with its sign and unit."""
    return f"{'+' if shift_c > 0 else '-'}{show_difference(abs(shift_c), unit)}"
