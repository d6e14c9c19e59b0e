"""The sheet of a fit: what a thermometer says that a spot adds to the open air, and how surely."""

from __future__ import annotations

from datetime import UTC, datetime, timedelta
from typing import TYPE_CHECKING, NamedTuple

from suitability.answers import words
from suitability.answers.curves import Along, Band, Curve, Curves, Role
from suitability.answers.head import HEATING, sheet_of_places
from suitability.answers.sheet import (
    Cell,
    Chart,
    Column,
    Level,
    On,
    Section,
    Table,
    Text,
    build_table,
)
from suitability.answers.spots import signed_ends, signed_range
from suitability.spots.spot import Offset
from suitability.units import TemperatureUnit, show_difference, shown_apart, shown_value

if TYPE_CHECKING:
    from collections.abc import Iterator

    from suitability.advice.calibration import (
        Calibration,
        FittedNight,
        HourResidual,
        LoggedHour,
    )
    from suitability.answers.sheet import Sheet
    from suitability.spots.spot import MeasuredOffset

EPOCH = datetime(1970, 1, 1, tzinfo=UTC)
SEASON = (
    "Leaves, sun and wind change with the year, so verdicts take a wider range the farther a night "
    "is from the days of a log. Measure again in another season; --write keeps both logs."
)


WIDE = 104  # columns of a terminal from which cells have room for their units
ENOUGH_NIGHTS = 21  # from which on no more are spoken of


class Added(NamedTuple):
    """What is added at one time of day: found in a log, by all logs, far from them, and before."""

    name: str
    found: MeasuredOffset | None
    now: Offset
    elsewhere: Offset | None
    before: Offset


def fit_sheet(fit: Calibration, units: TemperatureUnit) -> Sheet:
    """What a fit says."""
    name = words.clean(fit.spot.name, 40)
    headline = (
        f"{name} at {words.clean(fit.place.name)}: {fit.levels.nights} nights compared, "
        f"{fit.by_night[0].evening} to {fit.by_night[-1].evening}"
    )
    heated = fit.spot.heater is not None or fit.spot.held_minimum_c is not None
    careful = tuple(f"Careful: {words.clean(warning, 400)}" for warning in fit.warnings)
    return sheet_of_places(
        [fit.place],
        [fit.credit],
        title=f"What the spot {name} adds",
        headline=headline,
        sections=[
            Section(
                name="added",
                blocks=(
                    added_table(fit, units),
                    Text(sentences=(*error_sentences(fit, units), *careful)),
                ),
            ),
            *_drawn(fit, units),
        ],
        closing=(SEASON, *([HEATING] if heated else [])),
    )


def added_table(fit: Calibration, units: TemperatureUnit) -> Table:
    """What is added on clear and calm nights, on others and by day: measured, and before."""
    levels = fit.levels
    rows = [
        Added(*told)
        for told in zip(
            ("clear and calm nights", "other nights", "days"),
            (levels.clear_night, levels.other_night, levels.day),
            fit.spot.offsets_c,
            (fit.elsewhere.clear_night, fit.elsewhere.other_night, fit.elsewhere.day),
            fit.before.offsets_c,
            strict=True,
        )
    ]

    def both(offset: Offset) -> Cell:
        told = signed_range(offset, units)
        return Cell(told, short=told.replace(f" {units.symbol}", ""))

    def log(level: MeasuredOffset | None) -> Cell:
        if level is None:
            return Cell("not measured")
        return both(Offset(low=level.low, usual=level.usual, high=level.high))

    def both_ends(offset: Offset | None) -> str:
        return "-" if offset is None else signed_ends(offset, units)

    several = len(fit.spot.measured) > 1
    columns: list[Column[Added]] = [
        Column.field(
            "Added to the open air",
            "name",
            lambda name: Cell(name, short=name.removesuffix(" nights")),
            short="Added",
            long_from=WIDE,
        ),
        Column.field(
            "This log" if several else "Measured (90% interval)",
            "found",
            log,
            short="This log" if several else "Measured",
            long_from=WIDE,
        ),
    ]
    if several:
        columns.append(Column.field("All logs", "now", both_ends))
    else:
        columns.append(
            Column.field("Nights", "found", lambda level: str(0 if level is None else level.number))
        )
    columns.append(Column.field("Other months", "elsewhere", both_ends))
    if not several:
        columns.append(Column.field("Before", "before", both, long_from=WIDE))
    return build_table(
        "added",
        columns,
        rows,
        title="What the spot adds to the open air",
        short_key=f"In {units.symbol}, with the 90% interval of what was measured.",
        dense_below=WIDE,
    )


def error_sentences(fit: Calibration, units: TemperatureUnit) -> tuple[str, ...]:
    """How far the fit may be off, in nights that had no part in it."""
    return tuple(_errors(fit, units))


def _errors(fit: Calibration, units: TemperatureUnit) -> Iterator[str]:
    levels = fit.levels
    yield (
        f"Night minima miss by {show_difference(levels.night_error_c, units)} in nights left "
        "out of the fit; the station as it is, by "
        f"{show_difference(levels.night_error_before_c, units)}."
    )
    if fit.hour_error_c is not None:
        yield f"All hours of nights left out miss by {show_difference(fit.hour_error_c, units)}."
    if levels.day_error_c is not None:
        yield f"Day maxima miss by {show_difference(levels.day_error_c, units)} in days left out."
    if fit.hourly:
        hours = fit.spot.damping_hours
        yield (
            f"It follows the air outside with a time constant of {hours:g} h."
            if hours
            else "It follows the air outside without a lag that could be told from none."
        )
    if fit.half_width_at_21_c is not None and levels.nights < ENOUGH_NIGHTS:
        half = show_difference(fit.half_width_at_21_c, units)
        yield f"Twenty-one nights would give each night offset to {half} either way."


# Drawn ------------------------------------------------------------------------------------------


def _drawn(fit: Calibration, units: TemperatureUnit) -> Iterator[Section]:
    """Nights; of hourly logs the hours too, and what is left over."""
    told = [
        (
            "nights",
            "What each night added to the station's minimum",
            night_curves(fit, units),
            nights_table(fit, units),
        )
    ]
    if fit.hourly:
        told += [
            (
                "hours",
                "The thermometer and the fitted spot, hour by hour",
                hour_curves(fit, units),
                hours_table(fit, units),
            ),
            (
                "residuals",
                "What is left over, by hour of the day",
                residual_curves(fit, units),
                residuals_table(fit, units),
            ),
        ]
    for name, title, spec, table in told:
        chart = Chart(name=name, title=title, spec=spec)
        yield Section(
            name=f"drawn-{name}",
            title=title,
            level=Level.DETAIL,
            blocks=(chart, table),
            on=On.PAGE,
        )


def night_curves(fit: Calibration, units: TemperatureUnit) -> Curves:
    """Night minima: the thermometer's less the station's, by date and kind of night."""
    curves = []
    for name, role, clear in (
        ("clear and calm night", Role.CLEAR_NIGHTS, True),
        ("other night", Role.OTHER_NIGHTS, False),
    ):
        nights = [night for night in fit.by_night if night.clear is clear]
        curves.append(
            Curve(
                name=name,
                role=role,
                x=tuple(night.evening.isoformat() for night in nights),
                y=tuple(
                    round(shown_apart(night.log_c - night.outside_c, units), 2) for night in nights
                ),
            )
        )
    return Curves(
        curves=tuple(curves),
        upright=f"thermometer less station, night minimum, {units.symbol}",
        along="evening of the night",
        scale=Along.DATES,
        unit=units.symbol,
        signed=True,
    )


def nights_table(fit: Calibration, units: TemperatureUnit) -> Table:
    """One row a night: minima of station, thermometer and fitted spot."""

    def told(title: str, field: str) -> Column[FittedNight]:
        return Column.field(title, field, lambda value: words.degrees(value, units), number=True)

    columns: list[Column[FittedNight]] = [
        Column.field("Evening", "evening", lambda evening: evening.isoformat()),
        Column.field("Kind", "clear", lambda clear: "clear and calm" if clear else "other"),
        told("Station", "outside_c"),
        told("Thermometer", "log_c"),
        told("Fitted spot", "model_c"),
    ]
    return build_table("nights", columns, fit.by_night, title=f"Night minima, {units.symbol}")


def hour_curves(fit: Calibration, units: TemperatureUnit) -> Curves:
    """Log and fitted spot hour by hour, standard time."""
    moments = tuple(_moment(one, fit) for one in fit.hours)

    def column(values: Iterator[float | None]) -> tuple[float | None, ...]:
        return tuple(None if one is None else round(shown_value(one, units), 2) for one in values)

    return Curves(
        curves=(
            Curve(
                name="thermometer",
                role=Role.THERMOMETER,
                x=moments,
                y=column(one.log_c for one in fit.hours),
            ),
            Curve(
                name="fitted spot",
                role=Role.FITTED,
                x=moments,
                y=column(one.model_c for one in fit.hours),
            ),
        ),
        upright=f"temperature, {units.symbol}",
        along="date, standard time",
        scale=Along.DATES,
        unit=units.symbol,
    )


def _moment(one: LoggedHour, fit: Calibration) -> str:
    """Standard time as written."""
    offset = timedelta(hours=one.hour + fit.place.utc_offset_hours)
    return (EPOCH + offset).strftime("%Y-%m-%d %H:%M")


def hours_table(fit: Calibration, units: TemperatureUnit) -> Table:
    """Every hour, folded away until it is asked for."""

    def told(value: float | None) -> str:
        return words.degrees(value, units)

    columns: list[Column[LoggedHour]] = [
        Column.of("Hour, standard time", lambda one: _moment(one, fit)),
        Column.field("Thermometer", "log_c", told, number=True),
        Column.field("Fitted spot", "model_c", told, number=True),
    ]
    return build_table(
        "hours",
        columns,
        fit.hours,
        title=f"The hours as a table, {units.symbol}",
        stacked=False,
        folded=True,
    )


def residual_curves(fit: Calibration, units: TemperatureUnit) -> Curves:
    """Log less fitted spot by hour of the day: median, and the middle four fifths."""

    def column(field: str) -> tuple[float, ...]:
        return tuple(round(shown_apart(getattr(one, field), units), 2) for one in fit.by_hour)

    band = Band(name="middle four fifths", low=column("low_c"), high=column("high_c"))
    median = Curve(
        name="median",
        role=Role.MEDIAN,
        x=tuple(one.hour for one in fit.by_hour),
        y=column("median_c"),
        band=band,
    )
    return Curves(
        curves=(median,),
        upright=f"thermometer less fitted spot, {units.symbol}",
        along="hour of the day, standard time",
        scale=Along.HOURS,
        unit=units.symbol,
        signed=True,
    )


def residuals_table(fit: Calibration, units: TemperatureUnit) -> Table:
    """One row an hour of the day."""

    def told(title: str, field: str) -> Column[HourResidual]:
        return Column.field(
            title, field, lambda value: f"{shown_apart(value, units):+.1f}", number=True
        )

    columns: list[Column[HourResidual]] = [
        Column.field("Hour", "hour", lambda hour: f"{hour:02d}:00"),
        told("One in ten below", "low_c"),
        told("Median", "median_c"),
        told("One in ten above", "high_c"),
        Column.field("Hours", "number", str, number=True),
    ]
    title = f"Thermometer less fitted spot, {units.symbol}"
    return build_table("residuals", columns, fit.by_hour, title=title)
