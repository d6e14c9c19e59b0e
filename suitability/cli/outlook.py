"""The command `outlook`: what the coming nights ask for, by a forecast with its own error."""

import re
from datetime import UTC, datetime, timedelta
from pathlib import Path
from typing import TYPE_CHECKING, Annotated

import typer

from suitability.cli import options
from suitability.cli.asking import read_question, tell_written, write_answer
from suitability.cli.completing import choices
from suitability.cli.dated import read_day
from suitability.cli.laying import Only, Told
from suitability.cli.options import Fetched, Output, Plants, Spots, Sure, Where
from suitability.cli.terminal import doing, say
from suitability.errors import OptionError, StoreError

if TYPE_CHECKING:
    from suitability.advice.question import Question
    from suitability.answers.sheet import Sheet
    from suitability.weather.forecasts import Forecast

MUST_MOVE, CANNOT_TELL = 3, 4  # exit codes of --alert-exit
LEARNED_FROM_H = 2 * 366 * 24  # h of past forecasts
MESSAGE_WIDTH = 72
FETCHED = "Meteostat"  # how the source of a fetched record begins


def outlook(
    *,
    where: Where,
    spots: Spots,
    plants: Plants,
    sure: Annotated[Sure, Only("quality", "minimum_allowance")],
    fetched: Fetched,
    forecast: Annotated[
        Path | None,
        options.weather_option(
            "--forecast", metavar="FILE", help="A forecast of your own: time,temp[,prcp], UTC."
        ),
    ] = None,
    forecast_unit: Annotated[
        str | None,
        options.weather_option(
            "--forecast-unit", help="Degrees of that file; default c.", **choices("c", "f")
        ),
    ] = None,
    output: Annotated[
        Output,
        Only("units", "details", "json", "ics"),
        Told(ics="Tonight's moves and the nights to watch, for your calendar program."),
    ],
    message: Annotated[
        str | None,
        options.output_option("--message", metavar="FILE", help="The answer as plain text."),
    ] = None,
    alert_exit: Annotated[
        bool,
        options.output_option(
            "--alert-exit", help="End with 3 if something must move, 4 if that cannot be told."
        ),
    ] = False,
    on: Annotated[
        str | None,
        options.output_option(
            "--on", metavar="DATE[THOUR]", help="As of this day and hour, standard time; now."
        ),
    ] = None,
) -> None:
    """
    Say what must be moved tonight and which nights to watch, with the forecast's own error.

    Beside it: cold already suffered, the rest so far, hot days in a row, wet and cold nights.
    """
    from suitability.advice.coming_nights import look_ahead
    from suitability.spots.diary import read_diary

    moment = None if on is None else _read_moment(on)
    unit = None
    if forecast_unit is not None:
        from suitability.units import TemperatureUnit

        unit = TemperatureUnit(options.parse_choice("--forecast-unit", forecast_unit, ("c", "f")))
    if forecast is None and unit is not None:
        raise OptionError("--forecast-unit: tells the degrees of a file; name it with --forecast.")
    if message is not None:
        from suitability.output.writing import check_target

        check_target(message)
    shown = options.unit_shown(output)
    question = read_question(where, spots, plants, sure=sure, fetched=fetched, output=output)
    if on is None and forecast is None and not fetched.offline and _renewed(question):
        question = read_question(where, spots, plants, sure=sure, fetched=fetched, output=output)
    now = _now(moment, question.place.utc_offset_hours)
    own = question.subjects.collection
    ahead, past = _forecasts(question, forecast, unit, now, lapse=fetched.lapse_rate)
    result = look_ahead(
        question,
        now,
        forecast=ahead,
        past=past,
        diary=None if own is None else read_diary(own),
    )

    def sheet() -> "Sheet":
        from suitability.answers.outlook import outlook_sheet

        return outlook_sheet(result, shown)

    def calendar() -> bytes:
        from suitability.answers.outlook import outlook_calendar
        from suitability.output.calendar import render_calendar

        return render_calendar(outlook_calendar(result, shown))

    if message is not None:
        from suitability.output.terminal import render_terminal
        from suitability.output.writing import write_text

        write_text(
            message,
            render_terminal(sheet(), width=MESSAGE_WIDTH, colour=False, details=False) + "\n",
        )
        tell_written(message)
    write_answer(output, result, sheet, calendar=calendar)
    if alert_exit and result.alert.value != "nothing":
        raise typer.Exit(MUST_MOVE if result.alert.value == "move" else CANNOT_TELL)


def _renewed(question: "Question") -> bool:
    """Whether a station's running year was fetched anew; of a file there is nothing to fetch."""
    from suitability.weather.forecasts import renew_forecast
    from suitability.weather.store import default_store_folder

    record = question.record
    if record.station is None or not record.source.startswith(FETCHED):
        return False
    doing("Fetching the forecast")
    return renew_forecast(default_store_folder(), record.station, datetime.now(UTC))


def _read_moment(text: str) -> datetime:
    """
    The day and hour of `--on`, noon where it names none, without a zone.

    Raises
    ------
    OptionError
        It is none.
    """
    form = re.fullmatch(r"\s*([^T\s]+)(?:T(\d\d)(?::00)?)?\s*", text)
    if form is None or int(form[2] or 0) > 23:
        raise OptionError(f"--on {text}: expected DATE or DATETHOUR, such as 2027-01-08T16.")
    day = read_day("--on", form[1])
    return datetime(day.year, day.month, day.day, int(form[2] or 12))  # noqa: DTZ001


def _now(moment: datetime | None, utc_offset_hours: float) -> int:
    """Hours from 1970-01-01 00:00 UTC to now, or to a moment in standard time."""
    from suitability.weather.record import hour_of_datetime

    if moment is None:
        return hour_of_datetime(datetime.now(UTC))
    return hour_of_datetime(moment.replace(tzinfo=UTC) - timedelta(hours=utc_offset_hours))


def _forecasts(
    question: "Question",
    file: Path | None,
    unit: "object",
    now: int,
    *,
    lapse: float | None,
) -> "tuple[Forecast | None, list[Forecast]]":
    """The forecast, kept for learning; and earlier ones of its source."""
    from suitability.weather.forecasts import (
        forecast_key,
        keep_forecast,
        read_forecast_file,
        read_kept_forecasts,
        read_station_forecast,
    )
    from suitability.weather.record import datetime_of_hour
    from suitability.weather.store import default_store_folder

    folder, place, station = default_store_folder(), question.place, question.record.station
    found = None
    if file is not None:
        found = read_forecast_file(
            file,
            latitude=place.latitude,
            longitude=place.longitude,
            unit=unit,  # type: ignore[arg-type]
        )
    elif station is not None:
        found = read_station_forecast(folder, station.identifier, datetime_of_hour(now))
    if found is not None and found.issued > now:
        from msgspec.structs import replace

        # A file may begin with the next hour; what the store holds from later was not there then.
        found = None if file is None else replace(found, issued=now)
    if found is None:
        return None, []
    own = None if file is not None or station is None else station.identifier
    key = forecast_key(own, place.latitude, place.longitude)
    try:
        keep_forecast(folder, key, found)
        past = read_kept_forecasts(folder, key, now - LEARNED_FROM_H, found.issued)
    except StoreError as reason:
        say(f"The forecast is not kept, and its error not learned: {reason}")
        past = []
    if lapse is not None and own is not None:
        found, past = _moved(found, question, lapse), [_moved(one, question, lapse) for one in past]
    return found, past


def _moved(forecast: "Forecast", question: "Question", lapse: float) -> "Forecast":
    """A station's forecast at the height of the place, as its record is."""
    from msgspec.structs import replace

    from suitability.weather.filling import move_to_height

    hours = replace(forecast.hours, station=question.record.station)
    return replace(forecast, hours=move_to_height(hours, lapse))
