"""`suitability spots`: the collection file, its spots and plants, and the ready kinds."""

from pathlib import Path
from typing import TYPE_CHECKING, Annotated

import typer

from suitability.cli import options
from suitability.cli.fitting import fit
from suitability.cli.protecting import protect
from suitability.cli.terminal import print_json, say
from suitability.errors import OutputError

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
    from suitability.spots.listing import describe_collection, render_collection
    from suitability.units import TemperatureUnit

    unit = TemperatureUnit(options.parse_choice("--units", units, ("c", "f")))
    found = _read(collection, groups)
    if json:
        print_json(describe_collection(found, found.spots, found.plants))
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
    from suitability.spots.listing import describe_collection, render_spot
    from suitability.units import TemperatureUnit

    unit = TemperatureUnit(options.parse_choice("--units", units, ("c", "f")))
    found = _read(collection, groups)
    spot = found.find_spot(name)
    plants = found.plants_at(spot.name)
    if json:
        print_json(describe_collection(found, (spot,), plants))
    else:
        typer.echo(render_spot(spot, plants, unit))


@spots_app.command("kinds")
def list_kinds(*, units: options.UnitsOption = "c", json: options.JsonFlag = False) -> None:
    """List the ready kinds of spot with their numbers, ranges and sources."""
    from suitability.spots.kinds import read_kinds
    from suitability.spots.listing import describe_kinds, render_kinds
    from suitability.units import TemperatureUnit

    unit = TemperatureUnit(options.parse_choice("--units", units, ("c", "f")))
    kinds = read_kinds()
    if json:
        print_json(describe_kinds(kinds))
    else:
        typer.echo(render_kinds(kinds, unit))


def _read(file: Path, groups: Path | None) -> "Collection":
    """The collection, its plants led to the groups of our catalogue and the user's own."""
    from suitability.cli.collections import open_collection
    from suitability.groups import read_catalogue

    return open_collection(file, read_catalogue(groups))
