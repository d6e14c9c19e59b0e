"""`suitability weather import`: a record of one's own, read, explained and kept."""

import re
from collections.abc import Sequence
from pathlib import Path
from typing import TYPE_CHECKING, Annotated

import typer

from suitability.cli import options
from suitability.cli.laying import Only, Told
from suitability.cli.options import Logger, Where
from suitability.cli.positions import near_position
from suitability.cli.terminal import doing, print_sheet, say
from suitability.errors import OptionError, RecordError, StoreError

if TYPE_CHECKING:
    from suitability.weather.fetching import Near
    from suitability.weather.record import Record
    from suitability.weather.sources.axis import FileRecord

OF_LOG = ("--columns", "--input-units", "--zone")
QUANTITIES = ("time", "date", "clock", "temp", "rhum", "dwpt", "prcp")


def import_file(
    file: Annotated[Path, typer.Argument(metavar="FILE", help="An hourly record.")],
    *,
    where: Annotated[Where, Only("place", "at", "utc_offset")],
    logger: Annotated[
        Logger,
        Told(
            columns=(
                "Read a data logger's CSV: what its columns are; with --input-units and --zone."
            ),
        ),
    ],
    name: Annotated[
        str | None,
        options.output_option("--name", metavar="NAME", help="Default: that of the file."),
    ] = None,
    overwrite: Annotated[
        bool, options.output_option("--replace", help="Overwrite a record of this name.")
    ] = False,
) -> None:
    """Read a file once, say what was understood, check it, and keep it in the store."""
    from datetime import UTC, datetime

    from suitability.answers.weather import imported_sheet
    from suitability.weather.sources.axis import judge_place
    from suitability.weather.store import ImportedPlace, default_store_folder, import_record

    name, folder = name or file.name.split(".")[0], default_store_folder()
    near = near_position(where, needed=False)
    if not overwrite:
        _check_free(folder, name)
    found = read_declared(file, logger)
    say(f"{file.name} was understood so:", *found.understood.sentences(), *found.record.notes)
    refuse_future(found.record, file)
    record = judge_place(
        found.record,
        file.name,
        latitude=near.latitude if near else None,
        longitude=near.longitude if near else None,
    )
    say(*record.notes[len(found.record.notes) :])
    kept = ImportedPlace(
        name=where.place or name,
        latitude=near.latitude if near else None,
        longitude=near.longitude if near else None,
        elevation_m=near.elevation_m if near else None,
        utc_offset_hours=_offset_of_position(near, record, where.utc_offset),
    )
    now = datetime.now(UTC)
    import_record(folder, name, record, place=kept, from_where=str(file.resolve()), now=now)
    print_sheet(imported_sheet(name, record), details=True)


def _check_free(folder: Path, name: str) -> None:
    """Refuse a name under which a record is kept already, and say which."""
    from suitability.answers.weather import imported_sheet
    from suitability.weather.store import list_imported, read_imported

    if name not in list_imported(folder):
        return
    try:
        record, _ = read_imported(folder, name)
    except StoreError:
        return  # it was damaged, and has been set aside
    raise StoreError(
        f"A record of this name is kept already ({imported_sheet(name, record).headline}); name "
        "the new one otherwise with --name, or overwrite it with --replace."
    )


def refuse_future(record: "Record", path: Path) -> None:
    """Refuse hours that have not been: one mistyped year would push the whole record aside."""
    from datetime import UTC, datetime, timedelta

    from suitability.weather.record import datetime_of_hour

    last = datetime_of_hour(record.stop_hour - 1)
    if last > datetime.now(UTC) + timedelta(days=1):
        raise RecordError(
            f"{path.name}: its last hour, {last:%Y-%m-%d %H:%M} UTC, has not been yet; mend the "
            "line, or take it out."
        )


def read_declared(file: Path, logger: Logger, named: tuple[str, str, str] = OF_LOG) -> "FileRecord":
    """
    The record in a file: a logger's where columns are declared, else one of a known form.

    The sun is not asked, so that the file can be explained first.

    Parameters
    ----------
    named
        The options that declare columns, unit and zone.

    Raises
    ------
    OptionError
        Options of a logger without its columns, or columns without unit and zone.
    RecordError
        The file cannot be used.
    """
    from suitability.units import TemperatureUnit

    doing(f"Reading {file.name}")

    def tell(share: float) -> None:
        doing(f"Reading {file.name}, {100 * share:.0f} %", step=False)

    columns, units, zone = named
    unit = None
    if logger.input_units is not None:
        unit = TemperatureUnit(options.parse_choice(units, logger.input_units, ("c", "f")))
    if logger.columns is None:
        from suitability.weather.sources.files import read_file

        declared = {zone: logger.zone, "--time-format": logger.time_format}
        given = [option for option, value in declared.items() if value is not None]
        if given:
            raise OptionError(
                f"{given[0]} belongs to a data logger's file: declare its columns too, such as "
                f"{columns} time=TIME,temp=TEMPERATURE."
            )
        return read_file(file, longitude=None, unit=unit, on_share=tell)
    if unit is None or logger.zone is None:
        raise OptionError(
            f"{columns}: say the logger's degrees with {units} c or f, and the zone of its clock "
            f"with {zone}, such as Europe/Lisbon, -08:00 or UTC."
        )
    from suitability.weather.sources.logger import read_logger

    return read_logger(
        file,
        columns=parse_columns(logger.columns, option=columns),
        unit=unit,
        zone=logger.zone,
        time_format=logger.time_format,
        on_share=tell,
    )


def parse_columns(
    text: str, quantities: "Sequence[str]" = QUANTITIES, *, option: str = OF_LOG[0]
) -> dict[str, str]:
    """
    What each column is, from "time=COLUMN,temp=COLUMN"; a name may hold commas and signs "=".

    Raises
    ------
    OptionError
        The text is not of that form, or names one thing twice.
    """
    known = "|".join(quantities)
    parts = re.split(rf",(?=\s*(?:{known})\s*=)", text)
    columns: dict[str, str] = {}
    for part in parts:
        what, sign, own = (piece.strip() for piece in part.partition("="))
        if not sign or not own or what not in quantities:
            raise OptionError(
                f"{option} {text}: {part.strip()!r} is none of {', '.join(quantities)} with the "
                "name of its column; expected such as time=Date Time,temp=Temperature."
            )
        if what in columns:
            raise OptionError(f"{option} {text}: {what} is named twice; name one column for it.")
        columns[what] = own
    return columns


def _offset_of_position(
    near: "Near | None", record: "Record", given_hours: float | None
) -> float | None:
    """Standard time of an imported record, looked up once and for all; None if it is unknown."""
    if given_hours is not None or near is None:
        return given_hours
    from suitability.places import find_zone, standard_offset_hours
    from suitability.weather.record import datetime_of_hour

    year = datetime_of_hour(record.stop_hour - 1).year
    return standard_offset_hours(find_zone(near.latitude, near.longitude), year)
