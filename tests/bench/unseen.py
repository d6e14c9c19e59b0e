"""
Nights that nobody saw: no answer looks better because they are lost, without a word.

From each record its coldest nights are taken, or its hottest days, from one to 3 % of all, and
every answer is put beside that of the whole record: what became better must be marked. Then as
many nights are taken by lot, which may be marked seldom only. Run as
`python -m tests.bench.unseen [HOURLY_FOLDER]`: on the records of a folder that has a
`stations.csv`, or on those of tests/data; the result stands in docs/calibration-figures.md.
"""

from __future__ import annotations

import sys
from collections import Counter
from collections.abc import Iterator, Sequence
from dataclasses import dataclass, field
from functools import cached_property
from pathlib import Path

import numpy as np
from msgspec.structs import replace
from numpy.typing import NDArray

from suitability.advice.cases import Case, Rules
from suitability.advice.preparing import CheckOptions, lay_out
from suitability.advice.verdicts import Decision
from suitability.advice.what_if import find_headroom, find_margin
from suitability.climate.past_years import share_of
from suitability.groups import read_catalogue
from suitability.places import Place, place_at
from suitability.spots.spot import OPEN_AIR, ROOFED, Spot
from suitability.weather.quality import check_quality
from suitability.weather.record import Record, datetime_of_hour
from suitability.weather.sampling import find_allowance
from suitability.weather.sources.files import read_file_record

from .cases import read_stations

FloatArray = NDArray[np.float64]
IntArray = NDArray[np.int64]

DATA = Path(__file__).parent.parent / "data"
SPOTS = (OPEN_AIR, ROOFED)
FEW = (1, 2, 3, 5, 10, 20)  # nights
SHARES = (0.005, 0.01, 0.02, 0.03)  # of the days of the record
A_YEAR = (1, 3, 10)  # coldest nights of each year
LOTS = 10  # losses by lot of each record
NIGHT, DAY, AFTERNOON = (18, 34), (12, 36), (12, 18)  # h from midnight on
MORNING, DAWN = (24, 32), (27, 32)


@dataclass(frozen=True)
class Answer:
    """What is said of one group, read from `case` and `decision`."""

    case: Case
    decision: Decision

    @cached_property
    def margin_c(self) -> float | None:
        """Warming that would raise the verdict, K."""
        return find_margin(self.case, self.decision.verdict)

    @cached_property
    def headroom_c(self) -> float | None:
        """Cooling that the verdict stands, K."""
        return find_headroom(self.case, self.decision.verdict)

    @property
    def marked(self) -> bool:
        """Whether it says that nobody saw some nights."""
        return self.decision.unseen.nights > 0


@dataclass(slots=True)
class Tally:
    """What one kind of loss did to the answers of one record."""

    asked: int = 0
    marked: int = 0
    better: Counter[str] = field(default_factory=Counter)
    unmarked: list[str] = field(default_factory=list)

    def add(self, before: dict[str, Answer], after: dict[str, Answer], told: str = "") -> None:
        """Count what became better, and whether that is marked."""
        for group, answer in after.items():
            found = list(what_improved(before[group], answer)) if before else []
            self.asked += 1
            self.marked += answer.marked
            self.better.update(found or [])
            self.better["any"] += bool(found)
            if found and not answer.marked:
                self.unmarked.append(f"{told}, {group}: {', '.join(found)}")


def answers(record: Record, place: Place, spot: Spot) -> dict[str, Answer]:
    """What is said of every group at a spot."""
    needs = [group.needs() for group in read_catalogue().groups]
    allowance_c, _ = find_allowance(record, None)
    options = CheckOptions(rules=Rules(), minimum_allowance_c=allowance_c)
    (laid,) = lay_out(record, place, (spot,), needs, options).spots
    return {
        asked.key: Answer(case=case, decision=decision)
        for asked, case, decision in zip(needs, laid.cases, laid.decisions, strict=True)
    }


def what_improved(before: Answer, after: Answer) -> Iterator[str]:
    """What looks better after the loss: verdict, seasons, margin, headroom, chances."""
    old, new = before.decision, after.decision
    if new.verdict.rank > old.verdict.rank:
        yield "verdict"
    for name in ("season_allowed", "survival_season"):
        lengths = [
            0 if one is None else one.nights for one in (getattr(old, name), getattr(new, name))
        ]
        if lengths[1] > lengths[0]:
            yield name
    if new.all_year_chance > old.all_year_chance + 1e-9:
        yield "chance of the year"
    if old.survival_season is not None:
        chances = [
            share_of(one.case.past_years, old.survival_season, one.case.kernel)
            for one in (before, after)
        ]
        if chances[1] > chances[0] + 1e-9:
            yield "chance of the season"
    if new.verdict is not old.verdict:
        return  # to other verdicts lie other margins
    if after.margin_c is not None and after.margin_c < (before.margin_c or np.inf) - 1e-9:
        yield "margin"
    if (after.headroom_c or 0.0) > (before.headroom_c or 0.0) + 1e-9:
        yield "headroom"


# Losses -------------------------------------------------------------------------------------------


def by_day(record: Record, offset_h: int) -> tuple[int, FloatArray]:
    """Hour of the record at which its first whole day begins, and hours by day, (day, 24)."""
    first = -(record.start_hour + offset_h) % 24
    days = (record.temp_c.size - first) // 24
    return first, record.temp_c[first : first + days * 24].reshape(-1, 24)


def without(record: Record, starts: Sequence[int], hours: tuple[int, int]) -> Record:
    """The record without some hours of days that begin at such hours of the record."""
    temp_c, origin = record.temp_c.copy(), record.origin.copy()
    for start in starts:
        lost = slice(max(0, start + hours[0]), max(0, start + hours[1]))
        temp_c[lost], origin[lost] = np.nan, 0
    return replace(record, temp_c=temp_c, origin=origin)


def coldest_first(record: Record, offset_h: int, shift_h: int = 12) -> IntArray:
    """Hours of the record at which its days begin, those before the coldest nights first."""
    first, hours = by_day(record, offset_h - shift_h)  # from noon to noon, or as asked
    lowest = np.fmin.reduce(hours, axis=1)
    order = np.argsort(np.where(np.isnan(lowest), np.inf, lowest), kind="stable")
    order = order[(order > 0) & (order < lowest.size - 1)]
    starts: IntArray = first + order * 24 - shift_h
    return starts


def out_of_winter(record: Record, offset_h: int) -> tuple[IntArray, IntArray]:
    """
    Hours at which days begin, those before the nights that are coldest for their date first.

    The coldest third of the year is left out. Beside them stands in which half-year each lies.
    """
    first, hours = by_day(record, offset_h - 12)
    lowest = np.fmin.reduce(hours, axis=1)
    day = (record.start_hour + offset_h + first) // 24 + np.arange(lowest.size)
    date = np.mod(day, 365.25).astype(np.int64)
    away = np.abs((np.arange(366)[:, None] - date + 183) % 366 - 183)
    usual = np.array([np.nanmean(lowest[near <= 15]) for near in away])
    asked = (usual > np.quantile(usual, 1 / 3))[date] & ~np.isnan(lowest)
    order = np.argsort(np.where(asked, lowest - usual[date], np.inf), kind="stable")
    order = order[asked[order] & (order > 0) & (order < lowest.size - 1)]
    coldest = int(np.argmin(usual))
    halves = np.floor((day - coldest) / (365.25 / 2)).astype(np.int64)
    return first + order * 24 - 12, halves[order]


def losses(
    record: Record, offset_h: int, few: Sequence[int] = FEW, shares: Sequence[float] = SHARES
) -> Iterator[tuple[str, int, Record]]:
    """Kind of loss, number of days (so few, or such a share of all), and the record after it."""
    colder = coldest_first(record, offset_h)
    numbers = [*few, *(int(share * colder.size) for share in shares)]
    ways = {
        "nights, noon to noon": DAY,
        "nights, 18 to 10": NIGHT,
        "mornings, 0 to 8": MORNING,
        "mornings, 3 to 8": DAWN,
    }
    for name, hours in ways.items():
        for number in numbers:
            yield name, number, without(record, colder[:number].tolist(), hours)
    in_utc = coldest_first(record, 0, 0)
    for number in numbers:
        yield "days in UTC", number, without(record, in_utc[:number].tolist(), (0, 24))
    year = (record.start_hour + colder) // 8766
    for number in A_YEAR:
        each = [colder[year == one][:number] for one in np.unique(year)]
        yield "coldest of each year", number, without(record, np.concatenate(each).tolist(), DAY)
    spring, half = out_of_winter(record, offset_h)
    for number in numbers:
        yield "coldest for their date", number, without(record, spring[:number].tolist(), DAY)
    for number in A_YEAR[:2]:
        each = [spring[half == one][:number] for one in np.unique(half)]
        lost = np.concatenate(each).tolist()
        yield "of each spring and autumn", number, without(record, lost, DAY)
    first, by_hour = by_day(record, offset_h)
    highest = np.fmax.reduce(by_hour[:, 12:18], axis=1)
    hotter = first + np.argsort(np.where(np.isnan(highest), np.inf, -highest), kind="stable") * 24
    for number in numbers:
        yield "afternoons", number, without(record, hotter[:number].tolist(), AFTERNOON)
        yield "hottest days", number, without(record, hotter[:number].tolist(), (0, 24))


def by_lot(record: Record, offset_h: int, seed: int) -> Record:
    """The record without 3 % of its nights, drawn by lot."""
    first, hours = by_day(record, offset_h)
    days = np.random.default_rng(seed).permutation(hours.shape[0])[: int(0.03 * hours.shape[0])]
    return without(record, (first + days * 24).tolist(), DAY)


# Records ------------------------------------------------------------------------------------------


def open_records(folder: Path | None) -> Iterator[tuple[str, Record, Place]]:
    """The records of a folder, or those of tests/data."""
    if folder is None:
        for path in sorted(DATA.glob("*.hourly")):
            yield path.stem, *open_record(path)
        return
    for row in read_stations(folder):
        position = float(row["lat"]), float(row["lon"])
        yield row["file"].split(".")[0], *open_record(folder / row["file"], position)


def open_record(path: Path, position: tuple[float, float] | None = None) -> tuple[Record, Place]:
    """A record after the checks of quality, and its place; its station's unless said."""
    record = check_quality(read_file_record(path, longitude=position[1] if position else None))
    if position is None:
        assert record.station is not None
        position = record.station.latitude, record.station.longitude
    return record, place_at(*position, None, year=datetime_of_hour(record.stop_hour - 1).year)


def try_record(record: Record, place: Place) -> tuple[int, dict[str, Tally]]:
    """Station-years, and by kind of loss what became of the answers at both spots."""
    tallies: dict[str, Tally] = {}
    offset_h = round(place.utc_offset_hours)
    years = 0
    for spot in SPOTS:
        before = answers(record, place, spot)
        years = int(next(iter(before.values())).case.observed.winter_usable.sum())
        tallies.setdefault("none", Tally()).add({}, before)
        for name, number, lost in losses(record, offset_h):
            after = answers(lost, place, spot)
            tallies.setdefault(name, Tally()).add(before, after, f"{spot.name}, {name} {number}")
        for seed in range(LOTS):
            lot = answers(by_lot(record, offset_h, seed), place, spot)
            tallies.setdefault("by lot", Tally()).add({}, lot)
    return years, tallies


def main(folder: Path | None) -> None:
    """Print what was lost, what looked better for it, and what was marked."""
    kinds: dict[str, Tally] = {}
    every: Counter[str] = Counter()
    print("| record | years | better | of it unmarked | marked as it is | marked by lot |")
    print("|---|---|---|---|---|---|")
    for station, record, place in open_records(folder):
        years, tallies = try_record(record, place)
        cold = [tally for name, tally in tallies.items() if name not in {"none", "by lot"}]
        better, unmarked = (
            sum(tally.better["any"] for tally in cold),
            [told for tally in cold for told in tally.unmarked],
        )
        share = [f"{tallies[one].marked} of {tallies[one].asked}" for one in ("none", "by lot")]
        print(
            f"| {station} | {years} | {better} | {len(unmarked)} | {' | '.join(share)} |",
            flush=True,
        )
        for told in unmarked:
            print(f"  {station}: {told}", file=sys.stderr)
        every["years"] += years
        for name, tally in tallies.items():
            kind = kinds.setdefault(name, Tally())
            kind.asked += tally.asked
            kind.marked += tally.marked
            kind.better += tally.better
            kind.unmarked += tally.unmarked
    print(f"\n{every['years']} station-years\n")
    print("| lost | answers | better | of it unmarked | marked | what was better |")
    print("|---|---|---|---|---|---|")
    for name, kind in kinds.items():
        what = ", ".join(f"{one} {number}" for one, number in kind.better.items() if one != "any")
        row = (name, kind.asked, kind.better["any"], len(kind.unmarked), kind.marked, what)
        print(f"| {' | '.join(map(str, row))} |")


if __name__ == "__main__":
    main(Path(sys.argv[1]) if len(sys.argv) > 1 else None)
