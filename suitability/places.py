"""Places: where a record or a plant is, its name, height and standard time."""

import math
from datetime import UTC, datetime, timedelta
from typing import Annotated

from msgspec import Meta

from suitability.errors import OptionError, PlaceError
from suitability.quantities import Degrees, Metres, Result

HIGHEST_M = 6000.0  # nobody grows orchids outdoors above the tree line of the Andes
LOWEST_M = -430.0  # shore of the Dead Sea


class Place(Result, frozen=True, kw_only=True):
    """A place on the ground."""

    name: str
    latitude: Annotated[Degrees, Meta(ge=-90, le=90, description="North of the equator.")]
    longitude: Annotated[Degrees, Meta(ge=-180, le=180, description="East of Greenwich.")]
    elevation_m: Annotated[
        Metres | None, Meta(description="Above the sea; null where it is not known.")
    ] = None
    zone: Annotated[
        str | None,
        Meta(description="IANA time zone; null where the offset was given by hand."),
    ] = None
    utc_offset_hours: Annotated[
        float,
        Meta(
            description="Of standard time, all year, ahead of UTC.",
            extra_json_schema={"unit": "h"},
        ),
    ] = 0.0
    invented: Annotated[bool, Meta(description="It is made up, and so is its weather.")] = False


def parse_at(text: str, option: str = "--at") -> tuple[float, float, float | None]:
    """
    Latitude, longitude (degrees) and elevation (m, or None) of "LAT,LON[,ELEV]".

    Parameters
    ----------
    text
    option
        That took the text, for messages.

    Raises
    ------
    OptionError
        The text is not two or three numbers, or one is out of range.

    Examples
    --------
    >>> parse_at("33.9,-118.4,30")
    (33.9, -118.4, 30.0)
    """
    parts = [part.strip() for part in text.split(",")]
    try:
        numbers = [float(part) for part in parts]
    except ValueError:
        numbers = []
    if len(numbers) not in (2, 3) or not all(math.isfinite(number) for number in numbers):
        raise OptionError(
            f"{option} {text}: expected LATITUDE,LONGITUDE or LATITUDE,LONGITUDE,ELEVATION in "
            "degrees and metres, such as 33.9,-118.4,30."
        )
    latitude, longitude = numbers[0], numbers[1]
    elevation_m = numbers[2] if len(numbers) == 3 else None
    if not -90 <= latitude <= 90:
        raise OptionError(f"{option} {text}: latitude {latitude:g} is outside -90 to 90 degrees.")
    if not -180 <= longitude <= 180:
        raise OptionError(
            f"{option} {text}: longitude {longitude:g} is outside -180 to 180 degrees."
        )
    if elevation_m is not None and not LOWEST_M <= elevation_m <= HIGHEST_M:
        raise OptionError(
            f"{option} {text}: elevation {elevation_m:g} is outside {LOWEST_M:g} to "
            f"{HIGHEST_M:g} m."
        )
    return latitude, longitude, elevation_m


def find_zone(latitude: float, longitude: float) -> str:
    """
    IANA name of the time zone at a position, found offline.

    Raises
    ------
    PlaceError
        The boundary data know no zone there.
    """
    from tzfpy import get_tz  # noqa: PLC0415  (compiled data of some MB)

    zone = get_tz(longitude, latitude)
    if not zone:
        raise PlaceError(
            f"No time zone is known at {latitude:g},{longitude:g}; give the hours of standard time "
            "with --utc-offset."
        )
    return str(zone)


def standard_offset_hours(zone: str, year: int) -> float:
    """
    Hours of standard time ahead of UTC: the smaller of the January and July offsets.

    Raises
    ------
    PlaceError
        The zone is not in the time zone database of this computer.

    Examples
    --------
    >>> standard_offset_hours("America/Los_Angeles", 2020)
    -8.0
    """
    from zoneinfo import ZoneInfo, ZoneInfoNotFoundError  # noqa: PLC0415  (start-up counts)

    try:
        info = ZoneInfo(zone)
    except (ZoneInfoNotFoundError, ValueError, OSError) as reason:
        raise PlaceError(
            f"Time zone {zone!r} is not in this computer's time zone database; give the hours of "
            "standard time with --utc-offset."
        ) from reason
    offsets = [
        datetime(year, month, 1, tzinfo=UTC).astimezone(info).utcoffset() for month in (1, 7)
    ]
    smallest = min(offset for offset in offsets if offset is not None)
    return smallest / timedelta(hours=1)


def place_at(
    latitude: float,
    longitude: float,
    elevation_m: float | None,
    *,
    year: int,
    name: str | None = None,
    utc_offset_hours: float | None = None,
) -> Place:
    """
    The place at a position, with its zone looked up offline.

    Parameters
    ----------
    latitude, longitude : degrees
    elevation_m : m, or None
    year
        Year whose offsets decide standard time, usually the record's last.
    name
        None: the position itself.
    utc_offset_hours
        Overrides the look-up.

    Raises
    ------
    PlaceError
        No zone is known there.
    """
    zone = None if utc_offset_hours is not None else find_zone(latitude, longitude)
    if utc_offset_hours is not None:
        offset = utc_offset_hours
    else:
        assert zone is not None
        offset = standard_offset_hours(zone, year)
    return Place(
        name=name or f"{latitude:g},{longitude:g}",
        latitude=latitude,
        longitude=longitude,
        elevation_m=elevation_m,
        zone=zone,
        utc_offset_hours=offset,
    )
