"""The command `moves`: when a plant goes out, when it comes in, and how sure that is."""

from typing import TYPE_CHECKING, Annotated

from suitability.cli import options
from suitability.cli.asking import read_question, write_answer
from suitability.cli.dated import day_of_year, read_calendar_start, today_at
from suitability.cli.laying import Told, Without
from suitability.cli.options import Fetched, Output, Plants, Spots, Sure, Where

if TYPE_CHECKING:
    from suitability.answers.sheet import Sheet

COLDEST_C, WARMEST_C = -60.0, 60.0  # °C, of temperatures whose dates may be asked for


def moves(
    *,
    where: Where,
    spots: Spots,
    plants: Plants,
    sure: Sure,
    fetched: Fetched,
    output: Annotated[
        Output,
        Without("out", "pdf"),
        Told(
            chart="Every past year drawn, one page, opens offline.",
            ics="Moves and weeks to watch, for your calendar program.",
        ),
    ],
    threshold: Annotated[
        list[float] | None,
        options.plant_option(
            "--threshold",
            metavar="T",
            help="Also dates of this temperature or colder, in --units; may be repeated.",
        ),
    ] = None,
    on: options.NextFrom = None,
) -> None:
    """
    Say for each plant group when to move it out and in, and how sure that is.

    Dates are promised for new years; beside them stand the typical ones, and the weeks to watch.
    """
    from suitability.advice.moves import moves as answer

    first = read_calendar_start(output.first_day, output.ics)
    if on is not None:
        day_of_year(on)
    thresholds_c = [
        options.in_celsius("--threshold", temperature, output.units, COLDEST_C, WARMEST_C)
        for temperature in threshold or ()
    ]
    question = read_question(where, spots, plants, sure=sure, fetched=fetched, output=output)
    result, unit = answer(question, thresholds_c=thresholds_c), options.unit_shown(output)

    def sheet() -> "Sheet":
        from suitability.answers.moves import moves_sheet

        told = f"{today_at(question.place.utc_offset_hours):%m-%d}" if on is None else on.strip()
        return moves_sheet(result, unit, day=told)

    def calendar() -> bytes:
        from suitability.advice.occasions import list_occasions
        from suitability.answers.calendar import calendar_sheet
        from suitability.output.calendar import render_calendar

        day = first or today_at(question.place.utc_offset_hours)
        sheet = calendar_sheet(list_occasions(result, day), result, first_day=day, units=unit)
        return render_calendar(sheet)

    write_answer(output, result, sheet, calendar=calendar)
