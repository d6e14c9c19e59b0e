"""From options as typed to the library's question, and answers written."""

from collections.abc import Sequence
from functools import cache
from pathlib import Path
from typing import TYPE_CHECKING

import typer

from suitability.cli import options
from suitability.cli.options import Fetched, Output, Plants, Spots, Sure, Where
from suitability.cli.sources import Request, open_record
from suitability.cli.terminal import doing, done, print_json, print_sheet
from suitability.errors import OptionError, OutputError

if TYPE_CHECKING:
    from collections.abc import Callable, Mapping

    from msgspec import Struct

    from suitability.advice.plant_state import PlantState
    from suitability.advice.question import Question, Subjects
    from suitability.answers.sheet import Sheet
    from suitability.output.datatables import DataTable
    from suitability.output.images import NamedFigure

STANDARD_OUTPUT = "-"
WRITING = "Writing the answer"


def read_question(
    where: Where,
    spots: Spots,
    plants: Plants,
    *,
    sure: Sure,
    fetched: Fetched,
    output: Output,
    state: "PlantState | None" = None,
    label_c: tuple[float, float] | None = None,
    worst: bool = False,
    years: tuple[int, int] | None = None,
    reads: Path | None = None,
    carry: str | None = None,
) -> "Question":
    """The question about one place; see `read_questions`."""
    return read_questions(
        [(where, fetched)],
        spots,
        plants,
        sure=sure,
        output=output,
        state=state,
        label_c=label_c,
        worst=worst,
        years=years,
        reads=reads,
        carry=carry,
    )[0]


def read_questions(
    places: Sequence[tuple[Where, Fetched]],
    spots: Spots,
    plants: Plants,
    *,
    sure: Sure,
    output: Output,
    state: "PlantState | None" = None,
    label_c: tuple[float, float] | None = None,
    worst: bool = False,
    years: tuple[int, int] | None = None,
    reads: Path | None = None,
    carry: str | None = None,
) -> "list[Question]":
    """
    The same question about each place: options checked, names understood, records opened.

    Parameters
    ----------
    places
        Each with how its record is got.
    state, label_c
        Of a single plant; `label_c` is the range on its label, °C.
    worst
        Whether the worst nights are asked for.
    years
        Calendar years asked for by other means than --years.
    reads
        The file of a command's argument; nothing may be written over it.
    carry
        The file of --carry, a page too.

    Raises
    ------
    OptionError
        An option is out of range, or two do not go together.
    SuitabilityError
        Something in files, catalogue, network or folders stops the work.
    """
    options.unit_shown(output)
    inputs: list[tuple[str, Path | None]] = [
        *(("--record", path) for where, _ in places for path in where.record or ()),
        ("--collection", spots.collection),
        ("--groups-file", plants.groups_file),
        ("FILE", reads),
    ]
    taken = {path.resolve(): f"{name} {path}" for name, path in inputs if path}
    _check_targets(output, taken, carry)
    subjects = read_subjects(
        spots, plants, sure, [where for where, _ in places], state=state, label_c=label_c
    )
    questions = []
    for where, fetched in places:
        doing("Reading the record")
        questions.append(open_question(where, fetched, subjects, sure, worst=worst, years=years))
    doing("Working out the answer")
    return questions


def read_subjects(
    spots: Spots,
    plants: Plants,
    sure: Sure,
    places: Sequence[Where] = (),
    *,
    state: "PlantState | None" = None,
    label_c: tuple[float, float] | None = None,
) -> "Subjects":
    """
    Who is asked about, options checked and names understood, before any record is opened.

    Raises
    ------
    OptionError
        An option is out of range, or two do not go together.
    CatalogueError
        A name leads nowhere, or a file is wrong.
    """
    from suitability.advice.question import choose_subjects
    from suitability.groups import Caution, read_catalogue

    options.check_range("--promise", sure.promise, 0.5, 0.99)
    if sure.minimum_allowance is not None:
        options.check_range("--minimum-allowance", sure.minimum_allowance, 0.0, 5.0)
    for where in places:
        if where.utc_offset is not None:
            options.check_range("--utc-offset", where.utc_offset, -12.0, 14.0)
    caution = Caution(options.parse_choice("--caution", plants.caution, ("low", "usual", "high")))
    options.parse_choice("--quality", sure.quality, ("on", "off"))
    options.parse_years(sure.years)
    if spots.roof and (spots.collection is not None or spots.spot):
        raise OptionError(
            "--roof is for the open air alone: a spot of a collection or a ready kind says for "
            "itself whether rain is kept off (roofed = true)."
        )
    if plants.group and plants.all_groups:
        raise OptionError("--all-groups: asks for every group; leave --group out.")
    return choose_subjects(
        plants.group or (),
        spots.spot or (),
        roof=spots.roof,
        collection=spots.collection,
        catalogue=read_catalogue(plants.groups_file),
        caution=caution,
        state=state,
        label_c=label_c,
        all_groups=plants.all_groups,
    )


def open_question(
    where: Where,
    fetched: Fetched,
    subjects: "Subjects",
    sure: Sure,
    *,
    worst: bool = False,
    years: tuple[int, int] | None = None,
) -> "Question":
    """
    The question of one place, its record opened; options were checked by `read_subjects`.

    Raises
    ------
    SuitabilityError
        The record cannot be read or fetched.
    """
    from suitability.advice.question import ask_about

    asked_years = years or options.parse_years(sure.years)
    quality = options.parse_choice("--quality", sure.quality, ("on", "off")) == "on"
    request = Request.of(where, fetched, years=asked_years, quality=quality)
    record, place = open_record(request.at_home(subjects.collection))
    return ask_about(
        subjects,
        record,
        place,
        promise=sure.promise,
        years=asked_years,
        quality=quality,
        minimum_allowance_c=sure.minimum_allowance,
        seed=sure.seed,
        worst=worst,
    )


def _check_targets(output: Output, inputs: "Mapping[Path, str]", carry: str | None) -> None:
    """Refuse, before the work, targets that cannot be written or would overwrite an input."""
    from suitability.output.writing import check_target

    page_option = "--chart" if output.out is None else "--out"
    if output.json and output.csv == STANDARD_OUTPUT:
        raise OptionError("--json and --csv -: both want standard output. Name a file for --csv.")
    for option, target in ((page_option, output.page), ("--carry", carry)):
        if target == STANDARD_OUTPUT:
            raise OptionError(f"{option} -: a page is no text; name a file.")
    taken = dict(inputs)
    for option, target in (
        ("--csv", output.csv),
        (page_option, output.page),
        ("--carry", carry),
        ("--ics", output.ics),
        ("--xlsx", output.xlsx),
        ("--figure", output.figure),
    ):
        if target is None:
            continue
        if target != STANDARD_OUTPUT:
            check_target(target)
            path = Path(target).resolve()
            if path in taken:
                raise OptionError(
                    f"{option} {target}: is the same file as {taken[path]}; choose another."
                )
            taken[path] = f"{option} {target}"
        options.check_ending(option, target)
    _check_folder(output.tables, taken)
    if output.figure is not None:
        from suitability.output.images import check_drawing

        check_drawing()


def _check_folder(tables: str | None, taken: "Mapping[Path, str]") -> None:
    """Refuse a folder of tables that is not there, or in which one could overwrite a file named."""
    if tables is None:
        return
    if not Path(tables).is_dir():
        raise OutputError(f"--tables {tables}: is no folder; create it first.")
    for path, named in taken.items():
        if path.parent == Path(tables).resolve() and path.suffix.lower() == ".csv":
            raise OptionError(
                f"--tables {tables}: holds {named}, which a table may overwrite; choose another "
                "folder."
            )


def write_answer(
    output: Output,
    result: "Struct",
    sheet: "Callable[[], Sheet]",
    *,
    rows: str = "results",
    table: "Callable[[], DataTable] | None" = None,
    calendar: "Callable[[], bytes] | None" = None,
    page: "Callable[[], str] | None" = None,
) -> None:
    """
    Write the files asked for, then the document or the text to standard output.

    Parameters
    ----------
    result
        What is encoded as JSON and laid out in data tables.
    sheet
        Makes what is shown; asked once, and only where something is shown.
    rows
        Path of the list whose objects are the rows of the CSV.
    table
        Makes the table of a CSV whose rows are no list of the result.
    calendar
        Makes the calendar of --ics.
    page
        Makes a page that is laid out in its own way.
    """
    shown = cache(sheet)
    doing(WRITING)
    if output.page is not None:
        from suitability.output.page import render_page

        _write_text(output.page, page() if page is not None else render_page(shown()))
    if output.csv is not None:
        from suitability.output.datatables import main_table
        from suitability.output.tablefiles import render_csv, render_csv_file

        told = main_table(result, rows) if table is None else table()
        if output.csv == STANDARD_OUTPUT:
            _write_text(output.csv, render_csv(told))
        else:
            _write(output.csv, render_csv_file(told))
    if output.ics is not None and calendar is not None:
        _write(output.ics, calendar())
    if output.xlsx is not None or output.tables is not None:
        _write_tables(output, result, shown())
    if output.figure is not None:
        from suitability.output.figures import sheet_figures

        write_figures(output.figure, sheet_figures(shown()))
    if output.json:
        print_json(result)
    elif output.csv != STANDARD_OUTPUT:
        print_sheet(shown(), details=output.details)


def write_figures(target: str, figures: "Sequence[NamedFigure]") -> None:
    """Each chart as a picture, its name put before the ending of the file named."""
    from suitability.output.images import render_images

    doing("Drawing the pictures")
    asked = Path(target)
    for name, image in render_images(figures, asked.suffix.lower().removeprefix(".")):
        _write(asked.with_name(f"{asked.stem}-{name}{asked.suffix}"), image)


def _write(target: str | Path, data: bytes) -> None:
    """One file, and a line on standard error that tells of it."""
    from suitability.output.writing import write_bytes

    write_bytes(target, data)
    tell_written(target)


def _write_text(target: str, text: str) -> None:
    """One file, or standard output, and a line on standard error that tells of a file."""
    from suitability.output.writing import write_text

    done()
    write_text(target, text)
    if target != STANDARD_OUTPUT:
        tell_written(target)


def tell_written(target: str | Path) -> None:
    """A line on standard error that tells of a file; what follows is to be waited for too."""
    done()
    typer.echo(f"Wrote {target}", err=True)
    doing(WRITING)


def _write_tables(output: Output, result: "Struct", sheet: "Sheet") -> None:
    """The workbook, and each table as CSV."""
    from suitability.output.datatables import data_tables
    from suitability.output.tablefiles import (
        about_rows,
        file_name,
        render_csv_file,
        render_workbook,
    )

    tables = data_tables(result, about_rows(sheet))
    if output.xlsx is not None:
        _write(output.xlsx, render_workbook(tables))
    if output.tables is not None:
        for table in tables:
            _write(Path(output.tables) / f"{file_name(table)}.csv", render_csv_file(table))
