"""
The coming nights of each plant: what every output of `outlook` reads, and none of them computes.

Temperatures are in °C; an evening is that of a night, in the place's standard time. What is not
known is None.
"""

from datetime import date
from enum import StrEnum
from typing import Annotated

from msgspec import Meta

from suitability.advice.result import Credit
from suitability.advice.terms import Whose
from suitability.places import Place
from suitability.quantities import (
    SCHEMA_VERSION,
    Celsius,
    Count,
    DegreeHours,
    Difference,
    Gap,
    Hours,
    Result,
    SchemaVersion,
)


class State(StrEnum):
    """What a night does to a plant."""

    FINE = "fine"
    POSSIBLE = "possible"  # too much if the forecast errs as far as it may
    EXPECTED = "expected"  # too much as forecast
    UNKNOWN = "unknown"


TOO_MUCH = (State.POSSIBLE, State.EXPECTED)


class Strain(StrEnum):
    """What is too much."""

    COLD = "cold"
    WET_COLD = "wet-cold"
    DOSE = "dose"
    HEAT = "heat"


class Act(StrEnum):
    """What is to be done for a plant."""

    MOVE = "move-tonight"
    WATCH = "watch"  # a later night may be too much
    NOTHING = "nothing"
    CANNOT_TELL = "cannot-tell"


URGENCY = (Act.MOVE, Act.CANNOT_TELL, Act.WATCH, Act.NOTHING)


class Alert(StrEnum):
    """What a scheduler is told."""

    MOVE = "move"
    CANNOT_TELL = "cannot-tell"
    NOTHING = "nothing"


class Doubt(StrEnum):
    """Why not every plant could be judged."""

    NO_FORECAST = "no-forecast"
    STALE = "stale-forecast"
    PARTIAL = "partial-forecast"
    OBSERVED = "missing-observed-hours"
    NOT_PLACED = "not-placed"
    LEFT_OUT = "left-out"
    DIARY = "diary-rows-left-out"


class NightAhead(Result, frozen=True, kw_only=True):
    """One night of a plant at its spot."""

    evening: date
    moved_to: Annotated[
        str | None,
        Meta(
            description="Its spot that night, where a move noted ahead has led elsewhere by then."
        ),
    ] = None
    lowest_c: Annotated[Celsius | None, Meta(description="As forecast, at the spot.")]
    lowest_allowed_c: Annotated[
        Celsius | None, Meta(description="Less the allowance for the forecast's error.")
    ]
    wet: Annotated[bool, Meta(description="Rain leaves the pot wet, or may.")]
    dose_c_h: Annotated[
        DegreeHours | None, Meta(description="Over the 14 nights that end with it.")
    ]
    beyond_c: Annotated[
        Difference | None,
        Meta(description="How far it goes beyond what the plant stands; below 0: how far not."),
    ]
    beyond_allowed_c: Annotated[Difference | None, Meta(description="The same with the allowance.")]
    state: State
    strain: Annotated[Strain | None, Meta(description="What comes nearest to being too much.")]


class RestSoFar(Result, frozen=True, kw_only=True):
    """What this season's nights have brought of the rest, where the plant stood."""

    nights: Annotated[Count, Meta(description="That count wholly.")]
    needed: Annotated[float, Meta(extra={"decimals": 1}, description="Nights that meet it.")]
    cool_hours: Hours | None
    cool_hours_needed: Hours | None
    met: bool
    if_kept_dry: Annotated[
        bool, Meta(description="It counts dry nights, and whoever waters makes them.")
    ]


class PlantOutlook(Whose, frozen=True, kw_only=True):
    """The coming nights of a group, or of plants that stand alike."""

    indoors: Annotated[bool, Meta(description="The spot is in a room.")]
    act: Act
    would_do: Annotated[
        tuple[str, ...],
        Meta(
            description="Spots where it would be fine tonight, if it must move; where that cannot "
            "be told, those kept warm by heat without limit."
        ),
    ]
    full: Annotated[
        tuple[str, ...], Meta(description="Of these, spots without room for all its pots.")
    ] = ()
    tonight_only: Annotated[
        tuple[str, ...],
        Meta(description="Of these, spots where a later night of the forecast may be too much."),
    ] = ()
    nights: tuple[NightAhead, ...]
    limit_c: Celsius
    limit_wet_c: Celsius
    dose_c_h: Annotated[
        DegreeHours | None,
        Meta(
            description="Of the 14 nights before tonight, where it stood; missing hours are taken "
            "as cold as the coldest known."
        ),
    ]
    dose_limit_c_h: DegreeHours
    rest: Annotated[
        RestSoFar | None, Meta(description="Null out of its season, and without such a need.")
    ]
    hot_days: Annotated[
        Count, Meta(description="In a row up to today, with 6 h above its ceiling.")
    ]
    hot_days_ahead: Annotated[
        Count, Meta(description="The longest run of these and of the days of the forecast.")
    ]
    hot_from: Annotated[date | None, Meta(description="First day of that run; null: no hot day.")]
    wet_cold: Annotated[
        tuple[date, ...],
        Meta(description="Evenings of wet nights at or below the low at which it comes in."),
    ]
    usual_years: Annotated[
        Count | None,
        Meta(
            description="Without a forecast: past years in which one of the next seven nights was "
            "below its limit."
        ),
    ] = None
    of_years: Annotated[Count | None, Meta(description="Past years that tell.")] = None


class ForecastTold(Result, frozen=True, kw_only=True):
    """The forecast that was used."""

    credit: Credit
    issued: Annotated[str, Meta(description="ISO 8601, UTC: fetched, or its first hour.")]
    begins: Annotated[str, Meta(description="Its first hour.")]
    until: Annotated[str, Meta(description="Its last hour.")]
    age_hours: Hours
    rain: Annotated[bool, Meta(description="Whether it tells rain.")]


class Allowance(Result, frozen=True, kw_only=True):
    """What the forecast of one night is lowered by: on one night in ten it errs farther."""

    night: Annotated[
        int, Meta(ge=1, description="Of the forecast: 1 is the first after its issue.")
    ]
    allowance_c: Gap
    basis: Annotated[
        str,
        Meta(
            pattern="^(learned|published|reasoned|spread)$",
            description="Its own past errors; published figures; these carried on; or the usual "
            "spread of these nights, where that is less.",
        ),
    ]
    nights: Annotated[Count, Meta(description="Past nights that it was learned from.")]


class UsualWeek(Result, frozen=True, kw_only=True):
    """What the next seven nights have usually brought to a spot."""

    spot: str
    lowest_c: Annotated[Celsius | None, Meta(description="Median of their minima.")]
    cold_c: Annotated[Celsius | None, Meta(description="One in ten is colder.")]
    years: Count


class Outlook(Result, frozen=True, kw_only=True):
    """The coming nights of everything asked about: `outlook`."""

    schema_version: SchemaVersion = SCHEMA_VERSION
    place: Place
    credit: Annotated[Credit, Meta(description="Of the observed hours.")]
    now: Annotated[str, Meta(description="ISO 8601, UTC.")]
    tonight: date
    alert: Alert
    doubts: Annotated[tuple[Doubt, ...], Meta(description="Why not everything could be told.")]
    forecast: Annotated[ForecastTold | None, Meta(description="Null: none is there.")]
    allowances: tuple[Allowance, ...]
    observed_until: Annotated[str | None, Meta(description="Last observed hour, ISO, UTC.")]
    missing_hours: Annotated[
        Count, Meta(description="Of the 14 days up to now, neither observed nor forecast.")
    ]
    minimum_allowance_c: Annotated[
        Gap, Meta(description="What hourly values miss of a night's minimum, taken off too.")
    ]
    plants: tuple[PlantOutlook, ...]
    usual: Annotated[
        tuple[UsualWeek, ...],
        Meta(description="Told without a forecast, of spots whose nights hang on the weather."),
    ]
    notes: Annotated[
        tuple[str, ...], Meta(description="What names were taken for, rows and plants left out.")
    ]
