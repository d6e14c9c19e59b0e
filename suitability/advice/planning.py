"""
The question `plan`: who stands where, when, within the room there is, and what moving that takes.

Seasons and promises come from `plan_stands`, the plan itself from `plan_model`; here the collection
becomes their problem, and their numbers become stays, moving days and changes.
"""

from __future__ import annotations

from collections import Counter
from collections.abc import Callable
from datetime import date, timedelta
from itertools import groupby, pairwise
from typing import TYPE_CHECKING

import numpy as np
from msgspec import Struct
from msgspec.structs import replace
from numpy.typing import NDArray

from suitability.advice.comparison import needs_by_spot
from suitability.advice.plan_model import FREE, GAP, Problem, Solution, solve_plan
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
from suitability.advice.terms import Season, Verdict, whose
from suitability.advice.verdicts import is_provisional
from suitability.climate.days import DAYS, day_of_year, month_day
from suitability.errors import CatalogueError
from suitability.quantities import SUREST
from suitability.spots.collection import Moving, near_names, same_name
from suitability.spots.diary import Diary, spot_on

if TYPE_CHECKING:
    from collections.abc import Iterator, Sequence

    from suitability.advice.plan_result import Wish
    from suitability.advice.preparing import LaidOut
    from suitability.advice.result import Reason
    from suitability.groups.group import Needs
    from suitability.spots.spot import Spot

__all__ = ["Timetable", "lay_out_steps", "plan"]

BoolArray = NDArray[np.bool_]
FloatArray = NDArray[np.float64]
IntArray = NDArray[np.int64]

WEEKS = 52
MOVE_NIGHTS = 7.0  # of good nights that moving one pot must bring; reasoned
USUAL_POT_CM = 14.0  # of a pot whose width is not said; reasoned
WARMEST_TRIED_C = 6  # K
FIRST_S, LAST_S = 1.5, 8.0  # for a plan that may have to be made anew, and for one that stands
NOWHERE = -1
NEW = "one more"
NEVER_THERE = (
    "By the file you are away on every moving day of this plan: every move is against that."
)


class Timetable(Struct, frozen=True, kw_only=True):
    """
    The days of a plan: steps from one possible moving day to the next.

    Attributes
    ----------
    first : (step)
    stop
        The day after the last.
    moving : of each step
        Days of it on which pots may be carried by the grower's wishes.
    most_a_day
        Pots; None: no limit.
    late : nights
        That a pot may stay on after a step's first day, until the last of its moving days.
    """

    first: tuple[date, ...]
    stop: date
    moving: tuple[tuple[date, ...], ...]
    most_a_day: int | None
    late: int

    @property
    def nights(self) -> IntArray:
        """Of each step."""
        edges = [*self.first, self.stop]
        return np.diff([day.toordinal() for day in edges])

    @property
    def most(self) -> FloatArray:
        """Pots that may be moved in each step by the wishes."""
        each = np.inf if self.most_a_day is None else float(self.most_a_day)
        return np.array([len(days) * each if days else 0.0 for days in self.moving])

    def by_step(self, by_day: NDArray[np.generic], late: int = 0) -> list[NDArray[np.generic]]:
        """What a year's days hold in the nights of each step, and in some after it."""
        edges = pairwise([*self.first, self.stop])
        return [
            by_day[[_day(first + timedelta(night)) for night in range((stop - first).days + late)]]
            for first, stop in edges
        ]


def _day(day: date, since: date | None = None) -> int:
    """A date as a day of the folded year, or of that in which another day lies and those after."""
    years = 0 if since is None else day.year - since.year
    return DAYS * years + day_of_year(f"{day:%m-%d}")


def lay_out_steps(first_day: date, wishes: Moving) -> Timetable:
    """
    Steps of a week from the first day of moving in each, for 52 weeks, with the days before them.

    Of several days of the week those that lie closest together make one occasion.
    """
    spans = {day: max((other - day) % 7 for other in wishes.days) for day in wishes.days}
    opening = min(spans, key=lambda day: (spans[day], day))
    start = first_day + timedelta((opening - first_day.weekday()) % 7)
    first = [start + timedelta(7 * week) for week in range(WEEKS)]
    if start != first_day:
        first = [first_day, *first]
    stop = start + timedelta(7 * WEEKS)

    def wished(day: date) -> bool:
        away = any(one.first <= day <= one.last for one in wishes.away)
        return day.weekday() in wishes.days and not away

    moving = []
    for day in first:
        within = 0 if day == first_day != start else spans[opening]
        days = (day + timedelta(later) for later in range(within + 1))
        moving.append(tuple(filter(wished, days)))
    return Timetable(
        first=tuple(first),
        stop=stop,
        moving=tuple(moving),
        most_a_day=wishes.most_a_day,
        late=spans[opening],
    )


# The collection as a problem ----------------------------------------------------------------------


class _Kind(Struct, frozen=True, kw_only=True):
    """Pots that are planned alike: judged alike, as wide, and now at the same spot."""

    subject: int
    pot_cm: float | None
    spot: str | None
    pots: tuple[tuple[str, int], ...]  # plants by name, how many of each

    @property
    def number(self) -> int:
        """How many pots."""
        return sum(number for _, number in self.pots)


class _House(Struct, frozen=True, kw_only=True):
    """
    Everything that a plan is made of.

    Attributes
    ----------
    stands : [subject][spot]
    days : [kind][spot], (365)
        On which they may stand there; some are fewer than those of `stands`.
    """

    spots: tuple[Spot, ...]
    stands: tuple[tuple[Stand, ...], ...]
    kinds: tuple[_Kind, ...]
    days: tuple[tuple[BoolArray, ...], ...]
    times: Timetable
    promise: float
    move_nights: float = MOVE_NIGHTS

    def stand(self, kind: int, spot: int) -> Stand:
        """Of a kind at a spot."""
        return self.stands[self.kinds[kind].subject][spot]

    def problem(self) -> Problem:
        """As the model takes it."""
        kinds, spots, steps = len(self.kinds), len(self.spots), len(self.times.first)
        allowed = np.zeros((kinds, spots, steps), np.bool_)
        discomfort = np.zeros((kinds, spots, steps))
        for kind in range(kinds):
            for spot in range(spots):
                late = self.times.by_step(self.days[kind][spot], self.times.late)
                allowed[kind, spot] = [days.all() for days in late]
                lost = self.times.by_step(self.stand(kind, spot).discomfort)
                discomfort[kind, spot] = [float(nights.sum()) for nights in lost]
        names = [spot.name for spot in self.spots]
        wide = [one.pot_cm or USUAL_POT_CM for one in self.kinds]
        return Problem(
            pots=np.array([one.number for one in self.kinds]),
            start=np.array(
                [FREE if one.spot is None else names.index(one.spot) for one in self.kinds]
            ),
            allowed=allowed,
            discomfort=discomfort,
            nights=self.times.nights,
            size=np.array([[1.0] * kinds, np.square(wide)]),
            room=np.array(
                [[_or_inf(spot.places), _or_inf(spot.area_cm2)] for spot in self.spots]
            ).T,
            most_moved=self.times.most,
            move_nights=self.move_nights,
        )


def _or_inf(number: float | None) -> float:
    return np.inf if number is None else float(number)


def _lay_out(
    question: Question,
    subjects: Sequence[Subject],
    spots: Sequence[Spot],
    needs: Sequence[Sequence[Needs]],
) -> tuple[LaidOut, tuple[tuple[Stand, ...], ...]]:
    """Every subject at every spot, [subject][spot], from what each needs there, [spot][subject]."""
    every = [one for here in needs for one in here]
    laid_out = lay_out(
        question.record, question.place, spots, (), question.options, also=every
    ).asking(zip(spots, needs, strict=True))
    lights = [subject.group.light_class for subject in subjects]
    by_spot = [
        lay_out_stands(laid, laid_out.used, question.place, lights) for laid in laid_out.spots
    ]
    return laid_out, tuple(zip(*by_spot, strict=True))


def _needs(question: Question, subjects: Sequence[Subject]) -> list[list[Needs]]:
    """What each subject needs at each spot, [spot][subject]: noted damage may differ between."""
    own = needs_by_spot(question) or [()] * len(question.spots)
    return [[*here, *(one.needs()[0] for one in subjects[len(here) :])] for here in own]


def _kinds_of(subjects: Sequence[Subject], diary: Diary | None, day: date) -> tuple[_Kind, ...]:
    """Pots that are planned alike, in the order of the file, from where they stand on a day."""
    found: dict[tuple[int, float | None, str | None], list[tuple[str, int]]] = {}
    for at, subject in enumerate(subjects):
        for plant in subject.plants:
            spot = plant.spot
            if diary is not None:
                spot = spot_on(plant.name, spot, diary, day)
            key = at, plant.pot_cm, spot
            found.setdefault(key, []).append((plant.name, plant.number))
    return tuple(
        _Kind(subject=at, pot_cm=pot_cm, spot=spot, pots=tuple(pots))
        for (at, pot_cm, spot), pots in found.items()
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
    if own is None or not any(subject.plants for subject in question.subjects.asked):
        raise CatalogueError(
            "a plan is made for the plants of a collection: name its file (--collection), and list "
            "[[plant]] tables in it."
        )
    kinds = _kinds_of(question.subjects.asked, diary, first_day)
    asked_for = None if explain is None else _named(explain, kinds, own.path.name)
    subjects = [*question.subjects.asked, *([] if buy is None else [buy])]
    told("Working out the seasons of each spot")
    needs = _needs(question, subjects)
    laid_out, stands = _lay_out(question, subjects, question.spots, needs)
    house = _House(
        spots=question.spots,
        stands=stands,
        kinds=kinds,
        days=tuple(tuple(one.days for one in stands[kind.subject]) for kind in kinds),
        times=lay_out_steps(first_day, own.moving),
        promise=question.options.rules.promise,
    )
    house, solved, pots = _solve(house, told)
    notes = () if diary is None else diary.left_out
    if not any(house.times.moving):
        notes = (NEVER_THERE, *notes)
    result = _result(question, laid_out, house, solved, pots, notes=notes)
    if result.reason is not None:
        return result
    if solved.short_nights:
        result = replace(result, changes=tuple(_changes(question, house, solved, subjects, told)))
    if asked_for is not None:
        told(f"Trying {asked_for} elsewhere")
        result = replace(result, explained=_explained(house, solved, pots, asked_for))
    if buy is not None:
        told("Finding a place for one more")
        result = replace(result, bought=_bought(house, result, buy, told))
    return result


def _named(name: str, kinds: Sequence[_Kind], file: str) -> str:
    """The plant of a name, as its file writes it."""
    names = {same_name(plant): plant for kind in kinds for plant, _ in kind.pots}
    if same_name(name) not in names:
        hint = near_names(name, list(names.values()))
        raise CatalogueError(f'{file}: it has no plant "{name}" that can be planned.{hint}')
    return names[same_name(name)]


class _Pot(Struct, frozen=True, kw_only=True):
    """One pot: its kind and plant, and (spot, first day) of each of its stays."""

    kind: int
    plant: str
    way: tuple[tuple[int, date], ...]

    def stays(self, stop: date) -> Iterator[tuple[int, date, date]]:
        """Spot, first day and the day after the last."""
        ends = [*(first for _, first in self.way[1:]), stop]
        for (spot, first), end in zip(self.way, ends, strict=True):
            yield spot, first, end


def _solve(house: _House, told: Callable[[str], None]) -> tuple[_House, Solution, list[_Pot]]:
    """
    A plan of which each pot keeps the promise over all its stays, with the days of its house.

    Where several seasons in turn keep it less often than promised, the kind is given seasons that
    each fail half as often, and if that is not enough one spot of a season beside the sure ones.
    """
    told(f"Planning {sum(kind.number for kind in house.kinds)} pots")
    tightened = Counter[int]()
    while True:
        solved = solve_plan(house.problem(), seconds=FIRST_S)
        pots = _pots(house, solved)
        broken = {pot.kind for pot in pots if tightened[pot.kind] < 2 and not _keeps(house, pot)}
        if not broken:
            break
        told("Planning anew where several seasons in turn are less sure")
        days = list(house.days)
        for kind in broken:
            # A second chance only in the first round: each takes the time of a whole plan.
            first = not tightened
            days[kind] = _surer(house, kind) if first else _one_season(house, kind, solved)
        tightened.update(dict.fromkeys(broken, 1 if not tightened else 2))
        house = replace(house, days=tuple(days))
    if solved.gap > GAP:
        told("Looking for a better plan")
        better = solve_plan(house.problem(), seconds=LAST_S)
        of_better = _pots(house, better)
        if all(tightened[pot.kind] == 2 or _keeps(house, pot) for pot in of_better):
            return house, better, of_better
    return house, solved, pots


def _surer(house: _House, kind: int) -> tuple[BoolArray, ...]:
    """Days of seasons that fail half as often."""
    promise = (1.0 + house.promise) / 2.0
    row = house.stands[house.kinds[kind].subject]
    return tuple(
        one.days if one.sure else one.days & allowed_days(one.case, one.decision, promise)
        for one in row
    )


def _one_season(house: _House, kind: int, solved: Solution) -> tuple[BoolArray, ...]:
    """Days of the sure spots, and of one season of the spot that is most used of the others."""
    row = house.stands[house.kinds[kind].subject]
    used = solved.standing[kind].sum(axis=1)
    unsure = [spot for spot, one in enumerate(row) if not one.sure]
    most = max(unsure, key=lambda spot: int(used[spot]))
    none = np.zeros(DAYS, np.bool_)
    return tuple(
        one.days if one.sure else longest_days(one) if spot == most else none
        for spot, one in enumerate(row)
    )


def _chance(house: _House, pot: _Pot) -> tuple[float | None, int]:
    """
    That a new year keeps the stays of a pot, and how many of them are not sure by themselves.

    Stays at spots that are sure all year take nothing from it but the highest chance ever told.
    """
    start = house.times.first[0]
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
    unsure = [stay for stay in stays if not house.stand(pot.kind, stay[0]).sure]
    if len(stays) == 1 and stays[0][2] >= DAYS - 7:
        return house.stand(pot.kind, stays[0][0]).decision.all_year_chance, len(unsure)
    cases = [(house.stand(pot.kind, spot).case, day, nights) for spot, day, nights in unsure]
    return (chance_of_stays(cases) if cases else SUREST), len(unsure)


def _keeps(house: _House, pot: _Pot) -> bool:
    """Whether it keeps the promise; a single stay does, for it lies within a season."""
    chance, unsure = _chance(house, pot)
    return chance is None or unsure < 2 or chance >= house.promise - 1e-9


# Pots, their days of moving, and stays ------------------------------------------------------------


def _pots(house: _House, solved: Solution) -> list[_Pot]:
    """Each pot with its way: as few of one plant as possible part from each other."""
    ways = [_follow(house, kind, solved.standing[kind]) for kind in range(len(house.kinds))]
    spots = np.concatenate(ways)
    owners = [
        (kind, plant)
        for kind, one in enumerate(house.kinds)
        for plant, number in one.pots
        for _ in range(number)
    ]
    start = [
        NOWHERE if one.spot is None else [spot.name for spot in house.spots].index(one.spot)
        for one in (house.kinds[kind] for kind, _ in owners)
    ]
    first = house.times.first[0]
    found: list[list[tuple[int, date]]] = [[(int(spot), first)] for spot in start]
    before = np.array(start)
    for step, days in enumerate(house.times.moving):
        now = spots[:, step]
        moved = np.flatnonzero(now != before)
        placed = [pot for pot in moved.tolist() if step == 0 and before[pot] == NOWHERE]
        for pot in placed:
            found[pot][0] = int(now[pot]), first
        carried = [pot for pot in moved.tolist() if pot not in placed]
        # Who leaves a narrow spot goes first, so that it has room for who comes.
        carried.sort(key=lambda pot: house.spots[before[pot]].places is None)
        for number, pot in enumerate(carried):
            found[pot].append((int(now[pot]), _day_of_carry(house.times, step, days, number)))
        before = now
    return [
        _Pot(kind=kind, plant=plant, way=_without_none(way))
        for (kind, plant), way in zip(owners, found, strict=True)
    ]


def _without_none(way: Sequence[tuple[int, date]]) -> tuple[tuple[int, date], ...]:
    """A way without stays of no day, as where pots are moved on the first day of all."""
    return tuple(
        one
        for one, after in zip(way, [*way[1:], None], strict=True)
        if not after or after[1] > one[1]
    )


def _day_of_carry(times: Timetable, step: int, days: Sequence[date], number: int) -> date:
    """The day on which the pot of a number in its step is carried."""
    if not days:
        return times.first[step]
    if times.most_a_day is None:
        return days[0]
    return days[min(number // times.most_a_day, len(days) - 1)]


def _follow(house: _House, kind: int, standing: IntArray) -> IntArray:
    """From pots at each spot in each step, (spot, step), to the spot of each pot, (pot, step)."""
    names = [spot.name for spot in house.spots]
    one = house.kinds[kind]
    here = np.full(one.number, NOWHERE if one.spot is None else names.index(one.spot))
    ways = np.full((one.number, standing.shape[1]), NOWHERE)
    for step, wanted in enumerate(standing.T):
        left = wanted.copy()
        stays = np.zeros(one.number, np.bool_)
        for pot, spot in enumerate(here.tolist()):
            if spot != NOWHERE and left[spot] > 0:
                stays[pot] = True
                left[spot] -= 1
        comers = iter(np.repeat(np.arange(left.size), left).tolist())
        here = np.array(
            [
                spot if stays[pot] else next(comers, NOWHERE)
                for pot, spot in enumerate(here.tolist())
            ]
        )
        ways[:, step] = here
    return ways


def _grouped(pots: Sequence[_Pot]) -> list[tuple[_Pot, int, int]]:
    """Pots of one plant that go the same way: one of them, how many, and which way of it."""
    found = []
    for _, of_plant in groupby(pots, key=lambda pot: (pot.kind, pot.plant)):
        ways = Counter(of_plant)
        found += [(pot, number, way) for way, (pot, number) in enumerate(ways.items(), start=1)]
    return found


def _result(
    question: Question,
    laid_out: LaidOut,
    house: _House,
    solved: Solution,
    pots: Sequence[_Pot],
    *,
    notes: Sequence[str],
) -> PlanResult:
    """All that the plan says."""
    groups = _grouped(pots)
    days = _moving_days(house, groups)
    return PlanResult(
        place=question.place,
        record=summarise_record(laid_out.used),
        settings=settings_of(
            replace(question.options, notes=(*question.options.notes, *notes, *_room_notes(house)))
        ),
        first=house.times.first[0],
        last=house.times.stop - timedelta(1),
        pots=len(pots),
        moved=sum(day.pots for day in days),
        homeless_nights=solved.short_nights,
        homeless_least=solved.short_least,
        against_wishes=solved.against_wishes,
        gap=None if solved.gap > 1.0 else solved.gap,
        reason=_nothing_told(house),
        days=days,
        results=tuple(_stays(house, groups)),
        plants=tuple(_planned(house, *group) for group in groups),
        spots=tuple(_room(house, solved, spot) for spot in range(len(house.spots))),
        homeless=tuple(_homeless(house, groups)),
    )


def _nothing_told(house: _House) -> Reason | None:
    """Why the record tells of no plant at any spot; None where it tells of one."""
    every = [stand for row in house.stands for stand in row]
    if any(stand.decision.verdict is not Verdict.NONE for stand in every):
        return None
    return explain_verdict(every[0].case, every[0].decision)


def _room_notes(house: _House) -> Iterator[str]:
    """What is not told by the record, and what is not said of room, where it is asked for."""
    for at, spot in enumerate(house.spots):
        unknown = [
            row[at].needs for row in house.stands if row[at].decision.verdict is Verdict.NONE
        ]
        if unknown:
            named = ", ".join(name for needs in unknown for name in needs.plants or (needs.key,))
            yield f"At {spot.name} the record cannot tell of {named}: not planned to stand there."
    if any(is_provisional(one.decision, one.case.rules) for row in house.stands for one in row):
        yield "Provisional: fewer than ten usable years stand behind some of its seasons."
    wide = any(spot.area_cm2 is not None for spot in house.spots)
    unsaid = [plant for kind in house.kinds if kind.pot_cm is None for plant, _ in kind.pots]
    if wide and unsaid:
        yield (
            f"No pot_cm is said of {len(unsaid)} of the plants: each pot is taken to need "
            f"{USUAL_POT_CM:g} x {USUAL_POT_CM:g} cm of bench."
        )
    if all(spot.places is None and spot.area_cm2 is None for spot in house.spots):
        yield "No spot says its room (places or area_cm2): every one takes as many pots as come."


def _stays(house: _House, groups: Sequence[tuple[_Pot, int, int]]) -> Iterator[PlannedStay]:
    """Who stands where."""
    for pot, number, way in groups:
        for spot, first, stop in pot.stays(house.times.stop):
            if spot == NOWHERE:
                continue
            stand = house.stand(pot.kind, spot)
            unseen = stand.decision.unseen.nights
            fields = whose(stand.spot.name, stand.needs, unseen)
            fields |= {"plants": (pot.plant,), "numbers": (number,)}
            yield PlannedStay(
                **fields,
                way=way,
                first=first,
                last=stop - timedelta(1),
                nights=(stop - first).days,
            )


def _carried(house: _House, pot: _Pot) -> Iterator[tuple[str | None, str | None, date]]:
    """From where to which spot a pot is carried, and when; None: to or from no place of these."""
    before = house.kinds[pot.kind].spot
    for spot, day in pot.way:
        name = None if spot == NOWHERE else house.spots[spot].name
        placed = before is None and day == house.times.first[0]
        if name != before and not placed:
            yield before, name, day
        before = name


def _moving_days(house: _House, groups: Sequence[tuple[_Pot, int, int]]) -> tuple[MovingDay, ...]:
    """The days of moving in order, each with what is carried."""
    carries: dict[date, list[Carry]] = {}
    for pot, number, _ in groups:
        for before, after, day in _carried(house, pot):
            carry = Carry(
                plant=pot.plant,
                number=number,
                from_spot=before,
                to_spot=after,
                pot_cm=house.kinds[pot.kind].pot_cm,
            )
            carries.setdefault(day, []).append(carry)
    return tuple(
        MovingDay(
            day=day,
            pots=sum(one.number for one in moves),
            against=_against(house.times, day, moves),
            moves=tuple(sorted(moves, key=lambda one: (str(one.from_spot), str(one.to_spot)))),
        )
        for day, moves in sorted(carries.items())
    )


def _against(times: Timetable, day: date, moves: Sequence[Carry]) -> tuple[Wish, ...]:
    """Wishes that a moving day breaks; pots that have no place must go whatever they are."""
    pots = sum(one.number for one in moves if one.to_spot is not None)
    found: list[Wish] = []
    if not pots:
        return ()
    step = max(at for at, first in enumerate(times.first) if first <= day)
    if day not in times.moving[step]:
        found.append(
            "away" if day.weekday() in {one.weekday() for one in times.first[1:]} else "day"
        )
    elif times.most_a_day is not None and pots > times.most_a_day:
        found.append("number")
    return tuple(found)


def _planned(house: _House, pot: _Pot, number: int, way: int) -> PlannedPlant:
    """How pots that go the same way fare."""
    chance, _ = _chance(house, pot)
    lost = Counter[str]()
    rests: list[tuple[int, int]] = []
    for spot, first, stop in pot.stays(house.times.stop):
        if spot == NOWHERE:
            continue
        stand = house.stand(pot.kind, spot)
        nights = [_day(first + timedelta(night)) for night in range((stop - first).days)]
        grows = stand.grows[nights]
        lost["growth"] += int((~grows).sum())
        lost["ease"] += int((grows & ~stand.at_ease[nights]).sum())
        lost["dark"] += len(nights) * stand.dark
        there = np.zeros(DAYS, np.bool_)
        there[nights] = True
        rest = rest_of(stand, there)
        rests += [] if rest is None else [rest]
    met = max(rests, default=None)
    kind = house.kinds[pot.kind]
    stand = house.stands[kind.subject][0]
    return PlannedPlant(
        plant=pot.plant,
        group=stand.needs.key,
        number=number,
        way=way,
        moves=sum(after is not None for _, after, _ in _carried(house, pot)),
        chance=None if chance is None else min(chance, SUREST),
        nights_without_growth=lost["growth"],
        nights_not_at_ease=lost["ease"],
        nights_too_dark=lost["dark"],
        rest_met_years=None if met is None else met[0],
        rest_of_years=None if met is None else met[1],
    )


def _room(house: _House, solved: Solution, spot: int) -> RoomUse:
    """What of a spot is used in each step."""
    here = solved.standing[:, spot]
    wide = np.square([kind.pot_cm or USUAL_POT_CM for kind in house.kinds])
    at = house.spots[spot]
    return RoomUse(
        spot=at.name,
        indoors=at.room is not None,
        places=at.places,
        area_cm2=at.area_cm2,
        weeks=tuple(
            WeekOfRoom(
                first=first,
                pots=int(here[:, step].sum()),
                area_cm2=None if at.area_cm2 is None else float(wide @ here[:, step]),
            )
            for step, first in enumerate(house.times.first)
        ),
    )


def _homeless(house: _House, groups: Sequence[tuple[_Pot, int, int]]) -> Iterator[Homeless]:
    """Who has no place, and when."""
    for pot, number, way in groups:
        for spot, first, stop in pot.stays(house.times.stop):
            if spot != NOWHERE:
                continue
            nights = [_day(first + timedelta(night)) for night in range((stop - first).days)]
            anywhere = any(bool(days[nights].all()) for days in house.days[pot.kind])
            yield Homeless(
                plant=pot.plant,
                way=way,
                number=number,
                first=first,
                last=stop - timedelta(1),
                anywhere=anywhere,
            )


# What would change it -----------------------------------------------------------------------------


def _changes(
    question: Question,
    house: _House,
    solved: Solution,
    subjects: Sequence[Subject],
    told: Callable[[str], None],
) -> Iterator[PlanChange]:
    """Each change that by itself gives every pot a place: room, warmth, or giving plants up."""
    problem = house.problem()
    for spot, at in enumerate(house.spots):
        limits = problem.room[:, spot]
        if not np.isfinite(limits).any():
            continue
        told(f"Trying more room at {at.name}")
        tried = solve_plan(problem, wished=False, more_room=spot, seconds=FIRST_S)
        if not tried.short_nights:
            more = int(tried.more_room[spot])
            area = np.isfinite(limits[1])
            yield PlanChange(
                kind="room",
                spot=at.name,
                places=more if np.isfinite(limits[0]) else None,
                area_cm2=float(more * problem.size[1].max()) if area else None,
            )
    for spot, at in enumerate(house.spots):
        told(f"Trying {at.name} warmer")
        warmer = _least_warmth(question, house, problem, subjects, spot)
        if warmer is not None:
            heater = at.heater
            yield PlanChange(
                kind="warmth",
                spot=at.name,
                warmer_c=float(warmer),
                watts=None if heater is None else warmer * heater.loss_w_per_k,
            )
    told("Trying fewer plants")
    have_none = solved.short.any(axis=1)
    fewer = solve_plan(
        problem, wished=False, give_up=np.where(have_none, 1.0, 1.01), seconds=FIRST_S
    )
    if not fewer.short_nights:
        given = [
            (plant, number)
            for kind, left in zip(house.kinds, fewer.given_up.tolist(), strict=True)
            for plant, number in _first_of(kind.pots, left)
        ]
        yield PlanChange(
            kind="give-up",
            plants=tuple(plant for plant, _ in given),
            numbers=tuple(number for _, number in given),
        )


def _first_of(pots: Sequence[tuple[str, int]], left: int) -> Iterator[tuple[str, int]]:
    """So many pots of a kind by their plants."""
    for plant, number in pots:
        if left > 0:
            yield plant, min(number, left)
            left -= number


def _least_warmth(
    question: Question, house: _House, problem: Problem, subjects: Sequence[Subject], spot: int
) -> int | None:
    """Whole degrees by which a spot must be warmer for all to have a place; None up to six."""
    everywhere = problem.allowed.copy()
    everywhere[:, spot] = True
    if solve_plan(replace(problem, allowed=everywhere), wished=False, seconds=FIRST_S).short_nights:
        return None  # however warm it is

    def enough(warmer: int) -> bool:
        at = _warmed(house.spots[spot], warmer)
        _, stands = _lay_out(question, subjects, (at,), [[row[spot].needs for row in house.stands]])
        allowed = problem.allowed.copy()
        for kind, one in enumerate(house.kinds):
            days = house.times.by_step(stands[one.subject][0].days, house.times.late)
            allowed[kind, spot] = [nights.all() for nights in days]
        tried = replace(problem, allowed=allowed)
        return not solve_plan(tried, wished=False, seconds=FIRST_S).short_nights

    if not enough(WARMEST_TRIED_C):
        return None
    low, high = 0, WARMEST_TRIED_C
    while high - low > 1:
        middle = (low + high) // 2
        low, high = (low, middle) if enough(middle) else (middle, high)
    return high


def _warmed(spot: Spot, warmer: int) -> Spot:
    """The spot so much warmer: what is held there where heat is held, every hour elsewhere."""
    if spot.room is not None:
        return replace(spot, room=replace(spot.room, temp_c=spot.room.temp_c + warmer))
    if spot.held_minimum_c is not None:
        heater = spot.heater
        if heater is not None:
            heater = replace(heater, watts=heater.watts + warmer * heater.loss_w_per_k)
        return replace(spot, held_minimum_c=spot.held_minimum_c + warmer, heater=heater)
    shifted = [
        replace(one, low=one.low + warmer, usual=one.usual + warmer, high=one.high + warmer)
        for one in spot.offsets_c
    ]
    clear, other, day = shifted
    return replace(spot, clear_night_c=clear, other_night_c=other, day_c=day, measured=())


# Why not otherwise, and one more ------------------------------------------------------------------


def _explained(house: _House, solved: Solution, pots: Sequence[_Pot], plant: str) -> Explained:
    """For each spot what stands against the plant, and what it would cost to have it there."""
    kind = next(at for at, one in enumerate(house.kinds) if plant in dict(one.pots))
    number = dict(house.kinds[kind].pots)[plant]
    alone = _set_apart(house, kind, plant)
    own = len(alone.kinds) - 1
    mine = [pot for pot in pots if pot.plant == plant]
    moved = _moved(house, solved)
    spots = []
    for spot, at in enumerate(house.spots):
        problem = alone.problem()
        there = problem.allowed[own, spot].copy()
        stands = sum(
            (stop - first).days
            for pot in mine[:1]
            for one, first, stop in pot.stays(house.times.stop)
            if one == spot
        )
        allowed = int(problem.nights[there].sum())
        told = NotThere(
            spot=at.name,
            stands=stands,
            allowed=allowed,
            seasons=tuple(_seasons(house.days[kind][spot])),
        )
        if there.any() and stands < allowed:
            problem.allowed[own][:, there] = False
            problem.allowed[own, spot, there] = True
            tried = solve_plan(problem, seconds=LAST_S)
            more = _moved(alone, tried) - moved
            lost = tried.cost - solved.cost - house.move_nights * more
            told = replace(
                told,
                homeless=max(0, tried.short_nights - solved.short_nights),
                against_wishes=tried.against_wishes - solved.against_wishes,
                moved=more,
                lost_nights=round(lost, 1),
            )
        spots.append(told)
    return Explained(plant=plant, number=number, spots=tuple(spots))


def _set_apart(house: _House, kind: int, plant: str) -> _House:
    """The house with the pots of one plant as a kind of their own, the last."""
    one = house.kinds[kind]
    others = tuple(pots for pots in one.pots if pots[0] != plant)
    own = replace(one, pots=tuple(pots for pots in one.pots if pots[0] == plant))
    kinds, days = list(house.kinds), list(house.days)
    if others:
        kinds[kind] = replace(one, pots=others)
    else:
        del kinds[kind], days[kind]
    return replace(house, kinds=(*kinds, own), days=(*days, house.days[kind]))


def _moved(house: _House, solved: Solution) -> int:
    """Pots moved in a plan."""
    return sum(day.pots for day in _moving_days(house, _grouped(_pots(house, solved))))


def _seasons(days: BoolArray) -> Iterator[Season]:
    """Runs of days as seasons."""
    if days.all():
        yield Season(out=month_day(0), inn=month_day(0), days=DAYS)
        return
    for start in np.flatnonzero(days & ~np.roll(days, 1)).tolist():
        run = int(np.argmin(np.roll(days, -start)))
        yield Season(out=month_day(start), inn=month_day(start + run), days=run)


def _bought(house: _House, result: PlanResult, buy: Subject, told: Callable[[str], None]) -> Bought:
    """Whether one more pot of a group has a place, and where."""
    subject = len(house.stands) - 1
    new = _Kind(subject=subject, pot_cm=None, spot=None, pots=((NEW, 1),))
    larger = replace(
        house,
        kinds=(*house.kinds, new),
        days=(*house.days, tuple(one.days for one in house.stands[subject])),
    )
    larger, solved, pots = _solve(larger, told)
    groups = _grouped(pots)
    homeless = tuple(_homeless(larger, groups))
    return Bought(
        group=buy.group.key,
        group_name=buy.group.name,
        caveat=buy.caveat,
        fits=solved.short_nights <= result.homeless_nights,
        stays=tuple(stay for stay in _stays(larger, groups) if stay.plants == (NEW,)),
        homeless=homeless,
        moved=sum(day.pots for day in _moving_days(larger, groups)) - result.moved,
    )
