"""
Sharpness: how long our seasons are beside those of plain methods that deliver the same share.

A promise is easily kept by a short season. So each baseline is tuned until as many of the years
left out keep its seasons as keep ours; then the lengths are compared. Run as
`python -m tests.bench.sharpness HOURLY_FOLDER [DAILY_FOLDER]`; the result stands in
docs/calibration-figures.md.

The baselines are those of `baselines`, with nominal levels from 0.5 to 1; where even a level of 1
delivers less than we do, the season is cut by further days at both ends.

A case counts if the plain stretch of half of the years exists and not all years are free all year:
that asks no method but the plainest. A case for which a method promises nothing counts as 0 nights.
"""

from __future__ import annotations

import sys
from collections.abc import Iterable
from dataclasses import dataclass
from functools import cache
from pathlib import Path

import numpy as np
from msgspec.structs import replace
from numpy.typing import NDArray

from suitability.climate.days import DAYS
from suitability.climate.past_years import kernel_for
from suitability.climate.seasons import SHORTEST_LOOKED_FOR, find_longest

from .baselines import (
    Years,
    days_by_share,
    lay_out_years,
    plain_stretches,
    quantile_dates,
    year_ends,
)
from .cases import Asked, all_cases
from .trials import FEWEST, PROMISES

BoolArray = NDArray[np.bool_]
FloatArray = NDArray[np.float64]
IntArray = NDArray[np.int64]
Ends = tuple[IntArray, IntArray]  # column of the first night, and nights: both (setting)

CUT_DAYS = np.arange(1, 46)  # at both ends, beyond a level of 1
LONG_RECORD = 20  # usable years; with few, a level is of little use to a share of years
BASELINES = ("plain stretch", "share per day", "quantiles type 6", "quantiles type 8")


@dataclass(frozen=True, slots=True, kw_only=True)
class Kept:
    """
    Seasons of one method by setting, put to the years left out.

    Attributes
    ----------
    nights : (trial, setting)
        0 where nothing is promised.
    kept, told : (trial, setting)
        Whether the year left out kept the season, and whether it tells.
    """

    nights: IntArray
    kept: BoolArray
    told: BoolArray

    def delivered(self, trials: BoolArray) -> FloatArray:
        """Share of the promises kept among some of the trials, (setting)."""
        told = self.told[trials].sum(axis=0)
        share: FloatArray = self.kept[trials].sum(axis=0) / np.maximum(told, 1)
        return share


def put_to(years: Years, year: int, ends: Ends) -> tuple[IntArray, BoolArray, BoolArray]:
    """Nights of seasons, and whether a year kept them and tells, each (setting)."""
    column, nights = ends
    nights = np.where(nights >= SHORTEST_LOOKED_FOR, nights, 0)
    column = np.where(nights == DAYS, 0, column) % DAYS
    kept = (years.shown[year, column] >= nights) & (nights > 0)
    told = kept | ((years.fine[year, column] < nights) & (nights > 0))
    return nights, kept, told


def further_cut(ends: Ends) -> Ends:
    """The levels, and beyond the highest the same season cut at both ends."""
    column, nights = ends
    return (
        np.concatenate([column, column[-1] + CUT_DAYS]),
        np.concatenate([nights, nights[-1] - 2 * CUT_DAYS]),
    )


def our_seasons(asked: Asked, left_out: int) -> Ends:
    """Column and nights of our seasons at each promise."""
    training = np.arange(asked.usable.size) != left_out
    past_years = replace(asked.past_years, counts=training)
    kernel = kernel_for(int((training & asked.usable).sum()))
    found = [find_longest(past_years, kernel, promise) for promise in PROMISES]
    return (
        np.array([(one.start - past_years.cut) % DAYS if one else 0 for one in found]),
        np.array([one.nights if one else 0 for one in found]),
    )


def try_methods(asked: Asked) -> list[dict[str, tuple[IntArray, BoolArray, BoolArray]]]:
    """Ours and the baselines, each usable year left out in turn, for cases that count."""
    if asked.usable.sum() <= FEWEST:
        return []
    years = lay_out_years(asked)
    ends_around = cache(lambda middle: year_ends(years, middle))
    rows = []
    for left_out in np.flatnonzero(asked.usable).tolist():
        plain = plain_stretches(years, left_out)
        if plain[1][0] < SHORTEST_LOOKED_FOR or plain[1][-1] == DAYS:
            continue
        middle = int(plain[0][0] + plain[1][0] // 2) % DAYS
        found = {
            "plain stretch": plain,
            "share per day": days_by_share(years, left_out),
            "quantiles type 6": quantile_dates(ends_around(middle), left_out, middle, "weibull"),
            "quantiles type 8": quantile_dates(
                ends_around(middle), left_out, middle, "median_unbiased"
            ),
        }
        row = {name: put_to(years, left_out, further_cut(ends)) for name, ends in found.items()}
        rows.append(row | {"ours": put_to(years, left_out, our_seasons(asked, left_out))})
    return rows


def compare(cases: Iterable[Asked], fewest: int = 0) -> tuple[dict[str, Kept], NDArray[np.str_]]:
    """
    Every method on every trial, and the station of each trial.

    Parameters
    ----------
    cases
    fewest
        Usable years below which a case is left out.
    """
    rows: list[dict[str, tuple[IntArray, BoolArray, BoolArray]]] = []
    stations: list[str] = []
    for asked in cases:
        found = try_methods(asked) if asked.usable.sum() >= fewest else []
        rows += found
        stations += [asked.station] * len(found)
    methods = {
        name: Kept(
            nights=np.stack([row[name][0] for row in rows]),
            kept=np.stack([row[name][1] for row in rows]),
            told=np.stack([row[name][2] for row in rows]),
        )
        for name in ("ours", *BASELINES)
    }
    return methods, np.array(stations)


@dataclass(frozen=True, slots=True, kw_only=True)
class Beside:
    """A baseline tuned to what we deliver at one promise."""

    delivered: float
    median_ratio: float
    mean_ratio: float


def beside(
    ours: Kept, other: Kept, promise: int, stations: NDArray[np.str_], *, elsewhere: bool
) -> Beside:
    """
    Ours beside a baseline that delivers the same.

    Parameters
    ----------
    promise
        Place in `PROMISES`.
    elsewhere
        Whether the setting for each station is tuned on the other stations only.
    """
    setting = np.empty(stations.size, np.int64)
    for station in np.unique(stations):
        here = stations == station
        tuning = ~here if elsewhere else np.ones_like(here)
        gap = np.abs(other.delivered(tuning) - ours.delivered(tuning)[promise])
        setting[here] = int(np.argmin(gap))
    trial = np.arange(stations.size)
    nights, mine = other.nights[trial, setting], ours.nights[:, promise]
    kept, told = other.kept[trial, setting].sum(), other.told[trial, setting].sum()
    return Beside(
        delivered=float(kept / told),
        median_ratio=float(np.median(mine) / np.median(nights)),
        mean_ratio=float(mine.mean() / nights.mean()),
    )


def report(methods: dict[str, Kept], stations: NDArray[np.str_], *, elsewhere: bool) -> None:
    """Print the ratio of median lengths, that of mean lengths, and what the baseline delivered."""
    print("\n| promise | delivered | median nights | " + " | ".join(BASELINES) + " |")
    print("|---|---|---|" + "---|" * len(BASELINES))
    ours = methods["ours"]
    share = ours.delivered(np.ones(stations.size, np.bool_))
    for place, promise in enumerate(PROMISES):
        found = [
            beside(ours, methods[name], place, stations, elsewhere=elsewhere) for name in BASELINES
        ]
        cells = " | ".join(
            f"{one.median_ratio:.2f}, {one.mean_ratio:.2f} ({one.delivered:.3f})" for one in found
        )
        median = np.median(ours.nights[:, place])
        print(f"| {promise:.2f} | {share[place]:.3f} | {median:.0f} | {cells} |")


def main(hourly: Path, daily: Path | None) -> None:
    """Print the ratios of all records, and of the long ones alone."""
    cases = list(all_cases(hourly, daily))
    print("Ratio of median lengths, of mean lengths (share that the baseline delivered).")
    for title, fewest in (("All records", 0), (f"{LONG_RECORD} years and more", LONG_RECORD)):
        methods, stations = compare(cases, fewest)
        print(f"\n{title}: {stations.size} trials at {np.unique(stations).size} stations.")
        print("\nEach baseline tuned on the other stations:")
        report(methods, stations, elsewhere=True)
        print("\nTuned on all stations:")
        report(methods, stations, elsewhere=False)


if __name__ == "__main__":
    main(Path(sys.argv[1]), Path(sys.argv[2]) if len(sys.argv) > 2 else None)
