"""
Forecasts: from a yearly file of the service or a file of one's own, and those that are kept.

Their hours have the origin `forecast` and never enter a record of observed hours. Each forecast is
kept as it was given, with the hour of its issue, so that its error can be learned:

    FOLDER/forecasts/KEY/YEAR-MONTH-DAYTHOUR.forecast    in the program's stored form
"""

from __future__ import annotations

import re
from contextlib import suppress
from datetime import UTC, datetime, timedelta
from pathlib import Path

import numpy as np
from msgspec import Struct
from msgspec.structs import replace

from suitability.errors import RecordError, StoreError
from suitability.units import TemperatureUnit
from suitability.weather.disk import NewerStoreError, explain_disk, write_atomically
from suitability.weather.manifest import StationManifest, YearEntry
from suitability.weather.record import (
    Origin,
    Record,
    Station,
    clip_record,
    datetime_of_hour,
    hour_of_datetime,
)
from suitability.weather.stored import decode_record, encode_record

LONGEST_DAYS = 16  # ahead; a file that reaches farther is no forecast
BEFORE_HOURS = 48  # hours of the model before its issue that are taken along
MOST_KEPT = 800  # of one place; the oldest give way
RENEWED_AFTER = timedelta(hours=3)  # since a station's file was fetched
OBSERVED_AFTER = timedelta(days=3)  # of a year, its last hours; reasoned
ISSUED = re.compile(r"\d{4}-\d\d-\d\dT\d\d")


class Forecast(Struct, frozen=True, kw_only=True):
    """
    A forecast.

    Attributes
    ----------
    issued : h
        Hours from 1970-01-01 00:00 UTC to when it was fetched, or to its first hour.
    hours
        Temperature, and rain where it is given; every hour of origin `forecast`.
    """

    issued: int
    hours: Record


def read_forecast_file(
    path: Path, *, latitude: float, longitude: float, unit: TemperatureUnit | None = None
) -> Forecast:
    """
    The forecast in a file, issued at its first hour.

    Parameters
    ----------
    path
        Of any form in which a record is read; time and temp, and rhum and prcp if it has them.
    latitude, longitude : degrees
        Of the place, by which its times and degrees are tried.

    Raises
    ------
    RecordError
        The file cannot be used, or reaches farther than a forecast does.
    """
    from suitability.weather.sources.files import read_file_record  # noqa: PLC0415  (not always)

    hours = read_file_record(path, latitude=latitude, longitude=longitude, unit=unit)
    if hours.temp_c.size > (LONGEST_DAYS + 2) * 24:
        raise RecordError(
            f"{path.name}: found {hours.temp_c.size / 24:.0f} days from its first hour to its "
            f"last; right would be a forecast of at most {LONGEST_DAYS} days."
        )
    hours = replace(hours, source=hours.source or path.name)
    return Forecast(issued=hours.start_hour, hours=_as_forecast(hours))


def read_station_forecast(folder: Path, identifier: str, now: datetime) -> Forecast | None:
    """
    What the kept file of a station's running year holds of models and forecasts; None: nothing.

    It was issued when the service last changed that file, or when it was fetched.

    Raises
    ------
    StoreError
        The store cannot be read.
    """
    from suitability.weather.year_store import read_manifest, read_year  # noqa: PLC0415

    manifest = read_manifest(folder, identifier)
    entry = None if manifest is None else manifest.entry(now.year)
    if entry is None or manifest is None:
        return None
    model = read_year(folder, identifier, now.year, model=True, manifest=manifest)
    if model is None:
        return None
    issued = hour_of_datetime(_changed(entry))
    with suppress(RecordError):
        ahead = clip_record(model, issued - BEFORE_HOURS, issued + LONGEST_DAYS * 24)
        if bool(np.isfinite(ahead.temp_c[ahead.origin == Origin.FORECAST]).any()):
            return Forecast(issued=issued, hours=_as_forecast(ahead))
    return None


def _changed(entry: YearEntry) -> datetime:
    """When a year's file was last changed, as the service says, at the latest when it came."""
    from email.utils import parsedate_to_datetime  # noqa: PLC0415  (not always)

    try:
        changed = parsedate_to_datetime(entry.last_modified)
    except ValueError:
        return entry.fetched
    return min(entry.fetched, changed if changed.tzinfo else changed.replace(tzinfo=UTC))


def renew_forecast(folder: Path, station: Station, now: datetime) -> bool:
    """
    Whether the running year of a station was asked for again, being new or some hours old.

    What is kept stays where the service fails; nothing else is asked for.

    Raises
    ------
    StoreError
        The store cannot be read.
    """
    from suitability.weather.fetching import addresses_maker, transport_maker  # noqa: PLC0415  (network)
    from suitability.weather.station_years import FetchRequest, fetch_station_years  # noqa: PLC0415
    from suitability.weather.year_store import read_manifest  # noqa: PLC0415

    manifest = read_manifest(folder, station.identifier)
    due = [] if manifest is None else _years_due(manifest, now)
    if not due:
        return False
    request = FetchRequest(
        folder=folder,
        first_year=due[0],
        last_year=due[-1],
        now=now,
        transport=transport_maker(None),
        addresses=addresses_maker(None),
        allow_missing=True,
        refresh=True,
    )
    fetch_station_years(request, station)
    return True


def _years_due(manifest: StationManifest, now: datetime) -> list[int]:
    """
    Years to be asked for again: the running one, and the last one until its end has been observed.

    In a new year the running one is not kept yet; it is due if the last one is.
    """
    last, running = manifest.entry(now.year - 1), manifest.entry(now.year)
    if running is not None and now - running.fetched < RENEWED_AFTER:
        return []
    ended = datetime(now.year, 1, 1, tzinfo=UTC) + OBSERVED_AFTER
    due = [now.year - 1] if last is not None and last.fetched < ended else []
    return [*due, now.year] if due or running is not None else []


def _as_forecast(hours: Record) -> Record:
    """Every hour with a value marked as a forecast's, from the first one to the last."""
    there = np.flatnonzero(~np.isnan(hours.temp_c))
    if there.size:
        first, last = hours.start_hour + int(there[0]), hours.start_hour + int(there[-1])
        hours = clip_record(hours, first, last + 1)
    origin = np.where(np.isnan(hours.temp_c), Origin.MISSING, Origin.FORECAST).astype(np.uint8)
    return replace(hours, origin=origin, lowest_c=None)


def forecast_key(identifier: str | None, latitude: float, longitude: float) -> str:
    """
    Under which name forecasts of a place are kept: a station's, or files' by their position.

    Examples
    --------
    >>> forecast_key("10637", 50.05, 8.6), forecast_key(None, 50.05, 8.6)
    ('10637', 'file_50.05_8.60')
    """
    return identifier or f"file_{latitude:.2f}_{longitude:.2f}"


def keep_forecast(folder: Path, key: str, forecast: Forecast) -> None:
    """
    A forecast kept as it was given; one of the same hour is kept once.

    Raises
    ------
    StoreError
        The disk is full or cannot be written.
    """
    place = folder / "forecasts" / key
    path = place / f"{datetime_of_hour(forecast.issued):%Y-%m-%dT%H}.forecast"
    if path.exists():
        return
    write_atomically(path, encode_record(forecast.hours))
    for old in sorted(place.glob("*.forecast"))[:-MOST_KEPT]:
        with suppress(OSError):
            old.unlink()


def read_kept_forecasts(folder: Path, key: str, since: int, until: int) -> list[Forecast]:
    """
    The forecasts of a place that were issued between two hours, oldest first.

    What cannot be read is passed over: fewer nights then tell of the error.

    Parameters
    ----------
    since, until : h
        Hours from 1970-01-01 00:00 UTC; the second not included.

    Raises
    ------
    StoreError
        The folder cannot be read.
    """
    place = folder / "forecasts" / key
    found = []
    try:
        paths = sorted(place.glob("*.forecast"))
    except OSError as reason:
        raise explain_disk("read", place, reason) from reason
    for path in paths:
        if not ISSUED.fullmatch(path.stem):
            continue
        issued = _hour_of_name(path.stem)
        if issued is None or not since <= issued < until:
            continue
        with suppress(OSError, StoreError, NewerStoreError):
            found.append(Forecast(issued=issued, hours=decode_record(path.read_bytes())))
    return found


def _hour_of_name(stem: str) -> int | None:
    """The hour that a file's name says."""
    with suppress(ValueError):
        return hour_of_datetime(datetime.fromisoformat(f"{stem}:00+00:00"))
    return None
