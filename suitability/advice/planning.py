"""
The question `plan`: who stands where, when, within the room there is, and what moving that takes.

Days come from `plan_days`, seasons and promises from `plan_stands`, the plan itself from
`plan_model`; here the collection becomes their problem, and their numbers become stays, moving days
and changes.
"""

from __future__ import annotations

from bisect import bisect_left
from collections import Counter
from collections.abc import Callable
from datetime import date, timedelta
from itertools import count, pairwise
from typing import TYPE_CHECKING

import numpy as np
from msgspec import Struct
from msgspec.structs import replace
from numpy.typing import NDArray

from suitability.advice.comparison import needs_by_spot
from suitability.advice.plan_days import Timetable, lay_out_steps
from suitability.advice.plan_model import GAP, Problem, Solution, has_room, least_change, solve_plan
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
    Pressing,
    RoomUse,
    WeekOfRoom,
)
from suitability.advice.plan_stands import (
    Stand,
    allowed_days,
    chance_of_stays,
    lay_out_stands,
    longest_days,
    rest_of,
)
from suitability.advice.plant_state import Subject
from suitability.advice.preparing import lay_out, settings_of, summarise_record
from suitability.advice.question import Question
from suitability.advice.reasons import explain as explain_verdict
from suitability.advice.result import RecordSummary
from suitability.advice.terms import Verdict, whose
from suitability.advice.verdicts import is_provisional, seasons_of
from suitability.brief import first_of
from suitability.climate.days import DAYS, day_of_year
from suitability.errors import CatalogueError
from suitability.quantities import SUREST
from suitability.spots.collection import near_names, same_name
from suitability.spots.diary import Diary, pots_by_spot
from suitability.spots.spot import OPEN_AIR

if TYPE_CHECKING:
    from collections.abc import Iterator, Sequence

    from suitability.advice.preparing import LaidOut
    from suitability.groups.group import Needs
    from suitability.spots.spot import Spot

BoolArray = NDArray[np.bool_]
IntArray = NDArray[np.int64]

MOVE_NIGHTS = 7.0  # of good nights that moving one pot must bring; reasoned
USUAL_POT_CM = 14.0  # of a pot whose width is not said; reasoned
WARMEST_TRIED_C = 6  # K
MUCH_ALIKE = 1.1  # times the gap of a bettered plan: that of one that is little changed from it
TURNS = 3  # of planning anew in which single pots are narrowed
NOWHERE, SURER = -1, -2
NAMED = 6  # plants that a note names
NEW = "one more"


# The collection as a problem ----------------------------------------------------------------------


class _Pot(Struct, frozen=True, kw_only=True):
    """
    One pot.

    Attributes
    ----------
    spot
        On which it stands now, or `NOWHERE`.
    season
        Where several seasons in turn are less sure than promised: `SURER`, or the one spot that is
        not sure all year at which it may have a season, or `NOWHERE` at any such.
    way
        Spot and first day of each of its stays.
    """

    plant: str
    subject: int
    pot_cm: float | None
    spot: int
    season: int | None = None
    way: tuple[tuple[int, date], ...] = ()

    @property
    def size_cm2(self) -> float:
        """Of the bench it takes."""
        return (self.pot_cm or USUAL_POT_CM) ** 2

    @property
    def lacks_a_place(self) -> bool:
        """For a time."""
        return any(spot == NOWHERE for spot, _ in self.way)

    def stays(self, stop: date) -> Iterator[tuple[int, date, date]]:
        """Spot, first day and the day after the last."""
        for (spot, first), (_, end) in pairwise([*self.way, (NOWHERE, stop)]):
            yield spot, first, end

    def carries(self) -> Iterator[tuple[int, int, date]]:
        """From which spot to which it is carried, and when; not its placing on the first day."""
        start = self.way[0][1]
        for (before, _), (after, day) in pairwise([(self.spot, start), *self.way]):
            if after != before and (before != NOWHERE or day != start):
                yield before, after, day


_Trip = tuple[_Pot, int, int]  # from which spot to which


class _House(Struct, frozen=True, kw_only=True):
    """
    Everything that a plan is made of.

    Attributes
    ----------
    stands : [subject][spot]
    pots
        Those of a plant stand together.
    apart
        A plant whose pots are planned by themselves.
    """

    record: RecordSummary
    spots: tuple[Spot, ...]
    stands: tuple[tuple[Stand, ...], ...]
    pots: tuple[_Pot, ...]
    times: Timetable
    promise: float
    move_nights: float = MOVE_NIGHTS
    apart: str | None = None

    @property
    def by_area(self) -> bool:
        """Whether a spot says its room by the area of its bench."""
        return any(spot.area_cm2 is not None for spot in self.spots)

    @property
    def kinds(self) -> list[list[int]]:
        """Pots that are planned alike, wherever they stand now, by their numbers."""
        by_area = self.by_area
        found: dict[tuple[object, ...], list[int]] = {}
        for at, pot in enumerate(self.pots):
            wide = pot.size_cm2 if by_area else None
            own = pot.plant == self.apart
            key = pot.subject, wide, pot.spot == NOWHERE, pot.season, own
            found.setdefault(key, []).append(at)
        return list(found.values())

    @property
    def firsts(self) -> list[_Pot]:
        """One pot of each kind."""
        return [self.pots[kind[0]] for kind in self.kinds]

    def days(self, pot: _Pot, spot: int) -> BoolArray:
        """On which it may stand there, (365)."""
        stand = self.stands[pot.subject][spot]
        if pot.season is None or stand.sure:
            return stand.days
        # A plan may hold the end of one season and the beginning of the next: two chances to fail.
        promise = (1.0 + self.promise) / 2.0
        if pot.season == SURER:
            return stand.days & allowed_days(stand.case, stand.decision, promise)
        return longest_days(stand, promise) if pot.season == spot else np.zeros(DAYS, np.bool_)

    def standing(self) -> IntArray:
        """Pots of each kind at each spot in each step by their ways, (kind, spot, step)."""
        stops = np.array([*self.times.first[1:], self.times.stop])
        found = np.zeros((len(self.kinds), len(self.spots), stops.size), np.int64)
        for number, kind in enumerate(self.kinds):
            for at in kind:
                for spot, first, stop in self.pots[at].stays(self.times.stop):
                    if spot != NOWHERE:
                        found[number, spot, (first < stops) & (stops <= stop)] += 1
        return found

    def problem(self) -> Problem:
        """As the model takes it."""
        first, times, spots = self.firsts, self.times, range(len(self.spots))
        start = [[self.pots[at].spot for at in kind] for kind in self.kinds]
        alike = {(pot.subject, pot.season): pot for pot in first}
        allowed = {
            of: [times.whole(self.days(pot, spot)) for spot in spots] for of, pot in alike.items()
        }
        lost = {
            of: [
                times.total(stand.lost_nights(times.inside(there)))
                for stand, there in zip(self.stands[of[0]], allowed[of], strict=True)
            ]
            for of in alike
        }
        rooms = np.array([(spot.places, spot.area_cm2) for spot in self.spots], np.float64)
        return Problem(
            pots=np.array([len(here) for here in start]),
            start=np.array([[here.count(spot) for spot in spots] for here in start]),
            ring=np.array([pot.spot == NOWHERE for pot in first]),
            allowed=np.array([allowed[pot.subject, pot.season] for pot in first]),
            discomfort=np.array([lost[pot.subject, pot.season] for pot in first]),
            nights=times.nights,
            size=np.array([[1.0] * len(first), [pot.size_cm2 for pot in first]]),
            room=np.nan_to_num(rooms.T, nan=np.inf),
            most_moved=times.most,
            move_nights=self.move_nights,
        )


def _lay_out(
    question: Question, spots: Sequence[Spot], needs: Sequence[Sequence[Needs]]
) -> LaidOut:
    """What is needed at each spot, [spot][subject], laid out there, after the open air."""
    every = [one for here in needs for one in here]
    places = OPEN_AIR, *spots
    bare = lay_out(question.record, question.place, places, (), question.options, also=every)
    return bare.asking(zip(places, (needs[0][:1], *needs), strict=True))


def _house(
    question: Question, first_day: date, diary: Diary | None, more: Sequence[Subject] = ()
) -> _House:
    """The collection on a day, and what a group that may be bought would find."""
    asked, spots = question.subjects.asked, question.spots
    subjects, own = (*asked, *more), question.subjects.collection
    assert own is not None
    # Noted damage makes what a plant needs differ between spots.
    by_spot = needs_by_spot(question) or [()] * len(spots)
    needs = [[*here, *(one.needs()[0] for one in subjects[len(here) :])] for here in by_spot]
    laid_out = _lay_out(question, spots, needs)
    names = [spot.name for spot in spots]
    pots = tuple(
        _Pot(
            plant=plant.name,
            subject=at,
            pot_cm=plant.pot_cm,
            spot=names.index(here.spot) if here.spot in names else NOWHERE,
        )
        for at, subject in enumerate(asked)
        for plant in subject.plants
        for here in pots_by_spot(plant, diary, first_day)
        for _ in range(here.number)
    )
    return _House(
        record=summarise_record(laid_out.used),
        spots=spots,
        stands=lay_out_stands(laid_out, question.subjects.catalogue),
        pots=pots,
        times=lay_out_steps(first_day, own.moving),
        promise=question.options.rules.promise,
    )


# The answer ---------------------------------------------------------------------------------------


def plan(
    question: Question,
    first_day: date,
    *,
    diary: Diary | None = None,
    explain: str | None = None,
    buy: Subject | None = None,
    told: Callable[[str], None] = lambda _: None,
) -> PlanResult:
    """
    Where each plant of a collection stands in the year from a day on.

    No pot stands where its nights are not promised, and no spot holds more than it has room for.
    Then as few nights as possible are without a place, as few pots are moved against a wish, and
    as little as possible is lost to slow growth, cold, a rest that is missed, the dark, and moving.

    Parameters
    ----------
    question
        From `ask`, with a collection.
    first_day
        At the place.
    diary
        Of the collection: its moves up to that day tell where plants stand; None: the file alone.
    explain
        Name of a plant of which is told why it stands nowhere else.
    buy
        A group of which is told whether one more plant would have a place.
    told
        Is told what is being done.

    Raises
    ------
    CatalogueError
        The collection has no plants, or none of the name asked for.
    RecordError
        Nothing of the record lies in the years asked for.
    """
    own = question.subjects.collection
    plants = [plant.name for subject in question.subjects.asked for plant in subject.plants]
    if own is None or not plants:
        raise CatalogueError(
            "a plan is made for the plants of a collection: name its file (--collection), and list "
            "[[plant]] tables in it."
        )
    asked_for = None if explain is None else _named(explain, plants, own.path.name)
    told("Working out the seasons of each spot")
    house, solved = _solve(_house(question, first_day, diary, [] if buy is None else [buy]), told)
    result = _result(question, house, solved, diary)
    if result.reason is not None:
        return result
    if solved.short_nights:
        result = replace(result, changes=tuple(_changes(question, house, told)))
    if asked_for is not None:
        result = replace(result, explained=_explained(house, solved, asked_for, told))
    if buy is not None:
        told("Finding a place for one more")
        result = replace(result, bought=_bought(house, result, buy, told))
    return result


def _named(name: str, plants: Sequence[str], file_name: str) -> str:
    """The plant of a name, as its file writes it."""
    names = {same_name(plant): plant for plant in plants}
    if same_name(name) not in names:
        hint = near_names(name, plants)
        raise CatalogueError(f'{file_name}: it has no plant "{name}" to be planned.{hint}')
    return names[same_name(name)]


def _solve(house: _House, told: Callable[[str], None]) -> tuple[_House, Solution]:
    """
    A plan of which each pot keeps the promise over all its stays, and the house with its ways.

    Where several seasons in turn keep it less often than promised, a pot is given seasons that
    each fail half as often, and if that is not enough one spot of a season beside the sure ones.
    """
    told(f"Planning {len(house.pots)} pots")
    gap, near, bettered = np.inf, None, False
    for turn in count():
        solved = solve_plan(house.problem(), gap, near)
        house = _with_ways(house, solved)
        pots = list(house.pots)
        for kind in house.kinds:
            broken = [at for at in kind if not _keeps(house, pots[at])]
            # Later on all of a kind, or they would take that way one after the other.
            for at in kind if broken and turn >= TURNS else broken:
                pots[at] = _narrowed(house, pots[at], surer=turn < TURNS)
        if tuple(pots) != house.pots:
            told("Planning anew where several seasons in turn are less sure")
            house = replace(house, pots=tuple(pots))
            if bettered and gap == GAP < solved.gap:
                gap = MUCH_ALIKE * solved.gap
        elif not bettered and solved.gap > GAP:
            told("Bettering the plan")
            gap, bettered = GAP, True
        else:
            break
        near = house.standing() if bettered else None
    return house, solved


def _narrowed(house: _House, pot: _Pot, *, surer: bool) -> _Pot:
    """A pot with fewer days: of surer seasons, of one spot that is not sure, of sure ones alone."""
    if surer and pot.season is None:
        return replace(pot, season=SURER)
    if pot.season not in {None, SURER}:
        sure = any(one.sure for one in house.stands[pot.subject])
        return replace(pot, season=NOWHERE) if sure else pot
    nights = Counter[int]()
    for spot, first, stop in pot.stays(house.times.stop):
        nights[spot] += (stop - first).days
    row = house.stands[pot.subject]
    unsure = [spot for spot, one in enumerate(row) if not one.sure]
    return replace(pot, season=max(unsure, key=lambda spot: nights[spot]))


def _chance(house: _House, pot: _Pot) -> tuple[float | None, int]:
    """
    That a new year keeps the stays of a pot, and how many of them are not sure by themselves.

    Stays at spots that are sure all year take nothing from it but the highest chance ever told.
    """
    start, row = house.times.first[0], house.stands[pot.subject]
    stays = [
        [spot, _day(first, start), _day(stop, start) - _day(first, start)]
        for spot, first, stop in pot.stays(house.times.stop)
        if spot != NOWHERE
    ]
    if not stays:
        return None, 0
    if len(stays) > 1 and pot.way[0][0] == pot.way[-1][0] != NOWHERE:
        there = stays.pop(0)[2]  # the year is a ring: both are one stay
        stays[-1][2] = min(DAYS, _day(start) + there + DAYS - stays[-1][1])
    unsure = [stay for stay in stays if not row[stay[0]].sure]
    if len(stays) == 1 and stays[0][2] >= DAYS - 7:
        return row[stays[0][0]].decision.all_year_chance, len(unsure)
    cases = [(row[spot].case, day, nights) for spot, day, nights in unsure]
    chance = chance_of_stays(cases) if cases else SUREST
    first = row[unsure[0][0]].decision if unsure else None
    if first is not None and first.lives_all_year and len({spot for spot, *_ in unsure}) == 1:
        chance = max(chance, first.all_year_chance)  # part of a year is kept as often as all of it
    return chance, len(unsure)


def _keeps(house: _House, pot: _Pot) -> bool:
    """Whether it keeps the promise: days that are allowed may be of several seasons in turn."""
    chance, unsure = _chance(house, pot)
    return chance is None or not unsure or chance >= house.promise - 1e-9


def _day(day: date, since: date | None = None) -> int:
    """A date as a day of the folded year, or of that in which another day lies and those after."""
    years = 0 if since is None else day.year - since.year
    return DAYS * years + day_of_year(f"{day:%m-%d}")


# Pots, their days of moving, and stays ------------------------------------------------------------


def _with_ways(house: _House, solved: Solution) -> _House:
    """Each pot with its way: as few as possible of those planned alike change places."""
    spots = np.empty((len(house.pots), len(house.times.first)), np.int64)
    for kind, standing in zip(house.kinds, solved.standing, strict=True):
        spots[kind] = _follow([house.pots[at].spot for at in kind], standing)
    start = house.times.first[0]
    before = np.array([pot.spot for pot in house.pots])
    before = np.where(before == NOWHERE, spots[:, 0], before)  # placed on that day, not carried
    found: list[dict[date, int]] = [{start: spot} for spot in before.tolist()]
    for step, now in enumerate(spots.T):
        for number, pot in enumerate(_in_turn(house, before, now)):
            found[pot][house.times.day_of(step, number)] = int(now[pot])
        before = now
    ways = [tuple((spot, day) for day, spot in way.items()) for way in found]
    pots = zip(house.pots, ways, strict=True)
    return replace(house, pots=tuple(replace(pot, way=way) for pot, way in pots))


def _in_turn(house: _House, before: IntArray, now: IntArray) -> list[int]:
    """
    Pots that change places, each when there is room for it, whatever comes after.

    Where they would have to change places at one time, any of them goes first.
    """
    size = np.array([(1.0, pot.size_cm2) for pot in house.pots])
    rooms = np.array([(spot.places, spot.area_cm2) for spot in house.spots], np.float64)
    free = np.vstack([np.nan_to_num(rooms, nan=np.inf), [np.inf, np.inf]])  # the last: nowhere
    np.subtract.at(free, before, size)
    waiting, in_turn = np.flatnonzero(now != before).tolist(), []
    while waiting:
        crowded = [pot for pot in waiting if (free[before[pot]] < -1e-6).any()]
        some = crowded or waiting  # a circle once begun is gone through at once
        fits = (pot for pot in some if (size[pot] <= free[now[pot]] + 1e-6).all())
        pot = next(fits, some[0])
        free[before[pot]] += size[pot]
        free[now[pot]] -= size[pot]
        waiting.remove(pot)
        in_turn.append(pot)
    return in_turn


def _follow(start: Sequence[int], standing: IntArray) -> IntArray:
    """From pots at each spot in each step, (spot, step), to the spot of each pot, (pot, step)."""
    ways = np.full((len(start), standing.shape[1]), NOWHERE)
    here = list(start)
    for step, wanted in enumerate(standing.T):
        left = [*wanted.tolist(), 0]  # the last for those that stand nowhere
        for pot, spot in enumerate(here):
            stays = left[spot] > 0
            left[spot] -= stays
            here[pot] = spot if stays else NOWHERE
        comers = [spot for spot, number in enumerate(left) for _ in range(number)]
        homeless = [pot for pot, spot in enumerate(here) if spot == NOWHERE]
        for pot, spot in zip(homeless, comers, strict=False):
            here[pot] = spot
        ways[:, step] = here
    return ways


def _groups(house: _House) -> Iterator[tuple[_Pot, int, int]]:
    """Pots of one plant that go the same way: one of them, how many, and which way of it."""
    alike: dict[tuple[str, object], list[_Pot]] = {}
    for pot in house.pots:
        alike.setdefault((pot.plant, (pot.spot, pot.way)), []).append(pot)
    ways = Counter[str]()
    for (plant, _), pots in alike.items():
        ways[plant] += 1
        yield pots[0], len(pots), ways[plant]


def _result(question: Question, house: _House, solved: Solution, diary: Diary | None) -> PlanResult:
    """All that the plan says."""
    stays, homeless = _stays(house)
    stands = [stand for row in house.stands for stand in row]
    told = any(stand.decision.verdict is not Verdict.NONE for stand in stands)
    notes = (*question.subjects.notes, *_notes(house, diary))
    own = question.subjects.collection
    rooms = tuple(_rooms(house, solved))
    return PlanResult(
        place=question.place,
        record=house.record,
        settings=settings_of(replace(question.options, notes=notes)),
        first=house.times.first[0],
        last=house.times.stop - timedelta(1),
        pots=len(house.pots),
        left_out=0 if own is None else own.number_left_out,
        moved=_moved(house),
        homeless_nights=solved.short_nights,
        homeless_least=solved.short_least,
        against_wishes=solved.against_wishes,
        gap=None if solved.gap > 1.0 else solved.gap,
        reason=None if told else explain_verdict(stands[0].case, stands[0].decision),
        days=tuple(_moving_days(house, rooms)),
        results=stays,
        plants=tuple(_planned(house, *group) for group in _groups(house)),
        spots=rooms,
        homeless=homeless,
    )


def _begins(house: _House) -> Iterator[str]:
    """Where plants begin that stand nowhere by the file: no moving day tells of them."""
    names = [*(f"at {spot.name}" for spot in house.spots), "without a place"]  # that of `NOWHERE`
    begins: dict[str, dict[str, None]] = {}
    for pot in house.pots:
        if pot.spot == NOWHERE:
            begins.setdefault(pot.plant, {})[names[pot.way[0][0]]] = None
    if begins:
        told = [f"{plant} {' and '.join(spots)}" for plant, spots in begins.items()]
        yield f"Not placed yet, and by the plan to begin: {first_of(told, NAMED)}."


def _noted_ahead(house: _House, diary: Diary) -> Iterator[str]:
    """Moves of the diary that this plan takes no account of."""
    ahead = [
        one for one in diary.entries if one.spot is not None and one.day > house.times.first[0]
    ]
    if ahead:
        told = [f"{one.plant} to {one.spot} ({one.day})" for one in ahead]
        yield f"Noted ahead in the diary, and not counted by this plan: {first_of(told, NAMED)}."


def _notes(house: _House, diary: Diary | None) -> Iterator[str]:
    """What is not told by the diary, by the record, or of room, where it is asked for."""
    if not any(house.times.moving):
        yield (
            "By the file you are away on every moving day of this plan: every move is against that."
        )
    if diary is not None:
        yield from diary.left_out
        yield from _noted_ahead(house, diary)
    yield from _begins(house)
    for at, spot in enumerate(house.spots):
        unknown = [
            row[at].needs for row in house.stands if row[at].decision.verdict is Verdict.NONE
        ]
        if unknown:
            named = ", ".join(name for needs in unknown for name in needs.plants or (needs.key,))
            yield f"At {spot.name} the record cannot tell of {named}: not planned to stand there."
    if any(is_provisional(one.decision, one.case.rules) for row in house.stands for one in row):
        yield "Provisional: fewer than ten usable years stand behind some of its seasons."
    unsaid = {pot.plant for pot in house.pots if pot.pot_cm is None}
    if house.by_area and unsaid:
        yield (
            f"No pot_cm is said of {len(unsaid)} of the plants: each pot is taken to need "
            f"{USUAL_POT_CM:g} x {USUAL_POT_CM:g} cm of bench."
        )
    if not house.by_area and all(spot.places is None for spot in house.spots):
        yield "No spot says its room (places or area_cm2): every one takes as many pots as come."


def _stays(house: _House) -> tuple[tuple[PlannedStay, ...], tuple[Homeless, ...]]:
    """Who stands where and when, and who has no place."""
    stays, homeless = [], []
    for pot, number, way in _groups(house):
        row = house.stands[pot.subject]
        for spot, first, stop in pot.stays(house.times.stop):
            days = house.times.year_days(first, stop)
            last = stop - timedelta(1)
            if spot == NOWHERE:
                would_do = any(house.days(pot, one)[days].all() for one in range(len(row)))
                homeless.append(
                    Homeless(
                        plant=pot.plant,
                        way=way,
                        number=number,
                        first=first,
                        last=last,
                        anywhere=would_do,
                    )
                )
                continue
            stand = row[spot]
            fields = whose(house.spots[spot].name, stand.needs, stand.decision.unseen.nights)
            fields |= {"plants": (pot.plant,), "numbers": (number,)}
            stays.append(PlannedStay(**fields, way=way, first=first, last=last, nights=days.size))
    return tuple(stays), tuple(homeless)


def _moved(house: _House) -> int:
    """Pots moved in a plan."""
    return sum(len([*pot.carries()]) for pot in house.pots)


def _moving_days(house: _House, rooms: Sequence[RoomUse]) -> Iterator[MovingDay]:
    """The days of moving in order, each with what is carried, rows that are alike as one."""
    days: dict[date, list[_Trip]] = {}
    names = [*(spot.name for spot in house.spots), None]  # the last for those that stand nowhere
    for pot in house.pots:
        for before, after, day in pot.carries():
            days.setdefault(day, []).append((pot, before, after))
    for day, trips in sorted(days.items()):
        rows = Counter(
            Carry(
                plant=pot.plant,
                number=1,
                from_spot=names[before],
                to_spot=names[after],
                pot_cm=pot.pot_cm,
            )
            for pot, before, after in trips
        )
        moves = [replace(row, number=number) for row, number in rows.items()]
        # Who has no place must go whatever is wished.
        against = house.times.against(day, sum(after != NOWHERE for _, _, after in trips))
        waits = not {"day", "away"} & set(against)
        yield MovingDay(
            day=day,
            pots=len(trips),
            against=against,
            pressing=() if waits else _pressing(house, rooms, day, trips),
            moves=tuple(sorted(moves, key=lambda one: (str(one.from_spot), str(one.to_spot)))),
        )


def _pressing(
    house: _House, rooms: Sequence[RoomUse], day: date, trips: Sequence[_Trip]
) -> tuple[Pressing, ...]:
    """What does not wait for the next moving day: nights where a pot stands, or else its room."""
    steps = house.times.until_moving(day)
    found: set[Pressing] = set()
    waiting: dict[int, list[_Pot]] = {}
    for pot, before, after in trips:
        if before == NOWHERE:
            found.add("room")
        elif house.times.whole(house.days(pot, before))[steps].all():
            waiting.setdefault(before, []).append(pot)
        elif after != NOWHERE:
            found.add("nights")
    if any(_too_full(rooms[spot], steps, pots) for spot, pots in waiting.items()):
        found.add("room")
    return tuple(sorted(found))


def _too_full(room: RoomUse, steps: slice, pots: Sequence[_Pot]) -> bool:
    """Whether a spot had no room in some steps, did these pots stand there too."""
    weeks = room.weeks[steps]
    places, area_cm2 = len(pots), sum(pot.size_cm2 for pot in pots)
    if room.places is not None and any(week.pots + places > room.places for week in weeks):
        return True
    limit_cm2 = room.area_cm2
    return limit_cm2 is not None and any(
        (week.area_cm2 or 0.0) + area_cm2 > limit_cm2 + 1e-6 for week in weeks
    )


def _planned(house: _House, pot: _Pot, number: int, way: int) -> PlannedPlant:
    """How pots that go the same way fare."""
    no_growth = not_at_ease = too_dark = 0
    rests: list[tuple[int, int]] = []
    row = house.stands[pot.subject]
    for spot, first, stop in pot.stays(house.times.stop):
        if spot == NOWHERE:
            continue
        stand, days = row[spot], house.times.year_days(first, stop)
        there = np.isin(np.arange(DAYS), days)
        grows, at_ease, _ = (one[days] for one in stand.fares(there))
        no_growth += int((~grows).sum())
        not_at_ease += int((grows & ~at_ease).sum())
        too_dark += days.size * stand.dark
        rest = rest_of(stand, there)
        rests += [] if rest is None else [rest]
    met, of = max(rests, default=(None, None))
    chance, _ = _chance(house, pot)
    return PlannedPlant(
        plant=pot.plant,
        group=row[0].needs.key,
        number=number,
        way=way,
        moves=len([*pot.carries()]),
        chance=None if chance is None else min(chance, SUREST),
        nights_without_growth=no_growth,
        nights_not_at_ease=not_at_ease,
        nights_too_dark=too_dark,
        rest_met_years=met,
        rest_of_years=of,
    )


def _rooms(house: _House, solved: Solution) -> Iterator[RoomUse]:
    """What of each spot is used in each step, from the day on which its last pot is carried."""
    pots = solved.standing.sum(axis=0).tolist()
    area_cm2 = np.tensordot([pot.size_cm2 for pot in house.firsts], solved.standing, 1).tolist()
    days = sorted({day for pot in house.pots for _, _, day in pot.carries()})
    stops = [*house.times.first[1:], house.times.stop]
    settled = [
        max((day for day in days if first <= day < stop), default=first)
        for first, stop in zip(house.times.first, stops, strict=True)
    ]
    for spot, numbers, areas in zip(house.spots, pots, area_cm2, strict=True):
        weeks = zip(settled, numbers, areas, strict=True)
        yield RoomUse(
            spot=spot.name,
            indoors=spot.room is not None,
            places=spot.places,
            area_cm2=spot.area_cm2,
            weeks=tuple(
                WeekOfRoom(
                    first=first, pots=number, area_cm2=None if spot.area_cm2 is None else area
                )
                for first, number, area in weeks
            ),
        )


# What would change it -----------------------------------------------------------------------------


def _changes(
    question: Question, house: _House, told: Callable[[str], None]
) -> Iterator[PlanChange]:
    """Each change that by itself gives every pot a place: room, warmth, or giving plants up."""
    problem = house.problem()
    told("Trying more room at each spot")
    for spot, at in enumerate(house.spots):
        if at.places is None and at.area_cm2 is None:
            continue
        room = least_change(problem, more_room=spot)
        if room is not None:
            area_cm2 = float(room[spot] * problem.size[1].max())
            yield PlanChange(
                kind="room",
                spot=at.name,
                places=None if at.places is None else int(room[spot]),
                area_cm2=None if at.area_cm2 is None else area_cm2,
            )
    for spot, at in enumerate(house.spots):
        told(f"Trying {at.name} warmer")
        warmer = _least_warmth(question, house, problem, spot)
        if warmer is not None:
            watts = None if at.heater is None else warmer * at.heater.loss_w_per_k
            yield PlanChange(kind="warmth", spot=at.name, warmer_c=float(warmer), watts=watts)
    told("Trying fewer plants")
    kinds = [
        sorted((house.pots[at] for at in kind), key=lambda pot: not pot.lacks_a_place)
        for kind in house.kinds
    ]
    weights = np.array([1.0 if kind[0].lacks_a_place else 1.01 for kind in kinds])
    fewer = least_change(problem, give_up=weights)
    if fewer is not None:
        given = Counter(
            pot.plant
            for kind, number in zip(kinds, fewer.tolist(), strict=True)
            for pot in kind[:number]
        )
        yield PlanChange(kind="give-up", plants=tuple(given), numbers=tuple(given.values()))


def _least_warmth(question: Question, house: _House, problem: Problem, spot: int) -> int | None:
    """Whole degrees by which a spot must be warmer for all to have a place; None up to six."""
    needs = [[row[spot].needs for row in house.stands]]

    def enough(allowed: BoolArray) -> bool:
        everywhere = problem.allowed.copy()
        everywhere[:, spot] = allowed
        return has_room(replace(problem, allowed=everywhere))

    def warm_enough(warmer: int) -> bool:
        laid_out = _lay_out(question, (_warmed(house.spots[spot], warmer),), needs)
        stands = lay_out_stands(laid_out, question.subjects.catalogue)
        days = [house.times.whole(row[0].days) for row in stands]
        return enough(np.array([days[pot.subject] for pot in house.firsts]))

    however_warm = np.ones(1, np.bool_)
    if not enough(however_warm) or not warm_enough(WARMEST_TRIED_C):
        return None
    return bisect_left(range(WARMEST_TRIED_C), 1, lo=1, key=warm_enough)


def _warmed(spot: Spot, warmer: int) -> Spot:
    """The spot so much warmer: what is held there where heat is held, every hour elsewhere."""
    if spot.room is not None:
        return replace(spot, room=replace(spot.room, temp_c=spot.room.temp_c + warmer))
    if spot.held_minimum_c is not None:
        heater = spot.heater
        if heater is not None:
            heater = replace(heater, watts=heater.watts + warmer * heater.loss_w_per_k)
        return replace(spot, held_minimum_c=spot.held_minimum_c + warmer, heater=heater)
    clear, other, day = (
        replace(one, low=one.low + warmer, usual=one.usual + warmer, high=one.high + warmer)
        for one in spot.offsets_c
    )
    return replace(spot, clear_night_c=clear, other_night_c=other, day_c=day, measured=())


# Why not otherwise, and one more ------------------------------------------------------------------


def _explained(
    house: _House, solved: Solution, plant: str, told: Callable[[str], None]
) -> Explained:
    """For each spot what stands against the plant, and what it would cost to have it there."""
    alone = replace(house, apart=plant)
    problem, firsts = alone.problem(), alone.firsts
    mine = [pot for pot in house.pots if pot.plant == plant]
    own = [at for at, pot in enumerate(firsts) if pot.plant == plant]
    spots = []
    for spot, at in enumerate(house.spots):
        may = problem.allowed[own, spot]
        days = np.any([house.days(firsts[kind], spot) for kind in own], axis=0)
        nights = [_nights_at(pot, spot, house.times.stop) for pot in mine]
        one = NotThere(
            spot=at.name,
            stands=len(set().union(*nights)),
            pots=sum(map(bool, nights)),
            allowed=int(problem.nights[may.any(axis=0)].sum()),
            seasons=seasons_of(days),
        )
        if sum(map(len, nights)) < problem.pots[own] @ may @ problem.nights:
            told(f"Trying {plant} at {at.name}")
            only = problem.allowed.copy()
            for kind, there in zip(own, may, strict=True):
                only[kind][:, there] = False
                only[kind, spot] = there
            tried = solve_plan(replace(problem, allowed=only))
            more = _moved(_with_ways(alone, tried)) - _moved(house)
            lost = tried.cost - solved.cost - house.move_nights * more
            one = replace(
                one,
                homeless=max(0, tried.short_nights - solved.short_nights),
                against_wishes=tried.against_wishes - solved.against_wishes,
                moved=more,
                lost_nights=round(lost, 1),
            )
        spots.append(one)
    return Explained(plant=plant, number=len(mine), spots=tuple(spots))


def _nights_at(pot: _Pot, spot: int, stop: date) -> set[int]:
    """Nights that a pot spends at a spot, as ordinals of their days."""
    return {
        night
        for one, first, last in pot.stays(stop)
        if one == spot
        for night in range(first.toordinal(), last.toordinal())
    }


def _bought(house: _House, result: PlanResult, buy: Subject, told: Callable[[str], None]) -> Bought:
    """Whether one more pot of a group has a place, and where."""
    new = _Pot(plant=NEW, subject=len(house.stands) - 1, pot_cm=None, spot=NOWHERE)
    larger, solved = _solve(replace(house, pots=(*house.pots, new)), told)
    stays, homeless = _stays(larger)
    return Bought(
        group=buy.group.key,
        group_name=buy.group.name,
        caveat=buy.caveat,
        fits=solved.short_nights <= result.homeless_nights,
        stays=tuple(stay for stay in stays if stay.plants == (NEW,)),
        homeless=homeless,
        moved=_moved(larger) - result.moved,
    )
