"""`suitability spots fit`: a spot measured with the grower's own thermometer."""

from pathlib import Path
from typing import TYPE_CHECKING, Annotated

import typer

from suitability.cli import options
from suitability.cli.terminal import print_json, say
from suitability.errors import OptionError

if TYPE_CHECKING:
    from suitability.advice.calibration import Calibration
    from suitability.places import Place
    from suitability.spots.collection import Collection
    from suitability.spots.spot import Spot
    from suitability.weather.record import Record
    from suitability.weather.sources.extremes import Extremes

__all__ = ["fit"]

EXTREMES = ("min", "max")  # columns by which a file of minima and maxima is known


def fit(
    log: Annotated[Path, typer.Argument(metavar="LOG", help="What your thermometer wrote.")],
    *,
    columns: Annotated[
        str | None,
        typer.Option(
            "--columns",
            metavar="time=COLUMN,temp=COLUMN",
            help="What its columns are; date, min and max for a minimum-maximum thermometer.",
        ),
    ] = None,
    unit: Annotated[
        str | None, typer.Option("--unit", metavar="c|f", help="Degrees of the thermometer.")
    ] = None,
    zone: Annotated[
        str | None,
        typer.Option("--zone", metavar="ZONE", help="Of its clock: Europe/Lisbon, -08:00, UTC."),
    ] = None,
    time_format: Annotated[
        str | None,
        typer.Option(
            "--time-format", metavar="FORMAT", help="Of its times, such as %d/%m/%Y %H:%M."
        ),
    ] = None,
    shift: Annotated[
        int, typer.Option("--shift", metavar="HOURS", help="Added to its times, -12 to 12.")
    ] = 0,
    read: Annotated[
        str,
        typer.Option(
            "--read",
            metavar="morning|evening",
            help="When minima and maxima were read and set back.",
        ),
    ] = "evening",
    sensor_error: Annotated[
        float,
        typer.Option(
            "--sensor-error", metavar="K", help="How far the thermometer itself may be off."
        ),
    ] = 0.3,
    collection: options.CollectionOption = None,
    spot: Annotated[
        str | None,
        typer.Option("--spot", metavar="NAME", help="The spot of the collection that it hung at."),
    ] = None,
    write: Annotated[
        bool, typer.Option("--write", help="Put the result into the collection file.")
    ] = False,
    demo: options.DemoFlag = False,
    place: options.PlaceOption = None,
    at: options.AtOption = None,
    record: options.RecordOption = None,
    station: options.StationOption = None,
    utc_offset: options.UtcOffsetOption = None,
    offline: options.OfflineFlag = False,
    units: options.UnitsOption = "c",
    json: options.JsonFlag = False,
    chart: options.ChartOption = None,
) -> None:
    """Measure what a spot adds to the open air, from three weeks of a thermometer hung there."""
    from suitability.cli.collections import at_home
    from suitability.cli.sources import Request, open_record
    from suitability.output.fit_words import render_fit
    from suitability.output.writing import check_target, write_text
    from suitability.units import TemperatureUnit

    shown = TemperatureUnit(options.parse_choice("--units", units, ("c", "f")))
    morning = options.parse_choice("--read", read, ("morning", "evening")) == "morning"
    options.check_range("--shift", shift, -12, 12)
    options.check_range("--sensor-error", sensor_error, 0.0, 5.0)
    options.check_ending("--chart", chart)
    check_target(chart)
    mine, before = _spot(collection, spot, write=write)
    read_log = _read_log(
        log, columns=columns, unit=unit, zone=zone, time_format=time_format, morning=morning
    )
    request = Request(
        demo=demo,
        place=place,
        at=tuple(at or ()),
        records=tuple(record or ()),
        years=_years_around(read_log),
        utc_offset_hours=utc_offset,
        offline=offline,
        quality=True,
        station=station,
    )
    outside, where = open_record(request if mine is None else at_home(request, mine))
    found = _calibrate(
        read_log, outside, where, before, name=log.name, shift=shift, sensor_error_c=sensor_error
    )
    if chart is not None:
        from suitability.output.fit_page import render_fit_page

        write_text(chart, render_fit_page(found, shown))
        say(f"Wrote {chart}")
    if write:
        assert mine is not None
        _write(mine, found)
    if json:
        print_json(found)
    else:
        typer.echo(render_fit(found, shown))


def _calibrate(
    log: "Record | Extremes",
    outside: "Record",
    place: "Place",
    before: "Spot",
    *,
    name: str,
    shift: int,
    sensor_error_c: float,
) -> "Calibration":
    """The fit to hours, or to minima and maxima."""
    from msgspec.structs import replace

    from suitability.advice.calibration import calibrate_from_extremes, calibrate_from_hours
    from suitability.weather.sampling import find_allowance
    from suitability.weather.sources.extremes import Extremes

    if isinstance(log, Extremes):
        if shift:
            raise OptionError("--shift moves hours: leave it out for minima and maxima.")
        return calibrate_from_extremes(
            outside,
            place,
            log,
            before,
            log_name=name,
            sensor_error_c=sensor_error_c,
            minimum_allowance_c=find_allowance(outside, None)[0],
        )
    return calibrate_from_hours(
        outside,
        place,
        replace(log, start_hour=log.start_hour + shift),
        before,
        log_name=name,
        sensor_error_c=sensor_error_c,
    )


def _spot(file: Path | None, name: str | None, *, write: bool) -> "tuple[Collection | None, Spot]":
    """The collection, and the spot that is measured as it is known now."""
    from suitability.cli.collections import choose_spots, open_collection
    from suitability.groups import read_catalogue
    from suitability.spots.spot import OPEN_AIR

    if file is None:
        if write:
            raise OptionError("--write: name the file with --collection and the spot with --spot.")
        return None, choose_spots(None, (name,), roof=False)[0] if name else OPEN_AIR
    if name is None:
        raise OptionError("--collection: say with --spot at which of its spots the log was kept.")
    collection = open_collection(file, read_catalogue())
    return collection, collection.find_spot(name)


def _read_log(
    log: Path,
    *,
    columns: str | None,
    unit: str | None,
    zone: str | None,
    time_format: str | None,
    morning: bool,
) -> "Record | Extremes":
    """The log: hours of a known form or of declared columns, or minima and maxima."""
    from suitability.cli.importing import parse_columns, read_declared

    if columns is None or not _is_extremes(columns):
        return read_declared(
            log, columns=columns, unit=unit, zone=zone, time_format=time_format
        ).record
    from suitability.units import TemperatureUnit
    from suitability.weather.sources.extremes import read_extremes

    named = parse_columns(columns, (*EXTREMES, "date"))
    if unit is None:
        raise OptionError("--columns: say the thermometer's degrees with --unit c or f.")
    if zone is not None:
        raise OptionError("--zone belongs to a log of hours: leave it out for minima and maxima.")
    return read_extremes(
        log,
        columns=named,
        unit=TemperatureUnit(options.parse_choice("--unit", unit, ("c", "f"))),
        read_in_the_morning=morning,
        date_format=time_format,
    )


def _is_extremes(columns: str) -> bool:
    """Whether the columns declared are those of minima and maxima."""
    return any(part.strip().partition("=")[0].strip() in EXTREMES for part in columns.split(","))


def _years_around(log: "Record | Extremes") -> tuple[int | None, int | None]:
    """Years of a station that hold the log, and enough before it to tell seasons."""
    from datetime import UTC, datetime

    from suitability.weather.record import datetime_of_hour
    from suitability.weather.sources.extremes import Extremes

    last = (
        datetime.fromtimestamp((log.first_day + log.min_c.size - 1) * 86400, UTC)
        if isinstance(log, Extremes)
        else datetime_of_hour(log.stop_hour - 1)
    )
    return last.year - 5, last.year


def _write(collection: "Collection", found: "Calibration") -> None:
    """The measured spot into its file, notes kept, whole or not at all."""
    from suitability.output.writing import write_text
    from suitability.spots.editing import with_measured_spot

    path = collection.path
    text = path.read_bytes().decode("utf-8-sig")
    write_text(path, with_measured_spot(text, found.spot, path.name))
    say(f"Wrote the measured numbers of {found.spot.name} into {path}")
