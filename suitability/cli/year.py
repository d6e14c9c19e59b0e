"""The command `year`: what each group does week by week, and how it is watered and fed."""

from datetime import UTC, datetime, timedelta
from typing import Annotated

import typer

from suitability.cli import options
from suitability.cli.asking import Wishes, read_wishes, write_answer
from suitability.errors import OptionError

__all__ = ["day_of_year", "year"]

COLDEST_ROOM_C, WARMEST_ROOM_C = -10.0, 40.0  # °C


def year(
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
    reliability: options.ReliabilityOption = 0.9,
    years: options.YearsOption = None,
    caution: options.CautionOption = "usual",
    quality: options.QualityOption = "on",
    minimum_allowance: options.MinimumAllowanceOption = None,
    utc_offset: options.UtcOffsetOption = None,
    units: options.UnitsOption = "c",
    json: options.JsonFlag = False,
    csv: options.CsvOption = None,
    chart: Annotated[
        str | None,
        typer.Option(
            "--chart", metavar="FILE.html", help="The weeks of each group drawn, opens offline."
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
    Say for each plant group when it grows, slows down, rests and wakes, with its water and feed.

    Outdoors by the place's own nights and day length, indoors by day length.
    """
    from suitability.advice.growing_weeks import Tended, plan_growth
    from suitability.groups.words import read_words

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
    )
    room_c = None
    if room is not None:
        room_c = options.in_celsius("--room", room, units, COLDEST_ROOM_C, WARMEST_ROOM_C)
    day = None if on is None else day_of_year(on)
    asked = read_wishes(wishes)
    words = read_words(asked.catalogue)
    tended = [
        Tended(needs=needs, group=asked.catalogue.find(needs.key), words=words[needs.key])
        for needs in asked.needs
    ]
    result = plan_growth(
        asked.record, asked.place, asked.spots, tended, asked.options, room_c=room_c
    )

    def page() -> str:
        from suitability.output.weeks_page import render_weeks_page

        return render_weeks_page(result, asked.units)

    def table() -> str:
        from suitability.output.weeks_csv import render_weeks_csv

        return render_weeks_csv(result)

    def document() -> str:
        from suitability.output.document import render_json
        from suitability.output.weeks_document import year_document

        return render_json(year_document(result))

    def text(width: int, colour: bool) -> str:
        from suitability.advice.growth_year import week_of_day
        from suitability.output.weeks_tables import render_weeks

        told = _today(asked.place.utc_offset_hours) if day is None else day
        return render_weeks(
            result, week_of_day(told), units=asked.units, width=width, colour=colour
        )

    write_answer(wishes, page=page, table=table, document=document, text=text)


def _today(utc_offset_hours: float) -> int:
    """Today at the place, in standard time, as a day of the folded year."""
    return day_of_year(f"{datetime.now(UTC) + timedelta(hours=utc_offset_hours):%m-%d}")


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
