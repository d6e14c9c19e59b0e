"""`check --places`: one question asked of a list of places, its answers in one file."""

import hashlib
from functools import cache, partial
from pathlib import Path
from typing import TYPE_CHECKING

from msgspec.structs import replace

from suitability.cli.asking import open_question, read_subjects
from suitability.cli.options import Fetched, Output, Plants, Spots, Sure, Where, unit_shown
from suitability.cli.terminal import done, print_json, print_sheet, progress_bar
from suitability.errors import OptionError

if TYPE_CHECKING:
    from collections.abc import Iterator

    from suitability.atlas.batch import Done, Work
    from suitability.atlas.listing import Listed

FAILURE = "failure"  # the last column: why a place has no answer
LISTED = "listed"  # the first: its name in the list


def check_places(
    file: Path,
    results: Path,
    *,
    where: Where,
    spots: Spots,
    plants: Plants,
    sure: Sure,
    fetched: Fetched,
    output: Output,
) -> None:
    """
    Answer for every place of a list, write all rows to one file, and say what they come to.

    Raises
    ------
    OptionError
        Options name one place beside the list, or write what many places have not.
    SuitabilityError
        The list, the question or the file of results stops the work.
    """
    from suitability.atlas.batch import journal_of, read_journal, work_through
    from suitability.atlas.listing import count_places, read_places
    from suitability.atlas.tally import tally_places
    from suitability.output.rowfiles import check_form, write_rows
    from suitability.output.writing import check_target

    _check(where, output)
    check_target(results)
    check_form(results)
    if results.resolve() in {path.resolve() for path in (file, *_named(spots, plants))}:
        raise OptionError(f"--results {results}: is a file that is read; choose another.")
    unit_shown(output)
    read_subjects(spots, plants, sure)  # a slip is told before the work
    total = count_places(file)
    journal = journal_of(results)
    columns = _columns()
    asked = (where, spots, plants, sure, fetched)
    with progress_bar("places") as progress:
        work_through(
            read_places(file),
            partial(_make_work, spots, plants, sure, fetched),
            journal,
            question=_digest(asked, (file, *_named(spots, plants))),
            tell=lambda number, name: progress(number, total, name) if progress else None,
        )
    write_rows(results, columns, lambda: _told(read_journal(journal), len(columns)))
    result = tally_places(
        read_journal(journal), columns[1:], list_file=file.name, results_file=results.name
    )
    journal.unlink()
    done()
    if output.json:
        print_json(result)
    else:
        from suitability.answers.places import places_sheet

        print_sheet(places_sheet(result), details=output.details)


def _told(done: "Iterator[Done]", columns: int) -> "Iterator[tuple[object, ...]]":
    """Rows of the file: those of each place, or one that says why it has none."""
    for one in done:
        if one.failure:
            yield (one.name, *(None,) * (columns - 2), one.failure)
        yield from ((one.name, *row, None) for row in one.rows)


def _check(where: Where, output: Output) -> None:
    """Refuse what is of one place."""
    if where != Where():
        raise OptionError("--places lists the places: leave out what names a single one.")
    for option, target in (
        ("--csv", output.csv),
        ("--chart", output.chart),
        ("--xlsx", output.xlsx),
        ("--tables", output.tables),
        ("--figure", output.figure),
    ):
        if target is not None:
            raise OptionError(f"{option} shows one place; those of --places go to --results.")


@cache
def _columns() -> tuple[str, ...]:
    """Of the file of rows: the name in the list, the columns of `check --csv`, and the failure."""
    from suitability.advice.result import CheckResult
    from suitability.output.datatables import main_columns

    return (LISTED, *(column.name for column in main_columns(CheckResult)), FAILURE)


def _make_work(spots: Spots, plants: Plants, sure: Sure, fetched: Fetched) -> "Work":
    """From a place to what a check of it finds, as rows of `check --csv`."""
    from suitability.advice.check import check
    from suitability.output.datatables import main_table

    subjects = replace(read_subjects(spots, plants, sure), in_full=False)

    def rows(place: "Listed") -> "tuple[tuple[object, ...], ...]":
        where = Where(
            place=place.place,
            at=None if place.at is None else [place.at],
            record=None if place.record is None else [place.record],
            utc_offset=place.utc_offset_hours,
        )
        return main_table(check(open_question(where, fetched, subjects, sure))).rows

    return rows


def _named(spots: Spots, plants: Plants) -> list[Path]:
    """Files that options name."""
    return [path for path in (spots.collection, plants.groups_file) if path is not None]


def _digest(asked: object, files: tuple[Path, ...]) -> str:
    """Tells one piece of work from another: release, options, and the files they name."""
    from importlib.metadata import version

    from msgspec.json import encode

    told = hashlib.sha256(encode((version("suitability"), asked), enc_hook=str))
    for path in files:
        told.update(hashlib.sha256(path.read_bytes()).digest())
    return told.hexdigest()
