"""
What a group of plants needs, as values that carry their evidence.

`Group` holds everything the catalogue says in numbers; `Needs` is the flat set of plain numbers
that the computation takes, chosen from the ranges by a `Caution`.
"""

import math
from enum import StrEnum
from typing import Annotated, Any, Literal

from msgspec import Meta, Struct

FLOOR_HOURS_LIMIT = 200.0  # h a month below the floor, above which a month is not one of growth
WET_LIMIT_LIFT_C = 3.0  # °C, wet limit above the dry one where a file does not give it; reasoned
FULL_SUN_KLX = 105.0  # at noon in summer; about 100 to 110, from memory
Light = Literal["low", "medium", "bright", "very bright"]
NIGHTS_IN_TEN_WEEKS_OF_REST = 49.0  # of 70, seven tenths inside the band; reasoned


def _in(unit: str, description: str) -> Meta:
    """What a value, a number or text of a group says, and in which unit."""
    extra: dict[str, Any] | None = {"unit": unit} if unit else None
    return Meta(description=description, extra_json_schema=extra)


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


HeatSigns = Annotated[
    str,
    Meta(
        description="What heat above the ceiling does to it, in words; empty where no more is "
        "known than that it harms."
    ),
]


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


class Trigger(StrEnum):
    """What starts the flowers of a group."""

    COLD = "cold"  # of winter nights
    DROUGHT = "drought"  # of some weeks in winter
    AUTUMN_NIGHTS = "autumn-nights"  # cool ones, of late summer and autumn
    AFTER_BLOOM = "after-bloom"  # a rest once the flowers are over: no weather dates it
    COOL_DAYS = "cool-days"


class Weight(StrEnum):
    """What is lost where a trigger is missing."""

    NEEDED = "needed"  # the flowers
    HELPS = "helps"  # some of them


From = Annotated[Mark, Meta(description="Where it comes from.")]
Sources = Annotated[
    tuple[str, ...],
    Meta(description="Ids of the list of sources, or citations as the user wrote them."),
]
Sureness = Annotated[Confidence, Meta(description="How far it can be leaned on.")]


class Value(Struct, frozen=True, kw_only=True):
    """One number with its range, in the unit of the field which holds it, and its evidence."""

    best: Annotated[float, Meta(description="From low to high.")]
    low: Annotated[float, Meta(description="Lower end of the range.")]
    high: Annotated[float, Meta(description="Upper end of the range.")]
    mark: From
    sources: Sources
    confidence: Sureness
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


class BroughtBy(Struct, frozen=True, kw_only=True):
    """One trigger of the flowers, how much hangs on it, and the evidence for that."""

    what: Trigger
    weight: Weight
    mark: From
    sources: Sources
    confidence: Sureness
    note: str = ""


class Bloom(Struct, frozen=True, kw_only=True):
    """When a group flowers, by the months of the northern half of the world."""

    first_month: Annotated[int, Meta(ge=1, le=12)]
    last_month: Annotated[int, Meta(ge=1, le=12, description="Before the first: across New Year.")]
    told_of: Annotated[
        str, Meta(description="Of which plants of it that is told; empty for the group.")
    ] = ""
    mark: From
    sources: Sources
    confidence: Sureness
    note: str = ""

    def months_at(self, latitude: float) -> tuple[int, int]:
        """
        First and last month at a latitude: half a year later south of the equator.

        Parameters
        ----------
        latitude : degrees north
        """
        later = 6 if latitude < 0.0 else 0
        return (self.first_month + later - 1) % 12 + 1, (self.last_month + later - 1) % 12 + 1


class Rest(Struct, frozen=True, kw_only=True):
    """The cool, usually dry, winter period, and what of it and of autumn brings flowers."""

    needed: Annotated[
        RestNeed,
        Meta(
            description="`yes`: flowers hang on its triggers. `optional`: it helps. `no`: none; "
            "kind says what there is."
        ),
    ]
    kind: Annotated[str, Meta(description="In words.")] = ""
    night_c: Annotated[
        Value | None,
        _in("°C", "Band of night minima that count; null where no band applies."),
    ] = None
    partly_above_c: Annotated[
        Value | None, _in("°C", "Nights above it, yet inside the band, count as partly.")
    ] = None
    weeks: Annotated[Value | None, _in("weeks", "Length of the rest.")] = None
    nights: Annotated[
        Value | None,
        _in("nights", "Nights inside the band that a year must hold; null: derived from weeks."),
    ] = None
    cool_hours: Annotated[
        Value | None,
        _in("h", "Hours inside cool_band_c that meet the rest; the low end meets it partly."),
    ] = None
    cool_band_c: Annotated[Value | None, _in("°C", "Of the hours that count as cool.")] = None
    day_below_c: Annotated[
        Value | None,
        _in("°C", "Day temperature to stay below, where days and not nights start the flowers."),
    ] = None
    dry_nights: Annotated[
        Value | None,
        _in(
            "nights",
            "Dry nights in a row that bring flowers where drought does; null: derived from weeks.",
        ),
    ] = None
    autumn_night_c: Annotated[
        Value | None,
        _in("°C", "Band of night minima of late summer and autumn that bring flowers."),
    ] = None
    autumn_nights: Annotated[Value | None, _in("nights", "Such nights that a year must hold.")] = (
        None
    )
    must_be_dry: Annotated[bool, Meta(description="It is a dry one.")] = False
    dry: Annotated[str, Meta(description="How dry, in words.")] = ""
    triggers: Annotated[
        tuple[BroughtBy, ...],
        Meta(
            description="What brings the flowers; none given for a rest that is needed: cold, and "
            "drought where it is a dry one."
        ),
    ] = ()
    trigger_words: Annotated[str, Meta(description="What starts the flowers, in words.")] = ""
    dry_tolerates_c: Annotated[
        Value | None, _in("°C", "What the plant stands at night when kept dry.")
    ] = None

    @property
    def night_low_c(self) -> float | None:
        """Coldest night of the band, °C."""
        return None if self.night_c is None else self.night_c.low

    @property
    def night_high_c(self) -> float | None:
        """Warmest night of the band, °C."""
        return None if self.night_c is None else self.night_c.high

    @property
    def nights_needed(self) -> float | None:
        """Nights inside the band that a year must hold; 0.7 of the shortest rest if not given."""
        if self.nights is not None:
            return self.nights.best
        return None if self.night_c is None else self._nights_of_weeks

    @property
    def dry_nights_needed(self) -> float | None:
        """Dry nights in a row that bring flowers; 0.7 of the shortest rest if not given."""
        return self._nights_of_weeks if self.dry_nights is None else self.dry_nights.best

    @property
    def _nights_of_weeks(self) -> float | None:
        if self.weeks is None:
            return None
        return float(math.ceil(self.weeks.low * NIGHTS_IN_TEN_WEEKS_OF_REST / 10.0))

    @property
    def first_trigger(self) -> Trigger | None:
        """The one whose lack takes the flowers, or else one that helps; None: there is none."""
        weights = {what: weight for what in Trigger if (weight := self.weight_of(what))}
        needed = (what for what, weight in weights.items() if weight is Weight.NEEDED)
        return next(needed, next(iter(weights), None))

    def weight_of(self, trigger: Trigger) -> Weight | None:
        """What is lost where a trigger is missing; None: nothing."""
        if not self.triggers and self.needed is RestNeed.YES:
            dry = self.must_be_dry and trigger is Trigger.DROUGHT
            return Weight.NEEDED if dry or trigger is Trigger.COLD else None
        return next((one.weight for one in self.triggers if one.what is trigger), None)


class Needs(Struct, frozen=True, kw_only=True):
    """
    What the computation takes of a group: plain numbers at one caution.

    None means that the group has no such number.
    """

    key: str
    name: str
    floor_c: Annotated[float, _in("°C", "Coldest night in which it keeps growing.")]
    rest_floor_c: Annotated[
        float | None, _in("°C", "Floor while it rests; null: floor_c counts all year.")
    ]
    floor_hours_limit: Annotated[
        float, _in("h a month", "Hours below the floor that a month of growth may have.")
    ]
    chill_base_c: Annotated[float, _in("°C", "Below it cold adds up to a dose.")]
    dose_limit_c_h: Annotated[float, _in("°C·h", "Dose of 14 days that harms.")]
    limit_c: Annotated[float, _in("°C", "One night below it is likely to harm a dry plant.")]
    limit_wet_c: Annotated[float, _in("°C", "The same in a wet pot.")]
    ceiling_c: Annotated[float | None, _in("°C", "Above it heat harms.")]
    warm_night_c: Annotated[float | None, _in("°C", "Nights above it harm.")]
    heat_limited: Annotated[bool, Meta(description="Heat above the ceiling excludes it.")]
    rest_needed: Annotated[bool, Meta(description="Flowers hang on the rest.")]
    rest_low_c: Annotated[float | None, _in("°C", "Coldest night of the rest's band.")]
    rest_high_c: Annotated[float | None, _in("°C", "Warmest night of the rest's band.")]
    rest_partly_above_c: Annotated[
        float | None, _in("°C", "Nights of the band above it count as partly.")
    ]
    rest_nights: Annotated[float | None, _in("nights", "Nights in the band that a year must hold.")]
    rest_cool_hours: Annotated[float | None, _in("h", "Cool hours that meet the rest.")]
    rest_cool_hours_partly: Annotated[
        float | None, _in("h", "Cool hours that meet the rest partly.")
    ]
    rest_cool_low_c: Annotated[float | None, _in("°C", "Coldest of the cool hours.")]
    rest_cool_high_c: Annotated[float | None, _in("°C", "Warmest of the cool hours.")]
    rest_must_be_dry: Annotated[bool, Meta(description="It is a dry one.")]
    low_confidence_limit: Annotated[
        bool, Meta(description="The limit can be leaned on but little.")
    ]
    comfort_c: Annotated[
        float | None,
        _in("°C", "Comfort mark: nights below it are cold though it grows; null: none is known."),
    ] = None
    heat_hardy: Annotated[
        bool, Meta(description="Great heat does not trouble it in air of about 50 % humidity.")
    ] = False
    heat_signs: HeatSigns = ""
    plants: Annotated[
        tuple[str, ...],
        Meta(description="Names of the plants that it is asked for; empty for the group itself."),
    ] = ()
    numbers: Annotated[tuple[int, ...], Meta(description="How many there are of each.")] = ()
    caveat: Annotated[
        str, Meta(description="Why the group is only a guess at what they are; empty if it is not.")
    ] = ""
    in_state: Annotated[
        bool, Meta(description="The state of a plant has moved some of the numbers.")
    ] = False
    rest_told: Annotated[
        bool,
        Meta(description="False where it stands for a plant whose own rest no name tells."),
    ] = True
    trigger: Annotated[
        Trigger | None,
        Meta(description="What its flowers hang on first; null for a group without a trigger."),
    ] = None
    rest_dry_helps: Annotated[
        bool, Meta(description="A wet rest lessens the flowers, and does not take them.")
    ] = False
    rest_cold_helps: Annotated[
        bool, Meta(description="A warm drought lessens the flowers, and does not take them.")
    ] = False
    rest_dry_nights: Annotated[
        float | None, _in("nights", "Dry nights in a row that bring flowers.")
    ] = None
    autumn_low_c: Annotated[
        float | None, _in("°C", "Coldest of the autumn nights that bring flowers.")
    ] = None
    autumn_high_c: Annotated[float | None, _in("°C", "Warmest of them.")] = None
    autumn_nights: Annotated[float | None, _in("nights", "Such nights that a year must hold.")] = (
        None
    )


class Group(Struct, frozen=True, kw_only=True):
    """
    Plants that share needs, usually a section of a genus; docs/groups.md explains each field.

    `comfort_c`, `comfort_night_c` and `day_growth_c` tell where it grows well; none is a limit.
    """

    key: str
    name: str
    aliases: Annotated[tuple[str, ...], Meta(description="Other names that lead to it.")] = ()
    floor_c: Annotated[Value, _in("°C", "Coldest night in which it keeps growing.")]
    rest_floor_c: Annotated[
        Value | None, _in("°C", "Floor while it rests; null: floor_c counts all year.")
    ] = None
    floor_hours_limit: Annotated[
        float, _in("h a month", "Hours below the floor that a month of growth may have.")
    ] = FLOOR_HOURS_LIMIT
    chill_base_c: Annotated[Value, _in("°C", "Below it cold adds up to a dose.")]
    dose_limit_c_h: Annotated[Value, _in("°C·h", "Dose of 14 days that harms.")]
    limit_c: Annotated[Value, _in("°C", "One night below it is likely to harm a dry plant.")]
    limit_wet_c: Annotated[Value, _in("°C", "The same in a wet pot.")]
    ceiling_c: Annotated[Value | None, _in("°C", "Above it heat harms; null: none.")] = None
    warm_night_c: Annotated[Value | None, _in("°C", "Nights above it harm; null: none.")] = None
    heat_limited: Annotated[bool, Meta(description="Heat above the ceiling excludes it.")] = False
    heat_hardy: Annotated[
        bool, Meta(description="Great heat does not trouble it in air of about 50 % humidity.")
    ] = False
    heat_signs: HeatSigns = ""
    comfort_c: Annotated[
        Value | None,
        _in("°C", "Nights below it are cold though it grows; null: the best of comfort_night_c."),
    ] = None
    comfort_night_c: Annotated[Value | None, _in("°C", "Nights in which it grows well.")] = None
    day_growth_c: Annotated[Value | None, _in("°C", "Days in which it grows well.")] = None
    light_klx: Annotated[Value | None, _in("klx", "Light that it wants.")] = None
    shade_pct: Annotated[Value | None, _in("%", "Of full summer sun to be kept off.")] = None
    humidity_pct: Annotated[Value | None, _in("%", "Relative humidity that it likes.")] = None
    bloom: Annotated[
        Bloom | None, Meta(description="Null where no source tells when it flowers.")
    ] = None
    rest: Rest | None = None
    rest_told: Annotated[
        bool,
        Meta(description="False where it stands for a plant whose own rest no name tells."),
    ] = True

    @property
    def light_class(self) -> Light | None:
        """Low below 15 klx, medium to 30, bright to 45, very bright above; None if not given."""
        if self.light_klx is None:
            return None
        if self.light_klx.best < 15.0:
            return "low"
        classes: tuple[tuple[float, Light], ...] = ((30.0, "medium"), (45.0, "bright"))
        return next((word for top, word in classes if self.light_klx.best <= top), "very bright")

    @property
    def comfort_mark(self) -> Value | None:
        """Of nights: what is below its best value is less than comfortable; None if not known."""
        return self.comfort_c or self.comfort_night_c

    def needs(self, caution: Caution = Caution.USUAL) -> Needs:
        """
        Plain numbers at one caution.

        High caution takes floors, limits and the chill base at the upper end of their ranges,
        ceilings, the warm-night limit and the dose at the lower; low caution the reverse. The rest
        and the comfort mark are taken at their best values whatever the caution, for they decide
        flowers and comfort, not survival; yet the mark is never below the floor.
        """
        floor_c, mark = self.floor_c.upper_when_cautious(caution), self.comfort_mark
        rest = self.rest or Rest(needed=RestNeed.NO)
        hours, band, autumn = rest.cool_hours, rest.cool_band_c, rest.autumn_night_c
        return Needs(
            key=self.key,
            name=self.name,
            floor_c=floor_c,
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
            comfort_c=None if mark is None else max(mark.best, floor_c),
            heat_hardy=self.heat_hardy and self.rest_told,  # what is only a guess promises nothing
            heat_signs=self.heat_signs,
            rest_told=self.rest_told,
            trigger=rest.first_trigger,
            rest_dry_helps=rest.weight_of(Trigger.DROUGHT) is Weight.HELPS,
            rest_cold_helps=rest.weight_of(Trigger.COLD) is Weight.HELPS,
            rest_dry_nights=rest.dry_nights_needed
            if rest.first_trigger is Trigger.DROUGHT
            else None,
            autumn_low_c=None if autumn is None else autumn.low,
            autumn_high_c=None if autumn is None else autumn.high,
            autumn_nights=None if rest.autumn_nights is None else rest.autumn_nights.best,
        )


def _upper(value: Value | None, caution: Caution) -> float | None:
    return None if value is None else value.upper_when_cautious(caution)


def _lower(value: Value | None, caution: Caution) -> float | None:
    return None if value is None else value.lower_when_cautious(caution)
