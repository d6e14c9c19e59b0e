"""
Do promises hold on years that were not used to make them?

Each usable year of each record is left out in turn, a season is promised from the others, and the
year left out either keeps it or does not. `past` instead promises from all but the last five years
and tests those five. Run as `python tests/bench/calibration.py [FOLDER]`; without a folder it uses
the records in tests/data.
"""

from __future__ import annotations

import sys
from dataclasses import dataclass, replace
from pathlib import Path
from typing import TYPE_CHECKING

import numpy as np

from suitability.advice.preparing import CheckOptions, build_cases, lay_out_spots, years_asked
from suitability.advice.verdicts import Rules
from suitability.climate.days import DAYS
from suitability.climate.seasons import (
    PLAIN,
    Kernel,
    find_longest,
    kernel_for,
    promised_share,
    witness_weights,
)
from suitability.groups import read_catalogue
from suitability.places import place_at
from suitability.spots.spot import OPEN_AIR
from suitability.weather.quality import check_quality
from suitability.weather.record import Record, datetime_of_hour
from suitability.weather.sources.files import read_file_record

if TYPE_CHECKING:
    from collections.abc import Callable, Iterable, Sequence

    from suitability.advice.verdicts import Case
    from suitability.climate.seasons import Witnesses

PROMISES = (0.8, 0.9, 0.95)
LAST_TESTED = 5
FEWEST = 3  # years that must make a promise


@dataclass(frozen=True, slots=True, kw_only=True)
class Trial:
    """One promise put to one year that did not make it."""

    station: str
    group: str
    promise: float
    year: int
    nights: int
    kept: bool


def cases_of(
    record: Record, latitude: float, longitude: float, years: tuple[int | None, int | None]
) -> list[tuple[str, Case]]:
    """Each distinct set of thresholds of the catalogue at the open station, ready to be judged."""
    year = datetime_of_hour(record.stop_hour - 1).year
    place = place_at(latitude, longitude, None, year=year)
    groups = {}
    for group in read_catalogue().groups:
        needs = group.needs()
        numbers = replace(needs, key="", name="", floor_c=0.0, rest_floor_c=None)
        groups.setdefault(numbers, needs)
    options = CheckOptions(rules=Rules(), first_year=years[0], last_year=years[1])
    used = years_asked(check_quality(record), place, options)
    needs_list = list(groups.values())
    nights = lay_out_spots(used, place, (OPEN_AIR,), needs_list, options)[0]
    cases = build_cases(nights, needs_list, options.rules)
    return [(needs.key, case) for needs, case in zip(needs_list, cases, strict=True)]


def outcome(witnesses: Witnesses, start: int, nights: int) -> tuple[np.ndarray, np.ndarray]:
    """Years that kept, and that failed, a stretch as they were, both (plant year)."""
    kept, failed = witness_weights(witnesses, nights, 0.0, 0.0)
    column = (start - witnesses.cut) % DAYS
    return kept[:, column] > 0.5, failed[:, column] > 0.5


def try_years(
    station: str,
    group: str,
    witnesses: Witnesses,
    usable: np.ndarray,
    splits: Iterable[tuple[np.ndarray, np.ndarray]],
    kernel: Callable[[int], Kernel] = kernel_for,
    promises: Sequence[float] = PROMISES,
) -> list[Trial]:
    """Promise from the first years of each split and test on the second, both (plant year)."""
    trials: list[Trial] = []
    for training, tested in splits:
        counting = replace(witnesses, counts=training)
        width = kernel(int((training & usable).sum()))
        for promise in promises:
            season = find_longest(counting, width, promise)
            if season is None or season.nights == DAYS:  # the whole year is another question
                continue
            kept, failed = outcome(witnesses, season.start, season.nights)
            trials += [
                Trial(
                    station=station,
                    group=group,
                    promise=promise,
                    year=int(year),
                    nights=season.nights,
                    kept=bool(kept[year]),
                )
                for year in np.flatnonzero(tested)
                if kept[year] or failed[year]
            ]
    return trials


def leave_one_out(usable: np.ndarray) -> list[tuple[np.ndarray, np.ndarray]]:
    """Each usable year tested by all other years."""
    years = np.arange(usable.size)
    if usable.sum() <= FEWEST:
        return []
    return [(years != year, years == year) for year in np.flatnonzero(usable)]


def past_and_last(usable: np.ndarray) -> list[tuple[np.ndarray, np.ndarray]]:
    """The last five usable years tested by all earlier ones."""
    last = np.flatnonzero(usable)[-LAST_TESTED:]
    if usable.sum() < FEWEST + LAST_TESTED:
        return []
    years = np.arange(usable.size)
    return [(years < last[0], np.isin(years, last))]


def delivered(trials: Sequence[Trial], promise: float) -> tuple[float, float, float, int]:
    """Share of kept promises with a 90 % interval from resampled station-years, and how many."""
    chosen = [trial for trial in trials if trial.promise == promise]
    if not chosen:
        return (float("nan"),) * 3 + (0,)
    clusters: dict[tuple[str, int], list[bool]] = {}
    for trial in chosen:
        clusters.setdefault((trial.station, trial.year), []).append(trial.kept)
    kept = np.array([sum(values) for values in clusters.values()], np.float64)
    size = np.array([len(values) for values in clusters.values()], np.float64)
    draws = np.random.default_rng(1).integers(0, size.size, (2000, size.size))
    shares = kept[draws].sum(axis=1) / size[draws].sum(axis=1)
    low, high = np.quantile(shares, [0.05, 0.95])
    return float(kept.sum() / size.sum()), float(low), float(high), len(chosen)


def report(trials: Sequence[Trial], title: str) -> None:
    """Print what was delivered, over all and by station."""
    print(f"\n{title}\npromise  delivered  90 % interval    median nights  trials")
    for promise in PROMISES:
        share, low, high, number = delivered(trials, promise)
        nights = [trial.nights for trial in trials if trial.promise == promise]
        middle = np.median(nights) if nights else float("nan")
        print(f"{promise:7.2f}  {share:9.3f}  {low:.3f} to {high:.3f}  {middle:13.0f}  {number:6d}")
    for station in sorted({trial.station for trial in trials}):
        own = [trial for trial in trials if trial.station == station]
        shares = " ".join(f"{delivered(own, promise)[0]:.3f}" for promise in PROMISES)
        years = len({trial.year for trial in own})
        print(f"  {station:40s} {shares}  ({years} years, {len(own)} trials)")


# Falsterbo closed at night in the winters after 2010: such years count as failed on purpose, which
# is caution and no matter of calibration.
YEARS = {"se_falsterbo": (1980, 2009)}


def main(folder: Path, positions: dict[str, tuple[float, float]]) -> None:
    """Print the tables for all records of a folder."""
    alone: list[Trial] = []
    plain: list[Trial] = []
    past: list[Trial] = []
    for name, (latitude, longitude) in positions.items():
        record = read_file_record(folder / name, longitude=longitude)
        years = next((YEARS[start] for start in YEARS if name.startswith(start)), (None, None))
        for group, case in cases_of(record, latitude, longitude, years):
            usable = case.winter_usable
            common = (name.split(".")[0], group, case.witnesses, usable)
            alone += try_years(*common, leave_one_out(usable))
            plain += try_years(*common, leave_one_out(usable), kernel=lambda years: PLAIN)
            past += try_years(*common, past_and_last(usable))
        print(name, len(alone), file=sys.stderr)
    report(alone, "One year left out, calibrated kernel")
    report(plain, "One year left out, plain stretch of past years")
    report(past, "Promised from the past, tested on the last five years")
