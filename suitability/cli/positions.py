"""The position that a weather command is about."""

from typing import TYPE_CHECKING, Any

from suitability.cli.options import Where, single
from suitability.errors import OptionError

if TYPE_CHECKING:
    from suitability.weather.fetching import Near


def near_position(where: Where, *, needed: bool) -> "Near | None":
    """The position that --at or --place names; None if neither does and none is needed."""
    from suitability.places import parse_at
    from suitability.towns import find_town
    from suitability.weather.fetching import Near

    at = single("--at", where.at)
    if at is not None:
        latitude, longitude, elevation_m = parse_at(at)
        return Near(latitude=latitude, longitude=longitude, elevation_m=elevation_m)
    if where.place:
        town = find_town(where.place)
        return Near(latitude=town.latitude, longitude=town.longitude, elevation_m=None)
    if needed:
        raise OptionError("Name a place with --at LATITUDE,LONGITUDE[,ELEVATION] or --place.")
    return None


def standard_offset(record: Any, offset: float | None) -> float:
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
