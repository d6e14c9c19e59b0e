"""`suitability weather`: what is stored of the weather, and getting more of it."""

import os
import sys
from collections.abc import Callable, Iterator
from contextlib import contextmanager
from pathlib import Path
from typing import TYPE_CHECKING, Annotated, Any

import typer

from suitability.cli import options
from suitability.errors import OptionError

if TYPE_CHECKING:
    from suitability.weather.bringing import Errand
    from suitability.weather.fetching import Near
    from suitability.weather.record import Record

__all__ = ["progress_bar", "weather_app"]

weather_app = typer.Typer(
    name="weather",
    help="Fetch, import, list, show, check and prune stored weather; choose stations.",
    no_args_is_help=True,
)

RadiusOption = Annotated[
    float, typer.Option("--radius", metavar="KM", help="Farthest station to choose, km.")
]
SeedOption = Annotated[int, typer.Option("--seed", help="Of the chance in waits between tries.")]


@contextmanager
def progress_bar() -> Iterator[Callable[[int, int, str], None] | None]:
    """A bar on standard error while years are fetched; None where nobody would see it."""
    if not sys.stderr.isatty():
        yield None
        return
    from rich.console import Console
    from rich.progress import BarColumn, MofNCompleteColumn, Progress, TextColumn

    bar = Progress(
        BarColumn(24),
        MofNCompleteColumn(),
        TextColumn("years  {task.description}"),
        console=Console(stderr=True),
        transient=True,
    )
    with bar:
        task = bar.add_task("", total=None)

        def tell(done: int, total: int, words: str) -> None:
            bar.update(task, completed=done, total=total, description=words)

        yield tell


@weather_app.command("fetch")
def fetch(
    *,
    place: options.PlaceOption = None,
    at: options.AtOption = None,
    station: options.StationOption = None,
    years: options.YearsOption = None,
    radius: RadiusOption = 100.0,
    refresh: Annotated[bool, typer.Option("--refresh", help="Ask again for kept years.")] = False,
    allow_missing: options.AllowMissingFlag = False,
    json: options.JsonFlag = False,
    seed: SeedOption = 0,
) -> None:
    """Fetch the years of a station near a place into the store; each ends with its outcome."""
    from suitability.weather.bringing import bring_station
    from suitability.weather.fetching import find_best_station, open_station_list
    from suitability.weather.listing import describe_manifest, render_years
    from suitability.weather.manifest import StationManifest
    from suitability.weather.station_list import find_station

    near = _near(place, at, needed=station is None)
    with progress_bar() as progress:
        errand = _errand(
            years,
            seed=seed,
            refresh=refresh,
            allow_missing=allow_missing,
            must_keep=True,
            progress=progress,
        )
        stations = open_station_list(errand)
        if station is not None:
            found, told = bring_station(errand, find_station(errand.folder, stations, station)), ""
        else:
            assert near is not None
            choice = find_best_station(errand, stations, near, radius)
            found, told = choice.years, choice.reason
    _say(told, stations.note, *found.notes)
    if json:
        _print_json(describe_manifest(StationManifest(station=found.station, years=found.entries)))
    else:
        typer.echo(f"{found.station.identifier} {found.station.name}")
        typer.echo(render_years(found.entries))


@weather_app.command("import")
def import_file(
    file: Annotated[Path, typer.Argument(metavar="FILE", help="An hourly record.")],
    *,
    name: Annotated[
        str | None, typer.Option("--name", metavar="NAME", help="Default: that of the file.")
    ] = None,
    at: options.AtOption = None,
    place: options.PlaceOption = None,
    utc_offset: options.UtcOffsetOption = None,
) -> None:
    """Read a file once, check it, and keep it in the store, from where it opens quickly."""
    from datetime import UTC, datetime

    from suitability.weather.record import datetime_of_hour
    from suitability.weather.sources.files import read_file_record
    from suitability.weather.store import ImportedPlace, default_store_folder, import_record

    near = _near(place, at, needed=False)
    record = read_file_record(file, longitude=near.longitude if near else None)
    name = name or file.name.split(".")[0]
    where = ImportedPlace(
        name=place or name,
        latitude=near.latitude if near else None,
        longitude=near.longitude if near else None,
        elevation_m=near.elevation_m if near else None,
        utc_offset_hours=_offset_of_position(near, record, utc_offset),
    )
    now = datetime.now(UTC)
    folder = default_store_folder()
    import_record(folder, name, record, place=where, from_where=str(file.resolve()), now=now)
    _say(*record.notes)
    first, last = datetime_of_hour(record.start_hour), datetime_of_hour(record.stop_hour - 1)
    typer.echo(f"{name}: {first:%Y-%m-%d} to {last:%Y-%m-%d}, {int(record.counted.sum())} hours")


def _offset_of_position(
    near: "Near | None", record: "Record", given_hours: float | None
) -> float | None:
    """Standard time of an imported record, looked up once and for all; None if it is unknown."""
    if given_hours is not None or near is None:
        return given_hours
    from suitability.places import find_zone, standard_offset_hours
    from suitability.weather.record import datetime_of_hour

    year = datetime_of_hour(record.stop_hour - 1).year
    return standard_offset_hours(find_zone(near.latitude, near.longitude), year)


@weather_app.command("list")
def list_store(*, json: options.JsonFlag = False) -> None:
    """List the stations and imported records of the store."""
    from suitability.weather.listing import describe_manifest, render_stations
    from suitability.weather.store import default_store_folder, list_imported
    from suitability.weather.year_store import list_stations

    folder = default_store_folder()
    manifests, imported = list_stations(folder), list_imported(folder)
    if json:
        stations = [describe_manifest(manifest) for manifest in manifests]
        _print_json({"folder": str(folder), "stations": stations, "imported": list(imported)})
        return
    typer.echo(f"Weather store: {folder}")
    if manifests:
        typer.echo(render_stations(manifests))
    if imported:
        typer.echo(f"Imported: {', '.join(imported)}")
    if not manifests and not imported:
        typer.echo("Nothing is stored yet; try `suitability weather fetch --at LAT,LON`.")


@weather_app.command("show")
def show(
    name: Annotated[
        str, typer.Argument(metavar="NAME", help="A station's identifier or an imported record.")
    ],
    *,
    utc_offset: options.UtcOffsetOption = None,
    json: options.JsonFlag = False,
) -> None:
    """Show the years of a stored record and how much of each month was observed."""
    from suitability.weather.coverage import count_coverage
    from suitability.weather.listing import (
        describe_coverage,
        describe_manifest,
        render_coverage,
        render_years,
    )
    from suitability.weather.store import default_store_folder, list_imported, read_imported
    from suitability.weather.year_store import read_kept_station

    folder = default_store_folder()
    plain: dict[str, Any]
    if name in list_imported(folder):
        record, place = read_imported(folder, name)
        plain = {"imported": name, "years": None}
        offset = utc_offset if utc_offset is not None else place.utc_offset_hours
        text = f"{name}: imported record"
    else:
        manifest, record = read_kept_station(folder, name.upper())
        plain = describe_manifest(manifest)
        offset = utc_offset
        text = f"{manifest.station.identifier} {manifest.station.name}\n"
        text += render_years(manifest.years)
    coverage = count_coverage(record, _standard_offset(record, offset))
    if json:
        credit = {"licence": record.licence, "attribution": record.attribution}
        _print_json(plain | credit | {"coverage": describe_coverage(coverage)})
        return
    typer.echo(text)
    typer.echo(f"\n{render_coverage(coverage)}")
    for label, words in (("Licence", record.licence), ("Credit", record.attribution)):
        if words:
            typer.echo(f"{label}: {words}")


@weather_app.command("check")
def check(*, json: options.JsonFlag = False) -> None:
    """Read every file of the store through; damaged ones are set aside, to be fetched again."""
    from suitability.weather.store import default_store_folder
    from suitability.weather.upkeep import check_store

    found = check_store(default_store_folder())
    if json:
        _print_json({"files": found.files, "faults": list(found.faults)})
    else:
        typer.echo("\n".join([*found.faults, f"{found.files} files, {len(found.faults)} faults"]))
    if found.faults:
        raise typer.Exit(1)


@weather_app.command("prune")
def prune(
    *,
    station: Annotated[
        list[str] | None,
        typer.Option("--station", metavar="ID", help="Also all years of this station."),
    ] = None,
    imported: Annotated[
        list[str] | None,
        typer.Option("--import", metavar="NAME", help="Also this imported record."),
    ] = None,
) -> None:
    """Delete leftovers of stopped programs and damaged files, and what is named."""
    from suitability.weather.store import default_store_folder
    from suitability.weather.upkeep import prune_store

    stations = [one.upper() for one in station or ()]
    gone = prune_store(default_store_folder(), stations=stations, imported=imported or ())
    typer.echo(f"{gone.files} files deleted, {gone.size / 1e6:.1f} MB freed")


@weather_app.command("stations")
def list_stations_near(
    *,
    place: options.PlaceOption = None,
    at: options.AtOption = None,
    years: options.YearsOption = None,
    radius: RadiusOption = 100.0,
    limit: Annotated[int, typer.Option("--limit", help="Stations shown at most.")] = 12,
    json: options.JsonFlag = False,
    offline: options.OfflineFlag = False,
    seed: SeedOption = 0,
) -> None:
    """List the stations near a place, the best first, and why one is or would be taken."""
    from suitability.weather.fetching import list_near, open_station_list
    from suitability.weather.listing import describe_candidates, render_candidates

    near = _near(place, at, needed=True)
    assert near is not None
    errand = _errand(years, seed=seed, offline=offline)
    stations = open_station_list(errand)
    candidates = list_near(errand, stations, near, radius)[: max(1, limit)]
    _say(stations.note)
    if json:
        _print_json({"stations": describe_candidates(candidates)})
    else:
        typer.echo(render_candidates(candidates))


def _near(place: str | None, at: list[str] | None, *, needed: bool) -> "Near | None":
    """The position that --at or --place names; None if neither does and none is needed."""
    from suitability.places import find_place, parse_at
    from suitability.weather.fetching import Near

    if at:
        if len(at) > 1:
            raise OptionError("This command takes one --at.")
        latitude, longitude, elevation_m = parse_at(at[0])
        return Near(latitude=latitude, longitude=longitude, elevation_m=elevation_m)
    if place:
        _, latitude, longitude, _ = find_place(place)
        return Near(latitude=latitude, longitude=longitude, elevation_m=None)
    if needed:
        raise OptionError("Name a place with --at LATITUDE,LONGITUDE[,ELEVATION] or --place.")
    return None


def _errand(
    years: str | None,
    *,
    seed: int,
    offline: bool = False,
    refresh: bool = False,
    allow_missing: bool = False,
    must_keep: bool = False,
    progress: Callable[[int, int, str], None] | None = None,
) -> "Errand":
    """What a command wants and with what means; here the clock and the environment are read."""
    from datetime import UTC, datetime

    from suitability.weather.bringing import Errand
    from suitability.weather.fetching import addresses_maker, transport_maker
    from suitability.weather.store import default_store_folder

    now = datetime.now(UTC)
    first, last = options.parse_years(years)
    last = last or now.year
    return Errand(
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


def _standard_offset(record: Any, offset: float | None) -> float:
    """Hours of standard time: as given, else those of the station's zone, else 0."""
    if offset is not None:
        return offset
    if record.station is None:
        return 0.0
    from suitability.places import place_at
    from suitability.weather.record import datetime_of_hour

    station = record.station
    year = datetime_of_hour(record.stop_hour - 1).year
    place = place_at(station.latitude, station.longitude, station.elevation_m, year=year)
    return place.utc_offset_hours


def _print_json(plain: dict[str, Any]) -> None:
    """One JSON document on standard output."""
    from json import dumps

    typer.echo(dumps(plain, ensure_ascii=False, allow_nan=False, indent=2))


def _say(*sentences: str) -> None:
    """What is to be told, on standard error."""
    for sentence in sentences:
        if sentence:
            typer.echo(f"suitability: {sentence}", err=True)
