"""Gaps of a station filled from its neighbours, and its record moved to the height of the place."""

from __future__ import annotations

from collections.abc import Sequence

from msgspec import Struct
from msgspec.structs import replace

from suitability.errors import SourceError
from suitability.weather.blending import (
    AVERAGE_ONLY,
    LAPSE_K_PER_KM,
    fill_from_neighbours,
    shift_height,
)
from suitability.weather.record import Record
from suitability.weather.station_years import (
    FetchRequest,
    StationYears,
    fetch_station_years,
    record_of_years,
)
from suitability.weather.stations import Candidate

SPARE_TRIES = 4  # neighbours asked for in vain before the search ends
TOLD_HEIGHT_M = 30.0  # a smaller height difference is under 0.2 °C by the standard lapse rate


class Neighbours(Struct, frozen=True, kw_only=True):
    """Stations with observed hours beside the one taken, and what is to be told of others."""

    years: tuple[StationYears, ...]
    notes: tuple[str, ...] = ()


def fetch_neighbours(
    request: FetchRequest, candidates: Sequence[Candidate], taken: str, number: int
) -> Neighbours:
    """
    The next best stations that have observed hours, at most `number`; failed ones are told.

    Parameters
    ----------
    candidates
        Stations near the place, the best first.
    taken
        Identifier of the station whose gaps are to be filled.

    Raises
    ------
    StoreError
        The store cannot be read, or not be written although it must.
    """
    lenient = replace(request, allow_missing=True)
    found: list[StationYears] = []
    told: list[str] = []
    in_vain = 0
    for candidate in candidates:
        if len(found) >= number or in_vain >= SPARE_TRIES:
            break
        station = candidate.station
        if station.identifier == taken:
            continue
        try:
            years = fetch_station_years(lenient, station, candidate.inventory_years)
        except SourceError as reason:
            told.append(f"Neighbour {station.identifier} is left out: {reason}")
            in_vain += 1
            continue
        if years.observed_hours:
            found.append(years)
        elif request.transport is not None:
            in_vain += 1
    if len(found) < number:
        told.append(f"Only {len(found)} of {number} neighbours have observed hours to fill from.")
    return Neighbours(years=tuple(found), notes=tuple(told))


def fill_gaps(record: Record, neighbours: Neighbours, *, longitude: float, quality: bool) -> Record:
    """
    The record with gaps filled from neighbours (origin `blended`), and how far that is off told.

    Parameters
    ----------
    longitude : degrees east
        Tells night from day by the sun, for the errors of nights.
    quality
        Take impossible hours out of the neighbours first.
    """
    from suitability.weather.quality import check_quality  # noqa: PLC0415

    others = [record_of_years(years) for years in neighbours.years]
    if quality:
        others = [check_quality(other) for other in others]
    if not others:
        return replace(record, notes=(*record.notes, *neighbours.notes))
    filled, _ = fill_from_neighbours(record, others, utc_offset_hours=round(longitude / 15.0))
    unfilled = (
        ("Neighbours filled no hour: none is missing that they have.",) if filled is record else ()
    )
    return replace(filled, notes=(*filled.notes, *unfilled, *neighbours.notes))


def move_to_height(record: Record, lapse_k_per_km: float) -> Record:
    """
    The record of a station moved to the height of the place, with a note on what that cannot do.

    Values are not rounded, so that no hour is moved across a floor by rounding.
    """
    above_m = None if record.station is None else record.station.height_difference_m
    if above_m is None:
        note = (
            "The height of the station is not known: its temperatures are as measured, and "
            "--lapse-rate changed nothing."
        )
        return replace(record, notes=(*record.notes, note))
    shift_c = lapse_k_per_km * above_m / 1000.0
    note = (
        f"Temperatures were moved by {shift_c:+.1f} °C to the height of the place, "
        f"{_how_high(above_m)} ({lapse_k_per_km:g} K/km). {AVERAGE_ONLY}"
    )
    moved = shift_height(record.temp_c, above_m, lapse_k_per_km).round(6)
    told_c = record.lost_minimum_c
    if told_c is not None:
        told_c = shift_height(told_c, above_m, lapse_k_per_km).round(6)
    return replace(record, temp_c=moved, lost_minimum_c=told_c, notes=(*record.notes, note))


def tell_height(record: Record) -> Record:
    """The record with a note on the station's height, where it could matter and was not used."""
    above_m = None if record.station is None else record.station.height_difference_m
    if above_m is None or abs(above_m) < TOLD_HEIGHT_M:
        return record
    shift_c = LAPSE_K_PER_KM * above_m / 1000.0
    note = (
        f"Temperatures are as measured at the station: the place lies {_how_high(above_m)}; "
        f"--lapse-rate {LAPSE_K_PER_KM:g} would move them by {shift_c:+.1f} °C."
    )
    return replace(record, notes=(*record.notes, note))


def _how_high(above_m: float) -> str:
    """How the place lies, from how far the station stands above it (m)."""
    side = "lower" if above_m >= 0 else "higher"
    return f"{abs(above_m):.0f} m {side} than the station"
