"""One week at the station and at spots, hour by hour: to see what a spot does."""

from __future__ import annotations

from datetime import UTC, date, datetime
from typing import TYPE_CHECKING

import numpy as np
from msgspec import Struct

from suitability.advice.preparing import records_at
from suitability.advice.result import Credit
from suitability.errors import RecordError
from suitability.spots.spot import End
from suitability.weather.record import clip_record, hour_of_datetime

if TYPE_CHECKING:
    from collections.abc import Sequence

    from suitability.places import Place
    from suitability.spots.spot import Spot
    from suitability.weather.record import Record

HOURS = 168
SHOWN_DECIMALS = 1


class SpotWeek(Struct, frozen=True, kw_only=True):
    """
    Temperatures of one spot, °C, by hour; None where unknown.

    `low_c` and `high_c` are those at the ends of its range; empty for a spot without one.
    """

    name: str
    temp_c: tuple[float | None, ...]
    low_c: tuple[float | None, ...] = ()
    high_c: tuple[float | None, ...] = ()


class Week(Struct, frozen=True, kw_only=True):
    """Seven days from midnight, standard time: the station and the spots."""

    place: Place
    credit: Credit
    first_day: date
    station_c: tuple[float | None, ...]
    spots: tuple[SpotWeek, ...]


def see_week(record: Record, place: Place, spots: Sequence[Spot], first_day: date) -> Week:
    """
    Seven days at the station and at each spot.

    Parameters
    ----------
    record
        After the checks of quality; its whole length tells which nights are clear.
    first_day
        Of standard time.

    Raises
    ------
    RecordError
        The record does not hold the whole week.
    """
    midnight = datetime(first_day.year, first_day.month, first_day.day, tzinfo=UTC)
    start = int(np.ceil(hour_of_datetime(midnight) - place.utc_offset_hours))
    if start < record.start_hour or start + HOURS > record.stop_hour:
        clip_record(record, start, start + HOURS)  # says which days the record holds
        raise RecordError(
            f"The record holds only part of the week from {first_day}; choose another."
        )
    part = slice(start - record.start_hour, start - record.start_hour + HOURS)
    asked = [(spot, end) for spot in spots for end in End if spot.has_range or end is End.USUAL]
    there = (_plain(one, part) for one in records_at(record, place, asked))
    shown = dict(zip(asked, there, strict=True))
    return Week(
        place=place,
        credit=Credit.of(record),
        first_day=first_day,
        station_c=_plain(record, part),
        spots=tuple(
            SpotWeek(
                name=spot.name,
                temp_c=shown[spot, End.USUAL],
                low_c=shown.get((spot, End.LOW), ()),
                high_c=shown.get((spot, End.HIGH), ()),
            )
            for spot in spots
        ),
    )


def _plain(record: Record, part: slice) -> tuple[float | None, ...]:
    values = record.temp_c[part].tolist()
    return tuple(None if np.isnan(value) else round(value, SHOWN_DECIMALS) for value in values)
