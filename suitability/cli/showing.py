"""`suitability weather show`: what is stored of a station, or of an imported record."""

from typing import Annotated

import typer

from suitability.cli import options
from suitability.cli.laying import Only, Told
from suitability.cli.options import Output, Where
from suitability.cli.positions import standard_offset
from suitability.cli.terminal import print_json

__all__ = ["show"]


def show(
    name: Annotated[
        str, typer.Argument(metavar="NAME", help="A station's identifier or an imported record.")
    ],
    *,
    where: Annotated[Where, Only("utc_offset")],
    output: Annotated[
        Output,
        Only("json", "chart"),
        Told(chart="A calendar of coverage, one page, opens offline."),
    ],
) -> None:
    """Show the years of a stored record and how much of each month was observed."""
    from suitability.answers.coverage import coverage_sheet
    from suitability.output.page import render_page
    from suitability.output.writing import check_target, write_text
    from suitability.weather.coverage import count_coverage
    from suitability.weather.listing import (
        RecordShown,
        render_coverage,
        render_years,
        tell_coverage,
        tell_minima,
        tell_station,
    )
    from suitability.weather.minima import compare_minima, say_miss
    from suitability.weather.minima_store import read_minima, series_of
    from suitability.weather.store import default_store_folder, list_imported, read_imported
    from suitability.weather.year_store import read_kept_station

    chart, utc_offset = output.chart, where.utc_offset
    options.check_ending("--chart", chart)
    check_target(chart)
    folder = default_store_folder()
    miss = station = imported = None
    if name in list_imported(folder):
        record, place = read_imported(folder, name)
        imported = name
        offset = utc_offset if utc_offset is not None else place.utc_offset_hours
        title, text = name, f"{name}: imported record"
    else:
        manifest, record = read_kept_station(folder, name.upper())
        station = tell_station(manifest.station, manifest.years)
        offset = utc_offset
        miss = compare_minima(record, series_of(read_minima(folder, name.upper())))
        title = f"{manifest.station.identifier} {manifest.station.name}"
        text = f"{title}\n{render_years(manifest.years)}"
    hours = standard_offset(record, offset)
    coverage = count_coverage(record, hours)
    if chart is not None:
        sheet = coverage_sheet(title, record, coverage, miss, offset_hours=hours)
        write_text(chart, render_page(sheet))
        typer.echo(f"Wrote {chart}", err=True)
    if output.json:
        print_json(
            RecordShown(
                imported=imported,
                station=station,
                licence=record.licence,
                attribution=record.attribution,
                coverage=tell_coverage(coverage),
                daily_minima=tell_minima(miss),
            )
        )
        return
    typer.echo(text)
    typer.echo(f"\n{render_coverage(coverage)}")
    if miss is not None:
        typer.echo(say_miss(miss))
    for label, words in (("Licence", record.licence), ("Credit", record.attribution)):
        if words:
            typer.echo(f"{label}: {words}")
