"""
Growing spots: a position at a place and how it differs from the open air.

Offsets are what is added to the temperature of a level open station nearby, apart for clear and
calm nights, other nights and days, because the same roof that is worth much under a clear sky is
worth little in wind. Each has a range, and the range is carried into the verdict.
"""

import math
from datetime import date
from enum import StrEnum
from typing import Annotated, Literal, get_args

from msgspec import Meta
from msgspec.structs import force_setattr

from suitability.quantities import Celsius, Count, Difference, Gap, Result, WattsPerKelvin

Light = Literal["low", "medium", "bright", "very bright"]  # the words of the groups
Aspect = Literal[
    "north", "north-east", "east", "south-east", "south", "south-west", "west", "north-west"
]
LIGHT_CLASSES: tuple[Light, ...] = get_args(Light)
ASPECTS: tuple[Aspect, ...] = get_args(Aspect)


class End(StrEnum):
    """Which end of a spot's ranges is taken: low is the colder, high the warmer spot."""

    LOW = "low"
    USUAL = "usual"
    HIGH = "high"


_SIX = Meta(extra={"decimals": 6})  # in the unit of the field that holds it
_KELVIN = {"unit": "K"}


class Offset(Result, frozen=True, kw_only=True):
    """A number with the range in which it may lie: low <= usual <= high."""

    low: Annotated[float, _SIX, Meta(description="Lower end of the range.")]
    usual: Annotated[float, _SIX, Meta(description="Taken for the verdict itself.")]
    high: Annotated[float, _SIX, Meta(description="Upper end of the range.")]

    @property
    def is_sure(self) -> bool:
        """Whether its ends are the same."""
        return self.low == self.high

    def at(self, end: End) -> float:
        """The number at one end."""
        return {End.LOW: self.low, End.USUAL: self.usual, End.HIGH: self.high}[end]


NO_OFFSET = Offset(low=0.0, usual=0.0, high=0.0)


class Heater(Result, frozen=True, kw_only=True):
    """A heater of limited power: the held minimum fails on nights that are too cold for it."""

    watts: Annotated[float, Meta(gt=0, description="At most.", extra_json_schema={"unit": "W"})]
    loss_w_per_k: Annotated[
        WattsPerKelvin, Meta(description="What the enclosure loses for each degree.")
    ]


class Room(Result, frozen=True, kw_only=True):
    """A room held at one temperature, and the window that the plant stands at."""

    temp_c: Annotated[Celsius, Meta(description="Of the room's air.")]
    glass_u_w_m2k: Annotated[
        float,
        Meta(
            gt=0,
            description="Heat that the pane lets through.",
            extra_json_schema={"unit": "W/(m² K)"},
        ),
    ]
    near_glass: Annotated[
        Offset,
        Meta(
            description="Where between the room's air (0) and the inner face of the pane (1).",
            extra_json_schema={
                "properties": {
                    part: {"type": "number", "minimum": 0, "maximum": 1}
                    for part in ("low", "usual", "high")
                }
            },
        ),
    ]


class MeasuredOffset(Result, frozen=True, kw_only=True):
    """An offset that one log gave, with its 90 % interval in the season of that log."""

    low: Annotated[Difference, Meta(description="Lower end of the interval.")]
    usual: Annotated[Difference, Meta(description="Added to the open air.")]
    high: Annotated[Difference, Meta(description="Upper end of the interval.")]
    number: Annotated[Count, Meta(description="Nights or days behind it.")]
    scatter_c: Annotated[Gap, Meta(description="Of one night or day: a robust standard deviation.")]


class Measured(Result, frozen=True, kw_only=True):
    """One log of a thermometer that hung at the spot; an offset is null where too few told."""

    first: Annotated[date, Meta(description="Evening of the first night.")]
    last: Annotated[date, Meta(description="Evening of the last night.")]
    clear_night: Annotated[MeasuredOffset | None, Meta(description="Of clear and calm nights.")]
    other_night: Annotated[MeasuredOffset | None, Meta(description="Of other nights.")]
    day: Annotated[MeasuredOffset | None, Meta(description="Of day maxima.")]
    night_error_c: Annotated[
        Gap,
        Meta(
            description="Root mean square error of night minima that had no part in the fit.",
        ),
    ]

    @property
    def offsets(self) -> tuple[MeasuredOffset | None, ...]:
        """Of clear and calm nights, other nights, and days."""
        return (self.clear_night, self.other_night, self.day)

    @property
    def nights(self) -> int:
        """Nights that told."""
        return sum(one.number for one in self.offsets[:2] if one is not None)


class Spot(Result, frozen=True, kw_only=True):
    """A growing spot; its offsets are what is added to a level open station nearby."""

    name: str
    kind: Annotated[
        str | None,
        Meta(description="Key of the ready kind it began from; null for one of its own."),
    ] = None
    roofed: Annotated[bool, Meta(description="Rain is kept off the pot.")] = False
    clear_night_c: Annotated[
        Offset | None,
        Meta(
            description="Added to the night minimum of clear and calm nights; null in a room.",
            extra_json_schema=_KELVIN,
        ),
    ] = NO_OFFSET
    other_night_c: Annotated[
        Offset | None,
        Meta(
            description="Added to the night minimum of other nights; null in a room.",
            extra_json_schema=_KELVIN,
        ),
    ] = NO_OFFSET
    day_c: Annotated[
        Offset | None,
        Meta(description="Added to the day maximum; null in a room.", extra_json_schema=_KELVIN),
    ] = NO_OFFSET
    damping_hours: Annotated[
        float,
        Meta(
            ge=0,
            description="Time constant with which it follows the air outside; 0 follows at once.",
            extra_json_schema={"unit": "h"},
        ),
    ] = 0.0
    held_minimum_c: Annotated[
        Celsius | None, Meta(description="That heating holds; null if nothing heats.")
    ] = None
    heater: Annotated[Heater | None, Meta(description="Null: as strong as it takes.")] = None
    room: Annotated[Room | None, Meta(description="Null outdoors.")] = None
    light: Annotated[Light | None, Meta(description="Null where not said.")] = None
    aspect: Annotated[Aspect | None, Meta(description="Where it faces; null if not said.")] = None
    places: Annotated[
        Count | None, Meta(description="Pots that have room; null where not said.")
    ] = None
    area_cm2: Annotated[
        Annotated[float, Meta(gt=0)] | None,
        Meta(
            description="Bench that pots stand on; null where not said.",
            extra_json_schema={"unit": "cm²"},
        ),
    ] = None
    note: Annotated[str, Meta(description="The grower's own.")] = ""
    measured: Annotated[
        tuple[Measured, ...],
        Meta(description="Its logs, the offsets being what they say together; empty without any."),
    ] = ()

    def __post_init__(self) -> None:
        """Nothing is added to the open air for a spot in a room."""
        super().__post_init__()
        if self.room is not None:
            for name in ("clear_night_c", "other_night_c", "day_c"):
                force_setattr(self, name, None)

    def __repr__(self) -> str:
        """One line: the room, or what is added to the open air; a roof, a heater, its logs."""
        if self.room is not None:
            told = [f"a room of {self.room.temp_c:g} °C"]
        else:
            usual = "/".join(f"{offset.usual:+.1f}" for offset in self.offsets_c)
            told = [f"{usual} K on clear nights/other nights/days"]
        held = self.held_minimum_c
        told += ["roofed"] * self.roofed + ([] if held is None else [f"held at {held:g} °C"])
        told += [f"{log.nights} nights from {log.first}" for log in self.measured]
        return f"<Spot {self.name}: {', '.join(told)}>"

    @property
    def offsets_c(self) -> tuple[Offset, Offset, Offset]:
        """Offsets of clear and calm nights, other nights, and days; none in a room."""
        return (
            self.clear_night_c or NO_OFFSET,
            self.other_night_c or NO_OFFSET,
            self.day_c or NO_OFFSET,
        )

    @property
    def is_as_outside(self) -> bool:
        """Whether its temperature is that of the open air at every hour."""
        shifted = any(offset != NO_OFFSET for offset in self.offsets_c)
        return not (shifted or self.damping_hours or self.room) and self.held_minimum_c is None

    @property
    def is_steady(self) -> bool:
        """Whether it is a room away from its window, at one temperature whatever the weather."""
        return self.room is not None and self.room.near_glass == NO_OFFSET

    @property
    def least_c(self) -> float:
        """Below which it never is, °C, whatever the weather: kept by heat that has no limit."""
        if self.room is not None:
            return self.room.temp_c if self.is_steady else -math.inf
        return -math.inf if self.held_minimum_c is None or self.heater else self.held_minimum_c

    @property
    def has_range(self) -> bool:
        """Whether its temperature is known only within a range."""
        ranged = self.offsets_c if self.room is None else (self.room.near_glass,)
        return not all(offset.is_sure for offset in ranged)


OPEN_AIR = Spot(name="open-air")
ROOFED = Spot(name="roofed", roofed=True)
