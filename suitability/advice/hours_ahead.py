"""
The hours that an outlook goes by, and how far those of the forecast may be off.

Forecast hours stand behind the observed ones in memory alone. Hours that were not observed in the
last 14 days are taken to have been as cold as the coldest that were.
"""

from __future__ import annotations

from collections import defaultdict
from collections.abc import Sequence

import numpy as np
from msgspec import Struct
from msgspec.structs import replace
from numpy.typing import NDArray

from suitability.advice.outlook import Allowance
from suitability.advice.question import Question
from suitability.climate.cold import DOSE_NIGHTS
from suitability.climate.days import NIGHT_HOURS, hours_by_night, local_hour, night_minima
from suitability.climate.forecast_error import (
    FEWEST_NIGHTS,
    PUBLISHED_NIGHTS,
    learned_allowance_c,
    stated_allowance_c,
)
from suitability.places import Place
from suitability.weather.forecasts import Forecast
from suitability.weather.record import Origin, Record, clip_record, fill_short_gaps

FloatArray = NDArray[np.float64]

NEEDED_NIGHTS = 2  # tonight and tomorrow: without them nothing is judged
NIGHT_ENDS = 9  # local hour up to which the night in progress is tonight
NIGHT_BEGINS = 18  # local hour from which a night must be known
MOST_BRIDGED = 24  # h since the last observed hour that a forecast may bridge
LEARNED_WITHIN_DAYS = 60  # of the day of the year: errors have seasons
CAP_DAYS, LEAST_CAP_C = 10, 1.0  # d either way whose spread caps an allowance, and its least, K
YEAR_DAYS = 365.2425
COLD_SHARE = 0.1  # of nights: one in ten


def first_evening(hour: int, utc_offset_hours: float) -> int:
    """
    The evening of the night that is tonight at an hour, days from 1970-01-01.

    Up to nine in the morning that is the night in progress.

    Examples
    --------
    >>> [first_evening(24 * 10 + hour, 0.0) for hour in (8, 9, 23)]
    [9, 10, 10]
    """
    return (local_hour(hour, utc_offset_hours) - NIGHT_ENDS) // 24


class Timeline(Struct, frozen=True, kw_only=True):
    """
    Observed hours, and forecast ones behind them.

    Attributes
    ----------
    record
    ahead : h
        First hour that is no longer observed.
    missing
        Hours of the last 14 days that are neither.
    told
        Whether enough of them is known to tell a dose.
    filled
        With these hours as cold as the coldest known; None where none is missing, or too many.
    holed
        Whether the forecast lacks an hour of tonight, however short the gap.
    """

    record: Record
    ahead: int
    missing: int
    told: bool
    filled: Record | None
    holed: bool


def timeline_of(question: Question, forecast: Forecast | None, now: int, tonight: int) -> Timeline:
    """
    The hours up to now and ahead.

    Parameters
    ----------
    now : h
        Hours from 1970-01-01 00:00 UTC; nothing of the record after it is used.
    tonight : d
        From `first_evening`.

    Raises
    ------
    RecordError
        The record has no hour up to now.
    """
    past = clip_record(question.record, question.record.start_hour, now + 1)
    none = Record(start_hour=now, temp_c=np.empty(0), origin=np.empty(0, np.uint8))
    hours = none if forecast is None else forecast.hours
    known = np.flatnonzero(~np.isnan(past.temp_c))
    ahead = past.start_hour + (int(known[-1]) + 1 if known.size else 0)
    noon = tonight * 24 + 12 - int(np.floor(question.place.utc_offset_hours))  # as nights are cut
    stop = max(now + 1, noon + 24 * NEEDED_NIGHTS, hours.stop_hour)
    whole = fill_short_gaps(_extend(past, hours, ahead, stop))
    first = max(0, noon - 24 * DOSE_NIGHTS - whole.start_hour)
    window = slice(first, max(0, now + 1 - whole.start_hour))
    last_c = whole.temp_c[window]
    gaps = np.isnan(last_c)
    late = now + 1 - ahead > MOST_BRIDGED
    told = not late and last_c.size >= 24 * DOSE_NIGHTS // 2 and bool(gaps.mean() < 0.5)
    filled = None
    if told and gaps.any():
        temp_c = whole.temp_c.copy()
        temp_c[window][gaps] = np.nanmin(last_c)
        filled = replace(whole, temp_c=temp_c)
    hole = hours.start_hour + np.flatnonzero(np.isnan(hours.temp_c))
    begins, ends = max(ahead, noon + NIGHT_HOURS.start), noon + NIGHT_HOURS.stop
    return Timeline(
        record=whole,
        ahead=ahead,
        missing=int(gaps.sum()),
        told=told,
        filled=filled,
        holed=bool(((hole >= begins) & (hole < ends)).any()),
    )


def _extend(past: Record, ahead_of_it: Record, ahead: int, stop: int) -> Record:
    """The record up to an hour, a forecast's hours standing where none is observed any more."""
    start, first = past.start_hour, max(ahead, ahead_of_it.start_hour)

    def column(seen: FloatArray | None, told: FloatArray | None) -> FloatArray:
        values = np.full(stop - start, np.nan)
        if seen is not None:
            values[: seen.size] = seen
        if told is not None:
            part = told[first - ahead_of_it.start_hour :]
            values[first - start : first - start + part.size] = part
        return values

    temp_c = column(past.temp_c, ahead_of_it.temp_c)
    origin = np.where(np.isnan(temp_c), Origin.MISSING, Origin.FORECAST).astype(np.uint8)
    origin[: ahead - start] = past.origin[: ahead - start]
    rains = past.prcp_mm is not None or ahead_of_it.prcp_mm is not None
    return replace(
        past,
        temp_c=temp_c,
        origin=origin,
        rhum_pct=None,
        prcp_mm=column(past.prcp_mm, ahead_of_it.prcp_mm) if rains else None,
        lowest_c=None,
        lost_minimum_c=None,
    )


def allowances_of(
    question: Question, past: Sequence[Forecast], now: int, tonight: int, ahead: range
) -> tuple[Allowance, ...]:
    """
    What each coming night is lowered by for the forecast's error.

    Parameters
    ----------
    past
        Earlier forecasts, from which the error is learned.
    now, tonight
        As in `timeline_of`.
    ahead
        Which nights of the forecast's own they are; 1 is the first after its issue.
    """
    record, place = question.record, question.place
    first_day, minima = _minima_of(clip_record(record, record.start_hour, now + 1), place)
    evenings = first_day + np.arange(minima.size)
    apart = np.abs(evenings - tonight) % YEAR_DAYS
    apart = np.minimum(apart, YEAR_DAYS - apart)  # in the year, whatever their years
    near = apart <= LEARNED_WITHIN_DAYS
    observed = dict(zip(evenings[near].tolist(), minima[near].tolist(), strict=True))
    errors = defaultdict[int, dict[int, float]](dict)  # by night ahead and evening, K
    for forecast in past:
        began = local_hour(forecast.issued, place.utc_offset_hours)
        before = first_evening(forecast.issued, place.utc_offset_hours) - 1
        first, told = _minima_of(forecast.hours, place)
        for evening, low_c in enumerate(told.tolist(), first):
            error = low_c - observed.get(evening, np.nan)
            if evening * 24 + NIGHT_BEGINS >= began and not np.isnan(error):
                errors[evening - before][evening] = error
    middle, cold = middle_and_cold(minima[apart <= CAP_DAYS], FEWEST_NIGHTS)
    cap_c = np.inf if np.isnan(cold) else max(LEAST_CAP_C, middle - cold)
    return tuple(_allowance(night, list(errors[night].values()), cap_c) for night in ahead)


def _minima_of(record: Record, place: Place) -> tuple[int, FloatArray]:
    """First evening of a record, days from 1970-01-01, and the minima of its nights, °C."""
    start = local_hour(record.start_hour, place.utc_offset_hours)
    first_day, nights = hours_by_night(fill_short_gaps(record).temp_c, start)
    return first_day, night_minima(nights)


def _allowance(night: int, errors_c: Sequence[float], cap_c: float) -> Allowance:
    """Of one night: learned where enough of its season is known, else stated, at most the cap."""
    allowance_c, basis = learned_allowance_c(np.array(errors_c)), "learned"
    if allowance_c is None:
        allowance_c = stated_allowance_c(night)
        basis = "published" if night <= PUBLISHED_NIGHTS else "reasoned"
        if allowance_c > cap_c:
            allowance_c, basis = cap_c, "spread"
    return Allowance(night=night, allowance_c=allowance_c, basis=basis, nights=len(errors_c))


def middle_and_cold(minima: FloatArray, fewest: int = 1) -> tuple[float, float]:
    """The median of known minima and their coldest tenth, °C; nan of fewer than asked for."""
    known = minima[~np.isnan(minima)]
    if known.size < fewest:
        return np.nan, np.nan
    middle, cold = np.quantile(known, (0.5, COLD_SHARE), method="median_unbiased").tolist()
    return middle, cold
