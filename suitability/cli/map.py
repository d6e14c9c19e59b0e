"""The command `map`: where a group can live, cell by cell of a grid of temperatures."""

from pathlib import Path
from typing import Annotated

import typer

from suitability.cli import options
from suitability.cli.asking import read_subjects, tell_written
from suitability.cli.laying import Only, Told, Without
from suitability.cli.options import Output, Plants, Spots, Sure
from suitability.cli.terminal import doing, done, print_json, print_sheet, progress_bar
from suitability.errors import OptionError


def map(  # noqa: A001  (a command is named as it is typed)
    grid: Annotated[
        list[Path],
        typer.Argument(metavar="GRID", help="NetCDF files, Zarr stores, or a folder of them."),
    ],
    *,
    spots: Annotated[Spots, Told(spot="The spot: a ready kind, or one of the collection.")],
    plants: Annotated[
        Plants, Only("group", "groups_file", "caution"), Told(group="The group; one for a map.")
    ],
    sure: Annotated[Sure, Without("quality")],
    output: Annotated[
        Output,
        Only("units", "details", "json", "chart"),
        Told(chart="The map drawn, one page that opens offline."),
    ],
    variable: options.Variable = None,
    heights: Annotated[
        Path | None,
        options.where_option(
            "--heights", metavar="FILE", help="Heights of the grid's own ground, to move from."
        ),
    ] = None,
    to_height: Annotated[
        str | None,
        options.where_option(
            "--to-height", metavar="M|FILE", help="Height to move to, or a file of the ground's."
        ),
    ] = None,
    mask: Annotated[
        Path | None,
        options.where_option("--mask", metavar="FILE", help="Land and sea; sea is left out."),
    ] = None,
    out: Annotated[
        Path | None,
        options.output_option(
            "--out", metavar="FILE.nc|.zarr", help="Every cell's numbers, after CF, in °C."
        ),
    ] = None,
    scheduler: Annotated[
        str | None,
        options.output_option(
            "--scheduler", metavar="ADDRESS", help="Of a dask cluster that does the work."
        ),
    ] = None,
) -> None:
    """
    Say in which cells of a grid a group can live outdoors, and for how long.

    The grid holds hourly or 3-hourly temperatures; of 6-hourly ones hours are counted alone.
    """
    from importlib.metadata import version

    from msgspec.structs import replace

    from suitability.answers.map import map_sheet
    from suitability.atlas.grid import open_grid
    from suitability.atlas.labelled import summarise_map, to_cf
    from suitability.atlas.mapping import Asked, map_grid
    from suitability.atlas.surface import with_surface

    unit = options.unit_shown(output)
    _check_targets(grid, out, output.chart)
    if len(plants.group or ()) != 1:
        raise OptionError("--group KEY: a map is of one group; name it.")
    target = _parse_height(heights, to_height)
    subjects = replace(read_subjects(spots, plants, sure), in_full=False)
    if len(subjects.spots) != 1:
        raise OptionError("--spot NAME: a map is of one spot; name it once.")
    doing("Opening the grid")
    opened = with_surface(open_grid(grid, variable), heights=heights, to_height=target, mask=mask)
    asked = Asked(
        subjects=subjects,
        promise=sure.promise,
        years=options.parse_years(sure.years),
        minimum_allowance_c=sure.minimum_allowance,
        seed=sure.seed,
    )
    done()
    with progress_bar("blocks of cells") as progress:
        found = map_grid(
            opened,
            asked,
            scheduler=scheduler,
            tell=lambda number, total: progress(number, total, "") if progress else None,
        )
    result = summarise_map(found)
    doing("Writing the answer")
    if out is not None:
        from suitability.output.gridfiles import write_grid

        write_grid(out, to_cf(found, made_by=f"suitability {version('suitability')} map"))
        tell_written(out)
    sheet = None if output.json and output.chart is None else map_sheet(result, found, unit)
    if output.chart is not None and sheet is not None:
        from suitability.output.page import Layout, render_page
        from suitability.output.writing import write_text

        write_text(output.chart, render_page(sheet, Layout(packed=True)))
        tell_written(output.chart)
    if output.json or sheet is None:
        print_json(result)
    else:
        print_sheet(sheet, details=output.details)


def _parse_height(heights: Path | None, to_height: str | None) -> float | Path | None:
    """What temperatures are moved to: m, or a file."""
    if (heights is None) != (to_height is None):
        raise OptionError(
            "--heights FILE and --to-height M|FILE: moving needs both, where from and where to."
        )
    if to_height is None:
        return None
    try:
        metres = float(to_height)
    except ValueError:
        return Path(to_height)
    options.check_range("--to-height", metres, -500.0, 9000.0)
    return metres


def _check_targets(grid: list[Path], out: Path | None, chart: str | None) -> None:
    """Refuse, before the work, what cannot be written or would overwrite what is read."""
    from suitability.output.gridfiles import check_grid_target
    from suitability.output.writing import check_target

    options.check_ending("--chart", chart)
    check_target(chart)
    read = {path.resolve() for path in grid}
    if out is not None:
        check_grid_target(out)
        if out.resolve() in read or out.resolve().parent in read:
            raise OptionError(f"--out {out}: would stand among what is read; choose another place.")
