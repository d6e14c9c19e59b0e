"""
Makes the invented record of the demo place that the program carries, from a seed.

Usage: `python tests/data/make_demo.py`; a test holds the file to what this makes. It uses only raw
64-bit numbers of PCG64 (whose stream is fixed) and the four operations of arithmetic, so that every
computer and every version of numpy gives the same tenths.

The weather is that of a mild-winter coast: a yearly and a daily wave, daily departures that persist
(an autoregressive process), outbreaks of cold in winter and of heat from spring to autumn, wet
spells that are commoner in winter and flatten the day, and a few gaps as a real station has them.
"""

from __future__ import annotations

from datetime import UTC, datetime

import numpy as np
from msgspec import Struct
from numpy.typing import NDArray

from suitability.weather.record import Origin, Record, hour_of_datetime
from suitability.weather.sources.demo import DEMO_FILE, OFFSET_HOURS
from suitability.weather.stored import encode_record

FloatArray = NDArray[np.float64]
IntArray = NDArray[np.int64]
BoolArray = NDArray[np.bool_]

DEMO_SEED = 20130772
FIRST_YEAR, LAST_YEAR = 2013, 2024

# All of the following is invented. It was chosen to teach: warm nights let the hard-canes grow in
# summer, cool ones give the soft-canes their winter rest, some nights freeze, and heat shuts out
# the cool-growing groups.
YEAR_MEAN_C, YEAR_SWING_C, WARMEST_DAY = 17.5, 5.9, 217
DAY_SWING_C, WET_DAY_SWING_C, WARMEST_HOUR = 5.4, 2.7, 14.0
MEMORY, DEPARTURE_C = 0.7, 0.6  # of daily departures: share kept overnight, fresh part
YEARLY_C = 0.4  # how warm or cold whole years are
OUTBREAK_SHARE, OUTBREAK_DAYS = 0.012, 6  # of the days on which one may begin; how long it lasts
COLD_FROM, HEAT_UP_TO = 0.85, 0.65  # how deep in winter (0 to 1) a day is on which one may begin
COLD_C, HEAT_C = (1.5, 6.5), (3.5, 7.5)  # weakest and strongest outbreaks
RAIN_STAYS, RAIN_STARTS_WINTER, RAIN_STARTS_SUMMER = 0.35, 0.09, 0.015
SHORT_GAPS, LONG_GAP_HOURS = 90, 9 * 24

SOURCE = "Invented by this program's generator for demonstration; not a measurement of any place."
LICENCE = "BSD-3-Clause, as this program"
ATTRIBUTION = "Invented demo record of the suitability authors"
NOTE = "This record is invented: it shows how the program works and says nothing of a real place."


class _Dates(Struct, frozen=True, kw_only=True):
    """Calendar of the record: day of the year (1 January is 0) and running year, each (day)."""

    of_year: IntArray
    year: IntArray


def generate_demo(seed: int = DEMO_SEED) -> Record:
    """
    The invented record made afresh; the same seed gives the same values everywhere.

    Every hour has the origin `invented`. Temperatures and rain are in tenths, humidity in whole
    per cent.
    """
    bits = np.random.PCG64(seed)
    dates = _dates()
    wet = _wet_days(bits, dates)
    daily_c = _daily_mean(bits, dates)
    temp_c = _hourly_temperature(bits, daily_c, wet)
    rhum_pct = _humidity(bits, temp_c, daily_c, wet)
    prcp_mm = _rain(bits, wet)
    gaps = _gaps(bits, temp_c.size)
    temp_c[gaps] = np.nan
    rhum_pct[gaps] = np.nan
    return Record(
        start_hour=hour_of_datetime(datetime(FIRST_YEAR, 1, 1, tzinfo=UTC)),
        temp_c=temp_c,
        origin=np.where(gaps, Origin.MISSING, Origin.INVENTED).astype(np.uint8),
        rhum_pct=rhum_pct,
        prcp_mm=prcp_mm,
        source=SOURCE,
        licence=LICENCE,
        attribution=ATTRIBUTION,
        notes=(NOTE,),
    )


def _uniform(bits: np.random.PCG64, count: int) -> FloatArray:
    """Numbers from 0 to below 1: the upper 53 of 64 raw bits."""
    raw = np.asarray(bits.random_raw(count), np.uint64) >> np.uint64(11)
    return raw.astype(np.float64) * 2.0**-53


def _bell(bits: np.random.PCG64, count: int) -> FloatArray:
    """Numbers of about normal distribution, mean 0, spread 1: twelve uniform ones added."""
    total = np.full(count, -6.0)
    for _ in range(12):
        total = total + _uniform(bits, count)
    return total


def _wave(turns: FloatArray) -> FloatArray:
    """
    Cosine of so many turns, near enough, by arithmetic alone.

    Bhaskara's fraction for the sine of x degrees, 4x(180-x) / (40500-x(180-x)), 0 to 180.
    """
    degrees = (turns + 0.25) * 360.0
    degrees = degrees - np.floor(degrees / 360.0) * 360.0
    half = np.where(degrees < 180.0, degrees, degrees - 180.0)
    product = half * (180.0 - half)
    return np.where(degrees < 180.0, 1.0, -1.0) * (4.0 * product / (40500.0 - product))


def _dates() -> _Dates:
    """Days of the place's standard time that the record touches, one more at either end."""
    days = np.arange(f"{FIRST_YEAR - 1}-12-31", f"{LAST_YEAR + 1}-01-02", dtype="datetime64[D]")
    years = days.astype("datetime64[Y]")
    year = years.astype(np.int64)
    return _Dates(of_year=(days - years).astype(np.int64), year=year - year[0])


def _winter(dates: _Dates) -> FloatArray:
    """1 in mid-winter, 0 in mid-summer, (day)."""
    return 0.5 - 0.5 * _wave((dates.of_year - WARMEST_DAY) / 365.25)


def _daily_mean(bits: np.random.PCG64, dates: _Dates) -> FloatArray:
    """Mean temperature of each day, °C, (day)."""
    fresh = _bell(bits, dates.of_year.size) * DEPARTURE_C
    departure, kept = np.empty(fresh.size), 0.0
    for day, value in enumerate(fresh.tolist()):
        kept = kept * MEMORY + value
        departure[day] = kept
    yearly = _bell(bits, int(dates.year[-1]) + 1) * YEARLY_C
    season = YEAR_SWING_C * _wave((dates.of_year - WARMEST_DAY) / 365.25)
    winter = _winter(dates)
    cold = _outbreaks(bits, winter > COLD_FROM, COLD_C)
    heat = _outbreaks(bits, winter < HEAT_UP_TO, HEAT_C)
    return YEAR_MEAN_C + season + yearly[dates.year] + departure - cold + heat


def _outbreaks(bits: np.random.PCG64, when: BoolArray, strength: tuple[float, float]) -> FloatArray:
    """Departures of outbreaks, K, (day): full at once, then dying down over some days."""
    begins = when & (_uniform(bits, when.size) < OUTBREAK_SHARE)
    weakest, strongest = strength
    force = np.where(begins, weakest + (strongest - weakest) * _uniform(bits, when.size), 0.0)
    total = np.zeros(when.size)
    for later in range(OUTBREAK_DAYS):
        moved = np.concatenate([np.zeros(later), force[: force.size - later]])
        total = np.maximum(total, moved * (1.0 - later / OUTBREAK_DAYS / 2.0))
    return total


def _wet_days(bits: np.random.PCG64, dates: _Dates) -> BoolArray:
    """Days with rain, (day): they come in spells, most of them in winter."""
    chance = RAIN_STARTS_SUMMER + (RAIN_STARTS_WINTER - RAIN_STARTS_SUMMER) * _winter(dates)
    draws = _uniform(bits, chance.size)
    wet, today = np.zeros(chance.size, np.bool_), False
    for day, (start, draw) in enumerate(zip(chance.tolist(), draws.tolist(), strict=True)):
        today = draw < (RAIN_STAYS if today else start)
        wet[day] = today
    return wet


def _by_hour(daily: FloatArray) -> FloatArray:
    """Daily values, which hold at noon, along straight lines to every hour, (hour)."""
    hour = np.arange((daily.size - 2) * 24) + OFFSET_HOURS + 24  # from the first day's midnight
    day = (hour - 12) // 24
    share = (hour - 12 - day * 24) / 24.0
    return daily[day] + (daily[day + 1] - daily[day]) * share


def _hour_of_day(hours: int) -> FloatArray:
    """Standard-time hour of the day, (hour)."""
    return np.asarray((np.arange(hours) + OFFSET_HOURS) % 24, np.float64)


def _tenths(values: FloatArray) -> FloatArray:
    """Values rounded to tenths."""
    return np.rint(values * 10.0) / 10.0


def _hourly_temperature(bits: np.random.PCG64, daily_c: FloatArray, wet: BoolArray) -> FloatArray:
    """Temperature of every hour, °C in tenths, (hour)."""
    mean = _by_hour(daily_c)
    swing = _by_hour(np.where(wet, WET_DAY_SWING_C, DAY_SWING_C))
    noise = (_uniform(bits, mean.size) + _uniform(bits, mean.size) - 1.0) * 0.6
    return _tenths(mean + swing * _wave((_hour_of_day(mean.size) - WARMEST_HOUR) / 24.0) + noise)


def _humidity(
    bits: np.random.PCG64, temp_c: FloatArray, daily_c: FloatArray, wet: BoolArray
) -> FloatArray:
    """Relative humidity of every hour, whole per cent, (hour): lower the warmer the hour."""
    base = _by_hour(np.where(wet, 86.0, 72.0))
    noise = (_uniform(bits, temp_c.size) - 0.5) * 6.0
    return np.rint(np.clip(base - 2.6 * (temp_c - _by_hour(daily_c)) + noise, 12.0, 100.0))


def _rain(bits: np.random.PCG64, wet: BoolArray) -> FloatArray:
    """Rain of every hour, mm in tenths, (hour): in three hours of ten on wet days."""
    hours = (wet.size - 2) * 24
    raining = np.repeat(wet, 24)[24 + OFFSET_HOURS :][:hours] & (_uniform(bits, hours) < 0.3)
    amount = _uniform(bits, hours)
    return np.where(raining, _tenths(0.2 + 3.0 * amount * amount), 0.0)


def _gaps(bits: np.random.PCG64, hours: int) -> BoolArray:
    """Hours without readings, (hour): many of an hour or two and one of nine days in a summer."""
    gaps = np.zeros(hours, np.bool_)
    starts = (_uniform(bits, SHORT_GAPS) * hours).astype(np.int64)
    lengths = 1 + (_uniform(bits, SHORT_GAPS) * 2.0).astype(np.int64)
    for start, length in zip(starts.tolist(), lengths.tolist(), strict=True):
        gaps[start : start + length] = True
    long_start = hours // 2 + 190 * 24
    gaps[long_start : long_start + LONG_GAP_HOURS] = True
    return gaps


if __name__ == "__main__":
    DEMO_FILE.write_bytes(encode_record(generate_demo()))
