"""What the logs of a spot say together, in which months, and how surely elsewhere in the year."""

from collections.abc import Iterator, Sequence
from datetime import date
from typing import Annotated

import numpy as np
from msgspec import Meta
from msgspec.structs import replace
from numpy.typing import NDArray

from suitability.climate.days import DAYS, day_of_year
from suitability.climate.fitting import Level
from suitability.climate.logs import (
    contradict,
    days_from_logs,
    pool_levels,
    season_error_c,
    widened,
)
from suitability.quantities import Result
from suitability.spots.spot import End, Measured, MeasuredOffset, Offset, Spot

FloatArray = NDArray[np.float64]
IntArray = NDArray[np.int64]


class Elsewhere(Result, frozen=True, kw_only=True):
    """Offsets on the days of the year farthest from any log; null where none told."""

    clear_night: Annotated[Offset | None, Meta(description="Of clear and calm nights.")]
    other_night: Annotated[Offset | None, Meta(description="Of other nights.")]
    day: Annotated[Offset | None, Meta(description="Of day maxima.")]


def pool_logs(
    spot: Spot, log: Measured, damping_hours: float, log_name: str
) -> tuple[Spot, tuple[str, ...]]:
    """
    The spot with what all of its logs say together; sentences on logs that clash with this one.

    A log of the same days takes the place of the earlier one; others are kept.
    """
    earlier = [one for one in spot.measured if one.last < log.first or one.first > log.last]
    logs = tuple(sorted((*earlier, log), key=lambda one: one.first))
    clear, other, day = (_pooled(logs, kind, before) for kind, before in enumerate(spot.offsets_c))
    measured = replace(
        spot,
        clear_night_c=clear,
        other_night_c=other,
        day_c=day,
        damping_hours=damping_hours,
        measured=logs,
    )
    replaced = tuple(
        f"{log_name} takes the place of the log of {one.first} to {one.last}, of the same days."
        for one in spot.measured
        if one not in earlier and (one.first, one.last) != (log.first, log.last)
    )
    contradictions = (
        sentence for one in earlier for sentence in _contradictions(log, one, log_name)
    )
    return measured, (*replaced, *contradictions)


def _pooled(logs: tuple[Measured, ...], kind: int, before: Offset) -> Offset:
    """One offset from all logs that told of it; what stood before where none did."""
    found = [_level(one) for log in logs if (one := log.offsets[kind]) is not None]
    if not found:
        return before
    level = found[0] if len(found) == 1 else pool_levels(found)
    return Offset(low=level.low, usual=level.usual, high=level.high)


def _level(found: MeasuredOffset) -> Level:
    return Level(
        usual=found.usual,
        low=found.low,
        high=found.high,
        number=found.number,
        scatter_c=found.scatter_c,
    )


def _contradictions(log: Measured, other: Measured, log_name: str) -> Iterator[str]:
    """Kinds of night, and days, of which two logs say what no season explains."""
    days = days_from_logs(
        np.array([_middle(log)]), [(_ring_day(other.first), _ring_day(other.last))]
    ).item()
    for kind, name in enumerate(("clear and calm nights", "other nights", "days")):
        mine, theirs = log.offsets[kind], other.offsets[kind]
        if mine is None or theirs is None or not contradict(_level(mine), _level(theirs), days):
            continue
        yield (
            f"{log_name} and the log of {other.first:%B %Y} contradict each other: {name} "
            f"{mine.usual:+.1f} against {theirs.usual:+.1f} °C, more than a season explains. See "
            "what was moved; until then the range holds both."
        )


def _ring_day(day: date) -> int:
    return day_of_year(f"{day:%m-%d}")


def _middle(log: Measured) -> int:
    return _ring_day(log.first + (log.last - log.first) / 2)


def elsewhere(spot: Spot) -> Elsewhere:
    """Offsets on the days of the year that are farthest from any log."""
    far = np.arange(DAYS)

    def at(kind: int, offset: Offset) -> Offset | None:
        if not any(log.offsets[kind] for log in spot.measured):
            return None
        low, high = (np.asarray(end_on_days(spot, kind, end, far)) for end in (End.LOW, End.HIGH))
        return Offset(low=float(low.min()), usual=offset.usual, high=float(high.max()))

    clear, other, day = spot.offsets_c
    return Elsewhere(clear_night=at(0, clear), other_night=at(1, other), day=at(2, day))


def end_on_days(spot: Spot, kind: int, end: End, day: IntArray) -> float | FloatArray:
    """
    One end of an offset on days of the year: farther out where no log of the spot is near, K.

    Parameters
    ----------
    kind
        0 for clear and calm nights, 1 for other nights, 2 for days.
    day : (night)
        Day of the year of each, from 0.
    """
    offset = spot.offsets_c[kind]
    logs = [(log, found) for log in spot.measured if (found := log.offsets[kind]) is not None]
    if offset.is_sure or not logs:
        return offset.at(end)
    kept = [(_ring_day(log.first), _ring_day(log.last)) for log, _ in logs]
    error = max(season_error_c(found.number, found.scatter_c) for _, found in logs)
    return widened(offset.usual, offset.at(end), error, days_from_logs(day, kept))


def measured_notes(spots: Sequence[Spot]) -> tuple[str, ...]:
    """In which months each measured spot was measured: verdicts there rest on these."""
    return tuple(
        f"{spot.name} was measured in {_months(spot)}; in other months it is known less well."
        for spot in spots
        if spot.measured
    )


def _months(spot: Spot) -> str:
    """Months of its logs, each span once, in order of time."""
    spans = dict.fromkeys(
        f"{log.first:%B}" if log.first.month == log.last.month else f"{log.first:%B}-{log.last:%B}"
        for log in spot.measured
    )
    return " and ".join(spans)
