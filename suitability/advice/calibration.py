"""
Calibration: from a grower's thermometer and the record to a spot with measured numbers.

The log is compared with the record over the same hours. What would spoil the numbers is looked for
first: a wrong unit, a clock that is off by some hours, a sensor in the sun.
"""

import math
from datetime import date, timedelta
from typing import Annotated

import numpy as np
from msgspec import Meta, Struct
from msgspec.structs import replace
from numpy.typing import NDArray

from suitability.advice.log_checks import (
    Window,
    check_unit,
    find_clock,
    find_drift,
    find_noon_sun,
    find_sun,
    fit_window,
    window_around,
)
from suitability.advice.measuring import Elsewhere, elsewhere, pool_logs
from suitability.advice.question import Question
from suitability.advice.result import Credit
from suitability.climate.days import hours_by_night, night_minima
from suitability.climate.enclosure import CLEAR
from suitability.climate.fitting import (
    FEWEST_OF_A_KIND,
    Level,
    Levels,
    fit_extremes,
    student_95,
)
from suitability.climate.logs import for_other_years
from suitability.climate.months import WARM_HOURS
from suitability.errors import OptionError, RecordError
from suitability.places import Place
from suitability.quantities import (
    SCHEMA_VERSION,
    Count,
    Difference,
    Gap,
    MeanCelsius,
    Result,
    SchemaVersion,
)
from suitability.spots.spot import Measured, MeasuredOffset, Spot
from suitability.weather.record import Record, fill_short_gaps
from suitability.weather.sources.extremes import Extremes

FloatArray = NDArray[np.float64]
IntArray = NDArray[np.int64]

FEWEST_NIGHTS = 10
USUAL_NIGHTS = 21  # three weeks


class FittedOffsets(Result, frozen=True, kw_only=True):
    """What was found; an offset is null where too few nights or days tell."""

    nights: Annotated[Count, Meta(description="Nights compared.")]
    clear_night: Annotated[MeasuredOffset | None, Meta(description="Of clear and calm nights.")]
    other_night: Annotated[MeasuredOffset | None, Meta(description="Of other nights.")]
    day: Annotated[MeasuredOffset | None, Meta(description="Of day maxima.")]
    night_error_c: Annotated[
        Gap,
        Meta(
            description="Root mean square error of night minima that were left out of the fit.",
        ),
    ]
    night_error_before_c: Annotated[
        Gap, Meta(description="The same of taking the station as it is.")
    ]
    day_error_c: Annotated[Difference | None, Meta(description="As night_error_c, of day maxima.")]


class FittedNight(Result, frozen=True, kw_only=True):
    """Minima of one night."""

    evening: date
    clear: Annotated[bool, Meta(description="Clear and calm.")]
    outside_c: Annotated[MeanCelsius, Meta(description="Of the record.")]
    log_c: Annotated[MeanCelsius, Meta(description="Of the thermometer.")]
    model_c: Annotated[MeanCelsius, Meta(description="Of the fitted spot.")]


class HourResidual(Result, frozen=True, kw_only=True):
    """Thermometer less fitted spot at one hour of the day."""

    hour: Annotated[int, Meta(ge=0, le=23, description="Of standard time.")]
    median_c: Annotated[Difference, Meta(description="Half of the hours lie below.")]
    low_c: Annotated[Difference, Meta(description="One in ten lies below.")]
    high_c: Annotated[Difference, Meta(description="One in ten lies above.")]
    number: Annotated[Count, Meta(description="Hours behind it.")]


class LoggedHour(Struct, frozen=True, kw_only=True, gc=False):
    """
    One hour of the log; None where a reading is missing.

    A log holds thousands, so that numbers are rounded where they are made and not one by one.
    """

    hour: Annotated[
        int,
        Meta(
            description="Counted from 1970-01-01 00:00 UTC.",
            extra_json_schema={"unit": "h"},
        ),
    ]
    log_c: Annotated[float | None, Meta(extra_json_schema={"unit": "°C"})]
    model_c: Annotated[
        float | None,
        Meta(description="Of the fitted spot.", extra_json_schema={"unit": "°C"}),
    ]


class Calibration(Result, frozen=True, kw_only=True):
    """What a log says of a spot."""

    schema_version: SchemaVersion = SCHEMA_VERSION
    place: Place
    spot: Annotated[
        Spot,
        Meta(description="With what all of its logs say together; what none told is as before."),
    ]
    before: Annotated[Spot, Meta(description="The spot as it was.")]
    hourly: Annotated[
        bool, Meta(description="The log holds hours, rather than minima and maxima alone.")
    ]
    levels: Annotated[FittedOffsets, Meta(description="Of this log, in its season.")]
    elsewhere: Annotated[
        Elsewhere,
        Meta(description="Of all logs of the spot together, where the year is farthest from them."),
    ]
    hour_error_c: Annotated[
        Difference | None,
        Meta(
            description="Root mean square error of all hours of nights left out of the fit; null "
            "for minima and maxima."
        ),
    ]
    half_width_at_21_c: Annotated[
        Difference | None,
        Meta(
            description="Half the 90 % interval of night offsets that 21 nights would give; null "
            "where neither was found."
        ),
    ]
    by_night: Annotated[tuple[FittedNight, ...], Meta(description="In order of time.")]
    by_hour: Annotated[
        tuple[HourResidual, ...], Meta(description="Empty for minima and maxima.")
    ] = ()
    hours: Annotated[
        tuple[LoggedHour, ...],
        Meta(description="Hours of the log in order of time; empty for minima and maxima."),
    ] = ()
    warnings: Annotated[
        tuple[str, ...],
        Meta(description="What spoils or limits the numbers, one sentence each."),
    ] = ()
    credit: Credit

    def __repr__(self) -> str:
        """One line: where, and what the spot has become."""
        return f"<Calibration {self.place.name}: {self.spot!r}>"


def fit(
    question: Question,
    log: Record | Extremes,
    *,
    log_name: str = "log",
    sensor_error_c: float = 0.3,
) -> Calibration:
    """
    What a spot adds to the open air, by a thermometer that hung there.

    Parameters
    ----------
    question
        About the record and one spot, what is known of it before: from `ask`.
    log
        Hours at the spot, such as `read_log(path, ...)`; or minima and maxima alone.
    log_name
        For sentences.
    sensor_error_c : K, 0 to 5
        Half width of the thermometer's own 90 % interval.

    Raises
    ------
    OptionError
        The question is about several spots.
    RecordError
        The log lies outside the record, has too few nights, or is in another unit.
    """
    if len(question.spots) != 1:
        raise OptionError("A log is of one spot: ask about that one (spots=...).")
    outside, place, before = question.record, question.place, question.spots[0]
    if isinstance(log, Extremes):
        return calibrate_from_extremes(
            outside,
            place,
            log,
            before,
            log_name=log_name,
            sensor_error_c=sensor_error_c,
            minimum_allowance_c=question.options.minimum_allowance_c,
        )
    return calibrate_from_hours(
        outside, place, log, before, log_name=log_name, sensor_error_c=sensor_error_c
    )


def calibrate_from_hours(
    record: Record,
    place: Place,
    log: Record,
    spot: Spot,
    *,
    log_name: str,
    sensor_error_c: float,
) -> Calibration:
    """
    A spot measured with an hourly log; parameters and errors are as of `calibrate`.

    Parameters
    ----------
    record
        Of the place, after the checks of quality; its whole length tells which nights are clear.
    spot
        What is known before, used where too few nights tell.
    """
    _check_outdoors(spot, log_name)
    window = window_around(record, place, log.start_hour, log.stop_hour, log_name)
    read_c, log_c = (
        _placed(hours, log.start_hour - window.first, window.outside_c.size)
        for hours in (log.temp_c, fill_short_gaps(log).temp_c)
    )
    check_unit(log_c - window.outside_c, log_c, window.outside_c, log_name)
    fallback = _fallback(spot)
    fit = fit_window(window, log_c, fallback, sensor_error_c)
    _check_enough(fit.levels.nights, log_name, fit.levels)
    warnings = [
        find_clock(window, log_c, log_name),
        find_sun(window, log_c, fit, log_name) or find_noon_sun(window, log_c, fit, log_name),
        find_drift(window, log_c, fit, log_name),
    ]
    nights = _nights_of_hours(window, log_c, fit.model_c)
    levels = _for_other_years(fit.levels)
    logged = _logged(levels, nights)
    measured, contradictions = pool_logs(spot, logged, fit.damping_hours, log_name)
    return Calibration(
        spot=measured,
        elsewhere=elsewhere(measured),
        before=spot,
        place=place,
        credit=Credit.of(record),
        hourly=True,
        levels=_told(levels),
        half_width_at_21_c=_at_21(levels, sensor_error_c),
        hour_error_c=fit.hour_error_c,
        by_night=nights,
        by_hour=_by_hour(log_c - fit.model_c, window.local_start),
        hours=_hours(window, read_c, fit.model_c),
        warnings=(*filter(None, warnings), *contradictions, *_few_warnings(levels, spot)),
    )


def calibrate_from_extremes(
    record: Record,
    place: Place,
    log: Extremes,
    spot: Spot,
    *,
    log_name: str,
    sensor_error_c: float,
    minimum_allowance_c: float,
) -> Calibration:
    """
    A spot measured with daily minima and maxima alone.

    A minimum thermometer sees what hourly readings of the record miss, so these are lowered by the
    allowance before they are compared.

    Parameters
    ----------
    log
        By day: each minimum is that of the night before, each maximum that of the day itself.
    minimum_allowance_c : K

    Other parameters, errors and the result are as for `calibrate_from_hours`.
    """
    _check_outdoors(spot, log_name)
    offset = place.utc_offset_hours
    start = math.floor(log.first_day * 24 - offset) - 24
    stop = math.ceil((log.first_day + log.min_c.size) * 24 - offset)
    window = window_around(record, place, start, stop, log_name)
    first_day, nights = hours_by_night(window.outside_c, window.local_start)
    outside_min = night_minima(nights) - minimum_allowance_c
    first_date, days = hours_by_night(window.outside_c, window.local_start + 12)
    outside_max = days[:, WARM_HOURS].max(axis=1)
    log_min = _placed(log.min_c, log.first_day - 1 - first_day, outside_min.size)
    log_max = _placed(log.max_c, log.first_day - 1 - first_date + 1, outside_max.size)
    check_unit(log_min - outside_min, log_min, outside_min, log_name)
    fallback = _fallback(spot)
    levels = fit_extremes(
        outside_min,
        log_min,
        window.kinds,
        outside_max,
        log_max,
        fallback_c=fallback,
        sensor_error_c=sensor_error_c,
    )
    _check_enough(levels.nights, log_name, levels)
    levels = _for_other_years(levels)
    clear, other, _ = _standing(levels, fallback)
    model = outside_min + np.where(window.kinds == CLEAR, clear, other)
    found = _night_rows(first_day, window.kinds, outside_min, log_min, model)
    measured, contradictions = pool_logs(spot, _logged(levels, found), spot.damping_hours, log_name)
    return Calibration(
        spot=measured,
        elsewhere=elsewhere(measured),
        before=spot,
        place=place,
        credit=Credit.of(record),
        hourly=False,
        levels=_told(levels),
        half_width_at_21_c=_at_21(levels, sensor_error_c),
        hour_error_c=None,
        by_night=found,
        warnings=(*contradictions, *_few_warnings(levels, spot)),
    )


def _told(levels: Levels) -> FittedOffsets:
    """What was found, as the result tells it."""
    clear, other, day = map(_offset_told, (levels.clear_night, levels.other_night, levels.day))
    return FittedOffsets(
        nights=levels.nights,
        clear_night=clear,
        other_night=other,
        day=day,
        night_error_c=levels.night_error_c,
        night_error_before_c=levels.night_error_before_c,
        day_error_c=levels.day_error_c,
    )


def _offset_told(level: Level | None) -> MeasuredOffset | None:
    if level is None:
        return None
    return MeasuredOffset(
        low=level.low,
        usual=level.usual,
        high=level.high,
        number=level.number,
        scatter_c=level.scatter_c,
    )


def _for_other_years(levels: Levels) -> Levels:
    """Intervals that hold in years without a log."""
    return replace(
        levels,
        clear_night=for_other_years(levels.clear_night),
        other_night=for_other_years(levels.other_night),
        day=for_other_years(levels.day),
    )


def _check_outdoors(spot: Spot, log_name: str) -> None:
    """Refuse spots whose temperature is not the weather's."""
    if spot.room is not None or spot.held_minimum_c is not None:
        what = "in a room" if spot.room is not None else "heated"
        raise RecordError(
            f'{log_name}: the spot "{spot.name}" is {what}; only a spot that follows the weather '
            "can be measured against a record. Log it while nothing heats, and leave the heating "
            "out of its entry for that."
        )


def _check_enough(nights: int, log_name: str, levels: Levels) -> None:
    """Refuse a log that is too short to tell nights apart."""
    if nights < FEWEST_NIGHTS:
        raise RecordError(
            f"{log_name}: {nights} whole nights can be compared with the record; at least "
            f"{FEWEST_NIGHTS} are needed, and {USUAL_NIGHTS} are better."
        )
    if levels.clear_night is None and levels.other_night is None:
        raise RecordError(
            f"{log_name}: fewer than {FEWEST_OF_A_KIND} nights of either kind can be compared."
        )


def _few_warnings(levels: Levels, spot: Spot) -> tuple[str, ...]:
    """Offsets that too few nights or days told."""
    clear, other, day = spot.offsets_c
    told = (
        (levels.clear_night, "clear and calm nights", clear),
        (levels.other_night, "other nights", other),
        (levels.day, "days", day),
    )
    return tuple(
        f"Fewer than {FEWEST_OF_A_KIND} {words} can be compared: their offset stays as it was, "
        f"{before.usual:+g} °C, not measured."
        for level, words, before in told
        if level is None
    )


def _fallback(spot: Spot) -> tuple[float, float, float]:
    clear, other, day = spot.offsets_c
    return clear.usual, other.usual, day.usual


def _standing(levels: Levels, fallback: tuple[float, float, float]) -> tuple[float, float, float]:
    """Offsets found, or those that stood before."""
    found = (levels.clear_night, levels.other_night, levels.day)
    clear, other, day = (
        before if level is None else level.usual
        for level, before in zip(found, fallback, strict=True)
    )
    return clear, other, day


def _at_21(levels: Levels, sensor_error_c: float) -> float | None:
    """Half the 90 % interval of a night offset after 21 nights, half of them of each kind."""
    scatters = [
        level.scatter_c for level in (levels.clear_night, levels.other_night) if level is not None
    ]
    if not scatters:
        return None
    number = USUAL_NIGHTS / 2.0
    return math.hypot(student_95(number - 1.0) * max(scatters) / math.sqrt(number), sensor_error_c)


def _logged(levels: Levels, nights: tuple[FittedNight, ...]) -> Measured:
    """One log, as the collection keeps it."""
    told = _told(levels)
    return Measured(
        first=nights[0].evening,
        last=nights[-1].evening,
        clear_night=told.clear_night,
        other_night=told.other_night,
        day=told.day,
        night_error_c=levels.night_error_c,
    )


def _nights_of_hours(
    window: Window, log_c: FloatArray, model_c: FloatArray
) -> tuple[FittedNight, ...]:
    """Night minima from 18:00 to 9:00 of whole nights."""
    rows = []
    first_day = 0
    for values in (window.outside_c, log_c, model_c):
        first_day, nights = hours_by_night(values, window.local_start)
        rows.append(night_minima(nights))
    return _night_rows(first_day, window.kinds, *rows)


def _night_rows(
    first_day: int,
    kinds: IntArray,
    outside_c: FloatArray,
    log_c: FloatArray,
    model_c: FloatArray,
) -> tuple[FittedNight, ...]:
    whole = np.flatnonzero(~np.isnan(outside_c + log_c + model_c) & (kinds >= 0))
    return tuple(
        FittedNight(
            evening=date(1970, 1, 1) + timedelta(days=first_day + int(night)),
            clear=bool(kinds[night] == CLEAR),
            outside_c=float(outside_c[night]),
            log_c=float(log_c[night]),
            model_c=float(model_c[night]),
        )
        for night in whole
    )


def _by_hour(apart_c: FloatArray, local_start: int) -> tuple[HourResidual, ...]:
    """Residuals by hour of the day."""
    hour = (local_start + np.arange(apart_c.size)) % 24
    found = []
    for one in range(24):
        values = apart_c[(hour == one) & ~np.isnan(apart_c)]
        if values.size:
            low, median, high = np.quantile(values, [0.1, 0.5, 0.9])
            found.append(
                HourResidual(
                    hour=one,
                    median_c=float(median),
                    low_c=float(low),
                    high_c=float(high),
                    number=int(values.size),
                )
            )
    return tuple(found)


def _hours(window: Window, log_c: FloatArray, model_c: FloatArray) -> tuple[LoggedHour, ...]:
    """UTC hour, log and model from the first to the last hour of the log."""
    told = np.flatnonzero(~np.isnan(log_c))
    part = range(int(told[0]), int(told[-1]) + 1)

    def plain(value: float) -> float | None:
        return None if math.isnan(value) else round(value, 3) + 0.0

    return tuple(
        LoggedHour(
            hour=window.first + at,
            log_c=plain(float(log_c[at])),
            model_c=plain(float(model_c[at])),
        )
        for at in part
    )


def _placed(values: FloatArray, at: int, size: int) -> FloatArray:
    """Values put at a place on a longer axis, nan elsewhere; what lies outside is left out."""
    placed = np.full(size, np.nan)
    index = at + np.arange(values.size)
    inside = (index >= 0) & (index < size)
    placed[index[inside]] = values[inside]
    return placed
