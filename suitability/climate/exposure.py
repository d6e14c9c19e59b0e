"""Hours and degree-hours below any thresholds: by month, and in the mean, median and bad year."""

from __future__ import annotations

import numpy as np
from msgspec import Struct
from numpy.typing import NDArray

from suitability.climate.chance import BAD_YEAR, FEWEST_FOR_QUANTILE

FloatArray = NDArray[np.float64]
IntArray = NDArray[np.int64]
BoolArray = NDArray[np.bool_]

EPSILON_C = 1e-9  # K; an hour this close to a threshold stands at it
FAHRENHEIT_STEPS = (1.8, 18.0)  # in a °C: whole degrees Fahrenheit, and tenths of them
BLOCK = 48  # months handled at once: the work stays in cache, and leap years fall alike


class MonthlyExposure(Struct, frozen=True, kw_only=True):
    """
    Exposure by running month.

    Attributes
    ----------
    first_year, first_month
        Calendar year and month (1 to 12, standard time) of the first running month.
    hours_below : (threshold, month), h
        nan where the month has no valid hour: "not observed" is not "never cold".
    degree_hours_below : (threshold, month), °C·h
        nan likewise.
    hours_valid : (month), h
    hours_in_month : (month), h
        Whole months, also where the record begins or ends within one.
    """

    first_year: int
    first_month: int
    hours_below: FloatArray
    degree_hours_below: FloatArray
    hours_valid: FloatArray
    hours_in_month: FloatArray


def month_starts(local_start_hour: int, hours: int) -> tuple[int, int, IntArray]:
    """
    First year and month, and the hours at which the running months begin.

    Returns
    -------
    year, month
        Of the first hour.
    (month + 1)
        Standard-time hours since 1970-01-01 00:00 of the first of each month, and of the month
        after the last.
    """
    first = np.datetime64(int(local_start_hour), "h").astype("datetime64[M]")
    last = np.datetime64(int(local_start_hour) + hours - 1, "h").astype("datetime64[M]")
    months = np.arange(first, last + np.timedelta64(2, "M"))
    number = int(first.astype(np.int64))
    return 1970 + number // 12, number % 12 + 1, months.astype("datetime64[h]").astype(np.int64)


def is_tenths(temp_c: FloatArray) -> bool:
    """Whether every value is a tenth of a degree, as station data are."""
    scaled = temp_c * 10.0
    difference = np.abs(scaled - np.rint(scaled))
    return not bool(np.any(difference > 1e-6))


def monthly_exposure(
    temp_c: FloatArray, counted: BoolArray | None, local_start_hour: int, thresholds_c: FloatArray
) -> MonthlyExposure:
    """
    Hours and degree-hours below each threshold in each month.

    An hour exactly at a threshold is not below it. Hours without a value, and those that
    `counted` leaves out, count nowhere: read the result beside `hours_valid`.

    Parameters
    ----------
    temp_c : (hour), °C
        nan where there is none.
    counted : (hour), or None
        Which hours may count: observed ones. None: every hour that has a value.
    local_start_hour : h
        Standard-time hour of the first value.
    thresholds_c : (threshold), °C

    Examples
    --------
    >>> found = monthly_exposure(np.array([14.0, 13.0, 12.9]), None, 0, np.array([13.0]))
    >>> found.hours_below.item(), round(found.degree_hours_below.item(), 6)
    (1.0, 0.1)
    """
    year, month, starts = month_starts(local_start_hour, temp_c.size)
    edges = np.clip(starts - local_start_hour, 0, temp_c.size)
    count = _count_tenths(temp_c, counted, edges, thresholds_c)
    for per_degree in FAHRENHEIT_STEPS:
        if count is None:
            count = _count_steps(temp_c, counted, edges, thresholds_c, per_degree)
    if count is None:
        count = _count_sorted(temp_c, counted, edges, thresholds_c)
    below, degree_hours, valid = count
    unobserved = valid == 0
    below[:, unobserved] = np.nan
    degree_hours[:, unobserved] = np.nan
    return MonthlyExposure(
        first_year=year,
        first_month=month,
        hours_below=below,
        degree_hours_below=degree_hours,
        hours_valid=valid,
        hours_in_month=np.diff(starts).astype(np.float64),
    )


Counts = tuple[FloatArray, FloatArray, FloatArray]


def _count_tenths(
    temp_c: FloatArray, counted: BoolArray | None, edges: IntArray, thresholds_c: FloatArray
) -> Counts | None:
    """Below, degree-hours, valid by histogram of tenths; None if some value is not a tenth."""
    months, levels_at = edges.size - 1, np.ceil(thresholds_c * 10.0 - EPSILON_C * 10.0)
    top = int(levels_at.max()) + 1  # one bin for all warmer hours
    bottom = min(int(levels_at.min()) - 1, top - 1)
    lowest = np.fmin.reduce(temp_c) if temp_c.size else np.nan
    if not np.isnan(lowest):
        bottom = min(bottom, int(np.floor(lowest * 10.0)))
    width = top - bottom + 2  # and one for hours that do not count
    columns = levels_at.astype(np.int64) - bottom - 1
    below = np.empty((thresholds_c.size, months))
    weighted = np.empty((thresholds_c.size, months))
    valid = np.empty(months)
    blocks = [edges[first : first + BLOCK + 1] for first in range(0, months, BLOCK)]
    longest = max(int(cuts[-1] - cuts[0]) for cuts in blocks)
    # Memory that is used again spares the system finding new one for every block.
    scaled_, level_, index_ = np.empty(longest), np.empty(longest), np.empty(longest, np.int64)
    lengths, bins = np.empty(0, np.int64), np.empty(0)
    for number, cuts in enumerate(blocks):
        hours, size = slice(cuts[0], cuts[-1]), cuts[-1] - cuts[0]
        scaled = np.multiply(temp_c[hours], 10.0, out=scaled_[:size])
        level = np.rint(scaled, out=level_[:size])
        scaled -= level
        beside = np.abs(scaled, out=scaled).max(initial=0.0)
        some_missing = bool(np.isnan(beside))
        if some_missing:
            beside = np.fmax.reduce(scaled, initial=0.0)
        if beside > 1e-6:
            return None
        missing = np.isnan(level) if some_missing else None
        if counted is not None:
            missing = ~counted[hours] if missing is None else missing | ~counted[hours]
        np.fmin(level, top, out=level)  # also sends nan to the warm bin
        if missing is not None:
            level[missing] = top + 1
        if not np.array_equal(lengths, np.diff(cuts)):
            lengths = np.diff(cuts)
            bins = np.repeat(np.arange(lengths.size) * float(width) - bottom, lengths)
        index = np.add(level, bins, out=index_[:size], casting="unsafe")
        table = np.bincount(index, minlength=lengths.size * width)
        running = np.cumsum(table.reshape(-1, width), axis=1)  # hours at or below
        shortfall = np.cumsum(running, axis=1)  # tenth-degree-hours below the next level
        block = slice(number * BLOCK, number * BLOCK + lengths.size)
        below[:, block] = running[:, columns].T
        weighted[:, block] = shortfall[:, columns].T
        valid[block] = running[:, -2]
    # From its level to a threshold the hours of the level gather the rest of the way.
    beyond = thresholds_c * 10.0 - (columns + bottom) - 1.0
    degree_hours = (weighted + below * beyond[:, None]) / 10.0
    return below, degree_hours, valid


def _count_steps(
    temp_c: FloatArray,
    counted: BoolArray | None,
    edges: IntArray,
    thresholds_c: FloatArray,
    per_degree: float,
) -> Counts | None:
    """
    Below, degree-hours, valid by histogram of even steps; None where a step has several values.

    The steps only sort hours into bins. What is compared and summed is the one value that each bin
    was seen to hold, exactly as given, so that it does not matter how °F were rounded to °C.
    """
    coldest, warmest = np.fmin.reduce(temp_c), np.fmax.reduce(temp_c)
    if np.isnan(coldest):
        return None
    bottom = np.rint(coldest * per_degree)
    width = int(np.rint(warmest * per_degree) - bottom) + 2  # and one for hours that do not count
    months = edges.size - 1
    value_c = np.full(width, np.nan)
    table = np.empty((months, width))
    for first in range(0, months, BLOCK):
        cuts = edges[first : first + BLOCK + 1]
        hours = slice(cuts[0], cuts[-1])
        block_c = temp_c[hours]
        step = block_c * per_degree
        step -= bottom
        np.rint(step, out=step)
        np.fmin(step, width - 1, out=step)  # sends nan to the last bin
        index = step.astype(np.int64)
        before = value_c.copy()
        value_c[index] = block_c
        value_c[-1] = np.nan
        if not (np.isnan(before) | (before == value_c)).all():
            return None
        apart = np.subtract(value_c.take(index), block_c, out=step)
        if np.fmax.reduce(np.abs(apart, out=apart), initial=0.0) > 0.0:
            return None
        if counted is not None:
            index[~counted[hours]] = width - 1
        lengths = np.diff(cuts)
        index += np.repeat(np.arange(lengths.size) * width, lengths)
        counts = np.bincount(index, minlength=lengths.size * width)
        table[first : first + lengths.size] = counts.reshape(-1, width)
    number = np.cumsum(table[:, :-1], axis=1)  # hours up to and with each bin
    total = np.cumsum(table[:, :-1] * np.nan_to_num(value_c[:-1]), axis=1)
    known = np.flatnonzero(~np.isnan(value_c))
    # The last bin whose value is below; before the first one stands a bin without hours.
    column = np.searchsorted(value_c[known], thresholds_c - EPSILON_C, side="left")
    column = np.concatenate([[0], known + 1])[column]
    below = np.pad(number, ((0, 0), (1, 0)))[:, column].T
    degree_hours = thresholds_c[:, None] * below - np.pad(total, ((0, 0), (1, 0)))[:, column].T
    return np.ascontiguousarray(below), degree_hours, number[:, -1].copy()


def _count_sorted(
    temp_c: FloatArray, counted: BoolArray | None, edges: IntArray, thresholds_c: FloatArray
) -> Counts:
    """Below, degree-hours, valid by sorting each month: exact for any decimals."""
    months = edges.size - 1
    below = np.zeros((thresholds_c.size, months))
    degree_hours = np.zeros((thresholds_c.size, months))
    valid = np.zeros(months)
    for month in range(months):
        hours = slice(edges[month], edges[month + 1])
        values = temp_c[hours] if counted is None else temp_c[hours][counted[hours]]
        values = np.sort(values[~np.isnan(values)])
        number = np.searchsorted(values, thresholds_c - EPSILON_C, side="left")
        running = np.concatenate([[0.0], np.cumsum(values)])
        below[:, month] = number
        degree_hours[:, month] = thresholds_c * number - running[number]
        valid[month] = values.size
    return below, degree_hours, valid


OBSERVED_SHARE = 0.9
HOURS_OF_MONTH = np.array([31, 28.25, 31, 30, 31, 30, 31, 31, 30, 31, 30, 31]) * 24.0
HOURS_OF_YEAR = 8766.0  # as they add up to


class MonthlyNormals(Struct, frozen=True, kw_only=True):
    """
    Hours and degree-hours below each threshold in a whole month of the year, January first.

    All of shape (threshold, 12); nan where no year has the month.

    Attributes
    ----------
    mean_hours, median_hours, bad_hours : h
        The bad one is exceeded in one year of ten (quantile type 8; the worst of fewer than 9).
    mean_degree_hours : °C·h
    years : (12)
        Years behind each month.
    """

    mean_hours: FloatArray
    median_hours: FloatArray
    bad_hours: FloatArray
    mean_degree_hours: FloatArray
    years: IntArray


def monthly_normals(exposure: MonthlyExposure, step_hours: int) -> MonthlyNormals:
    """
    The climatological year of an exposure.

    Parameters
    ----------
    step_hours : h
        Usual distance of two readings; a record that reports every third hour is complete with a
        third of the hours.
    """
    scale = np.divide(
        1.0,
        exposure.hours_valid,
        out=np.full(exposure.hours_valid.size, np.nan),
        where=exposure.hours_valid * step_hours >= OBSERVED_SHARE * exposure.hours_in_month,
    )
    hours = _by_year(exposure.hours_below * scale, exposure.first_month) * HOURS_OF_MONTH
    degree_hours = _by_year(exposure.degree_hours_below * scale, exposure.first_month)
    known = ~np.isnan(hours)
    years = known.sum(axis=1)
    return MonthlyNormals(
        mean_hours=mean_of_known(hours, axis=1),
        median_hours=quantile_of_years(hours, 0.5),
        bad_hours=quantile_of_years(hours, BAD_YEAR, fewest=FEWEST_FOR_QUANTILE),
        mean_degree_hours=mean_of_known(degree_hours * HOURS_OF_MONTH, axis=1),
        years=years[0] if years.size else np.zeros(12, np.int64),
    )


def _by_year(by_month: FloatArray, first_month: int) -> FloatArray:
    """Running months as (threshold, year, 12), nan outside the record."""
    before = first_month - 1
    years = -(-(before + by_month.shape[1]) // 12)
    table = np.full((by_month.shape[0], years * 12), np.nan)
    table[:, before : before + by_month.shape[1]] = by_month
    return table.reshape(-1, years, 12)


def mean_of_known(values: FloatArray, axis: int) -> FloatArray:
    """Mean along an axis of what is not nan; nan where nothing is known."""
    known = ~np.isnan(values)
    count = known.sum(axis=axis)
    total = np.where(known, values, 0.0).sum(axis=axis)
    mean: FloatArray = np.divide(total, count, out=np.full(total.shape, np.nan), where=count > 0)
    return mean


def quantile_of_years(by_year: FloatArray, level: float, fewest: int = 1) -> FloatArray:
    """
    Quantile of type 8 over the years that have each month; with fewer than `fewest`, the greatest.

    Hyndman & Fan 1996: the value of rank (n + 1/3) level + 1/3, between order statistics on a
    straight line. All months at once, which `chance.bad_year` gives one by one.

    Parameters
    ----------
    by_year : (threshold, year, month)
        Or days of the year instead of months; nan where there is none.
    level : 0 to 1

    Returns
    -------
    (threshold, month)
    """
    ordered = np.sort(by_year, axis=1)  # nan last
    count = np.count_nonzero(~np.isnan(by_year), axis=1)
    rank = np.where(count >= fewest, (count + 1.0 / 3.0) * level + 1.0 / 3.0, count)
    rank = np.clip(rank, 1.0, np.maximum(count, 1))
    below = np.floor(rank).astype(np.int64)
    above = np.minimum(below + 1, np.maximum(count, 1))
    low, high = (
        np.take_along_axis(ordered, at[:, None, :] - 1, axis=1)[:, 0, :] for at in (below, above)
    )
    quantile: FloatArray = low + (high - low) * (rank - below)
    return quantile
