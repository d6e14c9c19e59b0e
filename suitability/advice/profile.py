"""
A group looked at before buying: what every output reads of it, and none of them computes.

Temperatures are in °C, differences in K; days of the year are "MM-DD" in the place's standard time.
What is not known is None.
"""

import datetime as dt
from typing import Annotated, Literal

from msgspec import Meta

from suitability.advice.flowering import BloomTime, LightWanted
from suitability.advice.plant_state import PlantState, StateChange
from suitability.advice.plant_year import PlantYear
from suitability.advice.terms import Flowers, NearlyAllYear, Rests, Season, Verdict
from suitability.quantities import (
    Celsius,
    Count,
    DegreeHours,
    Difference,
    Hours,
    MonthDay,
    Result,
)

FirstCause = Literal["hard-night", "wet-cold", "dose", "heat"]
RangeKind = Literal["label", "lives", "grows"]


class FailureCause(Result, frozen=True, kw_only=True):
    """A cause of the first unsafe night, and in how many years it was."""

    cause: Annotated[
        FirstCause,
        Meta(description="`wet-cold`: only because the pot was wet."),
    ]
    years: Annotated[int, Meta(ge=1)]


class FirstFailure(Result, frozen=True, kw_only=True):
    """What fails first, were the plant left out all year."""

    failing_years: Annotated[Count, Meta(description="Plant years with an unsafe night.")]
    of_years: Annotated[
        Count,
        Meta(
            description="Plant years that tell: observed well enough, or with an unsafe night, as "
            "one cut short by the end of a record may be."
        ),
    ]
    causes: Annotated[tuple[FailureCause, ...], Meta(description="Most years first.")]
    usual_date: Annotated[
        MonthDay | None,
        Meta(description="Of that night's evening in the median year; null where none failed."),
    ]
    earliest_date: MonthDay | None
    spare_c: Annotated[
        Difference | None,
        Meta(
            description="Cooling that the worst night of the years that tell still stands; null "
            "where one failed."
        ),
    ]


class HourRange(Result, frozen=True, kw_only=True):
    """A range of temperatures against the hours of the mean year."""

    kind: Annotated[
        RangeKind,
        Meta(
            description="`label`: what the plant's label says; `lives`: from the limit to the "
            "ceiling; `grows`: from the growth floor to the warmest day of its growth."
        ),
    ]
    low_c: Celsius
    high_c: Celsius | None
    hours_colder: Annotated[Hours | None, Meta(description="A year.")]
    hours_within: Annotated[Hours | None, Meta(description="A year.")]
    hours_warmer: Annotated[Hours | None, Meta(description="A year.")]


class RoofRest(Result, frozen=True, kw_only=True):
    """The rest with rain kept off: in words, and the years that met it or did so partly."""

    rests: Rests
    flowers: Flowers
    met_years: Count
    partly_years: Count
    of_years: Count


class Remedies(Result, frozen=True, kw_only=True):
    """What would have to change for a better verdict."""

    shelter_c: Annotated[
        Difference | None,
        Meta(description="Least warming of the spot that raises the verdict; null: none up to 15."),
    ]
    shelter_verdict: Annotated[Verdict | None, Meta(description="To which it raises it.")]
    all_year_c: Annotated[
        Difference | None,
        Meta(description="Least warming for all year; null: none up to 15, or it is all year."),
    ]
    cooling_c: Annotated[
        Difference | None,
        Meta(description="Least cooling that raises it, for groups that heat excludes."),
    ]
    cooling_verdict: Verdict | None
    roof_verdict: Annotated[
        Verdict | None,
        Meta(description="With rain kept off; null where rain makes no difference or is kept off."),
    ]
    roof_season: Annotated[
        Season | None,
        Meta(description="Its season then; null without such a verdict, or without a season."),
    ] = None
    roof_nearly_all_year: NearlyAllYear = False
    roof_rest: Annotated[
        RoofRest | None,
        Meta(
            description="The rest then; null without such a verdict, or where no flowers hang on a "
            "rest."
        ),
    ]
    hold_c: Annotated[
        Celsius,
        Meta(
            description="Night temperature that a heated, frost-free spot must not fall below for "
            "no night to harm: the limit, or what a whole fortnight may have without the dose "
            "being passed."
        ),
    ]
    hold_growing_c: Annotated[
        Celsius,
        Meta(description="Night temperature to be held for the group to grow or rest all year."),
    ]


class CautionVerdict(Result, frozen=True, kw_only=True):
    """The verdict at one end of the group's ranges."""

    caution: Annotated[str, Meta(description="`low`, `usual` or `high`.")]
    verdict: Verdict
    season: Season | None


class FirstWinter(Result, frozen=True, kw_only=True):
    """The verdict on a plant just bought, which has not yet spent a winter here."""

    verdict: Verdict
    season: Season | None
    only_gaps: Annotated[
        bool,
        Meta(
            description="No night on record, only nights that were not observed, stand against "
            "more."
        ),
    ] = False


class BudRisk(Result, frozen=True, kw_only=True):
    """What may blast buds on the days that the plant spends out, nights of the mean year."""

    cold_nights: Annotated[
        float | None, Meta(extra={"decimals": 3}, description="Below the chill base.")
    ]
    jumps: Annotated[
        float | None,
        Meta(
            extra={"decimals": 3},
            description="Night minimum more than 8 °C from that of the night before.",
        ),
    ]


class NotedDamage(Result, frozen=True, kw_only=True):
    """Damage that the grower noted, beside what the record says of the 14 nights before it."""

    day: dt.date
    words: str
    lowest_c: Annotated[
        Celsius | None,
        Meta(
            description="Lowest reading of those nights; null where the record does not cover them."
        ),
    ]
    dose_c_h: Annotated[DegreeHours | None, Meta(description="Greatest dose of those nights.")]
    expected: Annotated[
        bool | None,
        Meta(
            description="Whether the group's thresholds call one of them unsafe; null where it is "
            "not known."
        ),
    ]


class Profile(PlantYear, frozen=True, kw_only=True):
    """One group at one spot before buying, or plants of it in the state that they are in."""

    fails_first: Annotated[
        FirstFailure | None,
        Meta(description="By cold, counted from mid-summer on; null without a verdict."),
    ]
    fails_in_heat: Annotated[
        FirstFailure | None,
        Meta(
            description="By heat, counted from mid-winter on, for the groups that heat excludes; "
            "null without a verdict."
        ),
    ]
    ranges: Annotated[
        tuple[HourRange, ...],
        Meta(description="Of the label where one was given, of its life, of its growth."),
    ]
    remedies: Annotated[Remedies | None, Meta(description="Null without a verdict.")]
    by_caution: Annotated[
        tuple[CautionVerdict, ...],
        Meta(description="Verdicts at the low, best and high end of the group's ranges."),
    ]
    first_winter: Annotated[
        FirstWinter | None,
        Meta(
            description="What a newly bought plant may do in its first winter; null of a plant of "
            "the collection, where the first winter is what was asked for, and without a verdict."
        ),
    ]
    state: PlantState
    changes: Annotated[
        tuple[StateChange, ...], Meta(description="Thresholds that its state moved.")
    ]
    damage: tuple[NotedDamage, ...]
    buds: Annotated[BudRisk | None, Meta(description="Null unless in bud.")]
    bloom: Annotated[BloomTime | None, Meta(description="Null where no source tells.")] = None
    light: LightWanted | None = None
