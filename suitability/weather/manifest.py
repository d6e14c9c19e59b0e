"""What the local store knows of each year of a station, and when to ask for a year again.

A year ends in one of four states, which are never mixed up: a failure is not an absence, and an
absence is not a failure.
"""

from __future__ import annotations

from collections.abc import Iterable, Sequence
from datetime import UTC, datetime, timedelta
from enum import StrEnum
from itertools import groupby
from typing import Annotated, Any

from msgspec import Meta, Struct, convert, field, to_builtins
from msgspec.structs import asdict

from suitability.weather.disk import FORM
from suitability.weather.record import Station
from suitability.weather.store import KeptFile

Instant = Annotated[datetime, Meta(tz=True)]


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
    over
        Whether the year was over then, by the clock of then. Entries of programs that did not tell
        this are read as the time of fetching says.
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
    asked_again
        How often the year was asked for again, since it holds far fewer hours than others, and came
        as it was.
    """

    year: int
    status: YearStatus
    fetched: Instant
    over: bool = True
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
    failed_at: Instant | None = None
    asked_again: int = 0

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


def manifest_to_json(manifest: StationManifest, before: Any = None) -> dict[str, Any]:
    """
    The manifest as plain values for JSON.

    Parameters
    ----------
    before
        Plain values of the manifest that it replaces: fields that a later program has written in
        them, and that this one does not know, are kept.
    """
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
    if before is None:
        return {"form": FORM, "station": station, "years": years}
    known = {year["year"]: year for year in before["years"]}
    years = [_with_unknown(known.get(year["year"], {}), year) for year in years]
    return {**before, "form": FORM, "station": before["station"] | station, "years": years}


def _with_unknown(before: dict[str, Any], year: dict[str, Any]) -> dict[str, Any]:
    """A year beside what is not known of it; what belonged to a replaced file goes with it."""
    together = before | year
    for name in ("counts", "observed", "model"):
        old, new = before.get(name), year[name]
        if old and new and old | new == old:
            together[name] = old
    return together


def manifest_from_json(plain: Any) -> StationManifest:
    """
    The manifest in plain values of JSON; fields that a later program added are passed over.

    Raises
    ------
    ValueError, KeyError, TypeError, AttributeError
        The values are not those of a manifest.
    """
    years = []
    for year in plain["years"]:
        counts = year["counts"] | {"sources": list(year["counts"]["sources"].items())}
        over = parse_instant(year["fetched"]).year > year["year"]
        years.append({"over": over, **year, "counts": counts})
    return convert({"station": plain["station"], "years": years}, StationManifest)


DAY = timedelta(days=1)


def is_due(entry: YearEntry | None, now: datetime, *, suspect: bool = False) -> bool:
    """
    Whether a year should be asked for again.

    Failures: always, and what was fetched in the future, since a clock was wrong. A year that runs,
    or ran when it was fetched: after a day; the one before: after a week, since records are
    corrected for months; older ones: after half a year. Confirmed absences: after 30 days. Years
    that are suspect of being poor files: after one day, then two, four, and so on to 30.
    """
    if entry is None or entry.status is YearStatus.FAILED or entry.failed_at is not None:
        return True
    if entry.fetched > now:
        return True
    if entry.year >= now.year or not entry.over or entry.status is YearStatus.PARTIAL:
        patience = DAY
    elif entry.status is YearStatus.ABSENT:
        patience = 30 * DAY
    else:
        patience = 7 * DAY if entry.year == now.year - 1 else 182 * DAY
    if suspect:
        patience = min(patience, DAY * min(30, 2 ** min(entry.asked_again, 5)))
    return now - entry.fetched >= patience


def say_failures(station: Station, failed: Sequence[YearEntry]) -> str:
    """One sentence that names the failed years, why, and what to do."""
    reasons: dict[str, list[str]] = {}
    for entry in failed:
        reasons.setdefault(entry.reason, []).append(str(entry.year))
    told = "; ".join(f"{', '.join(years)}: {reason}" for reason, years in reasons.items())
    return (
        f"Station {station.identifier} ({station.name}): {len(failed)} of the years could not be "
        f"fetched ({told}); run this again later, or go on without them with --allow-missing."
    )


def say_years(years: Iterable[int]) -> str:
    """
    Years in words, runs of them shortened.

    Examples
    --------
    >>> say_years([1996, 1997, 1998, 2001])
    '1996-1998, 2001'
    """
    ordered = sorted(set(years))
    runs = []
    for _, run in groupby(enumerate(ordered), key=lambda pair: pair[1] - pair[0]):
        members = [year for _, year in run]
        runs.append(f"{members[0]}-{members[-1]}" if len(members) > 1 else str(members[0]))
    return ", ".join(runs)


def say_entries(entries: Sequence[YearEntry]) -> tuple[str, ...]:
    """What is to be told of a station's years, one sentence each; nothing if all is well."""
    sentences = []
    kept = [entry for entry in entries if entry.is_kept]
    absent = [entry.year for entry in entries if entry.status is YearStatus.ABSENT]
    if absent:
        sentences.append(f"The service has no hours of {say_years(absent)}.")
    failed = [entry for entry in entries if entry.status is YearStatus.FAILED]
    for reason in sorted({entry.reason for entry in failed}):
        years = say_years(entry.year for entry in failed if entry.reason == reason)
        sentences.append(f"Left out, since they could not be fetched: {years} ({reason}).")
    stale = [entry for entry in kept if entry.failure]
    for reason in sorted({entry.failure for entry in stale}):
        same = [entry for entry in stale if entry.failure == reason]
        years = say_years(entry.year for entry in same)
        oldest = min(entry.fetched for entry in same)
        sentences.append(f"Kept as fetched on {oldest:%Y-%m-%d}: {years} ({reason}).")
    return (*sentences, *_say_left_out(kept))


def _say_left_out(kept: Sequence[YearEntry]) -> list[str]:
    """What was left out of the kept years, in words."""
    hours = {
        "of weather models were left out": sum(e.counts.model for e in kept),
        "from an unknown or unnamed source were left out": sum(e.counts.unknown for e in kept),
        "outside any possible temperature were left out": sum(e.counts.out_of_range for e in kept),
        "given twice with different values were left out": sum(
            e.counts.contradictory for e in kept
        ),
    }
    return [f"{n} hours {what}." for what, n in hours.items() if n]
