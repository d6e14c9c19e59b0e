"""
The years of one station: kept ones from the store, the others fetched into it.

What is kept is read without touching the network or the modules that know it.
"""

from __future__ import annotations

from datetime import timedelta
from typing import TYPE_CHECKING

from msgspec import Struct, field
from msgspec.structs import replace

from suitability.errors import SourceError, StoreError
from suitability.weather.disk import NewerStoreError
from suitability.weather.joining import join_years
from suitability.weather.manifest import (
    YearEntry,
    YearStatus,
    is_due,
    say_entries,
    say_failures,
    say_years,
)
from suitability.weather.record import clip_record, hour_of_datetime
from suitability.weather.suspect_years import find_suspects, say_suspects
from suitability.weather.year_store import (
    confirm_year,
    keep_year,
    read_manifest,
    read_year,
    say_manifest_damage,
)

if TYPE_CHECKING:
    from collections.abc import Callable, Mapping
    from datetime import datetime
    from pathlib import Path

    from suitability.weather.record import Record, Station
    from suitability.weather.sources.meteostat import Addresses, YearOutcome
    from suitability.weather.sources.transport import Transport


class FetchRequest(Struct, frozen=True, kw_only=True):
    """
    What is wanted and with what means, for all steps of one command.

    Attributes
    ----------
    folder
        Of the store.
    first_year, last_year
        Calendar years in UTC, both included; those to come are left out.
    now
        UTC.
    transport
        Makes the means of asking when they are needed; None: offline, no socket is opened.
    addresses
        Reads the addresses of the service when they are needed.
    allow_missing
        Go on without years that failed.
    refresh
        Ask again for years that are kept.
    must_keep
        A store that cannot be written is an error; else the work goes on in memory.
    progress
        Told (years done, years in all, in words) as the work goes on.
    """

    folder: Path
    first_year: int
    last_year: int
    now: datetime
    transport: Callable[[], Transport] | None
    addresses: Callable[[], Addresses]
    allow_missing: bool = False
    refresh: bool = False
    must_keep: bool = False
    progress: Callable[[int, int, str], None] | None = None

    @property
    def years(self) -> range:
        """The asked years that have begun."""
        return range(self.first_year, min(self.last_year, self.now.year) + 1)


class StationYears(Struct, frozen=True, kw_only=True):
    """
    The asked years of a station.

    Attributes
    ----------
    entries
        What is known of each asked year, in order; a year that was never asked for has none.
    suspects
        Those of them that hold far fewer hours than the years around.
    records
        Observed hours of the years that have a file.
    notes
        What is to be told, one sentence each.
    """

    station: Station
    entries: tuple[YearEntry, ...]
    records: Mapping[int, Record]
    suspects: tuple[int, ...] = ()
    notes: tuple[str, ...] = ()

    @property
    def observed_hours(self) -> int:
        """Observed hours of all its years, h."""
        return sum(entry.counts.observed for entry in self.entries if entry.year in self.records)


class _Work(Struct, kw_only=True):
    """What has been gathered so far, by year; `others` are kept years that are not asked for."""

    listed: tuple[int, int] | None
    others: list[YearEntry] = field(default_factory=list)
    entries: dict[int, YearEntry] = field(default_factory=dict)
    records: dict[int, Record] = field(default_factory=dict)
    notes: list[str] = field(default_factory=list)
    keeps: bool = True

    def suspects(self) -> frozenset[int]:
        """Asked years that hold far fewer hours than the years around."""
        found = find_suspects([*self.others, *self.entries.values()], self.listed)
        return found & self.entries.keys()


def fetch_station_years(
    request: FetchRequest, station: Station, listed: tuple[int, int] | None = None
) -> StationYears:
    """
    The asked years of a station, from the store and, where due, from the service.

    Offline, what is kept is used and what is missing is told.

    Parameters
    ----------
    listed
        First and last year for which the list of stations names observed hours.

    Raises
    ------
    SourceError
        Years failed of which nothing is kept, and `allow_missing` is not set.
    StoreError
        The store cannot be read, or not be written although it must.
    """
    work = _read_kept(request, station, listed)
    suspects = work.suspects()
    clock = _say_clock(request, work)
    due = [
        year
        for year in request.years
        if request.refresh
        or (year not in work.records and _is_open(work, year, request))
        or is_due(work.entries.get(year), request.now, suspect=year in suspects)
    ]
    _tell(request, len(request.years) - len(due), f"{station.identifier}: {len(work.records)} kept")
    if due and request.transport is not None:
        _fetch_due(request, station, due, work, suspects)
    entries = tuple(work.entries[year] for year in sorted(work.entries))
    failed = [
        entry
        for entry in entries
        if entry.status is YearStatus.FAILED and entry.year not in work.records
    ]
    if failed and request.transport is not None and not request.allow_missing:
        raise SourceError(say_failures(station, failed))
    suspects = work.suspects()
    notes = [*work.notes, *clock, *say_suspects(station, suspects), *say_entries(entries)]
    if request.transport is None:
        notes += _say_offline(request, work)
    return StationYears(
        station=station,
        entries=entries,
        records=dict(sorted(work.records.items())),
        suspects=tuple(sorted(suspects)),
        notes=tuple(notes),
    )


def record_of_years(years: StationYears, notes: tuple[str, ...] = ()) -> Record:
    """The years of a station as one record; RecordError if it has none."""
    return join_years(list(years.records.values()), years.station, notes)


def _is_open(work: _Work, year: int, request: FetchRequest) -> bool:
    """Whether a year without a record still wants an answer: a damaged file, or never asked."""
    entry = work.entries.get(year)
    return entry is None or entry.is_kept or is_due(entry, request.now)


def _read_kept(request: FetchRequest, station: Station, listed: tuple[int, int] | None) -> _Work:
    """What the store has of the asked years; damaged files are set aside and told."""
    work = _Work(listed=listed)
    manifest = read_manifest(request.folder, station.identifier)
    if manifest is None:
        damage = say_manifest_damage(request.folder, station.identifier)
        work.notes += [f"{damage}: its years count as never fetched."] if damage else []
        return work
    for entry in manifest.years:
        if entry.year not in request.years:
            work.others.append(entry)
            continue
        work.entries[entry.year] = entry
        try:
            record = read_year(request.folder, station.identifier, entry.year, manifest=manifest)
        except NewerStoreError:
            raise
        except StoreError as reason:
            work.notes.append(str(reason))
            continue
        if record is not None:
            work.records[entry.year] = _past(record, request.now)
    return work


def _past(record: Record, now: datetime) -> Record:
    """The hours that have been; a clock that was ahead may have kept others."""
    stop = hour_of_datetime(now) + 1
    return record if record.stop_hour <= stop else clip_record(record, record.start_hour, stop)


def _fetch_due(
    request: FetchRequest, station: Station, due: list[int], work: _Work, suspects: frozenset[int]
) -> None:
    """Fetch years and keep each as it comes; adds to the work. Suspect ones are sent anew."""
    from suitability.weather.sources.meteostat import fetch_years  # noqa: PLC0415  (network)

    assert request.transport is not None
    done = len(request.years) - len(due)
    known = {year: entry for year, entry in work.entries.items() if year in work.records}
    for year in suspects & known.keys():
        known[year] = replace(known[year], etag="", last_modified="")

    def take(outcome: YearOutcome) -> None:
        nonlocal done
        done += 1
        if outcome.entry.year in suspects:
            times = work.entries[outcome.entry.year].asked_again + 1
            outcome = replace(outcome, entry=replace(outcome.entry, asked_again=times))
        _take(request, station, outcome, work)
        entry = outcome.entry
        _tell(request, done, f"{station.identifier}: {entry.year} {entry.status.value}")

    fetch_years(
        station,
        due,
        addresses=request.addresses(),
        transport=request.transport(),
        now=request.now,
        known=known,
        on_year=take,
    )


def _take(request: FetchRequest, station: Station, outcome: YearOutcome, work: _Work) -> None:
    """Keep one outcome in the store, and in the work."""
    year = outcome.entry.year
    entry: YearEntry | None = outcome.entry
    if work.keeps:
        try:
            entry = _keep(request, station, outcome)
        except StoreError as reason:
            if request.must_keep:
                raise
            work.keeps = False
            work.notes.append(f"What was fetched is not kept: {reason}")
    if entry is None:
        return
    failed = outcome.entry.status in {YearStatus.FAILED, YearStatus.ABSENT}
    if not work.keeps and failed and year in work.records:
        return  # the kept file stands, although this could not be noted beside it
    work.entries[year] = entry
    if outcome.observed is not None and not entry.failure:
        work.records[year] = outcome.observed


def _keep(request: FetchRequest, station: Station, outcome: YearOutcome) -> YearEntry | None:
    """Write one outcome; the entry as it now stands."""
    if outcome.unchanged:
        return confirm_year(request.folder, station.identifier, outcome.entry.year, request.now)
    return keep_year(request.folder, station, outcome.entry, outcome.observed, outcome.model)


def _say_clock(request: FetchRequest, work: _Work) -> tuple[str, ...]:
    """What is to be told where years were fetched at times that are still to come."""
    latest = max((entry.fetched for entry in work.entries.values()), default=request.now)
    if latest <= request.now + timedelta(days=1):
        return ()
    told = (
        f"Years of the store are dated {latest:%Y-%m-%d}, but this computer's clock says "
        f"{request.now:%Y-%m-%d}: it was wrong then or is now."
    )
    return (told,)


def _say_offline(request: FetchRequest, work: _Work) -> list[str]:
    """What is to be told when nothing could be asked."""
    if not work.records:
        return []
    kept = [work.entries[year] for year in work.records]
    oldest, newest = min(e.fetched for e in kept), max(e.fetched for e in kept)
    span = f"{oldest:%Y-%m-%d}"
    if newest.date() != oldest.date():
        span += f" to {newest:%Y-%m-%d}"
    sentences = [f"Offline: the record is as fetched on {span}."]
    answered = work.records.keys() | {
        year for year, entry in work.entries.items() if entry.status is YearStatus.ABSENT
    }
    missing = [year for year in request.years if year not in answered]
    if missing:
        sentences.append(f"Not in the store: {say_years(missing)}.")
    return sentences


def _tell(request: FetchRequest, done: int, words: str) -> None:
    """Tell how far the work has come."""
    if request.progress is not None:
        request.progress(done, len(request.years), words)
