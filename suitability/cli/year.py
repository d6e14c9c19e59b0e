"""The command `year`: what each group does week by week, and how it is watered and fed."""

from typing import TYPE_CHECKING, Annotated

from suitability.cli import options
from suitability.cli.asking import read_question, write_answer
from suitability.cli.dated import day_of_year, read_calendar_start, today_at
from suitability.cli.laying import Told, Without
from suitability.cli.options import Fetched, Output, Plants, Spots, Sure, Where

if TYPE_CHECKING:
    from suitability.answers.sheet import Sheet

COLDEST_ROOM_C, WARMEST_ROOM_C = -10.0, 40.0  # °C


def year(
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
            chart="The weeks of each group drawn, opens offline.",
            ics="Rest, water and feed, for your calendar program.",
        ),
    ],
    room: Annotated[
        float | None,
        options.where_option(
            "--room", metavar="T", help="Night temperature of the room indoors, in --units."
        ),
    ] = None,
    on: Annotated[
        str | None,
        options.output_option(
            "--on", metavar="MM-DD", help="The day whose week is told; default today."
        ),
    ] = None,
) -> None:
    """
    Say for each plant group when it grows, slows down, rests and wakes, with its water and feed.

    Outdoors by the place's own nights and day length, indoors by day length.
    """
    from suitability.advice.growing_weeks import year as answer

    first = read_calendar_start(output.first_day, output.ics)
    room_c = None
    if room is not None:
        room_c = options.in_celsius("--room", room, output.units, COLDEST_ROOM_C, WARMEST_ROOM_C)
    day = None if on is None else day_of_year(on)
    question = read_question(where, spots, plants, sure=sure, fetched=fetched, output=output)
    result, unit = answer(question, room_c=room_c), options.unit_shown(output)

    def sheet() -> "Sheet":
        from suitability.advice.growth_year import week_of_day
        from suitability.answers.year import year_sheet

        told = _today(question.place.utc_offset_hours) if day is None else day
        return year_sheet(result, week_of_day(told), unit)

    def calendar() -> bytes:
        from suitability.advice.occasions import list_occasions
        from suitability.answers.calendar import calendar_sheet
        from suitability.output.calendar import render_calendar

        start = first or today_at(question.place.utc_offset_hours)
        sheet = calendar_sheet(list_occasions(result, start), result, first_day=start, units=unit)
        return render_calendar(sheet)

    write_answer(output, result, sheet, rows="results weeks", calendar=calendar)


def _today(utc_offset_hours: float) -> int:
    """Today at the place, in standard time, as a day of the folded year."""
    return day_of_year(f"{today_at(utc_offset_hours):%m-%d}")
