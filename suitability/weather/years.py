"""What a year's entry in the store means: when to ask again, and what to tell of it."""

from __future__ import annotations

from datetime import timedelta
from itertools import groupby
from typing import TYPE_CHECKING

from suitability.weather.manifest import YearEntry, YearStatus

if TYPE_CHECKING:
    from collections.abc import Iterable, Sequence
    from datetime import datetime

    from suitability.weather.record import Station

__all__ = ["is_due", "say_entries", "say_failures", "say_years"]

DAY = timedelta(days=1)


def is_due(entry: YearEntry | None, now: datetime) -> bool:
    """
    Whether a year should be asked for again.

    Failures: always. The running year: after a day; the one before: after a week, since records
    are corrected for months; older ones: after half a year. Confirmed absences: after 30 days.
    """
    if entry is None or entry.status is YearStatus.FAILED or entry.failed_at is not None:
        return True
    running = entry.year >= now.year or entry.status is YearStatus.PARTIAL
    if running:
        patience = DAY
    elif entry.status is YearStatus.ABSENT:
        patience = 30 * DAY
    else:
        patience = 7 * DAY if entry.year == now.year - 1 else 182 * DAY
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
