"""`suitability spots fit`: a spot measured with the grower's own thermometer."""

from pathlib import Path
from typing import TYPE_CHECKING, Annotated

import typer
from msgspec.structs import replace

from suitability.cli import options
from suitability.cli.asking import read_question, write_answer
from suitability.cli.completing import choices
from suitability.cli.laying import Only, Told, Without
from suitability.cli.options import Fetched, Logger, Output, Plants, Spots, Sure, Where
from suitability.cli.terminal import say
from suitability.errors import OptionError

if TYPE_CHECKING:
    from suitability.advice.calibration import Calibration
    from suitability.advice.question import Question
    from suitability.answers.sheet import Sheet
    from suitability.spots.collection import Collection
    from suitability.weather.record import Record
    from suitability.weather.sources.extremes import Extremes

EXTREMES = ("min", "max")  # columns by which a file of minima and maxima is known


def fit(
    log: Annotated[Path, typer.Argument(metavar="LOG", help="What your thermometer wrote.")],
    *,
    where: Where,
    spots: Annotated[
        Spots,
        Without("roof"),
        Told(spot="The spot of the collection that it hung at."),
    ],
    plants: Annotated[Plants, Only("groups_file")],
    fetched: Fetched,
    logger: Annotated[
        Logger,
        Told(
            columns="What its columns are; date, min and max for a minimum-maximum thermometer.",
        ),
    ],
    clock_shift: Annotated[
        int,
        options.logger_option(
            "--clock-shift", metavar="HOURS", help="Added to its times, -12 to 12."
        ),
    ] = 0,
    read: Annotated[
        str,
        options.logger_option(
            "--read",
            help="When minima and maxima were read and set back.",
            **choices("morning", "evening"),
        ),
    ] = "evening",
    sensor_error: Annotated[
        float,
        options.logger_option(
            "--sensor-error", metavar="K", help="How far the thermometer itself may be off."
        ),
    ] = 0.3,
    output: Annotated[Output, Only("units", "json", "chart")],
    write: Annotated[
        bool,
        options.output_option("--write", help="Put the result into the collection file."),
    ] = False,
) -> None:
    """Measure what a spot adds to the open air, from three weeks of a thermometer hung there."""
    morning = options.parse_choice("--read", read, ("morning", "evening")) == "morning"
    options.check_range("--clock-shift", clock_shift, -12, 12)
    options.check_range("--sensor-error", sensor_error, 0.0, 5.0)
    name, shown = options.single("--spot", spots.spot), options.unit_shown(output)
    if spots.collection is None and write:
        raise OptionError("--write: name the file with --collection and the spot with --spot.")
    if spots.collection is not None and name is None:
        raise OptionError("--collection: say with --spot at which of its spots the log was kept.")
    read_log = _read_log(log, logger, morning=morning)
    question = read_question(
        where,
        spots,
        replace(plants, all_groups=True),
        sure=Sure(),
        fetched=fetched,
        output=output,
        years=_years_around(read_log),
    )
    found = _calibrate(
        read_log, question, name=log.name, shift=clock_shift, sensor_error_c=sensor_error
    )

    def sheet() -> "Sheet":
        from suitability.answers.fit import fit_sheet

        return fit_sheet(found, shown)

    if write:
        assert question.subjects.collection is not None
        _write(question.subjects.collection, found)
    write_answer(output, found, sheet)


def _calibrate(
    log: "Record | Extremes", question: "Question", *, name: str, shift: int, sensor_error_c: float
) -> "Calibration":
    """The fit to hours, or to minima and maxima."""
    from msgspec.structs import replace

    from suitability.advice.calibration import fit
    from suitability.weather.sources.extremes import Extremes

    if isinstance(log, Extremes):
        if shift:
            raise OptionError("--clock-shift moves hours: leave it out for minima and maxima.")
    else:
        log = replace(log, start_hour=log.start_hour + shift)
    return fit(question, log, log_name=name, sensor_error_c=sensor_error_c)


def _read_log(log: Path, logger: Logger, *, morning: bool) -> "Record | Extremes":
    """The log: hours of a known form or of declared columns, or minima and maxima."""
    from suitability.cli.importing import parse_columns, read_declared

    if logger.columns is None or not _is_extremes(logger.columns):
        return read_declared(log, logger).record
    from suitability.units import TemperatureUnit
    from suitability.weather.sources.extremes import read_extremes

    named = parse_columns(logger.columns, (*EXTREMES, "date"))
    if logger.input_units is None:
        raise OptionError("--columns: say the thermometer's degrees with --input-units c or f.")
    if logger.zone is not None:
        raise OptionError("--zone belongs to a log of hours: leave it out for minima and maxima.")
    return read_extremes(
        log,
        columns=named,
        unit=TemperatureUnit(options.parse_choice("--input-units", logger.input_units, ("c", "f"))),
        read_in_the_morning=morning,
        date_format=logger.time_format,
    )


def _is_extremes(columns: str) -> bool:
    """Whether the columns declared are those of minima and maxima."""
    return any(part.strip().partition("=")[0].strip() in EXTREMES for part in columns.split(","))


def _years_around(log: "Record | Extremes") -> tuple[int, int]:
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
