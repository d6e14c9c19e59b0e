"""`suitability weather show`: what is stored of a station, or of an imported record."""

from typing import Annotated, Any

import typer

from suitability.cli import options
from suitability.cli.positions import standard_offset
from suitability.cli.terminal import print_json

__all__ = ["show"]


def show(
    name: Annotated[
        str, typer.Argument(metavar="NAME", help="A station's identifier or an imported record.")
    ],
    *,
    utc_offset: options.UtcOffsetOption = None,
    json: options.JsonFlag = False,
) -> None:
    """Show the years of a stored record and how much of each month was observed."""
    from suitability.weather.coverage import count_coverage
    from suitability.weather.listing import (
        describe_coverage,
        describe_manifest,
        render_coverage,
        render_years,
    )
    from suitability.weather.store import default_store_folder, list_imported, read_imported
    from suitability.weather.year_store import read_kept_station

    folder = default_store_folder()
    plain: dict[str, Any]
    if name in list_imported(folder):
        record, place = read_imported(folder, name)
        plain = {"imported": name, "years": None}
        offset = utc_offset if utc_offset is not None else place.utc_offset_hours
        text = f"{name}: imported record"
    else:
        manifest, record = read_kept_station(folder, name.upper())
        plain = describe_manifest(manifest)
        offset = utc_offset
        text = f"{manifest.station.identifier} {manifest.station.name}\n"
        text += render_years(manifest.years)
    coverage = count_coverage(record, standard_offset(record, offset))
    if json:
        credit = {"licence": record.licence, "attribution": record.attribution}
        print_json(plain | credit | {"coverage": describe_coverage(coverage)})
        return
    typer.echo(text)
    typer.echo(f"\n{render_coverage(coverage)}")
    for label, words in (("Licence", record.licence), ("Credit", record.attribution)):
        if words:
            typer.echo(f"{label}: {words}")
