"""`suitability groups`: what the catalogue says each group needs, and on what evidence."""

from typing import TYPE_CHECKING, Annotated

import typer

from suitability.cli import options
from suitability.cli.asking import write_answer
from suitability.cli.command import Group
from suitability.cli.completing import offer_groups
from suitability.cli.laying import Only, Without, command, lay_out
from suitability.cli.options import Output, Plants
from suitability.errors import OptionError

if TYPE_CHECKING:
    from suitability.answers.sheet import Sheet
    from suitability.output.datatables import DataTable

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
    plants: Annotated[Plants, Without("group", "all_groups")],
    output: Annotated[Output, Only("units", "json", "csv")],
) -> None:
    """List all groups; `groups show KEY` shows everything known of one."""
    if context.invoked_subcommand is not None:
        if (plants, output) != (Plants(), Output()):
            raise OptionError("options of `suitability groups show` go after the word show.")
        return
    _tell(None, plants, output)


@command(groups_app, "show")
def show_group(
    key: Annotated[
        str,
        typer.Argument(
            metavar="KEY", help="Key, alias or plant of a group.", autocompletion=offer_groups
        ),
    ],
    *,
    plants: Annotated[Plants, Without("group", "all_groups")],
    output: Annotated[Output, Only("units", "json", "csv")],
) -> None:
    """Show everything known of one group: values with range, mark, source, confidence; words."""
    _tell(key, plants, output)


def _tell(key: str | None, plants: Plants, output: Output) -> None:
    """All groups, or the one named, in the form asked for."""
    from suitability.groups import Caution, read_catalogue
    from suitability.groups.listing import list_values, tell_groups
    from suitability.groups.naming import understand
    from suitability.groups.species import read_names
    from suitability.groups.words import read_words

    unit = options.unit_shown(output)
    caution = Caution(options.parse_choice("--caution", plants.caution, ("low", "usual", "high")))
    if output.json and output.csv == "-":
        raise OptionError("--json and --csv -: both want standard output. Give --csv a file name.")
    options.check_ending("--csv", output.csv)
    catalogue = read_catalogue(plants.groups_file)
    found = None if key is None else understand(catalogue, key)
    groups = catalogue.groups if found is None else (found.group,)
    listed = tell_groups(
        groups,
        read_words(catalogue),
        catalogue,
        read_names(),
        caution,
        understood=found.note if found else "",
    )

    def sheet() -> "Sheet":
        from suitability.answers.groups import group_sheet, groups_sheet

        return (groups_sheet if key is None else group_sheet)(listed, unit)

    def table() -> "DataTable":
        from suitability.output.datatables import main_table

        return main_table(list_values(listed), "values")

    write_answer(output, listed, sheet, table=table)
