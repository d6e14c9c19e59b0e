"""The sheet of a plan: who has no place, the moving days in order, who stands where, room used."""

from __future__ import annotations

from collections import Counter
from itertools import groupby
from typing import TYPE_CHECKING

from msgspec import Struct

from suitability.answers import dates, words
from suitability.answers.calendar import CalendarEvent, CalendarSheet
from suitability.answers.head import HARDENING, HEATING, LIFTING, LOOK_IN, make_sheet
from suitability.answers.sheet import (
    Chart,
    Column,
    Fact,
    Facts,
    Level,
    On,
    Section,
    Text,
    build_table,
)
from suitability.units import TemperatureUnit, show_difference

if TYPE_CHECKING:
    from collections.abc import Iterator, Sequence
    from datetime import date

    from suitability.advice.plan_result import (
        Bought,
        Carry,
        Explained,
        Homeless,
        MovingDay,
        NotThere,
        PlanChange,
        PlannedPlant,
        PlannedStay,
        PlanResult,
        RoomUse,
    )
    from suitability.answers.sheet import Sheet, Table

__all__ = ["RoomWeeks", "carry_sheet", "plan_calendar", "plan_sheet"]

WEEKDAYS = ("Monday", "Tuesday", "Wednesday", "Thursday", "Friday", "Saturday", "Sunday")
AGAINST = {
    "day": "not one of your moving days: nights where they are go unpromised until the next",
    "away": "while you are away: nights where they are go unpromised",
    "number": "more pots than you wish to carry on a day",
}
WHY = (
    "These are not the dates of `moves`, which asks of one spot: `--explain PLANT` says why, and "
    "`outlook` whether a night lets one wait."
)
WHOLE_YEAR = 364  # nights of a plan
NO_SPOT = "for which the plan has no place"
NO_ROOM = (
    "No spot of the file is a room: where plants stand indoors is a [[spot]] too, such as one of "
    'kind = "window-sill" with room_c.'
)
NAMED = 6  # plants that a sentence names
LONGEST = 60  # characters of a name


class RoomWeeks(Struct, frozen=True, kw_only=True):
    """
    What the chart of room draws: spots down, weeks across.

    Attributes
    ----------
    spots
        With their room.
    shares : (spot, week), %
        Of the room that is used; of all pots where it is not limited.
    cells, told : (spot, week)
        What stands in each cell, and what is said of it.
    months
        Name of each month and the week in which it begins.
    """

    spots: tuple[str, ...]
    shares: tuple[tuple[float, ...], ...]
    cells: tuple[tuple[str, ...], ...]
    told: tuple[tuple[tuple[str, ...], ...], ...]
    months: tuple[tuple[str, int], ...]
    title_across: str


def plan_sheet(result: PlanResult, units: TemperatureUnit) -> Sheet:
    """
    What a plan says.

    Parameters
    ----------
    units
        In which temperatures are shown.
    """
    warmth = any(change.kind == "warmth" for change in result.changes)
    return make_sheet(
        result,
        units,
        title=f"The year's plan at {result.place.name}",
        headline=_headline(result),
        judged=result.results,
        sections=_sections(result, units),
        closing=(HARDENING, LOOK_IN, LIFTING, *([HEATING] if warmth else [])),
    )


def _headline(result: PlanResult) -> str:
    """The answer: of what was asked beside the plan first."""
    if result.reason is not None:
        return f"No plan can be made: {words.clean(result.reason.text, 400)}"
    if result.bought is not None:
        return _bought_sentence(result, result.bought)
    if result.explained is not None:
        return _explained_sentence(result, result.explained)
    return _placed(result)


def _placed(result: PlanResult) -> str:
    """Whether every plant has a place, and what moving that takes."""
    moving = "nothing is moved"
    if result.days:
        days = _count(len(result.days), "moving day")
        moving = f"{days}, {_count(result.moved, 'pot')} carried in all"
    if not result.homeless:
        every = f"All {result.pots} plants have" if result.pots > 1 else "The plant has"
        return f"{every} a place all year: {moving}."
    lacking = _lacking(result.homeless)
    first, last = _longest(result.homeless)
    several = "" if len(result.homeless) == 1 else ", in the longest case"
    number = sum(lacking.values())
    most = _most_at_once(result.homeless)
    at_once = f", at most {most} at once" if most < number else ""
    have = "has" if number == 1 else "have"
    return (
        f"{number} of {_count(result.pots, 'plant')} {have} no place for a time{at_once}: "
        f"{_named(lacking)}{several} from {_date(first)} to {_date(last)}."
    )


def _lacking(homeless: Sequence[Homeless]) -> dict[str, int]:
    """How many pots of each plant have no place at some time."""
    ways = {(one.plant, one.way): one.number for one in homeless}
    found: dict[str, int] = {}
    for (plant, _), number in ways.items():
        found[plant] = found.get(plant, 0) + number
    return found


def _most_at_once(homeless: Sequence[Homeless]) -> int:
    """Pots without a place on the day on which they are most."""
    return max(
        sum(one.number for one in homeless if one.first <= day <= one.last)
        for day in {one.first for one in homeless}
    )


def _longest(homeless: Sequence[Homeless]) -> tuple[date, date]:
    longest = max(homeless, key=lambda one: (one.last - one.first).days)
    return longest.first, longest.last


def _sections(result: PlanResult, units: TemperatureUnit) -> Iterator[Section]:
    if result.reason is not None:
        return
    if result.bought is not None or result.explained is not None:
        yield Section(name="plan", blocks=(Text(sentences=(_placed(result),)),))
    if result.explained is not None:
        yield Section(
            name="elsewhere",
            title=f"Why {words.clean(result.explained.plant, LONGEST)} stands nowhere else",
            blocks=(_facts_of(result.explained),),
        )
    if result.homeless:
        told = tuple(_homeless_sentences(result.homeless))
        yield Section(
            name="no-place", title="Without a place", blocks=(Text(sentences=told, listed=True),)
        )
        yield Section(
            name="changes", title="What would give all a place", blocks=(_changes(result, units),)
        )
    if result.days:
        told = tuple(map(_day_sentence, result.days))
        against = _against_sentence(result)
        blocks = Text(sentences=told, listed=True), Text(sentences=(*filter(None, [against]), WHY))
        yield Section(name="moving-days", title="Moving days", blocks=blocks)
    yield Section(
        name="room-through-the-year",
        title=_room_title(result),
        lead=True,
        blocks=(_chart(result),),
        on=On.PAGE,
    )
    yield Section(
        name="who-where",
        title="Who stands where",
        level=Level.DETAIL,
        blocks=(_stays_table(result), _plants_table(result), Text(sentences=(_gap(result),))),
    )
    yield Section(
        name="room-used", title="Room used", level=Level.DETAIL, blocks=(_room_table(result),)
    )


# Sentences ----------------------------------------------------------------------------------------


def _count(number: int, what: str) -> str:
    return f"{number} {what}{'' if number == 1 else 's'}"


def _named(numbers: dict[str, int], most: int = NAMED) -> str:
    """Plants by name with their numbers; what has no room is counted."""
    told = [
        words.in_list(words.clean(name, LONGEST)) + (f" ({number})" if number > 1 else "")
        for name, number in numbers.items()
    ]
    more = f" and {len(told) - most} more" if len(told) > most else ""
    return ", ".join(told[:most]) + more


def _date(day: date) -> str:
    return words.day_month(f"{day:%m-%d}")


def _short_day(day: date) -> str:
    return f"{words.day_month(f'{day:%m-%d}', short=True)} {day.year}"


def _weekday(day: date) -> str:
    """A day with its weekday, such as "Saturday 11 October"."""
    return f"{WEEKDAYS[day.weekday()]} {_date(day)}"


def _day_sentence(day: MovingDay) -> str:
    """What is carried on a day, way by way."""
    told = "; ".join(
        f"{_count(sum(one.number for one in moves), 'pot')} {way}: {_named(_numbers(moves))}"
        for way, moves in _ways(day)
    )
    against = "".join(f" ({AGAINST[wish]})" for wish in day.against)
    return f"{_weekday(day.day)}: {told}{against}."


def _ways(day: MovingDay) -> Iterator[tuple[str, list[Carry]]]:
    """The moves of a day from one spot to another."""
    for (before, after), moves in groupby(day.moves, key=lambda one: (one.from_spot, one.to_spot)):
        away, to = words.clean(before or "", LONGEST), words.clean(after or "", LONGEST)
        yield (f"out of {away}, {NO_SPOT}" if not to else f"{away} to {to}".strip(), [*moves])


def _numbers(moves: Sequence[Carry]) -> dict[str, int]:
    found: dict[str, int] = {}
    for one in moves:
        found[one.plant] = found.get(one.plant, 0) + one.number
    return found


def _against_sentence(result: PlanResult) -> str:
    """How many pots are moved against a wish; empty if none is."""
    if not result.against_wishes:
        return ""
    proven = "" if result.gap is None else "no fewer would do, for "
    return (
        f"Of {_count(result.moved, 'pot')} moved {result.against_wishes} go against your wishes: "
        f"{proven}cold nights and room come first."
    )


def _homeless_sentences(homeless: Sequence[Homeless]) -> Iterator[str]:
    """Who has no place and when, the earliest first; pots of the same weeks together."""
    together: dict[tuple[date, date, bool], dict[str, int]] = {}
    for one in sorted(homeless, key=lambda one: (one.first, one.last)):
        named = together.setdefault((one.first, one.last, one.anywhere), {})
        named[one.plant] = named.get(one.plant, 0) + one.number
    seen: set[str] = set()
    for (first, last, anywhere), named in together.items():
        again = "again " if seen.issuperset(named) else ""
        seen.update(named)
        why = (
            "every spot that would do is full"
            if anywhere
            else "no one spot promises all of these nights"
        )
        yield f"{_named(named)}: no place {again}from {_date(first)} to {_date(last)}; {why}."


def _changes(result: PlanResult, units: TemperatureUnit) -> Text:
    told = tuple(_change_sentence(change, units) for change in result.changes)
    if not any(room.indoors for room in result.spots):
        told += (NO_ROOM,)
    if not result.changes:
        told += ("No single change would: more than one spot, or plant, is wanting.",)
    return Text(sentences=told, listed=True)


def _change_sentence(change: PlanChange, units: TemperatureUnit) -> str:
    """One change that would do by itself."""
    spot = words.clean(change.spot or "", LONGEST)
    if change.kind == "room":
        parts = []
        if change.places is not None:
            parts.append(f"room for {_count(change.places, 'more pot')}")
        if change.area_cm2 is not None:
            parts.append(f"{change.area_cm2:,.0f} cm² more bench")
        return f"{spot}: {', '.join(parts)}."
    if change.kind == "warmth":
        watts = "" if change.watts is None else f", which takes {change.watts:.0f} W more"
        warmer = show_difference(change.warmer_c or 0.0, units, 0)
        how = (
            "" if change.watts is not None else "; `suitability spots protect` tells what it takes"
        )
        return f"{spot}: {warmer} warmer{watts}{how}."
    given = dict(zip(change.plants, change.numbers, strict=True))
    return f"Giving up {_named(given)}."


def _bought_sentence(result: PlanResult, bought: Bought) -> str:
    """Whether one more would have a place, and where."""
    name = words.clean(bought.group_name, LONGEST)
    guess = f" ({words.clean(bought.caveat)})" if bought.caveat else ""
    if not bought.fits:
        new = _named(_lacking(bought.homeless))
        return f"One more of {name}{guess} would not fit: without a place then {new}."
    stays = ", ".join(map(_stay_words, bought.stays))
    more = f"; {_more(bought.moved)} carried a year" if bought.moved else "; no more moving"
    whole = "" if not result.homeless else ", though others have no place already"
    return f"One more of {name}{guess} would fit: {stays}{more}{whole}."


def _stay_words(stay: PlannedStay) -> str:
    """Where and when, in a few words."""
    if stay.nights >= WHOLE_YEAR:
        return f"{words.clean(stay.spot, LONGEST)} all year"
    return f"{words.clean(stay.spot, LONGEST)} {_date(stay.first)} to {_date(stay.last)}"


def _explained_sentence(result: PlanResult, explained: Explained) -> str:
    named = _named({explained.plant: explained.number})
    ways: dict[int, list[PlannedStay]] = {}
    for stay in result.results:
        if stay.plants == (explained.plant,):
            ways.setdefault(stay.way, []).append(stay)
    if not ways:
        return f"{named} has no place in the plan."
    several = len(ways) > 1
    told = "; ".join(
        (f"{sum(stays[0].numbers)} of them " if several else "")
        + ", ".join(map(_stay_words, stays))
        for stays in ways.values()
    )
    return f"{named} by the plan: {told}."


def _facts_of(explained: Explained) -> Facts:
    """What stands against each spot."""
    rows = [Fact(words.clean(one.spot, LONGEST), _not_there(one)) for one in explained.spots]
    return Facts(rows=tuple(rows))


def _not_there(one: NotThere) -> str:
    """What stands against one spot, or what it would cost."""
    season = " and ".join(words.season(season) for season in one.seasons)
    if not one.allowed:
        limit = f"only {season}" if season else "at no time of the year"
        return f"its nights are promised {limit}."
    may = f"may stand there {season}"
    if one.homeless is None:
        return f"{may}, and does whenever a whole week allows it."
    costs = []
    if one.homeless:
        costs.append(f"{_count(one.homeless, 'pot night')} without a place")
    if one.against_wishes:
        costs.append(f"{_more(one.against_wishes)} moved against your wishes")
    if one.moved:
        costs.append(f"{_more(one.moved)} carried")
    lost = one.lost_nights or 0.0
    if round(lost) and not one.homeless:  # who has no place loses nothing there
        gained = "lost to slow growth, cold or the dark" if lost > 0 else "gained for growth"
        costs.append(f"{_count(abs(round(lost)), 'pot night')} {gained}")
    return f"{may}; there all that time would mean {', '.join(costs) or 'no difference'}."


def _more(pots: int) -> str:
    """So many pots more, or fewer."""
    return f"{_count(abs(pots), 'pot')} {'more' if pots > 0 else 'fewer'}"


def _gap(result: PlanResult) -> str:
    """How near the plan is to the best one."""
    if result.gap is None:
        few = (
            f" Of all pots together this one has {result.homeless_nights:,} nights without a "
            f"place, and no plan has fewer than {result.homeless_least:,}."
            if result.homeless_nights > result.homeless_least
            else ""
        )
        return f"That no better plan exists could not be proven in time.{few}"
    if not result.gap:
        return "No plan loses fewer nights, nights of moving among them: it is proven."
    return f"The best plan would lose at most {result.gap:.1%} fewer nights: it is proven."


# Tables and the chart -----------------------------------------------------------------------------


def _stays_table(result: PlanResult) -> Table:
    several = len({stay.way for stay in result.results}) > 1
    columns: list[Column[PlannedStay]] = [
        words.who_column(result.results, repeats=True),
        *([Column.of("Way", lambda stay: str(stay.way), number=True)] if several else []),
        words.spot_column(),
        Column.field("From", "first", _short_day, number=True),
        Column.field("To", "last", _short_day, number=True),
        Column.field("Nights", "nights", str, number=True),
    ]
    return build_table("stays", columns, result.results)


def _plants_table(result: PlanResult) -> Table:
    """How each fares."""
    columns: list[Column[PlannedPlant]] = [
        Column.of("Plant", lambda row: _named({row.plant: row.number}), wraps=True),
        Column.field("Moves", "moves", str, number=True),
        Column.field("Kept", "chance", dates.percent, number=True),
        Column.field("No growth", "nights_without_growth", str, number=True),
        Column.field("Not at ease", "nights_not_at_ease", str, number=True),
        Column.field("Too dark", "nights_too_dark", str, number=True),
        Column.of("Rest met", _rest),
    ]
    note = (
        "Kept: new years in which all its stays are free of nights that harm. No growth, not at "
        "ease, too dark: nights of the year, by the mean year. Rest met: past years, where it "
        "stands."
    )
    return build_table("fares", columns, result.plants, title="How each fares", notes=(note,))


def _rest(row: PlannedPlant) -> str:
    return "-" if row.rest_met_years is None else f"{row.rest_met_years}/{row.rest_of_years}"


def _limit(room: RoomUse) -> str:
    """The room of a spot, for its label."""
    parts = [] if room.places is None else [_count(room.places, "pot")]
    parts += [] if room.area_cm2 is None else [f"{room.area_cm2:,.0f} cm²"]
    return ", ".join(parts) or "no limit"


def _share(room: RoomUse, week: int, pots: int) -> float:
    """Of the room, %; the tighter of its limits."""
    used = room.weeks[week]
    shares = [0.0]
    if room.places is not None:
        shares.append(used.pots / max(room.places, 1))
    if room.area_cm2 is not None:
        shares.append((used.area_cm2 or 0.0) / room.area_cm2)
    if len(shares) == 1:
        shares.append(used.pots / max(pots, 1))
    return round(100.0 * max(shares), 1)


def _room_title(result: PlanResult) -> str:
    """Which spot is full for how long."""
    full = {
        room.spot: sum(_share(room, week, result.pots) >= 100.0 for week in range(len(room.weeks)))
        for room in result.spots
        if room.places is not None or room.area_cm2 is not None
    }
    if not full:
        return "Pots at each spot through the year"
    spot, weeks = max(full.items(), key=lambda item: item[1])
    if not weeks:
        return "No spot is ever full"
    return f"{words.clean(spot, LONGEST)} is full in {_count(weeks, 'week')} of the plan"


def _chart(result: PlanResult) -> Chart:
    first = [week.first for week in result.spots[0].weeks]
    months = [
        (words.MONTHS[day.month - 1], at)
        for at, day in enumerate(first)
        if at and day.month != first[at - 1].month
    ]
    weeks = range(len(first))
    spec = RoomWeeks(
        spots=tuple(f"{words.clean(one.spot, 30)} ({_limit(one)})" for one in result.spots),
        shares=tuple(
            tuple(_share(one, week, result.pots) for week in weeks) for one in result.spots
        ),
        cells=tuple(tuple(str(week.pots) for week in one.weeks) for one in result.spots),
        told=tuple(
            tuple(
                (words.clean(one.spot, 30), f"from {_date(week.first)}", _count(week.pots, "pot"))
                for week in one.weeks
            )
            for one in result.spots
        ),
        months=tuple(months),
        title_across="weeks of the plan",
    )
    return Chart(
        name="room",
        title=_room_title(result),
        spec=spec,
        notes=("Numbers are pots; the darker, the more of the room is used.",),
    )


def _room_table(result: PlanResult) -> Table:
    """Pots at each spot, from each week in which they change."""

    def told(room: RoomUse) -> Column[int]:
        return Column.of(
            f"{words.clean(room.spot, 30)} ({_limit(room)})",
            lambda week: str(room.weeks[week].pots),
            short=words.clean(room.spot, 14),
            number=True,
        )

    columns: list[Column[int]] = [
        Column.of("From", lambda week: _short_day(result.spots[0].weeks[week].first)),
        *map(told, result.spots),
    ]
    weeks = range(len(result.spots[0].weeks))
    changed = [
        week
        for week in weeks
        if not week
        or any(room.weeks[week].pots != room.weeks[week - 1].pots for room in result.spots)
    ]
    return build_table("room-used", columns, changed)


# The calendar and the carry list ------------------------------------------------------------------


def plan_calendar(result: PlanResult) -> CalendarSheet:
    """An event for each way on each moving day."""
    where = words.clean(result.place.name, LONGEST)
    times: Counter[tuple[str, ...]] = Counter()

    def identity(way: str, moves: Sequence[Carry]) -> tuple[str, ...]:
        """The same of the same pots and way in a later plan, and of each time in this one."""
        own = ("plan", way, *sorted(_numbers(moves)))
        times[own] += 1
        return (*own, str(times[own])) if times[own] > 1 else own

    events = [
        CalendarEvent(
            identity=identity(way, moves),
            first=day.day,
            days=1,
            title=f"Carry {_count(sum(one.number for one in moves), 'pot')} {way}",
            lines=(
                *(f"{one.number} x {words.clean(one.plant, LONGEST)}" for one in moves),
                *(f"Against your wishes: {AGAINST[wish]}." for wish in day.against),
                "Before sunset.",
                LIFTING,
                words.CAUTIONS,
            ),
            where=where,
            category="move",
        )
        for day in result.days
        for way, moves in _ways(day)
    ]
    return CalendarSheet(
        name=f"Moving plants at {where}",
        about=f"{_placed(result)} Planned from {words.day(result.first)}.",
        first_day=result.first,
        latitude=result.place.latitude,
        longitude=result.place.longitude,
        events=tuple(events),
    )


def carry_sheet(result: PlanResult, units: TemperatureUnit) -> Sheet:
    """A section for each moving day with a box to tick for each plant, to be printed."""
    sections = [
        Section(
            name=f"day-{number}",
            title=f"{_weekday(day.day)} {day.day.year}: {_count(day.pots, 'pot')}",
            blocks=(Facts(rows=tuple(_carry_rows(day))),),
        )
        for number, day in enumerate(result.days, start=1)
    ]
    return make_sheet(
        result,
        units,
        title=f"Carry list for {result.place.name}",
        headline=_placed(result),
        judged=result.results,
        sections=sections,
        closing=(HARDENING, LOOK_IN, LIFTING),
    )


def _carry_rows(day: MovingDay) -> Iterator[Fact]:
    for way, moves in _ways(day):
        for at, one in enumerate(moves):
            wide = "" if one.pot_cm is None else f", pots of {one.pot_cm:g} cm"
            text = f"☐ {one.number} x {words.clean(one.plant, LONGEST)}{wide}"
            yield Fact("" if at else way, text)
    for wish in day.against:
        yield Fact("Mind", f"{AGAINST[wish]}.")
