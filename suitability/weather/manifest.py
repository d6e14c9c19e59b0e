"""
What the local store knows of each year of a station: its status, its counts, where it came from.

A year ends in one of four states, which are never mixed up: a failure is not an absence, and an
absence is not a failure.
"""

from __future__ import annotations

from datetime import UTC, datetime
from enum import StrEnum
from typing import Any

from msgspec import Struct, field, to_builtins
from msgspec.structs import asdict

from suitability.weather.record import Station
from suitability.weather.store import KeptFile

__all__ = [
    "StationManifest",
    "YearCounts",
    "YearEntry",
    "YearStatus",
    "manifest_from_json",
    "manifest_to_json",
    "parse_instant",
    "show_instant",
]

FORM = 1  # of the manifest; raised when older programs could misread it


class YearStatus(StrEnum):
    """How the last successful question about a year of a station ended."""

    COMPLETE = "complete"
    PARTIAL = "partial"
    ABSENT = "absent-confirmed"
    FAILED = "failed"


class YearCounts(Struct, frozen=True, kw_only=True):
    """
    Hours of temperature in a year's file, by what became of them.

    Attributes
    ----------
    expected : h
        Hours of the year, or of the running year up to the time of fetching.
    observed : h
        Hours kept as observed.
    model, forecast : h
        Hours of model data, past and future when fetched: kept apart.
    unknown : h
        Hours whose source is blank or not listed: left out.
    doubled, contradictory : h
        Hours given twice with equal values (one kept) and with differing ones (none kept).
    out_of_range : h
        Values outside the plausible range: left out.
    future : h
        Hours called observed that lay ahead when they were fetched: left out.
    sources
        Source of each hour before anything was left out, with its hours; "" is a blank.
    """

    expected: int = 0
    observed: int = 0
    model: int = 0
    forecast: int = 0
    unknown: int = 0
    doubled: int = 0
    contradictory: int = 0
    out_of_range: int = 0
    future: int = 0
    sources: tuple[tuple[str, int], ...] = ()

    @property
    def missing(self) -> int:
        """Hours without an observation, h."""
        return self.expected - self.observed


class YearEntry(Struct, frozen=True, kw_only=True):
    """
    What is known of one year of a station.

    Attributes
    ----------
    year
        Calendar year, UTC.
    status, reason
        The reason stands with `failed` and with `absent-confirmed`.
    fetched
        When the kept answer came, UTC.
    address
        Where it came from.
    counts, last_observed_hour
        Hours of the file; the last is in hours from 1970-01-01 00:00 UTC.
    month_medians_c : (12), °C
        Median of each month with 100 observed hours or more, else None; by them a file in another
        unit or of another station is recognised.
    observed, model
        The kept files; None where there is nothing to keep.
    etag, last_modified
        As the server gave them, to ask only for what has changed.
    failure, failed_at
        The last attempt to renew a kept year, if it failed; the kept file stands.
    """

    year: int
    status: YearStatus
    fetched: datetime
    address: str = ""
    reason: str = ""
    counts: YearCounts = field(default_factory=YearCounts)
    last_observed_hour: int | None = None
    month_medians_c: tuple[float | None, ...] = ()
    observed: KeptFile | None = None
    model: KeptFile | None = None
    etag: str = ""
    last_modified: str = ""
    failure: str = ""
    failed_at: datetime | None = None

    @property
    def is_kept(self) -> bool:
        """Whether a file of observed hours stands behind the entry."""
        return self.observed is not None


class StationManifest(Struct, frozen=True, kw_only=True):
    """A station of the store and its years, the earliest first."""

    station: Station
    years: tuple[YearEntry, ...] = ()

    def entry(self, year: int) -> YearEntry | None:
        """What is known of a year, or None."""
        return next((entry for entry in self.years if entry.year == year), None)

    def with_entry(self, entry: YearEntry) -> StationManifest:
        """The manifest with one year told anew."""
        others = [kept for kept in self.years if kept.year != entry.year]
        years = tuple(sorted([*others, entry], key=lambda kept: kept.year))
        return StationManifest(station=self.station, years=years)


def show_instant(instant: datetime) -> str:
    """
    A time as text of the manifest, UTC to the second.

    Examples
    --------
    >>> show_instant(datetime(2026, 1, 2, 3, 4, 5, tzinfo=UTC))
    '2026-01-02T03:04:05Z'
    """
    return f"{instant.astimezone(UTC):%Y-%m-%dT%H:%M:%SZ}"


def parse_instant(text: str) -> datetime:
    """The time in a text of the manifest, UTC; ValueError if it is none."""
    return datetime.strptime(text, "%Y-%m-%dT%H:%M:%SZ").replace(tzinfo=UTC)


def manifest_to_json(manifest: StationManifest) -> dict[str, Any]:
    """The manifest as plain values for JSON."""
    station = asdict(manifest.station)
    del station["distance_km"], station["height_difference_m"]  # belong to a question, not to it
    years = []
    for entry in manifest.years:
        plain = to_builtins(entry)
        plain["status"] = entry.status.value
        plain["fetched"] = show_instant(entry.fetched)
        plain["failed_at"] = None if entry.failed_at is None else show_instant(entry.failed_at)
        plain["counts"]["sources"] = dict(entry.counts.sources)
        years.append(plain)
    return {"form": FORM, "station": station, "years": years}


def manifest_from_json(plain: Any) -> StationManifest:
    """
    The manifest in plain values of JSON.

    Raises
    ------
    ValueError, KeyError, TypeError
        The values are not those of a manifest of this form.
    """
    if plain["form"] != FORM:
        raise ValueError(f"form {plain['form']} of the manifest; this program knows {FORM}")
    station = Station(**plain["station"])
    return StationManifest(station=station, years=tuple(_entry(year) for year in plain["years"]))


def _entry(plain: dict[str, Any]) -> YearEntry:
    """One year of the manifest; entries that a later program added are ignored."""
    known = YearEntry.__struct_fields__
    values = {name: value for name, value in plain.items() if name in known}
    counts = dict(values["counts"])
    counts["sources"] = tuple((str(name), int(n)) for name, n in counts["sources"].items())
    values["counts"] = YearCounts(**counts)
    values["year"] = int(values["year"])
    values["status"] = YearStatus(values["status"])
    values["fetched"] = parse_instant(values["fetched"])
    failed_at = values.get("failed_at")
    values["failed_at"] = None if failed_at is None else parse_instant(failed_at)
    values["month_medians_c"] = tuple(values.get("month_medians_c", ()))
    for name in ("observed", "model"):
        kept = values.get(name)
        values[name] = None if kept is None else KeptFile(**kept)
    return YearEntry(**values)
