"""
Cases: what the years of real records hold for every group, ready to be tried.

Of hourly records the groups are the distinct sets of thresholds of the catalogue, of daily minima
plain limits of the night. A folder of records holds a `stations.csv` (columns file, lat, lon).
"""

from __future__ import annotations

import csv
import gzip
import sys
from collections.abc import Iterable
from dataclasses import dataclass
from datetime import date
from pathlib import Path

import numpy as np
from msgspec.structs import replace
from numpy.typing import NDArray

from suitability.advice.cases import Rules
from suitability.advice.preparing import CheckOptions, build_cases, lay_out_spots, years_asked
from suitability.climate.days import DAYS, coldest_day, fold_axis, fold_highest
from suitability.climate.floor import mean_of_years
from suitability.climate.observing import observe, plant_years
from suitability.climate.past_years import PastYears, gather_past_years
from suitability.climate.states import Shortfall
from suitability.groups import Needs, read_catalogue
from suitability.places import place_at
from suitability.spots.spot import OPEN_AIR
from suitability.weather.quality import check_quality
from suitability.weather.record import Record, datetime_of_hour
from suitability.weather.sampling import find_allowance
from suitability.weather.sources.files import read_file_record
from tests.climate.plain import own_tables

BoolArray = NDArray[np.bool_]
FloatArray = NDArray[np.float64]

GENERIC_LIMITS_C = range(4, 20, 2)  # night limits asked of records that have daily minima only

# Falsterbo closed at night in the winters after 2010: such years count as failed on purpose, which
# is caution and no matter of calibration. Daily records: what the current 30 years and more hold.
HOURLY_YEARS = {"se_falsterbo": (1980, 2009)}
FIRST_DAILY_YEAR = 1980


@dataclass(frozen=True, slots=True, kw_only=True)
class Asked:
    """
    One group at one station: what its years say about seasons and about whole years.

    Attributes
    ----------
    station, group
    past_years
    usable : (plant year)
    unknown : (plant year, 365)
        Nights not observed, cut as the past_years are.
    minimum_c : (plant year, 365), °C
        Lowest reading of each night, cut as the past_years are; nan where there is none.
    first_year
        Calendar year in which the middle of the first plant year lies.
    whole_lack_c, whole_usable : (plant year by the mid-summer cut)
    """

    station: str
    group: str
    past_years: PastYears
    usable: BoolArray
    unknown: BoolArray
    minimum_c: FloatArray
    first_year: int
    whole_lack_c: FloatArray
    whole_usable: BoolArray


def middle_year(first_calendar_year: int, cut: int) -> int:
    """Calendar year in which the middle of the first plant year lies."""
    return first_calendar_year + (cut - (DAYS if cut else 0) + DAYS // 2) // DAYS


def hourly_cases(
    station: str,
    record: Record,
    position: tuple[float, float],
    years: tuple[int | None, int | None] = (None, None),
) -> list[Asked]:
    """Each distinct set of thresholds of the catalogue at the open station."""
    year = datetime_of_hour(record.stop_hour - 1).year
    place = place_at(*position, None, year=year)
    groups: dict[Needs, Needs] = {}
    for group in read_catalogue().groups:
        needs = group.needs()
        numbers = replace(needs, key="", name="", floor_c=0.0, rest_floor_c=None)
        groups.setdefault(numbers, needs)
    checked = check_quality(record)
    options = CheckOptions(
        rules=Rules(),
        minimum_allowance_c=find_allowance(checked, None)[0],
        first_year=years[0],
        last_year=years[1],
    )
    used = years_asked(checked, place, options)
    needs_list = list(groups.values())
    nights = lay_out_spots(used, place, (OPEN_AIR,), needs_list, options)[0]
    minimum_c = np.where(np.isfinite(nights.minimum_c), nights.minimum_c, np.nan)
    return [
        Asked(
            station=station,
            group=needs.key,
            past_years=case.past_years,
            usable=case.observed.winter_usable,
            unknown=plant_years(
                nights.day_unknown if needs.heat_limited else nights.unknown,
                nights.winter,
                outside=True,
            ),
            minimum_c=plant_years(minimum_c, nights.winter, np.nan),
            first_year=middle_year(nights.axis.first_year, nights.winter),
            whole_lack_c=np.where(case.yearly_seen, case.yearly_shortfall, np.inf),
            whole_usable=case.observed.summer_usable & (case.yearly_room is None),
        )
        for needs, case in zip(
            needs_list, build_cases(nights, needs_list, options.rules), strict=True
        )
    ]


def daily_cases(station: str, first_day: int, minimum_c: FloatArray) -> list[Asked]:
    """Generic night limits at a station of which daily minima are known."""
    axis = fold_axis(first_day, minimum_c.size)
    lowest = -fold_highest(axis, np.where(np.isnan(minimum_c), -np.inf, -minimum_c))
    unknown = np.isinf(lowest)
    known = np.where(unknown, np.nan, lowest)
    winter, _ = coldest_day(mean_of_years(known))
    summer = (winter + DAYS // 2) % DAYS
    observed = observe(unknown, np.zeros_like(unknown), winter, summer)
    seen = np.full(unknown.size, DAYS, np.int64)
    cases = []
    for limit in GENERIC_LIMITS_C:
        shortfall = Shortfall(
            dry_c=limit - lowest,
            wet_c=np.full(lowest.size, -np.inf),
            dose_c=np.full(lowest.size, -np.inf),
            heat_room_c=None,
            far_below_c=0.0,
        )
        cases.append(
            Asked(
                station=station,
                group=f"night {limit} °C",
                past_years=gather_past_years(
                    own_tables(shortfall, winter), observed.supported, seen, winter
                ),
                usable=observed.winter_usable,
                unknown=plant_years(unknown, winter, outside=True),
                minimum_c=plant_years(known, winter, np.nan),
                first_year=middle_year(axis.first_year, winter),
                whole_lack_c=plant_years(shortfall.dry_c, summer, -np.inf).max(axis=1),
                whole_usable=observed.summer_usable,
            )
        )
    return cases


def read_daily(path: Path) -> tuple[int, FloatArray]:
    """Day of the first row since 1970-01-01, and daily minima, nan where there is none."""
    with gzip.open(path, "rt", encoding="utf-8") as lines:
        rows = [row for row in csv.DictReader(lines) if row["date"] >= f"{FIRST_DAILY_YEAR}-01-01"]
    days = [(date.fromisoformat(row["date"]) - date(1970, 1, 1)).days for row in rows]
    minimum_c = np.full(days[-1] - days[0] + 1, np.nan)
    for day, row in zip(days, rows, strict=True):
        if row["tmin"]:
            minimum_c[day - days[0]] = float(row["tmin"])
    return days[0], minimum_c


def read_stations(folder: Path) -> list[dict[str, str]]:
    """Rows of the list of stations."""
    with (folder / "stations.csv").open(encoding="utf-8") as lines:
        return list(csv.DictReader(lines))


def all_cases(hourly: Path, daily: Path | None) -> Iterable[Asked]:
    """Every group at every station of the folders."""
    for row in read_stations(hourly):
        position = float(row["lat"]), float(row["lon"])
        record = read_file_record(hourly / row["file"], longitude=position[1])
        station = row["file"].split(".")[0]
        years = next(
            (span for start, span in HOURLY_YEARS.items() if station.startswith(start)),
            (None, None),
        )
        yield from hourly_cases(station, record, position, years)
        print(station, file=sys.stderr)
    if daily is None:
        return
    for row in read_stations(daily):
        name = row["file"].split(".")[0]
        station = f"daily: {name}"
        yield from daily_cases(station, *read_daily(daily / f"{name}.csv.gz"))
        print(station, file=sys.stderr)
