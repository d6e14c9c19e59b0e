"""The command `check`: may I buy this plant, and can it live here."""

from typing import Annotated

import typer

from suitability.cli import options
from suitability.cli.asking import Wishes, read_wishes, write_answer

__all__ = ["check"]


def check(
    *,
    demo: Annotated[bool, typer.Option("--demo", help="The invented demo place, offline.")] = False,
    place: options.PlaceOption = None,
    at: options.AtOption = None,
    record: options.RecordOption = None,
    group: options.GroupOption = None,
    groups: options.GroupsFileOption = None,
    collection: options.CollectionOption = None,
    spot: options.SpotOption = None,
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
    from suitability.advice.checking import check_groups

    wishes = Wishes(
        demo=demo,
        place=place,
        at=at,
        record=record,
        group=group,
        groups=groups,
        collection=collection,
        spot=spot,
        roof=roof,
        reliability=reliability,
        years=years,
        caution=caution,
        quality=quality,
        minimum_allowance=minimum_allowance,
        utc_offset=utc_offset,
        units=units,
        json=json,
        csv=csv,
        chart=chart,
        offline=offline,
        allow_missing=allow_missing,
        station=station,
        neighbours=neighbours,
        lapse_rate=lapse_rate,
        seed=seed,
        worst=worst,
    )
    asked = read_wishes(wishes)
    result = check_groups(asked.record, asked.place, asked.spots, asked.needs, asked.options)

    def page() -> str:
        from suitability.output.charts import render_chart_page

        return render_chart_page(result, asked.units)

    def table() -> str:
        from suitability.output.csvfile import render_csv

        return render_csv(result)

    def document() -> str:
        from suitability.output.document import check_document, render_json

        return render_json(check_document(result))

    def text(width: int, colour: bool) -> str:
        from suitability.output.tables import render_check, render_worst

        shown = render_check(result, units=asked.units, width=width, colour=colour)
        if not worst:
            return shown
        return f"{shown}\n{render_worst(result, units=asked.units, width=width, colour=colour)}"

    write_answer(
        wishes,
        page=page,
        table=table,
        document=document,
        text=text,
    )
