"""
Growing spots: a position at a place and how it differs from the open air.

Offsets are what is added to the temperature of a level open station nearby, apart for clear and
calm nights, other nights and days, because the same roof that is worth much under a clear sky is
worth little in wind. Each has a range, and the range is carried into the verdict.
"""

from __future__ import annotations

from datetime import date
from enum import StrEnum

from msgspec import Struct

__all__ = [
    "ASPECTS",
    "LIGHT_CLASSES",
    "NO_OFFSET",
    "OPEN_AIR",
    "ROOFED",
    "End",
    "Heater",
    "Measured",
    "Offset",
    "Room",
    "Spot",
]

LIGHT_CLASSES = ("low", "medium", "bright", "very bright")  # the words of the groups
ASPECTS = (
    *("north", "north-east", "east", "south-east"),
    *("south", "south-west", "west", "north-west"),
)


class End(StrEnum):
    """Which end of a spot's ranges is taken: low is the colder, high the warmer spot."""

    LOW = "low"
    USUAL = "usual"
    HIGH = "high"


class Offset(Struct, frozen=True, kw_only=True):
    """A number with the range in which it may lie: low <= usual <= high."""

    low: float
    usual: float
    high: float

    @property
    def is_sure(self) -> bool:
        """Whether its ends are the same."""
        return self.low == self.high

    def at(self, end: End) -> float:
        """The number at one end."""
        return {End.LOW: self.low, End.USUAL: self.usual, End.HIGH: self.high}[end]


NO_OFFSET = Offset(low=0.0, usual=0.0, high=0.0)


class Heater(Struct, frozen=True, kw_only=True):
    """
    A heater of limited power: `watts`, and what the enclosure loses, `loss_w_per_k`.

    With both the held minimum fails on nights that are too cold for it.
    """

    watts: float
    loss_w_per_k: float


class Room(Struct, frozen=True, kw_only=True):
    """
    A room held at one temperature, and the window that the plant stands at.

    Attributes
    ----------
    temp_c : °C
    glass_u_w_m2k : W/(m² K)
        Heat that the pane lets through.
    near_glass
        Share of the way from the room's air (0) to the inner face of the pane (1).
    """

    temp_c: float
    glass_u_w_m2k: float
    near_glass: Offset


class Measured(Struct, frozen=True, kw_only=True):
    """
    That a spot's numbers come from a thermometer that hung there.

    Attributes
    ----------
    first, last
        Evenings of the first and last night.
    clear_nights, other_nights, days
        How many told of each offset; 0 for one that was not measured.
    night_error_c : K
        Root mean square error of night minima that had no part in the fit.
    """

    first: date
    last: date
    clear_nights: int
    other_nights: int
    days: int
    night_error_c: float


class Spot(Struct, frozen=True, kw_only=True):
    """
    A growing spot.

    Attributes
    ----------
    name
    kind
        Key of the ready kind that it began from; empty for one of its own.
    roofed
        Rain is kept off the pot.
    clear_night_c, other_night_c, day_c : K
        Added to the night minimum of clear and calm nights, to that of other nights, and to the
        day maximum.
    damping_hours : h
        Time constant with which the spot follows the air outside; 0 follows at once.
    held_minimum_c : °C
        Temperature that heating holds; None if nothing heats.
    heater
        None: as strong as it takes.
    room
        For a spot indoors; it then has neither offsets nor a held minimum.
    light, aspect
        One of `LIGHT_CLASSES` and of `ASPECTS`; None where not said.
    note
        Of the grower's own.
    measured
        None where nothing was measured.
    """

    name: str
    roofed: bool = False
    kind: str = ""
    clear_night_c: Offset = NO_OFFSET
    other_night_c: Offset = NO_OFFSET
    day_c: Offset = NO_OFFSET
    damping_hours: float = 0.0
    held_minimum_c: float | None = None
    heater: Heater | None = None
    room: Room | None = None
    light: str | None = None
    aspect: str | None = None
    note: str = ""
    measured: Measured | None = None

    @property
    def offsets_c(self) -> tuple[Offset, Offset, Offset]:
        """Offsets of clear and calm nights, other nights, and days."""
        return self.clear_night_c, self.other_night_c, self.day_c

    @property
    def is_as_outside(self) -> bool:
        """Whether its temperature is that of the open air at every hour."""
        shifted = any(offset != NO_OFFSET for offset in self.offsets_c)
        return not (shifted or self.damping_hours or self.room) and self.held_minimum_c is None

    @property
    def has_range(self) -> bool:
        """Whether its temperature is known only within a range."""
        ranged = self.offsets_c if self.room is None else (self.room.near_glass,)
        return not all(offset.is_sure for offset in ranged)


OPEN_AIR = Spot(name="open-air")
ROOFED = Spot(name="roofed", roofed=True)
