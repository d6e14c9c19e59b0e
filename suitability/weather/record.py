"""
The hourly record: what it is made of, and the only place that knows its schema.

Hours stand on a regular UTC axis, counted from 1970-01-01 00:00; an hour without a value is nan.
"""

from datetime import UTC, datetime, timedelta
from enum import IntEnum
from typing import TYPE_CHECKING, Annotated, Any

import numpy as np
from msgspec import Meta, Struct
from msgspec.structs import replace
from numpy.typing import NDArray

from suitability.errors import RecordError
from suitability.quantities import Count, Degrees, Kilometres, Metres, Result

if TYPE_CHECKING:
    import xarray as xr

FloatArray = NDArray[np.float64]
EPOCH = datetime(1970, 1, 1, tzinfo=UTC)


class Origin(IntEnum):
    """Where the temperature of an hour comes from."""

    MISSING = 0
    OBSERVED = 1
    BLENDED = 2
    FILLED = 3
    MODEL = 4
    FORECAST = 5
    INVENTED = 6


class OriginHours(Result, frozen=True, kw_only=True):
    """Hours by where their temperature comes from."""

    missing: Annotated[Count, Meta(description="Without a value.")] = 0
    observed: Annotated[Count, Meta(description="At the station itself.")] = 0
    blended: Annotated[Count, Meta(description="Another station filled a gap.")] = 0
    filled: Annotated[Count, Meta(description="Along a straight line over a short gap.")] = 0
    model: Annotated[Count, Meta(description="Of a model, of the past.")] = 0
    forecast: Annotated[Count, Meta(description="Of a model, ahead.")] = 0
    invented: Annotated[Count, Meta(description="Of the demo.")] = 0


COLUMNS = ("temp_c", "origin", "rhum_pct", "prcp_mm", "lowest_c", "lost_minimum_c")
LONGEST_GAP_HOURS = 2  # that is filled along a straight line
COUNTED = (Origin.OBSERVED, Origin.INVENTED)  # origins that hours below a floor may count


class Station(Result, frozen=True, kw_only=True):
    """A weather station, as it is seen from a place."""

    identifier: str
    name: str
    latitude: Annotated[Degrees, Meta(ge=-90, le=90, description="North of the equator.")]
    longitude: Annotated[Degrees, Meta(ge=-180, le=180, description="East of Greenwich.")]
    elevation_m: Annotated[Metres | None, Meta(description="Above the sea; null if not known.")]
    distance_km: Annotated[
        Kilometres | None, Meta(description="From the place; null without one.")
    ] = None
    height_difference_m: Annotated[
        Metres | None, Meta(description="Above the place; null if one height is not known.")
    ] = None


class FlagCount(Result, frozen=True, kw_only=True):
    """How many hours a check of quality flagged."""

    name: Annotated[str, Meta(description="Of the check.")]
    hours: Count
    removed: Annotated[bool, Meta(description="Whether they were taken out.")]


class Record(Struct, frozen=True, kw_only=True):
    """
    An hourly record of one position.

    Attributes
    ----------
    start_hour : h
        Hours from 1970-01-01 00:00 UTC to the first value.
    temp_c : (hour), °C
        nan where there is no value.
    origin : (hour)
        Members of `Origin` as uint8.
    rhum_pct : (hour), %, or None
    prcp_mm : (hour), mm of the hour, or None
    lowest_c : (hour), °C, or None
        Lowest of the readings within half an hour of each hour, where a log has several.
    lost_minimum_c : (hour), °C, or None
        Of missing hours: the station's own daily minimum, where no reading of the day came near it,
        so that one of them was so cold; nan elsewhere.
    step_hours : h
        Usual distance of two readings: 1, or 3 for a station that reports every three hours.
    source, licence, attribution
        Where it comes from and what must be said when it is shown.
    station
        None for a file.
    flags
        What the checks of quality found.
    notes
        What reading or fetching has to tell, one sentence each.
    minimum_allowance_c : K, or None
        By how much the lowest hourly reading of a day lies above the day's true minimum on the
        mean, where at least a year of daily minima was there to compare.
    checked
        Whether the checks of quality have run; they run before gaps are filled, and once.
    """

    start_hour: int
    temp_c: FloatArray
    origin: NDArray[np.uint8]
    rhum_pct: FloatArray | None = None
    prcp_mm: FloatArray | None = None
    lowest_c: FloatArray | None = None
    lost_minimum_c: FloatArray | None = None
    step_hours: int = 1
    source: str = ""
    licence: str = ""
    attribution: str = ""
    station: Station | None = None
    flags: tuple[FlagCount, ...] = ()
    notes: tuple[str, ...] = ()
    minimum_allowance_c: float | None = None
    checked: bool = False

    def __post_init__(self) -> None:
        """Refuse arrays of different lengths."""
        columns = [getattr(self, name) for name in COLUMNS]
        if any(column is not None and column.shape != self.temp_c.shape for column in columns):
            raise RecordError("The columns of a record must have the same number of hours.")

    def __repr__(self) -> str:
        """One line: how long, how dense, how full, and from where."""
        known = np.count_nonzero(~np.isnan(self.temp_c[:: self.step_hours]))
        share = known / max(1, -(-self.temp_c.size // self.step_hours))
        first, last = (datetime_of_hour(hour) for hour in (self.start_hour, self.stop_hour - 1))
        credit = self.attribution or self.source
        return (
            f"<Record {first:%Y-%m-%d} to {last:%Y-%m-%d}, every {self.step_hours} h, "
            f"{share:.1%} with a temperature{': ' * bool(credit)}{credit}>"
        )

    @property
    def stop_hour(self) -> int:
        """Hours from 1970-01-01 00:00 UTC to just after the last value."""
        return self.start_hour + self.temp_c.size

    @property
    def counted(self) -> NDArray[np.bool_]:
        """Hours that counts may use, (hour): observed ones, and the demo's invented ones."""
        first, *others = map(int, COUNTED)
        counted: NDArray[np.bool_] = self.origin == first
        for other in others:  # much quicker than np.isin, and asked for often
            counted |= self.origin == other
        return counted

    def counted_between(self, start_hour: int, stop_hour: int) -> FloatArray:
        """Counted temperatures from one hour to another, °C, (hour); nan elsewhere and beyond."""
        found: FloatArray = np.full(stop_hour - start_hour, np.nan)
        first, last = max(start_hour, self.start_hour), min(stop_hour, self.stop_hour)
        if first < last:
            part = slice(first - self.start_hour, last - self.start_hour)
            counted = np.where(self.counted[part], self.temp_c[part], np.nan)
            found[first - start_hour : last - start_hour] = counted
        return found

    def hours_by_origin(self) -> dict[str, int]:
        """Hours of each origin, by its name in small letters."""
        totals = np.bincount(self.origin, minlength=len(Origin))
        return {origin.name.lower(): int(totals[origin]) for origin in Origin}


def hour_of_datetime(moment: datetime) -> int:
    """Whole hours from 1970-01-01 00:00 UTC to an aware moment."""
    return int((moment - EPOCH) // timedelta(hours=1))


def datetime_of_hour(hour: int) -> datetime:
    """The UTC moment that many hours after 1970-01-01 00:00."""
    return EPOCH + timedelta(hours=int(hour))


def clip_record(record: Record, start_hour: int, stop_hour: int) -> Record:
    """
    The record between two hours (the second not included), as views of its arrays.

    Raises
    ------
    RecordError
        Nothing of the record lies there.
    """
    first = max(0, start_hour - record.start_hour)
    last = min(record.temp_c.size, stop_hour - record.start_hour)
    if first >= last:
        raise RecordError(
            f"The record has no hours between {datetime_of_hour(start_hour):%Y-%m-%d} and "
            f"{datetime_of_hour(stop_hour):%Y-%m-%d}; it runs from "
            f"{datetime_of_hour(record.start_hour):%Y-%m-%d} to "
            f"{datetime_of_hour(record.stop_hour - 1):%Y-%m-%d}."
        )
    part = slice(first, last)
    columns = {name: getattr(record, name) for name in COLUMNS}
    parts = {name: values[part] for name, values in columns.items() if values is not None}
    return replace(record, start_hour=record.start_hour + first, **parts)


def fill_short_gaps(record: Record) -> Record:
    """
    The record with gaps of temperature of up to two hours filled along a straight line.

    Filled hours get the origin `filled`; they serve nights and doses, never counts. Between tenths
    of a degree they are tenths too. Gaps at either end are left. Humidity and rain stay as they
    are.
    """
    missing = np.isnan(record.temp_c)
    edges = np.flatnonzero(np.diff(missing, prepend=False, append=False))
    starts, stops = edges[::2], edges[1::2]
    inner = (stops - starts <= LONGEST_GAP_HOURS) & (starts > 0) & (stops < missing.size)
    if not inner.any():
        return record
    starts, stops = starts[inner], stops[inner]
    temp_c, origin = record.temp_c.copy(), record.origin.copy()
    before, after, width = temp_c[starts - 1], temp_c[stops], stops - starts + 1
    tenths = (before == before.round(1)) & (after == after.round(1))
    for step in range(1, LONGEST_GAP_HOURS + 1):
        here = starts + step - 1 < stops
        at = starts[here] + step - 1
        line = before[here] + (after[here] - before[here]) * (step / width[here])
        temp_c[at] = np.where(tenths[here], line.round(1), line)
        origin[at] = Origin.FILLED
    return replace(record, temp_c=temp_c, origin=origin)


def to_dataset(record: Record) -> "xr.Dataset":
    """
    The record as a labelled data set: dimension `time` (UTC, no zone), CF names and units.

    Whether an hour is a reading or a mean is said in `cell_methods`.
    """
    import pandas as pd  # noqa: PLC0415  (the labelled face is not on the everyday path)
    import xarray as xr  # noqa: PLC0415

    start = pd.Timestamp(record.start_hour * 3600, unit="s")
    time = pd.date_range(start, periods=record.temp_c.size, freq="h", name="time")
    columns = {
        "temp": (record.temp_c, "air_temperature", "degC"),
        "rhum": (record.rhum_pct, "relative_humidity", "%"),
        "prcp": (record.prcp_mm, "thickness_of_rainfall_amount", "mm"),
        "lowest": (record.lowest_c, "air_temperature", "degC"),
    }
    variables: dict[str, Any] = {
        name: (
            "time",
            values,
            {
                "standard_name": standard,
                "units": unit,
                "cell_methods": "time: minimum" if name == "lowest" else "time: point",
            },
        )
        for name, (values, standard, unit) in columns.items()
        if values is not None
    }
    meanings = " ".join(origin.name.lower() for origin in Origin)
    variables["origin"] = (
        "time",
        record.origin,
        {"flag_values": [int(origin) for origin in Origin], "flag_meanings": meanings},
    )
    attributes: dict[str, Any] = {
        "Conventions": "CF-1.11",
        "source": record.source,
        "license": record.licence,
        "attribution": record.attribution,
        "step_hours": record.step_hours,
    }
    if record.minimum_allowance_c is not None:
        attributes["minimum_allowance_c"] = record.minimum_allowance_c
    return xr.Dataset(variables, coords={"time": time}, attrs=attributes)


def from_dataset(dataset: "xr.Dataset") -> Record:
    """
    The record in a data set made by `to_dataset`, or in one with `temp` in °C over hourly `time`.

    Parameters
    ----------
    dataset
        `time` in UTC without a zone; `rhum` (%) and `prcp` (mm) may stand beside `temp`, and every
        hour with a value counts as observed unless `origin` says otherwise.

    Raises
    ------
    RecordError
        There is no `temp`, its unit is not °C, or `time` is not hourly.
    """
    if "temp" not in dataset or "time" not in dataset["temp"].dims:
        raise RecordError("The data set has no variable `temp` over `time`.")
    unit = str(dataset["temp"].attrs.get("units", "degC"))
    if unit not in {"degC", "°C", "Celsius", "celsius", "C"}:
        raise RecordError(f"`temp` of the data set is in {unit!r}; expected degC.")
    seconds = dataset["time"].to_numpy().astype("datetime64[s]").astype(np.int64)
    if seconds.size == 0 or np.any(seconds % 3600) or np.any(np.diff(seconds) != 3600):
        raise RecordError("`time` of the data set is not a regular axis of full hours.")

    def column(name: str) -> FloatArray | None:
        return np.asarray(dataset[name].to_numpy(), np.float64) if name in dataset else None

    temp_c = np.asarray(dataset["temp"].to_numpy(), np.float64)
    observed = np.where(np.isnan(temp_c), Origin.MISSING, Origin.OBSERVED).astype(np.uint8)
    origin = np.asarray(dataset["origin"].to_numpy(), np.uint8) if "origin" in dataset else observed
    allowance = dataset.attrs.get("minimum_allowance_c")
    return Record(
        start_hour=int(seconds[0] // 3600),
        temp_c=temp_c,
        origin=origin,
        rhum_pct=column("rhum"),
        prcp_mm=column("prcp"),
        lowest_c=column("lowest"),
        step_hours=int(dataset.attrs.get("step_hours", 1)),
        source=str(dataset.attrs.get("source", "")),
        licence=str(dataset.attrs.get("license", "")),
        attribution=str(dataset.attrs.get("attribution", "")),
        minimum_allowance_c=None if allowance is None else float(allowance),
    )
