"""What flowers hang on, as plain numbers, and the nights that it takes in a room."""

from __future__ import annotations

import math
from enum import IntEnum

from msgspec import Struct

PARTLY_SHARE = 2.0 / 3.0  # of the nights needed; as 336 of 504 cool hours; reasoned


class RestState(IntEnum):
    """What a year did for the rest."""

    NOT = 0
    PARTLY = 1
    MET = 2


class RestLack(IntEnum):
    """What a year lacked first."""

    NOTHING = 0
    COLD = 1
    DRYNESS = 2
    LENGTH = 3


class RestNeed(Struct, frozen=True, kw_only=True):
    """
    How much of which cold, or drought, brings flowers.

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
    dry_helps
        Whether it only lessens it: the cold alone then meets it partly.
    drought_nights
        Dry nights in a row that meet it, where a drought and not the cold does; None: cold does.
    cold_helps
        Whether such a drought meets it wholly only with the nights of the band, partly without.
    in_autumn
        Whether the nights are those of late summer and autumn, and no rest.
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
    dry_helps: bool = False
    drought_nights: float | None = None
    cold_helps: bool = False
    in_autumn: bool = False

    @property
    def wants_dry(self) -> bool:
        """Whether rain on the pot counts at all."""
        return self.must_be_dry or self.dry_helps or self.drought_nights is not None

    @property
    def full_nights(self) -> float:
        """Nights of which a stay that meets it wholly must have as many, or more."""
        if self.drought_nights is None:
            return self.nights
        return max(self.drought_nights, self.nights if self.cold_helps else 0.0)

    @property
    def full_high_c(self) -> float:
        """Warmest night that helps to meet the rest wholly, °C."""
        return self.high_c if self.partly_above_c is None else self.partly_above_c

    @property
    def nights_partly(self) -> float:
        """Nights that meet the rest partly, two thirds of those that meet it."""
        return nights_partly(self.nights)

    @property
    def hours_partly(self) -> float:
        """Cool hours that meet the rest partly; 0 where none are asked for."""
        if self.cool_hours is None:
            return 0.0
        if self.cool_hours_partly is None:
            return self.cool_hours * PARTLY_SHARE
        return self.cool_hours_partly


def nights_partly(nights: float) -> float:
    """Nights that meet a need partly: two thirds of those that meet it, rounded up."""
    return float(math.ceil(nights * PARTLY_SHARE - 1e-9))


def room_nights(need: RestNeed, room_c: float) -> int | None:
    """
    Nights in a room held at one temperature, dry and bright, that meet the rest; None: none do.

    Pure arithmetic: every night lies in the band or none does, and a day has 24 cool hours or none.

    Parameters
    ----------
    room_c : °C
    """
    if need.drought_nights is not None and not need.cold_helps:
        return math.ceil(need.drought_nights)
    if not need.low_c <= room_c <= need.full_high_c:
        return None
    return _room_nights(need, room_c, need.full_nights, need.cool_hours)


def room_state(need: RestNeed, room_c: float, nights: int) -> RestState:
    """
    What so many nights in a room held at one temperature, dry and bright, do for the rest.

    Parameters
    ----------
    room_c : °C
    """
    whole = room_nights(need, room_c)
    if whole is not None and nights >= whole:
        return RestState.MET
    if need.drought_nights is not None:
        enough = need.drought_nights if whole is None else nights_partly(whole)
        return RestState.PARTLY if nights >= enough else RestState.NOT
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
