"""The days of a plan: when pots may be carried, the steps between, and wishes that a day breaks."""

from __future__ import annotations

from bisect import bisect_right
from datetime import date, timedelta
from itertools import pairwise
from typing import TYPE_CHECKING

import numpy as np
from msgspec import Struct
from numpy.typing import NDArray

from suitability.climate.days import DAYS, day_of_year
from suitability.spots.collection import Moving

if TYPE_CHECKING:
    from suitability.advice.plan_result import Wish

BoolArray = NDArray[np.bool_]
FloatArray = NDArray[np.float64]
IntArray = NDArray[np.int64]

WEEKS = 52


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
    year_day : (night)
        Day of the folded year of each night from the first on, with the late ones after the last.
    """

    first: tuple[date, ...]
    stop: date
    moving: tuple[tuple[date, ...], ...]
    most_a_day: int | None
    late: int
    year_day: IntArray

    @property
    def nights(self) -> IntArray:
        """Of each step."""
        return np.diff([day.toordinal() for day in (*self.first, self.stop)])

    @property
    def most(self) -> FloatArray:
        """Pots that may be moved in each step by the wishes."""
        each = np.inf if self.most_a_day is None else float(self.most_a_day)
        return np.array([len(days) * each if days else 0.0 for days in self.moving])

    def year_days(self, first: date, stop: date, late: int = 0) -> IntArray:
        """Days of the folded year from one day to before another, and of some nights after it."""
        start = self.first[0]
        return self.year_day[(first - start).days : (stop - start).days + late]

    def by_step(self, by_day: NDArray[np.generic], late: int = 0) -> list[NDArray[np.generic]]:
        """What a year's days hold in the nights of each step, and in some after it."""
        edges = pairwise([*self.first, self.stop])
        return [by_day[self.year_days(first, stop, late)] for first, stop in edges]

    def whole(self, days: BoolArray) -> BoolArray:
        """Steps all nights of which, late ones too, lie in days of the year, (step)."""
        return np.array([nights.all() for nights in self.by_step(days, self.late)])

    def inside(self, steps: BoolArray) -> BoolArray:
        """Days of the year in the nights of some of the steps, (365)."""
        days = np.zeros(DAYS, np.bool_)
        days[self.year_days(self.first[0], self.stop)[np.repeat(steps, self.nights)]] = True
        return days

    def total(self, by_day: FloatArray) -> FloatArray:
        """The sum over the nights of each step, (step)."""
        return np.array([nights.sum() for nights in self.by_step(by_day)])

    def day_of(self, step: int, number: int) -> date:
        """The day on which the pot of a number in its step is carried."""
        days = self.moving[step] or (self.first[step],)
        return days[0 if self.most_a_day is None else min(number // self.most_a_day, len(days) - 1)]

    def until_moving(self, day: date) -> slice:
        """Steps from that of a day on, before the next that has a moving day."""
        here = bisect_right(self.first, day) - 1
        later = (step for step, days in enumerate(self.moving) if days and step > here)
        return slice(here, next(later, len(self.first)))

    def against(self, day: date, pots: int) -> tuple[Wish, ...]:
        """Wishes that it breaks to carry so many pots on a day."""
        if not pots:
            return ()
        many = self.most_a_day is not None and pots > self.most_a_day
        broken: tuple[Wish, ...] = ("number",) if many else ()
        if day in self.moving[bisect_right(self.first, day) - 1]:
            return broken
        weekdays = {one.weekday() for one in self.first[1:]}
        return ("away" if day.weekday() in weekdays else "day", *broken)


def lay_out_steps(first_day: date, wishes: Moving) -> Timetable:
    """
    Steps of a week from the first day of moving in each, for 52 weeks, with the days before them.

    Of several days of the week those that lie closest together make one occasion.
    """
    spans = {day: max((other - day) % 7 for other in wishes.days) for day in wishes.days}
    opening = min(spans, key=lambda day: (spans[day], day))
    late = spans[opening]
    start = first_day + timedelta((opening - first_day.weekday()) % 7)
    stop = start + timedelta(7 * WEEKS)

    def moving(day: date, within: int) -> tuple[date, ...]:
        """Those of a day and some after it that the grower wishes to carry on, and is there."""
        return tuple(
            one
            for one in (day + timedelta(later) for later in range(within + 1))
            if one.weekday() in wishes.days
            and not any(away.first <= one <= away.last for away in wishes.away)
        )

    weeks = [start + timedelta(7 * week) for week in range(WEEKS)]
    steps = [(first_day, 0)] if start != first_day else []
    steps += [(day, late) for day in weeks]
    nights = range((stop - first_day).days + late)
    return Timetable(
        first=tuple(day for day, _ in steps),
        stop=stop,
        moving=tuple(moving(day, within) for day, within in steps),
        most_a_day=wishes.most_a_day,
        late=late,
        year_day=np.array([day_of_year(f"{first_day + timedelta(one):%m-%d}") for one in nights]),
    )
