"""
Baselines: plain methods that promise seasons, each with a nominal level as its one setting.

The plain best stretch of past years; the share of years for each calendar day; and quantiles (types
6 and 8 of Hyndman & Fan 1996) of each year's last and first unsafe night around the middle of the
season. Days are counted in columns from the cut of the plant years.
"""

from __future__ import annotations

from dataclasses import dataclass
from typing import Literal

import numpy as np
from numpy.typing import NDArray

from suitability.climate.cold import DOSE_NIGHTS
from suitability.climate.days import DAYS, next_flag
from suitability.climate.observing import usable_years
from suitability.climate.past_years import FEWEST_YEARS

from .cases import Asked

BoolArray = NDArray[np.bool_]
IntArray = NDArray[np.int64]
Ends = tuple[IntArray, IntArray]  # column of the first night, and nights: both (level)

LEVELS = np.arange(50, 101) / 100.0
HALF_YEAR = 182


@dataclass(frozen=True, slots=True, kw_only=True)
class Years:
    """
    What the years of one case were like, in columns from the cut, all (plant year, 365).

    Attributes
    ----------
    fine : d
        Nights from each start until the first unsafe one, at most 365.
    shown
        The same as far as the year may speak.
    supported
        Nights for which it may.
    at_once, dose
        Nights unsafe whatever the day of moving out, and by dose.
    unknown
    """

    fine: IntArray
    shown: IntArray
    supported: IntArray
    at_once: BoolArray
    dose: BoolArray
    unknown: BoolArray


def lay_out_years(asked: Asked) -> Years:
    """The years of a case night by night, read from the past_years."""
    past_years = asked.past_years
    size = past_years.supported.size
    tables, nights = past_years.tables, slice(0, size + 2 * DAYS)
    at_once = tables.at_once.of(0, 1, nights) > 0.0
    if tables.room is not None:
        at_once = at_once | (tables.room.of(0, 1, nights) > 0.0)
    dose = tables.dose.of(0, 1, nights) > 0.0
    here = np.arange(size)
    late = np.minimum(next_flag(dose)[here + DOSE_NIGHTS - 1], at_once.size + DAYS)
    fine = np.minimum(np.minimum(next_flag(at_once)[:size], late) - here, DAYS)
    fine = np.minimum(fine, past_years.seen)
    return Years(
        fine=fine.reshape(-1, DAYS),
        shown=np.minimum(fine, past_years.supported).reshape(-1, DAYS),
        supported=past_years.supported.reshape(-1, DAYS),
        at_once=at_once[:size].reshape(-1, DAYS),
        dose=dose[:size].reshape(-1, DAYS),
        unknown=asked.unknown,
    )


def plain_stretches(years: Years, left_out: int) -> Ends:
    """Longest stretch kept by each share of the years that speak, by level."""
    lengths = np.concatenate([years.shown, years.fine])  # where a share can fall
    training = np.arange(years.fine.shape[0]) != left_out
    kept = np.zeros(lengths.shape, np.int64)
    failed, speaking = kept.copy(), kept.copy()
    for year in np.flatnonzero(training):
        kept += years.shown[year] >= lengths
        failed += years.fine[year] < lengths
        speaking += years.supported[year] >= lengths
    share = np.where(speaking >= FEWEST_YEARS, kept / np.maximum(kept + failed, 1), 0.0).reshape(-1)
    column = np.broadcast_to(np.arange(DAYS), lengths.shape).reshape(-1)
    nights = lengths.reshape(-1)
    surer = np.rint(share * 9999.0).astype(np.int64)
    rank = (nights * 10_000 + surer) * DAYS + DAYS - 1 - column  # longest, surest, first
    order = np.argsort(-share, kind="stable")
    best = np.maximum.accumulate(rank[order])
    reached = np.searchsorted(-share[order], -(LEVELS - 1e-9), side="right")
    found = np.where(reached > 0, best[np.maximum(reached - 1, 0)], 0)
    return DAYS - 1 - found % DAYS, found // DAYS // 10_000


def days_by_share(years: Years, left_out: int) -> Ends:
    """Longest run of calendar days each of which that share of the known years had fine."""

    def runs(unsafe: BoolArray) -> IntArray:
        kept = (~unsafe & ~years.unknown)[training].sum(axis=0)
        failed = unsafe[training].sum(axis=0)
        share = np.where(kept + failed >= FEWEST_YEARS, kept / np.maximum(kept + failed, 1), 0.0)
        bad = np.tile(share < LEVELS[:, None] - 1e-9, 2)
        at = np.where(bad, np.arange(2 * DAYS), 2 * DAYS)
        stop = np.minimum.accumulate(at[:, ::-1], axis=1)[:, ::-1][:, :DAYS]
        length: IntArray = np.minimum(stop - np.arange(DAYS), DAYS)
        return length

    training = np.arange(years.fine.shape[0]) != left_out
    wholly = np.roll(runs(years.at_once | years.dose), 1 - DOSE_NIGHTS, axis=1)
    nights = np.minimum(runs(years.at_once), wholly + DOSE_NIGHTS - 1)
    start: IntArray = np.argmax(nights, axis=1)
    return start, nights[np.arange(LEVELS.size), start]


def year_ends(years: Years, middle: int) -> tuple[IntArray, IntArray, BoolArray]:
    """Each year's first fine day before a middle and first unsafe night after it, and usable."""
    number = years.fine.shape[0]
    first = (middle % DAYS) - HALF_YEAR
    at = np.arange(number)[:, None] * DAYS + first + np.arange(DAYS)

    def around(flags: BoolArray, outside: bool) -> BoolArray:  # noqa: FBT001
        edge = np.full(DAYS, outside)
        rows: BoolArray = np.concatenate([edge, flags.reshape(-1), edge])[at + DAYS]
        return rows

    at_once, dose = around(years.at_once, False), around(years.dose, False)
    column = np.arange(DAYS)
    spring = column < HALF_YEAR
    out = np.where(at_once & spring, column + 1, 0).max(axis=1)
    out = np.maximum(out, np.where(dose & spring, column - DOSE_NIGHTS + 2, 0).max(axis=1))
    inn = np.where((at_once | dose) & ~spring, column, DAYS).min(axis=1)
    return np.minimum(out, HALF_YEAR), inn, usable_years(around(years.unknown, True))


def quantile_dates(
    ends: tuple[IntArray, IntArray, BoolArray],
    left_out: int,
    middle: int,
    method: Literal["weibull", "median_unbiased"],
) -> Ends:
    """From the quantile of the first fine days to that of the first unsafe nights, by level."""
    out, inn, usable = ends
    chosen = usable & (np.arange(usable.size) != left_out)
    if chosen.sum() < FEWEST_YEARS:
        return np.zeros(LEVELS.size, np.int64), np.zeros(LEVELS.size, np.int64)
    first = np.ceil(np.quantile(out[chosen], LEVELS, method=method) - 1e-9).astype(np.int64)
    last = np.floor(np.quantile(inn[chosen], 1.0 - LEVELS, method=method) + 1e-9).astype(np.int64)
    return (middle - HALF_YEAR + first) % DAYS, np.maximum(last - first, 0)
