"""
The choice of a weather station for a place, with its reasons.

Distance, height difference and hours that were really observed decide; an inventory is a hint.
"""

from __future__ import annotations

import math
import re
from collections.abc import Mapping, Sequence
from pathlib import Path

from msgspec import Struct
from msgspec.structs import replace

from suitability.errors import PlaceError
from suitability.weather.record import Station
from suitability.weather.station_list import (
    StationList,
    observers_of,
    query_stations,
    stations_between,
)

EARTH_RADIUS_KM = 6371.0
KM_PER_DEGREE = 111.0  # a little less than a degree of latitude, so that the band is wide enough
HEIGHT_KM_PER_M = (
    0.3  # 100 m of height (0.65 °C) weigh as much as 30 km of way; reasoned, no source
)
UNKNOWN_HEIGHT_KM = 30.0  # a station whose height is unknown may be 100 m off
UNOBSERVED_KM = 60.0  # an unobserved record weighs as much as 60 km of way; reasoned, no source
YEAR = re.compile(r"\d{4}(?=-)", re.ASCII)  # of a date; anything else is no hint
IDENTIFIERS_A_QUERY = 500  # older libraries of SQLite take no more than 999 values


class Candidate(Struct, frozen=True, kw_only=True):
    """
    A station near a place, and what speaks for it.

    Attributes
    ----------
    station
        With its distance (km) and height difference (m, station above the place; None if unknown).
    inventory_years
        First and last year that the inventory names for an observing source; a hint only.
    listed_share
        Share of the asked years within them, 0 to 1.
    observed_share
        Observed hours over all hours of the asked years, 0 to 1; None before it was fetched.
    chosen
        Whether it was taken.
    reason
        In words, why it was taken or passed over.
    """

    station: Station
    inventory_years: tuple[int, int] | None
    listed_share: float
    observed_share: float | None = None
    chosen: bool = False
    reason: str = ""

    @property
    def penalties_km(self) -> tuple[float, float, float]:
        """
        Distance, height difference and unobserved hours, each weighed as a distance, km.

        Before a station was fetched, its inventory stands for its observed hours.
        """
        share = self.listed_share if self.observed_share is None else self.observed_share
        height_m = self.station.height_difference_m
        height_km = UNKNOWN_HEIGHT_KM if height_m is None else HEIGHT_KM_PER_M * abs(height_m)
        return self.station.distance_km or 0.0, height_km, UNOBSERVED_KM * (1 - share)

    @property
    def penalty_km(self) -> float:
        """Weighed distance, km; the least is best."""
        return sum(self.penalties_km)


def seen_from(
    station: Station, latitude: float, longitude: float, elevation_m: float | None
) -> Station:
    """The station with its distance (km) and its height above (m) a place; degrees and m."""
    above_m = None
    if elevation_m is not None and station.elevation_m is not None:
        above_m = station.elevation_m - elevation_m
    away_km = distance_km(latitude, longitude, station.latitude, station.longitude)
    return replace(station, distance_km=round(away_km, 3), height_difference_m=above_m)


def distance_km(
    latitude: float, longitude: float, other_latitude: float, other_longitude: float
) -> float:
    """
    Distance of two positions (degrees) on the sphere, km (haversine formula).

    Examples
    --------
    >>> round(distance_km(0.0, 0.0, 0.0, 1.0), 1)
    111.2
    """
    phi, other_phi = math.radians(latitude), math.radians(other_latitude)
    half = math.sin((other_phi - phi) / 2) ** 2
    turn = math.radians(other_longitude - longitude)
    half += math.cos(phi) * math.cos(other_phi) * math.sin(turn / 2) ** 2
    return 2 * EARTH_RADIUS_KM * math.asin(min(1.0, math.sqrt(half)))


def find_candidates(
    folder: Path,
    stations: StationList,
    latitude: float,
    longitude: float,
    elevation_m: float | None,
    *,
    first_year: int,
    last_year: int,
    radius_km: float,
) -> tuple[Candidate, ...]:
    """
    Stations within a radius, the most promising first.

    Since inventories err both ways, a station is never left out for what its inventory says.
    """
    reach = radius_km / KM_PER_DEGREE
    band = stations_between(folder, stations, latitude - reach, latitude + reach)
    seen = (seen_from(station, latitude, longitude, elevation_m) for station in band)
    near = [station for station in seen if (station.distance_km or 0.0) <= radius_km]
    spans = _inventory(folder, stations, [station.identifier for station in near])
    found = []
    for station in near:
        span = spans.get(station.identifier)
        share = _listed_share(span, first_year, last_year)
        found.append(Candidate(station=station, inventory_years=span, listed_share=share))
    return tuple(sorted(found, key=_order))


def _order(candidate: Candidate) -> tuple[float, str]:
    """Key to sort candidates by, the best first."""
    return candidate.penalty_km, candidate.station.identifier


def _inventory(
    folder: Path, stations: StationList, identifiers: Sequence[str]
) -> dict[str, tuple[int, int]]:
    """First and last year of observed hourly temperature that the inventory names."""
    spans: dict[str, tuple[int, int]] = {}
    observers = observers_of(stations)
    for begin in range(0, len(identifiers), IDENTIFIERS_A_QUERY):
        some = identifiers[begin : begin + IDENTIFIERS_A_QUERY]
        sql = f"""
            SELECT station, min(start), max(end) FROM inventory
            WHERE parameter = 'temp' AND provider IN ({_marks(observers)})
                AND station IN ({_marks(some)})
            GROUP BY station
        """  # noqa: S608  (only question marks are put in)
        for station, start, end in query_stations(folder, stations, sql, (*observers, *some)):
            first, last = YEAR.match(str(start)), YEAR.match(str(end))
            if first and last:
                spans[str(station)] = (int(first[0]), int(last[0]))
    return spans


def listed_years(folder: Path, stations: StationList, identifier: str) -> tuple[int, int] | None:
    """First and last year of observed hourly temperature that the list names for a station."""
    wanted = identifier.strip().upper()
    return _inventory(folder, stations, [wanted]).get(wanted)


def _marks(values: Sequence[str]) -> str:
    """Question marks for bound values."""
    return ", ".join("?" * len(values))


def _listed_share(span: tuple[int, int] | None, first_year: int, last_year: int) -> float:
    """Share of the asked years that the inventory names, 0 to 1."""
    if span is None:
        return 0.0
    years = min(span[1], last_year) - max(span[0], first_year) + 1
    return max(0, years) / (last_year - first_year + 1)


def none_near(
    folder: Path, stations: StationList, latitude: float, longitude: float, radius_km: float
) -> PlaceError:
    """The error that no station is within the radius; it names the nearest one."""
    everywhere = stations_between(folder, stations, -90.0, 90.0)
    seen = (seen_from(station, latitude, longitude, None) for station in everywhere)
    nearest = min(seen, key=lambda station: station.distance_km or 0.0, default=None)
    if nearest is None:
        return PlaceError(
            "The list of weather stations holds none that can be used; give a file with --record."
        )
    return PlaceError(
        f"No weather station within {radius_km:g} km of {latitude:g},{longitude:g}; the nearest is "
        f"{nearest.identifier} ({nearest.name}), {nearest.distance_km:.0f} km away: take it with "
        f"--station {nearest.identifier} if its climate is that of the place."
    )


def choose_station(
    candidates: Sequence[Candidate], observed_shares: Mapping[str, float]
) -> tuple[Candidate, ...]:
    """
    The candidates in their final order, one of them chosen, each with its reason.

    Parameters
    ----------
    observed_shares
        Observed share of the asked hours of each station that was fetched, by identifier; only
        these can be chosen, and only above 0.

    Returns
    -------
    the best first; none is chosen if no fetched station has an observed hour
    """
    known = [
        replace(one, observed_share=observed_shares.get(one.station.identifier))
        for one in candidates
    ]
    ordered = sorted(known, key=_order)
    best = next((one for one in ordered if one.observed_share), None)
    if best is None:
        return tuple(replace(one, reason=_why_not(one, None)) for one in ordered)
    told = []
    for one in ordered:
        chosen = one is best
        reason = "least weighed distance" if chosen else _why_not(one, best)
        told.append(replace(one, chosen=chosen, reason=reason))
    return tuple(told)


def _why_not(one: Candidate, best: Candidate | None) -> str:
    """Why a candidate was passed over: what weighs most against it."""
    if one.observed_share == 0:
        return "no observed hour in these years"
    if best is None or (one.observed_share is None and one.penalty_km < best.penalty_km):
        return "not fetched"
    reasons = ("farther away", "more unlike in height", "fewer observed hours")
    pairs = zip(one.penalties_km, best.penalties_km, strict=True)
    costs = [own - other for own, other in pairs]
    return reasons[costs.index(max(costs))]
