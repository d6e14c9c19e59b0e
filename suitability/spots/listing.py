"""
Spots, ready kinds and collections as text and as plain data, for the command line.

Nothing is computed here: the numbers are those of the file, in the unit asked for.
"""

import textwrap
from collections.abc import Iterable, Sequence
from typing import Annotated

from msgspec import Meta

from suitability.quantities import SCHEMA_VERSION, Result, SchemaVersion
from suitability.spots.collection import Collection
from suitability.spots.kinds import Kind, Kinds
from suitability.spots.plants import Plant
from suitability.spots.spot import NO_OFFSET, Offset, Spot
from suitability.units import TemperatureUnit, show_difference, show_temperature

__all__ = [
    "CollectionPlace",
    "KindList",
    "SpotList",
    "list_collection",
    "render_collection",
    "render_kinds",
    "render_spot",
]

WIDTH = 80  # columns
OFFSET_WORDS = ("clear, calm nights", "other nights", "days")


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
    )


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
        lines += textwrap.wrap(source, WIDTH, initial_indent="- ", subsequent_indent="  ")
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
