"""The sheet of a plan: who has no place, the moving days in order, who stands where, room used."""

from __future__ import annotations

from collections import Counter
from functools import partial
from itertools import groupby
from typing import TYPE_CHECKING

from suitability.advice.plan_result import Homeless
from suitability.answers import dates, words
from suitability.answers.calendar import CalendarEvent, CalendarSheet
from suitability.answers.head import HARDENING, HEATING, LIFTING, LOOK_IN, make_sheet
from suitability.answers.plan_room import room_chart, room_table
from suitability.answers.sheet import Column, Fact, Facts, Level, On, Section, Text, build_table
from suitability.brief import first_of
from suitability.units import TemperatureUnit, show_difference

if TYPE_CHECKING:
    from collections.abc import Iterable, Iterator, Mapping, Sequence
    from datetime import date

    from suitability.advice.plan_result import (
        Bought,
        Carry,
        Explained,
        MovingDay,
        NotThere,
        PlanChange,
        PlannedPlant,
        PlannedStay,
        PlanResult,
    )
    from suitability.answers.sheet import Sheet, Table

AGAINST = {
    "day": "not one of your moving days",
    "away": "while you are away",
    "number": "more pots than you wish to carry on a day",
}
WHY = (
    "Ask `outlook` before you carry one out, or let one wait. These are not the dates of `moves`, "
    "which asks of one spot: `--explain PLANT` says why."
)
NO_SPOT = "for which the plan has no place"
ELSEWHERE = "When it may stand at each spot, and what it would mean to have it there all that time:"
FULL = "every spot that would do is full"
NOWHERE = "no one spot promises all of these nights"
NO_ROOM = (
    "No spot of the file is a room: where plants stand indoors is a [[spot]] too, such as one of "
    'kind = "window-sill" with room_c.'
)
NAMED = 6  # plants that a sentence names
LONGEST = 60  # characters of a name


def plan_sheet(result: PlanResult, units: TemperatureUnit) -> Sheet:
    """
    What a plan says.

    Parameters
    ----------
    units
        In which temperatures are shown.
    """
    return make_sheet(
        result,
        units,
        title=f"The year's plan at {result.place.name}",
        headline=_headline(result),
        judged=result.results,
        sections=_sections(result, units),
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
        days = words.number_of(len(result.days), "moving day")
        moving = f"{days}, {words.number_of(result.moved, 'pot')} carried in all"
    if not result.homeless:
        planned, rest = "", ""
        if result.left_out:
            planned, rest = " that could be planned", f"; {result.left_out} could not"
        many = result.pots > 1
        every = f"All {result.pots} plants{planned} have" if many else f"The plant{planned} has"
        return f"{every} a place all year: {moving}{rest}."
    homeless, lacking = result.homeless, _lacking(result.homeless)
    longest = max(homeless, key=lambda one: one.last - one.first)
    when = _days(result, longest)
    when = when if when == "all year" else f"from {when}"
    several = "" if len(homeless) == 1 else ", in the longest case"
    number = lacking.total()
    most = max(
        _by_plant(one for one in homeless if one.first <= day <= one.last).total()
        for day in {one.first for one in homeless}
    )
    at_once = f", at most {most} at once" if most < number else ""
    have = "has" if number == 1 else "have"
    rest = f"; {result.left_out} more could not be planned" if result.left_out else ""
    return (
        f"{number} of {words.number_of(result.pots, 'plant')} {have} no place for a time{at_once}: "
        f"{_named(lacking, _all_pots(result))}{several} {when}{rest}."
    )


def _lacking(homeless: Sequence[Homeless]) -> Counter[str]:
    """How many pots of each plant have no place at some time."""
    return _by_plant({(one.plant, one.way): one for one in homeless}.values())


def _by_plant(pots: Iterable[Carry | Homeless | PlannedPlant]) -> Counter[str]:
    """How many there are of each plant."""
    found = Counter[str]()
    for one in pots:
        found[one.plant] += one.number
    return found


def _sections(result: PlanResult, units: TemperatureUnit) -> Iterator[Section]:
    if result.reason is not None:
        return
    asked = result.bought is not None or result.explained is not None
    level = Level.DETAIL if asked else Level.BRIEF
    if result.explained is not None:
        spots = result.explained.spots
        rows = [Fact(words.clean(one.spot, LONGEST), _not_there(one)) for one in spots]
        yield Section(
            name="elsewhere",
            title=f"Why not elsewhere: {words.clean(result.explained.plant, LONGEST)}",
            blocks=(Text(sentences=(ELSEWHERE,)), Facts(rows=tuple(rows))),
        )
    if asked:
        placed = _placed(result)
        as_it_is = f"As it is, {placed[0].lower()}{placed[1:]}"
        yield Section(name="plan", lead=True, blocks=(Text(sentences=(as_it_is,)),))
    if result.homeless:
        yield from _no_place(result, level)
        yield Section(
            name="changes",
            title="What would give all a place",
            level=level,
            blocks=_changes(result, units),
        )
    if result.days:
        of = _all_pots(result)
        told = tuple(_day_sentence(day, of) for day in result.days)
        below = filter(None, (_against_sentence(result), WHY, *_cautions(result)))
        blocks = Text(sentences=told, listed=True), Text(sentences=tuple(below))
        yield Section(name="moving-days", title="Moving days", level=level, blocks=blocks)
    caveats = tuple(words.caveat_sentences(result.results))
    if caveats:
        yield Section(name="groups", level=level, blocks=(Text(sentences=caveats),))
    chart = room_chart(result)
    yield Section(
        name="room-through-the-year",
        title=chart.title,
        lead=True,
        blocks=(chart,),
        on=On.PAGE,
    )
    yield Section(
        name="who-where",
        title="Who stands where",
        level=Level.DETAIL,
        blocks=(_stays_table(result), _plants_table(result), Text(sentences=(_gap(result),))),
    )
    yield Section(
        name="room-used", title="Room used", level=Level.DETAIL, blocks=(room_table(result),)
    )


# Sentences ----------------------------------------------------------------------------------------


def _named(numbers: Mapping[str, int], of: Mapping[str, int]) -> str:
    """Plants by name with their numbers, `of` how many there are; what has no room is counted."""
    told = []
    for name, number in numbers.items():
        some = f"{number} of {of[name]}" if number < of.get(name, number) else f"{number}"
        few = f" ({some})" if some != "1" else ""
        told.append(words.in_list(words.clean(name, LONGEST)) + few)
    return first_of(told, NAMED)


def _all_pots(result: PlanResult) -> Counter[str]:
    """How many pots there are of each plant."""
    return _by_plant(result.plants)


def _days(result: PlanResult, stay: PlannedStay | Homeless) -> str:
    """From when to when, or all year."""
    if (stay.first, stay.last) == (result.first, result.last):
        return "all year"
    return f"{words.date_of(stay.first)} to {words.date_of(stay.last)}"


def _day_sentence(day: MovingDay, of: Mapping[str, int]) -> str:
    """What is carried on a day, way by way."""
    ways = [(way, _by_plant(moves)) for way, moves in _ways(day)]
    told = "; ".join(
        f"{words.number_of(pots.total(), 'pot')} {way}: {_named(pots, of)}" for way, pots in ways
    )
    against = "".join(f" ({wish})" for wish in _against(day))
    return f"{words.weekday(day.day)}: {told}{against}."


def _against(day: MovingDay) -> Iterator[str]:
    """The wishes that a day breaks, and what will not wait for the next moving day."""
    why = f": {' and '.join(day.pressing)} where they are will not wait for the next"
    yield from (AGAINST[wish] + (why if day.pressing else "") for wish in day.against)


def _ways(day: MovingDay) -> Iterator[tuple[str, list[Carry]]]:
    """The moves of a day from one spot to another."""
    for (before, after), moves in groupby(day.moves, key=lambda one: (one.from_spot, one.to_spot)):
        away, to = words.clean(before or "", LONGEST), words.clean(after or "", LONGEST)
        yield (f"out of {away}, {NO_SPOT}" if not to else f"{away} to {to}".strip(), [*moves])


def _against_sentence(result: PlanResult) -> str:
    """How many pots are moved against a wish; empty if none is."""
    if not result.against_wishes:
        return ""
    go = "goes" if result.against_wishes == 1 else "go"
    fewer = "perhaps fewer" if result.gap is None else "no fewer"
    return (
        f"Of {words.number_of(result.moved, 'pot')} moved {result.against_wishes} {go} against "
        f"your wishes; {fewer} would do."
    )


def _cautions(result: PlanResult) -> Iterator[str]:
    """Those that its moves ask for: out of doors, into a room, any."""
    indoors = {room.spot: room.indoors for room in result.spots}
    moves = [one for day in result.days for one in day.moves]
    if any(indoors.get(one.to_spot or "") is False for one in moves):
        yield HARDENING
    if any(
        indoors.get(one.to_spot or "") and not indoors.get(one.from_spot or "") for one in moves
    ):
        yield LOOK_IN
    if moves:
        yield LIFTING


def _no_place(result: PlanResult, level: Level) -> Iterator[Section]:
    """Who has no place and when, by what keeps them from one; pots of the same weeks together."""
    of = _all_pots(result)
    for name, why, anywhere in (("full", FULL, True), ("nowhere", NOWHERE, False)):
        together: dict[tuple[date, date], list[Homeless]] = {}
        for one in result.homeless:
            if one.anywhere == anywhere:
                together.setdefault((one.first, one.last), []).append(one)
        told = tuple(
            f"{_named(_by_plant(pots), of)}: {_days(result, pots[0])}."
            for _, pots in sorted(together.items())
        )
        if told:
            listed = Text(sentences=told, listed=True)
            yield Section(
                name=f"no-place-{name}",
                title=f"Without a place: {why}",
                level=level,
                blocks=(listed,),
            )


def _changes(result: PlanResult, units: TemperatureUnit) -> tuple[Text, ...]:
    """Each that would do, and what to mind of heat."""
    told = tuple(_change_sentence(change, units, _all_pots(result)) for change in result.changes)
    if not any(room.indoors for room in result.spots):
        told += (NO_ROOM,)
    if not result.changes:
        told += ("No single change would: more than one spot, or plant, is wanting.",)
    warmth = any(change.kind == "warmth" for change in result.changes)
    heating = (Text(sentences=(HEATING,)),) if warmth else ()
    return (Text(sentences=told, listed=True), *heating)


def _change_sentence(change: PlanChange, units: TemperatureUnit, of: Mapping[str, int]) -> str:
    """One change that would do by itself."""
    spot = words.clean(change.spot or "", LONGEST)
    if change.kind == "room":
        parts = []
        if change.places is not None:
            parts.append(f"room for {words.number_of(change.places, 'more pot')}")
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
    return f"Giving up {_named(given, of)}."


def _bought_sentence(result: PlanResult, bought: Bought) -> str:
    """Whether one more would have a place, and where."""
    name = words.clean(bought.group_name, LONGEST)
    guess = _guess(bought.caveat)
    if not bought.fits:
        new = _named(_lacking(bought.homeless), _all_pots(result))
        return f"One more of {name}{guess} would not fit: without a place then {new}."
    stays = _stays_in_words(result, bought.stays)
    more = f"; {_more(bought.moved)} carried a year" if bought.moved else "; no more moving"
    whole = "" if not result.homeless else ", though others have no place already"
    return f"One more of {name}{guess} would fit: {stays}{more}{whole}."


def _stays_in_words(result: PlanResult, stays: Iterable[PlannedStay | Homeless]) -> str:
    """Where and when, in a few words."""
    return ", ".join(
        ("no place " if isinstance(stay, Homeless) else f"{words.clean(stay.spot, LONGEST)} ")
        + _days(result, stay)
        for stay in stays
    )


def _number(stay: PlannedStay | Homeless) -> int:
    """How many pots of one plant it is of."""
    return stay.number if isinstance(stay, Homeless) else sum(stay.numbers)


def _explained_sentence(result: PlanResult, explained: Explained) -> str:
    named = _named({explained.plant: explained.number}, {})
    guess = next((one.caveat for one in result.results if one.plants == (explained.plant,)), "")
    mine: list[PlannedStay | Homeless] = [
        *(stay for stay in result.results if stay.plants == (explained.plant,)),
        *(one for one in result.homeless if one.plant == explained.plant),
    ]
    ways: dict[int, list[PlannedStay | Homeless]] = {}
    for stay in sorted(mine, key=lambda stay: (stay.way, stay.first)):
        ways.setdefault(stay.way, []).append(stay)
    told = "; ".join(
        (f"{_number(way[0])} of them " if len(ways) > 1 else "") + _stays_in_words(result, way)
        for way in ways.values()
    )
    return f"{named}{_guess(guess)} by the plan: {told}."


def _guess(caveat: str) -> str:
    """Why a group is only a guess, in brackets."""
    return f" ({words.clean(caveat)})" if caveat else ""


def _not_there(one: NotThere) -> str:
    """What stands against one spot, or what it would cost."""
    season = " and ".join(words.season(season) for season in one.seasons)
    if not one.allowed:
        return f"promised {f'only {season}' if season else 'at no time of the year'}."
    if one.homeless is None:
        return f"{season}: it does already, in whole weeks."
    costs = []
    if one.homeless:
        costs.append(f"{words.number_of(one.homeless, 'pot night')} without a place")
    if one.against_wishes:
        costs.append(f"{_more(one.against_wishes)} moved against your wishes")
    if one.moved:
        costs.append(f"{_more(one.moved)} carried")
    lost = one.lost_nights or 0.0
    if round(lost) and not one.homeless:  # who has no place loses nothing there
        gained = "lost to slow growth, cold or the dark" if lost > 0 else "gained for growth"
        costs.append(f"{words.number_of(abs(round(lost)), 'pot night')} {gained}")
    return f"{season}: {', '.join(costs) or 'no difference'}."


def _more(pots: int) -> str:
    """So many pots more, or fewer."""
    return f"{words.number_of(abs(pots), 'pot')} {'more' if pots > 0 else 'fewer'}"


def _gap(result: PlanResult) -> str:
    """How near the plan is to the best one."""
    if result.gap is None:
        few = (
            f" Of all pots together this one has {result.homeless_nights:,} nights without a "
            f"place, and no plan has fewer than {result.homeless_least:,}."
            if result.homeless_nights > result.homeless_least
            else ""
        )
        return (
            "Whether a better plan exists is not proven: the search ends after a fixed number of "
            f"steps.{few}"
        )
    if not result.gap:
        return "No plan loses fewer nights, nights of moving among them: it is proven."
    return f"The best plan would lose at most {result.gap:.1%} fewer nights: it is proven."


# Tables and the chart -----------------------------------------------------------------------------


def _stays_table(result: PlanResult) -> Table:
    several = len({stay.way for stay in result.results}) > 1
    short_day = partial(words.day, short=True)
    columns: list[Column[PlannedStay]] = [
        words.who_column(result.results, repeats=True),
        *([Column.of("Way", lambda stay: str(stay.way), number=True)] if several else []),
        words.spot_column(),
        Column.field("From", "first", short_day, number=True),
        Column.field("To", "last", short_day, number=True),
        Column.field("Nights", "nights", str, number=True),
    ]
    return build_table("stays", columns, result.results)


def _plants_table(result: PlanResult) -> Table:
    """How each fares."""
    of = _all_pots(result)
    columns: list[Column[PlannedPlant]] = [
        Column.of("Plant", lambda row: _named({row.plant: row.number}, of), wraps=True),
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


# The calendar and the carry list ------------------------------------------------------------------


def plan_calendar(result: PlanResult) -> CalendarSheet:
    """An event for each way on each moving day."""
    where = words.clean(result.place.name, LONGEST)
    times: Counter[tuple[str, ...]] = Counter()

    def identity(way: str, moves: Sequence[Carry]) -> tuple[str, ...]:
        """The same of the same pots and way in a later plan, and of each time in this one."""
        own = ("plan", way, *sorted(_by_plant(moves)))
        times[own] += 1
        return (*own, str(times[own])) if times[own] > 1 else own

    events = [
        CalendarEvent(
            identity=identity(way, moves),
            first=day.day,
            days=1,
            title=f"Carry {words.number_of(_by_plant(moves).total(), 'pot')} {way}",
            lines=(
                *(f"{one.number} x {words.clean(one.plant, LONGEST)}" for one in moves),
                *(f"Against your wishes: {wish}." for wish in _against(day)),
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
            title=f"{words.weekday(day.day)} {day.day.year}: {words.number_of(day.pots, 'pot')}",
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
        closing=tuple(_cautions(result)),
    )


def _carry_rows(day: MovingDay) -> Iterator[Fact]:
    for way, moves in _ways(day):
        for at, one in enumerate(moves):
            wide = "" if one.pot_cm is None else f", pots of {one.pot_cm:g} cm"
            text = f"☐ {one.number} x {words.clean(one.plant, LONGEST)}{wide}"
            yield Fact("" if at else way, text)
    for wish in _against(day):
        yield Fact("Mind", f"{wish}.")
