"""
What a calendar of moves, or of care, holds: events with their titles and descriptions.

The forms of the file are none of its business; days are dates, texts in the reader's unit.
"""

from __future__ import annotations

from datetime import date, timedelta
from typing import TYPE_CHECKING

from msgspec import Struct

from suitability.advice.growth_year import Phase, RestKind, SetBy
from suitability.advice.moves import MovesResult
from suitability.advice.occasions import REPEATED_YEARS, OccasionKind
from suitability.answers import dates, phases, words
from suitability.answers.head import (
    HARDENING,
    INDOOR_AIR,
    LIFTING,
    LOOK_IN,
    SPRAYING,
    head_rows,
)

if TYPE_CHECKING:
    from collections.abc import Iterator, Sequence

    from suitability.advice.growth_year import GrowthYearResult
    from suitability.advice.occasions import Occasion
    from suitability.units import TemperatureUnit


class CalendarEvent(Struct, frozen=True, kw_only=True):
    """
    An event of whole days.

    Attributes
    ----------
    identity
        What it is, whatever its days: the only event of a place with it.
    first, days
        First day and number of days.
    lines
        The description.
    where
        Spot and place; empty where it is of none.
    category
        `move`, `watch`, `rest` or `feed`; empty for what is said of the calendar itself.
    years
        For how many years the same days are said; 1 if they are not repeated.
    """

    identity: tuple[str, ...]
    first: date
    days: int
    title: str
    lines: tuple[str, ...]
    where: str = ""
    category: str = ""
    years: int = 1


class CalendarSheet(Struct, frozen=True, kw_only=True):
    """
    A calendar.

    Attributes
    ----------
    about
        What it is and how long it holds, in a few sentences.
    first_day
        The day it begins, at the place.
    latitude, longitude
        Of the place, in degrees: its events are those of other calendars of the same place.
    """

    name: str
    about: str
    first_day: date
    latitude: float
    longitude: float
    events: tuple[CalendarEvent, ...]


KIND_WORDS = {  # {many}, {for_many}: " 6 plants", " for 6 plants"; nothing for one
    OccasionKind.OUT: "Move out and harden{many}",
    OccasionKind.WATCH_OUT: "Out early only by the forecast{for_many}",
    OccasionKind.IN: "Carry in{many} {by}",  # before sunset, or before the heat
    OccasionKind.WATCH_IN: "Still out only by the forecast{for_many}",
    OccasionKind.GROWING: "Growing, water and feed as for growth{for_many}",
    OccasionKind.SLOWING: "Slowing, less water and feed{for_many}",
    OccasionKind.RESTING: "Rest begins{for_many}",
    OccasionKind.WAKING: "Waking{for_many}",
}
KIND_WORDS_IN_A_ROOM = {
    OccasionKind.OUT: "Put{many} in the room",
    OccasionKind.WATCH_OUT: "Early in the room only by the forecast{for_many}",
    OccasionKind.IN: "Take{many} away from the room",
    OccasionKind.WATCH_IN: "Still in the room only by the forecast{for_many}",
}
CATEGORIES = {
    OccasionKind.OUT: "move",
    OccasionKind.WATCH_OUT: "watch",
    OccasionKind.IN: "move",
    OccasionKind.WATCH_IN: "watch",
    OccasionKind.RESTING: "rest",
}
HEAT = (
    "Heat sets this date: it stands in a cooler place before hot days follow one another, and "
    "till then in shade with moving air."
)
USUAL = "A reading of the place's usual year, not a promise; the plant's signs come first."
LOOK_OUT = "Look for: pale or brown patches from the sun, slugs, leaves that wilt in wind."
RENEWAL = (
    "A year of weather more is on record, and the dates may have moved. Make this calendar anew "
    "with the same command: the same occasions take the place of the old ones."
)
REMOVAL = (
    "What is no longer in the new one stays in your program: keep these dates in a calendar of "
    "their own, and empty it first."
)
BESIDE_MOVES = "Rest, water and feed are in the calendar that `suitability year --ics` writes."
BESIDE_CARE = "Moves and weeks to watch are in the calendar that `suitability moves --ics` writes."
FEW_YEARS = "fewer than ten years of weather stand behind it, and dates may shift"
LONG = 400  # characters of a text from the catalogue or a file
LONGEST_TITLE = 90  # characters of the names in it


def calendar_sheet(
    occasions: Sequence[Occasion],
    result: MovesResult | GrowthYearResult,
    *,
    first_day: date,
    units: TemperatureUnit,
) -> CalendarSheet:
    """
    The events of a calendar, one that says what is behind it, and a reminder.

    Plants share an event where day and action are the same.

    Parameters
    ----------
    occasions
        As `list_occasions` gives them for the same result and day.
    first_day
        The day the calendar begins, at the place.
    """
    where = words.clean(result.place.name, 80)
    kind = "moves" if isinstance(result, MovesResult) else "care"
    name = f"Plant {kind} at {where}"
    lasting = _lasting(occasions)
    about = tuple(_about_lines(result, lasting, units))
    several = len({one.spot for one in occasions}) > 1
    promise = result.settings.promise
    first = CalendarEvent(
        identity=("about", kind), first=first_day, days=1, title=f"About: {name}", lines=about
    )
    last = CalendarEvent(
        identity=("renewal", kind),
        first=first_day + timedelta(days=365),
        days=1,
        title=f"Make the calendar anew: {name}",
        lines=(RENEWAL, REMOVAL),
    )
    told = (_event(shared, where, promise, units, several=several) for shared in _shared(occasions))
    return CalendarSheet(
        name=name,
        about=f"{about[0]} {lasting}".strip(),
        first_day=first_day,
        latitude=result.place.latitude,
        longitude=result.place.longitude,
        events=(first, *told, last),
    )


def _shared(occasions: Sequence[Occasion]) -> list[list[Occasion]]:
    """Occasions by the event that they share: named plants with one day and one action do."""
    found: dict[tuple[object, ...], list[Occasion]] = {}
    for one in occasions:
        key = (_action(one), one.first, one.days, one.repeats) if one.plants else _identity(one)
        found.setdefault(key, []).append(one)
    return list(found.values())


def _identity(occasion: Occasion) -> tuple[str, ...]:
    """What an occasion is, whatever its days."""
    spot, whose = occasion.spot.casefold(), ", ".join(occasion.plants)
    return spot, occasion.group, whose, occasion.kind.value, str(occasion.number)


def _event(
    shared: Sequence[Occasion], where: str, promise: float, units: TemperatureUnit, *, several: bool
) -> CalendarEvent:
    """One event; it keeps the identity of the first of its occasions by name."""
    one = shared[0]
    spots = dict.fromkeys(words.clean(other.spot, 60) for other in shared)
    whose = ", ".join(_who(other, several=several) for other in shared)
    number = sum(sum(other.numbers) for other in shared)
    many = f" {number} plants" if number > 1 else ""
    what = _action(one).format(many=many, for_many=many and f" for{many}")
    return CalendarEvent(
        identity=min(map(_identity, shared)),
        first=one.first,
        days=one.days,
        title=f"{what}: {words.clean(whose, LONGEST_TITLE)}",
        lines=tuple(_lines(shared, promise, units, several=several)),
        where=", ".join(filter(None, (*spots, where))),
        category=CATEGORIES.get(one.kind, "feed"),
        years=REPEATED_YEARS if one.repeats else 1,
    )


def _action(occasion: Occasion) -> str:
    """What is to be done, with a gap for the number of plants."""
    what, move = KIND_WORDS[occasion.kind], occasion.move
    if move is not None:
        what = what.replace("{by}", dates.carry_in(move))
        if move.indoors:
            what = KIND_WORDS_IN_A_ROOM[occasion.kind]
    return f"Rest ends. {what}" if occasion.rest_ends else what


def _who(occasion: Occasion, *, several: bool) -> str:
    """Its plants and their spot; or its group, with its spot where there are several."""
    spot = f" ({words.clean(occasion.spot, 40)})" if several or occasion.plants else ""
    if not occasion.plants:
        return (words.clean(occasion.group_name, 60) or "unnamed") + spot
    names = (
        (f"{number} x " if number > 1 else "") + (words.clean(name, 60) or "unnamed")
        for name, number in zip(occasion.plants, occasion.numbers, strict=True)
    )
    return ", ".join(names) + spot


def _lines(
    shared: Sequence[Occasion], promise: float, units: TemperatureUnit, *, several: bool
) -> Iterator[str]:
    """The description: what holds for some of the plants below their names, then what for all."""
    told = [_occasion_lines(one, promise, units) for one in shared]
    common = [line for line in told[0] if all(line in lines for lines in told)]
    apart: dict[tuple[str, ...], list[str]] = {}
    for one, lines in zip(shared, told, strict=True):
        own = tuple(line for line in lines if line not in common)
        apart.setdefault(own, []).append(_who(one, several=several))
    for own, whose in apart.items():
        if sum(len(one.plants) for one in shared) > 1:
            yield f"{', '.join(whose)}:"
        yield from own
    yield from common


def _lasting(occasions: Sequence[Occasion]) -> str:
    """How long a calendar holds, where not every event of it is repeated."""
    once = [one for one in occasions if not one.repeats]
    if len(once) < len(occasions):
        return "What is not repeated says why, and holds for the next 12 months." if once else ""
    few = any(not one.in_state for one in once)
    why = FEW_YEARS if few else "it is for plants in their present state"
    return f"Nothing in it repeats, it is for the next 12 months only: {why}." if once else ""


def _occasion_lines(occasion: Occasion, promise: float, units: TemperatureUnit) -> list[str]:
    """
    The description of an occasion, a sentence or two each line.

    Parameters
    ----------
    promise
        The probability asked for.
    """
    lines = [f"Group: {words.group_of(occasion)}."] if words.group_of(occasion) else []
    lines += _move_lines(occasion, promise, units) if occasion.move else []
    lines += _phase_lines(occasion, units) if occasion.change else []
    if occasion.repeats:
        lines.append(f"Repeated for {REPEATED_YEARS} years; make the calendar anew each year.")
    elif occasion.in_state:
        lines.append("Not repeated: it is for this plant in its present state.")
    else:
        lines.append(f"Not repeated: {FEW_YEARS}.")
    return lines


def _move_lines(occasion: Occasion, promise: float, units: TemperatureUnit) -> list[str]:
    """Out, in, and the weeks to watch."""
    move, moved = occasion.move, occasion.moved
    assert move is not None
    assert moved is not None
    typical = dates.typical_date(moved, move, short=False)
    promised = words.day_month(moved.promised)
    night = ""
    if occasion.tonight is not None and not move.indoors:
        low = dates.tonight(occasion.tonight, units)
        night = f"In for the night at a forecast low for the spot of {low}."
    what = {
        OccasionKind.OUT: f"First day out: {promised}. Typical: {typical}.",
        OccasionKind.IN: (
            f"Carry in by {promised}, {dates.carry_in(move)}: its night is not spent out. "
            f"Typical: {typical}."
        ),
        OccasionKind.WATCH_OUT: (
            f"Between the typical date, {typical}, and the promised one, {promised}: out only if "
            "the forecast allows."
        ),
        OccasionKind.WATCH_IN: (
            f"Between the promised date, {promised}, and the typical one, {typical}: what is "
            "still out stays only if the forecast allows."
        ),
    }[occasion.kind]
    five = dates.percent(move.chance_5_years)
    odds = (
        f"{promise:.0%} of new years are expected to keep out and in together; "
        f"{dates.kept(move)} past years did. That five new years all do: {five}. This date "
        f"alone: {dates.percent(moved.holds_alone)}. 90% interval of the date: "
        f"{dates.interval(moved, short=False)}."
    )
    sure = [odds]
    if move.nearly_all_year:
        sure.append(words.stays(move))
    not_yet = words.no_growth_yet(move)
    what += f" From then it {not_yet}." if not_yet and occasion.kind is OccasionKind.OUT else ""
    if move.provisional:
        sure.append(f"Provisional: fewer than ten usable years{words.worth([move])}.")
    if move.unseen_nights:
        sure.append(words.unseen_sentence(move.unseen_nights))
    heat = HEAT if occasion.by_heat else ""
    if move.indoors:
        room = dates.in_a_room([move])
        return [line for line in (what, room, heat, *sure, LIFTING) if line]
    lines = {
        OccasionKind.OUT: [what, HARDENING, heat, night, *sure, LOOK_OUT, LIFTING],
        OccasionKind.IN: [what, heat, *sure, LOOK_IN, INDOOR_AIR, SPRAYING, LIFTING],
    }.get(occasion.kind, [what, heat or night, *sure])
    return [line for line in lines if line]


def _phase_lines(occasion: Occasion, units: TemperatureUnit) -> list[str]:
    """The start of a phase, with its water and feed."""
    change, run, year = occasion.change, occasion.run, occasion.year
    assert change is not None
    assert year is not None
    told = phases.change_text(change)
    lines = [f"{told[0].upper()}{told[1:]}."]
    if change.set_by in {SetBy.DAY_LENGTH, SetBy.ROOM}:
        lines.append("Indoors light alone dates it: go by the plant.")
        if change.phase is Phase.GROWING:
            lines.append(phases.full_care(year, units))
    if run is not None:
        lines += [
            f"{label}: {words.clean(text, LONG)}."
            for label, text in (
                ("Water", run.water),
                ("Feed", run.feed),
                ("Look for", run.look_for),
            )
        ]
    if occasion.kind is OccasionKind.RESTING and year.rest_kind is not RestKind.NONE:
        lines.append(f"Rest: {phases.rest_text(year, units)}.")
    return [*filter(None, lines), USUAL]


def _about_lines(
    result: MovesResult | GrowthYearResult, lasting: str, units: TemperatureUnit
) -> list[str]:
    """What stands behind a calendar: record, licence, groups without dates, cautions."""
    lines, settings = [words.INVENTED] if result.place.invented else [], result.settings
    notes = (words.unseen_note(result.results), *settings.understood, *settings.notes)
    lines += [words.clean(note, LONG) for note in notes]
    if isinstance(result, MovesResult):
        lines += [dates.moves_title(result, units), lasting, BESIDE_MOVES]
        lines += [
            f"No moving dates for {dates.move_label(move, result)}: "
            f"{dates.not_moved(move, result.settings.promise)}"
            for move in result.results
            if not move.has_dates
        ]
        rooms = {(move.spot, dates.in_a_room([move])) for move in result.results if move.indoors}
        lines += [f"{words.clean(spot, 40)}: {text}" for spot, text in sorted(rooms)]
    else:
        lines += [phases.phases_title(result), lasting, BESIDE_CARE]
        lines += [
            f"No phases for {phases.year_label(year, result)}: "
            + (phases.withheld(year) or "nothing changes through the year.")
            for year in result.results
            if not year.changes
        ]
        lines += [phases.FEEDING_CAUTION, words.clean(result.pets, LONG)]
    lines += [f"{label}: {text}" for label, text in head_rows(result, units)]
    return [line for line in (*lines, words.CAUTIONS) if line]
