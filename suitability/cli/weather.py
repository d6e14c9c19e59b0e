"""`suitability weather`: what is stored of the weather, and getting more of it."""

import os
from collections.abc import Callable
from typing import TYPE_CHECKING, Annotated

import typer
from msgspec import Struct

from suitability.cli import options
from suitability.cli.asking import write_answer
from suitability.cli.command import Group
from suitability.cli.completing import offer_records, offer_stations
from suitability.cli.importing import import_file
from suitability.cli.laying import Only, command
from suitability.cli.options import Fetched, Output, Sure, Where
from suitability.cli.positions import near_position
from suitability.cli.showing import show
from suitability.cli.terminal import progress_bar, say

if TYPE_CHECKING:
    from suitability.answers.sheet import Sheet
    from suitability.weather.fetching import Near
    from suitability.weather.station_list import StationList
    from suitability.weather.station_years import FetchRequest, StationYears
    from suitability.weather.stations import Candidate

weather_app = typer.Typer(
    name="weather",
    cls=Group,
    help="Fetch, import, list, show, check and prune stored weather; choose stations.",
    no_args_is_help=True,
)


class Asked(Struct, frozen=True, kw_only=True):
    """How the service is asked for stations."""

    radius: Annotated[
        float,
        options.weather_option("--radius", metavar="KM", help="Farthest station to choose, km."),
    ] = 100.0
    seed: Annotated[
        int, options.weather_option("--seed", help="Of the chance in waits between tries.")
    ] = 0


command(weather_app, "import")(import_file)
command(weather_app, "show")(show)


@command(weather_app, "fetch")
def fetch(
    *,
    where: Annotated[Where, Only("place", "at")],
    sure: Annotated[Sure, Only("years")],
    fetched: Annotated[Fetched, Only("station", "neighbours", "allow_missing")],
    asked: Asked,
    refresh: Annotated[
        bool, options.weather_option("--refresh", help="Ask again for kept years.")
    ] = False,
    output: Annotated[Output, Only("json")],
) -> None:
    """Fetch the years of a station near a place into the store; each ends with its outcome."""
    from suitability.weather.fetching import find_best_station, open_station_list
    from suitability.weather.listing import YearsFetched, tell_station
    from suitability.weather.station_list import find_station
    from suitability.weather.station_years import fetch_station_years
    from suitability.weather.stations import listed_years

    options.check_range("--neighbours", fetched.neighbours, 0, options.MOST_NEIGHBOURS)
    near = near_position(where, needed=fetched.station is None)
    with progress_bar() as progress:
        request = _fetch_request(
            sure.years,
            seed=asked.seed,
            refresh=refresh,
            allow_missing=fetched.allow_missing,
            must_keep=True,
            progress=progress,
        )
        stations = open_station_list(request)
        table = None
        if fetched.station is not None:
            station = find_station(request.folder, stations, fetched.station)
            listed = listed_years(request.folder, stations, station.identifier)
            found, told = fetch_station_years(request, station, listed), ""
        else:
            assert near is not None
            choice = find_best_station(request, stations, near, asked.radius)
            found, told, table = choice.years, choice.reason, choice.table
        around, tested = _fetch_neighbours(
            request,
            stations,
            found,
            table=table,
            near=near,
            radius_km=asked.radius,
            number=fetched.neighbours,
        )
        missed = _fetch_minima(request, found)
    say(told, stations.note, *found.notes, *tested, *missed)
    own, *others = (tell_station(one.station, one.entries) for one in (found, *around))
    result = YearsFetched(station=own, neighbours=tuple(others))

    def sheet() -> "Sheet":
        from suitability.answers.weather import fetched_sheet

        return fetched_sheet(result)

    write_answer(output, result, sheet)


def _fetch_neighbours(
    request: "FetchRequest",
    stations: "StationList",
    found: "StationYears",
    *,
    table: "tuple[Candidate, ...] | None",
    near: "Near | None",
    radius_km: float,
    number: int,
) -> "tuple[tuple[StationYears, ...], tuple[str, ...]]":
    """Other stations fetched to fill gaps from, and how well they would, in sentences."""
    if not number or not found.observed_hours:
        return (), ()
    from suitability.weather.fetching import Near, other_stations
    from suitability.weather.filling import fetch_neighbours, fill_gaps
    from suitability.weather.quality import check_quality
    from suitability.weather.station_years import record_of_years

    own = found.station
    if table is None:
        near = near or Near(
            latitude=own.latitude, longitude=own.longitude, elevation_m=own.elevation_m
        )
        table = other_stations(request, stations, near, radius_km)
    around = fetch_neighbours(request, table, own.identifier, number)
    record = check_quality(record_of_years(found))
    return around.years, fill_gaps(record, around, longitude=own.longitude, quality=True).notes


def _fetch_minima(request: "FetchRequest", found: "StationYears") -> tuple[str, ...]:
    """Daily minima fetched into the store, and what hourly readings miss of them, in a sentence."""
    if not found.observed_hours:
        return ()
    from suitability.weather.minima_store import fetch_minima, with_minima
    from suitability.weather.quality import check_quality
    from suitability.weather.station_years import record_of_years

    minima = fetch_minima(request, found.station.identifier)
    return with_minima(check_quality(record_of_years(found)), minima).notes


@command(weather_app, "list")
def list_store(*, output: Annotated[Output, Only("json")]) -> None:
    """List the stations and imported records of the store."""
    from suitability.weather.listing import StoreList, tell_station
    from suitability.weather.store import default_store_folder, list_imported
    from suitability.weather.upkeep import find_damaged
    from suitability.weather.year_store import list_stations

    folder = default_store_folder()
    stations = tuple(tell_station(one.station, one.years) for one in list_stations(folder))
    listed = StoreList(folder=str(folder), stations=stations, imported=tuple(list_imported(folder)))
    say(*find_damaged(folder))

    def sheet() -> "Sheet":
        from suitability.answers.weather import store_sheet

        return store_sheet(listed)

    write_answer(output, listed, sheet)


@command(weather_app, "check")
def check(*, output: Annotated[Output, Only("json")]) -> None:
    """Read every file of the store through; damaged ones are set aside, to be fetched again."""
    from suitability.weather.store import default_store_folder
    from suitability.weather.upkeep import check_store

    found = check_store(default_store_folder())

    def sheet() -> "Sheet":
        from suitability.answers.weather import check_sheet

        return check_sheet(found)

    write_answer(output, found, sheet)
    if found.faults:
        raise typer.Exit(1)


@command(weather_app, "prune")
def prune(
    *,
    station: Annotated[
        list[str] | None,
        options.weather_option(
            "--station",
            metavar="ID",
            help="Also all years of this station.",
            autocompletion=offer_stations,
        ),
    ] = None,
    imported: Annotated[
        list[str] | None,
        options.weather_option(
            "--import",
            metavar="NAME",
            help="Also this imported record.",
            autocompletion=offer_records,
        ),
    ] = None,
    output: Annotated[Output, Only("json")],
) -> None:
    """Delete leftovers of stopped programs and damaged files, and what is named."""
    from suitability.weather.store import default_store_folder
    from suitability.weather.upkeep import prune_store

    stations = [one.upper() for one in station or ()]
    gone = prune_store(default_store_folder(), stations=stations, imported=imported or ())

    def sheet() -> "Sheet":
        from suitability.answers.weather import cleared_sheet

        return cleared_sheet(gone)

    write_answer(output, gone, sheet)


@command(weather_app, "stations")
def list_stations_near(
    *,
    where: Annotated[Where, Only("place", "at")],
    sure: Annotated[Sure, Only("years")],
    fetched: Annotated[Fetched, Only("offline")],
    asked: Asked,
    output: Annotated[Output, Only("json")],
    limit: Annotated[int, options.output_option("--limit", help="Stations shown at most.")] = 12,
) -> None:
    """List the stations near a place, the best first, and why one is or would be taken."""
    from suitability.weather.fetching import list_near, open_station_list
    from suitability.weather.listing import tell_candidates

    near = near_position(where, needed=True)
    assert near is not None
    request = _fetch_request(sure.years, seed=asked.seed, offline=fetched.offline)
    stations = open_station_list(request)
    candidates = list_near(request, stations, near, asked.radius)[: max(1, limit)]
    say(stations.note)
    result = tell_candidates(candidates)

    def sheet() -> "Sheet":
        from suitability.answers.weather import near_sheet

        return near_sheet(result)

    write_answer(output, result, sheet)


def _fetch_request(
    years: str | None,
    *,
    seed: int,
    offline: bool = False,
    refresh: bool = False,
    allow_missing: bool = False,
    must_keep: bool = False,
    progress: Callable[[int, int, str], None] | None = None,
) -> "FetchRequest":
    """What a command wants and with what means; here the clock and the environment are read."""
    from datetime import UTC, datetime

    from suitability.weather.fetching import addresses_maker, transport_maker
    from suitability.weather.station_years import FetchRequest
    from suitability.weather.store import default_store_folder

    now = datetime.now(UTC)
    first, last = options.parse_years(years)
    last = last or now.year
    return FetchRequest(
        folder=default_store_folder(os.environ),
        first_year=first or last - 29,
        last_year=last,
        now=now,
        transport=None if offline else transport_maker(None, seed=seed),
        addresses=addresses_maker(None),
        refresh=refresh,
        allow_missing=allow_missing,
        must_keep=must_keep,
        progress=progress,
    )
