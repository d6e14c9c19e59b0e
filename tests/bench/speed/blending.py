"""Four stations made into one record, gaps filled from neighbours, and resamples of years."""

from __future__ import annotations

import itertools
from functools import cache, partial
from typing import Any

import numpy as np
from numpy.typing import NDArray

from suitability.climate.chance import resample_weights
from suitability.weather.blending import fill_from_neighbours, weigh_stations
from suitability.weather.record import Origin, Record, Station

from .contest import LIMIT, OURS, Contender, Found, Goal, Run, Setting, Work, ahead
from .one_station import station_c

FloatArray = NDArray[np.float64]

TEN_YEARS = 87_672  # h
START = "2010-01-01"
START_HOUR = 350_640  # of it, from 1970
POINT = (50.0, 8.0, 300.0)  # latitude, longitude, m
# Of invented stations around it.
PLACES = ((50.1, 8.1, 120.0), (50.0, 8.4, 900.0), (49.8, 7.9, 310.0), (50.3, 8.0, 40.0))
COPIES = 12  # of the arrays, so that none is still in the cache when its turn comes
MISSING = 0.06  # of the hours of each station
MONTH = 720  # h that the library blends: its time is the same for every hour


def measured_c(hours: int, seed: int) -> FloatArray:
    """A real station's hours with tenths added and hours taken out by chance, (hour), °C."""
    chance = np.random.default_rng(seed)
    temp_c = np.round(station_c(hours) + chance.normal(0.0, 1.0, hours), 1)
    temp_c[chance.random(hours) < MISSING] = np.nan
    return temp_c


@cache
def records_of(hours: int) -> tuple[Record, ...]:
    """Four stations as seen from the point."""
    from suitability.weather.stations import seen_from

    found = []
    for number, (latitude, longitude, height_m) in enumerate(PLACES):
        temp_c = measured_c(hours, number)
        station = Station(
            identifier=str(number),
            name="Invented",
            latitude=latitude,
            longitude=longitude,
            elevation_m=height_m,
        )
        found.append(
            Record(
                start_hour=START_HOUR,
                temp_c=temp_c,
                origin=np.where(np.isnan(temp_c), Origin.MISSING, Origin.OBSERVED).astype(np.uint8),
                station=seen_from(station, *POINT),
            )
        )
    return tuple(found)


def weights_and_shifts(records: tuple[Record, ...]) -> tuple[FloatArray, FloatArray]:
    """What a user who writes it with arrays works out first: weights, and rounded °C for height."""
    stations = [record.station for record in records if record.station]
    far_m = np.array([1000.0 * (station.distance_km or 0.0) for station in stations])
    above_m = np.array([station.height_difference_m or 0.0 for station in stations])
    weights = 1.0 / (far_m**2 + (10.0 * above_m) ** 2)
    return weights / weights.sum(), 0.0065 * above_m


def _by_us(records: tuple[Record, ...]) -> Run:
    """The mean by which gaps are filled, over the stations that have a value."""
    tenths = np.array([record.temp_c for record in records]) * 10.0  # rounded in one pass
    weights, shifts = weights_and_shifts(records)
    moved = np.empty_like(tenths)

    def run() -> object:
        np.add(tenths, 10.0 * shifts[:, None], out=moved)
        return np.rint(weigh_stations(np.rint(moved, out=moved), weights)) / 10.0

    return run


def _by_pandas(records: tuple[Record, ...]) -> Run:
    """A wide frame; weights over the stations that have a value."""
    import pandas as pd

    index = pd.date_range(START, periods=records[0].temp_c.size, freq="h")
    frame = pd.DataFrame({at: record.temp_c for at, record in enumerate(records)}, index)
    weights, shifts = weights_and_shifts(records)

    def run() -> object:
        moved = (frame + shifts).round(1)
        whole = moved.notna().mul(weights, axis=1).sum(axis=1)
        return (moved.mul(weights, axis=1).sum(axis=1, min_count=1) / whole).round(1)

    return run


def _by_xarray(records: tuple[Record, ...]) -> Run:
    """Its weighted mean."""
    import xarray as xr

    data = xr.DataArray(np.stack([record.temp_c for record in records]), dims=("station", "time"))
    weights, shifts = (xr.DataArray(one, dims="station") for one in weights_and_shifts(records))
    return lambda: (data + shifts).round(1).weighted(weights).mean("station").round(1)


def _by_meteostat(records: tuple[Record, ...], hours: int) -> Run:
    """The weather library's own interpolation, fed without a network."""
    import meteostat as ms
    import pandas as pd
    from meteostat.api.timeseries import TimeSeries
    from meteostat.enumerations import Granularity

    times = pd.date_range(START, periods=hours, freq="h")
    frames = []
    for number, record in enumerate(records):
        names = ["station", "time", "source"]
        index = pd.MultiIndex.from_product([[str(number)], times, ["isd_lite"]], names=names)
        frames.append(pd.DataFrame({"temp": record.temp_c[:hours]}, index=index).dropna())
    stations = pd.DataFrame(
        [(str(number), *place) for number, place in enumerate(PLACES)],
        columns=["id", "latitude", "longitude", "elevation"],
    ).set_index("id")
    series = TimeSeries(
        Granularity.HOURLY,
        stations,
        pd.concat(frames),
        times[0].to_pydatetime(),
        times[-1].to_pydatetime(),
        multi_station=True,
    )
    point = ms.Point(POINT[0], POINT[1], int(POINT[2]))

    def run() -> object:
        found = ms.interpolate(series, point).fetch()
        assert found is not None
        return found["temp"].reindex(times)

    return run


def _blended(found: Any) -> Found:
    return {"°C": np.asarray(found, np.float64)}


def _read(records: tuple[Record, ...]) -> Contender:
    stacks = [np.array([record.temp_c for record in records]) for _ in range(COPIES)]
    turn = itertools.cycle(stacks)
    return Contender("one read: np.sum", lambda: lambda: np.sum(next(turn)), role=LIMIT)


def blending(setting: Setting) -> tuple[Work, ...]:
    """W3: a record for a point from four stations; and gaps filled, which nobody else does."""
    hours = setting.of(TEN_YEARS, 1000)
    month = setting.of(MONTH, 100)
    records = records_of(hours)
    near = 0.1 + 1e-9  # °C; halves round either way
    pandas, xarray = "pandas, vectorised", "xarray, weighted mean"
    library = "meteostat.interpolate"
    return (
        Work(
            "W3",
            "W3 Four stations blended, ten years",
            "Inverse distance with heights, from Nashville's hours with noise and 6 % gaps as four "
            f"invented stations; the weather library does {month} hours.",
            (
                _read(records),
                Contender("ours", partial(_by_us, records), _blended, OURS),
                Contender(pandas, partial(_by_pandas, records), _blended, within=near),
                Contender(xarray, partial(_by_xarray, records), _blended, within=near),
                Contender(
                    library,
                    partial(_by_meteostat, records, month),
                    _blended,
                    needs="meteostat",
                    rounds=2,
                    share=month / hours,
                    within=near,
                ),
                Contender(
                    "ours: gaps of one filled from three, with errors",
                    lambda: lambda: fill_from_neighbours(records[0], records[1:]),
                    role=OURS,
                ),
            ),
            (
                Goal("ours / one read", "ours", 8.0),
                ahead("vectorised pandas, xarray", (pandas, xarray), 1.5),
                ahead(library, library, 1000.0),
            ),
            setting.of(15, 1),
        ),
    )


# Resamples of years ----------------------------------------------------------------------------

YEARS, SERIES, LEVELS = 30, 24, (0.05, 0.95)


def resampling(setting: Setting) -> tuple[Work, ...]:
    """W4: how sure the share of years is in which 24 promises were kept."""
    draws = setting.of(2000, 50)
    shares = np.linspace(0.3, 0.95, SERIES)
    kept = (np.random.default_rng(2).random((YEARS, SERIES)) < shares).astype(np.float64)
    # The same resamples for all: which year stands at each place of each.
    weights = resample_weights(YEARS, draws, 1).astype(np.int64)
    drawn = np.repeat(np.tile(np.arange(YEARS), draws), weights.ravel()).reshape(draws, YEARS)
    chance = np.random.default_rng(3)

    def ours() -> object:
        return np.quantile(resample_weights(YEARS, draws, 1) @ kept / YEARS, LEVELS, axis=0)

    def anew() -> object:
        resample_weights.cache_clear()
        return ours()

    def by_pandas() -> Run:
        import pandas as pd

        frame = pd.DataFrame(kept)

        def run() -> object:
            means = pd.DataFrame([frame.iloc[row].mean() for row in drawn])
            return means.quantile(list(LEVELS))

        return run

    def by_xarray() -> Run:
        import xarray as xr

        data = xr.DataArray(kept, dims=("year", "series"))
        rows = xr.DataArray(drawn, dims=("draw", "place"))
        return lambda: data.isel(year=rows).mean("place").quantile(LEVELS, "draw")

    def by_scipy() -> Run:
        from scipy.stats import bootstrap

        def run() -> object:
            found = bootstrap(
                (kept,),
                np.mean,
                n_resamples=draws,
                confidence_level=LEVELS[1] - LEVELS[0],
                method="percentile",
                rng=np.random.default_rng(4),
            )
            return found.confidence_interval

        return run

    def shares_of(found: Any) -> Found:
        return {"share of years": np.asarray(found, np.float64)}

    def by_numpy() -> object:
        return np.quantile(kept[drawn].mean(axis=1), LEVELS, axis=0)

    mine, new = "ours, resamples remembered", "ours, drawn anew"
    scipy, xarray, pandas = (
        *("scipy.stats.bootstrap", "xarray, isel and quantile", "pandas, resample by resample"),
    )
    off = setting.of(2, 5) / YEARS + 1e-9  # of other resamples
    return (
        Work(
            "W4-resamples",
            f"W4 {draws:,} resamples of thirty years",
            "The 5 and 95 % ends of the share of years that kept each of 24 promises; scipy draws "
            "resamples of its own. The program itself draws 200.",
            (
                Contender(
                    "drawing the years: numpy's generator",
                    lambda: lambda: chance.integers(0, YEARS, (draws, YEARS)),
                    role=LIMIT,
                ),
                Contender(mine, lambda: ours, shares_of, OURS),
                Contender(new, lambda: anew, shares_of, OURS),
                Contender("numpy, gather and quantile", lambda: by_numpy, shares_of),
                Contender(scipy, by_scipy, shares_of, needs="scipy", within=off),
                Contender(xarray, by_xarray, shares_of),
                Contender(pandas, by_pandas, shares_of, rounds=2),
            ),
            (
                Goal("drawn anew / drawing alone", new, 3.0),
                Goal("remembered / drawing alone", mine, 3.0),
                ahead("scipy, xarray, pandas", (scipy, xarray, pandas), 20.0, mine),
            ),
            setting.of(15, 1),
        ),
    )
