"""
What a calendar of moves and phases holds: events with their titles and descriptions.

The forms of the file are none of its business; days are dates, texts in the reader's unit.
"""

from __future__ import annotations

from datetime import date, timedelta
from typing import TYPE_CHECKING

from msgspec import Struct

from suitability.advice.growth_year import RestKind, SetBy
from suitability.advice.occasions import REPEATED_YEARS, OccasionKind
from suitability.answers import dates, phases, words
from suitability.answers.head import LIFTING, head_rows
from suitability.units import show_not_below

if TYPE_CHECKING:
    from collections.abc import Sequence

    from suitability.advice.growth_year import GrowthYearResult
    from suitability.advice.moves import MovesResult
    from suitability.advice.occasions import Occasion
    from suitability.units import TemperatureUnit

__all__ = ["KIND_WORDS", "CalendarEvent", "CalendarSheet", "calendar_sheet"]


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
        What it is, in a sentence.
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


KIND_WORDS = {
    OccasionKind.OUT: "Move out and harden",
    OccasionKind.WATCH_OUT: "Out early only by the forecast",
    OccasionKind.IN: "Carry in {by}",  # before sunset, or before the heat
    OccasionKind.WATCH_IN: "Still out only by the forecast",
    OccasionKind.GROWING: "Growing, water and feed as for growth",
    OccasionKind.SLOWING: "Slowing, less water and feed",
    OccasionKind.RESTING: "Rest begins",
    OccasionKind.WAKING: "Waking",
}
KIND_WORDS_IN_A_ROOM = {
    OccasionKind.OUT: "Put in its room",
    OccasionKind.WATCH_OUT: "Early in its room only by the forecast",
    OccasionKind.IN: "Take away from its room",
    OccasionKind.WATCH_IN: "Still in its room only by the forecast",
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
HARDENING = (
    "Two weeks of hardening: shade and shelter first, then lighter by steps, so that leaves do "
    "not burn."
)
USUAL = "A reading of the place's usual year, not a promise; the plant's signs come first."
LOOK_OUT = "Look for: pale or brown patches from the sun, slugs, leaves that wilt in wind."
LOOK_IN = "Look for: slugs, scale and mealy bugs below leaves and in the mix, before they come in."
RENEWAL = (
    "A year of weather more is on record, and the dates may have moved. Make this calendar anew "
    "with the same command: the same occasions take the place of the old ones."
)
REMOVAL = (
    "What is no longer in the new one stays in your program: keep these dates in a calendar of "
    "their own, and empty it first."
)
LONG = 400  # characters of a text from the catalogue or a file


def calendar_sheet(
    occasions: Sequence[Occasion],
    moves: MovesResult | None,
    growth: GrowthYearResult | None,
    *,
    first_day: date,
    units: TemperatureUnit,
) -> CalendarSheet:
    """
    An event for each occasion, one that says what is behind the calendar, and a reminder.

    Parameters
    ----------
    occasions
        As `list_occasions` gives them for the same results and day.
    moves, growth
        At least one; where both are given they are of the same place and record.
    first_day
        The day the calendar begins, at the place.
    units
        In which temperatures are shown.
    """
    result = moves if moves is not None else growth
    assert result is not None
    where = words.clean(result.place.name, 80)
    name = f"Plants at {where}"
    about = tuple(_about_lines(moves, growth, units))
    several = len({one.spot for one in occasions}) > 1
    events = [
        CalendarEvent(
            identity=("about",), first=first_day, days=1, title=f"About: {name}", lines=about
        )
    ]
    for one in occasions:
        spot = words.clean(one.spot, 60)
        lines = _occasion_lines(one, result.settings.promise, units)
        events.append(
            CalendarEvent(
                identity=(
                    one.spot.casefold(),
                    one.group,
                    ", ".join(one.plants),
                    one.kind.value,
                    str(one.number),
                ),
                first=one.first,
                days=one.days,
                title=_occasion_title(one, several=several),
                lines=tuple(lines),
                where=f"{spot}, {where}" if spot else where,
                category=CATEGORIES.get(one.kind, "feed"),
                years=REPEATED_YEARS if one.repeats else 1,
            )
        )
    events.append(
        CalendarEvent(
            identity=("renewal",),
            first=first_day + timedelta(days=365),
            days=1,
            title=f"Make the calendar anew: {name}",
            lines=(RENEWAL, REMOVAL),
        )
    )
    return CalendarSheet(
        name=name,
        about=about[0],
        first_day=first_day,
        latitude=result.place.latitude,
        longitude=result.place.longitude,
        events=tuple(events),
    )


def _occasion_title(occasion: Occasion, *, several: bool) -> str:
    """What is to be done, for whom, and at which spot where there are several."""
    what, move = KIND_WORDS[occasion.kind], occasion.move
    if move is not None:
        what = what.format(by=dates.carry_in(move))
        if move.indoors:
            what = KIND_WORDS_IN_A_ROOM[occasion.kind]
    if occasion.rest_ends:
        what = f"Rest ends. {what}"
    name = words.full_name(occasion) or "unnamed"
    where = f", {words.clean(occasion.spot, 40)}" if several else ""
    return f"{what}: {name}{where}"


def _occasion_lines(occasion: Occasion, promise: float, units: TemperatureUnit) -> list[str]:
    """
    The description of an occasion, a sentence or two each line.

    Parameters
    ----------
    promise
        The probability asked for.
    units
        In which temperatures are shown.
    """
    lines = [f"Group: {words.group_of(occasion)}."] if words.group_of(occasion) else []
    lines += _move_lines(occasion, promise, units) if occasion.move else []
    lines += _phase_lines(occasion, units) if occasion.change else []
    if occasion.repeats:
        lines.append(f"Repeated for {REPEATED_YEARS} years; make the calendar anew each year.")
    elif occasion.in_state:
        lines.append("Not repeated: it is for this plant in its present state.")
    else:
        lines.append("Not repeated: fewer than ten years stand behind it, dates may shift.")
    return lines


def _move_lines(occasion: Occasion, promise: float, units: TemperatureUnit) -> list[str]:
    """Out, in, and the weeks to watch."""
    move, moved = occasion.move, occasion.moved
    assert move is not None
    assert moved is not None
    typical = dates.typical_date(moved, move, short=False)
    promised = words.day_month(moved.promised)
    night = ""
    if occasion.tonight_c is not None and not move.indoors:
        low = show_not_below(occasion.tonight_c, units)
        night = f"In for the night if the forecast low for the spot is {low} or less."
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
    if move.provisional:
        sure.append("Provisional: fewer than ten usable years.")
    heat = HEAT if occasion.by_heat else ""
    if move.indoors:
        room = dates.in_a_room([move])
        return [line for line in (what, room, heat, *sure, LIFTING) if line]
    lines = {
        OccasionKind.OUT: [what, HARDENING, heat, night, *sure, LOOK_OUT, LIFTING],
        OccasionKind.IN: [what, heat, *sure, LOOK_IN, LIFTING],
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
    return [*lines, USUAL]


def _about_lines(
    moves: MovesResult | None, growth: GrowthYearResult | None, units: TemperatureUnit
) -> list[str]:
    """What stands behind a calendar: record, licence, groups without dates, cautions."""
    result = moves if moves is not None else growth
    assert result is not None
    lines = [words.INVENTED] if result.place.invented else []
    lines += [words.clean(note, LONG) for note in result.settings.notes]
    if moves is not None:
        lines.append(dates.moves_title(moves))
        lines += [
            f"No moving dates for {dates.move_label(move, moves)}: "
            f"{dates.not_moved(move, moves.settings.promise)}"
            for move in moves.results
            if move.out is None or move.inn is None
        ]
        rooms = {(move.spot, dates.in_a_room([move])) for move in moves.results if move.indoors}
        lines += [f"{words.clean(spot, 40)}: {text}" for spot, text in sorted(rooms)]
    if growth is not None:
        lines += [
            f"No phases for {phases.year_label(year, growth)}: "
            + (phases.withheld(year) or "nothing changes through the year.")
            for year in growth.results
            if not year.changes
        ]
        lines += [phases.FEEDING_CAUTION, words.clean(growth.pets, LONG)]
    lines += [f"{label}: {text}" for label, text in head_rows(result, units)]
    return [line for line in (*lines, words.CAUTIONS) if line]
