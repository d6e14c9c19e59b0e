"""
Hours and degree-hours below floors by month, as users of general libraries write it.

Each takes temperatures, (hour) or (hour, point), and floors, and gives what is timed. Polars and
duckdb hold a long table; they and dask work on all cores.
"""

from __future__ import annotations

from typing import TYPE_CHECKING, Any

import numpy as np

if TYPE_CHECKING:
    import pandas as pd
    from numpy.typing import NDArray

    from .contest import Found, Run

    Values = NDArray[np.floating[Any]]
    FloatArray = NDArray[np.float64]

START = "1991-01-01"
START_HOUR = 184_080  # of it, from 1970
PIECES = {"time": 8784, "point": 100}  # of a grid, for dask and on the disk


def found_of(tables: Any) -> Found:
    """Results as they are compared, from hours and degree-hours below, and valid hours."""
    below, degree_hours, valid = tables
    return {
        "hours below": np.asarray(below, np.float64).round().astype(np.int64),
        "degree-hours": np.asarray(degree_hours, np.float64),
        "valid hours": np.asarray(valid, np.float64).round().astype(np.int64),
    }


def stacked_of(table: Any) -> Found:
    """The same from hours, degree-hours and valid hours below each other."""
    floors = len(table) // 2
    return found_of((table[:floors], table[floors:-1], table[-1]))


def time_axis(hours: int) -> pd.DatetimeIndex:
    """As users of pandas and xarray have it."""
    import pandas as pd

    return pd.date_range(START, periods=hours, freq="h")


def by_pandas(values: Values, floors_c: FloatArray) -> Run:
    """Floors as columns, grouped once."""
    import pandas as pd

    index, floors = time_axis(len(values)), floors_c.tolist()
    series, keys = pd.Series(values, index), [index.year, index.month]

    def run() -> object:
        below = pd.DataFrame({floor: series < floor for floor in floors})
        short = pd.DataFrame({floor: (floor - series).clip(lower=0.0) for floor in floors})
        valid = series.groupby(keys).count()
        return below.groupby(keys).sum().T, short.groupby(keys).sum().T, valid

    return run


def by_pandas_floors(values: Values, floors_c: FloatArray) -> Run:
    """Floor by floor, resampled; points are columns of a wide frame."""
    import pandas as pd

    held: Any = (pd.Series if values.ndim == 1 else pd.DataFrame)(values, time_axis(len(values)))

    def run() -> object:
        floors = floors_c.tolist()
        below = [(held < floor).resample("MS").sum() for floor in floors]
        short = [(floor - held).clip(lower=0.0).resample("MS").sum() for floor in floors]
        return below, short, held.resample("MS").count()

    return run


def labelled(values: Values) -> Any:
    """As users of xarray and xclim hold temperatures."""
    import xarray as xr

    names = ("time", "point")[: values.ndim]
    return xr.DataArray(values, {"time": time_axis(len(values))}, names, attrs={"units": "degC"})


def by_xarray(values: Values, floors_c: FloatArray, *, use_flox: bool) -> Run:
    """All floors in one array, resampled."""
    import xarray as xr

    data, floors = labelled(values), xr.DataArray(floors_c, dims="floor")

    def run() -> object:
        with xr.set_options(use_flox=use_flox):  # type: ignore[no-untyped-call]  # theirs
            below = (data < floors).resample(time="MS").sum()
            short = (floors - data).clip(min=0.0).resample(time="MS").sum()
            valid = data.resample(time="MS").count()
        return below.transpose("floor", ...), short.transpose("floor", ...), valid

    return run


def by_xarray_floors(values: Values, floors_c: FloatArray, *, use_flox: bool) -> Run:
    """Floor by floor, which spares memory."""
    data = labelled(values)
    return lambda: xarray_tables(data, floors_c, use_flox=use_flox)


def xarray_tables(data: Any, floors_c: FloatArray, *, use_flox: bool = True) -> tuple[Any, ...]:
    """Counted floor by floor."""
    import xarray as xr

    floors = floors_c.tolist()
    with xr.set_options(use_flox=use_flox):  # type: ignore[no-untyped-call]  # theirs
        below = [(data < floor).resample(time="MS").sum() for floor in floors]
        short = [(floor - data).clip(min=0.0).resample(time="MS").sum() for floor in floors]
        return below, short, data.resample(time="MS").count()


def by_xclim(values: Values, floors_c: FloatArray) -> Run:
    """Generic indices, floor by floor, which is how they take thresholds."""
    data = labelled(values)
    return lambda: xclim_tables(data, floors_c)


def xclim_tables(data: Any, floors_c: FloatArray) -> tuple[Any, ...]:
    """Counted floor by floor."""
    from xclim.indices.generic import count_occurrences, cumulative_difference

    floors = [f"{floor} degC" for floor in floors_c.tolist()]
    below = [count_occurrences(data, floor, "MS", "<") for floor in floors]
    short = [cumulative_difference(data, floor, "<", "MS") for floor in floors]
    return below, short, data.resample(time="MS").count()


def by_dask(values: Values, floors_c: FloatArray) -> Run:
    """All floors and pieces in one computation."""
    data = labelled(values).chunk(PIECES)
    return lambda: together(xarray_tables(data, floors_c))


def together(tables: tuple[Any, ...]) -> object:
    """What dask holds, worked out in one go."""
    import dask

    return dask.compute(*tables)  # type: ignore[attr-defined, no-untyped-call]  # theirs


def _long(values: Values) -> dict[str, Any]:
    """A long table, point after point."""
    hours, time = len(values), time_axis(len(values)).to_numpy()
    if values.ndim == 1:
        return {"time": time, "temp": values}
    points = values.shape[1]
    point = np.repeat(np.arange(points, dtype=np.int32), hours)
    return {"point": point, "time": np.tile(time, points), "temp": values.T.ravel()}


def by_polars(values: Values, floors_c: FloatArray) -> Run:
    """All floors as expressions of one grouping by month."""
    import polars as pl

    frame = pl.DataFrame(_long(values)).with_columns(pl.col("temp").fill_nan(None))
    temp, floors = pl.col("temp"), floors_c.tolist()
    wanted = [
        *((temp < floor).sum().alias(f"below {floor}") for floor in floors),
        *((floor - temp).clip(lower_bound=0.0).sum().alias(f"short {floor}") for floor in floors),
        temp.count().alias("valid"),
    ]
    if values.ndim == 1:
        return lambda: frame.group_by_dynamic("time", every="1mo").agg(*wanted)
    return lambda: frame.group_by("point", pl.col("time").dt.truncate("1mo")).agg(*wanted)


def polars_of(frame: Any) -> Found:
    """Results of either."""
    keys = [name for name in ("time", "point") if name in frame.columns]
    table = frame.sort(keys).drop(keys).to_numpy().T.astype(np.float64)
    points = frame["point"].n_unique() if "point" in keys else None
    return stacked_of(table.reshape(len(table), -1, points) if points else table)


def _duckdb(values: Values) -> Any:
    """A connection that holds the hours."""
    import duckdb
    import pyarrow as pa

    long = {name: pa.array(column, from_pandas=True) for name, column in _long(values).items()}
    held = duckdb.connect()
    held.register("long", pa.table(long))
    held.execute("create table hours as select * from long where temp is not null")
    held.unregister("long")
    return held


def by_duckdb(values: Values, floors_c: FloatArray) -> Run:
    """All floors of one station as filtered aggregates."""
    held, floors = _duckdb(values), floors_c.tolist()
    columns = [
        *(f"count(*) filter (temp < {floor}::double)" for floor in floors),
        *(f"sum(greatest({floor}::double - temp, 0))" for floor in floors),
    ]
    month = "year(time), month(time)"
    asked = f"select {', '.join(columns)}, count(*) from hours group by {month} order by {month}"
    return lambda: np.array(held.execute(asked).fetchall(), np.float64).T


def by_duckdb_histogram(values: Values, floors_c: FloatArray) -> Run:
    """Hours of each tenth counted in SQL, floors read off with numpy: our way, copied."""
    held, points = _duckdb(values), values.shape[1:]
    months = np.unique(time_axis(len(values)).to_numpy().astype("datetime64[M]")).size
    asked = (
        f"select {'point, ' if points else ''}datediff('month', date '{START}', time) as month, "
        "round(temp * 10)::int as tenth, count(*) as hours from hours group by all"
    )

    def run() -> object:
        found = held.execute(asked).fetchnumpy()
        cell = found["month"] * points[0] + found["point"] if points else found["month"]
        level = np.rint(floors_c * 10.0).astype(np.int64)
        bottom = min(int(found["tenth"].min()), int(level.min())) - 1
        width = max(int(found["tenth"].max()), int(level.max())) - bottom + 1
        table = np.zeros((months * (points[0] if points else 1), width))
        table[cell, found["tenth"] - bottom] = found["hours"]
        running = np.cumsum(table, axis=1)
        short = np.cumsum(running, axis=1)
        column, shape = level - bottom - 1, (-1, months, *points)
        below, short = (one[:, column].T.reshape(shape) for one in (running, short))
        return below, short / 10.0, running[:, -1].reshape(shape[1:])

    return run
