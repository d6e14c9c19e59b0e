"""`suitability weather show`: what is stored of a station, or of an imported record."""

from typing import TYPE_CHECKING, Annotated

import typer

from suitability.cli import options
from suitability.cli.laying import Only, Told
from suitability.cli.options import Output, Where
from suitability.cli.positions import standard_offset
from suitability.cli.terminal import print_json

if TYPE_CHECKING:
    from suitability.weather.coverage import Coverage
    from suitability.weather.minima import MinimumMiss
    from suitability.weather.record import Record

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
        write_text(chart, _coverage_page(title, record, coverage, miss, hours))
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


def _coverage_page(
    title: str,
    record: "Record",
    coverage: "Coverage",
    miss: "MinimumMiss | None",
    offset_hours: float,
) -> str:
    """The calendar of coverage as a page."""
    from suitability.output.coverage_page import CoverageCalendar, render_coverage_page
    from suitability.weather.minima import say_miss
    from suitability.weather.record import datetime_of_hour

    first, last = datetime_of_hour(record.start_hour), datetime_of_hour(record.stop_hour - 1)
    origins = ", ".join(
        f"{count:,} {name}" for name, count in record.hours_by_origin().items() if count
    )
    step = f"a reading every {record.step_hours} h" if record.step_hours > 1 else "hourly"
    head = [
        ("Record", f"{first:%Y-%m-%d %H:%M} to {last:%Y-%m-%d %H:%M} UTC, {step}"),
        ("Hours", origins),
        ("Months", f"of standard time, UTC{offset_hours:+g} h"),
        ("Minima", "not compared with daily minima" if miss is None else say_miss(miss)),
        ("Source", record.source or "not said"),
        ("Licence", record.licence or "not said"),
    ]
    return render_coverage_page(
        CoverageCalendar(
            name=title,
            years=list(coverage.years),
            observed=coverage.observed.tolist(),
            full=coverage.full.tolist(),
            usable=coverage.counts_usable.tolist(),
            complete=coverage.wmo_complete.tolist(),
            head=head,
            source=record.source,
            attribution=record.attribution,
            licence=record.licence,
        )
    )
