"""
What a plan says: who stands where from when to when, the moving days, room used, what is missing.

The types are the contract of `plan --json` too. Dates are calendar days at the place; a pot that
moves on a day spends its night at the new spot.
"""

from datetime import date
from typing import Annotated, Literal

from msgspec import Meta

from suitability.advice.result import Reason, RecordSummary, Settings
from suitability.advice.terms import Season, Whose
from suitability.places import Place
from suitability.quantities import (
    SCHEMA_VERSION,
    Chance,
    Count,
    Gap,
    Probability,
    Result,
    SchemaVersion,
    Watts,
)

Wish = Literal["day", "away", "number"]
Pressing = Literal["nights", "room"]
Pots = Annotated[int, Meta(ge=1, description="Pots.")]
Nights = Annotated[int, Meta(ge=0, extra_json_schema={"unit": "nights"}, extra={"unit": "nights"})]
Area = Annotated[
    float, Meta(ge=0, extra_json_schema={"unit": "cm²"}, extra={"unit": "cm²", "decimals": 1})
]


class PlannedStay(Whose, frozen=True, kw_only=True):
    """Pots of one plant that stand at one spot for a while."""

    way: Annotated[
        int,
        Meta(ge=1, description="Pots of a plant that do not go the same way are numbered by it."),
    ]
    first: Annotated[date, Meta(description="Day of coming; the plan's first for who is there.")]
    last: Annotated[date, Meta(description="Last day whose night they spend there.")]
    nights: Nights


class Carry(Result, frozen=True, kw_only=True):
    """Pots of one plant that are moved on a day."""

    plant: str
    number: Pots
    from_spot: Annotated[str | None, Meta(description="Null: they had no place before.")]
    to_spot: Annotated[str | None, Meta(description="Null: no spot has a place for them then.")]
    pot_cm: Annotated[
        float | None,
        Meta(description="Width of each, as the file says it.", extra_json_schema={"unit": "cm"}),
    ] = None


class MovingDay(Result, frozen=True, kw_only=True):
    """One day on which pots are moved."""

    day: date
    pots: Pots
    against: Annotated[
        tuple[Wish, ...],
        Meta(description="Wishes that it breaks: the day, being away, the number of pots."),
    ] = ()
    pressing: Annotated[
        tuple[Pressing, ...],
        Meta(
            description="What will not wait for the next moving day: nights up to it that are not "
            "promised where pots stand, or room, which is wanted there or which they lack. Empty "
            "where the day is as wished, or neither presses and it spares another wish."
        ),
    ] = ()
    moves: tuple[Carry, ...]


class PlannedPlant(Result, frozen=True, kw_only=True):
    """How pots of a plant that go the same way fare in the year of the plan."""

    plant: str
    group: Annotated[str, Meta(description="Key of the group.")]
    number: Pots
    way: Annotated[int, Meta(ge=1, description="As in the stays.")]
    moves: Annotated[Count, Meta(description="How often each is carried.")]
    chance: Annotated[
        Chance | None,
        Meta(
            description="That a new year keeps all its stays free of nights that harm, never told "
            "higher than may be promised; null if it has no place at all."
        ),
    ]
    nights_without_growth: Nights
    nights_not_at_ease: Annotated[
        Nights, Meta(description="Below its comfort mark, or too warm for its rest.")
    ]
    nights_too_dark: Nights
    rest_met_years: Annotated[
        Count | None,
        Meta(description="Years that met its rest where it stands; null for a plant without one."),
    ] = None
    rest_of_years: Count | None = None


class WeekOfRoom(Result, frozen=True, kw_only=True):
    """What stands at a spot from one possible moving day to the next."""

    first: date
    pots: Count
    area_cm2: Annotated[
        Area | None, Meta(description="Of the bench; null where the spot says no area.")
    ] = None


class RoomUse(Result, frozen=True, kw_only=True):
    """The room of one spot, and what of it is used."""

    spot: str
    indoors: bool
    places: Annotated[Count | None, Meta(description="Pots that have room; null: no limit.")]
    area_cm2: Annotated[Area | None, Meta(description="Of the bench; null: no limit.")]
    weeks: tuple[WeekOfRoom, ...]


class Homeless(Result, frozen=True, kw_only=True):
    """Pots of a plant that have no place for a while."""

    plant: str
    way: Annotated[int, Meta(ge=1, description="As in the stays.")]
    number: Pots
    first: date
    last: date
    anywhere: Annotated[
        bool, Meta(description="Whether some spot would do for them, had it room for them.")
    ]


class PlanChange(Result, frozen=True, kw_only=True):
    """One change that would by itself give every pot a place, found by planning anew."""

    kind: Literal["room", "warmth", "give-up"]
    spot: Annotated[str | None, Meta(description="Of more room or warmth.")] = None
    places: Annotated[Count | None, Meta(description="More pots that have room.")] = None
    area_cm2: Annotated[Area | None, Meta(description="More bench.")] = None
    warmer_c: Annotated[
        Gap | None, Meta(description="By so much every hour, or the heat that is held.")
    ] = None
    watts: Annotated[
        Watts | None, Meta(description="That its heater needs more; null where none is stated.")
    ] = None
    plants: Annotated[tuple[str, ...], Meta(description="Given up.")] = ()
    numbers: Annotated[tuple[int, ...], Meta(description="Pots of each, in that order.")] = ()


class NotThere(Result, frozen=True, kw_only=True):
    """One spot for the plant that is asked about: what stands against it."""

    spot: str
    stands: Annotated[Nights, Meta(description="On which any pot of it stands there in the plan.")]
    pots: Annotated[Count, Meta(description="Of it that stand there at some time of the plan.")]
    allowed: Annotated[
        Nights, Meta(description="On which any pot of it might stand there at the promise.")
    ]
    seasons: Annotated[
        tuple[Season, ...], Meta(description="In which any pot of it might stand there.")
    ]
    homeless: Annotated[
        Nights | None,
        Meta(
            description="More pot nights without a place, did every pot of it stand there whenever "
            "it may; null where none may, or all do so already."
        ),
    ] = None
    against_wishes: Annotated[
        int | None, Meta(description="More pots moved against a wish; null likewise.")
    ] = None
    moved: Annotated[int | None, Meta(description="More pots moved; null likewise.")] = None
    lost_nights: Annotated[
        float | None,
        Meta(
            description="More nights lost to slow growth, cold, a rest that is missed or the dark; "
            "null likewise.",
            extra_json_schema={"unit": "nights"},
            extra={"decimals": 1},
        ),
    ] = None


class Explained(Result, frozen=True, kw_only=True):
    """Why a plant stands where it does."""

    plant: str
    number: Pots
    spots: tuple[NotThere, ...]


class Bought(Result, frozen=True, kw_only=True):
    """Whether one more plant of a group would have a place."""

    group: Annotated[str, Meta(description="Key of the group.")]
    group_name: str
    caveat: Annotated[str, Meta(description="Why the group is only a guess; empty if sure.")] = ""
    fits: Annotated[bool, Meta(description="Whether no pot loses its place by it.")]
    stays: Annotated[tuple[PlannedStay, ...], Meta(description="Of the new one.")]
    homeless: Annotated[tuple[Homeless, ...], Meta(description="Who has no place then.")]
    moved: Annotated[int, Meta(description="More pots moved in the year, its own among them.")]


class PlanResult(Result, frozen=True, kw_only=True):
    """A place, its record, what was asked, and the plan of a year for a collection."""

    schema_version: SchemaVersion = SCHEMA_VERSION
    place: Place
    record: RecordSummary
    settings: Settings
    first: Annotated[date, Meta(description="Day on which the plan begins.")]
    last: Annotated[date, Meta(description="Last day of it.")]
    pots: Count
    left_out: Annotated[
        Count, Meta(description="Pots of the file that could not be planned; notes say which.")
    ] = 0
    moved: Annotated[Count, Meta(description="Pots moved in the year.")]
    homeless_nights: Annotated[Nights, Meta(description="Of all pots together.")]
    homeless_least: Annotated[Nights, Meta(description="It is proven that no plan has fewer.")]
    against_wishes: Annotated[Count, Meta(description="Pots moved against a wish.")]
    gap: Annotated[
        Probability | None,
        Meta(
            description="By how much of what it loses, and of its moving, the plan may lie above "
            "the best one; null where that is not proven."
        ),
    ]
    reason: Annotated[
        Reason | None,
        Meta(description="Why nothing can be planned; null where something can."),
    ] = None
    days: tuple[MovingDay, ...]
    results: Annotated[tuple[PlannedStay, ...], Meta(description="Who stands where.")]
    plants: tuple[PlannedPlant, ...]
    spots: tuple[RoomUse, ...]
    homeless: tuple[Homeless, ...] = ()
    changes: tuple[PlanChange, ...] = ()
    explained: Explained | None = None
    bought: Bought | None = None
