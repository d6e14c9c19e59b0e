"""The command `check`: may I buy this plant, and can it live here."""

from typing import TYPE_CHECKING, Annotated

import typer

from suitability.cli import options
from suitability.cli.sources import Request, open_record

if TYPE_CHECKING:
    from suitability.advice.result import CheckResult

__all__ = ["check"]


def check(
    *,
    demo: Annotated[bool, typer.Option("--demo", help="The invented demo place, offline.")] = False,
    place: options.PlaceOption = None,
    at: options.AtOption = None,
    record: options.RecordOption = None,
    group: options.GroupOption = None,
    groups: options.GroupsFileOption = None,
    roof: options.RoofFlag = False,
    reliability: options.ReliabilityOption = 0.9,
    years: options.YearsOption = None,
    caution: options.CautionOption = "usual",
    quality: options.QualityOption = "on",
    minimum_allowance: options.MinimumAllowanceOption = None,
    utc_offset: options.UtcOffsetOption = None,
    units: options.UnitsOption = "c",
    worst: Annotated[
        bool, typer.Option("--worst", help="Also the ten worst nights and fortnights.")
    ] = False,
    json: options.JsonFlag = False,
    csv: options.CsvOption = None,
    chart: options.ChartOption = None,
    offline: options.OfflineFlag = False,
    allow_missing: options.AllowMissingFlag = False,
    station: options.StationOption = None,
    neighbours: options.NeighboursOption = 0,
    lapse_rate: options.LapseRateOption = None,
    seed: options.SeedOption = 20,
) -> None:
    """
    Say for each plant group whether it can live here, and what the hours below its floor are.

    The verdict is outdoor-all-year, outdoor-seasonal, indoor-only, or no-verdict with its reason.
    """
    from suitability.advice.checking import CheckOptions, check_groups
    from suitability.advice.verdicts import Rules
    from suitability.groups import Caution, read_catalogue
    from suitability.output.writing import check_target
    from suitability.spots.spot import OPEN_AIR, ROOFED

    options.check_range("--reliability", reliability, 0.5, 0.99)
    if minimum_allowance is not None:
        options.check_range("--minimum-allowance", minimum_allowance, 0.0, 5.0)
    if utc_offset is not None:
        options.check_range("--utc-offset", utc_offset, -12.0, 14.0)
    unit = options.parse_choice("--units", units, ("c", "f"))
    care = Caution(options.parse_choice("--caution", caution, ("low", "usual", "high")))
    checked = options.parse_choice("--quality", quality, ("on", "off")) == "on"
    first_year, last_year = options.parse_years(years)
    for target in (chart, csv):
        check_target(target)  # before the work, so that nothing is lost at its end
    catalogue = read_catalogue(groups)
    chosen = [catalogue.find(key) for key in group] if group else catalogue.groups
    found, where = open_record(
        Request(
            demo=demo,
            place=place,
            at=tuple(at or ()),
            records=tuple(record or ()),
            years=(first_year, last_year),
            utc_offset_hours=utc_offset,
            offline=offline,
            quality=checked,
            allow_missing=allow_missing,
            station=station,
            neighbours=neighbours,
            lapse_k_per_km=lapse_rate,
        )
    )
    result = check_groups(
        found,
        where,
        (ROOFED if roof else OPEN_AIR,),
        [one.needs(care) for one in chosen],
        CheckOptions(
            rules=Rules(promise=reliability),
            minimum_allowance_c=options.allowance_for(found, minimum_allowance),
            caution=care.value,
            quality=checked,
            seed=seed,
            first_year=first_year,
            last_year=last_year,
            worst=worst,
        ),
    )
    _show(result, unit=unit, worst=worst, json=json, csv=csv, chart=chart)


def _show(
    result: "CheckResult", *, unit: str, worst: bool, json: bool, csv: str | None, chart: str | None
) -> None:
    """Write the files asked for, then the document or the tables to standard output."""
    from suitability.units import TemperatureUnit

    units = TemperatureUnit(unit)
    if chart is not None:
        from suitability.output.charts import render_chart_page
        from suitability.output.writing import write_text

        write_text(chart, render_chart_page(result, units))
        typer.echo(f"Wrote {chart}", err=True)
    if csv is not None:
        from suitability.output.csvfile import render_csv
        from suitability.output.writing import write_text

        write_text(csv, render_csv(result))
        if csv != "-":
            typer.echo(f"Wrote {csv}", err=True)
    if json:
        from suitability.output.document import check_document, render_json

        typer.echo(render_json(check_document(result)))
    elif csv != "-":
        from suitability.cli.terminal import terminal_colour, terminal_width
        from suitability.output.tables import render_check, render_worst

        width, colour = terminal_width(), terminal_colour()
        typer.echo(render_check(result, units=units, width=width, colour=colour))
        if worst:
            typer.echo(render_worst(result, units=units, width=width, colour=colour))
