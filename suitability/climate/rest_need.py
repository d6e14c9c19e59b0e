"""How much of which cold makes a rest, and what a room held at one temperature does for it."""

from __future__ import annotations

import math
from enum import IntEnum

from msgspec import Struct

__all__ = ["RestNeed", "RestState", "room_nights", "room_state"]

PARTLY_SHARE = 2.0 / 3.0  # of the nights needed; as 336 of 504 cool hours; reasoned


class RestState(IntEnum):
    """What a year did for the rest."""

    NOT = 0
    PARTLY = 1
    MET = 2


class RestNeed(Struct, frozen=True, kw_only=True):
    """
    How much of which cold makes a rest.

    Attributes
    ----------
    low_c, high_c : °C
        Band of night minima that count, both ends included.
    partly_above_c : °C, or None
        Nights above it, yet inside the band, help to meet the rest only partly.
    nights
        Nights inside the band that one stay outdoors must hold.
    cool_low_c, cool_high_c : °C, or None
        Band of cool hours, both ends included.
    cool_hours, cool_hours_partly : h, or None
        Cool hours that meet the rest, and that meet it partly.
    must_be_dry
        Whether rain on the pot spoils the rest.
    """

    low_c: float
    high_c: float
    nights: float
    partly_above_c: float | None = None
    cool_low_c: float | None = None
    cool_high_c: float | None = None
    cool_hours: float | None = None
    cool_hours_partly: float | None = None
    must_be_dry: bool = False

    @property
    def full_high_c(self) -> float:
        """Warmest night that helps to meet the rest wholly, °C."""
        return self.high_c if self.partly_above_c is None else self.partly_above_c

    @property
    def nights_partly(self) -> float:
        """Nights that meet the rest partly, two thirds of those that meet it."""
        return float(math.ceil(self.nights * PARTLY_SHARE - 1e-9))

    @property
    def hours_partly(self) -> float:
        """Cool hours that meet the rest partly; 0 where none are asked for."""
        if self.cool_hours is None:
            return 0.0
        if self.cool_hours_partly is None:
            return self.cool_hours * PARTLY_SHARE
        return self.cool_hours_partly


def room_nights(need: RestNeed, room_c: float) -> int | None:
    """
    Nights in a room held at one temperature, dry and bright, that meet the rest; None: none do.

    Pure arithmetic: every night lies in the band or none does, and a day has 24 cool hours or none.

    Parameters
    ----------
    room_c : °C
    """
    if not need.low_c <= room_c <= need.full_high_c:
        return None
    return _room_nights(need, room_c, need.nights, need.cool_hours)


def room_state(need: RestNeed, room_c: float, nights: int) -> RestState:
    """
    What so many nights in a room held at one temperature do for the rest.

    Parameters
    ----------
    room_c : °C
    nights
    """
    whole = room_nights(need, room_c)
    if whole is not None and nights >= whole:
        return RestState.MET
    if not need.low_c <= room_c <= need.high_c:
        return RestState.NOT
    asked = need.nights if whole is None else need.nights_partly
    partly = _room_nights(need, room_c, asked, need.hours_partly)
    return RestState.NOT if partly is None or nights < partly else RestState.PARTLY


def _room_nights(
    need: RestNeed, room_c: float, nights: float, cool_hours: float | None
) -> int | None:
    """Nights in the room that hold so many nights and cool hours; None where no hour is cool."""
    if need.cool_hours is None or need.cool_low_c is None or need.cool_high_c is None:
        return math.ceil(nights)
    if not need.cool_low_c <= room_c <= need.cool_high_c:
        return None
    return max(math.ceil(nights), math.ceil((cool_hours or 0.0) / 24.0))
