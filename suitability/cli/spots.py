"""`suitability spots`: the collection file, its spots and plants, and the ready kinds."""

from pathlib import Path
from typing import TYPE_CHECKING, Annotated

import typer

from suitability.cli import options
from suitability.cli.asking import read_question
from suitability.cli.command import Group
from suitability.cli.fitting import fit
from suitability.cli.laying import Only, Told, Without, command
from suitability.cli.options import Fetched, Output, Plants, Spots, Sure, Where
from suitability.cli.protecting import protect
from suitability.cli.terminal import print_json, say
from suitability.errors import OptionError, OutputError

if TYPE_CHECKING:
    from suitability.spots.collection import Collection

__all__ = ["USUAL_FILE", "spots_app"]

USUAL_FILE = Path("collection.toml")

spots_app = typer.Typer(
    name="spots",
    cls=Group,
    help="Growing spots: the collection file, the ready kinds, and how a spot is measured.",
    no_args_is_help=True,
)

Listed = Annotated[
    Spots,
    Only("collection"),
    Told(collection=f"Your place, spots and plants (TOML); default {USUAL_FILE}."),
]

command(spots_app, "fit")(fit)
command(spots_app, "protect")(protect)


@command(spots_app, "init")
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


@command(spots_app, "list")
def list_spots(
    *,
    spots: Listed,
    plants: Annotated[Plants, Only("groups_file")],
    output: Annotated[Output, Only("units", "json")],
) -> None:
    """List the spots of a collection, and how many plants stand at each."""
    from suitability.spots.listing import list_collection, render_collection

    unit = options.unit_shown(output)
    found = _read(spots, plants)
    if output.json:
        print_json(list_collection(found, found.spots, found.plants))
    else:
        typer.echo(render_collection(found, unit))


@command(spots_app, "show")
def show_spot(
    name: Annotated[str, typer.Argument(metavar="NAME", help="A spot of the collection.")],
    *,
    spots: Listed,
    plants: Annotated[Plants, Only("groups_file")],
    output: Annotated[Output, Only("units", "json")],
) -> None:
    """Show everything the collection says of one spot and of the plants on it."""
    from suitability.spots.listing import list_collection, render_spot

    unit = options.unit_shown(output)
    found = _read(spots, plants)
    spot = found.find_spot(name)
    standing = found.plants_at(spot.name)
    if output.json:
        print_json(list_collection(found, (spot,), standing))
    else:
        typer.echo(render_spot(spot, standing, unit))


@command(spots_app, "week")
def show_week(
    first_day: Annotated[
        str, typer.Argument(metavar="DATE", help="First of seven days, such as 2024-01-08.")
    ],
    *,
    where: Where,
    spots: Annotated[Spots, Without("roof")],
    fetched: Fetched,
    output: Annotated[Output, Only("units", "chart")],
) -> None:
    """Show a week of the record at the station and at spots, to see what a spot does."""
    from datetime import date

    from suitability.advice.week import see_week
    from suitability.output.week_page import render_week, render_week_page
    from suitability.output.writing import write_text

    unit = options.unit_shown(output)
    try:
        day = date.fromisoformat(first_day)
    except ValueError as reason:
        raise OptionError(f"DATE {first_day}: expected a day such as 2024-01-08.") from reason
    around = (day.year - 5, day.year)
    question = read_question(
        where, spots, Plants(), sure=Sure(), fetched=fetched, output=output, years=around
    )
    week = see_week(question.record, question.place, question.spots, day)
    if output.chart is not None:
        write_text(output.chart, render_week_page(week, unit))
        say(f"Wrote {output.chart}")
    typer.echo(render_week(week, unit))


@command(spots_app, "kinds")
def list_kinds(*, output: Annotated[Output, Only("units", "json")]) -> None:
    """List the ready kinds of spot with their numbers, ranges and sources."""
    from suitability.spots.kinds import read_kinds
    from suitability.spots.listing import KindList, render_kinds

    unit = options.unit_shown(output)
    kinds = read_kinds()
    if output.json:
        print_json(KindList(kinds=tuple(kinds.by_key.values())))
    else:
        typer.echo(render_kinds(kinds, unit))


def _read(spots: Spots, plants: Plants) -> "Collection":
    """The collection, its plants led to the groups of our catalogue and the user's own."""
    from suitability.advice.question import open_collection
    from suitability.groups import read_catalogue

    return open_collection(spots.collection or USUAL_FILE, read_catalogue(plants.groups_file))
