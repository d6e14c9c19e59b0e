"""One station of thirty years: hours below floors by month, and dates of temperatures."""

from __future__ import annotations

import itertools
from collections.abc import Callable
from functools import cache, partial
from pathlib import Path
from typing import Any

import numpy as np
from msgspec.structs import replace
from numpy.typing import NDArray

from suitability.advice.moves import find_threshold_dates
from suitability.climate.dates import event_dates
from suitability.climate.days import DAYS, daily_minimum, fold_axis, fold_highest
from suitability.climate.exposure import monthly_exposure
from suitability.weather.sources.files import read_file_record

from . import peers
from .contest import LIMIT, NEAREST, OURS, Contender, Found, Goal, Run, Setting, Work, ahead
from .peers import START_HOUR, found_of, stacked_of, time_axis

FloatArray = NDArray[np.float64]

DATA = Path(__file__).parents[2] / "data"
HOURS = 262_992  # thirty years
COPIES = 48  # of the array, so that none is still in the cache when its turn comes
FEW = 3  # rounds of the slow
TWELVE = np.round(np.linspace(2.0, 18.0, 12), 1)
HUNDRED = np.round(np.linspace(-2.0, 20.0, 100), 1)
DATES_C = np.arange(12.0)
CUT = 200  # 20 July: parts autumn from spring
LEAP_DAY = 59  # of a leap year, from 0: 29 February counts as the 28th


@cache
def station_c(hours: int) -> FloatArray:
    """Nashville, 21 real years with their gaps, over and over, (hour), °C."""
    return np.resize(read_file_record(DATA / "nashville.hourly", longitude=-86.7).temp_c, hours)


def in_fahrenheit(temp_c: FloatArray) -> FloatArray:
    """Hours read in whole °F and kept as °C with six decimals, as many services hand them out."""
    return ((np.rint(temp_c * 1.8 + 32.0) - 32.0) / 1.8).round(6)


def without_step(temp_c: FloatArray) -> FloatArray:
    """Readings with three decimals, as loggers have them, (hour), °C."""
    beside = np.random.default_rng(5).uniform(-0.05, 0.05, temp_c.size)
    return np.round(temp_c + beside, 3)


def cold(temp_c: FloatArray, run: Callable[[FloatArray], Any]) -> Callable[[], Run]:
    """Something done to an array that is not in the cache."""

    def prepare() -> Run:
        copies = itertools.cycle([temp_c.copy() for _ in range(COPIES)])
        return lambda: run(next(copies))

    return prepare


def reads(temp_c: FloatArray) -> tuple[Contender, ...]:
    """The physical limit: the array read once."""
    return (
        Contender("one read: np.sum", cold(temp_c, np.sum), role=LIMIT),
        Contender("one read: np.max", cold(temp_c, np.max), role=LIMIT),
    )


# Hours below floors ----------------------------------------------------------------------------


def ours(temp_c: FloatArray, floors_c: FloatArray, name: str = "ours") -> Contender:
    """The program's own way."""

    def run(values: FloatArray) -> Any:
        return monthly_exposure(values, None, START_HOUR, floors_c)

    def result(found: Any) -> Found:
        below, short = np.nan_to_num(found.hours_below), np.nan_to_num(found.degree_hours_below)
        return found_of((below, short, found.hours_valid))

    return Contender(name, cold(temp_c, run), result, OURS)


def others(temp_c: FloatArray, floors_c: FloatArray, number: int = 8) -> tuple[Contender, ...]:
    """The quickest peers first; slow ones run fewer rounds."""
    few = None if floors_c.size <= TWELVE.size else FEW
    flox, plain = (partial(peers.by_xarray, use_flox=use_flox) for use_flox in (True, False))
    rows: tuple[tuple[str, Any, Any, str, int | None], ...] = (
        ("polars, group_by_dynamic", peers.by_polars, peers.polars_of, "polars", few),
        (PANDAS, peers.by_pandas, found_of, "", few),
        (DUCKDB, peers.by_duckdb_histogram, found_of, "duckdb pyarrow", None),
        (FLOX, flox, found_of, "flox", FEW),
        ("duckdb, filtered aggregates", peers.by_duckdb, stacked_of, "duckdb pyarrow", few),
        ("pandas, resample floor by floor", peers.by_pandas_floors, found_of, "", FEW),
        (PLAIN, plain, found_of, "", FEW),
        ("xclim, floor by floor", peers.by_xclim, found_of, "xclim", FEW),
    )
    return tuple(
        Contender(name, partial(make, temp_c, floors_c), result, needs=needs, rounds=rounds)
        for name, make, result, needs, rounds in rows[:number]
    )


DUCKDB = "duckdb, histogram of tenths + numpy"
PANDAS = "pandas, groupby, floors as columns"
FLOX, PLAIN = "xarray, resample, flox", "xarray, resample, without flox"
AHEAD = (
    ahead("the nearest other", NEAREST, 4.0),
    ahead("pandas, xarray, flox", (PANDAS, FLOX, PLAIN), 15.0),
)
LOOPS = ("pandas, resample floor by floor", "xclim, floor by floor")
READ = Goal("ours / one read", "ours", 15.0)


def exposure(setting: Setting) -> tuple[Work, ...]:
    """W1: one station below 12 and 100 floors, and readings that are no tenths."""
    temp_c = station_c(setting.of(HOURS, 4000))
    rounds = setting.of(15, 1)
    told = "Nashville's 21 years with their gaps, repeated to thirty; in tenths of a degree."
    twelve = replace(ours(temp_c, TWELVE, "ours, 12 floors"), result=None)
    hundred = (ours(temp_c, HUNDRED), twelve, *others(temp_c, HUNDRED, setting.of(5, 0)))
    loops = ahead("a loop over floors, xclim", LOOPS, 100.0)
    readings = (
        ("F", "Readings in °F", "whole °F, kept in °C with six decimals", in_fahrenheit(temp_c)),
        ("logger", "Readings of no fixed step", "with three decimals", without_step(temp_c)),
    )
    return (
        Work(
            "W1-12",
            "W1 One station of thirty years, 12 floors",
            told,
            (*reads(temp_c), ours(temp_c, TWELVE), *others(temp_c, TWELVE)),
            (READ, *AHEAD, loops),
            rounds,
        ),
        Work(
            "W1-100",
            "W1 The same below 100 floors",
            told,
            (*reads(temp_c), *hundred),
            (Goal("100 floors / 12", "ours", 1.3, "ours, 12 floors"), *AHEAD),
            rounds,
        ),
        *(
            Work(
                f"W1-{key}",
                f"W1 {title}",
                f"The same hours {words}; 12 floors.",
                (*reads(values), ours(values, TWELVE), *others(values, TWELVE, 2)),
                (READ,),
                rounds,
            )
            for key, title, words, values in readings
        ),
    )


def growth(setting: Setting) -> tuple[Work, ...]:
    """Ours with more floors, and with more hours."""
    temp_c = station_c(setting.of(HOURS, 4000))
    hours = [temp_c.size // part for part in (30, 10, 3, 1)]
    sizes = [
        *((f"{n} floors", temp_c, np.linspace(-2.0, 20.0, n).round(1)) for n in (1, 12, 50, 100)),
        *((f"{some:,} hours", temp_c[:some], TWELVE) for some in hours),
    ]
    return (
        Work(
            "W1-growth",
            "Growth with floors and hours, one station",
            "Of ours, in tenths; hours with 12 floors.",
            tuple(
                replace(ours(values, floors_c, name), result=None, pieces=values.size)
                for name, values, floors_c in sizes
            ),
            rounds=setting.of(15, 1),
            piece="hour",
        ),
    )


# Dates -----------------------------------------------------------------------------------------


def _dates_by_pandas(temp_c: FloatArray) -> Run:
    """Daily minima, then the first and last day of each season, floor by floor."""
    import pandas as pd

    series = pd.Series(temp_c, time_axis(temp_c.size))

    def run() -> object:
        lowest = series.resample("D").min()
        day = lowest.index.day_of_year.to_numpy().copy()
        day -= lowest.index.is_leap_year & (day > LEAP_DAY)
        season = lowest.index.year.to_numpy() - (day - 1 < CUT)
        column = (day - 1 - CUT) % DAYS
        held = pd.DataFrame({"low": lowest.to_numpy(), "column": column, "season": season})
        grouped = [
            held[held["low"] <= floor].groupby("season")["column"] for floor in DATES_C.tolist()
        ]
        return [(one.min(), one.max()) for one in grouped]

    return run


def _dates_by_xclim(temp_c: FloatArray, floors_c: FloatArray) -> Run:
    """Indices of calendar years, floor by floor."""
    from xclim.indices import first_day_temperature_below, last_spring_frost

    hourly = peers.labelled(temp_c)
    autumn: dict[str, Any] = {"op": "<=", "after_date": "07-20", "window": 1}
    spring: dict[str, Any] = {"op": "<=", "before_date": "07-19", "window": 1}

    def run() -> object:
        daily = hourly.resample(time="D").min()
        daily.attrs["units"] = "degC"
        return [
            (
                first_day_temperature_below(daily, f"{floor} degC", **autumn),
                last_spring_frost(daily, f"{floor} degC", **spring),
            )
            for floor in floors_c.tolist()
        ]

    return run


def _minima(temp_c: FloatArray) -> FloatArray:
    """Daily minima on the folded axis."""
    first_day, lowest = daily_minimum(temp_c, START_HOUR)
    axis = fold_axis(first_day, lowest.size)
    folded = -fold_highest(axis, np.where(np.isnan(lowest), -np.inf, -lowest))
    return np.where(np.isinf(folded), np.nan, folded)


def dates(setting: Setting) -> tuple[Work, ...]:
    """W4: from hours to the first and last day at or below 12 temperatures in each season."""
    # Days without hours are where the methods differ by their own rules: all are filled here.
    temp_c = station_c(setting.of(HOURS, 24 * 1461))
    temp_c = temp_c[np.maximum.accumulate(np.where(np.isnan(temp_c), 0, np.arange(temp_c.size)))]
    years = np.unique(time_axis(temp_c.size).year)[:-1]
    some = DATES_C[: setting.of(2, 1)]
    late = DAYS - CUT  # the column of 1 January: indices of calendar years see one side each

    def sided(first: FloatArray, last: FloatArray) -> Found:
        """Autumn dates before New Year, spring dates after it, of whole seasons."""
        whole = slice(0, len(years))
        return {
            "first days": np.where(first < late, first, np.nan)[:, whole],
            "last days": np.where(last >= late, last, np.nan)[:, whole],
        }

    def of_ours(found: Any) -> Found:
        return sided(found.first[:, 1:], found.last[:, 1:])

    def of_pandas(found: Any) -> Found:
        pairs = [[one.reindex(years).to_numpy() for one in pair] for pair in found]
        first, last = np.array(pairs, np.float64).transpose(1, 0, 2)
        return sided(first, last)

    def of_xclim(found: Any) -> Found:
        leap = np.array([year % 4 == 0 for year in [*years, years[-1] + 1]])
        first, last = (
            np.array([one.to_numpy() for one in side]) for side in zip(*found, strict=True)
        )
        first, last = (
            np.where(np.isnan(one), np.nan, one - 1 - (leap & (one > LEAP_DAY)))
            for one in (first, last)
        )
        return sided(first[:, :-1] - CUT, last[:, 1:] + late)

    def in_full(values: FloatArray) -> object:
        first_day, lowest = daily_minimum(values, START_HOUR)
        return find_threshold_dates(first_day, lowest, CUT, DATES_C.tolist())

    pandas = "pandas, resample and groupby by floor"
    return (
        Work(
            "W4-dates",
            "W4 Dates of 12 temperatures over thirty years",
            "From the hours of W1, gaps filled, to the first autumn and last spring day at or "
            "below 0 to 11 °C in each season; xclim does two of the twelve.",
            (
                *reads(temp_c),
                Contender(
                    "ours",
                    cold(temp_c, lambda held: event_dates(_minima(held), CUT, DATES_C)),
                    of_ours,
                    OURS,
                ),
                Contender("ours, with the odds of each date", cold(temp_c, in_full), role=OURS),
                Contender(pandas, partial(_dates_by_pandas, temp_c), of_pandas),
                Contender(
                    "xclim",
                    partial(_dates_by_xclim, temp_c, some),
                    of_xclim,
                    needs="xclim",
                    rounds=1,
                    share=some.size / DATES_C.size,
                ),
            ),
            (
                Goal("ours / one read", "ours", 8.0),
                ahead("pandas", pandas, 8.0),
                ahead("xclim", "xclim", 1000.0),
            ),
            setting.of(21, 1),
        ),
    )
