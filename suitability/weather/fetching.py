"""A place's record: the station chosen, kept years used, missing years fetched, all of it told."""

from __future__ import annotations

import os
from collections.abc import Callable, Mapping, Sequence
from datetime import UTC, datetime
from functools import cache
from pathlib import Path

from msgspec import Struct

from suitability.errors import PlaceError, SourceError
from suitability.weather.filling import fetch_neighbours, fill_gaps, move_to_height, tell_height
from suitability.weather.manifest import YearEntry, say_years
from suitability.weather.minima_store import fetch_minima, with_minima
from suitability.weather.record import Record, Station, hour_of_datetime
from suitability.weather.sources.meteostat import Addresses
from suitability.weather.sources.transport import Transport
from suitability.weather.station_database import read_fewest_stations
from suitability.weather.station_list import StationList, ensure_stations, find_station
from suitability.weather.station_years import (
    FetchRequest,
    StationYears,
    fetch_station_years,
    record_of_years,
)
from suitability.weather.stations import (
    Candidate,
    choose_station,
    find_candidates,
    listed_years,
    none_near,
    seen_from,
)
from suitability.weather.year_store import read_manifest, say_manifest_damage

MOST_TRIED = 4  # stations whose years are fetched before one is chosen
RADIUS_KM = 100.0


class Choice(Struct, frozen=True, kw_only=True):
    """The station taken, with its years; why, in a sentence; and all that were considered."""

    years: StationYears
    reason: str
    table: tuple[Candidate, ...]


class Near(Struct, frozen=True, kw_only=True):
    """The position asked for: degrees, and m or None."""

    latitude: float
    longitude: float
    elevation_m: float | None


def record_for_place(
    latitude: float,
    longitude: float,
    elevation_m: float | None,
    *,
    first_year: int,
    last_year: int,
    folder: Path,
    now: datetime,
    offline: bool = False,
    allow_missing: bool = False,
    refresh: bool = False,
    station: str | None = None,
    radius_km: float = RADIUS_KM,
    neighbours: int = 0,
    lapse_k_per_km: float | None = None,
    quality: bool = True,
    progress: Callable[[int, int, str], None] | None = None,
    transport: Transport | None = None,
    addresses: Addresses | None = None,
) -> Record:
    """
    Observed hours of the best station near a place, from the store or fetched into it.

    Parameters
    ----------
    latitude, longitude : degrees
    elevation_m : m, or None if it is not known
    first_year, last_year
        Calendar years in UTC, both included; those to come are left out.
    folder
        Of the store.
    now
        UTC.
    offline
        Open no socket.
    allow_missing
        Go on without years that failed, with a note.
    refresh
        Ask again for kept years.
    station
        Identifier of a station to take instead of a chosen one.
    radius_km : km
        Farthest station to choose.
    neighbours
        Other stations near the place by which gaps are filled (origin `blended`); none by default.
    lapse_k_per_km : K/km, or None
        Moves the station's temperatures to the height of the place; None leaves them as measured.
    quality
        Take impossible hours out before gaps are filled.
    progress
        Told (years done, years in all, in words).
    transport, addresses
        None: the ordinary ones, made when they are needed.

    Returns
    -------
    Record
        From the first kept year to the last; `notes` holds what must be told.

    Raises
    ------
    PlaceError
        No station is within the radius, or none has the identifier.
    SourceError
        The service failed and nothing is kept, or years failed, which are named.
    StoreError
        The store cannot be read.
    """
    request = FetchRequest(
        folder=folder,
        first_year=first_year,
        last_year=last_year,
        now=now,
        transport=None if offline else transport_maker(transport),
        addresses=addresses_maker(addresses),
        allow_missing=allow_missing,
        refresh=refresh,
        progress=progress,
    )
    stations = open_station_list(request)
    near = Near(latitude=latitude, longitude=longitude, elevation_m=elevation_m)
    if station is None:
        choice = find_best_station(request, stations, near, radius_km)
        found, told, table = choice.years, choice.reason, choice.table
    else:
        wanted = find_station(folder, stations, station)
        seen = seen_from(wanted, latitude, longitude, elevation_m)
        found = fetch_station_years(request, seen, listed_years(folder, stations, station))
        told, table = "", None
        if not found.observed_hours:
            raise _nothing_observed(request, [wanted])
    notes = tuple(note for note in (told, stations.note, *found.notes) if note)
    record = record_of_years(found, notes)
    if quality:
        from suitability.weather.quality import check_quality  # noqa: PLC0415  (not always wanted)

        record = check_quality(record)
    record = with_minima(record, fetch_minima(request, found.station.identifier))
    if neighbours:
        if table is None:
            table = other_stations(request, stations, near, radius_km)
        around = fetch_neighbours(request, table, found.station.identifier, neighbours)
        record = fill_gaps(record, around, longitude=longitude, quality=quality)
    if lapse_k_per_km is None:
        return tell_height(record)
    return move_to_height(record, lapse_k_per_km)


def other_stations(
    request: FetchRequest, stations: StationList, near: Near, radius_km: float
) -> tuple[Candidate, ...]:
    """The stations near a place in their order, as `list_near`; none where none is near."""
    try:
        return list_near(request, stations, near, radius_km)
    except PlaceError:
        return ()


def transport_maker(transport: Transport | None, seed: int = 0) -> Callable[[], Transport]:
    """Make the means of asking once, when first needed: the modules of the network load slowly."""

    @cache
    def make() -> Transport:
        from suitability.weather.sources.transport import make_transport  # noqa: PLC0415

        return transport or make_transport(seed=seed, environment=os.environ)

    return make


def addresses_maker(addresses: Addresses | None) -> Callable[[], Addresses]:
    """Read the addresses of the service when they are needed."""

    @cache
    def make() -> Addresses:
        from suitability.weather.sources.meteostat import read_addresses  # noqa: PLC0415  (network)

        return addresses or read_addresses(os.environ)

    return make


def open_station_list(request: FetchRequest) -> StationList:
    """The list of stations, fresh if it can be had; SourceError if there is none at all."""

    def start_asking(make: Callable[[], Transport]) -> Transport:
        if request.progress is not None:
            request.progress(0, len(request.years), "fetching the list of stations")
        return make()

    def tell(bytes_there: int) -> None:
        if request.progress is not None:
            words = f"fetching the list of stations, {bytes_there / 1e6:.1f} MB"
            request.progress(0, len(request.years), words)

    means = request.transport
    return ensure_stations(
        request.folder,
        endpoints=lambda: request.addresses().stations,
        now=request.now,
        transport=None if means is None else lambda: start_asking(means),
        must_keep=request.must_keep,
        fewest=lambda: read_fewest_stations(os.environ),
        on_bytes=tell,
    )


def observed_share(request: FetchRequest, entries: Sequence[YearEntry]) -> float:
    """Share of the asked hours, up to now, that a station's kept years hold as observed, 0 to 1."""
    asked = [entry for entry in entries if entry.is_kept and entry.year in request.years]
    return sum(entry.counts.observed for entry in asked) / max(1, _asked_hours(request))


def _asked_hours(request: FetchRequest) -> int:
    """Hours of the asked years up to now, h."""
    start = datetime(request.first_year, 1, 1, tzinfo=UTC)
    stop = min(request.now, datetime(request.last_year + 1, 1, 1, tzinfo=UTC))
    return hour_of_datetime(stop) - hour_of_datetime(start)


def list_near(
    request: FetchRequest, stations: StationList, near: Near, radius_km: float
) -> tuple[Candidate, ...]:
    """
    The stations near a place in their order, with what the store knows of them; fetches no year.

    Raises
    ------
    PlaceError
        There is none within the radius; the nearest is named.
    """
    candidates = _candidates(request, stations, near, radius_km)
    shares = {}
    for one in candidates:
        manifest = read_manifest(request.folder, one.station.identifier)
        if manifest is not None:
            shares[one.station.identifier] = observed_share(request, manifest.years)
    return choose_station(candidates, shares)


def _candidates(
    request: FetchRequest, stations: StationList, near: Near, radius_km: float
) -> tuple[Candidate, ...]:
    """Stations near a place; PlaceError if there is none."""
    candidates = find_candidates(
        request.folder,
        stations,
        near.latitude,
        near.longitude,
        near.elevation_m,
        first_year=request.first_year,
        last_year=request.last_year,
        radius_km=radius_km,
    )
    if not candidates:
        raise none_near(request.folder, stations, near.latitude, near.longitude, radius_km)
    return candidates


def find_best_station(
    request: FetchRequest, stations: StationList, near: Near, radius_km: float
) -> Choice:
    """
    The best station near a place with its years, and why it was taken.

    The most promising one is fetched; if its observed hours put it behind another, that one is
    fetched too, and so on, until the best is a fetched one or enough were tried. Offline, the best
    of the kept ones is taken.

    Raises
    ------
    PlaceError
        No station is within the radius.
    SourceError
        Years failed, or no station has an observed hour.
    """
    candidates = _candidates(request, stations, near, radius_km)
    brought: dict[str, StationYears] = {}
    shares: dict[str, float] = {}
    while True:
        table = choose_station(candidates, shares)
        best = next((one for one in table if one.chosen), None)
        untried = [one for one in table if one.station.identifier not in brought]
        better = [one for one in untried if best is None or one.penalty_km < best.penalty_km]
        if not better or len(shares) >= MOST_TRIED:
            break
        station, listed = better[0].station, better[0].inventory_years
        years = brought[station.identifier] = fetch_station_years(request, station, listed)
        if years.records or request.transport is not None:
            shares[station.identifier] = years.observed_hours / max(1, _asked_hours(request))
    if best is None:
        raise _nothing_observed(request, [one.station for one in table[:MOST_TRIED]])
    return Choice(
        years=brought[best.station.identifier],
        reason=_say_choice(request, best, table, brought),
        table=tuple(table),
    )


def _say_choice(
    request: FetchRequest,
    best: Candidate,
    table: Sequence[Candidate],
    brought: Mapping[str, StationYears],
) -> str:
    """Why a station was taken, in a sentence."""
    station = best.station
    words = f"Station {station.identifier} ({station.name}), {station.distance_km:.0f} km away"
    if station.height_difference_m is None:
        words += ", height difference unknown"
    else:
        side = "higher" if station.height_difference_m >= 0 else "lower"
        words += f", {abs(station.height_difference_m):.0f} m {side}"
    words += f", {100 * (best.observed_share or 0):.0f} % of the hours observed"
    passed = [one for one in table if one.observed_share is not None and not one.chosen]
    for one in passed:
        words += f"; {one.station.identifier} ({one.station.name}) passed over: {one.reason}"
        suspects = brought[one.station.identifier].suspects
        if suspects:
            words += f" ({say_years(suspects)} may be poor files and are asked for again)"
    first = table[0]
    if request.transport is None and first.observed_share is None:
        words += f"; {first.station.identifier} ({first.station.name}) might serve better online"
    return f"{words}."


def _nothing_observed(request: FetchRequest, tried: Sequence[Station]) -> SourceError:
    """The error that no station has hours to use."""
    names = ", ".join(f"{station.identifier} ({station.name})" for station in tried)
    years = f"{request.first_year}-{request.last_year}"
    if request.transport is None:
        damages = [say_manifest_damage(request.folder, station.identifier) for station in tried]
        why = f" ({damage})" if (damage := next(filter(None, damages), "")) else ""
        return SourceError(
            f"The store has no hours of {years} of a station near the place ({names}) and "
            "--offline forbids fetching; run this once with the network up, or give a file with "
            f"--record{why}."
        )
    return SourceError(
        f"No observed hour of {years} at the stations near the place ({names}); choose other "
        "years, a wider radius, or give a file with --record."
    )
