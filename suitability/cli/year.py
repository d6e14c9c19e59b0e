"""The command `year`: what each group does week by week, and how it is watered and fed."""

from datetime import UTC, datetime
from typing import TYPE_CHECKING, Annotated

import typer

from suitability.cli import options
from suitability.cli.asking import read_wishes, wishes_of, write_answer
from suitability.cli.dated import plan_phases, read_first_day, stand_here, today_at
from suitability.errors import OptionError

if TYPE_CHECKING:
    from collections.abc import Sequence

    from suitability.output.images import NamedFigure
    from suitability.output.workbook import Sheet

__all__ = ["day_of_year", "year"]

COLDEST_ROOM_C, WARMEST_ROOM_C = -10.0, 40.0  # °C


def year(
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
    room: Annotated[
        float | None,
        typer.Option(
            "--room", metavar="T", help="Night temperature of the room indoors, in --units."
        ),
    ] = None,
    on: Annotated[
        str | None,
        typer.Option("--on", metavar="MM-DD", help="The day whose week is told; default today."),
    ] = None,
    promise: options.PromiseOption = 0.9,
    years: options.YearsOption = None,
    caution: options.CautionOption = "usual",
    quality: options.QualityOption = "on",
    minimum_allowance: options.MinimumAllowanceOption = None,
    utc_offset: options.UtcOffsetOption = None,
    units: options.UnitsOption = "c",
    json: options.JsonFlag = False,
    csv: options.CsvOption = None,
    xlsx: options.XlsxOption = None,
    tables: options.TablesOption = None,
    chart: Annotated[
        str | None,
        typer.Option(
            "--chart", metavar="FILE.html", help="The weeks of each group drawn, opens offline."
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
    Say for each plant group when it grows, slows down, rests and wakes, with its water and feed.

    Outdoors by the place's own nights and day length, indoors by day length.
    """
    wishes = wishes_of(locals())
    first = read_first_day(first_day, ics)
    room_c = None
    if room is not None:
        room_c = options.in_celsius("--room", room, units, COLDEST_ROOM_C, WARMEST_ROOM_C)
    day = None if on is None else day_of_year(on)
    asked = read_wishes(wishes)
    result = plan_phases(asked, room_c)

    def page() -> str:
        from suitability.output.weeks_page import render_weeks_page

        return render_weeks_page(result, asked.units)

    def table() -> str:
        from suitability.output.weeks_csv import render_weeks_csv

        return render_weeks_csv(result)

    def document() -> str:
        from suitability.output.document import render_json

        return render_json(result)

    def text(width: int, colour: bool) -> str:
        from suitability.advice.growth_year import week_of_day
        from suitability.output.weeks_tables import render_weeks

        told = _today(asked.place.utc_offset_hours) if day is None else day
        return render_weeks(
            result, week_of_day(told), units=asked.units, width=width, colour=colour
        )

    def calendar() -> bytes:
        from msgspec.structs import replace

        from suitability.advice.occasions import list_occasions
        from suitability.output.calendar import render_calendar

        start, wanted = first or today_at(asked.place.utc_offset_hours), stand_here(asked)
        years = [one for one in result.results if wanted(one.spot, one.group)]
        own = replace(result, results=tuple(years))
        occasions = list_occasions(None, own, start)
        return render_calendar(occasions, None, own, first_day=start, units=asked.units)

    def sheets() -> "Sequence[Sheet]":
        from suitability.output.sheets import year_sheets

        return year_sheets(result)

    def figures() -> "Sequence[NamedFigure]":
        from suitability.output.figures import year_figures

        return year_figures(result, asked.units)

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


def _today(utc_offset_hours: float) -> int:
    """Today at the place, in standard time, as a day of the folded year."""
    return day_of_year(f"{today_at(utc_offset_hours):%m-%d}")


def day_of_year(text: str) -> int:
    """
    The day of the folded year of "MM-DD", 0 is 1 January; 29 February counts as the 28th.

    Raises
    ------
    OptionError
        It is no day of the year.
    """
    try:
        day = datetime.strptime(f"2004-{text.strip()}", "%Y-%m-%d").replace(tzinfo=UTC)
    except ValueError:
        raise OptionError(
            f"--on {text}: expected a day of the year MM-DD, such as 11-25."
        ) from None
    number = day.timetuple().tm_yday - 1
    return number - (number >= 59)
