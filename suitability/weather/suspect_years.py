"""
Years of a station that hold far fewer hours than the years around them.

A service may serve an empty file, half of one or a thin one that is otherwise sound, and nothing in
it tells that. The years around tell: such a year is named, and asked for again before its time.
"""

from __future__ import annotations

from collections.abc import Collection, Iterable

from suitability.weather.manifest import YearEntry, YearStatus, say_years
from suitability.weather.record import Station

NEAREST = 5  # years on either side that are looked at
LEAST_SHARE = 2 / 3  # of what the best of them holds; reasoned, no source
FAR_FEWER = "far fewer hours than the years around"


def find_suspects(
    entries: Iterable[YearEntry], listed: tuple[int, int] | None = None
) -> frozenset[int]:
    """
    The years that hold far fewer observed hours than those around them.

    A year is held against the best of up to five kept years before it and of up to five after, the
    lower of the two, so that a station that began to report more often is not suspect for the years
    before. A year of which the service has no file is suspect between years that have one.
    Years that still run, or failed, are not judged: they are asked for again anyway. Hours of the
    running year tell that a station has not ended.

    Parameters
    ----------
    entries
        All that is known of the station.
    listed
        First and last year for which the list of stations names observed hours: where no year has
        any, those are suspect.
    """
    known = sorted(entries, key=lambda entry: entry.year)
    over = [entry for entry in known if entry.over and entry.status is not YearStatus.FAILED]
    last_heard = max((entry.year for entry in known if entry.counts.observed), default=0)
    shares = {
        entry.year: entry.counts.observed / max(1, entry.counts.expected)
        for entry in over
        if entry.is_kept
    }
    if not any(shares.values()):
        first, last = listed or (1, 0)
        return frozenset(entry.year for entry in over if first <= entry.year <= last)
    return frozenset(entry.year for entry in over if _is_suspect(entry, shares, last_heard))


def _is_suspect(entry: YearEntry, shares: dict[int, float], last_heard: int) -> bool:
    """Whether a year holds far fewer hours than those around it."""
    before = [shares[year] for year in shares if year < entry.year][-NEAREST:]
    after = [shares[year] for year in shares if year > entry.year][:NEAREST]
    if not entry.is_kept and not (before and entry.year < last_heard):
        return False  # the station began later, or has ended
    around = min((max(side) for side in (before, after) if side), default=0.0)
    return shares.get(entry.year, 0.0) < LEAST_SHARE * around


def say_suspects(station: Station, years: Collection[int]) -> tuple[str, ...]:
    """What is to be told of suspect years, in a sentence; nothing if there are none."""
    if not years:
        return ()
    span = f"{min(years)}-{max(years)}" if len(years) > 1 else f"{min(years)}"
    told = (
        f"{say_years(years)}: {FAR_FEWER}, so perhaps a poor file of the service; it is asked for "
        f"again in growing pauses, or at once with `suitability weather fetch --station "
        f"{station.identifier} --years {span} --refresh`."
    )
    return (told,)
