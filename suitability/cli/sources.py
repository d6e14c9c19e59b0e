"""Which record a command works on: the demo, a file, or what is stored or fetched for a place."""

import os
from pathlib import Path
from typing import TYPE_CHECKING

from msgspec import Struct
from msgspec.structs import replace

from suitability.cli.options import MOST_NEIGHBOURS, Fetched, Logger, Where, check_range
from suitability.errors import OptionError, RecordError

if TYPE_CHECKING:
    from suitability.places import Place
    from suitability.spots.collection import Collection
    from suitability.weather.record import Record

OF_RECORD = ("--record-columns", "--record-unit", "--record-zone")
LARGE_BYTES = 20_000_000  # of a file that takes seconds to read
LAPSE_RATES_K_PER_KM = (-10.0, 15.0)  # inversions are negative; dry air cools by 9.8


class Request(Struct, frozen=True, kw_only=True):
    """
    What the options say about the record, as typed.

    `shown` is a collection's name of its place: only shown if the record knows where it was
    measured, else a town to be looked up.
    """

    demo: bool
    place: str | None
    at: tuple[str, ...]
    records: tuple[Path, ...]
    years: tuple[int | None, int | None]
    utc_offset_hours: float | None
    offline: bool
    quality: bool
    allow_missing: bool = False
    station: str | None = None
    neighbours: int = 0
    lapse_k_per_km: float | None = None
    declared: Logger = Logger()
    shown: str | None = None

    @classmethod
    def of(
        cls,
        where: Where,
        fetched: Fetched,
        *,
        years: tuple[int | None, int | None],
        quality: bool = True,
    ) -> "Request":
        """What was typed of the place and of how its record is got."""
        return cls(
            demo=where.demo,
            place=where.place,
            at=tuple(where.at or ()),
            records=tuple(where.record or ()),
            years=years,
            utc_offset_hours=where.utc_offset,
            offline=fetched.offline,
            quality=quality,
            allow_missing=fetched.allow_missing,
            station=fetched.station,
            neighbours=fetched.neighbours,
            lapse_k_per_km=fetched.lapse_rate,
            declared=Logger(
                columns=where.record_columns,
                input_units=where.record_unit,
                zone=where.record_zone,
            ),
        )

    def at_home(self, collection: "Collection | None") -> "Request":
        """
        The request with the collection's place and record where none was typed.

        A place that was typed is another one: then neither place nor record of the file is taken.
        Options that choose or mend the record of a weather station leave the file's record out.
        """
        if collection is None or self.demo or self.at or self.place:
            return self
        home = collection.home
        wants_station = self.station or self.neighbours or self.lapse_k_per_km is not None
        records = self.records
        if not records and home.record is not None and not wants_station:
            records = (home.record,)
        offset = self.utc_offset_hours
        knows_where = home.at is None and bool(records) and is_imported(records[0])
        return replace(
            self,
            place=None if knows_where else home.name,
            shown=home.name if knows_where else None,
            at=() if home.at is None else (home.at,),
            records=records,
            utc_offset_hours=home.utc_offset_hours if offset is None else offset,
        )


def open_record(request: Request) -> "tuple[Record, Place]":
    """
    The record and its place; that of a station after the checks of quality, if these are wanted.

    Raises
    ------
    OptionError
        The options name no record, or more than one.
    SuitabilityError
        The record cannot be read or fetched.
    """
    _check(request)
    if request.demo:
        from suitability.weather.sources.demo import demo_place, demo_record

        return demo_record(), demo_place()
    if request.records and is_imported(request.records[0]):
        return _from_import(request)
    if request.records:
        return _from_file(request)
    return _from_station(request)


def _check(request: Request) -> None:
    """Refuse options that do not go together."""
    if len(request.records) > 1 or len(request.at) > 1:
        raise OptionError(
            "This command takes one --record and one --at; `suitability compare` takes several."
        )
    if request.demo and (request.records or request.at or request.place):
        raise OptionError("--demo brings its own place: leave out --record, --at and --place.")
    imported = bool(request.records) and is_imported(request.records[0])
    if request.records and not imported:
        _check_exists(request.records[0])
    if request.declared != Logger() and (imported or not request.records):
        raise OptionError(
            f"{', '.join(OF_RECORD)}: tell how the file of --record is read; leave them out where "
            "there is none, and for an imported record."
        )
    if request.station is not None and (request.demo or request.records):
        raise OptionError("--station chooses a weather station: leave it out with a record.")
    if request.records and not (request.at or request.place or imported):
        raise OptionError(
            f"--record {request.records[0]}: say where it was recorded with "
            "--at LATITUDE,LONGITUDE[,ELEVATION]."
        )
    _check_blending(request)
    if not (request.demo or request.records or request.at or request.place):
        lies = " A collection lies here: --collection collection.toml."
        raise OptionError(
            "Name a place with --place or --at, or a file with --record and --at, or try --demo."
            + (lies if os.path.lexists("collection.toml") else "")
        )


def _check_exists(path: Path) -> None:
    """Refuse a bare name that is neither a file nor an imported record."""
    if not path.suffix and path.name == str(path) and not os.path.lexists(path):
        raise RecordError(
            f"{path}: no such file, and no record was imported under this name; "
            "`suitability weather list` shows those that were."
        )


def _check_blending(request: Request) -> None:
    """Refuse neighbours and lapse rates that are out of range, or without a station."""
    check_range("--neighbours", request.neighbours, 0, MOST_NEIGHBOURS)
    if request.lapse_k_per_km is not None:
        check_range("--lapse-rate", request.lapse_k_per_km, *LAPSE_RATES_K_PER_KM)
    asked = "--neighbours" if request.neighbours else "--lapse-rate"
    if not request.neighbours and request.lapse_k_per_km is None:
        return
    if request.demo or request.records:
        raise OptionError(
            f"{asked} works on the record of a weather station: leave it out, or name the place "
            "with --at or --place alone."
        )


def _position(request: Request) -> tuple[str | None, float, float, float | None]:
    """Name, latitude, longitude, elevation of the place asked for."""
    from suitability.places import parse_at
    from suitability.towns import find_town

    if request.at:
        return (request.place, *parse_at(request.at[0]))
    assert request.place is not None
    town = find_town(request.place)
    return town.label, town.latitude, town.longitude, None


def is_imported(path: Path) -> bool:
    """Whether what is no file is the name of a record that was imported into the store."""
    from suitability.weather.store import default_store_folder, list_imported

    if os.path.lexists(path) or path.name != str(path):
        return False
    return path.name in list_imported(default_store_folder())


def _from_import(request: Request) -> "tuple[Record, Place]":
    """A record imported before, at the place it was imported with unless another is named."""
    from suitability.places import Place, place_at
    from suitability.weather.record import datetime_of_hour
    from suitability.weather.store import default_store_folder, read_imported

    record, kept = read_imported(default_store_folder(), request.records[0].name)
    if request.shown and (kept.latitude is None or kept.longitude is None):
        request = replace(request, place=request.shown)
    asked = bool(request.at or request.place)
    judged = not asked and kept.latitude is not None
    name, latitude, longitude, elevation_m = (
        _position(request)
        if asked
        else (request.shown or kept.name, kept.latitude, kept.longitude, kept.elevation_m)
    )
    if latitude is None or longitude is None:
        raise OptionError(
            f"--record {request.records[0]}: it was imported without a position; say where it was "
            "recorded with --at LATITUDE,LONGITUDE[,ELEVATION]."
        )
    if not judged:
        from suitability.weather.sources.axis import judge_place

        file = str(request.records[0])
        record = judge_place(record, file, latitude=latitude, longitude=longitude)
    offset = request.utc_offset_hours
    if offset is None and not asked and kept.utc_offset_hours is not None:
        return record, Place(
            name=name or kept.name,
            latitude=latitude,
            longitude=longitude,
            elevation_m=elevation_m,
            utc_offset_hours=kept.utc_offset_hours,
        )
    year = datetime_of_hour(record.stop_hour - 1).year
    place = place_at(
        latitude, longitude, elevation_m, year=year, name=name or kept.name, utc_offset_hours=offset
    )
    return record, place


def _from_file(request: Request) -> "tuple[Record, Place]":
    """The record in a file."""
    from suitability.cli.importing import read_declared, refuse_future
    from suitability.cli.terminal import say
    from suitability.places import place_at
    from suitability.weather.record import datetime_of_hour
    from suitability.weather.sources.axis import judge_place

    name, latitude, longitude, elevation_m = _position(request)
    path = request.records[0]
    found = read_declared(path, request.declared, OF_RECORD)
    if request.declared != Logger():
        say(f"{path.name} was understood so:", *found.understood.sentences())
    if path.stat().st_size > LARGE_BYTES:
        say(
            f"{path.name} is large: `suitability weather import` reads it once and keeps its "
            "hours, so that --record with the name it is given opens them at once."
        )
    refuse_future(found.record, path)
    record = judge_place(found.record, path.name, latitude=latitude, longitude=longitude)
    place = place_at(
        latitude,
        longitude,
        elevation_m,
        year=datetime_of_hour(record.stop_hour - 1).year,
        name=name or (record.station.name if record.station else path.name.split(".")[0]),
        utc_offset_hours=request.utc_offset_hours,
    )
    return record, place


def _from_station(request: Request) -> "tuple[Record, Place]":
    """The record of a station near the place, from the store or fetched."""
    from datetime import UTC, datetime

    from msgspec.structs import replace as with_height

    from suitability.cli.terminal import progress_bar, say
    from suitability.places import place_at
    from suitability.weather.fetching import record_for_place
    from suitability.weather.store import default_store_folder
    from suitability.weather.suspect_years import FAR_FEWER

    name, latitude, longitude, elevation_m = _position(request)
    if request.lapse_k_per_km is not None and elevation_m is None:
        raise OptionError(
            "--lapse-rate: say the height of the place with --at LATITUDE,LONGITUDE,ELEVATION."
        )
    now = datetime.now(UTC)
    place = place_at(
        latitude,
        longitude,
        elevation_m,
        year=now.year,
        name=name,
        utc_offset_hours=request.utc_offset_hours,
    )
    first, last = request.years
    last = last or now.year
    with progress_bar() as progress:
        record = record_for_place(
            latitude,
            longitude,
            elevation_m,
            first_year=first or last - 29,
            last_year=last,
            folder=default_store_folder(),
            now=now,
            offline=request.offline,
            allow_missing=request.allow_missing,
            station=request.station,
            neighbours=request.neighbours,
            lapse_k_per_km=request.lapse_k_per_km,
            quality=request.quality,
            progress=progress,
        )
    say(*(note for note in record.notes if FAR_FEWER in note))  # what would stay silently poor
    if place.elevation_m is None and record.station is not None:
        place = with_height(place, elevation_m=record.station.elevation_m)
    return record, place
