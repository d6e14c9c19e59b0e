"""The sheets of `spots list`, `show` and `kinds`: what a file or our list says of spots."""

from __future__ import annotations

from typing import TYPE_CHECKING, TypeVar

from suitability.answers import words
from suitability.answers.sheet import (
    Column,
    Fact,
    Facts,
    Section,
    Sheet,
    Table,
    Text,
    build_table,
)
from suitability.spots.spot import NO_OFFSET
from suitability.units import TemperatureUnit, bare, show_difference, show_temperature

if TYPE_CHECKING:
    from collections.abc import Callable, Iterator, Sequence

    from suitability.answers.sheet import Block
    from suitability.spots.kinds import Kind
    from suitability.spots.listing import KindList, SpotList
    from suitability.spots.plants import Plant
    from suitability.spots.spot import Offset, Spot

Row = TypeVar("Row")
NAME_WIDEST = 17  # characters of a spot's name on a terminal
DENSE = 84  # columns of a terminal below which °F need the room between columns
OFFSETS = ("clear, calm nights", "other nights", "days")
MEASURE = (
    "Measure with a thermometer in the spot for three weeks, at pot height, shaded, and put your "
    "own numbers in their place."
)


def collection_sheet(listed: SpotList, units: TemperatureUnit) -> Sheet:
    """The spots of a collection, and how many plants stand at each."""
    home = listed.place
    named = [words.clean(text, 80) for text in (home.name, home.at) if text]
    where = f"{words.clean(listed.file, 80)}: {', '.join(named) or 'no place given'}"
    blocks: list[Block] = [spots_table(listed, units)]
    if home.record is not None:
        blocks.insert(0, Text(sentences=(f"Record: {words.clean(home.record, 120)}",)))
    sections = [Section(name="spots", blocks=tuple(blocks))]
    loose = [plant for plant in listed.plants if plant.spot is None]
    if loose:
        sections.append(_plants("loose", "Not placed yet:", loose, units))
    return _plain_sheet(where, where, sections, listed.left_out)


def spot_sheet(listed: SpotList, units: TemperatureUnit) -> Sheet:
    """
    Everything that a collection says of one spot.

    Parameters
    ----------
    listed
        With one spot, and the plants on it.
    """
    (spot,) = listed.spots
    name = words.clean(spot.name, 80)
    standing = Section(name="plants", blocks=(Text(sentences=("No plants stand here.",)),))
    if listed.plants:
        standing = _plants("plants", "Plants:", listed.plants, units)
    sections = [Section(name="spot", blocks=(Facts(rows=spot_facts(spot, units)),)), standing]
    return _plain_sheet(name, name, sections, listed.left_out)


def kinds_sheet(listed: KindList, units: TemperatureUnit) -> Sheet:
    """The ready kinds of spot, their numbers, and where these come from."""
    title = f"Ready kinds of spot: what is added to a level open station nearby, {units.symbol}"
    sources = dict.fromkeys(source for kind in listed.kinds for source in kind.sources)
    told = "In brackets: the range. Confidence: how far the numbers can be leaned on. Sources:"
    note = () if units is TemperatureUnit.C else ("Notes and sources are in °C.",)
    return _plain_sheet(
        "Ready kinds of spot",
        title,
        [
            Section(name="kinds", blocks=(kinds_table(listed, units),)),
            Section(
                name="sources",
                blocks=(
                    Text(sentences=(*note, told)),
                    Text(sentences=tuple(sources), listed=True),
                    Text(sentences=(MEASURE,)),
                ),
            ),
        ],
    )


def _plain_sheet(
    title: str, headline: str, sections: Sequence[Section], notes: Sequence[str] = ()
) -> Sheet:
    """A sheet without a record, and without advice that needs a caution."""
    return Sheet(
        title=title,
        headline=headline,
        about=Facts(rows=()),
        sections=tuple(sections),
        notes=tuple(words.clean(note, 400) for note in notes),
    )


# Tables -----------------------------------------------------------------------------------------


def spots_table(listed: SpotList, units: TemperatureUnit) -> Table:
    """One row a spot, and under it its plants."""

    def plants(spot: Spot) -> tuple[str, ...]:
        number = sum(plant.number for plant in listed.plants if plant.spot == spot.name)
        return (f"{number} {'plant' if number == 1 else 'plants'}",) if number else ()

    columns: list[Column[Spot]] = [
        Column.of("Spot", lambda spot: words.clean(spot.name, 40), widest=NAME_WIDEST),
        *_numbers(lambda spot: spot, units),
    ]
    note = f"What is added to the open air, {units.symbol}; in brackets the range."
    return build_table(
        "spots", columns, listed.spots, below=plants, notes=(note,), dense_below=DENSE
    )


def kinds_table(listed: KindList, units: TemperatureUnit) -> Table:
    """One row a kind, and under it its name, confidence and note."""

    def told(kind: Kind) -> tuple[str, ...]:
        name = f"{kind.name} (confidence: {kind.confidence})"
        return (name, kind.note) if kind.note else (name,)

    columns: list[Column[Kind]] = [
        Column.of("Kind", lambda kind: kind.key),
        *_numbers(lambda kind: kind.spot, units),
    ]
    return build_table("kinds", columns, listed.kinds, below=told, dense_below=DENSE)


def _numbers(spot_of: Callable[[Row], Spot], units: TemperatureUnit) -> list[Column[Row]]:
    """What is added by night and by day, or the room; and whether rain reaches the pots."""

    def told(at: int) -> Callable[[Row], str]:
        def cell(row: Row) -> str:
            spot = spot_of(row)
            if spot.room is None:
                return added(spot.offsets_c[at], units)
            return f"room of {show_temperature(spot.room.temp_c, units)}" if at == 0 else ""

        return cell

    return [
        *(Column.of(name.capitalize(), told(at)) for at, name in enumerate(OFFSETS)),
        Column.of("Rain", lambda row: "no" if spot_of(row).roofed else "yes"),
    ]


def added(offset: Offset, units: TemperatureUnit) -> str:
    """
    An offset with its sign and range, without the unit.

    Examples
    --------
    >>> from suitability.spots.spot import Offset
    >>> added(Offset(low=0.0, usual=-1.0, high=2.5), TemperatureUnit.C)
    '-1 (0 to +2.5)'
    """
    if offset == NO_OFFSET:
        return "0"

    def number(value_c: float) -> str:
        shown = bare(show_difference(abs(value_c), units), units).removesuffix(".0")
        return "0" if value_c == 0 else f"{'+' if value_c > 0 else '-'}{shown}"

    if offset.is_sure:
        return number(offset.usual)
    return f"{number(offset.usual)} ({number(offset.low)} to {number(offset.high)})"


# One spot ---------------------------------------------------------------------------------------


def spot_facts(spot: Spot, units: TemperatureUnit) -> tuple[Fact, ...]:
    """Labels and texts, as far as the file has them."""
    return tuple(Fact(*told) for told in _spot_facts(spot, units))


def _spot_facts(spot: Spot, units: TemperatureUnit) -> Iterator[tuple[str, str]]:
    yield "kind", words.clean(spot.kind or "its own", 80)
    yield from _temperature_facts(spot, units)
    for log in spot.measured:
        yield (
            "measured",
            (
                f"{log.nights} nights, {log.first} to {log.last}; night minima to "
                f"{show_difference(log.night_error_c, units)}"
            ),
        )
    yield "rain", "kept off the pots" if spot.roofed else "reaches the pots"
    if spot.light:
        yield "light", spot.light
    if spot.aspect:
        yield "faces", spot.aspect
    if spot.note:
        yield "note", words.clean(spot.note, 400)


def _temperature_facts(spot: Spot, units: TemperatureUnit) -> Iterator[tuple[str, str]]:
    """What its temperature is."""
    room = spot.room
    if room is not None:
        yield "room", show_temperature(room.temp_c, units)
        yield "glass", f"{room.glass_u_w_m2k:g} W/(m² K)"
        yield "from room (0) to pane (1)", _plain_range(room.near_glass)
        return
    for name, offset in zip(OFFSETS, spot.offsets_c, strict=True):
        yield name, f"{added(offset, units)} {units.symbol}"
    if spot.damping_hours:
        yield (
            "lag",
            f"follows the air outside with a time constant of {spot.damping_hours:g} h",
        )
    if spot.held_minimum_c is not None:
        heater = spot.heater
        power = (
            ", by a heater as strong as it takes"
            if heater is None
            else f", by {heater.watts:g} W against a loss of {heater.loss_w_per_k:g} W/K"
        )
        yield "held at", f"{show_temperature(spot.held_minimum_c, units)} or more{power}"


def _plain_range(offset: Offset) -> str:
    if offset.is_sure:
        return f"{offset.usual:g}"
    return f"{offset.usual:g} ({offset.low:g} to {offset.high:g})"


def _plants(name: str, title: str, plants: Sequence[Plant], units: TemperatureUnit) -> Section:
    told = tuple(plant_sentence(plant, units) for plant in plants)
    return Section(name=name, title=title, blocks=(Text(sentences=told, listed=True),))


def plant_sentence(plant: Plant, units: TemperatureUnit) -> str:
    """Number, name and group, its state; then its note and what cold has done to it."""
    state = [
        *(["first winter here"] if plant.first_winter else []),
        *(["in bud"] if plant.in_bud else []),
        *([f"{_signed(plant.shift_c, units)} against its group"] if plant.shift_c else []),
    ]
    group = words.clean(plant.group_key or plant.group, 40)
    parts = [", ".join([f"{plant.number} x {words.clean(plant.name, 80)} ({group})", *state])]
    if plant.caveat:
        parts.append(words.clean(plant.caveat, 400))
    if plant.note:
        parts.append(words.clean(plant.note, 400))
    for damage in plant.damage:
        lowest = ""
        if damage.lowest_c is not None:
            lowest = f", at {show_temperature(damage.lowest_c, units)}"
        parts.append(f"{damage.day:%Y-%m-%d}: {words.clean(damage.words, 400)}{lowest}")
    return "; ".join(parts)


def _signed(shift_c: float, units: TemperatureUnit) -> str:
    """A difference with its sign and unit."""
    return f"{'+' if shift_c > 0 else '-'}{show_difference(abs(shift_c), units)}"
