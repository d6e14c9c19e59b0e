"""`suitability spots`: the collection file, its spots and plants, and the ready kinds."""

from pathlib import Path
from typing import TYPE_CHECKING, Annotated

import typer

from suitability.cli import options
from suitability.cli.fitting import fit
from suitability.cli.protecting import protect
from suitability.cli.terminal import print_json, say
from suitability.errors import OptionError, OutputError

if TYPE_CHECKING:
    from suitability.spots.collection import Collection

__all__ = ["USUAL_FILE", "spots_app"]

USUAL_FILE = Path("collection.toml")

spots_app = typer.Typer(
    name="spots",
    help="Growing spots: the collection file, the ready kinds, and how a spot is measured.",
    no_args_is_help=True,
)

FileOption = Annotated[
    Path,
    typer.Option("--collection", metavar="FILE", help="Your place, spots and plants (TOML)."),
]


spots_app.command("fit")(fit)
spots_app.command("protect")(protect)


@spots_app.command("init")
def init(
    file: Annotated[Path, typer.Argument(metavar="FILE", help="Where it is written.")] = USUAL_FILE,
) -> None:
    """Write an example of a collection file, with notes; never over a file that is there."""
    from suitability.output.writing import write_text
    from suitability.spots.kinds import OUR_FOLDER

    if file.suffix.lower() not in (".toml", ""):
        raise OptionError(f"FILE {file}: name a file that ends in .toml.")
    if file.exists() or file.is_symlink():
        raise OutputError(f"{file}: is there already; name another file, or move that one away.")
    write_text(file, (OUR_FOLDER / "example.toml").read_text(encoding="utf-8"))
    say(f"Wrote {file}; put your own place, spots and plants into it.")


@spots_app.command("list")
def list_spots(
    *,
    collection: FileOption = USUAL_FILE,
    groups: options.GroupsFileOption = None,
    units: options.UnitsOption = "c",
    json: options.JsonFlag = False,
) -> None:
    """List the spots of a collection, and how many plants stand at each."""
    from suitability.spots.listing import list_collection, render_collection
    from suitability.units import TemperatureUnit

    unit = TemperatureUnit(options.parse_choice("--units", units, ("c", "f")))
    found = _read(collection, groups)
    if json:
        print_json(list_collection(found, found.spots, found.plants))
    else:
        typer.echo(render_collection(found, unit))


@spots_app.command("show")
def show_spot(
    name: Annotated[str, typer.Argument(metavar="NAME", help="A spot of the collection.")],
    *,
    collection: FileOption = USUAL_FILE,
    groups: options.GroupsFileOption = None,
    units: options.UnitsOption = "c",
    json: options.JsonFlag = False,
) -> None:
    """Show everything the collection says of one spot and of the plants on it."""
    from suitability.spots.listing import list_collection, render_spot
    from suitability.units import TemperatureUnit

    unit = TemperatureUnit(options.parse_choice("--units", units, ("c", "f")))
    found = _read(collection, groups)
    spot = found.find_spot(name)
    plants = found.plants_at(spot.name)
    if json:
        print_json(list_collection(found, (spot,), plants))
    else:
        typer.echo(render_spot(spot, plants, unit))


@spots_app.command("week")
def show_week(
    first_day: Annotated[
        str, typer.Argument(metavar="DATE", help="First of seven days, such as 2024-01-08.")
    ],
    *,
    demo: options.DemoFlag = False,
    place: options.PlaceOption = None,
    at: options.AtOption = None,
    record: options.RecordOption = None,
    collection: options.CollectionOption = None,
    spot: options.SpotOption = None,
    utc_offset: options.UtcOffsetOption = None,
    offline: options.OfflineFlag = False,
    units: options.UnitsOption = "c",
    chart: options.ChartOption = None,
) -> None:
    """Show a week of the record at the station and at spots, to see what a spot does."""
    from datetime import date

    from suitability.advice.week import see_week
    from suitability.cli.collections import at_home, choose_spots, open_collection
    from suitability.cli.sources import Request, open_record
    from suitability.groups import read_catalogue
    from suitability.output.week_page import render_week, render_week_page
    from suitability.output.writing import check_target, write_text
    from suitability.units import TemperatureUnit

    unit = TemperatureUnit(options.parse_choice("--units", units, ("c", "f")))
    options.check_ending("--chart", chart)
    check_target(chart)
    try:
        day = date.fromisoformat(first_day)
    except ValueError as reason:
        raise OptionError(f"DATE {first_day}: expected a day such as 2024-01-08.") from reason
    mine = None if collection is None else open_collection(collection, read_catalogue())
    spots = choose_spots(mine, spot or (), roof=False)
    request = Request(
        demo=demo,
        place=place,
        at=tuple(at or ()),
        records=tuple(record or ()),
        years=(day.year - 5, day.year),
        utc_offset_hours=utc_offset,
        offline=offline,
        quality=True,
    )
    found, where = open_record(request if mine is None else at_home(request, mine))
    week = see_week(found, where, spots, day)
    if chart is not None:
        write_text(chart, render_week_page(week, unit))
        say(f"Wrote {chart}")
    typer.echo(render_week(week, unit))


@spots_app.command("kinds")
def list_kinds(*, units: options.UnitsOption = "c", json: options.JsonFlag = False) -> None:
    """List the ready kinds of spot with their numbers, ranges and sources."""
    from suitability.spots.kinds import read_kinds
    from suitability.spots.listing import KindList, render_kinds
    from suitability.units import TemperatureUnit

    unit = TemperatureUnit(options.parse_choice("--units", units, ("c", "f")))
    kinds = read_kinds()
    if json:
        print_json(KindList(kinds=tuple(kinds.by_key.values())))
    else:
        typer.echo(render_kinds(kinds, unit))


def _read(file: Path, groups: Path | None) -> "Collection":
    """The collection, its plants led to the groups of our catalogue and the user's own."""
    from suitability.cli.collections import open_collection
    from suitability.groups import read_catalogue

    return open_collection(file, read_catalogue(groups))
