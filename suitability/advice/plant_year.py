"""
The plant year: what every output reads of a group's survival, growth, rest, flowers, heat and air.

Temperatures are in °C; days of the year are "MM-DD" in the place's standard time. What is not known
is None.
"""

from typing import Annotated, Literal

from msgspec import Meta

from suitability.advice.terms import (
    FirstMissing,
    Flowers,
    Grows,
    HeatWord,
    Missing,
    Rain,
    RestRoom,
    Rests,
    Survives,
    Whose,
)
from suitability.groups.group import HeatSigns, Trigger
from suitability.quantities import Celsius, Count, Hours, MonthDay, Result, TwelveHours

HARMFUL_WARM_NIGHTS = 14  # a year, on days out; reasoned
RestState = Literal["met", "partly", "not"]


class RestOfYear(Result, frozen=True, kw_only=True):
    """The rest of one past winter."""

    year: Annotated[int, Meta(description="Calendar year in which the winter began.")]
    state: RestState
    met_on: Annotated[MonthDay | None, Meta(description="Day on which it was complete.")]
    nights: Annotated[Count, Meta(description="That counted.")]
    cool_hours: Annotated[
        Hours | None, Meta(description="That counted; null where they are not asked for.")
    ]
    missing: Annotated[
        Missing | None, Meta(description="What it lacked first; null where it was met.")
    ] = None


class RoomAnswer(Result, frozen=True, kw_only=True):
    """What a bright, dry room held at one temperature does for the rest."""

    room_c: Celsius
    nights: Annotated[
        Count | None, Meta(description="That it takes there; null where it never meets it.")
    ]
    state: Annotated[
        RestState,
        Meta(
            description="After the nights of the period that the plant spends indoors by its "
            "moves; after all of them for one that stays out and would have to be carried in."
        ),
    ]


class RestOutlook(Result, frozen=True, kw_only=True):
    """What brings flowers, outdoors and in a room."""

    needed: Annotated[
        bool, Meta(description="Flowers hang on it; where they do not, it only helps.")
    ]
    trigger: Annotated[
        Trigger | None,
        Meta(description="What the flowers hang on first; null where on nothing that is known."),
    ] = None
    met_years: Count
    partly_years: Annotated[
        Count, Meta(description="Too little of it, or without what only helps.")
    ]
    of_years: Annotated[Count, Meta(description="Years observed well enough.")]
    missing: FirstMissing = None
    usual_date: Annotated[
        MonthDay | None,
        Meta(
            description="Day on which it is complete in the median of the years that met it: the "
            "earliest day on which the plant may come in."
        ),
    ]
    latest_date: Annotated[MonthDay | None, Meta(description="The same in the latest year.")]
    rain: Annotated[
        Rain,
        Meta(
            description="What is known of it; with `not-known` the years hold for a pot that is "
            "kept dry."
        ),
    ]
    must_be_dry: Annotated[bool, Meta(description="Rain on the pot takes or lessens flowers.")]
    if_kept_dry: Annotated[
        bool,
        Meta(
            description="The years hold for a pot that is kept dry: rain is not on record, or a "
            "drought brings the flowers and rain is kept off."
        ),
    ] = False
    by_year: Annotated[
        tuple[RestOfYear, ...], Meta(description="Winters observed well enough, in order of time.")
    ]
    nights_indoors: Annotated[
        Count, Meta(description="Nights of the period that the plant spends indoors by its moves.")
    ]
    room: Annotated[
        RestRoom | None,
        Meta(description="Temperatures at which a room meets it, and in how many nights."),
    ]
    rooms: Annotated[tuple[RoomAnswer, ...], Meta(description="What each room asked about does.")]
    left_usual: Annotated[
        Count | None,
        Meta(
            description="Nights that such a room must still add to those spent out, in the median "
            "year; null without such a room."
        ),
    ]
    left_most: Annotated[Count | None, Meta(description="The same in the worst year.")]


HeatCause = Literal["warm-nights", "hours", "run"]


class HeatOutlook(Result, frozen=True, kw_only=True):
    """Heat on the days that the plant spends out; on all days where it spends none."""

    word: HeatWord
    ceiling_c: Celsius
    signs: HeatSigns = ""
    warm_night_c: Celsius | None
    hours_mean: Annotated[
        Hours | None,
        Meta(description="Above the ceiling, a year; null without a usable year."),
    ]
    hours_bad: Annotated[Hours | None, Meta(description="The same in one year of ten.")]
    hours_by_month: Annotated[TwelveHours, Meta(description="Mean; null where unknown.")]
    longest_run: Annotated[
        Count | None,
        Meta(description="Days in a row with at least six such hours, in the worst year."),
    ]
    usual_run: Annotated[Count | None, Meta(description="The same in the median year.")]
    warm_nights_mean: Annotated[
        float | None,
        Meta(
            extra={"unit": "nights a year", "decimals": 3},
            extra_json_schema={"unit": "nights a year"},
            description="Above the warm-night limit; null for a group without one.",
        ),
    ]
    harmful_years: Annotated[
        Count,
        Meta(
            description="Years with more than 150 hours, four hot days in a row, or more than 14 "
            "warm nights."
        ),
    ]
    of_years: Count
    cause: Annotated[
        HeatCause | None,
        Meta(description="What harms in most of these years; null where none does, or little."),
    ] = None
    spent_out: Annotated[
        bool,
        Meta(
            description="False where the plant spends no day out, and the heat is what it would "
            "meet."
        ),
    ]


class DryAir(Result, frozen=True, kw_only=True):
    """Dry air on the days that the plant spends out (on all days where it spends none)."""

    hours_mean: Annotated[Hours, Meta(description="Warmer than 30 °C and drier than 30 %, a year.")]
    hours_bad: Annotated[Hours, Meta(description="The same in one year of ten.")]
    deficit_hours_mean: Annotated[
        Hours, Meta(description="With a vapour deficit over 2 kPa, a year.")
    ]
    warned: Annotated[bool, Meta(description="Whether the group dries out in it.")]


class PlantYear(Whose, frozen=True, kw_only=True):
    """What the year of one group at one spot is like; none of it changes a verdict."""

    survives: Survives
    grows: Grows
    rests: Rests
    flowers: Flowers
    line: Annotated[str, Meta(description="The words put together.")]
    rest: Annotated[
        RestOutlook | None,
        Meta(
            description="Null for a group without one, where no name tells it, and without a "
            "verdict."
        ),
    ]
    heat: Annotated[HeatOutlook | None, Meta(description="Null for a group without a ceiling.")]
    dry_air: Annotated[DryAir | None, Meta(description="Null where humidity is not on record.")]
