"""What check and moves are asked: their common options, checked and opened, and answers written."""

from pathlib import Path
from typing import TYPE_CHECKING

import typer

from suitability.cli import options
from suitability.cli.sources import Request, open_record
from suitability.errors import OptionError
from suitability.frozen import frozen

if TYPE_CHECKING:
    from collections.abc import Callable

    from suitability.advice.preparing import CheckOptions
    from suitability.groups import Needs
    from suitability.places import Place
    from suitability.spots.spot import Spot
    from suitability.units import TemperatureUnit
    from suitability.weather.record import Record

__all__ = ["Asked", "Wishes", "read_wishes", "write_answer"]

STANDARD_OUTPUT = "-"


@frozen
class Wishes:
    """The options of a command as typed."""

    demo: bool
    place: str | None
    at: list[str] | None
    record: list[Path] | None
    group: list[str] | None
    groups: Path | None
    roof: bool
    reliability: float
    years: str | None
    caution: str
    quality: str
    minimum_allowance: float | None
    utc_offset: float | None
    units: str
    json: bool
    csv: str | None
    chart: str | None
    offline: bool
    allow_missing: bool
    station: str | None
    neighbours: int
    lapse_rate: float | None
    seed: int
    worst: bool = False


@frozen
class Asked:
    """What the library is asked: record, place, spots, groups and options."""

    record: "Record"
    place: "Place"
    spots: "tuple[Spot, ...]"
    needs: "tuple[Needs, ...]"
    options: "CheckOptions"
    units: "TemperatureUnit"


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
    from suitability.advice.preparing import CheckOptions
    from suitability.advice.verdicts import Rules
    from suitability.groups import Caution, read_catalogue
    from suitability.spots.spot import OPEN_AIR, ROOFED
    from suitability.units import TemperatureUnit

    options.check_range("--reliability", wishes.reliability, 0.5, 0.99)
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
    chosen = [catalogue.find(key) for key in wishes.group] if wishes.group else catalogue.groups
    record, place = open_record(
        Request(
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
    )
    return Asked(
        record=record,
        place=place,
        spots=(ROOFED if wishes.roof else OPEN_AIR,),
        needs=tuple(group.needs(care) for group in chosen),
        options=CheckOptions(
            rules=Rules(promise=wishes.reliability),
            minimum_allowance_c=options.allowance_for(record, wishes.minimum_allowance),
            caution=care.value,
            quality=checked,
            seed=wishes.seed,
            first_year=years[0],
            last_year=years[1],
            worst=wishes.worst,
        ),
        units=units,
    )


def _check_targets(wishes: Wishes) -> None:
    """Refuse, before the work, targets that cannot be written or would overwrite an input."""
    from suitability.output.writing import check_target

    if wishes.json and wishes.csv == STANDARD_OUTPUT:
        raise OptionError("--json and --csv -: both want standard output. Name a file for --csv.")
    if wishes.chart == STANDARD_OUTPUT:
        raise OptionError("--chart -: a page is no text for standard output. Name a file.")
    taken = {path.resolve(): f"--record {path}" for path in wishes.record or ()}
    if wishes.groups is not None:
        taken[wishes.groups.resolve()] = f"--groups {wishes.groups}"
    for option, target in (("--csv", wishes.csv), ("--chart", wishes.chart)):
        if target is None or target == STANDARD_OUTPUT:
            continue
        check_target(target)
        path = Path(target).resolve()
        if path in taken:
            raise OptionError(
                f"{option} {target}: is the same file as {taken[path]}; choose another."
            )
        taken[path] = f"{option} {target}"


def write_answer(
    wishes: Wishes,
    *,
    page: "Callable[[], str]",
    table: "Callable[[], str]",
    document: "Callable[[], str]",
    text: "Callable[[int, bool], str]",
) -> None:
    """
    Write the files asked for, then the document or the tables to standard output.

    Parameters
    ----------
    page, table, document
        Make the page of --chart, the CSV and the JSON document.
    text
        Makes the tables for a terminal so wide, with colour or without.
    """
    from suitability.cli.terminal import terminal_colour, terminal_width
    from suitability.output.writing import write_text

    for target, make in ((wishes.chart, page), (wishes.csv, table)):
        if target is not None:
            write_text(target, make())
            if target != STANDARD_OUTPUT:
                typer.echo(f"Wrote {target}", err=True)
    if wishes.json:
        typer.echo(document())
    elif wishes.csv != STANDARD_OUTPUT:
        typer.echo(text(terminal_width(), terminal_colour()))
