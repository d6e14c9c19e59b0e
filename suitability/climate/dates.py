"""
Last spring and first autumn dates of a temperature, and their probabilities.

A season of cold runs from mid-summer to mid-summer; within it the first day at or below a
temperature is the first autumn date, the last such day the last spring date. Published tables give
the dates of the years that had such a day ("if it happens at all"); for advice the years without
one count as well ("in any year": a mixture of the share of years with the event and the
distribution of its dates, after Thom 1959).
"""

from __future__ import annotations

import numpy as np
from msgspec import Struct
from numpy.typing import NDArray

from suitability.climate.days import DAYS
from suitability.climate.observing import plant_years

FloatArray = NDArray[np.float64]
BoolArray = NDArray[np.bool_]

UNKNOWN_DAYS = 10  # of a season of cold; with more it is not used


class EventDates(Struct, frozen=True, kw_only=True):
    """
    Dates of a temperature in each season of cold, in days since mid-summer.

    Attributes
    ----------
    first, last : (threshold, season), d
        nan where the season had no such day, or was not observed well enough.
    observed : (season)
        Seasons observed well enough.
    cut
        Day of the folded year at which seasons begin.
    """

    first: FloatArray
    last: FloatArray
    observed: BoolArray
    cut: int


class DateOdds(Struct, frozen=True, kw_only=True):
    """
    The date of one probability level, in days since mid-summer; None where there is none.

    Attributes
    ----------
    probability
        Of an event on or after the date (last spring), or on or before it (first autumn).
    if_it_happens
        Among the seasons that had the event: compared with published tables.
    in_any_year
        Among all seasons: used for advice. None if the event is rarer than the probability.
    """

    probability: float
    if_it_happens: float | None
    in_any_year: float | None


def event_dates(minimum_c: FloatArray, cut: int, thresholds_c: FloatArray) -> EventDates:
    """
    First autumn and last spring day at or below each threshold.

    A running minimum only falls, so that the number of days still above a threshold is the date:
    one pass serves all thresholds.

    Parameters
    ----------
    minimum_c : (position), °C
        Daily minima on the folded axis, nan where there is none.
    cut
        Mid-summer.
    thresholds_c : (threshold), °C
    """
    seasons = plant_years(minimum_c, cut, np.nan)
    missing = np.isnan(seasons)
    observed = np.asarray(missing.sum(axis=1) <= UNKNOWN_DAYS)
    seasons = np.where(missing, np.inf, seasons)[observed]
    forward = np.minimum.accumulate(seasons, axis=1)
    backward = np.minimum.accumulate(seasons[:, ::-1], axis=1)
    above = thresholds_c[:, None, None] + 1e-9
    first = np.full((thresholds_c.size, observed.size), np.nan)
    last = first.copy()
    # Added up in 16 bits, which is three times as quick.
    days_until, days_since = (
        np.add.reduce((lowest > above).view(np.int8), axis=2, dtype=np.int16).astype(np.float64)
        for lowest in (forward, backward)
    )
    happened = days_until < DAYS
    first[:, observed] = np.where(happened, days_until, np.nan)
    last[:, observed] = np.where(happened, DAYS - 1 - days_since, np.nan)
    return EventDates(first=first, last=last, observed=observed, cut=cut)


def date_odds(
    dates: FloatArray, observed: BoolArray, probability: float, *, spring: bool
) -> DateOdds:
    """
    The date that belongs to a probability.

    Spring: the event comes on or after the date with this probability, so that a small one gives
    a late, safe date. Autumn: it comes on or before the date. Quantiles are linear between order
    statistics of rank k/(n+1) (type 6), as in the Weibull plotting position of the tables. In any
    year: over all seasons, those without the event ranked as the earliest of spring and the
    latest of autumn; a date that would lie between them and a real one does not exist.

    Parameters
    ----------
    dates : (season), d
        nan where the season had no event.
    observed : (season)
    probability : 0 to 1
    """
    known = np.sort(dates[observed & ~np.isnan(dates)])
    empty = np.full(int(observed.sum()) - known.size, -np.inf if spring else np.inf)
    every = np.concatenate([empty, known] if spring else [known, empty])
    rank = 1.0 - probability if spring else probability
    return DateOdds(
        probability=probability,
        if_it_happens=_ordered_at(known, rank),
        in_any_year=_ordered_at(every, rank),
    )


def _ordered_at(ordered: FloatArray, rank: float) -> float | None:
    """Type 6 quantile of sorted values; None without values or where it touches an infinite one."""
    if ordered.size == 0:
        return None
    place = min(max((ordered.size + 1) * rank, 1.0), float(ordered.size)) - 1.0
    below = int(place + 1e-9)
    beyond = max(0.0, place - below)
    found = float(ordered[below])
    if beyond > 1e-9:
        found += beyond * (float(ordered[below + 1]) - found) if np.isfinite(found) else 0.0
    return found if np.isfinite(found) else None
