"""
Checks of quality: hours that cannot be true become gaps, and everything found is counted.

The limits are published ones, used so that ordinary fronts and thunderstorms survive: a quick
change alone removes nothing. `docs/files.md` says in words what each flag means.
"""

from __future__ import annotations

import numpy as np
from msgspec.structs import replace
from numpy.typing import NDArray

from suitability.errors import RecordError
from suitability.steps import timed_step
from suitability.weather.record import FlagCount, FloatArray, Origin, Record
from suitability.weather.sources.readings import RANGE_PRCP_MM, RANGE_RHUM_PCT
from suitability.weather.sources.warmth import FEWEST_OF_MONTH

BoolArray = NDArray[np.bool_]
IntArray = NDArray[np.int64]

RANGE_C = 60.0  # either side of zero: no air temperature where plants are grown lies beyond
# Largest changes of air temperature, °C, over so many hours: WMO-No. 305 (1993), p. VI.21,
# as quoted in the manual of the R package dataresqc.
STEP_LIMITS_C = {1: 4.0, 2: 7.0, 3: 9.0, 6: 15.0, 12: 25.0}
# The same for the two neighbours of a spike, by their distance of 2 to 6 h, in whole limits.
BRIDGED_C = np.array([0.0, 0.0, 7.0, 9.0, 9.0, 9.0, 15.0, 0.0, 0.0])
SPIKE_STEPS = 2.0  # a spike leaves and returns by twice the change that is allowed
# Resolution °C: equal observations in a row, and days they may span, that are too many.
# HadISD streak check, Dunn et al. 2012, Clim. Past 8, 1649-1679, table 4.
STREAK_LIMITS = {1.0: (40, 14), 0.5: (30, 10), 0.1: (24, 7)}
FEWEST_IN_STREAK = 10  # of a streak that is long in days only (reasoned)
YEAR_HOURS = 8766
DAY_SHARE = 0.9  # of a day's readings, for the day to enter the mean daily cycle
FEWEST_DAYS = 30
LEAST_RANGE_C = 1.0
SOLAR_PEAK = (12.0, 17.0)  # h, solar time, within which days are warmest
SOLAR_SLACK = 4.0  # h
# Nearer the equator rains decide which months are warm; beyond, midsummer is the warmer one.
# Mild coasts of the trade winds have 3 K between the two (from memory).
SEASON_LATITUDE = 15.0  # degrees
WRONG_SEASON_C = 3.0  # by which the quarter of midwinter must be the warmer one to be refused


@timed_step("Checked the quality of a record")
def check_quality(record: Record) -> Record:
    """
    The record with impossible hours made gaps, and the number of hours of each flag.

    Flags, in the order of the checks; the first three remove the hours, the last leaves them:

    - `range`: beyond ±60 °C. Likewise `humidity range` and `rain range`, which leave temperature.
    - `spike`: one reading that leaves both its neighbours, up to 3 h away, in the same direction
      by at least twice the WMO step limit, while they agree within the limit for their distance.
    - `streak`: the same value for as many observations, or days, as HadISD takes for a stuck
      sensor; the limit depends on the resolution that the readings of that year have.
    - `step, kept`: a change beyond the WMO limit over 1, 2, 3, 6 or 12 h. Fronts and clear dry
      days do this, so nothing is removed.

    A record that was checked already is returned as it is, with the gaps filled since then. A
    record of one value repeated ends without any hour.
    """
    if record.checked:
        return record
    temp_c = record.temp_c
    beyond = np.abs(temp_c) > RANGE_C
    bad = _flag_spikes(np.where(beyond, np.nan, temp_c) if beyond.any() else temp_c)
    counts = {"range": int(np.count_nonzero(beyond)), "spike": bad.size}
    clean = temp_c
    if bad.size or counts["range"]:
        clean = np.where(beyond, np.nan, temp_c)
        clean[bad] = np.nan
    stuck = _flag_streaks(clean)
    counts["streak"] = int(np.count_nonzero(stuck)) if stuck is not None else 0
    if stuck is not None:
        clean = np.where(stuck, np.nan, clean)
    rhum_pct, counts["humidity range"] = _within(record.rhum_pct, RANGE_RHUM_PCT)
    prcp_mm, counts["rain range"] = _within(record.prcp_mm, RANGE_PRCP_MM)
    kept = FlagCount(name="step, kept", hours=_count_steps(clean), removed=False)
    origin, lowest_c = record.origin, record.lowest_c
    if clean is not temp_c:
        if lowest_c is not None:
            lowest_c = np.where(np.isnan(clean), np.nan, lowest_c)
        origin = np.where(np.isnan(clean), np.uint8(Origin.MISSING), origin)
    return replace(
        record,
        temp_c=clean,
        origin=origin,
        rhum_pct=rhum_pct,
        prcp_mm=prcp_mm,
        lowest_c=lowest_c,
        flags=_joined(record.flags, counts, kept),
        checked=True,
    )


def _joined(
    earlier: tuple[FlagCount, ...], counts: dict[str, int], kept: FlagCount
) -> tuple[FlagCount, ...]:
    """Earlier flags with the new counts: removed hours add up, kept ones are counted afresh."""
    before = {flag.name: flag for flag in earlier if flag.name != kept.name}
    for name, hours in counts.items():
        already = before[name].hours if name in before else 0
        before[name] = FlagCount(name=name, hours=already + hours, removed=True)
    return tuple(flag for flag in (*before.values(), kept) if flag.hours)


def _within(
    values: FloatArray | None, bounds: tuple[float, float]
) -> tuple[FloatArray | None, int]:
    """A column with what lies outside its bounds made nan, and how many those were."""
    if values is None:
        return None, 0
    outside = (values < bounds[0]) | (values > bounds[1])
    count = int(np.count_nonzero(outside))
    return (np.where(outside, np.nan, values), count) if count else (values, 0)


def _flag_spikes(temp_c: FloatArray) -> IntArray:
    """Positions of single readings that leave both neighbours and come back."""
    least = SPIKE_STEPS * STEP_LIMITS_C[1]
    steep = np.abs(temp_c[1:] - temp_c[:-1]) >= least
    if not steep.any() and not np.isnan(temp_c).any():
        return np.empty(0, np.int64)
    hours = np.flatnonzero(~np.isnan(temp_c))
    values = temp_c[hours]
    change = np.diff(values)
    middles = 1 + np.flatnonzero(
        (np.abs(change[:-1]) >= least)
        & (np.abs(change[1:]) >= least)
        & (change[:-1] * change[1:] < 0)
    )
    if not middles.size:
        return middles
    allowed = np.array([np.inf, *(STEP_LIMITS_C[gap] for gap in (1, 2, 3)), np.inf])
    before = np.minimum(hours[middles] - hours[middles - 1], 4)
    after = np.minimum(hours[middles + 1] - hours[middles], 4)
    leaves = np.abs(change[middles - 1]) >= SPIKE_STEPS * allowed[before]
    returns = np.abs(change[middles]) >= SPIKE_STEPS * allowed[after]
    apart = np.abs(values[middles + 1] - values[middles - 1])
    agree = apart <= BRIDGED_C[before + after]
    spikes: IntArray = hours[middles[leaves & returns & agree]]
    return spikes


def _flag_streaks(temp_c: FloatArray) -> BoolArray | None:
    """Hours in too long a run of equal values, (hour); None if there are none."""
    present = ~np.isnan(temp_c)
    whole = bool(present.all())
    values = temp_c if whole else temp_c[present]
    starts = np.flatnonzero(np.concatenate(([True], values[1:] != values[:-1])))
    counts = np.diff(starts, append=values.size)
    long_ones = counts >= FEWEST_IN_STREAK
    if not values.size or not long_ones.any():
        return None
    firsts, counts = starts[long_ones], counts[long_ones]
    hours = np.arange(values.size) if whole else np.flatnonzero(present)
    flagged = np.zeros(temp_c.size, np.bool_)
    resolutions: dict[int, float] = {}
    for first, count in zip(firsts.tolist(), counts.tolist(), strict=True):
        days = (hours[first + count - 1] - hours[first]) / 24
        if count < STREAK_LIMITS[0.1][0] and days < STREAK_LIMITS[0.1][1]:
            continue
        block = int(hours[first]) // YEAR_HOURS
        if block not in resolutions:
            year = temp_c[block * YEAR_HOURS : (block + 1) * YEAR_HOURS]
            resolutions[block] = _resolution(year[~np.isnan(year)])
        most, most_days = STREAK_LIMITS[resolutions[block]]
        if count >= most or days >= most_days:
            flagged[hours[first : first + count]] = True
    return flagged if flagged.any() else None


def _resolution(values: FloatArray) -> float:
    """
    What the readings are rounded to: 1, 0.5 (or whole °F) or 0.1 °C.

    Whole degrees where 19 of 20 readings are; 0.5 where the values in use stand so far apart.
    """
    tenths = np.rint(values * 10).astype(np.int64)
    if np.count_nonzero(tenths % 10 == 0) >= 0.95 * tenths.size:
        return 1.0
    used = np.flatnonzero(np.bincount(tenths - tenths.min()))
    return 0.5 if used.size > 1 and np.median(np.diff(used)) >= 5 else 0.1


def _count_steps(temp_c: FloatArray) -> int:
    """Hours whose change since 1, 2, 3, 6 or 12 h before goes beyond the WMO limit."""
    steep = np.zeros(temp_c.size, np.bool_)
    change = np.empty(temp_c.size)
    for hours, limit in STEP_LIMITS_C.items():
        if temp_c.size > hours:
            since = np.subtract(temp_c[hours:], temp_c[:-hours], out=change[hours:])
            steep[hours:] |= np.abs(since, out=since) > limit
    return int(np.count_nonzero(steep))


def check_solar_time(record: Record, longitude: float) -> None:
    """
    Refuse a record whose days are warmest when the sun says they cannot be.

    The mean daily cycle is taken from days with at least nine tenths of their readings. If it
    peaks more than 4 h outside 12 to 17 h solar time (UTC + longitude / 15), the times are
    probably clock time passed as UTC. Nothing is checked with fewer than 30 such days, or where
    the mean cycle ranges over less than 1 °C.

    Raises
    ------
    RecordError
        The peak lies there; the message names the offset that would put it right.
    """
    cycle = _mean_daily_cycle(record)
    if cycle is None or np.nanmax(cycle) - np.nanmin(cycle) < LEAST_RANGE_C:
        return
    peak = int(np.nanargmax(cycle))
    solar = (peak + longitude / 15) % 24
    if SOLAR_PEAK[0] - SOLAR_SLACK <= solar <= SOLAR_PEAK[1] + SOLAR_SLACK:
        return
    offset = round(longitude / 15)  # by the sun; the zone's own may differ by an hour
    raise RecordError(
        f"days are warmest at {peak:02d}:00 UTC, which is about {solar:.0f} h by the sun at "
        f"longitude {longitude:g}, so the times are probably not UTC. If they are local, add their "
        f"offset, about {offset:+03d}:00 there, to each (2024-01-31 18:00{offset:+03d}:00); if "
        "they are UTC, check the longitude."
    )


def _mean_daily_cycle(record: Record) -> FloatArray | None:
    """Mean departure from the day's mean by hour of the UTC day, (24), °C; None if unknown."""
    before = record.start_hour % 24
    days = -(-(before + record.temp_c.size) // 24)
    padded = np.full(days * 24, np.nan)
    padded[before : before + record.temp_c.size] = record.temp_c
    by_day = padded.reshape(days, 24)
    present = ~np.isnan(by_day)
    full = present.sum(axis=1) >= DAY_SHARE * (24 // record.step_hours)
    if np.count_nonzero(full) < FEWEST_DAYS:
        return None
    by_day, present = by_day[full], present[full]
    by_day = np.where(present, by_day, 0.0)
    departure = np.where(present, by_day - (by_day.sum(1) / present.sum(1))[:, None], 0.0)
    counts = present.sum(axis=0)
    return np.where(
        counts >= counts.max() / 2, departure.sum(axis=0) / np.maximum(counts, 1), np.nan
    )


def check_season(record: Record, latitude: float) -> None:
    """
    Refuse a record that is warm in the winter of its latitude.

    The means of June to August and of December to February are compared, in UTC months of at least
    100 readings. Nothing is checked within 15 degrees of the equator, or where a month is missing.

    Raises
    ------
    RecordError
        The three months of winter are the warmer ones by 3 K: the sign of the latitude is wrong.
    """
    if abs(latitude) < SEASON_LATITUDE:
        return
    known = np.flatnonzero(~np.isnan(record.temp_c))
    months = (record.start_hour + known).astype("datetime64[h]").astype("datetime64[M]")
    month = months.astype(np.int64) % 12
    counts = np.bincount(month, minlength=12)
    june, january = [5, 6, 7], [11, 0, 1]
    if counts[june + january].min() < FEWEST_OF_MONTH:
        return
    means_c = np.bincount(month, record.temp_c[known], minlength=12) / np.maximum(counts, 1)
    warmer_c = float(means_c[june].mean() - means_c[january].mean())
    if warmer_c * np.sign(latitude) > -WRONG_SEASON_C:
        return
    found, right = (
        ("June to August", "north") if warmer_c > 0 else ("December to February", "south")
    )
    raise RecordError(
        f"{found} are its warm months, by {abs(warmer_c):.0f} °C, so it lies in the {right}, where "
        f"latitude {latitude:g} does not: check its sign (south of the equator has a minus)."
    )
