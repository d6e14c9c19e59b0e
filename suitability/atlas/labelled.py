"""What was found of a grid: as a labelled data set after the CF conventions, and in short."""

from typing import TYPE_CHECKING, Annotated, Any

import numpy as np
from msgspec import Meta
from numpy.typing import NDArray

from suitability.advice.result import Period
from suitability.advice.terms import Verdict
from suitability.atlas.mapping import CODES, CellMap
from suitability.atlas.surface import moved_c
from suitability.quantities import (
    SCHEMA_VERSION,
    Celsius,
    Count,
    Degrees,
    Difference,
    Hours,
    Promise,
    Result,
    SchemaVersion,
)
from suitability.weather.record import datetime_of_hour

if TYPE_CHECKING:
    import xarray as xr

DAYS_WORDS = "day of a year of 365, 1 January is 1"
CELLS = {  # long name and unit of what is one number a cell
    "provisional": ("verdict from fewer than ten usable years", "1"),
    "borderline": ("a spot 1 degree colder or warmer has another verdict", "1"),
    "years_usable": ("plant years observed well enough", "1"),
    "season_out": (f"first day outdoors, {DAYS_WORDS}", "1"),
    "season_in": (f"day carried in before sunset, {DAYS_WORDS}", "1"),
    "season_days": ("days of the outdoor season", "day"),
    "margin_c": ("least warming that would raise the verdict", "K"),
    "headroom_c": ("most cooling that the verdict stands", "K"),
}
NAMES = {"floor": "growth floor", "comfort": "comfort mark", "chill": "chill base"}


class CountedBelow(Result, frozen=True, kw_only=True):
    """Hours below one mark in the whole period of the grid, of the cells that have values."""

    mark: Annotated[str, Meta(description="floor, comfort or chill: of the group.")]
    mark_c: Celsius
    least: Hours
    median: Hours
    most: Hours


class MapResult(Result, frozen=True, kw_only=True):
    """What a grid comes to: `map`."""

    schema_version: SchemaVersion = SCHEMA_VERSION
    grid: Annotated[str, Meta(description="Name of the file, or of the first of several.")]
    variable: Annotated[str, Meta(description="Name of the temperature in it.")]
    period: Period
    step_hours: Annotated[int, Meta(description="Distance of two values, h: 1, 3 or 6.")]
    latitudes: Annotated[tuple[Degrees, Degrees], Meta(description="Southernmost, northernmost.")]
    group: str
    group_name: str
    spot: Annotated[str, Meta(description="Name of the spot, the same in every cell.")]
    roofed: Annotated[bool, Meta(description="Whether rain is kept off.")]
    promise: Promise
    floor_c: Celsius
    cells: Count
    all_year: Annotated[Count, Meta(description="Cells where it can live outdoors all year.")]
    seasonal: Annotated[Count, Meta(description="Cells where it can for a season.")]
    indoor_only: Annotated[Count, Meta(description="Cells where it cannot.")]
    no_verdict: Annotated[Count, Meta(description="Cells whose hours do not carry a verdict.")]
    without_values: Annotated[Count, Meta(description="Cells without any value.")]
    sea: Annotated[Count, Meta(description="Cells that a land mask leaves out.")]
    years_usable: Annotated[
        tuple[Count, Count] | None,
        Meta(description="Fewest and most plant years observed well enough; null without values."),
    ]
    season_days: Annotated[
        tuple[Count, Count] | None,
        Meta(description="Shortest and longest season of seasonal cells; null without any."),
    ]
    hours_below: Annotated[
        tuple[Hours, Hours] | None,
        Meta(description="Least and most hours a mean year below the floor; null if not known."),
    ]
    counted_below: Annotated[
        tuple[CountedBelow, ...],
        Meta(description="Hours in the whole period; empty without values."),
    ]
    moved_c: Annotated[
        tuple[Difference, Difference] | None,
        Meta(description="Least and most added for height; null where nothing was."),
    ]
    smallest_headroom_c: Annotated[
        Difference | None, Meta(description="Of cells with a verdict; null if none has one.")
    ]
    credit: Annotated[str, Meta(description="Source and licence, as the files say them.")] = ""
    notes: tuple[str, ...] = ()


def summarise_map(found: CellMap) -> MapResult:
    """Cells counted by their verdict, and the ends of what was found."""
    grid, cells = found.grid, found.cells
    subject = found.asked.subjects.asked[0]
    number = {code: int((cells["verdict"] == at).sum()) for at, code in enumerate(CODES)}
    start, stop = grid.start_hour, grid.start_hour + (grid.steps - 1) * grid.step_hours
    sea = 0 if grid.surface.land is None else int((~grid.surface.land).sum())
    seasonal = cells["verdict"] == CODES.index(Verdict.SEASONAL)
    latitude, _ = grid.positions()
    return MapResult(
        grid=grid.name,
        variable=grid.variable,
        period=Period(
            start=f"{datetime_of_hour(start):%Y-%m-%dT%H:%MZ}",
            end=f"{datetime_of_hour(stop):%Y-%m-%dT%H:%MZ}",
        ),
        step_hours=grid.step_hours,
        latitudes=(float(np.nanmin(latitude)), float(np.nanmax(latitude))),
        group=subject.group.key,
        group_name=subject.group.name,
        spot=found.asked.subjects.spots[0].name,
        roofed=found.asked.subjects.spots[0].roofed,
        promise=found.asked.promise,
        floor_c=found.asked.thresholds_c["floor"],
        cells=cells["verdict"].size,
        all_year=number[Verdict.ALL_YEAR],
        seasonal=number[Verdict.SEASONAL],
        indoor_only=number[Verdict.INDOOR],
        no_verdict=number[Verdict.NONE],
        without_values=int(np.isnan(cells["verdict"]).sum()) - sea,
        sea=sea,
        years_usable=_whole_ends(cells["years_usable"]),
        season_days=_whole_ends(cells["season_days"][seasonal]),
        hours_below=_ends(year_hours(found)),
        counted_below=_counted_below(found),
        moved_c=None if (moved := moved_c(grid)) is None else _ends(moved),
        smallest_headroom_c=(_ends(cells["headroom_c"]) or (None,))[0],
        credit=grid.credit,
        notes=grid.notes,
    )


def _counted_below(found: CellMap) -> tuple[CountedBelow, ...]:
    """Of each mark of the group."""
    told = []
    for mark, mark_c in found.asked.thresholds_c.items():
        hours = period_hours(found, mark)
        known = hours[~np.isnan(hours)]
        if known.size:
            least, median, most = (float(f(known)) for f in (np.min, np.median, np.max))
            told.append(
                CountedBelow(mark=mark, mark_c=mark_c, least=least, median=median, most=most)
            )
    return tuple(told)


def _whole_ends(values: NDArray[np.float64]) -> tuple[int, int] | None:
    found = _ends(values)
    return None if found is None else (int(found[0]), int(found[1]))


def _ends(values: NDArray[np.float64]) -> tuple[float, float] | None:
    """The least and the greatest of those that are known."""
    known = values[~np.isnan(values)]
    return (float(known.min()), float(known.max())) if known.size else None


def year_hours(found: CellMap) -> NDArray[np.float64]:
    """Hours below the floor in the mean year, (row, column); nan where a month is not known."""
    total: NDArray[np.float64] = np.sum(
        [found.cells[f"hours_below_{month}"] for month in range(1, 13)], axis=0
    )
    return total


def period_hours(found: CellMap, mark: str | None = None) -> NDArray[np.float64]:
    """Hours below a mark in the whole period, or with a value, (row, column); nan without any."""
    valid = found.counts["hours_valid"].sum(axis=0, dtype=np.float64)
    counted = found.counts[f"hours_below_{mark}" if mark else "hours_valid"]
    hours: NDArray[np.float64] = np.where(valid > 0, counted.sum(axis=0, dtype=np.float64), np.nan)
    return hours


def to_cf(found: CellMap, *, made_by: str) -> "xr.Dataset":
    """
    The map as a data set that follows CF 1.11.

    Parameters
    ----------
    made_by
        Name and release of the program, for the history of the file.
    """
    import xarray as xr  # noqa: PLC0415  (slow to import)

    dims = tuple(map(str, found.grid.parts[0].dims[1:]))
    coords = _coordinates(found)
    extra = {"coordinates": "latitude longitude"} if found.grid.latitude.ndim == 2 else {}
    variables: dict[str, Any] = {"verdict": _verdict(found, dims)}
    for name, (words, unit) in CELLS.items():
        attributes = {"long_name": words, "units": unit}
        if unit == "K":
            attributes["units_metadata"] = "temperature: difference"
        variables[name] = (dims, found.cells[name].astype(np.float32), attributes)
    moved = moved_c(found.grid)
    if moved is not None:
        told = "added to the temperatures of the grid for height"
        units = {"units": "K", "units_metadata": "temperature: difference"}
        variables["moved_c"] = (dims, moved.astype(np.float32), {"long_name": told, **units})
    for name in ("hours_below", "degree_hours_below"):
        values = np.stack([found.cells[f"{name}_{month}"] for month in range(1, 13)])
        words = f"{_words(name)} the growth floor in a mean month"
        variables[f"{name}_mean"] = (
            ("month", *dims),
            values.astype(np.float32),
            {"long_name": words, **_unit(name)},
        )
    for name, counted in found.counts.items():
        variables[name] = (("time", *dims), counted, _count_attributes(found, name))
    dataset = xr.Dataset(variables, coords=coords, attrs=_attributes(found, made_by))
    dataset["time"].encoding = {"dtype": "int32", "units": "days since 1970-01-01"}
    dataset["time_bounds"].encoding = {"dtype": "int32", "units": "days since 1970-01-01"}
    for own, variable in dataset.variables.items():
        kept = variable.dtype.kind == "f" and own in dataset.data_vars
        variable.encoding["_FillValue"] = np.float32(np.nan) if kept else None
        if kept and extra:
            variable.encoding |= extra
    return dataset


def _coordinates(found: CellMap) -> dict[str, Any]:
    """Axes of the grid as they are, months, and their bounds."""
    first = np.datetime64(found.axis.first, "M")
    after = first + np.timedelta64(found.axis.months + 1, "M")
    edges = np.arange(first, after).astype("datetime64[ns]")
    time = {
        "standard_name": "time",
        "long_name": "month, in each cell's standard time",
        "units_metadata": "leap_seconds: none",
        "axis": "T",
        "bounds": "time_bounds",
    }
    coords: dict[str, Any] = {
        "time": ("time", edges[:-1], time),
        "time_bounds": (("time", "bound"), np.stack([edges[:-1], edges[1:]], axis=1)),
        "month": ("month", np.arange(1, 13, dtype=np.int32), {"long_name": "month", "units": "1"}),
    }
    for name, unit in (("latitude", "degrees_north"), ("longitude", "degrees_east")):
        axis = getattr(found.grid, name)
        own = name if axis.ndim == 2 else axis.dims[0]
        told = {"standard_name": name, "long_name": name, "units": unit}
        values = axis.to_numpy()
        if name == "longitude" and axis.ndim == 1:
            values = found.grid.columns_east()  # always in order, as CF wants them
        coords[own] = (axis.dims, values, told)
    return coords


def _verdict(found: CellMap, dims: tuple[str, ...]) -> tuple[Any, ...]:
    """The verdicts as flags; -1 where a cell has no value, -2 where it was left out as sea."""
    codes = np.nan_to_num(found.cells["verdict"], nan=-1.0).astype(np.int8)
    if found.grid.surface.land is not None:
        codes[~found.grid.surface.land] = -2
    return (
        dims,
        codes,
        {
            "long_name": "verdict",
            "flag_values": np.arange(-2, len(CODES), dtype=np.int8),
            "flag_meanings": " ".join(["sea", "no-value", *CODES]),
        },
    )


def _words(name: str) -> str:
    return "degree hours below" if name.startswith("degree") else "hours below"


def _unit(name: str) -> dict[str, str]:
    if name.startswith("degree"):
        return {"units": "K hour", "units_metadata": "temperature: difference"}
    return {"units": "hour"}


def _count_attributes(found: CellMap, name: str) -> dict[str, str]:
    """Of counts of each month."""
    if name == "hours_valid":
        return {"long_name": "hours with a value", "cell_methods": "time: sum", **_unit(name)}
    below = name.rsplit("_", 1)[1]
    mark_c = found.asked.thresholds_c[below]
    words = f"{_words(name)} the {NAMES[below]}, {mark_c:g} degC"
    return {"long_name": words, "cell_methods": "time: sum", **_unit(name)}


def _attributes(found: CellMap, made_by: str) -> dict[str, Any]:
    """Of the whole file: what it is of, and how it was made."""
    subject, spot = found.asked.subjects.asked[0], found.asked.subjects.spots[0]
    given = found.grid.parts[0].attrs.get("long_name", found.grid.variable)
    return {
        "Conventions": "CF-1.11",
        "title": f"Where {subject.group.name} can live at the spot {spot.name}",
        "source": f"{given} of {found.grid.name}, values {found.grid.step_hours} h apart. "
        f"{found.grid.credit}".strip(),
        "history": made_by,
        "comment": "Cells without a month's values have 0 hours below: read them beside "
        "hours_valid. " + " ".join(found.grid.notes),
    }
