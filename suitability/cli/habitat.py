"""The command `habitat`: a year beside that of a place where the plant grows wild."""

from pathlib import Path
from typing import TYPE_CHECKING, Annotated

import typer
from msgspec import Struct

from suitability.cli import options
from suitability.cli.asking import read_question, write_answer
from suitability.cli.laying import Told, Without
from suitability.cli.options import Fetched, Output, Plants, Spots, Sure, Where
from suitability.cli.positions import near_position
from suitability.cli.terminal import doing
from suitability.errors import OptionError, SuitabilityError

if TYPE_CHECKING:
    from suitability.answers.sheet import Sheet
    from suitability.places import Place
    from suitability.weather.record import Record


class Wild(Struct, frozen=True, kw_only=True):
    """Where the plant grows wild."""

    habitat_at: Annotated[
        str | None,
        options.where_option(
            "--habitat-at",
            metavar="LAT,LON[,ELEV]",
            help="Where that is: of FILE, of its cell, or a station nearby.",
        ),
    ] = None
    habitat_place: Annotated[
        str | None,
        options.where_option(
            "--habitat-place", metavar="NAME", help="The same by a town; beside it, a name."
        ),
    ] = None
    habitat_station: Annotated[
        str | None,
        options.where_option(
            "--habitat-station", metavar="ID", help="A station there, instead of the choice."
        ),
    ] = None
    variable: options.Variable = None


def habitat(
    file: Annotated[
        Path | None,
        typer.Argument(metavar="FILE", help="An hourly record from there, or a grid of cells."),
    ] = None,
    *,
    wild: Wild,
    where: Where,
    spots: Spots,
    plants: Annotated[
        Plants,
        Without("all_groups"),
        Told(group="Also this group's needs at both places; may be repeated."),
    ],
    sure: Annotated[
        Sure,
        Without("promise", "minimum_allowance", "seed"),
        Told(years="Calendar years used of your record; default the last 30."),
    ],
    fetched: Fetched,
    output: Annotated[
        Output,
        Without("out", "pdf", "ics", "first_day"),
        Told(chart="Both years drawn, one page that opens offline."),
    ],
) -> None:
    """
    Set your year beside that of a place where the plant grows wild, month by month.

    That place is a record in FILE, a cell of a grid in FILE, or a weather station.
    """
    from suitability.advice.habitat import compare_habitat as answer

    _check(file, wild)
    question = read_question(
        where, spots, plants, sure=sure, fetched=fetched, output=output, reads=file
    )
    doing("Reading the habitat's record")
    quality = sure.quality.strip().lower() == "on"
    record, place = _open(file, wild, fetched, quality=quality)
    doing("Working out the answer")
    result, unit = answer(question, record, place), options.unit_shown(output)

    def sheet() -> "Sheet":
        from suitability.answers.habitat import habitat_sheet

        return habitat_sheet(result, unit)

    write_answer(output, result, sheet, rows="results months")


def _check(file: Path | None, wild: Wild) -> None:
    """Refuse, before the work, a habitat that is not named, or options that do not fit it."""
    from suitability.places import parse_at

    if wild.habitat_at is not None:
        parse_at(wild.habitat_at, "--habitat-at")
    if wild.habitat_station is not None and file is not None:
        raise OptionError("--habitat-station chooses a weather station: leave it out with FILE.")
    if file is None and wild.variable is not None:
        raise OptionError("--variable names the temperature of a grid: leave it out without FILE.")
    if file is None and wild.habitat_at is None and wild.habitat_place is None:
        raise OptionError(
            "Name where the plant grows wild: a record or grid as FILE, or a position with "
            "--habitat-at LAT,LON, or a town with --habitat-place."
        )


def _open(
    file: Path | None, wild: Wild, fetched: Fetched, *, quality: bool
) -> "tuple[Record, Place]":
    """
    The habitat's record and place.

    Raises
    ------
    SuitabilityError
        It cannot be read or fetched, in the words that tell so of any record.
    """
    from suitability.cli.sources import Request, is_imported, open_record

    there = Where(
        at=None if wild.habitat_at is None else [wild.habitat_at],
        place=wild.habitat_place,
        record=None if file is None else [file],
    )
    if file is not None and not is_imported(file):
        from suitability.atlas.grid import is_grid

        if wild.habitat_at is None and wild.habitat_place is None:
            raise OptionError(f"{file}: say where it lies, or which cell, with --habitat-at.")
        if is_grid(file):
            from suitability.atlas.cells import read_cell

            near, name = near_position(there, needed=True), wild.habitat_place
            assert near is not None
            return read_cell(
                [file], near.latitude, near.longitude, variable=wild.variable, name=name
            )
    chosen = Fetched(
        station=wild.habitat_station, offline=fetched.offline, allow_missing=fetched.allow_missing
    )
    try:
        return open_record(Request.of(there, chosen, years=(None, None), quality=quality))
    except SuitabilityError as reason:
        told = str(reason).replace("--at ", "--habitat-at ")
        raise type(reason)(f"Of the habitat: {told}") from reason
