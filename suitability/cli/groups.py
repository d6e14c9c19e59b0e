"""`suitability groups`: what the catalogue says each group needs, and on what evidence."""

from typing import TYPE_CHECKING, Annotated

import typer

from suitability.cli import options
from suitability.cli.command import Group
from suitability.cli.laying import Only, Without, command, lay_out
from suitability.cli.options import Output, Plants
from suitability.cli.terminal import print_json
from suitability.errors import OptionError

if TYPE_CHECKING:
    from suitability.groups import Catalogue, Caution
    from suitability.groups import Group as PlantGroup

__all__ = ["groups_app"]

groups_app = typer.Typer(
    name="groups",
    cls=Group,
    help="List and show what each group of plants needs, with ranges and sources.",
    invoke_without_command=True,
    no_args_is_help=False,
)


@groups_app.callback(cls=Group)
@lay_out
def list_groups(
    context: typer.Context,
    *,
    plants: Annotated[Plants, Without("group")],
    output: Annotated[Output, Only("units", "json", "csv")],
) -> None:
    """List all groups; `groups show KEY` shows everything known of one."""
    if context.invoked_subcommand is not None:
        if (plants, output) != (Plants(), Output()):
            raise OptionError("options of `suitability groups show` go after the word show.")
        return
    from suitability.groups import Caution, read_catalogue
    from suitability.groups.listing import render_list

    unit = options.unit_shown(output)
    care = Caution(options.parse_choice("--caution", plants.caution, ("low", "usual", "high")))
    catalogue = read_catalogue(plants.groups_file)
    if not _write_data(catalogue.groups, catalogue, care, output):
        typer.echo(render_list(catalogue, care, unit))


@command(groups_app, "show")
def show_group(
    key: Annotated[str, typer.Argument(metavar="KEY", help="Key or alias of a group.")],
    *,
    plants: Annotated[Plants, Without("group")],
    output: Annotated[Output, Only("units", "json", "csv")],
) -> None:
    """Show everything known of one group: values with range, mark, source, confidence; words."""
    from suitability.groups import Caution, read_catalogue
    from suitability.groups.listing import render_group
    from suitability.groups.words import read_words

    unit = options.unit_shown(output)
    care = Caution(options.parse_choice("--caution", plants.caution, ("low", "usual", "high")))
    catalogue = read_catalogue(plants.groups_file)
    group = catalogue.find(key)
    if not _write_data((group,), catalogue, care, output):
        words = read_words(catalogue)[group.key]
        typer.echo(render_group(group, words, catalogue, care, unit))


def _write_data(
    groups: "tuple[PlantGroup, ...]",
    catalogue: "Catalogue",
    caution: "Caution",
    output: Output,
) -> bool:
    """Write JSON or CSV where asked for; whether standard output has been used."""
    json, csv = output.json, output.csv
    if json and csv == "-":
        raise OptionError("--json and --csv -: both want standard output. Give --csv a file name.")
    options.check_ending("--csv", csv)
    if csv is not None:
        from suitability.groups.listing import render_csv

        text = render_csv(groups, catalogue, caution)
        if csv == "-":
            typer.echo(text, nl=False)
        else:
            from suitability.output.writing import write_text

            write_text(csv, text)
    if json:
        from suitability.groups.listing import tell_groups
        from suitability.groups.words import read_words

        print_json(tell_groups(groups, read_words(catalogue), catalogue, caution))
    return json or csv == "-"
