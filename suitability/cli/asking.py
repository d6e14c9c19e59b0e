"""What check and moves are asked: their common options, checked and opened, and answers written."""

from dataclasses import dataclass
from pathlib import Path
from typing import TYPE_CHECKING

import typer

from suitability.cli import options
from suitability.cli.collections import at_home, choose_spots, open_collection, plants_in_state
from suitability.cli.sources import Request, open_record
from suitability.errors import OptionError, OutputError

if TYPE_CHECKING:
    from collections.abc import Callable, Mapping, Sequence
    from typing import Any

    from suitability.advice.preparing import CheckOptions
    from suitability.advice.profiling import Subject
    from suitability.groups import Catalogue, Caution, Group, Needs
    from suitability.groups.naming import Understood
    from suitability.output.images import NamedFigure
    from suitability.output.workbook import Sheet
    from suitability.places import Place
    from suitability.spots.collection import Collection
    from suitability.spots.spot import Spot
    from suitability.units import TemperatureUnit
    from suitability.weather.record import Record

__all__ = ["Asked", "Wishes", "read_wishes", "wishes_of", "write_answer", "write_figures"]

STANDARD_OUTPUT = "-"


@dataclass(frozen=True, slots=True, kw_only=True)
class Wishes:
    """
    The options of a command as typed, each under the name of its parameter.

    Those without a default are options of every command. `page_option` is the one that names the
    page (`chart`).
    """

    demo: bool
    place: str | None
    at: list[str] | None
    record: list[Path] | None
    group: list[str] | None
    groups: Path | None
    collection: Path | None
    spot: list[str] | None
    promise: float
    years: str | None
    caution: str
    utc_offset: float | None
    units: str
    offline: bool
    roof: bool = False
    quality: str = "on"
    minimum_allowance: float | None = None
    json: bool = False
    csv: str | None = None
    chart: str | None = None
    allow_missing: bool = False
    station: str | None = None
    neighbours: int = 0
    lapse_rate: float | None = None
    seed: int = 20
    worst: bool = False
    page_option: str = "--chart"
    ics: str | None = None
    xlsx: str | None = None
    tables: str | None = None
    figure: str | None = None


@dataclass(frozen=True, slots=True, kw_only=True)
class Asked:
    """
    What the library is asked: record, place, spots, groups and options.

    `plants` are those of the collection whose state moves their limits, each with a spot;
    `by_name` tells whether the groups were asked for by name.
    """

    record: "Record"
    place: "Place"
    spots: "tuple[Spot, ...]"
    catalogue: "Catalogue"
    collection: "Collection | None"
    groups: "tuple[Group, ...]"
    needs: "tuple[Needs, ...]"
    plants: "tuple[tuple[Subject, Spot], ...]"
    by_name: bool
    caution: "Caution"
    options: "CheckOptions"
    units: "TemperatureUnit"


def wishes_of(typed: "Mapping[str, Any]", **instead: "Any") -> Wishes:
    """
    The wishes among the parameters of a command.

    Parameters
    ----------
    typed
        `locals()` in the first line of the command: its parameters by name.
    instead
        What the command calls by another name, or makes of what was typed.
    """
    shared = {name: typed[name] for name in Wishes.__slots__ if name in typed}
    return Wishes(**(shared | instead))


def read_wishes(wishes: Wishes) -> Asked:
    """
    Options checked, catalogue read, record opened.

    Raises
    ------
    OptionError
        An option is out of range, or two do not go together.
    SuitabilityError
        Something in files, catalogue, network or folders stops the work.
    """
    from suitability.advice.cases import Rules
    from suitability.advice.preparing import CheckOptions
    from suitability.groups import Caution, read_catalogue
    from suitability.units import TemperatureUnit
    from suitability.weather.sampling import find_allowance

    options.check_range("--promise", wishes.promise, 0.5, 0.99)
    if wishes.minimum_allowance is not None:
        options.check_range("--minimum-allowance", wishes.minimum_allowance, 0.0, 5.0)
    if wishes.utc_offset is not None:
        options.check_range("--utc-offset", wishes.utc_offset, -12.0, 14.0)
    units = TemperatureUnit(options.parse_choice("--units", wishes.units, ("c", "f")))
    care = Caution(options.parse_choice("--caution", wishes.caution, ("low", "usual", "high")))
    checked = options.parse_choice("--quality", wishes.quality, ("on", "off")) == "on"
    years = options.parse_years(wishes.years)
    _check_targets(wishes)
    catalogue = read_catalogue(wishes.groups)
    named = []
    if wishes.group:
        from suitability.groups.naming import understand

        named = [understand(catalogue, word) for word in wishes.group]
    chosen = _groups_named(named) or catalogue.groups
    collection = open_collection(wishes.collection, catalogue) if wishes.collection else None
    spots = choose_spots(collection, wishes.spot or (), roof=wishes.roof)
    request = Request(
        demo=wishes.demo,
        place=wishes.place,
        at=tuple(wishes.at or ()),
        records=tuple(wishes.record or ()),
        years=years,
        utc_offset_hours=wishes.utc_offset,
        offline=wishes.offline,
        quality=checked,
        allow_missing=wishes.allow_missing,
        station=wishes.station,
        neighbours=wishes.neighbours,
        lapse_k_per_km=wishes.lapse_rate,
    )
    plants = plants_in_state(collection, catalogue, chosen, spots, care)
    record, place = open_record(request if collection is None else at_home(request, collection))
    allowance_c, told_by = find_allowance(record, wishes.minimum_allowance)
    return Asked(
        record=record,
        place=place,
        spots=spots,
        catalogue=catalogue,
        collection=collection,
        groups=chosen,
        needs=tuple(group.needs(care) for group in chosen),
        plants=tuple(plants),
        by_name=bool(named),
        caution=care,
        options=CheckOptions(
            rules=Rules(promise=wishes.promise),
            minimum_allowance_c=allowance_c,
            minimum_allowance_from=told_by.value,
            caution=care.value,
            quality=checked,
            seed=wishes.seed,
            first_year=years[0],
            last_year=years[1],
            worst=wishes.worst,
            understood=tuple(one.note for one in named if one.note),
        ),
        units=units,
    )


def _groups_named(named: "Sequence[Understood]") -> "tuple[Group, ...]":
    """Each group once; without a rest of its own if only plants whose rest no name tells are it."""
    from msgspec.structs import replace

    told: dict[Group, bool] = {}
    for one in named:
        told[one.group] = told.get(one.group, False) or one.rest_told
    return tuple(
        group if known else replace(group, rest_told=False) for group, known in told.items()
    )


def _check_targets(wishes: Wishes) -> None:
    """Refuse, before the work, targets that cannot be written or would overwrite an input."""
    from suitability.output.writing import check_target

    if wishes.json and wishes.csv == STANDARD_OUTPUT:
        raise OptionError("--json and --csv -: both want standard output. Name a file for --csv.")
    if wishes.chart == STANDARD_OUTPUT:
        raise OptionError(f"{wishes.page_option} -: a page is no text; name a file.")
    taken = {path.resolve(): f"--record {path}" for path in wishes.record or ()}
    if wishes.collection is not None:
        taken[wishes.collection.resolve()] = f"--collection {wishes.collection}"
    if wishes.groups is not None:
        taken[wishes.groups.resolve()] = f"--groups {wishes.groups}"
    for option, target in (
        ("--csv", wishes.csv),
        (wishes.page_option, wishes.chart),
        ("--ics", wishes.ics),
        ("--xlsx", wishes.xlsx),
        ("--figure", wishes.figure),
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
    _check_folder(wishes.tables, taken)
    if wishes.figure is not None:
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
    wishes: Wishes,
    *,
    page: "Callable[[], str]",
    table: "Callable[[], str]",
    document: "Callable[[], str]",
    text: "Callable[[int, bool], str]",
    calendar: "Callable[[], bytes] | None" = None,
    sheets: "Callable[[], Sequence[Sheet]] | None" = None,
    figures: "Callable[[], Sequence[NamedFigure]] | None" = None,
) -> None:
    """
    Write the files asked for, then the document or the tables to standard output.

    Parameters
    ----------
    page, table, document
        Make the page of --chart, the CSV and the JSON document.
    text
        Makes the tables for a terminal so wide, with colour or without.
    calendar, sheets, figures
        Make the calendar of --ics, the tables of --xlsx and --tables, the charts of --figure.
    """
    from suitability.cli.terminal import terminal_colour, terminal_width
    from suitability.output.writing import write_text

    for target, make in ((wishes.chart, page), (wishes.csv, table)):
        if target is not None:
            write_text(target, make())
            if target != STANDARD_OUTPUT:
                typer.echo(f"Wrote {target}", err=True)
    if wishes.ics is not None and calendar is not None:
        _write(wishes.ics, calendar())
    if sheets is not None and (wishes.xlsx is not None or wishes.tables is not None):
        _write_sheets(wishes, sheets())
    if wishes.figure is not None and figures is not None:
        write_figures(wishes.figure, figures())
    if wishes.json:
        typer.echo(document())
    elif wishes.csv != STANDARD_OUTPUT:
        typer.echo(text(terminal_width(), terminal_colour()))


def write_figures(target: str, figures: "Sequence[NamedFigure]") -> None:
    """Each chart as a picture, its name put before the ending of the file named."""
    from suitability.output.images import render_images

    asked = Path(target)
    for name, image in render_images(figures, asked.suffix.lower().removeprefix(".")):
        _write(asked.with_name(f"{asked.stem}-{name}{asked.suffix}"), image)


def _write(target: str | Path, data: bytes) -> None:
    """One file, and a line on standard error that tells of it."""
    from suitability.output.writing import write_bytes

    write_bytes(target, data)
    typer.echo(f"Wrote {target}", err=True)


def _write_sheets(wishes: Wishes, sheets: "Sequence[Sheet]") -> None:
    """The workbook, and each table as CSV."""
    from suitability.output.workbook import render_workbook, sheet_as_csv

    if wishes.xlsx is not None:
        _write(wishes.xlsx, render_workbook(sheets))
    if wishes.tables is not None:
        for sheet in sheets:
            table = sheet_as_csv(sheet).encode("utf-8", errors="replace")
            _write(Path(wishes.tables) / f"{sheet.name}.csv", table)
