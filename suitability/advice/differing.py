"""
The order of spots for a group, and whether neighbours in it can be told apart.

The order is that of their verdicts, then of the days of their seasons, then of unsafe nights a
year, then of years that met its rest, then of hours below the floor. Beside each pair that follow
one another stands the difference in unsafe nights and in hours a year with its 90 % interval: the
scatter of years, paired where the years are the same, and the range of what is known of each spot.
"""

from __future__ import annotations

import math
from typing import TYPE_CHECKING

import numpy as np
from numpy.typing import NDArray

from suitability.advice.compared import Difference, Interval, Row, SpotOfPlace, Years
from suitability.climate.fitting import student_95
from suitability.spots.spot import End

if TYPE_CHECKING:
    from collections.abc import Mapping, Sequence

__all__ = ["find_difference", "key_of", "order_of"]

FloatArray = NDArray[np.float64]

FEWEST_PAIRS = 5  # years from which the scatter of a difference is told


def key_of(row: Row) -> tuple[str, str, str]:
    """What a row is known by: place, spot and group."""
    return row.place, row.spot, row.group


def order_of(rows: Sequence[Row]) -> list[Row]:
    """The rows of one group, the best spot first; equal ones as they stood."""

    def key(row: Row) -> tuple[float, float, float, float, float]:
        unsafe = math.inf if row.unsafe_nights is None else row.unsafe_nights
        hours = math.inf if row.hours_below.year is None else row.hours_below.year
        return -row.verdict.rank, -row.days, unsafe, -_rest_share(row), hours

    return sorted(rows, key=key)


def _rest_share(row: Row) -> float:
    """Share of years that met a rest on which flowers hang; 1 where none is needed."""
    rest = row.rest
    if not rest.needed or not rest.of_years:
        return 1.0 if rest.needed is False else 0.0
    return (rest.met_years or 0) / rest.of_years


def find_difference(
    better: Row, other: Row, years: Mapping[tuple[str, str, str], Mapping[End, Years]]
) -> Difference:
    """How far the better of two rows is from the other, and whether that can be told."""
    first, second = years[key_of(better)], years[key_of(other)]
    unsafe, pairs = _interval(first, second, "unsafe")
    hours, _ = _interval(first, second, "hours")
    found = [one for one in (unsafe, hours) if one is not None]
    told = any(one.low > 0.0 or one.high < 0.0 for one in found) if found else None
    return Difference(
        group=better.group,
        better=SpotOfPlace(place=better.place, spot=better.spot),
        other=SpotOfPlace(place=other.place, spot=other.spot),
        reason=_reason(better, other),
        unsafe_nights_difference=unsafe,
        hours_below_difference=hours,
        years=pairs,
        told_apart=told,
    )


def _interval(
    first: Mapping[End, Years], second: Mapping[End, Years], what: str
) -> tuple[Interval | None, int]:
    """Mean difference a year with its 90 % interval, and the number of years or pairs."""
    by_year = _paired(first[End.USUAL], second[End.USUAL], what)
    if by_year is not None and by_year.size >= FEWEST_PAIRS:
        difference = float(by_year.mean())
        number = by_year.size
        scatter = float(by_year.std(ddof=1)) / math.sqrt(number)
    else:  # other years: each mean has its own scatter
        one, two = (_known(years[End.USUAL], what) for years in (first, second))
        number = min(one.size, two.size)
        if number < FEWEST_PAIRS:
            return None, number
        difference = float(one.mean() - two.mean())
        scatter = math.sqrt(one.var(ddof=1) / one.size + two.var(ddof=1) / two.size)
    by_chance = student_95(number - 1.0) * scatter
    ranges = [_half_range(years, what) for years in (first, second)]
    half = math.hypot(by_chance, *ranges)
    return Interval(difference=difference, low=difference - half, high=difference + half), number


def _known(years: Years, what: str) -> FloatArray:
    values: FloatArray = getattr(years, what)
    return values[~np.isnan(values)]


def _paired(first: Years, second: Years, what: str) -> FloatArray | None:
    """Differences of the years that both tell; None if they share none."""
    if first.cut != second.cut:  # years that begin on different days are not the same
        return None
    one, two = getattr(first, what), getattr(second, what)
    start = max(first.first, second.first)
    stop = min(first.first + one.size, second.first + two.size)
    if stop <= start:
        return None
    both: FloatArray = (
        one[start - first.first : stop - first.first]
        - (two[start - second.first : stop - second.first])
    )
    return both[~np.isnan(both)]


def _half_range(by_end: Mapping[End, Years], what: str) -> float:
    """Half of how far the ends of what is known of a spot differ, a year on the mean."""
    if End.LOW not in by_end:
        return 0.0
    low, high = (_known(by_end[end], what) for end in (End.LOW, End.HIGH))
    if not low.size or not high.size:
        return 0.0
    return abs(float(low.mean() - high.mean())) / 2.0


def _reason(better: Row, other: Row) -> str:
    """What the order hangs on, in words."""
    if better.verdict is not other.verdict:
        return f"{better.verdict} against {other.verdict}"
    if better.days != other.days:
        return f"a season of {better.days} days against {other.days}"
    if better.unsafe_nights != other.unsafe_nights:
        return (
            f"{_number(better.unsafe_nights)} unsafe nights a year against "
            f"{_number(other.unsafe_nights)}"
        )
    if _rest_share(better) != _rest_share(other):
        return f"its rest is met in {_rest(better)} years against {_rest(other)}"
    if better.hours_below.year != other.hours_below.year:
        return (
            f"{_number(better.hours_below.year)} hours a year below the floor against "
            f"{_number(other.hours_below.year)}"
        )
    return "alike in all that is compared"


def _rest(row: Row) -> str:
    return f"{row.rest.met_years or 0} of {row.rest.of_years or 0}"


def _number(value: float | None) -> str:
    return "unknown" if value is None else f"{value:.0f}"
