"""
What hourly readings miss of a day's minimum, measured against daily minima of the same station.

Sources cut their days differently (midnight local or UTC, a morning reading, 06 UTC), and rarely
say how. A day that does not match would pass warm mornings for missed minima. So every full hour
is tried as the beginning of the day, the one with the least scatter is taken and named, and it must
not break what is true of any match: no hourly reading is colder than the day's minimum.
"""

from __future__ import annotations

from collections.abc import Mapping

import numpy as np
from msgspec import Struct
from numpy.typing import NDArray

from suitability.weather.manifest import Instant, YearStatus
from suitability.weather.record import FloatArray, Record
from suitability.weather.sources.providers import Provider

EARLIEST_START, LATEST_START = -18, 13  # h UTC from 00:00 of the date, the last not included
DAYS_FOR_START = 1500  # the latest days decide where the day begins
ALIKE, ALIKE_C = 1.05, 0.005  # factor and °C within which two scatters are the same
FEWEST_DAYS = 30  # fewer cannot tell where the day begins
FEWEST_FOR_ALLOWANCE = 365
COLDER_C = 1.0  # °C; readings in whole degrees may lie half a degree below a minimum in tenths
MOST_COLDER = 0.05  # of the days may have a reading that much colder than their minimum
LARGEST_MEAN_C = 4.0  # °C; more is another station or unit, not a miss


class DailyYear(Struct, frozen=True, kw_only=True):
    """
    The daily minima of a station in one year, or why there are none.

    Attributes
    ----------
    status, reason, fetched, over, address, etag, last_modified
        As in `YearEntry`.
    tenths
        By provider: tenths of a degree of each day of the year, None where it has none.
    providers
        Who they are; none where a program that did not keep it fetched them.
    """

    year: int
    status: YearStatus
    fetched: Instant
    over: bool = True
    address: str = ""
    reason: str = ""
    etag: str = ""
    last_modified: str = ""
    tenths: Mapping[str, tuple[int | None, ...]]
    providers: tuple[Provider, ...] = ()


class DailyMinima(Struct, frozen=True, kw_only=True):
    """
    Daily minima of one provider: °C by day, nan where there is none.

    `first_day` is counted in days from 1970-01-01, of the date as the provider writes it.
    """

    first_day: int
    minimum_c: FloatArray
    provider: Provider | None = None


class MinimumMiss(Struct, frozen=True, kw_only=True):
    """
    How far the lowest hourly reading of a day lies above the day's minimum.

    Attributes
    ----------
    days
        Days compared: with a minimum and all usual readings.
    mean_c, low_c, high_c : K
        Mean, and the bounds within which nine of ten days lie (5 and 95 %).
    starts
        For each provider used, its identifier and the hour (UTC) at which its day was taken to
        begin, from 00:00 of its date; negative: the day before.
    unmatched
        Providers whose days agreed with the readings in no way.
    names
        Of the providers, by identifier.
    """

    days: int
    mean_c: float
    low_c: float
    high_c: float
    starts: tuple[tuple[str, int], ...]
    unmatched: tuple[str, ...] = ()
    names: Mapping[str, str] = {}

    @property
    def allowance_c(self) -> float | None:
        """What to lower hourly minima by, K; None where less than a year was compared."""
        return max(0.0, round(self.mean_c, 1)) if self.days >= FEWEST_FOR_ALLOWANCE else None


def compare_minima(record: Record, minima: Mapping[str, DailyMinima]) -> MinimumMiss | None:
    """
    The miss of a record's readings, or None where nothing could be compared.

    Only days with all their usual readings, observed, are compared. Each provider's day is matched
    by itself.

    Parameters
    ----------
    minima
        By provider.
    """
    differences, starts, unmatched = [], [], []
    for name, daily in sorted(minima.items()):
        found = _match(record, daily)
        if found is None:
            continue
        start, difference = found
        colder = float((difference < -COLDER_C).mean())
        if colder > MOST_COLDER or abs(float(difference.mean())) > LARGEST_MEAN_C:
            unmatched.append(name)
            continue
        starts.append((name, start))
        differences.append(difference)
    if not differences:
        if not unmatched:
            return None
        differences = [np.full(0, np.nan)]
    every = np.concatenate(differences)
    low, high = (
        np.quantile(every, [0.05, 0.95], method="median_unbiased") if every.size else (0.0, 0.0)
    )
    return MinimumMiss(
        days=every.size,
        mean_c=float(every.mean()) if every.size else 0.0,
        low_c=float(low),
        high_c=float(high),
        starts=tuple(starts),
        unmatched=tuple(unmatched),
        names={name: one.provider.name for name, one in minima.items() if one.provider},
    )


def _match(record: Record, daily: DailyMinima) -> tuple[int, FloatArray] | None:
    """Where the day begins (h) and lowest reading minus minimum of each day, °C, (day)."""
    latest = np.flatnonzero(~np.isnan(daily.minimum_c))[-DAYS_FOR_START:]
    if latest.size < FEWEST_DAYS:
        return None
    part = DailyMinima(
        first_day=daily.first_day + int(latest[0]), minimum_c=daily.minimum_c[latest[0] :]
    )
    scatter: dict[int, float] = {}
    for start in range(EARLIEST_START, LATEST_START):
        difference = _differences(record, part, start)
        if difference.size >= FEWEST_DAYS:
            scatter[start] = float(np.abs(difference - np.median(difference)).mean())
    if not scatter:
        return None
    least = min(scatter.values())
    alike = [start for start, found in scatter.items() if found <= ALIKE * least + ALIKE_C]
    best = min(alike, key=abs)  # cuts far from dawn give the same days: the plainest is named
    return best, _differences(record, daily, best)


def _differences(record: Record, daily: DailyMinima, start: int) -> FloatArray:
    """Lowest reading minus minimum of the days that have all their readings, °C, (day)."""
    begin = daily.first_day * 24 + start
    stop = begin + daily.minimum_c.size * 24
    hours = record.counted_between(begin, stop).reshape(-1, 24)
    readings: NDArray[np.int64] = (~np.isnan(hours)).sum(axis=1)
    whole = (readings >= 24 // max(1, record.step_hours)) & ~np.isnan(daily.minimum_c)
    lowest: FloatArray = np.fmin.reduce(hours[whole], axis=1)
    difference: FloatArray = lowest - daily.minimum_c[whole]
    return difference


def lost_minima(
    record: Record, minima: Mapping[str, DailyMinima], miss: MinimumMiss
) -> FloatArray | None:
    """
    Of missing hours, the minimum of their day if one of them had it, (hour), °C; nan elsewhere.

    One had it if no reading of the day came nearer than hourly readings miss, and a kelvin more.

    Parameters
    ----------
    minima, miss
        From `series_of` and `compare_minima`.

    Returns
    -------
    None where nothing is told so.
    """
    told: FloatArray = np.full(record.temp_c.size, np.nan)
    for name, start in miss.starts:
        daily = minima[name]
        begin = daily.first_day * 24 + start
        hours = record.counted_between(begin, begin + daily.minimum_c.size * 24).reshape(-1, 24)
        lowest = np.fmin.reduce(hours, axis=1)
        in_gap = ~(lowest <= daily.minimum_c + miss.high_c + COLDER_C)  # all missing: nan
        by_hour = np.where(np.isnan(hours) & in_gap[:, None], daily.minimum_c[:, None], np.nan)
        first = max(begin, record.start_hour)
        last = min(begin + by_hour.size, record.stop_hour)
        if first < last:
            part = slice(first - record.start_hour, last - record.start_hour)
            told[part] = np.fmin(told[part], by_hour.reshape(-1)[first - begin : last - begin])
    return None if np.isnan(told).all() else told


def say_miss(miss: MinimumMiss) -> str:
    """What is to be told, in a sentence."""
    names = ", ".join(miss.names.get(name, name) for name in miss.unmatched)
    if not miss.days:
        return f"Daily minima ({names}) agree with the hourly readings by no day: not used."
    days = "; ".join(f"{miss.names.get(name, name)}: {_day(start)}" for name, start in miss.starts)
    words = (
        f"Hourly readings miss {miss.mean_c:.1f} °C of the day's minimum on the mean, 5 to 95 %: "
        f"{miss.low_c:.1f} to {miss.high_c:.1f} °C ({miss.days} days compared; {days}, which "
        "agrees best)"
    )
    if names:
        words += f"; {names} agrees by no day and is not used"
    return f"{words}."


def _day(start: int) -> str:
    """The day that begins at an hour (UTC) from 00:00 of its date."""
    if start < 0:
        return f"day from {start + 24:02d}:00 UTC of the eve"
    return f"day from {start:02d}:00 UTC"
