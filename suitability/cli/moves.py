"""The command `moves`: when a plant goes out, when it comes in, and how sure that is."""

from typing import TYPE_CHECKING, Annotated

import typer

from suitability.cli import options
from suitability.cli.sources import Request, open_record
from suitability.errors import OptionError

if TYPE_CHECKING:
    from suitability.advice.moves_result import MovesResult

__all__ = ["moves"]

COLDEST_C, WARMEST_C = -60.0, 60.0  # °C, of temperatures whose dates may be asked for

ThresholdOption = Annotated[
    list[float] | None,
    typer.Option(
        "--threshold",
        metavar="T",
        help="Also dates of this temperature or colder, in --units; may be repeated.",
    ),
]


def moves(
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
    threshold: ThresholdOption = None,
    json: options.JsonFlag = False,
    csv: options.CsvOption = None,
    chart: Annotated[
        str | None,
        typer.Option(
            "--chart", metavar="FILE.html", help="Every past year drawn, one page, opens offline."
        ),
    ] = None,
    offline: options.OfflineFlag = False,
    allow_missing: options.AllowMissingFlag = False,
    station: options.StationOption = None,
    neighbours: options.NeighboursOption = 0,
    lapse_rate: options.LapseRateOption = None,
    seed: options.SeedOption = 20,
) -> None:
    """
    Say for each plant group when to move it out and in, and how sure that is.

    Dates are promised for new years; beside them stand the typical ones, and the weeks to watch.
    """
    from suitability.advice.moves import plan_moves
    from suitability.advice.preparing import CheckOptions
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
    thresholds_c = [_in_celsius(asked, unit) for asked in threshold or ()]
    if json and csv == "-":
        raise OptionError("--json and --csv -: both want standard output. Name a file for --csv.")
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
    result = plan_moves(
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
        ),
        thresholds_c=thresholds_c,
    )
    _show(result, unit=unit, json=json, csv=csv, chart=chart)


def _in_celsius(asked: float, unit: str) -> float:
    """
    A temperature asked for, in °C.

    Raises
    ------
    OptionError
        No day is so cold or so warm.
    """
    from suitability.units import celsius_from_fahrenheit, fahrenheit_from_celsius

    if unit == "c":
        options.check_range("--threshold", asked, COLDEST_C, WARMEST_C)
        return asked
    coldest, warmest = map(fahrenheit_from_celsius, (COLDEST_C, WARMEST_C))
    options.check_range("--threshold", asked, coldest, warmest)
    return celsius_from_fahrenheit(asked)


def _show(
    result: "MovesResult", *, unit: str, json: bool, csv: str | None, chart: str | None
) -> None:
    """Write the files asked for, then the document or the tables to standard output."""
    from suitability.units import TemperatureUnit

    units = TemperatureUnit(unit)
    if chart is not None:
        from suitability.output.moves_page import render_moves_page
        from suitability.output.writing import write_text

        write_text(chart, render_moves_page(result, units))
        typer.echo(f"Wrote {chart}", err=True)
    if csv is not None:
        from suitability.output.moves_csv import render_moves_csv
        from suitability.output.writing import write_text

        write_text(csv, render_moves_csv(result))
        if csv != "-":
            typer.echo(f"Wrote {csv}", err=True)
    if json:
        from suitability.output.document import render_json
        from suitability.output.moves_document import moves_document

        typer.echo(render_json(moves_document(result)))
    elif csv != "-":
        from suitability.cli.terminal import terminal_colour, terminal_width
        from suitability.output.moves_tables import render_moves

        width, colour = terminal_width(), terminal_colour()
        typer.echo(render_moves(result, units=units, width=width, colour=colour))
