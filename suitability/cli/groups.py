"""`suitability groups`: what the catalogue says each group needs, and on what evidence."""

import os
from pathlib import Path
from typing import TYPE_CHECKING, Annotated

import typer

from suitability.cli import options
from suitability.cli.terminal import print_json
from suitability.errors import OptionError, OutputError

if TYPE_CHECKING:
    from suitability.groups import Catalogue, Caution, Group

__all__ = ["groups_app"]

groups_app = typer.Typer(
    name="groups",
    help="List and show what each group of plants needs, with ranges and sources.",
    invoke_without_command=True,
    no_args_is_help=False,
)


@groups_app.callback()
def list_groups(
    context: typer.Context,
    *,
    groups: options.GroupsFileOption = None,
    units: options.UnitsOption = "c",
    caution: options.CautionOption = "usual",
    json: options.JsonFlag = False,
    csv: options.CsvOption = None,
) -> None:
    """List all groups; `groups show KEY` shows everything known of one."""
    if context.invoked_subcommand is not None:
        if (groups, units, caution, json, csv) != (None, "c", "usual", False, None):
            raise OptionError("options of `suitability groups show` go after the word show.")
        return
    from suitability.groups import Caution, read_catalogue
    from suitability.groups.listing import render_list
    from suitability.units import TemperatureUnit

    unit = TemperatureUnit(options.parse_choice("--units", units, ("c", "f")))
    care = Caution(options.parse_choice("--caution", caution, ("low", "usual", "high")))
    catalogue = read_catalogue(groups)
    if not _write_data(catalogue.groups, catalogue, care, json=json, csv=csv):
        typer.echo(render_list(catalogue, care, unit))


@groups_app.command("show")
def show_group(
    key: Annotated[str, typer.Argument(metavar="KEY", help="Key or alias of a group.")],
    *,
    groups: options.GroupsFileOption = None,
    units: options.UnitsOption = "c",
    caution: options.CautionOption = "usual",
    json: options.JsonFlag = False,
    csv: options.CsvOption = None,
) -> None:
    """Show everything known of one group: values with range, mark, source, confidence; words."""
    from suitability.groups import Caution, read_catalogue
    from suitability.groups.listing import render_group
    from suitability.groups.words import read_words
    from suitability.units import TemperatureUnit

    unit = TemperatureUnit(options.parse_choice("--units", units, ("c", "f")))
    care = Caution(options.parse_choice("--caution", caution, ("low", "usual", "high")))
    catalogue = read_catalogue(groups)
    group = catalogue.find(key)
    if not _write_data((group,), catalogue, care, json=json, csv=csv):
        words = read_words(catalogue)[group.key]
        typer.echo(render_group(group, words, catalogue, care, unit))


def _write_data(
    groups: "tuple[Group, ...]",
    catalogue: "Catalogue",
    caution: "Caution",
    *,
    json: bool,
    csv: str | None,
) -> bool:
    """Write JSON or CSV where asked for; whether standard output has been used."""
    if json and csv == "-":
        raise OptionError("--json and --csv -: both want standard output. Give --csv a file name.")
    options.check_ending("--csv", csv)
    if csv is not None:
        from suitability.groups.listing import render_csv

        text = render_csv(groups, catalogue, caution)
        if csv == "-":
            typer.echo(text, nl=False)
        else:
            _write_file(Path(csv), text)
    if json:
        from suitability.groups.listing import tell_groups
        from suitability.groups.words import read_words

        print_json(tell_groups(groups, read_words(catalogue), catalogue, caution))
    return json or csv == "-"


def _write_file(path: Path, text: str) -> None:
    partial = path.parent / f".{path.name}.{os.getpid()}.part"
    try:
        partial.write_text(text, encoding="utf-8")
        partial.replace(path)
    except OSError as error:
        partial.unlink(missing_ok=True)
        reason = error.strerror or "unknown reason"
        raise OutputError(
            f"{path}: cannot be written ({reason}). Choose a folder that exists and is yours."
        ) from error
