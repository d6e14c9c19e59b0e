"""The command `moves`: when a plant goes out, when it comes in, and how sure that is."""

from typing import TYPE_CHECKING, Annotated

import typer

from suitability.cli import options
from suitability.cli.asking import read_wishes, wishes_of, write_answer
from suitability.cli.dated import plan_phases, read_first_day, stand_here, today_at

if TYPE_CHECKING:
    from collections.abc import Sequence

    from suitability.output.images import NamedFigure
    from suitability.output.workbook import Sheet

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
    demo: options.DemoFlag = False,
    place: options.PlaceOption = None,
    at: options.AtOption = None,
    record: options.RecordOption = None,
    group: options.GroupOption = None,
    groups: options.GroupsFileOption = None,
    collection: options.CollectionOption = None,
    spot: options.SpotOption = None,
    roof: options.RoofFlag = False,
    promise: options.PromiseOption = 0.9,
    years: options.YearsOption = None,
    caution: options.CautionOption = "usual",
    quality: options.QualityOption = "on",
    minimum_allowance: options.MinimumAllowanceOption = None,
    utc_offset: options.UtcOffsetOption = None,
    units: options.UnitsOption = "c",
    threshold: ThresholdOption = None,
    json: options.JsonFlag = False,
    csv: options.CsvOption = None,
    xlsx: options.XlsxOption = None,
    tables: options.TablesOption = None,
    chart: Annotated[
        str | None,
        typer.Option(
            "--chart", metavar="FILE.html", help="Every past year drawn, one page, opens offline."
        ),
    ] = None,
    ics: options.IcsOption = None,
    first_day: options.FromOption = None,
    figure: options.FigureOption = None,
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
    wishes = wishes_of(locals())
    from msgspec.structs import replace

    from suitability.advice.moves import plan_moves

    first = read_first_day(first_day, ics)
    thresholds_c = [
        options.in_celsius("--threshold", temperature, units, COLDEST_C, WARMEST_C)
        for temperature in threshold or ()
    ]
    asked = read_wishes(wishes)
    result = plan_moves(
        asked.record,
        asked.place,
        asked.spots,
        asked.needs,
        asked.options,
        thresholds_c=thresholds_c,
    )
    judged = list(asked.needs)
    if asked.plants:
        from suitability.advice.profiling import needs_of_plant

        moves = list(result.moves)
        for subject, where in asked.plants:
            needs = needs_of_plant(asked.record, asked.place, where, subject, asked.options)
            judged.append(needs)
            moves += plan_moves(asked.record, asked.place, (where,), [needs], asked.options).moves
        result = replace(result, moves=tuple(moves))

    def page() -> str:
        from suitability.answers.moves import moves_sheet
        from suitability.output.page import render_page

        return render_page(moves_sheet(result, asked.units))

    def table() -> str:
        from suitability.output.moves_csv import render_moves_csv

        return render_moves_csv(result)

    def document() -> str:
        from suitability.output.document import render_json
        from suitability.output.moves_document import moves_document

        return render_json(moves_document(result))

    def text(width: int, colour: bool) -> str:
        from suitability.answers.moves import moves_sheet
        from suitability.output.terminal import render_terminal

        sheet = moves_sheet(result, asked.units)
        return render_terminal(sheet, width=width, colour=colour)

    def calendar() -> bytes:
        from suitability.advice.occasions import list_occasions, tonight_of
        from suitability.output.calendar import render_calendar

        growth, wanted = plan_phases(asked), stand_here(asked)
        moves = [one for one in result.moves if one.plant or wanted(one.spot, one.group)]
        years = [one for one in growth.years if wanted(one.spot, one.group)]
        own = replace(result, moves=tuple(moves))
        growth = replace(growth, years=tuple(years))
        day = first or today_at(asked.place.utc_offset_hours)
        nights = {(needs.key, needs.plant): tonight_of(needs) for needs in judged}
        occasions = list_occasions(own, growth, day, nights)
        return render_calendar(occasions, own, growth, first_day=day, units=asked.units)

    def sheets() -> "Sequence[Sheet]":
        from suitability.output.sheets import moves_sheets

        return moves_sheets(result)

    def figures() -> "Sequence[NamedFigure]":
        from suitability.answers.moves import moves_sheet
        from suitability.output.figures import sheet_figures

        return sheet_figures(moves_sheet(result, asked.units))

    write_answer(
        wishes,
        page=page,
        table=table,
        document=document,
        text=text,
        calendar=calendar,
        sheets=sheets,
        figures=figures,
    )
