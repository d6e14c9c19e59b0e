"""
Plans replayed: does each pot come through years that had no part in its plan.

Each year of each record is left out in turn, a collection of one pot of each group is planned from
the others for four spots (bench, porch, wall, dark room), and the stays of each pot are put to the
year left out. Where plants are at ease is drawn, so that they change their place often; nights,
seasons and promises are those of the records. Beside it stands what each season by itself, not
judged with the others, would be worth. Run as `python -m tests.bench.plans`; docs/plan.md has the
results.
"""

from __future__ import annotations

from collections.abc import Iterator, Sequence
from datetime import date
from pathlib import Path

import numpy as np
from msgspec import Struct
from msgspec.structs import replace

from suitability.advice import planning
from suitability.advice.plan_model import solve_plan
from suitability.advice.plan_stands import Stand, days_of
from suitability.advice.question import ask
from suitability.climate import seasons
from suitability.climate.days import DAYS
from suitability.climate.past_years import kernel_for, stretch_shortfall
from suitability.places import place_at
from suitability.spots.collection import Collection, Home
from suitability.spots.kinds import read_kinds
from suitability.spots.plants import Plant
from suitability.spots.spot import Offset, Spot
from suitability.weather.sources.files import read_file_record

DATA = Path(__file__).parents[1] / "data"
STATIONS = {
    "nashville": (36.12, -86.68),
    "porto_alegre": (-29.99, -51.17),
    "los_angeles": (33.938, -118.389),
    "dallas": (32.9, -97.0),
    "reno": (39.48, -119.77),
}
GROUPS = (
    *("phalaenanthe", "spatulata", "nobile", "pendulous", "callista", "formosae"),
    *("dendrocoryne", "latouria", "cattleya", "oncidium", "cymbidium", "laelia-anceps"),
)
SEED, FORTNIGHT, EASE = 1, 14, 0.5
WARMER_C = {"bench": 0.0, "porch": 1.5, "wall": 3.0}  # than the open air; light grows less
FIRST_DAY = date(2027, 1, 2)  # a Saturday


class Replay(Struct, frozen=True, kw_only=True):
    """One pot in one year left out; `seasons` is how many of its stays are not sure all year."""

    station: str
    year: int
    group: str
    seasons: int
    chance: float
    kept: bool


def house_of(station: str, promise: float = 0.9) -> planning._House:
    """The collection at a station, ready to be planned."""
    latitude, longitude = STATIONS[station]
    record = read_file_record(DATA / f"{station}.hourly", longitude=longitude)
    outdoors = [
        Spot(
            name=name,
            roofed=name != "bench",
            light="very bright" if name == "bench" else "medium",
            clear_night_c=offset,
            other_night_c=offset,
            day_c=offset,
        )
        for name, warmer in WARMER_C.items()
        for offset in [Offset(low=warmer, usual=warmer, high=warmer)]
    ]
    room = replace(read_kinds().find("window-sill").spot, name="room", light="low")
    assert room.room is not None
    room = replace(room, room=replace(room.room, temp_c=20.0))
    collection = Collection(
        path=Path("replayed.toml"),
        home=Home(),
        spots=(*outdoors, room),
        plants=tuple(Plant(name=key, group=key, group_key=key) for key in GROUPS),
    )
    place = place_at(latitude, longitude, None, year=2020)
    question = ask(record, place, collection=collection, promise=promise)
    house = planning._house(question, FIRST_DAY, None)
    draws = np.random.default_rng(SEED)
    stands = tuple(tuple(_drawn(one, draws) for one in row) for row in house.stands)
    return replace(house, stands=stands, move_nights=1.0)


def _drawn(stand: Stand, draws: np.random.Generator) -> Stand:
    """At ease in fortnights that are drawn, so that plants change their place often."""
    ease = np.repeat(draws.random(DAYS // FORTNIGHT + 1) < EASE, FORTNIGHT)[:DAYS]
    none = np.zeros(DAYS, np.bool_)
    decision = replace(stand.decision, floor_days=~none)
    return replace(stand, decision=decision, at_ease=ease, wanted=none, rests=none)


def without(house: planning._House, year: int) -> planning._House:
    """The house as it were, had nobody seen the plant years that hold a plan begun in a year."""
    stands = tuple(tuple(_without(one, year, house.promise) for one in row) for row in house.stands)
    return replace(house, stands=stands)


def _without(stand: Stand, year: int, promise: float) -> Stand:
    """One of them; a spot that is sure all year, a room, stays as it is."""
    if stand.sure:
        return stand
    past = stand.case.past_years
    counts = past.counts.copy()
    row = year + (past.cut > 0)  # of the plant year in which calendar year `year` begins or ends
    counts[max(0, row - (past.cut > 0)) : row + 1] = False
    past = replace(past, counts=counts)
    usable = stand.case.observed.winter_usable & counts
    kernel = kernel_for(max(1, int(usable.sum())))
    longest = seasons.find_longest(past, kernel, promise)
    found = seasons.find_separate(past, kernel, promise, longest)
    return replace(
        stand,
        case=replace(stand.case, past_years=past, kernel=kernel),
        decision=replace(
            stand.decision, survival_season=longest, survival_seasons=found, lives_all_year=False
        ),
        days=days_of(found),
    )


def replay(station: str, *, together: bool = True) -> Iterator[Replay]:
    """Every pot in every year left out."""
    house = house_of(station)
    years = house.stands[0][0].case.nights.axis.night_of.size // DAYS
    for year in range(years):
        apart = without(house, year)
        if together:
            apart, _ = planning._solve(apart, lambda _: None)
        else:
            apart = planning._with_ways(apart, solve_plan(apart.problem()))
        for pot in apart.pots:
            kept = _kept(apart, pot, year)
            chance, unsure = planning._chance(apart, pot)
            if kept is not None and chance is not None and unsure:
                yield Replay(
                    station=station,
                    year=year,
                    group=pot.plant,
                    seasons=unsure,
                    chance=chance,
                    kept=kept,
                )


def _kept(house: planning._House, pot: planning._Pot, year: int) -> bool | None:
    """Whether the year, as it was, left all stays unharmed; None where it was not all seen."""
    start = house.times.first[0]
    kept = True
    for spot, first, stop in pot.stays(house.times.stop):
        stand = house.stands[pot.subject][spot] if spot != planning.NOWHERE else None
        if stand is None or stand.sure:
            continue
        past = stand.case.past_years
        nights = (stop - first).days
        day = planning._day(start) + (first - start).days + year * DAYS
        at = day + (DAYS - past.cut) % DAYS
        if at >= past.supported.size or past.supported[at] < nights:
            return None
        lacks, room = stretch_shortfall(past, nights, np.array([at]))
        kept &= bool(lacks[0] <= 0.0) and (room is None or bool(room[0] >= 0.0))
    return kept


def tell(found: Sequence[Replay], title: str) -> None:
    """One line of the table."""
    share = np.mean([one.kept for one in found]) if found else np.nan
    chance = np.mean([one.chance for one in found]) if found else np.nan
    print(f"| {title} | {chance:.3f} | {share:.3f} | {len(found)} |")


def main() -> None:
    """Print the table."""
    print("| | told | kept | pots and years |\n|---|---|---|---|")
    judged = [one for station in STATIONS for one in replay(station)]
    apart = [one for station in STATIONS for one in replay(station, together=False)]
    for found, title in ((judged, "judged together"), (apart, "each by itself")):
        tell(found, f"several seasons in turn, {title}")
        print(f"least told {min(one.chance for one in found):.3f}")
    for station in STATIONS:
        tell([one for one in judged if one.station == station], station)


if __name__ == "__main__":
    main()
