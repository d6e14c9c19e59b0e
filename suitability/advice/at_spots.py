"""
A record at a growing spot: the hours of the open air, changed as the spot changes them.

Hours at a spot are kept to tenths of a degree, as station data are: what a spot adds is known no
better. An hour is as much observed there as it is outside. A spot that is as outside keeps the
record's own arrays.
"""

from __future__ import annotations

from typing import TYPE_CHECKING

import numpy as np
from msgspec.structs import replace
from numpy.typing import NDArray

from suitability.climate.days import local_hour
from suitability.climate.enclosure import (
    damp,
    hold_minimum,
    kinds_of_nights,
    near_window,
    shift_by_night,
)
from suitability.climate.humidity import humidity_when_warmed
from suitability.spots.spot import End, Spot
from suitability.weather.record import fill_short_gaps

if TYPE_CHECKING:
    from collections.abc import Sequence

    from suitability.places import Place
    from suitability.weather.record import Record

__all__ = ["records_at", "records_at_ends", "records_at_spots", "with_humidity"]

FloatArray = NDArray[np.float64]
IntArray = NDArray[np.int64]

DEGREES_AN_HOUR = 15.0  # of longitude, by which mean solar time runs ahead
DECIMALS = 1  # of hours at a spot


def records_at_spots(
    used: Record, place: Place, spots: Sequence[Spot], end: End = End.USUAL
) -> list[Record]:
    """
    The record at each spot, its short gaps filled.

    Humidity is left out where the temperature is changed; `with_humidity` brings it back.

    Parameters
    ----------
    used
        From `years_asked`.
    end
        Which end of the spots' ranges is taken.
    """
    return records_at(used, place, [(spot, end) for spot in spots])


def records_at_ends(used: Record, place: Place, spot: Spot) -> dict[End, Record]:
    """The record at one spot, at each end of its range; see `records_at_spots`."""
    return dict(zip(End, records_at(used, place, [(spot, end) for end in End]), strict=True))


def records_at(used: Record, place: Place, asked: Sequence[tuple[Spot, End]]) -> list[Record]:
    """The record at each spot and end asked for; what they share is worked out once."""
    filled = fill_short_gaps(used)
    start = local_hour(used.start_hour, place.utc_offset_hours)
    solar = used.start_hour + place.longitude / DEGREES_AN_HOUR
    blended = any(_is_shifted(spot) for spot, _ in asked)
    kinds = kinds_of_nights(filled.temp_c, start) if blended else np.empty(0, np.int64)
    return [
        filled
        if spot.is_as_outside
        else replace(
            filled,
            temp_c=_hours_at(spot, end, filled.temp_c, kinds=kinds, start=start, solar=solar),
            rhum_pct=None,
        )
        for spot, end in asked
    ]


def with_humidity(used: Record, at_spot: Record) -> Record:
    """
    The record at a spot with the relative humidity that the outside air has at its temperature.

    The air holds the same vapour; where it would hold more than it can, it is saturated.

    Parameters
    ----------
    used
        What `at_spot` was made from.
    """
    if used.rhum_pct is None or at_spot.rhum_pct is not None:
        return at_spot
    humidity = humidity_when_warmed(used.temp_c, used.rhum_pct, at_spot.temp_c)
    return replace(at_spot, rhum_pct=humidity)


def _is_shifted(spot: Spot) -> bool:
    """Whether offsets are added."""
    return spot.room is None and any(offset.low or offset.high for offset in spot.offsets_c)


def _hours_at(
    spot: Spot, end: End, outside_c: FloatArray, *, kinds: IntArray, start: int, solar: float
) -> FloatArray:
    """Temperature at a spot, (hour), °C: damped, then shifted, then held."""
    room = spot.room
    if room is not None:
        # Colder near the pane: the low end of the spot is the high end of that share.
        share = room.near_glass.at({End.LOW: End.HIGH, End.HIGH: End.LOW}.get(end, end))
        return near_window(outside_c, room.temp_c, room.glass_u_w_m2k, share).round(DECIMALS)
    temp_c, settled = damp(outside_c, spot.damping_hours)
    temp_c[~settled] = np.nan
    if _is_shifted(spot):
        clear, other, day = (offset.at(end) for offset in spot.offsets_c)
        temp_c = shift_by_night(
            temp_c, kinds, start, solar, clear_night_c=clear, other_night_c=other, day_c=day
        )
    if spot.held_minimum_c is not None:
        heater = spot.heater
        lift_c = np.inf if heater is None else heater.watts / heater.loss_w_per_k
        temp_c = hold_minimum(temp_c, spot.held_minimum_c, lift_c)
    return temp_c.round(DECIMALS)
