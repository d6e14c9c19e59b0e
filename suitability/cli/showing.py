"""`suitability weather show`: what is stored of a station, or of an imported record."""

from pathlib import Path
from typing import TYPE_CHECKING, Annotated

import typer

from suitability.cli import options
from suitability.cli.asking import write_answer
from suitability.cli.completing import offer_kept
from suitability.cli.laying import Only, Told
from suitability.cli.options import Output, Where
from suitability.cli.positions import standard_offset
from suitability.cli.terminal import print_sheet
from suitability.errors import OptionError

if TYPE_CHECKING:
    from suitability.answers.sheet import Sheet


def show(
    name: Annotated[
        str,
        typer.Argument(
            metavar="NAME",
            autocompletion=offer_kept,
            help="A station's identifier, an imported record, or a file with a typical year.",
        ),
    ],
    *,
    where: Annotated[Where, Only("utc_offset")],
    output: Annotated[
        Output,
        Only("json", "chart"),
        Told(chart="A calendar of coverage, one page, opens offline."),
    ],
) -> None:
    """Show what is stored of a record, month by month, or the hours of a typical year."""
    from suitability.output.writing import check_target
    from suitability.weather.coverage import count_coverage
    from suitability.weather.listing import (
        RecordShown,
        tell_coverage,
        tell_minima,
        tell_station,
    )
    from suitability.weather.minima import compare_minima
    from suitability.weather.minima_store import read_minima, series_of
    from suitability.weather.sources.typical import is_typical_year
    from suitability.weather.store import default_store_folder, list_imported, read_imported
    from suitability.weather.year_store import read_kept_station

    options.check_ending("--chart", output.chart)
    check_target(output.chart)
    if is_typical_year(Path(name)):
        _show_typical(Path(name), output)
        return
    folder = default_store_folder()
    offset = where.utc_offset
    miss = station = imported = None
    if name in list_imported(folder):
        record, place = read_imported(folder, name)
        title = imported = name
        offset = offset if offset is not None else place.utc_offset_hours
    else:
        manifest, record = read_kept_station(folder, name.upper())
        station = tell_station(manifest.station, manifest.years)
        miss = compare_minima(record, series_of(read_minima(folder, name.upper())))
        title = f"{station.identifier} {station.name}"
    hours = standard_offset(record, offset)
    coverage = count_coverage(record, hours)
    shown = RecordShown(
        imported=imported,
        station=station,
        licence=record.licence,
        attribution=record.attribution,
        coverage=tell_coverage(coverage),
        daily_minima=tell_minima(miss),
    )

    def sheet() -> "Sheet":
        from suitability.answers.weather import record_sheet

        return record_sheet(shown, miss)

    def page() -> str:
        from suitability.answers.coverage import coverage_sheet
        from suitability.output.page import render_page

        return render_page(coverage_sheet(title, record, coverage, miss, offset_hours=hours))

    write_answer(output, shown, sheet, page=page)


def _show_typical(path: Path, output: Output) -> None:
    """The hours of ordinary months below each floor of the catalogue."""
    from suitability.advice.mean_year import count_typical_hours
    from suitability.answers.weather import typical_sheet
    from suitability.groups import read_catalogue
    from suitability.weather.sources.typical import read_typical_year

    if output.json or output.chart is not None:
        raise OptionError("--json, --chart: of a typical year only the text is shown.")
    typical = read_typical_year(path)
    floors_c = sorted({group.needs().floor_c for group in read_catalogue().groups})
    print_sheet(typical_sheet(typical, count_typical_hours(typical, floors_c)), details=False)
