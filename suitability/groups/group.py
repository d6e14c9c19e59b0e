"""
What a group of plants needs, as values that carry their evidence.

`Group` holds everything the catalogue says in numbers; `Needs` is the flat set of plain numbers
that the computation takes, chosen from the ranges by a `Caution`.
"""

from __future__ import annotations

import math
from enum import StrEnum

from msgspec import Struct

__all__ = [
    "FLOOR_HOURS_LIMIT",
    "WET_LIMIT_LIFT_C",
    "Caution",
    "Confidence",
    "Group",
    "Mark",
    "Needs",
    "Rest",
    "RestNeed",
    "Value",
]

FLOOR_HOURS_LIMIT = 200.0  # h a month below the floor, above which a month is not one of growth
WET_LIMIT_LIFT_C = 3.0  # °C, wet limit above the dry one where a file does not give it; reasoned
NIGHTS_IN_TEN_WEEKS_OF_REST = 49.0  # of 70, seven tenths inside the band; reasoned


class Mark(StrEnum):
    """Where a value comes from."""

    FOUND = "found"
    PRACTICE = "practice"
    MEMORY = "memory"
    REASONED = "reasoned"
    OWN = "own"


class Confidence(StrEnum):
    """How far a value can be leaned on; `own` is for the user to say."""

    HIGH = "high"
    MEDIUM = "medium"
    LOW = "low"
    OWN = "own"


class Caution(StrEnum):
    """Which end of each range is used: `high` protects the plant, `usual` takes the best value."""

    LOW = "low"
    USUAL = "usual"
    HIGH = "high"


class RestNeed(StrEnum):
    """Whether flowers hang on the winter rest."""

    YES = "yes"
    OPTIONAL = "optional"
    NO = "no"


class Value(Struct, frozen=True, kw_only=True):
    """
    One number with its range and its evidence.

    `low <= best <= high`; the unit is that of the field which holds it. `sources` are ids of the
    catalogue's source list, or citations as the user wrote them.
    """

    best: float
    low: float
    high: float
    mark: Mark
    sources: tuple[str, ...]
    confidence: Confidence
    note: str = ""

    def upper_when_cautious(self, caution: Caution) -> float:
        """High end with high caution, low end with low: for floors, limits and the chill base."""
        if caution is Caution.HIGH:
            return self.high
        return self.low if caution is Caution.LOW else self.best

    def lower_when_cautious(self, caution: Caution) -> float:
        """Low end with high caution, high end with low: for ceilings and doses."""
        if caution is Caution.HIGH:
            return self.low
        return self.high if caution is Caution.LOW else self.best


class Rest(Struct, frozen=True, kw_only=True):
    """
    The cool, usually dry, winter period, and how much of it brings flowers.

    Attributes
    ----------
    needed
        `yes`: flowers hang on it. `optional`: it helps. `no`: none; `kind` says what there is.
    night_c : °C
        Band of night minima that count; None where no band applies.
    partly_above_c : °C
        Nights above this, yet inside the band, count as partly.
    weeks
        Length of the rest.
    nights
        Nights inside the band that a year must hold; None: derived from `weeks`.
    cool_hours : h
        Hours inside `cool_band_c` that meet the rest; `low` end meets it partly.
    day_below_c : °C
        Where days, not nights, start the flowers: the day temperature to stay below.
    must_be_dry
        Whether rain on the pot spoils the rest; `dry` says it in words.
    trigger
        Whether cool or dry nights start the flowers; `trigger_words` says it in words.
    dry_tolerates_c : °C
        What the plant stands at night when kept dry.
    """

    needed: RestNeed
    kind: str = ""
    night_c: Value | None = None
    partly_above_c: Value | None = None
    weeks: Value | None = None
    nights: Value | None = None
    cool_hours: Value | None = None
    cool_band_c: Value | None = None
    day_below_c: Value | None = None
    must_be_dry: bool = False
    dry: str = ""
    trigger: bool = False
    trigger_words: str = ""
    dry_tolerates_c: Value | None = None

    @property
    def night_low_c(self) -> float | None:
        """Coldest night of the band, °C."""
        return None if self.night_c is None else self.night_c.low

    @property
    def night_high_c(self) -> float | None:
        """Warmest night of the band, °C."""
        return None if self.night_c is None else self.night_c.high

    @property
    def weeks_low(self) -> float | None:
        """Shortest usual rest, weeks."""
        return None if self.weeks is None else self.weeks.low

    @property
    def weeks_high(self) -> float | None:
        """Longest usual rest, weeks."""
        return None if self.weeks is None else self.weeks.high

    @property
    def nights_needed(self) -> float | None:
        """Nights inside the band that a year must hold; 0.7 of the shortest rest if not given."""
        if self.nights is not None:
            return self.nights.best
        if self.night_c is None or self.weeks is None:
            return None
        return float(math.ceil(self.weeks.low * NIGHTS_IN_TEN_WEEKS_OF_REST / 10.0))


class Needs(Struct, frozen=True, kw_only=True):
    """
    What the computation takes of a group: plain numbers at one caution, °C unless named otherwise.

    `plant` is the name of a plant whose state has moved some of them; empty for the group itself.
    `rest_told` is False where the group stands for a plant whose own rest no name tells.

    None means that the group has no such number: no rest floor (the growth floor counts all
    year), no ceiling, no warm-night limit, no rest band.
    """

    key: str
    name: str
    floor_c: float
    rest_floor_c: float | None
    floor_hours_limit: float
    chill_base_c: float
    dose_limit_c_h: float
    limit_c: float
    limit_wet_c: float
    ceiling_c: float | None
    warm_night_c: float | None
    heat_limited: bool
    rest_needed: bool
    rest_low_c: float | None
    rest_high_c: float | None
    rest_partly_above_c: float | None
    rest_nights: float | None
    rest_cool_hours: float | None
    rest_cool_hours_partly: float | None
    rest_cool_low_c: float | None
    rest_cool_high_c: float | None
    rest_must_be_dry: bool
    low_confidence_limit: bool
    plant: str = ""
    rest_told: bool = True


class Group(Struct, frozen=True, kw_only=True):
    """
    Plants that share needs, usually a section of a genus; docs/groups.md explains each field.

    The thresholds have the words of the glossary; `comfort_night_c` and `day_growth_c` are the
    ranges in which the group grows well, and neither is a limit.
    """

    key: str
    name: str
    aliases: tuple[str, ...] = ()
    floor_c: Value
    rest_floor_c: Value | None = None
    floor_hours_limit: float = FLOOR_HOURS_LIMIT
    chill_base_c: Value
    dose_limit_c_h: Value
    limit_c: Value
    limit_wet_c: Value
    ceiling_c: Value | None = None
    warm_night_c: Value | None = None
    heat_limited: bool = False
    comfort_night_c: Value | None = None
    day_growth_c: Value | None = None
    light_klx: Value | None = None
    shade_pct: Value | None = None
    humidity_pct: Value | None = None
    rest: Rest | None = None
    rest_told: bool = True

    @property
    def light_class(self) -> str | None:
        """Low below 15 klx, medium to 30, bright to 45, very bright above; None if not given."""
        if self.light_klx is None:
            return None
        if self.light_klx.best < 15.0:
            return "low"
        classes = ((30.0, "medium"), (45.0, "bright"))
        return next((word for top, word in classes if self.light_klx.best <= top), "very bright")

    def needs(self, caution: Caution = Caution.USUAL) -> Needs:
        """
        Plain numbers at one caution.

        High caution takes floors, limits and the chill base at the upper end of their ranges,
        ceilings, the warm-night limit and the dose at the lower; low caution the reverse. The rest
        is taken at its best values whatever the caution: it decides flowers, not survival.
        """
        rest = self.rest or Rest(needed=RestNeed.NO)
        hours = rest.cool_hours
        band = rest.cool_band_c
        return Needs(
            key=self.key,
            name=self.name,
            floor_c=self.floor_c.upper_when_cautious(caution),
            rest_floor_c=_upper(self.rest_floor_c, caution),
            floor_hours_limit=self.floor_hours_limit,
            chill_base_c=self.chill_base_c.upper_when_cautious(caution),
            dose_limit_c_h=self.dose_limit_c_h.lower_when_cautious(caution),
            limit_c=self.limit_c.upper_when_cautious(caution),
            limit_wet_c=self.limit_wet_c.upper_when_cautious(caution),
            ceiling_c=_lower(self.ceiling_c, caution),
            warm_night_c=_lower(self.warm_night_c, caution),
            heat_limited=self.heat_limited,
            rest_needed=rest.needed is RestNeed.YES,
            rest_low_c=rest.night_low_c,
            rest_high_c=rest.night_high_c,
            rest_partly_above_c=None if rest.partly_above_c is None else rest.partly_above_c.best,
            rest_nights=rest.nights_needed,
            rest_cool_hours=None if hours is None else hours.best,
            rest_cool_hours_partly=None if hours is None else hours.low,
            rest_cool_low_c=None if band is None else band.low,
            rest_cool_high_c=None if band is None else band.high,
            rest_must_be_dry=rest.must_be_dry,
            low_confidence_limit=self.limit_c.confidence is Confidence.LOW,
            rest_told=self.rest_told,
        )


def _upper(value: Value | None, caution: Caution) -> float | None:
    return None if value is None else value.upper_when_cautious(caution)


def _lower(value: Value | None, caution: Caution) -> float | None:
    return None if value is None else value.lower_when_cautious(caution)
