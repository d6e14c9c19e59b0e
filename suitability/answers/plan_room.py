"""The room of a plan: how full each spot is, week by week, as a chart and as a table."""

from __future__ import annotations

from itertools import groupby
from typing import TYPE_CHECKING

from msgspec import Struct

from suitability.answers import words
from suitability.answers.sheet import Chart, Column, build_table
from suitability.brief import MONTHS

if TYPE_CHECKING:
    from suitability.advice.plan_result import PlanResult, RoomUse, WeekOfRoom
    from suitability.answers.sheet import Table


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


def room_chart(result: PlanResult) -> Chart:
    """How full each spot is; its title says which one is full for how long."""
    spots = result.spots
    first = [week.first for week in spots[0].weeks]
    shares = tuple(tuple(_share(spot, week, result.pots) for week in spot.weeks) for spot in spots)
    spec = RoomWeeks(
        spots=tuple(map(_with_limit, spots)),
        shares=shares,
        cells=tuple(tuple(str(week.pots) for week in spot.weeks) for spot in spots),
        told=tuple(
            tuple(
                (
                    words.clean(spot.spot, 30),
                    f"from {words.date_of(week.first)}",
                    words.number_of(week.pots, "pot"),
                )
                for week in spot.weeks
            )
            for spot in spots
        ),
        months=tuple(
            (MONTHS[day.month - 1], at)
            for at, day in enumerate(first)
            if at and day.month != first[at - 1].month
        ),
        title_across="weeks of the plan",
    )
    full = {
        spot.spot: sum(share >= 100.0 for share in row)
        for spot, row in zip(spots, shares, strict=True)
        if spot.places is not None or spot.area_cm2 is not None
    }
    return Chart(
        name="room",
        title=_title(full),
        spec=spec,
        notes=("Numbers are pots; the darker, the more of the room is used.",),
    )


def _title(full: dict[str, int]) -> str:
    """Which spot is full for how long, of the weeks in which each one is that says its room."""
    if not full:
        return "Pots at each spot through the year"
    spot, weeks = max(full.items(), key=lambda item: item[1])
    if not weeks:
        return "No spot is ever full"
    return f"{words.clean(spot, 60)} is full in {words.number_of(weeks, 'week')} of the plan"


def _with_limit(room: RoomUse) -> str:
    """A spot and its room."""
    parts = [] if room.places is None else [words.number_of(room.places, "pot")]
    parts += [] if room.area_cm2 is None else [f"{room.area_cm2:,.0f} cm²"]
    return f"{words.clean(room.spot, 30)} ({', '.join(parts) or 'no limit'})"


def _share(room: RoomUse, used: WeekOfRoom, pots: int) -> float:
    """Of the room, %; the tighter of its limits, or of all pots where it has none."""
    limits = [(used.pots, room.places), (used.area_cm2 or 0.0, room.area_cm2)]
    if room.places is None and room.area_cm2 is None:
        limits = [(used.pots, pots)]
    return round(
        100.0 * max(taken / max(limit, 1) for taken, limit in limits if limit is not None), 1
    )


def room_table(result: PlanResult) -> Table:
    """Pots at each spot, from each week in which they change."""

    def pots(at: int, room: RoomUse) -> Column[tuple[WeekOfRoom, ...]]:
        return Column.of(
            _with_limit(room),
            lambda week: str(week[at].pots),
            short=words.clean(room.spot, 14),
            number=True,
        )

    weeks = zip(*(room.weeks for room in result.spots), strict=True)
    alike = groupby(weeks, key=lambda week: [one.pots for one in week])
    columns = [
        Column.of("From", lambda week: words.day(week[0].first, short=True)),
        *(pots(at, room) for at, room in enumerate(result.spots)),
    ]
    return build_table("room-used", columns, [next(same) for _, same in alike])
