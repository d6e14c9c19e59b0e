"""`suitability spots`: the collection file, its spots and plants, and the ready kinds."""

from pathlib import Path
from typing import TYPE_CHECKING, Annotated

import typer
from msgspec.structs import replace

from suitability.cli import options
from suitability.cli.asking import read_question, write_answer
from suitability.cli.command import Group
from suitability.cli.dated import read_day
from suitability.cli.fitting import fit
from suitability.cli.laying import Only, Told, Without, command
from suitability.cli.options import Fetched, Output, Plants, Spots, Sure, Where
from suitability.cli.protecting import protect
from suitability.cli.terminal import say
from suitability.errors import OptionError, OutputError

if TYPE_CHECKING:
    from suitability.answers.sheet import Sheet
    from suitability.spots.collection import Collection

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
    from suitability.spots.listing import list_collection

    unit = options.unit_shown(output)
    found = _read(spots, plants)
    listed = list_collection(found, found.spots, found.plants)

    def sheet() -> "Sheet":
        from suitability.answers.collection import collection_sheet

        return collection_sheet(listed, unit)

    write_answer(output, listed, sheet)


@command(spots_app, "show")
def show_spot(
    name: Annotated[str, typer.Argument(metavar="NAME", help="A spot of the collection.")],
    *,
    spots: Listed,
    plants: Annotated[Plants, Only("groups_file")],
    output: Annotated[Output, Only("units", "json")],
) -> None:
    """Show everything the collection says of one spot and of the plants on it."""
    from suitability.spots.listing import list_collection

    unit = options.unit_shown(output)
    found = _read(spots, plants)
    spot = found.find_spot(name)
    listed = list_collection(found, (spot,), found.plants_at(spot.name))

    def sheet() -> "Sheet":
        from suitability.answers.collection import spot_sheet

        return spot_sheet(listed, unit)

    write_answer(output, listed, sheet)


@command(spots_app, "week")
def show_week(
    first_day: Annotated[
        str, typer.Argument(metavar="DATE", help="First of seven days, such as 2024-01-08.")
    ],
    *,
    where: Where,
    spots: Annotated[Spots, Without("roof")],
    plants: Annotated[Plants, Only("groups_file")],
    fetched: Fetched,
    output: Annotated[Output, Only("units", "chart")],
) -> None:
    """Show a week of the record at the station and at spots, to see what a spot does."""
    from suitability.advice.week import see_week

    unit = options.unit_shown(output)
    day = read_day("DATE", first_day)
    around = (day.year - 5, day.year)
    question = read_question(
        where,
        spots,
        replace(plants, all_groups=True),
        sure=Sure(),
        fetched=fetched,
        output=output,
        years=around,
    )
    week = see_week(question.record, question.place, question.spots, day)

    def sheet() -> "Sheet":
        from suitability.answers.week import week_sheet

        return week_sheet(week, unit)

    write_answer(output, week, sheet)


@command(spots_app, "kinds")
def list_kinds(*, output: Annotated[Output, Only("units", "json")]) -> None:
    """List the ready kinds of spot with their numbers, ranges and sources."""
    from suitability.spots.kinds import read_kinds
    from suitability.spots.listing import KindList

    unit = options.unit_shown(output)
    listed = KindList(kinds=tuple(read_kinds().by_key.values()))

    def sheet() -> "Sheet":
        from suitability.answers.collection import kinds_sheet

        return kinds_sheet(listed, unit)

    write_answer(output, listed, sheet)


def _read(spots: Spots, plants: Plants) -> "Collection":
    """The collection, its plants led to the groups of our catalogue and the user's own."""
    from suitability.advice.question import open_collection
    from suitability.groups import read_catalogue

    return open_collection(spots.collection or USUAL_FILE, read_catalogue(plants.groups_file))
