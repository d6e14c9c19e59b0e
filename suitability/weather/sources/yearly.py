"""A yearly file of Meteostat: parsed, judged beside its sibling years, by who observed them."""

from __future__ import annotations

import zlib
from collections.abc import Mapping
from datetime import UTC, datetime
from itertools import pairwise
from statistics import median

import numpy as np
from msgspec import Struct
from numpy.typing import NDArray

from suitability.errors import SourceError
from suitability.weather.joining import usual_step_hours
from suitability.weather.manifest import YearCounts
from suitability.weather.record import FloatArray, Origin, Record, Station, hour_of_datetime
from suitability.weather.sources.providers import Provider, say_credits
from suitability.weather.sources.register import flag_possible, read_register
from suitability.weather.sources.table import (
    Table,
    cut_table,
    days_of_rows,
    floats_of,
    integers_of,
    month_starts,
    words_of,
)
from suitability.weather.sources.transport import Damage
from suitability.weather.sources.warmth import (
    FEWEST_OF_MONTH,
    WARMEST_MEDIAN_C,
    warmest_median_c,
    warmest_month_c,
)

FARTHEST_C = 8.0  # median difference from the others' months still believed; in practice 1 to 3


def find_outlier_years(month_medians_c: Mapping[int, tuple[float | None, ...]]) -> dict[int, float]:
    """
    Years whose months lie far from those of the others, and by how much, °C.

    The year farthest from the median of all is taken out, and again, until all that are left agree;
    of two years that disagree, neither can be believed.

    Parameters
    ----------
    month_medians_c
        Twelve medians of each year, None where a month has too few hours.

    Examples
    --------
    >>> find_outlier_years({2001: (5.0,) * 12, 2002: (5.5,) * 12, 2003: (41.0,) * 12})
    {2003: 35.5}
    """
    left = {
        year: medians
        for year, medians in month_medians_c.items()
        if any(value is not None for value in medians)
    }
    outlier_years: dict[int, float] = {}
    while len(left) > 1:
        far = {year: _distance_c(medians, left) for year, medians in left.items()}
        worst = max(abs(off_c) for off_c in far.values())
        if worst <= FARTHEST_C / (2 if len(left) == 2 else 1):
            break
        for year, off_c in far.items():
            if abs(off_c) >= worst - 1e-9:
                outlier_years[year] = off_c
                del left[year]
    return outlier_years


def _distance_c(
    medians: tuple[float | None, ...], others: Mapping[int, tuple[float | None, ...]]
) -> float:
    """Median difference of a year's months from the median of all years' same months, °C."""
    differences = []
    for month, own in enumerate(medians):
        same = [other[month] for other in others.values() if other[month : month + 1]]
        given = [value for value in same if value is not None]
        if own is not None and given:
            differences.append(own - median(given))
    return median(differences) if differences else 0.0


COLUMNS = ("temp", "rhum", "prcp")
FEWEST_JUDGED = 24  # h; fewer values say nothing about the unit of a file
LARGEST_SHARE_OUT = 0.2  # of a file's temperatures outside the range: it is not in °C
LARGEST_UNPACKED = 10_000_000  # bytes; a full year has about one million
MOST_ROWS = 4 * 8784  # of a year, some of its hours given more than once
SAME = 1e-6  # °C, % or mm; twins closer than this are equal
KELVIN_MEDIANS = (200.0, 330.0)
GZIP_MAGIC = b"\x1f\x8b"


class ParsedYear(Struct, frozen=True, kw_only=True):
    """
    What a yearly file holds.

    Attributes
    ----------
    observed
        Hours of observing sources, from the year's first hour to its last or to now.
    model
        Hours of models and forecasts over the whole year; None if there are none.
    counts, last_observed_hour, month_medians_c
        As in `YearEntry`.
    """

    observed: Record
    model: Record | None
    counts: YearCounts
    last_observed_hour: int | None
    month_medians_c: tuple[float | None, ...]


def unpack(data: bytes) -> bytes:
    """
    The unpacked bytes of a gzip file, checked to its end.

    Raises
    ------
    SourceError
        The file is cut, damaged, larger than a yearly file can be, or not gzip.
    """
    pieces: list[bytes] = []
    left = LARGEST_UNPACKED
    while data:
        member = zlib.decompressobj(wbits=31)
        try:
            pieces.append(member.decompress(data, left + 1))
        except zlib.error as reason:
            raise SourceError(f"the packed file is damaged ({reason})") from reason
        left -= len(pieces[-1])
        if left < 0:
            raise SourceError("the unpacked file would be far too large")
        if not member.eof:
            raise SourceError("the packed file breaks off")
        data = member.unused_data
    return b"".join(pieces)


def damage_of_gzip(data: bytes) -> Damage | None:
    """What is wrong with a packed file as it came; None if it is whole."""
    if not data:
        return Damage(reason="the server sent nothing", kind="empty", again=True)
    if data[:2] != GZIP_MAGIC:
        start = data[:512].lstrip().lower()
        what = "a web page" if start.startswith((b"<!doctype", b"<html")) else "something"
        reason = f"the server sent {what} instead of the packed file"
        return Damage(reason=reason, kind="not the file", again=False)
    try:
        unpack(data)
    except SourceError as reason:
        return Damage(reason=str(reason), kind="damaged", again=True)
    return None


def parse_year(data: bytes, year: int, station: Station, now: datetime) -> ParsedYear:
    """
    The hours of a packed yearly file, by source.

    Hours given twice with equal values are kept once; with differing values, not at all. Hours
    after `now` are never observed.

    Raises
    ------
    SourceError
        The file is damaged, is of another year, has no usable header, or is not in °C.
    """
    table = cut_table(unpack(data), most_rows=MOST_ROWS)
    start = hour_of_datetime(datetime(year, 1, 1, tzinfo=UTC))
    size = hour_of_datetime(datetime(year + 1, 1, 1, tzinfo=UTC)) - start
    at = days_of_rows(table, year, "hour") * 24 + integers_of(table, "hour")
    columns = {name: _spread(table, name, at, size) for name in COLUMNS}
    over = min(size, max(0, hour_of_datetime(now) - start + 1))
    hours = _sort_hours(columns["temp"], over, station, year)
    observed = _make_record(columns, hours.observed[:over], start, Origin.OBSERVED, station)
    model = None
    if hours.modelled.any():
        model = _make_record(columns, hours.modelled, start, Origin.MODEL, station)
        model.origin[over:][hours.modelled[over:]] = Origin.FORECAST
    seen = np.flatnonzero(hours.observed)
    return ParsedYear(
        observed=observed,
        model=model,
        counts=hours.counts,
        last_observed_hour=int(seen[-1]) + start if seen.size else None,
        month_medians_c=_month_medians(observed.temp_c, year),
    )


class _Column(Struct, frozen=True, kw_only=True):
    """A quantity by hour, (hour), with the hours that stood twice in the file."""

    values: FloatArray
    possible: NDArray[np.bool_]
    source: NDArray[np.bytes_]
    doubled: int
    contradictory: int


class _SortedHours(Struct, frozen=True, kw_only=True):
    """Which hours are observed and which a model's, (hour), and the count of all others."""

    observed: NDArray[np.bool_]
    modelled: NDArray[np.bool_]
    counts: YearCounts


def _spread(table: Table, name: str, at: NDArray[np.int64], size: int) -> _Column:
    """
    A column of the file on the hours of its year.

    Of an hour's rows, those with a value count: equal ones are one, differing ones are none.
    """
    given = floats_of(table, name) if name in table.header else np.full(at.size, np.nan)
    words = words_of(table, f"{name}_source")
    values = np.full(size, np.nan)
    source = np.zeros(size, words.dtype)
    order = np.lexsort((np.isnan(given), at))  # by hour, rows with a value first
    first = np.flatnonzero(np.diff(at[order], prepend=-1))
    rows = np.diff(first, append=at.size)
    lowest = np.fmin.reduceat(given[order], first)
    highest = np.fmax.reduceat(given[order], first)
    with np.errstate(invalid="ignore", over="ignore"):  # what is infinite is out of range
        contradictory = highest - lowest > SAME
    hours = at[order][first]
    values[hours] = np.where(contradictory, np.nan, lowest)
    source[hours] = words[order][first]
    return _Column(
        values=values,
        possible=flag_possible(values, name),
        source=source,
        doubled=int(((rows > 1) & ~contradictory).sum()),
        contradictory=int(contradictory.sum()),
    )


def _providers(origin: Origin) -> dict[bytes, Provider]:
    """The providers of observed hours, or of a model's, as files name them."""
    observing = origin is Origin.OBSERVED
    known = read_register().values()
    return {one.identifier.encode(): one for one in known if one.observes is observing}


def _is_of(source: NDArray[np.bytes_], origin: Origin) -> NDArray[np.bool_]:
    """Whether each hour's source observes, or is a model, (hour)."""
    return np.isin(source, np.array(list(_providers(origin)), "S"))


def _sort_hours(temp: _Column, over: int, station: Station, year: int) -> _SortedHours:
    """Sort the hours of temperature by their source; the first `over` of them are past."""
    given = ~np.isnan(temp.values)
    observing = given & _is_of(temp.source, Origin.OBSERVED)
    modelling = given & _is_of(temp.source, Origin.MODEL)
    plausible = temp.possible
    known = observing | modelling
    warmest_c = warmest_median_c(station.latitude) if _is_year_round(known) else WARMEST_MEDIAN_C
    _check_unit(temp.values[known], plausible[known], warmest_c)
    _check_months(np.where(known, temp.values, np.nan), station.latitude, year)
    past = np.arange(given.size) < over
    observed, modelled = observing & plausible & past, modelling & plausible
    names, hours = np.unique(temp.source[given], return_counts=True)
    counts = YearCounts(
        expected=over,
        observed=int(observed.sum()),
        model=int((modelled & past).sum()),
        forecast=int((modelled & ~past).sum()),
        unknown=int((given & ~known).sum()),
        doubled=temp.doubled,
        contradictory=temp.contradictory,
        out_of_range=int((known & ~plausible).sum()),
        future=int((observing & plausible & ~past).sum()),
        sources=tuple(
            (name.decode("utf-8", "replace"), int(n))
            for name, n in zip(names.tolist(), hours, strict=True)
        ),
    )
    return _SortedHours(observed=observed, modelled=modelled, counts=counts)


def _is_year_round(known: NDArray[np.bool_]) -> bool:
    """Whether hours are spread over the whole year, so that their median is the year's."""
    parts = np.array_split(known, 12)
    return all(part.sum() >= FEWEST_OF_MONTH for part in parts)


def _check_unit(temp: FloatArray, plausible: NDArray[np.bool_], warmest_c: float) -> None:
    """Raise SourceError if a file's temperatures cannot be °C of a station with such a bound."""
    if temp.size < FEWEST_JUDGED:
        return
    median = float(np.median(temp))
    if KELVIN_MEDIANS[0] <= median <= KELVIN_MEDIANS[1]:
        raise SourceError(f"its median temperature is {median:.1f}, which looks like kelvin")
    if median > warmest_c:
        raise SourceError(
            f"its median temperature is {median:.1f}, above the {warmest_c:.1f} °C possible at the "
            "station's latitude; it looks like °F or tenths of a degree"
        )
    out = int((~plausible).sum())
    if out > LARGEST_SHARE_OUT * temp.size:
        raise SourceError(f"{out} of its {temp.size} temperatures are outside any °C range")


def _check_months(temp: FloatArray, latitude: float, year: int) -> None:
    """Raise SourceError if a month is warmer than the open air at a latitude can be."""
    for month, median_c in enumerate(_month_medians(temp, year), 1):
        bound_c = warmest_month_c(latitude, month)
        if median_c is not None and median_c > bound_c:
            raise SourceError(
                f"its median temperature of month {month} is {median_c:.1f}, above the "
                f"{bound_c:.1f} °C possible at the station's latitude; it looks like °F or tenths "
                "of a degree"
            )


def _make_record(
    columns: dict[str, _Column],
    kept: NDArray[np.bool_],
    start: int,
    origin: Origin,
    station: Station,
) -> Record:
    """The hours of some sources as a record of `kept`'s length; humidity and rain by their own."""
    size = kept.size
    values = {}
    for name, column in columns.items():
        good = kept
        if name != "temp":
            good = (_is_of(column.source, origin) & column.possible)[:size]
        values[name] = np.where(good, column.values[:size], np.nan)
    present = {name for column in columns.values() for name in set(column.source[:size].tolist())}
    providers = _providers(origin)
    licence, attribution = say_credits(providers[name] for name in present & providers.keys())
    return Record(
        step_hours=usual_step_hours(values["temp"]),
        start_hour=start,
        temp_c=values["temp"],
        origin=np.where(kept, origin, Origin.MISSING).astype(np.uint8),
        rhum_pct=None if np.isnan(values["rhum"]).all() else values["rhum"],
        prcp_mm=None if np.isnan(values["prcp"]).all() else values["prcp"],
        source="Meteostat",
        licence=licence,
        attribution=attribution,
        station=station,
    )


def _month_medians(temp_c: FloatArray, year: int) -> tuple[float | None, ...]:
    """Median temperature of each month with enough hours, °C, (12)."""
    starts = month_starts(year)
    edges = ((starts - starts[0]) * 24).tolist()
    medians: list[float | None] = []
    for begin, end in pairwise(edges):
        month = temp_c[begin:end]
        month = month[~np.isnan(month)]
        enough = month.size >= FEWEST_OF_MONTH
        medians.append(round(float(np.median(month)), 2) if enough else None)
    return tuple(medians)
